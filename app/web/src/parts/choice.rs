//! One of a few, as large buttons; and one of many, as the phone's own picker.

use leptos::prelude::*;

/// One of a few: a row of buttons of which one is pressed. `options` are ids and
/// names, `chosen` the id of the one that holds.
pub fn choice(
    label: &'static str,
    options: Vec<(&'static str, &'static str)>,
    chosen: Signal<&'static str>,
    on_choose: Callback<&'static str>,
) -> AnyView {
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
    .into_any()
}

/// An id and a name of a list that does not change.
pub fn option_of(id: &str, name: &str) -> (String, String) {
    (id.to_owned(), name.to_owned())
}

/// Ids and names of a list that does not change.
pub fn options_of<T>(list: &[T], of: fn(&T) -> (&str, &str)) -> Vec<(String, String)> {
    let owned = |entry| {
        let (id, name) = of(entry);
        option_of(id, name)
    };
    list.iter().map(owned).collect()
}

/// One of many: as [`choice`], but by the phone's own picker. `unseen` hides the
/// label from sight where the place says it all.
pub fn selection(
    label: &'static str,
    unseen: bool,
    options: Signal<Vec<(String, String)>>,
    chosen: Signal<String>,
    on_choose: Callback<String>,
) -> AnyView {
    let entries = move || {
        let entry = |(id, name): (String, String)| {
            let holds = chosen.with(|chosen| *chosen == id);
            view! {
                <option value=id selected=holds>
                    {name}
                </option>
            }
        };
        options.get().into_iter().map(entry).collect_view()
    };
    view! {
        <label class="selection">
            <span class:unseen=unseen>{label}</span>
            <select
                on:change=move |event| on_choose.run(event_target_value(&event))
                prop:value=move || chosen.get()
            >
                {entries}
            </select>
        </label>
    }
    .into_any()
}
