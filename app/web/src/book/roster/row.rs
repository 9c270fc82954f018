//! One hitter of the list: a touch chooses it, another opens its facts.

use super::{Wanted, editor};
use crate::parts::{act_spoken, group, live, refusal};
use crate::state::{
    Desk, Fact, Groups, Joins, age_band, bats_of, is_archived, is_in_group, level_of,
};
use leptos::prelude::*;
use notebook::{Hitter, RecordId};

/// The row of one hitter. `reads` is told when the finger goes down: what `goes_to`
/// shows is wanted soon.
pub fn row(id: RecordId, goes_to: Callback<RecordId>, reads: Callback<RecordId>) -> AnyView {
    let desk = expect_context::<Desk>();
    let joins = expect_context::<Joins>();
    let wanted = expect_context::<Wanted>();
    let hitter = Memo::new(move |_| {
        desk.hitters
            .with(|all| all.iter().find(|hitter| hitter.head.id == id).cloned())
    });
    let name =
        move || hitter.with(|hitter| hitter.as_ref().map(|hitter| hitter.name.get().clone()));
    let name = Signal::derive(move || name().unwrap_or_default());
    let at_work = move || {
        let chosen = desk.chosen.get();
        chosen.is_some_and(|chosen| joins.joined().is_same(chosen, id))
    };
    let said = move || hitter.with(|hitter| hitter.as_ref().map(|hitter| facts(desk, hitter)));
    view! {
        <li>
            <div class="row">
                <button
                    type="button"
                    class="hitter-now"
                    aria-pressed=move || at_work().to_string()
                    on:pointerdown=move |_| reads.run(id)
                    on:click=move |_| goes_to.run(id)
                >
                    <bdi class="name">{name}</bdi>
                    <span class="facts">{said}</span>
                </button>
                {live(move || beside(id, name, hitter))}
            </div>
            {live(move || match wanted.editing.get() == Some(id) {
                true => editor(id),
                false => ().into_any(),
            })}
        </li>
    }
    .into_any()
}

/// Bats, level, age, groups, and the other names of the same hitter.
fn facts(desk: Desk, hitter: &Hitter) -> String {
    let id = hitter.head.id;
    let mut said = format!("{}, {}", bats_of(hitter).name(), level_of(hitter).name);
    if let Some(band) = age_band(hitter) {
        said = format!("{said}, {}", band.name());
    }
    let groups = expect_context::<Groups>().names_of(id);
    if !groups.is_empty() {
        said = format!("{said}. In {}", groups.join(", "));
    }
    let records = expect_context::<Joins>().joined().records_of(id);
    let others = desk.hitters.with(|all| {
        let others = all
            .iter()
            .filter(|other| other.head.id != id && records.contains(&other.head.id));
        let names = others.map(|other| other.name.get().clone());
        names.collect::<Vec<_>>()
    });
    if !others.is_empty() {
        said = format!("{said}. Also {}", others.join(", "));
    }
    said
}

/// What else can be done at the row: put into the group being filled or out of
/// it, bring back from the archive, or edit.
fn beside(id: RecordId, name: Signal<String>, hitter: Memo<Option<Hitter>>) -> AnyView {
    let desk = expect_context::<Desk>();
    let wanted = expect_context::<Wanted>();
    if wanted.filling.get() {
        return in_or_out(id, name, wanted);
    }
    if hitter.with(|hitter| hitter.as_ref().is_some_and(is_archived)) {
        let restore = move |()| {
            // A flag cannot be refused.
            let _ = desk.set_fact(id, Fact::Archived(false));
        };
        return act_spoken(
            Signal::stored("Restore".to_owned()),
            Signal::derive(move || format!("Restore {}", name.get())),
            "",
            None,
            Callback::new(restore),
        );
    }
    let open = Signal::derive(move || wanted.editing.get() == Some(id));
    let turn = move |()| {
        wanted.adding.set(false);
        let next = (!open.get_untracked()).then_some(id);
        wanted.editing.set(next);
    };
    act_spoken(
        Signal::derive(move || if open.get() { "Close" } else { "Edit" }.to_owned()),
        Signal::derive(move || {
            let word = if open.get() { "Close" } else { "Edit" };
            format!("{word} {}", name.get())
        }),
        "quiet",
        Some(open),
        Callback::new(turn),
    )
}

fn in_or_out(id: RecordId, name: Signal<String>, wanted: Wanted) -> AnyView {
    let groups = expect_context::<Groups>();
    let refused = RwSignal::new(None::<String>);
    let group_now = move || wanted.group();
    let is_in = move || group_now().is_some_and(|group| is_in_group(&group, id));
    let touch = move |_| {
        let Some(group) = untrack(group_now) else {
            return;
        };
        let put = groups.put(id, group.head.id, !untrack(is_in));
        refused.set(put.err().map(|error| error.to_string()));
    };
    let button = view! {
        <button
            type="button"
            class="in-or-out"
            aria-pressed=move || is_in().to_string()
            aria-label=move || {
                let group = group_now().map(|group| group.name.get().clone());
                format!("{} in {}", name.get(), group.unwrap_or_default())
            }
            on:click=touch
        >
            {move || if is_in() { "In" } else { "Put in" }}
        </button>
    };
    group(vec![
        button.into_any(),
        live(move || match refused.get() {
            Some(text) => refusal(text),
            None => ().into_any(),
        }),
    ])
}
