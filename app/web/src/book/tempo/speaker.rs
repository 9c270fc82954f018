//! How much later than the browser says a speaker is heard, as one over Bluetooth
//! is: measured by tapping along, kept on this phone.

use super::beat_button;
use super::run::Tempo;
use crate::device::audio::Tone;
use crate::parts::{act, group, line, live, live_line};
use crate::words::fixed;
use coaching::tempo::TempoError;
use coaching::tempo::delay::{Delay, checked_delay_s};
use gloo_storage::{LocalStorage, Storage as _};
use leptos::prelude::*;
use std::cell::Cell;
use wasm_bindgen_futures::spawn_local;

const KEY: &str = "stridebook.speaker-delay-ms";
/// Tones of a tap-along, and how far apart.
const TONES: usize = 16;
const APART_S: f64 = 0.75;
/// The first ones are for finding the beat.
const LISTEN: usize = 3;
/// The middle of the delays that can be measured, ms: a tap is put to the tone whose
/// delay would be nearest to it, so delays from −125 to 625 ms are told apart.
const MIDDLE_MS: f64 = 250.0;

thread_local! {
    static DELAY: Cell<Option<f64>> = const { Cell::new(None) };
}

/// The delay, ms; zero when none was measured.
pub fn delay_ms() -> f64 {
    if let Some(known) = DELAY.get() {
        return known;
    }
    let kept: f64 = LocalStorage::get(KEY).unwrap_or(0.0);
    let kept = checked_delay_s(kept / 1e3).map_or(0.0, |delay_s| delay_s * 1e3);
    DELAY.set(Some(kept));
    kept
}

fn keep(ms: f64) {
    DELAY.set(Some(ms));
    // Not kept beyond this visit when the phone's storage is full.
    let _ = LocalStorage::set(KEY, ms);
}

/// Each tap with the tone nearest before or after it, both in seconds, as
/// `coaching` wants them; a tap nearer to no tone than half a step is none.
fn pairs(tones_ms: &[f64], taps_ms: &[f64]) -> Vec<(f64, f64)> {
    taps_ms
        .iter()
        .filter_map(|tap_ms| {
            let off = |tone_ms: &f64| (tap_ms - tone_ms - MIDDLE_MS).abs();
            let near = tones_ms
                .iter()
                .min_by(|a, b| off(a).total_cmp(&off(b)))
                .filter(|tone_ms| off(tone_ms) <= 500.0 * APART_S)?;
            Some((near / 1e3, tap_ms / 1e3))
        })
        .collect()
}

/// The delay that the taps give, s, and its sentence: the difference to the phone's
/// own speaker where the same person tapped along with that too.
fn measured_s(pairs: &[(f64, f64)], own: Option<Delay>) -> Result<(f64, String), TempoError> {
    let Some(own) = own else {
        let measured = Delay::of(pairs)?;
        return Ok((measured.setting_s(), measured.sentence()));
    };
    let measured = Delay::tapped(pairs)?;
    let delay_s = checked_delay_s(measured.beyond(&own))?;
    let sentence = format!(
        "The speaker is {} ms later than the phone\u{2019}s own ({} and {} taps).",
        fixed(delay_s * 1e3, 0),
        measured.n,
        own.n
    );
    Ok((delay_s, sentence))
}

/// The fold's inside.
pub fn view() -> AnyView {
    let tempo = expect_context::<Tempo>();
    let delay = RwSignal::new(delay_ms());
    // What the same person taps to the phone's own speaker, for this visit.
    let own = RwSignal::new(None::<Delay>);
    let is_own = StoredValue::new(false);
    let tones = StoredValue::new(Vec::<f64>::new());
    let taps = RwSignal::new(None::<Vec<f64>>);
    let said = RwSignal::new(String::new());
    let finish = move || {
        let tapped = taps.try_update(Option::take).flatten().unwrap_or_default();
        let pairs = pairs(&tones.get_value(), &tapped);
        if is_own.get_value() {
            match Delay::tapped(&pairs) {
                Ok(measured) => {
                    own.set(Some(measured));
                    said.set(
                        "Your own tapping is known. Connect the speaker now and measure it."
                            .to_owned(),
                    );
                }
                Err(refused) => said.set(refused.to_string()),
            }
            return;
        }
        match measured_s(&pairs, own.get_untracked()) {
            Ok((delay_s, sentence)) => {
                keep(delay_s * 1e3);
                delay.set(delay_s * 1e3);
                said.set(format!("{sentence} It holds now."));
            }
            Err(refused @ TempoError::DelayRange) if own.with_untracked(Option::is_none) => {
                said.set(format!(
                    "{refused} Perhaps it is your own tapping: switch the speaker off, tap along \
                     with the phone\u{2019}s own, then measure again. Only the difference counts then."
                ));
            }
            Err(refused) => said.set(refused.to_string()),
        }
    };
    let begin = move |of_own: bool| {
        is_own.set_value(of_own);
        spawn_local(async move {
            match tempo.sound().await {
                Err(why) => said.set(why),
                Ok(player) => {
                    tempo.stop();
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
             memory). Tap along with the phone\u{2019}s own speaker too, and what is yours drops out. \
             The delay is kept for this phone.",
        ),
        live_line("line", move || {
            format!("Delay now: {} ms.", fixed(delay.get(), 0))
        }),
        live(move || {
            if taps.with(Option::is_none) {
                let own_label = match own.with(Option::is_some) {
                    true => "Tap along with the phone\u{2019}s own speaker again",
                    false => "Tap along with the phone\u{2019}s own speaker first",
                };
                return group(vec![
                    act(
                        "Measure by tapping along",
                        "wide",
                        Callback::new(move |()| begin(false)),
                    ),
                    act(own_label, "quiet", Callback::new(move |()| begin(true))),
                ]);
            }
            beat_button::view("Tap along", Callback::new(tap))
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
    use super::{measured_s, pairs};
    use coaching::tempo::TempoError;
    use coaching::tempo::delay::Delay;

    #[test]
    fn each_tap_goes_to_the_tone_it_is_late_for() {
        let tones: Vec<f64> = (0..9).map(|n| f64::from(n) * 750.0).collect();
        for late_ms in [-90.0, 0.0, 180.0, 590.0] {
            let taps: Vec<f64> = tones.iter().map(|tone| tone + late_ms).collect();
            let delay = Delay::of(&pairs(&tones, &taps)).expect("nine even taps");
            assert!((delay.offset_s * 1e3 - late_ms).abs() < 1e-6, "{delay:?}");
        }
    }

    #[test]
    fn a_late_tapper_is_measured_by_the_difference() {
        let tones: Vec<f64> = (0..9).map(|n| f64::from(n) * 750.0).collect();
        let late = |ms: f64| -> Vec<(f64, f64)> {
            let taps: Vec<f64> = tones.iter().map(|tone| tone + ms).collect();
            pairs(&tones, &taps)
        };
        assert!(measured_s(&late(615.0), None).is_err());
        let own = Delay::tapped(&late(40.0)).expect("nine even taps");
        let (delay_s, _) = measured_s(&late(615.0), Some(own)).expect("a delay");
        assert!((delay_s - 0.575).abs() < 1e-9);
    }

    #[test]
    fn taps_away_from_the_tones_are_left_out() {
        assert_eq!(pairs(&[3_000.0], &[750.0, 1_500.0, 3_180.0]).len(), 1);
    }
}
