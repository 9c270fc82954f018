//! One repetition with its count.

use super::record;
use crate::{Code, Head, HittingContext, RecordId};
use serde::{Deserialize, Serialize};

/// One rep: a swing, throw or take, with its count. Add-only.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Rep {
    /// Common head.
    pub head: Head,
    /// Who swung.
    pub hitter: RecordId,
    /// The set (round) it belongs to; a set has no record of its own.
    pub set: RecordId,
    /// Number within the set, from 1.
    pub number: u32,
    /// Under which conditions.
    pub context: HittingContext,
    /// Lift to contact, in seconds.
    pub count_s: f64,
    /// How the count was taken: two taps, sound, motion, clip.
    pub taken_by: Code,
}

record!(Rep: Rep, edits: []);
