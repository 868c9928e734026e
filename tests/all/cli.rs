//! The command line from outside: exit codes, what is printed where, and how wide.
//!
//! Leans on the binary as a person would run it. Leaves to others: whether answers are good.

use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

fn stead(args: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_stead"));
    command.args(args).stdin(Stdio::null()).env_remove("NO_COLOR").env_remove("CLICOLOR_FORCE");
    command
}

fn ask(args: &[&str]) -> Output {
    stead(args).output().unwrap()
}

fn code(output: &Output) -> i32 {
    output.status.code().unwrap()
}

fn out(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

fn err(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

/// A folder of its own for a test, empty.
fn scratch(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("cli").join(name);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).unwrap();
    folder
}

fn write(folder: &Path, name: &str, text: &str) -> String {
    let path = folder.join(name);
    std::fs::create_dir_all(path.parent().unwrap()).unwrap();
    std::fs::write(&path, text).unwrap();
    path.display().to_string()
}

/// Questions with an answer.
const ANSWERED: &[&[&str]] = &[
    &["swap", "back", "squat"],
    &["swap", "back squat", "--sore", "low-back", "--gym", "boathouse"],
    &["swap", "bench press", "--sore", "shoulder=6", "--have", "dumbbells"],
    &["swap", "overhead press", "--sore", "low-back:extension=mild", "--gym", "loft", "--why"],
    &["swap", "deadlift", "--max-spine", "low", "--gym", "slipway", "--top", "10", "--aim", "strength"],
    &[
        "swap",
        "deadlift",
        "--sore",
        "low-back=severe",
        "--sore",
        "hamstring:lengthened_load=2",
        "--gym",
        "town",
        "--why",
    ],
    &[
        "swap",
        "pull-up",
        "--sore",
        "elbow:medial_tendon",
        "--gym",
        "town",
        "--skip",
        "lat pulldown",
        "--max-skill",
        "2",
    ],
    &["swap", "deadlift", "--sign", "fever", "--sign", "weeks"],
    &["swap", "pull-up", "--gym", "boathouse", "--sore", "elbow=2", "--improvise", "--top", "10"],
    &["swap", "curl", "--have", "chair", "--sore", "wrist=6"],
    &["find", "single", "leg", "hinge", "dumbell"],
    &["carryover", "back squat", "front squat"],
    &["carryover", "bench", "press", "to", "incline", "bench", "press"],
    &["carryover", "front squat pause", "leg extension"],
    &["carryover", "--help"],
    &["load", "back squat", "safety bar squat", "--did", "100kgx5", "--rir", "2", "--for", "8", "--gym", "town"],
    &["load", "bench", "press", "to", "incline", "bench", "press", "--did", "185lbx3", "--unit", "lb"],
    &["load", "pull-up", "lat pulldown", "--did", "bwx11", "--sex", "f", "--body-mass", "62kg"],
    &["load", "deadlift", "--did", "300kgx5", "--familiar", "off", "--weeks-off", "5", "--pain", "3"],
    &["load", "deadlift", "--build", "82.5kg", "--gym", "boathouse"],
    &["load", "--help"],
    &["ladder", "deadlift", "--sore", "low-back=4", "--gym", "boathouse", "--did", "140kgx5"],
    &["ladder", "pull-up", "--sore", "elbow:medial_tendon", "--gym", "town", "--did", "bwx6", "--sign", "weeks"],
    &["ladder", "back", "squat", "--sore", "knee=7"],
    &["ladder", "--help"],
    &["vary", "back", "squat", "--weeks", "18", "--gym", "town", "--did", "225lbx5"],
    &[
        "vary",
        "dumbbell curl",
        "--every",
        "2",
        "--weeks",
        "7",
        "--gym",
        "loft",
        "--sore",
        "wrist=2",
        "--skip",
        "drag curl",
    ],
    &["vary", "examples/weeks/cox.csv", "--gym", "boathouse", "--sore", "knee=2", "--skip", "box squat"],
    &["vary", "examples/weeks/winch-operator.csv", "--gym", "loft", "--weeks", "3", "--every", "1", "--top", "2"],
    &["vary", "--help"],
    &["kit", "--gym", "boathouse", "--budget", "600", "--floor", "2.5m2", "--height", "172cm"],
    &["kit", "--gym", "loft", "--budget", "150", "--sore", "knee:deep_flexion=4", "--top", "20"],
    &["kit", "--have", "barbell,plates,bench", "--budget", "200", "--price", "bands=9.5", "--skip", "rings"],
    &["kit", "--gym", "town", "--budget", "100", "--sign", "weeks"],
    &["kit", "--help"],
    &["swap", "back squat", "--did", "100kgx5", "--rir", "2", "--gym", "town", "--sore", "low-back=4", "--top", "9"],
    &["find", "rdl", "--top", "3"],
    &["show", "romanian deadlift"],
    &["show", "safety-bar Bulgarian split squat, hands on rack"],
    &["list"],
    &["list", "--pattern", "hinge", "--gym", "loft", "--max-spine", "low", "--kind-to", "knee"],
    &["list", "--muscle", "quads", "--role", "main", "--have", "barbell,plates,rack"],
    &["terms"],
    &["terms", "regions"],
    &["kb", "stats"],
    &["kb", "schema"],
    &["kb", "check"],
    &["kb", "score", "--questions"],
    &["--help"],
    &["swap", "--help"],
    &["list", "--help"],
    &["kb", "check", "--help"],
    &["kb", "export", "--help"],
    &["--version"],
];

/// Sound questions without an answer.
const UNANSWERED: &[&[&str]] = &[
    &["swap", "deadlift", "--sign", "chest-pain"],
    &["swap", "--sign", "saddle-numbness", "--sign", "fever"],
    &["carryover", "bench press", "push-up"],
    &["carryover", "bench press", "back squat"],
    &["load", "bench press", "push-up", "--did", "60kgx5"],
    &["load", "back squat", "--did", "20kgx20"],
    &["load", "back squat", "--build", "83kg", "--gym", "boathouse"],
    &["load", "back squat", "--did", "20kgx5", "--for", "12", "--gym", "boathouse"],
    &["load", "--sign", "chest-pain"],
    &["ladder", "back squat", "--sore", "knee", "--gym", "loft"],
    &["ladder", "--sign", "chest-pain"],
    &["vary", "--sign", "chest-pain"],
    &["kit", "--sign", "chest-pain"],
    &["find", "zzzzqq"],
    &["list", "--have", "partner", "--pattern", "chest-fly", "--max-spine", "none", "--role", "power"],
];

/// Errors, with a word that the message names.
const ERRORS: &[(&[&str], &str)] = &[
    (&[], "Usage"),
    (&["swap"], "EXERCISE"),
    (&["dance"], "dance"),
    (&["swap", "qqqzzz"], "\"qqqzzz\""),
    (&["show", "deadlift", "machine", "qqqzzz"], "\"deadlift machine qqqzzz\""),
    (&["swap", "deadlift", "--sore", "lowback"], "low-back"),
    (&["swap", "deadlift", "--sore", "low-back:flexon"], "flexion"),
    (&["swap", "deadlift", "--sore", "low-back=bad"], "\"bad\""),
    (&["swap", "deadlift", "--sore", "=3"], "--sore \"=3\""),
    (&["swap", "deadlift", "--gym", "lofft"], "loft"),
    (&["swap", "deadlift", "--gym", "no/such/gym.json"], "no/such/gym.json"),
    (&["swap", "deadlift", "--have", "dumbels"], "dumbbells"),
    (&["swap", "deadlift", "--aim", "big"], "strength"),
    (&["swap", "deadlift", "--top", "99"], "1 to 50"),
    (&["swap", "deadlift", "--max-skill", "9"], "1 to 5"),
    (&["swap", "deadlift", "--sign", "chestpain"], "chest-pain"),
    (&["carryover", "deadlift"], "not two lifts"),
    (&["carryover", "deadlift", "qqqzzz"], "\"qqqzzz\""),
    (&["load", "deadlift"], "neither a set"),
    (&["ladder", "deadlift"], "--sore"),
    (&["ladder", "deadlift", "--sore", "knees-up"], "knee"),
    (&["kit", "--gym", "boathouse"], "--budget"),
    (&["kit", "--budget", "100"], "gym"),
    (&["kit", "--gym", "boathouse", "--budget", "100", "--floor", "2 acres"], "2.5m2"),
    (&["kit", "--gym", "boathouse", "--budget", "100", "--price", "bands"], "THING=N"),
    (&["kit", "--gym", "boathouse", "--budget", "100", "--skip", "bnds"], "bands"),
    (&["vary", "deadlift", "--weeks", "99"], "1 to 52"),
    (&["vary", "deadlift", "--every", "0"], "1 to 16"),
    (&["vary", "no-such-week.csv"], "no-such-week.csv"),
    (&["vary", "deadlift", "--to", "plan.csv"], "--to plan.csv"),
    (&["vary", "examples/weeks/cox.csv", "--did", "100kgx5"], "rows of the week"),
    (&["week", "audit", "examples/weeks/cox.csv", "--week", "2"], "week 2"),
    (&["load", "deadlift", "--did", "100kg"], "LOADxREPS"),
    (&["load", "deadlift", "--did", "1000kgx5"], "0 to 600"),
    (&["load", "deadlift", "--did", "100kgx5", "--pain", "11"], "0 to 10"),
    (&["load", "deadlift", "--did", "100kgx5", "--familiar", "off"], "weeks"),
    (&["load", "deadlift", "--rir", "2", "--build", "100kg"], "--did"),
    (&["swap", "deadlift", "--did", "x5"], "LOADxREPS"),
    (&["find", " "], "empty"),
    (&["list", "--pattern", "hinges-of-doom"], "hinge"),
    (&["terms", "musles"], "muscles"),
    (&["kb", "schema", "swap-requst"], "swap-request.json"),
    (&["kb", "export", "--as", "grahpml"], "graphml"),
    (&["kb", "export", "--as", "csv", "--json"], "--as csv"),
    (&["kb", "export", "--replace"], "--to"),
    (&["kb", "export", "--to", "no-such-folder/base.json"], "no-such-folder/base.json"),
    (&["kb", "check", "no-such-folder"], "no-such-folder"),
    (&["--kb", "no-such-folder", "swap", "deadlift"], "no-such-folder"),
];

#[test]
fn zero_is_an_answer_on_standard_output() {
    for args in ANSWERED {
        let output = ask(args);
        assert_eq!(code(&output), 0, "{args:?}: {}", err(&output));
        assert!(!output.stdout.is_empty() && output.stderr.is_empty(), "{args:?}");
    }
}

#[test]
fn one_is_a_sound_question_without_an_answer() {
    for args in UNANSWERED {
        let output = ask(args);
        assert_eq!(code(&output), 1, "{args:?}: {}", err(&output));
        assert!(output.stderr.is_empty(), "{args:?}: {}", err(&output));
    }
}

#[test]
fn two_is_an_error_on_standard_error_that_names_the_value_or_the_choices() {
    for (args, named) in ERRORS {
        let output = ask(args);
        assert_eq!(code(&output), 2, "{args:?}");
        assert!(output.stdout.is_empty(), "{args:?}");
        let said = err(&output);
        assert!(said.contains(named), "{args:?}: {said}");
        assert!(args.is_empty() || said.starts_with("error: "), "{args:?}: {said}");
        assert!(said.lines().filter(|l| l.starts_with("hint: ")).count() <= 1, "{args:?}: {said}");
    }
}

#[test]
fn the_exit_codes_stand_in_the_help() {
    let help = out(&ask(&["--help"]));
    assert!(help.contains("Exit codes:"));
    for line in ["  0  an answer", "  1  a sound question without an answer", "  2  an error"] {
        assert!(help.contains(line), "{line}");
    }
}

#[test]
fn no_line_is_wider_than_a_phone_and_nothing_is_coloured_into_a_pipe() {
    let errors = ERRORS.iter().map(|(args, _)| *args);
    for args in ANSWERED.iter().chain(UNANSWERED).copied().chain(errors) {
        let output = ask(args);
        let both = out(&output) + &err(&output);
        for line in both.lines() {
            assert!(line.chars().count() <= 60, "{args:?}: {line}");
            assert!(!line.contains('\u{1b}'), "{args:?}: {line:?}");
            assert_eq!(line, line.trim_end(), "{args:?}");
        }
    }
}

#[test]
fn a_swap_tells_what_a_lifter_looks_for() {
    let said = out(&ask(&["swap", "back squat", "--sore", "low-back", "--gym", "boathouse"]));
    assert!(said.starts_with("Instead of "), "{said}");
    for part in
        ["sore: low back, moderate; loaded ", "keeps ", "low back ", "sets of ", "Refused ", "! General training"]
    {
        assert!(said.contains(part), "{part}: {said}");
    }
    let shown = |said: &str| said.lines().filter(|l| l.starts_with(" 1 ") || l.starts_with(" 5 ")).count();
    assert_eq!(shown(&said), 2, "{said}");
    // Seven lines and a gap each at most, cautions included.
    let block: Vec<&str> =
        said.lines().skip_while(|l| !l.starts_with(" 1 ")).take_while(|l| !l.starts_with(" 5 ")).collect();
    assert!(block.len() <= 4 * 8, "{said}");
}

#[test]
fn every_caution_of_a_reply_is_in_the_text() {
    for args in [
        &["swap", "back squat", "--gym", "town", "--top", "10"][..],
        &["swap", "pull-up", "--gym", "boathouse", "--sore", "low-back"],
    ] {
        let json: serde_json::Value = serde_json::from_slice(&ask(&[args, &["--json"]].concat()).stdout).unwrap();
        let flat = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
        let said = flat(&out(&ask(args)));
        let of = |list: &str| json[list].as_array().unwrap().clone().into_iter();
        let own = of("substitutes").chain(of("also_helps")).chain(of("improvised"));
        let own: Vec<_> = own.flat_map(|s| s["cautions"].as_array().unwrap().clone()).collect();
        for caution in own.iter().chain(json["cautions"].as_array().unwrap()) {
            // Further lines of a caution stand indented, the words are the same.
            assert!(said.contains(&flat(caution.as_str().unwrap())), "{caution}");
        }
    }
}

#[test]
fn a_makeshift_set_up_is_told_with_its_caution_and_counts_only_when_asked() {
    let flat = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    let args = ["swap", "overhead press", "--sore", "shoulder=4", "--gym", "boathouse"];
    let json = |args: &[&str]| -> serde_json::Value {
        serde_json::from_slice(&ask(&[args, &["--json", "--top", "50"]].concat()).stdout).unwrap()
    };
    let plain = json(&args);
    assert!(plain["substitutes"].as_array().unwrap().iter().all(|s| s.get("stand_in").is_none()));
    let five = serde_json::from_slice::<serde_json::Value>(&ask(&[&args[..], &["--json"]].concat()).stdout).unwrap();
    let offered = &five["improvised"][0];
    let said = flat(&out(&ask(&args)));
    assert!(said.contains("With a makeshift set-up you could also:"), "{said}");
    for part in [&offered["name"], &offered["stand_in"]["how"], &offered["stand_in"]["caution"]] {
        assert!(said.contains(part.as_str().unwrap()), "{part}: {said}");
    }
    let counted = json(&[&args[..], &["--improvise"]].concat());
    let made = counted["substitutes"].as_array().unwrap().iter().find(|s| s["id"] == offered["id"]);
    let stand_in = &made.expect("counted as kit")["stand_in"];
    assert_eq!(*stand_in, offered["stand_in"]);
    assert_eq!(counted["improvised"], serde_json::json!([]));
    let said = flat(&out(&ask(&[&args[..], &["--improvise", "--top", "50"]].concat())));
    assert!(said.contains(stand_in["caution"].as_str().unwrap()), "{said}");
}

#[test]
fn light_work_is_told_beside_the_swap_for_a_sore_region_alone() {
    let args = ["swap", "back squat", "--sore", "low-back=7", "--gym", "boathouse"];
    let said = out(&ask(&args));
    for part in [
        "Also helps, beside the swap and not in its place:",
        "  Dead hang · sets of 15 to 60 seconds\n    low back: hanging rest without load\n",
        "    low back: position of ease without load\n",
        "note: severe soreness of the low back: ask a clinician",
    ] {
        assert!(said.contains(part), "{part}: {said}");
    }
    assert!(!out(&ask(&["swap", "back squat", "--gym", "boathouse"])).contains("Also helps"));
    assert!(out(&ask(&["show", "cat-cow"])).contains("  helps a sore: low back, upper back\n"));
}

#[test]
fn the_points_of_a_tree_are_told_when_asked_why() {
    let said = out(&ask(&["swap", "deadlift", "--why", "--top", "1"]));
    for part in ["score: weighted mean", "muscles: keeps", "pattern: ", "freshness: "] {
        assert!(said.contains(part), "{part}: {said}");
    }
    assert!(!out(&ask(&["swap", "deadlift", "--top", "1"])).contains("weighted mean"));
}

#[test]
fn options_of_every_command_are_never_dropped_unsaid() {
    let folder = scratch("sides");
    write(&folder, "a/gyms.json", r#"{"gyms": [{"id": "jetty", "name": "The jetty", "items": ["bands"]}]}"#);
    write(&folder, "b/gyms.json", r#"{"gyms": [{"id": "slip", "name": "The slip", "items": ["bands"]}]}"#);
    let [a, b] = ["a", "b"].map(|name| folder.join(name).display().to_string());
    let output = ask(&["terms", "gyms", "--overlay", &a, &format!("--overlay={b}")]);
    assert!(out(&output).contains("jetty") && out(&output).contains("slip:"), "{}", err(&output));
    let output = ask(&["--overlay", &a, "terms", "gyms", "--overlay", &b]);
    assert_eq!(code(&output), 2);
    assert!(err(&output).contains("--overlay stands before and behind"), "{}", err(&output));
}

#[test]
fn an_emergency_is_answered_with_the_action_alone() {
    for args in [
        &["swap", "deadlift", "--sign", "chest-pain"][..],
        &["swap", "no such lift", "--sign", "chest-pain", "--sign", "fever"],
    ] {
        let said = out(&ask(args));
        assert!(said.starts_with("Stop."), "{said}");
        assert_eq!(said.lines().count(), 2, "{said}");
    }
}

#[test]
fn signs_that_can_wait_stand_before_the_substitutes() {
    let said = out(&ask(&["swap", "deadlift", "--sign", "fever"]));
    assert!(said.find("doctor today").unwrap() < said.find("Instead of").unwrap(), "{said}");
}

#[test]
fn json_is_the_reply_on_one_line() {
    for args in [
        &["swap", "deadlift"][..],
        &["find", "rdl"],
        &["show", "deadlift"],
        &["list"],
        &["terms"],
        &["kb", "check"],
        &["kb", "stats"],
        &["kb", "export"],
        &["kb", "reference"],
    ] {
        let said = out(&ask(&[args, &["--json"]].concat()));
        assert_eq!(said.lines().count(), 1, "{args:?}");
        let _: serde_json::Value = serde_json::from_str(&said).unwrap();
    }
}

#[test]
fn a_gym_may_be_a_file() {
    let folder = scratch("gym");
    let shed = r#"{"id": "shed", "name": "Winch shed", "items": ["dumbbells", "flat-bench"], "stock": {"dumbbell_max_kg": 20}}"#;
    let good = write(&folder, "shed.json", shed);
    let output = ask(&["swap", "bench press", "--gym", &good]);
    assert_eq!(code(&output), 0, "{}", err(&output));
    assert!(out(&output).contains("Winch shed"));
    let output = ask(&["list", "--gym", &good]);
    assert_eq!(code(&output), 0, "{}", err(&output));

    let bad = write(&folder, "bad.json", &shed.replace("20", "\"heavy\""));
    let said = err(&ask(&["swap", "bench press", "--gym", &bad])).replace('\n', "");
    assert!(said.contains("bad.json") && said.contains("stock.dumbbell_max_kg"), "{said}");
    let bad = write(&folder, "kit.json", &shed.replace("flat-bench", "flatt-bench"));
    let said = err(&ask(&["list", "--gym", &bad])).replace('\n', "");
    assert!(said.contains("kit.json") && said.contains("items[1]") && said.contains("flat-bench"), "{said}");
}

#[test]
fn an_overlay_changes_and_hides_and_a_broken_one_is_told_whole() {
    let folder = scratch("overlay");
    let gyms = r#"{"gyms": [{"id": "jetty", "name": "The jetty", "items": ["bands"]}]}"#;
    write(&folder, "good/gyms.json", gyms);
    let good = folder.join("good").display().to_string();
    let output = ask(&["swap", "row", "--gym", "jetty", "--overlay", &good]);
    assert_eq!(code(&output), 0, "{}", err(&output));
    assert_eq!(code(&ask(&["kb", "check", "--overlay", &good])), 0);
    assert_eq!(code(&ask(&["swap", "row", "--gym", "jetty"])), 2);

    write(&folder, "bad/gyms.json", &gyms.replace("bands", "bandz"));
    write(&folder, "bad/sources.json", "{");
    let bad = folder.join("bad").display().to_string();
    let output = ask(&["kb", "check", "--overlay", &bad]);
    assert_eq!(code(&output), 2);
    let said = out(&output);
    for part in ["gyms.json /gyms/", "bandz", "json-syntax", "hint", "2 errors"] {
        assert!(said.contains(part), "{part}: {said}");
    }
    let output = ask(&["swap", "row", "--overlay", &bad]);
    assert_eq!(code(&output), 2);
    assert!(err(&output).contains("2 errors"), "{}", err(&output));
}

#[test]
fn a_base_on_disk_is_asked_like_the_shipped_one() {
    let kb = crate::root().join("kb").display().to_string();
    assert_eq!(code(&ask(&["kb", "check", &kb])), 0);
    let shipped = ask(&["swap", "deadlift", "--sore", "knee"]);
    assert_eq!(shipped.stdout, ask(&["--kb", &kb, "swap", "deadlift", "--sore", "knee"]).stdout);
    assert_eq!(code(&ask(&["--kb", &kb, "kb", "check", &kb])), 2);
}

#[test]
fn a_schema_is_printed_as_it_is_kept() {
    for name in ["gyms.json", "swap-reply"] {
        let kept = crate::read(format!("kb/schema/{}.json", name.trim_end_matches(".json")));
        assert_eq!(out(&ask(&["kb", "schema", name])), kept);
    }
}

#[test]
fn an_export_goes_where_it_is_told_and_over_nothing() {
    let folder = scratch("export");
    for form in ["json", "csv", "dot", "graphml", "jsonld"] {
        let printed = ask(&["kb", "export", "--as", form]);
        assert_eq!(code(&printed), 0, "{form}: {}", err(&printed));
        let path = folder.join(format!("base.{form}"));
        let to = path.display().to_string();
        let output = ask(&["kb", "export", "--as", form, "--to", &to]);
        assert_eq!(code(&output), 0, "{form}: {}", err(&output));
        // Where the path is long the line is broken before it.
        assert!(out(&output).starts_with("Written to"), "{}", out(&output));
        assert!(out(&output).contains(&to), "{}", out(&output));
        assert_eq!(std::fs::read(&path).unwrap(), printed.stdout, "{form}");
        // Whatever is there stays, unless told otherwise.
        std::fs::write(&path, "the cox's own").unwrap();
        let output = ask(&["kb", "export", "--as", form, "--to", &to]);
        assert_eq!(code(&output), 2);
        assert!(err(&output).replace('\n', " ").contains("--replace"), "{}", err(&output));
        assert_eq!(std::fs::read_to_string(&path).unwrap(), "the cox's own");
        assert_eq!(code(&ask(&["kb", "export", "--as", form, "--to", &to, "--replace"])), 0);
        assert_eq!(std::fs::read(&path).unwrap(), printed.stdout, "{form}");
    }
    assert_eq!(std::fs::read_dir(&folder).unwrap().count(), 5);
}

#[test]
fn the_reference_is_printed_as_it_is_kept() {
    assert_eq!(out(&ask(&["kb", "reference"])), crate::read("kb/REFERENCE.md"));
}

#[test]
fn measures_stand_on_lines_of_their_own() {
    let said = out(&ask(&["kb", "score"]));
    for name in ["ndcg@5 ", "success@1 ", "violations "] {
        let line = said.lines().find_map(|l| l.strip_prefix(name)).unwrap_or_else(|| panic!("{name}: {said}"));
        assert!(line.parse::<f64>().is_ok(), "{line}");
    }
    let stats = out(&ask(&["kb", "stats"]));
    let count = stats.lines().find_map(|l| l.strip_prefix("exercises ")).unwrap();
    assert!(count.parse::<usize>().unwrap() >= 200);
}

#[test]
fn completions_and_manual_come_from_the_same_arguments() {
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let script = out(&ask(&["completions", shell]));
        for word in ["swap", "max-spine", "completions"] {
            assert!(script.contains(word), "{shell} {word}");
        }
        // These two shells are told the words that an option takes.
        assert!(script.contains("very-high") || !matches!(shell, "bash" | "zsh"), "{shell}");
    }
    let manual = out(&ask(&["man"]));
    for part in [".TH stead", "STEAD SWAP", "STEAD KB CHECK", "max", "Exit codes"] {
        assert!(manual.contains(part), "{part}");
    }
}

#[test]
fn a_reader_that_stops_reading_is_no_error() {
    let mut child = stead(&["list"]).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    drop(child.stdout.take());
    let output = child.wait_with_output().unwrap();
    assert_eq!(code(&output), 0, "{}", err(&output));
    assert!(output.stderr.is_empty(), "{}", err(&output));
}

#[test]
fn arguments_that_are_no_text_are_an_error() {
    #[cfg(unix)]
    {
        use std::os::unix::ffi::OsStrExt as _;
        let output = stead(&["swap"]).arg(std::ffi::OsStr::from_bytes(b"dead\xfflift")).output().unwrap();
        assert_eq!(code(&output), 2);
    }
}

#[test]
fn the_worked_example_of_the_readme_is_what_the_program_says() {
    let readme = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/README.md")).unwrap();
    let (_, block) =
        readme.split_once("$ stead swap \"Romanian deadlift\" --sore low-back=4 --gym boathouse --top 3\n").unwrap();
    let (shown, _) = block.split_once("\n```").unwrap();
    let said = out(&ask(&["swap", "Romanian deadlift", "--sore", "low-back=4", "--gym", "boathouse", "--top", "3"]));
    assert_eq!(said.trim_end(), shown);
}

#[test]
fn the_first_load_of_the_readme_is_what_the_program_says() {
    let readme = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/README.md")).unwrap();
    let typed = "$ stead load \"back squat\" \"front squat\" --did 100kgx5 --rir 2 --gym boathouse\n";
    let (shown, _) = readme.split_once(typed).unwrap().1.split_once("\n```").unwrap();
    let said =
        out(&ask(&["load", "back squat", "front squat", "--did", "100kgx5", "--rir", "2", "--gym", "boathouse"]));
    // The cautions are the same in every reply and stand above.
    assert!(said.starts_with(shown), "{said}");
}
