//! What can be said of the last ball, after its touch and without need: how well it
//! was hit, and of a side toss where it came and where it was met.

use crate::parts::{act, choice, fold, group, line, live, selection};
use crate::state::names::{contact as name, session};
use crate::state::session::{Detail, Practice};
use crate::state::{Desk, kinds, level_of};
use coaching::contact::Quality;
use coaching::contact::side_toss::{ContactDepth, TossSpot};
use coaching::vocabulary::Environment;
use leptos::prelude::*;

/// The choices for the last ball.
pub fn view() -> AnyView {
    let desk = expect_context::<Desk>();
    let practice = expect_context::<Practice>();
    let has_last = Memo::new(move |_| practice.last.with(Option::is_some));
    // By where the last ball came from; before the first by what is to come.
    let is_side_toss = Memo::new(move |_| {
        let of_last = practice.last.with(|last| {
            let context = &last.as_ref()?.context;
            Environment::from_id(context.environment.as_str())
        });
        of_last.unwrap_or_else(|| desk.environment.get()) == Environment::SideToss
    });
    live(move || {
        if !has_last.get() {
            return group(vec![]);
        }
        let mut parts = vec![quality(practice)];
        if is_side_toss.get() {
            parts.push(toss(practice));
            parts.push(depth(practice));
            parts.push(noting(practice));
        }
        parts.push(fold("More of the last ball", more));
        group(parts)
    })
}

fn noted(practice: Practice, name: &'static str) -> Signal<&'static str> {
    Signal::derive(move || {
        practice.last.with(|last| {
            let id = last.as_ref().and_then(|last| last.choices.get(name));
            let id = id.map(|id| id.as_str()).unwrap_or_default();
            let known = match name {
                name::QUALITY => Quality::from_id(id).map(Quality::id),
                name::TOSS => TossSpot::from_id(id).map(TossSpot::id),
                _ => ContactDepth::from_id(id).map(ContactDepth::id),
            };
            known.unwrap_or("")
        })
    })
}

fn note(practice: Practice, name: &'static str) -> Callback<&'static str> {
    Callback::new(move |id| practice.detail(Detail { name, id }))
}

fn quality(practice: Practice) -> AnyView {
    let options = Quality::ALL.iter().map(|known| (known.id(), known.name()));
    choice(
        "The last ball was hit",
        options.collect(),
        noted(practice, name::QUALITY),
        note(practice, name::QUALITY),
    )
}

fn toss(practice: Practice) -> AnyView {
    let options = TossSpot::ALL.iter().map(|known| (known.id(), known.name()));
    choice(
        "The toss came",
        options.collect(),
        noted(practice, name::TOSS),
        note(practice, name::TOSS),
    )
}

fn depth(practice: Practice) -> AnyView {
    let options = ContactDepth::ALL
        .iter()
        .map(|known| (known.id(), known.name()));
    choice(
        "Met",
        options.collect(),
        noted(practice, name::DEPTH),
        note(practice, name::DEPTH),
    )
}

/// Whether a side toss counts as it should be unless noted otherwise: the coach
/// must say so, as what nobody saw is never good.
fn noting(practice: Practice) -> AnyView {
    let noting = Signal::derive(move || match practice.choice(session::NOTING).as_deref() {
        Some("usual") => "usual",
        _ => "each",
    });
    choice(
        "Side tosses",
        vec![
            ("each", "Note spot and contact of each"),
            ("usual", "Front hip, on time, unless I touch otherwise"),
        ],
        noting,
        Callback::new(move |id| practice.choose(session::NOTING, id)),
    )
}

fn more() -> AnyView {
    let practice = expect_context::<Practice>();
    let is_linked = Memo::new(move |_| {
        let linked = |last: &Option<std::sync::Arc<notebook::Contact>>| {
            last.as_ref()
                .is_some_and(|last| last.choices.contains_key(name::REP))
        };
        practice.last.with(linked)
    });
    let count = move || match is_linked.get() {
        true => line("line", "Linked to a count."),
        false => act(
            "Link the latest count",
            "",
            Callback::new(move |()| practice.link_count()),
        ),
    };
    let for_all = live(move || match practice.last.with(Option::is_some) {
        true => depth_when_not_tossed(practice),
        false => group(vec![]),
    });
    group(vec![for_all, live(count), pitch(practice)])
}

/// Early or late, where the choice does not stand above already.
fn depth_when_not_tossed(practice: Practice) -> AnyView {
    let is_side_toss = practice.last.with(|last| {
        let last = last.as_ref();
        last.is_some_and(|last| last.context.environment.as_str() == Environment::SideToss.id())
    });
    match is_side_toss {
        true => group(vec![]),
        false => depth(practice),
    }
}

/// The kind of pitch of the balls to come.
fn pitch(practice: Practice) -> AnyView {
    const NOT_SAID: &str = "not-said";
    let level = practice.at_plate().map(|hitter| level_of(&hitter));
    let mut options = vec![(NOT_SAID.to_owned(), "Not said".to_owned())];
    for kind in level.into_iter().flat_map(kinds) {
        options.push((kind.id.to_owned(), kind.name.to_owned()));
    }
    selection(
        "Kind of pitch from now on",
        false,
        Signal::stored(options),
        Signal::derive(move || practice.pitch.get().unwrap_or(NOT_SAID).to_owned()),
        Callback::new(move |id: String| {
            practice
                .pitch
                .set(flight::pitch_type(&id).map(|kind| kind.id));
        }),
    )
}
