//! The looks at the chosen hitter, several side by side, and the one at hand: who
//! looks, at which skill, and every write of an answer.

use super::desk::code;
use super::names::check::{OBSERVER, SKILL};
use super::{Desk, Joins, names, sport_of};
use crate::device::clock;
use crate::device::database::{Change, Database, StorageError};
use crate::device::idb::from_js;
use coaching::check::Skill;
use coaching::vocabulary::{Answer, Sport};
use js_sys::{Array, Reflect};
use leptos::prelude::*;
use notebook::{Check, Code, DeviceId, Kind, Observation, RecordId};
use std::collections::BTreeMap;
use std::sync::Arc;
use wasm_bindgen::JsValue;
use wasm_bindgen_futures::spawn_local;

/// How many of the latest looks are read.
const LATEST: usize = 30;
/// How long a look stays at hand: one begun before is another day's.
const AT_HAND_S: f64 = 12.0 * 3600.0;
/// The answers of this phone's author, unless a look says otherwise.
pub(super) const FIRST: &str = "first";
/// Another person with the same phone.
const SECOND: &str = "second";

/// Who looks, on this phone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Observer {
    /// Whose phone it is.
    First,
    /// Somebody else.
    Second,
}

impl Observer {
    /// Stored id.
    pub const fn id(self) -> &'static str {
        match self {
            Self::First => FIRST,
            Self::Second => SECOND,
        }
    }

    /// The observer of an id; the first of one that this version does not know.
    pub fn from_id(id: &str) -> Self {
        if id == SECOND {
            Self::Second
        } else {
            Self::First
        }
    }
}

/// One look with its answers.
#[derive(Debug, Clone, PartialEq)]
pub struct OneLook {
    /// The look.
    pub check: Check,
    /// Every answer, in order of making: the caller of `coaching::looks` brings
    /// the overwritten ones too.
    pub answers: Vec<(String, Answer)>,
}

impl OneLook {
    /// The latest `n` looks at a hitter, over all records joined, oldest first. The
    /// one reader of looks beside the first page's sheet.
    ///
    /// # Errors
    /// What the storage says.
    pub async fn latest(
        database: &Database,
        records: &[RecordId],
        n: usize,
    ) -> Result<Vec<Self>, StorageError> {
        let stores = (Kind::Check.store(), Kind::Observation.store(), "check");
        let rows = database.latest_with_parts(stores, records, n).await?;
        let named = Named::default();
        let looks = rows
            .iter()
            .filter_map(|(check, seen)| Self::of(check, seen, &named));
        Ok(looks.collect())
    }

    /// A look of its rows, unless it is removed or cannot be read. Of an answer only
    /// what is needed is taken from its row: there are hundreds.
    fn of(check: &JsValue, seen: &Array, named: &Named) -> Option<Self> {
        let check: Check = from_js(check, Kind::Check.store()).ok()?;
        if check.head.is_removed() {
            return None;
        }
        let mut told: Vec<(String, String, Answer)> = Vec::new();
        for row in seen.iter() {
            let head = under(&row, &named.head);
            let removed = under(&head, &named.removed);
            if under(&removed, &named.value).is_truthy() {
                continue;
            }
            let text = |of: &JsValue, name| under(of, name).as_string().unwrap_or_default();
            // An answer that only a newer version knows counts as not seen.
            let answer = Answer::from_id(&text(&row, &named.answer));
            // The text of stamps sorts as the stamps.
            let made = text(&head, &named.made);
            let item = text(&row, &named.item);
            told.push((made, item, answer.unwrap_or(Answer::NotSeen)));
        }
        told.sort_unstable_by(|a, b| a.0.cmp(&b.0));
        let answers = told.into_iter().map(|(_, item, answer)| (item, answer));
        Some(Self {
            check,
            answers: answers.collect(),
        })
    }

    /// The latest answer to an item.
    pub fn answer(&self, item: &str) -> Option<Answer> {
        let mut latest = self.answers.iter().rev();
        latest.find(|(known, _)| known == item).map(|found| found.1)
    }

    /// The answers as `coaching` takes them.
    pub fn borrowed(&self) -> Vec<(&str, Answer)> {
        let answers = self.answers.iter();
        answers
            .map(|(item, answer)| (item.as_str(), *answer))
            .collect()
    }

    /// At what skill was looked: the swing, unless the look says otherwise.
    pub fn skill(&self) -> Skill {
        let said = self.check.choices.get(SKILL);
        said.and_then(|said| Skill::from_id(said.as_str()))
            .unwrap_or(Skill::Swing)
    }

    /// Who looked: the phone, and which of its two observers.
    pub fn observer(&self) -> (DeviceId, Observer) {
        let said = self.check.choices.get(OBSERVER);
        let which = Observer::from_id(said.map_or(FIRST, Code::as_str));
        (self.check.head.author, which)
    }

    /// When it was begun, seconds since 1970.
    pub fn begun_s(&self) -> f64 {
        self.check.head.made.since_1970().as_secs_f64()
    }
}

/// Names of the fields of a row, made once: making a text for the browser takes
/// longer than reading a field.
struct Named {
    head: JsValue,
    removed: JsValue,
    value: JsValue,
    made: JsValue,
    item: JsValue,
    answer: JsValue,
}

impl Default for Named {
    fn default() -> Self {
        Self {
            head: "head".into(),
            removed: "removed".into(),
            value: "value".into(),
            made: "made".into(),
            item: "item".into(),
            answer: "answer".into(),
        }
    }
}

/// A field of a row; undefined when there is none. (The browser throws when asked for
/// a field of what is none, and that is slow.)
fn under(row: &JsValue, name: &JsValue) -> JsValue {
    match row.is_undefined() {
        true => JsValue::UNDEFINED,
        false => Reflect::get(row, name).unwrap_or_default(),
    }
}

/// The looks, as a page shows them.
#[derive(Clone, Copy)]
pub struct Looking {
    desk: Desk,
    joins: Joins,
    /// At what is looked.
    pub skill: RwSignal<Skill>,
    /// Who looks.
    pub observer: RwSignal<Observer>,
    /// The latest looks from the hitter's side now, oldest first; none while they
    /// are read.
    pub looks: RwSignal<Option<Result<Vec<OneLook>, StorageError>>>,
    /// The look that is added to; none before its first answer.
    pub hand: RwSignal<Option<RecordId>>,
}

impl Looking {
    /// Begins to read, now and whenever hitter or side change or another tab or
    /// phone has written.
    pub fn start(desk: Desk, joins: Joins) -> Self {
        let looking = Self {
            desk,
            joins,
            skill: RwSignal::new(Skill::Swing),
            observer: RwSignal::new(Observer::First),
            looks: RwSignal::new(None),
            hand: RwSignal::new(None),
        };
        Effect::new(move |_| {
            desk.chosen.track();
            desk.sheet.track();
            desk.side.track();
            desk.feed.track();
            joins.joined();
            looking.read();
        });
        looking
    }

    /// Reads again.
    pub fn read(self) {
        spawn_local(async move {
            let Some(hitter) = untrack(|| self.desk.hitter()) else {
                self.looks.set(Some(Ok(Vec::new())));
                return;
            };
            let id = hitter.head.id;
            let side = code(untrack(|| self.desk.side_now(&hitter)).id());
            let records = untrack(|| self.joins.records_of(id));
            let read = self.desk.reading(async |database| {
                let mut looks = OneLook::latest(database, &records, LATEST).await?;
                looks.retain(|look| look.check.context.side == side);
                Ok(looks)
            });
            let mut read = read.await;
            // Another hitter was chosen, or the page was left, meanwhile.
            if self.desk.chosen.get_untracked() != Some(id) || self.looks.is_disposed() {
                return;
            }
            if let Ok(read) = &mut read {
                self.keep_unsaved(read, id);
            }
            self.looks.set(Some(read));
            self.find_hand();
        });
    }

    /// The look at hand stays when its first answer is still on its way to disk.
    fn keep_unsaved(self, read: &mut Vec<OneLook>, hitter: RecordId) {
        let Some(hand) = untrack(|| self.at_hand()) else {
            return;
        };
        let is_there = read
            .iter()
            .any(|look| look.check.head.id == hand.check.head.id);
        if !is_there && hand.answers.is_empty() && hand.check.hitter == hitter {
            read.push(hand);
        }
    }

    /// Puts the latest look of this skill and observer at hand, if it was begun not
    /// long ago on this phone.
    pub fn find_hand(self) {
        let Some(author) = self.desk.with_clock(|stamps| stamps.stamp().device()) else {
            return;
        };
        let wanted = (author, self.observer.get_untracked());
        let skill = self.skill.get_untracked();
        let now_s = js_sys::Date::now() / 1000.0;
        let fits = |look: &&OneLook| {
            look.skill() == skill && look.observer() == wanted && now_s - look.begun_s() < AT_HAND_S
        };
        let hand = self.looks.with_untracked(|looks| match looks {
            Some(Ok(looks)) => looks.iter().rev().find(fits).map(|look| look.check.head.id),
            _ => None,
        });
        self.hand.set(hand);
    }

    /// The look at hand.
    pub fn at_hand(self) -> Option<OneLook> {
        let id = self.hand.get()?;
        self.looks.with(|looks| match looks {
            Some(Ok(looks)) => looks.iter().find(|look| look.check.head.id == id).cloned(),
            _ => None,
        })
    }

    /// The answer on disk to an item in the look at hand.
    pub fn answer_to(self, item: &str) -> Option<Answer> {
        let id = self.hand.get()?;
        self.looks.with(|looks| match looks {
            Some(Ok(looks)) => looks
                .iter()
                .find(|look| look.check.head.id == id)?
                .answer(item),
            _ => None,
        })
    }

    /// Begins a new look; the earlier ones are kept.
    pub fn new_look(self) {
        self.hand.set(None);
    }

    /// The hitter's sport.
    pub fn sport(self) -> Sport {
        let hitter = self.desk.hitter();
        hitter.map_or(Sport::Baseball, |hitter| sport_of(&hitter))
    }

    /// The look at hand, or a new one that nothing is saved of yet.
    fn check(self) -> Option<Check> {
        if let Some(hand) = untrack(|| self.at_hand()) {
            return Some(hand.check);
        }
        let hitter = untrack(|| self.desk.hitter())?;
        let choices = BTreeMap::from([
            (code(SKILL), code(self.skill.get_untracked().id())),
            (code(OBSERVER), code(self.observer.get_untracked().id())),
        ]);
        let check = Check {
            head: self.desk.new_head()?,
            hitter: hitter.head.id,
            context: self.desk.context(&hitter),
            choices,
        };
        // At hand at once: a second touch before the first is on disk belongs to
        // the same look.
        self.change(|looks| {
            looks.push(OneLook {
                check: check.clone(),
                answers: Vec::new(),
            });
        });
        self.hand.set(Some(check.head.id));
        Some(check)
    }

    fn change(self, with: impl FnOnce(&mut Vec<OneLook>)) {
        self.looks.update(|looks| {
            if let Some(Ok(looks)) = looks {
                with(looks);
            }
        });
    }

    /// Saves an answer to an item of the look at hand. The look itself is written
    /// with every answer until one is on disk; writing it again changes nothing.
    pub fn answer(self, item: &str, answer: Answer) {
        let Some(check) = self.check() else {
            return;
        };
        let (Some(head), Ok(item)) = (self.desk.new_head(), Code::new(item)) else {
            return;
        };
        let id = check.head.id;
        let none_saved = untrack(|| self.at_hand()).is_none_or(|look| look.answers.is_empty());
        let seen = Arc::new(Observation {
            head,
            check: id,
            hitter: check.hitter,
            item,
            answer: code(answer.id()),
        });
        let mut changes: Vec<Arc<dyn Change>> = vec![seen.clone()];
        if none_saved {
            changes.push(Arc::new(check));
        }
        self.desk.save(changes, move || {
            self.change(|looks| {
                if let Some(look) = looks.iter_mut().find(|look| look.check.head.id == id) {
                    let told = (seen.item.as_str().to_owned(), answer);
                    look.answers.push(told);
                }
            });
        });
    }

    /// Does `then` with the look at hand, saved before if it is new.
    pub fn with_look(self, then: impl Fn(RecordId) + Send + Sync + 'static) {
        let Some(check) = self.check() else {
            return;
        };
        let id = check.head.id;
        let is_saved = untrack(|| self.at_hand()).is_some_and(|look| !look.answers.is_empty());
        if is_saved {
            then(id);
        } else {
            self.desk.save(vec![Arc::new(check)], move || then(id));
        }
    }
}

impl Desk {
    /// Saves a count read from a clip as a rep of the set at hand: lift to contact,
    /// and foot down to contact when that was marked, seconds, each to so many
    /// seconds. Then says so.
    pub fn keep_clip_count(self, count_s: f64, foot_down_s: Option<f64>, within_s: f64) {
        let Some(hitter) = untrack(|| self.hitter()) else {
            return;
        };
        let set = self.round.with_untracked(|round| round.set);
        spawn_local(async move {
            // Removed reps keep their numbers.
            let all = self
                .reading(async |database| database.by_index::<notebook::Rep>("set", set).await)
                .await;
            let number = match all {
                Ok(all) => all.iter().map(|rep| rep.number + 1).max().unwrap_or(1),
                Err(error) => {
                    self.notes.fail(format!("Not saved. {error}"), None);
                    return;
                }
            };
            let Some(head) = self.new_head() else {
                return;
            };
            let mut numbers = BTreeMap::from([(code(names::rep::WITHIN), within_s)]);
            if let Some(foot_down_s) = foot_down_s {
                numbers.insert(code(names::rep::FOOT_DOWN), foot_down_s);
            }
            crate::device::settings::set_of_hitter("set", hitter.head.id, &set.to_string());
            let rep = notebook::Rep {
                head,
                hitter: hitter.head.id,
                set,
                number,
                context: self.context(&hitter),
                count_s,
                taken_by: code(names::rep::BY_CLIP),
                numbers,
                choices: BTreeMap::new(),
            };
            let id = rep.hitter;
            self.save(vec![Arc::new(rep)], move || {
                self.notes
                    .say(format!("Kept as rep {number} of the set at hand."), None);
                if self.chosen.get_untracked() == Some(id) {
                    self.choose(id);
                }
            });
        });
    }
}

/// When a record was made, by its id (UUID version 7), milliseconds since 1970.
pub fn made_ms(id: RecordId) -> f64 {
    let bytes = id.as_bytes();
    bytes[..6]
        .iter()
        .fold(0.0, |ms, byte| ms * 256.0 + f64::from(*byte))
}

/// The latest moment by the page's own clock, ms; to tell a double touch.
pub fn now_ms() -> f64 {
    clock::page_now_ms()
}
