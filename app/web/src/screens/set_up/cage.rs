//! Where it is put up: the room for the machine, the air, and what the air
//! changes.

use super::Asked;
use super::answer::{speed_number, speed_unit};
use super::machine::{described, pick};
use super::number::of_equipment;
use crate::parts::{choice, fold, group, inches, line, live, live_line, tape};
use crate::state::{Desk, Entry, SetUpQuestion, What, names::cage as name};
use crate::words::fixed;
use flight::units::{m_s_to_mph, m_to_in};
use flight::{Air, Field, Flight, Solution};
use leptos::prelude::*;
use notebook::RecordId;

/// The choice of a cage, and its room and air in a fold.
pub fn view() -> AnyView {
    group(vec![
        pick(What::Cage, "Cage or field", "Usual room, mild day"),
        fold("Room and air", room_and_air),
    ])
}

fn room_and_air() -> AnyView {
    let Asked { question, answer } = Asked::now();
    let change = move || answer.with(|answer| what_air_changes(&question.get(), answer.closest()?));
    group(vec![
        described(
            What::Cage,
            "Describe my cage",
            "Remove this cage",
            usual,
            fields,
        ),
        live_line("line", move || change().unwrap_or_default()),
    ])
}

fn usual() -> AnyView {
    let room = Asked::now().question.get().room;
    line(
        "line",
        format!(
            "Taken as usual (common practice, no source): from {} to {}, up to {} off the middle line, air of 1.2 kg/m³.",
            tape(room.distance_ft.min),
            tape(room.distance_ft.max),
            tape(room.side_ft.max),
        ),
    )
}

/// What this air does to the game pitch against that of a mild day.
fn what_air_changes(question: &SetUpQuestion, found: &Solution) -> Option<String> {
    let flight = question.flight().ok()?;
    let [_, target_y_m, _] = found.target_m;
    let mild = Flight {
        air: Air::MILD_DAY,
        ..flight
    };
    let change = mild
        .in_other_air(flight.air, &found.game_launch, target_y_m)
        .ok()?;
    if change.time_s == 0.0 {
        return None;
    }
    let word = |value: f64, more: &'static str, less: &'static str| match value > 0.0 {
        true => more,
        false => less,
    };
    let slower_mph = -m_s_to_mph(change.speed_m_s);
    let lower_in = -m_to_in(change.height_m);
    Some(format!(
        "Air here: {:.3} kg/m³ (CIPM-2007; pressure of ISO 2533 where none is read). Against a mild day of 1.2 kg/m³ the same throw takes {} ms {}, is {} {} {} at the plate and comes {} {}.",
        flight.air.density_kg_m3,
        fixed(1000.0 * change.time_s.abs(), 1),
        word(change.time_s, "more", "less"),
        fixed(speed_number(slower_mph.abs()), 1),
        speed_unit(),
        word(slower_mph, "slower", "faster"),
        inches((10.0 * lower_in.abs()).round() / 10.0),
        word(lower_in, "lower", "higher"),
    ))
}

fn fields(id: RecordId) -> AnyView {
    let desk = expect_context::<Desk>();
    let Asked { question, .. } = Asked::now();
    let number = move |field, label, name, of| of_equipment(id, field, label, name, of);
    let read = Memo::new(move |_| match question.get().weather.pressure_pa {
        Some(_) => "read-here",
        None => "by-altitude",
    });
    group(vec![
        number(
            Field::FeedDistance,
            "Nearest place",
            name::DISTANCE_LEAST,
            |asked| asked.room.distance_ft.min,
        ),
        number(
            Field::FeedDistance,
            "Farthest place",
            name::DISTANCE_MOST,
            |asked| asked.room.distance_ft.max,
        ),
        number(
            Field::FeedSide,
            "Room to the third-base side",
            name::THIRD_SIDE,
            |asked| -asked.room.side_ft.min,
        ),
        number(
            Field::FeedSide,
            "Room to the first-base side",
            name::FIRST_SIDE,
            |asked| asked.room.side_ft.max,
        ),
        number(Field::Altitude, "", name::ALTITUDE, |asked| {
            asked.weather.altitude_m
        }),
        number(Field::Temperature, "", name::TEMPERATURE, |asked| {
            asked.weather.temperature_c
        }),
        number(Field::Humidity, "", name::HUMIDITY, |asked| {
            asked.weather.humidity_percent
        }),
        choice(
            "Pressure",
            vec![("by-altitude", "By altitude"), ("read-here", "Read here")],
            read.into(),
            Callback::new(move |from| {
                desk.edit_equipment(id, &Entry::choice(name::PRESSURE_FROM, from));
            }),
        ),
        live(move || match read.get() {
            "read-here" => group(vec![
                of_equipment(id, Field::Pressure, "", name::PRESSURE, |asked| {
                    asked.weather.pressure_pa() / 100.0
                }),
                line(
                    "line",
                    "As a barometer at the field shows it; a weather report gives the pressure reduced to sea level.",
                ),
            ]),
            _ => group(vec![]),
        }),
    ])
}
