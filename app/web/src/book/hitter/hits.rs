//! What the hitter hit of late: where balls went and the path, how hard the latest
//! session was against games, and the swings of seven days.

use crate::parts::{fold_of, group, line, live, refusal, said};
use crate::session::{challenge, loads, says};
use crate::state::contacts::{Ball, HitterSession, today};
use crate::state::session::limits_of;
use crate::state::{Desk, is_archived};
use crate::words::{counted, when_ms};
use coaching::loads::{CAUTION, Day, Loads};
use leptos::prelude::*;
use notebook::{RecordId, Session};
use wasm_bindgen_futures::spawn_local;

/// How many sessions count as of late.
const LATEST: usize = 10;

/// What was read.
type Read = (Vec<HitterSession>, Vec<Day>, Option<Session>);

/// The part of the page.
pub fn hits(id: RecordId) -> AnyView {
    let desk = expect_context::<Desk>();
    let read = RwSignal::new(None);
    spawn_local(async move {
        let found = async {
            let sessions = desk.sessions_of(id, LATEST).await?;
            let days = desk.swings(id, None).await?;
            let latest = match sessions.first().map(|part| part.session) {
                Some(latest) => {
                    desk.reading(async |database| database.get(latest).await)
                        .await?
                }
                None => None,
            };
            Ok::<Read, web::device::database::StorageError>((sessions, days, latest))
        };
        // The page may be gone by then.
        read.try_set(Some(found.await));
    });
    let inside = live(move || match read.get() {
        None => said("line", "Reading…"),
        Some(Err(error)) => refusal(error.to_string()),
        Some(Ok((sessions, days, latest))) => group(vec![
            swings(desk, id, &days),
            of_sessions(id, &sessions, latest),
        ]),
    });
    view! {
        <section class="block" aria-label="What was hit">
            <h2>"What was hit"</h2>
            {inside}
        </section>
    }
    .into_any()
}

fn swings(desk: Desk, id: RecordId, days: &[Day]) -> AnyView {
    let limits = desk.hitters.with(|all| {
        let found = all.iter().find(|hitter| hitter.head.id == id);
        found.filter(|hitter| !is_archived(hitter)).map(limits_of)
    });
    let limits = limits.unwrap_or_default();
    let loads = Loads::of(days);
    let today = today();
    let mut parts = vec![line("line", loads::in_words(&loads, limits, today))];
    for passed in loads.passed(limits).iter().filter(|p| p.day == today) {
        parts.push(line("refusal", format!("{} {CAUTION}", passed.sentence())));
    }
    if !loads.days().is_empty() {
        parts.push(fold_of(
            "Swings by day".to_owned(),
            Callback::new(move |()| loads::by_day(&loads, today)),
        ));
    }
    group(parts)
}

fn of_sessions(id: RecordId, sessions: &[HitterSession], latest: Option<Session>) -> AnyView {
    let Some(last) = sessions.first() else {
        return line(
            "line",
            "No ball was logged yet. They are logged in a session.",
        );
    };
    let all: Vec<Ball> = sessions
        .iter()
        .rev()
        .flat_map(|s| s.balls.clone())
        .collect();
    let of_last = last.balls.clone();
    group(vec![
        line(
            "line",
            format!(
                "{} in {}, the latest on {}.",
                counted(all.len(), "ball", "balls"),
                counted(sessions.len(), "session", "sessions"),
                when_ms(last.begun_ms)
            ),
        ),
        fold_of(
            "What the balls say".to_owned(),
            Callback::new(move |()| says::of_balls(&all)),
        ),
        fold_of(
            "How hard the latest session was".to_owned(),
            Callback::new(move |()| challenge::of_session(latest.clone(), id, of_last.clone())),
        ),
    ])
}
