//! What is on the coach's desk: the chosen hitter and what is being recorded.
//! Signals and writes; no views, and no rules that a pure crate can hold.

mod check;
mod desk;
mod hitters;
mod notes;
mod round;
mod set_up;

pub use check::Sheet;
pub use desk::{Desk, Opening, has_feed};
pub use hitters::NewHitter;
pub use notes::{Note, Notes};
pub use round::Round;
pub use set_up::{SetUpEdit, SetUpQuestion, level_of};
