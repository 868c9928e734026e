//! The rules a base must keep, one table; all that is broken is reported at once.
//!
//! Leans on the draft's placed records. Leaves to others: reading ([`super::draft`], which
//! reports under the rules whose function here does nothing) and dense tables ([`super::table`]).

mod agree;
pub mod catalogue;
pub mod week;

use std::collections::{BTreeMap, BTreeSet, HashMap, HashSet};

use super::draft::{Draft, Placed, nearest_hint, nearest_word_hint};
use super::fold::fold;
use super::model::{self, Estimated, ModelError};
use super::problem::{Problem, Severity, escape};
use super::raw::{self, CUES, LONGEST_CUE, LONGEST_NAME, LoadCount, LoadPosition, Role, SpineClass, Support};
use crate::mechanics::anthropometry::Body;
use crate::units::{Bound, bounds};

/// One rule: its id, what it asks, and the function that finds what breaks it.
pub struct Rule {
    /// Plain id, printed in reports.
    pub id: &'static str,
    /// Error or warning.
    pub severity: Severity,
    /// What the rule asks, in one line.
    pub asks: &'static str,
    find: fn(&Context<'_>, &mut Vec<Problem>),
}

macro_rules! rules {
    ($($severity:ident $id:literal $($find:ident)::+ $asks:literal;)*) => {
        /// Every rule, in the order of reports.
        pub const RULES: &[Rule] = &[$(Rule { id: $id, severity: Severity::$severity, asks: $asks, find: $($find)::+ }),*];
    };
}

rules! {
    Error "json-syntax" while_reading "every file is JSON and holds one object";
    Error "file-known" while_reading "every file has a place in the format";
    Error "file-missing" while_reading "base.json, ranking.json, cautions.json, loads.json, week.json and catalogue.json are there";
    Error "record-shape" while_reading "every record has the fields and words of its kind, and no others";
    Error "id-unique" while_reading "an id stands once in its kind";
    Error "hide-known" while_reading "an overlay hides only what is there";
    Error "like-known" while_reading "like names an exercise";
    Error "like-cycle" while_reading "like never leads back to itself";
    Warning "repeated" while_reading "a record says only what the record it is like does not";
    Error "format" format "the base is written in a format this program reads";
    Error "id-form" id_form "an id is lower-case words and numbers joined by hyphens (aggravators: underscores)";
    Error "ref-pattern" ref_pattern "patterns named are in the taxonomy, and exercises stand at leaves";
    Error "ref-muscle" ref_muscle "muscles named are in the taxonomy";
    Error "ref-region" ref_region "regions named are in the taxonomy";
    Error "ref-aggravator" ref_aggravator "aggravators named are in the closed list of their region";
    Error "ref-equipment" ref_equipment "kit named is in the taxonomy";
    Error "ref-exercise" ref_exercise "exercises named as parent, easier, harder, anchor, carry-over or stand-in are in the base";
    Error "ref-posture" ref_posture "postures named are in the taxonomy";
    Error "ref-anchor" ref_anchor "anchors named are in the taxonomy";
    Error "ref-caution" ref_caution "cautions named are written";
    Error "pattern-cycle" pattern_cycle "the pattern tree has no cycle";
    Error "kit-cycle" kit_cycle "provides and depends-on never lead back to the item";
    Error "parent-cycle" parent_cycle "a variation never descends from itself";
    Error "ladder-cycle" agree::ladder_cycle "easier and harder steps, taken together, never lead back to the exercise";
    Warning "ladder-skill" agree::ladder_skill "an easier step asks at most one more of skill, a harder one at most one less";
    Error "bounds" in_bounds "every number keeps its bound";
    Error "set-range" set_range "the low end of a set range is not above its high end";
    Error "carry-over-order" carry_order "a carry-over's ratio lies between its low and its high";
    Error "carry-over-self" carry_self "a carry-over leads from one lift to another";
    Error "carry-over-twice" carry_twice "two lifts have one carry-over, not one each way";
    Error "carry-over-counted" carry_counted "a carry-over counts each load as the lift's own record does, or as a pair for each hand";
    Error "carry-over-equation" carry_equation "a carry-over's equation gives a load above 0 over its whole range, for 1 to 10 repetitions";
    Error "carry-over-load" carry_load "a carry-over's lifts are done for repetitions with a load";
    Error "body-share-order" body_share_order "a share of body mass lies between its low and its high";
    Error "prime-mover" prime_mover "an exercise has a prime mover (weight 1)";
    Error "muscle-step" agree::muscle_step "a muscle weighs 1, or at most 0.75";
    Error "elbow-pair" agree::elbow_pair "where the biceps works (0.5), the outer arm helps (0.25)";
    Error "shear-erectors" agree::shear_erectors "low-back shear and compression of 2 ask for the low-back muscles (0.25)";
    Error "strained-muscle" agree::strained_muscle "a strained hamstring is a muscle listed; working inner thighs (0.5) grade the groin";
    Error "kit-empty" kit_empty "an exercise has at least one kit alternative, none of them empty";
    Error "kit-redundant" agree::kit_redundant "no kit alternative holds another one whole, and nothing optional is in all of them";
    Error "rack-for-bar" agree::rack_for_bar "a heavy bar that starts on the shoulders or over a bench has a rack or another holder";
    Error "alias-clash" alias_clash "a folded name belongs to one exercise only";
    Error "basis-missing" basis_missing "every figure names a source id, memory or practice";
    Warning "source-unused" source_unused "every source is named by a figure";
    Error "exercise-unreachable" unreachable "some gym of the base, or its whole kit list, can do the exercise";
    Error "pattern-low-spine" pattern_low_spine "every pattern with loaded work has a choice of spine class none or low";
    Error "gym-kit" gym_kit "a gym's items are known, and what they depend on is there";
    Error "gym-stock" gym_stock "a gym's listed weights are masses above 0 of kit it has, and agree with its greatest and total masses";
    Warning "gym-sense" catalogue::gym_sense "a gym does not contradict itself: a bar over a bench can be caught, kit fits ceiling and floor, ratings bear the stock";
    Error "catalogue-whole" catalogue::whole "the catalogue sells every kind of kit that is not of the household, names known kit, patterns and regions, and has ranges in order";
    Error "loads-complete" loads_complete "the chart, the bands, the first sessions and the pain bands are whole and in order";
    Error "week-complete" week::complete "every rule of the audit of a week has its limits, every tier and spine class its record, and ends are in order";
    Error "tier-once" week::tier_once "an exercise is in one tier of spine load";
    Error "ranking-terms" ranking_terms "the ranking weighs every term once for every aim, and has a cap for every level";
    Error "cautions-complete" cautions_complete "every urgency has an action, every sore region a caution";
    Error "cue-form" cue_form "an exercise has two or three cues of at most 60 characters";
    Error "name-length" name_length "a name shown fits a narrow terminal (48 characters)";
    Error "stand-in" stand_in "a stand-in says what it is made of, how it is set up, what to beware of and what for";
    Error "stand-in-cycle" stand_in_cycle "what stands in for an item is never made of the item";
    Error "helps-role" helps_role "prehab and decompression, and no other role, name the regions that they help";
    Error "spine-compression" spine_compression "the low back's compression grade is the step of the spine class";
    Error "spine-model" spine_model "a spine class is computed, or set within a step of the computed one, or says why not";
    Warning "balance" balance "the heavy free load of a two-foot lift stays over the middle of the foot";
    Error "overhead-shoulder" overhead_shoulder "a load overhead grades the shoulder's overhead elevation at least 2";
    Error "press-overhead" agree::press_overhead "half the overhead press or more overhead grades the shoulder's overhead elevation at least 3";
    Error "held-grip" agree::held_grip "a load of a tenth of the body or more in the hands grades the wrist's grip";
    Error "hang-grades" agree::hang_grades "the whole body hanging from the hands grades shoulder traction and grip at least 2";
    Error "back-load" agree::back_load "a load on the upper back grades upper back and neck; on the front shoulders, the upper back";
    Error "kneeling-knee" kneeling_knee "kneeling grades the knee's kneeling pressure";
    Error "instead-form" instead_form "an exercise's stand-ins are others of its kind, each named once";
    Error "instead-eases" instead_eases "a stand-in named for a sore region loads it no more than the exercise does";
    Warning "alias-kit" agree::alias_kit "kit that a name speaks of is in an alternative or optional";
    Warning "set-apart" set_apart "an exercise is tied to another as variation, easier or harder step";
}

/// Terms a ranking weighs; [`crate::rank`] scores them under these names.
pub const TERM_NAMES: &[&str] = &[
    "muscles",
    "instead",
    "pattern",
    "relief",
    "spine",
    "loadable",
    "aim",
    "length",
    "familiar",
    "usual",
    "freshness",
];

/// What every rule may look things up in.
pub struct Context<'a> {
    draft: &'a Draft,
    exercises: HashMap<&'a str, &'a Placed<raw::Exercise>>,
    equipment: HashMap<&'a str, &'a raw::Equipment>,
    postures: HashMap<&'a str, &'a raw::Posture>,
    anchors: HashMap<&'a str, &'a raw::Anchor>,
    man: Option<Body>,
}

impl<'a> Context<'a> {
    fn new(draft: &'a Draft) -> Self {
        Self {
            draft,
            exercises: draft.exercises.iter().map(|e| (e.value.id.as_str(), e)).collect(),
            equipment: draft.equipment.iter().map(|e| (e.value.id.as_str(), &e.value)).collect(),
            postures: draft.postures.iter().map(|p| (p.value.id.as_str(), &p.value)).collect(),
            anchors: draft.anchors.iter().map(|a| (a.value.id.as_str(), &a.value)).collect(),
            man: model::reference_man().ok(),
        }
    }

    /// The estimate at a typical working load; absent where posture or anchor is unknown.
    fn at_work(&self, e: &raw::Exercise) -> Option<Result<Estimated<'a>, ModelError>> {
        let shared = self.postures.get(e.posture.like.as_str())?;
        let anchor = self.anchors.get(e.typical_load.anchor.as_str())?;
        Some(model::at_work(shared, anchor, e, self.man.as_ref()?))
    }

    /// How the load of an exercise is counted beside another's.
    fn count(&self, e: &raw::Exercise) -> LoadCount {
        let anchor = self.anchors.get(e.typical_load.anchor.as_str()).and_then(|a| a.exercise.as_deref());
        let lift = anchor.and_then(|id| self.exercises.get(id));
        let on_body = e.typical_load.anchor == raw::BODY_ANCHOR
            || lift.is_some_and(|l| l.value.typical_load.counted == raw::Counted::Body);
        LoadCount::of(e.typical_load.counted, on_body)
    }

    /// The spine class that counts.
    fn class(&self, e: &raw::Exercise) -> Option<SpineClass> {
        model::class(e, self.at_work(e).and_then(Result::ok).as_ref())
    }
}

/// Everything that is wrong with a draft, errors and warnings, in order of file and pointer.
#[must_use]
pub fn check(draft: &Draft) -> Vec<Problem> {
    let context = Context::new(draft);
    let mut problems = Vec::new();
    for rule in RULES {
        let before = problems.len();
        (rule.find)(&context, &mut problems);
        for problem in problems.iter_mut().skip(before) {
            problem.severity = rule.severity;
        }
    }
    problems
}

fn while_reading(_: &Context<'_>, _: &mut Vec<Problem>) {}

fn format(c: &Context<'_>, out: &mut Vec<Problem>) {
    if let Some(base) = &c.draft.base
        && base.value.format != super::FORMAT
    {
        let found = format!("format {}", base.value.format);
        out.push(base.problem("/format", "format", found, format!("this program reads format {}", super::FORMAT)));
    }
}

fn is_id(id: &str, join: char) -> bool {
    !id.is_empty()
        && id.split(join).all(|w| !w.is_empty() && w.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit()))
}

fn id_form(c: &Context<'_>, out: &mut Vec<Problem>) {
    fn each<T>(list: &[Placed<T>], id: impl Fn(&T) -> &str, out: &mut Vec<Problem>) {
        for p in list.iter().filter(|p| !is_id(id(&p.value), '-')) {
            let given = id(&p.value);
            let plain = fold(given).replace(' ', "-");
            out.push(p.problem("/id", "id-form", format!("id {given:?}"), format!("write {plain:?}")));
        }
    }
    let d = c.draft;
    each(&d.patterns, |r| &r.id, out);
    each(&d.muscles, |r| &r.id, out);
    each(&d.regions, |r| &r.id, out);
    each(&d.equipment, |r| &r.id, out);
    each(&d.body_shares, |r| &r.id, out);
    each(&d.anchors, |r| &r.id, out);
    each(&d.postures, |r| &r.id, out);
    each(&d.gyms, |r| &r.id, out);
    each(&d.sources, |r| &r.id, out);
    each(&d.instead, |r| &r.id, out);
    each(&d.exercises, |r| &r.id, out);
    for region in &d.regions {
        for (i, a) in region.value.aggravators.iter().enumerate().filter(|(_, a)| !is_id(&a.id, '_')) {
            let plain = fold(&a.id).replace(' ', "_");
            let step = format!("/aggravators/{i}/id");
            out.push(region.problem(&step, "id-form", format!("id {:?}", a.id), format!("write {plain:?}")));
        }
    }
}

/// A word for a thing, and the thing's id.
type Word<'a> = (&'a str, &'a str);

/// What a record is called: its id first.
fn words<'a>(id: &'a str, name: &'a str, aliases: &'a [String]) -> impl Iterator<Item = Word<'a>> + Clone {
    [id, name].into_iter().chain(aliases.iter().map(String::as_str)).map(move |word| (word, id))
}

/// Ids that have no other words.
fn plain<'a>(ids: impl Iterator<Item = &'a str> + Clone) -> impl Iterator<Item = Word<'a>> + Clone {
    ids.map(|id| (id, id))
}

/// Reports `given` under `rule` unless it is an id that `known` holds; a name or alias leads to its id.
fn must_be<'a, T>(
    p: &Placed<T>,
    step: &str,
    rule: &'static str,
    given: &str,
    known: impl Iterator<Item = Word<'a>> + Clone,
    out: &mut Vec<Problem>,
) {
    if !known.clone().any(|(_, id)| id == given) {
        let what = match rule {
            "ref-equipment" | "gym-kit" => "kit",
            "catalogue-whole" => "such thing",
            "ranking-terms" => "term",
            "week-complete" => "rule of the audit",
            rule => rule.strip_prefix("ref-").unwrap_or("record"),
        };
        let hint = nearest_word_hint(given, known);
        out.push(p.problem(step, rule, format!("no {what} called {given:?}"), hint));
    }
}

fn ref_pattern(c: &Context<'_>, out: &mut Vec<Problem>) {
    let every = || c.draft.patterns.iter().map(|p| &p.value);
    let ids = || every().flat_map(|p| words(&p.id, &p.name, &p.aliases));
    let leaves = || every().filter(|p| p.leaf).flat_map(|p| words(&p.id, &p.name, &p.aliases));
    for p in &c.draft.patterns {
        if let Some(parent) = &p.value.parent {
            must_be(p, "/parent", "ref-pattern", parent, ids(), out);
        }
    }
    if let Some(p) = &c.draft.loads {
        for pattern in p.value.best_by.keys() {
            must_be(p, &format!("/best_by/{pattern}"), "ref-pattern", pattern, ids(), out);
        }
    }
    if let Some(p) = &c.draft.week {
        for (step, pattern) in week::patterns(&p.value) {
            must_be(p, &step, "ref-pattern", pattern, ids(), out);
        }
    }
    for e in &c.draft.exercises {
        must_be(e, "/pattern", "ref-pattern", &e.value.pattern, leaves(), out);
        for (i, also) in e.value.also_patterns.iter().enumerate() {
            must_be(e, &format!("/also_patterns/{i}"), "ref-pattern", also, leaves(), out);
        }
    }
}

fn ref_muscle(c: &Context<'_>, out: &mut Vec<Problem>) {
    for e in &c.draft.exercises {
        for muscle in e.value.muscles.keys() {
            let ids = c.draft.muscles.iter().flat_map(|m| words(&m.value.id, &m.value.name, &m.value.aliases));
            must_be(e, &format!("/muscles/{}", escape(muscle)), "ref-muscle", muscle, ids, out);
        }
    }
    for r in &c.draft.regions {
        for (i, muscle) in r.value.own_muscles.iter().enumerate() {
            let ids = c.draft.muscles.iter().flat_map(|m| words(&m.value.id, &m.value.name, &m.value.aliases));
            must_be(r, &format!("/own_muscles/{i}"), "ref-muscle", muscle, ids, out);
        }
    }
    if let Some(p) = &c.draft.week {
        for (step, muscle) in week::muscles(&p.value) {
            let ids = c.draft.muscles.iter().flat_map(|m| words(&m.value.id, &m.value.name, &m.value.aliases));
            must_be(p, &step, "ref-muscle", muscle, ids, out);
        }
    }
}

fn ref_region(c: &Context<'_>, out: &mut Vec<Problem>) {
    let ids = || c.draft.regions.iter().flat_map(|r| words(&r.value.id, &r.value.name, &r.value.aliases));
    for e in &c.draft.exercises {
        for region in e.value.joints.keys() {
            must_be(e, &format!("/joints/{}", escape(region)), "ref-region", region, ids(), out);
        }
        for (i, region) in e.value.helps.iter().enumerate() {
            must_be(e, &format!("/helps/{i}"), "ref-region", region, ids(), out);
        }
    }
    for p in &c.draft.instead {
        for region in p.value.sore.keys() {
            must_be(p, &format!("/sore/{}", escape(region)), "ref-region", region, ids(), out);
        }
    }
    if let Some(cautions) = &c.draft.cautions {
        for region in cautions.value.with_region.keys() {
            must_be(cautions, &format!("/with_region/{}", escape(region)), "ref-region", region, ids(), out);
        }
    }
}

fn ref_aggravator(c: &Context<'_>, out: &mut Vec<Problem>) {
    for e in &c.draft.exercises {
        for (region, by) in &e.value.joints {
            let Some(r) = c.draft.regions.iter().find(|r| r.value.id == *region) else { continue };
            for token in by.keys() {
                let ids = plain(r.value.aggravators.iter().map(|a| a.id.as_str()));
                must_be(e, &format!("/joints/{}/{}", escape(region), escape(token)), "ref-aggravator", token, ids, out);
            }
        }
    }
}

fn kit_words<'a>(c: &Context<'a>) -> impl Iterator<Item = Word<'a>> + Clone {
    c.draft.equipment.iter().flat_map(|q| words(&q.value.id, &q.value.name, &q.value.aliases))
}

fn ref_equipment(c: &Context<'_>, out: &mut Vec<Problem>) {
    let ids = || kit_words(c);
    for e in &c.draft.exercises {
        for (i, alternative) in e.value.equipment.iter().enumerate() {
            for (j, item) in alternative.iter().enumerate() {
                must_be(e, &format!("/equipment/{i}/{j}"), "ref-equipment", item, ids(), out);
            }
        }
        for (i, item) in e.value.optional.iter().enumerate() {
            must_be(e, &format!("/optional/{i}"), "ref-equipment", item, ids(), out);
        }
    }
    for q in &c.draft.equipment {
        for (i, item) in q.value.provides.iter().enumerate() {
            must_be(q, &format!("/provides/{i}"), "ref-equipment", item, ids(), out);
        }
        for (i, item) in q.value.depends_on.iter().enumerate() {
            must_be(q, &format!("/depends_on/{i}"), "ref-equipment", item, ids(), out);
        }
        for (i, s) in q.value.stand_ins.iter().enumerate() {
            for (j, item) in s.items.iter().enumerate() {
                must_be(q, &format!("/stand_ins/{i}/items/{j}"), "ref-equipment", item, ids(), out);
            }
        }
    }
}

fn ref_exercise(c: &Context<'_>, out: &mut Vec<Problem>) {
    fn named<T>(c: &Context<'_>, p: &Placed<T>, step: &str, id: &str, out: &mut Vec<Problem>) {
        // Thousands of references, nearly all of them good: words are gathered for the bad ones.
        if !c.exercises.contains_key(id) {
            let known = c.draft.exercises.iter().flat_map(|e| words(&e.value.id, &e.value.name, &e.value.aliases));
            must_be(p, step, "ref-exercise", id, known, out);
        }
    }
    for e in &c.draft.exercises {
        let v = &e.value;
        let parent = v.parent.iter().map(|id| ("/parent".to_string(), id));
        let easier = v.easier.iter().enumerate().map(|(i, id)| (format!("/easier/{i}"), id));
        let harder = v.harder.iter().enumerate().map(|(i, id)| (format!("/harder/{i}"), id));
        for (step, id) in parent.chain(easier).chain(harder) {
            named(c, e, &step, id, out);
            if v.id == *id {
                out.push(e.problem(&step, "ref-exercise", format!("{id:?} names itself"), "name another".to_string()));
            }
        }
    }
    for a in &c.draft.anchors {
        if let Some(id) = &a.value.exercise {
            named(c, a, "/exercise", id, out);
        }
    }
    for p in &c.draft.patterns {
        let Some(typical) = &p.value.typical else { continue };
        let own = |e: &&Placed<raw::Exercise>| e.value.pattern == p.value.id;
        let of_pattern = c.draft.exercises.iter().filter(own).map(|e| e.value.id.as_str());
        must_be(p, "/typical", "ref-exercise", typical, plain(of_pattern), out);
    }
    for p in &c.draft.carryover {
        named(c, p, "/from", &p.value.from, out);
        named(c, p, "/to", &p.value.to, out);
    }
    if let Some(p) = &c.draft.loads {
        for (i, line) in p.value.lines.iter().enumerate() {
            named(c, p, &format!("/lines/{i}/exercise"), &line.exercise, out);
        }
    }
    if let Some(p) = &c.draft.week {
        for (step, id) in week::exercises(&p.value) {
            named(c, p, &step, id, out);
        }
    }
    for p in &c.draft.instead {
        named(c, p, "/id", &p.value.id, out);
        for (region, list) in p.value.lists() {
            for (place, id) in list.iter().enumerate() {
                named(c, p, &raw::instead_pointer(region, place), id, out);
            }
        }
    }
    for p in &c.draft.body_shares {
        named(c, p, "/exercise", &p.value.exercise, out);
    }
}

fn ref_posture(c: &Context<'_>, out: &mut Vec<Problem>) {
    for e in &c.draft.exercises {
        let ids = c.draft.postures.iter().flat_map(|p| words(&p.value.id, &p.value.name, &[]));
        must_be(e, "/posture/as", "ref-posture", &e.value.posture.like, ids, out);
    }
}

fn ref_anchor(c: &Context<'_>, out: &mut Vec<Problem>) {
    if let Some(p) = &c.draft.loads {
        for (i, ceiling) in p.value.ceilings.iter().enumerate() {
            let ids = plain(c.draft.anchors.iter().map(|p| p.value.id.as_str()));
            must_be(p, &format!("/ceilings/{i}/anchor"), "ref-anchor", &ceiling.anchor, ids, out);
        }
    }
    for e in &c.draft.exercises {
        let ids = plain(c.draft.anchors.iter().map(|p| p.value.id.as_str()));
        must_be(e, "/typical_load/anchor", "ref-anchor", &e.value.typical_load.anchor, ids, out);
    }
}

fn ref_caution(c: &Context<'_>, out: &mut Vec<Problem>) {
    let Some(cautions) = &c.draft.cautions else { return };
    for e in &c.draft.exercises {
        for (i, id) in e.value.cautions.iter().enumerate() {
            let ids = plain(cautions.value.with_exercise.iter().map(|x| x.id.as_str()));
            must_be(e, &format!("/cautions/{i}"), "ref-caution", id, ids, out);
        }
    }
}

/// Reports each node from which `next` leads back to the node itself.
fn cycles<'a, T>(
    list: &'a [Placed<T>],
    step: &str,
    rule: &'static str,
    id: impl Fn(&'a T) -> &'a str,
    next: impl Fn(&'a T) -> Vec<&'a str>,
    out: &mut Vec<Problem>,
) {
    let by_id: HashMap<&str, &Placed<T>> = list.iter().map(|p| (id(&p.value), p)).collect();
    for p in list {
        let start = id(&p.value);
        let mut seen = HashSet::new();
        let mut open: Vec<&str> = next(&p.value);
        while let Some(at) = open.pop() {
            if at == start {
                let hint = "take one link of the ring out".to_string();
                out.push(p.problem(step, rule, format!("{start:?} leads back to itself"), hint));
                break;
            }
            if seen.insert(at)
                && let Some(p) = by_id.get(at)
            {
                open.extend(next(&p.value));
            }
        }
    }
}

fn pattern_cycle(c: &Context<'_>, out: &mut Vec<Problem>) {
    cycles(
        &c.draft.patterns,
        "/parent",
        "pattern-cycle",
        |p| &p.id,
        |p| p.parent.as_deref().into_iter().collect(),
        out,
    );
}

fn kit_cycle(c: &Context<'_>, out: &mut Vec<Problem>) {
    cycles(
        &c.draft.equipment,
        "/provides",
        "kit-cycle",
        |q| &q.id,
        |q| q.provides.iter().map(String::as_str).collect(),
        out,
    );
    cycles(
        &c.draft.equipment,
        "/depends_on",
        "kit-cycle",
        |q| &q.id,
        |q| q.depends_on.iter().map(String::as_str).collect(),
        out,
    );
}

fn parent_cycle(c: &Context<'_>, out: &mut Vec<Problem>) {
    cycles(
        &c.draft.exercises,
        "/parent",
        "parent-cycle",
        |e| &e.id,
        |e| e.parent.as_deref().into_iter().collect(),
        out,
    );
}

fn in_bounds(c: &Context<'_>, out: &mut Vec<Problem>) {
    fn keep<T>(p: &Placed<T>, step: &str, bound: Bound, value: f64, out: &mut Vec<Problem>) {
        if let Err(e) = bound.check(value) {
            let [min, max, near] = [bound.min, bound.max, value.clamp(bound.min, bound.max)].map(crate::units::trim);
            let hint = format!("keep it from {min} to {max}; the nearest is {near}");
            out.push(p.problem(step, "bounds", e.to_string(), hint));
        }
    }
    for e in &c.draft.exercises {
        let x = &e.value;
        for (muscle, weight) in &x.muscles {
            keep(e, &format!("/muscles/{muscle}"), bounds::MUSCLE_WEIGHT, *weight, out);
        }
        for (region, by) in &x.joints {
            for (token, grade) in by {
                keep(e, &format!("/joints/{region}/{token}"), bounds::JOINT_GRADE, f64::from(*grade), out);
            }
        }
        keep(e, "/skill", bounds::SKILL, f64::from(x.skill), out);
        keep(e, "/usual", bounds::USUAL, f64::from(x.usual), out);
        keep(e, "/typical_load/share", bounds::LOAD_SHARE, x.typical_load.share, out);
        keep(e, "/reps/low", bounds::REPETITIONS, f64::from(x.reps.low), out);
        keep(e, "/reps/high", bounds::REPETITIONS, f64::from(x.reps.high), out);
        if let Some(headroom) = x.headroom_m {
            keep(e, "/headroom_m", bounds::HEADROOM, headroom, out);
        }
        if let Some(angle) = x.posture.trunk_deg {
            keep(e, "/posture/trunk_deg", bounds::TRUNK_ANGLE, angle, out);
        }
        if let Some(angle) = x.posture.knee_deg {
            keep(e, "/posture/knee_deg", bounds::KNEE_ANGLE, angle, out);
        }
    }
    for p in &c.draft.postures {
        if let Some(angle) = p.value.trunk_deg {
            keep(p, "/trunk_deg", bounds::TRUNK_ANGLE, angle, out);
        }
        if let Some(angle) = p.value.knee_deg {
            keep(p, "/knee_deg", bounds::KNEE_ANGLE, angle, out);
        }
    }
    for p in &c.draft.carryover {
        let v = &p.value;
        let measured = v.measured.iter().enumerate().map(|(i, m)| (format!("/measured/{i}/ratio"), m.ratio));
        let own = [("/ratio", v.ratio), ("/low", v.low), ("/high", v.high)].map(|(step, r)| (step.to_string(), r));
        for (step, ratio) in own.into_iter().chain(v.women.map(|r| ("/women".to_string(), r))).chain(measured) {
            keep(p, &step, bounds::CARRY_OVER, ratio, out);
        }
        for (i, e) in v.equations.iter().enumerate() {
            keep(p, &format!("/equations/{i}/least_kg"), bounds::LOAD, e.least_kg, out);
            keep(p, &format!("/equations/{i}/most_kg"), bounds::LOAD, e.most_kg, out);
        }
    }
    if let Some(p) = &c.draft.catalogue {
        for (step, bound, value) in catalogue::numbers(&p.value) {
            keep(p, &step, bound, value, out);
        }
    }
    if let Some(p) = &c.draft.week {
        let v = &p.value;
        keep(p, "/hard/most_reserve", bounds::RESERVE, v.hard.most_reserve, out);
        keep(p, "/hard/assumed_reserve", bounds::RESERVE, v.hard.assumed_reserve, out);
        keep(p, "/deload/reserve_more", bounds::RESERVE, v.deload.reserve_more, out);
    }
    for p in &c.draft.body_shares {
        keep(p, "/share", bounds::BODY_SHARE, p.value.share, out);
    }
    for g in &c.draft.gyms {
        if let Some(ceiling) = g.value.ceiling_m {
            keep(g, "/ceiling_m", bounds::CEILING, ceiling, out);
        }
        let optional = [
            ("/floor_use_m2", bounds::FLOOR, g.value.floor_use_m2),
            ("/floor_stored_m2", bounds::FLOOR, g.value.floor_stored_m2),
            ("/body_height_m", bounds::HEIGHT, g.value.body_height_m),
        ];
        for (step, bound, value) in optional.into_iter().filter_map(|(step, bound, v)| Some((step, bound, v?))) {
            keep(g, step, bound, value, out);
        }
        for (item, rated) in &g.value.rated_kg {
            keep(g, &format!("/rated_kg/{}", escape(item)), bounds::STOCK, *rated, out);
        }
    }
    for q in &c.draft.equipment {
        for (i, s) in q.value.stand_ins.iter().enumerate() {
            if let Some(load) = s.most_load_kg {
                keep(q, &format!("/stand_ins/{i}/most_load_kg"), bounds::LOAD, load, out);
            }
        }
    }
    if let Some(r) = &c.draft.ranking {
        for (aim, weights) in &r.value.weights {
            for (term, weight) in weights {
                keep(r, &format!("/weights/{aim}/{term}"), bounds::TERM_WEIGHT, *weight, out);
            }
        }
    }
}

fn set_range(c: &Context<'_>, out: &mut Vec<Problem>) {
    for e in c.draft.exercises.iter().filter(|e| e.value.reps.low > e.value.reps.high) {
        let found = format!("{} to {}", e.value.reps.low, e.value.reps.high);
        out.push(e.problem("/reps", "set-range", found, "put the smaller number in low".to_string()));
    }
}

fn carry_order(c: &Context<'_>, out: &mut Vec<Problem>) {
    for p in &c.draft.carryover {
        let v = &p.value;
        let typical = [("/ratio", Some(v.ratio)), ("/women", v.women)];
        for (step, ratio) in typical.into_iter().filter_map(|(step, r)| Some((step, r?))) {
            if !(v.low > 0.0 && v.low <= ratio && ratio <= v.high) {
                let found = format!("{ratio} in {} to {}", v.low, v.high);
                out.push(p.problem(step, "carry-over-order", found, "low <= ratio <= high, all above 0".to_string()));
            }
        }
    }
}

fn carry_self(c: &Context<'_>, out: &mut Vec<Problem>) {
    for p in c.draft.carryover.iter().filter(|p| p.value.from == p.value.to) {
        let hint = "name another lift, or take the pair out".to_string();
        out.push(p.problem("/to", "carry-over-self", format!("{:?} to itself", p.value.to), hint));
    }
}

fn carry_twice(c: &Context<'_>, out: &mut Vec<Problem>) {
    let mut seen = HashSet::new();
    for p in &c.draft.carryover {
        let (from, to) = (p.value.from.as_str(), p.value.to.as_str());
        // The same way round a second time is reported under id-unique.
        if !seen.insert((from.min(to), from.max(to))) {
            let hint = "keep one of the two; the other way round follows from it".to_string();
            out.push(p.problem("", "carry-over-twice", format!("{from:?} and {to:?} a second time"), hint));
        }
    }
}

fn carry_counted(c: &Context<'_>, out: &mut Vec<Problem>) {
    for p in &c.draft.carryover {
        let v = &p.value;
        for (step, id, given) in [("/counted_from", &v.from, v.counted_from), ("/counted", &v.to, v.counted)] {
            let Some(e) = c.exercises.get(id.as_str()) else { continue };
            let own = c.count(&e.value);
            if given.factor_to(own).is_none() {
                let found = format!("{given} for {id:?}, whose record counts {own}");
                let hint = format!("count it {own}, or mend counted in its typical_load");
                out.push(p.problem(step, "carry-over-counted", found, hint));
            }
        }
    }
}

fn carry_equation(c: &Context<'_>, out: &mut Vec<Problem>) {
    for p in &c.draft.carryover {
        for (i, e) in p.value.equations.iter().enumerate() {
            if let Some(found) = line_fault(e) {
                out.push(p.problem(&format!("/equations/{i}"), "carry-over-equation", found, LINE_HINT.to_string()));
            }
        }
    }
}

const LINE_HINT: &str = "narrow least_kg to most_kg until the line rises above 0 all along; 1 to 10 repetitions";

/// What makes a line useless, if anything does.
fn line_fault(e: &raw::LoadEquation) -> Option<String> {
    let at = |load: f64| e.slope * load + e.intercept_kg;
    let (least, most) = (at(e.least_kg), at(e.most_kg));
    if !(1..=10).contains(&e.repetitions) {
        Some(format!("{} repetitions", e.repetitions))
    } else if !e.error_kg.is_none_or(|kg| kg > 0.0) {
        Some("a standard error that is not above 0".to_string())
    } else if !(e.least_kg > 0.0 && e.least_kg < e.most_kg) {
        Some(format!("used from {} to {} kg", e.least_kg, e.most_kg))
    } else if !(e.slope > 0.0 && least > 0.0 && most > 0.0) {
        Some(format!("{least:.1} kg at {} kg, {most:.1} kg at {} kg", e.least_kg, e.most_kg))
    } else {
        None
    }
}

fn carry_load(c: &Context<'_>, out: &mut Vec<Problem>) {
    for p in &c.draft.carryover {
        for (step, id) in [("/from", &p.value.from), ("/to", &p.value.to)] {
            let Some(e) = c.exercises.get(id.as_str()) else { continue };
            let found = if e.value.reps.unit == raw::SetUnit::Seconds {
                format!("{id:?} is counted in seconds")
            } else if e.value.typical_load.share <= 0.0 {
                format!("{id:?} has no typical load")
            } else {
                continue;
            };
            out.push(p.problem(step, "carry-over-load", found, "name a lift with a load and repetitions".to_string()));
        }
    }
}

fn body_share_order(c: &Context<'_>, out: &mut Vec<Problem>) {
    for p in &c.draft.body_shares {
        let v = &p.value;
        let (low, high) = (v.low.unwrap_or(v.share), v.high.unwrap_or(v.share));
        if !(low > 0.0 && low <= v.share && v.share <= high) {
            let found = format!("{} in {low} to {high}", v.share);
            out.push(p.problem("/share", "body-share-order", found, "low <= share <= high, all above 0".to_string()));
        }
    }
}

fn prime_mover(c: &Context<'_>, out: &mut Vec<Problem>) {
    for e in c.draft.exercises.iter().filter(|e| !e.value.muscles.values().any(|w| *w >= 1.0)) {
        let most = e.value.muscles.iter().max_by(|a, b| a.1.total_cmp(b.1));
        let found = most.map_or("no muscle".to_string(), |(m, w)| format!("greatest weight {w} for {m:?}"));
        out.push(e.problem("/muscles", "prime-mover", found, "give the main muscle weight 1".to_string()));
    }
}

fn kit_empty(c: &Context<'_>, out: &mut Vec<Problem>) {
    for e in &c.draft.exercises {
        if e.value.equipment.is_empty() || e.value.equipment.iter().any(Vec::is_empty) {
            let hint = "name the items, or [\"floor\"] where nothing is needed".to_string();
            out.push(e.problem("/equipment", "kit-empty", "an empty alternative".to_string(), hint));
        }
    }
}

fn alias_clash(c: &Context<'_>, out: &mut Vec<Problem>) {
    let mut owner: BTreeMap<String, &Placed<raw::Exercise>> = BTreeMap::new();
    for e in &c.draft.exercises {
        let names = [("/id".to_string(), &e.value.id), ("/name".to_string(), &e.value.name)];
        let aliases = e.value.aliases.iter().enumerate().map(|(i, a)| (format!("/aliases/{i}"), a));
        for (step, name) in names.into_iter().chain(aliases) {
            match owner.insert(fold(name), e) {
                Some(first) if first.value.id != e.value.id => {
                    let Placed { value, file, pointer } = first;
                    let found = format!("{name:?} also names {:?}, {file} {pointer}", value.id);
                    let hint = "keep it with one of the two; take it out or change it in the other".to_string();
                    out.push(e.problem(&step, "alias-clash", found, hint));
                }
                _ => {}
            }
        }
    }
}

fn instead_form(c: &Context<'_>, out: &mut Vec<Problem>) {
    for p in &c.draft.instead {
        let own = c.exercises.get(p.value.id.as_str());
        for (region, list) in p.value.lists() {
            let mut seen = HashSet::new();
            for (place, id) in list.iter().enumerate() {
                let mut wrong = |found: String, hint: &str| {
                    out.push(p.problem(&raw::instead_pointer(region, place), "instead-form", found, hint.to_string()));
                };
                if *id == p.value.id {
                    wrong(format!("{id:?} stands in for itself"), "name another exercise");
                } else if !seen.insert(id) {
                    wrong(format!("{id:?} a second time"), "keep the first");
                }
                if let (Some(own), Some(other)) = (own, c.exercises.get(id.as_str()))
                    && is_training(own.value.role) != is_training(other.value.role)
                {
                    let found = format!("{id:?} is {} work, the exercise {}", other.value.role, own.value.role);
                    wrong(found, "training stands in for training only, light work for light work");
                }
            }
        }
    }
}

fn instead_eases(c: &Context<'_>, out: &mut Vec<Problem>) {
    let load =
        |e: &raw::Exercise, region: &str| e.joints.get(region).and_then(|by| by.values().max().copied()).unwrap_or(0);
    for p in &c.draft.instead {
        let Some(own) = c.exercises.get(p.value.id.as_str()) else { continue };
        for (region, list) in &p.value.sore {
            for (place, id) in list.iter().enumerate() {
                let Some(other) = c.exercises.get(id.as_str()) else { continue };
                let (before, after) = (load(&own.value, region), load(&other.value, region));
                if after > before {
                    let found = format!("{id:?} grades the {region} {after}, {:?} {before}", p.value.id);
                    let hint = "grade one of the two anew, or take it out here".to_string();
                    out.push(p.problem(&raw::instead_pointer(Some(region), place), "instead-eases", found, hint));
                }
            }
        }
    }
}

/// Basis words that are no source ids.
pub const PLAIN_BASIS: &[&str] = &["memory", "practice"];

/// What an exercise's `basis` must speak for.
const BASIS_OF: &[&str] = &["joints", "muscles", "reps", "skill", "usual"];

fn bases<'a>(c: &Context<'a>) -> Vec<(String, String, String, &'a str)> {
    // (file, pointer, what, basis)
    let mut all = Vec::new();
    fn each<'a, T>(
        list: &'a [Placed<T>],
        step: &str,
        basis: impl Fn(&'a T) -> &'a str,
        all: &mut Vec<(String, String, String, &'a str)>,
    ) {
        for p in list {
            all.push((p.file.clone(), format!("{}{step}", p.pointer), String::new(), basis(&p.value)));
        }
    }
    let d = c.draft;
    each(&d.regions, "/basis", |r| &r.basis, &mut all);
    each(&d.anchors, "/basis", |r| &r.basis, &mut all);
    each(&d.postures, "/basis", |r| &r.basis, &mut all);
    each(&d.carryover, "/basis", |r| &r.basis, &mut all);
    each(&d.instead, "/basis", |r| &r.basis, &mut all);
    each(&d.body_shares, "/basis", |r| &r.basis, &mut all);
    each(&d.exercises, "/typical_load/basis", |r| &r.typical_load.basis, &mut all);
    each(d.ranking.as_slice(), "/basis", |r| &r.basis, &mut all);
    for e in &d.exercises {
        if let Some(spine) = &e.value.spine {
            all.push((e.file.clone(), format!("{}/spine/basis", e.pointer), String::new(), &spine.basis));
        }
        for (what, basis) in &e.value.basis {
            all.push((e.file.clone(), format!("{}/basis/{what}", e.pointer), what.clone(), basis));
        }
    }
    if let Some(p) = &d.loads {
        let at = |step: String| format!("{}{step}", p.pointer);
        let v = &p.value;
        let chart = v.chart.iter().enumerate().map(|(i, x)| (format!("/chart/{i}/basis"), &x.basis));
        let lines = v.lines.iter().enumerate().map(|(i, x)| (format!("/lines/{i}/line/basis"), &x.line.basis));
        let situations = v.situations.iter().enumerate().map(|(i, x)| (format!("/situations/{i}/basis"), &x.basis));
        let pain = v.pain.iter().enumerate().map(|(i, x)| (format!("/pain/{i}/basis"), &x.basis));
        let ceilings = v.ceilings.iter().enumerate().map(|(i, x)| (format!("/ceilings/{i}/basis"), &x.basis));
        let own = [("/basis".to_string(), &v.basis)];
        for (step, basis) in chart.chain(lines).chain(ceilings).chain(situations).chain(pain).chain(own) {
            all.push((p.file.clone(), at(step), String::new(), basis));
        }
    }
    if let Some(p) = &d.catalogue {
        for (step, basis) in catalogue::bases(&p.value) {
            all.push((p.file.clone(), format!("{}{step}", p.pointer), String::new(), basis));
        }
    }
    if let Some(p) = &d.week {
        for (step, basis) in week::bases(&p.value) {
            all.push((p.file.clone(), format!("{}{step}", p.pointer), String::new(), basis));
        }
    }
    for p in &d.carryover {
        let measured = p.value.measured.iter().map(|m| &m.basis).enumerate();
        let lines = p.value.equations.iter().map(|e| &e.basis).enumerate();
        for (i, basis) in measured {
            all.push((p.file.clone(), format!("{}/measured/{i}/basis", p.pointer), String::new(), basis));
        }
        for (i, basis) in lines {
            all.push((p.file.clone(), format!("{}/equations/{i}/basis", p.pointer), String::new(), basis));
        }
    }
    for q in &d.equipment {
        for (i, s) in q.value.stand_ins.iter().enumerate() {
            all.push((q.file.clone(), format!("{}/stand_ins/{i}/basis", q.pointer), String::new(), &s.basis));
        }
    }
    if let Some(p) = &d.cautions {
        let v = &p.value;
        let lists = [("always", &v.always), ("with_exercise", &v.with_exercise)];
        for (list, cautions) in lists {
            for (i, x) in cautions.iter().enumerate() {
                all.push((p.file.clone(), format!("/{list}/{i}/basis"), String::new(), &x.basis));
            }
        }
        for (region, x) in &v.with_region {
            all.push((p.file.clone(), format!("/with_region/{region}/basis"), String::new(), &x.basis));
        }
        for (i, x) in v.signs.iter().enumerate() {
            all.push((p.file.clone(), format!("/signs/{i}/basis"), String::new(), &x.basis));
        }
    }
    all
}

fn basis_missing(c: &Context<'_>, out: &mut Vec<Problem>) {
    let known: BTreeSet<&str> =
        c.draft.sources.iter().map(|s| s.value.id.as_str()).chain(PLAIN_BASIS.iter().copied()).collect();
    for (file, pointer, _, basis) in bases(c) {
        if !known.contains(basis) {
            out.push(Problem {
                file,
                pointer,
                rule: "basis-missing",
                severity: Severity::Error,
                found: format!("{basis:?}"),
                hint: nearest_hint(basis, known.iter().copied()),
            });
        }
    }
    for e in &c.draft.exercises {
        for what in BASIS_OF.iter().filter(|w| !e.value.basis.contains_key(**w)) {
            let hint = format!("add \"{what}\": a source id, \"memory\" or \"practice\"");
            out.push(e.problem("/basis", "basis-missing", format!("no basis of {what}"), hint));
        }
    }
}

fn source_unused(c: &Context<'_>, out: &mut Vec<Problem>) {
    let used: HashSet<&str> = bases(c).into_iter().map(|(_, _, _, basis)| basis).collect();
    for s in c.draft.sources.iter().filter(|s| !used.contains(s.value.id.as_str())) {
        let hint = "name it where its figures stand, or take it out".to_string();
        out.push(s.problem("", "source-unused", format!("source {:?}", s.value.id), hint));
    }
}

/// The items of a list with all that they provide, closed.
fn closure<'a>(c: &Context<'a>, items: impl Iterator<Item = &'a str>) -> HashSet<&'a str> {
    let mut has: HashSet<&str> = HashSet::new();
    let mut open: Vec<&str> = items.chain(c.equipment.values().filter(|q| q.baseline).map(|q| q.id.as_str())).collect();
    while let Some(item) = open.pop() {
        if has.insert(item)
            && let Some(q) = c.equipment.get(item)
        {
            open.extend(q.provides.iter().map(String::as_str));
        }
    }
    has
}

fn unreachable(c: &Context<'_>, out: &mut Vec<Problem>) {
    let gyms: Vec<HashSet<&str>> =
        c.draft.gyms.iter().map(|g| closure(c, g.value.items.iter().map(String::as_str))).collect();
    for e in &c.draft.exercises {
        let possible =
            gyms.iter().any(|has| e.value.equipment.iter().any(|alt| alt.iter().all(|i| has.contains(i.as_str()))));
        if !possible && !e.value.equipment.is_empty() {
            let kit: Vec<String> = e.value.equipment.iter().map(|alt| alt.join("+")).collect();
            let found = format!("no gym of the base has {}", kit.join(" or "));
            out.push(e.problem(
                "/equipment",
                "exercise-unreachable",
                found,
                "mend the kit or give a gym the item".to_string(),
            ));
        }
    }
}

/// Whether a role is training that can stand in for other training.
#[must_use]
pub fn is_training(role: Role) -> bool {
    !matches!(role, Role::Prehab | Role::Decompression)
}

fn pattern_low_spine(c: &Context<'_>, out: &mut Vec<Problem>) {
    for p in c.draft.patterns.iter().filter(|p| p.value.leaf) {
        let mut here = c.draft.exercises.iter().filter(|e| e.value.pattern == p.value.id).peekable();
        if here.peek().is_some() && !here.any(|e| c.class(&e.value).is_none_or(|class| class <= SpineClass::Low)) {
            let found = format!("pattern {:?} has no exercise of spine class none or low", p.value.id);
            out.push(p.problem("", "pattern-low-spine", found, "add a supported or lighter choice".to_string()));
        }
    }
}

fn gym_kit(c: &Context<'_>, out: &mut Vec<Problem>) {
    for g in &c.draft.gyms {
        let has = closure(c, g.value.items.iter().map(String::as_str));
        for (i, item) in g.value.items.iter().enumerate() {
            let step = format!("/items/{i}");
            let Some(q) = c.equipment.get(item.as_str()) else {
                must_be(g, &step, "gym-kit", item, kit_words(c), out);
                continue;
            };
            for need in q.depends_on.iter().filter(|n| !has.contains(n.as_str())) {
                let found = format!("{item:?} without {need:?}");
                out.push(g.problem(&step, "gym-kit", found, format!("add {need:?} or take {item:?} out")));
            }
        }
    }
}

fn gym_stock(c: &Context<'_>, out: &mut Vec<Problem>) {
    for g in &c.draft.gyms {
        for (step, fault) in super::stock::faults(&g.value) {
            let hint = "list masses above 0 and rising, of kit among the items, as many as the totals say".to_string();
            out.push(g.problem(&format!("/stock{step}"), "gym-stock", fault, hint));
        }
    }
}

fn loads_complete(c: &Context<'_>, out: &mut Vec<Problem>) {
    let Some(p) = &c.draft.loads else { return };
    let v = &p.value;
    let mut wrong = |step: String, found: String, hint: &str| {
        out.push(p.problem(&step, "loads-complete", found, hint.to_string()));
    };
    let counted = v.chart.iter().zip(1u8..).all(|(x, n)| x.repetitions == n);
    if !counted || v.chart.len() != usize::from(v.refuse_above) || v.warn_above > v.refuse_above {
        let found = format!("{} points, refuse_above {}", v.chart.len(), v.refuse_above);
        wrong("/chart".to_string(), found, "one point for each repetition from 1 to refuse_above");
    }
    if v.chart.first().is_some_and(|x| x.percent != 100.0) {
        wrong("/chart/0/percent".to_string(), "not 100".to_string(), "a best is 100 per cent of itself");
    }
    for (i, (before, after)) in v.chart.iter().zip(v.chart.iter().skip(1)).enumerate() {
        if !(after.percent > 0.0 && after.percent < before.percent) {
            let found = format!("{} after {}", after.percent, before.percent);
            wrong(format!("/chart/{}/percent", i + 1), found, "let the share fall with every repetition");
        }
    }
    let rising = |list: &[f64]| list.iter().zip(list.iter().skip(1)).all(|(a, b)| a < b);
    let ends: Vec<f64> = v.bands.iter().map(|b| f64::from(b.up_to)).collect();
    if !rising(&ends) || v.bands.last().is_none_or(|b| b.up_to < v.refuse_above) {
        wrong("/bands".to_string(), format!("up to {ends:?}"), "rising, the last not below refuse_above");
    }
    for (i, _) in v.bands.iter().enumerate().filter(|(_, b)| !(b.share > 0.0 && b.share < 1.0)) {
        wrong(format!("/bands/{i}/share"), "outside 0 to 1".to_string(), "a share of the best, between 0 and 1");
    }
    for (i, fault) in v.lines.iter().enumerate().filter_map(|(i, l)| Some((i, line_fault(&l.line)?))) {
        wrong(format!("/lines/{i}/line"), fault, LINE_HINT);
    }
    for (i, x) in v.ceilings.iter().enumerate().filter(|(_, x)| !(x.men_bm > 0.0 && x.women_bm > 0.0)) {
        wrong(format!("/ceilings/{i}"), format!("{} and {}", x.men_bm, x.women_bm), "body masses above 0");
    }
    for situation in raw::Situation::ALL.iter().filter(|s| !v.situations.iter().any(|x| x.situation == **s)) {
        wrong("/situations".to_string(), format!("no {situation}"), "say how each situation begins");
    }
    for (i, x) in v.situations.iter().enumerate() {
        let factors = x.low > 0.0 && x.low <= x.high && x.high <= 1.0;
        let reserve = x.reserve_low >= 0.0 && x.reserve_low <= x.reserve_high;
        let weeks = x.weeks.is_some() == (x.situation == raw::Situation::TimeOff);
        if !(factors && reserve && weeks) {
            let found = format!("{} {} to {}", x.situation, x.low, x.high);
            wrong(format!("/situations/{i}"), found, "0 < low <= high <= 1; reserve in order; weeks for time off only");
        }
    }
    let weeks: Vec<f64> = v.situations.iter().filter_map(|x| x.weeks).map(f64::from).collect();
    if !rising(&weeks) {
        wrong("/situations".to_string(), format!("weeks {weeks:?}"), "let weeks off rise");
    }
    let pain: Vec<f64> = v.pain.iter().map(|b| b.up_to).collect();
    if pain.is_empty() || !rising(&pain) || pain.iter().any(|p| bounds::PAIN.check(*p).is_err()) {
        wrong("/pain".to_string(), format!("up to {pain:?}"), "rising, from 0 to 10");
    }
    for (i, b) in v.pain.iter().enumerate().filter(|(_, b)| !(b.low > 0.0 && b.low <= b.high && b.high <= 1.0)) {
        wrong(format!("/pain/{i}"), format!("{} to {}", b.low, b.high), "0 < low <= high <= 1");
    }
}

fn ranking_terms(c: &Context<'_>, out: &mut Vec<Problem>) {
    let Some(r) = &c.draft.ranking else { return };
    for aim in raw::Aim::ALL {
        let Some(weights) = r.value.weights.get(aim) else {
            let hint = "add weights for each of size, strength, power, general".to_string();
            out.push(r.problem("/weights", "ranking-terms", format!("no weights for {aim}"), hint));
            continue;
        };
        for term in TERM_NAMES.iter().filter(|t| !weights.contains_key(**t)) {
            let step = format!("/weights/{aim}");
            out.push(r.problem(&step, "ranking-terms", format!("no weight for {term:?}"), format!("add {term:?}")));
        }
        for term in weights.keys() {
            must_be(
                r,
                &format!("/weights/{aim}/{term}"),
                "ranking-terms",
                term,
                plain(TERM_NAMES.iter().copied()),
                out,
            );
        }
        if weights.values().sum::<f64>() <= 0.0 {
            let found = "weights that add up to nothing".to_string();
            out.push(r.problem(&format!("/weights/{aim}"), "ranking-terms", found, "weigh something".to_string()));
        }
    }
    if !(0.0..=1.0).contains(&r.value.holding_share) {
        let found = format!("share {}", r.value.holding_share);
        out.push(r.problem("/holding_share", "ranking-terms", found, "0 to 1".to_string()));
    }
    for level in missing_levels(&r.value.own_muscle_share) {
        let found = format!("no share for {level}");
        out.push(r.problem("/own_muscle_share", "ranking-terms", found, format!("add \"{level}\"")));
    }
    for (level, share) in r.value.own_muscle_share.iter().filter(|(_, s)| !(0.0..=1.0).contains(*s)) {
        let found = format!("share {share}");
        out.push(r.problem(&format!("/own_muscle_share/{level}"), "ranking-terms", found, "0 to 1".to_string()));
    }
    for (name, caps) in
        [("caps", &r.value.caps), ("named_caps", &r.value.named_caps), ("spine_caps", &r.value.spine_caps)]
    {
        for level in missing_levels(caps) {
            let step = format!("/{name}");
            out.push(r.problem(&step, "ranking-terms", format!("no cap for {level}"), format!("add \"{level}\"")));
        }
        // The agreed semantics: moderate and severe soreness always ask for less than the original.
        for (level, cap) in caps.iter().filter(|(l, cap)| **l != raw::Level::Mild && cap.below_original == 0) {
            let found = format!("below_original {} for {level}", cap.below_original);
            out.push(r.problem(
                &format!("/{name}/{level}"),
                "ranking-terms",
                found,
                "at least 1 below the original".to_string(),
            ));
        }
    }
}

/// Levels that `map` leaves out.
fn missing_levels<V>(map: &BTreeMap<raw::Level, V>) -> impl Iterator<Item = &'static raw::Level> {
    raw::Level::ALL.iter().filter(|l| !map.contains_key(l))
}

fn cautions_complete(c: &Context<'_>, out: &mut Vec<Problem>) {
    let Some(p) = &c.draft.cautions else { return };
    for urgency in raw::Urgency::ALL.iter().filter(|u| !p.value.actions.contains_key(u)) {
        out.push(p.problem(
            "/actions",
            "cautions-complete",
            format!("no action for {urgency}"),
            format!("add \"{urgency}\""),
        ));
    }
    for r in c.draft.regions.iter().filter(|r| !p.value.with_region.contains_key(&r.value.id)) {
        let found = format!("no caution for {:?}", r.value.id);
        out.push(p.problem("/with_region", "cautions-complete", found, format!("add \"{}\"", r.value.id)));
    }
    if !p.value.signs.iter().any(|s| s.urgency == raw::Urgency::Emergency) {
        let found = "no emergency sign".to_string();
        out.push(p.problem("/signs", "cautions-complete", found, "list the signs that stop all advice".to_string()));
    }
    if p.value.always.is_empty() {
        let found = "no caution that is always shown".to_string();
        out.push(p.problem("/always", "cautions-complete", found, "write at least one".to_string()));
    }
}

fn cue_form(c: &Context<'_>, out: &mut Vec<Problem>) {
    for e in &c.draft.exercises {
        let n = e.value.cues.len();
        if !(CUES.0..=CUES.1).contains(&n) {
            out.push(e.problem("/cues", "cue-form", format!("{n} cues"), "write two or three".to_string()));
        }
        for (i, cue) in e.value.cues.iter().enumerate().filter(|(_, cue)| cue.chars().count() > LONGEST_CUE) {
            let found = format!("{} characters", cue.chars().count());
            out.push(e.problem(
                &format!("/cues/{i}"),
                "cue-form",
                found,
                format!("keep a cue to {LONGEST_CUE} characters"),
            ));
        }
    }
}

fn name_length(c: &Context<'_>, out: &mut Vec<Problem>) {
    for e in c.draft.exercises.iter().filter(|e| e.value.name.chars().count() > LONGEST_NAME) {
        let found = format!("{} characters", e.value.name.chars().count());
        out.push(e.problem("/name", "name-length", found, "shorten it; keep the long form as an alias".to_string()));
    }
}

fn stand_in(c: &Context<'_>, out: &mut Vec<Problem>) {
    let roles = Role::ALL.iter().map(|r| r.word());
    let patterns = c.draft.patterns.iter().map(|p| p.value.id.as_str());
    let known: Vec<&str> = c.exercises.keys().copied().chain(patterns).chain(roles).collect();
    let is_blank = |text: &str| text.trim().is_empty();
    for q in &c.draft.equipment {
        for (i, s) in q.value.stand_ins.iter().enumerate() {
            let step = format!("/stand_ins/{i}");
            let mut empty = |field: &str, hint: &str| {
                let found = format!("{:?} of a stand-in is empty", field);
                out.push(q.problem(&format!("{step}/{field}"), "stand-in", found, hint.to_string()));
            };
            if is_blank(&s.how) {
                empty("how", "say how it is set up");
            }
            if is_blank(&s.caution) {
                empty("caution", "say what can go wrong and what to check");
            }
            if s.items.is_empty() && s.household.iter().all(|h| is_blank(h)) {
                empty("items", "name kit in items, or things of the household");
            }
            for (field, list) in [("only_for", &s.only_for), ("not_for", &s.not_for)] {
                for (j, id) in list.iter().enumerate() {
                    must_be(q, &format!("{step}/{field}/{j}"), "stand-in", id, plain(known.iter().copied()), out);
                }
            }
        }
    }
}

fn stand_in_cycle(c: &Context<'_>, out: &mut Vec<Problem>) {
    cycles(
        &c.draft.equipment,
        "/stand_ins",
        "stand-in-cycle",
        |q| &q.id,
        |q| q.stand_ins.iter().flat_map(|s| &s.items).map(String::as_str).collect(),
        out,
    );
}

fn helps_role(c: &Context<'_>, out: &mut Vec<Problem>) {
    for e in &c.draft.exercises {
        let (role, regions) = (e.value.role, e.value.helps.len());
        if is_training(role) && regions > 0 {
            let hint = "take it out; where it is inherited, write \"helps\": null".to_string();
            out.push(e.problem("/helps", "helps-role", format!("{role} work that helps {regions} regions"), hint));
        } else if !is_training(role) && regions == 0 {
            let hint = "name the sore regions that it is offered for".to_string();
            out.push(e.problem("/helps", "helps-role", format!("{role} work that helps no region"), hint));
        }
    }
}

fn graded(e: &raw::Exercise, region: &str, token: &str) -> u8 {
    e.joints.get(region).and_then(|by| by.get(token)).copied().unwrap_or(0)
}

fn spine_compression(c: &Context<'_>, out: &mut Vec<Problem>) {
    for e in &c.draft.exercises {
        // A record without any class is reported by spine-model.
        let Some(class) = c.class(&e.value) else { continue };
        let step = class.rank();
        let grade = graded(&e.value, "low-back", "compression");
        if grade != step {
            let found = format!("compression {grade} with spine class {class}");
            let hint = format!("make compression {step}, or mend the class");
            out.push(e.problem("/joints/low-back/compression", "spine-compression", found, hint));
        }
    }
}

fn spine_model(c: &Context<'_>, out: &mut Vec<Problem>) {
    for e in &c.draft.exercises {
        let computed = match c.at_work(&e.value) {
            Some(Ok(computed)) => computed,
            Some(Err(reason)) => {
                let hint = "mend the posture, here or where it is shared".to_string();
                out.push(e.problem("/posture", "spine-model", reason.to_string(), hint));
                continue;
            }
            // An unknown posture or anchor is reported under its own rule.
            None => continue,
        };
        let Some(own) = &e.value.spine else { continue };
        let apart = own.class.rank().abs_diff(computed.class().step());
        if apart > 1 && own.reason.as_deref().is_none_or(|r| r.trim().is_empty()) {
            let (class, bw) = (computed.class(), computed.body_weights);
            let found = format!("spine class {}, computed {} ({bw:.1} body weights)", own.class, class.word());
            let hint = "mend the posture or the class, or write the reason in spine/reason".to_string();
            out.push(e.problem("/spine/class", "spine-model", found, hint));
        }
    }
}

/// Heavy enough that balance decides where a load can be, as a share of body mass (practice).
const HEAVY: f64 = 0.5;

fn balance(c: &Context<'_>, out: &mut Vec<Problem>) {
    let Some(man) = &c.man else { return };
    for e in c.draft.exercises.iter().filter(|e| model::free_on_two_feet(&e.value)) {
        let Some(Ok(computed)) = c.at_work(&e.value) else { continue };
        let Some(posture) = computed.planar.filter(|_| computed.load.get() >= HEAVY * man.mass().get()) else {
            continue;
        };
        if computed.posture.off_foot.is_some() {
            continue;
        }
        if let Err(reason) = posture.check_load_over_foot(man, computed.load) {
            let hint = "mend trunk, knee or load of the posture, or write its reason in off_foot".to_string();
            out.push(e.problem("/posture", "balance", reason.to_string(), hint));
        }
    }
}

fn overhead_shoulder(c: &Context<'_>, out: &mut Vec<Problem>) {
    for e in &c.draft.exercises {
        let overhead = e.value.load_position == LoadPosition::HandsOverhead && is_training(e.value.role);
        let grade = graded(&e.value, "shoulder", "overhead_elevation");
        // A supine press "overhead" moves the arm in front of the chest, not above it.
        let lying = matches!(e.value.support, Support::LyingSupine | Support::LyingProne | Support::SideLying);
        if overhead && !lying && grade < 2 {
            let found = format!("overhead_elevation {grade} with the load overhead");
            let hint = "grade it 2 or more, or mend load_position".to_string();
            out.push(e.problem("/joints/shoulder/overhead_elevation", "overhead-shoulder", found, hint));
        }
    }
}

fn kneeling_knee(c: &Context<'_>, out: &mut Vec<Problem>) {
    for e in &c.draft.exercises {
        if e.value.support == Support::Kneeling && graded(&e.value, "knee", "kneeling_pressure") == 0 {
            let hint = "grade kneeling_pressure 1 or more".to_string();
            out.push(e.problem("/joints/knee", "kneeling-knee", "kneeling without a grade for it".to_string(), hint));
        }
    }
}

fn set_apart(c: &Context<'_>, out: &mut Vec<Problem>) {
    let mut tied: HashSet<&str> = HashSet::new();
    for e in &c.draft.exercises {
        let v = &e.value;
        for other in v.parent.iter().chain(&v.easier).chain(&v.harder) {
            tied.insert(other);
            tied.insert(&v.id);
        }
    }
    for e in c.draft.exercises.iter().filter(|e| !tied.contains(e.value.id.as_str())) {
        let hint = "give it a parent, or an easier or harder step".to_string();
        out.push(e.problem("", "set-apart", format!("{:?} is tied to no other", e.value.id), hint));
    }
}
