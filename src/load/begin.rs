//! From a set that a lifter knows to the load of a first set with another lift.
//!
//! Leans on bests ([`super::rep_max`]), ratios ([`super::carryover`]), first sessions
//! ([`super::start`]) and on what the gym makes up ([`crate::gym::carry`]). Leaves to others: how it
//! is told ([`crate::ask::load`]).
//!
//! Loads are counted as the records of the lifts count them. A lift with the body counts a share of
//! body mass and what is added to it (practice table 2.2): the share as the base gives it for the
//! lift or its nearest ancestor, else the whole body. A first exposure takes the low ratio, all
//! others the typical one; familiarity and pain take their low ends (practice section 2 and table
//! 3.1).

use super::carryover::{Graph, NoRatio, Range, Ratio, count};
use super::rep_max::{self, Best, FORMULAS, RepMaxError, best_by};
use super::start::{self, Ask, Factor, Sets, StartError};
use crate::gym::Inventory;
use crate::gym::carry::{Carried, CarryError, carried};
use crate::kb::Kb;
use crate::kb::raw::{BestBy, Counted, Laterality, LoadCount, MassUnit, People, ShareAt, Situation};
use crate::units::{Kg, OutOfBounds, bounds};

/// Body mass where none is said, kg (the reference lifter of the body model).
pub const USUAL_MASS: Kg = Kg(80.0);

/// Who lifts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lifter {
    /// Body mass.
    pub mass: Kg,
    /// Men's or women's figures, where they differ; men's where it is not said.
    pub people: Option<People>,
}

/// A set that is known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Set {
    /// Load as the lift's own record counts it; of a lift with the body what is added.
    pub load: Kg,
    /// Repetitions done.
    pub repetitions: f64,
    /// Repetitions left in reserve.
    pub reserve: f64,
}

/// What is wanted of the other lift.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Target {
    /// Repetitions of a set.
    pub repetitions: f64,
    /// Repetitions in reserve; as the situation asks where it is not said.
    pub reserve: Option<f64>,
    /// How the lift stands to what was done lately; [`usual_situation`] where it is not said.
    pub situation: Option<Situation>,
    /// Weeks off.
    pub weeks_off: u8,
    /// Pain of 10.
    pub pain: Option<f64>,
}

/// The part of the body that is lifted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BodyPart<'k> {
    /// Share of body mass.
    pub share: f64,
    /// The same in kilograms.
    pub mass: Kg,
    /// Source id, `memory` or `practice`.
    pub basis: &'k str,
}

/// A lift whose best is estimated from a set.
#[derive(Debug, Clone, PartialEq)]
pub struct Known<'k> {
    /// Row.
    pub row: usize,
    /// The set.
    pub set: Set,
    /// Who.
    pub lifter: Lifter,
    /// The body's part, of a lift with the body.
    pub body: Option<BodyPart<'k>>,
    /// The estimate, in the lift's own count.
    pub best: Best,
    /// What each formula and the chart would say, in that order.
    pub all: Vec<(BestBy, Kg)>,
}

/// A set that no best follows from.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum NoBest {
    /// Too many repetitions, or a number out of bounds.
    #[error(transparent)]
    RepMax(#[from] RepMaxError),
    /// The lift has no best.
    #[error(transparent)]
    Lift(#[from] NoRatio),
    /// Nothing was lifted.
    #[error("a load of nothing says nothing of a best")]
    Nothing,
}

impl<'k> Known<'k> {
    /// The best that a set says, in a lift that has one.
    ///
    /// # Errors
    /// [`NoBest`] where the lift is not counted in a load, too many repetitions were done, or a
    /// number is out of bounds.
    pub fn new(graph: &Graph<'k>, row: usize, set: Set, lifter: Lifter) -> Result<Self, NoBest> {
        let kb = graph.kb();
        graph.between(row, row)?;
        let added = Kg(bounds::LOAD.check(set.load.get()).map_err(RepMaxError::from)?);
        let body = body_part(kb, row, lifter);
        let load = body.map_or(added, |b| b.mass + added);
        if load.get() <= 0.0 {
            return Err(NoBest::Nothing);
        }
        let of = |by| rep_max::estimate(&kb.loads, by, load, set.repetitions, set.reserve);
        let best = of(best_by(kb, row))?;
        bounds::LOAD.check(best.best.get()).map_err(RepMaxError::from)?;
        let mut all = Vec::with_capacity(FORMULAS.len() + 1);
        for by in FORMULAS.iter().copied().chain([BestBy::Chart]) {
            all.push((by, of(by)?.best));
        }
        Ok(Self { row, set, lifter, body, best, all })
    }

    /// The ceiling that the estimate passes, if it passes one, in the lift's own count, with its basis.
    #[must_use]
    pub fn above_ceiling(&self, kb: &'k Kb) -> Option<(Kg, &'k str)> {
        let anchor = kb.anchor_of.get(self.row).and_then(|a| kb.anchors.get(usize::from(*a)))?;
        let share = kb.anchor_share.get(self.row).copied().filter(|s| *s > 0.0)?;
        let ceiling = kb.loads.ceilings.iter().find(|c| c.anchor == anchor.id)?;
        let bm = if self.lifter.people == Some(People::Women) { ceiling.women_bm } else { ceiling.men_bm };
        let most = self.lifter.mass * bm * share;
        (self.best.best > most).then_some((most, ceiling.basis.as_str()))
    }
}

/// The part of body mass that the exercise in `row` lifts; none where its load is counted without
/// the body.
#[must_use]
pub fn body_part(kb: &Kb, row: usize, lifter: Lifter) -> Option<BodyPart<'_>> {
    if count(kb, row) != LoadCount::BodyAndAdded {
        return None;
    }
    let mut at = row;
    // Ancestors are few; the bound only keeps a broken base from going round.
    for _ in 0..=kb.len() {
        let id = kb.ids.get(at)?;
        let mine = kb
            .body_shares
            .iter()
            .filter(|s| s.exercise == *id && s.sex.is_none_or(|sex| sex == lifter.people.unwrap_or(People::Men)));
        let first = |s: &&crate::kb::raw::BodyShare| match s.at {
            ShareAt::Usual => 0,
            ShareAt::Peak => 1,
            ShareAt::Bottom => 2,
            ShareAt::Top => 3,
        };
        if let Some(found) = mine.min_by_key(first) {
            let (share, basis) = (found.share, found.basis.as_str());
            return Some(BodyPart { share, mass: lifter.mass * share, basis });
        }
        match kb.table.rows.get(at).map(|r| r.parent as usize) {
            Some(parent) if parent != at => at = parent,
            _ => break,
        }
    }
    Some(BodyPart { share: 1.0, mass: lifter.mass, basis: "practice" })
}

/// How a lift stands to one that is trained, where the lifter does not say: itself, a machine of
/// unknown gearing, a variation of the same pattern, or what asks for another pattern or for
/// balance: one side, or a weight in each hand in place of one (practice table 3.1).
#[must_use]
pub fn usual_situation(kb: &Kb, from: usize, to: usize) -> Situation {
    let (Some(known), Some(other)) = (kb.table.rows.get(from), kb.table.rows.get(to)) else {
        return Situation::NewPattern;
    };
    let one_side = other.laterality != Laterality::Bilateral && known.laterality == Laterality::Bilateral;
    let apart = other.counted == Counted::PerHand && known.counted != Counted::PerHand;
    if from == to {
        Situation::Familiar
    } else if is_geared(kb, to) {
        Situation::UnknownMachine
    } else if known.pattern != other.pattern || one_side || apart {
        Situation::NewPattern
    } else {
        Situation::Variant
    }
}

/// Whether the load goes over a pulley, a lever or a sled, so that the same number weighs
/// differently from gym to gym.
#[must_use]
pub fn is_geared(kb: &Kb, row: usize) -> bool {
    let Some(r) = kb.table.rows.get(row) else { return false };
    let machine = |id: &str| id == "leg-press" || id.ends_with("-machine") || id == "reverse-hyper";
    let on_machine = || {
        let kits = kb.table.kits_of(row);
        !kits.is_empty() && kits.iter().all(|k| kb.kit_names(*k).any(|q| machine(&q.id)))
    };
    r.counted == Counted::Stack || (r.counted == Counted::Plates && on_machine())
}

/// The first set of another lift.
#[derive(Debug, Clone, PartialEq)]
pub struct Begin<'k> {
    /// Row of the lift.
    pub row: usize,
    /// Its ratio to the known one.
    pub ratio: Ratio,
    /// The ratio for this lifter: women's own where the base has it.
    pub range: Range,
    /// Its best, by best and ratio, in its own count.
    pub best: Range,
    /// The situation it was worked out for.
    pub situation: Situation,
    /// Whether the lifter said so.
    pub said: bool,
    /// Load to begin with before it is rounded to what there is, in its own count.
    pub wanted: Kg,
    /// Load that most would begin with, likewise.
    pub usual: Kg,
    /// The factors, first for the load to begin with, then for the usual one.
    pub factors: Vec<Factor<'k>>,
    /// Whether the load is the first of a ramp.
    pub ramp: bool,
    /// Repetitions of a set.
    pub repetitions: f64,
    /// Repetitions in reserve.
    pub reserve: f64,
    /// Sets.
    pub sets: Sets,
    /// The body's part, of a lift with the body.
    pub body: Option<BodyPart<'k>>,
    /// What is put together; none for the body alone.
    pub carried: Option<Carried<'k>>,
    /// What is put together for the usual load; none where that is no more, or the body alone.
    pub carried_usual: Option<Carried<'k>>,
}

impl Begin<'_> {
    /// The load to begin with as it can be built, in the lift's own count; with the body's part.
    #[must_use]
    pub fn load(&self) -> Kg {
        let body = self.body.map_or(Kg(0.0), |b| b.mass);
        self.carried.as_ref().map_or(body, |c| c.load + body)
    }
}

/// Why no load can be told.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NoBegin {
    /// The lifts cannot be compared.
    #[error(transparent)]
    Ratio(#[from] NoRatio),
    /// Repetitions, pain or weeks off that no load follows from.
    #[error(transparent)]
    Start(#[from] StartError),
    /// The gym does not make it up.
    #[error(transparent)]
    Carry(#[from] CarryError),
    /// The body alone is more than the load.
    #[error("the body alone is {body}, more than the {wanted} to begin with")]
    BodyIsMore {
        /// Load to begin with.
        wanted: Kg,
        /// The body's part.
        body: Kg,
    },
}

impl From<OutOfBounds> for NoBegin {
    fn from(problem: OutOfBounds) -> Self {
        Self::Start(problem.into())
    }
}

/// Part of the body's share that a start may lie below it and still be the body alone: no share is
/// known better (practice).
const BODY_SLACK: f64 = 0.02;

/// The first set of the lift in row `to`, from what is known of another or of itself.
///
/// # Errors
/// [`NoBegin`] where the two cannot be compared, pain stops the lift, or the gym makes up no load
/// so light.
pub fn begin<'k>(
    graph: &Graph<'k>,
    known: &Known<'k>,
    to: usize,
    target: &Target,
    inventory: &Inventory,
    unit: MassUnit,
) -> Result<Begin<'k>, NoBegin> {
    let kb = graph.kb();
    let ratio = graph.between(known.row, to)?;
    let range = own_range(&ratio, known.lifter);
    let situation = target.situation.unwrap_or_else(|| usual_situation(kb, known.row, to));
    let first_exposure =
        matches!(situation, Situation::Variant | Situation::NewPattern | Situation::UnknownMachine) && known.row != to;
    let used = if first_exposure { range } else { Range { low: range.typical, ..range } };
    let reserve = target.reserve.or_else(|| usual_reserve(kb, situation, target.repetitions));
    let ask = Ask {
        best: known.best.best,
        ratio: used,
        repetitions: target.repetitions,
        reserve,
        situation,
        weeks_off: target.weeks_off,
        pain: target.pain,
    };
    let started = start::start(&kb.loads, &ask)?;
    let body = body_part(kb, to, known.lifter);
    let part = body.map_or(Kg(0.0), |b| b.mass);
    let build = |wanted: Kg| -> Result<Option<Carried<'k>>, NoBegin> {
        if body.is_none() {
            return Ok(Some(carried(kb, inventory, to, wanted, unit)?));
        }
        if wanted < part * (1.0 - BODY_SLACK) {
            return Err(NoBegin::BodyIsMore { wanted, body: part });
        }
        match carried(kb, inventory, to, wanted - part, unit) {
            Ok(carried) => Ok(Some(carried)),
            Err(CarryError::NoKit) => Err(CarryError::NoKit.into()),
            // Less than the lightest thing that could be hung on is nothing.
            Err(_) => Ok(None),
        }
    };
    let carried = build(started.cautious)?;
    let more = |c: &Carried<'_>| carried.as_ref().is_none_or(|least| c.load > least.load);
    let carried_usual = build(started.usual).ok().flatten().filter(more);
    let best = Range {
        typical: known.best.best.get() * range.typical,
        low: known.best.low.get() * range.low,
        high: known.best.high.get() * range.high,
    };
    Ok(Begin {
        row: to,
        ratio,
        range,
        best,
        situation,
        said: target.situation.is_some(),
        wanted: started.cautious,
        usual: started.usual,
        factors: started.factors,
        ramp: started.ramp,
        repetitions: target.repetitions,
        reserve: started.reserve,
        sets: started.sets,
        body,
        carried,
        carried_usual,
    })
}

/// The ratio with the typical value of the lifter's own sex, where the base has one for it.
fn own_range(ratio: &Ratio, lifter: Lifter) -> Range {
    let Range { low, high, .. } = ratio.range;
    match (lifter.people, ratio.women) {
        (Some(People::Women), Some(typical)) => Range { typical, low: low.min(typical), high: high.max(typical) },
        _ => ratio.range,
    }
}

/// The most reserve that the situation asks for and that the chart still reads, not below its
/// least.
fn usual_reserve(kb: &Kb, situation: Situation, repetitions: f64) -> Option<f64> {
    let session = kb.loads.situations.iter().find(|s| s.situation == situation)?;
    let room = f64::from(kb.loads.refuse_above) - repetitions;
    Some(session.reserve_high.min(room.max(session.reserve_low)))
}
