//! The command line: reads arguments, asks, prints the reply, and returns an exit code.
//!
//! Leans on [`crate::ask`] for every answer and on clap for the arguments. Leaves to others: the
//! answers themselves. Answers go to standard output, errors to standard error; a reader that
//! stops reading is no error.

pub mod args;
mod base;
mod carryover;
mod export;
mod find;
mod forces;
mod frontier;
mod kit;
mod ladder;
mod list;
mod load;
mod mcp;
mod output;
mod papers;
mod plot;
mod progress;
mod quantity;
mod serve;
mod show;
mod swap;
mod terms;
pub mod text;
mod vary;
mod week;

use std::ffi::OsString;
use std::io::{self, Write};
use std::path::Path;
use std::process::ExitCode;

use anstream::AutoStream;
use clap::Parser as _;

use crate::ask::{Engine, Error};
use crate::gym::GymError;
use crate::kb::KbError;
use crate::kb::files::Files;
use args::{Cli, Command, Global, Kb};
use text::{Page, WIDTH, alarm, counted, strong, width};

/// How a question ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Code {
    /// An answer.
    Answer,
    /// A sound question without an answer.
    NoAnswer,
    /// An error.
    Error,
}

impl From<Code> for ExitCode {
    fn from(code: Code) -> Self {
        Self::from(match code {
            Code::Answer => 0,
            Code::NoAnswer => 1,
            Code::Error => 2,
        })
    }
}

/// What is printed, and how the question ended.
#[derive(Debug)]
struct Outcome {
    text: String,
    code: Code,
}

impl Outcome {
    /// Text, ended by a line break where it has none, and whether it is an answer.
    fn new(mut text: String, answered: bool) -> Self {
        if !text.is_empty() && !text.ends_with('\n') {
            text.push('\n');
        }
        Self { text, code: if answered { Code::Answer } else { Code::NoAnswer } }
    }
}

/// What serves the same questions over HTTP until the process is told to stop, or says why it
/// cannot. The program hands it in, since one door does not open the other.
pub type Server = fn(Engine, &str) -> Result<(), String>;

/// What answers the same questions over standard input and output until the input ends.
pub type ToolServer = fn(Engine) -> Result<(), String>;

/// The other doors.
#[derive(Debug, Clone, Copy)]
pub struct Doors {
    /// Over HTTP.
    pub http: Server,
    /// As tools of the Model Context Protocol.
    pub mcp: ToolServer,
}

/// Runs one command, `args` beginning with the program's own name.
pub fn run<I, T>(args: I, doors: Doors) -> ExitCode
where
    I: IntoIterator<Item = T>,
    T: Into<OsString>,
{
    let args: Vec<OsString> = args.into_iter().map(Into::into).collect();
    let cli = match Cli::try_parse_from(&args) {
        Ok(cli) => cli,
        Err(e) => return typed_wrongly(&e).into(),
    };
    let code = match one_side(&args, &cli.global).and_then(|()| answer(&cli, doors)) {
        Ok(outcome) => match print(io::stdout(), &outcome.text) {
            Ok(()) => outcome.code,
            Err(e) => fail(&Error::Internal(format!("cannot write the answer: {e}"))),
        },
        Err(e) => fail(&e),
    };
    code.into()
}

fn answer(cli: &Cli, doors: Doors) -> Result<Outcome, Error> {
    // The process ends with the answer, so the base is not taken apart piece by piece.
    let engine = || open(&cli.global).map(|engine| &*Box::leak(Box::new(engine)));
    let json = cli.global.json;
    match &cli.command {
        Command::Swap(asked) => swap::run(engine()?, asked, json),
        Command::Forces(asked) => forces::run(engine()?, asked, json),
        Command::Carryover(asked) => carryover::run(engine()?, asked, json),
        Command::Load(asked) => load::run(engine()?, asked, json),
        Command::Ladder(asked) => ladder::run(engine()?, asked, json),
        Command::Vary(asked) => vary::run(engine()?, asked, json),
        Command::Week(asked) => week::run(engine()?, asked, json),
        Command::Kit(asked) => kit::run(engine()?, asked, json),
        Command::Find(asked) => find::run(engine()?, asked, json),
        Command::Show(asked) => show::run(engine()?, asked, json),
        Command::List(asked) => list::run(engine()?, asked, json),
        Command::Terms(asked) => terms::run(engine()?, asked, json),
        Command::Kb(Kb::Check(asked)) => base::check(&layers(&cli.global, asked.dir.as_deref())?, asked.deep, json),
        Command::Kb(Kb::Score(asked)) => base::score(engine()?, asked, json),
        Command::Kb(Kb::Schema(asked)) => base::schema(asked, json),
        Command::Kb(Kb::Coverage) => base::coverage(engine()?, json),
        Command::Kb(Kb::Stats) => base::stats(engine()?, json),
        Command::Kb(Kb::Export(asked)) => export::run(engine()?, asked, json),
        Command::Kb(Kb::Reference) => base::reference(json),
        Command::Serve(asked) => serve::run(open(&cli.global)?, asked, doors.http),
        Command::Mcp => mcp::run(open(&cli.global)?, doors.mcp),
        Command::Completions(asked) => Ok(papers::completions(asked.shell)),
        Command::Man => papers::manual(),
    }
}

/// An option of every command may stand before the command or behind it. Of one that stands on
/// both sides clap keeps the last place only, which would drop a base or an overlay unsaid.
fn one_side(args: &[OsString], global: &Global) -> Result<(), Error> {
    for (option, read) in [("--kb", usize::from(global.kb.is_some())), ("--overlay", global.overlay.len())] {
        let is_it = |a: &&OsString| a.to_str().is_some_and(|a| a.split('=').next() == Some(option));
        let typed = args.iter().skip(1).take_while(|a| *a != "--").filter(is_it).count();
        if typed != read {
            return Err(Error::Conflict {
                found: format!("{option} stands before and behind the command"),
                pointer: String::new(),
                hint: "write it on one side of the command only".to_string(),
            });
        }
    }
    Ok(())
}

/// The base to ask: as compiled in, unless a folder was named.
fn open(global: &Global) -> Result<Engine, Error> {
    if global.kb.is_none() && global.overlay.is_empty() {
        return Ok(Engine::shipped()?);
    }
    Ok(Engine::from_layers(&layers(global, None)?)?)
}

/// The texts of the base and its overlays; the shipped base where no folder is named.
fn layers(global: &Global, dir: Option<&Path>) -> Result<Vec<Files>, Error> {
    if let (Some(dir), Some(kb)) = (dir, &global.kb) {
        return Err(Error::Conflict {
            found: format!("two bases to check: {} and --kb {}", dir.display(), kb.display()),
            pointer: String::new(),
            hint: "name one of them; --overlay lays another over it".to_string(),
        });
    }
    let mut layers = vec![match dir.or(global.kb.as_deref()) {
        Some(folder) => Files::read(folder).map_err(KbError::from)?,
        None => Engine::shipped_files(),
    }];
    for folder in &global.overlay {
        layers.push(Files::read(folder).map_err(KbError::from)?);
    }
    Ok(layers)
}

/// Help and version are answers; everything else that clap says is an error.
fn typed_wrongly(e: &clap::Error) -> Code {
    if !e.use_stderr() {
        return match print(io::stdout(), &e.render().ansi().to_string()) {
            Ok(()) => Code::Answer,
            Err(_) => Code::Error,
        };
    }
    let mut page = Page::new();
    for line in e.render().to_string().lines() {
        // Columns are left as they stand; only a line that is too wide is set anew.
        if width(line) <= WIDTH { page.verbatim(line) } else { page.line(line) }
    }
    // Nothing is left to tell when standard error itself is gone.
    let _ = print(io::stderr(), &page.finish());
    Code::Error
}

/// Tells an error: what is wrong, the nearest choices, one line of hint.
fn fail(e: &Error) -> Code {
    let mut page = Page::new();
    page.hung(&alarm("error: "), &what(e));
    if let Error::Cells { count, problems } = e {
        for cell in problems {
            page.set("  ", 4, &cell.to_string());
        }
        if *count > problems.len() {
            page.hung("  ", &format!("and {} more", count - problems.len()));
        }
    }
    let near = if matches!(e, Error::Cells { .. }) { Vec::new() } else { e.nearest() };
    if !near.is_empty() {
        let lead = if matches!(e, Error::AmbiguousExercise { .. }) { "one of: " } else { "nearest: " };
        page.hung(lead, &near.iter().map(|n| strong(n)).collect::<Vec<_>>().join(", "));
    }
    if let Some(hint) = hint(e) {
        page.hung("hint: ", &hint);
    }
    // Nothing is left to tell when standard error itself is gone.
    let _ = print(io::stderr(), &page.finish());
    Code::Error
}

/// What is wrong, without the choices and hints that stand on lines of their own.
fn what(e: &Error) -> String {
    match e {
        Error::UnknownExercise { given, .. } => format!("no exercise called {given:?}"),
        Error::AmbiguousExercise { given, .. } => format!("{given:?} could be several exercises"),
        Error::Unknown { what, given, .. } => format!("no {what} called {given:?}"),
        Error::Conflict { found, .. } | Error::Shape { found, .. } => found.clone(),
        Error::Cells { count, .. } => format!("{} wrong in the week", counted(*count, "cell")),
        Error::Gym { problem: GymError::UnknownGym { given, .. }, .. } => {
            format!("no gym called {given:?} in the base")
        }
        Error::Gym { problem: GymError::UnknownItem { given, .. }, .. } => format!("no kit called {given:?}"),
        Error::Gym { .. } | Error::Empty { .. } | Error::Bounds { .. } | Error::File { .. } => e.to_string(),
        Error::Output { .. } | Error::Kb(_) | Error::Listen(_) | Error::Internal(_) => e.to_string(),
    }
}

/// The way out, in one line.
fn hint(e: &Error) -> Option<String> {
    let terms = |kind: &str| Some(format!("`stead terms {kind}` lists them all"));
    match e {
        Error::UnknownExercise { .. } => Some("`stead find WORDS` searches names, muscles and kit".to_string()),
        Error::AmbiguousExercise { .. } => Some("say one of these ids instead".to_string()),
        Error::Unknown { what: "region" | "aggravator", .. } => terms("regions"),
        Error::Unknown { what: "sign", .. } => terms("signs"),
        Error::Unknown { what: "schema", .. } => Some("`stead kb schema` lists them all".to_string()),
        Error::Unknown { what: "thing of the catalogue", .. } => terms("things"),
        Error::Unknown { what: "pattern", .. } => terms("patterns"),
        Error::Unknown { what: "muscle", .. } => terms("muscles"),
        Error::Gym { problem: GymError::UnknownGym { .. }, .. } => {
            Some("`stead terms gyms` lists them; a file ends in .json".to_string())
        }
        Error::Gym { problem: GymError::UnknownItem { .. }, .. } => terms("equipment"),
        Error::Conflict { hint, .. } | Error::Shape { hint, .. } => Some(hint.clone()),
        Error::Cells { .. } => {
            Some("columns: day, exercise, sets, reps; load, unit, rir, weeks-on if you like".to_string())
        }
        Error::File { .. } => Some("name a file that is there and that you may read".to_string()),
        Error::Output { .. } => Some("name a file that is not there yet, in a folder you may write to".to_string()),
        Error::Unknown { .. } | Error::Empty { .. } | Error::Bounds { .. } | Error::Gym { .. } => None,
        Error::Kb(_) | Error::Listen(_) | Error::Internal(_) => None,
    }
}

/// Writes with colour only to a terminal and without `NO_COLOR`; a closed pipe is no error.
fn print<S>(mut stream: S, text: &str) -> io::Result<()>
where
    S: anstream::stream::RawStream + anstream::stream::AsLockedWrite,
{
    let set = |name: &str| std::env::var_os(name).is_some_and(|v| !v.is_empty());
    let plain = set("NO_COLOR") || std::env::var_os("TERM").is_some_and(|v| v == "dumb");
    let written = if stream.is_terminal() && !plain {
        let mut stream = AutoStream::always(stream);
        stream.write_all(text.as_bytes()).and_then(|()| stream.flush())
    } else {
        // Stripped as a whole, so that it goes out in one piece.
        let text = anstream::adapter::strip_str(text).to_string();
        stream.write_all(text.as_bytes()).and_then(|()| stream.flush())
    };
    match written {
        Err(e) if e.kind() == io::ErrorKind::BrokenPipe => Ok(()),
        other => other,
    }
}
