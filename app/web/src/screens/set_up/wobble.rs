//! What small changes do, and where nine of ten balls come when tape, dial and
//! aim are a little off.

use super::Asked;
use super::answer::signed;
use super::number::passing;
use crate::parts::{group, inches, line, live, refusal, small_heading, speed, table, tape};
use crate::state::SetUpQuestion;
use crate::words::fixed;
use flight::{Change, Field, Range, Ranges, SettingErrors, Solution, Span};
use leptos::prelude::*;

/// Balls thrown for the ranges.
const BALLS: usize = 200;
/// The same balls each time, so that a range moves only when its question does.
const DRAW: u64 = 20_261_125;

pub fn view() -> AnyView {
    let Asked { question, answer } = Asked::now();
    let [distance_ft, height_ft, speed_mph, aim_deg] = {
        let usual = SettingErrors::default();
        [
            usual.distance_ft,
            usual.height_ft,
            usual.speed_mph,
            usual.aim_deg,
        ]
        .map(RwSignal::new)
    };
    let errors = move || SettingErrors {
        distance_ft: distance_ft.get(),
        height_ft: height_ft.get(),
        speed_mph: speed_mph.get(),
        aim_deg: aim_deg.get(),
        ..SettingErrors::default()
    };
    let shown = move || {
        answer.with(|answer| match answer.closest() {
            None => group(vec![]),
            Some(found) => {
                let question = question.get();
                group(vec![
                    changes(&question, found),
                    ranges(&question, found, &errors()),
                ])
            }
        })
    };
    let good_to = |field, label, most, value| {
        let unit = flight::allowed(field).unit;
        let range = Range {
            min: 0.0,
            max: most,
            unit,
        };
        passing(field, label, range, value)
    };
    group(vec![
        live(shown),
        small_heading("How well is it put up?"),
        good_to(
            Field::FeedDistance,
            "Tape, distance, good to",
            2.0,
            distance_ft,
        ),
        good_to(Field::FeedHeight, "Tape, height, good to", 1.0, height_ft),
        good_to(Field::FeedSpeed, "Dial, good to", 10.0, speed_mph),
        good_to(Field::RadarAngle, "Aim, good to", 2.0, aim_deg),
        line(
            "source",
            "Each is a standard deviation. The usual values are ours, no source.",
        ),
    ])
}

fn changes(question: &SetUpQuestion, found: &Solution) -> AnyView {
    let asked = match question.asked() {
        Ok(asked) => asked,
        Err(error) => return refusal(error.to_string()),
    };
    let sensitivity = match asked.sensitivity(found) {
        Ok(sensitivity) => sensitivity,
        Err(error) => return refusal(error.to_string()),
    };
    let row = |what: String, change: &Change| {
        vec![
            what,
            format!("{} ms", signed(1000.0 * change.time_s, 0)),
            format!("{}°", signed(change.descent_deg, 2)),
            inches(tenth(change.higher_in)),
        ]
    };
    let step = &sensitivity.step_nearer;
    let mark = &sensitivity.mark_faster;
    let rows = vec![
        row(format!("A step nearer, {}", tape(step.by)), step),
        row(format!("A mark faster, {}", speed(mark.by)), mark),
        row(
            format!("Higher by {}", inches(1.0)),
            &sensitivity.inch_higher,
        ),
    ];
    group(vec![
        table(
            "What small changes do",
            &["", "Time", "Descent", "Passes higher"],
            rows,
        ),
        line(
            "line",
            "Time and descent after aiming again at the target; the height where the aim is left.",
        ),
    ])
}

/// To a tenth: what a tape shows.
fn tenth(value: f64) -> f64 {
    (10.0 * value).round() / 10.0
}

fn ranges(question: &SetUpQuestion, found: &Solution, errors: &SettingErrors) -> AnyView {
    let drawn = question
        .asked()
        .map_err(|error| error.to_string())
        .and_then(|asked| {
            asked
                .uncertainty_of(BALLS, found, errors, DRAW)
                .map_err(|error| error.to_string())
        });
    let Ranges {
        time_s,
        descent_deg,
        side_angle_deg,
        high_in,
        aside_in,
    } = match drawn {
        Ok(ranges) => ranges,
        Err(error) => return refusal(error),
    };
    let angles = |span: Span| format!("{}° to {}°", fixed(span.min, 1), fixed(span.max, 1));
    let rows = [
        (
            "Time",
            format!("{:.3} s to {:.3} s", time_s.min, time_s.max),
        ),
        ("Descent", angles(descent_deg)),
        ("Side angle", angles(side_angle_deg)),
        ("Height against the target", off(high_in)),
        ("Side against the target", off(aside_in)),
    ];
    let rows = rows.map(|(name, text)| vec![name.to_owned(), text]);
    table("Nine of ten balls, aimed once and left", &[], rows.to_vec())
}

fn off(span: Span) -> String {
    format!("{} to {}", inches(tenth(span.min)), inches(tenth(span.max)))
}
