//! A swing check and what was observed in it.

use super::record;
use crate::{Code, Head, HittingContext, RecordId};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// One run of the swing check: one look at one hitter. Add-only.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Check {
    /// Common head.
    pub head: Head,
    /// Who was looked at.
    pub hitter: RecordId,
    /// Under which conditions.
    pub context: HittingContext,
    /// What was chosen for this look, such as the skill and which observer looked.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub choices: BTreeMap<Code, Code>,
}

record!(Check: Check, edits: []);

/// An answer to one item. Add-only: a changed mind is a later observation of
/// the same item, and the earlier one stays.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Observation {
    /// Common head.
    pub head: Head,
    /// The check it belongs to.
    pub check: RecordId,
    /// Who was looked at.
    pub hitter: RecordId,
    /// Which item of the swing check.
    pub item: Code,
    /// Yes, not yet or not seen.
    pub answer: Code,
}

record!(Observation: Observation, edits: []);
