//! What does the audit of a week cost, and reading one?
//!
//! Questions: the audit of 25 rows without kit, in a gym that lists its weights, with a sore region;
//! the same as a whole reply; reading the table. Data: the first programme of the tests and eleven
//! rows of the second, on the shipped base; no randomness. Left out: reading files, JSON and drawing.

use std::hint::black_box;

use stead::ask::swap::{GymAsk, SoreAsk};
use stead::ask::week::audit::{Request, of_week};
use stead::ask::week::{Read, asked};
use stead::ask::{Engine, json};
use stead::gym::Inventory;
use stead::kb::model;
use stead::kb::raw::Training;
use stead::week::audit::{Setting, audit};

fn main() {
    divan::main();
}

const FIRST: &str = include_str!("../tests/fixtures/weeks/five-straight.csv");
const SECOND: &str = include_str!("../tests/fixtures/weeks/hinge-twice-over.csv");

/// A table of 25 rows.
fn table() -> String {
    FIRST.lines().chain(SECOND.lines().skip(1).take(11)).map(|line| format!("{line}\n")).collect()
}

fn week(engine: &Engine) -> Read {
    asked(engine.kb(), &[], Some(&table())).unwrap()
}

fn audited(bencher: divan::Bencher<'_, '_>, place: Option<&str>) {
    let engine = Engine::shipped().unwrap();
    let (kb, man, read) = (engine.kb(), model::reference_man().unwrap(), week(&engine));
    assert_eq!(read.week.rows().len(), 25);
    let inventory = place.map_or_else(|| Inventory::everything(kb), |id| Inventory::named(kb, id).unwrap());
    let setting = Setting {
        level: Training::Intermediate,
        inventory: &inventory,
        sore: &[],
        body: &man,
        since_deload: Some(6),
        signals: &[],
        mean_points: Some(50.0),
    };
    bencher.bench_local(|| audit(black_box(kb), black_box(&read.week), black_box(&setting)).findings.len());
}

#[divan::bench]
fn audit_25_rows(bencher: divan::Bencher<'_, '_>) {
    audited(bencher, None);
}

#[divan::bench(args = ["boathouse", "town"])]
fn audit_25_rows_in_a_gym(bencher: divan::Bencher<'_, '_>, place: &str) {
    audited(bencher, Some(place));
}

/// As either door answers it, but for reading the week.
#[divan::bench]
fn whole_reply(bencher: divan::Bencher<'_, '_>) {
    let engine = Engine::shipped().unwrap();
    let read = week(&engine);
    let sore = SoreAsk { region: "low-back".to_string(), pain: Some(3.0), ..SoreAsk::default() };
    let gym = Some(GymAsk::Named("boathouse".to_string()));
    let request = Request { gym, sore: vec![sore], ..Request::default() };
    bencher.bench_local(|| json::text(&of_week(&engine, black_box(&read), &request).unwrap()).unwrap().len());
}

#[divan::bench]
fn read_a_table(bencher: divan::Bencher<'_, '_>) {
    let engine = Engine::shipped().unwrap();
    let text = table();
    bencher.bench_local(|| asked(engine.kb(), &[], Some(black_box(&text))).unwrap().week.rows().len());
}
