//! JSON Schemas of the base's files, of the questions and of the answers, made from the types.
//!
//! Leans on schemars and on the types of [`crate::kb::raw`] and of the questions. Leaves to
//! others: writing them to `kb/schema` and keeping them equal to the types (a test does both).

use schemars::generate::{SchemaGenerator, SchemaSettings};
use schemars::{JsonSchema, Schema};
use serde_json::{Map, Value, json};

use super::week::{audit, deload, mend};
use super::{carryover, export, find, forces, kit, ladder, list, load, show, stats, swap, terms, vary};
use crate::kb::draft::{LISTS, OBJECTS};
use crate::kb::raw;

/// Fields that a record of exercises may carry beside those of [`raw::Exercise`].
const INHERITANCE: &[(&str, &str)] =
    &[("like", "Id of the exercise whose fields hold here unless this record changes them.")];

/// What `hide` says of a record.
const HIDE: &str = "In an overlay: takes the exercise out of the base below.";

/// Every schema with the name of its file in `kb/schema`: the files of a base first, then
/// request and reply of each question.
#[must_use]
pub fn all() -> Vec<(&'static str, Value)> {
    vec![
        ("base.json", object::<raw::Base>("Head of a base")),
        ("ranking.json", object::<raw::Ranking>("Gates, terms and weights of the ranking")),
        ("loads.json", object::<raw::Loads>("Bests for one repetition and first sessions")),
        ("week.json", object::<raw::WeekFigures>("What a week of training is held against")),
        (
            "catalogue.json",
            object::<raw::Catalogue>("What can be bought, and the questions that its worth is asked of"),
        ),
        ("cautions.json", object::<raw::Cautions>("Cautions and warning signs")),
        ("patterns.json", records::<raw::Pattern>("Tree of movement patterns", "patterns")),
        ("muscles.json", records::<raw::Muscle>("Muscles", "muscles")),
        ("regions.json", records::<raw::Region>("Regions and what brings their soreness on", "regions")),
        ("equipment.json", records::<raw::Equipment>("Kit", "equipment")),
        ("anchors.json", records::<raw::Anchor>("Anchor lifts", "anchors")),
        ("postures.json", records::<raw::Posture>("Shared postures", "postures")),
        ("gyms.json", records::<raw::Gym>("Gyms", "gyms")),
        ("sources.json", records::<raw::Source>("Sources of figures", "sources")),
        ("carryover.json", records::<raw::CarryOver>("Carry-over between lifts", "pairs")),
        ("instead.json", records::<raw::Instead>("What coaches name in an exercise's place", "instead")),
        ("bodyshares.json", records::<raw::BodyShare>("Shares of body mass that lifts with the body move", "shares")),
        ("exercises.json", exercises()),
        ("swap-request.json", request::<swap::Request>("A swap as asked")),
        ("swap-reply.json", reply::<swap::Reply<'static>>("A swap answered")),
        ("forces-request.json", request::<forces::Request>("Forces as asked")),
        ("forces-reply.json", reply::<forces::Reply<'static>>("Forces estimated")),
        ("carryover-request.json", request::<carryover::Request>("A carry-over as asked")),
        ("carryover-reply.json", reply::<carryover::Reply<'static>>("A carry-over answered")),
        ("load-request.json", request::<load::Request>("A first load as asked")),
        ("load-reply.json", reply::<load::Reply<'static>>("A first load answered")),
        ("ladder-request.json", request::<ladder::Request>("A ladder back to a lift as asked")),
        ("ladder-reply.json", reply::<ladder::Reply<'static>>("A ladder back to a lift")),
        ("vary-request.json", request::<vary::Request>("Variations of a lift as asked")),
        ("vary-reply.json", reply::<vary::Reply<'static>>("Variations of a lift, and a plan")),
        ("kit-request.json", request::<kit::Request>("A purchase as asked")),
        ("kit-reply.json", reply::<kit::Reply<'static>>("Which kit to buy next, and why")),
        ("week-audit-request.json", request::<audit::Request>("An audit of a week as asked")),
        ("week-audit-reply.json", reply::<audit::Reply<'static>>("A week audited")),
        ("week-mend-request.json", request::<mend::Request>("A mend of a week as asked")),
        ("week-mend-reply.json", reply::<mend::Reply<'static>>("A week mended")),
        ("week-deload-request.json", request::<deload::Request>("A lighter week as asked")),
        ("week-deload-reply.json", reply::<deload::Reply<'static>>("A lighter week")),
        ("find-request.json", request::<find::Request>("A search as asked")),
        ("find-reply.json", reply::<find::Reply<'static>>("A search answered")),
        ("show-request.json", request::<show::Request>("One exercise asked for")),
        ("show-reply.json", reply::<show::Reply<'static>>("One exercise whole")),
        ("list-request.json", request::<list::Request>("Filters")),
        ("list-reply.json", reply::<list::Reply<'static>>("The exercises that meet the filters")),
        ("export-request.json", request::<export::Request>("A base to be written down")),
        ("export-reply.json", reply::<export::Whole<'static>>("A base whole, as `kb export --as json` writes it")),
        ("stats-reply.json", reply::<stats::Reply<'static>>("A base counted")),
        ("terms-request.json", request::<terms::Request>("Words asked for")),
        ("terms-reply.json", reply::<terms::Reply<'static>>("The words of the base")),
    ]
}

/// Path in a base, list of the records, and schema of each kind of file, for a reader: exercises
/// are whole records with the fields that only a file has, not patches.
pub(super) fn files() -> Vec<(&'static str, Option<&'static str>, Value)> {
    let mut exercises = records::<raw::Exercise>("One family of exercises", "exercises");
    if let Some(Value::Object(properties)) = exercises.pointer_mut("/$defs/Exercise/properties") {
        for (name, means) in INHERITANCE {
            properties.insert((*name).to_string(), json!({"description": means, "type": "string"}));
        }
        properties.insert("hide".to_string(), json!({"description": HIDE, "type": "boolean"}));
    }
    let of = |name: &str| all().into_iter().find(|(file, _)| *file == name).map(|(_, schema)| schema);
    let mut files = vec![("exercises/<family>.json", Some("exercises"), exercises)];
    for (path, list) in
        OBJECTS.iter().map(|path| (*path, None)).chain(LISTS.iter().map(|(path, list)| (*path, Some(*list))))
    {
        let name = path.rsplit('/').next().unwrap_or(path);
        files.extend(of(name).map(|schema| (path, list, schema)));
    }
    files
}

fn request<T: JsonSchema>(title: &str) -> Value {
    titled(SchemaSettings::draft2020_12().into_generator().into_root_schema_for::<T>(), title)
}

fn reply<T: JsonSchema>(title: &str) -> Value {
    titled(SchemaSettings::draft2020_12().for_serialize().into_generator().into_root_schema_for::<T>(), title)
}

fn titled(schema: Schema, title: &str) -> Value {
    let mut schema = schema.to_value();
    if let Value::Object(fields) = &mut schema {
        fields.insert("title".to_string(), json!(title));
    }
    schema
}

/// A file that is one record; like every file of a base it may name its schema.
fn object<T: JsonSchema>(title: &str) -> Value {
    let mut schema = request::<T>(title);
    if let Some(Value::Object(properties)) = schema.get_mut("properties") {
        properties.insert("$schema".to_string(), json!({"type": "string"}));
    }
    schema
}

/// A file that holds a list of whole records under `key`.
fn records<T: JsonSchema>(title: &str, key: &str) -> Value {
    let mut generator = SchemaSettings::draft2020_12().into_generator();
    let item = generator.subschema_for::<T>().to_value();
    file(title, key, item, &Map::new(), generator)
}

/// A file of exercises. A record needs an id only, since the rest may come from the exercise
/// that it is like; what stands here is a merge patch, so `null` takes a field away.
fn exercises() -> Value {
    let mut generator = SchemaSettings::draft2020_12().into_generator();
    let item = generator.subschema_for::<raw::Exercise>().to_value();
    for definition in generator.definitions_mut().values_mut() {
        patchable(definition);
    }
    if let Some(Value::Object(record)) = generator.definitions_mut().get_mut("Exercise") {
        record.insert("required".to_string(), json!(["id"]));
        if let Some(Value::Object(properties)) = record.get_mut("properties") {
            properties.insert(
                "id".to_string(),
                json!({"description": "Plain id: lower-case words joined by hyphens.", "type": "string"}),
            );
            for (name, means) in INHERITANCE {
                properties.insert((*name).to_string(), json!({"description": means, "type": "string"}));
            }
            properties.insert("hide".to_string(), json!({"description": HIDE, "type": "boolean"}));
        }
    }
    let mut also = Map::new();
    also.insert(
        "family".to_string(),
        json!({"description": "Name of the family; the file's own name.", "type": "string"}),
    );
    file("One family of exercises", "exercises", item, &also, generator)
}

/// Fields that a whole record of an exercise may leave out.
pub(super) fn optional_fields() -> Vec<String> {
    let schema = request::<raw::Exercise>("");
    let required = schema.get("required").and_then(Value::as_array);
    let asked = |name: &String| required.is_some_and(|list| list.iter().any(|field| field == name));
    let Some(properties) = schema.get("properties").and_then(Value::as_object) else { return Vec::new() };
    properties.keys().filter(|name| !asked(name)).cloned().collect()
}

/// Turns the schema of a record into that of a merge patch for it: nothing is required, and
/// every field may be null. Lists are replaced whole, so what is in them stays as it is.
fn patchable(schema: &mut Value) {
    let Value::Object(fields) = schema else { return };
    fields.remove("required");
    if let Some(Value::Object(properties)) = fields.get_mut("properties") {
        for (_, property) in properties.iter_mut() {
            patchable(property);
            *property = or_null(property.take());
        }
    }
    if let Some(values @ Value::Object(_)) = fields.get_mut("additionalProperties") {
        patchable(values);
        *values = or_null(values.take());
    }
}

fn or_null(mut schema: Value) -> Value {
    let is_null = |s: &Value| s.get("type").is_some_and(|t| t == "null");
    if schema.get("anyOf").and_then(Value::as_array).is_some_and(|any| any.iter().any(is_null)) {
        return schema;
    }
    let listed = schema.get("enum").is_some() || schema.get("const").is_some();
    match schema.get_mut("type") {
        Some(Value::Array(types)) if types.iter().any(|t| t == "null") => schema,
        Some(kind @ Value::String(_)) if !listed => {
            *kind = json!([kind.take(), "null"]);
            schema
        }
        _ => json!({"anyOf": [schema, {"type": "null"}]}),
    }
}

fn file(title: &str, key: &str, item: Value, also: &Map<String, Value>, mut generator: SchemaGenerator) -> Value {
    let mut properties = also.clone();
    properties.insert("$schema".to_string(), json!({"type": "string"}));
    properties.insert(key.to_string(), json!({"type": "array", "items": item}));
    json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": title,
        "type": "object",
        "properties": properties,
        "required": [key],
        "additionalProperties": false,
        "$defs": generator.take_definitions(true),
    })
}
