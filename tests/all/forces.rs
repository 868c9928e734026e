//! Forces of an exercise: the breakdown, the laws, sweeps as CSV and SVG, both doors alike.
//!
//! Leans on the binary and on the HTTP service as a stranger would use them, and on readers of CSV
//! and XML by other people. Leaves to others: the statics themselves (`tests/all/mechanics.rs`).

use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use std::sync::{Arc, LazyLock};

use actix_web::rt::System;
use actix_web::test::{TestRequest, call_service, init_service, read_body};
use proptest::prelude::*;
use proptest::sample::select;
use serde_json::{Value, json};
use stead::ask::forces::{self, DOSE_LABEL, Forces, Request, SweepAsk, SweepOver, answer};
use stead::ask::{self, Engine, Error, schema, swap};
use stead::mechanics::lumbar::two_figures;

static ENGINE: LazyLock<Arc<Engine>> = LazyLock::new(|| Arc::new(Engine::shipped().expect("the shipped base opens")));

fn asked(exercise: &str) -> Request {
    Request { exercise: exercise.to_string(), ..Request::default() }
}

#[track_caller]
fn told(request: &Request) -> Forces<'static> {
    answer(&ENGINE, request).expect("an answer").forces.expect("forces")
}

fn refusal(request: &Request) -> Error {
    answer(&ENGINE, request).expect_err("a refusal")
}

fn stead(args: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_stead"));
    command.args(args).stdin(Stdio::null()).env_remove("NO_COLOR").env_remove("CLICOLOR_FORCE");
    command.output().expect("the program runs")
}

fn out(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).expect("text")
}

fn err(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).expect("text")
}

fn code(output: &Output) -> i32 {
    output.status.code().expect("a code")
}

/// A folder of its own for a test, empty.
fn scratch(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("forces").join(name);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).expect("a folder");
    folder
}

fn post(path: &str, body: &Value) -> (u16, Vec<u8>) {
    System::new().block_on(async {
        let app = init_service(stead::http::app(Arc::clone(&ENGINE))).await;
        let request = TestRequest::post().uri(path).set_json(body).to_request();
        let response = call_service(&app, request).await;
        (response.status().as_u16(), read_body(response).await.to_vec())
    })
}

const SWEEP: SweepAsk = SweepAsk { over: SweepOver::Load, from: 20.0, to: 140.0, step: 20.0 };

// The figures.

#[test]
fn every_exercise_of_the_base_has_forces_that_add_up() {
    for id in &ENGINE.kb().ids {
        let reply = match answer(&ENGINE, &asked(id)) {
            Ok(reply) => reply,
            Err(e) => panic!("{id}: {e}"),
        };
        let forces = reply.forces.expect("forces");
        let sum: f64 = forces.breakdown.parts.iter().map(|p| p.newtons).sum();
        assert_eq!(sum, forces.breakdown.total_n, "{id}");
        assert_eq!(two_figures(sum), forces.compression.mid_n, "{id}");
        let percent: i32 = forces.breakdown.parts.iter().map(|p| p.percent).sum();
        assert_eq!(percent, if sum == 0.0 { 0 } else { 100 }, "{id}");
        let c = &forces.compression;
        assert!(c.low_n <= c.mid_n && c.mid_n <= c.high_n, "{id}: {c:?}");
        assert_eq!(c.over_10_kn, sum > 10_000.0, "{id}");
        let class = &forces.class;
        assert_eq!(class.person, class.by_newtons.max(class.by_body_weights), "{id}");
        assert!(forces.joints.moments.is_empty() == forces.joints.left_out.is_some(), "{id}");
        assert!(forces.compare.iter().any(|row| !row.source.is_empty()), "{id}");
        assert!(!forces.basis.is_empty() && !forces.left_out.is_empty() && reply.cautions.len() >= 5, "{id}");
        assert!(forces.basis.iter().all(|b| !b.source.is_empty() && !b.read.is_empty()), "{id}");
    }
}

// Source: worked example X8 of the lumbar tables (derived): 6 324 N, 8.06 body weights.
#[test]
fn a_worked_squat_is_told_to_two_figures() {
    let forces = told(&Request { load_kg: Some(100.0), ..asked("back-squat-high-bar") });
    let c = &forces.compression;
    assert_eq!((c.low_n, c.mid_n, c.high_n, c.body_weights), (4400.0, 6300.0, 8200.0, 8.1));
    assert!((forces.breakdown.total_n - 6323.8).abs() < 0.005 * 6323.8);
    assert_eq!(forces.class.person.word(), "high");
    assert!(c.with_belt_n.is_none());
    // Source: a belt takes off a tenth at best (Kingma 2006, memory) and never changes a class.
    let belted = told(&Request { load_kg: Some(100.0), belt: true, ..asked("back-squat-high-bar") });
    assert_eq!(belted.compression.with_belt_n, Some(5700.0));
    assert_eq!(belted.class, forces.class);
    assert!(belted.compare.len() > forces.compare.len());
}

#[test]
fn the_flag_stands_above_ten_kilonewtons() {
    let heavy = told(&Request { load_kg: Some(200.0), ..asked("deadlift-conventional") });
    assert!(heavy.compression.over_10_kn && heavy.class.person.word() == "very-high");
    assert!(!told(&Request { load_kg: Some(60.0), ..asked("deadlift-conventional") }).compression.over_10_kn);
}

#[test]
fn more_load_is_never_lower() {
    for id in &ENGINE.kb().ids {
        let forces = told(&Request { sweep: Some(SWEEP), ..asked(id) });
        let rows = forces.sweep.expect("a sweep").rows;
        assert_eq!(rows.len(), 7);
        for pair in rows.windows(2) {
            // Where the abdominals hold, the load pulls backwards or the floor is reached.
            let lower = pair[1].curve_n[1] < pair[0].curve_n[1];
            assert!(!lower || pair[0].curve_n[1] < 1500.0, "{id}: {pair:?}");
            assert!(pair[0].at < pair[1].at);
        }
    }
    for id in ["back-squat-high-bar", "deadlift-conventional", "barbell-row-bent-over", "romanian-deadlift-barbell"] {
        let rows = told(&Request { sweep: Some(SWEEP), ..asked(id) }).sweep.expect("a sweep").rows;
        assert!(rows.windows(2).all(|pair| pair[0].mid_n < pair[1].mid_n && pair[0].class <= pair[1].class), "{id}");
    }
}

#[test]
fn the_dose_is_linear_and_has_its_label() {
    let dose = |sets, reps, power| {
        let request = Request { load_kg: Some(80.0), sets, reps: Some(reps), dose_power: power, ..asked("back squat") };
        told(&request).dose.expect("a dose")
    };
    let three = dose(Some(3), 5, None);
    assert_eq!((three.label, three.power, three.sets, three.reps), (DOSE_LABEL, 2, 3, 5));
    assert_eq!(DOSE_LABEL, "relative spinal loading");
    let close = |a: f64, b: f64| (a - b).abs() <= 1e-3 * b;
    assert!(close(three.all_sets, 3.0 * three.per_set) && close(three.per_set, 5.0 * three.per_rep));
    let fourth = dose(None, 5, Some(4));
    assert!(close(fourth.per_rep, three.per_rep * three.per_rep));
    assert_eq!(fourth.sets, 1);
    assert!(told(&asked("back squat")).dose.is_none());
}

#[test]
fn neither_damage_nor_risk_nor_newtons_of_shear_are_told() {
    for exercise in ["deadlift", "kettlebell swing", "push-up", "stiff leg deadlift"] {
        let request = Request { sets: Some(3), reps: Some(5), belt: true, sweep: Some(SWEEP), ..asked(exercise) };
        let reply = serde_json::to_value(answer(&ENGINE, &request).expect("an answer")).expect("json");
        let dose = reply["forces"]["dose"].to_string();
        assert!(!dose.contains("damage") && !dose.contains("risk") && !dose.contains("injur"), "{dose}");
        let shear = reply["forces"]["shear"].to_string();
        assert!(!shear.chars().any(|c| c.is_ascii_digit()), "{shear}");
    }
    // Source: McGill & Marshall 2012 (seen): a swing pushes backwards, opposite to a lift.
    assert_eq!(told(&asked("kettlebell swing")).shear.direction, "backwards");
    assert_eq!(told(&asked("deadlift")).shear.direction, "forwards");
}

#[test]
fn a_posture_without_an_angle_is_answered_with_its_value() {
    let request = Request { load_kg: Some(50.0), ..asked("push-up") };
    let reply = answer(&ENGINE, &request).expect("an answer");
    assert!(reply.notes.iter().any(|n| n.contains("published value")), "{:?}", reply.notes);
    let forces = reply.forces.expect("forces");
    assert!(!forces.load.counts && forces.posture.trunk_deg.is_none());
    assert_eq!(forces.breakdown.parts.len(), 1);
    assert!(forces.joints.left_out.is_some());
    assert_eq!(code(&stead(&["forces", "push-up", "--load", "50kg"])), 0);
}

#[test]
fn a_typical_load_goes_with_the_body() {
    let man = told(&asked("back-squat-high-bar"));
    assert_eq!(man.person.assumed, ["body mass", "height", "sex"]);
    let woman = Request { sex: Some(forces::Sex::Female), body_mass_kg: Some(60.0), ..asked("back-squat-high-bar") };
    let woman = told(&woman);
    assert!(woman.load.kg < man.load.kg && woman.load.how.contains("usual best"), "{:?}", woman.load);
    assert_eq!(woman.person.assumed, ["height"]);
}

// What is refused.

#[test]
fn wrong_values_are_named_with_their_place() {
    let lift = || asked("deadlift");
    let sweep = |over, from, to, step| Request { sweep: Some(SweepAsk { over, from, to, step }), ..lift() };
    let (load, lean) = (SweepOver::Load, SweepOver::Lean);
    for (request, code, pointer, part) in [
        (asked(" "), "empty-value", "/exercise", "empty"),
        (asked("qqqzzz"), "unknown-exercise", "/exercise", "qqqzzz"),
        (Request { load_kg: Some(-1.0), ..lift() }, "out-of-bounds", "/load_kg", "0 to 600"),
        (Request { load_kg: Some(f64::NAN), ..lift() }, "out-of-bounds", "/load_kg", "load"),
        (Request { body_mass_kg: Some(5.0), ..lift() }, "out-of-bounds", "/body_mass_kg", "25 to 300"),
        (Request { height_m: Some(175.0), ..lift() }, "out-of-bounds", "/height_m", "1.2 to 2.3"),
        (Request { lean_deg: Some(200.0), ..lift() }, "out-of-bounds", "/lean_deg", "110"),
        (Request { lean_deg: Some(20.0), ..asked("push-up") }, "conflicting-values", "/lean_deg", "leave the lean out"),
        (Request { sets: Some(3), ..lift() }, "conflicting-values", "/reps", "how many repetitions"),
        (Request { reps: Some(0), ..lift() }, "out-of-bounds", "/reps", "repetitions"),
        (Request { reps: Some(5), sets: Some(0), ..lift() }, "out-of-bounds", "/sets", "sets"),
        (Request { reps: Some(5), dose_power: Some(3), ..lift() }, "unknown-word", "/dose_power", "2, 4"),
        (Request { signs: vec!["chestpain".to_string()], ..lift() }, "unknown-word", "/signs/0", "chest-pain"),
        (sweep(load, 20.0, 700.0, 20.0), "out-of-bounds", "/sweep/to", "600"),
        (sweep(load, -5.0, 100.0, 20.0), "out-of-bounds", "/sweep/from", "600"),
        (sweep(load, 100.0, 20.0, 20.0), "conflicting-values", "/sweep/to", "100 down to 20"),
        (sweep(load, 20.0, 100.0, 0.0), "conflicting-values", "/sweep/step", "above 0"),
        (sweep(load, 20.0, 100.0, f64::NAN), "conflicting-values", "/sweep/step", "above 0"),
        (sweep(load, 0.0, 600.0, 1.0), "out-of-bounds", "/sweep/step", "200"),
        (sweep(load, 0.0, 600.0, 1e-300), "out-of-bounds", "/sweep/step", "200"),
        (sweep(lean, 0.0, 120.0, 10.0), "out-of-bounds", "/sweep/to", "110"),
    ] {
        let error = refusal(&request);
        assert_eq!((error.code(), error.pointer()), (code, pointer), "{error}");
        assert!(error.to_string().contains(part), "{error}");
    }
    let error = refusal(&Request { sweep: sweep(lean, 0.0, 80.0, 10.0).sweep, ..asked("push-up") });
    assert_eq!(error.pointer(), "/sweep/over");
}

#[test]
fn a_sweep_takes_its_last_value_with_it() {
    let rows = |from, to, step| {
        let sweep = Some(SweepAsk { over: SweepOver::Load, from, to, step });
        told(&Request { sweep, ..asked("deadlift") }).sweep.expect("a sweep").rows
    };
    let at = |from, to, step| rows(from, to, step).iter().map(|r| r.at).collect::<Vec<_>>();
    assert_eq!(at(0.0, 0.3, 0.1), [0.0, 0.1, 0.2, 0.3]);
    assert_eq!(at(20.0, 100.0, 30.0), [20.0, 50.0, 80.0]);
    assert_eq!(at(60.0, 60.0, 5.0), [60.0]);
    assert_eq!(rows(0.0, 600.0, 3.0).len(), 201);
}

#[test]
fn an_emergency_sign_ends_the_answer() {
    let request = Request { signs: vec!["chest-pain".to_string(), "fever".to_string()], ..asked("no such lift") };
    let reply = answer(&ENGINE, &request).expect("an answer");
    assert!(reply.forces.is_none() && reply.notes.is_empty() && reply.signs.len() == 1 && !reply.has_answer());
    let output = stead(&["forces", "deadlift", "--sign", "chest-pain", "--sweep", "load=0..9:1", "--csv"]);
    assert_eq!(code(&output), 1);
    assert!(out(&output).starts_with("Stop.") && out(&output).lines().count() == 2, "{}", out(&output));
    let said = out(&stead(&["forces", "deadlift", "--sign", "fever"]));
    assert!(said.find("doctor today").expect("the action") < said.find("Forces of").expect("the rest"), "{said}");
}

// Both doors.

#[test]
fn both_doors_tell_the_same() {
    for (args, body) in [
        (&["forces", "deadlift"][..], json!({"exercise": "deadlift"})),
        (
            &["forces", "back", "squat", "--load", "100kg", "--body-mass", "62kg", "--height", "165cm", "--sex", "f"],
            json!({"exercise": "back squat", "load_kg": 100, "body_mass_kg": 62, "height_m": 1.65, "sex": "female"}),
        ),
        (
            &["forces", "rdl", "--lean", "60", "--sets", "3", "--reps", "8", "--dose-power", "4", "--belt"],
            json!({"exercise": "rdl", "lean_deg": 60, "sets": 3, "reps": 8, "dose_power": 4, "belt": true}),
        ),
        (
            &["forces", "good morning", "--sweep", "lean=0..80:10"],
            json!({"exercise": "good morning", "sweep": {"over": "lean", "from": 0, "to": 80, "step": 10}}),
        ),
        (&["forces", "dead hang", "--sign", "fever"], json!({"exercise": "dead hang", "signs": ["fever"]})),
    ] {
        let (status, bytes) = post("/v1/forces", &body);
        assert_eq!(status, 200, "{body}");
        let output = stead(&[args, &["--json"]].concat());
        assert_eq!(out(&output).trim_end(), String::from_utf8_lossy(&bytes), "{args:?}: {}", err(&output));
        let validator = |name: &str| {
            let schema = schema::all().into_iter().find(|(n, _)| *n == name).expect("a schema").1;
            jsonschema::draft202012::new(&schema).expect("a sound schema")
        };
        let reply: Value = serde_json::from_slice(&bytes).expect("json");
        for (name, value) in [("forces-request.json", &body), ("forces-reply.json", &reply)] {
            let faults: Vec<String> = validator(name).iter_errors(value).map(|e| e.to_string()).collect();
            assert!(faults.is_empty(), "{name}: {faults:?}");
        }
    }
}

#[test]
fn problems_of_the_http_door_name_the_place() {
    for (body, status, code, pointer) in [
        (json!({"exercise": "deadlift", "load_kg": 900}), 422, "out-of-bounds", "/load_kg"),
        (json!({"exercise": "qqqzzz"}), 422, "unknown-exercise", "/exercise"),
        (json!({"exercise": "deadlift", "lode_kg": 9}), 400, "malformed-request", "/lode_kg"),
        (json!({"exercise": "deadlift", "sex": "x"}), 422, "unknown-word", "/sex"),
        (
            json!({"exercise": "deadlift", "sweep": {"over": "load", "from": 0, "to": 9}}),
            400,
            "malformed-request",
            "/sweep",
        ),
    ] {
        let (got, bytes) = post("/v1/forces", &body);
        let problem: Value = serde_json::from_slice(&bytes).expect("json");
        assert_eq!((got, problem["code"].as_str(), problem["pointer"].as_str()), (status, Some(code), Some(pointer)));
    }
}

// The command line.

#[test]
fn the_text_keeps_to_sixty_columns() {
    let folder = scratch("columns");
    let plot = folder.join("a-plot-of-the-winch-operators-deadlift.svg").display().to_string();
    for args in [
        &["forces", "deadlift", "--sweep", "load=20..200:20", "--svg", &plot][..],
        &["forces", "safety-bar Bulgarian split squat, hands on rack", "--sets", "3", "--reps", "8", "--belt"],
        &["forces", "push-up"],
        &["forces", "dead hang"],
        &["forces", "farmer walk", "--load", "225lb", "--sex", "female"],
        &["forces", "stiff leg deadlift", "--lean", "-5deg", "--sweep", "lean=-30..110:10"],
        &["forces", "--help"],
        &["swap", "deadlift", "--load", "100kg", "--why"],
    ] {
        let output = stead(args);
        assert_eq!(code(&output), 0, "{args:?}: {}", err(&output));
        for line in out(&output).lines() {
            assert!(line.chars().count() <= 60 && line == line.trim_end(), "{args:?}: {line}");
            assert!(!line.contains('\u{1b}'), "{line:?}");
        }
    }
    let said = out(&stead(&["forces", "deadlift", "--load", "140", "--sets", "3", "--reps", "5"]));
    for part in ["Forces of Conventional deadlift", ">10 kN", "100 %  together", DOSE_LABEL, "not a clearance"] {
        assert!(said.contains(part), "{part}: {said}");
    }
}

#[test]
fn wrong_arguments_name_the_value_and_the_way_out() {
    for (args, part) in [
        (&["--load", "100st"][..], "\"100st\""),
        (&["--load", "heavy"], "kg or lb"),
        (&["--load", "1,5kg"], "\"1,5kg\""),
        (&["--body-mass", "80m"], "no unit \"m\""),
        (&["--height", "5ft9"], "m or cm"),
        (&["--height", "175"], "1.2 to 2.3 m"),
        (&["--lean", "40kg"], "degrees"),
        (&["--sex", "x"], "possible values"),
        (&["--sweep", "load=20..140"], "load=20..140:20"),
        (&["--sweep", "reach=1..2:1"], "neither load nor lean"),
        (&["--sweep", "load=20..140:5st"], "no unit \"st\""),
        (&["--csv"], "--sweep"),
        (&["--svg", "plot.svg"], "--sweep"),
        (&["--sweep", "load=20..140:20", "--csv", "--json"], "--csv and --json"),
        (&["--sets", "3"], "repetitions"),
    ] {
        let output = stead(&[&["forces", "deadlift"], args].concat());
        let said = err(&output).split_whitespace().collect::<Vec<_>>().join(" ");
        assert_eq!(code(&output), 2, "{args:?}");
        assert!(output.stdout.is_empty() && said.starts_with("error: ") && said.contains(part), "{args:?}: {said}");
    }
}

// Source: RFC 4180: lines end in CRLF, every record has as many fields as the header.
#[test]
fn the_table_is_csv_that_another_reader_takes() {
    let output = stead(&["forces", "deadlift", "--sweep", "load=20..140:20", "--csv"]);
    let text = out(&output);
    assert_eq!(text.matches("\r\n").count(), 8);
    assert_eq!(text.matches('\n').count(), 8);
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let header = reader.headers().expect("a header").clone();
    assert_eq!(header.iter().next(), Some("exercise"));
    let place = |name: &str| header.iter().position(|h| h == name).expect("a column");
    let rows: Vec<csv::StringRecord> = reader.records().map(|r| r.expect("a record")).collect();
    let forces = told(&Request { sweep: Some(SWEEP), ..asked("deadlift") });
    let sweep = forces.sweep.expect("a sweep");
    assert_eq!(rows.len(), sweep.rows.len());
    for (record, row) in rows.iter().zip(&sweep.rows) {
        let number = |name: &str| record.get(place(name)).expect("a field").parse::<f64>().expect("a number");
        assert_eq!((number("load_kg"), number("compression_mid_n")), (row.at, row.mid_n));
        assert_eq!(number("lean_deg"), 65.0);
        assert_eq!(record.get(place("spine_class")), Some(row.class.word()));
    }
}

#[test]
fn the_plot_is_well_formed_and_holds_what_it_must() {
    let folder = scratch("plot");
    let path = folder.join("plot.svg");
    let shown = path.display().to_string();
    let args = ["forces", "back squat", "--sweep", "load=20..140:20", "--svg", &shown];
    let output = stead(&args);
    assert_eq!(code(&output), 0, "{}", err(&output));
    assert!(out(&output).contains("Plot written to"));
    let text = std::fs::read_to_string(&path).expect("a file");
    let document = roxmltree::Document::parse(&text).expect("well-formed XML");
    let root = document.root_element();
    assert_eq!((root.tag_name().name(), root.tag_name().namespace()), ("svg", Some("http://www.w3.org/2000/svg")));
    // The first thing drawn is a ground over the whole, so that a dark viewer changes nothing.
    let ground = root.children().find(roxmltree::Node::is_element).expect("a ground");
    assert_eq!((ground.tag_name().name(), ground.attribute("fill")), ("rect", Some("#FFFFFF")));
    assert_eq!(ground.attribute("width"), root.attribute("width"));
    let words: Vec<String> = document
        .descendants()
        .filter(|n| n.has_tag_name(("http://www.w3.org/2000/svg", "text")))
        .filter_map(|n| n.text().map(|t| t.trim().to_string()))
        .collect();
    let forces = told(&Request { sweep: Some(SWEEP), ..asked("back squat") });
    for begin in &forces.class.begins {
        let label = format!("{} from {} N", begin.class.word().replace('-', " "), begin.from_n);
        assert!(words.contains(&label), "{label}: {words:?}");
    }
    for part in ["High-bar back squat", "load in all, kg", "compression of the low back, N"] {
        assert!(words.iter().any(|w| w.contains(part)), "{part}: {words:?}");
    }
    let lines = |colour: &str| document.descendants().filter(|n| n.attribute("stroke") == Some(colour)).count();
    assert_eq!(lines("#A04614"), forces.class.begins.len());
    assert!(document.descendants().any(|n| n.tag_name().name() == "polygon"));

    // A file that is there is never replaced.
    let again = stead(&args);
    assert_eq!(code(&again), 2);
    assert!(err(&again).contains("there already") && err(&again).contains("hint: "), "{}", err(&again));
    assert_eq!(std::fs::read_to_string(&path).expect("a file"), text);
    let nowhere = folder.join("no/such/plot.svg").display().to_string();
    assert_eq!(code(&stead(&["forces", "squat", "--sweep", "load=0..9:9", "--svg", &nowhere])), 2);
}

#[test]
fn every_sweep_can_be_drawn() {
    let folder = scratch("draw");
    for (at, (exercise, sweep)) in [
        ("dead hang", "load=0..20:5"),
        ("push-up", "load=10..10:5"),
        ("deadlift", "lean=-30..110:1"),
        ("deadlift", "load=0..600:3"),
    ]
    .into_iter()
    .enumerate()
    {
        let path = folder.join(format!("{at}.svg")).display().to_string();
        let output = stead(&["forces", exercise, "--sweep", sweep, "--svg", &path, "--json"]);
        assert_eq!(code(&output), 0, "{exercise} {sweep}: {}", err(&output));
        let text = std::fs::read_to_string(&path).expect("a file");
        assert!(roxmltree::Document::parse(&text).is_ok() && !text.contains("NaN"), "{exercise} {sweep}");
        let _: Value = serde_json::from_str(&out(&output)).expect("json");
    }
}

// Both lifts of a swap side by side.

fn swapped(request: &swap::Request) -> Value {
    serde_json::to_value(swap::answer(&ENGINE, request).expect("an answer")).expect("json")
}

#[test]
fn a_known_load_sets_both_spine_loads_side_by_side() {
    let plain = swap::Request { exercise: "deadlift".to_string(), top: Some(20), ..swap::Request::default() };
    let without = swapped(&plain);
    assert!(!without.to_string().contains("spine_load"));
    let with = swapped(&swap::Request { known_load_kg: Some(100.0), ..plain.clone() });
    let pairs = |of: &'static str| {
        let list = |reply: &Value| reply["substitutes"].as_array().expect("a list").clone();
        list(&without).into_iter().zip(list(&with)).map(move |(a, b)| (a[of].clone(), b[of].clone()))
    };
    // What is shown beside the order changes nothing of it.
    assert!(pairs("id").all(|(a, b)| a == b) && pairs("score").all(|(a, b)| a == b));
    for substitute in with["substitutes"].as_array().expect("a list") {
        let load = &substitute["spine_load"];
        let figure = |name: &str| load[name].as_f64().expect("a number");
        assert_eq!(figure("original_kg"), 100.0);
        let ratio = figure("substitute_n") / figure("original_n");
        assert!((figure("ratio") - ratio).abs() <= 0.12 * ratio + 0.01, "{load}");
        assert!(figure("low") <= figure("ratio") && figure("ratio") <= figure("high"), "{load}");
        let said = load["said"].as_str().expect("words");
        assert!(said.starts_with("about ") && said.ends_with("of the original's spine load"), "{said}");
        assert!(load["how"].as_str().is_some_and(|h| h.contains("family of lifts")), "{load}");
    }
    assert!(with["notes"].to_string().contains("does not mean safe"), "{}", with["notes"]);
    let said = out(&stead(&["swap", "deadlift", "--load", "225lb", "--body-mass", "70kg", "--sex", "f"]));
    let flat = said.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(flat.contains("of the original's spine load, at "), "{said}");
}

#[test]
fn the_equivalent_load_follows_the_usual_shares() {
    let request = swap::Request {
        exercise: "back-squat-high-bar".to_string(),
        known_load_kg: Some(100.0),
        top: Some(50),
        ..swap::Request::default()
    };
    let reply = swapped(&request);
    let share = |id: &str| {
        let record = ENGINE.kb().exercise(ENGINE.kb().row_of(id).expect("a row")).expect("a record");
        (record.typical_load.anchor == "squat" && record.typical_load.counted.word() == "bar")
            .then_some(record.typical_load.share)
    };
    let mut seen = 0;
    for substitute in reply["substitutes"].as_array().expect("a list") {
        if let Some(share) = share(substitute["id"].as_str().expect("an id")) {
            let kg = substitute["spine_load"]["substitute_kg"].as_f64().expect("a number");
            assert!((kg - 100.0 * share).abs() <= 0.25 + 1e-9, "{substitute:#}");
            seen += 1;
        }
    }
    assert!(seen > 3, "only {seen}");
}

#[test]
fn body_measures_without_a_load_are_told_to_be_idle_and_bounds_hold() {
    let request = swap::Request { exercise: "deadlift".to_string(), ..swap::Request::default() };
    let idle = swapped(&swap::Request { body_mass_kg: Some(70.0), ..request.clone() });
    assert!(idle["notes"].to_string().contains("nothing was made of them"));
    for (request, pointer) in [
        (swap::Request { known_load_kg: Some(900.0), ..request.clone() }, "/known_load_kg"),
        (swap::Request { body_mass_kg: Some(900.0), ..request.clone() }, "/body_mass_kg"),
        (swap::Request { height_m: Some(9.0), ..request.clone() }, "/height_m"),
    ] {
        let error: ask::Error = swap::answer(&ENGINE, &request).expect_err("a refusal");
        assert_eq!((error.code(), error.pointer()), ("out-of-bounds", pointer));
    }
    // A lift that does not load the spine by estimate has no ratio, and that is said.
    let hang = swap::Request { exercise: "dead hang".to_string(), known_load_kg: Some(10.0), ..request };
    let hang = swapped(&hang);
    assert!(hang["notes"].to_string().contains("no ratio"), "{}", hang["notes"]);
}

// What holds for every question.

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn any_question_is_answered_or_refused_with_its_place(
        row in 0..ENGINE.kb().len(),
        load in proptest::option::of(prop_oneof![0.0..=600.0f64, any::<f64>()]),
        mass in proptest::option::of(prop_oneof![9 => 25.0..=300.0f64, 1 => any::<f64>()]),
        height in proptest::option::of(prop_oneof![9 => 1.2..=2.3f64, 1 => any::<f64>()]),
        lean in proptest::option::weighted(0.3, prop_oneof![9 => -30.0..=110.0f64, 1 => any::<f64>()]),
        sets in proptest::option::of(0u32..200),
        reps in proptest::option::of(0u32..9000),
        power in proptest::option::of(select(vec![2u8, 2, 4, 3])),
        sweep in proptest::option::of((select(SweepOver::ALL), -50.0..200.0f64, -50.0..700.0f64, prop_oneof![0.1..50.0f64, any::<f64>()])),
        sex in proptest::option::of(select(forces::Sex::ALL)),
        belt in any::<bool>(),
    ) {
        let sweep = sweep.map(|(over, from, to, step)| SweepAsk { over, from, to, step });
        let request = Request {
            load_kg: load, body_mass_kg: mass, height_m: height, lean_deg: lean, sets, reps,
            dose_power: power, sweep, sex, belt, ..asked(&ENGINE.kb().ids[row])
        };
        match answer(&ENGINE, &request) {
            Err(error) => {
                prop_assert!(error.is_bad_request(), "{error}");
                prop_assert!(error.pointer().starts_with('/'), "{error}");
            }
            Ok(reply) => {
                let forces = reply.forces.expect("forces");
                let sum: f64 = forces.breakdown.parts.iter().map(|p| p.newtons).sum();
                prop_assert_eq!(sum, forces.breakdown.total_n);
                prop_assert!(sum.is_finite() && sum >= 0.0);
                prop_assert_eq!(two_figures(sum), forces.compression.mid_n);
                prop_assert!(forces.sweep.is_none_or(|s| !s.rows.is_empty() && s.rows.len() <= 201));
            }
        }
    }
}
