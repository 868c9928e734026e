//! A week of training as data, and what is made of it: counts, spine dose, findings.
//!
//! Leans on the compiled base, the gym and the chart of bests. Leaves to others: where a week comes
//! from and how it looks ([`crate::ask`]). Rows name exercises by row of the base.

pub mod audit;
pub mod count;
pub mod data;
pub mod dose;
pub mod mend;

pub use data::{Day, Row, Week, Work, WorkUnit};
