//! Keys that tap, and the page going out of sight.

use super::gear::Gear;
use super::run::Tempo;
use super::way::Way;
use crate::device::page;
use leptos::prelude::*;
use wasm_bindgen::prelude::*;

/// Listens to keys and to the page going out of sight, for as long as the page of
/// tempo is shown; then everything it held of the phone is let go.
pub fn watch(tempo: Tempo) {
    let keys = window_event_listener(leptos::ev::keydown, move |event| {
        let element = event
            .target()
            .and_then(|target| target.dyn_into::<web_sys::Element>().ok());
        let within = |selector: &str| {
            let found = element
                .as_ref()
                .and_then(|element| element.closest(selector).ok());
            found.flatten().is_some()
        };
        // A remote's keys are nobody else's; those of a keyboard may be meant for
        // what has the focus.
        let taps = match event.key().as_str() {
            "PageUp" | "PageDown" | "MediaPlayPause" | "MediaTrackNext" | "MediaTrackPrevious"
            | "AudioVolumeUp" | "AudioVolumeDown" => !within("input, select"),
            " " | "Enter" | "ArrowUp" | "ArrowDown" | "ArrowLeft" | "ArrowRight" => {
                !within("button:not(.tap-button), .beat-tap, a, input, select, [role=region]")
            }
            _ => false,
        };
        let counts = matches!(tempo.way.get_untracked(), Way::Taps | Way::Sound);
        if taps && counts && !event.alt_key() && !event.ctrl_key() && !event.meta_key() {
            // Neither a scroll nor the button's own click beside it.
            event.prevent_default();
            if !event.repeat() {
                tempo.tap(event.time_stamp());
            }
        }
    });
    let seen = Closure::<dyn Fn()>::new(move || tempo.seen_changed());
    let seen = StoredValue::new_local(seen);
    seen.with_value(|seen| page::listen(true, "visibilitychange", seen.as_ref()));
    on_cleanup(move || {
        keys.remove();
        seen.with_value(|seen| page::deafen(true, "visibilitychange", seen.as_ref()));
        tempo.stop_playing();
        tempo.gear.update_value(|gear| *gear = Gear::default());
    });
}
