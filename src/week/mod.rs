//! Weeks of training: ladders back to a lift after soreness, and fresh variations of one.
//!
//! Leans on the ranking, on carry-over and on what stands on the floor. Leaves to others: strings,
//! loads as they are told and cautions ([`crate::ask`]).

pub mod ladder;
pub mod vary;
