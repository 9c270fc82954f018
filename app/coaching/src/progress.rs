//! What became of the items of a check over several looks: earlier against
//! latest, and how many looks are missing. The rule of what is good is that of
//! [`looks`](crate::looks); no storage and no dates here.

use crate::looks::{Evidence, ItemState, REPEATED, WINDOW};
use crate::vocabulary::{Answer, list};

list! {
    /// How the latest answer to an item stands to the earliest one.
    Turn {
        /// Not yet then, yes in the latest look that saw it.
        Better = "better", "Not yet before, yes now";
        /// Yes then, not yet in the latest look that saw it.
        Back = "back", "Yes before, not yet now";
        /// Not yet both times.
        StillNotYet = "still-not-yet", "Still not yet";
        /// Yes both times.
        StillYes = "still-yes", "Still yes";
    }
}

/// One item, the earliest look that saw it against the latest.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Change {
    /// Place of the item in the list.
    pub item: usize,
    /// How the two stand to each other.
    pub turn: Turn,
    /// Place of the earliest look that saw it, oldest 0.
    pub earliest: usize,
    /// Place of the latest that saw it.
    pub latest: usize,
}

/// The items that at least two looks saw, in the order of the list. "Not seen"
/// is no answer here: it neither makes a change nor undoes one.
pub fn changes(evidence: &[Evidence]) -> Vec<Change> {
    let of_item = |(item, evidence): (usize, &Evidence)| {
        let mut seen: Vec<(usize, Answer)> = Vec::new();
        seen.extend(evidence.yes.iter().map(|look| (*look, Answer::Yes)));
        seen.extend(evidence.not_yet.iter().map(|look| (*look, Answer::NotYet)));
        let earliest = seen.iter().min_by_key(|(look, _)| *look)?;
        let latest = seen.iter().max_by_key(|(look, _)| *look)?;
        let turn = match (earliest.1, latest.1) {
            (Answer::NotYet, Answer::Yes) => Turn::Better,
            (Answer::Yes, Answer::NotYet) => Turn::Back,
            (Answer::Yes, _) => Turn::StillYes,
            _ => Turn::StillNotYet,
        };
        (earliest.0 < latest.0).then_some(Change {
            item,
            turn,
            earliest: earliest.0,
            latest: latest.0,
        })
    };
    evidence.iter().enumerate().filter_map(of_item).collect()
}

/// The fewest further looks that can settle an item, if each of them sees it
/// and all say the same; 0 when it is settled.
pub fn looks_missing(evidence: &Evidence) -> usize {
    if matches!(evidence.state, ItemState::Good | ItemState::RepeatedNotYet) {
        return 0;
    }
    let mut all: Vec<(usize, Answer)> = Vec::new();
    for (looks, answer) in [
        (&evidence.yes, Answer::Yes),
        (&evidence.not_yet, Answer::NotYet),
        (&evidence.not_seen, Answer::NotSeen),
    ] {
        all.extend(looks.iter().map(|look| (*look, answer)));
    }
    (1..REPEATED)
        .find(|more| {
            // Those that the further answers do not push out.
            let staying = WINDOW - more;
            let newer = |look: usize| all.iter().filter(|(other, _)| *other > look).count();
            let count = |wanted: Answer| {
                let stays =
                    |(look, answer): &&(usize, Answer)| *answer == wanted && newer(*look) < staying;
                all.iter().filter(stays).count() + more
            };
            count(Answer::Yes) >= REPEATED || count(Answer::NotYet) >= REPEATED
        })
        .unwrap_or(REPEATED)
}

/// The same for several items: that of the one that takes the most looks.
pub fn most_missing(evidence: &[Evidence], items: &[usize]) -> usize {
    let of_items = items.iter().filter_map(|item| evidence.get(*item));
    of_items.map(looks_missing).max().unwrap_or(0)
}
