//! Who the hitter is, and what is kept of him or her.

use crate::parts::{group, line, sheet, tape};
use crate::state::{
    Desk, Groups, Joins, age_band, bats_of, is_archived, is_guardian_held, level_of, note_of,
    targets_of,
};
use crate::words::fixed;
use coaching::roster::guardian_note;
use leptos::prelude::*;
use notebook::RecordId;

/// The name, and the facts that one looks for first.
pub fn heading() -> AnyView {
    let Some(hitter) = expect_context::<Desk>().hitter() else {
        return ().into_any();
    };
    let name = hitter.name.get().clone();
    let mut said = format!("{}, {}", bats_of(&hitter).name(), level_of(&hitter).name);
    if is_archived(&hitter) {
        said = format!("{said}. Archived");
    }
    group(vec![
        view! { <p class="who"><bdi>{name}</bdi></p> }.into_any(),
        line("line", said),
    ])
}

/// Targets, groups, note, and what to mind.
pub fn kept(id: RecordId) -> AnyView {
    let desk = expect_context::<Desk>();
    let found = desk
        .hitters
        .with(|all| all.iter().find(|hitter| hitter.head.id == id).cloned());
    let Some(hitter) = found else {
        return ().into_any();
    };
    let targets = targets_of(&hitter);
    let count = targets
        .count
        .map(|count| format!("{} s", fixed(count.seconds(), 2)));
    let distance = targets.distance.map(|distance| tape(distance.ft()));
    let groups = expect_context::<Groups>().names_of(id).join(", ");
    let band = age_band(&hitter);
    let or_none = |text: Option<String>| text.unwrap_or_else(|| "None".to_owned());
    let mut rows = vec![
        (
            "Age",
            band.map_or("Not said", |band| band.name()).to_owned(),
        ),
        ("Target count", or_none(count)),
        ("Field distance", or_none(distance)),
        (
            "Groups",
            or_none(Some(groups).filter(|groups| !groups.is_empty())),
        ),
    ];
    let joined = expect_context::<Joins>().standing(id).len();
    if joined > 0 {
        rows.push(("Records read together", format!("{}", records_of(id))));
    }
    let note = note_of(&hitter);
    if !note.is_empty() {
        rows.push(("Note", note));
    }
    let mut parts = vec![sheet(rows)];
    let mind = guardian_note(band, is_guardian_held(&hitter));
    if !mind.is_empty() {
        parts.push(line("line caution", mind));
    }
    view! {
        <section class="block" aria-label="Facts and targets">
            <h2>"Facts and targets"</h2>
            {parts}
        </section>
    }
    .into_any()
}

fn records_of(id: RecordId) -> usize {
    expect_context::<Joins>().joined().records_of(id).len()
}
