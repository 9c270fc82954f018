//! What the page of tempo knows: how it practises and counts, the set at hand, what
//! plays. What happens to it is in `taking`, `playing` and `stopping`.

use super::gear::Gear;
use super::held::Held;
use super::kept::{keep, kept};
use super::practice::{Feed, Mode};
use super::way::Way;
use crate::state::{Desk, names};
use coaching::count::Target;
use coaching::tempo::beats::{RepTimes, Rung, Timetable};
use leptos::prelude::*;
use notebook::{RecordId, Rep};
use std::rc::Rc;
use wasm_bindgen_futures::spawn_local;

/// A played set, or several that follow each other.
#[derive(Clone)]
pub struct Running {
    /// What is due, from its second zero.
    pub table: Rc<Timetable>,
    /// Its reps.
    pub reps: Rc<Vec<RepTimes>>,
    /// Second zero on the audio clock.
    pub start_s: f64,
    /// What is played: these sets.
    pub sets: Rc<Vec<(RecordId, Rung)>>,
    /// How many sets were played before these.
    pub first_set: usize,
    /// Reps of the first of these sets that were played before it was stopped.
    pub first_reps: u32,
    /// Reps played before these, of all sets.
    pub before: usize,
    /// How many reps are over.
    pub over: usize,
    /// How many of those were measured.
    pub measured: usize,
    /// The count.
    pub target: Target,
    /// The machine, when one is fed.
    pub feed: Option<Feed>,
}

impl Running {
    /// Reps of these sets.
    pub fn total(&self) -> usize {
        self.reps.len()
    }

    /// The number of a rep within its set.
    pub fn number(&self, rep: &RepTimes) -> u32 {
        match rep.set {
            0 => rep.number + self.first_reps,
            _ => rep.number,
        }
    }
}

/// What stopped a set, and what of it is left.
#[derive(Clone)]
pub struct Stopped {
    /// What the user reads.
    pub why: String,
    /// The set as it was stopped.
    pub left: Left,
}

/// What was not played yet.
#[derive(Clone)]
pub struct Left {
    /// The sets, the first without the reps that were played.
    pub sets: Vec<(RecordId, Rung)>,
    /// Sets that are over.
    pub first_set: usize,
    /// Reps of the first set that were played.
    pub first_reps: u32,
    /// Reps that were played, of all sets.
    pub before: usize,
}

/// The page's state.
#[derive(Clone, Copy)]
pub struct Tempo {
    /// The desk.
    pub desk: Desk,
    /// Sound, microphone, sensors, screen.
    pub gear: StoredValue<Gear, LocalStorage>,
    /// The way of practice.
    pub mode: RwSignal<Mode>,
    /// How counts are taken.
    pub way: RwSignal<Way>,
    /// Lift is taken from the beat and not from a tap.
    pub lift_by_beat: RwSignal<bool>,
    /// Foot down is tapped too.
    pub with_foot: RwSignal<bool>,
    /// Reps of a set.
    pub reps_of_set: RwSignal<u8>,
    /// From the call to lift, s.
    pub call_s: RwSignal<f64>,
    /// From the rest to the next call, s.
    pub rest_s: RwSignal<f64>,
    /// From the machine's release to contact, s.
    pub flight_s: RwSignal<f64>,
    /// The set counted in.
    pub set: RwSignal<RecordId>,
    /// The number of its next rep.
    pub next: StoredValue<u32>,
    /// The hitter's latest reps, oldest first; none while they are read.
    pub recent: RwSignal<Option<Vec<Rep>>>,
    /// A lift that waits, ms of the page.
    pub lift_ms: RwSignal<Option<f64>>,
    /// A foot down that waits, ms of the page.
    pub foot_ms: RwSignal<Option<f64>>,
    /// When the last tap came, ms of the page.
    pub last_tap_ms: StoredValue<f64>,
    /// Counts with a poor mark, which wait for the coach's word, of all hitters.
    pub held: RwSignal<Vec<Held>>,
    /// The set that plays.
    pub running: RwSignal<Option<Running>, LocalStorage>,
    /// The set that was stopped.
    pub stopped: RwSignal<Option<Stopped>>,
    /// What was last said of a count.
    pub said: RwSignal<String>,
    /// When the page was hidden, ms of the page and s of the audio clock.
    pub hidden_at: StoredValue<Option<(f64, f64)>>,
}

impl Tempo {
    /// For the chosen hitter.
    pub fn new(desk: Desk) -> Self {
        let number = |what: &str, usual: f64| RwSignal::new(kept(what).unwrap_or(usual));
        let id = |what: &str| kept::<String>(what).unwrap_or_default();
        let tempo = Self {
            desk,
            gear: StoredValue::new_local(Gear::default()),
            mode: RwSignal::new(Mode::from_id(&id("mode")).unwrap_or(Mode::Follow)),
            way: RwSignal::new(Way::from_id(&id("way"))),
            lift_by_beat: RwSignal::new(kept("lift-by-beat").unwrap_or(false)),
            with_foot: RwSignal::new(false),
            reps_of_set: RwSignal::new(kept("reps").unwrap_or(10)),
            call_s: number("call-s", 2.0),
            rest_s: number("rest-s", 8.0),
            flight_s: number("flight-s", 0.43),
            set: RwSignal::new(Desk::new_tempo_set()),
            next: StoredValue::new(1),
            recent: RwSignal::new(None),
            lift_ms: RwSignal::new(None),
            foot_ms: RwSignal::new(None),
            last_tap_ms: StoredValue::new(f64::NEG_INFINITY),
            held: super::held::all_held(),
            running: RwSignal::new_local(None),
            stopped: RwSignal::new(None),
            said: RwSignal::new(String::new()),
            hidden_at: StoredValue::new(None),
        };
        Effect::new(move |_| {
            keep("mode", tempo.mode.get().id());
            keep("way", tempo.way.get().id());
            keep("lift-by-beat", tempo.lift_by_beat.get());
            keep("reps", tempo.reps_of_set.get());
            keep("call-s", tempo.call_s.get());
            keep("rest-s", tempo.rest_s.get());
            keep("flight-s", tempo.flight_s.get());
        });
        let chosen = desk.chosen;
        Effect::new(move |_| {
            chosen.get();
            untrack(|| {
                tempo.stop_playing();
                tempo.new_set();
                tempo.read();
            });
        });
        tempo
    }

    /// Reads the hitter's latest reps (again).
    pub fn read(self) {
        let Some(hitter) = self.desk.chosen.get_untracked() else {
            return;
        };
        spawn_local(async move {
            let read = self.desk.latest_reps(hitter).await;
            // The page may be gone, or another hitter chosen.
            if self.desk.chosen.try_get_untracked() != Some(Some(hitter)) {
                return;
            }
            match read {
                Ok(reps) => self.recent.set(Some(reps)),
                Err(error) => self.desk.notes.fail(error.to_string(), None),
            }
        });
    }

    /// The target that holds: the hitter's own, or else the usual one.
    pub fn target(self) -> Target {
        self.desk.target().unwrap_or_else(usual_target)
    }

    /// The counts of the open set, oldest first.
    pub fn counts_s(self) -> Vec<f64> {
        let set = self.set.get();
        self.recent.with(|reps| {
            let reps = reps.iter().flatten();
            reps.filter(|rep| rep.set == set)
                .map(|rep| rep.count_s)
                .collect()
        })
    }

    /// Begins a new set. Counts that wait for a word stay with the set before.
    pub fn new_set(self) {
        self.set.set(Desk::new_tempo_set());
        self.next.set_value(1);
        self.forget();
        self.said.set(String::new());
    }

    /// Forgets a lift without contact.
    pub fn forget(self) {
        self.lift_ms.set(None);
        self.foot_ms.set(None);
    }

    /// How much later than the browser says the speaker is heard, ms.
    pub fn delay_ms(self) -> f64 {
        super::speaker::delay_ms()
    }

    /// The machine of the set-up, as it is fed: a delay of 1 s where none is known.
    pub fn feed(self) -> Feed {
        let machine = self.desk.chosen_equipment(crate::state::What::Machine);
        let delay = machine.and_then(|machine| {
            let field = machine.numbers.get(names::machine::FEED_DELAY)?;
            Some(*field.get())
        });
        Feed {
            delay_s: delay.unwrap_or(1.0),
            flight_s: self.flight_s.get(),
        }
    }
}

/// The middle of what most hitters use, 1 to 2 s (common practice, no source).
fn usual_target() -> Target {
    Target::new(1.5).expect("1.5 s lies between 1 and 3")
}
