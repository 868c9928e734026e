//! How does a question grow with the base?
//!
//! Question: every gate asked of every row, every row that passes scored, and the first ten put in
//! order ([`rank::order`]), in bases of 500, 10 000 and 100 000 exercises. Data: a synthetic base
//! (`support/synthetic.rs`, seed 7) and the judged questions, each in the gym it was judged in, as
//! resolved figures, so that reading names is left out; one pass asks all of them. Left out: what
//! the answer says. The scan is one pass over all rows whatever their number, so the growth from
//! 10 000 to 100 000 should be near ten; what lies beyond are caches that no longer hold the columns.
//!
//! `shipped` is the same over the shipped base, for comparison.

use std::hint::black_box;

use stead::ask::{Engine, score};
use stead::gym::Inventory;
use stead::kb::Kb;
use stead::kb::raw::{Aim, Level};
use stead::rank::{self, Question, Sore};
use stead::search::names;

#[path = "support/synthetic.rs"]
mod synthetic;

const SEED: u64 = 7;
const TOP: usize = 10;

fn main() {
    divan::main();
}

/// A question that holds for every base: by id, for rows move.
struct Asked {
    id: String,
    sore: Vec<Sore>,
    gym: stead::kb::raw::Gym,
    aim: Aim,
}

fn asked() -> Vec<Asked> {
    let (engine, set) = (Engine::shipped().unwrap(), score::shipped().unwrap());
    let kb = engine.kb();
    let of = |q: &score::Judged| {
        let request = score::request(&set, q);
        let (row, _) = names::resolve(kb, &request.exercise).ok()?;
        let sore = |s: &stead::ask::swap::SoreAsk| {
            let level = s.level.unwrap_or(Level::Moderate);
            Some(Sore { region: kb.region_at(&s.region)?, aggravator: None, level })
        };
        let gym = set.gyms.iter().chain(&kb.gyms).find(|g| g.id == q.gym)?.clone();
        Some(Asked { id: kb.ids[row].clone(), sore: request.sore.iter().filter_map(sore).collect(), gym, aim: q.aim })
    };
    set.questions.iter().filter_map(of).collect()
}

fn pass(bencher: divan::Bencher<'_, '_>, kb: &Kb) {
    let asked = asked();
    let inventories: Vec<Inventory> = asked.iter().map(|a| Inventory::of(kb, &a.gym).unwrap()).collect();
    let questions: Vec<Question<'_>> = asked
        .iter()
        .zip(&inventories)
        .filter_map(|(a, inventory)| {
            Some(Question {
                // A small base lacks some of what is asked for.
                original: kb.row_of(&a.id)?,
                sore: &a.sore,
                inventory,
                aim: a.aim,
                max_spine: None,
                skill: None,
                skip: &[],
                top: TOP,
                explain: false,
            })
        })
        .collect();
    let n = questions.len();
    bencher
        .counter(divan::counter::ItemsCount::new(n))
        .bench_local(|| questions.iter().map(|q| rank::order(black_box(kb), black_box(q)).len()).sum::<usize>());
}

#[divan::bench]
fn shipped(bencher: divan::Bencher<'_, '_>) {
    pass(bencher, Engine::shipped().unwrap().kb());
}

#[divan::bench(args = [500, 10_000, 100_000], sample_count = 20)]
fn order(bencher: divan::Bencher<'_, '_>, rows: usize) {
    pass(bencher, &synthetic::base(rows, SEED));
}
