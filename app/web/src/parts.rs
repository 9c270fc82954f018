//! Widgets that several screens share. No state of the desk in here: a part
//! takes what it shows and says what was touched.

mod act;
mod answer_buttons;
mod choice;
mod notes_list;
mod number_field;
mod panel;
mod text;

pub use act::Act;
pub use answer_buttons::AnswerButtons;
pub use choice::{Choice, Selection};
pub use notes_list::NotesList;
pub use number_field::NumberField;
pub use panel::{Panel, Place};
pub use text::{line, refusal, said};
