//! What balls say, in words and numbers: where they went and how high, with
//! intervals, and what side tosses tell of the path.

use crate::parts::{group, line, small_heading};
use crate::state::contacts::{Ball, groups_of};
use coaching::contact::lean::Group;
use coaching::contact::path::PathModel;
use coaching::vocabulary::{Environment, Side};
use leptos::prelude::*;
use std::cell::OnceCell;

thread_local! {
    /// Made once: it takes thousands of collisions.
    static MODEL: OnceCell<PathModel> = const { OnceCell::new() };
}

/// All that one hitter's balls say.
pub fn of_balls(balls: &[Ball]) -> AnyView {
    if balls.is_empty() {
        return line("line", "No ball yet.");
    }
    let mut parts = Vec::new();
    for conditions in groups_of(balls) {
        parts.push(small_heading(named(&conditions)));
        parts.push(line("line", swings(&conditions)));
        if conditions.heights.n() > 0 {
            parts.push(line("line", conditions.directions_sentence()));
            parts.push(line("line", conditions.heights_sentence()));
        }
    }
    for side in Side::ALL {
        parts.extend(path(balls, *side));
    }
    parts.push(line(
        "line",
        "Shares stand with their 95% interval in brackets. The chances of the path come from a small model of bat and ball with its own assumptions.",
    ));
    group(parts)
}

/// "Front toss, as from a right-hander, bats left".
fn named(conditions: &Group) -> String {
    let environment = conditions.environment;
    let from = conditions.feed.map_or(String::new(), |hand| {
        format!(", {}", hand.from_whom(environment))
    });
    let bats = match conditions.batted {
        Side::Left => "bats left",
        Side::Right => "bats right",
    };
    format!("{}{from}, {bats}", environment.name())
}

fn swings(conditions: &Group) -> String {
    let Group {
        swings,
        misses,
        fouls,
        takes,
        ..
    } = conditions;
    format!("Swings {swings}: missed {misses}, foul {fouls}. Takes {takes}.")
}

/// The path of the bat by the side tosses from one side of the plate.
fn path(balls: &[Ball], batted: Side) -> Option<AnyView> {
    let of_side = balls.iter().filter(|ball| ball.contact.batted == batted);
    let tossed: Vec<_> = of_side.filter_map(Ball::side_toss).collect();
    if tossed.is_empty() {
        return None;
    }
    let sentence = MODEL.with(|model| {
        let model = model.get_or_init(PathModel::default);
        model.after(&tossed, batted).sentence()
    });
    let title = match batted {
        Side::Left => "Path of the bat, side toss, bats left",
        Side::Right => "Path of the bat, side toss, bats right",
    };
    Some(group(vec![
        small_heading(title),
        line("finding", sentence),
        line(
            "line",
            "Only balls tossed on the line of the front hip and met on time count; early, late and off-location balls never do.",
        ),
    ]))
}

/// The environments among balls, in the order of the list.
pub fn environments(balls: &[Ball]) -> Vec<Environment> {
    let is_among = |known: &&Environment| {
        let mut all = balls.iter();
        all.any(|ball| ball.contact.environment == **known)
    };
    Environment::ALL.iter().filter(is_among).copied().collect()
}
