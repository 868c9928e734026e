//! What stands on the floor: an inventory, its reach in kilograms, and what one more item adds.
//!
//! Leans on the compiled base. Leaves to others: which exercise is worth doing ([`crate::rank`]),
//! and what exactly can be put together from the weights ([`loading`]).

pub mod loading;

use crate::kb::Kb;
use crate::kb::draft::nearest;
use crate::kb::fold::fold;
use crate::kb::raw::{Counted, Gym, Stock};
use crate::kb::table::{KitSet, Row};
use crate::units::{OutOfBounds, bounds};

/// A gym whose items are bits, closed over what they provide.
#[derive(Debug, Clone, PartialEq)]
pub struct Inventory {
    /// Id, or `your kit` for a list given in the question.
    pub id: String,
    /// Name shown.
    pub name: String,
    /// Items owned, as named.
    pub owned: KitSet,
    /// Items owned and all that they provide, with what is present everywhere.
    pub kit: KitSet,
    /// Stock of weights.
    pub stock: Stock,
    /// Ceiling in centimetres; none is high enough for all.
    pub ceiling_cm: Option<u16>,
    /// Whether no kit was named, so that everything counts as there.
    pub assumed: bool,
}

/// A gym or item that the base does not know, or a number out of bounds.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum GymError {
    /// No such gym.
    #[error("no gym {given:?} in the base{}", did_you_mean(.nearest.as_deref()))]
    UnknownGym {
        /// As given.
        given: String,
        /// Nearest id.
        nearest: Option<String>,
    },
    /// No such item.
    #[error("no kit called {given:?}{}", did_you_mean(.nearest.as_deref()))]
    UnknownItem {
        /// As given.
        given: String,
        /// Nearest id.
        nearest: Option<String>,
    },
    /// A list of weights that does not fit.
    #[error("gym {gym:?}: {found} at /stock{place}")]
    Stock {
        /// Id of the gym.
        gym: String,
        /// JSON pointer below the stock.
        place: String,
        /// What was found.
        found: String,
    },
    /// A number out of bounds.
    #[error("gym {gym:?}: {problem}")]
    Bounds {
        /// Id of the gym.
        gym: String,
        /// What is out of bounds.
        problem: OutOfBounds,
    },
}

fn did_you_mean(nearest: Option<&str>) -> String {
    nearest.map_or_else(String::new, |n| format!("; did you mean {n:?}?"))
}

/// Bit of an item of kit by id, name or alias.
///
/// # Errors
/// [`GymError::UnknownItem`] with the nearest id.
pub fn item(kb: &Kb, given: &str) -> Result<usize, GymError> {
    kb.equipment
        .iter()
        .position(|q| q.id == given)
        .or_else(|| kb.words.equipment.find(&fold(given)).map(usize::from))
        .ok_or_else(|| GymError::UnknownItem {
            given: given.to_string(),
            nearest: nearest(given, kb.equipment.iter().map(|q| q.id.as_str())).map(str::to_string),
        })
}

impl Inventory {
    /// A gym of the base by id.
    ///
    /// # Errors
    /// [`GymError::UnknownGym`] with the nearest id.
    pub fn named(kb: &Kb, id: &str) -> Result<Self, GymError> {
        match kb.gyms.iter().find(|g| g.id == id) {
            Some(gym) => Self::of(kb, gym),
            None => Err(GymError::UnknownGym {
                given: id.to_string(),
                nearest: nearest(id, kb.gyms.iter().map(|g| g.id.as_str())).map(str::to_string),
            }),
        }
    }

    /// A gym as described.
    ///
    /// # Errors
    /// [`GymError`] for the first item that is unknown, or a ceiling or stock out of bounds.
    pub fn of(kb: &Kb, gym: &Gym) -> Result<Self, GymError> {
        let bounded = |bound: crate::units::Bound, value: Option<f64>| match value.map(|v| bound.check(v)) {
            Some(Err(problem)) => Err(GymError::Bounds { gym: gym.id.clone(), problem }),
            _ => Ok(()),
        };
        bounded(bounds::CEILING, gym.ceiling_m)?;
        for load in [gym.stock.dumbbell_max_kg, gym.stock.kettlebell_max_kg, gym.stock.sandbag_max_kg] {
            bounded(bounds::LOAD, load)?;
        }
        bounded(bounds::STOCK, gym.stock.plates_total_kg)?;
        if let Some((place, found)) = crate::kb::stock::faults(gym).into_iter().next() {
            return Err(GymError::Stock { gym: gym.id.clone(), place, found });
        }
        let mut owned = 0;
        for given in &gym.items {
            owned |= 1 << item(kb, given)?;
        }
        Ok(Self {
            id: gym.id.clone(),
            name: gym.name.clone(),
            owned,
            kit: closed(kb, owned),
            stock: gym.stock.clone(),
            ceiling_cm: gym.ceiling_m.map(|m| (m * 100.0).round() as u16),
            assumed: false,
        })
    }

    /// Everything there is, when no kit is named.
    #[must_use]
    pub fn everything(kb: &Kb) -> Self {
        let owned = (0..kb.equipment.len()).fold(0, |set, i| set | 1 << i);
        Self {
            id: "any".to_string(),
            name: "any kit (none was named)".to_string(),
            owned,
            kit: owned,
            stock: Stock::default(),
            ceiling_cm: None,
            assumed: true,
        }
    }

    /// This inventory with more items; from "everything" it becomes these items alone.
    ///
    /// # Errors
    /// [`GymError::UnknownItem`] for the first that is unknown.
    pub fn with(mut self, kb: &Kb, items: &[String]) -> Result<Self, GymError> {
        if items.is_empty() {
            return Ok(self);
        }
        if self.assumed {
            self = Self {
                id: "your-kit".to_string(),
                name: "your kit".to_string(),
                owned: 0,
                kit: 0,
                stock: Stock::default(),
                ceiling_cm: None,
                assumed: false,
            };
        }
        for given in items {
            self.owned |= 1 << item(kb, given)?;
        }
        self.kit = closed(kb, self.owned);
        Ok(self)
    }

    /// Share of the usual working load that this stock reaches with kit `alternative`, 0 to 1;
    /// the load needed and the most there is, kg. None where stock does not limit.
    #[must_use]
    pub fn reach(&self, kb: &Kb, row: &Row, alternative: KitSet) -> Option<Reach> {
        let carries = |set: KitSet| alternative & set != 0;
        let c = &kb.carriers;
        // 70 % of one repetition is a working load for most aims (practice).
        let needed_kg = f64::from(row.one_rm_bm) * kb.ranking.reference_mass_kg * WORK_SHARE;
        let hands = if matches!(row.counted, Counted::PerHand | Counted::One) { 1.0 } else { 2.0 };
        let most = if row.counted == Counted::Body {
            None
        } else if carries(c.dumbbells) {
            self.stock.dumbbell_kg().map(|kg| kg * hands)
        } else if carries(c.kettlebells) {
            self.stock.kettlebell_kg().map(|kg| kg * hands)
        } else if carries(c.sandbag) {
            self.stock.sandbag_max_kg
        } else if carries(c.plates) && !carries(c.plate_carriers) {
            // A plate in the hands is no heavier than the largest one usually owned.
            Some(HAND_PLATE_KG)
        } else if carries(c.plates) {
            self.stock.plates_kg().map(|kg| if carries(c.barbell) { kg + BAR_KG } else { kg })
        } else {
            None
        };
        let most_kg = most?;
        (needed_kg > 0.0).then(|| Reach { share: (most_kg / needed_kg).min(1.0), needed_kg, most_kg })
    }
}

/// How far a stock goes towards the usual load.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reach {
    /// Share of the usual load, 0 to 1.
    pub share: f64,
    /// Usual working load of a reference lifter, kg.
    pub needed_kg: f64,
    /// Most that the stock makes up, kg.
    pub most_kg: f64,
}

/// Share of one repetition that a work set takes (practice).
pub const WORK_SHARE: f64 = 0.70;

/// Largest disc that is commonly owned and held in the hands, kg (common home sets, practice).
pub const HAND_PLATE_KG: f64 = 20.0;

/// Mass of the usual straight bar, kg (competition rules, as a reference page gives them).
pub const BAR_KG: f64 = 20.0;

/// Below this share of the usual load a lift is not worth setting up (practice).
pub const LEAST_REACH: f64 = 0.25;

/// A set of kit with all that it provides and what is present everywhere.
#[must_use]
pub fn closed(kb: &Kb, owned: KitSet) -> KitSet {
    kb.provides
        .iter()
        .enumerate()
        .filter(|(i, _)| owned >> i & 1 == 1)
        .fold(owned | kb.baseline, |all, (_, set)| all | set)
}

/// The one item that would complete some alternative, with what it depends on already there.
#[must_use]
pub fn one_item_short(kb: &Kb, kit: KitSet, alternatives: &[KitSet]) -> Option<usize> {
    alternatives.iter().find_map(|alternative| {
        let missing = alternative & !kit;
        (missing.count_ones() == 1).then(|| missing.trailing_zeros() as usize).filter(|item| {
            let needs = kb.depends_on.get(*item).copied().unwrap_or(0);
            needs & !kit == 0
        })
    })
}
