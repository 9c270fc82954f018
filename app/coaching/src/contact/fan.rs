//! The field fan: directions from the plate, the seven sectors and the three
//! thirds, and what a touch on the drawing means. No drawing here.
//!
//! Directions are degrees from straight over the middle: negative to left
//! field, positive to right field, for hitters on both sides of the plate.
//! Fair territory is 45 degrees to each side, its lines included (a ball on
//! the line is fair: Official Baseball Rules, definition of fair territory,
//! from memory).

use crate::vocabulary::{Side, list};

/// The foul lines, degrees from the middle.
pub const FAIR_DEG: f64 = 45.0;

/// The most that is drawn, degrees from the middle: fair territory and some
/// foul ground.
pub const DRAWN_DEG: f64 = 60.0;

/// The most that is recorded, degrees from the middle. A foul farther back is
/// recorded without a direction.
pub const MOST_DEG: f64 = 90.0;

/// Width of a sector, degrees.
pub const SECTOR_DEG: f64 = 2.0 * FAIR_DEG / 7.0;

/// A touch nearer to the plate than this share of the way to the fence has no
/// direction (our choice, no source): a finger covers more.
pub const TOO_NEAR: f64 = 0.05;

list! {
    /// A seventh of fair territory, from the left line to the right.
    Sector {
        /// Along the left line.
        LeftLine = "left-line", "Left line";
        /// Left field.
        Left = "left", "Left field";
        /// Between left and center.
        LeftCenter = "left-center", "Left center";
        /// Over the middle.
        Middle = "middle", "Middle";
        /// Between right and center.
        RightCenter = "right-center", "Right center";
        /// Right field.
        Right = "right", "Right field";
        /// Along the right line.
        RightLine = "right-line", "Right line";
    }
}

/// Sectors from the middle one, 0 to 3 in fair territory. A direction on the
/// edge of two belongs to the one nearer to the middle, on both sides alike.
fn steps(direction_deg: f64) -> f64 {
    (direction_deg.abs() / SECTOR_DEG - 0.5).ceil().max(0.0)
}

/// Whether a direction lies in fair territory, the lines included; false for
/// what is no number.
pub fn is_fair(direction_deg: f64) -> bool {
    direction_deg.abs() <= FAIR_DEG
}

impl Sector {
    /// The sector of a direction; `None` in foul territory and for what is no
    /// number.
    pub fn of(direction_deg: f64) -> Option<Self> {
        if !is_fair(direction_deg) {
            return None;
        }
        // The lines themselves may come out a hair above 3.
        let steps = steps(direction_deg).min(3.0).copysign(direction_deg);
        Self::ALL.get((3.0 + steps) as usize).copied()
    }

    /// The direction of its middle, degrees: what a touch on the sector
    /// records.
    pub fn direction_deg(self) -> f64 {
        (self as usize as f64 - 3.0) * SECTOR_DEG
    }

    /// The sector on the other side.
    pub fn mirrored(self) -> Self {
        Self::ALL[6 - self as usize]
    }
}

list! {
    /// A part of the field by the hitter: the pull side, the middle (the three
    /// middle sectors) and the opposite side. A touch on a sector and a touch
    /// on a point within it are in the same third.
    Third {
        /// The side the hitter pulls to.
        Pull = "pull", "Pull side";
        /// Left center to right center.
        Middle = "middle", "Middle";
        /// The other side.
        Opposite = "opposite", "Opposite side";
    }
}

impl Third {
    /// The third of a direction for a hitter who batted from a side. Foul
    /// ground belongs to the side it lies on.
    pub fn of(direction_deg: f64, batted: Side) -> Self {
        if steps(direction_deg) <= 1.0 {
            return Self::Middle;
        }
        if toward_opposite_deg(direction_deg, batted) < 0.0 {
            Self::Pull
        } else {
            Self::Opposite
        }
    }

    /// The third with its field for one side of the plate, to stand within a
    /// sentence.
    pub const fn words(self, batted: Side) -> &'static str {
        match (self, batted) {
            (Self::Pull, Side::Right) => "pull side (left field)",
            (Self::Pull, Side::Left) => "pull side (right field)",
            (Self::Middle, _) => "middle",
            (Self::Opposite, Side::Right) => "opposite side (right field)",
            (Self::Opposite, Side::Left) => "opposite side (left field)",
        }
    }
}

/// A direction seen from the hitter, degrees: negative to the pull side,
/// positive to the opposite side. The way back is the same.
pub fn toward_opposite_deg(direction_deg: f64, batted: Side) -> f64 {
    match batted {
        Side::Right => direction_deg,
        Side::Left => -direction_deg,
    }
}

/// A touch on the drawing, in its own units: the plate at (0, 0), `x` to right
/// field, `y` straight over the middle, the fence 1 away.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// Toward right field.
    pub x: f64,
    /// Over the middle.
    pub y: f64,
}

/// What a touch on the drawing means.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spot {
    /// The direction, degrees, within [`MOST_DEG`] to both sides.
    pub direction_deg: f64,
    /// How far, as a share of the way to the fence: 1 at the fence or beyond.
    pub depth: f64,
    /// Its sector; none in foul territory.
    pub sector: Option<Sector>,
}

impl Point {
    /// The touch as a direction and a depth; `None` when it is too near to the
    /// plate to have a direction, behind the plate, or no number.
    pub fn spot(self) -> Option<Spot> {
        let depth = self.x.hypot(self.y);
        let is_in_front = self.y >= 0.0 && depth >= TOO_NEAR && depth.is_finite();
        is_in_front.then(|| {
            let direction_deg = self.x.atan2(self.y).to_degrees();
            Spot {
                direction_deg,
                depth: depth.min(1.0),
                sector: Sector::of(direction_deg),
            }
        })
    }

    /// The point of a direction at a depth, to draw it again.
    pub fn at(direction_deg: f64, depth: f64) -> Self {
        let (x, y) = direction_deg.to_radians().sin_cos();
        Self {
            x: x * depth,
            y: y * depth,
        }
    }
}
