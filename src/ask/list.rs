//! "What is there?": the exercises that meet every filter given.
//!
//! Leans on the compiled base's columns. Leaves to others: order of merit ([`super::swap`]).

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::swap::GymAsk;
use super::{Basis, Engine, Error, Named, inventory, region, unknown};
use crate::kb::Kb;
use crate::kb::fold::fold;
use crate::kb::raw::{Role, SpineClass};

/// Filters; every one given must hold.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Request {
    /// A pattern or a branch of the tree, by id, name or alias.
    pub pattern: Option<String>,
    /// A muscle that works at half or more, by id, name or alias.
    pub muscle: Option<String>,
    /// Greatest spine class.
    pub max_spine: Option<SpineClass>,
    /// Regions that are loaded lightly at most (grade 0 or 1).
    pub kind_to: Vec<String>,
    /// A gym.
    pub gym: Option<GymAsk>,
    /// Kit.
    pub have: Vec<String>,
    /// Role.
    pub role: Option<Role>,
}

/// One exercise in short.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Entry<'k> {
    /// The exercise.
    #[serde(flatten)]
    pub exercise: Named<'k>,
    /// Its pattern.
    pub pattern: &'k str,
    /// Its spine class.
    pub spine: SpineClass,
    /// Its role.
    pub role: Role,
    /// Its skill, 1 to 5.
    pub skill: u8,
}

/// The exercises, by pattern, then main muscle, then id.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Reply<'k> {
    /// The base asked.
    pub base: Basis<'k>,
    /// How many there are.
    pub count: usize,
    /// The exercises.
    pub exercises: Vec<Entry<'k>>,
}

/// Greatest grade that is still kind to a region.
const KIND: u8 = 1;
/// Muscle weight in hundredths from which an exercise counts as training it.
const TRAINS: u8 = 50;

/// Answers.
///
/// # Errors
/// [`Error`] naming the filter's value, its place and the nearest valid words.
pub fn answer<'k>(engine: &'k Engine, request: &Request) -> Result<Reply<'k>, Error> {
    let kb = engine.kb();
    let pattern = request.pattern.as_deref().map(|p| pattern(kb, p)).transpose()?;
    let muscle = request.muscle.as_deref().map(|m| muscle(kb, m)).transpose()?;
    let mut kind_to = Vec::with_capacity(request.kind_to.len());
    for (i, r) in request.kind_to.iter().enumerate() {
        kind_to.push(region(kb, r, &format!("/kind_to/{i}"))?);
    }
    let inventory = inventory(kb, request.gym.as_ref(), &request.have)?;

    let mut exercises = Vec::new();
    for (at, row) in kb.table.rows.iter().enumerate() {
        let in_pattern = pattern
            .is_none_or(|p| kb.pattern_paths.get(usize::from(row.pattern)).is_some_and(|path| path.contains(&p)));
        let works = muscle.is_none_or(|m| kb.table.muscles_of(at).get(m).is_some_and(|w| *w >= TRAINS));
        let spares = kind_to.iter().all(|r| kb.table.grades_of(at).get(*r).is_some_and(|g| *g <= KIND));
        let light = request.max_spine.is_none_or(|most| row.spine <= most.rank());
        let kit = kb.table.kits_of(at).iter().any(|a| a & !inventory.kit == 0) && inventory.is_high_enough(row);
        let role = request.role.is_none_or(|r| r == row.role);
        if in_pattern && works && spares && light && kit && role {
            exercises.push(Entry {
                exercise: Named::row(kb, at),
                pattern: pattern_of(kb, at),
                spine: kb.spine_class(at),
                role: row.role,
                skill: row.skill,
            });
        }
    }
    Ok(Reply { base: Basis::of(kb), count: exercises.len(), exercises })
}

/// Id of the pattern of the exercise in a row.
pub(crate) fn pattern_of(kb: &Kb, row: usize) -> &str {
    let at = kb.table.rows.get(row).map_or(0, |r| usize::from(r.pattern));
    kb.patterns.get(at).map_or("", |p| p.id.as_str())
}

fn pattern(kb: &Kb, given: &str) -> Result<u8, Error> {
    kb.words
        .patterns
        .find(&fold(given))
        .and_then(|at| u8::try_from(at).ok())
        .ok_or_else(|| unknown("pattern", given, "/pattern", kb.patterns.iter().map(|p| p.id.as_str())))
}

fn muscle(kb: &Kb, given: &str) -> Result<usize, Error> {
    kb.words
        .muscles
        .find(&fold(given))
        .map(|at| at as usize)
        .ok_or_else(|| unknown("muscle", given, "/muscle", kb.muscles.iter().map(|m| m.id.as_str())))
}
