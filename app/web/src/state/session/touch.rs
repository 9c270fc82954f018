//! Touches: a ball, the last one put right or taken out, and what is said of it.
//! A contact is never edited: a wrong one is removed and another takes its place.

use super::super::{desk::code, names::contact, names::session as name};
use super::feed::{is_fed, put_numbers};
use super::queue::Done;
use super::{BACK, Detail, FeedKey, Practice, Touch, id_code};
use crate::device::database::Change;
use coaching::contact::side_toss::{ContactDepth, TossSpot};
use coaching::vocabulary::Environment;
use leptos::prelude::*;
use notebook::{Code, Contact, Fields, Hitter, RecordId, Rep, Round};
use std::collections::BTreeMap;
use std::sync::Arc;
use wasm_bindgen_futures::spawn_local;

impl Practice {
    pub(super) fn is_of_turn(self, contact: &Contact) -> bool {
        self.rounds
            .with_value(|rounds| rounds.iter().any(|(round, _)| round.head.id == contact.set))
    }

    /// Takes one touch: a ball, or in place of the last one.
    pub fn touch(self, touch: Touch) {
        let direction = touch
            .direction_deg
            .map(|direction| (code(contact::DIRECTION), direction));
        let mut choices = BTreeMap::new();
        if touch.direction_deg.is_some() {
            let by = if touch.by_point { "point" } else { "sector" };
            choices.insert(code(contact::BY), code(by));
        }
        let result = code(touch.result.id());
        self.undone.set(None);
        if self.fixing.get_untracked() {
            self.fixing.set(false);
            self.replace(|last| {
                last.result = result;
                last.numbers.remove(contact::DIRECTION);
                last.numbers.extend(direction);
                for name in [contact::BY, contact::QUALITY] {
                    last.choices.remove(name);
                }
                last.choices.extend(choices);
            });
            return;
        }
        let Some(hitter) = untrack(|| self.at_plate()) else {
            return;
        };
        let Some(session) = self.session.with_untracked(|s| Some(s.as_ref()?.head.id)) else {
            return;
        };
        let Some(head) = self.desk.new_head() else {
            return;
        };
        let context = self.desk.context(&hitter);
        if context.environment.as_str() == Environment::SideToss.id()
            && untrack(|| self.choice(name::NOTING)).as_deref() == Some("usual")
        {
            choices.insert(code(contact::TOSS), code(TossSpot::FrontHip.id()));
            choices.insert(code(contact::DEPTH), code(ContactDepth::OnTime.id()));
        }
        if let Some(pitch) = self.pitch.get_untracked() {
            choices.insert(code(contact::PITCH), code(pitch));
        }
        let mut numbers: BTreeMap<Code, f64> = direction.into_iter().collect();
        self.mark_planned(&mut numbers, &mut choices);
        let mut changes: Vec<Arc<dyn Change>> = Vec::new();
        let fed = untrack(|| self.feed_of(FeedKey::of_context(hitter.head.id, &context)?));
        let known = self.rounds.with_value(|rounds| {
            let holds =
                |(round, _): &(Round, u32)| round.context == context && is_fed(round, fed.as_ref());
            rounds.iter().rposition(holds)
        });
        let place = match known {
            Some(place) => place,
            None => {
                let Some(round) = self.new_round(&hitter, session, context.clone()) else {
                    return;
                };
                changes.push(Arc::new(round.clone()));
                self.rounds
                    .try_update_value(|rounds| {
                        rounds.push((round, 1));
                        rounds.len() - 1
                    })
                    .unwrap_or(0)
            }
        };
        let given = self.rounds.try_update_value(|rounds| {
            let (round, next) = &mut rounds[place];
            *next += 1;
            (round.head.id, *next - 1)
        });
        let Some((set, number)) = given else { return };
        let contact = Arc::new(Contact {
            head,
            hitter: hitter.head.id,
            session: Some(session),
            set,
            number,
            context,
            result,
            numbers,
            choices,
        });
        changes.push(contact.clone());
        self.push_latest(contact.clone());
        self.enqueue(changes, Done::Added(contact));
        self.set_next();
    }

    pub(super) fn new_round(
        self,
        hitter: &Hitter,
        session: RecordId,
        context: notebook::HittingContext,
    ) -> Option<Round> {
        let head = self.desk.new_head()?;
        let key = FeedKey::of_context(hitter.head.id, &context);
        let mut round = Round {
            head,
            hitter: hitter.head.id,
            session: Some(session),
            context,
            numbers: Fields::new(),
            choices: Fields::new(),
        };
        if let Some(placed) = untrack(|| self.feed_of(key?)) {
            self.desk
                .with_clock(|stamps| put_numbers(&mut round, placed, stamps))?;
        }
        Some(round)
    }

    fn push_latest(self, contact: Arc<Contact>) {
        self.latest.update_value(|latest| {
            if latest.len() == BACK {
                latest.remove(0);
            }
            latest.push(contact);
        });
    }

    /// Says something of the last ball: the record of before is removed, and one
    /// with the detail takes its place, as contacts are never edited.
    pub fn detail(self, detail: Detail) {
        self.replace(|last| {
            let (name, id) = (code(detail.name), code(detail.id));
            // Touched again, it is taken back.
            if last.choices.get(&name) == Some(&id) {
                last.choices.remove(&name);
            } else {
                last.choices.insert(name, id);
            }
        });
    }

    /// Links the last ball to the hitter's latest count.
    pub fn link_count(self) {
        let Some(last) = self.latest.with_value(|latest| latest.last().cloned()) else {
            return;
        };
        spawn_local(async move {
            let read = async |database: &crate::device::database::Database| {
                database.latest::<Rep>(last.hitter, 1).await
            };
            match self.desk.reading(read).await {
                Ok(reps) => self.link(&last, reps.first()),
                Err(error) => self.desk.notes.fail(error.to_string(), None),
            }
        });
    }

    fn link(self, last: &Contact, rep: Option<&Rep>) {
        let now_ms = js_sys::Date::now();
        let fresh = rep.filter(|rep| {
            let made_ms = rep.head.made.since_1970().as_millis() as f64;
            !rep.head.is_removed() && now_ms - made_ms < FRESH_MS
        });
        let is_last = self.latest.with_value(|latest| {
            let id = latest.last().map(|contact| contact.head.id);
            id == Some(last.head.id)
        });
        match fresh {
            Some(rep) if is_last => self.replace(|contact| {
                contact
                    .choices
                    .insert(code(contact::REP), id_code(rep.head.id));
            }),
            Some(_) => {}
            None => self.desk.notes.say(
                "No count of this hitter in the last five minutes. Nothing was linked.",
                None,
            ),
        }
    }

    fn replace(self, change: impl FnOnce(&mut Contact)) {
        let Some(old) = self.latest.try_update_value(Vec::pop).flatten() else {
            return;
        };
        let Some(head) = self.desk.new_head() else {
            return;
        };
        let mut gone = Contact::clone(&old);
        self.desk
            .with_clock(|stamps| gone.head.set_removed(true, stamps));
        let mut new = Contact::clone(&old);
        new.head = head;
        change(&mut new);
        let new = Arc::new(new);
        self.push_latest(new.clone());
        let changes: Vec<Arc<dyn Change>> = vec![Arc::new(gone), new.clone()];
        self.enqueue(changes, Done::Replaced { old, new });
    }

    /// Takes the last ball out.
    pub fn undo(self) {
        self.fixing.set(false);
        let Some(old) = self.latest.try_update_value(Vec::pop).flatten() else {
            return;
        };
        self.rounds.update_value(|rounds| {
            for (round, next) in rounds {
                if round.head.id == old.set && *next == old.number + 1 {
                    *next = old.number;
                }
            }
        });
        self.mark(&old, true, Done::Removed);
        self.set_next();
    }

    /// Brings back the ball that was taken out last.
    pub fn bring_back(self) {
        let Some(gone) = self.undone.try_update(Option::take).flatten() else {
            return;
        };
        self.rounds.update_value(|rounds| {
            for (round, next) in rounds {
                if round.head.id == gone.set {
                    *next = (*next).max(gone.number + 1);
                }
            }
        });
        if let Some(back) = self.mark(&gone, false, Done::Added) {
            self.push_latest(back);
            self.set_next();
        }
    }

    fn mark(
        self,
        contact: &Contact,
        removed: bool,
        done: fn(Arc<Contact>) -> Done,
    ) -> Option<Arc<Contact>> {
        let mut contact = contact.clone();
        self.desk
            .with_clock(|stamps| contact.head.set_removed(removed, stamps))?;
        let contact = Arc::new(contact);
        let change: Arc<dyn Change> = contact.clone();
        self.enqueue(vec![change], done(contact.clone()));
        Some(contact)
    }
}

/// A count older than this belongs to another swing, ms.
const FRESH_MS: f64 = 300_000.0;
