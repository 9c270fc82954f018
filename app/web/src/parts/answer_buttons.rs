//! Yes, not yet, not seen: one tap each.

use coaching::vocabulary::Answer;
use leptos::prelude::*;

/// The three answers to one item: what is asked, for screen readers, the answer
/// that is on disk, and what is done with the one touched.
pub fn answer_buttons(
    asked: String,
    given: Signal<Option<Answer>>,
    on_answer: Callback<Answer>,
) -> AnyView {
    let buttons = Answer::ALL.iter().map(|answer| {
        let answer = *answer;
        view! {
            <button
                type="button"
                aria-pressed=move || (given.get() == Some(answer)).to_string()
                on:click=move |_| on_answer.run(answer)
            >
                {answer.name()}
            </button>
        }
    });
    view! {
        <div class="answers" role="group" aria-label=asked>
            {buttons.collect_view()}
        </div>
    }
    .into_any()
}
