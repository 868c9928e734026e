//! Loads: what a lift's best says about another's.
//!
//! Leans on the compiled base. Leaves to others: which exercise is worth doing ([`crate::rank`]).

pub mod carryover;
