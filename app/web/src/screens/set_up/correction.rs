//! After the first balls: what was seen moves dial and aim.

use super::Asked;
use super::answer::reason;
use super::card;
use super::number::passing;
use crate::parts::{choice, group, line, live, name_field, refusal, said, speed, tape};
use crate::state::{Answer, SetUpQuestion};
use crate::words::fixed;
use flight::{Field, Placed, Radar, SeenOff, Solution, allowed, read_number};
use leptos::prelude::*;

/// How the ball's speed was measured.
const NOT_MEASURED: &str = "none";
const BY_RADAR: &str = "radar";
const BY_TIMES: &str = "times";

/// What was seen; gone when the fold is closed, as the next balls are others.
#[derive(Clone, Copy)]
struct Seen {
    high_in: RwSignal<f64>,
    aside_in: RwSignal<f64>,
    measured: RwSignal<&'static str>,
    radar_mph: RwSignal<f64>,
    radar_deg: RwSignal<f64>,
    radar_ft: RwSignal<f64>,
    taped_ft: RwSignal<f64>,
    times: RwSignal<String>,
}

pub fn view() -> AnyView {
    let Asked { question, answer } = Asked::now();
    let (mark_mph, distance_ft) = untrack(|| {
        let answer = answer.get();
        let found = answer.closest();
        (
            found.map_or(60.0, |found| found.speed_mph),
            found.map_or(39.0, |found| found.distance_ft),
        )
    });
    let seen = Seen {
        high_in: RwSignal::new(0.0),
        aside_in: RwSignal::new(0.0),
        measured: RwSignal::new(NOT_MEASURED),
        radar_mph: RwSignal::new(mark_mph),
        radar_deg: RwSignal::new(0.0),
        radar_ft: RwSignal::new(distance_ft),
        taped_ft: RwSignal::new(distance_ft),
        times: RwSignal::new(String::new()),
    };
    let ways = vec![
        (NOT_MEASURED, "Not measured"),
        (BY_RADAR, "Radar"),
        (BY_TIMES, "Timed balls"),
    ];
    group(vec![
        number(
            Field::SeenMiss,
            "Balls pass too high by (low is minus)",
            seen.high_in,
        ),
        number(
            Field::SeenMiss,
            "Too far to the first-base side by",
            seen.aside_in,
        ),
        choice(
            "Speed of the ball",
            ways,
            seen.measured.into(),
            Callback::new(move |way| seen.measured.set(way)),
        ),
        live(move || fields(seen)),
        live(move || corrected(&question.get(), &answer.get(), seen)),
    ])
}

fn number(field: Field, label: &'static str, value: RwSignal<f64>) -> AnyView {
    passing(field, label, allowed(field), value)
}

fn fields(seen: Seen) -> AnyView {
    match seen.measured.get() {
        BY_RADAR => group(vec![
            number(Field::RadarSpeed, "Radar shows", seen.radar_mph),
            number(
                Field::RadarAngle,
                "Angle between its sight and the ball\u{2019}s path",
                seen.radar_deg,
            ),
            number(
                Field::RadarPlace,
                "Reads with the ball this far from the plate",
                seen.radar_ft,
            ),
            line(
                "line",
                "A radar sees only the part of the speed along its own line: at 10° it reads 1.5 percent low, at 20° 6 percent. Behind the machine it reads mostly at release.",
            ),
        ]),
        BY_TIMES => group(vec![
            number(
                Field::TimedDistance,
                "Taped from the release",
                seen.taped_ft,
            ),
            name_field(
                "Times in seconds, one a ball",
                seen.times.into(),
                Callback::new(move |typed: String| {
                    let read = times_s(&typed).map(|_| ());
                    if read.is_ok() {
                        seen.times.set(typed);
                    }
                    read
                }),
            ),
            line(
                "line",
                "By clip or sound, five balls: like 0.41 0.42 0.40 0.42 0.41.",
            ),
        ]),
        _ => line("line", "Without a speed the dial is taken to be right."),
    }
}

/// Times with blanks between them.
fn times_s(typed: &str) -> Result<Vec<f64>, String> {
    typed
        .split([' ', ';'])
        .filter(|time| !time.is_empty())
        .map(|time| {
            read_number(Field::TimedTime, allowed(Field::TimedTime), time)
                .map_err(|error| error.to_string())
        })
        .collect()
}

fn corrected(question: &SetUpQuestion, answer: &Answer, seen: Seen) -> AnyView {
    let Some(found) = answer.closest() else {
        return refusal(format!("{}.", reason(answer)));
    };
    match correct(question, found, seen) {
        Ok(view) => view,
        Err(error) => refusal(error),
    }
}

fn correct(question: &SetUpQuestion, found: &Solution, seen: Seen) -> Result<AnyView, String> {
    let flight = question.flight().map_err(|error| error.to_string())?;
    let placed = Placed::from(found);
    let target_m = found.target_m;
    let (speed_mph, measured) = match seen.measured.get() {
        BY_RADAR => {
            let radar = Radar {
                shown_mph: seen.radar_mph.get(),
                angle_deg: seen.radar_deg.get(),
                reads_at_ft: Some(seen.radar_ft.get()),
            };
            let by_radar = placed.speed_by_radar(&flight, target_m, &radar);
            let mph = by_radar.map_err(|error| error.to_string())?;
            (Some(mph), format!("The ball leaves at {}. ", speed(mph)))
        }
        BY_TIMES => {
            let times = times_s(&seen.times.get())?;
            if times.is_empty() {
                return Ok(said("line", "Type the times of the balls."));
            }
            let by_times = placed.speed_by_times(&flight, target_m, seen.taped_ft.get(), &times);
            let timed = by_times.map_err(|error| error.to_string())?;
            let error = timed.error_mph.map_or(String::new(), |error_mph| {
                format!(", give or take {} (standard error)", speed(error_mph))
            });
            let text = format!("The ball leaves at {}{error}. ", speed(timed.speed_mph));
            (Some(timed.speed_mph), text)
        }
        _ => (None, String::new()),
    };
    let off = |inches: f64| (inches != 0.0).then_some(inches);
    let seen = SeenOff {
        high_in: off(seen.high_in.get()),
        aside_in: off(seen.aside_in.get()),
        speed_mph,
    };
    if seen == SeenOff::default() {
        return Ok(said("line", "Nothing to correct: leave it as it stands."));
    }
    let correction = placed
        .correct(&flight, target_m, &seen)
        .map_err(|error| error.to_string())?;
    let marks = question.machine.marks_around(correction.dial_mph);
    let mark = match marks {
        [below, above] if below == above => speed(below),
        [below, above] => format!("{} or {}", speed(below), speed(above)),
    };
    let card = found.card().corrected(&correction);
    let at_plate = tape(card.stick_at_plate_ft);
    let text = format!(
        "{measured}Set the dial to {} (marks: {mark}). Turn the machine {}° {} and {}° to the {}: \
         the laser then meets the stick at the plate {at_plate} high.",
        speed(correction.dial_mph),
        fixed(correction.turn_up_deg.abs(), 2),
        if correction.turn_up_deg < 0.0 {
            "down"
        } else {
            "up"
        },
        fixed(correction.turn_aside_deg.abs(), 2),
        crate::words::base_side(correction.turn_aside_deg),
    );
    let numbers = card::numbers(&card, found, &question.machine);
    Ok(group(vec![said("line", text), numbers]))
}
