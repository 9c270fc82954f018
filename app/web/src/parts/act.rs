//! A button that does one thing. One component for all of them, so that it is
//! compiled once.

use leptos::prelude::*;

/// A button.
#[component]
pub fn Act(
    /// What it says.
    #[prop(into)]
    label: Signal<String>,
    /// What a screen reader says instead, where the label alone says too little.
    #[prop(optional, into)]
    spoken: MaybeProp<String>,
    /// "quiet" for a button that looks like a link, "wide" for one of full width.
    #[prop(default = "")]
    class: &'static str,
    /// Whether what it shows or hides is shown.
    #[prop(optional, into)]
    expanded: Option<Signal<bool>>,
    /// Called when touched.
    #[prop(into)]
    on_act: Callback<()>,
) -> impl IntoView {
    view! {
        <button
            type="button"
            class=class
            aria-label=move || spoken.get()
            aria-expanded=move || expanded.map(|expanded| expanded.get().to_string())
            on:click=move |_| on_act.run(())
        >
            {label}
        </button>
    }
}
