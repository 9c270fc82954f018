//! The first page's root: the router, and home in it.

use crate::screens::home::Home;
use leptos::prelude::*;
use leptos_router::components::Router;

/// The first page.
pub fn app() -> AnyView {
    view! {
        <Router>
            <Home />
        </Router>
    }
    .into_any()
}
