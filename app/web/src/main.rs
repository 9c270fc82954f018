//! Stridebook's first page: hitter, set-up, swing check and count on one screen.
//! Screens are thin; rules live in `coaching`, physics in `flight`, records in
//! `notebook`.

mod app;
mod screens;

use web::{device, parts, state, words};

fn main() {
    parts::begin(app::app);
}
