//! "What do I do instead?": a swap asked and answered.
//!
//! Leans on [`crate::rank`] for the order and [`crate::gym`] for the kit. Leaves to others: how
//! it looks ([`crate::cli`], [`crate::http`]). Emergency signs suppress every exercise here.

use std::borrow::Cow;
use std::fmt;

use schemars::JsonSchema;
use serde::de::value::MapAccessDeserializer;
use serde::de::{self, MapAccess, Visitor};
use serde::{Deserialize, Deserializer, Serialize};

use super::beside::{Known, SpineLoad};
use super::forces::{Sex, body};
use super::light::{self, AlsoHelps};
use super::load::{self, NoLoad, SetAsk, StartTold};
use super::makeshift::{self, ImprovisedRead, StandInRead};
use super::{Basis, Engine, Error, Named, bounded, exercise, region, unknown};
use crate::gym::Inventory;
use crate::kb::Kb;
use crate::kb::raw::{Aim, Gym, Level, MassUnit, SpineClass, Urgency};
use crate::load::begin as known_set;
use crate::load::carryover::Graph;
use crate::rank::explain::Explanation;
use crate::rank::gates::{GATES, joint_grade};
use crate::rank::{self, Pick, Question, Sore};
use crate::units::bounds;

/// A swap as asked.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Request {
    /// The exercise to replace: id, name, alias or near spelling.
    pub exercise: String,
    /// What is sore.
    pub sore: Vec<SoreAsk>,
    /// Where: a gym of the base by id, or one described in full.
    pub gym: Option<GymAsk>,
    /// Further kit; alone, the whole of it.
    pub have: Vec<String>,
    /// Whether makeshift set-ups count as kit; each answer that takes one says how it is set up
    /// and what to beware of.
    pub improvise: bool,
    /// What the lifter trains for; size when absent.
    pub aim: Option<Aim>,
    /// Greatest spine class wanted.
    pub max_spine: Option<SpineClass>,
    /// Greatest skill wanted, 1 to 5.
    pub max_skill: Option<u8>,
    /// Exercises not wanted.
    pub skip: Vec<String>,
    /// How many substitutes, 1 to 50; 5 when absent.
    pub top: Option<usize>,
    /// Whether to tell the whole explanation tree.
    pub why: bool,
    /// Warning signs, by id (see the terms).
    pub signs: Vec<String>,
    /// Load that the lifter uses in the original, kg in all (both hands together); with it, each
    /// substitute tells its estimated spine load beside the original's.
    pub known_load_kg: Option<f64>,
    /// A set done with the original; with it, each substitute that can be compared tells the load
    /// of its first set.
    pub did: Option<SetAsk>,
    /// Repetitions of that first set; as many as were done, within the substitute's range, when
    /// absent.
    #[serde(rename = "for")]
    pub for_reps: Option<u32>,
    /// Body mass for these estimates, kg; 80 when absent.
    pub body_mass_kg: Option<f64>,
    /// Body height for the spine loads, m; 1.75 when absent.
    pub height_m: Option<f64>,
    /// Sex for these estimates; male when absent.
    pub sex: Option<Sex>,
}

/// One sore region.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct SoreAsk {
    /// Region by id, name or alias.
    pub region: String,
    /// What brings it on, from the region's closed list.
    pub aggravator: Option<String>,
    /// How sore in words; moderate when neither level nor pain is given.
    pub level: Option<Level>,
    /// How sore from 0 to 10.
    pub pain: Option<f64>,
}

/// A gym by id, or described.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[serde(untagged)]
pub enum GymAsk {
    /// A gym of the base.
    Named(String),
    /// A gym of one's own.
    Own(Box<Gym>),
}

// Written by hand: trying one shape after the other copies a described gym first.
impl<'de> Deserialize<'de> for GymAsk {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        struct Shapes;
        impl<'de> Visitor<'de> for Shapes {
            type Value = GymAsk;

            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("the id of a gym, or a gym described in full")
            }

            fn visit_str<E: de::Error>(self, id: &str) -> Result<GymAsk, E> {
                Ok(GymAsk::Named(id.to_string()))
            }

            fn visit_map<A: MapAccess<'de>>(self, gym: A) -> Result<GymAsk, A::Error> {
                Gym::deserialize(MapAccessDeserializer::new(gym)).map(|gym| GymAsk::Own(Box::new(gym)))
            }
        }
        from.deserialize_any(Shapes)
    }
}

/// How the question was understood.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Understood<'k> {
    /// The exercise to replace.
    pub exercise: Named<'k>,
    /// How its name was read.
    pub read_as: &'static str,
    /// Sore regions.
    pub sore: Vec<SoreRead<'k>>,
    /// The gym.
    pub gym: GymRead,
    /// The aim.
    pub aim: Aim,
}

/// A sore region as understood.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct SoreRead<'k> {
    /// Region.
    pub region: &'k str,
    /// Aggravator.
    pub aggravator: Option<&'k str>,
    /// Level.
    pub level: Level,
    /// Grade of the original there, 0 to 4.
    pub original_grade: u8,
}

/// A gym as understood.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct GymRead {
    /// Id.
    pub id: String,
    /// Name.
    pub name: String,
    /// Whether no kit was named and everything counts as there.
    pub assumed: bool,
}

/// A part of a score.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Why<'k> {
    /// Name of the part.
    pub name: &'k str,
    /// Points that it gives.
    pub points: f64,
    /// For a term: how well the substitute does, 0 to 1.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub value: Option<f64>,
    /// For a term: its weight as a share of all weights.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub weight: Option<f64>,
    /// What was found.
    pub found: Cow<'static, str>,
    /// Parts that add up to the points.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub parts: Vec<Why<'k>>,
}

impl<'k> From<Explanation<'k>> for Why<'k> {
    fn from(e: Explanation<'k>) -> Self {
        Self {
            name: e.name,
            points: round(e.points, 4),
            value: e.scale.map(|(value, _)| round(value, 3)),
            weight: e.scale.map(|(_, weight)| round(weight, 4)),
            found: e.found,
            parts: e.parts.into_iter().map(Self::from).collect(),
        }
    }
}

/// A region's grade before and after.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Eased<'k> {
    /// Region.
    pub region: &'k str,
    /// Grade of the original, 0 to 4.
    pub from: u8,
    /// Grade of the substitute.
    pub to: u8,
}

/// One substitute.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Substitute<'k> {
    /// Plain id.
    pub id: &'k str,
    /// Name shown.
    pub name: &'k str,
    /// Score, 0 to 100.
    pub score: f64,
    /// Whether it passes every gate, or all but one by one step.
    pub tier: Tier,
    /// The gate it misses by one step, and why.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reservation: Option<String>,
    /// Per cent of the original's muscle work kept.
    pub keeps_percent: u8,
    /// Spine class.
    pub spine: SpineClass,
    /// The sore regions before and after.
    pub eased: Vec<Eased<'k>>,
    /// The kit it takes here.
    pub kit: Vec<&'k str>,
    /// What stands in for the item of that kit that is not there, when stand-ins count.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub stand_in: Option<StandInRead<'k>>,
    /// Repetitions or seconds it is usable in.
    pub sets_of: &'k str,
    /// Short reasons, the weightiest first.
    pub reasons: Vec<Cow<'static, str>>,
    /// Cues.
    pub cues: &'k [String],
    /// Estimated spine load beside the original's, when a known load was given.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub spine_load: Option<SpineLoad>,
    /// Load of a first set, when a set of the original was given and the two can be compared.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub start: Option<StartTold<'k>>,
    /// Why there is none though a set was given.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub no_start: Option<NoLoad>,
    /// Cautions of this exercise.
    pub cautions: &'k [String],
    /// The whole tree, when asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub why: Option<Why<'k>>,
}

/// How a substitute passed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Tier {
    /// Every gate passed.
    Fits,
    /// One gate relaxed by one step.
    WithReservations,
}

/// Two exercises together.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct PairRead<'k> {
    /// Both exercises.
    pub exercises: Vec<Named<'k>>,
    /// Per cent of the original's muscle work kept together.
    pub keeps_percent: u8,
}

/// What one more item would open.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct NearestKit<'k> {
    /// Item by id.
    pub item: &'k str,
    /// In words: "a pair of dumbbells".
    pub phrase: &'k str,
    /// Exercises that it would open, best first.
    pub opens: Vec<Named<'k>>,
}

/// Refusals of one gate.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct RefusedBy<'k> {
    /// Gate.
    pub gate: &'static str,
    /// What the gate asks.
    pub asks: &'static str,
    /// How many exercises it was the first to refuse.
    pub count: usize,
    /// The nearest of them, with the reason.
    pub examples: Vec<RefusedExample<'k>>,
}

/// One refused exercise.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct RefusedExample<'k> {
    /// Exercise.
    pub exercise: Named<'k>,
    /// Why.
    pub reason: String,
}

/// A warning sign that was reported.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct SignRead<'k> {
    /// Sign.
    pub sign: &'k str,
    /// How soon.
    pub urgency: Urgency,
    /// What to do.
    pub action: &'k str,
}

/// The answer.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Reply<'k> {
    /// The base asked.
    pub base: Basis<'k>,
    /// What to do about reported signs; with an emergency among them, the answer ends here.
    pub signs: Vec<SignRead<'k>>,
    /// How the question was understood; absent in an emergency.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub question: Option<Understood<'k>>,
    /// Substitutes, best first.
    pub substitutes: Vec<Substitute<'k>>,
    /// How many passed every gate.
    pub passed: usize,
    /// A pair, when no single one keeps enough.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pair: Option<PairRead<'k>>,
    /// One more item, and what it would open.
    pub nearest_kit: Vec<NearestKit<'k>>,
    /// Exercises that pass every other gate, score no less than the third substitute and could be
    /// done with a makeshift set-up; none when stand-ins count as kit.
    pub improvised: Vec<ImprovisedRead<'k>>,
    /// Light work that helps what is sore, beside the swap and never in its place.
    pub also_helps: Vec<AlsoHelps<'k>>,
    /// What was refused, by gate.
    pub refused: Vec<RefusedBy<'k>>,
    /// Remarks on how the question was read.
    pub notes: Vec<String>,
    /// Cautions that apply.
    pub cautions: Vec<&'k str>,
}

impl Reply<'_> {
    /// Whether there is a substitute to show.
    #[must_use]
    pub fn has_answer(&self) -> bool {
        !self.substitutes.is_empty()
    }
}

/// Substitutes shown when no number is given.
pub const DEFAULT_TOP: usize = 5;

/// Answers a swap.
///
/// # Errors
/// [`Error`] naming the value, its place in the request and the nearest valid choice.
pub fn answer<'k>(engine: &'k Engine, request: &Request) -> Result<Reply<'k>, Error> {
    let kb = engine.kb();
    bounded(&request.signs, "/signs")?;
    bounded(&request.sore, "/sore")?;
    bounded(&request.skip, "/skip")?;
    let signs = signs(kb, &request.signs)?;
    if signs.iter().any(|s| s.urgency == Urgency::Emergency) {
        return Ok(Reply {
            base: Basis::of(kb),
            signs: signs.into_iter().filter(|s| s.urgency == Urgency::Emergency).collect(),
            question: None,
            substitutes: Vec::new(),
            passed: 0,
            pair: None,
            nearest_kit: Vec::new(),
            improvised: Vec::new(),
            also_helps: Vec::new(),
            refused: Vec::new(),
            notes: Vec::new(),
            cautions: Vec::new(),
        });
    }
    let mut notes = Vec::new();
    let (original, read_as) = exercise(kb, &request.exercise, "/exercise")?;
    let sore = sores(kb, &request.sore, &mut notes)?;
    let inventory = engine.inventory(request.gym.as_ref(), &request.have, request.improvise)?;
    let inventory = inventory.as_ref();
    let mut skip = Vec::with_capacity(request.skip.len());
    for (i, name) in request.skip.iter().enumerate() {
        skip.push(exercise(kb, name, &format!("/skip/{i}"))?.0);
    }
    let top = request.top.unwrap_or(DEFAULT_TOP);
    bounds::ANSWERS.check(top as f64).map_err(|problem| Error::Bounds { problem, pointer: "/top".to_string() })?;
    if let Some(skill) = request.max_skill {
        let pointer = "/max_skill".to_string();
        bounds::SKILL.check(f64::from(skill)).map_err(|problem| Error::Bounds { problem, pointer })?;
    }
    let aim = request.aim.unwrap_or(Aim::Size);
    let question = Question {
        original,
        sore: &sore,
        inventory,
        aim,
        max_spine: request.max_spine.map(SpineClass::rank),
        skill: request.max_skill,
        skip: &skip,
        top,
        explain: request.why,
    };
    for s in sore.iter().filter(|s| joint_grade(kb, s, original) == 0) {
        notes.push(format!(
            "{} does not load the {} as you describe it; only exercises that spare it are shown",
            Named::row(kb, original).name,
            s.region_name(kb).to_lowercase()
        ));
    }
    if inventory.assumed {
        notes.push("no kit was named, so every kind of kit counts as there".to_string());
    }
    if read_as != crate::search::names::ReadAs::Name {
        notes.push(format!("{:?} was read as {}", request.exercise, Named::row(kb, original).name));
    }

    let known = known(kb, request, original, &mut notes)?;
    let first = First::new(kb, request, original, &mut notes)?;
    let ranking = rank::rank(kb, &question);
    let cautions = cautions(kb, &sore);
    let also_helps: Vec<_> = ranking.light.iter().filter_map(|found| light::also_helps(kb, &question, found)).collect();
    notes.extend(light::severe_note(kb, &sore, &also_helps));
    let mut substitutes = Vec::with_capacity(ranking.picks.len());
    for pick in ranking.picks {
        let row = pick.row;
        let spine_load = known.as_ref().map(|k| k.against(kb, row)).transpose()?.flatten();
        let (start, no_start) = match first.as_ref().map(|f| f.of(kb, request, &question, row)).transpose()? {
            Some(Ok(start)) => (Some(start), None),
            Some(Err(none)) => (None, Some(none)),
            None => (None, None),
        };
        substitutes.push(Substitute { spine_load, start, no_start, ..substitute(kb, &question, pick) });
    }
    Ok(Reply {
        base: Basis::of(kb),
        signs,
        question: Some(Understood {
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
            aim,
        }),
        passed: ranking.passed,
        substitutes,
        pair: ranking.pair.map(|p| PairRead {
            exercises: p.rows.iter().map(|row| Named::row(kb, *row)).collect(),
            keeps_percent: percent(p.coverage),
        }),
        nearest_kit: ranking
            .one_item
            .into_iter()
            .filter_map(|o| {
                let q = kb.equipment.get(o.item)?;
                Some(NearestKit {
                    item: &q.id,
                    phrase: &q.phrase,
                    opens: o.rows.iter().map(|row| Named::row(kb, *row)).collect(),
                })
            })
            .collect(),
        improvised: ranking.improvised.iter().filter_map(|found| makeshift::improvised(kb, &question, found)).collect(),
        also_helps,
        refused: ranking
            .refused
            .into_iter()
            .filter_map(|r| {
                let gate = GATES.get(r.gate)?;
                Some(RefusedBy {
                    gate: gate.id,
                    asks: gate.asks,
                    count: r.count,
                    examples: r
                        .examples
                        .into_iter()
                        .map(|(row, reason)| RefusedExample { exercise: Named::row(kb, row), reason })
                        .collect(),
                })
            })
            // The exercise itself is always refused; that is no news.
            .filter(|r| r.gate != "known")
            .collect(),
        notes,
        cautions,
    })
}

/// The original at the known load, when one was given.
fn known<'k>(
    kb: &'k Kb,
    request: &Request,
    original: usize,
    notes: &mut Vec<String>,
) -> Result<Option<Known<'k>>, Error> {
    let body = body(request.body_mass_kg, request.height_m, request.sex)?;
    let Some(load) = request.known_load_kg else {
        let person = request.body_mass_kg.is_some() || request.sex.is_some();
        if request.height_m.is_some() || (person && request.did.is_none()) {
            notes.push(
                "body mass, height and sex are used only beside a known load, so nothing was made of them".to_string(),
            );
        }
        return Ok(None);
    };
    let known = Known::new(kb, original, body, load)?;
    notes.push(if known.has_load() {
        known.said()
    } else {
        format!("{} hardly loads the spine by estimate, so there is no ratio to tell", Named::row(kb, original).name)
    });
    Ok(Some(known))
}

/// Grade of a light load in mid-range, which takes nothing off a first load.
const LIGHT: u8 = 1;

/// First sets of substitutes, from a set of the original.
struct First<'k> {
    graph: Graph<'k>,
    did: SetAsk,
    known: Result<known_set::Known<'k>, NoLoad>,
}

impl<'k> First<'k> {
    /// What the set says of the original, when one was given.
    fn new(kb: &'k Kb, request: &Request, original: usize, notes: &mut Vec<String>) -> Result<Option<Self>, Error> {
        let Some(did) = request.did else {
            if request.for_reps.is_some() {
                notes.push("repetitions are used only beside a set that was done".to_string());
            }
            return Ok(None);
        };
        let lifter = load::lifter(request.body_mass_kg, request.sex)?;
        let graph = Graph::new(kb);
        let known = load::known(&graph, original, &did, lifter)?;
        match &known {
            Ok(known) => {
                let unit = did.unit.unwrap_or(MassUnit::Kg);
                notes.extend(load::warnings(kb, known, request.body_mass_kg.is_none(), unit));
                notes.push("first loads are estimates, rounded down to what is here: let the first set decide".into());
            }
            Err(none) => notes.push(format!("no first loads: {}", none.said)),
        }
        Ok(Some(Self { graph, did, known }))
    }

    /// The first set of the substitute in `row`. Soreness counts as pain in it where it loads the
    /// region more than lightly.
    fn of(
        &self,
        kb: &'k Kb,
        request: &Request,
        question: &Question<'_>,
        row: usize,
    ) -> Result<Result<StartTold<'k>, NoLoad>, Error> {
        let known = match &self.known {
            Ok(known) => known,
            Err(none) => return Ok(Err(none.clone())),
        };
        let loaded = question.sore.iter().filter(|s| joint_grade(kb, s, row) > LIGHT);
        let pain = loaded.map(|s| s.level).max().map(most_pain);
        let target = known_set::Target {
            repetitions: load::target_reps(kb, row, &self.did, request.for_reps, "/for")?,
            reserve: None,
            situation: None,
            weeks_off: 0,
            pain,
        };
        let unit = self.did.unit.unwrap_or(MassUnit::Kg);
        Ok(load::begun(&self.graph, known, row, &target, question.inventory, unit)?.map(|(start, _)| start))
    }
}

/// The most pain of a level, the bands of [`level_of`] turned back.
pub(super) const fn most_pain(level: Level) -> f64 {
    match level {
        Level::Mild => 2.0,
        Level::Moderate => 5.0,
        Level::Severe => 10.0,
    }
}

/// Resolves what is sore; pain of 0 is no soreness and is left out with a note.
pub(super) fn sores(kb: &Kb, asked: &[SoreAsk], notes: &mut Vec<String>) -> Result<Vec<Sore>, Error> {
    let mut out: Vec<Sore> = Vec::with_capacity(asked.len());
    for (i, ask) in asked.iter().enumerate() {
        let at = region(kb, &ask.region, &format!("/sore/{i}/region"))?;
        let Some(r) = kb.regions.get(at) else { continue };
        let aggravator = match ask.aggravator.as_deref() {
            None => None,
            Some(token) => {
                let folded = token.trim().to_lowercase().replace(['-', ' '], "_");
                let place = r.aggravators.iter().position(|a| a.id == folded).ok_or_else(|| {
                    let pointer = format!("/sore/{i}/aggravator");
                    unknown("aggravator", token, &pointer, r.aggravators.iter().map(|a| a.id.as_str()))
                })?;
                kb.aggravator_start.get(at).map(|start| usize::from(*start) + place)
            }
        };
        let level = match (ask.level, ask.pain) {
            (Some(_), Some(_)) => {
                return Err(Error::Conflict {
                    found: "both a level and a pain score".to_string(),
                    pointer: format!("/sore/{i}"),
                    hint: "give one of them".to_string(),
                });
            }
            (Some(level), None) => level,
            (None, None) => Level::Moderate,
            (None, Some(pain)) => {
                let pointer = format!("/sore/{i}/pain");
                let pain = bounds::PAIN.check(pain).map_err(|problem| Error::Bounds { problem, pointer })?;
                match level_of(pain) {
                    Some(level) => level,
                    None => {
                        notes.push(format!("{}: pain 0 is no soreness, so it was left out", r.name));
                        continue;
                    }
                }
            }
        };
        let sore = Sore { region: at, aggravator, level };
        if !out.contains(&sore) {
            out.push(sore);
        }
    }
    Ok(out)
}

/// Level of a pain score: 0 none, up to 2 mild, up to 5 moderate, above severe. Bands of the
/// pain-monitoring model (Thomeé 1997 and Silbernagel 2007, from memory).
#[must_use]
pub fn level_of(pain: f64) -> Option<Level> {
    if pain <= 0.0 {
        None
    } else if pain <= 2.0 {
        Some(Level::Mild)
    } else if pain <= 5.0 {
        Some(Level::Moderate)
    } else {
        Some(Level::Severe)
    }
}

pub(super) fn signs<'k>(kb: &'k Kb, given: &[String]) -> Result<Vec<SignRead<'k>>, Error> {
    let mut out = Vec::with_capacity(given.len());
    for (i, id) in given.iter().enumerate() {
        let sign = kb.cautions.signs.iter().find(|s| s.id == id.trim()).ok_or_else(|| {
            unknown("sign", id, &format!("/signs/{i}"), kb.cautions.signs.iter().map(|s| s.id.as_str()))
        })?;
        out.push(SignRead {
            sign: &sign.text,
            urgency: sign.urgency,
            action: kb.cautions.actions.get(&sign.urgency).map_or("", String::as_str),
        });
    }
    out.sort_by_key(|s| s.urgency);
    Ok(out)
}

pub(super) fn cautions<'k>(kb: &'k Kb, sore: &[Sore]) -> Vec<&'k str> {
    let mut out: Vec<&str> = kb.cautions.always.iter().map(|c| c.text.as_str()).collect();
    for s in sore {
        if let Some(r) = kb.regions.get(s.region)
            && let Some(c) = kb.cautions.with_region.get(&r.id)
            && !out.contains(&c.text.as_str())
        {
            out.push(&c.text);
        }
    }
    out
}

/// The texts of cautions by id.
pub(crate) fn caution_texts<'k>(kb: &'k Kb, ids: &[String]) -> Vec<&'k str> {
    let known = &kb.cautions.with_exercise;
    ids.iter().filter_map(|id| known.iter().find(|c| c.id == *id)).map(|c| c.text.as_str()).collect()
}

fn substitute<'k>(kb: &'k Kb, question: &Question<'_>, pick: Pick<'k>) -> Substitute<'k> {
    let named = Named::row(kb, pick.row);
    let reservation = pick.reservation.map(|(gate, why)| match GATES.get(gate) {
        Some(g) => format!("{}: {why}", g.id),
        None => why,
    });
    let stand_in = makeshift::of(kb, question.inventory, pick.row);
    let kit = match &stand_in {
        Some((makeshift, _)) => kb.kit_names(makeshift.alternative).map(|q| q.id.as_str()).collect(),
        None => kit_here(kb, question.inventory, pick.row),
    };
    Substitute {
        id: named.id,
        name: named.name,
        score: round(pick.score, 2),
        tier: if reservation.is_some() { Tier::WithReservations } else { Tier::Fits },
        reservation,
        keeps_percent: percent(pick.coverage),
        spine: kb.spine_class(pick.row),
        eased: eased(kb, question, pick.row),
        kit,
        stand_in: stand_in.map(|(_, told)| told),
        sets_of: kb.sets_of(pick.row),
        spine_load: None,
        start: None,
        no_start: None,
        reasons: pick.reasons,
        cues: kb.exercise(pick.row).map_or(&[], |e| e.cues.as_slice()),
        cautions: kb.cautions_of(pick.row),
        why: pick.explanation.map(Why::from),
    }
}

/// The sore regions before and after.
pub(super) fn eased<'k>(kb: &'k Kb, question: &Question<'_>, row: usize) -> Vec<Eased<'k>> {
    let read = |s: &Sore| Eased {
        region: kb.regions.get(s.region).map_or("", |r| r.id.as_str()),
        from: joint_grade(kb, s, question.original),
        to: joint_grade(kb, s, row),
    };
    question.sore.iter().map(read).collect()
}

/// The alternative that this gym can do, the one with most owned items first asked for.
pub(super) fn kit_here<'k>(kb: &'k Kb, inventory: &Inventory, row: usize) -> Vec<&'k str> {
    let possible = kb.table.kits_of(row).iter().find(|a| **a & !inventory.kit == 0);
    possible.map_or_else(Vec::new, |a| kb.kit_names(*a).map(|q| q.id.as_str()).collect())
}

pub(super) fn percent(share: f64) -> u8 {
    (share.clamp(0.0, 1.0) * 100.0).round() as u8
}

pub(super) fn round(value: f64, places: i32) -> f64 {
    let factor = 10f64.powi(places);
    (value * factor).round() / factor
}
