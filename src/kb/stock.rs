//! A listed stock of weights: its masses spelled out, and what is wrong with a list.
//!
//! Leans on [`crate::units`] for pounds and bounds. Leaves to others: what can be built from it
//! ([`crate::gym`]).

use super::raw::{Gym, HandWeights, MassUnit, Stock};
use crate::units::{ExactMass, bounds, trim};

/// Most steps of a run.
const MOST_STEPS: f64 = 300.0;
/// Most records of one list.
const MOST_RECORDS: usize = 60;
/// Most kinds of plates: more could be combined in too many ways.
const MOST_KINDS: usize = 16;
/// Most pairs of one kind.
const MOST_PAIRS: u8 = 40;

/// A mass as marked, exact.
#[must_use]
pub fn exact(mass: f64, unit: MassUnit) -> ExactMass {
    match unit {
        MassUnit::Kg => ExactMass::from_kg(mass),
        MassUnit::Lb => ExactMass::from_pounds(mass),
    }
}

/// The values from one end of a run to the other, both with it.
#[must_use]
pub fn run(from: f64, to: f64, step: f64) -> Vec<f64> {
    if !(step > 0.0 && from <= to) {
        return Vec::new();
    }
    // A hair more than a whole number of steps, so that a rounded division loses no end.
    let steps = ((to - from) / step + 1e-9).floor().min(MOST_STEPS) as u32;
    (0..=steps).map(|n| from + f64::from(n) * step).collect()
}

impl HandWeights {
    /// Every mass of the list and the run, as marked, rising.
    #[must_use]
    pub fn masses(&self) -> Vec<f64> {
        let mut all = self.each.clone();
        if let (Some(from), Some(to), Some(step)) = (self.from, self.to, self.step) {
            all.extend(run(from, to, step));
        }
        all.sort_by(f64::total_cmp);
        all.dedup();
        all
    }
}

impl Stock {
    /// The plates in all, kg: as given, or added up from the list.
    #[must_use]
    pub fn plates_kg(&self) -> Option<f64> {
        self.plates_total_kg.or_else(|| (!self.plates.is_empty()).then(|| listed_plates(self)))
    }

    /// The heaviest dumbbell, kg.
    #[must_use]
    pub fn dumbbell_kg(&self) -> Option<f64> {
        self.dumbbell_max_kg.or_else(|| heaviest(&self.dumbbells))
    }

    /// The heaviest kettlebell, kg.
    #[must_use]
    pub fn kettlebell_kg(&self) -> Option<f64> {
        self.kettlebell_max_kg.or_else(|| heaviest(&self.kettlebells))
    }
}

fn listed_plates(stock: &Stock) -> f64 {
    stock.plates.iter().map(|p| 2.0 * f64::from(p.pairs) * exact(p.each, p.unit).kg().get()).sum()
}

fn heaviest(list: &[HandWeights]) -> Option<f64> {
    let masses = list.iter().flat_map(|h| h.masses().into_iter().map(|m| exact(m, h.unit).kg().get()));
    masses.max_by(f64::total_cmp)
}

/// What is wrong with the stock of a gym: JSON pointer below `/stock`, and what was found.
#[must_use]
pub fn faults(gym: &Gym) -> Vec<(String, String)> {
    let stock = &gym.stock;
    let mut out = Vec::new();
    let mut mass = |step: String, value: f64, unit: MassUnit| {
        let kg = if value.is_finite() { exact(value, unit).kg().get() } else { f64::NAN };
        if !(kg > 0.0 && kg <= bounds::LOAD.max) {
            out.push((step, format!("a mass of {} {unit}", trim(value))));
        }
    };
    for (i, bar) in stock.bars.iter().enumerate() {
        mass(format!("/bars/{i}/mass"), bar.mass, bar.unit);
    }
    for (i, plate) in stock.plates.iter().enumerate() {
        mass(format!("/plates/{i}/each"), plate.each, plate.unit);
    }
    if let Some(collars) = &stock.collars {
        mass("/collars/pair".to_string(), collars.pair, collars.unit);
    }
    for (name, list) in [("dumbbells", &stock.dumbbells), ("kettlebells", &stock.kettlebells)] {
        for (i, hand) in list.iter().enumerate() {
            for (j, each) in hand.each.iter().enumerate() {
                mass(format!("/{name}/{i}/each/{j}"), *each, hand.unit);
            }
        }
    }
    for (i, plate) in stock.plates.iter().enumerate().filter(|(_, p)| !(1..=MOST_PAIRS).contains(&p.pairs)) {
        out.push((format!("/plates/{i}/pairs"), format!("{} pairs", plate.pairs)));
    }
    for (name, list) in [("dumbbells", &stock.dumbbells), ("kettlebells", &stock.kettlebells)] {
        for (i, hand) in list.iter().enumerate() {
            let step = format!("/{name}/{i}");
            match (hand.from, hand.to, hand.step) {
                (None, None, None) if !hand.each.is_empty() => {}
                (Some(from), Some(to), Some(by)) => {
                    out.extend(run_fault(from, to, by, hand.unit).map(|f| (step.clone(), f)))
                }
                _ => out.push((step.clone(), "neither a list nor a whole run of from, to and step".to_string())),
            }
            if hand.of_each == 0 || hand.each.len() > MOST_RECORDS {
                out.push((step, format!("{} of each, {} listed", hand.of_each, hand.each.len())));
            }
        }
    }
    for (i, stack) in stock.stacks.iter().enumerate() {
        out.extend(run_fault(stack.from, stack.to, stack.step, stack.unit).map(|f| (format!("/stacks/{i}"), f)));
    }
    let bars = stock.bars.iter().enumerate().map(|(i, b)| (format!("/bars/{i}/item"), &b.item));
    let stacks = stock.stacks.iter().enumerate().map(|(i, s)| (format!("/stacks/{i}/item"), &s.item));
    for (step, item) in bars.chain(stacks).filter(|(_, item)| !gym.items.contains(item)) {
        out.push((step, format!("{item:?}, which is not among the items")));
    }
    for (name, count, most) in [
        ("bars", stock.bars.len(), MOST_RECORDS),
        ("plates", stock.plates.len(), MOST_KINDS),
        ("dumbbells", stock.dumbbells.len(), MOST_RECORDS),
        ("kettlebells", stock.kettlebells.len(), MOST_RECORDS),
        ("stacks", stock.stacks.len(), MOST_RECORDS),
    ] {
        if count > most {
            out.push((format!("/{name}"), format!("{count} records, at most {most}")));
        }
    }
    for (name, given, listed) in [
        ("plates_total_kg", stock.plates_total_kg, (!stock.plates.is_empty()).then(|| listed_plates(stock))),
        ("dumbbell_max_kg", stock.dumbbell_max_kg, heaviest(&stock.dumbbells)),
        ("kettlebell_max_kg", stock.kettlebell_max_kg, heaviest(&stock.kettlebells)),
    ] {
        if let (Some(given), Some(listed)) = (given, listed)
            && (given - listed).abs() > 0.01
        {
            out.push((format!("/{name}"), format!("{} kg, the list says {} kg", trim(given), trim(listed))));
        }
    }
    out
}

fn run_fault(from: f64, to: f64, step: f64, unit: MassUnit) -> Option<String> {
    let most = match unit {
        MassUnit::Kg => bounds::LOAD.max,
        MassUnit::Lb => crate::units::Kg(bounds::LOAD.max).pounds(),
    };
    let whole = from > 0.0 && from <= to && to <= most && step > 0.0 && (to - from) / step <= MOST_STEPS;
    (!whole).then(|| format!("from {} to {} by {} {unit}", trim(from), trim(to), trim(step)))
}
