//! Searches over the term weights of the ranking, scored on half of the judged questions.
//!
//! Leans on the library's own questions and measure; seeded, so the same seed gives the same
//! weights. Leaves to others: writing the weights into the base (a person does, after reading
//! the figures on the half that was not searched on).
//!
//! `cargo run --release --example tune -- [SEED] [ROUNDS]`

use stead::ask::Engine;
use stead::ask::score::{self, Set};
use stead::kb::raw::{Aim, Ranking};

fn main() {
    let mut arguments = std::env::args().skip(1);
    let mut number = |default: u64| arguments.next().and_then(|a| a.parse().ok()).unwrap_or(default);
    let (seed, rounds) = (number(1), number(400));
    if let Err(e) = run(seed, rounds) {
        eprintln!("{e}");
    }
}

/// nDCG@5, success@1 and violations of one half.
type Figures = (f64, f64, usize);

fn run(seed: u64, rounds: u64) -> Result<(), Box<dyn std::error::Error>> {
    let engine = Engine::shipped()?;
    let set = score::shipped()?;
    let half = |odd: bool| Set {
        questions: set
            .questions
            .iter()
            .enumerate()
            .filter(|(i, _)| (i % 2 == 1) == odd)
            .map(|(_, q)| q.clone())
            .collect(),
        ..set.clone()
    };
    let (train, test) = (half(false), half(true));
    let mut rng = fastrand::Rng::with_seed(seed);
    let mut best = engine.kb().ranking.clone();
    let mut best_value = value(measure(&engine, &best, &train)?);
    println!("start train {:?} test {:?}", measure(&engine, &best, &train)?, measure(&engine, &best, &test)?);
    for round in 0..rounds {
        let mut candidate = best.clone();
        // One to three terms of every aim, or of one, are scaled by up to half or double.
        let one = (rng.f64() < 0.3).then(|| Aim::ALL.get(rng.usize(..Aim::ALL.len())).copied()).flatten();
        for _ in 0..rng.usize(1..=3) {
            let term = stead::kb::check::TERM_NAMES
                .get(rng.usize(..stead::kb::check::TERM_NAMES.len()))
                .copied()
                .unwrap_or("muscles");
            let factor = 2f64.powf(rng.f64() * 2.0 - 1.0);
            for (aim, weights) in &mut candidate.weights {
                if one.is_none_or(|o| o == *aim)
                    && let Some(w) = weights.get_mut(term)
                {
                    // What makes a lift hard enough and what it is like stay heard, however the half searched on falls.
                    let least = match term {
                        "loadable" => 12.0,
                        "pattern" => 5.0,
                        _ => 0.5,
                    };
                    *w = ((*w * factor).clamp(least, 60.0) * 10.0).round() / 10.0;
                }
            }
        }
        // What being named by coaches counts for is searched as well.
        let mut shake = |share: &mut f64| {
            if rng.f64() < 0.1 {
                *share = ((*share * 2f64.powf(rng.f64() * 2.0 - 1.0)).clamp(0.01, 1.0) * 100.0).round() / 100.0;
            }
        };
        let shares = &mut candidate.instead;
        for share in [&mut shares.per_place, &mut shares.least, &mut shares.not_for_region, &mut shares.variation] {
            shake(share);
        }
        let now = value(measure(&engine, &candidate, &train)?);
        if now > best_value {
            best_value = now;
            best = candidate;
            println!(
                "round {round} train {:?} test {:?}",
                measure(&engine, &best, &train)?,
                measure(&engine, &best, &test)?
            );
        }
    }
    println!("{}", serde_json::to_string(&best.weights)?);
    println!("{}", serde_json::to_string(&best.instead)?);
    println!("both {:?}", measure(&engine, &best, &set)?);
    Ok(())
}

/// What the search climbs: gain and success, less what must not be there.
fn value((ndcg, success, violations): Figures) -> f64 {
    ndcg + 0.5 * success - 0.05 * violations as f64
}

fn measure(engine: &Engine, ranking: &Ranking, set: &Set) -> Result<Figures, Box<dyn std::error::Error>> {
    let engine = Engine::of(engine.kb().with_ranking(ranking.clone()));
    let reply = score::answer(&engine, set)?;
    Ok((reply.ndcg5, reply.success1, reply.violations))
}
