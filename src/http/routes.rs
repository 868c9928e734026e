//! The routes: each reads a question, has it answered and writes the reply.
//!
//! Leans on [`crate::ask`] for the answers. Leaves to others: reading bodies (`super::body`) and
//! query strings (`super::query`), the server's own upkeep (`super::upkeep`), what an error looks
//! like ([`super::error`]), and the description of every route ([`super::openapi`]).

use std::panic::{AssertUnwindSafe, catch_unwind};

use actix_web::{FromRequest, Handler, HttpRequest, HttpResponse, Resource, Responder, guard, web};
use schemars::JsonSchema;
use serde::Serialize;
use serde::de::DeserializeOwned;

use super::error::{Failure, KINDS, Place};
use super::query::Query;
use super::service::Base;
use super::{Limits, batch, body, page, upkeep};
use crate::ask::export::Form;
use crate::ask::swap::GymAsk;
use crate::ask::{self, Basis, Engine, Error};
use crate::kb::raw::{Role, SpineClass};

/// A path, the methods that work there, and what it answers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Route {
    /// Path, with its variable steps in braces.
    pub path: &'static str,
    /// Methods, as in the `Allow` header.
    pub allow: &'static str,
    /// What is answered.
    pub answers: &'static str,
}

/// Media type of a reply.
pub(super) const JSON: &str = "application/json";

const READ: &str = "GET, HEAD";
const ASK: &str = "POST";

macro_rules! routes {
    ($($id:ident = $path:literal, $allow:ident, $answers:literal;)*) => {
        $(pub(super) const $id: Route = Route { path: $path, allow: $allow, answers: $answers };)*
        /// Every route.
        pub const ROUTES: &[Route] = &[$($id),*];
    };
}

routes! {
    PAGE = "/", READ, "the page for a person with a browser";
    PAGE_FILE = "/page/{file}", READ, "a file of the page";
    SWAP = "/v1/swap", ASK, "substitutes for an exercise";
    FORCES = "/v1/forces", ASK, "forces of an exercise on the body";
    CARRYOVER = "/v1/carryover", ASK, "how much of one lift another is";
    LOAD = "/v1/load", ASK, "the first set of a lift, from a set of another";
    LADDER = "/v1/ladder", ASK, "rungs from what spares a sore region back to a lift";
    VARY = "/v1/vary", ASK, "variations of a lift that carry over, and a plan";
    KIT = "/v1/kit", ASK, "which kit to buy next, and why";
    WEEK_AUDIT = "/v1/week/audit", ASK, "what a week carries, and what stands out";
    WEEK_MEND = "/v1/week/mend", ASK, "the smallest change to a week that clears what stands out";
    WEEK_DELOAD = "/v1/week/deload", ASK, "a lighter week of the same lifts";
    FIND = "/v1/find", READ, "exercises that free text may mean";
    LIST = "/v1/exercises", READ, "exercises that meet every filter";
    SHOW = "/v1/exercises/{exercise}", READ, "one exercise whole";
    TERMS = "/v1/terms", READ, "the words that questions may use";
    TERMS_OF = "/v1/terms/{kind}", READ, "the words of one kind";
    EXPORT = "/v1/base/export", READ, "the base written down";
    BATCH = "/v1/batch", ASK, "up to a hundred questions at once";
    RELOAD = "/v1/admin/reload", ASK, "loads the base again, for the server's own machine only";
    OPENAPI = "/openapi.json", READ, "this API described, as OpenAPI 3.1";
    DOCS = "/docs", READ, "the description to read and to try";
    DOCS_FILE = "/docs/{part}", READ, "a part of that page";
    METRICS = "/metrics", READ, "counts and times for a monitor";
    READY = "/readyz", READ, "whether to send requests here";
    HEALTH = "/healthz", READ, "that the server answers, and its base";
    PROBLEM = "/problems/{code}", READ, "what an error code means";
}

/// A question that is posted: its route, and what answers a body on a base.
#[derive(Clone, Copy)]
pub(super) struct Posted {
    pub(super) route: Route,
    /// Whether an answer may take seconds, which would keep the other requests of a thread waiting.
    pub(super) long: bool,
    pub(super) answer: fn(&Engine, &[u8]) -> Result<Vec<u8>, Failure>,
}

/// Every question that is posted, also those of a batch.
pub(super) const POSTED: &[Posted] = &[
    Posted { route: SWAP, long: false, answer: |engine, body| posted(engine, body, ask::swap::answer) },
    Posted { route: FORCES, long: false, answer: |engine, body| posted(engine, body, ask::forces::answer) },
    Posted { route: CARRYOVER, long: false, answer: |engine, body| posted(engine, body, ask::carryover::answer) },
    Posted { route: LOAD, long: false, answer: |engine, body| posted(engine, body, ask::load::answer) },
    Posted { route: LADDER, long: false, answer: |engine, body| posted(engine, body, ask::ladder::answer) },
    Posted { route: VARY, long: false, answer: |engine, body| posted(engine, body, ask::vary::answer) },
    Posted { route: KIT, long: true, answer: |engine, body| posted(engine, body, ask::kit::answer) },
    Posted { route: WEEK_AUDIT, long: false, answer: |engine, body| posted(engine, body, ask::week::audit::answer) },
    Posted { route: WEEK_MEND, long: true, answer: |engine, body| posted(engine, body, ask::week::mend::answer) },
    Posted { route: WEEK_DELOAD, long: false, answer: |engine, body| posted(engine, body, ask::week::deload::answer) },
];

/// Paths that a monitor asks; they count against no limit on clients.
pub(super) const UNLIMITED: &[&str] = &[HEALTH.path, READY.path, METRICS.path];

/// Adds every route, and the replies for wrong paths and wrong methods.
pub(super) fn add(config: &mut web::ServiceConfig) {
    for question in POSTED {
        config.service(question.asking());
    }
    config
        .service(reading(PAGE, page::page))
        .service(reading(PAGE_FILE, page::file))
        .service(reading(FIND, find))
        .service(reading(LIST, list))
        .service(reading(SHOW, show))
        .service(reading(TERMS, terms))
        .service(reading(TERMS_OF, terms_of))
        .service(reading(EXPORT, export))
        .service(asking(BATCH, batch::batch))
        .service(asking(RELOAD, upkeep::reload))
        .service(reading(OPENAPI, upkeep::openapi))
        .service(reading(DOCS, upkeep::docs))
        .service(reading(DOCS_FILE, upkeep::docs_file))
        .service(reading(METRICS, upkeep::metrics))
        .service(reading(READY, upkeep::ready))
        .service(reading(HEALTH, health))
        .service(reading(PROBLEM, problem))
        .default_service(web::to(unknown_path));
}

/// A route that is asked with a body.
fn asking<F, Args>(route: Route, handler: F) -> Resource
where
    F: Handler<Args>,
    Args: FromRequest + 'static,
    F::Output: Responder + 'static,
{
    web::resource(route.path).route(web::post().to(handler)).default_service(web::to(move |r| wrong_method(r, route)))
}

/// A route that is only read. Where GET works HEAD does; the server leaves the body out.
fn reading<F, Args>(route: Route, handler: F) -> Resource
where
    F: Handler<Args>,
    Args: FromRequest + 'static,
    F::Output: Responder + 'static,
{
    let read = guard::Any(guard::Get()).or(guard::Head());
    web::resource(route.path)
        .route(web::route().guard(read).to(handler))
        .default_service(web::to(move |r| wrong_method(r, route)))
}

impl Posted {
    /// The step behind `/v1/`, by which a batch names the question.
    pub(super) fn name(&self) -> &'static str {
        self.route.path.trim_start_matches("/v1/")
    }

    fn asking(self) -> Resource {
        asking(self.route, move |request: HttpRequest, payload: web::Payload, base: Base| async move {
            let limits = request.app_data::<Limits>().copied().unwrap_or_default();
            let body = body::read(&request, payload, limits).await?;
            if !self.long {
                return guarded(JSON, || (self.answer)(&base, &body));
            }
            let engine = base.into_engine();
            let answered = web::block(move || caught(|| (self.answer)(&engine, &body))).await;
            guarded(JSON, || answered.map_err(|_| Failure::Fault("no thread to answer a long question"))?)
        })
    }
}

/// A body read as a question, answered, and the reply as compact JSON.
pub(super) fn posted<'e, Q: DeserializeOwned, R: Serialize>(
    engine: &'e Engine,
    body: &[u8],
    answer: impl FnOnce(&'e Engine, &Q) -> Result<R, Error>,
) -> Result<Vec<u8>, Failure> {
    let question: Q = body::parse(body)?;
    written(&answer(engine, &question).map_err(|error| Failure::Question { error, place: Place::Body })?)
}
async fn wrong_method(request: HttpRequest, route: Route) -> Result<HttpResponse, Failure> {
    Err(Failure::WrongMethod { method: request.method().to_string(), allow: route.allow })
}

async fn unknown_path(request: HttpRequest) -> Result<HttpResponse, Failure> {
    let path = request.path();
    let near = crate::kb::draft::nearest(path, ROUTES.iter().map(|r| r.path));
    Err(Failure::UnknownPath { path: path.to_string(), nearest: near.map(str::to_string).into_iter().collect() })
}

/// Has a question answered and writes the reply as compact JSON.
pub(super) fn reply<R: Serialize>(
    place: Place,
    answer: impl FnOnce() -> Result<R, Error>,
) -> Result<HttpResponse, Failure> {
    guarded(JSON, || written(&answer().map_err(|error| Failure::Question { error, place })?))
}

/// A reply as compact JSON.
pub(super) fn written<R: Serialize>(reply: &R) -> Result<Vec<u8>, Failure> {
    ask::json::bytes(reply).map_err(|_| Failure::Fault("the reply does not serialise"))
}

/// A reply of the bytes that `made` makes. A panic below becomes a problem reply and leaves the
/// worker alive: a base never changes, so nothing is left half done.
pub(super) fn guarded(
    media: &'static str,
    made: impl FnOnce() -> Result<Vec<u8>, Failure>,
) -> Result<HttpResponse, Failure> {
    let body = caught(made)?;
    Ok(HttpResponse::Ok().content_type(media).body(body))
}

/// What `made` makes, its panic as a fault.
pub(super) fn caught<T>(made: impl FnOnce() -> Result<T, Failure>) -> Result<T, Failure> {
    catch_unwind(AssertUnwindSafe(made)).map_err(|_| Failure::Fault("a panic while answering"))?
}

async fn find(request: HttpRequest, base: Base) -> Result<HttpResponse, Failure> {
    let query = Query::read(request.query_string(), &["text", "top"])?;
    let question = ask::find::Request { text: query.text("text")?.unwrap_or_default(), top: query.number("top")? };
    reply(Place::Query, || ask::find::answer(&base, &question))
}

async fn list(request: HttpRequest, base: Base) -> Result<HttpResponse, Failure> {
    let names = &["pattern", "muscle", "max_spine", "kind_to", "gym", "have", "role"];
    let query = Query::read(request.query_string(), names)?;
    let question = ask::list::Request {
        pattern: query.text("pattern")?,
        muscle: query.text("muscle")?,
        max_spine: query.word("max_spine", "spine class", SpineClass::ALL, SpineClass::word)?,
        kind_to: query.many("kind_to")?,
        gym: query.text("gym")?.map(GymAsk::Named),
        have: query.many("have")?,
        role: query.word("role", "role", Role::ALL, Role::word)?,
    };
    reply(Place::Query, || ask::list::answer(&base, &question))
}

async fn show(request: HttpRequest, path: web::Path<String>, base: Base) -> Result<HttpResponse, Failure> {
    Query::read(request.query_string(), &[])?;
    let question = ask::show::Request { exercise: path.into_inner() };
    reply(Place::Path, || ask::show::answer(&base, &question))
}

async fn terms(request: HttpRequest, base: Base) -> Result<HttpResponse, Failure> {
    let query = Query::read(request.query_string(), &["kind"])?;
    let question = ask::terms::Request { kind: query.text("kind")? };
    reply(Place::Query, || ask::terms::answer(&base, &question))
}

async fn terms_of(request: HttpRequest, path: web::Path<String>, base: Base) -> Result<HttpResponse, Failure> {
    Query::read(request.query_string(), &[])?;
    let question = ask::terms::Request { kind: Some(path.into_inner()) };
    reply(Place::Path, || ask::terms::answer(&base, &question))
}

async fn export(request: HttpRequest, base: Base) -> Result<HttpResponse, Failure> {
    let query = Query::read(request.query_string(), &["as"])?;
    let form = query.word("as", "form of export", Form::ALL, Form::word)?.unwrap_or(Form::Json);
    guarded(form.media_type(), || {
        let answered = ask::export::answer(&base, &ask::export::Request { form });
        Ok(answered.map_err(|error| Failure::Question { error, place: Place::Query })?.text.into_bytes())
    })
}

/// That the server answers.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Health<'k> {
    /// Always `ok`; a server that is not well does not reply.
    pub status: &'static str,
    /// The base it answers on.
    pub base: Basis<'k>,
}

async fn health(base: Base) -> Result<HttpResponse, Failure> {
    upkeep::momentary(reply(Place::Path, || Ok(Health { status: "ok", base: Basis::of(base.kb()) })))
}

async fn problem(path: web::Path<String>) -> Result<HttpResponse, Failure> {
    match KINDS.iter().find(|k| k.code == path.as_str()) {
        Some(kind) => reply(Place::Path, || Ok(kind)),
        None => {
            let near = crate::kb::draft::nearest(&path, KINDS.iter().map(|k| k.code));
            let nearest = near.map(|code| format!("/problems/{code}")).into_iter().collect();
            Err(Failure::UnknownPath { path: format!("/problems/{path}"), nearest })
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_panic_becomes_a_problem_without_its_message() {
        let failure = reply::<()>(Place::Body, || panic!("the winch operator let go")).unwrap_err();
        let problem = failure.problem();
        assert_eq!((problem.status, problem.code), (500, "internal"));
        assert!(!problem.detail.contains("winch"));
    }
}
