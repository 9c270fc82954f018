//! The order rule itself: from the states of the four phases to the place where
//! the work is. One rule for a single look ([`screening`](crate::screening)) and
//! for several ([`looks`](crate::looks)); no answers and no items here.

use crate::check::Phase;

/// What the answers say of one phase.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PhaseState {
    /// At least one item is "not yet".
    NeedsWork,
    /// Every item is "yes".
    Clear,
    /// No "not yet", and at least one item not seen or not answered.
    CannotTell,
}

impl PhaseState {
    /// The words on the screen.
    pub const fn words(self) -> &'static str {
        match self {
            Self::NeedsWork => "Needs work",
            Self::Clear => "Clear",
            Self::CannotTell => "Cannot tell yet",
        }
    }
}

/// What may be said of a phase: its state counts once every phase before it is clear,
/// as a load cannot be judged from a launch position that is off.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Standing {
    /// What its answers say.
    pub state: PhaseState,
    /// The earliest phase that is not clear, where that comes before this one.
    pub waits_for: Option<Phase>,
}

impl Standing {
    /// The standing of the four phases, by their states in their order.
    pub fn in_order(states: [PhaseState; 4]) -> [Self; 4] {
        let mut waits_for = None;
        let mut phases = Phase::ALL.iter();
        states.map(|state| {
            let standing = Self { state, waits_for };
            let phase = phases.next().copied();
            if state != PhaseState::Clear {
                waits_for = waits_for.or(phase);
            }
            standing
        })
    }

    /// The words on the screen; `name` names a phase.
    pub fn words(self, name: impl Fn(Phase) -> &'static str) -> String {
        let Some(phase) = self.waits_for else {
            return self.state.words().to_owned();
        };
        let looked = match self.state {
            PhaseState::NeedsWork => "not yet",
            PhaseState::Clear => "looked clear",
            PhaseState::CannotTell => "not seen enough",
        };
        format!("Waits for: {} ({looked})", name(phase))
    }
}

/// Where the work is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Place {
    /// At this phase, one of the first three: the earliest that is not clear.
    Work(Phase),
    /// The earliest that is not clear cannot be judged yet.
    CannotTell {
        /// That phase, one of the first three.
        phase: Phase,
        /// The earliest later phase that needs work, which has to wait.
        waiting: Option<Phase>,
    },
    /// Phases 1 to 3 are clear.
    Approach,
}

/// The place of the work by the states of the phases, in their order.
pub(crate) fn order(states: [PhaseState; 4]) -> Place {
    let by_phase = || Phase::ALL.iter().copied().zip(states);
    match by_phase().find(|(_, state)| *state != PhaseState::Clear) {
        None | Some((Phase::Approach, _)) => Place::Approach,
        Some((phase, PhaseState::NeedsWork)) => Place::Work(phase),
        Some((phase, _)) => Place::CannotTell {
            phase,
            waiting: by_phase()
                .find(|(later, state)| *later > phase && *state == PhaseState::NeedsWork)
                .map(|(later, _)| later),
        },
    }
}

/// Titles for a sentence: the first two, and how many more.
pub(crate) fn listed<'a>(titles: impl ExactSizeIterator<Item = &'a str>) -> String {
    const SHOWN: usize = 2;
    let more = titles.len().saturating_sub(SHOWN);
    let mut text = String::new();
    for (place, title) in titles.take(SHOWN).enumerate() {
        if place > 0 {
            text.push_str("; ");
        }
        text.push_str(title);
    }
    match more {
        0 => {}
        1 => text.push_str("; and one more"),
        _ => text = format!("{text}; and {more} more"),
    }
    text
}
