//! What a week of training is held against: `kb/week.json`.
//!
//! Leans on serde and schemars like the records beside it. Leaves to others: whether the file is
//! whole ([`crate::kb::check`]) and the audit itself.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{SpineClass, within, words};
use crate::units::bounds;

words! {
    /// How long a person has trained, for the limits of a week.
    Training {
        /// Loads still rise from session to session.
        Novice = "novice",
        /// Loads rise from week to week.
        Intermediate = "intermediate",
        /// Loads rise over months.
        Advanced = "advanced",
    }
}

/// One rule of the audit of a week: what it allows at each level of training, where it has a limit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WeekRule {
    /// Id of the rule, one that the program knows.
    #[schemars(example = &"a3-sets-week")]
    pub id: String,
    /// Limit for a novice; all three levels have one, or none has.
    #[serde(default)]
    pub novice: Option<f64>,
    /// Limit for an intermediate lifter.
    #[serde(default)]
    pub intermediate: Option<f64>,
    /// Limit for an advanced lifter.
    #[serde(default)]
    pub advanced: Option<f64>,
    /// What the limit counts, in words.
    #[schemars(example = &"hard sets")]
    #[serde(default)]
    pub unit: Option<String>,
    /// What the rule stands on: the id of a source, `memory` or `practice`.
    pub basis: String,
    /// What to know about the rule.
    #[serde(default)]
    pub note: Option<String>,
}

impl WeekRule {
    /// The limit at a level.
    #[must_use]
    pub const fn limit(&self, level: Training) -> Option<f64> {
        match level {
            Training::Novice => self.novice,
            Training::Intermediate => self.intermediate,
            Training::Advanced => self.advanced,
        }
    }
}

/// A coach's tier of load along the spine, with the exercises that coaches put there by name.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Tier {
    /// 0 none or supported, to 3 high.
    #[schemars(range(max = 3))]
    pub tier: u8,
    /// Points for each hard set.
    pub points: u8,
    /// What the tier is called.
    pub name: String,
    /// Ids of exercises that coaches put there.
    pub exercises: Vec<String>,
    /// What the tier stands on: the id of a source, `memory` or `practice`.
    pub basis: String,
}

/// The tier of an exercise that no coach named, from its spine class.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct TierOfClass {
    /// Spine class.
    pub class: SpineClass,
    /// Tier on the feet alone with the load above the hips.
    #[schemars(range(max = 3))]
    pub free: u8,
    /// Tier where something else carries the body, or the load hangs below the back.
    #[schemars(range(max = 3))]
    pub carried: u8,
}

/// When a set counts as a hard one.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct HardSet {
    /// Most repetitions left in reserve.
    #[schemars(transform = within(bounds::RESERVE))]
    pub most_reserve: f64,
    /// Fewest repetitions, unless the load is heavy.
    pub least_repetitions: u16,
    /// Share of the best for one repetition from which fewer will do.
    #[schemars(extend("x-unit" = "%"))]
    pub least_percent: f64,
    /// Repetitions in reserve that are assumed where a row says none.
    #[schemars(transform = within(bounds::RESERVE))]
    pub assumed_reserve: f64,
    /// What the figures stand on: the id of a source, `memory` or `practice`.
    pub basis: String,
}

/// How time and distance are turned into repetitions, for the relative spinal loading.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct AsRepetitions {
    /// Seconds of holding or carrying that count as one repetition.
    pub seconds: f64,
    /// Metres of carrying that count as one repetition.
    pub metres: f64,
    /// What the figures stand on: the id of a source, `memory` or `practice`.
    pub basis: String,
}

/// How the sets of a muscle are counted.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SetCounting {
    /// Weight of a muscle in an exercise from which it is a main mover.
    pub direct_from: f64,
    /// Weight from which it is a helper.
    pub indirect_from: f64,
    /// What a set counts for a main mover.
    pub direct: f64,
    /// What a set counts for a helper.
    pub indirect: f64,
    /// What a set counts for a muscle of `holding_muscles` that holds still, where a bar is lifted
    /// on the feet.
    pub holding: f64,
    /// Ids of those muscles; every other muscle that only holds counts nothing.
    pub holding_muscles: Vec<String>,
    /// Ids of muscles whose lack is told.
    pub watched: Vec<String>,
    /// What the figures stand on: the id of a source, `memory` or `practice`.
    pub basis: String,
}

/// What a number of sets of one muscle a week is called.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SetLabel {
    /// The word.
    #[schemars(example = &"useful")]
    pub label: String,
    /// Up to so many whole sets; the last label has no end.
    #[serde(default)]
    pub up_to: Option<u16>,
    /// Whether it is too few or too many to be left unsaid.
    #[serde(default)]
    pub told: Option<TooFewOrMany>,
}

words! {
    /// Why a number of sets is told.
    TooFewOrMany {
        /// Too few.
        Few = "few",
        /// Too many.
        Many = "many",
    }
}

/// One side of a balance.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BalanceSide {
    /// What it is called.
    #[schemars(example = &"pushing")]
    pub name: String,
    /// Ids of patterns or branches of the pattern tree.
    pub patterns: Vec<String>,
}

/// Two kinds of work that a week should hold in balance.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Balance {
    /// Plain id.
    pub id: String,
    /// One side.
    pub left: BalanceSide,
    /// The other.
    pub right: BalanceSide,
    /// Sets that the sides must differ by at least before it is told.
    pub least_difference: f64,
    /// What the figures stand on: the id of a source, `memory` or `practice`.
    pub basis: String,
}

/// What counts as heavy between two days.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Spacing {
    /// More hard sets of the highest tier than these make a day heavy.
    pub heavy_sets: f64,
    /// So does one set from this share of the best on.
    #[schemars(extend("x-unit" = "%"))]
    pub heavy_percent: f64,
    /// Share of the best from which a pull from the floor is a heavy one.
    #[schemars(extend("x-unit" = "%"))]
    pub heavy_pull_percent: f64,
    /// Fewest hard sets of the highest tier that make a hinge day.
    pub hinge_sets: f64,
    /// Ids of patterns that are hinges.
    pub hinge_patterns: Vec<String>,
    /// Ids of patterns that are pulls from the floor.
    pub floor_pull_patterns: Vec<String>,
    /// Ids of patterns that are rows.
    pub row_patterns: Vec<String>,
    /// Ids of patterns that may stand anywhere in a session, as carries at its end.
    pub anywhere: Vec<String>,
    /// Ids of patterns or branches that a week should hold.
    pub wanted: Vec<String>,
    /// What the figures stand on: the id of a source, `memory` or `practice`.
    pub basis: String,
}

/// What a week of lighter training looks like.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Deload {
    /// Fewest days.
    pub days_low: u8,
    /// Most days.
    pub days_high: u8,
    /// Least share of the sets taken off, 0 to 1.
    pub sets_off_low: f64,
    /// Greatest share of the sets taken off.
    pub sets_off_high: f64,
    /// Least share of the load taken off, 0 to 1.
    pub load_off_low: f64,
    /// Greatest share of the load taken off.
    pub load_off_high: f64,
    /// Repetitions in reserve beside the usual ones.
    #[schemars(transform = within(bounds::RESERVE))]
    pub reserve_more: f64,
    /// Share of the usual sets below which the last seven days were light enough already.
    pub light_already: f64,
    /// Age, years, above which one is due as early as for the advanced.
    pub older_than: u16,
    /// What the figures stand on: the id of a source, `memory` or `practice`.
    pub basis: String,
}

/// What a change of a week costs when the smallest is looked for, and how far a change may go.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Mending {
    /// Another exercise in a row's place.
    pub swap: f64,
    /// Most that a poor stand-in costs beside that; the best costs nothing more.
    pub swap_loss: f64,
    /// A row on another day.
    pub move_day: f64,
    /// What it costs beside that where the day was free.
    pub move_to_free_day: f64,
    /// Each set taken off.
    pub set_off: f64,
    /// Each set put on.
    pub set_on: f64,
    /// A row left out.
    pub drop: f64,
    /// What any change to a main lift costs beside that.
    pub main_lift: f64,
    /// How far the sets of a muscle may fall, per cent.
    #[schemars(extend("x-unit" = "%"))]
    pub tolerance_percent: f64,
    /// How many repetitions more than the row has a stand-in may need at least to be hard.
    pub repetitions_more: u16,
    /// How many stand-ins are looked at for each row.
    pub stand_ins: usize,
    /// Sets of a row that is put on.
    pub added_sets: u16,
    /// What the figures stand on: the id of a source, `memory` or `practice`.
    pub basis: String,
}

/// A sign that a lighter week is due early.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct DeloadSignal {
    /// Plain id.
    #[schemars(example = &"performance")]
    pub id: String,
    /// What it is like, in plain words.
    pub text: String,
    /// What it stands on: the id of a source, `memory` or `practice`.
    pub basis: String,
}

/// The figures of the audit of a week: `kb/week.json`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WeekFigures {
    /// Rules with their limits; every rule of the program has one record.
    pub rules: Vec<WeekRule>,
    /// A coach's tiers of load along the spine, one record each.
    pub tiers: Vec<Tier>,
    /// The tier of what no coach named, by spine class.
    pub tier_of_class: Vec<TierOfClass>,
    /// When a set is hard.
    pub hard: HardSet,
    /// Time and distance as repetitions.
    pub as_repetitions: AsRepetitions,
    /// How sets of a muscle are counted.
    pub counting: SetCounting,
    /// What numbers of sets are called, rising.
    pub labels: Vec<SetLabel>,
    /// Kinds of work held in balance.
    pub balances: Vec<Balance>,
    /// What is heavy, and which patterns count as what.
    pub spacing: Spacing,
    /// A week of lighter training.
    pub deload: Deload,
    /// The smallest change.
    pub mending: Mending,
    /// Signs that it is due early.
    pub deload_signals: Vec<DeloadSignal>,
    /// Source id, `memory` or `practice`, of what has none of its own.
    pub basis: String,
}

impl WeekFigures {
    /// Points for a hard set of a tier.
    #[must_use]
    pub fn points(&self, tier: u8) -> u8 {
        self.tiers.iter().find(|t| t.tier == tier).map_or(tier, |t| t.points)
    }

    /// The record of a rule.
    #[must_use]
    pub fn rule(&self, id: &str) -> Option<&WeekRule> {
        self.rules.iter().find(|r| r.id == id)
    }

    /// What a number of sets is called: whole sets count, so that three and a half are three.
    #[must_use]
    pub fn label(&self, sets: f64) -> Option<&SetLabel> {
        let whole = sets.floor();
        self.labels.iter().find(|l| l.up_to.is_none_or(|end| whole <= f64::from(end)))
    }
}
