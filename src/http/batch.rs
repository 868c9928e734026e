//! Many questions in one request, each answered as it would be alone.
//!
//! Leans on [`super::routes`] for the answers. Leaves to others: what a question says. Bodies and
//! replies pass through as they stand, byte for byte.

use std::num::NonZeroUsize;

use actix_web::{HttpRequest, HttpResponse, web};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use serde_json::value::RawValue;

use super::error::{Failure, Place};
use super::rate::asker;
use super::routes::{JSON, POSTED, caught, guarded, written};
use super::service::{Base, Service};
use super::{Limits, body};
use crate::ask::{Engine, Error, unknown};

/// Most questions of a batch.
pub const MOST: usize = 100;

/// Most questions of a batch that may take seconds each.
pub const MOST_LONG: usize = 4;

/// How many times as long as one question a batch may be.
pub const TIMES_AS_LONG: usize = 16;

/// Several questions.
#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct Request {
    /// The questions; up to a hundred.
    #[schemars(length(min = 1, max = 100))]
    questions: Vec<Asked>,
}

/// One of them.
#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct Asked {
    /// Which question: the steps of its path behind `/v1/`, such as `swap` or `week/audit`.
    question: String,
    /// Its body, as it would be posted alone.
    #[schemars(with = "Value")]
    body: Box<RawValue>,
}

/// The replies, in the order of the questions.
#[derive(Serialize, JsonSchema)]
pub(super) struct Reply {
    /// One for each question.
    replies: Vec<Replied>,
}

/// The reply to one question.
#[derive(Serialize, JsonSchema)]
struct Replied {
    /// Status that it would have alone.
    status: u16,
    /// Body that it would have alone: the reply, or a problem detail.
    #[schemars(with = "Value")]
    body: Box<RawValue>,
}

/// Answers a batch, away from the thread that reads from the wire: a hundred questions take a while.
pub(super) async fn batch(
    request: HttpRequest,
    payload: web::Payload,
    base: Base,
    service: web::Data<Service>,
) -> Result<HttpResponse, Failure> {
    let limits = request.app_data::<Limits>().copied().unwrap_or_default();
    let limits = Limits { body_bytes: limits.body_bytes.saturating_mul(TIMES_AS_LONG), ..limits };
    let batch: Request = body::parse(&body::read(&request, payload, limits).await?)?;
    let count = bounded(&batch.questions)?;
    if let Some(rate) = &service.rate {
        // One was counted when the request came in.
        let further = u32::try_from(count.get() - 1).unwrap_or(u32::MAX);
        rate.take(asker(&request, &service.settings.proxies), further)?;
    }
    service.figures.batched(count.get() as u64);
    let engine = base.into_engine();
    let replies = web::block(move || answered(&engine, &batch)).await;
    guarded(JSON, || written(&replies.map_err(|_| Failure::Fault("no thread to answer a batch"))??))
}

fn bounded(questions: &[Asked]) -> Result<NonZeroUsize, Failure> {
    let pointer = "/questions".to_string();
    let of_body = |error| Failure::Question { error, place: Place::Body };
    let count = NonZeroUsize::new(questions.len())
        .ok_or_else(|| of_body(Error::Empty { what: "list of questions", pointer: pointer.clone() }))?;
    if count.get() > MOST {
        let (found, hint) = (format!("a batch of {count} questions"), format!("keep it to {MOST}"));
        return Err(of_body(Error::Shape { found, pointer, hint }));
    }
    let is_long = |asked: &&Asked| POSTED.iter().any(|q| q.long && q.name() == asked.question);
    let long = questions.iter().filter(is_long).count();
    if long > MOST_LONG {
        let found = format!("a batch with {long} questions that may take seconds each");
        return Err(of_body(Error::Shape { found, pointer, hint: format!("keep those to {MOST_LONG}") }));
    }
    Ok(count)
}

fn answered(engine: &Engine, batch: &Request) -> Result<Reply, Failure> {
    let replies = batch.questions.iter().enumerate().map(|(at, asked)| replied(engine, at, asked));
    Ok(Reply { replies: replies.collect::<Result<_, _>>()? })
}

fn replied(engine: &Engine, at: usize, asked: &Asked) -> Result<Replied, Failure> {
    let pointer = format!("/questions/{at}/question");
    let (status, bytes) = told(one(engine, &asked.question, &pointer, asked.body.get().as_bytes()))?;
    let text = String::from_utf8(bytes).map_err(|_| Failure::Fault("a reply that is no text"))?;
    let body = RawValue::from_string(text).map_err(|_| Failure::Fault("a reply that is no JSON"))?;
    Ok(Replied { status, body })
}

/// Status and body of a reply, a problem detail where there is none.
fn told(reply: Result<Vec<u8>, Failure>) -> Result<(u16, Vec<u8>), Failure> {
    match reply {
        Ok(bytes) => Ok((200, bytes)),
        Err(failure) => {
            let problem = failure.problem();
            Ok((problem.status, written(&problem)?))
        }
    }
}

/// Asks a posted question without a server: its name as in a batch (`swap`, `week/audit`) and its
/// body; the status and the body of the reply. 500 with no body where even the problem cannot be
/// written.
#[must_use]
pub fn ask(engine: &Engine, question: &str, body: &[u8]) -> (u16, Vec<u8>) {
    told(one(engine, question, "", body)).unwrap_or((500, Vec::new()))
}

fn one(engine: &Engine, name: &str, pointer: &str, body: &[u8]) -> Result<Vec<u8>, Failure> {
    let Some(question) = POSTED.iter().find(|q| q.name() == name) else {
        let error = unknown("question", name, pointer, POSTED.iter().map(|q| q.name()));
        return Err(Failure::Question { error, place: Place::Body });
    };
    caught(|| (question.answer)(engine, body))
}
