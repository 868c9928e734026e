//! Records as they stand in the JSON files of a base, refused when a field is unknown.
//!
//! Leans on serde and schemars. Leaves to others: whether the values make sense
//! ([`super::check`]) and how they are asked quickly ([`super::table`]).

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

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
    pub format: u32,
    /// Name of the base.
    pub name: String,
    /// Version of the base.
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
    /// Node above; absent at the top.
    #[serde(default)]
    pub parent: Option<String>,
    /// What decides whether a lift belongs here.
    pub definition: String,
    /// Whether exercises stand at this node.
    #[serde(default)]
    pub leaf: bool,
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
    /// Everyday names.
    #[serde(default)]
    pub aliases: Vec<String>,
    /// Joint actions.
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
    /// Token used in questions and grades.
    pub id: String,
    /// What a clinician would ask.
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
    /// Closed list.
    pub aggravators: Vec<Aggravator>,
    /// Muscles of the region itself: while it is sore, a substitute is not asked to keep them
    /// working as hard.
    #[serde(default)]
    pub own_muscles: Vec<String>,
    /// Source id, `memory` or `practice`.
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
    /// Items whose job it also does.
    #[serde(default)]
    pub provides: Vec<String>,
    /// Items without which it is of little use.
    #[serde(default)]
    pub depends_on: Vec<String>,
    /// Present everywhere.
    #[serde(default)]
    pub baseline: bool,
    /// What people at home use in its place. Never counted as kit unless a question asks for it.
    #[serde(default)]
    pub stand_ins: Vec<StandIn>,
    /// With an indefinite article or as a plural, for sentences: "a pair of dumbbells".
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
    pub most_load_kg: Option<f64>,
    /// Source id, `memory` or `practice`.
    pub basis: String,
}

/// A lift whose one-repetition maximum others are measured against.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Anchor {
    /// Plain id.
    pub id: String,
    /// The exercise that it is; absent for `bm` (body mass) and `none`.
    #[serde(default)]
    pub exercise: Option<String>,
    /// Typical one-repetition maximum of an intermediate man, in body masses.
    pub men_bm: f64,
    /// The same for a woman.
    pub women_bm: f64,
    /// Source id, `memory` or `practice`.
    pub basis: String,
}

/// What the hands or the trunk carry in a posture, for the planar lumbar model.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "lowercase")]
pub enum PostureLoad {
    /// A load lying on the trunk: distance up the trunk line and in front of it.
    Trunk {
        /// Distance from L5/S1 up the trunk, as a share of body height.
        up_h: f64,
        /// Further distance up the trunk, metres.
        up_m: f64,
        /// Distance in front of the trunk line, metres.
        front_m: f64,
    },
    /// A load hanging from straight arms.
    Hang {
        /// Horizontal distance in front of the shoulder, metres; negative is towards the feet.
        front_m: f64,
    },
    /// A load held at a known distance in front of L5/S1.
    Hands {
        /// Load, metres in front of L5/S1.
        front_m: f64,
        /// Arms' own centre of mass, metres in front of L5/S1.
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
    /// How the load is found.
    pub kind: PostureKind,
    /// Trunk angle from vertical, degrees.
    #[serde(default)]
    pub trunk_deg: Option<f64>,
    /// Included knee angle, degrees (180 is straight).
    #[serde(default)]
    pub knee_deg: Option<f64>,
    /// Load geometry.
    #[serde(default)]
    pub load: Option<PostureLoad>,
    /// Factor on the lumbar load where hands or head carry part of the trunk.
    #[serde(default)]
    pub support_factor: Option<f64>,
    /// Factor for speed.
    #[serde(default)]
    pub dynamic_factor: Option<f64>,
    /// Published or carried compression, newtons, for the reference adult of 80 kg.
    #[serde(default)]
    pub compression_n: Option<f64>,
    /// Why a heavy load may hang off mid-foot in this posture, where it does.
    #[serde(default)]
    pub off_foot: Option<String>,
    /// Source id, `memory` or `practice`.
    pub basis: String,
}

/// Posture of one exercise: a shared posture, and what differs from it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PostureUse {
    /// Id of the shared posture.
    #[serde(rename = "as")]
    pub like: String,
    /// Trunk angle instead of the shared one, degrees from vertical.
    #[serde(default)]
    pub trunk_deg: Option<f64>,
    /// Knee angle instead of the shared one, degrees.
    #[serde(default)]
    pub knee_deg: Option<f64>,
    /// Support factor instead of the shared one.
    #[serde(default)]
    pub support_factor: Option<f64>,
    /// Dynamic factor instead of the shared one.
    #[serde(default)]
    pub dynamic_factor: Option<f64>,
}

/// Spine class set by hand in place of the computed one, with its basis.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Spine {
    /// Step.
    pub class: SpineClass,
    /// Source id, `memory` or `practice`.
    pub basis: String,
    /// What speaks against the computed class; needed where the two are more than a step apart.
    #[serde(default)]
    pub reason: Option<String>,
}

/// Typical working load against an anchor lift.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct TypicalLoad {
    /// Id of the anchor.
    pub anchor: String,
    /// One-repetition equivalent as a share of the anchor's.
    pub share: f64,
    /// What is counted.
    pub counted: Counted,
    /// Source id, `memory` or `practice`.
    pub basis: String,
}

/// Usable range of a set.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SetRange {
    /// Fewest.
    pub low: u16,
    /// Most.
    pub high: u16,
    /// Counted in.
    pub unit: SetUnit,
}

/// One exercise, whole, after inheritance.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Exercise {
    /// Plain id: lower-case words joined by hyphens.
    pub id: String,
    /// Name shown.
    pub name: String,
    /// Other names and abbreviations.
    #[serde(default)]
    pub aliases: Vec<String>,
    /// Main pattern, a leaf.
    pub pattern: String,
    /// Further patterns.
    #[serde(default)]
    pub also_patterns: Vec<String>,
    /// Sides at work.
    pub laterality: Laterality,
    /// Alternatives, each a list of items needed together.
    pub equipment: Vec<Vec<String>>,
    /// Items that help but are not needed.
    #[serde(default)]
    pub optional: Vec<String>,
    /// Ceiling height needed by a lifter of 1.85 m, metres; absent where it does not matter.
    #[serde(default)]
    pub headroom_m: Option<f64>,
    /// Muscles with weights: prime 1.0, strong 0.5 to 0.75, helper 0.25 to 0.5.
    pub muscles: BTreeMap<String, f64>,
    /// Where it is hard.
    pub hard_at: MuscleLength,
    /// Where the load sits.
    pub load_position: LoadPosition,
    /// What carries the body.
    pub support: Support,
    /// Posture at the hardest instant.
    pub posture: PostureUse,
    /// Spine class in place of the one computed from posture and typical load.
    #[serde(default)]
    pub spine: Option<Spine>,
    /// Joint stress by region and aggravator, grades 0 to 4; a region's grade is its greatest.
    #[serde(default)]
    pub joints: BTreeMap<String, BTreeMap<String, u8>>,
    /// Skill asked for, 1 to 5.
    pub skill: u8,
    /// Role.
    pub role: Role,
    /// Regions that it is offered for when they are sore, the one it is most for first; only for
    /// the roles prehab and decompression, and there always.
    #[serde(default)]
    pub helps: Vec<String>,
    /// How usual it is in ordinary training, 1 (rare) to 5 (staple).
    pub usual: u8,
    /// Typical working load.
    pub typical_load: TypicalLoad,
    /// Usable set range.
    pub reps: SetRange,
    /// Ways to make it harder.
    #[serde(default)]
    pub harder_by: Vec<HarderBy>,
    /// Two or three short cues.
    pub cues: Vec<String>,
    /// Ids of cautions.
    #[serde(default)]
    pub cautions: Vec<String>,
    /// Basis of the judgements not marked elsewhere: `muscles`, `joints`, `reps`, `skill`, `usual`.
    pub basis: BTreeMap<String, String>,
    /// The exercise that this is a variation of.
    #[serde(default)]
    pub parent: Option<String>,
    /// Next easier steps.
    #[serde(default)]
    pub easier: Vec<String>,
    /// Next harder steps.
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

/// A dumbbell, kettlebell and plate stock.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Stock {
    /// Heaviest dumbbell for each hand, kg.
    #[serde(default)]
    pub dumbbell_max_kg: Option<f64>,
    /// Heaviest kettlebell, kg.
    #[serde(default)]
    pub kettlebell_max_kg: Option<f64>,
    /// Plates in all, kg.
    #[serde(default)]
    pub plates_total_kg: Option<f64>,
    /// Heaviest sandbag or pack, kg.
    #[serde(default)]
    pub sandbag_max_kg: Option<f64>,
}

/// A gym: what stands on the floor.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Gym {
    /// Plain id.
    pub id: String,
    /// Name shown.
    pub name: String,
    /// Items owned.
    pub items: Vec<String>,
    /// Stock of weights.
    #[serde(default)]
    pub stock: Stock,
    /// Ceiling height, metres; absent is high enough for all.
    #[serde(default)]
    pub ceiling_m: Option<f64>,
}

/// A caution shown with an exercise.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Caution {
    /// Plain id.
    pub id: String,
    /// Text shown.
    pub text: String,
    /// Source id, `memory` or `practice`.
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
    /// How soon.
    pub urgency: Urgency,
    /// Source id, `memory` or `practice`.
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
    /// Shown when a region is sore: region id to text.
    pub with_region: BTreeMap<String, Caution>,
    /// Warning signs.
    pub signs: Vec<Sign>,
    /// What to do for each urgency.
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

/// A carry-over between two lifts: `kb/carryover.json`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CarryOver {
    /// Known lift.
    pub from: String,
    /// Substitute.
    pub to: String,
    /// Typical ratio of one-repetition maxima.
    pub ratio: f64,
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// What the substitute's load counts.
    pub counted: Counted,
    /// Source id, `memory` or `practice`.
    pub basis: String,
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
    /// Highest grade (or spine class step) allowed.
    pub at_most: u8,
    /// Must be at least this much below the original's grade; 0 allows the same grade.
    pub below_original: u8,
}

/// Gates, terms and weights of the ranking: `kb/ranking.json`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Ranking {
    /// Caps by level of soreness, on the region's grade.
    pub caps: BTreeMap<Level, Cap>,
    /// Caps by level of soreness, on the spine class when the low back is sore.
    pub spine_caps: BTreeMap<Level, Cap>,
    /// What an aggravator that an exercise does not list counts for, below the region's grade.
    pub unlisted_aggravator_relief: u8,
    /// Least directed muscle coverage.
    pub least_coverage: f64,
    /// Weight that a prime mover of the original must keep in the substitute.
    pub prime_kept_weight: f64,
    /// Share of its weight that a muscle counts for where it only holds (see the muscle's
    /// `holds`) and is no prime mover.
    pub holding_share: f64,
    /// Share of its weight that a sore region's own muscle still counts for, by level.
    pub own_muscle_share: BTreeMap<Level, f64>,
    /// Steps of skill above the original that are allowed when the person names none.
    pub skill_above_original: u8,
    /// Coverage below which a pair is looked for.
    pub pair_below_coverage: f64,
    /// Share of the needed load that the stock must reach to count as loadable enough.
    pub reference_mass_kg: f64,
    /// Term weights by aim; every term named once.
    pub weights: BTreeMap<Aim, BTreeMap<String, f64>>,
    /// Source id, `memory` or `practice`.
    pub basis: String,
}
