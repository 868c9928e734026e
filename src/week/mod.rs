//! Weeks of training: a week as data with its counts, spine dose and findings; ladders back to a
//! lift after soreness, and fresh variations of one.
//!
//! Leans on the compiled base, the ranking, the gym, carry-over and the chart of bests. Leaves to
//! others: strings, loads as they are told and cautions ([`crate::ask`]). Rows name exercises by
//! row of the base.

pub mod audit;
pub mod count;
pub mod data;
pub mod deload;
pub mod dose;
pub mod ladder;
pub mod mend;
pub mod vary;

pub use data::{Day, Row, Week, Work, WorkUnit};
