//! Requests to the relay that this page came from. Knows addresses and headers,
//! and nothing of what is in a message.

use super::browser::{now_s, scope, sleep};
use super::error::Error;
use notebook::sync::DeviceSecret;
use notebook::sync::problem::Problem;
use notebook::sync::request::Asked;
use std::cell::{Cell, RefCell};
use wasm_bindgen::prelude::*;
use wasm_bindgen_futures::{JsFuture, spawn_local};
use web_sys::{AbortController, Headers, ReadableStreamDefaultReader, RequestInit, Response};

/// A request that is not answered within this is given up.
const PATIENCE_MS: i32 = 30_000;

/// The relay.
#[derive(Default)]
pub struct Server {
    /// What to add to the phone's clock to get the relay's, in seconds.
    ahead_s: Cell<i64>,
    /// Stops the request that waits for news.
    waiting: RefCell<Option<AbortController>>,
}

/// What is asked of the relay.
#[derive(Clone, Copy)]
pub struct Request<'a> {
    /// GET, PUT or POST.
    pub method: &'a str,
    /// Path and query.
    pub path: &'a str,
    /// Empty: no body.
    pub body: &'a [u8],
    /// Who signs the request, where a signature is needed.
    pub signer: Option<&'a DeviceSecret>,
    /// How long the relay may hold it, in seconds. Such a request can be stopped.
    pub wait_s: u32,
}

impl<'a> Request<'a> {
    /// A request that needs no signature.
    pub const fn open(method: &'a str, path: &'a str, body: &'a [u8]) -> Self {
        Self {
            method,
            path,
            body,
            signer: None,
            wait_s: 0,
        }
    }

    /// A request that `signer` signs.
    pub const fn signed(
        method: &'a str,
        path: &'a str,
        body: &'a [u8],
        signer: &'a DeviceSecret,
    ) -> Self {
        Self {
            signer: Some(signer),
            ..Self::open(method, path, body)
        }
    }
}

impl Server {
    /// Sends a request and gives the body of the answer.
    ///
    /// # Errors
    /// [`Error::Silence`] or [`Error::Refused`].
    pub async fn ask(&self, request: Request<'_>) -> Result<Vec<u8>, Error> {
        let mut body = Vec::new();
        self.stream(request, |piece| {
            body.extend_from_slice(piece);
            Ok(())
        })
        .await?;
        Ok(body)
    }

    /// Sends a request and hands the answer's body on as it arrives. What was
    /// handed on before an error was whole as far as it went.
    ///
    /// # Errors
    /// [`Error::Silence`] when the connection breaks, [`Error::Refused`], or what
    /// `take` says.
    pub async fn stream(
        &self,
        request: Request<'_>,
        mut take: impl FnMut(&[u8]) -> Result<(), Error>,
    ) -> Result<(), Error> {
        let abort = AbortController::new().map_err(|_| Error::Silence)?;
        if request.wait_s > 0 {
            self.waiting.replace(Some(abort.clone()));
        }
        let given_up = abort.clone();
        let patience = PATIENCE_MS + 1000 * i32::try_from(request.wait_s).unwrap_or_default();
        spawn_local(async move {
            sleep(patience).await;
            // Of no effect once the answer is there.
            given_up.abort();
        });
        let mut response = self.send(request, &abort).await?;
        if let Some(time_s) = refused_for_its_time(&response).await {
            self.ahead_s.set(time_s - signed_s(now_s()));
            response = self.send(request, &abort).await?;
        }
        if !response.ok() {
            return Err(refusal(&response).await);
        }
        let Some(stream) = response.body() else {
            return Ok(());
        };
        let reader = stream.get_reader();
        let reader: ReadableStreamDefaultReader = reader.dyn_into().map_err(|_| Error::Silence)?;
        loop {
            let read = JsFuture::from(reader.read()).await;
            let read = read.map_err(|_| Error::Silence)?;
            let field = |name: &str| js_sys::Reflect::get(&read, &name.into()).unwrap_or_default();
            if field("done").is_truthy() {
                return Ok(());
            }
            let piece: js_sys::Uint8Array =
                field("value").dyn_into().map_err(|_| Error::Silence)?;
            take(&piece.to_vec())?;
        }
    }

    async fn send(&self, request: Request<'_>, abort: &AbortController) -> Result<Response, Error> {
        let init = RequestInit::new();
        init.set_method(request.method);
        init.set_signal(Some(&abort.signal()));
        let headers = Headers::new().map_err(|_| Error::Silence)?;
        if !request.body.is_empty() {
            init.set_body(&js_sys::Uint8Array::from(request.body));
            headers.set("Content-Type", "application/octet-stream")?;
        }
        if let Some(signer) = request.signer {
            let asked = Asked {
                method: request.method,
                path_and_query: request.path,
                body: request.body,
            };
            let time_s = now_s().saturating_add_signed(self.ahead_s.get());
            headers.set("Authorization", &asked.sign(signer, time_s))?;
        }
        init.set_headers(&headers);
        let scope = scope()?;
        // Whole addresses, so that no base can change them.
        let address = format!("{}{}", scope.location().origin(), request.path);
        let sent = scope.fetch_with_str_and_init(&address, &init);
        let answer = JsFuture::from(sent).await.map_err(|_| Error::Silence)?;
        answer.dyn_into().map_err(|_| Error::Silence)
    }

    /// Stops the request that waits for news, if there is one.
    pub fn stop_waiting(&self) {
        if let Some(abort) = self.waiting.take() {
            abort.abort();
        }
    }
}

fn signed_s(s: u64) -> i64 {
    i64::try_from(s).unwrap_or(i64::MAX)
}

/// The relay's time, when it refused because of ours.
async fn refused_for_its_time(response: &Response) -> Option<i64> {
    if response.status() != 401 {
        return None;
    }
    let refusal = refusal(&response.clone().ok()?).await;
    match refusal {
        Error::Refused {
            problem: Some(Problem::RequestTime),
            number: Some(time_s),
            ..
        } => Some(signed_s(time_s)),
        _ => None,
    }
}

async fn refusal(response: &Response) -> Error {
    let wait_s = response.headers().get("Retry-After").ok().flatten();
    let wait_s = wait_s.and_then(|text| text.parse().ok());
    let text = match response.text() {
        Ok(text) => JsFuture::from(text).await.ok(),
        Err(_) => None,
    };
    let text = text.and_then(|text| text.as_string()).unwrap_or_default();
    let body: serde_json::Value = serde_json::from_str(&text).unwrap_or_default();
    let facts = ["time", "next", "epoch", "last"];
    Error::Refused {
        problem: body["code"].as_str().and_then(Problem::of_code),
        sentence: body["title"]
            .as_str()
            .map_or_else(|| format!("status {}.", response.status()), str::to_owned),
        number: facts.iter().find_map(|fact| body[*fact].as_u64()),
        wait_s,
    }
}
