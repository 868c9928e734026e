//! One test binary; each module says what belongs there.

/// The command line from outside.
#[path = "all/cli.rs"]
mod cli;
