//! A practice, ball by ball: begin it, log it, and read what it says.

mod begin;
pub mod challenge;
mod details;
mod fan;
mod feed;
pub mod loads;
mod log;
mod machine;
mod order;
mod realism;
pub mod says;
mod settings;

use crate::parts::{act, live, said};
use crate::state::Desk;
use crate::state::session::{Found, Practice};
use leptos::prelude::*;
use std::time::Duration;

/// The page.
pub fn page() -> AnyView {
    let desk = expect_context::<Desk>();
    let practice = Practice::of(desk);
    practice.read();
    provide_context(practice);
    provide_context(Settled::after(practice));
    let is_under_way = Memo::new(move |_| practice.session.with(Option::is_some));
    live(move || match practice.found.get() {
        Found::Reading => said("state", "Reading the session…"),
        Found::Failed(error) => view! {
            <div class="state" role="alert">
                <p>{error.to_string()}</p>
                {act("Try again", "", Callback::new(move |()| practice.read()))}
            </div>
        }
        .into_any(),
        Found::Read if is_under_way.get() => log::view(),
        Found::Read => begin::view(),
    })
}

/// Follows the balls once nobody has touched for a moment: what they say is worked
/// out then, and never between a touch and its paint.
#[derive(Clone, Copy)]
pub struct Settled(pub RwSignal<u32>);

/// How long after the last touch.
const MOMENT: Duration = Duration::from_millis(500);

impl Settled {
    fn after(practice: Practice) -> Self {
        let settled = RwSignal::new(practice.counted.get_untracked());
        Effect::new(move |_| {
            let now = practice.counted.get();
            set_timeout(
                move || {
                    // The page may be gone by then.
                    if practice.counted.get_untracked() == now {
                        settled.try_set(now);
                    }
                },
                MOMENT,
            );
        });
        Self(settled)
    }
}
