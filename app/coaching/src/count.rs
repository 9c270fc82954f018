//! The count: seconds from lift (the front heel's first move) to contact. Taps
//! to a count, one set's numbers, the target. No clock and no timers here:
//! times come from the events of the device.

use core::fmt;

/// The shortest count that is recorded, seconds. Below it, two taps are one
/// tap that bounced (our choice, no source).
pub const SHORTEST_S: f64 = 0.2;

/// The longest count that is recorded, seconds. Above it, the second tap was
/// not for this swing (our choice, no source).
pub const LONGEST_S: f64 = 6.0;

/// Two taps, as the times of their events in milliseconds on one clock (the
/// event's own time, not the time its handler ran).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Taps {
    /// The front heel's first move, ms.
    pub lift_ms: f64,
    /// Contact: the ball met, the medicine ball let go, or the ball over the
    /// plate for a take or a miss, ms.
    pub contact_ms: f64,
}

impl Taps {
    /// The count in seconds, to the microsecond, when it is within
    /// [`SHORTEST_S`] to [`LONGEST_S`], both included.
    pub fn count_s(self) -> Result<f64, CountError> {
        let count_ms = self.contact_ms - self.lift_ms;
        if !count_ms.is_finite() {
            return Err(CountError::NotATime);
        }
        // Browsers give event times in steps of 5 microseconds or more, and a
        // sum of such steps is not exact: 200 ms may come as 199.9999999.
        let count_s = (count_ms * 1e3).round() / 1e6;
        if count_s < 0.0 {
            return Err(CountError::ContactBeforeLift);
        }
        checked_count_s(count_s)
    }
}

/// A count from elsewhere (an import, a clip, a sensor), if it is one that may
/// be recorded: the same range as for taps.
pub fn checked_count_s(count_s: f64) -> Result<f64, CountError> {
    if !count_s.is_finite() {
        Err(CountError::NotATime)
    } else if count_s < SHORTEST_S {
        Err(CountError::TooShort { given_s: count_s })
    } else if count_s > LONGEST_S {
        Err(CountError::TooLong { given_s: count_s })
    } else {
        Ok(count_s)
    }
}

/// Why a count or a target was refused.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum CountError {
    /// One of the times is not a number, or the two are too far apart to tell.
    #[error(
        "Count: it takes two times on one clock, {SHORTEST_S} to {LONGEST_S:.1} s apart, and one was not a time. Nothing was recorded."
    )]
    NotATime,
    /// Contact came before lift.
    #[error(
        "Count: contact came before lift, and the count is {SHORTEST_S} to {LONGEST_S:.1} s from lift to contact. Nothing was recorded."
    )]
    ContactBeforeLift,
    /// Shorter than [`SHORTEST_S`].
    #[error(
        "Count: {SHORTEST_S} to {LONGEST_S:.1} s are allowed, and {given} is too short. Nothing was recorded.", given = Shown(*.given_s)
    )]
    TooShort {
        /// The count given, seconds.
        given_s: f64,
    },
    /// Longer than [`LONGEST_S`].
    #[error(
        "Count: {SHORTEST_S} to {LONGEST_S:.1} s are allowed, and {given} is too long. Nothing was recorded.", given = Shown(*.given_s)
    )]
    TooLong {
        /// The count given, seconds.
        given_s: f64,
    },
    /// A target outside [`Target::LOW_S`] to [`Target::HIGH_S`], or no number.
    #[error(
        "Target count: {low:.1} to {high:.1} s are allowed, and {given} was given. The target from before is kept.", low = Target::LOW_S, high = Target::HIGH_S, given = Shown(*.given_s)
    )]
    Target {
        /// The target given, seconds.
        given_s: f64,
    },
}

/// A number of seconds as shown in an error: as given when a person can read
/// it, never hundreds of digits.
struct Shown(f64);

impl fmt::Display for Shown {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.0 {
            s if !s.is_finite() => f.write_str("no number"),
            s if s > 3600.0 => f.write_str("more than an hour"),
            s if s < -3600.0 => f.write_str("less than minus an hour"),
            s if s != 0.0 && s.abs() < 1e-6 => f.write_str("almost nothing"),
            s => write!(f, "{s} s"),
        }
    }
}

/// The numbers of one set of counts. Take counts that may be recorded
/// ([`Taps::count_s`], [`checked_count_s`]); a NaN put in comes out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SetStats {
    /// How many counts.
    pub n: usize,
    /// The last count, seconds.
    pub last_s: f64,
    /// The mean, seconds.
    pub mean_s: f64,
    /// The sample standard deviation (divided by n - 1), seconds; `None` below
    /// two counts.
    pub sd_s: Option<f64>,
    /// Sum of the squared distances from the mean, seconds squared (Welford).
    squares: f64,
}

impl SetStats {
    /// The numbers of a set, oldest count first; `None` when it is empty.
    pub fn of(counts_s: &[f64]) -> Option<Self> {
        let (first, rest) = counts_s.split_first()?;
        Some(
            rest.iter()
                .fold(Self::first(*first), |set, count_s| set.with(*count_s)),
        )
    }

    /// A set that begins with this count.
    pub const fn first(count_s: f64) -> Self {
        Self {
            n: 1,
            last_s: count_s,
            mean_s: count_s,
            sd_s: None,
            squares: 0.0,
        }
    }

    /// The same set with one more count: constant work, however long the set
    /// is. Welford's method (Technometrics 4, 419, 1962), which does not lose
    /// the spread of counts that lie close together.
    #[must_use]
    pub fn with(self, count_s: f64) -> Self {
        let n = self.n + 1;
        let from_old_mean = count_s - self.mean_s;
        let mean_s = self.mean_s + from_old_mean / n as f64;
        let squares = self.squares + from_old_mean * (count_s - mean_s);
        Self {
            n,
            last_s: count_s,
            mean_s,
            sd_s: Some((squares / (n - 1) as f64).sqrt()),
            squares,
        }
    }

    /// The spread in one of four words. Standard deviation against the mean:
    /// to 5 percent steady, to 10 percent a little apart, above far apart (our
    /// choice, no source), and no word below [`Spread::AT_LEAST`] counts.
    pub fn spread(&self) -> Spread {
        match self.sd_s {
            Some(sd_s) if self.n >= Spread::AT_LEAST => {
                if sd_s <= 0.05 * self.mean_s {
                    Spread::Steady
                } else if sd_s <= 0.10 * self.mean_s {
                    Spread::ALittleApart
                } else {
                    Spread::FarApart
                }
            }
            _ => Spread::TooFew,
        }
    }

    /// The set in one sentence, with its n.
    pub fn sentence(&self) -> String {
        let Self { n, mean_s, .. } = self;
        let counts = if *n == 1 { "count" } else { "counts" };
        let spread = self.spread().words();
        match self.sd_s {
            Some(sd_s) => {
                format!("{n} {counts}, mean {mean_s:.2} s, spread {sd_s:.2} s: {spread}.")
            }
            None => format!("{n} {counts}, {mean_s:.2} s: {spread}."),
        }
    }
}

/// How far apart the counts of a set lie, as a word.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Spread {
    /// Not enough counts for a word.
    TooFew,
    /// One tempo.
    Steady,
    /// Nearly one tempo.
    ALittleApart,
    /// More than one tempo.
    FarApart,
}

impl Spread {
    /// Counts needed before a word is said (our choice, no source).
    pub const AT_LEAST: usize = 5;

    /// The words, to stand within a sentence.
    pub const fn words(self) -> &'static str {
        match self {
            Self::TooFew => "too few to speak of a spread",
            Self::Steady => "steady",
            Self::ALittleApart => "a little apart",
            Self::FarApart => "far apart",
        }
    }
}

/// A hitter's target count, 1 to 3 s, for most hitters between 1 and 2 (common
/// practice, no source).
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Target(f64);

impl Target {
    /// The shortest target, seconds.
    pub const LOW_S: f64 = 1.0;
    /// The longest target, seconds.
    pub const HIGH_S: f64 = 3.0;

    /// A target of so many seconds, if it is within the range.
    pub fn new(target_s: f64) -> Result<Self, CountError> {
        if (Self::LOW_S..=Self::HIGH_S).contains(&target_s) {
            Ok(Self(target_s))
        } else {
            Err(CountError::Target { given_s: target_s })
        }
    }

    /// The target, seconds.
    pub const fn seconds(self) -> f64 {
        self.0
    }

    /// One count against the target, in words: to the hundredth that a screen
    /// shows.
    pub fn sentence(self, count_s: f64) -> String {
        let hundredths = ((count_s - self.0) * 100.0).round();
        if hundredths == 0.0 {
            "On the target count.".to_owned()
        } else {
            let way = if hundredths < 0.0 {
                "shorter"
            } else {
                "longer"
            };
            let off_s = hundredths.abs() / 100.0;
            format!("{off_s:.2} s {way} than the target.")
        }
    }
}
