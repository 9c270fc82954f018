//! Adding, editing, removing a hitter.

use super::desk::code;
use super::{Desk, names};
use crate::device::database::Change;
use crate::device::{settings, storage};
use coaching::names::{NameError, hitter_name};
use coaching::vocabulary::Bats;
use flight::Level;
use leptos::prelude::*;
use notebook::{Field, Fields, Hitter, RecordId};
use std::sync::Arc;
use wasm_bindgen_futures::spawn_local;

/// What the form of a hitter holds.
#[derive(Clone)]
pub struct NewHitter {
    /// As typed.
    pub name: String,
    /// Bats left, right or both.
    pub bats: Bats,
    /// Level of play, which also says the sport.
    pub level: &'static Level,
}

impl Desk {
    /// Saves a new hitter and chooses it.
    ///
    /// # Errors
    /// When the name cannot be kept; nothing is saved then.
    pub fn add_hitter(self, new: &NewHitter) -> Result<(), NameError> {
        let name = hitter_name(&new.name)?;
        let Some(head) = self.new_head() else {
            return Ok(());
        };
        let Some(hitter) = self.with_clock(|stamps| Hitter {
            head,
            name: Field::new(name, stamps.stamp()),
            bats: Field::new(code(new.bats.id()), stamps.stamp()),
            sport: Field::new(code(new.level.sport.id()), stamps.stamp()),
            level: Field::new(code(new.level.id), stamps.stamp()),
            numbers: Fields::new(),
            choices: Fields::new(),
            texts: Fields::new(),
        }) else {
            return Ok(());
        };
        let id = hitter.head.id;
        self.save_hitter(hitter, move || {
            self.read_roster(Some(id));
            // Now there is something worth keeping: the moment to ask, once.
            if !settings::asked_to_keep() {
                spawn_local(async move { self.keeping.set(storage::ask().await) });
            }
        });
        Ok(())
    }

    /// Saves what the form says of a hitter.
    ///
    /// # Errors
    /// When the name cannot be kept; the hitter stays as it was.
    pub fn edit_hitter(self, id: RecordId, new: &NewHitter) -> Result<(), NameError> {
        let name = hitter_name(&new.name)?;
        let found = self
            .hitters
            .with_untracked(|all| all.iter().find(|hitter| hitter.head.id == id).cloned());
        let Some(mut hitter) = found else {
            return Ok(());
        };
        let edited = self.with_clock(|stamps| {
            hitter.name.set(name, stamps);
            hitter.bats.set(code(new.bats.id()), stamps);
            hitter.sport.set(code(new.level.sport.id()), stamps);
            hitter.level.set(code(new.level.id), stamps);
        });
        if edited.is_some() {
            self.save_hitter(hitter, move || self.read_roster(self.wished.get_value()));
        }
        Ok(())
    }

    /// Removes a hitter; a note offers to bring it back.
    pub fn remove_hitter(self, hitter: Hitter) {
        self.set_removed(hitter, true, move |removed| {
            let back = removed.clone();
            let undo: Arc<dyn Fn() + Send + Sync> = Arc::new(move || {
                let id = back.head.id;
                self.set_removed(back.clone(), false, move |_| {
                    self.read_roster(Some(id));
                });
            });
            self.notes.say(
                format!("{} is removed.", removed.name.get()),
                Some(("Undo", undo)),
            );
            self.read_roster(self.wished.get_value());
        });
    }

    fn save_hitter(self, hitter: Hitter, then: impl Fn() + Send + Sync + 'static) {
        let change: Arc<dyn Change> = Arc::new(hitter);
        self.save(vec![change], then);
    }

    /// Reads the hitters again and puts `choose` on the desk.
    fn read_roster(self, choose: Option<RecordId>) {
        spawn_local(async move {
            match self.read_all_for(choose).await {
                Ok(()) => settings::choose_hitter(self.chosen.get_untracked()),
                Err(error) => self.notes.fail(error.to_string(), None),
            }
        });
    }
}

/// Whether the hitter is archived: kept with everything, and out of the way.
pub fn is_archived(hitter: &Hitter) -> bool {
    let kept = hitter.choices.get(names::hitter::KEPT);
    kept.is_some_and(|kept| kept.get().as_str() == ARCHIVED)
}

/// The choice that says so.
pub const ARCHIVED: &str = "archived";
