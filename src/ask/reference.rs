//! "What may stand in a base?": every field of every file, and every closed list of words.
//!
//! Leans on the schemas of [`super::schema`], which are made from the types. Leaves to others: the
//! texts themselves, which are the comments of [`crate::kb::raw`]; and the rules that hold between
//! fields ([`crate::kb::check`]).

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::Serialize;
use serde_json::Value;

use super::schema;
use crate::kb::check::RULES;
use crate::units::trim;

/// One field of a file.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Field {
    /// Path from the record: `.` into an object, `[]` into a list, `<muscle>` for any muscle's id.
    pub field: String,
    /// What it holds.
    pub holds: String,
    /// Whether it must be there; an exercise may have it from the one that it is like.
    pub needed: bool,
    /// Unit, where it is a quantity.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub unit: Option<String>,
    /// Bounds, where the schema has some.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bounds: Option<String>,
    /// Meaning.
    pub means: String,
    /// A value that would fit, as JSON.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub example: Option<String>,
}

/// One file of a base.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct File {
    /// Path in the folder of the base.
    pub path: &'static str,
    /// What it is.
    pub title: String,
    /// Name of the list that its records stand in; absent where the file is one record.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub list: Option<&'static str>,
    /// Fields of a record.
    pub fields: Vec<Field>,
}

/// One word of a closed list.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Word {
    /// As written in files.
    pub word: String,
    /// Meaning.
    pub means: String,
}

/// A closed list of words.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct List {
    /// Name.
    pub name: String,
    /// Meaning of the list.
    pub means: String,
    /// Words, in order.
    pub words: Vec<Word>,
}

/// The reference.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Reply {
    /// Files of a base.
    pub files: Vec<File>,
    /// Closed lists that fields take words from, by name.
    pub lists: Vec<List>,
}

/// Answers.
#[must_use]
pub fn answer() -> Reply {
    let mut lists = BTreeMap::new();
    let files = schema::files().into_iter().map(|(path, list, schema)| file(path, list, &schema, &mut lists)).collect();
    Reply { files, lists: lists.into_values().collect() }
}

fn file(path: &'static str, list: Option<&'static str>, schema: &Value, lists: &mut BTreeMap<String, List>) -> File {
    let mut reader = Reader { definitions: schema.get("$defs"), lists, fields: Vec::new() };
    let record = match list {
        Some(key) => schema.pointer(&format!("/properties/{key}/items")),
        None => Some(schema),
    };
    reader.members("", record.unwrap_or(&Value::Null));
    File { path, title: text(schema, "title"), list, fields: reader.fields }
}

struct Reader<'s, 'l> {
    definitions: Option<&'s Value>,
    lists: &'l mut BTreeMap<String, List>,
    fields: Vec<Field>,
}

impl<'s> Reader<'s, '_> {
    /// What a schema says once references and "or nothing" are followed, and the definition's name.
    fn resolved(&self, schema: &'s Value) -> (&'s Value, Option<&'s str>) {
        let reference = |schema: &'s Value| schema.get("$ref").and_then(Value::as_str);
        let within = || schema.get("anyOf")?.as_array()?.iter().find_map(reference);
        let name = reference(schema).or_else(within).and_then(|r| r.rsplit('/').next());
        let found = name.and_then(|name| self.definitions?.get(name));
        (found.unwrap_or(schema), name)
    }

    /// Tells the fields of an object, those that are needed first come as the schema has them.
    fn members(&mut self, path: &str, schema: &'s Value) {
        let (object, _) = self.resolved(schema);
        let needed: Vec<&str> = strings(object, "required");
        let Some(properties) = object.get("properties").and_then(Value::as_object) else { return };
        // An id first, since everything else is about it.
        let (first, rest): (Vec<_>, Vec<_>) = properties.iter().partition(|(name, _)| *name == "id");
        for (name, property) in first.into_iter().chain(rest).filter(|(name, _)| *name != "$schema") {
            let field = if path.is_empty() { name.clone() } else { format!("{path}.{name}") };
            self.field(field, property, needed.contains(&name.as_str()), None);
        }
    }

    /// Tells one field and what is in it; `shape` is what an alternative says in its place.
    fn field(&mut self, path: String, schema: &'s Value, needed: bool, shape: Option<&'s Value>) {
        let holds = self.holds(schema);
        let (inner, steps) = self.innermost(schema);
        let example = schema.get("examples").and_then(Value::as_array).and_then(|list| list.first());
        self.fields.push(Field {
            field: path.clone(),
            holds,
            needed,
            unit: inner.get("x-unit").and_then(Value::as_str).map(str::to_string),
            bounds: bounds(schema, inner),
            means: text(shape.unwrap_or(schema), "description"),
            example: example.map(Value::to_string),
        });
        let path = format!("{path}{steps}");
        let (resolved, _) = self.resolved(inner);
        // One of several shapes, each an object with one member; which of them is free.
        for shape in resolved.get("oneOf").and_then(Value::as_array).into_iter().flatten() {
            for (name, property) in shape.get("properties").and_then(Value::as_object).into_iter().flatten() {
                self.field(format!("{path}.{name}"), property, false, Some(shape));
            }
        }
        self.members(&path, resolved);
    }

    /// Below lists and maps: the schema of one value, and the steps that lead to it.
    fn innermost(&self, schema: &'s Value) -> (&'s Value, String) {
        let (mut here, mut steps) = (schema, String::new());
        let keys: Vec<&str> =
            ["x-key", "x-key-inside"].iter().filter_map(|k| schema.get(*k).and_then(Value::as_str)).collect();
        let mut keys = keys.into_iter();
        loop {
            let (resolved, _) = self.resolved(here);
            if let Some(inner) = resolved.get("items") {
                steps.push_str("[]");
                here = inner;
            } else if let Some(inner) = resolved.get("additionalProperties").filter(|v| v.is_object()) {
                steps.push_str(&format!(".<{}>", keys.next().unwrap_or("name")));
                here = inner;
            } else {
                return (here, steps);
            }
        }
    }

    /// What a field holds, in words; a closed list that it names is noted.
    fn holds(&mut self, schema: &'s Value) -> String {
        let keys: Vec<&str> =
            ["x-key", "x-key-inside"].iter().filter_map(|k| schema.get(*k).and_then(Value::as_str)).collect();
        let held = self.held(schema);
        if keys.is_empty() { held } else { format!("{held}, by {}", keys.join(" and ")) }
    }

    fn held(&mut self, schema: &'s Value) -> String {
        let (resolved, name) = self.resolved(schema);
        if let (Some(name), Some(shapes)) = (name, resolved.get("oneOf").and_then(Value::as_array)) {
            let words: Vec<Word> = shapes
                .iter()
                .filter_map(|s| {
                    let word = s.get("const").and_then(Value::as_str)?.to_string();
                    Some(Word { word, means: text(s, "description") })
                })
                .collect();
            if words.len() == shapes.len() {
                let name = spaced(name);
                let list = List { name: name.clone(), means: text(resolved, "description"), words };
                self.lists.insert(name.clone(), list);
                return format!("[{name}](#{})", name.replace(' ', "-"));
            }
            let objects = shapes.iter().filter_map(|s| s.get("properties")?.as_object()?.keys().next());
            let mut one_of: Vec<String> = objects.map(|o| format!("`{{\"{o}\": …}}`")).collect();
            one_of.extend(words.iter().map(|w| format!("`\"{}\"`", w.word)));
            return one_of.join(" or ");
        }
        if let Some(inner) = resolved.get("items") {
            let held = self.held(inner);
            return match held.strip_prefix("list of ") {
                Some(inner) => format!("list of lists of {inner}"),
                None => format!("list of {held}"),
            };
        }
        if let Some(inner) = resolved.get("additionalProperties").filter(|v| v.is_object()) {
            return self.held(inner);
        }
        let kinds = strings(resolved, "type");
        let kind = kinds.into_iter().find(|k| *k != "null").unwrap_or("object");
        match kind {
            "string" => "text",
            "integer" => "whole number",
            "boolean" => "true or false",
            other => other,
        }
        .to_string()
    }
}

/// The texts under a name that holds one or several.
fn strings<'s>(schema: &'s Value, name: &str) -> Vec<&'s str> {
    match schema.get(name) {
        Some(Value::String(one)) => vec![one],
        Some(Value::Array(several)) => several.iter().filter_map(Value::as_str).collect(),
        _ => Vec::new(),
    }
}

fn text(schema: &Value, name: &str) -> String {
    let text = schema.get(name).and_then(Value::as_str).unwrap_or_default();
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn bounds(schema: &Value, inner: &Value) -> Option<String> {
    let range = |of: &Value, least: &str, most: &str| {
        let number = |name: &str| of.get(name).and_then(Value::as_f64).map(trim);
        match (number(least), number(most)) {
            (Some(least), Some(most)) => Some(format!("{least} to {most}")),
            (Some(least), None) => Some(format!("at least {least}")),
            (None, Some(most)) => Some(format!("at most {most}")),
            (None, None) => None,
        }
    };
    let all = [
        range(inner, "minimum", "maximum"),
        range(schema, "minItems", "maxItems").map(|r| format!("{r} of them")),
        range(inner, "minLength", "maxLength").map(|r| format!("{r} characters")),
    ];
    let all: Vec<String> = all.into_iter().flatten().collect();
    (!all.is_empty()).then(|| all.join(", "))
}

/// `SpineClass` as `spine class`.
fn spaced(name: &str) -> String {
    let mut out = String::new();
    for c in name.chars() {
        if c.is_uppercase() && !out.is_empty() {
            out.push(' ');
        }
        out.extend(c.to_lowercase());
    }
    out
}

/// What a person should know before the tables.
const OPENING: &str = "\
# Reference of the base

Every field of every file of a base, made from the types by `stead kb reference`; `stead kb schema` has the same as
JSON Schemas. A test compares this page with the types, and `STEAD_BLESS=1 cargo test` writes it anew.

- Every file is one JSON object, and may name its schema under `$schema`.
- A path such as `muscles.<muscle>` stands for any id of that kind, `cues[]` for any entry of the list.
- In an overlay a record whose id the base already has changes that record field by field, as a JSON merge patch
  (RFC 7396): objects merge, `null` takes a field away, all else replaces. `\"hide\": true` takes the record out.
- An exercise may say `\"like\": \"<id>\"`: what it leaves out is then as there, all but `id`, `name`, `aliases`, `parent`,
  `easier` and `harder`. *Needed* means needed once that is done.
- A basis is the id of a source of `sources.json`, `memory` (recalled, no source at hand) or `practice` (common
  practice, no source).
";

/// The reference as a page of Markdown.
#[must_use]
pub fn markdown(reply: &Reply) -> String {
    let mut out = String::from(OPENING);
    for file in &reply.files {
        let records = file.list.map_or_else(String::new, |key| format!(" Records stand in the list `{key}`."));
        out.push_str(&format!("\n## `{}`\n\n{}.{records}\n\n", file.path, file.title));
        out.push_str("| field | holds | needed | bounds | meaning | example |\n|---|---|---|---|---|---|\n");
        for f in &file.fields {
            let bounds = [f.bounds.as_deref(), f.unit.as_deref()].into_iter().flatten().collect::<Vec<_>>().join(" ");
            let example = f.example.as_ref().map_or_else(String::new, |e| format!("`{e}`"));
            let needed = if f.needed { "yes" } else { "" };
            let cells = [&format!("`{}`", f.field), &f.holds, needed, &bounds, &f.means, &example].map(cell);
            out.push_str(&format!("| {} |\n", cells.join(" | ")));
        }
    }
    out.push_str("\n## Words\n");
    for list in &reply.lists {
        out.push_str(&format!("\n### {}\n\n{}\n\n", list.name, list.means));
        for word in &list.words {
            out.push_str(&format!("- `{}`: {}\n", word.word, word.means));
        }
    }
    out.push_str("\n## Rules\n\nWhat `stead kb check` asks beyond the shape of a record.\n\n");
    out.push_str("| rule | if broken | asks |\n|---|---|---|\n");
    for rule in RULES {
        out.push_str(&format!("| `{}` | {} | {} |\n", rule.id, rule.severity, cell(rule.asks)));
    }
    out
}

fn cell(text: &str) -> String {
    text.replace('|', "\\|")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_field_says_what_it_means_and_every_quantity_its_unit() {
        let reply = answer();
        assert!(reply.files.len() > 10);
        for file in &reply.files {
            assert!(!file.fields.is_empty() && !file.title.is_empty(), "{}", file.path);
            for f in &file.fields {
                let at = format!("{} {}", file.path, f.field);
                assert!(f.means.len() > 4 && f.means.ends_with(['.', '`']), "{at}: {:?}", f.means);
                for (end, unit) in [("_kg", "kg"), ("_m", "m"), ("_deg", "deg"), ("_n", "N"), ("_h", "body heights")] {
                    assert!(!f.field.ends_with(end) || f.unit.as_deref() == Some(unit), "{at} without its unit");
                }
                assert!(!f.field.ends_with("<name>"), "{at}: of what?");
            }
        }
        for list in &reply.lists {
            assert!(list.words.iter().all(|w| !w.means.is_empty()), "{}", list.name);
        }
    }

    #[test]
    fn names_of_types_are_told_in_words() {
        assert_eq!(spaced("SpineClass"), "spine class");
        assert_eq!(spaced("Level"), "level");
    }
}
