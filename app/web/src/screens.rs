//! The screens: each shows a part of the desk and passes touches on to it.

pub mod home;

mod count;
mod hitters;
mod set_up;
mod settings;
mod swing_check;

use crate::parts::line;
use crate::state::Desk;
use leptos::prelude::*;

/// What an opened panel shows of the chosen hitter, or what it says while there
/// is none.
fn with_hitter(missing: &'static str, shown: fn() -> AnyView) -> AnyView {
    let desk = expect_context::<Desk>();
    let has_hitter = Memo::new(move |_| desk.hitter().is_some());
    (move || {
        if has_hitter.get() {
            shown()
        } else {
            line("empty", missing)
        }
    })
    .into_any()
}
