//! What was found at the chosen hitter, what is at hand, and the cards that
//! answer it, the first to try first. It suggests; the coach decides.

use super::{Board, card, outcomes};
use crate::device::settings;
use crate::parts::{
    Leaf, choice, group, heading, line, live, options_of, refusal, said, toggles, way,
};
use crate::state::{Found, OfSkill};
use crate::words::{counted, when};
use coaching::cards::{self, AnyCard, Equipment, IN_SEASON};
use coaching::looks::Finding;
use coaching::prescription::{AtHand, Prescription, Suggestion, TRY_EACH};
use coaching::vocabulary::{Bats, Side};
use leptos::prelude::*;

/// The choice of minutes that says time does not matter.
pub const NO_LIMIT: &str = "no-limit";

const MINUTES: [(&str, &str); 6] = [
    (NO_LIMIT, "No limit"),
    ("5", "5"),
    ("10", "10"),
    ("15", "15"),
    ("20", "20"),
    ("30", "30"),
];

/// What was found, and what answers it.
pub fn view() -> AnyView {
    let board = Board::here();
    let inside = live(move || {
        let Some(hitter) = board.desk.hitter() else {
            return group(vec![
                line(
                    "line",
                    "No hitter is chosen. Choose one to see which cards answer what was found. All cards are below.",
                ),
                way(Leaf::Roster.path(), "Choose a hitter", "", true),
            ]);
        };
        let name = hitter.name.get().clone();
        let bats = Bats::from_id(hitter.bats.get().as_str());
        let side = (bats == Some(Bats::Both)).then(|| side_choice(board));
        group(vec![
            name_line(name, bats),
            group(side.into_iter().collect()),
            live(move || match board.found.get() {
                None => said("line", "Reading the latest looks…"),
                Some(Err(error)) => refusal(error),
                Some(Ok(found)) => findings(board, &found),
            }),
            at_hand(board),
            suggestions(board),
        ])
    });
    view! {
        <section class="part" aria-labelledby="what-was-found">
            <h2 id="what-was-found">"What was found"</h2>
            {inside}
        </section>
    }
    .into_any()
}

fn name_line(name: String, bats: Option<Bats>) -> AnyView {
    view! {
        <p class="hitter-line">
            <strong class="name" dir="auto">
                {name}
            </strong>
            " "
            <span>{bats.map(Bats::name)}</span>
        </p>
    }
    .into_any()
}

/// For a hitter of both sides: which side's looks these are.
fn side_choice(board: Board) -> AnyView {
    let chosen = Signal::derive(move || board.at_work().map_or("", |(_, side)| side.id()));
    let on_choose = Callback::new(move |id: &'static str| {
        if let Some(side) = Side::from_id(id) {
            board.desk.set_side(side);
        }
    });
    let options = Side::ALL.iter().map(|side| (side.id(), side.name()));
    choice("Batting side", options.collect(), chosen, on_choose)
}

fn findings(board: Board, found: &Found) -> AnyView {
    match board.items.lists.get() {
        None => return said("line", "Reading your own items…"),
        Some(Err(error)) => return refusal(error.to_string()),
        Some(Ok(_)) => {}
    }
    board.with_skills(found, |skills| {
        if skills.iter().all(|of| of.looks.looks == 0) {
            return group(vec![
                said("finding", "No look yet from this side: nothing is found."),
                way(Leaf::Check.path(), "Begin a swing check", "", true),
            ]);
        }
        group(skills.iter().map(of_skill).collect())
    })
}

fn of_skill(of: &OfSkill) -> AnyView {
    let OfSkill { list, looks, .. } = of;
    let stops = matches!(looks.finding, Finding::StopAndRefer { .. });
    let class = if stops { "finding caution" } else { "finding" };
    let evidence = looks.to_work_on().iter().map(|place| {
        let title = list.items[*place].title;
        let evidence = &looks.evidence[*place];
        format!(
            "{title}. {}. {}",
            evidence.state.words(),
            evidence.sentence()
        )
    });
    group(vec![
        said(class, looks.sentence(list)),
        rows(evidence.collect()),
    ])
}

fn rows(lines: Vec<String>) -> AnyView {
    let rows = lines.into_iter().map(|text| view! { <li>{text}</li> });
    view! { <ul class="evidence">{rows.collect_view()}</ul> }.into_any()
}

/// What there is to work with: said in a line, changed in a fold.
fn at_hand(board: Board) -> AnyView {
    let sentence = move || {
        let things = board.at_hand.with(Vec::len);
        let all = Equipment::ALL.len();
        let equipment = if things == all {
            "Everything is at hand".to_owned()
        } else {
            format!(
                "{} of {all} are at hand",
                counted(things, "thing", "things")
            )
        };
        match board.minutes.get() {
            NO_LIMIT => format!("{equipment}; time does not matter."),
            minutes => format!("{equipment}; {minutes} minutes left."),
        }
    };
    let holds = Callback::new(move |id: String| {
        board
            .at_hand
            .with(|things| things.iter().any(|thing| thing.id() == id))
    });
    let touch = Callback::new(move |id: String| {
        let Some(thing) = Equipment::from_id(&id) else {
            return;
        };
        board.at_hand.update(|things| {
            let held = things.len();
            things.retain(|held| *held != thing);
            if things.len() == held {
                things.push(thing);
            }
            let ids: Vec<&str> = things.iter().map(|thing| thing.id()).collect();
            settings::set_equipment_at_hand(&ids.join(" "));
        });
    });
    let options = options_of(Equipment::ALL, |thing| (thing.id(), thing.name()));
    let minutes = Callback::new(move |id| board.minutes.set(id));
    view! {
        <details class="at-hand">
            <summary>"Equipment and time"</summary>
            {toggles("Equipment at hand", options, holds, touch)}
            {choice("Minutes left", MINUTES.to_vec(), board.minutes.into(), minutes)}
        </details>
        <p class="line" role="status">
            {sentence}
        </p>
    }
    .into_any()
}

fn suggestions(board: Board) -> AnyView {
    live(move || {
        let Some(Ok(found)) = board.found.get() else {
            return ().into_any();
        };
        let faults = board.faults(&found);
        if faults.is_empty() {
            return line(
                "line",
                "This finding asks for no card. All cards are below, and the coach decides.",
            );
        }
        let own = board.own_cards();
        let equipment = board.at_hand.get();
        let history = found.came();
        let all = cards::cards().map(AnyCard::BuiltIn);
        let own = own.cards.iter().map(|kept| AnyCard::Own(&kept.card));
        let ids: Vec<&str> = faults.iter().map(|(id, _)| id.as_str()).collect();
        let prescription = Prescription::of(
            &ids,
            all.chain(own),
            &history,
            AtHand {
                equipment: &equipment,
                minutes: minutes_of(board.minutes.get()),
            },
        );
        let mut parts = vec![heading("Cards that answer it")];
        parts.push(line(
            "line",
            if prescription.try_each {
                TRY_EACH
            } else {
                "The first to try comes first. The coach decides."
            },
        ));
        parts.push(line("line", IN_SEASON));
        let one = |one: &Suggestion| suggestion(board, &found, &faults, one);
        parts.extend(prescription.suggestions.iter().map(one));
        group(parts)
    })
}

/// The minutes of a choice.
fn minutes_of(id: &str) -> Option<u16> {
    let digits = id.bytes().map(|c| c.wrapping_sub(b'0'));
    let number = digits.fold(0_u16, |sum, digit| sum * 10 + u16::from(digit));
    (id != NO_LIMIT).then_some(number)
}

fn suggestion(
    board: Board,
    found: &Found,
    faults: &[(String, String)],
    one: &Suggestion,
) -> AnyView {
    let card = one.card;
    let title = card.title().to_owned();
    let answered = one
        .answers
        .iter()
        .map(|place| faults[*place].1.as_str())
        .collect::<Vec<_>>()
        .join("; ");
    let mut facts = vec![format!("For: {answered}."), card::facts(card)];
    if one.missing.len() > 1 {
        let missing: Vec<&str> = one.missing.iter().map(|thing| thing.name()).collect();
        facts.push(format!("Not at hand: {}.", missing.join(", ")));
    }
    let mut latest = found.history.iter().rev();
    if let Some(last) = latest.find(|past| past.card.as_str() == card.id()) {
        let came = coaching::prescription::Outcome::from_id(last.outcome.as_str());
        let name = came.map_or("Something a newer version knows", |came| came.name());
        facts.push(format!("Last: {name}, {}.", when(last.head.made)));
    }
    view! {
        <article class="drill" class:possible=one.is_possible()>
            <h4 class="item-title" dir="auto">
                {title}
            </h4>
            <p class="why">{one.why.clone()}</p>
            {facts.into_iter().map(|fact| line("line", fact)).collect_view()}
            {(!card.feel().is_empty()).then(|| line("cue", format!("Cue: {}", card.feel())))}
            {outcomes::buttons(board, "suggested", card, Some(faults[one.answers[0]].0.clone()), one.last)}
            {card::opening(board, "suggested", card)}
        </article>
    }
    .into_any()
}
