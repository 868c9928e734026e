//! A best for one repetition from a set of several, and the load for a set from a best.
//!
//! Leans on the chart, the bands and the choice of formula in `kb/loads.json`. Leaves to others:
//! other lifts ([`super::carryover`]) and first sessions ([`super::start`]).
//!
//! Coefficients of the seven formulas as several independent public pages print them; years and
//! origins from memory, except Brzycki 1993 (Journal of Physical Education, Recreation and Dance
//! 64:88). Repetitions left in reserve count as done: a set of 5 with 2 in reserve is read as a
//! best set of 7.

use crate::kb::Kb;
use crate::kb::raw::{BestBy, Loads};
use crate::units::{Kg, OutOfBounds, Percent, bounds, trim};

/// The seven formulas, in order of the alphabet.
pub const FORMULAS: &[BestBy] = &[
    BestBy::Brzycki,
    BestBy::Epley,
    BestBy::Lander,
    BestBy::Lombardi,
    BestBy::Mayhew,
    BestBy::OConner,
    BestBy::Wathan,
];

/// A set that no best follows from.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum RepMaxError {
    /// Too few or too many repetitions, those in reserve with them.
    #[error("{} repetitions, reserve with them, are outside 1 to {most}", trim(*.given))]
    Repetitions {
        /// Repetitions and reserve.
        given: f64,
        /// Most that are read.
        most: u8,
    },
    /// Reserve below none.
    #[error("{} repetitions in reserve are none", trim(*.given))]
    Reserve {
        /// As given.
        given: f64,
    },
    /// A load out of bounds.
    #[error(transparent)]
    Load(#[from] OutOfBounds),
}

/// An estimated best for one repetition.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Best {
    /// Estimate.
    pub best: Kg,
    /// Lower end of its band.
    pub low: Kg,
    /// Upper end of its band.
    pub high: Kg,
    /// How it was found.
    pub by: BestBy,
    /// Whether so many repetitions make it loose.
    pub loose: bool,
}

/// A formula as printed: best over load at `repetitions`, 1 to 15 in steps as small as one likes.
/// None for the median and the chart, which need more than a formula. Most formulas give more than
/// 1 at one repetition; [`estimate`] does not.
#[must_use]
pub fn printed(formula: BestBy, repetitions: f64) -> Option<f64> {
    let r = repetitions;
    Some(match formula {
        BestBy::Epley => 1.0 + r / 30.0,
        BestBy::Brzycki => 36.0 / (37.0 - r),
        BestBy::Lander => 100.0 / (101.3 - 2.67123 * r),
        BestBy::Lombardi => r.powf(0.10),
        BestBy::Mayhew => 100.0 / (52.2 + 41.9 * (-0.055 * r).exp()),
        BestBy::OConner => 1.0 + 0.025 * r,
        BestBy::Wathan => 100.0 / (48.8 + 53.8 * (-0.075 * r).exp()),
        BestBy::Median | BestBy::Chart => return None,
    })
}

/// Share of a best that the chart gives for `repetitions`, with straight lines between its points.
///
/// # Errors
/// [`RepMaxError::Repetitions`] outside the chart.
pub fn percent(loads: &Loads, repetitions: f64) -> Result<Percent, RepMaxError> {
    let outside = RepMaxError::Repetitions { given: repetitions, most: loads.refuse_above };
    if !(repetitions >= 1.0 && repetitions <= f64::from(loads.refuse_above)) {
        return Err(outside);
    }
    let point = |n: f64| loads.chart.iter().find(|p| f64::from(p.repetitions) == n).map(|p| p.percent);
    let below = point(repetitions.floor()).ok_or(outside)?;
    let above = point(repetitions.ceil()).ok_or(outside)?;
    Ok(Percent(below + (above - below) * repetitions.fract()))
}

/// Best over load of a set to failure of `repetitions`; exactly 1 for one repetition.
///
/// # Errors
/// [`RepMaxError::Repetitions`] below 1 or above the base's limit.
pub fn factor(loads: &Loads, by: BestBy, repetitions: f64) -> Result<f64, RepMaxError> {
    let share = percent(loads, repetitions)?.get() / 100.0;
    if repetitions <= 1.0 {
        return Ok(1.0);
    }
    Ok(match printed(by, repetitions) {
        Some(factor) => factor,
        None if by == BestBy::Chart => 1.0 / share,
        None => {
            let mut all: Vec<f64> = FORMULAS.iter().filter_map(|f| printed(*f, repetitions)).collect();
            all.sort_by(f64::total_cmp);
            all.get(all.len() / 2).copied().unwrap_or(1.0 / share)
        }
    })
}

fn effort(loads: &Loads, repetitions: f64, reserve: f64) -> Result<f64, RepMaxError> {
    // Half steps of reserve are said, "perhaps one more".
    if !(reserve >= 0.0 && reserve.is_finite()) {
        return Err(RepMaxError::Reserve { given: reserve });
    }
    if repetitions.is_nan() || repetitions < 1.0 {
        return Err(RepMaxError::Repetitions { given: repetitions, most: loads.refuse_above });
    }
    Ok(repetitions + reserve)
}

/// The best for one repetition that a set of `load` for `repetitions` with `reserve` left says.
///
/// # Errors
/// [`RepMaxError`] for a load out of bounds, or repetitions with reserve outside 1 to the limit.
pub fn estimate(loads: &Loads, by: BestBy, load: Kg, repetitions: f64, reserve: f64) -> Result<Best, RepMaxError> {
    let load = Kg(bounds::LOAD.check(load.get())?);
    let effort = effort(loads, repetitions, reserve)?;
    let best = load * factor(loads, by, effort)?;
    // One repetition without reserve is a best and no estimate.
    let band = if effort <= 1.0 { 0.0 } else { band(loads, effort) };
    Ok(Best {
        best,
        low: best * (1.0 - band),
        high: best * (1.0 + band),
        by,
        loose: effort > f64::from(loads.warn_above),
    })
}

/// Share of an estimate that it can be off by, either way.
fn band(loads: &Loads, repetitions: f64) -> f64 {
    let found = loads.bands.iter().find(|b| repetitions <= f64::from(b.up_to));
    found.or(loads.bands.last()).map_or(1.0, |b| b.share)
}

/// The load for `repetitions` with `reserve` left, from a best for one.
///
/// # Errors
/// [`RepMaxError`] as for [`estimate`].
pub fn load_for(loads: &Loads, by: BestBy, best: Kg, repetitions: f64, reserve: f64) -> Result<Kg, RepMaxError> {
    let best = Kg(bounds::LOAD.check(best.get())?);
    let effort = effort(loads, repetitions, reserve)?;
    Ok(best * (1.0 / factor(loads, by, effort)?))
}

/// The formula for the exercise in `row`: that of its pattern or the nearest branch above it.
#[must_use]
pub fn best_by(kb: &Kb, row: usize) -> BestBy {
    let loads = &kb.loads;
    let pattern = kb.table.rows.get(row).map_or(0, |r| usize::from(r.pattern));
    let path = kb.pattern_paths.get(pattern).map(Vec::as_slice).unwrap_or_default();
    let named = path.iter().rev().filter_map(|p| kb.patterns.get(usize::from(*p)));
    named.filter_map(|p| loads.best_by.get(&p.id)).next().copied().unwrap_or(loads.best_by_otherwise)
}
