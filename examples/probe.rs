//! Prints why chosen exercises score as they do for a judged question: `probe QID EXERCISE...`.
//!
//! Leans on the library's own questions. Leaves to others: the shipped command line.

use stead::ask::{Engine, score, swap};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut args = std::env::args().skip(1);
    let id = args.next().unwrap_or_default();
    let wanted: Vec<String> = args.collect();
    let engine = Engine::shipped()?;
    let set = score::shipped()?;
    let Some(q) = set.questions.iter().find(|q| q.id == id) else { return Err("no such question".into()) };
    let mut request = score::request(&set, q);
    request.top = Some(50);
    request.why = true;
    let reply = swap::answer(&engine, &request)?;
    println!("passed {}", reply.passed);
    for (i, s) in reply.substitutes.iter().enumerate() {
        if wanted.iter().any(|w| w == s.id) || i < 2 {
            println!("#{} {} {}", i + 1, s.id, s.score);
            for part in s.why.iter().flat_map(|w| &w.parts) {
                println!("   {:6.2} {} {}", part.points, part.name, part.found);
            }
        }
    }
    for r in &reply.refused {
        println!(
            "{} {}: {:?}",
            r.gate,
            r.count,
            r.examples.iter().map(|e| format!("{} {}", e.exercise.id, e.reason)).collect::<Vec<_>>()
        );
    }
    Ok(())
}
