//! The file by which coaches share their own drill cards: JSON of our own,
//! with a version. Reading refuses what does not fit, with the card, the field
//! and the range; nothing of a refused file is taken. No storage here.

use crate::cards::{Component, Dose, Effort, Equipment};
use crate::check::View;
use crate::own_cards::{CardError, CardField, OwnAnswers, OwnCard, in_range};
use crate::vocabulary::Environment;
use serde_json::{Map, Value, json};

/// What the file says it is.
pub const KIND: &str = "stridebook-drill-cards";

/// The version that is written, and the newest that is read.
pub const VERSION: u64 = 1;

/// The most bytes of a file.
pub const MOST_BYTES: usize = 1_000_000;

/// The most cards of a file.
pub const MOST_CARDS: usize = 200;

/// Why a file was refused. Nothing of it is taken then.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum FileError {
    /// More than [`MOST_BYTES`].
    #[error(
        "File of cards: up to {MOST_BYTES} bytes are allowed, and {given} were given. Your cards stay as they were."
    )]
    TooLong {
        /// Bytes given.
        given: usize,
    },
    /// No JSON.
    #[error(
        "File of cards: it cannot be read from line {line}, column {column} on. Your cards stay as they were."
    )]
    NotJson {
        /// Line, from 1.
        line: usize,
        /// Column, from 1; 0 when not known.
        column: usize,
    },
    /// JSON, but no file of cards.
    #[error("File of cards: this is not one. Your cards stay as they were.")]
    NotCards,
    /// From a newer version of this app.
    #[error(
        "File of cards: it has version {given}, and this app reads up to {VERSION}. Your cards stay as they were; a newer app can read it."
    )]
    Newer {
        /// Its version.
        given: u64,
    },
    /// More than [`MOST_CARDS`].
    #[error(
        "File of cards: up to {MOST_CARDS} cards are allowed, and {given} were given. Your cards stay as they were."
    )]
    TooMany {
        /// Cards given.
        given: usize,
    },
    /// A field is not there, is of another kind, or has an entry that this
    /// version does not know.
    #[error(
        "Card {card} of the file, {field}: it is missing or holds something this app does not know. Your cards stay as they were."
    )]
    Field {
        /// Which card, from 1.
        card: usize,
        /// Which field.
        field: CardField,
    },
    /// A field is out of range.
    #[error("Card {card} of the file. {error} Nothing of the file was taken.")]
    Card {
        /// Which card, from 1.
        card: usize,
        /// What is wrong with it.
        error: CardError,
    },
    /// Two cards have one id.
    #[error(
        "Card {card} of the file, Id: another card of the file has the same. Your cards stay as they were."
    )]
    Twice {
        /// The second of the two, from 1.
        card: usize,
    },
}

/// The file of some cards, as text.
pub fn write(cards: &[OwnCard]) -> String {
    let cards: Vec<Value> = cards.iter().map(written).collect();
    json!({ "kind": KIND, "version": VERSION, "cards": cards }).to_string()
}

fn written(card: &OwnCard) -> Value {
    let mut fields = Map::new();
    for (name, text) in [
        ("id", card.id.as_str()),
        ("title", &card.title),
        ("purpose", &card.purpose),
        ("space", &card.space),
        ("feel", &card.feel),
        ("view", card.view.id()),
        ("watch", &card.watch),
        ("effort", card.dose.effort.id()),
        ("easier", &card.easier),
        ("harder", &card.harder),
        ("caution", &card.caution),
    ] {
        fields.insert(name.to_owned(), text.into());
    }
    for (name, number) in [
        ("minutes", card.minutes),
        ("sets", card.dose.sets),
        ("reps", card.dose.reps),
    ] {
        fields.insert(name.to_owned(), number.into());
    }
    let mut list = |name: &str, entries: &mut dyn Iterator<Item = &str>| {
        fields.insert(name.to_owned(), entries.collect());
    };
    list(
        "environments",
        &mut card.environments.iter().map(|entry| entry.id()),
    );
    list(
        "equipment",
        &mut card.equipment.iter().map(|entry| entry.id()),
    );
    list(
        "not-trained",
        &mut card.not_trained.iter().map(|entry| entry.id()),
    );
    list("steps", &mut card.steps.iter().map(String::as_str));
    let answers = card.answers.iter();
    let answers: Value = answers
        .map(|answer| json!({ "item": answer.item, "fault": answer.fault }))
        .collect();
    fields.insert("answers".to_owned(), answers);
    Value::Object(fields)
}

/// What becomes of a card that was read from a file, beside the cards that are
/// here already.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Arrival {
    /// No card has this id: it is taken.
    New,
    /// This very card is here: nothing is to be done.
    Same,
    /// Another form of it is here, at this place among those known: the coach
    /// chooses one, or keeps both. The file never overwrites by itself.
    Differs(usize),
}

impl Arrival {
    /// What becomes of `card` beside the cards `known` here.
    pub fn of<'a>(card: &OwnCard, known: impl IntoIterator<Item = &'a OwnCard>) -> Self {
        let mut known = known.into_iter();
        let mut found = None;
        let place = known.position(|one| {
            let is_it = one.id == card.id;
            found = is_it.then_some(one);
            is_it
        });
        match (place, found) {
            (Some(_), Some(one)) if one == card => Self::Same,
            (Some(place), _) => Self::Differs(place),
            (None, _) => Self::New,
        }
    }
}

/// The cards of a file as it lies on the phone; see [`read`]. A mark of byte
/// order, which some editors put before the text, is no fault.
pub fn read_bytes(bytes: &[u8]) -> Result<Vec<OwnCard>, FileError> {
    if bytes.len() > MOST_BYTES {
        return Err(FileError::TooLong { given: bytes.len() });
    }
    let text = core::str::from_utf8(bytes).map_err(|_| FileError::NotCards)?;
    read(text.trim_start_matches('\u{feff}'))
}

/// The cards of a file, each checked. What the file holds beyond the fields of
/// a card is not kept.
pub fn read(text: &str) -> Result<Vec<OwnCard>, FileError> {
    if text.len() > MOST_BYTES {
        return Err(FileError::TooLong { given: text.len() });
    }
    let file: Value = serde_json::from_str(text).map_err(|error| FileError::NotJson {
        line: error.line(),
        column: error.column(),
    })?;
    if file.get("kind").and_then(Value::as_str) != Some(KIND) {
        return Err(FileError::NotCards);
    }
    match file.get("version").and_then(Value::as_u64) {
        Some(1..=VERSION) => {}
        Some(given) if given > VERSION => return Err(FileError::Newer { given }),
        _ => return Err(FileError::NotCards),
    }
    let Some(given) = file.get("cards").and_then(Value::as_array) else {
        return Err(FileError::NotCards);
    };
    if given.len() > MOST_CARDS {
        return Err(FileError::TooMany { given: given.len() });
    }
    let mut cards: Vec<OwnCard> = Vec::with_capacity(given.len());
    for (place, value) in given.iter().enumerate() {
        let card = place + 1;
        let fields = value.as_object().ok_or(FileError::NotCards)?;
        let mut given = Fields {
            fields,
            card,
            refused: None,
        };
        let read = given.read();
        if let Some(refused) = given.refused {
            return Err(refused);
        }
        let read = read
            .checked()
            .map_err(|error| FileError::Card { card, error })?;
        if cards.iter().any(|known| known.id == read.id) {
            return Err(FileError::Twice { card });
        }
        cards.push(read);
    }
    Ok(cards)
}

/// The fields of one card of a file.
struct Fields<'a> {
    fields: &'a Map<String, Value>,
    card: usize,
    /// The first refusal. Kept here and not handed up from each field, which
    /// would clean up after every one of them in the client's code.
    refused: Option<FileError>,
}

impl<'a> Fields<'a> {
    /// The card as far as it can be read; only good when nothing was refused.
    fn read(&mut self) -> OwnCard {
        use CardField as F;
        OwnCard {
            id: self.text("id", F::Id),
            title: self.text("title", F::Title),
            purpose: self.text("purpose", F::Purpose),
            answers: self.entries("answers", F::Answers, |entry| {
                Some(OwnAnswers {
                    item: entry.get("item")?.as_str()?.to_owned(),
                    fault: entry.get("fault")?.as_str()?.to_owned(),
                })
            }),
            environments: self.entries("environments", F::Environments, |entry| {
                Environment::from_id(entry.as_str()?)
            }),
            equipment: self.entries("equipment", F::Equipment, |entry| {
                Equipment::from_id(entry.as_str()?)
            }),
            space: self.text("space", F::Space),
            minutes: self.number("minutes", F::Minutes),
            steps: self.entries("steps", F::Steps, |entry| Some(entry.as_str()?.to_owned())),
            feel: self.text("feel", F::Feel),
            view: self.known("view", F::View, View::from_id, View::OpenSide),
            watch: self.text("watch", F::Watch),
            dose: Dose {
                sets: self.number("sets", F::Sets),
                reps: self.number("reps", F::Reps),
                effort: self.known("effort", F::Effort, Effort::from_id, Effort::Easy),
            },
            easier: self.text("easier", F::Easier),
            harder: self.text("harder", F::Harder),
            not_trained: self.entries("not-trained", F::NotTrained, |entry| {
                Component::from_id(entry.as_str()?)
            }),
            caution: self.text("caution", F::Caution),
        }
    }

    fn refuse(&mut self, error: FileError) {
        self.refused.get_or_insert(error);
    }

    /// What a field holds, by `take`; refused when there is none or it does not
    /// fit.
    fn value<T>(
        &mut self,
        name: &str,
        field: CardField,
        take: impl Fn(&'a Value) -> Option<T>,
    ) -> Option<T> {
        let taken = self.fields.get(name).and_then(take);
        if taken.is_none() {
            let card = self.card;
            self.refuse(FileError::Field { card, field });
        }
        taken
    }

    fn text(&mut self, name: &str, field: CardField) -> String {
        let text = self.value(name, field, Value::as_str);
        text.unwrap_or_default().to_owned()
    }

    fn in_range(&mut self, field: CardField, given: usize) -> bool {
        let card = self.card;
        in_range(field, given)
            .map_err(|error| self.refuse(FileError::Card { card, error }))
            .is_ok()
    }

    fn number(&mut self, name: &str, field: CardField) -> u8 {
        let given = self.value(name, field, Value::as_u64).unwrap_or_default();
        let given = usize::try_from(given).unwrap_or(usize::MAX);
        if self.in_range(field, given) {
            // Every range ends far below 256.
            given as u8
        } else {
            0
        }
    }

    fn known<T>(
        &mut self,
        name: &str,
        field: CardField,
        from_id: fn(&str) -> Option<T>,
        instead: T,
    ) -> T {
        self.value(name, field, |value| from_id(value.as_str()?))
            .unwrap_or(instead)
    }

    fn entries<T>(&mut self, name: &str, field: CardField, one: fn(&Value) -> Option<T>) -> Vec<T> {
        let Some(entries) = self.value(name, field, Value::as_array) else {
            return Vec::new();
        };
        if !self.in_range(field, entries.len()) {
            return Vec::new();
        }
        let read: Vec<T> = entries.iter().filter_map(one).collect();
        if read.len() < entries.len() {
            let card = self.card;
            self.refuse(FileError::Field { card, field });
        }
        read
    }
}
