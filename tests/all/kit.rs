//! What to buy next: the search beside brute force, its laws, facts of the trade, both doors.
//!
//! Leans on the catalogue of the shipped base and on seeded random catalogues and worths. Leaves to
//! others: substitutes (`tests/all/laws.rs`) and a week's table (`tests/all/week.rs`).

use std::collections::BTreeMap;
use std::process::Command;
use std::sync::{Arc, LazyLock};

use actix_web::rt::System;
use actix_web::test::{TestRequest, call_service, init_service, read_body};
use fastrand::Rng;
use proptest::prelude::*;
use proptest::sample::select;
use serde_json::{Value, json};
use stead::ask::kit::{Reply, Request, Why, answer};
use stead::ask::swap::{self, GymAsk, SoreAsk};
use stead::ask::{Engine, schema};
use stead::gym::buy::{Found, Offer, Outlook, Room, Set, Thing, Worth, best, bits, is_better};
use stead::gym::{Inventory, closed};
use stead::kb::files::Files;
use stead::kb::raw::{Aim, Gym, Level, Stock};
use stead::rank::Sore;
use stead::rank::basket::{Basket, Brings, Case};

static ENGINE: LazyLock<Arc<Engine>> = LazyLock::new(|| Arc::new(Engine::shipped().expect("the shipped base opens")));

fn ask(request: &Request) -> Reply<'static> {
    answer(&ENGINE, request).expect("an answer")
}

fn named(gym: &str, budget: f64) -> Request {
    Request { gym: Some(GymAsk::Named(gym.to_string())), budget: Some(budget), ..Request::default() }
}

fn gym(items: &[&str]) -> Gym {
    serde_json::from_value(json!({"id": "shed", "name": "The winch shed", "items": items})).expect("a gym")
}

fn own(gym: Gym, budget: f64) -> Request {
    Request { gym: Some(GymAsk::Own(Box::new(gym))), budget: Some(budget), ..Request::default() }
}

fn sore(region: &str) -> SoreAsk {
    SoreAsk { region: region.to_string(), level: Some(Level::Moderate), ..SoreAsk::default() }
}

/// The best advice of all sets, looked at one by one.
fn brute(offer: &Offer<'_>, worth: &impl Worth) -> Found {
    let things: Vec<usize> = bits(offer.open).collect();
    let set =
        |n: usize| things.iter().enumerate().filter(|(at, _)| n >> at & 1 == 1).fold(0, |s: Set, (_, i)| s | 1 << i);
    let all: Vec<u64> = (0..1 << things.len()).map(|n| worth.of(set(n))).collect();
    let mut found = Found { set: 0, worth: all[0], price: 0, stored: 0, nodes: 0, proven: true };
    for n in 1..all.len() {
        let one = set(n);
        let Room { money, stored } = offer.takes(one);
        let earns =
            (0..things.len()).filter(|at| n >> at & 1 == 1).all(|at| all[n & !(1 << at)] + offer.least <= all[n]);
        let fits = money <= offer.room.money && stored <= offer.room.stored;
        let candidate = Found { set: one, worth: all[n], price: money, stored, nodes: 0, proven: true };
        if fits && earns && offer.stands(one) && is_better(&candidate, &found) {
            found = candidate;
        }
    }
    found
}

/// A worth of its own, which knows nothing but what a set is worth: over a few questions the best
/// answers that the kit allows.
struct Plain<'a> {
    offer: Offer<'a>,
    questions: Vec<Vec<(Set, u64)>>,
}

impl Worth for Plain<'_> {
    fn of(&self, bought: Set) -> u64 {
        let kit = self.offer.kit(bought);
        let one = |question: &Vec<(Set, u64)>| {
            let mut scores: Vec<u64> = question.iter().filter(|(need, _)| need & !kit == 0).map(|(_, s)| *s).collect();
            scores.sort_unstable_by(|a, b| b.cmp(a));
            scores.iter().zip([6, 3, 1]).map(|(score, share)| score * share).sum::<u64>()
        };
        self.questions.iter().map(one).sum()
    }
}

fn random_things(rng: &mut Rng, count: usize) -> Vec<Thing> {
    (0..count)
        .map(|_| Thing {
            price: rng.u64(1..60),
            stored: rng.u64(0..40),
            gives: (0..rng.usize(1..3)).fold(0, |kit, _| kit | 1 << rng.u32(0..12)),
            needs: (0..rng.usize(0..3).saturating_sub(1)).map(|_| 1 << rng.u32(0..12)).collect(),
        })
        .collect()
}

#[test]
fn the_optimum_equals_brute_force_for_any_worth() {
    let (mut bought, mut needy) = (0, 0);
    for seed in 0..200 {
        let mut rng = Rng::with_seed(seed);
        let count = rng.usize(4..11);
        let things = random_things(&mut rng, count);
        let offer = Offer {
            things: &things,
            open: (1 << count) - 1,
            owned: 1 << rng.u32(0..12),
            room: Room { money: rng.u64(20..200), stored: rng.u64(10..150) },
            least: rng.u64(0..40),
            most_nodes: u64::MAX,
        };
        let need = |rng: &mut Rng| (0..rng.usize(1..4)).fold(0, |kit: Set, _| kit | 1 << rng.u32(0..12));
        let questions = (0..rng.usize(1..6))
            .map(|_| (0..rng.usize(1..9)).map(|_| (need(&mut rng), rng.u64(1..50))).collect())
            .collect();
        let worth = Plain { offer, questions };
        let (found, should) = (best(&offer, &worth, 0), brute(&offer, &worth));
        assert!(found.proven, "seed {seed}");
        assert_eq!((found.set, found.worth, found.price), (should.set, should.worth, should.price), "seed {seed}");
        // A set known before changes nothing.
        assert_eq!(best(&offer, &worth, should.set).set, should.set, "seed {seed}");
        bought += usize::from(found.set != 0);
        needy += usize::from(bits(found.set).any(|i| !things[i].needs.is_empty()));
    }
    assert!(bought > 100 && needy > 10, "{bought} {needy}: the catalogues ask for too little");
}

/// A small random catalogue of the shipped base's things at random prices, for a random gym and a
/// random basket.
struct Small {
    things: Vec<Thing>,
    basket: Basket,
    owned: Set,
    room: Room,
    least: u64,
}

impl Small {
    fn new(seed: u64, count: usize) -> Self {
        let kb = ENGINE.kb();
        let mut rng = Rng::with_seed(seed);
        let bit = |id: &String| kb.equipment.iter().position(|q| q.id == *id).map_or(0, |at| 1 << at);
        let set = |ids: &[String]| ids.iter().fold(0, |s: Set, id| s | bit(id));
        let mut ids: Vec<&String> =
            kb.catalogue.items.iter().filter(|(_, s)| !s.gives.is_empty()).map(|(id, _)| id).collect();
        rng.shuffle(&mut ids);
        // Half of them such as a small home buys.
        let usual =
            ["barbell-20", "plates-50", "squat-stands", "adjustable-bench", "dumbbell-handles", "bands", "rings"];
        let first = usual.iter().filter(|_| rng.bool()).filter_map(|id| kb.catalogue.items.get_key_value(*id));
        let mut chosen: Vec<&String> = first.map(|(id, _)| id).collect();
        ids.retain(|id| !chosen.contains(id));
        chosen.extend(ids);
        chosen.truncate(count);
        let sold: Vec<_> = chosen.iter().map(|id| &kb.catalogue.items[*id]).collect();
        let things: Vec<Thing> = sold
            .iter()
            .map(|s| Thing {
                price: rng.u64(1..40),
                stored: (s.space.stored_m2 * 10_000.0) as u64,
                gives: closed(kb, set(&s.gives)) & !kb.baseline,
                needs: s.needs.iter().map(|alternative| set(alternative)).collect(),
            })
            .collect();
        let brings = things.iter().zip(&sold).map(|(thing, s)| Brings {
            kit: thing.gives,
            weights: s.stock.clone(),
            price: thing.price,
        });
        let homes: [&[&str]; 5] =
            [&[], &["barbell", "plates"], &["rack", "barbell", "plates"], &["dumbbells"], &["bands", "pull-up-bar"]];
        let mut home = gym(homes[rng.usize(0..homes.len())]);
        home.stock = Stock {
            dumbbell_max_kg: Some(rng.f64() * 20.0 + 2.0),
            plates_total_kg: Some(rng.f64() * 100.0 + 10.0),
            ..Stock::default()
        };
        home.ceiling_m = rng.bool().then_some(2.2);
        let inventory = Inventory::of(kb, &home).unwrap();
        let cases: Vec<Case> = (0..4)
            .map(|_| Case {
                original: rng.usize(0..kb.len()),
                sore: (0..rng.usize(0..2))
                    .map(|_| Sore { region: rng.usize(0..kb.regions.len()), aggravator: None, level: Level::Moderate })
                    .collect(),
                weight: rng.u32(1..4),
            })
            .collect();
        let basket = Basket::new(kb, &cases, &inventory, brings.collect(), Aim::Size, &kb.catalogue.basket);
        let least = basket.whole() / 1000 * rng.u64(0..15);
        let room = Room { money: rng.u64(10..120), stored: rng.u64(1_000..60_000) };
        Self { things, basket, owned: inventory.kit, room, least }
    }

    fn offer(&self) -> Offer<'_> {
        let open = (1 << self.things.len()) - 1;
        Offer {
            things: &self.things,
            open,
            owned: self.owned,
            room: self.room,
            least: self.least,
            most_nodes: u64::MAX,
        }
    }
}

#[test]
fn the_optimum_of_questions_equals_brute_force_on_random_catalogues() {
    let (mut bought, mut several) = (0, 0);
    for seed in 0..200 {
        let small = Small::new(seed, 7);
        let offer = small.offer();
        let (found, should) = (best(&offer, &small.basket, 0), brute(&offer, &small.basket));
        assert_eq!((found.set, found.worth, found.price), (should.set, should.worth, should.price), "seed {seed}");
        assert!(found.proven);
        bought += usize::from(found.set != 0);
        several += usize::from(found.set.count_ones() > 1);
    }
    assert!(bought > 100 && several > 40, "{bought} {several}");
}

#[test]
fn a_worth_never_falls_and_never_rises_past_its_outlook() {
    for seed in 200..300 {
        let small = Small::new(seed, 12);
        let mut rng = Rng::with_seed(seed);
        let all: Set = (1 << small.things.len()) - 1;
        for _ in 0..8 {
            let bought = Set::from(rng.u32(..)) & Set::from(rng.u32(..)) & all;
            let open = Set::from(rng.u32(..)) & all & !bought;
            let outlook = small.basket.outlook(bought, open);
            assert_eq!(outlook.worth, small.basket.of(bought));
            let more = Set::from(rng.u32(..)) & open;
            let worth = small.basket.of(bought | more);
            assert!(worth >= outlook.worth, "seed {seed}");
            assert!(worth <= outlook.worth + reach(&outlook, more), "seed {seed}");
            for i in bits(more) {
                let lost = worth - small.basket.of(bought | more & !(1 << i));
                assert!(lost <= outlook.most[i], "seed {seed}: thing {i} {lost} {}", outlook.most[i]);
            }
        }
    }
}

/// What an outlook says that things may add.
fn reach(outlook: &Outlook, more: Set) -> u64 {
    let mut by_part = vec![0; outlook.parts.len()];
    for (part, thing, rise) in &outlook.rises {
        by_part[*part] += if more >> thing & 1 == 1 { *rise } else { 0 };
    }
    by_part.iter().zip(&outlook.parts).map(|(sum, most)| sum.min(most)).sum()
}

/// Kit is weighed with what a swap says where everything is there.
#[test]
fn an_answer_is_worth_its_score_in_a_swap() {
    let kb = ENGINE.kb();
    let items: Vec<&str> = kb.equipment.iter().map(|q| q.id.as_str()).collect();
    let inventory = Inventory::of(kb, &gym(&items)).unwrap();
    for (id, region) in [("back-squat-high-bar", "knee"), ("deadlift-conventional", "low-back"), ("pull-up", "elbow")] {
        let row = kb.row_of(id).unwrap();
        let soreness = Sore { region: kb.region_at(region).unwrap(), aggravator: None, level: Level::Moderate };
        let cases = [Case { original: row, sore: vec![soreness], weight: 1 }];
        let counts = stead::kb::raw::Basket { answer_floor: 0.0, ..kb.catalogue.basket.clone() };
        let basket = Basket::new(kb, &cases, &inventory, Vec::new(), Aim::Size, &counts);
        let told = swap::answer(
            &ENGINE,
            &swap::Request {
                exercise: id.to_string(),
                sore: vec![sore(region)],
                top: Some(50),
                ..swap::Request::default()
            },
        )
        .unwrap();
        for top in basket.answers(0)[0] {
            let same = told.substitutes.iter().find(|s| s.id == kb.ids[top.row]).expect("among the substitutes");
            assert!((same.score - f64::from(top.score) / 100.0).abs() < 0.011, "{id}: {} {}", same.score, top.score);
        }
        assert_eq!(told.substitutes[0].id, kb.ids[basket.answers(0)[0][0].row]);
    }
}

#[test]
fn more_money_and_more_floor_never_lower_the_worth() {
    let worth = |request: &Request| {
        let reply = ask(request);
        reply.worth + reply.advice.map_or(0.0, |a| a.gain.points.typical)
    };
    for place in ["boathouse", "loft"] {
        let mut before = 0.0;
        for budget in [0.0, 40.0, 150.0, 320.0, 600.0, 900.0] {
            let now = worth(&named(place, budget));
            assert!(now >= before - 0.06, "{place} {budget}: {now} after {before}");
            before = now;
        }
        let mut before = 0.0;
        for floor_m2 in [0.0, 0.2, 0.8, 2.5] {
            let now = worth(&Request { floor_m2: Some(floor_m2), ..named(place, 500.0) });
            assert!(now >= before - 0.06, "{place} {floor_m2}: {now} after {before}");
            before = now;
        }
    }
    let reply = ask(&named("boathouse", 400.0));
    // What costs a tenth less and lacks less than half a point is told beside the best.
    let request = Request { sore: vec![sore("low-back")], ..named("boathouse", 1500.0) };
    let advice = ask(&request).advice.expect("advice");
    let nearly = advice.nearly.expect("a cheaper set");
    assert!(nearly.price < 0.9 * advice.price.typical && nearly.gain + 0.5 > advice.gain.points.typical, "{nearly:?}");
    assert!(reply.frontier.windows(2).all(|w| w[0].budget < w[1].budget && w[0].gain <= w[1].gain));
}

#[test]
fn advice_keeps_within_money_floor_ceiling_and_needs() {
    for (request, floor, ceiling) in [
        (Request { floor_m2: Some(0.5), ..named("boathouse", 700.0) }, 0.5, 3.2),
        (
            Request { ceiling_m: Some(2.1), floor_use_m2: Some(4.5), ..own(gym(&["barbell", "plates"]), 600.0) },
            99.0,
            2.1,
        ),
        (own(gym(&[]), 500.0), 99.0, 99.0),
    ] {
        let reply = ask(&request);
        let has: Vec<String> = match &request.gym {
            Some(GymAsk::Own(gym)) => gym.items.clone(),
            _ => ["barbell", "plates", "rack", "flat-bench", "chair"].map(str::to_string).to_vec(),
        };
        let advice = reply.advice.expect("advice");
        assert!(advice.price.typical <= request.budget.unwrap() && advice.stored_m2 <= floor + 1e-9);
        let catalogue = &ENGINE.kb().catalogue;
        let gives: Vec<&String> = advice.steps.iter().flat_map(|s| &catalogue.items[s.thing.id].gives).collect();
        for step in &advice.steps {
            assert!(step.thing.ceiling_m.is_none_or(|m| m <= ceiling), "{}", step.thing.id);
            let met =
                |alt: &Vec<&str>| alt.iter().all(|id| has.iter().any(|h| h == id) || gives.iter().any(|g| g == id));
            assert!(step.thing.needs.is_empty() || step.thing.needs.iter().any(met), "{}", step.thing.id);
            assert!(step.adds.points.typical >= catalogue.basket.least_gain - 0.01, "{}", step.thing.id);
            assert!(!step.adds.unlocks.is_empty() && !step.adds.fixes.is_empty(), "{}", step.thing.id);
        }
        for single in &reply.singles {
            let with: Vec<&String> = single.with.iter().flat_map(|w| &catalogue.items[w.id].gives).collect();
            let own = &catalogue.items[single.thing.id].gives;
            let there =
                |id: &&str| has.iter().any(|h| h == id) || with.iter().any(|g| g == id) || own.iter().any(|g| g == id);
            let met = single.thing.needs.is_empty() || single.thing.needs.iter().any(|alt| alt.iter().all(&there));
            assert!(met, "{} alone", single.thing.id);
            assert!(single.price.typical <= request.budget.unwrap());
            assert!(single.per_100.low <= single.per_100.typical && single.per_100.typical <= single.per_100.high);
        }
    }
}

#[test]
fn nothing_is_bought_where_nothing_helps_enough() {
    let reply = ask(&named("town", 1500.0));
    assert!(reply.advice.is_none() && reply.nothing.is_some_and(|n| n.starts_with("buy nothing")));
    let reply = ask(&named("boathouse", 5.0));
    assert!(reply.advice.is_none() && reply.singles.is_empty());
    assert!(reply.has_answer());
}

/// Strength coaches and physiotherapists name, for a home lifter with a rack and a bar and a sore low
/// back (practice sections 6.3 and 8.1): a way to load hips or hamstrings without the bar on the back,
/// and a way to press and row supported.
#[test]
fn trade_for_a_bare_rack_and_a_sore_low_back() {
    // A row with the chest or a hand on a pad, a press on a bench: weights for the hands, a bench.
    let supported = ["adjustable-bench", "flat-bench", "dumbbell-handles", "dumbbells-to-24", "dumbbells-to-40"];
    // Hips and hamstrings without the bar: back extension, curl, belt, bells, bands, pulleys.
    let hips =
        ["back-extension-bench", "ghd", "leg-extension-curl", "loading-belt", "kettlebells-16", "kettlebells-24"];
    let also = ["bands", "cable-tower", "lat-pulldown", "landmine", "sliders", "rings", "suspension-trainer"];
    for budget in [200.0, 600.0, 1500.0] {
        let request = Request { sore: vec![sore("low-back")], ..own(gym(&["rack", "barbell", "plates"]), budget) };
        let advice = ask(&request).advice.expect("advice");
        let first = advice.steps[0].thing.id;
        assert!(supported.contains(&first) || hips.contains(&first), "{budget}: {first}");
        let named = |id: &&str| supported.contains(id) || hips.contains(id) || also.contains(id);
        let ids: Vec<&str> = advice.steps.iter().map(|s| s.thing.id).collect();
        assert!(ids.iter().filter(|id| named(id)).count() * 2 >= ids.len(), "{budget}: {ids:?}");
        if budget >= 600.0 {
            let opens: Vec<&str> = advice.steps.iter().flat_map(|s| &s.adds.unlocks).map(|e| e.id).collect();
            assert!(opens.iter().any(|id| id.starts_with("hip-thrust") || id.contains("leg-curl")), "{opens:?}");
            assert!(opens.iter().any(|id| id.contains("row-chest-supported")), "{opens:?}");
            assert!(ids.iter().any(|id| supported.contains(id)), "{budget}: {ids:?}");
        }
    }
}

/// Practice section 8: weights that go on a bar are bought with the bar, a rack before a bar for the
/// back, and what is there is not bought again.
#[test]
fn trade_for_an_empty_room() {
    let reply = ask(&own(gym(&[]), 700.0));
    let ids: Vec<&str> = reply.advice.as_ref().expect("advice").steps.iter().map(|s| s.thing.id).collect();
    assert!(!ids.contains(&"safety-squat-bar"), "{ids:?}");
    let reply = ask(&named("boathouse", 300.0));
    assert!(reply.left_out.iter().any(|l| l.id == "squat-stands" && l.why == Why::Owned));
    let bench = reply.singles.iter().find(|s| s.thing.id == "adjustable-bench");
    assert!(bench.is_none_or(|s| s.thing.duplicates == ["flat-bench"]));
}

#[test]
fn a_gym_that_contradicts_itself_is_reported_with_place_and_way_out() {
    let rules = |gym: Value| -> Vec<(String, String)> {
        let gym: Gym = serde_json::from_value(gym).unwrap();
        let reply = ask(&own(gym, 300.0));
        assert!(reply.contradictions.iter().all(|c| !c.found.is_empty() && !c.way_out.is_empty()));
        reply.contradictions.iter().map(|c| (c.rule.to_string(), c.pointer.clone())).collect()
    };
    let with = |more: Value| {
        let mut gym = json!({"id": "shed", "name": "Shed", "items": ["barbell", "plates", "flat-bench"]});
        gym.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
        gym
    };
    let pair = |rule: &str, place: &str| (rule.to_string(), place.to_string());
    assert_eq!(rules(with(json!({}))), [pair("bench-alone", "/items/2")]);
    let racked = json!({"items": ["barbell", "plates", "flat-bench", "rack"]});
    assert_eq!(rules(with(racked.clone())), []);
    let mut low = racked.clone();
    low["ceiling_m"] = json!(2.3);
    assert_eq!(rules(with(low.clone())), [pair("overhead-ceiling", "/ceiling_m")]);
    // A lifter of 1.60 m stands under it: 1.60 x 1.25 + 0.25 = 2.25 m (practice section 8).
    low["body_height_m"] = json!(1.6);
    assert_eq!(rules(with(low)), []);
    assert_eq!(
        rules(json!({"id": "shed", "name": "Shed", "items": ["safety-squat-bar", "plates"], "ceiling_m": 1.9,
            "body_height_m": 1.85, "floor_use_m2": 3, "stock": {"dumbbell_max_kg": 20, "plates_total_kg": 200},
            "rated_kg": {"safety-squat-bar": 150, "rack": 300}})),
        [
            pair("needs", "/items/0"),
            pair("stock-item", "/stock/dumbbell_max_kg"),
            pair("ceiling-body", "/ceiling_m"),
            pair("ceiling-item", "/items/0"),
            pair("floor-item", "/items/0"),
            pair("rated-item", "/rated_kg/rack"),
            pair("rated-load", "/rated_kg/safety-squat-bar"),
            pair("overhead-ceiling", "/ceiling_m"),
        ]
    );
    // An overhead lift of the week under a low ceiling is named.
    let rows =
        serde_json::from_value(json!([{"day": "Mon", "exercise": "overhead press", "sets": 3, "reps": 5}])).unwrap();
    let low = gym_with_ceiling(2.3);
    let reply = ask(&Request { rows, ..own(low, 300.0) });
    assert!(reply.contradictions.iter().any(|c| c.rule == "week-ceiling" && c.found.contains("2.55")));
    assert_eq!(reply.question.unwrap().basket, "week");
}

fn gym_with_ceiling(ceiling_m: f64) -> Gym {
    Gym { ceiling_m: Some(ceiling_m), ..gym(&["barbell", "plates", "rack", "flat-bench"]) }
}

#[test]
fn an_overlay_changes_prices_and_currency() {
    let overlay =
        json!({"currency": "oars", "price_factor": 2, "items": {"bands": {"price": {"low": 10}}, "rings": null}});
    let text = overlay.to_string();
    let layers = [Engine::shipped_files(), Files::from_pairs(&[("catalogue.json", text.as_str())])];
    let engine = Engine::from_layers(&layers).unwrap();
    let catalogue = &engine.kb().catalogue;
    assert!((catalogue.currency.as_str(), catalogue.items["bands"].price.low) == ("oars", 10.0));
    assert!(!catalogue.items.contains_key("rings"));
    let reply = answer(&engine, &Request { top: Some(50), ..named("boathouse", 400.0) }).unwrap();
    let bands = reply.singles.iter().find(|s| s.thing.id == "bands").expect("bands");
    assert_eq!((bands.price.low, bands.price.high), (20.0, 210.0));
    // A price that the person was told stands for the catalogue's.
    let told =
        Request { prices: BTreeMap::from([("bands".to_string(), 7.0)]), top: Some(50), ..named("boathouse", 400.0) };
    let bands = answer(&engine, &told).unwrap();
    let bands = bands.singles.iter().find(|s| s.thing.id == "bands").expect("bands");
    assert_eq!((bands.price.typical, bands.thing.price_basis), (7.0, "yours"));
}

#[test]
fn an_emergency_suppresses_the_answer_and_wrong_values_are_named() {
    let reply = ask(&Request { signs: vec!["chest-pain".to_string()], ..named("boathouse", 600.0) });
    assert!(reply.question.is_none() && reply.advice.is_none() && reply.singles.is_empty() && !reply.signs.is_empty());
    for (request, pointer) in [
        (Request { budget: None, ..named("boathouse", 1.0) }, "/budget"),
        (named("boathouse", -1.0), "/budget"),
        (named("boathose", 100.0), "/gym"),
        (Request { gym: None, ..named("boathouse", 100.0) }, "/gym"),
        (Request { floor_m2: Some(-1.0), ..named("boathouse", 100.0) }, "/floor_m2"),
        (Request { skip: vec!["bnds".to_string()], ..named("boathouse", 100.0) }, "/skip/0"),
        (Request { top: Some(0), ..named("boathouse", 100.0) }, "/top"),
        (Request { have: vec!["oars".to_string()], ..named("boathouse", 100.0) }, "/have"),
    ] {
        assert_eq!(answer(&ENGINE, &request).unwrap_err().pointer(), pointer);
    }
}

#[test]
fn both_doors_give_the_same_reply_and_it_keeps_its_schema() {
    let request = Request { sore: vec![sore("low-back")], floor_m2: Some(2.5), ..named("boathouse", 300.0) };
    let args =
        ["kit", "--gym", "boathouse", "--budget", "300", "--floor", "2.5m2", "--sore", "low-back=moderate", "--json"];
    let said = Command::new(env!("CARGO_BIN_EXE_stead")).args(args).output().unwrap();
    assert!(said.status.success(), "{}", String::from_utf8_lossy(&said.stderr));
    let served = System::new().block_on(async {
        let app = stead::http::configure(Arc::clone(&ENGINE), stead::http::Limits::default());
        let app = init_service(actix_web::App::new().configure(app)).await;
        let asked = TestRequest::post().uri("/v1/kit").set_json(&request).to_request();
        read_body(call_service(&app, asked).await).await
    });
    assert_eq!(String::from_utf8_lossy(&said.stdout).trim_end(), String::from_utf8_lossy(&served));
    let schemas: BTreeMap<&str, Value> = schema::all().into_iter().collect();
    for (name, value) in [
        ("kit-reply.json", serde_json::from_slice(&served).unwrap()),
        ("kit-request.json", serde_json::to_value(&request).unwrap()),
        ("kit-reply.json", serde_json::to_value(ask(&named("town", 50.0))).unwrap()),
    ] {
        let validator = jsonschema::draft202012::new(&schemas[name]).unwrap();
        assert!(
            validator.is_valid(&value),
            "{name}: {:?}",
            validator.iter_errors(&value).next().map(|e| e.to_string())
        );
    }
}

#[test]
fn the_plot_is_drawn_and_tells_the_budget() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("gain.svg");
    let run = || {
        let mut command = Command::new(env!("CARGO_BIN_EXE_stead"));
        command.args(["kit", "--gym", "boathouse", "--budget", "300", "--svg"]).arg(&file).output().unwrap()
    };
    let said = run();
    assert!(said.status.success(), "{}", String::from_utf8_lossy(&said.stderr));
    let svg = std::fs::read_to_string(&file).unwrap();
    let parsed = roxmltree::Document::parse(&svg).unwrap();
    let texts: String = parsed.descendants().filter_map(|n| n.text()).collect();
    assert!(texts.contains("your budget, 300") && texts.contains("dumbbell-handles"), "{texts}");
    assert_eq!(run().status.code(), Some(2), "a file that is there is not replaced");
}

fn a_number() -> impl Strategy<Value = f64> {
    prop_oneof![3 => 0.0..150.0f64, 1 => select(vec![f64::NAN, f64::INFINITY, -1.0, -0.0, 1e300])]
}

proptest! {
    #![proptest_config(crate::cases(48))]

    #[test]
    fn no_numbers_panic_and_advice_fits(budget in a_number(), floor in proptest::option::of(a_number()), ceiling in proptest::option::of(a_number()), price in a_number(), kit in any::<u64>(), top in 0usize..60) {
        let kb = ENGINE.kb();
        let items: Vec<&str> =
            kb.equipment.iter().enumerate().filter(|(at, _)| (kit >> (at % 64)) & 1 == 1).map(|(_, q)| q.id.as_str()).collect();
        let request = Request {
            floor_m2: floor,
            ceiling_m: ceiling.map(|c| c / 20.0),
            prices: BTreeMap::from([("bands".to_string(), price)]),
            top: Some(top),
            ..own(gym(&items), budget)
        };
        if let Ok(reply) = answer(&ENGINE, &request) {
            prop_assert!((0.0..=100.0).contains(&reply.worth));
            if let Some(advice) = reply.advice {
                prop_assert!(advice.price.typical <= budget + 1e-6);
                prop_assert!(floor.is_none_or(|m2| advice.stored_m2 <= m2 + 1e-6));
                prop_assert!(reply.worth + advice.gain.points.typical <= 100.06);
            }
        }
    }
}
