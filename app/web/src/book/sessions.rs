//! Sessions of before: the list by day, one opened, and two compared.

mod compare;
mod one;

use crate::parts::{act, group, line, live, refusal, said, way};
use crate::state::Desk;
use crate::state::session::is_over;
use crate::words::{counted, when};
use leptos::prelude::*;
use notebook::{RecordId, Session};
use std::sync::Arc;
use wasm_bindgen_futures::spawn_local;

/// How many are listed at first, and more with each touch.
const SHOWN: usize = 20;

/// All sessions, once read.
type Read = RwSignal<Option<Result<Arc<Vec<Session>>, String>>>;

/// The page.
pub fn page() -> AnyView {
    let desk = expect_context::<Desk>();
    let read: Read = RwSignal::new(None);
    let shown = RwSignal::new(SHOWN);
    let opened = RwSignal::new(None::<RecordId>);
    read_again(desk, read);
    let list = move || match read.get() {
        None => said("state", "Reading the sessions…"),
        Some(Err(error)) => refusal(error),
        Some(Ok(sessions)) if sessions.is_empty() => line("line", "No session yet."),
        Some(Ok(sessions)) => {
            let rows = sessions.iter().take(shown.get());
            let rows: Vec<AnyView> = rows.map(|s| row(desk, s, opened, read)).collect();
            let more = (sessions.len() > rows.len()).then(|| {
                act(
                    "Show more",
                    "wide",
                    Callback::new(move |()| shown.update(|n| *n += SHOWN)),
                )
            });
            group(vec![
                compare::view(sessions.clone()),
                view! { <ul class="sessions">{rows}</ul> }.into_any(),
                group(more.into_iter().collect()),
            ])
        }
    };
    group(vec![
        way(
            "/book/session",
            "The session under way, or a new one",
            "",
            true,
        ),
        live(list),
    ])
}

fn read_again(desk: Desk, read: Read) {
    spawn_local(async move {
        let all = desk.sessions().await;
        // The page may be gone by then.
        read.try_set(Some(all.map(Arc::new).map_err(|error| error.to_string())));
    });
}

/// What a session is called: its name, or the time it began.
pub fn called(session: &Session) -> String {
    let begun = when(session.head.made);
    match session.name.get().as_str() {
        "" => begun,
        name => format!("{name}, {begun}"),
    }
}

fn row(desk: Desk, session: &Session, opened: RwSignal<Option<RecordId>>, read: Read) -> AnyView {
    let id = session.head.id;
    let hitters = session
        .hitters
        .values()
        .filter(|said| said.get().as_str() == crate::state::names::session::IN)
        .count();
    let state = if is_over(session) { "" } else { ", under way" };
    let facts = format!("{}{state}", counted(hitters, "hitter", "hitters"));
    let title = called(session);
    let is_open = Memo::new(move |_| opened.get() == Some(id));
    let inside = {
        let session = session.clone();
        move || match is_open.get() {
            false => group(vec![]),
            true => group(vec![
                one::view(session.clone()),
                remove(desk, &session, read),
            ]),
        }
    };
    view! {
        <li>
            <button
                type="button"
                class="fold-head"
                aria-expanded=move || is_open.get().to_string()
                on:click=move |_| opened.update(|at| *at = (*at != Some(id)).then_some(id))
            >
                {title}
                " · "
                {facts}
            </button>
            {live(inside)}
        </li>
    }
    .into_any()
}

/// Takes a session off the list; its balls stay where they are.
fn remove(desk: Desk, session: &Session, read: Read) -> AnyView {
    let session = session.clone();
    act(
        "Take this session off the list",
        "quiet",
        Callback::new(move |()| {
            desk.set_removed(session.clone(), true, move |removed| {
                let back = removed.clone();
                let undo: Arc<dyn Fn() + Send + Sync> = Arc::new(move || {
                    desk.set_removed(back.clone(), false, move |_| read_again(desk, read));
                });
                desk.notes.say(
                    "The session is off the list. Its balls still count.",
                    Some(("Undo", undo)),
                );
                read_again(desk, read);
            });
        }),
    )
}
