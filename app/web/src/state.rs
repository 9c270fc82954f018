//! What is on the coach's desk: the chosen hitter and what is being recorded.
//! Signals and writes; no views, and no rules that a pure crate can hold.

mod check;
mod desk;
mod equipment;
mod hitters;
pub mod names;
mod notes;
mod question;
mod round;
mod set_up;
mod tempo;

pub use check::Sheet;
pub use desk::{Desk, Opening, has_feed};
pub use equipment::{WHEELS, What, choice_of};
pub use hitters::{ARCHIVED, NewHitter, is_archived};
pub use notes::{Note, Notes};
pub use question::{Answer, DRAGS, LIFTS, SetUpQuestion, Stands, kinds, level_of};
pub use round::Round;
pub use set_up::{Entry, USUAL};
pub use tempo::Taken;
