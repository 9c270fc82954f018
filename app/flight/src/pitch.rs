//! A game pitch with its full spin, and where it is met.

use crate::aim::Aimed;
use crate::error::SetUpError;
use crate::flight::Flight;
use crate::plane::Plane;
use crate::range::{Field, RangeError, check};
use crate::setup::{GamePitch, Release};
use crate::spin::Spin;
use crate::units::{ft_to_m, mph_to_m_s};

/// The pitch to prepare for: as [`GamePitch`], with the whole spin and the
/// plane in which it is met.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pitch {
    /// Speed at release, mph.
    pub speed_mph: f64,
    /// Where it is let go.
    pub release: Release,
    /// Its spin.
    pub spin: Spin,
    /// Height over the middle of the plate at which it passes the plane
    /// `met_at`, ft above plate level: the middle of this hitter's zone.
    pub target_height_ft: f64,
    /// Where times and angles are taken.
    pub met_at: Plane,
}

impl From<GamePitch> for Pitch {
    /// Backspin alone, met at the back point of the plate.
    fn from(game: GamePitch) -> Pitch {
        Pitch {
            speed_mph: game.speed_mph,
            release: game.release,
            spin: Spin::backspin(game.backspin_rpm),
            target_height_ft: game.target_height_ft,
            met_at: Plane::PlatePoint,
        }
    }
}

impl Pitch {
    /// The same pitch by a pitcher of the other hand.
    pub fn mirrored(self) -> Pitch {
        Pitch {
            release: self.release.mirrored(),
            spin: self.spin.mirrored(),
            ..self
        }
    }

    /// Where it passes the plane in which it is met, m.
    pub fn target_m(&self) -> [f64; 3] {
        [0.0, self.met_at.y_m(), ft_to_m(self.target_height_ft)]
    }

    /// Refuses an entry outside its range.
    pub fn check(&self) -> Result<(), RangeError> {
        check(Field::GameSpeed, self.speed_mph)?;
        self.release.check()?;
        for part in [
            self.spin.backspin_rpm,
            self.spin.sidespin_rpm,
            self.spin.gyro_rpm,
        ] {
            check(Field::GameSpin, part)?;
        }
        check(Field::TargetHeight, self.target_height_ft)?;
        self.met_at.check()
    }

    /// The pitch in the air.
    ///
    /// Errors: [`SetUpError::Range`], and [`SetUpError::GamePitch`] when it
    /// cannot be flown.
    pub fn thrown(&self, flight: &Flight) -> Result<Aimed, SetUpError> {
        self.check()?;
        flight
            .aim_with_spin(
                self.release.position_m(),
                mph_to_m_s(self.speed_mph),
                self.spin.vector_rad_s(),
                self.target_m(),
            )
            .map_err(SetUpError::GamePitch)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::field::level;

    fn adult() -> Pitch {
        level("baseball-adult").unwrap().game_pitch().into()
    }

    #[test]
    fn a_pitch_passes_its_target_in_the_plane_where_it_is_met() {
        let pitch = Pitch {
            met_at: Plane::TYPICAL_CONTACT,
            ..adult()
        };
        let thrown = pitch.thrown(&Flight::default()).unwrap();
        for (passed, target) in thrown.arrival.position_m.iter().zip(pitch.target_m()) {
            assert!((passed - target).abs() < 1e-9);
        }
        let at_point = adult().thrown(&Flight::default()).unwrap();
        assert!(thrown.arrival.time_s < at_point.arrival.time_s - 0.01);
    }

    #[test]
    fn every_entry_of_a_pitch_is_checked() {
        let nan = f64::NAN;
        let spin = |spin: Spin| Pitch { spin, ..adult() };
        let cases = [
            (
                Field::GameSpeed,
                Pitch {
                    speed_mph: nan,
                    ..adult()
                },
            ),
            (
                Field::GameSpin,
                spin(Spin {
                    backspin_rpm: 4001.0,
                    ..Spin::default()
                }),
            ),
            (
                Field::GameSpin,
                spin(Spin {
                    sidespin_rpm: nan,
                    ..Spin::default()
                }),
            ),
            (
                Field::GameSpin,
                spin(Spin {
                    gyro_rpm: -9e9,
                    ..Spin::default()
                }),
            ),
            (
                Field::TargetHeight,
                Pitch {
                    target_height_ft: 9.0,
                    ..adult()
                },
            ),
            (
                Field::ContactDepth,
                Pitch {
                    met_at: Plane::Contact { depth_in: 99.0 },
                    ..adult()
                },
            ),
        ];
        for (field, pitch) in cases {
            assert_eq!(pitch.check().unwrap_err().field, field);
            assert!(pitch.thrown(&Flight::default()).is_err());
        }
    }

    #[test]
    fn the_other_hand_throws_the_mirror_image() {
        let pitch = Pitch {
            spin: Spin::tilted(2200.0, -30.0, 0.1),
            ..adult()
        };
        let one = pitch.thrown(&Flight::default()).unwrap().arrival;
        let other = pitch.mirrored().thrown(&Flight::default()).unwrap().arrival;
        assert!((one.time_s - other.time_s).abs() < 1e-12);
        assert!((one.side_angle_rad() + other.side_angle_rad()).abs() < 1e-12);
    }
}
