//! The session under way: who hits, under which conditions, and each ball on its
//! way to the disk. What the balls say is in `coaching`.

mod at_plate;
mod feed;
mod limits;
mod plan;
mod queue;
mod reading;
mod running;
mod touch;
mod turn;

use super::contacts::Ball;
use super::names::session as name;
use super::{Desk, desk::code, lasting};
use crate::device::database::StorageError;
use coaching::contact::ContactResult;
use coaching::loads::Day;
use flight::Placed;
use leptos::prelude::*;
use notebook::{Code, Contact, RecordId, Round, Session};
use queue::Queue;
use std::cell::OnceCell;
use std::sync::Arc;

pub use feed::FeedKey;
pub use limits::limits_of;
pub use turn::{DOTS, Dot, Turn};

/// How far reading the session has come.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Found {
    /// Reading.
    Reading,
    /// Read; there may be none.
    Read,
    /// Could not be read.
    Failed(StorageError),
}

/// Balls that can be taken back one after the other.
const BACK: usize = 60;

/// The session under way and everything that is shown of it. One for the page,
/// also while another page of the book is looked at.
#[derive(Clone, Copy)]
pub struct Practice {
    desk: Desk,
    /// How far reading has come.
    pub found: RwSignal<Found>,
    /// The session; none when none is under way.
    pub session: RwSignal<Option<Session>>,
    /// Who is at the plate.
    pub hitter: RwSignal<Option<RecordId>>,
    /// The kind of pitch, when it is said.
    pub pitch: RwSignal<Option<&'static str>>,
    /// Whether the next touch takes the place of the last ball.
    pub fixing: RwSignal<bool>,
    /// The present turn at the plate, as it is on disk.
    pub turn: RwSignal<Turn>,
    /// The last ball on disk.
    pub last: RwSignal<Option<Arc<Contact>>>,
    /// The ball that was taken out last, until the next touch.
    pub undone: RwSignal<Option<Arc<Contact>>>,
    /// What was done last, in words.
    pub said: RwSignal<String>,
    /// Touches that are not on disk yet.
    pub waiting: RwSignal<usize>,
    /// Whether the disk takes so long that it is to be said.
    pub slow: RwSignal<bool>,
    /// Whether the last write failed: then they wait, and are kept.
    pub failed: RwSignal<bool>,
    /// The hitter's swings of the last days outside of this session, once read.
    pub swings: RwSignal<Option<Vec<Day>>>,
    /// Counts up whenever the balls change.
    pub counted: RwSignal<u32>,
    /// Counts up whenever another way to feed is on disk.
    pub fed: RwSignal<u32>,
    balls: StoredValue<Vec<Ball>>,
    /// How the ball is fed, as it will be once all is written.
    feeds: StoredValue<Vec<(FeedKey, Placed)>>,
    queue: StoredValue<Queue>,
    /// The latest balls as they will be once all is written, newest last.
    latest: StoredValue<Vec<Arc<Contact>>>,
    /// The rounds of the turn, each with the number of its next ball.
    rounds: StoredValue<Vec<(Round, u32)>>,
}

thread_local! {
    static PRACTICE: OnceCell<(Owner, Practice)> = const { OnceCell::new() };
}

/// What a touch says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Touch {
    /// What came of the ball.
    pub result: ContactResult,
    /// Where it went, degrees as in `coaching::contact::fan`.
    pub direction_deg: Option<f64>,
    /// Whether that is the touched point, and not the middle of its sector.
    pub by_point: bool,
}

/// Something said of the last ball.
#[derive(Debug, Clone, Copy)]
pub struct Detail {
    /// Name of the choice.
    pub name: &'static str,
    /// Its id.
    pub id: &'static str,
}

impl Practice {
    /// The one of this page. It has an owner of its own, so that touches on their
    /// way to the disk outlive the page that took them.
    pub fn of(desk: Desk) -> Self {
        PRACTICE.with(|kept| kept.get_or_init(|| lasting(|| Self::new(desk))).1)
    }

    fn new(desk: Desk) -> Self {
        let practice = Self {
            desk,
            found: RwSignal::new(Found::Reading),
            session: RwSignal::new(None),
            hitter: RwSignal::new(None),
            pitch: RwSignal::new(None),
            fixing: RwSignal::new(false),
            turn: RwSignal::new(Turn::default()),
            last: RwSignal::new(None),
            undone: RwSignal::new(None),
            said: RwSignal::new(String::new()),
            waiting: RwSignal::new(0),
            slow: RwSignal::new(false),
            failed: RwSignal::new(false),
            swings: RwSignal::new(None),
            counted: RwSignal::new(0),
            fed: RwSignal::new(0),
            balls: StoredValue::new(Vec::new()),
            feeds: StoredValue::new(Vec::new()),
            queue: StoredValue::new(Queue::default()),
            latest: StoredValue::new(Vec::new()),
            rounds: StoredValue::new(Vec::new()),
        };
        // The browser asks before the page is closed while balls wait for the disk.
        let _for_good = window_event_listener(leptos::ev::beforeunload, move |event| {
            if practice.waiting.get_untracked() > 0 {
                event.prevent_default();
            }
        });
        practice
    }
}

/// Whether the coach has ended a session.
pub fn is_over(session: &Session) -> bool {
    let over = session.choices.get(name::OVER);
    over.is_some_and(|over| over.get().as_str() == "yes")
}

/// The id of a record as a code.
fn id_code(id: RecordId) -> Code {
    code(&id.to_string())
}
