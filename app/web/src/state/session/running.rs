//! The session itself: begun, set, its rotation, ended and gone on with.

use super::super::{desk::code, names::session as name};
use super::{Practice, id_code};
use crate::device::database::Change;
use leptos::prelude::*;
use notebook::{Field, Fields, RecordId, Session, StampClock, write_named};
use std::sync::Arc;
use wasm_bindgen_futures::spawn_local;

/// What is written into a session.
type Edit<'a> = Box<dyn FnOnce(&mut Session, &StampClock) + 'a>;

impl Practice {
    /// Begins a session with these hitters.
    pub fn begin(self, hitters: Vec<RecordId>) {
        let Some(head) = self.desk.new_head() else {
            return;
        };
        let made = self.desk.with_clock(|stamps| {
            let mut fields = Fields::new();
            for id in &hitters {
                write_named(
                    &mut fields,
                    &id_code(*id),
                    code(name::IN),
                    head.made,
                    stamps,
                );
            }
            Session {
                name: Field::new(String::new(), stamps.stamp()),
                hitters: fields,
                choices: Fields::new(),
                numbers: Fields::new(),
                head,
            }
        });
        let Some(session) = made.map(Arc::new) else {
            return;
        };
        let change: Arc<dyn Change> = session.clone();
        self.desk.save(vec![change], move || {
            self.put_away();
            self.session.set(Some(Session::clone(&session)));
            if let Some(first) = self.rotation_of(&session).first() {
                self.turn_to(*first);
            }
        });
    }

    /// Edits the session: `edit` writes what changes.
    pub fn edit(self, edit: impl FnOnce(&mut Session, &StampClock)) {
        self.edit_then(Box::new(edit), Box::new(|| ()));
    }

    pub(super) fn edit_then(self, edit: Edit<'_>, then: Box<dyn Fn() + Send + Sync>) {
        let Some(mut session) = self.session.get_untracked() else {
            return;
        };
        if self
            .desk
            .with_clock(|stamps| edit(&mut session, stamps))
            .is_none()
        {
            return;
        }
        let session = Arc::new(session);
        let change: Arc<dyn Change> = session.clone();
        self.desk.save(vec![change], move || {
            self.session.update(|shown| {
                if let Some(shown) = shown
                    && shown.head.id == session.head.id
                {
                    // Another edit may have been saved meanwhile.
                    notebook::Record::merge(shown, &session);
                }
            });
            then();
        });
    }

    /// Writes a choice of the session.
    pub fn choose(self, name: &'static str, id: &'static str) {
        self.edit(|session, stamps| {
            write_named(
                &mut session.choices,
                &code(name),
                code(id),
                session.head.made,
                stamps,
            );
        });
    }

    /// The session's choice of this name.
    pub fn choice(self, name: &str) -> Option<String> {
        self.session.with(|session| {
            let field = session.as_ref()?.choices.get(name)?;
            Some(field.get().as_str().to_owned())
        })
    }

    /// The session's number of this name.
    pub fn number(self, name: &str) -> Option<f64> {
        self.session
            .with(|session| Some(*session.as_ref()?.numbers.get(name)?.get()))
    }

    /// Takes hitters into the rotation, or out of it.
    pub fn rotate(self, hitters: Vec<RecordId>, is_in: bool) {
        self.edit(|session, stamps| {
            let said = code(if is_in { name::IN } else { name::OUT });
            for id in hitters {
                let at = session.head.made;
                write_named(&mut session.hitters, &id_code(id), said.clone(), at, stamps);
            }
        });
    }

    /// Ends the session; a note offers to go on.
    pub fn end(self) {
        let Some(id) = self.session.with_untracked(|s| Some(s.as_ref()?.head.id)) else {
            return;
        };
        self.set_over("yes", move || {
            self.put_away();
            let go_on: Arc<dyn Fn() + Send + Sync> = Arc::new(move || self.go_on(id));
            self.desk
                .notes
                .say("The session is over.", Some(("Undo", go_on)));
        });
    }

    /// Goes on with a session that was over.
    pub fn go_on(self, id: RecordId) {
        spawn_local(async move {
            let read = async {
                let read = self.desk.reading(async |database| database.get(id).await);
                match read.await? {
                    Some(session) => self.read_session(session).await,
                    None => Ok(()),
                }
            };
            match read.await {
                Ok(()) => self.set_over("no", || ()),
                Err(error) => self.desk.notes.fail(error.to_string(), None),
            }
        });
    }

    fn set_over(self, over: &'static str, then: impl Fn() + Send + Sync + 'static) {
        self.edit_then(
            Box::new(move |session, stamps| {
                let at = session.head.made;
                write_named(
                    &mut session.choices,
                    &code(name::OVER),
                    code(over),
                    at,
                    stamps,
                );
            }),
            Box::new(then),
        );
    }

    /// The hitters of the rotation, in the order of the roster.
    pub fn rotation(self) -> Vec<RecordId> {
        self.session.with(|session| match session {
            Some(session) => self.rotation_of(session),
            None => Vec::new(),
        })
    }

    pub(super) fn rotation_of(self, session: &Session) -> Vec<RecordId> {
        let is_in = |id: &RecordId| {
            let said = session.hitters.get(id.to_string().as_str());
            said.is_some_and(|said| said.get().as_str() == name::IN)
        };
        self.desk.hitters.with(|all| {
            let ids = all.iter().map(|hitter| hitter.head.id);
            ids.filter(is_in).collect()
        })
    }
}
