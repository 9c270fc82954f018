//! Home: hitter, set-up, swing check and count on one screen without scrolling.

use super::count::CountPanel;
use super::hitters::HittersPanel;
use super::set_up::SetUpPanel;
use super::settings::SettingsPanel;
use super::sharing::SharingPanel;
use super::swing_check::SwingCheckPanel;
use crate::device::offline::Offline;
use crate::parts::{NotesList, Place, act, said};
use crate::state::{Desk, Opening};
use leptos::prelude::*;

/// The one page.
#[component]
pub fn Home() -> impl IntoView {
    let desk = expect_context::<Desk>();
    let offline = expect_context::<Offline>();
    let now = Place::now();
    let body = move || match desk.opening.get() {
        Opening::Reading => said("state", "Opening the notebook…"),
        Opening::Failed(error) => view! {
            <div class="state" role="alert">
                <p>{error.to_string()}</p>
                {act("Try again", "", Callback::new(move |()| desk.try_open()))}
            </div>
        }
        .into_any(),
        Opening::Ready => {
            mark_usable();
            view! {
                <HittersPanel />
                <SetUpPanel />
                <SwingCheckPanel />
                <CountPanel />
                <SettingsPanel />
                <SharingPanel />
            }
            .into_any()
        }
    };
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
        <main class="page" class:at-rest=move || now.get() == Place::Home>
            <h1 class="unseen">"Stridebook"</h1>
            {body}
        </main>
        <aside class="messages" aria-label="Messages">{new_version} <NotesList notes=desk.notes /></aside>
    }
}

/// Leaves a mark in the browser's timeline when the screen can be used, for
/// `cargo xtask bench`.
fn mark_usable() {
    request_animation_frame(|| {
        if let Some(performance) = window().performance() {
            // Only a measurement: without it nothing else changes.
            let _ = performance.mark("stridebook-usable");
        }
    });
}
