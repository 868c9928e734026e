//! The revised NIOSH lifting equation, for moving kit about and for nothing else.
//!
//! Leans on `units`. Leaves to others: grading an exercise, which this equation must never do:
//! barbell training breaks several of its terms (two hands, no fast lifts, no sitting or kneeling).
//! Waters et al. 1993, applications manual 94-110 (second hand); the frequency table beyond its
//! first rows from memory.

use super::{Error, limits};
use crate::units::{Degree, Kg, Metre};

/// Recommended weight and lifting index of one moving task.
///
/// # Errors
/// [`Error::OutOfBounds`] for a value that no task has. Values that the equation rules out give a
/// recommended weight of zero instead.
pub fn assess(task: &Task) -> Result<Assessment, Error> {
    limits::NIOSH_LOAD.check(task.load.get())?;
    limits::NIOSH_REACH.check(task.reach.get())?;
    limits::NIOSH_HEIGHT.check(task.height.get())?;
    limits::NIOSH_TRAVEL.check(task.travel.get())?;
    limits::NIOSH_TWIST.check(task.twist.get())?;
    limits::NIOSH_RATE.check(task.lifts_per_minute)?;
    let multipliers = Multipliers {
        horizontal: horizontal(task.reach),
        vertical: vertical(task.height),
        distance: distance(task.travel),
        asymmetry: asymmetry(task.twist),
        frequency: frequency(task.lifts_per_minute, task.duration, task.height),
        coupling: coupling(task.grip, task.height),
    };
    let recommended = LOAD_CONSTANT * multipliers.product();
    let index = if recommended.get() > 0.0 { Some(task.load.get() / recommended.get()) } else { None };
    Ok(Assessment { recommended, index, multipliers })
}

/// A two-handed moving task.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Task {
    /// What is moved.
    pub load: Kg,
    /// Hands in front of the ankles.
    pub reach: Metre,
    /// Height of the hands at the start.
    pub height: Metre,
    /// Vertical travel.
    pub travel: Metre,
    /// Turn from straight ahead.
    pub twist: Degree,
    /// Lifts a minute.
    pub lifts_per_minute: f64,
    /// Length of the work.
    pub duration: Duration,
    /// Hold on the thing.
    pub grip: Grip,
}

/// Length of the work, with its rest.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Duration {
    /// Up to one hour.
    OneHour,
    /// Up to two hours.
    TwoHours,
    /// Up to eight hours.
    EightHours,
}

/// Hold on the thing that is moved.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Grip {
    /// Handles.
    Good,
    /// Edges that can be held.
    Fair,
    /// Bulky or slippery.
    Poor,
}

/// What the equation says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Assessment {
    /// Recommended weight limit of this task.
    pub recommended: Kg,
    /// Load over recommended weight; nothing where the equation does not allow the task at all.
    pub index: Option<f64>,
    /// The six multipliers.
    pub multipliers: Multipliers,
}

/// The six multipliers, each 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Multipliers {
    /// Reach.
    pub horizontal: f64,
    /// Height at the start.
    pub vertical: f64,
    /// Travel.
    pub distance: f64,
    /// Twist.
    pub asymmetry: f64,
    /// Frequency and duration.
    pub frequency: f64,
    /// Hold.
    pub coupling: f64,
}

impl Multipliers {
    /// All six multiplied.
    #[must_use]
    pub fn product(&self) -> f64 {
        self.horizontal * self.vertical * self.distance * self.asymmetry * self.frequency * self.coupling
    }
}

/// Load constant (second hand).
pub const LOAD_CONSTANT: Kg = Kg(23.0);

/// Height that parts the columns of the tables, metres.
const KNUCKLE: f64 = 0.75;

/// Slack for centimetre limits that were given in metres.
const SLACK: f64 = 1e-9;

fn horizontal(reach: Metre) -> f64 {
    let cm = reach.get() * 100.0;
    if cm > 63.0 + SLACK { 0.0 } else { 25.0 / cm.max(25.0) }
}

fn vertical(height: Metre) -> f64 {
    let cm = height.get() * 100.0;
    if cm > 175.0 + SLACK { 0.0 } else { 1.0 - 0.003 * (cm - 75.0).abs() }
}

fn distance(travel: Metre) -> f64 {
    let cm = travel.get() * 100.0;
    if cm > 175.0 + SLACK { 0.0 } else { 0.82 + 4.5 / cm.max(25.0) }
}

fn asymmetry(twist: Degree) -> f64 {
    if twist.get() > 135.0 { 0.0 } else { 1.0 - 0.0032 * twist.get() }
}

fn coupling(grip: Grip, height: Metre) -> f64 {
    match grip {
        Grip::Good => 1.0,
        Grip::Fair if height.get() < KNUCKLE => 0.95,
        Grip::Fair => 1.0,
        Grip::Poor => 0.90,
    }
}

fn frequency(rate: f64, duration: Duration, height: Metre) -> f64 {
    let low = height.get() < KNUCKLE;
    let column = |(_, one, two, eight): &FrequencyRow| {
        let (below, above) = match duration {
            Duration::OneHour => *one,
            Duration::TwoHours => *two,
            Duration::EightHours => *eight,
        };
        if low { below } else { above }
    };
    let rate = rate.max(0.2);
    let mut before: Option<&FrequencyRow> = None;
    for row in &FREQUENCY {
        if row.0 >= rate {
            return match before {
                Some(earlier) if row.0 > earlier.0 => {
                    let part = (rate - earlier.0) / (row.0 - earlier.0);
                    column(earlier) + part * (column(row) - column(earlier))
                }
                _ => column(row),
            };
        }
        before = Some(row);
    }
    0.0
}

/// Lifts a minute, then for one, two and eight hours the multiplier below and from 75 cm up.
type FrequencyRow = (f64, (f64, f64), (f64, f64), (f64, f64));

/// Frequency multipliers (first rows second hand, the rest memory).
const FREQUENCY: [FrequencyRow; 17] = [
    (0.2, (1.00, 1.00), (0.95, 0.95), (0.85, 0.85)),
    (0.5, (0.97, 0.97), (0.92, 0.92), (0.81, 0.81)),
    (1.0, (0.94, 0.94), (0.88, 0.88), (0.75, 0.75)),
    (2.0, (0.91, 0.91), (0.84, 0.84), (0.65, 0.65)),
    (3.0, (0.88, 0.88), (0.79, 0.79), (0.55, 0.55)),
    (4.0, (0.84, 0.84), (0.72, 0.72), (0.45, 0.45)),
    (5.0, (0.80, 0.80), (0.60, 0.60), (0.35, 0.35)),
    (6.0, (0.75, 0.75), (0.50, 0.50), (0.27, 0.27)),
    (7.0, (0.70, 0.70), (0.42, 0.42), (0.22, 0.22)),
    (8.0, (0.60, 0.60), (0.35, 0.35), (0.18, 0.18)),
    (9.0, (0.52, 0.52), (0.30, 0.30), (0.00, 0.15)),
    (10.0, (0.45, 0.45), (0.26, 0.26), (0.00, 0.13)),
    (11.0, (0.41, 0.41), (0.00, 0.23), (0.00, 0.00)),
    (12.0, (0.37, 0.37), (0.00, 0.21), (0.00, 0.00)),
    (13.0, (0.00, 0.34), (0.00, 0.00), (0.00, 0.00)),
    (14.0, (0.00, 0.31), (0.00, 0.00), (0.00, 0.00)),
    (15.0, (0.00, 0.28), (0.00, 0.00), (0.00, 0.00)),
];

#[cfg(test)]
mod tests {
    use super::*;

    fn easy() -> Task {
        Task {
            load: Kg(20.0),
            reach: Metre(0.25),
            height: Metre(0.75),
            travel: Metre(0.25),
            twist: Degree(0.0),
            lifts_per_minute: 0.0,
            duration: Duration::OneHour,
            grip: Grip::Good,
        }
    }

    // Source: lifting equation tables, clamps.
    #[test]
    fn out_of_range_tasks_get_nothing() {
        for task in [
            Task { reach: Metre(0.64), ..easy() },
            Task { height: Metre(1.76), ..easy() },
            Task { travel: Metre(1.76), ..easy() },
            Task { twist: Degree(136.0), ..easy() },
            Task { lifts_per_minute: 15.5, ..easy() },
        ] {
            let assessment = assess(&task).unwrap();
            assert_eq!((assessment.recommended, assessment.index), (Kg(0.0), None));
        }
        assert!(assess(&Task { load: Kg(f64::NAN), ..easy() }).is_err());
        assert!(assess(&Task { reach: Metre(0.63), ..easy() }).unwrap().recommended.get() > 0.0);
    }

    // Source: lifting equation tables, linear between rows; never rising with frequency or duration.
    #[test]
    fn frequency_falls() {
        let at = |rate, duration| frequency(rate, duration, Metre(0.5));
        assert!((at(2.5, Duration::OneHour) - 0.895).abs() < 1e-12);
        for tenth in 0..160 {
            let rate = f64::from(tenth) / 10.0;
            assert!(at(rate, Duration::OneHour) >= at(rate + 0.1, Duration::OneHour));
            assert!(at(rate, Duration::OneHour) >= at(rate, Duration::TwoHours));
            assert!(at(rate, Duration::TwoHours) >= at(rate, Duration::EightHours));
        }
    }
}
