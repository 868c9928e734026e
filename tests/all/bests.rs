//! Bests for one repetition, loads for sets, and first sessions, beside printed tables.
//!
//! Leans on the practice tables (named beside each check). Leaves to others: ratios between lifts
//! (`tests/all/load.rs`) and plates (`tests/all/loading.rs`).

use std::sync::LazyLock;

use proptest::prelude::*;
use proptest::sample::select;
use stead::ask::Engine;
use stead::kb::raw::{BestBy, Loads, Situation};
use stead::load::carryover::{Graph, Range, along};
use stead::load::rep_max::{FORMULAS, RepMaxError, best_by, estimate, factor, load_for, percent, printed};
use stead::load::start::{Ask, Sets, Start, StartError, down_to_step, product, start};
use stead::units::{Kg, Percent};

static ENGINE: LazyLock<Engine> = LazyLock::new(|| Engine::shipped().expect("the shipped base opens"));

fn loads() -> &'static Loads {
    &ENGINE.kb().loads
}

#[track_caller]
fn near(is: f64, should: f64, within: f64) {
    assert!((is - should).abs() <= within, "{is}, not {should}");
}

/// Practice table 1.2: best for one repetition for a load of 100 kg, columns as there.
const COLUMNS: [BestBy; 7] =
    [BestBy::Epley, BestBy::Brzycki, BestBy::Lander, BestBy::Lombardi, BestBy::Mayhew, BestBy::OConner, BestBy::Wathan];
const PRINTED: [(f64, [f64; 7]); 10] = [
    (1.0, [103.33, 100.00, 101.39, 100.00, 108.86, 102.50, 101.30]),
    (2.0, [106.67, 102.86, 104.21, 107.18, 111.44, 105.00, 105.15]),
    (3.0, [110.00, 105.88, 107.20, 111.61, 113.99, 107.50, 108.98]),
    (4.0, [113.33, 109.09, 110.36, 114.87, 116.52, 110.00, 112.80]),
    (5.0, [116.67, 112.50, 113.71, 117.46, 119.01, 112.50, 116.58]),
    (6.0, [120.00, 116.13, 117.27, 119.62, 121.47, 115.00, 120.33]),
    (8.0, [126.67, 124.14, 125.11, 123.11, 126.29, 120.00, 127.67]),
    (10.0, [133.33, 133.33, 134.07, 125.89, 130.93, 125.00, 134.75]),
    (12.0, [140.00, 144.00, 144.41, 128.21, 135.40, 130.00, 141.50]),
    (15.0, [150.00, 163.64, 163.31, 131.10, 141.72, 137.50, 150.91]),
];

fn raw(formula: BestBy, repetitions: f64) -> f64 {
    printed(formula, repetitions).expect("a formula")
}

#[test]
fn formulas_give_the_printed_table() {
    for (r, row) in PRINTED {
        for (formula, should) in COLUMNS.into_iter().zip(row) {
            near(100.0 * raw(formula, r), should, 0.01);
        }
    }
    assert_eq!(FORMULAS.len(), 7);
    assert_eq!((printed(BestBy::Median, 5.0), printed(BestBy::Chart, 5.0)), (None, None));
}

/// Practice table 1.1, limits as repetitions go on: 191.6 % and 204.9 %.
#[test]
fn two_formulas_level_out() {
    near(raw(BestBy::Mayhew, 1e6), 1.916, 0.0005);
    near(raw(BestBy::Wathan, 1e6), 2.049, 0.0005);
}

/// Practice section 1.2, last line: loads for 8 repetitions from a best of 140 kg.
#[test]
fn inverses_give_the_printed_loads() {
    for (formula, should) in COLUMNS.into_iter().zip([110.53, 112.78, 111.90, 113.72, 110.86, 116.67, 109.66]) {
        near(load_for(loads(), formula, Kg(140.0), 8.0, 0.0).unwrap().get(), should, 0.01);
    }
}

/// Practice section 1.2, property tests.
#[test]
fn formulas_stand_to_each_other_as_published() {
    near(raw(BestBy::Epley, 10.0), raw(BestBy::Brzycki, 10.0), 1e-12);
    near(raw(BestBy::OConner, 5.0), raw(BestBy::Brzycki, 5.0), 1e-12);
    for r in (2..=15).map(f64::from) {
        let (epley, brzycki) = (raw(BestBy::Epley, r), raw(BestBy::Brzycki, r));
        assert!(r == 10.0 || (r < 10.0) == (brzycki < epley), "{r}");
        assert!(raw(BestBy::OConner, r) < epley);
        let lowest = FORMULAS.iter().copied().min_by(|a, b| raw(*a, r).total_cmp(&raw(*b, r))).unwrap();
        // At 5 two of them meet.
        let should = match r as u8 {
            2..=4 => Some(BestBy::Brzycki),
            6..=10 => Some(BestBy::OConner),
            11..=15 => Some(BestBy::Lombardi),
            _ => None,
        };
        assert!(should.is_none_or(|s| s == lowest), "{r}: {lowest}");
        for formula in FORMULAS {
            assert!(r == 15.0 || raw(*formula, r) < raw(*formula, r + 1.0), "{formula} {r}");
        }
    }
}

#[test]
fn one_repetition_is_its_own_best() {
    for by in BestBy::ALL {
        let best = estimate(loads(), *by, Kg(100.0), 1.0, 0.0).unwrap();
        assert_eq!((best.best, best.low, best.high), (Kg(100.0), Kg(100.0), Kg(100.0)), "{by}");
    }
}

proptest! {
    #[test]
    fn estimates_are_linear_and_turn_back(
        by in select(BestBy::ALL.to_vec()),
        load in 1.0..150.0f64,
        repetitions in 1.0..15.0f64,
    ) {
        let best = estimate(loads(), by, Kg(load), repetitions, 0.0).unwrap();
        let twice = estimate(loads(), by, Kg(2.0 * load), repetitions, 0.0).unwrap();
        prop_assert!((twice.best.get() / best.best.get() - 2.0).abs() < 1e-9);
        let back = load_for(loads(), by, best.best, repetitions, 0.0).unwrap();
        prop_assert!((back.get() - load).abs() < 1e-9);
        prop_assert!(best.low <= best.best && best.best <= best.high);
        prop_assert_eq!(best.loose, repetitions > 10.0);
        // More repetitions with the same load never mean a lower best.
        if (2.0..14.0).contains(&repetitions) {
            let more = estimate(loads(), by, Kg(load), repetitions + 1.0, 0.0).unwrap();
            prop_assert!(more.best > best.best);
        }
    }

    #[test]
    fn any_numbers_are_answered_or_refused(
        load in proptest::num::f64::ANY,
        repetitions in proptest::num::f64::ANY,
        reserve in proptest::num::f64::ANY,
    ) {
        let by = BestBy::Median;
        if let Ok(best) = estimate(loads(), by, Kg(load), repetitions, reserve) {
            prop_assert!(best.best.get().is_finite() && repetitions + reserve <= 15.0);
        }
        let _ = load_for(loads(), by, Kg(load), repetitions, reserve);
        let _ = down_to_step(Kg(load), Kg(repetitions));
    }
}

/// Practice table 1.3.
#[test]
fn the_chart_is_the_printed_one() {
    let shares = [100.0, 95.0, 93.0, 90.0, 87.0, 85.0, 83.0, 80.0, 77.0, 75.0, 72.5, 70.0, 68.3, 66.7, 65.0];
    for (r, share) in (1..=15).map(f64::from).zip(shares) {
        near(percent(loads(), r).unwrap().get(), share, 0.05);
    }
    near(percent(loads(), 13.0).unwrap().get(), 205.0 / 3.0, 1e-5);
    near(percent(loads(), 14.0).unwrap().get(), 200.0 / 3.0, 1e-5);
}

/// Practice table 1.4: per cent of a best by repetitions and repetitions in reserve.
#[test]
fn the_chart_gives_the_printed_grid_of_reserve() {
    let reserve = [0.0, 0.5, 1.0, 1.5, 2.0, 2.5, 3.0, 4.0];
    for (r, row) in [
        (1.0, [100.0, 97.5, 95.0, 94.0, 93.0, 91.5, 90.0, 87.0]),
        (2.0, [95.0, 94.0, 93.0, 91.5, 90.0, 88.5, 87.0, 85.0]),
        (3.0, [93.0, 91.5, 90.0, 88.5, 87.0, 86.0, 85.0, 83.0]),
        (4.0, [90.0, 88.5, 87.0, 86.0, 85.0, 84.0, 83.0, 80.0]),
        (5.0, [87.0, 86.0, 85.0, 84.0, 83.0, 81.5, 80.0, 77.0]),
        (6.0, [85.0, 84.0, 83.0, 81.5, 80.0, 78.5, 77.0, 75.0]),
        (8.0, [80.0, 78.5, 77.0, 76.0, 75.0, 73.75, 72.5, 70.0]),
        (10.0, [75.0, 73.75, 72.5, 71.25, 70.0, 69.17, 68.33, 66.67]),
    ] {
        for (left, should) in reserve.into_iter().zip(row) {
            let load = load_for(loads(), BestBy::Chart, Kg(100.0), r, left).unwrap();
            near(load.get(), should, 0.005);
        }
    }
    for (left, should) in reserve.into_iter().zip([70.0, 69.17, 68.33, 67.5, 66.67, 65.83, 65.0]) {
        near(load_for(loads(), BestBy::Chart, Kg(100.0), 12.0, left).unwrap().get(), should, 0.005);
    }
    let outside = load_for(loads(), BestBy::Chart, Kg(100.0), 12.0, 4.0);
    assert_eq!(outside, Err(RepMaxError::Repetitions { given: 16.0, most: 15 }));
}

/// Practice section 1.4, worked set: 120 kg for 5 with 2 in reserve, and the same as a best of 5.
#[test]
fn the_worked_set_gives_the_printed_bests() {
    let best = |by, reserve| estimate(loads(), by, Kg(120.0), 5.0, reserve).unwrap();
    near(best(BestBy::Chart, 2.0).best.get(), 144.6, 0.05);
    near(best(BestBy::Epley, 2.0).best.get(), 148.0, 0.05);
    let five = best(BestBy::Epley, 0.0);
    near(five.best.get(), 140.0, 0.05);
    assert_eq!(five.by, BestBy::Epley);
    // Bands of practice section 1.3: 5 % up to 5 repetitions, 8 % up to 10, 12 % up to 15.
    near(five.low.get(), 133.0, 0.05);
    near(best(BestBy::Epley, 2.0).high.get(), 148.0 * 1.08, 0.05);
    near(best(BestBy::Epley, 6.0).high.get() / best(BestBy::Epley, 6.0).best.get(), 1.12, 1e-9);
}

/// Practice section 1.3: warn above 10 repetitions, refuse above 15.
#[test]
fn many_repetitions_warn_and_too_many_are_refused() {
    let ask = |r, reserve| estimate(loads(), BestBy::Median, Kg(60.0), r, reserve);
    assert!(!ask(10.0, 0.0).unwrap().loose && ask(11.0, 0.0).unwrap().loose && ask(8.0, 3.0).unwrap().loose);
    assert_eq!(ask(16.0, 0.0).unwrap_err(), RepMaxError::Repetitions { given: 16.0, most: 15 });
    assert!(matches!(ask(0.0, 5.0), Err(RepMaxError::Repetitions { .. })));
    assert!(matches!(ask(5.0, -1.0), Err(RepMaxError::Reserve { .. })));
    assert!(matches!(estimate(loads(), BestBy::Epley, Kg(-5.0), 5.0, 0.0), Err(RepMaxError::Load(_))));
}

#[test]
fn the_median_lies_among_the_seven() {
    for r in (2..=15).map(f64::from) {
        let below = FORMULAS.iter().filter(|f| raw(**f, r) <= factor(loads(), BestBy::Median, r).unwrap()).count();
        assert!(below >= 4, "{r}");
    }
}

/// Practice section 1.3: one formula for leg and pulling lifts, another for presses.
#[test]
fn each_kind_of_lift_has_its_formula() {
    for (id, by) in [
        ("back-squat-high-bar", BestBy::Epley),
        ("deadlift-conventional", BestBy::Epley),
        ("pull-up", BestBy::Epley),
        ("lunge-forward", BestBy::Epley),
        ("bench-press", BestBy::Brzycki),
        ("overhead-press-barbell", BestBy::Brzycki),
        ("cable-fly", BestBy::Median),
        ("curl-barbell", BestBy::Median),
    ] {
        assert_eq!(best_by(ENGINE.kb(), ENGINE.kb().row_of(id).unwrap()), by, "{id}");
    }
}

/// Practice section 1.3, line of Reynolds 2006: a bench press of 80 kg for 5 gives 91.16 kg.
#[test]
fn a_line_from_five_repetitions_gives_the_printed_best() {
    let line = loads().lines.iter().find(|l| l.exercise == "bench-press").unwrap();
    assert_eq!(line.line.repetitions, 5);
    near(along(&line.line, Kg(80.0)).unwrap().get(), 91.16, 0.005);
}

/// Practice table 3.1, worked loads.
#[test]
fn first_loads_are_the_printed_ones() {
    for (best, ratio, repetitions, reserve, familiarity, raw, step, load) in [
        (140.0, 0.92, 8.0, 3.0, 0.90, 84.04, 2.5, 82.5),
        (170.0, 1.06, 6.0, 3.0, 0.90, 124.88, 2.5, 122.5),
        (100.0, 0.41, 10.0, 2.0, 0.85, 24.40, 2.5, 22.5),
        (62.5, 0.46, 10.0, 3.0, 0.85, 16.70, 2.0, 16.0),
        (140.0, 0.33, 8.0, 3.0, 0.80, 26.80, 2.0, 26.0),
    ] {
        let share = Percent(load_for(loads(), BestBy::Chart, Kg(100.0), repetitions, reserve).unwrap().get());
        let made = product(Kg(best), ratio, share, familiarity, 1.0);
        near(made.get(), raw, 0.01);
        assert_eq!(down_to_step(made, Kg(step)), Kg(load));
    }
}

#[test]
fn rounding_down_keeps_what_fits() {
    for (load, step, should) in
        [(82.5, 2.5, 82.5), (82.49, 2.5, 80.0), (0.3, 0.1, 0.3), (1.0, 2.5, 0.0), (-4.0, 2.5, 0.0), (17.3, 0.0, 17.3)]
    {
        assert_eq!(down_to_step(Kg(load), Kg(step)), Kg(should), "{load} {step}");
    }
}

fn ask() -> Ask {
    Ask {
        best: Kg(140.0),
        ratio: Range { typical: 0.92, low: 0.85, high: 0.97 },
        repetitions: 8.0,
        reserve: None,
        situation: Situation::Variant,
        weeks_off: 0,
        pain: None,
    }
}

fn begun(ask: Ask) -> Start<'static> {
    start(loads(), &ask).expect("a start")
}

/// Practice tables 3.1 and 3.2, every row.
#[test]
fn each_situation_begins_as_printed() {
    let of = |situation, weeks_off| begun(Ask { situation, weeks_off, ..ask() });
    let familiarity = |s: &Start<'_>| {
        let f = s.factors.iter().find(|f| f.name == "familiarity").unwrap();
        (f.cautious, f.usual)
    };
    for (situation, weeks, factors, reserve, sets) in [
        (Situation::Familiar, 0, (0.95, 1.0), 2.0, Sets::AsProgrammed),
        (Situation::Variant, 0, (0.90, 0.90), 3.0, Sets::Between(2, 3)),
        (Situation::NewPattern, 0, (0.80, 0.85), 4.0, Sets::Between(2, 2)),
        (Situation::UnknownMachine, 0, (0.50, 1.0), 4.0, Sets::Between(2, 2)),
        (Situation::TimeOff, 2, (0.90, 0.90), 4.0, Sets::Share(0.5)),
        (Situation::TimeOff, 3, (0.90, 0.90), 4.0, Sets::Share(0.5)),
        (Situation::TimeOff, 4, (0.80, 0.80), 4.0, Sets::Share(0.5)),
        (Situation::TimeOff, 30, (0.70, 0.70), 4.0, Sets::Share(0.5)),
    ] {
        let begun = of(situation, weeks);
        assert_eq!((familiarity(&begun), begun.reserve, begun.sets), (factors, reserve, sets), "{situation} {weeks}");
        assert_eq!(begun.ramp, situation == Situation::UnknownMachine);
    }
    let soon = start(loads(), &Ask { situation: Situation::TimeOff, weeks_off: 1, ..ask() });
    assert_eq!(soon.unwrap_err(), StartError::TooSoon { weeks: 1, least: 2 });
    for (pain, factors, reserve) in [(0.0, (0.90, 1.0), 1.0), (2.0, (0.90, 1.0), 1.0), (3.0, (0.60, 0.80), 3.0)] {
        let begun = begun(Ask { pain: Some(pain), reserve: Some(1.0), ..ask() });
        let f = begun.factors.iter().find(|f| f.name == "pain").unwrap();
        assert_eq!(((f.cautious, f.usual), begun.reserve), (factors, reserve), "{pain}");
    }
    let stop = start(loads(), &Ask { pain: Some(5.5), ..ask() });
    assert_eq!(stop.unwrap_err(), StartError::Stop { pain: 5.5, most: 5.0 });
    assert!(matches!(start(loads(), &Ask { pain: Some(11.0), ..ask() }), Err(StartError::Bounds(_))));
}

#[test]
fn a_start_is_the_product_of_its_factors() {
    let begun = begun(Ask { pain: Some(4.0), ..ask() });
    let usual: f64 = begun.factors.iter().map(|f| f.usual).product();
    near(begun.usual.get(), 140.0 * usual, 1e-9);
    assert!(begun.cautious < begun.usual);
    // The first printed load of table 3.1, by the whole way: squat 140 to the safety bar.
    let kb = ENGINE.kb();
    let row = |id| kb.row_of(id).unwrap();
    let ratio = Graph::new(kb).between(row("back-squat-high-bar"), row("safety-bar-squat")).unwrap();
    let begun = start(loads(), &Ask { ratio: ratio.range, ..ask() }).unwrap();
    near(begun.usual.get(), 84.04, 0.01);
    near(begun.cautious.get(), 140.0 * 0.85 * 0.725 * 0.90, 0.01);
}
