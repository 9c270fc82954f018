//! What the tempo's modules refuse, in sentences for the person at the phone.

use super::beats::Plan;
use super::delay::Delay;
use super::onset::OnsetError;
use super::same::Band;
use super::spoken::Spoken;
use super::stepping::Clip;
use crate::count::CountError;

/// Why something of the tempo was refused.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum TempoError {
    /// A band outside its range.
    #[error("Band: {low} to {high} s are allowed. The band from before is kept.", low = Band::LOW_S, high = Band::HIGH_S)]
    Band,
    /// Two taps of a spoken count are too near or too far apart.
    #[error(
        "Spoken count: from tap to tap {low} to {high:.1} s are allowed, and once it was not so. Nothing was recorded.", low = Spoken::SHORTEST_S, high = Spoken::LONGEST_S
    )]
    SpokenTaps,
    /// Too few spoken beats.
    #[error(
        "Spoken count: at least {least} beats are needed, and {more} are missing. Nothing was recorded.", least = Spoken::AT_LEAST
    )]
    SpokenFew {
        /// Beats still wanted.
        more: usize,
    },
    /// A count is cut into too many beats, or none.
    #[error("Beats: 1 to {most} in a count are allowed. The beats from before are kept.", most = Plan::MOST_BEATS)]
    Beats,
    /// No reps or too many.
    #[error("Reps: 1 to {most} in all are allowed. The reps from before are kept.", most = Plan::MOST_REPS)]
    Reps,
    /// The time from the announcement to the lift.
    #[error("Announcement: 1 to 10 s before the lift are allowed. The time from before is kept.")]
    Announce,
    /// The time from one rep to the next.
    #[error("Rest: 2 to 600 s between reps are allowed. The rest from before is kept.")]
    Rest,
    /// The feed comes at no time that fits the count.
    #[error(
        "Feed: from 10 s before the lift to contact are allowed. The feed from before is kept."
    )]
    Feed,
    /// The random wait before a rep.
    #[error(
        "Random wait: 0 to 5 s are allowed, and a chance from 0 to 1 for each rep. The wait from before is kept."
    )]
    Wait,
    /// A player alone asked for a thrown ball.
    #[error("Alone: tee or medicine ball only are allowed. The environment from before is kept.")]
    Alone,
    /// Too few taps along with the beat.
    #[error(
        "Speaker delay: at least {least} taps are needed, and {more} are missing. The delay from before is kept.", least = Delay::AT_LEAST
    )]
    DelayFew {
        /// Taps still wanted.
        more: usize,
    },
    /// The taps do not agree.
    #[error(
        "Speaker delay: the taps may lie {most} s around their middle, and they lay farther apart. Tap again with the beat. The delay from before is kept.", most = Delay::MOST_SPREAD_S
    )]
    DelayScattered,
    /// The delay is out of range.
    #[error(
        "Speaker delay: 0 to {high} s are allowed, and the taps gave another. The delay from before is kept.", high = Delay::HIGH_S
    )]
    DelayRange,
    /// A clip's frames a second, or how many times it is slowed.
    #[error(
        "Clip: {low} to {high} frames a second are allowed, slowed 1 to 16 times. Nothing was recorded.", low = Clip::RATES.0, high = Clip::RATES.1
    )]
    Frames,
    /// Foot down is not between lift and contact.
    #[error(
        "Clip: foot down lies from lift to contact, and the mark was not there. Nothing was recorded."
    )]
    FootDown,
    /// Motion samples that are too few or out of order.
    #[error(
        "Motion: at least 1 s of samples is needed, each later than the one before, and it was not so. Nothing was recorded."
    )]
    MotionSamples,
    /// A count out of range.
    #[error(transparent)]
    Count(#[from] CountError),
    /// The sound cannot be used.
    #[error(transparent)]
    Onset(#[from] OnsetError),
}
