//! Rules on what the fields of one exercise say of each other, and on the ladder between exercises.
//!
//! Leans on [`Context`] for what a rule may look up. Leaves to others: the table of rules and all
//! that is no matter of coaching ([`super`]). Thresholds are a coach's habit (practice), each with
//! what it parts. A rule asks for a grade or muscle only where the base has that region or muscle.

use std::collections::{BTreeMap, BTreeSet, HashMap, HashSet};

use super::{Context, closure, graded, is_training};
use crate::kb::compile::PLATE_CARRIERS;
use crate::kb::draft::Placed;
use crate::kb::fold::expand;
use crate::kb::problem::Problem;
use crate::kb::raw::{self, Counted, LoadPosition, Role, Support};

impl Context<'_> {
    /// Whether the base can grade `token` of `region`.
    fn grades(&self, region: &str, token: &str) -> bool {
        let of_region = self.draft.regions.iter().find(|r| r.value.id == region);
        of_region.is_some_and(|r| r.value.aggravators.iter().any(|a| a.id == token))
    }

    /// Whether the base lists `muscle`.
    fn has_muscle(&self, muscle: &str) -> bool {
        self.draft.muscles.iter().any(|m| m.value.id == muscle)
    }

    /// One-repetition load of a typical man in body masses, both hands together. Bodyweight
    /// exercises give the share of the body that is moved.
    fn in_body_masses(&self, e: &raw::Exercise) -> f64 {
        let hands = if e.typical_load.counted == Counted::PerHand { 2.0 } else { 1.0 };
        let anchor = self.anchors.get(e.typical_load.anchor.as_str());
        anchor.map_or(0.0, |a| a.men_bm * e.typical_load.share * hands)
    }

    /// The node of the pattern tree above which there is none.
    fn top_pattern<'p>(&'p self, pattern: &'p str) -> &'p str {
        let mut at = pattern;
        // No path is longer than the list; a cycle is reported under its own rule.
        for _ in &self.draft.patterns {
            let here = self.draft.patterns.iter().find(|p| p.value.id == at);
            match here.and_then(|p| p.value.parent.as_deref()) {
                Some(above) => at = above,
                None => break,
            }
        }
        at
    }
}

/// Reports each of `asked` (region, token) that is graded below `least`.
fn at_least(
    c: &Context<'_>,
    e: &Placed<raw::Exercise>,
    rule: &'static str,
    asked: &[(&str, &str)],
    least: u8,
    why: &str,
    out: &mut Vec<Problem>,
) {
    for (region, token) in asked.iter().filter(|(region, token)| c.grades(region, token)) {
        let grade = graded(&e.value, region, token);
        if grade < least {
            let step = format!("/joints/{region}/{token}");
            let hint = format!("grade it {least} or more, or mend what is said of the load");
            out.push(e.problem(&step, rule, format!("{token} {grade} {why}"), hint));
        }
    }
}

/// Least load held in the hands that takes a grip, in body masses: below it stand balls that are
/// caught and thrown with open hands.
const HELD: f64 = 0.1;

pub(super) fn held_grip(c: &Context<'_>, out: &mut Vec<Problem>) {
    use LoadPosition::{HandsFrontRack, HandsHanging, HandsOverhead};
    for e in &c.draft.exercises {
        let held = matches!(e.value.load_position, HandsFrontRack | HandsHanging | HandsOverhead)
            && e.value.typical_load.counted != Counted::Body
            && c.in_body_masses(&e.value) >= HELD;
        if held {
            at_least(c, e, "held-grip", &[("wrist", "grip_load")], 1, "with the load in the hands", out);
        }
    }
}

/// Share of the body that hangs from the hands where nothing helps: the forearms stay out of it.
/// Rows under a bar and assisted pull-ups stay below.
const WHOLE_BODY: f64 = 0.9;

pub(super) fn hang_grades(c: &Context<'_>, out: &mut Vec<Problem>) {
    let asked = [("shoulder", "traction_hang"), ("wrist", "grip_load")];
    for e in &c.draft.exercises {
        let whole = matches!(e.value.typical_load.counted, Counted::Body | Counted::Added)
            && c.in_body_masses(&e.value) >= WHOLE_BODY;
        if whole && e.value.support == Support::Hanging {
            at_least(c, e, "hang-grades", &asked, 2, "with the whole body hanging from the hands", out);
        }
    }
}

/// Id of the anchor whose lift ends overhead.
const PRESS_ANCHOR: &str = "press";

/// Share of the overhead press, both hands together, from which a load overhead is a heavy one.
const HEAVY_PRESS: f64 = 0.5;

pub(super) fn press_overhead(c: &Context<'_>, out: &mut Vec<Problem>) {
    for e in &c.draft.exercises {
        let v = &e.value;
        let hands = if v.typical_load.counted == Counted::PerHand { 2.0 } else { 1.0 };
        let heavy = v.typical_load.anchor == PRESS_ANCHOR && v.typical_load.share * hands >= HEAVY_PRESS;
        let lying = matches!(v.support, Support::LyingSupine | Support::LyingProne | Support::SideLying);
        if heavy && !lying && v.load_position == LoadPosition::HandsOverhead && is_training(v.role) {
            let asked = [("shoulder", "overhead_elevation")];
            at_least(c, e, "press-overhead", &asked, 3, "with a heavy load overhead", out);
        }
    }
}

pub(super) fn back_load(c: &Context<'_>, out: &mut Vec<Problem>) {
    for e in &c.draft.exercises {
        match e.value.load_position {
            LoadPosition::UpperBack => {
                let asked = [("upper-back", "compression"), ("neck", "compression")];
                at_least(c, e, "back-load", &asked, 1, "with the load on the upper back", out);
            }
            LoadPosition::FrontShoulders if graded(&e.value, "upper-back", "rounding") == 0 => {
                let asked = [("upper-back", "compression")];
                at_least(c, e, "back-load", &asked, 1, "and no rounding, with the load on the front shoulders", out);
            }
            _ => {}
        }
    }
}

/// Bars that lie on the shoulders or are lowered to the chest.
const BARS: &[&str] = &["barbell", "safety-squat-bar", "cambered-bar", "multi-grip-bar", "ez-bar"];

/// Kit that holds a bar above the floor before and after the set.
const HOLDERS: &[&str] = &["rack", "guided-bar", "landmine", "blocks"];

/// Benches that a bar is pressed on.
const BENCHES: &[&str] = &["flat-bench", "adjustable-bench"];

/// Who hands a bar over a bench.
const HANDED: &str = "partner";

/// Pattern whose bars start on the floor.
const FLOOR_PATTERN: &str = "hinge-floor-pull";

/// Most that is put over the head on to the back without a rack, body masses for one repetition.
const OVER_HEAD: f64 = 0.5;

/// Most that is brought from the floor to the front of the shoulders, body masses: an ordinary
/// power clean.
const CLEANED: f64 = 0.9;

/// Most that is lifted over the body when lying down with it, body masses: a heavy lying triceps
/// extension or pullover.
const LAIN_DOWN_WITH: f64 = 0.5;

pub(super) fn rack_for_bar(c: &Context<'_>, out: &mut Vec<Problem>) {
    let holds = |alternative: &[String], kit: &[&str]| alternative.iter().any(|q| kit.contains(&q.as_str()));
    for e in &c.draft.exercises {
        let v = &e.value;
        if v.role == Role::Power || v.pattern == FLOOR_PATTERN {
            continue;
        }
        let load = c.in_body_masses(v);
        let on_bench = matches!(v.support, Support::LyingSupine | Support::SeatedBackSupported)
            && v.load_position == LoadPosition::HandsFrontRack
            && load > LAIN_DOWN_WITH;
        let on_body = match v.load_position {
            LoadPosition::UpperBack => load > OVER_HEAD,
            LoadPosition::FrontShoulders => load > CLEANED,
            _ => false,
        };
        for (i, alternative) in v.equipment.iter().enumerate() {
            let benched = on_bench && holds(alternative, BENCHES) && !holds(alternative, &[HANDED]);
            if (on_body || benched) && holds(alternative, BARS) && !holds(alternative, HOLDERS) {
                let found = format!("{:?} for a bar of {load:.2} body masses", alternative.join(" + "));
                let hint = "add a rack, or another holder of the bar, to the alternative".to_string();
                out.push(e.problem(&format!("/equipment/{i}"), "rack-for-bar", found, hint));
            }
        }
    }
}

/// Greatest weight of a muscle that is no prime mover.
const STRONG: f64 = 0.75;

pub(super) fn muscle_step(c: &Context<'_>, out: &mut Vec<Problem>) {
    for e in &c.draft.exercises {
        for (muscle, weight) in e.value.muscles.iter().filter(|(_, w)| **w > STRONG && **w < 1.0) {
            let hint = format!("make it 1 for a prime mover, or at most {STRONG}");
            out.push(e.problem(&format!("/muscles/{muscle}"), "muscle-step", format!("weight {weight}"), hint));
        }
    }
}

/// Weight from which a muscle counts as working hard.
const WORKS: f64 = 0.5;

/// Weight of a helper.
const HELPS: f64 = 0.25;

/// Reports `muscle` when it weighs less than a helper.
fn must_help(
    c: &Context<'_>,
    e: &Placed<raw::Exercise>,
    rule: &'static str,
    muscle: &str,
    why: &str,
    out: &mut Vec<Problem>,
) {
    let weight = e.value.muscles.get(muscle).copied().unwrap_or(0.0);
    if c.has_muscle(muscle) && weight < HELPS {
        let hint = format!("weigh it {HELPS} or more, or mend the other figure");
        out.push(e.problem(&format!("/muscles/{muscle}"), rule, format!("{muscle} at {weight} {why}"), hint));
    }
}

pub(super) fn elbow_pair(c: &Context<'_>, out: &mut Vec<Problem>) {
    for e in c.draft.exercises.iter().filter(|e| is_training(e.value.role)) {
        if e.value.muscles.get("biceps").is_some_and(|w| *w >= WORKS) {
            must_help(c, e, "elbow-pair", "brachialis-brachioradialis", "beside a working biceps", out);
        }
    }
}

/// Compression and shear of the low back from which its muscles are at work.
const SHEARED: u8 = 2;

pub(super) fn shear_erectors(c: &Context<'_>, out: &mut Vec<Problem>) {
    for e in &c.draft.exercises {
        let least = graded(&e.value, "low-back", "shear").min(graded(&e.value, "low-back", "compression"));
        if least >= SHEARED {
            let why = format!("with low-back shear and compression {least}");
            must_help(c, e, "shear-erectors", "lumbar-erectors", &why, out);
        }
    }
}

/// Grade from which a stretched or fast hamstring is one that works, where the legs do the lift.
const STRAINED: u8 = 2;

/// The same where the legs only hold a bend (rows) or are stretched by the lift (leg raises).
const STRAINED_HOLDING: u8 = 3;

/// Tops of the pattern tree under which the legs do the work.
const LEG_TOPS: &[&str] = &["lower-body", "whole-body"];

pub(super) fn strained_muscle(c: &Context<'_>, out: &mut Vec<Problem>) {
    for e in &c.draft.exercises {
        let v = &e.value;
        let legs = LEG_TOPS.contains(&c.top_pattern(&v.pattern));
        let long = graded(v, "hamstring", "lengthened_load");
        let fast = graded(v, "hamstring", "high_speed");
        let least = if legs { STRAINED } else { STRAINED_HOLDING };
        if c.has_muscle("hamstrings") && !v.muscles.contains_key("hamstrings") && (long >= least || fast >= STRAINED) {
            let found = format!("no hamstrings, with lengthened_load {long} and high_speed {fast}");
            let hint = "weigh the hamstrings, or mend the grade".to_string();
            out.push(e.problem("/muscles", "strained-muscle", found, hint));
        }
        let working = v.muscles.get("hip-adductors").copied().unwrap_or(0.0);
        let groin = v.joints.get("groin").is_some_and(|by| by.values().any(|grade| *grade > 0));
        if working >= WORKS && !groin && c.grades("groin", "adductor_load") {
            let found = format!("no groin grade, with hip-adductors at {working}");
            let hint = "grade adductor_load 1 or more, or mend the weight".to_string();
            out.push(e.problem("/joints", "strained-muscle", found, hint));
        }
    }
}

pub(super) fn kit_redundant(c: &Context<'_>, out: &mut Vec<Problem>) {
    for e in &c.draft.exercises {
        let sets: Vec<BTreeSet<&str>> =
            e.value.equipment.iter().map(|a| a.iter().map(String::as_str).collect()).collect();
        for (i, large) in sets.iter().enumerate() {
            let whole = |(j, small): &(usize, &BTreeSet<&str>)| {
                let other = small.len() < large.len() || *j < i;
                other && !small.is_empty() && small.is_subset(large) && !other_carrier(small, large)
            };
            if let Some((_, small)) = sets.iter().enumerate().find(whole) {
                let said = |set: &BTreeSet<&str>| set.iter().copied().collect::<Vec<_>>().join(" + ");
                let found = format!("{:?} holds all of {:?}", said(large), said(small));
                let hint = "take it out, and put what it has more under optional".to_string();
                out.push(e.problem(&format!("/equipment/{i}"), "kit-redundant", found, hint));
            }
        }
        for (i, item) in e.value.optional.iter().enumerate() {
            if !sets.is_empty() && sets.iter().all(|set| set.contains(item.as_str())) {
                let found = format!("{item:?} is in every alternative");
                let hint = "take it out of optional".to_string();
                out.push(e.problem(&format!("/optional/{i}"), "kit-redundant", found, hint));
            }
        }
    }
}

/// Whether `large` hangs on a bar what `small` holds in the hands: more weight goes on it, so it is
/// another set-up.
fn other_carrier(small: &BTreeSet<&str>, large: &BTreeSet<&str>) -> bool {
    let carries = |set: &BTreeSet<&str>| set.iter().any(|q| PLATE_CARRIERS.contains(q));
    small.contains("plates") && !carries(small) && carries(large)
}

/// Names of kit that also name a movement, a position of the hands or a shape, so that an alias
/// that holds one says nothing of kit: the rack position, the sled of a leg press, the bicycle
/// crunch, a bar between the feet of a gymnast.
const OTHERWISE: &[&str] = &[
    "bar",
    "bench",
    "bicycle",
    "bike",
    "box",
    "chair",
    "lat pulldown",
    "leg press",
    "none",
    "pendulum",
    "rack",
    "reverse hyper",
    "seated curl",
    "sled",
    "weight",
];

pub(super) fn alias_kit(c: &Context<'_>, out: &mut Vec<Problem>) {
    let mut named: BTreeMap<Vec<String>, HashSet<&str>> = BTreeMap::new();
    let words = |name: &str| expand(name).split(' ').map(str::to_string).collect::<Vec<_>>();
    for q in c.equipment.values() {
        let spoken = q.id.replace('-', " ");
        for name in [&spoken, &q.name].into_iter().chain(&q.aliases) {
            let name = words(name);
            if !OTHERWISE.contains(&name.join(" ").as_str()) {
                named.entry(name).or_default().insert(&q.id);
            }
        }
    }
    let longest = named.keys().map(Vec::len).max().unwrap_or(0);
    for e in &c.draft.exercises {
        let v = &e.value;
        let has = closure(c, v.equipment.iter().flatten().chain(&v.optional).map(String::as_str));
        let aliases = v.aliases.iter().enumerate().map(|(i, a)| (format!("/aliases/{i}"), a));
        for (step, alias) in aliases.chain([("/name".to_string(), &v.name)]) {
            let said = words(alias);
            let mut rest = said.as_slice();
            while !rest.is_empty() {
                // The longest name counts: "trap bar" is no straight bar.
                let hit = (1..=longest.min(rest.len())).rev().find_map(|n| {
                    let name = rest.get(..n)?;
                    Some((n, name, named.get(name)?))
                });
                if let Some((_, name, items)) = hit.filter(|(_, _, items)| items.is_disjoint(&has)) {
                    let mut items: Vec<&str> = items.iter().copied().collect();
                    items.sort_unstable();
                    let found = format!("{alias:?} names {:?}, which the kit lacks", name.join(" "));
                    let hint = format!("add {} to the kit or to optional, or mend the name", items.join(" or "));
                    out.push(e.problem(&step, "alias-kit", found, hint));
                }
                rest = rest.get(hit.map_or(1, |(n, _, _)| n)..).unwrap_or_default();
            }
        }
    }
}

/// For each exercise, those a step harder by its own word or by theirs.
fn ladder<'a>(c: &Context<'a>) -> HashMap<&'a str, BTreeSet<&'a str>> {
    let mut above: HashMap<&str, BTreeSet<&str>> = HashMap::new();
    for e in &c.draft.exercises {
        for harder in &e.value.harder {
            above.entry(&e.value.id).or_default().insert(harder);
        }
        for easier in &e.value.easier {
            above.entry(easier).or_default().insert(&e.value.id);
        }
    }
    above
}

pub(super) fn ladder_cycle(c: &Context<'_>, out: &mut Vec<Problem>) {
    let above = ladder(c);
    for e in &c.draft.exercises {
        let start = e.value.id.as_str();
        // Breadth first, so that the ring told is a shortest one.
        let mut from: HashMap<&str, &str> = HashMap::new();
        let mut reached = vec![start];
        let mut next = 0;
        while let Some(at) = reached.get(next).copied() {
            next += 1;
            for step in above.get(at).into_iter().flatten().copied() {
                if !from.contains_key(step) {
                    from.insert(step, at);
                    reached.push(step);
                }
            }
        }
        // An exercise that names itself is reported under ref-exercise.
        let Some(last) = from.get(start).copied().filter(|last| *last != start) else { continue };
        let mut ring = vec![start, last];
        while let Some(before) = ring.last().and_then(|at| from.get(at)).copied() {
            ring.push(before);
            if before == start {
                break;
            }
        }
        ring.reverse();
        let found = format!("from easier to harder: {}", ring.join(" > "));
        out.push(e.problem("", "ladder-cycle", found, "take one link of the ring out".to_string()));
    }
}

/// Steps of skill by which a link may go the wrong way: an easier exercise may ask a little more
/// skill where it asks less strength, as a push-up beside a machine press.
const SKILL_AGAINST: u8 = 1;

pub(super) fn ladder_skill(c: &Context<'_>, out: &mut Vec<Problem>) {
    for e in &c.draft.exercises {
        let own = e.value.skill;
        for (field, list) in [("easier", &e.value.easier), ("harder", &e.value.harder)] {
            for (i, id) in list.iter().enumerate() {
                let Some(other) = c.exercises.get(id.as_str()).map(|o| o.value.skill) else { continue };
                let against = if field == "easier" { other.saturating_sub(own) } else { own.saturating_sub(other) };
                if against > SKILL_AGAINST {
                    let found = format!("{field} {id:?} asks skill {other}, this one {own}");
                    let hint = "take the link out, or mend one of the skills".to_string();
                    out.push(e.problem(&format!("/{field}/{i}"), "ladder-skill", found, hint));
                }
            }
        }
    }
}
