//! The smallest change to a week that clears its findings.
//!
//! Leans on the audit of the week, the ranking and carry-over. Leaves to others: how the changes
//! are told ([`crate::ask`]).

pub mod model;
pub mod solve;
