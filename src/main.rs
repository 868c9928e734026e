//! The program: hands the arguments and the server to the command line, returns its exit code.
//!
//! Leans on [`stead::cli`] and [`stead::http`]. Leaves to others: everything.

use std::process::ExitCode;

fn main() -> ExitCode {
    stead::cli::run(std::env::args_os(), |asked| {
        stead::http::serve(asked.engine, asked.settings, Some(asked.reopen)).map_err(|e| e.to_string())
    })
}
