//! The correction step: what the first balls show moves the set-up.

use crate::error::SetUpError;
use crate::flight::Flight;
use crate::placed::Placed;
use crate::range::{Field, check};
use crate::units::{in_to_m, mph_to_m_s, rad_to_deg};

/// What was seen of the first balls; all `None` when all is well.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct SeenOff {
    /// How much higher than the target balls pass, in; "4 in low" is -4.
    pub high_in: Option<f64>,
    /// How much more toward +x (the first-base side) they pass, in.
    pub aside_in: Option<f64>,
    /// True speed at release, mph, as of [`Placed::speed_by_radar`].
    pub speed_mph: Option<f64>,
}

/// What to set instead.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Correction {
    /// What to set on the dial, mph, so that the ball has the wanted speed:
    /// the dial is taken to be off by the same share at every speed.
    pub dial_mph: f64,
    /// Turn the machine up by this, degrees; negative is down.
    pub turn_up_deg: f64,
    /// Turn it toward +x by this, degrees.
    pub turn_aside_deg: f64,
}

impl Placed {
    /// How to change dial and aim of a machine that was set and aimed by this
    /// model at `target_m`, and whose balls are off as seen.
    ///
    /// The dial's error is that of the measured speed (none, when none was
    /// measured); what is then left of the miss is taken to be an error of the
    /// aim, the same after the correction. With the errors as assumed, the next
    /// ball passes the target at the wanted speed.
    ///
    /// Errors: [`SetUpError::Range`]; [`SetUpError::Machine`] when a ball that
    /// passes where it was seen cannot be flown.
    pub fn correct(
        &self,
        flight: &Flight,
        target_m: [f64; 3],
        seen: &SeenOff,
    ) -> Result<Correction, SetUpError> {
        for miss_in in [seen.high_in, seen.aside_in].into_iter().flatten() {
            check(Field::SeenMiss, miss_in)?;
        }
        let meant = self.thrown(flight, target_m)?;
        let flight = flight.with_ball(self.ball);
        let true_mph = seen.speed_mph.unwrap_or(self.speed_mph);
        check(Field::FeedSpeed, true_mph)?;
        // Where the balls pass. A direction nobody reported on is taken to be
        // as the true speed makes it, so that it asks for no turn of its own.
        let mut launch = meant.launch;
        let share = true_mph / self.speed_mph;
        launch.velocity_m_s = launch.velocity_m_s.map(|part| part * share);
        let unturned = flight
            .fly_through_ground(&launch, target_m[1])
            .map_err(SetUpError::Machine)?;
        let seen_at = |miss_in: Option<f64>, axis: usize| match miss_in {
            Some(miss_in) => target_m[axis] + in_to_m(miss_in),
            None => unturned.position_m[axis],
        };
        let passes_m = [
            seen_at(seen.aside_in, 0),
            target_m[1],
            seen_at(seen.high_in, 2),
        ];
        let was = flight
            .aim_through_ground(
                self.position_m(),
                mph_to_m_s(true_mph),
                self.spin.vector_rad_s(),
                passes_m,
            )
            .map_err(SetUpError::Machine)?;
        Ok(Correction {
            dial_mph: self.speed_mph / share,
            turn_up_deg: rad_to_deg(was.down_rad - meant.down_rad),
            turn_aside_deg: rad_to_deg(meant.toward_rad - was.toward_rad),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::aim::direction;
    use crate::ball::BASEBALL;
    use crate::flight::{Arrival, Launch};
    use crate::spin::Spin;
    use crate::units::m_to_in;
    use proptest::prelude::*;

    const MACHINE: Placed = Placed {
        distance_ft: 39.0,
        height_ft: 3.7,
        side_ft: -0.9,
        speed_mph: 64.0,
        spin: Spin::backspin(1500.0),
        ball: BASEBALL,
    };
    const TARGET_M: [f64; 3] = [0.0, 0.0, 0.762];

    /// A ball of a machine whose dial and aim are off.
    fn ball(dial_mph: f64, up_rad: f64, aside_rad: f64, off: [f64; 3]) -> (f64, Arrival) {
        let speed_mph = dial_mph * (1.0 + off[0]);
        let launch = Launch {
            release_m: MACHINE.position_m(),
            velocity_m_s: direction([up_rad + off[1], aside_rad + off[2]])
                .map(|part| part * mph_to_m_s(speed_mph)),
            spin_rad_s: MACHINE.spin.vector_rad_s(),
        };
        let arrival = Flight::default().fly_through_ground(&launch, 0.0).unwrap();
        (speed_mph, arrival)
    }

    #[test]
    fn balls_4_in_low_turn_the_machine_up_by_the_angle_of_4_in() {
        let low = SeenOff {
            high_in: Some(-4.0),
            ..SeenOff::default()
        };
        let correction = MACHINE.correct(&Flight::default(), TARGET_M, &low).unwrap();
        // 4 in over 39 ft are 0.49 degrees.
        assert!(
            (correction.turn_up_deg - 0.49).abs() < 0.02,
            "{correction:?}"
        );
        assert_eq!(correction.dial_mph, 64.0);
        // A little, as the axis of the spin stands square to the field and not
        // to the throw.
        assert!(correction.turn_aside_deg.abs() < 1e-3, "{correction:?}");
    }

    #[test]
    fn a_radar_that_says_60_raises_the_dial_in_proportion_and_turns_nothing() {
        let slow = SeenOff {
            speed_mph: Some(60.0),
            ..SeenOff::default()
        };
        let correction = MACHINE
            .correct(&Flight::default(), TARGET_M, &slow)
            .unwrap();
        assert!((correction.dial_mph - 64.0 * 64.0 / 60.0).abs() < 1e-9);
        assert!(correction.turn_up_deg.abs() < 1e-6 && correction.turn_aside_deg.abs() < 1e-6);
    }

    #[test]
    fn nothing_seen_changes_nothing() {
        let correction = MACHINE.correct(&Flight::default(), TARGET_M, &SeenOff::default());
        let correction = correction.unwrap();
        assert_eq!(correction.dial_mph, 64.0);
        assert!(correction.turn_up_deg.abs() < 1e-6 && correction.turn_aside_deg.abs() < 1e-6);
    }

    #[test]
    fn what_cannot_be_seen_is_refused() {
        for seen in [
            SeenOff {
                high_in: Some(99.0),
                ..SeenOff::default()
            },
            SeenOff {
                aside_in: Some(f64::NAN),
                ..SeenOff::default()
            },
            SeenOff {
                speed_mph: Some(0.0),
                ..SeenOff::default()
            },
        ] {
            assert!(
                MACHINE
                    .correct(&Flight::default(), TARGET_M, &seen)
                    .is_err(),
                "{seen:?}"
            );
        }
    }

    proptest! {
        #[test]
        fn after_the_correction_the_next_ball_passes_the_target_at_the_wanted_speed(
            off in [-0.08..0.08, -0.02..0.02_f64, -0.02..0.02_f64],
        ) {
            let flight = Flight::default();
            let meant = MACHINE.thrown(&flight, TARGET_M).unwrap();
            let [up, aside] = [-meant.down_rad, meant.toward_rad];
            let (speed_mph, first) = ball(64.0, up, aside, off);
            let seen = SeenOff {
                high_in: Some(m_to_in(first.position_m[2] - TARGET_M[2])),
                aside_in: Some(m_to_in(first.position_m[0] - TARGET_M[0])),
                speed_mph: Some(speed_mph),
            };
            let correction = MACHINE.correct(&flight, TARGET_M, &seen).unwrap();
            let (speed_mph, next) = ball(
                correction.dial_mph,
                up + correction.turn_up_deg.to_radians(),
                aside + correction.turn_aside_deg.to_radians(),
                off,
            );
            prop_assert!((speed_mph - 64.0).abs() < 1e-9);
            for axis in [0, 2] {
                prop_assert!((next.position_m[axis] - TARGET_M[axis]).abs() < 1e-7, "{:?}", next);
            }
        }
    }
}
