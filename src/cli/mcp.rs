//! `stead mcp`: the same questions as tools for another program, over standard input and output.
//!
//! Leans on what the program hands in. Leaves to others: tools and replies.

use std::io::{self, IsTerminal as _, Write as _};

use super::{Outcome, ToolServer};
use crate::ask::{Engine, Error};

/// Answers until the input ends.
pub fn run(engine: Engine, server: ToolServer) -> Result<Outcome, Error> {
    if io::stdin().is_terminal() {
        // A person sees nothing else; that it cannot be told changes nothing.
        let _ = writeln!(io::stderr(), "stead: a program that speaks MCP starts this; Ctrl-D ends it");
    }
    server(engine).map_err(Error::Listen)?;
    Ok(Outcome::new(String::new(), true))
}
