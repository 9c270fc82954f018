//! Answers requests: files of the client, its start page for each of its screens,
//! the health check, the counts and the local authority's certificate; what is under
//! `/v1` it hands to [`crate::api`]. No sockets here.

use std::sync::Arc;

use axum::Router;
use axum::body::{Body, Bytes};
use axum::extract::{Request, State};
use axum::http::header::{self, HeaderMap, HeaderName, HeaderValue};
use axum::http::{Method, StatusCode};
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use percent_encoding::percent_decode_str;

use crate::api::Api;
use crate::assets::{Asset, Assets};
use crate::encoding::{Accepted, weighted};
use crate::headers::{Answered, around};
use crate::metrics;

/// Everything that is served. `authority` is the local authority's certificate in
/// PEM form, when there is one.
pub fn site(assets: Arc<Assets>, authority: Option<Bytes>, api: &Arc<Api>) -> Router {
    let (asked, counted) = (api.clone(), api.clone());
    let mut site = Router::new()
        .route("/healthz", get(async move || healthz(&asked).await))
        .route("/metrics", get(async move || counts(&counted)));
    if let Some(pem) = authority {
        site = site.route(
            "/stridebook-ca.crt",
            get(move || authority_certificate(pem.clone())),
        );
    }
    site.fallback(client)
        .with_state(assets)
        .merge(api.router())
        .layer(axum::middleware::from_fn(around))
}

/// Whether this process can do its work: it runs, and its database answers.
async fn healthz(api: &Api) -> Response {
    if api.is_healthy().await {
        public("ok")
    } else {
        public((
            StatusCode::SERVICE_UNAVAILABLE,
            "the database does not answer\n",
        ))
    }
}

fn counts(api: &Api) -> Response {
    public((
        [(header::CONTENT_TYPE, metrics::MEDIA_TYPE)],
        api.metrics.text(),
    ))
}

async fn authority_certificate(pem: Bytes) -> impl IntoResponse {
    public(([(header::CONTENT_TYPE, "application/x-x509-ca-cert")], pem))
}

async fn client(State(assets): State<Arc<Assets>>, request: Request) -> Response {
    if request.method() != Method::GET && request.method() != Method::HEAD {
        let allow = [(header::ALLOW, HeaderValue::from_static("GET, HEAD"))];
        return (StatusCode::METHOD_NOT_ALLOWED, allow, "only GET and HEAD\n").into_response();
    }
    let headers = request.headers();
    let Some(address) = address(request.uri().path()) else {
        return not_found();
    };
    if let Some(asset) = assets.file(&address) {
        return with_vary(public(file(asset, headers)), "Accept-Encoding");
    }
    // Whether a screen or nothing is there depends on Accept too, both ways.
    let answer = if is_screen(&address, headers) {
        let mut page = file(assets.page_of(&address), headers);
        page.extensions_mut().insert(Answered::Screen);
        page
    } else {
        not_found()
    };
    with_vary(answer, "Accept, Accept-Encoding")
}

/// The decoded path without its first `/`. `None` for what no browser sends: a
/// path that is not UTF-8, has a control character or a backslash, or still has
/// `.` or `..` segments.
fn address(path: &str) -> Option<String> {
    let decoded = percent_decode_str(path).decode_utf8().ok()?;
    let address = decoded.strip_prefix('/')?;
    let odd = address.contains(|c: char| c.is_control() || c == '\\')
        || address
            .split('/')
            .any(|segment| matches!(segment, "." | ".."));
    (!odd).then(|| address.to_owned())
}

/// Whether a browser navigates to a screen of the client: it asks for a page, and
/// the last part of the path does not look like a file.
fn is_screen(address: &str, headers: &HeaderMap) -> bool {
    let last = address.rsplit('/').next().unwrap_or(address);
    let wants_page = lines(headers, &header::ACCEPT)
        .flat_map(|line| line.split(','))
        .any(|range| {
            weighted(range)
                .is_some_and(|(kind, weight)| kind.eq_ignore_ascii_case("text/html") && weight > 0)
        });
    wants_page && !last.contains('.')
}

/// The file in the form that the client takes, or 304 where it holds that already.
fn file(asset: &Asset, headers: &HeaderMap) -> Response {
    let accepted = Accepted::parse(lines(headers, &header::ACCEPT_ENCODING));
    let Some(coded) = asset.choose(accepted) else {
        return (
            StatusCode::NOT_ACCEPTABLE,
            "no content coding that you accept\n",
        )
            .into_response();
    };
    let mut answer = if held(&coded.etag, headers) {
        StatusCode::NOT_MODIFIED.into_response()
    } else {
        let mut answer = Response::new(Body::from(coded.bytes.clone()));
        let kind = HeaderValue::from_static(asset.mime);
        answer.headers_mut().insert(header::CONTENT_TYPE, kind);
        if let Some(coding) = coded.coding {
            let coding = HeaderValue::from_static(coding);
            answer
                .headers_mut()
                .insert(header::CONTENT_ENCODING, coding);
        }
        answer
    };
    let common = answer.headers_mut();
    common.insert(header::ETAG, coded.etag.clone());
    common.insert(header::CACHE_CONTROL, HeaderValue::from_static(asset.cache));
    answer
}

/// Whether `If-None-Match` names this tag. Tags are compared weakly there, as a
/// cache on the way may have weakened ours.
fn held(etag: &HeaderValue, headers: &HeaderMap) -> bool {
    lines(headers, &header::IF_NONE_MATCH)
        .flat_map(|line| line.split(','))
        .map(|tag| tag.trim())
        .any(|tag| {
            tag == "*" || tag.strip_prefix("W/").unwrap_or(tag).as_bytes() == etag.as_bytes()
        })
}

fn lines<'a>(headers: &'a HeaderMap, name: &HeaderName) -> impl Iterator<Item = &'a str> {
    headers
        .get_all(name)
        .into_iter()
        .filter_map(|value| value.to_str().ok())
}

fn not_found() -> Response {
    (StatusCode::NOT_FOUND, "nothing is here\n").into_response()
}

fn public(answer: impl IntoResponse) -> Response {
    let mut answer = answer.into_response();
    answer.extensions_mut().insert(Answered::Public);
    answer
}

fn with_vary(mut answer: Response, names: &'static str) -> Response {
    answer
        .headers_mut()
        .insert(header::VARY, HeaderValue::from_static(names));
    answer
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_path_is_decoded_once_and_odd_ones_have_no_address() {
        assert_eq!(address("/a%20b/%C3%A9.txt").as_deref(), Some("a b/é.txt"));
        assert_eq!(address("/%252e%252e/x").as_deref(), Some("%2e%2e/x"));
        assert_eq!(address("/a...b/..c").as_deref(), Some("a...b/..c"));
        for odd in [
            "/../x",
            "/a/%2e%2E/x",
            "/a/.",
            "/%2e%2e%2fx",
            "/a%5cb",
            "/a%00",
            "/%ff",
            "*",
            "",
        ] {
            assert_eq!(address(odd), None, "{odd}");
        }
    }
}
