//! The set being counted: taps to reps.

use super::Desk;
use super::desk::code;
use crate::device::database::{Change, Database, StorageError};
use crate::device::{clock, settings};
use coaching::count::{CountError, SetStats, Taps};
use coaching::vocabulary::{Environment, Hand, Side};
use leptos::prelude::*;
use notebook::{RecordId, Rep};
use std::collections::BTreeMap;
use std::sync::Arc;

/// How a count was taken.
const TWO_TAPS: &str = "two-taps";
/// Setting of a hitter: the set being counted.
const OPEN_SET: &str = "set";

/// A lift that waits for its contact.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lift {
    /// Time of the tap's event, in ms since the page was opened.
    pub at_ms: f64,
}

/// One set.
#[derive(Debug, Clone)]
pub struct Round {
    /// Identity of the set.
    pub set: RecordId,
    /// Its reps on disk, in order, removed ones included.
    all: Vec<Rep>,
    /// Number of the next rep; runs ahead of `all` while writes are under way.
    next: u32,
    /// The lift that waits for its contact.
    pub lift: Option<Lift>,
}

impl Round {
    /// An empty set.
    pub const fn new(set: RecordId) -> Self {
        Self {
            set,
            all: Vec::new(),
            next: 1,
            lift: None,
        }
    }

    /// The set `hitter` was counted in last.
    ///
    /// # Errors
    /// What the storage says.
    pub async fn read(database: &Database, hitter: RecordId) -> Result<Self, StorageError> {
        let open = settings::of_hitter(OPEN_SET, hitter).and_then(|set| set.parse().ok());
        let set = match open {
            Some(set) => Some(set),
            None => {
                let mut latest: Vec<Rep> = database.latest(hitter, 1).await?;
                if latest.is_empty() {
                    // There is none, or the latest cannot be read.
                    latest = database.latest(hitter, 5).await?;
                }
                latest.first().map(|rep| rep.set)
            }
        };
        let Some(set) = set else {
            return Ok(Self::new(clock::new_id()));
        };
        // In order of their ids, which begin with the time of making.
        let all: Vec<Rep> = database.by_index("set", set).await?;
        Ok(Self {
            set,
            next: all.iter().map(|rep| rep.number + 1).max().unwrap_or(1),
            all,
            lift: None,
        })
    }

    /// Shows `read` from now on. When it is the same set, read again, a lift
    /// that waits and numbers given to reps under way stay; a set without reps
    /// is the same as any other without.
    pub fn take_over(&mut self, read: Self, same_hitter: bool) {
        let both_empty = read.all.is_empty() && self.all.is_empty();
        if same_hitter && (read.set == self.set || both_empty) {
            self.next = self.next.max(read.next);
            self.all = read.all;
        } else {
            *self = read;
        }
    }

    /// The reps that count.
    pub fn reps(&self) -> impl DoubleEndedIterator<Item = &Rep> {
        self.all.iter().filter(|rep| !rep.head.is_removed())
    }

    /// Last, mean and spread; `None` while there is no rep.
    pub fn stats(&self) -> Option<SetStats> {
        let counts_s: Vec<f64> = self.reps().map(|rep| rep.count_s).collect();
        SetStats::of(&counts_s)
    }

    fn put(&mut self, rep: &Rep) {
        if rep.set != self.set {
            return;
        }
        match self
            .all
            .iter_mut()
            .find(|known| known.head.id == rep.head.id)
        {
            Some(known) => *known = rep.clone(),
            None => {
                let place = self
                    .all
                    .partition_point(|known| known.head.id < rep.head.id);
                self.all.insert(place, rep.clone());
            }
        }
    }
}

impl Desk {
    /// A tap at `at_ms` (the event's own time): lift, or contact when a lift
    /// waits.
    pub fn tap(self, at_ms: f64) {
        let Some(lift) = self.round.with_untracked(|round| round.lift) else {
            self.round.update(|round| round.lift = Some(Lift { at_ms }));
            return;
        };
        self.round.update(|round| round.lift = None);
        let taps = Taps {
            lift_ms: lift.at_ms,
            contact_ms: at_ms,
        };
        match taps.count_s() {
            Ok(count_s) => self.save_rep(count_s),
            Err(error @ CountError::TooLong { .. }) => {
                // Most likely the contact of a swing that was broken off was
                // never tapped, and this is the next lift.
                self.round.update(|round| round.lift = Some(Lift { at_ms }));
                self.notes
                    .say(format!("{error} This tap is the new lift."), None);
            }
            Err(error) => self.notes.say(error.to_string(), None),
        }
    }

    /// Forgets a lift without contact.
    pub fn forget_lift(self) {
        self.round.update(|round| round.lift = None);
    }

    fn save_rep(self, count_s: f64) {
        let Some(hitter) = untrack(|| self.hitter()) else {
            return;
        };
        let Some(head) = self.new_head() else {
            return;
        };
        let (set, number) = self
            .round
            .try_update(|round| {
                let number = round.next;
                round.next += 1;
                (round.set, number)
            })
            .unwrap_or((clock::new_id(), 1));
        settings::set_of_hitter(OPEN_SET, hitter.head.id, &set.to_string());
        let rep = Arc::new(Rep {
            head,
            hitter: hitter.head.id,
            set,
            number,
            context: self.context(&hitter),
            count_s,
            taken_by: code(TWO_TAPS),
            numbers: BTreeMap::new(),
            choices: BTreeMap::new(),
        });
        let change: Arc<dyn Change> = rep.clone();
        self.save(vec![change], move || {
            self.round.update(|round| round.put(&rep));
        });
    }

    /// Takes a rep out of its set; a note offers to bring it back.
    pub fn remove_rep(self, rep: Rep) {
        self.set_removed(rep, true, move |removed| {
            self.round.update(|round| round.put(removed));
            let back = removed.clone();
            let undo: Arc<dyn Fn() + Send + Sync> = Arc::new(move || {
                self.set_removed(back.clone(), false, move |rep| {
                    self.round.update(|round| round.put(rep));
                });
            });
            let text = format!("Rep {} is taken out of the set.", removed.number);
            self.notes.say(text, Some(("Undo", undo)));
        });
    }

    /// Begins a new set.
    pub fn new_set(self) {
        let set = clock::new_id();
        if let Some(hitter) = self.chosen.get_untracked() {
            settings::set_of_hitter(OPEN_SET, hitter, &set.to_string());
        }
        self.round.set(Round::new(set));
    }

    /// Changes the environment: a set holds one environment, so a set with reps
    /// in it is closed.
    pub fn set_environment(self, environment: Environment) {
        settings::set_environment(environment.id());
        self.environment.set(environment);
        self.end_set_if_begun();
    }

    /// Changes the pitcher's hand or feed side.
    pub fn set_feed(self, feed: Hand) {
        settings::set_feed(feed.id());
        self.feed.set(feed);
        self.end_set_if_begun();
    }

    /// Changes the side that a hitter of both sides bats from.
    pub fn set_side(self, side: Side) {
        if let Some(hitter) = self.chosen.get_untracked() {
            settings::set_of_hitter("side", hitter, side.id());
        }
        self.side.set(Some(side));
        self.end_set_if_begun();
    }

    fn end_set_if_begun(self) {
        if self.round.with_untracked(|round| !round.all.is_empty()) {
            self.new_set();
        }
    }
}
