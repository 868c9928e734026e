//! What happens around every answer: limits before it; validators, gzip, id, counts and a line of
//! the log behind it.
//!
//! Leans on actix-web's middleware. Leaves to others: the answer itself ([`super::routes`]). What
//! was asked is neither counted nor logged: the route stands for the path, and no query string, no
//! body and no name of a client is written down.

use std::sync::atomic::{AtomicU64, Ordering};
use std::time::{Duration, Instant, SystemTime};

use actix_web::body::{BoxBody, MessageBody};
use actix_web::dev::{ServiceRequest, ServiceResponse};
use actix_web::http::header::{self, HeaderMap, HeaderName, HeaderValue};
use actix_web::http::{ConnectionType, Method, StatusCode};
use actix_web::middleware::Next;
use actix_web::{ResponseError as _, web};
use xxhash_rust::xxh3::xxh3_64;

use super::chunked;
use super::error::{Failure, PROBLEM_JSON};
use super::rate::asker;
use super::routes::{ROUTES, UNLIMITED};
use super::service::Service;
use super::validators;

/// Header that carries the id of a request, both ways.
pub(super) static REQUEST_ID: HeaderName = HeaderName::from_static("x-request-id");

/// Longest id of a request that is taken over.
const LONGEST_ID: usize = 64;

/// Goes around the answer to one request.
pub(super) async fn around(
    mut request: ServiceRequest,
    next: Next<impl MessageBody + 'static>,
) -> Result<ServiceResponse<BoxBody>, actix_web::Error> {
    let began = Instant::now();
    let Some(service) = request.app_data::<web::Data<Service>>().cloned() else {
        return Ok(next.call(request).await?.map_into_boxed_body());
    };
    let _under_way = service.figures.begin();
    let id = request_id(request.headers());
    let body = chunked::hold(&mut request);
    let response = match refused(&service, &request) {
        Some(failure) => request.into_response(failure.error_response()),
        None => next.call(request).await?.map_into_boxed_body(),
    };
    let mut response = finish(&service, problems_only(response));
    if let Ok(value) = HeaderValue::from_str(&id) {
        response.headers_mut().insert(REQUEST_ID.clone(), value);
    }
    if service.is_stopping() {
        response.response_mut().head_mut().set_connection_type(ConnectionType::Close);
    }
    told(&service, &response, &id, began.elapsed());
    Ok(chunked::held(response, body))
}

/// What keeps a request from being answered at all.
fn refused(service: &Service, request: &ServiceRequest) -> Option<Failure> {
    let limit = service.settings.head_bytes;
    let target = request.uri().path_and_query().map_or(0, |p| p.as_str().len());
    let head: usize = request.headers().iter().map(|(name, value)| name.as_str().len() + value.len() + 4).sum();
    if target.saturating_add(head) > limit {
        return Some(Failure::HeadTooLarge { limit });
    }
    let rate = service.rate.as_ref().filter(|_| !UNLIMITED.contains(&request.path()))?;
    rate.take(asker(request.request(), &service.settings.proxies), 1).err()
}

/// A refusal that is no problem detail becomes one; only the reader of origins makes such.
fn problems_only(response: ServiceResponse) -> ServiceResponse {
    let status = response.status();
    let is_problem = response.headers().get(header::CONTENT_TYPE).is_some_and(|v| v == PROBLEM_JSON);
    if !(status.is_client_error() || status.is_server_error()) || is_problem {
        return response;
    }
    let failure =
        if status.is_client_error() { Failure::CrossOrigin } else { Failure::Fault("a reply without a reason") };
    let (request, _) = response.into_parts();
    ServiceResponse::new(request, failure.error_response())
}

/// Validator and gzip of a reply.
fn finish(service: &Service, response: ServiceResponse) -> ServiceResponse {
    let (request, response) = response.into_parts();
    let reading = matches!(*request.method(), Method::GET | Method::HEAD);
    let (mut head, body) = response.into_parts();
    let body = match body.try_into_bytes() {
        Ok(body) => body,
        Err(body) => return ServiceResponse::new(request, head.set_body(body)),
    };
    let stored = head.headers().get(header::CACHE_CONTROL).is_none_or(|v| v != NO_STORE);
    let mut tag = None;
    if reading && head.status() == StatusCode::OK && stored {
        // What does not stand on the base, such as the page, brings a tag of its own.
        let own = head.headers().get(header::ETAG).and_then(|v| v.to_str().ok()).map(str::to_string);
        let made = own.unwrap_or_else(|| validators::tag(&service.base().kb().stamp, &body));
        if !head.headers().contains_key(header::CACHE_CONTROL) {
            // To be kept, and asked for again with its tag: a reload may change it at any time.
            head.headers_mut().insert(header::CACHE_CONTROL, HeaderValue::from_static("no-cache"));
        }
        if let Some(held) = validators::held(request.headers(), &made) {
            *head.status_mut() = StatusCode::NOT_MODIFIED;
            head.headers_mut().remove(header::CONTENT_TYPE);
            varies(service, head.headers_mut());
            insert(head.headers_mut(), header::ETAG, &held);
            return ServiceResponse::new(request, head.set_body(BoxBody::new(())));
        }
        tag = Some(made);
    }
    let coded = head.headers().contains_key(header::CONTENT_ENCODING);
    let mut body = body;
    if service.settings.compress && !coded && !head.status().is_informational() {
        varies(service, head.headers_mut());
        let short = if validators::reads_gzip(request.headers()) {
            validators::gzip(head.headers().get(header::CONTENT_TYPE), &body)
        } else {
            None
        };
        if let Some(short) = short {
            head.headers_mut().insert(header::CONTENT_ENCODING, HeaderValue::from_static("gzip"));
            tag = tag.map(|t| validators::tag_of_gzip(&t));
            body = short;
        }
    }
    if let Some(tag) = tag {
        insert(head.headers_mut(), header::ETAG, &tag);
    }
    ServiceResponse::new(request, head.set_body(BoxBody::new(body)))
}

/// Said of a reply that is true for a moment only.
pub(super) const NO_STORE: &str = "no-store";

fn varies(service: &Service, headers: &mut HeaderMap) {
    if service.settings.compress {
        headers.append(header::VARY, HeaderValue::from_static("accept-encoding"));
    }
}

fn insert(headers: &mut HeaderMap, name: HeaderName, value: &str) {
    if let Ok(value) = HeaderValue::from_str(value) {
        headers.insert(name, value);
    }
}

/// Counts a reply and logs a line.
fn told(service: &Service, response: &ServiceResponse, id: &str, took: Duration) {
    let request = response.request();
    let pattern = request.match_pattern();
    let route = pattern.and_then(|p| ROUTES.iter().find(|r| r.path == p)).map_or("unknown", |r| r.path);
    let method = match *request.method() {
        Method::GET => "GET",
        Method::HEAD => "HEAD",
        Method::POST => "POST",
        Method::OPTIONS => "OPTIONS",
        _ => "other",
    };
    let status = response.status().as_u16();
    service.figures.answered(route, method, status, took);
    let micros = u64::try_from(took.as_micros()).unwrap_or(u64::MAX);
    tracing::info!(target: "stead", id, method, route, status, micros, "answered");
}

/// The id that a request came with, where it is a plain word; else a new one.
fn request_id(headers: &HeaderMap) -> String {
    let given = headers.get(&REQUEST_ID).and_then(|v| v.to_str().ok());
    let plain = |c: char| c.is_ascii_alphanumeric() || "-_.:".contains(c);
    match given {
        Some(id) if !id.is_empty() && id.len() <= LONGEST_ID && id.chars().all(plain) => id.to_string(),
        _ => new_id(),
    }
}

/// Sixteen hexadecimal digits that no two requests of one server share, nor of several in practice:
/// a count, stirred with the process and the moment of its first request.
fn new_id() -> String {
    static COUNT: AtomicU64 = AtomicU64::new(0);
    static SALT: std::sync::LazyLock<u64> = std::sync::LazyLock::new(|| {
        let since = SystemTime::now().duration_since(SystemTime::UNIX_EPOCH).unwrap_or_default();
        let mut seed = since.as_nanos().to_le_bytes().to_vec();
        seed.extend_from_slice(&std::process::id().to_le_bytes());
        xxh3_64(&seed)
    });
    // An odd factor is a one-to-one map of 64 bits, so that ids never repeat.
    let count = COUNT.fetch_add(1, Ordering::Relaxed);
    format!("{:016x}", count.wrapping_mul(0x9e37_79b9_7f4a_7c15).wrapping_add(*SALT))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_plain_id_is_taken_over_and_any_other_replaced() {
        let of = |value: &str| {
            let mut headers = HeaderMap::new();
            headers.insert(REQUEST_ID.clone(), HeaderValue::from_str(value).unwrap());
            request_id(&headers)
        };
        for good in ["cox-7", "9f2c1b:4", &"a".repeat(LONGEST_ID)] {
            assert_eq!(of(good), good);
        }
        for bad in ["", "a b", "a\"b", "a,b", &"a".repeat(LONGEST_ID + 1)] {
            let made = of(bad);
            assert!(made != bad && made.len() == 16 && made.chars().all(|c| c.is_ascii_hexdigit()), "{bad:?} {made}");
        }
        assert_ne!(request_id(&HeaderMap::new()), request_id(&HeaderMap::new()));
    }
}
