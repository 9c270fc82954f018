//! Which routes there are: what is declared here is what `openapi.json` describes, and
//! a test holds the two against each other.

use notebook::sync::{acknowledgement, batch, membership, run, snapshot};

/// A route: its method, its path as OpenAPI writes it, the longest body in bytes,
/// and what it does.
pub(super) struct Route {
    pub(super) method: &'static str,
    pub(super) path: &'static str,
    pub(super) body_bytes: usize,
    pub(super) does: Does,
}

#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Does {
    Describe,
    Found,
    List,
    ReadMembership,
    Admit,
    Append,
    AppendRun,
    Read,
    Acknowledge,
    PutPart,
    GetPart,
    PutSnapshot,
    GetSnapshot,
    PutMailbox,
    TakeMailbox,
}

/// The most that a mailbox takes, in bytes.
const MAILBOX_BYTES: usize = 4 * 1024;
/// The most that a phone says of what it has, in bytes.
const READ_REQUEST_BYTES: usize = 16 * 1024;

const fn route(method: &'static str, path: &'static str, body_bytes: usize, does: Does) -> Route {
    Route {
        method,
        path,
        body_bytes,
        does,
    }
}

pub(super) const ROUTES: [Route; 15] = [
    route("GET", "/v1/openapi.json", 0, Does::Describe),
    route("POST", "/v1/notebooks", membership::MAX_BYTES, Does::Found),
    route("GET", "/v1/notebooks", 0, Does::List),
    route(
        "GET",
        "/v1/notebooks/{notebook}/membership",
        0,
        Does::ReadMembership,
    ),
    route(
        "POST",
        "/v1/notebooks/{notebook}/membership",
        membership::MAX_BYTES,
        Does::Admit,
    ),
    route(
        "POST",
        "/v1/notebooks/{notebook}/batches",
        batch::MAX_BYTES,
        Does::Append,
    ),
    route(
        "POST",
        "/v1/notebooks/{notebook}/runs",
        run::MAX_BYTES,
        Does::AppendRun,
    ),
    route(
        "POST",
        "/v1/notebooks/{notebook}/read",
        READ_REQUEST_BYTES,
        Does::Read,
    ),
    route(
        "PUT",
        "/v1/notebooks/{notebook}/acknowledgement",
        acknowledgement::MAX_BYTES,
        Does::Acknowledge,
    ),
    route(
        "PUT",
        "/v1/notebooks/{notebook}/snapshot/parts/{hash}",
        snapshot::MAX_PART_BYTES,
        Does::PutPart,
    ),
    route(
        "GET",
        "/v1/notebooks/{notebook}/snapshot/parts/{hash}",
        0,
        Does::GetPart,
    ),
    route(
        "PUT",
        "/v1/notebooks/{notebook}/snapshot",
        snapshot::MAX_BYTES,
        Does::PutSnapshot,
    ),
    route(
        "GET",
        "/v1/notebooks/{notebook}/snapshot",
        0,
        Does::GetSnapshot,
    ),
    route(
        "PUT",
        "/v1/mailboxes/{mailbox}",
        MAILBOX_BYTES,
        Does::PutMailbox,
    ),
    route("POST", "/v1/mailboxes/{mailbox}/take", 0, Does::TakeMailbox),
];

/// Every route's method and path, so that a test can hold them against the
/// description.
pub fn routes() -> impl Iterator<Item = (&'static str, &'static str)> {
    ROUTES
        .iter()
        .map(|route| (route.method, route.path))
        .chain([("GET", "/healthz"), ("GET", "/metrics")])
}

/// The methods that the path takes, for the Allow header.
pub(super) fn allowed(path: &str) -> &'static str {
    let takes = |method: &str| {
        ROUTES
            .iter()
            .any(|route| route.method == method && fits(route.path, path))
    };
    match (takes("GET"), takes("PUT"), takes("POST")) {
        (true, true, _) => "GET, HEAD, PUT",
        (true, _, true) => "GET, HEAD, POST",
        (true, ..) => "GET, HEAD",
        (_, true, _) => "PUT",
        _ => "POST",
    }
}

fn fits(route: &str, path: &str) -> bool {
    let (route, path) = (route.split('/'), path.split('/'));
    route.clone().count() == path.clone().count()
        && route
            .zip(path)
            .all(|(of_route, given)| of_route.starts_with('{') || of_route == given)
}
