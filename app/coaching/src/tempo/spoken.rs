//! A coach's spoken count ("one, two, three") in seconds, from taps on each spoken
//! beat, and seconds in spoken beats.

use super::TempoError;
use super::cannot::Interval;
use super::numbers::mean_within;
use crate::count::{SetStats, Spread};

/// How long this coach's spoken beat takes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spoken {
    /// The steps from tap to tap: n, mean and spread in seconds. The spread holds
    /// what the taps add; it is rather too wide than too narrow.
    pub beat: SetStats,
}

/// A number of beats with the 95 percent interval that the spread of the taps
/// leaves.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpokenBeats {
    /// The beats.
    pub beats: f64,
    /// Lower end of the interval.
    pub low: f64,
    /// Upper end of the interval.
    pub high: f64,
}

impl Spoken {
    /// The shortest step from tap to tap, seconds (our choice, no source).
    pub const SHORTEST_S: f64 = 0.2;
    /// The longest step from tap to tap, seconds (our choice, no source).
    pub const LONGEST_S: f64 = 3.0;
    /// Steps needed: two times "one, two, three, four" are six.
    pub const AT_LEAST: usize = Spread::AT_LEAST;

    /// From one or more spoken counts, each the times of its taps in milliseconds
    /// in order. The pause between two counts is no beat.
    ///
    /// # Errors
    /// When a step is outside of [`Spoken::SHORTEST_S`] to [`Spoken::LONGEST_S`],
    /// or there are fewer than [`Spoken::AT_LEAST`].
    pub fn of(counts_ms: &[&[f64]]) -> Result<Self, TempoError> {
        let steps_s: Vec<f64> = counts_ms
            .iter()
            .flat_map(|taps_ms| taps_ms.windows(2))
            .map(|pair| (pair[1] - pair[0]) / 1e3)
            .collect();
        let fits = |step_s: &f64| (Self::SHORTEST_S..=Self::LONGEST_S).contains(step_s);
        if !steps_s.iter().all(fits) {
            return Err(TempoError::SpokenTaps);
        }
        let few = TempoError::SpokenFew {
            more: Self::AT_LEAST.saturating_sub(steps_s.len()),
        };
        let beat = SetStats::of(&steps_s).ok_or(few)?;
        if beat.n < Self::AT_LEAST {
            return Err(few);
        }
        Ok(Self { beat })
    }

    /// The 95 percent interval of the mean beat, seconds. Without any spread it is
    /// the mean.
    fn within(&self) -> Interval {
        mean_within(&self.beat).unwrap_or(Interval {
            low_s: self.beat.mean_s,
            high_s: self.beat.mean_s,
        })
    }

    /// The seconds that so many spoken beats take on the whole.
    pub fn seconds_of(&self, beats: f64) -> f64 {
        beats * self.beat.mean_s
    }

    /// The 95 percent interval of [`Spoken::seconds_of`].
    pub fn seconds_within(&self, beats: f64) -> Interval {
        let within = self.within();
        Interval {
            low_s: beats * within.low_s,
            high_s: beats * within.high_s,
        }
    }

    /// The standard deviation of one spoken count of so many beats, seconds, when
    /// beats go wrong each by itself.
    pub fn one_count_sd_s(&self, beats: f64) -> f64 {
        beats.sqrt() * self.beat.sd_s.unwrap_or(0.0)
    }

    /// So many seconds in spoken beats.
    pub fn beats_of(&self, seconds: f64) -> SpokenBeats {
        let within = self.within();
        SpokenBeats {
            beats: seconds / self.beat.mean_s,
            // A very uneven count of few beats may reach below nothing.
            low: seconds / within.high_s,
            high: if within.low_s > 0.0 {
                seconds / within.low_s
            } else {
                f64::INFINITY
            },
        }
    }

    /// The spoken count in words, with its n.
    pub fn sentence(&self) -> String {
        let within = self.within();
        format!(
            "One spoken beat takes {:.2} s (95 percent interval {:.2} to {:.2} s, spread {:.2} s, {} beats).",
            self.beat.mean_s,
            within.low_s,
            within.high_s,
            self.beat.sd_s.unwrap_or(0.0),
            self.beat.n
        )
    }
}
