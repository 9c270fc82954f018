//! The flight against SciPy's DOP853: the reference pitches of design.md, and
//! a table of random pitches kept beside this file.

use flight::units::{ft_to_m, mph_to_m_s, rad_to_deg};
use flight::{Aimed, Air, Drag, Flight, Lift};
use reference::{Miss, Pitch, read_pitches, run_script, scipy_pitches};

/// Asserts that `ours` rounds to a value printed with some decimals.
fn assert_prints_as(ours: f64, printed: &str) {
    let decimals = printed.split_once('.').map_or(0, |(_, after)| after.len());
    assert_eq!(format!("{ours:.decimals$}"), printed);
}

fn aimed_from_the_mound(flight: &Flight, speed_mph: f64, backspin_rpm: f64, side_ft: f64) -> Aimed {
    let from_m = [side_ft, 55.0, 6.0].map(ft_to_m);
    let target_m = [0.0, 0.0, ft_to_m(2.5)];
    flight
        .aim(from_m, mph_to_m_s(speed_mph), backspin_rpm, target_m)
        .expect("a pitch reaches the plate")
}

#[test]
fn the_92_mph_pitch_of_the_design_arrives_as_dop853_says() {
    // Source: design.md, "Solver cross-check" (SciPy solve_ivp, DOP853, rtol
    // 1e-10). All printed digits must agree, which is 1e-5 to 4e-5 relative.
    let aimed = aimed_from_the_mound(&Flight::default(), 92.0, 2200.0, -1.25);
    assert_prints_as(aimed.arrival.time_s, "0.42923");
    assert_prints_as(aimed.arrival.speed_mph(), "83.502");
    assert_prints_as(rad_to_deg(aimed.arrival.descent_rad()), "4.9265");
    assert_prints_as(rad_to_deg(aimed.arrival.side_angle_rad()), "1.2989");
    assert_prints_as(rad_to_deg(aimed.down_rad), "2.5154");
}

#[test]
fn the_90_mph_throw_without_air_takes_the_time_of_the_design() {
    // Source: design.md, no drag and no spin.
    let vacuum = Flight {
        drag: Drag::Constant(0.0),
        lift: Lift::None,
        ..Flight::default()
    };
    let aimed = aimed_from_the_mound(&vacuum, 90.0, 0.0, 0.0);
    assert_prints_as(aimed.arrival.time_s, "0.41670");
    // Taking the air away is the same as taking its forces away.
    let airless = Flight {
        air: Air { density_kg_m3: 0.0 },
        ..Flight::default()
    };
    let same = aimed_from_the_mound(&airless, 90.0, 2200.0, 0.0);
    assert!((same.arrival.time_s - aimed.arrival.time_s).abs() < 1e-12);
}

#[test]
fn random_pitches_arrive_as_dop853_says() {
    // Source: scipy_flight.json, made by scipy_flight.py. Limits: the budget
    // of design.md (1e-6 relative in time and speed) and 0.1 mm.
    let pitches = scipy_pitches();
    assert!(pitches.len() >= 200);
    let mut worst = Miss::default();
    for pitch in &pitches {
        let miss = pitch.miss().expect("a pitch of the table flies");
        assert!(miss.time_rel < 1e-6, "{}: {miss:?}", pitch.id);
        assert!(miss.speed_rel < 1e-6, "{}: {miss:?}", pitch.id);
        assert!(miss.velocity_rel < 1e-6, "{}: {miss:?}", pitch.id);
        assert!(miss.position_mm < 0.1, "{}: {miss:?}", pitch.id);
        worst = worst.worst(miss);
    }
    println!("worst over {} pitches: {worst:?}", pitches.len());
}

#[test]
fn the_table_covers_what_can_go_wrong() {
    let pitches = scipy_pitches();
    let count = |is: fn(&Pitch) -> bool| pitches.iter().filter(|pitch| is(pitch)).count();
    assert!(count(|pitch| pitch.id.ends_with("baseball")) >= 50);
    assert!(count(|pitch| pitch.id.contains("softball 12")) >= 20);
    assert!(count(|pitch| pitch.id.contains("softball 11")) >= 20);
    // The spin parameter passes 0.1, the bend of the lift law, on the way.
    assert!(count(Pitch::passes_the_bend) >= 40);
    let density = |pitch: &Pitch| pitch.flight().air.density_kg_m3;
    let densities: Vec<f64> = pitches.iter().map(density).collect();
    // Sea level has 1.225 kg/m3, 2,000 m has 1.007 (ISO 2533).
    assert!(densities.iter().any(|density| *density > 1.21));
    assert!(densities.iter().any(|density| *density < 1.02));
}

#[test]
fn scipy_still_makes_the_kept_table() {
    let Some(json) = run_script("scipy_flight.py", "scipy") else {
        return;
    };
    let (kept, made) = (scipy_pitches(), read_pitches(&json));
    assert_eq!(kept.len(), made.len());
    for (kept, made) in kept.iter().zip(&made) {
        assert!(kept.same_as(made), "{kept:?}\n{made:?}");
    }
    println!("scipy_flight.py made the {} pitches again", made.len());
}
