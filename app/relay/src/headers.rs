//! What every answer carries, whatever it answers: the policy that keeps the page
//! to this server, and the id that joins it to its log line.

use std::time::Instant;

use axum::extract::Request;
use axum::http::header::{self, HeaderName, HeaderValue};
use axum::http::{HeaderMap, StatusCode};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

/// The longest request body outside `/v1` that is looked at, in bytes. Nothing is
/// written there, so the bound is small; each route under `/v1` has its own.
pub const MAX_BODY_BYTES: u64 = 64 * 1024;

const CONTENT_SECURITY_POLICY: &str = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; \
    style-src 'self'; img-src 'self' blob: data:; media-src 'self' blob:; connect-src 'self'; \
    font-src 'self'; manifest-src 'self'; worker-src 'self'; base-uri 'none'; form-action 'none'; \
    frame-ancestors 'none'";

/// Camera for swing video and QR codes, microphone and motion for the count, the
/// lock so that the screen stays lit in a cage; nothing that names or locates.
const PERMISSIONS_POLICY: &str = "accelerometer=(self), camera=(self), gyroscope=(self), \
    microphone=(self), screen-wake-lock=(self), display-capture=(), geolocation=(), \
    hid=(), idle-detection=(), local-fonts=(), magnetometer=(), midi=(), payment=(), serial=(), \
    usb=(), xr-spatial-tracking=()";

/// No Strict-Transport-Security, not even over TLS: a phone would remember it for
/// the address, and once the local certificate is gone or remade the page could
/// not be opened any more, with no way round that a coach would find.
const ON_EVERY_ANSWER: [(HeaderName, HeaderValue); 6] = [
    (
        header::CONTENT_SECURITY_POLICY,
        HeaderValue::from_static(CONTENT_SECURITY_POLICY),
    ),
    (
        HeaderName::from_static("permissions-policy"),
        HeaderValue::from_static(PERMISSIONS_POLICY),
    ),
    (
        header::X_CONTENT_TYPE_OPTIONS,
        HeaderValue::from_static("nosniff"),
    ),
    (
        header::REFERRER_POLICY,
        HeaderValue::from_static("no-referrer"),
    ),
    (
        HeaderName::from_static("cross-origin-opener-policy"),
        HeaderValue::from_static("same-origin"),
    ),
    (
        HeaderName::from_static("cross-origin-resource-policy"),
        HeaderValue::from_static("same-origin"),
    ),
];

const X_REQUEST_ID: HeaderName = HeaderName::from_static("x-request-id");

/// How an answer is named in the log. A handler puts it into the answer.
#[derive(Clone, Copy, Debug)]
pub enum Answered {
    /// A file that anyone can see is there: its path may be logged.
    Public,
    /// The start page for a screen of the client. Its path may name a record of a
    /// person, so it is not logged.
    Screen,
    /// A route of the sync part. Its path holds ids, so what is logged is the path as
    /// it is declared; with the code of the refusal, if it was one.
    Route {
        /// The declared path.
        path: &'static str,
        /// The code of the refusal.
        code: Option<&'static str>,
    },
}

/// Runs the request and then stamps and logs the answer. Nothing of the request is
/// logged that could be about a person: no query, no address, no unknown path.
pub async fn around(request: Request, next: Next) -> Response {
    let begun = Instant::now();
    // Never the id that a client sends: it would be written into the log.
    let id = uuid::Uuid::now_v7().simple().to_string();
    let method = request.method().clone();
    let path = request.uri().path().to_owned();

    let mut response = if !is_sync(&path) && body_too_long(request.headers()) {
        (StatusCode::PAYLOAD_TOO_LARGE, "the request is too long\n").into_response()
    } else {
        next.run(request).await
    };

    let status = response.status().as_u16();
    let micros = u64::try_from(begun.elapsed().as_micros()).unwrap_or(u64::MAX);
    match response.extensions().get::<Answered>() {
        Some(Answered::Public) => {
            tracing::info!(%id, %method, status, micros, path, "answered");
        }
        Some(Answered::Screen) => tracing::info!(%id, %method, status, micros, "answered a screen"),
        Some(Answered::Route { path, code: None }) => {
            tracing::info!(%id, %method, status, micros, route = path, "answered");
        }
        Some(Answered::Route {
            path,
            code: Some(code),
        }) => tracing::info!(%id, %method, status, micros, route = path, code, "refused"),
        None => tracing::info!(%id, %method, status, micros, "refused"),
    }

    let headers = response.headers_mut();
    for (name, value) in ON_EVERY_ANSWER {
        headers.insert(name, value);
    }
    headers
        .entry(header::CACHE_CONTROL)
        .or_insert(HeaderValue::from_static("no-cache"));
    headers.insert(X_REQUEST_ID, HeaderValue::try_from(id).expect("hex digits"));
    response
}

fn is_sync(path: &str) -> bool {
    path.starts_with("/v1/")
}

/// Whether the request announces more than [`MAX_BODY_BYTES`]. One that announces
/// no length is not read at all, and its connection ends with the answer.
fn body_too_long(headers: &HeaderMap) -> bool {
    headers
        .get(header::CONTENT_LENGTH)
        .and_then(|length| length.to_str().ok()?.parse::<u64>().ok())
        .is_some_and(|length| length > MAX_BODY_BYTES)
}
