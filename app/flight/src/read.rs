//! Reading what a coach types: lengths, speeds and bare numbers, in any
//! spelling that can only mean one thing.

use crate::decimal::split_decimal;
use crate::measure::{Length, LengthUnit, Speed, SpeedUnit};
use crate::range::{Field, Range, RangeError};
use std::fmt;

/// Most characters of what was typed that a message repeats.
const ECHO: usize = 20;
/// Longer texts are refused unread.
const LONGEST: usize = 64;

/// Why what was typed cannot be taken.
#[derive(Debug, Clone, PartialEq)]
pub enum ReadError {
    /// It is not what the field needs.
    NotUnderstood {
        /// The field.
        field: Field,
        /// What is allowed.
        range: Range,
        /// What was typed, cut short.
        typed: String,
        /// How it may be written.
        like: &'static str,
    },
    /// It is outside the range.
    Range(RangeError),
}

impl fmt::Display for ReadError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            ReadError::Range(error) => error.fmt(f),
            ReadError::NotUnderstood {
                field,
                range: Range { min, max, unit },
                typed,
                like,
            } => {
                write!(f, "{field} must be from {min} to {max} {unit}, ")?;
                write!(f, "written like {like}; ")?;
                match typed.is_empty() {
                    true => f.write_str("nothing was given"),
                    false => write!(f, "\u{201c}{typed}\u{201d} was given"),
                }
            }
        }
    }
}

impl std::error::Error for ReadError {}

impl From<RangeError> for ReadError {
    fn from(error: RangeError) -> Self {
        ReadError::Range(error)
    }
}

/// Reads a length for a field whose range is in ft, in, m or cm; a number without
/// unit counts as `bare`.
///
/// Understood: "60'6\"", "60 ft 6 in", "60' 6", "5 ft", "18,44 m", "18.44m",
/// "1844 cm", "39", with a sign in front, in any case. A comma is a decimal
/// comma.
///
/// Errors: [`ReadError`], which names the field and the range.
pub fn read_length(
    field: Field,
    range: Range,
    text: &str,
    bare: LengthUnit,
) -> Result<Length, ReadError> {
    let like = "60'6\", 60 ft 6 in or 18.44 m";
    let length = length_of(text, bare).ok_or_else(|| not_understood(field, range, text, like))?;
    let in_unit = match range.unit {
        "in" => length.in_unit(LengthUnit::Inch),
        "m" => length.m(),
        "cm" => length.in_unit(LengthUnit::Centimetre),
        _ => length.ft(),
    };
    range.check(field, on_the_edge(range, in_unit))?;
    Ok(length)
}

/// Reads a speed for a field whose range is in mph or km/h; a number without unit
/// counts as `bare`.
///
/// Understood: "92", "92 mph", "148 km/h", "41,1 m/s", "135 ft/s", in any case.
///
/// Errors: [`ReadError`], which names the field and the range.
pub fn read_speed(
    field: Field,
    range: Range,
    text: &str,
    bare: SpeedUnit,
) -> Result<Speed, ReadError> {
    let like = "92, 92 mph or 148 km/h";
    let speed = speed_of(text, bare).ok_or_else(|| not_understood(field, range, text, like))?;
    let in_unit = match range.unit {
        "km/h" => speed.in_unit(SpeedUnit::KmH),
        _ => speed.mph(),
    };
    range.check(field, on_the_edge(range, in_unit))?;
    Ok(speed)
}

/// Reads a bare number, in the unit of the range, which may be written behind
/// it.
///
/// Errors: [`ReadError`], which names the field and the range.
pub fn read_number(field: Field, range: Range, text: &str) -> Result<f64, ReadError> {
    let number = signed(text).and_then(|(sign, rest)| {
        let (value, unit) = split_decimal(rest)?;
        let unit = unit.trim();
        (unit.is_empty() || unit.eq_ignore_ascii_case(range.unit)).then_some(sign * value)
    });
    let number = number.ok_or_else(|| not_understood(field, range, text, "12 or 12.5"))?;
    range.check(field, number)?;
    Ok(number)
}

/// A value that is at an end of the range but for rounding, by a change of
/// units, counts as that end: 18.44 m is 60 ft 5.98 in and inside; 18.4404 m is
/// 60.5 ft and a hair.
fn on_the_edge(range: Range, value: f64) -> f64 {
    let near = |end: f64| (value - end).abs() <= 1e-12 * end.abs();
    if near(range.min) {
        range.min
    } else if near(range.max) {
        range.max
    } else {
        value
    }
}

fn not_understood(field: Field, range: Range, text: &str, like: &'static str) -> ReadError {
    let mut typed: String = text.trim().chars().take(ECHO).collect();
    if text.trim().chars().count() > ECHO {
        typed.push('…');
    }
    ReadError::NotUnderstood {
        field,
        range,
        typed,
        like,
    }
}

/// The sign of a number and the text behind it.
fn signed(text: &str) -> Option<(f64, &str)> {
    let text = text.trim();
    if text.len() > LONGEST {
        return None;
    }
    let minus = ['-', '\u{2212}'];
    Some(match text.strip_prefix(minus) {
        Some(rest) => (-1.0, rest.trim_start()),
        None => (1.0, text.strip_prefix('+').unwrap_or(text).trim_start()),
    })
}

/// Splits what stands before the next digit or point, the unit, off a text.
fn split_unit(text: &str) -> (&str, &str) {
    let end = text
        .find(|c: char| c.is_ascii_digit() || c == ',' || (c == '.' && !is_abbreviated(text)))
        .unwrap_or(text.len());
    (text[..end].trim(), text[end..].trim_start())
}

/// Whether a point in a text ends an abbreviation, as in "ft.".
fn is_abbreviated(text: &str) -> bool {
    text.find('.')
        .is_some_and(|at| text[..at].ends_with(|c: char| c.is_alphabetic()))
}

fn is_one_of(unit: &str, names: &[&str]) -> bool {
    let unit = unit.strip_suffix('.').unwrap_or(unit);
    names.iter().any(|name| unit.eq_ignore_ascii_case(name))
}

const FEET: &[&str] = &["ft", "foot", "feet", "'", "\u{2019}", "\u{2032}"];
const INCHES: &[&str] = &[
    "in",
    "inch",
    "inches",
    "\"",
    "''",
    "\u{201d}",
    "\u{2033}",
    "\u{2032}\u{2032}",
    "\u{2019}\u{2019}",
];
const METRES: &[&str] = &["m", "metre", "metres", "meter", "meters"];
const CENTIMETRES: &[&str] = &[
    "cm",
    "centimetre",
    "centimetres",
    "centimeter",
    "centimeters",
];

fn length_of(text: &str, bare: LengthUnit) -> Option<Length> {
    let (sign, rest) = signed(text)?;
    let (value, rest) = split_decimal(rest)?;
    let (unit, rest) = split_unit(rest.trim_start());
    let unit = match unit {
        "" if rest.is_empty() => bare,
        unit if is_one_of(unit, FEET) => LengthUnit::Foot,
        unit if is_one_of(unit, INCHES) => LengthUnit::Inch,
        unit if is_one_of(unit, METRES) => LengthUnit::Metre,
        unit if is_one_of(unit, CENTIMETRES) => LengthUnit::Centimetre,
        _ => return None,
    };
    if rest.is_empty() {
        return Some(Length::of(sign * value, unit));
    }
    // Inches behind feet; the unit may be left out.
    let (inches, rest) = split_decimal(rest)?;
    let (inch, rest) = split_unit(rest.trim_start());
    let in_order = unit == LengthUnit::Foot
        && (inch.is_empty() || is_one_of(inch, INCHES))
        && rest.is_empty()
        && inches < 12.0
        && value.fract() == 0.0;
    in_order.then(|| Length::of(sign * (12.0 * value + inches), LengthUnit::Inch))
}

fn speed_of(text: &str, bare: SpeedUnit) -> Option<Speed> {
    let (sign, rest) = signed(text)?;
    let (value, rest) = split_decimal(rest)?;
    let unit = match rest.trim() {
        "" => bare,
        unit if is_one_of(unit, &["mph", "mi/h"]) => SpeedUnit::Mph,
        unit if is_one_of(unit, &["km/h", "kmh", "kph"]) => SpeedUnit::KmH,
        unit if is_one_of(unit, &["m/s", "mps"]) => SpeedUnit::MetreSecond,
        unit if is_one_of(unit, &["ft/s", "fps"]) => SpeedUnit::FootSecond,
        _ => return None,
    };
    Some(Speed::of(sign * value, unit))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::UnitSystem;
    use crate::range::allowed;
    use proptest::prelude::*;

    fn ft(text: &str) -> Option<f64> {
        length_of(text, LengthUnit::Foot).map(Length::ft)
    }

    fn mph(text: &str) -> Option<f64> {
        speed_of(text, SpeedUnit::Mph).map(Speed::mph)
    }

    fn assert_near(ours: Option<f64>, meant: f64, text: &str) {
        assert!(
            ours.is_some_and(|ours| (ours - meant).abs() < 1e-9),
            "{text}: {ours:?}"
        );
    }

    #[test]
    fn the_rubber_distance_is_read_in_every_spelling() {
        for text in [
            "60'6\"",
            "60' 6\"",
            "60 ft 6 in",
            "60ft6in",
            "60 FT. 6 IN.",
            "60' 6",
            "60’6”",
            "60′6″",
            "60''",
            "60.5",
            "60,5 ft",
            " 726 in ",
            "60 feet 6 inches",
            "+60.5 ft",
        ] {
            let meant = if text == "60''" { 5.0 } else { 60.5 };
            assert_near(ft(text), meant, text);
        }
        for text in ["18,44 m", "18.44m", "1844 cm", "18.44 Metres"] {
            assert_near(ft(text), 18.44 / 0.3048, text);
        }
        assert_near(ft("-0'11\""), -11.0 / 12.0, "-0'11\"");
        assert_near(ft("\u{2212}1.25"), -1.25, "minus sign");
    }

    #[test]
    fn speeds_are_read_in_every_unit() {
        for text in ["92", "92 mph", "92MPH", "92.0 mi/h"] {
            assert_near(mph(text), 92.0, text);
        }
        assert_near(mph("148 km/h"), 148.0 / 1.609_344, "km/h");
        assert_near(mph("41,1 m/s"), 41.1 / 0.447_04, "m/s");
        assert_near(mph("88 ft/s"), 60.0, "ft/s");
    }

    #[test]
    fn what_can_mean_two_things_or_none_is_not_taken() {
        for text in [
            "",
            " ",
            "-",
            "ft",
            "60'6'",
            "60'13\"",
            "60.5'6\"",
            "6 in 60 ft",
            "5 m 3 cm",
            "1 2",
            "60 yd",
            "1e3",
            "inf",
            "NaN",
            "⚾",
            "٦٠",
            "60'6\"x",
            "--5",
            "1.2.3",
        ] {
            assert_eq!(ft(text), None, "{text}");
        }
        for text in ["", "mph", "92 mph 3", "9 2", "1e2", "92 knots"] {
            assert_eq!(mph(text), None, "{text}");
        }
    }

    #[test]
    fn a_refusal_names_the_field_the_range_and_what_was_typed() {
        let range = allowed(Field::MachineDistance);
        let read = |text: &str| {
            read_length(Field::MachineDistance, range, text, LengthUnit::Foot)
                .unwrap_err()
                .to_string()
        };
        assert_eq!(
            read("far"),
            "Machine distance must be from 10 to 60.5 ft, written like 60'6\", 60 ft 6 in or \
             18.44 m; \u{201c}far\u{201d} was given"
        );
        assert_eq!(
            read("61"),
            "Machine distance must be from 10 to 60.5 ft; 61 ft was given"
        );
        assert!(read(&"⚾".repeat(10_000)).len() < 250);
        let range = allowed(Field::GameSpeed);
        let error = read_speed(Field::GameSpeed, range, "400 mph", SpeedUnit::Mph).unwrap_err();
        assert!(
            error
                .to_string()
                .starts_with("Game pitch speed must be from 20 to 110 mph")
        );
    }

    #[test]
    fn the_ends_of_a_range_may_be_typed_in_any_unit() {
        let range = allowed(Field::MachineDistance);
        for text in [
            "60'6\"",
            "18.4404 m",
            "1844.04 cm",
            "726 in",
            "3.048 m",
            "120 in",
        ] {
            let read = read_length(Field::MachineDistance, range, text, LengthUnit::Foot);
            assert!(read.is_ok(), "{text}: {read:?}");
        }
    }

    #[test]
    fn a_bare_number_may_carry_the_unit_of_its_field() {
        let range = allowed(Field::GameSpin);
        let read = |text: &str| read_number(Field::GameSpin, range, text);
        assert_eq!(read("2200"), Ok(2200.0));
        assert_eq!(read("-350,5 RPM"), Ok(-350.5));
        assert!(read("2200 mph").is_err() && read("9000").is_err() && read("x").is_err());
    }

    proptest! {
        #[test]
        fn no_text_whatever_makes_reading_panic(text in ".*") {
            for field in Field::ALL {
                let range = allowed(field);
                if let Err(error) = read_length(field, range, &text, LengthUnit::Foot) {
                    prop_assert!(error.to_string().len() < 400);
                }
                let _ = read_speed(field, range, &text, SpeedUnit::KmH);
                let _ = read_number(field, range, &text);
            }
        }

        #[test]
        fn texts_of_the_right_letters_are_read_or_refused(
            text in "[-+ 0-9.,'\"′″ftincmkph/s]{0,14}",
        ) {
            let length = length_of(&text, LengthUnit::Metre);
            prop_assert!(length.is_none_or(|length| length.m().is_finite()));
            prop_assert!(speed_of(&text, SpeedUnit::Mph).is_none_or(|speed| speed.m_s().is_finite()));
        }

        #[test]
        fn what_is_shown_is_read_back(value in -60.0..60.0_f64) {
            let (length, speed) = (Length::feet(value), Speed::miles_an_hour(value));
            for (system, tolerance_m, tolerance_m_s) in [
                (UnitSystem::Imperial, 0.5 * 0.0254, 0.05 * 0.447_04),
                (UnitSystem::Metric, 0.005, 0.05 / 3.6),
            ] {
                let shown = length.shown(system);
                let back = length_of(&shown, LengthUnit::Centimetre);
                let off = back.map(|back| (back.m() - length.m()).abs());
                prop_assert!(off.is_some_and(|off| off <= tolerance_m + 1e-9), "{}", shown);
                // And then it stays as it is.
                prop_assert_eq!(back.unwrap().shown(system), shown);
                let shown = speed.shown(system);
                let back = speed_of(&shown, SpeedUnit::FootSecond);
                let off = back.map(|back| (back.m_s() - speed.m_s()).abs());
                prop_assert!(off.is_some_and(|off| off <= tolerance_m_s + 1e-9), "{}", shown);
            }
        }
    }
}
