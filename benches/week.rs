//! What does the audit of a week cost, its mend, and reading one?
//!
//! Questions: the audit of 25 rows without kit, in a gym that lists its weights, with a sore region;
//! the same as a whole reply; the mend of 25 rows, proven to be the smallest, by the kit there is and
//! what is sore; reading the table. Data: the first programme of the tests and eleven
//! rows of the second, and a week of five days, on the shipped base; no randomness. Left out: reading files, JSON and drawing.

use std::hint::black_box;

use stead::ask::swap::{GymAsk, SoreAsk};
use stead::ask::week::audit::{Request, of_week};
use stead::ask::week::{Read, asked, mend};
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

/// Five days as many lifters plan them, 25 rows.
const REAL: &str = include_str!("../tests/fixtures/weeks/five-days.csv");

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
        age: None,
        sets_last_week: None,
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

/// What is mended: kit and a sore region.
#[derive(Debug)]
struct Mend(Option<&'static str>, Option<&'static str>);

const MENDS: [Mend; 4] = [
    Mend(None, None),
    Mend(Some("town"), None),
    Mend(Some("town"), Some("low-back")),
    Mend(Some("town"), Some("knee")),
];

/// From the week as read to the reply, the search and both audits included.
#[divan::bench(args = MENDS, sample_count = 20)]
fn mend_25_rows(bencher: divan::Bencher<'_, '_>, what: &Mend) {
    let engine = Engine::shipped().unwrap();
    let read = asked(engine.kb(), &[], Some(REAL)).unwrap();
    assert_eq!(read.week.rows().len(), 25);
    let sore = |region: &str| SoreAsk { region: region.to_string(), pain: Some(4.0), ..SoreAsk::default() };
    let request = mend::Request {
        gym: what.0.map(|id| GymAsk::Named(id.to_string())),
        sore: what.1.map(sore).into_iter().collect(),
        ..mend::Request::default()
    };
    let (reply, _) = mend::of_week(&engine, &read, &request).unwrap();
    assert!(reply.mend.is_some_and(|m| m.proven && m.changed > 0));
    bencher.bench_local(|| mend::of_week(&engine, black_box(&read), &request).unwrap().1.is_some());
}

#[divan::bench]
fn read_a_table(bencher: divan::Bencher<'_, '_>) {
    let engine = Engine::shipped().unwrap();
    let text = table();
    bencher.bench_local(|| asked(engine.kb(), &[], Some(black_box(&text))).unwrap().week.rows().len());
}
