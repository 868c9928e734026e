//! A body as segments: masses, centres of mass, lengths, the lumbar joint and muscle arms.
//!
//! Leans on `units` and on two published segment tables that are never mixed: Dempster as adapted
//! by Winter, and de Leva 1996. Leaves to others: angles (`posture`) and forces (`lumbar`, `joints`).

use super::{Error, limits};
use crate::units::{Kg, Metre, Newton, bounds};

/// A person reduced to what planar statics needs. Every value in it has passed its bound.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Body {
    mass: Kg,
    height: Metre,
    sex: Sex,
    set: SegmentSet,
    extensor_arm: Metre,
    flexor_arm: Metre,
    upper_body_share: f64,
    arms_share: Option<f64>,
}

impl Body {
    /// A body from mass, height and sex, with the Winter table and the muscle arms of that sex.
    ///
    /// # Errors
    /// [`Error::OutOfBounds`] for a mass or height that no lifter has.
    pub fn new(mass: Kg, height: Metre, sex: Sex) -> Result<Self, Error> {
        bounds::BODY_MASS.check(mass.get())?;
        bounds::HEIGHT.check(height.get())?;
        let (extensor_arm, flexor_arm) = match sex {
            Sex::Male => (EXTENSOR_ARM_MALE, FLEXOR_ARM_MALE),
            Sex::Female => (EXTENSOR_ARM_FEMALE, FLEXOR_ARM_FEMALE),
        };
        Ok(Self {
            mass,
            height,
            sex,
            set: SegmentSet::Winter,
            extensor_arm,
            flexor_arm,
            upper_body_share: UPPER_BODY_SHARE_WINTER,
            arms_share: None,
        })
    }

    /// The same body with all masses and centres taken from `set`, and from no other.
    /// Shares that were overridden before are forgotten.
    #[must_use]
    pub fn with_segments(mut self, set: SegmentSet) -> Self {
        self.set = set;
        self.arms_share = None;
        self.upper_body_share = match set {
            SegmentSet::Winter => UPPER_BODY_SHARE_WINTER,
            SegmentSet::DeLeva => LumpsDeLeva::of(self.sex).upper_share,
        };
        self
    }

    /// The same body with measured or chosen muscle arms instead of those of its sex.
    ///
    /// # Errors
    /// [`Error::OutOfBounds`] for an arm that no spine has.
    pub fn with_muscle_arms(mut self, extensor: Metre, flexor: Metre) -> Result<Self, Error> {
        limits::MUSCLE_ARM.check(extensor.get())?;
        limits::MUSCLE_ARM.check(flexor.get())?;
        self.extensor_arm = extensor;
        self.flexor_arm = flexor;
        Ok(self)
    }

    /// The same body with given shares of body mass for trunk and head above L5/S1 (no arms) and
    /// for both arms. Only the lumbar model and the lumped chain see the change.
    ///
    /// # Errors
    /// [`Error::OutOfBounds`] for a share outside its bound.
    pub fn with_shares(mut self, upper_body: f64, both_arms: f64) -> Result<Self, Error> {
        self.upper_body_share = limits::MASS_SHARE.check(upper_body)?;
        self.arms_share = Some(limits::MASS_SHARE.check(both_arms)?);
        Ok(self)
    }

    /// Body mass.
    #[must_use]
    pub fn mass(&self) -> Kg {
        self.mass
    }

    /// Stature.
    #[must_use]
    pub fn height(&self) -> Metre {
        self.height
    }

    /// Sex whose table column and muscle arms are used.
    #[must_use]
    pub fn sex(&self) -> Sex {
        self.sex
    }

    /// Segment table in use.
    #[must_use]
    pub fn set(&self) -> SegmentSet {
        self.set
    }

    /// Body weight.
    #[must_use]
    pub fn weight(&self) -> Newton {
        self.mass.weight()
    }

    /// Arm of the single equivalent back muscle, `d_e`.
    #[must_use]
    pub fn extensor_arm(&self) -> Metre {
        self.extensor_arm
    }

    /// Arm of the single equivalent abdominal muscle, `d_a`.
    #[must_use]
    pub fn flexor_arm(&self) -> Metre {
        self.flexor_arm
    }

    /// A length of this body.
    #[must_use]
    pub fn length(&self, length: Length) -> Metre {
        self.height * length.share()
    }

    /// A share of stature as metres of this body.
    #[must_use]
    pub fn share_of_height(&self, share: f64) -> Metre {
        self.height * share
    }

    /// One segment of one side, from the table in use.
    #[must_use]
    pub fn segment(&self, limb: Limb) -> Lump {
        let row = self.set.limb(limb, self.sex);
        let (mass, com_share) = (self.mass * row.mass_share, row.com_share);
        let length = match limb {
            Limb::UpperArm => Length::UpperArm.share(),
            Limb::Forearm => Length::Forearm.share(),
            Limb::Hand => WRIST_TO_KNUCKLE,
            Limb::Thigh => Length::Thigh.share(),
            Limb::Shank => Length::Shank.share(),
            Limb::Foot => match self.set {
                SegmentSet::Winter => Length::Foot.share() * (BALL_ON_FOOT - ANKLE_ON_FOOT),
                SegmentSet::DeLeva => Length::Foot.share(),
            },
        };
        Lump { mass: mass * self.arm_scale(limb), com: self.height * (length * com_share) }
    }

    /// Trunk and head above L5/S1 without arms; the centre is counted from L5/S1 up the trunk.
    #[must_use]
    pub fn upper_body(&self) -> Lump {
        let com_share = match self.set {
            SegmentSet::Winter => UPPER_BODY_COM_WINTER,
            SegmentSet::DeLeva => LumpsDeLeva::of(self.sex).upper_com,
        };
        Lump { mass: self.mass * self.upper_body_share, com: self.height * com_share }
    }

    /// The part of the trunk below L5/S1; the centre is counted from the hip up the trunk.
    #[must_use]
    pub fn pelvis(&self) -> Lump {
        let (whole, com_share) = match self.set {
            SegmentSet::Winter => (TRUNK_AND_HEAD_WINTER, PELVIS_COM_WINTER),
            SegmentSet::DeLeva => {
                let lumps = LumpsDeLeva::of(self.sex);
                (lumps.upper_share + lumps.pelvis_share, lumps.pelvis_com)
            }
        };
        Lump { mass: self.mass * (whole - self.upper_body_share).max(0.0), com: self.height * com_share }
    }

    /// Mass of both arms with hands.
    #[must_use]
    pub fn arms(&self) -> Kg {
        self.mass * self.arms_share.unwrap_or_else(|| self.table_arms_share())
    }

    /// Mass of one foot and how far its centre lies in front of the ankle on flat ground.
    #[must_use]
    pub fn foot(&self) -> Lump {
        let lump = self.segment(Limb::Foot);
        match self.set {
            SegmentSet::Winter => lump,
            SegmentSet::DeLeva => Lump { com: lump.com - self.height * (Length::Foot.share() * ANKLE_ON_FOOT), ..lump },
        }
    }

    /// Forearm and hand of one side as one piece; the centre is counted from the elbow.
    #[must_use]
    pub fn forearm_and_hand(&self) -> Lump {
        let forearm = self.segment(Limb::Forearm);
        let hand = self.segment(Limb::Hand);
        let wrist = self.length(Length::Forearm);
        let mass = forearm.mass + hand.mass;
        let moment = forearm.mass.get() * forearm.com.get() + hand.mass.get() * (wrist + hand.com).get();
        Lump { mass, com: Metre(moment / mass.get()) }
    }

    /// How far mid-foot lies in front of the ankle.
    #[must_use]
    pub fn mid_foot(&self) -> Metre {
        self.height * (Length::Foot.share() * (0.5 - ANKLE_ON_FOOT))
    }

    /// How far the ball of the foot lies in front of the ankle.
    #[must_use]
    pub fn ball_of_foot(&self) -> Metre {
        self.height * (Length::Foot.share() * (BALL_ON_FOOT - ANKLE_ON_FOOT))
    }

    fn table_arms_share(&self) -> f64 {
        [Limb::UpperArm, Limb::Forearm, Limb::Hand]
            .into_iter()
            .map(|limb| 2.0 * self.set.limb(limb, self.sex).mass_share)
            .sum()
    }

    /// Factor that spreads an overridden arm mass over the arm's segments.
    fn arm_scale(&self, limb: Limb) -> f64 {
        match (limb, self.arms_share) {
            (Limb::UpperArm | Limb::Forearm | Limb::Hand, Some(share)) => share / self.table_arms_share(),
            _ => 1.0,
        }
    }
}

/// Sex as the tables know it; it picks the column and the muscle arms.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Sex {
    /// Female column.
    Female,
    /// Male column.
    Male,
}

/// A published set of segment masses and centres. One body uses one set.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum SegmentSet {
    /// Dempster as adapted by Winter; one column for both sexes (second hand).
    Winter,
    /// de Leva 1996, adjusted Zatsiorsky-Seluyanov; a column for each sex (second hand).
    DeLeva,
}

/// A segment of one arm or one leg.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Limb {
    /// Shoulder to elbow.
    UpperArm,
    /// Elbow to wrist.
    Forearm,
    /// Wrist to knuckles.
    Hand,
    /// Hip to knee.
    Thigh,
    /// Knee to ankle.
    Shank,
    /// Ankle to ball of the foot (Winter) or heel to toe tip (de Leva).
    Foot,
}

impl Limb {
    /// All segments of a limb, arm first.
    pub const ALL: [Self; 6] = [Self::UpperArm, Self::Forearm, Self::Hand, Self::Thigh, Self::Shank, Self::Foot];
}

/// One row of a segment table.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Row {
    /// Segment as the table names it.
    pub name: &'static str,
    /// Its ends, the first one being where the centre is counted from.
    pub ends: &'static str,
    /// Mass as a share of body mass, one side.
    pub mass_share: f64,
    /// Centre of mass as a share of segment length from the first end.
    pub com_share: f64,
}

/// A mass and where its centre lies along its segment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lump {
    /// Mass.
    pub mass: Kg,
    /// Distance of the centre from the segment's first end.
    pub com: Metre,
}

impl SegmentSet {
    /// Name of the source.
    #[must_use]
    pub fn source(self) -> &'static str {
        match self {
            Self::Winter => "Dempster as adapted by Winter",
            Self::DeLeva => "de Leva 1996",
        }
    }

    /// The whole table for `sex`; rows overlap where the source prints sums beside parts.
    #[must_use]
    pub fn rows(self, sex: Sex) -> &'static [Row] {
        match (self, sex) {
            (Self::Winter, _) => &WINTER,
            (Self::DeLeva, Sex::Female) => &DE_LEVA_FEMALE,
            (Self::DeLeva, Sex::Male) => &DE_LEVA_MALE,
        }
    }

    /// The row of one limb segment.
    #[must_use]
    pub fn limb(self, limb: Limb, sex: Sex) -> Row {
        let [upper_arm, forearm, hand, thigh, shank, foot, ..] = match (self, sex) {
            (Self::Winter, _) => WINTER_LIMBS,
            (Self::DeLeva, Sex::Female) => DE_LEVA_LIMBS_FEMALE,
            (Self::DeLeva, Sex::Male) => DE_LEVA_LIMBS_MALE,
        };
        match limb {
            Limb::UpperArm => upper_arm,
            Limb::Forearm => forearm,
            Limb::Hand => hand,
            Limb::Thigh => thigh,
            Limb::Shank => shank,
            Limb::Foot => foot,
        }
    }
}

/// A length or landmark height as a share of stature.
/// Drillis & Contini 1966 as drawn in Winter (memory).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Length {
    /// Height of the shoulder joint above the floor.
    ShoulderHeight,
    /// Height of the hip joint above the floor.
    HipHeight,
    /// Height of the knee above the floor.
    KneeHeight,
    /// Height of the ankle above the floor.
    AnkleHeight,
    /// Height of the elbow with the arm down.
    ElbowHeight,
    /// Height of the wrist with the arm down.
    WristHeight,
    /// Height of the fingertips with the arm down.
    FingertipHeight,
    /// Hip to shoulder.
    HipToShoulder,
    /// Height of chin and base of the neck.
    ChinHeight,
    /// Upper arm.
    UpperArm,
    /// Forearm.
    Forearm,
    /// Hand, wrist to fingertips.
    Hand,
    /// Thigh.
    Thigh,
    /// Shank.
    Shank,
    /// Foot, heel to toes.
    Foot,
    /// Shoulder breadth between the acromia.
    ShoulderBreadth,
    /// Hip breadth.
    HipBreadth,
    /// Height of the head.
    Head,
    /// Hip to L5/S1 along the trunk: 0.195 of hip to shoulder (memory, Chaffin-type linkages).
    HipToLumbar,
    /// L5/S1 to shoulder along the trunk (derived from the two above).
    LumbarToShoulder,
    /// Shoulder to the middle of the grip with a straight arm (derived).
    Reach,
}

impl Length {
    /// The share of stature.
    #[must_use]
    pub fn share(self) -> f64 {
        match self {
            Self::ShoulderHeight => 0.818,
            Self::HipHeight => 0.530,
            Self::KneeHeight => 0.285,
            Self::AnkleHeight => 0.039,
            Self::ElbowHeight => 0.630,
            Self::WristHeight => 0.485,
            Self::FingertipHeight => 0.377,
            Self::HipToShoulder => 0.288,
            Self::ChinHeight => 0.870,
            Self::UpperArm => 0.186,
            Self::Forearm => 0.146,
            Self::Hand => 0.108,
            Self::Thigh => 0.245,
            Self::Shank => 0.246,
            Self::Foot => 0.152,
            Self::ShoulderBreadth => 0.259,
            Self::HipBreadth => 0.191,
            Self::Head => 0.130,
            Self::HipToLumbar => 0.056,
            Self::LumbarToShoulder => 0.232,
            Self::Reach => 0.186 + 0.146 + WRIST_TO_KNUCKLE,
        }
    }
}

/// Arm of the back muscles, male: between Cholewicki 1991 (0.060, seen) and imaging (memory).
pub const EXTENSOR_ARM_MALE: Metre = Metre(0.060);
/// Arm of the back muscles, female (Jorgensen 2001 sample seen, figure from memory).
pub const EXTENSOR_ARM_FEMALE: Metre = Metre(0.054);
/// Arm of the abdominal muscles, male (derived from recalled imaging).
pub const FLEXOR_ARM_MALE: Metre = Metre(0.10);
/// Arm of the abdominal muscles, female (derived from recalled imaging).
pub const FLEXOR_ARM_FEMALE: Metre = Metre(0.09);
/// Forward offset of the upright upper body from L5/S1 (memory); matters for upright tasks only.
pub const FORWARD_OFFSET: Metre = Metre(0.02);

/// Trunk and head above L5/S1 without arms, share of body mass (derived from Winter).
const UPPER_BODY_SHARE_WINTER: f64 = 0.436;
/// Centre of that mass above L5/S1, share of stature (derived: 0.625 of hip to shoulder).
const UPPER_BODY_COM_WINTER: f64 = 0.180;
/// Trunk, head and neck, share of body mass (Winter, second hand).
const TRUNK_AND_HEAD_WINTER: f64 = 0.578;
/// Centre of the pelvis above the hip, share of stature (derived: 0.197 of hip to shoulder).
const PELVIS_COM_WINTER: f64 = 0.197 * 0.288;
/// Wrist to knuckles, share of stature: half the hand (practice); the bar lies there.
const WRIST_TO_KNUCKLE: f64 = 0.054;
/// Ankle behind the toes: share of foot length from the heel (practice).
const ANKLE_ON_FOOT: f64 = 0.25;
/// Ball of the foot: share of foot length from the heel (memory).
const BALL_ON_FOOT: f64 = 0.73;

const fn row(name: &'static str, ends: &'static str, mass_share: f64, com_share: f64) -> Row {
    Row { name, ends, mass_share, com_share }
}

const WINTER_LIMBS: [Row; 6] = [
    row("upper arm", "shoulder - elbow", 0.028, 0.436),
    row("forearm", "elbow - ulnar styloid", 0.016, 0.430),
    row("hand", "wrist - knuckle II", 0.006, 0.506),
    row("thigh", "trochanter - condyles", 0.100, 0.433),
    row("shank", "condyles - malleolus", 0.0465, 0.433),
    row("foot", "malleolus - metatarsal II head", 0.0145, 0.500),
];

const WINTER: [Row; 16] = {
    let [upper_arm, forearm, hand, thigh, shank, foot] = WINTER_LIMBS;
    [
        upper_arm,
        forearm,
        hand,
        thigh,
        shank,
        foot,
        row("total arm", "shoulder - styloid", 0.050, 0.530),
        row("total leg", "trochanter - malleolus", 0.161, 0.447),
        row("head and neck", "C7/T1 - ear canal", 0.081, 1.000),
        row("thorax", "C7/T1 - T12/L1", 0.216, 0.820),
        row("abdomen", "T12/L1 - L4/L5", 0.139, 0.440),
        row("pelvis", "L4/L5 - trochanter", 0.142, 0.105),
        row("thorax and abdomen", "C7/T1 - L4/L5", 0.355, 0.630),
        row("trunk", "trochanter - shoulder", 0.497, 0.500),
        row("trunk, head and neck", "trochanter - shoulder", 0.578, 0.660),
        row("head, arms and trunk", "trochanter - shoulder", 0.678, 0.626),
    ]
};

const DE_LEVA_LIMBS_FEMALE: [Row; 6] = [
    row("upper arm", "shoulder - elbow", 0.0255, 0.5754),
    row("forearm", "elbow - wrist", 0.0138, 0.4559),
    row("hand", "wrist - 3rd metacarpal", 0.0056, 0.7474),
    row("thigh", "hip - knee", 0.1478, 0.3612),
    row("shank", "knee - ankle", 0.0481, 0.4352),
    row("foot", "heel - toe tip", 0.0129, 0.4014),
];

const DE_LEVA_LIMBS_MALE: [Row; 6] = [
    row("upper arm", "shoulder - elbow", 0.0271, 0.5772),
    row("forearm", "elbow - wrist", 0.0162, 0.4574),
    row("hand", "wrist - 3rd metacarpal", 0.0061, 0.7900),
    row("thigh", "hip - knee", 0.1416, 0.4095),
    row("shank", "knee - ankle", 0.0433, 0.4395),
    row("foot", "heel - toe tip", 0.0137, 0.4415),
];

const DE_LEVA_TRUNK_FEMALE: [Row; 5] = [
    row("head", "vertex - mid-gonion", 0.0668, 0.5894),
    row("upper trunk", "cervicale - xiphion", 0.1545, 0.5050),
    row("middle trunk", "xiphion - navel", 0.1465, 0.4512),
    row("lower trunk", "navel - mid-hip", 0.1247, 0.4920),
    row("trunk", "mid-shoulder - mid-hip", 0.4257, 0.3782),
];

const DE_LEVA_TRUNK_MALE: [Row; 5] = [
    row("head", "vertex - mid-gonion", 0.0694, 0.5976),
    row("upper trunk", "cervicale - xiphion", 0.1596, 0.5066),
    row("middle trunk", "xiphion - navel", 0.1633, 0.4502),
    row("lower trunk", "navel - mid-hip", 0.1117, 0.6115),
    row("trunk", "mid-shoulder - mid-hip", 0.4346, 0.4310),
];

const DE_LEVA_FEMALE: [Row; 11] = joined(DE_LEVA_LIMBS_FEMALE, DE_LEVA_TRUNK_FEMALE);
const DE_LEVA_MALE: [Row; 11] = joined(DE_LEVA_LIMBS_MALE, DE_LEVA_TRUNK_MALE);

const fn joined(limbs: [Row; 6], trunk: [Row; 5]) -> [Row; 11] {
    let [a, b, c, d, e, f] = limbs;
    let [g, h, i, j, k] = trunk;
    [a, b, c, d, e, f, g, h, i, j, k]
}

/// Mean lengths of de Leva's samples in millimetres (memory; the three trunk parts add up to the
/// recalled cervicale to mid-hip length, 603.3 male and 614.8 female). They serve only to cut the
/// trunk at L5/S1.
struct SampleDeLeva {
    stature: f64,
    upper_trunk: f64,
    middle_trunk: f64,
    lower_trunk: f64,
    head: f64,
    vertex_above_hip: f64,
    shoulder_above_hip: f64,
}

const SAMPLE_FEMALE: SampleDeLeva = SampleDeLeva {
    stature: 1735.0,
    upper_trunk: 228.0,
    middle_trunk: 205.3,
    lower_trunk: 181.5,
    head: 200.2,
    vertex_above_hip: 858.5,
    shoulder_above_hip: 497.9,
};

const SAMPLE_MALE: SampleDeLeva = SampleDeLeva {
    stature: 1741.0,
    upper_trunk: 242.1,
    middle_trunk: 215.5,
    lower_trunk: 145.7,
    head: 203.3,
    vertex_above_hip: 846.2,
    shoulder_above_hip: 515.5,
};

/// de Leva's trunk and head cut at L5/S1; shares of mass and of stature (derived).
struct LumpsDeLeva {
    upper_share: f64,
    upper_com: f64,
    pelvis_share: f64,
    pelvis_com: f64,
}

impl LumpsDeLeva {
    /// Cuts the lower trunk by length at 0.195 of hip to shoulder; the pieces keep its centre.
    fn of(sex: Sex) -> Self {
        let ([head, upper, middle, lower, _], sample) = match sex {
            Sex::Female => (DE_LEVA_TRUNK_FEMALE, SAMPLE_FEMALE),
            Sex::Male => (DE_LEVA_TRUNK_MALE, SAMPLE_MALE),
        };
        let cut = 0.195 * sample.shoulder_above_hip;
        let above_share = lower.mass_share * (sample.lower_trunk - cut) / sample.lower_trunk;
        let above_at = 0.5 * (cut + sample.lower_trunk);
        let lower_at = (1.0 - lower.com_share) * sample.lower_trunk;
        let middle_at = sample.lower_trunk + (1.0 - middle.com_share) * sample.middle_trunk;
        let upper_at = sample.lower_trunk + sample.middle_trunk + (1.0 - upper.com_share) * sample.upper_trunk;
        let head_at = sample.vertex_above_hip - head.com_share * sample.head;
        let upper_share = head.mass_share + upper.mass_share + middle.mass_share + above_share;
        let upper_sum = head.mass_share * head_at
            + upper.mass_share * upper_at
            + middle.mass_share * middle_at
            + above_share * above_at;
        let pelvis_share = lower.mass_share - above_share;
        let pelvis_sum = lower.mass_share * lower_at - above_share * above_at;
        Self {
            upper_share,
            upper_com: (upper_sum / upper_share - cut) / sample.stature,
            pelvis_share,
            pelvis_com: pelvis_sum / pelvis_share / sample.stature,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn named(set: SegmentSet, sex: Sex, name: &str) -> Row {
        *set.rows(sex).iter().find(|row| row.name == name).unwrap()
    }

    // Source: segment tables, sanity check under the Winter table (derived).
    #[test]
    fn winter_adds_up() {
        let share = |name| named(SegmentSet::Winter, Sex::Male, name).mass_share;
        assert!((share("head, arms and trunk") + 2.0 * share("total leg") - 1.0).abs() < 1e-12);
        assert!((share("trunk") + share("head and neck") - 0.578).abs() < 1e-12);
        assert!((0.578 + 2.0 * share("total arm") - 0.678).abs() < 1e-12);
        assert!((share("thorax") + share("abdomen") + share("pelvis") - 0.497).abs() < 1e-12);
    }

    // Source: segment tables, de Leva table; the female column is rounded to 99.99 %.
    #[test]
    fn de_leva_adds_up() {
        for sex in [Sex::Female, Sex::Male] {
            let share = |name| named(SegmentSet::DeLeva, sex, name).mass_share;
            let limbs: f64 = Limb::ALL.iter().map(|limb| 2.0 * SegmentSet::DeLeva.limb(*limb, sex).mass_share).sum();
            assert!((limbs + share("head") + share("trunk") - 1.0).abs() < 1.5e-4);
            let parts = share("upper trunk") + share("middle trunk") + share("lower trunk");
            assert!((parts - share("trunk")).abs() < 1e-9);
        }
    }

    // Source: segment tables, ranges to test for the upper body above L5/S1.
    #[test]
    fn both_sets_cut_at_l5s1_within_the_stated_ranges() {
        for sex in [Sex::Female, Sex::Male] {
            for set in [SegmentSet::Winter, SegmentSet::DeLeva] {
                let body = Body::new(Kg(100.0), Metre(2.0), sex).unwrap().with_segments(set);
                let upper = body.upper_body();
                assert!((0.40..=0.45).contains(&(upper.mass.get() / 100.0)), "{set:?} {sex:?}");
                assert!((0.165..=0.190).contains(&(upper.com.get() / 2.0)), "{set:?} {sex:?}");
                assert!((0.089..=0.101).contains(&(body.arms().get() / 100.0)));
            }
        }
    }

    // Source: definition; the lumps that the chain uses are the whole body.
    #[test]
    fn lumps_are_the_whole_body() {
        for sex in [Sex::Female, Sex::Male] {
            for set in [SegmentSet::Winter, SegmentSet::DeLeva] {
                let body = Body::new(Kg(80.0), Metre(1.8), sex).unwrap().with_segments(set);
                let legs: f64 = [Limb::Thigh, Limb::Shank, Limb::Foot]
                    .iter()
                    .map(|limb| 2.0 * body.segment(*limb).mass.get())
                    .sum();
                let sum = legs + body.pelvis().mass.get() + body.upper_body().mass.get() + body.arms().get();
                assert!((sum / 80.0 - 1.0).abs() < 1.5e-4, "{set:?} {sex:?} {sum}");
            }
        }
    }

    // Source: table of segment lengths; lengths and landmark heights must agree with each other.
    #[test]
    fn lengths_agree_with_landmarks() {
        let share = Length::share;
        assert!((share(Length::HipHeight) - share(Length::KneeHeight) - share(Length::Thigh)).abs() < 1e-9);
        assert!((share(Length::KneeHeight) - share(Length::AnkleHeight) - share(Length::Shank)).abs() < 1e-9);
        let trunk = share(Length::HipToLumbar) + share(Length::LumbarToShoulder);
        assert!((trunk - share(Length::HipToShoulder)).abs() < 1e-9);
        assert!((share(Length::HipToLumbar) - 0.195 * share(Length::HipToShoulder)).abs() < 5e-4);
        let grip = share(Length::ShoulderHeight) - share(Length::Reach);
        assert!(grip > share(Length::FingertipHeight) && grip < share(Length::WristHeight));
    }

    #[test]
    fn wrong_bodies_are_refused() {
        assert!(Body::new(Kg(10.0), Metre(1.8), Sex::Male).is_err());
        assert!(Body::new(Kg(80.0), Metre(f64::NAN), Sex::Male).is_err());
        let body = Body::new(Kg(80.0), Metre(1.8), Sex::Male).unwrap();
        assert!(body.with_muscle_arms(Metre(0.0), Metre(0.1)).is_err());
        assert!(body.with_shares(0.9, 0.1).is_err());
        assert!((body.with_shares(0.43, 0.09).unwrap().arms().get() - 7.2).abs() < 1e-9);
    }
}
