//! A machine as it stands, and what pitch that is: the way back from a set-up
//! to the game.

use crate::aim::Aimed;
use crate::air::Air;
use crate::ball::Ball;
use crate::error::SetUpError;
use crate::field::{LEVELS, Level, Sport};
use crate::flight::{Flight, Launch};
use crate::pitch::Pitch;
use crate::plane::Plane;
use crate::question::Solution;
use crate::range::{Field, RangeError, check};
use crate::setup::{Leftover, Seen, position_m};
use crate::speed::speed_for_time;
use crate::spin::Spin;
use crate::units::mph_to_m_s;

/// Time a hitter's swing takes, from the decision to contact, s. Common
/// practice, no source; to be edited for a hitter.
pub const USUAL_SWING_S: f64 = 0.15;

/// A machine as it stands and is set, with the whole spin of its ball.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Placed {
    /// From its release to the back point of the plate, ft.
    pub distance_ft: f64,
    /// Height of its release above plate level, ft.
    pub height_ft: f64,
    /// Its release to the side, ft; sign as in [`crate::Release::side_ft`].
    pub side_ft: f64,
    /// Speed of its ball at release, mph.
    pub speed_mph: f64,
    /// Spin of its ball.
    pub spin: Spin,
    /// Its ball.
    pub ball: Ball,
}

impl From<&Solution> for Placed {
    fn from(solution: &Solution) -> Placed {
        Placed {
            distance_ft: solution.distance_ft,
            height_ft: solution.height_ft,
            side_ft: solution.side_ft,
            speed_mph: solution.speed_mph,
            spin: solution.spin,
            ball: solution.ball,
        }
    }
}

/// The game pitch a machine stands for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WhatPitch {
    /// Speed at release of the game pitch that takes the same time, mph.
    pub speed_mph: f64,
    /// What the hitter sees of that pitch where it is met.
    pub game: Seen,
    /// What the hitter sees of the machine's ball there.
    pub machine: Seen,
    /// What is left over, machine minus game; time is the same within 1e-9 s.
    pub leftover: Leftover,
    /// The spin left over, machine minus game.
    pub leftover_spin: Spin,
    /// How long the hitter has to decide, s: the time to contact less the
    /// swing. Negative when even a swing begun at release is late.
    pub decide_s: f64,
    /// The game pitch, to draw or to fly again.
    pub game_launch: Launch,
    /// The machine's ball, to draw or to fly again.
    pub machine_launch: Launch,
}

impl Placed {
    /// Refuses an entry outside its range.
    pub fn check(&self) -> Result<(), RangeError> {
        check(Field::FeedDistance, self.distance_ft)?;
        check(Field::FeedHeight, self.height_ft)?;
        check(Field::FeedSide, self.side_ft)?;
        check(Field::FeedSpeed, self.speed_mph)?;
        for part in [
            self.spin.backspin_rpm,
            self.spin.sidespin_rpm,
            self.spin.gyro_rpm,
        ] {
            check(Field::MachineSpin, part)?;
        }
        Ok(())
    }

    /// Where it lets go of the ball, m.
    pub(crate) fn position_m(&self) -> [f64; 3] {
        position_m(self.side_ft, self.distance_ft, self.height_ft)
    }

    /// Its ball, aimed at a target, m, in the air of `flight`; the ball of
    /// `flight` is the game's and not used.
    ///
    /// Errors: [`SetUpError::Range`] and [`SetUpError::Machine`].
    pub fn thrown(&self, flight: &Flight, target_m: [f64; 3]) -> Result<Aimed, SetUpError> {
        self.check()?;
        let spin_rad_s = self.spin.vector_rad_s();
        flight
            .with_ball(self.ball)
            .aim_with_spin(
                self.position_m(),
                mph_to_m_s(self.speed_mph),
                spin_rad_s,
                target_m,
            )
            .map_err(SetUpError::Machine)
    }

    /// The game pitch that takes the same time from the release of `like` to
    /// where it is met; the speed of `like` does not matter.
    ///
    /// Errors: [`SetUpError::Range`]; [`SetUpError::Machine`] when this ball
    /// does not get there; [`SetUpError::NoSpeed`] when no game speed takes
    /// that time.
    pub fn stands_for(
        &self,
        flight: &Flight,
        like: &Pitch,
        swing_s: f64,
    ) -> Result<WhatPitch, SetUpError> {
        check(Field::SwingTime, swing_s)?;
        let usual_mph = 90.0;
        Pitch {
            speed_mph: usual_mph,
            ..*like
        }
        .check()?;
        let ball = self.thrown(flight, like.target_m())?;
        let pitch = speed_for_time(Field::GameSpeed, ball.arrival.time_s, |speed_mph| {
            flight.aim_with_spin(
                like.release.position_m(),
                mph_to_m_s(speed_mph),
                like.spin.vector_rad_s(),
                like.target_m(),
            )
        })?;
        let game = Seen::from(&pitch.aimed.arrival);
        let machine = Seen::from(&ball.arrival);
        Ok(WhatPitch {
            speed_mph: pitch.speed_mph,
            game,
            machine,
            leftover: Leftover::between(&machine, &game),
            leftover_spin: self.spin.minus(like.spin),
            decide_s: machine.time_s - swing_s,
            game_launch: pitch.aimed.launch,
            machine_launch: ball.launch,
        })
    }

    /// The level of a sport whose typical pitch this ball is most like, by its
    /// speed over that level's, and the pitch it stands for there. A machine
    /// on the first-base side copies a left-handed pitcher. `None` when it
    /// stands for no pitch at any level.
    ///
    /// Errors: [`RangeError`] when an entry is outside its range.
    pub fn level_like(
        &self,
        sport: Sport,
        air: Air,
        met_at: Plane,
        swing_s: f64,
    ) -> Result<Option<(&'static Level, WhatPitch)>, RangeError> {
        self.check()?;
        met_at.check()?;
        check(Field::SwingTime, swing_s)?;
        let off = |level: &Level, pitch: &WhatPitch| (pitch.speed_mph / level.speed_mph).ln().abs();
        let nearest = LEVELS
            .iter()
            .filter(|level| level.sport == sport)
            .filter_map(|level| {
                let usual = Pitch {
                    met_at,
                    ..level.game_pitch().into()
                };
                let like = match self.side_ft > 0.0 {
                    true => usual.mirrored(),
                    false => usual,
                };
                let pitch = self.stands_for(&level.flight(air), &like, swing_s).ok()?;
                Some((level, pitch))
            })
            .min_by(|(a, one), (b, other)| off(a, one).total_cmp(&off(b, other)));
        Ok(nearest)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Question;

    #[test]
    fn a_solved_set_up_stands_for_the_pitch_it_was_solved_for() {
        let question = Question::adult();
        let best = question.best_at(44.0);
        let best = match best {
            Err(crate::MatchError::CannotMatch(cannot)) => cannot.closest,
            other => other.unwrap(),
        };
        let back = Placed::from(&best)
            .stands_for(&question.flight, &question.pitch, USUAL_SWING_S)
            .unwrap();
        // A dial with marks leaves a little time over, which is speed here.
        let by_time = 1.0 - best.leftover.time_s / best.game.time_s;
        assert!(
            (back.speed_mph / (92.0 * by_time) - 1.0).abs() < 1e-3,
            "{back:?}"
        );
        assert!(back.leftover.time_s.abs() < 1e-9);
        assert!((back.decide_s - (back.machine.time_s - 0.15)).abs() < 1e-12);
    }

    #[test]
    fn the_level_of_each_levels_own_machine_is_that_level() {
        for level in LEVELS {
            let pitch: Pitch = level.game_pitch().into();
            let machine = Placed {
                distance_ft: level.release.distance_ft,
                height_ft: level.release.height_ft,
                side_ft: level.release.side_ft,
                speed_mph: level.speed_mph,
                spin: pitch.spin,
                ball: level.ball,
            };
            let (like, what) = machine
                .level_like(level.sport, Air::default(), Plane::PlatePoint, 0.15)
                .unwrap()
                .unwrap();
            assert_eq!(like.id, level.id);
            assert!((what.speed_mph - level.speed_mph).abs() < 1e-6);
        }
    }

    #[test]
    fn a_left_handers_machine_is_read_as_a_left_handers_pitch() {
        let machine =
            Placed::from(
                &Question::adult()
                    .best_at(44.0)
                    .unwrap_or_else(|error| match error {
                        crate::MatchError::CannotMatch(cannot) => cannot.closest,
                        other => panic!("{other}"),
                    }),
            );
        let mirrored = Placed {
            side_ft: -machine.side_ft,
            spin: machine.spin.mirrored(),
            ..machine
        };
        let read = |placed: &Placed| {
            let plane = Plane::TYPICAL_CONTACT;
            placed
                .level_like(Sport::Baseball, Air::default(), plane, 0.15)
                .unwrap()
                .unwrap()
                .1
        };
        let (right, left) = (read(&machine), read(&mirrored));
        assert!((right.speed_mph - left.speed_mph).abs() < 1e-9);
        assert!((right.leftover.side_angle_deg + left.leftover.side_angle_deg).abs() < 1e-9);
    }

    #[test]
    fn an_entry_that_is_none_is_refused_and_a_rocket_stands_for_nothing() {
        let machine = Placed {
            distance_ft: 20.0,
            height_ft: 3.0,
            side_ft: 0.0,
            speed_mph: 100.0,
            spin: Spin::default(),
            ball: crate::SOFTBALL_12,
        };
        let at = |machine: Placed, swing_s| {
            machine.level_like(Sport::Softball, Air::default(), Plane::PlatePoint, swing_s)
        };
        assert_eq!(at(machine, 0.15), Ok(None));
        let wild = Placed {
            height_ft: f64::NAN,
            ..machine
        };
        assert_eq!(at(wild, 0.15).unwrap_err().field, Field::FeedHeight);
        assert_eq!(at(machine, 9.0).unwrap_err().field, Field::SwingTime);
    }
}
