//! A body in chunks that is never finished must not keep its connection.
//!
//! Leans on how actix-http ends a connection: of a body of unknown length that a handler has let
//! go of, it waits for the rest without a limit of time; of one that somebody still holds when the
//! reply is sent, it waits a few seconds and closes. So the reply holds it. Leaves to others: the
//! limits of length and time (`super::body`).

use std::cell::RefCell;
use std::error::Error;
use std::pin::Pin;
use std::rc::Rc;
use std::task::{Context, Poll};

use actix_web::HttpMessage as _;
use actix_web::body::{BodySize, BoxBody, MessageBody};
use actix_web::dev::{Payload, ServiceRequest, ServiceResponse};
use actix_web::error::PayloadError;
use actix_web::web::Bytes;
use futures_core::Stream;

/// A body that the handler reads and the reply holds.
pub(super) struct Held {
    _whole: Rc<RefCell<Payload>>,
}

/// What the handler has of it.
struct Lent(Rc<RefCell<Payload>>);

impl Stream for Lent {
    type Item = Result<Bytes, PayloadError>;

    fn poll_next(self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<Option<Self::Item>> {
        match self.0.try_borrow_mut() {
            Ok(mut payload) => Pin::new(&mut *payload).poll_next(cx),
            // Nobody else reads, so this does not come to pass.
            Err(_) => Poll::Ready(None),
        }
    }
}

/// Takes hold of the body of a request that comes in chunks.
pub(super) fn hold(request: &mut ServiceRequest) -> Option<Held> {
    if !request.chunked().unwrap_or(false) {
        return None;
    }
    let whole = Rc::new(RefCell::new(request.take_payload()));
    request.set_payload(Payload::Stream { payload: Box::pin(Lent(Rc::clone(&whole))) });
    Some(Held { _whole: whole })
}

/// A reply's body, and the request's with it.
struct Holding {
    body: BoxBody,
    _held: Held,
}

impl MessageBody for Holding {
    type Error = Box<dyn Error>;

    fn size(&self) -> BodySize {
        self.body.size()
    }

    fn poll_next(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<Option<Result<Bytes, Self::Error>>> {
        Pin::new(&mut self.body).poll_next(cx)
    }
}

/// The reply, holding the body.
pub(super) fn held(response: ServiceResponse, held: Option<Held>) -> ServiceResponse {
    match held {
        None => response,
        Some(held) => response.map_body(|_, body| BoxBody::new(Holding { body, _held: held })),
    }
}
