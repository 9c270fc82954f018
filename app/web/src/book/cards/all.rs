//! All cards, by phase or by name: every one can be opened, suggested or not.

use super::{Board, card};
use crate::parts::{act, group, heading, line, live, refusal, said};
use crate::words::counted;
use coaching::cards::{self, AnyCard};
use coaching::check::{Phase, Skill};
use coaching::own_cards::Draft;
use coaching::search::{folded, search};
use js_sys::JsString;
use leptos::prelude::*;

/// All cards, with a field to search by name.
pub fn view() -> AnyView {
    let board = Board::here();
    let new = Callback::new(move |()| board.show_form(Some(Draft::new())));
    view! {
        <section class="part" aria-labelledby="all-cards">
            <h2 id="all-cards">"All cards"</h2>
            {act("Write a card of your own", "", new)}
            <label>
                <span>"Search cards by name"</span>
                <input
                    type="search"
                    autocomplete="off"
                    prop:value=move || board.typed.get()
                    on:input=move |event| board.typed.set(event_target_value(&event))
                />
            </label>
            {live(move || list(board))}
        </section>
    }
    .into_any()
}

/// A name or what was typed, as `coaching::search` reads it.
fn plain(text: &str) -> String {
    let parts = JsString::from(text).normalize("NFD");
    folded(&String::from(parts.to_lower_case()))
}

fn list(board: Board) -> AnyView {
    match board.own.get() {
        None => return said("line", "Reading your own cards…"),
        Some(Err(error)) => {
            let built_in = cards::cards().map(AnyCard::BuiltIn).collect();
            return group(vec![refusal(error), listed(board, built_in)]);
        }
        Some(Ok(_)) => {}
    }
    let own = board.own_cards();
    let newer = (own.unreadable > 0).then(|| {
        let cards = counted(own.unreadable, "card", "cards");
        line(
            "line",
            format!("{cards} of your own cannot be read here, perhaps written by a newer version. Kept as found."),
        )
    });
    let of_coach = own.cards.iter().map(|kept| AnyCard::Own(&kept.card));
    let all: Vec<AnyCard> = cards::cards()
        .map(AnyCard::BuiltIn)
        .chain(of_coach)
        .collect();
    group(vec![newer.into_any(), listed(board, all)])
}

fn listed(board: Board, all: Vec<AnyCard>) -> AnyView {
    let typed = plain(&board.typed.get());
    if typed.is_empty() {
        return by_phase(board, &all);
    }
    let names: Vec<String> = all.iter().map(|card| plain(card.title())).collect();
    let fitting = search(&typed, &names);
    let shown = counted(fitting.len(), "card has", "cards have");
    let found = fitting.into_iter().map(|place| entry(board, all[place]));
    group(vec![
        heading("Found"),
        said("line", format!("{shown} that name.")),
        group(found.collect()),
    ])
}

fn by_phase(board: Board, all: &[AnyCard]) -> AnyView {
    let mut parts = Vec::new();
    for skill in Skill::ALL {
        for phase in Phase::ALL {
            let of_phase = all
                .iter()
                .filter(|card| card.place() == Some((*skill, *phase)));
            push(
                board,
                &mut parts,
                skill.phase_name(*phase),
                *skill,
                of_phase,
            );
        }
    }
    let elsewhere: Vec<AnyView> = all
        .iter()
        .filter(|card| card.place().is_none())
        .map(|card| entry(board, *card))
        .collect();
    if !elsewhere.is_empty() {
        parts.push(heading("For items of your own"));
        parts.extend(elsewhere);
    }
    group(parts)
}

fn push<'a>(
    board: Board,
    parts: &mut Vec<AnyView>,
    phase: &'static str,
    skill: Skill,
    of_phase: impl Iterator<Item = &'a AnyCard<'a>>,
) {
    let entries: Vec<AnyView> = of_phase.map(|card| entry(board, *card)).collect();
    if entries.is_empty() {
        return;
    }
    let title = match skill {
        Skill::Swing => phase.to_owned(),
        other => format!("{}: {phase}", other.name()),
    };
    parts.push(view! { <h3>{title}</h3> }.into_any());
    parts.extend(entries);
}

fn entry(board: Board, card: AnyCard) -> AnyView {
    let title = card.title().to_owned();
    let mut facts = card::facts(card);
    if matches!(card, AnyCard::Own(_)) {
        facts.insert_str(0, "Your own. ");
    }
    view! {
        <article class="drill">
            <h4 class="item-title" dir="auto">
                {title}
            </h4>
            {line("line", facts)}
            {card::opening(board, "all", card)}
        </article>
    }
    .into_any()
}
