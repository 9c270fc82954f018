//! The ways of practice, and the timetable of each. What a timetable is made of is
//! `coaching::tempo::beats`.

use coaching::count::Target;
use coaching::tempo::TempoError;
use coaching::tempo::beats::{self, Delivery, Plan, Rung, Timetable, alone_rungs};
use coaching::vocabulary::Environment;
use flight::feed_timing;

/// Ways of practice, in the order of the screen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mode {
    /// Every beat is given.
    Follow,
    /// Every third beat is muted.
    Silent,
    /// The lift alone is given; the hitter swings and then sees how far off.
    SelfCheck,
    /// Sets in several environments with one target.
    Ladder,
    /// The machine's ball comes when nobody expects it.
    Random,
    /// Twenty reps in three sets by a player alone, with no touch between.
    Alone,
}

impl Mode {
    /// Every way.
    pub const ALL: [Self; 6] = [
        Self::Follow,
        Self::Silent,
        Self::SelfCheck,
        Self::Ladder,
        Self::Random,
        Self::Alone,
    ];

    /// Its id in records.
    pub const fn id(self) -> &'static str {
        match self {
            Self::Follow => "follow",
            Self::Silent => "silent-beats",
            Self::SelfCheck => "self-check",
            Self::Ladder => "ladder",
            Self::Random => "random",
            Self::Alone => "alone",
        }
    }

    /// Its name on the screen.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Follow => "Follow",
            Self::Silent => "Silent beats",
            Self::SelfCheck => "Self check",
            Self::Ladder => "Ladder",
            Self::Random => "Random",
            Self::Alone => "Alone",
        }
    }

    /// What happens in it.
    pub const fn about(self) -> &'static str {
        match self {
            Self::Follow => "Call, lift, beats, contact. Swing with them.",
            Self::Silent => {
                "Every third beat is muted, in sound, light and vibration. Keep the count through it."
            }
            Self::SelfCheck => {
                "Call and lift only. Keep the count yourself, then see how far off it was."
            }
            Self::Ladder => "The same target in one environment after another, a set in each.",
            Self::Random => {
                "After the call a wait that nobody knows. The low tone tells the feeder to feed: so \
                 early or late that the ball arrives when the count is over. The hitter hears the \
                 lift alone."
            }
            Self::Alone => {
                "Tee or medicine ball only. Twenty reps with no touch between, in three sets: follow \
                 the beats, every third silent, the lift alone."
            }
        }
    }

    /// The way of this id.
    pub fn from_id(id: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|mode| mode.id() == id)
    }

    /// Its sets.
    ///
    /// # Errors
    /// When a player alone asks for a thrown ball.
    pub fn rungs(self, environment: Environment, reps: u8) -> Result<Vec<Rung>, TempoError> {
        let mode = match self {
            Self::Alone => return Ok(alone_rungs(environment)?.to_vec()),
            Self::Follow | Self::Ladder => beats::Mode::Follow,
            Self::Silent => beats::Mode::Silent,
            Self::SelfCheck | Self::Random => beats::Mode::SelfCheck,
        };
        Ok(vec![Rung {
            environment,
            mode,
            reps,
        }])
    }
}

/// A machine that is fed at random.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Feed {
    /// From starting the feed to the ball's release, s.
    pub delay_s: f64,
    /// From release to contact, s.
    pub flight_s: f64,
}

/// The longest wait that chance adds, s (our choice, no source).
const LONGEST_WAIT_S: f64 = 4.0;

/// The timetable of these sets. `chance` gives numbers from 0 to 1.
///
/// # Errors
/// What is out of range, as a sentence.
pub fn timetable(
    target: Target,
    rungs: &[Rung],
    (announce_s, rest_s): (f64, f64),
    feed: Option<Feed>,
    chance: impl Fn() -> f64,
) -> Result<Timetable, String> {
    let reps = rungs.iter().map(|rung| usize::from(rung.reps)).sum();
    let chances: Vec<f64> = (0..reps).map(|_| chance()).collect();
    let mut plan = Plan {
        target,
        beats: Plan::usual_beats(target),
        rungs,
        announce_s,
        rest_s,
        delivery: None,
    };
    if let Some(feed) = feed {
        let timing = feed_timing(target.seconds(), feed.flight_s, feed.delay_s);
        let timing = timing.map_err(|error| error.to_string())?;
        plan.delivery = Some(Delivery {
            feed_after_lift_s: timing.feed_after_lift_s,
            longest_wait_s: LONGEST_WAIT_S,
            chances: &chances,
        });
    }
    Timetable::of(&plan).map_err(|error| error.to_string())
}
