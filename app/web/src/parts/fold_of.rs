//! A fold whose heading and inside belong to one record.

use leptos::prelude::*;

/// As [`fold`](super::fold), of a record: its heading, and what makes its inside.
pub fn fold_of(title: String, inside: Callback<(), AnyView>) -> AnyView {
    let open = RwSignal::new(false);
    let named = title.clone();
    view! {
        <section class="fold" aria-label=named>
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
            {move || open.get().then(|| view! { <div class="detail">{inside.run(())}</div> })}
        </section>
    }
    .into_any()
}
