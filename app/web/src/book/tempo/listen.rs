//! Contact by sound: the microphone asked for in plain words, two balls to set how
//! loud a contact is, and what it hears put to the rep.

use super::ear::{Ear, Heard};
use super::run::Tempo;
use crate::device::audio::{Block, Microphone, NoMicrophone};
use crate::device::clock::page_now_ms;
use crate::parts::{act, choice, group, line, live, said};
use leptos::prelude::*;
use std::cell::{Cell, RefCell};
use std::rc::Rc;
use wasm_bindgen_futures::spawn_local;

#[derive(Clone, Copy, PartialEq)]
enum State {
    Off,
    Asked,
    On,
    No(&'static str),
}

/// The controls of counting by sound.
pub fn view(tempo: Tempo) -> AnyView {
    let state = RwSignal::new(State::Off);
    let balls = RwSignal::new(None::<Vec<f32>>);
    let ear = StoredValue::new_local(Rc::new(RefCell::new(Ear::default())));
    let told = RwSignal::new(String::new());
    let on = move |()| {
        state.set(State::Asked);
        spawn_local(async move {
            let opened = open(tempo, ear, balls, state, told).await;
            let _ = state.try_set(match opened {
                Ok(()) => State::On,
                Err(why) => State::No(why),
            });
        });
    };
    let calibrate = move |()| {
        balls.set(Some(Vec::new()));
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

async fn open(
    tempo: Tempo,
    ear: StoredValue<Rc<RefCell<Ear>>, LocalStorage>,
    balls: RwSignal<Option<Vec<f32>>>,
    state: RwSignal<State>,
    told: RwSignal<String>,
) -> Result<(), &'static str> {
    let player = tempo
        .sound()
        .await
        .map_err(|_| NoMicrophone::Failed.sentence())?;
    let ear = ear.try_get_value().ok_or("")?;
    *ear.borrow_mut() = Ear::default();
    let late_ms = Rc::new(Cell::new(0.0));
    let delay = late_ms.clone();
    // The page's clock less the audio clock, as the earliest block tells it: a busy
    // page hands a block on late and never early.
    let offset_ms = Cell::new(f64::INFINITY);
    let heard: Rc<dyn Fn(Block)> = Rc::new(move |block: Block| {
        let ends_ms = (block.at_s + block.samples.len() as f64 / block.rate_hz) * 1e3;
        // A little more each time, so that it follows clocks that drift apart.
        let drifted_ms = offset_ms.get() + 0.001;
        offset_ms.set(drifted_ms.min(page_now_ms() - ends_ms));
        let found = ear
            .borrow_mut()
            .hear(block.at_s, block.rate_hz, block.samples);
        for sound in found {
            let at_ms = sound.at_s * 1e3 + offset_ms.get() - delay.get();
            take_in(tempo, &ear, balls, told, sound, at_ms);
        }
    });
    let ended: Rc<dyn Fn()> = Rc::new(move || {
        let why = "The phone took the microphone away, as it does for a call.";
        let _ = state.try_set(State::No(
            "The phone took the microphone away, as it does for a call. Counts so far are kept.",
        ));
        tempo.interrupted(why);
    });
    let microphone = Microphone::on(&player, heard, ended).await;
    let microphone = microphone.map_err(NoMicrophone::sentence)?;
    late_ms.set(microphone.late_s * 1e3);
    tempo
        .gear
        .try_update_value(|gear| gear.microphone = Some(microphone));
    Ok(())
}

/// A sound: a ball of the calibration, or a contact.
fn take_in(
    tempo: Tempo,
    ear: &Rc<RefCell<Ear>>,
    balls: RwSignal<Option<Vec<f32>>>,
    told: RwSignal<String>,
    sound: Heard,
    at_ms: f64,
) {
    let Some(calibrating) = balls.try_with_untracked(Option::is_some) else {
        return;
    };
    if !calibrating {
        tempo.contact(None, at_ms, None);
        return;
    }
    balls.update(|balls| {
        if let Some(balls) = balls {
            balls.push(sound.strength);
        }
    });
    let so_far = balls.get_untracked().unwrap_or_default();
    let so_far: Vec<Heard> = so_far
        .into_iter()
        .map(|strength| Heard {
            at_s: 0.0,
            strength,
        })
        .collect();
    if ear.borrow_mut().calibrate(&so_far) {
        balls.set(None);
        told.set("Two balls heard. Sounds less than half as high are left out now.".to_owned());
    } else {
        told.set("One ball heard. One more.".to_owned());
    }
}
