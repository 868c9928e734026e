//! `stead week`: questions about a week of training, one file each.
//!
//! Leans on [`crate::ask::week`]. Leaves to others: each question's text (`audit`, `mend`, `deload`)
//! and drawing (`chart`).

mod audit;
mod chart;
mod deload;
mod mend;

use std::fs::canonicalize;
use std::path::Path;

use super::args::{NewWeek, Week};
use super::{Outcome, args, output};
use crate::ask::week::{Read, RowTold, to_json};
use crate::ask::{Engine, Error};
use crate::kb::Kb;

/// Asks and tells.
pub fn run(engine: &Engine, asked: &args::Week, as_json: bool) -> Result<Outcome, Error> {
    match asked {
        Week::Audit(asked) => audit::run(engine, asked, as_json),
        Week::Mend(asked) => mend::run(engine, asked, as_json),
        Week::Deload(asked) => deload::run(engine, asked, as_json),
    }
}

/// Writes a week into the file that was asked for, JSON where its name ends so, else a table in the
/// form of the one read; never over that one.
fn write<'a>(
    kb: &Kb,
    asked: &'a NewWeek,
    from: Option<&Path>,
    read: &Read,
    week: Option<&crate::week::Week>,
) -> Result<Option<&'a Path>, Error> {
    let (Some(to), Some(week)) = (asked.to.as_deref(), week) else { return Ok(None) };
    let same = |from: &Path| matches!((canonicalize(from), canonicalize(to)), (Ok(a), Ok(b)) if a == b);
    if from.is_some_and(same) {
        return Err(Error::Conflict {
            found: format!("{} is the week that was read", to.display()),
            pointer: "/to".to_string(),
            hint: "name a new file".to_string(),
        });
    }
    let json = to.extension().is_some_and(|e| e.eq_ignore_ascii_case("json"));
    let text = if json { to_json(kb, week)? } else { week.to_csv(kb, &read.form)? };
    if asked.replace {
        output::replace_file(to, &text)?;
    } else {
        output::new_file(to, &text, "it is there already; --replace writes over it")?;
    }
    Ok(Some(to))
}

/// A row in short: `5 x 5, 112.5 kg`.
fn amount(row: &RowTold<'_>) -> String {
    let load = row.load.as_ref().map_or(String::new(), |l| format!(", {l}"));
    format!("{} x {}{load}", row.sets, row.work)
}
