//! The count by the phone's motion, asked for in plain words.

use super::pocket::{Felt, Pocket};
use super::run::Tempo;
use crate::device::motion::{MISSING, Motion, Reading};
use crate::parts::{act, group, line, live, said};
use leptos::prelude::*;
use std::cell::RefCell;
use std::rc::Rc;
use std::time::Duration;
use wasm_bindgen_futures::spawn_local;

#[derive(Clone, Copy, PartialEq)]
enum State {
    Off,
    On,
    No(&'static str),
}

/// How long to wait for a first reading.
const WAIT: Duration = Duration::from_millis(1500);

/// The controls of counting by motion.
pub fn view(tempo: Tempo) -> AnyView {
    let state = RwSignal::new(State::Off);
    let on = move |()| {
        spawn_local(async move {
            let pocket = RefCell::new(Pocket::default());
            let sensed: Rc<dyn Fn(Reading)> = Rc::new(move |reading: Reading| {
                let size = |v: [f64; 3]| v.iter().map(|part| part * part).sum::<f64>().sqrt();
                let swing = pocket.borrow_mut().feel(Felt {
                    at_s: reading.at_ms / 1e3,
                    pull_m_s2: size(reading.acceleration_m_s2),
                    turn_deg_s: size(reading.turning_deg_s),
                });
                if let Some(swing) = swing {
                    let (lift_ms, contact_ms) = (swing.lift_s * 1e3, swing.contact_s * 1e3);
                    tempo.contact(Some(lift_ms), contact_ms, Some(swing.quality));
                }
            });
            match Motion::on(sensed).await {
                Ok(motion) => {
                    tempo
                        .gear
                        .try_update_value(|gear| gear.motion = Some(motion));
                    let _ = state.try_set(State::On);
                    set_timeout(
                        move || {
                            let silent = tempo.gear.try_with_value(|gear| {
                                gear.motion
                                    .as_ref()
                                    .is_some_and(|motion| !motion.has_come())
                            });
                            if silent == Some(true) {
                                tempo.gear.update_value(|gear| gear.motion = None);
                                let _ = state.try_set(State::No(MISSING));
                            }
                        },
                        WAIT,
                    );
                }
                Err(why) => {
                    let _ = state.try_set(State::No(why));
                }
            }
        });
    };
    group(vec![
        line(
            "line",
            "The phone stands in the hitter's back pocket and senses the lift and the turn of the \
             hips. For that it needs the motion sensors. Readings are looked at on this phone and \
             thrown away. The fastest turn is taken for contact, which is near it and not the same: \
             each count is marked good, fair or poor.",
        ),
        live(move || match state.get() {
            State::Off => act("Let the phone sense motion", "wide", Callback::new(on)),
            State::On => said("line", "The phone senses motion."),
            State::No(why) => group(vec![
                said("refusal", why),
                act("Ask again", "wide", Callback::new(on)),
            ]),
        }),
        line(
            "line caution",
            "A phone in the pocket can fall or break: a closed pocket, and never with a medicine \
             ball against the body.",
        ),
    ])
}
