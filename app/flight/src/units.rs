//! Conversions between the units of the trade (feet, miles an hour, turns a
//! minute, ounces) and those of the physics (SI). Nothing else.
//!
//! All are plain products, so a value that is not finite stays so.

use std::f64::consts::PI;

/// Metres in a foot. Exact: international yard and pound agreement, 1959.
pub const FOOT_M: f64 = 0.3048;
/// Metres in an inch. Exact: a twelfth of the foot of the same agreement.
pub const INCH_M: f64 = 0.0254;
/// Metres in a mile. Exact: 5,280 feet of the same agreement.
pub const MILE_M: f64 = 1609.344;
/// Kilograms in an avoirdupois ounce. Exact: a sixteenth of the pound of the
/// same agreement, 0.45359237 kg.
pub const OUNCE_KG: f64 = 0.028_349_523_125;
/// Metres a second in a mile an hour. Exact: 1609.344 / 3600.
pub const MPH_M_S: f64 = MILE_M / 3600.0;
/// Radians a second in a turn a minute.
pub const RPM_RAD_S: f64 = PI / 30.0;

/// Feet to metres.
pub fn ft_to_m(ft: f64) -> f64 {
    ft * FOOT_M
}

/// Metres to feet.
pub fn m_to_ft(m: f64) -> f64 {
    m / FOOT_M
}

/// Inches to metres.
pub fn in_to_m(inches: f64) -> f64 {
    inches * INCH_M
}

/// Metres to inches.
pub fn m_to_in(m: f64) -> f64 {
    m / INCH_M
}

/// Miles an hour to metres a second.
pub fn mph_to_m_s(mph: f64) -> f64 {
    mph * MPH_M_S
}

/// Metres a second to miles an hour.
pub fn m_s_to_mph(m_s: f64) -> f64 {
    m_s / MPH_M_S
}

/// Ounces (avoirdupois) to kilograms.
pub fn oz_to_kg(oz: f64) -> f64 {
    oz * OUNCE_KG
}

/// Kilograms to ounces (avoirdupois).
pub fn kg_to_oz(kg: f64) -> f64 {
    kg / OUNCE_KG
}

/// Turns a minute to radians a second.
pub fn rpm_to_rad_s(rpm: f64) -> f64 {
    rpm * RPM_RAD_S
}

/// Radians a second to turns a minute.
pub fn rad_s_to_rpm(rad_s: f64) -> f64 {
    rad_s / RPM_RAD_S
}

/// Degrees to radians.
pub fn deg_to_rad(deg: f64) -> f64 {
    deg.to_radians()
}

/// Radians to degrees.
pub fn rad_to_deg(rad: f64) -> f64 {
    rad.to_degrees()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_rubber_distance_in_metres_is_the_published_one() {
        // World rule books print 18.44 m for 60 ft 6 in (rounded).
        assert!((ft_to_m(60.5) - 18.44).abs() < 0.001);
    }

    #[test]
    fn a_mile_an_hour_is_exactly_0_44704_metres_a_second() {
        assert!((mph_to_m_s(1.0) - 0.447_04).abs() < 1e-15);
    }

    #[test]
    fn sixty_turns_a_minute_are_one_turn_a_second() {
        assert!((rpm_to_rad_s(60.0) - 2.0 * PI).abs() < 1e-14);
    }

    #[test]
    fn every_conversion_is_undone_by_its_twin() {
        let value = 12.345_678;
        for back in [
            m_to_ft(ft_to_m(value)),
            m_to_in(in_to_m(value)),
            m_s_to_mph(mph_to_m_s(value)),
            kg_to_oz(oz_to_kg(value)),
            rad_s_to_rpm(rpm_to_rad_s(value)),
            rad_to_deg(deg_to_rad(value)),
        ] {
            assert!((back - value).abs() < 1e-12);
        }
    }

    #[test]
    fn sixteen_ounces_are_one_pound() {
        assert!((oz_to_kg(16.0) - 0.453_592_37).abs() < 1e-15);
    }
}
