//! Mailboxes: where a pass waits for who is to take it. Whoever knows the name may
//! put and take; the name is derived from the pass itself.

use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use notebook::sync::problem::Problem;

use crate::api::call::Call;
use crate::api::reading::bytes;
use crate::api::{Api, now_s};
use crate::refusal::Refusal;
use crate::store::change::{Change, Outcome};

/// The longest that something lies in a mailbox: a week, in seconds.
const LIES_S: u64 = 604_800;

impl Api {
    pub(super) async fn put_mailbox(&self, call: &Call) -> Result<Response, Refusal> {
        let lies_s = call.number("expires", LIES_S)?.unwrap_or(LIES_S);
        let change = Change::PutMailbox {
            name: call.mailbox()?,
            sealed: call.body.clone(),
            expires_s: seconds(now_s() + lies_s),
            now_s: seconds(now_s()),
        };
        self.write(change).await?;
        Ok(StatusCode::CREATED.into_response())
    }

    pub(super) async fn take_mailbox(&self, call: &Call) -> Result<Response, Refusal> {
        let change = Change::TakeMailbox {
            name: call.mailbox()?,
            now_s: seconds(now_s()),
        };
        match self.write(change).await? {
            Outcome::Taken(sealed) => Ok(bytes(sealed)),
            _ => Err(Problem::None.into()),
        }
    }
}

fn seconds(since_1970: u64) -> i64 {
    i64::try_from(since_1970).unwrap_or(i64::MAX)
}
