//! `stead list`: the exercises that meet every filter.
//!
//! Leans on [`crate::ask::list`]. Leaves to others: order of merit ([`super::swap`]).

use super::text::{Page, counted, faint, strong, words};
use super::{Outcome, args, swap};
use crate::ask::list::{Reply, Request, answer};
use crate::ask::{Engine, Error, json};

/// Asks and tells.
pub fn run(engine: &Engine, asked: &args::List, as_json: bool) -> Result<Outcome, Error> {
    let request = Request {
        pattern: asked.pattern.clone(),
        muscle: asked.muscle.clone(),
        max_spine: asked.max_spine,
        kind_to: asked.kind_to.clone(),
        gym: asked.gym.as_deref().map(|typed| swap::gym(engine.kb(), typed)).transpose()?,
        have: swap::items(&asked.have),
        role: asked.role,
    };
    let reply = answer(engine, &request)?;
    let text = if as_json { json::text(&reply)? } else { render(&reply) };
    Ok(Outcome::new(text, reply.count > 0))
}

fn render(reply: &Reply<'_>) -> String {
    let mut page = Page::new();
    let mut pattern = "";
    for e in &reply.exercises {
        if e.pattern != pattern {
            pattern = e.pattern;
            page.gap();
            page.line(&strong(&words(pattern)));
        }
        let rest = faint(&format!("spine {}, {}, skill {}", e.spine, e.role, e.skill));
        page.set("  ", 4, &format!("{}: {rest}", e.exercise.name));
    }
    page.gap();
    page.line(&counted(reply.count, "exercise"));
    page.finish()
}
