//! Counts of late, set by set, against the target.

use crate::parts::{group, line};
use crate::state::{Desk, Profile, targets_of};
use crate::words::when;
use coaching::count::{SetStats, Target};
use coaching::vocabulary::Environment;
use leptos::prelude::*;
use notebook::Rep;

/// So many sets are shown.
const SETS: usize = 5;

/// The latest sets, newest first.
pub fn counts_of_late(profile: &Profile) -> AnyView {
    let desk = expect_context::<Desk>();
    let target = desk.hitter().and_then(|hitter| targets_of(&hitter).count);
    let mut sets: Vec<Vec<&Rep>> = Vec::new();
    for rep in &profile.reps {
        match sets.iter_mut().find(|set| set[0].set == rep.set) {
            Some(set) => set.push(rep),
            None => sets.push(vec![rep]),
        }
    }
    // The oldest may go on before what was read.
    if profile.more_reps && sets.len() > 1 {
        sets.pop();
    }
    let inside = match sets.is_empty() {
        true => line("line", "No counts yet. They are taken in the cage."),
        false => {
            let one = |set: &Vec<&Rep>| view! { <li>{one_set(set, target)}</li> }.into_any();
            let rows: Vec<AnyView> = sets.iter().take(SETS).map(one).collect();
            view! { <ul class="looks">{rows}</ul> }.into_any()
        }
    };
    view! {
        <section class="block" aria-label="Counts of late">
            <h2>"Counts of late"</h2>
            {inside}
        </section>
    }
    .into_any()
}

fn one_set(set: &[&Rep], target: Option<Target>) -> AnyView {
    let counts_s: Vec<f64> = set.iter().rev().map(|rep| rep.count_s).collect();
    let Some(stats) = SetStats::of(&counts_s) else {
        return ().into_any();
    };
    let environment = Environment::from_id(set[0].context.environment.as_str());
    let environment = environment.map_or("", Environment::name);
    let mut said = stats.sentence();
    if let Some(target) = target {
        said = format!("{said} The mean: {}", target.sentence(stats.mean_s));
    }
    group(vec![
        view! { <strong>{format!("{environment}, {}", when(set[0].head.made))}</strong> }
            .into_any(),
        line("line", said),
    ])
}
