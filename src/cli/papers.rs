//! `stead completions` and `stead man`: papers made from the arguments themselves.
//!
//! Leans on clap_complete and clap_mangen. Leaves to others: the arguments ([`super::args`]).

use clap::CommandFactory as _;

use super::Outcome;
use super::args::Cli;
use crate::ask::Error;

/// Completions for a shell.
pub fn completions(shell: clap_complete::Shell) -> Outcome {
    let mut text = Vec::new();
    clap_complete::generate(shell, &mut Cli::command(), "stead", &mut text);
    Outcome::new(String::from_utf8_lossy(&text).into_owned(), true)
}

/// The manual: one page, a section for each command.
pub fn manual() -> Result<Outcome, Error> {
    let mut program = Cli::command();
    program.build();
    let failed = |e: std::io::Error| Error::Internal(format!("the manual cannot be made: {e}"));
    let mut text = Vec::new();
    let page = clap_mangen::Man::new(program.clone());
    page.render_title(&mut text).map_err(failed)?;
    page.render_name_section(&mut text).map_err(failed)?;
    page.render_synopsis_section(&mut text).map_err(failed)?;
    page.render_description_section(&mut text).map_err(failed)?;
    page.render_options_section(&mut text).map_err(failed)?;
    let mut all = Vec::new();
    leaves(&program, "stead", &mut all);
    for (name, command) in all {
        let mut section = Vec::new();
        let page = clap_mangen::Man::new(command);
        page.render_synopsis_section(&mut section).map_err(failed)?;
        page.render_description_section(&mut section).map_err(failed)?;
        page.render_options_section(&mut section).map_err(failed)?;
        // Sections of a command stand one step below the command's own.
        let section = String::from_utf8_lossy(&section).replace(".SH ", ".SS ");
        text.extend_from_slice(format!(".SH \"{}\"\n{section}", name.to_uppercase()).as_bytes());
    }
    page.render_extra_section(&mut text).map_err(failed)?;
    page.render_version_section(&mut text).map_err(failed)?;
    Ok(Outcome::new(String::from_utf8_lossy(&text).into_owned(), true))
}

/// Commands that ask something, each with its whole name, options of the program left out.
fn leaves(command: &clap::Command, name: &str, all: &mut Vec<(String, clap::Command)>) {
    for sub in command.get_subcommands().filter(|c| c.get_name() != "help") {
        let name = format!("{name} {}", sub.get_name());
        if sub.has_subcommands() {
            leaves(sub, &name, all);
        } else {
            all.push((name, sub.clone().mut_args(|a| if a.is_global_set() { a.hide(true) } else { a })));
        }
    }
}
