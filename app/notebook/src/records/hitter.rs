//! A hitter: the least that identifies one to his or her coach.

use super::record;
use crate::{Code, Field, Fields, Head};
use serde::{Deserialize, Serialize};

/// A hitter. First name or initials only: most hitters are minors.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Hitter {
    /// Common head.
    pub head: Head,
    /// First name or initials, as the coach typed it.
    pub name: Field<String>,
    /// Bats left, right or both.
    pub bats: Field<Code>,
    /// Sport.
    pub sport: Field<Code>,
    /// Level of play.
    pub level: Field<Code>,
    /// Targets and limits, named with their units as in "count-target-s".
    #[serde(default, skip_serializing_if = "Fields::is_empty")]
    pub numbers: Fields<f64>,
    /// Age band, who holds the notebook, whether archived.
    #[serde(default, skip_serializing_if = "Fields::is_empty")]
    pub choices: Fields<Code>,
    /// The coach's note.
    #[serde(default, skip_serializing_if = "Fields::is_empty")]
    pub texts: Fields<String>,
}

record!(Hitter: Hitter, edits: [name, bats, sport, level, numbers, choices, texts]);
