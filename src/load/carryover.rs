//! How much of one lift another is: ratios between bests, with their range and how sure they are.
//!
//! Leans on the compiled base: pairs and equations of `kb/carryover.json`, the variation graph and
//! the typical loads. Leaves to others: the load of a first session, and how it is told
//! ([`crate::ask::carryover`]).
//!
//! A ratio is one repetition's best of the second lift over that of the first, each counted as its
//! own record counts it (see [`count`]). Where no pair is given, it is the product along the
//! cheapest path between the two:
//!
//! | step | costs | spread either way |
//! |---|---|---|
//! | a given pair, either way round | 2 | its own range, at least 15 % where it is one step of several |
//! | from a variation to its parent, or back | 3 | 15 % |
//! | between a lift and the anchor lift that its typical load is a share of | 10 | 20 % |
//!
//! 15 to 20 % is how far single lifters stand from a typical ratio (practice). Spreads of several
//! steps are taken as independent: their logarithms add in quadrature, so that a ratio and its
//! inverse have the same spread and every further step widens the range.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use crate::kb::Kb;
use crate::kb::raw::{BODY_ANCHOR, Counted, LoadCount, LoadEquation};
use crate::units::{Kg, trim};

/// How sure a ratio is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Confidence {
    /// Over a shared anchor lift, or over more steps than [`MOST_DERIVED`].
    Guess,
    /// Over given pairs and variations, a few steps.
    Derived,
    /// The base gives this pair, or it is one lift.
    Given,
}

/// Most steps of a ratio that is still derived (practice).
pub const MOST_DERIVED: usize = 3;

/// Spread of a step by a variation, and least spread of any step among several (practice).
pub const STEP_SPREAD: f64 = 0.15;

/// Spread of a step to or from an anchor lift (practice).
pub const ANCHOR_SPREAD: f64 = 0.20;

/// Where a step of a path comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum By {
    /// The pair at this place of the base's list.
    Pair {
        /// Place in the list.
        at: usize,
        /// Whether it is walked from its substitute to its known lift.
        turned: bool,
    },
    /// Typical loads of a variation and its parent, both shares of one anchor lift.
    Variation,
    /// The typical load of a lift as a share of its anchor lift.
    Anchor,
}

impl By {
    const fn cost(self) -> u32 {
        match self {
            Self::Pair { .. } => 2,
            Self::Variation => 3,
            Self::Anchor => 10,
        }
    }

    const fn turned(self) -> Self {
        match self {
            Self::Pair { at, turned } => Self::Pair { at, turned: !turned },
            other => other,
        }
    }

    /// Least spread of the step where it is one of several, as a logarithm.
    fn least_spread(self) -> f64 {
        match self {
            Self::Anchor => ANCHOR_SPREAD.ln_1p(),
            Self::Pair { .. } | Self::Variation => STEP_SPREAD.ln_1p(),
        }
    }
}

/// A range about a typical value.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range {
    /// Typical.
    pub typical: f64,
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

impl Range {
    /// The ratio the other way round.
    #[must_use]
    pub fn turned(self) -> Self {
        Self { typical: 1.0 / self.typical, low: 1.0 / self.high, high: 1.0 / self.low }
    }

    fn spread(typical: f64, by: f64) -> Self {
        Self { typical, low: typical / (1.0 + by), high: typical * (1.0 + by) }
    }

    fn times(self, factor: f64) -> Self {
        Self { typical: self.typical * factor, low: self.low * factor, high: self.high * factor }
    }
}

/// One step of a path.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Step {
    /// Row of the known lift.
    pub from: usize,
    /// Row of the other.
    pub to: usize,
    /// Where it comes from.
    pub by: By,
    /// Ratio of this step, each lift counted as its record counts it.
    pub ratio: Range,
}

impl Step {
    fn turned(self) -> Self {
        Self { from: self.to, to: self.from, by: self.by.turned(), ratio: self.ratio.turned() }
    }
}

/// A ratio between two lifts.
#[derive(Debug, Clone, PartialEq)]
pub struct Ratio {
    /// Typical ratio with its range.
    pub range: Range,
    /// Typical ratio of women, where the base gives another for them.
    pub women: Option<f64>,
    /// How sure it is.
    pub confidence: Confidence,
    /// The path; empty for one lift beside itself.
    pub steps: Vec<Step>,
}

impl Ratio {
    fn of(kb: &Kb, steps: Vec<Step>) -> Self {
        Self { range: combined(&steps), women: women(kb, &steps), confidence: confidence(&steps), steps }
    }

    /// The same path walked the other way.
    #[must_use]
    pub fn turned(self) -> Self {
        Self {
            range: self.range.turned(),
            women: self.women.map(|w| 1.0 / w),
            confidence: self.confidence,
            steps: self.steps.into_iter().rev().map(Step::turned).collect(),
        }
    }
}

/// Why two lifts have no ratio.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum NoRatio {
    /// The base has no such row.
    #[error("there is no row {row}")]
    NoSuchRow {
        /// Row asked for.
        row: usize,
    },
    /// A lift that is held or worked for a time.
    #[error("a lift counted in seconds has no best for one repetition")]
    InSeconds {
        /// Row of the lift.
        row: usize,
    },
    /// A lift without a load that can be counted: bands, stretches, isometric work.
    #[error("a lift without a counted load has no best to compare")]
    NoLoad {
        /// Row of the lift.
        row: usize,
    },
    /// A lift whose load is the body.
    #[error("the body is the load: about {} of body mass", trim(*.share))]
    BodyIsLoad {
        /// Row of the lift.
        row: usize,
        /// Share of body mass moved.
        share: f64,
    },
    /// Nothing known leads from one lift to the other.
    #[error("no pair, variation or anchor lift leads from one to the other")]
    Unlinked,
}

/// How the load of the exercise in `row` is counted when lifts are held side by side.
#[must_use]
pub fn count(kb: &Kb, row: usize) -> LoadCount {
    let Some(columns) = kb.table.rows.get(row) else { return LoadCount::Added };
    let body = |lift: usize| kb.table.rows.get(lift).is_some_and(|r| r.counted == Counted::Body);
    let on_body = anchor(kb, row).is_some_and(|a| a.id == BODY_ANCHOR) || anchor_lift(kb, row).is_some_and(body);
    LoadCount::of(columns.counted, on_body)
}

fn anchor(kb: &Kb, row: usize) -> Option<&crate::kb::raw::Anchor> {
    kb.anchor_of.get(row).and_then(|a| kb.anchors.get(usize::from(*a)))
}

/// Row of the anchor lift that the exercise in `row` is measured against.
fn anchor_lift(kb: &Kb, row: usize) -> Option<usize> {
    anchor(kb, row)?.exercise.as_deref().and_then(|id| kb.row_of(id))
}

fn share(kb: &Kb, row: usize) -> f64 {
    kb.anchor_share.get(row).copied().unwrap_or(0.0)
}

/// What a path has cost, and its number of steps.
type Spent = (u32, u32);

/// All steps between lifts that a base knows, ready to be asked many times.
pub struct Graph<'k> {
    kb: &'k Kb,
    /// Steps from each row.
    steps: Vec<Vec<Step>>,
    /// What keeps each row out, if anything does.
    apart: Vec<Option<NoRatio>>,
}

impl<'k> Graph<'k> {
    /// The steps of a base.
    #[must_use]
    pub fn new(kb: &'k Kb) -> Self {
        let mut named = vec![false; kb.len()];
        let pairs = kb.carryover_rows.iter().flat_map(|(from, to)| [*from as usize, *to as usize]);
        let lifts = kb.anchors.iter().filter_map(|a| a.exercise.as_deref()).filter_map(|id| kb.row_of(id));
        for row in pairs.chain(lifts) {
            if let Some(named) = named.get_mut(row) {
                *named = true;
            }
        }
        let apart: Vec<Option<NoRatio>> = named.iter().enumerate().map(|(row, named)| apart(kb, row, *named)).collect();
        let mut graph = Self { kb, steps: vec![Vec::new(); kb.len()], apart };
        for (at, (from, to)) in kb.carryover_rows.iter().enumerate() {
            graph.add_pair(at, *from as usize, *to as usize);
        }
        for row in 0..kb.len() {
            graph.add_variation(row);
            graph.add_anchor(row);
        }
        graph
    }

    /// The base that the steps are of.
    #[must_use]
    pub const fn kb(&self) -> &'k Kb {
        self.kb
    }

    fn add(&mut self, step: Step) {
        let apart = |row: usize| self.apart.get(row).is_none_or(Option::is_some);
        if step.from == step.to || apart(step.from) || apart(step.to) {
            return;
        }
        for step in [step, step.turned()] {
            if let Some(list) = self.steps.get_mut(step.from) {
                list.push(step);
            }
        }
    }

    fn add_pair(&mut self, at: usize, from: usize, to: usize) {
        let Some(pair) = self.kb.carryover.get(at) else { return };
        let range = Range { typical: pair.ratio, low: pair.low, high: pair.high };
        if let Some(factor) = own_count(self.kb, pair, from, to) {
            self.add(Step { from, to, by: By::Pair { at, turned: false }, ratio: range.times(factor) });
        }
    }

    fn add_variation(&mut self, row: usize) {
        let kb = self.kb;
        let Some(parent) = kb.table.rows.get(row).map(|r| r.parent as usize) else { return };
        let same = kb.anchor_of.get(row) == kb.anchor_of.get(parent);
        let (mine, theirs) = (share(kb, row), share(kb, parent));
        // Shares of the body say what is moved, not what could be: their ratio is none of bests.
        let body = [row, parent]
            .iter()
            .any(|r| count(kb, *r) == LoadCount::BodyAndAdded && anchor(kb, *r).is_some_and(|a| a.id == BODY_ANCHOR));
        if same && !body && mine > 0.0 && theirs > 0.0 {
            let ratio = Range::spread(mine / theirs, STEP_SPREAD);
            self.add(Step { from: parent, to: row, by: By::Variation, ratio });
        }
    }

    fn add_anchor(&mut self, row: usize) {
        if let Some(lift) = anchor_lift(self.kb, row) {
            let share = share(self.kb, row);
            if share > 0.0 {
                self.add(Step { from: lift, to: row, by: By::Anchor, ratio: Range::spread(share, ANCHOR_SPREAD) });
            }
        }
    }

    /// The ratio of the lift in row `to` to the one in row `from`.
    ///
    /// # Errors
    /// [`NoRatio`] with what keeps the two apart.
    pub fn between(&self, from: usize, to: usize) -> Result<Ratio, NoRatio> {
        for row in [from, to] {
            match self.apart.get(row) {
                None => return Err(NoRatio::NoSuchRow { row }),
                Some(Some(reason)) => return Err(*reason),
                Some(None) => {}
            }
        }
        // Walked from the lower row, so that both ways round take the same path.
        let steps = self.path(from.min(to), from.max(to)).ok_or(NoRatio::Unlinked)?;
        let ratio = Ratio::of(self.kb, steps);
        Ok(if from <= to { ratio } else { ratio.turned() })
    }

    /// The cheapest path; of equal ones that with fewer steps, then that over lower rows.
    fn path(&self, from: usize, to: usize) -> Option<Vec<Step>> {
        let mut best: Vec<Option<(Spent, Option<Step>)>> = vec![None; self.steps.len()];
        let mut open = BinaryHeap::new();
        *best.get_mut(from)? = Some(((0, 0), None));
        open.push(Reverse(((0, 0), from)));
        while let Some(Reverse((spent, here))) = open.pop() {
            if here == to {
                break;
            }
            if best.get(here).copied().flatten().is_none_or(|(least, _)| least < spent) {
                continue;
            }
            for step in self.steps.get(here).into_iter().flatten() {
                let spent = (spent.0 + step.by.cost(), spent.1 + 1);
                if let Some(slot) = best.get_mut(step.to)
                    && slot.is_none_or(|(least, _)| spent < least)
                {
                    *slot = Some((spent, Some(*step)));
                    open.push(Reverse((spent, step.to)));
                }
            }
        }
        let mut steps = Vec::new();
        let mut here = to;
        while here != from {
            let (_, step) = best.get(here).copied().flatten()?;
            let step = step?;
            here = step.from;
            steps.push(step);
        }
        steps.reverse();
        Some(steps)
    }
}

/// What keeps an exercise out of every ratio. A lift with the body stays in where a pair or an
/// anchor `named` it, for then body and added load are counted together.
fn apart(kb: &Kb, row: usize, named: bool) -> Option<NoRatio> {
    let columns = kb.table.rows.get(row)?;
    let share = share(kb, row);
    if columns.holds {
        Some(NoRatio::InSeconds { row })
    } else if share <= 0.0 || anchor(kb, row).is_none_or(|a| a.men_bm <= 0.0) {
        Some(NoRatio::NoLoad { row })
    } else {
        let on_body = anchor(kb, row).is_some_and(|a| a.id == BODY_ANCHOR);
        let body = on_body && count(kb, row) == LoadCount::BodyAndAdded;
        (body && !named).then_some(NoRatio::BodyIsLoad { row, share })
    }
}

/// What the ratio of a pair is multiplied by, so that both lifts are counted as their records do.
fn own_count(kb: &Kb, pair: &crate::kb::raw::CarryOver, from: usize, to: usize) -> Option<f64> {
    let (mine, theirs) = (pair.counted_from.factor_to(count(kb, from))?, pair.counted.factor_to(count(kb, to))?);
    Some(theirs / mine)
}

fn combined(steps: &[Step]) -> Range {
    match steps {
        [] => Range { typical: 1.0, low: 1.0, high: 1.0 },
        [only] => only.ratio,
        several => {
            let typical: f64 = several.iter().map(|s| s.ratio.typical).product();
            let quadrature = |spread: fn(&Range) -> f64| {
                let least = |s: &Step| spread(&s.ratio).max(s.by.least_spread());
                several.iter().map(|s| least(s).powi(2)).sum::<f64>().sqrt()
            };
            let down = quadrature(|r| (r.typical / r.low).ln());
            let up = quadrature(|r| (r.high / r.typical).ln());
            Range { typical, low: typical * (-down).exp(), high: typical * up.exp() }
        }
    }
}

fn women(kb: &Kb, steps: &[Step]) -> Option<f64> {
    let [Step { by: By::Pair { at, turned }, from, to, .. }] = steps else { return None };
    let pair = kb.carryover.get(*at)?;
    let (known, other) = if *turned { (*to, *from) } else { (*from, *to) };
    let ratio = pair.women? * own_count(kb, pair, known, other)?;
    Some(if *turned { 1.0 / ratio } else { ratio })
}

fn confidence(steps: &[Step]) -> Confidence {
    match steps {
        [] | [Step { by: By::Pair { .. }, .. }] => Confidence::Given,
        several if several.len() > MOST_DERIVED || several.iter().any(|s| s.by == By::Anchor) => Confidence::Guess,
        _ => Confidence::Derived,
    }
}

/// A load that an equation says nothing about.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum LineError {
    /// Outside the loads that the line was drawn for.
    #[error("{given} is outside {least} to {most}, which the equation is used for")]
    Outside {
        /// Load given.
        given: Kg,
        /// Least load.
        least: Kg,
        /// Greatest load.
        most: Kg,
    },
    /// The line gives nothing that could be lifted.
    #[error("the equation gives {0}, which is no load")]
    NoLoad(Kg),
}

/// What an equation makes of a load of the known lift, both for the equation's repetitions.
///
/// # Errors
/// [`LineError`] outside its range, and wherever the result would not be above zero.
pub fn along(line: &LoadEquation, load: Kg) -> Result<Kg, LineError> {
    let (least, most) = (Kg(line.least_kg), Kg(line.most_kg));
    if !(load >= least && load <= most) {
        return Err(LineError::Outside { given: load, least, most });
    }
    let made = load * line.slope + Kg(line.intercept_kg);
    if made > Kg(0.0) { Ok(made) } else { Err(LineError::NoLoad(made)) }
}
