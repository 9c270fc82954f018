//! How a count is taken.

use crate::state::names;

/// How a count is taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Way {
    /// Two taps.
    Taps,
    /// Lift by the tap or the beat, contact heard.
    Sound,
    /// Lift and turn sensed.
    Motion,
    /// Played only; nothing is measured.
    Played,
}

impl Way {
    /// Ids and names, in the order of the screen.
    pub const NAMED: [(&'static str, &'static str); 4] = [
        (names::rep::TWO_TAPS, "Two taps"),
        (names::rep::SOUND, "Sound"),
        (names::rep::MOTION, "Motion"),
        ("played", "Only played"),
    ];

    const ALL: [Self; 4] = [Self::Taps, Self::Sound, Self::Motion, Self::Played];

    /// Its id; of a way that measures also the rep's `taken_by`.
    pub const fn id(self) -> &'static str {
        Self::NAMED[self as usize].0
    }

    /// The way of this id.
    pub fn from_id(id: &str) -> Self {
        let known = Self::ALL.into_iter().find(|way| way.id() == id);
        known.unwrap_or(Self::Taps)
    }
}
