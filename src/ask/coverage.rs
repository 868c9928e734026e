//! How well the base covers what may be asked: for each gym and sore region, how many substitutes
//! the typical exercise of each pattern has.
//!
//! Leans on [`crate::rank`]. Leaves to others: the written reasons for thin places
//! (`queries/thin.json`, which a test holds to this count).

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{Basis, Engine, Error, Named};
use crate::gym::Inventory;
use crate::kb::raw::{Aim, Level};
use crate::rank::{Question, Sore, rank};

/// Fewest substitutes that a place must have, unless a reason is written.
pub const ENOUGH: usize = 3;
/// Written reasons.
const REASONS: &str = include_str!("../../queries/thin.json");

/// Why some places have fewer than [`ENOUGH`] substitutes.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Reason {
    /// Pattern.
    pub pattern: String,
    /// Regions that it is about; every region when empty.
    #[serde(default)]
    pub regions: Vec<String>,
    /// Gyms that it is about; every gym when empty.
    #[serde(default)]
    pub gyms: Vec<String>,
    /// Why.
    pub reason: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ReasonFile {
    #[serde(rename = "about")]
    _about: String,
    thin: Vec<Reason>,
}

/// Substitutes of one exercise when one region is sore in one gym.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Cell<'k> {
    /// Sore region, moderately.
    pub region: &'k str,
    /// How many pass every gate.
    pub passed: usize,
    /// Why there are fewer than three, where it is written.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reason: Option<String>,
}

/// One pattern in one gym.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Line<'k> {
    /// Pattern.
    pub pattern: &'k str,
    /// Exercise asked about.
    pub exercise: Named<'k>,
    /// One for each region, in the base's order.
    pub cells: Vec<Cell<'k>>,
}

/// One gym.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct InGym<'k> {
    /// Gym.
    pub gym: &'k str,
    /// One for each pattern with training in it.
    pub lines: Vec<Line<'k>>,
}

/// The whole matrix.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Reply<'k> {
    /// The base asked.
    pub base: Basis<'k>,
    /// Regions, in order of the cells.
    pub regions: Vec<&'k str>,
    /// Gyms.
    pub gyms: Vec<InGym<'k>>,
    /// Places in all.
    pub cells: usize,
    /// Places with fewer than three substitutes.
    pub thin: usize,
    /// Of these, those without a written reason.
    pub unexplained: usize,
    /// Written reasons that no thin place needs.
    pub unneeded: Vec<Reason>,
}

/// Asks every place of the matrix.
///
/// # Errors
/// [`Error`] when a gym of the base names unknown kit, or the file of reasons is malformed.
pub fn answer(engine: &Engine) -> Result<Reply<'_>, Error> {
    let kb = engine.kb();
    let reasons = serde_json::from_str::<ReasonFile>(REASONS)
        .map_err(|e| Error::Internal(format!("queries/thin.json: {e}")))?
        .thin;
    let mut needed = vec![false; reasons.len()];
    let (mut cells, mut thin, mut unexplained) = (0, 0, 0);
    let mut gyms = Vec::with_capacity(kb.gyms.len());
    for gym in &kb.gyms {
        let inventory = Inventory::of(kb, gym).map_err(|e| Error::Internal(e.to_string()))?;
        let mut lines = Vec::new();
        for pattern in &kb.patterns {
            let Some(original) = pattern.typical.as_deref().and_then(|id| kb.ids.iter().position(|k| k == id)) else {
                continue;
            };
            let mut line = Vec::with_capacity(kb.regions.len());
            for (region, r) in kb.regions.iter().enumerate() {
                let sore = [Sore { region, aggravator: None, level: Level::Moderate }];
                let question = Question {
                    original,
                    sore: &sore,
                    inventory: &inventory,
                    aim: Aim::Size,
                    max_spine: None,
                    skill: None,
                    skip: &[],
                    top: 0,
                    explain: false,
                };
                let passed = rank(kb, &question).passed;
                cells += 1;
                let mut reason = None;
                if passed < ENOUGH {
                    thin += 1;
                    let r_id = &r.id;
                    let about = |list: &[String], id: &str| list.is_empty() || list.iter().any(|l| l == id);
                    for (why, needed) in reasons.iter().zip(&mut needed) {
                        if why.pattern == pattern.id && about(&why.regions, r_id) && about(&why.gyms, &gym.id) {
                            *needed = true;
                            reason.get_or_insert_with(|| why.reason.clone());
                        }
                    }
                    unexplained += usize::from(reason.is_none());
                }
                line.push(Cell { region: r.id.as_str(), passed, reason });
            }
            lines.push(Line { pattern: &pattern.id, exercise: Named::row(kb, original), cells: line });
        }
        gyms.push(InGym { gym: &gym.id, lines });
    }
    Ok(Reply {
        base: Basis::of(kb),
        regions: kb.regions.iter().map(|r| r.id.as_str()).collect(),
        gyms,
        cells,
        thin,
        unexplained,
        unneeded: reasons.into_iter().zip(needed).filter(|(_, needed)| !needed).map(|(r, _)| r).collect(),
    })
}
