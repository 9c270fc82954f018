//! A stream of motion cut into stretches that hold one swing each.

use super::super::TempoError;
use super::{LEAST_PEAK_DEG_S, Sample, Swing};

/// How long before the fastest turn a stretch begins, ms: the longest count asked
/// for is 3 s, and the hitter is still before.
const BEFORE_MS: f64 = 4_500.0;

/// How long after the fastest turn it is looked at, ms: a faster one would have
/// come, and a second one as fast be seen.
const AFTER_MS: f64 = 700.0;

/// Samples of the last seconds, until they hold a swing.
#[derive(Debug, Clone, Default)]
pub struct Pocket {
    samples: Vec<Sample>,
    /// Time and speed of the fastest turn among them, ms and deg/s.
    fastest: Option<(f64, f64)>,
}

impl Pocket {
    /// Takes a sample in; the swing, once it is over. A time that is not later than
    /// the one before is left out.
    ///
    /// # Errors
    /// As [`Swing::of`]: a turn came before a second had been sensed.
    pub fn feel(&mut self, sample: Sample) -> Option<Result<Swing, TempoError>> {
        let is_later = |last: &Sample| sample.t_ms > last.t_ms;
        if !self.samples.last().is_none_or(is_later) {
            return None;
        }
        self.samples.push(sample);
        let squares: f64 = sample.rotation_deg_s.iter().map(|axis| axis * axis).sum();
        let turning = squares.sqrt();
        let is_faster = self.fastest.is_none_or(|(_, fastest)| turning > fastest);
        if turning >= LEAST_PEAK_DEG_S && is_faster {
            self.fastest = Some((sample.t_ms, turning));
        }
        let from_ms = self.fastest.map_or(sample.t_ms, |(at_ms, _)| at_ms) - BEFORE_MS;
        // Seldom, as each time all that is kept moves.
        if self.samples[0].t_ms < from_ms - 1_000.0 {
            self.samples.retain(|kept| kept.t_ms >= from_ms);
        }
        let (at_ms, _) = self.fastest?;
        if sample.t_ms - at_ms < AFTER_MS {
            return None;
        }
        let first = self.samples.partition_point(|kept| kept.t_ms < from_ms);
        let found = Swing::of(&self.samples[first..]);
        *self = Self::default();
        Some(found)
    }
}
