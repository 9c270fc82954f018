//! What phones read, and how they wait for news.

use std::collections::HashMap;
use std::time::Duration;

use axum::http::header;
use axum::response::{IntoResponse, Response};
use notebook::sync::exchange::{AnswerHead, MAX_ANSWER_BYTES, ReadAnswer, ReadRequest, Then};
use tokio::time::{Instant, sleep_until, timeout_at};

use crate::api::call::Call;
use crate::api::{Api, failed, signed};
use crate::refusal::Refusal;
use crate::store::look;

/// The longest wait for news, in seconds.
const WAIT_S: u64 = 30;

/// How often the database is asked for what other relays stored, while someone waits.
const ASK_EVERY: Duration = Duration::from_millis(250);

impl Api {
    pub(super) async fn read(&self, call: &Call) -> Result<Response, Refusal> {
        let wait = call.number("wait", WAIT_S)?.unwrap_or(0);
        let most = MAX_ANSWER_BYTES as u64;
        let limit = call.number("limit", most)?.unwrap_or(most);
        let limit = usize::try_from(limit).unwrap_or(MAX_ANSWER_BYTES);
        let known = ReadRequest::read(&call.body)?;
        let (membership, _) = self.member(call).await?;
        let until = Instant::now() + Duration::from_secs(wait);
        // Begun before the first look, so that nothing falls in between.
        let mut waiter = (wait > 0).then(|| {
            let counted = self.metrics.waiting();
            (
                self.waiters
                    .wait_for(vec![membership.id().as_bytes().to_vec()]),
                counted,
            )
        });
        loop {
            let beyond = look::beyond(&self.database, membership.id(), &known.vector, limit)
                .await
                .map_err(failed)??;
            let is_news = !beyond.batches.is_empty()
                || beyond.members > known.members
                || beyond.then == Then::SnapshotFirst;
            let Some((waiter, _)) = waiter.as_mut().filter(|_| !is_news) else {
                return Ok(answer(beyond));
            };
            if !timeout_at(until, waiter.news()).await.unwrap_or(false) {
                return Ok(answer(beyond));
            }
            // Who was taken off meanwhile reads nothing more.
            signed::check(call, &*self.membership(membership.id()).await?)?;
        }
    }

    /// Wakes who waits when another relay on the same database has stored something.
    pub(super) async fn hear_of_others(&self) {
        let mut seen: HashMap<Vec<u8>, i64> = HashMap::new();
        let mut next = Instant::now();
        loop {
            next += ASK_EVERY;
            sleep_until(next).await;
            let awaited = self.waiters.awaited();
            if awaited.is_empty() {
                seen.clear();
                continue;
            }
            match look::news(&self.database, &awaited).await {
                Ok(news) => {
                    let news: HashMap<_, _> = news.into_iter().collect();
                    // Also when it is seen for the first time: it may have moved
                    // since the waiting request has looked.
                    let moved = news
                        .iter()
                        .filter(|(id, count)| seen.get(*id) != Some(*count));
                    moved.for_each(|(id, _)| self.waiters.moved(id));
                    seen = news;
                }
                Err(error) => tracing::warn!(%error, "could not ask for news"),
            }
            next = next.max(Instant::now());
        }
    }
}

fn answer(beyond: look::Beyond) -> Response {
    let head = AnswerHead {
        members: beyond.members,
        then: beyond.then,
        heads: beyond.heads,
    };
    let batches = beyond.batches;
    bytes(ReadAnswer { head, batches }.bytes())
}

/// Sealed bytes. They are for one phone, at this moment.
pub(super) fn bytes(body: Vec<u8>) -> Response {
    let headers = [
        (header::CONTENT_TYPE, "application/octet-stream"),
        (header::CACHE_CONTROL, "no-store"),
    ];
    (headers, body).into_response()
}
