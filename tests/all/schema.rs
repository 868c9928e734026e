//! The JSON Schemas: checked in equal to the types, and kept by the base, the gyms and replies.
//!
//! Leans on the jsonschema crate, a validator by other people. Leaves to others: the rules that
//! a schema cannot say (`tests/all/base.rs`).

use std::collections::BTreeMap;

use serde_json::{Value, json};
use stead::ask::{Engine, export, find, list, reference, schema, score, show, stats, swap, terms};
use stead::kb::examine;
use stead::kb::files::Files;
use stead::kb::problem::Problem;

use crate::{bless, files_below, read, root, same_as_file};

fn validators() -> BTreeMap<&'static str, jsonschema::Validator> {
    schema::all().into_iter().map(|(name, schema)| (name, jsonschema::draft202012::new(&schema).unwrap())).collect()
}

/// What does not fit, empty when all does.
fn faults(validator: &jsonschema::Validator, value: &Value, what: &str) -> Vec<String> {
    validator.iter_errors(value).map(|e| format!("{what} {}: {e}", e.instance_path())).collect()
}

#[test]
fn checked_in_schemas_are_those_of_the_types() {
    let folder = root().join("kb/schema");
    let mut wrong = Vec::new();
    for (name, schema) in schema::all() {
        if bless() {
            std::fs::create_dir_all(&folder).unwrap();
            std::fs::write(folder.join(name), format!("{}\n", serde_json::to_string_pretty(&schema).unwrap())).unwrap();
        }
        let kept = std::fs::read_to_string(folder.join(name)).unwrap_or_else(|_| "null".to_string());
        if serde_json::from_str::<Value>(&kept).unwrap() != schema {
            wrong.push(format!("kb/schema/{name} is not the schema of the types; STEAD_BLESS=1 rewrites it"));
        }
    }
    let names: Vec<_> = schema::all().into_iter().map(|(name, _)| folder.join(name)).collect();
    wrong.extend(
        files_below(&folder, "").iter().filter(|p| !names.contains(p)).map(|p| format!("{} has no type", p.display())),
    );
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn the_checked_in_reference_is_that_of_the_types() {
    let reply = reference::answer();
    same_as_file("kb/REFERENCE.md", &reference::markdown(&reply)).unwrap();
    // One row a field of the schema, and every file of the shipped base among them.
    for path in files_below(&root().join("kb"), ".json") {
        let shown = path.strip_prefix(root().join("kb")).unwrap().display().to_string();
        let shown = if shown.starts_with("exercises/") { "exercises/<family>.json".to_string() } else { shown };
        assert!(shown.starts_with("schema/") || reply.files.iter().any(|f| f.path == shown), "{shown}");
    }
}

#[test]
fn every_field_that_the_base_uses_is_in_the_reference() {
    let reply = reference::answer();
    for file in reply.files.iter().filter(|f| !f.path.starts_with("exercises/")) {
        let value: Value = serde_json::from_str(&read(format!("kb/{}", file.path))).unwrap();
        let records: Vec<&Value> = match file.list {
            Some(list) => value[list].as_array().unwrap().iter().collect(),
            None => vec![&value],
        };
        for name in records.iter().flat_map(|r| r.as_object().unwrap().keys()).filter(|n| *n != "$schema") {
            assert!(file.fields.iter().any(|f| f.field == *name), "{} {name}", file.path);
        }
    }
}

#[test]
fn every_example_of_a_schema_fits_it() {
    fn walk(part: &Value, definitions: &Value, seen: &mut usize) {
        if let Some(examples) = part.get("examples").and_then(Value::as_array) {
            let mut alone = part.clone();
            if definitions.is_object() {
                alone["$defs"] = definitions.clone();
            }
            let validator = jsonschema::draft202012::new(&alone).unwrap();
            for example in examples {
                assert!(validator.is_valid(example), "{example} does not fit {part}");
                *seen += 1;
            }
        }
        match part {
            Value::Object(members) => members.values().for_each(|m| walk(m, definitions, seen)),
            Value::Array(list) => list.iter().for_each(|m| walk(m, definitions, seen)),
            _ => {}
        }
    }
    let mut seen = 0;
    for (_, schema) in schema::all() {
        walk(&schema, &schema["$defs"], &mut seen);
    }
    assert!(seen > 20, "only {seen} examples");
}

#[test]
fn the_examples_of_an_exercise_make_a_sound_one() {
    let reply = reference::answer();
    let mut record = json!({"like": "inverted-row-bar"});
    for field in &reply.files.iter().find(|f| f.list == Some("exercises")).unwrap().fields {
        let Some(example) = &field.example else { continue };
        let pointer = format!("/{}", field.field.replace('.', "/"));
        let (above, name) = pointer.rsplit_once('/').unwrap();
        if record.pointer(above).is_none() {
            record[above.trim_start_matches('/')] = json!({});
        }
        record.pointer_mut(above).unwrap()[name] = serde_json::from_str(example).unwrap();
    }
    assert!(record.as_object().unwrap().len() > 15, "{record}");
    let text = json!({"family": "crew", "exercises": [record]}).to_string();
    let overlay = Files::from_pairs(&[("exercises/crew.json", text.as_str())]);
    let (_, problems) = examine(&[Engine::shipped_files(), overlay]);
    // Posture and grades are each an example, not of one lift.
    let of_one_lift = ["hang-grades", "held-grip", "back-load", "press-overhead"];
    let apart = |p: &&Problem| !p.rule.starts_with("spine-") && !of_one_lift.contains(&p.rule);
    let wrong: Vec<_> = problems.iter().filter(apart).collect();
    assert!(wrong.is_empty(), "{wrong:?}");
}

#[test]
fn every_file_of_the_base_keeps_its_schema() {
    let validators = validators();
    let mut wrong = Vec::new();
    let mut checked = 0;
    for (folder, own) in [("kb", true), ("tests/mini", false)] {
        for path in files_below(&root().join(folder), ".json") {
            let shown = path.strip_prefix(root()).unwrap().display().to_string();
            if shown.starts_with("kb/schema") {
                continue;
            }
            let in_exercises = path.parent().is_some_and(|p| p.ends_with("exercises"));
            let name = if in_exercises { "exercises.json" } else { path.file_name().unwrap().to_str().unwrap() };
            let value: Value = serde_json::from_str(&std::fs::read_to_string(&path).unwrap()).unwrap();
            if own {
                let named = value["$schema"].as_str().unwrap_or_default();
                assert!(named.ends_with(&format!("schema/{name}")), "{shown} names {named}");
            }
            wrong.extend(faults(&validators[name], &value, &shown));
            checked += 1;
        }
    }
    assert!(checked > 40, "only {checked} files");
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn schemas_refuse_what_the_reader_refuses() {
    let validators = validators();
    let exercise = |record: Value| json!({"family": "crew", "exercises": [record]});
    let good = json!({"id": "oar-squat", "like": "back-squat-high-bar", "muscles": {"hamstrings": null}, "joints": {"elbow": null}});
    assert!(validators["exercises.json"].is_valid(&exercise(good)));
    assert!(validators["exercises.json"].is_valid(&exercise(json!({"id": "oar-squat", "hide": true}))));
    for bad in [
        json!({"like": "back-squat-high-bar"}),
        json!({"id": null}),
        json!({"id": "oar-squat", "wheight": 3}),
        json!({"id": "oar-squat", "support": "floating"}),
        json!({"id": "oar-squat", "joints": {"knee": {"deep_flexion": "two"}}}),
    ] {
        assert!(!validators["exercises.json"].is_valid(&exercise(bad.clone())), "{bad}");
    }
    let swap = &validators["swap-request.json"];
    assert!(
        swap.is_valid(&json!({"exercise": "back squat", "gym": "boathouse", "sore": [{"region": "knee", "pain": 3}]}))
    );
    assert!(!swap.is_valid(&json!({"exercise": "back squat", "gim": "boathouse"})));
    assert!(!swap.is_valid(&json!({"exercise": "back squat", "aim": "looks"})));
}

#[test]
fn gyms_and_requests_of_the_judged_questions_keep_their_schemas() {
    let validators = validators();
    let gyms: Value = serde_json::from_str(&read("queries/gyms.json")).unwrap();
    let mut wrong = faults(&validators["gyms.json"], &json!({"gyms": gyms["gyms"]}), "queries/gyms.json");
    let set = score::shipped().unwrap();
    for question in &set.questions {
        let request = serde_json::to_value(score::request(&set, question)).unwrap();
        wrong.extend(faults(&validators["swap-request.json"], &request, &question.id));
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn replies_keep_their_schemas() {
    let validators = validators();
    let engine = Engine::shipped().unwrap();
    let set = score::shipped().unwrap();
    let mut wrong = Vec::new();
    let mut check = |name: &str, value: Value, what: &str| wrong.extend(faults(&validators[name], &value, what));
    for question in &set.questions {
        let request = swap::Request { why: true, ..score::request(&set, question) };
        let reply = serde_json::to_value(swap::answer(&engine, &request).unwrap()).unwrap();
        check("swap-reply.json", reply, &question.id);
        let request = show::Request { exercise: request.exercise };
        check(
            "show-reply.json",
            serde_json::to_value(show::answer(&engine, &request).unwrap()).unwrap(),
            &question.lift,
        );
        let request = find::Request { text: question.lift.clone(), top: None };
        check(
            "find-reply.json",
            serde_json::to_value(find::answer(&engine, &request).unwrap()).unwrap(),
            &question.lift,
        );
    }
    let emergency = swap::Request { signs: vec!["chest-pain".to_string()], ..swap::Request::default() };
    check("swap-reply.json", serde_json::to_value(swap::answer(&engine, &emergency).unwrap()).unwrap(), "emergency");
    for request in
        [list::Request::default(), list::Request { muscle: Some("quads".to_string()), ..list::Request::default() }]
    {
        check("list-reply.json", serde_json::to_value(list::answer(&engine, &request).unwrap()).unwrap(), "list");
        check("list-request.json", serde_json::to_value(&request).unwrap(), "list");
    }
    check("export-reply.json", serde_json::to_value(export::whole(engine.kb()).unwrap()).unwrap(), "export");
    for form in export::Form::ALL {
        let request = export::Request { form: *form };
        check("export-request.json", serde_json::to_value(request).unwrap(), form.word());
    }
    check("stats-reply.json", serde_json::to_value(stats::answer(&engine)).unwrap(), "stats");
    let request = terms::Request::default();
    check("terms-reply.json", serde_json::to_value(terms::answer(&engine, &request).unwrap()).unwrap(), "terms");
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
