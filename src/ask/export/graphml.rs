//! The graph as GraphML, every key typed.
//!
//! Leans on quick-xml for markup and escaping, and on [`crate::ask::graph`]. Leaves to others:
//! layout. Structure and attribute types are those of <http://graphml.graphdrawing.org/>,
//! version 1.0: keys first, then one directed graph; lists are joined as in the flat table.

use quick_xml::Writer;
use quick_xml::events::{BytesDecl, BytesText, Event};

use super::fault;
use super::flat::joined;
use crate::ask::Error;
use crate::ask::graph::{self, EDGE_KEYS, Holds, KIND, KINDS, Key, NODE_KEYS, Value};
use crate::kb::Kb;

/// Namespace of GraphML.
const NAMESPACE: &str = "http://graphml.graphdrawing.org/xmlns";
/// Namespace of the hint at the schema.
const INSTANCE: &str = "http://www.w3.org/2001/XMLSchema-instance";
/// Namespace with the place of its schema.
const PLACE: &str = "http://graphml.graphdrawing.org/xmlns http://graphml.graphdrawing.org/xmlns/1.0/graphml.xsd";

/// What the graph itself carries.
static GRAPH_KEYS: &[&Key] = &[
    &Key { name: "base", holds: Holds::Text, means: "name of the base" },
    &Key { name: "version", holds: Holds::Text, means: "version of the base" },
    &Key { name: "stamp", holds: Holds::Text, means: "fingerprint of its texts" },
];

type Xml = Writer<Vec<u8>>;

pub(super) fn text(kb: &Kb) -> Result<String, Error> {
    let (nodes, edges) = (graph::nodes(kb)?, graph::edges(kb));
    let kinds: Vec<String> = KINDS.iter().map(|k| format!("{}: source {} target", k.word, k.means)).collect();
    let kinds = kinds.join("; ");
    let of_base = [kb.base.name.as_str(), &kb.base.version, &kb.stamp];

    let mut xml = Writer::new_with_indent(Vec::new(), b' ', 2);
    let written = (|| {
        xml.write_event(Event::Decl(BytesDecl::new("1.0", Some("UTF-8"), None)))?;
        xml.create_element("graphml")
            .with_attributes([("xmlns", NAMESPACE), ("xmlns:xsi", INSTANCE), ("xsi:schemaLocation", PLACE)])
            .write_inner_content(|xml| {
                for (of, keys) in
                    [("graph", GRAPH_KEYS), ("node", NODE_KEYS), ("edge", &[&KIND][..]), ("edge", EDGE_KEYS)]
                {
                    keys.iter().try_for_each(|key| declare(xml, of, key))?;
                }
                xml.create_element("graph")
                    .with_attributes([("id", "base"), ("edgedefault", "directed")])
                    .write_inner_content(|xml| {
                        told(xml, "desc", &kinds)?;
                        for (key, value) in GRAPH_KEYS.iter().zip(of_base) {
                            data(xml, "graph", key, &Value::Text(value))?;
                        }
                        for node in &nodes {
                            xml.create_element("node").with_attribute(("id", node.id)).write_inner_content(|xml| {
                                node.values.iter().try_for_each(|(key, value)| data(xml, "node", key, value))
                            })?;
                        }
                        for edge in &edges {
                            xml.create_element("edge")
                                .with_attributes([("source", edge.from), ("target", edge.to)])
                                .write_inner_content(|xml| {
                                    data(xml, "edge", &KIND, &Value::Text(edge.kind))?;
                                    edge.values.iter().try_for_each(|(key, value)| data(xml, "edge", key, value))
                                })?;
                        }
                        Ok(())
                    })?;
                Ok(())
            })?;
        Ok::<(), std::io::Error>(())
    })();
    written.map_err(fault)?;
    String::from_utf8(xml.into_inner()).map_err(fault)
}

/// The id of a key; one for each thing that it may belong to.
fn id(of: &str, key: &Key) -> String {
    format!("{of}.{}", key.name)
}

fn declare(xml: &mut Xml, of: &str, key: &Key) -> std::io::Result<()> {
    let kind = match key.holds {
        Holds::Text | Holds::Texts => "string",
        Holds::Whole => "int",
        Holds::Number => "double",
    };
    let id = id(of, key);
    xml.create_element("key")
        .with_attributes([("id", id.as_str()), ("for", of), ("attr.name", key.name), ("attr.type", kind)])
        .write_inner_content(|xml| told(xml, "desc", key.means))?;
    Ok(())
}

fn data(xml: &mut Xml, of: &str, key: &Key, value: &Value<'_>) -> std::io::Result<()> {
    let text = match value {
        Value::Text(text) => (*text).to_string(),
        Value::Texts(texts) => joined(texts),
        Value::Whole(n) => n.to_string(),
        Value::Number(n) => n.to_string(),
    };
    let id = id(of, key);
    let text = legal(&text);
    xml.create_element("data").with_attribute(("key", id.as_str())).write_text_content(BytesText::new(&text))?;
    Ok(())
}

fn told(xml: &mut Xml, element: &str, text: &str) -> std::io::Result<()> {
    xml.create_element(element).write_text_content(BytesText::new(&legal(text)))?;
    Ok(())
}

/// The text without what XML 1.0 has no way to write (its production 2, Char).
fn legal(text: &str) -> String {
    let writable =
        |c: char| !matches!(c, '\0'..='\u{8}' | '\u{b}' | '\u{c}' | '\u{e}'..='\u{1f}' | '\u{fffe}' | '\u{ffff}');
    text.chars().map(|c| if writable(c) { c } else { '\u{fffd}' }).collect()
}
