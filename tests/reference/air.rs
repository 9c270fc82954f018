//! The standard atmosphere against the PyPI package `ambiance` and against
//! published tables.

use flight::Air;
use reference::{ambiance_altitudes, read_altitudes, run_script};

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
    }
}
