//! A number with a unit, its range, and large steps up and down. What is typed
//! wrongly is refused in words, and the value before stays.

use super::Units;
use crate::words::plain;
use flight::{Field, Range, read_field};
use leptos::prelude::*;

/// One number. Values and range are in the field's own unit; the screen shows
/// and reads that of the phone's system.
///
/// `label` is what it is called here, where the field's own name says too little
/// (else ""); `value` is the one on disk; `on_change` gets an allowed one.
pub fn number_field(
    field: Field,
    label: &'static str,
    range: Signal<Range>,
    value: Signal<f64>,
    on_change: Callback<f64>,
) -> AnyView {
    let system = expect_context::<Units>().0;
    let refusal = RwSignal::new(None::<String>);
    let own_unit = range.get_untracked().unit;
    let unit = move || system.get().shown_unit(own_unit);
    let unit_now = move || system.get_untracked().shown_unit(own_unit);
    // Touches come faster than the disk answers: the next step goes on from the
    // one that is still being written.
    let asked = StoredValue::new(None::<f64>);
    Effect::new(move |_| {
        if Some(value.get()) == asked.get_value() {
            asked.set_value(None);
        }
    });
    let keep = move |typed: &str| {
        let kept = read_field(field, range.get_untracked(), typed, system.get_untracked());
        match kept {
            Ok(given) => {
                refusal.set(None);
                asked.set_value(None);
                on_change.run(given);
            }
            Err(reason) => {
                let unit = unit_now();
                // The reason begins with the field's own name; here it may have
                // another.
                let mut reason = reason.to_string();
                if !label.is_empty() {
                    let own = field.to_string();
                    reason.replace_range(..own.len().min(reason.len()), label);
                }
                refusal.set(Some(format!(
                    "{reason}. Kept: {} {}.",
                    plain(unit.of(value.get_untracked())),
                    unit.name
                )));
            }
        }
    };
    let step_by = move |sign: f64| {
        let unit = unit_now();
        let step = step_in(unit.range(range.get_untracked()), unit.step);
        // Onto the grid of steps, and never past an end of the range.
        let from = asked.get_value().unwrap_or_else(|| value.get_untracked());
        let next = (unit.of(from) / step + sign).round() * step;
        let Range { min, max, .. } = unit.range(range.get_untracked());
        refusal.set(None);
        let own = range.get_untracked();
        let next = unit.back(next.clamp(min, max)).clamp(own.min, own.max);
        asked.set_value(Some(next));
        on_change.run(next);
    };
    let name = match label {
        "" => field.to_string(),
        label => label.to_owned(),
    };
    let id = format!("field-{}", name.replace(' ', "-"));
    let refusal_id = format!("{id}-refusal");
    let hint = move || {
        let Range { min, max, unit } = unit().range(range.get());
        format!("{} to {} {unit}", plain(min), plain(max))
    };
    view! {
        <div class="number">
            <label for=id.clone()>
                {name.clone()} " " <small>{hint}</small>
            </label>
            <div class="number-row">
                <button
                    type="button"
                    aria-label=format!("{name}: less")
                    on:click=move |_| step_by(-1.0)
                >
                    "\u{2212}"
                </button>
                <input
                    id=id
                    type="text"
                    // Not only digits: 60'6" and 18,44 m are read too.
                    inputmode="text"
                    autocomplete="off"
                    autocapitalize="off"
                    spellcheck="false"
                    prop:value=move || plain(unit().of(value.get()))
                    aria-describedby=refusal_id.clone()
                    aria-invalid=move || refusal.with(Option::is_some).to_string()
                    on:change=move |event| keep(&event_target_value(&event))
                />
                <span class="unit" aria-hidden="true">
                    {move || unit().name}
                </span>
                <button
                    type="button"
                    aria-label=format!("{name}: more")
                    on:click=move |_| step_by(1.0)
                >
                    "+"
                </button>
            </div>
            <p id=refusal_id class="refusal" role="status">
                {move || refusal.get()}
            </p>
        </div>
    }
    .into_any()
}

/// A step that takes at least ten touches from end to end of the range.
fn step_in(range: Range, usual: f64) -> f64 {
    match usual > (range.max - range.min) / 10.0 {
        true => usual / 10.0,
        false => usual,
    }
}
