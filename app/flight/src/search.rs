//! The set-up search: the machine's distance, height, side, speed and spin
//! whose ball is most like the game pitch where the hitter meets it.
//!
//! # How it searches
//!
//! The aim is not searched: a machine anywhere is aimed so that its ball passes
//! the target. The rest, up to six variables between limits, is found by
//! Levenberg-Marquardt rounds between bounds (`bounded`) on the weighted
//! misses, from the far end, the middle and the near end of the room. As drag
//! does not depend on place, a change of height or side needs no flight for
//! its slope, and the aim follows by its own slopes (`shot`); so a whole search
//! takes some hundred flights. A dial with marks is tried on both marks next to
//! the best speed, the rest searched again.

use crate::aim::Aimed;
use crate::bounded::{Point as _, Vars, least, normal};
use crate::cannot::{CannotMatch, Closest, Limit, LimitEnd};
use crate::flight::Arrival;
use crate::question::{MatchError, Question, Solution};
use crate::range::{Field, Range, allowed};
use crate::setup::{Leftover, Seen};
use crate::shot::{DISTANCE, Goal, HEIGHT, SIDE, SPEED, SPIN, Shot, UNITS};
use crate::span::Span;
use crate::units::rad_to_deg;

/// A set-up is only left for another whose miss is smaller by this share and
/// this much, so that of equally good ones the farthest is kept: there the
/// ball's speed is nearest to the game's.
const BETTER_SHARE: f64 = 0.998;
const BETTER_BY: f64 = 5e-7;
/// A limit stands in the way when a unit beyond it would take this much off
/// half the squared miss, to first order.
const PRESSES: f64 = 1e-2;
/// Most points of a trade-off curve.
const MOST_POINTS: usize = 200;

/// The field behind each variable.
const FIELDS: [Field; 6] = [
    Field::FeedDistance,
    Field::FeedHeight,
    Field::FeedSide,
    Field::FeedSpeed,
    Field::MachineSpin,
    Field::MachineSpin,
];

impl Question {
    /// The set-up most like the game pitch.
    ///
    /// The speed is on a mark of the dial. Of equally good set-ups it is one
    /// far back. Its miss is the least of the whole room but for rare local
    /// minima; `tests/reference` compares it with a grid.
    ///
    /// Errors: [`MatchError::Range`] for an entry outside its range,
    /// [`MatchError::CannotMatch`] with the closest when time, descent or side
    /// angle stay off by more than their scale, [`MatchError::NothingReaches`]
    /// and [`MatchError::Flight`] when there is nothing to compare.
    pub fn best(&self) -> Result<Solution, MatchError> {
        self.matched(self.room.distance_ft)
    }

    /// As [`Question::best`], from one distance, ft.
    pub fn best_at(&self, distance_ft: f64) -> Result<Solution, MatchError> {
        let range = self.distances();
        range.check(Field::FeedDistance, distance_ft)?;
        self.matched(Span::only(distance_ft))
    }

    /// The best set-up from each of up to `points` (at most 200) distances
    /// evenly over the room, nearest first, matching or not. Distances from
    /// where no ball reaches the target are left out.
    ///
    /// Errors: as [`Question::best`], but no [`MatchError::CannotMatch`].
    pub fn trade_off(&self, points: usize) -> Result<Vec<Solution>, MatchError> {
        let points = points.clamp(2, MOST_POINTS);
        let span = self.room.distance_ft;
        let mut curve = Vec::with_capacity(points);
        for point in 0..points {
            let distance_ft = span.at(point as f64 / (points - 1) as f64);
            match self.closest(Span::only(distance_ft)) {
                Ok(found) => curve.push(found.solution),
                Err(MatchError::NothingReaches { .. } | MatchError::Flight(_))
                    if point + 1 < points || !curve.is_empty() => {}
                Err(other) => return Err(other),
            }
        }
        Ok(curve)
    }

    fn distances(&self) -> Range {
        let Span { min, max } = self.room.distance_ft;
        let unit = allowed(Field::FeedDistance).unit;
        Range { min, max, unit }
    }

    fn matched(&self, distance_ft: Span) -> Result<Solution, MatchError> {
        let found = self.closest(distance_ft)?;
        if found.solution.matches(&self.scales) {
            return Ok(found.solution);
        }
        let cannot = CannotMatch::new(found, &self.scales);
        Err(MatchError::CannotMatch(Box::new(cannot)))
    }

    /// The set-up with the least miss, and the limits that press on it.
    fn closest(&self, distance_ft: Span) -> Result<Closest, MatchError> {
        self.machine.check()?;
        self.room.check()?;
        self.scales.check()?;
        let pitch = self.pitch.thrown(&self.flight)?;
        let mut goal = self.goal(&pitch.arrival, distance_ft);

        let mut shot: Option<Shot> = None;
        for distance_ft in far_to_near(distance_ft) {
            let found = self.start(&goal, distance_ft).map(|at| least(&goal, at));
            shot = better_of(shot, found);
            if is_perfect(&shot) {
                break;
            }
        }
        let shot = shot.ok_or(MatchError::NothingReaches {
            distance_ft: self.distances(),
            speed_max_mph: self.machine.speed_mph.max,
        })?;

        let marks = self.machine.marks_around(shot.vars[SPEED] * UNITS[SPEED]);
        let mut on_marks = None;
        for mark_mph in marks {
            let limits = (goal.low, goal.high);
            let mut vars = shot.vars;
            for edge in [&mut vars, &mut goal.low, &mut goal.high] {
                edge[SPEED] = mark_mph / UNITS[SPEED];
            }
            let found = goal.start(vars).map(|start| least(&goal, start));
            (goal.low, goal.high) = limits;
            on_marks = better_of(on_marks, found);
            if is_perfect(&on_marks) || marks[0] == marks[1] {
                break;
            }
        }
        let between = shot.matches();
        let shot = on_marks.unwrap_or(shot);
        Ok(Closest {
            limits: self.pressing(&goal, &shot),
            solution: self.solution(&goal, &shot, &pitch)?,
            between_marks: between && !shot.matches(),
        })
    }

    fn goal(&self, arrival: &Arrival, distance_ft: Span) -> Goal {
        let scales = &self.scales;
        let [spin_0, spin_1] = self.machine.wheels.spin_spans();
        let spans = [
            distance_ft,
            self.machine.height_ft,
            self.room.side_ft,
            self.machine.speed_mph,
            spin_0,
            spin_1,
        ];
        Goal {
            flight: self.machine_flight(),
            wheels: self.machine.wheels,
            target_m: self.pitch.target_m(),
            arrival: *arrival,
            spin: self.pitch.spin,
            weights: [
                1.0 / scales.time_s,
                rad_to_deg(1.0) / scales.descent_deg,
                rad_to_deg(1.0) / scales.side_deg,
                1.0 / scales.spin_rpm,
            ],
            low: std::array::from_fn(|i| spans[i].min / UNITS[i]),
            high: std::array::from_fn(|i| spans[i].max / UNITS[i]),
        }
    }

    /// Where a search begins: on the sight line, at the speed of equal time,
    /// with the game's spin, as far as the limits allow. A ball too slow to
    /// get there is thrown as fast as the machine can.
    fn start(&self, goal: &Goal, distance_ft: f64) -> Option<Shot> {
        let release = &self.pitch.release;
        let share = distance_ft / release.distance_ft;
        let target_ft = self.pitch.target_height_ft;
        let spin = self.pitch.spin;
        let free = match self.machine.wheels {
            crate::Wheels::Two { tilt_deg, .. } => {
                let (side, up) = tilt_deg.to_radians().sin_cos();
                [spin.backspin_rpm * up + spin.sidespin_rpm * side, 0.0]
            }
            _ => [spin.backspin_rpm, spin.sidespin_rpm],
        };
        let wanted: Vars = [
            distance_ft,
            target_ft + (release.height_ft - target_ft) * share,
            release.side_ft * share,
            self.pitch.speed_mph * share,
            free[0],
            free[1],
        ];
        let vars = std::array::from_fn(|i| {
            Span::new(goal.low[i], goal.high[i]).nearest(wanted[i] / UNITS[i])
        });
        goal.start(vars).or_else(|| {
            let mut fastest = vars;
            fastest[SPEED] = goal.high[SPEED];
            goal.start(fastest)
        })
    }

    /// The limits that a better set-up would have to cross. The speed between
    /// marks is no limit; the dial's ends are.
    fn pressing(&self, goal: &Goal, shot: &Shot) -> Vec<Limit> {
        let Some((slopes, _)) = goal.slopes_of_all(shot) else {
            return Vec::new();
        };
        let (_, downhill) = normal(&slopes, &shot.misses());
        let spins = self.machine.wheels.free_spins();
        (0..SPIN + spins)
            .filter_map(|i| {
                let (low, high) = (goal.low[i], goal.high[i]);
                let end = match downhill[i] {
                    pull if low >= high && pull.abs() > PRESSES => LimitEnd::Fixed,
                    pull if shot.vars[i] >= high && pull > PRESSES => LimitEnd::Most,
                    pull if shot.vars[i] <= low && pull < -PRESSES => LimitEnd::Least,
                    _ => return None,
                };
                Some(Limit {
                    field: FIELDS[i],
                    end,
                    value: shot.vars[i] * UNITS[i],
                })
            })
            .collect()
    }

    fn solution(&self, goal: &Goal, shot: &Shot, pitch: &Aimed) -> Result<Solution, MatchError> {
        let ball = goal.aimed(&shot.vars).ok_or(MatchError::NothingReaches {
            distance_ft: self.distances(),
            speed_max_mph: self.machine.speed_mph.max,
        })?;
        let arrival = goal
            .flight
            .fly(&ball.launch, goal.target_m[1])
            .map_err(crate::SetUpError::Machine)?;
        let spin = goal.spin_at(&shot.vars);
        let (game, machine) = (Seen::from(&pitch.arrival), Seen::from(&arrival));
        Ok(Solution {
            distance_ft: shot.vars[DISTANCE] * UNITS[DISTANCE],
            height_ft: shot.vars[HEIGHT] * UNITS[HEIGHT],
            side_ft: shot.vars[SIDE] * UNITS[SIDE],
            speed_mph: shot.vars[SPEED] * UNITS[SPEED],
            spin,
            ball: goal.flight.ball,
            aim_down_deg: rad_to_deg(ball.down_rad),
            aim_side_deg: rad_to_deg(ball.toward_rad),
            game,
            machine,
            leftover: Leftover::between(&machine, &game),
            leftover_spin: spin.minus(self.pitch.spin),
            miss: shot.miss(),
            target_m: goal.target_m,
            game_launch: pitch.launch,
            machine_launch: ball.launch,
        })
    }
}

/// The far end, the middle and the near end of a span; once where it has one
/// value only.
fn far_to_near(span: Span) -> impl Iterator<Item = f64> {
    let starts = if span.width() > 0.0 { 3 } else { 1 };
    [span.max, span.middle(), span.min].into_iter().take(starts)
}

/// The second if it is clearly better, else the first.
fn better_of(one: Option<Shot>, other: Option<Shot>) -> Option<Shot> {
    match (one, other) {
        (Some(one), Some(other)) if other.miss() < BETTER_SHARE * one.miss() - BETTER_BY => {
            Some(other)
        }
        (one, other) => one.or(other),
    }
}

/// Whether no other can be clearly better.
fn is_perfect(shot: &Option<Shot>) -> bool {
    shot.as_ref().is_some_and(|shot| shot.miss() <= BETTER_BY)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::machine::{MachineModel, Room};
    use crate::pitch::Pitch;
    use crate::plane::Plane;
    use crate::question::Scales;
    use crate::spin::Spin;
    use crate::wheels::Wheels;
    use crate::{Air, BASEBALL, Component, FOAM_BALL, LEVELS, LIGHT_BALL, Sport};
    use proptest::prelude::*;

    fn cannot(question: &Question) -> CannotMatch {
        match question.best() {
            Err(MatchError::CannotMatch(cannot)) => *cannot,
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn an_adult_fastball_is_matched_in_all_it_shows() {
        let best = Question::adult().best().unwrap();
        assert!(best.miss < 0.01, "{best:?}");
        assert_eq!(best.speed_mph.fract(), 0.0);
        assert!((best.spin.backspin_rpm - 2200.0).abs() < 1.0);
        assert!(Question::adult().machine.height_ft.contains(best.height_ft));
        assert!(
            Question::adult()
                .room
                .distance_ft
                .contains(best.distance_ft)
        );
    }

    #[test]
    fn the_leftovers_are_those_of_the_two_balls_flown_again() {
        let question = Question {
            pitch: Pitch {
                met_at: Plane::TYPICAL_CONTACT,
                spin: Spin::tilted(2300.0, -30.0, 0.3),
                ..Question::adult().pitch
            },
            ..Question::adult()
        };
        let best = question.best_at(41.0).unwrap();
        let y_m = Plane::TYPICAL_CONTACT.y_m();
        let game = Seen::from(&question.flight.fly(&best.game_launch, y_m).unwrap());
        let machine = Seen::from(&question.flight.fly(&best.machine_launch, y_m).unwrap());
        let left = Leftover::between(&machine, &game);
        assert!((left.time_s - best.leftover.time_s).abs() < 1e-9);
        let [time, descent, side] = [
            left.time_s / 0.005,
            left.descent_deg / 0.25,
            left.side_angle_deg / 0.25,
        ];
        let spin = best.leftover_spin;
        let squares =
            time * time + descent * descent + side * side + (spin.moving_rpm() / 100.0).powi(2);
        assert!(
            (squares.sqrt() - best.miss).abs() < 1e-6,
            "{squares} {best:?}"
        );
        // Upright wheels give no sidespin: 2,194 rpm pushing at -30 degrees
        // leave half of it.
        assert!((spin.sidespin_rpm - 0.5 * question.pitch.spin.moving_rpm()).abs() < 1.0);
    }

    #[test]
    fn a_machine_too_high_is_told_so_with_the_closest() {
        let question = Question {
            machine: MachineModel {
                height_ft: Span::new(4.9, 5.5),
                speed_mph: Span::new(30.0, 60.0),
                ..Question::adult().machine
            },
            ..Question::adult()
        };
        let cannot = cannot(&question);
        assert!(cannot.misses.contains(&Component::Descent), "{cannot}");
        assert!(cannot.closest.leftover.descent_deg > 0.25);
        let limits: Vec<_> = cannot
            .limits
            .iter()
            .map(|limit| (limit.field, limit.end))
            .collect();
        assert!(
            limits.contains(&(Field::FeedHeight, LimitEnd::Least)),
            "{limits:?}"
        );
        assert!(
            limits.contains(&(Field::FeedSpeed, LimitEnd::Most)),
            "{limits:?}"
        );
        let text = cannot.to_string();
        assert!(
            text.contains("degrees of descent")
                && text.contains("Feed height at its least, 4.9 ft"),
            "{text}"
        );
    }

    #[test]
    fn a_coarse_dial_is_told_to_stand_in_the_way() {
        let coarse = Question {
            machine: MachineModel {
                speed_step_mph: 10.0,
                ..Question::adult().machine
            },
            ..Question::adult()
        };
        let cannot = match coarse.best_at(36.0) {
            Err(MatchError::CannotMatch(cannot)) => *cannot,
            other => panic!("{other:?}"),
        };
        assert!(cannot.between_marks && cannot.misses.contains(&Component::Time));
        assert!(
            cannot
                .to_string()
                .ends_with("between two marks of the dial would match")
        );
        // From elsewhere in the room a mark fits.
        assert!(coarse.best().unwrap().miss < 1e-6);
    }

    #[test]
    fn a_room_that_allows_no_side_leaves_the_side_angle_over() {
        let question = Question {
            room: Room {
                side_ft: Span::only(2.0),
                ..Room::default()
            },
            ..Question::adult()
        };
        let cannot = cannot(&question);
        assert!(cannot.misses.contains(&Component::SideAngle), "{cannot}");
    }

    #[test]
    fn every_levels_pitch_is_matched_by_its_usual_machine_in_its_usual_room() {
        for level in LEVELS {
            for met_at in [Plane::PlatePoint, Plane::TYPICAL_CONTACT] {
                let usual = Question::usual(level, Air::default());
                let question = Question {
                    pitch: Pitch {
                        met_at,
                        ..usual.pitch
                    },
                    ..usual
                };
                let best = question
                    .best()
                    .unwrap_or_else(|error| panic!("{}: {error}", level.id));
                assert!(best.miss < 1e-3, "{} {best:?}", level.id);
                // A softball is let go low and is sent up; a baseball is not.
                let softball = level.sport == Sport::Softball;
                assert_eq!(best.height_ft < 2.5, softball, "{} {best:?}", level.id);
            }
        }
    }

    #[test]
    fn a_lighter_ball_in_the_machine_is_thrown_faster_for_the_same_time() {
        let with = |ball| {
            let machine = MachineModel {
                ball,
                speed_step_mph: 0.0,
                ..Question::adult().machine
            };
            Question {
                machine,
                ..Question::adult()
            }
            .best_at(40.0)
        };
        let (game, light) = (with(BASEBALL).unwrap(), with(LIGHT_BALL).unwrap());
        assert!(
            light.speed_mph > game.speed_mph + 0.5,
            "{}",
            light.speed_mph
        );
        assert!((light.game.time_s - game.game.time_s).abs() < 1e-12);
        assert!(light.leftover.time_s.abs() < 1e-6 && light.ball == LIGHT_BALL);
        // Foam with a fastball's spin floats: no height brings it down as steep.
        let error = with(FOAM_BALL).unwrap_err().to_string();
        assert!(
            error.contains("Feed distance fixed at 40 ft, Feed height at its most"),
            "{error}"
        );
    }

    #[test]
    fn one_wheel_brings_the_spin_that_goes_with_its_speed() {
        let wheels = Wheels::One {
            tilt_deg: 0.0,
            plate_slip: 0.6,
        };
        let question = Question {
            machine: MachineModel {
                wheels,
                ..Question::adult().machine
            },
            scales: Scales {
                spin_rpm: f64::INFINITY,
                ..Scales::default()
            },
            ..Question::adult()
        };
        let best = question.best().unwrap();
        assert!(best.miss < 0.01, "{}", best.miss);
        let ratio = best.spin.backspin_rpm / best.speed_mph;
        assert!((ratio - 1737.0 / 60.0).abs() < 0.3, "{ratio}");
    }

    #[test]
    fn the_other_hand_gets_the_mirror_image_of_the_set_up() {
        let right = Question {
            pitch: Pitch {
                spin: Spin::tilted(2200.0, -40.0, 0.0),
                ..Question::adult().pitch
            },
            machine: MachineModel {
                wheels: Wheels::Three {
                    backspin_rpm: Span::new(-3000.0, 3000.0),
                    sidespin_rpm: Span::new(-1000.0, 2000.0),
                },
                ..Question::adult().machine
            },
            room: Room {
                side_ft: Span::new(-4.0, 1.0),
                ..Room::default()
            },
            ..Question::adult()
        };
        let left = Question {
            pitch: right.pitch.mirrored(),
            machine: right.machine.mirrored(),
            room: right.room.mirrored(),
            ..right
        };
        let (one, other) = (
            right.best_at(42.0).unwrap_or_else(closest),
            left.best_at(42.0).unwrap_or_else(closest),
        );
        assert!((one.height_ft - other.height_ft).abs() < 1e-6);
        assert!((one.side_ft + other.side_ft).abs() < 1e-6);
        assert_eq!(one.speed_mph, other.speed_mph);
        assert!((one.miss - other.miss).abs() < 1e-9);
    }

    fn closest(error: MatchError) -> Solution {
        match error {
            MatchError::CannotMatch(cannot) => cannot.closest,
            other => panic!("{other}"),
        }
    }

    #[test]
    fn the_trade_off_runs_over_the_room_and_tells_what_each_distance_leaves() {
        let curve = Question::adult().trade_off(9).unwrap();
        assert_eq!(curve.len(), 9);
        assert_eq!((curve[0].distance_ft, curve[8].distance_ft), (30.0, 50.0));
        for pair in curve.windows(2) {
            // Farther back the machine throws faster.
            assert!(pair[0].speed_mph < pair[1].speed_mph);
        }
        let best = Question::adult().best().unwrap();
        assert!(
            curve
                .iter()
                .all(|point| best.miss <= 1.01 * point.miss + 1e-6)
        );
    }

    #[test]
    fn entries_that_are_none_are_refused() {
        let usual = Question::adult();
        let scales = Scales {
            time_s: 0.0,
            ..Scales::default()
        };
        assert!(matches!(
            Question { scales, ..usual }.best(),
            Err(MatchError::Scale {
                what: "the scale of time",
                ..
            })
        ));
        let room = Room {
            distance_ft: Span::new(50.0, f64::NAN),
            ..Room::default()
        };
        assert!(matches!(
            Question { room, ..usual }.best(),
            Err(MatchError::Range(_))
        ));
        assert!(matches!(usual.best_at(29.0), Err(MatchError::Range(_))));
        let slow = MachineModel {
            speed_mph: Span::new(5.0, 9.0),
            ..usual.machine
        };
        assert!(matches!(
            Question {
                machine: slow,
                ..usual
            }
            .best(),
            Err(MatchError::NothingReaches { .. })
        ));
    }

    proptest! {
        #[test]
        fn no_entry_whatever_makes_the_search_panic_or_lie(
            n in prop::array::uniform12(proptest::num::f64::ANY),
            wild in any::<u16>(),
        ) {
            // Each entry is wild or usual, so that every check is reached.
            let usual = Question::adult();
            let pick = |bit: usize, usual: f64| if wild >> bit & 1 == 1 { n[bit] } else { usual };
            let question = Question {
                pitch: Pitch {
                    speed_mph: pick(0, 92.0),
                    spin: Spin::tilted(pick(1, 2200.0), pick(2, -20.0), pick(3, 0.1)),
                    met_at: Plane::Contact { depth_in: pick(4, 20.0) },
                    ..usual.pitch
                },
                machine: MachineModel {
                    height_ft: Span::new(pick(5, 2.0), 5.0),
                    speed_mph: Span::new(30.0, pick(6, 80.0)),
                    speed_step_mph: pick(7, 1.0),
                    ..usual.machine
                },
                room: Room {
                    distance_ft: Span::new(30.0, pick(8, 50.0)),
                    side_ft: Span::new(pick(9, -3.0), 3.0),
                },
                scales: Scales { time_s: pick(10, 0.005), spin_rpm: pick(11, 100.0), ..usual.scales },
                ..usual
            };
            match question.best() {
                Ok(best) => prop_assert!(best.matches(&question.scales)),
                Err(MatchError::CannotMatch(cannot)) => {
                    prop_assert!(!cannot.misses.is_empty(), "{}", cannot);
                }
                Err(error) => prop_assert!(error.to_string().len() < 250, "{}", error),
            }
        }
    }
}
