//! Loads: a best from a set of several, one lift's best from another's, and where to start.
//!
//! Leans on the compiled base for every figure that is no formula. Leaves to others: which exercise
//! is worth doing ([`crate::rank`]), and what the weights on the floor make up ([`crate::gym`]).

pub mod begin;
pub mod carryover;
pub mod rep_max;
pub mod start;
