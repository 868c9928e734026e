//! "Is this base sound?": every problem of a base and its overlays at once.
//!
//! Leans on [`crate::kb::examine`] and [`crate::kb::deep`]. Leaves to others: the rules ([`crate::kb::check`]).

use schemars::JsonSchema;
use serde::Serialize;

use crate::kb::files::Files;
use crate::kb::problem::{Problem, Severity};
use crate::kb::{Kb, compile, deep, examine};

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

/// A joint whose curated grade and computed load are two steps or more apart.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct JointGap {
    /// Id of the exercise.
    pub exercise: String,
    /// Joint.
    pub joint: &'static str,
    /// Curated grade, 0 to 4.
    pub grade: u8,
    /// Tier of the computed moment: idle, light, moderate or heavy, 0 to 3.
    pub tier: &'static str,
    /// Moment on one side at a typical working load, newton metres.
    pub moment_nm: f64,
}

/// Curated joint grades beside computed joint moments.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Deep {
    /// Exercises to which the standing model applies.
    pub compared: usize,
    /// Joints two steps or more apart. Grades also know of ends of range, grips and supports, so a
    /// gap is a place to look at and no error.
    pub gaps: Vec<JointGap>,
}

/// All problems, in order of file and pointer.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Reply {
    /// Exercises read.
    pub exercises: usize,
    /// How many problems keep the base from being used.
    pub errors: usize,
    /// How many want a look.
    pub warnings: usize,
    /// The problems.
    pub problems: Vec<Found>,
    /// Joint grades beside joint moments, where asked for and the base has no error.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub deep: Option<Deep>,
}

/// Checks layers: a base, then overlays; `deep` also holds joint grades beside joint moments.
#[must_use]
pub fn answer(layers: &[Files], deep: bool) -> Reply {
    let (draft, mut problems) = examine(layers);
    let exercises = draft.exercises.len();
    let broken = |problems: &[Problem]| problems.iter().filter(|p| p.severity == Severity::Error).count();
    let mut beside = None;
    if broken(&problems) == 0 {
        match compile::compile(&draft, layers) {
            Ok(compiled) if deep => beside = Some(moments(&Kb::from(compiled))),
            Ok(_) => {}
            Err(problem) => problems.push(problem),
        }
    }
    let errors = broken(&problems);
    let warnings = problems.len() - errors;
    let problems = problems
        .into_iter()
        .map(|p| Found {
            severity: p.severity.word(),
            rule: p.rule,
            file: p.file,
            pointer: p.pointer,
            found: p.found,
            hint: p.hint,
        })
        .collect();
    Reply { exercises, errors, warnings, problems, deep: beside }
}

fn moments(kb: &Kb) -> Deep {
    let (gaps, compared) = deep::gaps(kb);
    let gaps = gaps
        .into_iter()
        .map(|g| JointGap {
            exercise: kb.ids.get(g.row).cloned().unwrap_or_default(),
            joint: g.region,
            grade: g.grade,
            tier: g.tier.word(),
            moment_nm: g.per_side.get().abs().round(),
        })
        .collect();
    Deep { compared, gaps }
}
