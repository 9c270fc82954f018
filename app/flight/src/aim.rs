//! The aim: which way to send a ball of a given speed and spin so that it
//! passes a target.

use crate::error::FlightError;
use crate::flight::{Arrival, Flight, Launch, side_rad};
use crate::march::finite;
use crate::units::rpm_to_rad_s;

/// The aim passes the target within this distance, m.
const AIM_MISS_M: f64 = 1e-10;
/// Turn of the aim by which its effect at the plane is measured, rad.
const AIM_PROBE_RAD: f64 = 1e-6;
/// Largest turn of the aim in one round of its search, rad.
const AIM_TURN_RAD: f64 = 0.3;
/// Rounds of the search for the aim; a pitch needs 3 or 4.
const AIM_ROUNDS: usize = 60;

/// A launch that brings the ball to its target.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Aimed {
    /// The launch.
    pub launch: Launch,
    /// How the ball arrives in the plane of the target.
    pub arrival: Arrival,
    /// How far below level the ball is sent, rad; negative is above level. It
    /// is the tilt a level on the machine shows: against the ground, along the
    /// direction of the throw, `atan2(-vz, hypot(vx, vy))`.
    pub down_rad: f64,
    /// How far to the side it is sent, `atan2(vx, -vy)` at release, rad;
    /// positive is toward +x (the first-base side).
    pub toward_rad: f64,
}

impl Flight {
    /// Aims a ball with backspin so that it passes the target, all places in
    /// m, speed at release in m/s. `backspin_rpm` turns about the -x axis;
    /// negative is topspin.
    ///
    /// Errors: those of [`Flight::aim_with_spin`].
    pub fn aim(
        &self,
        from_m: [f64; 3],
        speed_m_s: f64,
        backspin_rpm: f64,
        target_m: [f64; 3],
    ) -> Result<Aimed, FlightError> {
        let spin_rad_s = [-rpm_to_rad_s(backspin_rpm), 0.0, 0.0];
        self.aim_with_spin(from_m, speed_m_s, spin_rad_s, target_m)
    }

    /// Aims a ball with any spin (rad/s, along its axis) so that it passes the
    /// target. Of the two aims that can reach a target, a flat one and a lob,
    /// this is the flat one.
    ///
    /// Errors: [`FlightError::OutOfReach`] when the speed is too low (or not
    /// above 0), and those of [`Flight::fly`].
    pub fn aim_with_spin(
        &self,
        from_m: [f64; 3],
        speed_m_s: f64,
        spin_rad_s: [f64; 3],
        target_m: [f64; 3],
    ) -> Result<Aimed, FlightError> {
        let aimed = self.aim_through_ground(from_m, speed_m_s, spin_rad_s, target_m)?;
        Ok(Aimed {
            arrival: self.fly(&aimed.launch, target_m[1])?,
            ..aimed
        })
    }

    /// As [`Flight::aim_with_spin`], for a field without ground.
    pub(crate) fn aim_through_ground(
        &self,
        from_m: [f64; 3],
        speed_m_s: f64,
        spin_rad_s: [f64; 3],
        target_m: [f64; 3],
    ) -> Result<Aimed, FlightError> {
        for coordinate in target_m {
            finite("the target", coordinate)?;
        }
        finite("the speed", speed_m_s)?;
        let [dx_m, dy_m, dz_m] = [0, 1, 2].map(|i| target_m[i] - from_m[i]);
        let out_of_reach = FlightError::OutOfReach {
            speed_m_s,
            distance_m: -dy_m,
        };
        let plane_y_m = target_m[1];
        let launch_at = |aim: [f64; 2]| Launch {
            release_m: from_m,
            velocity_m_s: direction(aim).map(|part| part * speed_m_s),
            spin_rad_s,
        };
        let fly = |aim: [f64; 2]| match self.fly_through_ground(&launch_at(aim), plane_y_m) {
            Err(FlightError::NeverReaches { .. }) => Err(out_of_reach),
            flown => flown,
        };
        // Where the ball passes the plane, from the target: (up, toward +x).
        let miss_of = |Arrival { position_m, .. }: &Arrival| {
            [position_m[2] - target_m[2], position_m[0] - target_m[0]]
        };
        let miss_at = |aim: [f64; 2]| fly(aim).map(|arrival| miss_of(&arrival));

        // Newton's method from the straight line to the target. Gravity makes
        // the first ball pass low; the height reached is a concave function of
        // the elevation, so each round climbs toward the flat aim from below
        // and cannot jump past it to the lob.
        let mut aim = [dz_m.atan2(dx_m.hypot(dy_m)), dx_m.atan2(-dy_m)];
        for _ in 0..AIM_ROUNDS {
            let arrival = fly(aim)?;
            let miss = miss_of(&arrival);
            if miss[0].hypot(miss[1]) <= AIM_MISS_M {
                let launch = launch_at(aim);
                return Ok(Aimed {
                    launch,
                    arrival,
                    down_rad: -aim[0],
                    toward_rad: side_rad(launch.velocity_m_s),
                });
            }
            let raised = miss_at([aim[0] + AIM_PROBE_RAD, aim[1]])?;
            let turned = miss_at([aim[0], aim[1] + AIM_PROBE_RAD])?;
            let per_raise = [0, 1].map(|i| (raised[i] - miss[i]) / AIM_PROBE_RAD);
            let per_turn = [0, 1].map(|i| (turned[i] - miss[i]) / AIM_PROBE_RAD);
            let determinant = per_raise[0] * per_turn[1] - per_raise[1] * per_turn[0];
            // Past its highest reach, a raised aim passes lower.
            if per_raise[0] <= 0.0 || determinant <= 0.0 {
                return Err(out_of_reach);
            }
            let raise = (per_turn[0] * miss[1] - per_turn[1] * miss[0]) / determinant;
            let turn = (per_raise[1] * miss[0] - per_raise[0] * miss[1]) / determinant;
            aim[0] += raise.clamp(-AIM_TURN_RAD, AIM_TURN_RAD);
            aim[1] += turn.clamp(-AIM_TURN_RAD, AIM_TURN_RAD);
        }
        Err(out_of_reach)
    }
}

/// Unit vector of an aim: elevation above level and turn toward +x, rad.
pub(crate) fn direction([elevation, turn]: [f64; 2]) -> [f64; 3] {
    [
        elevation.cos() * turn.sin(),
        -elevation.cos() * turn.cos(),
        elevation.sin(),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{ft_to_m, mph_to_m_s};
    use proptest::prelude::*;

    const HAND_M: [f64; 3] = [-0.381, 16.764, 1.8288];
    const TARGET_M: [f64; 3] = [0.0, 0.0, 0.762];

    #[test]
    fn an_aimed_pitch_passes_its_target() {
        let aimed = Flight::default()
            .aim(HAND_M, 41.0, 2200.0, TARGET_M)
            .unwrap();
        for (passed, target) in aimed.arrival.position_m.iter().zip(TARGET_M) {
            assert!((passed - target).abs() < 1e-9);
        }
        let flown = Flight::default().fly(&aimed.launch, 0.0).unwrap();
        assert_eq!(flown, aimed.arrival);
    }

    #[test]
    fn the_aim_of_a_right_handers_pitch_is_down_and_toward_first_base() {
        let aimed = Flight::default()
            .aim(HAND_M, 41.0, 2200.0, TARGET_M)
            .unwrap();
        assert!(aimed.down_rad > 0.0 && aimed.toward_rad > 0.0);
        assert_eq!(aimed.launch.release_m, HAND_M);
        let [vx, vy, vz] = aimed.launch.velocity_m_s;
        assert!((aimed.down_rad - (-vz).atan2(vx.hypot(vy))).abs() < 1e-12);
        assert!((aimed.toward_rad - vx.atan2(-vy)).abs() < 1e-12);
    }

    #[test]
    fn a_slow_ball_is_thrown_on_the_flat_arc_and_not_lobbed() {
        // 45 ft at 35 mph can be reached flat or by a lob of more than 45 deg.
        let from_m = [0.0, ft_to_m(45.0), 1.5];
        let aimed = Flight::default()
            .aim(from_m, mph_to_m_s(35.0), 0.0, TARGET_M)
            .unwrap();
        assert!((-45.0..0.0).contains(&aimed.down_rad.to_degrees()));
    }

    #[test]
    fn a_ball_too_slow_for_any_arc_is_out_of_reach() {
        for speed_m_s in [0.0, -30.0, 1e-300, 5.0, 9.0] {
            let aimed = Flight::default().aim(HAND_M, speed_m_s, 0.0, TARGET_M);
            let Err(FlightError::OutOfReach {
                speed_m_s: told_m_s,
                distance_m,
            }) = aimed
            else {
                panic!("{speed_m_s}: {aimed:?}");
            };
            assert_eq!((told_m_s, distance_m), (speed_m_s, HAND_M[1]));
        }
    }

    #[test]
    fn without_air_the_flat_aim_is_found_right_up_to_the_longest_throw() {
        // On level ground the longest throw is v^2 / g, at 45 degrees.
        let flight = Flight {
            air: crate::Air { density_kg_m3: 0.0 },
            ..Flight::default()
        };
        let aim = |distance_m: f64| flight.aim([0.0, distance_m, 1.0], 12.0, 0.0, [0.0, 0.0, 1.0]);
        let longest_m = 144.0 / crate::GRAVITY_M_S2;
        for share in [0.5_f64, 0.9, 0.99, 0.9999] {
            let elevation_rad = 0.5 * share.asin();
            let found = aim(share * longest_m).unwrap();
            assert!((found.down_rad + elevation_rad).abs() < 1e-8, "{share}");
        }
        assert!(aim(1.0001 * longest_m).is_err());
    }

    #[test]
    fn a_target_behind_the_hand_is_refused() {
        let aimed = Flight::default().aim(TARGET_M, 40.0, 0.0, HAND_M);
        assert!(matches!(aimed, Err(FlightError::BehindPlane { .. })));
    }

    proptest! {
        #[test]
        fn any_spin_can_be_aimed_at_the_zone(
            speed_mph in 45.0..105.0,
            spin_rad_s in prop::array::uniform3(-200.0..200.0),
            target_x_m in -0.3..0.3,
            target_z_m in 0.5..1.1,
        ) {
            let target_m = [target_x_m, 0.4318, target_z_m];
            let aimed = Flight::default()
                .aim_with_spin(HAND_M, mph_to_m_s(speed_mph), spin_rad_s, target_m)
                .unwrap();
            for (passed, target) in aimed.arrival.position_m.iter().zip(target_m) {
                prop_assert!((passed - target).abs() < 1e-9);
            }
            let speed_m_s = crate::flight::length(aimed.launch.velocity_m_s);
            prop_assert!((speed_m_s / mph_to_m_s(speed_mph) - 1.0).abs() < 1e-14);
        }

        #[test]
        fn no_number_whatever_makes_an_aim_panic(
            n in prop::array::uniform8(proptest::num::f64::ANY),
        ) {
            let flight = Flight::default();
            let aims = [
                flight.aim([n[0], n[1], n[2]], n[3], n[4], [n[5], n[6], n[7]]),
                flight.aim(HAND_M, n[3], n[4], TARGET_M),
                flight.aim(HAND_M, 40.0, n[4] % 1e5, TARGET_M),
                flight.aim(HAND_M, n[3] % 200.0, 2000.0, [n[5] % 9.0, 0.0, n[7] % 9.0]),
            ];
            for aimed in aims.into_iter().flatten() {
                prop_assert!(aimed.down_rad.is_finite() && aimed.toward_rad.is_finite());
                prop_assert!(aimed.arrival.time_s >= 0.0);
            }
        }
    }
}
