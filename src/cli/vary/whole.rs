//! `stead vary FILE`: a week varied as a whole, its plan row by row and as a table of weeks.
//!
//! Leans on [`crate::ask::vary`] and on the tables of [`crate::ask::week`]. Leaves to others: the
//! question as typed and what goes for one lift as well ([`super`]).

use std::fs::canonicalize;
use std::path::Path;

use super::{alarms, circumstances};
use crate::ask::vary::{Reply, Request, of_week};
use crate::ask::week::vary::{CarriesRead, PassedRead, PlaceRead, StretchRead, WeekPlan, WhyGone, WhyStays};
use crate::ask::week::{self, Read, table};
use crate::ask::{Engine, Error, json};
use crate::cli::text::{Page, counted, faint, kept, strong};
use crate::cli::{Outcome, args, output};
use crate::kb::Kb;
use crate::week::Week;
use crate::week::vary::whole::Plan;

/// Asks and tells.
pub fn run(
    engine: &Engine,
    asked: &args::Vary,
    path: &Path,
    request: &Request,
    as_json: bool,
) -> Result<Outcome, Error> {
    let kb = engine.kb();
    // A file that cannot be written is told before the plan is made.
    check_target(asked, path)?;
    let read = week::file(kb, path)?;
    let (reply, plan) = of_week(engine, &read, request)?;
    let written = match (&asked.to, &plan) {
        (Some(to), Some(plan)) => {
            write(kb, to, asked.replace, &read, plan)?;
            Some(to.as_path())
        }
        _ => None,
    };
    let text = if as_json { json::text(&reply)? } else { render(&reply, written) };
    Ok(Outcome::new(text, reply.has_answer()))
}

/// Refuses to write over the week that is read, or a table under the name of something else.
fn check_target(asked: &args::Vary, path: &Path) -> Result<(), Error> {
    let Some(to) = &asked.to else { return Ok(()) };
    let refused =
        |found: String, hint: &str| Err(Error::Conflict { found, pointer: "/to".to_string(), hint: hint.to_string() });
    if matches!((canonicalize(path), canonicalize(to)), (Ok(a), Ok(b)) if a == b) {
        return refused(format!("{} is the week that was read", to.display()), "name a new file");
    }
    if to.extension().is_some_and(|e| e.eq_ignore_ascii_case("json")) {
        let hint = "end its name in .csv; --json tells the plan as JSON";
        return refused(format!("{}: the plan is written as a table", to.display()), hint);
    }
    Ok(())
}

/// Writes every week of the plan into one table, in the form of the week that was read.
fn write(kb: &Kb, to: &Path, replace: bool, read: &Read, plan: &Plan) -> Result<(), Error> {
    let weeks: Vec<(u32, Week)> = (1..=plan.weeks).map(|number| (number, plan.week(number))).collect();
    let text = table::plan_to_csv(kb, &weeks, &read.form)?;
    if replace {
        output::replace_file(to, &text)
    } else {
        output::new_file(to, &text, "it is there already; --replace writes over it")
    }
}

/// The reply as a lifter reads it.
fn render(reply: &Reply<'_>, written: Option<&Path>) -> String {
    let mut page = Page::new();
    alarms(&mut page, reply);
    let (Some(question), Some(week)) = (&reply.question, &reply.week) else { return page.finish() };
    page.gap();
    let rows = counted(week.rows.iter().map(|r| r.lines.len()).sum(), "row");
    page.line(&strong(&format!("A week of {rows}, varied over {}", counted(question.weeks as usize, "week"))));
    circumstances(&mut page, question);
    let mut day = 0;
    for place in &week.rows {
        if place.day != day {
            day = place.day;
            page.gap();
            page.line(&strong(place.day_name));
        }
        row(&mut page, place);
    }
    blocks(&mut page, week);
    if let Some(path) = written {
        page.gap();
        page.hung("Written to ", &path.display().to_string());
    }
    page.notes_and_cautions(&reply.notes, &reply.cautions);
    page.finish()
}

fn row(page: &mut Page, place: &PlaceRead<'_>) {
    page.hung("  ", place.exercise.name);
    match place.gone {
        Some(WhyGone::NoKit) => page.hung("    ", "cannot be done here"),
        Some(WhyGone::Skipped) => page.hung("    ", "not wanted"),
        None => {}
    }
    if let Some(stays) = &place.stays {
        let amounts = place.plan.first().map_or(String::new(), |s| s.said.join("; "));
        page.hung("    stays: ", &kept(&amounts));
        page.hung("    ", &faint(&format!("({})", stays.said)));
        if stays.reason == WhyStays::NoTurn
            && let Some(next) = place.variations.first()
        {
            page.hung("    ", &faint(&format!("next would be {}", next.exercise.name)));
        }
    } else {
        for stretch in &place.plan {
            one(page, stretch);
        }
    }
    passed_over(page, &place.passed_over);
}

/// The best of what was passed over, and how many more there are.
fn passed_over(page: &mut Page, passed: &[PassedRead<'_>]) {
    let told = |p: &PassedRead<'_>| format!("{} ({})", p.exercise.name, kept(&p.said));
    let mut names: Vec<String> = passed.iter().take(PASSED).map(told).collect();
    if let Some(more) = passed.len().checked_sub(PASSED).filter(|more| *more > 0) {
        names.push(kept(&format!("{more} more")));
    }
    if !names.is_empty() {
        page.hung("    passed over: ", &faint(&names.join(", ")));
    }
}

/// How many of them the text names; the reply as JSON has all.
const PASSED: usize = 2;

fn one(page: &mut Page, stretch: &StretchRead<'_>) {
    let lead = match (stretch.from_week, stretch.to_week) {
        (one, last) if one == last => format!("    week {one:>2}      "),
        (from, to) => format!("    weeks {from:>2} to {to:>2} "),
    };
    let name = match stretch.original {
        true if stretch.from_week == 1 => "as it is".to_string(),
        true => "as it was".to_string(),
        false => strong(stretch.exercise.name),
    };
    let amounts: Vec<String> = stretch.said.iter().map(|said| kept(said)).collect();
    page.hung(&lead, &format!("{name}, {}", amounts.join("; ")));
    if let Some(why) = &stretch.no_load {
        page.hung(&" ".repeat(lead.len()), &faint(&format!("no first load: {why}")));
    }
}

/// What the week carries, block by block.
fn blocks(page: &mut Page, week: &WeekPlan<'_>) {
    page.gap();
    page.line(&strong("Spine load by block"));
    page.verbatim(&format!("  {:<16}{:>8}{:>9}{:>9}", "", "points", "A3 sets", "changes"));
    let line = |lead: &str, carries: &CarriesRead, changes: &str| {
        format!("  {lead:<16}{:>8}{:>9}{changes:>9}", carries.points, carries.a3_sets)
    };
    page.verbatim(&line("as it is", &week.before, ""));
    for block in &week.blocks {
        let lead = match (block.from_week, block.to_week) {
            (one, last) if one == last => format!("week {one:>2}"),
            (from, to) => format!("weeks {from:>2} to {to:>2}"),
        };
        page.verbatim(&line(&lead, &block.carries, &block.changed.len().to_string()));
    }
}
