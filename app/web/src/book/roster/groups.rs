//! The groups: made, renamed, removed, filled.

use super::Wanted;
use crate::parts::{NewName, act_spoken, group, line, live, name_field, small_heading};
use crate::state::{Desk, Groups, is_in_group};
use crate::words::counted;
use leptos::prelude::*;
use notebook::{Group, RecordId};

/// What the fold of the groups holds.
pub fn groups() -> AnyView {
    let groups = expect_context::<Groups>();
    let renaming = RwSignal::new(None::<RecordId>);
    group(vec![
        new_group(groups),
        live(move || {
            let all = groups.all();
            match all.is_empty() {
                true => line(
                    "line",
                    "No groups yet. A group is a team, or your lesson clients.",
                ),
                false => {
                    let one = |one: Group| view! { <li>{one_group(groups, &one, renaming)}</li> };
                    let rows: Vec<AnyView> = all.into_iter().map(|g| one(g).into_any()).collect();
                    view! { <ul class="groups">{rows}</ul> }.into_any()
                }
            }
        }),
    ])
}

fn new_group(groups: Groups) -> AnyView {
    let wanted = expect_context::<Wanted>();
    let name = NewName::of("new-group");
    let submit = move |event: web_sys::SubmitEvent| {
        event.prevent_default();
        match groups.make(&name.typed()) {
            Ok(made) => {
                // The next thing is to say who is in it.
                if made.is_some() {
                    name.empty();
                    wanted.ask_for(made, true);
                }
            }
            Err(error) => name.refuse(error.to_string()),
        }
    };
    view! {
        <form class="one-line" novalidate on:submit=submit>
            {name.field("New group")}
            <button type="submit">"Make the group"</button>
        </form>
        {name.refusal()}
    }
    .into_any()
}

fn one_group(groups: Groups, one: &Group, renaming: RwSignal<Option<RecordId>>) -> AnyView {
    let desk = expect_context::<Desk>();
    let wanted = expect_context::<Wanted>();
    let id = one.head.id;
    let name = one.name.get().clone();
    // Only those that are on this phone's roster.
    let n = desk.hitters.with(|all| {
        let those = all.iter().filter(|hitter| is_in_group(one, hitter.head.id));
        those.count()
    });
    let button = |label: &str, class: &'static str, on_act: Callback<()>| {
        act_spoken(
            Signal::stored(label.to_owned()),
            Signal::stored(format!("{label}: {name}")),
            class,
            None,
            on_act,
        )
    };
    let rename = move |()| {
        renaming.update(|renaming| {
            *renaming = match *renaming == Some(id) {
                true => None,
                false => Some(id),
            };
        });
    };
    let buttons = group(vec![
        button(
            "Fill",
            "",
            Callback::new(move |()| wanted.ask_for(Some(id), true)),
        ),
        button("Rename", "quiet", Callback::new(rename)),
        button(
            "Remove",
            "quiet",
            Callback::new(move |()| groups.remove(id)),
        ),
    ]);
    let called = name.clone();
    let field = move || match renaming.get() == Some(id) {
        true => name_field(
            "Name of the group",
            Signal::stored(called.clone()),
            Callback::new(move |typed: String| {
                groups.rename(id, &typed).map_err(|error| error.to_string())
            }),
        ),
        false => ().into_any(),
    };
    group(vec![
        small_heading(name.clone()),
        line("line", counted(n, "hitter", "hitters")),
        view! { <div class="acts">{buttons}</div> }.into_any(),
        live(field),
    ])
}
