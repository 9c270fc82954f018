//! An own card while it is written: what stands in every field of the form, as
//! typed, so that nothing typed is lost before the card can be saved. No
//! storage here.

use super::{CardError, CardField, OwnAnswers, OwnCard, in_range, tidy};
use crate::cards::{Component, Dose, Effort, Equipment};
use crate::check::View;
use crate::vocabulary::Environment;
use serde_json::Value;

/// The fields of a draft, in the order of the form. The order is that of the
/// stored form too: fields are only added at the end.
pub const DRAFT_FIELDS: &[CardField] = &[
    CardField::Id,
    CardField::Title,
    CardField::Purpose,
    CardField::Answers,
    CardField::Environments,
    CardField::Equipment,
    CardField::Space,
    CardField::Minutes,
    CardField::Steps,
    CardField::Feel,
    CardField::View,
    CardField::Watch,
    CardField::Sets,
    CardField::Reps,
    CardField::Effort,
    CardField::Easier,
    CardField::Harder,
    CardField::NotTrained,
    CardField::Caution,
];

/// What stands in the form. Each field is one text:
/// - the id is empty for a new card;
/// - lists hold ids parted by blanks;
/// - steps are one a line;
/// - what it answers is one item a line, its fault after a tab;
/// - numbers stand as typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Draft(Vec<String>);

impl Draft {
    /// An empty form, with a usual dose.
    pub fn new() -> Self {
        let mut draft = Self(vec![String::new(); DRAFT_FIELDS.len()]);
        for (field, text) in [
            (CardField::Minutes, "10"),
            (CardField::Sets, "3"),
            (CardField::Reps, "5"),
            (CardField::View, View::OpenSide.id()),
            (CardField::Effort, Effort::Easy.id()),
        ] {
            draft.set(field, text);
        }
        draft
    }

    /// The form of a card that is to be edited.
    pub fn of(card: &OwnCard) -> Self {
        let mut draft = Self::new();
        for (field, text) in [
            (CardField::Id, card.id.as_str()),
            (CardField::Title, &card.title),
            (CardField::Purpose, &card.purpose),
            (CardField::Space, &card.space),
            (CardField::Feel, &card.feel),
            (CardField::View, card.view.id()),
            (CardField::Watch, &card.watch),
            (CardField::Effort, card.dose.effort.id()),
            (CardField::Easier, &card.easier),
            (CardField::Harder, &card.harder),
            (CardField::Caution, &card.caution),
            (CardField::Minutes, &card.minutes.to_string()),
            (CardField::Sets, &card.dose.sets.to_string()),
            (CardField::Reps, &card.dose.reps.to_string()),
            (CardField::Steps, &card.steps.join("\n")),
        ] {
            draft.set(field, text);
        }
        // A form has each item once; of a file's repeats the first stands.
        for answer in &card.answers {
            if !draft
                .entries(CardField::Answers)
                .contains(&answer.item.as_str())
            {
                draft.toggle(CardField::Answers, &answer.item);
                draft.set_fault(&answer.item, &answer.fault);
            }
        }
        for place in &card.environments {
            draft.toggle(CardField::Environments, place.id());
        }
        for thing in &card.equipment {
            draft.toggle(CardField::Equipment, thing.id());
        }
        for part in &card.not_trained {
            draft.toggle(CardField::NotTrained, part.id());
        }
        draft
    }

    /// What stands in a field; empty for a field that no form has.
    pub fn get(&self, field: CardField) -> &str {
        place(field)
            .and_then(|at| self.0.get(at))
            .map_or("", |t| t.as_str())
    }

    /// Writes into a field.
    pub fn set(&mut self, field: CardField, text: &str) {
        if let Some(stands) = place(field).and_then(|at| self.0.get_mut(at)) {
            text.clone_into(stands);
        }
    }

    /// The entries of a list: ids, or for [`CardField::Answers`] the items.
    pub fn entries(&self, field: CardField) -> Vec<&str> {
        if field == CardField::Answers {
            self.answers().into_iter().map(|(item, _)| item).collect()
        } else {
            self.get(field)
                .split(' ')
                .filter(|id| !id.is_empty())
                .collect()
        }
    }

    /// Puts an entry at the end of a list, or takes it out.
    pub fn toggle(&mut self, field: CardField, id: &str) {
        let (parted, name): (char, fn(&str) -> &str) = match field {
            CardField::Answers => ('\n', |line| line.split('\t').next().unwrap_or_default()),
            _ => (' ', |entry| entry),
        };
        let before = self.get(field);
        let mut entries: Vec<&str> = before.split(parted).filter(|e| !e.is_empty()).collect();
        let held = entries.len();
        entries.retain(|entry| name(entry) != id);
        if entries.len() == held {
            entries.push(id);
        }
        let text = entries.join(if parted == '\n' { "\n" } else { " " });
        self.set(field, &text);
    }

    /// The items it answers, each with its fault.
    pub fn answers(&self) -> Vec<(&str, &str)> {
        let lines = self.get(CardField::Answers).split('\n');
        lines
            .filter(|line| !line.is_empty())
            .map(|line| line.split_once('\t').unwrap_or((line, "")))
            .collect()
    }

    /// Writes the fault of an item that it answers.
    pub fn set_fault(&mut self, item: &str, fault: &str) {
        let fault: String = fault
            .chars()
            .map(|c| if matches!(c, '\t' | '\n') { ' ' } else { c })
            .collect();
        let mut text = String::new();
        for (known, before) in self.answers() {
            let fault = if known == item { &fault } else { before };
            text.push_str(known);
            text.push('\t');
            text.push_str(fault);
            text.push('\n');
        }
        self.set(CardField::Answers, &text);
    }

    /// What is wrong with one field as it stands, for the moment in which it is
    /// left. Lists and the id are checked with the whole card.
    pub fn check(&self, field: CardField) -> Result<(), CardError> {
        match field {
            CardField::Minutes | CardField::Sets | CardField::Reps => {
                number(field, self.get(field)).map(|_| ())
            }
            CardField::Steps => self.steps().map(|_| ()),
            CardField::Answers => {
                for (_, fault) in self.answers() {
                    tidy(CardField::AnswersFault, &mut fault.to_owned())?;
                }
                in_range(field, self.answers().len()).map(|_| ())
            }
            CardField::Title
            | CardField::Purpose
            | CardField::Space
            | CardField::Feel
            | CardField::Watch
            | CardField::Easier
            | CardField::Harder
            | CardField::Caution => tidy(field, &mut self.get(field).to_owned()),
            _ => Ok(()),
        }
    }

    /// The lines that show something; too many are refused unread.
    fn steps(&self) -> Result<Vec<String>, CardError> {
        let lines = self.get(CardField::Steps).lines();
        let mut steps: Vec<String> = lines
            .filter(|line| !line.trim().is_empty())
            .map(str::to_owned)
            .collect();
        in_range(CardField::Steps, steps.len())?;
        for step in &mut steps {
            tidy(CardField::Step, step)?;
        }
        Ok(steps)
    }

    /// The card that this form describes, with `id`, or the first field of the
    /// form that is refused.
    pub fn card(&self, id: &str) -> Result<OwnCard, CardError> {
        for field in DRAFT_FIELDS {
            self.check(*field)?;
        }
        let text = |field| self.get(field).to_owned();
        let list = |field| self.entries(field).into_iter();
        OwnCard {
            id: id.to_owned(),
            title: text(CardField::Title),
            purpose: text(CardField::Purpose),
            answers: self
                .answers()
                .into_iter()
                .map(|(item, fault)| OwnAnswers {
                    item: item.to_owned(),
                    fault: fault.to_owned(),
                })
                .collect(),
            environments: list(CardField::Environments)
                .filter_map(Environment::from_id)
                .collect(),
            equipment: list(CardField::Equipment)
                .filter_map(Equipment::from_id)
                .collect(),
            space: text(CardField::Space),
            minutes: number(CardField::Minutes, self.get(CardField::Minutes))?,
            steps: self.steps()?,
            feel: text(CardField::Feel),
            view: View::from_id(self.get(CardField::View)).unwrap_or(View::OpenSide),
            watch: text(CardField::Watch),
            dose: Dose {
                sets: number(CardField::Sets, self.get(CardField::Sets))?,
                reps: number(CardField::Reps, self.get(CardField::Reps))?,
                effort: Effort::from_id(self.get(CardField::Effort)).unwrap_or(Effort::Easy),
            },
            easier: text(CardField::Easier),
            harder: text(CardField::Harder),
            not_trained: list(CardField::NotTrained)
                .filter_map(Component::from_id)
                .collect(),
            caution: text(CardField::Caution),
        }
        .checked()
    }

    /// The draft as a text to keep.
    pub fn kept(&self) -> String {
        Value::from(self.0.clone()).to_string()
    }

    /// The draft of a kept text; `None` when it is none.
    pub fn from_kept(text: &str) -> Option<Self> {
        let value: Value = serde_json::from_str(text).ok()?;
        let mut draft = Self::new();
        let texts = value.as_array()?;
        for (field, text) in DRAFT_FIELDS.iter().zip(texts) {
            draft.set(*field, text.as_str()?);
        }
        (!texts.is_empty()).then_some(draft)
    }
}

impl Default for Draft {
    fn default() -> Self {
        Self::new()
    }
}

fn place(field: CardField) -> Option<usize> {
    DRAFT_FIELDS.iter().position(|known| *known == field)
}

/// A whole number as typed.
fn number(field: CardField, typed: &str) -> Result<u8, CardError> {
    let digits = typed.trim().as_bytes();
    if digits.is_empty() || digits.len() > 4 || !digits.iter().all(u8::is_ascii_digit) {
        return Err(CardError::NotNumber { field });
    }
    let given = digits
        .iter()
        .fold(0, |sum, digit| 10 * sum + usize::from(digit - b'0'));
    // Every range ends far below 256.
    in_range(field, given).map(|given| given as u8)
}
