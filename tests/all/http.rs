//! The HTTP door from outside: routes, problem replies, limits, and a clean stop.
//!
//! Leans on actix-web's in-process service; one test spawns this very test binary as a server, to
//! send it a real SIGTERM. Leaves to others: whether the answers are good.

use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::net::TcpStream;
use std::process::{Command, Stdio};
use std::sync::{Arc, LazyLock};
use std::time::{Duration, Instant};

use actix_web::App;
use actix_web::body::MessageBody;
use actix_web::dev::{Service, ServiceResponse};
use actix_web::http::{Method, header};
use actix_web::rt::System;
use actix_web::test::{TestRequest, call_service, init_service, read_body};
use actix_web::web::Bytes;
use proptest::prelude::*;
use proptest::test_runner::{Config, TestRunner};
use serde::Serialize;
use serde_json::{Value, json};
use stead::ask::{self, Engine};
use stead::http::error::{KINDS, PROBLEM_JSON};
use stead::http::routes::ROUTES;
use stead::http::{BODY_LIMIT, Limits, ServeError};

static ENGINE: LazyLock<Arc<Engine>> = LazyLock::new(|| Arc::new(Engine::shipped().expect("the shipped base opens")));

/// What came back.
#[derive(Debug)]
struct Reply {
    status: u16,
    media: String,
    allow: Option<String>,
    body: Bytes,
}

impl Reply {
    fn json(&self) -> Value {
        serde_json::from_slice(&self.body).unwrap_or_else(|e| panic!("{e}: {:?}", self.body))
    }

    /// A problem reply of this status and code, its shape checked.
    #[track_caller]
    fn problem(&self, status: u16, code: &str) -> Value {
        let problem = self.json();
        assert_eq!((self.status, problem["code"].as_str()), (status, Some(code)), "{problem:#}");
        assert_eq!(self.media, PROBLEM_JSON);
        assert_eq!(problem["status"], status);
        assert_eq!(problem["type"], format!("/problems/{code}"));
        let kind = KINDS.iter().find(|k| k.code == code).expect("a listed kind");
        assert_eq!(problem["title"], kind.title);
        assert!(problem["detail"].as_str().is_some_and(|d| !d.is_empty()), "{problem:#}");
        assert!(problem["nearest"].is_array() && problem["pointer"].is_string(), "{problem:#}");
        problem
    }

    /// A problem reply that points at `pointer`; its nearest values.
    #[track_caller]
    fn points(&self, status: u16, code: &str, pointer: &str) -> Vec<String> {
        let problem = self.problem(status, code);
        assert_eq!(problem["pointer"], pointer, "{problem:#}");
        serde_json::from_value(problem["nearest"].clone()).expect("a list of texts")
    }
}

async fn send<S, R, B>(app: &S, request: R) -> Reply
where
    S: Service<R, Response = ServiceResponse<B>, Error = actix_web::Error>,
    B: MessageBody,
{
    let response = call_service(app, request).await;
    let text = |name| response.headers().get(name).and_then(|v| v.to_str().ok()).map(str::to_string);
    let (status, media, allow) = (response.status().as_u16(), text(header::CONTENT_TYPE), text(header::ALLOW));
    Reply { status, media: media.unwrap_or_default(), allow, body: read_body(response).await }
}

fn ask(request: TestRequest) -> Reply {
    System::new().block_on(async {
        send(&init_service(stead::http::app(Arc::clone(&ENGINE))).await, request.to_request()).await
    })
}

fn get(uri: &str) -> Reply {
    ask(TestRequest::get().uri(uri))
}

fn post(body: impl Into<Bytes>) -> Reply {
    ask(TestRequest::post().uri("/v1/swap").insert_header(("content-type", "application/json")).set_payload(body))
}

fn swap(question: &Value) -> Reply {
    post(question.to_string())
}

/// The reply holds exactly what the question itself answers.
#[track_caller]
fn same<R: Serialize>(reply: &Reply, answer: Result<R, ask::Error>) {
    assert_eq!((reply.status, reply.media.as_str()), (200, "application/json"), "{:?}", reply.body);
    let expected = serde_json::to_string(&answer.expect("an answer")).expect("it serialises");
    assert_eq!(reply.body, expected.as_bytes());
}

// The routes.

#[test]
fn a_swap_is_answered_as_the_question_answers_it() {
    let question = json!({
        "exercise": "back squat", "gym": "loft", "aim": "strength", "top": 3, "why": true,
        "sore": [{"region": "low-back", "level": "moderate"}],
    });
    let reply = swap(&question);
    let request = serde_json::from_value(question).expect("a question");
    same(&reply, ask::swap::answer(&ENGINE, &request));
    assert_eq!(reply.json()["substitutes"].as_array().map(Vec::len), Some(3));
}

#[test]
fn a_gym_described_in_full_is_taken() {
    let gym = json!({"id": "pier", "name": "The pier", "items": ["kettlebells"], "stock": {"kettlebell_max_kg": 24.0}});
    let question = json!({"exercise": "deadlift", "gym": gym});
    let request = serde_json::from_value(question.clone()).expect("a question");
    same(&swap(&question), ask::swap::answer(&ENGINE, &request));
}

#[test]
fn an_emergency_sign_is_an_answer_without_exercises() {
    let terms = get("/v1/terms/signs").json();
    let words = terms["groups"][0]["words"].as_array().expect("words").clone();
    let sign = words.iter().find(|w| w["parent"] == "emergency").expect("an emergency sign");
    let reply = swap(&json!({"exercise": "back squat", "signs": [sign["id"]]}));
    let said = reply.json();
    assert_eq!(reply.status, 200);
    assert_eq!(said["substitutes"], json!([]));
    assert!(said["signs"][0]["action"].as_str().is_some_and(|a| !a.is_empty()), "{said:#}");
}

#[test]
fn a_media_type_with_charset_is_taken() {
    let request = TestRequest::post().uri("/v1/swap").set_payload(r#"{"exercise":"deadlift"}"#);
    assert_eq!(ask(request.insert_header(("content-type", "Application/JSON; charset=UTF-8"))).status, 200);
}

#[test]
fn free_text_is_searched() {
    let request = ask::find::Request { text: "chest suported row".to_string(), top: Some(3) };
    same(&get("/v1/find?text=chest+suported%20row&top=3"), ask::find::answer(&ENGINE, &request));
}

#[test]
fn exercises_are_listed_by_every_filter() {
    same(&get("/v1/exercises"), ask::list::answer(&ENGINE, &ask::list::Request::default()));
    let whole: ask::list::Request = serde_json::from_value(json!({
        "pattern": "squat", "muscle": "quads", "max_spine": "moderate", "kind_to": ["low-back", "wrist"],
        "gym": "loft", "have": ["box", "kettlebells"], "role": "accessory",
    }))
    .expect("a question");
    let common = "/v1/exercises?pattern=squat&muscle=quads&max_spine=moderate&gym=loft&role=accessory";
    let repeated = get(&format!("{common}&kind_to=low-back&kind_to=wrist&have=box&have=kettlebells"));
    let commas = get(&format!("{common}&kind_to=low-back,%20wrist&have=box,kettlebells"));
    same(&repeated, ask::list::answer(&ENGINE, &whole));
    assert_eq!(repeated.body, commas.body);
    assert!(repeated.json()["count"].as_u64().is_some_and(|n| n > 0));
}

#[test]
fn one_exercise_is_shown_by_id_or_name() {
    let request = ask::show::Request { exercise: "back-squat".to_string() };
    same(&get("/v1/exercises/back-squat"), ask::show::answer(&ENGINE, &request));
    let request = ask::show::Request { exercise: "Back Squats".to_string() };
    same(&get("/v1/exercises/Back%20Squats"), ask::show::answer(&ENGINE, &request));
}

#[test]
fn every_listed_exercise_is_served_under_its_id() {
    System::new().block_on(async {
        let app = init_service(stead::http::app(Arc::clone(&ENGINE))).await;
        for id in &ENGINE.kb().ids {
            let reply = send(&app, TestRequest::get().uri(&format!("/v1/exercises/{id}")).to_request()).await;
            assert_eq!(reply.status, 200, "{id}");
            // Names match regardless of case and plural, ids above all: it must be this very one.
            assert_eq!(reply.json()["exercise"]["id"], **id);
            assert_eq!(reply.json()["read_as"], "name", "{id}");
        }
    });
}

#[test]
fn terms_come_whole_or_by_kind() {
    same(&get("/v1/terms"), ask::terms::answer(&ENGINE, &ask::terms::Request::default()));
    for kind in ask::terms::KINDS {
        let request = ask::terms::Request { kind: Some((*kind).to_string()) };
        same(&get(&format!("/v1/terms/{kind}")), ask::terms::answer(&ENGINE, &request));
        same(&get(&format!("/v1/terms?kind={kind}")), ask::terms::answer(&ENGINE, &request));
    }
}

#[test]
fn the_base_is_served_in_every_form() {
    use ask::export::{Form, Request, answer};
    for form in Form::ALL {
        let reply = get(&format!("/v1/base/export?as={form}"));
        assert_eq!((reply.status, reply.media.as_str()), (200, form.media_type()));
        assert_eq!(reply.body, answer(&ENGINE, &Request { form: *form }).expect("a base").text.as_bytes(), "{form}");
    }
    assert_eq!(get("/v1/base/export").body, get("/v1/base/export?as=json").body);
    let near = get("/v1/base/export?as=graphxml").points(400, "unknown-word", "/as");
    assert_eq!(near.first().map(String::as_str), Some("graphml"));
    get("/v1/base/export?form=csv").points(400, "malformed-request", "/form");
}

#[test]
fn health_names_the_base() {
    let reply = get("/healthz");
    assert_eq!((reply.status, &reply.json()["status"]), (200, &json!("ok")));
    assert_eq!(reply.json()["base"]["stamp"], ENGINE.kb().stamp);
}

#[test]
fn every_problem_type_can_be_looked_up() {
    for kind in KINDS {
        let reply = get(&format!("/problems/{}", kind.code));
        assert_eq!(reply.status, 200);
        assert_eq!(reply.json(), json!({"code": kind.code, "title": kind.title, "means": kind.means}));
    }
    assert_eq!(get("/problems/unknown-exercize").points(404, "unknown-path", ""), ["/problems/unknown-exercise"]);
}

#[test]
fn the_documented_addresses_find_something() {
    let page = include_str!("../../src/http/mod.rs");
    let addresses: Vec<&str> =
        page.split("'localhost:8080").skip(1).filter_map(|rest| rest.split('\'').next()).collect();
    assert_eq!(addresses.len(), 3);
    for address in addresses {
        let found = get(address);
        assert_eq!(found.status, 200, "{address}: {:?}", found.body);
        let found = found.json();
        let one = !found["exercise"].is_null();
        let several = ["hits", "exercises"].iter().any(|l| found[l].as_array().is_some_and(|l| !l.is_empty()));
        assert!(one || several, "{address}: {found:#}");
    }
}

// Paths and methods.

#[test]
fn wrong_methods_are_told_which_ones_work() {
    for route in ROUTES {
        let path = route
            .path
            .replace("{exercise}", "back-squat")
            .replace("{kind}", "gyms")
            .replace("{code}", "internal")
            .replace("{file}", "page.css");
        for method in [Method::GET, Method::HEAD, Method::POST, Method::PUT, Method::DELETE, Method::OPTIONS] {
            let allowed = route.allow.split(", ").any(|m| m == method.as_str());
            let reply = ask(TestRequest::default().method(method.clone()).uri(&path));
            assert_eq!(reply.status == 405, !allowed, "{method} {path} gave {}", reply.status);
            assert_ne!(reply.status, 404, "{method} {path}");
            if !allowed {
                reply.problem(405, "wrong-method");
                assert_eq!(reply.allow.as_deref(), Some(route.allow));
            }
        }
    }
}

#[test]
fn unknown_paths_are_told_the_nearest() {
    assert_eq!(get("/v1/exercise").points(404, "unknown-path", ""), ["/v1/exercises"]);
    for path in ["/page", "/v2/swap", "/v1/exercises/", "/v1/exercises/back-squat/cues", "/%00%ff"] {
        get(path).problem(404, "unknown-path");
    }
}

// Bodies.

#[test]
fn bodies_that_are_not_plain_json_are_refused() {
    let of = |name: &'static str, value: &'static str| {
        let request = TestRequest::post().uri("/v1/swap").set_payload(r#"{"exercise":"deadlift"}"#);
        ask(if name.is_empty() { request } else { request.insert_header((name, value)) })
    };
    of("", "").problem(415, "wrong-media-type");
    for media in ["text/plain", "application/x-www-form-urlencoded", "application/json; charset=latin1", "?"] {
        of("content-type", media).problem(415, "wrong-media-type");
    }
    let coded = TestRequest::post()
        .uri("/v1/swap")
        .insert_header(("content-type", "application/json"))
        .insert_header(("content-encoding", "gzip"))
        .set_payload("zzz");
    ask(coded).problem(415, "wrong-media-type");
}

#[test]
fn malformed_json_is_refused_with_its_place() {
    for (body, pointer) in [
        ("", ""),
        (" \n", ""),
        ("cox", ""),
        ("[]", ""),
        (r#"["deadlift"]"#, ""),
        ("null", ""),
        (r#"{"exercise": "deadlift""#, ""),
        (r#"{"exercise": "deadlift"} {}"#, ""),
        (r#"{"exercise": 7}"#, "/exercise"),
        (r#"{"exercise": "deadlift", "top": -1}"#, "/top"),
        (r#"{"exercise": "deadlift", "top": 1.5}"#, "/top"),
        (r#"{"exercise": "deadlift", "max_skill": 300}"#, "/max_skill"),
        (r#"{"exercise": "deadlift", "sore": [{"region": "knee"}, {"region": 1}]}"#, "/sore/1/region"),
        (r#"{"exercise": "deadlift", "sore": {"region": "knee"}}"#, "/sore"),
        (r#"{"exercise": "deadlift", "skip": ["row", nope]}"#, "/skip/1"),
        (r#"{"exercise": "deadlift", "gym": 7}"#, "/gym"),
        (r#"{"exercise": "deadlift", "gym": {"id": "pier", "name": "Pier", "items": [1]}}"#, "/gym/items/0"),
        (r#"{"exercise": "deadlift", "gym": {"id": "pier", "name": "Pier"}}"#, "/gym"),
    ] {
        assert_eq!(post(body).points(400, "malformed-request", pointer), [""; 0], "{body}");
    }
    post(Bytes::from_static(b"{\"exercise\": \"\xff\"}")).problem(400, "malformed-request");
    post("[".repeat(BODY_LIMIT - 1)).problem(400, "malformed-request");
    let deep = format!(r#"{{"exercise": "deadlift", "gym": {}"#, r#"{"stock":"#.repeat(5000));
    post(deep).problem(400, "malformed-request");
}

#[test]
fn an_unknown_member_is_told_the_nearest() {
    let near = swap(&json!({"exercize": "deadlift"})).points(400, "malformed-request", "/exercize");
    assert_eq!(near.first().map(String::as_str), Some("exercise"));
    let question = json!({"exercise": "deadlift", "sore": [{"region": "knee", "pian": 3}]});
    let near = swap(&question).points(400, "malformed-request", "/sore/0/pian");
    assert_eq!(near.first().map(String::as_str), Some("pain"));
    let gym = json!({"id": "pier", "name": "Pier", "items": [], "cieling_m": 2.0});
    let near = swap(&json!({"exercise": "deadlift", "gym": gym})).points(400, "malformed-request", "/gym/cieling_m");
    assert_eq!(near.first().map(String::as_str), Some("ceiling_m"));
}

#[test]
fn the_body_has_a_limit() {
    let of_length = |n: usize| {
        let body = r#"{"exercise":"deadlift"}"#;
        format!("{body}{}", " ".repeat(n - body.len()))
    };
    assert_eq!(post(of_length(BODY_LIMIT)).status, 200);
    post(of_length(BODY_LIMIT + 1)).problem(413, "too-large");
}

#[test]
fn limits_can_be_set() {
    System::new().block_on(async {
        let limits = Limits { body_bytes: 10, body_wait: Duration::from_secs(1) };
        let app = init_service(App::new().configure(stead::http::configure(Arc::clone(&ENGINE), limits))).await;
        let request = TestRequest::post().uri("/v1/swap").insert_header(("content-type", "application/json"));
        let reply = send(&app, request.set_payload(r#"{"exercise":"deadlift"}"#).to_request()).await;
        assert!(reply.problem(413, "too-large")["detail"].as_str().is_some_and(|d| d.contains("10 bytes")));
    });
}

// Questions at fault.

#[test]
fn errors_of_a_swap_are_422_with_the_place_and_the_nearest() {
    let first = |near: Vec<String>| near.first().cloned().unwrap_or_default();
    let near = swap(&json!({"exercise": "winch handle yank"})).points(422, "unknown-exercise", "/exercise");
    assert_eq!(near.len(), 3);
    assert!(swap(&json!({"exercise": "squat machine"})).points(422, "ambiguous-exercise", "/exercise").len() > 1);
    swap(&json!({"exercise": " "})).points(422, "empty-value", "/exercise");
    swap(&json!({})).points(422, "empty-value", "/exercise");
    let with = |member: &str, value: Value| {
        let mut question = json!({"exercise": "back squat"});
        question[member] = value;
        swap(&question)
    };
    assert_eq!(first(with("sore", json!([{"region": "kne"}])).points(422, "unknown-word", "/sore/0/region")), "knee");
    with("sore", json!([{"region": "knee", "aggravator": "rowing"}])).points(422, "unknown-word", "/sore/0/aggravator");
    with("sore", json!([{"region": "knee", "pain": 11}])).points(422, "out-of-bounds", "/sore/0/pain");
    with("sore", json!([{"region": "knee", "pain": 3, "level": "mild"}])).points(422, "conflicting-values", "/sore/0");
    assert_eq!(
        first(with("sore", json!([{"region": "knee", "level": "mildly"}])).points(
            422,
            "unknown-word",
            "/sore/0/level"
        )),
        "mild"
    );
    assert_eq!(first(with("aim", json!("sizes")).points(422, "unknown-word", "/aim")), "size");
    assert_eq!(first(with("max_spine", json!("hihg")).points(422, "unknown-word", "/max_spine")), "high");
    assert_eq!(with("gym", json!("slipwya")).points(422, "unknown-kit", "/gym"), ["slipway"]);
    assert_eq!(with("have", json!(["dumbells", "oar"])).points(422, "unknown-kit", "/have").len(), 1);
    with("gym", json!({"id": "pier", "name": "Pier", "items": [], "ceiling_m": 99.0})).points(
        422,
        "unknown-kit",
        "/gym",
    );
    with("top", json!(0)).points(422, "out-of-bounds", "/top");
    with("max_skill", json!(9)).points(422, "out-of-bounds", "/max_skill");
    with("skip", json!(["front squat", "winch handle yank"])).points(422, "unknown-exercise", "/skip/1");
    assert!(!with("signs", json!(["numb"])).points(422, "unknown-word", "/signs/0").is_empty());
}

#[test]
fn errors_of_a_path_are_404() {
    assert_eq!(get("/v1/exercises/winch-handle-yank").points(404, "unknown-exercise", "/exercise").len(), 3);
    get("/v1/exercises/squat%20machine").points(404, "ambiguous-exercise", "/exercise");
    get("/v1/exercises/%20").points(404, "empty-value", "/exercise");
    let near = get("/v1/terms/muscle").points(404, "unknown-word", "/kind");
    assert_eq!(near.first().map(String::as_str), Some("muscles"));
}

#[test]
fn errors_of_a_query_string_are_400() {
    let first = |near: Vec<String>| near.first().cloned().unwrap_or_default();
    get("/v1/find").points(400, "empty-value", "/text");
    get("/v1/find?text=").points(400, "empty-value", "/text");
    get("/v1/find?text=row&top=many").points(400, "malformed-request", "/top");
    get("/v1/find?text=row&top=0").points(400, "out-of-bounds", "/top");
    get("/v1/find?text=row&text=squat").points(400, "malformed-request", "/text");
    get(&format!("/v1/find?text={}", "a".repeat(500))).points(400, "malformed-request", "/text");
    assert_eq!(first(get("/v1/find?txet=row").points(400, "malformed-request", "/txet")), "text");
    assert_eq!(first(get("/v1/exercises?mucsle=lats").points(400, "malformed-request", "/mucsle")), "muscle");
    get("/v1/exercises?a/b~c=1").points(400, "malformed-request", "/a~1b~0c");
    assert!(get("/v1/exercises/back-squat?top=1").points(400, "malformed-request", "/top").is_empty());
    assert_eq!(first(get("/v1/exercises?max_spine=lwo").points(400, "unknown-word", "/max_spine")), "low");
    assert_eq!(first(get("/v1/exercises?role=mian").points(400, "unknown-word", "/role")), "main");
    assert!(!get("/v1/exercises?pattern=oars").points(400, "unknown-word", "/pattern").is_empty());
    assert!(!get("/v1/exercises?muscle=oars").points(400, "unknown-word", "/muscle").is_empty());
    assert_eq!(first(get("/v1/exercises?kind_to=hip&kind_to=kne").points(400, "unknown-word", "/kind_to/1")), "knee");
    get("/v1/exercises?kind_to=hip,,knee").points(400, "empty-value", "/kind_to");
    assert_eq!(get("/v1/exercises?gym=slipwya").points(400, "unknown-kit", "/gym"), ["slipway"]);
    get("/v1/exercises?have=oar").points(400, "unknown-kit", "/have");
    get("/v1/terms?kind=muscle").points(400, "unknown-word", "/kind");
}

// No request panics.

fn any_json() -> impl Strategy<Value = Value> {
    let leaf = prop_oneof![
        Just(Value::Null),
        any::<bool>().prop_map(Value::from),
        any::<i64>().prop_map(Value::from),
        any::<f64>().prop_map(Value::from),
        ".{0,12}".prop_map(Value::from),
    ];
    leaf.prop_recursive(4, 40, 6, |inner| {
        prop_oneof![
            prop::collection::vec(inner.clone(), 0..6).prop_map(Value::from),
            prop::collection::vec((member(), inner), 0..6).prop_map(|pairs| Value::Object(pairs.into_iter().collect())),
        ]
    })
}

/// A member of some question, or any name.
fn member() -> impl Strategy<Value = String> {
    let known = [
        "exercise",
        "sore",
        "gym",
        "have",
        "aim",
        "max_spine",
        "max_skill",
        "skip",
        "top",
        "why",
        "signs",
        "region",
        "aggravator",
        "level",
        "pain",
        "id",
        "name",
        "items",
        "stock",
        "ceiling_m",
        "plates_total_kg",
    ];
    prop_oneof![4 => prop::sample::select(known.to_vec()).prop_map(str::to_string), 1 => ".{0,8}"]
}

/// A value that a question may well hold, or nearly.
fn plausible() -> impl Strategy<Value = Value> {
    let words = [
        "back squat",
        "deadlift",
        "bench press",
        "bent row",
        "rdl",
        "knee",
        "low-back",
        "wrist",
        "loft",
        "slipway",
        "dumbbells",
        "bands",
        "size",
        "strength",
        "low",
        "high",
        "mild",
        "severe",
        "squat",
        "row",
        "",
        " ",
        "\u{fc}\u{301}",
    ];
    prop_oneof![
        prop::sample::select(words.to_vec()).prop_map(Value::from),
        (-2i64..60).prop_map(Value::from),
        (-1.0f64..12.0).prop_map(Value::from),
        prop::collection::vec(prop::sample::select(words.to_vec()), 0..4).prop_map(|w| json!(w)),
        any::<bool>().prop_map(Value::from),
        Just(Value::Null),
    ]
}

fn sound() -> Value {
    json!({
        "exercise": "back squat", "sore": [{"region": "low-back", "level": "moderate"}, {"region": "knee", "pain": 2.5}],
        "gym": {"id": "pier", "name": "Pier", "items": ["dumbbells", "bands"], "stock": {"dumbbell_max_kg": 24.0}, "ceiling_m": 2.4},
        "have": ["box"], "aim": "size", "max_spine": "high", "max_skill": 4, "skip": ["front squat"], "top": 4, "why": true,
        "signs": [],
    })
}

/// A sound question with a few values replaced, put in or taken out.
fn mutated() -> impl Strategy<Value = Vec<u8>> {
    let pointers = [
        "/exercise",
        "/sore",
        "/sore/0",
        "/sore/0/region",
        "/sore/0/level",
        "/sore/1/pain",
        "/gym",
        "/gym/items",
        "/gym/items/0",
        "/gym/stock",
        "/gym/stock/dumbbell_max_kg",
        "/gym/ceiling_m",
        "/have",
        "/have/0",
        "/aim",
        "/max_spine",
        "/max_skill",
        "/skip",
        "/skip/0",
        "/top",
        "/why",
        "/signs",
    ];
    let value = prop_oneof![3 => plausible(), 1 => any_json()];
    let change = (prop::sample::select(pointers.to_vec()), value.clone());
    (prop::collection::vec(change, 0..4), prop::option::of((member(), value))).prop_map(|(changes, more)| {
        let mut question = sound();
        for (pointer, value) in changes {
            if let Some(slot) = question.pointer_mut(pointer) {
                *slot = value;
            }
        }
        if let (Some((name, value)), Some(members)) = (more, question.as_object_mut()) {
            members.insert(name, value);
        }
        question.to_string().into_bytes()
    })
}

/// A sound question with bytes overwritten, cut or doubled.
fn garbled() -> impl Strategy<Value = Vec<u8>> {
    let bytes = sound().to_string().into_bytes();
    let n = bytes.len();
    (prop::collection::vec((0..n, any::<u8>()), 0..4), 0..n, any::<bool>()).prop_map(move |(changes, cut, whole)| {
        let mut body = bytes.clone();
        for (at, byte) in changes {
            body[at] = byte;
        }
        if !whole {
            body.truncate(cut);
        }
        body
    })
}

/// Every body and every address gets a JSON reply, and no fault of the server.
#[test]
fn no_request_panics() {
    let body = prop_oneof![
        3 => mutated(),
        1 => garbled(),
        1 => any_json().prop_map(|v| v.to_string().into_bytes()),
        1 => prop::collection::vec(any::<u8>(), 0..200),
    ];
    let address = {
        let name = prop::sample::select(vec![
            "text", "top", "pattern", "muscle", "kind_to", "gym", "have", "role", "kind", "x",
        ]);
        let pair = (name, plausible().prop_map(|v| v.as_str().map_or_else(|| v.to_string(), str::to_string)));
        let path: Vec<&str> =
            vec!["/v1/find", "/v1/exercises", "/v1/exercises/%s", "/v1/terms", "/v1/terms/%s", "/x%s"];
        (prop::sample::select(path), "[ -~]{0,12}", prop::collection::vec(pair, 0..3)).prop_map(
            |(path, step, pairs)| {
                let escape = |text: &str| text.bytes().map(|b| format!("%{b:02X}")).collect::<String>();
                let pairs: Vec<String> = pairs.iter().map(|(n, v)| format!("{n}={}", escape(v))).collect();
                format!("{}?{}", path.replace("%s", &escape(&step)), pairs.join("&"))
            },
        )
    };
    let system = System::new();
    let app = system.block_on(init_service(stead::http::app(Arc::clone(&ENGINE))));
    let mut runner = TestRunner::new(Config { failure_persistence: None, ..Config::with_cases(256) });
    let result = runner.run(&(body, address), |(body, address)| {
        let request = TestRequest::post().uri("/v1/swap").insert_header(("content-type", "application/json"));
        let reply = system.block_on(send(&app, request.set_payload(body.clone()).to_request()));
        prop_assert!(reply.status < 500 && reply.json().is_object(), "{}: {:?}", String::from_utf8_lossy(&body), reply);
        let reply = system.block_on(send(&app, TestRequest::get().uri(&address).to_request()));
        prop_assert!(reply.status < 500 && reply.json().is_object(), "{}: {:?}", address, reply);
        Ok(())
    });
    result.unwrap_or_else(|e| panic!("{e}"));
}

// A server of its own.

/// Marks the process that [`a_stop_lets_requests_in_flight_finish`] starts as its server.
const SERVER_MARK: &str = "STEAD_TEST_IS_SERVER";

/// The server process of the next test; nothing in an ordinary run.
#[test]
fn server_process() {
    if std::env::var_os(SERVER_MARK).is_some() {
        stead::http::serve(Engine::shipped().expect("the shipped base opens"), "127.0.0.1:0").expect("it serves");
    }
}

fn read_all(stream: &mut TcpStream) -> String {
    let mut text = String::new();
    stream.read_to_string(&mut text).expect("a reply");
    text
}

#[cfg(unix)]
#[test]
fn a_stop_lets_requests_in_flight_finish() {
    let mut server = Command::new(std::env::current_exe().expect("this binary"))
        .args(["http::server_process", "--exact", "--nocapture"])
        .env(SERVER_MARK, "1")
        .stdout(Stdio::null())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the server starts");
    let mut told = BufReader::new(server.stderr.take().expect("its stderr"));
    let mut line = String::new();
    told.read_line(&mut line).expect("a line");
    let address = line.split("http://").nth(1).and_then(|r| r.split(' ').next()).expect("an address").to_string();
    let connect = || {
        let stream = TcpStream::connect(&address).expect("a connection");
        stream.set_read_timeout(Some(Duration::from_secs(30))).expect("a timeout");
        stream
    };

    let mut whole = connect();
    whole.write_all(b"HEAD /healthz HTTP/1.1\r\nhost: boathouse\r\nconnection: close\r\n\r\n").expect("sent");
    let reply = read_all(&mut whole);
    assert!(reply.starts_with("HTTP/1.1 200 ") && reply.ends_with("\r\n\r\n"), "{reply}");

    let mut long = connect();
    let head = "POST /v1/swap HTTP/1.1\r\nhost: boathouse\r\ncontent-type: application/json\r\n";
    long.write_all(format!("{head}content-length: 9000000\r\n\r\n{{").as_bytes()).expect("sent");
    assert!(read_all(&mut long).starts_with("HTTP/1.1 413 "));

    // Half a question, then the signal, then the rest of the question.
    let (first, rest) = (r#"{"exercise": "back "#, r#"squat", "gym": "loft"}"#);
    let mut slow = connect();
    slow.write_all(format!("{head}content-length: {}\r\n\r\n{first}", first.len() + rest.len()).as_bytes())
        .expect("sent");
    let idle = connect();
    std::thread::sleep(Duration::from_millis(300));
    let signal = Command::new("sh").args(["-c", &format!("kill -TERM {}", server.id())]).status().expect("a shell");
    assert!(signal.success());
    std::thread::sleep(Duration::from_millis(500));
    assert!(server.try_wait().expect("its state").is_none(), "it stopped with a request in flight");
    slow.write_all(rest.as_bytes()).expect("sent");
    let reply = read_all(&mut slow);
    assert!(reply.starts_with("HTTP/1.1 200 ") && reply.contains("substitutes"), "{reply}");

    let since = Instant::now();
    let status = loop {
        if let Some(status) = server.try_wait().expect("its state") {
            break status;
        }
        if since.elapsed() > Duration::from_secs(20) {
            server.kill().expect("killed");
            panic!("it did not stop");
        }
        std::thread::sleep(Duration::from_millis(50));
    };
    assert!(status.success(), "{status}");
    drop(idle);
}

#[test]
fn a_slow_body_is_given_up() {
    System::new().block_on(async {
        let limits = Limits { body_wait: Duration::from_millis(200), ..Limits::default() };
        let server = actix_web::HttpServer::new(move || {
            App::new().configure(stead::http::configure(Arc::clone(&ENGINE), limits))
        })
        .workers(1)
        .disable_signals()
        .bind("127.0.0.1:0")
        .expect("a free port");
        let address = server.addrs()[0];
        let server = server.run();
        let handle = server.handle();
        let client = std::thread::spawn(move || {
            let mut slow = TcpStream::connect(address).expect("a connection");
            let head = "POST /v1/swap HTTP/1.1\r\nhost: boathouse\r\ncontent-type: application/json\r\ncontent-length: 9\r\n\r\n{";
            slow.write_all(head.as_bytes()).expect("sent");
            let reply = read_all(&mut slow);
            actix_web::rt::System::new().block_on(handle.stop(true));
            reply
        });
        server.await.expect("a clean stop");
        let reply = client.join().expect("a reply");
        assert!(reply.starts_with("HTTP/1.1 408 ") && reply.contains("too-slow"), "{reply}");
    });
}

#[test]
fn a_bad_address_is_told_before_anything_starts() {
    let error = stead::http::serve(Engine::shipped().expect("the shipped base opens"), "slipway").unwrap_err();
    assert!(matches!(&error, ServeError::Address { given, .. } if given == "slipway"), "{error}");
    let taken = std::net::TcpListener::bind("127.0.0.1:0").expect("a free port");
    let listen = taken.local_addr().expect("its address").to_string();
    let error = stead::http::serve(Engine::shipped().expect("the shipped base opens"), &listen).unwrap_err();
    assert!(matches!(error, ServeError::InUse { .. }), "{error}");
}
