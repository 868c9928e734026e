//! How an exercise's load is carried with the kit at hand, and the nearest load that it makes up.
//!
//! Leans on an inventory and on what its stock makes up ([`super::loading`]). Leaves to others: which
//! load is wanted ([`crate::load`]). Where the stock lists nothing of the kind, usual steps are
//! assumed and said to be (practice tables 3.1 and 8.2).

use super::loading::{Built, Carry, Loading, LoadingError};
use super::{BAR_KG, Inventory};
use crate::kb::Kb;
use crate::kb::raw::{Counted, MassUnit, Stock};
use crate::kb::table::KitSet;
use crate::units::{ExactMass, Kg, bounds};

/// Bars, the ones that change the lift first, with the mass that is usual where none is listed,
/// kg (catalogue of kit, from memory).
const BARS: &[(&str, f64)] = &[
    ("safety-squat-bar", 30.0),
    ("trap-bar", 25.0),
    ("cambered-bar", 25.0),
    ("multi-grip-bar", 15.0),
    ("ez-bar", 10.0),
    ("guided-bar", 15.0),
    ("barbell", BAR_KG),
];

/// Kit whose load is chosen with a pin.
const STACKS: &[&str] = &[
    "cable",
    "cable-crossover",
    "lat-pulldown",
    "leg-extension-machine",
    "leg-curl-machine",
    "pec-deck",
    "chest-press-machine",
    "shoulder-press-machine",
    "row-machine",
    "hip-ab-adduction-machine",
    "assisted-pullup-dip-machine",
    "lateral-raise-machine",
    "glute-kickback-machine",
    "crunch-machine",
    "triceps-machine",
    "dip-machine",
    "curl-machine",
    "leg-press",
    "calf-machine",
    "hip-thrust-machine",
];

/// Sleds and levers with a horn on either side.
const TWO_SIDED: &[&str] = &[
    "leg-press",
    "hack-squat-machine",
    "pendulum-squat-machine",
    "belt-squat-machine",
    "guided-bar",
    "reverse-hyper",
    "hip-thrust-machine",
    "calf-machine",
];

/// What takes an exercise's load.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Way<'k> {
    /// The kit alternative.
    pub alternative: KitSet,
    /// How its load is carried; none for things of any weight: a sandbag, a ball, a vest.
    pub carry: Option<Carry<'k>>,
    /// What a load in the exercise's own count is multiplied by to be one of this carrying: half
    /// of a bar's load hangs in each of two hands.
    pub factor: f64,
}

/// A load that the kit at hand makes up, nearest below the one wanted.
#[derive(Debug, Clone, PartialEq)]
pub struct Carried<'k> {
    /// What takes it.
    pub way: Way<'k>,
    /// The load, in the exercise's own count.
    pub load: Kg,
    /// What is put together.
    pub built: Built,
    /// The next lighter, in the exercise's own count.
    pub lighter: Option<(Kg, Built)>,
    /// The next heavier.
    pub heavier: Option<(Kg, Built)>,
    /// Whether the gym lists these weights; usual steps are assumed where it does not.
    pub listed: bool,
    /// Whether the load wanted is beyond the heaviest there is.
    pub topped: bool,
}

/// A load that the kit at hand does not make up.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum CarryError {
    /// The kit is not there, or the ceiling too low.
    #[error("the gym has not the kit for it")]
    NoKit,
    /// Nothing here takes a load that could be counted.
    #[error("nothing in this gym takes a counted load for it")]
    NothingCounted,
    /// The lightest there is is more than wanted.
    #[error("{wanted} is below the least that can be built, {load} ({built})")]
    TooLight {
        /// Load wanted, in the exercise's own count.
        wanted: Kg,
        /// The least, in the exercise's own count.
        load: Kg,
        /// What it is.
        built: Box<Built>,
    },
}

/// The ways in which this gym carries the load of the exercise in `row`, in the order of its kit
/// alternatives; those in another count than its own only where there is none in that.
#[must_use]
pub fn ways<'k>(kb: &'k Kb, inventory: &Inventory, row: usize) -> Vec<Way<'k>> {
    let Some(r) = kb.table.rows.get(row) else { return Vec::new() };
    let here = kb.table.kits_of(row).iter().filter(|a| **a & !inventory.kit == 0);
    let mut all: Vec<Way<'k>> = here.filter_map(|a| way(kb, r.counted, *a)).collect();
    if all.iter().any(|w| w.factor == 1.0) {
        all.retain(|w| w.factor == 1.0);
    }
    all
}

fn way(kb: &Kb, counted: Counted, alternative: KitSet) -> Option<Way<'_>> {
    let ids: Vec<&str> = kb.kit_names(alternative).map(|q| q.id.as_str()).collect();
    let has = |id: &str| ids.contains(&id);
    let find = |list: &[&str]| ids.iter().copied().find(|id| list.contains(id));
    // A bar in a pivot is loaded at its end; a bar in a rack without plates is held on to.
    let bar = || {
        let of = BARS.iter().find_map(|(bar, _)| ids.iter().copied().find(|id| id == bar));
        of.filter(|_| !has("landmine"))
    };
    let hand = |pair: bool| {
        let (dumbbell, kettlebell) = if pair {
            (Carry::DumbbellEachHand, Carry::KettlebellEachHand)
        } else {
            (Carry::Dumbbell, Carry::Kettlebell)
        };
        if has("dumbbells") { Some(dumbbell) } else { has("kettlebells").then_some(kettlebell) }
    };
    let loose = find(&["sandbag", "medicine-ball", "weight-vest"]).is_some();
    let stack = || find(STACKS).map(Carry::Stack);
    let (carry, factor) = match counted {
        Counted::Bar => match bar() {
            Some(bar) => (Some(Carry::Bar(bar)), 1.0),
            None => (Some(hand(true)?), 0.5),
        },
        Counted::PerHand => match (hand(true), bar()) {
            (Some(hand), _) => (Some(hand), 1.0),
            (None, Some(bar)) => (Some(Carry::Bar(bar)), 2.0),
            (None, None) if loose => (None, 2.0),
            (None, None) => (Some(stack().or_else(|| has("plates").then_some(Carry::PlateEachHand))?), 1.0),
        },
        Counted::One => match hand(false).or_else(|| bar().map(Carry::Bar)).or_else(stack) {
            Some(carry) => (Some(carry), 1.0),
            None if has("plates") => (Some(Carry::Plate), 1.0),
            None => (loose.then_some(None)?, 1.0),
        },
        Counted::Stack => (Some(stack()?), 1.0),
        Counted::Plates => {
            let plates = || {
                let two_sided = find(TWO_SIDED).is_some();
                let sides = if two_sided { Carry::PlatesBothSides } else { Carry::Plates };
                (has("plates") || two_sided).then_some(sides)
            };
            (Some(hand(false).or_else(plates).or_else(stack)?), 1.0)
        }
        Counted::Added => {
            let held = bar().filter(|_| has("plates") && !has("rack")).map(Carry::Bar);
            let plates = || has("plates").then_some(Carry::Plates);
            match hand(false).or(held).or_else(plates) {
                Some(carry) => (Some(carry), 1.0),
                None => (loose.then_some(None)?, 1.0),
            }
        }
        Counted::Body => return None,
    };
    Some(Way { alternative, carry, factor })
}

/// Whether the exercise in `row` can be set up here at all: its kit, and the ceiling.
#[must_use]
pub fn is_possible(kb: &Kb, inventory: &Inventory, row: usize) -> bool {
    let high = kb.table.rows.get(row).is_some_and(|r| inventory.is_high_enough(r));
    high && kb.table.kits_of(row).iter().any(|a| *a & !inventory.kit == 0)
}

/// The heaviest load that is not above `wanted`, over every way of carrying it; steps that are
/// assumed are of `unit`.
///
/// # Errors
/// [`CarryError`] with the lightest there is, or why no load can be carried.
pub fn carried<'k>(
    kb: &'k Kb,
    inventory: &Inventory,
    row: usize,
    wanted: Kg,
    unit: MassUnit,
) -> Result<Carried<'k>, CarryError> {
    if !is_possible(kb, inventory, row) {
        return Err(CarryError::NoKit);
    }
    let mut best: Option<Carried<'k>> = None;
    let mut least: Option<(Kg, Built)> = None;
    for way in ways(kb, inventory, row) {
        let Some((loading, listed)) = loads(&inventory.stock, way.carry, unit) else { continue };
        let own = |built: &Built| (Kg(built.load().get() / way.factor), built.clone());
        match loading.below(wanted * way.factor) {
            None => {
                let lightest = loading.all().first().map(own);
                least = [least, lightest].into_iter().flatten().min_by(|a, b| a.0.get().total_cmp(&b.0.get()));
            }
            Some(built) => {
                let (load, built) = own(built);
                // What is listed is known to be there.
                let closer = |b: &Carried<'_>| (listed, exact(load)) > (b.listed, exact(b.load));
                if best.as_ref().is_none_or(closer) {
                    best = Some(Carried {
                        way,
                        load,
                        lighter: loading.before(&built).map(own),
                        heavier: loading.after(&built).map(own),
                        topped: loading.after(&built).is_none() && exact(load) < exact(wanted),
                        built,
                        listed,
                    });
                }
            }
        }
    }
    match (best, least) {
        (Some(best), _) => Ok(best),
        (None, Some((load, built))) => Err(CarryError::TooLight { wanted, load, built: Box::new(built) }),
        (None, None) => Err(CarryError::NothingCounted),
    }
}

fn exact(load: Kg) -> ExactMass {
    ExactMass::from_kg(load.get())
}

/// The loads of a carrying: as listed, else in usual steps up to the most that is known.
fn loads(stock: &Stock, carry: Option<Carry<'_>>, unit: MassUnit) -> Option<(Loading, bool)> {
    let listed = carry.map(|c| Loading::of(stock, c));
    if let Some(Ok(loading)) = listed {
        return Some((loading, true));
    }
    // A list without any of the kind says that there is none: odd kettlebells make no pair.
    let emptied = match carry {
        Some(Carry::DumbbellEachHand | Carry::Dumbbell) => !stock.dumbbells.is_empty(),
        Some(Carry::KettlebellEachHand | Carry::Kettlebell) => !stock.kettlebells.is_empty(),
        _ => false,
    };
    if emptied && !matches!(listed, Some(Err(LoadingError::TooMany { .. }))) {
        return None;
    }
    let (least_kg, step_kg, step_lb) = steps(carry);
    let bar_kg = match carry {
        Some(Carry::Bar(_)) => least_kg,
        _ => 0.0,
    };
    let most_kg = match carry {
        Some(Carry::DumbbellEachHand | Carry::Dumbbell) => stock.dumbbell_kg(),
        Some(Carry::KettlebellEachHand | Carry::Kettlebell) => stock.kettlebell_kg(),
        Some(Carry::Bar(_) | Carry::Plates | Carry::PlatesBothSides) => stock.plates_kg().map(|kg| kg + bar_kg),
        Some(Carry::Plate | Carry::PlateEachHand) => Some(super::HAND_PLATE_KG),
        Some(Carry::Stack(_)) => None,
        None => stock.sandbag_max_kg,
    };
    let most_kg = most_kg.unwrap_or(bounds::LOAD.max);
    let loading = match unit {
        MassUnit::Kg => Loading::assumed(least_kg, most_kg, step_kg, unit),
        MassUnit::Lb => {
            // A bar of 20 kg is sold as one of 45 lb; the others go to the nearest step.
            let least_lb = (Kg(least_kg).pounds() / step_lb).round().max(1.0) * step_lb;
            Loading::assumed(least_lb, Kg(most_kg).pounds(), step_lb, unit)
        }
    };
    loading.ok().map(|l| (l, false))
}

/// Least load, and usual steps in kilograms and pounds (practice tables 3.1 and 8.2).
fn steps(carry: Option<Carry<'_>>) -> (f64, f64, f64) {
    match carry {
        Some(Carry::Bar(item)) => (BARS.iter().find(|(bar, _)| *bar == item).map_or(BAR_KG, |(_, kg)| *kg), 2.5, 5.0),
        Some(Carry::DumbbellEachHand | Carry::Dumbbell) => (2.0, 2.0, 5.0),
        Some(Carry::KettlebellEachHand | Carry::Kettlebell) => (4.0, 4.0, 5.0),
        Some(Carry::Stack(_)) => (5.0, 5.0, 10.0),
        Some(Carry::Plates | Carry::Plate | Carry::PlateEachHand) => (2.5, 2.5, 5.0),
        Some(Carry::PlatesBothSides) => (5.0, 5.0, 10.0),
        None => (2.5, 2.5, 5.0),
    }
}
