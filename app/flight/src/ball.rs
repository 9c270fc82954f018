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

/// Dimpled ball for wheel machines, the size of a baseball: 5 oz and 9 in.
/// Source: from memory of what makers print; no standard is known. Its dimples
/// are not seams: drag and lift of a baseball are used for it, as no published
/// measurement is held, so check the first balls on the field.
pub const DIMPLED_MACHINE_BALL: Ball = Ball {
    mass_kg: 5.0 * OUNCE_KG,
    circumference_m: 9.0 * INCH_M,
};

/// Lighter training ball with a soft core, the size of a baseball: 4 oz and
/// 9 in. Source: from memory; these balls differ, so weigh one.
pub const LIGHT_BALL: Ball = Ball {
    mass_kg: 4.0 * OUNCE_KG,
    circumference_m: 9.0 * INCH_M,
};

/// Foam training ball, the size of a baseball: 1.5 oz and 9 in. Source: from
/// memory; these balls differ, so weigh one.
pub const FOAM_BALL: Ball = Ball {
    mass_kg: 1.5 * OUNCE_KG,
    circumference_m: 9.0 * INCH_M,
};

/// A ball that can be chosen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BallKind {
    /// Name in records; never changes once published.
    pub id: &'static str,
    /// Name on the screen, in English.
    pub name: &'static str,
    /// Its data.
    pub ball: Ball,
    /// Where the data come from, for the screen.
    pub source: &'static str,
}

/// All balls, in the order of the screen.
pub const BALLS: &[BallKind] = &[
    BallKind {
        id: "baseball",
        name: "Baseball",
        ball: BASEBALL,
        source: "Official Baseball Rules, rule 3.01.",
    },
    BallKind {
        id: "softball-12",
        name: "Softball, 12 in",
        ball: SOFTBALL_12,
        source: "From memory.",
    },
    BallKind {
        id: "softball-11",
        name: "Softball, 11 in",
        ball: SOFTBALL_11,
        source: "From memory.",
    },
    BallKind {
        id: "dimpled",
        name: "Dimpled machine ball",
        ball: DIMPLED_MACHINE_BALL,
        source: "From memory. Drag and lift as a baseball's: not measured.",
    },
    BallKind {
        id: "light",
        name: "Light training ball",
        ball: LIGHT_BALL,
        source: "From memory. Weigh one.",
    },
    BallKind {
        id: "foam",
        name: "Foam training ball",
        ball: FOAM_BALL,
        source: "From memory. Weigh one.",
    },
];

/// The ball with this id, if there is one.
pub fn ball_kind(id: &str) -> Option<&'static BallKind> {
    BALLS.iter().find(|kind| kind.id == id)
}

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
        for BallKind { ball, .. } in BALLS {
            let by_circumference = ball.circumference_m.powi(2) / (4.0 * PI);
            assert!((ball.area_m2() / by_circumference - 1.0).abs() < 1e-14);
        }
    }

    #[test]
    fn the_published_ids_do_not_change_and_each_ball_says_its_source() {
        let published = [
            "baseball",
            "softball-12",
            "softball-11",
            "dimpled",
            "light",
            "foam",
        ];
        for id in published {
            assert!(!ball_kind(id).unwrap().source.is_empty(), "{id}");
        }
        assert_eq!(BALLS.len(), published.len());
        assert_eq!(ball_kind("no such ball"), None);
    }
}
