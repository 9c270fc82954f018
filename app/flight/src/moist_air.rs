//! Density of moist air by the formula CIPM-2007.
//!
//! Source: Picard, Davis, Glaser, Fujii, "Revised formula for the density of
//! moist air (CIPM-2007)", Metrologia 45, 149, 2008. The constants are typed
//! from public implementations of it, which agree with one another.
//!
//! Error: 2.2e-5 relative for the formula itself inside 15 to 27 C and 600 to
//! 1,100 hPa (stated by the source). A ball field is often colder or warmer:
//! from -10 to 45 C it stays within 2e-4 of an equation made apart from it
//! (CoolProp, ASHRAE RP-1485; `tests/reference` measures it), which is far less
//! than what a thermometer in the sun is off.

/// Molar mass of dry air with 400 parts of carbon dioxide in a million, kg/mol.
const DRY_AIR_KG_MOL: f64 = 0.028_965_46;
/// Molar mass of water, kg/mol.
const WATER_KG_MOL: f64 = 0.018_015_28;
/// Molar gas constant as the formula takes it (CODATA 2006), J/(mol K).
const GAS_CONSTANT_J_MOL_K: f64 = 8.314_472;
/// Kelvin at 0 degrees Celsius.
pub(crate) const ZERO_CELSIUS_K: f64 = 273.15;

/// Pressure of saturated water vapour, Pa, at a temperature, C.
fn saturation_pa(celsius: f64) -> f64 {
    let kelvin = celsius + ZERO_CELSIUS_K;
    (1.237_884_7e-5 * kelvin * kelvin - 1.912_131_6e-2 * kelvin + 33.937_110_47
        - 6.343_164_5e3 / kelvin)
        .exp()
}

/// How much more vapour air holds than an empty space, without unit.
fn enhancement(celsius: f64, pressure_pa: f64) -> f64 {
    1.000_62 + 3.14e-8 * pressure_pa + 5.6e-7 * celsius * celsius
}

/// Compressibility of air with a mole fraction of vapour, without unit.
fn compressibility(celsius: f64, pressure_pa: f64, vapour: f64) -> f64 {
    let t = celsius;
    let by_kelvin = pressure_pa / (t + ZERO_CELSIUS_K);
    let first = 1.581_23e-6 - 2.933_1e-8 * t
        + 1.104_3e-10 * t * t
        + (5.707e-6 - 2.051e-8 * t) * vapour
        + (1.989_8e-4 - 2.376e-6 * t) * vapour * vapour;
    let second = 1.83e-11 - 0.765e-8 * vapour * vapour;
    1.0 - by_kelvin * first + by_kelvin * by_kelvin * second
}

/// Density of moist air, kg/m3, from temperature, C, pressure, Pa, and
/// relative humidity, 0 to 1.
pub(crate) fn density_kg_m3(celsius: f64, pressure_pa: f64, humidity: f64) -> f64 {
    let vapour =
        humidity * enhancement(celsius, pressure_pa) * saturation_pa(celsius) / pressure_pa;
    let kelvin = celsius + ZERO_CELSIUS_K;
    let ideal = pressure_pa * DRY_AIR_KG_MOL / (GAS_CONSTANT_J_MOL_K * kelvin);
    ideal * (1.0 - vapour * (1.0 - WATER_KG_MOL / DRY_AIR_KG_MOL))
        / compressibility(celsius, pressure_pa, vapour)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn saturated_vapour_has_the_pressure_of_the_steam_tables() {
        // 2.339 kPa at 20 C and 611.7 Pa at 0.01 C (triple point): steam
        // tables, from memory.
        assert!((saturation_pa(20.0) - 2339.0).abs() < 1.5);
        assert!((saturation_pa(0.01) - 611.7).abs() < 1.0);
    }

    #[test]
    fn air_with_more_vapour_is_lighter() {
        let at = |humidity| density_kg_m3(30.0, 101_325.0, humidity);
        assert!(at(0.0) > at(0.5) && at(0.5) > at(1.0));
    }
}
