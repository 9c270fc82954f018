//! The pitch to prepare for: level, kind, speed, hand, and its numbers.

use super::Asked;
use super::number::of_set_up;
use crate::parts::{choice, fold, group, line, live_line, option_of, options_of, selection};
use crate::parts::{shown, tape};
use crate::state::{DRAGS, Desk, Entry, LIFTS, SetUpQuestion, USUAL, kinds};
use crate::state::{choice_of, names::set_up as name};
use coaching::vocabulary::Hand;
use flight::{Field, Level, Plane};
use leptos::prelude::*;

/// Speed, hand and kind; the release and the rest in a fold.
pub fn view() -> AnyView {
    let desk = expect_context::<Desk>();
    let Asked { question, .. } = Asked::now();
    let hands = Hand::ALL.iter().map(|hand| (hand.id(), hand.name()));
    let all = move || {
        let mut all = vec![option_of(USUAL, "Typical fastball, backspin only")];
        all.extend(kinds(question.get().level).map(|kind| option_of(kind.id, kind.name)));
        all
    };
    group(vec![
        live_line("line", move || described(&question.get())),
        of_set_up(Field::GameSpeed, "", name::GAME_SPEED, |asked| {
            asked.pitch.speed_mph
        }),
        choice(
            "Pitcher throws",
            hands.collect(),
            Signal::derive(move || question.get().pitcher.id()),
            Callback::new(move |id| desk.edit_set_up(vec![Entry::choice(name::PITCHER, id)])),
        ),
        selection(
            "Kind of pitch",
            false,
            Signal::derive(all),
            Signal::derive(move || question.get().kind.map_or(USUAL, |kind| kind.id).to_owned()),
            Callback::new(move |id: String| {
                desk.edit_set_up(of_kind(question.get_untracked().level, &id));
            }),
        ),
        fold("Release, zone and contact", more),
    ])
}

/// A kind and the speed it has at the level, to half a mile an hour.
fn of_kind(level: &'static Level, id: &str) -> Vec<Entry> {
    let kind = kinds(level).find(|kind| kind.id == id);
    let speed_mph = kind.map_or(level.speed_mph, |kind| kind.pitch(level).speed_mph);
    vec![
        Entry::choice(name::PITCH, kind.map_or(USUAL, |kind| kind.id)),
        Entry::Number(name::GAME_SPEED, (2.0 * speed_mph).round() / 2.0),
    ]
}

fn described(question: &SetUpQuestion) -> String {
    let release = question.pitch.release;
    let side = match question.release_side_ft() {
        0.0 => "in line with the plate".to_owned(),
        side if side > 0.0 => format!("{} to the arm\u{2019}s side", tape(side)),
        side => format!("{} across to the other side", tape(-side)),
    };
    let spin = question.pitch.spin;
    format!(
        "{}: released {} from the plate, {} high, {side}; {} backspin, {} sidespin. {}",
        question.level.name,
        tape(release.distance_ft),
        tape(release.height_ft),
        shown(Field::GameSpin, spin.backspin_rpm),
        shown(Field::GameSpin, spin.sidespin_rpm),
        match question.kind {
            Some(_) => "Spin of the kind: the middle of its range, from memory.",
            None => question.level.source,
        },
    )
}

fn more() -> AnyView {
    let desk = expect_context::<Desk>();
    let Asked { question, .. } = Asked::now();
    let drag = move || id_of(&DRAGS, question.get().drag);
    let lift = move || id_of(&LIFTS, question.get().lift);
    let choose =
        move |name, id: String| desk.edit_set_up(choice_of(name, &id).into_iter().collect());
    group(vec![
        of_set_up(
            Field::ReleaseDistance,
            "",
            name::RELEASE_DISTANCE,
            |asked| asked.pitch.release.distance_ft,
        ),
        of_set_up(Field::ReleaseHeight, "", name::RELEASE_HEIGHT, |asked| {
            asked.pitch.release.height_ft
        }),
        of_set_up(
            Field::ReleaseSide,
            "Release toward the arm\u{2019}s side",
            name::RELEASE_SIDE,
            SetUpQuestion::release_side_ft,
        ),
        of_set_up(
            Field::TargetHeight,
            "Middle of this hitter\u{2019}s zone",
            name::TARGET_HEIGHT,
            |asked| asked.pitch.target_height_ft,
        ),
        of_set_up(Field::ContactDepth, "", name::CONTACT_DEPTH, |asked| {
            asked.contact_depth_in
        }),
        live_line("line", move || times(&question.get()).unwrap_or_default()),
        selection(
            "Drag of the ball",
            false,
            Signal::stored(options_of(&DRAGS, |known| (known.0, known.1))),
            Signal::derive(drag),
            Callback::new(move |id| choose(name::DRAG, id)),
        ),
        selection(
            "Lift by spin",
            false,
            Signal::stored(options_of(&LIFTS, |known| (known.0, known.1))),
            Signal::derive(lift),
            Callback::new(move |id| choose(name::LIFT, id)),
        ),
        line(
            "line",
            "Published drag of a baseball: 0.3 to 0.4. Slow-pitch softball is out of scope: its ball comes down too steeply for this page.",
        ),
    ])
}

fn id_of<T: PartialEq>(laws: &[(&str, &str, T)], chosen: T) -> String {
    let law = laws.iter().find(|law| law.2 == chosen);
    law.map_or("", |law| law.0).to_owned()
}

fn times(question: &SetUpQuestion) -> Option<String> {
    let flight = question.flight().ok()?;
    let thrown = question.pitch.thrown(&flight).ok()?;
    let at = |plane| flight.time_to(plane, &thrown.launch).ok();
    Some(format!(
        "Time from release: {:.3} s to the ball\u{2019}s contact, {:.3} s to the front edge of the plate, {:.3} s to its back point.",
        at(question.contact())?,
        at(Plane::PlateFront)?,
        at(Plane::PlatePoint)?,
    ))
}
