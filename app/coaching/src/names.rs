//! What a hitter's name or initials may be. One rule for every screen and for
//! every import; no storage and no search here, and how a text is tidied and
//! counted is in [`text`](crate::text).

use crate::text::{Limits, Unfit, tidied};

/// The most characters a name may have, as a person counts them.
pub const LONGEST: usize = 40;

/// The most code points those characters may take. A family emoji takes seven
/// and a pointed Hebrew letter three; a pile of accents takes hundreds.
pub const MOST_CODE_POINTS: usize = 400;

/// Why a name was refused. Only lengths are told, never the text.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum NameError {
    /// Nothing visible was given.
    #[error(
        "Name: 1 to {LONGEST} characters are needed, and none was given. What was there before is kept."
    )]
    Empty,
    /// More than [`LONGEST`] characters.
    #[error(
        "Name: 1 to {LONGEST} characters are allowed, and {given} were given. What was there before is kept."
    )]
    TooLong {
        /// Characters given, after tidying.
        given: usize,
    },
    /// Few characters, with more accents and joins on them than are kept.
    #[error(
        "Name: 1 to {LONGEST} characters are allowed, with up to {MOST_CODE_POINTS} letters, accents and signs in all, and {given} were given. What was there before is kept."
    )]
    TooManyMarks {
        /// Code points given, after tidying.
        given: usize,
    },
}

/// The name as kept: no blanks around it, single spaces inside, no control
/// characters, nothing that turns the direction of the text around it. Letters
/// of every script and emoji stay as they are.
///
/// One pass, and no more kept than [`MOST_CODE_POINTS`], whatever is given.
pub fn hitter_name(typed: &str) -> Result<String, NameError> {
    let limits = Limits {
        least: 1,
        most: LONGEST,
        most_code_points: MOST_CODE_POINTS,
    };
    tidied(typed, limits).map_err(|unfit| match unfit {
        Unfit::Short { .. } => NameError::Empty,
        Unfit::Long { given } => NameError::TooLong { given },
        Unfit::Marks { given } => NameError::TooManyMarks { given },
    })
}
