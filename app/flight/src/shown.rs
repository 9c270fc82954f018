//! How a field's numbers are shown and typed in the imperial and the metric
//! system. Inside the crate and in records every field keeps the unit of
//! [`allowed`](crate::allowed).

use crate::measure::{LengthUnit, SpeedUnit, UnitSystem};
use crate::range::{Field, Range};
use crate::read::{ReadError, read_length, read_number, read_speed};
use crate::units::{FOOT_M, INCH_M, MPH_M_S};

/// Hectopascals in an inch of mercury, 0 C. Source: NIST SP 811, appendix B.8
/// (3.386 389 E+03 Pa), from memory.
const INCH_MERCURY_HPA: f64 = 33.863_89;

/// The unit in which a field is shown, and the way to it from the field's own.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ShownUnit {
    /// As it is written.
    pub name: &'static str,
    /// A handy step up or down, in this unit.
    pub step: f64,
    /// Decimals that are worth showing.
    pub digits: usize,
    factor: f64,
    offset: f64,
}

const fn unit(name: &'static str, factor: f64, step: f64, digits: usize) -> ShownUnit {
    ShownUnit {
        name,
        step,
        digits,
        factor,
        offset: 0.0,
    }
}

impl UnitSystem {
    /// The unit for a field that is kept in `own`, a unit of
    /// [`allowed`](crate::allowed).
    pub fn shown_unit(self, own: &'static str) -> ShownUnit {
        use UnitSystem::{Imperial, Metric};
        match (self, own) {
            (Imperial, "ft") => unit("ft", 1.0, 0.5, 2),
            (Metric, "ft") => unit("m", FOOT_M, 0.1, 2),
            (Imperial, "in") => unit("in", 1.0, 1.0, 1),
            (Metric, "in") => unit("cm", INCH_M * 100.0, 1.0, 1),
            (Imperial, "mph") => unit("mph", 1.0, 1.0, 1),
            (Metric, "mph") => unit("km/h", MPH_M_S * 3.6, 1.0, 1),
            (Imperial, "m") => unit("ft", 1.0 / FOOT_M, 100.0, 0),
            (Metric, "m") => unit("m", 1.0, 50.0, 0),
            (Imperial, "C") => ShownUnit {
                offset: 32.0,
                ..unit("\u{b0}F", 1.8, 1.0, 1)
            },
            (Metric, "C") => unit("\u{b0}C", 1.0, 1.0, 1),
            (Imperial, "hPa") => unit("inHg", 1.0 / INCH_MERCURY_HPA, 0.1, 2),
            (Metric, "hPa") => unit("hPa", 1.0, 1.0, 0),
            (_, "s") => unit("s", 1.0, 0.1, 3),
            (_, "rpm") => unit("rpm", 1.0, 100.0, 0),
            (_, "degrees") => unit("\u{b0}", 1.0, 1.0, 1),
            (_, "%") => unit("%", 1.0, 5.0, 0),
            (_, own) => unit(own, 1.0, 0.1, 2),
        }
    }
}

impl ShownUnit {
    /// A value in the field's own unit, in this one.
    pub fn of(&self, own: f64) -> f64 {
        own * self.factor + self.offset
    }

    /// A value in this unit, in the field's own.
    pub fn back(&self, shown: f64) -> f64 {
        (shown - self.offset) / self.factor
    }

    /// A range in this unit: rounded inward to the digits shown, so that what
    /// the screen offers is never refused.
    pub fn range(&self, own: Range) -> Range {
        let tens = 10_f64.powi(self.digits as i32);
        // A hair, so that an end that is exact but for rounding stays.
        let hair = 1e-9;
        Range {
            // Adding 0 turns a minus zero into zero.
            min: (self.of(own.min) * tens - hair).ceil() / tens + 0.0,
            max: (self.of(own.max) * tens + hair).floor() / tens + 0.0,
            unit: self.name,
        }
    }
}

/// Reads what was typed for a field, in any unit of its kind that is named, or
/// else in that of the system; gives it in the field's own unit.
///
/// Errors: [`ReadError`], which names the field and the range in the system's
/// unit.
pub fn read_field(
    field: Field,
    own: Range,
    text: &str,
    system: UnitSystem,
) -> Result<f64, ReadError> {
    let shown = system.shown_unit(own.unit);
    let range = shown.range(own);
    let read = match shown.name {
        "m" if own.unit == "ft" => read_length(field, range, text, LengthUnit::Metre)?.ft(),
        "ft" if own.unit == "ft" => read_length(field, range, text, LengthUnit::Foot)?.ft(),
        "ft" => read_length(field, range, text, LengthUnit::Foot)?.m(),
        "m" => read_length(field, range, text, LengthUnit::Metre)?.m(),
        "in" => read_length(field, range, text, LengthUnit::Inch)?.in_unit(LengthUnit::Inch),
        "cm" => read_length(field, range, text, LengthUnit::Centimetre)?.in_unit(LengthUnit::Inch),
        "mph" => read_speed(field, range, text, SpeedUnit::Mph)?.mph(),
        "km/h" => read_speed(field, range, text, SpeedUnit::KmH)?.mph(),
        _ => shown.back(read_number(field, range, text)?),
    };
    // A change of units must not make 61.5 into 61.50000000000001, nor carry an
    // end of the range over it.
    Ok(((read * 1e9).round() / 1e9).clamp(own.min, own.max))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::range::allowed;
    use proptest::prelude::*;

    fn read(field: Field, text: &str, system: UnitSystem) -> Result<f64, ReadError> {
        read_field(field, allowed(field), text, system)
    }

    #[test]
    fn a_field_is_read_in_the_unit_of_the_system_or_in_the_one_named() {
        use UnitSystem::{Imperial, Metric};
        // Sources: the exact foot, inch and mile; 0 C is 32 F, 100 C is 212 F.
        let cases = [
            (Field::MachineDistance, "39", Imperial, 39.0),
            (Field::MachineDistance, "18,44 m", Imperial, 18.44 / 0.3048),
            (Field::MachineDistance, "12", Metric, 12.0 / 0.3048),
            (Field::MachineDistance, "39'6\"", Metric, 39.5),
            (Field::GameSpeed, "148 km/h", Imperial, 148.0 / 1.609_344),
            (Field::GameSpeed, "148", Metric, 148.0 / 1.609_344),
            (Field::GameSpeed, "92 mph", Metric, 92.0),
            (Field::Altitude, "5280", Imperial, 1609.344),
            (Field::Altitude, "1609 m", Imperial, 1609.0),
            (Field::Temperature, "50", Imperial, 10.0),
            (Field::Temperature, "-4", Imperial, -20.0),
            (Field::Temperature, "22,5", Metric, 22.5),
            (Field::SeenMiss, "-10", Metric, -10.0 / 2.54),
            (Field::SeenMiss, "-4", Imperial, -4.0),
            (Field::Pressure, "1013", Metric, 1013.0),
            (Field::Pressure, "29.92", Imperial, 29.92 * 33.86389),
        ];
        for (field, text, system, own) in cases {
            let given = read(field, text, system).unwrap();
            assert!((given - own).abs() < 1e-9, "{field} {text}: {given}");
        }
        let as_typed = read(Field::GameSpeed, "61.5", Imperial).unwrap();
        assert_eq!(as_typed, 61.5);
    }

    #[test]
    fn a_refusal_names_the_range_in_the_unit_of_the_system() {
        let metric = read(Field::MachineDistance, "2", UnitSystem::Metric);
        assert_eq!(
            metric.unwrap_err().to_string(),
            "Machine distance must be from 3.05 to 18.44 m; 2 m was given"
        );
        let fast = read(Field::GameSpeed, "400 km/h", UnitSystem::Metric);
        assert_eq!(
            fast.unwrap_err().to_string(),
            "Game pitch speed must be from 32.2 to 177 km/h; 400 km/h was given"
        );
        let cold = read(Field::Temperature, "-40", UnitSystem::Imperial);
        assert_eq!(
            cold.unwrap_err().to_string(),
            "Temperature must be from -4 to 122 \u{b0}F; -40 \u{b0}F was given"
        );
        let far = read(Field::SeenMiss, "130 cm", UnitSystem::Metric);
        assert_eq!(
            far.unwrap_err().to_string(),
            "Miss at the plate must be from -121.9 to 121.9 cm; 130 cm was given"
        );
    }

    proptest! {
        #[test]
        fn what_a_field_shows_is_read_back_and_both_ends_are_allowed(
            number in 0..Field::ALL.len(), share in 0.0..=1.0_f64, metric in any::<bool>()
        ) {
            let field = Field::ALL[number];
            let system = if metric { UnitSystem::Metric } else { UnitSystem::Imperial };
            let own = allowed(field);
            let shown = system.shown_unit(own.unit);
            let range = shown.range(own);
            let between = range.min + (range.max - range.min) * share;
            for value in [range.min, range.max, between] {
                let text = format!("{value:.*}", shown.digits);
                let read = read(field, &text, system).unwrap();
                let half_a_digit = 0.500001 / 10_f64.powi(shown.digits as i32);
                prop_assert!((shown.of(read) - value).abs() < half_a_digit, "{} {}", field, value);
                prop_assert!(own.contains(read));
            }
        }
    }
}
