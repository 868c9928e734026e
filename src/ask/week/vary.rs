//! A varied week as it is told: by row what comes when, by block what the week then carries, and why
//! a row stays or a variation was passed over.
//!
//! Leans on [`crate::week::vary::whole`] for the plan. Leaves to others: the question and what goes
//! for one lift as well ([`crate::ask::vary`]), the table of the plan ([`super::table`]), and how it
//! looks ([`crate::cli`], [`crate::http`]).

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{Given, RowAsk, cells};
use crate::ask::Named;
use crate::ask::load::{self, SetAsk};
use crate::ask::vary::{VariationTold, variation_told};
use crate::kb::Kb;
use crate::kb::raw::{MassUnit, words};
use crate::load::begin::{Lifter, Target};
use crate::load::carryover::Graph;
use crate::units::Kg;
use crate::week::vary::LEAST_WEEKS_MAIN;
use crate::week::vary::whole::{Asked, Carries, Gone, Passed, Place, Plan, Stays, Stretch, plan};
use crate::week::{Row, Week, WorkUnit};

words! {
    /// Why a row stays as it is.
    WhyStays {
        /// Light work, which does its part as it is.
        Light = "light-work",
        /// Nothing here is a variation of it.
        NoVariation = "no-variation",
        /// What varies it is counted otherwise: repetitions, time or distance.
        OtherWork = "other-work",
        /// Every variation was passed over.
        AllPassed = "all-passed-over",
        /// Its variations are in the week already, or serve other rows.
        Taken = "taken",
        /// Other rows came first, for all weeks of the plan.
        NoTurn = "no-turn",
    }
}

words! {
    /// Why a variation was passed over.
    WhyPassed {
        /// It would load the spine more than the row does now.
        Spine = "more-spine-load",
        /// It would ask more of a sore region than the row does now.
        Sore = "more-on-sore-region",
    }
}

words! {
    /// Why the exercise of a row takes no turn.
    WhyGone {
        /// The gym cannot do it.
        NoKit = "no-kit",
        /// It is not wanted.
        Skipped = "skipped",
    }
}

/// What a week carries along the spine, by the counts of the audit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
pub struct CarriesRead {
    /// A coach's points of spine load.
    pub points: u32,
    /// Hard sets of the highest tier.
    pub a3_sets: u32,
    /// All sets.
    pub sets: u32,
}

impl From<Carries> for CarriesRead {
    fn from(carries: Carries) -> Self {
        Self { points: carries.points, a3_sets: carries.top_sets, sets: carries.sets }
    }
}

/// A reason with its words.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct StaysRead {
    /// Reason.
    pub reason: WhyStays,
    /// The reason in words.
    pub said: &'static str,
}

/// A variation that was passed over.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct PassedRead<'k> {
    /// The exercise.
    #[serde(flatten)]
    pub exercise: Named<'k>,
    /// Reason.
    pub reason: WhyPassed,
    /// The reason in words.
    pub said: String,
}

/// Weeks with one exercise in a row.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct StretchRead<'k> {
    /// First week, from 1.
    pub from_week: u32,
    /// Last week.
    pub to_week: u32,
    /// What is done.
    pub exercise: Named<'k>,
    /// Whether it is the exercise of the week as it was.
    pub original: bool,
    /// Sets, work and load of each of the rows as the stretch begins: "4 x 6, 95 kg".
    pub said: Vec<String>,
    /// Why a new exercise has no load, where the row had one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub no_load: Option<String>,
}

/// An exercise of one day, with its plan. All its rows change together.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct PlaceRead<'k> {
    /// Lines of its rows in the table, or places in the list from 1.
    pub lines: Vec<usize>,
    /// Day, 1 Monday to 7 Sunday.
    pub day: u8,
    /// Its name.
    pub day_name: &'static str,
    /// The exercise.
    pub exercise: Named<'k>,
    /// Whether it is a main lift, kept four weeks at least.
    pub main: bool,
    /// Variations, best first; no other row has them.
    pub variations: Vec<VariationTold<'k>>,
    /// Good variations that were passed over, and why.
    pub passed_over: Vec<PassedRead<'k>>,
    /// Why the exercise itself takes no turn.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub gone: Option<WhyGone>,
    /// Why it stays as it is, where it does.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub stays: Option<StaysRead>,
    /// What is done when.
    pub plan: Vec<StretchRead<'k>>,
}

/// A stretch of weeks in which nothing changes.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct BlockRead {
    /// First week, from 1.
    pub from_week: u32,
    /// Last week.
    pub to_week: u32,
    /// Lines of the rows that change at its beginning.
    pub changed: Vec<usize>,
    /// What the week carries then; never more than before, in points and sets of the highest tier.
    pub carries: CarriesRead,
    /// The whole week as it begins, as it can be asked about again.
    pub rows: Vec<RowAsk>,
}

/// A week and its plan.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct WeekPlan<'k> {
    /// What the week carries as it is.
    pub before: CarriesRead,
    /// The plan by row.
    pub rows: Vec<PlaceRead<'k>>,
    /// The plan by block.
    pub blocks: Vec<BlockRead>,
}

/// Plans a week and tells the plan; remarks go to `notes`.
pub(in crate::ask) fn planned<'k>(
    kb: &'k Kb,
    week: &Week,
    asked: &Asked<'_>,
    lifter: Lifter,
    notes: &mut Vec<String>,
) -> (Plan, WeekPlan<'k>) {
    let graph = Graph::new(kb);
    let mut first = |before: &Row, after: &Row| first_load(&graph, before, after, lifter, asked);
    let plan = plan(kb, &graph, week, asked, &mut first);
    let lines = |place: &Place| -> Vec<usize> {
        place.rows.iter().filter_map(|at| week.rows().get(*at)).map(|row| row.line).collect()
    };
    let rows = plan.places.iter().zip(&plan.stretches);
    let rows: Vec<PlaceRead<'k>> =
        rows.map(|(place, stretches)| place_read(kb, asked, place, stretches, lines(place))).collect();
    let blocks = plan.blocks.iter().map(|block| {
        let then = plan.week(block.from);
        let changed = block.changed.iter().filter_map(|at| plan.places.get(*at));
        BlockRead {
            from_week: block.from,
            to_week: block.to,
            changed: changed.flat_map(lines).collect(),
            carries: Carries::of(kb, then.rows(), asked.body).into(),
            rows: then.rows().iter().map(|row| cells::asked(kb, row)).collect(),
        }
    });
    let told = WeekPlan { before: Carries::of(kb, week.rows(), asked.body).into(), rows, blocks: blocks.collect() };
    remarks(&plan, &told, asked, notes);
    (plan, told)
}

fn remarks(plan: &Plan, told: &WeekPlan<'_>, asked: &Asked<'_>, notes: &mut Vec<String>) {
    if asked.every < LEAST_WEEKS_MAIN && plan.places.iter().any(|p| p.main) {
        notes.push(format!(
            "main lifts are kept {LEAST_WEEKS_MAIN} weeks at least; at a time one of them changes, and one other row"
        ));
    }
    let passed: Vec<WhyPassed> = told.rows.iter().flat_map(|r| &r.passed_over).map(|p| p.reason).collect();
    for (reason, what) in [
        (WhyPassed::Spine, "would load the spine more than the row does now"),
        (WhyPassed::Sore, "would ask more of a sore region than the row does now"),
    ] {
        let count = passed.iter().filter(|p| **p == reason).count();
        if count > 0 {
            let many = if count == 1 { "1 variation that".to_string() } else { format!("{count} variations that") };
            notes.push(format!("passed over: {many} {what}"));
        }
    }
    let stuck: Vec<&str> =
        told.rows.iter().filter(|r| r.gone.is_some() && r.variations.is_empty()).map(|r| r.exercise.name).collect();
    if !stuck.is_empty() {
        notes.push(format!("nothing here takes the place of {}; ask for a swap", stuck.join(", ")));
    }
    if told.rows.iter().flat_map(|r| r.plan.iter().skip(1)).any(|s| s.original) {
        notes.push("a lift that comes back stands with the load it had: begin below that".to_string());
    }
    if !asked.wanted.sore.is_empty() {
        notes.push("a plan loads what is sore no more than the week does; it does not ease it".to_string());
    }
}

fn place_read<'k>(
    kb: &'k Kb,
    asked: &Asked<'_>,
    place: &Place,
    stretches: &[Stretch],
    lines: Vec<usize>,
) -> PlaceRead<'k> {
    PlaceRead {
        lines,
        day: place.day.number(),
        day_name: place.day.name(),
        exercise: Named::row(kb, place.lift),
        main: place.main,
        variations: place.variations.iter().map(|v| variation_told(kb, &asked.wanted, v)).collect(),
        passed_over: place.passed.iter().map(|(row, why)| passed_read(kb, *row, *why)).collect(),
        gone: place.gone.map(|gone| match gone {
            Gone::NoKit => WhyGone::NoKit,
            Gone::Skipped => WhyGone::Skipped,
        }),
        stays: place.stays.map(|stays| stays_read(stays, !asked.wanted.sore.is_empty())),
        plan: stretches
            .iter()
            .map(|s| StretchRead {
                from_week: s.from,
                to_week: s.to,
                exercise: Named::row(kb, s.exercise),
                original: s.exercise == place.lift,
                said: s.rows.iter().map(|row| amount(kb, row)).collect(),
                no_load: s.no_load.clone(),
            })
            .collect(),
    }
}

/// A row in short: `4 x 6, 95 kg`.
fn amount(kb: &Kb, row: &Row) -> String {
    let cells = cells::asked(kb, row);
    let text = |given: &Option<Given>| given.as_ref().map_or_else(String::new, Given::text);
    let load = match (text(&cells.load), cells.unit.unwrap_or_default()) {
        (load, _) if load.is_empty() => load,
        (load, unit) if unit.is_empty() => format!(", {load}"),
        (load, unit) => format!(", {load} {unit}"),
    };
    format!("{} x {}{load}", text(&cells.sets), text(&cells.reps))
}

fn passed_read(kb: &Kb, row: usize, why: Passed) -> PassedRead<'_> {
    let (reason, said) = match why {
        Passed::Spine { now, then } => {
            let said = if then.points > now.points {
                format!("{} points of spine load, {} now", then.points, now.points)
            } else {
                format!("{} hard sets of the highest tier, {} now", then.top_sets, now.top_sets)
            };
            (WhyPassed::Spine, said)
        }
        Passed::Sore { region } => {
            let name = kb.regions.get(region).map_or(String::new(), |r| r.name.to_lowercase());
            (WhyPassed::Sore, format!("more on the {name}"))
        }
    };
    PassedRead { exercise: Named::row(kb, row), reason, said }
}

const fn stays_read(stays: Stays, sore: bool) -> StaysRead {
    let (reason, said) = match stays {
        Stays::Light => (WhyStays::Light, "light work, which does its part as it is"),
        Stays::NoVariation if sore => (WhyStays::NoVariation, "nothing here varies it and loads what is sore no more"),
        Stays::NoVariation => (WhyStays::NoVariation, "nothing here varies it"),
        Stays::OtherWork => (WhyStays::OtherWork, "what varies it is counted otherwise"),
        Stays::AllPassed => (WhyStays::AllPassed, "every variation was passed over"),
        Stays::Taken => (WhyStays::Taken, "what varies it is in the week already, or serves another row"),
        Stays::NoTurn => (WhyStays::NoTurn, "other rows come first in these weeks"),
    };
    StaysRead { reason, said }
}

/// The load that a row with a new exercise begins with, from what the row said of the old one; or
/// why there is none, in words.
fn first_load(graph: &Graph<'_>, before: &Row, after: &Row, lifter: Lifter, asked: &Asked<'_>) -> Result<Kg, String> {
    if [before, after].iter().any(|row| row.work.unit != WorkUnit::Repetitions) {
        return Err("no best follows from time or distance".to_string());
    }
    let assumed = graph.kb().week.hard.assumed_reserve;
    let did = SetAsk {
        load: before.load.map_or(0.0, Kg::get),
        unit: Some(MassUnit::Kg),
        // What a range begins with is what the load is sure to be good for.
        reps: u32::from(before.work.low),
        rir: Some(before.reserve.unwrap_or(assumed)),
    };
    let known = load::known(graph, before.exercise, &did, lifter).map_err(|e| e.to_string())?.map_err(|n| n.said)?;
    let target = Target {
        repetitions: f64::from(after.work.high),
        reserve: before.reserve,
        situation: None,
        weeks_off: 0,
        pain: None,
    };
    let (_, begin) = load::begun(graph, &known, after.exercise, &target, asked.wanted.inventory, before.unit)
        .map_err(|e| e.to_string())?
        .map_err(|n| n.said)?;
    // Where nothing is carried, the body alone is what is begun with.
    Ok(begin.carried.map_or(Kg(0.0), |carried| carried.load))
}
