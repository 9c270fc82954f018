//! Intervals, and the reasons why nothing is said yet.

use super::numbers::AT_LEAST;
use crate::count::SetStats;

/// A span of seconds that holds a number, at the share said beside it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Interval {
    /// Lower end, seconds.
    pub low_s: f64,
    /// Upper end, seconds.
    pub high_s: f64,
}

impl Interval {
    /// Whether `value_s` lies within, ends included.
    pub fn holds(&self, value_s: f64) -> bool {
        (self.low_s..=self.high_s).contains(&value_s)
    }
}

/// Why nothing can be said yet. Not a refusal: more reps help.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cannot {
    /// The set has too few counts.
    Few {
        /// Counts in it.
        n: usize,
    },
    /// One of two sets has too few counts, or both.
    TooFew {
        /// Counts in the first set.
        first_n: usize,
        /// Counts in the second set.
        second_n: usize,
    },
    /// Too few sets that have counts enough.
    TooFewSets {
        /// Sets that are still wanted.
        more: usize,
    },
    /// All counts are the same, so that no spread can be told from them.
    NoSpread,
}

impl Cannot {
    /// What stands in the way, and what helps.
    pub fn sentence(self) -> String {
        match self {
            Self::Few { n } => {
                format!("{} So far {n}.", not_yet(AT_LEAST.saturating_sub(n)))
            }
            Self::TooFew { first_n, second_n } => {
                let more = |n: usize| AT_LEAST.saturating_sub(n);
                let wanted = match (more(first_n), more(second_n)) {
                    (first, 0) => format!("{} in the first set", reps(first)),
                    (0, second) => format!("{} in the second set", reps(second)),
                    (first, second) => format!(
                        "{} in the first set and {} in the second",
                        reps(first),
                        reps(second)
                    ),
                };
                format!("Not yet: {wanted}. So far {first_n} and {second_n}.")
            }
            Self::TooFewSets { more } => {
                let sets = if more == 1 { "set" } else { "sets" };
                format!("Not yet: {more} more {sets} of {AT_LEAST} reps or more.")
            }
            Self::NoSpread => {
                "All counts are exactly the same, so no spread can be told from them. \
                 Count again by taps, sound or clip."
                    .to_owned()
            }
        }
    }
}

/// "Not yet: 3 more reps."
pub(crate) fn not_yet(more: usize) -> String {
    format!("Not yet: {}.", reps(more))
}

fn reps(more: usize) -> String {
    let reps = if more == 1 { "rep" } else { "reps" };
    format!("{more} more {reps}")
}

/// Both sets, when each has [`AT_LEAST`] counts.
pub(crate) fn enough(first: &SetStats, second: &SetStats) -> Result<(), Cannot> {
    if first.n < AT_LEAST || second.n < AT_LEAST {
        return Err(Cannot::TooFew {
            first_n: first.n,
            second_n: second.n,
        });
    }
    Ok(())
}
