//! The machines and cages of the club: shown, added, edited, removed.

use super::Desk;
use super::desk::code;
use super::names::set_up as name;
use super::set_up::{Entry, write_entry};
use crate::device::database::{Change, StorageError};
use leptos::prelude::*;
use notebook::{Code, Equipment, Field, Fields, Record, RecordId};
use std::sync::Arc;
use wasm_bindgen_futures::spawn_local;

/// Kinds of wheels, as a record names them, and what the screen says.
pub const WHEELS: [(&str, &str); 4] = [
    ("arm", "Arm or hand"),
    ("one", "One wheel"),
    ("two", "Two wheels"),
    ("three", "Three wheels"),
];

/// What equipment there is. Its id is also the name of a set-up's choice.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum What {
    /// A machine.
    Machine,
    /// A cage or field.
    Cage,
}

impl What {
    /// Its id in records.
    pub const fn id(self) -> &'static str {
        match self {
            Self::Machine => name::MACHINE,
            Self::Cage => name::CAGE,
        }
    }

    const fn first_name(self) -> &'static str {
        match self {
            Self::Machine => "Machine",
            Self::Cage => "Cage",
        }
    }
}

impl Desk {
    pub(super) async fn read_equipment(self) -> Result<(), StorageError> {
        let mut all: Vec<Equipment> = self.reading(async |database| database.all().await).await?;
        // In order of making, as the store keeps them by id.
        all.retain(|record| !record.head.is_removed());
        self.equipment.set(all);
        Ok(())
    }

    /// All of a kind, in order of making.
    pub fn equipment_of(self, what: What) -> Vec<Equipment> {
        self.equipment.with(|all| {
            let those = all
                .iter()
                .filter(|record| record.what.as_str() == what.id());
            those.cloned().collect()
        })
    }

    /// The record that the set-up's choice of this name is of, while it is there.
    pub(super) fn equipment_named(self, choice: &str) -> Option<Equipment> {
        let id = self.named(choice)?;
        self.equipment
            .with(|all| all.iter().find(|record| record.head.id == id).cloned())
    }

    /// The chosen hitter's machine or cage; `None` for the usual one.
    pub fn chosen_equipment(self, what: What) -> Option<Equipment> {
        self.equipment_named(what.id())
    }

    /// Adds a machine or cage of which nothing is known yet, and chooses it for
    /// the hitter.
    pub fn add_equipment(self, what: What) {
        let Some(head) = self.new_head() else { return };
        let number = untrack(|| self.equipment_of(what)).len() + 1;
        let made = head.made;
        let record = Equipment {
            head,
            what: code(what.id()),
            name: Field::new(format!("{} {number}", what.first_name()), made),
            numbers: Fields::new(),
            choices: Fields::new(),
        };
        let id = record.head.id;
        let written: Arc<dyn Change> = Arc::new(record.clone());
        self.edit_set_up_with(
            vec![Entry::choice(what.id(), &id.to_string())],
            Some(written),
            Box::new(move || self.equipment.update(|all| all.push(record.clone()))),
        );
    }

    /// Saves an entry of a machine or cage.
    pub fn edit_equipment(self, id: RecordId, entry: &Entry) {
        self.save_equipment(id, |record, stamps| {
            let Equipment {
                head,
                numbers,
                choices,
                ..
            } = record;
            write_entry(numbers, choices, entry, head.made, stamps)
        });
    }

    /// Saves another name of a machine or cage.
    pub fn rename_equipment(self, id: RecordId, name: String) {
        self.save_equipment(id, |record, stamps| record.name.set(name, stamps));
    }

    fn save_equipment(
        self,
        id: RecordId,
        edit: impl FnOnce(&mut Equipment, &notebook::StampClock) -> bool,
    ) {
        let Some(mut record) = self.untracked(id) else {
            return;
        };
        if self.with_clock(|stamps| edit(&mut record, stamps)) != Some(true) {
            return;
        }
        let written = Arc::new(record);
        let change: Arc<dyn Change> = written.clone();
        self.save(vec![change], move || {
            self.equipment.update(|all| {
                if let Some(shown) = all.iter_mut().find(|record| record.head.id == id) {
                    shown.merge(&written);
                }
            });
        });
    }

    fn untracked(self, id: RecordId) -> Option<Equipment> {
        self.equipment
            .with_untracked(|all| all.iter().find(|record| record.head.id == id).cloned())
    }

    /// Removes a machine or cage; a note offers to bring it back.
    pub fn remove_equipment(self, id: RecordId) {
        let Some(record) = self.untracked(id) else {
            return;
        };
        self.set_removed(record, true, move |removed| {
            let back = removed.clone();
            let undo: Arc<dyn Fn() + Send + Sync> = Arc::new(move || {
                self.set_removed(back.clone(), false, move |_| self.show_equipment());
            });
            self.notes.say(
                format!("{} is removed.", removed.name.get()),
                Some(("Undo", undo)),
            );
            self.show_equipment();
        });
    }

    fn show_equipment(self) {
        spawn_local(async move {
            if let Err(error) = self.read_equipment().await {
                self.notes.fail(error.to_string(), None);
            }
        });
    }
}

/// A choice of a record's list, by an id that the screen offered.
pub fn choice_of(name: &'static str, id: &str) -> Option<Entry> {
    Code::new(id).ok().map(|id| Entry::Choice(name, id))
}
