//! One try of the search: a machine at a place, its ball aimed at the target,
//! and how far what the hitter sees is from the game pitch.

use crate::aim::{Aimed, direction};
use crate::bounded::{M, Misses, N, Point, Search, Slopes, Vars};
use crate::flight::{Arrival, Flight, Launch};
use crate::spin::Spin;
use crate::units::{ft_to_m, mph_to_m_s};
use crate::wheels::Wheels;

/// The variables of the search, by their place in [`Vars`].
pub(crate) const DISTANCE: usize = 0;
pub(crate) const HEIGHT: usize = 1;
pub(crate) const SIDE: usize = 2;
pub(crate) const SPEED: usize = 3;
pub(crate) const SPIN: usize = 4;

/// What one unit of each variable is: ft, ft, ft, mph, rpm, rpm. Chosen so
/// that a unit of each changes the misses about as much.
pub(crate) const UNITS: Vars = [1.0, 0.25, 0.25, 1.0, 100.0, 100.0];
/// Part of a unit by which slopes are measured.
const PROBE: f64 = 1e-4;
/// Turn of the aim by which slopes are measured, rad.
const AIM_PROBE_RAD: f64 = 1e-6;
/// A try passes its target within this, m; time and angles move by a
/// hundredth of what the flight itself may be off.
const NEAR_M: f64 = 1e-9;
/// Rounds to bring the aim that near; 2 or 3 are used.
const AIM_ROUNDS: usize = 12;

/// What the search is after, in SI units and rpm.
pub(crate) struct Goal {
    /// The machine's ball in the air.
    pub(crate) flight: Flight,
    pub(crate) wheels: Wheels,
    pub(crate) target_m: [f64; 3],
    /// The game pitch as it arrives.
    pub(crate) arrival: Arrival,
    /// Its spin.
    pub(crate) spin: Spin,
    /// One over the scales of time, descent, side angle, spin; 0 for what does
    /// not count.
    pub(crate) weights: [f64; 4],
    pub(crate) low: Vars,
    pub(crate) high: Vars,
}

/// A machine at a place, aimed.
#[derive(Debug, Clone)]
pub(crate) struct Shot {
    pub(crate) vars: Vars,
    /// Elevation above level and turn toward +x, rad.
    aim: [f64; 2],
    misses: Misses,
}

impl Point for Shot {
    fn vars(&self) -> Vars {
        self.vars
    }
    fn misses(&self) -> Misses {
        self.misses
    }
}

/// How the aim must follow the variables.
pub(crate) struct Around {
    /// Turn of the aim that moves the ball by a metre up and to the side.
    aim_a_metre: [[f64; 2]; 2],
    /// Change of the aim by each variable.
    aim_by_var: [[f64; 2]; N],
}

impl Shot {
    /// Square root of the sum of the squared misses.
    pub(crate) fn miss(&self) -> f64 {
        crate::bounded::squared(&self.misses).sqrt()
    }

    /// Whether time, descent and side angle are each within their scale.
    pub(crate) fn matches(&self) -> bool {
        self.misses[..3].iter().all(|miss| miss.abs() <= 1.0)
    }
}

impl Goal {
    /// The spin of the machine's ball.
    pub(crate) fn spin_at(&self, vars: &Vars) -> Spin {
        let free_rpm = [0, 1].map(|i| vars[SPIN + i] * UNITS[SPIN + i]);
        let speed_m_s = mph_to_m_s(vars[SPEED] * UNITS[SPEED]);
        self.wheels.spin(&self.flight.ball, speed_m_s, free_rpm)
    }

    fn launch(&self, vars: &Vars, aim: [f64; 2]) -> Launch {
        let at_ft = [SIDE, DISTANCE, HEIGHT].map(|i| vars[i] * UNITS[i]);
        let speed_m_s = mph_to_m_s(vars[SPEED] * UNITS[SPEED]);
        Launch {
            release_m: at_ft.map(ft_to_m),
            velocity_m_s: direction(aim).map(|part| part * speed_m_s),
            spin_rad_s: self.spin_at(vars).vector_rad_s(),
        }
    }

    fn fly(&self, vars: &Vars, aim: [f64; 2]) -> Option<Arrival> {
        self.flight
            .fly_through_ground(&self.launch(vars, aim), self.target_m[1])
            .ok()
    }

    /// Where a ball passes, from the target: up and toward +x, m.
    fn passes_by(&self, arrival: &Arrival) -> [f64; 2] {
        [2, 0].map(|i| arrival.position_m[i] - self.target_m[i])
    }

    /// The misses of a ball that passes the target.
    fn misses(&self, vars: &Vars, arrival: &Arrival) -> Misses {
        let [time, descent, side, spin] = self.weights;
        // Gyro spin does not move the ball, and no wheel gives it.
        let left = self.spin_at(vars).minus(self.spin);
        [
            (arrival.time_s - self.arrival.time_s) * time,
            (arrival.descent_rad() - self.arrival.descent_rad()) * descent,
            (arrival.side_angle_rad() - self.arrival.side_angle_rad()) * side,
            left.backspin_rpm * spin,
            left.sidespin_rpm * spin,
        ]
    }

    /// A machine with these variables, aimed from scratch; `None` when no aim
    /// reaches the target.
    pub(crate) fn start(&self, vars: Vars) -> Option<Shot> {
        let aimed = self.aimed(&vars)?;
        Some(Shot {
            vars,
            aim: [-aimed.down_rad, aimed.toward_rad],
            misses: self.misses(&vars, &aimed.arrival),
        })
    }

    /// The aimed ball by the crate's own aim.
    pub(crate) fn aimed(&self, vars: &Vars) -> Option<Aimed> {
        let straight = self.launch(vars, [0.0; 2]);
        let speed_m_s = mph_to_m_s(vars[SPEED] * UNITS[SPEED]);
        self.flight
            .aim_through_ground(
                straight.release_m,
                speed_m_s,
                straight.spin_rad_s,
                self.target_m,
            )
            .ok()
    }
}

impl Goal {
    /// Slopes of all variables, those that stand still too.
    pub(crate) fn slopes_of_all(&self, at: &Shot) -> Option<(Slopes, Around)> {
        self.slopes_by(at, |_| true)
    }

    /// Slopes of the misses by the wanted variables, when the aim follows each
    /// so that the ball still passes the target.
    fn slopes_by(&self, at: &Shot, wanted: impl Fn(usize) -> bool) -> Option<(Slopes, Around)> {
        let here = self.fly(&at.vars, at.aim)?;
        let misses = self.misses(&at.vars, &here);
        let passes = self.passes_by(&here);
        // Change of the misses and of the place by one probe.
        let change = |vars: &Vars, aim: [f64; 2], probe: f64| {
            let arrival = self.fly(vars, aim)?;
            let there = self.misses(vars, &arrival);
            let place = self.passes_by(&arrival);
            let by: Misses = std::array::from_fn(|i| (there[i] - misses[i]) / probe);
            Some((by, [0, 1].map(|i| (place[i] - passes[i]) / probe)))
        };
        let turned = |turn: usize| {
            let mut aim = at.aim;
            aim[turn] += AIM_PROBE_RAD;
            change(&at.vars, aim, AIM_PROBE_RAD)
        };
        let (by_raise, raise) = turned(0)?;
        let (by_turn, turn) = turned(1)?;
        let determinant = raise[0] * turn[1] - raise[1] * turn[0];
        if determinant <= 0.0 {
            return None;
        }
        let aim_a_metre = [
            [turn[1] / determinant, -raise[1] / determinant],
            [-turn[0] / determinant, raise[0] / determinant],
        ];
        let mut slopes = [[0.0; M]; N];
        let mut aim_by_var = [[0.0; 2]; N];
        for var in 0..N {
            if !wanted(var) {
                continue;
            }
            let (by_var, moves_m) = match var {
                // A machine set higher or to the side throws the same flight
                // there: only the place moves.
                HEIGHT => ([0.0; M], [ft_to_m(UNITS[HEIGHT]), 0.0]),
                SIDE => ([0.0; M], [0.0, ft_to_m(UNITS[SIDE])]),
                _ => {
                    let mut vars = at.vars;
                    vars[var] += PROBE;
                    change(&vars, at.aim, PROBE)?
                }
            };
            let follow = follow(&aim_a_metre, moves_m);
            aim_by_var[var] = follow;
            slopes[var] = std::array::from_fn(|i| {
                by_var[i] + by_raise[i] * follow[0] + by_turn[i] * follow[1]
            });
        }
        Some((
            slopes,
            Around {
                aim_a_metre,
                aim_by_var,
            },
        ))
    }
}

impl Search for Goal {
    type At = Shot;
    type Around = Around;

    fn limits(&self) -> (Vars, Vars) {
        (self.low, self.high)
    }

    fn slopes(&self, at: &Shot) -> Option<(Slopes, Around)> {
        self.slopes_by(at, |var| self.low[var] < self.high[var])
    }

    fn moved(&self, at: &Shot, around: &Around, to: Vars) -> Option<Shot> {
        let mut aim = at.aim;
        let moves = to.iter().zip(at.vars).map(|(to, from)| to - from);
        for (by, slopes) in moves.zip(around.aim_by_var) {
            for (angle, slope) in aim.iter_mut().zip(slopes) {
                *angle += slope * by;
            }
        }
        for _ in 0..AIM_ROUNDS {
            let arrival = self.fly(&to, aim)?;
            let passes = self.passes_by(&arrival);
            if passes[0].hypot(passes[1]) < NEAR_M {
                return Some(Shot {
                    vars: to,
                    aim,
                    misses: self.misses(&to, &arrival),
                });
            }
            let turn = follow(&around.aim_a_metre, passes);
            aim = [aim[0] + turn[0], aim[1] + turn[1]];
        }
        None
    }
}

/// The turn of the aim that takes back a move of the ball's place.
fn follow(aim_a_metre: &[[f64; 2]; 2], [up_m, side_m]: [f64; 2]) -> [f64; 2] {
    [0, 1].map(|angle| -(aim_a_metre[0][angle] * up_m + aim_a_metre[1][angle] * side_m))
}
