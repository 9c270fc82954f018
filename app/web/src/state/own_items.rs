//! The coach's own check items and the order of all: read, written, taken back. In
//! the club's notebook.

use super::Desk;
use super::desk::code;
use crate::device::clock;
use crate::device::database::{Change, StorageError};
use coaching::check::Skill;
use coaching::checklist::{Arrangement, CheckList, OF_A_NEWER_VERSION};
use coaching::own::{OWN, OwnItem, is_own};
use coaching::own_file::{read_arrangement, read_item, write_arrangement, write_item};
use coaching::vocabulary::Sport;
use leptos::prelude::*;
use notebook::{Field, Own, RecordId};
use std::sync::Arc;
use wasm_bindgen_futures::spawn_local;

/// `Own::what` of an item.
const ITEM: &str = "item";
/// `Own::what` of the order.
const ARRANGEMENT: &str = "arrangement";
/// There is one order: phones that make it apart make the same record. A UUID
/// version 8 (RFC 9562, 5.8), free text in its bytes, so no phone draws it.
const THE_ORDER: RecordId = RecordId::from_bytes(*b"items-\x80\0\x80ordered");

/// What the coach made of the lists.
#[derive(Debug, Clone, Default)]
pub struct OwnLists {
    records: Vec<Own>,
    /// The own items that are not removed and that this version can read.
    pub items: Vec<OwnItem>,
    /// The order.
    pub arrangement: Arrangement,
    /// How many records this version cannot read; they stay as they are.
    pub not_read: usize,
}

impl OwnLists {
    fn of(records: Vec<Own>) -> Self {
        let mut lists = Self::default();
        for record in records.iter().filter(|record| !record.head.is_removed()) {
            let content = record.content.get();
            let read = match record.what.as_str() {
                ITEM => read_item(content).map(|item| lists.items.push(item)),
                ARRANGEMENT => read_arrangement(content).map(|read| lists.arrangement = read),
                _ => Ok(()),
            };
            lists.not_read += usize::from(read.is_err());
        }
        lists.records = records;
        lists
    }

    /// The list to ask of a skill.
    pub fn list(&self, skill: Skill, sport: Sport) -> CheckList<'_> {
        CheckList::merged(skill, sport, &self.items, &self.arrangement)
    }

    /// The title of an item, built-in or own.
    pub fn title(&self, id: &str) -> &str {
        let own = || self.items.iter().find(|item| item.id == id);
        match (coaching::check::item(id), own()) {
            (Some(item), _) => item.title,
            (None, Some(own)) => &own.title,
            (None, None) if is_own(id) => "An own item that is not on the list",
            (None, None) => OF_A_NEWER_VERSION,
        }
    }

    fn record_of(&self, item: &str) -> Option<&Own> {
        let is_it = |record: &&Own| {
            record.what.as_str() == ITEM
                && read_item(record.content.get()).is_ok_and(|read| read.id == item)
        };
        self.records.iter().find(is_it)
    }

    fn order_record(&self) -> Option<&Own> {
        let mut records = self.records.iter();
        records.find(|record| record.head.id == THE_ORDER)
    }
}

/// The coach's own lists, as a page shows them.
#[derive(Clone, Copy)]
pub struct OwnItems {
    desk: Desk,
    /// The lists; none while they are read.
    pub lists: RwSignal<Option<Result<OwnLists, StorageError>>>,
}

impl OwnItems {
    /// Begins to read, once the notebook is open and whenever another tab or phone
    /// has written. For as long as the book is open: findings stand on the lists.
    pub fn start(desk: Desk) -> Self {
        let own = Self {
            desk,
            lists: RwSignal::new(None),
        };
        Effect::new(move |_| {
            desk.hitters.track();
            if desk.opening.get() == super::Opening::Ready {
                own.read();
            }
        });
        own
    }

    fn read(self) {
        spawn_local(async move {
            let read = self
                .desk
                .reading(async |database| database.all::<Own>().await)
                .await;
            self.lists.set(Some(read.map(OwnLists::of)));
        });
    }

    /// What `with` makes of the lists; of none of the coach's while they are read.
    pub fn with<T>(self, with: impl FnOnce(&OwnLists) -> T) -> T {
        self.lists.with(|lists| match lists {
            Some(Ok(lists)) => with(lists),
            _ => with(&OwnLists::default()),
        })
    }

    /// A new own item's id.
    pub fn new_id() -> String {
        format!("{OWN}{}", clock::new_id())
    }

    /// Saves a checked own item, new or edited; once it is on disk does `then` and says
    /// `told`; "Undo" brings back what was there before.
    pub fn keep(self, item: &OwnItem, told: String, then: Then) {
        let content = write_item(item);
        let known = untrack(|| self.with(|lists| lists.record_of(&item.id).cloned()));
        match known {
            Some(record) => {
                let before = record.content.get().clone();
                self.write(record, content, told, Back::Content(before), then);
            }
            None => {
                if let Some(record) = self.new_record(None, ITEM, content) {
                    let change: Arc<dyn Change> = Arc::new(record.clone());
                    self.desk.save(vec![change], move || {
                        then();
                        self.read();
                        self.say(record.clone(), told.clone(), Back::Removed(true));
                    });
                }
            }
        }
    }

    /// Takes an own item away; "Undo" brings it back. Answers given to it stay.
    pub fn remove(self, item: &str) {
        let known = untrack(|| self.with(|lists| lists.record_of(item).cloned()));
        if let Some(record) = known {
            self.desk.set_removed(record, true, move |removed| {
                self.read();
                let told = "The item is removed. Answers given to it are kept.";
                self.say(removed.clone(), told.to_owned(), Back::Removed(false));
            });
        }
    }

    /// Keeps another order, then says `told`; "Undo" brings back the one before.
    pub fn arrange(self, arrangement: &Arrangement, told: String) {
        let content = write_arrangement(arrangement);
        let known = untrack(|| self.with(|lists| lists.order_record().cloned()));
        let usual = write_arrangement(&Arrangement::default());
        match known {
            Some(record) => {
                let before = record.content.get().clone();
                self.write(
                    record,
                    content,
                    told,
                    Back::Content(before),
                    Arc::new(|| ()),
                );
            }
            None => {
                if let Some(record) = self.new_record(Some(THE_ORDER), ARRANGEMENT, content) {
                    let change: Arc<dyn Change> = Arc::new(record.clone());
                    self.desk.save(vec![change], move || {
                        self.read();
                        let back = Back::Content(usual.clone());
                        self.say(record.clone(), told.clone(), back);
                    });
                }
            }
        }
    }

    fn new_record(self, id: Option<RecordId>, what: &str, content: String) -> Option<Own> {
        let mut head = self.desk.new_head()?;
        if let Some(id) = id {
            head.id = id;
        }
        let made = head.made;
        Some(Own {
            head,
            what: code(what),
            content: Field::new(content, made),
        })
    }

    fn write(self, mut record: Own, content: String, told: String, back: Back, then: Then) {
        let written = self
            .desk
            .with_clock(|stamps| record.content.set(content, stamps));
        match written {
            Some(true) => {}
            // It stands so already.
            Some(false) => return then(),
            None => return,
        }
        let change: Arc<dyn Change> = Arc::new(record.clone());
        self.desk.save(vec![change], move || {
            then();
            self.read();
            self.say(record.clone(), told.clone(), back.clone());
        });
    }

    /// Says what was done, with the way back.
    fn say(self, record: Own, told: String, back: Back) {
        let undo: Arc<dyn Fn() + Send + Sync> = Arc::new(move || {
            let mut record = record.clone();
            let done = self.desk.with_clock(|stamps| match &back {
                Back::Content(before) => {
                    record.content.set(before.clone(), stamps);
                }
                Back::Removed(removed) => record.head.set_removed(*removed, stamps),
            });
            if done.is_some() {
                let change: Arc<dyn Change> = Arc::new(record);
                self.desk.save(vec![change], move || self.read());
            }
        });
        self.desk.notes.say(told, Some(("Undo", undo)));
    }
}

/// What is done once something is on disk.
pub type Then = Arc<dyn Fn() + Send + Sync>;

/// What undoing puts back.
#[derive(Clone)]
enum Back {
    /// The content of before.
    Content(String),
    /// Removed, or there again.
    Removed(bool),
}
