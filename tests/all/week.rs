//! A week of training: read and written, audited, and the laws of the audit.
//!
//! Leans on the practice handbook's four programmes (`tests/fixtures/weeks`) with their tables of
//! counts, and on proptest. Leaves to others: the body model behind the dose (`model`).

use std::sync::LazyLock;

use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use stead::ask::week::cells::{CellProblem, Column};
use stead::ask::week::{self, Form, Given, Read, RowAsk};
use stead::ask::{Engine, Error};
use stead::kb::Kb;
use stead::kb::raw::{Counted, MassUnit};
use stead::units::Kg;
use stead::week::{Day, Row, Week, Work, WorkUnit};

use crate::{read, root};

static ENGINE: LazyLock<Engine> = LazyLock::new(|| Engine::shipped().unwrap());

fn kb() -> &'static Kb {
    ENGINE.kb()
}

fn config(cases: u32) -> ProptestConfig {
    let cases = std::env::var("PROPTEST_CASES").ok().and_then(|v| v.parse().ok()).unwrap_or(cases);
    ProptestConfig { cases, rng_seed: RngSeed::Fixed(20_262), failure_persistence: None, ..ProptestConfig::default() }
}

fn from_csv(text: &str) -> Result<Read, Error> {
    week::asked(kb(), &[], Some(text))
}

fn cells(text: &str) -> Vec<CellProblem> {
    match from_csv(text) {
        Err(Error::Cells { problems, count }) => {
            assert_eq!(count, problems.len());
            problems
        }
        other => panic!("not wrong cells: {other:?}"),
    }
}

/// A row of the week without its line, which moves when a table is written.
fn bare(row: &Row) -> Row {
    Row { line: 0, ..row.clone() }
}

fn same_rows(a: &Week, b: &Week) -> bool {
    a.since_deload == b.since_deload && a.rows().iter().map(bare).eq(b.rows().iter().map(bare))
}

// Reading and writing.

#[test]
fn a_table_is_read_whatever_spreadsheet_wrote_it() {
    let plain = "day,exercise,sets,reps,load,rir\nMon,back squat,5,8 to 10,112.5,2\n,bench press,3,5,80,\n";
    let expected = from_csv(plain).unwrap();
    assert_eq!(expected.week.rows().len(), 2);
    let first = &expected.week.rows()[0];
    assert_eq!((first.day, first.sets, first.line), (Day::ALL[0], 5, 2));
    assert_eq!(first.work, Work { unit: WorkUnit::Repetitions, low: 8, high: 10 });
    assert_eq!((first.load, first.reserve, first.weeks_on), (Some(Kg(112.5)), Some(2.0), None));
    for (what, text) in [
        ("carriage returns", plain.replace('\n', "\r\n")),
        ("a byte order mark", format!("\u{feff}{plain}")),
        ("semicolons and decimal commas", plain.replace(',', ";").replace("112.5", "112,5")),
        ("semicolons and decimal points", plain.replace(',', ";")),
        ("tabs", plain.replace(',', "\t")),
        ("what stands between, told first", format!("sep=;\r\n{}", plain.replace(',', ";"))),
        ("blank lines", plain.replace('\n', "\n\n,,,,,\n")),
        ("quotation marks", plain.replace("back squat", "\"back squat\"")),
        ("folded names of columns", plain.replace("day,exercise", " DAY ,Lift")),
        ("dates", plain.replace("Mon", "2026-11-23")),
    ] {
        let found = from_csv(&text).unwrap_or_else(|e| panic!("{what}: {e}"));
        assert!(same_rows(&found.week, &expected.week), "{what}: {:?}", found.week);
    }
    // Another order of columns.
    let turned = from_csv("load,reps,sets,rir,exercise,day\n112.5,8 to 10,5,2,back squat,Mon\n80,5,3,,bench press,\n");
    assert!(same_rows(&turned.unwrap().week, &expected.week));
    // The same as JSON rows.
    let number = |n: f64| Some(Given::Number(n));
    let rows = [
        RowAsk {
            day: number(1.0),
            exercise: "back squat".to_string(),
            sets: number(5.0),
            reps: Some(Given::Text("8-10".to_string())),
            load: number(112.5),
            rir: number(2.0),
            ..RowAsk::default()
        },
        RowAsk {
            exercise: "bench press".to_string(),
            sets: number(3.0),
            reps: number(5.0),
            load: Some(Given::Text("80kg".to_string())),
            ..RowAsk::default()
        },
    ];
    assert!(same_rows(&week::asked(kb(), &rows, None).unwrap().week, &expected.week));
}

#[test]
fn lines_are_those_of_the_file() {
    let lines = |text: &str| from_csv(text).unwrap().week.rows().iter().map(|r| r.line).collect::<Vec<_>>();
    let text = "sep=,\n\nday,exercise,sets,reps,note\n\nTue,dip,3,8,\"two\nlines\"\n,,,,\n\nMon,pull-up,3,8,\n";
    assert_eq!(lines(text), [8 + 1, 5]);
    assert_eq!(lines("\r\n\r\nday,exercise,sets,reps\r\n\r\nMon,dip,3,8\r\n"), [5]);
}

#[test]
fn every_wrong_cell_is_told_at_once_with_its_way_out() {
    let text = "day,exercise,sets,reps,load,unit,rir,weeks-on\n\
                Mun,back squatt,5x5,10-Aug,heavy,st,25,\n\
                Tue,,three,5,100,kg,,\n\
                Wed,deadlift machine qqqzzz,3,5,+10,kg,,2.5\n\
                Thu,press,3,8,,,,\n";
    let problems = cells(text);
    let told: Vec<(usize, &str)> = problems.iter().map(|p| (p.line, p.column)).collect();
    for place in [
        (2, "day"),
        (2, "sets"),
        (2, "reps"),
        (2, "load"),
        (2, "unit"),
        (2, "rir"),
        (3, "exercise"),
        (3, "sets"),
        (4, "exercise"),
        (4, "weeks-on"),
        (5, "exercise"),
    ] {
        assert!(told.contains(&place), "{place:?} not in {told:?}");
    }
    assert_eq!(problems.len(), 11, "{told:?}");
    assert!(problems.iter().all(|p| !p.found.is_empty() && !p.hint.is_empty() && p.pointer == "/csv"));
    assert_eq!(problems.iter().find(|p| p.column == "day").unwrap().nearest, ["Monday"]);
    let said = from_csv(text).unwrap_err().to_string();
    assert!(said.starts_with("11 cells are wrong\n") && said.contains("line 2, load \"heavy\""), "{said}");
    // As JSON each has its pointer.
    let rows = [RowAsk { exercise: "dip".to_string(), load: Some(Given::Text("x".into())), ..RowAsk::default() }];
    let Err(Error::Cells { problems, .. }) = week::asked(kb(), &rows, None) else { panic!("not wrong cells") };
    let pointers: Vec<&str> = problems.iter().map(|p| p.pointer.as_str()).collect();
    assert_eq!(pointers, ["/rows/0/day", "/rows/0/sets", "/rows/0/reps", "/rows/0/load"]);
}

#[test]
fn a_header_that_does_not_fit_names_the_nearest_column() {
    let problems = cells("day,exercize,sets,reps,rest\nMon,dip,3,8,90\n");
    let near: Vec<&str> = problems.iter().flat_map(|p| p.nearest.iter().map(String::as_str)).collect();
    assert!(near.contains(&"exercise"), "{problems:?}");
    assert!(problems.iter().any(|p| p.value == "rest" && p.line == 1));
    assert!(cells("day,exercise,sets,reps,Day\nMon,dip,3,8,Mon\n").iter().any(|p| p.found.contains("second")));
    assert!(cells("day,exercise,sets,reps\nMon,dip,3,8,9\n").iter().any(|p| p.found.contains("more cells")));
    assert!(cells("day,exercise,sets,reps,load\nMon,dip,3,8,\"12,5\"\n").iter().any(|p| p.nearest == ["12.5"]));
}

#[test]
fn no_week_and_two_weeks_are_refused() {
    for text in ["", "\n\n", "day,exercise,sets,reps\n"] {
        assert!(matches!(from_csv(text), Err(Error::Shape { .. })), "{text:?}");
    }
    assert!(matches!(week::asked(kb(), &[], None), Err(Error::Shape { .. })));
    let rows = [RowAsk::default()];
    assert!(matches!(week::asked(kb(), &rows, Some("day")), Err(Error::Conflict { .. })));
    let many = format!("day,exercise,sets,reps\n{}", "Mon,dip,3,8\n".repeat(201));
    assert!(matches!(from_csv(&many), Err(Error::Shape { .. })));
    let two = "day,exercise,sets,reps\n2026-11-23,dip,3,8\n2026-11-30,dip,3,8\n";
    assert!(cells(two)[0].found.contains("another week"));
    let two = "day,exercise,sets,reps,weeks-since-deload\nMon,dip,3,8,4\nTue,dip,3,8,5\n";
    assert!(cells(two)[0].found.contains("an earlier row says 4"));
}

#[test]
fn a_note_says_how_a_name_was_read() {
    let read = from_csv("day,exercise,sets,reps\nMon,bench pres,3,8\n").unwrap();
    assert_eq!(read.notes, ["line 2: \"bench pres\" was read as Barbell bench press"]);
}

#[test]
fn files_are_read_by_their_ending() {
    let folder = tempfile::tempdir().unwrap();
    let path = |name: &str| folder.path().join(name);
    let csv = week::file(kb(), &root().join("tests/fixtures/weeks/two-bar-balance.csv")).unwrap();
    assert_eq!((csv.week.rows().len(), csv.week.since_deload), (16, Some(14)));
    std::fs::write(path("week.json"), week::to_json(kb(), &csv.week).unwrap()).unwrap();
    assert!(same_rows(&week::file(kb(), &path("week.json")).unwrap().week, &csv.week));
    std::fs::write(path("rows.JSON"), r#"[{"day": "Mon", "exercise": "dip", "sets": 3, "reps": 8}]"#).unwrap();
    assert_eq!(week::file(kb(), &path("rows.JSON")).unwrap().week.rows().len(), 1);
    std::fs::write(path("odd.json"), r#"{"rows": [{"excercise": "dip"}]}"#).unwrap();
    let said = week::file(kb(), &path("odd.json")).unwrap_err().to_string();
    assert!(said.contains("rows[0]") && said.contains("excercise"), "{said}");
    std::fs::write(path("latin.csv"), b"day,exercise,sets,reps\nMon,d\xe9dip,3,8\n").unwrap();
    assert!(week::file(kb(), &path("latin.csv")).unwrap_err().to_string().contains("UTF-8"));
    assert!(matches!(week::file(kb(), &path("none.csv")), Err(Error::File { .. })));
}

#[test]
fn what_is_written_suits_a_spreadsheet() {
    let text = "day;exercise;sets;reps;load;unit;note\nMon;plank;3;30-45s;body;;\nMon;pull-up;3;6-8;+10;kg;\"slow; steady\"\nTue;goblet squat;3;10;44;lb;\n";
    let read = from_csv(text).unwrap();
    assert_eq!(read.form, Form { delimiter: b';', decimal_comma: true, mark: false });
    let written = read.week.to_csv(kb(), &read.form).unwrap();
    assert_eq!(
        written,
        "day;exercise;sets;reps;load;unit;note\r\n\
         Mon;Forearm plank;3;30 to 45s;body;;\r\n\
         Mon;Pull-up, overhand;3;6 to 8;+10;kg;\"slow; steady\"\r\n\
         Tue;Goblet squat;3;10;44;lb;\r\n"
    );
    assert_eq!(from_csv(&written).unwrap().week.to_csv(kb(), &read.form).unwrap(), written);
    // A byte order mark stays, and a fraction has its comma.
    let marked = from_csv("\u{feff}day;exercise;sets;reps;load\nMon;bench press;3;5;82,5\n").unwrap();
    let written = marked.week.to_csv(kb(), &marked.form).unwrap();
    assert!(written.starts_with("\u{feff}day;") && written.contains(";82,5;kg"), "{written}");
}

/// Any row that a table can hold.
fn a_row() -> impl Strategy<Value = Row> {
    let work = (0usize..3, 1u16..400, 0u16..50);
    let load = prop_oneof![Just(None), Just(Some(0)), (1u32..1200).prop_map(Some)];
    let weeks = || proptest::option::of(0u16..500);
    let rest = (proptest::option::of(0u8..=20), weeks(), weeks(), "[ a-z;,\"é\n=]{0,12}");
    (1u8..=7, 0..kb().len(), 1u16..=100, work, load, any::<bool>(), rest).prop_map(
        |(day, exercise, sets, (unit, low, more), quarters, pounds, (half, weeks_on, weeks_flat, note))| {
            let unit = [WorkUnit::Repetitions, WorkUnit::Seconds, WorkUnit::Metres][unit];
            let mass = if pounds { MassUnit::Lb } else { MassUnit::Kg };
            let load = quarters.map(|q| f64::from(q) / 4.0);
            let load = load.map(|l| if pounds { Kg::from_pounds(l) } else { Kg(l) });
            Row {
                day: Day::new(day).unwrap(),
                exercise,
                sets,
                work: Work { unit, low, high: low + more },
                load,
                // A load of none is written without its unit.
                unit: if load.is_some_and(|kg| kg.get() > 0.0) { mass } else { MassUnit::Kg },
                reserve: half.map(|h| f64::from(h) / 2.0),
                weeks_on,
                weeks_flat,
                note: note.trim().to_string(),
                line: 0,
            }
        },
    )
}

fn a_week() -> impl Strategy<Value = Week> {
    (proptest::collection::vec(a_row(), 1..25), proptest::option::of(0u16..100))
        .prop_map(|(rows, since)| Week::new(rows, since))
}

proptest! {
    #![proptest_config(config(128))]

    /// What is written is read back the same, in every form and as JSON.
    #[test]
    fn a_week_comes_back_as_it_was_written(week in a_week(), form in 0usize..4, mark in any::<bool>()) {
        let (delimiter, decimal_comma) = [(b',', false), (b';', true), (b';', false), (b'\t', true)][form];
        let form = Form { delimiter, decimal_comma, mark };
        let text = week.to_csv(kb(), &form).unwrap();
        let back = from_csv(&text).unwrap();
        prop_assert!(same_rows(&back.week, &week), "{text}\n{:?}\n{:?}", back.week, week);
        prop_assert_eq!(back.week.to_csv(kb(), &form).unwrap(), text);
        let json = week::to_json(kb(), &week).unwrap();
        let value: serde_json::Value = serde_json::from_str(&json).unwrap();
        let rows: Vec<RowAsk> = serde_json::from_value(value["rows"].clone()).unwrap();
        let back = week::asked(kb(), &rows, None).unwrap().week;
        prop_assert!(back.rows().iter().map(bare).eq(week.rows().iter().map(bare)), "{}", json);
    }

    /// No text makes the reader panic.
    #[test]
    fn no_text_panics(text in "\\PC{0,200}", rows in "([^\\x00]{0,12}[,;\"\n]){0,40}") {
        let _ = from_csv(&text);
        let _ = from_csv(&rows);
        let _ = from_csv(&format!("day,exercise,sets,reps,load,unit,rir,weeks-on\n{rows}"));
    }

    /// No cell makes the reader panic, and a wrong one is told under its column.
    #[test]
    fn no_cell_panics(cell in "[-+0-9a-zA-Z.,/x× ]{1,12}", at in 0usize..8) {
        let mut row = ["Mon", "dip", "3", "8", "10", "kg", "2", "4"].map(str::to_string);
        row[at] = format!("\"{cell}\"");
        let text = format!("day,exercise,sets,reps,load,unit,rir,weeks-on\n{}\n", row.join(","));
        if let Err(Error::Cells { problems, .. }) = from_csv(&text) {
            let names = ["day", "exercise", "sets", "reps", "load", "unit", "rir", "weeks-on"];
            // A unit that parts with the load is told at the load.
            prop_assert!(problems.iter().all(|p| p.column == names[at] || (at == 5 && p.column == "load")));
        }
    }
}

#[test]
fn every_column_says_what_it_holds() {
    assert!(Column::ALL.iter().all(|c| !c.holds().is_empty() && Column::named(c.name()) == Some(*c)));
    assert_eq!(week::cells::counted_as(Counted::PerHand), "each hand");
    // The README names every column.
    let readme = read("README.md");
    let missing: Vec<&str> = Column::ALL.iter().map(|c| c.name()).filter(|c| !readme.contains(c)).collect();
    assert!(missing.is_empty(), "{missing:?}");
}
