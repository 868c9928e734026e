//! Where to start: the load of a first session with another lift.
//!
//! Leans on the chart and the tables of `kb/loads.json`, and on [`super::rep_max`]. Leaves to
//! others: the ratio between the lifts ([`super::carryover`]) and what can be put together
//! ([`crate::gym::loading`]).
//!
//! `load = best x ratio x share for the repetitions x familiarity x pain`. The cautious load takes
//! the low end of everything, as a first exposure should; the usual one the typical ratio and the
//! upper ends. Factors are common practice; the base names their basis.

use super::carryover::Range;
use super::rep_max::{self, RepMaxError};
use crate::kb::raw::{BestBy, FirstSession, Loads, PainBand, Situation};
use crate::units::{ExactMass, Kg, OutOfBounds, Percent, bounds};

/// What a first session is asked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ask {
    /// Best for one repetition of the known lift, counted as its record counts it.
    pub best: Kg,
    /// Ratio of the other lift to it.
    pub ratio: Range,
    /// Repetitions of a set.
    pub repetitions: f64,
    /// Repetitions in reserve, if the lifter says; the situation's most when absent.
    pub reserve: Option<f64>,
    /// How the lift stands to what was done lately.
    pub situation: Situation,
    /// Weeks off, if any.
    pub weeks_off: u8,
    /// Pain of 10 in the sore region, if there is one.
    pub pain: Option<f64>,
}

/// A first session that cannot be told.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum StartError {
    /// Pain that stops the lift today.
    #[error("pain {pain} of 10 is above {most}: leave this lift today, other regions may train")]
    Stop {
        /// Pain as given.
        pain: f64,
        /// Most that a lift may be done with.
        most: f64,
    },
    /// Too few weeks off to count.
    #[error("{weeks} weeks off count from {least} on; choose another situation")]
    TooSoon {
        /// As given.
        weeks: u8,
        /// From when on.
        least: u8,
    },
    /// A number out of bounds.
    #[error(transparent)]
    Bounds(#[from] OutOfBounds),
    /// Repetitions or load that nothing follows from.
    #[error(transparent)]
    RepMax(#[from] RepMaxError),
    /// The base has no such situation.
    #[error("the base does not say how a lift begins that is {situation}")]
    NoSuchSituation {
        /// As given.
        situation: Situation,
    },
}

/// A factor of the load, for the explanation.
#[derive(Debug, Clone, PartialEq)]
pub struct Factor<'l> {
    /// What it stands for.
    pub name: &'static str,
    /// For the cautious load.
    pub cautious: f64,
    /// For the usual load.
    pub usual: f64,
    /// In words, where the base has any.
    pub means: &'l str,
    /// Source id, `memory` or `practice`; `carry-over` where the way between the lifts says it.
    pub basis: &'l str,
}

/// How many sets of the first session.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Sets {
    /// As programmed.
    AsProgrammed,
    /// So many.
    Between(u8, u8),
    /// A share of the programmed ones.
    Share(f64),
}

/// A first session. Loads are not yet rounded to what there is.
#[derive(Debug, Clone, PartialEq)]
pub struct Start<'l> {
    /// Load to begin with.
    pub cautious: Kg,
    /// Load that most would begin with.
    pub usual: Kg,
    /// Whether the loads are the ends of a ramp: sets that grow until the reserve is reached.
    pub ramp: bool,
    /// Repetitions left in reserve.
    pub reserve: f64,
    /// Sets.
    pub sets: Sets,
    /// The factors, in order; their product times the best is the load.
    pub factors: Vec<Factor<'l>>,
}

/// The bare product, for figures worked out elsewhere.
#[must_use]
pub fn product(best: Kg, ratio: f64, share: Percent, familiarity: f64, pain: f64) -> Kg {
    best * ratio * (share.get() / 100.0) * familiarity * pain
}

/// The greatest multiple of `step` that is not above `load`; the load itself for a step of none.
#[must_use]
pub fn down_to_step(load: Kg, step: Kg) -> Kg {
    if step.get().is_nan() || step.get() <= 0.0 {
        return load;
    }
    // Exact, so that 82.5 stays 82.5.
    let whole = ExactMass::from_kg(step.get());
    let most = ExactMass::from_kg(load.get());
    let about = (load.get() / step.get()).floor().max(0.0) as i64;
    let fits = |n: &i64| whole.times(*n) <= most;
    let n = [about.saturating_add(1), about].into_iter().find(fits).unwrap_or_else(|| about.saturating_sub(1));
    whole.times(n.max(0)).kg()
}

/// The first session.
///
/// # Errors
/// [`StartError`] where pain stops the lift, weeks off are too few, or a number is out of bounds.
pub fn start<'l>(loads: &'l Loads, ask: &Ask) -> Result<Start<'l>, StartError> {
    let best = Kg(bounds::LOAD.check(ask.best.get())?);
    for ratio in [ask.ratio.low, ask.ratio.typical, ask.ratio.high] {
        bounds::CARRY_OVER.check(ratio)?;
    }
    let first = session(loads, ask.situation, ask.weeks_off)?;
    let pain = ask.pain.map(|p| band(loads, p)).transpose()?;
    let least = pain.and_then(|b| b.least_reserve).unwrap_or(0.0);
    let reserve = ask.reserve.unwrap_or(first.reserve_high).max(least);
    // The load of a best of 1 kg is the share itself.
    let share = rep_max::load_for(loads, BestBy::Chart, Kg(1.0), ask.repetitions, reserve)?.get();
    let mut factors = vec![
        Factor { name: "ratio", cautious: ask.ratio.low, usual: ask.ratio.typical, means: "", basis: "carry-over" },
        Factor { name: "repetitions", cautious: share, usual: share, means: "", basis: chart_basis(loads) },
        Factor {
            name: "familiarity",
            cautious: first.low,
            usual: first.high,
            means: &first.means,
            basis: &first.basis,
        },
    ];
    if let Some(band) = pain {
        let (cautious, usual) = (band.low, band.high);
        factors.push(Factor { name: "pain", cautious, usual, means: &band.means, basis: &band.basis });
    }
    let sets = match (first.sets_low, first.sets_high, first.sets_share) {
        (Some(low), high, _) => Sets::Between(low, high.unwrap_or(low)),
        (None, _, Some(share)) => Sets::Share(share),
        (None, ..) => Sets::AsProgrammed,
    };
    Ok(Start {
        cautious: factors.iter().fold(best, |load, f| load * f.cautious),
        usual: factors.iter().fold(best, |load, f| load * f.usual),
        ramp: first.ramp,
        reserve,
        sets,
        factors,
    })
}

fn chart_basis(loads: &Loads) -> &str {
    loads.chart.first().map_or(loads.basis.as_str(), |p| p.basis.as_str())
}

/// The record of a situation; of time off the one for the most weeks that have passed.
fn session(loads: &Loads, situation: Situation, weeks: u8) -> Result<&FirstSession, StartError> {
    let mine = || loads.situations.iter().filter(|s| s.situation == situation);
    let none = StartError::NoSuchSituation { situation };
    if situation != Situation::TimeOff {
        return mine().next().ok_or(none);
    }
    let passed = mine().filter(|s| s.weeks.is_some_and(|w| w <= weeks)).max_by_key(|s| s.weeks);
    match (passed, mine().filter_map(|s| s.weeks).min()) {
        (Some(session), _) => Ok(session),
        (None, Some(least)) => Err(StartError::TooSoon { weeks, least }),
        (None, None) => Err(none),
    }
}

fn band(loads: &Loads, pain: f64) -> Result<&PainBand, StartError> {
    let pain = bounds::PAIN.check(pain)?;
    let most = loads.pain.iter().map(|b| b.up_to).fold(0.0, f64::max);
    loads.pain.iter().find(|b| pain <= b.up_to).ok_or(StartError::Stop { pain, most })
}
