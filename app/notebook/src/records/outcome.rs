//! What came of a drill card with a hitter.

use super::record;
use crate::{Code, Head, RecordId};
use serde::{Deserialize, Serialize};

/// What came of a card. Add-only: the latest of a card and item holds.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Outcome {
    /// Common head.
    pub head: Head,
    /// With whom.
    pub hitter: RecordId,
    /// Id of the card.
    pub card: Code,
    /// The item of the swing check that it was to answer; none when it was tried
    /// without a finding.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub item: Option<Code>,
    /// Tried, helped, did not, kept.
    pub outcome: Code,
}

record!(Outcome: Outcome, edits: []);
