//! What can be put together from a listed stock: bar and plates, hand weights, stacks.
//!
//! Leans on the stock as a gym lists it and on exact masses. Leaves to others: which load is wanted
//! ([`crate::load`]). A bar carries the same on both sides; of several ways to one mass the one
//! with the fewest plates is told, and of those the one with the heavier plates.

use std::collections::BTreeMap;
use std::fmt;

use super::BAR_KG;
use crate::kb::raw::{HandWeights, MassUnit, Stock};
use crate::kb::stock::{exact, run};
use crate::units::{ExactMass, Kg, trim};

/// How a load is carried.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Carry<'s> {
    /// A bar with plates on both ends: the kit it is, such as `barbell`.
    Bar(&'s str),
    /// Plates alone, the same on both sides.
    PlatesBothSides,
    /// Plates alone, any number: on a belt, a sled or the end of a bar.
    Plates,
    /// A dumbbell in each hand; loads are told for each hand.
    DumbbellEachHand,
    /// One dumbbell.
    Dumbbell,
    /// A kettlebell in each hand; loads are told for each hand.
    KettlebellEachHand,
    /// One kettlebell.
    Kettlebell,
    /// One plate, held.
    Plate,
    /// A plate in each hand; loads are told for each hand.
    PlateEachHand,
    /// A weight stack: the kit it is.
    Stack(&'s str),
}

/// A mass as it is marked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Marked {
    /// Number on it.
    pub mass: f64,
    /// Unit of the number.
    pub unit: MassUnit,
}

impl fmt::Display for Marked {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", trim(self.mass), self.unit)
    }
}

/// A load that can be put together.
#[derive(Debug, Clone, PartialEq)]
pub struct Built {
    exact: ExactMass,
    /// The bar, where there is one.
    pub bar: Option<Marked>,
    /// The pair of collars, where they count.
    pub collars: Option<Marked>,
    /// Plates on each side, or in all where there is one side only, heaviest first.
    pub plates: Vec<(Marked, u8)>,
    /// Whether the plates stand on both sides.
    pub both_sides: bool,
    /// The one thing that is taken or set, where it is no bar.
    pub taken: Option<Marked>,
}

impl Built {
    /// The load: in all for a bar, for each hand where each hand has its own.
    #[must_use]
    pub fn load(&self) -> Kg {
        self.exact.kg()
    }
}

impl fmt::Display for Built {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut parts = Vec::new();
        if let Some(bar) = self.bar {
            parts.push(format!("{bar} bar"));
        }
        if let Some(collars) = self.collars {
            parts.push(format!("{collars} of collars"));
        }
        if let Some(taken) = self.taken {
            parts.push(taken.to_string());
        }
        let one = |(plate, n): &(Marked, u8)| if *n == 1 { plate.to_string() } else { format!("{n} x {plate}") };
        let plates: Vec<String> = self.plates.iter().map(one).collect();
        if plates.is_empty() {
            if self.taken.is_none() {
                parts.push("no plates".to_string());
            }
        } else {
            let side = if self.both_sides { "each side " } else { "" };
            parts.push(format!("{side}{}", plates.join(" + ")));
        }
        f.write_str(&parts.join(", "))
    }
}

/// A load that cannot be put together.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum LoadingError {
    /// The gym does not list what it takes.
    #[error("the gym lists no {what}")]
    NotListed {
        /// What is not listed.
        what: String,
    },
    /// Too many ways to combine the plates.
    #[error("more than {most} masses can be made of these plates; list fewer kinds or pairs")]
    TooMany {
        /// Most that are looked at.
        most: usize,
    },
    /// Lighter than the lightest there is.
    #[error("{given} is below the least there is, {} ({least})", least.load())]
    TooLight {
        /// Load asked for.
        given: Kg,
        /// The lightest.
        least: Box<Built>,
    },
    /// Nothing makes this mass.
    #[error("{given} cannot be made; nearest {}", nearest(.below.as_deref(), .above.as_deref()))]
    NotBuildable {
        /// Load asked for.
        given: Kg,
        /// The next below.
        below: Option<Box<Built>>,
        /// The next above.
        above: Option<Box<Built>>,
    },
}

fn nearest(below: Option<&Built>, above: Option<&Built>) -> String {
    let told: Vec<String> = [below, above].into_iter().flatten().map(|b| format!("{} ({b})", b.load())).collect();
    told.join(" or ")
}

/// Most masses that are looked at.
const MOST_MASSES: usize = 50_000;

/// Every load that a stock makes in one way of carrying, rising; never empty.
#[derive(Debug, Clone, PartialEq)]
pub struct Loading {
    all: Vec<Built>,
}

impl Loading {
    /// The loads of a stock.
    ///
    /// # Errors
    /// [`LoadingError::NotListed`] where the stock does not list what the carrying takes,
    /// [`LoadingError::TooMany`] where its plates could be combined in too many ways.
    pub fn of(stock: &Stock, carry: Carry<'_>) -> Result<Self, LoadingError> {
        let all = match carry {
            Carry::Bar(item) => bars(stock, item)?,
            Carry::PlatesBothSides => on_plates(stock, None, None, true)?,
            Carry::Plates => on_plates(stock, None, None, false)?,
            Carry::DumbbellEachHand => hand(&stock.dumbbells, 2),
            Carry::Dumbbell => hand(&stock.dumbbells, 1),
            Carry::KettlebellEachHand => hand(&stock.kettlebells, 2),
            Carry::Kettlebell => hand(&stock.kettlebells, 1),
            Carry::Plate | Carry::PlateEachHand => {
                stock.plates.iter().filter(|p| p.pairs > 0).map(|p| taken(p.each, p.unit)).collect()
            }
            Carry::Stack(item) => {
                let stacks = stock.stacks.iter().filter(|s| s.item == item);
                stacks.flat_map(|s| run(s.from, s.to, s.step).into_iter().map(|m| taken(m, s.unit))).collect()
            }
        };
        if all.is_empty() {
            return Err(LoadingError::NotListed { what: what(carry) });
        }
        Ok(Self::rising(all))
    }

    /// The loads from `least` to `most` in steps of `step`, all as marked in `unit`: what is
    /// assumed where nothing is listed.
    ///
    /// # Errors
    /// [`LoadingError::NotListed`] where no load lies between the two.
    pub fn assumed(least: f64, most: f64, step: f64, unit: MassUnit) -> Result<Self, LoadingError> {
        let all: Vec<Built> = run(least, most, step).into_iter().map(|m| taken(m, unit)).collect();
        if all.is_empty() || least <= 0.0 {
            return Err(LoadingError::NotListed { what: "weight as light as that".to_string() });
        }
        Ok(Self::rising(all))
    }

    fn rising(mut all: Vec<Built>) -> Self {
        // Of equal loads the first stands, so that the heavier of two bars goes before the lighter.
        all.sort_by_key(|b| b.exact);
        all.dedup_by(|b, a| a.exact == b.exact);
        Self { all }
    }

    /// Every load, rising.
    #[must_use]
    pub fn all(&self) -> &[Built] {
        &self.all
    }

    /// The heaviest load that is not above `wanted`.
    ///
    /// # Errors
    /// [`LoadingError::TooLight`] with the lightest there is.
    pub fn down_to(&self, wanted: Kg) -> Result<&Built, LoadingError> {
        self.below(wanted).ok_or_else(|| match self.all.first() {
            Some(least) => LoadingError::TooLight { given: wanted, least: Box::new(least.clone()) },
            None => LoadingError::NotListed { what: "weights".to_string() },
        })
    }

    /// The next lighter load than `built`, if there is one.
    #[must_use]
    pub fn before(&self, built: &Built) -> Option<&Built> {
        let at = self.all.partition_point(|b| b.exact < built.exact);
        at.checked_sub(1).and_then(|at| self.all.get(at))
    }

    /// The next heavier load than `built`, if there is one.
    #[must_use]
    pub fn after(&self, built: &Built) -> Option<&Built> {
        self.all.get(self.all.partition_point(|b| b.exact <= built.exact))
    }

    /// Exactly this load.
    ///
    /// # Errors
    /// [`LoadingError::NotBuildable`] with the nearest below and above.
    pub fn exactly(&self, wanted: Kg) -> Result<&Built, LoadingError> {
        let below = self.below(wanted);
        match below {
            Some(built) if built.exact == ExactMass::from_kg(wanted.get()) => Ok(built),
            _ => {
                let own = |built: Option<&Built>| built.map(|b| Box::new(b.clone()));
                Err(LoadingError::NotBuildable { given: wanted, below: own(below), above: own(self.above(wanted)) })
            }
        }
    }

    /// Least difference between two loads, none where there is one load only.
    #[must_use]
    pub fn finest_step(&self) -> Option<Kg> {
        let gaps = self.all.iter().zip(self.all.iter().skip(1)).map(|(a, b)| b.exact - a.exact);
        gaps.min().map(ExactMass::kg)
    }

    /// The heaviest load that is not above `wanted`, if there is one.
    #[must_use]
    pub fn below(&self, wanted: Kg) -> Option<&Built> {
        let wanted = ExactMass::from_kg(wanted.get());
        let after = self.all.partition_point(|b| b.exact <= wanted);
        after.checked_sub(1).and_then(|at| self.all.get(at))
    }

    /// The lightest load that is above `wanted`, if there is one.
    #[must_use]
    pub fn above(&self, wanted: Kg) -> Option<&Built> {
        let wanted = ExactMass::from_kg(wanted.get());
        self.all.get(self.all.partition_point(|b| b.exact <= wanted))
    }
}

fn what(carry: Carry<'_>) -> String {
    match carry {
        Carry::Bar(item) => format!("bar of the kind {item:?}"),
        Carry::PlatesBothSides | Carry::Plates | Carry::Plate | Carry::PlateEachHand => "plates".to_string(),
        Carry::DumbbellEachHand => "pair of dumbbells".to_string(),
        Carry::Dumbbell => "dumbbells".to_string(),
        Carry::KettlebellEachHand => "pair of kettlebells".to_string(),
        Carry::Kettlebell => "kettlebells".to_string(),
        Carry::Stack(item) => format!("steps of the stack {item:?}"),
    }
}

fn taken(mass: f64, unit: MassUnit) -> Built {
    let taken = Some(Marked { mass, unit });
    Built { exact: exact(mass, unit), bar: None, collars: None, plates: Vec::new(), both_sides: false, taken }
}

fn hand(list: &[HandWeights], needed: u8) -> Vec<Built> {
    let enough = list.iter().filter(|h| h.of_each >= needed);
    enough.flat_map(|h| h.masses().into_iter().map(|m| taken(m, h.unit))).collect()
}

fn bars(stock: &Stock, item: &str) -> Result<Vec<Built>, LoadingError> {
    let mut own: Vec<Marked> =
        stock.bars.iter().filter(|b| b.item == item).map(|b| Marked { mass: b.mass, unit: b.unit }).collect();
    if own.is_empty() && item == "barbell" && !stock.plates.is_empty() {
        // Whoever lists plates and no bar has the usual one.
        own.push(Marked { mass: BAR_KG, unit: MassUnit::Kg });
    }
    own.sort_by_key(|b| std::cmp::Reverse(exact(b.mass, b.unit)));
    let collars = stock.collars.as_ref().map(|c| Marked { mass: c.pair, unit: c.unit });
    let mut all = Vec::new();
    for bar in own {
        all.extend(on_plates(stock, Some(bar), collars, true)?);
    }
    Ok(all)
}

/// Every mass that plates make on a bar, on both sides or in all.
fn on_plates(
    stock: &Stock,
    bar: Option<Marked>,
    collars: Option<Marked>,
    both_sides: bool,
) -> Result<Vec<Built>, LoadingError> {
    let mut kinds: Vec<(Marked, u8)> = stock
        .plates
        .iter()
        .map(|p| (Marked { mass: p.each, unit: p.unit }, if both_sides { p.pairs } else { p.pairs.saturating_mul(2) }))
        .collect();
    kinds.sort_by_key(|(plate, _)| std::cmp::Reverse(exact(plate.mass, plate.unit)));
    // For each sum the number of plates and how many of each kind, heaviest kind first.
    let mut sums: BTreeMap<ExactMass, (u32, Vec<u8>)> = BTreeMap::from([(ExactMass::default(), (0, Vec::new()))]);
    for (plate, most) in &kinds {
        let mass = exact(plate.mass, plate.unit);
        let mut next: BTreeMap<ExactMass, (u32, Vec<u8>)> = BTreeMap::new();
        for (sum, (plates, counts)) in &sums {
            for n in 0..=*most {
                let mut counts = counts.clone();
                counts.push(n);
                let way = (plates + u32::from(n), counts);
                let better = |old: &(u32, Vec<u8>)| way.0 < old.0 || (way.0 == old.0 && way.1 > old.1);
                let sum = *sum + mass.times(i64::from(n));
                if next.get(&sum).is_none_or(better) {
                    next.insert(sum, way);
                }
            }
            if next.len() > MOST_MASSES {
                return Err(LoadingError::TooMany { most: MOST_MASSES });
            }
        }
        sums = next;
    }
    let base =
        [bar, collars].into_iter().flatten().map(|m| exact(m.mass, m.unit)).fold(ExactMass::default(), |a, b| a + b);
    let sides = if both_sides { 2 } else { 1 };
    let told = |(sum, (_, counts)): (ExactMass, (u32, Vec<u8>))| Built {
        exact: base + sum.times(sides),
        bar,
        collars,
        plates: kinds.iter().zip(counts).filter(|(_, n)| *n > 0).map(|((plate, _), n)| (*plate, n)).collect(),
        both_sides,
        taken: None,
    };
    // Plates alone make no load of nothing.
    Ok(sums.into_iter().map(told).filter(|b| b.exact > ExactMass::default()).collect())
}
