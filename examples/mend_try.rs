use std::time::{Duration, Instant};
use stead::ask::Engine;
use stead::ask::week::asked;
use stead::gym::Inventory;
use stead::kb::model;
use stead::kb::raw::*;
use stead::week::audit::{self, RULES, Setting, audit};
use stead::week::mend::{self, mend};
fn main() {
    let e = Engine::shipped().unwrap();
    let kb = e.kb();
    let man = model::reference_man().unwrap();
    for a in std::env::args().skip(1) {
        let (file, gym) = a.split_once('@').unwrap_or((&a, ""));
        let (gym, sore) = gym.split_once('+').unwrap_or((gym, ""));
        let text = std::fs::read_to_string(file).unwrap();
        let read = asked(kb, &[], Some(&text)).unwrap();
        let inv = if gym.is_empty() { Inventory::everything(kb) } else { Inventory::named(kb, gym).unwrap() };
        let sores: Vec<stead::rank::Sore> = if sore.is_empty() {
            vec![]
        } else {
            vec![stead::rank::Sore { region: kb.region_at(sore).unwrap(), aggravator: None, level: Level::Moderate }]
        };
        let s = Setting {
            level: Training::Intermediate,
            inventory: &inv,
            sore: &sores,
            body: &man,
            since_deload: None,
            signals: &[],
            mean_points: None,
        };
        let before = audit(kb, &read.week, &s);
        println!("== {a}: {} findings, {} points", before.findings.len(), before.sums.points);
        for f in &before.findings {
            println!("   - {} {}", RULES[f.rule].id, f.words);
        }
        let t = Instant::now();
        let m = mend(
            kb,
            &read.week,
            &before,
            &mend::Setting { audit: s, keep: &[], tolerance_percent: None, limit: Duration::from_secs(20) },
        );
        let took = t.elapsed();
        let m = match m {
            Ok(m) => m,
            Err(e) => {
                println!("ERR {e} {took:?}");
                continue;
            }
        };
        println!(
            "  cost {} least {} proven {} in {took:?}; given up {:?}; reordered {:?}",
            m.cost,
            m.least,
            m.proven(),
            m.given_up,
            m.reordered
        );
        let n = |x: usize| kb.names_shown[x].clone();
        for r in &m.rows {
            let b = r.before.map(|i| &read.week.rows()[i]);
            let b = b
                .map(|b| format!("{} {} {}x{}", b.day.short(), n(b.exercise), b.sets, b.work.high))
                .unwrap_or_default();
            let c = match r.change {
                mend::Change::Swapped { to } => format!("swap {}", n(to)),
                mend::Change::Added => {
                    let x = &m.week.rows()[r.after.unwrap()];
                    format!("add {} {} {}x{}", x.day.short(), n(x.exercise), x.sets, x.work.high)
                }
                c => format!("{c:?}"),
            };
            println!("     {b:50} {c}");
        }
        let after = audit::audit(kb, &m.week, &s);
        println!("  after: {} points", after.sums.points);
        for f in &after.findings {
            println!("   - {} {}", RULES[f.rule].id, f.words);
        }
    }
}
