//! A button that does one thing. Functions and not a component, so that it is
//! compiled once.

use leptos::prelude::*;

/// A button that says `label`. Class "quiet" for one that looks like a link,
/// "wide" for one of full width, "" for neither.
pub fn act(label: impl Into<String>, class: &'static str, on_act: Callback<()>) -> AnyView {
    button(Signal::stored(label.into()), None, class, None, on_act)
}

/// A button of which a screen reader says `spoken`, as the label alone says too
/// little, and whether what it shows or hides is shown.
pub fn act_spoken(
    label: Signal<String>,
    spoken: Signal<String>,
    class: &'static str,
    expanded: Option<Signal<bool>>,
    on_act: Callback<()>,
) -> AnyView {
    button(label, Some(spoken), class, expanded, on_act)
}

fn button(
    label: Signal<String>,
    spoken: Option<Signal<String>>,
    class: &'static str,
    expanded: Option<Signal<bool>>,
    on_act: Callback<()>,
) -> AnyView {
    view! {
        <button
            type="button"
            class=class
            aria-label=move || spoken.map(|spoken| spoken.get())
            aria-expanded=move || expanded.map(|expanded| expanded.get().to_string())
            on:click=move |_| on_act.run(())
        >
            {label}
        </button>
    }
    .into_any()
}
