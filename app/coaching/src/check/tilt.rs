//! How much side tilt a level's pitch asks for, in words. The descent itself is
//! computed by `flight`; no physics here.

use flight::{Air, Level, Pitch};

/// The item that tilt is looked at in.
pub const TILT: &str = "launch-tilt";

/// What the usual pitch of a level asks of the tilt, with its descent where the ball
/// is met at the plate, in air near sea level on a mild day: for the item [`TILT`]
/// and the cards that answer it. `None` when `flight` cannot fly it.
pub fn tilt_at(level: &Level) -> Option<String> {
    let pitch = Pitch::from(level.game_pitch());
    let thrown = pitch.thrown(&level.flight(Air::MILD_DAY)).ok()?;
    let descent_deg = thrown.arrival.descent_rad().to_degrees();
    Some(format!(
        "{}, usual pitch. {}",
        level.name,
        tilt_to_match(descent_deg)?
    ))
}

/// What the descent of a pitch at the plate, degrees below level, asks of the
/// swing: for [`launch-tilt`](super::ITEMS), beside the level's name. `None`
/// for what is no angle of a pitch (outside -30 to 60 degrees).
///
/// A swing that goes up as steeply as the ball comes down stays on the ball's
/// line longest (geometry). Where the words change is our choice, no source.
pub fn tilt_to_match(descent_deg: f64) -> Option<String> {
    let (lowest, steepest) = (-30.0, 60.0);
    if !(lowest..=steepest).contains(&descent_deg) {
        return None;
    }
    let degrees = descent_deg.round();
    let word = if degrees < 2.0 { "degree" } else { "degrees" };
    Some(if degrees < 1.0 {
        "This pitch arrives level: a level path meets it, with little tilt.".to_owned()
    } else {
        let tilt = if degrees < 5.0 {
            "a little tilt"
        } else if degrees < 10.0 {
            "a clear tilt"
        } else {
            "a strong tilt"
        };
        format!(
            "This pitch comes down at {degrees} {word}: a path that goes up as much meets it, with {tilt}."
        )
    })
}
