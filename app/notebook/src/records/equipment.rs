//! What the club has: its machines, and the cages they stand in.

use super::record;
use crate::{Code, Field, Fields, Head};
use serde::{Deserialize, Serialize};

/// A machine with its limits, or a cage with its room and air, as measured.
///
/// Numbers are named with their units, as in "height-most-ft".
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Equipment {
    /// Common head.
    pub head: Head,
    /// What it is: "machine" or "cage"; never changes.
    pub what: Code,
    /// What the club calls it.
    pub name: Field<String>,
    /// Its numbers.
    #[serde(default, skip_serializing_if = "Fields::is_empty")]
    pub numbers: Fields<f64>,
    /// Its choices, such as the kind of wheels.
    #[serde(default, skip_serializing_if = "Fields::is_empty")]
    pub choices: Fields<Code>,
}

record!(Equipment: Equipment, edits: [name, numbers, choices]);
