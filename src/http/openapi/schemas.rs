//! Schemas of questions and replies, gathered under one roof.
//!
//! Leans on [`crate::ask::schema`]. Leaves to others: where they are used ([`super`]). A schema
//! file carries its definitions with it; here each becomes a component, one component where two
//! definitions of a name are the same, and one with the name of its question before it where not.

use std::collections::{BTreeMap, BTreeSet};

use schemars::JsonSchema;
use schemars::generate::SchemaSettings;
use serde_json::{Map, Value, json};

use super::Failure;
use crate::ask::schema;
use crate::http::error::KINDS;

/// In place of a schema file: the code of a problem.
const PROBLEM_CODE: &str = "problem";
/// Where components stand.
const COMPONENTS: &str = "#/components/schemas/";
/// Where definitions stand in a schema file.
const DEFINITIONS: &str = "#/$defs/";

/// Greatest whole number that every reader of JSON takes for what it is (RFC 8259, section 6).
const GREATEST_WHOLE: u64 = (1 << 53) - 1;

/// Components, by name.
pub(super) struct Components {
    all: BTreeMap<&'static str, Value>,
    made: BTreeMap<String, Value>,
    /// Of each component, itself and everything below it as it stood in its file.
    from: BTreeMap<String, BTreeMap<String, Value>>,
}

/// A member of a question as a parameter.
pub(super) struct Member {
    pub(super) means: Value,
    pub(super) schema: Value,
    pub(super) list: bool,
}

impl Components {
    pub(super) fn new() -> Self {
        Self { all: schema::all().into_iter().collect(), made: BTreeMap::new(), from: BTreeMap::new() }
    }

    /// Reference to the schema of a question, by the name of its file.
    pub(super) fn question(&mut self, file: &str) -> Result<Value, Failure> {
        match file {
            "batch-request.json" => Ok(self.read::<crate::http::batch::Request>("BatchRequest")),
            _ => self.reply(file),
        }
    }

    /// Reference to the schema of a reply, by the name of its file.
    pub(super) fn reply(&mut self, file: &str) -> Result<Value, Failure> {
        let schema = self.all.get(file).cloned().ok_or(Failure::Fault("a schema without a type"))?;
        let words = file.trim_end_matches(".json").split('-');
        let name: String = words.map(capital).collect();
        Ok(self.add(&name, schema))
    }

    /// Reference to the schema of a reply of the server itself.
    pub(super) fn own<T: JsonSchema>(&mut self, name: &str) -> Value {
        let settings = SchemaSettings::draft2020_12().for_serialize();
        self.add(name, settings.into_generator().into_root_schema_for::<T>().to_value())
    }

    fn read<T: JsonSchema>(&mut self, name: &str) -> Value {
        self.add(name, SchemaSettings::draft2020_12().into_generator().into_root_schema_for::<T>().to_value())
    }

    /// Every component.
    pub(super) fn take(self) -> BTreeMap<String, Value> {
        self.made
    }

    fn add(&mut self, root: &str, mut schema: Value) -> Value {
        let definitions = match schema.as_object_mut() {
            Some(fields) => {
                fields.remove("$schema");
                match fields.remove("$defs") {
                    Some(Value::Object(definitions)) => definitions,
                    _ => Map::new(),
                }
            }
            None => Map::new(),
        };
        let mut names = BTreeMap::new();
        for name in definitions.keys() {
            let whole = below(name, &definitions);
            let plain: String = name.chars().filter(char::is_ascii_alphanumeric).collect();
            let chosen = match self.from.get(&plain) {
                Some(before) if *before != whole => format!("{root}{plain}"),
                _ => plain,
            };
            self.from.insert(chosen.clone(), whole);
            names.insert(name.clone(), chosen);
        }
        for (name, mut definition) in definitions {
            if let Some(chosen) = names.get(&name) {
                settle(&mut definition, &names);
                self.made.insert(chosen.clone(), definition);
            }
        }
        settle(&mut schema, &names);
        self.made.insert(root.to_string(), schema);
        json!({"$ref": format!("{COMPONENTS}{root}")})
    }
}

fn capital(word: &str) -> String {
    let mut letters = word.chars();
    letters.next().map_or(String::new(), |first| first.to_ascii_uppercase().to_string() + letters.as_str())
}

/// A definition and everything that it refers to, however far down.
fn below(name: &str, definitions: &Map<String, Value>) -> BTreeMap<String, Value> {
    let mut found = BTreeMap::new();
    let mut open = vec![name.to_string()];
    while let Some(name) = open.pop() {
        let Some(definition) = definitions.get(&name).filter(|_| !found.contains_key(&name)) else { continue };
        let mut refs = BTreeSet::new();
        references(definition, &mut refs);
        open.extend(refs);
        found.insert(name, definition.clone());
    }
    found
}

fn references(part: &Value, found: &mut BTreeSet<String>) {
    match part {
        Value::Object(fields) => {
            if let Some(name) = fields.get("$ref").and_then(Value::as_str).and_then(|r| r.strip_prefix(DEFINITIONS)) {
                found.insert(name.to_string());
            }
            fields.values().for_each(|f| references(f, found));
        }
        Value::Array(list) => list.iter().for_each(|f| references(f, found)),
        _ => {}
    }
}

/// References lead to components, and whole numbers have the bound that their type has.
fn settle(part: &mut Value, names: &BTreeMap<String, String>) {
    match part {
        Value::Object(fields) => {
            if let Some(Value::String(to)) = fields.get_mut("$ref")
                && let Some(name) = to.strip_prefix(DEFINITIONS).and_then(|n| names.get(n))
            {
                *to = format!("{COMPONENTS}{name}");
            }
            let most = match fields.get("format").and_then(Value::as_str) {
                Some("uint8") => Some(u64::from(u8::MAX)),
                Some("uint16") => Some(u64::from(u16::MAX)),
                Some("uint32") => Some(u64::from(u32::MAX)),
                Some("uint" | "uint64") => Some(GREATEST_WHOLE),
                _ => None,
            };
            if let Some(most) = most.filter(|_| !fields.contains_key("maximum")) {
                fields.insert("maximum".to_string(), json!(most));
            }
            fields.values_mut().for_each(|f| settle(f, names));
        }
        Value::Array(list) => list.iter_mut().for_each(|f| settle(f, names)),
        _ => {}
    }
}

/// The members of a question as parameters: what an address can say, so no `null` and no object.
pub(super) fn members(file: &str) -> Result<Vec<(String, Member)>, Failure> {
    if file == PROBLEM_CODE {
        let codes: Vec<&str> = KINDS.iter().map(|k| k.code).collect();
        let schema = json!({"type": "string", "enum": codes});
        return Ok(vec![(
            "code".to_string(),
            Member { means: json!("Stable word of a problem."), schema, list: false },
        )]);
    }
    let fault = || Failure::Fault("a question without members");
    let all = schema::all();
    let (_, schema) = all.iter().find(|(name, _)| *name == file).ok_or_else(fault)?;
    let definitions = schema.get("$defs").and_then(Value::as_object);
    let properties = schema.get("properties").and_then(Value::as_object).ok_or_else(fault)?;
    Ok(properties.iter().map(|(name, property)| (name.clone(), member(property, definitions))).collect())
}

fn member(property: &Value, definitions: Option<&Map<String, Value>>) -> Member {
    let means = property.get("description").cloned().unwrap_or_default();
    let mut schema = plain(property, definitions);
    settle(&mut schema, &BTreeMap::new());
    let list = schema.get("type").is_some_and(|t| t == "array");
    Member { means, schema, list }
}

/// The part of a schema that a text can hold.
fn plain(schema: &Value, definitions: Option<&Map<String, Value>>) -> Value {
    let target = schema.get("$ref").and_then(Value::as_str).and_then(|r| r.strip_prefix(DEFINITIONS));
    if let Some(target) = target.and_then(|name| definitions?.get(name)) {
        return plain(target, definitions);
    }
    if let Some(choices) = schema.get("anyOf").and_then(Value::as_array) {
        let is_null = |s: &&Value| s.get("type").is_some_and(|t| t == "null");
        return choices.iter().find(|c| !is_null(c)).map_or(json!({}), |c| plain(c, definitions));
    }
    if let Some(words) = schema.get("oneOf").and_then(Value::as_array) {
        let words: Vec<&Value> = words.iter().filter_map(|w| w.get("const")).collect();
        return json!({"type": "string", "enum": words});
    }
    let mut schema = schema.clone();
    let Some(fields) = schema.as_object_mut() else { return schema };
    for name in ["description", "default"] {
        fields.remove(name);
    }
    if let Some(Value::Array(types)) = fields.get_mut("type") {
        types.retain(|t| t != "null");
        if let [only] = types.as_slice() {
            let only = only.clone();
            fields.insert("type".to_string(), only);
        }
    }
    if let Some(items) = fields.get_mut("items") {
        *items = plain(items, definitions);
    }
    if fields.get("type").is_some_and(|t| t == "string") && !fields.contains_key("enum") {
        // A parameter that is named has a value.
        fields.insert("pattern".to_string(), json!("\\S"));
    }
    schema
}
