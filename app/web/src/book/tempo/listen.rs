//! Contact by sound: the microphone asked for in plain words, two balls to set how
//! loud a contact is, and what it hears put to the rep.

use super::run::Tempo;
use crate::device::clock::page_now_ms;
use crate::device::microphone::{Block, Microphone};
use crate::parts::{act, choice, group, line, live, said};
use coaching::tempo::clocks::Clocks;
use coaching::tempo::onset::{Calibration, Listener, Onset, OnsetError};
use leptos::prelude::*;
use std::cell::{Cell, RefCell};
use std::rc::Rc;
use wasm_bindgen_futures::spawn_local;

#[derive(Clone, PartialEq)]
enum State {
    Off,
    Asked,
    On,
    No(String),
}

/// The controls of counting by sound.
pub fn view(tempo: Tempo) -> AnyView {
    let state = RwSignal::new(State::Off);
    let balls = RwSignal::new(None::<Option<Onset>>);
    let told = RwSignal::new(String::new());
    let on = move |()| {
        state.set(State::Asked);
        spawn_local(async move {
            let opened = open(tempo, balls, state, told).await;
            let _ = state.try_set(match opened {
                Ok(()) => State::On,
                Err(why) => State::No(why),
            });
        });
    };
    let calibrate = move |()| {
        balls.set(Some(None));
        told.set("Hit or drop two balls as in the set, a second or more apart.".to_owned());
    };
    group(vec![
        line(
            "line",
            "Lift is a tap or the beat; the phone hears contact. For that it needs the microphone. \
             The sound is looked at on this phone as it comes and thrown away: nothing is recorded \
             and nothing leaves the phone.",
        ),
        live(move || match state.get() {
            State::Off => act("Let the phone listen", "wide", Callback::new(on)),
            State::Asked => said("line", "The browser asks for the microphone."),
            State::No(why) => group(vec![
                said("refusal", why),
                act("Ask again", "wide", Callback::new(on)),
            ]),
            State::On => group(vec![
                said("line", "The phone listens."),
                act("Set by two balls", "wide", Callback::new(calibrate)),
            ]),
        }),
        live(move || said("line", told.get())),
        choice(
            "Lift by",
            vec![("tap", "Tap"), ("beat", "The beat")],
            Signal::derive(move || {
                if tempo.lift_by_beat.get() {
                    "beat"
                } else {
                    "tap"
                }
            }),
            Callback::new(move |id| {
                tempo.forget();
                tempo.lift_by_beat.set(id == "beat");
            }),
        ),
        line(
            "line",
            "The contact tone is left silent so that only the ball is heard. Sound takes 3 ms a \
             metre, and a phone's microphone is some 10 to 50 ms late (from memory); the browser's \
             own figure is taken off. Compare counts by sound with counts by sound.",
        ),
    ])
}

/// What is waited for: nothing, the first ball, or the second.
type Balls = RwSignal<Option<Option<Onset>>>;

async fn open(
    tempo: Tempo,
    balls: Balls,
    state: RwSignal<State>,
    told: RwSignal<String>,
) -> Result<(), String> {
    let player = tempo.sound().await?;
    let late_ms = Rc::new(Cell::new(0.0));
    let delay = late_ms.clone();
    let clocks = RefCell::new(Clocks::default());
    let ear = RefCell::new(None::<Ear>);
    let clock = Rc::clone(&player);
    let heard: Rc<dyn Fn(Block)> = Rc::new(move |block: Block| {
        // A page that was busy gets its blocks late, where the clock itself is right.
        let ends_s = block.at_s + block.samples.len() as f64 / block.rate_hz;
        let mut clocks = clocks.borrow_mut();
        clocks.read(page_now_ms() / 1e3, ends_s.max(clock.now_s()));
        let mut ear = ear.borrow_mut();
        if ear.is_none() {
            *ear = told_of(told, Listener::new(block.rate_hz, None)).map(Ear::new);
        }
        let Some(ear) = ear.as_mut() else {
            return;
        };
        for (onset, at_s) in ear.hear(&block) {
            let Some(at_s) = clocks.page_s(at_s) else {
                continue;
            };
            let at_ms = at_s * 1e3 - delay.get();
            if let Some(set) = take_in(tempo, balls, told, onset, at_ms)
                && let Some(with) = told_of(told, Listener::new(block.rate_hz, Some(set)))
            {
                // From the next block on only what is strong enough.
                *ear = Ear::new(with);
                break;
            }
        }
    });
    let ended: Rc<dyn Fn()> = Rc::new(move || {
        let why = "The phone took the microphone away, as it does for a call.";
        let _ = state.try_set(State::No(format!("{why} Counts so far are kept.")));
        tempo.interrupted(why);
    });
    let microphone = Microphone::on(&player, heard, ended).await;
    let microphone = microphone.map_err(|why| why.sentence().to_owned())?;
    late_ms.set(microphone.late_s * 1e3);
    tempo
        .gear
        .try_update_value(|gear| gear.microphone = Some(microphone));
    Ok(())
}

/// A listener, and where its stream lies on the audio clock.
struct Ear {
    listener: Listener,
    pushed: usize,
}

impl Ear {
    const fn new(listener: Listener) -> Self {
        Self {
            listener,
            pushed: 0,
        }
    }

    /// The sharp starts of a block, each with its time on the audio clock, s. A
    /// phone that was interrupted leaves a gap between blocks: times count from the
    /// block at hand and not from the first.
    fn hear(&mut self, block: &Block) -> Vec<(Onset, f64)> {
        let began_s = block.at_s - self.pushed as f64 / block.rate_hz;
        self.pushed += block.samples.len();
        let found = self.listener.push(block.samples);
        let timed = found
            .into_iter()
            .map(|onset| (onset, began_s + self.listener.seconds(&onset)));
        timed.collect()
    }
}

/// What went right; what went wrong is told.
fn told_of<T>(told: RwSignal<String>, tried: Result<T, OnsetError>) -> Option<T> {
    match tried {
        Ok(value) => Some(value),
        Err(error) => {
            // The page may be gone.
            let _ = told.try_set(error.to_string());
            None
        }
    }
}

/// A sound: a contact, or a ball of the calibration, which the second one ends.
fn take_in(
    tempo: Tempo,
    balls: Balls,
    told: RwSignal<String>,
    onset: Onset,
    at_ms: f64,
) -> Option<Calibration> {
    match balls.try_get_untracked()? {
        None => tempo.heard(at_ms),
        Some(None) => {
            balls.set(Some(Some(onset)));
            told.set("One ball heard. One more.".to_owned());
        }
        Some(Some(first)) => {
            let Some(set) = told_of(told, Calibration::of([first, onset])) else {
                balls.set(Some(None));
                return None;
            };
            balls.set(None);
            told.set("Two balls heard. Weaker sounds are left out from now on.".to_owned());
            return Some(set);
        }
    }
    None
}
