//! How good are the answers: judged questions asked, and the order of the answers measured.
//!
//! Leans on [`super::swap`]. Leaves to others: judging (the rows in `queries/`, by reviewers).
//! Gains are linear, discounts log2(rank + 1), as retrieval evaluation has it.

use std::collections::{BTreeMap, HashMap};

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{Basis, Engine, Error, swap};
use crate::kb::raw::{Aim, Gym};

/// The judged questions as shipped.
const QUESTIONS: &str = include_str!("../../queries/judged.json");
/// Our own further questions, whose opinions name exercises by id.
const OWN: &str = include_str!("../../queries/own.json");
/// The reviewers' names mapped to exercises.
const NAMES: &str = include_str!("../../queries/names.json");
/// The gyms of the questions.
const GYMS: &str = include_str!("../../queries/gyms.json");

/// One judged question.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Judged {
    /// Id.
    pub id: String,
    /// Exercise to replace, as said.
    pub lift: String,
    /// Soreness and remarks, as said.
    pub said: String,
    /// Soreness in the words of a request.
    pub sore: Vec<swap::SoreAsk>,
    /// Gym by id.
    pub gym: String,
    /// Aim.
    pub aim: Aim,
    /// Reviewers.
    pub opinions: Vec<Opinion>,
}

/// What one reviewer would answer, in free text.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Opinion {
    /// Grade 3.
    pub best: Vec<String>,
    /// Grade 2.
    pub good: Vec<String>,
    /// Grade 1.
    pub ok: Vec<String>,
    /// Must not be among the first ten.
    pub never: Vec<String>,
}

/// A reviewer's name for an exercise.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MappedName {
    /// As written.
    pub name: String,
    /// Exercise, if the base has it.
    pub exercise: Option<String>,
    /// `exact` or `near`.
    #[serde(default)]
    pub fit: Option<String>,
    /// Why it is not mapped.
    #[serde(default)]
    pub reason: Option<String>,
    /// Other readings in single questions, where the name means something else there.
    #[serde(default)]
    pub within: BTreeMap<String, String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct QuestionFile {
    #[serde(rename = "about")]
    _about: String,
    questions: Vec<Judged>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct NameFile {
    #[serde(rename = "about")]
    _about: String,
    names: Vec<MappedName>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct GymFile {
    #[serde(rename = "about")]
    _about: String,
    gyms: Vec<Gym>,
}

/// Questions, names and gyms together.
#[derive(Debug, Clone, PartialEq)]
pub struct Set {
    /// Questions.
    pub questions: Vec<Judged>,
    /// Names.
    pub names: Vec<MappedName>,
    /// Gyms.
    pub gyms: Vec<Gym>,
}

/// What one answer is worth to the reviewers.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Graded {
    /// Exercise.
    pub id: String,
    /// Mean grade over reviewers, 0 to 3.
    pub grade: f64,
    /// Whether a reviewer lists it under never, and none under best or good.
    pub violation: bool,
}

/// One question measured.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Measured {
    /// Question.
    pub id: String,
    /// Normalised discounted cumulative gain of the first five.
    pub ndcg5: f64,
    /// Whether the first answer has a mean grade of at least 2.
    pub success1: bool,
    /// Exercises among the first ten that must not be there.
    pub violations: Vec<String>,
    /// The first ten, as graded.
    pub answers: Vec<Graded>,
    /// The best that could have been given: ids with mean grades.
    pub best: Vec<Graded>,
}

/// All questions measured.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Reply<'k> {
    /// The base asked.
    pub base: Basis<'k>,
    /// Mean of the questions' ndcg@5.
    pub ndcg5: f64,
    /// Share of questions whose first answer succeeds.
    pub success1: f64,
    /// Violations in all.
    pub violations: usize,
    /// Names without an exercise in the base.
    pub unmapped: Vec<String>,
    /// Names in all.
    pub names: usize,
    /// Each question.
    pub questions: Vec<Measured>,
}

/// The shipped questions.
///
/// # Errors
/// [`Error::Internal`] if a shipped file is malformed; a test keeps that from happening.
pub fn shipped() -> Result<Set, Error> {
    fn parse<'t, T: Deserialize<'t>>(what: &str, text: &'t str) -> Result<T, Error> {
        serde_json::from_str(text).map_err(|e| Error::Internal(format!("queries/{what}: {e}")))
    }
    Ok(Set {
        questions: parse::<QuestionFile>("judged.json", QUESTIONS)?.questions,
        names: parse::<NameFile>("names.json", NAMES)?.names,
        gyms: parse::<GymFile>("gyms.json", GYMS)?.gyms,
    })
}

/// Our own further questions.
///
/// # Errors
/// [`Error::Internal`] if the shipped file is malformed; a test keeps that from happening.
pub fn own() -> Result<Set, Error> {
    let questions = serde_json::from_str::<QuestionFile>(OWN);
    let questions = questions.map_err(|e| Error::Internal(format!("queries/own.json: {e}")))?.questions;
    Ok(Set { questions, names: Vec::new(), ..shipped()? })
}

/// How many answers are looked at for violations.
const LOOKED_AT: usize = 10;
/// How many answers the gain is taken over.
const GAIN_OVER: usize = 5;
/// Mean grade from which the first answer succeeds.
const SUCCESS: f64 = 2.0;

/// The request of a judged question.
#[must_use]
pub fn request(set: &Set, question: &Judged) -> swap::Request {
    let gym = set.gyms.iter().find(|g| g.id == question.gym);
    swap::Request {
        exercise: set
            .names
            .iter()
            .find(|n| n.name == question.lift)
            .and_then(|n| n.within_question(question))
            .map_or_else(|| question.lift.clone(), str::to_string),
        sore: question.sore.clone(),
        gym: Some(match gym {
            Some(gym) => swap::GymAsk::Own(Box::new(gym.clone())),
            None => swap::GymAsk::Named(question.gym.clone()),
        }),
        aim: Some(question.aim),
        top: Some(LOOKED_AT),
        ..swap::Request::default()
    }
}

impl MappedName {
    /// The exercise that the name means in a question, if the base has it.
    fn within_question(&self, question: &Judged) -> Option<&str> {
        self.within.get(&question.id).or(self.exercise.as_ref()).map(String::as_str)
    }
}

/// Asks every question and measures the answers.
///
/// # Errors
/// [`Error`] when a question names something that the base does not know.
pub fn answer<'k>(engine: &'k Engine, set: &Set) -> Result<Reply<'k>, Error> {
    let names: HashMap<&str, &MappedName> = set.names.iter().map(|n| (n.name.as_str(), n)).collect();
    let mut questions = Vec::with_capacity(set.questions.len());
    for question in &set.questions {
        let reply = swap::answer(engine, &request(set, question))?;
        let ids: Vec<String> = reply.substitutes.iter().map(|s| s.id.to_string()).collect();
        questions.push(measure(&names, question, &ids));
    }
    let n = questions.len().max(1) as f64;
    Ok(Reply {
        base: Basis::of(engine.kb()),
        ndcg5: questions.iter().map(|q| q.ndcg5).sum::<f64>() / n,
        success1: questions.iter().filter(|q| q.success1).count() as f64 / n,
        violations: questions.iter().map(|q| q.violations.len()).sum(),
        unmapped: set.names.iter().filter(|n| n.exercise.is_none()).map(|n| n.name.clone()).collect(),
        names: set.names.len(),
        questions,
    })
}

/// Measures the answers to one question; `names` holds what the reviewers' names mean.
#[must_use]
pub fn measure(names: &HashMap<&str, &MappedName>, question: &Judged, answers: &[String]) -> Measured {
    // A name that is not mapped is an id already.
    let exercise = |name: &String| match names.get(name.as_str()) {
        Some(mapped) => mapped.within_question(question).map(str::to_string),
        None => Some(name.clone()),
    };
    let reviewers = question.opinions.len().max(1) as f64;
    let mut grades: BTreeMap<String, f64> = BTreeMap::new();
    let mut liked: BTreeMap<String, bool> = BTreeMap::new();
    let mut never: BTreeMap<String, bool> = BTreeMap::new();
    for opinion in &question.opinions {
        let mut mine: BTreeMap<String, f64> = BTreeMap::new();
        for (list, grade) in [(&opinion.best, 3.0), (&opinion.good, 2.0), (&opinion.ok, 1.0)] {
            for id in list.iter().filter_map(exercise) {
                if grade >= 2.0 {
                    liked.insert(id.clone(), true);
                }
                let known = mine.entry(id).or_insert(0.0);
                *known = known.max(grade);
            }
        }
        for (id, grade) in mine {
            *grades.entry(id).or_insert(0.0) += grade / reviewers;
        }
        for id in opinion.never.iter().filter_map(exercise) {
            never.insert(id, true);
        }
    }
    let graded = |id: &str| Graded {
        id: id.to_string(),
        grade: grades.get(id).copied().unwrap_or(0.0),
        violation: never.contains_key(id) && !liked.contains_key(id),
    };
    let answers: Vec<Graded> = answers.iter().take(LOOKED_AT).map(|id| graded(id)).collect();
    let mut best: Vec<Graded> = grades.keys().map(|id| graded(id)).collect();
    best.sort_by(|a, b| b.grade.total_cmp(&a.grade).then(a.id.cmp(&b.id)));
    let gains: Vec<f64> = answers.iter().map(|a| a.grade).collect();
    let ideal: Vec<f64> = best.iter().map(|b| b.grade).collect();
    Measured {
        id: question.id.clone(),
        ndcg5: ndcg(&gains, &ideal, GAIN_OVER),
        success1: gains.first().is_some_and(|g| *g >= SUCCESS - 1e-9),
        violations: answers.iter().filter(|a| a.violation).map(|a| a.id.clone()).collect(),
        answers,
        best: best.into_iter().take(LOOKED_AT).collect(),
    }
}

/// Normalised discounted cumulative gain over the first `k`, linear gain, discount
/// log2(rank + 1); `ideal` holds every gain there is, greatest first. 0 when nothing is ideal.
/// Source: Järvelin & Kekäläinen 2002 (memory); checked against a retrieval-evaluation library.
#[must_use]
pub fn ndcg(gains: &[f64], ideal: &[f64], k: usize) -> f64 {
    let dcg = |list: &[f64]| list.iter().take(k).enumerate().map(|(i, g)| g / (i as f64 + 2.0).log2()).sum::<f64>();
    let best = dcg(ideal);
    if best > 0.0 { dcg(gains) / best } else { 0.0 }
}
