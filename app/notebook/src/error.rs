//! What can be wrong with a record's parts, a sentence a case.

/// Why text could not be read as a part of a record.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Error {
    /// Not a UUID.
    #[error("the id {0:?} is not a UUID")]
    Id(String),
    /// Not a stamp: 16 hexadecimal digits, a hyphen, 32 hexadecimal digits.
    #[error("the stamp {0:?} is not 16 hexadecimal digits, a hyphen and 32 more")]
    Stamp(String),
    /// Not a code: 1 to 64 of a-z, 0-9, hyphen and full stop.
    #[error("the code {0:?} is not 1 to 64 of the characters a-z, 0-9, '-' and '.'")]
    Code(String),
}
