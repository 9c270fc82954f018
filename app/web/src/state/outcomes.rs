//! What came of drill cards with a hitter, and what the latest looks found for
//! cards to answer.

use super::desk::code;
use super::{Desk, Sheet};
use crate::device::database::{Change, StorageError};
use coaching::check::{BEFORE, Skill};
use coaching::checklist::CheckList;
use coaching::looks::{Look, Looks};
use coaching::prescription::Outcome as Came;
use coaching::vocabulary::{Answer, Side};
use leptos::prelude::*;
use notebook::{Code, Outcome, RecordId};
use std::sync::Arc;

/// How many of the latest looks are read. An item stands on its last three
/// answers; not every look asks every item.
const LOOKS: u32 = 10;

/// How many of a hitter's latest outcomes are read.
const OUTCOMES: u32 = 500;

/// What the latest looks at one hitter say, and what came of cards so far.
#[derive(Debug, Clone)]
pub struct Found {
    /// The hitter.
    pub hitter: RecordId,
    /// The side of the plate whose looks these are.
    pub side: Side,
    /// Each skill that was looked at, with what was found; the swing always.
    pub skills: Vec<(Skill, Looks)>,
    /// What came of cards, oldest first.
    pub history: Vec<Outcome>,
}

impl Found {
    /// The items whose faults cards should answer, the first to work on first,
    /// and whether it was seen repeatedly.
    pub fn faults(&self) -> Vec<&'static str> {
        let of_skill = |(skill, looks): &(Skill, Looks)| {
            let items = CheckList::built_in(*skill).items;
            let places = looks.to_work_on().iter();
            places.map(|place| items[*place].id).collect::<Vec<_>>()
        };
        self.skills.iter().flat_map(of_skill).collect()
    }

    /// Card and outcome, oldest first, as far as this version knows them.
    pub fn came(&self) -> Vec<(&str, Came)> {
        let known = |one: &Outcome| Came::from_id(one.outcome.as_str());
        let history = self.history.iter();
        history
            .filter_map(|one| Some((one.card.as_str(), known(one)?)))
            .collect()
    }
}

/// The answers of one look to the items of a skill and to the questions before
/// it. A look from the other side of the plate says nothing of the items; pain
/// is pain on both sides.
fn answers(sheet: &Sheet, list: &CheckList<'static>, side: Side) -> Vec<(&'static str, Answer)> {
    let this_side = sheet
        .check
        .as_ref()
        .is_some_and(|check| check.context.side.as_str() == side.id());
    let items = list.items.iter().map(|item| item.id);
    let items = items.filter(|_| this_side);
    let before = BEFORE.iter().map(|question| question.id);
    before
        .chain(items)
        .filter_map(|id| Some((id, sheet.answer(id)?)))
        .collect()
}

/// What the looks, newest first, say of a skill; `None` when they say nothing of
/// it.
fn looks_of(sheets: &[Sheet], skill: Skill, side: Side) -> Option<Looks> {
    let list = CheckList::built_in(skill);
    let given: Vec<Vec<(&str, Answer)>> = sheets
        .iter()
        .rev()
        .map(|sheet| answers(sheet, &list, side))
        .filter(|answers| !answers.is_empty())
        .collect();
    let is_item = |id: &str| list.items.iter().any(|item| item.id == id);
    let any = given.iter().flatten().any(|(id, _)| is_item(id));
    let given: Vec<Look> = given.iter().map(Vec::as_slice).collect();
    (any || skill == Skill::Swing).then(|| Looks::of(&list, &given))
}

impl Desk {
    /// What the latest looks at a hitter from one side say, and what came of
    /// cards.
    ///
    /// # Errors
    /// What the storage says.
    pub async fn found(self, hitter: RecordId, side: Side) -> Result<Found, StorageError> {
        self.reading(async |database| {
            let mut sheets = Sheet::latest(database, hitter, LOOKS).await?;
            sheets.retain(|sheet| {
                let check = sheet.check.as_ref();
                check.is_some_and(|check| !check.head.is_removed())
            });
            let skills = Skill::ALL.iter().filter_map(|skill| {
                let looks = looks_of(&sheets, *skill, side)?;
                Some((*skill, looks))
            });
            let skills = skills.collect();
            let mut history: Vec<Outcome> = database.latest(hitter, OUTCOMES).await?;
            history.retain(|one| !one.head.is_removed());
            history.sort_unstable_by_key(|one| one.head.made);
            Ok(Found {
                hitter,
                side,
                skills,
                history,
            })
        })
        .await
    }

    /// Saves what came of a card with the chosen hitter. A note offers to take
    /// it back; `then` runs after either. (No `Callback`: it would be gone with
    /// the button that made it, and the note outlives that.)
    pub fn record_outcome(
        self,
        card: &str,
        title: &str,
        item: Option<&str>,
        outcome: Came,
        then: Arc<dyn Fn() + Send + Sync>,
    ) {
        let hitter = self.chosen.get_untracked();
        let (Some(hitter), Ok(card)) = (hitter, Code::new(card)) else {
            return;
        };
        let Some(head) = self.new_head() else { return };
        let record = Outcome {
            head,
            hitter,
            card,
            item: item.and_then(|item| Code::new(item).ok()),
            outcome: code(outcome.id()),
        };
        let said = format!("{title}: {}.", outcome.name());
        let change: Arc<dyn Change> = Arc::new(record.clone());
        self.save(vec![change], move || {
            let (back, after) = (record.clone(), then.clone());
            let undo: Arc<dyn Fn() + Send + Sync> = Arc::new(move || {
                let after = after.clone();
                self.set_removed(back.clone(), true, move |_| after());
            });
            self.notes.say(said.clone(), Some(("Undo", undo)));
            then();
        });
    }
}
