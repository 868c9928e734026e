//! The HTTP door: the questions of [`crate::ask`] for other programs.
//!
//! Leans on [`crate::ask`] for every answer and on actix-web for the wire. Leaves to others: what
//! an answer says ([`crate::ask`]) and how a person reads it ([`crate::cli`]). The server keeps no
//! state of its own and writes down nothing that was asked.
//!
//! # Routes
//!
//! | request | question | reply |
//! |---|---|---|
//! | `POST /v1/swap` | [`ask::swap::Request`] as a JSON body | [`ask::swap::Reply`] |
//! | `POST /v1/carryover` | [`ask::carryover::Request`] as a JSON body | [`ask::carryover::Reply`] |
//! | `POST /v1/week/audit` | [`ask::week::audit::Request`] as a JSON body: rows, or `csv` as a text | [`ask::week::audit::Reply`] |
//! | `POST /v1/week/mend` | [`ask::week::mend::Request`] as a JSON body: rows, or `csv` as a text | [`ask::week::mend::Reply`] |
//! | `POST /v1/week/deload` | [`ask::week::deload::Request`] as a JSON body: rows, or `csv` as a text | [`ask::week::deload::Reply`] |
//! | `GET /v1/find?text=&top=` | [`ask::find::Request`] | [`ask::find::Reply`] |
//! | `GET /v1/exercises?pattern=&muscle=&max_spine=&kind_to=&gym=&have=&role=` | [`ask::list::Request`] | [`ask::list::Reply`] |
//! | `GET /v1/exercises/{exercise}` | [`ask::show::Request`]: an id, a name or an alias | [`ask::show::Reply`] |
//! | `GET /v1/terms?kind=`, `GET /v1/terms/{kind}` | [`ask::terms::Request`] | [`ask::terms::Reply`] |
//! | `GET /v1/base/export?as=` | [`ask::export::Request`]; `json` when left out | the base as JSON, CSV, DOT, GraphML or JSON-LD |
//! | `GET /`, `GET /page/{file}` | the page for a person with a browser | HTML, CSS and scripts |
//! | `GET /healthz` | whether the server answers, and on which base | [`routes::Health`] |
//! | `GET /problems/{code}` | what an error code means | [`error::Kind`] |
//!
//! `HEAD` works wherever `GET` does. Replies are compact JSON, the same that the command line
//! prints with `--json`. `kind_to` and `have` take several values, separated by commas or by
//! repeating the parameter. A parameter that a route does not know is refused, so that a slip of
//! the finger never widens a list in silence.
//!
//! # Errors
//!
//! Every error is a problem detail ([RFC 9457](https://www.rfc-editor.org/rfc/rfc9457)) of type
//! `application/problem+json`: `type`, `title`, `status` and `detail` as the RFC has them, and
//! - `code`: a stable word for programs, the last step of `type`;
//! - `pointer`: JSON pointer ([RFC 6901](https://www.rfc-editor.org/rfc/rfc6901)) to the value at
//!   fault. It points into the body of a `POST`; a `GET` spells the same question with its
//!   parameters as members, so `?top=0` is `/top`. Empty: the request as a whole;
//! - `nearest`: the valid values nearest to the one given, best first; may be empty;
//! - `cells`, where a week was given: every cell that is wrong, with line, column, value and the way
//!   out.
//!
//! A reply of 200 with no substitutes is an answer: nothing passes, or a sign of an emergency was
//! named, in which case `signs` says what to do and no exercise is shown.
//!
//! # In the Boathouse
//!
//! The cox has a sore low back after a week at the oars and wants to train in the loft, where
//! there are dumbbells, bands and a pull-up bar:
//!
//! ```text
//! stead serve --listen 127.0.0.1:8080
//!
//! curl -s localhost:8080/v1/swap -H 'content-type: application/json' -d '{
//!   "exercise": "back squat", "gym": "loft", "aim": "strength",
//!   "sore": [{"region": "low-back", "level": "moderate"}], "top": 3
//! }'
//! ```
//!
//! The winch operator looks for something whose name has slipped away, asks what the boathouse
//! has for the lats that is kind to the low back, and reads one exercise whole:
//!
//! ```text
//! curl -s 'localhost:8080/v1/find?text=chest+suported+row&top=3'
//! curl -s 'localhost:8080/v1/exercises?muscle=lats&kind_to=low-back&gym=boathouse'
//! curl -s 'localhost:8080/v1/exercises/back-squat'
//! ```
//!
//! The bowhand mistypes the gym, and the reply (status 422) names the place and the way out:
//!
//! ```text
//! curl -s localhost:8080/v1/swap -H 'content-type: application/json' \
//!   -d '{"exercise": "back squat", "gym": "slipwya"}'
//!
//! {"type":"/problems/unknown-kit","title":"Unknown gym or kit","status":422,
//!  "detail":"no gym \"slipwya\" in the base; did you mean \"slipway\"?; ...",
//!  "code":"unknown-kit","pointer":"/gym","nearest":["slipway"]}
//! ```
//!
//! # In a test
//!
//! [`app`] needs no port:
//!
//! ```
//! use std::sync::Arc;
//! use actix_web::test;
//!
//! let engine = Arc::new(stead::ask::Engine::shipped()?);
//! actix_web::rt::System::new().block_on(async {
//!     let app = test::init_service(stead::http::app(engine)).await;
//!     let request = test::TestRequest::get().uri("/v1/terms/gyms").to_request();
//!     let reply = test::call_and_read_body(&app, request).await;
//!     assert!(String::from_utf8_lossy(&reply).contains("slipway"));
//! });
//! # Ok::<(), stead::kb::KbError>(())
//! ```
//!
//! [`ask::swap::Request`]: crate::ask::swap::Request
//! [`ask::swap::Reply`]: crate::ask::swap::Reply
//! [`ask::carryover::Request`]: crate::ask::carryover::Request
//! [`ask::carryover::Reply`]: crate::ask::carryover::Reply
//! [`ask::week::audit::Request`]: crate::ask::week::audit::Request
//! [`ask::week::audit::Reply`]: crate::ask::week::audit::Reply
//! [`ask::week::mend::Request`]: crate::ask::week::mend::Request
//! [`ask::week::mend::Reply`]: crate::ask::week::mend::Reply
//! [`ask::week::deload::Request`]: crate::ask::week::deload::Request
//! [`ask::week::deload::Reply`]: crate::ask::week::deload::Reply
//! [`ask::find::Request`]: crate::ask::find::Request
//! [`ask::find::Reply`]: crate::ask::find::Reply
//! [`ask::list::Request`]: crate::ask::list::Request
//! [`ask::list::Reply`]: crate::ask::list::Reply
//! [`ask::show::Request`]: crate::ask::show::Request
//! [`ask::show::Reply`]: crate::ask::show::Reply
//! [`ask::terms::Request`]: crate::ask::terms::Request
//! [`ask::terms::Reply`]: crate::ask::terms::Reply
//! [`ask::export::Request`]: crate::ask::export::Request

mod body;
pub mod error;
pub mod page;
mod query;
pub mod routes;
mod server;

use std::sync::Arc;
use std::time::Duration;

use actix_web::dev::{ServiceFactory, ServiceRequest, ServiceResponse};
use actix_web::{App, web};

use crate::ask::Engine;
pub use server::{ServeError, WORKERS, serve, start};

/// Longest request body, bytes. A swap with a gym described in full takes about two thousand.
pub const BODY_LIMIT: usize = 64 * 1024;

/// How long a client may take to send a request body.
pub const BODY_WAIT: Duration = Duration::from_secs(10);

/// What a client may ask of the server's patience.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Limits {
    /// Longest request body, bytes.
    pub body_bytes: usize,
    /// How long a client may take to send it.
    pub body_wait: Duration,
}

impl Default for Limits {
    fn default() -> Self {
        Self { body_bytes: BODY_LIMIT, body_wait: BODY_WAIT }
    }
}

/// The application over one base, to be served or to be held in a test.
pub fn app(
    engine: Arc<Engine>,
) -> App<
    impl ServiceFactory<ServiceRequest, Config = (), Response = ServiceResponse, Error = actix_web::Error, InitError = ()>,
> {
    App::new().configure(configure(engine, Limits::default()))
}

/// Adds the routes to an application of one's own.
pub fn configure(engine: Arc<Engine>, limits: Limits) -> impl FnOnce(&mut web::ServiceConfig) {
    move |config| {
        config.app_data(web::Data::from(engine)).app_data(limits);
        routes::add(config);
    }
}
