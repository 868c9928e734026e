//! What can be wrong with a question to the mechanics, and how to say it.
//!
//! Leans on `units` for bounds. Leaves to others: where in a request or a record the value stood.

use std::fmt;

use crate::units::{Metre, Newton, OutOfBounds, trim};

/// Why the mechanics gave no figure. Each message names the value and the way out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Error {
    /// A quantity left its bound, or was not a number.
    OutOfBounds(OutOfBounds),
    /// No shank angle puts body and load over the middle of the foot.
    NoBalance {
        /// How far off mid-foot the best attempt stays, forwards positive.
        nearest: Metre,
    },
    /// The load is too far from the middle of the foot for a two-foot free-weight lift.
    LoadOffFoot {
        /// Horizontal distance of the load in front of mid-foot.
        offset: Metre,
        /// Largest distance accepted, either way.
        allowed: Metre,
    },
    /// The hand cannot be where the load is.
    OutOfReach {
        /// Horizontal distance asked of the arm.
        wanted: Metre,
        /// Length of the straight arm to the grip.
        reach: Metre,
    },
    /// One of two contacts would have to pull the body down.
    LiftsOff {
        /// The reaction that statics asks of that contact, upwards positive.
        reaction: Newton,
    },
    /// Two contacts lie so close together that the split between them has no meaning.
    ContactsTooClose {
        /// Horizontal distance between the contacts.
        distance: Metre,
    },
    /// The co-contraction asked for eats the whole leverage of the working muscle.
    NoLeverage {
        /// What is left of the working muscle's arm.
        left: Metre,
    },
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::OutOfBounds(inner) => inner.fmt(f),
            Self::NoBalance { nearest } => write!(
                f,
                "no shank angle balances this posture over the foot (nearest {nearest} off mid-foot); \
                 give the shank angle or change trunk, knee or load"
            ),
            Self::LoadOffFoot { offset, allowed } => {
                write!(f, "the load is {offset} in front of mid-foot; a two-foot lift keeps it within {allowed}")
            }
            Self::OutOfReach { wanted, reach } => write!(
                f,
                "the hand would be {wanted} from the shoulder, but the arm reaches {reach}; \
                 bring the load closer or give the arm angles"
            ),
            Self::LiftsOff { reaction } => write!(
                f,
                "a contact would have to pull with {} N; move the contacts so that the body lies between them",
                trim(reaction.get().abs())
            ),
            Self::ContactsTooClose { distance } => {
                write!(f, "the two contacts are only {distance} apart; keep them at least 0.05 m apart")
            }
            Self::NoLeverage { left } => {
                write!(f, "co-contraction leaves a muscle arm of {left}; lower the co-contraction or lengthen the arm")
            }
        }
    }
}

impl std::error::Error for Error {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            Self::OutOfBounds(inner) => Some(inner),
            _ => None,
        }
    }
}

impl From<OutOfBounds> for Error {
    fn from(inner: OutOfBounds) -> Self {
        Self::OutOfBounds(inner)
    }
}
