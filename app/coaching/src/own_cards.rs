//! A coach's own drill cards: what one may hold, with the limits of every text,
//! number and list. The file format is in [`card_file`](crate::card_file); the
//! starting set in [`cards`](crate::cards), what a form holds in [`Draft`].

mod draft;

pub use draft::{DRAFT_FIELDS, Draft};

use crate::cards::{Caution, Component, Dose, Equipment, needs};
use crate::check::View;
use crate::own::{LONGEST_ID, OWN, is_id, is_own_id};
use crate::text::{Limits, Unfit, tidied};
use crate::vocabulary::Environment;
use core::fmt;

/// A fault that an own card answers.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OwnAnswers {
    /// The id of an item, built-in, own, or of a version or coach unknown here.
    pub item: String,
    /// The fault, 0 to 60 characters.
    pub fault: String,
}

/// A drill card that a coach wrote. The fields are those of
/// [`Card`](crate::cards::Card).
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OwnCard {
    /// The stored id ([`is_own_id`]). It never changes meaning.
    pub id: String,
    /// The name.
    pub title: String,
    /// What it is for.
    pub purpose: String,
    /// The faults it answers; never empty.
    pub answers: Vec<OwnAnswers>,
    /// Where the ball comes from; empty when there is none.
    pub environments: Vec<Environment>,
    /// What it needs; what its environments need is added.
    pub equipment: Vec<Equipment>,
    /// The room it takes.
    pub space: String,
    /// How long it takes, minutes.
    pub minutes: u8,
    /// What to do, in order; never empty.
    pub steps: Vec<String>,
    /// What the hitter should feel.
    pub feel: String,
    /// From where to watch.
    pub view: View,
    /// What to watch.
    pub watch: String,
    /// How much of it.
    pub dose: Dose,
    /// The form to go back to.
    pub easier: String,
    /// The form to go on to.
    pub harder: String,
    /// What it does not train.
    pub not_trained: Vec<Component>,
    /// What keeps people safe, in the coach's words, beside what the card must
    /// say ([`cautions`](Self::cautions)).
    pub caution: String,
}

/// A field of an own card.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CardField {
    /// Its id.
    Id,
    /// The name.
    Title,
    /// What it is for.
    Purpose,
    /// The list of faults it answers.
    Answers,
    /// The item of one of those.
    AnswersItem,
    /// The fault of one of those.
    AnswersFault,
    /// The list of environments.
    Environments,
    /// The list of equipment.
    Equipment,
    /// The room it takes.
    Space,
    /// Minutes.
    Minutes,
    /// The list of steps.
    Steps,
    /// One step.
    Step,
    /// What to feel.
    Feel,
    /// From where to watch.
    View,
    /// What to watch.
    Watch,
    /// Sets.
    Sets,
    /// Reps.
    Reps,
    /// How hard.
    Effort,
    /// The easier form.
    Easier,
    /// The harder form.
    Harder,
    /// The list of what it does not train.
    NotTrained,
    /// The coach's words on safety.
    Caution,
}

impl CardField {
    /// Fewest and most: characters of a text, entries of a list, or the number
    /// itself.
    pub const fn range(self) -> (usize, usize) {
        match self {
            Self::Id | Self::AnswersItem => (1, LONGEST_ID),
            Self::Title => (1, 40),
            Self::Purpose | Self::Step => (1, 200),
            Self::Answers => (1, 20),
            Self::AnswersFault => (0, 60),
            Self::Environments => (0, Environment::ALL.len()),
            Self::Equipment => (0, Equipment::ALL.len()),
            Self::Space | Self::Feel => (0, 140),
            Self::Minutes => (1, 120),
            Self::Steps => (1, 12),
            Self::Watch | Self::Easier | Self::Harder => (0, 200),
            Self::Sets => (1, 20),
            Self::Reps => (1, 50),
            Self::NotTrained => (0, Component::ALL.len()),
            Self::Caution => (0, 300),
            Self::View | Self::Effort => (1, 1),
        }
    }

    /// What the range counts.
    const fn counted(self) -> &'static str {
        match self {
            Self::Answers
            | Self::Environments
            | Self::Equipment
            | Self::Steps
            | Self::NotTrained
            | Self::View
            | Self::Effort => " entries",
            Self::Minutes | Self::Sets | Self::Reps => "",
            _ => " characters",
        }
    }
}

impl fmt::Display for CardField {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Id => "Id",
            Self::Title => "Name",
            Self::Purpose => "Purpose",
            Self::Answers => "What it answers",
            Self::AnswersItem => "Item that it answers",
            Self::AnswersFault => "Fault that it answers",
            Self::Environments => "Where the ball comes from",
            Self::Equipment => "Equipment",
            Self::Space => "Space",
            Self::Minutes => "Minutes",
            Self::Steps => "Steps",
            Self::Step => "Step",
            Self::Feel => "What to feel",
            Self::View => "From where to watch",
            Self::Watch => "What to watch",
            Self::Sets => "Sets",
            Self::Reps => "Reps",
            Self::Effort => "Effort",
            Self::Easier => "Easier form",
            Self::Harder => "Harder form",
            Self::NotTrained => "What it does not train",
            Self::Caution => "Caution",
        })
    }
}

/// Why an own card was refused.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum CardError {
    /// A text, list or number outside its range.
    #[error("{field}: {least} to {most}{counted} are allowed, not {given}. What was there before is kept.", least = .field.range().0, most = .field.range().1, counted = .field.counted())]
    Range {
        /// Which field.
        field: CardField,
        /// What was given, counted as in [`CardField::range`].
        given: usize,
    },
    /// Few characters, with too many accents and joins on them.
    #[error("{field}: {least} to {most} characters are allowed, with up to {} letters, accents and signs in all, and {given} were given. What was there before is kept.", 10 * .field.range().1, least = .field.range().0, most = .field.range().1)]
    Marks {
        /// Which field.
        field: CardField,
        /// Code points given.
        given: usize,
    },
    /// No whole number.
    #[error("{field}: a whole number from {} to {} is needed. What was there before is kept.", .field.range().0, .field.range().1)]
    NotNumber {
        /// Which field.
        field: CardField,
    },
    /// An id that cannot be one.
    #[error(
        "{field}: up to {LONGEST_ID} of a-z, 0-9, hyphen and full stop are allowed (a card's own id begins with \"{OWN}\"), and something else was given. What was there before is kept."
    )]
    Id {
        /// Which field.
        field: CardField,
    },
}

impl CardError {
    /// The field that was refused.
    pub const fn field(self) -> CardField {
        match self {
            Self::Range { field, .. }
            | Self::Marks { field, .. }
            | Self::NotNumber { field }
            | Self::Id { field } => field,
        }
    }
}

impl OwnCard {
    /// The card with its texts tidied, its lists without doubles and with the
    /// equipment that its environments need, if everything is in range.
    pub fn checked(mut self) -> Result<Self, CardError> {
        if !is_own_id(&self.id) {
            return Err(CardError::Id {
                field: CardField::Id,
            });
        }
        for (field, text) in [
            (CardField::Title, &mut self.title),
            (CardField::Purpose, &mut self.purpose),
            (CardField::Space, &mut self.space),
            (CardField::Feel, &mut self.feel),
            (CardField::Watch, &mut self.watch),
            (CardField::Easier, &mut self.easier),
            (CardField::Harder, &mut self.harder),
            (CardField::Caution, &mut self.caution),
        ] {
            tidy(field, text)?;
        }
        for (field, number) in [
            (CardField::Minutes, self.minutes),
            (CardField::Sets, self.dose.sets),
            (CardField::Reps, self.dose.reps),
        ] {
            in_range(field, number.into())?;
        }
        in_range(CardField::Answers, self.answers.len())?;
        for answer in &mut self.answers {
            if !is_id(&answer.item) {
                return Err(CardError::Id {
                    field: CardField::AnswersItem,
                });
            }
            tidy(CardField::AnswersFault, &mut answer.fault)?;
        }
        in_range(CardField::Steps, self.steps.len())?;
        for step in &mut self.steps {
            tidy(CardField::Step, step)?;
        }
        once(&mut self.environments);
        for place in &self.environments {
            self.equipment.extend(needs::equipment(*place));
        }
        once(&mut self.equipment);
        once(&mut self.not_trained);
        Ok(self)
    }

    /// What the card must say by where its ball comes from and by its
    /// equipment; the coach's own words stand beside it.
    pub fn cautions(&self) -> Vec<Caution> {
        needs::all_cautions(&self.environments, &self.equipment)
    }
}

/// The number, if the field may have it.
pub(crate) fn in_range(field: CardField, given: usize) -> Result<usize, CardError> {
    let (least, most) = field.range();
    if (least..=most).contains(&given) {
        Ok(given)
    } else {
        Err(CardError::Range { field, given })
    }
}

fn tidy(field: CardField, text: &mut String) -> Result<(), CardError> {
    let (least, most) = field.range();
    let limits = Limits {
        least,
        most,
        most_code_points: 10 * most,
    };
    *text = tidied(text, limits).map_err(|unfit| match unfit {
        Unfit::Short { given } | Unfit::Long { given } => CardError::Range { field, given },
        Unfit::Marks { given } => CardError::Marks { field, given },
    })?;
    Ok(())
}

/// Leaves the first of each.
fn once<T: Copy + PartialEq>(entries: &mut Vec<T>) {
    let mut kept = Vec::new();
    for entry in entries.iter() {
        if !kept.contains(entry) {
            kept.push(*entry);
        }
    }
    *entries = kept;
}
