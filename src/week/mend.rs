//! The smallest change to a week that clears its findings.
//!
//! Leans on the audit of the week, the ranking and first loads. Leaves to others: how a row may be
//! done (`ways`), what is asked of the week (`limits`), the search itself ([`model`], [`solve`]),
//! and how the changes are told ([`crate::ask`]). What is cleared is read off the audit of the
//! mended week, never taken for granted.

mod limits;
pub mod model;
pub mod solve;
pub(super) mod ways;

use std::time::Duration;

use super::audit::{self, Audit, Finding, RULES};
use super::count::Fact;
use super::data::{Day, Row, Week, WorkUnit};
use crate::kb::Kb;
use crate::kb::raw::People;
use crate::load::begin::{Known, Lifter, NoBegin, NoBest, Set, Target, begin};
use crate::load::carryover::{Graph, NoRatio};
use crate::units::Kg;
use limits::Promised;
use model::{Ask, Error, GivenUp, Limits, Mended as Solved, Model};
use ways::{Done, Ways};

/// What a week is mended for.
#[derive(Debug, Clone, Copy)]
pub struct Setting<'a> {
    /// What it is audited for.
    pub audit: audit::Setting<'a>,
    /// Positions of rows that stay as they are.
    pub keep: &'a [usize],
    /// How far the sets of a muscle may fall, per cent; as the base says when absent.
    pub tolerance_percent: Option<f64>,
    /// Men's or women's figures for the load of a new exercise, where they differ.
    pub people: Option<People>,
    /// Time for one search.
    pub limit: Duration,
}

/// What became of a row.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Change {
    /// Nothing.
    Kept,
    /// Fewer sets.
    Cut {
        /// Sets now.
        to: u16,
    },
    /// More sets.
    Raised {
        /// Sets now.
        to: u16,
    },
    /// Another day.
    Moved {
        /// Day now.
        to: Day,
    },
    /// Another exercise.
    Swapped {
        /// Row of the exercise in the base.
        to: usize,
    },
    /// Left out.
    Dropped,
    /// Put on.
    Added,
}

/// A row before and after.
#[derive(Debug, Clone, PartialEq)]
pub struct Mended {
    /// Position in the week as it was; none for a row that was put on.
    pub before: Option<usize>,
    /// Position in the mended week; none for a row left out.
    pub after: Option<usize>,
    /// What became of it.
    pub change: Change,
    /// Positions, among the findings of the week as it was, of those that are about the row and
    /// were cleared.
    pub clears: Vec<usize>,
    /// Why a new exercise has no load, where it has none.
    pub no_load: Option<String>,
}

/// A mend.
#[derive(Debug, Clone, PartialEq)]
pub struct Mend {
    /// The mended week.
    pub week: Week,
    /// Rows in the order of the week as it was, then those put on.
    pub rows: Vec<Mended>,
    /// Days whose rows were put in another order.
    pub reordered: Vec<Day>,
    /// What it costs, in thousandths of a change.
    pub cost: i64,
    /// What no mend can cost less than; the cost itself where it is proven to be the least.
    pub least: i64,
    /// Positions, among the findings of the week as it was, of those that are gone.
    pub cleared: Vec<usize>,
    /// What could not be met.
    pub given_up: Vec<GivenUp>,
}

impl Mend {
    /// Whether nothing cheaper can be.
    #[must_use]
    pub const fn proven(&self) -> bool {
        self.least >= self.cost
    }
}

/// Mends a week that was audited as `before`.
///
/// # Errors
/// [`Error`] where the search finds nothing in its time.
pub fn mend(kb: &Kb, week: &Week, before: &Audit<'_>, setting: &Setting<'_>) -> Result<Mend, Error> {
    let promised = Promised::of(kb, before, setting);
    let ways = Ways::of(kb, week, before, &promised, setting);
    let solved = model_of(&ways, promised.limits).solve_as_far_as_possible(setting.limit)?;
    let mut taken = taken_of(&ways, &solved.ways);
    let no_loads = with_loads(kb, week, &mut taken, setting);
    let more = with_missing(kb, week, &taken, setting)?;
    let solved = Solved {
        cost: solved.cost + more.cost,
        least: solved.least + more.least,
        given_up: [solved.given_up, more.given_up].concat(),
        ..solved
    };
    taken.extend(more.taken);
    let (mended, places) = assembled(week, &taken);
    let (mended, places, reordered) = in_order(kb, mended, places, setting);
    let after = audit::audit(kb, &mended, &setting.audit);
    let cleared: Vec<usize> = gone(&before.findings, &after.findings);
    let count = week.rows().len();
    let rows = taken.iter().enumerate().filter_map(|(at, done)| {
        let change = done.as_ref().map_or(Change::Kept, |d| d.change);
        let no_load = no_loads.iter().find(|(row, _)| *row == at).map(|(_, why)| why.clone());
        let before_at = (at < count).then_some(at);
        let after_at = places.iter().position(|p| *p == at);
        let about = |f: &&usize| before.findings.get(**f).is_some_and(|f| f.rows.contains(&at));
        let clears = match change {
            Change::Kept => Vec::new(),
            Change::Added => cleared
                .iter()
                .copied()
                .filter(|f| before.findings.get(*f).is_some_and(|f| rule_of(f) == "pattern-missing"))
                .collect(),
            _ => cleared.iter().filter(about).copied().collect(),
        };
        // What may be put on and is not is no row.
        (before_at.is_some() || after_at.is_some()).then_some(Mended {
            before: before_at,
            after: after_at,
            change,
            clears,
            no_load,
        })
    });
    Ok(Mend {
        rows: rows.collect(),
        week: mended.clone(),
        reordered,
        cost: solved.cost,
        least: solved.least,
        cleared,
        given_up: solved.given_up,
    })
}

fn model_of(ways: &Ways, limits: Limits) -> Model {
    Model { rows: ways.rows.iter().map(|row| row.iter().map(|d| d.way.clone()).collect()).collect(), limits }
}

fn taken_of(ways: &Ways, at: &[usize]) -> Vec<Option<Done>> {
    ways.rows.iter().zip(at).map(|(row, at)| row.get(*at).cloned()).collect()
}

/// What is put on.
struct More {
    taken: Vec<Option<Done>>,
    cost: i64,
    least: i64,
    given_up: Vec<GivenUp>,
}

/// What is put on for patterns that the changed week has nothing of, where that breaks no limit. It
/// is looked for once the rows stand, so that a missing pattern never changes one.
fn with_missing(kb: &Kb, week: &Week, taken: &[Option<Done>], setting: &Setting<'_>) -> Result<More, Error> {
    let (changed, _) = assembled(week, taken);
    let before = audit::audit(kb, &changed, &setting.audit);
    let promised = Promised::of(kb, &before, setting);
    let none = More { taken: Vec::new(), cost: 0, least: 0, given_up: Vec::new() };
    if promised.missing.is_empty() || changed.rows().is_empty() {
        return Ok(none);
    }
    let ways = Ways::of_missing(kb, &changed, &before, &promised, setting);
    let limits = Limits { missing: promised.missing.clone(), ..promised.limits };
    let solved = model_of(&ways, limits).solve_as_far_as_possible(setting.limit)?;
    let missed = |given_up: &GivenUp| matches!(given_up.ask, Ask::Missing(_));
    Ok(More {
        taken: taken_of(&ways, &solved.ways).split_off(changed.rows().len()),
        cost: solved.cost,
        least: solved.least,
        given_up: solved.given_up.into_iter().filter(missed).collect(),
    })
}

/// Puts the load of a first session into every row with a new exercise; tells of which there is
/// none, by its place, and why.
fn with_loads(kb: &Kb, week: &Week, taken: &mut [Option<Done>], setting: &Setting<'_>) -> Vec<(usize, String)> {
    let graph = Graph::new(kb);
    let mut none = Vec::new();
    for (at, done) in taken.iter_mut().enumerate() {
        let Some(Done { change: Change::Swapped { .. }, row: Some(row), .. }) = done else { continue };
        let Some(before) = week.rows().get(at) else { continue };
        match first_load(kb, &graph, before, row, setting) {
            Ok(load) => row.load = Some(load),
            Err(why) => none.push((at, why.to_string())),
        }
    }
    none
}

/// The load that a row with a new exercise begins with, from what the row said of the old one.
///
/// # Errors
/// [`NoLoad`].
pub fn first_load(kb: &Kb, graph: &Graph<'_>, before: &Row, after: &Row, setting: &Setting<'_>) -> Result<Kg, NoLoad> {
    if [before, after].iter().any(|row| row.work.unit != WorkUnit::Repetitions) {
        return Err(NoLoad::NotRepetitions);
    }
    let load = before.load.ok_or(NoLoad::Unsaid)?;
    let lifter = Lifter { mass: setting.audit.body.mass(), people: setting.people };
    // The fewest repetitions of a range are what the load is sure to be good for.
    let set = Set {
        load,
        repetitions: f64::from(before.work.low),
        reserve: before.reserve.unwrap_or(kb.week.hard.assumed_reserve),
    };
    let known = Known::new(graph, before.exercise, set, lifter)?;
    let target = Target {
        repetitions: f64::from(after.work.high),
        reserve: before.reserve,
        situation: None,
        weeks_off: 0,
        pain: None,
    };
    let begun = match begin(graph, &known, after.exercise, &target, setting.audit.inventory, before.unit) {
        Ok(begun) => begun,
        Err(NoBegin::Ratio(NoRatio::BodyIsLoad { .. }) | NoBegin::BodyIsMore { .. }) => return Ok(Kg(0.0)),
        Err(e) => return Err(e.into()),
    };
    match (&begun.carried, begun.body) {
        (Some(carried), _) => Ok(carried.load),
        (None, Some(_)) => Ok(Kg(0.0)),
        (None, None) => Err(NoLoad::Uncounted),
    }
}

/// Why a row with a new exercise has no load.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NoLoad {
    /// The work is not counted in repetitions.
    #[error("no best follows from time or distance")]
    NotRepetitions,
    /// The row says no load.
    #[error("the row says no load")]
    Unsaid,
    /// Nothing here takes a load that could be counted.
    #[error("nothing here takes a load that could be counted")]
    Uncounted,
    /// The set says no best.
    #[error(transparent)]
    NoBest(#[from] NoBest),
    /// None follows, or the gym makes none up.
    #[error(transparent)]
    None(#[from] NoBegin),
}

impl NoLoad {
    /// Whether a load would follow but cannot be put together here.
    #[must_use]
    pub const fn is_of_the_gym(&self) -> bool {
        matches!(self, Self::None(NoBegin::Carry(_)))
    }
}

/// The week with the ways taken, and for each of its rows which one of `taken` it is. A row that
/// comes from another day follows those of the day.
fn assembled(week: &Week, taken: &[Option<Done>]) -> (Week, Vec<usize>) {
    let mut rows: Vec<(Row, usize, bool)> = Vec::with_capacity(taken.len());
    for (at, done) in taken.iter().enumerate() {
        let Some(row) = done.as_ref().and_then(|d| d.row.clone()) else { continue };
        let came = week.rows().get(at).is_none_or(|before| before.day != row.day);
        rows.push((row, at, came));
    }
    rows.sort_by_key(|(row, at, came)| (row.day, *came, *at));
    let places = rows.iter().map(|(_, at, _)| *at).collect();
    (Week::new(rows.into_iter().map(|(row, _, _)| row).collect(), week.since_deload), places)
}

/// The week with the rows of each day in an order that the audit has nothing to say of, where the
/// order as it stands is told: what loads the spine most first, hinges before all else.
fn in_order(kb: &Kb, week: Week, places: Vec<usize>, setting: &Setting<'_>) -> (Week, Vec<usize>, Vec<Day>) {
    let told = |week: &Week| -> Vec<Day> {
        let audit = audit::audit(kb, week, &setting.audit);
        let mut days: Vec<Day> =
            audit.findings.iter().filter(|f| is_of_order(f)).flat_map(|f| f.days.clone()).collect();
        days.sort_unstable();
        days.dedup();
        days
    };
    let days = told(&week);
    if days.is_empty() {
        return (week, places, Vec::new());
    }
    let key = |row: &Row| {
        let fact = Fact::of(kb, row, setting.audit.body);
        let anywhere = fact.is_in(kb, &kb.week.spacing.anywhere);
        let tier = if anywhere || fact.hard == 0 { 0 } else { fact.tier };
        (std::cmp::Reverse(tier), !audit::is_hinge(kb, &fact))
    };
    let mut rows: Vec<(&Row, usize)> = week.rows().iter().zip(places.iter().copied()).collect();
    for day in rows.chunk_by_mut(|a, b| a.0.day == b.0.day) {
        if day.first().is_some_and(|(row, _)| days.contains(&row.day)) {
            day.sort_by_key(|(row, _)| key(row));
        }
    }
    let sorted: Vec<usize> = rows.iter().map(|(_, at)| *at).collect();
    let ordered = Week::new(rows.into_iter().map(|(row, _)| row.clone()).collect(), week.since_deload);
    // A day that is told as before stays as it was.
    let still = told(&ordered);
    let better = |day: Day| days.contains(&day) && !still.contains(&day);
    let mut out: Vec<(Row, usize)> = Vec::with_capacity(sorted.len());
    for day in Day::ALL {
        let (from, at) = if better(day) { (&ordered, &sorted) } else { (&week, &places) };
        out.extend(from.rows().iter().cloned().zip(at.iter().copied()).filter(|(row, _)| row.day == day));
    }
    let places = out.iter().map(|(_, at)| *at).collect();
    let changed = days.into_iter().filter(|day| !still.contains(day)).collect();
    (Week::new(out.into_iter().map(|(row, _)| row).collect(), week.since_deload), places, changed)
}

fn is_of_order(finding: &Finding) -> bool {
    rule_of(finding) == "order" || rule_of(finding) == "hinge-and-row-late"
}

/// Id of a finding's rule.
fn rule_of(finding: &Finding) -> &'static str {
    RULES.get(finding.rule).map_or("", |r| r.id)
}

/// Positions of findings that are gone: those that the mended week has none alike of.
fn gone(before: &[Finding], after: &[Finding]) -> Vec<usize> {
    let still = |f: &Finding| after.iter().any(|g| is_alike(f, g));
    before.iter().enumerate().filter(|(_, f)| !still(f)).map(|(at, _)| at).collect()
}

/// Whether two findings are about the same: by what each rule tells its findings apart.
#[must_use]
pub fn is_alike(a: &Finding, b: &Finding) -> bool {
    let head = |f: &Finding| f.words.split(':').next().unwrap_or_default().to_string();
    let same = match rule_of(a) {
        "kit" | "ceiling" | "stock" | "stock-step" | "check-number" => a.words == b.words,
        "joint-stack" | "sore" | "muscle-few" | "muscle-many" => head(a) == head(b),
        _ => a.days.is_empty() || b.days.is_empty() || a.days.iter().any(|d| b.days.contains(d)),
    };
    a.rule == b.rule && same
}
