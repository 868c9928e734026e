//! What holds for every question, tried on random ones.
//!
//! Leans on proptest. Runs 64 cases a law from a fixed seed, so that a run can be repeated;
//! `PROPTEST_CASES` raises the number and `PROPTEST_RNG_SEED` changes the seed for a long run.
//! Leaves to others: whether the answers are any good (`tests/all/judged.rs`).

use std::collections::BTreeSet;
use std::sync::LazyLock;

use proptest::prelude::*;
use proptest::sample::{Index, select, subsequence};
use proptest::test_runner::RngSeed;
use stead::ask::forces::Sex;
use stead::ask::load::SetAsk;
use stead::ask::{Engine, find, list, show, swap, terms};
use stead::gym::Inventory;
use stead::kb::files::Files;
use stead::kb::raw::{Aim, Gym, Level, SpineClass, Stock};
use stead::kb::table::RowId;
use stead::kb::{Kb, examine};
use stead::rank::{self, Question, Ranking, Sore};

use crate::{read, root};

static ENGINE: LazyLock<Engine> = LazyLock::new(|| Engine::shipped().unwrap());

fn kb() -> &'static Kb {
    ENGINE.kb()
}

fn config() -> ProptestConfig {
    let cases = std::env::var("PROPTEST_CASES").ok().and_then(|v| v.parse().ok()).unwrap_or(64);
    let rng_seed = match std::env::var("PROPTEST_RNG_SEED").ok().and_then(|v| v.parse().ok()) {
        Some(seed) => RngSeed::Fixed(seed),
        None => RngSeed::Fixed(20_261),
    };
    ProptestConfig { cases, rng_seed, failure_persistence: None, ..ProptestConfig::default() }
}

/// A question by positions, so that it can be changed and asked again.
#[derive(Debug, Clone)]
struct Plain {
    original: usize,
    sore: Vec<Sore>,
    kit: Vec<String>,
    stock: Stock,
    ceiling_m: Option<f64>,
    aim: Aim,
    max_spine: Option<u8>,
    skill: Option<u8>,
    skip: Vec<usize>,
    top: usize,
}

impl Plain {
    fn inventory(&self) -> Inventory {
        let (id, name) = ("shed".to_string(), "A shed".to_string());
        let gym = Gym {
            id,
            name,
            items: self.kit.clone(),
            stock: self.stock.clone(),
            ceiling_m: self.ceiling_m,
            ..Gym::default()
        };
        Inventory::of(kb(), &gym).unwrap()
    }

    fn ask(&self) -> Ranking<'static> {
        let question = Question {
            original: self.original,
            sore: &self.sore,
            inventory: &self.inventory(),
            aim: self.aim,
            max_spine: self.max_spine,
            skill: self.skill,
            skip: &self.skip,
            top: self.top,
            explain: true,
        };
        rank::rank(kb(), &question)
    }

    /// Every row that passes all gates.
    fn passing(&self) -> BTreeSet<usize> {
        let all = Self { top: kb().len(), ..self.clone() }.ask();
        let passing: BTreeSet<usize> = all.picks.iter().filter(|p| p.reservation.is_none()).map(|p| p.row).collect();
        assert_eq!(passing.len(), all.passed, "passed counts the picks that pass");
        passing
    }

    /// The same question as a request of the outer door.
    fn request(&self) -> swap::Request {
        let inventory = self.inventory();
        let id = |row: &usize| kb().ids[*row].clone();
        let region = |s: &Sore| kb().regions[s.region].id.clone();
        let ask = |s: &Sore| swap::SoreAsk {
            region: region(s),
            aggravator: s.aggravator_name(kb()).map(str::to_string),
            level: Some(s.level),
            pain: None,
        };
        swap::Request {
            exercise: id(&self.original),
            sore: self.sore.iter().map(ask).collect(),
            gym: Some(swap::GymAsk::Own(Box::new(Gym {
                id: inventory.id,
                name: inventory.name,
                items: self.kit.clone(),
                stock: self.stock.clone(),
                ceiling_m: self.ceiling_m,
                ..Gym::default()
            }))),
            aim: Some(self.aim),
            max_spine: self.max_spine.map(|c| SpineClass::ALL[usize::from(c)]),
            max_skill: self.skill,
            skip: self.skip.iter().map(id).collect(),
            top: Some(self.top),
            why: true,
            ..swap::Request::default()
        }
    }
}

fn a_sore() -> impl Strategy<Value = Sore> {
    let regions = 0..kb().regions.len();
    (regions, any::<Option<Index>>(), select(Level::ALL)).prop_map(|(region, which, level)| {
        let start = usize::from(kb().aggravator_start[region]);
        let tokens = kb().regions[region].aggravators.len();
        let aggravator = which.filter(|_| tokens > 0).map(|i| start + i.index(tokens));
        Sore { region, aggravator, level }
    })
}

fn some_kit() -> impl Strategy<Value = Vec<String>> {
    let items: Vec<String> = kb().equipment.iter().map(|q| q.id.clone()).collect();
    let most = items.len();
    subsequence(items, 0..=most)
}

fn a_stock() -> impl Strategy<Value = Stock> {
    let kg = || proptest::option::of((0u16..120).prop_map(f64::from));
    (kg(), kg(), kg(), kg()).prop_map(|(dumbbell_max_kg, kettlebell_max_kg, plates_total_kg, sandbag_max_kg)| Stock {
        dumbbell_max_kg,
        kettlebell_max_kg,
        plates_total_kg,
        sandbag_max_kg,
        ..Stock::default()
    })
}

fn a_question() -> impl Strategy<Value = Plain> {
    let rows = kb().len();
    let floor = (some_kit(), a_stock(), proptest::option::of((180u16..400).prop_map(|cm| f64::from(cm) / 100.0)));
    let limits =
        (proptest::option::of(0u8..5), proptest::option::of(1u8..=5), proptest::collection::vec(0..rows, 0..4));
    (0..rows, proptest::collection::vec(a_sore(), 0..3), floor, select(Aim::ALL), limits, 1usize..=50).prop_map(
        |(original, sore, (kit, stock, ceiling_m), aim, (max_spine, skill, skip), top)| Plain {
            original,
            sore,
            kit,
            stock,
            ceiling_m,
            aim,
            max_spine,
            skill,
            skip,
            top,
        },
    )
}

proptest! {
    #![proptest_config(config())]

    /// A new item on the floor never costs a substitute.
    #[test]
    fn an_exact_name_is_the_first_hit_of_a_search(at in any::<Index>(), which in any::<Index>()) {
        let row = at.index(kb().len());
        let exercise = kb().exercise(row).unwrap();
        let names: Vec<&String> = [&exercise.id, &exercise.name].into_iter().chain(&exercise.aliases).collect();
        let text = (*which.get(&names)).clone();
        let reply = find::answer(&ENGINE, &find::Request { text, top: Some(3) }).unwrap();
        prop_assert_eq!(reply.hits[0].exercise.id, exercise.id.as_str());
    }

    #[test]
    fn more_kit_never_loses_a_substitute(question in a_question(), more in some_kit()) {
        let before = question.passing();
        let mut kit = question.kit.clone();
        kit.extend(more);
        let after = Plain { kit, ..question }.passing();
        prop_assert!(before.is_subset(&after), "lost {:?}", names(before.difference(&after)));
    }

    /// Neither does a heavier stock or a higher ceiling.
    #[test]
    fn more_weight_or_height_never_loses_a_substitute(question in a_question(), kg in 0u16..200, cm in 0u16..300) {
        let before = question.passing();
        let add = |have: Option<f64>| have.map(|h| (h + f64::from(kg)).min(600.0));
        let stock = Stock {
            dumbbell_max_kg: add(question.stock.dumbbell_max_kg),
            kettlebell_max_kg: add(question.stock.kettlebell_max_kg),
            plates_total_kg: add(question.stock.plates_total_kg),
            sandbag_max_kg: add(question.stock.sandbag_max_kg),
            ..Stock::default()
        };
        let ceiling_m = question.ceiling_m.map(|m| m + f64::from(cm) / 100.0);
        let after = Plain { stock, ceiling_m, ..question }.passing();
        prop_assert!(before.is_subset(&after), "lost {:?}", names(before.difference(&after)));
    }

    /// A limit or an exclusion only takes substitutes away. A sore region also says that its own
    /// muscles need not be kept, so there the law is that whatever passes spares it as its cap asks.
    #[test]
    fn a_gate_only_removes(question in a_question(), sore in a_sore(), spine in 0u8..5, skill in 1u8..=5, skip in 0..kb().len()) {
        let before = question.passing();
        let mut sorer = question.clone();
        sorer.sore.push(sore);
        let original = stead::rank::gates::joint_grade(kb(), &sore, question.original);
        let cap = stead::rank::gates::cap(&kb().ranking.caps[&sore.level], original);
        for row in sorer.passing() {
            let grade = stead::rank::gates::joint_grade(kb(), &sore, row);
            prop_assert!(grade <= cap, "{} is {grade}, at most {cap}", kb().ids[row]);
        }
        let limited = Plain { max_spine: Some(question.max_spine.map_or(spine, |s| s.min(spine))), ..question.clone() };
        let mut excluded = question.clone();
        excluded.skip.push(skip);
        for (what, changed) in [("spine limit", &limited), ("exclusion", &excluded)] {
            let after = changed.passing();
            prop_assert!(after.is_subset(&before), "{what} added {:?}", names(after.difference(&before)));
        }
        prop_assert!(!excluded.passing().contains(&skip));
        // Without a number of its own the skill gate has a default, so compare two numbers.
        let (low, high) = (skill.min(question.skill.unwrap_or(5)), skill.max(question.skill.unwrap_or(5)));
        let strict = Plain { skill: Some(low), ..question.clone() }.passing();
        let lenient = Plain { skill: Some(high), ..question }.passing();
        prop_assert!(strict.is_subset(&lenient), "skill added {:?}", names(strict.difference(&lenient)));
    }

    /// A sorer region allows no higher grade.
    #[test]
    fn a_sorer_region_allows_no_more(original in 0u8..=4) {
        let at = |level| stead::rank::gates::cap(&kb().ranking.caps[&level], original);
        let (mild, moderate, severe) = (at(Level::Mild), at(Level::Moderate), at(Level::Severe));
        prop_assert!(severe <= moderate && moderate <= mild && mild <= original);
        prop_assert!(original == 0 || moderate < original, "moderate soreness asks for less than the original");
    }

    /// Every score is what its explanation adds up to.
    #[test]
    fn leaves_add_up_to_the_score(question in a_question()) {
        for pick in question.ask().picks {
            let leaves = pick.explanation.expect("asked for").leaves();
            prop_assert!((leaves - pick.score).abs() < 0.01, "{}: {} from {leaves}", kb().ids[pick.row], pick.score);
            prop_assert!((0.0..=100.0).contains(&pick.score));
        }
        let request = question.request();
        for substitute in swap::answer(&ENGINE, &request).unwrap().substitutes {
            let why = substitute.why.expect("asked for");
            prop_assert!((leaves(&why) - substitute.score).abs() < 0.02, "{}", substitute.id);
            prop_assert!((why.points - substitute.score).abs() < 0.01, "{}", substitute.id);
        }
    }

    /// The same question gives the same bytes, also from an engine of its own.
    #[test]
    fn the_order_is_stable(question in a_question()) {
        static OTHER: LazyLock<Engine> = LazyLock::new(|| Engine::shipped().unwrap());
        let request = question.request();
        let bytes = |engine| serde_json::to_string(&swap::answer(engine, &request).unwrap()).unwrap();
        prop_assert_eq!(bytes(&ENGINE), bytes(&OTHER));
    }

    /// Points decide, then the id; only thinning moves a near-duplicate back, and no further than
    /// behind the first five. What does not fit stands after what does.
    #[test]
    fn the_order_is_total(question in a_question()) {
        let ranking = question.ask();
        let ids: BTreeSet<usize> = ranking.picks.iter().map(|p| p.row).collect();
        prop_assert_eq!(ids.len(), ranking.picks.len());
        prop_assert!(ranking.picks.len() <= question.top);
        let fits = ranking.picks.iter().take_while(|p| p.reservation.is_none()).count();
        prop_assert!(ranking.picks.iter().skip(fits).all(|p| p.reservation.is_some()));
        let key = |p: &rank::Pick| (std::cmp::Reverse(p.points), kb().ids[p.row].clone());
        let rest = &ranking.picks[fits.min(5)..fits];
        prop_assert!(rest.windows(2).all(|w| key(&w[0]) < key(&w[1])));
        let second = &ranking.picks[fits..];
        prop_assert!(second.windows(2).all(|w| key(&w[0]) < key(&w[1])));
        prop_assert!(second.is_empty() || ranking.passed < 3);
    }

    /// While others pass, the first five hold at most two of one parent and come from at least
    /// three parents.
    #[test]
    fn near_duplicates_are_thinned(question in a_question()) {
        let parent = |row: usize| kb().table.rows[row].parent;
        let passing = question.passing();
        let all = Plain { top: 5, ..question.clone() }.ask();
        let first: Vec<RowId> = all.picks.iter().filter(|p| p.reservation.is_none()).map(|p| parent(p.row)).collect();
        let possible: BTreeSet<RowId> = passing.iter().map(|row| parent(*row)).collect();
        let shown: BTreeSet<RowId> = first.iter().copied().collect();
        prop_assert!(shown.len() >= possible.len().min(3).min(first.len()), "{shown:?} of {possible:?}");
        // More than two of one parent only where everything else is well behind.
        let most = first.iter().map(|p| first.iter().filter(|q| *q == p).count()).max().unwrap_or(0);
        if most > 2 {
            let shown_rows: Vec<usize> = all.picks.iter().map(|p| p.row).collect();
            let third = all.picks.iter().map(|p| p.points).min().unwrap_or(0);
            let long = Plain { top: 50, ..question }.ask();
            let others = long.picks.iter().filter(|p| !shown_rows.contains(&p.row) && !shown.contains(&parent(p.row)));
            prop_assert!(others.map(|p| p.points).max().unwrap_or(0) <= third.max(1) * 101 / 100, "{first:?}");
        }
    }

    /// Shorter answers begin longer ones.
    #[test]
    fn a_longer_answer_begins_like_a_shorter_one(question in a_question(), more in 0usize..20) {
        let from = question.top.max(5);
        let short = Plain { top: from, ..question.clone() }.ask();
        let long = Plain { top: from + more, ..question }.ask();
        prop_assert!(short.picks.iter().zip(&long.picks).all(|(a, b)| a.row == b.row));
    }

    /// An emergency sign leaves nothing but the advice to get help.
    #[test]
    fn an_emergency_suppresses_every_exercise(question in a_question(), which in any::<Index>()) {
        let emergencies: Vec<_> = kb().cautions.signs.iter().filter(|s| s.urgency.word() == "emergency").collect();
        let sign = emergencies[which.index(emergencies.len())];
        let request = swap::Request { signs: vec![sign.id.clone()], ..question.request() };
        let reply = swap::answer(&ENGINE, &request).unwrap();
        prop_assert!(!reply.has_answer() && reply.pair.is_none() && reply.nearest_kit.is_empty() && reply.refused.is_empty());
        prop_assert!(reply.improvised.is_empty() && reply.also_helps.is_empty());
        prop_assert!(!reply.signs.is_empty());
    }

    /// What is improvised cannot be done with the kit as it is, scores no less than the third shown,
    /// takes one item that is not there, and is shown when stand-ins count.
    #[test]
    fn the_improvised_needs_its_stand_in(question in a_question()) {
        let inventory = question.inventory();
        let reply = swap::answer(&ENGINE, &question.request()).unwrap();
        let bar = reply.substitutes.get(2).map_or(0.0, |s| s.score);
        let all = swap::Request { improvise: true, top: Some(50), ..question.request() };
        let all = swap::answer(&ENGINE, &all).unwrap();
        prop_assert!(reply.improvised.len() <= 3 && all.improvised.is_empty());
        for one in &reply.improvised {
            let row = kb().row_of(one.id).unwrap();
            prop_assert!(!inventory.has_kit_for(kb(), row), "{} needs no stand-in", one.id);
            prop_assert!(one.score + 0.01 >= bar && !one.stand_in.how.is_empty() && !one.stand_in.caution.is_empty());
            let items: Vec<&str> = kb().kit_names(inventory.kit).map(|q| q.id.as_str()).collect();
            let missing: Vec<&&str> = one.kit.iter().filter(|i| !items.contains(*i)).collect();
            prop_assert_eq!(missing, vec![&one.stand_in.item]);
            prop_assert!(one.stand_in.items.iter().all(|i| items.contains(i)), "{}", one.id);
            let shown = all.substitutes.iter().find(|s| s.id == one.id);
            prop_assert!(shown.is_some() || all.passed > all.substitutes.len(), "{}", one.id);
            prop_assert!(shown.is_none_or(|s| s.stand_in.as_ref() == Some(&one.stand_in) && (s.score - one.score).abs() < 1e-9));
        }
        // Whatever has its kit needs no stand-in, and counting stand-ins takes nothing away.
        for substitute in &all.substitutes {
            let row = kb().row_of(substitute.id).unwrap();
            prop_assert_eq!(substitute.stand_in.is_none(), inventory.has_kit_for(kb(), row), "{}", substitute.id);
        }
        prop_assert!(all.passed >= reply.passed);
    }

    /// A base without stand-ins and a base with them give the same substitutes, unless they count.
    #[test]
    fn stand_ins_change_no_substitute_unasked(question in a_question()) {
        static BARE: LazyLock<Engine> = LazyLock::new(without_stand_ins);
        let request = question.request();
        let with = swap::answer(&ENGINE, &request).unwrap();
        let without = swap::answer(&BARE, &request).unwrap();
        prop_assert!(with.substitutes.iter().all(|s| s.stand_in.is_none()));
        prop_assert_eq!(with.substitutes, without.substitutes);
        prop_assert_eq!((with.passed, with.pair, with.nearest_kit), (without.passed, without.pair, without.nearest_kit));
        prop_assert_eq!(with.refused, without.refused);
        prop_assert_eq!(with.also_helps, without.also_helps);
        prop_assert!(without.improvised.is_empty());
    }

    /// Light work is prehab or decompression for a region that is sore, within the caps of every
    /// sore region, possible here, and never among the substitutes.
    #[test]
    fn what_also_helps_spares_what_is_sore(question in a_question()) {
        let inventory = question.inventory();
        let reply = swap::answer(&ENGINE, &question.request()).unwrap();
        prop_assert!(reply.also_helps.len() <= 3 && (!question.sore.is_empty() || reply.also_helps.is_empty()));
        for one in &reply.also_helps {
            let row = kb().row_of(one.id).unwrap();
            let record = kb().exercise(row).unwrap();
            prop_assert!(!stead::kb::check::is_training(record.role) && record.helps.iter().any(|r| r == one.region));
            prop_assert!(reply.substitutes.iter().all(|s| s.id != one.id) && row != question.original);
            prop_assert!(inventory.has_kit_for(kb(), row) && !question.skip.contains(&row));
            prop_assert!(question.max_spine.is_none_or(|most| kb().table.rows[row].spine <= most));
            for sore in &question.sore {
                let region = kb().table.grades_of(row)[sore.region];
                let grade = stead::rank::gates::joint_grade(kb(), sore, row);
                prop_assert!(grade <= kb().ranking.caps[&sore.level].at_most.min(2), "{}", one.id);
                prop_assert!(sore.level != Level::Severe || region <= 1, "{} is {region}", one.id);
                let provoked = sore.aggravator.map_or(0, |column| kb().table.aggravators_of(row)[column]);
                prop_assert!(provoked <= u8::from(sore.level != Level::Severe), "{} is provoked", one.id);
            }
        }
        let severe = |id: &str| question.sore.iter().any(|s| s.level == Level::Severe && kb().regions[s.region].id == id);
        let told = reply.notes.iter().any(|n| n.contains("ask a clinician first"));
        prop_assert_eq!(told, reply.also_helps.iter().any(|o| severe(o.region)));
    }

    /// Whatever stands in a request, the answer is a reply or an error that names its place.
    #[test]
    fn no_request_panics(request in a_wild_request()) {
        if let Err(e) = swap::answer(&ENGINE, &request) {
            prop_assert!(!e.to_string().is_empty() && !e.code().is_empty());
            prop_assert!(e.is_bad_request(), "{e}");
            prop_assert!(e.pointer().is_empty() || e.pointer().starts_with('/'));
        }
    }

    /// The same for the smaller questions.
    #[test]
    fn no_small_request_panics(text in a_word(), other in a_word(), words in proptest::collection::vec(a_word(), 0..3), top in proptest::option::of(any::<usize>())) {
        let _ = find::answer(&ENGINE, &find::Request { text: text.clone(), top });
        let _ = show::answer(&ENGINE, &show::Request { exercise: text.clone() });
        let _ = terms::answer(&ENGINE, &terms::Request { kind: Some(text.clone()) });
        let _ = list::answer(&ENGINE, &list::Request { pattern: Some(text.clone()), ..list::Request::default() });
        let _ = list::answer(&ENGINE, &list::Request { muscle: Some(other), kind_to: words.clone(), ..list::Request::default() });
        let _ = list::answer(&ENGINE, &list::Request { gym: Some(swap::GymAsk::Named(text)), have: words, ..list::Request::default() });
    }

    /// Request JSON with single bytes changed is read or refused.
    #[test]
    fn no_request_json_panics(question in a_question(), at in any::<Index>(), byte in any::<u8>()) {
        let mut text = serde_json::to_vec(&question.request()).unwrap();
        let at = at.index(text.len());
        text[at] = byte;
        if let Ok(request) = serde_json::from_slice::<swap::Request>(&text) {
            let _ = swap::answer(&ENGINE, &request);
        }
    }

    /// Base JSON with a piece changed is compiled or refused with a report.
    #[test]
    fn no_base_json_panics(file in any::<Index>(), at in any::<Index>(), piece in select(PIECES), long in 0usize..12) {
        let mut files = Files::read(&root().join("tests/mini")).unwrap();
        let path = files.0.keys().nth(file.index(files.0.len())).unwrap().clone();
        let text = files.0.get_mut(&path).unwrap();
        let mut chars: Vec<char> = text.chars().collect();
        let at = at.index(chars.len());
        let end = (at + long).min(chars.len());
        chars.splice(at..end, piece.chars());
        *text = chars.into_iter().collect();
        let layers = [files];
        let (_, problems) = examine(&layers);
        match Engine::from_layers(&layers) {
            Ok(engine) => {
                let request = swap::Request { exercise: "bar-squat".to_string(), ..swap::Request::default() };
                let _ = swap::answer(&engine, &request);
                let _ = find::answer(&engine, &find::Request { text: "squat".to_string(), top: None });
                let _ = terms::answer(&engine, &terms::Request::default());
            }
            Err(e) => prop_assert!(!problems.is_empty(), "{e}"),
        }
    }
}

/// The shipped base with its stand-ins taken out.
fn without_stand_ins() -> Engine {
    let mut files = Engine::shipped_files();
    let text = files.0.get_mut("taxonomy/equipment.json").unwrap();
    let mut value: serde_json::Value = serde_json::from_str(text).unwrap();
    for item in value["equipment"].as_array_mut().unwrap() {
        item.as_object_mut().unwrap().remove("stand_ins");
    }
    *text = value.to_string();
    Engine::from_layers(&[files]).unwrap()
}

/// What is put into base JSON: pieces that mean something to the reader.
const PIECES: &[&str] = &[
    "",
    "null",
    "-1",
    "0",
    "255",
    "1e308",
    "\"\"",
    "[]",
    "{}",
    "true",
    "\"bar-squat\"",
    "\"id\": ",
    "\"like\": \"bar-squat\", ",
    ",",
    "{",
    "}",
    "[",
    "]",
    "\"",
    "\u{0}",
    "\u{e9}",
    "9",
    "-",
    "a",
];

fn names<'a>(rows: impl Iterator<Item = &'a usize>) -> Vec<&'static str> {
    rows.map(|row| kb().ids[*row].as_str()).collect()
}

fn leaves(why: &swap::Why) -> f64 {
    if why.parts.is_empty() { why.points } else { why.parts.iter().map(leaves).sum() }
}

/// A word of the base, one with slips in it, or anything at all.
fn a_word() -> impl Strategy<Value = String> {
    let kb = kb();
    let mut known: Vec<String> = kb.names_shown.iter().chain(&kb.ids).cloned().collect();
    known.extend(kb.regions.iter().flat_map(|r| r.aliases.iter().chain([&r.id])).cloned());
    known.extend(kb.equipment.iter().map(|q| q.id.clone()));
    known.extend(kb.gyms.iter().map(|g| g.id.clone()));
    known.extend(kb.cautions.signs.iter().map(|s| s.id.clone()));
    known.extend(terms::KINDS.iter().map(|k| k.to_string()));
    let slipped = (select(known.clone()), any::<Index>(), any::<char>()).prop_map(|(word, at, c)| {
        let mut chars: Vec<char> = word.chars().collect();
        let at = at.index(chars.len());
        chars[at] = c;
        chars.into_iter().collect()
    });
    prop_oneof![select(known), slipped, any::<String>(), "[ \\t]*", "\\PC{0,600}"]
}

fn a_number() -> impl Strategy<Value = f64> {
    prop_oneof![any::<f64>(), (0u8..12).prop_map(f64::from), Just(f64::NAN), Just(f64::INFINITY), Just(-0.0)]
}

fn a_wild_request() -> impl Strategy<Value = swap::Request> {
    use proptest::collection::vec;
    use proptest::option::of;
    let exercise = prop_oneof![3 => select(kb().ids.clone()), 1 => a_word()];
    let sore = (a_word(), of(a_word()), of(select(Level::ALL)), of(a_number()))
        .prop_map(|(region, aggravator, level, pain)| swap::SoreAsk { region, aggravator, level, pain });
    let known_sore = a_sore().prop_map(|s| swap::SoreAsk {
        region: kb().regions[s.region].id.clone(),
        aggravator: s.aggravator_name(kb()).map(str::to_string),
        level: Some(s.level),
        pain: None,
    });
    let stock = of(a_number()).prop_map(|plates_total_kg| Stock { plates_total_kg, ..Stock::default() });
    let items = prop_oneof![some_kit(), vec(a_word(), 0..3)];
    let own = (a_word(), items.clone(), stock, of(a_number())).prop_map(|(id, items, stock, ceiling_m)| Gym {
        name: id.clone(),
        id,
        items,
        stock,
        ceiling_m,
        ..Gym::default()
    });
    let gym = prop_oneof![a_word().prop_map(swap::GymAsk::Named), own.prop_map(|g| swap::GymAsk::Own(Box::new(g)))];
    let sores = prop_oneof![vec(known_sore, 0..5), vec(sore, 0..3)];
    let limits =
        (of(select(SpineClass::ALL)), of(any::<u8>()), of(prop_oneof![0usize..60, any::<usize>()]), any::<bool>());
    let lists = (vec(a_word(), 0..3), prop_oneof![4 => Just(Vec::new()), 1 => vec(a_word(), 0..3)]);
    let load = of(prop_oneof![0.0..=600.0f64, a_number()]);
    let did = of((a_number(), any::<u8>(), of(a_number())));
    let body = ((load, did), of(prop_oneof![25.0..=300.0f64, a_number()]), of(select(Sex::ALL)));
    (exercise, sores, of(gym), items, of(select(Aim::ALL)), limits, lists, body).prop_map(
        |(
            exercise,
            sore,
            gym,
            have,
            aim,
            (max_spine, max_skill, top, why),
            (skip, signs),
            ((load, did), mass, sex),
        )| {
            swap::Request {
                exercise,
                sore,
                gym,
                have,
                // One coin for both: neither changes what the other does.
                improvise: why,
                aim,
                max_spine,
                max_skill,
                skip,
                top,
                why,
                signs,
                did: did.map(|(load, reps, rir)| SetAsk { load, unit: None, reps: u32::from(reps), rir }),
                for_reps: max_skill.map(u32::from),
                known_load_kg: load,
                body_mass_kg: mass,
                height_m: None,
                sex,
            }
        },
    )
}

/// The shipped texts are what the engine was built from, so the laws speak of the shipped base.
#[test]
fn the_laws_speak_of_the_shipped_base() {
    let version: serde_json::Value = serde_json::from_str(&read("kb/base.json")).unwrap();
    assert_eq!(version["version"], kb().base.version.as_str());
}
