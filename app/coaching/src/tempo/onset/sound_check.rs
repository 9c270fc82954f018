//! What counts as contact: as strong as two balls hit beforehand ask for, at a time
//! at which contact may come.

use super::Onset;
use crate::count::{LONGEST_S, SHORTEST_S};
use crate::tempo::robust::median;

/// Why sound cannot be used for counting.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum OnsetError {
    /// A sample rate that no microphone gives.
    #[error(
        "Microphone: 16,000 to 192,000 samples a second can be used, and it gives {given_hz}. Tap the count instead."
    )]
    Rate {
        /// The rate given, Hz.
        given_hz: f64,
    },
    /// A calibrating ball is hardly louder than what else is heard.
    #[error(
        "Sound check: the balls have to be at least 4 times as strong as the noise here, and one was {ratio:.1} times. Put the phone nearer and hit two more, or tap the count."
    )]
    TooQuiet {
        /// Energy of the weaker ball over that of the noise.
        ratio: f64,
    },
    /// The two balls do not sound alike.
    #[error(
        "Sound check: the two balls may differ up to 12 times in strength, and they differed {ratio:.0} times. Hit two more alike."
    )]
    Unlike {
        /// Energy of the stronger ball over that of the weaker.
        ratio: f64,
    },
}

/// How strong a sound must be to be contact, from two balls hit beforehand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Calibration {
    pub(super) least: f64,
}

impl Calibration {
    /// From the two balls: what has a quarter of the weaker one's energy or more
    /// is contact (our choice, no source).
    ///
    /// # Errors
    /// When a ball is hardly above the noise, or the two are too unlike.
    pub fn of(balls: [Onset; 2]) -> Result<Self, OnsetError> {
        let ratio = balls[0].ratio.min(balls[1].ratio);
        if ratio < 4.0 || ratio.is_nan() {
            return Err(OnsetError::TooQuiet { ratio });
        }
        let weaker = balls[0].strength.min(balls[1].strength);
        let unlike = balls[0].strength.max(balls[1].strength) / weaker;
        if unlike > 12.0 {
            return Err(OnsetError::Unlike { ratio: unlike });
        }
        Ok(Self {
            least: weaker / 4.0,
        })
    }
}

/// Where contact is looked for: from the shortest to the longest count after the
/// lift, in the stream's time, without the moments at which another sound is known
/// to come, such as the machine letting the ball go.
#[derive(Debug, Clone, PartialEq)]
pub struct Search {
    /// The lift, seconds from the stream's first sample.
    pub lift_s: f64,
    /// Times of known sounds, seconds from the stream's first sample.
    pub known_s: Vec<f64>,
}

impl Search {
    /// How far from a known sound another one is taken for it, seconds.
    pub const KNOWN_WITHIN_S: f64 = 0.04;

    /// The count that this onset ends, if it is where contact is looked for.
    pub fn count_s(&self, onset_s: f64) -> Option<f64> {
        let count_s = onset_s - self.lift_s;
        let is_known = |known_s: &f64| (onset_s - known_s).abs() <= Self::KNOWN_WITHIN_S;
        let fits = (SHORTEST_S..=LONGEST_S).contains(&count_s);
        (fits && !self.known_s.iter().any(is_known)).then_some(count_s)
    }

    /// The count that the first of these onsets that can be contact ends, up to
    /// `longest_s` after the lift. `None` when there is none: what was not heard is
    /// never made up.
    pub fn first_of(&self, onsets_s: &[f64], longest_s: f64) -> Option<f64> {
        onsets_s
            .iter()
            .filter_map(|onset_s| self.count_s(*onset_s))
            .filter(|count_s| *count_s <= longest_s)
            .min_by(f64::total_cmp)
    }
}

/// How far from its planned time the phone's own sound is looked for, seconds.
const ECHO_S: (f64, f64) = (-0.15, 0.24);

/// How much later than planned the microphone hears the phone's own sounds, seconds:
/// the median from each time in `played_s` to the onset nearest to it. 0 until two
/// were heard. Speaker and microphone are late by an amount that browsers tell only
/// in part, or even too much of: then it is below 0.
pub fn echo_s(played_s: &[f64], heard_s: &[f64]) -> f64 {
    let late = |at_s: &f64| {
        let off = heard_s.iter().map(|heard_s| heard_s - at_s);
        let near = off.filter(|off_s| (ECHO_S.0..=ECHO_S.1).contains(off_s));
        near.min_by(|a, b| a.abs().total_cmp(&b.abs()))
    };
    let all: Vec<f64> = played_s.iter().filter_map(late).collect();
    median(&all).filter(|_| all.len() > 1).unwrap_or(0.0)
}
