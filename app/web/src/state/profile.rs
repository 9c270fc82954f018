//! What the hitter's page reads: the latest looks, cards and sets of a hitter
//! over all records joined, never all there are. No writes and no rules here.

use super::Desk;
use crate::device::database::{Database, StorageError};
use coaching::card_file;
use coaching::check::question;
use coaching::vocabulary::Answer;
use notebook::{Check, Code, Observation, Outcome, Own, RecordId, Rep, Stamp};
use std::cmp::Reverse;

/// How many of the latest looks are read of each record. An item stands on its
/// last three answers, and not every look asks every item.
const LOOKS: u32 = 12;
/// How many answers a look has at most: every item, and some changed minds.
const ANSWERS: u32 = 40;
/// How many of the latest outcomes.
const OUTCOMES: u32 = 12;
/// How many of the latest reps, for the sets of late.
const REPS: u32 = 100;

/// One look: its check, and every answer of it in order of making. (Not only the
/// latest of each item: pain that was said once is lifted by a "yes" alone.)
#[derive(Debug, Clone)]
pub struct LookRead {
    /// The check.
    pub check: Check,
    /// Ids and answers.
    pub answers: Vec<(String, Answer)>,
}

impl LookRead {
    /// The look of a check, out of the observations of its hitter.
    fn of(check: Check, observations: &[Observation]) -> Self {
        let id = check.head.id;
        let of_look = |one: &&Observation| one.check == id && !one.head.is_removed();
        let mut seen: Vec<&Observation> = observations.iter().filter(of_look).collect();
        seen.sort_unstable_by_key(|one| one.head.made);
        let answer = |one: &Observation| {
            // An answer that only a newer version knows counts as not seen.
            let answer = Answer::from_id(one.answer.as_str()).unwrap_or(Answer::NotSeen);
            (one.item.as_str().to_owned(), answer)
        };
        let answers = seen.into_iter().map(answer).collect();
        Self { check, answers }
    }

    /// When it began.
    pub const fn made(&self) -> Stamp {
        self.check.head.made
    }

    /// What it says of a hitter on this side of the plate. A look from the other
    /// side says nothing of the items; pain is pain on both.
    pub fn from_side(&self, side: &Code) -> Vec<(&str, Answer)> {
        let same_side = self.check.context.side == *side;
        let answers = self.answers.iter();
        answers
            .filter(|(id, _)| same_side || question(id).is_some())
            .map(|(id, answer)| (id.as_str(), *answer))
            .collect()
    }
}

/// What was read of a hitter, over all records joined.
#[derive(Debug, Clone)]
pub struct Profile {
    /// The record that was asked for.
    pub hitter: RecordId,
    /// The latest looks, oldest first.
    pub looks: Vec<LookRead>,
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
        let mut profile = Self {
            hitter: records[0],
            looks: Vec::new(),
            outcomes: Vec::new(),
            own_titles: Vec::new(),
            reps: Vec::new(),
            more_reps: false,
        };
        for record in records {
            let checks: Vec<Check> = database.latest(*record, LOOKS).await?;
            // All looks' answers at once: each reading waits for the disk.
            let seen: Vec<Observation> = database.latest(*record, LOOKS * ANSWERS).await?;
            let kept = checks.into_iter().filter(|check| !check.head.is_removed());
            profile
                .looks
                .extend(kept.map(|check| LookRead::of(check, &seen)));
            profile
                .outcomes
                .extend(database.latest::<Outcome>(*record, OUTCOMES).await?);
            let reps: Vec<Rep> = database.latest(*record, REPS).await?;
            profile.more_reps |= reps.len() == REPS as usize;
            profile.reps.extend(reps);
        }
        profile.outcomes.retain(|one| !one.head.is_removed());
        profile.reps.retain(|rep| !rep.head.is_removed());
        profile.looks.sort_unstable_by_key(LookRead::made);
        profile
            .outcomes
            .sort_unstable_by_key(|one| Reverse(one.head.made));
        profile
            .reps
            .sort_unstable_by_key(|rep| Reverse(rep.head.made));
        let is_own = |one: &Outcome| coaching::own::is_own(one.card.as_str());
        if profile.outcomes.iter().any(is_own) {
            profile.own_titles = own_titles(database).await?;
        }
        Ok(profile)
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
    /// Reads what the hitter's page shows of these records of one hitter, the
    /// one asked for first.
    ///
    /// # Errors
    /// What the storage says.
    pub async fn profile(self, records: &[RecordId]) -> Result<Profile, StorageError> {
        self.reading(async |database| Profile::read(database, records).await)
            .await
    }
}
