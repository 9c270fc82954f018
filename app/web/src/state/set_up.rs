//! Writing a hitter's set-up question. What it means is in `question`.

use super::Desk;
use super::desk::code;
use super::names::set_up as name;
use super::question::{SetUpQuestion, level_of};
use crate::device::database::Change;
use leptos::prelude::*;
use notebook::{Code, Field, Fields, Head, RecordId, SetUp, Stamp, StampClock, write_named};
use std::sync::Arc;

/// Stands for "the usual one" where a record or a kind could be named.
pub const USUAL: &str = "usual";

/// One value to write, by its name in `names`.
#[derive(Debug, Clone, PartialEq)]
pub enum Entry {
    /// A number, in its field's own unit and range.
    Number(&'static str, f64),
    /// An id of a list, or of a record.
    Choice(&'static str, Code),
}

impl Entry {
    /// A choice by the id of one of our own lists.
    pub fn choice(name: &'static str, id: &str) -> Self {
        Self::Choice(name, code(id))
    }
}

impl Desk {
    /// The question of the chosen hitter.
    pub fn set_up_question(self) -> Option<SetUpQuestion> {
        let hitter = self.hitter()?;
        let level = level_of(&hitter);
        let machine = self.equipment_named(name::MACHINE);
        let cage = self.equipment_named(name::CAGE);
        Some(self.set_up.with(|saved| {
            SetUpQuestion::of(level, saved.as_ref(), machine.as_ref(), cage.as_ref())
        }))
    }

    /// Id of the record that the set-up's choice of this name is of.
    pub(super) fn named(self, choice: &str) -> Option<RecordId> {
        self.set_up.with(|saved| {
            let field = saved.as_ref()?.choices.get(choice)?;
            field.get().as_str().parse().ok()
        })
    }

    /// Saves entries of the question; numbers must be within their ranges.
    pub fn edit_set_up(self, entries: Vec<Entry>) {
        self.edit_set_up_with(entries, None, Box::new(|| ()));
    }

    /// Saves entries together with another record, all or none, and then does
    /// `then`.
    pub(super) fn edit_set_up_with(
        self,
        entries: Vec<Entry>,
        with: Option<Arc<dyn Change>>,
        then: Box<dyn Fn() + Send + Sync>,
    ) {
        let Some(mut set_up) = self.set_up_or_usual() else {
            return;
        };
        let edited = self.with_clock(|stamps| {
            let edits = entries
                .into_iter()
                .filter(|entry| write(&mut set_up, entry, stamps));
            edits.count() > 0
        });
        if edited != Some(true) {
            return;
        }
        let set_up = Arc::new(set_up);
        let mut changes: Vec<Arc<dyn Change>> = vec![set_up.clone()];
        changes.extend(with);
        self.save(changes, move || {
            then();
            if self.chosen.get_untracked() != Some(set_up.hitter) {
                return;
            }
            self.set_up.update(|shown| match shown {
                // Another edit may have been saved meanwhile.
                Some(shown) => notebook::Record::merge(shown, &set_up),
                None => *shown = Some(SetUp::clone(&set_up)),
            });
        });
    }

    /// The chosen hitter's saved set-up, or one of usual values.
    fn set_up_or_usual(self) -> Option<SetUp> {
        let hitter = untrack(|| self.hitter())?;
        let saved = self.set_up.get_untracked();
        saved.or_else(|| {
            let usual = SetUpQuestion::usual(level_of(&hitter));
            self.with_clock(|stamps| {
                // One set-up a hitter: its id follows from the hitter's.
                let head = Head::new(hitter.head.id, stamps);
                // Nobody wrote these: a default must never win over an edit
                // that is under way, here or on another phone.
                let default = Stamp::of_default(head.author);
                SetUp {
                    head,
                    hitter: hitter.head.id,
                    game_speed_mph: Field::new(usual.pitch.speed_mph, default),
                    pitcher: Field::new(code(usual.pitcher.id()), default),
                    machine_distance_ft: Field::new(usual.machine_distance_ft, default),
                    machine_speed_mph: Field::new(usual.machine_speed_mph, default),
                    numbers: Fields::new(),
                    choices: Fields::new(),
                }
            })
        })
    }
}

/// Writes one entry into the record; says whether it changed anything.
fn write(set_up: &mut SetUp, entry: &Entry, stamps: &StampClock) -> bool {
    match entry {
        Entry::Number(name::GAME_SPEED, value) => set_up.game_speed_mph.set(*value, stamps),
        Entry::Number(name::MACHINE_DISTANCE, value) => {
            set_up.machine_distance_ft.set(*value, stamps)
        }
        Entry::Number(name::MACHINE_SPEED, value) => set_up.machine_speed_mph.set(*value, stamps),
        Entry::Choice(name::PITCHER, id) => set_up.pitcher.set(id.clone(), stamps),
        entry => write_entry(
            &mut set_up.numbers,
            &mut set_up.choices,
            entry,
            set_up.head.made,
            stamps,
        ),
    }
}

/// Writes an entry among the fields by name.
pub(super) fn write_entry(
    numbers: &mut Fields<f64>,
    choices: &mut Fields<Code>,
    entry: &Entry,
    made: Stamp,
    stamps: &StampClock,
) -> bool {
    match entry {
        Entry::Number(name, value) => write_named(numbers, &code(name), *value, made, stamps),
        Entry::Choice(name, id) => write_named(choices, &code(name), id.clone(), made, stamps),
    }
}
