//! The best set-up from each distance of the room: what a step back buys.

use super::Asked;
use super::answer::{signed, speed_number, speed_unit};
use crate::parts::{group, in_steps, line, live, live_line, table, tape};
use crate::words::fixed;
use flight::{MatchError, Solution};
use leptos::prelude::*;

/// Distances that are tried.
const POINTS: usize = 9;

type Point = (f64, Option<Box<Solution>>);

pub fn view() -> AnyView {
    let Asked { question, .. } = Asked::now();
    let owner = Owner::current().unwrap_or_default();
    let curve = in_steps(POINTS, move || question.track(), point, owner);
    let progress = move || match curve.with(Vec::len) {
        POINTS => "Each row is the best set-up from that distance.".to_owned(),
        done => format!("{done} of {POINTS} distances searched…"),
    };
    let head = || ["From", "Height", speed_unit(), "Time, ms", "Descent, °"];
    let rows = move || curve.with(|curve| curve.iter().map(row).collect());
    group(vec![
        live_line("line", progress),
        live(move || table("", &head(), rows())),
        line(
            "line",
            "Time and descent are what is left over against the pitch.",
        ),
    ])
}

/// The best from one distance.
fn point(number: usize) -> Point {
    let question = Asked::now().question.get_untracked();
    let distance_ft = question
        .room
        .distance_ft
        .at(number as f64 / (POINTS - 1) as f64);
    let found = question.asked().ok().and_then(|mut asked| {
        asked.room = question.room;
        match asked.best_at(distance_ft) {
            Ok(found) => Some(Box::new(found)),
            Err(MatchError::CannotMatch(cannot)) => Some(Box::new(cannot.closest)),
            Err(_) => None,
        }
    });
    (distance_ft, found)
}

fn row((distance_ft, found): &Point) -> Vec<String> {
    let from = tape((4.0 * distance_ft).round() / 4.0);
    match found {
        None => vec![from, "no ball reaches".to_owned()],
        Some(found) => {
            let left = found.leftover;
            vec![
                from,
                tape(found.height_ft),
                fixed(speed_number(found.speed_mph), 1),
                signed(1000.0 * left.time_s, 0),
                signed(left.descent_deg, 1),
            ]
        }
    }
}
