//! What came of drill cards with a hitter, and the latest looks, whose faults cards
//! answer.

use super::desk::code;
use super::profile::LOOKS;
use super::{Desk, OfSkill, OneLook, OwnLists};
use crate::device::database::{Change, StorageError};
use coaching::prescription::Outcome as Came;
use coaching::vocabulary::{Side, Sport};
use leptos::prelude::*;
use notebook::{Code, Outcome, RecordId};
use std::sync::Arc;

/// How many of a hitter's latest outcomes are read.
const OUTCOMES: u32 = 500;

/// The latest looks at one hitter, and what came of cards so far, over all records
/// joined.
#[derive(Debug, Clone)]
pub struct Found {
    /// The side of the plate that is asked about.
    pub side: Side,
    looks: Vec<OneLook>,
    /// What came of cards, oldest first.
    pub history: Vec<Outcome>,
}

impl Found {
    /// Each skill that was looked at, beside the coach's lists; the swing always.
    pub fn skills<'a>(&self, lists: &'a OwnLists, sport: Sport) -> Vec<OfSkill<'a>> {
        OfSkill::all(lists, sport, &self.looks, self.side.id())
    }

    /// Card and outcome, oldest first, as far as this version knows them.
    pub fn came(&self) -> Vec<(&str, Came)> {
        let known = |one: &Outcome| Came::from_id(one.outcome.as_str());
        let history = self.history.iter();
        history
            .filter_map(|one| Some((one.card.as_str(), known(one)?)))
            .collect()
    }
}

impl Desk {
    /// The latest looks at these records of one hitter, to be asked about one side,
    /// and what came of cards.
    ///
    /// # Errors
    /// What the storage says.
    pub async fn found(self, records: &[RecordId], side: Side) -> Result<Found, StorageError> {
        self.reading(async |database| {
            let looks = OneLook::latest(database, records, LOOKS).await?;
            let mut history: Vec<Outcome> = database.latest_of_all(records, OUTCOMES).await?;
            history.retain(|one| !one.head.is_removed());
            history.sort_unstable_by_key(|one| one.head.made);
            Ok(Found {
                side,
                looks,
                history,
            })
        })
        .await
    }

    /// Saves what came of a card with the chosen hitter. A note offers to take
    /// it back; `then` runs after either. (No `Callback`: it would be gone with
    /// the button that made it, and the note outlives that.)
    pub fn record_outcome(
        self,
        card: &str,
        title: &str,
        item: Option<&str>,
        outcome: Came,
        then: Arc<dyn Fn() + Send + Sync>,
    ) {
        let hitter = self.chosen.get_untracked();
        let (Some(hitter), Ok(card)) = (hitter, Code::new(card)) else {
            return;
        };
        let Some(head) = self.new_head() else { return };
        let record = Outcome {
            head,
            hitter,
            card,
            item: item.and_then(|item| Code::new(item).ok()),
            outcome: code(outcome.id()),
        };
        let said = format!("{title}: {}.", outcome.name());
        let change: Arc<dyn Change> = Arc::new(record.clone());
        self.save(vec![change], move || {
            let (back, after) = (record.clone(), then.clone());
            let undo: Arc<dyn Fn() + Send + Sync> = Arc::new(move || {
                let after = after.clone();
                self.set_removed(back.clone(), true, move |_| after());
            });
            self.notes.say(said.clone(), Some(("Undo", undo)));
            then();
        });
    }
}
