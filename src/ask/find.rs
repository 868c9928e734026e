//! "Which exercise was that?": free text to exercises.
//!
//! Leans on [`crate::search`]. Leaves to others: one exercise whole ([`super::show`]).

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{Basis, Engine, Error, Named};
use crate::search::names::exact;
use crate::units::bounds;

/// A search as asked.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Request {
    /// Free text: a name with typing slips, an abbreviation, a muscle, a pattern, kit.
    pub text: String,
    /// How many, 1 to 50; 10 when absent.
    pub top: Option<usize>,
}

/// One hit.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Hit<'k> {
    /// The exercise.
    #[serde(flatten)]
    pub exercise: Named<'k>,
    /// Its pattern.
    pub pattern: &'k str,
    /// How well it matches; comparable within one reply only.
    pub score: f64,
}

/// The hits, best first.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Reply<'k> {
    /// The base asked.
    pub base: Basis<'k>,
    /// Hits.
    pub hits: Vec<Hit<'k>>,
}

/// Hits shown when no number is given.
const DEFAULT_TOP: usize = 10;
/// Longest text that is searched for, bytes.
const LONGEST: usize = 400;

/// Answers a search.
///
/// # Errors
/// [`Error`] for an empty or overlong text or a number out of bounds.
pub fn answer<'k>(engine: &'k Engine, request: &Request) -> Result<Reply<'k>, Error> {
    let kb = engine.kb();
    let text = request.text.trim();
    if text.is_empty() {
        return Err(Error::Empty { what: "search text", pointer: "/text".to_string() });
    }
    if text.len() > LONGEST {
        return Err(Error::Shape {
            found: format!("a search text of {} bytes", text.len()),
            pointer: "/text".to_string(),
            hint: format!("keep it to {LONGEST}"),
        });
    }
    let top = request.top.unwrap_or(DEFAULT_TOP);
    bounds::ANSWERS.check(top as f64).map_err(|problem| Error::Bounds { problem, pointer: "/top".to_string() })?;
    let mut found = engine.index()?.find(kb, text, top).map_err(|e| Error::Internal(e.to_string()))?;
    // What bears exactly this name comes first, however well other words match.
    if let Some(row) = exact(kb, text) {
        let best = found.first().map_or(1.0, |(_, score)| *score);
        found.retain(|(r, _)| *r != row);
        found.insert(0, (row, best));
        found.truncate(top);
    }
    let hits = found
        .into_iter()
        .map(|(row, score)| Hit {
            exercise: Named::row(kb, row),
            pattern: super::list::pattern_of(kb, row),
            score: (score * 1000.0).round() / 1000.0,
        })
        .collect();
    Ok(Reply { base: Basis::of(kb), hits })
}
