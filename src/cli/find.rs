//! `stead find`: a search and its hits.
//!
//! Leans on [`crate::ask::find`]. Leaves to others: one exercise whole ([`super::show`]).

use super::text::{Page, faint, strong, words};
use super::{Outcome, args};
use crate::ask::find::{Reply, Request, answer};
use crate::ask::{Engine, Error, json};

/// Asks and tells.
pub fn run(engine: &Engine, asked: &args::Find, as_json: bool) -> Result<Outcome, Error> {
    let request = Request { text: asked.text.join(" "), top: asked.top };
    let reply = answer(engine, &request)?;
    let text = if as_json { json::text(&reply)? } else { render(&request, &reply) };
    Ok(Outcome::new(text, !reply.hits.is_empty()))
}

fn render(request: &Request, reply: &Reply<'_>) -> String {
    let mut page = Page::new();
    if reply.hits.is_empty() {
        page.line(&format!("Nothing found for {:?}.", request.text));
    }
    for (at, hit) in reply.hits.iter().enumerate() {
        let pattern = faint(&format!("({})", words(hit.pattern)));
        page.hung(&format!("{:>2} ", at + 1), &format!("{} {pattern}", strong(hit.exercise.name)));
    }
    page.finish()
}
