//! `cargo xtask flight FILE`: flies the cases of a JSON list, for cross-checks
//! by other programs. Axes and units as in the docs of the crate `flight`; the
//! field has no ground here, as other programs know of none.

use anyhow::{Context, Result};
use flight::{Air, Ball, Drag, Flight, Launch, Lift};
use serde::Deserialize;
use serde_json::{Value, json};
use std::path::Path;

/// One case of the list.
#[derive(Deserialize)]
struct Case {
    ball: CaseBall,
    air_density_kg_m3: f64,
    drag_coefficient: f64,
    lift: CaseLift,
    release_m: [f64; 3],
    velocity_m_s: [f64; 3],
    spin_rad_s: [f64; 3],
    plane_y_m: f64,
}

#[derive(Deserialize)]
struct CaseBall {
    mass_kg: f64,
    circumference_m: f64,
}

#[derive(Deserialize)]
#[serde(rename_all = "lowercase")]
enum CaseLift {
    Shs,
    None,
}

/// Flies every case of a file and prints the list of answers.
///
/// # Errors
/// When the file cannot be read as a JSON list. A case that cannot be flown is
/// an answer, with an "error".
pub fn run(file: &Path) -> Result<()> {
    let text =
        std::fs::read_to_string(file).with_context(|| format!("cannot read {}", file.display()))?;
    let answers = answers(&text).with_context(|| format!("{} is no list", file.display()))?;
    println!("{answers:#}");
    Ok(())
}

fn answers(text: &str) -> Result<Value> {
    let cases: Vec<Value> = serde_json::from_str(text)?;
    Ok(cases.into_iter().map(answer).collect())
}

fn answer(case: Value) -> Value {
    let id = case.get("id").cloned().unwrap_or(Value::Null);
    let flown = serde_json::from_value::<Case>(case)
        .map_err(|error| error.to_string())
        .and_then(|case| case.fly().map_err(|error| error.to_string()));
    match flown {
        Ok(arrival) => json!({
            "id": id,
            "time_s": arrival.time_s,
            "position_m": arrival.position_m,
            "velocity_m_s": arrival.velocity_m_s,
        }),
        Err(error) => json!({ "id": id, "error": error }),
    }
}

impl Case {
    fn fly(&self) -> Result<flight::Arrival, flight::FlightError> {
        let flight = Flight {
            ball: Ball {
                mass_kg: self.ball.mass_kg,
                circumference_m: self.ball.circumference_m,
            },
            air: Air {
                density_kg_m3: self.air_density_kg_m3,
            },
            drag: Drag::Constant(self.drag_coefficient),
            lift: match self.lift {
                CaseLift::Shs => Lift::SawickiHubbardStronge,
                CaseLift::None => Lift::None,
            },
        };
        let launch = Launch {
            release_m: self.release_m,
            velocity_m_s: self.velocity_m_s,
            spin_rad_s: self.spin_rad_s,
        };
        flight.fly_through_ground(&launch, self.plane_y_m)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pitch(change: impl FnOnce(&mut Value)) -> Value {
        let mut case = json!({
            "id": "fall",
            "ball": { "mass_kg": 0.145, "circumference_m": 0.232 },
            "air_density_kg_m3": 0.0,
            "drag_coefficient": 0.35,
            "lift": "shs",
            "release_m": [0.0, 16.0, 1.0],
            "velocity_m_s": [1.0, -40.0, 0.0],
            "spin_rad_s": [-200.0, 0.0, 0.0],
            "plane_y_m": 0.0,
        });
        change(&mut case);
        case
    }

    fn near(value: &Value, exact: f64) -> bool {
        value
            .as_f64()
            .is_some_and(|value| (value - exact).abs() < 1e-9)
    }

    #[test]
    fn a_case_in_a_vacuum_flies_the_parabola() {
        let answers = answers(&json!([pitch(|_| ())]).to_string()).unwrap();
        let arrival = &answers[0];
        assert_eq!(arrival["id"], "fall");
        // Source: free fall for 0.4 s with 9.80665 m/s2.
        assert!(near(&arrival["time_s"], 0.4));
        assert!(near(&arrival["position_m"][0], 0.4));
        assert!(near(&arrival["position_m"][2], 1.0 - 0.5 * 9.80665 * 0.16));
        assert!(near(&arrival["velocity_m_s"][2], -9.80665 * 0.4));
    }

    #[test]
    fn a_case_that_cannot_be_flown_is_an_answer_and_the_rest_is_flown() {
        let cases = json!([
            pitch(|case| case["velocity_m_s"][1] = json!(40.0)),
            pitch(|case| case["ball"]["mass_kg"] = json!(0.0)),
            pitch(|case| case["lift"] = json!("magic")),
            pitch(|case| {
                case.as_object_mut().unwrap().remove("spin_rad_s");
            }),
            7,
            pitch(|case| case["id"] = json!(12)),
        ]);
        let answers = answers(&cases.to_string()).unwrap();
        for at in 0..5 {
            assert!(answers[at]["error"].is_string(), "{}", answers[at]);
            assert!(answers[at].get("time_s").is_none());
        }
        assert_eq!(answers[0]["id"], "fall");
        assert_eq!(answers[4]["id"], Value::Null);
        assert_eq!(answers[5]["id"], 12);
        assert!(near(&answers[5]["time_s"], 0.4));
    }

    #[test]
    fn what_is_no_list_is_an_error() {
        assert!(answers("{}").is_err() && answers("[").is_err() && answers("").is_err());
        assert!(run(Path::new("/no such file")).is_err());
        assert_eq!(answers("[]").unwrap(), json!([]));
    }
}
