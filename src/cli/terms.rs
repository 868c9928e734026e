//! `stead terms`: the words of the base.
//!
//! Leans on [`crate::ask::terms`]. Leaves to others: exercises ([`super::list`]).

use super::text::{Page, faint, strong};
use super::{Outcome, args};
use crate::ask::terms::{Group, Reply, Request, Word, answer};
use crate::ask::{Engine, Error, json};

/// Asks and tells.
pub fn run(engine: &Engine, asked: &args::Terms, as_json: bool) -> Result<Outcome, Error> {
    let reply = answer(engine, &Request { kind: asked.kind.clone() })?;
    let text = if as_json { json::text(&reply)? } else { render(&reply) };
    Ok(Outcome::new(text, true))
}

fn render(reply: &Reply<'_>) -> String {
    let mut page = Page::new();
    for group in &reply.groups {
        page.gap();
        page.line(&strong(group.kind));
        for word in group.words.iter().filter(|w| above(group, w).is_none()) {
            branch(&mut page, group, word, 0);
        }
    }
    page.finish()
}

/// The word above, in the same group.
fn above<'g, 'k>(group: &'g Group<'k>, word: &Word<'k>) -> Option<&'g Word<'k>> {
    word.parent.and_then(|id| group.words.iter().find(|w| w.id == id))
}

/// A word, what belongs to it, and the words below it; a checked base has no cycle of them.
fn branch(page: &mut Page, group: &Group<'_>, word: &Word<'_>, depth: usize) {
    let pad = "  ".repeat(depth + 1);
    page.set(&format!("{pad}{}: ", strong(word.id)), 2 * depth + 6, &means(group, word));
    for part in &word.parts {
        page.set(&format!("{pad}  {}: ", part.id), 2 * depth + 8, &faint(part.means));
    }
    for below in group.words.iter().filter(|w| w.parent == Some(word.id)) {
        branch(page, group, below, depth + 1);
    }
}

fn means(group: &Group<'_>, word: &Word<'_>) -> String {
    let mut text = word.means.to_string();
    if !word.aliases.is_empty() {
        text.push_str(&format!(" {}", faint(&format!("({})", word.aliases.join("; ")))));
    }
    // A parent outside the group is no word above but a kind: the urgency of a sign.
    match word.parent {
        Some(kind) if above(group, word).is_none() => format!("{text} {}", faint(&format!("[{kind}]"))),
        _ => text,
    }
}
