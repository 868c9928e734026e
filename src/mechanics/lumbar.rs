//! Compression of the low back from one equivalent muscle, part by part, with its honest range.
//!
//! Leans on `anthropometry` and `posture`. Leaves to others: tasks that are no plain lift
//! (`special`), other joints (`joints`), published values that overrule the model (`published`).
//!
//! The recipe is the planar single-muscle model: `F_e = M / d_e`, `C = F_e cos(gamma) + W cos(alpha)`
//! with `W` and `M` the weight above the joint and its moment. It holds to about thirty per cent
//! within a family of lifts and a factor of two across families, and over-predicts past some 35
//! degrees of bending. Shear is far less certain than that, so it is told as a class only.

use super::anthropometry::{Body, FORWARD_OFFSET, Length, Sex};
use super::posture::{LoadPosition, Posture};
use super::{Error, limits};
use crate::units::{Degree, GRAVITY, Kg, Metre, Newton, NewtonMetre, bounds};

/// Compression at the low back for a body in a posture under a load.
///
/// # Errors
/// [`Error::OutOfBounds`] for a load or setting outside its bound, [`Error::NoLeverage`] when the
/// co-contraction leaves the working muscle no arm.
pub fn estimate(body: &Body, posture: &Posture, load: Kg, settings: &Settings) -> Result<Estimate, Error> {
    bounds::LOAD.check(load.get())?;
    settings.check()?;
    let (trunk, height) = (posture.trunk(), body.height().get());
    let x0 = settings.forward_offset.get() * trunk.cos();
    let upper = body.upper_body();
    let shoulder = body.length(Length::LumbarToShoulder).get() * trunk.sin() + x0;
    let (load_mass, load_x, arms_x) = match posture.load() {
        LoadPosition::Trunk { up_h, up, front } => {
            let along = up_h * height + up.get();
            (load, along * trunk.sin() + front.get() * trunk.cos(), shoulder)
        }
        LoadPosition::Hang { front } => (load, shoulder + front.get(), shoulder),
        LoadPosition::Hands { front, arms } => (load, front.get(), arms.get()),
        LoadPosition::Nothing => (Kg(0.0), 0.0, shoulder),
    };
    let lever = Lever {
        upper: Pull::of(upper.mass, upper.com.get() * trunk.sin() + x0),
        arms: Pull::of(body.arms(), arms_x),
        load: Pull::of(load_mass, load_x),
        axis: Axis::Disc(disc_angle(trunk, posture.knee(), settings.level)),
        dynamic: posture.dynamic(),
        support: posture.support(),
        ..Lever::for_body(body, settings)
    };
    lever.estimate()
}

/// Choices of the lumbar model that are no part of the posture.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Settings {
    /// Joint looked at; moves the disc angle only.
    pub level: Level,
    /// Shape of the low back; sets the tilt of the back muscles unless `line_of_action` is given.
    pub curve: Curve,
    /// Tilt of the back muscles from the compression axis, `gamma`.
    pub line_of_action: Option<Degree>,
    /// Abdominal force as a share of back muscle force in lifts: 0 to report,
    /// [`CO_CONTRACTION_BRACED`] for the pessimistic view.
    pub co_contraction: f64,
    /// Back muscle force as a share of abdominal force where the abdominals do the work.
    pub co_contraction_flexion: f64,
    /// Forward offset of the upright upper body, `x0`.
    pub forward_offset: Metre,
    /// Least compression that is believed.
    pub floor: Floor,
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            level: Level::L5S1,
            curve: Curve::Neutral,
            line_of_action: None,
            co_contraction: 0.0,
            co_contraction_flexion: CO_CONTRACTION_FLEXION,
            forward_offset: Metre(0.0),
            floor: Floor::Standing,
        }
    }
}

impl Settings {
    /// The defaults with the forward offset that upright work needs.
    #[must_use]
    pub fn upright() -> Self {
        Self { forward_offset: FORWARD_OFFSET, ..Self::default() }
    }

    /// The defaults with a hard brace, for the pessimistic end.
    #[must_use]
    pub fn braced() -> Self {
        Self { co_contraction: CO_CONTRACTION_BRACED, ..Self::default() }
    }

    /// Tilt of the back muscles in force.
    #[must_use]
    pub fn gamma(&self) -> Degree {
        self.line_of_action.unwrap_or_else(|| self.curve.gamma())
    }

    pub(crate) fn check(&self) -> Result<(), Error> {
        limits::CO_CONTRACTION.check(self.co_contraction)?;
        limits::CO_CONTRACTION.check(self.co_contraction_flexion)?;
        limits::FORWARD_OFFSET.check(self.forward_offset.get())?;
        limits::LINE_OF_ACTION.check(self.gamma().get())?;
        Ok(())
    }
}

/// Lumbar joint looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Level {
    /// Lowest disc, on the sacrum.
    L5S1,
    /// The disc above it.
    L4L5,
}

/// Shape of the low back under load.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Curve {
    /// Natural hollow kept.
    Neutral,
    /// Partly rounded.
    PartlyFlexed,
    /// Rounded to the end.
    FullyFlexed,
}

impl Curve {
    /// Tilt of the back muscles: 5 degrees neutral (Cholewicki 1991, seen), 0 fully flexed
    /// (McGill, Hughson & Parks 2000, memory), half way between (derived).
    #[must_use]
    pub fn gamma(self) -> Degree {
        match self {
            Self::Neutral => Degree(5.0),
            Self::PartlyFlexed => Degree(2.5),
            Self::FullyFlexed => Degree(0.0),
        }
    }
}

/// Least compression that an estimate may state, for an adult of [`REFERENCE_WEIGHT`] and in
/// proportion for others, so that a light person who stands still is not put in a higher class.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Floor {
    /// Standing, 500 N (derived from Wilke 1999).
    Standing,
    /// Lying, 150 N (Wilke 1999 lying pressure, seen, converted).
    Lying,
    /// No floor, for worked arithmetic.
    Open,
}

impl Floor {
    /// The floor as a force for a body of that weight.
    #[must_use]
    pub fn newtons(self, body_weight: Newton) -> Newton {
        let reference = match self {
            Self::Standing => 500.0,
            Self::Lying => 150.0,
            Self::Open => 0.0,
        };
        Newton(reference * body_weight.get() / REFERENCE_WEIGHT.get())
    }
}

/// Sacral rotation `beta` by the recalled regression of Anderson, Chaffin, Herrin & Matthews 1985
/// (memory). Trunk is clamped to 0-90 and knee to 40-180 degrees, where it was fitted.
#[must_use]
pub fn sacral_rotation(trunk: Degree, knee: Degree) -> Degree {
    let t = trunk.get().clamp(0.0, 90.0);
    let k = knee.get().clamp(40.0, 180.0);
    Degree(-17.5 - 0.12 * t + 0.23 * k + 0.0012 * t * k + 0.0050 * t * t - 0.00075 * k * k)
}

/// Tilt of the disc plane from horizontal, `alpha`.
#[must_use]
pub fn disc_angle(trunk: Degree, knee: Degree, level: Level) -> Degree {
    let sacral = SACRAL_PLATE_STANDING + sacral_rotation(trunk, knee);
    match level {
        Level::L5S1 => sacral,
        Level::L4L5 => sacral - L4L5_BELOW_SACRAL,
    }
}

/// A vertical force and its horizontal distance in front of the lumbar joint.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Pull {
    /// Force, downwards positive; a contact that carries is negative.
    pub weight: Newton,
    /// Distance in front of the joint.
    pub at: Metre,
}

impl Pull {
    /// The weight of `mass` at a distance.
    #[must_use]
    pub fn of(mass: Kg, at: f64) -> Self {
        Self { weight: mass.weight(), at: Metre(at) }
    }

    fn moment(self) -> f64 {
        self.weight.get() * self.at.get()
    }
}

/// How the trunk's long axis lies to the weight it carries.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Axis {
    /// Weight passes through a disc tilted by this angle.
    Disc(Degree),
    /// The trunk lies across the weight; nothing of it runs along the spine.
    Across,
}

/// Everything that pulls on one lumbar joint, for tasks laid out by hand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lever {
    /// Trunk and head above the joint.
    pub upper: Pull,
    /// Both arms.
    pub arms: Pull,
    /// External load or contact.
    pub load: Pull,
    /// Moment of a horizontal hand force, counted with the load; bending forwards positive.
    pub hand_moment: NewtonMetre,
    /// Moment to one side, either sign.
    pub lateral_moment: NewtonMetre,
    /// Disc tilt, or a trunk across the weight.
    pub axis: Axis,
    /// Tilt of the back muscles.
    pub gamma: Degree,
    /// Arm of the back muscles.
    pub extensor_arm: Metre,
    /// Arm of the abdominal muscles.
    pub flexor_arm: Metre,
    /// Co-contraction when the back muscles work.
    pub co_contraction: f64,
    /// Co-contraction when the abdominal muscles work.
    pub co_contraction_flexion: f64,
    /// Factor for speed on all moments and weights.
    pub dynamic: f64,
    /// Factor for a carried trunk on compression.
    pub support: f64,
    /// Least compression.
    pub floor: Floor,
    /// Weight of the body, for multiples of it.
    pub body_weight: Newton,
}

impl Lever {
    /// A lever with the body's muscle arms and the settings, and nothing pulling on it yet.
    #[must_use]
    pub fn for_body(body: &Body, settings: &Settings) -> Self {
        Self {
            upper: Pull::default(),
            arms: Pull::default(),
            load: Pull::default(),
            hand_moment: NewtonMetre(0.0),
            lateral_moment: NewtonMetre(0.0),
            axis: Axis::Across,
            gamma: settings.gamma(),
            extensor_arm: body.extensor_arm(),
            flexor_arm: body.flexor_arm(),
            co_contraction: settings.co_contraction,
            co_contraction_flexion: settings.co_contraction_flexion,
            dynamic: 1.0,
            support: 1.0,
            floor: settings.floor,
            body_weight: body.weight(),
        }
    }

    /// Compression with all its parts.
    ///
    /// # Errors
    /// [`Error::OutOfBounds`] for muscle arms or factors outside their bounds or forces that are
    /// no numbers, [`Error::NoLeverage`] when co-contraction leaves the working muscle no arm.
    pub fn estimate(&self) -> Result<Estimate, Error> {
        self.check()?;
        let (upper, arms) = (self.upper.moment() * self.dynamic, self.arms.moment() * self.dynamic);
        let load = (self.load.moment() + self.hand_moment.get()) * self.dynamic;
        let lateral = self.lateral_moment.get().abs() * self.dynamic;
        let moment = upper + arms + load;
        limits::MOMENT.check(moment)?;
        let (d_e, d_a) = (self.extensor_arm.get(), self.flexor_arm.get());
        let tilt = self.gamma.cos();
        let branch = if moment < 0.0 { Branch::Flexors } else { Branch::Extensors };
        // Force per moment of the working muscle alone, and what co-contraction adds to it.
        let (per_moment, muscle, added) = match branch {
            Branch::Extensors => {
                let c = self.co_contraction;
                let back = moment / leverage(d_e - c * d_a)?;
                let added = (back - moment / d_e) * tilt + c * back;
                (tilt / d_e, back, added)
            }
            Branch::Flexors => {
                let c = self.co_contraction_flexion;
                let belly = -moment / leverage(d_a - c * d_e)?;
                let added = belly + moment / d_a + c * belly;
                (-1.0 / d_a, c * belly, added)
            }
        };
        let along = match self.axis {
            Axis::Disc(alpha) => alpha.cos() * self.dynamic,
            Axis::Across => 0.0,
        };
        let axial = |pull: Pull| pull.weight.get() * along;
        let gross = [
            (Part::MuscleUpperBody, upper * per_moment),
            (Part::MuscleArms, arms * per_moment),
            (Part::MuscleLoad, load * per_moment),
            (Part::MuscleLateral, lateral / LATERAL_ARM.get()),
            (Part::AxialUpperBody, axial(self.upper)),
            (Part::AxialArms, axial(self.arms)),
            (Part::AxialLoad, axial(self.load)),
            (Part::CoContraction, if added.abs() < ROUND_OFF { 0.0 } else { added }),
        ];
        let unsupported: f64 = gross.iter().map(|(_, newtons)| newtons).sum();
        let relief = if self.support < 1.0 { unsupported * (self.support - 1.0) } else { 0.0 };
        let floor = self.floor.newtons(self.body_weight).get();
        let lift = (floor - (unsupported + relief)).max(0.0);
        let [a, b, c, d, e, f, g, h] = gross.map(|(part, newtons)| PartForce { part, newtons: Newton(newtons) });
        let parts = [
            a,
            b,
            c,
            d,
            e,
            f,
            g,
            h,
            PartForce { part: Part::SupportRelief, newtons: Newton(relief) },
            PartForce { part: Part::Floor, newtons: Newton(lift) },
        ];
        let weight = self.upper.weight + self.arms.weight + self.load.weight;
        let across = match self.axis {
            Axis::Disc(alpha) => alpha.sin(),
            Axis::Across => 1.0,
        };
        Ok(Estimate {
            // Summed from the parts in order, so that the parts add up to the last bit.
            compression: Newton(parts.iter().map(|part| part.newtons.get()).sum()),
            parts,
            moment: NewtonMetre(moment),
            moments: [NewtonMetre(upper), NewtonMetre(arms), NewtonMetre(load)],
            lateral_moment: NewtonMetre(lateral),
            branch,
            body_weight: self.body_weight,
            muscle: Newton(muscle),
            shear: Newton(weight.get() * self.dynamic * across - muscle * self.gamma.sin()),
        })
    }

    fn check(&self) -> Result<(), Error> {
        limits::MUSCLE_ARM.check(self.extensor_arm.get())?;
        limits::MUSCLE_ARM.check(self.flexor_arm.get())?;
        limits::LINE_OF_ACTION.check(self.gamma.get())?;
        limits::CO_CONTRACTION.check(self.co_contraction)?;
        limits::CO_CONTRACTION.check(self.co_contraction_flexion)?;
        limits::DYNAMIC_FACTOR.check(self.dynamic)?;
        limits::SUPPORT_FACTOR.check(self.support)?;
        for pull in [self.upper, self.arms, self.load] {
            limits::VERTICAL_FORCE.check(pull.weight.get())?;
            limits::DISTANCE.check(pull.at.get())?;
        }
        limits::MOMENT.check(self.hand_moment.get())?;
        limits::MOMENT.check(self.lateral_moment.get())?;
        limits::BODY_WEIGHT.check(self.body_weight.get())?;
        if let Axis::Disc(alpha) = self.axis {
            limits::SEGMENT_ANGLE.check(alpha.get())?;
        }
        Ok(())
    }
}

fn leverage(left: f64) -> Result<f64, Error> {
    if left > LEAST_LEVERAGE { Ok(left) } else { Err(Error::NoLeverage { left: Metre(left) }) }
}

/// Which muscles hold the trunk.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Branch {
    /// Back muscles, against bending forwards.
    Extensors,
    /// Abdominal muscles, against sagging or arching back.
    Flexors,
}

/// A part of the compression.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Part {
    /// Muscle force that holds trunk and head.
    MuscleUpperBody,
    /// Muscle force that holds the arms.
    MuscleArms,
    /// Muscle force that holds the load or answers a contact.
    MuscleLoad,
    /// Muscle force against a pull to one side.
    MuscleLateral,
    /// Weight of trunk and head along the spine.
    AxialUpperBody,
    /// Weight of the arms along the spine.
    AxialArms,
    /// Weight of the load along the spine.
    AxialLoad,
    /// What bracing muscles on the other side add.
    CoContraction,
    /// What a propping hand or pad takes away; negative or zero.
    SupportRelief,
    /// What lifts the sum to the least compression that is believed.
    Floor,
}

impl Part {
    /// One line for a person.
    #[must_use]
    pub fn meaning(self) -> &'static str {
        match self {
            Self::MuscleUpperBody => "muscle force that holds trunk and head",
            Self::MuscleArms => "muscle force that holds the arms",
            Self::MuscleLoad => "muscle force that holds the load",
            Self::MuscleLateral => "muscle force against the pull to one side",
            Self::AxialUpperBody => "weight of trunk and head along the spine",
            Self::AxialArms => "weight of the arms along the spine",
            Self::AxialLoad => "weight of the load along the spine",
            Self::CoContraction => "bracing by the muscles on the other side",
            Self::SupportRelief => "carried by the hand or pad",
            Self::Floor => "raised to the least that is believed",
        }
    }
}

/// One part with its share of the compression.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PartForce {
    /// Which part.
    pub part: Part,
    /// Its signed share.
    pub newtons: Newton,
}

/// An estimate of lumbar compression. It ranks lifts; it clears nobody to lift.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    compression: Newton,
    parts: [PartForce; 10],
    moment: NewtonMetre,
    moments: [NewtonMetre; 3],
    lateral_moment: NewtonMetre,
    branch: Branch,
    body_weight: Newton,
    muscle: Newton,
    shear: Newton,
}

impl Estimate {
    /// Compression at the joint, unrounded; show [`Estimate::shown`] to people.
    #[must_use]
    pub fn compression(&self) -> Newton {
        self.compression
    }

    /// Compression to two significant figures.
    #[must_use]
    pub fn shown(&self) -> Newton {
        Newton(two_figures(self.compression.get()))
    }

    /// Lower end of the range within a family of lifts, less [`UNCERTAINTY`].
    #[must_use]
    pub fn low(&self) -> Newton {
        self.compression * (1.0 - UNCERTAINTY)
    }

    /// Upper end of the range within a family of lifts, plus [`UNCERTAINTY`].
    #[must_use]
    pub fn high(&self) -> Newton {
        self.compression * (1.0 + UNCERTAINTY)
    }

    /// The parts; summed in order they are exactly [`Estimate::compression`].
    #[must_use]
    pub fn parts(&self) -> &[PartForce; 10] {
        &self.parts
    }

    /// The share of one part.
    #[must_use]
    pub fn part(&self, part: Part) -> Newton {
        Newton(self.parts.iter().filter(|entry| entry.part == part).map(|entry| entry.newtons.get()).sum())
    }

    /// Net sagittal moment, bending forwards positive, speed included.
    #[must_use]
    pub fn moment(&self) -> NewtonMetre {
        self.moment
    }

    /// Shares of upper body, arms and load in the moment.
    #[must_use]
    pub fn moments(&self) -> [NewtonMetre; 3] {
        self.moments
    }

    /// Moment to one side, never negative.
    #[must_use]
    pub fn lateral_moment(&self) -> NewtonMetre {
        self.lateral_moment
    }

    /// Muscles that hold.
    #[must_use]
    pub fn branch(&self) -> Branch {
        self.branch
    }

    /// Force of the back muscles in the model.
    #[must_use]
    pub fn back_muscle(&self) -> Newton {
        self.muscle
    }

    /// Compression in body weights.
    #[must_use]
    pub fn body_weights(&self) -> f64 {
        self.compression.get() / self.body_weight.get()
    }

    /// Compression with a belt and a full breath held: [`BELT_RELIEF`] less at most. A stated
    /// option for the reader; every class is computed without it.
    #[must_use]
    pub fn with_belt(&self) -> Newton {
        self.compression * (1.0 - BELT_RELIEF)
    }

    /// Class for the catalogue, by body weights at a typical working load.
    #[must_use]
    pub fn catalogue_class(&self) -> SpineClass {
        SpineClass::by_body_weights(self.body_weights())
    }

    /// Class for one person: the higher of newtons (scaled, see [`limit_scale`]) and body weights.
    #[must_use]
    pub fn person_class(&self, scale: f64) -> SpineClass {
        SpineClass::by_newtons(self.compression, scale).max(self.catalogue_class())
    }

    /// Whether the estimate passes [`EXTREME`], so that heavy lifts still rank inside the top class.
    #[must_use]
    pub fn over_ten_kilonewtons(&self) -> bool {
        self.compression.get() > EXTREME.get()
    }

    /// Shear of the single-muscle model. Wrong by a factor of five at L5/S1, hence never shown;
    /// it exists for the arithmetic checks of the worked examples.
    #[cfg_attr(not(test), expect(dead_code))]
    pub(crate) fn model_shear(&self) -> Newton {
        self.shear
    }
}

/// Lumbar compression in five steps, none = 0 to very high = 4.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum SpineClass {
    /// Lying, carried, passive hang, quiet standing.
    None,
    /// Up to about 2.5 body weights.
    Low,
    /// Up to about 4.3 body weights.
    Moderate,
    /// Up to about 8.2 body weights.
    High,
    /// Beyond that.
    VeryHigh,
}

impl SpineClass {
    /// All classes, least first.
    pub const ALL: [Self; 5] = [Self::None, Self::Low, Self::Moderate, Self::High, Self::VeryHigh];

    /// Class by multiples of body weight, the rule of the catalogue.
    #[must_use]
    pub fn by_body_weights(multiple: f64) -> Self {
        Self::cut(multiple, CLASS_BODY_WEIGHTS)
    }

    /// Class by newtons; `scale` moves the cuts for age and sex (1 for the reference adult) and is
    /// held to [`SCALE_RANGE`].
    #[must_use]
    pub fn by_newtons(compression: Newton, scale: f64) -> Self {
        let (low, high) = SCALE_RANGE;
        let scale = if scale.is_finite() { scale.clamp(low, high) } else { 1.0 };
        Self::cut(compression.get() / scale, CLASS_NEWTONS)
    }

    /// The step, 0 to 4.
    #[must_use]
    pub fn step(self) -> u8 {
        match self {
            Self::None => 0,
            Self::Low => 1,
            Self::Moderate => 2,
            Self::High => 3,
            Self::VeryHigh => 4,
        }
    }

    /// The word used everywhere for it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::None => "none",
            Self::Low => "low",
            Self::Moderate => "moderate",
            Self::High => "high",
            Self::VeryHigh => "very-high",
        }
    }

    fn cut(value: f64, [low, moderate, high, very_high]: [f64; 4]) -> Self {
        if value > very_high {
            Self::VeryHigh
        } else if value >= high {
            Self::High
        } else if value >= moderate {
            Self::Moderate
        } else if value >= low {
            Self::Low
        } else {
            Self::None
        }
    }
}

/// Factor on the newton cuts for age and sex: the recalled 2018 Dortmund recommendation over
/// 3.8 kN, held to [`SCALE_RANGE`] (memory).
///
/// # Errors
/// [`Error::OutOfBounds`] for an age outside its bound.
pub fn limit_scale(age_years: f64, sex: Sex) -> Result<f64, Error> {
    let limit = super::dose::dortmund_limit(age_years, sex)?;
    let (low, high) = SCALE_RANGE;
    Ok((limit.get() / DORTMUND_REFERENCE.get()).clamp(low, high))
}

/// How a posture shears the low back. A class of posture, no number.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Shear {
    /// How much.
    pub class: ShearClass,
    /// Which way the upper vertebra is pushed.
    pub direction: ShearDirection,
}

/// Three steps of shear.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ShearClass {
    /// Little.
    Low,
    /// Some.
    Moderate,
    /// Much.
    High,
}

/// Which way the upper vertebra is pushed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ShearDirection {
    /// Forwards, as in a lift.
    Forwards,
    /// Backwards, as in a kettlebell swing (McGill & Marshall 2012, seen).
    Backwards,
}

/// Shear by shape of the low back and by the class of the load (derived, lumbar tables):
/// rounding counts for more than load, and a ballistic swing pushes the other way.
#[must_use]
pub fn shear(curve: Curve, load: SpineClass, ballistic_swing: bool) -> Shear {
    let heavy = load >= SpineClass::High;
    let light = load <= SpineClass::Low;
    let class = match curve {
        Curve::Neutral if heavy => ShearClass::Moderate,
        Curve::Neutral => ShearClass::Low,
        Curve::PartlyFlexed if heavy => ShearClass::High,
        Curve::PartlyFlexed if light => ShearClass::Low,
        Curve::PartlyFlexed => ShearClass::Moderate,
        Curve::FullyFlexed if light => ShearClass::Moderate,
        Curve::FullyFlexed => ShearClass::High,
    };
    let direction = if ballistic_swing { ShearDirection::Backwards } else { ShearDirection::Forwards };
    Shear { class, direction }
}

/// `value` to two significant figures, the most that any estimate deserves.
#[must_use]
pub fn two_figures(value: f64) -> f64 {
    if value == 0.0 || !value.is_finite() {
        return 0.0;
    }
    let step = 10f64.powi(value.abs().log10().floor() as i32 - 1);
    if step >= 1.0 { (value / step).round() * step } else { (value * step.recip()).round() / step.recip() }
}

/// Half-width of the range within a family of lifts (derived).
pub const UNCERTAINTY: f64 = 0.30;
/// Factor between families of lifts (derived).
pub const UNCERTAINTY_ACROSS: f64 = 2.0;
/// Most that a belt with a full breath held may take off (Kingma 2006, memory).
pub const BELT_RELIEF: f64 = 0.10;
/// Co-contraction of a hard brace in lifts (derived from Granata & Marras, memory).
pub const CO_CONTRACTION_BRACED: f64 = 0.1;
/// Co-contraction where the abdominals work (derived: brings the push-up near its measured value).
pub const CO_CONTRACTION_FLEXION: f64 = 0.3;
/// Sacral plate from horizontal in standing (memory).
pub const SACRAL_PLATE_STANDING: Degree = Degree(40.0);
/// How much flatter the L4/L5 disc lies (derived).
pub const L4L5_BELOW_SACRAL: Degree = Degree(30.0);
/// Arm of the muscles of one flank (memory).
pub const LATERAL_ARM: Metre = Metre(0.08);
/// Lower cuts of low, moderate, high; above the last is very high. 3 400 N is the criterion of the
/// revised lifting equation (seen), 6 400 N the 1981 maximum (second hand); the rest is derived.
pub const CLASS_NEWTONS: [f64; 4] = [700.0, 2000.0, 3400.0, 6400.0];
/// The same cuts in body weights of an 80 kg adult (derived; walking peaks 1.0-2.5, Cappozzo 1984, seen).
pub const CLASS_BODY_WEIGHTS: [f64; 4] = [0.9, 2.5, 4.3, 8.2];
/// Weight of the 80 kg adult that the newton cuts and floors refer to (derived).
pub const REFERENCE_WEIGHT: Newton = Newton(80.0 * GRAVITY);
/// Flag inside the top class (derived).
pub const EXTREME: Newton = Newton(10_000.0);
/// Range of the age and sex scale (derived).
pub const SCALE_RANGE: (f64, f64) = (0.5, 1.4);
/// Recommendation at which the scale is 1 (derived).
pub const DORTMUND_REFERENCE: Newton = Newton(3800.0);

/// Least arm that co-contraction may leave a muscle, metres.
const LEAST_LEVERAGE: f64 = 0.005;
/// Newtons below which an addition is rounding of the arithmetic.
const ROUND_OFF: f64 = 1e-9;

#[cfg(test)]
mod tests {
    use super::*;

    fn near(got: f64, want: f64, share: f64) {
        assert!((got - want).abs() <= share * want.abs(), "got {got}, want {want}");
    }

    fn bare(x_upper: (f64, f64), x_load: (f64, f64), alpha: f64, gamma: f64, d_e: f64) -> Lever {
        Lever {
            upper: Pull { weight: Newton(x_upper.0), at: Metre(x_upper.1) },
            arms: Pull::default(),
            load: Pull { weight: Newton(x_load.0), at: Metre(x_load.1) },
            hand_moment: NewtonMetre(0.0),
            lateral_moment: NewtonMetre(0.0),
            axis: Axis::Disc(Degree(alpha)),
            gamma: Degree(gamma),
            extensor_arm: Metre(d_e),
            flexor_arm: Metre(0.10),
            co_contraction: 0.0,
            co_contraction_flexion: 0.3,
            dynamic: 1.0,
            support: 1.0,
            floor: Floor::Open,
            body_weight: Newton(784.8),
        }
    }

    // Source: worked example X2 (textbook layout, derived), shear by arithmetic only.
    #[test]
    fn x2_shear() {
        let estimate = bare((350.0, 0.20), (450.0, 0.30), 55.0, 0.0, 0.05).estimate().unwrap();
        near(estimate.model_shear().get(), 655.3, 0.005);
    }

    // Source: lumbar tables, column S of X3-X12 (derived arithmetic; no claim about real shear).
    #[test]
    fn worked_shear_column() {
        let hang = |front| LoadPosition::Hang { front: Metre(front) };
        let trunk = |up_h, up, front| LoadPosition::Trunk { up_h, up: Metre(up), front: Metre(front) };
        let rows = [
            (40.0, 90.0, trunk(0.232, 0.02, -0.05), 100.0, 518.9),
            (48.0, 95.0, trunk(0.232, -0.05, -0.07), 100.0, 593.8),
            (25.0, 85.0, LoadPosition::Nothing, 0.0, 180.7),
            (65.0, 125.0, hang(-0.05), 140.0, 775.0),
            (57.5, 115.0, hang(-0.05), 140.0, 743.0),
            (75.0, 155.0, hang(-0.08), 110.0, 751.0),
            (60.0, 155.0, hang(0.0), 60.0, 416.0),
            (75.0, 170.0, hang(0.10), 25.0, 269.9),
        ];
        let body = Body::new(Kg(80.0), Metre(1.75), Sex::Male).unwrap();
        for (t, k, load, kg, want) in rows {
            let posture = Posture::new(Degree(t), Degree(k), load).unwrap();
            let got = estimate(&body, &posture, Kg(kg), &Settings::default()).unwrap();
            near(got.model_shear().get(), want, 0.005);
        }
    }

    // Source: lumbar tables, shear of X9 at L4/L5 by line of action (derived arithmetic).
    #[test]
    fn shear_hangs_on_the_line_of_action_so_it_is_a_class() {
        let body = Body::new(Kg(80.0), Metre(1.75), Sex::Male).unwrap();
        let hang = LoadPosition::Hang { front: Metre(-0.05) };
        let posture = Posture::new(Degree(65.0), Degree(125.0), hang).unwrap();
        let at = |gamma| {
            let settings = Settings { level: Level::L4L5, line_of_action: Some(Degree(gamma)), ..Settings::default() };
            estimate(&body, &posture, Kg(140.0), &settings).unwrap()
        };
        near(at(10.0).model_shear().get(), -664.0, 0.01);
        near(at(5.0).model_shear().get(), 148.0, 0.02);
        near(at(0.0).model_shear().get(), 967.0, 0.01);
        near(at(10.0).compression().get(), at(0.0).compression().get(), 0.02);
    }

    // Source: lumbar tables, factors of co-contraction per newton metre at arms 0.06 and 0.10.
    #[test]
    fn co_contraction_multiplies() {
        let per = |c: f64| {
            let lever = Lever { co_contraction: c, ..bare((0.0, 0.0), (500.0, 0.4), 90.0, 0.0, 0.06) };
            lever.estimate().unwrap().compression().get()
        };
        near(per(0.1) / per(0.0), 1.32, 0.005);
        near(per(0.2) / per(0.0), 1.80, 0.005);
    }

    #[test]
    fn two_figures_rounds_as_people_do() {
        assert_eq!(two_figures(10_177.2), 10_000.0);
        assert_eq!(two_figures(6_323.8), 6_300.0);
        assert_eq!(two_figures(996.0), 1_000.0);
        assert_eq!(two_figures(-364.1), -360.0);
        assert_eq!(two_figures(0.0), 0.0);
        assert_eq!(two_figures(0.123), 0.12);
        assert_eq!(two_figures(f64::NAN), 0.0);
    }

    // Source: class thresholds, thresholds.
    #[test]
    fn classes_cut_where_the_table_says() {
        use SpineClass as S;
        let newtons = |n| S::by_newtons(Newton(n), 1.0);
        assert_eq!(
            [699.0, 700.0, 2000.0, 3400.0, 6400.0, 6401.0].map(newtons),
            [S::None, S::Low, S::Moderate, S::High, S::High, S::VeryHigh]
        );
        assert_eq!(
            [0.8, 0.9, 2.5, 4.3, 8.2, 8.3].map(S::by_body_weights),
            [S::None, S::Low, S::Moderate, S::High, S::High, S::VeryHigh]
        );
        assert_eq!(S::by_newtons(Newton(2000.0), 0.5), S::High);
        assert_eq!(S::by_newtons(Newton(2000.0), 0.01), S::by_newtons(Newton(2000.0), 0.5));
        assert!(S::ALL.windows(2).all(|pair| matches!(pair, [a, b] if a < b && a.step() + 1 == b.step())));
    }

    // Source: lumbar tables, rounding counts more than load; U5 for the swing.
    #[test]
    fn shear_classes() {
        for load in SpineClass::ALL {
            let class = |curve| shear(curve, load, false).class;
            assert!(class(Curve::Neutral) <= class(Curve::PartlyFlexed));
            assert!(class(Curve::PartlyFlexed) <= class(Curve::FullyFlexed));
        }
        assert_eq!(shear(Curve::Neutral, SpineClass::Moderate, true).direction, ShearDirection::Backwards);
    }

    #[test]
    fn a_muscle_without_leverage_is_an_error() {
        let lever = Lever { co_contraction: 0.5, ..bare((0.0, 0.0), (500.0, 0.4), 40.0, 5.0, 0.05) };
        assert!(matches!(lever.estimate(), Err(Error::NoLeverage { .. })));
        let nan = bare((f64::NAN, 0.0), (500.0, 0.4), 40.0, 5.0, 0.05);
        assert!(nan.estimate().is_err());
    }
}
