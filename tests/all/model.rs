//! The body model on the base: classes, a coach's tiers, published orders exercise by exercise.
//!
//! Leans on the shipped base and on `tests/fixtures/spearman.json` for the rank correlation. Leaves
//! to others: the statics themselves (`tests/all/mechanics.rs`). Tests named T8 to T18 follow the
//! list of published orders that `tests/all/mechanics.rs` follows too, with the source beside each.

use std::fmt::Write as _;
use std::sync::LazyLock;

use serde_json::Value;
use stead::ask::{Engine, check};
use stead::kb::files::Files;
use stead::kb::model::{self, ModelError};
use stead::kb::raw::{self, PostureKind, SpineClass};
use stead::kb::{Kb, deep};
use stead::mechanics::anthropometry::{Body, Sex};
use stead::units::{Degree, Kg, Metre};

use crate::{read, root};

static ENGINE: LazyLock<Engine> = LazyLock::new(|| Engine::shipped().unwrap());

fn kb() -> &'static Kb {
    ENGINE.kb()
}

fn row(id: &str) -> usize {
    kb().row_of(id).unwrap_or_else(|| panic!("the base has no {id}"))
}

fn record(id: &str) -> &'static raw::Exercise {
    kb().exercise(row(id)).unwrap()
}

fn class(id: &str) -> SpineClass {
    kb().spine_class(row(id))
}

fn compression(id: &str) -> f64 {
    f64::from(kb().table.rows[row(id)].compression_bw)
}

fn grade(id: &str, region: &str) -> u8 {
    record(id).joints.get(region).and_then(|by| by.values().max()).copied().unwrap_or(0)
}

fn provokes(id: &str, region: &str, aggravator: &str) -> u8 {
    record(id).joints.get(region).and_then(|by| by.get(aggravator)).copied().unwrap_or(0)
}

fn man() -> Body {
    model::reference_man().unwrap()
}

/// Computed class at typical load, from the compiled column.
fn computed(at: usize) -> SpineClass {
    let bw = f64::from(kb().table.rows[at].compression_bw);
    let step = stead::mechanics::lumbar::SpineClass::by_body_weights(bw).step();
    SpineClass::ALL[usize::from(step)]
}

#[test]
fn every_class_is_computed_or_says_why_not() {
    let mut wrong = Vec::new();
    let (mut by_model, mut by_hand) = (0, 0);
    for at in 0..kb().len() {
        let e = kb().exercise(at).unwrap();
        match &e.spine {
            None => {
                by_model += 1;
                assert_eq!(kb().spine_class(at), computed(at), "{}", e.id);
            }
            Some(own) => {
                by_hand += 1;
                assert_eq!(kb().spine_class(at), own.class, "{}", e.id);
                if own.class == computed(at) {
                    wrong.push(format!("{}: set by hand to the computed class {}", e.id, own.class));
                }
                if own.reason.as_deref().is_none_or(|r| r.trim().len() < 20) {
                    wrong.push(format!("{}: no reason", e.id));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    println!("{by_model} classes computed, {by_hand} set by hand");
    assert!(by_model >= 700, "{by_model} of {} classes computed", by_model + by_hand);
}

#[test]
fn every_exercise_has_an_estimate_for_any_body() {
    for body in [
        man(),
        Body::new(Kg(48.0), Metre(1.52), Sex::Female).unwrap(),
        Body::new(Kg(130.0), Metre(2.0), Sex::Male).unwrap(),
    ] {
        for at in 0..kb().len() {
            let load = model::typical_load(kb(), at, &body).unwrap();
            let e = model::estimate(kb(), at, &body, load, None).unwrap_or_else(|e| panic!("{}: {e}", kb().ids[at]));
            let n = e.compression.get();
            assert!(n.is_finite() && (0.0..40_000.0).contains(&n), "{} {n}", kb().ids[at]);
            assert!(e.low.get() <= n && n <= e.high.get(), "{}", kb().ids[at]);
            assert_eq!(e.planar.is_some(), e.kind() == PostureKind::Planar);
            if let Some(lumbar) = &e.lumbar {
                let parts: f64 = lumbar.parts().iter().map(|p| p.newtons.get()).sum();
                assert!((parts - n).abs() < 1e-9 * n.max(1.0), "{}", kb().ids[at]);
            }
            if let Err(reason) = &e.joints {
                assert!(!reason.is_empty());
            }
        }
    }
}

#[test]
fn load_lean_and_body_enter_where_they_should() {
    let squat = row("back-squat-high-bar");
    let at = |load, lean| model::estimate(kb(), squat, &man(), Kg(load), lean).unwrap().compression.get();
    assert!(at(120.0, None) > at(80.0, None));
    assert!(at(100.0, Some(Degree(55.0))) > at(100.0, None));
    // A load on the hips does not pass through the low back.
    let belt = row("belt-squat-machine");
    let belted = |load| model::estimate(kb(), belt, &man(), Kg(load), None).unwrap();
    assert_eq!(belted(20.0).compression, belted(120.0).compression);
    assert!(!belted(20.0).load_counts);
    // Published values scale with body weight, and refuse a lean.
    let push_up = row("push-up");
    let light = Body::new(Kg(60.0), Metre(1.7), Sex::Female).unwrap();
    let (a, b) = (
        model::estimate(kb(), push_up, &man(), Kg(0.0), None).unwrap(),
        model::estimate(kb(), push_up, &light, Kg(0.0), None).unwrap(),
    );
    assert!((b.compression.get() / a.compression.get() - 0.75).abs() < 1e-12);
    assert!(a.said().contains("published") && a.joints.is_err() && a.lumbar.is_none());
    let leaning = model::estimate(kb(), push_up, &man(), Kg(0.0), Some(Degree(20.0)));
    assert!(matches!(leaning, Err(ModelError::LeanWithoutAngle(_))));
    assert!(model::estimate(kb(), squat, &man(), Kg(f64::NAN), None).is_err());
    assert!(model::estimate(kb(), usize::MAX, &man(), Kg(0.0), None).is_err());
}

#[test]
fn typical_loads_count_hands_sex_and_the_body() {
    let load = |id: &str| model::typical_load(kb(), row(id), &man()).unwrap().get();
    assert!((load("back-squat-high-bar") - 80.0 * 1.5 * 0.7).abs() < 1e-9);
    let share = record("romanian-deadlift-dumbbell").typical_load.share;
    assert!((load("romanian-deadlift-dumbbell") - 80.0 * 1.8 * share * 0.7 * 2.0).abs() < 1e-9);
    assert_eq!(load("push-up"), 0.0);
    let woman = Body::new(Kg(80.0), Metre(1.75), Sex::Female).unwrap();
    assert!(model::typical_load(kb(), row("bench-press"), &woman).unwrap().get() < load("bench-press"));
    assert!(load("curl-band") > 0.0);
}

/// A coach's tiers of axial loading, points for each hard set, 3 to 0 (common practice, kept apart
/// from the mechanics), with the exercises of the base that the coach's words name.
fn tiers() -> impl Iterator<Item = (u8, &'static str)> {
    kb().week.tiers.iter().flat_map(|t| t.exercises.iter().map(|id| (t.tier, id.as_str())))
}

/// Average ranks: equal values share the middle of their places.
fn ranks(values: &[f64]) -> Vec<f64> {
    let below = |v: f64| values.iter().filter(|x| **x < v).count();
    let equal = |v: f64| values.iter().filter(|x| **x == v).count();
    values.iter().map(|v| below(*v) as f64 + (equal(*v) as f64 + 1.0) / 2.0).collect()
}

/// Spearman's rank correlation: Pearson's of the average ranks.
fn spearman(a: &[f64], b: &[f64]) -> f64 {
    let (a, b) = (ranks(a), ranks(b));
    let mean = |x: &[f64]| x.iter().sum::<f64>() / x.len() as f64;
    let (ma, mb) = (mean(&a), mean(&b));
    let sum = |f: &dyn Fn(f64, f64) -> f64| a.iter().zip(&b).map(|(x, y)| f(x - ma, y - mb)).sum::<f64>();
    sum(&|x, y| x * y) / (sum(&|x, _| x * x) * sum(&|_, y| y * y)).sqrt()
}

#[test]
fn spearman_is_that_of_scipy() {
    let fixture: Value = serde_json::from_str(&read("tests/fixtures/spearman.json")).unwrap();
    let cases = fixture["cases"].as_array().unwrap();
    assert_eq!(cases.len(), 60);
    for case in cases {
        let series =
            |name: &str| -> Vec<f64> { case[name].as_array().unwrap().iter().map(|v| v.as_f64().unwrap()).collect() };
        let (ours, theirs) = (spearman(&series("first"), &series("second")), case["rho"].as_f64().unwrap());
        assert!((ours - theirs).abs() < 1e-9, "{case}: {ours}");
    }
}

/// Where the computed class and the tier part: five classes stand beside four tiers, so a class at
/// the tier's step or one above agrees.
fn disagreements() -> String {
    let mut out = String::from("| exercise | tier | computed | class | why |\n|---|---|---|---|---|\n");
    for (tier, id) in tiers() {
        let by_model = computed(row(id));
        if (tier..=tier + 1).contains(&by_model.rank()) {
            continue;
        }
        let why = record(id).spine.as_ref().and_then(|s| s.reason.clone()).unwrap_or_default();
        let bw = compression(id);
        let _ = writeln!(out, "| `{id}` | A{tier} | {by_model} ({bw:.1}) | {} | {why} |", class(id));
    }
    out
}

#[test]
fn classes_agree_with_a_coach() {
    let named: Vec<(f64, &str)> = tiers().map(|(tier, id)| (f64::from(tier), id)).collect();
    assert_eq!(named.len(), 58);
    let tiers: Vec<f64> = named.iter().map(|(t, _)| *t).collect();
    let classes: Vec<f64> = named.iter().map(|(_, id)| f64::from(class(id).rank())).collect();
    let alone: Vec<f64> = named.iter().map(|(_, id)| compression(id)).collect();
    let (with_reasons, model_alone) = (spearman(&tiers, &classes), spearman(&tiers, &alone));
    println!("{} exercises: classes {with_reasons:.3}, computed compression alone {model_alone:.3}", named.len());
    println!("{}", disagreements());
    assert!(with_reasons >= 0.85, "{with_reasons}");
    // Some reasons lean on the coach, so what the model says alone is watched as well.
    assert!(model_alone >= 0.80, "{model_alone}");
    let guide = read("DEVELOPERS.md");
    let missing: Vec<_> = disagreements().lines().filter(|l| !guide.contains(l)).map(str::to_string).collect();
    assert!(missing.is_empty(), "not in DEVELOPERS.md:\n{}", missing.join("\n"));
}

#[test]
fn joint_grades_beside_moments_run_and_stay_the_same() {
    let (gaps, compared) = deep::gaps(kb());
    assert_eq!(deep::gaps(kb()), (gaps.clone(), compared));
    assert!(compared >= 100, "{compared} compared");
    assert!(gaps.iter().all(|g| g.grade.abs_diff(g.tier.step()) >= 2));
    assert!(gaps.is_sorted_by_key(|g| g.row));
    let layers = [Files::read(&root().join("kb")).unwrap()];
    let reply = check::answer(&layers, true).deep.unwrap();
    assert_eq!((reply.compared, reply.gaps.len()), (compared, gaps.len()));
    assert!(check::answer(&layers, false).deep.is_none());
}

// Source: U1, Fenwick 2009 (seen) for the first three; the pad carries the trunk in the last.
#[test]
fn t8_rows_in_the_base() {
    let order = ["barbell-row-bent-over", "cable-row-single-arm", "inverted-row-bar", "dumbbell-row-chest-supported"];
    assert!(compression(order[0]) > compression(order[1]));
    assert!(compression(order[1]) >= compression(order[2]));
    assert!(compression(order[2]) > compression(order[3]));
}

// Source: U2, McGill 2014 on pulling (seen): pulling up is no unloading; a passive hang is.
#[test]
fn t9_pulling_up_in_the_base() {
    let pull_ups = (0..kb().len()).filter(|at| kb().exercise(*at).unwrap().posture.like == "pull-up");
    assert!(pull_ups.map(|at| kb().spine_class(at)).all(|c| c >= SpineClass::Low));
    assert_eq!(class("dead-hang"), SpineClass::None);
}

// Source: U3, McGill 2014 on pushing (seen); U5, McGill & Marshall 2012 (seen).
#[test]
fn t10_t11_push_up_and_swing_in_the_base() {
    let newtons = |id: &str| model::estimate(kb(), row(id), &man(), Kg(0.0), None).unwrap().compression.get();
    assert!((600.0..=2100.0).contains(&newtons("push-up")) && class("push-up") == SpineClass::Low);
    assert!((2500.0..=4000.0).contains(&newtons("kettlebell-swing-two-hand")));
}

// Source: U10 (memory) with X15 and X16 (derived): one side costs more than two.
#[test]
fn t12_one_side_costs_more_than_two_in_the_base() {
    assert!(compression("suitcase-carry") > compression("farmer-walk-dumbbell"));
}

// Source: derived, each lift at its own work load.
#[test]
fn t13_squats_in_the_base() {
    let order = ["belt-squat-machine", "split-squat-dumbbell", "front-squat-clean-grip", "back-squat-high-bar"];
    let values = order.map(compression);
    assert!(values.is_sorted() && values[0] < values[3], "{values:?}");
}

// Source: D9, conventional vs Romanian 2018 (seen); Q2, Gullett 2009 (seen); Escamilla 2008 (seen);
// Steinkamp 1993 (seen): leg extension is worse than leg press with the knee nearly straight, and
// milder when bent.
#[test]
fn t16_knees_in_the_base() {
    assert!(grade("deadlift-conventional", "knee") > grade("romanian-deadlift-barbell", "knee"));
    assert!(grade("front-squat-clean-grip", "knee") <= grade("back-squat-high-bar", "knee"));
    assert!(grade("split-squat-dumbbell", "knee") < grade("lunge-forward", "knee"));
    let near_straight = |id| provokes(id, "knee", "terminal_extension");
    assert!(near_straight("leg-extension") > near_straight("leg-press"));
    let bent = |id| provokes(id, "knee", "loaded_mid_flexion").max(provokes(id, "knee", "deep_flexion"));
    assert!(bent("leg-extension") < bent("leg-press"));
}

// Source: Noteboom 2024 (seen) for grip; Green & Comfort 2007 (seen); practice for behind the neck.
#[test]
fn t17_shoulders_in_the_base() {
    let wide = |id| provokes(id, "shoulder", "abduction_wide_press");
    assert!(
        wide("bench-press-wide-grip") >= wide("bench-press") && wide("bench-press") >= wide("bench-press-close-grip")
    );
    for id in ["overhead-press-behind-neck", "lat-pulldown-behind-neck", "push-press-behind-neck", "upright-row-ez-bar"]
    {
        assert_eq!(grade(id, "shoulder"), 4, "{id}");
    }
}

// Source: T18, Baxter 2021 for the end points (seen).
#[test]
fn t18_achilles_in_the_base() {
    let pull = |id| provokes(id, "ankle", "achilles_load");
    let order =
        ["calf-raise-seated-dumbbell", "calf-raise-bodyweight", "calf-raise-single-leg-bodyweight", "single-leg-hop"];
    let grades = order.map(pull);
    assert!(grades.is_sorted_by(|a, b| a < b), "{grades:?}");
}
