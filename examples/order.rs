//! The columns of a base and a set of questions for other tools to work on, and the same work done
//! here as often as asked.
//!
//! Leans on [`rank::order`] for the answers and on a synthetic base where more rows are asked for
//! than the shipped base has. Leaves to others: the same work elsewhere (`benches/compare.py`).
//! Writes one JSON file with columns, rules, questions and answers, then asks all questions once
//! for each line on standard input and prints the nanoseconds that took, kit closed and asked anew
//! each time.
//!
//! ```text
//! cargo run --release --example order -- ROWS FILE
//! ```

use std::error::Error;
use std::hint::black_box;
use std::io::{BufRead as _, Write as _};
use std::time::Instant;

use serde_json::{Value, json};
use stead::ask::{Engine, score};
use stead::gym::{self, Inventory};
use stead::kb::raw::{Gym, Laterality, Level, LoadPosition, Role};
use stead::kb::table::KitSet;
use stead::kb::{Kb, raw::Aim};
use stead::rank::{self, Question, Sore};
use stead::search::names;

#[path = "../benches/support/synthetic.rs"]
mod synthetic;

const SEED: u64 = 7;
const TOP: usize = 10;

/// A question of one sore region at most, in a gym without limits of stock.
struct Asked {
    original: usize,
    sore: Vec<Sore>,
    aim: Aim,
    gym: Gym,
}

impl Asked {
    fn order(&self, kb: &Kb) -> Result<Vec<(usize, u32)>, Box<dyn Error>> {
        let inventory = Inventory::of(kb, &self.gym)?;
        Ok(rank::order(
            kb,
            &Question {
                original: self.original,
                sore: &self.sore,
                inventory: &inventory,
                aim: self.aim,
                max_spine: None,
                skill: None,
                skip: &[],
                top: TOP,
                explain: false,
            },
        ))
    }
}

/// The judged questions that this base can be asked.
fn questions(kb: &Kb) -> Result<Vec<Asked>, Box<dyn Error>> {
    let (shipped, set) = (Engine::shipped()?, score::shipped()?);
    let mut out = Vec::new();
    for q in &set.questions {
        let request = score::request(&set, q);
        let Ok((row, _)) = names::resolve(shipped.kb(), &request.exercise) else { continue };
        let id = shipped.kb().ids.get(row).map_or("", String::as_str);
        let Some(original) = kb.row_of(id) else { continue };
        let Some(gym) = set.gyms.iter().chain(&kb.gyms).find(|g| g.id == q.gym) else { continue };
        let sore = request.sore.iter().take(1).filter_map(|s| {
            let level = s.level.unwrap_or(Level::Moderate);
            Some(Sore { region: kb.region_at(&s.region)?, aggravator: None, level })
        });
        let gym = Gym { stock: Default::default(), ceiling_m: None, ..gym.clone() };
        out.push(Asked { original, sore: sore.collect(), aim: q.aim, gym });
    }
    Ok(out)
}

/// A set of kit in two halves that fit any tool's whole numbers.
fn halves(set: KitSet) -> [u64; 2] {
    const HALF: u32 = 60;
    [(set & ((1 << HALF) - 1)) as u64, (set >> HALF) as u64]
}

fn place<T: PartialEq>(all: &[T], one: &T) -> usize {
    all.iter().position(|x| x == one).unwrap_or(0)
}

fn columns(kb: &Kb) -> Value {
    let rows = &kb.table.rows;
    let n = kb.len();
    // Nothing limits but a plate in the hands, whatever the gym.
    let everything = Inventory::everything(kb);
    let provoked = |row: usize| -> Vec<u32> {
        let all = kb.table.aggravators_of(row);
        let sum = |(start, region): (&u16, &stead::kb::raw::Region)| {
            all.iter().skip(usize::from(*start)).take(region.aggravators.len()).map(|g| u32::from(*g)).sum()
        };
        kb.aggravator_start.iter().zip(&kb.regions).map(sum).collect()
    };
    let kit = |row: usize| -> Vec<(u64, u64, f64)> {
        let share = |set: KitSet| rows.get(row).and_then(|r| everything.reach(kb, r, set)).map_or(1.0, |r| r.share);
        let told = |set: &KitSet| {
            let [low, high] = halves(*set);
            (low, high, share(*set))
        };
        kb.table.kits_of(row).iter().map(told).collect()
    };
    let instead = |row: usize| -> Vec<(Option<usize>, Vec<u32>)> {
        let regions = std::iter::once(None).chain((0..kb.regions.len()).map(Some));
        regions.map(|r| (r, kb.table.instead_of(row, r).to_vec())).filter(|(_, list)| !list.is_empty()).collect()
    };
    json!({
        "pattern": rows.iter().map(|r| r.pattern).collect::<Vec<_>>(),
        "spine": rows.iter().map(|r| r.spine).collect::<Vec<_>>(),
        "spine_position": rows.iter().map(|r| r.spine_position).collect::<Vec<_>>(),
        "role": rows.iter().map(|r| place(Role::ALL, &r.role)).collect::<Vec<_>>(),
        "skill": rows.iter().map(|r| r.skill).collect::<Vec<_>>(),
        "usual": rows.iter().map(|r| r.usual).collect::<Vec<_>>(),
        "hard_at": rows.iter().map(|r| r.hard_at.rank()).collect::<Vec<_>>(),
        "load_position": rows.iter().map(|r| place(LoadPosition::ALL, &r.load_position)).collect::<Vec<_>>(),
        "laterality": rows.iter().map(|r| place(Laterality::ALL, &r.laterality)).collect::<Vec<_>>(),
        "own_product": rows.iter().map(|r| r.own_product).collect::<Vec<_>>(),
        "keeps": rows.iter().map(|r| r.keeps).collect::<Vec<_>>(),
        "reps_low": rows.iter().map(|r| r.reps_low).collect::<Vec<_>>(),
        "holds": rows.iter().map(|r| u8::from(r.holds)).collect::<Vec<_>>(),
        "demand": rows.iter().map(|r| r.demand_bm).collect::<Vec<_>>(),
        "root": rows.iter().map(|r| r.root).collect::<Vec<_>>(),
        "parent": rows.iter().map(|r| r.parent).collect::<Vec<_>>(),
        "instead_of": rows.iter().map(|r| r.instead_of).collect::<Vec<_>>(),
        "work": &kb.lanes.work,
        "training": &kb.lanes.training,
        "order": &kb.lanes.order,
        "muscles": (0..n).map(|row| kb.table.muscles_of(row).to_vec()).collect::<Vec<_>>(),
        "grades": (0..n).map(|row| kb.table.grades_of(row).to_vec()).collect::<Vec<_>>(),
        "provoked": (0..n).map(provoked).collect::<Vec<_>>(),
        "kit": (0..n).map(kit).collect::<Vec<_>>(),
        "instead": (0..n).map(instead).collect::<Vec<_>>(),
    })
}

fn main() -> Result<(), Box<dyn Error>> {
    let given: Vec<String> = std::env::args().skip(1).collect();
    let [rows, file] = given.as_slice() else { return Err("give a number of rows and a file".into()) };
    let rows: usize = rows.parse()?;
    let shipped = Engine::shipped()?;
    let made;
    let kb = if rows == 0 {
        shipped.kb()
    } else {
        made = synthetic::base(rows, SEED);
        &made
    };
    let asked = questions(kb)?;
    let mut told = Vec::new();
    for q in &asked {
        let inventory = Inventory::of(kb, &q.gym)?;
        told.push(json!({
            "original": q.original,
            "sore": q.sore.iter().map(|s| (s.region, s.level)).collect::<Vec<_>>(),
            "aim": q.aim,
            "kit": halves(gym::closed(kb, inventory.owned)),
            "answer": q.order(kb)?,
        }));
    }
    let whole = json!({
        "top": TOP,
        "columns": columns(kb),
        "roles": Role::ALL,
        "holds": kb.muscles.iter().map(|m| m.holds).collect::<Vec<_>>(),
        "own_muscles": &kb.own_muscles,
        "low_back": kb.region_at("low-back"),
        "paths": &kb.pattern_paths,
        "ranking": &kb.ranking,
        "questions": told,
    });
    std::fs::write(file, serde_json::to_vec(&whole)?)?;
    let mut out = std::io::stdout();
    writeln!(out, "{} questions of {} rows", asked.len(), kb.len())?;
    for line in std::io::stdin().lock().lines() {
        line?;
        let start = Instant::now();
        for q in &asked {
            black_box(black_box(q).order(black_box(kb))?);
        }
        writeln!(out, "{}", start.elapsed().as_nanos())?;
    }
    Ok(())
}
