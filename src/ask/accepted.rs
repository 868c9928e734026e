//! The last accepted run over the judged questions, and what has changed since.
//!
//! Leans on [`super::score`]. Leaves to others: accepting a run, which is a person's choice
//! (`stead kb score --record > queries/accepted.json`).

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{Error, json, score};

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
    /// Each question.
    pub questions: Vec<Outcome>,
}

/// One question of a run.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Outcome {
    /// Question.
    pub id: String,
    /// Its ndcg@5.
    pub ndcg5: f64,
    /// Whether the first answer succeeds.
    pub success1: bool,
    /// Exercises among the first ten that must not be there.
    pub violations: Vec<String>,
    /// The first five answers.
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

    /// Ids among the first five now that were not there before, and the other way round.
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

/// Answers kept of each question.
const KEPT: usize = 5;
/// Decimals kept of a measure.
const SCALE: f64 = 10_000.0;

/// The accepted run.
///
/// # Errors
/// [`Error::Internal`] if the shipped file is malformed; a test keeps that from happening.
pub fn shipped() -> Result<Run, Error> {
    serde_json::from_str(ACCEPTED).map_err(|e| Error::Internal(format!("queries/accepted.json: {e}")))
}

/// A run in short.
#[must_use]
pub fn run(reply: &score::Reply<'_>) -> Run {
    let round = |value: f64| (value * SCALE).round() / SCALE;
    Run {
        about: "The last accepted run over the judged questions; made by `stead kb score --record`.".to_string(),
        ndcg5: round(reply.ndcg5),
        success1: round(reply.success1),
        violations: reply.violations,
        questions: reply
            .questions
            .iter()
            .map(|q| Outcome {
                id: q.id.clone(),
                ndcg5: round(q.ndcg5),
                success1: q.success1,
                violations: q.violations.clone(),
                first: q.answers.iter().take(KEPT).map(|a| a.id.clone()).collect(),
            })
            .collect(),
    }
}

/// The text of the file, one line a question.
///
/// # Errors
/// [`Error::Internal`] when a value has no JSON form.
pub fn record(run: &Run) -> Result<String, Error> {
    let Run { about, ndcg5, success1, violations, questions } = run;
    let lines = questions.iter().map(|q| Ok(format!("    {}", json::text(q)?))).collect::<Result<Vec<_>, Error>>()?;
    Ok(format!(
        "{{\n  \"about\": {},\n  \"ndcg5\": {ndcg5},\n  \"success1\": {success1},\n  \"violations\": {violations},\n  \"questions\": [\n{}\n  ]\n}}\n",
        json::text(about)?,
        lines.join(",\n")
    ))
}

/// Questions that differ in measure or in their first five answers, in the order of `now`, then
/// those that are gone.
#[must_use]
pub fn differences(before: &Run, now: &Run) -> Vec<Difference> {
    let find = |run: &Run, id: &str| run.questions.iter().find(|q| q.id == id).cloned();
    let here = now.questions.iter().map(|q| Difference {
        id: q.id.clone(),
        before: find(before, &q.id),
        now: Some(q.clone()),
    });
    let gone = before.questions.iter().filter(|q| find(now, &q.id).is_none()).map(|q| Difference {
        id: q.id.clone(),
        before: Some(q.clone()),
        now: None,
    });
    here.chain(gone).filter(|d| d.before != d.now).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn outcome(id: &str, ndcg5: f64, first: &[&str]) -> Outcome {
        let first = first.iter().map(|f| (*f).to_string()).collect();
        Outcome { id: id.to_string(), ndcg5, success1: true, violations: Vec::new(), first }
    }

    fn of(questions: Vec<Outcome>) -> Run {
        Run { about: String::new(), ndcg5: 0.5, success1: 1.0, violations: 0, questions }
    }

    #[test]
    fn the_shipped_run_reads_and_writes_back_to_itself() {
        let run = shipped().unwrap();
        assert_eq!(record(&run).unwrap(), ACCEPTED);
    }

    #[test]
    fn a_difference_tells_what_rose_and_what_moved() {
        let before = of(vec![outcome("Q1", 0.5, &["a", "b"]), outcome("Q2", 0.5, &["a"]), outcome("Q3", 0.1, &[])]);
        let now = of(vec![outcome("Q1", 0.75, &["a", "c"]), outcome("Q2", 0.5, &["a"]), outcome("Q4", 0.2, &[])]);
        let found = differences(&before, &now);
        assert_eq!(found.iter().map(|d| d.id.as_str()).collect::<Vec<_>>(), ["Q1", "Q4", "Q3"]);
        let first = found.first().unwrap();
        assert_eq!(first.rise(), Some(0.25));
        assert_eq!(first.moved(), (vec!["c".to_string()], vec!["b".to_string()]));
        assert_eq!(found.get(1).unwrap().rise(), None);
    }
}
