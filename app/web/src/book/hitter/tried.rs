//! What was tried: drill cards, and what came of them.

use crate::parts::{Leaf, group, line, way};
use crate::state::{OwnItems, Profile};
use crate::words::when;
use coaching::prescription;
use leptos::prelude::*;
use notebook::Outcome;

/// The latest outcomes, newest first.
pub fn what_was_tried(profile: &Profile) -> AnyView {
    let inside = match profile.outcomes.is_empty() {
        true => group(vec![
            line("line", "No drill card was tried yet."),
            way(Leaf::Cards.path(), "Find a card to try", "", true),
        ]),
        false => {
            let one = |outcome: &Outcome| view! { <li>{row(profile, outcome)}</li> }.into_any();
            let rows: Vec<AnyView> = profile.outcomes.iter().map(one).collect();
            view! { <ul class="looks">{rows}</ul> }.into_any()
        }
    };
    view! {
        <section class="block" aria-label="What was tried">
            <h2>"What was tried"</h2>
            {inside}
        </section>
    }
    .into_any()
}

fn row(profile: &Profile, outcome: &Outcome) -> AnyView {
    let came = prescription::Outcome::from_id(outcome.outcome.as_str());
    let came = came.map_or("Said by a newer version", prescription::Outcome::name);
    let own = expect_context::<OwnItems>();
    let what_for = outcome.item.as_ref().map_or_else(String::new, |id| {
        own.with(|lists| format!(", for: {}", lists.title(id.as_str())))
    });
    let title = profile.card_title(&outcome.card);
    view! {
        <strong>{title}</strong>
        {format!(": {came}{what_for}. {}", when(outcome.head.made))}
    }
    .into_any()
}
