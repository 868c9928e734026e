//! The columns turned on their side: for each region, aggravator and muscle one run of bytes over
//! all exercises, so that a question asks a whole column with wide instructions.
//!
//! Leans on [`super::table`], whose rows say the same one exercise at a time. Leaves to others:
//! asking ([`crate::rank`]). Made by [`super::compile`] alone.

use std::collections::HashMap;

use serde::{Deserialize, Serialize};

use super::check::is_training;
use super::raw::Equipment;
use super::table::{KitSet, RowId, Table};

/// One run of numbers over all rows for each thing that is asked of every row.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Lanes {
    /// How many rows each run has.
    pub rows: usize,
    /// Grade of each region in turn.
    #[serde(with = "serde_bytes")]
    pub grades: Vec<u8>,
    /// Grade of each aggravator in turn.
    #[serde(with = "serde_bytes")]
    pub aggravators: Vec<u8>,
    /// For each muscle in turn, 1 where it works hard enough to keep a prime mover.
    #[serde(with = "serde_bytes")]
    pub keeps: Vec<u8>,
    /// Spine class step.
    #[serde(with = "serde_bytes")]
    pub spine: Vec<u8>,
    /// Skill, 1 to 5.
    #[serde(with = "serde_bytes")]
    pub skill: Vec<u8>,
    /// Leaf of the pattern tree.
    #[serde(with = "serde_bytes")]
    pub pattern: Vec<u8>,
    /// 1 where it is training, 0 for light protective work.
    #[serde(with = "serde_bytes")]
    pub training: Vec<u8>,
    /// Ceiling needed, centimetres.
    pub headroom_cm: Vec<u16>,
    /// Sum of the muscle weights.
    pub work: Vec<u16>,
    /// Place of the id in the order of the alphabet.
    pub order: Vec<u32>,
    /// Kit in order of id, as positions.
    #[serde(with = "serde_bytes")]
    pub kit_by_id: Vec<u8>,
    /// Each kit alternative that any row has, once, in order.
    pub kit_sets: Vec<KitSet>,
    /// One-past-last of the rows of each of these in [`Self::kit_rows`].
    pub kit_ends: Vec<u32>,
    /// Rows that have the alternative.
    pub kit_rows: Vec<RowId>,
    /// One-past-last of the direct variations of each row in [`Self::children`].
    pub child_ends: Vec<u32>,
    /// Direct variations; what is its own parent is none.
    pub children: Vec<RowId>,
}

impl Lanes {
    /// Turns a table; `ids` in order of row, `kit` in order of the taxonomy.
    #[must_use]
    pub fn of(table: &Table, muscles: usize, ids: &[String], kit: &[Equipment]) -> Self {
        let n = table.rows.len();
        let bytes = |of: &dyn Fn(&super::table::Row) -> u8| table.rows.iter().map(of).collect::<Vec<u8>>();
        let mut by_name: Vec<usize> = (0..n).collect();
        by_name.sort_by(|a, b| ids.get(*a).cmp(&ids.get(*b)));
        let mut order = vec![0; n];
        for (place, row) in by_name.into_iter().enumerate() {
            if let Some(slot) = order.get_mut(row) {
                *slot = short(place);
            }
        }
        let mut kit_by_id: Vec<u8> = (0..kit.len()).filter_map(|at| u8::try_from(at).ok()).collect();
        kit_by_id.sort_by_key(|at| kit.get(usize::from(*at)).map(|q| q.id.as_str()));
        let (kit_sets, kit_ends, kit_rows) = alternatives(table);
        let parents = table.rows.iter().enumerate().filter(|(at, r)| r.parent as usize != *at);
        let (child_ends, children) = grouped(n, parents.map(|(at, r)| (r.parent as usize, at)));
        Self {
            rows: n,
            grades: turned(&table.grades, table.region_count, n),
            aggravators: turned(&table.aggravators, table.aggravator_count, n),
            keeps: (0..muscles).flat_map(|m| table.rows.iter().map(move |r| u8::from(r.keeps >> m & 1 == 1))).collect(),
            spine: bytes(&|r| r.spine),
            skill: bytes(&|r| r.skill),
            pattern: bytes(&|r| r.pattern),
            training: bytes(&|r| u8::from(is_training(r.role))),
            headroom_cm: table.rows.iter().map(|r| r.headroom_cm).collect(),
            work: (0..n).map(|row| table.muscles_of(row).iter().map(|w| u16::from(*w)).sum()).collect(),
            order,
            kit_by_id,
            kit_sets,
            kit_ends,
            kit_rows,
            child_ends,
            children,
        }
    }

    /// Grades of a region over all rows.
    #[must_use]
    pub fn grades_at(&self, region: usize) -> &[u8] {
        run(&self.grades, self.rows, region)
    }

    /// Grades of an aggravator over all rows.
    #[must_use]
    pub fn aggravators_at(&self, column: usize) -> &[u8] {
        run(&self.aggravators, self.rows, column)
    }

    /// Which rows keep a muscle at work, 1 or 0.
    #[must_use]
    pub fn keeps_at(&self, muscle: usize) -> &[u8] {
        run(&self.keeps, self.rows, muscle)
    }

    /// Direct variations of a row.
    #[must_use]
    pub fn children_of(&self, row: usize) -> &[RowId] {
        between(&self.children, &self.child_ends, row)
    }

    /// Each kit alternative with the rows that have it.
    pub fn kit(&self) -> impl Iterator<Item = (KitSet, &[RowId])> {
        self.kit_sets.iter().enumerate().map(|(at, set)| (*set, between(&self.kit_rows, &self.kit_ends, at)))
    }
}

fn short(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}

fn run(lane: &[u8], rows: usize, at: usize) -> &[u8] {
    lane.get(at * rows..(at + 1) * rows).unwrap_or_default()
}

fn between<'a>(all: &'a [RowId], ends: &[u32], at: usize) -> &'a [RowId] {
    let start = at.checked_sub(1).and_then(|before| ends.get(before)).copied().unwrap_or(0) as usize;
    let end = ends.get(at).copied().unwrap_or(0) as usize;
    all.get(start..end).unwrap_or_default()
}

/// From one stride an exercise to one run a column.
fn turned(strides: &[u8], width: usize, rows: usize) -> Vec<u8> {
    let mut out = Vec::with_capacity(strides.len());
    for column in 0..width {
        out.extend(strides.iter().skip(column).step_by(width).take(rows));
    }
    out
}

/// The alternatives of all rows, each once, with ends and rows.
fn alternatives(table: &Table) -> (Vec<KitSet>, Vec<u32>, Vec<RowId>) {
    let mut sets = table.kits.clone();
    sets.sort_unstable();
    sets.dedup();
    let place: HashMap<KitSet, usize> = sets.iter().enumerate().map(|(at, set)| (*set, at)).collect();
    let pairs = (0..table.rows.len()).flat_map(|row| table.kits_of(row).iter().map(move |set| (set, row)));
    let (ends, rows) = grouped(sets.len(), pairs.filter_map(|(set, row)| Some((*place.get(set)?, row))));
    (sets, ends, rows)
}

/// Rows by group: one-past-last of each of `groups` groups, and the rows of all, in order.
fn grouped(groups: usize, pairs: impl Iterator<Item = (usize, usize)>) -> (Vec<u32>, Vec<RowId>) {
    let mut pairs: Vec<(usize, usize)> = pairs.collect();
    pairs.sort_unstable();
    let rows = pairs.iter().map(|(_, row)| short(*row)).collect();
    let ends = (0..groups).map(|group| short(pairs.partition_point(|(g, _)| *g <= group))).collect();
    (ends, rows)
}
