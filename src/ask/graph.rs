//! The exercises of a base as a graph: a node an exercise, an edge a tie between two of them.
//!
//! Leans on the compiled base. Leaves to others: how it is written down ([`super::export`]) and
//! counted ([`super::stats`]). [`KINDS`], [`NODE_KEYS`] and [`EDGE_KEYS`] are all there is to know
//! of it: a new kind of edge is a row of the first, what it carries is rows of the last, and every
//! form of export and the counts follow.

use super::list::pattern_of;
use super::{Error, Named};
use crate::kb::Kb;

/// What a value of a key is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Holds {
    /// A text.
    Text,
    /// Texts in an order, or none.
    Texts,
    /// A whole number.
    Whole,
    /// A number.
    Number,
}

/// A named value that nodes or edges carry.
#[derive(Debug, PartialEq, Eq)]
pub struct Key {
    /// Name, the same in every form of export.
    pub name: &'static str,
    /// What its values are.
    pub holds: Holds,
    /// What it says, with its unit or scale.
    pub means: &'static str,
}

/// A value of a key.
#[derive(Debug, Clone, PartialEq)]
pub enum Value<'k> {
    /// A text.
    Text(&'k str),
    /// Texts in an order.
    Texts(Vec<&'k str>),
    /// A whole number.
    Whole(i64),
    /// A number.
    Number(f64),
}

impl Value<'_> {
    /// What it is.
    #[must_use]
    pub const fn holds(&self) -> Holds {
        match self {
            Self::Text(_) => Holds::Text,
            Self::Texts(_) => Holds::Texts,
            Self::Whole(_) => Holds::Whole,
            Self::Number(_) => Holds::Number,
        }
    }
}

/// Values, each under its key.
pub type Values<'k> = Vec<(&'static Key, Value<'k>)>;

/// One exercise.
#[derive(Debug, Clone, PartialEq)]
pub struct Node<'k> {
    /// Plain id.
    pub id: &'k str,
    /// Values, one for each of [`NODE_KEYS`], in that order.
    pub values: Values<'k>,
}

/// One tie, told from `from`.
#[derive(Debug, Clone, PartialEq)]
pub struct Edge<'k> {
    /// Word of its kind, one of [`KINDS`].
    pub kind: &'static str,
    /// Id of the exercise that says it.
    pub from: &'k str,
    /// Id of the exercise it is said of.
    pub to: &'k str,
    /// Values beside the kind, each under one of [`EDGE_KEYS`]; none for most kinds.
    pub values: Values<'k>,
}

/// Takes one edge: the ids of its source and target, and its values.
type Tell<'t, 'k> = dyn FnMut(&'k str, &'k str, Values<'k>) + 't;

/// A kind of edge.
pub struct Kind {
    /// Word of the kind.
    pub word: &'static str,
    /// What an edge of it says, read from its source to its target.
    pub means: &'static str,
    /// Finds every edge of the kind, in order of row.
    find: for<'k> fn(&'k Kb, &mut Tell<'_, 'k>),
}

/// Every kind of edge, in the order in which edges are written.
pub const KINDS: &[Kind] = &[
    Kind {
        word: "variation",
        means: "is a variation of",
        find: |kb, tell| each(kb, |e| e.parent.as_slice(), &mut |from, to| tell(from, to, Vec::new())),
    },
    Kind {
        word: "easier",
        means: "has a next easier step in",
        find: |kb, tell| each(kb, |e| &e.easier, &mut |from, to| tell(from, to, Vec::new())),
    },
    Kind {
        word: "harder",
        means: "has a next harder step in",
        find: |kb, tell| each(kb, |e| &e.harder, &mut |from, to| tell(from, to, Vec::new())),
    },
    Kind {
        word: "carry-over",
        means: "tells by its load what to expect of",
        find: |kb, tell| {
            for pair in &kb.carryover {
                let values = vec![
                    (&RATIO, Value::Number(pair.ratio)),
                    (&LOW, Value::Number(pair.low)),
                    (&HIGH, Value::Number(pair.high)),
                    (&COUNTED, Value::Text(pair.counted.word())),
                    (&BASIS, Value::Text(&pair.basis)),
                ];
                tell(&pair.from, &pair.to, values);
            }
        },
    },
];

macro_rules! keys {
    ($(#[$doc:meta])* $list:ident { $($id:ident = $name:literal, $holds:ident, $means:literal;)* }) => {
        $(static $id: Key = Key { name: $name, holds: Holds::$holds, means: $means };)*
        $(#[$doc])*
        pub static $list: &[&Key] = &[$(&$id),*];
    };
}

/// What every edge carries first: the word of its kind.
pub static KIND: Key = Key { name: "kind", holds: Holds::Text, means: "what the source says of the target" };

keys! {
    /// What every node carries.
    NODE_KEYS {
        NAME = "name", Text, "name shown";
        PATTERN = "pattern", Text, "id of its pattern, a leaf of the taxonomy";
        ROLE = "role", Text, "role in a programme";
        SPINE_CLASS = "spine_class", Text, "spine class that counts: set with a reason, else computed";
        USUAL = "usual", Whole, "how usual in ordinary training, 1 (rare) to 5 (staple)";
        SKILL = "skill", Whole, "skill asked for, 1 to 5";
    }
}

keys! {
    /// What an edge may carry beside its kind.
    EDGE_KEYS {
        RATIO = "ratio", Number, "typical ratio of the one-repetition bests, target to source";
        LOW = "low", Number, "lower end of the ratio";
        HIGH = "high", Number, "upper end of the ratio";
        COUNTED = "counted", Text, "how the target's load is counted";
        BASIS = "basis", Text, "source id, memory or practice";
    }
}

/// Tells each id that a field of an exercise names, with the exercise.
fn each<'k>(
    kb: &'k Kb,
    named: impl Fn(&'k crate::kb::raw::Exercise) -> &'k [String],
    tell: &mut dyn FnMut(&'k str, &'k str),
) {
    for exercise in (0..kb.len()).filter_map(|row| kb.exercise(row)) {
        for to in named(exercise) {
            tell(&exercise.id, to);
        }
    }
}

/// Every exercise, in order of row.
///
/// # Errors
/// [`Error::Internal`] for a record that cannot be read, which a checked base has none of.
pub fn nodes(kb: &Kb) -> Result<Vec<Node<'_>>, Error> {
    let node = |row| {
        let e = kb.exercise(row).ok_or_else(|| Error::Internal(format!("record {row} cannot be read")))?;
        let Named { id, name } = Named::row(kb, row);
        let values = vec![
            (&NAME, Value::Text(name)),
            (&PATTERN, Value::Text(pattern_of(kb, row))),
            (&ROLE, Value::Text(e.role.word())),
            (&SPINE_CLASS, Value::Text(kb.spine_class(row).word())),
            (&USUAL, Value::Whole(i64::from(e.usual))),
            (&SKILL, Value::Whole(i64::from(e.skill))),
        ];
        Ok(Node { id, values })
    };
    (0..kb.len()).map(node).collect()
}

/// Every edge, by kind, then in order of row and as the record lists them.
#[must_use]
pub fn edges(kb: &Kb) -> Vec<Edge<'_>> {
    let mut edges = Vec::new();
    for kind in KINDS {
        (kind.find)(kb, &mut |from, to, values| edges.push(Edge { kind: kind.word, from, to, values }));
    }
    edges
}

/// Sizes of the groups of exercises that edges hold together, whatever their kind and direction,
/// the largest first; an exercise without any edge is a group by itself.
#[must_use]
pub fn groups(kb: &Kb) -> Vec<usize> {
    // Each row points at another of its group, and the last one at itself.
    let mut up: Vec<usize> = (0..kb.len()).collect();
    fn last(up: &[usize], mut row: usize) -> usize {
        while let Some(next) = up.get(row).filter(|next| **next != row) {
            row = *next;
        }
        row
    }
    for edge in edges(kb) {
        let (Some(from), Some(to)) = (kb.row_of(edge.from), kb.row_of(edge.to)) else { continue };
        let (from, to) = (last(&up, from), last(&up, to));
        if let Some(root) = up.get_mut(from.max(to)) {
            *root = from.min(to);
        }
    }
    let mut sizes = vec![0; kb.len()];
    for row in 0..kb.len() {
        if let Some(size) = sizes.get_mut(last(&up, row)) {
            *size += 1;
        }
    }
    sizes.retain(|size| *size > 0);
    sizes.sort_unstable_by(|a, b| b.cmp(a));
    sizes
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ask::Engine;

    #[test]
    fn values_are_what_their_keys_say_and_ends_are_nodes() {
        let engine = Engine::shipped().unwrap();
        let kb = engine.kb();
        let nodes = nodes(kb).unwrap();
        assert_eq!(nodes.len(), kb.len());
        for node in &nodes {
            assert!(node.values.iter().map(|(key, _)| *key).eq(NODE_KEYS.iter().copied()), "{node:?}");
        }
        let edges = edges(kb);
        assert!(edges.len() > kb.len());
        for edge in &edges {
            assert!(kb.row_of(edge.from).is_some() && kb.row_of(edge.to).is_some(), "{edge:?}");
            assert!(edge.values.iter().all(|(key, _)| EDGE_KEYS.contains(key)), "{edge:?}");
        }
        let values = nodes.iter().flat_map(|n| &n.values).chain(edges.iter().flat_map(|e| &e.values));
        assert!(values.into_iter().all(|(key, value)| key.holds == value.holds()));
    }

    #[test]
    fn groups_hold_every_exercise_once() {
        let engine = Engine::shipped().unwrap();
        let groups = groups(engine.kb());
        assert_eq!(groups.iter().sum::<usize>(), engine.kb().len());
        assert!(groups.is_sorted_by(|a, b| a >= b) && groups.len() > 1);
    }

    #[test]
    fn kinds_and_keys_have_distinct_names() {
        for names in [
            KINDS.iter().map(|k| k.word).collect::<Vec<_>>(),
            NODE_KEYS.iter().map(|k| k.name).collect(),
            EDGE_KEYS.iter().map(|k| k.name).chain([KIND.name]).collect(),
        ] {
            let mut distinct = names.clone();
            distinct.sort_unstable();
            distinct.dedup();
            assert_eq!(distinct.len(), names.len(), "{names:?}");
        }
    }
}
