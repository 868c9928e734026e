//! `stead week`: questions about a week of training, one file each.
//!
//! Leans on [`crate::ask::week`]. Leaves to others: each question's text (`audit`) and drawing
//! (`chart`).

mod audit;
mod chart;

use super::args::Week;
use super::{Outcome, args};
use crate::ask::{Engine, Error};

/// Asks and tells.
pub fn run(engine: &Engine, asked: &args::Week, as_json: bool) -> Result<Outcome, Error> {
    match asked {
        Week::Audit(asked) => audit::run(engine, asked, as_json),
    }
}
