//! The standard atmosphere of ISO 2533: temperature and pressure by altitude,
//! for the lowest layer (up to 11 km), which holds every ball field.

use crate::flight::GRAVITY_M_S2;

/// Sea-level temperature, K. ISO 2533:1975, table of primary constants.
const SEA_LEVEL_TEMPERATURE_K: f64 = 288.15;
/// Sea-level pressure, Pa. ISO 2533:1975, table of primary constants.
const SEA_LEVEL_PRESSURE_PA: f64 = 101_325.0;
/// Specific gas constant of air, J/(kg K). ISO 2533:1975.
pub(crate) const GAS_CONSTANT_J_KG_K: f64 = 287.052_87;
/// Change of temperature with geopotential height in the lowest layer, K/m.
/// ISO 2533:1975.
const LAPSE_K_M: f64 = -0.006_5;
/// Nominal radius of the earth for geopotential height, m. ISO 2533:1975.
const EARTH_RADIUS_M: f64 = 6_356_766.0;

/// Temperature of the standard atmosphere, K, at a geometric altitude, m.
pub(crate) fn temperature_k(altitude_m: f64) -> f64 {
    let geopotential_m = EARTH_RADIUS_M * altitude_m / (EARTH_RADIUS_M + altitude_m);
    SEA_LEVEL_TEMPERATURE_K + LAPSE_K_M * geopotential_m
}

/// Pressure of the standard atmosphere, Pa, at a geometric altitude, m.
pub(crate) fn pressure_pa(altitude_m: f64) -> f64 {
    let exponent = -GRAVITY_M_S2 / (LAPSE_K_M * GAS_CONSTANT_J_KG_K);
    SEA_LEVEL_PRESSURE_PA * (temperature_k(altitude_m) / SEA_LEVEL_TEMPERATURE_K).powf(exponent)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_sea_has_the_primary_constants() {
        assert_eq!(temperature_k(0.0), 288.15);
        assert_eq!(pressure_pa(0.0), 101_325.0);
    }

    #[test]
    fn the_pressure_is_that_of_the_published_tables() {
        // U.S. Standard Atmosphere 1976 by geometric altitude, the same as ISO
        // 2533 here; from memory, all digits given must agree.
        for (altitude_m, published_pa) in [(1000.0, 89_876.0), (2000.0, 79_501.0)] {
            let ours_pa = pressure_pa(altitude_m);
            assert!((ours_pa - published_pa).abs() < 1.0, "{ours_pa}");
        }
    }
}
