//! What a device may do in a notebook.

use std::fmt;

/// What a device may do in one notebook. Its owner, who alone changes the
/// membership, is one of its members and has a role like any other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
#[repr(u8)]
pub enum Role {
    /// A coach: reads and writes.
    Coach = 1,
    /// A parent: reads and writes.
    Parent = 2,
    /// The player: reads and writes.
    Player = 3,
    /// Reads; what it writes is refused by everybody.
    ReadOnly = 4,
    /// The recovery sheet: no phone. Writes nothing, and may sign changes of
    /// membership as the owner may.
    Recovery = 5,
}

impl Role {
    /// Whether entries of this role count.
    #[must_use]
    pub const fn may_write(self) -> bool {
        matches!(self, Self::Coach | Self::Parent | Self::Player)
    }

    #[cfg(feature = "sync")]
    pub(crate) const fn read(byte: u8) -> Result<Self, crate::Error> {
        Ok(match byte {
            1 => Self::Coach,
            2 => Self::Parent,
            3 => Self::Player,
            4 => Self::ReadOnly,
            5 => Self::Recovery,
            other => return Err(crate::Error::UnknownRole(other)),
        })
    }
}

impl fmt::Display for Role {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Coach => "coach",
            Self::Parent => "parent",
            Self::Player => "player",
            Self::ReadOnly => "read-only",
            Self::Recovery => "recovery sheet",
        })
    }
}
