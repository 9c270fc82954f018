//! What changed: of each item the earliest look that saw it against the latest.

use super::finding::OfSide;
use crate::parts::{entry_heading, group, line};
use crate::words::{counted, when};
use coaching::progress::{Change, Turn, changes};
use leptos::prelude::*;

/// The items that changed, and how many did not.
pub fn what_changed(sides: &[OfSide]) -> AnyView {
    let parts: Vec<AnyView> = sides.iter().map(one_side).collect();
    view! {
        <section class="block" aria-label="What changed">
            <h2>"What changed"</h2>
            {parts}
        </section>
    }
    .into_any()
}

fn one_side(of: &OfSide) -> AnyView {
    let mut parts = Vec::new();
    if !of.title.is_empty() {
        parts.push(entry_heading(of.title.clone()));
    }
    let all = changes(&of.of.looks.evidence);
    if all.is_empty() {
        parts.push(line(
            "line",
            "Nothing to compare yet: it takes two looks that saw the same item.",
        ));
        return group(parts);
    }
    for turn in [Turn::Better, Turn::Back, Turn::StillNotYet] {
        let those: Vec<&Change> = all.iter().filter(|change| change.turn == turn).collect();
        if !those.is_empty() {
            parts.push(entry_heading(turn.name()));
            parts.push(list(of, &those));
        }
    }
    let still = all.iter().filter(|change| change.turn == Turn::StillYes);
    let still = still.count();
    if still > 0 {
        let items = counted(still, "item", "items");
        parts.push(line("line", format!("{}: {items}.", Turn::StillYes.name())));
    }
    parts.push(line(
        "line",
        "One look against another: a change is settled when two of the last three looks agree.",
    ));
    group(parts)
}

fn list(of: &OfSide, those: &[&Change]) -> AnyView {
    let row = |change: &&Change| {
        let title = of
            .of
            .list
            .items
            .get(change.item)
            .map_or("", |item| item.title);
        let at = |look: usize| {
            of.of
                .made
                .get(look)
                .map_or_else(String::new, |made| when(*made))
        };
        view! {
            <li>
                <strong>{title}</strong>
                {format!(": from {} to {}", at(change.earliest), at(change.latest))}
            </li>
        }
        .into_any()
    };
    let rows: Vec<AnyView> = those.iter().map(row).collect();
    view! { <ul class="looks">{rows}</ul> }.into_any()
}
