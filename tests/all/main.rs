//! Every integration test in one binary, so that the crate is linked once.
//!
//! Leans on the library as a stranger would use it, and on the files of this repository. Leaves
//! to others: unit tests, which stand beside what they test.
//! `STEAD_BLESS=1` rewrites what is compared: schemas, expected reports, the accepted run.

/// The audit of a week: four programmes with their tables of counts, laws, both doors.
mod audit;
/// The shipped base has no problem; one broken base for each rule, with the expected report.
mod base;
/// First sets: from a known set to what is put on another lift's bar.
mod begin;
/// Bests from sets of several, loads for sets, first sessions.
mod bests;
/// The command line from outside: exit codes, what is printed where, and how wide.
mod cli;
/// Every judged question at both doors.
mod doors;
/// The base written down in every form, read back and compared with the records.
mod export;
/// Facts of the trade that the base and the answers must agree with.
mod facts;
/// Forces of an exercise: the breakdown, the laws, sweeps as CSV and SVG, both doors alike.
mod forces;
/// The HTTP door: routes, problem replies, limits, a clean stop.
mod http;
/// The judged questions, compared with the last accepted run.
mod judged;
/// What to buy next: the search beside brute force, its laws, facts of the trade, both doors.
mod kit;
/// Ladders back to a lift: their laws, and both doors.
mod ladder;
/// What holds for every question, tried on random ones.
mod laws;
/// The import direction, read from the table in DEVELOPERS.md.
mod layers;
/// Loads: carry-over between lifts, from the base's pairs to both doors.
mod load;
/// What a listed stock of weights makes up.
mod loading;
/// The tools of the Model Context Protocol, and the conversation on a pipe.
mod mcp;
/// The body model: worked examples, published orders, laws, and another engine's statics.
mod mechanics;
/// The smallest change to a week, beside another solver.
mod mend;
/// Weeks mended and made lighter: what is promised of them, at both doors.
mod mended;
/// The body model on the base: classes, a coach, published orders.
mod model;
/// Figures of libraries by other people, kept as fixtures.
mod outside;
/// A base of one's own laid over the shipped one: the README's, and usual mistakes.
mod overlay;
/// The page: every file embedded, its headers, nothing from elsewhere.
mod page;
/// JSON Schemas: equal to the types, and kept by the base, the gyms and the answers.
mod schema;
/// Headers, marks left behind, and paths that documents mention.
mod tidy;
/// Variations of a lift and the plan among them: their laws, and both doors.
mod vary;
/// A week varied as a whole: its laws, the table of its plan, and both doors.
mod vary_week;
/// A week of training: read, written, audited.
mod week;

use std::path::{Path, PathBuf};

use proptest::test_runner::{Config as ProptestConfig, RngSeed};

/// The top folder of the repository.
pub fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// Whether to rewrite what is compared instead of comparing.
pub fn bless() -> bool {
    std::env::var("STEAD_BLESS").is_ok_and(|v| v == "1")
}

/// The text of a file of the repository.
pub fn read(path: impl AsRef<Path>) -> String {
    let path = root().join(path);
    std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

/// Compares `text` with a file of the repository, or writes it there when blessing.
pub fn same_as_file(path: impl AsRef<Path>, text: &str) -> Result<(), String> {
    let full = root().join(&path);
    if bless() {
        std::fs::write(&full, text).map_err(|e| e.to_string())?;
    }
    let kept = std::fs::read_to_string(&full).unwrap_or_default();
    if kept == text {
        return Ok(());
    }
    let shown = path.as_ref().display();
    Err(format!("{shown} differs (STEAD_BLESS=1 rewrites it)\n--- kept\n{kept}\n--- now\n{text}"))
}

/// So many cases of a law from a fixed seed, so that a run can be repeated; `PROPTEST_CASES` and
/// `PROPTEST_RNG_SEED` change them for a long run.
pub fn cases(usual: u32) -> ProptestConfig {
    let from = |name: &str| std::env::var(name).ok();
    let cases = from("PROPTEST_CASES").and_then(|v| v.parse().ok()).unwrap_or(usual);
    let seed = from("PROPTEST_RNG_SEED").and_then(|v| v.parse().ok()).unwrap_or(20_261);
    ProptestConfig { cases, rng_seed: RngSeed::Fixed(seed), failure_persistence: None, ..ProptestConfig::default() }
}

/// Every file below `folder` whose name ends in `end`, in order of path.
pub fn files_below(folder: &Path, end: &str) -> Vec<PathBuf> {
    let mut found = Vec::new();
    let Ok(entries) = std::fs::read_dir(folder) else { return found };
    for path in entries.map(|e| e.unwrap().path()) {
        if path.is_dir() {
            found.extend(files_below(&path, end));
        } else if path.to_string_lossy().ends_with(end) {
            found.push(path);
        }
    }
    found.sort();
    found
}
