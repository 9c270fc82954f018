//! The other ways to feed a hitter, held against the game pitch: batting
//! practice from behind a screen, front toss, side toss, tee.
//!
//! Distances, heights and speeds are common practice, from memory, no source;
//! all to be edited.

use crate::ball::BASEBALL;
use crate::flight::Flight;
use crate::machine::{MachineModel, Room};
use crate::pitch::Pitch;
use crate::question::{MatchError, Question, Scales, Solution};
use crate::span::Span;
use crate::wheels::Wheels;

/// Speeds at the plate that differ by less than this are the same to a hitter,
/// mph. Ours, no source.
const SPEED_SCALE_MPH: f64 = 3.0;

/// A way to feed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Feed {
    /// Name in records: the id of the environment in the shared list.
    pub id: &'static str,
    /// Name on the screen, in English.
    pub name: &'static str,
    /// What the feeder can throw and from where; `None` when no ball flies. A
    /// side toss is fed from the first-base side, to a hitter who bats right.
    pub throws: Option<(MachineModel, Room)>,
}

const fn thrower(
    height_ft: Span,
    speed_mph: Span,
    backspin_rpm: f64,
    distance_ft: Span,
    side_ft: Span,
) -> Option<(MachineModel, Room)> {
    Some((
        MachineModel {
            height_ft,
            speed_mph,
            speed_step_mph: 0.0,
            wheels: Wheels::Arm { backspin_rpm },
            feed_delay_s: 0.0,
            ball: BASEBALL,
        },
        Room {
            distance_ft,
            side_ft,
        },
    ))
}

/// All ways to feed by hand, and the tee.
pub const FEEDS: &[Feed] = &[
    Feed {
        id: "short-batting-practice",
        name: "Batting practice from behind a screen",
        throws: thrower(
            Span::new(5.0, 6.5),
            Span::new(35.0, 65.0),
            1200.0,
            Span::new(30.0, 45.0),
            Span::new(-2.0, 2.0),
        ),
    },
    Feed {
        id: "front-toss",
        name: "Front toss",
        throws: thrower(
            Span::new(2.0, 4.0),
            Span::new(15.0, 28.0),
            0.0,
            Span::new(12.0, 20.0),
            Span::new(-1.5, 1.5),
        ),
    },
    Feed {
        id: "side-toss",
        name: "Side toss",
        throws: thrower(
            Span::new(2.0, 3.5),
            Span::new(8.0, 16.0),
            0.0,
            Span::new(4.0, 7.0),
            Span::new(4.0, 7.0),
        ),
    },
    Feed {
        id: "tee",
        name: "Tee",
        throws: None,
    },
];

/// The way to feed with this id, if there is one.
pub fn feed(id: &str) -> Option<&'static Feed> {
    FEEDS.iter().find(|feed| feed.id == id)
}

/// How one component of a feed compares with the game pitch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// Within its scale.
    Matches,
    /// Off by more; the closest set-up says by how much.
    Off,
    /// No ball flies.
    NoFlight,
}

/// What a way to feed matches of a game pitch, component by component.
#[derive(Debug, Clone, PartialEq)]
pub struct FeedMatch {
    /// Time to the plane where the pitch is met.
    pub time: Verdict,
    /// Descent angle there.
    pub descent: Verdict,
    /// Side angle there.
    pub side_angle: Verdict,
    /// The spin that moves the ball.
    pub spin: Verdict,
    /// Speed there.
    pub speed_at_plate: Verdict,
    /// The set-up that comes closest, if a ball flies; its leftovers are how
    /// far each component is off.
    pub closest: Option<Solution>,
}

impl Feed {
    /// What this way to feed, with the game's ball, matches of a game pitch when the feeder stands
    /// and throws as well for it as the limits allow.
    ///
    /// Errors: as [`Question::best`], but no [`MatchError::CannotMatch`].
    pub fn against(
        &self,
        flight: &Flight,
        pitch: &Pitch,
        scales: &Scales,
    ) -> Result<FeedMatch, MatchError> {
        let Some((machine, room)) = self.throws else {
            return Ok(FeedMatch {
                time: Verdict::NoFlight,
                descent: Verdict::NoFlight,
                side_angle: Verdict::NoFlight,
                spin: Verdict::NoFlight,
                speed_at_plate: Verdict::NoFlight,
                closest: None,
            });
        };
        let question = Question {
            flight: *flight,
            pitch: *pitch,
            machine: MachineModel {
                ball: flight.ball,
                ..machine
            },
            room,
            scales: *scales,
        };
        let closest = match question.best() {
            Err(MatchError::CannotMatch(cannot)) => cannot.closest,
            other => other?,
        };
        let within = |left: f64, scale: f64| match left.abs() <= scale {
            true => Verdict::Matches,
            false => Verdict::Off,
        };
        let left = closest.leftover;
        Ok(FeedMatch {
            time: within(left.time_s, scales.time_s),
            descent: within(left.descent_deg, scales.descent_deg),
            side_angle: within(left.side_angle_deg, scales.side_deg),
            spin: within(closest.leftover_spin.moving_rpm(), scales.spin_rpm),
            speed_at_plate: within(left.speed_at_plate_mph, SPEED_SCALE_MPH),
            closest: Some(closest),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Plane, level};

    fn against_adult(id: &str) -> FeedMatch {
        let pitch = Pitch {
            met_at: Plane::TYPICAL_CONTACT,
            ..level("baseball-adult").unwrap().game_pitch().into()
        };
        feed(id)
            .unwrap()
            .against(&Flight::default(), &pitch, &Scales::default())
            .unwrap()
    }

    #[test]
    fn batting_practice_matches_time_but_neither_descent_nor_speed() {
        let practice = against_adult("short-batting-practice");
        assert_eq!(practice.time, Verdict::Matches);
        assert_eq!(practice.side_angle, Verdict::Matches);
        assert_eq!(practice.descent, Verdict::Off);
        assert_eq!(practice.speed_at_plate, Verdict::Off);
        let left = practice.closest.unwrap().leftover;
        assert!(
            left.descent_deg > 1.0 && left.speed_at_plate_mph < -15.0,
            "{left:?}"
        );
    }

    #[test]
    fn a_side_toss_comes_from_the_side_whatever_the_feeder_does() {
        let toss = against_adult("side-toss");
        assert_eq!(toss.side_angle, Verdict::Off);
        let left = toss.closest.unwrap().leftover;
        assert!(left.side_angle_deg.abs() > 20.0, "{left:?}");
    }

    #[test]
    fn a_front_toss_matches_the_side_angle_and_not_the_speed() {
        let toss = against_adult("front-toss");
        assert_eq!(toss.side_angle, Verdict::Matches);
        assert_eq!(toss.speed_at_plate, Verdict::Off);
    }

    #[test]
    fn nothing_flies_from_a_tee() {
        let tee = against_adult("tee");
        assert_eq!((tee.time, tee.closest), (Verdict::NoFlight, None));
        assert_eq!(feed("no such feed"), None);
    }
}
