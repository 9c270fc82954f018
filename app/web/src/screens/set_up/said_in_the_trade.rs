//! What is said in the trade, our numbers beside it, and why they differ.

use crate::parts::{group, line, live, speed, table, tape};
use crate::words::fixed;
use flight::{
    Air, Flight, LEVELS, Level, MachineModel, Pitch, Placed, Question, Room, Scales, Solution,
    Span, Spin, USUAL_SWING_S, Wheels,
};
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
    let pitch: Pitch = level.game_pitch().into();
    let rubber_ft = level.rubber_to_plate_ft;
    let place = on_the_sight_line(&pitch);
    let from_39 = |said_mph: f64, machine_mph: f64| {
        let machine = Placed {
            speed_mph: machine_mph,
            ball: level.ball,
            ..place
        };
        let ours = machine.stands_for(&flight, &pitch, USUAL_SWING_S);
        vec![
            format!("{} from {} is", speed(machine_mph), tape(NEAR_FT)),
            speed(said_mph),
            ours.map_or("?".to_owned(), |ours| speed(ours.speed_mph)),
            speed(machine_mph * rubber_ft / NEAR_FT),
        ]
    };
    let (stand_for, steeper) = match equal_time(level, &flight, pitch, &place) {
        Some(found) => (
            speed(found.speed_mph),
            format!("{}° steep", fixed(found.leftover.descent_deg, 1)),
        ),
        None => ("?".to_owned(), "?".to_owned()),
    };
    let rows = vec![
        from_39(92.0, 62.0),
        from_39(88.0, 57.0),
        vec![
            format!("For {} from {}", speed(pitch.speed_mph), tape(NEAR_FT)),
            speed(62.0),
            stand_for,
            speed(pitch.speed_mph * NEAR_FT / rubber_ft),
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

/// A machine on the line from the pitcher's hand to the target.
fn on_the_sight_line(pitch: &Pitch) -> Placed {
    let release = pitch.release;
    let share = NEAR_FT / release.distance_ft;
    let rise_ft = release.height_ft - pitch.target_height_ft;
    Placed {
        distance_ft: NEAR_FT,
        height_ft: pitch.target_height_ft + share * rise_ft,
        side_ft: share * release.side_ft,
        speed_mph: pitch.speed_mph,
        spin: Spin::backspin(MACHINE_RPM),
        ball: flight::BASEBALL,
    }
}

/// The set-up at that place whose ball takes as long as the pitch, whatever its
/// angles.
fn equal_time(level: &Level, flight: &Flight, pitch: Pitch, place: &Placed) -> Option<Solution> {
    let asked = Question {
        flight: *flight,
        pitch,
        machine: MachineModel {
            height_ft: Span::only(place.height_ft),
            speed_step_mph: 0.0,
            wheels: Wheels::Arm {
                backspin_rpm: MACHINE_RPM,
            },
            ..level.usual_machine()
        },
        room: Room {
            distance_ft: Span::only(NEAR_FT),
            side_ft: Span::only(place.side_ft),
        },
        scales: Scales {
            descent_deg: f64::INFINITY,
            side_deg: f64::INFINITY,
            spin_rpm: f64::INFINITY,
            ..Scales::default()
        },
    };
    asked.best().ok()
}
