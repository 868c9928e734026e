//! "How do I get back to it?": rungs from what spares a sore region to the lift itself.
//!
//! Leans on [`crate::week::ladder`] for the rungs and on [`super::load`] for what is put on the bar.
//! Leaves to others: how it looks ([`crate::cli`], [`crate::http`]). An emergency sign ends the answer
//! here.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::carryover::{RatioTold, told};
use super::forces::Sex;
use super::light::{self, AlsoHelps};
use super::load::{self, BuiltTold, NoLoad, SetAsk};
use super::swap::{
    GymAsk, GymRead, SignRead, SoreAsk, SoreRead, caution_texts, cautions, kit_here, round, signs, sores,
};
use super::{Basis, Engine, Error, Named, bounded, exercise, inventory};
use crate::gym::Inventory;
use crate::gym::carry::is_possible;
use crate::kb::Kb;
use crate::kb::raw::{Aim, Level, MassUnit, SpineClass, Urgency, words};
use crate::load::begin::{Known, Target};
use crate::load::carryover::Graph;
use crate::rank::gates::joint_grade;
use crate::rank::{Question, Sore};
use crate::units::{Kg, trim};
use crate::week::ladder::{Rung, Stage, Terms, ladder};

words! {
    /// What a rung is for.
    RungFor {
        /// The substitute that loads the region least.
        Least = "least-load",
        /// A closer substitute.
        Closer = "closer",
        /// The lift itself, slow or over a short range.
        Slow = "slow-or-short",
        /// The lift itself over its whole range.
        Whole = "whole-range",
        /// The lift itself at its own pace, heavier.
        Heavier = "heavier",
        /// The programme as it was.
        Programme = "programme",
    }
}

/// A ladder as asked.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Request {
    /// The lift to come back to: id, name, alias or near spelling.
    pub exercise: String,
    /// What is sore; one at least.
    pub sore: Vec<SoreAsk>,
    /// Where: a gym of the base by id, or one described in full.
    pub gym: Option<GymAsk>,
    /// Further kit; alone, the whole of it.
    pub have: Vec<String>,
    /// A set of the lift from before; with it each rung tells its load, else its share.
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
    /// The lift to come back to.
    pub exercise: Named<'k>,
    /// How its name was read.
    pub read_as: &'static str,
    /// Sore regions.
    pub sore: Vec<SoreRead<'k>>,
    /// The gym.
    pub gym: GymRead,
}

/// A region's grade on a rung.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Graded<'k> {
    /// Region.
    pub region: &'k str,
    /// Grade, 0 to 4, as its soreness is described.
    pub grade: u8,
}

/// Load of a rung.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct RungLoad {
    /// Load, kg, as the exercise is counted, rounded down to what can be put together.
    pub kg: f64,
    /// What is put together; absent for the body alone.
    pub build: Option<BuiltTold>,
    /// The load in one line.
    pub said: String,
}

/// One rung.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct RungTold<'k> {
    /// Number, from 1.
    pub number: usize,
    /// The exercise.
    pub exercise: Named<'k>,
    /// What the rung is for.
    pub stage: RungFor,
    /// Whether it is the lift to come back to.
    pub original: bool,
    /// The sore regions on it.
    pub grades: Vec<Graded<'k>>,
    /// Spine class.
    pub spine: SpineClass,
    /// Kit that it takes here.
    pub kit: Vec<&'k str>,
    /// Sets, in words.
    pub sets: String,
    /// Repetitions or seconds of a set, in words.
    pub of: String,
    /// Repetitions in reserve.
    pub rir: f64,
    /// How much of the lift it is; absent for the lift itself and where nothing is known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ratio: Option<RatioTold>,
    /// Share of the old best of the lift that its load is: least and most, in per cent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub share_percent: Option<[f64; 2]>,
    /// Load, when a set was given.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub load: Option<RungLoad>,
    /// Why there is none though a set was given.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub no_load: Option<NoLoad>,
    /// Fewest sessions on it; none on the last.
    pub sessions: u8,
    /// When to go up.
    pub up: String,
    /// Cautions of this exercise.
    pub cautions: Vec<&'k str>,
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
    /// When to begin.
    pub before: Option<&'static str>,
    /// Light work for what is sore, before and beside the rungs.
    pub also_helps: Vec<AlsoHelps<'k>>,
    /// Rungs, the lift itself last.
    pub rungs: Vec<RungTold<'k>>,
    /// Why there are none.
    pub none: Option<String>,
    /// When to go down a rung.
    pub down: Option<&'static str>,
    /// What pain means: the bands.
    pub bands: Vec<&'static str>,
    /// When to see a clinician.
    pub clinician: Option<&'static str>,
    /// Remarks.
    pub notes: Vec<String>,
    /// Cautions.
    pub cautions: Vec<&'k str>,
}

/// Practice table 3.4, rung 1.
const BEFORE: &str = "first keep the region moving and train the others; begin when pain at rest is 2 of 10 or less and \
                      daily tasks bring 3 or less";
/// Practice section 3.4, below the table.
const DOWN: &str = "down one rung after any flare: pain above 5 of 10, or worse next morning; never skip more than one \
                    rung on the way up";
/// Practice section 3.4, below the table.
const CLINICIAN: &str = "see a clinician after two failed climbs of one rung, or without progress in two to four weeks";
/// Practice table 3.2.
const BANDS: [&str; 3] = [
    "0 to 2: fine",
    "3 to 5: only if it has settled by next morning; not from week to week more",
    "above 5: stop the lift today; other regions may train",
];

/// Pain that a rung may bring, for its load: the greatest of the lowest band.
const RUNG_PAIN: f64 = 2.0;

/// Answers.
///
/// # Errors
/// [`Error`] naming the value, its place in the request and the nearest valid choice.
pub fn answer<'k>(engine: &'k Engine, request: &Request) -> Result<Reply<'k>, Error> {
    let kb = engine.kb();
    bounded(&request.signs, "/signs")?;
    bounded(&request.sore, "/sore")?;
    let mut reply = Reply {
        base: Basis::of(kb),
        signs: signs(kb, &request.signs)?,
        question: None,
        before: None,
        also_helps: Vec::new(),
        rungs: Vec::new(),
        none: None,
        down: None,
        bands: Vec::new(),
        clinician: None,
        notes: Vec::new(),
        cautions: Vec::new(),
    };
    if reply.signs.iter().any(|s| s.urgency == Urgency::Emergency) {
        reply.signs.retain(|s| s.urgency == Urgency::Emergency);
        return Ok(reply);
    }
    let (original, read_as) = exercise(kb, &request.exercise, "/exercise")?;
    if request.sore.is_empty() {
        return Err(Error::Empty { what: "list of what is sore", pointer: "/sore".to_string() });
    }
    let sore = sores(kb, &request.sore, &mut reply.notes)?;
    let inventory = inventory(kb, request.gym.as_ref(), &request.have)?;
    let lifter = load::lifter(request.body_mass_kg, request.sex)?;
    let graph = Graph::new(kb);
    let known = request.did.map(|did| load::known(&graph, original, &did, lifter)).transpose()?;
    reply.question = Some(Understood {
        exercise: Named::row(kb, original),
        read_as: read_as.word(),
        sore: sore
            .iter()
            .map(|s| SoreRead {
                region: kb.regions.get(s.region).map_or("", |r| r.id.as_str()),
                aggravator: s.aggravator_name(kb),
                level: s.level,
                original_grade: joint_grade(kb, s, original),
            })
            .collect(),
        gym: GymRead { id: inventory.id.clone(), name: inventory.name.clone(), assumed: inventory.assumed },
    });
    reply.cautions = cautions(kb, &sore);
    if !is_possible(kb, &inventory, original) {
        reply.none = Some(format!(
            "this gym has not the kit or the ceiling for {}, so no ladder leads back to it",
            Named::row(kb, original).name
        ));
        return Ok(reply);
    }
    for s in sore.iter().filter(|s| joint_grade(kb, s, original) == 0) {
        reply.notes.push(format!(
            "{} does not load the {} as you describe it",
            Named::row(kb, original).name,
            s.region_name(kb).to_lowercase()
        ));
    }
    if sore.iter().any(|s| s.level == Level::Severe) {
        reply.notes.push("pain above 5 of 10: not today; ask a clinician before the first rung".to_string());
    }
    if inventory.assumed {
        reply.notes.push("no kit was named, so every kind of kit counts as there".to_string());
    }
    let made = ladder(kb, &graph, original, &sore, &inventory);
    if !made.starts_with_substitute {
        reply.notes.push(
            "no substitute passes every gate here, so rest and the light work stand in for the first rungs".to_string(),
        );
    }
    let question = Question {
        original,
        sore: &sore,
        inventory: &inventory,
        aim: Aim::Size,
        max_spine: None,
        skill: None,
        skip: &[],
        top: 0,
        explain: false,
    };
    reply.also_helps = made.light.iter().filter_map(|found| light::also_helps(kb, &question, found)).collect();
    let unit = request.did.and_then(|d| d.unit).unwrap_or(MassUnit::Kg);
    let place = Place { graph: &graph, sore: &sore, inventory: &inventory, unit, original };
    for (at, rung) in made.rungs.iter().enumerate() {
        reply.rungs.push(place.rung(at + 1, rung, known.as_ref())?);
    }
    reply.before = Some(BEFORE);
    reply.down = Some(DOWN);
    reply.bands = BANDS.to_vec();
    reply.clinician = Some(CLINICIAN);
    Ok(reply)
}

/// What every rung is told with.
struct Place<'a, 'k> {
    graph: &'a Graph<'k>,
    sore: &'a [Sore],
    inventory: &'a Inventory,
    unit: MassUnit,
    original: usize,
}

impl<'k> Place<'_, 'k> {
    fn rung(
        &self,
        number: usize,
        rung: &Rung,
        known: Option<&Result<Known<'k>, NoLoad>>,
    ) -> Result<RungTold<'k>, Error> {
        let kb = self.graph.kb();
        let terms = rung.stage.terms();
        let reps = reps(kb, rung.row, &terms);
        let (load, no_load) = match known {
            None => (None, None),
            Some(Err(none)) => (None, Some(none.clone())),
            Some(Ok(known)) => match self.load(rung, &terms, reps, known)? {
                Ok(load) => (Some(load), None),
                Err(none) => (None, Some(none)),
            },
        };
        let share = match (terms.share, &rung.ratio) {
            (Some((least, most)), _) => Some([least, most]),
            (None, Some(ratio)) => {
                let percent = self.percent(&terms, reps);
                Some([ratio.range.low * percent, ratio.range.typical * percent])
            }
            (None, None) => None,
        };
        let record = kb.exercise(rung.row);
        Ok(RungTold {
            number,
            exercise: Named::row(kb, rung.row),
            stage: match rung.stage {
                Stage::Least => RungFor::Least,
                Stage::Closer => RungFor::Closer,
                Stage::Slow => RungFor::Slow,
                Stage::Whole => RungFor::Whole,
                Stage::Heavier => RungFor::Heavier,
                Stage::Programme => RungFor::Programme,
            },
            original: rung.row == self.original,
            grades: self
                .sore
                .iter()
                .zip(&rung.grades)
                .map(|(s, grade)| Graded {
                    region: kb.regions.get(s.region).map_or("", |r| r.id.as_str()),
                    grade: *grade,
                })
                .collect(),
            spine: kb.spine_class(rung.row),
            kit: kit_here(kb, self.inventory, rung.row),
            sets: span(terms.sets.0.into(), terms.sets.1.into()),
            of: format!("{} {}", span(reps.0, reps.1), record.map_or("reps", |e| e.reps.unit.word())),
            rir: terms.reserve,
            ratio: rung.ratio.as_ref().filter(|_| rung.row != self.original).map(told),
            share_percent: share.map(|ends| ends.map(|x| round(x * 100.0, 0))),
            load,
            no_load,
            sessions: terms.sessions,
            up: if terms.sessions == 0 {
                terms.up.to_string()
            } else {
                format!("{} sessions with pain up to {} of 10, {}", terms.sessions, terms.most_pain, terms.up)
            },
            cautions: record.map_or_else(Vec::new, |e| caution_texts(kb, &e.cautions)),
        })
    }

    /// Repetitions that the chart reads with the reserve: the most of the rung, or of the chart.
    fn read_at(&self, terms: &Terms, reps: (u16, u16)) -> f64 {
        let most = f64::from(self.graph.kb().loads.refuse_above) - terms.reserve;
        f64::from(reps.1).min(most).max(1.0)
    }

    /// Share of a best that a set of the rung takes.
    fn percent(&self, terms: &Terms, reps: (u16, u16)) -> f64 {
        let loads = &self.graph.kb().loads;
        let percent = crate::load::rep_max::percent(loads, self.read_at(terms, reps) + terms.reserve);
        percent.map_or(0.5, |p| p.get() / 100.0)
    }

    fn load(
        &self,
        rung: &Rung,
        terms: &Terms,
        reps: (u16, u16),
        known: &Known<'k>,
    ) -> Result<Result<RungLoad, NoLoad>, Error> {
        if let Some((least, _)) = terms.share {
            let wanted = Kg(known.best.best.get() * least);
            return Ok(load::share_of(self.graph.kb(), known, wanted, self.inventory, self.unit)
                .map(|(kg, build, said)| RungLoad { kg, build, said }));
        }
        let target = Target {
            repetitions: self.read_at(terms, reps),
            reserve: Some(terms.reserve),
            situation: None,
            weeks_off: 0,
            pain: Some(RUNG_PAIN),
        };
        let begun = load::begun(self.graph, known, rung.row, &target, self.inventory, self.unit)?;
        Ok(begun.map(|(start, _)| RungLoad {
            kg: start.kg,
            said: match &start.build {
                Some(build) => build.load_said.clone(),
                None => "the body alone".to_string(),
            },
            build: start.build,
        }))
    }
}

/// Repetitions of the rung within what the exercise is usable in; of a hold its own seconds.
fn reps(kb: &Kb, row: usize, terms: &Terms) -> (u16, u16) {
    let (low, high) = (u16::from(terms.reps.0), u16::from(terms.reps.1));
    match kb.table.rows.get(row) {
        Some(r) if r.holds => (r.reps_low, r.reps_high),
        Some(r) if r.reps_low <= r.reps_high => {
            let within = |n: u16| n.clamp(r.reps_low, r.reps_high);
            (within(low), within(high))
        }
        _ => (low, high),
    }
}

fn span(low: u16, high: u16) -> String {
    if low == high { trim(f64::from(low)) } else { format!("{low} to {high}") }
}
