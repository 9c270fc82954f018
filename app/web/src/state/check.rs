//! The swing check of the chosen hitter as the first page has it: the latest look at
//! the swing by this phone's own observer. Other skills are the book's.

use super::Desk;
use super::desk::code;
use super::looks::FIRST;
use super::names::check::{OBSERVER, SKILL};
use crate::device::database::{Change, Database, StorageError};
use coaching::check::Skill;
use coaching::screening::Screening;
use coaching::vocabulary::Answer;
use leptos::prelude::*;
use notebook::{Check, Head, Observation, RecordId, Stamp};
use std::collections::BTreeMap;
use std::sync::Arc;

/// How many of the latest looks are searched for one at the swing.
const FEW: u32 = 8;

/// One look at one hitter: the check and what was observed, in order.
#[derive(Debug, Clone, Default)]
pub struct Sheet {
    /// The check; none before the first answer.
    pub check: Option<Check>,
    observations: Vec<Observation>,
}

impl Sheet {
    /// The latest look at `hitter`, if it is among the latest few.
    ///
    /// # Errors
    /// What the storage says.
    pub async fn read(database: &Database, hitter: RecordId) -> Result<Self, StorageError> {
        let mut latest = Self::latest(database, hitter, FEW, 1).await?;
        Ok(latest.pop().unwrap_or_default())
    }

    /// Those among the latest `n` looks at `hitter` that are at the swing by the
    /// first observer, newest first, `most` of them: a bunt must not be read as a
    /// swing.
    ///
    /// # Errors
    /// What the storage says.
    pub async fn latest(
        database: &Database,
        hitter: RecordId,
        n: u32,
        most: usize,
    ) -> Result<Vec<Self>, StorageError> {
        let mut checks: Vec<Check> = database.latest(hitter, n).await?;
        let is = |check: &Check, name: &str, usual: &str| {
            let said = check.choices.get(name);
            said.is_none_or(|said| said.as_str() == usual)
        };
        checks.retain(|check| is(check, SKILL, Skill::Swing.id()) && is(check, OBSERVER, FIRST));
        checks.truncate(most);
        let mut sheets = Vec::with_capacity(checks.len());
        for check in checks {
            let observations = database.by_index("check", check.head.id).await?;
            sheets.push(Self {
                check: Some(check),
                observations,
            });
        }
        Ok(sheets)
    }

    /// The latest answer to an item.
    pub fn answer(&self, item: &str) -> Option<Answer> {
        self.observations
            .iter()
            .filter(|seen| seen.item.as_str() == item && !seen.head.is_removed())
            .max_by_key(|seen| seen.head.made)
            .and_then(|seen| Answer::from_id(seen.answer.as_str()))
    }

    /// What the answers say.
    pub fn screening(&self) -> Screening {
        let mut latest: Vec<(&str, Stamp, Answer)> = Vec::new();
        for seen in self.observations.iter().filter(|o| !o.head.is_removed()) {
            // An answer that only a newer version knows counts as not seen.
            let answer = Answer::from_id(seen.answer.as_str()).unwrap_or(Answer::NotSeen);
            let entry = (seen.item.as_str(), seen.head.made, answer);
            match latest.iter_mut().find(|(item, ..)| *item == entry.0) {
                Some(known) if known.1 < entry.1 => *known = entry,
                Some(_) => {}
                None => latest.push(entry),
            }
        }
        Screening::of(latest.into_iter().map(|(item, _, answer)| (item, answer)))
    }
}

impl Desk {
    /// Saves an answer to an item of the chosen hitter's look. The first answer
    /// also saves the look itself.
    pub fn answer(self, item: &'static str, answer: Answer) {
        let Some(hitter) = untrack(|| self.hitter()) else {
            return;
        };
        let check = self.sheet.with_untracked(|sheet| sheet.check.clone());
        let is_new = check.is_none();
        let Some(check) = check.or_else(|| {
            Some(Check {
                head: self.new_head()?,
                hitter: hitter.head.id,
                context: self.context(&hitter),
                choices: BTreeMap::new(),
            })
        }) else {
            return;
        };
        if is_new {
            // A second tap before the first is on disk belongs to the same look.
            self.sheet.update(|sheet| sheet.check = Some(check.clone()));
        }
        let Some(head) = self.new_head() else {
            return;
        };
        let seen = Arc::new(Observation {
            head,
            check: check.head.id,
            hitter: hitter.head.id,
            item: code(item),
            answer: code(answer.id()),
        });
        // The look is written with every answer until one is on disk; writing
        // it again changes nothing.
        let none_saved = self
            .sheet
            .with_untracked(|sheet| sheet.observations.is_empty());
        let mut changes: Vec<Arc<dyn Change>> = vec![seen.clone()];
        if none_saved {
            changes.push(Arc::new(check));
        }
        self.save(changes, move || {
            self.sheet.update(|sheet| {
                let here = sheet.check.as_ref().map(|check| check.head.id);
                if here == Some(seen.check) {
                    sheet.observations.push(Observation::clone(&seen));
                }
            });
        });
    }

    /// Begins a new look; the earlier ones are kept.
    pub fn new_look(self) {
        self.sheet.set(Sheet::default());
    }

    /// The latest looks at the chosen hitter, newest first: when and what was
    /// found.
    ///
    /// # Errors
    /// What the storage says.
    pub async fn earlier_looks(self, n: u32) -> Result<Vec<(Head, Screening)>, StorageError> {
        let Some(id) = self.chosen.get_untracked() else {
            return Ok(Vec::new());
        };
        let sheets = self
            .reading(async |database| Sheet::latest(database, id, n, n as usize).await)
            .await?;
        let described = sheets.iter().filter_map(|sheet| {
            let head = sheet.check.as_ref()?.head.clone();
            Some((head, sheet.screening()))
        });
        Ok(described.collect())
    }
}
