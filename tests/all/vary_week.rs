//! A week varied as a whole: what holds for any week, soreness and gym, the table of the plan, and
//! both doors.
//!
//! Leans on the audit's counts for what a block carries, on practice section 4.3 (main lifts kept
//! four weeks, one or two lifts changed at a time), and on the weeks of the crew and of
//! `tests/fixtures/weeks`. Leaves to others: the variations of one lift (`tests/all/vary.rs`).

use std::collections::BTreeSet;
use std::process::Command;
use std::sync::{Arc, LazyLock};

use actix_web::rt::System;
use actix_web::test::{TestRequest, call_service, init_service, read_body};
use proptest::prelude::*;
use proptest::sample::{Index, select};
use serde_json::{Value, json};
use stead::ask::swap::{GymAsk, SoreAsk};
use stead::ask::vary::{Reply, Request, answer, of_week};
use stead::ask::week::vary::{PlaceRead, WeekPlan, WhyPassed, WhyStays};
use stead::ask::week::{self, Form, Given, RowAsk, audit, table};
use stead::ask::{Engine, Error, schema};
use stead::gym::Inventory;
use stead::gym::carry::is_possible;
use stead::week::Week;

use crate::{read, root};

static ENGINE: LazyLock<Arc<Engine>> = LazyLock::new(|| Arc::new(Engine::shipped().expect("the shipped base opens")));

const CREW: [(&str, &str); 4] =
    [("cox", "boathouse"), ("bowhand", "boathouse"), ("winch-operator", "loft"), ("mechanic", "town")];

fn crew(name: &str) -> String {
    read(format!("examples/weeks/{name}.csv"))
}

fn at(gym: &str) -> Option<GymAsk> {
    Some(GymAsk::Named(gym.to_string()))
}

fn ask(request: &Request) -> Reply<'static> {
    answer(&ENGINE, request).expect("an answer")
}

/// The audit of rows of a block, by its own door.
fn audited(rows: &[RowAsk], request: &Request) -> audit::AuditRead<'static> {
    let question = audit::Request {
        rows: rows.to_vec(),
        gym: request.gym.clone(),
        sore: request.sore.clone(),
        ..audit::Request::default()
    };
    audit::answer(&ENGINE, &question).expect("an audit").week.expect("a week")
}

/// What is done in a row in each week, and whether it is its own exercise.
fn by_week(place: &PlaceRead<'_>) -> Vec<(String, bool)> {
    let weeks =
        place.plan.iter().flat_map(|s| (s.from_week..=s.to_week).map(move |_| (s.exercise.id.to_string(), s.original)));
    weeks.collect()
}

/// Everything that holds for a plan, whatever was asked.
fn keeps_its_laws(request: &Request) -> Result<(), TestCaseError> {
    let reply = ask(request);
    prop_assert_eq!(&reply, &ask(request));
    prop_assert!(reply.variations.is_empty() && reply.plan.is_empty());
    let kb = ENGINE.kb();
    let plan: &WeekPlan<'_> = reply.week.as_ref().expect("a week");
    let question = reply.question.as_ref().expect("a question");
    let given = week::asked(kb, &request.rows, request.csv.as_deref()).unwrap();
    let as_it_is: Vec<RowAsk> = plan_rows(&given.week);
    let before = audited(&as_it_is, request);
    prop_assert_eq!((plan.before.points, plan.before.a3_sets), (before.sums.points, before.sums.tiers.a3));

    // Weeks follow one another, by block and by row.
    let mut next = 1;
    for block in &plan.blocks {
        prop_assert_eq!(block.from_week, next);
        next = block.to_week + 1;
    }
    prop_assert_eq!(next, question.weeks + 1);
    for place in &plan.rows {
        prop_assert_eq!(by_week(place).len(), question.weeks as usize);
        prop_assert_eq!(place.stays.is_some(), place.plan.len() == 1 && place.plan[0].original);
    }

    let inventory = match &request.gym {
        Some(GymAsk::Named(gym)) => Inventory::named(kb, gym).unwrap(),
        _ => Inventory::everything(kb),
    };
    let troubles = |audit: &audit::AuditRead<'_>| -> usize {
        let kit = audit.findings.iter().filter(|f| ["kit", "ceiling", "stock"].contains(&f.rule));
        kit.map(|f| f.lines.len()).sum()
    };
    for block in &plan.blocks {
        let then = audited(&block.rows, request);
        // No more along the spine, in the week and on any day.
        prop_assert_eq!((block.carries.points, block.carries.a3_sets), (then.sums.points, then.sums.tiers.a3));
        prop_assert!(then.sums.points <= before.sums.points && then.sums.tiers.a3 <= before.sums.tiers.a3);
        prop_assert_eq!(then.sums.sets, before.sums.sets);
        for (day, was) in then.days.iter().zip(&before.days) {
            prop_assert_eq!(day.day, was.day);
            prop_assert!(day.sums.points <= was.sums.points && day.sums.tiers.a3 <= was.sums.tiers.a3);
        }
        // No more on what is sore.
        for s in &request.sore {
            let graded = |audit: &audit::AuditRead<'_>| {
                audit.regions.iter().find(|r| r.region == s.region).map_or((0, 0), |r| (r.graded_sets, r.highest_grade))
            };
            let (now, was) = (graded(&then), graded(&before));
            prop_assert!(now.0 <= was.0 && now.1 <= was.1, "{}: {now:?} {was:?}", s.region);
        }
        // The gym can do it, but for what it cannot and nothing varies.
        prop_assert!(troubles(&then) <= troubles(&before));
        for (place, (done, _)) in plan.rows.iter().map(|p| (p, by_week(p)[block.from_week as usize - 1].clone())) {
            let possible = is_possible(kb, &inventory, kb.row_of(&done).unwrap());
            prop_assert!(possible || (place.gone.is_some() && place.variations.is_empty()), "{done}");
        }
        // One main lift and one other change at a time; what is gone changes at once.
        let is_changed = |p: &&PlaceRead<'_>| p.lines.iter().any(|line| block.changed.contains(line));
        let changed: Vec<&PlaceRead<'_>> = plan.rows.iter().filter(is_changed).collect();
        let chosen =
            |main: bool| changed.iter().filter(|p| p.main == main && (block.from_week > 1 || p.gone.is_none())).count();
        prop_assert!(chosen(true) <= 1 && chosen(false) <= 1, "{:?}", block.changed);
    }
    for week in 0..question.weeks as usize {
        // Nothing is done twice that was not.
        let done: Vec<(String, bool)> = plan.rows.iter().map(|p| by_week(p)[week].clone()).collect();
        for (i, (a, own_a)) in done.iter().enumerate() {
            for (b, own_b) in &done[i + 1..] {
                prop_assert!(a != b || (*own_a && *own_b), "week {}: {a} twice", week + 1);
            }
        }
    }
    for place in &plan.rows {
        // Nothing comes again before everything else of the row had its turn.
        let cycle = place.variations.len() + usize::from(place.gone.is_none());
        let turns: Vec<&str> = place.plan.iter().map(|s| s.exercise.id).collect();
        for (at, id) in turns.iter().enumerate() {
            let since = turns[..at].iter().rposition(|before| before == id);
            prop_assert!(since.is_none_or(|before| at - before >= cycle), "{turns:?} of {cycle}");
        }
        // Main lifts stay four weeks, but for what the plan begins and ends with.
        let whole = place.plan.iter().skip(1).rev().skip(1);
        let least = if place.main { 4.max(question.every) } else { question.every };
        prop_assert!(whole.clone().all(|s| s.to_week - s.from_week + 1 >= least), "{turns:?}");
        let own: BTreeSet<&str> = place.variations.iter().map(|v| v.exercise.id).collect();
        prop_assert!(turns.iter().all(|id| own.contains(id) || *id == place.exercise.id));
    }
    Ok(())
}

/// The rows of a week as they can be asked.
fn plan_rows(week: &Week) -> Vec<RowAsk> {
    let text = week::to_json(ENGINE.kb(), week).unwrap();
    let whole: Value = serde_json::from_str(&text).unwrap();
    serde_json::from_value(whole["rows"].clone()).unwrap()
}

#[test]
fn the_weeks_of_the_crew_and_of_the_fixtures_keep_every_law() {
    let fixtures = ["five-straight", "hinge-twice-over", "quiet-basement", "two-bar-balance"];
    let fixtures = fixtures.map(|name| (read(format!("tests/fixtures/weeks/{name}.csv")), "town"));
    let low_back = SoreAsk { region: "low-back".to_string(), ..SoreAsk::default() };
    let all = CREW.iter().map(|(name, gym)| (crew(name), *gym)).chain(fixtures);
    for (csv, gym) in all {
        for (weeks, every, sore) in [(12, None, vec![]), (26, Some(2), vec![low_back.clone()]), (9, Some(5), vec![])] {
            let request =
                Request { csv: Some(csv.clone()), gym: at(gym), weeks: Some(weeks), every, sore, ..Request::default() };
            keeps_its_laws(&request).unwrap_or_else(|e| panic!("{csv}\n{e}"));
        }
    }
}

/// A variation may spare the movement that is sore and ask more of the region, and sets that were too
/// short to be hard may become hard ones: neither may load the region more.
#[test]
fn a_sore_region_is_loaded_no_more_whatever_movement_of_it_is_sore() {
    let short = "day,exercise,sets,reps,rir\nMon,bench press,3,4,4\nMon,pull-up,3,4,4\nTue,leg press,3,4,4\n\
                 Tue,dip,3,4,4\nFri,lateral raise,3,4,4\nFri,leg extension,3,4,4\n";
    for region in ENGINE.kb().regions.iter().filter(|r| ["shoulder", "knee"].contains(&r.id.as_str())) {
        for movement in &region.aggravators {
            let sore =
                SoreAsk { region: region.id.clone(), aggravator: Some(movement.id.clone()), ..SoreAsk::default() };
            let request = Request {
                csv: Some(short.to_string()),
                sore: vec![sore],
                gym: at("town"),
                weeks: Some(12),
                top: Some(3),
                ..Request::default()
            };
            keeps_its_laws(&request).unwrap_or_else(|e| panic!("{} {}\n{e}", region.id, movement.id));
        }
    }
}

prop_compose! {
    fn a_row()(
        day in 1u8..=7,
        at in any::<Index>(),
        sets in 1u8..6,
        reps in select(vec!["3", "4", "5", "8 to 10", "15"]),
        rir in prop::option::of(0u8..6),
        weeks_on in prop::option::of(0u8..20),
        weeks_flat in prop::option::of(0u8..8),
    ) -> RowAsk {
        let kb = ENGINE.kb();
        let row = at.index(kb.len());
        let holds = kb.table.rows[row].holds;
        let number = |n: u8| Given::Number(f64::from(n));
        RowAsk {
            day: Some(number(day)),
            exercise: kb.ids[row].clone(),
            sets: Some(number(sets)),
            reps: Some(Given::Text(if holds { "30s".to_string() } else { reps.to_string() })),
            rir: rir.map(number),
            weeks_on: weeks_on.map(number),
            weeks_flat: weeks_flat.map(number),
            ..RowAsk::default()
        }
    }
}

prop_compose! {
    fn a_request()(
        rows in prop::collection::vec(a_row(), 1..14),
        places in prop::collection::vec((any::<Index>(), any::<Index>(), any::<bool>()), 0..3),
        gym in select(vec!["boathouse", "loft", "slipway", "town"]),
        skip in prop::collection::vec(any::<Index>(), 0..2),
        weeks in prop::option::of(1u32..=52),
        every in prop::option::of(1u32..=16),
        top in prop::option::of(1usize..8),
    ) -> Request {
        let kb = ENGINE.kb();
        let sore = places.into_iter().map(|(region, movement, named)| {
            let region = &kb.regions[region.index(kb.regions.len())];
            let movements = &region.aggravators;
            SoreAsk {
                region: region.id.clone(),
                aggravator: (named && !movements.is_empty()).then(|| movements[movement.index(movements.len())].id.clone()),
                ..SoreAsk::default()
            }
        });
        Request {
            skip: skip.into_iter().map(|at| rows[at.index(rows.len())].exercise.clone()).collect(),
            rows,
            sore: sore.collect(),
            gym: at(gym),
            weeks,
            every,
            top,
            ..Request::default()
        }
    }
}

proptest! {
    #![proptest_config(crate::cases(32))]

    #[test]
    fn any_week_keeps_every_law(request in a_request()) {
        keeps_its_laws(&request)?;
    }
}

/// What is light or has no variation stays and says why; what would load the spine more is told.
#[test]
fn what_stays_and_what_was_passed_over_is_told() {
    let request = Request {
        csv: Some(
            "day,exercise,sets,reps,load\nMon,front squat,4,6,80\nMon,cat-cow,2,10,\nTue,front squat,3,8,70\n"
                .to_string(),
        ),
        gym: at("boathouse"),
        weeks: Some(4),
        ..Request::default()
    };
    let reply = ask(&request);
    let rows = &reply.week.as_ref().unwrap().rows;
    let stays = |at: usize| rows[at].stays.as_ref().map(|s| s.reason);
    assert_eq!((stays(0), stays(1)), (None, Some(WhyStays::Light)));
    let passed: Vec<&str> = rows[0].passed_over.iter().map(|p| p.exercise.id).collect();
    // Practice section 6.1: a back squat is of the highest tier, a front squat is not.
    assert!(passed.iter().any(|id| id.starts_with("back-squat")), "{passed:?}");
    assert!(rows[0].passed_over.iter().all(|p| p.reason == WhyPassed::Spine && p.said.contains("points")));
    assert!(reply.notes.iter().any(|n| n.starts_with("passed over: ")), "{:?}", reply.notes);
    // The same lift on two days: no variation serves both.
    let ids = |at: usize| rows[at].variations.iter().map(|v| v.exercise.id).collect::<BTreeSet<_>>();
    assert!(!ids(0).is_empty() && ids(0).is_disjoint(&ids(2)));
}

/// The mechanic's bench press has made no progress for six weeks, his lateral raise has fourteen weeks.
#[test]
fn what_stands_still_is_changed_first() {
    let reply = ask(&Request { csv: Some(crew("mechanic")), gym: at("town"), ..Request::default() });
    let week = reply.week.unwrap();
    let first = &week.blocks[0].changed;
    // Line 2 is the bench press, the only main lift without progress for six weeks.
    assert!(first.contains(&2), "{first:?}");
}

/// A new exercise begins with a load where the row tells a set that one follows from, below what the
/// row lifts now in what is a close variation of it; else it is said why not.
#[test]
fn first_loads_follow_from_the_sets_of_the_rows() {
    for (name, gym) in CREW {
        let reply = ask(&Request { csv: Some(crew(name)), gym: at(gym), weeks: Some(52), ..Request::default() });
        let week = reply.week.unwrap();
        let inventory = Inventory::named(ENGINE.kb(), gym).unwrap();
        let mut loads = 0;
        for block in &week.blocks {
            let audit = audited(&block.rows, &Request { gym: at(gym), ..Request::default() });
            let new = |line: &usize| block.rows[line - 1].note.as_ref().is_some_and(|n| n.starts_with("in place of"));
            // What was rounded to what there is can be put together.
            let stock = audit.findings.iter().filter(|f| ["stock", "stock-step"].contains(&f.rule));
            let wrong: Vec<&str> = stock.filter(|f| f.lines.iter().any(new)).map(|f| f.words.as_str()).collect();
            assert!(wrong.is_empty(), "{name}: {wrong:?}");
            loads += block.rows.iter().filter(|row| row.load.is_some()).count();
        }
        assert!(loads > 0 && !inventory.assumed);
        for place in &week.rows {
            for stretch in place.plan.iter().filter(|s| !s.original) {
                let has = stretch.said.iter().any(|said| said.contains(','));
                let row_had = place.plan.iter().find(|s| s.original).is_none_or(|s| s.said[0].contains(','));
                assert!(has || stretch.no_load.is_some() || !row_had, "{name}: {stretch:?}");
            }
        }
    }
    // Practice section 3.1: a first exposure begins below what would be usual; a front squat is about
    // 0.82 of a back squat (2.1), so of 95 kg for 6 it begins below 78 kg, and not with a bare bar.
    let reply = ask(&Request { csv: Some(crew("cox")), gym: at("boathouse"), ..Request::default() });
    let week = reply.week.unwrap();
    let front = week.blocks[0].rows.iter().find(|r| r.exercise == "Front squat, clean grip").expect("a front squat");
    assert!(matches!(front.load, Some(Given::Number(kg)) if kg > 40.0 && kg < 78.0), "{front:?}");
}

#[test]
fn exactly_one_of_exercise_rows_and_csv_is_asked_about() {
    let row = RowAsk { exercise: "dip".to_string(), ..RowAsk::default() };
    let csv = || Some(crew("cox"));
    let lift = || "deadlift".to_string();
    let wrong = |request: Request| match answer(&ENGINE, &request) {
        Err(Error::Conflict { pointer, found, .. }) => (pointer, found),
        other => panic!("no conflict: {other:?}"),
    };
    let both = wrong(Request { exercise: lift(), csv: csv(), ..Request::default() });
    assert_eq!(both, ("/csv".to_string(), "exercise and csv at once".to_string()));
    let both = wrong(Request { exercise: lift(), rows: vec![row.clone()], ..Request::default() });
    assert_eq!(both.0, "/rows");
    assert_eq!(wrong(Request { rows: vec![row], csv: csv(), ..Request::default() }).0, "/csv");
    assert_eq!(wrong(Request::default()).0, "/exercise");
    let did = stead::ask::load::SetAsk { load: 100.0, reps: 5, ..Default::default() };
    assert_eq!(wrong(Request { csv: csv(), did: Some(did), ..Request::default() }).0, "/did");
    // Every wrong cell at once.
    let bad = "day,exercise,sets,reps\nMun,dip,3,8\nMon,dipp dapp,0,8\n".to_string();
    match answer(&ENGINE, &Request { csv: Some(bad), ..Request::default() }) {
        Err(Error::Cells { count, .. }) => assert_eq!(count, 3),
        other => panic!("no wrong cells: {other:?}"),
    }
    let emergency = Request { csv: csv(), signs: vec!["chest-pain".to_string()], ..Request::default() };
    let reply = ask(&emergency);
    assert!(reply.week.is_none() && reply.question.is_none() && !reply.has_answer());
}

/// Every week of the table of a plan is read again as the week that it is.
#[test]
fn a_plan_is_a_table_whose_weeks_are_read_again() {
    let kb = ENGINE.kb();
    for (name, gym) in CREW {
        let given = week::asked(kb, &[], Some(&crew(name))).unwrap();
        let request = Request { gym: at(gym), weeks: Some(10), ..Request::default() };
        let (_, plan) = of_week(&ENGINE, &given, &request).unwrap();
        let plan = plan.unwrap();
        let weeks: Vec<(u32, Week)> = (1..=10).map(|n| (n, plan.week(n))).collect();
        let text = table::plan_to_csv(kb, &weeks, &given.form).unwrap();
        assert!(text.starts_with(if given.form.delimiter == b';' { "week;day;" } else { "week,day," }), "{text}");
        for (number, week) in &weeks {
            let again = table::read_week(kb, &text, Some(*number)).unwrap();
            assert_eq!(again.form, Form { mark: false, ..given.form }, "{name}");
            let bare =
                |w: &Week| w.rows().iter().map(|r| stead::week::Row { line: 0, ..r.clone() }).collect::<Vec<_>>();
            assert_eq!(bare(&again.week), bare(week), "{name}, week {number}");
            // A new row has stood for as many weeks as have passed.
            assert!(
                week.rows().iter().all(|r| !r.note.starts_with("in place of") || r.weeks_on < Some(*number as u16))
            );
        }
        match table::read(kb, &text) {
            Err(Error::Shape { found, hint, .. }) => assert!(found.contains("1 to 10") && hint.contains("--week")),
            other => panic!("{name}: {other:?}"),
        }
        assert!(
            matches!(table::read_week(kb, &text, Some(11)), Err(Error::Unknown { nearest, .. }) if nearest[0] == "10")
        );
    }
    assert!(matches!(table::read_week(kb, &crew("cox"), Some(1)), Err(Error::Conflict { .. })));
    // The number is that of the line above where it is empty, and a wrong one is told with its place.
    let text = "week,day,exercise,sets,reps\n1,Mon,dip,3,8\n,Tue,dip,3,8\n2,Mon,dip,3,8\n";
    assert_eq!(table::read_week(kb, text, Some(1)).unwrap().week.rows().len(), 2);
    match table::read(kb, &text.replace("\n2,", "\nnext,")) {
        Err(Error::Cells { problems, .. }) => assert_eq!((problems[0].line, problems[0].column), (4, "week")),
        other => panic!("{other:?}"),
    }
}

/// With numbers that are none the other cells are told as well.
#[test]
fn wrong_numbers_of_weeks_hide_no_other_cell() {
    let text = "week,day,exercise,sets,reps\nfirst,Mon,dip,3,8\n,Mun,dip,3,8\n";
    match table::read_week(ENGINE.kb(), text, Some(1)) {
        Err(Error::Cells { problems, .. }) => {
            let told: Vec<(usize, &str)> = problems.iter().map(|p| (p.line, p.column)).collect();
            assert_eq!(told, [(2, "week"), (3, "week"), (3, "day")]);
        }
        other => panic!("{other:?}"),
    }
}

fn run(args: &[&str]) -> (i32, String, String) {
    let output = Command::new(env!("CARGO_BIN_EXE_stead")).args(args).current_dir(root()).output().unwrap();
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    (output.status.code().unwrap(), text(&output.stdout), text(&output.stderr))
}

#[test]
fn a_file_is_told_from_a_name_and_the_plan_is_written_once() {
    let folder = tempfile::tempdir().unwrap();
    let path = |name: &str| folder.path().join(name).to_str().unwrap().to_string();
    for (name, gym) in CREW {
        let file = format!("examples/weeks/{name}.csv");
        let (code, out, err) = run(&["vary", &file, "--gym", gym, "--weeks", "16", "--sore", "knee=2"]);
        assert_eq!((code, err.as_str()), (0, ""), "{name}");
        let wide: Vec<&str> = out.lines().filter(|l| l.chars().count() > 60 || *l != l.trim_end()).collect();
        assert!(wide.is_empty(), "{name}: {wide:?}");
        for part in ["varied over 16 weeks", "Spine load by block", "weeks  1 to "] {
            assert!(out.contains(part), "{name}: {part}: {out}");
        }
    }
    let to = path("plan.csv");
    let cox = ["vary", "examples/weeks/cox.csv", "--gym", "boathouse"];
    let (code, out, err) = run(&[&cox[..], &["--to", &to]].concat());
    assert!(code == 0 && out.contains("Written to"), "{out}{err}");
    let text = std::fs::read_to_string(&to).unwrap();
    let (code, _, err) = run(&[&cox[..], &["--to", &to]].concat());
    assert!(code == 2 && err.contains("--replace"), "{err}");
    assert_eq!(run(&[&cox[..], &["--to", &to, "--replace", "--weeks", "6"]].concat()).0, 0);
    assert!(std::fs::read_to_string(&to).unwrap().len() < text.len());
    // Its weeks are audited one by one.
    let audit = |more: &[&str]| run(&[&["week", "audit", &to, "--gym", "boathouse"], more].concat());
    let (code, out, err) = audit(&["--week", "6"]);
    assert!(code == 0 && out.starts_with("A week of 14 rows"), "{out}{err}");
    let (code, _, err) = audit(&[]);
    assert!(code == 2 && err.contains("--week"), "{err}");
    let (code, _, err) = audit(&["--week", "9"]);
    assert!(code == 2 && err.contains("\"9\"") && err.contains('6'), "{err}");
    // Never over the week itself, and only as a table.
    let own = path("week.csv");
    std::fs::write(&own, crew("cox")).unwrap();
    let (code, _, err) = run(&["vary", &own, "--to", &own, "--replace"]);
    assert!(code == 2 && err.contains("was read"), "{err}");
    assert_eq!(std::fs::read_to_string(&own).unwrap(), crew("cox"));
    let (code, _, err) = run(&["vary", &own, "--to", &path("plan.json")]);
    assert!(code == 2 && err.contains("--json"), "{err}");
    // A file without an ending, one that is not there, and one that is no week.
    let bare = path("deadlift");
    std::fs::write(&bare, crew("cox")).unwrap();
    assert_eq!(run(&["vary", &bare]).0, 0);
    let (code, _, err) = run(&["vary", "no-such-week.csv"]);
    assert!(code == 2 && err.contains("cannot read") && err.contains("no-such-week.csv"), "{err}");
    let (code, _, err) = run(&["vary", "no-such-week.JSON"]);
    assert!(code == 2 && err.contains("cannot read"), "{err}");
    std::fs::write(&bare, "day,exercise,sets,reps\nMun,dip,0,8\n").unwrap();
    let (code, _, err) = run(&["vary", &bare]);
    assert!(code == 2 && err.contains("line 2, day") && err.contains("line 2, sets"), "{err}");
    for (args, word) in [
        (vec!["vary", "deadlift", "--to", "plan.csv"], ".csv"),
        (vec!["vary", "deadlift", "--replace"], "--to"),
        (vec!["vary", &own, "--did", "100kgx5"], "rows of the week"),
    ] {
        let (code, _, err) = run(&args);
        assert!(code == 2 && err.contains(word), "{args:?}: {err}");
    }
}

#[test]
fn both_doors_give_the_same_plan_of_a_week_and_keep_its_schemas() {
    let schema = |name: &str| {
        let schema = schema::all().into_iter().find(|(n, _)| *n == name).expect("a schema").1;
        jsonschema::validator_for(&schema).expect("a validator")
    };
    let validators = [schema("vary-request.json"), schema("vary-reply.json")];
    let folder = tempfile::tempdir().unwrap();
    System::new().block_on(async {
        let app = init_service(
            actix_web::App::new().configure(stead::http::configure(ENGINE.clone(), stead::http::Limits::default())),
        )
        .await;
        for (name, gym) in CREW {
            let week = week::asked(ENGINE.kb(), &[], Some(&crew(name))).unwrap().week;
            let as_json = folder.path().join(format!("{name}.json"));
            std::fs::write(&as_json, week::to_json(ENGINE.kb(), &week).unwrap()).unwrap();
            let table = root().join(format!("examples/weeks/{name}.csv"));
            for (file, member, value) in [
                (&table, "csv", json!(crew(name))),
                (&as_json, "rows", serde_json::to_value(plan_rows(&week)).unwrap()),
            ] {
                let said = Command::new(env!("CARGO_BIN_EXE_stead"))
                    .arg("vary")
                    .arg(file)
                    .args(["--json", "--gym", gym, "--weeks", "9", "--sore", "shoulder=3", "--skip", "box squat"])
                    .output()
                    .expect("the program");
                assert!(said.stderr.is_empty(), "{name}: {}", String::from_utf8_lossy(&said.stderr));
                let mut request = json!({"gym": gym, "weeks": 9, "sore": [{"region": "shoulder", "pain": 3.0}],
                                         "skip": ["box squat"]});
                request[member] = value;
                let posted = TestRequest::post().uri("/v1/vary").set_json(&request).to_request();
                let served = read_body(call_service(&app, posted).await).await;
                assert_eq!(
                    String::from_utf8_lossy(&said.stdout).trim_end(),
                    String::from_utf8_lossy(&served),
                    "{name}"
                );
                let reply: Value = serde_json::from_slice(&served).expect("JSON");
                for (validator, value) in validators.iter().zip([&request, &reply]) {
                    let faults: Vec<String> = validator.iter_errors(value).map(|e| e.to_string()).collect();
                    assert!(faults.is_empty(), "{name}: {faults:?}");
                }
            }
        }
        let both = json!({"exercise": "deadlift", "csv": "day,exercise,sets,reps\nMon,dip,3,8\n"});
        let posted = TestRequest::post().uri("/v1/vary").set_json(&both).to_request();
        let problem: Value = serde_json::from_slice(&read_body(call_service(&app, posted).await).await).unwrap();
        assert_eq!((problem["code"].as_str(), problem["pointer"].as_str()), (Some("conflicting-values"), Some("/csv")));
    });
}
