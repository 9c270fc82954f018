//! What the errors of tape, dial and aim make of a set-up: ranges of time,
//! angles and place at the plate.

use crate::aim::direction;
use crate::flight::{Launch, length};
use crate::question::{MatchError, Question, Solution};
use crate::random::Random;
use crate::setup::Seen;
use crate::span::Span;
use crate::units::{deg_to_rad, ft_to_m, m_to_in, mph_to_m_s, rpm_to_rad_s};

/// Balls of one answer, unless told otherwise: the ends of a range then vary by
/// some twentieth of its width from seed to seed.
const USUAL_BALLS: usize = 1000;
/// At most this many.
const MOST_BALLS: usize = 20_000;
/// Part of the balls left outside a range at each end: nine of ten are inside.
const TAIL: f64 = 0.05;

/// How well a set-up is put up: standard deviations.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SettingErrors {
    /// Distance, ft.
    pub distance_ft: f64,
    /// Height of the release, ft.
    pub height_ft: f64,
    /// Side of the release, ft.
    pub side_ft: f64,
    /// Speed at release, mph: the dial's and that from ball to ball.
    pub speed_mph: f64,
    /// Aim, up and to the side, degrees.
    pub aim_deg: f64,
    /// Spin, each part, rpm.
    pub spin_rpm: f64,
}

impl Default for SettingErrors {
    /// A tape read to an inch or two, a dial good to a mark, an aim set by a
    /// laser, spin not measured. Ours, no source; to be edited.
    fn default() -> Self {
        SettingErrors {
            distance_ft: 0.15,
            height_ft: 0.1,
            side_ft: 0.1,
            speed_mph: 1.0,
            aim_deg: 0.1,
            spin_rpm: 150.0,
        }
    }
}

/// Where nine of ten balls lie.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ranges {
    /// Time to the plane where the pitch is met, s.
    pub time_s: Span,
    /// Descent angle there, degrees.
    pub descent_deg: Span,
    /// Side angle there, degrees.
    pub side_angle_deg: Span,
    /// Height there against the target, in; positive is above it.
    pub high_in: Span,
    /// Side there against the target, in; positive is toward +x.
    pub aside_in: Span,
}

impl Question {
    /// What setting errors make of a solution when it is aimed once and left:
    /// 1,000 balls with random errors from a normal distribution.
    ///
    /// Errors: [`MatchError::Scale`] for an error that is not 0 or more;
    /// [`MatchError::Flight`] when such a ball cannot be flown.
    pub fn uncertainty(
        &self,
        solution: &Solution,
        errors: &SettingErrors,
        seed: u64,
    ) -> Result<Ranges, MatchError> {
        self.uncertainty_of(USUAL_BALLS, solution, errors, seed)
    }

    /// As [`Question::uncertainty`], by this many balls (20 to 20,000).
    pub fn uncertainty_of(
        &self,
        balls: usize,
        solution: &Solution,
        errors: &SettingErrors,
        seed: u64,
    ) -> Result<Ranges, MatchError> {
        errors.check()?;
        let balls = balls.clamp(20, MOST_BALLS);
        let mut random = Random::from_seed(seed);
        let mut seen: [Vec<f64>; 5] = std::array::from_fn(|_| Vec::with_capacity(balls));
        let target_m = solution.target_m;
        let flight = self.flight.with_ball(solution.ball);
        for _ in 0..balls {
            let launch = errors.applied(&solution.machine_launch, || random.normal());
            let arrival = flight
                .fly_through_ground(&launch, target_m[1])
                .map_err(|error| MatchError::Flight(crate::SetUpError::Machine(error)))?;
            let Seen {
                time_s,
                descent_deg,
                side_angle_deg,
                ..
            } = Seen::from(&arrival);
            let off_in = [2, 0].map(|i| m_to_in(arrival.position_m[i] - target_m[i]));
            let all = [time_s, descent_deg, side_angle_deg, off_in[0], off_in[1]];
            for (column, value) in seen.iter_mut().zip(all) {
                column.push(value);
            }
        }
        let [time_s, descent_deg, side_angle_deg, high_in, aside_in] = seen.map(middle);
        Ok(Ranges {
            time_s,
            descent_deg,
            side_angle_deg,
            high_in,
            aside_in,
        })
    }
}

impl SettingErrors {
    fn check(&self) -> Result<(), MatchError> {
        let all = [
            ("the error of distance", self.distance_ft),
            ("the error of height", self.height_ft),
            ("the error of side", self.side_ft),
            ("the error of speed", self.speed_mph),
            ("the error of aim", self.aim_deg),
            ("the error of spin", self.spin_rpm),
        ];
        for (what, given) in all {
            if !given.is_finite() || given < 0.0 {
                return Err(MatchError::Scale {
                    what,
                    must: "0 or more",
                    given,
                });
            }
        }
        Ok(())
    }

    /// A launch with errors; `normal` gives one number a call.
    fn applied(&self, launch: &Launch, mut normal: impl FnMut() -> f64) -> Launch {
        let mut off = |error: f64| error * normal();
        let [vx, vy, vz] = launch.velocity_m_s;
        let release_off_m =
            [self.side_ft, self.distance_ft, self.height_ft].map(|ft| off(ft_to_m(ft)));
        let speed_m_s = length(launch.velocity_m_s) + off(mph_to_m_s(self.speed_mph));
        let up_rad = vz.atan2(vx.hypot(vy)) + off(deg_to_rad(self.aim_deg));
        let turn_rad = vx.atan2(-vy) + off(deg_to_rad(self.aim_deg));
        Launch {
            release_m: std::array::from_fn(|i| launch.release_m[i] + release_off_m[i]),
            // A dial that is off by more than the whole speed throws nothing.
            velocity_m_s: direction([up_rad, turn_rad]).map(|part| part * speed_m_s.max(1e-3)),
            spin_rad_s: launch
                .spin_rad_s
                .map(|part| part + off(rpm_to_rad_s(self.spin_rpm))),
        }
    }
}

/// The span that leaves a [`TAIL`] outside at each end.
fn middle(mut values: Vec<f64>) -> Span {
    values.sort_unstable_by(f64::total_cmp);
    let at = |share: f64| values[((values.len() - 1) as f64 * share).round() as usize];
    Span::new(at(TAIL), at(1.0 - TAIL))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Flight, MachineModel, Room, Scales, level};

    fn asked() -> (Question, Solution) {
        let question = Question {
            flight: Flight::default(),
            pitch: level("baseball-adult").unwrap().game_pitch().into(),
            machine: MachineModel::default(),
            room: Room::default(),
            scales: Scales::default(),
        };
        (question, question.best().unwrap())
    }

    const NONE: SettingErrors = SettingErrors {
        distance_ft: 0.0,
        height_ft: 0.0,
        side_ft: 0.0,
        speed_mph: 0.0,
        aim_deg: 0.0,
        spin_rpm: 0.0,
    };

    #[test]
    fn without_errors_every_ball_is_the_solution() {
        let (question, solution) = asked();
        let ranges = question.uncertainty(&solution, &NONE, 1).unwrap();
        assert!(ranges.time_s.width() < 1e-12);
        assert!((ranges.time_s.min - solution.machine.time_s).abs() < 1e-9);
        assert!(ranges.high_in.max.abs() < 1e-6);
    }

    #[test]
    fn the_ranges_are_those_of_linear_error_propagation() {
        // Source: the law of propagation of errors, with slopes by launches that
        // are each off by one standard deviation in one thing; 90 percent of a
        // normal distribution lie within 1.645 of it.
        let (question, solution) = asked();
        let errors = SettingErrors::default();
        let y_m = solution.target_m[1];
        let meant = solution.machine_launch;
        let at = |launch: &Launch| {
            let arrival = question.flight.fly_through_ground(launch, y_m).unwrap();
            [arrival.time_s, m_to_in(arrival.position_m[2])]
        };
        let off_by_one = |change: &dyn Fn(&mut Launch)| {
            let mut launch = meant;
            change(&mut launch);
            [0, 1].map(|i| at(&launch)[i] - at(&meant)[i])
        };
        let [vx, vy, vz] = meant.velocity_m_s;
        let faster = 1.0 + errors.speed_mph / solution.speed_mph;
        let (sine, cosine) = errors.aim_deg.to_radians().sin_cos();
        let spin_rad_s = errors.spin_rpm * std::f64::consts::PI / 30.0;
        let slopes = [
            off_by_one(&|launch| launch.release_m[1] += errors.distance_ft * 0.3048),
            off_by_one(&|launch| launch.release_m[2] += errors.height_ft * 0.3048),
            off_by_one(&|launch| launch.velocity_m_s = [vx, vy, vz].map(|part| part * faster)),
            off_by_one(&|launch| {
                launch.velocity_m_s = [vx, vy * cosine + vz * sine, vz * cosine - vy * sine];
            }),
            off_by_one(&|launch| launch.spin_rad_s[0] -= spin_rad_s),
        ];
        let width = |i: usize| {
            let squares: f64 = slopes.iter().map(|slope| slope[i].powi(2)).sum();
            2.0 * 1.645 * squares.sqrt()
        };
        let ranges = question
            .uncertainty_of(20_000, &solution, &errors, 7)
            .unwrap();
        let (time, high) = (
            ranges.time_s.width() / width(0),
            ranges.high_in.width() / width(1),
        );
        assert!((time - 1.0).abs() < 0.03, "{time} {ranges:?}");
        assert!((high - 1.0).abs() < 0.03, "{high} {ranges:?}");
        assert!(ranges.time_s.contains(solution.machine.time_s));
    }

    #[test]
    fn an_aim_off_by_a_tenth_of_a_degree_spreads_the_balls_by_that_angle() {
        // Source: the tangent of the angle over the distance; 90 percent of a
        // normal distribution lie within 1.645 standard deviations.
        let (question, solution) = asked();
        let errors = SettingErrors {
            aim_deg: 0.1,
            ..NONE
        };
        let ranges = question
            .uncertainty_of(20_000, &solution, &errors, 3)
            .unwrap();
        let width_in = 2.0 * 1.645 * 12.0 * solution.distance_ft * 0.1_f64.to_radians().tan();
        for span in [ranges.high_in, ranges.aside_in] {
            assert!(
                (span.width() / width_in - 1.0).abs() < 0.03,
                "{width_in} {ranges:?}"
            );
        }
    }

    #[test]
    fn the_same_seed_gives_the_same_ranges_and_larger_errors_wider_ones() {
        let (question, solution) = asked();
        let of = |errors: &SettingErrors| question.uncertainty(&solution, errors, 5).unwrap();
        let usual = SettingErrors::default();
        assert_eq!(of(&usual), of(&usual));
        let worse = SettingErrors {
            aim_deg: 0.3,
            ..usual
        };
        assert!(of(&worse).high_in.width() > 1.5 * of(&usual).high_in.width());
    }

    #[test]
    fn errors_that_are_none_are_refused() {
        let (question, solution) = asked();
        for bad in [f64::NAN, -0.1, f64::INFINITY] {
            let errors = SettingErrors {
                speed_mph: bad,
                ..NONE
            };
            assert!(matches!(
                question.uncertainty(&solution, &errors, 1),
                Err(MatchError::Scale {
                    what: "the error of speed",
                    ..
                })
            ));
        }
    }
}
