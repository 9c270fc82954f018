//! What can go wrong with a flight or a set-up, a sentence a case.

use crate::range::RangeError;
use crate::units::{m_s_to_mph, m_to_ft};
use thiserror::Error;

/// Why a ball cannot be flown.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum FlightError {
    /// A part of the ball, the air or the launch that is no usable number.
    #[error("{what} must be a number {must}; {given} was given")]
    Unusable {
        /// What was wrong, in plain words.
        what: &'static str,
        /// What it must be, as in "above 0".
        must: &'static str,
        /// What was given, SI units.
        given: f64,
    },
    /// The release does not lie on the pitcher's side of the plane.
    #[error(
        "the ball starts {:.2} ft from the back of the plate, not in front of the plane at {:.2} ft",
        m_to_ft(*release_y_m),
        m_to_ft(*plane_y_m)
    )]
    BehindPlane {
        /// Where the ball starts, m.
        release_y_m: f64,
        /// Where the plane stands, m.
        plane_y_m: f64,
    },
    /// The ball stops moving toward the plate, or takes longer than any pitch.
    #[error("the ball never reaches the plane; it came to {:.2} ft", m_to_ft(*nearest_y_m))]
    NeverReaches {
        /// The nearest place that was computed, m from the back of the plate.
        nearest_y_m: f64,
    },
    /// The middle of the ball comes below plate level before the plane.
    #[error("the ball hits the ground {:.1} ft from the back of the plate", m_to_ft(*y_m))]
    HitsGround {
        /// Where it does, m from the back of the plate.
        y_m: f64,
        /// When it does, s after release.
        time_s: f64,
    },
    /// The speed is too low to carry the ball to the target at any angle.
    #[error(
        "at {:.1} mph no aim carries the ball {:.1} ft to the target",
        m_s_to_mph(*speed_m_s),
        m_to_ft(*distance_m)
    )]
    OutOfReach {
        /// The speed at release, m/s.
        speed_m_s: f64,
        /// The distance from release to target along the field, m.
        distance_m: f64,
    },
}

/// Why no set-up can be named.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum SetUpError {
    /// An entry outside its range.
    #[error(transparent)]
    Range(#[from] RangeError),
    /// The pitch of the game cannot be flown.
    #[error("Game pitch: {0}")]
    GamePitch(FlightError),
    /// The machine's ball cannot be flown.
    #[error("Machine: {0}")]
    Machine(FlightError),
    /// No speed of the range gives the time that is needed.
    #[error(
        "no {field} from {min_mph} to {max_mph} mph takes {wanted_s:.3} s to the plate; \
         {} mph takes {nearest_s:.3} s",
        ((nearest_mph * 10.0).round() / 10.0)
    )]
    NoSpeed {
        /// Whose speed was searched.
        field: crate::Field,
        /// Time to the plate that was asked for, s.
        wanted_s: f64,
        /// Slowest speed that was allowed, mph.
        min_mph: f64,
        /// Fastest speed that was allowed, mph.
        max_mph: f64,
        /// The speed that comes nearest, mph.
        nearest_mph: f64,
        /// The time that speed takes, s.
        nearest_s: f64,
    },
}
