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
    /// `week.json`.
    pub week: Option<Placed<raw::WeekFigures>>,
    /// `catalogue.json`.
    pub catalogue: Option<Placed<raw::Catalogue>>,
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
pub const OBJECTS: &[&str] =
    &["base.json", "ranking.json", "cautions.json", "loads.json", "week.json", "catalogue.json"];

/// One untyped record while layers are merged.
#[derive(Debug, Clone)]
struct Loose {
    id: String,
    value: Value,
    file: String,
    pointer: String,
    /// Layer that touched it last.
    depth: usize,
}

impl Loose {
    /// What it is called, each word with its id.
    fn words(&self) -> impl Iterator<Item = (&str, &str)> {
        let name = self.value.get("name").and_then(Value::as_str);
        let aliases = self.value.get("aliases").and_then(Value::as_array).into_iter().flatten();
        let words = [self.id.as_str()].into_iter().chain(name).chain(aliases.filter_map(Value::as_str));
        words.map(|word| (word, self.id.as_str()))
    }
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
                let found = records(path, key, top, &[], depth, &mut problems);
                lay(lists.entry(key).or_default(), found, depth, &mut problems);
            } else if path.starts_with("exercises/") {
                let found = records(path, "exercises", top, &["family"], depth, &mut problems);
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
            "base.json" => draft.base = typed(placed, &[], &mut problems),
            "ranking.json" => draft.ranking = typed(placed, &[], &mut problems),
            "loads.json" => draft.loads = typed(placed, &[], &mut problems),
            "week.json" => draft.week = typed(placed, &[], &mut problems),
            "catalogue.json" => draft.catalogue = typed(placed, &[], &mut problems),
            _ => draft.cautions = typed(placed, &[], &mut problems),
        }
    }
    let mut take = |key: &str| lists.remove(key).unwrap_or_default();
    draft.patterns = all(take("patterns"), &["hide"], &mut problems);
    draft.muscles = all(take("muscles"), &["hide"], &mut problems);
    draft.regions = all(take("regions"), &["hide"], &mut problems);
    draft.equipment = all(take("equipment"), &["hide"], &mut problems);
    draft.anchors = all(take("anchors"), &["hide"], &mut problems);
    draft.postures = all(take("postures"), &["hide"], &mut problems);
    draft.gyms = all(take("gyms"), &["hide"], &mut problems);
    draft.sources = all(take("sources"), &["hide"], &mut problems);
    draft.carryover = all(take("pairs"), &["hide"], &mut problems);
    draft.instead = all(take("instead"), &["hide"], &mut problems);
    draft.body_shares = all(take("shares"), &["hide"], &mut problems);
    draft.exercises = all(inherit(exercises, &mut problems), &["hide", "like"], &mut problems);
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
            let told = e.to_string();
            let hint = match told.split(" at line").next() {
                Some("trailing comma") => "take out the comma before that line and column",
                Some("key must be a string") => "put the name between quotation marks, at that line and column",
                Some("EOF while parsing an object" | "EOF while parsing a list") => {
                    "close every { with } and every [ with ]"
                }
                _ => "mend the JSON at that line and column",
            };
            problems.push(problem(told, hint));
            None
        }
    }
}

fn records(
    path: &str,
    key: &str,
    mut top: Map<String, Value>,
    also: &[&str],
    depth: usize,
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
            format!("this file holds {key:?}; {}", nearest_hint(extra, [key].into_iter().chain(also.iter().copied()))),
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
        out.push(Loose { id, value, file: path.to_string(), pointer, depth });
    }
    out
}

/// Lays the records of a layer over what is there: new ids are added, known ones patched,
/// `"hide": true` removes. Within one layer an id may stand only once.
fn lay(into: &mut Vec<Loose>, found: Vec<Loose>, depth: usize, problems: &mut Vec<Problem>) {
    let mut here: HashMap<String, String> =
        into.iter().filter(|l| l.depth == depth).map(|l| (l.id.clone(), format!("{} {}", l.file, l.pointer))).collect();
    let mut places: HashMap<String, usize> = into.iter().enumerate().map(|(i, l)| (l.id.clone(), i)).collect();
    let mut hidden = BTreeSet::new();
    for mut loose in found {
        let place = format!("{} {}", loose.file, loose.pointer);
        if let Some(first) = here.get(&loose.id) {
            problems.push(Problem {
                file: loose.file,
                pointer: loose.pointer,
                rule: "id-unique",
                severity: Severity::Error,
                found: format!("id {:?} a second time; the first is {first}", loose.id),
                hint: format!("give each record an id of its own, such as \"{}-2\"", loose.id),
            });
            continue;
        }
        here.insert(loose.id.clone(), place);
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
                known.depth = depth;
            }
            None if hide => problems.push(Problem {
                file: loose.file,
                pointer: loose.pointer,
                rule: "hide-known",
                severity: Severity::Error,
                found: format!("hides {:?}, which is not there", loose.id),
                hint: format!(
                    "only records of the layers below can be hidden; {}",
                    nearest_hint(&loose.id, places.keys().map(String::as_str))
                ),
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
                        nearest_word_hint(name, loose.iter().flat_map(Loose::words)),
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
            // A person's own layer may say a thing twice; the base itself stays terse.
            if i == last && i > 0 && record.depth == 0 {
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

fn all<T: DeserializeOwned>(loose: Vec<Loose>, also: &[&str], problems: &mut Vec<Problem>) -> Vec<Placed<T>> {
    loose
        .into_iter()
        .filter_map(|l| typed(Placed { value: l.value, file: l.file, pointer: l.pointer }, also, problems))
        .collect()
}

/// Gives a record its type. `also` names fields that stood in the file and are gone by now, for
/// hints at a field that was spelled wrongly.
fn typed<T: DeserializeOwned>(placed: Placed<Value>, also: &[&str], problems: &mut Vec<Problem>) -> Option<Placed<T>> {
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
            let (found, hint) = misfit(&e.inner().to_string(), also);
            problems.push(Problem {
                file: placed.file,
                pointer,
                rule: "record-shape",
                severity: Severity::Error,
                found,
                hint,
            });
            None
        }
    }
}

/// What did not fit and what to do, from what serde tells: it names the value and then what would
/// have fitted, words between backticks.
fn misfit(told: &str, also: &[&str]) -> (String, String) {
    let mut quoted = told.split('`').skip(1).step_by(2);
    let given = quoted.next().unwrap_or_default();
    if told.starts_with("unknown field") {
        let near = nearest_hint(given, quoted.chain(also.iter().copied()));
        return (format!("unknown field {given:?}"), format!("{near} `stead kb reference` has them all"));
    }
    if told.starts_with("unknown variant") {
        let words: Vec<&str> = quoted.collect();
        let near = nearest_hint(given, words.iter().copied());
        return (format!("unknown word {given:?}"), format!("{near} There are {}", words.join(", ")));
    }
    if told.starts_with("missing field") {
        let like = if also.contains(&"like") { ", or take it from a relative with \"like\"" } else { "" };
        return (format!("no field {given:?}"), format!("add {given:?}{like}"));
    }
    let Some((found, expected)) = told.split_once(", expected ") else {
        return (told.to_string(), "`stead kb reference` has the fields of this kind of record".to_string());
    };
    let plain = match expected {
        "u8" => "a whole number from 0 to 255",
        "u16" => "a whole number from 0 to 65535",
        "u32" | "u64" | "usize" => "a whole number, 0 or more",
        "f64" => "a number",
        "a string" => "a text between quotation marks",
        "a boolean" => "true or false",
        "a sequence" => "a list between [ and ]",
        "a map" => "an object between { and }",
        other if other.starts_with("struct ") => "an object between { and }",
        other => other,
    };
    (found.replace('`', ""), format!("write {plain}"))
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

/// "did you mean ...?" with the id behind the word that shares most with `given`; words are told
/// with their ids, so that a name or alias leads to its id.
#[must_use]
pub fn nearest_word_hint<'a>(given: &str, words: impl Iterator<Item = (&'a str, &'a str)>) -> String {
    let words: Vec<(&str, &str)> = words.collect();
    let near = nearest(given, words.iter().map(|(word, _)| *word));
    let id = near.and_then(|near| words.iter().find(|(word, _)| *word == near)).map(|(_, id)| *id);
    nearest_hint(given, id.into_iter())
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_does_not_fit_is_told_in_plain_words() {
        #[derive(Debug, serde::Deserialize)]
        #[serde(deny_unknown_fields)]
        struct Oar {
            #[allow(dead_code)]
            length_m: f64,
            #[allow(dead_code)]
            side: Side,
        }
        #[derive(Debug, serde::Deserialize)]
        #[serde(rename_all = "lowercase")]
        enum Side {
            Port,
            Starboard,
        }
        let told = |text: &str| {
            let value: Value = serde_json::from_str(text).unwrap();
            misfit(&serde_json::from_value::<Oar>(value).unwrap_err().to_string(), &["hide"])
        };
        let (found, hint) = told(r#"{"lenght_m": 3}"#);
        assert_eq!(
            (found.as_str(), hint.as_str()),
            ("unknown field \"lenght_m\"", "did you mean \"length_m\"? `stead kb reference` has them all")
        );
        assert!(told(r#"{"hid": true}"#).1.starts_with("did you mean \"hide\"?"));
        let (found, hint) = told(r#"{"side": "prot"}"#);
        assert_eq!(found, "unknown word \"prot\"");
        assert_eq!(hint, "did you mean \"port\"? There are port, starboard");
        assert_eq!(told(r#"{"side": "port"}"#).1, "add \"length_m\"");
        assert_eq!(
            told(r#"{"length_m": "long"}"#),
            ("invalid type: string \"long\"".to_string(), "write a number".to_string())
        );
    }

    #[test]
    fn a_name_or_alias_leads_to_its_id() {
        let words =
            [("hip-abductors", "hip-abductors"), ("rectus-abdominis", "rectus-abdominis"), ("abs", "rectus-abdominis")];
        assert_eq!(nearest_word_hint("abs", words.into_iter()), "did you mean \"rectus-abdominis\"?");
        assert_eq!(nearest_word_hint("abs", [].into_iter()), "there is none to choose from");
    }
}
