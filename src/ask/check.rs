//! "Is this base sound?": every problem of a base and its overlays at once.
//!
//! Leans on [`crate::kb::examine`]. Leaves to others: the rules ([`crate::kb::check`]).

use schemars::JsonSchema;
use serde::Serialize;

use crate::kb::files::Files;
use crate::kb::problem::{Problem, Severity};
use crate::kb::{compile, examine};

/// One problem with its address and a way out.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Found {
    /// `error` or `warning`.
    pub severity: &'static str,
    /// Id of the rule.
    pub rule: &'static str,
    /// File, relative to the folder of the base.
    pub file: String,
    /// JSON pointer into the file.
    pub pointer: String,
    /// What was found.
    pub found: String,
    /// What to do about it.
    pub hint: String,
}

/// All problems, in order of file and pointer.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Reply {
    /// Exercises read.
    pub exercises: usize,
    /// How many problems keep the base from being used.
    pub errors: usize,
    /// How many want a look.
    pub warnings: usize,
    /// The problems.
    pub problems: Vec<Found>,
}

/// Checks layers: a base, then overlays.
#[must_use]
pub fn answer(layers: &[Files]) -> Reply {
    let (draft, mut problems) = examine(layers);
    let exercises = draft.exercises.len();
    let broken = |problems: &[Problem]| problems.iter().filter(|p| p.severity == Severity::Error).count();
    if broken(&problems) == 0 {
        problems.extend(compile::compile(draft, layers).err());
    }
    let errors = broken(&problems);
    let warnings = problems.len() - errors;
    let problems = problems
        .into_iter()
        .map(|p| Found {
            severity: match p.severity {
                Severity::Error => "error",
                Severity::Warning => "warning",
            },
            rule: p.rule,
            file: p.file,
            pointer: p.pointer,
            found: p.found,
            hint: p.hint,
        })
        .collect();
    Reply { exercises, errors, warnings, problems }
}
