//! Challenge: a session's success beside the same hitter's success in games,
//! with the difference and its interval. Where the swings are kept, and which
//! games count, is the caller's.

use crate::contact::lean::not_yet;
use crate::contact::share::{Interval, Share};
use crate::contact::{Contact, ContactResult, Quality};
use crate::vocabulary::list;

list! {
    /// What counts as a success, out of all swings. The coach chooses one; it
    /// must be the same for the session and the games.
    SuccessRule {
        /// A line drive, or any ball in play that was hit hard: the rule unless
        /// the coach chooses another (our choice, no source).
        LineOrHard = "line-or-hard", "Line drive, or hit hard in play";
        /// A line drive.
        Line = "line", "Line drive";
        /// Solid or hard, in play.
        Solid = "solid", "Solid or hard, in play";
        /// Any ball in play.
        InPlay = "in-play", "Ball in play";
        /// Any ball met, fair or foul.
        Touched = "touched", "Ball met, fair or foul";
    }
}

impl SuccessRule {
    /// The rule unless the coach chooses another.
    pub const USUAL: Self = Self::LineOrHard;

    /// Whether a swing was a success. A quality that was not told is none.
    pub fn is_success(self, contact: &Contact) -> bool {
        let result = contact.result;
        match self {
            Self::LineOrHard => {
                result == ContactResult::Line
                    || (result.is_in_play() && contact.quality == Some(Quality::Hard))
            }
            Self::Line => result == ContactResult::Line,
            Self::Solid => {
                result.is_in_play()
                    && matches!(contact.quality, Some(Quality::Solid | Quality::Hard))
            }
            Self::InPlay => result.is_in_play(),
            Self::Touched => result.is_touched(),
        }
    }

    /// Successes out of swings; takes are no swings.
    pub fn share(self, contacts: &[Contact]) -> Share {
        let mut share = Share { count: 0, n: 0 };
        for contact in contacts.iter().filter(|contact| contact.result.is_swing()) {
            share.n += 1;
            share.count += u32::from(self.is_success(contact));
        }
        share
    }
}

/// Swings of the session, and in games, before they are compared (our choice,
/// no source).
pub const AT_LEAST: u32 = 20;

/// How far a session may be from the game before it is said, set by the coach.
/// All in percentage points of the success rate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Band {
    easier: f64,
    harder: f64,
    least: f64,
}

impl Default for Band {
    /// 20 points easier, 20 points harder, and a success in ten at the least:
    /// our choice, no source, for the coach to change.
    fn default() -> Self {
        Self {
            easier: 20.0,
            harder: 20.0,
            least: 10.0,
        }
    }
}

/// Why a band was refused.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum ChallengeError {
    /// A limit outside its range, or no number.
    #[error(
        "{field}: {low:.0} to {high:.0} points are allowed. The band from before is kept.",
        low = Band::LOW, high = Band::HIGH
    )]
    Band {
        /// Which limit.
        field: &'static str,
    },
}

impl Band {
    /// The smallest limit, points.
    pub const LOW: f64 = 1.0;
    /// The largest limit, points.
    pub const HIGH: f64 = 60.0;

    /// A band: how many points a session may be easier and harder than the
    /// game, and the least success rate (percent) at which it still teaches;
    /// each [`Band::LOW`] to [`Band::HIGH`].
    pub fn new(easier: f64, harder: f64, least: f64) -> Result<Self, ChallengeError> {
        for (field, points) in [
            ("Easier than the game", easier),
            ("Harder than the game", harder),
            ("Least success rate", least),
        ] {
            if !(Self::LOW..=Self::HIGH).contains(&points) {
                return Err(ChallengeError::Band { field });
            }
        }
        Ok(Self {
            easier,
            harder,
            least,
        })
    }
}

/// A session beside the game.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Challenge {
    /// Successes out of the session's swings.
    pub session: Share,
    /// Successes out of swings in games.
    pub game: Share,
    /// What the coach allows.
    pub band: Band,
}

/// How a session compares.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// Too few swings on one side or both.
    NotYet {
        /// Swings that the session lacks.
        session_more: u32,
        /// Swings that the games lack.
        game_more: u32,
    },
    /// The whole interval of the difference lies above the band.
    FarEasier,
    /// The whole interval lies below it, or the session's success rate lies
    /// below the least.
    TooHard,
    /// The whole interval lies within the band.
    Near,
    /// The interval crosses an edge of the band.
    CannotTell,
}

impl Challenge {
    /// Session minus game, -1 to 1; `None` when either has no swing.
    pub fn difference(&self) -> Option<f64> {
        Some(self.session.share()? - self.game.share()?)
    }

    /// Its 95% interval by Newcombe's hybrid score method (Statistics in
    /// Medicine 17, 873, 1998, method 10), from Wilson's two intervals.
    /// `None` when either has no swing.
    pub fn interval(&self) -> Option<Interval> {
        let (ours, theirs) = (self.session.share()?, self.game.share()?);
        let (session, game) = (self.session.wilson(), self.game.wilson());
        let difference = ours - theirs;
        Some(Interval {
            low: difference - (ours - session.low).hypot(game.high - theirs),
            high: difference + (session.high - ours).hypot(theirs - game.low),
        })
    }

    /// How it compares; no word below [`AT_LEAST`] swings on each side. A
    /// success rate below the least is said without games too.
    pub fn verdict(&self) -> Verdict {
        let lacks = |share: Share| AT_LEAST.saturating_sub(share.n);
        let (session_more, game_more) = (lacks(self.session), lacks(self.game));
        let is_below_least = 100.0 * self.session.wilson().high < self.band.least;
        if session_more == 0 && is_below_least {
            return Verdict::TooHard;
        }
        let Some(interval) = self.interval().filter(|_| session_more + game_more == 0) else {
            return Verdict::NotYet {
                session_more,
                game_more,
            };
        };
        let (low, high) = (100.0 * interval.low, 100.0 * interval.high);
        let Band { easier, harder, .. } = self.band;
        if low > easier {
            Verdict::FarEasier
        } else if high < -harder {
            Verdict::TooHard
        } else if low >= -harder && high <= easier {
            Verdict::Near
        } else {
            Verdict::CannotTell
        }
    }

    /// The comparison in words: both rates with their n, the difference with
    /// its interval, and the verdict.
    pub fn sentence(&self) -> String {
        let mut text = format!(
            "Session: {}. Games: {}.",
            self.session.words(),
            self.game.words()
        );
        if let (Some(difference), Some(Interval { low, high })) =
            (self.difference(), self.interval())
        {
            let [by, low, high] = [difference, low, high].map(|share| 100.0 * share);
            text = format!(
                "{text} Difference {} points ({} to {}).",
                signed(by),
                signed(low),
                signed(high)
            );
        }
        let verdict = match self.verdict() {
            Verdict::NotYet {
                session_more,
                game_more,
            } => return format!("{text} {}", not_enough(session_more, game_more)),
            Verdict::FarEasier => {
                "Far easier than the game: this session does not ask what the game asks."
            }
            Verdict::TooHard => {
                "Too hard to learn much from, by the limits you set: make it easier until more swings succeed."
            }
            Verdict::Near => "Near the game: within what you allow.",
            Verdict::CannotTell => {
                "It cannot be told yet whether this is within what you allow: more reps narrow it."
            }
        };
        format!("{text} {verdict}")
    }
}

/// Whole points with their sign; no sign for 0.
fn signed(points: f64) -> String {
    match points.round() {
        0.0 => "0".to_owned(),
        points => format!("{points:+.0}"),
    }
}

fn not_enough(session_more: u32, game_more: u32) -> String {
    let needed = |more: u32, place: &str| match more {
        0 => String::new(),
        more => format!(" {place}, {}.", not_yet(more, ["swing", "swings"])),
    };
    format!(
        "Not enough swings to compare.{}{}",
        needed(session_more, "Session"),
        needed(game_more, "Games")
    )
}
