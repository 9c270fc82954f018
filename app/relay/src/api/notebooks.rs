//! A notebook's beginning and its membership log.

use std::sync::Arc;

use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use notebook::sync::Membership;
use notebook::sync::membership::{Appended, Entry};
use notebook::sync::problem::Problem;
use serde_json::json;

use crate::api::call::Call;
use crate::api::{Api, failed, now_s, signed};
use crate::refusal::Refusal;
use crate::store::change::{Change, Outcome};
use crate::store::look;

/// How often a change is checked anew because the membership log has moved. It moves
/// by hand, a few times a season.
pub(super) const TRIES: usize = 8;

/// Notebooks that are listed for one device; a coach has some dozens.
const LISTED: i64 = 1_000;

impl Api {
    pub(super) async fn found(&self, call: &Call) -> Result<Response, Refusal> {
        let after = Arc::new(Membership::found(&call.body)?);
        let id = after.id();
        let change = Change::Found {
            after,
            entry: call.body.clone(),
            now_s: i64::try_from(now_s()).unwrap_or(i64::MAX),
        };
        let outcome = self.write(change).await?;
        Ok(json_answer(
            status(&outcome),
            json!({ "notebook": id.to_string() }),
        ))
    }

    /// The notebooks of whoever asks: for a recovery sheet, which knows no ids.
    pub(super) async fn list(&self, call: &Call) -> Result<Response, Refusal> {
        let device = signed::claimed(call)?;
        let ids = look::notebooks_of(&self.database, device, LISTED)
            .await
            .map_err(failed)?;
        let mut own = Vec::new();
        for id in ids {
            let membership = self.membership(id).await?;
            match signed::check(call, &membership) {
                Ok(_) => own.push(id.to_string()),
                // The phone asks again with the right time.
                Err(refusal) if refusal.code == Problem::RequestTime.code() => return Err(refusal),
                // Another device of this name in another notebook.
                Err(_) => {}
            }
        }
        Ok(json_answer(StatusCode::OK, json!({ "notebooks": own })))
    }

    pub(super) async fn admit(&self, call: &Call) -> Result<Response, Refusal> {
        let id = call.notebook()?;
        let again = call.is_set("again")?;
        let closed = Entry::read(&call.body)?.closed().cloned();
        for _ in 0..TRIES {
            let checked = self.membership(id).await?;
            let mut after = (*checked).clone();
            let appended = after.append(&call.body)?;
            self.count(id)?;
            if appended == Appended::Known {
                return Ok(StatusCode::OK.into_response());
            }
            let after = Arc::new(after);
            let change = Change::Admit {
                checked,
                after: after.clone(),
                entry: call.body.clone(),
                closed: closed.clone(),
                again,
            };
            let outcome = self.writer.write(change).await?;
            if outcome != Outcome::LogMoved {
                self.memberships.keep(after);
                self.waiters.moved(id.as_bytes());
                return Ok(status(&outcome).into_response());
            }
        }
        Err(Refusal::unavailable())
    }

    pub(super) async fn read_membership(&self, call: &Call) -> Result<Response, Refusal> {
        let from = call.number("from", u64::from(u32::MAX))?.unwrap_or(0);
        let (membership, _) = self.member(call).await?;
        let mut connection = self.database.readers.acquire().await.map_err(failed)?;
        let from = u32::try_from(from).unwrap_or(u32::MAX);
        let entries = look::entries(&mut connection, membership.id(), from)
            .await
            .map_err(failed)?;
        let mut body = Vec::new();
        for entry in entries {
            body.extend(u32::try_from(entry.len()).unwrap_or(u32::MAX).to_be_bytes());
            body.extend(entry);
        }
        Ok(super::reading::bytes(body))
    }
}

/// 201 for what is stored now, 200 for what was stored before.
pub(super) fn status(outcome: &Outcome) -> StatusCode {
    match outcome {
        Outcome::Made | Outcome::Appended { .. } => StatusCode::CREATED,
        _ => StatusCode::OK,
    }
}

pub(super) fn json_answer(status: StatusCode, body: serde_json::Value) -> Response {
    let kind = [(axum::http::header::CONTENT_TYPE, "application/json")];
    (status, kind, body.to_string()).into_response()
}
