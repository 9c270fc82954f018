//! The run: one item a card, three large answers under the thumb, and the next item
//! at once.

use super::{Page, Shown, attached};
use crate::parts::{act, answer_buttons, entry_heading, group, line, live};
use crate::state::now_ms;
use coaching::vocabulary::Answer;
use leptos::prelude::*;

/// A touch sooner than this after a card came was still meant for the card before:
/// nobody reads one in this time (our choice, no source).
const TOO_SOON_MS: f64 = 200.0;

/// The card at hand.
pub fn run() -> AnyView {
    let page = expect_context::<Page>();
    live(move || {
        let place = page.place.get();
        match page.cards.with(|cards| cards.get(place).cloned()) {
            Some(card) => one(page, place, card),
            None => line("line", "Nothing is left to look at."),
        }
    })
}

fn one(page: Page, place: usize, card: super::Card) -> AnyView {
    let came_ms = now_ms();
    let n = page.cards.with_untracked(Vec::len);
    let skill = page.looking.skill.get_untracked();
    let of = card
        .phase
        .map_or("Before the first phase", |phase| skill.phase_name(phase));
    let how = card.phase.map(|phase| line("line", skill.how(phase)));
    let id = card.id.clone();
    let given = Signal::derive(move || page.looking.answer_to(&id));
    let title = card.title.clone();
    let shown = card.view(entry_heading(title.clone()));
    let item = card.id.clone();
    let is_item = card.phase.is_some();
    let on_answer = Callback::new(move |answer: Answer| {
        if now_ms() - came_ms < TOO_SOON_MS {
            return;
        }
        page.attaching.set(None);
        page.answer(&card, answer);
        if page.shown.get_untracked() == Shown::Run {
            if place + 1 < n {
                page.place.set(place + 1);
            } else {
                page.shown.set(Shown::Result);
            }
        }
    });
    let back = Callback::new(move |()| {
        page.attaching.set(None);
        page.place.set(place - 1);
    });
    let name = title.clone();
    view! {
        <section class="run" aria-label=name>
            <p class="phase-line" role="status">
                <strong>{of}</strong>
                <span>{format!("{} of {n}", place + 1)}</span>
            </p>
            <div class="card">{group(vec![shown])} {how} {is_item.then(|| attached::of_item(item))}</div>
            <div class="thumb">
                {answer_buttons(title, given, on_answer)}
                {(place > 0).then(|| act("Back", "quiet", back))}
            </div>
        </section>
    }
    .into_any()
}
