//! What several looks at one hitter say together, with the evidence: which
//! items on which looks. The order rule is that of a single look
//! ([`screening`](crate::screening)); no drill cards and no storage here.
//!
//! The rule:
//! - An item stands on its last [`WINDOW`] answers, one a look. [`REPEATED`]
//!   "yes" among them make it good, as many "not yet" a repeated "not yet".
//!   Anything else is not settled: once is not enough for either.
//! - "Not seen" takes a place among those answers and counts for nothing, so
//!   it can never make an item good, wherever it comes in.
//! - A phase needs work when an item of it is a repeated "not yet", is clear
//!   when every item of it is good, and cannot be told otherwise.
//! - One look by itself ([`Looks::of_one`]) settles each item with one answer.
//! - Of the questions before, the latest answer counts; pain stops until it is
//!   answered "yes". A "yes" of an earlier look holds for eyesight and bat
//!   only.

mod evidence;

pub use evidence::{Evidence, ItemState, REPEATED, WINDOW};

use evidence::{ONE, answered};

use crate::check::{BEFORE, Phase, Question};
use crate::checklist::CheckList;
use crate::order::{PhaseState, Place, Standing, listed, order};
use crate::vocabulary::Answer;

/// The answers of one look by id, in the order given. Should an id come twice,
/// the later counts; bring the earlier one too, because a stop that was said
/// once is lifted by a "yes" alone.
pub type Look<'a> = &'a [(&'a str, Answer)];

/// What the looks say together. Items are told by their places in the list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Finding {
    /// A question whose answer stops the check was not "yes": pain.
    StopAndRefer {
        /// The question.
        question: &'static Question,
    },
    /// The earliest phase that is not clear needs work.
    WorkOn {
        /// That phase, one of the first three.
        phase: Phase,
        /// Its items with a repeated "not yet"; never empty.
        items: Vec<usize>,
    },
    /// The earliest phase that is not clear cannot be judged yet: too little
    /// was seen.
    CannotTellYet {
        /// That phase, one of the first three.
        phase: Phase,
        /// Its items that were "not yet" once.
        not_yet_once: Vec<usize>,
        /// All of its items to look at, those among them; never empty.
        look_at: Vec<usize>,
        /// The earliest later phase that needs work, which has to wait.
        waiting: Option<Phase>,
    },
    /// Phases 1 to 3 are clear, and a question from before them is not "yes".
    SettleFirst {
        /// Those questions; never empty.
        questions: Vec<&'static Question>,
    },
    /// Phases 1 to 3 are clear: the trouble is likely approach or pitch selection.
    LookAtApproach {
        /// Items of the approach with a repeated "not yet".
        not_yet: Vec<usize>,
        /// Items of the approach to look at.
        look_at: Vec<usize>,
    },
    /// Everything was seen repeatedly and is good.
    AllClear,
}

/// Several looks at one hitter, laid beside the list of items.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Looks {
    /// How many looks there are.
    pub looks: usize,
    /// The evidence on each item of the list, in its order.
    pub evidence: Vec<Evidence>,
    /// The states of the phases, in their order.
    pub phases: [PhaseState; 4],
    /// What to do now.
    pub finding: Finding,
    /// Whether an item had to be seen repeatedly to be settled.
    repeated: bool,
}

impl Looks {
    /// What may be said of each phase, in their order.
    pub fn standings(&self) -> [Standing; 4] {
        Standing::in_order(self.phases)
    }

    /// Lays looks, oldest first, beside the list. They should be of one side of
    /// the plate and of one skill: a hitter who bats both ways has a result for
    /// each side.
    pub fn of(list: &CheckList, looks: &[Look]) -> Self {
        Self::settled_by(list, looks, REPEATED)
    }

    /// What one look by itself shows: one answer settles an item, as in
    /// [`screening`](crate::screening), here beside any list. Where to work should
    /// rest on several looks.
    pub fn of_one(list: &CheckList, look: Look) -> Self {
        Self::settled_by(list, &[look], ONE)
    }

    fn settled_by(list: &CheckList, looks: &[Look], needed: usize) -> Self {
        let of_item = |id: &&str| Evidence::of(id, looks, needed);
        let ids: Vec<&str> = list.items.iter().map(|item| item.id).collect();
        let evidence: Vec<Evidence> = ids.iter().map(of_item).collect();
        let state = |phase| {
            let mut of_phase = list.phase(phase).map(|(place, _)| evidence[place].state);
            phase_state(&mut of_phase)
        };
        let phases = [
            state(Phase::LaunchPosition),
            state(Phase::Load),
            state(Phase::FullSwing),
            state(Phase::Approach),
        ];
        let finding = finding(list, &evidence, phases, looks);
        Self {
            looks: looks.len(),
            evidence,
            phases,
            finding,
            repeated: needed == REPEATED,
        }
    }

    /// The items whose faults drill cards should answer, as places in the list:
    /// the repeated "not yet" of the result, or, as long as there is none,
    /// those seen once ("seen once" belongs beside such a card).
    pub fn to_work_on(&self) -> &[usize] {
        match &self.finding {
            Finding::WorkOn { items, .. } => items,
            Finding::CannotTellYet { not_yet_once, .. } => not_yet_once,
            Finding::LookAtApproach { not_yet, .. } => not_yet,
            Finding::StopAndRefer { .. } | Finding::SettleFirst { .. } | Finding::AllClear => &[],
        }
    }

    /// The result in one to three sentences.
    pub fn sentence(&self, list: &CheckList) -> String {
        let titles = |places: &[usize]| {
            listed(
                places
                    .iter()
                    .filter_map(|place| list.items.get(*place))
                    .map(|item| item.title)
                    .collect::<Vec<_>>()
                    .into_iter(),
            )
        };
        let name = |phase| list.skill.phase_in_words(phase);
        let seen = if self.repeated {
            ", seen repeatedly"
        } else {
            ""
        };
        match &self.finding {
            Finding::StopAndRefer { question } => question.if_not.to_owned(),
            Finding::WorkOn { phase, items } => format!(
                "Work on {}. Not yet{seen}: {}.",
                name(*phase),
                titles(items)
            ),
            Finding::CannotTellYet {
                phase,
                not_yet_once,
                look_at,
                waiting,
            } => {
                let mut text = if not_yet_once.is_empty() {
                    let look = match (self.looks, self.repeated) {
                        (0, _) => "First look",
                        (_, true) => "Look again",
                        (_, false) => "Still look",
                    };
                    format!(
                        "We cannot tell yet. {look} at {}: {}.",
                        name(*phase),
                        titles(look_at)
                    )
                } else {
                    format!(
                        "We cannot tell yet. Seen once as not yet in {}: {}. Look again.",
                        name(*phase),
                        titles(not_yet_once)
                    )
                };
                if let Some(later) = waiting {
                    text = format!("{text} What shows in {} waits until then.", name(*later));
                }
                text
            }
            Finding::SettleFirst { questions } => {
                let questions = listed(questions.iter().map(|question| question.title));
                format!(
                    "The first three phases are clear. Before the approach is judged, settle: {questions}."
                )
            }
            Finding::LookAtApproach { not_yet, look_at } => {
                let text = "The first three phases are clear: the trouble is likely approach or pitch selection.";
                if !not_yet.is_empty() {
                    format!("{text} Not yet{seen}: {}.", titles(not_yet))
                } else {
                    format!("{text} Look at: {}.", titles(look_at))
                }
            }
            Finding::AllClear if self.repeated => {
                "Everything was seen repeatedly and is good, the approach too.".to_owned()
            }
            Finding::AllClear => {
                "Everything was seen in this look and is good, the approach too.".to_owned()
            }
        }
    }
}

/// The state of a phase by those of its items; without items, nothing is told.
fn phase_state(items: &mut dyn Iterator<Item = ItemState>) -> PhaseState {
    let (mut any, mut all_good) = (false, true);
    let mut repeated = false;
    for state in items {
        any = true;
        all_good &= state == ItemState::Good;
        repeated |= state == ItemState::RepeatedNotYet;
    }
    if repeated {
        PhaseState::NeedsWork
    } else if any && all_good {
        PhaseState::Clear
    } else {
        PhaseState::CannotTell
    }
}

fn finding(
    list: &CheckList,
    evidence: &[Evidence],
    phases: [PhaseState; 4],
    looks: &[Look],
) -> Finding {
    let with = |phase, is: fn(ItemState) -> bool| -> Vec<usize> {
        let of_phase = list.phase(phase).map(|(place, _)| place);
        of_phase
            .filter(|place| is(evidence[*place].state))
            .collect()
    };
    let repeated = |state| state == ItemState::RepeatedNotYet;
    let unsettled = |state| !matches!(state, ItemState::Good | ItemState::RepeatedNotYet);

    let stop = BEFORE
        .iter()
        .find(|question| question.stops && latest_seen(question, looks) == Some(Answer::NotYet));
    if let Some(question) = stop {
        return Finding::StopAndRefer { question };
    }
    match order(phases) {
        Place::Work(phase) => Finding::WorkOn {
            phase,
            items: with(phase, repeated),
        },
        Place::CannotTell { phase, waiting } => Finding::CannotTellYet {
            phase,
            not_yet_once: with(phase, |state| state == ItemState::NotYetOnce),
            look_at: with(phase, unsettled),
            waiting,
        },
        Place::Approach => {
            let questions: Vec<_> = BEFORE
                .iter()
                .filter(|question| !is_settled(question, looks))
                .collect();
            if !questions.is_empty() {
                Finding::SettleFirst { questions }
            } else if phases[Phase::Approach.index()] == PhaseState::Clear {
                Finding::AllClear
            } else {
                Finding::LookAtApproach {
                    not_yet: with(Phase::Approach, repeated),
                    look_at: with(Phase::Approach, unsettled),
                }
            }
        }
    }
}

/// The latest answer to a question that says something: a stop is lifted by a
/// "yes" and by nothing less.
fn latest_seen(question: &Question, looks: &[Look]) -> Option<Answer> {
    let mut given = looks.iter().rev().flat_map(|look| look.iter().rev());
    given
        .find(|(id, answer)| *id == question.id && *answer != Answer::NotSeen)
        .map(|found| found.1)
}

/// Whether the "yes" to a question holds now.
fn is_settled(question: &Question, looks: &[Look]) -> bool {
    let mut answers = looks.iter().rev().map(|look| answered(look, question.id));
    let latest = if question.stands {
        answers.flatten().next()
    } else {
        answers.next().flatten()
    };
    latest == Some(Answer::Yes)
}
