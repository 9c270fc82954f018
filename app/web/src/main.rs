//! Stridebook's client: one page on one phone. Screens are thin; rules live in
//! `coaching`, physics in `flight`, records in `notebook`.

mod app;
mod parts;
mod screens;
mod state;
mod words;

use web::device;

fn main() {
    // The page says "opening" until the first view is there to replace it.
    leptos::mount::mount_to_body(app::App);
    if let Some(starting) = leptos::prelude::document().get_element_by_id("starting") {
        starting.remove();
    }
}
