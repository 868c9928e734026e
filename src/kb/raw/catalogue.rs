//! What can be bought, what it takes, and the questions that its worth is asked of: `kb/catalogue.json`.
//!
//! Leans on serde and schemars like the records beside it. Leaves to others: whether the file is
//! whole ([`crate::kb::check`]) and what to buy ([`crate::gym::buy`]).

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{Level, within};
use crate::units::bounds;

/// A price range, in the catalogue's currency.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PriceRange {
    /// Low end.
    #[schemars(transform = within(bounds::PRICE), example = 120)]
    pub low: f64,
    /// High end.
    #[schemars(transform = within(bounds::PRICE), example = 350)]
    pub high: f64,
    /// How it is reckoned, where it is sold by mass or area.
    #[schemars(example = &"2 to 4 a kilogram")]
    #[serde(default)]
    pub unit: Option<String>,
    /// Source id, `memory` or `practice`.
    pub basis: String,
}

/// Room that a thing takes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Space {
    /// Floor in use, the space to work in with it, m².
    #[schemars(transform = within(bounds::FLOOR), example = 4.5)]
    pub use_m2: f64,
    /// Floor when it is put away, m².
    #[schemars(transform = within(bounds::FLOOR), example = 0.1)]
    pub stored_m2: f64,
    /// Ceiling that it asks for, m, for a lifter of up to 1.85 m; absent where any will do.
    #[schemars(transform = within(bounds::CEILING), example = 2.1)]
    #[serde(default)]
    pub ceiling_m: Option<f64>,
    /// Source id, `memory` or `practice`.
    pub basis: String,
}

/// Load that makers rate a thing for, from the weakest usual one to the strongest.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Rated {
    /// Weakest usual one, kg.
    #[schemars(transform = within(bounds::STOCK), example = 300)]
    pub low_kg: f64,
    /// Strongest usual one, kg.
    #[schemars(transform = within(bounds::STOCK), example = 680)]
    pub high_kg: f64,
    /// Source id, `memory` or `practice`.
    pub basis: String,
}

/// Weights that come with a thing.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Weights {
    /// Heaviest dumbbell for each hand, kg.
    #[schemars(transform = within(bounds::LOAD), example = 24)]
    #[serde(default)]
    pub dumbbell_max_kg: Option<f64>,
    /// Heaviest kettlebell, kg.
    #[schemars(transform = within(bounds::LOAD), example = 16)]
    #[serde(default)]
    pub kettlebell_max_kg: Option<f64>,
    /// Heaviest sandbag, kg.
    #[schemars(transform = within(bounds::LOAD), example = 40)]
    #[serde(default)]
    pub sandbag_max_kg: Option<f64>,
    /// Plates in all, kg; they add to those that are there.
    #[schemars(transform = within(bounds::STOCK), example = 50)]
    #[serde(default)]
    pub plates_kg: Option<f64>,
    /// Source id, `memory` or `practice`.
    pub basis: String,
}

/// A thing that can be bought, in the amount that is usual.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Sold {
    /// Name shown, with the amount.
    #[schemars(example = &"Adjustable dumbbells, a pair to 24 kg")]
    pub name: String,
    /// Ids of the kit that it is; empty for what no exercise asks for, which is never advised.
    #[schemars(example = ["dumbbells"])]
    #[serde(default)]
    pub gives: Vec<String>,
    /// Weights that come with it.
    #[serde(default)]
    pub stock: Option<Weights>,
    /// Kit without which it is of little use: alternatives, each a list that must be there whole.
    #[schemars(example = [["rack", "plates"]])]
    #[serde(default)]
    pub needs: Vec<Vec<String>>,
    /// What it needs of the house, in words.
    #[schemars(example = &"a solid wall")]
    #[serde(default)]
    pub besides: Option<String>,
    /// Room.
    pub space: Space,
    /// Price, new.
    pub price: PriceRange,
    /// Rated load.
    #[serde(default)]
    pub rated: Option<Rated>,
    /// What does part of its job, in words.
    #[schemars(example = ["two dumbbells"])]
    #[serde(default)]
    pub stand_ins: Vec<String>,
    /// Ids of kit that does much of the same.
    #[schemars(example = ["dumbbells"])]
    #[serde(default)]
    pub overlaps: Vec<String>,
    /// What to beware of when it is set up.
    #[serde(default)]
    pub caution: Option<String>,
}

/// The questions that the worth of a gym is asked of, where a person brings no week, and how the
/// answers count.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Basket {
    /// Patterns whose typical exercises are asked for.
    #[schemars(example = ["squat", "hinge-hip"])]
    pub patterns: Vec<String>,
    /// Regions that may be sore, one at a time, where a person names none.
    #[schemars(example = ["low-back", "knee"])]
    pub regions: Vec<String>,
    /// How sore they are then.
    pub level: Level,
    /// Grade from which an exercise loads a region enough to be asked for with it sore.
    #[schemars(transform = within(bounds::JOINT_GRADE), example = 2)]
    pub least_grade: u8,
    /// What the best answers count for, best first, falling; they add up to 1.
    #[schemars(example = [0.6, 0.25, 0.15])]
    pub answer_shares: Vec<f64>,
    /// Score of 100 up to which an answer is worth nothing; above it worth rises evenly.
    #[schemars(transform = within(bounds::ANSWER_FLOOR), example = 40)]
    pub answer_floor: f64,
    /// Points of 100 that each thing bought must add to the worth of a gym.
    #[schemars(transform = within(bounds::LEAST_GAIN), example = 0.5)]
    pub least_gain: f64,
    /// Source id, `memory` or `practice`.
    pub basis: String,
}

/// What can be bought: `kb/catalogue.json`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Catalogue {
    /// Label of the currency that prices and budgets are in; any text.
    #[schemars(example = &"EUR")]
    pub currency: String,
    /// What every price is multiplied by, for another currency or another market.
    #[schemars(transform = within(bounds::PRICE_FACTOR), example = 0.9)]
    #[serde(default = "one")]
    pub price_factor: f64,
    /// Questions.
    pub basket: Basket,
    /// Kit that is not bought: people and things of the household.
    #[schemars(example = ["partner"])]
    #[serde(default)]
    pub not_sold: Vec<String>,
    /// What can be bought, by id. An overlay changes one figure of one thing by naming them, and
    /// takes a thing out with `null`.
    #[schemars(extend("x-key" = "thing"))]
    pub items: BTreeMap<String, Sold>,
}

const fn one() -> f64 {
    1.0
}
