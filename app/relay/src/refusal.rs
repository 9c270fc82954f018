//! Why a request is refused: a stable code, a status and a sentence, sent as
//! `application/problem+json` (RFC 9457). Most codes are those of the contract
//! with the phone, `notebook::sync::problem`; the rest is about HTTP itself.

use std::time::Duration;

use axum::http::StatusCode;
use axum::http::header::{self, HeaderValue};
use axum::response::{IntoResponse, Response};
use notebook::sync::Error as NotebookError;
use notebook::sync::problem::Problem;
use serde_json::{Map, Value, json};

use crate::hex::to_hex;

/// A refused request. Nothing of it has been stored.
#[derive(Clone, Debug, PartialEq)]
pub struct Refusal {
    /// Its code, which never changes.
    pub code: &'static str,
    status: u16,
    sentence: &'static str,
    // Boxed: a refusal is the error of most functions, and seldom has facts.
    facts: Box<Map<String, Value>>,
    retry_after_s: Option<u64>,
    allow: Option<&'static str>,
}

/// What the contract has no code for, as it is about HTTP and not about notebooks:
/// code, status and sentence.
pub const OWN: [(&str, u16, &str); 4] = [
    ("no-route", 404, "This relay has nothing at that address."),
    ("method", 405, "That address does not take this method."),
    (
        "query",
        400,
        "A part of the address or its query cannot be read.",
    ),
    ("too-slow", 408, "The request's body did not come in time."),
];

impl Refusal {
    fn own(at: usize) -> Self {
        let (code, status, sentence) = OWN[at];
        Self::with(code, status, sentence)
    }

    fn with(code: &'static str, status: u16, sentence: &'static str) -> Self {
        Self {
            code,
            status,
            sentence,
            facts: Box::default(),
            retry_after_s: None,
            allow: None,
        }
    }

    /// No route.
    #[must_use]
    pub fn no_route() -> Self {
        Self::own(0)
    }

    /// A method that the route does not take; `allow` are those it takes.
    #[must_use]
    pub fn method(allow: &'static str) -> Self {
        Self {
            allow: Some(allow),
            ..Self::own(1)
        }
    }

    /// A part of the address that cannot be read.
    #[must_use]
    pub fn query() -> Self {
        Self::own(2)
    }

    /// A body that drips.
    #[must_use]
    pub fn too_slow() -> Self {
        Self::own(3)
    }

    /// Too many requests: when the next one is taken.
    #[must_use]
    pub fn slow_down(wait: Duration) -> Self {
        Self {
            // Rounded up: a whole second is the header's finest step.
            retry_after_s: Some(wait.as_secs() + 1),
            ..Problem::SlowDown.into()
        }
    }

    /// The database does not answer, or too many wait for it.
    #[must_use]
    pub fn unavailable() -> Self {
        Self {
            retry_after_s: Some(2),
            ..Problem::Unavailable.into()
        }
    }

    /// The same with a fact for the program that asked.
    #[must_use]
    pub fn and(mut self, name: &str, value: impl Into<Value>) -> Self {
        self.facts.insert(name.to_owned(), value.into());
        self
    }
}

impl From<Problem> for Refusal {
    fn from(problem: Problem) -> Self {
        Self::with(problem.code(), problem.status(), problem.sentence())
    }
}

impl From<NotebookError> for Refusal {
    fn from(error: NotebookError) -> Self {
        let refusal = Self::from(error.problem());
        match error {
            NotebookError::StaleEpoch { present, .. }
            | NotebookError::UnknownEpoch { present, .. } => refusal.and("epoch", present),
            NotebookError::Clash { device, number } => refusal
                .and("device", to_hex(device.as_bytes()))
                .and("number", number),
            NotebookError::Gap { last, .. } => refusal.and("last", last),
            NotebookError::MembershipGap { next } => refusal.and("next", next),
            _ => refusal,
        }
    }
}

impl IntoResponse for Refusal {
    fn into_response(self) -> Response {
        let mut body = self.facts;
        body.insert(
            "type".into(),
            json!(format!("urn:stridebook:problem:{}", self.code)),
        );
        body.insert("title".into(), json!(self.sentence));
        body.insert("status".into(), json!(self.status));
        body.insert("code".into(), json!(self.code));
        let status = StatusCode::from_u16(self.status).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR);
        let kind = [(header::CONTENT_TYPE, "application/problem+json")];
        let mut response = (status, kind, Value::Object(*body).to_string()).into_response();
        if let Some(seconds) = self.retry_after_s {
            response
                .headers_mut()
                .insert(header::RETRY_AFTER, seconds.into());
        }
        if let Some(allow) = self.allow {
            response
                .headers_mut()
                .insert(header::ALLOW, HeaderValue::from_static(allow));
        }
        response
    }
}
