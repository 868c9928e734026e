//! A week as a table that any spreadsheet opens: CSV as RFC 4180, in UTF-8.
//!
//! Leans on the csv crate. Leaves to others: what a cell means ([`super::cells`]). A table may have
//! commas, semicolons or tabs between its cells; with semicolons and tabs numbers may have a comma
//! before their fraction, as spreadsheets write where that is the custom. It is written back so. A
//! plan is one table of several weeks, told apart by the column `week`; one of them is read.

use csv::{ReaderBuilder, Terminator, WriterBuilder};

use super::cells::{self, CellProblem, Column, Typed};
use super::{Form, LONGEST_TEXT, MOST_ROWS, Read, enough};
use crate::ask::Error;
use crate::kb::Kb;
use crate::week::Week;

/// The byte order mark that some spreadsheets put before UTF-8.
const MARK: &str = "\u{feff}";

/// Reads a table of one week.
///
/// # Errors
/// [`Error::Shape`] for a text that is no table, or of several weeks; [`Error::Cells`] with every
/// cell that is wrong.
pub fn read(kb: &Kb, text: &str) -> Result<Read, Error> {
    read_week(kb, text, None)
}

/// Reads one week of a table: the one of number `week`, or the only one.
///
/// # Errors
/// As [`read`], and [`Error::Unknown`] for a number that the table has not.
pub fn read_week(kb: &Kb, text: &str, week: Option<u32>) -> Result<Read, Error> {
    if text.len() > LONGEST_TEXT {
        return Err(shape(format!("a table of {} bytes", text.len()), "keep it to one week"));
    }
    let (mark, text) = match text.strip_prefix(MARK) {
        Some(rest) => (true, rest),
        None => (false, text),
    };
    // A first line that only says what stands between the cells, as one spreadsheet writes it.
    let (told, skipped) = match text.get(..4).filter(|start| start.eq_ignore_ascii_case("sep=")) {
        Some(_) => (text.as_bytes().get(4).copied(), text.find('\n').map_or(text.len(), |at| at + 1)),
        None => (None, 0),
    };
    let body = text.get(skipped..).unwrap_or_default();
    let delimiter = told.filter(|d| DELIMITERS.contains(d)).unwrap_or_else(|| delimiter(body));
    let first_line = 1 + text.get(..skipped).unwrap_or_default().matches('\n').count();
    let records = records(body, delimiter, first_line)?;
    let Some((header, rows)) = records.split_first() else {
        return Err(shape("an empty table".to_string(), HEADER));
    };
    let mut problems = Vec::new();
    let columns = columns(header, &mut problems);
    let rows = of_one_week(&columns, rows, week, &mut problems)?;
    enough(rows.len(), "/csv")?;
    let decimal_comma = decimal_comma(delimiter, &columns, &rows);
    let mut typed = Vec::with_capacity(rows.len());
    for record in &rows {
        let mut row = Typed::new(record.line, "/csv".to_string());
        for (column, cell) in columns.iter().zip(&record.cells) {
            if let Some(column) = column {
                row.set(*column, Some(cell.clone()));
            }
        }
        if let Some(more) = record.cells.get(columns.len()..).and_then(|all| all.iter().find(|c| !c.trim().is_empty()))
        {
            problems.push(CellProblem {
                line: record.line,
                column: "",
                value: more.clone(),
                found: format!("more cells than the first line has columns ({})", columns.len()),
                hint: "put a cell that holds a comma between quotation marks".to_string(),
                nearest: Vec::new(),
                pointer: "/csv".to_string(),
            });
        }
        typed.push(row);
    }
    let comma = delimiter != b',';
    let (week, notes) = cells::week_with(kb, &typed, comma, "line", problems)?;
    Ok(Read { week, form: Form { delimiter, decimal_comma, mark }, notes })
}

/// What may stand between cells; of equally many the first.
const DELIMITERS: [u8; 3] = [b',', b';', b'\t'];

/// What a first line looks like.
const HEADER: &str = "the first line names the columns: day,exercise,sets,reps,load";

fn shape(found: String, hint: &str) -> Error {
    Error::Shape { found, pointer: "/csv".to_string(), hint: hint.to_string() }
}

/// What stands most often between quotation marks in the first line that is not blank.
fn delimiter(text: &str) -> u8 {
    let line = text.lines().find(|line| !line.trim().is_empty()).unwrap_or_default();
    let mut quoted = false;
    let mut counts = [0usize; DELIMITERS.len()];
    for byte in line.bytes() {
        quoted ^= byte == b'"';
        let place = DELIMITERS.iter().position(|d| *d == byte).filter(|_| !quoted);
        if let Some(count) = place.and_then(|at| counts.get_mut(at)) {
            *count += 1;
        }
    }
    let most = counts.iter().copied().max().unwrap_or(0);
    DELIMITERS.iter().zip(counts).find(|(_, count)| *count == most).map_or(b',', |(d, _)| *d)
}

/// One line of the table that is not blank.
struct Record {
    line: usize,
    cells: Vec<String>,
}

fn records(text: &str, delimiter: u8, first_line: usize) -> Result<Vec<Record>, Error> {
    let mut reader =
        ReaderBuilder::new().has_headers(false).flexible(true).delimiter(delimiter).from_reader(text.as_bytes());
    let mut out = Vec::new();
    let (mut counted, mut line) = (0usize, first_line);
    for record in reader.records() {
        let record = record.map_err(|e| shape(format!("the table cannot be read: {e}"), HEADER))?;
        // The reader tells where it began to look; blank lines stand between there and the record.
        let told = record.position().map_or(0, |p| usize::try_from(p.byte()).unwrap_or(usize::MAX));
        let blank = |rest: &str| rest.len() - rest.trim_start_matches(['\r', '\n']).len();
        let start = told + text.get(told..).map_or(0, blank);
        line += text.get(counted..start).map_or(0, |passed| passed.matches('\n').count());
        counted = start;
        let cells: Vec<String> = record.iter().map(str::to_string).collect();
        if cells.iter().any(|cell| !cell.trim().is_empty()) {
            out.push(Record { line, cells });
        }
    }
    Ok(out)
}

/// The column of each cell of the first line; a nameless column is left alone.
fn columns(header: &Record, problems: &mut Vec<CellProblem>) -> Vec<Option<Column>> {
    let mut columns: Vec<Option<Column>> = Vec::with_capacity(header.cells.len());
    let mut problem = |value: &str, found: String, hint: String, nearest: Vec<String>| {
        problems.push(CellProblem {
            line: header.line,
            column: "",
            value: value.to_string(),
            found,
            hint,
            nearest,
            pointer: "/csv".to_string(),
        });
    };
    for cell in &header.cells {
        let column = Column::named(cell);
        if column.is_none() && !cell.trim().is_empty() {
            let near = cells::nearest_column(cell);
            problem(cell, "no column of a week".to_string(), format!("did you mean {near:?}?"), vec![near.to_string()]);
        } else if column.is_some_and(|c| columns.contains(&Some(c))) {
            problem(cell, "a second column of this name".to_string(), "keep one of them".to_string(), Vec::new());
        }
        columns.push(column);
    }
    for needed in Column::ALL.iter().filter(|c| c.needed() && !columns.contains(&Some(**c))) {
        let name = needed.name();
        problem("", format!("no column {name:?}"), HEADER.to_string(), vec![name.to_string()]);
    }
    columns
}

/// The lines of one week. Without a column that numbers the weeks it is all of them; an empty number
/// is that of the line above.
fn of_one_week<'r>(
    columns: &[Option<Column>],
    rows: &'r [Record],
    asked: Option<u32>,
    problems: &mut Vec<CellProblem>,
) -> Result<Vec<&'r Record>, Error> {
    let pointer = || "/week".to_string();
    let Some(at) = columns.iter().position(|c| *c == Some(Column::Week)) else {
        return match asked {
            None => Ok(rows.iter().collect()),
            Some(asked) => Err(Error::Conflict {
                found: format!("week {asked} of a table without a column \"week\""),
                pointer: pointer(),
                hint: "leave the number out".to_string(),
            }),
        };
    };
    let mut numbered: Vec<(u32, &Record)> = Vec::with_capacity(rows.len());
    let mut above = None;
    for record in rows {
        let text = record.cells.get(at).map_or("", |cell| cell.trim());
        let number = match above {
            Some(above) if text.is_empty() => Some(above),
            _ => cells::week_number(record.line, text, problems),
        };
        if let Some(number) = number {
            above = Some(number);
            numbered.push((number, record));
        }
    }
    if problems.iter().any(|p| p.column == Column::Week.name()) {
        // No week can be told from the others: what else is wrong is told of as many as make one.
        return Ok(rows.iter().take(MOST_ROWS).collect());
    }
    let mut weeks: Vec<u32> = numbered.iter().map(|(number, _)| *number).collect();
    weeks.sort_unstable();
    weeks.dedup();
    let wanted = match (asked, weeks.as_slice()) {
        (Some(asked), all) if !all.contains(&asked) => {
            weeks.sort_by_key(|week| week.abs_diff(asked));
            return Err(Error::Unknown {
                what: "week of the plan",
                given: asked.to_string(),
                pointer: pointer(),
                nearest: weeks.iter().take(3).map(u32::to_string).collect(),
            });
        }
        (Some(asked), _) => Some(asked),
        (None, [first, .., last]) => {
            return Err(Error::Shape {
                found: format!("a plan of several weeks, {first} to {last}"),
                pointer: "/csv".to_string(),
                hint: "name one of them (--week N), or keep the lines of one".to_string(),
            });
        }
        (None, only) => only.first().copied(),
    };
    Ok(numbered.into_iter().filter(|(number, _)| Some(*number) == wanted).map(|(_, record)| record).collect())
}

/// Whether numbers are written with a comma: as the first that has a fraction says, else as is the
/// custom beside the delimiter.
fn decimal_comma(delimiter: u8, columns: &[Option<Column>], rows: &[&Record]) -> bool {
    let at = |column: Column| columns.iter().position(|c| *c == Some(column));
    let cells =
        [Column::Load, Column::Rir].into_iter().filter_map(at).flat_map(|at| rows.iter().map(move |r| r.cells.get(at)));
    let first = cells.flatten().find_map(|cell| cell.chars().find(|c| matches!(c, ',' | '.')));
    delimiter != b',' && first.map_or(delimiter == b';', |c| c == ',')
}

impl Week {
    /// The week as a table, in the form that it was read in: RFC 4180 with CRLF, columns without
    /// a value left out, exercises by the name that the base shows.
    ///
    /// # Errors
    /// [`Error::Internal`] when the table cannot be written, which no week makes it do.
    pub fn to_csv(&self, kb: &Kb, form: &Form) -> Result<String, Error> {
        let comma = form.decimal_comma;
        let rows = self.rows().iter().map(|row| cells::written(kb, row, self.since_deload, comma));
        written(&rows.collect::<Vec<_>>(), form)
    }
}

/// Several weeks as one table, each under its number; [`read_week`] reads one of them.
///
/// # Errors
/// As [`Week::to_csv`].
pub fn plan_to_csv(kb: &Kb, weeks: &[(u32, Week)], form: &Form) -> Result<String, Error> {
    let comma = form.decimal_comma;
    let numbered = |number: u32, cells: Vec<String>| -> Vec<String> {
        let with = |(column, cell): (&Column, String)| if *column == Column::Week { number.to_string() } else { cell };
        Column::ALL.iter().zip(cells).map(with).collect()
    };
    let of = |(number, week): &(u32, Week)| -> Vec<Vec<String>> {
        let cells = |row| numbered(*number, cells::written(kb, row, week.since_deload, comma));
        week.rows().iter().map(cells).collect()
    };
    written(&weeks.iter().flat_map(of).collect::<Vec<_>>(), form)
}

fn written(rows: &[Vec<String>], form: &Form) -> Result<String, Error> {
    let fault = |e: String| Error::Internal(format!("the table cannot be written: {e}"));
    let filled = |at: usize| rows.iter().any(|row| row.get(at).is_some_and(|cell| !cell.is_empty()));
    let shown: Vec<usize> =
        (0..Column::ALL.len()).filter(|at| Column::ALL.get(*at).is_some_and(|c| c.needed()) || filled(*at)).collect();
    let mut out = WriterBuilder::new()
        .delimiter(form.delimiter)
        .terminator(Terminator::CRLF)
        .from_writer(if form.mark { MARK.as_bytes().to_vec() } else { Vec::new() });
    let names = shown.iter().filter_map(|at| Column::ALL.get(*at)).map(|c| c.name());
    out.write_record(names).map_err(|e| fault(e.to_string()))?;
    for row in rows {
        let cells = shown.iter().filter_map(|at| row.get(*at));
        out.write_record(cells).map_err(|e| fault(e.to_string()))?;
    }
    let bytes = out.into_inner().map_err(|e| fault(e.to_string()))?;
    String::from_utf8(bytes).map_err(|e| fault(e.to_string()))
}
