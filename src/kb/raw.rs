//! Records as they stand in the JSON files of a base, refused when a field is unknown.
//!
//! Leans on serde and schemars, and on [`crate::units`] and [`crate::mechanics`] for the bounds that
//! the schemas tell. The comments, units (`x-unit`), keys (`x-key`) and examples here are what the
//! reference of the base is made from. Leaves to others: whether the values make sense
//! ([`super::check`]) and how they are asked quickly ([`super::table`]).

use std::collections::BTreeMap;

use schemars::{JsonSchema, Schema};
use serde::{Deserialize, Serialize};
use serde_json::{Value, json};

use crate::mechanics::limits;
use crate::units::{Bound, bounds};

mod catalogue;
mod week;
pub use catalogue::*;
pub use week::*;

/// Writes a bound and its unit into the schema of a field, or of every value of a map or list.
fn within(bound: Bound) -> impl FnMut(&mut Schema) {
    move |schema| bind(schema.ensure_object(), bound)
}

fn bind(schema: &mut serde_json::Map<String, Value>, bound: Bound) {
    for inner in ["additionalProperties", "items"] {
        if let Some(Value::Object(inner)) = schema.get_mut(inner) {
            return bind(inner, bound);
        }
    }
    let whole = schema.get("type").is_some_and(|t| t == "integer");
    let number = |value: f64| if whole { json!(value as i64) } else { json!(value) };
    schema.insert("minimum".to_string(), number(bound.min));
    schema.insert("maximum".to_string(), number(bound.max));
    if !bound.unit.is_empty() {
        schema.insert("x-unit".to_string(), json!(bound.unit));
    }
}

/// Most characters of a name shown, for a narrow terminal.
pub const LONGEST_NAME: usize = 48;
/// Fewest and most cues of an exercise.
pub const CUES: (usize, usize) = (2, 3);
/// Most characters of a cue.
pub const LONGEST_CUE: usize = 60;

/// Defines a closed list of words with their spelling in JSON, their order and a lookup.
macro_rules! words {
    ($(#[$doc:meta])* $name:ident { $($(#[$vdoc:meta])* $variant:ident = $word:literal),+ $(,)? }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
        pub enum $name {
            $($(#[$vdoc])* #[serde(rename = $word)] $variant),+
        }

        impl $name {
            /// Every word of the list, in order.
            pub const ALL: &'static [Self] = &[$(Self::$variant),+];

            /// The spelling used in files, questions and answers.
            #[must_use]
            pub const fn word(self) -> &'static str {
                match self { $(Self::$variant => $word),+ }
            }

            /// The entry spelled `word`, if there is one.
            #[must_use]
            pub fn from_word(word: &str) -> Option<Self> {
                match word { $($word => Some(Self::$variant),)+ _ => None }
            }

            /// Position in [`Self::ALL`].
            #[must_use]
            pub const fn rank(self) -> u8 {
                self as u8
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str(self.word())
            }
        }
    };
}
#[allow(unused_imports)]
pub(crate) use words;

words! {
    /// Lumbar compression at a typical working load, in five steps.
    SpineClass {
        /// Lying, supported, passive hang, quiet standing.
        None = "none",
        /// Up to about 2.5 body weights.
        Low = "low",
        /// Up to about 4.3 body weights.
        Moderate = "moderate",
        /// Up to about 8.2 body weights.
        High = "high",
        /// Beyond that.
        VeryHigh = "very-high",
    }
}

words! {
    /// How many limbs work at once.
    Laterality {
        /// Both sides together.
        Bilateral = "bilateral",
        /// One side for a whole set.
        Unilateral = "unilateral",
        /// Sides take turns.
        Alternating = "alternating",
    }
}

words! {
    /// Where in the prime mover's range the exercise is hardest.
    MuscleLength {
        /// Hardest while the muscle is long.
        Long = "long",
        /// Hardest in mid-range.
        Middle = "middle",
        /// Hardest while the muscle is short.
        Short = "short",
    }
}

words! {
    /// Where the load meets the body.
    LoadPosition {
        /// Across the upper back.
        UpperBack = "upper-back",
        /// Across the front of the shoulders or in the elbow crook.
        FrontShoulders = "front-shoulders",
        /// In the hands at chest or shoulder height.
        HandsFrontRack = "hands-front-rack",
        /// In the hands, arms hanging.
        HandsHanging = "hands-hanging",
        /// In the hands overhead.
        HandsOverhead = "hands-overhead",
        /// On the hips or thighs.
        Hips = "hips",
        /// Hung from a belt at the hips.
        WaistBelt = "waist-belt",
        /// Pushed or held by the feet or ankles.
        Feet = "feet",
        /// Pulled by a cable or band.
        Cable = "cable",
        /// Through the arm or pad of a machine.
        MachineArm = "machine-arm",
        /// The body's own mass.
        Bodyweight = "bodyweight",
        /// No load to speak of.
        None = "none",
    }
}

words! {
    /// What carries the body.
    Support {
        /// On the feet.
        Standing = "standing",
        /// On the feet with the hands or head taking part of the weight.
        HandsSupported = "hands-supported",
        /// Chest on a pad.
        ChestSupported = "chest-supported",
        /// Seated, back on a pad.
        SeatedBackSupported = "seated-back-supported",
        /// Seated, back free.
        SeatedUnsupported = "seated-unsupported",
        /// On one or both knees.
        Kneeling = "kneeling",
        /// On hands and knees or hands and feet.
        Quadruped = "quadruped",
        /// Lying on the back.
        LyingSupine = "lying-supine",
        /// Lying on the front.
        LyingProne = "lying-prone",
        /// Lying on the side.
        SideLying = "side-lying",
        /// Hanging from the hands.
        Hanging = "hanging",
    }
}

words! {
    /// What the exercise is for in a programme.
    Role {
        /// A main lift.
        Main = "main",
        /// Assistance with several joints.
        Accessory = "accessory",
        /// One joint.
        Isolation = "isolation",
        /// Speed and power.
        Power = "power",
        /// Heart and lungs.
        Conditioning = "conditioning",
        /// Light protective work.
        Prehab = "prehab",
        /// Unloading and comfortable range.
        Decompression = "decompression",
    }
}

words! {
    /// A way to make the exercise harder.
    HarderBy {
        /// More weight.
        Load = "load",
        /// More repetitions.
        Reps = "reps",
        /// Slower.
        Tempo = "tempo",
        /// With a stop.
        Pause = "pause",
        /// Longer range.
        Range = "range",
        /// Longer lever.
        Leverage = "leverage",
        /// One side at a time.
        OneSide = "one-side",
        /// Less help.
        LessAssist = "less-assist",
        /// A stronger band.
        StrongerBand = "stronger-band",
        /// Faster.
        Speed = "speed",
        /// Held longer.
        HoldTime = "hold-time",
    }
}

words! {
    /// How the load of an exercise is counted.
    Counted {
        /// Bar and plates.
        Bar = "bar",
        /// Each hand.
        PerHand = "per-hand",
        /// One implement.
        One = "one",
        /// Weight stack.
        Stack = "stack",
        /// Plates only.
        Plates = "plates",
        /// Added to the body.
        Added = "added",
        /// Share of the body's own mass.
        Body = "body",
    }
}

words! {
    /// What a set of the exercise is counted in.
    SetUnit {
        /// Repetitions.
        Reps = "reps",
        /// Seconds held or worked.
        Seconds = "seconds",
    }
}

/// Head of a base: `kb/base.json`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Base {
    /// Format of the files; this program reads format 1.
    #[schemars(example = 1)]
    pub format: u32,
    /// Name of the base, shown by `kb stats` and in every reply.
    #[schemars(example = &"boathouse")]
    pub name: String,
    /// Version of the base, in any form that its keeper likes.
    #[schemars(example = &"2026.11")]
    pub version: String,
}

/// One node of the pattern tree.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Pattern {
    /// Plain id.
    pub id: String,
    /// Name shown.
    pub name: String,
    /// Id of the node above; absent at the top.
    #[serde(default)]
    pub parent: Option<String>,
    /// What decides whether a lift belongs here.
    pub definition: String,
    /// Whether exercises stand at this node; at other nodes none may.
    #[serde(default)]
    pub leaf: bool,
    /// The exercise of this pattern that lifters think of first, at a leaf with training in it.
    #[serde(default)]
    pub typical: Option<String>,
    /// Other words that lifters use for it.
    #[serde(default)]
    pub aliases: Vec<String>,
}

/// A muscle or muscle group.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Muscle {
    /// Plain id.
    pub id: String,
    /// Name shown.
    pub name: String,
    /// Anatomical name.
    pub anatomical: String,
    /// Everyday names, any of which a question may use.
    #[serde(default)]
    pub aliases: Vec<String>,
    /// Joint actions, in words, for people.
    pub actions: String,
    /// Whether it mostly holds still in lifts that are not for it, so that a substitute is not
    /// asked to keep it working as hard.
    #[serde(default)]
    pub holds: bool,
}

/// A movement or load that brings a region's soreness on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Aggravator {
    /// Token used in questions and grades: lower-case words joined by underscores.
    #[schemars(example = &"deep_flexion")]
    pub id: String,
    /// What a clinician would ask, as a question to the lifter.
    pub question: String,
}

/// A body region with its closed list of aggravators.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Region {
    /// Plain id.
    pub id: String,
    /// Name shown.
    pub name: String,
    /// Other words for it.
    #[serde(default)]
    pub aliases: Vec<String>,
    /// The closed list of what brings its soreness on; grades of exercises name these and no others.
    pub aggravators: Vec<Aggravator>,
    /// Ids of the muscles of the region itself: while it is sore, a substitute is not asked to keep them
    /// working as hard.
    #[serde(default)]
    pub own_muscles: Vec<String>,
    /// What the figures stand on: the id of a source, `memory` or `practice`.
    pub basis: String,
}

/// A piece of kit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Equipment {
    /// Plain id.
    pub id: String,
    /// Name shown.
    pub name: String,
    /// Other words for it.
    #[serde(default)]
    pub aliases: Vec<String>,
    /// Ids of items whose job it also does: who has it has those too.
    #[schemars(example = ["flat-bench"])]
    #[serde(default)]
    pub provides: Vec<String>,
    /// Ids of items without which it is of little use; a gym that has it must have those.
    #[schemars(example = ["barbell"])]
    #[serde(default)]
    pub depends_on: Vec<String>,
    /// Whether it is present everywhere, as the floor is, so that no gym need name it.
    #[serde(default)]
    pub baseline: bool,
    /// What people at home use in its place. Never counted as kit unless a question asks for it.
    #[serde(default)]
    pub stand_ins: Vec<StandIn>,
    /// Its name with an indefinite article or as a plural, for sentences.
    #[schemars(example = &"a pair of dumbbells")]
    pub phrase: String,
}

/// A makeshift set-up that does the job of an item in some exercises.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StandIn {
    /// Kit that it is made of, all of it there; may be empty where household things do.
    #[serde(default)]
    pub items: Vec<String>,
    /// Things of the household that it takes besides, in words: "two small towels".
    #[serde(default)]
    pub household: Vec<String>,
    /// How it is set up, in a sentence or two.
    pub how: String,
    /// What can go wrong with it, and what to check.
    pub caution: String,
    /// Exercises, patterns or roles that it serves, by id; all that ask for the item when empty.
    #[serde(default)]
    pub only_for: Vec<String>,
    /// Exercises, patterns or roles that it does not serve.
    #[serde(default)]
    pub not_for: Vec<String>,
    /// Most load that it bears besides the body, kg, as the exercise counts its load (each hand or
    /// in all); 0 for body mass alone, absent where it does not limit.
    #[serde(default)]
    #[schemars(extend("x-unit" = "kg"))]
    pub most_load_kg: Option<f64>,
    /// Source id, `memory` or `practice`.
    pub basis: String,
}

/// Id of the anchor that is the body's own mass.
pub const BODY_ANCHOR: &str = "bm";

/// A lift whose one-repetition maximum others are measured against.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Anchor {
    /// Plain id.
    pub id: String,
    /// Id of the exercise that it is; absent for `bm` (body mass) and `none`.
    #[serde(default)]
    pub exercise: Option<String>,
    /// Typical one-repetition maximum of an intermediate man, in body masses.
    #[schemars(extend("x-unit" = "body masses"))]
    pub men_bm: f64,
    /// Typical one-repetition maximum of an intermediate woman, in body masses.
    #[schemars(extend("x-unit" = "body masses"))]
    pub women_bm: f64,
    /// What the figures stand on: the id of a source, `memory` or `practice`.
    pub basis: String,
}

/// What the hands or the trunk carry in a posture, for the planar lumbar model.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "lowercase")]
pub enum PostureLoad {
    /// A load lying on the trunk: distance up the trunk line and in front of it.
    Trunk {
        /// Distance from L5/S1 up the trunk, as a share of body height.
        #[schemars(extend("x-unit" = "body heights"))]
        up_h: f64,
        /// Further distance up the trunk, metres.
        #[schemars(extend("x-unit" = "m"))]
        up_m: f64,
        /// Distance in front of the trunk line, metres; negative is behind it.
        #[schemars(extend("x-unit" = "m"))]
        front_m: f64,
    },
    /// A load hanging from straight arms.
    Hang {
        /// Horizontal distance in front of the shoulder, metres; negative is towards the feet.
        #[schemars(extend("x-unit" = "m"))]
        front_m: f64,
    },
    /// A load held at a known distance in front of L5/S1.
    Hands {
        /// Load, metres in front of L5/S1.
        #[schemars(extend("x-unit" = "m"))]
        front_m: f64,
        /// Arms' own centre of mass, metres in front of L5/S1.
        #[schemars(extend("x-unit" = "m"))]
        arms_m: f64,
    },
    /// No external load above L5/S1.
    Nothing,
}

words! {
    /// How the lumbar load of a posture is found.
    PostureKind {
        /// By the planar model.
        Planar = "planar",
        /// From a published value.
        Published = "published",
        /// The trunk is carried by something else.
        Carried = "carried",
    }
}

/// A posture at the hardest instant, shared by many exercises.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Posture {
    /// Plain id.
    pub id: String,
    /// What it looks like.
    pub name: String,
    /// How the load on the low back is found, which decides what else is needed.
    pub kind: PostureKind,
    /// Trunk angle from vertical, degrees; forwards is positive. Needed where the kind is planar.
    #[schemars(transform = within(bounds::TRUNK_ANGLE))]
    #[serde(default)]
    pub trunk_deg: Option<f64>,
    /// Included knee angle, degrees (180 is straight). Needed where the kind is planar.
    #[schemars(transform = within(bounds::KNEE_ANGLE))]
    #[serde(default)]
    pub knee_deg: Option<f64>,
    /// Where the load is. Needed where the kind is planar.
    #[serde(default)]
    pub load: Option<PostureLoad>,
    /// Factor on the lumbar load where hands or head carry part of the trunk; 1 when left out.
    #[schemars(transform = within(limits::SUPPORT_FACTOR))]
    #[serde(default)]
    pub support_factor: Option<f64>,
    /// Factor on the lumbar load for speed; 1 when left out.
    #[schemars(transform = within(limits::DYNAMIC_FACTOR))]
    #[serde(default)]
    pub dynamic_factor: Option<f64>,
    /// Compression of the low back, newtons, for a body of 80 kg. Needed where the kind is
    /// published or carried.
    #[schemars(extend("x-unit" = "N"))]
    #[serde(default)]
    pub compression_n: Option<f64>,
    /// Why a heavy load may hang off mid-foot in this posture, where it does.
    #[serde(default)]
    pub off_foot: Option<String>,
    /// What the figures stand on: the id of a source, `memory` or `practice`.
    pub basis: String,
}

/// Posture of one exercise: a shared posture, and what differs from it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PostureUse {
    /// Id of the shared posture.
    #[schemars(example = &"squat-high-bar")]
    #[serde(rename = "as")]
    pub like: String,
    /// Trunk angle instead of the shared one, degrees from vertical.
    #[schemars(transform = within(bounds::TRUNK_ANGLE), example = 35)]
    #[serde(default)]
    pub trunk_deg: Option<f64>,
    /// Included knee angle instead of the shared one, degrees (180 is straight).
    #[schemars(transform = within(bounds::KNEE_ANGLE), example = 100)]
    #[serde(default)]
    pub knee_deg: Option<f64>,
    /// Factor for hands or head that carry part of the trunk, instead of the shared one.
    #[schemars(transform = within(limits::SUPPORT_FACTOR), example = 0.7)]
    #[serde(default)]
    pub support_factor: Option<f64>,
    /// Factor for speed instead of the shared one.
    #[schemars(transform = within(limits::DYNAMIC_FACTOR), example = 1.2)]
    #[serde(default)]
    pub dynamic_factor: Option<f64>,
}

/// Spine class set by hand in place of the computed one, with its basis.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Spine {
    /// The class that counts.
    pub class: SpineClass,
    /// What the class stands on: the id of a source, `memory` or `practice`.
    pub basis: String,
    /// What speaks against the computed class; needed where the two are more than a step apart.
    #[serde(default)]
    pub reason: Option<String>,
}

/// Typical working load against an anchor lift.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct TypicalLoad {
    /// Id of the anchor lift.
    #[schemars(example = &"squat")]
    pub anchor: String,
    /// One-repetition equivalent as a share of the anchor's; for one hand where each hand is counted.
    #[schemars(transform = within(bounds::LOAD_SHARE), example = 0.8)]
    pub share: f64,
    /// How the load is counted.
    pub counted: Counted,
    /// What the figures stand on: the id of a source, `memory` or `practice`.
    pub basis: String,
}

/// Usable range of a set.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SetRange {
    /// Fewest repetitions or seconds of a set that is worth doing.
    #[schemars(transform = within(bounds::REPETITIONS), example = 5)]
    pub low: u16,
    /// Most repetitions or seconds.
    #[schemars(transform = within(bounds::REPETITIONS), example = 12)]
    pub high: u16,
    /// Whether `low` and `high` are repetitions or seconds.
    pub unit: SetUnit,
}

/// One exercise, whole, after inheritance.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Exercise {
    /// Plain id: lower-case words joined by hyphens.
    #[schemars(example = &"oar-loom-row")]
    pub id: String,
    /// Name shown; fits a narrow terminal.
    #[schemars(length(max = LONGEST_NAME), example = &"Oar-loom inverted row")]
    pub name: String,
    /// Other names and abbreviations; each belongs to one exercise only, whatever its case or accents.
    #[schemars(example = ["oar row", "loom row"])]
    #[serde(default)]
    pub aliases: Vec<String>,
    /// Id of its main pattern, a leaf of the tree.
    #[schemars(example = &"pull-horizontal")]
    pub pattern: String,
    /// Ids of further patterns that it belongs to, leaves.
    #[schemars(example = ["trunk-anti-extension"])]
    #[serde(default)]
    pub also_patterns: Vec<String>,
    /// How many limbs work at once.
    pub laterality: Laterality,
    /// Kit: alternatives, each a list of ids of items needed together. `[["floor"]]` needs nothing.
    #[schemars(example = [&["barbell", "rack"][..], &["suspension-straps"][..]])]
    pub equipment: Vec<Vec<String>>,
    /// Ids of items that help but are not needed.
    #[schemars(example = ["weight-vest"])]
    #[serde(default)]
    pub optional: Vec<String>,
    /// Ceiling height needed by a lifter of 1.85 m, metres; absent where it does not matter.
    #[schemars(transform = within(bounds::HEADROOM), example = 2.4)]
    #[serde(default)]
    pub headroom_m: Option<f64>,
    /// How much each muscle works: prime mover 1, strong 0.5 to 0.75, helper 0.25 to 0.5. One at
    /// least is a prime mover; what works less is left out.
    #[schemars(transform = within(bounds::MUSCLE_WEIGHT), extend("x-key" = "muscle"))]
    #[schemars(example = BTreeMap::from([("latissimus-dorsi", 1.0), ("biceps", 0.5)]))]
    pub muscles: BTreeMap<String, f64>,
    /// Where in the prime mover's range it is hardest.
    pub hard_at: MuscleLength,
    /// Where the load meets the body.
    pub load_position: LoadPosition,
    /// What carries the body.
    pub support: Support,
    /// Posture at the hardest instant.
    pub posture: PostureUse,
    /// Spine class in place of the one computed from posture and typical load.
    #[serde(default)]
    pub spine: Option<Spine>,
    /// Stress of a typical work set by region and aggravator, grades 0 (idle) to 4 (heavy and near
    /// the end of range, impact, or a recognised provocative position); a region's grade is its
    /// greatest, and what is left out is 0.
    #[schemars(transform = within(bounds::JOINT_GRADE), extend("x-key" = "region", "x-key-inside" = "aggravator"))]
    #[schemars(example = BTreeMap::from([("elbow", BTreeMap::from([("medial_tendon", 2)]))]))]
    #[serde(default)]
    pub joints: BTreeMap<String, BTreeMap<String, u8>>,
    /// Skill asked for, 1 (anybody, at once) to 5 (years of practice).
    #[schemars(transform = within(bounds::SKILL), example = 2)]
    pub skill: u8,
    /// What it is for in a programme.
    pub role: Role,
    /// Regions that it is offered for when they are sore, the one it is most for first; only for
    /// the roles prehab and decompression, and there always.
    #[serde(default)]
    pub helps: Vec<String>,
    /// How usual it is in ordinary training, 1 (rare) to 5 (staple).
    #[schemars(transform = within(bounds::USUAL), example = 3)]
    pub usual: u8,
    /// Typical load, told as a share of an anchor lift.
    pub typical_load: TypicalLoad,
    /// Usable range of a set.
    pub reps: SetRange,
    /// Ways to make it harder, the usual one first.
    #[schemars(example = ["leverage", "load"])]
    #[serde(default)]
    pub harder_by: Vec<HarderBy>,
    /// Two or three short cues, said to the lifter.
    #[schemars(length(min = CUES.0, max = CUES.1), inner(length(max = LONGEST_CUE)))]
    #[schemars(example = ["Pin the loom in the hooks", "Pull the chest to the wood"])]
    pub cues: Vec<String>,
    /// Ids of the cautions shown with it, of `with_exercise` in `cautions.json`.
    #[schemars(example = ["safeties-or-spotter"])]
    #[serde(default)]
    pub cautions: Vec<String>,
    /// What each judgement not marked elsewhere stands on: the id of a source, `memory` or
    /// `practice`, for every one of `joints`, `muscles`, `reps`, `skill`, `usual`.
    #[schemars(extend("x-key" = "judgement"))]
    #[schemars(example = BTreeMap::from([("joints", "practice"), ("muscles", "memory")]))]
    pub basis: BTreeMap<String, String>,
    /// Id of the exercise that this is a variation of; the one named by `like` when left out.
    #[schemars(example = &"inverted-row-bar")]
    #[serde(default)]
    pub parent: Option<String>,
    /// Ids of the next easier steps.
    #[schemars(example = ["inverted-row-bar"])]
    #[serde(default)]
    pub easier: Vec<String>,
    /// Ids of the next harder steps.
    #[schemars(example = ["pull-up"])]
    #[serde(default)]
    pub harder: Vec<String>,
}

/// One file of exercises: `kb/exercises/<family>.json`. Each record may inherit: `like` names
/// another record whose fields hold unless the record changes them, by the rules of JSON merge
/// patch (RFC 7396): objects merge, `null` removes, all else replaces.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ExerciseFile {
    /// Name of the family; the file's own name.
    pub family: String,
    /// Records, each with at least an id.
    pub exercises: Vec<serde_json::Value>,
}

words! {
    /// Unit that weights are marked in.
    MassUnit {
        /// Kilograms.
        Kg = "kg",
        /// Pounds, each 0.453 592 37 kg.
        Lb = "lb",
    }
}

/// Kilograms, where no unit is written.
const fn kilograms() -> MassUnit {
    MassUnit::Kg
}

/// A bar.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BarOwned {
    /// The kit it is, such as `barbell` or `trap-bar`.
    pub item: String,
    /// Its mass.
    pub mass: f64,
    /// Unit of the mass; kilograms when absent.
    #[serde(default = "kilograms")]
    pub unit: MassUnit,
}

/// Plates of one mass, in pairs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PlatePairs {
    /// Mass of one plate.
    pub each: f64,
    /// Unit of the mass; kilograms when absent.
    #[serde(default = "kilograms")]
    pub unit: MassUnit,
    /// How many pairs.
    pub pairs: u8,
}

/// Collars, a pair for every bar.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Collars {
    /// Mass of the pair.
    pub pair: f64,
    /// Unit of the mass; kilograms when absent.
    #[serde(default = "kilograms")]
    pub unit: MassUnit,
}

/// Dumbbells or kettlebells: a fixed set, or what an adjustable one can be set to. Masses are
/// listed, or run from one to another in steps, or both.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct HandWeights {
    /// Masses of one each.
    #[serde(default)]
    pub each: Vec<f64>,
    /// First mass of a run.
    #[serde(default)]
    pub from: Option<f64>,
    /// Last mass of a run.
    #[serde(default)]
    pub to: Option<f64>,
    /// Step of a run.
    #[serde(default)]
    pub step: Option<f64>,
    /// Unit of the masses; kilograms when absent.
    #[serde(default = "kilograms")]
    pub unit: MassUnit,
    /// How many of each; two when absent.
    #[serde(default = "two")]
    pub of_each: u8,
}

/// Two of each, where nothing is written.
const fn two() -> u8 {
    2
}

/// A weight stack: what its pin can choose.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StackSteps {
    /// The kit it is.
    pub item: String,
    /// Least.
    pub from: f64,
    /// Most.
    pub to: f64,
    /// Step.
    pub step: f64,
    /// Unit of the masses; kilograms when absent.
    #[serde(default = "kilograms")]
    pub unit: MassUnit,
}

/// A dumbbell, kettlebell and plate stock. The lists say what can be built exactly; the greatest
/// and total masses are enough for whether a lift can be made hard.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Stock {
    /// Heaviest dumbbell for each hand, kg; without it there is one of any weight.
    #[serde(default)]
    #[schemars(transform = within(bounds::LOAD), example = 24)]
    pub dumbbell_max_kg: Option<f64>,
    /// Heaviest kettlebell, kg; without it there is one of any weight.
    #[serde(default)]
    #[schemars(transform = within(bounds::LOAD), example = 32)]
    pub kettlebell_max_kg: Option<f64>,
    /// Plates in all, kg, the bar left out; without it there are as many as wanted.
    #[serde(default)]
    #[schemars(transform = within(bounds::STOCK), example = 110)]
    pub plates_total_kg: Option<f64>,
    /// Heaviest sandbag or pack, kg; without it there is one of any weight.
    #[serde(default)]
    #[schemars(transform = within(bounds::LOAD), example = 40)]
    pub sandbag_max_kg: Option<f64>,
    /// Bars.
    #[serde(default)]
    pub bars: Vec<BarOwned>,
    /// Plates in pairs.
    #[serde(default)]
    pub plates: Vec<PlatePairs>,
    /// Collars that are put on and counted; without any they weigh nothing to speak of.
    #[serde(default)]
    pub collars: Option<Collars>,
    /// Dumbbells.
    #[serde(default)]
    pub dumbbells: Vec<HandWeights>,
    /// Kettlebells.
    #[serde(default)]
    pub kettlebells: Vec<HandWeights>,
    /// Weight stacks.
    #[serde(default)]
    pub stacks: Vec<StackSteps>,
}

/// A gym: what stands on the floor.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Gym {
    /// Plain id.
    pub id: String,
    /// Name shown.
    pub name: String,
    /// Ids of the items that stand there; what is present everywhere need not be named.
    #[schemars(example = ["barbell", "plates", "rack", "bands"])]
    pub items: Vec<String>,
    /// How heavy its weights go.
    #[serde(default)]
    pub stock: Stock,
    /// Ceiling height, metres; absent is high enough for all.
    #[schemars(transform = within(bounds::CEILING), example = 2.3)]
    #[serde(default)]
    pub ceiling_m: Option<f64>,
    /// Clear floor to work in, m², for whatever is in use at a time; absent is as much as the
    /// largest item here takes.
    #[schemars(transform = within(bounds::FLOOR), example = 6)]
    #[serde(default)]
    pub floor_use_m2: Option<f64>,
    /// Floor that is free to put more kit away, m²; absent is as much as wanted.
    #[schemars(transform = within(bounds::FLOOR), example = 2.5)]
    #[serde(default)]
    pub floor_stored_m2: Option<f64>,
    /// Height of the tallest who train there, m; absent is up to 1.85, as the headroom of exercises
    /// is meant.
    #[schemars(transform = within(bounds::HEIGHT), example = 1.72)]
    #[serde(default)]
    pub body_height_m: Option<f64>,
    /// Load that each item is rated for, kg, by its id.
    #[schemars(transform = within(bounds::STOCK), extend("x-key" = "item"))]
    #[serde(default)]
    pub rated_kg: BTreeMap<String, f64>,
}

/// A caution shown with an exercise.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Caution {
    /// Plain id.
    pub id: String,
    /// Text shown, to the lifter.
    pub text: String,
    /// What the figures stand on: the id of a source, `memory` or `practice`.
    pub basis: String,
}

words! {
    /// How soon a sign wants help.
    Urgency {
        /// Now.
        Emergency = "emergency",
        /// Same or next day.
        Urgent = "urgent",
        /// In the coming weeks.
        Routine = "routine",
    }
}

/// A warning sign that a person can report.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Sign {
    /// Plain id.
    pub id: String,
    /// What it is like, in plain words.
    pub text: String,
    /// How soon it wants help.
    pub urgency: Urgency,
    /// What the figures stand on: the id of a source, `memory` or `practice`.
    pub basis: String,
}

/// `kb/cautions.json`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Cautions {
    /// Shown with every answer, in order.
    pub always: Vec<Caution>,
    /// Shown with the exercises that name them.
    pub with_exercise: Vec<Caution>,
    /// Shown when a region is sore; every region has one.
    #[schemars(extend("x-key" = "region"))]
    pub with_region: BTreeMap<String, Caution>,
    /// Warning signs; one at least is an emergency.
    pub signs: Vec<Sign>,
    /// What to do, for each urgency.
    #[schemars(extend("x-key" = "urgency"))]
    pub actions: BTreeMap<Urgency, String>,
}

/// A source of figures.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Source {
    /// Plain id.
    pub id: String,
    /// What it is: authors, year, where.
    pub title: String,
    /// How far it was read.
    pub read: ReadAs,
}

words! {
    /// How far a source was read.
    ReadAs {
        /// Abstract, text or table read.
        Seen = "seen",
        /// Read as quoted by another.
        SecondHand = "second-hand",
        /// Recalled.
        Memory = "memory",
    }
}

words! {
    /// How a load is counted when two lifts are held side by side.
    LoadCount {
        /// Bar and plates.
        Bar = "bar",
        /// Each hand.
        PerHand = "per-hand",
        /// Both hands together.
        Pair = "pair",
        /// One implement.
        One = "one",
        /// Weight stack.
        Stack = "stack",
        /// Plates on the sled, lever, belt or end of the bar.
        Plates = "plates",
        /// What is held or hung, without the body.
        Added = "added",
        /// The body's own share and what is added to it.
        BodyAndAdded = "body-and-added",
    }
}

impl LoadCount {
    /// The count of an exercise's own record: each hand for pairs, and body with added load where
    /// the body is part of what is lifted. `on_body` says that the anchor lift is the body's own
    /// mass or is itself counted in it.
    #[must_use]
    pub const fn of(counted: Counted, on_body: bool) -> Self {
        match counted {
            Counted::Bar => Self::Bar,
            Counted::PerHand => Self::PerHand,
            Counted::One => Self::One,
            Counted::Stack => Self::Stack,
            Counted::Plates => Self::Plates,
            Counted::Body => Self::BodyAndAdded,
            Counted::Added => {
                if on_body {
                    Self::BodyAndAdded
                } else {
                    Self::Added
                }
            }
        }
    }

    /// What a load in this count is multiplied by to be counted as `other`; none where the two
    /// are no counts of one thing.
    #[must_use]
    pub fn factor_to(self, other: Self) -> Option<f64> {
        match (self, other) {
            (Self::Pair, Self::PerHand) => Some(0.5),
            (Self::PerHand, Self::Pair) => Some(2.0),
            (a, b) => (a == b).then_some(1.0),
        }
    }
}

/// A carry-over between two lifts: `kb/carryover.json`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CarryOver {
    /// Id of the lift whose load is known.
    pub from: String,
    /// Id of the lift whose load is asked for.
    pub to: String,
    /// Typical ratio of the one-repetition maxima, `to` divided by `from`, each counted as below;
    /// between `low` and `high`.
    pub ratio: f64,
    /// Lower end of the ratio; above 0.
    pub low: f64,
    /// Upper end of the ratio.
    pub high: f64,
    /// Typical ratio of women where it differs; `ratio` is then that of men.
    #[serde(default)]
    pub women: Option<f64>,
    /// What the known lift's load counts.
    pub counted_from: LoadCount,
    /// What the substitute's load counts.
    pub counted: LoadCount,
    /// What the figures stand on: the id of a source, `memory` or `practice`.
    pub basis: String,
    /// What to know about the ratio.
    #[serde(default)]
    pub note: Option<String>,
    /// Whether ratio, low and high stand for the equations: their mean at a usual load, and a
    /// fifth beyond their least and greatest.
    #[serde(default)]
    pub ratio_from_equations: bool,
    /// Ratios that were measured, beside the one used.
    #[serde(default)]
    pub measured: Vec<MeasuredRatio>,
    /// Straight lines from one load to the other.
    #[serde(default)]
    pub equations: Vec<LoadEquation>,
}

/// A ratio of two lifts that was measured.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MeasuredRatio {
    /// Substitute over known lift, counted as the pair is.
    pub ratio: f64,
    /// Source id.
    pub basis: String,
    /// How far this figure was read, where less far than its source.
    #[serde(default)]
    pub read: Option<ReadAs>,
    /// The loads, the people, the kind of best.
    #[serde(default)]
    pub note: Option<String>,
}

/// A straight line from the load of one lift to that of another, both for the same repetitions.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LoadEquation {
    /// Kilograms of the substitute for each kilogram of the known lift.
    pub slope: f64,
    /// Kilograms added.
    #[schemars(extend("x-unit" = "kg"))]
    pub intercept_kg: f64,
    /// Standard error of the estimate, kg.
    #[serde(default)]
    #[schemars(extend("x-unit" = "kg"))]
    pub error_kg: Option<f64>,
    /// Repetitions that both loads are the best for.
    pub repetitions: u8,
    /// Least load of the known lift that the line is used for, kg.
    #[schemars(extend("x-unit" = "kg"))]
    pub least_kg: f64,
    /// Greatest load of the known lift that the line is used for, kg.
    #[schemars(extend("x-unit" = "kg"))]
    pub most_kg: f64,
    /// Source id, `memory` or `practice`.
    pub basis: String,
    /// The people, and what was made of the figures.
    #[serde(default)]
    pub note: Option<String>,
}

words! {
    /// How a best for one repetition is found from a set of several.
    BestBy {
        /// Load times (1 + repetitions / 30); 1985.
        Epley = "epley",
        /// Load times 36 / (37 - repetitions); 1993.
        Brzycki = "brzycki",
        /// 100 load / (101.3 - 2.67123 repetitions); 1985.
        Lander = "lander",
        /// Load times repetitions to the power of 0.10; 1989.
        Lombardi = "lombardi",
        /// 100 load / (52.2 + 41.9 exp(-0.055 repetitions)); 1992.
        Mayhew = "mayhew",
        /// Load times (1 + 0.025 repetitions); 1989.
        OConner = "oconner",
        /// 100 load / (48.8 + 53.8 exp(-0.075 repetitions)); 1994.
        Wathan = "wathan",
        /// The median of these seven.
        Median = "median",
        /// The chart of the base.
        Chart = "chart",
    }
}

/// One point of the chart: the share of a best that can be lifted so often.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ChartPoint {
    /// Most repetitions.
    pub repetitions: u8,
    /// Share of the best, per cent.
    pub percent: f64,
    /// Source id, `memory` or `practice`.
    pub basis: String,
    /// How it was found, where it was not read.
    #[serde(default)]
    pub note: Option<String>,
}

/// How far an estimated best can be off.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Band {
    /// Up to so many repetitions.
    pub up_to: u8,
    /// Share of the best, either way.
    pub share: f64,
}

/// A published line from a set of several repetitions to the best for one.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BestLine {
    /// Exercise.
    pub exercise: String,
    /// The line, from the load for its repetitions to that for one.
    pub line: LoadEquation,
}

words! {
    /// How a lift stands to what its lifter has done lately.
    Situation {
        /// Done within three months.
        Familiar = "familiar",
        /// A new variation of a pattern that was.
        Variant = "variant",
        /// A new pattern, or one that asks for balance.
        NewPattern = "new-pattern",
        /// A machine or cable whose gearing is not known.
        UnknownMachine = "unknown-machine",
        /// After two weeks off or more.
        TimeOff = "time-off",
    }
}

/// How a first session begins in one situation.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FirstSession {
    /// Situation.
    pub situation: Situation,
    /// In words.
    pub means: String,
    /// For time off: at least so many weeks.
    #[serde(default)]
    pub weeks: Option<u8>,
    /// Least factor on the load.
    pub low: f64,
    /// Greatest factor on the load.
    pub high: f64,
    /// Whether low to high are the ends of a ramp: sets that grow until the reserve is reached.
    #[serde(default)]
    pub ramp: bool,
    /// Fewest repetitions left in reserve.
    pub reserve_low: f64,
    /// Most repetitions left in reserve.
    pub reserve_high: f64,
    /// Fewest sets; as programmed when absent.
    #[serde(default)]
    pub sets_low: Option<u8>,
    /// Most sets.
    #[serde(default)]
    pub sets_high: Option<u8>,
    /// Share of the programmed sets.
    #[serde(default)]
    pub sets_share: Option<f64>,
    /// Source id, `memory` or `practice`.
    pub basis: String,
}

/// What pain takes off a load. Above the last band a lift is stopped.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PainBand {
    /// Pain of 10, up to and with.
    pub up_to: f64,
    /// Least factor on the load.
    pub low: f64,
    /// Greatest factor on the load.
    pub high: f64,
    /// Fewest repetitions in reserve.
    #[serde(default)]
    pub least_reserve: Option<f64>,
    /// What goes with it.
    pub means: String,
    /// Source id, `memory` or `practice`.
    pub basis: String,
}

/// A best that nine of ten strong lifters do not pass, in body masses: one above it asks whether
/// the number is right.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Ceiling {
    /// Id of an anchor lift; others are held against it by their share of it.
    pub anchor: String,
    /// Of men, in body masses.
    #[schemars(extend("x-unit" = "body masses"))]
    pub men_bm: f64,
    /// Of women, in body masses.
    #[schemars(extend("x-unit" = "body masses"))]
    pub women_bm: f64,
    /// Source id, `memory` or `practice`.
    pub basis: String,
}

/// The arithmetic of bests and first sessions: `kb/loads.json`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Loads {
    /// Repetitions above which an estimate comes with a warning.
    pub warn_above: u8,
    /// Repetitions above which there is none.
    pub refuse_above: u8,
    /// Share of a best by repetitions, from 1 on.
    pub chart: Vec<ChartPoint>,
    /// Bands by repetitions.
    pub bands: Vec<Band>,
    /// Formula by pattern or branch of the pattern tree.
    pub best_by: BTreeMap<String, BestBy>,
    /// Formula of every other pattern.
    pub best_by_otherwise: BestBy,
    /// Lines of single lifts.
    #[serde(default)]
    pub lines: Vec<BestLine>,
    /// Bests that call for a second look.
    #[serde(default)]
    pub ceilings: Vec<Ceiling>,
    /// First sessions; time off by rising weeks.
    pub situations: Vec<FirstSession>,
    /// Pain by rising bands.
    pub pain: Vec<PainBand>,
    /// Source id, `memory` or `practice`, of what has none of its own.
    pub basis: String,
}

words! {
    /// When in a repetition a share of body mass is borne.
    ShareAt {
        /// The greatest force of the movement.
        Peak = "peak",
        /// Held still at the top.
        Top = "top",
        /// Held still at the bottom.
        Bottom = "bottom",
        /// A usual value.
        Usual = "usual",
    }
}

words! {
    /// Whose figure it is.
    People {
        /// Men.
        Men = "men",
        /// Women.
        Women = "women",
    }
}

/// Share of body mass that a lift with the body moves: `kb/bodyshares.json`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BodyShare {
    /// Plain id.
    pub id: String,
    /// The exercise.
    pub exercise: String,
    /// Share of body mass.
    pub share: f64,
    /// Lower end, where a range is known.
    #[serde(default)]
    pub low: Option<f64>,
    /// Upper end.
    #[serde(default)]
    pub high: Option<f64>,
    /// When.
    pub at: ShareAt,
    /// Whose; both together when absent.
    #[serde(default)]
    pub sex: Option<People>,
    /// Source id, `memory` or `practice`.
    pub basis: String,
    /// The set-up.
    #[serde(default)]
    pub note: Option<String>,
}

/// What coaches name in an exercise's place, in order of preference, so that what a gym lacks
/// can be struck out: `kb/instead.json`. An exercise without a record of its own shares that of
/// its nearest ancestor in the variation graph.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Instead {
    /// Exercise to replace.
    pub id: String,
    /// Exercise ids when nothing is sore, best first.
    #[serde(default)]
    pub any: Vec<String>,
    /// Exercise ids when a region is sore, best first, by region id.
    #[serde(default)]
    pub sore: BTreeMap<String, Vec<String>>,
    /// Source id, `memory` or `practice`.
    pub basis: String,
}

impl Instead {
    /// Every list: its region, if it is for one, and its exercises.
    pub fn lists(&self) -> impl Iterator<Item = (Option<&String>, &Vec<String>)> {
        std::iter::once((None, &self.any)).chain(self.sore.iter().map(|(region, list)| (Some(region), list)))
    }
}

/// The JSON pointer of a place in a list of an [`Instead`] record, relative to the record.
#[must_use]
pub fn instead_pointer(region: Option<&String>, place: usize) -> String {
    match region {
        None => format!("/any/{place}"),
        Some(region) => format!("/sore/{region}/{place}"),
    }
}

words! {
    /// What the lifter trains for.
    Aim {
        /// Bigger muscles.
        Size = "size",
        /// Heavier lifts.
        Strength = "strength",
        /// Speed.
        Power = "power",
        /// All-round fitness.
        General = "general",
    }
}

words! {
    /// How sore a region is.
    Level {
        /// Pain 1 to 2 of 10.
        Mild = "mild",
        /// Pain 3 to 5 of 10.
        Moderate = "moderate",
        /// Pain above 5 of 10.
        Severe = "severe",
    }
}

/// How high a sore region may still be loaded.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Cap {
    /// Highest grade (or step of the spine class, 0 none to 4 very high) allowed.
    pub at_most: u8,
    /// Steps by which it must be below the original's grade at least; 0 allows the same grade, and
    /// only mild soreness may have 0.
    pub below_original: u8,
}

/// What the lists of `kb/instead.json` count for in the ranking, each a share from 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct InsteadShares {
    /// What each further place loses; only what the gym can do takes a place.
    pub per_place: f64,
    /// What the last places still count for.
    pub least: f64,
    /// Factor on the list for no soreness where there is none for the sore region.
    pub not_for_region: f64,
    /// Factor on a variation of what is named that is not named itself.
    pub variation: f64,
    /// Places of a list, from its first, that serve the purpose of the exercise whatever their
    /// muscles.
    pub purpose_places: u16,
}

/// Gates, terms and weights of the ranking: `kb/ranking.json`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Ranking {
    /// Caps by level of soreness, on the region's grade.
    #[schemars(extend("x-key" = "level"))]
    pub caps: BTreeMap<Level, Cap>,
    /// Caps by level of soreness, on the grade of the aggravator where the person names one: what
    /// is known to hurt must come down.
    pub named_caps: BTreeMap<Level, Cap>,
    /// Caps by level of soreness, on the spine class when the low back is sore.
    #[schemars(extend("x-key" = "level"))]
    pub spine_caps: BTreeMap<Level, Cap>,
    /// Steps below the region's grade that an aggravator counts for which an exercise does not list.
    pub unlisted_aggravator_relief: u8,
    /// Least share of the original's muscle work that a substitute must keep, 0 to 1.
    pub least_coverage: f64,
    /// Weight that a prime mover of the original must keep in the substitute, 0 to 1.
    pub prime_kept_weight: f64,
    /// Share of its weight, 0 to 1, that a muscle counts for where it only holds (see the muscle's
    /// `holds`) and is no prime mover.
    pub holding_share: f64,
    /// Share of its weight, 0 to 1, that a sore region's own muscle still counts for, by level.
    #[schemars(extend("x-key" = "level"))]
    pub own_muscle_share: BTreeMap<Level, f64>,
    /// What being named by coaches counts for.
    pub instead: InsteadShares,
    /// Steps of skill above the original that are allowed when the person names none.
    pub skill_above_original: u8,
    /// Share of the original's muscle work, 0 to 1, below which a pair of substitutes is looked for.
    pub pair_below_coverage: f64,
    /// Body mass of the lifter whose loads a gym's stock is held against, kg.
    #[schemars(extend("x-unit" = "kg"))]
    pub reference_mass_kg: f64,
    /// Weight of each term of the score, by aim; every aim names every term once.
    #[schemars(transform = within(bounds::TERM_WEIGHT), extend("x-key" = "aim", "x-key-inside" = "term"))]
    pub weights: BTreeMap<Aim, BTreeMap<String, f64>>,
    /// What the figures stand on: the id of a source, `memory` or `practice`.
    pub basis: String,
}
