//! One set in numbers and words: mean with its interval, spread, variation, and
//! which counts lie far off. Nothing is left out of the numbers here.

use super::cannot::Interval;
use super::robust::{median, scaled_mad};
use crate::count::{SetStats, Spread};
use crate::statistics::t_quantile;

/// Counts of a set needed before it is spoken of: the same as for a word on its
/// spread. At four the t interval is 3.2 standard errors to each side, at five
/// 2.8 and falling slowly (our choice, no source).
pub const AT_LEAST: usize = Spread::AT_LEAST;

/// Scaled distances from the median from which a count is marked as far off:
/// Iglewicz and Hoaglin, "How to Detect and Handle Outliers" (ASQC, 1993), from
/// memory.
const FAR_OFF: f64 = 3.5;

/// The numbers of one set.
#[derive(Debug, Clone, PartialEq)]
pub struct SetNumbers {
    /// n, mean and sample standard deviation, with every count in them.
    pub set: SetStats,
    /// The standard deviation over the mean; `None` below two counts.
    pub variation: Option<f64>,
    /// The 95 percent t interval of the mean; `None` below two counts, and when
    /// all counts are the same: no width is too good to be true.
    pub mean_within: Option<Interval>,
    /// Which counts lie far off, first count 0. They are kept in all numbers;
    /// somebody should look whether the tap or the rep was at fault. Empty below
    /// [`AT_LEAST`] counts.
    pub far_off: Vec<usize>,
}

impl SetNumbers {
    /// The numbers of a set of counts in seconds, oldest first; `None` when it
    /// is empty.
    pub fn of(counts_s: &[f64]) -> Option<Self> {
        let set = SetStats::of(counts_s)?;
        Some(Self {
            set,
            variation: set.sd_s.map(|sd_s| sd_s / set.mean_s),
            mean_within: mean_within(&set),
            far_off: far_off(counts_s),
        })
    }

    /// The set in words: n always, the interval from [`AT_LEAST`] counts on.
    pub fn sentence(&self) -> String {
        let mut said = self.set.sentence();
        let n = self.set.n;
        if n < AT_LEAST {
            return format!("{said} {}", super::cannot::not_yet(AT_LEAST - n));
        }
        if let (Some(within), Some(variation)) = (self.mean_within, self.variation) {
            said += &format!(
                " The mean lies between {:.2} and {:.2} s (95 percent interval); the spread is {:.1} percent of it.",
                within.low_s,
                within.high_s,
                100.0 * variation
            );
        }
        if !self.far_off.is_empty() {
            let places: Vec<String> = self.far_off.iter().map(|p| (p + 1).to_string()).collect();
            let rep = if places.len() == 1 { "rep" } else { "reps" };
            said += &format!(
                " Far from the others, and kept: {rep} {}. Check what happened there.",
                places.join(", ")
            );
        }
        said
    }
}

/// The 95 percent t interval of a set's mean.
pub(crate) fn mean_within(set: &SetStats) -> Option<Interval> {
    let sd_s = set.sd_s.filter(|sd_s| *sd_s > 0.0)?;
    let half_s = t_quantile(0.975, (set.n - 1) as f64) * sd_s / (set.n as f64).sqrt();
    Some(Interval {
        low_s: set.mean_s - half_s,
        high_s: set.mean_s + half_s,
    })
}

/// More than 3.5 scaled median distances from the median. When more than half of
/// the counts are the same, that distance is nothing, and the mean distance
/// times 1.2533 takes its place (for normal numbers the standard deviation too).
fn far_off(counts_s: &[f64]) -> Vec<usize> {
    let Some(middle) = median(counts_s).filter(|_| counts_s.len() >= AT_LEAST) else {
        return Vec::new();
    };
    let scale = match scaled_mad(counts_s, middle) {
        Some(mad) if mad > 0.0 => mad,
        _ => {
            let sum: f64 = counts_s.iter().map(|count| (count - middle).abs()).sum();
            1.2533 * sum / counts_s.len() as f64
        }
    };
    let is_far = |count: &f64| (count - middle).abs() > FAR_OFF * scale;
    (0..counts_s.len())
        .filter(|place| is_far(&counts_s[*place]))
        .collect()
}
