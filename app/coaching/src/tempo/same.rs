//! Whether two sets have the same tempo within a band that the coach sets: by two
//! one-sided tests, so that "the same" is a finding and not a lack of one.

use super::TempoError;
use super::cannot::Cannot;
use super::drift::{Difference, longer};
use crate::count::SetStats;
use crate::statistics::t_cdf;

/// The band within which two tempos count as the same.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Band(f64);

impl Band {
    /// The narrowest band, seconds: below it, taps decide and not the hitter.
    pub const LOW_S: f64 = 0.02;
    /// The widest band, seconds: half of the shortest target.
    pub const HIGH_S: f64 = 0.5;
    /// The band until the coach sets another (our choice, no source).
    pub const USUAL: Self = Self(0.1);

    /// A band of so many seconds to each side.
    ///
    /// # Errors
    /// When it is outside [`Band::LOW_S`] to [`Band::HIGH_S`].
    pub fn new(band_s: f64) -> Result<Self, TempoError> {
        if (Self::LOW_S..=Self::HIGH_S).contains(&band_s) {
            Ok(Self(band_s))
        } else {
            Err(TempoError::Band)
        }
    }

    /// The band to each side, seconds.
    pub const fn seconds(self) -> f64 {
        self.0
    }
}

/// What two sets say of one tempo.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// Both tests say so: the difference is within the band.
    Same,
    /// The whole 95 percent interval lies outside the band.
    Apart,
    /// There is a difference, but whether it is wider than the band is open.
    Differs,
    /// Neither a difference nor its absence can be told.
    CannotTell,
}

/// Two sets against a band.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Compared {
    /// The difference of the means.
    pub difference: Difference,
    /// The band.
    pub band: Band,
    /// The larger of the two one-sided p-values (Schuirmann, J. Pharmacokinet.
    /// Biopharm. 15, 657, 1987), with Welch's standard error and freedom.
    pub p: f64,
    /// What it comes to.
    pub verdict: Verdict,
}

impl Compared {
    /// Above this p-value, the same tempo is not a finding.
    const ALPHA: f64 = 0.05;
    /// Above so many reps a set, more reps are no advice.
    const MOST_REPS: usize = 200;

    /// Compares two sets of at least [`super::numbers::AT_LEAST`] counts each.
    ///
    /// # Errors
    /// When a set has too few counts, or there is no spread at all.
    pub fn of(earlier: &SetStats, later: &SetStats, band: Band) -> Result<Self, Cannot> {
        let difference = Difference::of(earlier, later)?;
        // How likely so small a distance from either end of the band is, when
        // the truth is at that end.
        let reach = band.0 - difference.difference_s.abs();
        let p = t_cdf(-reach / difference.standard_error_s, difference.freedom);
        let within = difference.within(0.95);
        let verdict = if p < Self::ALPHA {
            Verdict::Same
        } else if within.low_s > band.0 || within.high_s < -band.0 {
            Verdict::Apart
        } else if !within.holds(0.0) {
            Verdict::Differs
        } else {
            Verdict::CannotTell
        };
        Ok(Self {
            difference,
            band,
            p,
            verdict,
        })
    }

    /// Reps still wanted in each set before "the same" could be found, should
    /// means and spreads stay as they are; `None` when it is found already, when
    /// the means are not within the band, or when it would take hundreds.
    pub fn more_reps(&self) -> Option<usize> {
        if self.verdict == Verdict::Same {
            return None;
        }
        let now = self.difference.earlier_n.min(self.difference.later_n);
        let reach = self.band.0 - self.difference.difference_s.abs();
        // The standard error falls with the root of n.
        (now + 1..=Self::MOST_REPS).find_map(|n| {
            let grown = n as f64 / now as f64;
            let t = reach * grown.sqrt() / self.difference.standard_error_s;
            let p = t_cdf(-t, self.difference.freedom * grown);
            (p < Self::ALPHA).then_some(n - now)
        })
    }

    /// What may be said of it, with both n.
    pub fn sentence(&self) -> String {
        let Difference {
            earlier_n,
            later_n,
            difference_s,
            ..
        } = self.difference;
        let band_s = self.band.0;
        let within = self.difference.within(match self.verdict {
            // The interval that goes with two tests at 5 percent each.
            Verdict::Same => 0.90,
            _ => 0.95,
        });
        let percent = if self.verdict == Verdict::Same {
            90
        } else {
            95
        };
        let facts = format!(
            "{percent} percent interval from {} to {}; {earlier_n} and {later_n} counts",
            longer(within.low_s),
            longer(within.high_s)
        );
        let by = longer(difference_s);
        match self.verdict {
            Verdict::Same => {
                format!("The same tempo within {band_s:.2} s: the later set is {by} ({facts}).")
            }
            Verdict::Apart => format!(
                "The tempo differs by more than {band_s:.2} s: the later set is {by} ({facts})."
            ),
            Verdict::Differs => format!(
                "The tempo differs: the later set is {by} ({facts}). Whether by more than {band_s:.2} s cannot be told yet.{}",
                self.wanted()
            ),
            Verdict::CannotTell => format!(
                "Whether the tempo is the same within {band_s:.2} s cannot be told yet: the later set is {by} ({facts}).{}",
                self.wanted()
            ),
        }
    }

    fn wanted(&self) -> String {
        match self.more_reps() {
            Some(more) => {
                let reps = if more == 1 { "rep" } else { "reps" };
                format!(
                    " Not yet: about {more} more {reps} in each set, if they go on as they are."
                )
            }
            None => String::new(),
        }
    }
}
