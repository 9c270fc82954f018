//! The desk itself: opening the database, choosing a hitter, saving.

use super::{Notes, Round, Sheet};
use crate::device::database::{Change, Database, StorageError};
use crate::device::storage::{self, Keeping};
use crate::device::subject::Subject;
use crate::device::{clock, settings, sync};
use crate::words::{by_name, counted};
use coaching::vocabulary::{Environment, Hand, Side};
use futures_util::future::try_join3;
use leptos::prelude::*;
use notebook::{
    Code, Equipment, Head, Hitter, HittingContext, Record, RecordId, SetUp, StampClock,
};
use std::pin::Pin;
use std::rc::Rc;
use std::sync::Arc;
use wasm_bindgen_futures::spawn_local;

/// How far opening the notebook has come.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Opening {
    /// Reading.
    Reading,
    /// Everything needed is read.
    Ready,
    /// Could not be opened.
    Failed(StorageError),
}

/// A reading under way.
pub type Reading = Pin<Box<dyn Future<Output = Result<(), StorageError>>>>;

/// The open database and its clock.
struct Kept {
    database: Database,
    stamps: StampClock,
}

/// Everything the screens share.
#[derive(Clone, Copy)]
pub struct Desk {
    kept: StoredValue<Option<Rc<Kept>>, LocalStorage>,
    /// How far opening has come.
    pub opening: RwSignal<Opening>,
    /// All hitters that are not removed, by name.
    pub hitters: RwSignal<Vec<Hitter>>,
    /// The hitter at work.
    pub chosen: RwSignal<Option<RecordId>>,
    /// The chosen hitter's saved set-up question, if any.
    pub set_up: RwSignal<Option<SetUp>>,
    /// The club's machines and the cages they stand in.
    pub equipment: RwSignal<Vec<Equipment>>,
    /// The chosen hitter's latest swing check.
    pub sheet: RwSignal<Sheet>,
    /// The set being counted.
    pub round: RwSignal<Round>,
    /// Where the ball comes from.
    pub environment: RwSignal<Environment>,
    /// Pitcher's hand or feed side.
    pub feed: RwSignal<Hand>,
    /// The side a hitter of both sides stands on now.
    pub side: RwSignal<Option<Side>>,
    /// What the browser says about keeping the data.
    pub keeping: RwSignal<Keeping>,
    /// Messages.
    pub notes: Notes,
    /// The hitter turned to whose records are not on the desk yet.
    turning: StoredValue<Option<RecordId>>,
    /// The hitter asked for last. What was read for another meanwhile comes too late.
    pub(super) wished: StoredValue<Option<RecordId>>,
}

impl Desk {
    /// Starts to open the notebook and gives the desk, empty until then.
    pub fn open() -> Self {
        let remembered = |id: Option<String>| id.unwrap_or_default();
        let environment = Environment::from_id(&remembered(settings::environment()));
        let feed = Hand::from_id(&remembered(settings::feed()));
        let desk = Self {
            kept: StoredValue::new_local(None),
            opening: RwSignal::new(Opening::Reading),
            hitters: RwSignal::new(Vec::new()),
            chosen: RwSignal::new(None),
            set_up: RwSignal::new(None),
            equipment: RwSignal::new(Vec::new()),
            sheet: RwSignal::new(Sheet::default()),
            round: RwSignal::new(Round::new(clock::new_id())),
            environment: RwSignal::new(environment.unwrap_or(Environment::Tee)),
            feed: RwSignal::new(feed.unwrap_or(Hand::Right)),
            side: RwSignal::new(None),
            keeping: RwSignal::new(Keeping::Unknown),
            notes: Notes::default(),
            turning: StoredValue::new(None),
            wished: StoredValue::new(None),
        };
        desk.try_open();
        desk
    }

    /// Opens the notebook (again).
    pub fn try_open(self) {
        self.opening.set(Opening::Reading);
        spawn_local(async move {
            let opened = async {
                let (database, stamps) = Database::open().await?;
                database.on_change_elsewhere(move || self.read_again());
                self.kept
                    .set_value(Some(Rc::new(Kept { database, stamps })));
                self.read_all_for(settings::chosen_hitter()).await
            };
            match opened.await {
                Ok(()) => {
                    self.opening.set(Opening::Ready);
                    self.tell_unreadable();
                    if self.reading(Database::syncs).await == Ok(true) {
                        sync::start_worker();
                    }
                }
                Err(error) => self.opening.set(Opening::Failed(error)),
            }
            self.keeping.set(storage::promised().await);
        });
    }

    /// Says so when records had to be left out.
    fn tell_unreadable(self) {
        let left_out = self
            .database()
            .map_or(0, |kept| kept.database.take_unreadable());
        if left_out > 0 {
            let records = counted(left_out, "record", "records");
            self.notes.fail(
                format!(
                    "{records} could not be read, perhaps written by a newer version of \
                     Stridebook. Left as found; everything else is here."
                ),
                None,
            );
        }
    }

    /// The chosen hitter's record.
    pub fn hitter(self) -> Option<Hitter> {
        let id = self.chosen.get()?;
        self.hitters
            .with(|hitters| hitters.iter().find(|hitter| hitter.head.id == id).cloned())
    }

    /// Puts another hitter's records on the desk.
    pub fn choose(self, id: RecordId) {
        self.choose_then(id, || ());
    }

    /// Puts another hitter's records on the desk, and then does `then`, also when they
    /// cannot be read.
    pub fn choose_then(self, id: RecordId, then: impl FnOnce() + 'static) {
        settings::choose_hitter(Some(id));
        self.wished.set_value(Some(id));
        spawn_local(async move {
            if let Err(error) = self.read_chosen(Some(id)).await {
                self.notes.fail(error.to_string(), None);
            }
            then();
        });
    }

    /// Turns to another hitter at once, with nothing of the one before on the desk:
    /// for a page that reads what it shows by itself, and has the rest of the desk
    /// follow by [`Self::choose`] once that is shown.
    pub fn turn_to(self, id: RecordId) {
        self.set_up.set(None);
        self.sheet.set(Sheet::default());
        self.round.set(Round::new(clock::new_id()));
        self.side
            .set(settings::of_hitter("side", id).and_then(|side| Side::from_id(&side)));
        self.turning.set_value(Some(id));
        self.wished.set_value(Some(id));
        self.chosen.set(Some(id));
    }

    /// Puts the records of the hitter that was turned to on the desk, if they are not
    /// there yet and nobody has turned to another meanwhile.
    pub fn follow(self, id: RecordId) {
        if self.turning.get_value() == Some(id) && self.chosen.get_untracked() == Some(id) {
            self.turning.set_value(None);
            self.choose(id);
        }
    }

    /// Another tab has written: read what this one shows again.
    fn read_again(self) {
        spawn_local(async move {
            if let Err(error) = self.read_all().await {
                self.notes.fail(error.to_string(), None);
            }
        });
    }

    /// Reads everything that the desk shows. Boxed, as all readings here: the
    /// machine of an async function is else compiled again into each caller.
    fn read_all(self) -> Reading {
        Box::pin(async move {
            self.read_hitters().await?;
            self.read_equipment().await?;
            // Another may have been asked for while these were read.
            self.read_chosen(self.wished.get_value()).await
        })
    }

    /// Reads everything that the desk shows, with `id` on the desk from now on.
    pub fn read_all_for(self, id: Option<RecordId>) -> Reading {
        self.wished.set_value(id);
        self.read_all()
    }

    async fn read_hitters(self) -> Result<(), StorageError> {
        let mut hitters: Vec<Hitter> = self.database()?.database.all().await?;
        hitters.retain(|hitter| !hitter.head.is_removed());
        hitters.sort_unstable_by(|a, b| by_name(a.name.get(), b.name.get()));
        self.hitters.set(hitters);
        Ok(())
    }

    /// Reads what the desk shows of `wanted`; of the first hitter when that one is
    /// gone; of none when there is none. Shows nothing of it when another has been
    /// asked for meanwhile.
    fn read_chosen(self, wanted: Option<RecordId>) -> Reading {
        Box::pin(async move {
            let known = self.hitters.with_untracked(|hitters| {
                let wanted = hitters.iter().find(|hitter| Some(hitter.head.id) == wanted);
                wanted.or(hitters.first()).cloned()
            });
            let Some(hitter) = known else {
                self.chosen.set(None);
                self.set_up.set(None);
                self.sheet.set(Sheet::default());
                self.round.set(Round::new(clock::new_id()));
                return Ok(());
            };
            let id = hitter.head.id;
            let kept = self.database()?;
            let database = &kept.database;
            let (set_up, sheet, round) = try_join3(
                database.get::<SetUp>(id),
                Sheet::read(database, id),
                Round::read(database, id),
            )
            .await?;
            if self.wished.get_value() != wanted {
                return Ok(());
            }
            let same_hitter = self.chosen.get_untracked() == Some(id);
            self.chosen.set(Some(id));
            sync::watch(Some(Subject::Hitter(id)));
            self.side
                .set(settings::of_hitter("side", id).and_then(|side| Side::from_id(&side)));
            self.set_up
                .set(set_up.filter(|set_up| !set_up.head.is_removed()));
            self.sheet.set(sheet);
            self.round
                .update(|shown| shown.take_over(round, same_hitter));
            Ok(())
        })
    }

    fn database(self) -> Result<Rc<Kept>, StorageError> {
        self.kept
            .get_value()
            .ok_or_else(|| StorageError::Browser("the notebook is not open".to_owned()))
    }

    /// Reads by `read` from the open database.
    pub async fn reading<T>(
        self,
        read: impl AsyncFnOnce(&Database) -> Result<T, StorageError>,
    ) -> Result<T, StorageError> {
        let kept = self.database()?;
        read(&kept.database).await
    }

    /// Runs `with` on the open clock; `None` (and a message) when the notebook
    /// is not open, so that nothing seems recorded that is not.
    pub fn with_clock<T>(self, with: impl FnOnce(&StampClock) -> T) -> Option<T> {
        match self.database() {
            Ok(kept) => Some(with(&kept.stamps)),
            Err(error) => {
                self.notes.fail(format!("Not saved. {error}"), None);
                None
            }
        }
    }

    /// A new record's head.
    pub fn new_head(self) -> Option<Head> {
        self.with_clock(|stamps| Head::new(clock::new_id(), stamps))
    }

    /// Writes all of `changes`, or none of them; returns when they are on disk.
    ///
    /// # Errors
    /// What the storage says; then nothing was written.
    pub async fn write(self, changes: &[Arc<dyn Change>]) -> Result<(), StorageError> {
        let kept = self.database()?;
        let changes: Vec<&dyn Change> = changes.iter().map(AsRef::as_ref).collect();
        kept.database.write(&changes, &kept.stamps).await
    }

    /// Writes `changes` and then, when they are on disk, does `then`. When the
    /// write fails the user is told, and can try the very same write again.
    pub fn save(self, changes: Vec<Arc<dyn Change>>, then: impl Fn() + Send + Sync + 'static) {
        self.save_shared(Arc::new(changes), Arc::new(then));
    }

    fn save_shared(self, changes: Arc<Vec<Arc<dyn Change>>>, then: Arc<dyn Fn() + Send + Sync>) {
        spawn_local(async move {
            match self.write(&changes).await {
                Ok(()) => then(),
                Err(error) => {
                    let again: Arc<dyn Fn() + Send + Sync> =
                        Arc::new(move || self.save_shared(changes.clone(), then.clone()));
                    self.notes
                        .fail(format!("Not saved. {error}"), Some(("Try again", again)));
                }
            }
        });
    }

    /// The side batted now: the only one, or for a hitter of both the one
    /// chosen, or else the one across from the pitcher's hand.
    pub fn side_now(self, hitter: &Hitter) -> Side {
        use coaching::vocabulary::Bats;
        let bats = Bats::from_id(hitter.bats.get().as_str()).unwrap_or(Bats::Right);
        match self.side.get() {
            Some(side) if bats.sides().contains(&side) => side,
            _ => bats.usual_side(self.feed.get()),
        }
    }

    /// What every record of hitting stores, as it stands now.
    pub fn context(self, hitter: &Hitter) -> HittingContext {
        let environment = self.environment.get_untracked();
        let feed = if has_feed(environment) {
            self.feed.get_untracked().id()
        } else {
            NO_FEED
        };
        HittingContext {
            side: code(untrack(|| self.side_now(hitter)).id()),
            feed: code(feed),
            sport: hitter.sport.get().clone(),
            level: hitter.level.get().clone(),
            environment: code(environment.id()),
        }
    }

    /// Removes a record (a tombstone) or brings it back, then does `then`.
    pub fn set_removed<R: Record>(
        self,
        mut record: R,
        removed: bool,
        then: impl Fn(&R) + Send + Sync + 'static,
    ) {
        let done = self.with_clock(|stamps| record.head_mut().set_removed(removed, stamps));
        if done.is_some() {
            let kept = Arc::new(record);
            let written: Arc<dyn Change> = kept.clone();
            self.save(vec![written], move || then(&kept));
        }
    }
}

/// Feed of an environment that nobody feeds.
const NO_FEED: &str = "none";

/// Whether the ball comes from somebody or something in this environment.
pub const fn has_feed(environment: Environment) -> bool {
    !matches!(environment, Environment::Tee | Environment::MedicineBall)
}

/// The code of one of our own lists.
///
/// # Panics
/// Never with the ids of `coaching` and `flight`: their tests hold them to the
/// form of a code.
pub fn code(id: &str) -> Code {
    Code::new(id).expect("our own ids are codes")
}
