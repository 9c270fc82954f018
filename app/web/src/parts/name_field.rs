//! A short name that can be typed over.

use leptos::prelude::*;

/// A name: what is named, the name on disk, and what is done with one that was
/// typed, which says why it cannot be kept.
pub fn name_field(
    label: &'static str,
    value: Signal<String>,
    on_change: Callback<String, Result<(), String>>,
) -> AnyView {
    let refusal = RwSignal::new(None::<String>);
    let refusal_id = format!("name-{}-refusal", label.replace(' ', "-"));
    let keep = move |typed: String| {
        let kept = on_change.run(typed);
        refusal.set(kept.err());
    };
    view! {
        <label>
            <span>{label}</span>
            <input
                type="text"
                dir="auto"
                autocomplete="off"
                prop:value=move || value.get()
                aria-describedby=refusal_id.clone()
                aria-invalid=move || refusal.with(Option::is_some).to_string()
                on:change=move |event| keep(event_target_value(&event))
            />
        </label>
        <p id=refusal_id class="refusal" role="status">
            {move || refusal.get()}
        </p>
    }
    .into_any()
}
