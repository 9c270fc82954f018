//! Where to put the machine and how fast to set it, and the way back: what
//! game pitch a set-up stands for.
//!
//! The first search keeps the machine on the straight sight line from the
//! game's release point to the target, and finds the one speed that takes the
//! same time to the back point of the plate. A slower ball drops more, so its
//! descent angle is left over; [`SetUp::leftover`] says by how much. The
//! search over height and distance that also matches the angles is in
//! `search`.

use crate::error::SetUpError;
use crate::flight::{Arrival, Flight, Launch};
use crate::range::{Field, Range, RangeError, allowed, check};
use crate::speed::speed_for_time;
use crate::units::{ft_to_m, mph_to_m_s, rad_to_deg};

/// Where times and angles at the plate are taken: its back point.
const PLATE_Y_M: f64 = 0.0;

/// Where the ball leaves the pitcher's hand, ft, from the back point of the
/// plate and from plate level (so the mound is included in the height).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Release {
    /// Along the field, ft.
    pub distance_ft: f64,
    /// Above plate level, ft.
    pub height_ft: f64,
    /// To the side, ft: `x` of the crate's axes. Negative is the third-base
    /// side, where a right-handed pitcher lets go (left of someone who looks
    /// from the plate to the mound); positive is a left-handed pitcher's.
    pub side_ft: f64,
}

impl Release {
    /// The same release by a pitcher of the other hand.
    pub fn mirrored(self) -> Release {
        Release {
            side_ft: -self.side_ft,
            ..self
        }
    }

    /// Where a machine that copies this release may stand: not behind it.
    pub fn machine_distances(&self) -> Range {
        allowed(Field::MachineDistance).up_to(self.distance_ft)
    }

    pub(crate) fn check(&self) -> Result<(), RangeError> {
        check(Field::ReleaseDistance, self.distance_ft)?;
        check(Field::ReleaseHeight, self.height_ft)?;
        check(Field::ReleaseSide, self.side_ft)
    }

    pub(crate) fn position_m(&self) -> [f64; 3] {
        position_m(self.side_ft, self.distance_ft, self.height_ft)
    }
}

/// The pitch to prepare for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GamePitch {
    /// Speed at release, mph.
    pub speed_mph: f64,
    /// Where it is let go.
    pub release: Release,
    /// Backspin, rpm; negative is topspin.
    pub backspin_rpm: f64,
    /// Height of the target over the middle of the plate, ft above plate level.
    pub target_height_ft: f64,
}

/// What is known of the machine before the search.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Machine {
    /// From the machine's release to the back point of the plate, ft.
    pub distance_ft: f64,
    /// Backspin it gives the ball, rpm; negative is topspin.
    pub backspin_rpm: f64,
}

/// A machine as it stands in the cage.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MachineSetting {
    /// From the machine's release to the back point of the plate, ft.
    pub distance_ft: f64,
    /// Height of its release above plate level, ft.
    pub height_ft: f64,
    /// Its release to the side, ft; sign as in [`Release::side_ft`].
    pub side_ft: f64,
    /// Speed of its ball at release, mph.
    pub speed_mph: f64,
    /// Backspin it gives the ball, rpm; negative is topspin.
    pub backspin_rpm: f64,
}

impl MachineSetting {
    fn check(&self, release: &Release) -> Result<(), RangeError> {
        release
            .machine_distances()
            .check(Field::MachineDistance, self.distance_ft)?;
        check(Field::MachineHeight, self.height_ft)?;
        check(Field::MachineSide, self.side_ft)?;
        check(Field::MachineSpeed, self.speed_mph)?;
        check(Field::MachineBackspin, self.backspin_rpm)
    }
}

/// What the hitter sees of a pitch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Seen {
    /// From release to the back point of the plate, s.
    pub time_s: f64,
    /// Speed there, mph.
    pub speed_at_plate_mph: f64,
    /// Descent angle there, degrees; positive when the ball comes down.
    pub descent_deg: f64,
    /// Side angle there, degrees; positive toward the first-base side.
    pub side_angle_deg: f64,
}

impl From<&Arrival> for Seen {
    fn from(arrival: &Arrival) -> Self {
        Seen {
            time_s: arrival.time_s,
            speed_at_plate_mph: arrival.speed_mph(),
            descent_deg: rad_to_deg(arrival.descent_rad()),
            side_angle_deg: rad_to_deg(arrival.side_angle_rad()),
        }
    }
}

/// What a set-up leaves unmatched: machine minus game, each component apart.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Leftover {
    /// Time to the plate, s.
    pub time_s: f64,
    /// Speed at the plate, mph.
    pub speed_at_plate_mph: f64,
    /// Descent angle at the plate, degrees; positive when the machine's ball
    /// comes in steeper.
    pub descent_deg: f64,
    /// Side angle at the plate, degrees; positive when the machine's ball
    /// moves more toward the first-base side.
    pub side_angle_deg: f64,
}

impl Leftover {
    pub(crate) fn between(machine: &Seen, game: &Seen) -> Leftover {
        Leftover {
            time_s: machine.time_s - game.time_s,
            speed_at_plate_mph: machine.speed_at_plate_mph - game.speed_at_plate_mph,
            descent_deg: machine.descent_deg - game.descent_deg,
            side_angle_deg: machine.side_angle_deg - game.side_angle_deg,
        }
    }
}

/// Where to put the machine and how to set it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SetUp {
    /// From the machine's release to the back point of the plate, ft.
    pub distance_ft: f64,
    /// Height of its release above plate level, ft.
    pub height_ft: f64,
    /// Its release to the side, ft; sign as in [`Release::side_ft`].
    pub side_ft: f64,
    /// Speed of its ball at release, mph.
    pub speed_mph: f64,
    /// How far below level it points, degrees; negative is above level.
    pub aim_down_deg: f64,
    /// How far it is turned from straight along the field, degrees. Positive
    /// points toward the first-base side: to the left of someone who stands
    /// behind the machine and looks at the plate.
    pub aim_side_deg: f64,
    /// What the hitter sees of the game pitch.
    pub game: Seen,
    /// What the hitter sees of the machine's ball.
    pub machine: Seen,
    /// The game pitch, to draw or to fly again.
    pub game_launch: Launch,
    /// The machine's ball, to draw or to fly again.
    pub machine_launch: Launch,
}

impl SetUp {
    /// What is left over, machine minus game, each component apart.
    pub fn leftover(&self) -> Leftover {
        Leftover::between(&self.machine, &self.game)
    }
}

/// The game pitch that a set-up stands for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StandsFor {
    /// Speed at release of the game pitch with the same time to the plate, mph.
    pub game_speed_mph: f64,
    /// What the hitter sees of that game pitch.
    pub game: Seen,
    /// What the hitter sees of the machine's ball.
    pub machine: Seen,
    /// The game pitch, to draw or to fly again.
    pub game_launch: Launch,
    /// The machine's ball, to draw or to fly again.
    pub machine_launch: Launch,
}

impl StandsFor {
    /// What is left over, machine minus game, each component apart.
    pub fn leftover(&self) -> Leftover {
        Leftover::between(&self.machine, &self.game)
    }
}

/// Finds the set-up on the sight line of a game pitch with the same time to
/// the back point of the plate (within 1e-9 s).
///
/// Errors: [`SetUpError::Range`] for the first entry outside [`allowed`] (the
/// machine no farther than the release), [`SetUpError::GamePitch`] and
/// [`SetUpError::Machine`] when one cannot be flown,
/// [`SetUpError::NoSpeed`] when no allowed speed gives that time.
pub fn find_set_up(
    flight: &Flight,
    game: &GamePitch,
    machine: &Machine,
) -> Result<SetUp, SetUpError> {
    check(Field::GameSpeed, game.speed_mph)?;
    game.release.check()?;
    check(Field::GameBackspin, game.backspin_rpm)?;
    check(Field::TargetHeight, game.target_height_ft)?;
    game.release
        .machine_distances()
        .check(Field::MachineDistance, machine.distance_ft)?;
    check(Field::MachineBackspin, machine.backspin_rpm)?;

    let target_m = target_m(game.target_height_ft);
    let pitch = flight
        .aim(
            game.release.position_m(),
            mph_to_m_s(game.speed_mph),
            game.backspin_rpm,
            target_m,
        )
        .map_err(SetUpError::GamePitch)?;

    let share = machine.distance_ft / game.release.distance_ft;
    let height_ft = between(game.target_height_ft, game.release.height_ft, share);
    let side_ft = between(0.0, game.release.side_ft, share);
    let from_m = position_m(side_ft, machine.distance_ft, height_ft);
    let ball = speed_for_time(Field::MachineSpeed, pitch.arrival.time_s, |speed_mph| {
        flight.aim(
            from_m,
            mph_to_m_s(speed_mph),
            machine.backspin_rpm,
            target_m,
        )
    })?;

    Ok(SetUp {
        distance_ft: machine.distance_ft,
        height_ft,
        side_ft,
        speed_mph: ball.speed_mph,
        aim_down_deg: rad_to_deg(ball.aimed.down_rad),
        aim_side_deg: rad_to_deg(ball.aimed.toward_rad),
        game: Seen::from(&pitch.arrival),
        machine: Seen::from(&ball.aimed.arrival),
        game_launch: pitch.launch,
        machine_launch: ball.aimed.launch,
    })
}

/// Finds the game pitch from this release that takes the same time to the back
/// point of the plate as the machine's ball (within 1e-9 s), both aimed at the
/// middle of the plate at `target_height_ft`.
///
/// Errors: as [`find_set_up`]; [`SetUpError::NoSpeed`] is about the game speed.
pub fn stands_for(
    flight: &Flight,
    release: &Release,
    target_height_ft: f64,
    game_backspin_rpm: f64,
    machine: &MachineSetting,
) -> Result<StandsFor, SetUpError> {
    release.check()?;
    check(Field::TargetHeight, target_height_ft)?;
    check(Field::GameBackspin, game_backspin_rpm)?;
    machine.check(release)?;

    let target_m = target_m(target_height_ft);
    let ball = flight
        .aim(
            position_m(machine.side_ft, machine.distance_ft, machine.height_ft),
            mph_to_m_s(machine.speed_mph),
            machine.backspin_rpm,
            target_m,
        )
        .map_err(SetUpError::Machine)?;
    let pitch = speed_for_time(Field::GameSpeed, ball.arrival.time_s, |speed_mph| {
        flight.aim(
            release.position_m(),
            mph_to_m_s(speed_mph),
            game_backspin_rpm,
            target_m,
        )
    })?;

    Ok(StandsFor {
        game_speed_mph: pitch.speed_mph,
        game: Seen::from(&pitch.aimed.arrival),
        machine: Seen::from(&ball.arrival),
        game_launch: pitch.aimed.launch,
        machine_launch: ball.launch,
    })
}

/// The value at a share of the way from `near` to `far`.
fn between(near: f64, far: f64, share: f64) -> f64 {
    near + (far - near) * share
}

pub(crate) fn position_m(side_ft: f64, distance_ft: f64, height_ft: f64) -> [f64; 3] {
    [side_ft, distance_ft, height_ft].map(ft_to_m)
}

fn target_m(height_ft: f64) -> [f64; 3] {
    [0.0, PLATE_Y_M, ft_to_m(height_ft)]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::field::level;
    use proptest::prelude::*;

    const MACHINE: Machine = Machine {
        distance_ft: 39.0,
        backspin_rpm: 1500.0,
    };

    fn adult() -> GamePitch {
        level("baseball-adult").unwrap().game_pitch()
    }

    fn found(game: &GamePitch, machine: &Machine) -> SetUp {
        find_set_up(&Flight::default(), game, machine).unwrap()
    }

    fn refused(game: GamePitch, machine: Machine) -> RangeError {
        match find_set_up(&Flight::default(), &game, &machine) {
            Err(SetUpError::Range(error)) => error,
            other => panic!("{other:?}"),
        }
    }

    fn as_it_stands(set_up: &SetUp, backspin_rpm: f64) -> MachineSetting {
        MachineSetting {
            distance_ft: set_up.distance_ft,
            height_ft: set_up.height_ft,
            side_ft: set_up.side_ft,
            speed_mph: set_up.speed_mph,
            backspin_rpm,
        }
    }

    #[test]
    fn the_machine_stands_on_the_line_from_hand_to_target() {
        let game = adult();
        let set_up = found(&game, &MACHINE);
        let rise = (game.release.height_ft - game.target_height_ft) / game.release.distance_ft;
        assert!((set_up.height_ft - (game.target_height_ft + 39.0 * rise)).abs() < 1e-12);
        assert!((set_up.side_ft - game.release.side_ft * 39.0 / 55.0).abs() < 1e-12);
        assert_eq!(set_up.distance_ft, 39.0);
    }

    #[test]
    fn the_machines_ball_takes_as_long_as_the_game_pitch() {
        for distance_ft in [15.0, 25.0, 39.0, 50.0, 55.0] {
            let machine = Machine {
                distance_ft,
                ..MACHINE
            };
            let left = found(&adult(), &machine).leftover();
            assert!(left.time_s.abs() < 1e-9, "{distance_ft}: {left:?}");
        }
    }

    #[test]
    fn both_balls_pass_the_target() {
        let game = adult();
        let set_up = found(&game, &MACHINE);
        for launch in [set_up.game_launch, set_up.machine_launch] {
            let [x_m, _, z_m] = Flight::default().fly(&launch, 0.0).unwrap().position_m;
            assert!(x_m.abs() < 1e-9);
            assert!((z_m - ft_to_m(game.target_height_ft)).abs() < 1e-9);
        }
    }

    #[test]
    fn what_is_left_over_is_machine_minus_game() {
        let set_up = found(&adult(), &MACHINE);
        let left = set_up.leftover();
        let speed_mph = set_up.machine.speed_at_plate_mph - set_up.game.speed_at_plate_mph;
        assert_eq!(left.speed_at_plate_mph, speed_mph);
        assert_eq!(
            left.descent_deg,
            set_up.machine.descent_deg - set_up.game.descent_deg
        );
        assert_eq!(
            left.side_angle_deg,
            set_up.machine.side_angle_deg - set_up.game.side_angle_deg
        );
        // A slower ball drops more on its way.
        assert!(left.descent_deg > 1.0 && left.speed_at_plate_mph < -20.0);
    }

    #[test]
    fn a_machine_that_is_the_pitcher_is_set_to_the_game_speed() {
        let game = adult();
        let machine = Machine {
            distance_ft: game.release.distance_ft,
            backspin_rpm: game.backspin_rpm,
        };
        let set_up = found(&game, &machine);
        assert!((set_up.speed_mph - game.speed_mph).abs() < 1e-6);
        assert!(set_up.leftover().descent_deg.abs() < 1e-6);
    }

    #[test]
    fn a_left_handers_set_up_is_the_mirror_image() {
        let right = found(&adult(), &MACHINE);
        let left_handed = GamePitch {
            release: adult().release.mirrored(),
            ..adult()
        };
        let left = found(&left_handed, &MACHINE);
        assert!((left.side_ft + right.side_ft).abs() < 1e-12);
        assert!((left.aim_side_deg + right.aim_side_deg).abs() < 1e-9);
        assert!((left.speed_mph - right.speed_mph).abs() < 1e-9);
        assert!((left.aim_down_deg - right.aim_down_deg).abs() < 1e-9);
    }

    #[test]
    fn an_impossible_game_speed_is_refused_by_name_and_range() {
        for speed_mph in [0.0, -92.0, f64::NAN, 400.0, f64::INFINITY, 1e300] {
            let error = refused(
                GamePitch {
                    speed_mph,
                    ..adult()
                },
                MACHINE,
            );
            assert_eq!(error.field, Field::GameSpeed);
            assert_eq!((error.min, error.max), (20.0, 110.0));
            let text = error.to_string();
            assert!(
                text.starts_with("Game pitch speed must be from 20 to 110 mph"),
                "{text}"
            );
        }
    }

    #[test]
    fn a_machine_behind_the_release_point_is_refused() {
        for distance_ft in [55.1, 60.5, 300.0, 9.9, 0.0, -39.0, f64::NAN] {
            let error = refused(
                adult(),
                Machine {
                    distance_ft,
                    ..MACHINE
                },
            );
            assert_eq!(error.field, Field::MachineDistance);
            assert_eq!((error.min, error.max, error.unit), (10.0, 55.0, "ft"));
        }
    }

    #[test]
    fn every_entry_of_the_game_pitch_is_checked() {
        let with_release = |release| GamePitch { release, ..adult() };
        let Release {
            distance_ft,
            height_ft,
            side_ft,
        } = adult().release;
        let cases = [
            (
                Field::ReleaseDistance,
                with_release(Release {
                    distance_ft: 61.0,
                    height_ft,
                    side_ft,
                }),
            ),
            (
                Field::ReleaseHeight,
                with_release(Release {
                    distance_ft,
                    height_ft: f64::NAN,
                    side_ft,
                }),
            ),
            (
                Field::ReleaseSide,
                with_release(Release {
                    distance_ft,
                    height_ft,
                    side_ft: -7.0,
                }),
            ),
            (
                Field::GameBackspin,
                GamePitch {
                    backspin_rpm: 9000.0,
                    ..adult()
                },
            ),
            (
                Field::TargetHeight,
                GamePitch {
                    target_height_ft: 0.0,
                    ..adult()
                },
            ),
        ];
        for (field, game) in cases {
            assert_eq!(refused(game, MACHINE).field, field);
        }
        let machine = Machine {
            backspin_rpm: f64::NEG_INFINITY,
            ..MACHINE
        };
        assert_eq!(refused(adult(), machine).field, Field::MachineBackspin);
    }

    #[test]
    fn every_entry_of_a_standing_machine_is_checked() {
        let game = adult();
        let good = as_it_stands(&found(&game, &MACHINE), 1500.0);
        let nan = f64::NAN;
        let cases = [
            (
                Field::MachineDistance,
                MachineSetting {
                    distance_ft: 56.0,
                    ..good
                },
            ),
            (
                Field::MachineHeight,
                MachineSetting {
                    height_ft: nan,
                    ..good
                },
            ),
            (
                Field::MachineSide,
                MachineSetting {
                    side_ft: 6.1,
                    ..good
                },
            ),
            (
                Field::MachineSpeed,
                MachineSetting {
                    speed_mph: 0.0,
                    ..good
                },
            ),
            (
                Field::MachineBackspin,
                MachineSetting {
                    backspin_rpm: nan,
                    ..good
                },
            ),
        ];
        for (field, machine) in cases {
            let result = stands_for(&Flight::default(), &game.release, 2.5, 2200.0, &machine);
            let Err(SetUpError::Range(error)) = result else {
                panic!("{field}: {result:?}");
            };
            assert_eq!(error.field, field);
        }
    }

    #[test]
    fn a_pitch_too_slow_to_arrive_is_said_to_be_the_game_pitch() {
        let slow = GamePitch {
            speed_mph: 20.0,
            ..adult()
        };
        let error = find_set_up(&Flight::default(), &slow, &MACHINE).unwrap_err();
        assert_eq!(
            error.to_string(),
            "Game pitch: at 20.0 mph no aim carries the ball 55.0 ft to the target"
        );
    }

    #[test]
    fn a_time_no_machine_speed_gives_is_an_error_with_the_nearest() {
        let close_by = Machine {
            distance_ft: 10.0,
            ..MACHINE
        };
        let result = find_set_up(&Flight::default(), &adult(), &close_by);
        let Err(SetUpError::NoSpeed {
            field,
            wanted_s,
            nearest_mph,
            nearest_s,
            ..
        }) = result
        else {
            panic!("{result:?}");
        };
        assert_eq!((field, nearest_mph), (Field::MachineSpeed, 20.0));
        assert!(nearest_s < wanted_s);
    }

    #[test]
    fn a_machine_faster_than_any_pitch_stands_for_none() {
        let machine = MachineSetting {
            distance_ft: 20.0,
            height_ft: 3.0,
            side_ft: 0.0,
            speed_mph: 90.0,
            backspin_rpm: 0.0,
        };
        let release = adult().release;
        let result = stands_for(&Flight::default(), &release, 2.5, 2200.0, &machine);
        let Err(SetUpError::NoSpeed {
            field, nearest_mph, ..
        }) = result
        else {
            panic!("{result:?}");
        };
        assert_eq!((field, nearest_mph), (Field::GameSpeed, 110.0));
    }

    #[test]
    fn a_flight_that_is_no_flight_is_an_error_and_not_a_set_up() {
        let no_air = Flight {
            air: crate::Air {
                density_kg_m3: f64::NAN,
            },
            ..Flight::default()
        };
        let result = find_set_up(&no_air, &adult(), &MACHINE);
        assert!(matches!(result, Err(SetUpError::GamePitch(_))));
    }

    proptest! {
        #[test]
        fn no_entry_whatever_makes_the_search_panic_or_lie(
            n in prop::array::uniform7(proptest::num::f64::ANY),
            wild in any::<u8>(),
        ) {
            // Each entry is wild or the adult pitch's, so that every check is
            // reached and not only the first.
            let adult = adult();
            let pick = |bit: usize, usual: f64| match wild >> bit & 1 {
                1 => n[bit],
                _ => usual,
            };
            let game = GamePitch {
                speed_mph: pick(0, adult.speed_mph),
                release: Release {
                    distance_ft: pick(1, adult.release.distance_ft),
                    height_ft: pick(2, adult.release.height_ft),
                    side_ft: pick(3, adult.release.side_ft),
                },
                backspin_rpm: pick(4, adult.backspin_rpm),
                target_height_ft: pick(5, adult.target_height_ft),
            };
            let machine = Machine {
                distance_ft: pick(6, MACHINE.distance_ft),
                ..MACHINE
            };
            match find_set_up(&Flight::default(), &game, &machine) {
                Ok(set_up) => {
                    prop_assert!(set_up.leftover().time_s.abs() < 1e-9);
                    prop_assert!(allowed(Field::MachineSpeed).contains(set_up.speed_mph));
                }
                Err(error) => prop_assert!(error.to_string().len() < 200, "{}", error),
            }
            let setting = MachineSetting {
                distance_ft: pick(0, 39.0),
                height_ft: pick(1, 5.0),
                side_ft: pick(2, -0.9),
                speed_mph: pick(3, 62.0),
                backspin_rpm: pick(4, 1500.0),
            };
            let standing =
                stands_for(&Flight::default(), &game.release, pick(5, 2.5), pick(6, 0.0), &setting);
            if let Ok(standing) = standing {
                prop_assert!(standing.leftover().time_s.abs() < 1e-9);
            }
        }
    }
}
