//! Pitch types by their physics only: how fast against the fastball, how much
//! spin, which way it pushes, how much of it is gyro.
//!
//! All ranges are common practice, from memory, no source: starting values for
//! the coach to edit. They are for a right-handed pitcher; the other hand is
//! the mirror image.

use crate::field::{Level, Sport};
use crate::pitch::Pitch;
use crate::span::Span;
use crate::spin::Spin;

/// A kind of pitch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PitchType {
    /// Name in records; never changes once published.
    pub id: &'static str,
    /// Name on the screen, in English.
    pub name: &'static str,
    /// The sport it is thrown in.
    pub sport: Sport,
    /// Speed at release over that of the same pitcher's fastball.
    pub speed_share: Span,
    /// Rate of the whole spin of an adult's pitch, rpm.
    pub spin_rpm: Span,
    /// Which way the spin pushes a right-hander's ball, as in
    /// [`Spin::tilted`], degrees: 0 up, 90 toward the first-base side, 180
    /// down, negative toward the third-base side.
    pub tilt_deg: Span,
    /// Gyro part over the whole.
    pub gyro_share: Span,
}

/// Speed of the adult fastball that `spin_rpm` goes with, mph: slower pitchers
/// spin the ball less, about in step with their speed.
const fn adult_mph(sport: Sport) -> f64 {
    match sport {
        Sport::Baseball => 92.0,
        Sport::Softball => 60.0,
    }
}

impl PitchType {
    /// The middle pitch of this kind at a level, by a right-handed pitcher:
    /// [`Pitch::mirrored`] is the left-hander's. Speed by the level's fastball,
    /// spin in step with that fastball against the adult's.
    pub fn pitch(&self, level: &Level) -> Pitch {
        let share_of_adult = level.speed_mph / adult_mph(level.sport);
        Pitch {
            speed_mph: level.speed_mph * self.speed_share.middle(),
            spin: Spin::tilted(
                self.spin_rpm.middle() * share_of_adult,
                self.tilt_deg.middle(),
                self.gyro_share.middle(),
            ),
            ..level.game_pitch().into()
        }
    }
}

/// The kind of pitch with this id, if there is one.
pub fn pitch_type(id: &str) -> Option<&'static PitchType> {
    PITCH_TYPES.iter().find(|kind| kind.id == id)
}

/// All kinds of pitch, baseball first.
pub const PITCH_TYPES: &[PitchType] = &[
    PitchType {
        id: "baseball-fastball",
        name: "Fastball",
        sport: Sport::Baseball,
        speed_share: Span::new(0.98, 1.02),
        spin_rpm: Span::new(2000.0, 2500.0),
        tilt_deg: Span::new(-35.0, -5.0),
        gyro_share: Span::new(0.0, 0.3),
    },
    PitchType {
        id: "baseball-sinking",
        name: "Sinking fastball",
        sport: Sport::Baseball,
        speed_share: Span::new(0.96, 1.0),
        spin_rpm: Span::new(1900.0, 2300.0),
        tilt_deg: Span::new(-80.0, -45.0),
        gyro_share: Span::new(0.0, 0.35),
    },
    PitchType {
        id: "baseball-cutting",
        name: "Cutting fastball",
        sport: Sport::Baseball,
        speed_share: Span::new(0.93, 0.97),
        spin_rpm: Span::new(2100.0, 2600.0),
        tilt_deg: Span::new(0.0, 40.0),
        gyro_share: Span::new(0.4, 0.8),
    },
    PitchType {
        id: "baseball-breaking",
        name: "Breaking ball",
        sport: Sport::Baseball,
        speed_share: Span::new(0.8, 0.9),
        spin_rpm: Span::new(2200.0, 2800.0),
        tilt_deg: Span::new(110.0, 160.0),
        gyro_share: Span::new(0.2, 0.7),
    },
    PitchType {
        id: "baseball-changeup",
        name: "Changeup",
        sport: Sport::Baseball,
        speed_share: Span::new(0.86, 0.92),
        spin_rpm: Span::new(1400.0, 2000.0),
        tilt_deg: Span::new(-75.0, -35.0),
        gyro_share: Span::new(0.0, 0.4),
    },
    PitchType {
        id: "softball-fastball",
        name: "Fastball",
        sport: Sport::Softball,
        speed_share: Span::new(0.98, 1.02),
        spin_rpm: Span::new(800.0, 1200.0),
        tilt_deg: Span::new(150.0, 210.0),
        gyro_share: Span::new(0.2, 0.7),
    },
    PitchType {
        id: "softball-rising",
        name: "Rise ball",
        sport: Sport::Softball,
        speed_share: Span::new(0.93, 0.98),
        spin_rpm: Span::new(1000.0, 1500.0),
        tilt_deg: Span::new(-20.0, 20.0),
        gyro_share: Span::new(0.3, 0.8),
    },
    PitchType {
        id: "softball-sinking",
        name: "Drop ball",
        sport: Sport::Softball,
        speed_share: Span::new(0.93, 0.98),
        spin_rpm: Span::new(1000.0, 1500.0),
        tilt_deg: Span::new(165.0, 195.0),
        gyro_share: Span::new(0.0, 0.4),
    },
    PitchType {
        id: "softball-breaking",
        name: "Curve ball",
        sport: Sport::Softball,
        speed_share: Span::new(0.9, 0.96),
        spin_rpm: Span::new(1000.0, 1500.0),
        tilt_deg: Span::new(80.0, 120.0),
        gyro_share: Span::new(0.2, 0.6),
    },
    PitchType {
        id: "softball-changeup",
        name: "Changeup",
        sport: Sport::Softball,
        speed_share: Span::new(0.72, 0.85),
        spin_rpm: Span::new(500.0, 1000.0),
        tilt_deg: Span::new(-30.0, 30.0),
        gyro_share: Span::new(0.0, 0.5),
    },
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::air::Air;
    use crate::field::{LEVELS, level};
    use std::collections::HashSet;

    fn of(id: &str) -> Pitch {
        pitch_type(id)
            .unwrap()
            .pitch(level("baseball-adult").unwrap())
    }

    /// How far the spin moves the ball at the back point: toward +x and up, m.
    fn moved_by_spin(pitch: &Pitch) -> [f64; 2] {
        let flight = level("baseball-adult").unwrap().flight(Air::default());
        let thrown = pitch.thrown(&flight).unwrap();
        let still = crate::Launch {
            spin_rad_s: [0.0; 3],
            ..thrown.launch
        };
        let without = flight.fly_through_ground(&still, 0.0).unwrap();
        [0, 2].map(|i| thrown.arrival.position_m[i] - without.position_m[i])
    }

    #[test]
    fn a_right_handers_pitches_move_the_way_the_trade_says() {
        // Common practice: the fastball rides, sinkers and changeups run to
        // the arm side (third base, -x), cutters and breaking balls to the
        // glove side, and the breaking ball drops.
        let [x, z] = moved_by_spin(&of("baseball-fastball"));
        assert!(x < 0.0 && z > 0.2);
        let [sink_x, sink_z] = moved_by_spin(&of("baseball-sinking"));
        assert!(sink_x < x && sink_z < z);
        assert!(moved_by_spin(&of("baseball-cutting"))[0] > 0.0);
        let [break_x, break_z] = moved_by_spin(&of("baseball-breaking"));
        assert!(break_x > 0.1 && break_z < -0.1);
        assert!(moved_by_spin(&of("baseball-changeup"))[0] < 0.0);
    }

    #[test]
    fn a_left_handers_pitch_is_the_mirror_image() {
        for kind in PITCH_TYPES
            .iter()
            .filter(|kind| kind.sport == Sport::Baseball)
        {
            let pitch = kind.pitch(level("baseball-adult").unwrap());
            let (right, left) = (moved_by_spin(&pitch), moved_by_spin(&pitch.mirrored()));
            assert!((right[0] + left[0]).abs() < 1e-9 && (right[1] - left[1]).abs() < 1e-9);
        }
    }

    #[test]
    fn every_kind_is_flown_at_every_level_of_its_sport() {
        for level in LEVELS {
            let flight = level.flight(Air::default());
            for kind in PITCH_TYPES.iter().filter(|kind| kind.sport == level.sport) {
                let pitch = kind.pitch(level);
                let thrown = pitch.thrown(&flight).unwrap();
                assert!(thrown.arrival.time_s < 1.0, "{} {}", level.id, kind.id);
                assert!(pitch.speed_mph <= level.speed_mph + 1e-9);
            }
        }
    }

    #[test]
    fn the_ids_are_their_own_and_each_sport_has_the_five_kinds() {
        let ids: HashSet<_> = PITCH_TYPES.iter().map(|kind| kind.id).collect();
        assert_eq!(ids.len(), PITCH_TYPES.len());
        for sport in ["baseball", "softball"] {
            for kind in ["fastball", "sinking", "breaking", "changeup"] {
                assert!(pitch_type(&format!("{sport}-{kind}")).is_some());
            }
        }
        for sport in [Sport::Baseball, Sport::Softball] {
            let kinds = PITCH_TYPES.iter().filter(|kind| kind.sport == sport);
            assert_eq!(kinds.count(), 5);
        }
        assert!(pitch_type("baseball-cutting").is_some());
        assert_eq!(pitch_type("no such pitch"), None);
    }
}
