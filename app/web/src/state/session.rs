//! The session under way: who hits, under which conditions, and each ball on its
//! way to the disk. What the balls say is in `coaching`.

mod limits;
mod queue;
mod touch;
mod turn;

use super::contacts::{Ball, balls_of};
use super::names::{round as fed, session as name};
use super::{Desk, desk::code};
use crate::device::database::{Change, StorageError};
use crate::device::settings;
use coaching::contact::ContactResult;
use coaching::loads::Day;
use coaching::vocabulary::{Environment, Side};
use flight::{Placed, Spin};
use leptos::prelude::*;
use notebook::{
    Code, Contact, Field, Fields, Hitter, RecordId, Round, Session, StampClock, write_named,
};
use queue::{Done, Queue};
use std::cell::OnceCell;
use std::sync::Arc;
use wasm_bindgen_futures::spawn_local;

pub use limits::limits_of;
pub use turn::{Dot, Turn};

/// How far reading the session has come.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Found {
    /// Reading.
    Reading,
    /// Read; there may be none.
    Read,
    /// Could not be read.
    Failed(StorageError),
}

/// Balls that can be taken back one after the other.
const BACK: usize = 60;

/// The session under way and everything that is shown of it. One for the page,
/// also while another page of the book is looked at.
#[derive(Clone, Copy)]
pub struct Practice {
    desk: Desk,
    /// How far reading has come.
    pub found: RwSignal<Found>,
    /// The session; none when none is under way.
    pub session: RwSignal<Option<Session>>,
    /// Who is at the plate.
    pub hitter: RwSignal<Option<RecordId>>,
    /// The kind of pitch, when it is said.
    pub pitch: RwSignal<Option<&'static str>>,
    /// Whether the next touch takes the place of the last ball.
    pub fixing: RwSignal<bool>,
    /// The present turn at the plate, as it is on disk.
    pub turn: RwSignal<Turn>,
    /// The last ball on disk.
    pub last: RwSignal<Option<Arc<Contact>>>,
    /// The ball that was taken out last, until the next touch.
    pub undone: RwSignal<Option<Arc<Contact>>>,
    /// What was done last, in words.
    pub said: RwSignal<String>,
    /// Touches that are not on disk yet.
    pub waiting: RwSignal<usize>,
    /// The hitter's swings of the last days outside of this session, once read.
    pub swings: RwSignal<Option<Vec<Day>>>,
    /// Counts up whenever the balls change.
    pub counted: RwSignal<u32>,
    balls: StoredValue<Vec<Ball>>,
    feeds: StoredValue<Vec<(RecordId, Environment, Placed)>>,
    queue: StoredValue<Queue>,
    /// The latest balls as they will be once all is written, newest last.
    latest: StoredValue<Vec<Arc<Contact>>>,
    /// The rounds of the turn, each with the number of its next ball.
    rounds: StoredValue<Vec<(Round, u32)>>,
}

thread_local! {
    static PRACTICE: OnceCell<(Owner, Practice)> = const { OnceCell::new() };
}

/// What is written into a session.
type Edit<'a> = Box<dyn FnOnce(&mut Session, &StampClock) + 'a>;

/// What a touch says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Touch {
    /// What came of the ball.
    pub result: ContactResult,
    /// Where it went, degrees as in `coaching::contact::fan`.
    pub direction_deg: Option<f64>,
    /// Whether that is the touched point, and not the middle of its sector.
    pub by_point: bool,
}

/// Something said of the last ball.
#[derive(Debug, Clone, Copy)]
pub struct Detail {
    /// Name of the choice.
    pub name: &'static str,
    /// Its id.
    pub id: &'static str,
}

impl Practice {
    /// The one of this page. It has an owner of its own, so that touches on their
    /// way to the disk outlive the page that took them.
    pub fn of(desk: Desk) -> Self {
        PRACTICE.with(|kept| {
            let make = || {
                // A new root makes itself the current owner: put the page's back.
                let here = Owner::current();
                let owner = Owner::new_root(None);
                let practice = owner.with(|| Self::new(desk));
                if let Some(here) = here {
                    here.set();
                }
                (owner, practice)
            };
            kept.get_or_init(make).1
        })
    }

    fn new(desk: Desk) -> Self {
        Self {
            desk,
            found: RwSignal::new(Found::Reading),
            session: RwSignal::new(None),
            hitter: RwSignal::new(None),
            pitch: RwSignal::new(None),
            fixing: RwSignal::new(false),
            turn: RwSignal::new(Turn::default()),
            last: RwSignal::new(None),
            undone: RwSignal::new(None),
            said: RwSignal::new(String::new()),
            waiting: RwSignal::new(0),
            swings: RwSignal::new(None),
            counted: RwSignal::new(0),
            balls: StoredValue::new(Vec::new()),
            feeds: StoredValue::new(Vec::new()),
            queue: StoredValue::new(Queue::default()),
            latest: StoredValue::new(Vec::new()),
            rounds: StoredValue::new(Vec::new()),
        }
    }

    /// Reads the session under way that this phone began last, unless touches are
    /// on their way (then what is shown is newer).
    pub fn read(self) {
        if self.waiting.get_untracked() > 0 {
            return;
        }
        spawn_local(async move {
            let own = self.desk.with_clock(|stamps| stamps.stamp().device());
            let read = async {
                let sessions = self.desk.sessions().await?;
                let open = sessions.into_iter().find(|session| {
                    !is_over(session) && own.is_none_or(|own| session.head.author == own)
                });
                match open {
                    Some(session) => self.read_session(session).await,
                    None => {
                        self.put_away();
                        Ok(())
                    }
                }
            };
            self.found.set(match read.await {
                Ok(()) => Found::Read,
                Err(error) => Found::Failed(error),
            });
        });
    }

    async fn read_session(self, session: Session) -> Result<(), StorageError> {
        let id = session.head.id;
        let read = async |database: &crate::device::database::Database| {
            let contacts: Vec<Contact> = database.by_index("session", id).await?;
            let rounds: Vec<Round> = database.by_index("session", id).await?;
            Ok((contacts, rounds))
        };
        let (mut contacts, rounds) = self.desk.reading(read).await?;
        contacts.retain(|contact| !contact.head.is_removed());
        if self.waiting.get_untracked() > 0 {
            return Ok(());
        }
        self.balls.set_value(balls_of(&contacts));
        let placed = rounds.iter().filter_map(|round| {
            let environment = Environment::from_id(round.context.environment.as_str())?;
            Some((round.hitter, environment, placed_of(&round.numbers)?))
        });
        self.feeds.set_value(Vec::new());
        placed.for_each(|(hitter, environment, placed)| self.put_feed(hitter, environment, placed));
        let hitters = self.rotation_of(&session);
        let before = contacts.last().map(|contact| contact.hitter);
        let here = before
            .filter(|id| hitters.contains(id))
            .or(hitters.first().copied());
        self.session.set(Some(session));
        if let Some(here) = here {
            // As after a reload in the middle of a turn: it goes on.
            self.turn_to(here);
            let of_turn = rounds.into_iter().rev().take_while(|r| r.hitter == here);
            let of_turn = of_turn.map(|round| {
                let of_round = contacts.iter().filter(|c| c.set == round.head.id);
                let next = of_round.map(|contact| contact.number + 1).max();
                (round, next.unwrap_or(1))
            });
            self.rounds.set_value(of_turn.collect());
            let mut turn = Turn::default();
            for contact in &contacts {
                if self.is_of_turn(contact) {
                    turn.put(contact);
                }
            }
            self.turn.set(turn);
        }
        let from = contacts.len().saturating_sub(BACK);
        let latest: Vec<Arc<Contact>> = contacts.drain(from..).map(Arc::new).collect();
        self.last.set(latest.last().cloned());
        self.latest.set_value(latest);
        self.undone.set(None);
        self.said.set(String::new());
        self.counted.update(|counted| *counted += 1);
        Ok(())
    }

    /// No session is shown.
    fn put_away(self) {
        self.session.set(None);
        self.hitter.set(None);
        self.turn.set(Turn::default());
        self.last.set(None);
        self.undone.set(None);
        self.said.set(String::new());
        self.swings.set(None);
        self.balls.set_value(Vec::new());
        self.feeds.set_value(Vec::new());
        self.latest.set_value(Vec::new());
        self.rounds.set_value(Vec::new());
        self.counted.update(|counted| *counted += 1);
    }

    /// Begins a session with these hitters.
    pub fn begin(self, hitters: Vec<RecordId>) {
        let Some(head) = self.desk.new_head() else {
            return;
        };
        let made = self.desk.with_clock(|stamps| {
            let mut fields = Fields::new();
            for id in &hitters {
                write_named(
                    &mut fields,
                    &id_code(*id),
                    code(name::IN),
                    head.made,
                    stamps,
                );
            }
            Session {
                name: Field::new(String::new(), stamps.stamp()),
                hitters: fields,
                choices: Fields::new(),
                numbers: Fields::new(),
                head,
            }
        });
        let Some(session) = made.map(Arc::new) else {
            return;
        };
        let change: Arc<dyn Change> = session.clone();
        self.desk.save(vec![change], move || {
            self.put_away();
            self.session.set(Some(Session::clone(&session)));
            if let Some(first) = self.rotation_of(&session).first() {
                self.turn_to(*first);
            }
        });
    }

    /// Edits the session: `edit` writes what changes.
    pub fn edit(self, edit: impl FnOnce(&mut Session, &StampClock)) {
        self.edit_then(Box::new(edit), Box::new(|| ()));
    }

    fn edit_then(self, edit: Edit<'_>, then: Box<dyn Fn() + Send + Sync>) {
        let Some(mut session) = self.session.get_untracked() else {
            return;
        };
        if self
            .desk
            .with_clock(|stamps| edit(&mut session, stamps))
            .is_none()
        {
            return;
        }
        let session = Arc::new(session);
        let change: Arc<dyn Change> = session.clone();
        self.desk.save(vec![change], move || {
            self.session.update(|shown| {
                if let Some(shown) = shown
                    && shown.head.id == session.head.id
                {
                    // Another edit may have been saved meanwhile.
                    notebook::Record::merge(shown, &session);
                }
            });
            then();
        });
    }

    /// Writes a choice of the session.
    pub fn choose(self, name: &'static str, id: &'static str) {
        self.edit(|session, stamps| {
            write_named(
                &mut session.choices,
                &code(name),
                code(id),
                session.head.made,
                stamps,
            );
        });
    }

    /// The session's choice of this name.
    pub fn choice(self, name: &str) -> Option<String> {
        self.session.with(|session| {
            let field = session.as_ref()?.choices.get(name)?;
            Some(field.get().as_str().to_owned())
        })
    }

    /// The session's number of this name.
    pub fn number(self, name: &str) -> Option<f64> {
        self.session
            .with(|session| Some(*session.as_ref()?.numbers.get(name)?.get()))
    }

    /// Takes hitters into the rotation, or out of it.
    pub fn rotate(self, hitters: Vec<RecordId>, is_in: bool) {
        self.edit(|session, stamps| {
            let said = code(if is_in { name::IN } else { name::OUT });
            for id in hitters {
                let at = session.head.made;
                write_named(&mut session.hitters, &id_code(id), said.clone(), at, stamps);
            }
        });
    }

    /// Ends the session; a note offers to go on.
    pub fn end(self) {
        let Some(id) = self.session.with_untracked(|s| Some(s.as_ref()?.head.id)) else {
            return;
        };
        self.set_over("yes", move || {
            self.put_away();
            let go_on: Arc<dyn Fn() + Send + Sync> = Arc::new(move || self.go_on(id));
            self.desk
                .notes
                .say("The session is over.", Some(("Undo", go_on)));
        });
    }

    /// Goes on with a session that was over.
    pub fn go_on(self, id: RecordId) {
        spawn_local(async move {
            let read = async {
                let read = self.desk.reading(async |database| database.get(id).await);
                match read.await? {
                    Some(session) => self.read_session(session).await,
                    None => Ok(()),
                }
            };
            match read.await {
                Ok(()) => self.set_over("no", || ()),
                Err(error) => self.desk.notes.fail(error.to_string(), None),
            }
        });
    }

    fn set_over(self, over: &'static str, then: impl Fn() + Send + Sync + 'static) {
        self.edit_then(
            Box::new(move |session, stamps| {
                let at = session.head.made;
                write_named(
                    &mut session.choices,
                    &code(name::OVER),
                    code(over),
                    at,
                    stamps,
                );
            }),
            Box::new(then),
        );
    }

    /// The hitters of the rotation, in the order of the roster.
    pub fn rotation(self) -> Vec<RecordId> {
        self.session.with(|session| match session {
            Some(session) => self.rotation_of(session),
            None => Vec::new(),
        })
    }

    fn rotation_of(self, session: &Session) -> Vec<RecordId> {
        let is_in = |id: &RecordId| {
            let said = session.hitters.get(id.to_string().as_str());
            said.is_some_and(|said| said.get().as_str() == name::IN)
        };
        self.desk.hitters.with(|all| {
            let ids = all.iter().map(|hitter| hitter.head.id);
            ids.filter(is_in).collect()
        })
    }

    /// Puts a hitter to the plate: a new turn.
    pub fn turn_to(self, id: RecordId) {
        self.hitter.set(Some(id));
        self.rounds.set_value(Vec::new());
        self.turn.set(Turn::default());
        self.fixing.set(false);
        // At once, and not when the rest of the hitter's desk is read: the next
        // touch may come before.
        let side = settings::of_hitter("side", id).and_then(|side| Side::from_id(&side));
        self.desk.side.set(side);
        self.desk.choose(id);
        self.read_swings(id);
    }

    /// Puts the next of the rotation to the plate.
    pub fn next_hitter(self) {
        let rotation = untrack(|| self.rotation());
        let now = self.hitter.get_untracked();
        let place = rotation.iter().position(|id| Some(*id) == now);
        let next = place.map_or(0, |place| (place + 1) % rotation.len().max(1));
        if let Some(next) = rotation.get(next) {
            self.turn_to(*next);
        }
    }

    /// The record of the hitter at the plate.
    pub fn at_plate(self) -> Option<Hitter> {
        let id = self.hitter.get()?;
        let of = |all: &Vec<Hitter>| all.iter().find(|hitter| hitter.head.id == id).cloned();
        self.desk.hitters.with(of)
    }

    fn read_swings(self, id: RecordId) {
        self.swings.set(None);
        let session = self.session.with_untracked(|s| Some(s.as_ref()?.head.id));
        spawn_local(async move {
            let read = self.desk.swings(id, session).await;
            if self.hitter.get_untracked() != Some(id) {
                return;
            }
            match read {
                Ok(days) => self.swings.set(Some(days)),
                Err(error) => self.desk.notes.fail(error.to_string(), None),
            }
        });
    }

    /// Every swing of the hitter at the plate over the last days, this session's
    /// included; `None` until the others are read.
    pub fn days(self) -> Option<Vec<Day>> {
        self.counted.track();
        let here = self.hitter.get()?;
        let mut days = self.swings.get()?;
        self.balls.with_value(|balls| {
            let of_hitter = balls.iter().filter(|ball| ball.hitter == here);
            days.extend(of_hitter.filter(|ball| ball.is_swing()).map(|ball| Day {
                day: ball.day,
                swings: 1,
            }));
        });
        Some(days)
    }

    /// The balls of one hitter in this session.
    pub fn balls_of(self, hitter: RecordId) -> Vec<Ball> {
        self.counted.track();
        self.balls.with_value(|balls| {
            let of_hitter = balls.iter().filter(|ball| ball.hitter == hitter);
            of_hitter.copied().collect()
        })
    }

    /// How a hitter's machine stood in this session, if it is known.
    pub fn feed_of(self, hitter: RecordId, environment: Environment) -> Option<Placed> {
        self.feeds.with_value(|feeds| {
            let found = feeds
                .iter()
                .find(|known| (known.0, known.1) == (hitter, environment));
            found.map(|known| known.2)
        })
    }

    fn put_feed(self, hitter: RecordId, environment: Environment, placed: Placed) {
        self.feeds.update_value(|feeds| {
            feeds.retain(|known| (known.0, known.1) != (hitter, environment));
            feeds.push((hitter, environment, placed));
        });
    }

    /// How the machine of the hitter at the plate stands, as its set-up is solved:
    /// for the rounds to come, and for those of this turn that lack it.
    pub fn machine_stands(self, hitter: RecordId, placed: Placed) {
        if self.hitter.get_untracked() != Some(hitter) {
            return;
        }
        self.put_feed(hitter, Environment::Machine, placed);
        let mut changes: Vec<Arc<dyn Change>> = Vec::new();
        self.rounds.update_value(|rounds| {
            let machine = Environment::Machine.id();
            for (round, _) in rounds {
                if round.context.environment.as_str() == machine && round.numbers.is_empty() {
                    let put = |stamps: &StampClock| put_numbers(round, placed, stamps);
                    self.desk.with_clock(put);
                    changes.push(Arc::new(round.clone()));
                }
            }
        });
        if !changes.is_empty() {
            self.enqueue(changes, Done::Nothing);
        }
    }
}

/// Whether the coach has ended a session.
pub fn is_over(session: &Session) -> bool {
    let over = session.choices.get(name::OVER);
    over.is_some_and(|over| over.get().as_str() == "yes")
}

/// The id of a record as a code.
fn id_code(id: RecordId) -> Code {
    code(&id.to_string())
}

fn put_numbers(round: &mut Round, placed: Placed, stamps: &StampClock) {
    for (name, value) in [
        (fed::DISTANCE, placed.distance_ft),
        (fed::HEIGHT, placed.height_ft),
        (fed::THIRD_SIDE, -placed.side_ft),
        (fed::SPEED, placed.speed_mph),
        (fed::BACKSPIN, placed.spin.backspin_rpm),
        (fed::SIDESPIN, placed.spin.sidespin_rpm),
    ] {
        write_named(
            &mut round.numbers,
            &code(name),
            value,
            round.head.made,
            stamps,
        );
    }
}

/// How the ball of a round was fed; `None` when nobody wrote it.
fn placed_of(numbers: &Fields<f64>) -> Option<Placed> {
    let number = |name: &str| numbers.get(name).map(|field| *field.get());
    Some(Placed {
        distance_ft: number(fed::DISTANCE)?,
        height_ft: number(fed::HEIGHT)?,
        side_ft: -number(fed::THIRD_SIDE)?,
        speed_mph: number(fed::SPEED)?,
        spin: Spin {
            backspin_rpm: number(fed::BACKSPIN)?,
            sidespin_rpm: number(fed::SIDESPIN)?,
            gyro_rpm: 0.0,
        },
        // Of the machine's ball only its flight from here on matters.
        ball: flight::BASEBALL,
    })
}
