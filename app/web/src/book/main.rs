//! The book: the second page of Stridebook, for what has its own time, before,
//! between and after rounds: roster, hitters, swing checks, drill cards, tempo and
//! sessions. A wasm of its own, so that the first page stays small. Pages are
//! thin, as the screens of the first page are.

mod app;
mod cards;
mod check;
mod hitter;
mod items;
mod roster;
mod session;
mod sessions;
mod sharing;
mod tempo;

use web::{device, parts, state, words};

fn main() {
    parts::begin(app::app);
}
