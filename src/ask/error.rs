//! What can be wrong with a question: the value, the place, and the way out.
//!
//! Leans on the errors of the layers below. Leaves to others: the HTTP status
//! ([`crate::http`]) and the exit code ([`crate::cli`]).

use super::week::cells::CellProblem;
use crate::gym::GymError;
use crate::kb::KbError;
use crate::units::OutOfBounds;

/// An error of a question.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// A name that is no exercise.
    #[error("no exercise called {given:?}; nearest: {}", .nearest.join(", "))]
    UnknownExercise {
        /// As given.
        given: String,
        /// JSON pointer into the request.
        pointer: String,
        /// Nearest ids.
        nearest: Vec<String>,
    },
    /// A name that fits several exercises.
    #[error("{given:?} could be several exercises: {}; say which", .candidates.join(", "))]
    AmbiguousExercise {
        /// As given.
        given: String,
        /// JSON pointer into the request.
        pointer: String,
        /// Ids that fit.
        candidates: Vec<String>,
    },
    /// A word outside a closed list.
    #[error("no {what} called {given:?}; nearest: {}", .nearest.join(", "))]
    Unknown {
        /// What kind of word.
        what: &'static str,
        /// As given.
        given: String,
        /// JSON pointer into the request.
        pointer: String,
        /// Nearest valid words.
        nearest: Vec<String>,
    },
    /// Something needed is empty.
    #[error("the {what} is empty; name one")]
    Empty {
        /// What is empty.
        what: &'static str,
        /// JSON pointer into the request.
        pointer: String,
    },
    /// A number out of bounds.
    #[error("{problem}")]
    Bounds {
        /// The bound and the value.
        problem: OutOfBounds,
        /// JSON pointer into the request.
        pointer: String,
    },
    /// Two values that cannot both hold.
    #[error("{found}; {hint}")]
    Conflict {
        /// What was given.
        found: String,
        /// JSON pointer into the request.
        pointer: String,
        /// What to do.
        hint: String,
    },
    /// A request that has not the shape of the question.
    #[error("{found}; {hint}")]
    Shape {
        /// What did not fit.
        found: String,
        /// JSON pointer into the request.
        pointer: String,
        /// What to do.
        hint: String,
    },
    /// A gym or an item of kit.
    #[error("{problem}")]
    Gym {
        /// What is wrong.
        problem: GymError,
        /// JSON pointer into the request.
        pointer: String,
    },
    /// Cells of a week that are wrong, each with its place and the way out.
    #[error("{}", cells_said(*.count, .problems))]
    Cells {
        /// How many there are, also those that are not told.
        count: usize,
        /// The cells, in order of line.
        problems: Vec<CellProblem>,
    },
    /// A file that cannot be read.
    #[error("cannot read {path:?}: {reason}")]
    File {
        /// The file.
        path: String,
        /// Why.
        reason: String,
    },
    /// A file that cannot be written; what is there already is never replaced.
    #[error("cannot write {path:?}: {reason}")]
    Output {
        /// The file.
        path: String,
        /// Why.
        reason: String,
    },
    /// The base.
    #[error(transparent)]
    Kb(#[from] KbError),
    /// The address to listen on, or the program at the other end of a pipe.
    #[error("{0}")]
    Listen(String),
    /// A fault of this program.
    #[error("{0}")]
    Internal(String),
}

impl Error {
    /// A stable code for programs.
    #[must_use]
    pub const fn code(&self) -> &'static str {
        match self {
            Self::UnknownExercise { .. } => "unknown-exercise",
            Self::AmbiguousExercise { .. } => "ambiguous-exercise",
            Self::Unknown { .. } => "unknown-word",
            Self::Empty { .. } => "empty-value",
            Self::Bounds { .. } => "out-of-bounds",
            Self::Conflict { .. } => "conflicting-values",
            Self::Shape { .. } => "malformed-request",
            Self::Gym { .. } => "unknown-kit",
            Self::Cells { .. } => "wrong-cells",
            Self::File { .. } => "unreadable-file",
            Self::Output { .. } => "unwritable-file",
            Self::Kb(_) => "broken-base",
            Self::Listen(_) => "cannot-listen",
            Self::Internal(_) => "internal",
        }
    }

    /// JSON pointer to the value in the request, empty for the whole.
    #[must_use]
    pub fn pointer(&self) -> &str {
        match self {
            Self::UnknownExercise { pointer, .. }
            | Self::AmbiguousExercise { pointer, .. }
            | Self::Unknown { pointer, .. }
            | Self::Empty { pointer, .. }
            | Self::Bounds { pointer, .. }
            | Self::Conflict { pointer, .. }
            | Self::Shape { pointer, .. }
            | Self::Gym { pointer, .. } => pointer,
            Self::Cells { problems, .. } => problems.first().map_or("", |p| p.pointer.as_str()),
            Self::File { .. } | Self::Output { .. } | Self::Kb(_) | Self::Listen(_) | Self::Internal(_) => "",
        }
    }

    /// Nearest valid values, best first.
    #[must_use]
    pub fn nearest(&self) -> Vec<String> {
        match self {
            Self::UnknownExercise { nearest, .. } | Self::Unknown { nearest, .. } => nearest.clone(),
            Self::AmbiguousExercise { candidates, .. } => candidates.clone(),
            Self::Gym {
                problem: GymError::UnknownGym { nearest, .. } | GymError::UnknownItem { nearest, .. }, ..
            } => nearest.iter().cloned().collect(),
            // Of several cells each has its own.
            Self::Cells { problems, .. } => match problems.as_slice() {
                [only] => only.nearest.clone(),
                _ => Vec::new(),
            },
            _ => Vec::new(),
        }
    }

    /// Whether the thing asked for does not exist.
    #[must_use]
    pub const fn is_not_found(&self) -> bool {
        matches!(self, Self::UnknownExercise { .. })
    }

    /// Whether the question, not the program, is at fault.
    #[must_use]
    pub const fn is_bad_request(&self) -> bool {
        !matches!(self, Self::Kb(_) | Self::Internal(_))
    }
}

/// Every cell on a line of its own, behind how many there are.
fn cells_said(count: usize, problems: &[CellProblem]) -> String {
    let mut said = if count == 1 { "1 cell is wrong".to_string() } else { format!("{count} cells are wrong") };
    for problem in problems {
        said.push_str(&format!("\n{problem}"));
    }
    if count > problems.len() {
        said.push_str(&format!("\nand {} more", count - problems.len()));
    }
    said
}
