//! The ways of doing each row of a week: as it stands, with fewer sets, on another day, with another
//! exercise, or not at all; and rows that may be put on.
//!
//! Leans on the ranking for stand-ins. Leaves to others: which of them are taken ([`super::model`])
//! and the load of a new exercise. Costs are data (`mending` in `kb/week.json`).

use super::limits::{HUNDRED, Promised, tally};
use super::model::Way;
use super::{Change, Setting, first_load};
use crate::kb::Kb;
use crate::kb::check::is_training;
use crate::kb::raw::{Aim, MassUnit, Mending, Role};
use crate::load::carryover::Graph;
use crate::rank::gates::joint_grade;
use crate::rank::{Question, rank};
use crate::week::audit::{self, Audit};
use crate::week::count::{self, DEMANDING, Fact, HIGH, share_of_set};
use crate::week::data::{Day, Row, Week, Work, WorkUnit};

/// A way with the row that it makes.
#[derive(Debug, Clone, PartialEq)]
pub struct Done {
    /// What becomes of the row.
    pub change: Change,
    /// The row; none where nothing is done.
    pub row: Option<Row>,
    /// What it means for the week.
    pub way: Way,
}

/// All ways.
#[derive(Debug, Clone, PartialEq)]
pub struct Ways {
    /// Of the rows of the week, then of those that may be put on; the first way of each is the row
    /// as it stands, or nothing.
    pub rows: Vec<Vec<Done>>,
}

/// Thousandths of a change.
fn thousandths(cost: f64) -> u32 {
    (cost * 1000.0).round().max(0.0) as u32
}

impl Ways {
    /// The ways of a week that was audited as `before`.
    pub fn of(kb: &Kb, week: &Week, before: &Audit<'_>, promised: &Promised, setting: &Setting<'_>) -> Self {
        let maker = Maker::new(kb, setting, promised);
        let used: Vec<Day> = before.days.iter().map(|d| d.day).collect();
        let mut known: Vec<(usize, Vec<(usize, u32)>)> = Vec::new();
        let mut rows: Vec<Vec<Done>> = Vec::with_capacity(week.rows().len());
        for (at, row) in week.rows().iter().enumerate() {
            let stand_ins = match known.iter().find(|(exercise, _)| *exercise == row.exercise) {
                Some((_, found)) => found.clone(),
                None => {
                    let found = maker.stand_ins(row);
                    known.push((row.exercise, found.clone()));
                    found
                }
            };
            // Of two changes alike, that to the later row is the smaller.
            let later = (week.rows().len() - at) as u32;
            rows.push(maker.ways(week, at, row, &used, &stand_ins, later));
        }
        Self { rows }
    }

    /// The ways of putting something on for each wanted pattern that is missing, beside the rows as
    /// they stand: nothing that loads what is sore at all.
    pub fn of_missing(kb: &Kb, week: &Week, before: &Audit<'_>, promised: &Promised, setting: &Setting<'_>) -> Self {
        let maker = Maker::new(kb, setting, promised);
        let used: Vec<Day> = before.days.iter().map(|d| d.day).collect();
        let stands = week.rows().iter().map(|row| vec![maker.done(Change::Kept, row.clone(), 0)]);
        let more = promised.missing.iter().map(|pattern| maker.additions(week, *pattern, &used));
        Self { rows: stands.chain(more).collect() }
    }
}

/// Stand-ins of a row that ease its tier or a sore region, best first.
pub fn lighter(kb: &Kb, row: &Row, setting: &Setting<'_>) -> Vec<Row> {
    let promised = Promised { limits: Default::default(), stacked: Vec::new(), missing: Vec::new() };
    let maker = Maker::new(kb, setting, &promised);
    maker.stand_ins(row).into_iter().map(|(to, _)| maker.swapped(row, to)).collect()
}

/// The limit of `row-after-hinge`: the greatest share of the best that is still light.
fn light_row(kb: &Kb, setting: &Setting<'_>) -> f64 {
    kb.week.rule("row-after-hinge").and_then(|r| r.limit(setting.audit.level)).unwrap_or(0.0)
}

struct Maker<'a> {
    kb: &'a Kb,
    setting: &'a Setting<'a>,
    promised: &'a Promised,
    costs: &'a Mending,
    light_row: f64,
    graph: Graph<'a>,
}

impl<'a> Maker<'a> {
    fn new(kb: &'a Kb, setting: &'a Setting<'a>, promised: &'a Promised) -> Self {
        let (costs, light_row) = (&kb.week.mending, light_row(kb, setting));
        Self { kb, setting, promised, costs, light_row, graph: Graph::new(kb) }
    }

    /// What a row means for the week.
    fn way(&self, row: &Row, cost: u32) -> Way {
        let kb = self.kb;
        let fact = Fact::without_dose(kb, row);
        let exercise = row.exercise;
        let sore = self.setting.audit.sore;
        let muscle = |m: usize| ((share_of_set(kb, exercise, m).1 * HUNDRED).round() as u32) * fact.hard;
        let graded = |region: usize| kb.table.grades_of(exercise).get(region).copied().unwrap_or(0) >= DEMANDING;
        let stacked = self.promised.limits.stacked.iter().filter(|(region, _)| graded(*region));
        let side = |patterns: &[String]| if fact.is_in(kb, patterns) { fact.hard } else { 0 };
        let balances = kb.week.balances.iter().enumerate();
        let wanted = kb.week.spacing.wanted.iter().enumerate();
        Way {
            cost,
            day: Some(row.day),
            exercise,
            points: fact.points,
            top_sets: if fact.tier == HIGH { fact.hard } else { 0 },
            heavy: audit::is_heavy(kb, &fact),
            hinge_sets: if audit::is_hinge(kb, &fact) { fact.hard } else { 0 },
            open_row: audit::is_free_row(kb, &fact) && !audit::is_light_row(&fact, self.light_row),
            heavy_pull: audit::is_heavy_pull(kb, &fact),
            muscles: (0..kb.muscles.len()).map(|m| (m, muscle(m))).filter(|(_, sets)| *sets > 0).collect(),
            stacked: stacked.map(|(region, _)| (*region, fact.hard)).collect(),
            tally: sore.iter().enumerate().map(|(at, s)| (at, tally(kb, s, &fact))).collect(),
            beyond: (0..sore.len())
                .filter(|at| sore.get(*at).is_some_and(|s| audit::is_beyond(kb, s, exercise)))
                .collect(),
            no_kit: !audit::can_do(kb, self.setting.audit.inventory, row),
            patterns: wanted
                .filter(|(_, id)| fact.hard > 0 && fact.is_in(kb, std::slice::from_ref(*id)))
                .map(|(at, _)| at)
                .collect(),
            balances: balances.map(|(at, b)| (at, side(&b.left.patterns), side(&b.right.patterns))).collect(),
        }
    }

    fn done(&self, change: Change, row: Row, cost: u32) -> Done {
        Done { change, way: self.way(&row, cost), row: Some(row) }
    }

    fn ways(
        &self,
        week: &Week,
        at: usize,
        row: &Row,
        used: &[Day],
        stand_ins: &[(usize, u32)],
        later: u32,
    ) -> Vec<Done> {
        let kb = self.kb;
        let mut out = vec![self.done(Change::Kept, row.clone(), 0)];
        if self.setting.keep.contains(&at) {
            return out;
        }
        let main = kb.table.rows.get(row.exercise).is_some_and(|r| r.role == Role::Main);
        let more = later + if main { thousandths(self.costs.main_lift) } else { 0 };
        for to in LEAST_SETS..row.sets {
            let off = thousandths(self.costs.set_off * f64::from(row.sets - to));
            out.push(self.done(Change::Cut { to }, Row { sets: to, ..row.clone() }, off + more));
        }
        let stands = |day: Day, exercise: usize| week.rows().iter().any(|r| r.day == day && r.exercise == exercise);
        for to in row.sets + 1..=row.sets + MORE_SETS {
            let on = thousandths(self.costs.set_on * f64::from(to - row.sets));
            out.push(self.done(Change::Raised { to }, Row { sets: to, ..row.clone() }, on + more));
        }
        for to in Day::ALL.into_iter().filter(|day| *day != row.day && !stands(*day, row.exercise)) {
            let free = if used.contains(&to) { 0.0 } else { self.costs.move_to_free_day };
            // Nearer days first, in thousandths.
            let far = u32::from(row.day.days_to(to).min(to.days_to(row.day)));
            let cost = thousandths(self.costs.move_day + free) + FARTHER * far + more;
            out.push(self.done(Change::Moved { to }, Row { day: to, ..row.clone() }, cost));
        }
        for (to, loss) in stand_ins.iter().filter(|(to, _)| !stands(row.day, *to)) {
            let cost = thousandths(self.costs.swap) + loss + more;
            out.push(self.done(Change::Swapped { to: *to }, self.swapped(row, *to), cost));
        }
        let cost = thousandths(self.costs.drop) + more;
        out.push(Done { change: Change::Dropped, row: None, way: Way { cost, ..Way::default() } });
        out
    }

    /// The row with another exercise; its load is worked out once it is taken.
    fn swapped(&self, row: &Row, to: usize) -> Row {
        let within = |reps: u16| match self.kb.table.rows.get(to) {
            Some(r) if row.work.unit != WorkUnit::Metres => reps.max(r.reps_low).min(r.reps_high.max(r.reps_low)),
            _ => reps,
        };
        let work = Work { unit: row.work.unit, low: within(row.work.low), high: within(row.work.high) };
        Row { exercise: to, work, load: None, weeks_on: None, weeks_flat: None, ..row.clone() }
    }

    /// Stand-ins of a row that ease what is asked, best first, each with what it costs beside the
    /// swap; none for a row that there is nothing to ease about.
    fn stand_ins(&self, row: &Row) -> Vec<(usize, u32)> {
        let (kb, audit) = (self.kb, &self.setting.audit);
        let tier = |exercise: usize| kb.tiers.get(exercise).copied().unwrap_or(0);
        let grade = |exercise: usize, region: usize| kb.table.grades_of(exercise).get(region).copied().unwrap_or(0);
        let cannot = !audit::can_do(kb, audit.inventory, row);
        let eases = |to: usize| {
            let stacked = &self.promised.stacked;
            let off = |region: &usize| grade(row.exercise, *region) >= DEMANDING && grade(to, *region) < DEMANDING;
            cannot
                || tier(to) < tier(row.exercise)
                || audit.sore.iter().any(|s| joint_grade(kb, s, to) < joint_grade(kb, s, row.exercise))
                || stacked.iter().any(off)
        };
        let nothing = !cannot && tier(row.exercise) == 0 && audit.sore.is_empty() && self.promised.stacked.is_empty();
        if nothing {
            return Vec::new();
        }
        let spine = kb.table.rows.get(row.exercise).map_or(0, |r| r.spine);
        let mut question = Question {
            original: row.exercise,
            sore: audit.sore,
            inventory: audit.inventory,
            aim: aim_of(row),
            max_spine: None,
            skill: None,
            skip: &[],
            top: LOOKED_AT,
            explain: false,
        };
        let mut picks = rank(kb, &question).picks;
        if let Some(below) = spine.checked_sub(1) {
            question.max_spine = Some(below);
            picks.extend(rank(kb, &question).picks);
        }
        picks.sort_by(|a, b| b.points.cmp(&a.points).then_with(|| kb.ids.get(a.row).cmp(&kb.ids.get(b.row))));
        let mut out: Vec<(usize, u32)> = Vec::with_capacity(self.costs.stand_ins);
        for pick in picks.iter().filter(|p| p.reservation.is_none()) {
            if out.len() >= self.costs.stand_ins {
                break;
            }
            let fits = eases(pick.row)
                && self.is_same_work(row, pick.row)
                && self.is_as_hard(row, pick.row)
                && !audit.sore.iter().any(|s| audit::is_beyond(kb, s, pick.row))
                && self.has_first_load(row, &self.swapped(row, pick.row));
            if fits && !out.iter().any(|(known, _)| *known == pick.row) {
                let loss = self.costs.swap_loss * ((1.0 - pick.coverage) + (1.0 - pick.score / HUNDRED)) / 2.0;
                out.push((pick.row, thousandths(loss)));
            }
        }
        out
    }

    /// Whether the gym can do a row in place of another, with a load to begin with.
    fn has_first_load(&self, row: &Row, swapped: &Row) -> bool {
        let found = || first_load(self.kb, &self.graph, row, swapped, self.setting);
        audit::can_do(self.kb, self.setting.audit.inventory, swapped)
            && !found().is_err_and(|none| none.is_of_the_gym())
    }

    /// Whether a set of another exercise is hard at about as many repetitions: what only tires after
    /// many more is no stand-in for heavy work.
    fn is_as_hard(&self, row: &Row, exercise: usize) -> bool {
        let least = self.kb.table.rows.get(exercise).map_or(0, |r| r.reps_low);
        row.work.unit != WorkUnit::Repetitions || least <= row.work.high + self.costs.repetitions_more
    }

    /// Whether the sets of a row could be done with another exercise: repetitions, time or distance.
    fn is_same_work(&self, row: &Row, exercise: usize) -> bool {
        let Some(r) = self.kb.table.rows.get(exercise) else { return false };
        let carry = count::is_in(self.kb, exercise, &self.kb.week.spacing.anywhere);
        match row.work.unit {
            WorkUnit::Repetitions => !r.holds && !carry,
            WorkUnit::Seconds => r.holds,
            WorkUnit::Metres => carry,
        }
    }

    /// Ways of putting on a row of a wanted pattern, nothing first.
    fn additions(&self, week: &Week, pattern: usize, used: &[Day]) -> Vec<Done> {
        let (kb, setting) = (self.kb, &self.setting.audit);
        let mut out = vec![Done { change: Change::Kept, row: None, way: Way::default() }];
        let Some(wanted) = kb.week.spacing.wanted.get(pattern) else { return out };
        let plain = |exercise: &usize| {
            kb.table.rows.get(*exercise).is_some_and(|r| is_training(r.role) && r.skill <= MOST_SKILL && !r.holds)
                && kb.tiers.get(*exercise).is_some_and(|t| *t <= MOST_TIER)
                && count::is_in(kb, *exercise, std::slice::from_ref(wanted))
                && setting.sore.iter().all(|s| joint_grade(kb, s, *exercise) == 0)
        };
        let mut found: Vec<usize> = (0..kb.len()).filter(plain).collect();
        let usual = |e: usize| kb.table.rows.get(e).map_or(0, |r| r.usual);
        found.sort_by(|a, b| usual(*b).cmp(&usual(*a)).then_with(|| kb.ids.get(*a).cmp(&kb.ids.get(*b))));
        let row = |exercise: usize, day: Day| {
            let (low, high) = kb.table.rows.get(exercise).map_or((1, 1), |r| (r.reps_low, r.reps_high));
            let reps = ADDED_REPETITIONS.max(low).min(high.max(low));
            Row {
                day,
                exercise,
                sets: self.costs.added_sets,
                work: Work { unit: WorkUnit::Repetitions, low: reps, high: reps },
                load: None,
                unit: week.rows().first().map_or(MassUnit::Kg, |r| r.unit),
                reserve: None,
                weeks_on: None,
                weeks_flat: None,
                note: String::new(),
                line: 0,
            }
        };
        let here = used.first().copied();
        found.retain(|e| here.is_some_and(|day| audit::can_do(kb, setting.inventory, &row(*e, day))));
        for (place, exercise) in found.iter().take(ADDED_KINDS).enumerate() {
            let cost = thousandths(self.costs.set_on * f64::from(self.costs.added_sets)) + WORSE * place as u32;
            out.extend(
                used.iter()
                    .enumerate()
                    .map(|(at, day)| self.done(Change::Added, row(*exercise, *day), cost + at as u32)),
            );
        }
        out
    }
}

/// What a row is for, by its repetitions: few are for strength (practice).
fn aim_of(row: &Row) -> Aim {
    match row.work.unit {
        WorkUnit::Repetitions if row.work.high <= STRENGTH_REPETITIONS => Aim::Strength,
        WorkUnit::Repetitions => Aim::Size,
        WorkUnit::Seconds | WorkUnit::Metres => Aim::General,
    }
}

/// Most repetitions of a set for strength (practice).
const STRENGTH_REPETITIONS: u16 = 6;

/// Most sets that are put on a row.
const MORE_SETS: u16 = 2;
/// Fewest sets that a row is cut to.
const LEAST_SETS: u16 = 2;
/// What each day farther away adds to the cost of a move, thousandths.
const FARTHER: u32 = 20;
/// What each further place adds to the cost of a row put on, thousandths.
const WORSE: u32 = 30;
/// How many places of a ranking are looked at.
const LOOKED_AT: usize = 60;
/// How many exercises are offered for a wanted pattern, of at most this tier and skill.
const ADDED_KINDS: usize = 4;
const MOST_TIER: u8 = 1;
const MOST_SKILL: u8 = 3;
/// Repetitions of a row put on, where its range holds them.
const ADDED_REPETITIONS: u16 = 8;
