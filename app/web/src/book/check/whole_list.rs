//! Everything to ask and to look at, one below the other, phase by phase.

use super::{Page, attached};
use crate::parts::{answer_buttons, group, heading, line, live, small_heading};
use coaching::vocabulary::Answer;
use leptos::prelude::*;

/// The whole list.
pub fn whole_list() -> AnyView {
    let page = expect_context::<Page>();
    live(move || {
        let skill = page.looking.skill.get();
        let mut parts = Vec::new();
        let mut phase_before = None;
        for card in page.cards.get() {
            if parts.is_empty() {
                parts.push(heading("Before the first phase"));
            }
            if card.phase != phase_before {
                phase_before = card.phase;
                if let Some(phase) = card.phase {
                    parts.push(heading(skill.phase_name(phase)));
                    parts.push(line("line", skill.how(phase)));
                }
            }
            parts.push(one(page, card));
        }
        group(parts)
    })
}

fn one(page: Page, card: super::Card) -> AnyView {
    let id = card.id.clone();
    let given = Signal::derive(move || page.looking.answer_to(&id));
    let title = card.title.clone();
    let shown = card.view(small_heading(title.clone()));
    let attached = card.phase.map(|_| attached::of_item(card.id.clone()));
    let on_answer = Callback::new(move |answer: Answer| page.answer(&card, answer));
    view! {
        <div class="item">
            {shown} {answer_buttons(title, given, on_answer)} {attached}
        </div>
    }
    .into_any()
}
