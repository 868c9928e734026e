//! The program: hands the arguments to the command line and returns its exit code.
//!
//! Leans on [`stead::cli`]. Leaves to others: everything.

use std::process::ExitCode;

fn main() -> ExitCode {
    stead::cli::run(std::env::args_os())
}
