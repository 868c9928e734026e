//! What was typed: every command and option as data; help, completions and manual come from here.
//!
//! Leans on clap and on the closed lists of words in [`crate::kb::raw`]. Leaves to others: what
//! the words mean (`swap` and its neighbours), and whether the base knows them.

use std::path::PathBuf;

use clap::builder::{PossibleValue, PossibleValuesParser, TypedValueParser};
use clap::{Args, Parser, Subcommand};

use super::text::WIDTH;
use crate::ask::export::Form;
use crate::ask::forces::Sex;
use crate::ask::terms::KINDS;
use crate::kb::raw::{Aim, MassUnit, Role, Situation, SpineClass, Training};

/// Shown below the help of the program and in the manual.
pub const EXIT_CODES: &str = "\
Exit codes:
  0  an answer
  1  a sound question without an answer: no substitute,
     hit, ratio or load, or a warning sign that asks for
     help, not exercise
  2  an error: a word the base does not know, a broken base,
     a file that cannot be read

Examples:
  stead swap back squat --sore low-back --gym boathouse
  stead swap bench press --sore shoulder=6 --have dumbbells
  stead forces deadlift --load 100kg --sweep load=20..140:20
  stead carryover back squat to front squat
  stead load deadlift --did 100kgx5 --for 8
  stead week audit examples/weeks/cox.csv
  stead kit --gym boathouse --budget 600 --floor 2.5m2
  stead find rdl
  stead terms regions";

/// What to train instead, when something is sore or kit is short.
///
/// Names an exercise's substitutes for the kit at hand, with every reason shown. General
/// training information, not a diagnosis.
#[derive(Debug, Parser)]
#[command(name = "stead", version, max_term_width = WIDTH, after_help = EXIT_CODES)]
#[command(override_usage = "stead [OPTIONS] COMMAND", subcommand_value_name = "COMMAND")]
pub struct Cli {
    /// Options of every command.
    #[command(flatten)]
    pub global: Global,
    /// The question.
    #[command(subcommand)]
    pub command: Command,
}

/// Options of every command.
#[derive(Debug, Args)]
pub struct Global {
    /// Folder that replaces the shipped base
    #[arg(long, global = true, value_name = "DIR", help_heading = "Base and output")]
    pub kb: Option<PathBuf>,
    /// Folder that adds, changes or hides records; repeatable
    #[arg(long, global = true, value_name = "DIR", help_heading = "Base and output")]
    pub overlay: Vec<PathBuf>,
    /// Print the reply as JSON, the same as over HTTP
    #[arg(long, global = true, help_heading = "Base and output")]
    pub json: bool,
}

/// The questions.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// What to do instead of an exercise
    Swap(Box<Swap>),
    /// What an exercise asks of spine and joints, estimated
    Forces(Box<Forces>),
    /// How much of one lift another is, and how sure that is
    Carryover(Carryover),
    /// What to put on the bar for a first set
    Load(Box<Load>),
    /// Rungs back to a lift that something sore keeps you from
    Ladder(Box<Ladder>),
    /// Fresh variations of a lift or a week, and a plan
    Vary(Box<Vary>),
    /// A week of training: what it carries, what stands out
    #[command(subcommand, override_usage = "stead week [OPTIONS] COMMAND", subcommand_value_name = "COMMAND")]
    Week(Week),
    /// Which kit to buy next for your money, floor and ceiling
    Kit(Box<Kit>),
    /// Search exercises by words, with slips and short forms
    Find(Find),
    /// One exercise whole, with its neighbours
    Show(Show),
    /// Exercises that meet every filter
    List(List),
    /// Words to use: patterns, regions, kit, signs ...
    Terms(Terms),
    /// Look after a base: check, score, count, export ...
    #[command(subcommand, override_usage = "stead kb [OPTIONS] COMMAND", subcommand_value_name = "COMMAND")]
    Kb(Kb),
    /// Answer the same questions over HTTP
    Serve(Serve),
    /// Answer a program over standard input and output (MCP)
    Mcp,
    /// Print completions for a shell
    Completions(Completions),
    /// Print the manual page (stead man | man -l -)
    Man,
}

/// `stead swap`.
#[derive(Debug, Default, Args)]
#[command(override_usage = "stead swap EXERCISE [OPTIONS]")]
pub struct Swap {
    /// Exercise to replace: id, name, alias or a near miss
    #[arg(value_name = "EXERCISE", num_args = 1.., required_unless_present = "sign")]
    pub exercise: Vec<String>,
    /// What is sore, what brings it on, and how much: mild, moderate, severe or pain from 0 to
    /// 10; moderate when not said. Repeatable. As in knee, shoulder=6, low-back:flexion=mild
    #[arg(long, value_name = "REGION[:AGGRAVATOR][=LEVEL]")]
    pub sore: Vec<String>,
    /// Gym of the base by id, or a file with one gym
    #[arg(long, value_name = "NAME|FILE.json")]
    pub gym: Option<String>,
    /// Kit you have; with --gym, kit besides
    #[arg(long, value_name = "ITEM,...", value_delimiter = ',')]
    pub have: Vec<String>,
    /// Count makeshift set-ups as kit; each says how and what to beware of
    #[arg(long)]
    pub improvise: bool,
    /// What you train for [default: size]
    #[arg(long, value_parser = aim())]
    pub aim: Option<Aim>,
    /// Most spine load you want
    #[arg(long, value_name = "CLASS", value_parser = spine())]
    pub max_spine: Option<SpineClass>,
    /// Most skill you want, 1 to 5
    #[arg(long, value_name = "N")]
    pub max_skill: Option<u8>,
    /// Exercise you do not want; repeatable
    #[arg(long, value_name = "EXERCISE")]
    pub skip: Vec<String>,
    /// How many substitutes, 1 to 50 [default: 5]
    #[arg(long, value_name = "N")]
    pub top: Option<usize>,
    /// Show every point of every score
    #[arg(long)]
    pub why: bool,
    /// Warning sign you have (stead terms signs); repeatable
    #[arg(long, value_name = "SIGN")]
    pub sign: Vec<String>,
    /// A set you did with it, as in 100kgx5, 225lbx5 or bwx8: tells the load of a first set
    /// of each substitute
    #[arg(long, value_name = "LOADxREPS")]
    pub did: Option<String>,
    /// Repetitions that you had left in that set [default: 0]
    #[arg(long, value_name = "N")]
    pub rir: Option<f64>,
    /// Repetitions of the first set [default: as many as you did, in the lift's range]
    #[arg(long = "for", value_name = "N")]
    pub for_reps: Option<u32>,
    /// Load you use, both hands together, as in 100kg or 225lb: compares the spine load of
    /// both lifts
    #[arg(long, value_name = "LOAD")]
    pub load: Option<String>,
    /// Your body mass, beside --load or --did [default: 80kg]
    #[arg(long, value_name = "MASS")]
    pub body_mass: Option<String>,
    /// Your height, beside --load [default: 1.75m]
    #[arg(long, value_name = "HEIGHT")]
    pub height: Option<String>,
    /// Your sex, beside --load or --did [default: m]
    #[arg(long, value_parser = sex())]
    pub sex: Option<Sex>,
}

/// `stead forces`.
#[derive(Debug, Default, Args)]
#[command(override_usage = "stead forces EXERCISE [OPTIONS]")]
pub struct Forces {
    /// Exercise: id, name, alias or a near miss
    #[arg(value_name = "EXERCISE", num_args = 1.., required_unless_present = "sign")]
    pub exercise: Vec<String>,
    /// Load, both hands together, as in 100kg, 225lb or 100
    /// [default: a typical working load]
    #[arg(long, value_name = "LOAD")]
    pub load: Option<String>,
    /// Body mass, as in 80kg or 176lb [default: 80kg]
    #[arg(long, value_name = "MASS")]
    pub body_mass: Option<String>,
    /// Height, as in 1.75m or 175cm [default: 1.75m]
    #[arg(long, value_name = "HEIGHT")]
    pub height: Option<String>,
    /// Sex, for body tables and muscle arms [default: m]
    #[arg(long, value_parser = sex())]
    pub sex: Option<Sex>,
    /// Trunk angle from upright instead of the usual one
    #[arg(long, value_name = "DEG", allow_hyphen_values = true)]
    pub lean: Option<String>,
    /// Sets, for the relative spinal loading; needs --reps
    #[arg(long, value_name = "N")]
    pub sets: Option<u32>,
    /// Repetitions of a set, for the relative spinal loading
    #[arg(long, value_name = "N")]
    pub reps: Option<u32>,
    /// How strongly heavy repetitions count: 2 or 4
    /// [default: 2]
    #[arg(long, value_name = "P")]
    pub dose_power: Option<u8>,
    /// Tell the figure with a belt and a full breath too
    #[arg(long)]
    pub belt: bool,
    /// Table over load or lean, at most 200 steps, as in
    /// load=20..140:20 or lean=0..80:10
    #[arg(long, value_name = "WHAT=FROM..TO:STEP")]
    pub sweep: Option<String>,
    /// Print the sweep as CSV
    #[arg(long, requires = "sweep")]
    pub csv: bool,
    /// Draw the sweep into a new file; an existing file is
    /// never replaced
    #[arg(long, value_name = "FILE", requires = "sweep")]
    pub svg: Option<PathBuf>,
    /// Warning sign you have (stead terms signs); repeatable
    #[arg(long, value_name = "SIGN")]
    pub sign: Vec<String>,
}

/// `stead carryover`.
#[derive(Debug, Args)]
#[command(override_usage = "stead carryover FROM TO [OPTIONS]")]
pub struct Carryover {
    /// The lift whose best you know, then the other, each in
    /// quotation marks, or one "to" between them
    #[arg(value_name = "LIFT", num_args = 1.., required = true)]
    pub lifts: Vec<String>,
}

/// `stead load`.
#[derive(Debug, Default, Args)]
#[command(override_usage = "stead load FROM [TO] [OPTIONS]")]
pub struct Load {
    /// The lift you know, then the other, each in quotation
    /// marks, or one "to" between them; one alone is both
    #[arg(value_name = "LIFT", num_args = 1.., required_unless_present = "sign")]
    pub lifts: Vec<String>,
    /// A set you did, as in 100kgx5 or 225lbx5, counted as
    /// lifters count it; of a lift with the body what you
    /// added, bwx8 for nothing
    #[arg(long, value_name = "LOADxREPS")]
    pub did: Option<String>,
    /// Repetitions that you had left in that set [default: 0]
    #[arg(long, value_name = "N")]
    pub rir: Option<f64>,
    /// Repetitions of the set you want
    /// [default: as many as you did, in the lift's range]
    #[arg(long = "for", value_name = "N")]
    pub for_reps: Option<u32>,
    /// Repetitions to leave in it [default: as is usual]
    #[arg(long, value_name = "N")]
    pub target_rir: Option<f64>,
    /// Put together just this load, or name the nearest
    #[arg(long, value_name = "LOAD")]
    pub build: Option<String>,
    /// Pain in this lift, 0 to 10
    #[arg(long, value_name = "N")]
    pub pain: Option<f64>,
    /// How the lift stands to what you did lately: familiar
    /// (or same), variant, new-pattern (or new),
    /// unknown-machine (or machine), time-off (or off)
    #[arg(long, value_name = "HOW", value_parser = situation())]
    pub familiar: Option<Situation>,
    /// Weeks off, with --familiar time-off
    #[arg(long, value_name = "N")]
    pub weeks_off: Option<u32>,
    /// Gym of the base by id, or a file with one gym
    #[arg(long, value_name = "NAME|FILE.json")]
    pub gym: Option<String>,
    /// Kit you have; with --gym, kit besides
    #[arg(long, value_name = "ITEM,...", value_delimiter = ',')]
    pub have: Vec<String>,
    /// Unit to tell loads in [default: that of --did]
    #[arg(long, value_parser = mass_unit())]
    pub unit: Option<MassUnit>,
    /// Your body mass [default: 80kg]
    #[arg(long, value_name = "MASS")]
    pub body_mass: Option<String>,
    /// Your sex, where figures differ [default: m]
    #[arg(long, value_parser = sex())]
    pub sex: Option<Sex>,
    /// Warning sign you have (stead terms signs); repeatable
    #[arg(long, value_name = "SIGN")]
    pub sign: Vec<String>,
}

/// `stead ladder`.
#[derive(Debug, Default, Args)]
#[command(override_usage = "stead ladder EXERCISE --sore REGION [OPTIONS]")]
pub struct Ladder {
    /// Lift to come back to: id, name, alias or a near miss
    #[arg(value_name = "EXERCISE", num_args = 1.., required_unless_present = "sign")]
    pub exercise: Vec<String>,
    /// What is sore, as for a swap; repeatable
    #[arg(long, value_name = "REGION[:AGGRAVATOR][=LEVEL]", required_unless_present = "sign")]
    pub sore: Vec<String>,
    /// Gym of the base by id, or a file with one gym
    #[arg(long, value_name = "NAME|FILE.json")]
    pub gym: Option<String>,
    /// Kit you have; with --gym, kit besides
    #[arg(long, value_name = "ITEM,...", value_delimiter = ',')]
    pub have: Vec<String>,
    /// A set of the lift from before, as in 100kgx5: tells
    /// the load of each rung
    #[arg(long, value_name = "LOADxREPS")]
    pub did: Option<String>,
    /// Repetitions that you had left in that set [default: 0]
    #[arg(long, value_name = "N")]
    pub rir: Option<f64>,
    /// Your body mass [default: 80kg]
    #[arg(long, value_name = "MASS")]
    pub body_mass: Option<String>,
    /// Your sex, where figures differ [default: m]
    #[arg(long, value_parser = sex())]
    pub sex: Option<Sex>,
    /// Warning sign you have (stead terms signs); repeatable
    #[arg(long, value_name = "SIGN")]
    pub sign: Vec<String>,
}

/// `stead vary`.
#[derive(Debug, Default, Args)]
#[command(override_usage = "stead vary EXERCISE|FILE [OPTIONS]")]
pub struct Vary {
    /// Lift to vary: id, name, alias or a near miss; or a
    /// week to vary as a whole: a .csv or .json file, as for
    /// stead week audit
    #[arg(value_name = "EXERCISE|FILE", num_args = 1.., required_unless_present = "sign")]
    pub exercise: Vec<String>,
    /// Weeks of the plan, 1 to 52 [default: 12]
    #[arg(long, value_name = "N")]
    pub weeks: Option<u32>,
    /// Weeks until it changes, 1 to 16; a main lift is kept
    /// four at least [default: 4, of a week 3]
    #[arg(long, value_name = "K")]
    pub every: Option<u32>,
    /// What is sore, as for a swap; repeatable
    #[arg(long, value_name = "REGION[:AGGRAVATOR][=LEVEL]")]
    pub sore: Vec<String>,
    /// Gym of the base by id, or a file with one gym
    #[arg(long, value_name = "NAME|FILE.json")]
    pub gym: Option<String>,
    /// Kit you have; with --gym, kit besides
    #[arg(long, value_name = "ITEM,...", value_delimiter = ',')]
    pub have: Vec<String>,
    /// Exercise you do not want; repeatable
    #[arg(long, value_name = "EXERCISE")]
    pub skip: Vec<String>,
    /// How many variations, 1 to 50 [default: 6]
    #[arg(long, value_name = "N")]
    pub top: Option<usize>,
    /// A set of the lift, as in 100kgx5: tells first loads
    #[arg(long, value_name = "LOADxREPS")]
    pub did: Option<String>,
    /// Repetitions that you had left in that set [default: 0]
    #[arg(long, value_name = "N")]
    pub rir: Option<f64>,
    /// Your body mass [default: 80kg]
    #[arg(long, value_name = "MASS")]
    pub body_mass: Option<String>,
    /// Your sex, where figures differ [default: m]
    #[arg(long, value_parser = sex())]
    pub sex: Option<Sex>,
    /// Write the weeks of the plan into this CSV file, one
    /// table with a column week; for a week
    #[arg(long, value_name = "NEWFILE")]
    pub to: Option<PathBuf>,
    /// Write over a file that is there; never over the week
    /// that was read
    #[arg(long, requires = "to")]
    pub replace: bool,
    /// Warning sign you have (stead terms signs); repeatable
    #[arg(long, value_name = "SIGN")]
    pub sign: Vec<String>,
}

/// `stead week`.
#[derive(Debug, Subcommand)]
pub enum Week {
    /// Spine load by day, sets by muscle, and what stands out
    #[command(override_usage = "stead week audit FILE [OPTIONS]")]
    Audit(Box<WeekAudit>),
    /// The smallest change that clears what stands out
    #[command(override_usage = "stead week mend FILE [OPTIONS]")]
    Mend(Box<WeekMend>),
    /// A lighter week: fewer sets, less load, the same lifts
    #[command(override_usage = "stead week deload FILE [OPTIONS]")]
    Deload(Box<WeekDeload>),
}

/// Where a week is trained, by whom, and what is sore.
#[derive(Debug, Default, Args)]
pub struct WeekHere {
    /// What is sore, what brings it on, and how much, as in
    /// knee, shoulder=6, low-back:flexion=mild; repeatable
    #[arg(long, value_name = "REGION[:AGGRAVATOR][=LEVEL]")]
    pub sore: Vec<String>,
    /// Gym of the base by id, or a file with one gym
    #[arg(long, value_name = "NAME|FILE.json")]
    pub gym: Option<String>,
    /// Kit you have; with --gym, kit besides
    #[arg(long, value_name = "ITEM,...", value_delimiter = ',')]
    pub have: Vec<String>,
    /// Count makeshift set-ups as kit
    #[arg(long)]
    pub improvise: bool,
    /// Your body mass, as in 80kg or 176lb [default: 80kg]
    #[arg(long, value_name = "MASS")]
    pub body_mass: Option<String>,
    /// Your sex, where figures differ [default: m]
    #[arg(long, value_parser = sex())]
    pub sex: Option<Sex>,
    /// Warning sign you have (stead terms signs); repeatable
    #[arg(long, value_name = "SIGN")]
    pub sign: Vec<String>,
}

/// Where the new week goes.
#[derive(Debug, Default, Args)]
pub struct NewWeek {
    /// Write the new week into this file: CSV in the form of
    /// the old one, or JSON where its name ends in .json
    #[arg(long, value_name = "NEWFILE", requires = "file")]
    pub to: Option<PathBuf>,
    /// Write over a file that is there; never over the week
    /// that was read
    #[arg(long, requires = "to")]
    pub replace: bool,
}

/// `stead week mend`.
#[derive(Debug, Default, Args)]
pub struct WeekMend {
    /// The week: a CSV file with the columns day, exercise,
    /// sets, reps and, if you like, load, unit, rir, weeks-on;
    /// or a .json file with the same rows
    #[arg(value_name = "FILE", required_unless_present = "sign")]
    pub file: Option<PathBuf>,
    /// How long you have trained [default: intermediate]
    #[arg(long, value_parser = training())]
    pub level: Option<Training>,
    /// Line of a row that stays as it is; repeatable
    #[arg(long, value_name = "LINE")]
    pub keep: Vec<usize>,
    /// How far the sets of a muscle may fall [default: 10]
    #[arg(long, value_name = "PERCENT")]
    pub tolerance: Option<f64>,
    /// The place and the person.
    #[command(flatten)]
    pub here: WeekHere,
    /// The new week.
    #[command(flatten)]
    pub new: NewWeek,
}

/// `stead week deload`.
#[derive(Debug, Default, Args)]
pub struct WeekDeload {
    /// The week: a CSV file with the columns day, exercise,
    /// sets, reps and, if you like, load, unit, rir, weeks-on;
    /// or a .json file with the same rows
    #[arg(value_name = "FILE", required_unless_present = "sign")]
    pub file: Option<PathBuf>,
    /// Sets of your last seven days
    #[arg(long, value_name = "N")]
    pub sets_last_week: Option<u32>,
    /// The place and the person.
    #[command(flatten)]
    pub here: WeekHere,
    /// The new week.
    #[command(flatten)]
    pub new: NewWeek,
}

/// `stead week audit`.
#[derive(Debug, Default, Args)]
pub struct WeekAudit {
    /// The week: a CSV file with the columns day, exercise,
    /// sets, reps and, if you like, load, unit, rir, weeks-on;
    /// or a .json file with the same rows
    #[arg(value_name = "FILE", required_unless_present = "sign")]
    pub file: Option<PathBuf>,
    /// Which week, of a file with the weeks of a plan
    #[arg(long, value_name = "N", requires = "file")]
    pub week: Option<u32>,
    /// How long you have trained [default: intermediate]
    #[arg(long, value_parser = training())]
    pub level: Option<Training>,
    /// What is sore, what brings it on, and how much, as in
    /// knee, shoulder=6, low-back:flexion=mild; repeatable
    #[arg(long, value_name = "REGION[:AGGRAVATOR][=LEVEL]")]
    pub sore: Vec<String>,
    /// Gym of the base by id, or a file with one gym
    #[arg(long, value_name = "NAME|FILE.json")]
    pub gym: Option<String>,
    /// Kit you have; with --gym, kit besides
    #[arg(long, value_name = "ITEM,...", value_delimiter = ',')]
    pub have: Vec<String>,
    /// Count makeshift set-ups as kit
    #[arg(long)]
    pub improvise: bool,
    /// Your body mass, as in 80kg or 176lb [default: 80kg]
    #[arg(long, value_name = "MASS")]
    pub body_mass: Option<String>,
    /// Your height, as in 1.75m or 175cm [default: 1.75m]
    #[arg(long, value_name = "HEIGHT")]
    pub height: Option<String>,
    /// Your sex, for body tables [default: m]
    #[arg(long, value_parser = sex())]
    pub sex: Option<Sex>,
    /// Weeks since your last lighter week
    #[arg(long, value_name = "N")]
    pub weeks_since_deload: Option<u16>,
    /// Sign that a lighter week is due early: performance,
    /// pain or whole-body; repeatable
    #[arg(long, value_name = "SIGN")]
    pub deload_signal: Vec<String>,
    /// Your mean points of spine load over four weeks
    #[arg(long, value_name = "N")]
    pub mean_points: Option<f64>,
    /// Your age; above 50 a lighter week is due earlier
    #[arg(long, value_name = "YEARS")]
    pub age: Option<u16>,
    /// Sets of your last seven days
    #[arg(long, value_name = "N")]
    pub sets_last_week: Option<u32>,
    /// Draw the week into a new file; an existing file is
    /// never replaced
    #[arg(long, value_name = "FILE")]
    pub svg: Option<PathBuf>,
    /// Warning sign you have (stead terms signs); repeatable
    #[arg(long, value_name = "SIGN")]
    pub sign: Vec<String>,
}

/// `stead kit`.
#[derive(Debug, Default, Args)]
#[command(override_usage = "stead kit --gym NAME|FILE.json --budget N [OPTIONS]")]
pub struct Kit {
    /// Gym of the base by id, or a file with one gym
    #[arg(long, value_name = "NAME|FILE.json")]
    pub gym: Option<String>,
    /// Kit you have; with --gym, kit besides
    #[arg(long, value_name = "ITEM,...", value_delimiter = ',')]
    pub have: Vec<String>,
    /// Money to spend, in the currency of the catalogue
    #[arg(long, value_name = "N", required_unless_present = "sign")]
    pub budget: Option<f64>,
    /// Floor that is free to put new kit away, as in 2.5m2
    /// [default: the gym's, else as much as wanted]
    #[arg(long, value_name = "AREA")]
    pub floor: Option<String>,
    /// Clear floor to work in, one item at a time
    /// [default: the gym's, else as its largest item takes]
    #[arg(long, value_name = "AREA")]
    pub floor_use: Option<String>,
    /// Ceiling, as in 2.3m [default: the gym's]
    #[arg(long, value_name = "HEIGHT")]
    pub ceiling: Option<String>,
    /// Height of the tallest who train there, as in 172cm
    /// [default: the gym's, else up to 1.85m]
    #[arg(long, value_name = "HEIGHT")]
    pub height: Option<String>,
    /// Your week, as for week audit: the questions are then
    /// about its exercises [default: the main patterns]
    #[arg(long, value_name = "FILE")]
    pub week: Option<PathBuf>,
    /// What is sore, as for a swap; repeatable
    /// [default: each of the main regions in turn]
    #[arg(long, value_name = "REGION[:AGGRAVATOR][=LEVEL]")]
    pub sore: Vec<String>,
    /// What you train for [default: size]
    #[arg(long, value_parser = aim())]
    pub aim: Option<Aim>,
    /// A price that you were told, as in power-rack=250;
    /// repeatable
    #[arg(long, value_name = "THING=N")]
    pub price: Vec<String>,
    /// Thing that you do not want; repeatable
    #[arg(long, value_name = "THING")]
    pub skip: Vec<String>,
    /// How many single things to rank, 1 to 50 [default: 8]
    #[arg(long, value_name = "N")]
    pub top: Option<usize>,
    /// Draw gain against budget into a new file; an existing
    /// file is never replaced
    #[arg(long, value_name = "FILE")]
    pub svg: Option<PathBuf>,
    /// Warning sign you have (stead terms signs); repeatable
    #[arg(long, value_name = "SIGN")]
    pub sign: Vec<String>,
}

/// `stead find`.
#[derive(Debug, Args)]
#[command(override_usage = "stead find TEXT... [OPTIONS]")]
pub struct Find {
    /// Name, short form, muscle, pattern or kit
    #[arg(value_name = "TEXT", num_args = 1.., required = true)]
    pub text: Vec<String>,
    /// How many hits, 1 to 50 [default: 10]
    #[arg(long, value_name = "N")]
    pub top: Option<usize>,
}

/// `stead show`.
#[derive(Debug, Args)]
#[command(override_usage = "stead show EXERCISE [OPTIONS]")]
pub struct Show {
    /// Exercise: id, name, alias or a near miss
    #[arg(value_name = "EXERCISE", num_args = 1.., required = true)]
    pub exercise: Vec<String>,
}

/// `stead list`.
#[derive(Debug, Args)]
#[command(override_usage = "stead list [OPTIONS]")]
pub struct List {
    /// Pattern, or a branch of the tree
    #[arg(long)]
    pub pattern: Option<String>,
    /// Muscle that works at half or more
    #[arg(long)]
    pub muscle: Option<String>,
    /// Most spine load
    #[arg(long, value_name = "CLASS", value_parser = spine())]
    pub max_spine: Option<SpineClass>,
    /// Region loaded lightly at most; repeatable
    #[arg(long, value_name = "REGION")]
    pub kind_to: Vec<String>,
    /// Gym of the base by id, or a file with one gym
    #[arg(long, value_name = "NAME|FILE.json")]
    pub gym: Option<String>,
    /// Kit you have; with --gym, kit besides
    #[arg(long, value_name = "ITEM,...", value_delimiter = ',')]
    pub have: Vec<String>,
    /// Role in a programme
    #[arg(long, value_parser = role())]
    pub role: Option<Role>,
}

/// `stead terms`.
#[derive(Debug, Args)]
#[command(override_usage = "stead terms [KIND] [OPTIONS]")]
pub struct Terms {
    /// Kind of words; all when left out
    #[arg(value_name = "KIND", value_parser = PossibleValuesParser::new(KINDS))]
    pub kind: Option<String>,
}

/// `stead kb`.
#[derive(Debug, Subcommand)]
pub enum Kb {
    /// Every problem of a base at once
    #[command(override_usage = "stead kb check [DIR] [OPTIONS]")]
    Check(Check),
    /// Ask the judged questions and measure the answers
    #[command(override_usage = "stead kb score [OPTIONS]")]
    Score(Score),
    /// JSON Schemas of files, questions and replies
    #[command(override_usage = "stead kb schema [NAME] [OPTIONS]")]
    Schema(Schema),
    /// Count the substitutes for each gym, pattern and sore region
    #[command(override_usage = "stead kb coverage [OPTIONS]")]
    Coverage,
    /// Count what is in the base
    #[command(override_usage = "stead kb stats [OPTIONS]")]
    Stats,
    /// Write the base down for other programs
    #[command(override_usage = "stead kb export [OPTIONS]")]
    Export(Export),
    /// Every field of every file of a base, as Markdown
    #[command(override_usage = "stead kb reference [OPTIONS]")]
    Reference,
}

/// `stead kb export`.
#[derive(Debug, Args)]
pub struct Export {
    /// Whole records (json), a row an exercise (csv), or the
    /// graph of exercises (dot, graphml, jsonld)
    #[arg(long = "as", value_name = "FORM", default_value = "json", value_parser = form())]
    pub form: Form,
    /// Write into a new file instead
    #[arg(long, value_name = "FILE")]
    pub to: Option<PathBuf>,
    /// Let --to write over a file that is there
    #[arg(long, requires = "to")]
    pub replace: bool,
}

/// `stead kb check`.
#[derive(Debug, Args)]
pub struct Check {
    /// Folder of the base; the shipped one when left out
    #[arg(value_name = "DIR")]
    pub dir: Option<PathBuf>,
    /// Also hold joint grades beside computed joint moments
    #[arg(long)]
    pub deep: bool,
}

/// `stead kb score`.
#[derive(Debug, Args)]
pub struct Score {
    /// Show every question, not only those that changed
    #[arg(long)]
    pub questions: bool,
    /// Ask our own further questions instead
    #[arg(long)]
    pub own: bool,
}

/// `stead kb schema`.
#[derive(Debug, Args)]
pub struct Schema {
    /// Name of a schema; all names when left out
    #[arg(value_name = "NAME")]
    pub name: Option<String>,
}

/// `stead serve`.
#[derive(Debug, Args)]
#[command(override_usage = "stead serve [OPTIONS]")]
pub struct Serve {
    /// Address to listen on
    #[arg(long, value_name = "HOST:PORT", default_value = "127.0.0.1:8080")]
    pub listen: String,
}

/// `stead completions`.
#[derive(Debug, Args)]
#[command(override_usage = "stead completions SHELL")]
pub struct Completions {
    /// Shell
    #[arg(value_name = "SHELL", value_enum)]
    pub shell: clap_complete::Shell,
}

fn aim() -> impl TypedValueParser<Value = Aim> {
    PossibleValuesParser::new(Aim::ALL.iter().map(|w| w.word())).try_map(|w| Aim::from_word(&w).ok_or(NOT_IN_LIST))
}

fn spine() -> impl TypedValueParser<Value = SpineClass> {
    let words = SpineClass::ALL.iter().map(|w| w.word());
    PossibleValuesParser::new(words).try_map(|w| SpineClass::from_word(&w).ok_or(NOT_IN_LIST))
}

fn training() -> impl TypedValueParser<Value = Training> {
    let words = PossibleValuesParser::new(Training::ALL.iter().map(|w| w.word()));
    words.try_map(|w| Training::from_word(&w).ok_or(NOT_IN_LIST))
}

fn sex() -> impl TypedValueParser<Value = Sex> {
    let words = [PossibleValue::new("f").alias("female"), PossibleValue::new("m").alias("male")];
    PossibleValuesParser::new(words).map(|w| if w.starts_with('f') { Sex::Female } else { Sex::Male })
}

/// Words of the base, and the short ones that people type.
fn situation() -> impl TypedValueParser<Value = Situation> {
    let short = |s: Situation| match s {
        Situation::Familiar => "same",
        Situation::Variant => "variation",
        Situation::NewPattern => "new",
        Situation::UnknownMachine => "machine",
        Situation::TimeOff => "off",
    };
    let words = Situation::ALL.iter().map(move |s| PossibleValue::new(s.word()).alias(short(*s)));
    PossibleValuesParser::new(words).try_map(move |w| {
        let found = Situation::ALL.iter().find(|s| s.word() == w || short(**s) == w);
        found.copied().ok_or(NOT_IN_LIST)
    })
}

fn mass_unit() -> impl TypedValueParser<Value = MassUnit> {
    let words = MassUnit::ALL.iter().map(|w| w.word());
    PossibleValuesParser::new(words).try_map(|w| MassUnit::from_word(&w).ok_or(NOT_IN_LIST))
}

fn form() -> impl TypedValueParser<Value = Form> {
    PossibleValuesParser::new(Form::ALL.iter().map(|w| w.word())).try_map(|w| Form::from_word(&w).ok_or(NOT_IN_LIST))
}

fn role() -> impl TypedValueParser<Value = Role> {
    PossibleValuesParser::new(Role::ALL.iter().map(|w| w.word())).try_map(|w| Role::from_word(&w).ok_or(NOT_IN_LIST))
}

/// What a word is that its own list does not hold; the list is asked first, so nobody sees this.
const NOT_IN_LIST: &str = "not in the list";

#[cfg(test)]
mod tests {
    use clap::CommandFactory as _;

    use super::*;

    #[test]
    fn the_arguments_are_consistent() {
        Cli::command().debug_assert();
    }

    #[test]
    fn a_name_may_be_several_words() {
        let typed = ["stead", "swap", "back", "squat", "--sore", "knee", "--have", "barbell,plates", "--json"];
        let cli = Cli::try_parse_from(typed).unwrap();
        assert!(cli.global.json);
        let Command::Swap(swap) = cli.command else { panic!("not a swap") };
        assert_eq!(swap.exercise, ["back", "squat"]);
        assert_eq!(swap.have, ["barbell", "plates"]);
    }

    #[test]
    fn a_sign_needs_no_exercise() {
        assert!(Cli::try_parse_from(["stead", "swap", "--sign", "chest-pain"]).is_ok());
        assert!(Cli::try_parse_from(["stead", "swap"]).is_err());
    }
}
