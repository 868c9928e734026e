//! The audit of a week: sums by day and week, and what a careful coach would say of them.
//!
//! Leans on the counts of [`super::count`], the gym and the sore regions. Leaves to others: names
//! and looks ([`crate::ask`]). Limits are data (`kb/week.json`); [`RULES`] says what each rule asks.
//! Weeks are taken to repeat, so that Monday follows Sunday. Only the rules on order look at the
//! order of rows within a day.

use std::collections::BTreeMap;

use super::count::{self, Fact, HIGH, MODERATE, MuscleSets, RegionSets, TIERS};
use super::data::{DAYS, Day, Row, Week, WorkUnit};
use super::dose::{self, Dose};
use crate::gym::loading::{Carry, Loading, LoadingError};
use crate::gym::{Inventory, carry, one_item_short};
use crate::kb::Kb;
use crate::kb::raw::{Counted, Role, TooFewOrMany, Training};
use crate::mechanics::anthropometry::Body;
use crate::rank::Sore;
use crate::rank::gates::{joint_grade, spine_word};
use crate::units::{Kg, trim};

/// How much a finding matters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// Good to know.
    Note,
    /// Worth a look.
    Look,
    /// To be changed.
    Change,
}

/// What a rule is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Group {
    /// Load along the spine: how much, how close together, in which order.
    Spine,
    /// Days and lighter weeks.
    Rest,
    /// Sore regions and joints.
    Joints,
    /// What the gym can do.
    Kit,
    /// Muscles and kinds of work.
    Balance,
    /// Rows that have stood for long.
    Stale,
    /// Figures that may be slips.
    Input,
}

/// One rule of the audit.
pub struct Rule {
    /// Plain id, the same as that of its record in the base.
    pub id: &'static str,
    /// How much a finding matters.
    pub severity: Severity,
    /// What it is about.
    pub group: Group,
    /// What it asks, in one line.
    pub asks: &'static str,
    find: fn(&Context<'_>) -> Vec<Found>,
}

macro_rules! rules {
    ($($group:ident $severity:ident $id:literal $find:ident $asks:literal;)*) => {
        /// Every rule, in the order of findings.
        pub const RULES: &[Rule] = &[$(
            Rule { id: $id, severity: Severity::$severity, group: Group::$group, asks: $asks, find: $find }
        ),*];
    };
}

rules! {
    Spine Change "a3-sets-week" sets_of_week "hard sets of the highest tier in a week keep to the level's limit";
    Spine Change "points-week" points_of_week "points of spine load in a week keep to the limit";
    Spine Change "a3-sets-day" sets_of_day "hard sets of the highest tier in one day keep to the limit";
    Spine Change "a3-days" days_of_highest "days with hard sets of the highest tier keep to the limit";
    Spine Change "a3-in-a-row" in_a_row "such days do not follow one another without end";
    Spine Change "a3-gap" gap "days that are heavy on the highest tier lie hours enough apart";
    Spine Change "hinge-next-day" hinge_next_day "no heavy hinge on the day after another";
    Spine Change "row-after-hinge" row_after_hinge "no unsupported row on the day after a heavy hinge";
    Spine Look "heavy-pulls" heavy_pulls "heavy pulls from the floor lie days enough apart";
    Spine Look "order" order "within a day what loads the spine most comes first";
    Spine Look "hinge-and-row-late" hinge_and_row_late "hinge and row do not both come late in a day, unsupported";
    Spine Look "load-jump" load_jump "points of spine load do not leap above their mean";
    Rest Change "deload-due" deload_due "a lighter week comes in time";
    Rest Note "deload-near" deload_near "a lighter week may come from now on";
    Rest Look "deload-signal" deload_signal "no sign asks for a lighter week early";
    Rest Look "sessions" sessions "training days in a week keep to the limit";
    Rest Look "days-in-a-row" days_in_a_row "training days in a row keep to the limit";
    Joints Change "sore" sore "no row loads a sore region beyond what its soreness allows";
    Joints Look "joint-stack" joint_stack "sets that ask much of one region keep to the limit";
    Kit Change "kit" kit "the gym has the kit";
    Kit Change "ceiling" ceiling "the ceiling is high enough";
    Kit Change "stock" stock "the weights go as heavy as the row says";
    Kit Note "stock-step" stock_step "the weights make up the load exactly";
    Kit Look "stock-end" stock_end "the row leaves room for more weight";
    Balance Look "pattern-missing" pattern_missing "every main kind of work is in the week";
    Balance Look "balance" balance "opposite kinds of work have sets in proportion";
    Balance Look "muscle-few" muscle_few "every main muscle has more than a few sets";
    Balance Look "muscle-many" muscle_many "no muscle has more sets than it gains from";
    Stale Look "stale-flat" stale_flat "a row that makes no progress is changed";
    Stale Note "stale-main" stale_main "a main lift is changed now and then";
    Stale Note "stale-accessory" stale_accessory "assistance is changed now and then";
    Input Look "check-number" check_number "no load is far beyond what people lift";
}

/// What a rule found, before its id and severity are put on.
#[derive(Debug, Clone, PartialEq, Default)]
struct Found {
    words: String,
    rows: Vec<usize>,
    days: Vec<Day>,
    helps: String,
}

/// One finding.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// Position of its rule in [`RULES`].
    pub rule: usize,
    /// What was found, in words.
    pub words: String,
    /// Rows that it is about, as positions in the week.
    pub rows: Vec<usize>,
    /// Days that it is about.
    pub days: Vec<Day>,
    /// What would help, in one line.
    pub helps: String,
}

impl Finding {
    /// Its rule.
    #[must_use]
    pub fn rule(&self) -> Option<&'static Rule> {
        RULES.get(self.rule)
    }
}

/// What a week is audited for.
#[derive(Debug, Clone, Copy)]
pub struct Setting<'a> {
    /// How long the lifter has trained.
    pub level: Training,
    /// What stands on the floor.
    pub inventory: &'a Inventory,
    /// Sore regions.
    pub sore: &'a [Sore],
    /// Whose spine is computed for.
    pub body: &'a Body,
    /// Weeks since the last lighter week, if known.
    pub since_deload: Option<u16>,
    /// Positions of signs that a lighter week is due early.
    pub signals: &'a [usize],
    /// Mean of the points of spine load over the last four weeks, if known.
    pub mean_points: Option<f64>,
    /// Age, years, if known: from some age on a lighter week is due as early as for the advanced.
    pub age: Option<u16>,
    /// Sets of the last seven days, if known: after few of them no lighter week is needed.
    pub sets_last_week: Option<u32>,
}

/// Sums of a day or of the week.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Sums {
    /// Sets.
    pub sets: u32,
    /// Hard sets.
    pub hard: u32,
    /// Hard sets by tier, 0 to 3.
    pub by_tier: [u32; TIERS],
    /// Points of spine load.
    pub points: u32,
    /// Relative spinal loading.
    pub dose: Dose,
    /// Load in all times repetitions of the two highest tiers, kg.
    pub kg_repetitions: f64,
}

impl Sums {
    fn of(kb: &Kb, facts: &[Fact<'_>], body: &Body) -> Self {
        let mut sums = Self { dose: Dose::sum(facts.iter().filter_map(|f| f.dose)), ..Self::default() };
        let mut kg = Vec::with_capacity(facts.len());
        for fact in facts {
            sums.sets += u32::from(fact.row.sets);
            sums.hard += fact.hard;
            sums.points += fact.points;
            if let Some(tier) = sums.by_tier.get_mut(usize::from(fact.tier)) {
                *tier += fact.hard;
            }
            if fact.tier >= MODERATE && fact.row.work.unit == WorkUnit::Repetitions {
                let load = dose::load_in_all(kb, fact.row, body).map_or(0.0, Kg::get);
                kg.push(load * f64::from(fact.row.sets) * f64::from(fact.row.work.high));
            }
        }
        kg.sort_by(f64::total_cmp);
        sums.kg_repetitions = kg.iter().sum();
        sums
    }

    fn highest(&self) -> u32 {
        self.by_tier.get(usize::from(HIGH)).copied().unwrap_or(0)
    }
}

/// One day.
#[derive(Debug, Clone, PartialEq)]
pub struct DaySums {
    /// Day.
    pub day: Day,
    /// First and one-past-last of its rows in the week.
    pub rows: (usize, usize),
    /// Its sums.
    pub sums: Sums,
}

/// One exercise over the week.
#[derive(Debug, Clone, PartialEq)]
pub struct ExerciseSums {
    /// Row of the exercise in the base.
    pub exercise: usize,
    /// Days on which it is done.
    pub days: usize,
    /// Its sums.
    pub sums: Sums,
}

/// Every exercise of the week, most relative spinal loading first, then by id.
fn exercises(kb: &Kb, facts: &[Fact<'_>], body: &Body) -> Vec<ExerciseSums> {
    let mut rows: Vec<usize> = facts.iter().map(|f| f.row.exercise).collect();
    rows.sort_unstable();
    rows.dedup();
    let of = |exercise: usize| {
        let mine: Vec<Fact<'_>> = facts.iter().filter(|f| f.row.exercise == exercise).cloned().collect();
        let days = mine.chunk_by(|a, b| a.row.day == b.row.day).count();
        ExerciseSums { exercise, days, sums: Sums::of(kb, &mine, body) }
    };
    let mut out: Vec<ExerciseSums> = rows.into_iter().map(of).collect();
    let by_dose = |a: &ExerciseSums, b: &ExerciseSums| b.sums.dose.mid.total_cmp(&a.sums.dose.mid);
    out.sort_by(|a, b| by_dose(a, b).then_with(|| kb.ids.get(a.exercise).cmp(&kb.ids.get(b.exercise))));
    out
}

/// Sets of two kinds of work side by side.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BalanceSets {
    /// Position of the balance in the base.
    pub balance: usize,
    /// Hard sets of its left side.
    pub left: u32,
    /// Hard sets of its right side.
    pub right: u32,
}

/// Whether the spine is loaded as the level allows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// No rule on spine load asks for a change.
    Fine,
    /// One does at least.
    Overloaded,
}

/// An audited week.
#[derive(Debug, Clone, PartialEq)]
pub struct Audit<'w> {
    /// Rows with their counts, in order of day.
    pub facts: Vec<Fact<'w>>,
    /// Days with training.
    pub days: Vec<DaySums>,
    /// The whole week.
    pub sums: Sums,
    /// Exercises, most relative spinal loading first.
    pub exercises: Vec<ExerciseSums>,
    /// Sets of every muscle, in order of the base.
    pub muscles: Vec<MuscleSets>,
    /// Load on every region, in order of the base.
    pub regions: Vec<RegionSets>,
    /// Kinds of work held in balance, in order of the base.
    pub balances: Vec<BalanceSets>,
    /// Findings, in order of the rules.
    pub findings: Vec<Finding>,
    /// Whether the spine is loaded as the level allows.
    pub verdict: Verdict,
}

/// Audits a week.
#[must_use]
pub fn audit<'w>(kb: &Kb, week: &'w Week, setting: &Setting<'_>) -> Audit<'w> {
    let facts: Vec<Fact<'w>> = week.rows().iter().map(|row| Fact::of(kb, row, setting.body)).collect();
    let mut days = Vec::with_capacity(usize::from(DAYS));
    let mut first = 0;
    for (day, rows) in week.days() {
        let rows = (first, first + rows.len());
        first = rows.1;
        let sums = Sums::of(kb, facts.get(rows.0..rows.1).unwrap_or_default(), setting.body);
        days.push(DaySums { day, rows, sums });
    }
    let sums = Sums::of(kb, &facts, setting.body);
    let muscles = count::muscles(kb, &facts);
    let regions = count::regions(kb, &facts);
    let balances = kb.week.balances.iter().enumerate().map(|(balance, b)| BalanceSets {
        balance,
        left: count::sets_in(kb, &facts, &b.left.patterns),
        right: count::sets_in(kb, &facts, &b.right.patterns),
    });
    let balances: Vec<BalanceSets> = balances.collect();
    let context = Context {
        kb,
        week,
        setting,
        facts: &facts,
        days: &days,
        sums: &sums,
        muscles: &muscles,
        regions: &regions,
        balances: &balances,
    };
    let mut findings = Vec::new();
    for (rule, r) in RULES.iter().enumerate() {
        findings.extend((r.find)(&context).into_iter().map(|f| Finding {
            rule,
            words: f.words,
            rows: f.rows,
            days: f.days,
            helps: f.helps,
        }));
    }
    let asks = |f: &Finding| f.rule().is_some_and(|r| r.group == Group::Spine && r.severity == Severity::Change);
    let verdict = if findings.iter().any(asks) { Verdict::Overloaded } else { Verdict::Fine };
    let exercises = exercises(kb, &facts, setting.body);
    Audit { facts, days, sums, exercises, muscles, regions, balances, findings, verdict }
}

/// What every rule may look at.
struct Context<'a> {
    kb: &'a Kb,
    week: &'a Week,
    setting: &'a Setting<'a>,
    facts: &'a [Fact<'a>],
    days: &'a [DaySums],
    sums: &'a Sums,
    muscles: &'a [MuscleSets],
    regions: &'a [RegionSets],
    balances: &'a [BalanceSets],
}

impl Context<'_> {
    /// The limit of a rule at the lifter's level; that every rule has one is proved by the check.
    fn limit(&self, id: &str) -> f64 {
        self.kb.week.rule(id).and_then(|r| r.limit(self.setting.level)).unwrap_or(f64::INFINITY)
    }

    fn name(&self, exercise: usize) -> &str {
        self.kb.names_shown.get(exercise).map_or("", String::as_str)
    }

    /// Rows of a day with their positions in the week.
    fn of_day(&self, day: &DaySums) -> impl Iterator<Item = (usize, &Fact<'_>)> {
        let (first, end) = day.rows;
        (first..).zip(self.facts.get(first..end).unwrap_or_default())
    }

    /// Rows that hold, with their positions.
    fn rows_where(&self, holds: impl Fn(&Fact<'_>) -> bool) -> Vec<usize> {
        self.facts.iter().enumerate().filter(|(_, f)| holds(f)).map(|(at, _)| at).collect()
    }

    fn hinge(&self, fact: &Fact<'_>) -> bool {
        is_hinge(self.kb, fact)
    }

    fn free_row(&self, fact: &Fact<'_>) -> bool {
        is_free_row(self.kb, fact)
    }

    /// Days with hinges enough of the highest tier, each with the rows.
    fn hinge_days(&self) -> Vec<(Day, Vec<usize>)> {
        let of = |day: &DaySums| {
            let rows: Vec<(usize, &Fact<'_>)> = self.of_day(day).filter(|(_, f)| self.hinge(f)).collect();
            let sets: u32 = rows.iter().map(|(_, f)| f.hard).sum();
            let enough = f64::from(sets) >= self.kb.week.spacing.hinge_sets;
            (sets > 0 && enough).then(|| (day.day, rows.into_iter().map(|(at, _)| at).collect()))
        };
        self.days.iter().filter_map(of).collect()
    }

    /// A form of the exercise that spares the spine and that the gym can do: the first that coaches
    /// name for a sore low back with a lower tier.
    fn lighter(&self, exercise: usize) -> Option<usize> {
        let kb = self.kb;
        let tier = |row: usize| kb.tiers.get(row).copied().unwrap_or(0);
        let region = kb.region_at("low-back");
        let fits = |row: &usize| {
            let here = kb.table.rows.get(*row);
            tier(*row) < tier(exercise)
                && here.is_some_and(|r| self.setting.inventory.is_high_enough(r))
                && self.setting.inventory.has_kit_for(kb, *row)
        };
        kb.table.instead_of(exercise, region).iter().map(|row| *row as usize).find(fits)
    }

    /// "X for Y: n points a set less", for the swap among `rows` that takes most points off.
    fn swap_hint(&self, rows: &[usize]) -> Option<String> {
        let points = |row: usize| u32::from(self.kb.week.points(self.kb.tiers.get(row).copied().unwrap_or(0)));
        let mut sets: BTreeMap<usize, u32> = BTreeMap::new();
        for fact in rows.iter().filter_map(|at| self.facts.get(*at)) {
            *sets.entry(fact.row.exercise).or_default() += fact.hard;
        }
        let swaps = sets.into_iter().filter_map(|(from, sets)| {
            let to = self.lighter(from)?;
            let less = points(from).saturating_sub(points(to));
            Some((sets * less, std::cmp::Reverse(self.kb.ids.get(from)), less, from, to))
        });
        let (_, _, less, from, to) = swaps.max()?;
        let unit = if less == 1 { "point" } else { "points" };
        Some(format!("{} for {}: {less} {unit} a set less", self.name(to), self.name(from)))
    }
}

/// Whether it is a hinge of the highest tier.
pub(super) fn is_hinge(kb: &Kb, fact: &Fact<'_>) -> bool {
    fact.tier == HIGH && fact.hard > 0 && fact.is_in(kb, &kb.week.spacing.hinge_patterns)
}

/// Whether it is a row whose trunk nothing carries.
pub(super) fn is_free_row(kb: &Kb, fact: &Fact<'_>) -> bool {
    fact.tier >= MODERATE && fact.hard > 0 && fact.is_in(kb, &kb.week.spacing.row_patterns)
}

/// Whether a row is light enough for the day after a hinge; `limit` is that of `row-after-hinge`.
pub(super) fn is_light_row(fact: &Fact<'_>, limit: f64) -> bool {
    limit > 0.0 && fact.percent.is_none_or(|p| p <= limit)
}

/// Whether it is of the highest tier at a heavy share of the best.
pub(super) fn is_heavy(kb: &Kb, fact: &Fact<'_>) -> bool {
    fact.tier == HIGH && fact.hard > 0 && fact.percent.is_some_and(|p| p >= kb.week.spacing.heavy_percent)
}

/// Whether it is a heavy pull from the floor.
pub(super) fn is_heavy_pull(kb: &Kb, fact: &Fact<'_>) -> bool {
    let spacing = &kb.week.spacing;
    fact.hard > 0
        && fact.tier >= MODERATE
        && fact.percent.is_some_and(|p| p >= spacing.heavy_pull_percent)
        && fact.is_in(kb, &spacing.floor_pull_patterns)
}

/// What soreness allows in a week: the highest grade at the region and, for the low back, the
/// highest spine class.
pub(super) fn sore_caps(kb: &Kb, sore: &Sore) -> (u8, Option<u8>) {
    let caps = if sore.aggravator.is_some() { &kb.ranking.named_caps } else { &kb.ranking.caps };
    let most = caps.get(&sore.level).map_or(1, |cap| cap.at_most);
    let spine = kb.ranking.spine_caps.get(&sore.level).map(|cap| cap.at_most);
    let low_back = Some(sore.region) == kb.region_at("low-back");
    (most, spine.filter(|_| low_back && by_load(sore.aggravator_name(kb))))
}

/// Whether an exercise loads a sore region beyond what its soreness allows.
pub(super) fn is_beyond(kb: &Kb, sore: &Sore, exercise: usize) -> bool {
    let (most, spine) = sore_caps(kb, sore);
    let class = kb.table.rows.get(exercise).map_or(4, |r| r.spine);
    joint_grade(kb, sore, exercise) > most || spine.is_some_and(|most| class > most)
}

/// Whether the gym can do a row as it stands; yes where no kit was named.
pub(super) fn can_do(kb: &Kb, inventory: &Inventory, row: &Row) -> bool {
    inventory.assumed || matches!(floor(kb, inventory, row), Floor::Can)
}

/// `1 set`, `3 sets`.
fn counted(n: u32, one: &str) -> String {
    format!("{n} {one}{}", if n == 1 { "" } else { "s" })
}

fn days_named(days: &[Day]) -> String {
    let names: Vec<&str> = days.iter().map(|d| d.name()).collect();
    joined(&names)
}

/// `a`, `a and b`, `a, b and c`.
fn joined(names: &[&str]) -> String {
    match names {
        [] => String::new(),
        [only] => (*only).to_string(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

/// Names once each, in order of the alphabet; at most `most` of them.
fn once<'n>(names: impl Iterator<Item = &'n str>, most: usize) -> String {
    let mut out: Vec<&str> = Vec::new();
    for name in names {
        if !out.contains(&name) {
            out.push(name);
        }
    }
    out.sort_unstable();
    let more = out.len().saturating_sub(most);
    out.truncate(most);
    if more > 0 { format!("{} and {more} more", out.join(", ")) } else { joined(&out) }
}

/// How many names are told before "and so many more".
const NAMES: usize = 5;

fn sets_of_week(c: &Context<'_>) -> Vec<Found> {
    let (sets, limit) = (c.sums.highest(), c.limit("a3-sets-week"));
    if f64::from(sets) <= limit {
        return Vec::new();
    }
    let rows = c.rows_where(|f| f.tier == HIGH && f.hard > 0);
    let helps = c
        .swap_hint(&rows)
        .map_or_else(|| "cut sets of the heaviest lifts".to_string(), |s| format!("cut sets, or {s}"));
    let words = format!("many hard sets on the spine this week: {sets} of the highest tier, at most {}", trim(limit));
    vec![Found { words, rows, helps, ..Found::default() }]
}

fn points_of_week(c: &Context<'_>) -> Vec<Found> {
    let limit = c.limit("points-week");
    if f64::from(c.sums.points) <= limit {
        return Vec::new();
    }
    let rows = c.rows_where(|f| f.points > 0);
    let helps = c.swap_hint(&rows).unwrap_or_else(|| "put supported forms in place of some rows".to_string());
    let words = format!("{} points of spine load this week, at most {}", c.sums.points, trim(limit));
    vec![Found { words, rows, helps, ..Found::default() }]
}

fn sets_of_day(c: &Context<'_>) -> Vec<Found> {
    let limit = c.limit("a3-sets-day");
    let over = c.days.iter().filter(|d| f64::from(d.sums.highest()) > limit);
    let told = |day: &DaySums| {
        let rows: Vec<usize> = c.of_day(day).filter(|(_, f)| f.tier == HIGH && f.hard > 0).map(|(at, _)| at).collect();
        let sets = day.sums.highest();
        let helps = c.swap_hint(&rows).unwrap_or_else(|| "move one of them to a day without".to_string());
        let words = format!("{}: {sets} hard sets of the highest tier in one day, at most {}", day.day, trim(limit));
        Found { words, rows, days: vec![day.day], helps }
    };
    over.map(told).collect()
}

/// Days with hard sets of the highest tier.
fn highest_days(c: &Context<'_>) -> Vec<Day> {
    c.days.iter().filter(|d| d.sums.highest() > 0).map(|d| d.day).collect()
}

fn days_of_highest(c: &Context<'_>) -> Vec<Found> {
    let days = highest_days(c);
    let limit = c.limit("a3-days");
    if days.len() as f64 <= limit {
        return Vec::new();
    }
    let words = format!("{} days with lifts of the highest tier, at most {}", days.len(), trim(limit));
    let rows = c.rows_where(|f| f.tier == HIGH && f.hard > 0);
    vec![Found { words, rows, days, helps: "gather them on fewer days, with days between".to_string() }]
}

/// The longest run of days that follow one another, round the week.
fn longest_run(days: &[Day]) -> Vec<Day> {
    let has = |day: Day| days.contains(&day);
    let mut best: Vec<Day> = Vec::new();
    for start in Day::ALL.into_iter().filter(|d| has(*d)) {
        let run = std::iter::successors(Some(start), |d| Some(d.next())).take(usize::from(DAYS));
        let run: Vec<Day> = run.take_while(|d| has(*d)).collect();
        if run.len() > best.len() {
            best = run;
        }
    }
    best
}

fn in_a_row(c: &Context<'_>) -> Vec<Found> {
    let run = longest_run(&highest_days(c));
    let limit = c.limit("a3-in-a-row");
    let (Some(first), Some(last)) = (run.first(), run.last()) else { return Vec::new() };
    if run.len() as f64 <= limit {
        return Vec::new();
    }
    let words =
        format!("lifts of the highest tier on {} days in a row, {first} to {last}, at most {}", run.len(), trim(limit));
    let rows = c.rows_where(|f| f.tier == HIGH && f.hard > 0 && run.contains(&f.row.day));
    vec![Found { words, rows, days: run, helps: "put a day without them between".to_string() }]
}

/// Days that lie closer together than `least` days, each with the next one round the week.
fn too_close(days: &[Day], least: f64) -> Vec<(Day, Day)> {
    if days.len() < 2 {
        return Vec::new();
    }
    let next = days.iter().skip(1).chain(days.first());
    let pairs = days.iter().zip(next).filter(|(a, b)| f64::from(a.days_to(**b)) < least);
    pairs.map(|(a, b)| (*a, *b)).collect()
}

/// Hours of a day.
const HOURS: f64 = 24.0;

fn gap(c: &Context<'_>) -> Vec<Found> {
    let spacing = &c.kb.week.spacing;
    let limit = c.limit("a3-gap");
    let heavy = |day: &&DaySums| {
        f64::from(day.sums.highest()) > spacing.heavy_sets || c.of_day(day).any(|(_, f)| is_heavy(c.kb, f))
    };
    let days: Vec<Day> = c.days.iter().filter(heavy).filter(|d| d.sums.highest() > 0).map(|d| d.day).collect();
    let told = |(a, b): (Day, Day)| Found {
        words: format!(
            "{a} and {b} are both heavy on the highest tier, {} hours apart, {} asked for",
            trim(f64::from(a.days_to(b)) * HOURS),
            trim(limit)
        ),
        rows: c.rows_where(|f| f.tier == HIGH && f.hard > 0 && [a, b].contains(&f.row.day)),
        days: vec![a, b],
        helps: "move one of them, or make it short and light".to_string(),
    };
    too_close(&days, limit / HOURS).into_iter().map(told).collect()
}

fn hinge_next_day(c: &Context<'_>) -> Vec<Found> {
    let days = c.hinge_days();
    let mut out = Vec::new();
    for (day, rows) in &days {
        let Some((next, more)) = days.iter().find(|(d, _)| *d == day.next()) else { continue };
        let both: Vec<usize> = rows.iter().chain(more).copied().collect();
        let names = once(both.iter().filter_map(|at| c.facts.get(*at)).map(|f| c.name(f.row.exercise)), NAMES);
        out.push(Found {
            words: format!("no rest day between heavy hinge days: {day} and {next} ({names})"),
            helps: c.swap_hint(&both).unwrap_or_else(|| "put a day between them".to_string()),
            rows: both,
            days: vec![*day, *next],
        });
    }
    out
}

fn row_after_hinge(c: &Context<'_>) -> Vec<Found> {
    let limit = c.limit("row-after-hinge");
    let light = |f: &Fact<'_>| is_light_row(f, limit);
    let mut out = Vec::new();
    for (day, hinges) in c.hinge_days() {
        let next = day.next();
        let rows = c.rows_where(|f| f.row.day == next && c.free_row(f) && !light(f));
        if rows.is_empty() {
            continue;
        }
        let names =
            |rows: &[usize]| once(rows.iter().filter_map(|at| c.facts.get(*at)).map(|f| c.name(f.row.exercise)), NAMES);
        let words = format!("{}: {} on the day after {}", next, names(&rows), names(&hinges));
        let helps = c.swap_hint(&rows).unwrap_or_else(|| "swap it for a supported row".to_string());
        out.push(Found { words, rows, days: vec![day, next], helps });
    }
    out
}

fn heavy_pulls(c: &Context<'_>) -> Vec<Found> {
    let spacing = &c.kb.week.spacing;
    let limit = c.limit("heavy-pulls");
    let pull = |f: &Fact<'_>| is_heavy_pull(c.kb, f);
    let days: Vec<Day> = c.days.iter().filter(|d| c.of_day(d).any(|(_, f)| pull(f))).map(|d| d.day).collect();
    let close = too_close(&days, limit);
    if close.is_empty() {
        return Vec::new();
    }
    let mut near: Vec<Day> = close.iter().flat_map(|(a, b)| [*a, *b]).collect();
    near.sort_unstable();
    near.dedup();
    let words = format!(
        "pulls from the floor at {} % or more on {}; once in {} days is enough",
        trim(spacing.heavy_pull_percent),
        days_named(&near),
        trim(limit)
    );
    let rows = c.rows_where(|f| pull(f) && near.contains(&f.row.day));
    vec![Found { words, rows, days: near, helps: "keep one heavy, and the other at 70 to 80 %".to_string() }]
}

fn order(c: &Context<'_>) -> Vec<Found> {
    let mut out = Vec::new();
    for day in c.days {
        let mut rows = Vec::new();
        let mut least = HIGH;
        for (at, fact) in c.of_day(day).filter(|(_, f)| f.tier > 0 && f.hard > 0) {
            if fact.is_in(c.kb, &c.kb.week.spacing.anywhere) {
                continue;
            }
            if fact.tier > least && fact.tier >= MODERATE {
                rows.push(at);
            }
            least = least.min(fact.tier);
        }
        if rows.is_empty() {
            continue;
        }
        let names = once(rows.iter().filter_map(|at| c.facts.get(*at)).map(|f| c.name(f.row.exercise)), NAMES);
        out.push(Found {
            words: format!("{}: {names} after lighter work", day.day),
            rows,
            days: vec![day.day],
            helps: "do what loads the spine most while fresh".to_string(),
        });
    }
    out
}

fn hinge_and_row_late(c: &Context<'_>) -> Vec<Found> {
    let mut out = Vec::new();
    for day in c.days {
        let late = |holds: &dyn Fn(&Fact<'_>) -> bool| -> Vec<usize> {
            c.of_day(day).skip(1).filter(|(_, f)| holds(f)).map(|(at, _)| at).collect()
        };
        let (hinges, free) = (late(&|f| c.hinge(f)), late(&|f| c.free_row(f)));
        if hinges.is_empty() || free.is_empty() {
            continue;
        }
        let mut rows: Vec<usize> = hinges.into_iter().chain(free.iter().copied()).collect();
        rows.sort_unstable();
        let names = once(rows.iter().filter_map(|at| c.facts.get(*at)).map(|f| c.name(f.row.exercise)), NAMES);
        out.push(Found {
            words: format!("{}: {names} both late in the day and unsupported", day.day),
            helps: c.swap_hint(&free).unwrap_or_else(|| "support one of them".to_string()),
            rows,
            days: vec![day.day],
        });
    }
    out
}

fn load_jump(c: &Context<'_>) -> Vec<Found> {
    let Some(mean) = c.setting.mean_points.filter(|m| *m > 0.0) else { return Vec::new() };
    let limit = c.limit("load-jump");
    let more = (f64::from(c.sums.points) - mean) / mean * 100.0;
    if more < limit {
        return Vec::new();
    }
    let words =
        format!("{} points of spine load, {} % above the mean of {}", c.sums.points, trim(more.round()), trim(mean));
    vec![Found {
        words,
        helps: "spread the rise over several weeks, or take a lighter one".to_string(),
        ..Found::default()
    }]
}

/// What a lighter week is, in words.
fn deload_words(c: &Context<'_>) -> String {
    let d = &c.kb.week.deload;
    let percent = |share: f64| trim((share * 100.0).round());
    format!(
        "{} to {} days with {} to {} % fewer sets and {} to {} % less load, the same lifts",
        d.days_low,
        d.days_high,
        percent(d.sets_off_low),
        percent(d.sets_off_high),
        percent(d.load_off_low),
        percent(d.load_off_high)
    )
}

fn since_deload(c: &Context<'_>) -> Option<u16> {
    c.setting.since_deload.or(c.week.since_deload)
}

/// Whether the last seven days were a lighter week already.
pub fn was_light(kb: &Kb, sets: u32, sets_last_week: Option<u32>) -> bool {
    sets_last_week.is_some_and(|last| f64::from(last) < kb.week.deload.light_already * f64::from(sets))
}

/// The limit of a rule about lighter weeks, which come earlier from some age on.
fn deload_limit(c: &Context<'_>, id: &str) -> f64 {
    let older = c.setting.age.is_some_and(|age| age > c.kb.week.deload.older_than);
    let early = c.kb.week.rule(id).and_then(|r| r.limit(Training::Advanced)).filter(|_| older);
    early.map_or_else(|| c.limit(id), |early| early.min(c.limit(id)))
}

fn deload_due(c: &Context<'_>) -> Vec<Found> {
    let limit = deload_limit(c, "deload-due");
    if was_light(c.kb, c.sums.sets, c.setting.sets_last_week) {
        return Vec::new();
    }
    let Some(weeks) = since_deload(c).filter(|w| f64::from(*w) >= limit) else { return Vec::new() };
    let words = format!(
        "a lighter week is due: the last was {} ago, {} at most",
        counted(u32::from(weeks), "week"),
        trim(limit)
    );
    vec![Found { words, helps: deload_words(c), ..Found::default() }]
}

fn deload_near(c: &Context<'_>) -> Vec<Found> {
    let (from, due) = (deload_limit(c, "deload-near"), deload_limit(c, "deload-due"));
    if was_light(c.kb, c.sums.sets, c.setting.sets_last_week) {
        return Vec::new();
    }
    let within = |weeks: &u16| f64::from(*weeks) >= from && f64::from(*weeks) < due;
    let Some(weeks) = since_deload(c).filter(within) else { return Vec::new() };
    let weeks = counted(u32::from(weeks), "week");
    let words = format!("a lighter week may come from now on: the last was {weeks} ago, due after {}", trim(due));
    vec![Found { words, helps: "take it early when a sign asks for it".to_string(), ..Found::default() }]
}

fn deload_signal(c: &Context<'_>) -> Vec<Found> {
    let signal = |at: &usize| {
        let s = c.kb.week.deload_signals.get(*at)?;
        let words = format!("a lighter week may be due early: {}", s.text);
        Some(Found { words, helps: deload_words(c), ..Found::default() })
    };
    c.setting.signals.iter().filter_map(signal).collect()
}

fn sessions(c: &Context<'_>) -> Vec<Found> {
    let limit = c.limit("sessions");
    if c.days.len() as f64 <= limit {
        return Vec::new();
    }
    let words = format!("{} training days, {} are enough at this level", c.days.len(), trim(limit));
    let days = c.days.iter().map(|d| d.day).collect();
    vec![Found { words, days, helps: "gather the work on fewer days".to_string(), ..Found::default() }]
}

fn days_in_a_row(c: &Context<'_>) -> Vec<Found> {
    let days: Vec<Day> = c.days.iter().map(|d| d.day).collect();
    let run = longest_run(&days);
    let limit = c.limit("days-in-a-row");
    let (Some(first), Some(last)) = (run.first(), run.last()) else { return Vec::new() };
    if run.len() as f64 <= limit {
        return Vec::new();
    }
    let words = format!("{} training days in a row, {first} to {last}, at most {}", run.len(), trim(limit));
    vec![Found { words, days: run, helps: "put a day of rest between".to_string(), ..Found::default() }]
}

/// Whether a named movement is one that load along the spine brings on.
fn by_load(aggravator: Option<&str>) -> bool {
    aggravator.is_none_or(|a| ["compression", "shear", "impact"].contains(&a))
}

fn sore(c: &Context<'_>) -> Vec<Found> {
    let kb = c.kb;
    let mut out = Vec::new();
    for s in c.setting.sore {
        let (most, spine) = sore_caps(kb, s);
        let class = |row: usize| kb.table.rows.get(row).map_or(4, |r| r.spine);
        let rows = c.rows_where(|f| is_beyond(kb, s, f.row.exercise));
        if rows.is_empty() {
            continue;
        }
        let worst = |at: &&usize| {
            let row = c.facts.get(**at).map_or(0, |f| f.row.exercise);
            (joint_grade(kb, s, row), class(row), std::cmp::Reverse(kb.ids.get(row)))
        };
        let region = s.region_name(kb).to_lowercase();
        let what = s.aggravator_name(kb).map_or(String::new(), |a| format!(" ({})", a.replace('_', " ")));
        let limits = spine.map_or(String::new(), |most| format!(", spine load {}", spine_word(most)));
        let exercises: Vec<&str> =
            rows.iter().filter_map(|at| c.facts.get(*at)).map(|f| c.name(f.row.exercise)).collect();
        let hardest =
            rows.iter().max_by_key(worst).and_then(|at| c.facts.get(*at)).map_or("", |f| c.name(f.row.exercise));
        out.push(Found {
            words: format!(
                "{region}{what}, {}: {} beyond {most} of 4{limits}: {}",
                s.level,
                if rows.len() == 1 { "1 row loads it".to_string() } else { format!("{} rows load it", rows.len()) },
                once(exercises.into_iter(), NAMES)
            ),
            rows,
            days: Vec::new(),
            helps: format!(
                "stead swap \"{hardest}\" --sore {}",
                kb.regions.get(s.region).map_or("", |r| r.id.as_str())
            ),
        });
    }
    out
}

fn joint_stack(c: &Context<'_>) -> Vec<Found> {
    let limit = c.limit("joint-stack");
    let low_back = c.kb.region_at("low-back");
    // The low back has rules of its own.
    let over = c.regions.iter().filter(|r| Some(r.region) != low_back && f64::from(r.demanding) > limit);
    let told = |r: &RegionSets| {
        let grade = |f: &Fact<'_>| c.kb.table.grades_of(f.row.exercise).get(r.region).copied().unwrap_or(0);
        let rows = c.rows_where(|f| f.hard > 0 && grade(f) >= count::DEMANDING);
        let name = c.kb.regions.get(r.region).map_or("", |r| r.name.as_str()).to_lowercase();
        Found {
            words: format!("{name}: {} hard sets graded 3 or 4 there, at most {}", r.demanding, trim(limit)),
            rows,
            days: Vec::new(),
            helps: "swap some for forms that ask less of it".to_string(),
        }
    };
    over.map(told).collect()
}

/// What the gym says to a row.
enum Floor {
    /// It can be done.
    Can,
    /// The ceiling is too low: what is needed, cm.
    Low(u16),
    /// Kit is missing.
    Without(String),
    /// The most that the weights make up, kg, is less than the row's load.
    Light(f64),
}

fn floor(kb: &Kb, inventory: &Inventory, row: &Row) -> Floor {
    let Some(r) = kb.table.rows.get(row.exercise) else { return Floor::Can };
    if !inventory.is_high_enough(r) {
        return Floor::Low(inventory.headroom_cm(r));
    }
    let alternatives = kb.table.kits_of(row.exercise);
    let missing = |a: &u128| a & !inventory.kit;
    if !alternatives.iter().any(|a| missing(a) == 0) {
        if inventory.improvise && inventory.makeshift(kb, row.exercise).is_some() {
            return Floor::Can;
        }
        let short = one_item_short(kb, inventory.kit, alternatives).map(|item| 1u128 << item);
        let least = short.or_else(|| alternatives.iter().map(missing).min_by_key(|m| m.count_ones())).unwrap_or(0);
        let names: Vec<&str> = kb.kit_names(least).map(|q| q.phrase.as_str()).collect();
        return Floor::Without(joined(&names));
    }
    match (most(kb, inventory, row), row.load) {
        (Some(most), Some(load)) if load.get() > most + 1e-9 => Floor::Light(most),
        _ => Floor::Can,
    }
}

/// The most that the weights of the gym make up for a row, kg; none where they do not limit it.
fn most(kb: &Kb, inventory: &Inventory, row: &Row) -> Option<f64> {
    let r = kb.table.rows.get(row.exercise)?;
    let mut best: Option<f64> = None;
    for alternative in kb.table.kits_of(row.exercise).iter().filter(|a| **a & !inventory.kit == 0) {
        best = Some(inventory.reach(kb, r, *alternative)?.most_kg.max(best.unwrap_or(0.0)));
    }
    best
}

fn kit(c: &Context<'_>) -> Vec<Found> {
    let told = |(at, f): (usize, &Fact<'_>)| match floor(c.kb, c.setting.inventory, f.row) {
        Floor::Without(what) => Some(Found {
            words: format!("{} needs {what}", c.name(f.row.exercise)),
            rows: vec![at],
            days: vec![f.row.day],
            helps: instead_hint(c, f.row.exercise),
        }),
        _ => None,
    };
    on_the_floor(c).filter_map(told).collect()
}

fn ceiling(c: &Context<'_>) -> Vec<Found> {
    let metres = |cm: u16| trim(f64::from(cm) / 100.0);
    let told = |(at, f): (usize, &Fact<'_>)| match floor(c.kb, c.setting.inventory, f.row) {
        Floor::Low(cm) => Some(Found {
            words: format!(
                "{} needs {} m of ceiling, there is {} m",
                c.name(f.row.exercise),
                metres(cm),
                metres(c.setting.inventory.ceiling_cm.unwrap_or(0))
            ),
            rows: vec![at],
            days: vec![f.row.day],
            helps: instead_hint(c, f.row.exercise),
        }),
        _ => None,
    };
    on_the_floor(c).filter_map(told).collect()
}

fn stock(c: &Context<'_>) -> Vec<Found> {
    let told = |(at, f): (usize, &Fact<'_>)| match floor(c.kb, c.setting.inventory, f.row) {
        Floor::Light(most) => Some(Found {
            words: format!(
                "{} with {} kg, the stock makes {} kg",
                c.name(f.row.exercise),
                trim(f.row.load.map_or(0.0, Kg::get)),
                trim(most)
            ),
            rows: vec![at],
            days: vec![f.row.day],
            helps: harder_hint(c, f.row.exercise),
        }),
        _ => None,
    };
    on_the_floor(c).filter_map(told).collect()
}

/// Rows that a gym is asked about: none where no kit was named.
fn on_the_floor<'c>(c: &'c Context<'_>) -> impl Iterator<Item = (usize, &'c Fact<'c>)> {
    c.facts.iter().enumerate().filter(|_| !c.setting.inventory.assumed)
}

/// What coaches name in an exercise's place that this gym can do.
fn instead_hint(c: &Context<'_>, exercise: usize) -> String {
    let kb = c.kb;
    let fits = |row: &usize| {
        kb.table.rows.get(*row).is_some_and(|r| c.setting.inventory.is_high_enough(r))
            && c.setting.inventory.has_kit_for(kb, *row)
    };
    match kb.table.instead_of(exercise, None).iter().map(|row| *row as usize).find(fits) {
        Some(row) => format!("{} in its place", c.name(row)),
        None => format!("stead swap \"{}\" says what can be done here", c.name(exercise)),
    }
}

/// How an exercise is made harder without more weight.
fn harder_hint(c: &Context<'_>, exercise: usize) -> String {
    use crate::kb::raw::HarderBy;
    let ways = c.kb.exercise(exercise).map_or(&[][..], |e| e.harder_by.as_slice());
    let way = |w: &HarderBy| match w {
        HarderBy::Load | HarderBy::StrongerBand | HarderBy::LessAssist => None,
        HarderBy::Reps => Some("more repetitions"),
        HarderBy::Tempo => Some("three seconds down"),
        HarderBy::Pause => Some("a pause"),
        HarderBy::Range => Some("a longer range"),
        HarderBy::Leverage => Some("a longer lever"),
        HarderBy::OneSide => Some("one side at a time"),
        HarderBy::Speed => Some("more speed"),
        HarderBy::HoldTime => Some("longer holds"),
    };
    match ways.iter().filter_map(way).collect::<Vec<_>>().as_slice() {
        [] => "a harder form of it, before more weight is bought".to_string(),
        ways => format!("make it harder by {}", joined(ways)),
    }
}

fn stock_step(c: &Context<'_>) -> Vec<Found> {
    let (kb, inventory) = (c.kb, c.setting.inventory);
    // The same bar comes back on many rows.
    let mut known: Vec<(Carry<'_>, Result<Loading, LoadingError>)> = Vec::new();
    let mut out = Vec::new();
    for (at, f) in on_the_floor(c) {
        let Some(load) = f.row.load else { continue };
        if load.get() <= 0.0 || !matches!(floor(c.kb, c.setting.inventory, f.row), Floor::Can) {
            continue;
        }
        let mut missed: Option<String> = None;
        let mut made = false;
        for way in carry::ways(kb, inventory, f.row.exercise) {
            // What takes any weight, or has none of its own, says nothing of steps.
            let Some(carry) = way.carry else {
                made = true;
                break;
            };
            if !known.iter().any(|(k, _)| *k == carry) {
                known.push((carry, Loading::of(&inventory.stock, carry)));
            }
            match known.iter().find(|(k, _)| *k == carry).map(|(_, loading)| loading) {
                Some(Ok(loading)) => match loading.exactly(load * way.factor) {
                    Ok(_) => made = true,
                    Err(e) => missed = missed.or_else(|| near(&e, way.factor)),
                },
                // A stock that does not list its weights says nothing of steps.
                _ => made = true,
            }
        }
        if let (false, Some(missed)) = (made, missed) {
            let kg = trim(load.get());
            let words = format!("{} with {kg} kg: the weights make {missed}", c.name(f.row.exercise));
            out.push(Found {
                words,
                rows: vec![at],
                days: vec![f.row.day],
                helps: "take the lighter one first".to_string(),
            });
        }
    }
    out
}

/// The loads next to one that the weights do not make, as the exercise counts them; `factor` turns
/// its count into that of the carrying.
fn near(e: &LoadingError, factor: f64) -> Option<String> {
    match e {
        LoadingError::NotBuildable { below, above, .. } => {
            let both = [below, above].into_iter().flatten().map(|b| trim(b.load().get() / factor));
            let told = both.collect::<Vec<_>>().join(" or ");
            (!told.is_empty()).then(|| format!("{told} kg"))
        }
        LoadingError::TooLight { least, .. } => Some(format!("{} kg at least", trim(least.load().get() / factor))),
        LoadingError::NotListed { .. } | LoadingError::TooMany { .. } => None,
    }
}

fn stock_end(c: &Context<'_>) -> Vec<Found> {
    let limit = c.limit("stock-end");
    let mut out: Vec<(usize, Found)> = Vec::new();
    for (at, f) in on_the_floor(c) {
        let Some((most, load)) = most(c.kb, c.setting.inventory, f.row).zip(f.row.load) else { continue };
        let near = load.get() >= limit / 100.0 * most && load.get() <= most + 1e-9;
        if !near || most <= 0.0 || !matches!(floor(c.kb, c.setting.inventory, f.row), Floor::Can) {
            continue;
        }
        let exercise = f.row.exercise;
        if let Some((_, known)) = out.iter_mut().find(|(e, _)| *e == exercise) {
            known.rows.push(at);
            continue;
        }
        let words = format!("{}: {} kg is all that the stock makes", c.name(exercise), trim(most));
        out.push((exercise, Found { words, rows: vec![at], days: Vec::new(), helps: harder_hint(c, exercise) }));
    }
    out.into_iter().map(|(_, found)| found).collect()
}

fn pattern_missing(c: &Context<'_>) -> Vec<Found> {
    let wanted = &c.kb.week.spacing.wanted;
    let missing = wanted.iter().filter(|id| count::sets_in(c.kb, c.facts, std::slice::from_ref(*id)) == 0);
    let names: Vec<String> =
        missing.filter_map(|id| c.kb.patterns.iter().find(|p| p.id == *id)).map(|p| p.name.to_lowercase()).collect();
    if names.is_empty() {
        return Vec::new();
    }
    let names: Vec<&str> = names.iter().map(String::as_str).collect();
    let words = format!("no hard set of: {}", names.join(", "));
    vec![Found { words, helps: "two or three sets keep a kind of work alive".to_string(), ..Found::default() }]
}

fn balance(c: &Context<'_>) -> Vec<Found> {
    let limit = c.limit("balance");
    let mut out = Vec::new();
    for sets in c.balances {
        let Some(b) = c.kb.week.balances.get(sets.balance) else { continue };
        let (left, right) = (f64::from(sets.left), f64::from(sets.right));
        let (more, less) = (left.max(right), left.min(right));
        // A side without a set is told as a missing kind of work.
        if less == 0.0 || more <= limit * less || more - less < b.least_difference {
            continue;
        }
        let (heavy, light) = if left > right { (&b.left, &b.right) } else { (&b.right, &b.left) };
        out.push(Found {
            words: format!("{} {} sets, {} {}", heavy.name, trim(more), light.name, trim(less)),
            helps: format!("move {} sets from {} to {}", trim(((more - less) / 2.0).floor()), heavy.name, light.name),
            ..Found::default()
        });
    }
    out
}

/// Muscles whose label is told for `why`, as "name (sets)".
fn labelled(c: &Context<'_>, why: TooFewOrMany, watched_only: bool) -> Vec<(String, String)> {
    let watched = &c.kb.week.counting.watched;
    let mut out = Vec::new();
    for m in c.muscles {
        let Some(muscle) = c.kb.muscles.get(m.muscle) else { continue };
        let label = c.kb.week.label(m.sets).filter(|l| l.told == Some(why));
        if let Some(label) = label.filter(|_| !watched_only || watched.contains(&muscle.id)) {
            out.push((label.label.clone(), format!("{} {}", muscle.name.to_lowercase(), trim(m.sets))));
        }
    }
    out
}

fn muscle_few(c: &Context<'_>) -> Vec<Found> {
    let told = labelled(c, TooFewOrMany::Few, true);
    let mut labels: Vec<&str> = Vec::new();
    for (label, _) in &told {
        if !labels.contains(&label.as_str()) {
            labels.push(label);
        }
    }
    let told = |label: &str| {
        let names: Vec<&str> = told.iter().filter(|(l, _)| l == label).map(|(_, name)| name.as_str()).collect();
        Found {
            words: format!("{label}: {}", names.join(", ")),
            helps: "two or three direct sets each".to_string(),
            ..Found::default()
        }
    };
    labels.into_iter().map(told).collect()
}

fn muscle_many(c: &Context<'_>) -> Vec<Found> {
    let told = labelled(c, TooFewOrMany::Many, false);
    let Some((label, _)) = told.first() else { return Vec::new() };
    let names: Vec<&str> = told.iter().map(|(_, name)| name.as_str()).collect();
    let words = format!("{label}: {} sets", names.join(", "));
    vec![Found { words, helps: "fewer sets would do as well".to_string(), ..Found::default() }]
}

/// Rows without progress, or that have stood for long where nothing is said of progress: by id of
/// the rule.
fn stale(c: &Context<'_>, id: &str, holds: impl Fn(&Fact<'_>, bool) -> Option<u16>) -> Vec<Found> {
    let limit = c.limit(id);
    let mut weeks: Option<(u16, u16)> = None;
    let mut rows = Vec::new();
    for (at, f) in c.facts.iter().enumerate() {
        let main = c.kb.table.rows.get(f.row.exercise).is_some_and(|r| r.role == Role::Main);
        // So many weeks without progress are enough; unchanged, it takes more than the limit.
        let over = |n: &u16| f64::from(*n) > limit || (id == "stale-flat" && f64::from(*n) >= limit);
        if let Some(n) = holds(f, main).filter(over) {
            weeks = Some(weeks.map_or((n, n), |(low, high)| (low.min(n), high.max(n))));
            rows.push(at);
        }
    }
    let Some((low, high)) = weeks else { return Vec::new() };
    let range = if low == high { low.to_string() } else { format!("{low} to {high}") };
    let names = once(rows.iter().filter_map(|at| c.facts.get(*at)).map(|f| c.name(f.row.exercise)), NAMES);
    let (words, helps) = if id == "stale-flat" {
        (
            format!("no progress for {range} weeks: {names}"),
            "a near variation for some weeks, one or two lifts at a time".to_string(),
        )
    } else {
        (
            format!("unchanged for {range} weeks: {names}"),
            "change one or two of them; what still progresses is not stale".to_string(),
        )
    };
    vec![Found { words, rows, days: Vec::new(), helps }]
}

fn stale_flat(c: &Context<'_>) -> Vec<Found> {
    stale(c, "stale-flat", |f, _| f.row.weeks_flat)
}

fn stale_main(c: &Context<'_>) -> Vec<Found> {
    stale(c, "stale-main", long_on)
}

fn stale_accessory(c: &Context<'_>) -> Vec<Found> {
    stale(c, "stale-accessory", |f, main| long_on(f, !main))
}

/// Weeks that a row has stood; one that says how it progresses is judged by that.
fn long_on(f: &Fact<'_>, asked: bool) -> Option<u16> {
    f.row.weeks_on.filter(|_| asked && f.row.weeks_flat.is_none())
}

fn check_number(c: &Context<'_>) -> Vec<Found> {
    let limit = c.limit("check-number");
    let mut out = Vec::new();
    for (at, f) in c.facts.iter().enumerate() {
        let Some((r, load)) = c.kb.table.rows.get(f.row.exercise).zip(f.row.load) else { continue };
        let usual = f64::from(r.one_rm_bm) * c.setting.body.mass().get();
        if r.counted == Counted::Body || usual < 1.0 || load.get() <= limit * usual {
            continue;
        }
        out.push(Found {
            words: format!(
                "{} with {} kg is {} times what is usual for one repetition",
                c.name(f.row.exercise),
                trim(load.get()),
                trim((load.get() / usual * 10.0).round() / 10.0)
            ),
            rows: vec![at],
            days: vec![f.row.day],
            helps: "check the number and its unit, and how the load is counted".to_string(),
        });
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::kb::check::week::WEEK_RULES;

    #[test]
    fn rules_are_those_that_the_base_has_records_for() {
        let mut mine: Vec<&str> = RULES.iter().map(|r| r.id).collect();
        let mut asked: Vec<&str> = WEEK_RULES.iter().map(|(id, _)| *id).collect();
        mine.sort_unstable();
        asked.sort_unstable();
        assert_eq!(mine, asked);
        assert!(RULES.iter().all(|r| !r.asks.is_empty()));
    }

    #[test]
    fn runs_and_gaps_go_round_the_week() {
        let days = |numbers: &[u8]| numbers.iter().filter_map(|n| Day::new(*n)).collect::<Vec<_>>();
        assert_eq!(longest_run(&days(&[1, 2, 6, 7])), days(&[6, 7, 1, 2]));
        assert_eq!(longest_run(&days(&[1, 2, 3, 4, 5, 6, 7])).len(), 7);
        assert!(longest_run(&[]).is_empty());
        let close = |numbers: &[u8], least| too_close(&days(numbers), least).len();
        assert_eq!((close(&[1, 2], 2.0), close(&[1, 3], 2.0), close(&[1, 7], 2.0)), (1, 0, 1));
        assert_eq!((close(&[1], 7.0), close(&[1, 4], 7.0)), (0, 2));
    }
}
