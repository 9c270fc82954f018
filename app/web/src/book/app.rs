//! The book's root: its bar of pages, and the page of the address.

use crate::parts::{Leaf, live, messages, way, when_open};
use crate::state::Desk;
use crate::{cards, check, hitter, items, roster, session, sessions, sharing, tempo};
use leptos::html::H1;
use leptos::prelude::*;
use leptos_router::components::Router;
use std::time::Duration;

/// The book.
pub fn app() -> AnyView {
    view! { <Router>{frame()}</Router> }.into_any()
}

/// The pages in the bar; the others are reached from the hitter's.
const BAR: [Leaf; 3] = [Leaf::Roster, Leaf::Hitter, Leaf::Session];

fn frame() -> AnyView {
    let desk = expect_context::<Desk>();
    roster::begin(desk);
    let now = Leaf::now();
    let bar = BAR.map(|leaf| {
        view! {
            <a
                class="way"
                href=leaf.path()
                aria-current=move || (now.get() == leaf).then_some("page")
            >
                {leaf.name()}
            </a>
        }
    });
    view! {
        <nav class="bar" aria-label="Pages">
            {way("/", "Cage", "", false)}
            {bar.collect_view()}
        </nav>
        <main class="page book">{when_open(desk, page)}</main>
        {messages()}
    }
    .into_any()
}

fn page() -> AnyView {
    let now = Leaf::now();
    let shown = move || {
        let leaf = now.get();
        let page = match leaf {
            Leaf::Roster => roster::page,
            Leaf::Hitter => hitter::page,
            Leaf::Check => check::page,
            Leaf::Items => items::page,
            Leaf::Cards => cards::page,
            Leaf::Tempo => tempo::page,
            Leaf::Session => session::page,
            Leaf::Sessions => sessions::page,
            Leaf::Sharing => sharing::page,
        };
        let heading = NodeRef::<H1>::new();
        Effect::new(move |_| {
            if let Some(heading) = heading.get() {
                // Where a screen reader goes on; an element that cannot take the
                // focus leaves it where it is. After the page is painted: taking the
                // focus has the browser lay the page out once more.
                let take = move || drop(heading.focus());
                request_animation_frame(move || set_timeout(take, Duration::ZERO));
            }
        });
        view! {
            <h1 tabindex="-1" node_ref=heading>
                {leaf.name()}
            </h1>
            {page()}
        }
        .into_any()
    };
    live(shown)
}
