//! What do the forces of one lift cost, and the compiling of the base with all its postures?
//!
//! Questions: one estimate (low back and joints) by row, the same for a published value, the low
//! back alone, and the whole base from checked records to columns and from texts. Data: the shipped
//! base of a thousand exercises and the reference man; no randomness. Left out: reading files.

use std::hint::black_box;

use stead::ask::Engine;
use stead::kb::files::Files;
use stead::kb::{Kb, compile, draft, model};
use stead::units::Kg;

fn main() {
    divan::main();
}

fn one(bencher: divan::Bencher<'_, '_>, id: &str) {
    let engine = Engine::shipped().unwrap();
    let (kb, man) = (engine.kb(), model::reference_man().unwrap());
    let row = kb.row_of(id).unwrap();
    bencher.bench_local(|| {
        let e = model::estimate(black_box(kb), black_box(row), black_box(&man), black_box(Kg(100.0)), None).unwrap();
        e.compression.get() + e.joints.map_or(0.0, |j| j.moments.hip.per_side.get())
    });
}

#[divan::bench]
fn forces_planar(bencher: divan::Bencher<'_, '_>) {
    one(bencher, "deadlift-conventional");
}

#[divan::bench]
fn forces_published(bencher: divan::Bencher<'_, '_>) {
    one(bencher, "push-up");
}

/// Estimates of the whole base at typical loads, as the compiler makes them.
#[divan::bench]
fn all_classes(bencher: divan::Bencher<'_, '_>) {
    let engine = Engine::shipped().unwrap();
    let (kb, man) = (engine.kb(), model::reference_man().unwrap());
    let found: Vec<_> = (0..kb.len())
        .map(|row| {
            let e = kb.exercise(row).unwrap();
            let shared = kb.postures.iter().find(|p| p.id == e.posture.like).unwrap();
            (shared, kb.anchors.iter().find(|a| a.id == e.typical_load.anchor).unwrap(), e)
        })
        .collect();
    bencher.bench_local(|| {
        let mut sum = 0.0;
        for (shared, anchor, e) in black_box(&found) {
            sum += model::at_work(shared, anchor, e, &man).unwrap().body_weights;
        }
        sum
    });
}

/// From checked records to columns and encoded records, postures and classes included.
#[divan::bench]
fn compile_checked_base(bencher: divan::Bencher<'_, '_>) {
    let layers = [Files(Engine::shipped_files().0)];
    bencher.with_inputs(|| draft::read(&layers).0).bench_local_refs(|draft| compile::compile(draft, &layers).is_ok());
}

/// The same for the first five hundred exercises, a base of the size that the budget is set for.
#[divan::bench]
fn compile_five_hundred(bencher: divan::Bencher<'_, '_>) {
    let layers = [Files(Engine::shipped_files().0)];
    let draft = || {
        let mut draft = draft::read(&layers).0;
        draft.exercises.truncate(500);
        draft
    };
    bencher.with_inputs(draft).bench_local_refs(|draft| compile::compile(draft, &layers).is_ok());
}

/// Reading, every rule, and compiling.
#[divan::bench]
fn build_from_texts(bencher: divan::Bencher<'_, '_>) {
    let layers = [Engine::shipped_files()];
    bencher.bench_local(|| Kb::build(black_box(&layers)).is_ok());
}
