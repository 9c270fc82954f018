//! The order in which kinds of ball come: recognised from what was logged, suggested
//! by what the session is for, and planned, so that the next ball can be named.

use super::Settled;
use crate::parts::{act, choice, group, line, live, live_line, name_field, refusal};
use crate::state::contacts::Ball;
use crate::state::names::session as name;
use crate::state::session::Practice;
use coaching::practice_order::planned::BallKind;
use coaching::practice_order::{PracticeOrder, Purpose, recognised};
use leptos::prelude::*;

/// Balls of each kind unless the coach says otherwise.
const EACH: u32 = 5;

/// What comes next in the planned round, above the fan.
pub fn next() -> AnyView {
    let practice = expect_context::<Practice>();
    live_line("next-ball", move || match practice.plan() {
        None => String::new(),
        Some(plan) => plan.sentence(practice.planned_so_far(&plan)),
    })
}

/// The order so far, what to do next, and a round to plan.
pub fn view() -> AnyView {
    let practice = expect_context::<Practice>();
    let Settled(settled) = expect_context();
    let purposes = Purpose::ALL.iter().map(|known| (known.id(), known.name()));
    let chosen = Signal::derive(move || purpose(practice).map_or("", Purpose::id));
    let found = move || {
        settled.track();
        let Some(hitter) = practice.hitter.get() else {
            return line("line", "Nobody at the plate.");
        };
        let balls = untrack(|| practice.balls_of(hitter));
        let kinds: Vec<_> = balls.iter().map(kind).collect();
        let was = recognised(&kinds);
        let mut parts = vec![line("line", was.sentence())];
        parts.push(match purpose(practice) {
            Some(purpose) => line("finding", purpose.suggestion(was)),
            None => line(
                "line",
                "Say what the session is for, and an order is suggested.",
            ),
        });
        group(parts)
    };
    group(vec![
        choice(
            "What the session is for",
            purposes.collect(),
            chosen,
            Callback::new(move |id| practice.choose(name::PURPOSE, id)),
        ),
        live(found),
        planner(practice),
        line(
            "line",
            "A kind of ball is its environment, the side it comes from and the pitch, if you say it. Mixed order looks worse while it lasts and is kept better (Hall, Domingues and Cavazos, 1994).",
        ),
    ])
}

/// Kinds of ball, how many of each, their order: and the round is planned.
fn planner(practice: Practice) -> AnyView {
    let planned = untrack(|| practice.plan());
    let kinds = RwSignal::new(planned.as_ref().map_or(Vec::new(), |p| p.kinds().to_vec()));
    let each = RwSignal::new(planned.as_ref().map_or(EACH, |plan| {
        (plan.balls() / plan.kinds().len().max(1)) as u32
    }));
    let own = RwSignal::new(planned.map(|plan| plan.order()));
    // As the purpose suggests, until the coach chooses.
    let order = move || {
        let suggested = purpose(practice).map(Purpose::order);
        own.get().or(suggested).unwrap_or(PracticeOrder::Random)
    };
    let refused = RwSignal::new(None::<String>);
    let add = move || {
        let now = practice.kind_now();
        act(
            format!("Add: {}", now.words()),
            "",
            Callback::new(move |()| {
                kinds.update(|kinds| {
                    if !kinds.contains(&now) {
                        kinds.push(now);
                    }
                });
            }),
        )
    };
    let orders = PracticeOrder::ALL
        .iter()
        .map(|known| (known.id(), known.name()));
    let plan = move |()| {
        let kinds = kinds.get_untracked();
        let planned = practice.set_plan(untrack(order), &kinds, each.get_untracked());
        refused.set(planned.err().map(|error| error.to_string()));
    };
    let has_plan = Memo::new(move |_| practice.plan().is_some());
    let label = move || match has_plan.get() {
        false => act("Begin this round", "main-act", Callback::new(plan)),
        true => group(vec![
            act("Begin the round anew", "main-act", Callback::new(plan)),
            act(
                "No planned round",
                "",
                Callback::new(move |()| practice.drop_plan()),
            ),
        ]),
    };
    group(vec![
        line(
            "line",
            "To plan a round: set a kind of ball above the fan, add it here, set the next. Each ball is then named before it comes.",
        ),
        live(move || chosen_kinds(kinds)),
        live(add),
        name_field(
            "Balls of each kind",
            Signal::derive(move || each.get().to_string()),
            Callback::new(move |typed: String| set_each(each, &typed)),
        ),
        choice(
            "Their order",
            orders.collect(),
            Signal::derive(move || order().id()),
            Callback::new(move |id| own.set(PracticeOrder::from_id(id))),
        ),
        live(label),
        live(move || refused.get().map_or_else(|| group(vec![]), refusal)),
    ])
}

/// The kinds so far; a touch takes one out.
fn chosen_kinds(kinds: RwSignal<Vec<BallKind>>) -> AnyView {
    let buttons = kinds.get().into_iter().map(|kind| {
        act(
            format!("Take out: {}", kind.words()),
            "",
            Callback::new(move |()| kinds.update(|kinds| kinds.retain(|known| *known != kind))),
        )
    });
    view! { <div class="choice-row">{buttons.collect::<Vec<_>>()}</div> }.into_any()
}

fn set_each(each: RwSignal<u32>, typed: &str) -> Result<(), String> {
    use coaching::practice_order::planned::{PlanError, Planned};
    // What is no whole number is outside of what is allowed, and said so.
    let given = typed.trim().parse::<u32>().unwrap_or(0);
    if !(1..=Planned::MOST_EACH).contains(&given) {
        return Err(PlanError::Each { given }.to_string());
    }
    each.set(given);
    Ok(())
}

fn purpose(practice: Practice) -> Option<Purpose> {
    Purpose::from_id(&practice.choice(name::PURPOSE)?)
}

fn kind(ball: &Ball) -> BallKind {
    BallKind {
        environment: ball.contact.environment,
        feed: ball.contact.feed,
        pitch: ball.pitch,
    }
}
