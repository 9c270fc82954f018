//! What the roster may hold of a hitter beside the name: age band, groups and
//! targets, with their ranges. No birth date anywhere: a band is enough to
//! coach by, and most hitters are minors. Search and joins have modules of
//! their own.

use crate::count::{CountError, Target};
use crate::text::{Limits, Unfit, tidied};
use crate::vocabulary::list;

list! {
    /// How old a hitter is, as a band. The coach moves a hitter on to the next.
    AgeBand {
        /// Up to 8 years.
        To8 = "to-8", "8 and under";
        /// 9 and 10 years.
        From9 = "9-10", "9 to 10";
        /// 11 and 12 years.
        From11 = "11-12", "11 to 12";
        /// 13 and 14 years.
        From13 = "13-14", "13 to 14";
        /// 15 to 17 years.
        From15 = "15-17", "15 to 17";
        /// 18 years and over.
        From18 = "18-up", "18 and over";
    }
}

impl AgeBand {
    /// Whether hitters of this band are minors, so that the guardian's word is
    /// asked for (18 in most places; the local law rules).
    pub const fn is_minor(self) -> bool {
        !matches!(self, Self::From18)
    }
}

/// The most characters of a group's name.
pub const LONGEST_GROUP: usize = 40;

/// The most characters of a note.
pub const LONGEST_NOTE: usize = 500;

/// The most groups a hitter is in.
pub const MOST_GROUPS: usize = 10;

/// Why something on the roster was refused. Only lengths and numbers are told,
/// never a text.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum RosterError {
    /// A group without a name.
    #[error(
        "Group: 1 to {LONGEST_GROUP} characters are needed, and none was given. What was there before is kept."
    )]
    GroupEmpty,
    /// A group's name that is too long, or has too many accents on its letters.
    #[error(
        "Group: 1 to {LONGEST_GROUP} characters are allowed, and {given} were given. What was there before is kept."
    )]
    GroupLength {
        /// Characters given; code points when those are too many.
        given: usize,
    },
    /// A note that is too long, or has too many accents on its letters.
    #[error(
        "Note: up to {LONGEST_NOTE} characters are allowed, and {given} were given. What was there before is kept."
    )]
    NoteLength {
        /// Characters given; code points when those are too many.
        given: usize,
    },
    /// A hitter in too many groups.
    #[error(
        "Groups: up to {MOST_GROUPS} are allowed, and {given} were given. What was there before is kept."
    )]
    Groups {
        /// Groups given.
        given: usize,
    },
    /// A target distance out of range, or no number.
    #[error("Field distance: {low} to {high} ft are allowed, and {given}. The distance from before is kept.", low = FieldDistance::LOW_FT, high = FieldDistance::HIGH_FT, given = shown(*.given_ft))]
    Distance {
        /// The distance given, ft.
        given_ft: f64,
    },
    /// A target count that was refused.
    #[error(transparent)]
    Count(#[from] CountError),
}

fn shown(given_ft: f64) -> String {
    if given_ft.is_finite() && given_ft.abs() < 1e6 {
        format!("{given_ft} ft was given")
    } else {
        "what was given is no such number".to_owned()
    }
}

/// The name of a group (a team, the lesson clients) as kept: tidied like a
/// hitter's name.
pub fn group_name(typed: &str) -> Result<String, RosterError> {
    let limits = Limits {
        least: 1,
        most: LONGEST_GROUP,
        most_code_points: 10 * LONGEST_GROUP,
    };
    tidied(typed, limits).map_err(|unfit| match unfit {
        Unfit::Short { .. } => RosterError::GroupEmpty,
        Unfit::Long { given } | Unfit::Marks { given } => RosterError::GroupLength { given },
    })
}

/// A note on a hitter as kept; it may be empty.
pub fn note(typed: &str) -> Result<String, RosterError> {
    let limits = Limits {
        least: 0,
        most: LONGEST_NOTE,
        most_code_points: 10 * LONGEST_NOTE,
    };
    tidied(typed, limits).map_err(|unfit| match unfit {
        Unfit::Short { given } | Unfit::Long { given } | Unfit::Marks { given } => {
            RosterError::NoteLength { given }
        }
    })
}

/// Whether a hitter may be in so many groups.
pub fn checked_groups(given: usize) -> Result<(), RosterError> {
    if given <= MOST_GROUPS {
        Ok(())
    } else {
        Err(RosterError::Groups { given })
    }
}

/// The distance a hitter prepares for, from the front of the rubber to the back
/// point of the plate. From the shortest youth fields to a little more than the
/// full 60.5 ft (our choice of range).
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct FieldDistance(f64);

impl FieldDistance {
    /// The shortest, ft.
    pub const LOW_FT: f64 = 25.0;
    /// The longest, ft.
    pub const HIGH_FT: f64 = 65.0;

    /// A distance in ft, if it is within the range.
    pub fn new(given_ft: f64) -> Result<Self, RosterError> {
        if (Self::LOW_FT..=Self::HIGH_FT).contains(&given_ft) {
            Ok(Self(given_ft))
        } else {
            Err(RosterError::Distance { given_ft })
        }
    }

    /// The distance, ft.
    pub const fn ft(self) -> f64 {
        self.0
    }
}

/// What a hitter works toward.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Targets {
    /// The count.
    pub count: Option<Target>,
    /// The field distance.
    pub distance: Option<FieldDistance>,
}

impl Targets {
    /// Targets from numbers, each left out or in its range.
    pub fn new(count_s: Option<f64>, distance_ft: Option<f64>) -> Result<Self, RosterError> {
        Ok(Self {
            count: count_s.map(Target::new).transpose()?,
            distance: distance_ft.map(FieldDistance::new).transpose()?,
        })
    }
}

/// What to mind of a hitter's age and of who holds the notebook, in one or two
/// sentences; empty for an adult who holds it. As long as no band is said, a
/// hitter counts as a minor. (No law is quoted: the local one rules.)
pub const fn guardian_note(band: Option<AgeBand>, guardian_held: bool) -> &'static str {
    let is_minor = match band {
        Some(band) => band.is_minor(),
        None => true,
    };
    match (is_minor, guardian_held) {
        (true, true) => {
            "A minor, and a guardian holds the notebook: the guardian decides who sees it. Keep only what coaching needs."
        }
        (true, false) if band.is_none() => {
            "No age band, so treated as a minor: ask a guardian before anything is shared, filmed or measured. Keep only what coaching needs."
        }
        (true, false) => {
            "A minor: ask a guardian before anything is shared, filmed or measured. Keep only what coaching needs."
        }
        (false, true) => "A guardian holds the notebook: the guardian decides who sees it.",
        (false, false) => "",
    }
}
