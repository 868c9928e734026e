//! The API described as OpenAPI 3.1, made from the types.
//!
//! Leans on the JSON Schemas that schemars makes of every question and reply
//! ([`crate::ask::schema`]), on the table of routes ([`super::routes::ROUTES`]) and on the examples
//! of `examples`. Leaves to others: what the schemas say of each member. A route without an
//! entry here fails a test that says what to add.

mod examples;
mod schemas;

use std::sync::OnceLock;

use serde_json::{Map, Value, json};

use self::examples::{Asks, OPERATIONS, Operation, Replies};
use self::schemas::Components;
use super::around::REQUEST_ID;
use super::error::{Failure, PROBLEM_JSON, Place};
use super::routes::{DOCS, DOCS_FILE, JSON, ROUTES, Route};
use crate::ask::{Engine, Error, export};

/// Routes that are for people and no part of the API.
pub const UNDESCRIBED: &[&str] = &[DOCS.path, DOCS_FILE.path, "/", "/page/{file}"];

/// The document as compact JSON, made when first asked for. Its examples are asked of the shipped
/// base, whatever base is served.
///
/// # Errors
/// [`Failure::Fault`] when the program was built wrongly.
pub fn text() -> Result<&'static str, Failure> {
    static TEXT: OnceLock<String> = OnceLock::new();
    if let Some(text) = TEXT.get() {
        return Ok(text);
    }
    let made = serde_json::to_string(&document()?).map_err(|_| Failure::Fault("the description does not serialise"))?;
    Ok(TEXT.get_or_init(|| made))
}

/// The document.
///
/// # Errors
/// As [`text`].
pub fn document() -> Result<Value, Failure> {
    let engine = Engine::shipped().map_err(|_| Failure::Fault("the shipped base does not open"))?;
    let mut components = Components::new();
    let problem = components.own::<super::error::Problem>("Problem");
    let mut paths = Map::new();
    for operation in OPERATIONS {
        let route = ROUTES.iter().find(|r| r.path == operation.path);
        let route = route.ok_or(Failure::Fault("a description without a route"))?;
        let method = if route.allow == "POST" { "post" } else { "get" };
        let described = described(&engine, &mut components, route, operation)?;
        paths.insert(operation.path.to_string(), json!({ method: described }));
    }
    let responses: Map<String, Value> = PROBLEMS.iter().map(|p| (p.name.to_string(), p.response(&problem))).collect();
    Ok(json!({
        "openapi": "3.1.0",
        "info": {
            "title": "stead",
            "version": env!("CARGO_PKG_VERSION"),
            "summary": "What to train instead, when something is sore or kit is short",
            "description": INTRODUCTION,
            "license": {"name": "MIT OR Apache-2.0", "identifier": "MIT OR Apache-2.0"},
        },
        "servers": [{"url": "/", "description": "The server that this was read from"}],
        "tags": examples::TAGS.iter().map(|(name, means)| json!({"name": name, "description": means})).collect::<Vec<_>>(),
        "paths": paths,
        "components": {
            "schemas": components.take(),
            "responses": responses,
            "headers": {
                "RequestId": {
                    "description": "The id that the request came with, where it is a plain word of at most 64 characters; else a new one.",
                    "schema": {"type": "string"},
                },
                "ETag": {
                    "description": "Strong validator: the same question gets the same from every server of the same base.",
                    "schema": {"type": "string"},
                },
                "RetryAfter": {"description": "Seconds until the next request may come.", "schema": {"type": "integer", "minimum": 1}},
            },
        },
    }))
}

const INTRODUCTION: &str = "\
The questions of `stead` over HTTP: what replaces an exercise when something is sore or kit is \
short, what to put on the bar, what a week carries. Every reply names the base that it stands on; \
the same question and base give the same bytes. Examples are set in the Boathouse, the boat-shed gym \
of a volunteer coastal rescue crew, and asked of the base that the program ships with.\n\n\
Errors are problem details (RFC 9457) with a stable `code`, a JSON `pointer` to the value at fault \
and the `nearest` valid values. A `GET` spells its question as parameters: `?top=0` is `/top`.\n\n\
This is general training information, not a diagnosis and not a clearance to train. Nothing here \
says that a lift is safe; estimates carry their uncertainty. Pass warning signs in `signs`: an \
emergency ends the answer with what to do, and no exercise is shown.";

/// One operation as OpenAPI describes it.
fn described(
    engine: &Engine,
    components: &mut Components,
    route: &Route,
    operation: &Operation,
) -> Result<Value, Failure> {
    let mut out = Map::new();
    let summary = format!(
        "{}{}",
        route.answers.get(..1).unwrap_or_default().to_uppercase(),
        route.answers.get(1..).unwrap_or_default()
    );
    out.insert("operationId".to_string(), json!(operation.id));
    out.insert("summary".to_string(), json!(summary));
    out.insert("description".to_string(), json!(operation.means));
    out.insert("tags".to_string(), json!([operation.tag]));
    let mut statuses = vec![429, 431, 500];
    match operation.asks {
        Asks::Body(schema) => {
            let schema = components.question(schema)?;
            let examples: Map<String, Value> = operation
                .examples
                .iter()
                .map(|e| Ok((e.name.to_string(), json!({"summary": e.summary, "value": read(e.question)?}))))
                .collect::<Result<_, Failure>>()?;
            let content = json!({ JSON: {"schema": schema, "examples": examples} });
            out.insert("requestBody".to_string(), json!({"required": true, "content": content}));
            statuses.extend([400, 408, 413, 415, 422]);
        }
        Asks::Query(schema, step) => {
            out.insert("parameters".to_string(), parameters(schema, step, operation)?);
            statuses.push(400);
            statuses.extend(step.is_some().then_some(404));
        }
        Asks::Nothing => {
            if route.path.starts_with("/v1/") {
                statuses.push(400);
            }
        }
    }
    statuses.extend(operation.further);
    statuses.sort_unstable();
    let mut responses = Map::new();
    let mut ok = json!({
        "description": operation.replies_with,
        "headers": {"X-Request-Id": {"$ref": "#/components/headers/RequestId"}},
        "content": content(engine, components, operation)?,
    });
    if operation.kept {
        ok["headers"]["ETag"] = json!({"$ref": "#/components/headers/ETag"});
        let same = "The client has this reply already, under the tag that it gave in `If-None-Match`.";
        let headers = json!({"ETag": {"$ref": "#/components/headers/ETag"}});
        responses.insert("304".to_string(), json!({"description": same, "headers": headers}));
    }
    responses.insert("200".to_string(), ok);
    for status in statuses {
        let problem = PROBLEMS.iter().find(|p| p.status == status).ok_or(Failure::Fault("an undescribed status"))?;
        responses.insert(status.to_string(), json!({"$ref": format!("#/components/responses/{}", problem.name)}));
    }
    out.insert("responses".to_string(), Value::Object(responses));
    Ok(Value::Object(out))
}

/// What a reply holds, by media type.
fn content(engine: &Engine, components: &mut Components, operation: &Operation) -> Result<Value, Failure> {
    Ok(match operation.replies {
        Replies::Json(schema) => {
            let schema = components.reply(schema)?;
            let mut content = json!({"schema": schema});
            if let (Some(example), Some(answer)) = (operation.examples.first(), operation.answer) {
                let reply = answer(engine, example.question.as_bytes())?;
                let value: Value =
                    serde_json::from_slice(&reply).map_err(|_| Failure::Fault("a reply that is no JSON"))?;
                content["examples"] = json!({ example.name: {"summary": example.summary, "value": value} });
            }
            json!({ JSON: content })
        }
        Replies::Own(make, example) => {
            json!({ JSON: {"schema": make(components), "examples": {"usual": {"value": read(example)?}}} })
        }
        Replies::Text(media, example) => {
            json!({ media: {"schema": {"type": "string"}, "examples": {"start": {"value": example}}} })
        }
        Replies::Exports => {
            let mut content = json!({ JSON: {"schema": components.reply("export-reply.json")?} });
            for form in export::Form::ALL.iter().filter(|f| **f != export::Form::Json) {
                let schema =
                    if *form == export::Form::JsonLd { json!({"type": "object"}) } else { json!({"type": "string"}) };
                content[form.media_type()] = json!({"schema": schema});
            }
            content
        }
    })
}

/// The members of a question as parameters of the address.
fn parameters(schema: &str, step: Option<&str>, operation: &Operation) -> Result<Value, Failure> {
    let example = operation.examples.first().map(|e| read(e.question)).transpose()?.unwrap_or_default();
    let mut list = Vec::new();
    for (name, member) in schemas::members(schema)? {
        // What a path has as a step it does not take as a parameter.
        let in_path = step == Some(name.as_str());
        if step.is_some() && !in_path {
            continue;
        }
        let mut parameter = json!({
            "name": name,
            "in": if in_path { "path" } else { "query" },
            "required": in_path || operation.needs.contains(&name.as_str()),
            "description": member.means,
            "schema": member.schema,
        });
        if member.list {
            parameter["style"] = json!("form");
            parameter["explode"] = json!(true);
        }
        if let Some(value) = example.get(&name) {
            parameter["example"] = value.clone();
        }
        list.push(parameter);
    }
    Ok(Value::Array(list))
}

/// A text of this module as JSON.
fn read(text: &str) -> Result<Value, Failure> {
    serde_json::from_str(text).map_err(|_| Failure::Fault("an example that is no JSON"))
}

/// A status that a refusal may have.
struct Refusal {
    status: u16,
    name: &'static str,
    means: &'static str,
    example: fn() -> Failure,
}

fn text_of(text: &str) -> String {
    text.to_string()
}

const PROBLEMS: &[Refusal] = &[
    Refusal {
        status: 400,
        name: "BadRequest",
        means: "The request has not the shape of the question, or its address names a value that does not exist.",
        example: || Failure::Malformed {
            found: text_of("unknown field `exercize`"),
            pointer: text_of("/exercize"),
            hint: text_of("did you mean \"exercise\"?"),
            nearest: vec![text_of("exercise")],
        },
    },
    Refusal {
        status: 403,
        name: "Forbidden",
        means: "Only a client on the server's own machine may ask this.",
        example: || Failure::NotFromHere,
    },
    Refusal {
        status: 404,
        name: "NotFound",
        means: "Nothing is called so.",
        example: || Failure::Question {
            error: Error::UnknownExercise {
                given: text_of("bak squat rack"),
                pointer: text_of("/exercise"),
                nearest: vec![text_of("back-squat-high-bar")],
            },
            place: Place::Path,
        },
    },
    Refusal {
        status: 408,
        name: "TooSlow",
        means: "The body did not arrive in time.",
        example: || Failure::TooSlow { seconds: 10 },
    },
    Refusal {
        status: 409,
        name: "BrokenBase",
        means: "The base in the server's folders cannot be used; `problems` lists why, and the one before is served on.",
        example: || Failure::Broken {
            error: Error::Kb(crate::kb::KbError::Broken(vec![crate::kb::problem::Problem {
                file: text_of("exercises/boathouse.json"),
                pointer: text_of("/exercises/0/pattern"),
                rule: "ref-pattern",
                severity: crate::kb::problem::Severity::Error,
                found: text_of("no pattern called \"rwo\""),
                hint: text_of("did you mean \"row\"?"),
            }])),
        },
    },
    Refusal {
        status: 413,
        name: "TooLarge",
        means: "The body is longer than the server reads.",
        example: || Failure::TooLarge { limit: super::BODY_LIMIT },
    },
    Refusal {
        status: 415,
        name: "WrongMediaType",
        means: "The body is not plain JSON by its headers.",
        example: || Failure::MediaType { given: text_of("\"text/plain\"") },
    },
    Refusal {
        status: 422,
        name: "Unprocessable",
        means: "The body has the shape of the question, and a value in it does not exist, is out of bounds, or conflicts with another.",
        example: || Failure::Question {
            error: Error::Unknown {
                what: "region",
                given: text_of("kne"),
                pointer: text_of("/sore/0/region"),
                nearest: vec![text_of("knee")],
            },
            place: Place::Body,
        },
    },
    Refusal {
        status: 429,
        name: "TooMany",
        means: "The client asks more often than the server allows; `Retry-After` says when to ask again.",
        example: || Failure::TooMany { seconds: 1 },
    },
    Refusal {
        status: 431,
        name: "HeadTooLarge",
        means: "Address and headers are longer than the server reads.",
        example: || Failure::HeadTooLarge { limit: 16_384 },
    },
    Refusal { status: 500, name: "Fault", means: "A fault of the server.", example: || Failure::Fault("") },
    Refusal { status: 503, name: "NotReady", means: "The server is about to stop.", example: || Failure::NotReady },
];

impl Refusal {
    fn response(&self, problem: &Value) -> Value {
        let example = serde_json::to_value((self.example)().problem()).unwrap_or_default();
        let mut headers = json!({});
        headers[REQUEST_ID.as_str()] = json!({"$ref": "#/components/headers/RequestId"});
        if self.status == 429 {
            headers["Retry-After"] = json!({"$ref": "#/components/headers/RetryAfter"});
        }
        json!({
            "description": self.means,
            "headers": headers,
            "content": { PROBLEM_JSON: {"schema": problem, "examples": {"usual": {"value": example}}} },
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_route_is_described_with_an_example() {
        for route in ROUTES.iter().filter(|r| !UNDESCRIBED.contains(&r.path)) {
            let path = route.path;
            let Some(operation) = OPERATIONS.iter().find(|o| o.path == path) else {
                panic!(
                    "{path} is not described: add an Operation with its schemas and an example set in the Boathouse to \
                     OPERATIONS in src/http/openapi/examples.rs, or, when it is for people only, its path to UNDESCRIBED"
                );
            };
            let asks = !matches!(operation.asks, Asks::Nothing);
            assert!(!asks || !operation.examples.is_empty(), "{path} has no example: add one to its Operation");
        }
        for operation in OPERATIONS {
            assert!(ROUTES.iter().any(|r| r.path == operation.path), "{} is no route", operation.path);
        }
    }

    #[test]
    fn examples_of_problems_have_the_status_they_stand_for() {
        for refusal in PROBLEMS {
            assert_eq!((refusal.example)().problem().status, refusal.status, "{}", refusal.name);
        }
    }
}
