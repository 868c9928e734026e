//! What stands on the floor: an inventory, its reach in kilograms, and what one more item adds.
//!
//! Leans on the compiled base. Leaves to others: which exercise is worth doing ([`crate::rank`]),
//! what can be put together from the weights ([`loading`]), which of it an exercise takes ([`carry`]).

pub mod buy;
pub mod carry;
pub mod floor;
pub mod loading;

use std::sync::{Arc, OnceLock};

use crate::kb::Kb;
use crate::kb::draft::nearest;
use crate::kb::fold::fold;
use crate::kb::raw::{Counted, Gym, Stock};
use crate::kb::table::{KitSet, Row, RowId, StandIn};
use crate::units::{OutOfBounds, bounds};
use floor::Floor;

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
    /// Height of the tallest lifter in centimetres; none is as tall as the headrooms are meant for.
    pub body_cm: Option<u16>,
    /// Whether no kit was named, so that everything counts as there.
    pub assumed: bool,
    /// Items that are not there and that something there can stand in for.
    pub stood_in: KitSet,
    /// Whether makeshift set-ups count as kit.
    pub improvise: bool,
    /// The heaviest of each kind of weight in the stock.
    heaviest: Heaviest,
    /// What the kit can do, row by row; found when first asked for.
    floor: OnceLock<Arc<Floor>>,
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
    let id = |at: &u8| kb.equipment.get(usize::from(*at)).map_or("", |q| q.id.as_str());
    let by_id = &kb.lanes.kit_by_id;
    let found = by_id.binary_search_by(|at| id(at).cmp(given)).ok();
    found
        .and_then(|at| by_id.get(at))
        .map(|at| usize::from(*at))
        .or_else(|| kb.words.equipment.find(&fold(given)).map(|at| at as usize))
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
        bounded(bounds::FLOOR, gym.floor_use_m2)?;
        bounded(bounds::FLOOR, gym.floor_stored_m2)?;
        bounded(bounds::HEIGHT, gym.body_height_m)?;
        for rated in gym.rated_kg.values() {
            bounded(bounds::STOCK, Some(*rated))?;
        }
        if let Some((place, found)) = crate::kb::stock::faults(gym).into_iter().next() {
            return Err(GymError::Stock { gym: gym.id.clone(), place, found });
        }
        let mut owned = 0;
        for given in &gym.items {
            owned |= 1 << item(kb, given)?;
        }
        let kit = closed(kb, owned);
        Ok(Self {
            id: gym.id.clone(),
            name: gym.name.clone(),
            owned,
            kit,
            stock: gym.stock.clone(),
            ceiling_cm: gym.ceiling_m.map(|m| (m * 100.0).round() as u16),
            body_cm: gym.body_height_m.map(|m| (m * 100.0).round() as u16),
            assumed: false,
            stood_in: stood_in(kb, kit),
            improvise: false,
            heaviest: Heaviest::of_stock(&gym.stock),
            floor: OnceLock::new(),
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
            body_cm: None,
            assumed: true,
            stood_in: 0,
            improvise: false,
            heaviest: Heaviest::default(),
            floor: OnceLock::new(),
        }
    }

    /// This inventory with makeshift set-ups counted as kit, or not.
    #[must_use]
    pub fn improvising(self, improvise: bool) -> Self {
        if improvise == self.improvise { self } else { Self { improvise, floor: OnceLock::new(), ..self } }
    }

    /// This inventory with all found out beforehand that many questions will ask of it.
    #[must_use]
    pub fn prepared(self, kb: &Kb) -> Self {
        let floor = Floor::new(kb, &self).prepared(kb, &self);
        Self { floor: OnceLock::from(Arc::new(floor)), ..self }
    }

    /// What the kit can do, row by row.
    #[must_use]
    pub fn floor(&self, kb: &Kb) -> &Floor {
        self.floor.get_or_init(|| Arc::new(Floor::new(kb, self)))
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
                body_cm: None,
                assumed: false,
                stood_in: 0,
                improvise: self.improvise,
                heaviest: Heaviest::default(),
                floor: OnceLock::new(),
            };
        }
        for given in items {
            self.owned |= 1 << item(kb, given)?;
        }
        self.kit = closed(kb, self.owned);
        self.stood_in = stood_in(kb, self.kit);
        self.floor = OnceLock::new();
        Ok(self)
    }

    /// Whether some kit alternative of a row is there, with enough weight for it.
    #[must_use]
    #[inline]
    pub fn has_kit_for(&self, kb: &Kb, row: usize) -> bool {
        let Some(r) = kb.table.rows.get(row) else { return false };
        let mut possible = kb.table.kits_of(row).iter().filter(|alternative| **alternative & !self.kit == 0);
        possible.any(|a| self.reach(kb, r, *a).is_none_or(|reach| reach.share >= LEAST_REACH))
    }

    /// Whether the ceiling is high enough for a row.
    #[must_use]
    pub fn is_high_enough(&self, row: &Row) -> bool {
        self.ceiling_cm.is_none_or(|have| self.headroom_cm(row) <= have)
    }

    /// Ceiling that a row asks for here, centimetres: what reaches up scales with the lifter, the
    /// radius of a plate or the like does not (practice section 8: height times 1.25 and 0.25 m).
    #[must_use]
    pub fn headroom_cm(&self, row: &Row) -> u16 {
        match self.body_cm {
            Some(body) if row.headroom_cm > PLATE_CM => {
                PLATE_CM + ((row.headroom_cm - PLATE_CM) as u32 * u32::from(body)).div_ceil(HEADROOM_FOR_CM) as u16
            }
            _ => row.headroom_cm,
        }
    }

    /// How a row could be done here with one item stood in for, where its own kit is not there.
    /// One at a time: two makeshift things at once are no set-up. What a stand-in is made of must
    /// be there itself.
    #[must_use]
    pub fn makeshift<'k>(&self, kb: &'k Kb, row: usize) -> Option<Makeshift<'k>> {
        if self.stood_in == 0 {
            return None;
        }
        let known = self.floor.get().and_then(|floor| floor.known_makeshift(kb, row));
        known.unwrap_or_else(|| self.find_makeshift(kb, row))
    }

    fn find_makeshift<'k>(&self, kb: &'k Kb, row: usize) -> Option<Makeshift<'k>> {
        let r = kb.table.rows.get(row)?;
        let at = RowId::try_from(row).ok()?;
        let mut best: Option<Makeshift<'k>> = None;
        for alternative in kb.table.kits_of(row) {
            let missing = alternative & !self.kit;
            if missing & self.stood_in == 0 || missing.count_ones() != 1 {
                continue;
            }
            let item = missing.trailing_zeros() as usize;
            // They stand in order of their item.
            let first = kb.stand_ins.partition_point(|s| usize::from(s.item) < item);
            for stand_in in kb.stand_ins.iter().skip(first).take_while(|s| usize::from(s.item) == item) {
                if stand_in.needs & !self.kit != 0 || stand_in.rows.binary_search(&at).is_err() {
                    continue;
                }
                let share = self.share_with(kb, r, *alternative, stand_in);
                if share >= LEAST_REACH && best.is_none_or(|b| share > b.share) {
                    best = Some(Makeshift { alternative: *alternative, item, stand_in, share });
                }
            }
        }
        best
    }

    /// Share of the usual load that an alternative reaches with a stand-in, 0 to 1.
    fn share_with(&self, kb: &Kb, row: &Row, alternative: KitSet, stand_in: &StandIn) -> f64 {
        let stock = self.reach(kb, row, alternative).map_or(1.0, |reach| reach.share);
        let needed_kg = if row.counted == Counted::Body { 0.0 } else { needed_kg(kb, row) };
        match stand_in.most_load_kg {
            Some(most_kg) if needed_kg > 0.0 => stock.min(most_kg / needed_kg),
            _ => stock,
        }
    }

    /// Share of the usual working load that this stock reaches with kit `alternative`, 0 to 1;
    /// the load needed and the most there is, kg. None where stock does not limit.
    #[must_use]
    pub fn reach(&self, kb: &Kb, row: &Row, alternative: KitSet) -> Option<Reach> {
        self.reached(kb, row, self.heaviest.of(kb, alternative))
    }

    /// As [`Self::reach`], where the most that the alternative makes up is known.
    fn reached(&self, kb: &Kb, row: &Row, most: Option<Most>) -> Option<Reach> {
        let most = most.filter(|_| row.counted != Counted::Body)?;
        let hands = if matches!(row.counted, Counted::PerHand | Counted::One) { 1.0 } else { 2.0 };
        let most_kg = if most.in_each_hand { most.kg * hands } else { most.kg };
        let needed_kg = needed_kg(kb, row);
        (needed_kg > 0.0).then(|| Reach { share: (most_kg / needed_kg).min(1.0), needed_kg, most_kg })
    }
}

/// The heaviest of each kind of weight in a stock, kg; none where it does not limit.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
struct Heaviest {
    dumbbell: Option<f64>,
    kettlebell: Option<f64>,
    sandbag: Option<f64>,
    plates: Option<f64>,
}

/// The most that a kit alternative makes up.
#[derive(Debug, Clone, Copy)]
struct Most {
    kg: f64,
    /// Whether each hand holds so much.
    in_each_hand: bool,
}

impl Heaviest {
    fn of_stock(stock: &Stock) -> Self {
        Self {
            dumbbell: stock.dumbbell_kg(),
            kettlebell: stock.kettlebell_kg(),
            sandbag: stock.sandbag_max_kg,
            plates: stock.plates_kg(),
        }
    }

    /// What an alternative makes up; none where stock does not limit.
    fn of(&self, kb: &Kb, alternative: KitSet) -> Option<Most> {
        let carries = |set: KitSet| alternative & set != 0;
        let c = &kb.carriers;
        let in_hand = |kg: Option<f64>| kg.map(|kg| Most { kg, in_each_hand: true });
        let in_all = |kg: f64| Most { kg, in_each_hand: false };
        if carries(c.dumbbells) {
            in_hand(self.dumbbell)
        } else if carries(c.kettlebells) {
            in_hand(self.kettlebell)
        } else if carries(c.sandbag) {
            self.sandbag.map(in_all)
        } else if carries(c.plates) && !carries(c.plate_carriers) {
            // A plate in the hands is no heavier than the largest one usually owned.
            Some(in_all(HAND_PLATE_KG))
        } else if carries(c.plates) {
            self.plates.map(|kg| in_all(if carries(c.barbell) { kg + BAR_KG } else { kg }))
        } else {
            None
        }
    }
}

/// Stores of weights, one of which bears the load of a kit alternative.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Store {
    /// The heaviest dumbbell counts.
    Dumbbells,
    /// The heaviest kettlebell counts.
    Kettlebells,
    /// The heaviest sandbag counts.
    Sandbag,
    /// All plates count.
    Plates,
    /// One plate in the hands.
    HandPlate,
}

/// How the load of a row is borne with a kit alternative.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Borne {
    /// What bears it.
    pub store: Store,
    /// How many of it at a time.
    pub times: f64,
    /// What the carrier itself weighs, kg.
    pub plus_kg: f64,
    /// Usual working load of a reference lifter, kg; above 0.
    pub needed_kg: f64,
}

impl Borne {
    /// How the load of `row` is borne with kit `alternative`; none where no store limits it.
    #[must_use]
    pub fn by(kb: &Kb, row: &Row, alternative: KitSet) -> Option<Self> {
        let carries = |set: KitSet| alternative & set != 0;
        let c = &kb.carriers;
        let hands = if matches!(row.counted, Counted::PerHand | Counted::One) { 1.0 } else { 2.0 };
        let (store, times, plus_kg) = if row.counted == Counted::Body {
            return None;
        } else if carries(c.dumbbells) {
            (Store::Dumbbells, hands, 0.0)
        } else if carries(c.kettlebells) {
            (Store::Kettlebells, hands, 0.0)
        } else if carries(c.sandbag) {
            (Store::Sandbag, 1.0, 0.0)
        } else if carries(c.plates) && !carries(c.plate_carriers) {
            // A plate in the hands is no heavier than the largest one usually owned.
            (Store::HandPlate, 1.0, 0.0)
        } else if carries(c.plates) {
            (Store::Plates, 1.0, if carries(c.barbell) { BAR_KG } else { 0.0 })
        } else {
            return None;
        };
        let needed_kg = needed_kg(kb, row);
        (needed_kg > 0.0).then_some(Self { store, times, plus_kg, needed_kg })
    }

    /// Most load that a store of `kg` makes up, kg; none of a store without an end.
    #[must_use]
    pub fn most_kg(&self, kg: Option<f64>) -> Option<f64> {
        kg.map(|kg| kg * self.times + self.plus_kg)
    }

    /// Share of the usual load that `most_kg` reaches, 0 to 1.
    #[must_use]
    pub fn share(&self, most_kg: f64) -> f64 {
        (most_kg / self.needed_kg).min(1.0)
    }
}

/// A row done with one item stood in for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Makeshift<'k> {
    /// The kit alternative, the missing item among it.
    pub alternative: KitSet,
    /// Position of the missing item.
    pub item: usize,
    /// What stands in for it.
    pub stand_in: &'k StandIn,
    /// Share of the usual load that can be reached so, 0 to 1.
    pub share: f64,
}

/// Usual working load of a reference lifter, kg.
fn needed_kg(kb: &Kb, row: &Row) -> f64 {
    f64::from(row.one_rm_bm) * kb.ranking.reference_mass_kg * WORK_SHARE
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

/// Body height that the headrooms of exercises are meant for, cm (practice section 8).
const HEADROOM_FOR_CM: u32 = 185;

/// Part of a headroom that does not grow with the lifter, cm (the same).
const PLATE_CM: u16 = 25;

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

/// Items not in `kit` that something in it can stand in for.
fn stood_in(kb: &Kb, kit: KitSet) -> KitSet {
    let made = kb.stand_ins.iter().filter(|s| s.needs & !kit == 0);
    made.fold(0, |set, s| set | 1 << u32::from(s.item)) & !kit
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
