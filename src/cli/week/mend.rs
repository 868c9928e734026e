//! `stead week mend`: from a file and options to a question; the mended week beside the old one.
//!
//! Leans on [`crate::ask::week::mend`]. Leaves to others: reading and writing the file
//! ([`crate::ask::week`]).

use std::path::Path;

use super::{amount, write};
use crate::ask::week::audit::FindingRead;
use crate::ask::week::mend::{ChangeRead, MendRead, Reply, Request, What, answer, of_week};
use crate::ask::{Engine, Error, json, week};
use crate::cli::text::{Page, alarm, caution, counted, faint, kept, strong, words};
use crate::cli::{Outcome, args, progress, quantity, swap};
use crate::kb::Kb;
use crate::kb::raw::Urgency;
use crate::units::trim;

/// Asks and tells.
pub fn run(engine: &Engine, asked: &args::WeekMend, as_json: bool) -> Result<Outcome, Error> {
    let kb = engine.kb();
    let request = request(kb, asked)?;
    let (reply, written) = match &asked.file {
        Some(path) => {
            let read = week::file(kb, path)?;
            let (reply, week) =
                progress::during("looking for the smallest change", || of_week(engine, &read, &request))?;
            let written = write(kb, &asked.new, Some(path.as_path()), &read, week.as_ref())?;
            (reply, written)
        }
        // Without a file there is a sign; what is no emergency asks for the week.
        None => (answer(engine, &request)?, None),
    };
    let text = if as_json { json::text(&reply)? } else { render(&reply, written) };
    Ok(Outcome::new(text, reply.mend.is_some()))
}

/// The question that was typed, but for the week itself.
fn request(kb: &Kb, asked: &args::WeekMend) -> Result<Request, Error> {
    let here = &asked.here;
    let mass = here.body_mass.as_deref().map(|t| quantity::mass("--body-mass", t, "/body_mass_kg"));
    Ok(Request {
        level: asked.level,
        gym: here.gym.as_deref().map(|typed| swap::gym(kb, typed)).transpose()?,
        have: swap::items(&here.have),
        improvise: here.improvise,
        sore: here.sore.iter().enumerate().map(|(at, typed)| swap::sore(typed, at)).collect::<Result<_, _>>()?,
        keep: asked.keep.clone(),
        tolerance_percent: asked.tolerance,
        body_mass_kg: mass.transpose()?,
        sex: here.sex,
        signs: here.sign.clone(),
        ..Request::default()
    })
}

/// The reply as a lifter reads it.
fn render(reply: &Reply<'_>, written: Option<&Path>) -> String {
    let mut page = Page::new();
    for sign in &reply.signs {
        let paint = if sign.urgency == Urgency::Routine { caution } else { alarm };
        page.line(&paint(sign.action));
        page.hung("  ", &faint(&format!("you said: {}", sign.sign)));
    }
    if let Some(mend) = &reply.mend {
        page.gap();
        heading(&mut page, mend);
        changes(&mut page, mend);
        findings(&mut page, "Cleared", &mend.cleared);
        given_up(&mut page, mend);
        findings(&mut page, "Left", &mend.left);
        if let Some(path) = written {
            page.gap();
            page.line(&format!("Written to {}", path.display()));
        }
    }
    page.notes_and_cautions(&reply.notes, &reply.cautions);
    page.finish()
}

fn heading(page: &mut Page, mend: &MendRead<'_>) {
    let rows = counted(mend.rows.iter().filter(|r| r.before.is_some()).count(), "row");
    let said = if mend.changed == 0 && mend.reordered.is_empty() {
        format!("Nothing to mend in {rows}")
    } else {
        format!("{} in {rows}", counted(mend.changed, "change"))
    };
    page.line(&strong(&said));
    let (a, b) = (&mend.before, &mend.after);
    if mend.changed > 0 {
        let proven = if mend.proven { "no smaller change does it" } else { "the smallest found in time" };
        let least = if mend.proven || mend.least_cost <= 0.0 {
            String::new()
        } else {
            format!("; none below {}", trim((mend.least_cost * 10.0).floor() / 10.0))
        };
        let size = trim((mend.cost * 10.0).round() / 10.0);
        page.set("  size: ", 4, &format!("as much as {size} sets cut ({proven}{least})"));
    }
    let spine = format!("{} points now, {} before; {} sets of A3, {} before", b.points, a.points, b.a3, a.a3);
    page.set("  spine load: ", 4, &spine);
    page.set("  sets: ", 4, &format!("{} now, {} before", b.sets, a.sets));
    page.set("  lifter: ", 4, &mend.level.to_string());
    if !mend.gym.assumed {
        page.set("  kit: ", 4, &mend.gym.name);
    }
    for sore in &mend.sore {
        let what = sore.aggravator.map_or(String::new(), |a| format!(" ({})", words(a)));
        page.set("  sore: ", 4, &format!("{}{what}, {}", words(sore.region), sore.level));
    }
}

/// Row by row, under the day that it stood on.
fn changes(page: &mut Page, mend: &MendRead<'_>) {
    let mut day = 0;
    let place = |row: &&ChangeRead<'_>| row.before.as_ref().or(row.after.as_ref()).map(|told| told.day);
    let mut rows: Vec<&ChangeRead<'_>> = mend.rows.iter().collect();
    rows.sort_by_key(place);
    for row in rows {
        let Some(told) = row.before.as_ref().or(row.after.as_ref()) else { continue };
        if told.day != day {
            day = told.day;
            page.gap();
            let order = if mend.reordered.contains(&told.day_name) { " (in another order)" } else { "" };
            page.line(&format!("{}{order}", strong(told.day_name)));
        }
        one(page, row);
    }
}

fn one(page: &mut Page, row: &ChangeRead<'_>) {
    let mark = if row.what == What::Kept { "    " } else { "  * " };
    if let Some(was) = &row.before {
        page.hung(mark, &format!("{}, {}", was.exercise.name, kept(&amount(was))));
    }
    let now = match (row.what, &row.after) {
        (What::Kept, _) => return,
        (What::Dropped, _) | (_, None) => "left out".to_string(),
        (What::Cut | What::Raised, Some(now)) => format!("{} sets", now.sets),
        (What::Moved, Some(now)) => format!("on {}", now.day_name),
        (What::Swapped, Some(now)) => format!("{}, {}", strong(now.exercise.name), kept(&amount(now))),
        (What::Added, Some(now)) => format!("put on: {}, {}", strong(now.exercise.name), kept(&amount(now))),
    };
    page.hung(if row.before.is_some() { "    > " } else { "  * " }, &now);
    if let Some(why) = &row.no_load {
        page.hung("      ", &faint(&format!("no load told: {why}")));
    }
    if !row.clears.is_empty() {
        page.hung(
            "      ",
            &faint(&format!("for {}", row.clears.iter().map(|r| kept(r)).collect::<Vec<_>>().join(", "))),
        );
    }
}

fn findings(page: &mut Page, heading: &str, findings: &[FindingRead<'_>]) {
    if findings.is_empty() {
        return;
    }
    page.gap();
    page.line(&strong(heading));
    for finding in findings {
        page.hung("  - ", &finding.words);
    }
}

fn given_up(page: &mut Page, mend: &MendRead<'_>) {
    if mend.given_up.is_empty() {
        return;
    }
    page.gap();
    page.line(&alarm("Given up, because not everything can be had"));
    for one in &mend.given_up {
        let kept = if one.by_kept_rows { " (rows kept as they are break it)" } else { "" };
        page.hung("  - ", &format!("{}{kept}", one.gave_up));
        for (at, beside) in one.beside.iter().enumerate() {
            let lead = if at == 0 { "    not beside: " } else { "      nor: " };
            page.set(lead, 8, &faint(beside));
        }
    }
}
