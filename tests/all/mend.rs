//! The smallest change to a week: the optimum beside another solver's, and what holds of every mend.
//!
//! Leans on `tests/fixtures/milp.json`, written by gen_milp.py with scipy and HiGHS. Leaves to
//! others: the audit itself (`week`).

use std::time::Duration;

use serde_json::Value;
use stead::week::Day;
use stead::week::mend::model::{Ask, BalanceLimit, Error, HeavyGap, Limits, Mended, Model, Way};

use crate::read;

/// Far more than any of these takes; a limit hit would show as a cost that is not proven.
const LONG: Duration = Duration::from_secs(60);

fn number(value: &Value) -> u32 {
    u32::try_from(value.as_u64().unwrap()).unwrap()
}

fn optional(value: &Value) -> Option<u32> {
    value.as_u64().map(|n| u32::try_from(n).unwrap())
}

fn list(value: &Value) -> &[Value] {
    value.as_array().unwrap()
}

fn day(value: &Value) -> Day {
    Day::new(u8::try_from(number(value)).unwrap()).unwrap()
}

/// So many sets of an exercise of the fixture; its header says what stands where.
fn way(cost: u32, day: Day, sets: u32, what: &[Value]) -> Way {
    let n = |at: usize| number(&what[at]);
    let top = n(0) == 3;
    Way {
        cost,
        day: Some(day),
        // Of no consequence here: these weeks may have an exercise twice in a day.
        exercise: 0,
        points: sets * n(0),
        top_sets: if top { sets } else { 0 },
        heavy: n(1) == 1,
        hinge_sets: if top && n(2) == 1 { sets } else { 0 },
        open_row: n(3) == 1,
        heavy_pull: n(4) == 1,
        tally: vec![(0, sets * n(5))],
        beyond: if n(6) == 1 { vec![0] } else { vec![] },
        no_kit: n(7) == 1,
        stacked: vec![(0, sets * n(8))],
        patterns: vec![n(9) as usize],
        balances: match n(10) {
            1 => vec![(0, sets, 0)],
            2 => vec![(0, 0, sets)],
            _ => vec![],
        },
        muscles: what[11..].iter().enumerate().map(|(m, each)| (m, sets * number(each))).collect(),
    }
}

fn model(case: &Value) -> Model {
    let mut rows: Vec<Vec<Way>> = Vec::new();
    let mut used: Vec<Day> = Vec::new();
    for row in list(&case["rows"]) {
        let (on, sets, what) = (day(&row[0]), number(&row[1]), list(&row[2]));
        used.push(on);
        let mut ways = vec![way(0, on, sets, what)];
        ways.extend((1..sets).map(|to| way(1000 * (sets - to), on, to, what)));
        ways.extend(Day::ALL.iter().filter(|d| **d != on).map(|d| way(2000, *d, sets, what)));
        ways.extend(list(&row[3]).iter().map(|swap| way(3000 + number(&swap[0]), on, sets, list(&swap[1]))));
        ways.push(Way { cost: 4000, ..Way::default() });
        rows.push(ways);
    }
    used.sort_unstable();
    used.dedup();
    for added in list(&case["added"]) {
        let sets = number(&added[0]);
        let mut ways = vec![Way::default()];
        ways.extend(used.iter().map(|d| way(1000 * sets, *d, sets, list(&added[1]))));
        rows.push(ways);
    }
    let limits = &case["limits"];
    let pairs = |name: &str| list(&limits[name]).iter().map(|p| (number(&p[0]) as usize, number(&p[1]))).collect();
    Model {
        rows,
        limits: Limits {
            points_week: optional(&limits["points_week"]),
            top_week: optional(&limits["top_week"]),
            top_day: optional(&limits["top_day"]),
            top_days: optional(&limits["top_days"]),
            top_in_row: optional(&limits["top_in_row"]),
            heavy_gap: limits["heavy_gap"]
                .as_array()
                .map(|gap| HeavyGap { sets: number(&gap[0]), days: number(&gap[1]) }),
            hinge_days_apart: optional(&limits["hinge_days_apart"]),
            row_after_hinge: optional(&limits["row_after_hinge"]),
            pull_gap: optional(&limits["pull_gap"]),
            sessions: optional(&limits["sessions"]),
            days_in_row: optional(&limits["days_in_row"]),
            muscles_least: pairs("muscles_least"),
            muscles_most: pairs("muscles_most"),
            muscles_floor: Vec::new(),
            missing: Vec::new(),
            once_a_day: false,
            stacked: optional(&limits["stacked"]).map(|most| (0, most)).into_iter().collect(),
            sore: optional(&limits["sore"]).into_iter().collect(),
            kit: limits["kit"].as_bool().unwrap(),
            patterns: list(&limits["patterns"]).iter().map(|p| number(p) as usize).collect(),
            balances: limits["balance"]
                .as_array()
                .map(|b| BalanceLimit { balance: 0, percent: number(&b[0]), least_difference: number(&b[1]) })
                .into_iter()
                .collect(),
        },
    }
}

fn cases() -> Vec<(Model, Option<i64>)> {
    let fixture: Value = serde_json::from_str(&read("tests/fixtures/milp.json")).unwrap();
    assert_eq!(fixture["costs"], serde_json::json!({"set": 1000, "move": 2000, "swap": 3000, "drop": 4000}));
    list(&fixture["cases"]).iter().map(|case| (model(case), case["cost"].as_i64())).collect()
}

/// The same weeks with the mended rows as they stand, and every other way still open: what it costs
/// to mend the mended.
fn taken(model: &Model, mended: &Mended) -> Model {
    let mut next = model.clone();
    for (ways, at) in next.rows.iter_mut().zip(&mended.ways) {
        let kept = Way { cost: 0, ..ways[*at].clone() };
        ways.iter_mut().for_each(|way| way.cost = way.cost.max(1000));
        ways.insert(0, kept);
    }
    next
}

#[test]
fn the_cheapest_mend_costs_what_scipy_says() {
    let cases = cases();
    assert_eq!(cases.len(), 200);
    let mut wrong = Vec::new();
    for (at, (model, theirs)) in cases.iter().enumerate() {
        match (model.solve(LONG), theirs) {
            (Ok(ours), Some(theirs)) if ours.cost == *theirs && ours.proven() => {}
            (Err(Error::Conflict(_)), None) => {}
            (ours, theirs) => wrong.push(format!("case {at}: {ours:?}, scipy {theirs:?}")),
        }
    }
    assert!(wrong.is_empty(), "{} differ\n{}", wrong.len(), wrong.join("\n"));
}

#[test]
fn a_mended_week_needs_no_mend_and_a_sound_one_costs_nothing() {
    for (at, (model, cost)) in cases().iter().enumerate() {
        let Ok(mended) = model.solve(LONG) else { continue };
        assert_eq!(Some(mended.cost), *cost);
        let again = taken(model, &mended).solve(LONG).unwrap();
        assert_eq!((again.cost, again.ways.iter().sum::<usize>()), (0, 0), "case {at}");
    }
}

#[test]
fn a_mend_never_raises_the_tally_of_a_sore_region() {
    let tally = |way: &Way| way.tally.iter().map(|(_, t)| *t).sum::<u32>();
    for (at, (model, _)) in cases().iter().enumerate().filter(|(_, (m, _))| !m.limits.sore.is_empty()) {
        let mended = model.solve_as_far_as_possible(LONG).unwrap();
        let before: u32 = model.rows.iter().map(|ways| tally(&ways[0])).sum();
        let after: u32 = model.rows.iter().zip(&mended.ways).map(|(ways, w)| tally(&ways[*w])).sum();
        assert!(after <= before, "case {at}: {before} to {after}");
    }
}

/// A conflict is told whole and not more than whole: with any one ask left out, the others can be
/// met; and giving up asks one by one ends in a mend.
#[test]
fn a_conflict_names_no_ask_that_could_stay() {
    for (at, (model, _)) in cases().iter().enumerate().filter(|(_, (_, cost))| cost.is_none()) {
        let Err(Error::Conflict(asks)) = model.solve(LONG) else { panic!("case {at} has an answer") };
        let of = |asks: &[Ask]| only(model, asks);
        assert!(matches!(of(&asks).solve(LONG), Err(Error::Conflict(same)) if same == asks), "case {at}: {asks:?}");
        for ask in &asks {
            let others: Vec<Ask> = asks.iter().copied().filter(|a| a != ask).collect();
            assert!(of(&others).solve(LONG).is_ok(), "case {at}: {asks:?} without {ask:?} still fails");
        }
        let mended = model.solve_as_far_as_possible(LONG).unwrap();
        assert!(!mended.given_up.is_empty() && mended.proven(), "case {at}");
    }
}

/// The same week with the limits of these asks alone.
fn only(model: &Model, asks: &[Ask]) -> Model {
    let mut rows = model.rows.clone();
    if !asks.contains(&Ask::Beyond(0)) {
        rows.iter_mut().flatten().for_each(|way| way.beyond.clear());
    }
    let all = &model.limits;
    let mut out = Limits::default();
    for ask in asks {
        match *ask {
            Ask::OnceADay => out.once_a_day = all.once_a_day,
            Ask::Kit => out.kit = all.kit,
            // These weeks have one sore region; without its tally, anything is low enough.
            Ask::Tally(_) => out.sore = all.sore.clone(),
            Ask::Beyond(_) if out.sore.is_empty() => out.sore = vec![u32::MAX],
            Ask::Beyond(_) => {}
            Ask::Stacked(_) => out.stacked = all.stacked.clone(),
            Ask::TopDay => out.top_day = all.top_day,
            Ask::HeavyGap => out.heavy_gap = all.heavy_gap,
            Ask::HingeDaysApart => out.hinge_days_apart = all.hinge_days_apart,
            Ask::RowAfterHinge => out.row_after_hinge = all.row_after_hinge,
            Ask::PullGap => out.pull_gap = all.pull_gap,
            Ask::TopInRow => out.top_in_row = all.top_in_row,
            Ask::TopDays => out.top_days = all.top_days,
            Ask::TopWeek => out.top_week = all.top_week,
            Ask::Points => out.points_week = all.points_week,
            Ask::Sessions => out.sessions = all.sessions,
            Ask::DaysInRow => out.days_in_row = all.days_in_row,
            Ask::MuscleMost(m) => out.muscles_most.extend(all.muscles_most.iter().filter(|(at, _)| *at == m)),
            Ask::MuscleFloor(m) => out.muscles_floor.extend(all.muscles_floor.iter().filter(|(at, _)| *at == m)),
            Ask::MuscleLeast(m) => out.muscles_least.extend(all.muscles_least.iter().filter(|(at, _)| *at == m)),
            Ask::Balance(_) => out.balances = all.balances.clone(),
            Ask::Missing(p) => out.missing.extend(all.missing.iter().filter(|at| **at == p)),
            Ask::Pattern(p) => out.patterns.extend(all.patterns.iter().filter(|at| **at == p)),
        }
    }
    Model { rows, limits: out }
}
