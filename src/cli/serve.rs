//! `stead serve`: the same questions over HTTP.
//!
//! Leans on nothing yet. Leaves to others: routes and replies.

use super::{Outcome, args};
use crate::ask::{Engine, Error};

/// Serves until the process is told to stop.
pub fn run(engine: Engine, asked: &args::Serve) -> Result<Outcome, Error> {
    serve(engine, &asked.listen)?;
    Ok(Outcome::new(String::new(), true))
}

fn serve(_engine: Engine, listen: &str) -> Result<(), Error> {
    Err(Error::Internal(format!("this build cannot listen on {listen}: it has no server in it")))
}
