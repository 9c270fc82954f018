//! Several of a few, as large buttons: each is pressed or not.

use leptos::prelude::*;

/// A row of buttons. `options` are ids and names; `holds` says whether one is
/// pressed, and may track; `on_touch` is told which was touched.
pub fn toggles(
    label: &'static str,
    options: Vec<(String, String)>,
    holds: Callback<String, bool>,
    on_touch: Callback<String>,
) -> AnyView {
    let buttons = options.into_iter().map(|(id, name)| {
        let touched = id.clone();
        view! {
            <button
                type="button"
                aria-pressed=move || holds.run(id.clone()).to_string()
                on:click=move |_| on_touch.run(touched.clone())
            >
                {name}
            </button>
        }
    });
    view! {
        <div class="choice" role="group" aria-label=label>
            <span class="choice-label">{label}</span>
            <div class="choice-row">{buttons.collect_view()}</div>
        </div>
    }
    .into_any()
}
