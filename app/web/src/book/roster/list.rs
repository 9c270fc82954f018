//! The list itself: who answers what is asked for, in parts.

use super::row::row;
use super::{SHOWN_MORE, Wanted};
use crate::parts::{Leaf, act, group, live, live_line};
use crate::state::{Desk, Joins, is_archived, is_in_group};
use crate::words::{counted, for_search};
use coaching::listing::{Entry, listed};
use leptos::prelude::*;
use leptos_router::NavigateOptions;
use leptos_router::hooks::use_navigate;
use notebook::RecordId;

/// The hitters that are wanted, with how many they are.
pub fn list() -> AnyView {
    let desk = expect_context::<Desk>();
    let joins = expect_context::<Joins>();
    let wanted = expect_context::<Wanted>();
    // Names are folded once, not at every letter typed.
    let entries = Memo::new(move |_| {
        desk.hitters.with(|all| {
            let entry = |hitter: &notebook::Hitter| Entry {
                id: hitter.head.id,
                name: for_search(hitter.name.get()),
                archived: is_archived(hitter),
            };
            all.iter().map(entry).collect::<Vec<_>>()
        })
    });
    let joined = Memo::new(move |_| joins.joined());
    let found = Memo::new(move |_| {
        let typed = for_search(&wanted.typed.get());
        let group = match wanted.filling.get() {
            true => None,
            false => wanted.group(),
        };
        let in_group = |id| group.as_ref().is_none_or(|group| is_in_group(group, id));
        let archived = wanted.archived.get();
        entries.with(|entries| {
            joined.with(|joined| listed(entries, joined, &typed, archived, in_group))
        })
    });
    let archived = Memo::new(move |_| {
        entries.with(|entries| entries.iter().filter(|entry| entry.archived).count())
    });
    let shown = move || {
        let mut shown = found.get();
        shown.truncate(wanted.most.get());
        shown
    };
    let goes_to = going_to_a_hitter(desk);
    let more = move || {
        let left = found.with(Vec::len).saturating_sub(wanted.most.get());
        match left {
            0 => ().into_any(),
            left => act(
                format!("Show more ({left} left)"),
                "wide",
                Callback::new(move |()| wanted.most.update(|most| *most += SHOWN_MORE)),
            ),
        }
    };
    group(vec![
        live_line("line", move || how_many(wanted, found, desk)),
        view! {
            <ul class="roster">
                <For each=shown key=|id| *id let:id>
                    {row(id, goes_to)}
                </For>
            </ul>
        }
        .into_any(),
        live(more),
        live(move || which_archive(wanted, archived.get())),
    ])
}

fn how_many(wanted: Wanted, found: Memo<Vec<RecordId>>, desk: Desk) -> String {
    let n = found.with(Vec::len);
    let archived = wanted.archived.get();
    let what = match wanted.group() {
        _ if archived => " archived".to_owned(),
        Some(group) if !wanted.filling.get() => format!(" in {}", group.name.get()),
        _ => String::new(),
    };
    if desk.hitters.with(Vec::is_empty) {
        return "No hitters yet. Add the first one.".to_owned();
    }
    match (n, wanted.typed.with(|typed| typed.trim().is_empty())) {
        (0, true) => format!("No hitters{what}."),
        (0, false) => format!("No hitter{what} has a name like this."),
        (n, _) if n > wanted.most.get() => {
            format!("{} of {n} hitters{what} shown.", wanted.most.get())
        }
        (n, _) => format!("{}{what}.", counted(n, "hitter", "hitters")),
    }
}

/// The way into the archive and out of it; nothing while it is empty.
fn which_archive(wanted: Wanted, archived: usize) -> AnyView {
    let label = match (wanted.archived.get(), archived) {
        (true, _) => "Back to the roster".to_owned(),
        (false, 0) => return ().into_any(),
        (false, n) => format!("Archived ({n})"),
    };
    let turn = move |()| {
        let archived = !wanted.archived.get_untracked();
        wanted.ask_for(None, false);
        wanted.archived.set(archived);
    };
    act(label, "wide", Callback::new(turn))
}

/// Chooses a hitter and goes to the hitter's page, which shows nothing of the one
/// before.
fn going_to_a_hitter(desk: Desk) -> Callback<RecordId> {
    let navigate = StoredValue::new_local(use_navigate());
    Callback::new(move |id: RecordId| {
        desk.turn_to(id);
        navigate.with_value(|go| go(Leaf::Hitter.path(), NavigateOptions::default()));
    })
}
