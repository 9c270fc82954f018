//! The air the ball flies through: its density, given or by the standard
//! atmosphere. The air of a day's weather is in `weather`.

use crate::atmosphere::{self, GAS_CONSTANT_J_KG_K};
use crate::range::{Field, RangeError, check};

/// The air, as far as the flight feels it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Air {
    /// Density, kg/m3. Must be finite and not negative; 0 is a vacuum.
    pub density_kg_m3: f64,
}

impl Air {
    /// The air of the design's reference pitch, 1.2 kg/m3: near sea level on
    /// a mild day. Source: design values of this project.
    pub const MILD_DAY: Air = Air { density_kg_m3: 1.2 };

    /// Dry air of the ISO 2533 standard atmosphere at a geometric altitude
    /// above sea level, in metres.
    ///
    /// Errors when the altitude is outside [`crate::allowed`]`(Field::Altitude)`,
    /// which stays far inside the lowest layer the formula holds for.
    /// Source: ISO 2533:1975, formulae for the layer up to 11 km.
    pub fn standard_at(altitude_m: f64) -> Result<Air, RangeError> {
        check(Field::Altitude, altitude_m)?;
        let temperature_k = atmosphere::temperature_k(altitude_m);
        Ok(Air {
            density_kg_m3: atmosphere::pressure_pa(altitude_m)
                / (GAS_CONSTANT_J_KG_K * temperature_k),
        })
    }
}

impl Default for Air {
    fn default() -> Self {
        Air::MILD_DAY
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sea_level_air_is_1_225_kilograms_a_cubic_metre() {
        // ISO 2533: 1.225 kg/m3 at sea level and 15 C.
        let air = Air::standard_at(0.0).unwrap();
        assert!((air.density_kg_m3 - 1.225).abs() < 1e-5);
    }

    #[test]
    fn air_thins_with_every_metre_of_altitude() {
        let mut last = f64::INFINITY;
        for altitude_m in (-500..=5000).step_by(10) {
            let density = Air::standard_at(f64::from(altitude_m))
                .unwrap()
                .density_kg_m3;
            assert!(density < last);
            last = density;
        }
    }

    #[test]
    fn an_altitude_that_is_no_field_is_refused_with_its_range() {
        for bad in [f64::NAN, f64::INFINITY, -501.0, 5001.0, 1e300] {
            let error = Air::standard_at(bad).unwrap_err();
            assert_eq!(error.field, Field::Altitude);
            assert_eq!((error.min, error.max, error.unit), (-500.0, 5000.0, "m"));
        }
    }
}
