//! "What do I put on the bar?": from a set that is known to the first set of another lift, with
//! what the gym makes up of it.
//!
//! Leans on [`crate::load::begin`] for the arithmetic and on [`crate::gym::carry`] for the plates.
//! Leaves to others: choosing the lift ([`super::swap`]), and how it looks ([`crate::cli`],
//! [`crate::http`]). Estimates come with their range, and an emergency sign ends the answer here.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::carryover::{Lift, RatioTold, StepTold, WhyNone, basis_said, lift, refusal, step, told};
use super::forces::Sex;
use super::swap::{GymAsk, GymRead, SignRead, caution_texts, round, signs};
use super::{Basis, Engine, Error, Named, bounded, exercise, inventory};
use crate::gym::Inventory;
use crate::gym::carry::{Carried, CarryError, carried};
use crate::gym::loading::{Built, Carry};
use crate::kb::Kb;
use crate::kb::raw::{BestBy, LoadCount, MassUnit, People, Situation, Urgency, words};
use crate::load::begin::{Begin, Known, Lifter, NoBegin, NoBest, Set, Target, USUAL_MASS, begin, is_geared};
use crate::load::carryover::{Graph, count};
use crate::load::rep_max::RepMaxError;
use crate::load::start::{Sets, StartError};
use crate::units::{ExactMass, Kg, bounds, trim};

words! {
    /// Why there is no load.
    WhyNoLoad {
        /// A lift is counted in seconds.
        InSeconds = "in-seconds",
        /// A lift has no load that could be counted.
        NoLoad = "no-load",
        /// The body is the load of a lift.
        BodyIsLoad = "body-is-load",
        /// Nothing known leads from one lift to the other.
        Unlinked = "unlinked",
        /// More repetitions, reserve with them, than a best follows from.
        TooManyRepetitions = "too-many-repetitions",
        /// Nothing was lifted.
        NothingLifted = "nothing-lifted",
        /// Pain that stops the lift today.
        Pain = "pain",
        /// The gym has not the kit.
        NoKit = "no-kit",
        /// Nothing in the gym takes a counted load.
        NothingCounted = "nothing-counted",
        /// Lighter than anything the gym makes up.
        TooLight = "too-light",
        /// The body alone is more than the load.
        BodyIsMore = "body-is-more",
        /// The gym does not make up just this load.
        NotBuildable = "not-buildable",
    }
}

/// A mass as it is said.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct MassAsk {
    /// The number.
    pub load: f64,
    /// Its unit; kilograms when absent.
    pub unit: Option<MassUnit>,
}

/// A set that was done.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct SetAsk {
    /// Load as the lift is counted (bar and plates together, each hand, the stack ...); of a lift
    /// with the body what was added to it.
    pub load: f64,
    /// Unit of the load; kilograms when absent.
    pub unit: Option<MassUnit>,
    /// Repetitions.
    pub reps: u32,
    /// Repetitions that were left in reserve; none when absent.
    pub rir: Option<f64>,
}

/// A first load as asked.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Request {
    /// The lift that is known: id, name, alias or near spelling.
    pub from: String,
    /// The lift asked about; the same when absent.
    pub to: Option<String>,
    /// A set of the known lift.
    pub did: Option<SetAsk>,
    /// Repetitions of a set of the lift asked about; as many as were done, within its usual range,
    /// when absent.
    #[serde(rename = "for")]
    pub for_reps: Option<u32>,
    /// Repetitions to leave in reserve; as the situation asks when absent.
    pub target_rir: Option<f64>,
    /// A load of the lift asked about that is to be put together just so.
    pub build: Option<MassAsk>,
    /// How the lift stands to what was done lately; judged by the two lifts when absent.
    pub familiar: Option<Situation>,
    /// Weeks off from training, with `time-off`.
    pub weeks_off: Option<u32>,
    /// Pain in this lift, 0 to 10.
    pub pain: Option<f64>,
    /// Where: a gym of the base by id, or one described in full.
    pub gym: Option<GymAsk>,
    /// Further kit; alone, the whole of it.
    pub have: Vec<String>,
    /// Unit that loads are told in besides kilograms; kilograms alone when absent.
    pub unit: Option<MassUnit>,
    /// Body mass, kg; 80 when absent.
    pub body_mass_kg: Option<f64>,
    /// Sex; men's figures when absent.
    pub sex: Option<Sex>,
    /// Warning signs, by id (see the terms).
    pub signs: Vec<String>,
}

/// What one formula says.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct Formula {
    /// Formula, or the chart.
    pub by: BestBy,
    /// Best for one repetition, kg.
    pub kg: f64,
}

/// The best of the known lift.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct BestTold<'k> {
    /// Estimate, kg, in the lift's own count.
    pub kg: f64,
    /// Lower end, kg.
    pub low_kg: f64,
    /// Upper end, kg.
    pub high_kg: f64,
    /// Formula of this kind of lift.
    pub by: BestBy,
    /// What the seven formulas and the chart say.
    pub all: Vec<Formula>,
    /// Part of the body that was lifted, kg, of a lift with the body.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub body_kg: Option<f64>,
    /// The same as a share of body mass.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub body_share: Option<f64>,
    /// What that share stands on.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub body_basis: Option<&'k str>,
    /// The estimate in words.
    pub said: String,
}

/// A load that can be put together.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct BuiltTold {
    /// Load, kg, as the exercise is counted; of a lift with the body what is added.
    pub kg: f64,
    /// The load in the unit asked for.
    pub load_said: String,
    /// What goes where: on each side, in each hand, at which pin.
    pub said: String,
}

/// One factor of a first load.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct FactorTold<'k> {
    /// What it stands for.
    pub name: &'static str,
    /// Of the load to begin with.
    pub begin: f64,
    /// Of the load that most would begin with.
    pub usual: f64,
    /// In words.
    #[serde(skip_serializing_if = "str::is_empty")]
    pub means: &'k str,
    /// Source id, `memory` or `practice`; `carry-over` where the way between the lifts says it.
    pub basis: &'k str,
}

/// The first set.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct StartTold<'k> {
    /// Load to begin with, kg, as the exercise is counted, rounded down to what can be put
    /// together; of a lift with the body its share and what is added.
    pub kg: f64,
    /// The same before it was rounded.
    pub before_rounding_kg: f64,
    /// What is put together; absent for the body alone.
    pub build: Option<BuiltTold>,
    /// The next lighter that can be put together.
    pub below: Option<BuiltTold>,
    /// The next heavier.
    pub above: Option<BuiltTold>,
    /// Load that most would begin with, where it is more.
    pub usual: Option<BuiltTold>,
    /// Kit that carries it.
    pub kit: Vec<&'k str>,
    /// Whether the gym lists these weights; usual steps are assumed where it does not.
    pub listed: bool,
    /// Repetitions of a set.
    pub reps: u32,
    /// Repetitions in reserve.
    pub rir: f64,
    /// Sets, in words.
    pub sets: String,
    /// Whether it is the first of sets that grow until the reserve is reached.
    pub ramp: bool,
    /// How the lift stands to what was done lately.
    pub situation: Situation,
    /// The ratio to the known lift, as far as it was used.
    pub ratio: RatioTold,
    /// Best of this lift: typical, low and high, kg.
    pub best_kg: [f64; 3],
    /// The factors; their product with the known best is the load before it was rounded.
    pub factors: Vec<FactorTold<'k>>,
    /// The load in one line.
    pub said: String,
}

impl StartTold<'_> {
    /// Whether it is the known lift itself.
    #[must_use]
    pub fn ratio_is_one(&self) -> bool {
        self.ratio.low == 1.0 && self.ratio.high == 1.0
    }
}

/// Why there is no load.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct NoLoad {
    /// Reason.
    pub reason: WhyNoLoad,
    /// The reason in words.
    pub said: String,
    /// The nearest loads that can be put together.
    pub nearest: Vec<BuiltTold>,
}

/// A load put together, or what comes nearest to it.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct BuildTold {
    /// The load wanted, kg.
    pub wanted_kg: f64,
    /// What makes it up.
    pub build: Option<BuiltTold>,
    /// Why nothing does.
    pub none: Option<NoLoad>,
}

/// How the question was understood.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Understood<'k> {
    /// The known lift.
    pub from: Lift<'k>,
    /// The lift asked about.
    pub to: Lift<'k>,
    /// The gym.
    pub gym: GymRead,
    /// The set, in words.
    pub did: Option<String>,
    /// Body mass, kg.
    pub body_mass_kg: f64,
    /// Unit that loads are told in.
    pub unit: MassUnit,
}

/// The answer.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Reply<'k> {
    /// The base asked.
    pub base: Basis<'k>,
    /// What to do about reported signs; with an emergency among them, the answer ends here.
    pub signs: Vec<SignRead<'k>>,
    /// How the question was understood; absent in an emergency.
    pub question: Option<Understood<'k>>,
    /// Best of the known lift.
    pub best: Option<BestTold<'k>>,
    /// The first set.
    pub start: Option<StartTold<'k>>,
    /// Why there is none.
    pub none: Option<NoLoad>,
    /// The load that was to be put together just so.
    pub build: Option<BuildTold>,
    /// The way from one lift to the other.
    pub path: Vec<StepTold<'k>>,
    /// What to look at twice.
    pub warnings: Vec<String>,
    /// Remarks on how the question was read.
    pub notes: Vec<String>,
    /// Cautions.
    pub cautions: Vec<&'k str>,
}

impl Reply<'_> {
    /// Whether there is a load, or the one asked for can be put together.
    #[must_use]
    pub fn has_answer(&self) -> bool {
        match (&self.start, &self.none, &self.build) {
            (Some(_), ..) => true,
            (None, Some(_), _) => false,
            (None, None, build) => build.as_ref().is_some_and(|b| b.build.is_some()),
        }
    }
}

/// Answers.
///
/// # Errors
/// [`Error`] naming the value, its place in the request and the nearest valid choice.
pub fn answer<'k>(engine: &'k Engine, request: &Request) -> Result<Reply<'k>, Error> {
    let kb = engine.kb();
    bounded(&request.signs, "/signs")?;
    let signs = signs(kb, &request.signs)?;
    let mut reply = Reply {
        base: Basis::of(kb),
        signs,
        question: None,
        best: None,
        start: None,
        none: None,
        build: None,
        path: Vec::new(),
        warnings: Vec::new(),
        notes: Vec::new(),
        cautions: Vec::new(),
    };
    if reply.signs.iter().any(|s| s.urgency == Urgency::Emergency) {
        reply.signs.retain(|s| s.urgency == Urgency::Emergency);
        return Ok(reply);
    }
    let (from, from_read) = exercise(kb, &request.from, "/from")?;
    let (to, to_read) = match &request.to {
        Some(name) => exercise(kb, name, "/to")?,
        None => (from, from_read),
    };
    let inventory = inventory(kb, request.gym.as_ref(), &request.have)?;
    let lifter = lifter(request.body_mass_kg, request.sex)?;
    let unit = request.unit.or(request.did.and_then(|d| d.unit)).unwrap_or(MassUnit::Kg);
    if request.did.is_none() && request.build.is_none() {
        return Err(Error::Shape {
            found: "neither a set that was done nor a load to build".to_string(),
            pointer: "/did".to_string(),
            hint: "say a set such as 100kgx5, or a load to build".to_string(),
        });
    }
    reply.cautions = kb.cautions.always.iter().map(|c| c.text.as_str()).collect();
    if let Some(record) = kb.exercise(to) {
        reply.cautions.extend(caution_texts(kb, &record.cautions));
    }
    reply.build = request.build.map(|b| build(kb, &inventory, to, b, unit)).transpose()?;
    if let Some(did) = &request.did {
        let target = Target {
            repetitions: target_reps(kb, to, did, request.for_reps, "/for")?,
            reserve: request.target_rir.map(|r| within(bounds::RESERVE, r, "/target_rir")).transpose()?,
            situation: request.familiar,
            weeks_off: weeks(request)?,
            pain: request.pain.map(|p| within(bounds::PAIN, p, "/pain")).transpose()?,
        };
        let graph = Graph::new(kb);
        match known(&graph, from, did, lifter)? {
            Err(none) => reply.none = Some(none),
            Ok(known) => {
                reply.warnings = warnings(kb, &known, request.body_mass_kg.is_none(), unit);
                match begun(&graph, &known, to, &target, &inventory, unit)? {
                    Ok((start, begin)) => {
                        reply.warnings.extend(beyond(kb, &begin, unit));
                        reply.path = begin.ratio.steps.iter().map(|s| step(kb, s)).collect();
                        reply.notes.extend(remarks(kb, from, &begin, &inventory));
                        reply.start = Some(start);
                    }
                    Err(none) => reply.none = Some(none),
                }
                reply.best = Some(best(&known, unit));
            }
        }
        if body_counts(kb, from, to) && request.body_mass_kg.is_none() {
            reply.notes.push(format!("no body mass was given, so {} kg was taken", trim(USUAL_MASS.get())));
        }
    }
    if inventory.assumed {
        reply.notes.push("no kit was named, so usual bars and steps of weight were taken".to_string());
    }
    reply.question = Some(Understood {
        from: lift(kb, from, from_read.word()),
        to: lift(kb, to, to_read.word()),
        gym: GymRead { id: inventory.id.clone(), name: inventory.name.clone(), assumed: inventory.assumed },
        did: request.did.map(|d| did_said(&d)),
        body_mass_kg: lifter.mass.get(),
        unit,
    });
    Ok(reply)
}

/// The person, bounded.
pub(super) fn lifter(body_mass_kg: Option<f64>, sex: Option<Sex>) -> Result<Lifter, Error> {
    let mass = body_mass_kg.map(|m| within(bounds::BODY_MASS, m, "/body_mass_kg")).transpose()?;
    let people = sex.map(|s| match s {
        Sex::Female => People::Women,
        Sex::Male => People::Men,
    });
    Ok(Lifter { mass: mass.map_or(USUAL_MASS, Kg), people })
}

fn within(bound: crate::units::Bound, value: f64, pointer: &str) -> Result<f64, Error> {
    bound.check(value).map_err(|problem| Error::Bounds { problem, pointer: pointer.to_string() })
}

fn weeks(request: &Request) -> Result<u8, Error> {
    let weeks = within(bounds::WEEKS_OFF, f64::from(request.weeks_off.unwrap_or(0)), "/weeks_off")?;
    match (request.familiar, request.weeks_off) {
        (Some(Situation::TimeOff), None) => Err(Error::Conflict {
            found: "time off without its weeks".to_string(),
            pointer: "/weeks_off".to_string(),
            hint: "say how many weeks".to_string(),
        }),
        (Some(Situation::TimeOff), Some(_)) | (_, None) => Ok(weeks as u8),
        (_, Some(_)) => Err(Error::Conflict {
            found: "weeks off without time off".to_string(),
            pointer: "/weeks_off".to_string(),
            hint: "say that the lift comes after time off, or leave the weeks out".to_string(),
        }),
    }
}

/// Repetitions of the other lift: as said, else as done, within its usable range where it has one
/// in repetitions.
pub(super) fn target_reps(kb: &Kb, to: usize, did: &SetAsk, said: Option<u32>, pointer: &str) -> Result<f64, Error> {
    if let Some(reps) = said {
        return within(bounds::REPETITIONS, f64::from(reps), pointer);
    }
    let done = f64::from(did.reps);
    let range = kb.table.rows.get(to).filter(|r| !r.holds && r.reps_low <= r.reps_high);
    Ok(range.map_or(done, |r| done.clamp(f64::from(r.reps_low), f64::from(r.reps_high))))
}

/// A load in a unit, to half a kilogram or a whole pound: as much as an estimate deserves.
#[must_use]
pub fn about(kg: f64, unit: MassUnit) -> String {
    match unit {
        MassUnit::Kg => format!("{} kg", trim((kg * 2.0).round() / 2.0)),
        MassUnit::Lb => format!("{} lb", trim(Kg(kg).pounds().round())),
    }
}

/// A load in a unit, as it is.
fn exactly(kg: Kg, unit: MassUnit) -> String {
    match unit {
        MassUnit::Kg => format!("{} kg", trim(kg.get())),
        MassUnit::Lb => format!("{} lb", trim(kg.pounds())),
    }
}

fn mass(ask: MassAsk) -> Kg {
    match ask.unit {
        Some(MassUnit::Lb) => Kg::from_pounds(ask.load),
        Some(MassUnit::Kg) | None => Kg(ask.load),
    }
}

fn did_said(did: &SetAsk) -> String {
    let unit = did.unit.unwrap_or(MassUnit::Kg);
    let reserve = did.rir.filter(|r| *r > 0.0).map_or(String::new(), |r| format!(" with {} in reserve", trim(r)));
    let load = if did.load == 0.0 { "nothing added".to_string() } else { format!("{} {unit}", trim(did.load)) };
    format!("{load} for {}{reserve}", did.reps)
}

/// The known lift, or why no best follows from the set.
pub(super) fn known<'k>(
    graph: &Graph<'k>,
    row: usize,
    did: &SetAsk,
    lifter: Lifter,
) -> Result<Result<Known<'k>, NoLoad>, Error> {
    let load = mass(MassAsk { load: did.load, unit: did.unit });
    within(bounds::LOAD, load.get(), "/did/load")?;
    let repetitions = within(bounds::REPETITIONS, f64::from(did.reps), "/did/reps")?;
    let reserve = within(bounds::RESERVE, did.rir.unwrap_or(0.0), "/did/rir")?;
    let refused = |reason, said| Ok(Err(NoLoad { reason, said, nearest: Vec::new() }));
    match Known::new(graph, row, Set { load, repetitions, reserve }, lifter) {
        Ok(known) => Ok(Ok(known)),
        Err(NoBest::Lift(reason)) => ratio_refusal(graph.kb(), (row, row), reason).map(Err),
        Err(NoBest::RepMax(RepMaxError::Load(problem))) => {
            Err(Error::Bounds { problem, pointer: "/did/load".to_string() })
        }
        Err(e @ NoBest::RepMax(_)) => {
            refused(WhyNoLoad::TooManyRepetitions, format!("{e}; do a heavier set, it says more"))
        }
        Err(e @ NoBest::Nothing) => refused(WhyNoLoad::NothingLifted, e.to_string()),
    }
}

fn ratio_refusal(kb: &Kb, lifts: (usize, usize), reason: crate::load::carryover::NoRatio) -> Result<NoLoad, Error> {
    let none = refusal(kb, lifts, reason)?;
    let reason = match none.reason {
        WhyNone::InSeconds => WhyNoLoad::InSeconds,
        WhyNone::NoLoad => WhyNoLoad::NoLoad,
        WhyNone::BodyIsLoad => WhyNoLoad::BodyIsLoad,
        WhyNone::Unlinked => WhyNoLoad::Unlinked,
    };
    Ok(NoLoad { reason, said: none.said, nearest: Vec::new() })
}

/// The first set as it is told, with what it was told from; or why there is none.
pub(super) fn begun<'k>(
    graph: &Graph<'k>,
    known: &Known<'k>,
    to: usize,
    target: &Target,
    inventory: &Inventory,
    unit: MassUnit,
) -> Result<Result<(StartTold<'k>, Begin<'k>), NoLoad>, Error> {
    let kb = graph.kb();
    let name = Named::row(kb, to).name;
    let none = |reason, said: String| Ok(Err(NoLoad { reason, said, nearest: Vec::new() }));
    match begin(graph, known, to, target, inventory, unit) {
        Ok(begin) => Ok(Ok((start(kb, &begin, unit), begin))),
        Err(NoBegin::Ratio(reason)) => ratio_refusal(kb, (known.row, to), reason).map(Err),
        Err(NoBegin::Start(StartError::RepMax(RepMaxError::Load(problem)) | StartError::Bounds(problem))) => {
            Err(Error::Bounds { problem, pointer: String::new() })
        }
        Err(NoBegin::Start(e @ StartError::RepMax(_))) => none(WhyNoLoad::TooManyRepetitions, e.to_string()),
        Err(NoBegin::Start(e @ StartError::Stop { .. })) => none(WhyNoLoad::Pain, e.to_string()),
        Err(NoBegin::Start(e @ StartError::TooSoon { .. })) => Err(Error::Conflict {
            found: e.to_string(),
            pointer: "/weeks_off".to_string(),
            hint: "leave the weeks out".to_string(),
        }),
        Err(NoBegin::Start(e @ StartError::NoSuchSituation { .. })) => Err(Error::Internal(e.to_string())),
        Err(NoBegin::Carry(e)) => Ok(Err(carry_refusal(name, count(kb, to), e, unit))),
        Err(NoBegin::BodyIsMore { wanted, body }) => {
            let easier = kb.exercise(to).map(|e| e.easier.as_slice()).unwrap_or_default();
            let names: Vec<&str> =
                easier.iter().filter_map(|id| kb.row_of(id)).map(|r| Named::row(kb, r).name).collect();
            let way_out = if names.is_empty() { String::new() } else { format!("; easier: {}", names.join(", ")) };
            none(
                WhyNoLoad::BodyIsMore,
                format!(
                    "the body alone is about {} in {name}, more than the {} to begin with{way_out}",
                    about(body.get(), unit),
                    about(wanted.get(), unit)
                ),
            )
        }
    }
}

/// A load of the known lift itself as it can be put together: kg in all, what is put together, and
/// both in words.
pub(super) fn share_of(
    kb: &Kb,
    known: &Known<'_>,
    wanted: Kg,
    inventory: &Inventory,
    unit: MassUnit,
) -> Result<(f64, Option<BuiltTold>, String), NoLoad> {
    let name = Named::row(kb, known.row).name;
    let body = known.body.map_or(Kg(0.0), |b| b.mass);
    if known.body.is_some() && wanted < body {
        let said = format!(
            "the body alone is about {} in {name}, more than {}: take weight off with a band, or an easier form",
            about(body.get(), unit),
            about(wanted.get(), unit)
        );
        return Err(NoLoad { reason: WhyNoLoad::BodyIsMore, said, nearest: Vec::new() });
    }
    match carried(kb, inventory, known.row, wanted - body, unit) {
        Ok(c) => {
            let built = carried_told(kb, &c, c.load, &c.built, unit);
            let said = built.load_said.clone();
            Ok((round((c.load + body).get(), 4), Some(built), said))
        }
        Err(e @ CarryError::NoKit) => Err(carry_refusal(name, count(kb, known.row), e, unit)),
        Err(_) if known.body.is_some() => Ok((round(body.get(), 4), None, "the body alone".to_string())),
        Err(e) => Err(carry_refusal(name, count(kb, known.row), e, unit)),
    }
}

fn carry_refusal(name: &str, counted: LoadCount, e: CarryError, unit: MassUnit) -> NoLoad {
    match e {
        CarryError::NoKit => NoLoad {
            reason: WhyNoLoad::NoKit,
            said: format!("this gym has not the kit or the ceiling for {name}"),
            nearest: Vec::new(),
        },
        CarryError::NothingCounted => NoLoad {
            reason: WhyNoLoad::NothingCounted,
            said: format!("nothing in this gym takes a counted load for {name}"),
            nearest: Vec::new(),
        },
        CarryError::TooLight { wanted, load, built } => NoLoad {
            reason: WhyNoLoad::TooLight,
            said: format!(
                "{} is less than the least that can be put together here, {}{}",
                about(wanted.get(), unit),
                exactly(load, unit),
                counted_tail(counted)
            ),
            nearest: vec![built_told(load, &built, unit)],
        },
    }
}

fn counted_tail(counted: LoadCount) -> &'static str {
    match counted {
        LoadCount::PerHand => " in each hand",
        LoadCount::Bar | LoadCount::Pair | LoadCount::One | LoadCount::Stack => "",
        LoadCount::Plates => " of plates",
        LoadCount::Added | LoadCount::BodyAndAdded => " added",
    }
}

fn built_told(load: Kg, built: &Built, unit: MassUnit) -> BuiltTold {
    BuiltTold { kg: round(load.get(), 4), load_said: exactly(load, unit), said: built.to_string() }
}

/// What is put together, as it is carried: in each hand, at the pin, on each side.
fn carried_told(kb: &Kb, carried: &Carried<'_>, load: Kg, built: &Built, unit: MassUnit) -> BuiltTold {
    let plain = built.to_string();
    let said = match carried.way.carry {
        _ if !carried.listed && !matches!(carried.way.carry, Some(Carry::Stack(_))) => match carried.way.carry {
            Some(Carry::DumbbellEachHand | Carry::KettlebellEachHand | Carry::PlateEachHand) => {
                format!("{plain} in each hand")
            }
            _ => format!("{plain} in all"),
        },
        Some(Carry::DumbbellEachHand) => format!("two dumbbells of {plain}"),
        Some(Carry::Dumbbell) => format!("one dumbbell of {plain}"),
        Some(Carry::KettlebellEachHand) => format!("two kettlebells of {plain}"),
        Some(Carry::Kettlebell) => format!("one kettlebell of {plain}"),
        Some(Carry::Plate) => format!("one plate of {plain}"),
        Some(Carry::PlateEachHand) => format!("two plates of {plain}"),
        Some(Carry::Stack(item)) => {
            let name = kb.equipment.iter().find(|q| q.id == item).map_or(item, |q| q.name.as_str());
            format!("{}, pin at {plain}", name.to_lowercase())
        }
        Some(Carry::Plates) => format!("plates {plain}"),
        Some(Carry::Bar(_) | Carry::PlatesBothSides) | None => plain,
    };
    BuiltTold { said, ..built_told(load, built, unit) }
}

fn start<'k>(kb: &'k Kb, b: &Begin<'k>, unit: MassUnit) -> StartTold<'k> {
    let counted = count(kb, b.row);
    let of = |c: &Carried<'k>, pair: &(Kg, Built)| carried_told(kb, c, pair.0, &pair.1, unit);
    let build = b.carried.as_ref().map(|c| carried_told(kb, c, c.load, &c.built, unit));
    let reps = trim(b.repetitions);
    let sets = match b.sets {
        Sets::AsProgrammed => "as programmed".to_string(),
        Sets::Between(low, high) if low == high => format!("{low}"),
        Sets::Between(low, high) => format!("{low} to {high}"),
        Sets::Share(share) => format!("{} % of the programmed ones", trim(share * 100.0)),
    };
    let load_said = match &build {
        Some(built) => format!("{}{}", built.load_said, counted_tail(counted)),
        None => "the body alone".to_string(),
    };
    StartTold {
        kg: round(b.load().get(), 4),
        before_rounding_kg: round(b.wanted.get(), 2),
        said: format!("{load_said} for {reps}, {} in reserve", trim(b.reserve)),
        build,
        below: b.carried.as_ref().and_then(|c| c.lighter.as_ref().map(|p| of(c, p))),
        above: b.carried.as_ref().and_then(|c| c.heavier.as_ref().map(|p| of(c, p))),
        usual: b.carried_usual.as_ref().map(|c| carried_told(kb, c, c.load, &c.built, unit)),
        kit: b
            .carried
            .as_ref()
            .map_or_else(Vec::new, |c| kb.kit_names(c.way.alternative).map(|q| q.id.as_str()).collect()),
        listed: b.carried.as_ref().is_none_or(|c| c.listed),
        reps: b.repetitions as u32,
        rir: b.reserve,
        sets,
        ramp: b.ramp,
        situation: b.situation,
        ratio: RatioTold { typical: round(b.range.typical, 3), women: None, ..told(&b.ratio) },
        best_kg: [b.best.typical, b.best.low, b.best.high].map(|kg| round(kg, 1)),
        factors: b
            .factors
            .iter()
            .map(|f| FactorTold {
                name: f.name,
                begin: round(f.cautious, 4),
                usual: round(f.usual, 4),
                means: f.means,
                basis: f.basis,
            })
            .collect(),
    }
}

fn best<'k>(known: &Known<'k>, unit: MassUnit) -> BestTold<'k> {
    let b = &known.best;
    let (least, most) =
        known.all.iter().fold((f64::INFINITY, 0.0f64), |(low, high), (_, kg)| (low.min(kg.get()), high.max(kg.get())));
    let said = if b.low == b.high {
        format!("{}, one repetition and no estimate", about(b.best.get(), unit))
    } else {
        format!(
            "about {} ({} to {}), by {}; the seven formulas and the chart say {} to {}",
            about(b.best.get(), unit),
            about(b.low.get(), unit),
            about(b.high.get(), unit),
            b.by,
            about(least, unit),
            about(most, unit)
        )
    };
    BestTold {
        kg: round(b.best.get(), 2),
        low_kg: round(b.low.get(), 2),
        high_kg: round(b.high.get(), 2),
        by: b.by,
        all: known.all.iter().map(|(by, kg)| Formula { by: *by, kg: round(kg.get(), 2) }).collect(),
        body_kg: known.body.map(|b| round(b.mass.get(), 2)),
        body_share: known.body.map(|b| b.share),
        body_basis: known.body.map(|b| b.basis),
        said,
    }
}

/// What to look at twice in the set that was told.
pub(super) fn warnings(kb: &Kb, known: &Known<'_>, mass_assumed: bool, unit: MassUnit) -> Vec<String> {
    let mut out = Vec::new();
    if known.best.loose {
        out.push(format!("more than {} repetitions, reserve with them: the estimate is loose", kb.loads.warn_above));
    }
    if known.set.reserve > 4.0 {
        out.push("so many repetitions in reserve are hard to judge: two or more off is usual".to_string());
    }
    if let Some((most, basis)) = known.above_ceiling(kb) {
        let assumed = if mass_assumed { " (body mass assumed)" } else { "" };
        out.push(format!(
            "check the number: {} for one is more than {}, which nine of ten strong competitors of {} do not \
             pass{assumed}; {}",
            about(known.best.best.get(), unit),
            about(most.get(), unit),
            exactly(known.lifter.mass, unit),
            basis_said(kb, basis)
        ));
    }
    out
}

/// What to look at twice in the load that was found.
fn beyond(kb: &Kb, begin: &Begin<'_>, unit: MassUnit) -> Vec<String> {
    let mut out = Vec::new();
    if let Some(c) = begin.carried.as_ref().filter(|c| c.topped) {
        out.push(format!(
            "{} is the heaviest here; {} was worked out, so make it up with repetitions or a slower pace",
            exactly(c.load, unit),
            about((begin.wanted - begin.body.map_or(Kg(0.0), |b| b.mass)).get(), unit)
        ));
    }
    if is_geared(kb, begin.row) && begin.ramp {
        out.push(
            "pulleys, levers and sleds differ: this is the first set of a ramp; add weight set by set until the \
             reserve is reached, and keep that number for this machine"
                .to_string(),
        );
    }
    if let (None, Some(body)) = (&begin.carried, begin.body) {
        let more = begin.wanted - body.mass;
        let harder = kb.exercise(begin.row).map(|e| e.harder.as_slice()).unwrap_or_default();
        let names: Vec<&str> = harder.iter().filter_map(|id| kb.row_of(id)).map(|r| Named::row(kb, r).name).collect();
        if more > Kg(2.5) {
            let to = if names.is_empty() { String::new() } else { format!("; harder: {}", names.join(", ")) };
            out.push(format!(
                "the body alone is about {} less than was worked out: leave more in reserve{to}",
                about(more.get(), unit)
            ));
        }
    }
    out
}

fn remarks(kb: &Kb, from: usize, begin: &Begin<'_>, inventory: &Inventory) -> Vec<String> {
    let mut out = Vec::new();
    if !begin.said && begin.row != from {
        let means = kb.loads.situations.iter().find(|s| s.situation == begin.situation).map_or("", |s| &s.means);
        out.push(format!("taken as {}: {means}; say it if it is otherwise", begin.situation));
    }
    if let Some(c) = begin.carried.as_ref().filter(|c| !c.listed && !inventory.assumed) {
        let kit: Vec<&str> = kb.kit_names(c.way.alternative).map(|q| q.name.as_str()).collect();
        out.push(format!("this gym lists no steps for {}, so usual ones were taken", kit.join(", ").to_lowercase()));
    }
    if begin.carried.as_ref().is_some_and(|c| c.way.factor != 1.0) {
        out.push("the load is counted as on a bar, and each hand holds half of it here".to_string());
    }
    if begin.row != from {
        out.push("single lifters stand 15 to 20 % off a typical ratio: let the first set decide".to_string());
    }
    out
}

fn body_counts(kb: &Kb, from: usize, to: usize) -> bool {
    [from, to].iter().any(|row| count(kb, *row) == LoadCount::BodyAndAdded)
}

/// Just this load, or the nearest ones.
fn build(kb: &Kb, inventory: &Inventory, to: usize, ask: MassAsk, unit: MassUnit) -> Result<BuildTold, Error> {
    let wanted = Kg(within(bounds::LOAD, mass(ask).get(), "/build/load")?);
    let name = Named::row(kb, to).name;
    let wanted_kg = round(wanted.get(), 4);
    let (build, none) = match carried(kb, inventory, to, wanted, unit) {
        Ok(c) if ExactMass::from_kg(c.load.get()) == ExactMass::from_kg(wanted.get()) => {
            (Some(carried_told(kb, &c, c.load, &c.built, unit)), None)
        }
        Ok(c) => {
            let mut nearest = vec![carried_told(kb, &c, c.load, &c.built, unit)];
            nearest.extend(c.heavier.as_ref().map(|(load, built)| carried_told(kb, &c, *load, built, unit)));
            let told: Vec<&str> = nearest.iter().map(|n| n.load_said.as_str()).collect();
            let said = format!("{} cannot be put together; nearest {}", exactly(wanted, unit), told.join(" or "));
            (None, Some(NoLoad { reason: WhyNoLoad::NotBuildable, said, nearest }))
        }
        Err(e) => (None, Some(carry_refusal(name, count(kb, to), e, unit))),
    };
    Ok(BuildTold { wanted_kg, build, none })
}
