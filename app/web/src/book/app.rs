//! The book's root: its bar of pages, and the page of the address.

use crate::parts::{Leaf, after_paint, live, messages, way, when_open};
use crate::state::Desk;
use crate::{cards, check, hitter, items, roster, session, sessions, sharing, tempo};
use leptos::html::H1;
use leptos::prelude::*;
use leptos_router::NavigateOptions;
use leptos_router::components::Router;
use leptos_router::hooks::use_navigate;
use wasm_bindgen::JsCast as _;
use web_sys::{Element, MouseEvent};

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
    let go = links();
    view! {
        <nav class="bar" aria-label="Pages" on:click=go.clone()>
            {way("/", "Cage", "", false)}
            {bar.collect_view()}
        </nav>
        <main class="page book" on:click=go>{when_open(desk, page)}</main>
        {messages()}
    }
    .into_any()
}

/// Follows links within the book. The router's own way with them changes the address
/// only once its table of routes has found the page, and there is none here: without
/// this, back and a reload would lead elsewhere.
fn links() -> impl Fn(MouseEvent) + Clone {
    let navigate = use_navigate();
    move |event| {
        let touched = event
            .target()
            .and_then(|target| target.dyn_into::<Element>().ok());
        let link = touched.and_then(|touched| touched.closest("a:not([rel], [download])").ok()?);
        let Some(to) = link.and_then(|link| link.get_attribute("href")) else {
            return;
        };
        // With one of these keys it is to open in a tab of its own.
        let elsewhere =
            event.ctrl_key() || event.meta_key() || event.shift_key() || event.alt_key();
        if event.button() == 0 && !elsewhere && to.starts_with('/') {
            event.prevent_default();
            navigate(&to, NavigateOptions::default());
        }
    }
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
                after_paint(move || drop(heading.focus()));
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
