//! "Give me the base as a file": whole as JSON, flat as CSV, or its graph for other programs.
//!
//! Leans on the compiled base, on [`super::graph`], and on csv and quick-xml for the writing.
//! Leaves to others: where the text goes ([`crate::cli`], [`crate::http`]). The same base gives the
//! same bytes.

mod dot;
mod flat;
mod graphml;
mod linked;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{Basis, Engine, Error, json};
use crate::kb::Kb;
use crate::kb::raw::{self, SpineClass, words};
use crate::mechanics::lumbar::SpineClass as Computed;

pub use linked::{EXERCISE, PATTERN, VOCABULARY};

words! {
    /// What the base is written as.
    Form {
        /// Every record whole, with what is computed and the taxonomy.
        Json = "json",
        /// One row an exercise, RFC 4180.
        Csv = "csv",
        /// The graph of exercises, for Graphviz.
        Dot = "dot",
        /// The graph of exercises as XML.
        GraphMl = "graphml",
        /// The graph of exercises as linked data, JSON-LD 1.1.
        JsonLd = "jsonld",
    }
}

impl Form {
    /// Media type, as HTTP names it.
    #[must_use]
    pub const fn media_type(self) -> &'static str {
        match self {
            Self::Json => "application/json",
            Self::Csv => "text/csv; charset=utf-8; header=present",
            Self::Dot => "text/vnd.graphviz; charset=utf-8",
            Self::GraphMl => "application/xml",
            Self::JsonLd => "application/ld+json",
        }
    }
}

/// What to write.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Request {
    /// What the base is written as.
    #[serde(rename = "as")]
    pub form: Form,
}

/// A base written down.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reply {
    /// What it is written as.
    pub form: Form,
    /// The text, ended by a line break.
    pub text: String,
}

/// One exercise whole: its record after inheritance, and what is computed from it.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Record<'k> {
    /// The record.
    #[serde(flatten)]
    pub exercise: &'k raw::Exercise,
    /// Spine class that counts: the record's own where it sets one, else the computed one.
    pub spine_class: SpineClass,
    /// Spine class by the body model.
    pub computed_spine_class: SpineClass,
    /// Compression at the low back by the body model, in body weights of the reference man at his
    /// typical working load, to three decimals.
    pub compression_bw: f64,
}

/// The base whole.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Whole<'k> {
    /// The base asked.
    pub base: Basis<'k>,
    /// Every exercise, by pattern, then main muscle, then id.
    pub exercises: Vec<Record<'k>>,
    /// Pattern tree.
    pub patterns: &'k [raw::Pattern],
    /// Muscles.
    pub muscles: &'k [raw::Muscle],
    /// Regions with their aggravators.
    pub regions: &'k [raw::Region],
    /// Kit.
    pub equipment: &'k [raw::Equipment],
    /// Anchor lifts.
    pub anchors: &'k [raw::Anchor],
    /// Shared postures.
    pub postures: &'k [raw::Posture],
    /// Gyms.
    pub gyms: &'k [raw::Gym],
    /// Carry-over pairs.
    pub carryover: &'k [raw::CarryOver],
    /// Cautions and warning signs.
    pub cautions: &'k raw::Cautions,
    /// Sources of figures.
    pub sources: &'k [raw::Source],
    /// Ranking.
    pub ranking: &'k raw::Ranking,
    /// What a week is held against.
    pub week: &'k raw::WeekFigures,
    /// What can be bought.
    pub catalogue: &'k raw::Catalogue,
}

/// Writes the base down.
///
/// # Errors
/// [`Error::Internal`] when a record cannot be read or written, which a checked base has none of.
pub fn answer(engine: &Engine, request: &Request) -> Result<Reply, Error> {
    let kb = engine.kb();
    let mut text = match request.form {
        Form::Json => json::text(&whole(kb)?)?,
        Form::Csv => flat::text(kb)?,
        Form::Dot => dot::text(kb)?,
        Form::GraphMl => graphml::text(kb)?,
        Form::JsonLd => linked::text(kb)?,
    };
    if !text.ends_with('\n') {
        text.push('\n');
    }
    Ok(Reply { form: request.form, text })
}

/// The base whole.
///
/// # Errors
/// As [`answer`].
pub fn whole(kb: &Kb) -> Result<Whole<'_>, Error> {
    Ok(Whole {
        base: Basis::of(kb),
        exercises: (0..kb.len()).map(|row| record(kb, row)).collect::<Result<_, _>>()?,
        patterns: &kb.patterns,
        muscles: &kb.muscles,
        regions: &kb.regions,
        equipment: &kb.equipment,
        anchors: &kb.anchors,
        postures: &kb.postures,
        gyms: &kb.gyms,
        carryover: &kb.carryover,
        cautions: &kb.cautions,
        sources: &kb.sources,
        ranking: &kb.ranking,
        week: &kb.week,
        catalogue: &kb.catalogue,
    })
}

/// The exercise in a row with what is computed from it.
fn record(kb: &Kb, row: usize) -> Result<Record<'_>, Error> {
    let found = kb.exercise(row).zip(kb.table.rows.get(row));
    let (exercise, computed) = found.ok_or_else(|| fault(format_args!("record {row} cannot be read")))?;
    let body_weights = f64::from(computed.compression_bw);
    let step = Computed::by_body_weights(body_weights).step();
    Ok(Record {
        exercise,
        spine_class: kb.spine_class(row),
        computed_spine_class: SpineClass::ALL.get(usize::from(step)).copied().unwrap_or(SpineClass::VeryHigh),
        compression_bw: (body_weights * 1000.0).round() / 1000.0,
    })
}

fn fault(what: impl std::fmt::Display) -> Error {
    Error::Internal(format!("the base cannot be written down: {what}"))
}
