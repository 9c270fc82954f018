//! The count by the phone's motion, asked for in plain words.

use super::run::Tempo;
use crate::device::motion::{MISSING, Motion, Reading};
use crate::parts::{act, group, line, live, said};
use coaching::tempo::motion::{Pocket, Sample};
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

/// How long to wait for a first reading; a busy phone is not taken for one without
/// sensors.
const WAIT: Duration = Duration::from_secs(4);

/// The controls of counting by motion.
pub fn view(tempo: Tempo) -> AnyView {
    let state = RwSignal::new(State::Off);
    let on = move |()| {
        spawn_local(async move {
            let pocket = RefCell::new(Pocket::default());
            let sensed: Rc<dyn Fn(Reading)> = Rc::new(move |reading: Reading| {
                let found = pocket.borrow_mut().feel(Sample {
                    t_ms: reading.at_ms,
                    acceleration_m_s2: reading.acceleration_m_s2,
                    rotation_deg_s: reading.turning_deg_s,
                });
                match found {
                    None => {}
                    Some(Ok(swing)) => tempo.felt(&swing),
                    Some(Err(error)) => {
                        // The page may be gone.
                        let _ = tempo.said.try_set(error.to_string());
                    }
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
             each count is marked good, fair or poor, with the reason. A poor one is shown and is not \
             kept unless you say so. Stand still for a moment before the lift, one swing at a time.",
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
