//! The cells of a week: what each column takes, what is wrong with a cell, and writing it back.
//!
//! Leans on the names of the base and on [`crate::units`]. Leaves to others: where the cells come
//! from ([`super::table`] and rows of JSON). Every cell that is wrong is told, with its place, its
//! value and the nearest that would do.

use std::collections::BTreeMap;
use std::fmt;

use schemars::JsonSchema;
use serde::Serialize;

use super::{Given, RowAsk};
use crate::ask::{Error, Named, exercise};
use crate::kb::Kb;
use crate::kb::draft::nearest;
use crate::kb::raw::{Counted, MassUnit};
use crate::search::names::ReadAs;
use crate::units::{Bound, KG_PER_LB, Kg, bounds, trim};
use crate::week::{Day, Row, Week, Work, WorkUnit};

/// Defines the columns with their names, other names, and whether a table must have them.
macro_rules! columns {
    ($($id:ident = $name:literal, [$($also:literal),*], $needed:literal, $holds:literal;)*) => {
        /// A column of a week.
        #[derive(Debug, Clone, Copy, PartialEq, Eq)]
        pub enum Column {
            $(#[doc = $holds] $id),*
        }

        impl Column {
            /// Every column, in the order of writing.
            pub const ALL: &'static [Self] = &[$(Self::$id),*];

            /// Its name, as written.
            #[must_use]
            pub const fn name(self) -> &'static str {
                match self { $(Self::$id => $name),* }
            }

            /// Other names that are read, folded.
            const fn also(self) -> &'static [&'static str] {
                match self { $(Self::$id => &[$($also),*]),* }
            }

            /// Whether a table must have it.
            #[must_use]
            pub const fn needed(self) -> bool {
                match self { $(Self::$id => $needed),* }
            }

            /// What it holds, in words.
            #[must_use]
            pub const fn holds(self) -> &'static str {
                match self { $(Self::$id => $holds),* }
            }
        }
    };
}

columns! {
    Week = "week", ["weekno", "weeknumber"], false, "number of the week, in a plan of several";
    Day = "day", ["date", "weekday"], true, "Mon, Monday, 1 to 7 or a date as 2026-11-23; as above when empty";
    Exercise = "exercise", ["lift", "movement", "name"], true, "id, name, alias or near spelling";
    Sets = "sets", ["set"], true, "a whole number";
    Reps = "reps", ["rep", "repetitions", "work"], true, "5, 8 to 10, 30s or 30m";
    Load = "load", ["weight", "loadkg", "loadlb"], false, "100, 100kg, 225lb, body, +10 or 2x20, as the exercise counts it";
    Unit = "unit", ["units"], false, "kg or lb, for loads without a unit";
    Rir = "rir", ["reserve", "repsinreserve"], false, "repetitions left in reserve, 0 to 10";
    WeeksOn = "weeks-on", ["weeks"], false, "weeks that the row has been in the programme";
    WeeksFlat = "weeks-flat", ["flat"], false, "weeks without progress in it";
    SinceDeload = "weeks-since-deload", ["sincedeload"], false, "weeks since the last lighter week; one row is enough";
    Note = "note", ["notes", "comment"], false, "your own words";
}

/// A column's name without case, blanks and hyphens.
fn folded(name: &str) -> String {
    name.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect()
}

impl Column {
    /// The column of a name as people write it.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        let wanted = folded(name);
        Self::ALL.iter().copied().find(|c| folded(c.name()) == wanted || c.also().contains(&wanted.as_str()))
    }

    /// Its name in JSON.
    fn member(self) -> String {
        self.name().replace('-', "_")
    }
}

/// The column whose name is nearest to one that is none.
#[must_use]
pub fn nearest_column(given: &str) -> &'static str {
    let start: String = given.chars().take(60).collect();
    nearest(&start, Column::ALL.iter().map(|c| c.name())).unwrap_or(Column::Day.name())
}

/// A cell that is wrong.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct CellProblem {
    /// Line of the table, or place in the list from 1.
    pub line: usize,
    /// Name of the column; empty where the line itself is wrong.
    pub column: &'static str,
    /// The value as given.
    pub value: String,
    /// What is wrong with it.
    pub found: String,
    /// What to write instead.
    pub hint: String,
    /// Nearest valid values, best first.
    pub nearest: Vec<String>,
    /// JSON pointer into the question.
    pub pointer: String,
}

impl fmt::Display for CellProblem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { line, column, value, found, hint, .. } = self;
        let column = if column.is_empty() { String::new() } else { format!(", {column}") };
        let value = if value.is_empty() { String::new() } else { format!(" {value:?}") };
        write!(f, "line {line}{column}{value}: {found}; {hint}")
    }
}

/// The cells of one row as texts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Typed {
    line: usize,
    pointer: String,
    cells: Vec<(Column, String)>,
}

impl Typed {
    /// A row without cells. `pointer` is that of the row, or of the whole table.
    #[must_use]
    pub fn new(line: usize, pointer: String) -> Self {
        Self { line, pointer, cells: Vec::new() }
    }

    /// Sets a cell; an empty one is none.
    pub fn set(&mut self, column: Column, text: Option<String>) {
        if let Some(text) = text {
            let text = text.replace('\u{a0}', " ").trim().to_string();
            if !text.is_empty() {
                self.cells.push((column, text));
            }
        }
    }

    fn get(&self, column: Column) -> Option<&str> {
        self.cells.iter().find(|(c, _)| *c == column).map(|(_, text)| text.as_str())
    }
}

/// What is wrong with a value: what was found, what to write, nearest values.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Wrong {
    found: String,
    hint: String,
    nearest: Vec<String>,
}

fn wrong<T>(found: impl Into<String>, hint: impl Into<String>) -> Result<T, Wrong> {
    Err(Wrong { found: found.into(), hint: hint.into(), nearest: Vec::new() })
}

/// Longest cell that is looked at and shown, characters.
const LONGEST_CELL: usize = 100;

/// Most problems that are told; a table of another kind is wrong everywhere.
const MOST_PROBLEMS: usize = 100;

/// A week from its rows. `comma` says that numbers may have a comma before their fraction, `what`
/// what a row is called in remarks.
///
/// # Errors
/// [`Error::Cells`] with every cell that is wrong.
pub(super) fn week(kb: &Kb, rows: &[Typed], comma: bool, what: &str) -> Result<(Week, Vec<String>), Error> {
    week_with(kb, rows, comma, what, Vec::new())
}

/// As [`week`], with what was wrong already.
pub(super) fn week_with(
    kb: &Kb,
    rows: &[Typed],
    comma: bool,
    what: &str,
    before: Vec<CellProblem>,
) -> Result<(Week, Vec<String>), Error> {
    let mut reader = Reader { kb, comma, what, names: BTreeMap::new(), problems: before, notes: Vec::new() };
    let days = reader.days(rows);
    let mut out = Vec::with_capacity(rows.len());
    for (typed, day) in rows.iter().zip(days) {
        out.extend(reader.row(typed, day));
    }
    let since_deload = reader.since_deload(rows);
    if !reader.problems.is_empty() {
        reader.problems.sort_by_key(|p| p.line);
        let count = reader.problems.len();
        reader.problems.truncate(MOST_PROBLEMS);
        return Err(Error::Cells { count, problems: reader.problems });
    }
    Ok((Week::new(out, since_deload), reader.notes))
}

struct Reader<'k, 'w> {
    kb: &'k Kb,
    comma: bool,
    what: &'w str,
    /// Names met so far: a week says one name on many days.
    names: BTreeMap<String, Result<(usize, ReadAs), Wrong>>,
    problems: Vec<CellProblem>,
    notes: Vec<String>,
}

impl Reader<'_, '_> {
    fn problem(&mut self, typed: &Typed, column: Column, wrong: Wrong) {
        let value: String = typed.get(column).unwrap_or_default().chars().take(LONGEST_CELL).collect();
        let pointer = if typed.pointer.starts_with("/rows") {
            format!("{}/{}", typed.pointer, column.member())
        } else {
            typed.pointer.clone()
        };
        self.problems.push(CellProblem {
            line: typed.line,
            column: column.name(),
            value,
            found: wrong.found,
            hint: wrong.hint,
            nearest: wrong.nearest,
            pointer,
        });
    }

    /// The value of a cell, or none with the problem noted.
    fn cell<T>(&mut self, typed: &Typed, column: Column, read: impl FnOnce(&str) -> Result<T, Wrong>) -> Option<T> {
        let text = typed.get(column)?;
        let read = if text.chars().count() > LONGEST_CELL {
            wrong(format!("a cell of {} bytes", text.len()), "a quotation mark may be left open before it")
        } else {
            read(text)
        };
        read.map_err(|w| self.problem(typed, column, w)).ok()
    }

    /// As [`Self::cell`], where there must be one.
    fn needed<T>(&mut self, typed: &Typed, column: Column, read: impl FnOnce(&str) -> Result<T, Wrong>) -> Option<T> {
        if typed.get(column).is_none() {
            let hint = format!("write {}", column.holds());
            self.problem(typed, column, Wrong { found: "empty".to_string(), hint, nearest: Vec::new() });
        }
        self.cell(typed, column, read)
    }

    /// The day of every row, an empty one as in the row before. Dates must lie within one week.
    fn days(&mut self, rows: &[Typed]) -> Vec<Option<Day>> {
        let mut before = None;
        let mut first: Option<i64> = None;
        let mut out = Vec::with_capacity(rows.len());
        let dates = rows.iter().filter_map(|typed| date(typed.get(Column::Day)?));
        if let Some(earliest) = dates.min() {
            first = Some(earliest);
        }
        for typed in rows {
            let read = match typed.get(Column::Day) {
                None if before.is_some() => before,
                _ => self.needed(typed, Column::Day, |text| day(text, first)),
            };
            before = read.or(before);
            out.push(read);
        }
        out
    }

    fn row(&mut self, typed: &Typed, day: Option<Day>) -> Option<Row> {
        let comma = self.comma;
        let exercise = self.exercise(typed);
        let sets = self.needed(typed, Column::Sets, |text| sets(text, comma));
        let holds = exercise.and_then(|at| self.kb.table.rows.get(at)).is_some_and(|r| r.holds);
        let work = self.needed(typed, Column::Reps, |text| work(text, comma, holds));
        let unit = self.cell(typed, Column::Unit, unit).unwrap_or(MassUnit::Kg);
        let said = typed.get(Column::Unit).map(|_| unit);
        let counted = exercise.and_then(|at| self.kb.table.rows.get(at)).map(|r| r.counted);
        let load = self.cell(typed, Column::Load, |text| load(text, comma, said, counted));
        let reserve = self.cell(typed, Column::Rir, |text| number_within(text, comma, bounds::RESERVE));
        let weeks_on = self.cell(typed, Column::WeeksOn, |text| whole(text, comma, bounds::WEEKS));
        let weeks_flat = self.cell(typed, Column::WeeksFlat, |text| whole(text, comma, bounds::WEEKS));
        Some(Row {
            day: day?,
            exercise: exercise?,
            sets: sets?,
            work: work?,
            load: load.map(|(kg, _)| kg),
            unit: load.map_or(unit, |(_, unit)| unit),
            reserve,
            weeks_on,
            weeks_flat,
            note: typed.get(Column::Note).unwrap_or_default().to_string(),
            line: typed.line,
        })
    }

    fn exercise(&mut self, typed: &Typed) -> Option<usize> {
        let kb = self.kb;
        let mut names = std::mem::take(&mut self.names);
        let read = self.needed(typed, Column::Exercise, |text| {
            names.entry(text.to_string()).or_insert_with(|| resolved(kb, text)).clone()
        });
        self.names = names;
        let (at, read_as) = read?;
        if read_as != ReadAs::Name {
            let given = typed.get(Column::Exercise).unwrap_or_default();
            let note = format!("{} {}: {given:?} was read as {}", self.what, typed.line, Named::row(kb, at).name);
            self.notes.push(note);
        }
        Some(at)
    }

    /// Weeks since the last lighter week; rows that say it must agree.
    fn since_deload(&mut self, rows: &[Typed]) -> Option<u16> {
        let mut found: Option<u16> = None;
        for typed in rows {
            let comma = self.comma;
            let read = self.cell(typed, Column::SinceDeload, |text| {
                let weeks = whole(text, comma, bounds::WEEKS)?;
                match found {
                    Some(first) if first != weeks => {
                        wrong(format!("an earlier row says {first}"), "say it once, or the same in every row")
                    }
                    _ => Ok(weeks),
                }
            });
            found = found.or(read);
        }
        found
    }
}

fn resolved(kb: &Kb, text: &str) -> Result<(usize, ReadAs), Wrong> {
    exercise(kb, text, "").map_err(|e| {
        let nearest = e.nearest();
        let hint = match nearest.as_slice() {
            [] => "name an exercise of the base; `stead find WORDS` searches".to_string(),
            near => format!("write one of {}", near.join(", ")),
        };
        let found = match e {
            Error::AmbiguousExercise { .. } => "could be several exercises",
            _ => "no exercise of this name",
        };
        Wrong { found: found.to_string(), hint, nearest }
    })
}

/// Words for days, for the nearest.
fn day_names() -> impl Iterator<Item = &'static str> {
    Day::ALL.iter().map(|d| d.name())
}

fn day(text: &str, first: Option<i64>) -> Result<Day, Wrong> {
    if let Some(date) = date(text) {
        let first = first.unwrap_or(date);
        if date - first >= 7 {
            return wrong(
                format!("{} days after the first date, so another week", date - first),
                "keep a table to one week",
            );
        }
        return weekday(date).ok_or_else(|| Wrong {
            found: "no day".to_string(),
            hint: format!("write {}", Column::Day.holds()),
            nearest: Vec::new(),
        });
    }
    let number = plain(text, false).filter(|n| n.fract() == 0.0 && (1.0..=7.0).contains(n));
    if let Some(day) = number.and_then(|n| Day::new(n as u8)) {
        return Ok(day);
    }
    let word = folded(text);
    // Three letters are enough, and so is any longer start of the name: "tues", "thurs".
    let begins = |d: &&Day| word.len() >= 3 && d.name().to_lowercase().starts_with(&word);
    if let Some(day) = Day::ALL.iter().find(begins) {
        return Ok(*day);
    }
    let near = nearest(text, day_names()).unwrap_or_default().to_string();
    Err(Wrong { found: "no day".to_string(), hint: format!("did you mean {near}?"), nearest: vec![near] })
}

/// Days since 1970-01-01 of a date as 2026-11-23, by the civil calendar.
fn date(text: &str) -> Option<i64> {
    // A spreadsheet may have put a time of midnight behind it.
    let text = text.split(['T', ' ']).next().unwrap_or(text);
    let mut parts = text.split('-');
    let (year, month, day) = (parts.next()?, parts.next()?, parts.next()?);
    if parts.next().is_some() || year.len() != 4 || month.len() > 2 || day.len() > 2 {
        return None;
    }
    let all = [year, month, day];
    if !all.iter().all(|p| !p.is_empty() && p.bytes().all(|b| b.is_ascii_digit())) {
        return None;
    }
    let (year, month, day): (i64, i64, i64) = (year.parse().ok()?, month.parse().ok()?, day.parse().ok()?);
    let leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    let most = match month {
        4 | 6 | 9 | 11 => 30,
        2 if leap => 29,
        2 => 28,
        1..=12 => 31,
        _ => return None,
    };
    if !(1..=most).contains(&day) {
        return None;
    }
    // Years are taken to begin in March, so that a leap day is the last day of a year.
    let (year, month) = if month > 2 { (year, month - 3) } else { (year - 1, month + 9) };
    let of_year = (153 * month + 2) / 5 + day - 1;
    let era = year.div_euclid(400);
    let year_of_era = year.rem_euclid(400);
    let of_era = year_of_era * 365 + year_of_era / 4 - year_of_era / 100 + of_year;
    Some(era * 146_097 + of_era - 719_468)
}

/// The weekday of a day since 1970-01-01, which was a Thursday.
fn weekday(days: i64) -> Option<Day> {
    Day::new(u8::try_from((days + 3).rem_euclid(7)).ok()? + 1)
}

/// A plain decimal number: digits, one point, and one comma in its place where that is allowed.
fn plain(text: &str, comma: bool) -> Option<f64> {
    let text = text.trim();
    let sound = text.bytes().all(|b| b.is_ascii_digit() || b == b'.' || (comma && b == b','));
    let marks = text.bytes().filter(|b| matches!(b, b'.' | b',')).count();
    if !sound || marks > 1 || text.len() > 20 {
        return None;
    }
    text.replace(',', ".").parse().ok()
}

/// As [`plain`], with the way out for a comma that is not allowed here.
fn number(text: &str, comma: bool, hint: &str) -> Result<f64, Wrong> {
    match plain(text, comma) {
        Some(number) => Ok(number),
        None => match plain(text, true) {
            Some(number) => Err(Wrong {
                found: "a comma before the fraction, in a table with commas between its cells".to_string(),
                hint: format!("write {number}"),
                nearest: vec![number.to_string()],
            }),
            None => wrong("no number", format!("write {hint}")),
        },
    }
}

fn keep(bound: Bound, value: f64) -> Result<f64, Wrong> {
    bound.check(value).map_err(|e| {
        let near = trim(value.clamp(bound.min, bound.max));
        Wrong { found: e.to_string(), hint: format!("the nearest is {near}"), nearest: vec![near] }
    })
}

fn number_within(text: &str, comma: bool, bound: Bound) -> Result<f64, Wrong> {
    let hint = format!("a number from {} to {}", trim(bound.min), trim(bound.max));
    keep(bound, number(text, comma, &hint)?)
}

fn whole(text: &str, comma: bool, bound: Bound) -> Result<u16, Wrong> {
    let value = number_within(text, comma, bound)?;
    if value.fract() != 0.0 {
        return Err(Wrong {
            found: "no whole number".to_string(),
            hint: format!("the nearest is {}", value.round()),
            nearest: vec![value.round().to_string()],
        });
    }
    // Every bound of whole numbers lies far below this.
    Ok(value as u16)
}

/// Number of the week that a line of a plan belongs to; none with the problem noted.
pub(super) fn week_number(line: usize, text: &str, problems: &mut Vec<CellProblem>) -> Option<u32> {
    let read = if text.is_empty() { wrong("empty", "write 1, 2 and so on") } else { whole(text, false, bounds::WEEKS) };
    let noted = |w: Wrong| {
        problems.push(CellProblem {
            line,
            column: Column::Week.name(),
            value: text.chars().take(LONGEST_CELL).collect(),
            found: w.found,
            hint: w.hint,
            nearest: w.nearest,
            pointer: "/csv".to_string(),
        });
    };
    read.map(u32::from).map_err(noted).ok()
}

fn sets(text: &str, comma: bool) -> Result<u16, Wrong> {
    if let Some((sets, reps)) = text.split_once(['x', '×']).filter(|(sets, _)| plain(sets, false).is_some()) {
        let (sets, reps) = (sets.trim(), reps.trim());
        return wrong("sets and repetitions in one cell", format!("write {sets} here and {reps} under reps"));
    }
    whole(text, comma, bounds::SETS)
}

/// `5`, `8-10`, `8 to 10`, `30s`, `2 min`, `30m`.
fn work(text: &str, comma: bool, holds: bool) -> Result<Work, Wrong> {
    let hint = Column::Reps.holds();
    let lower = text.to_lowercase().replace(['–', '—', '‑'], "-").replace("..", "-").replace(" to ", "-");
    let cut = |part: &str| {
        let end = part.rfind(|c: char| c.is_ascii_digit() || matches!(c, '.' | ',')).map_or(0, |at| at + 1);
        let (number, unit) = part.split_at(end);
        (number.trim().to_string(), unit.trim().trim_end_matches('.').to_string())
    };
    let mut parts = lower.splitn(2, '-').map(cut);
    let (first, first_unit) = parts.next().unwrap_or_default();
    let second = parts.next();
    // The unit stands behind the last number, and may stand behind the first.
    let last_unit = second.as_ref().map_or(&first_unit, |(_, unit)| unit);
    let asked = if last_unit.is_empty() { &first_unit } else { last_unit };
    let is_a_date = text.contains('/') || MONTHS.iter().any(|m| lower.contains(m));
    if is_a_date {
        return wrong("looks like a date that a spreadsheet made of a range", "write the range as 8 to 10");
    }
    let (unit, factor) = match asked.as_str() {
        "" if holds => (WorkUnit::Seconds, 1.0),
        "" | "x" | "rep" | "reps" | "repetitions" => (WorkUnit::Repetitions, 1.0),
        "s" | "sec" | "secs" | "second" | "seconds" => (WorkUnit::Seconds, 1.0),
        "min" | "mins" | "minute" | "minutes" => (WorkUnit::Seconds, 60.0),
        "m" | "metre" | "metres" | "meter" | "meters" => (WorkUnit::Metres, 1.0),
        _ => return wrong("no work of a set", format!("write {hint}")),
    };
    if second.is_some() && !first_unit.is_empty() && first_unit != *asked {
        return wrong("two units", format!("write {hint}"));
    }
    let bound = if unit == WorkUnit::Metres { bounds::METRES } else { bounds::REPETITIONS };
    let one = |part: &str| -> Result<u16, Wrong> {
        let value = keep(bound, number(part, comma, hint)? * factor)?;
        if value.fract() == 0.0 { Ok(value as u16) } else { wrong("no whole number", format!("write {hint}")) }
    };
    let low = one(&first)?;
    let high = second.map_or(Ok(low), |(part, _)| one(&part))?;
    if low > high {
        return wrong("a range from more to less", format!("write {high} to {low}"));
    }
    Ok(Work { unit, low, high })
}

/// Starts of the names of months that spreadsheets write.
const MONTHS: &[&str] =
    &["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "okt", "nov", "dec", "dez"];

fn unit(text: &str) -> Result<MassUnit, Wrong> {
    match text.trim().trim_end_matches('.').to_lowercase().as_str() {
        "kg" | "kgs" | "kilogram" | "kilograms" => Ok(MassUnit::Kg),
        "lb" | "lbs" | "pound" | "pounds" => Ok(MassUnit::Lb),
        other => {
            let near = nearest(other, ["kg", "lb"].into_iter()).unwrap_or("kg").to_string();
            Err(Wrong { found: "no unit".to_string(), hint: "write kg or lb".to_string(), nearest: vec![near] })
        }
    }
}

/// A load as the exercise counts it, with the unit that it was written in. `said` is the unit of
/// the row, where it has one.
fn load(text: &str, comma: bool, said: Option<MassUnit>, counted: Option<Counted>) -> Result<(Kg, MassUnit), Wrong> {
    let lower = text.to_lowercase();
    let mut rest = lower.trim();
    let row_unit = said.unwrap_or(MassUnit::Kg);
    let body = ["bodyweight", "body weight", "body mass", "body", "bw"].iter().find_map(|w| rest.strip_prefix(w));
    if let Some(more) = body {
        rest = more.trim();
        if rest.is_empty() {
            return Ok((Kg(0.0), row_unit));
        }
        if !rest.starts_with(['+', '-', '–', '−']) {
            return wrong("no load", format!("write {}", Column::Load.holds()));
        }
    }
    if rest.starts_with(['-', '–', '−']) {
        return wrong("help is no load", "name the assisted form of the exercise and leave the load out");
    }
    let added = rest.strip_prefix('+');
    rest = added.unwrap_or(rest).trim();
    let each = [" per hand", "/hand", " each hand", " each", " a hand"].iter().find_map(|w| rest.strip_suffix(w));
    rest = each.unwrap_or(rest).trim();
    let twice = |rest: &str| {
        let front = ["2x", "2 x", "2×", "2 ×"].iter().find_map(|w| rest.strip_prefix(w));
        let end = ["x2", "x 2", "×2", "× 2"].iter().find_map(|w| rest.strip_suffix(w));
        front.or(end).map(|r| r.trim().to_string())
    };
    let pair = twice(rest);
    let rest = pair.as_deref().unwrap_or(rest);
    let end = rest.rfind(|c: char| c.is_ascii_digit() || matches!(c, '.' | ',')).map_or(0, |at| at + 1);
    let (figure, own) = rest.split_at(end);
    let unit = match own.trim() {
        "" => row_unit,
        own => unit(own)?,
    };
    if said.is_some_and(|said| said != unit) {
        return wrong(format!("in {unit}, and the unit of the row is {row_unit}"), "name one unit");
    }
    let figure = number(figure, comma, Column::Load.holds())?;
    let written = trim(figure);
    let hand = counted == Some(Counted::PerHand);
    let hands = match counted {
        Some(Counted::Bar | Counted::Stack | Counted::Body) if pair.is_some() => {
            return wrong(
                "two of them, where the exercise counts one load",
                format!("write the sum, {}", trim(2.0 * figure)),
            );
        }
        Some(_) if pair.is_some() && !hand => 2.0,
        _ => 1.0,
    };
    if each.is_some() && counted.is_some() && !hand {
        return wrong(
            "each hand, where the exercise counts one load",
            format!("write the load in all, {}", trim(2.0 * figure)),
        );
    }
    if let (Some(_), Some(counted)) = (added, counted)
        && !matches!(counted, Counted::Body | Counted::Added)
    {
        let how = counted_as(counted);
        return wrong(format!("added to the body, where the exercise counts {how}"), format!("write {written}"));
    }
    let kg = figure * hands * if unit == MassUnit::Lb { KG_PER_LB } else { 1.0 };
    let kg = keep(bounds::LOAD, kg)?;
    if hand {
        keep(bounds::LOAD, 2.0 * kg).map_err(|w| Wrong { found: format!("both hands: {}", w.found), ..w })?;
    }
    Ok((Kg(kg), unit))
}

/// What a load counts, in words.
#[must_use]
pub const fn counted_as(counted: Counted) -> &'static str {
    match counted {
        Counted::Bar => "bar and plates",
        Counted::PerHand => "each hand",
        Counted::One => "one implement",
        Counted::Stack => "the stack",
        Counted::Plates => "the plates",
        Counted::Added => "what is added to the body",
        Counted::Body => "the body",
    }
}

/// A row as it is asked in JSON.
#[must_use]
pub(super) fn asked(kb: &Kb, row: &Row) -> RowAsk {
    let text = |cell: String| (!cell.is_empty()).then_some(cell);
    let number = |value: Option<f64>| value.map(Given::Number);
    let load = load_written(kb, row, false);
    RowAsk {
        day: Some(Given::Text(row.day.short().to_string())),
        exercise: Named::row(kb, row.exercise).name.to_string(),
        sets: number(Some(f64::from(row.sets))),
        reps: Some(Given::Text(work_written(kb, row))),
        load: text(load.clone()).map(|load| plain(&load, false).map_or(Given::Text(load), Given::Number)),
        unit: text(unit_written(row)),
        rir: number(row.reserve),
        weeks_on: number(row.weeks_on.map(f64::from)),
        weeks_flat: number(row.weeks_flat.map(f64::from)),
        note: text(row.note.clone()),
    }
}

/// The load of a row with its unit, as a lifter writes it.
pub(super) fn load_said(kb: &Kb, row: &Row) -> String {
    let load = load_written(kb, row, false);
    if load == "body" || load.is_empty() { load } else { format!("{load} {}", row.unit) }
}

/// The cells of a row, in the order of the columns.
pub(super) fn written(kb: &Kb, row: &Row, since_deload: Option<u16>, comma: bool) -> Vec<String> {
    let weeks = |weeks: Option<u16>| weeks.map_or_else(String::new, |w| w.to_string());
    let cell = |column: &Column| match column {
        // Not the row but the plan says which week it is.
        Column::Week => String::new(),
        Column::Day => row.day.short().to_string(),
        Column::Exercise => Named::row(kb, row.exercise).name.to_string(),
        Column::Sets => row.sets.to_string(),
        Column::Reps => work_written(kb, row),
        Column::Load => load_written(kb, row, comma),
        Column::Unit => unit_written(row),
        Column::Rir => row.reserve.map_or_else(String::new, |r| figure(r, comma)),
        Column::WeeksOn => weeks(row.weeks_on),
        Column::WeeksFlat => weeks(row.weeks_flat),
        Column::SinceDeload => weeks(since_deload),
        Column::Note => row.note.clone(),
    };
    Column::ALL.iter().map(cell).collect()
}

/// A range is told with "to": of `8-10` a spreadsheet would make a date.
fn work_written(kb: &Kb, row: &Row) -> String {
    let Work { unit, low, high } = row.work;
    let holds = kb.table.rows.get(row.exercise).is_some_and(|r| r.holds);
    let unit = match unit {
        WorkUnit::Repetitions if holds => " reps",
        WorkUnit::Repetitions => "",
        WorkUnit::Seconds => "s",
        WorkUnit::Metres => "m",
    };
    if low == high { format!("{low}{unit}") } else { format!("{low} to {high}{unit}") }
}

fn load_written(kb: &Kb, row: &Row, comma: bool) -> String {
    let Some(load) = row.load else { return String::new() };
    if load.get() == 0.0 {
        return "body".to_string();
    }
    // Pounds come back to the figure that was typed.
    let value = match row.unit {
        MassUnit::Kg => load.get(),
        MassUnit::Lb => (load.pounds() * 1e6).round() / 1e6,
    };
    let on_body = kb.table.rows.get(row.exercise).is_some_and(|r| r.counted == Counted::Body);
    format!("{}{}", if on_body { "+" } else { "" }, figure(value, comma))
}

fn unit_written(row: &Row) -> String {
    row.load.filter(|kg| kg.get() > 0.0).map_or_else(String::new, |_| row.unit.to_string())
}

fn figure(value: f64, comma: bool) -> String {
    let text = value.to_string();
    if comma { text.replace('.', ",") } else { text }
}

#[cfg(test)]
mod tests {
    use super::*;

    // Source: ISO 8601 weekdays of well-known dates: the epoch was a Thursday, 2000-01-01 a
    // Saturday, 2024-02-29 a Thursday.
    #[test]
    fn dates_have_their_weekday() {
        let on = |text: &str| date(text).and_then(weekday).map(Day::name);
        assert_eq!(date("1970-01-01"), Some(0));
        assert_eq!((on("1970-01-01"), on("2000-01-01")), (Some("Thursday"), Some("Saturday")));
        assert_eq!((on("2024-02-29"), on("2026-11-23")), (Some("Thursday"), Some("Monday")));
        for none in ["2023-02-29", "2026-13-01", "2026-00-10", "26-11-23", "2026-11", "2026-11-23-1", "2026-1x-03", ""]
        {
            assert_eq!(date(none), None, "{none}");
        }
    }

    #[test]
    fn days_are_read_in_every_form() {
        for text in ["Mon", "monday", " MONDAY ", "1", "1.0", "2026-11-23", "2026-11-23T00:00:00"] {
            assert_eq!(day(text, None).map(Day::name), Ok("Monday"), "{text}");
        }
        assert_eq!((day("tues", None).map(Day::number), day("Thurs", None).map(Day::number)), (Ok(2), Ok(4)));
        assert_eq!(day("Wendsday", None).unwrap_err().nearest, ["Wednesday"]);
        assert!(day("8", None).is_err() && day("mo", None).is_err());
        assert!(day("2026-11-30", date("2026-11-23")).unwrap_err().found.contains("7 days after"));
    }

    #[test]
    fn work_is_read_in_every_form() {
        let read = |text: &str| work(text, false, false).map(|w| (w.unit, w.low, w.high));
        use WorkUnit::{Metres, Repetitions, Seconds};
        assert_eq!(read("5"), Ok((Repetitions, 5, 5)));
        for text in ["8-10", "8–10", "8 to 10", "8 - 10 reps", "8..10"] {
            assert_eq!(read(text), Ok((Repetitions, 8, 10)), "{text}");
        }
        assert_eq!((read("30s"), read("2 min")), (Ok((Seconds, 30, 30)), Ok((Seconds, 120, 120))));
        assert_eq!((read("30 m"), read("20-30m")), (Ok((Metres, 30, 30)), Ok((Metres, 20, 30))));
        assert_eq!(work("40", false, true).map(|w| w.unit), Ok(Seconds));
        assert!(read("10-Aug").unwrap_err().found.contains("date"));
        assert_eq!(read("10-8").unwrap_err().hint, "write 8 to 10");
        for none in ["", "amrap", "0", "5.5", "5s-8m", "99999", "-", "5-"] {
            assert!(read(none).is_err(), "{none}");
        }
    }

    #[test]
    fn loads_are_read_as_the_exercise_counts_them() {
        let read = |text: &str, counted| load(text, false, None, Some(counted)).map(|(kg, _)| kg.get());
        assert_eq!((read("100", Counted::Bar), read("62.5 kg", Counted::Bar)), (Ok(100.0), Ok(62.5)));
        // Source: international yard and pound agreement, 1959.
        assert_eq!(read("225lb", Counted::Bar), Ok(225.0 * 0.453_592_37));
        assert_eq!((read("body", Counted::Body), read("+10", Counted::Body)), (Ok(0.0), Ok(10.0)));
        assert_eq!((read("BW+10kg", Counted::Body), read("10", Counted::Body)), (Ok(10.0), Ok(10.0)));
        for text in ["2x20", "20 x2", "20kg per hand", "20 each", "20"] {
            assert_eq!(read(text, Counted::PerHand), Ok(20.0), "{text}");
        }
        assert_eq!(read("2x20", Counted::One), Ok(40.0));
        assert_eq!(read("2x50", Counted::Bar).unwrap_err().hint, "write the sum, 100");
        assert_eq!(read("+10", Counted::Bar).unwrap_err().hint, "write 10");
        assert_eq!(read("body-20", Counted::Body).unwrap_err().found, "help is no load");
        assert_eq!(load("62,5", true, None, None), Ok((Kg(62.5), MassUnit::Kg)));
        assert_eq!(load("62,5", false, None, None).unwrap_err().nearest, ["62.5"]);
        assert_eq!(load("100", false, Some(MassUnit::Lb), None), Ok((Kg(100.0 * 0.453_592_37), MassUnit::Lb)));
        assert!(load("100kg", false, Some(MassUnit::Lb), None).is_err());
        for none in ["heavy", "1e3", "nan", "--5", "100st", "9999", "bodyx", "+"] {
            assert!(read(none, Counted::Body).is_err(), "{none}");
        }
        assert!(read("400", Counted::PerHand).is_err());
    }

    #[test]
    fn columns_are_known_by_several_names() {
        for (name, column) in [("Day", Column::Day), (" Weeks on ", Column::WeeksOn), ("weeks_on", Column::WeeksOn)] {
            assert_eq!(Column::named(name), Some(column), "{name}");
        }
        assert_eq!(Column::named("rest"), None);
        let mut names: Vec<String> = Column::ALL.iter().map(|c| folded(c.name())).collect();
        names.extend(Column::ALL.iter().flat_map(|c| c.also()).map(|n| (*n).to_string()));
        let before = names.len();
        names.sort();
        names.dedup();
        assert_eq!(names.len(), before);
    }
}
