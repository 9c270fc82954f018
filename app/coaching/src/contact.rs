//! Contact: what was hit and where it went, as lists with stored ids, and the
//! words for it. Places on the field are in [`fan`], shares and their
//! intervals in [`share`] and [`lean`], the ball on the bat in [`collision`],
//! side tosses in [`side_toss`], and what they say of the path in [`path`]. No storage and no
//! drawing here.

pub mod collision;
pub mod fan;
pub mod lean;
pub mod path;
mod path_model;
pub mod share;
pub mod side_toss;

use crate::vocabulary::{Environment, Hand, Side, list};

list! {
    /// What came of one swing, or of one ball that was let go by. Heights are
    /// as the coach sees them; for the model they are bands of launch angle
    /// ([`collision::HEIGHT_EDGES_DEG`]).
    ContactResult {
        /// On the ground.
        Ground = "ground", "Ground ball";
        /// A line drive.
        Line = "line", "Line drive";
        /// A fly ball.
        Fly = "fly", "Fly ball";
        /// Popped up.
        Pop = "pop", "Pop-up";
        /// Swung, and missed it.
        Miss = "miss", "Miss";
        /// Hit foul.
        Foul = "foul", "Foul";
        /// Let it go by.
        Take = "take", "Take";
    }
}

impl ContactResult {
    /// Whether it was swung at: everything but a take.
    pub const fn is_swing(self) -> bool {
        !matches!(self, Self::Take)
    }

    /// Whether the bat met the ball, fair or foul.
    pub const fn is_touched(self) -> bool {
        self.is_in_play() || matches!(self, Self::Foul)
    }

    /// Whether it is a ball in play: hit, and not foul.
    pub const fn is_in_play(self) -> bool {
        matches!(self, Self::Ground | Self::Line | Self::Fly | Self::Pop)
    }

    /// Whether a direction belongs to it: only a ball that was hit has one.
    pub const fn has_direction(self) -> bool {
        self.is_touched()
    }

    /// The same result where it was touched on the fan: a ball in play beyond a
    /// foul line is a foul. A foul stays one wherever it was touched, as a
    /// ball may cross the line in the air and be foul.
    #[must_use]
    pub fn at(self, direction_deg: f64) -> Self {
        if self.is_in_play() && !fan::is_fair(direction_deg) {
            Self::Foul
        } else {
            self
        }
    }
}

list! {
    /// How well it was hit, by ear and eye (common practice, no source).
    Quality {
        /// Off the end, the handle or the edge.
        Weak = "weak", "Weak";
        /// Met well.
        Solid = "solid", "Solid";
        /// Met well, and as hard as this hitter can.
        Hard = "hard", "Hard";
    }
}

/// One swing or take as the rules here need it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Contact {
    /// Where the ball came from.
    pub environment: Environment,
    /// The pitcher's hand or the side of the feed; none from straight ahead.
    pub feed: Option<Hand>,
    /// The side it was batted from.
    pub batted: Side,
    /// What came of it.
    pub result: ContactResult,
    /// Where it went, degrees, as in [`fan`]; none when it was not told.
    pub direction_deg: Option<f64>,
    /// How well, if it was told.
    pub quality: Option<Quality>,
}

impl Contact {
    /// The third of the field a ball went to, when it has a direction.
    pub fn third(&self) -> Option<fan::Third> {
        let direction_deg = self.direction_deg.filter(|_| self.result.has_direction())?;
        Some(fan::Third::of(direction_deg, self.batted))
    }
}

/// Why a contact was refused.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum ContactError {
    /// A direction outside [`fan::MOST_DEG`], or no number.
    #[error(
        "Direction: {low:.0} (left) to {most:.0} (right) degrees are allowed, and what was given is not. Nothing was recorded.",
        low = -fan::MOST_DEG, most = fan::MOST_DEG
    )]
    Direction {
        /// The direction given, degrees.
        given_deg: f64,
    },
    /// A direction for a swing that missed, or for a take.
    #[error(
        "Direction: only a ball that was hit has one, -90 to 90 degrees. Nothing was recorded."
    )]
    NothingHit,
}

/// A direction that may be recorded with a result: within [`fan::MOST_DEG`] on
/// both sides, and only for a ball that was hit.
pub fn checked_direction_deg(
    result: ContactResult,
    direction_deg: f64,
) -> Result<f64, ContactError> {
    if !(-fan::MOST_DEG..=fan::MOST_DEG).contains(&direction_deg) {
        Err(ContactError::Direction {
            given_deg: direction_deg,
        })
    } else if !result.has_direction() {
        Err(ContactError::NothingHit)
    } else {
        Ok(direction_deg)
    }
}
