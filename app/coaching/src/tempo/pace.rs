//! A set against its target: whether the hitter rushes, and the longer count that
//! is then offered.

use super::cannot::{Cannot, Interval};
use super::numbers::{AT_LEAST, mean_within};
use super::same::Band;
use super::spoken::Spoken;
use crate::count::{SetStats, Target};

/// The most that a count is made longer at once, seconds (our choice, no source).
const LONGEST_STEP_S: f64 = 0.5;

/// What a set says against its target.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Pace {
    /// The whole interval of the mean lies below the band.
    Rushes {
        /// A longer count to try; `None` when the target is the longest already.
        offer: Option<Target>,
    },
    /// The whole interval lies within the band.
    OnTarget,
    /// The whole interval lies above the band.
    Late,
    /// The interval reaches over an end of the band.
    CannotTell,
}

/// A set against its target, with its numbers.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Paced {
    set: SetStats,
    target: Target,
    band: Band,
    /// The 95 percent t interval of the mean.
    pub within: Interval,
    /// What it comes to.
    pub pace: Pace,
}

impl Paced {
    /// Judges a set of at least [`AT_LEAST`] counts.
    ///
    /// # Errors
    /// When the set has too few counts, or no spread at all.
    pub fn of(set: &SetStats, target: Target, band: Band) -> Result<Self, Cannot> {
        if set.n < AT_LEAST {
            return Err(Cannot::Few { n: set.n });
        }
        let within = mean_within(set).ok_or(Cannot::NoSpread)?;
        let (low_s, high_s) = (
            target.seconds() - band.seconds(),
            target.seconds() + band.seconds(),
        );
        let pace = if within.high_s < low_s {
            Pace::Rushes {
                offer: longer_count(target, target.seconds() - set.mean_s),
            }
        } else if within.low_s > high_s {
            Pace::Late
        } else if within.low_s >= low_s && within.high_s <= high_s {
            Pace::OnTarget
        } else {
            Pace::CannotTell
        };
        Ok(Self {
            set: *set,
            target,
            band,
            within,
            pace,
        })
    }

    /// What may be said of it, and the offer; in spoken beats too when the coach's
    /// are known.
    pub fn sentence(&self, spoken: Option<&Spoken>) -> String {
        let target_s = self.target.seconds();
        let facts = format!(
            "mean {:.2} s against {target_s:.2} s, 95 percent interval {:.2} to {:.2} s, {} counts",
            self.set.mean_s, self.within.low_s, self.within.high_s, self.set.n
        );
        let band_s = self.band.seconds();
        match self.pace {
            Pace::Rushes { offer: Some(offer) } => {
                let beats = match spoken {
                    Some(spoken) => format!(
                        ", about {:.1} of the coach's spoken beats",
                        spoken.beats_of(offer.seconds()).beats
                    ),
                    None => String::new(),
                };
                format!(
                    "The hitter rushes by more than {band_s:.2} s: {facts}. Try a longer count: {:.1} s{beats}.",
                    offer.seconds()
                )
            }
            Pace::Rushes { offer: None } => format!(
                "The hitter rushes by more than {band_s:.2} s: {facts}. The target is the longest count already."
            ),
            Pace::OnTarget => format!("On the target count within {band_s:.2} s: {facts}."),
            Pace::Late => {
                format!(
                    "The hitter takes longer than the target by more than {band_s:.2} s: {facts}."
                )
            }
            Pace::CannotTell => {
                format!(
                    "Whether it is on the target within {band_s:.2} s cannot be told yet: {facts}."
                )
            }
        }
    }
}

/// As much longer than the target as the hitter comes in short, up to
/// [`LONGEST_STEP_S`], to the next tenth: who cuts a count short by as much again
/// is then on the target (our own rule, no source).
fn longer_count(target: Target, short_by_s: f64) -> Option<Target> {
    let wanted_s = target.seconds() + short_by_s.min(LONGEST_STEP_S);
    // A hair below, as a sum that comes to 1.6000000001 is 1.6.
    let tenth_s = ((wanted_s * 10.0 - 1e-6).ceil() / 10.0).min(Target::HIGH_S);
    Target::new(tenth_s).ok().filter(|longer| *longer > target)
}
