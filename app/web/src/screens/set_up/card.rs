//! The card for the cage: what to set with a tape and a laser or a string, when
//! to start the feed, and what the first five balls must show.

use super::Asked;
use super::answer::reason;
use super::number::of_set_up;
use crate::parts::{
    cautions, group, inches, line, live, refusal, sheet, small_heading, speed, tape,
};
use crate::state::{Answer, SetUpQuestion, names::set_up as name};
use crate::words::{base_side, fixed};
use flight::units::{m_s_to_mph, mph_to_m_s};
use flight::{Field, MachineModel, QuickCard, Solution, Wheels, feed_timing};
use leptos::prelude::*;

pub fn view() -> AnyView {
    let Asked { question, answer } = Asked::now();
    let numbers_now = move || {
        answer.with(|answer| match answer.closest() {
            Some(found) => numbers(&found.card(), found, &question.get().machine),
            None => refusal(format!("{}.", reason(answer))),
        })
    };
    let checks_now = move || {
        answer.with(|answer| match answer.closest() {
            Some(found) => checks(&found.card()),
            None => group(vec![]),
        })
    };
    group(vec![
        live(numbers_now),
        small_heading("When to start the feed"),
        of_set_up(
            Field::Count,
            "The hitter\u{2019}s count",
            name::COUNT,
            |asked| asked.count_s,
        ),
        live(move || timing(&question.get(), &answer.get())),
        small_heading("The first five balls, box empty"),
        live(checks_now),
    ])
}

/// "1 ft 2 in to the first-base side of the middle".
fn aside(side_ft: f64) -> String {
    match side_ft.abs() < 0.04 {
        true => "on the middle line".to_owned(),
        false => format!(
            "{} to the {} of the middle",
            tape(side_ft.abs()),
            base_side(side_ft)
        ),
    }
}

/// The numbers to set, also after a correction.
pub fn numbers(card: &QuickCard, found: &Solution, machine: &MachineModel) -> AnyView {
    // A stick at the plate may have to reach below the ground: then half way.
    let half_ft = card.distance_ft / 2.0;
    let at_plate = match card.stick_at_plate_ft >= 0.0 {
        true => format!(
            "{} high, {}",
            tape(card.stick_at_plate_ft),
            aside(card.stick_at_plate_side_ft)
        ),
        false => "below the ground: use the stick half way".to_owned(),
    };
    let half_way = format!("{} high", tape(card.stick_at_ft(half_ft)));
    let spin = format!(
        "{} rpm backspin, {} rpm sidespin",
        fixed(found.spin.backspin_rpm, 0),
        fixed(found.spin.sidespin_rpm, 0),
    );
    let mut rows = vec![
        (
            "Release to the back point of the plate",
            tape(card.distance_ft),
        ),
        ("Release above plate level", tape(card.stick_at_machine_ft)),
        ("Release to the side", aside(card.side_ft)),
        (
            "Laser or string on a stick at the plate\u{2019}s back point",
            at_plate,
        ),
        ("The same half way", half_way),
        ("Speed mark", speed(card.mark_mph)),
        ("Spin", spin),
    ];
    rows.extend(wheels(card, found, machine).map(|text| ("Wheels, speed of the rim", text)));
    let ball = flight::BALLS.iter().find(|kind| kind.ball == found.ball);
    rows.extend(ball.map(|kind| ("Ball", kind.name.to_owned())));
    group(vec![
        sheet(rows),
        line(
            "line",
            "Heights are from plate level, by a plumb stick; the laser lies along the line of throw. Level the feet first. One kind of ball, dry.",
        ),
        line(
            "line caution",
            "Laser of class 2 or below, never towards a face, off before anyone steps in. Machine unplugged while you measure in front of it.",
        ),
    ])
}

/// How fast each wheel's rim moves, without slip; nothing for an arm.
fn wheels(card: &QuickCard, found: &Solution, machine: &MachineModel) -> Option<String> {
    let surface_m_s = machine
        .wheels
        .speeds_for(&found.ball, mph_to_m_s(card.mark_mph), found.spin)
        .ok()?;
    let names: &[&str] = match machine.wheels {
        Wheels::Three { .. } => &["upper", "first-base side", "third-base side"],
        Wheels::Two { tilt_deg: 0.0, .. } => &["upper", "lower"],
        Wheels::Two { .. } => &["one toward the push", "other"],
        Wheels::One { .. } => &["wheel"],
        Wheels::Arm { .. } => return None,
    };
    let each = names
        .iter()
        .zip(surface_m_s)
        .map(|(name, m_s)| format!("{name} {}", speed(m_s_to_mph(m_s))));
    Some(each.collect::<Vec<_>>().join(", "))
}

fn checks(card: &QuickCard) -> AnyView {
    cautions(vec![
        format!(
            "Each passes the plate\u{2019}s back point {} high over the middle: {} below the laser.",
            tape(card.passes_ft),
            inches((12.0 * card.drop_ft).round()),
        ),
        format!(
            "Release to plate takes {:.2} s, by clip or sound, mean of the five.",
            card.time_s
        ),
        "All five within a bat\u{2019}s width of each other. If not: feet, wheels, wet balls."
            .into(),
        "Off in the same way each time: open \u{201c}After the first balls\u{201d}.".into(),
        "After every change: five more, box empty, helmets on.".into(),
    ])
}

/// When to do what, in seconds.
fn timing(question: &SetUpQuestion, answer: &Answer) -> AnyView {
    let Some(found) = answer.closest() else {
        return refusal(format!("{}.", reason(answer)));
    };
    let timed = question
        .flight()
        .map_err(|error| error.to_string())
        .and_then(|flight| {
            let flight_s = flight
                .with_ball(found.ball)
                .time_to(question.contact(), &found.machine_launch)
                .map_err(|error| error.to_string())?;
            let timing = feed_timing(question.count_s, flight_s, question.machine.feed_delay_s)
                .map_err(|error| error.to_string())?;
            Ok((flight_s, timing))
        });
    let (flight_s, timing) = match timed {
        Ok(timed) => timed,
        Err(error) => return refusal(error),
    };
    let lift_s = timing.lift_before_release_s;
    if lift_s < 0.0 {
        return refusal(format!(
            "A count of {} s is shorter than the ball's {flight_s:.2} s of flight: the lift would begin {:.2} s after release.",
            fixed(question.count_s, 2),
            -lift_s,
        ));
    }
    let start = match timing.feed_after_lift_s {
        after if after >= 0.0 => format!("Start the feed {after:.2} s after the lift"),
        before => format!("Start the feed {:.2} s before the lift", -before),
    };
    let text = format!(
        "Show the ball and begin the motion {lift_s:.2} s before release, so that the lift can begin \
         then: {:.2} s of count less {flight_s:.2} s of flight. {start} (the machine takes {:.2} s \
         from feed to release).",
        question.count_s, timing.feed_before_release_s,
    );
    line("line", text)
}
