//! The last accepted run over the judged questions, and what has changed since.
//!
//! Leans on [`super::score`]. Leaves to others: accepting a run, which is a person's choice
//! (`STEAD_BLESS=1 cargo test judged` writes the file).

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{Error, score};

/// The accepted run as shipped.
const ACCEPTED: &str = include_str!("../../queries/accepted.json");

/// A run in short.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Run {
    /// What the file is.
    pub about: String,
    /// Mean of the questions' ndcg@5.
    pub ndcg5: f64,
    /// Share of questions whose first answer succeeds.
    pub success1: f64,
    /// Violations in all.
    pub violations: usize,
    /// Each question by id.
    pub questions: BTreeMap<String, Outcome>,
}

/// One question of a run.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Outcome {
    /// Its ndcg@5.
    pub ndcg5: f64,
    /// Whether the first answer succeeds.
    pub success1: bool,
    /// Exercises among the first ten that must not be there.
    pub violations: Vec<String>,
    /// The first ten answers.
    pub first: Vec<String>,
}

/// What differs in one question.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Difference {
    /// Question.
    pub id: String,
    /// The accepted outcome; none for a new question.
    pub before: Option<Outcome>,
    /// The outcome now; none for a question that is gone.
    pub now: Option<Outcome>,
}

impl Difference {
    /// By how much ndcg@5 rose; none when the question is new or gone.
    #[must_use]
    pub fn rise(&self) -> Option<f64> {
        Some(self.now.as_ref()?.ndcg5 - self.before.as_ref()?.ndcg5)
    }

    /// Ids among the first answers now that were not there before, and the other way round.
    #[must_use]
    pub fn moved(&self) -> (Vec<String>, Vec<String>) {
        let first = |o: &'_ Option<Outcome>| o.as_ref().map_or_else(Vec::new, |o| o.first.clone());
        let (before, now) = (first(&self.before), first(&self.now));
        let only = |mine: &'_ Option<Outcome>, other: &[String]| -> Vec<String> {
            first(mine).into_iter().filter(|id| !other.contains(id)).collect()
        };
        (only(&self.now, &before), only(&self.before, &now))
    }
}

/// Decimals kept of a measure.
const SCALE: f64 = 10_000.0;

/// The accepted run.
///
/// # Errors
/// [`Error::Internal`] if the shipped file is malformed; a test keeps that from happening.
pub fn shipped() -> Result<Run, Error> {
    serde_json::from_str(ACCEPTED).map_err(|e| Error::Internal(format!("queries/accepted.json: {e}")))
}

/// The outcomes of a run, in the form that is kept.
#[must_use]
pub fn outcomes(reply: &score::Reply<'_>) -> BTreeMap<String, Outcome> {
    let outcome = |q: &score::Measured| Outcome {
        ndcg5: (q.ndcg5 * SCALE).round() / SCALE,
        success1: q.success1,
        violations: q.violations.clone(),
        first: q.answers.iter().map(|a| a.id.clone()).collect(),
    };
    reply.questions.iter().map(|q| (q.id.clone(), outcome(q))).collect()
}

/// Questions that differ in measure or in their first answers, in order of id.
#[must_use]
pub fn differences(before: &BTreeMap<String, Outcome>, now: &BTreeMap<String, Outcome>) -> Vec<Difference> {
    let mut ids: Vec<&String> = before.keys().chain(now.keys()).collect();
    ids.sort();
    ids.dedup();
    ids.into_iter()
        .map(|id| Difference { id: id.clone(), before: before.get(id).cloned(), now: now.get(id).cloned() })
        .filter(|d| d.before != d.now)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(rows: &[(&str, f64, &[&str])]) -> BTreeMap<String, Outcome> {
        let row = |(id, ndcg5, first): &(&str, f64, &[&str])| {
            let first = first.iter().map(|f| (*f).to_string()).collect();
            ((*id).to_string(), Outcome { ndcg5: *ndcg5, success1: true, violations: Vec::new(), first })
        };
        rows.iter().map(row).collect()
    }

    #[test]
    fn the_shipped_run_reads_and_names_the_shipped_questions() {
        let run = shipped().unwrap();
        for question in score::shipped().unwrap().questions {
            assert!(run.questions.contains_key(&question.id), "{}", question.id);
        }
    }

    #[test]
    fn a_difference_tells_what_rose_and_what_moved() {
        let before = of(&[("Q1", 0.5, &["a", "b"]), ("Q2", 0.5, &["a"]), ("Q3", 0.1, &[])]);
        let now = of(&[("Q1", 0.75, &["a", "c"]), ("Q2", 0.5, &["a"]), ("Q4", 0.2, &[])]);
        let found = differences(&before, &now);
        assert_eq!(found.iter().map(|d| d.id.as_str()).collect::<Vec<_>>(), ["Q1", "Q3", "Q4"]);
        let first = found.first().unwrap();
        assert_eq!(first.rise(), Some(0.25));
        assert_eq!(first.moved(), (vec!["c".to_string()], vec!["b".to_string()]));
        assert_eq!(found.get(1).unwrap().rise(), None);
    }
}
