//! Contacts as the rules of coaching need them, and what is read of them: a
//! session's, a hitter's days, games. No writes here.

use super::Desk;
use super::names::contact as name;
use crate::device::database::StorageError;
use crate::device::idb::from_js;
use crate::device::recent::{is_removed, made_ms, text_under};
use coaching::contact::lean::{Group, groups};
use coaching::contact::side_toss::{ContactDepth, SideTossBall, TossSpot};
use coaching::contact::{Contact, ContactResult, Quality};
use coaching::loads::{Day, Loads, SPAN_DAYS};
use coaching::vocabulary::{Environment, Hand, Side};
use flight::pitch_type;
use notebook::{Kind, RecordId, Round, Session};
use std::collections::BTreeSet;

/// One ball of a session, as much as the rules need.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ball {
    /// The contact's record.
    pub id: RecordId,
    /// Who hit.
    pub hitter: RecordId,
    /// The phone's own day, counted on from 1970.
    pub day: i64,
    /// Conditions and what came of it.
    pub contact: Contact,
    /// Where a side toss came.
    pub toss: Option<TossSpot>,
    /// Where the ball was met.
    pub depth: Option<ContactDepth>,
    /// Id of the kind of pitch.
    pub pitch: Option<&'static str>,
    /// Of a planned round, what its order was drawn by, and which ball of it.
    pub planned: Option<(f64, f64)>,
}

impl Ball {
    /// Of a record; `None` when only a newer version knows what happened or where
    /// the ball came from.
    pub fn of(record: &notebook::Contact) -> Option<Self> {
        let choice = |name: &str| record.choices.get(name).map(|id| id.as_str());
        let number = |name: &str| record.numbers.get(name).copied();
        let context = &record.context;
        Some(Self {
            id: record.head.id,
            hitter: record.hitter,
            day: local_day(record.head.made.since_1970().as_millis() as f64),
            contact: Contact {
                environment: Environment::from_id(context.environment.as_str())?,
                feed: Hand::from_id(context.feed.as_str()),
                batted: Side::from_id(context.side.as_str())?,
                result: ContactResult::from_id(record.result.as_str())?,
                direction_deg: number(name::DIRECTION),
                quality: choice(name::QUALITY).and_then(Quality::from_id),
            },
            toss: choice(name::TOSS).and_then(TossSpot::from_id),
            depth: choice(name::DEPTH).and_then(ContactDepth::from_id),
            pitch: choice(name::PITCH).and_then(pitch_type).map(|kind| kind.id),
            planned: number(name::SEED).zip(number(name::PLACE)),
        })
    }

    /// As evidence of the path; `None` when it was no side toss.
    pub fn side_toss(&self) -> Option<SideTossBall> {
        (self.contact.environment == Environment::SideToss).then_some(SideTossBall {
            result: self.contact.result,
            direction_deg: self.contact.direction_deg,
            toss: self.toss,
            depth: self.depth,
        })
    }

    /// Whether it counts among a day's swings: a throw of the medicine ball and a
    /// take do not.
    pub fn is_swing(&self) -> bool {
        self.contact.result.is_swing() && self.contact.environment != Environment::MedicineBall
    }
}

/// The phone's own day at a time (ms since 1970), counted on from 1970: a day
/// begins at midnight where the phone is.
pub fn local_day(ms: f64) -> i64 {
    let date = js_sys::Date::new(&ms.into());
    ((ms / 60_000.0 - date.get_timezone_offset()) / 1440.0).floor() as i64
}

/// The present day.
pub fn today() -> i64 {
    local_day(js_sys::Date::now())
}

/// One hitter's part of a session.
#[derive(Debug, Clone, PartialEq)]
pub struct HitterSession {
    /// The session.
    pub session: RecordId,
    /// When the hitter's first round of it began, ms since 1970.
    pub begun_ms: f64,
    /// The balls, in order.
    pub balls: Vec<Ball>,
}

impl HitterSession {
    /// What was hit, by conditions.
    pub fn groups(&self) -> Vec<Group> {
        groups_of(&self.balls)
    }
}

/// Balls by conditions.
pub fn groups_of(balls: &[Ball]) -> Vec<Group> {
    let contacts: Vec<Contact> = balls.iter().map(|ball| ball.contact).collect();
    groups(&contacts)
}

/// How many rounds back [`Desk::sessions_of`] looks.
const ROUNDS: u32 = 400;
/// How far back games count, ms.
const GAMES_MS: f64 = 365.0 * 86_400_000.0;

impl Desk {
    /// All sessions that are not removed, newest first.
    ///
    /// # Errors
    /// What the storage says.
    pub async fn sessions(self) -> Result<Vec<Session>, StorageError> {
        let mut all: Vec<Session> = self.reading(async |database| database.all().await).await?;
        all.retain(|session| !session.head.is_removed());
        all.reverse();
        Ok(all)
    }

    /// The balls of a session, in order of making, and how many could not be told
    /// by this version.
    ///
    /// # Errors
    /// What the storage says.
    pub async fn session_balls(self, session: RecordId) -> Result<Vec<Ball>, StorageError> {
        let contacts: Vec<notebook::Contact> = self
            .reading(async |database| database.by_index("session", session).await)
            .await?;
        Ok(balls_of(&contacts))
    }

    /// The latest `n` sessions in which a hitter hit, newest first, with what was
    /// hit: for the hitter's own page.
    ///
    /// # Errors
    /// What the storage says.
    pub async fn sessions_of(
        self,
        hitter: RecordId,
        n: usize,
    ) -> Result<Vec<HitterSession>, StorageError> {
        self.reading(async |database| {
            let rounds: Vec<Round> = database.latest(hitter, ROUNDS).await?;
            let mut found: Vec<HitterSession> = Vec::new();
            for round in rounds.iter().filter(|round| !round.head.is_removed()) {
                let Some(session) = round.session else {
                    continue;
                };
                let place = found.iter().position(|known| known.session == session);
                if place.is_none() && found.len() == n {
                    continue;
                }
                let contacts: Vec<notebook::Contact> =
                    database.by_index("set", round.head.id).await?;
                let begun_ms = round.head.made.since_1970().as_millis() as f64;
                let mut balls = balls_of(&contacts);
                match place {
                    Some(place) => {
                        let known = &mut found[place];
                        known.balls.append(&mut balls);
                        known.begun_ms = known.begun_ms.min(begun_ms);
                    }
                    // A feed that was set and never used.
                    None if balls.is_empty() => {}
                    None => found.push(HitterSession {
                        session,
                        begun_ms,
                        balls,
                    }),
                }
            }
            for known in &mut found {
                known.balls.sort_unstable_by_key(|ball| ball.id);
            }
            Ok(found)
        })
        .await
    }

    /// A hitter's swings of the last seven days, day by day, without those of the
    /// session `except`: the balls that were logged, and the counts that no ball
    /// is linked to.
    ///
    /// # Errors
    /// What the storage says.
    pub async fn swings(
        self,
        hitter: RecordId,
        except: Option<RecordId>,
    ) -> Result<Vec<Day>, StorageError> {
        // A day more, as days begin at midnight and not now.
        let from_ms = js_sys::Date::now() - (SPAN_DAYS + 1) as f64 * 86_400_000.0;
        let except = except.map(|id| id.to_string()).unwrap_or_default();
        let mut days = Vec::new();
        let mut linked = BTreeSet::new();
        let swing = |row: &wasm_bindgen::JsValue| Day {
            day: local_day(made_ms(row)),
            swings: 1,
        };
        let is_thrown = |row: &wasm_bindgen::JsValue| {
            text_under(row, &["context", "environment"]) == Environment::MedicineBall.id()
        };
        self.reading(async |database| {
            let mut contact = |row: &wasm_bindgen::JsValue| {
                if is_removed(row) {
                    return;
                }
                let rep = text_under(row, &["choices", name::REP]);
                if !rep.is_empty() {
                    linked.insert(rep);
                }
                let is_swing = text_under(row, &["result"]) != ContactResult::Take.id();
                if is_swing && !is_thrown(row) && text_under(row, &["session"]) != except {
                    days.push(swing(row));
                }
            };
            database
                .each_since(Kind::Contact.store(), hitter, from_ms, &mut contact)
                .await?;
            let mut rep = |row: &wasm_bindgen::JsValue| {
                let is_linked = linked.contains(&text_under(row, &["head", "id"]));
                if !is_removed(row) && !is_thrown(row) && !is_linked {
                    days.push(swing(row));
                }
            };
            database
                .each_since(Kind::Rep.store(), hitter, from_ms, &mut rep)
                .await
        })
        .await?;
        Ok(Loads::of(&days).days().to_vec())
    }

    /// What a hitter did in games over the last 365 days.
    ///
    /// # Errors
    /// What the storage says.
    pub async fn game_contacts(self, hitter: RecordId) -> Result<Vec<Contact>, StorageError> {
        let from_ms = js_sys::Date::now() - GAMES_MS;
        let mut found = Vec::new();
        self.reading(async |database| {
            let mut of_game = |row: &wasm_bindgen::JsValue| {
                let environment = text_under(row, &["context", "environment"]);
                if environment != Environment::Game.id() || is_removed(row) {
                    return;
                }
                let record = from_js::<notebook::Contact>(row, Kind::Contact.store()).ok();
                found.extend(record.as_ref().and_then(Ball::of).map(|ball| ball.contact));
            };
            database
                .each_since(Kind::Contact.store(), hitter, from_ms, &mut of_game)
                .await
        })
        .await?;
        Ok(found)
    }
}

/// The balls of records that are not removed.
pub(super) fn balls_of(contacts: &[notebook::Contact]) -> Vec<Ball> {
    let there = contacts.iter().filter(|contact| !contact.head.is_removed());
    there.filter_map(Ball::of).collect()
}
