//! The log: who is at the plate, where the ball comes from, the fan, and what can
//! be said of the last ball. One touch a ball.

use super::{begin, challenge, details, fan, feed, loads, machine, order, realism, says, settings};
use crate::parts::{
    act, act_spoken, fold, group, line, live, live_line, options_of, selection, way,
};
use crate::state::session::Practice;
use crate::state::{Desk, has_feed};
use crate::words::{counted, when};
use coaching::vocabulary::{Bats, Environment, Hand, Side};
use leptos::prelude::*;

/// The log of the session under way.
pub fn view() -> AnyView {
    machine::solve_ahead();
    group(vec![
        at_plate(),
        conditions(),
        order::next(),
        fan::view(),
        after(),
        details::view(),
        loads::now(),
        fold("Who hits", rotation),
        fold("What the balls say", what_they_say),
        fold("How the ball is fed", feed::view),
        fold("How like the game", realism::view),
        fold("How hard against the game", challenge::view),
        fold("Order of practice", order::view),
        fold("Swings and limits", loads::view),
        fold("This session", settings::view),
        line("line caution", CAUTION),
        way("/book/sessions", "Earlier sessions", "", true),
    ])
}

const CAUTION: &str = "Helmets for all in the cage, a screen for the feeder, nobody in the line of fire. Side toss: soft balls first, to the line of the front hip and not at the body. In a game, log from behind netting. Thunder or lightning: leave the field. Heat: the local rule.";

/// The hitter at the plate, and one touch to the next.
fn at_plate() -> AnyView {
    let desk = expect_context::<Desk>();
    let practice = expect_context::<Practice>();
    let name = move || match practice.at_plate() {
        Some(hitter) => hitter.name.get().clone(),
        None => "Nobody at the plate".to_owned(),
    };
    let facts = move || {
        let balls = practice.turn.with(|turn| turn.balls());
        let side = practice.at_plate().map(|hitter| desk.side_now(&hitter));
        let bats = match side {
            Some(Side::Left) => "bats left",
            Some(Side::Right) => "bats right",
            None => "choose who hits below",
        };
        format!(
            "{bats} · {} this turn",
            counted(balls as usize, "ball", "balls")
        )
    };
    let next = move || {
        let rotation = practice.rotation();
        let now = practice.hitter.get();
        let place = rotation.iter().position(|id| Some(*id) == now);
        let next = match (place, rotation.len()) {
            (_, 0) | (Some(_), 1) => None,
            (place, n) => Some(rotation[place.map_or(0, |place| (place + 1) % n)]),
        }?;
        let named = desk.hitters.with(|all| {
            let found = all.iter().find(|hitter| hitter.head.id == next)?;
            Some(found.name.get().clone())
        })?;
        Some(named)
    };
    let next = Memo::new(move |_| next());
    let button = move || match next.get() {
        None => group(vec![]),
        Some(name) => act(
            format!("Next: {name}"),
            "next",
            Callback::new(move |()| practice.next_hitter()),
        ),
    };
    view! {
        <div class="at-plate">
            <div class="hitter-at" aria-live="polite">
                <h2>{name}</h2>
                <p>{facts}</p>
            </div>
            {live(button)}
        </div>
    }
    .into_any()
}

/// Where the ball comes from, and from which side it is batted.
fn conditions() -> AnyView {
    let desk = expect_context::<Desk>();
    let practice = expect_context::<Practice>();
    let environments = options_of(Environment::ALL, |known| (known.id(), known.name()));
    let environment = selection(
        "Ball comes from",
        false,
        Signal::stored(environments),
        Signal::derive(move || desk.environment.get().id().to_owned()),
        Callback::new(move |id: String| {
            if let Some(environment) = Environment::from_id(&id) {
                desk.set_environment(environment);
            }
        }),
    );
    let fed = Memo::new(move |_| has_feed(desk.environment.get()));
    let feed = move || {
        if !fed.get() {
            return group(vec![]);
        }
        selection(
            "As from a",
            false,
            Signal::stored(options_of(Hand::ALL, |hand| (hand.id(), hand.thrower()))),
            Signal::derive(move || desk.feed.get().id().to_owned()),
            Callback::new(move |id: String| {
                if let Some(feed) = Hand::from_id(&id) {
                    desk.set_feed(feed);
                }
            }),
        )
    };
    let is_both = Memo::new(move |_| {
        let bats = practice
            .at_plate()
            .and_then(|hitter| Bats::from_id(hitter.bats.get().as_str()));
        bats == Some(Bats::Both)
    });
    let side = move || {
        if !is_both.get() {
            return group(vec![]);
        }
        selection(
            "Bats now",
            false,
            Signal::stored(options_of(Side::ALL, |side| (side.id(), side.name()))),
            Signal::derive(move || {
                let side = practice.at_plate().map(|hitter| desk.side_now(&hitter));
                side.map_or("", Side::id).to_owned()
            }),
            Callback::new(move |id: String| {
                if let Some(side) = Side::from_id(&id) {
                    desk.set_side(side);
                }
            }),
        )
    };
    view! { <div class="conditions">{environment} {live(feed)} {live(side)}</div> }.into_any()
}

/// What was saved last, and how to take it back.
fn after() -> AnyView {
    let practice = expect_context::<Practice>();
    let saved = move || {
        let touches = |one: &str, more: &str| counted(practice.waiting.get(), one, more);
        if practice.failed.get() && practice.waiting.get() > 0 {
            let kept = touches("touch is", "touches are");
            format!("Not saved: {kept} kept here, while this page is open.")
        } else if practice.slow.get() {
            format!("Saving {}…", touches("touch", "touches"))
        } else {
            practice.said.get()
        }
    };
    let has_last = Memo::new(move |_| practice.last.with(Option::is_some));
    let has_undone = Memo::new(move |_| practice.undone.with(Option::is_some));
    let fix = move || {
        view! {
            <button
                type="button"
                aria-pressed=move || practice.fixing.get().to_string()
                on:click=move |_| practice.fixing.update(|fixing| *fixing = !*fixing)
            >
                "Fix the last"
            </button>
        }
        .into_any()
    };
    let buttons = move || {
        let mut buttons = Vec::new();
        if has_last.get() {
            buttons.push(act_spoken(
                Signal::stored("Undo".to_owned()),
                Signal::stored("Undo the last ball".to_owned()),
                "",
                None,
                Callback::new(move |()| practice.undo()),
            ));
            buttons.push(fix());
        }
        if has_undone.get() {
            buttons.push(act(
                "Bring back",
                "",
                Callback::new(move |()| practice.bring_back()),
            ));
        }
        view! { <div class="choice-row">{buttons}</div> }.into_any()
    };
    group(vec![
        live_line("saved", saved),
        live_line("line fixing", move || match practice.fixing.get() {
            true => "The next touch takes the place of the last ball.".to_owned(),
            false => String::new(),
        }),
        live(buttons),
    ])
}

/// The rotation: any hitter to the plate by one touch, others in or out.
fn rotation() -> AnyView {
    let desk = expect_context::<Desk>();
    let practice = expect_context::<Practice>();
    let here = move || {
        let rotation = practice.rotation();
        let buttons: Vec<AnyView> = desk.hitters.with(|all| {
            let there = all
                .iter()
                .filter(|hitter| rotation.contains(&hitter.head.id));
            there
                .map(|hitter| {
                    let id = hitter.head.id;
                    view! {
                        <button
                            type="button"
                            aria-pressed=move || (practice.hitter.get() == Some(id)).to_string()
                            on:click=move |_| practice.turn_to(id)
                        >
                            {hitter.name.get().clone()}
                        </button>
                    }
                    .into_any()
                })
                .collect()
        });
        view! {
            <div class="choice-row who" role="group" aria-label="To the plate">
                {buttons}
            </div>
        }
        .into_any()
    };
    let begun = move || {
        let made = practice.session.with(|s| s.as_ref().map(|s| s.head.made));
        made.map_or(String::new(), |made| format!("Begun {}.", when(made)))
    };
    group(vec![
        live_line("line", begun),
        line("line", "Touch who comes to the plate."),
        live(here),
        line("line", "In the rotation or out of it:"),
        begin::groups(Callback::new(move |ids| practice.rotate(ids, true))),
        live(move || {
            begin::hitters(
                Signal::derive(move || practice.rotation()),
                Callback::new(move |id| {
                    let is_in = untrack(|| practice.rotation()).contains(&id);
                    practice.rotate(vec![id], !is_in);
                }),
            )
        }),
    ])
}

fn what_they_say() -> AnyView {
    let practice = expect_context::<Practice>();
    let super::Settled(settled) = expect_context();
    live(move || {
        settled.track();
        match practice.hitter.get() {
            None => line("line", "Nobody at the plate."),
            Some(hitter) => says::of_balls(&untrack(|| practice.balls_of(hitter))),
        }
    })
}
