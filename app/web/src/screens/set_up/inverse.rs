//! The other way round: the machine stands there at this speed; what pitch is
//! that, at what level, and how long does the hitter have to decide?

use super::Asked;
use super::answer::reason;
use super::number::of_set_up;
use crate::parts::{choice, follows, group, live, refusal, said, speed};
use crate::state::{Answer, Desk, Entry, SetUpQuestion, names::set_up as name};
use crate::words::{fixed, steeper};
use flight::{Field, Pitch, WhatPitch};
use leptos::prelude::*;

pub fn view() -> AnyView {
    let Asked { question, answer } = Asked::now();
    let desk = expect_context::<Desk>();
    let asked = follows(move || (question.get(), answer.get()));
    let own = Memo::new(move |_| match question.get().own_place {
        Some(_) => "otherwise",
        None => "as-answered",
    });
    group(vec![
        choice(
            "It stands",
            vec![("as-answered", "As above"), ("otherwise", "Otherwise")],
            own.into(),
            Callback::new(move |id| desk.edit_set_up(vec![Entry::choice(name::OWN_PLACE, id)])),
        ),
        live(move || match own.get() {
            "otherwise" => own_place(),
            _ => group(vec![]),
        }),
        of_set_up(Field::MachineSpeed, "", name::MACHINE_SPEED, |asked| {
            asked.machine_speed_mph
        }),
        of_set_up(Field::SwingTime, "", name::SWING, |asked| asked.swing_s),
        live(move || asked.with(|(question, answer)| stands_for(question, answer))),
    ])
}

/// Distance, height and side of a machine that was put up otherwise.
fn own_place() -> AnyView {
    group(vec![
        of_set_up(
            Field::FeedDistance,
            "Distance of its release",
            name::OWN_DISTANCE,
            |asked| asked.own_place.map_or(0.0, |own| own.distance_ft),
        ),
        of_set_up(
            Field::FeedHeight,
            "Height of its release",
            name::OWN_HEIGHT,
            |asked| asked.own_place.map_or(0.0, |own| own.height_ft),
        ),
        of_set_up(
            Field::FeedSide,
            "Release toward the third-base side",
            name::OWN_SIDE,
            |asked| asked.own_place.map_or(0.0, |own| own.third_side_ft),
        ),
    ])
}

fn stands_for(question: &SetUpQuestion, answer: &Answer) -> AnyView {
    let Some(found) = answer.closest() else {
        return refusal(format!("{}.", reason(answer)));
    };
    let placed = question.placed(found);
    // The time to decide is to the ball's contact, not to the plate.
    let like = Pitch {
        met_at: question.contact(),
        ..question.pitch
    };
    let found = question
        .flight()
        .map_err(|error| error.to_string())
        .and_then(|flight| {
            let what = placed
                .stands_for(&flight, &like, question.swing_s)
                .map_err(|error| error.to_string())?;
            let level = placed
                .level_like(
                    question.level.sport,
                    flight.air,
                    question.contact(),
                    question.swing_s,
                )
                .map_err(|error| error.to_string())?;
            Ok((what, level))
        });
    let (what, level) = match found {
        Ok(found) => found,
        Err(error) => return refusal(error),
    };
    let level = level.map(|(level, pitch)| {
        format!(
            " Of the usual pitches it is most like {}, at {}.",
            level.name,
            speed(pitch.speed_mph)
        )
    });
    said(
        "line",
        format!("{}{}", sentence(question, &what), level.unwrap_or_default()),
    )
}

fn sentence(question: &SetUpQuestion, what: &WhatPitch) -> String {
    let decide = match what.decide_s >= 0.0 {
        true => format!("leaves {} s to decide", fixed(what.decide_s, 3)),
        false => "leaves no time to decide".to_owned(),
    };
    format!(
        "At {} from there the hitter has the time of a {} pitch: {} s to contact, which {decide} \
         with a swing of {} s (common practice). The ball comes in {}.",
        speed(question.machine_speed_mph),
        speed(what.speed_mph),
        fixed(what.machine.time_s, 3),
        fixed(question.swing_s, 2),
        steeper(what.leftover.descent_deg),
    )
}
