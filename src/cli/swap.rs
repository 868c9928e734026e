//! `stead swap`: from what was typed to a question, and from the reply to text.
//!
//! Leans on [`crate::ask::swap`]. Leaves to others: the answer, and how lines are set
//! ([`super::text`]).

use std::path::Path;

use super::text::{Page, alarm, caution, dotted, faint, kept, strong, words};
use super::{Outcome, args, quantity};
use crate::ask::light::AlsoHelps;
use crate::ask::makeshift::{ImprovisedRead, StandInRead};
use crate::ask::swap::{GymAsk, Reply, Request, SoreAsk, SoreRead, Substitute, Tier, Understood, Why, answer};
use crate::ask::{Engine, Error, json};
use crate::kb::Kb;
use crate::kb::raw::{Level, SpineClass, Urgency};
use crate::units::trim;

/// Asks and tells.
pub fn run(engine: &Engine, asked: &args::Swap, as_json: bool) -> Result<Outcome, Error> {
    let request = request(engine.kb(), asked)?;
    let reply = answer(engine, &request)?;
    let text = if as_json { json::text(&reply)? } else { render(engine.kb(), &request, &reply) };
    Ok(Outcome::new(text, reply.has_answer()))
}

/// The question that was typed.
pub fn request(kb: &Kb, asked: &args::Swap) -> Result<Request, Error> {
    Ok(Request {
        exercise: asked.exercise.join(" "),
        sore: asked.sore.iter().enumerate().map(|(at, typed)| sore(typed, at)).collect::<Result<_, _>>()?,
        gym: asked.gym.as_deref().map(|typed| gym(kb, typed)).transpose()?,
        have: items(&asked.have),
        improvise: asked.improvise,
        aim: asked.aim,
        max_spine: asked.max_spine,
        max_skill: asked.max_skill,
        skip: asked.skip.clone(),
        top: asked.top,
        why: asked.why,
        signs: asked.sign.clone(),
        did: quantity::did(asked.did.as_deref(), asked.rir)?,
        for_reps: asked.for_reps,
        known_load_kg: asked.load.as_deref().map(|t| quantity::mass("--load", t, "/known_load_kg")).transpose()?,
        body_mass_kg: asked
            .body_mass
            .as_deref()
            .map(|t| quantity::mass("--body-mass", t, "/body_mass_kg"))
            .transpose()?,
        height_m: asked.height.as_deref().map(|t| quantity::height("--height", t, "/height_m")).transpose()?,
        sex: asked.sex,
    })
}

/// A gym by id, or from a file: whatever ends in `.json` or holds a path separator is a file.
pub fn gym(kb: &Kb, typed: &str) -> Result<GymAsk, Error> {
    let path = Path::new(typed);
    let is_json = path.extension().is_some_and(|e| e.eq_ignore_ascii_case("json"));
    if is_json || typed.contains(std::path::is_separator) {
        return Ok(GymAsk::Own(Box::new(json::gym_file(kb, path)?)));
    }
    Ok(GymAsk::Named(typed.to_string()))
}

/// Items between commas, without the blanks around them.
pub fn items(typed: &[String]) -> Vec<String> {
    typed.iter().map(|i| i.trim().to_string()).filter(|i| !i.is_empty()).collect()
}

/// `REGION[:AGGRAVATOR][=LEVEL|0-10]`.
pub fn sore(typed: &str, at: usize) -> Result<SoreAsk, Error> {
    let wrong = |what: String| Error::Shape {
        found: format!("--sore {typed:?}: {what}"),
        pointer: format!("/sore/{at}"),
        hint: "the form is REGION[:AGGRAVATOR][=LEVEL|0-10]".to_string(),
    };
    let (place, how) = match typed.split_once('=') {
        Some((place, how)) => (place, Some(how.trim())),
        None => (typed, None),
    };
    let (region, aggravator) = match place.split_once(':') {
        Some((region, aggravator)) => (region.trim(), Some(aggravator.trim())),
        None => (place.trim(), None),
    };
    if region.is_empty() {
        return Err(wrong("no region".to_string()));
    }
    if aggravator.is_some_and(str::is_empty) {
        return Err(wrong("no aggravator after the colon".to_string()));
    }
    let mut ask =
        SoreAsk { region: region.to_string(), aggravator: aggravator.map(str::to_string), ..SoreAsk::default() };
    if let Some(how) = how {
        if let Some(level) = Level::from_word(&how.to_lowercase()) {
            ask.level = Some(level);
        } else if let Some(pain) = how.parse().ok().filter(|pain: &f64| (0.0..=10.0).contains(pain)) {
            ask.pain = Some(pain);
        } else {
            return Err(wrong(format!("{how:?} is neither mild, moderate, severe nor 0 to 10")));
        }
    }
    Ok(ask)
}

/// The reply as a lifter reads it.
fn render(kb: &Kb, request: &Request, reply: &Reply<'_>) -> String {
    let mut page = Page::new();
    for sign in &reply.signs {
        let paint = if sign.urgency == Urgency::Routine { caution } else { alarm };
        page.line(&paint(sign.action));
        page.hung("  ", &faint(&format!("you said: {}", sign.sign)));
    }
    let Some(question) = &reply.question else {
        // An emergency: the action and nothing else.
        let mut page = Page::new();
        if let Some(sign) = reply.signs.first() {
            page.line(&alarm(sign.action));
        }
        return page.finish();
    };
    page.gap();
    let original = kb.row_of(question.exercise.id).and_then(|at| spine(kb, at));
    heading(&mut page, question, original);
    if reply.substitutes.is_empty() {
        page.gap();
        page.line(&strong("No substitute passes every gate."));
        page.line(wayout(request, reply));
    }
    if !reply.substitutes.is_empty() {
        page.hung("  ", &faint("right: score of 100 · keeps: share of the muscle work"));
    }
    for (at, substitute) in reply.substitutes.iter().enumerate() {
        page.gap();
        one(&mut page, at + 1, substitute, original);
        warned(&mut page, &reply.substitutes, at);
        whole(&mut page, substitute);
    }
    if let Some(pair) = &reply.pair {
        page.gap();
        let names: Vec<String> = pair.exercises.iter().map(|e| strong(e.name)).collect();
        page.hung(
            "",
            &format!("As a pair: {} keep {} % of the muscle work together.", names.join(" and "), pair.keeps_percent),
        );
    }
    page.gap();
    for kit in &reply.nearest_kit {
        let names: Vec<&str> = kit.opens.iter().map(|e| e.name).collect();
        page.set("", 2, &format!("With {} you could also: {}.", kit.phrase, names.join("; ")));
    }
    improvised(&mut page, &reply.improvised);
    also_helps(&mut page, &reply.also_helps);
    refused(&mut page, reply, request.why);
    page.notes_and_cautions(&reply.notes, &reply.cautions);
    page.finish()
}

fn heading(page: &mut Page, question: &Understood<'_>, spine: Option<SpineClass>) {
    page.line(&format!("Instead of {}", strong(question.exercise.name)));
    for sore in &question.sore {
        page.hung("  sore: ", &sore_read(sore));
    }
    if let Some(spine) = spine {
        page.hung("  spine load: ", &words(spine.word()));
    }
    let place = question.gym.name.split(':').next().unwrap_or(&question.gym.name);
    // That no kit was named stands among the notes.
    let place = if question.gym.assumed { String::new() } else { format!(" · kit: {place}") };
    page.hung("  ", &format!("aim: {}{place}", question.aim));
}

pub fn sore_read(sore: &SoreRead<'_>) -> String {
    let aggravator = sore.aggravator.map_or_else(String::new, |a| format!(" ({})", words(a)));
    format!("{}{aggravator}, {}; loaded {} of 4", words(sore.region), sore.level, sore.original_grade)
}

/// What may help when nothing passes.
fn wayout(request: &Request, reply: &Reply<'_>) -> &'static str {
    if reply.pair.is_some() || !reply.nearest_kit.is_empty() {
        "What follows may still help."
    } else if request.max_spine.is_some() || request.max_skill.is_some() || !request.skip.is_empty() {
        "A wider limit, or a rest from this lift, may."
    } else {
        "A rest from this lift today may be the answer."
    }
}

/// What stands below a substitute's number.
const INDENT: &str = "   ";

/// One substitute in a few lines.
fn one(page: &mut Page, number: usize, s: &Substitute<'_>, original: Option<SpineClass>) {
    let lead = format!("{number:>2} ");
    page.headed(&lead, &strong(s.name), &faint(&format!("{:.0}", s.score)));
    let mut facts = vec![format!("keeps {} %", s.keeps_percent)];
    facts.extend(s.eased.iter().map(|e| {
        if e.from == e.to {
            format!("{} stays {}", words(e.region), e.to)
        } else {
            format!("{} {} to {}", words(e.region), e.from, e.to)
        }
    }));
    facts.push(match original {
        Some(from) if from != s.spine => format!("spine {} to {}", words(from.word()), words(s.spine.word())),
        _ => format!("spine {}", words(s.spine.word())),
    });
    page.hung(INDENT, &dotted(&facts.iter().map(|f| kept(f)).collect::<Vec<_>>()));
    let kit: Vec<String> = s.kit.iter().map(|k| words(k)).collect();
    let mut rest = vec![kit.join(", "), kept(&format!("sets of {}", s.sets_of))];
    rest.extend(remarks(s).into_iter().map(kept));
    page.hung(INDENT, &faint(&dotted(&rest)));
    if let Some(stand_in) = &s.stand_in {
        makeshift(page, stand_in);
    }
    if let Some(load) = &s.spine_load {
        let loads =
            if load.substitute_kg > 0.0 { format!(", at {} kg", trim(load.substitute_kg)) } else { String::new() };
        page.hung(INDENT, &format!("{}{loads}", load.said));
    }
    if let Some(start) = &s.start {
        let begin = if start.ramp { "begin the ramp with" } else { "begin with" };
        let put = start.build.as_ref().map_or(String::new(), |b| format!(": {}", b.said));
        let usual = start.usual.as_ref().filter(|_| !start.ramp);
        let usual = usual.map_or(String::new(), |u| format!(" (most: {})", u.load_said));
        page.hung(INDENT, &format!("{begin} {}{put}{usual}", strong(&start.said)));
    }
    if let Some(none) = &s.no_start {
        page.hung(INDENT, &faint(&format!("no first load: {}", none.said)));
    }
    if let (Tier::WithReservations, Some(reservation)) = (s.tier, &s.reservation) {
        page.hung(INDENT, &caution(&format!("with reservations, {reservation}")));
    }
}

/// The cautions of a substitute. What an earlier one was told in full is not told again: "as
/// for 2" stands for all that number 2 was told.
fn warned(page: &mut Page, substitutes: &[Substitute<'_>], at: usize) {
    let Some((mine, earlier)) = substitutes.get(at).map(|s| &s.cautions).zip(substitutes.get(..at)) else { return };
    let like = earlier
        .iter()
        .enumerate()
        .filter(|(_, s)| !s.cautions.is_empty() && s.cautions.iter().all(|c| mine.contains(c)))
        .max_by_key(|(number, s)| (s.cautions.len(), std::cmp::Reverse(*number)));
    let mut texts: Vec<String> =
        mine.iter().filter(|c| like.is_none_or(|(_, s)| !s.cautions.contains(c))).map(|c| (*c).to_string()).collect();
    if let Some((number, _)) = like {
        texts.push(format!("{} for {}.", if texts.is_empty() { "As" } else { "Also as" }, number + 1));
    }
    if !texts.is_empty() {
        page.hung(&format!("{INDENT}{}", caution("! ")), &caution(&texts.join(" ")));
    }
}

/// Cues and every point of the score, when they were asked for.
fn whole(page: &mut Page, s: &Substitute<'_>) {
    if let Some(why) = &s.why {
        if let Some(load) = &s.spine_load {
            page.set(&format!("{INDENT}spine load: "), 5, &load.how);
        }
        for cue in s.cues {
            page.hung(&format!("{INDENT}- "), cue);
        }
        tree(page, why, 0);
    }
}

/// What stands in for an item that is not there, with its caution.
fn makeshift(page: &mut Page, s: &StandInRead<'_>) {
    page.hung(INDENT, &format!("for {}: {}", s.phrase, s.how));
    page.hung(&format!("{INDENT}{}", caution("! ")), &caution(s.caution));
}

/// What makeshift set-ups would open; what was told once is not told again.
fn improvised(page: &mut Page, list: &[ImprovisedRead<'_>]) {
    if list.is_empty() {
        return;
    }
    page.gap();
    page.line("With a makeshift set-up you could also:");
    let mut told: Vec<&str> = Vec::new();
    for one in list {
        let mut facts = vec![format!("keeps {} %", one.keeps_percent)];
        facts.extend(one.eased.iter().map(|e| format!("{} {} to {}", words(e.region), e.from, e.to)));
        page.headed("  ", &strong(one.name), &faint(&format!("{:.0}", one.score)));
        page.hung(INDENT, &faint(&dotted(&facts.iter().map(|f| kept(f)).collect::<Vec<_>>())));
        let how = if told.contains(&one.stand_in.how) { "as above" } else { one.stand_in.how };
        page.hung(INDENT, &format!("for {}: {how}", one.stand_in.phrase));
        let mut cautions = vec![one.stand_in.caution];
        cautions.extend(one.cautions.iter().map(String::as_str));
        cautions.retain(|text| !told.contains(text));
        if !cautions.is_empty() {
            page.hung(&format!("{INDENT}{}", caution("! ")), &caution(&cautions.join(" ")));
        }
        told.push(one.stand_in.how);
        told.extend(cautions);
    }
}

/// Light work beside the swap.
fn also_helps(page: &mut Page, list: &[AlsoHelps<'_>]) {
    if list.is_empty() {
        return;
    }
    page.gap();
    page.line("Also helps, beside the swap and not in its place:");
    for one in list {
        let facts = [strong(one.name), kept(&format!("sets of {}", one.sets_of))];
        page.set("  ", 4, &dotted(&facts));
        page.hung("    ", &faint(&one.why));
        if !one.cautions.is_empty() {
            page.hung(&format!("    {}", caution("! ")), &caution(&one.cautions.join(" ")));
        }
    }
}

/// Reasons that the lines above have not said yet.
fn remarks<'r>(s: &'r Substitute<'_>) -> Vec<&'r str> {
    let said = |reason: &str| {
        reason.starts_with("keeps ")
            || reason.starts_with("spine load ")
            || s.eased.iter().any(|e| reason.starts_with(&format!("{} {} to {}", words(e.region), e.from, e.to)))
    };
    s.reasons
        .iter()
        .map(AsRef::as_ref)
        .filter(|reason| !said(reason))
        .filter_map(|reason| match reason.strip_prefix("hard in ") {
            // The range of a set is told already; what the stock cannot reach is not.
            Some(rest) => rest.split_once(", ").map(|(_, stock)| stock),
            None => Some(reason),
        })
        .collect()
}

fn tree(page: &mut Page, why: &Why, depth: usize) {
    let lead = format!("   {}{:>5.1} {}: ", "  ".repeat(depth), why.points, words(why.name));
    let scale = match (why.value, why.weight) {
        (Some(value), Some(weight)) => format!(" ({} % of its share, {:.1})", (value * 100.0).round(), weight * 100.0),
        _ => String::new(),
    };
    page.set(&lead, 9 + 2 * depth, &format!("{}{scale}", why.found));
    for part in &why.parts {
        tree(page, part, depth + 1);
    }
}

/// Examples shown of each gate when the whole story was not asked for.
const EXAMPLES: usize = 2;

fn refused(page: &mut Page, reply: &Reply<'_>, all: bool) {
    let count: usize = reply.refused.iter().map(|r| r.count).sum();
    if count == 0 {
        return;
    }
    page.gap();
    page.line(&format!("Refused {count} of {}, by gate:", count + reply.passed));
    for gate in &reply.refused {
        let lead = format!("  {:>3} {} · ", gate.count, strong(&words(gate.gate)));
        let told = gate.examples.iter().take(if all { usize::MAX } else { EXAMPLES });
        let told: Vec<String> = told.map(|e| format!("{}: {}", e.exercise.name, e.reason.replace('_', " "))).collect();
        if all || told.is_empty() {
            page.set(&lead, 6, &faint(&format!("asks whether {}", gate.asks)));
            told.iter().for_each(|example| page.set("      ", 8, example));
        } else {
            page.set(&lead, 6, &told.join("; "));
        }
    }
}

fn spine(kb: &Kb, row: usize) -> Option<SpineClass> {
    SpineClass::ALL.get(usize::from(kb.table.rows.get(row)?.spine)).copied()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn soreness_is_read_in_every_form() {
        let read = |typed: &str| sore(typed, 0).unwrap();
        assert_eq!(read("knee"), SoreAsk { region: "knee".to_string(), ..SoreAsk::default() });
        let full = read("low-back:flexion=mild");
        assert_eq!((full.region.as_str(), full.aggravator.as_deref()), ("low-back", Some("flexion")));
        assert_eq!((full.level, full.pain), (Some(Level::Mild), None));
        assert_eq!(read("shoulder=6.5").pain, Some(6.5));
        assert_eq!(read(" low back = Severe ").level, Some(Level::Severe));
    }

    #[test]
    fn soreness_that_cannot_be_read_names_the_value_and_the_form() {
        for typed in ["=3", ":flexion", "knee:", "knee:=3", "knee=", "knee=bad", "knee=11", "knee=-1", "knee=nan", ""] {
            let said = sore(typed, 2).unwrap_err();
            assert_eq!(said.pointer(), "/sore/2");
            let said = said.to_string();
            assert!(said.contains(&format!("--sore {typed:?}")), "{said}");
            assert!(said.contains("REGION[:AGGRAVATOR][=LEVEL|0-10]"), "{said}");
        }
    }

    #[test]
    fn a_path_is_a_file_and_a_word_is_a_gym() {
        let engine = Engine::shipped().unwrap();
        assert_eq!(gym(engine.kb(), "loft").unwrap(), GymAsk::Named("loft".to_string()));
        for typed in ["none.json", "NONE.JSON", "./none", "a/b"] {
            assert!(matches!(gym(engine.kb(), typed), Err(Error::File { .. })), "{typed}");
        }
    }

    #[test]
    fn items_lose_their_blanks() {
        let typed = [" barbell".to_string(), String::new(), "plates ".to_string()];
        assert_eq!(items(&typed), ["barbell", "plates"]);
    }
}
