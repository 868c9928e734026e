//! What does it cost to say what to buy?
//!
//! Questions: the best set over the whole catalogue for a budget, the questions of the basket asked
//! before; asking them; the whole reply with single things and the frontier. Data: the shipped
//! catalogue, the Boathouse and an empty shed; no randomness. Left out: reading a week, and JSON.

use std::hint::black_box;

use stead::ask::Engine;
use stead::ask::kit::{Request, answer, exactly};
use stead::ask::swap::{GymAsk, SoreAsk};
use stead::kb::raw::Gym;

fn main() {
    divan::main();
}

fn boathouse(budget: u32) -> Request {
    let gym = Some(GymAsk::Named("boathouse".to_string()));
    Request { gym, budget: Some(f64::from(budget)), ..Request::default() }
}

/// The questions of the basket asked, and the one exact search.
#[divan::bench(args = [200, 600, 1500])]
fn exact_answer(bencher: divan::Bencher<'_, '_>, budget: u32) {
    let engine = Engine::shipped().unwrap();
    let request = boathouse(budget);
    bencher.bench_local(|| {
        let found = exactly(black_box(&engine), black_box(&request)).unwrap();
        assert!(found.proven);
        found.worth
    });
}

/// The same from an empty shed, where nothing is there to begin with.
#[divan::bench(args = [600, 1500])]
fn exact_answer_from_nothing(bencher: divan::Bencher<'_, '_>, budget: u32) {
    let engine = Engine::shipped().unwrap();
    let gym = Gym { id: "shed".to_string(), name: "Shed".to_string(), ..Gym::default() };
    let request = Request { gym: Some(GymAsk::Own(Box::new(gym))), ..boathouse(budget) };
    bencher.bench_local(|| exactly(black_box(&engine), black_box(&request)).unwrap().worth);
}

/// As either door answers it.
#[divan::bench(args = [200, 600, 1500])]
fn whole_reply(bencher: divan::Bencher<'_, '_>, budget: u32) {
    let engine = Engine::shipped().unwrap();
    let request = boathouse(budget);
    bencher.bench_local(|| answer(black_box(&engine), black_box(&request)).unwrap().singles.len());
}

#[divan::bench]
fn whole_reply_for_a_sore_low_back(bencher: divan::Bencher<'_, '_>) {
    let engine = Engine::shipped().unwrap();
    let sore = vec![SoreAsk { region: "low-back".to_string(), pain: Some(4.0), ..SoreAsk::default() }];
    let request = Request { sore, ..boathouse(600) };
    bencher.bench_local(|| answer(black_box(&engine), black_box(&request)).unwrap().singles.len());
}
