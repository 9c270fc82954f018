//! Counts and what a hitter's tempo is held against: read lean, written at once.

use super::desk::code;
use super::{Desk, names};
use crate::device::clock;
use crate::device::database::{Change, StorageError};
use coaching::count::Target;
use coaching::vocabulary::Environment;
use leptos::prelude::*;
use notebook::{Hitter, RecordId, Rep, write_named};
use std::collections::BTreeMap;
use std::sync::Arc;

/// How many reps of a hitter the plots look back on.
const LOOK_BACK: u32 = 200;

/// A count as it was taken, before it is a record.
#[derive(Debug, Clone)]
pub struct Taken {
    /// The set it belongs to.
    pub set: RecordId,
    /// Its number within the set, from 1.
    pub number: u32,
    /// Where the ball came from.
    pub environment: Environment,
    /// Lift to contact, s.
    pub count_s: f64,
    /// How it was taken: an id of `names::rep`.
    pub taken_by: &'static str,
    /// Further numbers, by their names in `names::rep`.
    pub numbers: Vec<(&'static str, f64)>,
    /// Further choices.
    pub choices: Vec<(&'static str, &'static str)>,
}

impl Desk {
    /// A new set's identity.
    #[must_use]
    pub fn new_tempo_set() -> RecordId {
        clock::new_id()
    }

    /// Writes a count and then, when it is on disk, hands on the record.
    pub fn keep_taken(self, taken: &Taken, then: impl Fn(&Rep) + Send + Sync + 'static) {
        let (Some(hitter), Some(head)) = (untrack(|| self.hitter()), self.new_head()) else {
            return;
        };
        let mut context = self.context(&hitter);
        context.environment = code(taken.environment.id());
        if !super::has_feed(taken.environment) {
            context.feed = code("none");
        }
        let numbers: BTreeMap<_, _> = taken
            .numbers
            .iter()
            .map(|(name, s)| (code(name), *s))
            .collect();
        let choices: BTreeMap<_, _> = taken
            .choices
            .iter()
            .map(|(name, id)| (code(name), code(id)))
            .collect();
        let rep = Arc::new(Rep {
            head,
            hitter: hitter.head.id,
            set: taken.set,
            number: taken.number,
            context,
            count_s: taken.count_s,
            taken_by: code(taken.taken_by),
            numbers,
            choices,
        });
        let change: Arc<dyn Change> = rep.clone();
        self.save(vec![change], move || then(&rep));
    }

    /// The latest reps of `hitter` that count, oldest first.
    ///
    /// # Errors
    /// What the storage says.
    pub async fn latest_reps(self, hitter: RecordId) -> Result<Vec<Rep>, StorageError> {
        let mut reps: Vec<Rep> = self
            .reading(async |database| database.latest(hitter, LOOK_BACK).await)
            .await?;
        reps.retain(|rep| !rep.head.is_removed());
        reps.reverse();
        Ok(reps)
    }

    /// A number of the chosen hitter.
    #[must_use]
    pub fn hitter_number(self, name: &str) -> Option<f64> {
        let hitter = self.hitter()?;
        hitter.numbers.get(name).map(|field| *field.get())
    }

    /// The chosen hitter's target count, if one was set that may be.
    #[must_use]
    pub fn target(self) -> Option<Target> {
        Target::new(self.hitter_number(names::hitter::COUNT)?).ok()
    }

    /// Writes a number of the chosen hitter and then says `said`; the note offers to
    /// bring the one before back.
    pub fn set_hitter_number(self, name: &'static str, value: f64, said: String) {
        let Some(hitter) = untrack(|| self.hitter()) else {
            return;
        };
        let before = hitter.numbers.get(name).map(|field| *field.get());
        self.write_hitter_number(hitter, name, value, move || match before {
            None => self.notes.say(said.clone(), None),
            Some(before) => {
                let undo: Arc<dyn Fn() + Send + Sync> = Arc::new(move || {
                    if let Some(hitter) = untrack(|| self.hitter()) {
                        self.write_hitter_number(hitter, name, before, || ());
                    }
                });
                self.notes.say(said.clone(), Some(("Undo", undo)));
            }
        });
    }

    fn write_hitter_number(
        self,
        mut hitter: Hitter,
        name: &'static str,
        value: f64,
        then: impl Fn() + Send + Sync + 'static,
    ) {
        let made = hitter.head.made;
        let written = self.with_clock(|stamps| {
            write_named(&mut hitter.numbers, &code(name), value, made, stamps);
        });
        if written.is_none() {
            return;
        }
        let kept = Arc::new(hitter);
        let change: Arc<dyn Change> = kept.clone();
        self.save(vec![change], move || {
            self.hitters.update(|all| {
                if let Some(known) = all.iter_mut().find(|known| known.head.id == kept.head.id) {
                    *known = Hitter::clone(&kept);
                }
            });
            then();
        });
    }

    /// Takes a rep out of its set, or puts it back, then does `then`. A note offers
    /// to undo it.
    pub fn take_out(self, rep: Rep, then: Callback<()>) {
        self.set_removed(rep, true, move |removed| {
            let back = removed.clone();
            let undo: Arc<dyn Fn() + Send + Sync> = Arc::new(move || {
                self.set_removed(back.clone(), false, move |_| then.run(()));
            });
            let text = format!("Rep {} is taken out of the set.", removed.number);
            self.notes.say(text, Some(("Undo", undo)));
            then.run(());
        });
    }
}
