//! From a draft without errors to dense columns.
//!
//! Leans on [`super::check`] having passed: what a rule has proved is not asked again, and a
//! reference that still fails is left at zero rather than a panic. Leaves to others: using them.

use std::collections::HashMap;

use super::draft::{Draft, Placed};
use super::files::Files;
use super::fold::fold;
use super::lanes::Lanes;
use super::model;
use super::problem::{Problem, Severity};
use super::raw;
use super::table::{
    Carriers, Compiled, InsteadList, KitSet, LightWork, MOST_KIT, MUSCLE_STEP, Names, Row, RowId, StandIn, Table, Words,
};

/// Most exercises that a compiled base holds; far more than anybody curates.
const MOST_ROWS: usize = 1_000_000;

/// Compiles a checked draft: the columns, and the rich records one after the other.
///
/// # Errors
/// A problem when a list is longer than the columns hold, or a needed file is missing.
pub fn compile(draft: &Draft, layers: &[Files]) -> Result<(Compiled, Vec<u8>), Problem> {
    let missing = |file: &str| Problem {
        file: file.to_string(),
        pointer: String::new(),
        rule: "file-missing",
        severity: Severity::Error,
        found: "no such file".to_string(),
        hint: format!("a base needs {file}"),
    };
    let base = draft.base.as_ref().ok_or_else(|| missing("base.json"))?.value.clone();
    let ranking = draft.ranking.as_ref().ok_or_else(|| missing("ranking.json"))?.value.clone();
    let loads = draft.loads.as_ref().ok_or_else(|| missing("loads.json"))?.value.clone();
    let week = draft.week.as_ref().ok_or_else(|| missing("week.json"))?.value.clone();
    let catalogue = draft.catalogue.as_ref().ok_or_else(|| missing("catalogue.json"))?.value.clone();
    let cautions = draft.cautions.as_ref().ok_or_else(|| missing("cautions.json"))?.value.clone();
    for (file, what, count, most) in [
        ("taxonomy/equipment.json", "kinds of kit", draft.equipment.len(), MOST_KIT),
        ("taxonomy/muscles.json", "muscles", draft.muscles.len(), 64),
        ("taxonomy/patterns.json", "patterns", draft.patterns.len(), 250),
        ("taxonomy/regions.json", "regions", draft.regions.len(), 32),
        ("exercises", "exercises", draft.exercises.len(), MOST_ROWS),
    ] {
        if count > most {
            return Err(Problem {
                file: file.to_string(),
                pointer: String::new(),
                rule: "bounds",
                severity: Severity::Error,
                found: format!("{count} {what}"),
                hint: format!("a compiled base holds at most {most}"),
            });
        }
    }

    let patterns = values(&draft.patterns);
    let muscles = values(&draft.muscles);
    let regions = values(&draft.regions);
    let equipment = values(&draft.equipment);
    let anchors = values(&draft.anchors);
    let mut exercises: Vec<&raw::Exercise> = draft.exercises.iter().map(|p| &p.value).collect();

    let pattern_at = places(&patterns, |p| &p.id);
    let muscle_at = places(&muscles, |m| &m.id);
    let kit_at = places(&equipment, |q| &q.id);
    let region_at = places(&regions, |r| &r.id);
    let main_muscle = |e: &raw::Exercise| {
        let best = e.muscles.iter().max_by(|a, b| a.1.total_cmp(b.1).then(b.0.cmp(a.0)));
        best.and_then(|(m, _)| muscle_at.get(m.as_str())).copied().unwrap_or(0)
    };
    exercises.sort_by_cached_key(|e| {
        (pattern_at.get(e.pattern.as_str()).copied().unwrap_or(0), main_muscle(e), e.id.clone())
    });

    let mut aggravator_start = Vec::new();
    let mut aggravator_count = 0;
    for r in &regions {
        aggravator_start.push(u16::try_from(aggravator_count).unwrap_or(u16::MAX));
        aggravator_count += r.aggravators.len();
    }

    let bit = |id: &str| kit_at.get(id).map_or(0, |at| 1 << at);
    let direct: Vec<KitSet> =
        equipment.iter().map(|q| bit(&q.id) | q.provides.iter().fold(0, |set, id| set | bit(id))).collect();
    let mut provides = direct.clone();
    // Closing takes at most as many rounds as there are items.
    for _ in 0..equipment.len() {
        let before = provides.clone();
        for set in &mut provides {
            *set = (0..equipment.len())
                .filter(|i| *set >> i & 1 == 1)
                .fold(*set, |all, i| all | before.get(i).unwrap_or(&0));
        }
        if provides == before {
            break;
        }
    }

    let mut table = Table {
        muscle_count: muscles.len().next_multiple_of(MUSCLE_STEP),
        region_count: regions.len(),
        aggravator_count,
        ..Table::default()
    };
    let exercise_at = places(&exercises, |e| &e.id);
    let postures = values(&draft.postures);
    let anchor_at = places(&anchors, |a| &a.id);
    let posture_at = places(&postures, |p| &p.id);
    // Within its bounds by construction; without it every class would be the record's own.
    let man = model::reference_man().ok();
    let own_instead: HashMap<&str, &raw::Instead> =
        draft.instead.iter().map(|p| (p.value.id.as_str(), &p.value)).collect();
    let mut instead_ranges: HashMap<&str, (u32, u32)> = HashMap::new();
    for e in &exercises {
        let Some(own) = own_instead.get(e.id.as_str()) else { continue };
        let end = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
        let first_list = table.instead_lists.len();
        for (region, list) in own.lists().filter(|(_, list)| !list.is_empty()) {
            let region = match region {
                None => None,
                Some(id) => match regions.iter().position(|r| r.id == *id).map(u16::try_from) {
                    Some(Ok(at)) => Some(at),
                    _ => continue,
                },
            };
            let first = table.instead.len();
            let row = |id: &String| exercise_at.get(id.as_str()).and_then(|at| RowId::try_from(*at).ok());
            table.instead.extend(list.iter().filter_map(row));
            table.instead_lists.push(InsteadList { region, rows: (end(first), end(table.instead.len())) });
        }
        instead_ranges.insert(&e.id, (end(first_list), end(table.instead_lists.len())));
    }
    let mut names = Vec::new();
    let mut light = Vec::new();
    let mut records = Vec::new();
    let mut scratch = vec![0u8; LONGEST_RECORD];
    let mut record_ends = Vec::new();
    for (at, e) in exercises.iter().enumerate() {
        let at32 = RowId::try_from(at).unwrap_or(RowId::MAX);
        if let Some(first) = e.helps.first() {
            let helps = e.helps.iter().filter_map(|r| region_at.get(r.as_str())).fold(0, |set, at| set | 1 << at);
            light.push(LightWork { row: at32, helps, most: place8(&region_at, first) });
        }
        names.extend([&e.id, &e.name].into_iter().chain(&e.aliases).map(|name| (fold(name), at32)));

        let mut weights = vec![0u8; table.muscle_count];
        let mut keeps = 0u64;
        for (muscle, weight) in &e.muscles {
            if let Some(place) = muscle_at.get(muscle.as_str()) {
                if let Some(slot) = weights.get_mut(*place) {
                    *slot = hundredths(*weight);
                }
                if *weight >= ranking.prime_kept_weight {
                    keeps |= 1 << place;
                }
            }
        }
        let own_product = weights.iter().map(|w| u32::from(*w) * u32::from(*w)).sum();
        table.muscles.extend(weights);
        for r in &regions {
            let by = e.joints.get(&r.id);
            table.grades.push(by.and_then(|by| by.values().max()).copied().unwrap_or(0));
            table
                .aggravators
                .extend(r.aggravators.iter().map(|a| by.and_then(|by| by.get(&a.id)).copied().unwrap_or(0)));
        }
        let first_kit = table.kits.len();
        table.kits.extend(e.equipment.iter().map(|alt| alt.iter().fold(0, |set, id| set | bit(id))));
        let anchor = anchor_at.get(e.typical_load.anchor.as_str()).and_then(|i| anchors.get(*i));
        let shared = posture_at.get(e.posture.like.as_str()).and_then(|i| postures.get(*i));
        let computed = man.zip(shared).zip(anchor);
        let computed = computed.and_then(|((man, shared), anchor)| model::at_work(shared, anchor, e, &man).ok());
        let (instead, instead_of) = lineage(&exercises, &exercise_at, at)
            .find_map(|up| {
                let range = instead_ranges.get(exercises.get(up)?.id.as_str())?;
                Some((*range, RowId::try_from(up).ok()?))
            })
            .unwrap_or(((0, 0), at32));
        let class = model::class(e, computed.as_ref()).unwrap_or(raw::SpineClass::VeryHigh).rank();
        table.rows.push(Row {
            pattern: place8(&pattern_at, &e.pattern),
            // That a record without a class has a computed one is a rule of the check.
            spine: class,
            compression_bw: computed.as_ref().map_or(0.0, |c| c.body_weights as f32),
            spine_position: position(computed.as_ref().map(|c| c.body_weights), class),
            role: e.role,
            skill: e.skill,
            usual: e.usual,
            hard_at: e.hard_at,
            load_position: e.load_position,
            laterality: e.laterality,
            own_product,
            keeps,
            reps_low: e.reps.low,
            reps_high: e.reps.high,
            holds: e.reps.unit == raw::SetUnit::Seconds,
            counted: e.typical_load.counted,
            one_rm_bm: (anchor.map_or(0.0, |a| a.men_bm) * e.typical_load.share) as f32,
            demand_bm: demand(e, anchor.map_or(0.0, |a| a.men_bm)),
            headroom_cm: (e.headroom_m.unwrap_or(0.0) * 100.0).round() as u16,
            root: root(&exercises, &exercise_at, at),
            parent: e
                .parent
                .as_deref()
                .and_then(|p| exercise_at.get(p))
                .map_or(at32, |p| RowId::try_from(*p).unwrap_or(at32)),
            instead,
            instead_of,
            kits: (u32::try_from(first_kit).unwrap_or(0), u32::try_from(table.kits.len()).unwrap_or(0)),
        });
        // Encoding into memory fails for no record of these types.
        encode(e, &mut records, &mut scratch);
        record_ends.push(u32::try_from(records.len()).unwrap_or(u32::MAX));
    }

    let mut stand_ins = Vec::new();
    for (item, q) in equipment.iter().enumerate() {
        for (place, s) in q.stand_ins.iter().enumerate() {
            let serves = |e: &raw::Exercise| {
                let named = |list: &[String]| list.iter().any(|id| names_it(id, e, &patterns, &pattern_at));
                e.equipment.iter().flatten().any(|i| *i == q.id)
                    && (s.only_for.is_empty() || named(&s.only_for))
                    && !named(&s.not_for)
            };
            stand_ins.push(StandIn {
                item: u8::try_from(item).unwrap_or(u8::MAX),
                place: u8::try_from(place).unwrap_or(u8::MAX),
                needs: s.items.iter().fold(0, |set, id| set | bit(id)),
                most_load_kg: s.most_load_kg,
                rows: rows_where(&exercises, serves),
            });
        }
    }

    let words = Words {
        regions: taxonomy(regions.iter().map(|r| (vec![&r.id, &r.name], &r.aliases))),
        equipment: taxonomy(equipment.iter().map(|q| (vec![&q.id, &q.name], &q.aliases))),
        muscles: taxonomy(muscles.iter().map(|m| (vec![&m.id, &m.name, &m.anatomical], &m.aliases))),
        patterns: taxonomy(patterns.iter().map(|p| (vec![&p.id, &p.name], &p.aliases))),
    };
    let carriers = Carriers {
        dumbbells: bit("dumbbells"),
        kettlebells: bit("kettlebells"),
        sandbag: bit("sandbag"),
        plates: bit("plates"),
        barbell: bit("barbell"),
        plate_carriers: PLATE_CARRIERS.iter().fold(0, |set, id| set | bit(id)),
    };
    let anchor_of = exercises.iter().map(|e| place8(&anchor_at, &e.typical_load.anchor)).collect();
    let row = |id: &str| exercise_at.get(id).and_then(|at| RowId::try_from(*at).ok()).unwrap_or(0);
    let ids: Vec<String> = exercises.iter().map(|e| e.id.clone()).collect();
    let compiled = Compiled {
        lanes: Lanes::of(&table, muscles.len(), &ids, &equipment),
        words,
        carriers,
        base,
        stamp: stamp(layers),
        pattern_paths: (0..patterns.len()).map(|at| path(&patterns, &pattern_at, at)).collect(),
        own_muscles: regions
            .iter()
            .map(|r| r.own_muscles.iter().filter_map(|m| muscle_at.get(m.as_str())).fold(0, |set, at| set | 1 << at))
            .collect(),
        aggravator_start,
        depends_on: equipment.iter().map(|q| q.depends_on.iter().fold(0, |set, id| set | bit(id))).collect(),
        stand_ins,
        light,
        baseline: equipment.iter().filter(|q| q.baseline).fold(0, |set, q| set | bit(&q.id)),
        provides,
        patterns,
        muscles,
        regions,
        equipment,
        anchors,
        postures,
        gyms: values(&draft.gyms),
        sources: values(&draft.sources),
        cautions,
        carryover_rows: draft.carryover.iter().map(|p| (row(&p.value.from), row(&p.value.to))).collect(),
        carryover: values(&draft.carryover),
        loads,
        tiers: tiers(&week, &exercises, &exercise_at, &table),
        week,
        catalogue,
        body_shares: values(&draft.body_shares),
        anchor_of,
        anchor_share: exercises.iter().map(|e| e.typical_load.share).collect(),
        ranking,
        table,
        ids,
        names_shown: exercises.iter().map(|e| e.name.clone()).collect(),
        names: Names::build(names),
        record_ends,
    };
    Ok((compiled, records))
}

/// The coach's tier of every exercise: as named, or that of the nearest ancestor that is named and
/// of the same spine class, or by the class itself.
fn tiers(week: &raw::WeekFigures, exercises: &[&raw::Exercise], at: &HashMap<&str, usize>, table: &Table) -> Vec<u8> {
    let named: HashMap<&str, u8> =
        week.tiers.iter().flat_map(|t| t.exercises.iter().map(|id| (id.as_str(), t.tier))).collect();
    let class = |row: usize| table.rows.get(row).map_or(0, |r| r.spine);
    let of = |(row, e): (usize, &&raw::Exercise)| {
        let own = named.get(e.id.as_str()).copied();
        let alike = |up: usize| {
            let ancestor = exercises.get(up).filter(|_| class(up) == class(row) && up != row)?;
            named.get(ancestor.id.as_str()).copied()
        };
        let by_class = || {
            let found = week.tier_of_class.iter().find(|t| t.class.rank() == class(row));
            let free = e.support == raw::Support::Standing && !model::below_the_back(e);
            found.map_or(class(row).min(3), |t| if free { t.free } else { t.carried })
        };
        own.or_else(|| lineage(exercises, at, row).find_map(alike)).unwrap_or_else(by_class)
    };
    exercises.iter().enumerate().map(of).collect()
}

/// A fingerprint of the texts of all layers: 64-bit XXH3 over paths and texts in order, each
/// ended by a zero. It tells versions apart and is no defence against forgery.
#[must_use]
pub fn stamp(layers: &[Files]) -> String {
    let mut hash = xxhash_rust::xxh3::Xxh3::new();
    for (path, text) in layers.iter().flat_map(|l| &l.0) {
        for part in [path, text] {
            hash.update(part.as_bytes());
            hash.update(&[0]);
        }
    }
    format!("{:016x}", hash.digest())
}

/// Kit that carries plates; without any of it plates are held in the hands.
pub(super) const PLATE_CARRIERS: &[&str] = &[
    "barbell",
    "ez-bar",
    "trap-bar",
    "safety-squat-bar",
    "multi-grip-bar",
    "cambered-bar",
    "landmine",
    "loading-belt",
    "sled",
    "tib-bar",
    "neck-harness",
    "leg-press",
    "hack-squat-machine",
    "pendulum-squat-machine",
    "belt-squat-machine",
    "guided-bar",
    "reverse-hyper",
    "hip-thrust-machine",
    "row-machine",
    "calf-machine",
];

/// Folded names of a list: ids and names first, then aliases that are not yet taken.
fn taxonomy<'a>(list: impl Iterator<Item = (Vec<&'a String>, &'a Vec<String>)>) -> Names {
    let (mut first, mut then) = (Vec::new(), Vec::new());
    for (at, (own, aliases)) in list.enumerate() {
        let at = RowId::try_from(at).unwrap_or(RowId::MAX);
        first.extend(own.into_iter().map(|n| (fold(n), at)));
        then.extend(aliases.iter().map(|n| (fold(n), at)));
    }
    let known = Names::build(first.clone());
    first.extend(then.into_iter().filter(|(name, _)| known.find(name).is_none()));
    Names::build(first)
}

fn values<T: Clone>(placed: &[Placed<T>]) -> Vec<T> {
    placed.iter().map(|p| p.value.clone()).collect()
}

fn places<T>(list: &[T], id: impl Fn(&T) -> &str) -> HashMap<&str, usize> {
    list.iter().enumerate().map(|(i, r)| (id(r), i)).collect()
}

fn rows_where(exercises: &[&raw::Exercise], holds: impl Fn(&raw::Exercise) -> bool) -> Vec<RowId> {
    exercises.iter().enumerate().filter(|(_, e)| holds(e)).filter_map(|(at, _)| RowId::try_from(at).ok()).collect()
}

/// Whether an id names an exercise: by itself, by its role, or by a pattern that it stands in.
fn names_it(id: &str, e: &raw::Exercise, patterns: &[raw::Pattern], pattern_at: &HashMap<&str, usize>) -> bool {
    let is_here = |at: &u8| patterns.get(usize::from(*at)).is_some_and(|p| p.id == id);
    let above =
        || pattern_at.get(e.pattern.as_str()).is_some_and(|at| path(patterns, pattern_at, *at).iter().any(is_here));
    e.id == id || e.role.word() == id || above()
}

fn place8(at: &HashMap<&str, usize>, id: &str) -> u8 {
    at.get(id).and_then(|i| u8::try_from(*i).ok()).unwrap_or(0)
}

/// Where a compression in body weights stands on the scale of classes: the class step and how far
/// through the class, which is held to the class of the record. The top class has no upper cut;
/// twice the lower one stands for it (the highest published lifts are near it).
fn position(body_weights: Option<f64>, class: u8) -> f32 {
    let [none, low, moderate, high] = crate::mechanics::lumbar::CLASS_BODY_WEIGHTS;
    let (from, to) = match class {
        0 => (0.0, none),
        1 => (none, low),
        2 => (low, moderate),
        3 => (moderate, high),
        _ => (high, 2.0 * high),
    };
    let through = body_weights.map_or(0.5, |bw| ((bw - from) / (to - from)).clamp(0.0, 1.0));
    (f64::from(class) + through) as f32
}

/// Room for one encoded record, bytes; a longer one is encoded by itself.
const LONGEST_RECORD: usize = 16 * 1024;

/// Appends a record in the compact form.
fn encode(e: &raw::Exercise, records: &mut Vec<u8>, scratch: &mut [u8]) {
    match postcard::to_slice(e, scratch) {
        Ok(encoded) => records.extend_from_slice(encoded),
        Err(_) => records.extend(postcard::to_stdvec(e).unwrap_or_default()),
    }
}

/// Share of the body that legs carry in a squat, lunge or hinge on the feet: all but the shanks
/// and feet, and not all of that at full leverage (practice).
const BODY_ON_LEGS: f64 = 0.6;
/// Share of the body that the hips lift in a thrust or bridge (practice).
const BODY_ON_HIPS: f64 = 0.4;

/// Load on the working limbs, in body masses.
fn demand(e: &raw::Exercise, anchor_bm: f64) -> f32 {
    let legs = ["squat", "lunge-step", "hinge-floor-pull", "hinge-hip"].contains(&e.pattern.as_str());
    let one_limb = e.laterality != raw::Laterality::Bilateral;
    let hands = if e.typical_load.counted == raw::Counted::PerHand && (legs || !one_limb) { 2.0 } else { 1.0 };
    let on_feet = matches!(e.support, raw::Support::Standing | raw::Support::HandsSupported);
    let body = match e.pattern.as_str() {
        "hip-extension" => BODY_ON_HIPS,
        _ if legs && on_feet => BODY_ON_LEGS,
        _ => 0.0,
    };
    let band = if anchor_bm == 0.0 && model::by_band(e) { model::BAND_PULL } else { 0.0 };
    // A share of body mass on the feet is already counted as body.
    let own = e.typical_load.counted == raw::Counted::Body && legs && on_feet;
    let load = if own { 0.0 } else { anchor_bm * e.typical_load.share * hands };
    ((load + body + band) * if one_limb { 2.0 } else { 1.0 }) as f32
}

fn hundredths(weight: f64) -> u8 {
    (weight.clamp(0.0, 1.0) * 100.0).round() as u8
}

fn root(exercises: &[&raw::Exercise], at: &HashMap<&str, usize>, start: usize) -> RowId {
    let top = lineage(exercises, at, start).last().unwrap_or(start);
    RowId::try_from(top).unwrap_or(RowId::MAX)
}

/// An exercise and its ancestors in the variation graph, nearest first.
fn lineage<'a>(
    exercises: &'a [&raw::Exercise],
    at: &'a HashMap<&str, usize>,
    start: usize,
) -> impl Iterator<Item = usize> + 'a {
    let up = |here: &usize| exercises.get(*here)?.parent.as_deref().and_then(|p| at.get(p)).copied();
    // A chain is never longer than the list; the bound guards a draft that was not checked.
    std::iter::successors(Some(start), up).take(exercises.len())
}

fn path(patterns: &[raw::Pattern], at: &HashMap<&str, usize>, start: usize) -> Vec<u8> {
    let mut up = vec![u8::try_from(start).unwrap_or(0)];
    let mut here = start;
    for _ in 0..patterns.len() {
        match patterns.get(here).and_then(|p| p.parent.as_deref()).and_then(|p| at.get(p)) {
            Some(parent) => {
                here = *parent;
                up.push(u8::try_from(here).unwrap_or(0));
            }
            None => break,
        }
    }
    up.reverse();
    up
}
