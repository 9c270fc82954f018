//! What is on the coach's desk: the chosen hitter and what is being recorded.
//! Signals and writes; no views, and no rules that a pure crate can hold.

mod attach;
mod check;
pub mod contacts;
mod desk;
mod equipment;
mod facts;
mod groups;
mod hitters;
mod joins;
mod lasting;
mod looks;
pub mod names;
mod notes;
mod of_skill;
mod outcomes;
mod own_cards;
mod own_items;
mod profile;
mod question;
mod round;
pub mod session;
mod set_up;
mod tempo;

pub use attach::{Attached, LARGEST_BYTES, megabytes};
pub use check::Sheet;
pub use desk::{Desk, Opening, has_feed};
pub use equipment::{WHEELS, What, choice_of};
pub use facts::{Fact, age_band, bats_of, is_guardian_held, note_of, sport_of, targets_of};
pub use groups::{Groups, is_in_group};
pub use hitters::{ARCHIVED, NewHitter, is_archived};
pub use joins::Joins;
pub use lasting::lasting;
pub use looks::{Looking, Observer, OneLook, made_ms, now_ms};
pub use notes::{Note, Notes};
pub use of_skill::{OfSkill, sides_of};
pub use outcomes::Found;
pub use own_cards::{KeptCard, OwnCards, new_card_id};
pub use own_items::{OwnItems, OwnLists, Then};
pub use profile::{LooksAhead, Profile};
pub use question::{Answer, DRAGS, LIFTS, SetUpQuestion, Stands, kinds, level_of};
pub use round::Round;
pub use set_up::{Entry, USUAL};
pub use tempo::Taken;
