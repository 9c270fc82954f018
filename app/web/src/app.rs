//! The root: theme, offline shell, the desk with all state, and the router.

use crate::device::{offline::Offline, settings, sync::Sync};
use crate::parts::Units;
use crate::screens::home::Home;
use crate::state::Desk;
use leptos::prelude::*;
use leptos_router::components::Router;

/// The whole app.
#[component]
pub fn App() -> impl IntoView {
    settings::show_theme(settings::theme());
    provide_context(Units(RwSignal::new(settings::units())));
    provide_context(Offline::start());
    provide_context(Desk::open());
    provide_context(Sync::start());
    view! {
        <Router>
            <Home />
        </Router>
    }
}
