//! `stead carryover`: how much of one lift another is.
//!
//! Leans on [`crate::ask::carryover`]. Leaves to others: choosing between lifts ([`super::swap`]).

use super::text::{Page, faint, strong, words};
use super::{Outcome, args};
use crate::ask::carryover::{Lift, Reply, Request, answer};
use crate::ask::{Engine, Error, json};
use crate::units::trim;

/// Asks and tells.
pub fn run(engine: &Engine, asked: &args::Carryover, as_json: bool) -> Result<Outcome, Error> {
    let (from, to) = two(&asked.lifts)?;
    let request = Request { from, to };
    let reply = answer(engine, &request)?;
    let text = if as_json { json::text(&reply)? } else { render(&request, &reply) };
    Ok(Outcome::new(text, reply.ratio.is_some()))
}

/// The two lifts: two words as typed, or names of several words with one `to` between them.
pub(super) fn two(typed: &[String]) -> Result<(String, String), Error> {
    let at: Vec<usize> =
        (1..typed.len().saturating_sub(1)).filter(|i| typed.get(*i).is_some_and(|w| w == "to")).collect();
    match (typed, at.as_slice()) {
        ([from, to], _) => Ok((from.clone(), to.clone())),
        (words, [at]) => {
            let (from, to) = words.split_at(*at);
            Ok((from.join(" "), to.get(1..).unwrap_or_default().join(" ")))
        }
        _ => Err(Error::Shape {
            found: format!("{:?} is not two lifts", typed.join(" ")),
            pointer: String::new(),
            hint: "put each name in quotation marks, or one \"to\" between them".to_string(),
        }),
    }
}

/// The load that ratios are shown at, kg.
const SHOWN_AT: f64 = 100.0;

fn render(request: &Request, reply: &Reply<'_>) -> String {
    let mut page = Page::new();
    let (from, to) = (&reply.from, &reply.to);
    page.hung("", &format!("{} to {}", strong(from.exercise.name), strong(to.exercise.name)));
    for (lift, typed) in [(from, &request.from), (to, &request.to)] {
        if lift.read_as != "name" {
            page.hung("  ", &faint(&format!("{} read from {typed:?}", lift.exercise.name)));
        }
    }
    if let Some(r) = &reply.ratio {
        let range = format!("({} to {})", trim(r.low), trim(r.high));
        page.hung("  ratio: ", &format!("{} {range}, {}", strong(&trim(r.typical)), r.confidence));
        if let Some(women) = r.women {
            page.hung("  women: ", &trim(women));
        }
        let [typical, low, high] = [r.typical, r.low, r.high].map(|x| trim((x * SHOWN_AT).round()));
        page.hung("  ", &format!("a best of {} kg goes with about {typical} kg ({low} to {high})", trim(SHOWN_AT)));
    }
    if let Some(none) = &reply.none {
        page.hung("  no ratio: ", &none.said);
    }
    let counted =
        |lift: &Lift<'_>| format!("{}{}", lift.counted_said, if lift.one_side { ", one side at a time" } else { "" });
    page.set("  first counted: ", 4, &counted(from));
    page.set("  second counted: ", 4, &counted(to));
    if !reply.path.is_empty() {
        page.gap();
        page.line("How:");
    }
    for step in &reply.path {
        page.hung("  ", &step.said);
    }
    if !reply.measured.is_empty() {
        page.gap();
        page.line("Measured:");
    }
    for m in &reply.measured {
        let note = m.measured.note.as_ref().map_or(String::new(), |n| format!(" ({n})"));
        let read = m.measured.read.map_or(String::new(), |r| format!(", from {r}"));
        page.hung(
            "  ",
            &format!("{} of {}: {}{note}; {}{read}", m.to.name, m.from.name, trim(m.measured.ratio), m.measured.basis),
        );
    }
    if !reply.equations.is_empty() {
        page.gap();
        page.line("Equations:");
    }
    for e in &reply.equations {
        let note = e.line.note.as_ref().map_or(String::new(), |n| format!(" ({n})"));
        page.hung("  ", &format!("{} = {}{note}; {}", e.to.name, e.said, e.line.basis));
    }
    if !reply.shares.is_empty() {
        page.gap();
        page.line("Share of body mass:");
    }
    for s in &reply.shares {
        let whose = s.sex.map_or(String::new(), |sex| format!(", {sex}"));
        let note = s.note.as_ref().map_or(String::new(), |n| format!(", {n}"));
        page.hung("  ", &format!("{} {}: {}{whose}{note}; {}", words(&s.exercise), s.at, s.share, s.basis));
    }
    page.notes_and_cautions(&reply.notes, &reply.cautions);
    page.finish()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn split(typed: &str) -> Option<(String, String)> {
        let words: Vec<String> = typed.split('|').map(str::to_string).collect();
        two(&words).ok()
    }

    #[test]
    fn two_names_or_one_to_between_them() {
        let squats = Some(("back squat".to_string(), "front squat".to_string()));
        assert_eq!(split("back squat|front squat"), squats);
        assert_eq!(split("back|squat|to|front|squat"), squats);
        assert_eq!(split("back squat|to|front squat"), squats);
        for wrong in ["back", "back|squat|front|squat", "to|back|squat", "a|to|b|to|c", "a|b|to"] {
            assert_eq!(split(wrong), None, "{wrong}");
        }
    }
}
