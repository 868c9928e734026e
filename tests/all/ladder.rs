//! Ladders back to a lift: what holds for any lift, soreness and gym, and both doors.
//!
//! Leans on the practice tables 3.2 and 3.4 (named beside each check). Leaves to others: substitutes
//! (`tests/all/laws.rs`) and loads (`tests/all/begin.rs`).

use std::process::Command;
use std::sync::{Arc, LazyLock};

use actix_web::rt::System;
use actix_web::test::{TestRequest, call_service, init_service, read_body};
use proptest::prelude::*;
use proptest::sample::{Index, select};
use serde_json::{Value, json};
use stead::ask::ladder::{Reply, Request, RungFor, answer};
use stead::ask::load::SetAsk;
use stead::ask::swap::{GymAsk, SoreAsk};
use stead::ask::{Engine, schema};
use stead::gym::Inventory;
use stead::gym::carry::is_possible;
use stead::kb::raw::Level;

static ENGINE: LazyLock<Arc<Engine>> = LazyLock::new(|| Arc::new(Engine::shipped().expect("the shipped base opens")));

fn sore(region: &str, level: Level) -> SoreAsk {
    SoreAsk { region: region.to_string(), level: Some(level), ..SoreAsk::default() }
}

fn ask(request: &Request) -> Reply<'static> {
    answer(&ENGINE, request).expect("an answer")
}

fn deadlift() -> Request {
    Request {
        exercise: "deadlift".to_string(),
        sore: vec![sore("low-back", Level::Moderate)],
        gym: Some(GymAsk::Named("boathouse".to_string())),
        did: Some(SetAsk { load: 140.0, unit: None, reps: 1, rir: None }),
        ..Request::default()
    }
}

/// Practice table 3.4: substitutes of 12 to 15 repetitions with 4 in reserve, closer ones with 3,
/// then the lift itself at 50, 60 and 70 % of its old best, then the programme; sessions and pain as
/// printed.
#[test]
fn the_rungs_are_the_printed_ones() {
    let reply = ask(&deadlift());
    let stages: Vec<RungFor> = reply.rungs.iter().map(|r| r.stage).collect();
    let own = [RungFor::Slow, RungFor::Whole, RungFor::Heavier, RungFor::Programme];
    assert_eq!(stages.first(), Some(&RungFor::Least));
    assert!(stages.ends_with(&own), "{stages:?}");
    let at = |stage| reply.rungs.iter().find(|r| r.stage == stage).expect("a rung");
    assert_eq!(
        (at(RungFor::Least).of.as_str(), at(RungFor::Least).rir, at(RungFor::Least).sessions),
        ("12 to 15 reps", 4.0, 2)
    );
    for (stage, share, load, sessions) in [
        (RungFor::Slow, [50.0, 60.0], 70.0, 2),
        (RungFor::Whole, [60.0, 70.0], 82.5, 3),
        (RungFor::Heavier, [70.0, 80.0], 97.5, 4),
    ] {
        let rung = at(stage);
        assert_eq!((rung.share_percent, rung.sessions), (Some(share), sessions), "{stage}");
        // Of 140 kg, rounded down to what the Boathouse builds: 84 and 98 kg are none of its loads.
        assert_eq!(rung.load.as_ref().map(|l| l.kg), Some(load), "{stage}");
    }
    assert!(at(RungFor::Least).up.contains("pain up to 3 of 10") && at(RungFor::Whole).up.contains("up to 2 of 10"));
    assert_eq!(reply.bands.len(), 3);
    assert!(reply.down.is_some_and(|d| d.contains("above 5") && d.contains("next morning")));
    assert!(reply.clinician.is_some_and(|c| c.contains("two failed climbs")));
    // Coaches' way back for a sore back: what spares the spine stands below what is closer.
    assert!(reply.rungs.iter().filter(|r| !r.original).count() >= 2);
}

#[test]
fn without_a_set_a_rung_tells_its_share() {
    let reply = ask(&Request { did: None, ..deadlift() });
    for rung in &reply.rungs {
        assert!(rung.load.is_none() && rung.no_load.is_none());
        assert_eq!(rung.share_percent.is_some(), rung.original || rung.ratio.is_some(), "{}", rung.exercise.id);
        if let Some([least, most]) = rung.share_percent {
            assert!(least > 0.0 && least <= most);
        }
    }
}

#[test]
fn an_emergency_suppresses_every_rung_and_a_missing_lift_is_said() {
    let reply = ask(&Request { signs: vec!["saddle-numbness".to_string()], ..deadlift() });
    assert!(
        reply.rungs.is_empty() && reply.question.is_none() && reply.also_helps.is_empty() && reply.bands.is_empty()
    );
    assert!(!reply.signs.is_empty());
    let reply = ask(&Request { gym: Some(GymAsk::Named("loft".to_string())), ..deadlift() });
    assert!(reply.rungs.is_empty() && reply.none.is_some());
    assert!(answer(&ENGINE, &Request { sore: Vec::new(), ..deadlift() }).is_err());
}

prop_compose! {
    fn a_request()(
        at in any::<Index>(),
        places in prop::collection::vec((any::<Index>(), any::<Option<Index>>(), select(Level::ALL.to_vec())), 1..3),
        gym in select(vec!["boathouse", "loft", "slipway", "town"]),
        did in prop::option::of((0.0..200.0f64, 1u32..16)),
    ) -> Request {
        let kb = ENGINE.kb();
        let sore = places.into_iter().map(|(region, aggravator, level)| {
            let region = &kb.regions[region.index(kb.regions.len())];
            let aggravator = aggravator.filter(|_| !region.aggravators.is_empty())
                .map(|a| region.aggravators[a.index(region.aggravators.len())].id.clone());
            SoreAsk { region: region.id.clone(), aggravator, level: Some(level), pain: None }
        });
        Request {
            exercise: kb.ids[at.index(kb.len())].clone(),
            sore: sore.collect(),
            gym: Some(GymAsk::Named(gym.to_string())),
            did: did.map(|(load, reps)| SetAsk { load, unit: None, reps, rir: None }),
            ..Request::default()
        }
    }
}

proptest! {
    #![proptest_config(crate::cases(96))]

    /// No sore region is loaded less on a higher rung, nor the spine where the back is sore; the last
    /// rung is the lift, every rung can be done here, and no exercise comes back once left.
    #[test]
    fn a_ladder_only_rises_and_ends_at_the_lift(request in a_request()) {
        let reply = ask(&request);
        let kb = ENGINE.kb();
        let Some(last) = reply.rungs.last() else {
            prop_assert!(reply.none.is_some());
            return Ok(());
        };
        let Some(GymAsk::Named(gym)) = &request.gym else { return Ok(()) };
        let inventory = Inventory::named(kb, gym).unwrap();
        let back = request.sore.iter().any(|s| s.region == "low-back");
        prop_assert_eq!(last.exercise.id, request.exercise.as_str());
        prop_assert!(last.original && last.sessions == 0);
        for (low, high) in reply.rungs.iter().zip(&reply.rungs[1..]) {
            for (a, b) in low.grades.iter().zip(&high.grades) {
                prop_assert!(a.region == b.region && a.grade <= b.grade, "{} {}", low.exercise.id, high.exercise.id);
            }
            prop_assert!(!back || low.spine <= high.spine, "{} {}", low.exercise.id, high.exercise.id);
            prop_assert!(low.stage <= high.stage);
            prop_assert!(!low.original || high.original);
            prop_assert!(low.original || low.exercise != high.exercise);
        }
        for rung in &reply.rungs {
            prop_assert!(is_possible(kb, &inventory, kb.row_of(rung.exercise.id).unwrap()), "{}", rung.exercise.id);
            prop_assert!(rung.load.as_ref().is_none_or(|l| l.kg > 0.0));
            prop_assert!(request.did.is_none() || rung.load.is_some() != rung.no_load.is_some());
        }
        // The first rung passes the gate of soreness: less than the lift, or no more where it is mild.
        let first = &reply.rungs[0];
        for (g, s) in first.grades.iter().zip(&reply.question.as_ref().unwrap().sore) {
            prop_assert!(first.original || g.grade < s.original_grade || s.original_grade == 0 || s.level == Level::Mild, "{}", first.exercise.id);
        }
        prop_assert_eq!(reply, ask(&request));
    }
}

#[test]
fn both_doors_give_the_same_ladder_and_keep_its_schemas() {
    let schema = |name: &str| {
        let schema = schema::all().into_iter().find(|(n, _)| *n == name).expect("a schema").1;
        jsonschema::validator_for(&schema).expect("a validator")
    };
    let validators = [schema("ladder-request.json"), schema("ladder-reply.json")];
    System::new().block_on(async {
        let app = init_service(
            actix_web::App::new().configure(stead::http::configure(ENGINE.clone(), stead::http::Limits::default())),
        )
        .await;
        for (args, request) in [
            (
                vec!["deadlift", "--sore", "low-back=4", "--gym", "boathouse", "--did", "140kgx5", "--rir", "1"],
                json!({"exercise": "deadlift", "sore": [{"region": "low-back", "pain": 4.0}], "gym": "boathouse",
                       "did": {"load": 140.0, "unit": "kg", "reps": 5, "rir": 1.0}}),
            ),
            (
                vec!["bench", "press", "--sore", "shoulder=severe", "--have", "dumbbells,flat-bench"],
                json!({"exercise": "bench press", "sore": [{"region": "shoulder", "level": "severe"}],
                       "have": ["dumbbells", "flat-bench"]}),
            ),
        ] {
            let output = Command::new(env!("CARGO_BIN_EXE_stead")).arg("ladder").args(&args).arg("--json").output();
            let said = output.expect("the program");
            assert!(said.stderr.is_empty(), "{args:?}: {}", String::from_utf8_lossy(&said.stderr));
            let posted = TestRequest::post().uri("/v1/ladder").set_json(&request).to_request();
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
