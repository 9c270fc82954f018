//! The list itself: who answers what is asked for, in parts.

use super::row::row;
use super::{SHOWN_MORE, Wanted};
use crate::parts::{Leaf, act, follows, group, live, live_line};
use crate::state::{Desk, Joins, LooksAhead, is_archived, is_in_group};
use crate::words::{counted, for_search};
use coaching::listing::{Entry, listed};
use leptos::leptos_dom::helpers::TimeoutHandle;
use leptos::prelude::*;
use leptos_router::NavigateOptions;
use leptos_router::hooks::use_navigate;
use notebook::RecordId;
use std::time::Duration;

/// No more rows than this are seen at once while a name is typed.
const ON_SCREEN: usize = 6;
/// Of so many that are left, the one that is wanted is likely among them.
const FEW: usize = 3;
/// After a letter, no other comes.
const SETTLED: Duration = Duration::from_millis(40);

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
    // At a letter typed, those that the screen has room for come first.
    let painted = follows(move || wanted.typed.get());
    let shown = move || {
        let mut shown = found.get();
        let is_painted = painted.with(|painted| wanted.typed.with(|typed| painted == typed));
        let most = wanted.most.get();
        shown.truncate(if is_painted {
            most
        } else {
            most.min(ON_SCREEN)
        });
        shown
    };
    let ahead = expect_context::<LooksAhead>();
    let records = move |id| untrack(|| joins.records_of(id));
    let reads = Callback::new(move |id| ahead.begin(&records(id)));
    let goes = Callback::new(move |id| ahead.go(&records(id)));
    let goes_to = going_to_a_hitter(desk, goes);
    the_few_that_are_left(wanted, found, reads);
    on_cleanup(move || ahead.forget());
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
                    {row(id, goes_to, reads)}
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

/// Of the few that a name typed has left, one is touched next: what `reads` reads is
/// there then. Not between two letters.
fn the_few_that_are_left(wanted: Wanted, found: Memo<Vec<RecordId>>, reads: Callback<RecordId>) {
    let waits = StoredValue::new(None::<TimeoutHandle>);
    let stop = move || {
        if let Some(before) = waits.try_update_value(Option::take).flatten() {
            before.clear();
        }
    };
    Effect::new(move |_| {
        stop();
        let is_typed = wanted.typed.with(|typed| !typed.trim().is_empty());
        let few = found.with(|found| (found.len() <= FEW).then(|| found.clone()));
        if let Some(few) = few.filter(|_| is_typed) {
            let read = move || few.iter().for_each(|id| reads.run(*id));
            waits.set_value(set_timeout_with_handle(read, SETTLED).ok());
        }
    });
    on_cleanup(stop);
}

/// Chooses a hitter and goes to the hitter's page, which shows nothing of the one
/// before.
fn going_to_a_hitter(desk: Desk, goes: Callback<RecordId>) -> Callback<RecordId> {
    let navigate = StoredValue::new_local(use_navigate());
    Callback::new(move |id: RecordId| {
        goes.run(id);
        desk.turn_to(id);
        // Going to where it is has the browser lay the page out once more.
        let is_scrolled = window().scroll_y().is_ok_and(|y| y > 0.0);
        let options = NavigateOptions {
            scroll: is_scrolled,
            ..NavigateOptions::default()
        };
        navigate.with_value(|go| go(Leaf::Hitter.path(), options));
    })
}
