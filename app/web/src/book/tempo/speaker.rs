//! How much later than the browser says a speaker is heard, as one over Bluetooth
//! is: measured by tapping along, kept on this phone.

use super::run::Tempo;
use crate::device::audio::Tone;
use crate::parts::{act, group, line, live, live_line};
use crate::words::fixed;
use gloo_storage::{LocalStorage, Storage as _};
use leptos::prelude::*;
use std::cell::Cell;
use wasm_bindgen_futures::spawn_local;

const KEY: &str = "stridebook.speaker-delay-ms";
/// Tones of a tap-along, and how far apart.
const TONES: usize = 12;
const APART_S: f64 = 0.75;
/// The first ones are for finding the beat.
const LISTEN: usize = 3;
/// Most that is believed, ms: half the time between two tones.
const MOST_MS: f64 = 375.0;

thread_local! {
    static DELAY: Cell<Option<f64>> = const { Cell::new(None) };
}

/// The delay, ms; zero when none was measured.
pub fn delay_ms() -> f64 {
    if let Some(known) = DELAY.get() {
        return known;
    }
    let kept: f64 = LocalStorage::get(KEY).unwrap_or(0.0);
    let kept = if kept.is_finite() {
        kept.clamp(-MOST_MS, MOST_MS)
    } else {
        0.0
    };
    DELAY.set(Some(kept));
    kept
}

fn keep(ms: f64) {
    DELAY.set(Some(ms));
    // Not kept beyond this visit when the phone's storage is full.
    let _ = LocalStorage::set(KEY, ms);
}

/// The middle of the differences between taps and the tones nearest to them,
/// both in ms; `None` below six taps.
pub fn delay_of(tones_ms: &[f64], taps_ms: &[f64]) -> Option<f64> {
    let mut off: Vec<f64> = taps_ms
        .iter()
        .filter_map(|tap| {
            tones_ms
                .iter()
                .map(|tone| tap - tone)
                .min_by(|a, b| a.abs().total_cmp(&b.abs()))
        })
        .filter(|off| off.abs() <= MOST_MS)
        .collect();
    if off.len() < 6 {
        return None;
    }
    off.sort_unstable_by(f64::total_cmp);
    let half = off.len() / 2;
    Some(if off.len() % 2 == 1 {
        off[half]
    } else {
        f64::midpoint(off[half - 1], off[half])
    })
}

/// The fold's inside.
pub fn view() -> AnyView {
    let tempo = expect_context::<Tempo>();
    let delay = RwSignal::new(delay_ms());
    let tones = StoredValue::new(Vec::<f64>::new());
    let taps = RwSignal::new(None::<Vec<f64>>);
    let said = RwSignal::new(String::new());
    let finish = move || {
        let tapped = taps.try_update(Option::take).flatten().unwrap_or_default();
        match delay_of(&tones.get_value(), &tapped) {
            Some(ms) => {
                keep(ms);
                delay.set(ms);
                said.set(format!(
                    "{} taps. The delay is {} ms and holds now.",
                    tapped.len(),
                    fixed(ms, 0)
                ));
            }
            None => said.set(format!(
                "{} taps; 6 or more within the tones are needed. The delay from before is kept.",
                tapped.len()
            )),
        }
    };
    let begin = move |()| {
        spawn_local(async move {
            match tempo.sound().await {
                Err(why) => said.set(why),
                Ok(player) => {
                    tempo.stop_playing();
                    let start_s = player.now_s() + 0.5;
                    let at_s = (0..TONES).map(|n| start_s + APART_S * n as f64);
                    let tone = Tone {
                        hz: 988.0,
                        lasts_s: 0.05,
                    };
                    at_s.clone().for_each(|at_s| player.play_at(tone, at_s));
                    tones.set_value(at_s.skip(LISTEN).map(|at_s| player.page_ms(at_s)).collect());
                    taps.set(Some(Vec::new()));
                    said.set("Listen to three tones, then tap along.".to_owned());
                    let whole_s = 1.0 + APART_S * TONES as f64;
                    set_timeout(
                        move || {
                            if taps.try_with_untracked(Option::is_some) == Some(true) {
                                finish();
                            }
                        },
                        std::time::Duration::from_secs_f64(whole_s),
                    );
                }
            }
        });
    };
    let tap = move |at_ms: f64| {
        taps.update(|taps| {
            if let Some(taps) = taps {
                taps.push(at_ms);
            }
        });
    };
    group(vec![
        line(
            "line",
            "A speaker over Bluetooth is heard later than the phone plays. Tap along with the tones \
             as you hear them: light, vibration and counts by the beat then wait for the speaker. \
             People tap a little before a tone they expect, so this is good to some 50 ms (from \
             memory), and it is kept for this phone.",
        ),
        live_line("line", move || {
            format!("Delay now: {} ms.", fixed(delay.get(), 0))
        }),
        live(move || {
            if taps.with(Option::is_none) {
                return act("Measure by tapping along", "wide", Callback::new(begin));
            }
            view! {
                <button
                    type="button"
                    class="tap-button speaker-tap"
                    on:pointerdown=move |event| {
                        if event.is_primary() && event.button() == 0 {
                            tap(event.time_stamp());
                        }
                    }
                    on:keydown=move |event| {
                        if matches!(event.key().as_str(), " " | "Enter") {
                            event.prevent_default();
                            if !event.repeat() {
                                tap(event.time_stamp());
                            }
                        }
                    }
                >
                    "Tap along"
                </button>
            }
            .into_any()
        }),
        act(
            "No delay",
            "quiet",
            Callback::new(move |()| {
                keep(0.0);
                delay.set(0.0);
                said.set("The delay is 0 ms.".to_owned());
            }),
        ),
        live_line("line", move || said.get()),
    ])
}

#[cfg(test)]
mod tests {
    use super::delay_of;

    #[test]
    fn the_delay_is_the_middle_of_the_taps_and_one_far_off_does_not_move_it() {
        let tones: Vec<f64> = (0..9).map(|n| f64::from(n) * 750.0).collect();
        let mut taps: Vec<f64> = tones.iter().map(|tone| tone + 180.0).collect();
        taps[4] += 150.0;
        assert_eq!(delay_of(&tones, &taps), Some(180.0));
        assert_eq!(delay_of(&tones, &taps[..5]), None);
    }
}
