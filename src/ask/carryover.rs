//! "How much of this lift is that one?": the ratio between two bests, its range, and the way to it.
//!
//! Leans on [`crate::load::carryover`]. Leaves to others: the load of a first session, and choosing
//! between lifts ([`super::swap`]).

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::swap::caution_texts;
use super::{Basis, Engine, Error, Named, exercise};
use crate::kb::Kb;
use crate::kb::raw::{BodyShare, Laterality, LoadCount, LoadEquation, MeasuredRatio, words};
use crate::load::carryover::{By, Confidence, Graph, NoRatio, Ratio, Step, count};
use crate::units::trim;

words! {
    /// How sure a ratio is.
    Sure {
        /// The base gives this pair, or it is one lift.
        Given = "given",
        /// Over given pairs and variations, a few steps.
        Derived = "derived",
        /// Over a shared anchor lift, or over many steps.
        Guess = "guess",
    }
}

words! {
    /// Where a step comes from.
    StepBy {
        /// A pair of the base.
        Pair = "pair",
        /// Typical loads of a lift and its variation.
        Variation = "variation",
        /// The typical load of a lift as a share of its anchor lift.
        Anchor = "anchor",
    }
}

words! {
    /// Why there is no ratio.
    WhyNone {
        /// A lift is counted in seconds.
        InSeconds = "in-seconds",
        /// A lift has no load that could be counted.
        NoLoad = "no-load",
        /// The body is the load of a lift.
        BodyIsLoad = "body-is-load",
        /// Nothing known leads from one to the other.
        Unlinked = "unlinked",
    }
}

/// Two lifts.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Request {
    /// The lift whose best is known: id, name, alias or near spelling.
    pub from: String,
    /// The lift asked about.
    pub to: String,
}

/// One of the two lifts.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Lift<'k> {
    /// The exercise.
    #[serde(flatten)]
    pub exercise: Named<'k>,
    /// How the name was read.
    pub read_as: &'static str,
    /// How its load is counted.
    pub counted: LoadCount,
    /// The same in words.
    pub counted_said: &'static str,
    /// Whether one side works at a time.
    pub one_side: bool,
}

/// A ratio of bests for one repetition.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct RatioTold {
    /// Typical: the second lift over the first.
    pub typical: f64,
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// Typical for women, where it differs.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub women: Option<f64>,
    /// How sure it is.
    pub confidence: Sure,
}

/// Why there is none.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Refusal<'k> {
    /// Reason.
    pub reason: WhyNone,
    /// The lift at fault, where it is one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lift: Option<Named<'k>>,
    /// The reason in words.
    pub said: String,
}

/// One step of the way.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct StepTold<'k> {
    /// Known lift.
    pub from: Named<'k>,
    /// The next.
    pub to: Named<'k>,
    /// Where the step comes from.
    pub by: StepBy,
    /// Typical ratio of the step.
    pub typical: f64,
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// Source id, `memory` or `practice`.
    pub basis: &'k str,
    /// The step in words.
    pub said: String,
}

/// An equation between two lifts.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Line<'k> {
    /// Known lift.
    pub from: Named<'k>,
    /// The lift that the line gives.
    pub to: Named<'k>,
    /// How the load of the known lift is counted.
    pub counted_from: LoadCount,
    /// How the load that the line gives is counted.
    pub counted: LoadCount,
    /// The line.
    pub line: &'k LoadEquation,
    /// The line in words.
    pub said: String,
}

/// A ratio that was measured, the known lift's over the other's as the base's pair has it.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Measured<'k> {
    /// Known lift.
    pub from: Named<'k>,
    /// The other.
    pub to: Named<'k>,
    /// What was measured.
    pub measured: &'k MeasuredRatio,
}

/// The ratio, or why there is none.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Reply<'k> {
    /// The base asked.
    pub base: Basis<'k>,
    /// The lift whose best is known.
    pub from: Lift<'k>,
    /// The lift asked about.
    pub to: Lift<'k>,
    /// The ratio, absent where none can be told.
    pub ratio: Option<RatioTold>,
    /// Why there is none.
    pub none: Option<Refusal<'k>>,
    /// The way from one to the other; empty for one lift beside itself.
    pub path: Vec<StepTold<'k>>,
    /// What was measured of these two.
    pub measured: Vec<Measured<'k>>,
    /// Equations between these two.
    pub equations: Vec<Line<'k>>,
    /// Shares of body mass that either lift moves.
    pub shares: Vec<&'k BodyShare>,
    /// What to know beside the figures.
    pub notes: Vec<String>,
    /// Cautions.
    pub cautions: Vec<&'k str>,
}

/// Answers.
///
/// # Errors
/// [`Error`] for a name that is no exercise or several.
pub fn answer<'k>(engine: &'k Engine, request: &Request) -> Result<Reply<'k>, Error> {
    let kb = engine.kb();
    let (from, from_read) = exercise(kb, &request.from, "/from")?;
    let (to, to_read) = exercise(kb, &request.to, "/to")?;
    let (ratio, none) = match Graph::new(kb).between(from, to) {
        Ok(ratio) => (Some(ratio), None),
        Err(reason) => (None, Some(refusal(kb, (from, to), reason)?)),
    };
    let path = ratio.as_ref().map_or_else(Vec::new, |r| r.steps.iter().map(|s| step(kb, s)).collect());
    let pair = kb.carryover.iter().zip(&kb.carryover_rows).find(|(_, (a, b))| {
        let rows = (*a as usize, *b as usize);
        rows == (from, to) || rows == (to, from)
    });
    let ends = pair.map(|(_, (a, b))| (Named::row(kb, *a as usize), Named::row(kb, *b as usize)));
    let with_ends = pair.map(|(p, _)| p).zip(ends);
    let (mut measured, mut equations) = (Vec::new(), Vec::new());
    if let Some((p, (known, other))) = with_ends {
        measured.extend(p.measured.iter().map(|m| Measured { from: known, to: other, measured: m }));
        equations.extend(p.equations.iter().map(|line| Line {
            from: known,
            to: other,
            counted_from: p.counted_from,
            counted: p.counted,
            line,
            said: line_said(line, p.counted),
        }));
    }
    let id = |row: usize| kb.ids.get(row).map_or("", String::as_str);
    let shares = kb.body_shares.iter().filter(|s| [id(from), id(to)].contains(&s.exercise.as_str())).collect();
    let mut cautions: Vec<&str> = kb.cautions.always.iter().map(|c| c.text.as_str()).collect();
    if let Some(record) = kb.exercise(to) {
        cautions.extend(caution_texts(kb, &record.cautions));
    }
    Ok(Reply {
        base: Basis::of(kb),
        from: lift(kb, from, from_read.word()),
        to: lift(kb, to, to_read.word()),
        notes: notes(kb, from, to, ratio.as_ref(), with_ends.map(|(p, _)| p)),
        ratio: ratio.map(|r| told(&r)),
        none,
        path,
        measured,
        equations,
        shares,
        cautions,
    })
}

/// Three decimal places, more than any ratio deserves.
pub(super) fn round(value: f64) -> f64 {
    (value * 1000.0).round() / 1000.0
}

pub(super) fn told(ratio: &Ratio) -> RatioTold {
    RatioTold {
        typical: round(ratio.range.typical),
        low: round(ratio.range.low),
        high: round(ratio.range.high),
        women: ratio.women.map(round),
        confidence: match ratio.confidence {
            Confidence::Given => Sure::Given,
            Confidence::Derived => Sure::Derived,
            Confidence::Guess => Sure::Guess,
        },
    }
}

pub(super) fn lift<'k>(kb: &'k Kb, row: usize, read_as: &'static str) -> Lift<'k> {
    let counted = count(kb, row);
    let one_side = kb.table.rows.get(row).is_some_and(|r| r.laterality != Laterality::Bilateral);
    Lift { exercise: Named::row(kb, row), read_as, counted, counted_said: counted_said(counted), one_side }
}

/// How a load is counted, as a lifter would say it.
#[must_use]
pub const fn counted_said(counted: LoadCount) -> &'static str {
    match counted {
        LoadCount::Bar => "bar and plates together",
        LoadCount::PerHand => "each hand",
        LoadCount::Pair => "both hands together",
        LoadCount::One => "the one implement",
        LoadCount::Stack => "the weight stack",
        LoadCount::Plates => "plates alone",
        LoadCount::Added => "what is held or hung, without the body",
        LoadCount::BodyAndAdded => "the body's share and what is added",
    }
}

pub(super) fn step<'k>(kb: &'k Kb, step: &Step) -> StepTold<'k> {
    let (from, to) = (Named::row(kb, step.from), Named::row(kb, step.to));
    let practice = "practice";
    let (by, basis, why) = match step.by {
        By::Pair { at, .. } => {
            let pair = kb.carryover.get(at);
            let why = if pair.is_some_and(|p| p.ratio_from_equations) { "given by equation" } else { "given" };
            (StepBy::Pair, pair.map_or(practice, |p| p.basis.as_str()), why)
        }
        By::Variation => (StepBy::Variation, practice, "a variation, by their usual loads"),
        By::Anchor => (StepBy::Anchor, practice, "by the usual share of the one in the other"),
    };
    let [typical, low, high] = [step.ratio.typical, step.ratio.low, step.ratio.high].map(round);
    let said = format!(
        "{} is {} of {} ({} to {}): {why}, {}",
        to.name,
        trim(typical),
        from.name,
        trim(low),
        trim(high),
        basis_said(kb, basis)
    );
    StepTold { from, to, by, typical, low, high, basis, said }
}

/// A basis as a person reads it: the title of a source, or the plain word.
pub(super) fn basis_said<'k>(kb: &'k Kb, basis: &'k str) -> &'k str {
    match basis {
        "practice" => "common practice",
        "memory" => "from memory",
        id => kb.sources.iter().find(|s| s.id == id).map_or(id, |s| s.title.as_str()),
    }
}

fn line_said(line: &LoadEquation, counted: LoadCount) -> String {
    let sign = if line.intercept_kg < 0.0 { "-" } else { "+" };
    let error = line.error_kg.map_or(String::new(), |kg| format!(", standard error {} kg", trim(kg)));
    format!(
        "{} x load {sign} {} kg ({}), both for {} repetitions, from {} to {} kg{error}",
        line.slope,
        trim(line.intercept_kg.abs()),
        counted_said(counted),
        line.repetitions,
        trim(line.least_kg),
        trim(line.most_kg)
    )
}

pub(super) fn refusal(kb: &Kb, (from, to): (usize, usize), reason: NoRatio) -> Result<Refusal<'_>, Error> {
    let name = |row| Named::row(kb, row).name;
    let (word, row, said) = match reason {
        NoRatio::NoSuchRow { row } => return Err(Error::Internal(format!("record {row} is missing"))),
        NoRatio::InSeconds { row } => {
            let said = format!("{} is counted in seconds and has no best for one repetition", name(row));
            (WhyNone::InSeconds, Some(row), said)
        }
        NoRatio::NoLoad { row } => {
            let said = format!("{} has no load in kilograms that could be compared", name(row));
            (WhyNone::NoLoad, Some(row), said)
        }
        NoRatio::BodyIsLoad { row, share } => {
            let said = format!(
                "the body is the load of {}: about {} of body mass. What it moves says little of what you could do there",
                name(row),
                trim(share)
            );
            (WhyNone::BodyIsLoad, Some(row), said)
        }
        NoRatio::Unlinked => {
            let said = format!(
                "no pair, variation or anchor lift leads from {} to {}: their bests have no ratio that holds",
                name(from),
                name(to)
            );
            (WhyNone::Unlinked, None, said)
        }
    };
    Ok(Refusal { reason: word, lift: row.map(|row| Named::row(kb, row)), said })
}

fn notes(
    kb: &Kb,
    from: usize,
    to: usize,
    ratio: Option<&Ratio>,
    pair: Option<&crate::kb::raw::CarryOver>,
) -> Vec<String> {
    let mut notes: Vec<String> = pair.and_then(|p| p.note.clone()).into_iter().collect();
    if pair.is_some_and(|p| p.ratio_from_equations) {
        notes.push("the ratio is the mean of the equations at a usual load; at your own load use the equations".into());
    }
    if pair.is_some_and(|p| p.women.is_some()) {
        notes.push("men and women differ here; the typical ratio is that of men".into());
    }
    if from != to && ratio.is_some() {
        let machine = |row| matches!(count(kb, row), LoadCount::Stack | LoadCount::Plates);
        if machine(from) || machine(to) {
            notes.push(
                "stacks, pulleys and sleds differ: find the weight on your own machine and keep to that one".into(),
            );
        }
        if ratio.is_some_and(|r| r.confidence == Confidence::Guess) {
            notes
                .push("a guess over shared lifts, and the two may ask for different things: find the load anew".into());
        }
        notes.push("single lifters stand 15 to 20 % off a typical ratio: begin at the low end".into());
    }
    notes
}
