//! The levels of play as data: distances, and a typical pitch of each.
//!
//! Distances of the rubber come from the rule books; everything about the
//! typical pitch is a starting value for the coach to edit. All of it is from
//! memory unless a source is named at the value, and each level carries the
//! same in `source` for the screen. Slow-pitch softball is out of scope.

use crate::air::Air;
use crate::ball::{BASEBALL, Ball, SOFTBALL_11, SOFTBALL_12};
use crate::flight::Flight;
use crate::range::{Field, Range, allowed};
use crate::setup::{GamePitch, Release};

/// The sport.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Sport {
    /// Baseball.
    Baseball,
    /// Fast-pitch softball.
    Softball,
}

impl Sport {
    /// The stored text id; it never changes meaning.
    pub const fn id(self) -> &'static str {
        match self {
            Sport::Baseball => "baseball",
            Sport::Softball => "softball",
        }
    }
}

/// A level of play.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Level {
    /// Name in records; never changes once published.
    pub id: &'static str,
    /// Name on the screen, in English.
    pub name: &'static str,
    /// The sport.
    pub sport: Sport,
    /// The ball.
    pub ball: Ball,
    /// Front of the rubber to the back point of the plate, ft.
    pub rubber_to_plate_ft: f64,
    /// Typical speed of a game fastball at release, mph.
    pub speed_mph: f64,
    /// Its typical backspin, rpm.
    pub backspin_rpm: f64,
    /// Its typical release by a right-handed pitcher, heights from plate level.
    pub release: Release,
    /// Middle of the zone, ft above plate level.
    pub target_height_ft: f64,
    /// Where the numbers come from, for the screen.
    pub source: &'static str,
}

impl Level {
    /// The typical pitch of this level, right-handed.
    pub fn game_pitch(&self) -> GamePitch {
        GamePitch {
            speed_mph: self.speed_mph,
            release: self.release,
            backspin_rpm: self.backspin_rpm,
            target_height_ft: self.target_height_ft,
        }
    }

    /// The ball of this level in the given air, drag and lift as the default.
    pub fn flight(&self, air: Air) -> Flight {
        Flight {
            ball: self.ball,
            air,
            ..Flight::default()
        }
    }

    /// [`allowed`], narrowed to this level: nobody lets go of the ball, and no
    /// machine stands, behind its rubber.
    pub fn allowed(&self, field: Field) -> Range {
        match field {
            Field::ReleaseDistance | Field::MachineDistance => {
                allowed(field).up_to(self.rubber_to_plate_ft)
            }
            _ => allowed(field),
        }
    }
}

/// The level with this id, if there is one.
pub fn level(id: &str) -> Option<&'static Level> {
    LEVELS.iter().find(|level| level.id == id)
}

/// All levels, baseball first, oldest hitters first.
pub const LEVELS: &[Level] = &[
    Level {
        id: "baseball-adult",
        name: "Adult baseball",
        sport: Sport::Baseball,
        ball: BASEBALL,
        // Official Baseball Rules, rule 2.01.
        rubber_to_plate_ft: 60.5,
        // Design's reference pitch.
        speed_mph: 92.0,
        backspin_rpm: 2200.0,
        // Common practice, no source: 54 to 55 ft from the plate, about 6 ft
        // high, 1 to 1.5 ft to the side.
        release: Release {
            distance_ft: 55.0,
            height_ft: 6.0,
            side_ft: -1.25,
        },
        // Design's reference pitch.
        target_height_ft: 2.5,
        source: "Distance: Official Baseball Rules, rule 2.01. Pitch: common practice.",
    },
    Level {
        id: "baseball-college",
        name: "College baseball",
        sport: Sport::Baseball,
        ball: BASEBALL,
        // From memory: the same as in rule 2.01.
        rubber_to_plate_ft: 60.5,
        // From memory, as all below.
        speed_mph: 88.0,
        backspin_rpm: 2150.0,
        release: Release {
            distance_ft: 55.0,
            height_ft: 5.9,
            side_ft: -1.25,
        },
        target_height_ft: 2.5,
        source: "From memory.",
    },
    Level {
        id: "baseball-high-school",
        name: "High-school baseball",
        sport: Sport::Baseball,
        ball: BASEBALL,
        // From memory: the same as in rule 2.01.
        rubber_to_plate_ft: 60.5,
        // From memory, as all below.
        speed_mph: 80.0,
        backspin_rpm: 2000.0,
        release: Release {
            distance_ft: 55.0,
            height_ft: 5.8,
            side_ft: -1.25,
        },
        target_height_ft: 2.4,
        source: "From memory.",
    },
    Level {
        id: "baseball-youth-54",
        name: "Youth baseball, 54 ft",
        sport: Sport::Baseball,
        ball: BASEBALL,
        // From memory, as all below.
        rubber_to_plate_ft: 54.0,
        speed_mph: 68.0,
        backspin_rpm: 1700.0,
        release: Release {
            distance_ft: 49.0,
            height_ft: 5.4,
            side_ft: -1.1,
        },
        target_height_ft: 2.2,
        source: "From memory.",
    },
    Level {
        id: "baseball-youth-50",
        name: "Youth baseball, 50 ft",
        sport: Sport::Baseball,
        ball: BASEBALL,
        // From memory, as all below.
        rubber_to_plate_ft: 50.0,
        speed_mph: 61.0,
        backspin_rpm: 1500.0,
        release: Release {
            distance_ft: 45.5,
            height_ft: 5.1,
            side_ft: -1.0,
        },
        target_height_ft: 2.1,
        source: "From memory.",
    },
    Level {
        id: "baseball-youth-46",
        name: "Youth baseball, 46 ft",
        sport: Sport::Baseball,
        ball: BASEBALL,
        // From memory, as all below.
        rubber_to_plate_ft: 46.0,
        speed_mph: 54.0,
        backspin_rpm: 1300.0,
        release: Release {
            distance_ft: 42.0,
            height_ft: 4.8,
            side_ft: -1.0,
        },
        target_height_ft: 2.0,
        source: "From memory.",
    },
    Level {
        id: "softball-43",
        name: "Fast-pitch softball, 43 ft",
        sport: Sport::Softball,
        ball: SOFTBALL_12,
        // From memory, as all below. The pitcher strides far and lets go at
        // the hip; the spin differs so much from pitch to pitch that none is
        // taken as typical.
        rubber_to_plate_ft: 43.0,
        speed_mph: 60.0,
        backspin_rpm: 0.0,
        release: Release {
            distance_ft: 37.0,
            height_ft: 2.0,
            side_ft: -0.8,
        },
        target_height_ft: 2.2,
        source: "From memory.",
    },
    Level {
        id: "softball-40",
        name: "Fast-pitch softball, 40 ft",
        sport: Sport::Softball,
        ball: SOFTBALL_12,
        // From memory, as all below.
        rubber_to_plate_ft: 40.0,
        speed_mph: 50.0,
        backspin_rpm: 0.0,
        release: Release {
            distance_ft: 35.0,
            height_ft: 1.9,
            side_ft: -0.8,
        },
        target_height_ft: 2.0,
        source: "From memory.",
    },
    Level {
        id: "softball-35",
        name: "Fast-pitch softball, 35 ft",
        sport: Sport::Softball,
        ball: SOFTBALL_11,
        // From memory, as all below.
        rubber_to_plate_ft: 35.0,
        speed_mph: 40.0,
        backspin_rpm: 0.0,
        release: Release {
            distance_ft: 31.0,
            height_ft: 1.8,
            side_ft: -0.7,
        },
        target_height_ft: 1.9,
        source: "From memory.",
    },
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::setup::{Machine, find_set_up};
    use std::collections::HashSet;

    #[test]
    fn every_level_has_an_id_of_its_own_and_is_found_by_it() {
        let ids: HashSet<_> = LEVELS.iter().map(|level| level.id).collect();
        assert_eq!(ids.len(), LEVELS.len());
        for entry in LEVELS {
            assert_eq!(level(entry.id), Some(entry));
        }
        assert_eq!(level("no such level"), None);
    }

    #[test]
    fn the_published_ids_do_not_change() {
        // Records hold these; an id may be added, never renamed.
        let published = [
            "baseball-adult",
            "baseball-college",
            "baseball-high-school",
            "baseball-youth-54",
            "baseball-youth-50",
            "baseball-youth-46",
            "softball-43",
            "softball-40",
            "softball-35",
        ];
        for id in published {
            assert!(level(id).is_some(), "{id}");
        }
    }

    #[test]
    fn every_level_says_where_its_numbers_come_from() {
        for level in LEVELS {
            assert!(!level.source.is_empty(), "{}", level.id);
        }
    }

    #[test]
    fn every_typical_pitch_is_let_go_in_front_of_the_rubber() {
        for level in LEVELS {
            assert!(level.release.distance_ft < level.rubber_to_plate_ft);
            let range = level.allowed(Field::ReleaseDistance);
            assert_eq!(range.max, level.rubber_to_plate_ft);
            assert!(range.contains(level.release.distance_ft));
        }
    }

    #[test]
    fn every_level_gives_a_set_up_from_its_own_data() {
        for level in LEVELS {
            let machine = Machine {
                distance_ft: 0.7 * level.release.distance_ft,
                backspin_rpm: 0.0,
            };
            let flight = level.flight(Air::default());
            let set_up = find_set_up(&flight, &level.game_pitch(), &machine).unwrap();
            assert!(set_up.speed_mph < level.speed_mph, "{}", level.id);
            assert_eq!(flight.ball, level.ball);
        }
    }

    #[test]
    fn softball_is_flown_with_a_softball_and_baseball_with_a_baseball() {
        for level in LEVELS {
            match level.sport {
                Sport::Baseball => assert_eq!(level.ball, BASEBALL),
                Sport::Softball => assert!([SOFTBALL_12, SOFTBALL_11].contains(&level.ball)),
            }
        }
    }

    #[test]
    fn a_fast_pitch_softball_rises_then_falls() {
        for level in LEVELS.iter().filter(|level| level.sport == Sport::Softball) {
            let flight = level.flight(Air::default());
            let pitch = crate::Pitch::from(level.game_pitch());
            let thrown = pitch.thrown(&flight).unwrap();
            let path = flight.path(&thrown.launch, 0.0, 50);
            let top = path.iter().map(|[_, _, z]| *z).fold(0.0, f64::max);
            let (first, last) = (path[0][2], path[path.len() - 1][2]);
            assert!(top > first + 0.05 && top > last + 0.05, "{}", level.id);
        }
    }
}
