//! The coach's own drill cards: records of the club's notebook whose content is
//! a file of one card. What a card may be is `coaching`'s rule.

use super::Desk;
use super::desk::code;
use crate::device::clock;
use crate::device::database::{Change, Database, StorageError};
use crate::words::by_name;
use coaching::card_file;
use coaching::own::OWN;
use coaching::own_cards::OwnCard;
use notebook::{Field, Own, RecordId};
use std::sync::Arc;

/// What such a record says it is.
const CARD: &str = "card";

/// An own card with its record.
#[derive(Debug, Clone)]
pub struct KeptCard {
    /// The record.
    pub record: Own,
    /// What it holds.
    pub card: OwnCard,
}

/// All own cards.
#[derive(Debug, Clone, Default)]
pub struct OwnCards {
    /// By name.
    pub cards: Vec<KeptCard>,
    /// Those removed, which a file may bring back.
    removed: Vec<KeptCard>,
    /// Ids of all own records, whatever they are.
    ids: Vec<RecordId>,
    /// How many this version cannot read. They are kept as they are.
    pub unreadable: usize,
}

impl OwnCards {
    async fn read(database: &Database) -> Result<Self, StorageError> {
        let mut all = Self::default();
        for record in database.all::<Own>().await? {
            all.ids.push(record.head.id);
            if record.what.as_str() != CARD {
                continue;
            }
            let read = card_file::read(record.content.get());
            match read.ok().and_then(|mut cards| cards.pop()) {
                None => all.unreadable += usize::from(!record.head.is_removed()),
                Some(card) if record.head.is_removed() => {
                    all.removed.push(KeptCard { record, card });
                }
                Some(card) => all.cards.push(KeptCard { record, card }),
            }
        }
        all.cards
            .sort_unstable_by(|a, b| by_name(&a.card.title, &b.card.title));
        Ok(all)
    }

    /// The card of an id, if it is here and not removed.
    pub fn card(&self, id: &str) -> Option<&KeptCard> {
        self.cards.iter().find(|kept| kept.card.id == id)
    }

    /// The record that `card` is written to: its own, removed or not; else a new
    /// one. A card's id holds the id of its first record, so that a card that
    /// comes by a file and by sharing stays one.
    fn record_for(&self, desk: Desk, card: &OwnCard) -> Option<Own> {
        let mut known = self.cards.iter().chain(&self.removed);
        if let Some(kept) = known.find(|kept| kept.card.id == card.id) {
            return Some(kept.record.clone());
        }
        let mut head = desk.new_head()?;
        let of_card = card.id.strip_prefix(OWN).and_then(|id| id.parse().ok());
        if let Some(id) = of_card.filter(|id| !self.ids.contains(id)) {
            head.id = id;
        }
        Some(Own {
            what: code(CARD),
            content: Field::new(content(card), head.made),
            head,
        })
    }
}

fn content(card: &OwnCard) -> String {
    card_file::write(std::slice::from_ref(card))
}

/// An id for a card that is new.
pub fn new_card_id() -> String {
    format!("{OWN}{}", clock::new_id())
}

impl Desk {
    /// All own cards.
    ///
    /// # Errors
    /// What the storage says.
    pub async fn own_cards(self) -> Result<OwnCards, StorageError> {
        self.reading(OwnCards::read).await
    }

    /// Saves cards, new or edited, all or none; `then` gets their records.
    pub fn save_own_cards(
        self,
        known: &OwnCards,
        cards: &[OwnCard],
        then: impl Fn(Vec<Own>) + Send + Sync + 'static,
    ) {
        let mut records = Vec::with_capacity(cards.len());
        for card in cards {
            let Some(mut record) = known.record_for(self, card) else {
                return;
            };
            let written = self.with_clock(|stamps| {
                record.content.set(content(card), stamps);
                if record.head.is_removed() {
                    record.head.set_removed(false, stamps);
                }
            });
            if written.is_none() {
                return;
            }
            records.push(record);
        }
        self.save_records(records, then);
    }

    /// Removes own cards, or brings them back.
    pub fn set_own_cards_removed(
        self,
        mut records: Vec<Own>,
        removed: bool,
        then: impl Fn(Vec<Own>) + Send + Sync + 'static,
    ) {
        for record in &mut records {
            let done = self.with_clock(|stamps| record.head.set_removed(removed, stamps));
            if done.is_none() {
                return;
            }
        }
        self.save_records(records, then);
    }

    fn save_records(self, records: Vec<Own>, then: impl Fn(Vec<Own>) + Send + Sync + 'static) {
        let changes: Vec<Arc<dyn Change>> = records
            .iter()
            .map(|record| -> Arc<dyn Change> { Arc::new(record.clone()) })
            .collect();
        self.save(changes, move || then(records.clone()));
    }
}
