//! "What does this ask of my body?": compression of the low back, joint moments, dose and sweeps.
//!
//! Leans on [`crate::kb::model`] for the estimate of an exercise and on [`crate::mechanics`] for
//! what is made of it. Leaves to others: how it looks ([`crate::cli`], [`crate::http`]). Every
//! figure is an estimate with its range; shear is told in words only, and a dose is called
//! relative spinal loading, never more than that.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::beside::{Compared, compare};
use super::swap::{SignRead, caution_texts, signs};
use super::{Basis, Engine, Error, Named, bounded, exercise, unknown};
use crate::kb::Kb;
use crate::kb::model::{self, Estimated, ModelError, WORKING_SHARE};
use crate::kb::raw::{Counted, Exercise, PostureKind, SpineClass, Urgency, words};
use crate::mechanics::anthropometry::{self, Body};
use crate::mechanics::dose::{Power, Work};
use crate::mechanics::joints::{JointMoments, Moment};
use crate::mechanics::lumbar::{
    self, CLASS_BODY_WEIGHTS, CLASS_NEWTONS, Curve, EXTREME, Part, ShearClass, ShearDirection, two_figures,
};
use crate::units::{Bound, Degree, Kg, Metre, Newton, bounds, trim};

words! {
    /// Whose column of the body tables is used.
    Sex {
        /// Female.
        Female = "female",
        /// Male.
        Male = "male",
    }
}

words! {
    /// What a sweep changes.
    SweepOver {
        /// The load.
        Load = "load",
        /// The trunk angle.
        Lean = "lean",
    }
}

words! {
    /// How a load came about.
    LoadChosen {
        /// It was given.
        Given = "given",
        /// A typical working load for the body.
        Typical = "typical",
        /// None besides the body.
        Body = "body",
    }
}

/// Forces as asked.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Request {
    /// Exercise: id, name, alias or near spelling.
    pub exercise: String,
    /// Load in all, kg: bar and plates, both hands together, or the one implement; never the body.
    /// A typical working load for the body when absent.
    pub load_kg: Option<f64>,
    /// Body mass, kg; 80 when absent.
    pub body_mass_kg: Option<f64>,
    /// Body height, m; 1.75 when absent.
    pub height_m: Option<f64>,
    /// Sex, for body tables and muscle arms; male when absent.
    pub sex: Option<Sex>,
    /// Trunk angle from vertical instead of the posture's own, degrees.
    pub lean_deg: Option<f64>,
    /// Sets, for the dose; 1 when only repetitions are given.
    pub sets: Option<u32>,
    /// Repetitions of a set, for the dose.
    pub reps: Option<u32>,
    /// How strongly heavy repetitions count in the dose: 2 (the default) or 4.
    pub dose_power: Option<u8>,
    /// Whether to tell the compression with a belt and a full breath too.
    pub belt: bool,
    /// A table over load or lean.
    pub sweep: Option<SweepAsk>,
    /// Warning signs, by id (see the terms).
    pub signs: Vec<String>,
}

/// A sweep: from one value to another in steps.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SweepAsk {
    /// What changes.
    pub over: SweepOver,
    /// First value, kg or degrees.
    pub from: f64,
    /// Last value.
    pub to: f64,
    /// Step, above 0.
    pub step: f64,
}

/// The person computed for.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Person {
    /// Body mass, kg.
    pub body_mass_kg: f64,
    /// Body height, m.
    pub height_m: f64,
    /// Sex.
    pub sex: Sex,
    /// Which of these were not given and stand at their default.
    pub assumed: Vec<&'static str>,
}

/// The load computed with.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct LoadRead {
    /// In all, kg.
    pub kg: f64,
    /// How it came about.
    pub chosen: LoadChosen,
    /// The same in words.
    pub how: String,
    /// Whether it moves the figure: not where a published value stands or the load hangs below the
    /// low back.
    pub counts: bool,
}

/// The posture computed in.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct PostureRead<'k> {
    /// Id.
    pub id: &'k str,
    /// Name shown.
    pub name: &'k str,
    /// How its load is found.
    pub kind: PostureKind,
    /// The same in a sentence.
    pub said: &'static str,
    /// Trunk angle from vertical, degrees.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub trunk_deg: Option<f64>,
    /// Included knee angle, degrees; 180 is straight.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub knee_deg: Option<f64>,
    /// Factor for speed, where it is not slow.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub speed_factor: Option<f64>,
    /// Factor for hands or head that carry part of the trunk.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub support_factor: Option<f64>,
}

/// Compression of the low back, to two significant figures.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Compression {
    /// Lower end of the range within a family of lifts, newtons.
    pub low_n: f64,
    /// Middle, newtons.
    pub mid_n: f64,
    /// Upper end, newtons.
    pub high_n: f64,
    /// Middle in body weights of this person.
    pub body_weights: f64,
    /// Whether the middle passes 10 kN.
    pub over_10_kn: bool,
    /// Middle with a belt and a full breath held, at best; no class takes notice of it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub with_belt_n: Option<f64>,
}

/// Spine class of this lift at this load for this person.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ClassRead {
    /// The higher of the two below.
    pub person: SpineClass,
    /// By newtons.
    pub by_newtons: SpineClass,
    /// By body weights.
    pub by_body_weights: SpineClass,
    /// Class of the exercise in the base, at a typical working load.
    pub catalogue: SpineClass,
    /// Where each class begins for this person.
    pub begins: Vec<ClassBegin>,
}

/// Where a class begins.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ClassBegin {
    /// Class.
    pub class: SpineClass,
    /// Compression from which it holds, newtons.
    pub from_n: f64,
}

/// What the compression is made of, before rounding.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Breakdown {
    /// The middle before rounding, newtons: the sum of the parts. More figures than it deserves.
    pub total_n: f64,
    /// Parts, the greatest first.
    pub parts: Vec<PartRead>,
}

/// One part of the compression.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct PartRead {
    /// Id.
    pub part: &'static str,
    /// What it is.
    pub means: &'static str,
    /// Its share before rounding, newtons; negative where it takes load away.
    pub newtons: f64,
    /// Its share in whole per cent; all parts together give 100.
    pub percent: i32,
}

/// Net joint moments in the side view, to two significant figures.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Joints {
    /// From the floor up; empty when none are given.
    pub moments: Vec<JointMoment>,
    /// Why none are given.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub left_out: Option<String>,
}

/// The moment at one joint.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct JointMoment {
    /// Joint.
    pub joint: &'static str,
    /// Both sides together, newton metres; the sign names the muscles that answer.
    pub total_nm: f64,
    /// One working side; absent at the spine, which has no sides.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub per_side_nm: Option<f64>,
    /// Muscles that hold.
    pub held_by: &'static str,
}

/// Shear of the low back as a class of posture; no number of it is worth showing.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ShearRead {
    /// `low`, `moderate` or `high`.
    pub class: &'static str,
    /// Which way the upper vertebra is pushed.
    pub direction: &'static str,
    /// Shape of the low back that was taken.
    pub back: &'static str,
    /// The same in a sentence.
    pub said: &'static str,
}

/// Name of the dose, exactly as it may be shown.
pub const DOSE_LABEL: &str = "relative spinal loading";

/// Relative spinal loading of sets.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct DoseRead {
    /// Name.
    pub label: &'static str,
    /// How strongly heavy repetitions count.
    pub power: u8,
    /// Sets.
    pub sets: u32,
    /// Repetitions of each.
    pub reps: u32,
    /// Of one repetition.
    pub per_rep: f64,
    /// Of one set.
    pub per_set: f64,
    /// Of all sets.
    pub all_sets: f64,
    /// What it is and is not.
    pub means: &'static str,
}

/// What a figure stands on.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct BasisRead<'k> {
    /// Figure.
    pub figure: &'static str,
    /// Source.
    pub source: &'k str,
    /// How far the source was read: seen, second-hand, memory, practice or derived.
    pub read: &'k str,
}

/// The table of a sweep.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct SweepRead {
    /// What changes.
    pub over: SweepOver,
    /// Unit of the changing value.
    pub unit: &'static str,
    /// Rows, in order.
    pub rows: Vec<SweepRow>,
}

/// One row of a sweep, compression to two significant figures.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct SweepRow {
    /// The changing value.
    pub at: f64,
    /// Lower end, newtons.
    pub low_n: f64,
    /// Middle, newtons.
    pub mid_n: f64,
    /// Upper end, newtons.
    pub high_n: f64,
    /// Middle in body weights.
    pub body_weights: f64,
    /// Class for this person.
    pub class: SpineClass,
    /// Low, middle and high before rounding, for a smooth curve.
    #[serde(skip)]
    pub curve_n: [f64; 3],
}

/// The forces of one exercise.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Forces<'k> {
    /// Exercise.
    pub exercise: Named<'k>,
    /// How its name was read.
    pub read_as: &'static str,
    /// Person.
    pub person: Person,
    /// Load.
    pub load: LoadRead,
    /// Posture.
    pub posture: PostureRead<'k>,
    /// Compression of the low back.
    pub compression: Compression,
    /// Spine class.
    pub class: ClassRead,
    /// What the compression is made of.
    pub breakdown: Breakdown,
    /// Joint moments.
    pub joints: Joints,
    /// Shear, in words.
    pub shear: ShearRead,
    /// Published measurements to compare with.
    pub compare: Vec<Compared>,
    /// Dose, when sets or repetitions were given.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub dose: Option<DoseRead>,
    /// Table over load or lean, when asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sweep: Option<SweepRead>,
    /// What the figures stand on.
    pub basis: Vec<BasisRead<'k>>,
    /// What the model leaves out.
    pub left_out: Vec<&'static str>,
}

/// The answer.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Reply<'k> {
    /// The base asked.
    pub base: Basis<'k>,
    /// What to do about reported signs; with an emergency among them, the answer ends here.
    pub signs: Vec<SignRead<'k>>,
    /// The forces; absent in an emergency.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub forces: Option<Forces<'k>>,
    /// Remarks on how the question was read.
    pub notes: Vec<String>,
    /// Cautions that apply.
    pub cautions: Vec<&'k str>,
}

impl Reply<'_> {
    /// Whether there is a figure to show.
    #[must_use]
    pub fn has_answer(&self) -> bool {
        self.forces.is_some()
    }
}

/// Body mass when none is given, kg.
pub const DEFAULT_MASS: f64 = 80.0;
/// Height when none is given, metres.
pub const DEFAULT_HEIGHT: f64 = 1.75;

/// Shown with every estimate, after the base's own.
const CAUTIONS: [&str; 2] = [
    "These are estimates from a simple model, not a clearance to lift.",
    "A low figure does not mean safe for you, and a high one does not mean harmful.",
];

/// What the model leaves out, in order of weight.
const LEFT_OUT: [&str; 9] = [
    "Trust about 30 % either way among lifts of one family, and a factor of two between families; six published tools gave different newtons for the same tasks but the same order.",
    "The posture is that of a typical lifter at the hardest instant. Yours decides more than any other input.",
    "One muscle stands for all back muscles. Its lever arm differs by a fifth between people, and the muscle force with it.",
    "Bracing by the abdominals is not counted; it adds a tenth to nearly a half.",
    "Speed enters as one factor at most; jerks and drops go beyond it.",
    "The trunk is one stiff piece, which says too much beyond some 35 degrees of lean.",
    "The view is from the side: no twist and no bend to the side.",
    "Shear cannot be had from one muscle, so it is a class of posture here and no number.",
    "How strong a spine is differs more than twentyfold between people. Crossing a class predicts nothing for one person.",
];

/// What the dose is.
const DOSE_MEANS: &str = "repetitions weighted by compression over 3400 N to a power; for comparing your own sets and weeks, and no measure of harm";

/// Answers.
///
/// # Errors
/// [`Error`] naming the value, its place in the request and the nearest valid choice.
pub fn answer<'k>(engine: &'k Engine, request: &Request) -> Result<Reply<'k>, Error> {
    let kb = engine.kb();
    bounded(&request.signs, "/signs")?;
    let signs = signs(kb, &request.signs)?;
    if signs.iter().any(|s| s.urgency == Urgency::Emergency) {
        return Ok(Reply {
            base: Basis::of(kb),
            signs: signs.into_iter().filter(|s| s.urgency == Urgency::Emergency).collect(),
            forces: None,
            notes: Vec::new(),
            cautions: Vec::new(),
        });
    }
    let mut notes = Vec::new();
    let (row, read_as) = exercise(kb, &request.exercise, "/exercise")?;
    let record = record(kb, row)?;
    let body = body(request.body_mass_kg, request.height_m, request.sex)?;
    let load = load(kb, row, record, &body, request.load_kg)?;
    let lean = request.lean_deg.map(|deg| within(bounds::TRUNK_ANGLE, deg, "/lean_deg")).transpose()?.map(Degree);
    let made = estimate(kb, row, &body, Kg(load.kg), lean, "/lean_deg")?;
    if read_as != crate::search::names::ReadAs::Name {
        notes.push(format!("{:?} was read as {}", request.exercise, Named::row(kb, row).name));
    }
    if made.kind() != PostureKind::Planar {
        notes.push(format!("the figure is {}", made.said()));
    } else if !made.load_counts && (load.kg > 0.0 || request.sweep.is_some_and(|s| s.over == SweepOver::Load)) {
        notes.push("in this posture no load rests on the low back, so the load does not enter the figure".to_string());
    }
    let sweep = request.sweep.map(|ask| sweep(kb, row, &body, &load, lean, ask)).transpose()?;
    let dose = dose(request, made.compression)?;
    if dose.is_some() && kb.table.rows.get(row).is_some_and(|r| r.holds) {
        notes.push("this exercise is held for time; each hold counts as one repetition".to_string());
    }
    let mut cautions: Vec<&str> = kb.cautions.always.iter().map(|c| c.text.as_str()).collect();
    cautions.extend(CAUTIONS);
    cautions.extend(caution_texts(kb, &record.cautions));
    let class = class(kb, row, &made, &body);
    Ok(Reply {
        base: Basis::of(kb),
        signs,
        forces: Some(Forces {
            exercise: Named::row(kb, row),
            read_as: read_as.word(),
            person: person(request, &body),
            load: LoadRead { counts: made.load_counts, ..load },
            posture: posture(&made),
            compression: compression(&made, request.belt),
            breakdown: breakdown(&made),
            joints: joints(&made),
            shear: shear(record, &made, &class),
            class,
            compare: compare(&made.posture.id, request.belt),
            dose,
            sweep,
            basis: basis(kb, record, &made, body.sex()),
            left_out: LEFT_OUT.to_vec(),
        }),
        notes,
        cautions,
    })
}

pub(super) fn record(kb: &Kb, row: usize) -> Result<&Exercise, Error> {
    kb.exercise(row).ok_or_else(|| Error::Internal(format!("record {row} is missing")))
}

pub(super) fn within(bound: Bound, value: f64, pointer: &str) -> Result<f64, Error> {
    bound.check(value).map_err(|problem| Error::Bounds { problem, pointer: pointer.to_string() })
}

/// The body of a person, by default 80 kg, 1.75 m, male.
pub(super) fn body(mass: Option<f64>, height: Option<f64>, sex: Option<Sex>) -> Result<Body, Error> {
    let mass = within(bounds::BODY_MASS, mass.unwrap_or(DEFAULT_MASS), "/body_mass_kg")?;
    let height = within(bounds::HEIGHT, height.unwrap_or(DEFAULT_HEIGHT), "/height_m")?;
    let sex = match sex {
        Some(Sex::Female) => anthropometry::Sex::Female,
        Some(Sex::Male) | None => anthropometry::Sex::Male,
    };
    Body::new(Kg(mass), Metre(height), sex).map_err(|e| Error::Internal(e.to_string()))
}

fn person(request: &Request, body: &Body) -> Person {
    let absent = [
        ("body mass", request.body_mass_kg.is_none()),
        ("height", request.height_m.is_none()),
        ("sex", request.sex.is_none()),
    ];
    Person {
        body_mass_kg: body.mass().get(),
        height_m: body.height().get(),
        sex: request.sex.unwrap_or(Sex::Male),
        assumed: absent.into_iter().filter(|(_, absent)| *absent).map(|(name, _)| name).collect(),
    }
}

/// The load given, or a typical working load to half a kilogram.
fn load(kb: &Kb, row: usize, record: &Exercise, body: &Body, given: Option<f64>) -> Result<LoadRead, Error> {
    let read = |kg, chosen, how| Ok(LoadRead { kg, chosen, how, counts: true });
    if let Some(kg) = given {
        let kg = within(bounds::LOAD, kg, "/load_kg")?;
        return read(kg, LoadChosen::Given, format!("as given{}", in_each_hand(record, kg)));
    }
    let kg = typical(kb, row, body)?;
    if kg == 0.0 {
        return read(0.0, LoadChosen::Body, "the body alone, as is usual here".to_string());
    }
    let typical = &record.typical_load;
    let share = trim((typical.share * 100.0).round());
    let best = match typical.anchor.as_str() {
        "none" => "what a band pulls at its stretched end".to_string(),
        "bm" => format!("{share} % of body mass"),
        anchor => format!("{share} % of a usual best in the {}", anchor.replace('-', " ")),
    };
    let hands = if typical.counted == Counted::PerHand { " in each hand" } else { "" };
    let how = format!(
        "typical: {} % of this lift's usual best, taken as {best}{hands}{}",
        trim(WORKING_SHARE * 100.0),
        in_each_hand(record, kg)
    );
    read(kg, LoadChosen::Typical, how)
}

fn in_each_hand(record: &Exercise, kg: f64) -> String {
    if record.typical_load.counted == Counted::PerHand {
        format!("; {} kg in each hand", trim(kg / 2.0))
    } else {
        String::new()
    }
}

/// Typical working load in all, to half a kilogram and within the bound of loads.
fn typical(kb: &Kb, row: usize, body: &Body) -> Result<f64, Error> {
    let kg = model::typical_load(kb, row, body).map_err(|e| refused(e, "/load_kg"))?.get();
    Ok(((kg * 2.0).round() / 2.0).clamp(bounds::LOAD.min, bounds::LOAD.max))
}

pub(super) fn estimate<'k>(
    kb: &'k Kb,
    row: usize,
    body: &Body,
    load: Kg,
    lean: Option<Degree>,
    pointer: &str,
) -> Result<Estimated<'k>, Error> {
    model::estimate(kb, row, body, load, lean).map_err(|e| refused(e, pointer))
}

pub(super) fn refused(error: ModelError, pointer: &str) -> Error {
    match error {
        ModelError::LeanWithoutAngle(_) => Error::Conflict {
            found: error.to_string(),
            pointer: pointer.to_string(),
            hint: "leave the lean out".to_string(),
        },
        ModelError::Mechanics(_) => Error::Conflict {
            found: error.to_string(),
            pointer: String::new(),
            hint: "change load, lean or body".to_string(),
        },
        ModelError::Unknown(_) | ModelError::Incomplete { .. } => Error::Internal(error.to_string()),
    }
}

fn posture<'k>(made: &Estimated<'k>) -> PostureRead<'k> {
    let planar = made.planar;
    let other_than_one = |factor: f64| (factor != 1.0).then_some(factor);
    PostureRead {
        id: &made.posture.id,
        name: &made.posture.name,
        kind: made.kind(),
        said: made.said(),
        trunk_deg: planar.map(|p| p.trunk().get()),
        knee_deg: planar.map(|p| p.knee().get()),
        speed_factor: planar.and_then(|p| other_than_one(p.dynamic())),
        support_factor: planar.and_then(|p| other_than_one(p.support())),
    }
}

fn compression(made: &Estimated<'_>, belt: bool) -> Compression {
    let [low_n, mid_n, high_n] = [made.low, made.compression, made.high].map(|n| two_figures(n.get()));
    let at_best = Newton(made.compression.get() * (1.0 - lumbar::BELT_RELIEF));
    Compression {
        low_n,
        mid_n,
        high_n,
        body_weights: two_figures(made.body_weights),
        over_10_kn: made.compression > EXTREME,
        with_belt_n: belt.then(|| two_figures(at_best.get())),
    }
}

/// The class of the base with the step of a class of the mechanics.
fn word(class: lumbar::SpineClass) -> SpineClass {
    SpineClass::ALL.get(usize::from(class.step())).copied().unwrap_or(SpineClass::VeryHigh)
}

fn class(kb: &Kb, row: usize, made: &Estimated<'_>, body: &Body) -> ClassRead {
    let catalogue = kb.table.rows.get(row).and_then(|r| SpineClass::ALL.get(usize::from(r.spine)));
    let weight = body.weight().get();
    let cuts = CLASS_NEWTONS.iter().zip(CLASS_BODY_WEIGHTS).map(|(newtons, times)| newtons.min(times * weight));
    ClassRead {
        person: word(made.person_class(1.0)),
        by_newtons: word(lumbar::SpineClass::by_newtons(made.compression, 1.0)),
        by_body_weights: word(made.class()),
        catalogue: catalogue.copied().unwrap_or(SpineClass::VeryHigh),
        begins: SpineClass::ALL
            .iter()
            .skip(1)
            .zip(cuts)
            .map(|(class, from)| ClassBegin { class: *class, from_n: from.round() })
            .collect(),
    }
}

fn breakdown(made: &Estimated<'_>) -> Breakdown {
    let total_n = made.compression.get();
    let mut parts: Vec<(&'static str, &'static str, f64)> = match &made.lumbar {
        Some(lumbar) => lumbar
            .parts()
            .iter()
            .map(|p| (part_id(p.part), p.part.meaning(), p.newtons.get()))
            .filter(|(_, _, newtons)| *newtons != 0.0)
            .collect(),
        None if made.kind() == PostureKind::Published => {
            vec![("published-value", "published value, scaled with body weight", total_n)]
        }
        None => vec![("carried-trunk", "value of a carried trunk, scaled with body weight", total_n)],
    };
    parts.sort_by(|a, b| b.2.abs().total_cmp(&a.2.abs()));
    let percents = whole_shares(&parts.iter().map(|p| p.2).collect::<Vec<_>>(), 100);
    Breakdown {
        // Summed anew, since the order is another.
        total_n: parts.iter().map(|p| p.2).sum(),
        parts: parts
            .into_iter()
            .zip(percents)
            .map(|((part, means, newtons), percent)| PartRead { part, means, newtons, percent })
            .collect(),
    }
}

/// Shares of `whole` as whole numbers that give `whole` together: rounded down, and the rest to
/// those that lost most. All nought where the values add up to nothing.
#[must_use]
pub fn whole_shares(values: &[f64], whole: i32) -> Vec<i32> {
    let total: f64 = values.iter().sum();
    if total.abs() < f64::EPSILON || !total.is_finite() {
        return vec![0; values.len()];
    }
    let exact: Vec<f64> = values.iter().map(|v| v / total * f64::from(whole)).collect();
    let mut shares: Vec<i32> = exact.iter().map(|v| v.floor() as i32).collect();
    let mut order: Vec<usize> = (0..values.len()).collect();
    let lost = |at: usize| exact.get(at).map_or(0.0, |v| v - v.floor());
    order.sort_by(|a, b| lost(*b).total_cmp(&lost(*a)));
    let missing = whole - shares.iter().sum::<i32>();
    for at in order.into_iter().take(usize::try_from(missing).unwrap_or(0)) {
        if let Some(share) = shares.get_mut(at) {
            *share += 1;
        }
    }
    shares
}

const fn part_id(part: Part) -> &'static str {
    match part {
        Part::MuscleUpperBody => "muscle-for-trunk",
        Part::MuscleArms => "muscle-for-arms",
        Part::MuscleLoad => "muscle-for-load",
        Part::MuscleLateral => "muscle-to-the-side",
        Part::AxialUpperBody => "weight-of-trunk",
        Part::AxialArms => "weight-of-arms",
        Part::AxialLoad => "weight-of-load",
        Part::CoContraction => "bracing",
        Part::SupportRelief => "carried-by-support",
        Part::Floor => "least-believed",
    }
}

/// Moment at an arm below which nothing is told of it, newton metres (practice).
const IDLE_ARM: f64 = 0.5;

fn joints(made: &Estimated<'_>) -> Joints {
    let moments = |m: &JointMoments| {
        let sided = |joint, moment: Moment, positive, negative| JointMoment {
            joint,
            total_nm: two_figures(moment.total.get()),
            per_side_nm: Some(two_figures(moment.per_side.get())),
            held_by: if moment.total.get() < 0.0 { negative } else { positive },
        };
        let lumbar = made.lumbar.as_ref().map_or(m.lumbar, lumbar::Estimate::moment).get();
        let arms = [
            sided("shoulder", m.shoulder, "muscles that raise the arm", "muscles that lower the arm"),
            sided("elbow", m.elbow, "elbow flexors", "elbow extensors"),
        ];
        let mut out = vec![
            sided("ankle", m.ankle, "calf muscles", "shin muscles"),
            sided("knee", m.knee, "knee extensors", "knee flexors"),
            sided("hip", m.hip, "hip extensors", "hip flexors"),
            JointMoment {
                joint: "low-back",
                total_nm: two_figures(lumbar),
                per_side_nm: None,
                held_by: if lumbar < 0.0 { "abdominal muscles" } else { "back muscles" },
            },
        ];
        // Arms that only hang say nothing of arms that steady a bar.
        out.extend(arms.into_iter().filter(|arm| arm.total_nm.abs() >= IDLE_ARM));
        out
    };
    match &made.joints {
        Ok(standing) => Joints { moments: moments(&standing.moments), left_out: None },
        Err(reason) => Joints { moments: Vec::new(), left_out: Some(reason.clone()) },
    }
}

/// Grade of low-back flexion from which the back counts as rounded to the end (practice).
const FULLY_FLEXED: u8 = 4;
/// Grade from which it counts as partly rounded (practice).
const PARTLY_FLEXED: u8 = 3;

/// Shear by the shape of the back, read from the base's grade for bending it, and by class.
fn shear(record: &Exercise, made: &Estimated<'_>, class: &ClassRead) -> ShearRead {
    let flexion = record.joints.get("low-back").and_then(|by| by.get("flexion")).copied().unwrap_or(0);
    let (curve, back) = match flexion {
        FULLY_FLEXED.. => (Curve::FullyFlexed, "rounded to the end"),
        PARTLY_FLEXED => (Curve::PartlyFlexed, "partly rounded"),
        _ => (Curve::Neutral, "natural hollow kept"),
    };
    let load = lumbar::SpineClass::ALL.into_iter().find(|c| word(*c) == class.person);
    let swing = made.posture.id == "swing";
    let shear = lumbar::shear(curve, load.unwrap_or(lumbar::SpineClass::VeryHigh), swing);
    ShearRead {
        class: match shear.class {
            ShearClass::Low => "low",
            ShearClass::Moderate => "moderate",
            ShearClass::High => "high",
        },
        direction: match shear.direction {
            ShearDirection::Forwards => "forwards",
            ShearDirection::Backwards => "backwards",
        },
        back,
        said: "a class of posture, not computed: rounding the back counts for more than the load",
    }
}

fn dose(request: &Request, compression: Newton) -> Result<Option<DoseRead>, Error> {
    let (power, shown) = match request.dose_power {
        None | Some(2) => (Power::Two, 2),
        Some(4) => (Power::Four, 4),
        Some(other) => {
            return Err(unknown("dose power", &other.to_string(), "/dose_power", ["2", "4"].into_iter()));
        }
    };
    let sets = request.sets.unwrap_or(1);
    within(bounds::SETS, f64::from(sets), "/sets")?;
    let Some(reps) = request.reps else {
        if request.sets.is_none() && request.dose_power.is_none() {
            return Ok(None);
        }
        return Err(Error::Conflict {
            found: "a dose without repetitions".to_string(),
            pointer: "/reps".to_string(),
            hint: "say how many repetitions a set has".to_string(),
        });
    };
    within(bounds::REPETITIONS, f64::from(reps), "/reps")?;
    let loading = |sets, repetitions| {
        let work = Work { sets, repetitions, compression: Newton(compression.get().max(0.0)) };
        work.loading(power).map(fourth_place).map_err(|e| Error::Internal(e.to_string()))
    };
    Ok(Some(DoseRead {
        label: DOSE_LABEL,
        power: shown,
        sets,
        reps,
        per_rep: loading(1, 1)?,
        per_set: loading(1, reps)?,
        all_sets: loading(sets, reps)?,
        means: DOSE_MEANS,
    }))
}

fn fourth_place(value: f64) -> f64 {
    (value * 1e4).round() / 1e4
}

fn sweep(
    kb: &Kb,
    row: usize,
    body: &Body,
    load: &LoadRead,
    lean: Option<Degree>,
    ask: SweepAsk,
) -> Result<SweepRead, Error> {
    let (bound, unit) = match ask.over {
        SweepOver::Load => (bounds::LOAD, "kg"),
        SweepOver::Lean => (bounds::TRUNK_ANGLE, "deg"),
    };
    let from = within(bound, ask.from, "/sweep/from")?;
    let to = within(bound, ask.to, "/sweep/to")?;
    let wrong = |found: String, pointer: &str, hint: &str| {
        Err(Error::Conflict { found, pointer: pointer.to_string(), hint: hint.to_string() })
    };
    if from > to {
        let found = format!("a sweep from {} down to {}", trim(from), trim(to));
        return wrong(found, "/sweep/to", "let it end where it begins or above");
    }
    if !ask.step.is_finite() || ask.step <= 0.0 {
        return wrong(format!("a step of {}", ask.step), "/sweep/step", "give a step above 0");
    }
    // A hair is added so that a last value that the steps meet is not lost to rounding.
    let steps = ((to - from) / ask.step + 1e-9).floor();
    within(bounds::SWEEP_STEPS, steps, "/sweep/step")?;
    let mut rows = Vec::with_capacity(steps as usize + 1);
    for step in 0..=steps as u32 {
        // What adding leaves of binary fractions is cut off.
        let at = ((from + f64::from(step) * ask.step).min(to) * 1e9).round() / 1e9;
        let made = match ask.over {
            SweepOver::Load => estimate(kb, row, body, Kg(at), lean, "/sweep/over")?,
            SweepOver::Lean => estimate(kb, row, body, Kg(load.kg), Some(Degree(at)), "/sweep/over")?,
        };
        let curve_n = [made.low, made.compression, made.high].map(Newton::get);
        let [low_n, mid_n, high_n] = curve_n.map(two_figures);
        let body_weights = two_figures(made.body_weights);
        rows.push(SweepRow { at, low_n, mid_n, high_n, body_weights, class: word(made.person_class(1.0)), curve_n });
    }
    Ok(SweepRead { over: ask.over, unit, rows })
}

fn basis<'k>(kb: &'k Kb, record: &'k Exercise, made: &Estimated<'k>, sex: anthropometry::Sex) -> Vec<BasisRead<'k>> {
    let of = |figure, id: &'k str| match kb.sources.iter().find(|s| s.id == id) {
        Some(source) => BasisRead { figure, source: &source.title, read: source.read.word() },
        None if id == "practice" => BasisRead { figure, source: "common practice, no source", read: "practice" },
        None => BasisRead { figure, source: "recalled, source not opened", read: "memory" },
    };
    let figure = match made.kind() {
        PostureKind::Planar => "posture",
        PostureKind::Published => "published value",
        PostureKind::Carried => "value of a carried trunk",
    };
    let mut out = vec![of(figure, &made.posture.basis), of("typical load", &record.typical_load.basis)];
    let planar = [
        ("segment masses", "Dempster as adapted by Winter, one table throughout", "second-hand"),
        ("segment lengths", "Drillis & Contini 1966 as drawn in Winter", "memory"),
        match sex {
            anthropometry::Sex::Male => {
                ("lever arm of the back muscles", "6.0 cm: Cholewicki, McGill & Norman 1991", "seen")
            }
            anthropometry::Sex::Female => {
                ("lever arm of the back muscles", "5.4 cm for a woman: imaging, Jorgensen and others 2001", "memory")
            }
        },
        ("tilt of the disc", "regression of Anderson, Chaffin, Herrin & Matthews 1985", "memory"),
    ];
    if made.kind() == PostureKind::Planar {
        out.extend(planar.map(|(figure, source, read)| BasisRead { figure, source, read }));
        if made.planar.is_some_and(|p| p.dynamic() > 1.0) {
            out.push(BasisRead { figure: "factor for speed", source: "recalled, source not opened", read: "memory" });
        }
    }
    out.push(BasisRead {
        figure: "class limits",
        source: "3400 N of the revised lifting equation (seen) and 6400 N of the 1981 guide (second hand); the rest worked out from them",
        read: "derived",
    });
    out.push(BasisRead {
        figure: "range",
        source: "worked out from published spreads between models",
        read: "derived",
    });
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn whole_shares_add_up() {
        for values in [&[1.0, 1.0, 1.0][..], &[5346.9, 976.9], &[700.0, -210.0, 3.3], &[0.004, 999.0]] {
            let shares = whole_shares(values, 100);
            assert_eq!(shares.iter().sum::<i32>(), 100, "{values:?}: {shares:?}");
        }
        assert_eq!(whole_shares(&[0.0, 0.0], 100), [0, 0]);
        assert_eq!(whole_shares(&[], 100), [0; 0]);
    }
}
