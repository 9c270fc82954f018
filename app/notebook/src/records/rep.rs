//! One repetition with its count.

use super::record;
use crate::{Code, Head, HittingContext, RecordId};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// One rep: a swing, throw or take, with its count. Add-only.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Rep {
    /// Common head.
    pub head: Head,
    /// Who swung.
    pub hitter: RecordId,
    /// The set (round) it belongs to; it may have a [`crate::Round`].
    pub set: RecordId,
    /// Number within the set, from 1.
    pub number: u32,
    /// Under which conditions.
    pub context: HittingContext,
    /// Lift to contact, in seconds.
    pub count_s: f64,
    /// How the count was taken: two taps, sound, motion, clip.
    pub taken_by: Code,
    /// Further intervals, named with units as in "foot-down-to-contact-s".
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub numbers: BTreeMap<Code, f64>,
    /// Further choices, such as how far a count by motion is to be trusted.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub choices: BTreeMap<Code, Code>,
}

record!(Rep: Rep, edits: []);
