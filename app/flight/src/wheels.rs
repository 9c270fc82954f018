//! What throws the ball: an arm or one, two or three wheels, and how wheel
//! speeds make ball speed and spin.
//!
//! # Assumption: no slip
//!
//! Where a wheel lets go of the ball, the ball's surface moves as fast along
//! the line of flight as the wheel's: u = v - r (b n_up + s n_side), with v the
//! ball's speed, r its radius, b and s backspin and sidespin (rad/s) and n the
//! direction from the ball's middle to the wheel. This is the speed at release;
//! the speed of an idle wheel is higher, as the ball takes some of it. A worn
//! wheel or a wet ball slips, and then all of this says too much. No wheel here
//! gives gyro spin.

use crate::ball::Ball;
use crate::span::Span;
use crate::spin::Spin;
use crate::units::{rad_s_to_rpm, rpm_to_rad_s};
use thiserror::Error;

/// The part of a machine that throws.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Wheels {
    /// An arm, or a hand: its ball always has the same spin.
    Arm {
        /// Backspin it gives, rpm; negative is topspin.
        backspin_rpm: f64,
    },
    /// One wheel that presses the ball on a fixed plate, which brakes the
    /// ball's other side: the spin goes with the speed.
    One {
        /// Where the spin pushes the ball, degrees, as in [`Spin::tilted`]: 0
        /// (backspin) for a wheel below the ball, 180 for one above.
        tilt_deg: f64,
        /// How fast the ball slides on the plate, over the wheel's speed: 0
        /// when it rolls, 1 when it slides without turning.
        plate_slip: f64,
    },
    /// Two wheels on opposite sides of the ball.
    Two {
        /// Where spin of a positive rate pushes the ball, degrees, as in
        /// [`Spin::tilted`]: 0 for a wheel above and one below.
        tilt_deg: f64,
        /// Spin it can be set to, rpm; negative pushes the other way.
        spin_rpm: Span,
    },
    /// Three wheels around the ball, a third of a turn apart, the first one
    /// above it: any backspin and sidespin.
    Three {
        /// Backspin it can be set to, rpm.
        backspin_rpm: Span,
        /// Sidespin it can be set to, rpm.
        sidespin_rpm: Span,
    },
}

/// Slip on the plate of a machine with one wheel that nothing is known of: it
/// gives some 1,700 rpm at 60 mph. Ours, no source; time and look at a few
/// marked balls.
pub const USUAL_PLATE_SLIP: f64 = 0.6;

/// A ball as it leaves the wheels.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WheelBall {
    /// Its speed, m/s.
    pub speed_m_s: f64,
    /// Its spin.
    pub spin: Spin,
}

/// Why no wheel speeds give a ball.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum CannotSpin {
    /// An arm has no wheels to set.
    #[error("an arm has no wheels to set")]
    NoWheels,
    /// The spin that is asked for is not one these wheels can give.
    #[error("these wheels leave {left_rpm:.0} rpm of the spin ungiven")]
    OtherSpin {
        /// Rate of what is left, rpm.
        left_rpm: f64,
    },
}

/// A direction across the line of flight: toward +x and up.
type Across = [f64; 2];

/// The direction in which a spin of this tilt pushes the ball.
fn push(tilt_deg: f64) -> Across {
    let (side, up) = tilt_deg.to_radians().sin_cos();
    [side, up]
}

fn dot(a: Across, b: Across) -> f64 {
    a[0] * b[0] + a[1] * b[1]
}

/// Spin of a rate, rad/s, that pushes in a direction.
fn spin_toward(rate_rad_s: f64, [side, up]: Across) -> Spin {
    Spin {
        backspin_rpm: rad_s_to_rpm(rate_rad_s * up),
        sidespin_rpm: rad_s_to_rpm(rate_rad_s * side),
        gyro_rpm: 0.0,
    }
}

impl Wheels {
    /// How many wheels there are.
    pub fn count(&self) -> usize {
        self.places().len()
    }

    /// Directions from the ball's middle to the wheels.
    fn places(&self) -> Vec<Across> {
        match *self {
            Wheels::Arm { .. } => Vec::new(),
            // A wheel below pushes the ball's underside: backspin.
            Wheels::One { tilt_deg, .. } => vec![push(tilt_deg + 180.0)],
            Wheels::Two { tilt_deg, .. } => vec![push(tilt_deg), push(tilt_deg + 180.0)],
            Wheels::Three { .. } => [0.0, 120.0, 240.0].map(push).to_vec(),
        }
    }

    /// The ball that wheels with these surface speeds, m/s, throw without
    /// slip, in the order: two wheels, first the one toward which positive
    /// spin pushes; three, the one above and on toward +x.
    ///
    /// `None` for an arm, or when the number of speeds is not that of the
    /// wheels.
    pub fn ball_of(&self, ball: &Ball, surface_m_s: &[f64]) -> Option<WheelBall> {
        let places = self.places();
        if places.is_empty() || surface_m_s.len() != places.len() {
            return None;
        }
        let radius_m = ball.radius_m();
        let mean_m_s = surface_m_s.iter().sum::<f64>() / surface_m_s.len() as f64;
        let (speed_m_s, spin) = match *self {
            Wheels::One {
                tilt_deg,
                plate_slip,
            } => (
                mean_m_s * (1.0 + plate_slip) / 2.0,
                spin_toward(
                    mean_m_s * (1.0 - plate_slip) / (2.0 * radius_m),
                    push(tilt_deg),
                ),
            ),
            Wheels::Two { tilt_deg, .. } => {
                let apart_m_s = surface_m_s[1] - surface_m_s[0];
                let spin = spin_toward(apart_m_s / (2.0 * radius_m), push(tilt_deg));
                (mean_m_s, spin)
            }
            _ => {
                // The three directions sum to nothing and their squares to 3/2.
                let mut turning = [0.0; 2];
                for (speed, place) in surface_m_s.iter().zip(&places) {
                    for i in 0..2 {
                        turning[i] -= speed * place[i] / (1.5 * radius_m);
                    }
                }
                (mean_m_s, spin_toward(1.0, turning))
            }
        };
        Some(WheelBall { speed_m_s, spin })
    }

    /// The surface speeds, m/s, that throw a ball of this speed, m/s, and spin
    /// without slip: the inverse of [`Wheels::ball_of`].
    ///
    /// Errors: [`CannotSpin`] when no wheel speeds give that spin (within 1
    /// rpm).
    pub fn speeds_for(
        &self,
        ball: &Ball,
        speed_m_s: f64,
        spin: Spin,
    ) -> Result<Vec<f64>, CannotSpin> {
        let radius_m = ball.radius_m();
        let turning = [spin.sidespin_rpm, spin.backspin_rpm].map(rpm_to_rad_s);
        let speeds: Vec<f64> = match *self {
            Wheels::Arm { .. } => return Err(CannotSpin::NoWheels),
            Wheels::One { plate_slip, .. } => vec![2.0 * speed_m_s / (1.0 + plate_slip)],
            _ => self
                .places()
                .into_iter()
                .map(|place| speed_m_s - radius_m * dot(turning, place))
                .collect(),
        };
        let given = self.ball_of(ball, &speeds).map_or(spin, |made| made.spin);
        match spin.minus(given).rate_rpm() {
            left_rpm if left_rpm <= 1.0 => Ok(speeds),
            left_rpm => Err(CannotSpin::OtherSpin { left_rpm }),
        }
    }

    /// How many parts of the spin can be set apart from the speed.
    pub(crate) fn free_spins(&self) -> usize {
        match self {
            Wheels::Arm { .. } | Wheels::One { .. } => 0,
            Wheels::Two { .. } => 1,
            Wheels::Three { .. } => 2,
        }
    }

    /// Limits of the parts that can be set, rpm.
    pub(crate) fn spin_spans(&self) -> [Span; 2] {
        match *self {
            Wheels::Arm { .. } | Wheels::One { .. } => [Span::only(0.0); 2],
            Wheels::Two { spin_rpm, .. } => [spin_rpm, Span::only(0.0)],
            Wheels::Three {
                backspin_rpm,
                sidespin_rpm,
            } => [backspin_rpm, sidespin_rpm],
        }
    }

    /// The spin of a ball at a speed, m/s, when the free parts, rpm, are set.
    pub(crate) fn spin(&self, ball: &Ball, speed_m_s: f64, free_rpm: [f64; 2]) -> Spin {
        match *self {
            Wheels::Arm { backspin_rpm } => Spin::backspin(backspin_rpm),
            Wheels::One {
                tilt_deg,
                plate_slip,
            } => {
                let share = (1.0 - plate_slip) / (1.0 + plate_slip);
                spin_toward(share * speed_m_s / ball.radius_m(), push(tilt_deg))
            }
            Wheels::Two { tilt_deg, .. } => spin_toward(rpm_to_rad_s(free_rpm[0]), push(tilt_deg)),
            Wheels::Three { .. } => Spin {
                backspin_rpm: free_rpm[0],
                sidespin_rpm: free_rpm[1],
                gyro_rpm: 0.0,
            },
        }
    }

    /// The same wheels seen in a mirror.
    pub fn mirrored(self) -> Wheels {
        match self {
            Wheels::Arm { .. } => self,
            Wheels::One {
                tilt_deg,
                plate_slip,
            } => Wheels::One {
                tilt_deg: -tilt_deg,
                plate_slip,
            },
            Wheels::Two { tilt_deg, spin_rpm } => Wheels::Two {
                tilt_deg: -tilt_deg,
                spin_rpm,
            },
            Wheels::Three {
                backspin_rpm,
                sidespin_rpm,
            } => Wheels::Three {
                backspin_rpm,
                sidespin_rpm: sidespin_rpm.mirrored(),
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ball::BASEBALL;
    use crate::units::mph_to_m_s;
    use proptest::prelude::*;

    const WIDE: Span = Span::new(-4000.0, 4000.0);
    const UPRIGHT: Wheels = Wheels::Two {
        tilt_deg: 0.0,
        spin_rpm: WIDE,
    };
    const THREE: Wheels = Wheels::Three {
        backspin_rpm: WIDE,
        sidespin_rpm: WIDE,
    };

    #[test]
    fn wheels_of_one_speed_throw_a_ball_without_spin_at_that_speed() {
        for wheels in [UPRIGHT, THREE] {
            let speeds = vec![30.0; wheels.count()];
            let thrown = wheels.ball_of(&BASEBALL, &speeds).unwrap();
            assert!((thrown.speed_m_s - 30.0).abs() < 1e-12);
            assert!(thrown.spin.rate_rpm() < 1e-9);
        }
    }

    #[test]
    fn the_mean_of_two_wheels_is_the_speed_and_their_difference_the_spin() {
        // u_below = v + r b and u_above = v - r b: no slip.
        let thrown = UPRIGHT.ball_of(&BASEBALL, &[24.0, 36.0]).unwrap();
        assert_eq!(thrown.speed_m_s, 30.0);
        let surface_m_s = rpm_to_rad_s(thrown.spin.backspin_rpm) * BASEBALL.radius_m();
        assert!((surface_m_s - 6.0).abs() < 1e-12);
    }

    #[test]
    fn a_ball_that_rolls_on_the_plate_leaves_at_half_the_wheels_speed() {
        let rolls = Wheels::One {
            tilt_deg: 0.0,
            plate_slip: 0.0,
        };
        let thrown = rolls.ball_of(&BASEBALL, &[50.0]).unwrap();
        assert_eq!(thrown.speed_m_s, 25.0);
        // Its side at the plate stands still, that at the wheel has the wheel's speed.
        let surface_m_s = rpm_to_rad_s(thrown.spin.backspin_rpm) * BASEBALL.radius_m();
        assert!((thrown.speed_m_s - surface_m_s).abs() < 1e-12);
        assert!((thrown.speed_m_s + surface_m_s - 50.0).abs() < 1e-12);
        let slides = Wheels::One {
            tilt_deg: 0.0,
            plate_slip: 1.0,
        };
        let thrown = slides.ball_of(&BASEBALL, &[25.0]).unwrap();
        assert_eq!((thrown.speed_m_s, thrown.spin.rate_rpm()), (25.0, 0.0));
    }

    #[test]
    fn the_usual_slip_gives_about_1700_rpm_at_60_mph() {
        let usual = Wheels::One {
            tilt_deg: 0.0,
            plate_slip: USUAL_PLATE_SLIP,
        };
        let rpm = usual
            .spin(&BASEBALL, mph_to_m_s(60.0), [0.0; 2])
            .backspin_rpm;
        assert!((1650.0..1800.0).contains(&rpm), "{rpm}");
    }

    #[test]
    fn spin_that_wheels_cannot_give_is_said_to_be_left() {
        let side = Spin {
            sidespin_rpm: 700.0,
            ..Spin::default()
        };
        let gyro = Spin {
            gyro_rpm: 300.0,
            ..Spin::default()
        };
        for (wheels, spin, left) in [(UPRIGHT, side, 700.0), (THREE, gyro, 300.0)] {
            let Err(CannotSpin::OtherSpin { left_rpm }) = wheels.speeds_for(&BASEBALL, 30.0, spin)
            else {
                panic!("{wheels:?} cannot give {spin:?}");
            };
            assert!((left_rpm - left).abs() < 1e-9);
        }
        let arm = Wheels::Arm {
            backspin_rpm: 900.0,
        };
        assert_eq!(
            arm.speeds_for(&BASEBALL, 30.0, side),
            Err(CannotSpin::NoWheels)
        );
        assert_eq!(arm.ball_of(&BASEBALL, &[]), None);
        assert_eq!(UPRIGHT.ball_of(&BASEBALL, &[30.0]), None);
    }

    proptest! {
        #[test]
        fn the_speeds_for_a_ball_throw_that_ball_and_touch_it_without_slip(
            speed in 8.0..50.0, tilt_deg in -180.0..180.0, rate in -3000.0..3000.0,
            back in -3000.0..3000.0, side in -3000.0..3000.0, plate_slip in 0.0..0.9,
        ) {
            let one = Wheels::One { tilt_deg, plate_slip };
            let two = Wheels::Two { tilt_deg, spin_rpm: WIDE };
            for (wheels, spin) in [
                (one, one.spin(&BASEBALL, speed, [0.0; 2])),
                (two, two.spin(&BASEBALL, speed, [rate, 0.0])),
                (THREE, THREE.spin(&BASEBALL, speed, [back, side])),
            ] {
                let speeds = wheels.speeds_for(&BASEBALL, speed, spin).unwrap();
                let thrown = wheels.ball_of(&BASEBALL, &speeds).unwrap();
                prop_assert!((thrown.speed_m_s - speed).abs() < 1e-9);
                prop_assert!(thrown.spin.minus(spin).rate_rpm() < 1e-6);
                // No slip, by vectors: the wheel's speed is that of the ball's
                // surface, v + omega x r n, along the flight.
                let [wx, _, wz] = spin.vector_rad_s();
                for (u, [nx, nz]) in speeds.iter().zip(wheels.places()) {
                    let [rx, rz] = [nx, nz].map(|n| n * BASEBALL.radius_m());
                    let cross_y = wz * rx - wx * rz;
                    prop_assert!((speed - cross_y - u).abs() < 1e-9);
                }
            }
        }
    }
}
