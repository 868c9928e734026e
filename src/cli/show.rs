//! `stead show`: one exercise whole.
//!
//! Leans on [`crate::ask::show`]. Leaves to others: choosing between exercises ([`super::swap`]).

use super::text::{Page, caution, faint, strong, words};
use super::{Outcome, args};
use crate::ask::show::{Reply, Request, answer};
use crate::ask::{Engine, Error, Named, json};
use crate::units::trim;

/// Asks and tells.
pub fn run(engine: &Engine, asked: &args::Show, as_json: bool) -> Result<Outcome, Error> {
    let request = Request { exercise: asked.exercise.join(" ") };
    let reply = answer(engine, &request)?;
    let text = if as_json { json::text(&reply)? } else { render(&request, &reply) };
    Ok(Outcome::new(text, true))
}

/// Neighbours named of each kind.
const NEIGHBOURS: usize = 8;

fn render(request: &Request, reply: &Reply<'_>) -> String {
    let e = reply.exercise;
    let mut page = Page::new();
    page.hung("", &format!("{} {}", strong(&e.name), faint(&format!("({})", e.id))));
    if reply.read_as != "name" {
        page.hung("", &faint(&format!("read from {:?}", request.exercise)));
    }
    let mut field = |name: &str, text: &str| {
        if !text.is_empty() {
            page.set(&format!("  {name}: "), 4, text);
        }
    };
    field("also called", &e.aliases.join("; "));
    let patterns: Vec<String> = std::iter::once(&e.pattern).chain(&e.also_patterns).map(|p| words(p)).collect();
    field("pattern", &patterns.join(", also "));
    field("role", &format!("{}, {}, skill {} of 5", e.role, e.laterality, e.skill));
    field("helps a sore", &e.helps.iter().map(|r| words(r)).collect::<Vec<_>>().join(", "));
    let kit: Vec<String> =
        e.equipment.iter().map(|all| all.iter().map(|k| words(k)).collect::<Vec<_>>().join(" + ")).collect();
    field("kit", &kit.join("; or "));
    field("kit that helps", &e.optional.iter().map(|k| words(k)).collect::<Vec<_>>().join(", "));
    if let Some(metres) = e.headroom_m {
        field("ceiling", &format!("{} m or more", trim(metres)));
    }
    field("sets of", &format!("{} to {} {}", e.reps.low, e.reps.high, e.reps.unit));
    field("harder by", &e.harder_by.iter().map(|h| words(h.word())).collect::<Vec<_>>().join(", "));
    let load = match e.typical_load.anchor.as_str() {
        "none" => String::new(),
        anchor => format!(
            "{} % of {}, counted {}",
            trim((e.typical_load.share * 100.0).round()),
            if anchor == "bm" { "body mass".to_string() } else { format!("the {}", words(anchor)) },
            words(e.typical_load.counted.word())
        ),
    };
    field("typical best", &load);
    let place = words(e.support.word());
    field("body and load", &format!("{place}; load {}", words(e.load_position.word())));
    let mut muscles: Vec<(&String, &f64)> = e.muscles.iter().collect();
    muscles.sort_by(|a, b| b.1.total_cmp(a.1).then(a.0.cmp(b.0)));
    let muscles: Vec<String> = muscles.iter().map(|(m, w)| format!("{} {}", words(m), trim(**w))).collect();
    field("muscles (1 is all)", &muscles.join(", "));
    field("hard with the muscle", e.hard_at.word());
    let about = format!("{}; about {} body weights computed", words(reply.spine.word()), reply.compression_bw);
    field("spine load", &about);
    if !reply.joints.is_empty() {
        page.line("  joint stress, 0 to 4:");
    }
    for joint in &reply.joints {
        let by: Vec<String> = joint.by.iter().map(|(token, grade)| format!("{} {grade}", words(token))).collect();
        page.hung(&format!("    {} {}: ", joint.grade, words(joint.region)), &faint(&by.join(", ")));
    }
    if !e.cues.is_empty() {
        page.line("  cues:");
    }
    for cue in &e.cues {
        page.hung("    - ", cue);
    }
    let parent: Vec<Named<'_>> = reply.parent.into_iter().collect();
    for (name, list) in [
        ("variation of", &parent),
        ("variations", &reply.variations),
        ("same family", &reply.siblings),
        ("easier", &reply.easier),
        ("harder", &reply.harder),
    ] {
        neighbours(&mut page, name, list);
    }
    for text in &reply.cautions {
        page.hung(&caution("! "), &caution(text));
    }
    page.finish()
}

fn neighbours(page: &mut Page, name: &str, list: &[Named<'_>]) {
    if list.is_empty() {
        return;
    }
    let mut names: Vec<String> = list.iter().take(NEIGHBOURS).map(|n| n.name.to_string()).collect();
    if list.len() > NEIGHBOURS {
        names.push(format!("and {} more", list.len() - NEIGHBOURS));
    }
    page.set(&format!("  {name}: "), 4, &names.join("; "));
}
