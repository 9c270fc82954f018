//! Names of the numbers, choices and texts that hitters, set-ups and equipment keep. Published
//! in records: never changed, only added to.

/// Numbers, choices and texts of a hitter.
pub mod hitter {
    /// The count to work toward.
    pub const COUNT: &str = "count-target-s";
    /// Rubber to plate, where the hitter plays.
    pub const DISTANCE: &str = "field-distance-ft";
    /// Most swings of a day, as the coach set it.
    pub const SWINGS_DAY: &str = "swings-a-day";
    /// Most swings of a week, as the coach set it.
    pub const SWINGS_WEEK: &str = "swings-a-week";
    /// How far two counts may lie apart and still be one tempo.
    pub const TEMPO_BAND: &str = "tempo-band-s";

    /// One of `coaching::roster::AgeBand`.
    pub const AGE_BAND: &str = "age-band";
    /// "yes" when a guardian holds the hitter's notebook.
    pub const GUARDIAN: &str = "guardian-held";
    /// "archived" or "active".
    pub const KEPT: &str = "kept";

    /// The coach's note.
    pub const NOTE: &str = "note";
}

/// Numbers and choices of a rep, and the ways of taking its count.
pub mod rep {
    /// The second interval.
    pub const FOOT_DOWN: &str = "foot-down-to-contact-s";
    /// The target count that held.
    pub const TARGET: &str = "target-s";

    // Choices.
    /// How far a count by sensors is to be trusted: "good", "fair" or "poor".
    pub const QUALITY: &str = "quality";
    /// What lift was taken from: "tap", "beat" or "motion".
    pub const LIFT_BY: &str = "lift-by";
    /// The way of practice.
    pub const MODE: &str = "practice-mode";

    // Ways of taking a count.
    /// Two taps.
    pub const TWO_TAPS: &str = "two-taps";
    /// Contact heard.
    pub const SOUND: &str = "sound";
    /// Lift and turn sensed.
    pub const MOTION: &str = "motion";
}

/// Numbers of a set-up.
pub mod set_up {
    /// Game speed.
    pub const GAME_SPEED: &str = "game-speed-mph";
    /// Machine distance.
    pub const MACHINE_DISTANCE: &str = "machine-distance-ft";
    /// Machine speed.
    pub const MACHINE_SPEED: &str = "machine-speed-mph";
    /// Release distance.
    pub const RELEASE_DISTANCE: &str = "release-distance-ft";
    /// Release height.
    pub const RELEASE_HEIGHT: &str = "release-height-ft";
    /// To the pitcher's arm's side.
    pub const RELEASE_SIDE: &str = "release-side-ft";
    /// Target height.
    pub const TARGET_HEIGHT: &str = "target-height-ft";
    /// Contact depth.
    pub const CONTACT_DEPTH: &str = "contact-depth-in";
    /// Swing.
    pub const SWING: &str = "swing-s";
    /// Count.
    pub const COUNT: &str = "count-s";
    /// Where the machine of the inverse question stands, when not as answered.
    pub const OWN_DISTANCE: &str = "own-distance-ft";
    /// Own height.
    pub const OWN_HEIGHT: &str = "own-height-ft";
    /// To the third-base side.
    pub const OWN_SIDE: &str = "own-side-ft";

    // Choices.
    /// Pitcher.
    pub const PITCHER: &str = "pitcher";
    /// Pitch.
    pub const PITCH: &str = "pitch";
    /// Stands.
    pub const STANDS: &str = "stands";
    /// Machine.
    pub const MACHINE: &str = "machine";
    /// Cage.
    pub const CAGE: &str = "cage";
    /// Drag.
    pub const DRAG: &str = "drag";
    /// Lift.
    pub const LIFT: &str = "lift";
    /// "as-answered" or "otherwise".
    pub const OWN_PLACE: &str = "own-place";
}

/// Numbers and choices of a machine.
pub mod machine {
    /// Height least.
    pub const HEIGHT_LEAST: &str = "height-least-ft";
    /// Height most.
    pub const HEIGHT_MOST: &str = "height-most-ft";
    /// Speed least.
    pub const SPEED_LEAST: &str = "speed-least-mph";
    /// Speed most.
    pub const SPEED_MOST: &str = "speed-most-mph";
    /// Speed step.
    pub const SPEED_STEP: &str = "speed-step-mph";
    /// Feed delay.
    pub const FEED_DELAY: &str = "feed-delay-s";
    /// Tilt.
    pub const TILT: &str = "tilt-deg";
    /// Plate slip.
    pub const PLATE_SLIP: &str = "plate-slip";
    /// Of an arm, its spin; else the least and the most that can be set.
    pub const SPIN_LEAST: &str = "spin-least-rpm";
    /// Spin most.
    pub const SPIN_MOST: &str = "spin-most-rpm";
    /// Sidespin least.
    pub const SIDESPIN_LEAST: &str = "sidespin-least-rpm";
    /// Sidespin most.
    pub const SIDESPIN_MOST: &str = "sidespin-most-rpm";

    // Choices.
    /// Wheels.
    pub const WHEELS: &str = "wheels";
    /// Ball.
    pub const BALL: &str = "ball";
}

/// Numbers and choices of a cage.
pub mod cage {
    /// Distance least.
    pub const DISTANCE_LEAST: &str = "distance-least-ft";
    /// Distance most.
    pub const DISTANCE_MOST: &str = "distance-most-ft";
    /// Third side.
    pub const THIRD_SIDE: &str = "third-side-ft";
    /// First side.
    pub const FIRST_SIDE: &str = "first-side-ft";
    /// Altitude.
    pub const ALTITUDE: &str = "altitude-m";
    /// Temperature.
    pub const TEMPERATURE: &str = "temperature-c";
    /// Humidity.
    pub const HUMIDITY: &str = "humidity-percent";
    /// Pressure.
    pub const PRESSURE: &str = "pressure-hpa";

    // Choices: "by-altitude" or "read-here".
    /// Pressure from.
    pub const PRESSURE_FROM: &str = "pressure-from";
}
