//! `stead mcp`: the same questions as tools for another program, over standard input and output.
//!
//! Leans on what the program hands in. Leaves to others: tools and replies.

use super::{Outcome, ToolServer};
use crate::ask::{Engine, Error};

/// Answers until the input ends.
pub fn run(engine: Engine, server: ToolServer) -> Result<Outcome, Error> {
    server(engine).map_err(Error::Listen)?;
    Ok(Outcome::new(String::new(), true))
}
