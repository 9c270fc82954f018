//! What an operator watches, in the OpenMetrics text format. Counts alone: no
//! notebook, device or address is a label.

use std::time::Duration;

use prometheus_client::encoding::EncodeLabelSet;
use prometheus_client::encoding::text::encode;
use prometheus_client::metrics::counter::Counter;
use prometheus_client::metrics::family::Family;
use prometheus_client::metrics::gauge::Gauge;
use prometheus_client::metrics::histogram::{Histogram, exponential_buckets};
use prometheus_client::registry::{Registry, Unit};

/// The media type of [`Metrics::text`] (OpenMetrics 1.0.0, "Protocol Negotiation").
pub const MEDIA_TYPE: &str = "application/openmetrics-text; version=1.0.0; charset=utf-8";

/// A kind of answer: the route as it is declared, and the status.
#[derive(Clone, Debug, PartialEq, Eq, Hash, EncodeLabelSet)]
struct Answer {
    method: &'static str,
    route: &'static str,
    status: u16,
}

/// Why a request was refused.
#[derive(Clone, Debug, PartialEq, Eq, Hash, EncodeLabelSet)]
struct Why {
    code: &'static str,
}

/// The counts of one process.
pub struct Metrics {
    registry: Registry,
    answers: Family<Answer, Counter>,
    refusals: Family<Why, Counter>,
    durations: Histogram,
    batches: Counter,
    bytes: Counter,
    commits: Counter,
    retries: Counter,
    commit_sizes: Histogram,
    waiting: Gauge,
}

impl Default for Metrics {
    fn default() -> Self {
        Self::new()
    }
}

impl Metrics {
    /// All counts at zero.
    #[must_use]
    pub fn new() -> Self {
        let metrics = Self {
            registry: Registry::with_prefix("stridebook_relay"),
            answers: Family::default(),
            refusals: Family::default(),
            // 0.5 ms to 16 s: an append is a few ms, and a wait ends by itself.
            durations: Histogram::new(exponential_buckets(0.0005, 2.0, 16)),
            batches: Counter::default(),
            bytes: Counter::default(),
            commits: Counter::default(),
            retries: Counter::default(),
            commit_sizes: Histogram::new(exponential_buckets(1.0, 2.0, 9)),
            waiting: Gauge::default(),
        };
        metrics.registered()
    }

    fn registered(mut self) -> Self {
        let registry = &mut self.registry;
        registry.register(
            "answers",
            "Answers by route and status",
            self.answers.clone(),
        );
        registry.register(
            "refusals",
            "Refused requests by their code",
            self.refusals.clone(),
        );
        registry.register_with_unit(
            "answer_duration",
            "Time from the request's head to the answer, waiting requests left out",
            Unit::Seconds,
            self.durations.clone(),
        );
        registry.register(
            "appended_batches",
            "Sealed batches that were stored",
            self.batches.clone(),
        );
        registry.register_with_unit(
            "appended",
            "Size of the sealed batches that were stored",
            Unit::Bytes,
            self.bytes.clone(),
        );
        registry.register("commits", "Transactions that wrote", self.commits.clone());
        registry.register(
            "commit_retries",
            "Transactions run again after a conflict with another relay",
            self.retries.clone(),
        );
        registry.register(
            "changes_in_commit",
            "Changes that shared one transaction",
            self.commit_sizes.clone(),
        );
        registry.register(
            "waiting_requests",
            "Requests that wait for news now",
            self.waiting.clone(),
        );
        self
    }

    /// Counts an answer. `duration` is left out for requests that wait on purpose.
    pub fn answered(
        &self,
        method: &'static str,
        route: &'static str,
        status: u16,
        duration: Option<Duration>,
    ) {
        self.answers
            .get_or_create(&Answer {
                method,
                route,
                status,
            })
            .inc();
        if let Some(duration) = duration {
            self.durations.observe(duration.as_secs_f64());
        }
    }

    /// Counts a refusal.
    pub fn refused(&self, code: &'static str) {
        self.refusals.get_or_create(&Why { code }).inc();
    }

    /// Counts sealed batches that were stored.
    pub fn appended(&self, batches: u64, bytes: u64) {
        self.batches.inc_by(batches);
        self.bytes.inc_by(bytes);
    }

    /// Counts a transaction that held this many changes.
    pub fn committed(&self, changes: usize) {
        self.commits.inc();
        self.commit_sizes.observe(changes as f64);
    }

    /// Counts a transaction that has to be run again.
    pub fn run_again(&self) {
        self.retries.inc();
    }

    /// Counts a waiting request until the answer is dropped.
    pub fn waiting(&self) -> Waiting {
        self.waiting.inc();
        Waiting(self.waiting.clone())
    }

    /// All counts in the OpenMetrics text format.
    #[must_use]
    pub fn text(&self) -> String {
        let mut text = String::new();
        encode(&mut text, &self.registry).expect("a string takes all that is written to it");
        text
    }
}

/// A request that waits.
pub struct Waiting(Gauge);

impl Drop for Waiting {
    fn drop(&mut self) {
        self.0.dec();
    }
}
