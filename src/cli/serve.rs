//! `stead serve`: the same questions over HTTP. Its flags are made from the table of settings.
//!
//! Leans on [`crate::settings`] and on the server that the program hands in. Leaves to others:
//! what the settings mean, routes and replies.

use std::path::PathBuf;

use clap::parser::ValueSource;
use clap::{Arg, ArgMatches, Args, Command, FromArgMatches, value_parser};

use super::{Asked, Outcome, Server};
use crate::ask::{Engine, Error};
use crate::settings::{self, FILE_VARIABLE, SETTINGS, Setting, Settings, SettingsError};

/// `stead serve`: what was typed or stood in the environment.
#[derive(Debug, Default)]
pub struct Serve {
    config: Option<PathBuf>,
    given: Vec<(&'static Setting, String, bool)>,
}

impl Args for Serve {
    fn augment_args(command: Command) -> Command {
        let file = Arg::new("config")
            .long("config")
            .value_name("FILE")
            .env(FILE_VARIABLE)
            .hide_env_values(true)
            .value_parser(value_parser!(PathBuf))
            .help("TOML or JSON file with settings, named as the flags are; a flag beats the environment, the environment beats the file");
        SETTINGS.iter().fold(command.override_usage("stead serve [OPTIONS]").arg(file), |command, setting| {
            let default =
                if setting.default.is_empty() { String::new() } else { format!(" [default: {}]", setting.default) };
            command.arg(
                Arg::new(setting.key)
                    .long(setting.key)
                    .value_name(setting.value)
                    .env(setting.variable)
                    .hide_env_values(true)
                    .help(format!("{}{default}", setting.means)),
            )
        })
    }

    fn augment_args_for_update(command: Command) -> Command {
        Self::augment_args(command)
    }
}

impl FromArgMatches for Serve {
    fn from_arg_matches(matches: &ArgMatches) -> Result<Self, clap::Error> {
        let mut serve = Self::default();
        serve.update_from_arg_matches(matches)?;
        Ok(serve)
    }

    fn update_from_arg_matches(&mut self, matches: &ArgMatches) -> Result<(), clap::Error> {
        // A variable that is set to nothing says nothing.
        self.config = matches.get_one::<PathBuf>("config").filter(|p| !p.as_os_str().is_empty()).cloned();
        for setting in SETTINGS {
            let typed = matches.value_source(setting.key) == Some(ValueSource::CommandLine);
            if let Some(value) = matches.get_one::<String>(setting.key).filter(|v| typed || !v.is_empty()) {
                self.given.push((setting, value.clone(), typed));
            }
        }
        Ok(())
    }
}

impl Serve {
    /// The settings: defaults, then the file, then the environment and the flags.
    fn settings(&self) -> Result<Settings, SettingsError> {
        let mut settings = Settings::default();
        if let Some(path) = &self.config {
            settings::read(path, &mut settings)?;
        }
        for (setting, value, typed) in &self.given {
            let origin = if *typed { format!("--{}", setting.key) } else { setting.variable.to_string() };
            settings.take(setting, value, &origin)?;
        }
        Ok(settings)
    }
}

/// Serves until the process is told to stop. `open` opens the base, and opens it again on a reload.
pub(super) fn run(
    open: impl Fn() -> Result<Engine, Error> + Send + Sync + 'static,
    asked: &Serve,
    server: Server,
) -> Result<Outcome, Error> {
    let settings = asked.settings().map_err(|e| Error::Conflict {
        found: e.to_string(),
        pointer: String::new(),
        hint: e.hint().to_string(),
    })?;
    let engine = open()?;
    server(Asked { engine, settings, reopen: Box::new(open) }).map_err(Error::Listen)?;
    Ok(Outcome::new(String::new(), true))
}
