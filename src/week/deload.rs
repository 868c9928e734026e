//! A lighter week: fewer sets, less load and more in reserve, with the same lifts on the same days;
//! for a sore low back the same sets with supported lifts.
//!
//! Leans on the figures of `kb/week.json` (`deload`), on what the gym makes up and on the stand-ins
//! of [`super::mend`]. Leaves to others: whether one is due ([`super::audit`]) and how it is told
//! ([`crate::ask`]).

use super::audit;
use super::count::{Fact, MODERATE};
use super::data::{Row, Week};
use super::mend::{self, ways};
use crate::gym::carry::carried;
use crate::kb::Kb;
use crate::kb::raw::MassUnit;
use crate::load::carryover::Graph;
use crate::load::start::down_to_step;
use crate::units::{Kg, bounds};

/// A row that was made lighter.
#[derive(Debug, Clone, PartialEq)]
pub struct Lighter {
    /// The row now.
    pub row: Row,
    /// Whether the exercise was swapped for a supported one.
    pub swapped: bool,
    /// What to know about it, in words.
    pub notes: Vec<String>,
}

/// A lighter week.
#[derive(Debug, Clone, PartialEq)]
pub struct Deload {
    /// The week now.
    pub week: Week,
    /// Its rows, each beside the same place of the week as it was.
    pub rows: Vec<Lighter>,
    /// Whether sets were kept and lifts swapped, for a sore low back.
    pub back: bool,
}

/// Makes a week lighter.
#[must_use]
pub fn deload(kb: &Kb, week: &Week, setting: &mend::Setting<'_>) -> Deload {
    let back = setting.audit.sore.iter().any(|s| Some(s.region) == kb.region_at("low-back"));
    let fewer = fewer_sets(kb, week.rows());
    let graph = Graph::new(kb);
    let rows: Vec<Lighter> = week
        .rows()
        .iter()
        .zip(fewer)
        .map(
            |(row, sets)| {
                if back { supported(kb, &graph, row, sets, setting) } else { lighter(kb, row, sets, setting) }
            },
        )
        .collect();
    Deload { week: Week::new(rows.iter().map(|l| l.row.clone()).collect(), Some(0)), rows, back }
}

/// Sets of each row so that the week has between the least and the greatest share taken off: every
/// row its share, and what is left of whole sets to the rows that lost most by rounding, earlier
/// rows first. A row keeps one set at least.
fn fewer_sets(kb: &Kb, rows: &[Row]) -> Vec<u16> {
    let deload = &kb.week.deload;
    let share = 1.0 - f64::midpoint(deload.sets_off_low, deload.sets_off_high);
    let wanted = |row: &Row| f64::from(row.sets) * share;
    let mut sets: Vec<u16> = rows.iter().map(|row| (wanted(row).floor() as u16).clamp(1, row.sets.max(1))).collect();
    let target: f64 = rows.iter().map(wanted).sum::<f64>().round();
    let mut by_loss: Vec<usize> = (0..rows.len()).collect();
    let loss = |at: &usize| {
        let (row, sets) = (rows.get(*at), sets.get(*at));
        row.zip(sets).map_or(0.0, |(row, sets)| wanted(row) - f64::from(*sets))
    };
    by_loss.sort_by(|a, b| loss(b).total_cmp(&loss(a)).then(a.cmp(b)));
    for at in by_loss {
        let all: u32 = sets.iter().map(|s| u32::from(*s)).sum();
        if f64::from(all) >= target {
            break;
        }
        if let (Some(one), Some(row)) = (sets.get_mut(at), rows.get(at)) {
            *one = (*one + 1).min(row.sets);
        }
    }
    sets
}

fn lighter(kb: &Kb, row: &Row, sets: u16, setting: &mend::Setting<'_>) -> Lighter {
    let mut notes = Vec::new();
    let load = row.load.map(|load| less(kb, row, load, setting, &mut notes));
    Lighter { row: Row { sets, load, reserve: Some(more_reserve(kb, row)), ..row.clone() }, swapped: false, notes }
}

/// Repetitions in reserve, more than the row's own or the usual ones.
fn more_reserve(kb: &Kb, row: &Row) -> f64 {
    (row.reserve.unwrap_or(kb.week.hard.assumed_reserve) + kb.week.deload.reserve_more).min(bounds::RESERVE.max)
}

/// A load between the greatest and the least share taken off, that can be made up; the nearest
/// below where the steps are too coarse for one between.
fn less(kb: &Kb, row: &Row, load: Kg, setting: &mend::Setting<'_>, notes: &mut Vec<String>) -> Kg {
    if load.get() <= 0.0 {
        return load;
    }
    let deload = &kb.week.deload;
    let made = |share: f64| {
        let wanted = load * (1.0 - share);
        let step = if row.unit == MassUnit::Lb { Kg::from_pounds(STEP_LB) } else { Kg(STEP_KG) };
        let made = carried(kb, setting.audit.inventory, row.exercise, wanted, row.unit).map(|c| c.load);
        made.unwrap_or_else(|_| down_to_step(wanted, step))
    };
    let least = load * (1.0 - deload.load_off_high);
    let middle = made(f64::midpoint(deload.load_off_low, deload.load_off_high));
    if middle >= least {
        return middle;
    }
    let most = made(deload.load_off_low);
    if most < least {
        let percent = ((1.0 - most.get() / load.get()) * 100.0).round();
        notes.push(format!("the next load below is {percent} % less"));
    }
    most
}

/// Usual steps of a load where nothing is known of the weights.
const STEP_KG: f64 = 2.5;
const STEP_LB: f64 = 5.0;

/// The row with the same sets, its exercise swapped for one that spares the back where it loads it;
/// with fewer sets where there is none.
fn supported(kb: &Kb, graph: &Graph<'_>, row: &Row, fewer: u16, setting: &mend::Setting<'_>) -> Lighter {
    let fact = Fact::without_dose(kb, row);
    let beyond = setting.audit.sore.iter().any(|s| audit::is_beyond(kb, s, row.exercise));
    if fact.tier < MODERATE && !beyond {
        return lighter(kb, row, row.sets, setting);
    }
    let tier = |row: &Row| kb.tiers.get(row.exercise).copied().unwrap_or(0);
    let Some(mut swapped) = ways::lighter(kb, row, setting).into_iter().find(|r| tier(r) < MODERATE) else {
        let mut out = lighter(kb, row, fewer, setting);
        out.notes.push("nothing here spares the back in its place; leave it if it hurts".to_string());
        return out;
    };
    let mut notes = Vec::new();
    // A first load is a light one already.
    match mend::first_load(kb, graph, row, &swapped, setting) {
        Ok(load) => swapped.load = Some(load),
        Err(why) => notes.push(format!("no load told: {why}")),
    }
    swapped.reserve = Some(more_reserve(kb, row));
    Lighter { row: swapped, swapped: true, notes }
}
