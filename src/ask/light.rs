//! What a swap says of light work beside it: what it is, why it is offered, and for how long.
//!
//! Leans on [`crate::rank::light`] for the choice. Leaves to others: everything that stands in for
//! the exercise ([`super::swap`]). It eases a region and never replaces training.

use schemars::JsonSchema;
use serde::Serialize;

use super::Named;
use super::swap::kit_here;
use crate::kb::Kb;
use crate::kb::raw::{Exercise, Level, Role, SetUnit, Support};
use crate::rank::light::Light;
use crate::rank::{Question, Sore};

/// One exercise offered beside the swap.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct AlsoHelps<'k> {
    /// Plain id.
    pub id: &'k str,
    /// Name shown.
    pub name: &'k str,
    /// Sore region that it is offered for.
    pub region: &'k str,
    /// Prehab or decompression.
    pub role: Role,
    /// Grade at that region, 0 to 4, as its soreness is described.
    pub grade: u8,
    /// Why, in one line.
    pub why: String,
    /// Repetitions or seconds it is usable in.
    pub sets_of: &'k str,
    /// The kit it takes here.
    pub kit: Vec<&'k str>,
    /// Cautions of this exercise.
    pub cautions: &'k [String],
}

/// What the ranking offers, told.
pub(super) fn also_helps<'k>(kb: &'k Kb, question: &Question<'_>, light: &Light) -> Option<AlsoHelps<'k>> {
    let named = Named::row(kb, light.row);
    let record = kb.exercise(light.row)?;
    let region = kb.regions.get(light.region)?;
    Some(AlsoHelps {
        id: named.id,
        name: named.name,
        region: &region.id,
        role: record.role,
        grade: light.grade,
        why: why(&region.name, record, light.grade),
        sets_of: kb.sets_of(light.row),
        kit: kit_here(kb, question.inventory, light.row),
        cautions: kb.cautions_of(light.row),
    })
}

/// The region, what kind of light work it is, and how much it loads the region.
fn why(region: &str, e: &Exercise, grade: u8) -> String {
    let held = e.reps.unit == SetUnit::Seconds;
    // Prehab of this pattern is for range, all other prehab for strength.
    let range = e.pattern == MOBILITY;
    let what = match (e.role, held) {
        (Role::Decompression, _) if e.support == Support::Hanging => "hanging rest",
        (Role::Decompression, true) => "position of ease",
        (Role::Decompression, false) => "easy movement",
        (_, true) if range => "gentle stretch",
        (_, false) if range => "easy range of movement",
        (_, true) => "light hold",
        (_, false) => "light strengthening",
    };
    let region = region.to_lowercase();
    match (e.role, grade) {
        (Role::Decompression, 0) => format!("{region}: {what} without load"),
        _ => format!("{region}: {what}, loaded {grade} of 4"),
    }
}

/// Pattern of stretches and positions.
const MOBILITY: &str = "decompression-mobility";

/// What is said of severe soreness wherever light work is offered for it.
pub(super) fn severe_note(kb: &Kb, sore: &[Sore], offered: &[AlsoHelps<'_>]) -> Option<String> {
    let severe: Vec<String> = sore
        .iter()
        .filter(|s| s.level == Level::Severe && offered.iter().any(|o| kb.region_at(o.region) == Some(s.region)))
        .map(|s| s.region_name(kb).to_lowercase())
        .collect();
    (!severe.is_empty()).then(|| {
        format!(
            "severe soreness of the {}: ask a clinician first; light work only so far as it does not hurt",
            severe.join(" and the ")
        )
    })
}
