//! A session, and the rounds in it.

use super::record;
use crate::{Code, Field, Fields, Head, HittingContext, RecordId};
use serde::{Deserialize, Serialize};

/// A practice: who is in the rotation, and what the coach set for it. In the
/// club's notebook; what concerns one hitter stands in that hitter's rounds.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Session {
    /// Common head.
    pub head: Head,
    /// What the coach calls it; may be empty.
    pub name: Field<String>,
    /// Who is in the rotation, by the id of the hitter's record: "in" or "out".
    #[serde(default, skip_serializing_if = "Fields::is_empty")]
    pub hitters: Fields<Code>,
    /// Choices, such as whether it is over.
    #[serde(default, skip_serializing_if = "Fields::is_empty")]
    pub choices: Fields<Code>,
    /// Numbers, such as the ends of the band for the rate of success.
    #[serde(default, skip_serializing_if = "Fields::is_empty")]
    pub numbers: Fields<f64>,
}

record!(Session: Session, edits: [name, hitters, choices, numbers]);

/// One hitter's reps in a row in one environment. Its id is the `set` of the reps
/// and contacts in it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Round {
    /// Common head.
    pub head: Head,
    /// Who hits.
    pub hitter: RecordId,
    /// The session it belongs to; none outside of one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub session: Option<RecordId>,
    /// Under which conditions.
    pub context: HittingContext,
    /// How the ball is fed, named with units as in "feed-distance-ft"; of a machine
    /// its set-up as solved.
    #[serde(default, skip_serializing_if = "Fields::is_empty")]
    pub numbers: Fields<f64>,
    /// Further choices, such as the way of counting.
    #[serde(default, skip_serializing_if = "Fields::is_empty")]
    pub choices: Fields<Code>,
}

record!(Round: Round, edits: [numbers, choices]);
