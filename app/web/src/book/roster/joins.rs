//! Two records of one hitter: which are joined, joining, and taking it back.

use crate::parts::{act_spoken, group, line, live, small_heading};
use crate::state::{Desk, Joins, bats_of, level_of};
use crate::words::{for_search, when};
use coaching::search::search;
use leptos::prelude::*;
use notebook::{Hitter, RecordId};

/// So many other records are offered.
const OFFERED: usize = 8;

/// The joins of a hitter's record, and the way to another.
pub fn joins(id: RecordId) -> AnyView {
    let joins = expect_context::<Joins>();
    let open = RwSignal::new(false);
    let word = move || match open.get() {
        true => "Not another record",
        false => "Join with another record of the same hitter",
    };
    group(vec![
        live(move || standing(joins, id)),
        act_spoken(
            Signal::derive(move || word().to_owned()),
            Signal::derive(move || word().to_owned()),
            "quiet",
            Some(open.into()),
            Callback::new(move |()| open.update(|open| *open = !*open)),
        ),
        live(move || match open.get() {
            true => others(joins, id, open),
            false => ().into_any(),
        }),
    ])
}

/// A record's name and what tells it from others of that name.
fn called(id: RecordId) -> String {
    let desk = expect_context::<Desk>();
    let said = desk.hitters.with(|all| {
        let hitter = all.iter().find(|hitter| hitter.head.id == id)?;
        Some(told(hitter))
    });
    said.unwrap_or_else(|| "a record that is not on this phone".to_owned())
}

fn told(hitter: &Hitter) -> String {
    format!(
        "{} ({}, {}, since {})",
        hitter.name.get(),
        bats_of(hitter).name(),
        level_of(hitter).name,
        when(hitter.head.made)
    )
}

fn standing(joins: Joins, id: RecordId) -> AnyView {
    let pairs = joins.standing(id);
    if pairs.is_empty() {
        return ().into_any();
    }
    let mut parts = vec![small_heading("Joined records")];
    for (one, other, made) in pairs {
        let both = format!("{} and {}", called(one), called(other));
        let back = format!("Take back: {both}");
        parts.push(line("line", format!("{both}, joined {}.", when(made))));
        parts.push(act_spoken(
            Signal::stored("Take this join back".to_owned()),
            Signal::stored(back),
            "",
            None,
            Callback::new(move |()| joins.part(one, other)),
        ));
    }
    group(parts)
}

/// Other records, those whose name is like this one's first.
fn others(joins: Joins, id: RecordId, open: RwSignal<bool>) -> AnyView {
    let desk = expect_context::<Desk>();
    let typed = RwSignal::new(String::new());
    let joined = joins.joined();
    let rest: Vec<Hitter> = desk.hitters.with_untracked(|all| {
        let rest = all
            .iter()
            .filter(|other| !joined.is_same(other.head.id, id));
        rest.cloned().collect()
    });
    let names: Vec<String> = rest
        .iter()
        .map(|other| for_search(other.name.get()))
        .collect();
    let offered = move || {
        let found = search(&for_search(&typed.get()), &names);
        let row = |place: usize| {
            let other = &rest[place];
            let other_id = other.head.id;
            let join = move |_| {
                open.set(false);
                joins.join(id, other_id);
            };
            view! {
                <li>
                    <button type="button" class="wide" on:click=join>
                        "Join with "
                        {told(other)}
                    </button>
                </li>
            }
            .into_any()
        };
        let rows: Vec<AnyView> = found.into_iter().take(OFFERED).map(row).collect();
        match rows.is_empty() {
            true => line("line", "No other record has a name like this."),
            false => view! { <ul class="offered">{rows}</ul> }.into_any(),
        }
    };
    view! {
        <p class="line">
            "Both records stay as they are; they are read together as one hitter. It can be taken back."
        </p>
        <label class="search">
            <span>"Find the other record by name"</span>
            <input
                type="search"
                autocomplete="off"
                on:input=move |event| typed.set(event_target_value(&event))
            />
        </label>
        {live(offered)}
    }
    .into_any()
}
