//! Checks and compiles the shipped base into one compact file, and lists its texts for overlays.
//!
//! Leans on the library's own `units`, `mechanics` and `kb` modules, compiled here a first time, so
//! that the shipped base and a base given at start go through the same code.

#[allow(dead_code)]
#[path = "src/units.rs"]
mod units;

#[allow(dead_code)]
#[path = "src/mechanics/mod.rs"]
mod mechanics;

#[allow(dead_code)]
#[path = "src/kb/mod.rs"]
mod kb;

use std::fmt::Write as _;
use std::path::Path;

fn main() {
    println!("cargo::rerun-if-changed=kb");
    println!("cargo::rerun-if-changed=src/kb");
    println!("cargo::rerun-if-changed=src/mechanics");
    println!("cargo::rerun-if-changed=src/units.rs");
    if let Err(reason) = build() {
        for line in reason.lines() {
            println!("cargo::error={line}");
        }
    }
}

fn build() -> Result<(), String> {
    let root = std::env::var("CARGO_MANIFEST_DIR").map_err(|e| e.to_string())?;
    let out = std::env::var("OUT_DIR").map_err(|e| e.to_string())?;
    let folder = Path::new(&root).join("kb");
    let files = kb::files::Files::read(&folder).map_err(|e| e.to_string())?;
    let kb = kb::Kb::build(std::slice::from_ref(&files)).map_err(|e| match e {
        kb::KbError::Broken(problems) => problems
            .iter()
            .filter(|p| p.severity == kb::problem::Severity::Error)
            .map(|p| format!("{} {} {}: {} ({})", p.file, p.pointer, p.rule, p.found, p.hint))
            .collect::<Vec<_>>()
            .join("\n"),
        other => other.to_string(),
    })?;
    let (columns, records) = kb.to_bytes().map_err(|e| e.to_string())?;
    std::fs::write(Path::new(&out).join("columns.bin"), columns).map_err(|e| e.to_string())?;
    std::fs::write(Path::new(&out).join("records.bin"), records).map_err(|e| e.to_string())?;
    let mut list = String::from("&[\n");
    for path in files.0.keys() {
        let full = folder.join(path);
        let _ = writeln!(list, "    ({path:?}, include_str!({:?})),", full.display().to_string());
    }
    list.push(']');
    std::fs::write(Path::new(&out).join("files.rs"), list).map_err(|e| e.to_string())
}
