//! Messages to the user: what failed and what can be done about it.

use leptos::prelude::*;
use std::sync::Arc;
use std::time::Duration;

/// How long news without anything to do about it is shown.
const NEWS_STAYS: Duration = Duration::from_secs(8);

/// What a note offers to do.
type Act = Arc<dyn Fn() + Send + Sync>;

/// One message.
#[derive(Clone)]
pub struct Note {
    /// To tell notes apart.
    pub number: u32,
    /// What happened.
    pub text: String,
    /// A failure, not just news.
    pub is_error: bool,
    /// Label and deed of the one button beside "Dismiss".
    pub act: Option<(&'static str, Act)>,
}

/// The messages shown now.
#[derive(Clone, Copy)]
pub struct Notes {
    list: RwSignal<Vec<Note>>,
    next: StoredValue<u32>,
}

impl Default for Notes {
    /// None yet.
    fn default() -> Self {
        Self {
            list: RwSignal::new(Vec::new()),
            next: StoredValue::new(0),
        }
    }
}

impl Notes {
    /// All of them, oldest first.
    pub fn all(self) -> Vec<Note> {
        self.list.get()
    }

    /// Says something, with a deed that can be done about it.
    pub fn say(self, text: impl Into<String>, act: Option<(&'static str, Act)>) {
        let stays = act.is_some();
        let number = self.push(text.into(), false, act);
        if !stays {
            set_timeout(move || self.dismiss(number), NEWS_STAYS);
        }
    }

    /// Says what failed.
    pub fn fail(self, text: impl Into<String>, act: Option<(&'static str, Act)>) {
        self.push(text.into(), true, act);
    }

    /// Takes a note away.
    pub fn dismiss(self, number: u32) {
        self.list
            .update(|list| list.retain(|note| note.number != number));
    }

    fn push(self, text: String, is_error: bool, act: Option<(&'static str, Act)>) -> u32 {
        let number = self.next.get_value();
        self.next.set_value(number + 1);
        self.list.update(|list| {
            // The newest news replaces older news; failures stay until read.
            list.retain(|note| note.is_error && note.text != text);
            list.push(Note {
                number,
                text,
                is_error,
                act,
            });
        });
        number
    }
}
