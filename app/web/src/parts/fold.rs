//! A part of a panel that is opened when wanted: a heading to touch, and what
//! is below it, made only while it is open.

use leptos::prelude::*;

/// One fold: its heading, and what it holds.
pub fn fold(title: &'static str, inside: fn() -> AnyView) -> AnyView {
    let open = RwSignal::new(false);
    view! {
        <section class="fold" aria-label=title>
            <h3>
                <button
                    type="button"
                    class="fold-head"
                    aria-expanded=move || open.get().to_string()
                    on:click=move |_| open.update(|open| *open = !*open)
                >
                    {title}
                </button>
            </h3>
            {move || open.get().then(|| view! { <div class="detail">{inside()}</div> })}
        </section>
    }
    .into_any()
}
