//! What is said in the trade, our numbers beside it, and why they differ.

use crate::parts::{group, line, live, speed, table, tape};
use crate::words::fixed;
use flight::{Air, Flight, GamePitch, LEVELS, Machine, MachineSetting, find_set_up, stands_for};
use leptos::prelude::*;

/// Distance at which the trade's figures are given, ft.
const NEAR_FT: f64 = 39.0;
/// Backspin of a machine that nothing is known of, rpm (common practice).
const MACHINE_RPM: f64 = 1500.0;

pub fn view() -> AnyView {
    group(vec![
        live(beside),
        line("line", WHY),
        line("source", SOURCE),
    ])
}

const WHY: &str = "Why they differ: a ratio of distances takes the whole rubber distance, but the \
                   ball is let go 5 to 6 ft in front of it; and a slower ball loses speed and \
                   drops more on its way. On the sight line the angle is too steep, so to match \
                   it the machine must stand lower.";

const SOURCE: &str = "Said in the trade: common practice, no source. Ours: adult baseball, release \
                      at 55 ft, drag coefficient 0.35, air 1.2 kg/m³, machine with 1,500 rpm of \
                      backspin.";

fn beside() -> AnyView {
    let level = &LEVELS[0];
    let flight = level.flight(Air::MILD_DAY);
    let game = level.game_pitch();
    let rubber_ft = level.rubber_to_plate_ft;
    let from_39 = |said_mph: f64, machine_mph: f64| {
        let ours = pitch_of(&flight, &game, machine_mph).map_or("?".to_owned(), speed);
        vec![
            format!("{} from {} is", speed(machine_mph), tape(NEAR_FT)),
            speed(said_mph),
            ours,
            speed(machine_mph * rubber_ft / NEAR_FT),
        ]
    };
    let sight = find_set_up(
        &flight,
        &game,
        &Machine {
            distance_ft: NEAR_FT,
            backspin_rpm: MACHINE_RPM,
        },
    );
    let (stand_for, steeper) = match &sight {
        Ok(found) => (
            speed(found.speed_mph),
            format!("{}° steep", fixed(found.leftover().descent_deg, 1)),
        ),
        Err(_) => ("?".to_owned(), "?".to_owned()),
    };
    let rows = vec![
        from_39(92.0, 62.0),
        from_39(88.0, 57.0),
        vec![
            format!("For {} from {}", speed(game.speed_mph), tape(NEAR_FT)),
            speed(62.0),
            stand_for,
            speed(game.speed_mph * NEAR_FT / rubber_ft),
        ],
        vec![
            "Angle from the sight line".to_owned(),
            "right".to_owned(),
            steeper,
            "\u{2013}".to_owned(),
        ],
    ];
    table("", &["", "Said", "Ours", "By ratio"], rows)
}

/// The game speed that a machine on the sight line stands for, mph.
fn pitch_of(flight: &Flight, game: &GamePitch, machine_mph: f64) -> Option<f64> {
    let share = NEAR_FT / game.release.distance_ft;
    let rise_ft = game.release.height_ft - game.target_height_ft;
    let machine = MachineSetting {
        distance_ft: NEAR_FT,
        height_ft: game.target_height_ft + share * rise_ft,
        side_ft: share * game.release.side_ft,
        speed_mph: machine_mph,
        backspin_rpm: MACHINE_RPM,
    };
    let found = stands_for(
        flight,
        &game.release,
        game.target_height_ft,
        game.backspin_rpm,
        &machine,
    );
    found.ok().map(|found| found.game_speed_mph)
}
