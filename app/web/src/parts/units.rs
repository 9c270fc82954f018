//! The system of units that the phone shows and reads.

use crate::words::fixed;
use flight::{Field, Length, Speed, UnitSystem, allowed};
use leptos::prelude::*;

/// The system of units, shared by all screens.
#[derive(Clone, Copy)]
pub struct Units(pub RwSignal<UnitSystem>);

impl Units {
    /// The one in use; views that call this change with it.
    pub fn now() -> UnitSystem {
        expect_context::<Self>().0.get()
    }
}

/// A length to lay out with a tape: "39 ft", "3 ft 8 in", "11.89 m".
pub fn tape(ft: f64) -> String {
    let text = Length::feet(ft).shown(Units::now());
    match text.strip_suffix(" 0 in") {
        Some(whole) => whole.to_owned(),
        None => text,
    }
}

/// A speed: "64 mph", "103.5 km/h".
pub fn speed(mph: f64) -> String {
    let text = Speed::miles_an_hour(mph).shown(Units::now());
    text.replace(".0 ", " ")
}

/// A small length, as of a miss: "4 in", "10.2 cm".
pub fn inches(inches: f64) -> String {
    shown(Field::SeenMiss, inches)
}

/// A value of a field with its unit.
pub fn shown(field: Field, own: f64) -> String {
    let unit = Units::now().shown_unit(allowed(field).unit);
    let gap = if unit.name.starts_with('\u{b0}') {
        ""
    } else {
        " "
    };
    let number = fixed(unit.of(own), unit.digits);
    let number = match number.contains('.') {
        true => number.trim_end_matches('0').trim_end_matches('.'),
        false => &number,
    };
    format!("{number}{gap}{}", unit.name)
}
