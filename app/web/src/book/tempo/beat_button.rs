//! A large button that is tapped along with something: it gives the event's own time,
//! and the page's own keys leave it alone.

use leptos::prelude::*;

/// The button.
pub fn view(word: &'static str, tap: Callback<f64>) -> AnyView {
    view! {
        <button
            type="button"
            class="tap-button beat-tap"
            on:pointerdown=move |event| {
                if event.is_primary() && event.button() == 0 {
                    tap.run(event.time_stamp());
                }
            }
            on:keydown=move |event| {
                if matches!(event.key().as_str(), " " | "Enter") {
                    event.prevent_default();
                    if !event.repeat() {
                        tap.run(event.time_stamp());
                    }
                }
            }
            on:click=move |event| {
                // A click without a press: assistive technology.
                if event.detail() == 0 {
                    tap.run(event.time_stamp());
                }
            }
        >
            {word}
        </button>
    }
    .into_any()
}
