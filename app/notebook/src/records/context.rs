//! What every record of hitting stores beside its own values.

use crate::Code;
use serde::{Deserialize, Serialize};

/// Under which conditions was hit.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct HittingContext {
    /// Side batted: a hitter who bats both ways gets results per side.
    pub side: Code,
    /// The pitcher's hand, or the side the ball is fed from.
    pub feed: Code,
    /// Baseball or fast-pitch softball.
    pub sport: Code,
    /// Level of play (its field distances).
    pub level: Code,
    /// One of the shared list of environments: tee, machine, game and so on.
    pub environment: Code,
}
