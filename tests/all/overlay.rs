//! A base of one's own, laid over the shipped one: what the README shows works, and usual mistakes are
//! told with the value, the place and the nearest valid choice.
//!
//! Leans on the built program and on the blocks of README.md. Leaves to others: rule by rule on a
//! small base (`tests/all/base.rs`).

use std::path::Path;
use std::process::Command;

use serde_json::Value;
use tempfile::TempDir;

use crate::read;

struct Said {
    code: i32,
    out: String,
    err: String,
}

fn ask(folder: &Path, args: &[&str]) -> Said {
    let mut command = Command::new(env!("CARGO_BIN_EXE_stead"));
    let output = command.args(args).arg("--overlay").arg(folder).output().unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    Said { code: output.status.code().unwrap(), out: text(output.stdout), err: text(output.stderr) }
}

/// The overlay of the README: path in its folder, and text.
fn readme() -> Vec<(String, String)> {
    let text = read("README.md");
    let mut files = Vec::new();
    for (at, _) in text.match_indices("`mine/") {
        let rest = &text[at + "`mine/".len()..];
        let (path, after) = rest.split_once('`').unwrap();
        if let Some((block, _)) = after.strip_prefix(":\n\n```json\n").and_then(|b| b.split_once("\n```")) {
            files.push((path.to_string(), block.to_string()));
        }
    }
    files
}

fn folder(files: &[(String, String)]) -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    for (path, text) in files {
        let path = folder.path().join(path);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, text).unwrap();
    }
    folder
}

#[test]
fn the_overlay_of_the_readme_works_from_end_to_end() {
    let files = readme();
    let paths: Vec<&str> = files.iter().map(|(path, _)| path.as_str()).collect();
    assert_eq!(paths, ["exercises/boathouse.json", "gyms.json"]);
    let lines: usize = files.iter().map(|(_, text)| text.lines().count()).sum();
    assert!(lines <= 16, "{lines} lines are more than a lifter wants to type");
    let mine = folder(&files);

    let check = ask(mine.path(), &["kb", "check"]);
    assert_eq!(check.code, 0, "{}", check.out);
    assert!(check.out.contains(": 0 errors, 0 warnings"), "{}", check.out);

    let swap = ask(mine.path(), &["swap", "bent-over row", "--gym", "jetty", "--top", "10"]);
    assert_eq!(swap.code, 0, "{}", swap.err);
    assert!(swap.out.contains("Oar-loom inverted row") && swap.out.contains("The jetty"), "{}", swap.out);

    for name in ["oar row", "oar-loom-row", "Oar-loom inverted row"] {
        let show = ask(mine.path(), &["show", name]);
        assert_eq!(show.code, 0, "{}", show.err);
        for part in ["Oar-loom inverted row", "Pin the loom in the hooks", "Pull the chest to the wood"] {
            assert!(show.out.contains(part), "{part}: {}", show.out);
        }
    }
    // What the record does not say is as in the one that it is like.
    let export = ask(mine.path(), &["kb", "export"]);
    let whole: Value = serde_json::from_str(&export.out).unwrap();
    let record = |id: &str| whole["exercises"].as_array().unwrap().iter().find(|e| e["id"] == id).unwrap().clone();
    let (own, like) = (record("oar-loom-row"), record("inverted-row-bar"));
    for field in ["muscles", "posture", "reps", "support", "typical_load", "skill"] {
        assert_eq!(own[field], like[field], "{field}");
    }
    assert_eq!(own["joints"]["wrist"]["grip_load"], 2);
    assert_eq!(own["parent"], "inverted-row-bar");
    let gone = ask(tempfile::tempdir().unwrap().path(), &["show", "oar row"]);
    assert_eq!(gone.code, 2);
}

/// A mistake in a record of `exercises/boathouse.json`, or in the gym: what is written in place of
/// what, the rule, and what the report must name.
struct Mistake {
    file: &'static str,
    from: &'static str,
    to: &'static str,
    rule: &'static str,
    /// Pointer, or line and column.
    place: &'static str,
    /// What was found, with the value.
    value: &'static str,
    /// The nearest valid choice, or what to do where there is no such thing.
    way_out: &'static str,
}

const OWN: &str = "exercises/boathouse.json";
const GYM: &str = "gyms.json";

const MISTAKES: &[Mistake] = &[
    Mistake {
        file: OWN,
        from: r#""usual": 4,"#,
        to: r#""muscles": {"latz": 1},"#,
        rule: "ref-muscle",
        place: "/exercises/0/muscles/latz",
        value: "no muscle called \"latz\"",
        way_out: "did you mean \"latissimus-dorsi\"?",
    },
    // An everyday name leads to the id behind it.
    Mistake {
        file: OWN,
        from: r#""usual": 4,"#,
        to: r#""muscles": {"abs": 0.5},"#,
        rule: "ref-muscle",
        place: "/exercises/0/muscles/abs",
        value: "no muscle called \"abs\"",
        way_out: "did you mean \"rectus-abdominis\"?",
    },
    Mistake {
        file: OWN,
        from: r#""exercises": ["#,
        to: r#""exercises": [ { "id": "oar-loom-row", "like": "pull-up", "name": "Loom pull-up" },"#,
        rule: "id-unique",
        place: "/exercises/1",
        value: "id \"oar-loom-row\" a second time; the first is exercises/boathouse.json /exercises/0",
        way_out: "such as \"oar-loom-row-2\"",
    },
    Mistake {
        file: OWN,
        from: r#""oar row""#,
        to: r#""pull-up""#,
        rule: "alias-clash",
        place: "/exercises/0/aliases/0",
        value: "\"pull-up\" also names \"pull-up\", exercises/pull-vertical.json /exercises/",
        way_out: "keep it with one of the two",
    },
    Mistake {
        file: OWN,
        from: r#""grip_load": 2"#,
        to: r#""grip_load": 7"#,
        rule: "bounds",
        place: "/exercises/0/joints/wrist/grip_load",
        value: "joint grade 7 is outside 0 to 4",
        way_out: "the nearest is 4",
    },
    Mistake {
        file: OWN,
        from: r#""grip_load": 2"#,
        to: r#""grip_load": 2.5"#,
        rule: "record-shape",
        place: "/exercises/0/joints/wrist/grip_load",
        value: "2.5",
        way_out: "write a whole number",
    },
    Mistake {
        file: OWN,
        from: r#""grip_load""#,
        to: r#""griping""#,
        rule: "ref-aggravator",
        place: "/exercises/0/joints/wrist/griping",
        value: "no aggravator called \"griping\"",
        way_out: "did you mean \"grip_load\"?",
    },
    Mistake {
        file: OWN,
        from: r#"[["rack"]]"#,
        to: r#"[["rak"]]"#,
        rule: "ref-equipment",
        place: "/exercises/0/equipment/0/0",
        value: "no kit called \"rak\"",
        way_out: "did you mean \"rack\"?",
    },
    Mistake {
        file: OWN,
        from: r#"[["rack"]]"#,
        to: "[]",
        rule: "kit-empty",
        place: "/exercises/0/equipment",
        value: "an empty alternative",
        way_out: "[\"floor\"] where nothing is needed",
    },
    Mistake {
        file: OWN,
        from: "inverted-row-bar",
        to: "inverted-row-barr",
        rule: "like-known",
        place: "/exercises/0/like",
        value: "like \"inverted-row-barr\" names no exercise",
        way_out: "did you mean \"inverted-row-bar\"?",
    },
    Mistake {
        file: OWN,
        from: r#""like": "inverted-row-bar", "#,
        to: "",
        rule: "record-shape",
        place: "/exercises/0",
        value: "no field \"pattern\"",
        way_out: "take it from a relative with \"like\"",
    },
    Mistake {
        file: OWN,
        from: r#""Pull the chest to the wood"]"#,
        to: r#""Pull the chest to the wood"],"#,
        rule: "json-syntax",
        place: "line 5 column",
        value: "trailing comma",
        way_out: "take out the comma",
    },
    Mistake {
        file: OWN,
        from: r#""aliases""#,
        to: r#""alias""#,
        rule: "record-shape",
        place: "/exercises/0/alias",
        value: "unknown field \"alias\"",
        way_out: "did you mean \"aliases\"?",
    },
    Mistake {
        file: OWN,
        from: r#""like""#,
        to: r#""liek""#,
        rule: "record-shape",
        place: "/exercises/0/liek",
        value: "unknown field \"liek\"",
        way_out: "did you mean \"like\"?",
    },
    Mistake {
        file: OWN,
        from: r#""usual": 4,"#,
        to: r#""support": "standng","#,
        rule: "record-shape",
        place: "/exercises/0/support",
        value: "unknown word \"standng\"",
        way_out: "did you mean \"standing\"?",
    },
    Mistake {
        file: GYM,
        from: r#""bands""#,
        to: r#""resistance bandz""#,
        rule: "gym-kit",
        place: "/items/1",
        value: "no kit called \"resistance bandz\"",
        way_out: "did you mean \"bands\"?",
    },
    Mistake {
        file: GYM,
        from: r#""bands""#,
        to: r#""plates", "landmine""#,
        rule: "gym-kit",
        place: "/items/2",
        value: "\"landmine\" without \"barbell\"",
        way_out: "add \"barbell\"",
    },
    Mistake {
        file: GYM,
        from: r#""ceiling_m": 2.6"#,
        to: r#""ceiling_m": 260"#,
        rule: "bounds",
        place: "/ceiling_m",
        value: "ceiling height 260 m is outside 1.8 to 12 m",
        way_out: "the nearest is 12",
    },
];

/// What is wrong with the report on one mistake, if anything.
fn report(m: &Mistake) -> Option<String> {
    let mut files = readme();
    let (_, text) = files.iter_mut().find(|(path, _)| path == m.file).unwrap();
    assert_eq!(text.matches(m.from).count(), 1, "{} stands once in the README's {}", m.from, m.file);
    *text = text.replace(m.from, m.to);
    let said = ask(folder(&files).path(), &["kb", "check"]);
    // Lines are broken for a narrow terminal; the words stand in this order.
    let page = said.out.split_whitespace().collect::<Vec<_>>().join(" ");
    let start = format!("error {} at {} ", m.rule, m.file);
    let mut rest = page.split(&start).skip(1);
    let told = |problem: &str| {
        let whole = problem.split(" error ").next().unwrap_or(problem);
        let place = whole.find(m.place);
        let hint = whole.find(" hint ").unwrap_or(0);
        place.is_some() && whole.contains(m.value) && whole[hint..].contains(m.way_out)
    };
    (said.code != 2 || !rest.any(told)).then(|| format!("{} for {}\n{}", m.to, m.from, said.out))
}

#[test]
fn usual_mistakes_are_told_with_value_place_and_way_out() {
    // Two at a time: each is a run of the whole program.
    let (even, odd): (Vec<_>, Vec<_>) = MISTAKES.iter().enumerate().partition(|(i, _)| i % 2 == 0);
    let reports = |list: Vec<(usize, &Mistake)>| list.into_iter().filter_map(|(_, m)| report(m)).collect::<Vec<_>>();
    let wrong = std::thread::scope(|scope| {
        let other = scope.spawn(|| reports(odd));
        let mut wrong = reports(even);
        wrong.extend(other.join().unwrap());
        wrong
    });
    assert!(wrong.is_empty(), "{}", wrong.join("\n\n"));
    assert!(MISTAKES.len() >= 8);
}

#[test]
fn no_question_is_answered_from_a_broken_overlay() {
    let mut files = readme();
    files[0].1 = files[0].1.replace("inverted-row-bar", "inverted-row-barr");
    let said = ask(folder(&files).path(), &["swap", "bent-over row"]);
    let told = said.err.split_whitespace().collect::<Vec<_>>().join(" ");
    assert_eq!((said.code, said.out.as_str()), (2, ""));
    for part in [
        "the base has 1 error; the first: exercises/boathouse.json /exercises/0/like (like-known)",
        "like \"inverted-row-barr\" names no exercise; did you mean \"inverted-row-bar\"?",
        "`stead kb check` lists them all",
    ] {
        assert!(told.contains(part), "{part}: {told}");
    }
}

#[test]
fn an_id_in_two_files_of_one_overlay_is_told() {
    let mut files = readme();
    let again =
        r#"{"family": "jetty", "exercises": [{"id": "oar-loom-row", "like": "pull-up", "name": "Loom pull-up"}]}"#;
    files.push(("exercises/jetty.json".to_string(), again.to_string()));
    let said = ask(folder(&files).path(), &["kb", "check"]);
    assert_eq!(said.code, 2);
    assert!(said.out.contains("id-unique") && said.out.contains("exercises/jetty.json /exercises/0"), "{}", said.out);
}
