//! A group of hitters, and two records of one hitter joined.

use super::record;
use crate::{Code, Field, Fields, Head, RecordId};
use serde::{Deserialize, Serialize};

/// A team, or a coach's lesson clients. In the club's notebook.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Group {
    /// Common head.
    pub head: Head,
    /// What the club calls it.
    pub name: Field<String>,
    /// Who is in it, by the id of the hitter's record: "in" or "out". A field for
    /// each hitter, so that two coaches can add two hitters apart.
    #[serde(default, skip_serializing_if = "Fields::is_empty")]
    pub hitters: Fields<Code>,
}

record!(Group: Group, edits: [name, hitters]);

/// The coach's act that says two records are of one hitter. Removing it takes the
/// act back. In the club's notebook.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Join {
    /// Common head.
    pub head: Head,
    /// One record of the hitter.
    pub one: RecordId,
    /// The other.
    pub other: RecordId,
}

record!(Join: Join, edits: []);
