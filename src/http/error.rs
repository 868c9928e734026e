//! What can go wrong with a request, as problem details (RFC 9457).
//!
//! Leans on the errors of [`crate::ask`]. Leaves to others: finding the fault
//! ([`super::routes`] and [`crate::ask`]). Every kind of error has a status picked by hand.

use actix_web::http::StatusCode;
use actix_web::http::header::{self, HeaderValue};
use actix_web::{HttpResponse, ResponseError};
use schemars::JsonSchema;
use serde::Serialize;

use crate::ask::Error;
use crate::ask::week::cells::CellProblem;
use crate::kb::{self, KbError};

/// Media type of an error.
pub const PROBLEM_JSON: &str = "application/problem+json";

/// A kind of error: its stable code, its title and what it means.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Kind {
    /// Stable word for programs.
    pub code: &'static str,
    /// Short name for people.
    pub title: &'static str,
    /// What it means and what to do.
    pub means: &'static str,
}

macro_rules! kinds {
    ($($id:ident = $code:literal, $title:literal, $means:literal;)*) => {
        $(#[doc = $means] pub const $id: Kind = Kind { code: $code, title: $title, means: $means };)*
        /// Every kind of error.
        pub const KINDS: &[Kind] = &[$($id),*];
    };
}

kinds! {
    UNKNOWN_EXERCISE = "unknown-exercise", "Unknown exercise",
        "No exercise of the base has this id, name or alias, nor a spelling near enough.";
    AMBIGUOUS_EXERCISE = "ambiguous-exercise", "Ambiguous exercise",
        "The name fits several exercises; ask again with one of the ids in `nearest`.";
    UNKNOWN_WORD = "unknown-word", "Unknown word",
        "A word outside a closed list; `GET /v1/terms` has the lists.";
    EMPTY_VALUE = "empty-value", "Empty value", "Something that the question needs was left empty.";
    OUT_OF_BOUNDS = "out-of-bounds", "Number out of bounds", "A number is smaller or larger than makes sense.";
    CONFLICTING_VALUES = "conflicting-values", "Conflicting values", "Two values were given that cannot both hold.";
    MALFORMED_REQUEST = "malformed-request", "Malformed request",
        "The body is no JSON, or the request has not the shape of the question.";
    WRONG_CELLS = "wrong-cells", "Wrong cells in a week",
        "Cells of a week that cannot be read; `cells` has each with its place and the way out.";
    UNKNOWN_KIT = "unknown-kit", "Unknown gym or kit",
        "A gym or an item of kit that the base does not know, or one with a number out of bounds.";
    INTERNAL = "internal", "Internal fault", "A fault of the server; the request may be sound.";
    UNKNOWN_PATH = "unknown-path", "Unknown path", "Nothing is served under this path.";
    WRONG_METHOD = "wrong-method", "Wrong method", "The path is right; the `Allow` header names its methods.";
    WRONG_MEDIA_TYPE = "wrong-media-type", "Wrong media type",
        "Bodies are JSON in UTF-8, without content coding: send `content-type: application/json`.";
    TOO_LARGE = "too-large", "Request too large", "The body is longer than the server reads.";
    TOO_SLOW = "too-slow", "Request too slow", "The body did not arrive in time.";
    HEAD_TOO_LARGE = "head-too-large", "Head of the request too large",
        "Address and headers together are longer than the server reads.";
    TOO_MANY = "too-many-requests", "Too many requests",
        "The client asks more often than the server allows; `Retry-After` says when to ask again.";
    CROSS_ORIGIN = "cross-origin", "Cross-origin request refused",
        "A page of this origin may not ask here, or not in this way.";
    NOT_FROM_HERE = "not-from-here", "Not from this machine",
        "Only a client on the server's own machine may ask this, without a proxy between.";
    NOT_READY = "not-ready", "Not ready", "The server is about to stop; ask another.";
    BROKEN_BASE = "broken-base", "Broken base",
        "The base in the server's folders cannot be used; `problems` lists why. The one before is served on.";
    CUT_OFF = "cut-off", "Request cut off", "The body ended early or broke the rules of HTTP.";
}

/// Where the question stood in the request.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Place {
    /// In the body.
    Body,
    /// In the query string.
    Query,
    /// In the path.
    Path,
}

/// A request that gets no answer.
#[derive(Debug, thiserror::Error)]
pub enum Failure {
    /// The question is at fault, or the program.
    #[error("{error}")]
    Question {
        /// What is wrong.
        error: Error,
        /// Where the question stood.
        place: Place,
    },
    /// A body or a query string that has not the shape of the question.
    #[error("{found}; {hint}")]
    Malformed {
        /// What did not fit.
        found: String,
        /// JSON pointer into the question.
        pointer: String,
        /// What to do.
        hint: String,
        /// Nearest valid values.
        nearest: Vec<String>,
    },
    /// A body that is not plain JSON by its headers.
    #[error("the body is {given}; send it plain, with content-type: application/json")]
    MediaType {
        /// What the headers say.
        given: String,
    },
    /// A body that is too long.
    #[error("the body is longer than {limit} bytes; shorten the question")]
    TooLarge {
        /// Longest allowed.
        limit: usize,
    },
    /// A body that takes too long.
    #[error("the body did not arrive within {seconds} seconds; send it again")]
    TooSlow {
        /// How long the server waits.
        seconds: u64,
    },
    /// A body that ends early.
    #[error("the body could not be read to its end; send it again")]
    CutOff,
    /// Address and headers that are too long.
    #[error("address and headers are longer than {limit} bytes; shorten them")]
    HeadTooLarge {
        /// Longest allowed.
        limit: usize,
    },
    /// A client that asks too often.
    #[error("too many requests from one client; ask again in {seconds} seconds")]
    TooMany {
        /// When the next may come.
        seconds: u64,
    },
    /// A page that may not ask.
    #[error("pages of this origin may not ask here in this way; whoever runs the server names those that may")]
    CrossOrigin,
    /// A client elsewhere that asks what only the machine itself may.
    #[error("only a client on the server's own machine may ask this, without a proxy or a page between")]
    NotFromHere,
    /// A server that is about to stop.
    #[error("the server is about to stop; ask another")]
    NotReady,
    /// A base that cannot be loaded again.
    #[error("{error}; the base before is served on")]
    Broken {
        /// What is wrong with it.
        error: Error,
    },
    /// A path that leads nowhere.
    #[error("nothing is served at {path:?}")]
    UnknownPath {
        /// The path.
        path: String,
        /// Nearest path.
        nearest: Vec<String>,
    },
    /// A method that the path does not have.
    #[error("{method} does not work here; use {allow}")]
    WrongMethod {
        /// The method.
        method: String,
        /// Methods that work, as in the `Allow` header.
        allow: &'static str,
    },
    /// The program stumbled over its own feet.
    #[error("the answer could not be made: {0}")]
    Fault(&'static str),
}

/// A problem detail.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Problem {
    /// Relative reference to the meaning of the problem.
    #[serde(rename = "type")]
    pub kind: String,
    /// Short name.
    pub title: &'static str,
    /// HTTP status.
    pub status: u16,
    /// What is wrong this time, and the way out.
    pub detail: String,
    /// Stable word for programs.
    pub code: &'static str,
    /// JSON pointer into the question.
    pub pointer: String,
    /// Nearest valid values, best first.
    pub nearest: Vec<String>,
    /// Cells of a week that are wrong; left out where there is none.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub cells: Vec<CellProblem>,
    /// Problems of a base that cannot be loaded; left out where there is none.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub problems: Vec<BaseProblem>,
}

/// A problem of a base, with its place and the way out.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct BaseProblem {
    /// File, relative to the base's folder.
    pub file: String,
    /// JSON pointer into the file.
    pub pointer: String,
    /// Id of the rule.
    pub rule: &'static str,
    /// `error` or `warning`.
    pub severity: &'static str,
    /// What was found.
    pub found: String,
    /// What to do about it.
    pub hint: String,
}

impl From<&kb::problem::Problem> for BaseProblem {
    fn from(problem: &kb::problem::Problem) -> Self {
        let kb::problem::Problem { file, pointer, rule, severity, found, hint } = problem;
        let [file, pointer, found, hint] = [file, pointer, found, hint].map(Clone::clone);
        Self { file, pointer, rule, severity: severity.word(), found, hint }
    }
}

/// Status and kind of an error of a question, by where the question stood.
fn of_question(error: &Error, place: Place) -> (StatusCode, Kind) {
    use StatusCode as S;
    let pick = |body: S, query: S, path: S| match place {
        Place::Body => body,
        Place::Query => query,
        Place::Path => path,
    };
    // A sound body with a wrong value cannot be processed; a wrong value in the query string makes
    // a bad address; a wrong value in the path names a thing that is not there.
    let (unprocessable, bad, missing) = (S::UNPROCESSABLE_ENTITY, S::BAD_REQUEST, S::NOT_FOUND);
    match error {
        Error::UnknownExercise { .. } => (pick(unprocessable, bad, missing), UNKNOWN_EXERCISE),
        Error::AmbiguousExercise { .. } => (pick(unprocessable, bad, missing), AMBIGUOUS_EXERCISE),
        Error::Unknown { .. } => (pick(unprocessable, bad, missing), UNKNOWN_WORD),
        Error::Empty { .. } => (pick(unprocessable, bad, missing), EMPTY_VALUE),
        Error::Bounds { .. } => (pick(unprocessable, bad, bad), OUT_OF_BOUNDS),
        Error::Conflict { .. } => (pick(unprocessable, bad, bad), CONFLICTING_VALUES),
        Error::Shape { .. } => (pick(unprocessable, bad, bad), MALFORMED_REQUEST),
        Error::Cells { .. } => (pick(unprocessable, bad, bad), WRONG_CELLS),
        Error::Gym { .. } => (pick(unprocessable, bad, missing), UNKNOWN_KIT),
        // No request names a file or loads a base, so these are the program's own.
        Error::File { .. } | Error::Output { .. } | Error::Kb(_) | Error::Listen(_) | Error::Internal(_) => {
            (S::INTERNAL_SERVER_ERROR, INTERNAL)
        }
    }
}

impl Failure {
    /// Status and kind.
    #[must_use]
    pub fn verdict(&self) -> (StatusCode, Kind) {
        use StatusCode as S;
        match self {
            Self::Question { error, place } => of_question(error, *place),
            Self::Malformed { .. } => (S::BAD_REQUEST, MALFORMED_REQUEST),
            Self::MediaType { .. } => (S::UNSUPPORTED_MEDIA_TYPE, WRONG_MEDIA_TYPE),
            Self::TooLarge { .. } => (S::PAYLOAD_TOO_LARGE, TOO_LARGE),
            Self::TooSlow { .. } => (S::REQUEST_TIMEOUT, TOO_SLOW),
            Self::CutOff => (S::BAD_REQUEST, CUT_OFF),
            Self::HeadTooLarge { .. } => (S::REQUEST_HEADER_FIELDS_TOO_LARGE, HEAD_TOO_LARGE),
            Self::TooMany { .. } => (S::TOO_MANY_REQUESTS, TOO_MANY),
            Self::CrossOrigin => (S::BAD_REQUEST, CROSS_ORIGIN),
            Self::NotFromHere => (S::FORBIDDEN, NOT_FROM_HERE),
            Self::NotReady => (S::SERVICE_UNAVAILABLE, NOT_READY),
            // The request is sound; what it would bring about is not.
            Self::Broken { .. } => (S::CONFLICT, BROKEN_BASE),
            Self::UnknownPath { .. } => (S::NOT_FOUND, UNKNOWN_PATH),
            Self::WrongMethod { .. } => (S::METHOD_NOT_ALLOWED, WRONG_METHOD),
            Self::Fault(_) => (S::INTERNAL_SERVER_ERROR, INTERNAL),
        }
    }

    /// The problem detail. A fault of the program tells nothing of its inside.
    #[must_use]
    pub fn problem(&self) -> Problem {
        let (status, kind) = self.verdict();
        let (pointer, nearest) = match self {
            Self::Question { error, .. } => (error.pointer().to_string(), error.nearest()),
            Self::Malformed { pointer, nearest, .. } => (pointer.clone(), nearest.clone()),
            Self::UnknownPath { nearest, .. } => (String::new(), nearest.clone()),
            Self::MediaType { .. }
            | Self::TooLarge { .. }
            | Self::TooSlow { .. }
            | Self::CutOff
            | Self::HeadTooLarge { .. }
            | Self::TooMany { .. }
            | Self::CrossOrigin
            | Self::NotFromHere
            | Self::NotReady
            | Self::Broken { .. }
            | Self::WrongMethod { .. }
            | Self::Fault(_) => (String::new(), Vec::new()),
        };
        let detail = if status == StatusCode::INTERNAL_SERVER_ERROR {
            "the server could not answer; ask again, and tell whoever runs it if that does not help".to_string()
        } else {
            self.to_string()
        };
        Problem {
            kind: format!("/problems/{}", kind.code),
            title: kind.title,
            status: status.as_u16(),
            detail,
            code: kind.code,
            pointer,
            nearest,
            cells: match self {
                Self::Question { error: Error::Cells { problems, .. }, .. } => problems.clone(),
                _ => Vec::new(),
            },
            problems: match self {
                Self::Broken { error: Error::Kb(KbError::Broken(problems)) } => {
                    problems.iter().map(BaseProblem::from).collect()
                }
                _ => Vec::new(),
            },
        }
    }
}

impl ResponseError for Failure {
    fn status_code(&self) -> StatusCode {
        self.verdict().0
    }

    fn error_response(&self) -> HttpResponse {
        let status = self.status_code();
        if status == StatusCode::INTERNAL_SERVER_ERROR {
            // The fault, never the question.
            tracing::error!(target: "stead", fault = %self, "internal fault");
        }
        let mut response = HttpResponse::build(status);
        match self {
            Self::WrongMethod { allow, .. } => {
                response.insert_header((header::ALLOW, HeaderValue::from_static(allow)));
            }
            Self::MediaType { .. } => {
                response.insert_header((header::ACCEPT, HeaderValue::from_static("application/json")));
                response.insert_header((header::ACCEPT_ENCODING, HeaderValue::from_static("identity")));
            }
            // The rest of the body is still on its way or lost, so the connection is of no more use.
            Self::TooLarge { .. } | Self::TooSlow { .. } | Self::CutOff | Self::HeadTooLarge { .. } => {
                response.force_close();
            }
            Self::TooMany { seconds } => {
                response.insert_header((header::RETRY_AFTER, HeaderValue::from(*seconds)));
            }
            Self::NotReady => {
                response.insert_header((header::CACHE_CONTROL, HeaderValue::from_static(super::around::NO_STORE)));
            }
            Self::Question { .. }
            | Self::Malformed { .. }
            | Self::UnknownPath { .. }
            | Self::CrossOrigin
            | Self::NotFromHere
            | Self::Broken { .. }
            | Self::Fault(_) => {}
        }
        response.content_type(PROBLEM_JSON);
        match serde_json::to_vec(&self.problem()) {
            Ok(body) => response.body(body),
            Err(_) => response.finish(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::gym::GymError;
    use crate::kb::KbError;
    use crate::units::bounds;

    fn one_of_each() -> Vec<Error> {
        let text = || "cox".to_string();
        let Err(problem) = bounds::PAIN.check(11.0) else { return Vec::new() };
        vec![
            Error::UnknownExercise { given: text(), pointer: text(), nearest: vec![text()] },
            Error::AmbiguousExercise { given: text(), pointer: text(), candidates: vec![text()] },
            Error::Unknown { what: "region", given: text(), pointer: text(), nearest: vec![text()] },
            Error::Empty { what: "exercise", pointer: text() },
            Error::Bounds { problem, pointer: text() },
            Error::Conflict { found: text(), pointer: text(), hint: text() },
            Error::Shape { found: text(), pointer: text(), hint: text() },
            Error::Gym { problem: GymError::UnknownItem { given: text(), nearest: None }, pointer: text() },
            Error::Cells {
                count: 1,
                problems: vec![CellProblem {
                    line: 2,
                    column: "load",
                    value: text(),
                    found: text(),
                    hint: text(),
                    nearest: Vec::new(),
                    pointer: text(),
                }],
            },
            Error::File { path: text(), reason: text() },
            Error::Output { path: text(), reason: text() },
            Error::Kb(KbError::Compiled(text())),
            Error::Internal(text()),
        ]
    }

    #[test]
    fn codes_are_those_of_the_question_and_faults_are_hidden() {
        for place in [Place::Body, Place::Query, Place::Path] {
            for error in one_of_each() {
                let (code, bad, pointer) = (error.code(), error.is_bad_request(), error.pointer().to_string());
                let problem = Failure::Question { error, place }.problem();
                assert_eq!(problem.pointer, pointer);
                if problem.status == 500 {
                    assert_eq!(problem.code, "internal");
                    assert!(!problem.detail.contains("cox"), "{}", problem.detail);
                } else {
                    assert!(bad);
                    assert_eq!(problem.code, code);
                    assert!((400..500).contains(&problem.status));
                }
            }
        }
    }

    #[test]
    fn kinds_have_distinct_codes_and_titles() {
        for (i, a) in KINDS.iter().enumerate() {
            assert!(a.code.chars().all(|c| c.is_ascii_lowercase() || c == '-'), "{}", a.code);
            for b in KINDS.iter().skip(i + 1) {
                assert!(a.code != b.code && a.title != b.title, "{} {}", a.code, b.code);
            }
        }
    }

    #[test]
    fn unknown_exercises_are_told_apart_by_place() {
        let status = |place| {
            let error = Error::UnknownExercise { given: String::new(), pointer: String::new(), nearest: Vec::new() };
            Failure::Question { error, place }.problem().status
        };
        assert_eq!((status(Place::Body), status(Place::Query), status(Place::Path)), (422, 400, 404));
    }
}
