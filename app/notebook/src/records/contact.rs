//! What was hit: one touch on the field fan.

use super::record;
use crate::{Code, Head, HittingContext, RecordId};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// One ball or swing and what became of it. Add-only: a touch that was wrong is
/// removed, and the right one is a contact of its own.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Contact {
    /// Common head.
    pub head: Head,
    /// Who swung, or took.
    pub hitter: RecordId,
    /// The session; none outside of one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub session: Option<RecordId>,
    /// The round it belongs to.
    pub set: RecordId,
    /// Number within the round, from 1.
    pub number: u32,
    /// Under which conditions.
    pub context: HittingContext,
    /// Ground, line, fly, pop, miss, foul or take.
    pub result: Code,
    /// What was measured or touched, named with units as in "direction-deg".
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub numbers: BTreeMap<Code, f64>,
    /// What was chosen beside it, such as the quality; "rep" is the id of the rep
    /// that holds its count.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub choices: BTreeMap<Code, Code>,
}

record!(Contact: Contact, edits: []);
