//! Home: hitter, set-up, swing check and count on one screen without scrolling.

use super::count::CountPanel;
use super::hitters::HittersPanel;
use super::set_up::SetUpPanel;
use super::settings::SettingsPanel;
use super::swing_check::SwingCheckPanel;
use crate::parts::{Place, messages, when_open};
use crate::state::Desk;
use leptos::prelude::*;

/// The one page.
#[component]
pub fn Home() -> impl IntoView {
    let desk = expect_context::<Desk>();
    let now = Place::now();
    view! {
        <main class="page" class:at-rest=move || now.get() == Place::Home>
            <h1 class="unseen">"Stridebook"</h1>
            {when_open(desk, panels)}
        </main>
        {messages()}
    }
}

fn panels() -> AnyView {
    mark_usable();
    view! {
        <HittersPanel />
        <SetUpPanel />
        <SwingCheckPanel />
        <CountPanel />
        <SettingsPanel />
    }
    .into_any()
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
