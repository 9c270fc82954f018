//! Starting a page: its first view takes the place of the word that it opens.

use crate::device::{offline::Offline, settings, sync::Sync};
use crate::parts::Units;
use crate::state::Desk;
use leptos::prelude::*;

/// Shows `app` and takes the page's "opening" away, which stands until the first
/// view is there.
pub fn begin(app: fn() -> AnyView) {
    leptos::mount::mount_to_body(move || {
        settings::show_theme(settings::theme());
        provide_context(Units(RwSignal::new(settings::units())));
        provide_context(Offline::start());
        provide_context(Desk::open());
        provide_context(Sync::start());
        app()
    });
    if let Some(starting) = document().get_element_by_id("starting") {
        starting.remove();
    }
}
