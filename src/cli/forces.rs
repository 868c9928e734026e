//! `stead forces`: from what was typed to a question; the reply as text, CSV and SVG.
//!
//! Leans on [`crate::ask::forces`]. Leaves to others: units ([`super::quantity`]) and the drawing
//! ([`super::plot`]). A file that is there already is never replaced.

use std::path::Path;

use super::text::{Page, alarm, caution, faint, kept, strong, words};
use super::{Outcome, args, output, plot, quantity};
use crate::ask::beside::NO_FIGURE;
use crate::ask::forces::{
    ClassRead, Forces, LoadChosen, Reply, Request, SweepAsk, SweepOver, SweepRead, answer, whole_shares,
};
use crate::ask::{Engine, Error, json};
use crate::kb::raw::Urgency;
use crate::mechanics::lumbar::two_figures;
use crate::units::trim;

/// Asks and tells.
pub fn run(engine: &Engine, asked: &args::Forces, as_json: bool) -> Result<Outcome, Error> {
    if asked.csv && as_json {
        return Err(Error::Conflict {
            found: "--csv and --json".to_string(),
            pointer: String::new(),
            hint: "ask for one of them; the JSON holds the sweep too".to_string(),
        });
    }
    let request = request(asked)?;
    let reply = answer(engine, &request)?;
    let drawn = match (&asked.svg, &reply.forces) {
        (Some(path), Some(forces)) => {
            if let Some(sweep) = &forces.sweep {
                output::new_file(path, &plot::svg(forces, sweep)?, "it is there already and is not replaced")?;
            }
            Some(path.as_path())
        }
        _ => None,
    };
    let text = match &reply.forces {
        _ if as_json => json::text(&reply)?,
        Some(forces) if asked.csv => csv(forces)?,
        _ => render(&reply, drawn),
    };
    Ok(Outcome::new(text, reply.has_answer()))
}

/// The question that was typed.
pub fn request(asked: &args::Forces) -> Result<Request, Error> {
    let mass = |option, typed: &Option<String>, pointer| {
        typed.as_deref().map(|typed| quantity::mass(option, typed, pointer)).transpose()
    };
    Ok(Request {
        exercise: asked.exercise.join(" "),
        load_kg: mass("--load", &asked.load, "/load_kg")?,
        body_mass_kg: mass("--body-mass", &asked.body_mass, "/body_mass_kg")?,
        height_m: asked.height.as_deref().map(|t| quantity::height("--height", t, "/height_m")).transpose()?,
        sex: asked.sex,
        lean_deg: asked.lean.as_deref().map(|t| quantity::angle("--lean", t, "/lean_deg")).transpose()?,
        sets: asked.sets,
        reps: asked.reps,
        dose_power: asked.dose_power,
        belt: asked.belt,
        sweep: asked.sweep.as_deref().map(sweep).transpose()?,
        signs: asked.sign.clone(),
    })
}

/// `load=FROM..TO:STEP` or `lean=FROM..TO:STEP`.
fn sweep(typed: &str) -> Result<SweepAsk, Error> {
    let wrong = |what: String| Error::Shape {
        found: format!("--sweep {typed:?}: {what}"),
        pointer: "/sweep".to_string(),
        hint: "the form is load=20..140:20 or lean=0..80:10".to_string(),
    };
    let (over, rest) = typed.split_once('=').ok_or_else(|| wrong("no = in it".to_string()))?;
    let over = SweepOver::from_word(over.trim())
        .ok_or_else(|| wrong(format!("{:?} is neither load nor lean", over.trim())))?;
    let (from, rest) = rest.split_once("..").ok_or_else(|| wrong("no .. between two values".to_string()))?;
    let (to, step) = rest.split_once(':').ok_or_else(|| wrong("no step behind a colon".to_string()))?;
    let read = |what: &str, typed: &str, pointer: &str| {
        let option = format!("--sweep, {what}");
        match over {
            SweepOver::Load => quantity::mass(&option, typed, pointer),
            SweepOver::Lean => quantity::angle(&option, typed, pointer),
        }
    };
    Ok(SweepAsk {
        over,
        from: read("from", from, "/sweep/from")?,
        to: read("to", to, "/sweep/to")?,
        step: read("step", step, "/sweep/step")?,
    })
}

/// The sweep as RFC 4180, one row a step.
fn csv(forces: &Forces<'_>) -> Result<String, Error> {
    let fault = |e: String| Error::Internal(format!("the table cannot be written: {e}"));
    let mut out = csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::new());
    out.write_record([
        "exercise",
        "body_mass_kg",
        "load_kg",
        "lean_deg",
        "compression_low_n",
        "compression_mid_n",
        "compression_high_n",
        "body_weights",
        "spine_class",
    ])
    .map_err(|e| fault(e.to_string()))?;
    let Some(sweep) = &forces.sweep else { return Ok(String::new()) };
    for row in &sweep.rows {
        let (load, lean) = match sweep.over {
            SweepOver::Load => (row.at, forces.posture.trunk_deg),
            SweepOver::Lean => (forces.load.kg, Some(row.at)),
        };
        out.write_record([
            forces.exercise.id,
            &forces.person.body_mass_kg.to_string(),
            &load.to_string(),
            &lean.map_or_else(String::new, |deg| deg.to_string()),
            &row.low_n.to_string(),
            &row.mid_n.to_string(),
            &row.high_n.to_string(),
            &row.body_weights.to_string(),
            row.class.word(),
        ])
        .map_err(|e| fault(e.to_string()))?;
    }
    let bytes = out.into_inner().map_err(|e| fault(e.to_string()))?;
    String::from_utf8(bytes).map_err(|e| fault(e.to_string()))
}

/// The reply as a lifter reads it.
fn render(reply: &Reply<'_>, drawn: Option<&Path>) -> String {
    let mut page = Page::new();
    let Some(forces) = &reply.forces else {
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
    heading(&mut page, forces);
    compression(&mut page, forces);
    parts(&mut page, forces);
    joints(&mut page, forces);
    dose(&mut page, forces);
    if let Some(sweep) = &forces.sweep {
        table(&mut page, sweep);
    }
    if let Some(path) = drawn {
        page.gap();
        page.line(&format!("Plot written to {}", path.display()));
    }
    compare(&mut page, forces);
    page.gap();
    page.line(&strong("What these figures stand on"));
    for basis in &forces.basis {
        page.set("  ", 4, &format!("{}: {} ({})", basis.figure, basis.source, words(basis.read)));
    }
    page.gap();
    page.line(&strong("What the model leaves out"));
    for text in &forces.left_out {
        page.hung("  - ", text);
    }
    page.notes_and_cautions(&reply.notes, &reply.cautions);
    page.finish()
}

fn heading(page: &mut Page, forces: &Forces<'_>) {
    page.hung("", &format!("Forces of {}", strong(forces.exercise.name)));
    let person = &forces.person;
    let assumed = match person.assumed.as_slice() {
        [] => String::new(),
        list => format!(" ({} assumed)", list.join(", ")),
    };
    let whom = format!("{} kg, {} m, {}{assumed}", trim(person.body_mass_kg), trim(person.height_m), person.sex);
    page.set("  person: ", 4, &whom);
    let load = &forces.load;
    let kg = if load.chosen == LoadChosen::Body { String::new() } else { format!("{} kg in all, ", trim(load.kg)) };
    let idle = if load.counts || load.kg == 0.0 { "" } else { "; it does not move the figure" };
    page.set("  load: ", 4, &format!("{kg}{}{idle}", load.how));
    let posture = &forces.posture;
    let mut held = vec![posture.name.to_string()];
    held.extend(posture.trunk_deg.map(|deg| format!("trunk {} deg from upright", trim(deg))));
    held.extend(posture.knee_deg.map(|deg| format!("knee {} deg", trim(deg))));
    held.extend(posture.speed_factor.map(|f| format!("times {} for speed", trim(f))));
    held.extend(posture.support_factor.map(|f| format!("times {} for support", trim(f))));
    page.set("  posture: ", 4, &held.join(", "));
    page.set("  found: ", 4, posture.said);
}

fn compression(page: &mut Page, forces: &Forces<'_>) {
    let c = &forces.compression;
    page.gap();
    page.line(&strong("Compression of the low back"));
    let range = format!("{} to {} N", trim(c.low_n), trim(c.high_n));
    if c.mid_n == 0.0 {
        page.hung("  ", &strong("none to speak of (0 N)"));
    } else {
        page.hung("  ", &format!("{}, about {}", strong(&range), kept(&format!("{} N", trim(c.mid_n)))));
    }
    page.hung("  ", &format!("about {} body weights of this person", trim(c.body_weights)));
    if c.over_10_kn {
        page.hung("  ", &strong(">10 kN"));
    }
    page.set("  ", 4, &class(&forces.class));
    if let Some(belt) = c.with_belt_n {
        let text = format!("belt and full breath held: {} N at best; the class stays", trim(belt));
        page.set("  ", 4, &text);
    }
    let shear = &forces.shear;
    let text = format!("{} ({}), upper vertebra pushed {}; {}", shear.class, shear.back, shear.direction, shear.said);
    page.set("  shear: ", 4, &text);
}

fn class(class: &ClassRead) -> String {
    let word = |c: crate::kb::raw::SpineClass| words(c.word());
    format!(
        "class {}: {} by newtons, {} by body weights; in the catalogue {}",
        strong(&word(class.person)),
        word(class.by_newtons),
        word(class.by_body_weights),
        word(class.catalogue)
    )
}

fn parts(page: &mut Page, forces: &Forces<'_>) {
    let parts = &forces.breakdown.parts;
    page.gap();
    page.line(&strong("What it is made of"));
    page.hung("  ", &faint("to the newton so that it adds up; no more exact than above"));
    let total = forces.breakdown.total_n.round();
    let newtons = whole_shares(&parts.iter().map(|p| p.newtons).collect::<Vec<_>>(), total as i32);
    for (part, newtons) in parts.iter().zip(newtons) {
        page.hung(&format!("  {newtons:>6} N {:>4} %  ", part.percent), part.means);
    }
    let percent: i32 = parts.iter().map(|p| p.percent).sum();
    page.hung(&format!("  {total:>6} N {percent:>4} %  "), "together");
}

fn joints(page: &mut Page, forces: &Forces<'_>) {
    page.gap();
    page.line(&strong("Joint moments, side view"));
    if let Some(reason) = &forces.joints.left_out {
        page.set("  ", 4, &format!("not given: {reason}"));
    }
    for joint in &forces.joints.moments {
        let side = joint.per_side_nm.map_or_else(String::new, |nm| format!(", {} each side", trim(nm.abs())));
        let text = format!("{}{side}, {}", kept(&format!("{} N·m", trim(joint.total_nm.abs()))), joint.held_by);
        page.set(&format!("  {:<9} ", words(joint.joint)), 4, &text);
    }
}

fn dose(page: &mut Page, forces: &Forces<'_>) {
    let Some(dose) = &forces.dose else { return };
    page.gap();
    page.line(&strong(dose.label));
    let figure = |value: f64| trim_small(two_figures(value));
    page.hung("  ", &format!("one set of {}: {}", dose.reps, figure(dose.per_set)));
    page.hung("  ", &format!("{} × {}: {}", dose.sets, dose.reps, figure(dose.all_sets)));
    page.hung("  ", &faint(&format!("power {}; {}", dose.power, dose.means)));
}

/// As [`trim`], with the figures of a small number kept.
fn trim_small(value: f64) -> String {
    if value != 0.0 && value.abs() < 0.1 { format!("{value}") } else { trim(value) }
}

fn table(page: &mut Page, sweep: &SweepRead) {
    page.gap();
    page.line(&strong(&format!("Over {}", sweep.over)));
    page.verbatim(&format!("  {:>8}  {:>16}  {:>7}  class", sweep.unit, "newtons, range", "middle"));
    for row in &sweep.rows {
        let range = format!("{} to {}", trim(row.low_n), trim(row.high_n));
        let class = words(row.class.word());
        page.verbatim(&format!("  {:>8}  {range:>16}  {:>7}  {class}", trim(row.at), trim(row.mid_n)));
    }
}

fn compare(page: &mut Page, forces: &Forces<'_>) {
    page.gap();
    page.line(&strong("Measured or reported by others"));
    for row in &forces.compare {
        let figure = match row.newtons {
            Some([low, high]) if !row.reported.ends_with(" N") => {
                let ends = if low == high { trim(low) } else { format!("{} to {}", trim(low), trim(high)) };
                format!("{}, about {ends} N", row.reported)
            }
            _ => row.reported.clone(),
        };
        let found =
            if row.reported == NO_FIGURE { row.finding.to_string() } else { format!("{figure}; {}", row.finding) };
        page.set("  - ", 4, &format!("{}: {found} ({}, {})", row.task, row.source, row.basis));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sweeps_are_read_with_and_without_units() {
        let ask = |over, from, to, step| SweepAsk { over, from, to, step };
        assert_eq!(sweep("load=20..140:20").unwrap(), ask(SweepOver::Load, 20.0, 140.0, 20.0));
        assert_eq!(sweep("load=20kg..140kg:2.5kg").unwrap(), ask(SweepOver::Load, 20.0, 140.0, 2.5));
        assert_eq!(sweep("lean=-10..80deg:10").unwrap(), ask(SweepOver::Lean, -10.0, 80.0, 10.0));
    }

    #[test]
    fn a_sweep_that_cannot_be_read_names_the_form() {
        for typed in ["", "load", "load=", "load=20", "load=20..140", "reach=1..2:1", "load=a..b:c", "lean=1kg..2:1"] {
            assert!(sweep(typed).unwrap_err().to_string().contains("--sweep"), "{typed}");
        }
    }
}
