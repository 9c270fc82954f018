//! What several looks say of one item: which looks, and whether that settles it.
//! No phases and no order rule here.

use super::Look;
use crate::vocabulary::Answer;

/// How many of an item's latest answers count (our choice, no source).
pub const WINDOW: usize = 3;

/// How many equal answers among them settle an item (our choice, no source).
pub const REPEATED: usize = 2;

/// How many settle it within one look.
pub(super) const ONE: usize = 1;

/// What the looks say of one item.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ItemState {
    /// Seen good repeatedly.
    Good,
    /// Seen not good yet repeatedly.
    RepeatedNotYet,
    /// Seen not good yet once among the latest answers: to look at again.
    NotYetOnce,
    /// Seen good once among the latest answers: to look at again.
    GoodOnce,
    /// Not seen in the latest answers, or never asked.
    NotSeen,
}

impl ItemState {
    /// The words on the screen.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Good => "Good, seen repeatedly",
            Self::RepeatedNotYet => "Not yet, seen repeatedly",
            Self::NotYetOnce => "Not yet, seen once: look again",
            Self::GoodOnce => "Good, seen once: look again",
            Self::NotSeen => "Not seen",
        }
    }
}

/// The evidence on one item: the looks by their place, oldest 0.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Evidence {
    /// What follows.
    pub state: ItemState,
    /// Looks in which it was good.
    pub yes: Vec<usize>,
    /// Looks in which it was not good yet.
    pub not_yet: Vec<usize>,
    /// Looks in which it could not be seen.
    pub not_seen: Vec<usize>,
}

impl Evidence {
    pub(super) fn of(id: &str, looks: &[Look], needed: usize) -> Self {
        let mut evidence = Self {
            state: ItemState::NotSeen,
            yes: Vec::new(),
            not_yet: Vec::new(),
            not_seen: Vec::new(),
        };
        let mut latest = Vec::new();
        for (place, look) in looks.iter().enumerate() {
            let Some(answer) = answered(look, id) else {
                continue;
            };
            latest.push(answer);
            match answer {
                Answer::Yes => evidence.yes.push(place),
                Answer::NotYet => evidence.not_yet.push(place),
                Answer::NotSeen => evidence.not_seen.push(place),
            }
        }
        let latest = &latest[latest.len().saturating_sub(WINDOW)..];
        let count = |wanted| latest.iter().filter(|answer| **answer == wanted).count();
        let (yes, not_yet) = (count(Answer::Yes), count(Answer::NotYet));
        evidence.state = if yes >= needed {
            ItemState::Good
        } else if not_yet >= needed {
            ItemState::RepeatedNotYet
        } else if not_yet > 0 {
            ItemState::NotYetOnce
        } else if yes > 0 {
            ItemState::GoodOnce
        } else {
            ItemState::NotSeen
        };
        evidence
    }

    /// The evidence in one sentence.
    pub fn sentence(&self) -> String {
        let looks = self.yes.len() + self.not_yet.len() + self.not_seen.len();
        let word = if looks == 1 { "look" } else { "looks" };
        format!(
            "In {looks} {word}: {} yes, {} not yet, {} not seen.",
            self.yes.len(),
            self.not_yet.len(),
            self.not_seen.len()
        )
    }
}

/// The answer of a look to an id.
pub(super) fn answered(look: Look, id: &str) -> Option<Answer> {
    let mut given = look.iter().rev();
    given.find(|(known, _)| *known == id).map(|found| found.1)
}
