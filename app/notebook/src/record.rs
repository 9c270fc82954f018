//! What every record has in common.

use crate::{DeviceId, Field, RecordId, Stamp, StampClock};
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};

/// Version of the record formats that this code writes. Raised when a stored
/// field changes its meaning or its inner form. A new field beside the others
/// does not raise it, if it has a default: storage keeps fields it does not know.
pub const SCHEMA: u16 = 1;

/// The head of every record.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Head {
    /// Identity, a UUID version 7.
    pub id: RecordId,
    /// Version of the format it was written in.
    pub schema: u16,
    /// Device that made it.
    pub author: DeviceId,
    /// When it was made.
    pub made: Stamp,
    /// The tombstone: absent until the record is removed for the first time.
    /// A field, so that a removal can be taken back.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub removed: Option<Field<bool>>,
}

impl Head {
    /// The head of a record made now by the clock's device.
    #[must_use]
    pub fn new(id: RecordId, clock: &StampClock) -> Self {
        let made = clock.stamp();
        Self {
            id,
            schema: SCHEMA,
            author: made.device(),
            made,
            removed: None,
        }
    }

    /// Whether the record has been removed.
    #[must_use]
    pub fn is_removed(&self) -> bool {
        self.removed.as_ref().is_some_and(|removed| *removed.get())
    }

    /// Removes the record (a tombstone: nothing is erased) or brings it back.
    pub fn set_removed(&mut self, removed: bool, clock: &StampClock) {
        match &mut self.removed {
            Some(field) => {
                field.set(removed, clock);
            }
            None if removed => {
                self.removed = Some(Field::new(true, clock.stamp_above(self.made)));
            }
            None => {}
        }
    }

    /// Takes in the other copy's tombstone. Where two phones made the same
    /// record apart (its id follows from another record's), the earlier making
    /// stands; the rest of a head never changes.
    pub fn merge(&mut self, other: &Self) {
        if other.made < self.made {
            self.made = other.made;
            self.author = other.author;
        }
        match (&mut self.removed, &other.removed) {
            (Some(mine), Some(theirs)) => mine.merge(theirs),
            (None, Some(theirs)) => self.removed = Some(theirs.clone()),
            (_, None) => {}
        }
    }
}

/// The kinds of records; each has a store of its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Kind {
    /// [`crate::Hitter`]
    Hitter,
    /// [`crate::SetUp`]
    SetUp,
    /// [`crate::Check`]
    Check,
    /// [`crate::Observation`]
    Observation,
    /// [`crate::Rep`]
    Rep,
    /// [`crate::Equipment`]
    Equipment,
    /// [`crate::Group`]
    Group,
    /// [`crate::Join`]
    Join,
    /// [`crate::Own`]
    Own,
    /// [`crate::Outcome`]
    Outcome,
    /// [`crate::Session`]
    Session,
    /// [`crate::Round`]
    Round,
    /// [`crate::Contact`]
    Contact,
}

impl Kind {
    /// Every kind.
    pub const ALL: [Self; 13] = [
        Self::Hitter,
        Self::SetUp,
        Self::Check,
        Self::Observation,
        Self::Rep,
        Self::Equipment,
        Self::Group,
        Self::Join,
        Self::Own,
        Self::Outcome,
        Self::Session,
        Self::Round,
        Self::Contact,
    ];

    /// Name of the kind's store; never changes.
    #[must_use]
    pub const fn store(self) -> &'static str {
        match self {
            Self::Hitter => "hitters",
            Self::SetUp => "set-ups",
            Self::Check => "checks",
            Self::Observation => "observations",
            Self::Rep => "reps",
            Self::Equipment => "equipment",
            Self::Group => "groups",
            Self::Join => "joins",
            Self::Own => "own",
            Self::Outcome => "outcomes",
            Self::Session => "sessions",
            Self::Round => "rounds",
            Self::Contact => "contacts",
        }
    }
}

/// A record that can be kept.
pub trait Record: Serialize + DeserializeOwned + Clone + Send + Sync + 'static {
    /// Which kind it is.
    const KIND: Kind;
    /// Its head.
    fn head(&self) -> &Head;
    /// Its head, to remove it or bring it back.
    fn head_mut(&mut self) -> &mut Head;
    /// Takes in what another copy of the same record holds: commutative,
    /// associative and idempotent.
    fn merge(&mut self, other: &Self);
}
