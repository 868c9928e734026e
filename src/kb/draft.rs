//! A base being read: layers merged, inheritance resolved, every record given its type.
//!
//! Leans on serde_json and serde_path_to_error. Leaves to others: whether the values make sense
//! ([`super::check`]). A record that does not fit is reported and left out, so that one bad
//! record never hides the next.

use std::collections::{BTreeMap, BTreeSet, HashMap};

use serde::de::DeserializeOwned;
use serde_json::{Map, Value};

use super::files::Files;
use super::problem::{Problem, Severity, escape};
use super::raw;

/// A record with the place it came from.
#[derive(Debug, Clone, PartialEq)]
pub struct Placed<T> {
    /// The record.
    pub value: T,
    /// File, relative to its folder.
    pub file: String,
    /// JSON pointer to the record.
    pub pointer: String,
}

impl<T> Placed<T> {
    /// A problem at `step` (a pointer relative to the record, beginning with `/`, or empty).
    #[must_use]
    pub fn problem(&self, step: &str, rule: &'static str, found: String, hint: String) -> Problem {
        Problem {
            file: self.file.clone(),
            pointer: format!("{}{step}", self.pointer),
            rule,
            severity: Severity::Error,
            found,
            hint,
        }
    }
}

/// All records of a base, typed and placed.
#[derive(Debug, Clone, Default)]
pub struct Draft {
    /// `base.json`.
    pub base: Option<Placed<raw::Base>>,
    /// `ranking.json`.
    pub ranking: Option<Placed<raw::Ranking>>,
    /// `loads.json`.
    pub loads: Option<Placed<raw::Loads>>,
    /// `cautions.json`.
    pub cautions: Option<Placed<raw::Cautions>>,
    /// Pattern tree.
    pub patterns: Vec<Placed<raw::Pattern>>,
    /// Muscles.
    pub muscles: Vec<Placed<raw::Muscle>>,
    /// Regions.
    pub regions: Vec<Placed<raw::Region>>,
    /// Kit.
    pub equipment: Vec<Placed<raw::Equipment>>,
    /// Anchor lifts.
    pub anchors: Vec<Placed<raw::Anchor>>,
    /// Shared postures.
    pub postures: Vec<Placed<raw::Posture>>,
    /// Gyms.
    pub gyms: Vec<Placed<raw::Gym>>,
    /// Sources.
    pub sources: Vec<Placed<raw::Source>>,
    /// Carry-over pairs.
    pub carryover: Vec<Placed<raw::CarryOver>>,
    /// What coaches name in an exercise's place.
    pub instead: Vec<Placed<raw::Instead>>,
    /// Shares of body mass.
    pub body_shares: Vec<Placed<raw::BodyShare>>,
    /// Exercises in order of file, then of place.
    pub exercises: Vec<Placed<raw::Exercise>>,
}

/// Files that hold one list of records with ids: path and key of the list.
pub const LISTS: &[(&str, &str)] = &[
    ("taxonomy/patterns.json", "patterns"),
    ("taxonomy/muscles.json", "muscles"),
    ("taxonomy/regions.json", "regions"),
    ("taxonomy/equipment.json", "equipment"),
    ("taxonomy/anchors.json", "anchors"),
    ("taxonomy/postures.json", "postures"),
    ("gyms.json", "gyms"),
    ("sources.json", "sources"),
    ("carryover.json", "pairs"),
    ("instead.json", "instead"),
    ("bodyshares.json", "shares"),
];

/// Files that hold one object.
pub const OBJECTS: &[&str] = &["base.json", "ranking.json", "cautions.json", "loads.json"];

/// One untyped record while layers are merged.
#[derive(Debug, Clone)]
struct Loose {
    id: String,
    value: Value,
    file: String,
    pointer: String,
}

/// Reads layers (the base first, then overlays) into a draft and the list of what did not fit.
#[must_use]
pub fn read(layers: &[Files]) -> (Draft, Vec<Problem>) {
    let mut problems = Vec::new();
    let mut objects: BTreeMap<&str, Placed<Value>> = BTreeMap::new();
    let mut lists: BTreeMap<&str, Vec<Loose>> = BTreeMap::new();
    let mut exercises: Vec<Loose> = Vec::new();

    for (depth, layer) in layers.iter().enumerate() {
        for (path, text) in &layer.0 {
            let Some(mut top) = parse(path, text, &mut problems) else { continue };
            top.remove("$schema");
            if let Some(name) = OBJECTS.iter().find(|name| *name == path) {
                match objects.get_mut(name) {
                    Some(placed) => {
                        merge(&mut placed.value, &Value::Object(top));
                        placed.file.clone_from(path);
                    }
                    None => {
                        let placed = Placed { value: Value::Object(top), file: path.clone(), pointer: String::new() };
                        objects.insert(name, placed);
                    }
                }
            } else if let Some((_, key)) = LISTS.iter().find(|(name, _)| name == path) {
                let found = records(path, key, top, &[], &mut problems);
                lay(lists.entry(key).or_default(), found, depth, &mut problems);
            } else if path.starts_with("exercises/") {
                let found = records(path, "exercises", top, &["family"], &mut problems);
                lay(&mut exercises, found, depth, &mut problems);
            } else {
                problems.push(unknown_file(path));
            }
        }
    }

    let mut draft = Draft::default();
    for name in OBJECTS {
        let Some(placed) = objects.remove(name) else {
            problems.push(Problem {
                file: (*name).to_string(),
                pointer: String::new(),
                rule: "file-missing",
                severity: Severity::Error,
                found: "no such file".to_string(),
                hint: format!("a base needs {name}"),
            });
            continue;
        };
        match *name {
            "base.json" => draft.base = typed(placed, &mut problems),
            "ranking.json" => draft.ranking = typed(placed, &mut problems),
            "loads.json" => draft.loads = typed(placed, &mut problems),
            _ => draft.cautions = typed(placed, &mut problems),
        }
    }
    let mut take = |key: &str| lists.remove(key).unwrap_or_default();
    draft.patterns = all(take("patterns"), &mut problems);
    draft.muscles = all(take("muscles"), &mut problems);
    draft.regions = all(take("regions"), &mut problems);
    draft.equipment = all(take("equipment"), &mut problems);
    draft.anchors = all(take("anchors"), &mut problems);
    draft.postures = all(take("postures"), &mut problems);
    draft.gyms = all(take("gyms"), &mut problems);
    draft.sources = all(take("sources"), &mut problems);
    draft.carryover = all(take("pairs"), &mut problems);
    draft.instead = all(take("instead"), &mut problems);
    draft.body_shares = all(take("shares"), &mut problems);
    draft.exercises = all(inherit(exercises, &mut problems), &mut problems);
    (draft, problems)
}

/// JSON merge patch (RFC 7396): objects merge, `null` removes, all else replaces.
pub fn merge(target: &mut Value, patch: &Value) {
    let Value::Object(patch) = patch else {
        *target = patch.clone();
        return;
    };
    if !target.is_object() {
        *target = Value::Object(Map::new());
    }
    if let Value::Object(target) = target {
        for (key, value) in patch {
            if value.is_null() {
                target.remove(key);
            } else {
                merge(target.entry(key.clone()).or_insert(Value::Null), value);
            }
        }
    }
}

fn parse(path: &str, text: &str, problems: &mut Vec<Problem>) -> Option<Map<String, Value>> {
    let problem = |found: String, hint: &str| Problem {
        file: path.to_string(),
        pointer: String::new(),
        rule: "json-syntax",
        severity: Severity::Error,
        found,
        hint: hint.to_string(),
    };
    match serde_json::from_str::<Value>(text) {
        Ok(Value::Object(top)) => Some(top),
        Ok(_) => {
            problems
                .push(problem("JSON that is not an object".to_string(), "open the file with { and close it with }"));
            None
        }
        Err(e) => {
            problems.push(problem(e.to_string(), "mend the JSON at that line and column"));
            None
        }
    }
}

fn records(
    path: &str,
    key: &str,
    mut top: Map<String, Value>,
    also: &[&str],
    problems: &mut Vec<Problem>,
) -> Vec<Loose> {
    let mut problem = |pointer: String, rule: &'static str, found: String, hint: String| {
        problems.push(Problem { file: path.to_string(), pointer, rule, severity: Severity::Error, found, hint });
    };
    let list = match top.remove(key) {
        Some(Value::Array(list)) => list,
        Some(_) => {
            problem(
                format!("/{key}"),
                "record-shape",
                format!("{key:?} is not a list"),
                "write it as [ ... ]".to_string(),
            );
            Vec::new()
        }
        None => {
            problem(String::new(), "record-shape", format!("no {key:?}"), format!("add \"{key}\": [ ... ]"));
            Vec::new()
        }
    };
    for extra in top.keys().filter(|k| !also.contains(&k.as_str())) {
        problem(
            format!("/{}", escape(extra)),
            "record-shape",
            format!("unknown field {extra:?}"),
            format!("this file holds {key:?} only"),
        );
    }
    let mut out = Vec::with_capacity(list.len());
    for (i, value) in list.into_iter().enumerate() {
        let pointer = format!("/{key}/{i}");
        // Carry-over pairs have no id of their own: the two lifts name them.
        let id = match (value.get("id"), value.get("from"), value.get("to")) {
            (Some(Value::String(id)), _, _) => id.clone(),
            (None, Some(Value::String(from)), Some(Value::String(to))) => format!("{from}>{to}"),
            _ => {
                problem(
                    pointer,
                    "record-shape",
                    "a record without an id".to_string(),
                    "add \"id\": \"...\"".to_string(),
                );
                continue;
            }
        };
        out.push(Loose { id, value, file: path.to_string(), pointer });
    }
    out
}

/// Lays the records of a layer over what is there: new ids are added, known ones patched,
/// `"hide": true` removes. Within one layer an id may stand only once.
fn lay(into: &mut Vec<Loose>, found: Vec<Loose>, depth: usize, problems: &mut Vec<Problem>) {
    let mut here: BTreeSet<String> =
        if depth == 0 { into.iter().map(|l| l.id.clone()).collect() } else { BTreeSet::new() };
    let mut places: HashMap<String, usize> = into.iter().enumerate().map(|(i, l)| (l.id.clone(), i)).collect();
    let mut hidden = BTreeSet::new();
    for mut loose in found {
        if !here.insert(loose.id.clone()) {
            problems.push(Problem {
                file: loose.file,
                pointer: loose.pointer,
                rule: "id-unique",
                severity: Severity::Error,
                found: format!("id {:?} a second time", loose.id),
                hint: "give each record an id of its own".to_string(),
            });
            continue;
        }
        let hide = match &mut loose.value {
            Value::Object(record) => record.remove("hide").is_some_and(|v| v == Value::Bool(true)),
            _ => false,
        };
        match places.get(&loose.id).and_then(|i| into.get_mut(*i)) {
            Some(_) if hide => {
                hidden.insert(loose.id);
            }
            Some(known) => {
                merge(&mut known.value, &loose.value);
                known.file = loose.file;
                known.pointer = loose.pointer;
            }
            None if hide => problems.push(Problem {
                file: loose.file,
                pointer: loose.pointer,
                rule: "hide-known",
                severity: Severity::Error,
                found: format!("hides {:?}, which is not there", loose.id),
                hint: "only records of the layers below can be hidden".to_string(),
            }),
            None => {
                places.insert(loose.id.clone(), into.len());
                into.push(loose);
            }
        }
    }
    into.retain(|l| !hidden.contains(&l.id));
}

/// Fields that belong to a record alone and are never inherited.
const OWN: &[&str] = &["id", "name", "aliases", "like", "parent", "easier", "harder"];

/// Resolves `like`: a record starts from the fields of the one it names. Its parent is that one
/// unless it says otherwise.
fn inherit(loose: Vec<Loose>, problems: &mut Vec<Problem>) -> Vec<Loose> {
    let by_id: HashMap<&str, &Loose> = loose.iter().map(|l| (l.id.as_str(), l)).collect();
    let mut out = Vec::with_capacity(loose.len());
    for record in &loose {
        let mut chain = vec![record];
        let mut broken = false;
        while let Some(like) = chain.last().and_then(|l| l.value.get("like")) {
            let name = like.as_str().unwrap_or_default();
            let mut problem = |rule: &'static str, found: String, hint: String| {
                problems.push(Problem {
                    file: record.file.clone(),
                    pointer: format!("{}/like", record.pointer),
                    rule,
                    severity: Severity::Error,
                    found,
                    hint,
                });
            };
            match by_id.get(name) {
                None => {
                    problem(
                        "like-known",
                        format!("like {like} names no exercise"),
                        nearest_hint(name, by_id.keys().copied()),
                    );
                    broken = true;
                    break;
                }
                Some(next) if chain.iter().any(|l| l.id == next.id) => {
                    let path: Vec<&str> = chain.iter().map(|l| l.id.as_str()).chain([next.id.as_str()]).collect();
                    problem("like-cycle", path.join(" > "), "let one of them stand by itself".to_string());
                    broken = true;
                    break;
                }
                Some(next) => chain.push(next),
            }
        }
        if broken {
            continue;
        }
        let mut value = Value::Object(Map::new());
        let last = chain.len() - 1;
        for (i, link) in chain.iter().rev().enumerate() {
            let mut patch = link.value.clone();
            if i < last
                && let Value::Object(fields) = &mut patch
            {
                for own in OWN {
                    fields.remove(*own);
                }
            }
            if i == last && i > 0 {
                repeated(record, &value, problems);
            }
            merge(&mut value, &patch);
        }
        if let Value::Object(fields) = &mut value {
            let like = fields.remove("like");
            let orphan = record.value.get("parent").is_some_and(Value::is_null);
            if let (Some(like), false, false) = (like, fields.contains_key("parent"), orphan) {
                fields.insert("parent".to_string(), like);
            }
        }
        out.push(Loose { value, ..record.clone() });
    }
    out
}

/// Warns of each value of `record` that `inherited` gives already.
fn repeated(record: &Loose, inherited: &Value, problems: &mut Vec<Problem>) {
    let Value::Object(own) = &record.value else { return };
    let mut open: Vec<(String, &Value, Option<&Value>)> = Vec::new();
    for (key, value) in own.iter().filter(|(key, _)| !OWN.contains(&key.as_str())) {
        open.push((format!("/{}", escape(key)), value, inherited.get(key)));
    }
    // Without a parent of its own a record descends from the one that it is like.
    open.extend(own.get("parent").map(|parent| ("/parent".to_string(), parent, own.get("like"))));
    let mut steps = Vec::new();
    while let Some((step, value, before)) = open.pop() {
        match (value, before) {
            (Value::Object(own), Some(Value::Object(before))) if !own.is_empty() => {
                open.extend(own.iter().map(|(key, v)| (format!("{step}/{}", escape(key)), v, before.get(key))));
            }
            (Value::Null, None) => steps.push((step, "takes out what is not there")),
            (value, Some(before)) if value == before => steps.push((step, "stands there already")),
            _ => {}
        }
    }
    steps.sort();
    problems.extend(steps.into_iter().map(|(step, found)| Problem {
        file: record.file.clone(),
        pointer: format!("{}{step}", record.pointer),
        rule: "repeated",
        severity: Severity::Warning,
        found: found.to_string(),
        hint: "take it out; like gives it".to_string(),
    }));
}

fn all<T: DeserializeOwned>(loose: Vec<Loose>, problems: &mut Vec<Problem>) -> Vec<Placed<T>> {
    loose
        .into_iter()
        .filter_map(|l| typed(Placed { value: l.value, file: l.file, pointer: l.pointer }, problems))
        .collect()
}

fn typed<T: DeserializeOwned>(placed: Placed<Value>, problems: &mut Vec<Problem>) -> Option<Placed<T>> {
    match serde_path_to_error::deserialize::<_, T>(&placed.value) {
        Ok(value) => Some(Placed { value, file: placed.file, pointer: placed.pointer }),
        Err(e) => {
            let mut pointer = placed.pointer;
            for step in e.path() {
                use serde_path_to_error::Segment;
                match step {
                    Segment::Seq { index } => pointer.push_str(&format!("/{index}")),
                    Segment::Map { key } => pointer.push_str(&format!("/{}", escape(key))),
                    Segment::Enum { .. } | Segment::Unknown => {}
                }
            }
            problems.push(Problem {
                file: placed.file,
                pointer,
                rule: "record-shape",
                severity: Severity::Error,
                found: e.inner().to_string(),
                hint: "see kb/schema for the fields and words of this kind of record".to_string(),
            });
            None
        }
    }
}

fn unknown_file(path: &str) -> Problem {
    let known = OBJECTS.iter().copied().chain(LISTS.iter().map(|(name, _)| *name));
    Problem {
        file: path.to_string(),
        pointer: String::new(),
        rule: "file-known",
        severity: Severity::Error,
        found: "a file that no base has".to_string(),
        hint: nearest_hint(path, known.chain(["exercises/<family>.json"])),
    }
}

/// "did you mean ...?" with the candidate that shares most with `given`.
#[must_use]
pub fn nearest_hint<'a>(given: &str, candidates: impl Iterator<Item = &'a str>) -> String {
    nearest(given, candidates)
        .map_or_else(|| "there is none to choose from".to_string(), |n| format!("did you mean {n:?}?"))
}

/// The candidate that shares most letter pairs with `given` (Dice's measure), ties by the
/// alphabet. Pairs of letters are enough for ids; names are matched in [`crate::search`].
#[must_use]
pub fn nearest<'a>(given: &str, candidates: impl Iterator<Item = &'a str>) -> Option<&'a str> {
    let pairs = |s: &str| -> Vec<(char, char)> {
        let chars: Vec<char> = format!("^{}$", s.to_lowercase()).chars().collect();
        chars.windows(2).filter_map(|w| Some((*w.first()?, *w.get(1)?))).collect()
    };
    let mine = pairs(given);
    candidates
        .map(|c| {
            let mut theirs = pairs(c);
            let total = mine.len() + theirs.len();
            let mut shared = 0usize;
            for p in &mine {
                if let Some(at) = theirs.iter().position(|q| q == p) {
                    theirs.swap_remove(at);
                    shared += 1;
                }
            }
            (2000 * shared / total.max(1), c)
        })
        .max_by(|a, b| a.0.cmp(&b.0).then(b.1.cmp(a.1)))
        .map(|(_, c)| c)
}
