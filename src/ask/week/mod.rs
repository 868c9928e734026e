//! A week of training as people keep it, and the questions about it, one file each.
//!
//! Leans on [`crate::week`] for the week itself. Leaves to others: cells ([`cells`]), tables of a
//! spreadsheet ([`table`]). A week comes as CSV or as JSON rows; both go through the same cells, and
//! everything that is wrong with it is told at once.

pub mod audit;
pub mod cells;
pub mod deload;
pub mod mend;
pub mod table;
pub mod vary;

use std::path::Path;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::forces::{Sex, body};
use super::swap::{GymAsk, GymRead, SignRead, SoreAsk, round, signs, sores};
use super::{Error, Named, bounded, inventory, json};
use crate::gym::Inventory;
use crate::kb::Kb;
use crate::kb::raw::{People, Training, Urgency};
use crate::mechanics::anthropometry::Body;
use crate::rank::Sore;
use crate::week::audit::Setting;
use crate::week::{Row, Week};
use cells::{Column, Typed};

/// A cell as JSON has it: a number or a text.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum Given {
    /// A number.
    Number(f64),
    /// A text, as in a cell of a spreadsheet.
    Text(String),
}

impl Given {
    fn text(&self) -> String {
        match self {
            Self::Number(number) => number.to_string(),
            Self::Text(text) => text.clone(),
        }
    }
}

/// One row of a week as asked.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct RowAsk {
    /// Day: an English name or its first three letters, 1 (Monday) to 7, or a date as 2026-11-23;
    /// that of the row before when absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub day: Option<Given>,
    /// Exercise: id, name, alias or near spelling.
    #[schemars(example = &"back squat")]
    pub exercise: String,
    /// Sets.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sets: Option<Given>,
    /// Work of a set: 5, "8 to 10", "30s", "30m".
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reps: Option<Given>,
    /// Load as the exercise counts it: 100, "100kg", "225lb", "body", "+10", "2x20"; a typical one
    /// when absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub load: Option<Given>,
    /// Unit of a load without one, kg or lb; kg when absent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub unit: Option<String>,
    /// Repetitions left in reserve.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rir: Option<Given>,
    /// Weeks that the row has been in the programme.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub weeks_on: Option<Given>,
    /// Weeks without progress in it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub weeks_flat: Option<Given>,
    /// Words of your own.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// A row as it is told beside another.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct RowTold<'k> {
    /// Day, 1 Monday to 7 Sunday.
    pub day: u8,
    /// Its name.
    pub day_name: &'static str,
    /// Exercise.
    pub exercise: Named<'k>,
    /// Sets.
    pub sets: u16,
    /// Work of a set: "8 to 10", "30 s".
    pub work: String,
    /// Load as the exercise counts it, kg; absent where the row says none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub load_kg: Option<f64>,
    /// The same as it is written in a table; absent where the row says none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub load: Option<String>,
    /// Repetitions left in reserve, where the row says so.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reserve: Option<f64>,
}

impl<'k> RowTold<'k> {
    fn of(kb: &'k Kb, row: &Row) -> Self {
        Self {
            day: row.day.number(),
            day_name: row.day.name(),
            exercise: Named::row(kb, row.exercise),
            sets: row.sets,
            work: audit::work_said(row),
            load_kg: row.load.map(|kg| round(kg.get(), 2)),
            load: row.load.map(|_| cells::load_said(kb, row)),
            reserve: row.reserve,
        }
    }
}

/// The rows of a week as they can be asked again.
fn rows_asked(kb: &Kb, week: &Week) -> Vec<RowAsk> {
    week.rows().iter().map(|row| cells::asked(kb, row)).collect()
}

/// What was asked about the person, the place and what is sore, resolved.
struct Circumstances {
    level: Training,
    inventory: Inventory,
    sore: Vec<Sore>,
    body: Body,
    people: Option<People>,
    keep: Vec<usize>,
}

/// The members of a question that say so, whichever question it is.
struct Said<'r> {
    level: Option<Training>,
    gym: Option<&'r GymAsk>,
    have: &'r [String],
    improvise: bool,
    sore: &'r [SoreAsk],
    body_mass_kg: Option<f64>,
    sex: Option<Sex>,
    keep: &'r [usize],
}

impl Said<'_> {
    fn resolved(&self, kb: &Kb, week: &Week, notes: &mut Vec<String>) -> Result<Circumstances, Error> {
        bounded(self.sore, "/sore")?;
        let line = |(i, line): (usize, &usize)| {
            week.rows().iter().position(|row| row.line == *line).ok_or_else(|| Error::Unknown {
                what: "row",
                given: line.to_string(),
                pointer: format!("/keep/{i}"),
                nearest: nearest_lines(week, *line),
            })
        };
        Ok(Circumstances {
            level: self.level.unwrap_or(Training::Intermediate),
            sore: sores(kb, self.sore, notes)?,
            inventory: inventory(kb, self.gym, self.have)?.improvising(self.improvise),
            body: body(self.body_mass_kg, None, self.sex)?,
            people: self.sex.map(|sex| if sex == Sex::Female { People::Women } else { People::Men }),
            keep: self.keep.iter().enumerate().map(line).collect::<Result<_, _>>()?,
        })
    }
}

/// The lines nearest to one that no row stands on.
fn nearest_lines(week: &Week, line: usize) -> Vec<String> {
    let mut lines: Vec<usize> = week.rows().iter().map(|row| row.line).collect();
    lines.sort_by_key(|l| (l.abs_diff(line), *l));
    lines.iter().take(3).map(usize::to_string).collect()
}

impl Circumstances {
    fn setting(&self) -> Setting<'_> {
        Setting {
            level: self.level,
            inventory: &self.inventory,
            sore: &self.sore,
            body: &self.body,
            since_deload: None,
            signals: &[],
            mean_points: None,
            age: None,
            sets_last_week: None,
        }
    }

    fn gym(&self) -> GymRead {
        let here = &self.inventory;
        GymRead { id: here.id.clone(), name: here.name.clone(), assumed: here.assumed }
    }
}

/// Signs of an emergency among those named; where there are any, the answer ends with them.
fn emergencies<'k>(kb: &'k Kb, given: &[String]) -> Result<Vec<SignRead<'k>>, Error> {
    bounded(given, "/signs")?;
    let mut signs = signs(kb, given)?;
    signs.retain(|s| s.urgency == Urgency::Emergency);
    Ok(signs)
}

/// How a table was written, so that it can be written back the same.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Form {
    /// What stands between cells: a comma, a semicolon or a tab.
    pub delimiter: u8,
    /// Whether numbers have a comma before their fraction.
    pub decimal_comma: bool,
    /// Whether the text begins with a byte order mark.
    pub mark: bool,
}

impl Default for Form {
    fn default() -> Self {
        Self { delimiter: b',', decimal_comma: false, mark: false }
    }
}

/// A week as read.
#[derive(Debug, Clone, PartialEq)]
pub struct Read {
    /// The week.
    pub week: Week,
    /// How it was written.
    pub form: Form,
    /// Remarks on how it was read.
    pub notes: Vec<String>,
}

/// Most rows of a week.
pub const MOST_ROWS: usize = 200;

/// Longest text of a week, bytes.
pub const LONGEST_TEXT: usize = 256 * 1024;

/// A week from the members of a question: rows, or the text of a CSV file.
///
/// # Errors
/// [`Error::Conflict`] for both or neither, [`Error::Cells`] with every cell that is wrong.
pub fn asked(kb: &Kb, rows: &[RowAsk], csv: Option<&str>) -> Result<Read, Error> {
    match csv {
        Some(_) if !rows.is_empty() => Err(Error::Conflict {
            found: "both rows and csv".to_string(),
            pointer: "/csv".to_string(),
            hint: "give the week once".to_string(),
        }),
        Some(text) => table::read(kb, text),
        None => listed(kb, rows),
    }
}

/// A week from rows of JSON.
fn listed(kb: &Kb, rows: &[RowAsk]) -> Result<Read, Error> {
    enough(rows.len(), "/rows")?;
    let typed = rows.iter().enumerate().map(|(at, row)| {
        let text = |given: &Option<Given>| given.as_ref().map(Given::text);
        let mut typed = Typed::new(at + 1, format!("/rows/{at}"));
        typed.set(Column::Day, text(&row.day));
        typed.set(Column::Exercise, Some(row.exercise.clone()));
        typed.set(Column::Sets, text(&row.sets));
        typed.set(Column::Reps, text(&row.reps));
        typed.set(Column::Load, text(&row.load));
        typed.set(Column::Unit, row.unit.clone());
        typed.set(Column::Rir, text(&row.rir));
        typed.set(Column::WeeksOn, text(&row.weeks_on));
        typed.set(Column::WeeksFlat, text(&row.weeks_flat));
        typed.set(Column::Note, row.note.clone());
        typed
    });
    let (week, notes) = cells::week(kb, &typed.collect::<Vec<_>>(), false, "row")?;
    Ok(Read { week, form: Form::default(), notes })
}

/// Refuses a week of no rows, or of more than anybody trains.
fn enough(rows: usize, pointer: &str) -> Result<(), Error> {
    let wrong =
        |found: String, hint: &str| Err(Error::Shape { found, pointer: pointer.to_string(), hint: hint.to_string() });
    match rows {
        0 => wrong("a week without a row".to_string(), "write a row for each exercise of each day"),
        n if n > MOST_ROWS => wrong(format!("a week of {n} rows"), "keep it to 200; one row an exercise and day"),
        _ => Ok(()),
    }
}

/// A week in a file of JSON: the rows, with or without what goes with them.
#[derive(Debug, Deserialize)]
#[serde(untagged)]
enum Kept {
    Rows(Vec<serde_json::Value>),
    Whole(serde_json::Map<String, serde_json::Value>),
}

/// The members of a file that is an object.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Whole {
    rows: Vec<RowAsk>,
    #[serde(default)]
    weeks_since_deload: Option<u16>,
}

/// A week from a file: JSON where its name ends so, else CSV.
///
/// # Errors
/// [`Error::File`] when it cannot be read, [`Error::Shape`] when it is no table, [`Error::Cells`]
/// with every cell that is wrong.
pub fn file(kb: &Kb, path: &Path) -> Result<Read, Error> {
    file_of_plan(kb, path, None)
}

/// As [`file()`], one week of a table with several: the one of number `week`.
///
/// # Errors
/// As [`file()`], and [`Error::Conflict`] or [`Error::Unknown`] for a number that the file has not.
pub fn file_of_plan(kb: &Kb, path: &Path, week: Option<u32>) -> Result<Read, Error> {
    let shown = path.display().to_string();
    let bytes = std::fs::read(path).map_err(|e| Error::File { path: shown.clone(), reason: e.to_string() })?;
    let Ok(text) = std::str::from_utf8(&bytes) else {
        return Err(Error::Shape {
            found: format!("{shown} is not in UTF-8"),
            pointer: "/csv".to_string(),
            hint: "save it as CSV in UTF-8".to_string(),
        });
    };
    if !path.extension().is_some_and(|e| e.eq_ignore_ascii_case("json")) {
        return table::read_week(kb, text, week);
    }
    if let Some(week) = week {
        return Err(Error::Conflict {
            found: format!("week {week} of {shown}, which holds one week"),
            pointer: "/week".to_string(),
            hint: "leave the number out".to_string(),
        });
    }
    from_json(kb, &shown, text)
}

/// A week from the text of the JSON file called `shown`.
fn from_json(kb: &Kb, shown: &str, text: &str) -> Result<Read, Error> {
    let wrong = |found: String| Error::Shape {
        found: format!("{shown}: {found}"),
        pointer: "/rows".to_string(),
        hint: r#"write {"rows": [{"day": "Mon", "exercise": "back squat", "sets": 4, "reps": 6, "load": 80}]}"#
            .to_string(),
    };
    let kept: Kept = serde_json::from_str(text).map_err(|e| wrong(e.to_string()))?;
    let value = match kept {
        Kept::Rows(rows) => serde_json::json!({ "rows": rows }),
        Kept::Whole(whole) => serde_json::Value::Object(whole),
    };
    let whole: Whole =
        serde_path_to_error::deserialize(&value).map_err(|e| wrong(format!("{}: {}", e.path(), e.inner())))?;
    let mut read = listed(kb, &whole.rows)?;
    read.week.since_deload = whole.weeks_since_deload;
    Ok(read)
}

/// A week as JSON that a person reads: what [`file()`] takes.
///
/// # Errors
/// [`Error::Internal`] when a value has no JSON form.
pub fn to_json(kb: &Kb, week: &Week) -> Result<String, Error> {
    let rows: Vec<RowAsk> = week.rows().iter().map(|row| cells::asked(kb, row)).collect();
    json::pretty(&serde_json::json!({ "rows": rows, "weeks_since_deload": week.since_deload }))
}
