//! What the hitter's page reads: the latest looks first, which its finding stands on,
//! then cards and sets of late, over all records joined, never all there are. No
//! writes and no rules here.

use super::{Desk, OneLook};
use crate::device::database::{Database, StorageError};
use coaching::card_file;
use futures_util::FutureExt as _;
use futures_util::future::{LocalBoxFuture, Shared};
use leptos::prelude::*;
use notebook::{Code, Outcome, Own, RecordId, Rep};
use std::cmp::Reverse;
use wasm_bindgen_futures::spawn_local;

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

type Reading = Shared<LocalBoxFuture<'static, Result<Vec<OneLook>, StorageError>>>;

/// The looks at hitters whose page is wanted soon: of the few names that a search has
/// left, and of the name that the finger is on. Until the page is built, they are
/// there.
#[derive(Clone, Copy)]
pub struct LooksAhead {
    desk: Desk,
    /// What may be wanted, and since when, ms.
    near: StoredValue<Vec<(RecordId, f64, Reading)>, LocalStorage>,
    /// What the page that is being opened takes.
    going: StoredValue<Option<(RecordId, Reading)>, LocalStorage>,
}

/// Looks that were read ahead longer ago than this are read again.
const AHEAD_MS: f64 = 10_000.0;
/// Of no more hitters than this.
const AHEAD: usize = 3;

impl LooksAhead {
    /// Nothing is read yet.
    pub fn start(desk: Desk) -> Self {
        let ahead = Self {
            desk,
            near: StoredValue::new_local(Vec::new()),
            going: StoredValue::new_local(None),
        };
        // Another tab or phone has written: the looks may be others now.
        Effect::new(move |_| {
            desk.hitters.track();
            ahead.forget();
        });
        ahead
    }

    /// Reads the looks at these records of one hitter, unless they are there.
    pub fn begin(self, records: &[RecordId]) {
        let Some(id) = records.first().copied() else {
            return;
        };
        let now_ms = js_sys::Date::now();
        let is_fresh = self.near.try_update_value(|near| {
            near.retain(|(_, begun_ms, _)| now_ms - begun_ms < AHEAD_MS);
            near.iter().any(|(of, ..)| *of == id)
        });
        if is_fresh != Some(false) {
            return;
        }
        let reading = self.reading(records.to_vec());
        spawn_local(reading.clone().map(drop));
        self.near.update_value(|near| {
            if near.len() >= AHEAD {
                drop(near.remove(0));
            }
            near.push((id, now_ms, reading));
        });
    }

    /// The page of this hitter is opened next.
    pub fn go(self, records: &[RecordId]) {
        self.begin(records);
        let of = |id: &RecordId| {
            self.near.with_value(|near| {
                let known = near.iter().find(|(of, ..)| of == id);
                known.map(|(of, _, reading)| (*of, reading.clone()))
            })
        };
        self.going.set_value(records.first().and_then(of));
    }

    /// What was read ahead of this hitter, once, as the looks may change after; else
    /// what is read now.
    pub async fn take(self, records: &[RecordId]) -> Result<Vec<OneLook>, StorageError> {
        let going = self.going.try_update_value(Option::take).flatten();
        let reading = going.filter(|(of, _)| Some(of) == records.first());
        match reading {
            Some((_, reading)) => reading.await,
            None => self.desk.latest_looks(records).await,
        }
    }

    /// Nothing of what was read is wanted any more.
    pub fn forget(self) {
        let _ = self.near.try_update_value(Vec::clear);
    }

    fn reading(self, records: Vec<RecordId>) -> Reading {
        let reading = async move { self.desk.latest_looks(&records).await };
        reading.boxed_local().shared()
    }
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
