//! The groups of the club: read, made, renamed, removed, and who is in them.

use super::Desk;
use super::desk::code;
use crate::device::database::Change;
use crate::words::by_name;
use coaching::roster::{RosterError, checked_groups, group_name};
use leptos::prelude::*;
use notebook::{Code, Field, Fields, Group, Record, RecordId, StampClock, write_named};
use std::sync::Arc;
use wasm_bindgen_futures::spawn_local;

/// What a group says of a hitter that is in it; anything else is out.
const IN: &str = "in";
const OUT: &str = "out";

/// The groups that are not removed, by name.
#[derive(Clone, Copy)]
pub struct Groups {
    desk: Desk,
    all: RwSignal<Vec<Group>>,
}

impl Groups {
    /// Reads them, and again whenever the hitters were read again.
    pub fn start(desk: Desk) -> Self {
        let groups = Self {
            desk,
            all: RwSignal::new(Vec::new()),
        };
        Effect::new(move |_| {
            desk.hitters.track();
            if desk.opening.get() == super::Opening::Ready {
                groups.read();
            }
        });
        groups
    }

    fn read(self) {
        spawn_local(async move {
            let read = self.desk.reading(async |database| database.all().await);
            match read.await {
                Ok(all) => self.show(all),
                Err(error) => self.desk.notes.fail(error.to_string(), None),
            }
        });
    }

    fn show(self, mut all: Vec<Group>) {
        all.retain(|group| !group.head.is_removed());
        all.sort_unstable_by(|a, b| by_name(a.name.get(), b.name.get()));
        self.all.set(all);
    }

    /// All of them, by name.
    pub fn all(self) -> Vec<Group> {
        self.all.get()
    }

    /// The group of an id.
    pub fn group(self, id: RecordId) -> Option<Group> {
        self.all
            .with(|all| all.iter().find(|group| group.head.id == id).cloned())
    }

    /// The names of the groups that a hitter is in.
    pub fn names_of(self, hitter: RecordId) -> Vec<String> {
        let hitter = key_of(hitter);
        self.all.with(|all| {
            let those = all.iter().filter(|group| has(group, &hitter));
            those.map(|group| group.name.get().clone()).collect()
        })
    }

    /// Makes a group and gives its id.
    ///
    /// # Errors
    /// When it cannot be called so; nothing is made then.
    pub fn make(self, typed: &str) -> Result<Option<RecordId>, RosterError> {
        let name = group_name(typed)?;
        let Some(head) = self.desk.new_head() else {
            return Ok(None);
        };
        let id = head.id;
        let group = Group {
            name: Field::new(name, head.made),
            head,
            hitters: Fields::new(),
        };
        self.write(group, || ());
        Ok(Some(id))
    }

    /// Calls a group otherwise; a note offers the name before.
    ///
    /// # Errors
    /// When it cannot be called so; the name stays.
    pub fn rename(self, id: RecordId, typed: &str) -> Result<(), RosterError> {
        let name = group_name(typed)?;
        let Some(before) = self.untracked(id) else {
            return Ok(());
        };
        let before = before.name.get().clone();
        let said = format!("The group is called {name} now.");
        let undo: Arc<dyn Fn() + Send + Sync> = {
            let before = before.clone();
            Arc::new(move || self.edit(id, named(before.clone()), || ()))
        };
        if name != before {
            let say = move || {
                self.desk
                    .notes
                    .say(said.clone(), Some(("Undo", undo.clone())))
            };
            self.edit(id, named(name), say);
        }
        Ok(())
    }

    /// Puts a hitter into a group or takes it out.
    ///
    /// # Errors
    /// When the hitter is in too many groups already; nothing is changed then.
    pub fn put(self, hitter: RecordId, group: RecordId, is_in: bool) -> Result<(), RosterError> {
        if is_in {
            let now = untrack(|| self.names_of(hitter)).len();
            checked_groups(now + 1)?;
        }
        let key = key_of(hitter);
        let value = code(if is_in { IN } else { OUT });
        let edit = move |group: &mut Group, stamps: &StampClock| {
            let made = group.head.made;
            write_named(&mut group.hitters, &key, value.clone(), made, stamps)
        };
        self.edit(group, Box::new(edit), || ());
        Ok(())
    }

    /// Removes a group, not its hitters; a note offers to bring it back.
    pub fn remove(self, id: RecordId) {
        let Some(group) = self.untracked(id) else {
            return;
        };
        self.desk.set_removed(group, true, move |removed| {
            let back = removed.clone();
            let undo: Arc<dyn Fn() + Send + Sync> = Arc::new(move || {
                self.desk
                    .set_removed(back.clone(), false, move |_| self.read());
            });
            self.desk.notes.say(
                format!(
                    "The group {} is removed. Its hitters stay.",
                    removed.name.get()
                ),
                Some(("Undo", undo)),
            );
            self.read();
        });
    }

    fn untracked(self, id: RecordId) -> Option<Group> {
        untrack(|| self.group(id))
    }

    fn edit(self, id: RecordId, edit: Edit, then: impl Fn() + Send + Sync + 'static) {
        let Some(mut group) = self.untracked(id) else {
            return;
        };
        if self.desk.with_clock(|stamps| edit(&mut group, stamps)) == Some(true) {
            self.write(group, then);
        }
    }

    fn write(self, group: Group, then: impl Fn() + Send + Sync + 'static) {
        let written = Arc::new(group);
        let change: Arc<dyn Change> = written.clone();
        self.desk.save(vec![change], move || {
            let mut all = self.all.get_untracked();
            match all
                .iter_mut()
                .find(|known| known.head.id == written.head.id)
            {
                // Touches come faster than the disk answers.
                Some(known) => known.merge(&written),
                None => all.push(Group::clone(&written)),
            }
            self.show(all);
            then();
        });
    }
}

/// An edit of a group; says whether it was one.
type Edit = Box<dyn Fn(&mut Group, &StampClock) -> bool>;

fn named(name: String) -> Edit {
    Box::new(move |group, stamps| group.name.set(name.clone(), stamps))
}

/// The name of a hitter's field in a group.
fn key_of(hitter: RecordId) -> Code {
    code(&hitter.to_string())
}

fn has(group: &Group, hitter: &Code) -> bool {
    let is_in = group.hitters.get(hitter);
    is_in.is_some_and(|is_in| is_in.get().as_str() == IN)
}

/// Whether a hitter's record is in a group.
pub fn is_in_group(group: &Group, hitter: RecordId) -> bool {
    has(group, &key_of(hitter))
}
