//! What is asked of a mended week, from the audit of the week as it is.
//!
//! Leans on the audit and the figures of `kb/week.json`. Leaves to others: the ways of doing a row
//! ([`super::ways`]). What the audit asks to change is asked for; all else must not get worse.

use super::Setting;
use super::model::{BalanceLimit, HeavyGap, Limits};
use crate::kb::Kb;
use crate::kb::raw::{TooFewOrMany, Training};
use crate::rank::Sore;
use crate::rank::gates::joint_grade;
use crate::week::audit::Audit;
use crate::week::count::{self, Fact};
use crate::week::data::{DAYS, Day};

/// What is asked, and what must be known to find ways for it.
pub struct Promised {
    /// Limits of the model.
    pub limits: Limits,
    /// Regions that carry more than their limit.
    pub stacked: Vec<usize>,
    /// Wanted patterns that no row answers, as positions in the base's list.
    pub missing: Vec<usize>,
}

/// Hundredths of a set.
pub const HUNDRED: f64 = 100.0;

impl Promised {
    /// What is asked of a week that was audited as `before`.
    pub fn of(kb: &Kb, before: &Audit<'_>, setting: &Setting<'_>) -> Self {
        let level = setting.audit.level;
        let limit = |id: &str| whole(kb, level, id);
        let spacing = &kb.week.spacing;
        let low_back = kb.region_at("low-back");
        let stack = limit("joint-stack");
        let regions = before.regions.iter().filter(|r| Some(r.region) != low_back);
        let stacked = stack.map_or_else(Vec::new, |most| regions.map(|r| (r.region, most)).collect());
        let over = before.regions.iter().filter(|r| Some(r.region) != low_back);
        let over = over.filter(|r| stack.is_some_and(|most| r.demanding > most)).map(|r| r.region).collect();
        let wanted = 0..spacing.wanted.len();
        let answered = |at: &usize| {
            spacing.wanted.get(*at).is_some_and(|id| count::sets_in(kb, &before.facts, std::slice::from_ref(id)) > 0)
        };
        let (there, missing): (Vec<usize>, Vec<usize>) = wanted.partition(answered);
        let days: Vec<Day> = before.days.iter().map(|d| d.day).collect();
        let limits = Limits {
            points_week: limit("points-week"),
            top_week: limit("a3-sets-week"),
            top_day: limit("a3-sets-day"),
            top_days: limit("a3-days"),
            top_in_row: limit("a3-in-a-row"),
            heavy_gap: up(kb, level, "a3-gap", HOURS)
                .map(|days| HeavyGap { sets: spacing.heavy_sets.max(0.0).floor() as u32, days }),
            hinge_days_apart: Some(spacing.hinge_sets.ceil().max(1.0) as u32),
            row_after_hinge: Some(spacing.hinge_sets.ceil().max(1.0) as u32),
            pull_gap: up(kb, level, "heavy-pulls", 1.0),
            sessions: limit("sessions").map(|most| most.max(days.len() as u32)),
            days_in_row: limit("days-in-a-row").map(|most| most.max(longest_run(&days))),
            muscles_most: muscles_most(kb, before),
            muscles_least: muscles_least(kb, before, setting),
            muscles_floor: muscles_floor(kb, before, setting),
            stacked,
            sore: tallies(kb, before, setting),
            kit: !setting.audit.inventory.assumed,
            patterns: there,
            missing: Vec::new(),
            balances: balances(kb, before, level),
            once_a_day: true,
        };
        Self { limits, stacked: over, missing }
    }
}

/// Hours of a day.
const HOURS: f64 = 24.0;

/// The limit of a rule, whole.
fn whole(kb: &Kb, level: Training, id: &str) -> Option<u32> {
    Some(kb.week.rule(id)?.limit(level)?.max(0.0).floor() as u32)
}

/// The least of a rule in so many parts, rounded up.
fn up(kb: &Kb, level: Training, id: &str, parts: f64) -> Option<u32> {
    Some((kb.week.rule(id)?.limit(level)? / parts).max(0.0).ceil() as u32)
}

/// The most days in a row, round the week.
fn longest_run(days: &[Day]) -> u32 {
    let run = |start: &Day| {
        let following = std::iter::successors(Some(*start), |d| Some(d.next())).take(usize::from(DAYS));
        following.take_while(|d| days.contains(d)).count() as u32
    };
    days.iter().map(run).max().unwrap_or(0)
}

/// The tally of each sore region: hard sets times their grade there.
fn tallies(kb: &Kb, before: &Audit<'_>, setting: &Setting<'_>) -> Vec<u32> {
    let of = |sore: &Sore| before.facts.iter().map(|f| tally(kb, sore, f)).sum();
    setting.audit.sore.iter().map(of).collect()
}

/// What a row adds to the tally of a sore region.
pub fn tally(kb: &Kb, sore: &Sore, fact: &Fact<'_>) -> u32 {
    fact.hard * u32::from(joint_grade(kb, sore, fact.row.exercise))
}

/// Whether the sets of a muscle are to be kept: not where it only holds the body still, and not
/// where it is sore itself.
fn is_kept(kb: &Kb, muscle: usize, setting: &Setting<'_>) -> bool {
    let holds = kb.muscles.get(muscle).is_none_or(|m| m.holds);
    let own = |sore: &Sore| kb.own_muscles.get(sore.region).is_some_and(|own| own & (1 << muscle) != 0);
    !holds && !setting.audit.sore.iter().any(own)
}

/// Hundredths of sets, as the audit counts them.
fn hundredths(sets: f64) -> u32 {
    (sets * HUNDRED).round().max(0.0) as u32
}

/// From how many sets on, in hundredths, so many are called what they are called.
fn label_from(kb: &Kb, sets: f64) -> u32 {
    let ends = kb.week.labels.iter().filter_map(|l| l.up_to).filter(|end| f64::from(*end) < sets.floor());
    ends.max().map_or(0, |end| (u32::from(end) + 1) * 100)
}

/// From how many sets on, in hundredths, they are not too few.
fn enough_from(kb: &Kb) -> u32 {
    let few = kb.week.labels.iter().filter(|l| l.told == Some(TooFewOrMany::Few)).filter_map(|l| l.up_to);
    few.max().map_or(0, |end| (u32::from(end) + 1) * 100)
}

/// Fewest sets of each muscle: a little less than now, and still called the same.
fn muscles_least(kb: &Kb, before: &Audit<'_>, setting: &Setting<'_>) -> Vec<(usize, u32)> {
    let tolerance = setting.tolerance_percent.unwrap_or(kb.week.mending.tolerance_percent);
    let share = 1.0 - tolerance.clamp(0.0, HUNDRED) / HUNDRED;
    let least = |sets: f64| ((sets * HUNDRED * share).ceil() as u32).max(label_from(kb, sets)).min(hundredths(sets));
    let kept = before.muscles.iter().filter(|m| m.sets > 0.0 && is_kept(kb, m.muscle, setting));
    kept.map(|m| (m.muscle, least(m.sets))).collect()
}

/// What is left of each muscle where the fewest sets cannot be kept: half of them, and not too few.
fn muscles_floor(kb: &Kb, before: &Audit<'_>, setting: &Setting<'_>) -> Vec<(usize, u32)> {
    let enough = enough_from(kb);
    let floor = |sets: f64| {
        let all = hundredths(sets);
        (all / 2).max(if all >= enough { enough } else { 0 })
    };
    let kept = before.muscles.iter().filter(|m| m.sets > 0.0 && is_kept(kb, m.muscle, setting));
    kept.map(|m| (m.muscle, floor(m.sets))).collect()
}

/// Most sets of each muscle: below what is told as too many, or no more than now.
fn muscles_most(kb: &Kb, before: &Audit<'_>) -> Vec<(usize, u32)> {
    let many = kb.week.labels.iter().filter(|l| l.told != Some(TooFewOrMany::Many)).filter_map(|l| l.up_to).max();
    let Some(most) = many else { return Vec::new() };
    // Whole sets count, so that all but the next whole set is left.
    let most = u32::from(most) * 100 + 99;
    before.muscles.iter().map(|m| (m.muscle, most.max(hundredths(m.sets)))).collect()
}

/// Kinds of work that are in balance now stay so.
fn balances(kb: &Kb, before: &Audit<'_>, level: Training) -> Vec<BalanceLimit> {
    let Some(limit) = kb.week.rule("balance").and_then(|r| r.limit(level)) else { return Vec::new() };
    let mut out = Vec::new();
    for sets in &before.balances {
        let Some(balance) = kb.week.balances.get(sets.balance) else { continue };
        let (more, less) = (sets.left.max(sets.right), sets.left.min(sets.right));
        let apart = f64::from(more) > limit * f64::from(less) && f64::from(more - less) >= balance.least_difference;
        if less > 0 && !apart {
            out.push(BalanceLimit {
                balance: sets.balance,
                percent: (limit * HUNDRED).floor().max(HUNDRED) as u32,
                least_difference: balance.least_difference.ceil().max(1.0) as u32,
            });
        }
    }
    out
}
