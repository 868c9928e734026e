//! The program: hands the arguments and the servers to the command line, returns its exit code.
//!
//! Leans on [`stead::cli`], [`stead::http`] and [`stead::mcp`]. Leaves to others: everything.

use std::process::ExitCode;

fn main() -> ExitCode {
    let doors = stead::cli::Doors {
        http: |engine, listen| stead::http::serve(engine, listen).map_err(|e| e.to_string()),
        mcp: |engine| stead::mcp::serve(engine).map_err(|e| e.to_string()),
    };
    stead::cli::run(std::env::args_os(), doors)
}
