//! How long does a question take inside the library?
//!
//! Questions: one explained swap with five answers and with ten, the worst of name look-ups (a near miss, which
//! measures every name), and opening the engine cold. Data: the shipped base and judged question
//! Q07, no randomness. Left out: starting a process, reading arguments, writing JSON or text, and
//! HTTP. Ratios between the three say more than the times.

use std::hint::black_box;

use stead::ask::{Engine, score, swap};
use stead::search::names;

fn main() {
    divan::main();
}

fn question() -> swap::Request {
    let set = score::shipped().unwrap();
    let question = set.questions.iter().find(|q| q.id == "Q07").unwrap();
    swap::Request { why: true, ..score::request(&set, question) }
}

/// The usual question: five answers, each with its whole explanation tree.
#[divan::bench]
fn swap_explained(bencher: divan::Bencher<'_, '_>) {
    let engine = Engine::shipped().unwrap();
    let request = swap::Request { top: None, ..question() };
    bencher.bench_local(|| swap::answer(black_box(&engine), black_box(&request)).unwrap().substitutes.len());
}

/// Ten answers with their trees, as the judged questions are asked.
#[divan::bench]
fn swap_ten_explained(bencher: divan::Bencher<'_, '_>) {
    let engine = Engine::shipped().unwrap();
    let request = question();
    bencher.bench_local(|| swap::answer(black_box(&engine), black_box(&request)).unwrap().substitutes.len());
}

#[divan::bench]
fn scan_of_all_names(bencher: divan::Bencher<'_, '_>) {
    let engine = Engine::shipped().unwrap();
    bencher.bench_local(|| names::nearest(black_box(engine.kb()), black_box("bulgerian spilt sqaut")).len());
}

#[divan::bench]
fn name_in_the_table(bencher: divan::Bencher<'_, '_>) {
    let engine = Engine::shipped().unwrap();
    bencher.bench_local(|| names::resolve(black_box(engine.kb()), black_box("Back squats")).is_ok());
}

#[divan::bench]
fn engine_cold() -> usize {
    Engine::shipped().unwrap().kb().len()
}
