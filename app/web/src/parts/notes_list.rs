//! Messages, read out by screen readers as they come.

use crate::parts::Act;
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
    let act = note.act.map(|(label, act)| {
        let act = move |()| {
            notes.dismiss(number);
            act();
        };
        view! { <Act label=label on_act=act /> }
    });
    view! {
        <div class="note" class:failure=note.is_error role=note.is_error.then_some("alert")>
            <p>{note.text}</p>
            {act}
            <Act label="Dismiss" class="quiet" on_act=move |()| notes.dismiss(number) />
        </div>
    }
}
