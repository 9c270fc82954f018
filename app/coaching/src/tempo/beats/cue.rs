//! One moment of a timetable.

use super::Rung;

/// What a moment is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// The rep is announced.
    Announce,
    /// The machine is fed.
    Feed,
    /// The front heel's first move.
    Lift,
    /// A beat within the count, 1 the first after the lift.
    Beat(u8),
    /// The end of the count.
    Contact,
    /// The rep is over.
    Rest,
}

/// One moment of a timetable.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cue {
    /// Seconds from the timetable's start.
    pub at_s: f64,
    /// The rep it belongs to, 1 the first of all sets.
    pub rep: u16,
    /// What it is.
    pub kind: Kind,
    /// Whether it is kept from sound, vibration and light: the hitter keeps it
    /// alone.
    pub is_muted: bool,
    /// The set it belongs to.
    pub rung: Rung,
}
