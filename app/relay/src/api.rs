//! The sync part over HTTP, under `/v1`: what each request passes before and after its
//! own work. `openapi.json` describes it.
//!
//! - [`routes`] lists what there is, [`call`] turns a request into its checked parts,
//!   [`signed`] checks who asks.
//! - `notebooks`, `appending`, `reading`, `snapshots` and `mailboxes` do the work.

pub mod call;
pub mod routes;
pub mod signed;

mod appending;
mod mailboxes;
mod notebooks;
mod reading;
mod snapshots;

use std::net::IpAddr;
use std::sync::Arc;
use std::time::{Duration, Instant, SystemTime, UNIX_EPOCH};

use axum::Router;
use axum::extract::{RawPathParams, Request};
use axum::http::header;
use axum::response::{IntoResponse, Response};
use axum::routing::{MethodFilter, any, on};
use notebook::sync::NotebookId;
use notebook::sync::problem::Problem;

use crate::api::call::Call;
use crate::api::routes::{Does, ROUTES, Route, allowed};
use crate::headers::Answered;
use crate::metrics::Metrics;
use crate::rates::{Counted, Rates};
use crate::refusal::Refusal;
use crate::store::change::{Change, Outcome, Quotas};
use crate::store::connect::Database;
use crate::store::look;
use crate::store::memberships::Memberships;
use crate::store::writer::Writer;
use crate::waiting::Waiters;

/// The description of the interface, OpenAPI 3.1.
pub const OPENAPI: &str = include_str!("../openapi.json");

/// What all requests share. No state: everything that lasts is in the database.
pub struct Api {
    database: Database,
    writer: Writer,
    memberships: Memberships,
    waiters: Arc<Waiters>,
    /// What has been counted.
    pub metrics: Arc<Metrics>,
    by_address: Counted<IpAddr>,
    by_notebook: Counted<NotebookId>,
    behind_proxy: bool,
}

impl Api {
    /// Over an open database.
    #[must_use]
    pub fn new(database: Database, quotas: Quotas, rates: Rates, behind_proxy: bool) -> Self {
        let metrics = Arc::new(Metrics::new());
        Self {
            writer: Writer::start(database.clone(), quotas, metrics.clone()),
            database,
            memberships: Memberships::default(),
            waiters: Arc::new(Waiters::default()),
            metrics,
            by_address: Counted::new(rates.by_address),
            by_notebook: Counted::new(rates.by_notebook),
            behind_proxy,
        }
    }

    /// All routes under `/v1`.
    pub fn router(self: &Arc<Self>) -> Router {
        let mut router = Router::new();
        for route in &ROUTES {
            let method = route.method.parse().expect("a method of HTTP");
            let filter = MethodFilter::try_from(axum::http::Method::clone(&method)).expect("known");
            let api = self.clone();
            let handler = move |params: RawPathParams, request: Request| async move {
                api.answer(route, params, request).await
            };
            router = router.route(route.path, on(filter, handler));
        }
        let api = self.clone();
        router
            .method_not_allowed_fallback(move |request: Request| {
                let refusal = Refusal::method(allowed(request.uri().path()));
                std::future::ready(api.refused("other", "other", refusal))
            })
            .route(
                "/v1/{*rest}",
                any({
                    let api = self.clone();
                    move || std::future::ready(api.refused("other", "other", Refusal::no_route()))
                }),
            )
    }

    async fn answer(
        &self,
        route: &'static Route,
        params: RawPathParams,
        request: Request,
    ) -> Response {
        let begun = Instant::now();
        let mut response = match self.work(route, &params, request).await {
            Ok(response) => response,
            Err(refusal) => return self.refused(route.method, route.path, refusal),
        };
        response.extensions_mut().insert(Answered::Route {
            path: route.path,
            code: None,
        });
        // A reading request may wait on purpose.
        let duration = (route.does != Does::Read).then(|| begun.elapsed());
        let status = response.status().as_u16();
        self.metrics
            .answered(route.method, route.path, status, duration);
        response
    }

    fn refused(&self, method: &'static str, path: &'static str, refusal: Refusal) -> Response {
        let code = refusal.code;
        let mut response = refusal.into_response();
        response.extensions_mut().insert(Answered::Route {
            path,
            code: Some(code),
        });
        self.metrics.refused(code);
        self.metrics
            .answered(method, path, response.status().as_u16(), None);
        response
    }

    async fn work(
        &self,
        route: &Route,
        params: &RawPathParams,
        request: Request,
    ) -> Result<Response, Refusal> {
        let address = call::address(&request, self.behind_proxy);
        self.by_address.take(&address).map_err(Refusal::slow_down)?;
        let call = Call::read(request, params, route.body_bytes).await?;
        match route.does {
            Does::Describe => {
                let kind = [(
                    header::CONTENT_TYPE,
                    "application/vnd.oai.openapi+json;version=3.1",
                )];
                Ok((kind, OPENAPI).into_response())
            }
            Does::Found => self.found(&call).await,
            Does::List => self.list(&call).await,
            Does::ReadMembership => self.read_membership(&call).await,
            Does::Admit => self.admit(&call).await,
            Does::Append => self.append(&call).await,
            Does::AppendRun => self.append_run(&call).await,
            Does::Read => self.read(&call).await,
            Does::Acknowledge => self.acknowledge(&call).await,
            Does::PutPart => self.put_part(&call).await,
            Does::GetPart => self.get_part(&call).await,
            Does::PutSnapshot => self.put_snapshot(&call).await,
            Does::GetSnapshot => self.get_snapshot(&call).await,
            Does::PutMailbox => self.put_mailbox(&call).await,
            Does::TakeMailbox => self.take_mailbox(&call).await,
        }
    }

    /// Makes a change that does not depend on the membership log.
    async fn write(&self, change: Change) -> Result<Outcome, Refusal> {
        match self.writer.write(change).await? {
            Outcome::LogMoved => Err(Problem::Internal.into()),
            outcome => Ok(outcome),
        }
    }

    /// Whether the database answers within a moment.
    pub async fn is_healthy(&self) -> bool {
        let asked = look::alive(&self.database);
        match tokio::time::timeout(Duration::from_secs(2), asked).await {
            Ok(Ok(())) => return true,
            Ok(Err(error)) => tracing::error!(%error, "the database does not answer"),
            Err(_) => tracing::error!("the database does not answer in time"),
        }
        false
    }

    /// Ends all waiting requests, now and from now on.
    pub fn stop_waiting(&self) {
        self.waiters.stop();
    }

    /// Closes the database once all requests have been answered.
    pub async fn close(&self) {
        self.database.close().await;
    }

    /// What has to be done again and again, for as long as the process runs.
    pub async fn keep_up(&self) {
        tokio::join!(self.hear_of_others(), self.forget());
    }

    async fn forget(&self) {
        let mut minutes = tokio::time::interval(Duration::from_secs(60));
        loop {
            minutes.tick().await;
            self.by_address.forget_idle();
            self.by_notebook.forget_idle();
        }
    }
}

/// What a database error means for who asked. Its text goes to the log alone.
fn failed(error: sqlx::Error) -> Refusal {
    tracing::error!(%error, "the database failed");
    match error {
        sqlx::Error::Decode(_) => Problem::Internal.into(),
        _ => Refusal::unavailable(),
    }
}

/// Now, in seconds since 1970.
fn now_s() -> u64 {
    SystemTime::now()
        .duration_since(UNIX_EPOCH)
        .map_or(0, |since| since.as_secs())
}
