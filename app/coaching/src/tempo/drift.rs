//! Whether the tempo moved: from one set to another, and over several.

use super::cannot::{Cannot, Interval, enough};
use super::numbers::AT_LEAST;
use crate::count::SetStats;
use crate::statistics::t_quantile;

/// How much longer the counts of a later set are than those of an earlier one.
/// Welch's way, which does not take the spreads for equal (Welch, Biometrika 34,
/// 28, 1947).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Difference {
    /// Counts in the earlier set.
    pub earlier_n: usize,
    /// Counts in the later set.
    pub later_n: usize,
    /// Mean of the later less mean of the earlier, seconds: above 0, the later
    /// counts are longer.
    pub difference_s: f64,
    /// Its standard error, seconds.
    pub standard_error_s: f64,
    /// Degrees of freedom by Welch and Satterthwaite.
    pub freedom: f64,
}

impl Difference {
    /// Of two sets of at least [`AT_LEAST`] counts each.
    ///
    /// # Errors
    /// When a set has too few counts, or there is no spread at all.
    pub fn of(earlier: &SetStats, later: &SetStats) -> Result<Self, Cannot> {
        enough(earlier, later)?;
        let share = |set: &SetStats| set.sd_s.unwrap_or(0.0).powi(2) / set.n as f64;
        let (a, b) = (share(earlier), share(later));
        let sum = a + b;
        if sum <= 0.0 {
            return Err(Cannot::NoSpread);
        }
        let weighed = |share: f64, n: usize| share * share / (n - 1) as f64;
        Ok(Self {
            earlier_n: earlier.n,
            later_n: later.n,
            difference_s: later.mean_s - earlier.mean_s,
            standard_error_s: sum.sqrt(),
            freedom: sum * sum / (weighed(a, earlier.n) + weighed(b, later.n)),
        })
    }

    /// The t interval that holds the difference in `share` of all cases, such as
    /// 0.95.
    pub fn within(&self, share: f64) -> Interval {
        let half_s = t_quantile(0.5 + 0.5 * share, self.freedom) * self.standard_error_s;
        Interval {
            low_s: self.difference_s - half_s,
            high_s: self.difference_s + half_s,
        }
    }

    /// What may be said of it.
    pub fn sentence(&self) -> String {
        let within = self.within(0.95);
        let range = format!(
            "95 percent interval from {} to {}; {} and {} counts",
            longer(within.low_s),
            longer(within.high_s),
            self.earlier_n,
            self.later_n
        );
        if within.holds(0.0) {
            format!(
                "No difference can be told: the later set is {} ({range}).",
                longer(self.difference_s)
            )
        } else {
            format!(
                "The later set is {} than the earlier ({range}).",
                longer(self.difference_s)
            )
        }
    }
}

/// Seconds as "0.12 s longer" or "0.05 s shorter".
pub(crate) fn longer(seconds: f64) -> String {
    let way = if (seconds * 100.0).round() < 0.0 {
        "shorter"
    } else {
        "longer"
    };
    format!("{:.2} s {way}", seconds.abs())
}

/// How the mean count moves from set to set, over several sets.
///
/// A straight line through the means, each set alike. The interval comes from how
/// far the means lie from the line, not from single counts: the counts of a set
/// share the day and the drill, so the set is what repeats. The last set against
/// the first would leave out all between; where there are fewer than
/// [`Trend::SETS`], [`Difference`] of these two is what remains.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Trend {
    /// Sets on the line.
    pub sets: usize,
    /// Sets left out for fewer than [`AT_LEAST`] counts. They keep their place.
    pub left_out: usize,
    /// Counts in the sets on the line.
    pub n: usize,
    /// Seconds a set by which the mean grows.
    pub slope_s: f64,
    /// Its standard error, seconds a set.
    pub standard_error_s: f64,
}

impl Trend {
    /// Sets needed: with three there is one degree of freedom, and the interval
    /// is 12.7 standard errors to each side.
    pub const SETS: usize = 4;

    /// Over sets in the order in which they were done.
    ///
    /// # Errors
    /// When there are too few sets, or all their means are on one line.
    pub fn of(sets: &[SetStats]) -> Result<Self, Cannot> {
        let used: Vec<(f64, f64)> = (0..)
            .zip(sets)
            .filter(|(_, set)| set.n >= AT_LEAST)
            .map(|(place, set)| (f64::from(place), set.mean_s))
            .collect();
        if used.len() < Self::SETS {
            return Err(Cannot::TooFewSets {
                more: Self::SETS - used.len(),
            });
        }
        let count = used.len() as f64;
        let middle = used.iter().map(|(x, _)| x).sum::<f64>() / count;
        let mean = used.iter().map(|(_, y)| y).sum::<f64>() / count;
        let across: f64 = used.iter().map(|(x, _)| (x - middle).powi(2)).sum();
        let joint: f64 = used.iter().map(|(x, y)| (x - middle) * (y - mean)).sum();
        let slope_s = joint / across;
        let off_line: f64 = used
            .iter()
            .map(|(x, y)| (y - mean - slope_s * (x - middle)).powi(2))
            .sum();
        // Below a microsecond there is nothing but rounding.
        if off_line.sqrt() < 1e-9 {
            return Err(Cannot::NoSpread);
        }
        Ok(Self {
            sets: used.len(),
            left_out: sets.len() - used.len(),
            n: sets
                .iter()
                .map(|set| set.n)
                .filter(|n| *n >= AT_LEAST)
                .sum(),
            slope_s,
            standard_error_s: (off_line / (count - 2.0) / across).sqrt(),
        })
    }

    /// The 95 percent t interval of the slope, seconds a set.
    pub fn within(&self) -> Interval {
        let half_s = t_quantile(0.975, (self.sets - 2) as f64) * self.standard_error_s;
        Interval {
            low_s: self.slope_s - half_s,
            high_s: self.slope_s + half_s,
        }
    }

    /// What may be said of it.
    pub fn sentence(&self) -> String {
        let within = self.within();
        let Self { sets, n, .. } = self;
        let mut range = format!(
            "95 percent interval from {} to {}; {n} counts in {sets} sets",
            longer(within.low_s),
            longer(within.high_s)
        );
        if self.left_out > 0 {
            range += &format!(
                ", {} left out with fewer than {AT_LEAST} counts",
                self.left_out
            );
        }
        let slope = longer(self.slope_s);
        if within.holds(0.0) {
            format!("No drift can be told: {slope} from set to set ({range}).")
        } else {
            format!("The count drifts: {slope} from set to set ({range}).")
        }
    }
}
