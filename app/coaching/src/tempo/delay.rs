//! The delay of a wireless speaker, measured by tapping along with the beat.

use super::TempoError;
use super::robust::{median, scaled_mad};

/// How much later than scheduled a beat is heard, as far as taps tell.
///
/// People tap a little before a beat, often by 20 to 50 ms (Repp, Psychon. Bull.
/// Rev. 12, 969, 2005, from memory). So tap along with the phone's own speaker too,
/// and take the difference of both by [`Delay::beyond`]: what is the person's own
/// drops out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Delay {
    /// Taps used: all of them.
    pub n: usize,
    /// The median from scheduled to tapped, seconds.
    pub offset_s: f64,
    /// The scaled median distance from it, seconds.
    pub spread_s: f64,
}

impl Delay {
    /// Taps needed: the median of 8 is then sure to about half of their spread
    /// (our choice, no source).
    pub const AT_LEAST: usize = 8;
    /// The widest spread of taps that still measures, seconds: who can tap along
    /// keeps it below (our choice, no source).
    pub const MOST_SPREAD_S: f64 = 0.04;
    /// The longest delay that can be set, seconds.
    pub const HIGH_S: f64 = 0.6;
    /// How far before the beat the taps may lie, seconds.
    const EARLIEST_S: f64 = -0.1;

    /// From pairs of when a beat was scheduled and when it was tapped, both in
    /// seconds on one clock.
    ///
    /// # Errors
    /// When the taps are too few or too scattered, or their middle is no delay.
    pub fn of(scheduled_and_tapped_s: &[(f64, f64)]) -> Result<Self, TempoError> {
        let tapped = Self::tapped(scheduled_and_tapped_s)?;
        if !(Self::EARLIEST_S..=Self::HIGH_S).contains(&tapped.offset_s) {
            return Err(TempoError::DelayRange);
        }
        Ok(tapped)
    }

    /// As [`Delay::of`], wherever the middle of the taps lies: for
    /// [`Delay::beyond`], where what is the person's own drops out.
    ///
    /// # Errors
    /// When the taps are too few or too scattered.
    pub fn tapped(scheduled_and_tapped_s: &[(f64, f64)]) -> Result<Self, TempoError> {
        let offsets: Vec<f64> = scheduled_and_tapped_s
            .iter()
            .map(|(scheduled_s, tapped_s)| tapped_s - scheduled_s)
            .filter(|offset_s| offset_s.is_finite())
            .collect();
        let few = TempoError::DelayFew {
            more: Self::AT_LEAST.saturating_sub(offsets.len()),
        };
        if offsets.len() < Self::AT_LEAST {
            return Err(few);
        }
        let offset_s = median(&offsets).ok_or(few)?;
        let spread_s = scaled_mad(&offsets, offset_s).ok_or(few)?;
        if spread_s > Self::MOST_SPREAD_S {
            return Err(TempoError::DelayScattered);
        }
        Ok(Self {
            n: offsets.len(),
            offset_s,
            spread_s,
        })
    }

    /// The standard error of the median, for taps about normal: 1.2533 times that
    /// of the mean, seconds.
    pub fn standard_error_s(&self) -> f64 {
        1.2533 * self.spread_s / (self.n as f64).sqrt()
    }

    /// The setting: how much earlier a beat must be played, seconds; 0 when the
    /// taps came before the beat.
    pub const fn setting_s(&self) -> f64 {
        self.offset_s.max(0.0)
    }

    /// The setting when the same person has tapped along with the phone's own
    /// speaker: what the other adds, seconds.
    pub const fn beyond(&self, own_speaker: &Self) -> f64 {
        (self.offset_s - own_speaker.offset_s).max(0.0)
    }

    /// The measurement in words, with its n.
    pub fn sentence(&self) -> String {
        format!(
            "The speaker is late by {:.0} ms, give or take {:.0} ms ({} taps, spread {:.0} ms).",
            1e3 * self.setting_s(),
            1e3 * 2.0 * self.standard_error_s(),
            self.n,
            1e3 * self.spread_s
        )
    }
}

/// A delay typed in, if it is one that can be set, seconds.
///
/// # Errors
/// When it is outside 0 to [`Delay::HIGH_S`].
pub fn checked_delay_s(delay_s: f64) -> Result<f64, TempoError> {
    if (0.0..=Delay::HIGH_S).contains(&delay_s) {
        Ok(delay_s)
    } else {
        Err(TempoError::DelayRange)
    }
}
