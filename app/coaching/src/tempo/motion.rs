//! The count by motion: a phone in the back pocket feels the pelvis. Our own
//! model, no source; it gives times with an honest mark, never a count alone.
//!
//! What is taken for granted: the phone sits tight in a back pocket, in any
//! orientation, so its rotation rate is the pelvis's. The hitter stands still for a
//! moment. The front heel's move shifts weight, and the pelvis feels that as the
//! first departure from rest. The pelvis then turns once, fast, and contact is
//! near the peak of its rotation rate; the pelvis peaks a little before the bat
//! meets the ball, so a constant error of some tens of milliseconds may remain.
//! Compare with taps or a clip before one is set against the other.

mod pocket;
mod quality;
mod samples;

pub use pocket::Pocket;
pub use quality::{Mark, Quality, Reason};
pub use samples::Sample;

use super::TempoError;
use crate::count::{CountError, checked_count_s};
use samples::Track;

/// The share of the peak at which the turn is said to begin.
const TURN_SHARE: f64 = 0.2;

/// A pelvis that turns for a swing turns at least so fast, deg/s.
const LEAST_PEAK_DEG_S: f64 = 200.0;

/// How long the hitter is still before the lift, ms.
const STILL_MS: f64 = 400.0;

/// Another peak this near to the highest leaves it open which was the swing.
const OTHER_PEAK_SHARE: f64 = 0.7;

/// A peak this far away is another turn, ms.
const OTHER_PEAK_MS: f64 = 350.0;

/// The times of one swing, on the clock of the samples.
#[derive(Debug, Clone, PartialEq)]
pub struct Swing {
    /// The first move after standing still, ms; `None` when there was no still
    /// moment before.
    pub lift_ms: Option<f64>,
    /// The start of the fast turn, ms.
    pub turn_ms: f64,
    /// The peak of the turn, taken for contact, ms.
    pub contact_ms: f64,
    /// The rotation rate at the peak, deg/s.
    pub peak_deg_s: f64,
    /// How far this can be relied on, and why not.
    pub quality: Quality,
}

impl Swing {
    /// The swing in a stretch of samples that holds one: standing, lift, turn.
    ///
    /// # Errors
    /// When the samples are fewer than a second's or out of order. Whatever else
    /// is wrong is said by the quality.
    pub fn of(samples: &[Sample]) -> Result<Self, TempoError> {
        let track = Track::of(samples)?;
        let peak = track.peak();
        let turn = track.turn_before(peak, TURN_SHARE);
        let lift = track.first_move_before(turn, STILL_MS);
        let reasons = [
            (track.rate_hz() < 45.0, Reason::SlowSamples),
            (track.has_gap(turn, peak), Reason::Gap),
            (track.raised() > 1.0 && track.raised() <= 2.0, Reason::Noisy),
            (track.raised() > 2.0, Reason::TooNoisy),
            (lift.is_none(), Reason::NeverStill),
            (
                track.turned(peak) < LEAST_PEAK_DEG_S
                    || track.turned(peak) < 8.0 * track.noise_deg_s()
                    || track.is_at_end(peak),
                Reason::NoPeak,
            ),
            (
                track.has_rival(peak, OTHER_PEAK_SHARE, OTHER_PEAK_MS),
                Reason::TwoPeaks,
            ),
        ];
        let reasons = reasons
            .into_iter()
            .filter_map(|(is_so, reason)| is_so.then_some(reason))
            .collect();
        Ok(Self {
            lift_ms: lift,
            turn_ms: track.time_before(turn, TURN_SHARE * track.turned(peak)),
            contact_ms: track.top_ms(peak),
            peak_deg_s: track.turned(peak),
            quality: Quality::of(track.rate_hz(), reasons),
        })
    }

    /// The count, seconds; `None` when there is no lift or the mark is poor, for
    /// then it is not recorded.
    ///
    /// # Errors
    /// When it is outside the range of counts.
    pub fn count_s(&self) -> Result<Option<f64>, CountError> {
        match self.lift_ms {
            Some(lift_ms) if self.quality.mark != Mark::Poor => {
                checked_count_s((self.contact_ms - lift_ms) / 1e3).map(Some)
            }
            _ => Ok(None),
        }
    }

    /// From the start of the fast turn to contact, seconds.
    pub fn turn_s(&self) -> f64 {
        (self.contact_ms - self.turn_ms) / 1e3
    }
}
