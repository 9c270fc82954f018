//! What the set-up search is asked and what it answers; the searching is in
//! `search`.

use crate::air::Air;
use crate::ball::Ball;
use crate::cannot::CannotMatch;
use crate::error::SetUpError;
use crate::field::Level;
use crate::flight::{Flight, Launch};
use crate::machine::{MachineModel, Room};
use crate::pitch::Pitch;
use crate::range::{Given, Range, RangeError};
use crate::setup::{Leftover, MachineSetting, Seen};
use crate::spin::Spin;
use thiserror::Error;

/// What is to be matched, with what, and where.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Question {
    /// The game's ball, the air, and the laws of drag and lift; the machine
    /// throws its own ball in the same air.
    pub flight: Flight,
    /// The pitch to prepare for.
    pub pitch: Pitch,
    /// What the machine can be set to.
    pub machine: MachineModel,
    /// Where it may stand.
    pub room: Room,
    /// How much each component counts.
    pub scales: Scales,
}

impl Question {
    /// A level's typical pitch, its usual machine and room, in some air.
    pub fn usual(level: &Level, air: Air) -> Question {
        Question {
            flight: level.flight(air),
            pitch: level.game_pitch().into(),
            machine: level.usual_machine(),
            room: level.usual_room(),
            scales: Scales::default(),
        }
    }

    /// What most tests ask: the adult pitch, any machine, any room.
    #[cfg(test)]
    pub(crate) fn adult() -> Question {
        Question {
            flight: Flight::default(),
            pitch: crate::level("baseball-adult").unwrap().game_pitch().into(),
            machine: MachineModel::default(),
            room: Room::default(),
            scales: Scales::default(),
        }
    }

    /// The machine's ball in the air of the question.
    pub fn machine_flight(&self) -> Flight {
        self.flight.with_ball(self.machine.ball)
    }
}

/// The miss of each component that counts as 1: the search makes the root of
/// the sum of the squares of (leftover / scale) as small as it can.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scales {
    /// Time to the plane where the pitch is met, s.
    pub time_s: f64,
    /// Descent angle there, degrees.
    pub descent_deg: f64,
    /// Side angle there, degrees.
    pub side_deg: f64,
    /// Backspin and sidespin, rpm. Infinite when spin shall not count.
    pub spin_rpm: f64,
}

impl Default for Scales {
    /// 5 ms, a quarter of a degree each, 100 rpm. Source: our issue on the
    /// set-up search.
    fn default() -> Self {
        Scales {
            time_s: 0.005,
            descent_deg: 0.25,
            side_deg: 0.25,
            spin_rpm: 100.0,
        }
    }
}

impl Scales {
    /// Refuses a scale that is not above 0.
    pub(crate) fn check(&self) -> Result<(), MatchError> {
        let all = [
            ("the scale of time", self.time_s),
            ("the scale of descent", self.descent_deg),
            ("the scale of the side angle", self.side_deg),
            ("the scale of spin", self.spin_rpm),
        ];
        for (what, given) in all {
            if given.is_nan() || given <= 0.0 {
                return Err(MatchError::Scale {
                    what,
                    must: "above 0",
                    given,
                });
            }
        }
        Ok(())
    }
}

/// A set-up, and what it leaves over.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Solution {
    /// From the machine's release to the back point of the plate, ft.
    pub distance_ft: f64,
    /// Height of its release above plate level, ft.
    pub height_ft: f64,
    /// Its release to the side, ft; sign as in [`crate::Release::side_ft`].
    pub side_ft: f64,
    /// Speed of its ball at release, mph; on a mark of the dial.
    pub speed_mph: f64,
    /// Spin of its ball.
    pub spin: Spin,
    /// Its ball.
    pub ball: Ball,
    /// How far below level it points, degrees; negative is above level.
    pub aim_down_deg: f64,
    /// How far it is turned from straight along the field, degrees; sign as
    /// in [`crate::SetUp::aim_side_deg`].
    pub aim_side_deg: f64,
    /// What the hitter sees of the game pitch where it is met.
    pub game: Seen,
    /// What the hitter sees of the machine's ball there.
    pub machine: Seen,
    /// What is left over, machine minus game.
    pub leftover: Leftover,
    /// The spin left over, machine minus game.
    pub leftover_spin: Spin,
    /// Root of the sum of squares of leftover over scale, over time, descent,
    /// side angle, backspin and sidespin.
    pub miss: f64,
    /// Where both balls pass, m: the target, in the plane where the pitch is
    /// met.
    pub target_m: [f64; 3],
    /// The game pitch, to draw or to fly again.
    pub game_launch: Launch,
    /// The machine's ball, to draw or to fly again.
    pub machine_launch: Launch,
}

impl Solution {
    /// As a machine that stands in the cage; its backspin only, as
    /// [`MachineSetting`] has no other.
    pub fn setting(&self) -> MachineSetting {
        MachineSetting {
            distance_ft: self.distance_ft,
            height_ft: self.height_ft,
            side_ft: self.side_ft,
            speed_mph: self.speed_mph,
            backspin_rpm: self.spin.backspin_rpm,
        }
    }

    /// Whether time, descent and side angle are each within their scale. Spin
    /// is told apart, as many machines cannot set it.
    pub fn matches(&self, scales: &Scales) -> bool {
        self.leftover.time_s.abs() <= scales.time_s
            && self.leftover.descent_deg.abs() <= scales.descent_deg
            && self.leftover.side_angle_deg.abs() <= scales.side_deg
    }
}

/// Why the search has no set-up that matches.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum MatchError {
    /// An entry outside its range.
    #[error(transparent)]
    Range(#[from] RangeError),
    /// A scale or a setting error that is none.
    #[error("{what} must be {must}; {} was given", Given(*given))]
    Scale {
        /// Which one.
        what: &'static str,
        /// What it must be, as in "above 0".
        must: &'static str,
        /// What was given.
        given: f64,
    },
    /// The pitch cannot be flown, or the machine's ball meets the ground.
    #[error(transparent)]
    Flight(SetUpError),
    /// From nowhere in the room does any ball of this machine reach the
    /// target.
    #[error(
        "no ball from {} to {} ft at up to {} mph reaches the target",
        distance_ft.min,
        distance_ft.max,
        speed_max_mph
    )]
    NothingReaches {
        /// The distances of the room.
        distance_ft: Range,
        /// The fastest speed of the machine, mph.
        speed_max_mph: f64,
    },
    /// Balls reach the target, but none is like the pitch.
    #[error(transparent)]
    CannotMatch(Box<CannotMatch>),
}

impl From<SetUpError> for MatchError {
    fn from(error: SetUpError) -> Self {
        match error {
            SetUpError::Range(error) => MatchError::Range(error),
            other => MatchError::Flight(other),
        }
    }
}
