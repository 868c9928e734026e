//! The server around the answers: its description, tags, gzip, origins, ids, limits, counts,
//! batches, reloads, settings and its log.
//!
//! Leans on actix-web's in-process service, and on the built program where a process matters.
//! Leaves to others: the routes and their problem replies (`http`), and load (`tests/service`).

use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::net::TcpStream;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::{Arc, LazyLock, Mutex};

use actix_web::http::header::HeaderMap;
use actix_web::rt::System;
use actix_web::test::{TestRequest, call_service, init_service, read_body};
use actix_web::web::Bytes;
use serde_json::{Value, json};
use stead::ask::{self, Engine};
use stead::http::error::PROBLEM_JSON;
use stead::http::{MOST, Reopen, Service, app_of, openapi};
use stead::kb::files::Files;
use stead::settings::{SETTINGS, Settings};

use crate::{read, root};

static ENGINE: LazyLock<Arc<Engine>> = LazyLock::new(|| Arc::new(Engine::shipped().expect("the shipped base opens")));

/// What came back.
#[derive(Debug)]
struct Reply {
    status: u16,
    headers: HeaderMap,
    body: Bytes,
}

impl Reply {
    fn header(&self, name: &str) -> Option<&str> {
        self.headers.get(name).and_then(|v| v.to_str().ok())
    }

    fn json(&self) -> Value {
        serde_json::from_slice(&self.body).unwrap_or_else(|e| panic!("{e}: {:?}", self.body))
    }

    #[track_caller]
    fn problem(&self, status: u16, code: &str) -> Value {
        let problem = self.json();
        assert_eq!((self.status, problem["code"].as_str()), (status, Some(code)), "{problem:#}");
        assert_eq!(self.header("content-type"), Some(PROBLEM_JSON));
        problem
    }
}

fn served(settings: Settings) -> Arc<Service> {
    Service::new(Arc::clone(&ENGINE), settings, None)
}

/// Sends requests to one service, one after the other.
fn ask_all(service: &Arc<Service>, requests: Vec<TestRequest>) -> Vec<Reply> {
    System::new().block_on(async {
        let app = init_service(app_of(Arc::clone(service))).await;
        let mut replies = Vec::new();
        for request in requests {
            let response = call_service(&app, request.to_request()).await;
            let (status, headers) = (response.status().as_u16(), response.headers().clone());
            replies.push(Reply { status, headers, body: read_body(response).await });
        }
        replies
    })
}

fn ask(service: &Arc<Service>, request: TestRequest) -> Reply {
    ask_all(service, vec![request]).remove(0)
}

fn usual(request: TestRequest) -> Reply {
    ask(&served(Settings::default()), request)
}

fn get(uri: &str) -> TestRequest {
    TestRequest::get().uri(uri)
}

fn post(uri: &str, body: impl Into<Bytes>) -> TestRequest {
    TestRequest::post().uri(uri).insert_header(("content-type", "application/json")).set_payload(body)
}

fn from_peer(request: TestRequest, address: &str) -> TestRequest {
    request.peer_addr(format!("{address}:40000").parse().expect("an address"))
}

// The description.

fn document() -> Value {
    let reply = usual(get("/openapi.json"));
    assert_eq!((reply.status, reply.header("content-type")), (200, Some("application/json")));
    reply.json()
}

/// A validator of a schema within the document.
fn validator(document: &Value, schema: &Value) -> jsonschema::Validator {
    let whole = json!({"allOf": [schema], "components": document["components"]});
    jsonschema::draft202012::new(&whole).unwrap_or_else(|e| panic!("{e}: {schema}"))
}

#[track_caller]
fn fits(document: &Value, schema: &Value, value: &Value, what: &str) {
    let faults: Vec<String> =
        validator(document, schema).iter_errors(value).map(|e| format!("{}: {e}", e.instance_path())).collect();
    assert!(faults.is_empty(), "{what}: {}", faults.join("\n"));
}

/// The address that a `GET` with examples of its parameters stands for.
fn address(path: &str, operation: &Value) -> String {
    let escape = |text: &str| text.bytes().map(|b| format!("%{b:02X}")).collect::<String>();
    let words = |value: &Value| match value {
        Value::Array(list) => list.iter().filter_map(Value::as_str).collect::<Vec<_>>().join(","),
        Value::String(text) => text.clone(),
        other => other.to_string(),
    };
    let mut path = path.to_string();
    let mut pairs = Vec::new();
    for parameter in operation["parameters"].as_array().into_iter().flatten() {
        let name = parameter["name"].as_str().expect("a name");
        let Some(example) = parameter.get("example") else { continue };
        if parameter["in"] == "path" {
            path = path.replace(&format!("{{{name}}}"), &escape(&words(example)));
        } else {
            pairs.push(format!("{name}={}", escape(&words(example))));
        }
    }
    if pairs.is_empty() { path } else { format!("{path}?{}", pairs.join("&")) }
}

#[test]
fn every_example_fits_its_schema_and_is_answered_as_it_says() {
    let document = document();
    let service = served(Settings::default());
    let (mut asked, mut told) = (0, 0);
    for (path, methods) in document["paths"].as_object().expect("paths") {
        for (method, operation) in methods.as_object().expect("methods") {
            let what = format!("{method} {path}");
            let ok = &operation["responses"]["200"];
            let mut replies = Vec::new();
            if method == "get" {
                for parameter in operation["parameters"].as_array().into_iter().flatten() {
                    if let Some(example) = parameter.get("example") {
                        fits(&document, &parameter["schema"], example, &format!("{what} {}", parameter["name"]));
                    }
                }
                replies.push(ask(&service, get(&address(path, operation))));
            }
            let body = &operation["requestBody"]["content"]["application/json"];
            for (name, example) in body["examples"].as_object().into_iter().flatten() {
                fits(&document, &body["schema"], &example["value"], &format!("{what} {name}"));
                replies.push(ask(&service, post(path, example["value"].to_string())));
            }
            asked += replies.len();
            for reply in &replies {
                assert_eq!(reply.status, 200, "{what}: {:?}", reply.body);
                let media = reply.header("content-type").unwrap_or_default();
                let content = ok["content"].get(media).unwrap_or_else(|| panic!("{what} replies {media}"));
                if media == "application/json" {
                    fits(&document, &content["schema"], &reply.json(), &what);
                }
            }
            for (name, example) in ok["content"]["application/json"]["examples"].as_object().into_iter().flatten() {
                fits(&document, &ok["content"]["application/json"]["schema"], &example["value"], &what);
                let of =
                    |r: &&Reply| r.header("content-type") == Some("application/json") && r.json() == example["value"];
                // An example of a question's name is the answer to it.
                assert!(name == "usual" || replies.iter().any(|r| of(&r)), "{what}: no reply is the example {name}");
                told += 1;
            }
        }
    }
    assert!(asked > 20 && told > 12, "{asked} asked, {told} told");
}

#[test]
fn problems_are_described_as_they_are() {
    let document = document();
    for (name, response) in document["components"]["responses"].as_object().expect("responses") {
        let content = &response["content"][PROBLEM_JSON];
        let example = &content["examples"]["usual"]["value"];
        fits(&document, &content["schema"], example, name);
        assert!(example["code"].is_string() && example["status"].is_u64(), "{name}: {example}");
    }
    for (path, methods) in document["paths"].as_object().expect("paths") {
        for operation in methods.as_object().expect("methods").values() {
            for status in ["429", "431", "500"] {
                assert!(operation["responses"].get(status).is_some(), "{path} does not describe {status}");
            }
        }
    }
    let question = json!({"rows": [{"exercise": "bak squatt", "sets": "many", "reps": 5}]});
    let reply = usual(post("/v1/week/audit", question.to_string()));
    assert_eq!(reply.status, 422);
    fits(&document, &json!({"$ref": "#/components/schemas/Problem"}), &reply.json(), "cells");
    assert!(reply.json()["cells"].as_array().is_some_and(|c| !c.is_empty()));
}

#[test]
fn every_reference_of_the_description_leads_somewhere() {
    fn walk(part: &Value, document: &Value, seen: &mut usize) {
        match part {
            Value::Object(fields) => {
                if let Some(to) = fields.get("$ref").and_then(Value::as_str) {
                    let pointer = to.strip_prefix('#').expect("a place in the document");
                    assert!(document.pointer(pointer).is_some(), "{to}");
                    *seen += 1;
                }
                fields.values().for_each(|f| walk(f, document, seen));
            }
            Value::Array(list) => list.iter().for_each(|f| walk(f, document, seen)),
            _ => {}
        }
    }
    let document = document();
    let mut seen = 0;
    walk(&document, &document, &mut seen);
    assert!(seen > 100, "{seen}");
    assert_eq!(document, openapi::document().expect("a document"));
}

#[cfg(feature = "docs")]
#[test]
fn the_viewer_needs_nothing_from_elsewhere() {
    assert_eq!(usual(get("/docs")).header("location"), Some("/docs/index.html"));
    let page = usual(get("/docs/index.html"));
    assert_eq!(page.status, 200);
    assert!(page.header("content-security-policy").is_some_and(|p| p.starts_with("default-src 'self'")));
    let text = String::from_utf8(page.body.to_vec()).expect("text");
    let named: Vec<&str> =
        text.split(['"', '\'']).filter(|w| w.ends_with(".js") || w.ends_with(".css") || w.ends_with(".png")).collect();
    assert!(named.len() >= 3, "{text}");
    for name in named {
        assert!(!name.contains("//"), "{name} is fetched from elsewhere");
        let file = usual(get(&format!("/docs/{}", name.trim_start_matches("./"))));
        assert!(file.status == 200 && !file.body.is_empty(), "{name}");
    }
    let start = usual(get("/docs/swagger-initializer.js"));
    assert!(String::from_utf8_lossy(&start.body).contains("/openapi.json"), "{:?}", start.body);
    usual(get("/docs/oars.js")).problem(404, "unknown-path");
}

// Tags and gzip.

#[test]
fn what_is_read_has_a_strong_tag_and_is_not_sent_twice() {
    let service = served(Settings::default());
    let squat = ask(&service, get("/v1/exercises/back-squat"));
    let tag = squat.header("etag").expect("a tag").to_string();
    assert!(tag.starts_with('"') && tag.ends_with('"') && tag.contains(&ENGINE.kb().stamp), "{tag}");
    assert_eq!(squat.header("cache-control"), Some("no-cache"));
    // Another replica of the same base says the same.
    assert_eq!(usual(get("/v1/exercises/back-squat")).header("etag"), Some(tag.as_str()));
    assert_ne!(usual(get("/v1/exercises/goblet-squat")).header("etag"), Some(tag.as_str()));
    for given in [tag.clone(), format!("W/{tag}"), format!("\"oars\", {tag}"), "*".to_string()] {
        for request in [TestRequest::get(), TestRequest::default().method(actix_web::http::Method::HEAD)] {
            let request = request.uri("/v1/exercises/back-squat").insert_header(("if-none-match", given.as_str()));
            let same = ask(&service, request);
            assert_eq!((same.status, same.body.len()), (304, 0), "{given}");
            assert_eq!(same.header("etag"), Some(tag.as_str()));
            assert_eq!((same.header("content-type"), same.header("vary")), (None, Some("accept-encoding")));
        }
    }
    let other = ask(&service, get("/v1/exercises/back-squat").insert_header(("if-none-match", "\"oars\"")));
    assert_eq!((other.status, other.body), (200, squat.body));
}

#[test]
fn what_is_asked_or_true_for_a_moment_has_no_tag() {
    let swap = usual(post("/v1/swap", r#"{"exercise":"deadlift"}"#).insert_header(("if-none-match", "*")));
    assert_eq!((swap.status, swap.header("etag")), (200, None));
    for path in ["/healthz", "/readyz", "/metrics"] {
        let reply = usual(get(path).insert_header(("if-none-match", "*")));
        assert_eq!((reply.status, reply.header("etag"), reply.header("cache-control")), (200, None, Some("no-store")));
    }
    let missing = usual(get("/v1/exercises/winch").insert_header(("if-none-match", "*")));
    assert_eq!((missing.status, missing.header("etag")), (404, None));
}

#[test]
fn long_replies_are_compressed_for_those_who_read_gzip() {
    let service = served(Settings::default());
    let plain = ask(&service, get("/v1/terms"));
    let short = ask(&service, get("/v1/terms").insert_header(("accept-encoding", "br, gzip")));
    assert_eq!((plain.header("content-encoding"), short.header("content-encoding")), (None, Some("gzip")));
    assert_eq!((plain.header("vary"), short.header("vary")), (Some("accept-encoding"), Some("accept-encoding")));
    assert!(short.body.len() * 2 < plain.body.len(), "{} of {}", short.body.len(), plain.body.len());
    let mut whole = Vec::new();
    flate2::read::GzDecoder::new(&*short.body).read_to_end(&mut whole).expect("gzip");
    assert_eq!(whole, plain.body);
    // Other bytes, another strong tag; either is known again.
    let tag = short.header("etag").expect("a tag").to_string();
    assert_ne!(Some(tag.as_str()), plain.header("etag"));
    let again = ask(&service, get("/v1/terms").insert_header(("if-none-match", tag.as_str())));
    assert_eq!((again.status, again.header("etag")), (304, Some(tag.as_str())));
    let swap = post("/v1/swap", r#"{"exercise":"deadlift"}"#).insert_header(("accept-encoding", "gzip"));
    assert_eq!(ask(&service, swap).header("content-encoding"), Some("gzip"));
    let small = ask(&service, get("/healthz").insert_header(("accept-encoding", "gzip")));
    assert_eq!(small.header("content-encoding"), None);
    let off = served(Settings { compress: false, ..Settings::default() });
    let plain_again = ask(&off, get("/v1/terms").insert_header(("accept-encoding", "gzip")));
    assert_eq!((plain_again.header("content-encoding"), plain_again.header("vary")), (None, None));
    assert_eq!(plain_again.header("etag"), plain.header("etag"));
}

// Origins.

fn preflight(origin: &'static str) -> TestRequest {
    TestRequest::default()
        .method(actix_web::http::Method::OPTIONS)
        .uri("/v1/swap")
        .insert_header(("origin", origin))
        .insert_header(("access-control-request-method", "POST"))
        .insert_header(("access-control-request-headers", "content-type"))
}

#[test]
fn pages_of_named_origins_may_ask_and_no_others() {
    let allowed = |reply: &Reply| reply.header("access-control-allow-origin").map(str::to_string);
    let off = served(Settings::default());
    assert_eq!(allowed(&ask(&off, get("/v1/terms/gyms").insert_header(("origin", "https://crew.example")))), None);
    ask(&off, preflight("https://crew.example")).problem(405, "wrong-method");
    let on = served(Settings { origins: vec!["https://crew.example".to_string()], ..Settings::default() });
    let crew = ask(&on, get("/v1/terms/gyms").insert_header(("origin", "https://crew.example")));
    assert_eq!((crew.status, allowed(&crew)), (200, Some("https://crew.example".to_string())));
    let exposed = crew.header("access-control-expose-headers").unwrap_or_default().to_lowercase();
    assert!(exposed.contains("etag") && exposed.contains("x-request-id"), "{exposed}");
    // The page may also see that it has the reply already.
    let tag = crew.header("etag").expect("a tag");
    let again =
        get("/v1/terms/gyms").insert_header(("origin", "https://crew.example")).insert_header(("if-none-match", tag));
    let again = ask(&on, again);
    assert_eq!((again.status, allowed(&again)), (304, Some("https://crew.example".to_string())));
    assert_eq!(ask(&on, preflight("https://crew.example")).status, 200);
    let other = ask(&on, get("/v1/terms/gyms").insert_header(("origin", "https://pier.example")));
    assert_eq!(allowed(&other), None);
    assert_eq!(allowed(&ask(&on, preflight("https://pier.example"))), None);
    let all = served(Settings { origins: vec!["*".to_string()], ..Settings::default() });
    let any = ask(&all, get("/v1/terms/gyms").insert_header(("origin", "https://pier.example")));
    assert_eq!(allowed(&any), Some("*".to_string()));
}

#[test]
fn a_refused_preflight_is_a_problem() {
    let on = served(Settings { origins: vec!["https://crew.example".to_string()], ..Settings::default() });
    ask(&on, preflight("https://pier.example")).problem(400, "cross-origin");
}

// Ids, limits, counts.

#[test]
fn every_reply_carries_the_id_of_its_request() {
    let service = served(Settings::default());
    let id = |request: TestRequest| ask(&service, request).header("x-request-id").map(str::to_string);
    assert_eq!(id(get("/healthz").insert_header(("x-request-id", "cox-7"))).as_deref(), Some("cox-7"));
    assert_eq!(id(get("/oars").insert_header(("x-request-id", "cox-8"))).as_deref(), Some("cox-8"));
    let made = id(get("/healthz").insert_header(("x-request-id", "a b"))).expect("an id");
    assert_eq!(made.len(), 16);
    assert_ne!(id(get("/healthz")), id(get("/healthz")));
}

#[test]
fn one_client_may_ask_so_often_and_others_as_well() {
    let service = served(Settings { rate: 1, burst: 3, ..Settings::default() });
    let terms = || from_peer(get("/v1/terms/gyms"), "192.0.2.1");
    let replies = ask_all(&service, vec![terms(), terms(), terms(), terms()]);
    assert_eq!(replies.iter().map(|r| r.status).collect::<Vec<_>>(), [200, 200, 200, 429]);
    replies[3].problem(429, "too-many-requests");
    let wait: u64 = replies[3].header("retry-after").and_then(|v| v.parse().ok()).expect("seconds");
    assert!((1..=3).contains(&wait), "{wait}");
    assert!(replies[3].header("x-request-id").is_some());
    assert_eq!(ask(&service, from_peer(get("/v1/terms/gyms"), "192.0.2.2")).status, 200);
    for path in ["/healthz", "/readyz", "/metrics"] {
        assert_eq!(ask(&service, from_peer(get(path), "192.0.2.1")).status, 200, "{path}");
    }
    // Each question of a batch counts.
    let one = json!({"question": "carryover", "body": {"from": "back squat", "to": "front squat"}});
    let batch = json!({"questions": [one, one, one, one]}).to_string();
    assert_eq!(ask(&service, from_peer(post("/v1/batch", batch), "192.0.2.3")).status, 429);
}

#[test]
fn heads_have_a_limit() {
    let service = served(Settings { head_bytes: 2000, ..Settings::default() });
    let long = "a".repeat(2000);
    ask(&service, get("/healthz").insert_header(("x-oars", long.as_str()))).problem(431, "head-too-large");
    ask(&service, get(&format!("/v1/find?text={long}"))).problem(431, "head-too-large");
    assert_eq!(ask(&service, get("/healthz")).status, 200);
}

#[test]
fn a_batch_asks_few_questions_that_take_long() {
    let service = served(Settings::default());
    let mend = json!({"question": "week/mend", "body": {"csv": "day,exercise,sets,reps\nMon,dip,3,8\n"}});
    let batch = |n: usize| json!({"questions": vec![mend.clone(); n]}).to_string();
    assert_eq!(ask(&service, post("/v1/batch", batch(4))).status, 200);
    ask(&service, post("/v1/batch", batch(5))).problem(422, "malformed-request");
}

#[test]
fn the_settings_bound_bodies_and_batches() {
    let service = served(Settings { body_bytes: 300, ..Settings::default() });
    let padded = |n: usize| format!("{}{}", r#"{"exercise":"deadlift"}"#, " ".repeat(n));
    assert_eq!(ask(&service, post("/v1/swap", padded(200))).status, 200);
    ask(&service, post("/v1/swap", padded(300))).problem(413, "too-large");
    let batch = |n: usize| format!(r#"{{"questions":[{{"question":"swap","body":{}}}]}}"#, padded(n));
    assert_eq!(ask(&service, post("/v1/batch", batch(3000))).status, 200);
    ask(&service, post("/v1/batch", batch(5000))).problem(413, "too-large");
}

#[test]
fn the_counts_say_how_often_and_never_what() {
    let service = served(Settings::default());
    let replies = ask_all(
        &service,
        vec![
            get("/v1/exercises/goblet-squat"),
            get("/v1/exercises/winch-handle-yank"),
            get("/oars/and/winch"),
            post("/v1/swap", r#"{"exercise":"deadlift"}"#),
            TestRequest::default().method("BREW".parse().expect("a method")).uri("/v1/swap"),
            get("/metrics"),
        ],
    );
    let page = String::from_utf8(replies[5].body.to_vec()).expect("text");
    assert!(page.ends_with("# EOF\n"), "{page}");
    for line in [
        r#"stead_requests_total{route="/v1/exercises/{exercise}",method="GET",status="200"} 1"#,
        r#"stead_requests_total{route="/v1/exercises/{exercise}",method="GET",status="404"} 1"#,
        r#"stead_requests_total{route="unknown",method="GET",status="404"} 1"#,
        r#"stead_requests_total{route="/v1/swap",method="POST",status="200"} 1"#,
        r#"stead_requests_total{route="/v1/swap",method="other",status="405"} 1"#,
        r#"stead_request_seconds_count{route="/v1/swap"} 2"#,
        "stead_requests_in_flight 1",
    ] {
        assert!(page.lines().any(|l| l == line), "{line} is not in\n{page}");
    }
    assert!(page.contains(&format!("stamp=\"{}\"", ENGINE.kb().stamp)), "{page}");
    for asked in ["goblet", "yank", "oars", "deadlift", "BREW"] {
        assert!(!page.contains(asked), "{asked} is in\n{page}");
    }
}

#[test]
fn a_server_that_is_about_to_stop_is_not_ready() {
    let service = served(Settings::default());
    assert_eq!(ask(&service, get("/readyz")).json()["status"], "ready");
    service.stop();
    ask(&service, get("/readyz")).problem(503, "not-ready");
    assert_eq!(ask(&service, get("/healthz")).status, 200);
    assert_eq!(ask(&service, get("/v1/terms/gyms")).status, 200);
}

// Batches.

#[test]
fn each_question_of_a_batch_is_answered_as_alone() {
    let service = served(Settings::default());
    let questions = [
        ("swap", r#"{"exercise": "back squat", "gym": "loft", "top": 2, "why": true}"#),
        ("forces", r#"{"exercise":"deadlift","load_kg":140}"#),
        ("carryover", r#"{"from":"back squat","to":"goblet squat"}"#),
        ("load", r#"{"from":"back squat","did":{"load":100,"reps":5},"gym":"boathouse"}"#),
        ("ladder", r#"{"exercise":"deadlift","sore":[{"region":"low-back","pain":4}]}"#),
        ("vary", r#"{"exercise":"back squat","top":2}"#),
        ("week/audit", "{\"csv\":\"day,exercise,sets,reps\\nMon,back squat,5,5\\n\"}"),
        ("swap", r#"{"exercise":"back squat","gym":"slipwya"}"#),
        ("swap", r#"{"exercize":"back squat"}"#),
        ("swap", r#"{"exercise":"back squat","exercise":"deadlift"}"#),
        ("swap", "[]"),
        ("swap", r#"{"exercise":"deadlift","top":1e2}"#),
    ];
    let items: Vec<String> =
        questions.iter().map(|(name, body)| format!("{{\"question\":\"{name}\",\"body\":{body}}}")).collect();
    let batch = ask(&service, post("/v1/batch", format!("{{\"questions\": [{}]}}", items.join(", "))));
    assert_eq!(batch.status, 200, "{:?}", batch.body);
    let alone: Vec<String> = questions
        .iter()
        .map(|(name, body)| {
            let reply = ask(&service, post(&format!("/v1/{name}"), *body));
            format!("{{\"status\":{},\"body\":{}}}", reply.status, String::from_utf8_lossy(&reply.body))
        })
        .collect();
    assert_eq!(String::from_utf8_lossy(&batch.body), format!("{{\"replies\":[{}]}}", alone.join(",")));
    let statuses: Vec<u64> =
        batch.json()["replies"].as_array().expect("replies").iter().filter_map(|r| r["status"].as_u64()).collect();
    assert_eq!(statuses, [200, 200, 200, 200, 200, 200, 200, 422, 400, 400, 400, 400]);
}

#[test]
fn a_batch_names_what_it_does_not_know() {
    let service = served(Settings::default());
    let batch = json!({"questions": [{"question": "week/audti", "body": {}}, {"question": "find", "body": {}}]});
    let reply = ask(&service, post("/v1/batch", batch.to_string())).json();
    let first = &reply["replies"][0]["body"];
    assert_eq!((&first["code"], &first["pointer"]), (&json!("unknown-word"), &json!("/questions/0/question")));
    assert_eq!(first["nearest"][0], "week/audit");
    assert_eq!(reply["replies"][1]["status"], 422);
    let many = |n: usize| {
        let one = json!({"question": "carryover", "body": {"from": "back squat", "to": "front squat"}});
        post("/v1/batch", json!({"questions": vec![one; n]}).to_string())
    };
    assert_eq!(ask(&service, many(MOST)).json()["replies"].as_array().map(Vec::len), Some(MOST));
    assert_eq!(ask(&service, many(MOST + 1)).problem(422, "malformed-request")["pointer"], "/questions");
    ask(&service, many(0)).problem(422, "empty-value");
    let item = ask(&service, post("/v1/batch", r#"{"questions":[{"question":"swap","bdy":{}}]}"#));
    let problem = item.problem(400, "malformed-request");
    assert_eq!((&problem["pointer"], &problem["nearest"][0]), (&json!("/questions/0/bdy"), &json!("body")));
}

// Reloads.

const LOOM: &str = r#"{"family":"boathouse","exercises":[{"id":"oar-loom-row","like":"inverted-row-bar",
    "name":"Oar-loom inverted row","aliases":["loom row"],"equipment":[["rack"]]}]}"#;

fn with_overlay(text: &str) -> Vec<Files> {
    vec![Engine::shipped_files(), Files::from_pairs(&[("exercises/boathouse.json", text)])]
}

/// A service whose overlay can be written anew, and the overlay.
fn reloading() -> (Arc<Service>, Arc<Mutex<String>>) {
    let overlay = Arc::new(Mutex::new(LOOM.to_string()));
    let text = Arc::clone(&overlay);
    let reopen: Reopen = Box::new(move || Ok(Engine::from_layers(&with_overlay(&text.lock().expect("the overlay")))?));
    let engine = reopen().expect("a base");
    (Service::new(Arc::new(engine), Settings::default(), Some(reopen)), overlay)
}

fn reload() -> TestRequest {
    from_peer(TestRequest::post().uri("/v1/admin/reload"), "127.0.0.1")
}

#[test]
fn a_reload_serves_what_the_folders_hold_now() {
    let (service, overlay) = reloading();
    let loom = || ask(&service, get("/v1/exercises/oar-loom-row"));
    let (before, tag) = (loom(), loom().header("etag").map(str::to_string));
    assert_eq!(before.json()["exercise"]["name"], "Oar-loom inverted row");
    let same = ask(&service, reload());
    assert_eq!((same.status, &same.json()["changed"]), (200, &json!(false)), "{:?}", same.body);
    assert_eq!(loom().header("etag"), tag.as_deref());
    *overlay.lock().unwrap() = LOOM.replace("Oar-loom inverted row", "Row under the loom");
    let said = ask(&service, reload()).json();
    assert_eq!(said["changed"], true);
    assert_ne!(said["before"], said["stamp"]);
    let after = loom();
    assert_eq!(after.json()["exercise"]["name"], "Row under the loom");
    assert_ne!(after.header("etag"), tag.as_deref());
    assert_eq!(ask(&service, get("/healthz")).json()["base"]["stamp"], said["stamp"]);
    let page = ask(&service, get("/metrics"));
    let page = String::from_utf8_lossy(&page.body);
    assert!(page.contains("stead_reloads_total{outcome=\"done\"} 2"), "{page}");
    assert!(
        page.contains(said["stamp"].as_str().unwrap()) && !page.contains(said["before"].as_str().unwrap()),
        "{page}"
    );
}

#[test]
fn a_broken_base_is_refused_whole_and_the_one_before_is_served_on() {
    let (service, overlay) = reloading();
    let stamp = service.base().kb().stamp.clone();
    *overlay.lock().unwrap() = LOOM.replace("inverted-row-bar", "inverted-row-oar").replace("\"rack\"", "\"rak\"");
    let problem = ask(&service, reload()).problem(409, "broken-base");
    let problems = problem["problems"].as_array().expect("problems");
    assert!(problems.iter().all(|p| p["file"] == "exercises/boathouse.json"), "{problem:#}");
    assert!(problems.iter().any(|p| p["hint"].as_str().is_some_and(|h| h.contains("inverted-row-bar"))), "{problem:#}");
    assert_eq!(service.base().kb().stamp, stamp);
    assert_eq!(ask(&service, get("/v1/exercises/oar-loom-row")).status, 200);
    *overlay.lock().unwrap() = "{".to_string();
    ask(&service, reload()).problem(409, "broken-base");
    let panicking: Reopen = Box::new(|| panic!("the winch operator let go"));
    let service = Service::new(Arc::clone(&ENGINE), Settings::default(), Some(panicking));
    ask(&service, reload()).problem(500, "internal");
    assert_eq!(ask(&service, reload()).status, 500, "a panic does not keep the next reload from its turn");
    assert_eq!(ask(&service, get("/healthz")).status, 200);
}

#[test]
fn only_the_machine_itself_may_reload() {
    let (service, _) = reloading();
    let elsewhere = TestRequest::post().uri("/v1/admin/reload");
    ask(&service, elsewhere).problem(403, "not-from-here");
    for peer in ["192.0.2.1", "10.0.0.1", "[2001:db8::1]"] {
        ask(&service, from_peer(TestRequest::post().uri("/v1/admin/reload"), peer)).problem(403, "not-from-here");
    }
    for header in ["x-forwarded-for", "forwarded", "via", "x-real-ip", "origin"] {
        ask(&service, reload().insert_header((header, "127.0.0.1"))).problem(403, "not-from-here");
    }
    for peer in ["127.0.0.1", "127.9.9.9", "[::1]", "[::ffff:127.0.0.1]"] {
        assert_eq!(ask(&service, from_peer(TestRequest::post().uri("/v1/admin/reload"), peer)).status, 200, "{peer}");
    }
}

#[test]
fn a_question_keeps_the_base_that_it_began_with() {
    let (service, overlay) = reloading();
    let held = service.base();
    *overlay.lock().unwrap() = LOOM.replace("oar-loom-row", "mast-row");
    service.reload().expect("a reload");
    let shown = |engine: &Engine, exercise: &str| {
        let request = ask::show::Request { exercise: exercise.to_string() };
        ask::show::answer(engine, &request).map(|r| r.base.stamp.to_string())
    };
    assert_eq!(shown(&held, "oar-loom-row").expect("still there"), held.kb().stamp);
    assert!(held.kb().row_of("mast-row").is_none());
    assert_eq!(shown(&service.base(), "mast-row").expect("there now"), service.base().kb().stamp);
    assert!(service.base().kb().row_of("oar-loom-row").is_none());
}

// Settings.

fn serve(arguments: &[&str], environment: &[(&str, &str)]) -> (Option<i32>, String) {
    let mut command = Command::new(env!("CARGO_BIN_EXE_stead"));
    for setting in SETTINGS {
        command.env_remove(setting.variable);
    }
    let said = command.arg("serve").args(arguments).envs(environment.iter().copied()).output().expect("it runs");
    assert!(said.stdout.is_empty());
    (said.status.code(), String::from_utf8_lossy(&said.stderr).split_whitespace().collect::<Vec<_>>().join(" "))
}

#[test]
fn a_flag_beats_the_environment_and_that_beats_the_file() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("server.toml");
    std::fs::write(&file, "listen = \"from-the-file\"\nworkers = 1\ncompress = false\n").expect("written");
    let file = file.to_str().expect("a name");
    // No value is an address, so each is told and no server starts.
    let told = |arguments: &[&str], environment: &[(&str, &str)], word: &str| {
        let (code, said) = serve(arguments, environment);
        assert!(code == Some(2) && said.contains(&format!("\"{word}\"")), "{said}");
    };
    told(&["--config", file], &[], "from-the-file");
    told(&[], &[("STEAD_CONFIG", file)], "from-the-file");
    told(&["--config", file], &[("STEAD_LISTEN", "from-the-environment")], "from-the-environment");
    told(&["--config", file, "--listen", "typed"], &[("STEAD_LISTEN", "from-the-environment")], "typed");
    told(&["--config", file], &[("STEAD_LISTEN", "")], "from-the-file");
}

#[test]
fn wrong_settings_are_told_with_their_place_and_the_way_out() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = |name: &str, text: &str| {
        let path = folder.path().join(name);
        std::fs::write(&path, text).expect("written");
        path.to_str().expect("a name").to_string()
    };
    let with_file = |name: &str, text: &str, words: &[&str]| {
        let (code, said) = serve(&["--config", &file(name, text)], &[]);
        assert!(code == Some(2) && words.iter().all(|w| said.contains(w)), "{text}: {said}");
    };
    with_file("a.toml", "wokers = 3", &["a.toml", "\"wokers\"", "did you mean \"workers\"?"]);
    with_file("a.json", r#"{"bodybytes": 3}"#, &["a.json", "\"body-bytes\"?"]);
    with_file("b.toml", "workers = \"many\"", &["workers in", "b.toml", "\"many\"", "1 to 256"]);
    with_file("b.json", r#"{"burst": {"a": 1}}"#, &["burst in", "b.json", "number"]);
    with_file("c.toml", "workers = ", &["c.toml", "no settings", "line 1"]);
    with_file("c.json", "[]", &["c.json", "no settings"]);
    with_file("d.toml", "proxies = [\"10.0.0.0/8\", \"pier\"]", &["proxies in", "\"pier\""]);
    let (code, said) = serve(&["--config", "oars.toml"], &[]);
    assert!(code == Some(2) && said.contains("\"oars.toml\"") && said.contains("name a file that is there"), "{said}");
    let (code, said) = serve(&["--workers", "0"], &[]);
    assert!(code == Some(2) && said.contains("--workers is \"0\"") && said.contains("stead serve --help"), "{said}");
    let (code, said) = serve(&[], &[("STEAD_LOG", "xml")]);
    assert!(code == Some(2) && said.contains("STEAD_LOG is \"xml\"") && said.contains("text, json, off"), "{said}");
}

#[test]
fn the_readme_lists_every_setting_as_it_is() {
    let rows: Vec<String> = SETTINGS
        .iter()
        .map(|s| {
            let default = if s.default.is_empty() { String::new() } else { format!("`{}`", s.default) };
            format!("| `--{}` | `{}` | {default} | {} |", s.key, s.variable, s.means.replace('|', "\\|"))
        })
        .collect();
    let readme = read("README.md");
    let table: Vec<&str> = readme.lines().filter(|l| l.contains("| `STEAD_")).collect();
    assert_eq!(table, rows, "write this into README.md:\n{}", rows.join("\n"));
}

#[test]
fn the_examples_of_deployment_name_settings_that_there_are() {
    let mut settings = Settings::default();
    stead::settings::read(&root().join("deploy/server.toml"), &mut settings).expect("its settings are taken");
    assert_eq!((settings.rate, settings.proxies.len(), settings.origins.len()), (20, 2, 1));
    let mut seen = 0;
    for file in ["Containerfile", "kubernetes.yaml", "nginx.conf", "stead.service"] {
        let text = read(format!("deploy/{file}"));
        for word in text.split(|c: char| !(c.is_ascii_uppercase() || c == '_')).filter(|w| w.starts_with("STEAD_")) {
            assert!(SETTINGS.iter().any(|s| s.variable == word), "{file}: {word}");
            seen += 1;
        }
        for path in text.split_whitespace().filter(|w| w.starts_with("/readyz") || w.starts_with("/healthz")) {
            let path = path.trim_end_matches(',');
            assert!(stead::http::routes::ROUTES.iter().any(|r| r.path == path), "{file}: {path}");
        }
    }
    assert!(seen >= 8, "{seen}");
}

// A process.

/// A server process that is stopped when the test ends.
struct Process {
    child: Child,
    address: String,
    log: BufReader<std::process::ChildStderr>,
}

impl Process {
    fn start(arguments: &[&str]) -> Self {
        let mut child = Command::new(env!("CARGO_BIN_EXE_stead"))
            .args(["serve", "--listen", "127.0.0.1:0"])
            .args(arguments)
            .stderr(Stdio::piped())
            .spawn()
            .expect("the server starts");
        let mut log = BufReader::new(child.stderr.take().expect("its stderr"));
        let mut line = String::new();
        log.read_line(&mut line).expect("a line");
        let address = line.split("http://").nth(1).and_then(|r| r.split(' ').next()).expect(&line).to_string();
        Self { child, address, log }
    }

    fn send(&self, head: &str) -> String {
        let mut stream = TcpStream::connect(&self.address).expect("a connection");
        stream.write_all(format!("{head}\r\nhost: boathouse\r\nconnection: close\r\n\r\n").as_bytes()).expect("sent");
        let mut text = String::new();
        stream.read_to_string(&mut text).expect("a reply");
        text
    }

    #[cfg(unix)]
    fn signal(&self, name: &str) {
        let kill = format!("kill -{name} {}", self.child.id());
        assert!(Command::new("sh").args(["-c", &kill]).status().expect("a shell").success());
    }

    /// Lines of the log until one holds `word`.
    fn until(&mut self, word: &str) -> Vec<String> {
        let mut lines = Vec::new();
        loop {
            let mut line = String::new();
            assert_ne!(self.log.read_line(&mut line).expect("a line"), 0, "no {word:?} in {lines:#?}");
            lines.push(line);
            if lines.last().is_some_and(|l| l.contains(word)) {
                return lines;
            }
        }
    }
}

impl Drop for Process {
    fn drop(&mut self) {
        // It may have ended by itself.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

#[test]
fn the_log_says_which_route_and_never_what_was_asked() {
    for (form, id) in [("json", "\"id\":\"cox-7\""), ("text", "id=\"cox-7\"")] {
        let mut server = Process::start(&["--log", form]);
        server.send("GET /v1/exercises/goblet-squat?winch HTTP/1.1\r\nx-request-id: cox-6");
        server.send("GET /v1/find?text=goblet HTTP/1.1\r\nx-request-id: cox-7\r\nuser-agent: oars");
        let lines = server.until(id);
        let text = lines.concat();
        assert!(text.contains("/v1/exercises/{exercise}") && text.contains("/v1/find"), "{text}");
        for asked in ["goblet", "winch", "oars", "127.0.0.1"] {
            assert!(!text.contains(asked), "{asked} is in {text}");
        }
        if form == "json" {
            for line in &lines {
                let line: Value = serde_json::from_str(line).unwrap_or_else(|e| panic!("{e}: {line}"));
                assert!(line["micros"].is_u64() && line["status"].is_u64() && line["timestamp"].is_string(), "{line}");
            }
        }
    }
}

#[cfg(unix)]
#[test]
fn a_hangup_reloads_and_a_broken_base_is_told_in_the_log() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("exercises/boathouse.json");
    std::fs::create_dir_all(file.parent().expect("a folder")).expect("made");
    let write = |path: &Path, text: &str| std::fs::write(path, text).expect("written");
    write(&file, LOOM);
    let mut server = Process::start(&["--overlay", folder.path().to_str().expect("a name")]);
    assert!(server.send("GET /v1/exercises/oar-loom-row HTTP/1.1").contains("Oar-loom inverted row"));
    write(&file, &LOOM.replace("Oar-loom inverted row", "Row under the loom"));
    server.signal("HUP");
    server.until("reloaded");
    assert!(server.send("GET /v1/exercises/oar-loom-row HTTP/1.1").contains("Row under the loom"));
    write(&file, &LOOM.replace("inverted-row-bar", "inverted-row-oar"));
    server.signal("HUP");
    let told = server.until("like-known").concat();
    assert!(told.contains("reload refused") && told.contains("exercises/boathouse.json"), "{told}");
    assert!(server.send("GET /v1/exercises/oar-loom-row HTTP/1.1").contains("Row under the loom"));
    assert!(server.send("POST /v1/admin/reload HTTP/1.1").starts_with("HTTP/1.1 409 "));
}

#[cfg(unix)]
#[test]
fn a_server_drains_unready_before_it_stops() {
    let mut server = Process::start(&["--drain", "2"]);
    assert!(server.send("GET /readyz HTTP/1.1").starts_with("HTTP/1.1 200 "));
    server.signal("TERM");
    server.until("stopping");
    assert!(server.send("GET /readyz HTTP/1.1").starts_with("HTTP/1.1 503 "));
    // Whoever asks all the same is answered, and told to come no more on this connection.
    let mut stream = TcpStream::connect(&server.address).expect("a connection");
    stream.write_all(b"GET /healthz HTTP/1.1\r\nhost: boathouse\r\n\r\n").expect("sent");
    let mut text = String::new();
    stream.read_to_string(&mut text).expect("the connection is closed");
    assert!(text.starts_with("HTTP/1.1 200 ") && text.to_lowercase().contains("connection: close"), "{text}");
    assert!(server.child.wait().expect("its state").success());
}

#[cfg(unix)]
#[test]
fn a_reply_that_the_client_has_is_sent_without_a_body() {
    let server = Process::start(&["--log", "off"]);
    let whole = server.send("GET /v1/terms/gyms HTTP/1.1");
    let tag = whole.lines().find_map(|l| l.strip_prefix("etag: ")).expect("a tag").to_string();
    let same = server.send(&format!("GET /v1/terms/gyms HTTP/1.1\r\nif-none-match: {tag}"));
    assert!(same.starts_with("HTTP/1.1 304 ") && same.ends_with("\r\n\r\n"), "{same}");
    // RFC 9110, 8.6: a length in a 304 would have to be that of the whole reply.
    assert!(!same.to_lowercase().contains("content-length: 0"), "{same}");
}
