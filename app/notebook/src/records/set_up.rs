//! What a hitter's machine is set up for.

use super::record;
use crate::{Code, Field, Head, RecordId};
use serde::{Deserialize, Serialize};

/// The question that the set-up search answers for one hitter. The answer is
/// computed again each time, so a better model improves old questions too.
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
}

record!(SetUp: SetUp, edits: [game_speed_mph, pitcher, machine_distance_ft, machine_speed_mph]);
