//! What came of a card, recorded by one touch.

use super::Board;
use coaching::cards::AnyCard;
use coaching::prescription::Outcome;
use leptos::prelude::*;
use std::sync::Arc;

/// The outcomes of a card: `place` tells where on the page, `item` is what it
/// was to answer, `last` what holds now.
pub fn buttons(
    board: Board,
    place: &'static str,
    card: AnyCard,
    item: Option<String>,
    last: Option<Outcome>,
) -> AnyView {
    let (id, title) = (card.id().to_owned(), card.title().to_owned());
    let label = format!("What came of {title}");
    let buttons = Outcome::ALL.iter().map(|outcome| {
        let (id, title, item) = (id.clone(), title.clone(), item.clone());
        let own_id = format!("{place}-{id}-{}", outcome.id());
        let here = own_id.clone();
        let record = move |_| {
            let here = here.clone();
            let then: Arc<dyn Fn() + Send + Sync> = Arc::new(move || {
                board.read_found();
                return_to(here.clone());
            });
            board
                .desk
                .record_outcome(&id, &title, item.as_deref(), *outcome, then);
        };
        view! {
            <button
                type="button"
                id=own_id
                aria-pressed=(last == Some(*outcome)).to_string()
                on:click=record
            >
                {outcome.name()}
            </button>
        }
    });
    view! {
        <div class="outcomes" role="group" aria-label=label>
            {buttons.collect_view()}
        </div>
    }
    .into_any()
}

/// The list is ranked anew, and the button touched with it: the focus goes to
/// the one in its place, unless it has gone elsewhere meanwhile.
fn return_to(id: String) {
    let back = move || {
        let document = document();
        let nowhere = document
            .active_element()
            .is_none_or(|element| element.tag_name() == "BODY");
        if let Some(element) = document.get_element_by_id(&id).filter(|_| nowhere) {
            let button: web_sys::HtmlElement = wasm_bindgen::JsCast::unchecked_into(element);
            // What cannot take the focus leaves it where it is.
            let _ = button.focus();
        }
    };
    set_timeout(back, std::time::Duration::from_millis(150));
}
