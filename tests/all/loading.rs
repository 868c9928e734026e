//! What a listed stock makes up: bar and plates, hand weights, stacks, in kilograms and pounds.
//!
//! Leans on the practice tables (section 8.2) and on trying every combination. Leaves to others:
//! which load is wanted (`tests/all/bests.rs`).

use proptest::prelude::*;
use stead::ask::Engine;
use stead::gym::Inventory;
use stead::gym::loading::{Built, Carry, Loading, LoadingError};
use stead::kb::raw::{BarOwned, Collars, Gym, HandWeights, MassUnit, PlatePairs, Stock};
use stead::units::Kg;

fn plates(unit: MassUnit, list: &[(f64, u8)]) -> Vec<PlatePairs> {
    list.iter().map(|(each, pairs)| PlatePairs { each: *each, unit, pairs: *pairs }).collect()
}

fn bar(mass: f64, unit: MassUnit) -> Vec<BarOwned> {
    vec![BarOwned { item: "barbell".to_string(), mass, unit }]
}

/// Practice section 8.2: the usual home set, two of each.
const HOME: [(f64, u8); 6] = [(1.25, 1), (2.5, 1), (5.0, 1), (10.0, 1), (15.0, 1), (20.0, 1)];

fn home() -> Stock {
    Stock { bars: bar(20.0, MassUnit::Kg), plates: plates(MassUnit::Kg, &HOME), ..Stock::default() }
}

fn on_bar(stock: &Stock) -> Loading {
    Loading::of(stock, Carry::Bar("barbell")).expect("loads")
}

/// Practice section 8.2, loading tests.
#[test]
fn the_home_set_loads_as_printed() {
    let home = home();
    assert_eq!(home.plates_kg(), Some(107.5));
    let loading = on_bar(&home);
    let built = loading.exactly(Kg(82.5)).expect("82.5 kg");
    assert_eq!(built.to_string(), "20 kg bar, each side 20 kg + 10 kg + 1.25 kg");
    assert_eq!(loading.finest_step(), Some(Kg(2.5)));
    assert_eq!(loading.all().last().map(Built::load), Some(Kg(127.5)));
    assert_eq!(loading.all().first().map(Built::to_string).as_deref(), Some("20 kg bar, no plates"));
    let Err(LoadingError::NotBuildable { given, below, above }) = loading.exactly(Kg(83.0)) else { panic!("83 kg") };
    assert_eq!((given, below.map(|b| b.load()), above.map(|b| b.load())), (Kg(83.0), Some(Kg(82.5)), Some(Kg(85.0))));
    assert_eq!(loading.down_to(Kg(83.0)).map(Built::load), Ok(Kg(82.5)));
    let Err(LoadingError::TooLight { least, .. }) = loading.down_to(Kg(19.0)) else { panic!("19 kg") };
    assert_eq!(least.load(), Kg(20.0));
    assert_eq!(loading.down_to(Kg(500.0)).map(Built::load), Ok(Kg(127.5)));
}

/// Practice section 8.2: plates of a quarter kilogram make steps of half a kilogram.
#[test]
fn small_plates_make_small_steps() {
    let mut stock = home();
    stock.plates.extend(plates(MassUnit::Kg, &[(0.25, 1), (0.5, 1), (1.0, 1)]));
    let loading = on_bar(&stock);
    assert_eq!(loading.finest_step(), Some(Kg(0.5)));
    assert_eq!(loading.exactly(Kg(83.0)).map(Built::load), Ok(Kg(83.0)));
}

/// Practice section 8.2: a bar of 45 lb is 20.41 kg; pounds are exact.
#[test]
fn pounds_add_up() {
    let lb = MassUnit::Lb;
    let list = plates(lb, &[(45.0, 2), (35.0, 1), (25.0, 1), (10.0, 2), (5.0, 1), (2.5, 1)]);
    let stock = Stock { bars: bar(45.0, lb), plates: list, ..Stock::default() };
    let loading = on_bar(&stock);
    let first = loading.all().first().map(Built::load).expect("a load");
    assert!((first.get() - 20.41).abs() < 0.005);
    for (pounds, sides) in [
        (135.0, "45 lb bar, each side 45 lb"),
        (185.0, "45 lb bar, each side 45 lb + 25 lb"),
        (225.0, "45 lb bar, each side 2 x 45 lb"),
        (230.0, "45 lb bar, each side 2 x 45 lb + 2.5 lb"),
    ] {
        assert_eq!(loading.exactly(Kg::from_pounds(pounds)).map(Built::to_string).as_deref(), Ok(sides));
    }
    assert!((loading.finest_step().expect("a step").pounds() - 5.0).abs() < 1e-9);
}

#[test]
fn kilograms_and_pounds_go_together() {
    let mut stock = home();
    stock.plates.extend(plates(MassUnit::Lb, &[(45.0, 1)]));
    let loading = on_bar(&stock);
    let wanted = Kg(20.0 + 2.0 * (Kg::from_pounds(45.0).get() + 10.0));
    assert_eq!(loading.exactly(wanted).map(Built::to_string).as_deref(), Ok("20 kg bar, each side 45 lb + 10 kg"));
}

/// Practice section 8.2: competition collars are 2.5 kg each.
#[test]
fn collars_count_where_they_are_listed() {
    let stock = Stock { collars: Some(Collars { pair: 5.0, unit: MassUnit::Kg }), ..home() };
    let loading = on_bar(&stock);
    assert_eq!(loading.all().first().map(Built::load), Some(Kg(25.0)));
    let told = loading.exactly(Kg(65.0)).map(Built::to_string);
    assert_eq!(told.as_deref(), Ok("20 kg bar, 5 kg of collars, each side 20 kg"));
}

#[test]
fn the_fewest_plates_are_told() {
    let list = plates(MassUnit::Kg, &[(20.0, 1), (10.0, 2), (5.0, 4)]);
    let loading = on_bar(&Stock { bars: bar(20.0, MassUnit::Kg), plates: list, ..Stock::default() });
    assert_eq!(
        loading.exactly(Kg(100.0)).map(Built::to_string).as_deref(),
        Ok("20 kg bar, each side 20 kg + 2 x 10 kg")
    );
}

#[test]
fn plates_alone_go_on_both_sides_or_on_one() {
    let stock = Stock { plates: plates(MassUnit::Kg, &[(20.0, 1), (10.0, 1)]), ..Stock::default() };
    let loads = |carry| {
        let loading = Loading::of(&stock, carry).expect("loads");
        loading.all().iter().map(|b| b.load().get()).collect::<Vec<_>>()
    };
    assert_eq!(loads(Carry::PlatesBothSides), [20.0, 40.0, 60.0]);
    assert_eq!(loads(Carry::Plates), [10.0, 20.0, 30.0, 40.0, 50.0, 60.0]);
    // Whoever lists plates and no bar has the usual one.
    assert_eq!(loads(Carry::Bar("barbell")), [20.0, 40.0, 60.0, 80.0]);
}

#[test]
fn hand_weights_are_taken_singly_or_in_pairs() {
    let engine = Engine::shipped().expect("the shipped base opens");
    let stock = |id| Inventory::named(engine.kb(), id).expect("a gym").stock;
    let loads = |id, carry| Loading::of(&stock(id), carry);
    let slipway = stock("slipway");
    let pairs = Loading::of(&slipway, Carry::KettlebellEachHand).expect("loads");
    assert_eq!(pairs.all().iter().map(|b| b.load().get()).collect::<Vec<_>>(), [16.0, 24.0]);
    let one = Loading::of(&slipway, Carry::Kettlebell).expect("loads");
    assert_eq!(one.all().iter().map(|b| b.load().get()).collect::<Vec<_>>(), [8.0, 12.0, 16.0, 20.0, 24.0, 32.0]);
    let dumbbells = loads("loft", Carry::DumbbellEachHand).expect("loads");
    assert_eq!(dumbbells.down_to(Kg(11.9)).map(Built::to_string).as_deref(), Ok("10 kg"));
    assert_eq!(dumbbells.all().last().map(Built::load), Some(Kg(24.0)));
    let stack = loads("town", Carry::Stack("lat-pulldown")).expect("loads");
    assert_eq!(stack.down_to(Kg(63.0)).map(Built::load), Ok(Kg(60.0)));
    let trap = loads("town", Carry::Bar("trap-bar")).expect("loads");
    assert_eq!(trap.all().first().map(Built::load), Some(Kg(25.0)));
    let none = loads("loft", Carry::Bar("trap-bar")).expect_err("no trap bar");
    assert_eq!(none.to_string(), "the gym lists no bar of the kind \"trap-bar\"");
}

#[test]
fn a_set_that_is_adjusted_runs_in_steps() {
    let run = HandWeights {
        each: Vec::new(),
        from: Some(5.0),
        to: Some(52.5),
        step: Some(2.5),
        unit: MassUnit::Lb,
        of_each: 2,
    };
    assert_eq!(run.masses().len(), 20);
    let stock = Stock { dumbbells: vec![run], ..Stock::default() };
    assert!((stock.dumbbell_kg().expect("a mass") - Kg::from_pounds(52.5).get()).abs() < 1e-9);
    let loading = Loading::of(&stock, Carry::Dumbbell).expect("loads");
    assert_eq!(loading.down_to(Kg(10.0)).map(Built::to_string).as_deref(), Ok("20 lb"));
}

#[test]
fn a_stock_beyond_measure_is_refused() {
    let many: Vec<(f64, u8)> = (0..16).map(|i| (1.0 + f64::from(i) * 0.731, 40)).collect();
    let stock = Stock { plates: plates(MassUnit::Kg, &many), ..Stock::default() };
    assert!(matches!(Loading::of(&stock, Carry::Plates), Err(LoadingError::TooMany { .. })));
}

#[test]
fn a_list_that_does_not_fit_is_refused_with_its_place() {
    let engine = Engine::shipped().expect("the shipped base opens");
    let shed = |stock: Stock| {
        let items = vec!["barbell".to_string(), "plates".to_string()];
        let gym = Gym {
            id: "shed".to_string(),
            name: "The shed".to_string(),
            items,
            stock,
            ceiling_m: None,
            ..Gym::default()
        };
        Inventory::of(engine.kb(), &gym)
    };
    assert!(shed(home()).is_ok());
    let mut short = home();
    short.plates_total_kg = Some(100.0);
    let said = shed(short).expect_err("a refusal").to_string();
    assert_eq!(said, "gym \"shed\": 100 kg, the list says 107.5 kg at /stock/plates_total_kg");
    let mut odd = home();
    odd.plates.extend(plates(MassUnit::Lb, &[(-45.0, 1)]));
    let said = shed(odd).expect_err("a refusal").to_string();
    assert_eq!(said, "gym \"shed\": a mass of -45 lb at /stock/plates/6/each");
}

proptest! {
    /// Every load that trying all counts of plates gives, and no other.
    #[test]
    fn nothing_is_missed_and_nothing_made_up(
        counts in prop::collection::vec(0u8..=2, 4),
        wanted in 0.0..300.0f64,
    ) {
        let kinds = [1.25, 2.5, 7.5, 20.0];
        let list: Vec<(f64, u8)> = kinds.into_iter().zip(counts).filter(|(_, n)| *n > 0).collect();
        let stock = Stock { bars: bar(20.0, MassUnit::Kg), plates: plates(MassUnit::Kg, &list), ..Stock::default() };
        let loading = on_bar(&stock);
        let mut all = vec![20.0];
        for (mass, pairs) in &list {
            all = all.iter().flat_map(|t| (0..=*pairs).map(move |n| t + 2.0 * f64::from(n) * mass)).collect();
        }
        all.sort_by(f64::total_cmp);
        all.dedup();
        prop_assert_eq!(loading.all().iter().map(|b| b.load().get()).collect::<Vec<_>>(), all.clone());
        for built in loading.all() {
            let side: f64 = built.plates.iter().map(|(p, n)| p.mass * f64::from(*n)).sum();
            prop_assert!((built.load().get() - 20.0 - 2.0 * side).abs() < 1e-9);
            prop_assert!(loading.exactly(built.load()).is_ok());
        }
        match loading.down_to(Kg(wanted)) {
            Ok(built) => prop_assert_eq!(Some(built.load().get()), all.iter().copied().rfind(|l| *l <= wanted)),
            Err(_) => prop_assert!(wanted < 20.0),
        }
    }
}
