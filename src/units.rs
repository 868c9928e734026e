//! Quantities with their unit in the type, and the bounds every one of them must keep.
//!
//! Leans on nothing but the standard library. Leaves to others: what a quantity is used for.
//! The pound is the international avoirdupois pound, exactly 0.453 592 37 kg (1959 agreement,
//! as printed in the practice tables; exact by definition).

use std::fmt;

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, $suffix:literal) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
        pub struct $name(pub f64);

        impl $name {
            /// The bare number, in the unit of the type.
            #[must_use]
            pub const fn get(self) -> f64 {
                self.0
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                write!(f, "{} {}", trim(self.0), $suffix)
            }
        }

        impl std::ops::Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }

        impl std::ops::Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
            }
        }

        impl std::ops::Mul<f64> for $name {
            type Output = Self;
            fn mul(self, factor: f64) -> Self {
                Self(self.0 * factor)
            }
        }
    };
}

quantity!(
    /// A mass in kilograms: body mass, bar, plates, or the load of a set.
    Kg, "kg"
);
quantity!(
    /// A force in newtons.
    Newton, "N"
);
quantity!(
    /// A moment of force in newton metres.
    NewtonMetre, "N·m"
);
quantity!(
    /// A plane angle in degrees.
    Degree, "deg"
);
quantity!(
    /// A length in metres.
    Metre, "m"
);
quantity!(
    /// A share in per cent (100 is the whole).
    Percent, "%"
);

/// Kilograms in one pound, exact.
pub const KG_PER_LB: f64 = 0.453_592_37;

/// Standard gravity as the mechanics tables use it, in m/s².
pub const GRAVITY: f64 = 9.81;

impl Kg {
    /// The mass that `pounds` weigh.
    #[must_use]
    pub fn from_pounds(pounds: f64) -> Self {
        Self(pounds * KG_PER_LB)
    }

    /// This mass in pounds.
    #[must_use]
    pub fn pounds(self) -> f64 {
        self.0 / KG_PER_LB
    }

    /// The weight of this mass under [`GRAVITY`].
    #[must_use]
    pub fn weight(self) -> Newton {
        Newton(self.0 * GRAVITY)
    }
}

/// A mass in whole ten-billionths of a kilogram: pounds, their quarters and kilograms add up
/// without rounding.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct ExactMass(i64);

impl ExactMass {
    const IN_KG: f64 = 1e10;
    const IN_LB: f64 = 4_535_923_700.0;

    /// The nearest to `kg` kilograms; masses beyond any load stay at the greatest there is.
    #[must_use]
    pub fn from_kg(kg: f64) -> Self {
        Self((kg * Self::IN_KG).round() as i64)
    }

    /// The nearest to `pounds` pounds.
    #[must_use]
    pub fn from_pounds(pounds: f64) -> Self {
        Self((pounds * Self::IN_LB).round() as i64)
    }

    /// In kilograms.
    #[must_use]
    pub fn kg(self) -> Kg {
        Kg(self.0 as f64 / Self::IN_KG)
    }

    /// So many of it.
    #[must_use]
    pub const fn times(self, n: i64) -> Self {
        Self(self.0.saturating_mul(n))
    }
}

impl std::ops::Add for ExactMass {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0.saturating_add(other.0))
    }
}

impl std::ops::Sub for ExactMass {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0.saturating_sub(other.0))
    }
}

impl Degree {
    /// Sine of the angle.
    #[must_use]
    pub fn sin(self) -> f64 {
        self.0.to_radians().sin()
    }

    /// Cosine of the angle.
    #[must_use]
    pub fn cos(self) -> f64 {
        self.0.to_radians().cos()
    }
}

/// A number without a needless fraction: `82.5`, `100`.
#[must_use]
pub fn trim(value: f64) -> String {
    let text = format!("{value:.2}");
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_string() } else { text }
}

/// The smallest and largest value that a named quantity may take, written once and used by the
/// base check, by the reading of questions and by the generators of the tests.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bound {
    /// What a person calls the quantity.
    pub name: &'static str,
    /// Its unit, empty for a bare number.
    pub unit: &'static str,
    /// Smallest value allowed.
    pub min: f64,
    /// Largest value allowed.
    pub max: f64,
}

/// A value that left its [`Bound`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OutOfBounds {
    /// The bound that was left.
    pub bound: Bound,
    /// The value that was given.
    pub value: f64,
}

impl fmt::Display for OutOfBounds {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Bound { name, unit, min, max } = self.bound;
        let unit = if unit.is_empty() { String::new() } else { format!(" {unit}") };
        write!(f, "{name} {}{unit} is outside {} to {}{unit}", trim(self.value), trim(min), trim(max))
    }
}

impl std::error::Error for OutOfBounds {}

impl Bound {
    /// Gives `value` back when it is finite and within the bound.
    ///
    /// # Errors
    /// [`OutOfBounds`] with the value and the bound, also for NaN and infinities.
    pub fn check(self, value: f64) -> Result<f64, OutOfBounds> {
        if value.is_finite() && value >= self.min && value <= self.max {
            Ok(value)
        } else {
            Err(OutOfBounds { bound: self, value })
        }
    }
}

/// Defines bounds by constant, and the list of them all for sweeps in tests and the reference.
macro_rules! bounds {
    ($($id:ident = $name:literal, $unit:literal, $min:expr, $max:expr;)*) => {
        $(#[doc = concat!("Bound of the ", $name, ".")]
        pub const $id: Bound = Bound { name: $name, unit: $unit, min: $min, max: $max };)*
        /// All bounds of this list.
        pub const ALL: &[Bound] = &[$($id),*];
    };
}
pub(crate) use bounds as define_bounds;

/// Every bound by constant; the numbers are wide limits of plausibility (practice, no source).
pub mod bounds {
    use super::{Bound, define_bounds};

    define_bounds! {
        BODY_MASS = "body mass", "kg", 25.0, 300.0;
        HEIGHT = "body height", "m", 1.2, 2.3;
        LOAD = "load", "kg", 0.0, 600.0;
        STOCK = "stock of plates", "kg", 0.0, 5000.0;
        TRUNK_ANGLE = "trunk angle", "deg", -30.0, 110.0;
        KNEE_ANGLE = "knee angle", "deg", 20.0, 180.0;
        JOINT_GRADE = "joint grade", "", 0.0, 4.0;
        SKILL = "skill", "", 1.0, 5.0;
        USUAL = "usualness", "", 1.0, 5.0;
        PAIN = "pain", "", 0.0, 10.0;
        MUSCLE_WEIGHT = "muscle weight", "", 0.25, 1.0;
        LOAD_SHARE = "share of the anchor lift", "", 0.0, 3.0;
        CARRY_OVER = "ratio of two lifts", "", 0.02, 10.0;
        BODY_SHARE = "share of body mass moved", "", 0.05, 1.0;
        REPETITIONS = "repetitions or seconds", "", 1.0, 7200.0;
        RESERVE = "repetitions in reserve", "", 0.0, 10.0;
        WEEKS_OFF = "weeks off", "", 0.0, 200.0;
        AGE = "age", "years", 12.0, 100.0;
        SETS_OF_WEEK = "sets of a week", "", 0.0, 1000.0;
        PLAN_WEEKS = "weeks of a plan", "", 1.0, 52.0;
        BLOCK_WEEKS = "weeks of a block", "", 1.0, 16.0;
        CEILING = "ceiling height", "m", 1.8, 12.0;
        HEADROOM = "headroom", "m", 0.5, 6.0;
        SETS = "sets", "", 1.0, 100.0;
        METRES = "metres of a set", "m", 1.0, 5000.0;
        TOLERANCE = "tolerance", "%", 0.0, 100.0;
        WEEKS = "weeks", "", 0.0, 520.0;
        POINTS = "spine points of a week", "", 0.0, 2000.0;
        SWEEP_STEPS = "steps of a sweep", "", 0.0, 200.0;
        ANSWERS = "number of answers", "", 1.0, 50.0;
        TERM_WEIGHT = "term weight", "", 0.0, 100.0;
        PRICE = "price", "", 0.0, 1_000_000.0;
        PRICE_FACTOR = "price factor", "", 0.000_1, 100_000.0;
        BUDGET = "budget", "", 0.0, 1_000_000_000.0;
        FLOOR = "floor area", "m2", 0.0, 1000.0;
        ANSWER_FLOOR = "score that is worth nothing", "", 0.0, 99.0;
        LEAST_GAIN = "least gain", "", 0.0, 100.0;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pounds_are_exact() {
        // Source: international yard and pound agreement, 1959: 1 lb = 0.453 592 37 kg exactly.
        assert!((Kg::from_pounds(45.0).get() - 20.411_656_65).abs() < 1e-9);
        assert!((Kg(20.0).pounds() - 44.092_452_436_975_5).abs() < 1e-9);
    }

    #[test]
    fn exact_masses_add_up() {
        let plates = ExactMass::from_pounds(45.0) + ExactMass::from_pounds(2.5).times(2) + ExactMass::from_kg(0.25);
        assert_eq!(plates, ExactMass::from_pounds(50.0) + ExactMass::from_kg(0.25));
        assert_eq!(ExactMass::from_kg(Kg::from_pounds(185.0).get()), ExactMass::from_pounds(185.0));
        assert_eq!(ExactMass::from_kg(82.5).kg(), Kg(82.5));
    }

    #[test]
    fn bounds_have_distinct_names_and_order() {
        let mut names: Vec<_> = bounds::ALL.iter().map(|b| b.name).collect();
        names.sort_unstable();
        let before = names.len();
        names.dedup();
        assert_eq!(before, names.len());
        assert!(bounds::ALL.iter().all(|b| b.min < b.max));
    }

    #[test]
    fn a_value_that_is_no_number_is_out_of_bounds() {
        assert!(bounds::PAIN.check(f64::NAN).is_err());
        assert_eq!(bounds::PAIN.check(11.0).unwrap_err().to_string(), "pain 11 is outside 0 to 10");
    }
}
