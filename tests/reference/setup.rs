//! The set-up search against facts of the trade, the numbers of our own
//! issues, and its own inverse.

use flight::{
    Air, Flight, GamePitch, LEVELS, Machine, MachineSetting, SetUp, SetUpError, find_set_up, level,
    stands_for,
};
use proptest::prelude::*;

/// A common machine: its distance by common practice, its spin from our issue
/// on the set-up search.
const MACHINE: Machine = Machine {
    distance_ft: 39.0,
    backspin_rpm: 1500.0,
};

/// Adult baseball: release 55 ft from the plate, 6 ft high, 1.25 ft to the
/// side (common practice, no source: about 6 ft, 54 to 55 ft, 1 to 1.5 ft).
fn adult_pitch() -> GamePitch {
    level("baseball-adult").expect("a level").game_pitch()
}

fn adult_set_up() -> SetUp {
    find_set_up(&Flight::default(), &adult_pitch(), &MACHINE).expect("a set-up")
}

/// The machine as the coach sees it stand: on the sight line at 39 ft.
fn machine_at(speed_mph: f64) -> MachineSetting {
    let set_up = adult_set_up();
    MachineSetting {
        distance_ft: set_up.distance_ft,
        height_ft: set_up.height_ft,
        side_ft: set_up.side_ft,
        speed_mph,
        backspin_rpm: MACHINE.backspin_rpm,
    }
}

fn stands_for_mph(speed_mph: f64) -> f64 {
    let pitch = adult_pitch();
    stands_for(
        &Flight::default(),
        &pitch.release,
        pitch.target_height_ft,
        pitch.backspin_rpm,
        &machine_at(speed_mph),
    )
    .expect("a game pitch")
    .game_speed_mph
}

#[test]
fn the_sight_line_at_39_feet_passes_a_tall_machine() {
    // Source: common practice, no source: a tall machine lets go of the ball
    // near 5 ft. Allowed: 8 percent.
    let (ours_ft, said_ft) = (adult_set_up().height_ft, 5.0);
    println!("height on the sight line at 39 ft: ours {ours_ft:.2} ft, said about {said_ft} ft");
    assert!((ours_ft / said_ft - 1.0).abs() < 0.08);
}

/// What the trade says a machine at 39 ft stands for, beside our numbers.
///
/// Why they differ. The trade's rule of thumb scales the speed by the full
/// rubber distance, 60.5 / 39. But a pitcher lets go of the ball near 55 ft,
/// and the hitter's clock starts there: the ratio of the flights is 55 / 39,
/// which asks for more machine speed and so makes a given machine speed stand
/// for less. Drag takes a little more from the faster, longer flight and gives
/// a part of that back. The two sayings do not agree with one another either:
/// by one ratio 62 and 57 mph would stand for 96 and 88, or for 92 and 85.
#[test]
fn what_the_trade_says_a_machine_stands_for_is_within_8_percent_of_ours() {
    // Source of `said_mph`: common practice, no source. Source of
    // `issue_mph`: our issue on the first screen, by its own computation.
    let facts = [(62.0, 92.0, 88.8), (57.0, 88.0, 81.6)];
    println!("machine at 39 ft | said | full-distance ratio | equal time from 55 ft (ours)");
    for (machine_mph, said_mph, issue_mph) in facts {
        let ratio_mph = machine_mph * 60.5 / MACHINE.distance_ft;
        let ours_mph = stands_for_mph(machine_mph);
        println!(
            "{machine_mph:>12} mph | {said_mph:>4} | {ratio_mph:>19.1} | {ours_mph:.1} ({:+.1} %)",
            100.0 * (ours_mph / said_mph - 1.0)
        );
        assert!((ours_mph / said_mph - 1.0).abs() < 0.08);
        assert!((ratio_mph / said_mph - 1.0).abs() < 0.08);
        assert!((ours_mph - issue_mph).abs() < 0.05, "{ours_mph}");
        // The reason given above: our number lies below the ratio's.
        assert!(ours_mph < ratio_mph);
    }
}

#[test]
fn a_92_mph_pitch_asks_for_64_2_mph_from_39_feet() {
    // Source of 64.2: our issue on the first screen. Source of 62: common
    // practice, no source; allowed 8 percent, for the reason above.
    let (ours_mph, said_mph) = (adult_set_up().speed_mph, 62.0);
    println!("to stand for 92 mph from 39 ft: ours {ours_mph:.1} mph, said {said_mph} mph");
    assert!((ours_mph - 64.2).abs() < 0.05, "{ours_mph}");
    assert!((ours_mph / said_mph - 1.0).abs() < 0.08);
}

#[test]
fn the_side_offset_at_39_feet_is_that_of_the_sight_line() {
    // Source: our issue on the set-up search: 39/55 of 1.25 ft is 0.89 ft. A
    // right-handed pitcher stands on the third-base side, negative x.
    assert!((adult_set_up().side_ft + 0.89).abs() < 0.005);
}

#[test]
fn on_the_sight_line_the_slower_ball_comes_in_steeper() {
    // Source: our issue on the set-up search says "about 1.6 degrees" without
    // naming the machine's spin. Ours is 1.8 with 1,500 rpm and 1.5 with the
    // game's 2,200 rpm, so the figure lies between the two.
    let steeper_deg = |backspin_rpm| {
        let machine = Machine {
            backspin_rpm,
            ..MACHINE
        };
        find_set_up(&Flight::default(), &adult_pitch(), &machine)
            .expect("a set-up")
            .leftover()
            .descent_deg
    };
    let (less_spin_deg, game_spin_deg) = (steeper_deg(1500.0), steeper_deg(2200.0));
    println!("steeper by {less_spin_deg:.2} deg (1,500 rpm), {game_spin_deg:.2} deg (2,200 rpm)");
    assert!(game_spin_deg < 1.6 && 1.6 < less_spin_deg);
    assert!(less_spin_deg - game_spin_deg < 0.5);
}

proptest! {
    // The failing case is printed; this crate keeps no files of seeds.
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_set_up_for_a_pitch_stands_for_that_pitch(
        index in 0..LEVELS.len(),
        share_of_speed in 0.8..1.15,
        share_of_distance in 0.45..=1.0,
        game_backspin_rpm in -1500.0..2800.0,
        machine_backspin_rpm in -500.0..2000.0,
        altitude_m in 0.0..2500.0,
        left_handed in any::<bool>(),
    ) {
        let level = &LEVELS[index];
        let flight = level.flight(Air::standard_at(altitude_m).unwrap());
        let release = if left_handed {
            level.release.mirrored()
        } else {
            level.release
        };
        let game = GamePitch {
            speed_mph: share_of_speed * level.speed_mph,
            release,
            backspin_rpm: game_backspin_rpm,
            ..level.game_pitch()
        };
        let machine = Machine {
            distance_ft: share_of_distance * release.distance_ft,
            backspin_rpm: machine_backspin_rpm,
        };
        let set_up = match find_set_up(&flight, &game, &machine) {
            Ok(set_up) => set_up,
            // A slow pitch from close by can ask for less than 20 mph.
            Err(SetUpError::NoSpeed { nearest_mph, .. }) => {
                prop_assert!(nearest_mph < 30.0);
                return Err(TestCaseError::reject("slower than any machine"));
            }
            Err(other) => return Err(TestCaseError::fail(other.to_string())),
        };
        let standing = stands_for(
            &flight,
            &release,
            game.target_height_ft,
            game.backspin_rpm,
            &MachineSetting {
                distance_ft: set_up.distance_ft,
                height_ft: set_up.height_ft,
                side_ft: set_up.side_ft,
                speed_mph: set_up.speed_mph,
                backspin_rpm: machine.backspin_rpm,
            },
        )
        .unwrap();
        prop_assert!((standing.game_speed_mph - game.speed_mph).abs() < 1e-6);
        prop_assert!((standing.game.time_s - set_up.game.time_s).abs() < 1e-9);
        let (there, back) = (set_up.leftover(), standing.leftover());
        prop_assert!((there.descent_deg - back.descent_deg).abs() < 1e-6);
    }
}
