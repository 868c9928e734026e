//! Every source file says what it is, no mark is left behind, and documents name what exists.
//!
//! Leans on the texts of the repository. Leaves to others: formatting and lints, which rustfmt
//! and clippy look after.

use crate::{files_below, read, root};

/// Files of code: the crate, its tests and its benches.
fn sources() -> Vec<std::path::PathBuf> {
    let folders = ["src", "tests", "benches", "examples", "fuzz/fuzz_targets"];
    let mut all: Vec<_> = folders.iter().flat_map(|f| files_below(&root().join(f), ".rs")).collect();
    all.push(root().join("build.rs"));
    all
}

#[test]
fn every_file_opens_with_a_header() {
    let mut wrong = Vec::new();
    for path in sources() {
        let text = std::fs::read_to_string(&path).unwrap();
        let lines = text.lines().take_while(|l| l.starts_with("//!")).count();
        let least = if path.ends_with("src/main.rs") { 1 } else { 2 };
        if lines < least {
            let shown = path.strip_prefix(root()).unwrap().display();
            wrong.push(format!("{shown}: {lines} lines of //! header, at least {least}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn no_mark_is_left_behind() {
    // Written in two parts, so that this file does not find itself.
    let marks = [concat!("TO", "DO"), concat!("FIX", "ME"), concat!("XX", "X"), concat!("HA", "CK")];
    let mut wrong = Vec::new();
    let folders = ["kb", "queries", "tests"].iter().flat_map(|f| files_below(&root().join(f), ".json"));
    for path in sources().into_iter().chain(folders) {
        let text = std::fs::read_to_string(&path).unwrap();
        for (i, line) in text.lines().enumerate().filter(|(_, l)| marks.iter().any(|m| l.contains(m))) {
            wrong.push(format!("{}:{}: {}", path.display(), i + 1, line.trim()));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn an_ignored_test_states_its_reason() {
    let mark = concat!("#[ign", "ore]");
    let wrong: Vec<_> = sources().into_iter().filter(|p| std::fs::read_to_string(p).unwrap().contains(mark)).collect();
    assert!(wrong.is_empty(), "without a reason: {wrong:?}");
}

#[test]
fn paths_that_documents_mention_exist() {
    let mut wrong = Vec::new();
    for document in ["README.md", "DEVELOPERS.md"] {
        if !root().join(document).is_file() {
            continue;
        }
        let mut fenced = false;
        for line in read(document).lines() {
            if line.starts_with("```") {
                fenced = !fenced;
            }
            if fenced {
                continue;
            }
            for path in line.split('`').skip(1).step_by(2).filter(|p| is_path(p)) {
                if !root().join(path).exists() {
                    wrong.push(format!("{document}: {path}"));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "no such path:\n{}", wrong.join("\n"));
}

/// Whether a word between backticks is meant as a path of this repository: it starts in one of
/// its folders, or ends like a file of code or text. Patterns such as `kb/*.json` are not.
fn is_path(word: &str) -> bool {
    let plain = word.chars().all(|c| c.is_alphanumeric() || "/._-".contains(c));
    let first = word.split('/').next().unwrap_or_default();
    let folders = ["src", "tests", "benches", "examples", "kb", "queries", "docs", "deploy", "fuzz", ".ci"];
    let in_folder = word.contains('/') && folders.contains(&first);
    let endings: &[&str] = if word.contains('/') { &[".rs", ".py", ".md"] } else { &[".md", ".toml"] };
    let file = !word.starts_with('/') && endings.iter().any(|end| word.ends_with(end));
    plain && (in_folder || file)
}
