//! Variations of a lift and the plan among them: what holds for any lift, soreness and gym, and both
//! doors.
//!
//! Leans on practice section 4.3 (main lifts kept four weeks, one change at a time, no change that is
//! redundant). Leaves to others: ratios (`tests/all/load.rs`) and first loads (`tests/all/begin.rs`).

use std::collections::BTreeSet;
use std::process::Command;
use std::sync::{Arc, LazyLock};

use actix_web::rt::System;
use actix_web::test::{TestRequest, call_service, init_service, read_body};
use proptest::prelude::*;
use proptest::sample::{Index, select};
use serde_json::{Value, json};
use stead::ask::swap::{GymAsk, SoreAsk};
use stead::ask::vary::{Differs, Reply, Request, answer};
use stead::ask::{Engine, schema};
use stead::gym::Inventory;
use stead::gym::carry::is_possible;
use stead::kb::raw::Level;
use stead::week::vary::{Slot, rotation};

static ENGINE: LazyLock<Arc<Engine>> = LazyLock::new(|| Arc::new(Engine::shipped().expect("the shipped base opens")));

fn ask(request: &Request) -> Reply<'static> {
    answer(&ENGINE, request).expect("an answer")
}

/// What any coach would name among the variations of the great lifts.
#[test]
fn the_great_lifts_have_the_usual_variations() {
    for (lift, usual) in [
        ("back squat", &["back-squat-pause", "front-squat-clean-grip", "safety-bar-squat", "box-squat-barbell"][..]),
        ("bench press", &["bench-press-close-grip", "bench-press-incline", "bench-press-pause", "floor-press-barbell"]),
        (
            "deadlift",
            &["deadlift-sumo", "trap-bar-deadlift-low-handle", "deadlift-deficit", "romanian-deadlift-barbell"],
        ),
    ] {
        let request = Request {
            exercise: lift.to_string(),
            top: Some(12),
            gym: Some(GymAsk::Named("town".to_string())),
            ..Request::default()
        };
        let reply = ask(&request);
        let ids: Vec<&str> = reply.variations.iter().map(|v| v.exercise.id).collect();
        let hits = usual.iter().filter(|id| ids.contains(id)).count();
        assert!(hits >= 2, "{lift}: {ids:?}");
        let kinds: BTreeSet<Differs> = reply.variations.iter().flat_map(|v| v.differs.clone()).collect();
        assert!(kinds.len() >= 3, "{lift}: {kinds:?}");
    }
}

/// Practice section 4.3: main lifts stay four weeks at least.
#[test]
fn a_main_lift_is_kept_four_weeks() {
    let request = Request { exercise: "back squat".to_string(), every: Some(2), weeks: Some(11), ..Request::default() };
    let reply = ask(&request);
    let weeks: Vec<(u32, u32)> = reply.plan.iter().map(|b| (b.from_week, b.to_week)).collect();
    assert_eq!(weeks, [(1, 4), (5, 11)]);
    assert!(reply.notes.iter().any(|n| n.contains("4 weeks at least")));
    let curl = Request { exercise: "dumbbell curl".to_string(), weeks: Some(6), ..request };
    assert_eq!(ask(&curl).plan.len(), 3);
}

/// Practice section 4.3: one lift changes at a time, the one that was kept longest.
#[test]
fn of_several_lifts_one_changes_at_a_time() {
    let slot = |lift, turns: &[usize]| Slot { lift, turns: turns.to_vec(), ..Slot::default() };
    let slots = [slot(0, &[10, 11]), slot(1, &[20]), slot(2, &[])];
    let rows: Vec<Vec<usize>> = rotation(&slots, 24, 4).into_iter().map(|b| b.rows).collect();
    let should = [[10, 1, 2], [10, 20, 2], [11, 20, 2], [11, 1, 2], [0, 1, 2], [0, 20, 2]];
    assert_eq!(rows, should);
}

/// Practice section 4.3: main lifts are kept four weeks, others may change sooner; what makes no
/// progress comes first, and no two lifts of one kind change together.
#[test]
fn main_lifts_wait_and_what_stands_still_comes_first() {
    let slot = |lift, main, kind| Slot { lift, turns: vec![lift + 10], main, kind: Some(kind), ..Slot::default() };
    let plan = |slots: &[Slot], weeks, every| -> Vec<(u32, Vec<usize>)> {
        rotation(slots, weeks, every).into_iter().map(|b| (b.from, b.changed)).collect()
    };
    // One main lift alone, blocks of two weeks: it changes in every other block.
    let alone = plan(&[slot(0, true, 0)], 8, 2);
    assert_eq!(alone, [(1, vec![0]), (3, vec![]), (5, vec![0]), (7, vec![])]);
    // It has been in the programme for three weeks only.
    let fresh = Slot { weeks_on: Some(3), ..slot(0, true, 0) };
    assert_eq!(plan(&[fresh], 4, 2), [(1, vec![]), (3, vec![0])]);
    // A main lift and another row change at a time, unless they are of one kind.
    let two = [slot(0, true, 0), slot(1, false, 0), slot(2, false, 1)];
    assert_eq!(plan(&two, 4, 2), [(1, vec![0, 2]), (3, vec![1])]);
    // Without progress for six weeks: first.
    let flat = [slot(0, false, 0), Slot { weeks_flat: 6, ..slot(1, false, 1) }];
    assert_eq!(plan(&flat, 4, 2), [(1, vec![1]), (3, vec![0])]);
    // What is gone changes at once and never comes back.
    let gone = [Slot { gone: true, turns: vec![10, 11], ..slot(0, true, 0) }, slot(1, false, 1)];
    let rows: Vec<usize> = rotation(&gone, 16, 4).iter().map(|b| b.rows[0]).collect();
    assert_eq!(rows, [10, 11, 10, 11]);
}

#[test]
fn an_emergency_suppresses_every_variation() {
    let request =
        Request { exercise: "deadlift".to_string(), signs: vec!["chest-pain".to_string()], ..Request::default() };
    let reply = ask(&request);
    assert!(reply.variations.is_empty() && reply.plan.is_empty() && reply.question.is_none());
}

prop_compose! {
    fn a_request()(
        at in any::<Index>(),
        places in prop::collection::vec((any::<Index>(), select(Level::ALL.to_vec())), 0..3),
        gym in select(vec!["boathouse", "loft", "slipway", "town"]),
        weeks in prop::option::of(1u32..=52),
        every in prop::option::of(1u32..=16),
        top in prop::option::of(1usize..12),
    ) -> Request {
        let kb = ENGINE.kb();
        let sore = places.into_iter().map(|(region, level)| SoreAsk {
            region: kb.regions[region.index(kb.regions.len())].id.clone(),
            level: Some(level),
            ..SoreAsk::default()
        });
        Request {
            exercise: kb.ids[at.index(kb.len())].clone(),
            sore: sore.collect(),
            gym: Some(GymAsk::Named(gym.to_string())),
            weeks,
            every,
            top,
            ..Request::default()
        }
    }
}

proptest! {
    #![proptest_config(crate::cases(96))]

    #[test]
    fn variations_differ_spare_and_can_be_done_and_the_plan_keeps_its_blocks(request in a_request()) {
        let reply = ask(&request);
        prop_assert_eq!(&reply, &ask(&request));
        let kb = ENGINE.kb();
        let Some(GymAsk::Named(gym)) = &request.gym else { return Ok(()) };
        let inventory = Inventory::named(kb, gym).unwrap();
        let row = kb.row_of(&request.exercise).unwrap();
        for v in &reply.variations {
            let other = kb.row_of(v.exercise.id).unwrap();
            prop_assert!(other != row && !v.differs.is_empty() && is_possible(kb, &inventory, other));
            for s in &request.sore {
                let region = kb.region_at(&s.region).unwrap();
                prop_assert!(kb.table.grades_of(other)[region] <= kb.table.grades_of(row)[region], "{}", v.exercise.id);
            }
        }
        let (weeks, every) = (request.weeks.unwrap_or(12), reply.question.as_ref().unwrap().every);
        prop_assert_eq!(reply.plan.is_empty(), reply.variations.is_empty());
        if let (Some(first), Some(last)) = (reply.plan.first(), reply.plan.last()) {
            prop_assert_eq!((first.from_week, last.to_week), (1, weeks));
        }
        for (at, (a, b)) in reply.plan.iter().zip(reply.plan.iter().skip(1)).enumerate() {
            prop_assert_eq!(a.to_week + 1, b.from_week);
            prop_assert!(a.to_week - a.from_week + 1 == every);
            prop_assert!(a.exercise != b.exercise);
            // Nothing comes again before everything else had its turn.
            let cycle = reply.variations.len() + 1;
            let before = &reply.plan[(at + 2).saturating_sub(cycle)..=at];
            prop_assert!(before.iter().all(|p| p.exercise != b.exercise));
        }
    }
}

#[test]
fn both_doors_give_the_same_plan_and_keep_its_schemas() {
    let schema = |name: &str| {
        let schema = schema::all().into_iter().find(|(n, _)| *n == name).expect("a schema").1;
        jsonschema::validator_for(&schema).expect("a validator")
    };
    let validators = [schema("vary-request.json"), schema("vary-reply.json")];
    System::new().block_on(async {
        let app = init_service(
            actix_web::App::new().configure(stead::http::configure(ENGINE.clone(), stead::http::Limits::default())),
        )
        .await;
        for (args, request) in [
            (
                vec!["back", "squat", "--weeks", "16", "--gym", "town", "--did", "225lbx5", "--sore", "knee=2"],
                json!({"exercise": "back squat", "weeks": 16, "gym": "town", "sore": [{"region": "knee", "pain": 2.0}],
                       "did": {"load": 225.0, "unit": "lb", "reps": 5}}),
            ),
            (
                vec!["pull-up", "--every", "6", "--skip", "chin-up", "--top", "3"],
                json!({"exercise": "pull-up", "every": 6, "skip": ["chin-up"], "top": 3}),
            ),
        ] {
            let output = Command::new(env!("CARGO_BIN_EXE_stead")).arg("vary").args(&args).arg("--json").output();
            let said = output.expect("the program");
            assert!(said.stderr.is_empty(), "{args:?}: {}", String::from_utf8_lossy(&said.stderr));
            let posted = TestRequest::post().uri("/v1/vary").set_json(&request).to_request();
            let served = read_body(call_service(&app, posted).await).await;
            assert_eq!(String::from_utf8_lossy(&said.stdout).trim_end(), String::from_utf8_lossy(&served), "{args:?}");
            let reply: Value = serde_json::from_slice(&served).expect("JSON");
            for (validator, value) in validators.iter().zip([&request, &reply]) {
                let faults: Vec<String> = validator.iter_errors(value).map(|e| e.to_string()).collect();
                assert!(faults.is_empty(), "{args:?}: {faults:?}");
            }
        }
    });
}
