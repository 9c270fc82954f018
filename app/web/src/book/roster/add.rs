//! A new hitter: the least that is needed; the rest is edited later.

use super::Wanted;
use crate::parts::{NewName, act, choice, live, options_of, selection};
use crate::state::{Desk, NewHitter, level_of};
use coaching::vocabulary::{Bats, Side};
use flight::LEVELS;
use leptos::prelude::*;

/// The name under which what is typed is kept.
const FORM: &str = "new-hitter";

/// The button that opens the form, or the form.
pub fn add_hitter() -> AnyView {
    let wanted = expect_context::<Wanted>();
    let desk = expect_context::<Desk>();
    if desk.hitters.with_untracked(Vec::is_empty) || NewName::waits(FORM) {
        wanted.adding.set(true);
    }
    let open = move |()| {
        wanted.editing.set(None);
        wanted.adding.set(true);
    };
    live(move || match wanted.adding.get() {
        true => form(desk, wanted),
        false => act("Add a hitter", "wide", Callback::new(open)),
    })
}

/// Ids and names of how a hitter bats.
pub fn sides() -> Vec<(&'static str, &'static str)> {
    vec![
        (Bats::Left.id(), Side::Left.name()),
        (Bats::Right.id(), Side::Right.name()),
        (Bats::Both.id(), "Both"),
    ]
}

fn form(desk: Desk, wanted: Wanted) -> AnyView {
    let name = NewName::of(FORM);
    let bats = RwSignal::new(Bats::Right);
    // A coach adds one team after another: start from the hitter at work.
    let like = untrack(|| desk.hitter());
    let level = RwSignal::new(like.as_ref().map_or(&LEVELS[0], level_of));
    let submit = move |event: web_sys::SubmitEvent| {
        event.prevent_default();
        let added = desk.add_hitter(&NewHitter {
            name: name.typed(),
            bats: bats.get_untracked(),
            level: level.get_untracked(),
        });
        match added {
            Ok(()) => {
                name.empty();
                wanted.adding.set(false);
                // The new one is in no group yet.
                wanted.ask_for(None, false);
            }
            Err(error) => name.refuse(error.to_string()),
        }
    };
    view! {
        <form class="hitter-form" novalidate on:submit=submit>
            {name.field("First name or initials")}
            {name.refusal()}
            {choice("Bats", sides(), Signal::derive(move || bats.get().id()), Callback::new(move |id: &'static str| {
                if let Some(chosen) = Bats::from_id(id) {
                    bats.set(chosen);
                }
            }))}
            {selection("Level", false, Signal::stored(options_of(LEVELS, |level| (level.id, level.name))), Signal::derive(move || level.get().id.to_owned()), Callback::new(move |id: String| {
                if let Some(chosen) = flight::level(&id) {
                    level.set(chosen);
                }
            }))}
            <button type="submit" class="main-act">
                "Save hitter"
            </button>
            {act("Cancel", "quiet", Callback::new(move |()| {
                name.empty();
                wanted.adding.set(false);
            }))}
            <small>"Kept on this phone. No birth date and no family name are needed."</small>
        </form>
    }
    .into_any()
}
