//! What a page has to say beside what it shows: a new version, notes, and how far
//! opening the notebook has come.

use super::{NotesList, act, said};
use crate::device::offline::Offline;
use crate::state::{Desk, Opening};
use leptos::prelude::*;

/// The new version that waits, and the notes of the desk.
pub fn messages() -> AnyView {
    let desk = expect_context::<Desk>();
    let offline = expect_context::<Offline>();
    let new_version = move || {
        offline.new_version.get().then(|| {
            view! {
                <div class="note" role="status">
                    <p>"A new version is ready. Nothing changes until you take it."</p>
                    {act("Use it now", "", Callback::new(move |()| offline.use_new_version()))}
                    {act("Later", "quiet", Callback::new(move |()| offline.new_version.set(false)))}
                </div>
            }
        })
    };
    view! {
        <aside class="messages" aria-label="Messages">{new_version} <NotesList notes=desk.notes /></aside>
    }
    .into_any()
}

/// What stands in the page's place while the notebook opens, or when it cannot be
/// opened; else what `ready` shows.
pub fn when_open(desk: Desk, ready: fn() -> AnyView) -> AnyView {
    (move || match desk.opening.get() {
        Opening::Reading => said("state", "Opening the notebook…"),
        Opening::Failed(error) => view! {
            <div class="state" role="alert">
                <p>{error.to_string()}</p>
                {act("Try again", "", Callback::new(move |()| desk.try_open()))}
            </div>
        }
        .into_any(),
        Opening::Ready => ready(),
    })
    .into_any()
}
