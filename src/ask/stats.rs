//! "How big is this base?": counts of what is in it.
//!
//! Leans on the compiled base. Leaves to others: whether it is sound ([`super::check`]) and how
//! good its answers are ([`super::score`]).

use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};

use schemars::JsonSchema;
use serde::Serialize;
use serde_json::Value;

use super::{Basis, Engine, graph, schema};
use crate::gym::Inventory;
use crate::kb::Kb;
use crate::kb::raw::{Role, SpineClass};

/// How many there are of something.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Count<'k> {
    /// Of what.
    pub of: Cow<'k, str>,
    /// How many.
    pub count: usize,
}

/// Groups of exercises that ties hold together, whatever their kind and direction.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Groups {
    /// How many groups there are, exercises without any tie included.
    pub count: usize,
    /// Exercises in the largest.
    pub largest: usize,
    /// Exercises without any tie.
    pub alone: usize,
}

/// The counts.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Reply<'k> {
    /// The base asked.
    pub base: Basis<'k>,
    /// Everything counted once, exercises first.
    pub totals: Vec<Count<'k>>,
    /// Exercises by spine class.
    pub by_spine: Vec<Count<'k>>,
    /// Exercises by role.
    pub by_role: Vec<Count<'k>>,
    /// Exercises by pattern, which is the family that they stand in.
    pub by_pattern: Vec<Count<'k>>,
    /// Exercises that name each item of kit in some alternative.
    pub by_kit: Vec<Count<'k>>,
    /// Ties between exercises by kind, as [`super::export`] writes them.
    pub edges: Vec<Count<'k>>,
    /// Groups that the ties make.
    pub groups: Groups,
    /// Exercises that have something under each field that a record may leave out.
    pub optional_fields: Vec<Count<'k>>,
    /// Exercises that each gym has the kit and the ceiling for.
    pub by_gym: Vec<Count<'k>>,
}

fn count(of: &str, count: usize) -> Count<'_> {
    Count { of: Cow::Borrowed(of), count }
}

/// Counts.
#[must_use]
pub fn answer(engine: &Engine) -> Reply<'_> {
    let kb = engine.kb();
    let rows = &kb.table.rows;
    let totals = [
        ("exercises", kb.len()),
        ("names", kb.names.len()),
        ("patterns", kb.patterns.iter().filter(|p| p.leaf).count()),
        ("muscles", kb.muscles.len()),
        ("regions", kb.regions.len()),
        ("aggravators", kb.regions.iter().map(|r| r.aggravators.len()).sum()),
        ("equipment", kb.equipment.len()),
        ("gyms", kb.gyms.len()),
        ("carry-overs", kb.carryover.len()),
        ("stand-ins", kb.table.instead.len()),
        ("body shares", kb.body_shares.len()),
        ("things sold", kb.catalogue.items.len()),
        ("signs", kb.cautions.signs.len()),
        ("sources", kb.sources.len()),
    ];
    let by_gym = kb.gyms.iter().map(|gym| {
        // A gym of a checked base names known kit only; should one not, nothing is possible there.
        let possible = Inventory::of(kb, gym).map_or(0, |inventory| {
            let fits = |at: usize| kb.table.kits_of(at).iter().any(|a| a & !inventory.kit == 0);
            let high = |row: &crate::kb::table::Row| inventory.is_high_enough(row);
            rows.iter().enumerate().filter(|(at, row)| fits(*at) && high(row)).count()
        });
        count(gym.id.as_str(), possible)
    });
    Reply {
        base: Basis::of(kb),
        totals: totals.into_iter().map(|(of, n)| count(of, n)).collect(),
        by_spine: SpineClass::ALL
            .iter()
            .map(|c| count(c.word(), rows.iter().filter(|r| r.spine == c.rank()).count()))
            .collect(),
        by_role: Role::ALL
            .iter()
            .map(|role| count(role.word(), rows.iter().filter(|r| r.role == *role).count()))
            .collect(),
        by_pattern: kb
            .patterns
            .iter()
            .enumerate()
            .filter(|(_, p)| p.leaf)
            .map(|(at, p)| count(p.id.as_str(), rows.iter().filter(|r| usize::from(r.pattern) == at).count()))
            .collect(),
        by_kit: by_kit(kb),
        edges: edges(kb),
        groups: groups(kb),
        optional_fields: optional_fields(kb),
        by_gym: by_gym.collect(),
    }
}

fn by_kit(kb: &Kb) -> Vec<Count<'_>> {
    let mut uses: BTreeMap<&str, usize> = BTreeMap::new();
    for exercise in (0..kb.len()).filter_map(|row| kb.exercise(row)) {
        for item in exercise.equipment.iter().flatten().collect::<BTreeSet<_>>() {
            *uses.entry(item).or_default() += 1;
        }
    }
    kb.equipment.iter().map(|q| count(&q.id, uses.get(q.id.as_str()).copied().unwrap_or(0))).collect()
}

fn edges(kb: &Kb) -> Vec<Count<'_>> {
    let edges = graph::edges(kb);
    let of_kind = |word| edges.iter().filter(|e| e.kind == word).count();
    graph::KINDS.iter().map(|kind| count(kind.word, of_kind(kind.word))).collect()
}

fn groups(kb: &Kb) -> Groups {
    let sizes = graph::groups(kb);
    Groups {
        count: sizes.len(),
        largest: sizes.first().copied().unwrap_or(0),
        alone: sizes.iter().filter(|size| **size == 1).count(),
    }
}

/// Which fields may be left out is asked of the schema, so that a new one is counted unasked.
fn optional_fields(kb: &Kb) -> Vec<Count<'_>> {
    let filled = |value: &Value| match value {
        Value::Null => false,
        Value::Array(list) => !list.is_empty(),
        Value::Object(map) => !map.is_empty(),
        Value::Bool(_) | Value::Number(_) | Value::String(_) => true,
    };
    let mut counts: Vec<Count<'_>> =
        schema::optional_fields().into_iter().map(|name| Count { of: Cow::Owned(name), count: 0 }).collect();
    for exercise in (0..kb.len()).filter_map(|row| kb.exercise(row)) {
        // A record that came from JSON goes back to JSON.
        let Ok(value) = serde_json::to_value(exercise) else { continue };
        for field in &mut counts {
            field.count += usize::from(value.get(field.of.as_ref()).is_some_and(filled));
        }
    }
    counts
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_exercise_is_counted_once_in_each_breakdown() {
        let engine = Engine::shipped().unwrap();
        let reply = answer(&engine);
        let all = reply.totals.first().unwrap();
        assert_eq!((all.of.as_ref(), all.count), ("exercises", engine.kb().len()));
        for breakdown in [&reply.by_spine, &reply.by_role, &reply.by_pattern] {
            assert_eq!(breakdown.iter().map(|c| c.count).sum::<usize>(), all.count);
        }
        assert!(reply.by_gym.iter().all(|c| c.count > 0));
    }

    #[test]
    fn fields_ties_and_kit_are_counted_record_by_record() {
        let engine = Engine::shipped().unwrap();
        let kb = engine.kb();
        let reply = answer(&engine);
        let of = |counts: &[Count<'_>], name: &str| counts.iter().find(|c| c.of == name).map(|c| c.count);
        let exercises = || (0..kb.len()).filter_map(|row| kb.exercise(row));
        let parents = exercises().filter(|e| e.parent.is_some()).count();
        assert_eq!(of(&reply.optional_fields, "parent"), Some(parents));
        assert_eq!(of(&reply.edges, "variation"), Some(parents));
        assert_eq!(of(&reply.edges, "harder"), Some(exercises().map(|e| e.harder.len()).sum()));
        assert_eq!(of(&reply.optional_fields, "cues"), None);
        let uses = |e: &&crate::kb::raw::Exercise| e.equipment.iter().flatten().any(|item| item == "barbell");
        assert_eq!(of(&reply.by_kit, "barbell"), Some(exercises().filter(uses).count()));
        assert_eq!(reply.by_kit.len(), kb.equipment.len());
    }
}
