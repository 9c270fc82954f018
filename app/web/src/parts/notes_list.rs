//! Messages, read out by screen readers as they come.

use crate::parts::act;
use crate::state::{Note, Notes};
use leptos::prelude::*;

/// All messages.
#[component]
pub fn NotesList(notes: Notes) -> impl IntoView {
    view! {
        <div class="notes" aria-live="polite">
            <For each=move || notes.all() key=|note| note.number let:note>
                <OneNote notes note />
            </For>
        </div>
    }
}

#[component]
fn OneNote(notes: Notes, note: Note) -> impl IntoView {
    let number = note.number;
    let more = note.act.map(|(label, more)| {
        let more = move |()| {
            notes.dismiss(number);
            more();
        };
        act(label, "", Callback::new(more))
    });
    view! {
        <div class="note" class:failure=note.is_error role=note.is_error.then_some("alert")>
            <p>{note.text}</p>
            {more}
            {act("Dismiss", "quiet", Callback::new(move |()| notes.dismiss(number)))}
        </div>
    }
}
