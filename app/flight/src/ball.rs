//! Balls as data: mass and circumference, with the source of each.

use crate::units::{INCH_M, OUNCE_KG};
use std::f64::consts::PI;

/// A ball, as far as its flight depends on it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ball {
    /// Mass, kg. Must be finite and above 0.
    pub mass_kg: f64,
    /// Circumference, m. Must be finite and above 0.
    pub circumference_m: f64,
}

/// Baseball, the middle of what the rule allows: 5 to 5.25 oz and 9 to
/// 9.25 in. Source: Official Baseball Rules, rule 3.01.
pub const BASEBALL: Ball = Ball {
    mass_kg: 5.125 * OUNCE_KG,
    circumference_m: 9.125 * INCH_M,
};

/// Softball of 12 in: the middle of 6.25 to 7 oz and 11.875 to 12.125 in.
/// Source: from memory of the fast-pitch rule books; no text held.
pub const SOFTBALL_12: Ball = Ball {
    mass_kg: 6.625 * OUNCE_KG,
    circumference_m: 12.0 * INCH_M,
};

/// Softball of 11 in: the middle of 5.875 to 6.125 oz and 10.875 to 11.125 in.
/// Source: from memory of the fast-pitch rule books; no text held.
pub const SOFTBALL_11: Ball = Ball {
    mass_kg: 6.0 * OUNCE_KG,
    circumference_m: 11.0 * INCH_M,
};

impl Ball {
    /// Radius, m, of a sphere of this circumference.
    pub fn radius_m(&self) -> f64 {
        self.circumference_m / (2.0 * PI)
    }

    /// Area the ball shows to the air, m2.
    pub fn area_m2(&self) -> f64 {
        PI * self.radius_m().powi(2)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_baseball_is_about_74_millimetres_across() {
        // 9 to 9.25 in around (rule 3.01) is 72.8 to 74.8 mm across.
        let across_mm = 2000.0 * BASEBALL.radius_m();
        assert!((72.8..=74.8).contains(&across_mm));
    }

    #[test]
    fn the_area_is_that_of_the_circle_with_the_balls_circumference() {
        for ball in [BASEBALL, SOFTBALL_12, SOFTBALL_11] {
            let by_circumference = ball.circumference_m.powi(2) / (4.0 * PI);
            assert!((ball.area_m2() / by_circumference - 1.0).abs() < 1e-14);
        }
    }
}
