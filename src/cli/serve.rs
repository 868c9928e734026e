//! `stead serve`: the same questions over HTTP.
//!
//! Leans on the server that the program hands in. Leaves to others: routes and replies.

use super::{Outcome, Server, args};
use crate::ask::{Engine, Error};

/// Serves until the process is told to stop.
pub fn run(engine: Engine, asked: &args::Serve, server: Server) -> Result<Outcome, Error> {
    server(engine, &asked.listen).map_err(Error::Listen)?;
    Ok(Outcome::new(String::new(), true))
}
