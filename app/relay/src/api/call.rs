//! A request's parts: read within bounds of size and time, and strictly.

use std::net::{IpAddr, Ipv4Addr};
use std::time::Duration;

use axum::body::{Bytes, to_bytes};
use axum::extract::{RawPathParams, Request};
use axum::http::header;
use notebook::sync::problem::Problem;
use notebook::sync::{Hash, NotebookId};

use crate::hex::from_hex;
use crate::rates::counted_as;
use crate::refusal::Refusal;
use crate::serve::Peer;

/// How long a body may take to come. The longest is 256 KiB: 9 KB a second.
const BODY_TIME: Duration = Duration::from_secs(30);

/// A request that has been read.
#[derive(Debug)]
pub struct Call {
    /// Its method.
    pub method: String,
    /// Path and query exactly as sent.
    pub path_and_query: String,
    /// Its Authorization header.
    pub authorization: Option<String>,
    /// Its body.
    pub body: Bytes,
    notebook: Option<NotebookId>,
    hash: Option<Hash>,
    mailbox: Option<[u8; 16]>,
    query: Vec<(String, String)>,
}

impl Call {
    /// Reads a request whose body may have `body_bytes`.
    ///
    /// # Errors
    /// When the body is too large or too slow, or the address cannot be read.
    pub async fn read(
        request: Request,
        params: &RawPathParams,
        body_bytes: usize,
    ) -> Result<Self, Refusal> {
        let (head, body) = request.into_parts();
        let mut call = Self {
            method: head.method.as_str().to_owned(),
            path_and_query: head
                .uri
                .path_and_query()
                .map_or_else(String::new, ToString::to_string),
            authorization: head
                .headers
                .get(header::AUTHORIZATION)
                .and_then(|value| value.to_str().ok().map(str::to_owned)),
            body: Bytes::new(),
            notebook: None,
            hash: None,
            mailbox: None,
            query: read_query(head.uri.query().unwrap_or_default())?,
        };
        for (name, value) in params {
            match name {
                "notebook" => call.notebook = Some(NotebookId::from_bytes(id(value)?)),
                "hash" => call.hash = Some(Hash::from_bytes(id(value)?)),
                _ => call.mailbox = Some(id(value)?),
            }
        }
        let announced = head
            .headers
            .get(header::CONTENT_LENGTH)
            .and_then(|length| length.to_str().ok()?.parse::<usize>().ok());
        if announced.is_some_and(|length| length > body_bytes) {
            return Err(Problem::TooLarge.into());
        }
        call.body = tokio::time::timeout(BODY_TIME, to_bytes(body, body_bytes))
            .await
            .map_err(|_| Refusal::too_slow())?
            // Longer than allowed without having said so, or broken off: then
            // nobody reads the answer.
            .map_err(|_| Problem::TooLarge)?;
        Ok(call)
    }

    /// The notebook of the path.
    ///
    /// # Errors
    /// Never for routes that have one.
    pub fn notebook(&self) -> Result<NotebookId, Refusal> {
        self.notebook.ok_or_else(Refusal::query)
    }

    /// The hash of the path.
    ///
    /// # Errors
    /// Never for routes that have one.
    pub fn hash(&self) -> Result<Hash, Refusal> {
        self.hash.ok_or_else(Refusal::query)
    }

    /// The mailbox of the path.
    ///
    /// # Errors
    /// Never for routes that have one.
    pub fn mailbox(&self) -> Result<[u8; 16], Refusal> {
        self.mailbox.ok_or_else(Refusal::query)
    }

    /// A number of the query; `None` when it is not there.
    ///
    /// # Errors
    /// When it is no number, or is above `most`.
    pub fn number(&self, name: &str, most: u64) -> Result<Option<u64>, Refusal> {
        self.parameter(name)
            .map(|text| {
                text.parse()
                    .ok()
                    .filter(|number| *number <= most)
                    .ok_or_else(Refusal::query)
            })
            .transpose()
    }

    /// A yes or no of the query; no when it is not there.
    ///
    /// # Errors
    /// When it is neither `true` nor `false`.
    pub fn is_set(&self, name: &str) -> Result<bool, Refusal> {
        match self.parameter(name) {
            None | Some("false") => Ok(false),
            Some("true") => Ok(true),
            Some(_) => Err(Refusal::query()),
        }
    }

    fn parameter(&self, name: &str) -> Option<&str> {
        let mut found = self.query.iter().filter(|(given, _)| given == name);
        found.next().map(|(_, value)| value.as_str())
    }
}

fn id<const N: usize>(text: &str) -> Result<[u8; N], Refusal> {
    from_hex(text).ok_or_else(Refusal::query)
}

/// All our parameters are digits or words, so nothing is decoded.
fn read_query(query: &str) -> Result<Vec<(String, String)>, Refusal> {
    let pairs = query.split('&').filter(|pair| !pair.is_empty());
    pairs
        .map(|pair| {
            let (name, value) = pair.split_once('=').ok_or_else(Refusal::query)?;
            Ok((name.to_owned(), value.to_owned()))
        })
        .collect()
}

/// The address that a request is counted under. Behind a proxy it is the last one
/// that the proxy has appended; what stands before was written by whoever asked.
#[must_use]
pub fn address(request: &Request, behind_proxy: bool) -> IpAddr {
    let peer = request
        .extensions()
        .get::<Peer>()
        .map_or(Ipv4Addr::UNSPECIFIED.into(), |peer| peer.0);
    let forwarded = || {
        let lines = request.headers().get_all("x-forwarded-for");
        let last = lines.iter().next_back()?.to_str().ok()?;
        last.rsplit(',').next()?.trim().parse::<IpAddr>().ok()
    };
    let address = if behind_proxy { forwarded() } else { None };
    counted_as(address.unwrap_or(peer).to_canonical())
}

#[cfg(test)]
mod tests {
    use super::*;
    use axum::body::Body;

    fn request(forwarded: &[&str]) -> Request {
        let mut request = Request::new(Body::empty());
        request
            .extensions_mut()
            .insert(Peer("192.0.2.1".parse().unwrap()));
        for line in forwarded {
            request
                .headers_mut()
                .append("x-forwarded-for", line.parse().unwrap());
        }
        request
    }

    #[test]
    fn only_what_the_own_proxy_wrote_counts_as_the_address() {
        let text = |request: &Request, proxy| address(request, proxy).to_string();
        let forged = request(&["203.0.113.5", "203.0.113.6, 198.51.100.7"]);
        assert_eq!(text(&forged, true), "198.51.100.7");
        assert_eq!(text(&forged, false), "192.0.2.1");
        assert_eq!(text(&request(&[]), true), "192.0.2.1");
        assert_eq!(text(&request(&["nonsense"]), true), "192.0.2.1");
    }
}
