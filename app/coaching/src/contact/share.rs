//! A share with its intervals: Wilson's for a statement, Jeffreys' posterior
//! for what to believe. What is counted lives where it is used.
//!
//! Wilson (J. Am. Stat. Assoc. 22, 209, 1927) and Jeffreys are the two that
//! Brown, Cai and DasGupta (Statistical Science 16, 101, 2001) advise for small
//! numbers.

use crate::statistics::beta_quantile;

/// The 0.975 quantile of the normal distribution, for 95% intervals.
pub(crate) const Z_95: f64 = 1.959_963_984_540_054;

/// An interval, both ends included, 95% unless said otherwise.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Interval {
    /// The lower end.
    pub low: f64,
    /// The upper end.
    pub high: f64,
}

/// So many of so many.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Share {
    /// How many were so; never above `n`.
    pub count: u32,
    /// Out of how many.
    pub n: u32,
}

impl Share {
    /// The share itself, 0 to 1; `None` when nothing was counted.
    pub fn share(self) -> Option<f64> {
        (self.n > 0).then(|| f64::from(self.count) / f64::from(self.n))
    }

    /// Wilson's 95% interval (score interval, without continuity correction):
    /// from 0 to 1 when nothing was counted.
    pub fn wilson(self) -> Interval {
        let Some(share) = self.share() else {
            return Interval {
                low: 0.0,
                high: 1.0,
            };
        };
        let n = f64::from(self.n);
        let z2_n = Z_95 * Z_95 / n;
        let middle = (share + z2_n / 2.0) / (1.0 + z2_n);
        let half = Z_95 * (share * (1.0 - share) / n + z2_n / (4.0 * n)).sqrt() / (1.0 + z2_n);
        // At the ends the root is exact in mathematics and a hair off in floats.
        Interval {
            low: if self.count == 0 { 0.0 } else { middle - half },
            high: if self.count == self.n {
                1.0
            } else {
                middle + half
            },
        }
    }

    /// What to believe of the share behind the count.
    pub fn posterior(self) -> Posterior {
        Posterior {
            a: f64::from(self.count) + 0.5,
            b: f64::from(self.n - self.count.min(self.n)) + 0.5,
        }
    }

    /// The share in words: "12 of 30, 40% (25 to 58)", the interval Wilson's.
    pub fn words(self) -> String {
        let Self { count, n } = self;
        match self.share() {
            None => format!("{count} of {n}"),
            Some(share) => {
                let Interval { low, high } = self.wilson();
                let [share, low, high] = [share, low, high].map(|part| 100.0 * part);
                format!("{count} of {n}, {share:.0}% ({low:.0} to {high:.0})")
            }
        }
    }
}

/// The posterior of a share: Beta(a, b), from Jeffreys' prior Beta(1/2, 1/2),
/// this kind against all others together.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Posterior {
    /// Count and a half.
    pub a: f64,
    /// The others and a half.
    pub b: f64,
}

impl Posterior {
    /// Its mean.
    pub fn mean(self) -> f64 {
        self.a / (self.a + self.b)
    }

    /// Its middle 95%.
    pub fn interval(self) -> Interval {
        Interval {
            low: beta_quantile(0.025, self.a, self.b),
            high: beta_quantile(0.975, self.a, self.b),
        }
    }
}
