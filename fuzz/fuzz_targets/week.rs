//! Weeks as the text of a CSV file.
//!
//! Leans on `stead::http::ask`. Whatever stands in the table, the week is audited or its wrong cells
//! are told, each with a line that the text has.

#![no_main]

use std::sync::LazyLock;

use libfuzzer_sys::fuzz_target;
use serde_json::{Value, json};
use stead::ask::Engine;

static ENGINE: LazyLock<Engine> = LazyLock::new(|| Engine::shipped().expect("the shipped base opens"));

fuzz_target!(|text: &str| {
    let body = json!({"csv": text, "gym": "boathouse"}).to_string();
    let (status, reply) = stead::http::ask(&ENGINE, "week/audit", body.as_bytes());
    assert!(matches!(status, 200 | 400 | 422), "{status}: {text:?}");
    let reply: Value = serde_json::from_slice(&reply).expect("a reply in JSON");
    for cell in reply["cells"].as_array().into_iter().flatten() {
        let line = cell["line"].as_u64().expect("a line");
        assert!(line >= 1 && line <= text.split(['\n', '\r']).count() as u64, "line {line} of {text:?}");
    }
});
