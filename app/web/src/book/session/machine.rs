//! The set-up of the machine, solved before the first ball: a touch must not wait
//! for the search.

use crate::state::Desk;
use crate::state::session::Practice;
use coaching::vocabulary::Environment;
use leptos::prelude::*;
use std::time::Duration;

/// After the choice of the environment is painted.
const A_MOMENT: Duration = Duration::from_millis(30);

/// Solves the set-up of the hitter at the plate whenever balls come from a machine
/// and something about it changes.
pub fn solve_ahead() {
    let desk = expect_context::<Desk>();
    let practice = expect_context::<Practice>();
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
        set_timeout(move || solve(desk, practice), A_MOMENT);
    });
}

fn solve(desk: Desk, practice: Practice) {
    let chosen = desk.chosen.get_untracked();
    let question = untrack(|| desk.set_up_question());
    if let (Some(hitter), Some(question)) = (chosen, question)
        && let Some(found) = question.answer().closest()
    {
        practice.machine_stands(hitter, found.into());
    }
}
