//! Support for the reference tests: the kept tables, the scripts that make
//! them, and how far our flight is from a table. The checks themselves stand
//! one file a subject beside this crate's Cargo.toml.

use flight::{Air, Arrival, Ball, Drag, Flight, FlightError, Launch, Lift};
use serde::Deserialize;
use std::path::Path;
use std::process::Command;

/// A pitch and where SciPy's DOP853 says it arrives.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct Pitch {
    /// Name of the case.
    pub id: String,
    ball: BallData,
    air_density_kg_m3: f64,
    drag_coefficient: f64,
    lift: LiftLaw,
    release_m: [f64; 3],
    velocity_m_s: [f64; 3],
    spin_rad_s: [f64; 3],
    plane_y_m: f64,
    /// SciPy's answer.
    pub dop853: ArrivalData,
}

#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
struct BallData {
    mass_kg: f64,
    circumference_m: f64,
}

#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(rename_all = "lowercase")]
enum LiftLaw {
    Shs,
    None,
}

/// An arrival in a table.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
pub struct ArrivalData {
    time_s: f64,
    position_m: [f64; 3],
    velocity_m_s: [f64; 3],
}

impl Pitch {
    /// The ball, air and laws of the case.
    pub fn flight(&self) -> Flight {
        Flight {
            ball: Ball {
                mass_kg: self.ball.mass_kg,
                circumference_m: self.ball.circumference_m,
            },
            air: Air {
                density_kg_m3: self.air_density_kg_m3,
            },
            drag: Drag::Constant(self.drag_coefficient),
            lift: match self.lift {
                LiftLaw::Shs => Lift::SawickiHubbardStronge,
                LiftLaw::None => Lift::None,
            },
        }
    }

    /// The launch of the case.
    pub fn launch(&self) -> Launch {
        Launch {
            release_m: self.release_m,
            velocity_m_s: self.velocity_m_s,
            spin_rad_s: self.spin_rad_s,
        }
    }

    /// Flies the case with our integrator and compares with the table. Random
    /// pitches may pass below plate level, so there is no ground.
    pub fn miss(&self) -> Result<Miss, FlightError> {
        let ours = self
            .flight()
            .fly_through_ground(&self.launch(), self.plane_y_m)?;
        Ok(Miss::between(&ours, &self.dop853.arrival()))
    }

    /// Whether the spin parameter passes 0.1, the bend of the lift law, between
    /// release and plane.
    pub fn passes_the_bend(&self) -> bool {
        let surface_m_s = self.flight().ball.radius_m() * distance(self.spin_rad_s, [0.0; 3]);
        let at_release = surface_m_s / distance(self.velocity_m_s, [0.0; 3]);
        let at_plane = surface_m_s / distance(self.dop853.velocity_m_s, [0.0; 3]);
        self.lift == LiftLaw::Shs && at_release < 0.1 && at_plane > 0.1
    }

    /// Whether two makings of the table agree on this case: the same input,
    /// and an answer within what DOP853 promises.
    pub fn same_as(&self, other: &Pitch) -> bool {
        let input_only = |pitch: &Pitch| Pitch {
            dop853: self.dop853,
            ..pitch.clone()
        };
        let miss = Miss::between(&self.dop853.arrival(), &other.dop853.arrival());
        // Another machine's sine may differ in the last place.
        let same_input = input_only(self) == input_only(other) || {
            let close = |a: [f64; 3], b: [f64; 3]| (0..3).all(|i| (a[i] - b[i]).abs() < 1e-12);
            self.id == other.id
                && close(self.release_m, other.release_m)
                && close(self.velocity_m_s, other.velocity_m_s)
                && close(self.spin_rad_s, other.spin_rad_s)
        };
        same_input && miss.time_rel < 1e-9 && miss.speed_rel < 1e-9 && miss.position_mm < 1e-5
    }
}

impl ArrivalData {
    fn arrival(&self) -> Arrival {
        Arrival {
            time_s: self.time_s,
            position_m: self.position_m,
            velocity_m_s: self.velocity_m_s,
        }
    }
}

/// How far two arrivals are apart.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Miss {
    /// Time, relative.
    pub time_rel: f64,
    /// Speed, relative.
    pub speed_rel: f64,
    /// Velocity as a vector, relative to the speed: direction counts too.
    pub velocity_rel: f64,
    /// Position, mm.
    pub position_mm: f64,
}

impl Miss {
    /// `ours` against `reference`.
    pub fn between(ours: &Arrival, reference: &Arrival) -> Miss {
        Miss {
            time_rel: (ours.time_s / reference.time_s - 1.0).abs(),
            speed_rel: (ours.speed_m_s() / reference.speed_m_s() - 1.0).abs(),
            velocity_rel: distance(ours.velocity_m_s, reference.velocity_m_s)
                / reference.speed_m_s(),
            position_mm: 1000.0 * distance(ours.position_m, reference.position_m),
        }
    }

    /// The larger of each; a NaN on either side stays one, so that it cannot
    /// hide behind a good number.
    pub fn worst(self, other: Miss) -> Miss {
        let larger = |a: f64, b: f64| if a.is_nan() || a > b { a } else { b };
        Miss {
            time_rel: larger(self.time_rel, other.time_rel),
            speed_rel: larger(self.speed_rel, other.speed_rel),
            velocity_rel: larger(self.velocity_rel, other.velocity_rel),
            position_mm: larger(self.position_mm, other.position_mm),
        }
    }
}

fn distance(a: [f64; 3], b: [f64; 3]) -> f64 {
    (0..3).map(|i| (a[i] - b[i]).powi(2)).sum::<f64>().sqrt()
}

/// The kept table of `scipy_flight.py`.
///
/// # Panics
/// When the table cannot be read: it is part of this crate.
pub fn scipy_pitches() -> Vec<Pitch> {
    read_pitches(include_str!("../scipy_flight.json"))
}

/// Pitches from the output of `scipy_flight.py`.
///
/// # Panics
/// When it is no such table.
pub fn read_pitches(json: &str) -> Vec<Pitch> {
    serde_json::from_str(json).expect("a table of scipy_flight.py")
}

/// One line of the table of `ambiance_air.py`.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
pub struct Altitude {
    /// Above sea level, m.
    pub altitude_m: f64,
    /// Density of the standard atmosphere there, kg/m3.
    pub density_kg_m3: f64,
    /// Its pressure there, Pa.
    pub pressure_pa: f64,
}

/// The kept table of `ambiance_air.py`.
///
/// # Panics
/// When the table cannot be read: it is part of this crate.
pub fn ambiance_altitudes() -> Vec<Altitude> {
    read_altitudes(include_str!("../ambiance_air.json"))
}

/// Altitudes from the output of `ambiance_air.py`.
///
/// # Panics
/// When it is no such table.
pub fn read_altitudes(json: &str) -> Vec<Altitude> {
    serde_json::from_str(json).expect("a table of ambiance_air.py")
}

/// One line of the table of `coolprop_moist_air.py`.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
pub struct MoistAir {
    /// Temperature, C.
    pub temperature_c: f64,
    /// Relative humidity, percent.
    pub humidity_percent: f64,
    /// Pressure, Pa.
    pub pressure_pa: f64,
    /// Density, kg/m3.
    pub density_kg_m3: f64,
}

/// The kept table of `coolprop_moist_air.py`.
///
/// # Panics
/// When the table cannot be read: it is part of this crate.
pub fn coolprop_moist_air() -> Vec<MoistAir> {
    read_moist_air(include_str!("../coolprop_moist_air.json"))
}

/// Moist air from the output of `coolprop_moist_air.py`.
///
/// # Panics
/// When it is no such table.
pub fn read_moist_air(json: &str) -> Vec<MoistAir> {
    serde_json::from_str(json).expect("a table of coolprop_moist_air.py")
}

/// A set-up that SciPy solved.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct SetUpCase {
    /// Name of the ball, as in `scipy_flight.py`.
    pub ball: String,
    /// Density of the air, kg/m3.
    pub air_density_kg_m3: f64,
    /// Game release: side, distance, height, ft.
    pub release_ft: [f64; 3],
    /// Speed of the game pitch at release, mph.
    pub game_speed_mph: f64,
    /// Its backspin and sidespin, rpm.
    pub game_spin_rpm: [f64; 2],
    /// Height of the target, ft.
    pub target_height_ft: f64,
    /// Where the pitch is met, in in front of the back point of the plate.
    pub met_at_in: f64,
    /// Backspin and sidespin of the machine's ball, rpm.
    pub machine_spin_rpm: [f64; 2],
    /// Distance of the machine, ft.
    pub distance_ft: f64,
    /// SciPy's answer.
    pub scipy: SetUpAnswer,
}

/// A set-up of the same time, descent and side angle.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
pub struct SetUpAnswer {
    /// Height of the machine, ft.
    pub height_ft: f64,
    /// Its side, ft.
    pub side_ft: f64,
    /// Its speed, mph.
    pub speed_mph: f64,
}

/// The kept table of `scipy_set_up.py`.
///
/// # Panics
/// When the table cannot be read: it is part of this crate.
pub fn scipy_set_ups() -> Vec<SetUpCase> {
    read_set_ups(include_str!("../scipy_set_up.json"))
}

/// Set-ups from the output of `scipy_set_up.py`.
///
/// # Panics
/// When it is no such table.
pub fn read_set_ups(json: &str) -> Vec<SetUpCase> {
    serde_json::from_str(json).expect("a table of scipy_set_up.py")
}

/// Runs a script of this folder and returns what it prints, or `None`, with a
/// note, when Python or the package it needs is not there.
///
/// The interpreter is `STRIDEBOOK_PYTHON`, else `python3`.
///
/// # Panics
/// When the package is there and the script fails.
pub fn run_script(script: &str, package: &str) -> Option<String> {
    let python = std::env::var("STRIDEBOOK_PYTHON").unwrap_or_else(|_| "python3".to_owned());
    let probe = Command::new(&python)
        .args(["-c", &format!("import {package}")])
        .output();
    if !probe.is_ok_and(|probe| probe.status.success()) {
        println!("note: {script} not run, as {python} has no {package}; the kept table stands");
        return None;
    }
    let output = Command::new(&python)
        // Leave nothing behind in the source folder.
        .env("PYTHONDONTWRITEBYTECODE", "1")
        .arg(Path::new(env!("CARGO_MANIFEST_DIR")).join(script))
        .output()
        .expect("python has just run");
    assert!(
        output.status.success(),
        "{script}: {}",
        String::from_utf8_lossy(&output.stderr)
    );
    Some(String::from_utf8(output.stdout).expect("JSON is UTF-8"))
}
