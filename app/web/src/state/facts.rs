//! What the coach keeps of a hitter, written fact by fact, each with its undo.

use super::desk::code;
use super::hitters::ARCHIVED;
use super::names::hitter as name;
use super::{Desk, is_archived, level_of};
use crate::device::database::Change;
use crate::words::by_name;
use coaching::Error;
use coaching::count::Target;
use coaching::names::hitter_name;
use coaching::roster::{AgeBand, FieldDistance, Targets, note};
use coaching::vocabulary::{Bats, Sport};
use flight::Level;
use leptos::prelude::*;
use notebook::{Hitter, Record, RecordId, StampClock, write_named};
use std::sync::Arc;

/// One fact of a hitter, as it is to stand.
#[derive(Debug, Clone, PartialEq)]
pub enum Fact {
    /// First name or initials, as typed.
    Name(String),
    /// Bats left, right or both.
    Bats(Bats),
    /// Level of play.
    Level(&'static Level),
    /// Age band; none when it is not said.
    Age(Option<AgeBand>),
    /// The coach's note, as typed.
    Note(String),
    /// Target count, s.
    Count(Option<f64>),
    /// Rubber to plate, ft.
    Distance(Option<f64>),
    /// Whether a guardian holds the notebook.
    Guardian(bool),
    /// Whether the hitter is out of the way.
    Archived(bool),
}

/// What stands where an age band was taken back.
const NOT_SAID: &str = "not-said";
/// What stands where a target was taken back: out of every range.
const NO_TARGET: f64 = 0.0;
const YES: &str = "yes";
const NO: &str = "no";
const ACTIVE: &str = "active";

impl Fact {
    /// The fact as it may be kept.
    fn checked(self) -> Result<Self, Error> {
        Ok(match self {
            Self::Name(typed) => Self::Name(hitter_name(&typed)?),
            Self::Note(typed) => Self::Note(note(&typed)?),
            Self::Count(given_s) => {
                Targets::new(given_s, None)?;
                self
            }
            Self::Distance(given_ft) => {
                Targets::new(None, given_ft)?;
                self
            }
            other => other,
        })
    }

    /// The same fact as a hitter's record has it now.
    fn of(&self, hitter: &Hitter) -> Self {
        match self {
            Self::Name(_) => Self::Name(hitter.name.get().clone()),
            Self::Bats(_) => Self::Bats(bats_of(hitter)),
            Self::Level(_) => Self::Level(level_of(hitter)),
            Self::Age(_) => Self::Age(age_band(hitter)),
            Self::Note(_) => Self::Note(note_of(hitter)),
            Self::Count(_) => Self::Count(targets_of(hitter).count.map(Target::seconds)),
            Self::Distance(_) => Self::Distance(targets_of(hitter).distance.map(FieldDistance::ft)),
            Self::Guardian(_) => Self::Guardian(is_guardian_held(hitter)),
            Self::Archived(_) => Self::Archived(is_archived(hitter)),
        }
    }

    fn write(&self, hitter: &mut Hitter, stamps: &StampClock) {
        let made = hitter.head.made;
        let mut choice = |of: &str, id: &str| {
            write_named(&mut hitter.choices, &code(of), code(id), made, stamps);
        };
        match self {
            Self::Age(band) => choice(name::AGE_BAND, band.map_or(NOT_SAID, AgeBand::id)),
            Self::Guardian(held) => choice(name::GUARDIAN, if *held { YES } else { NO }),
            Self::Archived(archived) => {
                choice(name::KEPT, if *archived { ARCHIVED } else { ACTIVE });
            }
            Self::Name(name) => {
                hitter.name.set(name.clone(), stamps);
            }
            Self::Bats(bats) => {
                hitter.bats.set(code(bats.id()), stamps);
            }
            Self::Level(level) => {
                hitter.sport.set(code(level.sport.id()), stamps);
                hitter.level.set(code(level.id), stamps);
            }
            Self::Note(note) => {
                let of = code(name::NOTE);
                write_named(&mut hitter.texts, &of, note.clone(), made, stamps);
            }
            Self::Count(target) | Self::Distance(target) => {
                let of = match self {
                    Self::Count(_) => name::COUNT,
                    _ => name::DISTANCE,
                };
                let target = target.unwrap_or(NO_TARGET);
                write_named(&mut hitter.numbers, &code(of), target, made, stamps);
            }
        }
    }

    /// What a note says once the fact stands.
    fn said(&self, hitter: &str) -> String {
        let what = match self {
            Self::Name(_) => return format!("The name is {hitter} now."),
            Self::Archived(true) => {
                return format!("{hitter} is archived: kept with everything, and out of the way.");
            }
            Self::Archived(false) => return format!("{hitter} is back on the roster."),
            Self::Bats(bats) => return format!("{hitter}: {}.", bats.name()),
            Self::Level(level) => return format!("{hitter}: {}.", level.name),
            Self::Age(Some(band)) => return format!("{hitter}: {}.", band.name()),
            Self::Age(None) => "age band taken out",
            Self::Note(_) => "note saved",
            Self::Count(None) => "target count taken out",
            Self::Count(_) => "target count saved",
            Self::Distance(None) => "field distance taken out",
            Self::Distance(_) => "field distance saved",
            Self::Guardian(true) => "a guardian holds the notebook",
            Self::Guardian(false) => "no guardian holds the notebook",
        };
        format!("{hitter}: {what}.")
    }
}

/// Which side the hitter bats.
pub fn bats_of(hitter: &Hitter) -> Bats {
    Bats::from_id(hitter.bats.get().as_str()).unwrap_or(Bats::Right)
}

/// The sport; baseball when only a newer version knows it.
pub fn sport_of(hitter: &Hitter) -> Sport {
    Sport::from_id(hitter.sport.get().as_str()).unwrap_or(Sport::Baseball)
}

/// The age band, if one is said.
pub fn age_band(hitter: &Hitter) -> Option<AgeBand> {
    AgeBand::from_id(hitter.choices.get(name::AGE_BAND)?.get().as_str())
}

/// Whether a guardian holds the notebook.
pub fn is_guardian_held(hitter: &Hitter) -> bool {
    let held = hitter.choices.get(name::GUARDIAN);
    held.is_some_and(|held| held.get().as_str() == YES)
}

/// The coach's note; empty when there is none.
pub fn note_of(hitter: &Hitter) -> String {
    let note = hitter.texts.get(name::NOTE);
    note.map_or_else(String::new, |note| note.get().clone())
}

/// What the hitter works toward; a number out of its range is none.
pub fn targets_of(hitter: &Hitter) -> Targets {
    let number = |of: &str| hitter.numbers.get(of).map(|number| *number.get());
    Targets {
        count: number(name::COUNT).and_then(|given_s| Target::new(given_s).ok()),
        distance: number(name::DISTANCE).and_then(|given_ft| FieldDistance::new(given_ft).ok()),
    }
}

impl Desk {
    /// Saves a fact of a hitter; a note says so and offers what was before.
    ///
    /// # Errors
    /// When it cannot be kept; nothing is changed then.
    pub fn set_fact(self, id: RecordId, fact: Fact) -> Result<(), Error> {
        let fact = fact.checked()?;
        let Some(hitter) = self.hitter_of(id) else {
            return Ok(());
        };
        let before = fact.of(&hitter);
        if before != fact {
            self.write_fact(hitter, &fact, Some(before));
        }
        Ok(())
    }

    fn hitter_of(self, id: RecordId) -> Option<Hitter> {
        self.hitters
            .with_untracked(|all| all.iter().find(|hitter| hitter.head.id == id).cloned())
    }

    fn write_fact(self, mut hitter: Hitter, fact: &Fact, before: Option<Fact>) {
        if self
            .with_clock(|stamps| fact.write(&mut hitter, stamps))
            .is_none()
        {
            return;
        }
        let id = hitter.head.id;
        let said = fact.said(hitter.name.get());
        let by_another_name = matches!(fact, Fact::Name(_));
        let written = Arc::new(hitter);
        let change: Arc<dyn Change> = written.clone();
        self.save(vec![change], move || {
            self.hitters.update(|all| {
                if let Some(known) = all.iter_mut().find(|known| known.head.id == id) {
                    known.merge(&written);
                }
                if by_another_name {
                    all.sort_by(|a, b| by_name(a.name.get(), b.name.get()));
                }
            });
            let undo = before.clone().map(|before| {
                let undo: Arc<dyn Fn() + Send + Sync> = Arc::new(move || {
                    if let Some(hitter) = self.hitter_of(id) {
                        self.write_fact(hitter, &before, None);
                    }
                });
                ("Undo", undo)
            });
            self.notes.say(said.clone(), undo);
        });
    }
}
