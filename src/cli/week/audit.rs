//! `stead week audit`: from a file and options to a question; the reply as text.
//!
//! Leans on [`crate::ask::week::audit`]. Leaves to others: reading the file ([`crate::ask::week`])
//! and the drawing ([`super::chart`]).

use std::path::Path;

use super::chart;
use crate::ask::week::audit::{
    AuditRead, FindingRead, MuscleRead, Reply, Request, Severity, SumsRead, Verdict, answer, of_week,
};
use crate::ask::{Engine, Error, json, week};
use crate::cli::text::{Page, alarm, caution, counted, dotted, faint, kept, strong, words};
use crate::cli::{Outcome, args, output, quantity, swap};
use crate::kb::Kb;
use crate::kb::raw::Urgency;
use crate::units::trim;

/// Asks and tells.
pub fn run(engine: &Engine, asked: &args::WeekAudit, as_json: bool) -> Result<Outcome, Error> {
    let request = request(engine.kb(), asked)?;
    let reply = match &asked.file {
        Some(path) => of_week(engine, &week::file_of_plan(engine.kb(), path, asked.week)?, &request)?,
        // Without a file there is a sign; what is no emergency asks for the week.
        None => answer(engine, &request)?,
    };
    let drawn = match (&asked.svg, &reply.week) {
        (Some(path), Some(week)) => {
            output::new_file(path, &chart::svg(week)?, "it is there already and is not replaced")?;
            Some(path.as_path())
        }
        _ => None,
    };
    let text = if as_json { json::text(&reply)? } else { render(&reply, drawn) };
    Ok(Outcome::new(text, reply.has_answer()))
}

/// The question that was typed, but for the week itself.
fn request(kb: &Kb, asked: &args::WeekAudit) -> Result<Request, Error> {
    let mass = asked.body_mass.as_deref().map(|t| quantity::mass("--body-mass", t, "/body_mass_kg"));
    Ok(Request {
        level: asked.level,
        gym: asked.gym.as_deref().map(|typed| swap::gym(kb, typed)).transpose()?,
        have: swap::items(&asked.have),
        improvise: asked.improvise,
        sore: asked.sore.iter().enumerate().map(|(at, typed)| swap::sore(typed, at)).collect::<Result<_, _>>()?,
        body_mass_kg: mass.transpose()?,
        height_m: asked.height.as_deref().map(|t| quantity::height("--height", t, "/height_m")).transpose()?,
        sex: asked.sex,
        weeks_since_deload: asked.weeks_since_deload,
        deload_signals: asked.deload_signal.clone(),
        mean_points: asked.mean_points,
        age: asked.age,
        sets_last_week: asked.sets_last_week,
        signs: asked.sign.clone(),
        ..Request::default()
    })
}

/// The reply as a lifter reads it.
fn render(reply: &Reply<'_>, drawn: Option<&Path>) -> String {
    let mut page = Page::new();
    let Some(week) = &reply.week else {
        // An emergency: the action and nothing else.
        if let Some(sign) = reply.signs.first() {
            page.line(&alarm(sign.action));
        }
        return page.finish();
    };
    for sign in &reply.signs {
        let paint = if sign.urgency == Urgency::Routine { caution } else { alarm };
        page.line(&paint(sign.action));
        page.hung("  ", &faint(&format!("you said: {}", sign.sign)));
    }
    page.gap();
    heading(&mut page, week);
    days(&mut page, week);
    muscles(&mut page, week);
    side_by_side(&mut page, week);
    findings(&mut page, week);
    if let Some(path) = drawn {
        page.gap();
        page.line(&format!("Chart written to {}", path.display()));
    }
    page.notes_and_cautions(&reply.notes, &reply.cautions);
    page.finish()
}

fn heading(page: &mut Page, week: &AuditRead<'_>) {
    let verdict = match week.verdict {
        Verdict::Fine => strong("fine"),
        Verdict::Overloaded => alarm("overloaded"),
    };
    let c = week.counts;
    page.hung("", &format!("A week of {} on {}", counted(rows(week), "row"), counted(week.days.len(), "day")));
    page.set("  spine load: ", 4, &verdict);
    page.set("  findings: ", 4, &format!("{} to change, {} to look at, {} to know", c.change, c.look, c.note));
    let person = &week.person;
    let assumed = match person.assumed.as_slice() {
        [] => String::new(),
        list => format!(" ({} assumed)", list.join(", ")),
    };
    let whom = format!("{}, {} kg, {} m{assumed}", person.level, trim(person.body_mass_kg), trim(person.height_m));
    page.set("  lifter: ", 4, &whom);
    if !week.gym.assumed {
        page.set("  kit: ", 4, &week.gym.name);
    }
    for sore in &week.sore {
        let what = sore.aggravator.map_or(String::new(), |a| format!(" ({})", words(a)));
        page.set("  sore: ", 4, &format!("{}{what}, {}", words(sore.region), sore.level));
    }
    if let Some(weeks) = week.weeks_since_deload {
        page.set("  last lighter week: ", 4, &format!("{} ago", counted(usize::from(weeks), "week")));
    }
}

fn rows(week: &AuditRead<'_>) -> usize {
    week.days.iter().map(|d| d.rows.len()).sum()
}

fn days(page: &mut Page, week: &AuditRead<'_>) {
    page.gap();
    page.line(&strong("Spine load by day"));
    page.verbatim(&faint("       sets hard  A3  A2 points  loading (range)"));
    let line = |name: &str, s: &SumsRead| {
        let dose = format!("{} ({} to {})", figure(s.dose.mid), figure(s.dose.low), figure(s.dose.high));
        let (a3, a2) = (s.tiers.a3, s.tiers.a2);
        format!("  {name:<4} {:>4} {:>4} {a3:>3} {a2:>3} {:>6}  {dose}", s.sets, s.hard_sets, s.points)
    };
    for day in &week.days {
        page.verbatim(&line(day.name.get(..3).unwrap_or_default(), &day.sums));
    }
    page.verbatim(&line("week", &week.sums));
    let total = week.sums.dose.mid;
    let most: Vec<String> = week
        .exercises
        .iter()
        .take(MOST_LOADING)
        .filter(|e| total > 0.0 && e.sums.dose.mid > 0.0)
        .map(|e| kept(&format!("{} {} %", e.exercise.name, (e.sums.dose.mid / total * 100.0).round())))
        .collect();
    if !most.is_empty() {
        page.set("  most of it: ", 4, &dotted(&most));
    }
    page.hung("  ", &faint("A3 high, A2 moderate tier; points 3, 2, 1 or 0 a hard set"));
    page.hung("  ", &faint("loading: relative, by the body model, to compare days and weeks; no measure of harm"));
}

/// How many exercises are told that load the spine most.
const MOST_LOADING: usize = 4;

/// A number of two significant figures without needless places.
fn figure(value: f64) -> String {
    if value != 0.0 && value.abs() < 0.1 { format!("{value}") } else { trim(value) }
}

/// Muscles by what their number of sets is called, most sets first.
fn muscles(page: &mut Page, week: &AuditRead<'_>) {
    page.gap();
    page.line(&strong("Sets by muscle"));
    page.hung("  ", &faint("main mover 1, helper half; in a week"));
    let mut muscles: Vec<&MuscleRead<'_>> = week.muscles.iter().collect();
    muscles.sort_by(|a, b| b.sets.total_cmp(&a.sets).then(a.muscle.cmp(b.muscle)));
    for group in muscles.chunk_by(|a, b| a.label == b.label) {
        let label = group.first().map_or("", |m| m.label);
        let names: Vec<String> =
            group.iter().map(|m| kept(&format!("{} {}", m.name.to_lowercase(), trim(m.sets)))).collect();
        page.set(&format!("  {}: ", strong(label)), 4, &dotted(&names));
    }
}

/// Kinds of work, and joints.
fn side_by_side(page: &mut Page, week: &AuditRead<'_>) {
    let balances: Vec<String> = week
        .balances
        .iter()
        .map(|b| kept(&format!("{} {}, {} {}", b.left.name, b.left.sets, b.right.name, b.right.sets)))
        .collect();
    page.gap();
    page.line(&strong("Balance and joints"));
    page.set("  hard sets: ", 4, &dotted(&balances));
    let joints: Vec<String> = week
        .regions
        .iter()
        .filter(|r| r.demanding_sets > 0)
        .map(|r| kept(&format!("{} {}", r.name.to_lowercase(), r.demanding_sets)))
        .collect();
    let told = if joints.is_empty() { "none".to_string() } else { dotted(&joints) };
    page.set("  graded 3 or 4 of 4: ", 4, &told);
}

fn findings(page: &mut Page, week: &AuditRead<'_>) {
    if week.findings.is_empty() {
        page.gap();
        page.line(&strong("Nothing stands out."));
        return;
    }
    for group in week.findings.chunk_by(|a, b| a.severity == b.severity) {
        let heading = match group.first().map(|f| f.severity) {
            Some(Severity::Change) => alarm("To change"),
            Some(Severity::Look) => strong("To look at"),
            _ => strong("To know"),
        };
        page.gap();
        page.line(&heading);
        for finding in group {
            one(page, finding);
        }
    }
}

fn one(page: &mut Page, f: &FindingRead<'_>) {
    let lines = match f.lines.as_slice() {
        [] => String::new(),
        [only] => format!("line {only}; "),
        lines => format!("lines {}; ", ranges(lines)),
    };
    page.hung("  - ", &f.words);
    page.hung("    ", &faint(&format!("{lines}{}, {}", kept(f.rule), f.basis)));
    page.hung("    > ", &f.helps);
}

/// `2, 4 to 6`.
fn ranges(lines: &[usize]) -> String {
    let told = |run: &[usize]| match run {
        [first, .., last] if run.len() > 2 => format!("{first} to {last}"),
        run => run.iter().map(usize::to_string).collect::<Vec<_>>().join(", "),
    };
    lines.chunk_by(|a, b| a + 1 == *b).map(told).collect::<Vec<_>>().join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_that_follow_one_another_are_told_as_a_range() {
        assert_eq!(ranges(&[2, 4, 5, 6, 8, 9]), "2, 4 to 6, 8, 9");
        assert_eq!(ranges(&[]), "");
    }
}
