//! The standard atmosphere against the PyPI package `ambiance` and against
//! published tables; moist air against CoolProp and a published short formula.

use flight::{Air, Weather};
use reference::{
    ambiance_altitudes, coolprop_moist_air, read_altitudes, read_moist_air, run_script,
};

fn density_at(altitude_m: f64) -> f64 {
    Air::standard_at(altitude_m)
        .expect("an altitude of a ball field")
        .density_kg_m3
}

#[test]
fn density_is_that_of_the_published_tables() {
    // Source of the first: ISO 2533, quoted in design.md. Source of the rest:
    // U.S. Standard Atmosphere 1976, tables by geometric altitude, which is
    // the same as ISO 2533 here; from memory, all digits given must agree.
    for (altitude_m, published) in [
        (0.0, 1.225),
        (1000.0, 1.1117),
        (2000.0, 1.0066),
        (3000.0, 0.90925),
        (5000.0, 0.73643),
    ] {
        let ours = density_at(altitude_m);
        assert!(
            (ours / published - 1.0).abs() < 5e-5,
            "{altitude_m}: {ours}"
        );
    }
}

#[test]
fn density_is_that_of_ambiance() {
    // Source: ambiance_air.json, made by ambiance_air.py. It starts from the
    // pressure at the foot of each layer as printed, to six figures; from this
    // comes a difference of up to 3e-7.
    let table = ambiance_altitudes();
    assert!(table.len() >= 20);
    for line in table {
        let ours = density_at(line.altitude_m);
        assert!(
            (ours / line.density_kg_m3 - 1.0).abs() < 1e-6,
            "{line:?} {ours}"
        );
    }
}

#[test]
fn ambiance_still_makes_the_kept_table() {
    let Some(json) = run_script("ambiance_air.py", "ambiance") else {
        return;
    };
    let (kept, made) = (ambiance_altitudes(), read_altitudes(&json));
    assert_eq!(kept.len(), made.len());
    for (kept, made) in kept.iter().zip(&made) {
        assert_eq!(kept.altitude_m, made.altitude_m);
        assert!((kept.density_kg_m3 / made.density_kg_m3 - 1.0).abs() < 1e-9);
        assert!((kept.pressure_pa / made.pressure_pa - 1.0).abs() < 1e-9);
    }
}

#[test]
fn without_a_barometer_the_pressure_is_that_of_ambiance() {
    // Source and error as above.
    for line in ambiance_altitudes() {
        let weather = Weather {
            altitude_m: line.altitude_m,
            ..Weather::default()
        };
        let ours = weather.pressure_pa();
        assert!(
            (ours / line.pressure_pa - 1.0).abs() < 1e-6,
            "{line:?} {ours}"
        );
    }
}

fn moist_density(temperature_c: f64, humidity_percent: f64, pressure_pa: f64) -> f64 {
    let weather = Weather {
        altitude_m: 0.0,
        temperature_c,
        humidity_percent,
        pressure_pa: Some(pressure_pa),
    };
    Air::of(&weather).expect("a reading in range").density_kg_m3
}

#[test]
fn moist_air_is_as_dense_as_coolprop_says() {
    // Source: coolprop_moist_air.json, made by coolprop_moist_air.py from the
    // equations of ASHRAE RP-1485, which share nothing with CIPM-2007. Its air
    // holds the argon and carbon dioxide of an older day (7e-5 of the density).
    let table = coolprop_moist_air();
    assert!(table.len() >= 100);
    let mut worst: f64 = 0.0;
    for line in &table {
        let ours = moist_density(line.temperature_c, line.humidity_percent, line.pressure_pa);
        let off = (ours / line.density_kg_m3 - 1.0).abs();
        assert!(off < 2e-4, "{line:?} {ours}");
        worst = worst.max(off);
    }
    println!(
        "moist air against CoolProp, {} cases: worst {worst:.1e}",
        table.len()
    );
}

#[test]
fn moist_air_is_as_dense_as_the_short_formula_for_weights_says() {
    // Source: OIML R 111-1 (2004), E.3-1, an approximation of the CIPM formula
    // said to hold within 2e-4 for 900 to 1,100 hPa, 10 to 30 C and below 80
    // percent; from memory.
    for celsius in [10.0, 15.0, 20.0, 25.0, 30.0_f64] {
        for percent in [0.0, 20.0, 50.0, 79.0] {
            for hpa in [900.0, 1000.0, 1013.25, 1090.0] {
                let short = (0.348_48 * hpa - 0.009 * percent * (0.061 * celsius).exp())
                    / (273.15 + celsius);
                let ours = moist_density(celsius, percent, 100.0 * hpa);
                assert!(
                    (ours / short - 1.0).abs() < 3e-4,
                    "{celsius} {percent} {hpa}: {ours}"
                );
            }
        }
    }
}

#[test]
fn coolprop_still_makes_the_kept_table() {
    let Some(json) = run_script("coolprop_moist_air.py", "CoolProp") else {
        return;
    };
    let (kept, made) = (coolprop_moist_air(), read_moist_air(&json));
    assert_eq!(kept.len(), made.len());
    for (kept, made) in kept.iter().zip(&made) {
        assert_eq!(kept.temperature_c, made.temperature_c);
        assert!((kept.density_kg_m3 / made.density_kg_m3 - 1.0).abs() < 1e-7);
    }
}
