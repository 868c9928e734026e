//! What a swap says of makeshift set-ups: the stand-in of a substitute, and what stand-ins would
//! open.
//!
//! Leans on [`crate::gym`] for what can stand in for what. Leaves to others: which exercises they
//! are ([`crate::rank`]). A stand-in is never told without its caution.

use schemars::JsonSchema;
use serde::Serialize;

use super::Named;
use super::swap::{Eased, eased, percent, round};
use crate::gym::{Inventory, Makeshift};
use crate::kb::Kb;
use crate::kb::raw;
use crate::rank::{Improvised, Question};

/// What stands in for an item that is not there.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct StandInRead<'k> {
    /// Item that is not there, by id.
    pub item: &'k str,
    /// In words: "a landmine pivot".
    pub phrase: &'k str,
    /// Kit that it is made of, by id.
    pub items: Vec<&'k str>,
    /// Things of the household that it takes besides.
    pub household: Vec<&'k str>,
    /// How it is set up.
    pub how: &'k str,
    /// What can go wrong with it, and what to check.
    pub caution: &'k str,
    /// Most load that it bears besides the body, kg, each hand or in all as the exercise counts
    /// it; 0 for body mass alone.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub most_load_kg: Option<f64>,
}

/// An exercise that a stand-in would open.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ImprovisedRead<'k> {
    /// Plain id.
    pub id: &'k str,
    /// Name shown.
    pub name: &'k str,
    /// Score with the stand-in, 0 to 100.
    pub score: f64,
    /// Per cent of the original's muscle work kept.
    pub keeps_percent: u8,
    /// Spine class.
    pub spine: raw::SpineClass,
    /// The sore regions before and after.
    pub eased: Vec<Eased<'k>>,
    /// The kit that it asks for, the item stood in for among it.
    pub kit: Vec<&'k str>,
    /// Repetitions or seconds it is usable in.
    pub sets_of: &'k str,
    /// What stands in for the missing item.
    pub stand_in: StandInRead<'k>,
    /// Cautions of this exercise.
    pub cautions: &'k [String],
}

/// What the ranking found, told.
pub(super) fn improvised<'k>(kb: &'k Kb, question: &Question<'_>, found: &Improvised) -> Option<ImprovisedRead<'k>> {
    let makeshift = question.inventory.makeshift(kb, found.row)?;
    let named = Named::row(kb, found.row);
    Some(ImprovisedRead {
        id: named.id,
        name: named.name,
        score: round(found.score, 2),
        keeps_percent: percent(found.coverage),
        spine: kb.spine_class(found.row),
        eased: eased(kb, question, found.row),
        kit: kb.kit_names(makeshift.alternative).map(|q| q.id.as_str()).collect(),
        sets_of: kb.sets_of(found.row),
        stand_in: told(kb, &makeshift)?,
        cautions: kb.cautions_of(found.row),
    })
}

/// The stand-in that a substitute takes, where stand-ins count as kit and its own is not there.
pub(super) fn of<'k>(kb: &'k Kb, inventory: &Inventory, row: usize) -> Option<(Makeshift<'k>, StandInRead<'k>)> {
    if !inventory.improvise || inventory.has_kit_for(kb, row) {
        return None;
    }
    let makeshift = inventory.makeshift(kb, row)?;
    Some((makeshift, told(kb, &makeshift)?))
}

fn told<'k>(kb: &'k Kb, makeshift: &Makeshift<'k>) -> Option<StandInRead<'k>> {
    let item = kb.equipment.get(makeshift.item)?;
    let record = item.stand_ins.get(usize::from(makeshift.stand_in.place))?;
    Some(StandInRead {
        item: &item.id,
        phrase: &item.phrase,
        items: record.items.iter().map(String::as_str).collect(),
        household: record.household.iter().map(String::as_str).collect(),
        how: &record.how,
        caution: &record.caution,
        most_load_kg: record.most_load_kg,
    })
}
