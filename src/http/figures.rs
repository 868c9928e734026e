//! Counts and times of a server, for a monitor.
//!
//! Leans on prometheus-client and its OpenMetrics text form. Leaves to others: counting
//! ([`super::around`]). Labels are routes, methods and statuses of closed lists, so that nobody who
//! asks can make the page grow, and nothing that was asked stands on it.

use std::sync::atomic::{AtomicI64, AtomicU64};
use std::time::Duration;

use prometheus_client::encoding::EncodeLabelSet;
use prometheus_client::encoding::text::encode;
use prometheus_client::metrics::counter::Counter;
use prometheus_client::metrics::family::Family;
use prometheus_client::metrics::gauge::Gauge;
use prometheus_client::metrics::histogram::Histogram;
use prometheus_client::registry::Registry;

use crate::kb::Kb;

/// Media type of the page.
pub(super) const OPENMETRICS: &str = "application/openmetrics-text; version=1.0.0; charset=utf-8";

/// Upper bounds of the times told, seconds: an answer takes tens of microseconds to some
/// milliseconds, a long body some seconds.
const BOUNDS: [f64; 12] = [0.000_1, 0.000_25, 0.000_5, 0.001, 0.002_5, 0.005, 0.01, 0.025, 0.1, 0.5, 2.5, 10.0];

#[derive(Debug, Clone, PartialEq, Eq, Hash, EncodeLabelSet)]
struct Answered {
    route: &'static str,
    method: &'static str,
    status: u16,
}

#[derive(Debug, Clone, PartialEq, Eq, Hash, EncodeLabelSet)]
struct OfRoute {
    route: &'static str,
}

#[derive(Debug, Clone, PartialEq, Eq, Hash, EncodeLabelSet)]
struct Outcome {
    outcome: &'static str,
}

#[derive(Debug, Clone, PartialEq, Eq, Hash, EncodeLabelSet)]
struct OfBase {
    name: String,
    version: String,
    stamp: String,
    program: &'static str,
}

/// The counts.
pub(super) struct Figures {
    registry: Registry,
    requests: Family<Answered, Counter>,
    times: Family<OfRoute, Histogram, fn() -> Histogram>,
    in_flight: Gauge,
    reloads: Family<Outcome, Counter>,
    base: Family<OfBase, Gauge>,
    exercises: Gauge<i64, AtomicI64>,
    questions: Counter<u64, AtomicU64>,
}

impl Figures {
    pub(super) fn new(kb: &Kb) -> Self {
        let mut registry = Registry::with_prefix("stead");
        let figures = Self {
            requests: Family::default(),
            times: Family::new_with_constructor(|| Histogram::new(BOUNDS)),
            in_flight: Gauge::default(),
            reloads: Family::default(),
            base: Family::default(),
            exercises: Gauge::default(),
            questions: Counter::default(),
            registry: Registry::default(),
        };
        registry.register("requests", "Requests answered", figures.requests.clone());
        registry.register("request_seconds", "Time from the head of a request to its reply", figures.times.clone());
        registry.register("requests_in_flight", "Requests under way", figures.in_flight.clone());
        registry.register("batched_questions", "Questions answered within batches", figures.questions.clone());
        registry.register("reloads", "Reloads of the base by outcome", figures.reloads.clone());
        registry.register("base", "The base served, by its labels", figures.base.clone());
        registry.register("base_exercises", "Exercises in the base served", figures.exercises.clone());
        figures.serves(kb);
        Self { registry, ..figures }
    }

    fn serves(&self, kb: &Kb) {
        self.base.clear();
        let labels = OfBase {
            name: kb.base.name.clone(),
            version: kb.base.version.clone(),
            stamp: kb.stamp.clone(),
            program: env!("CARGO_PKG_VERSION"),
        };
        self.base.get_or_create(&labels).set(1);
        self.exercises.set(i64::try_from(kb.len()).unwrap_or(i64::MAX));
    }

    /// Counts a request from here until the guard goes, also when the client goes first.
    pub(super) fn begin(&self) -> InFlight {
        self.in_flight.inc();
        InFlight(self.in_flight.clone())
    }

    /// Counts a reply.
    pub(super) fn answered(&self, route: &'static str, method: &'static str, status: u16, took: Duration) {
        self.requests.get_or_create(&Answered { route, method, status }).inc();
        self.times.get_or_create(&OfRoute { route }).observe(took.as_secs_f64());
    }

    /// Counts the questions of a batch.
    pub(super) fn batched(&self, questions: u64) {
        self.questions.inc_by(questions);
    }

    /// Counts a reload; none for one that failed.
    pub(super) fn reloaded(&self, kb: Option<&Kb>) {
        self.reloads.get_or_create(&Outcome { outcome: if kb.is_some() { "done" } else { "refused" } }).inc();
        if let Some(kb) = kb {
            self.serves(kb);
        }
    }

    /// The page.
    pub(super) fn text(&self) -> Result<String, std::fmt::Error> {
        let mut text = String::new();
        encode(&mut text, &self.registry)?;
        Ok(text)
    }
}

/// A request under way.
pub(super) struct InFlight(Gauge);

impl Drop for InFlight {
    fn drop(&mut self) {
        self.0.dec();
    }
}
