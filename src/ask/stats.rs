//! "How big is this base?": counts of what is in it.
//!
//! Leans on the compiled base. Leaves to others: whether it is sound ([`super::check`]) and how
//! good its answers are ([`super::score`]).

use schemars::JsonSchema;
use serde::Serialize;

use super::{Basis, Engine};
use crate::gym::Inventory;
use crate::kb::raw::{Role, SpineClass};

/// How many there are of something.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Count<'k> {
    /// Of what.
    pub of: &'k str,
    /// How many.
    pub count: usize,
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
    /// Exercises by pattern.
    pub by_pattern: Vec<Count<'k>>,
    /// Exercises that each gym has the kit and the ceiling for.
    pub by_gym: Vec<Count<'k>>,
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
        ("signs", kb.cautions.signs.len()),
        ("sources", kb.sources.len()),
    ];
    let count = |of, count| Count { of, count };
    let by_gym = kb.gyms.iter().map(|gym| {
        // A gym of a checked base names known kit only; should one not, nothing is possible there.
        let possible = Inventory::of(kb, gym).map_or(0, |inventory| {
            let fits = |at: usize| kb.table.kits_of(at).iter().any(|a| a & !inventory.kit == 0);
            let high = |cm: u16| inventory.ceiling_cm.is_none_or(|have| cm <= have);
            rows.iter().enumerate().filter(|(at, row)| fits(*at) && high(row.headroom_cm)).count()
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
        by_gym: by_gym.collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_exercise_is_counted_once_in_each_breakdown() {
        let engine = Engine::shipped().unwrap();
        let reply = answer(&engine);
        let all = reply.totals.first().unwrap();
        assert_eq!((all.of, all.count), ("exercises", engine.kb().len()));
        for breakdown in [&reply.by_spine, &reply.by_role, &reply.by_pattern] {
            assert_eq!(breakdown.iter().map(|c| c.count).sum::<usize>(), all.count);
        }
        assert!(reply.by_gym.iter().all(|c| c.count > 0));
    }
}
