//! The integrator: forces on the ball, and the march from release to plane.
//!
//! # Why this integrator
//!
//! A pitch always moves toward the plate, so `y` serves as the independent
//! variable of a classical fourth-order Runge-Kutta scheme: time, `x`, `z` and
//! the velocity are functions of `y`, and the last step ends on the plane
//! itself. No event search, no interpolation, and the answer is a smooth
//! function of the launch, which the solvers for aim and speed rely on. An
//! adaptive scheme of higher order gains nothing on a path this smooth. At the
//! step used, the error against DOP853 (SciPy, and the crate ode_solvers) is
//! far inside the budget of 1e-6 in time and speed; `tests/reference` measures
//! it. The price is that a ball that turns back cannot be followed past the
//! turn, which no pitch does.

use crate::ball::Ball;
use crate::drag::Drag;
use crate::error::FlightError;
use crate::flight::{Arrival, Flight, GRAVITY_M_S2, Launch, length};

/// A flight has at least this many steps, so that the bend of the lift law
/// falls inside a short one.
const FEWEST_STEPS: f64 = 64.0;
/// Largest part by which drag, lift or gravity may turn or slow the ball in
/// one step; short steps for light balls and slow lobs.
const LARGEST_CHANGE: f64 = 0.02;
/// A ball still on its way after this time is no pitch, s.
const LONGEST_FLIGHT_S: f64 = 20.0;
/// Backstop for balls that all but stop, in steps.
const MOST_STEPS: usize = 20_000;

/// The forces on one ball in flight, prepared once a flight.
struct Forces<'a> {
    flight: &'a Flight,
    /// Half of density times area over mass, 1/m: acceleration for a
    /// coefficient of 1 is this times the square of the speed.
    air_per_m: f64,
    /// Unit vector of the spin, or zeros without spin.
    spin_axis: [f64; 3],
    /// Speed of the ball's surface by its spin, m/s.
    surface_m_s: f64,
}

impl<'a> Forces<'a> {
    fn new(flight: &'a Flight, spin_rad_s: [f64; 3]) -> Self {
        let Ball { mass_kg, .. } = flight.ball;
        let rate_rad_s = length(spin_rad_s);
        let spin_axis = match rate_rad_s {
            0.0 => [0.0; 3],
            rate => spin_rad_s.map(|part| part / rate),
        };
        Forces {
            flight,
            air_per_m: 0.5 * flight.air.density_kg_m3 * flight.ball.area_m2() / mass_kg,
            spin_axis,
            surface_m_s: rate_rad_s * flight.ball.radius_m(),
        }
    }

    /// Coefficients of drag and lift at a speed, m/s.
    fn coefficients(&self, speed_m_s: f64) -> (f64, f64) {
        let spin_parameter = self.surface_m_s / speed_m_s;
        (
            self.flight.drag.coefficient(speed_m_s, spin_parameter),
            self.flight.lift.coefficient(spin_parameter),
        )
    }

    /// Acceleration, m/s2, at a velocity, m/s. Drag acts against the velocity,
    /// lift along spin axis x velocity.
    fn acceleration(&self, [vx, vy, vz]: [f64; 3]) -> [f64; 3] {
        let speed = length([vx, vy, vz]);
        let (drag, lift) = self.coefficients(speed);
        let drag = self.air_per_m * drag * speed;
        let lift = self.air_per_m * lift * speed;
        let [sx, sy, sz] = self.spin_axis;
        [
            lift * (sy * vz - sz * vy) - drag * vx,
            lift * (sz * vx - sx * vz) - drag * vy,
            lift * (sx * vy - sy * vx) - drag * vz - GRAVITY_M_S2,
        ]
    }

    /// Change of (time, x, z, vx, vy, vz) a metre of y; `None` when the ball
    /// does not move toward the plate.
    fn per_metre(&self, [_, _, _, vx, vy, vz]: State) -> Option<State> {
        if vy.is_nan() || vy >= 0.0 {
            return None;
        }
        let [ax, ay, az] = self.acceleration([vx, vy, vz]);
        Some([1.0, vx, vz, ax, ay, az].map(|change_a_second| change_a_second / vy))
    }
}

/// Time, x, z, vx, vy, vz in SI units, as functions of y.
type State = [f64; 6];

/// `state` moved along a slope by `dy`.
fn moved(state: State, slope: State, dy: f64) -> State {
    std::array::from_fn(|i| state[i] + slope[i] * dy)
}

/// A flight under way.
pub(crate) struct March<'a> {
    forces: Forces<'a>,
    pub(crate) y_m: f64,
    state: State,
    /// No step is longer than this, m.
    longest_step_m: f64,
    steps: usize,
}

impl<'a> March<'a> {
    pub(crate) fn start(
        flight: &'a Flight,
        launch: &Launch,
        plane_y_m: f64,
    ) -> Result<Self, FlightError> {
        above_0("the mass of the ball", flight.ball.mass_kg)?;
        above_0("the circumference of the ball", flight.ball.circumference_m)?;
        from_0("the density of the air", flight.air.density_kg_m3)?;
        if let Drag::Constant(coefficient) | Drag::RisesWithSpin(coefficient) = flight.drag {
            from_0("the drag coefficient", coefficient)?;
        }
        for (what, parts) in [
            ("the release point", launch.release_m),
            ("the velocity", launch.velocity_m_s),
            ("the spin", launch.spin_rad_s),
        ] {
            parts.into_iter().try_for_each(|part| finite(what, part))?;
        }
        finite("the plane", plane_y_m)?;
        let [x, y_m, z] = launch.release_m;
        if y_m <= plane_y_m {
            return Err(FlightError::BehindPlane {
                release_y_m: y_m,
                plane_y_m,
            });
        }
        let [vx, vy, vz] = launch.velocity_m_s;
        Ok(March {
            forces: Forces::new(flight, launch.spin_rad_s),
            y_m,
            state: [0.0, x, z, vx, vy, vz],
            longest_step_m: (y_m - plane_y_m) / FEWEST_STEPS,
            steps: 0,
        })
    }

    /// Takes one step toward the plane; `false` once it stands on it.
    pub(crate) fn step(&mut self, plane_y_m: f64) -> Result<bool, FlightError> {
        let left_m = self.y_m - plane_y_m;
        if left_m <= 0.0 {
            return Ok(false);
        }
        // The rest is shared evenly; the hair keeps rounding from adding a step.
        let steps_left = (left_m / self.step_m() - 1e-9).ceil().max(1.0);
        let stuck = FlightError::NeverReaches {
            nearest_y_m: self.y_m,
        };
        let too_many = steps_left.is_nan() || steps_left > MOST_STEPS as f64;
        if too_many || self.steps == MOST_STEPS {
            return Err(stuck);
        }
        self.steps += 1;
        let dy = -left_m / steps_left;
        let state = self.runge_kutta(dy).ok_or(stuck)?;
        // A number lost to overflow is an end of the flight too.
        if state[0] > LONGEST_FLIGHT_S || state.iter().any(|part| !part.is_finite()) {
            return Err(stuck);
        }
        self.state = state;
        self.y_m = if steps_left == 1.0 {
            plane_y_m
        } else {
            self.y_m + dy
        };
        Ok(self.y_m > plane_y_m)
    }

    /// The step that suits the present speed, m.
    fn step_m(&self) -> f64 {
        let [_, _, _, vx, vy, vz] = self.state;
        let speed = length([vx, vy, vz]);
        let (drag, lift) = self.forces.coefficients(speed);
        let by_air_per_m = self.forces.air_per_m * (drag + lift) * speed / vy.abs();
        let by_gravity_per_m = GRAVITY_M_S2 / (vy * vy);
        self.longest_step_m
            .min(LARGEST_CHANGE / by_air_per_m.max(by_gravity_per_m))
    }

    /// One step of the classical fourth-order Runge-Kutta scheme.
    fn runge_kutta(&self, dy: f64) -> Option<State> {
        let start = self.state;
        let k1 = self.forces.per_metre(start)?;
        let k2 = self.forces.per_metre(moved(start, k1, dy / 2.0))?;
        let k3 = self.forces.per_metre(moved(start, k2, dy / 2.0))?;
        let k4 = self.forces.per_metre(moved(start, k3, dy))?;
        let mean = std::array::from_fn(|i| (k1[i] + 2.0 * (k2[i] + k3[i]) + k4[i]) / 6.0);
        Some(moved(start, mean, dy))
    }

    /// Refuses a ball whose middle is below plate level.
    pub(crate) fn above_ground(&self) -> Result<(), FlightError> {
        match self.ground_contact() {
            None => Ok(()),
            Some((time_s, [_, y_m, _])) => Err(FlightError::HitsGround { y_m, time_s }),
        }
    }

    /// When and where the middle of the ball came down to plate level, if it
    /// is below: back along the tangent, as the last step is short.
    pub(crate) fn ground_contact(&self) -> Option<(f64, [f64; 3])> {
        let [time_s, x, z, vx, vy, vz] = self.state;
        if z >= 0.0 {
            return None;
        }
        let since_s = match self.steps {
            0 => 0.0,
            _ if vz < 0.0 => z / vz,
            _ => 0.0,
        };
        let position_m = [x - vx * since_s, self.y_m - vy * since_s, 0.0];
        Some((time_s - since_s, position_m))
    }

    pub(crate) fn position_m(&self) -> [f64; 3] {
        let [_, x, z, ..] = self.state;
        [x, self.y_m, z]
    }

    pub(crate) fn arrival(&self) -> Arrival {
        let [time_s, _, _, vx, vy, vz] = self.state;
        Arrival {
            time_s,
            position_m: self.position_m(),
            velocity_m_s: [vx, vy, vz],
        }
    }
}

/// Refuses what is not finite or outside `inside`; `must` says that in words.
fn usable(
    what: &'static str,
    given: f64,
    must: &'static str,
    inside: impl Fn(f64) -> bool,
) -> Result<(), FlightError> {
    if given.is_finite() && inside(given) {
        return Ok(());
    }
    Err(FlightError::Unusable { what, must, given })
}

pub(crate) fn finite(what: &'static str, given: f64) -> Result<(), FlightError> {
    usable(what, given, "that is finite", |_| true)
}

fn above_0(what: &'static str, given: f64) -> Result<(), FlightError> {
    usable(what, given, "above 0", |given| given > 0.0)
}

fn from_0(what: &'static str, given: f64) -> Result<(), FlightError> {
    usable(what, given, "that is 0 or more", |given| given >= 0.0)
}
