//! A number with a unit, its range, and large steps up and down. What is typed
//! wrongly is refused in words, and the value before stays.

use crate::words::plain;
use flight::{Field, Range, RangeError};
use leptos::prelude::*;
use wasm_bindgen::JsValue;

/// The longest text that is echoed in a message.
const ECHO: usize = 20;

/// One number.
#[component]
pub fn NumberField(
    /// Which number; gives the label and the words of a refusal.
    field: Field,
    /// Allowed values.
    #[prop(into)]
    range: Signal<Range>,
    /// One touch of a step button, in the range's unit.
    step: f64,
    /// The value on disk.
    #[prop(into)]
    value: Signal<f64>,
    /// Called with an allowed value.
    #[prop(into)]
    on_change: Callback<f64>,
) -> impl IntoView {
    let refusal = RwSignal::new(None::<String>);
    let keep = move |typed: Result<f64, String>| match typed
        .and_then(|given| checked(range.get_untracked(), field, given))
    {
        Ok(given) => {
            refusal.set(None);
            on_change.run(given);
        }
        Err(reason) => {
            let unit = range.get_untracked().unit;
            refusal.set(Some(format!(
                "{reason}. Kept: {} {unit}.",
                plain(value.get_untracked())
            )));
        }
    };
    let step_by = move |by: f64| {
        // Onto the grid of steps, and never past an end of the range.
        let range = range.get_untracked();
        let next = ((value.get_untracked() + by) / step).round() * step;
        keep(Ok(next.clamp(range.min, range.max)));
    };
    let id = format!("field-{field:?}");
    let refusal_id = format!("{id}-refusal");
    let hint = move || {
        let Range { min, max, unit } = range.get();
        format!("{} to {} {unit}", plain(min), plain(max))
    };
    view! {
        <div class="number">
            <label for=id.clone()>
                {field.to_string()} <small>{hint}</small>
            </label>
            <div class="number-row">
                <button
                    type="button"
                    aria-label=format!("{field}: less")
                    on:click=move |_| step_by(-step)
                >
                    "\u{2212}"
                </button>
                <input
                    id=id
                    type="text"
                    inputmode="decimal"
                    autocomplete="off"
                    prop:value=move || plain(value.get())
                    aria-describedby=refusal_id.clone()
                    aria-invalid=move || refusal.with(Option::is_some).to_string()
                    on:change=move |event| {
                        keep(read(range.get_untracked(), field, &event_target_value(&event)));
                    }
                />
                <span class="unit" aria-hidden="true">
                    {move || range.get().unit}
                </span>
                <button
                    type="button"
                    aria-label=format!("{field}: more")
                    on:click=move |_| step_by(step)
                >
                    "+"
                </button>
            </div>
            <p id=refusal_id class="refusal" role="status">
                {move || refusal.get()}
            </p>
        </div>
    }
}

fn checked(range: Range, field: Field, given: f64) -> Result<f64, String> {
    range
        .check(field, given)
        .map(|()| given)
        .map_err(|error: RangeError| error.to_string())
}

/// Reads what was typed: a decimal point or comma, blanks around it.
fn read(range: Range, field: Field, typed: &str) -> Result<f64, String> {
    let typed = typed.trim();
    let Range { min, max, unit } = range;
    let wanted = format!(
        "{field} must be a number from {} to {} {unit}",
        plain(min),
        plain(max)
    );
    if typed.is_empty() {
        return Err(format!("{wanted}; nothing was given"));
    }
    // The browser's own reading: Rust's brings tables of 15 KB along.
    let plain_digits = typed
        .bytes()
        .all(|c| matches!(c, b'0'..=b'9' | b'.' | b',' | b'-' | b'+'));
    let number = JsValue::from_str(&typed.replace(',', ".")).unchecked_into_f64();
    // The browser would read "0x40" too.
    if number.is_nan() || !plain_digits {
        let echo: String = typed.chars().take(ECHO).collect();
        let more = if typed.chars().count() > ECHO {
            "…"
        } else {
            ""
        };
        return Err(format!("{wanted}; \u{201c}{echo}{more}\u{201d} was given"));
    }
    Ok(number)
}
