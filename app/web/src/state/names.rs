//! Names of the numbers, choices and texts that hitters, set-ups and equipment keep. Published
//! in records: never changed, only added to.

/// Numbers, choices and texts of a hitter.
pub mod hitter {
    /// The count to work toward; 0 once the coach took it out.
    pub const COUNT: &str = "count-target-s";
    /// Rubber to plate, where the hitter plays; 0 once the coach took it out.
    pub const DISTANCE: &str = "field-distance-ft";
    /// Most swings of a day, as the coach set it.
    pub const SWINGS_DAY: &str = "swings-a-day";
    /// Most swings of a week, as the coach set it.
    pub const SWINGS_WEEK: &str = "swings-a-week";
    /// How far two counts may lie apart and still be one tempo.
    pub const TEMPO_BAND: &str = "tempo-band-s";

    /// One of `coaching::roster::AgeBand`, or "not-said".
    pub const AGE_BAND: &str = "age-band";
    /// "yes" when a guardian holds the hitter's notebook, else "no".
    pub const GUARDIAN: &str = "guardian-held";
    /// "archived" or "active".
    pub const KEPT: &str = "kept";

    /// The coach's note.
    pub const NOTE: &str = "note";
}

/// Choices of a look.
pub mod check {
    /// One of `coaching::check::Skill`; the swing where nothing is said.
    pub const SKILL: &str = "skill";
    /// "first" (whose phone it is) or "second"; the first where nothing is said.
    pub const OBSERVER: &str = "observer";
}

/// Numbers and choices of a rep, and the ways of taking its count.
pub mod rep {
    /// The second interval: from the front foot's landing to contact.
    pub const FOOT_DOWN: &str = "foot-down-to-contact-s";
    /// How far the count may be off, to both sides.
    pub const WITHIN: &str = "within-s";
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
    /// Taken from a clip, frame by frame.
    pub const BY_CLIP: &str = "clip";
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

/// Choices and numbers of a session.
pub mod session {
    /// Of a session's hitters and of a group's.
    pub const IN: &str = "in";
    /// Not, or no longer.
    pub const OUT: &str = "out";

    // Choices.
    /// "yes" once it is over, "no" when it goes on again.
    pub const OVER: &str = "over";
    /// One of `coaching::practice_order::Purpose`.
    pub const PURPOSE: &str = "purpose";
    /// One of `coaching::challenge::SuccessRule`.
    pub const SUCCESS: &str = "success";
    /// "each" when spot and depth are noted ball by ball, "usual" when a side toss
    /// is at the front hip and on time unless noted otherwise.
    pub const NOTING: &str = "noting";
    /// "sector" or "point": how a touch on the fan is taken.
    pub const TOUCH: &str = "touch";

    /// One of `coaching::practice_order::PracticeOrder`, or "none": the order of the
    /// planned round.
    pub const ORDER: &str = "order";
    /// The kinds of ball of the planned round, each a code of
    /// `coaching::practice_order::planned::BallKind`, or "none".
    pub const KINDS: [&str; 6] = [
        "order-kind-1",
        "order-kind-2",
        "order-kind-3",
        "order-kind-4",
        "order-kind-5",
        "order-kind-6",
    ];

    // Numbers.
    /// Balls of each kind in the planned round.
    pub const EACH: &str = "order-each";
    /// What its order was drawn by.
    pub const SEED: &str = "order-seed";

    // Numbers, in points of the success rate.
    /// How much easier than the game the coach allows.
    pub const EASIER: &str = "band-easier-points";
    /// How much harder.
    pub const HARDER: &str = "band-harder-points";
    /// The least success rate that still teaches.
    pub const LEAST: &str = "band-least-percent";
}

/// Numbers of a round: how the ball was fed.
pub mod round {
    /// From the release to the back point of the plate.
    pub const DISTANCE: &str = "feed-distance-ft";
    /// Height of the release.
    pub const HEIGHT: &str = "feed-height-ft";
    /// The release toward the third-base side.
    pub const THIRD_SIDE: &str = "feed-third-side-ft";
    /// Speed at release.
    pub const SPEED: &str = "feed-speed-mph";
    /// Backspin; negative is topspin.
    pub const BACKSPIN: &str = "feed-backspin-rpm";
    /// Sidespin.
    pub const SIDESPIN: &str = "feed-sidespin-rpm";
}

/// Numbers and choices of a contact.
pub mod contact {
    /// Where it went, as in `coaching::contact::fan`.
    pub const DIRECTION: &str = "direction-deg";
    /// Of a planned round, what its order was drawn by.
    pub const SEED: &str = "order-seed";
    /// Which ball of the planned round it was, from 1.
    pub const PLACE: &str = "order-place";

    // Choices.
    /// "sector" when the direction is the middle of a sector, "point" when it is
    /// where the fan was touched.
    pub const BY: &str = "direction-by";
    /// One of `coaching::contact::Quality`.
    pub const QUALITY: &str = "quality";
    /// One of `coaching::contact::path::TossSpot`.
    pub const TOSS: &str = "toss";
    /// One of `coaching::contact::path::ContactDepth`.
    pub const DEPTH: &str = "contact-depth";
    /// The kind of pitch, one of `flight::PITCH_TYPES`.
    pub const PITCH: &str = "pitch";
    /// The order of the planned round, one of `coaching::practice_order::PracticeOrder`.
    pub const ORDER: &str = "order";
    /// The id of the rep that holds its count.
    pub const REP: &str = "rep";
}
