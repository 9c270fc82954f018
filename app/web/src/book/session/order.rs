//! The order in which kinds of ball come: recognised from what was logged, and
//! suggested by what the session is for.

use super::Settled;
use crate::parts::{choice, group, line, live};
use crate::state::contacts::Ball;
use crate::state::names::session as name;
use crate::state::session::Practice;
use coaching::practice_order::{Purpose, recognised};
use leptos::prelude::*;

/// The order so far, and what to do next.
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
        line(
            "line",
            "A kind of ball is its environment, the side it comes from and the pitch, if you say it. Mixed order looks worse while it lasts and is kept better (Hall, Domingues and Cavazos, 1994).",
        ),
    ])
}

fn purpose(practice: Practice) -> Option<Purpose> {
    Purpose::from_id(&practice.choice(name::PURPOSE)?)
}

fn kind(ball: &Ball) -> impl PartialEq + use<> {
    (ball.contact.environment, ball.contact.feed, ball.pitch)
}
