//! Joint grades 0-4 from what the mechanics know: moment, position, support.
//!
//! Leans on `joints` for moments and on `units`. Leaves to others: curated grades of exercises and
//! the closed lists of aggravators (the base). A grade ranks lifts for a joint; it promises nothing
//! about one person's joint.

use super::anthropometry::Body;
use super::{Error, limits};
use crate::units::{Degree, Newton, NewtonMetre, bounds};

/// The rule of thumb (derived, joint tables): load tier plus position tier less support, held to
/// 0-4, and at least 3 when a provocative position meets any load.
#[must_use]
pub fn combine(load: LoadTier, position: PositionTier, support: Support, provocative: bool) -> Grade {
    let sum = (load.step() + position.step()).saturating_sub(support.step()).min(4);
    let least = if provocative && load >= LoadTier::Light { 3 } else { 0 };
    Grade::from_step(sum.max(least))
}

/// Grade of a joint: 0 not loaded, 1 light mid-range, 2 normal training, 3 heavy or moderate near
/// the end of range, 4 heavy near the end, impact, or a provocative position.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Grade {
    /// Not loaded or carried.
    Idle,
    /// Light, mid-range.
    Light,
    /// Moderate mid-range, or light near end range.
    Moderate,
    /// Heavy mid-range, or moderate near end range.
    Heavy,
    /// Heavy and near end range, impact, or a recognised provocative position.
    Provocative,
}

impl Grade {
    /// The step, 0 to 4.
    #[must_use]
    pub fn step(self) -> u8 {
        match self {
            Self::Idle => 0,
            Self::Light => 1,
            Self::Moderate => 2,
            Self::Heavy => 3,
            Self::Provocative => 4,
        }
    }

    /// The grade of a step; steps beyond 4 are 4.
    #[must_use]
    pub fn from_step(step: u8) -> Self {
        match step {
            0 => Self::Idle,
            1 => Self::Light,
            2 => Self::Moderate,
            3 => Self::Heavy,
            _ => Self::Provocative,
        }
    }
}

/// How heavily a joint works.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum LoadTier {
    /// Next to nothing.
    Idle,
    /// Light.
    Light,
    /// Moderate.
    Moderate,
    /// Heavy.
    Heavy,
}

impl LoadTier {
    /// 0 to 3.
    #[must_use]
    pub fn step(self) -> u8 {
        match self {
            Self::Idle => 0,
            Self::Light => 1,
            Self::Moderate => 2,
            Self::Heavy => 3,
        }
    }

    /// The tier in a word.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Idle => "idle",
            Self::Light => "light",
            Self::Moderate => "moderate",
            Self::Heavy => "heavy",
        }
    }
}

/// Where in its range a joint works.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum PositionTier {
    /// Middle of the range.
    Middle,
    /// Towards an end.
    TowardsEnd,
    /// At an end.
    End,
}

impl PositionTier {
    fn step(self) -> u8 {
        match self {
            Self::Middle => 0,
            Self::TowardsEnd => 1,
            Self::End => 2,
        }
    }
}

/// How much something else carries the joint.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Support {
    /// Nothing.
    Free,
    /// Partly.
    Partly,
    /// Wholly.
    Wholly,
}

impl Support {
    fn step(self) -> u8 {
        match self {
            Self::Free => 0,
            Self::Partly => 1,
            Self::Wholly => 2,
        }
    }
}

/// A joint whose moment `joints` gives.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Joint {
    /// Ankle.
    Ankle,
    /// Knee.
    Knee,
    /// Hip.
    Hip,
    /// Shoulder.
    Shoulder,
    /// Elbow.
    Elbow,
}

impl Joint {
    /// Moment of one side that a strong untrained adult can hold, N·m for each kilogram of body
    /// mass (memory; broad strength-testing figures). It serves only to cut [`LoadTier`]s.
    #[must_use]
    pub fn holding_capacity(self) -> f64 {
        match self {
            Self::Ankle => 2.0,
            Self::Knee | Self::Hip => 3.0,
            Self::Shoulder => 1.0,
            Self::Elbow => 0.9,
        }
    }
}

/// Load tier of the moment on one side: up to 5, 30 and 60 per cent of
/// [`Joint::holding_capacity`] are idle, light and moderate (derived cuts).
///
/// # Errors
/// [`Error::OutOfBounds`] for a moment that is no number or that no joint sees.
pub fn load_tier(joint: Joint, per_side: NewtonMetre, body: &Body) -> Result<LoadTier, Error> {
    let moment = limits::MOMENT.check(per_side.get())?.abs();
    let share = moment / (joint.holding_capacity() * body.mass().get());
    let [light, moderate, heavy] = TIER_CUTS;
    Ok(if share < light {
        LoadTier::Idle
    } else if share < moderate {
        LoadTier::Light
    } else if share < heavy {
        LoadTier::Moderate
    } else {
        LoadTier::Heavy
    })
}

/// Grade of the joint behind the kneecap from its force in body weights (anchors memory, cuts
/// derived). Deep and heavy together are always 4.
///
/// # Errors
/// [`Error::OutOfBounds`] for a force that is no number or negative.
pub fn kneecap(force_body_weights: f64, deep_and_heavy: bool) -> Result<Grade, Error> {
    let force = limits::BODY_WEIGHTS.check(force_body_weights)?;
    Ok(if deep_and_heavy { Grade::Provocative } else { cut(force, [1.0, 3.0, 6.0]) })
}

/// Force behind the kneecap from the knee extensor moment of one side and the included knee angle:
/// tendon force over an arm of [`KNEE_EXTENSOR_ARM`], folded over the kneecap (memory). A moment
/// that needs no extensors gives none.
///
/// # Errors
/// [`Error::OutOfBounds`] for a moment or angle outside its bound.
pub fn kneecap_force(per_side: NewtonMetre, knee: Degree) -> Result<Newton, Error> {
    let moment = limits::MOMENT.check(per_side.get())?.max(0.0);
    let flexion = 180.0 - bounds::KNEE_ANGLE.check(knee.get())?;
    let fold = Degree(30.46 + 0.53 * flexion);
    let tendon = moment / KNEE_EXTENSOR_ARM;
    Ok(Newton(2.0 * tendon * (fold * 0.5).sin()))
}

/// Grade of the Achilles tendon from its peak force in body weights (end points Baxter 2021, seen;
/// cuts derived).
///
/// # Errors
/// [`Error::OutOfBounds`] for a force that is no number or negative.
pub fn achilles(peak_body_weights: f64) -> Result<Grade, Error> {
    let force = limits::BODY_WEIGHTS.check(peak_body_weights)?;
    Ok(cut(force, [1.0, 2.5, 5.0]))
}

/// Achilles force from the ankle moment of one side over an arm of [`ACHILLES_ARM`] (memory).
///
/// # Errors
/// [`Error::OutOfBounds`] for a moment outside its bound.
pub fn achilles_force(per_side: NewtonMetre) -> Result<Newton, Error> {
    let moment = limits::MOMENT.check(per_side.get())?.max(0.0);
    Ok(Newton(moment / ACHILLES_ARM))
}

/// What a shoulder does at the hardest instant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ShoulderUse {
    /// How heavily it works.
    pub load: LoadTier,
    /// Arm from hanging, 0 to 180.
    pub elevation: Degree,
    /// Press on a bench or machine.
    pub supported_press: bool,
    /// Grip in shoulder breadths; presses wider than 1.5 count (Green & Comfort 2007, seen).
    pub grip_breadths: f64,
    /// Weight hangs from the shoulder.
    pub hanging: bool,
    /// A provocative position: behind the neck, upright row above 90 degrees, dip, deep fly.
    pub provocative: bool,
}

/// Grade of the shoulder (derived, grade thresholds).
///
/// # Errors
/// [`Error::OutOfBounds`] for an elevation or grip outside its bound.
pub fn shoulder(at: &ShoulderUse) -> Result<Grade, Error> {
    let elevation = limits::SEGMENT_ANGLE.check(at.elevation.get())?;
    let breadths = limits::GRIP_BREADTHS.check(at.grip_breadths)?;
    if at.load == LoadTier::Idle {
        return Ok(Grade::Idle);
    }
    Ok(if at.provocative {
        Grade::Provocative
    } else if elevation > 90.0 || breadths > WIDE_GRIP || at.hanging {
        Grade::Heavy
    } else if elevation >= 60.0 || at.supported_press || at.load >= LoadTier::Moderate {
        Grade::Moderate
    } else {
        Grade::Light
    })
}

/// Grade of the hip from its flexion (180 less the trunk-thigh angle), derived, grade thresholds.
/// `turned_in` is flexion with inward rotation; `wide` a wide heavy stance; `end_of_range` the end
/// of extension or flexion.
///
/// # Errors
/// [`Error::OutOfBounds`] for a flexion outside its bound.
pub fn hip(flexion: Degree, load: LoadTier, wide: bool, turned_in: bool, end_of_range: bool) -> Result<Grade, Error> {
    let flexion = limits::SEGMENT_ANGLE.check(flexion.get())?;
    let heavy = load == LoadTier::Heavy;
    let loaded = load >= LoadTier::Moderate;
    Ok(if (turned_in && load >= LoadTier::Light) || (end_of_range && heavy) {
        Grade::Provocative
    } else if (flexion > 100.0 && loaded) || (wide && heavy) {
        Grade::Heavy
    } else if (flexion >= 80.0 && loaded) || heavy {
        Grade::Moderate
    } else if flexion >= 45.0 || loaded {
        Grade::Light
    } else {
        Grade::Idle
    })
}

/// Grade of elbow or wrist (derived, grade thresholds). `fixed` is a grip that cannot turn.
#[must_use]
pub fn elbow(load: LoadTier, fixed: bool, end_of_range: bool, impact: bool) -> Grade {
    let heavy = load >= LoadTier::Moderate;
    if load == LoadTier::Idle {
        Grade::Idle
    } else if impact || (end_of_range && heavy) {
        Grade::Provocative
    } else if end_of_range || (fixed && heavy) {
        Grade::Heavy
    } else if heavy {
        Grade::Moderate
    } else {
        Grade::Light
    }
}

/// Grade of the neck (derived, grade thresholds).
#[must_use]
pub fn neck(use_of_neck: NeckUse) -> Grade {
    match use_of_neck {
        NeckUse::Idle => Grade::Idle,
        NeckUse::LightCarry => Grade::Light,
        NeckUse::Shrug => Grade::Moderate,
        NeckUse::BarOnNeck | NeckUse::HeavyOverhead => Grade::Heavy,
        NeckUse::LoadedTurnOrArch | NeckUse::HeadCarries => Grade::Provocative,
    }
}

/// What the neck does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum NeckUse {
    /// Nothing.
    Idle,
    /// Neutral, a carry below a fifth of the best lift.
    LightCarry,
    /// Load like a shrug.
    Shrug,
    /// A bar on neck or upper back.
    BarOnNeck,
    /// Heavy overhead.
    HeavyOverhead,
    /// Arched or turned under load.
    LoadedTurnOrArch,
    /// The head carries.
    HeadCarries,
}

/// Grade of the ankle's range from its bend (shank from vertical on a flat foot), derived,
/// grade thresholds. `hop` is any landing on the forefoot.
///
/// # Errors
/// [`Error::OutOfBounds`] for a bend outside its bound.
pub fn ankle_range(bend: Degree, loaded: bool, end_of_range: bool, hop: bool) -> Result<Grade, Error> {
    let bend = limits::SEGMENT_ANGLE.check(bend.get())?;
    Ok(if hop || (end_of_range && loaded) {
        Grade::Provocative
    } else if bend > 20.0 && loaded {
        Grade::Heavy
    } else if bend >= 10.0 {
        Grade::Moderate
    } else if bend > FLAT {
        Grade::Light
    } else {
        Grade::Idle
    })
}

/// Arm of the patellar tendon, metres (memory).
pub const KNEE_EXTENSOR_ARM: f64 = 0.045;
/// Arm of the Achilles tendon, metres (memory).
pub const ACHILLES_ARM: f64 = 0.050;
/// Press grip beyond which the shoulder grade rises, shoulder breadths (Green & Comfort 2007, seen).
pub const WIDE_GRIP: f64 = 1.5;

/// Cuts of [`LoadTier`] as shares of the holding capacity (derived).
const TIER_CUTS: [f64; 3] = [0.05, 0.30, 0.60];
/// Shank bend that still counts as flat, degrees (practice).
const FLAT: f64 = 2.0;

fn cut(value: f64, [light, moderate, heavy]: [f64; 3]) -> Grade {
    if value <= 0.0 {
        Grade::Idle
    } else if value < light {
        Grade::Light
    } else if value <= moderate {
        Grade::Moderate
    } else if value <= heavy {
        Grade::Heavy
    } else {
        Grade::Provocative
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mechanics::anthropometry::Sex;
    use crate::units::{Kg, Metre};

    // Source: joint tables, rule of thumb.
    #[test]
    fn the_rule_of_thumb() {
        use {LoadTier as L, PositionTier as P, Support as S};
        let grade = |l, p, s, v| combine(l, p, s, v).step();
        assert_eq!(grade(L::Idle, P::Middle, S::Free, true), 0);
        assert_eq!(grade(L::Light, P::Middle, S::Wholly, false), 0);
        assert_eq!(grade(L::Light, P::Middle, S::Wholly, true), 3);
        assert_eq!(grade(L::Heavy, P::End, S::Free, false), 4);
        assert_eq!(grade(L::Heavy, P::End, S::Partly, false), 4);
        assert_eq!(grade(L::Moderate, P::TowardsEnd, S::Partly, false), 2);
    }

    // Source: grade thresholds, thresholds.
    #[test]
    fn thresholds_cut_where_the_table_says() {
        let steps = |f: fn(f64) -> Grade, at: [f64; 6]| at.map(|x| f(x).step());
        let knee = |x| kneecap(x, false).unwrap();
        assert_eq!(steps(knee, [0.0, 0.9, 1.0, 3.1, 6.0, 6.1]), [0, 1, 2, 3, 3, 4]);
        assert_eq!(kneecap(2.0, true).unwrap().step(), 4);
        let heel = |x| achilles(x).unwrap();
        assert_eq!(steps(heel, [0.0, 0.5, 1.6, 3.0, 5.0, 7.3]), [0, 1, 2, 3, 3, 4]);
        let bend = |x| ankle_range(Degree(x), true, false, false).unwrap();
        assert_eq!(steps(bend, [0.0, 9.0, 10.0, 20.0, 21.0, 30.0]), [0, 1, 2, 2, 3, 3]);
        assert!(achilles(f64::NAN).is_err() && kneecap(-1.0, false).is_err());
        let hip_at = |x, load| hip(Degree(x), load, false, false, false).unwrap().step();
        assert_eq!(hip_at(30.0, LoadTier::Light), 0);
        assert_eq!(hip_at(60.0, LoadTier::Light), 1);
        assert_eq!(hip_at(90.0, LoadTier::Moderate), 2);
        assert_eq!(hip_at(110.0, LoadTier::Heavy), 3);
        assert_eq!(hip(Degree(90.0), LoadTier::Light, false, true, false).unwrap().step(), 4);
        assert_eq!(neck(NeckUse::BarOnNeck).step(), 3);
        assert_eq!(elbow(LoadTier::Light, false, true, false).step(), 3);
    }

    #[test]
    fn tiers_follow_the_moment() {
        let body = Body::new(Kg(80.0), Metre(1.75), Sex::Male).unwrap();
        let tier = |nm| load_tier(Joint::Knee, NewtonMetre(nm), &body).unwrap();
        assert_eq!(
            [5.0, -40.0, 100.0, 200.0].map(tier),
            [LoadTier::Idle, LoadTier::Light, LoadTier::Moderate, LoadTier::Heavy]
        );
        assert!(load_tier(Joint::Hip, NewtonMetre(f64::NAN), &body).is_err());
        assert_eq!(kneecap_force(NewtonMetre(-50.0), Degree(90.0)).unwrap(), Newton(0.0));
    }
}
