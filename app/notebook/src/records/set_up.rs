//! What a hitter's machine is set up for.

use super::record;
use crate::{Code, Field, Fields, Head, RecordId};
use serde::{Deserialize, Serialize};

/// The question that the set-up search answers for one hitter. The answer is
/// computed again each time, so a better model improves old questions too. What
/// nobody has written among the further ones is the level's usual value.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SetUp {
    /// Common head; its id is the hitter's, so that set-ups of one hitter made
    /// on two phones are one record.
    pub head: Head,
    /// Whose set-up it is.
    pub hitter: RecordId,
    /// Speed of the game pitch to prepare for, at release, in miles an hour.
    pub game_speed_mph: Field<f64>,
    /// Hand of the pitcher to prepare for.
    pub pitcher: Field<Code>,
    /// Distance of the machine's release from the back point of the plate, in feet.
    pub machine_distance_ft: Field<f64>,
    /// Speed the machine is set to when asked what it stands for, in miles an hour.
    pub machine_speed_mph: Field<f64>,
    /// Further numbers, named with their units as in "release-height-ft".
    #[serde(default, skip_serializing_if = "Fields::is_empty")]
    pub numbers: Fields<f64>,
    /// Further choices: the kind of pitch, the machine, the cage, the laws of
    /// drag and lift.
    #[serde(default, skip_serializing_if = "Fields::is_empty")]
    pub choices: Fields<Code>,
}

record!(SetUp: SetUp, edits: [
    game_speed_mph, pitcher, machine_distance_ft, machine_speed_mph, numbers, choices
]);
