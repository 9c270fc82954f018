//! Random questions for the tests of the set-up search.

use flight::units::mph_to_m_s;
use flight::{
    Air, Flight, LEVELS, MachineModel, Pitch, Question, Release, Room, Scales, Span, Spin, Wheels,
};
use proptest::prelude::*;

/// A question, and a machine that answers it if one is known to.
#[derive(Debug, Clone)]
pub struct Case {
    pub question: Question,
    /// A set-up inside the limits that throws the very pitch.
    pub answer: Option<Answer>,
}

/// A set-up that throws the very pitch.
#[derive(Debug, Clone, Copy)]
pub struct Answer {
    pub distance_ft: f64,
    pub height_ft: f64,
    pub side_ft: f64,
    pub speed_mph: f64,
    pub spin: Spin,
}

/// Wheels of any kind, and a spin they can give at a speed.
fn any_wheels(speed_mph: f64, pick: usize, [a, b, c]: [f64; 3], flight: &Flight) -> (Wheels, Spin) {
    let wide = Span::new(-2500.0, 2500.0);
    match pick {
        0 => {
            let backspin_rpm = 2000.0 * a;
            (Wheels::Arm { backspin_rpm }, Spin::backspin(backspin_rpm))
        }
        1 => {
            let (tilt_deg, plate_slip) = (90.0 * a, 0.7 + 0.25 * b);
            // No slip: the ball's surface has (1 - slip) / (1 + slip) of its speed.
            let surface_m_s = mph_to_m_s(speed_mph) * (1.0 - plate_slip) / (1.0 + plate_slip);
            let rpm = surface_m_s / flight.ball.radius_m() * 30.0 / std::f64::consts::PI;
            let wheels = Wheels::One {
                tilt_deg,
                plate_slip,
            };
            (wheels, Spin::tilted(rpm, tilt_deg, 0.0))
        }
        2 => {
            let tilt_deg = 90.0 * a;
            let wheels = Wheels::Two {
                tilt_deg,
                spin_rpm: wide,
            };
            (wheels, Spin::tilted(2400.0 * b, tilt_deg, 0.0))
        }
        _ => {
            let wheels = Wheels::Three {
                backspin_rpm: wide,
                sidespin_rpm: wide,
            };
            let spin = Spin {
                backspin_rpm: 2400.0 * b,
                sidespin_rpm: 2400.0 * c,
                gyro_rpm: 0.0,
            };
            (wheels, spin)
        }
    }
}

/// A machine with random limits around a random set-up, and a pitch: the ball
/// of that set-up when `reachable`, else a game pitch of its level.
pub fn any_case(reachable: bool) -> impl Strategy<Value = Case> {
    let limits = prop::array::uniform8(0.0..1.0_f64);
    let place = prop::array::uniform4(0.0..1.0_f64);
    let spins = prop::array::uniform3(-1.0..1.0_f64);
    (
        0..LEVELS.len(),
        0..4_usize,
        0..3_usize,
        limits,
        place,
        spins,
    )
        .prop_map(move |(index, pick, dial, limits, place, spins)| {
            let level = &LEVELS[index];
            let flight = level.flight(Air::standard_at(2000.0 * limits[7]).expect("in range"));
            let share = 0.5 + 0.4 * place[0];
            let step_mph = [0.0, 1.0, 2.5][dial];
            // The slowest speed is a mark, and so is the answer's.
            let slowest_mph = 22.0 + 0.1 * (50.0 * place[3]).round();
            let wanted_mph = level.speed_mph * share * (0.95 + 0.1 * place[3]);
            let speed_mph = match step_mph {
                0.0 => wanted_mph.max(slowest_mph),
                step => slowest_mph + step * ((wanted_mph - slowest_mph) / step).round().max(0.0),
            };
            let (wheels, spin) = any_wheels(speed_mph, pick, spins, &flight);
            let answer = Answer {
                distance_ft: level.release.distance_ft * share,
                height_ft: 1.5 + 3.5 * place[1],
                side_ft: 4.0 * place[2] - 2.0,
                speed_mph,
                spin,
            };
            let around = |value: f64, down: f64, up: f64| Span::new(value - down, value + up);
            let machine = MachineModel {
                height_ft: around(answer.height_ft, limits[2], 2.0 * limits[3]),
                speed_mph: Span::new(slowest_mph, speed_mph + 20.0 * limits[4]),
                speed_step_mph: step_mph,
                wheels,
                feed_delay_s: 1.0,
                ball: flight.ball,
            };
            let room = Room {
                distance_ft: around(answer.distance_ft, 8.0 * limits[0], 6.0 * limits[1]),
                side_ft: around(answer.side_ft, 2.0 * limits[5], 2.0 * limits[6]),
            };
            let game: Pitch = level.game_pitch().into();
            let pitch = match reachable {
                true => Pitch {
                    speed_mph,
                    release: Release {
                        distance_ft: answer.distance_ft,
                        height_ft: answer.height_ft,
                        side_ft: answer.side_ft,
                    },
                    spin,
                    ..game
                },
                false => Pitch {
                    spin: Spin::tilted(1500.0 * (1.0 + spins[2]), -30.0, 0.2),
                    ..game
                },
            };
            let scales = Scales::default();
            Case {
                question: Question {
                    flight,
                    pitch,
                    machine,
                    room,
                    scales,
                },
                answer: reachable.then_some(answer),
            }
        })
}
