//! Drag coefficient of a ball: how it depends on speed and spin.
//!
//! Published values for pitched and batted baseballs lie near 0.3 to 0.4 from
//! 50 to 110 mph (range: Nathan, Am. J. Phys. 76, 119, 2008; read from memory),
//! and single balls of one box differ by some hundredths. So no law here is the
//! last word: a radar or five timed balls at the field say more, and the
//! correction step takes them.

use crate::ball::BASEBALL;
use std::f64::consts::PI;

/// How the drag coefficient of a ball is found.
///
/// A match on this enum is the only place that knows a law, so a law that
/// depends on speed or spin is added as a variant and nothing else changes.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub enum Drag {
    /// The same at every speed and spin, without unit. Must be finite and not
    /// negative; 0 is no drag.
    Constant(f64),
    /// More with spin: C_D = C_0 (1 + 0.2017 S^2), where an S above 1 counts
    /// as 1. The value given is C_0; it must be finite and not negative.
    /// Source: the form of an earlier trajectory calculator by A. M. Nathan,
    /// with 0.385 as C_0; from memory, no text held.
    RisesWithSpin(f64),
    /// Less with speed, as the air behind the ball becomes turbulent: from 0.55
    /// at rest over 0.39 at 35 m/s (78 mph) to 0.22. Source: the form of
    /// Giordano and Nakanishi, Computational Physics, B2/m = 0.0039 +
    /// 0.0058 / (1 + exp((v - 35 m/s) / 5 m/s)) per metre, after wind-tunnel
    /// data in Frohlich, Am. J. Phys. 52, 325, 1984; from memory, turned into a
    /// coefficient by us for a baseball of 5.125 oz and 9.125 in in air of
    /// 1.2 kg/m3. Later measurements do not find so deep a fall; it is here to
    /// show how far the choice of law moves an answer.
    FallsWithSpeed,
}

/// C_D a unit of B2/m: 2 m / (rho A) of the ball and air named above, m.
const METRES_OF_B2: f64 =
    8.0 * PI * BASEBALL.mass_kg / (1.2 * BASEBALL.circumference_m * BASEBALL.circumference_m);

impl Drag {
    /// The coefficient C_D (no unit) at a speed through the air, m/s, and a
    /// spin parameter S = radius x spin rate / speed (no unit).
    pub fn coefficient(&self, speed_m_s: f64, spin_parameter: f64) -> f64 {
        match *self {
            Drag::Constant(coefficient) => coefficient,
            Drag::RisesWithSpin(at_rest) => {
                at_rest * (1.0 + 0.2017 * spin_parameter.min(1.0).powi(2))
            }
            Drag::FallsWithSpeed => {
                let turbulent = 1.0 / (1.0 + ((speed_m_s - 35.0) / 5.0).exp());
                METRES_OF_B2 * (0.0039 + 0.0058 * turbulent)
            }
        }
    }
}

impl Default for Drag {
    /// 0.35, the value of the design's reference pitch.
    fn default() -> Self {
        Drag::Constant(0.35)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::mph_to_m_s;

    #[test]
    fn a_metre_of_b2_is_that_of_the_baseball() {
        let exact = 2.0 * BASEBALL.mass_kg / (1.2 * BASEBALL.area_m2());
        assert!((METRES_OF_B2 / exact - 1.0).abs() < 1e-14, "{exact}");
    }

    #[test]
    fn spin_adds_to_drag_and_speed_takes_from_it() {
        let spinning = Drag::RisesWithSpin(0.385);
        assert_eq!(spinning.coefficient(40.0, 0.0), 0.385);
        assert!((spinning.coefficient(40.0, 0.2) - 0.385 * 1.008_068).abs() < 1e-9);
        let falling = Drag::FallsWithSpeed;
        assert!(falling.coefficient(20.0, 0.2) > falling.coefficient(35.0, 0.2));
        assert!((falling.coefficient(35.0, 0.2) - METRES_OF_B2 * 0.0068).abs() < 1e-12);
    }

    #[test]
    fn a_pitch_has_the_drag_of_the_published_range_by_every_law() {
        // Range: 0.3 to 0.4 (Nathan 2008), a tenth more on either side, at 75
        // to 90 mph and the spin of a fastball.
        for law in [
            Drag::default(),
            Drag::RisesWithSpin(0.35),
            Drag::FallsWithSpeed,
        ] {
            for mph in [75.0, 80.0, 85.0] {
                let coefficient = law.coefficient(mph_to_m_s(mph), 0.2);
                assert!(
                    (0.27..0.44).contains(&coefficient),
                    "{law:?} {mph}: {coefficient}"
                );
            }
        }
    }
}
