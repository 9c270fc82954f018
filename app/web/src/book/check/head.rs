//! Who is looked at, at what and by whom; a new look; the looks of before.

use super::Page;
use crate::parts::{Leaf, act, choice, group, line, live, live_line, way};
use crate::state::Observer;
use crate::words::when;
use coaching::check::Skill;
use coaching::looks::Looks;
use coaching::vocabulary::Side;
use leptos::prelude::*;

/// The head of the page.
pub fn head() -> AnyView {
    let page = expect_context::<Page>();
    let who = move || {
        let hitter = page.desk.hitter();
        let (name, side) = hitter.map_or((String::new(), ""), |hitter| {
            let side = match page.desk.side_now(&hitter) {
                Side::Left => "bats left",
                Side::Right => "bats right",
            };
            (hitter.name.get().clone(), side)
        });
        let observer = match page.looking.observer.get() {
            Observer::First => "first observer",
            Observer::Second => "second observer",
        };
        format!(
            "{name}, {side}. {}, {observer}.",
            page.looking.skill.get().name()
        )
    };
    view! { <h2>{who}</h2> }.into_any()
}

/// At what is looked, by whom, and a new look: below the card, which comes first.
pub fn choices() -> AnyView {
    let page = expect_context::<Page>();
    let looking = page.looking;
    let skills = live(move || {
        let sport = looking.sport();
        let known = Skill::ALL.iter().filter(|skill| skill.is_of(sport));
        choice(
            "Skill",
            known.map(|skill| (skill.id(), skill.name())).collect(),
            Signal::derive(move || looking.skill.get().id()),
            Callback::new(move |id: &'static str| {
                if let Some(skill) = Skill::from_id(id) {
                    looking.skill.set(skill);
                    looking.find_hand();
                }
            }),
        )
    });
    let observers = choice(
        "Observer on this phone",
        vec![
            (Observer::First.id(), "First"),
            (Observer::Second.id(), "Second"),
        ],
        Signal::derive(move || looking.observer.get().id()),
        Callback::new(move |id: &'static str| {
            looking.observer.set(Observer::from_id(id));
            looking.find_hand();
        }),
    );
    let new_look = Callback::new(move |()| {
        looking.new_look();
        page.go_to_first_open();
    });
    let begun = move || match looking.at_hand() {
        Some(look) => format!("Look begun {}.", when(look.check.head.made)),
        None => "A new look: the first answer begins it.".to_owned(),
    };
    group(vec![
        live_line("line", begun),
        skills,
        observers,
        line(
            "line",
            "First is the person whose phone this is. A second observer looks without seeing the first one's answers; both looks are kept.",
        ),
        act("Begin a new look", "wide", new_look),
        way(Leaf::Hitter.path(), "To the hitter", "", true),
    ])
}

/// The looks of before, each with what it showed by itself.
pub fn earlier() -> AnyView {
    let page = expect_context::<Page>();
    live(move || {
        let hand = page.looking.hand.get();
        let (skill, sport) = (page.looking.skill.get(), page.looking.sport());
        let looks = page.looking.looks.get().and_then(Result::ok);
        let rows: Vec<AnyView> = page.own.with(|lists| {
            let list = lists.list(skill, sport);
            let looks = looks.iter().flatten().rev();
            let earlier =
                looks.filter(|look| Some(look.check.head.id) != hand && look.skill() == skill);
            earlier
                .map(|look| {
                    let said = Looks::of_one(&list, &look.borrowed()).sentence(&list);
                    let by = match look.observer().1 {
                        Observer::First => "",
                        Observer::Second => ", second observer",
                    };
                    let text = format!("{}{by}: {said}", when(look.check.head.made));
                    view! { <li>{text}</li> }.into_any()
                })
                .collect()
        });
        if rows.is_empty() {
            line("line", "None yet.")
        } else {
            view! { <ul class="looks">{rows}</ul> }.into_any()
        }
    })
}
