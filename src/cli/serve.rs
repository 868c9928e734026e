//! `stead serve`: the same questions over HTTP.
//!
//! Leans on [`crate::http`]. Leaves to others: routes and replies.

use super::{Outcome, args};
use crate::ask::{Engine, Error};

/// Serves until the process is told to stop.
pub fn run(engine: Engine, asked: &args::Serve) -> Result<Outcome, Error> {
    crate::http::serve(engine, &asked.listen).map_err(|e| Error::Listen(e.to_string()))?;
    Ok(Outcome::new(String::new(), true))
}
