//! `stead kit`: from a gym, money and room to a question; the reply as text.
//!
//! Leans on [`crate::ask::kit`]. Leaves to others: reading a week ([`crate::ask::week`]) and the
//! drawing ([`super::frontier`]).

use std::collections::BTreeMap;
use std::path::Path;

use super::swap::{gym, items, sore};
use super::text::{Page, alarm, caution, counted, dotted, faint, kept, strong, words};
use super::{Outcome, args, frontier, output, quantity};
use crate::ask::kit::{
    Advice, CaseTold, Contradiction, Fixed, LeftOut, Point, Reply, Request, Single, SoreHere, Span, Step, ThingTold,
    Understood, Why, answer, of_week,
};
use crate::ask::{Engine, Error, json, week};
use crate::kb::Kb;
use crate::kb::raw::Urgency;
use crate::units::trim;

/// Asks and tells.
pub fn run(engine: &Engine, asked: &args::Kit, as_json: bool) -> Result<Outcome, Error> {
    let request = request(engine.kb(), asked)?;
    let reply = match &asked.week {
        Some(path) => of_week(engine, Some(&week::file(engine.kb(), path)?), &request)?,
        None => answer(engine, &request)?,
    };
    let drawn = match (&asked.svg, &reply.question) {
        (Some(path), Some(question)) => {
            let svg = frontier::svg(question, &reply.frontier)?;
            output::new_file(path, &svg, "it is there already and is not replaced")?;
            Some(path.as_path())
        }
        _ => None,
    };
    let text = if as_json { json::text(&reply)? } else { render(&reply, drawn) };
    Ok(Outcome::new(text, reply.has_answer()))
}

/// The question that was typed, but for the week.
fn request(kb: &Kb, asked: &args::Kit) -> Result<Request, Error> {
    let area = |option: &str, typed: &Option<String>, pointer: &str| {
        typed.as_deref().map(|t| quantity::area(option, t, pointer)).transpose()
    };
    let height = |option: &str, typed: &Option<String>, pointer: &str| {
        typed.as_deref().map(|t| quantity::height(option, t, pointer)).transpose()
    };
    Ok(Request {
        gym: asked.gym.as_deref().map(|typed| gym(kb, typed)).transpose()?,
        have: items(&asked.have),
        budget: asked.budget,
        floor_m2: area("--floor", &asked.floor, "/floor_m2")?,
        floor_use_m2: area("--floor-use", &asked.floor_use, "/floor_use_m2")?,
        ceiling_m: height("--ceiling", &asked.ceiling, "/ceiling_m")?,
        body_height_m: height("--height", &asked.height, "/body_height_m")?,
        sore: asked.sore.iter().enumerate().map(|(at, typed)| sore(typed, at)).collect::<Result<_, _>>()?,
        aim: asked.aim,
        prices: prices(&asked.price)?,
        skip: items(&asked.skip),
        top: asked.top,
        signs: asked.sign.clone(),
        ..Request::default()
    })
}

/// `THING=N`, each.
fn prices(typed: &[String]) -> Result<BTreeMap<String, f64>, Error> {
    let one = |typed: &String| {
        let wrong = || Error::Shape {
            found: format!("--price {typed:?} is no price of a thing"),
            pointer: "/prices".to_string(),
            hint: "the form is THING=N, as in power-rack=250".to_string(),
        };
        let (thing, price) = typed.split_once('=').ok_or_else(wrong)?;
        let price: f64 = price.trim().parse().map_err(|_| wrong())?;
        Ok((thing.trim().to_string(), price))
    };
    typed.iter().map(one).collect()
}

/// The reply as a lifter reads it.
fn render(reply: &Reply<'_>, drawn: Option<&Path>) -> String {
    let mut page = Page::new();
    let Some(question) = &reply.question else {
        // An emergency: the action and nothing else.
        if let Some(sign) = reply.signs.first() {
            page.line(&alarm(sign.action));
        }
        return page.finish();
    };
    for sign in &reply.signs {
        let paint = if sign.urgency == Urgency::Routine { caution } else { alarm };
        page.line(&paint(sign.action));
    }
    page.gap();
    heading(&mut page, question, reply);
    for contradiction in &reply.contradictions {
        contradicted(&mut page, contradiction);
    }
    page.gap();
    match (&reply.advice, &reply.nothing) {
        (Some(advice), _) => advised(&mut page, question, advice),
        (None, Some(nothing)) => page.line(&strong(nothing)),
        (None, None) => {}
    }
    singles(&mut page, question, &reply.singles);
    frontier_table(&mut page, question, &reply.frontier);
    left_out(&mut page, &reply.left_out);
    if let Some(path) = drawn {
        page.gap();
        page.line(&format!("Plot written to {}", path.display()));
    }
    page.notes_and_cautions(&reply.notes, &reply.cautions);
    page.finish()
}

fn heading(page: &mut Page, question: &Understood<'_>, reply: &Reply<'_>) {
    let name = question.gym.name.split(':').next().unwrap_or_default();
    page.line(&format!("Which kit next for {}", strong(name)));
    let mut room = vec![format!("{} {}", trim(question.budget), question.currency)];
    room.extend(question.floor_m2.map(|m2| format!("{} m2 to put away", trim(m2))));
    room.extend(question.floor_use_m2.map(|m2| format!("{} m2 to work in", trim(m2))));
    room.extend(question.ceiling_m.map(|m| format!("ceiling {} m", trim(m))));
    room.extend(question.body_height_m.map(|m| format!("lifter {} m", trim(m))));
    page.set("  room: ", 4, &dotted(&room.iter().map(|r| kept(r)).collect::<Vec<_>>()));
    let of = if question.basket == "week" { "your week" } else { "the main patterns" };
    let sore = match question.sore.as_slice() {
        [] => "nothing sore".to_string(),
        list => list.iter().map(sore_told).collect::<Vec<_>>().join(", "),
    };
    let count = counted(question.questions, "question");
    page.set(
        "  basket: ",
        4,
        &format!(
            "{count} on {}; {sore}",
            counted(question.exercises.len(), "lift").replace("lifts", &format!("lifts of {of}"))
        ),
    );
    page.set("  worth now: ", 4, &format!("{} of 100: how well its best three answers serve them", trim(reply.worth)));
}

fn sore_told(sore: &SoreHere<'_>) -> String {
    let what = sore.aggravator.map_or(String::new(), |a| format!(" ({})", words(a)));
    format!("{}{what}", words(sore.region))
}

fn contradicted(page: &mut Page, c: &Contradiction) {
    page.set(&caution("  ! "), 4, &caution(&format!("{}: {}", c.pointer, c.found)));
    page.set("    > ", 6, &c.way_out);
}

fn advised(page: &mut Page, question: &Understood<'_>, advice: &Advice<'_>) {
    let mark = format!("+{}", trim(advice.gain.points.typical));
    let head =
        format!("Buy {} for {} {}", counted(advice.steps.len(), "thing"), money(&advice.price), question.currency);
    page.headed("", &strong(&head), &strong(&mark));
    let spans =
        format!("gain {} (read in other ways {})", trim(advice.gain.points.typical), range(&advice.gain.points));
    let best = if advice.proven { "no better set is left" } else { "not proven the best" };
    page.set("  ", 2, &faint(&dotted(&[kept(&format!("{} m2 put away", trim(advice.stored_m2))), spans, kept(best)])));
    for (at, step) in advice.steps.iter().enumerate() {
        page.gap();
        one_step(page, at + 1, step);
    }
    if let Some(nearly) = &advice.nearly {
        page.gap();
        let (price, lacks) = (trim(nearly.price.round()), trim(advice.gain.points.typical - nearly.gain));
        let names = nearly.things.join(", ");
        page.set("Nearly as good: ", 2, &format!("for {price} {}, {lacks} points less: {names}", question.currency));
    }
}

fn one_step(page: &mut Page, number: usize, step: &Step<'_>) {
    let thing = &step.thing;
    page.headed(&format!("{number:>2} "), &strong(thing.name), &money(&thing.price));
    page.set("   ", 3, &faint(&dotted(&facts(thing))));
    let to = format!(
        "worth {} with those before; adds {} to the rest",
        trim(step.worth_after),
        trim(step.adds.points.typical)
    );
    page.set("   ", 3, &to);
    if !step.adds.unlocks.is_empty() {
        let names: Vec<&str> = step.adds.unlocks.iter().take(3).map(|e| e.name).collect();
        page.set("   opens: ", 5, &names.join(", "));
    }
    if let Some(fixed) = step.adds.fixes.first() {
        page.set("   fixes: ", 5, &fixed_told(fixed));
    }
    more(page, thing);
}

/// What a thing needs, duplicates and asks to beware of.
fn more(page: &mut Page, thing: &ThingTold<'_>) {
    let needs: Vec<String> =
        thing.needs.iter().map(|alt| alt.iter().map(|k| words(k)).collect::<Vec<_>>().join(" and ")).collect();
    let kit = match needs.as_slice() {
        [] => None,
        [one] => Some(one.clone()),
        [first, ..] => Some(format!("{first} or the like")),
    };
    let needed: Vec<String> = kit.into_iter().chain(thing.besides.map(str::to_string)).collect();
    if !needed.is_empty() {
        page.set("   needs: ", 5, &needed.join("; "));
    }
    if !thing.duplicates.is_empty() {
        let same: Vec<String> = thing.duplicates.iter().map(|k| words(k)).collect();
        page.set("   partly doubles: ", 5, &same.join(", "));
    }
    if let Some(text) = thing.caution {
        page.hung(&format!("   {}", caution("! ")), &caution(text));
    }
}

fn facts(thing: &ThingTold<'_>) -> Vec<String> {
    let mut facts =
        vec![kept(&format!("{} m2 in use", trim(thing.use_m2))), kept(&format!("{} put away", trim(thing.stored_m2)))];
    facts.extend(thing.ceiling_m.map(|m| kept(&format!("ceiling {} m", trim(m)))));
    facts.extend(thing.rated_kg.map(|[low, high]| {
        kept(&if low < high {
            format!("rated {} to {} kg", trim(low), trim(high))
        } else {
            format!("rated {} kg", trim(low))
        })
    }));
    facts
}

fn fixed_told(fixed: &Fixed<'_>) -> String {
    format!("{}: {} to {} of 100", asked(&fixed.question), trim(fixed.from.round()), trim(fixed.to.round()))
}

fn asked(case: &CaseTold<'_>) -> String {
    let sore: Vec<String> = case.sore.iter().map(sore_told).collect();
    if sore.is_empty() {
        case.exercise.name.to_string()
    } else {
        format!("{}, {} sore", case.exercise.name, sore.join(" and "))
    }
}

fn singles(page: &mut Page, question: &Understood<'_>, singles: &[Single<'_>]) {
    if singles.is_empty() {
        return;
    }
    page.gap();
    page.line(&strong("One thing alone, most gain for the money first"));
    page.line(&faint(&format!("  per 100 {}: typical (least gain, high price to most, low)", question.currency)));
    for (at, single) in singles.iter().enumerate() {
        let with: String = single.with.iter().map(|w| format!(" + {}", w.name)).collect();
        let mark = format!("+{}", trim(single.gain.points.typical));
        page.headed(&format!("{:>2} ", at + 1), &format!("{}{with}", single.thing.name), &mark);
        let per_m2 = single.per_m2.map(|x| kept(&format!("{} per m2", trim(x))));
        let per = format!("{} per 100 ({})", trim(single.per_100.typical), range(&single.per_100));
        let price = format!("{} {}", money(&single.price), question.currency);
        let facts: Vec<String> = [kept(&price), kept(&per)].into_iter().chain(per_m2).collect();
        page.set("   ", 3, &faint(&dotted(&facts)));
        if let Some(fixed) = single.gain.fixes.first() {
            let with: Vec<&str> = fixed.with.iter().take(2).map(|e| e.name).collect();
            let with = if with.is_empty() { String::new() } else { format!(" ({})", with.join(", ")) };
            page.set("   fixes: ", 5, &format!("{}{with}", fixed_told(fixed)));
        }
    }
}

fn frontier_table(page: &mut Page, question: &Understood<'_>, points: &[Point<'_>]) {
    if points.is_empty() {
        return;
    }
    page.gap();
    page.line(&strong(&format!("Gain against budget, {}", question.currency)));
    page.verbatim(&faint("  budget   price    gain  the best set"));
    let mut before: &[&str] = &[];
    for point in points {
        let lead = format!(
            "{:>8}{:>8}{:>8}  ",
            trim(point.budget),
            trim(point.price.round()),
            format!("+{}", trim(round1(point.gain)))
        );
        let same = !point.things.is_empty() && point.things.as_slice() == before;
        let names = if point.things.is_empty() {
            "nothing".to_string()
        } else if same {
            "the same".to_string()
        } else {
            point.things.join(", ")
        };
        page.set(&lead, 26, &names);
        before = &point.things;
    }
}

fn left_out(page: &mut Page, left_out: &[LeftOut<'_>]) {
    let told = [Why::Ceiling, Why::Floor, Why::Price, Why::Unwanted];
    let lines: Vec<String> = told
        .iter()
        .filter_map(|why| {
            let mut of = left_out.iter().filter(|l| l.why == *why).peekable();
            of.peek()?;
            let ids: Vec<&str> = of.map(|l| l.id).collect();
            let shown = ids.iter().take(3).copied().collect::<Vec<_>>().join(", ");
            let more = if ids.len() > 3 { format!(" and {} more", ids.len() - 3) } else { String::new() };
            Some(format!("{}: {shown}{more}", why.word()))
        })
        .collect();
    if lines.is_empty() {
        return;
    }
    page.gap();
    page.line("Not on offer here, by what keeps it out:");
    lines.iter().for_each(|line| page.set("  ", 4, line));
}

fn round1(x: f64) -> f64 {
    (x * 10.0).round() / 10.0
}

/// A price with its range.
fn money(span: &Span) -> String {
    if span.low < span.high {
        format!("{} ({} to {})", trim(span.typical.round()), trim(span.low.round()), trim(span.high.round()))
    } else {
        trim(span.typical.round())
    }
}

fn range(span: &Span) -> String {
    format!("{} to {}", trim(round1(span.low)), trim(round1(span.high)))
}
