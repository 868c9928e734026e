//! The questions as tools: one table, a question a line.
//!
//! Leans on [`crate::ask`] for every answer and for the schemas. Leaves to others: the wire
//! ([`super`]).

use serde::Serialize;
use serde_json::Value;

use crate::ask::question::{self, Misread};
use crate::ask::week::cells::CellProblem;
use crate::ask::{self, Engine, Error, json};
use crate::kb::Kb;

/// A question that other programs may ask.
#[derive(Debug, Clone, Copy)]
pub struct Tool {
    /// Name: the path of the same question over HTTP, with `_` between its steps.
    pub name: &'static str,
    /// Short name for people.
    pub title: &'static str,
    /// What it answers and when to ask it.
    pub about: &'static str,
    /// First part of the names of its schemas, as in `swap` of `swap-request.json`.
    pub schema: &'static str,
    ask: fn(&Engine, &Value) -> Result<Told, Problem>,
}

macro_rules! tools {
    ($($name:literal, $schema:literal = $($module:ident)::+, $title:literal, $about:literal;)*) => {
        /// Every tool, in the order in which they are listed.
        pub const TOOLS: &[Tool] = &[$(Tool {
            name: $name,
            title: $title,
            about: $about,
            schema: $schema,
            ask: |engine, arguments| {
                let question = question::read::<ask::$($module)::+::Request>(arguments)?;
                told(engine, &ask::$($module)::+::answer(engine, &question)?)
            },
        }),*];
    };
}

tools! {
    "swap", "swap" = swap, "What to do instead",
        "Substitutes for an exercise, for the kit at hand and what is sore, each with its reasons, its cautions and \
         what was refused. With `did`, a first load for each.";
    "forces", "forces" = forces, "Forces on the body",
        "Roughly what a lift at a load does to the low back and the joints, as estimates with ranges.";
    "carryover", "carryover" = carryover, "From one lift to another",
        "How much of one lift another is, as a ratio with its range and how sure it is.";
    "load", "load" = load, "What to put on the bar",
        "The first set of a lift from a set of it or of another, rounded down to what the gym makes up.";
    "ladder", "ladder" = ladder, "Rungs back to a lift",
        "Steps from what spares a sore region back to the lift, with sets, loads and when to go up or down.";
    "vary", "vary" = vary, "Fresh variations",
        "Variations of a lift that carry over to it, and a plan that takes turns among them.";
    "week_audit", "week-audit" = week::audit, "What a week carries",
        "Spine load by day, sets by muscle, and what stands out in a week of training, given as rows or as CSV text.";
    "week_mend", "week-mend" = week::mend, "The smallest change to a week",
        "The smallest change that clears what stands out in a week of training: row by row, with reasons and what could \
         not be had.";
    "week_deload", "week-deload" = week::deload, "A lighter week",
        "The same week with fewer sets, less load and more in reserve; for a sore low back, with supported lifts.";
    "kit", "kit" = kit, "Which kit to buy next",
        "The best set of kit for a budget, a floor and a ceiling, and single things beside it, by what each opens.";
    "find", "find" = find, "Search exercises",
        "Exercises that free text may mean, with slips and short forms. Ask it when a name is not known.";
    "exercises", "list" = list, "Exercises by filter",
        "Exercises that meet every filter: pattern, muscle, spine load, region to spare, kit, role.";
    "show", "show" = show, "One exercise whole",
        "One exercise with muscles, joint stress, spine load, kit, cues and neighbours.";
    "terms", "terms" = terms, "Words to use",
        "The words that questions may use: patterns, muscles, regions with what brings their soreness on, kit, gyms \
         and warning signs.";
}

/// The tool of a name.
#[must_use]
pub fn tool(name: &str) -> Option<&'static Tool> {
    TOOLS.iter().find(|t| t.name == name)
}

impl Tool {
    /// Answers a question given as a JSON object.
    ///
    /// # Errors
    /// [`Problem`] with the place of what is wrong and the nearest valid values.
    pub fn answer(&self, engine: &Engine, arguments: &Value) -> Result<Told, Problem> {
        (self.ask)(engine, arguments)
    }
}

/// A question answered.
#[derive(Debug, Clone, PartialEq)]
pub struct Told {
    /// The reply as JSON on one line, the same bytes as `--json` prints.
    pub text: String,
    /// The reply as a value.
    pub reply: Value,
    /// Cautions of the base that belong with every answer and that the reply does not hold itself.
    pub cautions: Vec<String>,
}

fn told<R: Serialize>(engine: &Engine, reply: &R) -> Result<Told, Problem> {
    let text = json::text(reply)?;
    // From the reply and not from its text, which may be read back a last digit off.
    let reply = serde_json::to_value(reply).map_err(|e| Error::Internal(format!("the reply has no JSON form: {e}")))?;
    Ok(Told { text, cautions: left_out(engine.kb(), &reply), reply })
}

/// Cautions for every answer that a reply leaves out. In an emergency what to do stands alone.
fn left_out(kb: &Kb, reply: &Value) -> Vec<String> {
    let entries = |name: &str| reply.get(name).and_then(Value::as_array).into_iter().flatten();
    if entries("signs").any(|sign| sign.get("urgency").is_some_and(|u| u == "emergency")) {
        return Vec::new();
    }
    let texts = kb.cautions.always.iter().map(|caution| &caution.text);
    texts.filter(|text| !entries("cautions").any(|told| told.as_str() == Some(text.as_str()))).cloned().collect()
}

/// A question that gets no answer, with the members that a problem has over HTTP.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Problem {
    /// Stable word for programs.
    pub code: &'static str,
    /// What is wrong, and the way out.
    pub detail: String,
    /// JSON pointer into the arguments.
    pub pointer: String,
    /// Nearest valid values, best first.
    pub nearest: Vec<String>,
    /// Cells of a week that are wrong; left out where there is none.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub cells: Vec<CellProblem>,
}

impl From<Misread> for Problem {
    fn from(Misread { error, nearest }: Misread) -> Self {
        let (code, detail, pointer) = (error.code(), error.to_string(), error.pointer().to_string());
        let cells = match *error {
            Error::Cells { problems, .. } => problems,
            _ => Vec::new(),
        };
        Self { code, detail, pointer, nearest, cells }
    }
}

impl From<Error> for Problem {
    fn from(error: Error) -> Self {
        Misread::from(error).into()
    }
}
