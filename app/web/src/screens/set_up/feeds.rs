//! What other ways to feed match of the pitch: short batting practice, front
//! toss, side toss, tee.

use super::Asked;
use super::answer::{signed, speed_number, speed_unit};
use crate::parts::{
    group, in_steps, line, live, live_line, refusal, small_heading, speed, table, tape,
};
use crate::state::SetUpQuestion;
use flight::{FEEDS, Feed, FeedMatch, Scales, Verdict};
use leptos::prelude::*;

type Tried = (&'static Feed, Result<Box<FeedMatch>, String>);

pub fn view() -> AnyView {
    let Asked { question, .. } = Asked::now();
    let owner = Owner::current().unwrap_or_default();
    let tried = in_steps(FEEDS.len(), move || question.track(), one, owner);
    let progress = move || match tried.with(Vec::len) {
        done if done == FEEDS.len() => {
            "The closest that each can come, and what is left over.".to_owned()
        }
        done => format!("{done} of {} feeds searched…", FEEDS.len()),
    };
    group(vec![
        live_line("line", progress),
        live(move || tried.with(|tried| group(tried.iter().map(shown).collect()))),
        line(
            "line caution",
            "Whoever feeds stands behind a screen; the hitter wears a helmet. Side toss: soft balls first, to the line of the front hip and not at the body.",
        ),
        line(
            "line",
            "Heights, speeds and places of feeders: common practice, no source. Side toss stands for one from the first-base side.",
        ),
    ])
}

fn one(number: usize) -> Tried {
    let feed = &FEEDS[number];
    (feed, against(&Asked::now().question.get_untracked(), feed))
}

fn against(question: &SetUpQuestion, feed: &Feed) -> Result<Box<FeedMatch>, String> {
    let flight = question.flight().map_err(|error| error.to_string())?;
    feed.against(&flight, &question.pitch, &Scales::default())
        .map(Box::new)
        .map_err(|error| error.to_string())
}

fn shown((feed, tried): &Tried) -> AnyView {
    let body = match tried {
        Err(error) => refusal(error.clone()),
        Ok(tried) => matched(tried),
    };
    group(vec![small_heading(feed.name), body])
}

fn matched(tried: &FeedMatch) -> AnyView {
    let Some(closest) = &tried.closest else {
        return line(
            "line",
            "No ball flies: no time, no descent, no spin to match. It trains the swing alone.",
        );
    };
    let left = closest.leftover;
    let word = |verdict: Verdict, off: String| match verdict {
        Verdict::Matches => "matches".to_owned(),
        Verdict::Off | Verdict::NoFlight => off,
    };
    let rows = [
        (
            "Time",
            word(
                tried.time,
                format!("{} ms", signed(1000.0 * left.time_s, 0)),
            ),
        ),
        (
            "Descent",
            word(tried.descent, format!("{}°", signed(left.descent_deg, 1))),
        ),
        (
            "Side angle",
            word(
                tried.side_angle,
                format!("{}°", signed(left.side_angle_deg, 1)),
            ),
        ),
        (
            "Spin",
            word(
                tried.spin,
                format!("{} rpm off", closest.leftover_spin.moving_rpm().round()),
            ),
        ),
        (
            "Speed at the plate",
            word(
                tried.speed_at_plate,
                format!(
                    "{} {}",
                    signed(speed_number(left.speed_at_plate_mph), 0),
                    speed_unit()
                ),
            ),
        ),
    ];
    let rows = rows.map(|(name, word)| vec![name.to_owned(), word]);
    let from = format!(
        "From {}, {} high, at {}.",
        tape(closest.distance_ft),
        tape(closest.height_ft),
        speed(closest.speed_mph),
    );
    group(vec![line("line", from), table("", &[], rows.to_vec())])
}
