//! The routes: each reads a question, has it answered and writes the reply.
//!
//! Leans on [`crate::ask`] for the answers. Leaves to others: reading bodies (`super::body`) and
//! query strings (`super::query`), and what an error looks like ([`super::error`]).

use std::panic::{AssertUnwindSafe, catch_unwind};

use actix_web::{FromRequest, Handler, HttpRequest, HttpResponse, Resource, Responder, guard, web};
use serde::Serialize;
use serde::de::DeserializeOwned;

use super::error::{Failure, KINDS, Place};
use super::query::Query;
use super::{Limits, body, page};
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

const READ: &str = "GET, HEAD";
const ASK: &str = "POST";

macro_rules! routes {
    ($($id:ident = $path:literal, $allow:ident, $answers:literal;)*) => {
        $(const $id: Route = Route { path: $path, allow: $allow, answers: $answers };)*
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
    HEALTH = "/healthz", READ, "that the server answers, and its base";
    PROBLEM = "/problems/{code}", READ, "what an error code means";
}

/// Adds every route, and the replies for wrong paths and wrong methods.
pub(super) fn add(config: &mut web::ServiceConfig) {
    config
        .service(reading(PAGE, page::page))
        .service(reading(PAGE_FILE, page::file))
        .service(asking(SWAP, swap))
        .service(asking(FORCES, forces))
        .service(asking(CARRYOVER, carryover))
        .service(asking(LOAD, load))
        .service(asking(LADDER, ladder))
        .service(asking(VARY, vary))
        .service(asking(KIT, kit))
        .service(asking(WEEK_AUDIT, week_audit))
        .service(asking(WEEK_MEND, week_mend))
        .service(asking(WEEK_DELOAD, week_deload))
        .service(reading(FIND, find))
        .service(reading(LIST, list))
        .service(reading(SHOW, show))
        .service(reading(TERMS, terms))
        .service(reading(TERMS_OF, terms_of))
        .service(reading(EXPORT, export))
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

async fn wrong_method(request: HttpRequest, route: Route) -> Result<HttpResponse, Failure> {
    Err(Failure::WrongMethod { method: request.method().to_string(), allow: route.allow })
}

async fn unknown_path(request: HttpRequest) -> Result<HttpResponse, Failure> {
    let path = request.path();
    let near = crate::kb::draft::nearest(path, ROUTES.iter().map(|r| r.path));
    Err(Failure::UnknownPath { path: path.to_string(), nearest: near.map(str::to_string).into_iter().collect() })
}

/// Has a question answered and writes the reply as compact JSON.
fn reply<R: Serialize>(place: Place, answer: impl FnOnce() -> Result<R, Error>) -> Result<HttpResponse, Failure> {
    Ok(HttpResponse::Ok().content_type(JSON).body(written(place, answer)?))
}

/// The answer to a question as compact JSON.
fn written<R: Serialize>(place: Place, answer: impl FnOnce() -> Result<R, Error>) -> Result<Vec<u8>, Failure> {
    caught(|| {
        let reply = answer().map_err(|error| Failure::Question { error, place })?;
        ask::json::bytes(&reply).map_err(|_| Failure::Fault("the reply does not serialise"))
    })
}

const JSON: &str = "application/json";

/// A reply of the bytes that `made` makes. A panic below becomes a problem reply and leaves the
/// worker alive: a base never changes, so nothing is left half done.
fn guarded(media: &'static str, made: impl FnOnce() -> Result<Vec<u8>, Failure>) -> Result<HttpResponse, Failure> {
    Ok(HttpResponse::Ok().content_type(media).body(caught(made)?))
}

fn caught(made: impl FnOnce() -> Result<Vec<u8>, Failure>) -> Result<Vec<u8>, Failure> {
    catch_unwind(AssertUnwindSafe(made)).map_err(|_| Failure::Fault("a panic while answering"))?
}

/// The question that a body asks, read within the limits of the server.
async fn question<Q: DeserializeOwned>(request: &HttpRequest, payload: web::Payload) -> Result<Q, Failure> {
    let limits = request.app_data::<Limits>().copied().unwrap_or_default();
    body::parse(&body::read(request, payload, limits).await?)
}

async fn swap(request: HttpRequest, payload: web::Payload, engine: web::Data<Engine>) -> Result<HttpResponse, Failure> {
    let question: ask::swap::Request = question(&request, payload).await?;
    reply(Place::Body, || ask::swap::answer(&engine, &question))
}

async fn forces(
    request: HttpRequest,
    payload: web::Payload,
    engine: web::Data<Engine>,
) -> Result<HttpResponse, Failure> {
    let question: ask::forces::Request = question(&request, payload).await?;
    reply(Place::Body, || ask::forces::answer(&engine, &question))
}

async fn carryover(
    request: HttpRequest,
    payload: web::Payload,
    engine: web::Data<Engine>,
) -> Result<HttpResponse, Failure> {
    let question: ask::carryover::Request = question(&request, payload).await?;
    reply(Place::Body, || ask::carryover::answer(&engine, &question))
}

async fn load(request: HttpRequest, payload: web::Payload, engine: web::Data<Engine>) -> Result<HttpResponse, Failure> {
    let question: ask::load::Request = question(&request, payload).await?;
    reply(Place::Body, || ask::load::answer(&engine, &question))
}

async fn ladder(
    request: HttpRequest,
    payload: web::Payload,
    engine: web::Data<Engine>,
) -> Result<HttpResponse, Failure> {
    let question: ask::ladder::Request = question(&request, payload).await?;
    reply(Place::Body, || ask::ladder::answer(&engine, &question))
}

async fn vary(request: HttpRequest, payload: web::Payload, engine: web::Data<Engine>) -> Result<HttpResponse, Failure> {
    let question: ask::vary::Request = question(&request, payload).await?;
    reply(Place::Body, || ask::vary::answer(&engine, &question))
}

async fn kit(request: HttpRequest, payload: web::Payload, engine: web::Data<Engine>) -> Result<HttpResponse, Failure> {
    let question: ask::kit::Request = question(&request, payload).await?;
    reply(Place::Body, || ask::kit::answer(&engine, &question))
}

async fn week_audit(
    request: HttpRequest,
    payload: web::Payload,
    engine: web::Data<Engine>,
) -> Result<HttpResponse, Failure> {
    let question: ask::week::audit::Request = question(&request, payload).await?;
    reply(Place::Body, || ask::week::audit::answer(&engine, &question))
}

async fn week_mend(
    request: HttpRequest,
    payload: web::Payload,
    engine: web::Data<Engine>,
) -> Result<HttpResponse, Failure> {
    let question: ask::week::mend::Request = question(&request, payload).await?;
    // A search may take seconds, which would keep the other requests of a worker waiting.
    let engine = engine.into_inner();
    let answered = web::block(move || written(Place::Body, || ask::week::mend::answer(&engine, &question)));
    let body = answered.await.map_err(|_| Failure::Fault("the search was broken off"))??;
    Ok(HttpResponse::Ok().content_type(JSON).body(body))
}

async fn week_deload(
    request: HttpRequest,
    payload: web::Payload,
    engine: web::Data<Engine>,
) -> Result<HttpResponse, Failure> {
    let question: ask::week::deload::Request = question(&request, payload).await?;
    reply(Place::Body, || ask::week::deload::answer(&engine, &question))
}

async fn find(request: HttpRequest, engine: web::Data<Engine>) -> Result<HttpResponse, Failure> {
    let query = Query::read(request.query_string(), &["text", "top"])?;
    let question = ask::find::Request { text: query.text("text")?.unwrap_or_default(), top: query.number("top")? };
    reply(Place::Query, || ask::find::answer(&engine, &question))
}

async fn list(request: HttpRequest, engine: web::Data<Engine>) -> Result<HttpResponse, Failure> {
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
    reply(Place::Query, || ask::list::answer(&engine, &question))
}

async fn show(
    request: HttpRequest,
    path: web::Path<String>,
    engine: web::Data<Engine>,
) -> Result<HttpResponse, Failure> {
    Query::read(request.query_string(), &[])?;
    let question = ask::show::Request { exercise: path.into_inner() };
    reply(Place::Path, || ask::show::answer(&engine, &question))
}

async fn terms(request: HttpRequest, engine: web::Data<Engine>) -> Result<HttpResponse, Failure> {
    let query = Query::read(request.query_string(), &["kind"])?;
    let question = ask::terms::Request { kind: query.text("kind")? };
    reply(Place::Query, || ask::terms::answer(&engine, &question))
}

async fn terms_of(
    request: HttpRequest,
    path: web::Path<String>,
    engine: web::Data<Engine>,
) -> Result<HttpResponse, Failure> {
    Query::read(request.query_string(), &[])?;
    let question = ask::terms::Request { kind: Some(path.into_inner()) };
    reply(Place::Path, || ask::terms::answer(&engine, &question))
}

async fn export(request: HttpRequest, engine: web::Data<Engine>) -> Result<HttpResponse, Failure> {
    let query = Query::read(request.query_string(), &["as"])?;
    let form = query.word("as", "form of export", Form::ALL, Form::word)?.unwrap_or(Form::Json);
    guarded(form.media_type(), || {
        let answered = ask::export::answer(&engine, &ask::export::Request { form });
        Ok(answered.map_err(|error| Failure::Question { error, place: Place::Query })?.text.into_bytes())
    })
}

/// That the server answers.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Health<'k> {
    /// Always `ok`; a server that is not well does not reply.
    pub status: &'static str,
    /// The base it answers on.
    pub base: Basis<'k>,
}

async fn health(engine: web::Data<Engine>) -> Result<HttpResponse, Failure> {
    reply(Place::Path, || Ok(Health { status: "ok", base: Basis::of(engine.kb()) }))
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
