//! One of a few, as large buttons; and one of many, as the phone's own picker.

use leptos::prelude::*;

/// One of a few: a row of buttons of which one is pressed.
#[component]
pub fn Choice(
    /// What is chosen.
    label: &'static str,
    /// Ids and names.
    options: Vec<(&'static str, &'static str)>,
    /// Id of the one that holds.
    #[prop(into)]
    chosen: Signal<&'static str>,
    /// Called with the id touched.
    #[prop(into)]
    on_choose: Callback<&'static str>,
) -> impl IntoView {
    let buttons = options.into_iter().map(|(id, name)| {
        view! {
            <button
                type="button"
                aria-pressed=move || (chosen.get() == id).to_string()
                on:click=move |_| on_choose.run(id)
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
}

/// One of many.
#[component]
pub fn Selection(
    /// What is chosen.
    label: &'static str,
    /// Hides the label from sight where the place says it all.
    #[prop(optional)]
    label_unseen: bool,
    /// Ids and names.
    options: Vec<(&'static str, &'static str)>,
    /// Id of the one that holds.
    #[prop(into)]
    chosen: Signal<&'static str>,
    /// Called with the id picked.
    #[prop(into)]
    on_choose: Callback<&'static str>,
) -> impl IntoView {
    let known = options.clone();
    let on_change = move |event| {
        let value = event_target_value(&event);
        if let Some((id, _)) = known.iter().find(|(id, _)| *id == value) {
            on_choose.run(id);
        }
    };
    let entries = options.into_iter().map(|(id, name)| {
        view! {
            <option value=id selected=move || chosen.get() == id>
                {name}
            </option>
        }
    });
    view! {
        <label class="selection">
            <span class:unseen=label_unseen>{label}</span>
            <select on:change=on_change prop:value=move || chosen.get()>
                {entries.collect_view()}
            </select>
        </label>
    }
}
