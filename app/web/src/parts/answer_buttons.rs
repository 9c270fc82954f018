//! Yes, not yet, not seen: one tap each.

use coaching::vocabulary::Answer;
use leptos::prelude::*;

/// The three answers to one item.
#[component]
pub fn AnswerButtons(
    /// What is asked, for screen readers.
    #[prop(into)]
    asked: String,
    /// The answer that is on disk.
    #[prop(into)]
    given: Signal<Option<Answer>>,
    /// Called with the answer touched.
    #[prop(into)]
    on_answer: Callback<Answer>,
) -> impl IntoView {
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
}
