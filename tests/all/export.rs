//! The base written down: every form read back by a reader of another library, and compared with
//! the records.
//!
//! Leans on roxmltree, csv and serde_json as readers, and on `tests/fixtures/odd-names`, an overlay
//! whose names hold every character that some form must escape. Leaves to others: the same read
//! by libraries of graphs and linked data (`tests/fixtures/check_graph.py`).

use std::collections::{BTreeMap, BTreeSet};

use serde_json::Value;
use stead::ask::Engine;
use stead::ask::export::{self, Form, Request};
use stead::ask::graph::{self, EDGE_KEYS, KIND, KINDS, NODE_KEYS};
use stead::kb::files::Files;
use stead::kb::raw;

use crate::root;

fn odd() -> Engine {
    let overlay = Files::read(&root().join("tests/fixtures/odd-names")).unwrap();
    Engine::from_layers(&[Engine::shipped_files(), overlay]).unwrap()
}

fn written(engine: &Engine, form: Form) -> String {
    export::answer(engine, &Request { form }).unwrap().text
}

fn records(engine: &Engine) -> Vec<&raw::Exercise> {
    (0..engine.kb().len()).map(|row| engine.kb().exercise(row).unwrap()).collect()
}

#[test]
fn the_odd_names_hold_what_needs_escaping() {
    let engine = odd();
    let e = records(&engine).into_iter().find(|e| e.id == "odd-quotes").unwrap();
    let text = format!("{} {} {}", e.name, e.aliases.join(" "), e.cues.join(" "));
    for mark in ["\"", "&", "<", ">", "'", ",", ";", "|", "\\", "\n", "\t", "]]>", "ü", "漕"] {
        assert!(text.contains(mark), "{mark:?}");
    }
}

#[test]
fn the_same_base_gives_the_same_bytes() {
    let shipped = Engine::shipped().unwrap();
    let folder = Engine::from_layers(&[Files::read(&root().join("kb")).unwrap()]).unwrap();
    for form in Form::ALL {
        let text = written(&shipped, *form);
        assert_eq!(text, written(&folder, *form), "{form}");
        assert!(text.ends_with('\n') && !text.ends_with("\n\n"), "{form}");
    }
}

#[test]
fn json_is_the_records_with_what_is_computed() {
    let engine = odd();
    let kb = engine.kb();
    let whole: Value = serde_json::from_str(&written(&engine, Form::Json)).unwrap();
    let told = whole["exercises"].as_array().unwrap();
    let mut computed = 0;
    for (row, (record, exercise)) in told.iter().zip(records(&engine)).enumerate() {
        let mut record = record.clone();
        let fields = record.as_object_mut().unwrap();
        assert_eq!(fields.remove("spine_class").unwrap(), kb.spine_class(row).word(), "{}", exercise.id);
        let by_model = fields.remove("computed_spine_class").unwrap();
        if exercise.spine.is_none() {
            assert_eq!(by_model, kb.spine_class(row).word(), "{}", exercise.id);
            computed += 1;
        }
        let body_weights = fields.remove("compression_bw").unwrap().as_f64().unwrap();
        assert!((body_weights - f64::from(kb.table.rows[row].compression_bw)).abs() <= 0.0005, "{}", exercise.id);
        assert_eq!(serde_json::from_value::<raw::Exercise>(record).unwrap(), *exercise);
    }
    assert_eq!(told.len(), kb.len());
    assert!(computed > 500, "{computed}");
    // The rest is the taxonomy, list by list.
    assert_eq!(serde_json::from_value::<Vec<raw::Pattern>>(whole["patterns"].clone()).unwrap(), kb.patterns);
    assert_eq!(serde_json::from_value::<Vec<raw::Muscle>>(whole["muscles"].clone()).unwrap(), kb.muscles);
    assert_eq!(serde_json::from_value::<Vec<raw::Region>>(whole["regions"].clone()).unwrap(), kb.regions);
    assert_eq!(serde_json::from_value::<Vec<raw::Equipment>>(whole["equipment"].clone()).unwrap(), kb.equipment);
    assert_eq!(serde_json::from_value::<Vec<raw::Anchor>>(whole["anchors"].clone()).unwrap(), kb.anchors);
    assert_eq!(serde_json::from_value::<Vec<raw::Posture>>(whole["postures"].clone()).unwrap(), kb.postures);
    assert_eq!(serde_json::from_value::<Vec<raw::Gym>>(whole["gyms"].clone()).unwrap(), kb.gyms);
    assert_eq!(serde_json::from_value::<Vec<raw::CarryOver>>(whole["carryover"].clone()).unwrap(), kb.carryover);
    assert_eq!(serde_json::from_value::<raw::Cautions>(whole["cautions"].clone()).unwrap(), kb.cautions);
    assert_eq!(serde_json::from_value::<Vec<raw::Source>>(whole["sources"].clone()).unwrap(), kb.sources);
    assert_eq!(serde_json::from_value::<raw::Ranking>(whole["ranking"].clone()).unwrap(), kb.ranking);
}

/// A list in one cell taken apart: `|` between its things, `\` before a `|` or `\` inside one.
fn things(cell: &str) -> Vec<String> {
    if cell.is_empty() {
        return Vec::new();
    }
    let mut all = vec![String::new()];
    let mut chars = cell.chars();
    while let Some(c) = chars.next() {
        match c {
            '|' => all.push(String::new()),
            '\\' => all.last_mut().unwrap().push(chars.next().unwrap()),
            c => all.last_mut().unwrap().push(c),
        }
    }
    all
}

#[test]
fn csv_is_read_back_record_by_record() {
    let engine = odd();
    let text = written(&engine, Form::Csv);
    // RFC 4180: lines end in CRLF, quotation marks are doubled inside a quoted field.
    assert!(text.ends_with("\r\n") && text.contains("\"\"port & starboard\"\""));
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let names: Vec<String> = reader.headers().unwrap().iter().map(str::to_string).collect();
    assert_eq!(names.iter().collect::<BTreeSet<_>>().len(), names.len(), "{names:?}");
    let rows: Vec<BTreeMap<String, String>> = reader.deserialize().collect::<Result<_, _>>().unwrap();
    assert_eq!(rows.len(), engine.kb().len());
    for (row, e) in rows.iter().zip(records(&engine)) {
        let number = |name: &str| if row[name].is_empty() { None } else { Some(row[name].parse::<f64>().unwrap()) };
        assert_eq!((&row["id"], &row["name"], &row["pattern"]), (&e.id, &e.name, &e.pattern));
        for (name, list) in [
            ("aliases", &e.aliases),
            ("also_patterns", &e.also_patterns),
            ("optional", &e.optional),
            ("cues", &e.cues),
            ("cautions", &e.cautions),
            ("easier", &e.easier),
            ("harder", &e.harder),
        ] {
            assert_eq!(things(&row[name]), *list, "{} {name}", e.id);
        }
        let kit: Vec<Vec<String>> =
            things(&row["equipment"]).iter().map(|alt| alt.split('+').map(str::to_string).collect()).collect();
        assert_eq!(kit, e.equipment);
        let muscles: BTreeMap<String, f64> = things(&row["muscles"])
            .iter()
            .map(|t| t.split_once('=').map(|(m, w)| (m.to_string(), w.parse().unwrap())).unwrap())
            .collect();
        assert_eq!(muscles, e.muscles);
        let grades = e.joints.values().map(BTreeMap::len).sum::<usize>();
        assert_eq!(things(&row["joints"]).len(), grades);
        assert_eq!(number("headroom_m"), e.headroom_m);
        assert_eq!(number("posture_trunk_deg"), e.posture.trunk_deg);
        assert_eq!(number("load_share"), Some(e.typical_load.share));
        assert_eq!(number("reps_high"), Some(f64::from(e.reps.high)));
        assert_eq!(row["set_spine_reason"], e.spine.as_ref().and_then(|s| s.reason.clone()).unwrap_or_default());
        assert_eq!(row["parent"], e.parent.clone().unwrap_or_default());
    }
}

/// The form of a name token (XML 1.0, production 7), as far as ids go.
fn is_name_token(text: &str) -> bool {
    !text.is_empty() && text.chars().all(|c| c.is_alphanumeric() || "-._:".contains(c))
}

#[test]
fn graphml_keeps_the_standard_and_is_read_back() {
    // Structure and types by the GraphML primer and the schema of its structural layer at
    // http://graphml.graphdrawing.org/xmlns/1.0/: keys before graphs, each id once, a name token;
    // `for` and `attr.type` from closed lists; data under keys declared for its element.
    const SPACE: &str = "http://graphml.graphdrawing.org/xmlns";
    let engine = odd();
    let text = written(&engine, Form::GraphMl);
    assert!(text.starts_with("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"));
    let document = roxmltree::Document::parse(&text).unwrap();
    let top = document.root_element();
    assert_eq!((top.tag_name().name(), top.tag_name().namespace()), ("graphml", Some(SPACE)));
    let children: Vec<_> = top.children().filter(|n| n.is_element()).map(|n| n.tag_name().name()).collect();
    let keys = children.iter().take_while(|name| **name == "key").count();
    assert_eq!(children[keys..], ["graph"]);

    let mut declared = BTreeMap::new();
    for key in top.children().filter(|n| n.has_tag_name((SPACE, "key"))) {
        let of = |name: &str| key.attribute(name).unwrap_or_else(|| panic!("a key without {name}"));
        assert!(is_name_token(of("id")), "{}", of("id"));
        assert!(["graph", "node", "edge"].contains(&of("for")));
        assert!(["boolean", "int", "long", "float", "double", "string"].contains(&of("attr.type")));
        let before = declared.insert(of("id"), (of("for"), of("attr.name"), of("attr.type")));
        assert!(before.is_none(), "{} twice", of("id"));
    }
    assert_eq!(declared.values().filter(|(of, _, _)| *of == "node").count(), NODE_KEYS.len());
    assert_eq!(declared.values().filter(|(of, _, _)| *of == "edge").count(), EDGE_KEYS.len() + 1);

    let graph = top.children().find(|n| n.has_tag_name((SPACE, "graph"))).unwrap();
    assert_eq!(graph.attribute("edgedefault"), Some("directed"));
    let data = |of: &roxmltree::Node<'_, '_>, element: &str| -> BTreeMap<String, String> {
        let data = of.children().filter(|n| n.has_tag_name((SPACE, "data")));
        data.map(|d| {
            let (owner, name, kind) = declared[d.attribute("key").unwrap()];
            assert_eq!(owner, element);
            let value = d.text().unwrap_or_default().to_string();
            match kind {
                "int" => assert!(value.parse::<i32>().is_ok(), "{name} {value}"),
                "double" => assert!(value.parse::<f64>().is_ok(), "{name} {value}"),
                _ => {}
            }
            (name.to_string(), value)
        })
        .collect()
    };
    assert_eq!(data(&graph, "graph")["stamp"], engine.kb().stamp);

    let nodes: Vec<_> = graph.children().filter(|n| n.has_tag_name((SPACE, "node"))).collect();
    assert_eq!(nodes.len(), engine.kb().len());
    for (row, (node, e)) in nodes.iter().zip(records(&engine)).enumerate() {
        assert_eq!(node.attribute("id"), Some(e.id.as_str()));
        assert!(is_name_token(&e.id));
        let values = data(node, "node");
        assert_eq!((&values["name"], &values["pattern"]), (&e.name, &e.pattern));
        assert_eq!(values["role"], e.role.word());
        assert_eq!(values["spine_class"], engine.kb().spine_class(row).word());
        assert_eq!((values["usual"].parse(), values["skill"].parse()), (Ok(e.usual), Ok(e.skill)));
    }
    let edges = graph::edges(engine.kb());
    let told: Vec<_> = graph.children().filter(|n| n.has_tag_name((SPACE, "edge"))).collect();
    assert_eq!(told.len(), edges.len());
    for (node, edge) in told.iter().zip(&edges) {
        assert_eq!((node.attribute("source"), node.attribute("target")), (Some(edge.from), Some(edge.to)));
        let values = data(node, "edge");
        assert_eq!(values[KIND.name], edge.kind);
        assert_eq!(values.len(), 1 + edge.values.len());
    }
    assert!(edges.iter().any(|e| !e.values.is_empty()), "no edge with figures");
}

/// The quoted texts of DOT, escapes undone; what is between them has none.
fn quoted(text: &str) -> Vec<String> {
    let mut all = Vec::new();
    let mut chars = text.chars();
    while let Some(c) = chars.next() {
        if c != '"' {
            assert!(c.is_ascii() && c != '\\', "{c:?} outside quotation marks");
            continue;
        }
        let mut inside = String::new();
        loop {
            match chars.next().expect("a closing quotation mark") {
                '"' => break,
                '\\' => match chars.next().expect("an escaped character") {
                    '"' => inside.push('"'),
                    other => inside.extend(['\\', other]),
                },
                c => inside.push(c),
            }
        }
        all.push(inside);
    }
    all
}

#[test]
fn dot_has_every_id_name_and_edge() {
    let engine = odd();
    let text = written(&engine, Form::Dot);
    assert!(text.starts_with("digraph \"stead\" {\n") && text.ends_with("\n}\n"));
    let texts: BTreeSet<String> = quoted(&text).into_iter().collect();
    for e in records(&engine) {
        // A label reads backslashes of its own, so they stand doubled.
        assert!(texts.contains(&e.id) && texts.contains(&e.name.replace('\\', "\\\\")), "{}", e.id);
    }
    let edges = graph::edges(engine.kb());
    assert_eq!(text.lines().filter(|l| l.contains("\" -> \"") && l.contains("[kind=")).count(), edges.len());
    for edge in &edges {
        let start = format!("  \"{}\" -> \"{}\" [kind=\"{}\"", edge.from, edge.to, edge.kind);
        assert!(text.contains(&start), "{start}");
    }
    assert!(text.contains("kind=\"carry-over\", ratio=0.8, low=0.7, high=1, counted=\"body-and-added\""));
}

#[test]
fn json_ld_names_every_exercise_pattern_and_tie_without_a_network() {
    let engine = odd();
    let whole: Value = serde_json::from_str(&written(&engine, Form::JsonLd)).unwrap();
    let context = whole["@context"].as_object().expect("the context itself, not a place to fetch it from");
    let things = whole["@graph"].as_array().unwrap();
    let ids: BTreeSet<&str> = things.iter().filter_map(|t| t["@id"].as_str()).collect();
    let id = |id: &str| format!("{}{id}", export::EXERCISE);
    for e in records(&engine) {
        let thing = things.iter().find(|t| t["@id"] == id(&e.id)).unwrap();
        assert_eq!(thing["name"], e.name);
        assert_eq!(thing["pattern"], format!("{}{}", export::PATTERN, e.pattern));
        let parents: Vec<String> = e.parent.iter().map(|p| id(p)).collect();
        assert_eq!(serde_json::from_value::<Vec<String>>(thing["variation"].clone()).unwrap_or_default(), parents);
    }
    for thing in things {
        for (word, value) in thing.as_object().unwrap() {
            assert!(word.starts_with('@') || context.contains_key(word), "{word} stands for nothing");
            // Whatever is named by an id of ours is told.
            let named = value.as_array().cloned().unwrap_or_else(|| vec![value.clone()]);
            for urn in named.iter().filter_map(Value::as_str).filter(|v| v.starts_with("urn:stead:")) {
                assert!(ids.contains(urn), "{word} {urn}");
            }
        }
    }
    for kind in KINDS {
        assert!(context.contains_key(kind.word));
    }
    let ties: Vec<_> = things.iter().filter(|t| t["@type"] == "Tie").collect();
    let odd = ties.iter().find(|t| t["from"] == id("odd-quotes")).unwrap();
    assert_eq!((&odd["kind"], odd["ratio"].as_f64()), (&Value::from("carry-over"), Some(0.8)));
}
