//! The import direction and the owners of outside crates, proved from the code.
//!
//! Leans on the table under `## Layers` in DEVELOPERS.md and on the `crate::` mentions and crate
//! names in the code (comments and texts left out). Leaves to others: whether the layers are the
//! right ones.

use std::collections::{BTreeMap, BTreeSet};

use crate::{files_below, read, root};

/// A row of the table.
struct Layer {
    row: u32,
    crates: BTreeSet<String>,
}

fn table() -> BTreeMap<String, Layer> {
    let text = read("DEVELOPERS.md");
    let section = text.split("## Layers").nth(1).expect("DEVELOPERS.md has a section ## Layers");
    let section = section.split("\n## ").next().unwrap_or_default();
    let mut layers = BTreeMap::new();
    for line in section.lines().filter(|l| l.starts_with('|')) {
        let cells: Vec<&str> = line.trim_matches('|').split('|').map(str::trim).collect();
        let [row, module, _, crates] = cells.as_slice() else { panic!("not four cells: {line}") };
        let Ok(row) = row.parse() else { continue };
        let crates =
            crates.split(',').map(|c| c.trim().trim_matches('`').to_string()).filter(|c| !c.is_empty()).collect();
        let before = layers.insert(module.trim_matches('`').to_string(), Layer { row, crates });
        assert!(before.is_none(), "{module} stands twice");
    }
    assert!(layers.len() >= 8, "the table has {} rows", layers.len());
    layers
}

/// The code without comments, and without what stands between quotation marks.
fn code(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for line in text.lines() {
        let mut quoted = false;
        let mut before = ' ';
        let mut chars = line.chars().peekable();
        while let Some(c) = chars.next() {
            if c == '/' && !quoted && chars.peek() == Some(&'/') {
                break;
            }
            if c == '"' && before != '\\' && before != '\'' {
                quoted = !quoted;
            } else if !quoted {
                out.push(c);
            }
            before = if before == '\\' && c == '\\' { ' ' } else { c };
        }
        out.push('\n');
    }
    out
}

/// The first words of the paths that follow `start`, braces opened: `crate::{a::b, c}` has a, c.
fn first_words(code: &str, start: &str) -> Vec<String> {
    let word = |s: &str| s.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect::<String>();
    let mut found = Vec::new();
    for (at, _) in code.match_indices(start) {
        let joined = code[..at].chars().next_back().is_some_and(|c| c.is_alphanumeric() || c == '_' || c == '$');
        let rest = &code[at + start.len()..];
        if joined {
            continue;
        }
        if let Some(group) = rest.strip_prefix('{') {
            let mut depth = 0;
            let mut item = String::new();
            for c in group.chars() {
                match c {
                    '{' => depth += 1,
                    '}' if depth == 0 => break,
                    '}' => depth -= 1,
                    ',' if depth == 0 => found.push(word(std::mem::take(&mut item).trim())),
                    c => item.push(c),
                }
            }
            found.push(word(item.trim()));
        } else {
            found.push(word(rest));
        }
    }
    found.retain(|w| !w.is_empty());
    found
}

/// Names of the dependencies in Cargo.toml as code writes them.
fn dependencies() -> Vec<String> {
    let text = read("Cargo.toml");
    let section = text.split("\n[dependencies]\n").nth(1).and_then(|s| s.split("\n[").next()).unwrap();
    let lines = section.lines().filter(|l| !l.starts_with('#'));
    lines.filter_map(|l| l.split_once('=')).map(|(name, _)| name.trim().replace('-', "_")).collect()
}

fn uses_crate(code: &str, name: &str) -> bool {
    code.match_indices(name).any(|(at, _)| {
        let before = code[..at].chars().next_back().unwrap_or(' ');
        let after = &code[at + name.len()..];
        let a_word = !(before.is_alphanumeric() || before == '_' || before == ':' || before == '.');
        a_word && (after.starts_with("::") || (code[..at].ends_with("use ") && after.starts_with([';', ' '])))
    })
}

/// Each file of the library and binary with its module and code.
fn modules() -> Vec<(String, String, String)> {
    files_below(&root().join("src"), ".rs")
        .into_iter()
        .map(|path| {
            let shown = path.strip_prefix(root()).unwrap().display().to_string();
            let inside = shown.trim_start_matches("src/").trim_end_matches(".rs").to_string();
            let module = inside.split('/').next().unwrap_or_default().to_string();
            (shown, module, code(&std::fs::read_to_string(&path).unwrap()))
        })
        .collect()
}

#[test]
fn imports_go_downwards() {
    let table = table();
    let mut wrong = Vec::new();
    for (file, module, code) in modules() {
        if module == "lib" {
            continue;
        }
        let Some(mine) = table.get(&module) else {
            wrong.push(format!("{file}: module {module} has no row"));
            continue;
        };
        let start = if module == "main" { "stead::" } else { "crate::" };
        for other in first_words(&code, start).into_iter().filter(|o| *o != module) {
            match table.get(&other) {
                Some(layer) if layer.row < mine.row => {}
                Some(_) => wrong.push(format!("{file}: {module} imports {other}, which is not below it")),
                // Macros are named without their module; everything else goes by a path.
                None => wrong.push(format!("{file}: crate::{other} is no module of the table")),
            }
        }
        if code.contains("super::super::") {
            wrong.push(format!("{file}: write crate:: instead of super::super::"));
        }
    }
    wrong.sort();
    wrong.dedup();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn outside_crates_stay_with_their_owners() {
    let table = table();
    let dependencies = dependencies();
    assert!(dependencies.len() > 5, "{dependencies:?}");
    let mut wrong = Vec::new();
    for (file, module, code) in modules() {
        let Some(mine) = table.get(&module) else { continue };
        for name in dependencies.iter().filter(|d| uses_crate(&code, d) && !mine.crates.contains(*d)) {
            wrong.push(format!("{file}: {module} uses {name}, which its row does not list"));
        }
    }
    for name in table.values().flat_map(|l| &l.crates).filter(|c| !dependencies.contains(c)) {
        wrong.push(format!("the table lists {name}, which is no dependency"));
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn a_module_of_the_library_has_a_row() {
    let table = table();
    let library = code(&read("src/lib.rs"));
    let modules = library.lines().filter_map(|l| l.trim().strip_prefix("pub mod ").or(l.trim().strip_prefix("mod ")));
    let missing: Vec<_> = modules.map(|m| m.trim_end_matches(';')).filter(|m| !table.contains_key(*m)).collect();
    assert!(missing.is_empty(), "{missing:?}");
}

#[test]
fn an_upward_import_would_be_seen() {
    let text =
        "use crate::{ask::swap, units};\nlet x = crate::rank::rank(); // crate::http\nlet s = \"crate::cli::x\";\n";
    assert_eq!(first_words(&code(text), "crate::"), ["ask", "units", "rank"]);
    assert!(uses_crate("#[derive(serde::Serialize)]", "serde") && uses_crate("use tantivy::Index;", "tantivy"));
    assert!(!uses_crate("use serde_json::json;", "serde") && !uses_crate("my::clap::x", "clap"));
}
