//! What the body model says of an exercise: its posture and load taken from the base, its force
//! from [`crate::mechanics`].
//!
//! Leans on the shared postures and anchors of the base. Leaves to others: the statics themselves,
//! the class that an exercise ends up with ([`super::compile`]), and what a person is shown.

use super::Kb;
use super::raw::{self, Counted, PostureKind};
use crate::mechanics;
use crate::mechanics::anthropometry::{Body, Sex};
use crate::mechanics::joints::{self, Sides, Standing};
use crate::mechanics::lumbar::{self, SpineClass, UNCERTAINTY};
use crate::mechanics::posture::{LoadPosition, Posture};
use crate::units::{Degree, Kg, Metre, Newton};

/// Body mass that published and carried values of the base hold for, kg.
pub const REFERENCE_MASS: Kg = Kg(80.0);
/// Height of the reference man, metres.
pub const REFERENCE_HEIGHT: Metre = Metre(1.75);
/// Share of the one-repetition best that a working set of five to twelve uses (practice).
pub const WORKING_SHARE: f64 = 0.70;

/// What a band is taken to pull at its stretched end, in body masses (practice).
pub const BAND_PULL: f64 = 0.25;

/// The man of 80 kg and 1.75 m for whom the classes of the base are computed.
///
/// # Errors
/// None in practice: both figures are within their bounds.
pub fn reference_man() -> Result<Body, mechanics::Error> {
    Body::new(REFERENCE_MASS, REFERENCE_HEIGHT, Sex::Male)
}

/// Why there is no estimate.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ModelError {
    /// The row, posture or anchor does not exist.
    #[error("there is no {0}")]
    Unknown(String),
    /// A posture lacks what its kind needs.
    #[error("posture {posture} has no {field}")]
    Incomplete {
        /// Id of the shared posture.
        posture: String,
        /// Field that is absent.
        field: &'static str,
    },
    /// A lean was asked for where no trunk angle enters the figure.
    #[error("a lean changes nothing here: the figure is {0}, not computed from a trunk angle")]
    LeanWithoutAngle(&'static str),
    /// The statics refused a value.
    #[error(transparent)]
    Mechanics(#[from] mechanics::Error),
}

/// A posture as the mechanics take it, or the value that stands in its place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Held {
    /// By the planar model.
    Planar(Posture),
    /// A published value, newtons for a body of [`REFERENCE_MASS`].
    Published(Newton),
    /// The trunk is carried; newtons for a body of [`REFERENCE_MASS`].
    Carried(Newton),
}

/// The posture of an exercise: the shared one among `postures` with the exercise's own changes.
///
/// # Errors
/// [`ModelError`] when the shared posture is unknown or lacks a field, or a value leaves its bound.
pub fn posture(postures: &[raw::Posture], exercise: &raw::Exercise) -> Result<Held, ModelError> {
    held(shared(postures, exercise)?, exercise, None)
}

fn shared<'a>(postures: &'a [raw::Posture], exercise: &raw::Exercise) -> Result<&'a raw::Posture, ModelError> {
    let id = exercise.posture.like.as_str();
    postures.iter().find(|p| p.id == id).ok_or_else(|| ModelError::Unknown(format!("posture {id}")))
}

/// Whether the load of the exercise hangs below L5/S1, so that the low back does not carry it.
#[must_use]
pub fn below_the_back(exercise: &raw::Exercise) -> bool {
    use raw::LoadPosition::{Feet, Hips, WaistBelt};
    matches!(exercise.load_position, Hips | WaistBelt | Feet)
}

/// `shared` with the changes of `exercise`, leaning as far as `lean` says instead where given.
///
/// # Errors
/// As [`posture`]; [`ModelError::LeanWithoutAngle`] for a lean where no angle enters.
pub fn held(shared: &raw::Posture, exercise: &raw::Exercise, lean: Option<Degree>) -> Result<Held, ModelError> {
    let own = &exercise.posture;
    let absent = |field| ModelError::Incomplete { posture: shared.id.clone(), field };
    if shared.kind == PostureKind::Planar {
        let trunk = own.trunk_deg.or(shared.trunk_deg).ok_or_else(|| absent("trunk_deg"))?;
        let knee = own.knee_deg.or(shared.knee_deg).ok_or_else(|| absent("knee_deg"))?;
        let load = match shared.load.as_ref().ok_or_else(|| absent("load"))? {
            _ if below_the_back(exercise) => LoadPosition::Nothing,
            raw::PostureLoad::Trunk { up_h, up_m, front_m } => {
                LoadPosition::Trunk { up_h: *up_h, up: Metre(*up_m), front: Metre(*front_m) }
            }
            raw::PostureLoad::Hang { front_m } => LoadPosition::Hang { front: Metre(*front_m) },
            raw::PostureLoad::Hands { front_m, arms_m } => {
                LoadPosition::Hands { front: Metre(*front_m), arms: Metre(*arms_m) }
            }
            raw::PostureLoad::Nothing => LoadPosition::Nothing,
        };
        let mut posture = Posture::new(lean.unwrap_or(Degree(trunk)), Degree(knee), load)?;
        if let Some(factor) = own.support_factor.or(shared.support_factor) {
            posture = posture.with_support(factor)?;
        }
        if let Some(factor) = own.dynamic_factor.or(shared.dynamic_factor) {
            posture = posture.with_dynamic(factor)?;
        }
        return Ok(Held::Planar(posture));
    }
    let at_reference = shared.compression_n.ok_or_else(|| absent("compression_n"))?;
    // The value holds for the shared posture; an exercise's own factors scale it in proportion.
    let ratio = |own: Option<f64>, shared: Option<f64>| own.map_or(1.0, |f| f / shared.unwrap_or(1.0));
    let value = Newton(
        at_reference
            * ratio(own.support_factor, shared.support_factor)
            * ratio(own.dynamic_factor, shared.dynamic_factor),
    );
    match (shared.kind, lean) {
        (PostureKind::Published, Some(_)) => Err(ModelError::LeanWithoutAngle("a published value")),
        (_, Some(_)) => Err(ModelError::LeanWithoutAngle("that of a carried trunk")),
        (PostureKind::Published, None) => Ok(Held::Published(value)),
        (_, None) => Ok(Held::Carried(value)),
    }
}

/// Compression at the low back in one exercise for one body, with what it was made from.
#[derive(Debug, Clone, PartialEq)]
pub struct Estimated<'a> {
    /// Shared posture; its `basis` is the source of angles or value.
    pub posture: &'a raw::Posture,
    /// The posture computed with; absent for published and carried values.
    pub planar: Option<Posture>,
    /// Compression, unrounded.
    pub compression: Newton,
    /// Lower end of the range within a family of lifts.
    pub low: Newton,
    /// Upper end of the range within a family of lifts.
    pub high: Newton,
    /// Compression in weights of this body.
    pub body_weights: f64,
    /// Load that was asked for, kg in all.
    pub load: Kg,
    /// Whether the load enters the compression: no for published and carried values and for loads
    /// that hang below L5/S1.
    pub load_counts: bool,
    /// Parts and moments; absent for published and carried values.
    pub lumbar: Option<lumbar::Estimate>,
    /// Sagittal joint moments, or why there are none.
    pub joints: Result<Standing, String>,
}

impl Estimated<'_> {
    /// How the figure was found.
    #[must_use]
    pub fn kind(&self) -> PostureKind {
        self.posture.kind
    }

    /// Class by body weights, as the catalogue has it at a typical working load.
    #[must_use]
    pub fn class(&self) -> SpineClass {
        SpineClass::by_body_weights(self.body_weights)
    }

    /// Class for one person: the higher of newtons, their limits scaled, and body weights.
    #[must_use]
    pub fn person_class(&self, scale: f64) -> SpineClass {
        SpineClass::by_newtons(self.compression, scale).max(self.class())
    }

    /// One sentence on how the figure was found, for a person.
    #[must_use]
    pub fn said(&self) -> &'static str {
        match self.kind() {
            PostureKind::Planar => "computed in the side view from trunk angle, load and body measures",
            PostureKind::Published => {
                "a published value for a body of 80 kg, scaled with body weight; the load does not move it"
            }
            PostureKind::Carried => {
                "a standing value for a carried trunk of a body of 80 kg, scaled with body weight; the load does not move it"
            }
        }
    }
}

/// Estimate for the exercise in row `at` with `load` in all (both hands together).
///
/// # Errors
/// [`ModelError`] when the row or its posture is unknown, a value leaves its bound, or a lean is
/// asked for where no angle enters.
pub fn estimate<'a>(
    kb: &'a Kb,
    at: usize,
    body: &Body,
    load: Kg,
    lean: Option<Degree>,
) -> Result<Estimated<'a>, ModelError> {
    let exercise = kb.exercise(at).ok_or_else(|| ModelError::Unknown(format!("row {at}")))?;
    estimate_from(shared(&kb.postures, exercise)?, exercise, body, load, lean)
}

/// As [`estimate`], from the records themselves.
///
/// # Errors
/// As [`estimate`].
pub fn estimate_from<'a>(
    shared: &'a raw::Posture,
    exercise: &raw::Exercise,
    body: &Body,
    load: Kg,
    lean: Option<Degree>,
) -> Result<Estimated<'a>, ModelError> {
    made(shared, held(shared, exercise, lean)?, body, load, |posture| match no_chain(exercise) {
        Some(reason) => Err(reason.to_string()),
        None => joints::standing(body, posture, load, Sides::BOTH).map_err(|e| e.to_string()),
    })
}

/// As [`estimate`] for the low back alone, in the exercise's own posture: joint moments are left
/// out. What many rows of a week are summed from.
///
/// # Errors
/// As [`estimate`].
pub fn low_back<'a>(kb: &'a Kb, at: usize, body: &Body, load: Kg) -> Result<Estimated<'a>, ModelError> {
    let exercise = kb.exercise(at).ok_or_else(|| ModelError::Unknown(format!("row {at}")))?;
    let shared = shared(&kb.postures, exercise)?;
    made(shared, held(shared, exercise, None)?, body, load, |_| Err(String::new()))
}

fn made<'a>(
    shared: &'a raw::Posture,
    held: Held,
    body: &Body,
    load: Kg,
    joints: impl FnOnce(&Posture) -> Result<Standing, String>,
) -> Result<Estimated<'a>, ModelError> {
    let (value, without_joints) = match held {
        Held::Planar(posture) => {
            let lumbar = lumbar::estimate(body, &posture, load, &lumbar::Settings::default())?;
            return Ok(Estimated {
                posture: shared,
                planar: Some(posture),
                compression: lumbar.compression(),
                low: lumbar.low(),
                high: lumbar.high(),
                body_weights: lumbar.body_weights(),
                load,
                load_counts: posture.load() != LoadPosition::Nothing,
                lumbar: Some(lumbar),
                joints: joints(&posture),
            });
        }
        Held::Published(value) => (value, "the compression is a published value, without a posture to compute from"),
        Held::Carried(value) => (value, "a bench, pad or floor carries the trunk"),
    };
    crate::units::bounds::LOAD.check(load.get()).map_err(mechanics::Error::from)?;
    let compression = value * (body.mass().get() / REFERENCE_MASS.get());
    Ok(Estimated {
        posture: shared,
        planar: None,
        compression,
        low: compression * (1.0 - UNCERTAINTY),
        high: compression * (1.0 + UNCERTAINTY),
        body_weights: compression.get() / body.weight().get(),
        load,
        load_counts: false,
        lumbar: None,
        joints: Err(without_joints.to_string()),
    })
}

/// Why the standing chain says nothing of joints, if it does not.
fn no_chain(exercise: &raw::Exercise) -> Option<&'static str> {
    use raw::LoadPosition::{Cable, Feet, HandsOverhead, MachineArm};
    if exercise.support != raw::Support::Standing {
        Some("the body is not on its feet alone")
    } else if exercise.laterality != raw::Laterality::Bilateral {
        Some("the sides do not move alike, and the model moves them alike")
    } else if matches!(exercise.load_position, Cable | MachineArm) {
        Some("a cable or machine pulls along its own line, and the model has weights only")
    } else if matches!(exercise.load_position, Feet) {
        Some("the load is on the feet")
    } else if matches!(exercise.load_position, HandsOverhead) {
        Some("the arms are overhead, and the model hangs them straight")
    } else {
        None
    }
}

/// Whether it is a lift on two feet with a free weight above L5/S1, whose load balance alone keeps
/// over the feet.
#[must_use]
pub fn free_on_two_feet(exercise: &raw::Exercise) -> bool {
    use raw::LoadPosition::{Cable, MachineArm};
    let free = matches!(exercise.typical_load.counted, Counted::Bar | Counted::PerHand | Counted::One);
    // Kit that runs on rails or a pivot keeps its load where the rails do.
    let guided = |alternative: &Vec<String>| alternative.iter().any(|q| q == "guided-bar" || q == "landmine");
    exercise.support == raw::Support::Standing
        && exercise.laterality == raw::Laterality::Bilateral
        && free
        && !exercise.equipment.iter().all(guided)
        && !matches!(exercise.load_position, Cable | MachineArm)
        && !below_the_back(exercise)
}

/// Typical working load of the exercise in row `at`, kg in all, for this body.
///
/// # Errors
/// [`ModelError::Unknown`] for a row or anchor that does not exist.
pub fn typical_load(kb: &Kb, at: usize, body: &Body) -> Result<Kg, ModelError> {
    let exercise = kb.exercise(at).ok_or_else(|| ModelError::Unknown(format!("row {at}")))?;
    let id = exercise.typical_load.anchor.as_str();
    let anchor = kb.anchors.iter().find(|a| a.id == id).ok_or_else(|| ModelError::Unknown(format!("anchor {id}")))?;
    Ok(typical_load_from(anchor, exercise, body))
}

/// Whether a band can be the resistance.
#[must_use]
pub fn by_band(exercise: &raw::Exercise) -> bool {
    exercise.equipment.iter().flatten().any(|item| item == "bands")
}

/// The estimate at the typical working load, from the records themselves. What the classes of the
/// base are made from; joint moments are left out.
///
/// # Errors
/// As [`estimate`].
pub fn at_work<'a>(
    shared: &'a raw::Posture,
    anchor: &raw::Anchor,
    exercise: &raw::Exercise,
    body: &Body,
) -> Result<Estimated<'a>, ModelError> {
    let load = typical_load_from(anchor, exercise, body);
    made(shared, held(shared, exercise, None)?, body, load, |_| Err(String::new()))
}

/// The class that counts: the record's own where it sets one, else the computed one.
#[must_use]
pub fn class(exercise: &raw::Exercise, computed: Option<&Estimated<'_>>) -> Option<raw::SpineClass> {
    let own = exercise.spine.as_ref().map(|s| s.class);
    own.or_else(|| raw::SpineClass::ALL.get(usize::from(computed?.class().step())).copied())
}

/// As [`typical_load`], from the records themselves: anchor times share times body mass times
/// [`WORKING_SHARE`]; both hands together; nothing where the body itself is the load.
#[must_use]
pub fn typical_load_from(anchor: &raw::Anchor, exercise: &raw::Exercise, body: &Body) -> Kg {
    let in_body_masses = match body.sex() {
        Sex::Male => anchor.men_bm,
        Sex::Female => anchor.women_bm,
    };
    if in_body_masses == 0.0 && by_band(exercise) {
        return body.mass() * (BAND_PULL * WORKING_SHARE);
    }
    let hands = match exercise.typical_load.counted {
        Counted::Body => 0.0,
        // What one hand alone holds is counted as one implement.
        Counted::PerHand => 2.0,
        Counted::Bar | Counted::One | Counted::Stack | Counted::Plates | Counted::Added => 1.0,
    };
    body.mass() * (in_body_masses * exercise.typical_load.share * hands * WORKING_SHARE)
}
