//! "Tell me all about it": one exercise whole, with its neighbours in the graph.
//!
//! Leans on the compiled base. Leaves to others: choosing between exercises ([`super::swap`]).

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{Basis, Engine, Error, Named, exercise};
use crate::kb::Kb;
use crate::kb::raw::{CarryOver, Exercise, SpineClass};

/// An exercise asked for.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Request {
    /// Id, name, alias or near spelling.
    pub exercise: String,
}

/// One region's grade with what provokes it.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct JointRead<'k> {
    /// Region.
    pub region: &'k str,
    /// Grade, 0 to 4.
    pub grade: u8,
    /// Aggravators with their grades, greatest first.
    pub by: Vec<(&'k str, u8)>,
}

/// How much of one lift another is, where the base gives the pair.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct CarriesRead<'k> {
    /// The other lift.
    pub exercise: Named<'k>,
    /// Whether the ratio is the other lift's share of this one (`from-this`), or this one's share of
    /// the other (`to-this`).
    pub way: Way,
    /// Typical ratio of the bests for one repetition.
    pub ratio: f64,
    /// Lower end of the ratio.
    pub low: f64,
    /// Upper end of the ratio.
    pub high: f64,
}

/// Which of two lifts a ratio is a share of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Way {
    /// The other's best is so much of this one's.
    FromThis,
    /// This one's best is so much of the other's.
    ToThis,
}

/// The exercise and its neighbours.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Reply<'k> {
    /// The base asked.
    pub base: Basis<'k>,
    /// How the name was read.
    pub read_as: &'static str,
    /// Spine class that counts: the record's own, or computed from posture and typical load.
    pub spine: SpineClass,
    /// Computed compression at the low back in body weights, for a man of 80 kg and 1.75 m at a
    /// typical working load; good to about thirty per cent.
    pub compression_bw: f64,
    /// The whole record.
    pub exercise: &'k Exercise,
    /// Joint stress, greatest first.
    pub joints: Vec<JointRead<'k>>,
    /// The exercise that it is a variation of.
    pub parent: Option<Named<'k>>,
    /// Variations of it.
    pub variations: Vec<Named<'k>>,
    /// Other variations of the same parent.
    pub siblings: Vec<Named<'k>>,
    /// Easier steps, named here or by the other side.
    pub easier: Vec<Named<'k>>,
    /// Harder steps, named here or by the other side.
    pub harder: Vec<Named<'k>>,
    /// Lifts whose load tells something of this one's, or the other way round, as the base gives it.
    pub carries: Vec<CarriesRead<'k>>,
    /// Texts of its cautions.
    pub cautions: Vec<&'k str>,
}

/// Answers.
///
/// # Errors
/// [`Error::UnknownExercise`] or [`Error::AmbiguousExercise`] with what is near.
pub fn answer<'k>(engine: &'k Engine, request: &Request) -> Result<Reply<'k>, Error> {
    let kb = engine.kb();
    let (row, read_as) = exercise(kb, &request.exercise, "/exercise")?;
    let record = kb.exercise(row).ok_or_else(|| Error::Internal(format!("record {row} is missing")))?;
    let columns = kb.table.rows.get(row);
    let others = || (0..kb.len()).filter_map(|r| kb.exercise(r).map(|e| (r, e)));
    let named = |id: &str| kb.row_of(id).map(|r| Named::row(kb, r));
    let collect = |rows: Vec<usize>| rows.into_iter().map(|r| Named::row(kb, r)).collect::<Vec<_>>();
    let mut easier: Vec<usize> = record.easier.iter().filter_map(|id| kb.row_of(id)).collect();
    let mut harder: Vec<usize> = record.harder.iter().filter_map(|id| kb.row_of(id)).collect();
    for (other, e) in others() {
        if e.harder.contains(&record.id) && !easier.contains(&other) {
            easier.push(other);
        }
        if e.easier.contains(&record.id) && !harder.contains(&other) {
            harder.push(other);
        }
    }
    let is_child = |e: &Exercise| e.parent.as_deref() == Some(record.id.as_str());
    let is_sibling = |e: &Exercise| record.parent.is_some() && e.parent == record.parent && e.id != record.id;
    let mut joints = joints(kb, record);
    joints.sort_by(|a, b| b.grade.cmp(&a.grade).then(a.region.cmp(b.region)));
    Ok(Reply {
        base: Basis::of(kb),
        read_as: read_as.word(),
        spine: kb.spine_class(row),
        compression_bw: (columns.map_or(0.0, |r| f64::from(r.compression_bw)) * 10.0).round() / 10.0,
        exercise: record,
        joints,
        parent: record.parent.as_deref().and_then(named),
        variations: collect(others().filter(|(_, e)| is_child(e)).map(|(r, _)| r).collect()),
        siblings: collect(others().filter(|(_, e)| is_sibling(e)).map(|(r, _)| r).collect()),
        easier: collect(easier),
        harder: collect(harder),
        carries: carries(kb, &record.id),
        cautions: super::swap::caution_texts(kb, &record.cautions),
    })
}

fn carries<'k>(kb: &'k Kb, id: &str) -> Vec<CarriesRead<'k>> {
    let read = |pair: &'k CarryOver| {
        let (other, way) = match (pair.from == id, pair.to == id) {
            (true, _) => (&pair.to, Way::FromThis),
            (_, true) => (&pair.from, Way::ToThis),
            _ => return None,
        };
        let exercise = Named::row(kb, kb.row_of(other)?);
        Some(CarriesRead { exercise, way, ratio: pair.ratio, low: pair.low, high: pair.high })
    };
    kb.carryover.iter().filter_map(read).collect()
}

fn joints<'k>(kb: &'k Kb, record: &'k Exercise) -> Vec<JointRead<'k>> {
    kb.regions
        .iter()
        .filter_map(|r| {
            let by = record.joints.get(&r.id)?;
            let mut by: Vec<(&str, u8)> = by.iter().map(|(token, grade)| (token.as_str(), *grade)).collect();
            by.sort_by(|a, b| b.1.cmp(&a.1).then(a.0.cmp(b.0)));
            Some(JointRead { region: &r.id, grade: by.first().map_or(0, |b| b.1), by })
        })
        .collect()
}
