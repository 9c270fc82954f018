//! What the hitter's page reads: the latest looks first, which its finding stands on,
//! then cards and sets of late, over all records joined, never all there are. No
//! writes and no rules here.

use super::{Desk, OneLook};
use crate::device::database::{Database, StorageError};
use coaching::card_file;
use notebook::{Code, Outcome, Own, RecordId, Rep};
use std::cmp::Reverse;

/// How many of the latest looks are read. An item stands on its last three answers,
/// and not every look asks every item.
pub const LOOKS: usize = 12;
/// How many of the latest outcomes.
const OUTCOMES: u32 = 12;
/// How many of the latest reps, for the sets of late.
const REPS: u32 = 100;

/// What was read of a hitter beside the looks, over all records joined.
#[derive(Debug, Clone, PartialEq)]
pub struct Profile {
    /// The record that was asked for.
    pub hitter: RecordId,
    /// What came of cards lately, newest first.
    pub outcomes: Vec<Outcome>,
    /// Ids and titles of the own cards among them.
    own_titles: Vec<(String, String)>,
    /// The latest reps, newest first.
    pub reps: Vec<Rep>,
    /// Whether there may be older reps than those read.
    pub more_reps: bool,
}

impl Profile {
    /// The name of a card.
    pub fn card_title(&self, id: &Code) -> String {
        let own = self.own_titles.iter().find(|own| own.0 == id.as_str());
        match (coaching::cards::card(id.as_str()), own) {
            (Some(card), _) => card.title.to_owned(),
            (None, Some(own)) => own.1.clone(),
            (None, None) => "A card that is not on this phone".to_owned(),
        }
    }

    async fn read(database: &Database, records: &[RecordId]) -> Result<Self, StorageError> {
        let mut outcomes: Vec<Outcome> = database.latest_of_all(records, OUTCOMES).await?;
        let mut reps: Vec<Rep> = database.latest_of_all(records, REPS).await?;
        let more_reps = reps.len() >= REPS as usize;
        outcomes.retain(|one| !one.head.is_removed());
        outcomes.sort_unstable_by_key(|one| Reverse(one.head.made));
        reps.retain(|rep| !rep.head.is_removed());
        reps.sort_unstable_by_key(|rep| Reverse(rep.head.made));
        let is_own = |one: &Outcome| coaching::own::is_own(one.card.as_str());
        let own_titles = match outcomes.iter().any(is_own) {
            true => own_titles(database).await?,
            false => Vec::new(),
        };
        Ok(Self {
            hitter: records[0],
            outcomes,
            own_titles,
            reps,
            more_reps,
        })
    }
}

/// Ids and titles of the coach's own cards, removed ones too: they were tried.
async fn own_titles(database: &Database) -> Result<Vec<(String, String)>, StorageError> {
    let records: Vec<Own> = database.all().await?;
    let cards = records.iter().filter(|own| own.what.as_str() == "card");
    let read = cards.filter_map(|own| card_file::read(own.content.get()).ok());
    let titles = read.flatten().map(|card| (card.id, card.title));
    Ok(titles.collect())
}

impl Desk {
    /// The latest looks at these records of one hitter, oldest first.
    ///
    /// # Errors
    /// What the storage says.
    pub async fn latest_looks(self, records: &[RecordId]) -> Result<Vec<OneLook>, StorageError> {
        self.reading(async |database| OneLook::latest(database, records, LOOKS).await)
            .await
    }

    /// Reads what the hitter's page shows beside the looks of these records of one
    /// hitter, the one asked for first.
    ///
    /// # Errors
    /// What the storage says.
    pub async fn profile(self, records: &[RecordId]) -> Result<Profile, StorageError> {
        self.reading(async |database| Profile::read(database, records).await)
            .await
    }
}
