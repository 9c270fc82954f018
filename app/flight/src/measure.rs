//! Lengths and speeds with their units in the type, and how they are shown in
//! the imperial and the metric system.

use crate::units::{FOOT_M, INCH_M, MPH_M_S};

/// The system a coach reads and types in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum UnitSystem {
    /// Feet and inches, mph.
    #[default]
    Imperial,
    /// Metres, km/h.
    Metric,
}

/// A unit of length.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum LengthUnit {
    /// Foot.
    Foot,
    /// Inch.
    Inch,
    /// Metre.
    Metre,
    /// Centimetre.
    Centimetre,
}

/// A unit of speed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum SpeedUnit {
    /// Mile an hour.
    Mph,
    /// Kilometre an hour.
    KmH,
    /// Metre a second.
    MetreSecond,
    /// Foot a second.
    FootSecond,
}

impl LengthUnit {
    /// Metres in it; exact.
    pub fn metres(self) -> f64 {
        match self {
            LengthUnit::Foot => FOOT_M,
            LengthUnit::Inch => INCH_M,
            LengthUnit::Metre => 1.0,
            LengthUnit::Centimetre => 0.01,
        }
    }
}

impl SpeedUnit {
    /// Metres a second in it; exact but for rounding.
    pub fn metres_a_second(self) -> f64 {
        match self {
            SpeedUnit::Mph => MPH_M_S,
            SpeedUnit::KmH => 1.0 / 3.6,
            SpeedUnit::MetreSecond => 1.0,
            SpeedUnit::FootSecond => FOOT_M,
        }
    }
}

/// A length.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
pub struct Length {
    metres: f64,
}

impl Length {
    /// So many of a unit.
    pub fn of(value: f64, unit: LengthUnit) -> Length {
        Length {
            metres: value * unit.metres(),
        }
    }

    /// So many feet.
    pub fn feet(value: f64) -> Length {
        Length::of(value, LengthUnit::Foot)
    }

    /// In a unit.
    pub fn in_unit(self, unit: LengthUnit) -> f64 {
        self.metres / unit.metres()
    }

    /// In feet, the unit of the set-up's fields.
    pub fn ft(self) -> f64 {
        self.in_unit(LengthUnit::Foot)
    }

    /// In metres.
    pub fn m(self) -> f64 {
        self.metres
    }

    /// As it is shown: "39 ft 6 in" to the nearest inch, or "12.04 m" to the
    /// centimetre. [`crate::read_length`] reads it back.
    pub fn shown(self, system: UnitSystem) -> String {
        if !self.metres.is_finite() {
            return "?".to_owned();
        }
        match system {
            UnitSystem::Metric => format!("{:.2} m", no_minus_zero(self.metres, 100.0)),
            UnitSystem::Imperial => {
                let inches = self.in_unit(LengthUnit::Inch).round();
                let sign = if inches < 0.0 { "-" } else { "" };
                let (feet, inches) = ((inches.abs() / 12.0).floor(), inches.abs() % 12.0);
                format!("{sign}{feet} ft {inches} in")
            }
        }
    }
}

/// A speed.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
pub struct Speed {
    metres_a_second: f64,
}

impl Speed {
    /// So many of a unit.
    pub fn of(value: f64, unit: SpeedUnit) -> Speed {
        Speed {
            metres_a_second: value * unit.metres_a_second(),
        }
    }

    /// So many miles an hour.
    pub fn miles_an_hour(value: f64) -> Speed {
        Speed::of(value, SpeedUnit::Mph)
    }

    /// In a unit.
    pub fn in_unit(self, unit: SpeedUnit) -> f64 {
        self.metres_a_second / unit.metres_a_second()
    }

    /// In miles an hour, the unit of the set-up's fields.
    pub fn mph(self) -> f64 {
        self.in_unit(SpeedUnit::Mph)
    }

    /// In metres a second.
    pub fn m_s(self) -> f64 {
        self.metres_a_second
    }

    /// As it is shown: "64.3 mph" or "103.5 km/h", to a tenth.
    /// [`crate::read_speed`] reads it back.
    pub fn shown(self, system: UnitSystem) -> String {
        let (unit, name) = match system {
            UnitSystem::Imperial => (SpeedUnit::Mph, "mph"),
            UnitSystem::Metric => (SpeedUnit::KmH, "km/h"),
        };
        match self.in_unit(unit) {
            value if value.is_finite() => format!("{:.1} {name}", no_minus_zero(value, 10.0)),
            _ => "?".to_owned(),
        }
    }
}

/// A value that would be shown as "-0.0" is 0.
fn no_minus_zero(value: f64, places: f64) -> f64 {
    if (value * places).round() == 0.0 {
        return 0.0;
    }
    value
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_rubber_distance_is_shown_in_both_systems() {
        let rubber = Length::feet(60.5);
        assert_eq!(rubber.shown(UnitSystem::Imperial), "60 ft 6 in");
        assert_eq!(rubber.shown(UnitSystem::Metric), "18.44 m");
        assert!((rubber.m() - 18.4404).abs() < 1e-12);
    }

    #[test]
    fn twelve_inches_are_a_foot_and_minus_nothing_is_nothing() {
        assert_eq!(
            Length::feet(38.999).shown(UnitSystem::Imperial),
            "39 ft 0 in"
        );
        assert_eq!(
            Length::feet(-0.89).shown(UnitSystem::Imperial),
            "-0 ft 11 in"
        );
        assert_eq!(
            Length::feet(-0.001).shown(UnitSystem::Imperial),
            "0 ft 0 in"
        );
        assert_eq!(Length::feet(-0.001).shown(UnitSystem::Metric), "0.00 m");
        assert_eq!(
            Speed::miles_an_hour(-0.01).shown(UnitSystem::Imperial),
            "0.0 mph"
        );
    }

    #[test]
    fn a_hundred_kilometres_an_hour_are_62_1_mph() {
        let speed = Speed::of(100.0, SpeedUnit::KmH);
        assert_eq!(speed.shown(UnitSystem::Imperial), "62.1 mph");
        assert_eq!(speed.shown(UnitSystem::Metric), "100.0 km/h");
        assert!((speed.m_s() - 27.777_777_8).abs() < 1e-6);
        assert!((speed.in_unit(SpeedUnit::FootSecond) - 91.134).abs() < 1e-3);
    }

    #[test]
    fn what_is_no_number_is_shown_as_a_question() {
        assert_eq!(Length::feet(f64::NAN).shown(UnitSystem::Imperial), "?");
        assert_eq!(
            Speed::miles_an_hour(f64::INFINITY).shown(UnitSystem::Metric),
            "?"
        );
    }
}
