//! The shipped base keeps every rule; each rule catches the base that was broken for it.
//!
//! Leans on `tests/mini`, a small base without a problem, and `tests/broken`, one folder for each
//! rule: the files that differ, `removed.txt` for files to take away, `overlay/` for a second
//! layer, and the report in `expected.txt`. Leaves to others: what the answers are like.

use std::collections::BTreeSet;
use std::path::Path;

use stead::ask::Engine;
use stead::kb::check::RULES;
use stead::kb::files::Files;
use stead::kb::problem::Problem;
use stead::kb::{Kb, examine};

use crate::{files_below, root, same_as_file};

#[test]
fn the_shipped_base_has_no_problem() {
    let files = Files::read(&root().join("kb")).unwrap();
    let (_, problems) = examine(std::slice::from_ref(&files));
    assert!(problems.is_empty(), "{}", report(&problems));
}

#[test]
fn the_built_in_base_is_the_folder() {
    let files = Files::read(&root().join("kb")).unwrap();
    assert_eq!(Engine::shipped_files(), files);
    let compiled = Kb::build(std::slice::from_ref(&files)).unwrap();
    let shipped = Engine::shipped().unwrap();
    assert_eq!(shipped.kb().stamp, compiled.stamp);
    assert_eq!(shipped.kb().to_bytes().unwrap(), compiled.to_bytes().unwrap());
}

#[test]
fn every_file_of_the_base_is_one_json_object_that_names_its_schema() {
    for path in files_below(&root().join("kb"), ".json") {
        let text = std::fs::read_to_string(&path).unwrap();
        let value: serde_json::Value =
            serde_json::from_str(&text).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
        assert!(text.ends_with("}\n"), "{}: no line end at the end", path.display());
        if !path.components().any(|c| c.as_os_str() == "schema") {
            let named = value["$schema"].as_str().unwrap_or_else(|| panic!("{}: no $schema", path.display()));
            let schema = path.parent().unwrap().join(named);
            assert!(schema.is_file(), "{}: no {}", path.display(), schema.display());
        }
    }
}

#[test]
fn the_small_base_has_no_problem_and_compiles() {
    let files = Files::read(&root().join("tests/mini")).unwrap();
    let (_, problems) = examine(std::slice::from_ref(&files));
    assert!(problems.is_empty(), "{}", report(&problems));
    assert!(Kb::build(&[files]).unwrap().len() > 4);
}

#[test]
fn each_rule_reports_the_base_that_breaks_it() {
    let mut wrong = Vec::new();
    for rule in RULES {
        let folder = root().join("tests/broken").join(rule.id);
        if !folder.is_dir() {
            wrong.push(format!("no folder tests/broken/{}", rule.id));
            continue;
        }
        let problems = broken(&folder);
        let mine: Vec<_> = problems.iter().filter(|p| p.rule == rule.id).collect();
        if mine.is_empty() {
            wrong.push(format!("{}: not reported", rule.id));
        }
        wrong.extend(
            mine.iter().filter(|p| p.severity != rule.severity).map(|p| format!("{}: as {}", rule.id, p.severity)),
        );
        wrong.extend(same_as_file(folder.join("expected.txt"), &report(&problems)).err());
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn rules_and_broken_bases_have_each_other() {
    let rules: BTreeSet<String> = RULES.iter().map(|r| r.id.to_string()).collect();
    assert_eq!(rules.len(), RULES.len(), "a rule id stands twice");
    let entries = std::fs::read_dir(root().join("tests/broken")).unwrap();
    let folders: BTreeSet<String> = entries.map(|e| e.unwrap().file_name().to_string_lossy().into_owned()).collect();
    assert_eq!(folders, rules);
    assert!(RULES.iter().all(|r| !r.asks.is_empty()));
}

#[test]
fn a_base_with_errors_is_refused_and_one_with_warnings_is_not() {
    for (rule, refused) in [("prime-mover", true), ("set-apart", false)] {
        let layers = layers(&root().join("tests/broken").join(rule));
        assert_eq!(Kb::build(&layers).is_err(), refused, "{rule}");
    }
}

/// The report as a person reads it.
fn report(problems: &[Problem]) -> String {
    problems.iter().map(|p| format!("{p}\n")).collect()
}

fn broken(folder: &Path) -> Vec<Problem> {
    examine(&layers(folder)).1
}

/// The small base in a scratch folder with what differs laid over it, and the overlay if any.
fn layers(folder: &Path) -> Vec<Files> {
    let scratch = tempfile::tempdir().unwrap();
    copy(&root().join("tests/mini"), scratch.path(), scratch.path());
    copy(folder, scratch.path(), &folder.join("overlay"));
    if let Ok(removed) = std::fs::read_to_string(folder.join("removed.txt")) {
        removed.lines().for_each(|line| std::fs::remove_file(scratch.path().join(line)).unwrap());
    }
    let mut layers = vec![Files::read(scratch.path()).unwrap()];
    let overlay = folder.join("overlay");
    if overlay.is_dir() {
        layers.push(Files::read(&overlay).unwrap());
    }
    layers
}

/// Copies every JSON file below `from`, except those below `except`.
fn copy(from: &Path, to: &Path, except: &Path) {
    for path in files_below(from, ".json").into_iter().filter(|p| !p.starts_with(except)) {
        let target = to.join(path.strip_prefix(from).unwrap());
        std::fs::create_dir_all(target.parent().unwrap()).unwrap();
        std::fs::copy(&path, target).unwrap();
    }
}
