//! The facts of one hitter, each written as it is changed.

use super::Wanted;
use super::add::sides;
use super::joins::joins;
use super::target::{COUNT, DISTANCE, target_field};
use crate::device::settings;
use crate::parts::{
    act, choice, group, line, live, name_field, option_of, options_of, refusal, selection, tape,
};
use crate::state::{
    Desk, Fact, Groups, age_band, bats_of, is_guardian_held, is_in_group, level_of, note_of,
    targets_of,
};
use coaching::count::Target;
use coaching::roster::{AgeBand, FieldDistance, LONGEST_NOTE, guardian_note};
use coaching::vocabulary::Bats;
use flight::LEVELS;
use leptos::prelude::*;
use notebook::{Hitter, RecordId};

/// What a guardian-held notebook is.
const GUARDIAN_HELD: &str = "Guardian-held: a parent or guardian owns this hitter's notebook and \
                             says which coaches see it. Tick it when they asked for that.";

/// Everything that is kept of a hitter, to be changed.
pub fn editor(id: RecordId) -> AnyView {
    let desk = expect_context::<Desk>();
    let hitter = Memo::new(move |_| {
        desk.hitters
            .with(|all| all.iter().find(|hitter| hitter.head.id == id).cloned())
    });
    // A record that is removed while its facts are open: they close by the list.
    let of = move |read: fn(&Hitter) -> String| {
        Signal::derive(move || hitter.with(|hitter| hitter.as_ref().map(read).unwrap_or_default()))
    };
    let keep = move |fact: Fact| desk.set_fact(id, fact).map_err(|error| error.to_string());
    let text = move |fact: fn(String) -> Fact| Callback::new(move |typed| keep(fact(typed)));
    // What cannot be refused.
    let set = move |fact: Fact| {
        let _ = desk.set_fact(id, fact);
    };
    let bats = Signal::derive(move || {
        let bats = hitter.with(|hitter| hitter.as_ref().map(bats_of));
        bats.unwrap_or(Bats::Right).id()
    });
    let held = Signal::derive(move || {
        let held = hitter.with(|hitter| hitter.as_ref().is_some_and(is_guardian_held));
        if held { "yes" } else { "no" }
    });
    let mut bands = vec![option_of("", "Not said")];
    bands.extend(options_of(AgeBand::ALL, |band| (band.id(), band.name())));
    let minors = move || {
        let note = hitter.with(|hitter| {
            let hitter = hitter.as_ref()?;
            Some(guardian_note(age_band(hitter), is_guardian_held(hitter)))
        });
        match note {
            Some(note) if !note.is_empty() => line("line caution", note),
            _ => ().into_any(),
        }
    };
    let parts = group(vec![
        name_field(
            "First name or initials",
            of(|hitter| hitter.name.get().clone()),
            text(Fact::Name),
        ),
        choice(
            "Bats",
            sides(),
            bats,
            Callback::new(move |id: &'static str| {
                if let Some(bats) = Bats::from_id(id) {
                    set(Fact::Bats(bats));
                }
            }),
        ),
        selection(
            "Level",
            false,
            Signal::stored(options_of(LEVELS, |level| (level.id, level.name))),
            of(|hitter| level_of(hitter).id.to_owned()),
            Callback::new(move |id: String| {
                if let Some(level) = flight::level(&id) {
                    set(Fact::Level(level));
                }
            }),
        ),
        selection(
            "Age",
            false,
            Signal::stored(bands),
            of(|hitter| age_band(hitter).map_or(String::new(), |band| band.id().to_owned())),
            Callback::new(move |id: String| set(Fact::Age(AgeBand::from_id(&id)))),
        ),
        choice(
            "Guardian-held notebook",
            vec![("no", "No"), ("yes", "Yes")],
            held,
            Callback::new(move |id| {
                set(Fact::Guardian(id == "yes"));
            }),
        ),
        line("line", GUARDIAN_HELD),
        live(minors),
        note_field(id, of(note_of), text(Fact::Note)),
        targets(hitter, Callback::new(keep)),
        groups_of(id),
        joins(id),
    ]);
    view! { <div class="hitter-form">{parts} {ends(id, hitter)}</div> }.into_any()
}

fn targets(hitter: Memo<Option<Hitter>>, keep: Callback<Fact, Result<(), String>>) -> AnyView {
    let targets = move || {
        let targets = hitter.with(|hitter| hitter.as_ref().map(targets_of));
        targets.unwrap_or_default()
    };
    let usual = untrack(|| {
        hitter.with(|hitter| {
            let level = hitter.as_ref().map(level_of)?;
            Some(format!("Usual: {}.", tape(level.rubber_to_plate_ft)))
        })
    });
    group(vec![
        target_field(
            COUNT,
            String::new(),
            Signal::derive(move || targets().count.map(Target::seconds)),
            Callback::new(move |given_s| keep.run(Fact::Count(given_s))),
        ),
        target_field(
            DISTANCE,
            usual.unwrap_or_default(),
            Signal::derive(move || targets().distance.map(FieldDistance::ft)),
            Callback::new(move |given_ft| keep.run(Fact::Distance(given_ft))),
        ),
    ])
}

/// The note: kept as it is typed, saved when the field is left, or when it is shown
/// again after the page was closed meanwhile.
fn note_field(
    id: RecordId,
    value: Signal<String>,
    keep: Callback<String, Result<(), String>>,
) -> AnyView {
    let refused = RwSignal::new(None::<String>);
    let form = StoredValue::new(format!("note.{id}"));
    let typed = move |text: Option<&str>| form.with_value(|form| settings::set_typed(form, text));
    let save = move |text: String| {
        let kept = keep.run(text);
        if kept.is_ok() {
            typed(None);
        }
        refused.set(kept.err());
    };
    let left = form.with_value(|form| settings::typed(form));
    if let Some(left) = left.clone() {
        untrack(|| save(left));
    }
    // What was refused stands in the field at first, as it was typed.
    let first = StoredValue::new(left.filter(|_| refused.with_untracked(Option::is_some)));
    let shown = move || {
        let value = value.get();
        first
            .try_update_value(Option::take)
            .flatten()
            .unwrap_or(value)
    };
    view! {
        <label>
            <span>"Note "<small>{format!("up to {LONGEST_NOTE} characters; nothing medical")}</small></span>
            <textarea
                rows="3"
                dir="auto"
                prop:value=shown
                aria-describedby="note-refusal"
                aria-invalid=move || refused.with(Option::is_some).to_string()
                on:input=move |event| typed(Some(&event_target_value(&event)))
                on:change=move |event| save(event_target_value(&event))
            ></textarea>
        </label>
        <p id="note-refusal" class="refusal" role="status">
            {move || refused.get()}
        </p>
    }
    .into_any()
}

/// Every group as a button: pressed when the hitter is in it.
fn groups_of(id: RecordId) -> AnyView {
    let groups = expect_context::<Groups>();
    let refused = RwSignal::new(None::<String>);
    // Drawn anew only when a group comes, goes or is renamed: a touch on a button
    // must leave the focus on it.
    let all = Memo::new(move |_| {
        let name = |group: notebook::Group| (group.head.id, group.name.get().clone());
        groups.all().into_iter().map(name).collect::<Vec<_>>()
    });
    let button = move |(group_id, name): (RecordId, String)| {
        let is_in = move || {
            let group = groups.group(group_id);
            group.is_some_and(|group| is_in_group(&group, id))
        };
        let touch = move |_| {
            let put = groups.put(id, group_id, !untrack(is_in));
            refused.set(put.err().map(|error| error.to_string()));
        };
        view! {
            <button type="button" aria-pressed=move || is_in().to_string() on:click=touch>
                {name}
            </button>
        }
        .into_any()
    };
    let buttons = move || {
        let buttons: Vec<AnyView> = all.get().into_iter().map(button).collect();
        match buttons.is_empty() {
            true => line("line", "No groups yet: they are made on the roster."),
            false => view! { <div class="choice-row">{buttons}</div> }.into_any(),
        }
    };
    view! {
        <div class="choice" role="group" aria-label="Groups of this hitter">
            <span class="choice-label">"Groups"</span>
            {live(buttons)}
        </div>
        {live(move || match refused.get() {
            Some(text) => refusal(text),
            None => ().into_any(),
        })}
    }
    .into_any()
}

/// Out of the way, or gone.
fn ends(id: RecordId, hitter: Memo<Option<Hitter>>) -> AnyView {
    let desk = expect_context::<Desk>();
    let wanted = expect_context::<Wanted>();
    let archive = move |()| {
        wanted.editing.set(None);
        // A flag cannot be refused.
        let _ = desk.set_fact(id, Fact::Archived(true));
    };
    let remove = move |()| {
        wanted.editing.set(None);
        if let Some(hitter) = hitter.get_untracked() {
            desk.remove_hitter(hitter);
        }
    };
    group(vec![
        act("Archive this hitter", "wide", Callback::new(archive)),
        line(
            "line",
            "Archived: kept with everything, out of the lists, and back at a touch.",
        ),
        act("Remove this hitter", "quiet", Callback::new(remove)),
    ])
}
