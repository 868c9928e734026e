//! `stead ladder`: rungs from what spares a sore region back to a lift.
//!
//! Leans on [`crate::ask::ladder`]. Leaves to others: one substitute for today ([`super::swap`]).

use super::swap::{gym, items, sore, sore_read};
use super::text::{Page, alarm, caution, dotted, faint, kept, strong, words};
use super::{Outcome, args, quantity};
use crate::ask::ladder::{Reply, Request, RungTold, answer};
use crate::ask::{Engine, Error, json};
use crate::kb::Kb;
use crate::kb::raw::Urgency;
use crate::units::trim;

/// Asks and tells.
pub fn run(engine: &Engine, asked: &args::Ladder, as_json: bool) -> Result<Outcome, Error> {
    let reply = answer(engine, &request(engine.kb(), asked)?)?;
    let text = if as_json { json::text(&reply)? } else { render(&reply) };
    Ok(Outcome::new(text, !reply.rungs.is_empty()))
}

fn request(kb: &Kb, asked: &args::Ladder) -> Result<Request, Error> {
    let mass = |t: &str| quantity::mass("--body-mass", t, "/body_mass_kg");
    Ok(Request {
        exercise: asked.exercise.join(" "),
        sore: asked.sore.iter().enumerate().map(|(at, typed)| sore(typed, at)).collect::<Result<_, _>>()?,
        gym: asked.gym.as_deref().map(|t| gym(kb, t)).transpose()?,
        have: items(&asked.have),
        did: quantity::did(asked.did.as_deref(), asked.rir)?,
        body_mass_kg: asked.body_mass.as_deref().map(mass).transpose()?,
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
    page.line(&format!("Back to {}", strong(question.exercise.name)));
    for sore in &question.sore {
        page.hung("  sore: ", &sore_read(sore));
    }
    if !question.gym.assumed {
        page.hung("  kit: ", question.gym.name.split(':').next().unwrap_or_default());
    }
    if let Some(none) = &reply.none {
        page.gap();
        page.set("No ladder: ", 2, none);
    }
    if let Some(before) = reply.before {
        page.gap();
        page.set(" 0 ", 3, before);
        for help in &reply.also_helps {
            page.set("   also helps: ", 5, &dotted(&[strong(help.name), kept(&format!("sets of {}", help.sets_of))]));
        }
    }
    for (at, rung) in reply.rungs.iter().enumerate() {
        page.gap();
        one(&mut page, rung, at.checked_sub(1).and_then(|before| reply.rungs.get(before)));
    }
    page.gap();
    if let Some(down) = reply.down {
        page.set("Down: ", 2, down);
    }
    for band in &reply.bands {
        page.set("Pain ", 2, band);
    }
    if let Some(clinician) = reply.clinician {
        page.hung(&caution("! "), &caution(clinician));
    }
    page.notes_and_cautions(&reply.notes, &reply.cautions);
    page.finish()
}

/// A rung; what it says like the one below it is not said again.
fn one(page: &mut Page, rung: &RungTold<'_>, below: Option<&RungTold<'_>>) {
    let lead = format!("{:>2} ", rung.number);
    page.headed(&lead, &strong(rung.exercise.name), &faint(&words(rung.stage.word())));
    let again = below.is_some_and(|b| b.exercise == rung.exercise);
    if !again {
        let mut facts: Vec<String> =
            rung.grades.iter().map(|g| kept(&format!("{} {} of 4", words(g.region), g.grade))).collect();
        facts.push(kept(&format!("spine {}", words(rung.spine.word()))));
        facts.push(rung.kit.iter().map(|k| words(k)).collect::<Vec<_>>().join(", "));
        page.hung("   ", &faint(&dotted(&facts)));
    }
    let reserve = kept(&format!("{} in reserve", trim(rung.rir)));
    page.hung("   ", &dotted(&[kept(&format!("{} x {}", rung.sets, rung.of)), reserve]));
    match (&rung.load, rung.share_percent) {
        (Some(load), _) => {
            let put = load.build.as_ref().map_or(String::new(), |b| format!(" ({})", b.said));
            page.hung("   ", &format!("begin with {}{put}", strong(&load.said)));
        }
        (None, Some([least, most])) => {
            page.hung("   ", &format!("load: {} to {} % of the lift's old best", trim(least), trim(most)));
        }
        (None, None) => page.hung("   ", "load: find it anew, by the reserve"),
    }
    if let Some(none) = &rung.no_load {
        page.hung("   ", &faint(&none.said));
    }
    page.hung(if rung.sessions == 0 { "   then: " } else { "   up: " }, &rung.up);
    if !again && !rung.cautions.is_empty() {
        page.hung(&format!("   {}", caution("! ")), &caution(&rung.cautions.join(" ")));
    }
}
