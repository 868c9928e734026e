//! Loads: carry-over between lifts, from the base's pairs to both doors.
//!
//! Leans on figures of the practice tables (named beside each check) and on laws that hold for any
//! two lifts. Leaves to others: the rules that a base must keep (`tests/all/base.rs`).

use std::process::Command;
use std::sync::{Arc, LazyLock};

use actix_web::rt::System;
use actix_web::test::{TestRequest, call_service, init_service, read_body};
use proptest::prelude::*;
use serde_json::{Value, json};
use stead::ask::carryover::{Reply, Request, Sure, WhyNone, answer};
use stead::ask::{Engine, schema};
use stead::kb::raw::{CarryOver, LoadCount};
use stead::load::carryover::{By, Confidence, Graph, LineError, NoRatio, Ratio, along, count};
use stead::units::Kg;

static ENGINE: LazyLock<Arc<Engine>> = LazyLock::new(|| Arc::new(Engine::shipped().expect("the shipped base opens")));
static GRAPH: LazyLock<Graph<'static>> = LazyLock::new(|| Graph::new(ENGINE.kb()));

fn row(id: &str) -> usize {
    ENGINE.kb().row_of(id).unwrap_or_else(|| panic!("no {id}"))
}

fn between(from: &str, to: &str) -> Result<Ratio, NoRatio> {
    GRAPH.between(row(from), row(to))
}

fn pair(from: &str, to: &str) -> &'static CarryOver {
    let found = ENGINE.kb().carryover.iter().find(|p| p.from == from && p.to == to);
    found.unwrap_or_else(|| panic!("no pair {from} {to}"))
}

#[track_caller]
fn near(is: f64, should: f64, within: f64) {
    assert!((is - should).abs() <= within, "{is}, not {should}");
}

// Published figures.

/// Practice tables 2.1 and 2.2, the lines "Checks": loads for six repetitions worked out from the
/// published equations (Ebben 2008 and 2010, Wong 2010 and 2013).
#[test]
fn equations_give_the_published_loads() {
    let squat = "back-squat-high-bar";
    for (from, load, to, basis, should, within) in [
        (squat, 100.0, "deadlift-conventional", "ebben-2008", 97.92, 0.005),
        (squat, 100.0, "lunge-reverse-barbell", "ebben-2008", 66.82, 0.005),
        (squat, 100.0, "step-up-barbell", "ebben-2008", 53.32, 0.005),
        (squat, 100.0, "leg-extension", "ebben-2008", 57.58, 0.005),
        (squat, 100.0, "deadlift-conventional", "wong-2010", 95.40, 0.005),
        (squat, 100.0, "leg-press", "wong-2010", 182.10, 0.005),
        (squat, 100.0, "lunge-reverse-barbell", "wong-2010", 70.39, 0.005),
        (squat, 100.0, "step-up-barbell", "wong-2010", 74.64, 0.005),
        (squat, 120.0, "stiff-leg-deadlift", "ebben-2010", 96.8, 0.05),
        (squat, 120.0, "good-morning-barbell", "ebben-2010", 67.5, 0.1),
        (squat, 120.0, "romanian-deadlift-single-leg-barbell", "ebben-2010", 51.6, 0.05),
        (squat, 120.0, "leg-curl-seated", "ebben-2010", 27.3, 0.05),
        ("bench-press", 60.0, "curl-hammer", "wong-2013", 23.1, 0.005),
        ("bench-press", 60.0, "curl-barbell", "wong-2013", 26.0, 0.005),
        ("bench-press", 60.0, "triceps-extension-overhead-dumbbell", "wong-2013", 19.2, 0.005),
        ("bench-press", 60.0, "dumbbell-shoulder-press-seated", "wong-2013", 31.04, 0.005),
    ] {
        let line = pair(from, to).equations.iter().find(|e| e.basis == basis).expect("an equation");
        assert_eq!(line.repetitions, 6);
        near(along(line, Kg(load)).expect("a load").get(), should, within);
    }
}

#[test]
fn an_equation_never_gives_a_load_that_is_none() {
    let mut line = pair("back-squat-high-bar", "good-morning-barbell").equations[0].clone();
    assert!(matches!(along(&line, Kg(45.0)), Err(LineError::Outside { .. })));
    assert!(matches!(along(&line, Kg(f64::NAN)), Err(LineError::Outside { .. })));
    // The intercept as first printed, in pounds under the name of kilograms (practice table 2.1).
    line.intercept_kg = -105.505;
    let Err(LineError::NoLoad(made)) = along(&line, Kg(100.0)) else { panic!("a load") };
    near(made.get(), -9.405, 0.001);
}

/// Practice tables 2.1 and 2.2: typical, low and high as printed.
#[test]
fn given_pairs_are_told_as_printed() {
    for (from, to, typical, low, high) in [
        ("back-squat-high-bar", "front-squat-clean-grip", 0.82, 0.75, 0.90),
        ("back-squat-high-bar", "goblet-squat", 0.38, 0.25, 0.50),
        ("back-squat-high-bar", "leg-press", 1.80, 1.30, 2.50),
        ("back-squat-high-bar", "deadlift-conventional", 1.20, 1.00, 1.40),
        ("deadlift-conventional", "trap-bar-deadlift-low-handle", 1.07, 1.00, 1.15),
        ("deadlift-conventional", "hip-thrust-barbell", 1.10, 0.85, 1.50),
        ("bench-press", "dumbbell-bench-press", 0.41, 0.35, 0.46),
        ("bench-press", "dip", 1.25, 1.00, 1.55),
        ("overhead-press-barbell", "dumbbell-shoulder-press-seated", 0.48, 0.38, 0.52),
        ("pull-up", "lat-pulldown-wide", 0.80, 0.65, 0.95),
        ("curl-barbell", "curl-incline", 0.38, 0.28, 0.48),
        ("clean-and-jerk", "back-squat-high-bar", 1.31, 1.25, 1.40),
    ] {
        let found = between(from, to).expect("a ratio");
        assert_eq!(found.confidence, Confidence::Given);
        let range = found.range;
        near(range.typical, typical, 1e-12);
        near(range.low, low, 1e-12);
        near(range.high, high, 1e-12);
    }
}

/// Two hands are told for each hand where the record counts so: 0.33 held in all (practice table
/// 2.1) is 0.165 a hand.
#[test]
fn pairs_counted_together_become_each_hand() {
    let found = between("deadlift-conventional", "romanian-deadlift-single-leg-dumbbell").expect("a ratio");
    near(found.range.typical, 0.165, 1e-12);
    near(found.range.low, 0.11, 1e-12);
    near(found.range.high, 0.225, 1e-12);
    assert_eq!(count(ENGINE.kb(), row("romanian-deadlift-single-leg-dumbbell")), LoadCount::PerHand);
    assert_eq!(count(ENGINE.kb(), row("dip-weighted")), LoadCount::BodyAndAdded);
    assert_eq!(count(ENGINE.kb(), row("back-extension-45-loaded")), LoadCount::Added);
}

/// The note of the base about ratios that stand for equations: the mean at a usual load (squat 100
/// kg, bench press 60 kg), a fifth beyond the least and greatest between 80 and 140, 40 and 100 kg.
#[test]
fn ratios_that_stand_for_equations_are_those_of_the_equations() {
    let mut seen = 0;
    for p in ENGINE.kb().carryover.iter().filter(|p| p.ratio_from_equations) {
        let loads = if p.from == "bench-press" { [40.0, 60.0, 100.0] } else { [80.0, 100.0, 140.0] };
        let at = |load: f64| p.equations.iter().map(move |e| along(e, Kg(load)).expect("a load").get() / load);
        near(p.ratio, at(loads[1]).sum::<f64>() / p.equations.len() as f64, 0.006);
        let all: Vec<f64> = loads.into_iter().flat_map(at).collect();
        near(p.low, 0.8 * all.iter().copied().fold(f64::MAX, f64::min), 0.006);
        near(p.high, 1.2 * all.iter().copied().fold(0.0, f64::max), 0.006);
        seen += 1;
    }
    assert_eq!(seen, 11);
}

/// The typical loads of the exercises and the pairs are two statements of one thing.
#[test]
fn typical_loads_keep_the_range_of_their_pair() {
    let kb = ENGINE.kb();
    let mut wrong = Vec::new();
    for (p, (from, to)) in kb.carryover.iter().zip(&kb.carryover_rows) {
        let (from, to) = (*from as usize, *to as usize);
        if kb.anchor_of[from] != kb.anchor_of[to] || p.from == "pull-up" {
            continue;
        }
        let told = kb.anchor_share[to] / kb.anchor_share[from];
        let range = GRAPH.between(from, to).expect("a ratio").range;
        if told < range.low || told > range.high {
            wrong.push(format!("{} to {}: typical loads say {told:.2}", p.from, p.to));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Practice table 2.2: a lifter of 80 kg presses these loads in push-ups.
#[test]
fn shares_of_body_mass_give_the_printed_loads() {
    for (id, kg) in [
        ("push-up-peak", 51.2),
        ("push-up-kneeling-peak", 39.2),
        ("push-up-feet-30-peak", 56.0),
        ("push-up-feet-61-peak", 59.2),
        ("push-up-hands-30-peak", 44.0),
        ("push-up-hands-61-peak", 32.8),
    ] {
        let share = ENGINE.kb().body_shares.iter().find(|s| s.id == id).expect("a share");
        near(share.share * 80.0, kg, 1e-9);
    }
}

// Derived ratios.

#[test]
fn a_path_goes_over_given_pairs_and_widens() {
    let found = between("goblet-squat", "bulgarian-split-squat-barbell").expect("a ratio");
    assert_eq!(found.confidence, Confidence::Derived);
    let over: Vec<usize> = found.steps.iter().map(|s| s.to).collect();
    assert_eq!(over, [row("back-squat-high-bar"), row("bulgarian-split-squat-barbell")]);
    near(found.range.typical, 0.50 / 0.38, 1e-12);
    // Up: goblet squat to back squat 0.38 / 0.25, on to 0.60 / 0.50; in quadrature of logarithms.
    let up = (0.38f64 / 0.25).ln().hypot((0.60f64 / 0.50).ln());
    near(found.range.high, 0.50 / 0.38 * up.exp(), 1e-12);
    let down = (0.50f64 / 0.38).ln().hypot((0.50f64 / 0.40).ln());
    near(found.range.low, 0.50 / 0.38 * (-down).exp(), 1e-12);
}

#[test]
fn a_narrow_pair_counts_with_the_spread_of_single_lifters_in_a_path() {
    let found = between("clean-and-jerk", "clean-full").expect("a ratio");
    near(found.range.typical, 1.31 * 0.82, 1e-12);
    near(found.range.high / found.range.typical, (1.15f64.ln() * 2f64.sqrt()).exp(), 1e-9);
}

#[test]
fn a_variation_steps_to_its_parent() {
    let found = between("front-squat-pause", "safety-bar-squat").expect("a ratio");
    assert_eq!(found.confidence, Confidence::Derived);
    assert_eq!(found.steps[0].by, By::Variation);
    near(found.range.typical, 0.82 / 0.74 / 0.82 * 0.92, 1e-12);
}

#[test]
fn an_anchor_lift_gives_a_guess() {
    let found = between("lat-pulldown-wide", "straight-arm-pulldown-cable").expect("a ratio");
    assert_eq!(found.confidence, Confidence::Guess);
    near(found.range.typical, 0.30 / 0.80, 1e-12);
    assert_eq!(found.steps.len(), 2);
}

#[test]
fn men_and_women_are_told_apart_where_they_differ() {
    let found = between("pull-up", "lat-pulldown-wide").expect("a ratio");
    assert_eq!(found.women, Some(0.75));
    near(found.turned().women.expect("a ratio"), 1.0 / 0.75, 1e-12);
    assert_eq!(between("pull-up", "lat-pulldown-neutral").expect("a ratio").women, None);
}

#[test]
fn what_cannot_be_compared_is_refused_by_kind() {
    let refused = |from, to| between(from, to).expect_err("a refusal");
    let share = 0.64;
    assert_eq!(refused("bench-press", "push-up"), NoRatio::BodyIsLoad { row: row("push-up"), share });
    assert_eq!(refused("push-up-loaded", "push-up"), NoRatio::BodyIsLoad { row: row("push-up-loaded"), share });
    assert_eq!(refused("plank-forearm", "bench-press"), NoRatio::InSeconds { row: row("plank-forearm") });
    assert_eq!(refused("bench-press", "floor-press-band"), NoRatio::NoLoad { row: row("floor-press-band") });
    assert_eq!(refused("bench-press", "back-squat-high-bar"), NoRatio::Unlinked);
    let nowhere = ENGINE.kb().len();
    assert_eq!(GRAPH.between(0, nowhere).expect_err("a refusal"), NoRatio::NoSuchRow { row: nowhere });
}

// Laws.

proptest! {
    #![proptest_config(ProptestConfig::with_cases(600))]

    #[test]
    fn ratios_keep_their_laws(a in 0..ENGINE.kb().len(), b in 0..ENGINE.kb().len()) {
        let (there, back) = match (GRAPH.between(a, b), GRAPH.between(b, a)) {
            (Ok(there), Ok(back)) => (there, back),
            (there, back) => {
                prop_assert!(there.is_err() && back.is_err());
                return Ok(());
            }
        };
        prop_assert!((there.range.typical * back.range.typical - 1.0).abs() < 1e-9);
        prop_assert!((there.range.low * back.range.high - 1.0).abs() < 1e-9);
        prop_assert_eq!(there.confidence, back.confidence);
        for ratio in [&there, &back] {
            let r = ratio.range;
            prop_assert!(r.low > 0.0 && r.low <= r.typical && r.typical <= r.high && r.high.is_finite());
        }
        // The path is whole, and its product is the ratio.
        let mut here = a;
        let mut product = 1.0;
        for step in &there.steps {
            prop_assert_eq!(step.from, here);
            here = step.to;
            product *= step.ratio.typical;
        }
        prop_assert_eq!(here, b);
        prop_assert!((product / there.range.typical - 1.0).abs() < 1e-9);
        // A longer path is never surer, and its range is never narrower.
        for step in &there.steps {
            let part = GRAPH.between(a, step.to).expect("a part of a path is one");
            prop_assert!(part.confidence >= there.confidence);
            prop_assert!(part.steps.len() <= there.steps.len());
        }
        if there.steps.len() > 1 {
            let width = |s: &stead::load::carryover::Step| s.ratio.high / s.ratio.low;
            let widest = there.steps.iter().map(width).fold(1.0, f64::max);
            prop_assert!(there.range.high / there.range.low > widest);
        }
    }

    #[test]
    fn a_lift_is_itself(a in 0..ENGINE.kb().len()) {
        if let Ok(same) = GRAPH.between(a, a) {
            prop_assert_eq!((same.range.typical, same.range.low, same.range.high), (1.0, 1.0, 1.0));
            prop_assert!(same.steps.is_empty() && same.confidence == Confidence::Given);
        }
    }
}

#[test]
fn most_lifts_with_a_load_have_a_ratio_to_their_anchor() {
    let kb = ENGINE.kb();
    let mut found = 0;
    for at in 0..kb.len() {
        let anchor = &kb.anchors[usize::from(kb.anchor_of[at])];
        if let Some(lift) = anchor.exercise.as_deref().filter(|_| !kb.table.rows[at].holds) {
            assert!(GRAPH.between(row(lift), at).is_ok(), "{}", kb.ids[at]);
            found += 1;
        }
    }
    assert!(found > 450, "{found}");
}

// The question.

fn asked(from: &str, to: &str) -> Reply<'static> {
    answer(&ENGINE, &Request { from: from.to_string(), to: to.to_string() }).expect("an answer")
}

#[test]
fn the_question_tells_the_way_and_the_equations() {
    let reply = asked("back squat", "deadlift");
    let ratio = reply.ratio.expect("a ratio");
    assert_eq!((ratio.typical, ratio.low, ratio.high, ratio.confidence), (1.2, 1.0, 1.4, Sure::Given));
    assert_eq!(reply.equations.len(), 2);
    assert!(reply.equations[0].said.contains("0.83 x load + 14.92 kg"), "{}", reply.equations[0].said);
    assert!(reply.path[0].said.contains("is 1.2 of"), "{}", reply.path[0].said);
    assert!(reply.none.is_none() && !reply.cautions.is_empty());
    // Asked the other way round the equation stays as published, its lifts named.
    let back = asked("deadlift", "back squat");
    assert_eq!(back.equations[0].from, reply.equations[0].from);
}

#[test]
fn the_question_says_why_there_is_none() {
    let reply = asked("bench press", "push-up");
    let none = reply.none.expect("a reason");
    assert_eq!(none.reason, WhyNone::BodyIsLoad);
    assert!(none.said.contains("0.64 of body mass"), "{}", none.said);
    assert!(reply.shares.iter().any(|s| s.id == "push-up-peak"));
    assert!(reply.ratio.is_none() && reply.path.is_empty());
}

fn stead(args: &[&str]) -> (i32, String, String) {
    let output = Command::new(env!("CARGO_BIN_EXE_stead")).args(args).env_remove("CLICOLOR_FORCE").output().unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (output.status.code().unwrap(), text(output.stdout), text(output.stderr))
}

fn post(body: &Value) -> (u16, String) {
    System::new().block_on(async {
        let app = init_service(stead::http::app(Arc::clone(&ENGINE))).await;
        let reply = call_service(&app, TestRequest::post().uri("/v1/carryover").set_json(body).to_request()).await;
        let status = reply.status().as_u16();
        (status, String::from_utf8(read_body(reply).await.to_vec()).unwrap())
    })
}

#[test]
fn both_doors_tell_the_same_carry_over() {
    let all = schema::all();
    let of = |name: &str| &all.iter().find(|(n, _)| *n == name).unwrap().1;
    let kept = jsonschema::draft202012::new(of("carryover-reply.json")).unwrap();
    let taken = jsonschema::draft202012::new(of("carryover-request.json")).unwrap();
    for (from, to, code) in [
        ("back squat", "front squat", 0),
        ("goblet squat", "safety bar squat", 0),
        ("pull-up", "lat pulldown wide", 0),
        ("bench press", "hammer curl", 0),
        ("deadlift", "deadlift", 0),
        ("push-up", "bench press", 1),
        ("bench press", "back squat", 1),
    ] {
        let question = json!({"from": from, "to": to});
        assert!(taken.is_valid(&question));
        let (status, served) = post(&question);
        let said = stead(&["carryover", from, to, "--json"]);
        assert_eq!((status, said.0, said.2.as_str()), (200, code, ""), "{from} {to}");
        assert_eq!(said.1.trim_end(), served, "{from} {to}");
        let reply: Value = serde_json::from_str(&served).unwrap();
        let faults: Vec<String> = kept.iter_errors(&reply).map(|e| format!("{}: {e}", e.instance_path())).collect();
        assert!(faults.is_empty(), "{faults:?}");
        let text = stead(&["carryover", from, "to", to]);
        assert_eq!(text.0, code);
        assert!(text.1.lines().all(|l| l.chars().count() <= 60), "{}", text.1);
    }
}

#[test]
fn wrong_lifts_are_refused_with_their_place() {
    for (question, pointer, code) in [
        (json!({"from": "winch handle yank", "to": "deadlift"}), "/from", "unknown-exercise"),
        (json!({"from": "deadlift", "to": "squat machine"}), "/to", "ambiguous-exercise"),
        (json!({"from": "deadlift"}), "/to", "empty-value"),
    ] {
        let (status, body) = post(&question);
        let problem: Value = serde_json::from_str(&body).unwrap();
        assert_eq!(status, 422, "{body}");
        assert_eq!((&problem["pointer"], &problem["code"]), (&json!(pointer), &json!(code)));
    }
    let (code, out, err) = stead(&["carryover", "deadlift"]);
    assert_eq!((code, out.as_str()), (2, ""));
    assert!(err.starts_with("error: ") && err.contains("hint: "), "{err}");
}
