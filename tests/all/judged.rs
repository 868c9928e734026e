//! The judged questions asked again, and every difference from the last accepted run told.
//!
//! Leans on `queries/judged.json` (questions and opinions), `queries/accepted.json` (the last
//! accepted run; `STEAD_BLESS=1` accepts the present one) and `queries/known-misses.json`
//! (answers that reviewers would never give and that stand for a stated reason). Leaves to
//! others: the measures (`src/ask/score.rs`).

use std::collections::{BTreeMap, BTreeSet};
use std::sync::LazyLock;

use serde::{Deserialize, Serialize};
use stead::ask::{Engine, coverage, score};

use crate::{bless, read, root};

static ENGINE: LazyLock<Engine> = LazyLock::new(|| Engine::shipped().unwrap());
static RUN: LazyLock<Run> = LazyLock::new(run);

/// Means, and each question in short.
#[derive(Debug, PartialEq, Serialize, Deserialize)]
struct Run {
    about: String,
    ndcg5: f64,
    success1: f64,
    violations: usize,
    questions: BTreeMap<String, Row>,
}

#[derive(Debug, PartialEq, Serialize, Deserialize)]
struct Row {
    ndcg5: f64,
    success1: bool,
    violations: Vec<String>,
    first: Vec<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Misses {
    #[serde(rename = "about")]
    _about: String,
    misses: Vec<Miss>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Miss {
    question: String,
    exercise: String,
    reason: String,
}

fn run() -> Run {
    let rounded = |v: f64| (v * 10_000.0).round() / 10_000.0;
    let reply = score::answer(&ENGINE, &score::shipped().unwrap()).unwrap();
    let row = |q: score::Measured| Row {
        ndcg5: rounded(q.ndcg5),
        success1: q.success1,
        violations: q.violations,
        first: q.answers.into_iter().map(|a| a.id).collect(),
    };
    Run {
        about: "The last accepted run over the judged questions; STEAD_BLESS=1 cargo test judged writes it."
            .to_string(),
        ndcg5: rounded(reply.ndcg5),
        success1: rounded(reply.success1),
        violations: reply.violations,
        questions: reply.questions.into_iter().map(|q| (q.id.clone(), row(q))).collect(),
    }
}

/// Each question as one line, so that a change shows as one line.
fn text(run: &Run) -> String {
    let head = |key: &str, value: String| format!("  \"{key}\": {value},\n");
    let rows: Vec<String> = run
        .questions
        .iter()
        .map(|(id, row)| format!("    {}: {}", serde_json::to_string(id).unwrap(), serde_json::to_string(row).unwrap()))
        .collect();
    format!(
        "{{\n{}{}{}{}  \"questions\": {{\n{}\n  }}\n}}\n",
        head("about", serde_json::to_string(&run.about).unwrap()),
        head("ndcg5", run.ndcg5.to_string()),
        head("success1", run.success1.to_string()),
        head("violations", run.violations.to_string()),
        rows.join(",\n")
    )
}

fn differences(kept: &Run, now: &Run) -> Vec<String> {
    let mut out = Vec::new();
    let ids: BTreeSet<&String> = kept.questions.keys().chain(now.questions.keys()).collect();
    for id in ids {
        match (kept.questions.get(id), now.questions.get(id)) {
            (Some(was), Some(is)) if was != is => {
                let gone: Vec<_> = was.first.iter().filter(|e| !is.first.contains(e)).collect();
                let new: Vec<_> = is.first.iter().filter(|e| !was.first.contains(e)).collect();
                out.push(format!(
                    "{id}: ndcg@5 {} to {}, success@1 {} to {}, violations {:?} to {:?}, gone {gone:?}, new {new:?}",
                    was.ndcg5, is.ndcg5, was.success1, is.success1, was.violations, is.violations
                ));
            }
            (Some(_), None) => out.push(format!("{id}: no longer asked")),
            (None, Some(_)) => out.push(format!("{id}: new")),
            _ => {}
        }
    }
    out
}

#[test]
fn answers_are_those_of_the_accepted_run() {
    let now = &*RUN;
    println!("ndcg@5 {}\nsuccess@1 {}\nviolations {}", now.ndcg5, now.success1, now.violations);
    let path = root().join("queries/accepted.json");
    if bless() {
        std::fs::write(&path, text(now)).unwrap();
    }
    let kept: Run = serde_json::from_str(&read("queries/accepted.json")).unwrap();
    let differences = differences(&kept, now);
    assert!(
        kept == *now && differences.is_empty(),
        "ndcg@5 {} to {}, success@1 {} to {}; STEAD_BLESS=1 accepts the present run\n{}",
        kept.ndcg5,
        now.ndcg5,
        kept.success1,
        now.success1,
        differences.join("\n")
    );
}

#[test]
fn no_answer_breaks_a_never_except_the_known_ones() {
    let known: Misses = serde_json::from_str(&read("queries/known-misses.json")).unwrap();
    let mut known: BTreeMap<(String, String), String> =
        known.misses.into_iter().map(|m| ((m.question, m.exercise), m.reason)).collect();
    assert!(known.values().all(|reason| reason.len() > 20), "a known miss without a reason");
    let mut wrong = Vec::new();
    for (id, row) in &RUN.questions {
        for exercise in &row.violations {
            if known.remove(&(id.clone(), exercise.clone())).is_none() {
                wrong.push(format!("{id}: {exercise} is among the first ten, and a reviewer lists it under never"));
            }
        }
    }
    wrong.extend(
        known.keys().map(|(id, exercise)| format!("{id}: {exercise} is no longer a miss; take it out of the list")),
    );
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Two readers wrote these: `queries/README.md` says how.
#[test]
fn no_answer_to_our_own_questions_breaks_a_never() {
    let set = score::own().unwrap();
    assert_eq!(set.questions.len(), 60);
    for question in &set.questions {
        assert_eq!(question.opinions.len(), 2, "{}: a question has two opinions", question.id);
        for opinion in &question.opinions {
            for id in [&opinion.best, &opinion.good, &opinion.ok, &opinion.never].into_iter().flatten() {
                assert!(ENGINE.kb().row_of(id).is_some(), "{}: no exercise {id:?} in the base", question.id);
            }
        }
    }
    let reply = score::answer(&ENGINE, &set).unwrap();
    let wrong: Vec<_> = reply.questions.iter().filter(|q| !q.violations.is_empty()).collect();
    let told: Vec<String> = wrong.iter().map(|q| format!("{}: {}", q.id, q.violations.join(", "))).collect();
    assert!(told.is_empty(), "among the first ten, and a reader lists it under never\n{}", told.join("\n"));
}

/// Reasons are written in `queries/thin.json`.
#[test]
fn every_place_of_the_matrix_has_three_substitutes_or_a_reason() {
    let reply = coverage::answer(&ENGINE).unwrap();
    let patterns = ENGINE.kb().patterns.iter().filter(|p| p.typical.is_some()).count();
    assert_eq!(reply.cells, patterns * ENGINE.kb().regions.len() * ENGINE.kb().gyms.len());
    let mut bare = Vec::new();
    for gym in &reply.gyms {
        for line in &gym.lines {
            let thin = line.cells.iter().filter(|c| c.passed < coverage::ENOUGH && c.reason.is_none());
            bare.extend(thin.map(|c| format!("{} {} {}: {}", gym.gym, line.pattern, c.region, c.passed)));
        }
    }
    assert!(bare.is_empty(), "fewer than three and no reason\n{}", bare.join("\n"));
    assert!(reply.unneeded.is_empty(), "reasons that no place needs: {:?}", reply.unneeded);
}

#[test]
fn every_name_of_a_reviewer_is_mapped_or_says_why_not() {
    let set = score::shipped().unwrap();
    let mut wrong = Vec::new();
    let mut mapped = BTreeSet::new();
    for name in &set.names {
        if !mapped.insert(name.name.as_str()) {
            wrong.push(format!("{:?} stands twice", name.name));
        }
        for id in name.exercise.iter().chain(name.within.values()) {
            if ENGINE.kb().row_of(id).is_none() {
                wrong.push(format!("{:?} is mapped to {id:?}, which the base does not have", name.name));
            }
        }
        if name.exercise.is_none() && name.reason.as_ref().is_none_or(|r| r.is_empty()) {
            wrong.push(format!("{:?} is not mapped and has no reason", name.name));
        }
    }
    for question in &set.questions {
        for opinion in &question.opinions {
            let said = opinion.best.iter().chain(&opinion.good).chain(&opinion.ok).chain(&opinion.never);
            wrong.extend(
                said.filter(|n| !mapped.contains(n.as_str()))
                    .map(|n| format!("{}: {n:?} is no name of the list", question.id)),
            );
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
