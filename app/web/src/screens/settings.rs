//! Settings of this phone: how it looks, and how safe the notebook is.

use crate::device::offline::{Offline, Ready};
use crate::device::settings::{self, Theme};
use crate::device::storage::{self, Keeping};
use crate::parts::{Place, Units, act, choice, group, in_step_line, live, panel, way};
use crate::state::Desk;
use leptos::prelude::*;
use wasm_bindgen_futures::spawn_local;

/// Opened from the bar; shows nothing at rest.
#[component]
pub fn SettingsPanel() -> impl IntoView {
    let now = Place::now();
    live(move || match now.get() {
        Place::Settings => panel(Place::Settings, "Settings", None, || group(vec![]), detail),
        _ => group(vec![]),
    })
}

fn detail() -> AnyView {
    let desk = expect_context::<Desk>();
    let offline = expect_context::<Offline>();
    let theme = RwSignal::new(settings::theme());
    let themes = Theme::ALL
        .iter()
        .map(|theme| (theme.id(), theme.name()))
        .collect();
    let units = expect_context::<Units>().0;
    let systems = settings::UNIT_SYSTEMS
        .iter()
        .map(|(_, id, name)| (*id, *name))
        .collect();
    let system = move || {
        let known = settings::UNIT_SYSTEMS
            .iter()
            .find(|known| known.0 == units.get());
        known.map_or("", |known| known.1)
    };
    let ready = move || match offline.ready.get() {
        Ready::Preparing => "Fetching what it needs to work without signal…",
        Ready::Yes => "Ready: everything works without signal.",
        Ready::No => {
            "Not ready: this browser or this address does not allow it. Phones need an https address."
        }
    };
    let used = RwSignal::new(None);
    spawn_local(async move { used.set(Some(storage::used_bytes().await)) });
    let used = move || match used.get() {
        None => "Reading…".to_owned(),
        Some(None) => "The browser does not say how much room is used.".to_owned(),
        Some(Some((used, quota))) => format!(
            "{:.1} MB used of {:.1} GB the browser allows.",
            used / 1e6,
            quota / 1e9
        ),
    };
    let can_ask = move || matches!(desk.keeping.get(), Keeping::Unknown | Keeping::NotPromised);
    view! {
        <div class="detail">
            {choice("Screen", themes, Signal::derive(move || theme.get().id()), Callback::new(move |id: &'static str| {
                    if let Some(chosen) = Theme::ALL.into_iter().find(|theme| theme.id() == id) {
                        settings::set_theme(chosen);
                        theme.set(chosen);
                    }
                }))}
            {choice("Units", systems, Signal::derive(system), Callback::new(move |id: &'static str| {
                    let known = settings::UNIT_SYSTEMS.iter().find(|known| known.1 == id);
                    if let Some(known) = known {
                        settings::set_units(id);
                        units.set(known.0);
                    }
                }))}
            <h3>"Other phones"</h3>
            {in_step_line("line")}
            {way("/book/sharing", "Sharing", "wide", false)}
            <h3>"Without signal"</h3>
            <p class="line" role="status">
                {ready}
            </p>
            <h3>"Does the browser promise to keep the notebook?"</h3>
            <p class="line" role="status">
                {move || desk.keeping.get().sentence()}
            </p>
            <Show when=can_ask>
                {act("Ask for the promise", "wide", Callback::new(move |()| {
                        spawn_local(async move { desk.keeping.set(storage::ask().await) });
                    }))}
            </Show>
            <p class="line">{used}</p>
            <h3>"About"</h3>
            <p class="line">
                {format!(
                    "Stridebook {}. Everything is kept on this phone; nothing is sent anywhere but what you share.",
                    env!("CARGO_PKG_VERSION"),
                )}
            </p>
        </div>
    }
    .into_any()
}
