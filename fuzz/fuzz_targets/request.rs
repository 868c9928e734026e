//! The bodies of posted questions: the first byte picks the question, the rest is its body.
//!
//! Leans on `stead::http::ask`, which goes the way of a request without its wire. Whatever comes in,
//! a reply or a problem comes out, in JSON, and never a fault of the server.

#![no_main]

use std::sync::LazyLock;

use libfuzzer_sys::fuzz_target;
use stead::ask::Engine;

static ENGINE: LazyLock<Engine> = LazyLock::new(|| Engine::shipped().expect("the shipped base opens"));

/// Named as in a batch; a new question is added at the end, so that old finds keep their meaning.
const QUESTIONS: &[&str] = &["swap", "forces", "carryover", "load", "ladder", "vary", "week/audit", "week/deload"];

fuzz_target!(|data: &[u8]| {
    let Some((first, body)) = data.split_first() else { return };
    let question = QUESTIONS[usize::from(*first) % QUESTIONS.len()];
    let (status, reply) = stead::http::ask(&ENGINE, question, body);
    assert!(status < 500, "{question}: {}", String::from_utf8_lossy(body));
    let reply: serde_json::Value = serde_json::from_slice(&reply).expect("a reply in JSON");
    assert!(reply.is_object());
});
