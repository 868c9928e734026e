//! Relative spinal loading of the rows of a week, with the range of the body model.
//!
//! Leans on [`crate::kb::model`] for the compression of one repetition and on
//! [`crate::mechanics::dose`] for its weight. Leaves to others: sums over days ([`super::audit`]).
//! It is a bounded weighting for comparing weeks, no measure of harm.

use super::data::{Row, WorkUnit};
use crate::kb::Kb;
use crate::kb::model::{self, ModelError};
use crate::kb::raw::Counted;
use crate::mechanics::anthropometry::Body;
use crate::mechanics::dose::{self, Power};
use crate::units::{Kg, Newton};

/// Relative spinal loading with its range.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Dose {
    /// With the low end of the compression.
    pub low: f64,
    /// With its middle.
    pub mid: f64,
    /// With its high end.
    pub high: f64,
}

impl Dose {
    /// The sum of several, the same whatever their order. The ends are added as they stand: an
    /// estimate that says too much of one lift says too much of all.
    #[must_use]
    pub fn sum(doses: impl Iterator<Item = Self>) -> Self {
        let mut all: Vec<Self> = doses.collect();
        all.sort_by(|a, b| a.mid.total_cmp(&b.mid).then(a.low.total_cmp(&b.low)).then(a.high.total_cmp(&b.high)));
        all.iter().fold(Self::default(), |sum, d| Self {
            low: sum.low + d.low,
            mid: sum.mid + d.mid,
            high: sum.high + d.high,
        })
    }
}

/// Load of a row in all, both hands together; a typical one where the row says none.
///
/// # Errors
/// [`ModelError::Unknown`] for a row that the base does not have.
pub fn load_in_all(kb: &Kb, row: &Row, body: &Body) -> Result<Kg, ModelError> {
    let Some(load) = row.load else { return model::typical_load(kb, row.exercise, body) };
    let counted = kb.table.rows.get(row.exercise).map(|r| r.counted);
    Ok(if counted == Some(Counted::PerHand) { load * 2.0 } else { load })
}

/// How many repetitions a set counts for: its most, or what its time or distance stands for.
#[must_use]
pub fn repetitions(kb: &Kb, row: &Row) -> f64 {
    let most = f64::from(row.work.high);
    let as_repetitions = &kb.week.as_repetitions;
    match row.work.unit {
        WorkUnit::Repetitions => most,
        WorkUnit::Seconds => most / as_repetitions.seconds,
        WorkUnit::Metres => most / as_repetitions.metres,
    }
}

/// Relative spinal loading of a row.
///
/// # Errors
/// [`ModelError`] for an unknown exercise or a load beyond what the model takes.
pub fn of_row(kb: &Kb, row: &Row, body: &Body) -> Result<Dose, ModelError> {
    let estimate = model::low_back(kb, row.exercise, body, load_in_all(kb, row, body)?)?;
    let repetitions = repetitions(kb, row);
    let one = |compression: Newton| {
        // The weighting is linear in repetitions, so that parts of one can be counted.
        let work = dose::Work { sets: u32::from(row.sets), repetitions: 1, compression };
        work.loading(Power::default()).map(|all| all * repetitions)
    };
    Ok(Dose { low: one(estimate.low)?, mid: one(estimate.compression)?, high: one(estimate.high)? })
}
