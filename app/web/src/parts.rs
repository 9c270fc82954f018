//! Widgets that several screens share. No state of the desk in here: a part
//! takes what it shows and says what was touched.

mod act;
mod answer_buttons;
mod begin;
mod choice;
mod fold;
mod fold_of;
mod in_step_line;
mod leaf;
mod live;
mod messages;
mod name_field;
mod new_name;
mod notes_list;
mod number_field;
mod one_by_one;
mod panel;
mod steps;
mod table;
mod text;
mod toggles;
mod units;

pub use crate::device::page::after_paint;
pub use act::{act, act_spoken};
pub use answer_buttons::answer_buttons;
pub use begin::begin;
pub use choice::{choice, option_of, options_of, selection};
pub use fold::fold;
pub use fold_of::fold_of;
pub use in_step_line::in_step_line;
pub use leaf::{CARD, Leaf, way, way_to_card};
pub use live::{entry_heading, group, heading, live, live_line, small_heading};
pub use messages::{messages, when_open};
pub use name_field::name_field;
pub use new_name::NewName;
pub use notes_list::NotesList;
pub use number_field::number_field;
pub use one_by_one::{Part, follows, one_by_one};
pub use panel::{Place, panel};
pub use steps::in_steps;
pub use table::{cautions, sheet, table};
pub use text::{line, refusal, said};
pub use toggles::toggles;
pub use units::{Units, inches, shown, speed, tape};
