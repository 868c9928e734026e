//! `stead kb`: a base checked, measured and counted, and the schemas of its files.
//!
//! Leans on [`crate::ask::check`], [`crate::ask::score`], [`crate::ask::accepted`],
//! [`crate::ask::schema`], [`crate::ask::reference`] and [`crate::ask::stats`]. Leaves to others: the rules ([`crate::kb::check`]).

use super::text::{Page, alarm, caution, counted, faint, strong};
use super::{Code, Outcome, args};
use crate::ask::accepted::{self, Difference, Outcome as Measure};
use crate::ask::{Engine, Error, json, unknown};
use crate::ask::{
    check as ask_check, coverage as ask_coverage, reference as ask_reference, schema as ask_schema, score as ask_score,
    stats as ask_stats,
};
use crate::kb::files::Files;
use crate::units::trim;

/// Checks layers and tells every problem, with joint grades beside moments where asked; a base with errors ends with the code for an error.
pub fn check(layers: &[Files], deep: bool, as_json: bool) -> Result<Outcome, Error> {
    let reply = ask_check::answer(layers, deep);
    let text = if as_json { json::text(&reply)? } else { problems(&reply) };
    let mut outcome = Outcome::new(text, true);
    if reply.errors > 0 {
        outcome.code = Code::Error;
    }
    Ok(outcome)
}

fn problems(reply: &ask_check::Reply) -> String {
    let mut page = Page::new();
    for p in &reply.problems {
        let paint = if p.severity == "error" { alarm } else { caution };
        page.hung("", &format!("{} {}", paint(p.severity), strong(p.rule)));
        page.hung("  at    ", &format!("{} {}", p.file, if p.pointer.is_empty() { "/" } else { &p.pointer }));
        page.hung("  found ", &p.found);
        page.hung("  hint  ", &p.hint);
    }
    page.gap();
    let [exercises, errors, warnings] =
        [(reply.exercises, "exercise"), (reply.errors, "error"), (reply.warnings, "warning")]
            .map(|(n, one)| counted(n, one));
    page.line(&format!("{exercises}: {errors}, {warnings}"));
    if let Some(deep) = &reply.deep {
        page.gap();
        for g in &deep.gaps {
            let told = format!("{} {}: grade {}, moment {} N·m", g.exercise, g.joint, g.grade, trim(g.moment_nm));
            page.hung("", &format!("{told} {}", faint(&format!("({})", g.tier))));
        }
        page.line(&format!("{} compared: {}", counted(deep.compared, "exercise"), counted(deep.gaps.len(), "gap")));
    }
    page.finish()
}

/// Asks the judged questions, tells what changed since the accepted run, and the measures.
pub fn score(engine: &Engine, asked: &args::Score, as_json: bool) -> Result<Outcome, Error> {
    let set = if asked.own { ask_score::own()? } else { ask_score::shipped()? };
    let reply = ask_score::answer(engine, &set)?;
    if as_json {
        return Ok(Outcome::new(json::text(&reply)?, true));
    }
    let mut page = Page::new();
    if asked.questions {
        for q in &reply.questions {
            question(&mut page, q);
        }
        page.gap();
    }
    // Only the run over the judged questions is kept.
    if !asked.own {
        let before = accepted::shipped()?;
        let differences = accepted::differences(&before.questions, &accepted::outcomes(&reply));
        match differences.len() {
            0 => page.line("no difference from the accepted run"),
            n => page.line(&format!("{} from the accepted run:", counted(n, "difference"))),
        }
        for d in &differences {
            difference(&mut page, d);
        }
        page.gap();
    }
    if !reply.unmapped.is_empty() {
        page.line(&format!("{} of {} names have no exercise in the base", reply.unmapped.len(), reply.names));
    }
    page.line(&format!("questions {}", reply.questions.len()));
    page.line(&format!("ndcg@5 {:.4}", reply.ndcg5));
    page.line(&format!("success@1 {:.4}", reply.success1));
    page.line(&format!("violations {}", reply.violations));
    Ok(Outcome::new(page.finish(), true))
}

fn question(page: &mut Page, q: &ask_score::Measured) {
    let hit = if q.success1 { "hit" } else { "miss" };
    page.line(&format!("{} ndcg@5 {:.3}, first a {hit}", strong(&q.id), q.ndcg5));
    let graded = |list: &[ask_score::Graded]| {
        list.iter()
            .take(5)
            .map(|a| format!("{} {:.1}{}", a.id, a.grade, if a.violation { " (never)" } else { "" }))
            .collect::<Vec<_>>()
            .join(", ")
    };
    page.hung("  got  ", &graded(&q.answers));
    page.hung("  best ", &faint(&graded(&q.best)));
    if !q.violations.is_empty() {
        page.hung("  never ", &alarm(&q.violations.join(", ")));
    }
}

fn difference(page: &mut Page, d: &Difference) {
    let measure = |m: &Measure| format!("{:.3}", m.ndcg5);
    let told = match (&d.before, &d.now) {
        (Some(before), Some(now)) => {
            let rise = d.rise().unwrap_or_default();
            format!("ndcg@5 {} to {} ({rise:+.3})", measure(before), measure(now))
        }
        (None, Some(now)) => format!("new, ndcg@5 {}", measure(now)),
        (Some(_), None) => "gone".to_string(),
        (None, None) => String::new(),
    };
    page.hung("", &format!("{} {told}", strong(&d.id)));
    if let (Some(before), Some(now)) = (&d.before, &d.now) {
        if before.success1 != now.success1 {
            page.line(if now.success1 { "  first: now a hit" } else { "  first: now a miss" });
        }
        let (came, went) = d.moved();
        if !came.is_empty() {
            page.hung("  came ", &came.join(", "));
        }
        if !went.is_empty() {
            page.hung("  went ", &went.join(", "));
        }
        if before.violations != now.violations {
            let list = |v: &[String]| if v.is_empty() { "none".to_string() } else { v.join(", ") };
            page.hung("  never ", &format!("{}; before: {}", list(&now.violations), list(&before.violations)));
        }
    }
}

/// The matrix of patterns and sore regions, one table a gym.
pub fn coverage(engine: &Engine, as_json: bool) -> Result<Outcome, Error> {
    let reply = ask_coverage::answer(engine)?;
    if as_json {
        return Ok(Outcome::new(json::text(&reply)?, true));
    }
    let mut page = Page::new();
    page.hung("", "Substitutes for the typical exercise of each pattern when a region is moderately sore:");
    let short: Vec<String> =
        reply.regions.iter().map(|r| format!("{:>3}", r.chars().take(2).collect::<String>())).collect();
    let mut reasons: Vec<(&str, &str, &str, &str)> = Vec::new();
    for gym in &reply.gyms {
        page.gap();
        page.line(&strong(gym.gym));
        page.line(&faint(&format!("{:22}{}", "", short.concat())));
        for line in &gym.lines {
            let cells: Vec<String> = line.cells.iter().map(|c| format!("{:>3}", c.passed.min(99))).collect();
            page.line(&format!("{:22}{}", line.pattern, cells.concat()));
            for cell in &line.cells {
                if let Some(why) = &cell.reason {
                    reasons.push((gym.gym, line.pattern, cell.region, why));
                }
            }
        }
    }
    page.gap();
    for (gym, pattern, region, why) in reasons {
        page.hung("", &format!("{} {why}", faint(&format!("{gym}, {pattern}, {region}:"))));
    }
    page.gap();
    page.line(&format!("{} places, {} with fewer than three substitutes", reply.cells, reply.thin));
    page.line(&format!("without a written reason {}", reply.unexplained));
    Ok(Outcome::new(page.finish(), true))
}

/// Counts.
pub fn stats(engine: &Engine, as_json: bool) -> Result<Outcome, Error> {
    let reply = ask_stats::answer(engine);
    if as_json {
        return Ok(Outcome::new(json::text(&reply)?, true));
    }
    let mut page = Page::new();
    page.hung("", &format!("{} {} {}", strong(reply.base.name), reply.base.version, faint(reply.base.stamp)));
    for count in &reply.totals {
        page.line(&format!("{} {}", count.of, count.count));
    }
    for (name, counts) in [
        ("by spine class", &reply.by_spine),
        ("by role", &reply.by_role),
        ("by pattern (family)", &reply.by_pattern),
        ("by kit", &reply.by_kit),
        ("ties by kind", &reply.edges),
        ("records with optional fields", &reply.optional_fields),
        ("possible in", &reply.by_gym),
    ] {
        page.gap();
        page.line(&strong(name));
        for count in counts {
            page.line(&format!("  {:>4} {}", count.count, count.of));
        }
    }
    let groups = reply.groups;
    page.gap();
    page.line(&strong("groups that ties make"));
    for (count, of) in [(groups.count, "groups"), (groups.largest, "in the largest"), (groups.alone, "alone")] {
        page.line(&format!("  {count:>4} {of}"));
    }
    Ok(Outcome::new(page.finish(), true))
}

/// Every field of every file of a base.
pub fn reference(as_json: bool) -> Result<Outcome, Error> {
    let reply = ask_reference::answer();
    Ok(Outcome::new(if as_json { json::text(&reply)? } else { ask_reference::markdown(&reply) }, true))
}

/// The schemas by name, or one of them whole.
pub fn schema(asked: &args::Schema, as_json: bool) -> Result<Outcome, Error> {
    let all = ask_schema::all();
    let Some(given) = asked.name.as_deref() else {
        let names: Vec<&str> = all.iter().map(|(name, _)| *name).collect();
        let text = if as_json { json::text(&names)? } else { names.join("\n") };
        return Ok(Outcome::new(text, true));
    };
    let found = all.iter().find(|(name, _)| *name == given || name.strip_suffix(".json") == Some(given));
    match found {
        Some((_, schema)) => Ok(Outcome::new(if as_json { json::text(schema)? } else { json::pretty(schema)? }, true)),
        None => Err(unknown("schema", given, "/name", all.iter().map(|(name, _)| *name))),
    }
}
