//! How much spinal loading repetitions add up to, and the industrial dose models beside it.
//!
//! Leans on `units`. Leaves to others: compression of one repetition (`lumbar`), the week and what
//! it is compared with. The sum for training is called relative spinal loading: it is a bounded
//! weighting for comparing weeks, no measure of harm.

use super::anthropometry::Sex;
use super::{Error, limits};
use crate::units::{Newton, NewtonMetre, bounds};

/// Relative spinal loading of some sets: the sum over repetitions of `(C / 3 400 N)^p`.
///
/// # Errors
/// [`Error::OutOfBounds`] for a compression or repetition count outside its bound.
pub fn relative_loading(work: &[Work], power: Power) -> Result<f64, Error> {
    work.iter().map(|item| item.loading(power)).sum()
}

/// Some equal sets of one lift.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Work {
    /// Sets.
    pub sets: u32,
    /// Repetitions of each set.
    pub repetitions: u32,
    /// Compression of one repetition.
    pub compression: Newton,
}

impl Work {
    /// Relative spinal loading of these sets.
    ///
    /// # Errors
    /// [`Error::OutOfBounds`] for a compression or repetition count outside its bound.
    pub fn loading(&self, power: Power) -> Result<f64, Error> {
        limits::COMPRESSION.check(self.compression.get())?;
        bounds::REPETITIONS.check(f64::from(self.repetitions))?;
        let one = (self.compression.get() / REFERENCE.get()).powi(power.exponent());
        Ok(f64::from(self.sets) * f64::from(self.repetitions) * one)
    }
}

/// How strongly heavy repetitions count.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Power {
    /// Square, as in the Mainz-Dortmund weighting (seen). The default.
    #[default]
    Two,
    /// Fourth power, to see whether an answer hangs on the weighting (derived).
    Four,
}

impl Power {
    /// The exponent.
    #[must_use]
    pub fn exponent(self) -> i32 {
        match self {
            Self::Two => 2,
            Self::Four => 4,
        }
    }
}

/// Compression at which one repetition counts as one: the NIOSH criterion (seen).
pub const REFERENCE: Newton = Newton(3400.0);

/// What must be said wherever the LiFFT figures are shown.
pub const LIFFT_CAUTION: &str = "fitted to industrial lifts below 100 N·m of load moment; not for \
     barbell lifts, where it explodes, and blind to healing, training and body weight";

/// LiFFT cycle share of one industrial lift, `exp(0.038 M + 0.32) / 1 902 416` with the load moment
/// in newton metres (Gallagher 2017; coefficients second hand, 0.038 per N·m confirmed by the
/// abstract of Zelik 2022). Refused above 100 N·m: see [`LIFFT_CAUTION`].
///
/// # Errors
/// [`Error::OutOfBounds`] for a moment outside 0 to 100 N·m.
pub fn lifft_per_cycle(load_moment: NewtonMetre) -> Result<f64, Error> {
    let moment = limits::LIFFT_MOMENT.check(load_moment.get())?;
    Ok((LIFFT_SLOPE * moment + LIFFT_START).exp() / LIFFT_CYCLES)
}

/// LiFFT sum of a day of industrial lifts, each given as load moment and count.
///
/// # Errors
/// [`Error::OutOfBounds`] as for [`lifft_per_cycle`], or for a count outside its bound.
pub fn lifft_day(lifts: &[(NewtonMetre, f64)]) -> Result<f64, Error> {
    lifts.iter().map(|(moment, cycles)| Ok(limits::CYCLES.check(*cycles)? * lifft_per_cycle(*moment)?)).sum()
}

/// LiFFT share of jobs like this that were high-risk ones (12 or more injuries in 200 000 hours;
/// definition seen, coefficients second hand). A statement about jobs, not about a person.
#[must_use]
pub fn lifft_high_risk_share(day: f64) -> f64 {
    if day.is_nan() || day <= 0.0 {
        return 0.0;
    }
    let y = 1.72 + 1.03 * day.log10();
    1.0 / (1.0 + (-y).exp())
}

/// Cycles to failure in the laboratory at a share of strength in per cent (second hand).
///
/// # Errors
/// [`Error::OutOfBounds`] for a share outside 0 to 100 per cent.
pub fn cycles_to_failure(strength_percent: f64) -> Result<f64, Error> {
    let share = limits::STRENGTH_SHARE.check(strength_percent)?;
    Ok(902_416.0 * (-0.162 * share).exp())
}

/// Mainz-Dortmund shift dose in newton hours: `sqrt(8 h * sum F^2 t)` (weighting seen, formula
/// memory). An occupational figure, given for comparison.
///
/// # Errors
/// [`Error::OutOfBounds`] for a force or time outside its bound.
pub fn shift_dose(loads: &[(Newton, f64)]) -> Result<f64, Error> {
    let mut sum = 0.0;
    for (force, seconds) in loads {
        let force = limits::COMPRESSION.check(force.get())?;
        let seconds = limits::SECONDS.check(*seconds)?;
        sum += force * force * seconds / 3600.0;
    }
    Ok((8.0 * sum).sqrt())
}

/// Recommended maximum compression by age and sex, revised 2018 (Jäger; end values memory, straight
/// lines between them derived). A scale by age and sex, no lifting ban. Ages below 20 and above 60
/// take the nearest value.
///
/// # Errors
/// [`Error::OutOfBounds`] for an age outside its bound.
pub fn dortmund_limit(age_years: f64, sex: Sex) -> Result<Newton, Error> {
    let age = bounds::AGE.check(age_years)?.clamp(20.0, 60.0);
    let table = match sex {
        Sex::Male => DORTMUND_MEN,
        Sex::Female => DORTMUND_WOMEN,
    };
    let mut before: Option<(f64, f64)> = None;
    for (years, newtons) in table {
        if age <= years {
            return Ok(Newton(match before {
                Some((earlier, more)) => more + (age - earlier) / (years - earlier) * (newtons - more),
                None => newtons,
            }));
        }
        before = Some((years, newtons));
    }
    Ok(Newton(before.map_or(0.0, |(_, newtons)| newtons)))
}

const LIFFT_SLOPE: f64 = 0.038;
const LIFFT_START: f64 = 0.32;
const LIFFT_CYCLES: f64 = 1_902_416.0;
const DORTMUND_MEN: [(f64, f64); 5] = [(20.0, 5400.0), (30.0, 4600.0), (40.0, 3800.0), (50.0, 3000.0), (60.0, 2200.0)];
const DORTMUND_WOMEN: [(f64, f64); 5] =
    [(20.0, 4100.0), (30.0, 3300.0), (40.0, 2500.0), (50.0, 1800.0), (60.0, 1000.0)];

#[cfg(test)]
mod tests {
    use super::*;

    // Source: structure only; the table itself is from memory and is not asserted.
    #[test]
    fn recommendation_falls_with_age_and_is_held_at_the_ends() {
        for sex in [Sex::Female, Sex::Male] {
            let at = |age| dortmund_limit(age, sex).unwrap().get();
            for year in 12..99 {
                assert!(at(f64::from(year)) >= at(f64::from(year + 1)));
            }
            assert_eq!((at(15.0), at(90.0)), (at(20.0), at(60.0)));
            assert!((at(35.0) - 0.5 * (at(30.0) + at(40.0))).abs() < 1e-9);
        }
        assert!(dortmund_limit(f64::NAN, Sex::Male).is_err());
    }

    #[test]
    fn lifft_refuses_barbell_moments() {
        assert!(lifft_per_cycle(NewtonMetre(300.0)).is_err());
        assert!(lifft_day(&[(NewtonMetre(50.0), f64::NAN)]).is_err());
        assert_eq!(lifft_high_risk_share(0.0), 0.0);
    }
}
