//! The graph in the DOT language of Graphviz.
//!
//! Leans on [`crate::ask::graph`]. Leaves to others: how it is drawn. Escaping is by the grammar
//! at <https://graphviz.org/doc/info/lang.html>: in a quoted text a quotation mark takes a
//! backslash and nothing else does, but a label reads backslashes of its own, so there they are
//! doubled.

use std::fmt::Write as _;

use super::flat::joined;
use crate::ask::Error;
use crate::ask::graph::{self, Key, Value};
use crate::kb::Kb;

pub(super) fn text(kb: &Kb) -> Result<String, Error> {
    let base = &kb.base;
    let mut out = String::new();
    // A String takes every write.
    let _ = writeln!(out, "digraph {} {{", quoted(&base.name));
    let _ = writeln!(out, "  graph [version={}, stamp={}];", quoted(&base.version), quoted(&kb.stamp));
    for node in graph::nodes(kb)? {
        let _ = writeln!(out, "  {} [{}];", quoted(node.id), attributes(None, &node.values));
    }
    for edge in graph::edges(kb) {
        let (from, to) = (quoted(edge.from), quoted(edge.to));
        let _ = writeln!(out, "  {from} -> {to} [{}];", attributes(Some(edge.kind), &edge.values));
    }
    out.push_str("}\n");
    Ok(out)
}

fn attributes(kind: Option<&str>, values: &[(&Key, Value<'_>)]) -> String {
    let kind = kind.map(|kind| format!("kind={}", quoted(kind)));
    let rest = values.iter().map(|(key, value)| match (key.name, value) {
        // What Graphviz writes on a node.
        ("name", Value::Text(name)) => format!("label={}", quoted(&name.replace('\\', "\\\\"))),
        (name, Value::Text(text)) => format!("{name}={}", quoted(text)),
        (name, Value::Texts(texts)) => format!("{name}={}", quoted(&joined(texts))),
        (name, Value::Whole(n)) => format!("{name}={n}"),
        (name, Value::Number(n)) => format!("{name}={n}"),
    });
    kind.into_iter().chain(rest).collect::<Vec<_>>().join(", ")
}

fn quoted(text: &str) -> String {
    format!("\"{}\"", text.replace('"', "\\\""))
}
