//! `stead vary`: variations of a lift that still carry over, and a plan among them.
//!
//! Leans on [`crate::ask::vary`]. Leaves to others: the text and the table of a whole week
//! ([`whole`]), substitutes for today ([`super::swap`]).

mod whole;

use std::path::Path;

use super::swap::{gym, items, sore, sore_read};
use super::text::{Page, alarm, caution, dotted, faint, kept, strong, words};
use super::{Outcome, args, quantity};
use crate::ask::vary::{Reply, Request, Understood, VariationTold, answer};
use crate::ask::{Engine, Error, json};
use crate::kb::Kb;
use crate::kb::raw::Urgency;
use crate::units::trim;

/// Asks and tells.
pub fn run(engine: &Engine, asked: &args::Vary, as_json: bool) -> Result<Outcome, Error> {
    let request = request(engine.kb(), asked)?;
    if let Some(path) = week_file(asked) {
        return whole::run(engine, asked, path, &request, as_json);
    }
    if let Some(to) = &asked.to {
        return Err(Error::Conflict {
            found: format!("--to {} with an exercise", to.display()),
            pointer: "/to".to_string(),
            hint: "the weeks of a plan are written where a week is varied: name a .csv or .json file".to_string(),
        });
    }
    let reply = answer(engine, &request)?;
    let text = if as_json { json::text(&reply)? } else { render(&reply) };
    Ok(Outcome::new(text, reply.has_answer()))
}

/// The file with a week, where one is named in place of an exercise: one argument that is a file, or
/// that ends like one.
fn week_file(asked: &args::Vary) -> Option<&Path> {
    let [only] = asked.exercise.as_slice() else { return None };
    let path = Path::new(only);
    let ends = path.extension().is_some_and(|e| ["csv", "json"].iter().any(|known| e.eq_ignore_ascii_case(known)));
    (ends || path.is_file()).then_some(path)
}

fn request(kb: &Kb, asked: &args::Vary) -> Result<Request, Error> {
    let mass = |t: &str| quantity::mass("--body-mass", t, "/body_mass_kg");
    Ok(Request {
        exercise: if week_file(asked).is_some() { String::new() } else { asked.exercise.join(" ") },
        weeks: asked.weeks,
        every: asked.every,
        sore: asked.sore.iter().enumerate().map(|(at, typed)| sore(typed, at)).collect::<Result<_, _>>()?,
        gym: asked.gym.as_deref().map(|t| gym(kb, t)).transpose()?,
        have: items(&asked.have),
        skip: asked.skip.clone(),
        top: asked.top,
        did: quantity::did(asked.did.as_deref(), asked.rir)?,
        body_mass_kg: asked.body_mass.as_deref().map(mass).transpose()?,
        sex: asked.sex,
        signs: asked.sign.clone(),
        ..Request::default()
    })
}

fn render(reply: &Reply<'_>) -> String {
    let mut page = Page::new();
    alarms(&mut page, reply);
    let Some(question) = &reply.question else { return page.finish() };
    page.gap();
    page.line(&format!("Variations of {}", strong(question.exercise.map_or("", |e| e.name))));
    circumstances(&mut page, question);
    for (at, variation) in reply.variations.iter().enumerate() {
        page.gap();
        one(&mut page, at + 1, variation);
    }
    if !reply.plan.is_empty() {
        page.gap();
        page.line(&format!("Plan, {} weeks, a change every {}:", question.weeks, question.every));
    }
    for block in &reply.plan {
        let lead = match (block.from_week, block.to_week) {
            (one, last) if one == last => format!("  week {one:>2}      "),
            (from, to) => format!("  weeks {from:>2} to {to:>2} "),
        };
        let again = if block.original { " (the lift itself)" } else { "" };
        page.hung(&lead, &format!("{}{again}", block.exercise.name));
    }
    page.notes_and_cautions(&reply.notes, &reply.cautions);
    page.finish()
}

/// What to do about reported signs.
fn alarms(page: &mut Page, reply: &Reply<'_>) {
    for sign in &reply.signs {
        let paint = if sign.urgency == Urgency::Routine { caution } else { alarm };
        page.line(&paint(sign.action));
    }
}

/// What is sore, and where it is trained.
fn circumstances(page: &mut Page, question: &Understood<'_>) {
    for sore in &question.sore {
        page.hung("  sore: ", &sore_read(sore));
    }
    if !question.gym.assumed {
        page.hung("  kit: ", question.gym.name.split(':').next().unwrap_or_default());
    }
}

fn one(page: &mut Page, number: usize, v: &VariationTold<'_>) {
    page.hung(&format!("{number:>2} "), &strong(v.exercise.name));
    let differs: Vec<String> = v.differs.iter().map(|d| words(d.word())).collect();
    page.hung("   another ", &differs.join(", "));
    let mut facts = vec![kept(&format!("keeps {} %", v.keeps_percent))];
    facts.push(match &v.ratio {
        Some(r) => kept(&format!("{} of it ({} to {}), {}", trim(r.typical), trim(r.low), trim(r.high), r.confidence)),
        None => kept("no known ratio"),
    });
    facts.push(kept(&format!("spine {}", words(v.spine.word()))));
    facts.push(kept(&format!("sets of {}", v.sets_of)));
    facts.push(v.kit.iter().map(|k| words(k)).collect::<Vec<_>>().join(", "));
    page.hung("   ", &faint(&dotted(&facts)));
    if let Some(start) = &v.start {
        let begin = if start.ramp { "begin the ramp with" } else { "begin with" };
        let put = start.build.as_ref().map_or(String::new(), |b| format!(": {}", b.said));
        page.hung("   ", &format!("{begin} {}{put}", strong(&start.said)));
    }
    if let Some(none) = &v.no_start {
        page.hung("   ", &faint(&format!("no first load: {}", none.said)));
    }
    if !v.cautions.is_empty() {
        page.hung(&format!("   {}", caution("! ")), &caution(&v.cautions.join(" ")));
    }
}
