//! Curated joint grades held beside the joint moments that the body model computes.
//!
//! Leans on [`super::model`] for the moments at a typical working load. Leaves to others: deciding
//! which of the two is right. A grade also knows of ends of range, grips and supports, of which a
//! moment knows nothing, so a gap is a place to look at and no error.

use super::model::{estimate, reference_man, typical_load};
use super::{Kb, raw};
use crate::mechanics::grades::{Joint, LoadTier, load_tier};
use crate::units::NewtonMetre;

/// A joint whose curated grade and computed load are two steps or more apart.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gap {
    /// Row of the exercise.
    pub row: usize,
    /// Id of the region.
    pub region: &'static str,
    /// Curated grade, 0 to 4.
    pub grade: u8,
    /// Computed tier.
    pub tier: LoadTier,
    /// Computed moment on one side.
    pub per_side: NewtonMetre,
}

/// Steps apart from which a gap is told.
const TOLD: u8 = 2;

/// Gaps of all exercises to which the standing chain applies, in order of row and joint, and how
/// many exercises those are.
#[must_use]
pub fn gaps(kb: &Kb) -> (Vec<Gap>, usize) {
    let Ok(man) = reference_man() else { return (Vec::new(), 0) };
    let mut found = Vec::new();
    let mut looked_at = 0;
    for row in 0..kb.len() {
        let Some(exercise) = kb.exercise(row) else { continue };
        let estimated = typical_load(kb, row, &man).and_then(|load| estimate(kb, row, &man, load, None));
        let Some(standing) = estimated.ok().and_then(|e| e.joints.ok()) else { continue };
        looked_at += 1;
        let m = standing.moments;
        for (joint, region, moment) in [
            (Joint::Knee, "knee", m.knee),
            (Joint::Hip, "hip", m.hip),
            (Joint::Shoulder, "shoulder", m.shoulder),
            (Joint::Elbow, "elbow", m.elbow),
        ] {
            let Ok(tier) = load_tier(joint, moment.per_side, &man) else { continue };
            let grade = region_grade(exercise, region);
            if grade.abs_diff(tier.step()) >= TOLD {
                found.push(Gap { row, region, grade, tier, per_side: moment.per_side });
            }
        }
    }
    (found, looked_at)
}

fn region_grade(exercise: &raw::Exercise, region: &str) -> u8 {
    exercise.joints.get(region).and_then(|by| by.values().max()).copied().unwrap_or(0)
}
