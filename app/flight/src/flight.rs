//! Three-dimensional flight of a ball under gravity, drag and spin lift: what
//! goes in, what comes out, and the drawn path. The computing is in `march`,
//! the aim in `aim`.

use crate::air::Air;
use crate::ball::{BASEBALL, Ball};
use crate::drag::Drag;
use crate::error::FlightError;
use crate::lift::Lift;
use crate::march::March;
use crate::units::m_s_to_mph;

/// Standard acceleration of gravity, m/s2. ISO 2533 and the 3rd General
/// Conference on Weights and Measures, 1901.
pub const GRAVITY_M_S2: f64 = 9.806_65;

/// Most points of a drawn path.
const MOST_PATH_POINTS: usize = 10_000;

/// A ball in air, with the laws of its drag and lift.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Flight {
    /// The ball.
    pub ball: Ball,
    /// The air.
    pub air: Air,
    /// Its drag.
    pub drag: Drag,
    /// Its spin lift.
    pub lift: Lift,
}

impl Default for Flight {
    /// The design's reference: a baseball of middle size in air of 1.2 kg/m3,
    /// C_D 0.35, lift by Sawicki, Hubbard and Stronge.
    fn default() -> Self {
        Flight {
            ball: BASEBALL,
            air: Air::default(),
            drag: Drag::default(),
            lift: Lift::default(),
        }
    }
}

/// How a ball leaves the hand or the machine; axes of the crate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Launch {
    /// Middle of the ball at release, m.
    pub release_m: [f64; 3],
    /// Velocity at release, m/s.
    pub velocity_m_s: [f64; 3],
    /// Spin as a vector along its axis, right-hand rule, rad/s; it does not
    /// change in flight. Backspin of a pitch points along -x.
    pub spin_rad_s: [f64; 3],
}

/// How a ball arrives at the plane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Arrival {
    /// Time since release, s.
    pub time_s: f64,
    /// Middle of the ball, m.
    pub position_m: [f64; 3],
    /// Velocity, m/s.
    pub velocity_m_s: [f64; 3],
}

impl Arrival {
    /// Speed, m/s.
    pub fn speed_m_s(&self) -> f64 {
        length(self.velocity_m_s)
    }

    /// Speed, mph.
    pub fn speed_mph(&self) -> f64 {
        m_s_to_mph(self.speed_m_s())
    }

    /// Descent angle, rad; positive when the ball comes down.
    pub fn descent_rad(&self) -> f64 {
        down_rad(self.velocity_m_s)
    }

    /// Side angle, rad; positive when the ball moves toward +x (the
    /// first-base side).
    pub fn side_angle_rad(&self) -> f64 {
        side_rad(self.velocity_m_s)
    }
}

impl Flight {
    /// The same air and laws with another ball.
    pub fn with_ball(&self, ball: Ball) -> Flight {
        Flight { ball, ..*self }
    }

    /// Flies a ball to the plane `y = plane_y_m` (m), which must lie on the
    /// plate's side of the release.
    ///
    /// Errors: [`FlightError::Unusable`] for an input that is not finite or a
    /// ball without mass or size, [`FlightError::BehindPlane`],
    /// [`FlightError::NeverReaches`] when the ball turns back or takes longer
    /// than 20 s, [`FlightError::HitsGround`] when its middle comes below
    /// plate level first.
    pub fn fly(&self, launch: &Launch, plane_y_m: f64) -> Result<Arrival, FlightError> {
        let mut march = March::start(self, launch, plane_y_m)?;
        march.above_ground()?;
        while march.step(plane_y_m)? {
            march.above_ground()?;
        }
        march.above_ground()?;
        Ok(march.arrival())
    }

    /// As [`Flight::fly`], for a field without ground: never
    /// [`FlightError::HitsGround`]. For solvers on their way to an answer and
    /// for comparison with other programs.
    pub fn fly_through_ground(
        &self,
        launch: &Launch,
        plane_y_m: f64,
    ) -> Result<Arrival, FlightError> {
        let mut march = March::start(self, launch, plane_y_m)?;
        while march.step(plane_y_m)? {}
        Ok(march.arrival())
    }

    /// The flight as `points` places evenly spaced in `y` from the release to
    /// the plane, m, both included, for drawings.
    ///
    /// At least 2 and at most 10,000 points are made. The path ends early
    /// where the ball meets the ground (the last point lies there) or turns
    /// back, and is empty for a launch that cannot be flown at all.
    pub fn path(&self, launch: &Launch, plane_y_m: f64, points: usize) -> Vec<[f64; 3]> {
        let Ok(mut march) = March::start(self, launch, plane_y_m) else {
            return Vec::new();
        };
        if march.above_ground().is_err() {
            return Vec::new();
        }
        let last = points.clamp(2, MOST_PATH_POINTS) - 1;
        let [_, from_y_m, _] = launch.release_m;
        let mut path = vec![launch.release_m];
        for point in 1..=last {
            let share_left = (last - point) as f64 / last as f64;
            let to_y_m = plane_y_m + (from_y_m - plane_y_m) * share_left;
            while march.y_m > to_y_m {
                if march.step(to_y_m).is_err() {
                    return path;
                }
                if let Some((_, contact_m)) = march.ground_contact() {
                    path.push(contact_m);
                    return path;
                }
            }
            path.push(march.position_m());
        }
        path
    }
}

pub(crate) fn down_rad([_, vy, vz]: [f64; 3]) -> f64 {
    (-vz).atan2(-vy)
}

pub(crate) fn side_rad([vx, vy, _]: [f64; 3]) -> f64 {
    vx.atan2(-vy)
}

pub(crate) fn length([x, y, z]: [f64; 3]) -> f64 {
    (x * x + y * y + z * z).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn level_throw(speed_m_s: f64, height_m: f64) -> Launch {
        Launch {
            release_m: [0.0, 16.0, height_m],
            velocity_m_s: [0.0, -speed_m_s, 0.0],
            spin_rad_s: [0.0; 3],
        }
    }

    fn with(change: impl Fn(&mut Launch)) -> Launch {
        let mut launch = level_throw(40.0, 1.8);
        change(&mut launch);
        launch
    }

    #[test]
    fn backspin_holds_a_pitch_up_and_topspin_brings_it_down() {
        let height = |backspin_rad_s: f64| {
            let launch = with(|launch| launch.spin_rad_s = [-backspin_rad_s, 0.0, 0.0]);
            Flight::default().fly(&launch, 0.0).unwrap().position_m[2]
        };
        assert!(height(200.0) > height(0.0) && height(0.0) > height(-200.0));
    }

    #[test]
    fn sidespin_moves_a_pitch_to_the_side_its_front_turns_to() {
        // Seen from above, this ball turns from +x over -y to -x: its front,
        // on the plate's side, moves toward -x.
        let launch = with(|launch| launch.spin_rad_s = [0.0, 0.0, -200.0]);
        let arrival = Flight::default().fly(&launch, 0.0).unwrap();
        assert!(arrival.position_m[0] < -0.1 && arrival.side_angle_rad() < 0.0);
    }

    #[test]
    fn a_ball_that_comes_down_toward_first_base_has_both_angles_positive() {
        let arrival = Arrival {
            time_s: 0.4,
            position_m: [0.0; 3],
            velocity_m_s: [1.0, -40.0, -4.0],
        };
        assert!((arrival.descent_rad() - 0.1_f64.atan()).abs() < 1e-15);
        assert!((arrival.side_angle_rad() - 0.025_f64.atan()).abs() < 1e-15);
        assert!((arrival.speed_mph() - m_s_to_mph(1617_f64.sqrt())).abs() < 1e-12);
    }

    #[test]
    fn the_arrival_stands_on_the_plane_itself() {
        for plane_y_m in [0.0, 0.4318, 3.3] {
            let arrival = Flight::default().fly(&level_throw(40.0, 1.8), plane_y_m);
            assert_eq!(arrival.unwrap().position_m[1], plane_y_m);
        }
    }

    #[test]
    fn a_ball_thrown_away_from_the_plate_or_dropped_never_reaches_it() {
        for velocity_m_s in [[0.0, 30.0, 0.0], [0.0, 0.0, 5.0], [0.0; 3]] {
            let launch = with(|launch| launch.velocity_m_s = velocity_m_s);
            for flown in [
                Flight::default().fly(&launch, 0.0),
                Flight::default().fly_through_ground(&launch, 0.0),
            ] {
                assert!(matches!(flown, Err(FlightError::NeverReaches { .. })));
            }
        }
    }

    #[test]
    fn a_feather_light_ball_stops_short_of_the_plate() {
        let flight = Flight {
            ball: Ball {
                mass_kg: 1e-3,
                ..BASEBALL
            },
            ..Flight::default()
        };
        let flown = flight.fly_through_ground(&level_throw(40.0, 1.8), 0.0);
        let Err(FlightError::NeverReaches { nearest_y_m }) = flown else {
            panic!("{flown:?}");
        };
        assert!((8.0..15.0).contains(&nearest_y_m), "{nearest_y_m}");
    }

    #[test]
    fn a_ball_that_bounces_in_front_of_the_plate_is_told_where() {
        // Without air, a level throw from 1.2 m falls for sqrt(2 * 1.2 / g).
        let flight = Flight {
            air: Air { density_kg_m3: 0.0 },
            ..Flight::default()
        };
        let flown = flight.fly(&level_throw(20.0, 1.2), 0.0);
        let Err(FlightError::HitsGround { y_m, time_s }) = flown else {
            panic!("{flown:?}");
        };
        let falls_s = (2.0 * 1.2 / GRAVITY_M_S2).sqrt();
        assert!((time_s - falls_s).abs() < 1e-3, "{time_s} {falls_s}");
        assert!((y_m - (16.0 - 20.0 * falls_s)).abs() < 0.02, "{y_m}");
        // Where there is no ground, it flies on below.
        let below = flight.fly_through_ground(&level_throw(20.0, 1.2), 0.0);
        assert!(below.unwrap().position_m[2] < -1.0);
    }

    #[test]
    fn a_release_at_or_behind_the_plane_is_refused() {
        for plane_y_m in [16.0, 17.0] {
            let flown = Flight::default().fly(&level_throw(40.0, 1.8), plane_y_m);
            assert!(matches!(flown, Err(FlightError::BehindPlane { .. })));
        }
    }

    #[test]
    fn what_is_no_number_is_named() {
        let nan = f64::NAN;
        let cases: [(&str, Flight, Launch, f64); 8] = [
            (
                "the mass of the ball",
                Flight {
                    ball: Ball {
                        mass_kg: 0.0,
                        ..BASEBALL
                    },
                    ..Flight::default()
                },
                with(|_| ()),
                0.0,
            ),
            (
                "the circumference of the ball",
                Flight {
                    ball: Ball {
                        circumference_m: nan,
                        ..BASEBALL
                    },
                    ..Flight::default()
                },
                with(|_| ()),
                0.0,
            ),
            (
                "the density of the air",
                Flight {
                    air: Air {
                        density_kg_m3: -0.1,
                    },
                    ..Flight::default()
                },
                with(|_| ()),
                0.0,
            ),
            (
                "the drag coefficient",
                Flight {
                    drag: Drag::Constant(f64::INFINITY),
                    ..Flight::default()
                },
                with(|_| ()),
                0.0,
            ),
            (
                "the release point",
                Flight::default(),
                with(|launch| launch.release_m[2] = nan),
                0.0,
            ),
            (
                "the velocity",
                Flight::default(),
                with(|launch| launch.velocity_m_s[0] = nan),
                0.0,
            ),
            (
                "the spin",
                Flight::default(),
                with(|launch| launch.spin_rad_s[1] = f64::INFINITY),
                0.0,
            ),
            ("the plane", Flight::default(), with(|_| ()), nan),
        ];
        for (name, flight, launch, plane_y_m) in cases {
            let error = flight.fly(&launch, plane_y_m).unwrap_err();
            let FlightError::Unusable { what, .. } = error else {
                panic!("{name}: {error:?}");
            };
            assert_eq!(what, name);
            assert!(error.to_string().starts_with(name));
            assert!(flight.path(&launch, plane_y_m, 10).is_empty());
        }
    }

    #[test]
    fn a_path_runs_evenly_from_the_hand_to_the_plane() {
        let flight = Flight::default();
        let launch = level_throw(40.0, 1.8);
        let path = flight.path(&launch, 1.0, 31);
        assert_eq!(path.len(), 31);
        assert_eq!(path[0], launch.release_m);
        let arrival = flight.fly(&launch, 1.0).unwrap();
        for (drawn, flown) in path[30].iter().zip(arrival.position_m) {
            assert!((drawn - flown).abs() < 1e-9);
        }
        for pair in path.windows(2) {
            assert!((pair[0][1] - pair[1][1] - 0.5).abs() < 1e-9);
        }
    }

    #[test]
    fn a_path_ends_on_the_ground_where_the_ball_does() {
        let flight = Flight::default();
        let launch = level_throw(20.0, 1.2);
        let path = flight.path(&launch, 0.0, 100);
        let Err(FlightError::HitsGround { y_m, .. }) = flight.fly(&launch, 0.0) else {
            panic!("it must bounce");
        };
        let end = path.last().unwrap();
        assert!(path.len() < 100 && end[2] == 0.0 && (end[1] - y_m).abs() < 0.01);
    }

    #[test]
    fn a_path_has_at_least_two_points_and_not_more_than_a_screen_can_use() {
        let flight = Flight::default();
        for (asked, made) in [(0, 2), (2, 2), (3, 3), (usize::MAX, MOST_PATH_POINTS)] {
            let path = flight.path(&level_throw(40.0, 1.8), 0.0, asked);
            assert_eq!(path.len(), made);
        }
    }

    proptest! {
        #[test]
        fn no_number_whatever_makes_a_flight_panic_or_lie(
            numbers in prop::array::uniform12(proptest::num::f64::ANY),
            near_pitch in any::<bool>(),
        ) {
            let mut n = numbers;
            if near_pitch {
                // Numbers of any size are nearly all refused at once; these
                // are odd, but small enough to be flown.
                for number in &mut n {
                    *number %= 97.0;
                }
            }
            let flight = Flight {
                ball: Ball { mass_kg: n[0], circumference_m: n[1] },
                air: Air { density_kg_m3: n[2] },
                ..Flight::default()
            };
            let launch = Launch {
                release_m: [n[3], n[4], n[5]],
                velocity_m_s: [n[6], n[7], n[8]],
                spin_rad_s: [n[9], n[10], n[11]],
            };
            for flight in [flight, Flight::default()] {
                if let Ok(arrival) = flight.fly_through_ground(&launch, 0.0) {
                    prop_assert!(arrival.time_s.is_finite() && arrival.time_s >= 0.0);
                    prop_assert!(arrival.speed_m_s() > 0.0);
                    prop_assert_eq!(arrival.position_m[1], 0.0);
                    prop_assert!(arrival.position_m.iter().all(|part| part.is_finite()));
                }
                let _ = flight.fly(&launch, 0.0);
                let path = flight.path(&launch, 0.0, 5);
                prop_assert!(path.iter().flatten().all(|part| part.is_finite()));
            }
        }
    }
}
