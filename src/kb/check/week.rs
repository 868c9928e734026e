//! Rules on `week.json`: that the audit of a week finds every figure it asks for.
//!
//! Leans on [`Context`] for what a rule may look up. Leaves to others: names of exercises, muscles
//! and patterns, which the rules on references ask for ([`super`]), and the audit itself.

use std::collections::BTreeMap;

use super::{Context, must_be, plain};
use crate::kb::draft::Placed;
use crate::kb::problem::Problem;
use crate::kb::raw::{self, SpineClass, TooFewOrMany, Training};

/// Rules of the audit of a week, each with whether it has a limit for every level; the week's own
/// module finds what breaks them, under these names.
pub const WEEK_RULES: &[(&str, bool)] = &[
    ("a3-sets-day", true),
    ("a3-sets-week", true),
    ("points-week", true),
    ("a3-days", true),
    ("a3-in-a-row", true),
    ("a3-gap", true),
    ("hinge-next-day", false),
    ("row-after-hinge", true),
    ("heavy-pulls", true),
    ("order", false),
    ("hinge-and-row-late", false),
    ("load-jump", true),
    ("sessions", true),
    ("days-in-a-row", true),
    ("deload-due", true),
    ("deload-near", true),
    ("deload-signal", false),
    ("sore", false),
    ("joint-stack", true),
    ("kit", false),
    ("ceiling", false),
    ("stock", false),
    ("stock-step", false),
    ("stock-end", true),
    ("muscle-few", false),
    ("muscle-many", false),
    ("pattern-missing", false),
    ("balance", true),
    ("stale-main", true),
    ("stale-accessory", true),
    ("stale-flat", true),
    ("check-number", true),
];

/// Highest tier.
const HIGHEST: u8 = 3;

pub(super) fn complete(c: &Context<'_>, out: &mut Vec<Problem>) {
    let Some(p) = &c.draft.week else { return };
    rules(p, out);
    tiers(p, out);
    let v = &p.value;
    let mut wrong = |step: &str, found: String, hint: &str| {
        out.push(p.problem(step, "week-complete", found, hint.to_string()));
    };
    let ends: Vec<Option<u16>> = v.labels.iter().map(|l| l.up_to).collect();
    let rising = ends.iter().zip(ends.iter().skip(1)).all(|(a, b)| b.is_none_or(|b| a.is_some_and(|a| a < b)));
    let closed = ends.iter().rev().skip(1).any(Option::is_none) || ends.last().is_none_or(Option::is_some);
    if !rising || closed {
        wrong("/labels", format!("up to {ends:?}"), "rising, the last one without an end");
    }
    let n = &v.counting;
    let shares = [n.direct, n.indirect, n.holding, n.direct_from, n.indirect_from];
    if !(shares.iter().all(|s| (0.0..=1.0).contains(s)) && n.direct >= n.indirect && n.direct_from >= n.indirect_from) {
        wrong("/counting", format!("{shares:?}"), "shares from 0 to 1, a main mover's not below a helper's");
    }
    let a = &v.as_repetitions;
    if !(a.seconds > 0.0 && a.metres > 0.0) {
        wrong("/as_repetitions", format!("{} s, {} m", a.seconds, a.metres), "above 0");
    }
    let d = &v.deload;
    let share = |low: f64, high: f64| (0.0..=high).contains(&low) && high < 1.0;
    let days = d.days_low > 0 && d.days_low <= d.days_high;
    if !(days && share(d.sets_off_low, d.sets_off_high) && share(d.load_off_low, d.load_off_high)) {
        let found = format!(
            "{} to {} days, {} to {} of the sets, {} to {} of the load",
            d.days_low, d.days_high, d.sets_off_low, d.sets_off_high, d.load_off_low, d.load_off_high
        );
        wrong("/deload", found, "low ends not above high ends, shares below 1");
    }
    let m = &v.mending;
    let costs = [m.swap, m.swap_loss, m.move_day, m.move_to_free_day, m.set_off, m.set_on, m.drop, m.main_lift];
    let sound = costs.iter().all(|c| c.is_finite() && (0.0..=MOST_COST).contains(c));
    if !(sound && (0.0..=100.0).contains(&m.tolerance_percent) && m.added_sets > 0) {
        let found = format!("{costs:?}, {} %, {} sets", m.tolerance_percent, m.added_sets);
        wrong("/mending", found, "costs from 0 to 100, a tolerance from 0 to 100 %, a set at least");
    }
}

/// Most that one change of a week may cost.
const MOST_COST: f64 = 100.0;

/// Every rule of the program once, with limits where it has some, and no other.
fn rules(p: &Placed<raw::WeekFigures>, out: &mut Vec<Problem>) {
    let mut seen: BTreeMap<&str, usize> = BTreeMap::new();
    for (i, rule) in p.value.rules.iter().enumerate() {
        let step = format!("/rules/{i}");
        let known = plain(WEEK_RULES.iter().map(|(id, _)| *id));
        must_be(p, &format!("{step}/id"), "week-complete", &rule.id, known, out);
        if let Some(first) = seen.insert(&rule.id, i) {
            let found = format!("{:?} a second time; the first is /rules/{first}", rule.id);
            out.push(p.problem(&step, "week-complete", found, "keep one of them".to_string()));
        }
        let Some((_, limited)) = WEEK_RULES.iter().find(|(id, _)| *id == rule.id) else { continue };
        let limits: Vec<f64> = Training::ALL.iter().filter_map(|level| rule.limit(*level)).collect();
        let sound = limits.iter().all(|l| l.is_finite() && *l >= 0.0);
        let asked = if *limited { Training::ALL.len() } else { 0 };
        if limits.len() != asked || !sound {
            let hint = if *limited {
                "give a limit of 0 or more for novice, intermediate and advanced"
            } else {
                "this rule has no limit; take the numbers out"
            };
            out.push(p.problem(&step, "week-complete", format!("{:?}: {limits:?}", rule.id), hint.to_string()));
        }
    }
    for (id, _) in WEEK_RULES.iter().filter(|(id, _)| !seen.contains_key(id)) {
        out.push(p.problem("/rules", "week-complete", format!("no {id:?}"), format!("add {id:?} with its basis")));
    }
}

/// Every tier once, every class once.
fn tiers(p: &Placed<raw::WeekFigures>, out: &mut Vec<Problem>) {
    let v = &p.value;
    for tier in 0..=HIGHEST {
        let count = v.tiers.iter().filter(|t| t.tier == tier).count();
        if count != 1 {
            let found = format!("tier {tier} {count} times");
            out.push(p.problem("/tiers", "week-complete", found, "one record for each tier, 0 to 3".to_string()));
        }
    }
    for (i, t) in v.tiers.iter().enumerate().filter(|(_, t)| t.tier > HIGHEST) {
        let step = format!("/tiers/{i}/tier");
        out.push(p.problem(&step, "week-complete", format!("tier {}", t.tier), "0 to 3".to_string()));
    }
    for class in SpineClass::ALL {
        let count = v.tier_of_class.iter().filter(|t| t.class == *class).count();
        if count != 1 {
            let found = format!("class {class} {count} times");
            let hint = "one record for each spine class".to_string();
            out.push(p.problem("/tier_of_class", "week-complete", found, hint));
        }
    }
    for (i, t) in v.tier_of_class.iter().enumerate().filter(|(_, t)| t.free.max(t.carried) > HIGHEST) {
        let found = format!("tiers {} and {}", t.free, t.carried);
        out.push(p.problem(&format!("/tier_of_class/{i}"), "week-complete", found, "0 to 3".to_string()));
    }
    for told in TooFewOrMany::ALL.iter().filter(|w| !v.labels.iter().any(|l| l.told == Some(**w))) {
        let hint = format!("say at which label it is told: \"told\": \"{told}\"");
        out.push(p.problem("/labels", "week-complete", format!("no label that tells of too {told}"), hint));
    }
}

pub(super) fn tier_once(c: &Context<'_>, out: &mut Vec<Problem>) {
    let Some(p) = &c.draft.week else { return };
    let mut seen: BTreeMap<&str, String> = BTreeMap::new();
    for (i, tier) in p.value.tiers.iter().enumerate() {
        for (j, id) in tier.exercises.iter().enumerate() {
            let step = format!("/tiers/{i}/exercises/{j}");
            if let Some(first) = seen.insert(id, step.clone()) {
                let found = format!("{id:?} a second time; the first is {first}");
                out.push(p.problem(&step, "tier-once", found, "keep it in one tier".to_string()));
            }
        }
    }
}

/// Lists of patterns with their places.
pub(super) fn patterns(v: &raw::WeekFigures) -> impl Iterator<Item = (String, &String)> {
    fn placed(step: String, list: &[String]) -> impl Iterator<Item = (String, &String)> {
        list.iter().enumerate().map(move |(i, id)| (format!("{step}/{i}"), id))
    }
    let s = &v.spacing;
    let lists = [
        ("/spacing/hinge_patterns", &s.hinge_patterns),
        ("/spacing/floor_pull_patterns", &s.floor_pull_patterns),
        ("/spacing/row_patterns", &s.row_patterns),
        ("/spacing/anywhere", &s.anywhere),
        ("/spacing/wanted", &s.wanted),
    ];
    let left = v.balances.iter().enumerate().map(|(i, b)| (format!("/balances/{i}/left/patterns"), &b.left.patterns));
    let right =
        v.balances.iter().enumerate().map(|(i, b)| (format!("/balances/{i}/right/patterns"), &b.right.patterns));
    let spacing = lists.into_iter().map(|(step, list)| (step.to_string(), list));
    spacing.chain(left).chain(right).flat_map(|(step, list)| placed(step, list))
}

/// Lists of muscles with their places.
pub(super) fn muscles(v: &raw::WeekFigures) -> impl Iterator<Item = (String, &String)> {
    let lists = [("watched", &v.counting.watched), ("holding_muscles", &v.counting.holding_muscles)];
    lists
        .into_iter()
        .flat_map(|(name, list)| list.iter().enumerate().map(move |(i, id)| (format!("/counting/{name}/{i}"), id)))
}

/// Exercises named by a tier, with their places.
pub(super) fn exercises(v: &raw::WeekFigures) -> impl Iterator<Item = (String, &String)> {
    v.tiers.iter().enumerate().flat_map(|(i, tier)| {
        tier.exercises.iter().enumerate().map(move |(j, id)| (format!("/tiers/{i}/exercises/{j}"), id))
    })
}

/// What figures stand on, with their places.
pub(super) fn bases(v: &raw::WeekFigures) -> impl Iterator<Item = (String, &String)> {
    let rules = v.rules.iter().enumerate().map(|(i, x)| (format!("/rules/{i}/basis"), &x.basis));
    let tiers = v.tiers.iter().enumerate().map(|(i, x)| (format!("/tiers/{i}/basis"), &x.basis));
    let balances = v.balances.iter().enumerate().map(|(i, x)| (format!("/balances/{i}/basis"), &x.basis));
    let signals = v.deload_signals.iter().enumerate().map(|(i, x)| (format!("/deload_signals/{i}/basis"), &x.basis));
    let one = [
        ("/hard/basis", &v.hard.basis),
        ("/as_repetitions/basis", &v.as_repetitions.basis),
        ("/counting/basis", &v.counting.basis),
        ("/spacing/basis", &v.spacing.basis),
        ("/deload/basis", &v.deload.basis),
        ("/mending/basis", &v.mending.basis),
        ("/basis", &v.basis),
    ];
    rules.chain(tiers).chain(balances).chain(signals).chain(one.map(|(step, basis)| (step.to_string(), basis)))
}
