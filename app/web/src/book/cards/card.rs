//! One card in full, opened in its place: cautions first, then what to do.

use super::{Board, file, outcomes};
use crate::parts::{act, act_spoken, cautions, group, line, live, sheet, small_heading, table};
use crate::state::level_of;
use crate::words::counted;
use coaching::cards::{AnyCard, Component, IN_SEASON};
use coaching::check::{TILT, tilt_at};
use coaching::own_cards::Draft;
use leptos::prelude::*;
use std::sync::Arc;

/// Minutes and where the ball comes from, in a line.
pub fn facts(card: AnyCard) -> String {
    let minutes = counted(usize::from(card.minutes()), "minute", "minutes");
    let places = names(card.environments().iter().map(|place| place.name()));
    match places.as_str() {
        "" => format!("{minutes}. No ball."),
        places => format!("{minutes}. {places}."),
    }
}

/// A button that opens the card, and the card while it is opened. `place` tells
/// where on the page.
pub fn opening(board: Board, place: &'static str, card: AnyCard) -> AnyView {
    let id = card.id().to_owned();
    let key = Arc::new(format!("{place} {id}"));
    let title = card.title().to_owned();
    let mine = key.clone();
    let is_open = Memo::new(move |_| board.opened.with(|open| open.as_ref() == Some(&mine)));
    let word = move || {
        if is_open.get() {
            "Close the card"
        } else {
            "Open the card"
        }
    };
    let toggle = Callback::new(move |()| {
        let open = (!is_open.get_untracked()).then(|| String::clone(&key));
        board.opened.set(open);
    });
    let button = act_spoken(
        Signal::derive(move || word().to_owned()),
        Signal::derive(move || format!("{} {title}", word())),
        "wide",
        Some(is_open.into()),
        toggle,
    );
    let inside = live(move || {
        if is_open.get() {
            board.with_card(&id, |card| detail(board, place, card))
        } else {
            ().into_any()
        }
    });
    group(vec![button, inside])
}

fn detail(board: Board, place: &'static str, card: AnyCard) -> AnyView {
    let all = card.cautions().into_iter().map(str::to_owned).collect();
    let steps = card.steps().into_iter().map(|step| {
        let step = step.to_owned();
        view! { <li dir="auto">{step}</li> }
    });
    let side = untrack(|| board.at_work()).map(|(_, side)| side);
    let left_open = |text: &str| !text.is_empty();
    let mut rows = vec![
        ("It answers", answers(board, card)),
        (
            "Ball",
            or(names(card.environments().iter().map(|e| e.name())), "None"),
        ),
        (
            "Equipment",
            or(names(card.equipment().iter().map(|e| e.name())), "None"),
        ),
        ("Space", card.space().to_owned()),
        ("Time", facts_of_time(card)),
    ];
    let mut after = vec![
        ("Feel", card.feel().to_owned()),
        ("Watch", format!("{}: {}", card.view().name(), card.watch())),
        ("Easier", card.easier().to_owned()),
        ("Harder", card.harder().to_owned()),
    ];
    rows.retain(|(_, text)| left_open(text));
    after.retain(|(_, text)| left_open(text));
    let trains = Component::ALL.iter().map(|part| {
        let not = card.not_trained().contains(part);
        let word = if not { "Not trained" } else { "In the drill" };
        vec![part.name().to_owned(), word.to_owned()]
    });
    let own = match card {
        AnyCard::BuiltIn(_) => ().into_any(),
        AnyCard::Own(card) => own_acts(board, &card.id),
    };
    let outcome = match place {
        // Beside a suggestion they stand already.
        "suggested" => ().into_any(),
        _ => outcome(board, card),
    };
    view! {
        <div class="card-detail">
            <p dir="auto">{card.purpose().to_owned()}</p>
            {small_heading("Cautions")}
            {cautions(all)}
            {sheet(rows)}
            {small_heading("Steps")}
            <ol class="card-steps">{steps.collect_view()}</ol>
            {card.fields_in_words(side).map(|fields| line("fields", fields))}
            {sheet(after)}
            {tilt(board, card).map(|tilt| line("line", tilt))}
            {line("line", IN_SEASON)}
            {table("What of a game pitch", &[], trains.collect())}
            {outcome}
            {own}
        </div>
    }
    .into_any()
}

/// What the hitter's level asks of the tilt, on a card that answers it.
fn tilt(board: Board, card: AnyCard) -> Option<String> {
    card.fault_of(TILT)?;
    let hitter = untrack(|| board.desk.hitter())?;
    tilt_at(level_of(&hitter))
}

/// The outcome buttons of a card that is not suggested here. Without a hitter
/// there is nothing to record.
fn outcome(board: Board, card: AnyCard) -> AnyView {
    let id = card.id().to_owned();
    live(move || {
        if board.desk.chosen.get().is_none() {
            return line("line", "Choose a hitter to record what came of it.");
        }
        let found = board.found.get().and_then(Result::ok);
        let last = found.as_ref().and_then(|found| {
            let came = found.came();
            coaching::prescription::last_outcome(&id, &came)
        });
        let faults = found.map_or_else(Vec::new, |found| board.faults(&found));
        board.with_card(&id, |card| {
            let item = faults
                .into_iter()
                .map(|(item, _)| item)
                .find(|item| card.fault_of(item).is_some());
            outcomes::buttons(board, "all", card, item, last)
        })
    })
}

fn facts_of_time(card: AnyCard) -> String {
    let minutes = counted(usize::from(card.minutes()), "minute", "minutes");
    format!("{minutes}. {}", card.dose().sentence())
}

fn answers(board: Board, card: AnyCard) -> String {
    let one = |(id, fault): (&str, &str)| {
        let title = board.title_of(id);
        match fault {
            "" => title,
            fault => format!("{title} ({fault})"),
        }
    };
    card.answers()
        .into_iter()
        .map(one)
        .collect::<Vec<_>>()
        .join("; ")
}

fn names(names: impl Iterator<Item = &'static str>) -> String {
    names.collect::<Vec<_>>().join(", ")
}

fn or(text: String, none: &str) -> String {
    if text.is_empty() {
        none.to_owned()
    } else {
        text
    }
}

/// What can be done with an own card.
fn own_acts(board: Board, id: &str) -> AnyView {
    let own = untrack(|| board.own_cards());
    let Some(kept) = own.card(id).cloned() else {
        return ().into_any();
    };
    let before = kept.record.content.past().len();
    let history = (before > 0).then(|| {
        let versions = counted(before, "earlier version is", "earlier versions are");
        line("line", format!("Edited: {versions} kept in its history."))
    });
    let (edited, shared, removed) = (kept.card.clone(), kept.card.clone(), kept);
    let edit = Callback::new(move |()| board.show_form(Some(Draft::of(&edited))));
    let share = Callback::new(move |()| file::share(board, vec![shared.clone()]));
    let remove = Callback::new(move |()| remove(board, &removed));
    group(vec![
        history.into_any(),
        act("Edit this card", "", edit),
        act("Share as a file", "", share),
        act("Remove this card", "", remove),
    ])
}

fn remove(board: Board, kept: &crate::state::KeptCard) {
    let title = kept.card.title.clone();
    let desk = board.desk;
    let said = move |records: Vec<notebook::Own>| {
        let undo: Arc<dyn Fn() + Send + Sync> = Arc::new(move || {
            desk.set_own_cards_removed(records.clone(), false, move |_| board.read_own());
        });
        desk.notes
            .say(format!("{title} is removed."), Some(("Undo", undo)));
        board.read_own();
    };
    desk.set_own_cards_removed(vec![kept.record.clone()], true, said);
}
