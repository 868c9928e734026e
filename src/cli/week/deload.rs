//! `stead week deload`: a lighter week beside the usual one.
//!
//! Leans on [`crate::ask::week::deload`]. Leaves to others: reading and writing the file
//! ([`crate::ask::week`]).

use std::path::Path;

use super::{amount, write};
use crate::ask::week::deload::{DeloadRead, Reply, Request, answer, of_week};
use crate::ask::{Engine, Error, json, week};
use crate::cli::text::{Page, alarm, caution, faint, kept, strong, words};
use crate::cli::{Outcome, args, quantity, swap};
use crate::kb::Kb;
use crate::kb::raw::Urgency;
use crate::units::trim;

/// Asks and tells.
pub fn run(engine: &Engine, asked: &args::WeekDeload, as_json: bool) -> Result<Outcome, Error> {
    let kb = engine.kb();
    let request = request(kb, asked)?;
    let (reply, written) = match &asked.file {
        Some(path) => {
            let read = week::file(kb, path)?;
            let (reply, week) = of_week(engine, &read, &request)?;
            let written = write(kb, &asked.new, Some(path.as_path()), &read, week.as_ref())?;
            (reply, written)
        }
        // Without a file there is a sign; what is no emergency asks for the week.
        None => (answer(engine, &request)?, None),
    };
    let text = if as_json { json::text(&reply)? } else { render(&reply, written) };
    Ok(Outcome::new(text, reply.deload.is_some()))
}

/// The question that was typed, but for the week itself.
fn request(kb: &Kb, asked: &args::WeekDeload) -> Result<Request, Error> {
    let here = &asked.here;
    let mass = here.body_mass.as_deref().map(|t| quantity::mass("--body-mass", t, "/body_mass_kg"));
    Ok(Request {
        gym: here.gym.as_deref().map(|typed| swap::gym(kb, typed)).transpose()?,
        have: swap::items(&here.have),
        improvise: here.improvise,
        sore: here.sore.iter().enumerate().map(|(at, typed)| swap::sore(typed, at)).collect::<Result<_, _>>()?,
        body_mass_kg: mass.transpose()?,
        sex: here.sex,
        sets_last_week: asked.sets_last_week,
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
    if let Some(deload) = &reply.deload {
        page.gap();
        week_told(&mut page, deload);
        if let Some(path) = written {
            page.gap();
            page.line(&format!("Written to {}", path.display()));
        }
    }
    page.notes_and_cautions(&reply.notes, &reply.cautions);
    page.finish()
}

fn week_told(page: &mut Page, deload: &DeloadRead<'_>) {
    let [from, to] = deload.days;
    page.line(&strong(&format!("A lighter week, {from} to {to} days")));
    let off = if deload.for_the_back {
        "kept, with supported lifts for the sore back".to_string()
    } else {
        format!("{} in place of {}, {} % off", deload.sets_after, deload.sets_before, trim(deload.sets_off_percent))
    };
    page.set("  sets: ", 4, &off);
    if !deload.gym.assumed {
        page.set("  kit: ", 4, &deload.gym.name);
    }
    for sore in &deload.sore {
        let what = sore.aggravator.map_or(String::new(), |a| format!(" ({})", words(a)));
        page.set("  sore: ", 4, &format!("{}{what}, {}", words(sore.region), sore.level));
    }
    let mut day = 0;
    for row in &deload.rows {
        if row.before.day != day {
            day = row.before.day;
            page.gap();
            page.line(&strong(row.before.day_name));
        }
        page.hung("    ", &faint(&format!("{}, {}", row.before.exercise.name, kept(&amount(&row.before)))));
        let name = if row.swapped { format!("{}, ", strong(row.after.exercise.name)) } else { String::new() };
        let reserve = row.after.reserve.map_or(String::new(), |r| format!(", {} in reserve", trim(r)));
        page.hung("    > ", &format!("{name}{}{}", kept(&amount(&row.after)), kept(&reserve)));
        for note in &row.notes {
            page.hung("      ", &faint(note));
        }
    }
}
