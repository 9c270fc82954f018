//! The set-up of the machine, solved before the first ball: a touch must not wait
//! for the search.

use crate::state::session::{FeedKey, Practice};
use crate::state::{Desk, SetUpQuestion};
use coaching::vocabulary::{Environment, Side};
use leptos::prelude::*;
use notebook::RecordId;
use std::time::Duration;

/// After the choice of the environment is painted.
const A_MOMENT: Duration = Duration::from_millis(30);

/// Solves the set-up of the hitter at the plate whenever balls come from a machine
/// and something about it changes.
pub fn solve_ahead() {
    let desk = expect_context::<Desk>();
    let practice = expect_context::<Practice>();
    let solved = StoredValue::new(None);
    Effect::new(move |_| {
        if desk.environment.get() != Environment::Machine {
            return;
        }
        let here = practice.hitter.get();
        desk.set_up.track();
        desk.equipment.track();
        // The rest of the desk follows the hitter at the plate a moment later.
        if here.is_none() || desk.chosen.get() != here {
            return;
        }
        set_timeout(move || solve(desk, practice, solved), A_MOMENT);
    });
}

/// A question that was answered, and whose.
type Solved = StoredValue<Option<(RecordId, SetUpQuestion)>>;

fn solve(desk: Desk, practice: Practice, solved: Solved) {
    let chosen = desk.chosen.get_untracked();
    let question = untrack(|| desk.set_up_question());
    let Some(asked) = chosen.zip(question) else {
        return;
    };
    // In a mixed round the machine comes again and again.
    let is_known =
        untrack(|| practice.feed_of(FeedKey::of(asked.0, Environment::Machine, Side::Right)));
    if is_known.is_some() && solved.with_value(|solved| *solved == Some(asked)) {
        return;
    }
    if let Some(found) = asked.1.answer().closest() {
        practice.machine_stands(asked.0, found.into());
    }
    solved.set_value(Some(asked));
}
