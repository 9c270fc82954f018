//! From faults to drill cards: which cards answer them, in which order, and why
//! each in one line. It suggests; the coach decides. No records here: history
//! and what is at hand are brought by the caller.

pub use crate::cards::AnyCard;

use crate::cards::Equipment;
use crate::vocabulary::list;

list! {
    /// What came of a card with a hitter.
    Outcome {
        /// Tried, and nothing to say yet.
        Tried = "tried", "Tried";
        /// It helped.
        Helped = "helped", "Helped";
        /// It did not help.
        DidNot = "did-not", "Did not help";
        /// The one that the hitter feels, among several.
        Kept = "kept", "Kept: the hitter feels it";
    }
}

/// What there is to work with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct AtHand<'a> {
    /// The equipment.
    pub equipment: &'a [Equipment],
    /// Minutes left; `None` when time does not matter.
    pub minutes: Option<u16>,
}

/// One card to try, and why.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Suggestion<'a> {
    /// The card.
    pub card: AnyCard<'a>,
    /// Which of the faults given it answers, as places among them; never empty.
    pub answers: Vec<usize>,
    /// What it needs that is not at hand.
    pub missing: Vec<Equipment>,
    /// Whether it fits the time.
    pub fits_time: bool,
    /// What came of it last; `None` when it was never tried.
    pub last: Option<Outcome>,
    /// Why it stands where it stands, in one line.
    pub why: String,
}

impl Suggestion<'_> {
    /// Whether it can be done now: everything is at hand and there is time.
    pub fn is_possible(&self) -> bool {
        self.missing.is_empty() && self.fits_time
    }
}

/// The cards that answer the faults given, the first to try first.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Prescription<'a> {
    /// The cards in order.
    pub suggestions: Vec<Suggestion<'a>>,
    /// Whether several cards are possible now for the first fault that has one,
    /// and none is the hitter's yet: then say [`TRY_EACH`].
    pub try_each: bool,
}

/// What to say where several cards fit one finding.
pub const TRY_EACH: &str =
    "Several cards answer this. Try each in turn, and keep the one that the hitter feels.";

impl<'a> Prescription<'a> {
    /// Ranks the cards that answer any of these faults (ids of items that are
    /// "not yet", the first to work on first).
    ///
    /// `history` is this hitter's, oldest first: card id and outcome. Of each
    /// card the last outcome counts, but "tried" does not undo what was said
    /// before it.
    ///
    /// The order, each rule only among equals of the one before: everything at
    /// hand; fits the time; kept, then helped, then never tried, then tried,
    /// then did not help; answers the earlier fault; answers more of the
    /// faults; the order of the cards given.
    pub fn of(
        faults: &[&str],
        cards: impl IntoIterator<Item = AnyCard<'a>>,
        history: &[(&str, Outcome)],
        at_hand: AtHand,
    ) -> Self {
        let mut suggestions: Vec<Suggestion> = Vec::new();
        for card in cards {
            let answers: Vec<usize> = (0..faults.len())
                .filter(|place| card.fault_of(faults[*place]).is_some())
                .collect();
            let is_new = suggestions.iter().all(|known| known.card.id() != card.id());
            if !answers.is_empty() && is_new {
                let one = suggestion(card, answers, faults, history, at_hand);
                // After its equals, so that the order of the cards given stays.
                let place = suggestions.iter().position(|other| key(other) > key(&one));
                suggestions.insert(place.unwrap_or(suggestions.len()), one);
            }
        }
        let try_each = (0..faults.len())
            .map(|place| {
                let fit = |one: &&Suggestion| one.is_possible() && one.answers.contains(&place);
                suggestions.iter().filter(fit).collect::<Vec<_>>()
            })
            .find(|fitting| !fitting.is_empty())
            .is_some_and(|fitting| {
                let open = |one: &&&Suggestion| one.last != Some(Outcome::DidNot);
                fitting.iter().filter(open).count() > 1
                    && fitting.iter().all(|one| one.last != Some(Outcome::Kept))
            });
        Self {
            suggestions,
            try_each,
        }
    }
}

/// What a suggestion is ranked by: smaller first.
fn key(one: &Suggestion) -> [usize; 5] {
    [
        usize::from(!one.missing.is_empty()),
        usize::from(!one.fits_time),
        rank(one.last),
        one.answers[0],
        usize::MAX - one.answers.len(),
    ]
}

fn suggestion<'a>(
    card: AnyCard<'a>,
    answers: Vec<usize>,
    faults: &[&str],
    history: &[(&str, Outcome)],
    at_hand: AtHand,
) -> Suggestion<'a> {
    let missing: Vec<Equipment> = card
        .equipment()
        .iter()
        .copied()
        .filter(|thing| !at_hand.equipment.contains(thing))
        .collect();
    let fits_time = at_hand
        .minutes
        .is_none_or(|left| u16::from(card.minutes()) <= left);
    let last = last_outcome(card.id(), history);
    let fault = card.fault_of(faults[answers[0]]).unwrap_or_default();
    let why = why(fault, &missing, fits_time, card, last);
    Suggestion {
        card,
        answers,
        missing,
        fits_time,
        last,
        why,
    }
}

/// The last outcome of a card that says something, else that it was tried.
pub fn last_outcome(id: &str, history: &[(&str, Outcome)]) -> Option<Outcome> {
    let of_card = || history.iter().rev().filter(|(card, _)| *card == id);
    of_card()
        .find(|(_, outcome)| *outcome != Outcome::Tried)
        .or_else(|| of_card().next())
        .map(|found| found.1)
}

const fn rank(last: Option<Outcome>) -> usize {
    match last {
        Some(Outcome::Kept) => 0,
        Some(Outcome::Helped) => 1,
        None => 2,
        Some(Outcome::Tried) => 3,
        Some(Outcome::DidNot) => 4,
    }
}

fn why(
    fault: &str,
    missing: &[Equipment],
    fits_time: bool,
    card: AnyCard,
    last: Option<Outcome>,
) -> String {
    let mut line = match last {
        Some(Outcome::Kept) => "The hitter feels this one",
        Some(Outcome::Helped) => "Helped before",
        None => "Not tried yet",
        Some(Outcome::Tried) => "Tried, nothing said yet",
        Some(Outcome::DidNot) => "Did not help before",
    }
    .to_owned();
    if !fault.is_empty() {
        line = format!("{line}; answers: {fault}");
    }
    if let Some(thing) = missing.first() {
        line = format!("{line}; not at hand: {}", thing.name());
        if missing.len() > 1 {
            line = format!("{line} and {} more", missing.len() - 1);
        }
    }
    if !fits_time {
        line = format!("{line}; takes {} minutes", card.minutes());
    }
    line.push('.');
    line
}
