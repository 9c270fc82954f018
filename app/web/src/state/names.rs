//! Names of the numbers and choices that set-ups and equipment keep. Published
//! in records: never changed, only added to.

/// Numbers of a set-up.
pub mod set_up {
    pub const GAME_SPEED: &str = "game-speed-mph";
    pub const MACHINE_DISTANCE: &str = "machine-distance-ft";
    pub const MACHINE_SPEED: &str = "machine-speed-mph";
    pub const RELEASE_DISTANCE: &str = "release-distance-ft";
    pub const RELEASE_HEIGHT: &str = "release-height-ft";
    /// To the pitcher's arm's side.
    pub const RELEASE_SIDE: &str = "release-side-ft";
    pub const TARGET_HEIGHT: &str = "target-height-ft";
    pub const CONTACT_DEPTH: &str = "contact-depth-in";
    pub const SWING: &str = "swing-s";
    pub const COUNT: &str = "count-s";
    /// Where the machine of the inverse question stands, when not as answered.
    pub const OWN_DISTANCE: &str = "own-distance-ft";
    pub const OWN_HEIGHT: &str = "own-height-ft";
    /// To the third-base side.
    pub const OWN_SIDE: &str = "own-side-ft";

    // Choices.
    pub const PITCHER: &str = "pitcher";
    pub const PITCH: &str = "pitch";
    pub const STANDS: &str = "stands";
    pub const MACHINE: &str = "machine";
    pub const CAGE: &str = "cage";
    pub const DRAG: &str = "drag";
    pub const LIFT: &str = "lift";
    /// "as-answered" or "otherwise".
    pub const OWN_PLACE: &str = "own-place";
}

/// Numbers and choices of a machine.
pub mod machine {
    pub const HEIGHT_LEAST: &str = "height-least-ft";
    pub const HEIGHT_MOST: &str = "height-most-ft";
    pub const SPEED_LEAST: &str = "speed-least-mph";
    pub const SPEED_MOST: &str = "speed-most-mph";
    pub const SPEED_STEP: &str = "speed-step-mph";
    pub const FEED_DELAY: &str = "feed-delay-s";
    pub const TILT: &str = "tilt-deg";
    pub const PLATE_SLIP: &str = "plate-slip";
    /// Of an arm, its spin; else the least and the most that can be set.
    pub const SPIN_LEAST: &str = "spin-least-rpm";
    pub const SPIN_MOST: &str = "spin-most-rpm";
    pub const SIDESPIN_LEAST: &str = "sidespin-least-rpm";
    pub const SIDESPIN_MOST: &str = "sidespin-most-rpm";

    // Choices.
    pub const WHEELS: &str = "wheels";
    pub const BALL: &str = "ball";
}

/// Numbers and choices of a cage.
pub mod cage {
    pub const DISTANCE_LEAST: &str = "distance-least-ft";
    pub const DISTANCE_MOST: &str = "distance-most-ft";
    pub const THIRD_SIDE: &str = "third-side-ft";
    pub const FIRST_SIDE: &str = "first-side-ft";
    pub const ALTITUDE: &str = "altitude-m";
    pub const TEMPERATURE: &str = "temperature-c";
    pub const HUMIDITY: &str = "humidity-percent";
    pub const PRESSURE: &str = "pressure-hpa";

    // Choices: "by-altitude" or "read-here".
    pub const PRESSURE_FROM: &str = "pressure-from";
}
