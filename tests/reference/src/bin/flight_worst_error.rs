//! Prints the worst error of our flight over the table of SciPy's DOP853, one
//! line of JSON: relative in time and speed, and mm in the plane.

use reference::{Miss, scipy_pitches};

fn main() -> Result<(), flight::FlightError> {
    let mut worst = Miss::default();
    for pitch in scipy_pitches() {
        worst = worst.worst(pitch.miss()?);
    }
    println!(
        "{}",
        serde_json::json!({
            "time_rel": worst.time_rel,
            "speed_rel": worst.speed_rel,
            "position_mm": worst.position_mm,
        })
    );
    Ok(())
}
