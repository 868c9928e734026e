//! The graph as linked data: JSON-LD 1.1 with its context inside, so that nothing is fetched.
//!
//! Leans on serde_json and [`crate::ask::graph`]. Leaves to others: what is inferred from it.
//! Names and the tree of patterns are SKOS (<http://www.w3.org/2004/02/skos/core>), exercises are
//! physical activities of schema.org, and what neither has a word for is under [`VOCABULARY`].
//! An edge is a plain property named by its kind; one that carries figures is told a second time
//! as a `Tie` with its two ends, its kind and its figures.

use std::collections::BTreeMap;

use serde_json::{Map, Value as Json, json};

use crate::ask::graph::{self, EDGE_KEYS, Holds, KINDS, Key, NODE_KEYS, Value};
use crate::ask::{Error, json};
use crate::kb::Kb;

/// Our own words.
pub const VOCABULARY: &str = "urn:stead:vocabulary:";
/// Exercises by id.
pub const EXERCISE: &str = "urn:stead:exercise:";
/// Patterns by id.
pub const PATTERN: &str = "urn:stead:pattern:";
/// The base, as a scheme of concepts.
const BASE: &str = "urn:stead:base";

pub(super) fn text(kb: &Kb) -> Result<String, Error> {
    let mut edges: BTreeMap<&str, BTreeMap<&str, Vec<Json>>> = BTreeMap::new();
    let mut ties = Vec::new();
    for edge in graph::edges(kb) {
        let to = exercise(edge.to);
        edges.entry(edge.from).or_default().entry(edge.kind).or_default().push(json!(to));
        if !edge.values.is_empty() {
            let mut tie = named("Tie");
            tie.extend([
                ("from".to_string(), json!(exercise(edge.from))),
                ("to".to_string(), json!(to)),
                ("kind".to_string(), json!(edge.kind)),
            ]);
            tie.extend(edge.values.iter().map(|(key, value)| (key.name.to_string(), plain(value))));
            ties.push(Json::Object(tie));
        }
    }
    let mut things = vec![json!({
        "@id": BASE,
        "@type": "skos:ConceptScheme",
        "name": kb.base.name,
        "version": kb.base.version,
        "stamp": kb.stamp,
    })];
    for pattern in &kb.patterns {
        let mut thing = named("Pattern");
        thing.insert("@id".to_string(), json!(format!("{PATTERN}{}", pattern.id)));
        thing.insert("name".to_string(), json!(pattern.name));
        thing.insert("definition".to_string(), json!(pattern.definition));
        thing.insert("scheme".to_string(), json!(BASE));
        if let Some(above) = &pattern.parent {
            thing.insert("above".to_string(), json!(format!("{PATTERN}{above}")));
        }
        things.push(Json::Object(thing));
    }
    for node in graph::nodes(kb)? {
        let mut thing = named("Exercise");
        thing.insert("@id".to_string(), json!(exercise(node.id)));
        thing.insert("scheme".to_string(), json!(BASE));
        for (key, value) in &node.values {
            let value = match (key.name, value) {
                ("pattern", Value::Text(id)) => json!(format!("{PATTERN}{id}")),
                (_, value) => plain(value),
            };
            thing.insert(key.name.to_string(), value);
        }
        let own = edges.remove(node.id).unwrap_or_default();
        thing.extend(own.into_iter().map(|(kind, to)| (kind.to_string(), Json::Array(to))));
        things.push(Json::Object(thing));
    }
    things.extend(ties);
    json::text(&json!({ "@context": context(), "@graph": things }))
}

fn exercise(id: &str) -> String {
    format!("{EXERCISE}{id}")
}

/// An object of one of our own types, and of the common ones that it also is.
fn named(kind: &str) -> Map<String, Json> {
    let kinds = match kind {
        "Exercise" => json!(["Exercise", "skos:Concept", "schema:PhysicalActivity"]),
        "Pattern" => json!(["Pattern", "skos:Concept"]),
        other => json!(other),
    };
    Map::from_iter([("@type".to_string(), kinds)])
}

fn plain(value: &Value<'_>) -> Json {
    match value {
        Value::Text(text) => json!(text),
        Value::Texts(texts) => json!(texts),
        Value::Whole(n) => json!(n),
        Value::Number(n) => json!(n),
    }
}

/// What every word stands for; words of nodes, edges and kinds come from their tables.
fn context() -> Json {
    let own = |name: &str| format!("stead:{name}");
    let mut context = Map::from_iter([
        ("@version".to_string(), json!(1.1)),
        ("skos".to_string(), json!("http://www.w3.org/2004/02/skos/core#")),
        ("schema".to_string(), json!("https://schema.org/")),
        ("xsd".to_string(), json!("http://www.w3.org/2001/XMLSchema#")),
        ("stead".to_string(), json!(VOCABULARY)),
    ]);
    for kind in ["Exercise", "Pattern", "Tie"] {
        context.insert(kind.to_string(), json!(own(kind)));
    }
    for key in NODE_KEYS.iter().chain(EDGE_KEYS) {
        context.insert(key.name.to_string(), term(key));
    }
    for kind in KINDS {
        context.insert(kind.word.to_string(), json!({ "@id": own(kind.word), "@type": "@id" }));
    }
    // Common words, where there are any.
    for (word, stands_for) in [
        ("name", json!({ "@id": "skos:prefLabel", "@language": "en" })),
        ("definition", json!({ "@id": "skos:definition", "@language": "en" })),
        ("above", json!({ "@id": "skos:broader", "@type": "@id" })),
        ("variation", json!({ "@id": "skos:broader", "@type": "@id" })),
        ("pattern", json!({ "@id": own("pattern"), "@type": "@id" })),
        ("scheme", json!({ "@id": "skos:inScheme", "@type": "@id" })),
        ("version", json!("schema:version")),
        ("stamp", json!(own("stamp"))),
        ("kind", json!(own("kind"))),
        ("from", json!({ "@id": own("from"), "@type": "@id" })),
        ("to", json!({ "@id": own("to"), "@type": "@id" })),
    ] {
        context.insert(word.to_string(), stands_for);
    }
    Json::Object(context)
}

fn term(key: &Key) -> Json {
    let id = format!("stead:{}", key.name);
    match key.holds {
        Holds::Text | Holds::Texts => json!(id),
        Holds::Whole => json!({ "@id": id, "@type": "xsd:integer" }),
        // Whole ratios would else be read as integers.
        Holds::Number => json!({ "@id": id, "@type": "xsd:double" }),
    }
}
