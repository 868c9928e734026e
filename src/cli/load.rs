//! `stead load`: what to put on the bar for a first set.
//!
//! Leans on [`crate::ask::load`]. Leaves to others: choosing the lift ([`super::swap`]).

use super::swap::{gym, items};
use super::text::{Page, alarm, caution, faint, strong, words};
use super::{Outcome, args, carryover, quantity};
use crate::ask::load::{BuiltTold, NoLoad, Reply, Request, StartTold, Understood, about, answer};
use crate::ask::{Engine, Error, json};
use crate::kb::Kb;
use crate::kb::raw::Urgency;
use crate::units::trim;

/// Asks and tells.
pub fn run(engine: &Engine, asked: &args::Load, as_json: bool) -> Result<Outcome, Error> {
    let reply = answer(engine, &request(engine.kb(), asked)?)?;
    let text = if as_json { json::text(&reply)? } else { render(&reply) };
    Ok(Outcome::new(text, reply.has_answer()))
}

fn request(kb: &Kb, asked: &args::Load) -> Result<Request, Error> {
    let (from, to) = match asked.lifts.as_slice() {
        [] => (String::new(), None),
        [one] => (one.clone(), None),
        several => carryover::two(several).map(|(from, to)| (from, Some(to)))?,
    };
    Ok(Request {
        from,
        to,
        did: quantity::did(asked.did.as_deref(), asked.rir)?,
        for_reps: asked.for_reps,
        target_rir: asked.target_rir,
        build: asked.build.as_deref().map(|t| quantity::load("--build", t, "/build")).transpose()?,
        familiar: asked.familiar,
        weeks_off: asked.weeks_off,
        pain: asked.pain,
        gym: asked.gym.as_deref().map(|t| gym(kb, t)).transpose()?,
        have: items(&asked.have),
        unit: asked.unit,
        body_mass_kg: asked
            .body_mass
            .as_deref()
            .map(|t| quantity::mass("--body-mass", t, "/body_mass_kg"))
            .transpose()?,
        sex: asked.sex,
        signs: asked.sign.clone(),
    })
}

fn render(reply: &Reply<'_>) -> String {
    let mut page = Page::new();
    for sign in &reply.signs {
        let paint = if sign.urgency == Urgency::Routine { caution } else { alarm };
        page.line(&paint(sign.action));
    }
    let Some(question) = &reply.question else { return page.finish() };
    page.gap();
    heading(&mut page, question, reply);
    if let Some(start) = &reply.start {
        one(&mut page, start, question);
    }
    if let Some(build) = &reply.build {
        page.gap();
        if let Some(built) = &build.build {
            page.hung("  ", &told(built));
        }
        if let Some(none) = &build.none {
            refused(&mut page, none);
        }
    }
    if let Some(none) = &reply.none {
        page.gap();
        refused(&mut page, none);
    }
    if let (Some(start), Some(best)) = (&reply.start, &reply.best) {
        how(&mut page, start, best.kg);
    }
    for step in &reply.path {
        page.hung("  ", &step.said);
    }
    page.gap();
    for warning in &reply.warnings {
        page.hung(&caution("! "), &caution(warning));
    }
    page.notes_and_cautions(&reply.notes, &reply.cautions);
    page.finish()
}

fn heading(page: &mut Page, question: &Understood<'_>, reply: &Reply<'_>) {
    let (from, to) = (&question.from, &question.to);
    if from.exercise == to.exercise {
        page.line(&strong(to.exercise.name));
    } else {
        page.hung("", &format!("{} from {}", strong(to.exercise.name), strong(from.exercise.name)));
    }
    if let Some(did) = &question.did {
        page.set("  known: ", 4, &format!("{did} ({})", from.counted_said));
    }
    if let Some(best) = &reply.best {
        page.set("  best for one: ", 4, &best.said);
        if let (Some(kg), Some(share)) = (best.body_kg, best.body_share) {
            page.hung("  ", &format!("the body counts {} kg of it, {} of body mass", trim(kg), trim(share)));
        }
    }
}

/// The first set: what to take, and what stands on either side of it.
fn one(page: &mut Page, start: &StartTold<'_>, question: &Understood<'_>) {
    if !start.ratio_is_one() {
        let r = &start.ratio;
        let range = format!("({} to {})", trim(r.low), trim(r.high));
        page.hung("  ratio: ", &format!("{} {range}, {}", trim(r.typical), r.confidence));
        let [typical, low, high] = start.best_kg.map(|kg| about(kg, question.unit));
        page.set("  its best: ", 4, &format!("about {typical} ({low} to {high}), {}", question.to.counted_said));
    }
    page.gap();
    let begin = if start.ramp { "Begin the ramp with" } else { "Begin with" };
    page.hung("", &format!("{begin} {}", strong(&start.said)));
    if let Some(built) = &start.build {
        page.hung("  ", &built.said);
    }
    page.hung("  sets: ", &start.sets);
    if let Some(usual) = &start.usual {
        let lead = if start.ramp { "  end it by " } else { "  most would begin with " };
        page.set(lead, 4, &told(usual));
    }
    for (side, built) in [("next below: ", &start.below), ("next above: ", &start.above)] {
        if let Some(built) = built {
            page.set(&format!("  {side}"), 4, &faint(&told(built)));
        }
    }
}

fn told(built: &BuiltTold) -> String {
    format!("{} ({})", built.load_said, built.said)
}

fn refused(page: &mut Page, none: &NoLoad) {
    page.set("No load: ", 2, &none.said);
    for near in &none.nearest {
        page.hung("  ", &told(near));
    }
}

/// The product of the factors.
fn how(page: &mut Page, start: &StartTold<'_>, best_kg: f64) {
    page.gap();
    let factors: Vec<String> = start.factors.iter().map(|f| format!("{} {}", trim3(f.begin), words(f.name))).collect();
    page.hung(
        "How: ",
        &format!(
            "{} kg x {} = {} kg, rounded down",
            trim(best_kg),
            factors.join(" x "),
            trim(start.before_rounding_kg)
        ),
    );
}

/// Three decimal places at most.
fn trim3(value: f64) -> String {
    let text = format!("{value:.3}");
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}
