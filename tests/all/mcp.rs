//! The tools of the Model Context Protocol: the table, the replies, and the conversation on a pipe.
//!
//! Leans on the library for the tools and on the built program for the pipe. Leaves to others: a
//! client by other people, which `tests/service/mcp_client.py` is.

use std::collections::BTreeSet;
use std::io::{BufRead as _, BufReader, Write as _};
use std::process::{Child, ChildStdin, ChildStdout, Command, Stdio};
use std::sync::{Arc, LazyLock};

use actix_web::rt::System;
use actix_web::test::{TestRequest, call_and_read_body, init_service};
use serde_json::{Value, json};
use stead::ask::{Engine, schema};
use stead::http::routes::ROUTES;
use stead::mcp::tools::{TOOLS, tool};

use crate::read;

static ENGINE: LazyLock<Arc<Engine>> = LazyLock::new(|| Arc::new(Engine::shipped().unwrap()));

/// Routes that are asked with a body and are no question, each with the reason.
const NO_QUESTION: &[(&str, &str)] = &[
    ("/v1/batch", "a host calls as many tools as it likes"),
    ("/v1/admin/reload", "upkeep of a server; a host starts this program anew"),
];

/// The tool that stands for a path: its steps behind the version, joined by `_`.
fn name_of(path: &str) -> String {
    path.trim_start_matches("/v1/").replace(['/', '-'], "_")
}

/// Sound questions, one at least for every tool; `tests/service/mcp_client.py` asks the same.
fn sound() -> Vec<(String, Value)> {
    let kept: Value = serde_json::from_str(&read("tests/service/questions.json")).unwrap();
    let one = |q: &Value| (q["tool"].as_str().unwrap().to_string(), q["arguments"].clone());
    kept.as_array().unwrap().iter().map(one).collect()
}

#[test]
fn every_question_over_http_is_a_tool() {
    let mut missing = Vec::new();
    for route in ROUTES.iter().filter(|r| r.allow.contains("POST")) {
        let excused = NO_QUESTION.iter().any(|(path, _)| *path == route.path);
        if tool(&name_of(route.path)).is_none() && !excused {
            missing.push(format!("POST {} has no tool {:?}", route.path, name_of(route.path)));
        }
    }
    assert!(missing.is_empty(), "{}", missing.join("\n"));
}

#[test]
fn the_table_has_no_gap() {
    let names: BTreeSet<_> = TOOLS.iter().map(|t| t.name).collect();
    assert_eq!(names.len(), TOOLS.len(), "a name stands twice");
    let schemas = schema::all();
    let readme = read("README.md");
    let section = readme.split("## As tools for an assistant").nth(1).and_then(|s| s.split("\n## ").next()).unwrap();
    for tool in TOOLS {
        assert!(section.contains(&format!("`{}`", tool.name)), "README.md does not name the tool {}", tool.name);
        // Source: the specification of 2025-11-25, "Tool Names": 1 to 128 of these.
        let plain = |c: char| c.is_ascii_alphanumeric() || "_-.".contains(c);
        assert!((1..=128).contains(&tool.name.len()) && tool.name.chars().all(plain), "{}", tool.name);
        assert!(!tool.title.is_empty() && tool.about.ends_with('.'), "{}", tool.name);
        for end in ["request", "reply"] {
            let name = format!("{}-{end}.json", tool.schema);
            let found = schemas.iter().find(|(file, _)| *file == name);
            let (_, schema) = found.unwrap_or_else(|| panic!("{}: no schema {name}", tool.name));
            assert_eq!(schema["type"], "object", "{name}");
            assert_eq!(schema["$schema"], "https://json-schema.org/draft/2020-12/schema", "{name}");
        }
        assert!(sound().iter().any(|(name, _)| *name == tool.name), "no sound question for {}", tool.name);
    }
}

#[test]
fn a_reply_is_the_one_over_http_and_keeps_its_schema() {
    let schemas = schema::all();
    System::new().block_on(async {
        let app = init_service(stead::http::app(Arc::clone(&ENGINE))).await;
        for (name, question) in sound() {
            let tool = tool(&name).unwrap();
            let told = tool.answer(&ENGINE, &question).unwrap_or_else(|e| panic!("{name}: {e:?}"));
            assert_eq!(serde_json::from_str::<Value>(&told.text).unwrap(), told.reply, "{name}");
            let file = format!("{}-reply.json", tool.schema);
            let (_, schema) = schemas.iter().find(|(name, _)| *name == file).unwrap();
            let wrong: Vec<String> =
                jsonschema::validator_for(schema).unwrap().iter_errors(&told.reply).map(|e| e.to_string()).collect();
            assert!(wrong.is_empty(), "{name}: {wrong:?}");
            if let Some(route) = ROUTES.iter().find(|r| r.allow.contains("POST") && name_of(r.path) == name) {
                let posted = TestRequest::post().uri(route.path).set_json(&question).to_request();
                assert_eq!(String::from_utf8_lossy(&call_and_read_body(&app, posted).await), told.text, "{name}");
            }
        }
    });
}

#[test]
fn every_answer_carries_the_cautions_of_the_base() {
    let always: Vec<&str> = ENGINE.kb().cautions.always.iter().map(|c| c.text.as_str()).collect();
    assert!(!always.is_empty());
    for (name, question) in sound() {
        let told = tool(&name).unwrap().answer(&ENGINE, &question).unwrap();
        let kept = told.reply["cautions"].as_array().into_iter().flatten().filter_map(Value::as_str);
        let shown: Vec<&str> = kept.chain(told.cautions.iter().map(String::as_str)).collect();
        for caution in &always {
            assert_eq!(shown.iter().filter(|c| *c == caution).count(), 1, "{name}: {caution}");
        }
    }
}

/// Every text of a value.
fn texts(value: &Value) -> Vec<&str> {
    match value {
        Value::String(text) => vec![text],
        Value::Array(list) => list.iter().flat_map(texts).collect(),
        Value::Object(members) => members.values().flat_map(texts).collect(),
        _ => Vec::new(),
    }
}

#[test]
fn an_emergency_is_answered_with_what_to_do_alone() {
    let schemas = schema::all();
    let ids: BTreeSet<&str> = ENGINE.kb().ids.iter().map(String::as_str).collect();
    let mut asked = 0;
    for (name, mut question) in sound() {
        let tool = tool(&name).unwrap();
        let request = format!("{}-request.json", tool.schema);
        let (_, schema) = schemas.iter().find(|(file, _)| *file == request).unwrap();
        if schema["properties"].get("signs").is_none() {
            continue;
        }
        question["signs"] = json!(["chest-pain"]);
        let told = tool.answer(&ENGINE, &question).unwrap();
        assert_eq!(told.reply["signs"][0]["urgency"], "emergency", "{name}");
        assert!(told.cautions.is_empty(), "{name}: {:?}", told.cautions);
        let exercises: Vec<&str> = texts(&told.reply).into_iter().filter(|t| ids.contains(t)).collect();
        assert!(exercises.is_empty(), "{name}: {exercises:?}");
        asked += 1;
    }
    assert!(asked >= 6, "{asked} tools take signs");
}

#[test]
fn a_question_without_answer_says_where_and_what_instead() {
    let problem = |name: &str, question: Value| tool(name).unwrap().answer(&ENGINE, &question).unwrap_err();
    let wrong = problem("swap", json!({"exercise": "back squat", "gym": "slipwya"}));
    assert_eq!((wrong.code, wrong.pointer.as_str()), ("unknown-kit", "/gym"));
    assert_eq!(wrong.nearest, ["slipway"]);
    assert!(wrong.detail.contains("slipwya"), "{}", wrong.detail);
    let wrong = problem("swap", json!({"exercise": "back squat", "aim": "sized"}));
    assert_eq!((wrong.code, wrong.pointer.as_str(), wrong.nearest[0].as_str()), ("unknown-word", "/aim", "size"));
    let wrong = problem("swap", json!({"excercise": "back squat"}));
    assert_eq!((wrong.code, wrong.nearest[0].as_str()), ("malformed-request", "exercise"));
    let wrong = problem("week_audit", json!({"csv": "day,exercise,sets,reps\nMon,back sqat,many,5\n"}));
    assert_eq!(wrong.code, "wrong-cells");
    assert!(!wrong.cells.is_empty());
}

/// The program at the other end of a pipe.
struct Pipe {
    child: Child,
    to: Option<ChildStdin>,
    from: BufReader<ChildStdout>,
}

impl Pipe {
    fn open(args: &[&str]) -> Self {
        let mut child = Command::new(env!("CARGO_BIN_EXE_stead"))
            .args(args)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        let from = BufReader::new(child.stdout.take().unwrap());
        Self { to: child.stdin.take(), from, child }
    }

    fn send(&mut self, message: &Value) {
        writeln!(self.to.as_mut().unwrap(), "{message}").unwrap();
    }

    /// The next message, which must be one JSON-RPC object a line.
    fn next(&mut self) -> Value {
        let mut line = String::new();
        self.from.read_line(&mut line).unwrap();
        let message: Value = serde_json::from_str(&line).unwrap_or_else(|e| panic!("{e}: {line:?}"));
        assert_eq!(message["jsonrpc"], "2.0", "{line}");
        message
    }

    fn ask(&mut self, id: u32, method: &str, params: Value) -> Value {
        self.send(&json!({"jsonrpc": "2.0", "id": id, "method": method, "params": params}));
        let reply = self.next();
        assert_eq!(reply["id"], id, "{reply}");
        reply
    }

    fn greet(&mut self) -> Value {
        let client = json!({"name": "boathouse", "version": "1"});
        let hello = json!({"protocolVersion": "2025-06-18", "capabilities": {}, "clientInfo": client});
        let told = self.ask(0, "initialize", hello);
        self.send(&json!({"jsonrpc": "2.0", "method": "notifications/initialized"}));
        told
    }

    /// Closes the input; the exit code, what was still written, and what was said beside it.
    fn close(mut self) -> (Option<i32>, String, String) {
        drop(self.to.take());
        let mut rest = String::new();
        std::io::Read::read_to_string(&mut self.from, &mut rest).unwrap();
        let ended = self.child.wait_with_output().unwrap();
        (ended.status.code(), rest, String::from_utf8_lossy(&ended.stderr).into_owned())
    }
}

#[test]
fn the_pipe_carries_the_protocol_alone_and_ends_with_the_input() {
    let mut pipe = Pipe::open(&["mcp"]);
    let told = pipe.greet();
    let instructions = told["result"]["instructions"].as_str().unwrap();
    let cautions = &ENGINE.kb().cautions;
    for caution in &cautions.always {
        assert!(instructions.contains(&caution.text), "{instructions}");
    }
    let emergencies = cautions.signs.iter().filter(|s| s.urgency == stead::kb::raw::Urgency::Emergency);
    for sign in emergencies {
        assert!(instructions.contains(&sign.text), "{instructions}");
    }
    let listed = pipe.ask(1, "tools/list", json!({}));
    let listed = listed["result"]["tools"].as_array().unwrap();
    assert_eq!(listed.len(), TOOLS.len());
    assert!(listed.iter().all(|t| t["annotations"]["readOnlyHint"] == true), "{listed:?}");
    let unknown = pipe.ask(2, "tools/call", json!({"name": "swop", "arguments": {}}));
    // Source: the specification, "Tools, Error Handling": an unknown tool is -32602.
    assert_eq!(unknown["error"]["code"], -32602, "{unknown}");
    assert!(unknown["error"]["message"].as_str().unwrap().contains("swap"), "{unknown}");
    let answered =
        pipe.ask(3, "tools/call", json!({"name": "carryover", "arguments": {"from": "squat", "to": "deadlift"}}));
    assert!(answered["result"]["structuredContent"].is_object() || answered["result"]["isError"] == true);
    assert_eq!(pipe.close(), (Some(0), String::new(), String::new()));
}

#[test]
fn an_input_that_ends_at_once_is_a_clean_end() {
    assert_eq!(Pipe::open(&["mcp"]).close(), (Some(0), String::new(), String::new()));
}

#[test]
fn what_was_asked_before_the_input_ended_is_answered() {
    let mut pipe = Pipe::open(&["mcp"]);
    pipe.greet();
    for (id, (name, question)) in (1..).zip(sound()) {
        let params = json!({"name": name, "arguments": question});
        pipe.send(&json!({"jsonrpc": "2.0", "id": id, "method": "tools/call", "params": params}));
    }
    let (code, written, said) = pipe.close();
    assert_eq!((code, said.as_str()), (Some(0), ""));
    let answered: BTreeSet<u64> = written
        .lines()
        .map(|line| serde_json::from_str::<Value>(line).unwrap())
        .filter(|message| message["result"]["isError"] == false)
        .map(|message| message["id"].as_u64().unwrap())
        .collect();
    assert_eq!(answered.len(), sound().len(), "{answered:?}");
}

#[test]
fn a_conversation_opened_wrongly_is_told_beside_it() {
    let mut pipe = Pipe::open(&["mcp"]);
    pipe.send(&json!({"jsonrpc": "2.0", "method": "notifications/initialized"}));
    // It ends by itself: the input is still open.
    let open = pipe.to.take();
    let (code, written, said) = pipe.close();
    drop(open);
    assert_eq!(code, Some(2), "{said}");
    assert!(written.is_empty() && said.contains("initialize"), "{written}{said}");
}

#[test]
fn a_broken_base_is_told_before_the_conversation() {
    let pipe = Pipe::open(&["mcp", "--kb", "no-such-folder"]);
    let (code, written, said) = pipe.close();
    assert_eq!((code, written.as_str()), (Some(2), ""));
    assert!(said.contains("no-such-folder"), "{said}");
}

#[test]
fn an_overlay_is_answered_from() {
    let folder = tempfile::tempdir().unwrap();
    let record = json!({"id": "oar-loom-row", "like": "inverted-row-bar", "name": "Oar-loom inverted row"});
    let file = json!({"family": "boathouse", "exercises": [record]});
    std::fs::create_dir(folder.path().join("exercises")).unwrap();
    std::fs::write(folder.path().join("exercises/boathouse.json"), file.to_string()).unwrap();
    let mut pipe = Pipe::open(&["mcp", "--overlay", folder.path().to_str().unwrap()]);
    pipe.greet();
    let told = pipe.ask(1, "tools/call", json!({"name": "show", "arguments": {"exercise": "oar-loom inverted row"}}));
    assert_eq!(told["result"]["structuredContent"]["exercise"]["id"], "oar-loom-row", "{told}");
    assert_eq!(pipe.close().0, Some(0));
}
