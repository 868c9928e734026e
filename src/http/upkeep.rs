//! What whoever runs the server asks of it: whether it is ready, its counts, a reload, its papers.
//!
//! Leans on [`super::service`] and [`super::openapi`]. Leaves to others: the questions themselves
//! ([`super::routes`]).

use actix_web::http::header::{self, HeaderValue};
use actix_web::{HttpRequest, HttpResponse, web};

use super::around::NO_STORE;
use super::error::{Failure, Place};
use super::figures::OPENMETRICS;
use super::openapi;
use super::query::Query;
use super::routes::{DOCS, Health, JSON, OPENAPI, guarded, reply, written};
use super::service::{Base, Service};
use crate::ask::Basis;

/// A reply that is true for a moment only.
pub(super) fn momentary(reply: Result<HttpResponse, Failure>) -> Result<HttpResponse, Failure> {
    let mut reply = reply?;
    reply.headers_mut().insert(header::CACHE_CONTROL, HeaderValue::from_static(NO_STORE));
    Ok(reply)
}

/// Whether to send requests here: not once the server is about to stop.
pub(super) async fn ready(service: web::Data<Service>, base: Base) -> Result<HttpResponse, Failure> {
    if service.is_stopping() {
        return Err(Failure::NotReady);
    }
    momentary(reply(Place::Path, || Ok(Health { status: "ready", base: Basis::of(base.kb()) })))
}

/// Counts and times.
pub(super) async fn metrics(service: web::Data<Service>) -> Result<HttpResponse, Failure> {
    momentary(guarded(OPENMETRICS, || {
        Ok(service.figures.text().map_err(|_| Failure::Fault("the counts cannot be written"))?.into_bytes())
    }))
}

/// Headers that a proxy or a page adds; whoever sends one does not sit at the machine.
const FROM_ELSEWHERE: &[&str] = &["forwarded", "x-forwarded-for", "x-real-ip", "via", "origin"];

/// Loads the base again.
pub(super) async fn reload(request: HttpRequest, service: web::Data<Service>) -> Result<HttpResponse, Failure> {
    let here = request.peer_addr().is_some_and(|peer| peer.ip().to_canonical().is_loopback());
    if !here || FROM_ELSEWHERE.iter().any(|name| request.headers().contains_key(*name)) {
        return Err(Failure::NotFromHere);
    }
    Query::read(request.query_string(), &[])?;
    let done = web::block(move || reload_told(&service)).await;
    guarded(JSON, || written(&done.map_err(|_| Failure::Fault("no thread to reload"))??))
}

/// Loads the base again, and logs how that went.
pub(super) fn reload_told(service: &Service) -> Result<super::service::Reloaded, Failure> {
    let done = service.reload();
    match &done {
        Ok(now) => tracing::info!(
            target: "stead", changed = now.changed, before = now.before, stamp = now.stamp,
            exercises = now.exercises, "reloaded"
        ),
        Err(failure) => {
            tracing::error!(target: "stead", "reload refused, the base before is served on: {failure}");
            for problem in failure.problem().problems {
                let super::error::BaseProblem { file, pointer, rule, severity, found, hint } = problem;
                tracing::error!(target: "stead", file, pointer, rule, severity, found, hint, "problem of the base");
            }
        }
    }
    done
}

/// This API described.
pub(super) async fn openapi(request: HttpRequest) -> Result<HttpResponse, Failure> {
    Query::read(request.query_string(), &[])?;
    guarded(JSON, || openapi::text().map(|text| text.as_bytes().to_vec()))
}

/// The description to read: its first file.
pub(super) async fn docs() -> Result<HttpResponse, Failure> {
    // The files name each other relative to a folder.
    Ok(HttpResponse::PermanentRedirect().insert_header((header::LOCATION, "/docs/index.html")).finish())
}

/// A file of the viewer.
pub(super) async fn docs_file(path: web::Path<String>) -> Result<HttpResponse, Failure> {
    let found = viewer::file(&path)?;
    let unknown = || Failure::UnknownPath {
        path: format!("{}/{path}", DOCS.path),
        nearest: vec![if cfg!(feature = "docs") { DOCS.path } else { OPENAPI.path }.to_string()],
    };
    let (media, bytes) = found.ok_or_else(unknown)?;
    let mut reply = HttpResponse::Ok();
    reply.insert_header((header::CONTENT_SECURITY_POLICY, viewer::POLICY));
    Ok(reply.content_type(media).body(bytes))
}

#[cfg(feature = "docs")]
mod viewer {
    use std::sync::Arc;

    use utoipa_swagger_ui::{Config, serve};

    use super::Failure;
    use crate::http::routes::OPENAPI;

    /// What the page may load: its own files, and pictures that it carries in its styles.
    pub(super) const POLICY: &str = "default-src 'self'; img-src 'self' data:; style-src 'self' 'unsafe-inline'; \
                                     frame-ancestors 'none'; base-uri 'none'; form-action 'self'";

    /// A file of the viewer with its media type.
    pub(super) fn file(name: &str) -> Result<Option<(String, Vec<u8>)>, Failure> {
        let found = serve(name, Arc::new(Config::from(OPENAPI.path)));
        let found = found.map_err(|_| Failure::Fault("the viewer cannot be set up"))?;
        Ok(found.map(|f| (f.content_type, f.bytes.into_owned())))
    }
}

#[cfg(not(feature = "docs"))]
mod viewer {
    use super::Failure;

    pub(super) const POLICY: &str = "default-src 'none'";

    pub(super) fn file(_: &str) -> Result<Option<(String, Vec<u8>)>, Failure> {
        Ok(None)
    }
}
