//! "What instead, that it does not go stale?": variations of a lift, or of a whole week, that still
//! carry over, and a plan that takes turns among them.
//!
//! Leans on [`crate::week::vary`] for the choice and the plan, and on [`super::load`] for first
//! loads. Leaves to others: the plan of a week told ([`super::week::vary`]), and how it looks
//! ([`crate::cli`], [`crate::http`]). An emergency sign ends the answer here.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::carryover::{RatioTold, told};
use super::forces::{Sex, body};
use super::load::{self, NoLoad, SetAsk, StartTold};
use super::swap::{
    GymAsk, GymRead, SignRead, SoreAsk, SoreRead, caution_texts, cautions, kit_here, percent, signs, sores,
};
use super::week::vary::{WeekPlan, planned};
use super::week::{Read, RowAsk, asked};
use super::{Basis, Engine, Error, Named, bounded, exercise, inventory};
use crate::gym::Inventory;
use crate::kb::Kb;
use crate::kb::raw::{MassUnit, SpineClass, Urgency, words};
use crate::load::begin::Target;
use crate::load::carryover::Graph;
use crate::rank::Sore;
use crate::rank::gates::joint_grade;
use crate::units::bounds;
use crate::week::vary::whole::{self, Plan};
use crate::week::vary::{Emphasis, LEAST_WEEKS_MAIN, Slot, Variation, Wanted, is_main, rotation, variations};

words! {
    /// How a variation differs from the lift.
    Differs {
        /// Hardest at another muscle length.
        Length = "muscle-length",
        /// The load sits elsewhere.
        Position = "load-position",
        /// One side at a time, or both.
        Sides = "sides",
        /// Another bar or implement.
        Implement = "implement",
        /// A narrower, wider or turned grip.
        Grip = "grip",
        /// A wider, narrower or split stance.
        Stance = "stance",
        /// A pause or a slow pace.
        Tempo = "tempo",
        /// A longer or shorter range.
        Range = "range",
        /// Another angle of the body.
        Angle = "angle",
    }
}

/// Variations as asked: of one exercise, or of a week as rows or csv.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Request {
    /// The lift to vary: id, name, alias or near spelling.
    pub exercise: String,
    /// A week to vary as a whole, as rows, in place of an exercise.
    pub rows: Vec<RowAsk>,
    /// The same as the text of a CSV file, in place of an exercise and of rows.
    pub csv: Option<String>,
    /// How many weeks the plan has, 1 to 52; 12 when absent.
    pub weeks: Option<u32>,
    /// After how many weeks it changes, 1 to 16; 4 when absent, for a week 3, and never less than 4
    /// for a main lift.
    pub every: Option<u32>,
    /// What is sore; no variation loads it more than the lift does.
    pub sore: Vec<SoreAsk>,
    /// Where: a gym of the base by id, or one described in full.
    pub gym: Option<GymAsk>,
    /// Further kit; alone, the whole of it.
    pub have: Vec<String>,
    /// Exercises not wanted.
    pub skip: Vec<String>,
    /// How many variations, 1 to 50; 6 when absent.
    pub top: Option<usize>,
    /// A set of the lift; with it each variation that can be compared tells a first load. The rows
    /// of a week tell their own.
    pub did: Option<SetAsk>,
    /// Body mass, kg; 80 when absent.
    pub body_mass_kg: Option<f64>,
    /// Sex; men's figures when absent.
    pub sex: Option<Sex>,
    /// Warning signs, by id (see the terms).
    pub signs: Vec<String>,
}

/// How the question was understood.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Understood<'k> {
    /// The lift to vary; absent for a week.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub exercise: Option<Named<'k>>,
    /// How its name was read; absent for a week.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub read_as: Option<&'static str>,
    /// Whether it is a main lift, kept four weeks at least; absent for a week, whose rows say so.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub main: Option<bool>,
    /// Weeks of the plan.
    pub weeks: u32,
    /// Weeks of a block.
    pub every: u32,
    /// Sore regions.
    pub sore: Vec<SoreRead<'k>>,
    /// The gym.
    pub gym: GymRead,
}

/// One variation.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct VariationTold<'k> {
    /// The exercise.
    #[serde(flatten)]
    pub exercise: Named<'k>,
    /// How it differs from the lift, the plainest first.
    pub differs: Vec<Differs>,
    /// Per cent of the lift's muscle work kept.
    pub keeps_percent: u8,
    /// How much of the lift it is; absent where nothing is known.
    pub ratio: Option<RatioTold>,
    /// Steps between the two over variations and given pairs.
    pub distance: Option<u8>,
    /// Spine class.
    pub spine: SpineClass,
    /// Repetitions or seconds it is usable in.
    pub sets_of: String,
    /// Kit that it takes here.
    pub kit: Vec<&'k str>,
    /// First load, when a set was given and the two can be compared.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub start: Option<StartTold<'k>>,
    /// Why there is none though a set was given.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub no_start: Option<NoLoad>,
    /// Cautions of this exercise.
    pub cautions: Vec<&'k str>,
}

/// A stretch of weeks.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct BlockTold<'k> {
    /// First week, from 1.
    pub from_week: u32,
    /// Last week.
    pub to_week: u32,
    /// What is done.
    pub exercise: Named<'k>,
    /// Whether it is the lift itself again.
    pub original: bool,
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
    /// Variations, best first; those of a week stand by row.
    pub variations: Vec<VariationTold<'k>>,
    /// The plan; that of a week stands by row.
    pub plan: Vec<BlockTold<'k>>,
    /// The week with its plan, where one was asked about.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub week: Option<WeekPlan<'k>>,
    /// Remarks.
    pub notes: Vec<String>,
    /// Cautions.
    pub cautions: Vec<&'k str>,
}

impl Reply<'_> {
    /// Whether there is something to vary.
    #[must_use]
    pub fn has_answer(&self) -> bool {
        !self.variations.is_empty() || self.week.as_ref().is_some_and(|w| w.rows.iter().any(|r| r.plan.len() > 1))
    }
}

/// Variations told when no number is given.
const DEFAULT_TOP: usize = 6;
/// Weeks of a plan when no number is given.
const DEFAULT_WEEKS: u32 = 12;
/// Weeks of a block of a whole week when no number is given. Main lifts are kept longer, and where
/// there are many rows all are.
const DEFAULT_EVERY_OF_WEEK: u32 = 3;

/// Answers.
///
/// # Errors
/// [`Error`] naming the value, its place in the request and the nearest valid choice;
/// [`Error::Conflict`] unless one of exercise, rows and csv is given; [`Error::Cells`] with every
/// cell of the week that is wrong.
pub fn answer<'k>(engine: &'k Engine, request: &Request) -> Result<Reply<'k>, Error> {
    let kb = engine.kb();
    if let Some(emergency) = emergency(kb, &request.signs)? {
        return Ok(emergency);
    }
    match subject(request)? {
        Subject::Lift => of_lift(kb, request),
        Subject::Week => {
            let read = asked(kb, &request.rows, request.csv.as_deref())?;
            of_week(engine, &read, request).map(|(reply, _)| reply)
        }
    }
}

/// What is to be varied.
enum Subject {
    Lift,
    Week,
}

/// Which of the three is given; one must be, and no more.
fn subject(request: &Request) -> Result<Subject, Error> {
    let given = [
        ("exercise", !request.exercise.trim().is_empty()),
        ("rows", !request.rows.is_empty()),
        ("csv", request.csv.is_some()),
    ];
    let named: Vec<&str> = given.into_iter().filter(|(_, is)| *is).map(|(name, _)| name).collect();
    let (found, place) = match named.as_slice() {
        ["exercise"] => return Ok(Subject::Lift),
        [_] => return Ok(Subject::Week),
        [] => ("none of exercise, rows and csv".to_string(), "exercise"),
        [.., last] => (format!("{} at once", named.join(" and ")), *last),
    };
    let hint = "give one: an exercise, or a week as rows or as csv".to_string();
    Err(Error::Conflict { found, pointer: format!("/{place}"), hint })
}

/// The answer that ends with what to do, where a sign of an emergency is named.
fn emergency<'k>(kb: &'k Kb, given: &[String]) -> Result<Option<Reply<'k>>, Error> {
    bounded(given, "/signs")?;
    let mut signs = signs(kb, given)?;
    signs.retain(|s| s.urgency == Urgency::Emergency);
    Ok((!signs.is_empty()).then(|| Reply { signs, ..bare(kb) }))
}

fn bare(kb: &Kb) -> Reply<'_> {
    Reply {
        base: Basis::of(kb),
        signs: Vec::new(),
        question: None,
        variations: Vec::new(),
        plan: Vec::new(),
        week: None,
        notes: Vec::new(),
        cautions: Vec::new(),
    }
}

/// What both kinds of question say, read.
struct Said {
    sore: Vec<Sore>,
    inventory: Inventory,
    skip: Vec<usize>,
    top: usize,
    weeks: u32,
    every: Option<u32>,
}

impl Said {
    fn read(kb: &Kb, request: &Request, notes: &mut Vec<String>) -> Result<Self, Error> {
        bounded(&request.sore, "/sore")?;
        bounded(&request.skip, "/skip")?;
        let sore = sores(kb, &request.sore, notes)?;
        let inventory = inventory(kb, request.gym.as_ref(), &request.have)?;
        let mut skip = Vec::with_capacity(request.skip.len());
        for (i, name) in request.skip.iter().enumerate() {
            skip.push(exercise(kb, name, &format!("/skip/{i}"))?.0);
        }
        let within = |bound: crate::units::Bound, value: f64, pointer: &str| {
            bound.check(value).map_err(|problem| Error::Bounds { problem, pointer: pointer.to_string() })
        };
        let top = request.top.unwrap_or(DEFAULT_TOP);
        within(bounds::ANSWERS, top as f64, "/top")?;
        let weeks = request.weeks.unwrap_or(DEFAULT_WEEKS);
        within(bounds::PLAN_WEEKS, f64::from(weeks), "/weeks")?;
        if let Some(every) = request.every {
            within(bounds::BLOCK_WEEKS, f64::from(every), "/every")?;
        }
        Ok(Self { sore, inventory, skip, top, weeks, every: request.every })
    }

    fn wanted(&self) -> Wanted<'_> {
        Wanted { sore: &self.sore, inventory: &self.inventory, skip: &self.skip, top: self.top }
    }

    /// How the question was understood, but for the lift; `grade` is that of the original at a sore
    /// region.
    fn understood<'k>(&self, kb: &'k Kb, every: u32, grade: impl Fn(&Sore) -> u8) -> Understood<'k> {
        let sore = self.sore.iter().map(|s| SoreRead {
            region: kb.regions.get(s.region).map_or("", |r| r.id.as_str()),
            aggravator: s.aggravator_name(kb),
            level: s.level,
            original_grade: grade(s),
        });
        let here = &self.inventory;
        Understood {
            exercise: None,
            read_as: None,
            main: None,
            weeks: self.weeks,
            every,
            sore: sore.collect(),
            gym: GymRead { id: here.id.clone(), name: here.name.clone(), assumed: here.assumed },
        }
    }
}

/// Remarks that end both kinds of answer.
fn closing(reply: &mut Reply<'_>, said: &Said, every: u32, varies: bool) {
    if varies {
        reply.notes.push("a lift that still gains is not stale: keep it, and vary one thing at a time".to_string());
        if said.weeks < every {
            reply.notes.push(format!("{} weeks are less than one block of {every}", said.weeks));
        }
    }
    if said.inventory.assumed {
        reply.notes.push("no kit was named, so every kind of kit counts as there".to_string());
    }
}

/// Varies a week that was read already; what the request says of exercise and rows is left aside.
/// The plan itself stands beside the reply.
///
/// # Errors
/// As [`answer`].
pub fn of_week<'k>(engine: &'k Engine, read: &Read, request: &Request) -> Result<(Reply<'k>, Option<Plan>), Error> {
    let kb = engine.kb();
    if let Some(emergency) = emergency(kb, &request.signs)? {
        return Ok((emergency, None));
    }
    if request.did.is_some() {
        return Err(Error::Conflict {
            found: "a set of one lift beside a week".to_string(),
            pointer: "/did".to_string(),
            hint: "write loads into the rows of the week".to_string(),
        });
    }
    let mut reply = Reply { signs: signs(kb, &request.signs)?, notes: read.notes.clone(), ..bare(kb) };
    let said = Said::read(kb, request, &mut reply.notes)?;
    let every = said.every.unwrap_or(DEFAULT_EVERY_OF_WEEK);
    let lifter = load::lifter(request.body_mass_kg, request.sex)?;
    let body = body(request.body_mass_kg, None, request.sex)?;
    let asked = whole::Asked { wanted: said.wanted(), body: &body, weeks: said.weeks, every };
    let (plan, told) = planned(kb, &read.week, &asked, lifter, &mut reply.notes);
    closing(&mut reply, &said, every, plan.changes_something());
    reply.week = Some(told);
    reply.cautions = cautions(kb, &said.sore);
    let grade = |s: &Sore| read.week.rows().iter().map(|row| joint_grade(kb, s, row.exercise)).max().unwrap_or(0);
    reply.question = Some(said.understood(kb, every, grade));
    Ok((reply, Some(plan)))
}

fn of_lift<'k>(kb: &'k Kb, request: &Request) -> Result<Reply<'k>, Error> {
    let mut reply = Reply { signs: signs(kb, &request.signs)?, ..bare(kb) };
    let (lift, read_as) = exercise(kb, &request.exercise, "/exercise")?;
    let said = Said::read(kb, request, &mut reply.notes)?;
    let mut every = said.every.unwrap_or(LEAST_WEEKS_MAIN);
    let main = is_main(kb, lift);
    if main && every < LEAST_WEEKS_MAIN {
        reply.notes.push(format!("a main lift is kept {LEAST_WEEKS_MAIN} weeks at least, so the blocks are that long"));
        every = LEAST_WEEKS_MAIN;
    }
    let graph = Graph::new(kb);
    let wanted = said.wanted();
    let found = variations(kb, &graph, lift, &wanted);
    let first = match &request.did {
        None => None,
        Some(did) => {
            let lifter = load::lifter(request.body_mass_kg, request.sex)?;
            Some((did, load::known(&graph, lift, did, lifter)?))
        }
    };
    for variation in &found {
        let mut told = variation_told(kb, &wanted, variation);
        match &first {
            None => {}
            Some((_, Err(none))) => told.no_start = Some(none.clone()),
            Some((did, Ok(known))) => {
                let target = Target {
                    repetitions: load::target_reps(kb, variation.row, did, None, "/did/reps")?,
                    reserve: None,
                    situation: None,
                    weeks_off: 0,
                    pain: None,
                };
                let unit = did.unit.unwrap_or(MassUnit::Kg);
                match load::begun(&graph, known, variation.row, &target, &said.inventory, unit)? {
                    Ok((start, _)) => told.start = Some(start),
                    Err(none) => told.no_start = Some(none),
                }
            }
        }
        reply.variations.push(told);
    }
    if found.is_empty() {
        reply.notes.push("no variation here carries over without loading what is sore more".to_string());
    } else {
        let slot = Slot { lift, turns: found.iter().map(|v| v.row).collect(), main, ..Slot::default() };
        reply.plan = rotation(&[slot], said.weeks, every)
            .iter()
            .filter_map(|b| {
                let row = *b.rows.first()?;
                let (from_week, to_week) = (b.from, b.to);
                Some(BlockTold { from_week, to_week, exercise: Named::row(kb, row), original: row == lift })
            })
            .collect();
    }
    closing(&mut reply, &said, every, !found.is_empty());
    reply.cautions = cautions(kb, &said.sore);
    reply.question = Some(Understood {
        exercise: Some(Named::row(kb, lift)),
        read_as: Some(read_as.word()),
        main: Some(main),
        ..said.understood(kb, every, |s| joint_grade(kb, s, lift))
    });
    Ok(reply)
}

pub(super) fn variation_told<'k>(kb: &'k Kb, wanted: &Wanted<'_>, v: &Variation) -> VariationTold<'k> {
    let record = kb.exercise(v.row);
    VariationTold {
        exercise: Named::row(kb, v.row),
        differs: v
            .emphasis
            .iter()
            .map(|e| match e {
                Emphasis::Length => Differs::Length,
                Emphasis::Position => Differs::Position,
                Emphasis::Sides => Differs::Sides,
                Emphasis::Implement => Differs::Implement,
                Emphasis::Grip => Differs::Grip,
                Emphasis::Stance => Differs::Stance,
                Emphasis::Tempo => Differs::Tempo,
                Emphasis::Range => Differs::Range,
                Emphasis::Angle => Differs::Angle,
            })
            .collect(),
        keeps_percent: percent(v.kept),
        ratio: v.ratio.as_ref().map(told),
        distance: v.distance,
        spine: kb.spine_class(v.row),
        sets_of: kb.sets_of(v.row).to_string(),
        kit: kit_here(kb, wanted.inventory, v.row),
        start: None,
        no_start: None,
        cautions: record.map_or_else(Vec::new, |e| caution_texts(kb, &e.cautions)),
    }
}
