//! One session: what each hitter hit in it.

use crate::parts::{act, fold_of, group, line, live, refusal, said};
use crate::session::{challenge, says};
use crate::state::Desk;
use crate::state::contacts::Ball;
use crate::state::session::{Practice, is_over};
use crate::words::counted;
use coaching::challenge::SuccessRule;
use leptos::prelude::*;
use notebook::{RecordId, Session};
use std::sync::Arc;
use wasm_bindgen_futures::spawn_local;

/// The session, hitter by hitter.
pub fn view(session: Session) -> AnyView {
    let desk = expect_context::<Desk>();
    let id = session.head.id;
    let over = is_over(&session);
    let balls = RwSignal::new(None);
    spawn_local(async move {
        let read = desk.session_balls(id).await.map(Arc::new);
        // Closed by then, nobody needs it.
        balls.try_set(Some(read));
    });
    let list = live(move || match balls.get() {
        None => said("line", "Reading…"),
        Some(Err(error)) => refusal(error.to_string()),
        Some(Ok(balls)) if balls.is_empty() => line("line", "No ball was logged."),
        Some(Ok(balls)) => by_hitter(desk, &balls, &session),
    });
    let go_on = over.then(|| {
        act(
            "Go on with this session",
            "",
            Callback::new(move |()| {
                Practice::of(desk).go_on(id);
                desk.notes.say("The session goes on: open Session.", None);
            }),
        )
    });
    group(vec![list, group(go_on.into_iter().collect())])
}

/// What counts as a success in a session.
pub fn rule_of(session: &Session) -> SuccessRule {
    challenge::set_for(Some(session)).0
}

fn by_hitter(desk: Desk, balls: &Arc<Vec<Ball>>, session: &Session) -> AnyView {
    let rule = rule_of(session);
    let mut hitters: Vec<RecordId> = Vec::new();
    for ball in balls.iter() {
        if !hitters.contains(&ball.hitter) {
            hitters.push(ball.hitter);
        }
    }
    let parts = hitters.into_iter().map(|hitter| {
        let own: Vec<Ball> = balls
            .iter()
            .filter(|ball| ball.hitter == hitter)
            .copied()
            .collect();
        let name = name_of(desk, hitter);
        let session = session.clone();
        let contacts: Vec<_> = own.iter().map(|ball| ball.contact).collect();
        let swings = own.iter().filter(|ball| ball.is_swing()).count();
        let text = format!(
            "{}, {}. {}: {}.",
            counted(own.len(), "ball", "balls"),
            counted(swings, "swing", "swings"),
            rule.name(),
            rule.share(&contacts).words()
        );
        group(vec![
            line("item-title", name.clone()),
            line("line", text),
            fold_of(
                format!("What {name}'s balls say"),
                Callback::new({
                    let own = own.clone();
                    move |()| says::of_balls(&own)
                }),
            ),
            fold_of(
                format!("How hard it was for {name}"),
                Callback::new(move |()| {
                    challenge::of_session(Some(session.clone()), hitter, own.clone())
                }),
            ),
        ])
    });
    group(parts.collect())
}

/// A hitter's name; hitters who were removed still have their balls.
fn name_of(desk: Desk, id: RecordId) -> String {
    desk.hitters.with_untracked(|all| {
        let found = all.iter().find(|hitter| hitter.head.id == id);
        found.map_or_else(
            || "A hitter who is not on the roster".to_owned(),
            |hitter| hitter.name.get().clone(),
        )
    })
}
