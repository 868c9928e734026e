//! What every worker of a server shares: the base, what may be asked of the server, and counts.
//!
//! Leans on arc-swap, so that a base is exchanged whole while questions are under way: each
//! question keeps the base that it began with. Leaves to others: opening a base ([`crate::cli`]
//! hands that in), and answering ([`super::routes`]).

use std::future::{Ready, ready};
use std::ops::Deref;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError};

use actix_web::dev::Payload;
use actix_web::{FromRequest, HttpRequest, web};
use arc_swap::ArcSwap;
use schemars::JsonSchema;
use serde::Serialize;

use super::error::Failure;
use super::figures::Figures;
use super::rate::Rate;
use crate::ask::{self, Engine, Error};
use crate::settings::Settings;

/// Opens the base again, from the folders that it came from.
pub type Reopen = Box<dyn Fn() -> Result<Engine, Error> + Send + Sync>;

/// What every worker shares.
pub struct Service {
    base: ArcSwap<Engine>,
    reopen: Option<Reopen>,
    turn: Mutex<()>,
    stopping: AtomicBool,
    pub(super) settings: Settings,
    pub(super) rate: Option<Rate>,
    pub(super) figures: Figures,
}

/// What a reload has done.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Reloaded {
    /// Whether the base differs from the one before.
    pub changed: bool,
    /// Fingerprint of the base before.
    pub before: String,
    /// Fingerprint of the base that is served now.
    pub stamp: String,
    /// How many exercises it has.
    pub exercises: usize,
}

impl Service {
    /// A service over one base; without `reopen` it stays at that.
    #[must_use]
    pub fn new(engine: Arc<Engine>, settings: Settings, reopen: Option<Reopen>) -> Arc<Self> {
        let figures = Figures::new(engine.kb());
        let rate = Rate::new(&settings);
        Arc::new(Self {
            base: ArcSwap::new(engine),
            reopen,
            turn: Mutex::new(()),
            stopping: AtomicBool::new(false),
            settings,
            rate,
            figures,
        })
    }

    /// The base that is served now.
    #[must_use]
    pub fn base(&self) -> Arc<Engine> {
        self.base.load_full()
    }

    /// From here on the server says that it is not ready, and closes connections after a reply.
    pub fn stop(&self) {
        self.stopping.store(true, Ordering::Release);
    }

    /// Whether the server is about to stop.
    #[must_use]
    pub fn is_stopping(&self) -> bool {
        self.stopping.load(Ordering::Acquire)
    }

    /// Opens the base again and serves it from the next question on. One reload at a time; takes as
    /// long as the folders take to read and compile.
    ///
    /// # Errors
    /// [`Failure::Broken`] with every problem of the base. The base before is then served on.
    pub fn reload(&self) -> Result<Reloaded, Failure> {
        let _turn = self.turn.lock().unwrap_or_else(PoisonError::into_inner);
        let done = self.reopened();
        self.figures.reloaded(done.as_ref().ok().map(|(engine, _)| engine.kb()));
        let (engine, before) = done?;
        let kb = engine.kb();
        let stamp = kb.stamp.clone();
        let reloaded = Reloaded { changed: stamp != before, before, exercises: kb.len(), stamp };
        if reloaded.changed {
            self.base.store(Arc::new(engine));
        }
        Ok(reloaded)
    }

    fn reopened(&self) -> Result<(Engine, String), Failure> {
        let before = self.base().kb().stamp.clone();
        let Some(reopen) = &self.reopen else {
            return Err(Failure::Fault("the base of this server cannot be opened again"));
        };
        let opened = catch_unwind(AssertUnwindSafe(reopen)).map_err(|_| Failure::Fault("a panic while reloading"))?;
        let engine = opened.map_err(|error| Failure::Broken { error })?;
        // The first search of the new base shall not wait for its index.
        ask::warm(&engine).map_err(|error| Failure::Broken { error })?;
        Ok((engine, before))
    }
}

/// The base as it stood when the request came in.
pub struct Base(Arc<Engine>);

impl Deref for Base {
    type Target = Engine;

    fn deref(&self) -> &Engine {
        &self.0
    }
}

impl Base {
    /// To be taken to another thread.
    pub(super) fn into_engine(self) -> Arc<Engine> {
        self.0
    }
}

impl FromRequest for Base {
    type Error = Failure;
    type Future = Ready<Result<Self, Failure>>;

    fn from_request(request: &HttpRequest, _: &mut Payload) -> Self::Future {
        let service = request.app_data::<web::Data<Service>>();
        ready(service.map(|s| Self(s.base())).ok_or(Failure::Fault("no base is set up")))
    }
}
