//! What is counted of a week: hard sets, tiers, points, muscles, joints, patterns.
//!
//! Leans on the figures of `kb/week.json` and on the chart of bests. Leaves to others: what is too
//! much or too little ([`super::audit`]).

use super::data::{Row, WorkUnit};
use super::dose::{self, Dose};
use crate::kb::Kb;
use crate::kb::check::is_training;
use crate::kb::raw::{Counted, Support};
use crate::load::rep_max;
use crate::mechanics::anthropometry::Body;

/// How many tiers there are.
pub const TIERS: usize = 4;
/// The highest of them.
pub const HIGH: u8 = 3;
/// The one below.
pub const MODERATE: u8 = 2;

/// One row with what is counted of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Fact<'w> {
    /// The row.
    pub row: &'w Row,
    /// A coach's tier of load along the spine, 0 to 3.
    pub tier: u8,
    /// Hard sets: all of the row's, or none.
    pub hard: u32,
    /// Points of spine load.
    pub points: u32,
    /// Share of the best for one repetition, per cent, by the chart; none for time, distance and
    /// sets longer than the chart.
    pub percent: Option<f64>,
    /// Relative spinal loading; none where the model takes no such load.
    pub dose: Option<Dose>,
}

impl<'w> Fact<'w> {
    /// Counts one row.
    #[must_use]
    pub fn of(kb: &Kb, row: &'w Row, body: &Body) -> Self {
        Self { dose: dose::of_row(kb, row, body).ok(), ..Self::without_dose(kb, row) }
    }

    /// Counts one row but for its relative spinal loading, which costs far more than all the rest.
    #[must_use]
    pub fn without_dose(kb: &Kb, row: &'w Row) -> Self {
        let tier = kb.tiers.get(row.exercise).copied().unwrap_or(0);
        let percent = percent(kb, row);
        let hard = if is_hard(kb, row, percent) { u32::from(row.sets) } else { 0 };
        let points = hard * u32::from(kb.week.points(tier));
        Self { row, tier, hard, points, percent, dose: None }
    }

    /// Whether the exercise stands in one of these patterns or branches.
    #[must_use]
    pub fn is_in(&self, kb: &Kb, patterns: &[String]) -> bool {
        is_in(kb, self.row.exercise, patterns)
    }
}

/// Whether an exercise stands in one of these patterns or branches.
#[must_use]
pub fn is_in(kb: &Kb, exercise: usize, patterns: &[String]) -> bool {
    let pattern = kb.table.rows.get(exercise).map_or(usize::MAX, |r| usize::from(r.pattern));
    let path = kb.pattern_paths.get(pattern).map(Vec::as_slice).unwrap_or_default();
    path.iter().filter_map(|at| kb.patterns.get(usize::from(*at))).any(|p| patterns.contains(&p.id))
}

/// Share of the best for one repetition that a row's load is, per cent: the chart read at the
/// fewest repetitions of the row and those left in reserve.
#[must_use]
pub fn percent(kb: &Kb, row: &Row) -> Option<f64> {
    if row.work.unit != WorkUnit::Repetitions {
        return None;
    }
    let reserve = row.reserve.unwrap_or(kb.week.hard.assumed_reserve);
    rep_max::percent(&kb.loads, f64::from(row.work.low) + reserve).ok().map(|p| p.get())
}

/// Whether the sets of a row are hard ones: near enough to the last repetition and long or heavy
/// enough. What the row does not say is taken for hard. Light protective work never is.
fn is_hard(kb: &Kb, row: &Row, percent: Option<f64>) -> bool {
    let hard = &kb.week.hard;
    let training = kb.table.rows.get(row.exercise).is_some_and(|r| is_training(r.role));
    let near = row.reserve.is_none_or(|left| left <= hard.most_reserve);
    let long = row.work.unit != WorkUnit::Repetitions || row.work.high >= hard.least_repetitions;
    let heavy = percent.is_some_and(|p| p >= hard.least_percent);
    training && (heavy || (near && long))
}

/// Sets of one muscle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MuscleSets {
    /// Position of the muscle.
    pub muscle: usize,
    /// Sets in fractions: those of a main mover, and shares of those of a helper.
    pub sets: f64,
    /// Those of them that it moves as a main mover.
    pub direct: f64,
}

/// What a set of an exercise counts for a muscle: as a main mover or not, and how much.
#[must_use]
pub fn share_of_set(kb: &Kb, exercise: usize, muscle: usize) -> (bool, f64) {
    let counting = &kb.week.counting;
    let weight = f64::from(kb.table.muscles_of(exercise).get(muscle).copied().unwrap_or(0)) / 100.0;
    if weight <= 0.0 {
        return (false, 0.0);
    }
    if weight >= counting.direct_from {
        return (true, counting.direct);
    }
    if weight < counting.indirect_from {
        return (false, 0.0);
    }
    match kb.muscles.get(muscle) {
        Some(m) if m.holds => {
            let bar = kb.table.rows.get(exercise).is_some_and(|r| r.counted == Counted::Bar);
            let standing = || kb.exercise(exercise).is_some_and(|e| e.support == Support::Standing);
            let counts = counting.holding_muscles.contains(&m.id) && bar && standing();
            (false, if counts { counting.holding } else { 0.0 })
        }
        _ => (false, counting.indirect),
    }
}

/// Sets of every muscle, in order of the base.
#[must_use]
pub fn muscles(kb: &Kb, facts: &[Fact<'_>]) -> Vec<MuscleSets> {
    let all = 0..kb.muscles.len();
    let of = |muscle: usize| {
        // Hundredths of a set, so that the sum is the same in every order.
        let (mut sets, mut direct) = (0u64, 0u64);
        for fact in facts.iter().filter(|f| f.hard > 0) {
            let (mover, share) = share_of_set(kb, fact.row.exercise, muscle);
            let counted = (share * 100.0).round() as u64 * u64::from(fact.hard);
            sets += counted;
            direct += if mover { counted } else { 0 };
        }
        MuscleSets { muscle, sets: sets as f64 / 100.0, direct: direct as f64 / 100.0 }
    };
    all.map(of).collect()
}

/// Load on one region over the week.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct RegionSets {
    /// Position of the region.
    pub region: usize,
    /// Sum of hard sets times their grade, 0 to 4.
    pub graded: u32,
    /// Hard sets graded 3 or 4 there.
    pub demanding: u32,
    /// Highest grade of the week.
    pub highest: u8,
}

/// Grade from which a set asks much of a region.
pub const DEMANDING: u8 = 3;

/// Load on every region, in order of the base.
#[must_use]
pub fn regions(kb: &Kb, facts: &[Fact<'_>]) -> Vec<RegionSets> {
    let of = |region: usize| {
        let mut out = RegionSets { region, graded: 0, demanding: 0, highest: 0 };
        for fact in facts.iter().filter(|f| f.hard > 0) {
            let grade = kb.table.grades_of(fact.row.exercise).get(region).copied().unwrap_or(0);
            out.graded += fact.hard * u32::from(grade);
            out.demanding += if grade >= DEMANDING { fact.hard } else { 0 };
            out.highest = out.highest.max(grade);
        }
        out
    };
    (0..kb.regions.len()).map(of).collect()
}

/// Hard sets of patterns or branches.
#[must_use]
pub fn sets_in(kb: &Kb, facts: &[Fact<'_>], patterns: &[String]) -> u32 {
    facts.iter().filter(|f| f.is_in(kb, patterns)).map(|f| f.hard).sum()
}
