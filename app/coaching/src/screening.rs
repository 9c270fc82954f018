//! The order rule of the swing check: from answers to the state of each phase,
//! to one finding. No choice among several answers to one item here (the
//! caller brings the latest) and no drill cards.
//!
//! The rule:
//! - A phase **needs work** when at least one of its items is "not yet".
//! - A phase is **clear** when every one of its items is "yes".
//! - Otherwise **we cannot tell**: "not seen" and no answer are never good.
//! - Pain stops everything. Else the first of phases 1 to 3 that is not clear
//!   is the finding: where to work, or what to look at before anything later
//!   can be judged, whatever a later phase shows.
//! - With phases 1 to 3 clear, the four questions before the first phase must
//!   all be "yes" before the trouble is called likely approach or anything is called
//!   clear. Then the approach is looked at, and with it clear all is clear.
//!
//! So [`Finding::AllClear`] means that everything was asked and everything was
//! "yes", and taking an answer away can never lead to it.

use crate::check::{BEFORE, ITEMS, Item, Phase, Question, item};
use crate::order::{Place, listed, order};
use crate::own::is_own;
use crate::vocabulary::Answer;

pub use crate::order::{PhaseState, Standing};

/// One phase: how many items have which answer, and what follows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PhaseResult {
    /// The phase.
    pub phase: Phase,
    /// What the answers say of it.
    pub state: PhaseState,
    /// Items seen and good.
    pub yes: usize,
    /// Items seen and not good yet.
    pub not_yet: usize,
    /// Items that could not be seen.
    pub not_seen: usize,
    /// Items without an answer.
    pub not_answered: usize,
}

impl PhaseResult {
    /// Items of this phase.
    pub const fn items(&self) -> usize {
        self.yes + self.not_yet + self.not_seen + self.not_answered
    }

    /// Items with an answer, "not seen" among them.
    pub const fn answered(&self) -> usize {
        self.yes + self.not_yet + self.not_seen
    }
}

/// What a check says.
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
        /// Its items that are "not yet"; never empty.
        items: Vec<&'static Item>,
    },
    /// The earliest phase that is not clear cannot be judged yet.
    CannotTellYet {
        /// That phase, one of the first three.
        phase: Phase,
        /// Its items to look at; never empty.
        look_at: Vec<&'static Item>,
        /// The earliest later phase with a "not yet", which has to wait.
        waiting: Option<Phase>,
    },
    /// Phases 1 to 3 are clear, and a question from before them is not "yes".
    SettleFirst {
        /// Those questions, answered "not yet" or not answered; never empty.
        questions: Vec<&'static Question>,
    },
    /// Phases 1 to 3 are clear: the trouble is likely approach or pitch selection.
    LookAtApproach {
        /// Items of the approach that are "not yet".
        not_yet: Vec<&'static Item>,
        /// Items of the approach to look at.
        look_at: Vec<&'static Item>,
    },
    /// Everything was seen and is good.
    AllClear,
}

impl Finding {
    /// The finding in one or two sentences.
    pub fn sentence(&self) -> String {
        match self {
            Self::StopAndRefer { question } => question.if_not.to_owned(),
            Self::WorkOn { phase, items } => {
                format!("Work on {}. Not yet: {}.", phase.in_words(), titles(items))
            }
            Self::CannotTellYet {
                phase,
                look_at,
                waiting,
            } => {
                let still = if look_at.len() == phase.items().count() {
                    "First look"
                } else {
                    "Still look"
                };
                let mut text = format!(
                    "We cannot tell yet. {still} at {}: {}.",
                    phase.in_words(),
                    titles(look_at)
                );
                if let Some(later) = waiting {
                    text.push_str(" What shows in ");
                    text.push_str(later.in_words());
                    text.push_str(" waits until then.");
                }
                text
            }
            Self::SettleFirst { questions } => {
                let questions = listed(questions.iter().map(|question| question.title));
                format!("The swing is clear. Before the approach is judged, settle: {questions}.")
            }
            Self::LookAtApproach { not_yet, look_at } => {
                let mut text =
                    "The swing is clear: the trouble is likely approach or pitch selection."
                        .to_owned();
                if !not_yet.is_empty() {
                    text = format!("{text} Not yet: {}.", titles(not_yet));
                } else if !look_at.is_empty() {
                    text = format!("{text} Look at: {}.", titles(look_at));
                }
                text
            }
            Self::AllClear => "Everything was seen and is good, the approach too.".to_owned(),
        }
    }

    /// The finding for a small card, at most 40 characters.
    pub const fn short(&self) -> &'static str {
        match self {
            Self::StopAndRefer { .. } => "Stop: refer to licensed care",
            Self::WorkOn { phase, .. } => match phase {
                Phase::LaunchPosition => "Work on the launch position",
                Phase::Load => "Work on the load and forward move",
                Phase::FullSwing => "Work on the full swing",
                Phase::Approach => "Work on the approach",
            },
            Self::CannotTellYet { phase, .. } => match phase {
                Phase::LaunchPosition => "Cannot tell yet: see the launch position",
                Phase::Load => "Cannot tell yet: see the load",
                Phase::FullSwing => "Cannot tell yet: see the full swing",
                Phase::Approach => "Cannot tell yet: see the approach",
            },
            Self::SettleFirst { .. } => "Swing clear: settle the questions first",
            Self::LookAtApproach { .. } => "Swing clear: look at the approach",
            Self::AllClear => "All clear",
        }
    }
}

/// Everything that a set of answers says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Screening {
    /// The phases in order.
    pub phases: [PhaseResult; 4],
    /// What to do now.
    pub finding: Finding,
    /// Questions from before the first phase that were answered "not yet": show
    /// what each says to do, whatever the finding.
    pub before_not_yet: Vec<&'static Question>,
    /// Answers whose id is no item or question of this version. They count for
    /// nothing here. Answers to the slap, the bunt and a coach's own items do
    /// not count here either, and are not told.
    pub not_known: usize,
    next_question: Option<&'static Question>,
    next_item: Option<&'static Item>,
}

impl Screening {
    /// Screens the latest answer of each item and question, by id. Should an id
    /// come twice, the later one counts.
    pub fn of<'a>(answers: impl IntoIterator<Item = (&'a str, Answer)>) -> Self {
        let sheet = Sheet::of(answers);
        let phases = [
            sheet.phase(Phase::LaunchPosition),
            sheet.phase(Phase::Load),
            sheet.phase(Phase::FullSwing),
            sheet.phase(Phase::Approach),
        ];
        Self {
            finding: sheet.finding(&phases),
            phases,
            before_not_yet: sheet.questions(|answer| answer == Some(Answer::NotYet)),
            next_question: sheet.questions(|answer| answer.is_none()).first().copied(),
            next_item: Phase::ALL.iter().find_map(|phase| {
                sheet
                    .items(*phase, |answer| answer.is_none())
                    .first()
                    .copied()
            }),
            not_known: sheet.not_known,
        }
    }

    /// The phase that the check is at: the first that is not clear, or the last
    /// when all are.
    pub fn current_phase(&self) -> Phase {
        self.phases
            .iter()
            .find(|result| result.state != PhaseState::Clear)
            .map_or(Phase::Approach, |result| result.phase)
    }

    /// The result of one phase.
    pub fn phase(&self, phase: Phase) -> &PhaseResult {
        &self.phases[phase.index()]
    }

    /// What may be said of each phase, in their order.
    pub fn standings(&self) -> [Standing; 4] {
        Standing::in_order(self.phases.each_ref().map(|result| result.state))
    }

    /// The first question before the first phase that has no answer.
    pub fn next_question(&self) -> Option<&'static Question> {
        self.next_question
    }

    /// The first item without an answer, in the order of the phases.
    pub fn next_item(&self) -> Option<&'static Item> {
        self.next_item
    }
}

/// The answers laid beside the items and questions.
struct Sheet {
    before: [Option<Answer>; BEFORE.len()],
    items: [Option<Answer>; ITEMS.len()],
    not_known: usize,
}

impl Sheet {
    fn of<'a>(answers: impl IntoIterator<Item = (&'a str, Answer)>) -> Self {
        let mut sheet = Self {
            before: [None; BEFORE.len()],
            items: [None; ITEMS.len()],
            not_known: 0,
        };
        for (id, answer) in answers {
            if let Some(place) = ITEMS.iter().position(|item| item.id == id) {
                sheet.items[place] = Some(answer);
            } else if let Some(place) = BEFORE.iter().position(|question| question.id == id) {
                sheet.before[place] = Some(answer);
            } else if !is_own(id) && item(id).is_none() {
                sheet.not_known += 1;
            }
        }
        sheet
    }

    /// The items of a phase whose answer is as asked.
    fn items(&self, phase: Phase, is: impl Fn(Option<Answer>) -> bool) -> Vec<&'static Item> {
        ITEMS
            .iter()
            .zip(self.items)
            .filter(|(item, answer)| item.phase == phase && is(*answer))
            .map(|(item, _)| item)
            .collect()
    }

    /// The questions whose answer is as asked.
    fn questions(&self, is: impl Fn(Option<Answer>) -> bool) -> Vec<&'static Question> {
        BEFORE
            .iter()
            .zip(self.before)
            .filter(|(_, answer)| is(*answer))
            .map(|(question, _)| question)
            .collect()
    }

    fn phase(&self, phase: Phase) -> PhaseResult {
        let count = |answer| self.items(phase, |given| given == answer).len();
        let mut result = PhaseResult {
            phase,
            state: PhaseState::CannotTell,
            yes: count(Some(Answer::Yes)),
            not_yet: count(Some(Answer::NotYet)),
            not_seen: count(Some(Answer::NotSeen)),
            not_answered: count(None),
        };
        if result.not_yet > 0 {
            result.state = PhaseState::NeedsWork;
        } else if result.yes > 0 && result.yes == result.items() {
            result.state = PhaseState::Clear;
        }
        result
    }

    fn finding(&self, phases: &[PhaseResult; 4]) -> Finding {
        let not_yet = |phase| self.items(phase, |answer| answer == Some(Answer::NotYet));
        let look_at = |phase| {
            self.items(phase, |answer| {
                matches!(answer, None | Some(Answer::NotSeen))
            })
        };

        let stop = BEFORE
            .iter()
            .zip(self.before)
            .find(|(question, answer)| question.stops && *answer == Some(Answer::NotYet));
        if let Some((question, _)) = stop {
            return Finding::StopAndRefer { question };
        }

        let approach = match order(phases.map(|result| result.state)) {
            Place::Work(phase) => {
                return Finding::WorkOn {
                    phase,
                    items: not_yet(phase),
                };
            }
            Place::CannotTell { phase, waiting } => {
                return Finding::CannotTellYet {
                    phase,
                    look_at: look_at(phase),
                    waiting,
                };
            }
            Place::Approach => &phases[Phase::Approach.index()],
        };

        let unsettled = self.questions(|answer| answer != Some(Answer::Yes));
        if !unsettled.is_empty() {
            return Finding::SettleFirst {
                questions: unsettled,
            };
        }
        if approach.state == PhaseState::Clear {
            Finding::AllClear
        } else {
            Finding::LookAtApproach {
                not_yet: not_yet(approach.phase),
                look_at: look_at(approach.phase),
            }
        }
    }
}

/// Titles for a sentence: the first two, and how many more.
fn titles(items: &[&'static Item]) -> String {
    listed(items.iter().map(|item| item.title))
}
