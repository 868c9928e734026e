//! "What is the smallest change that puts my week right?": a mended week beside the one asked about.
//!
//! Leans on [`crate::week::mend`] for the change and on the audit for what it clears. Leaves to
//! others: reading the week ([`super`]) and how it looks ([`crate::cli`], [`crate::http`]). Emergency
//! signs suppress the whole answer here.

use std::time::Duration;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::audit::{FindingRead, SoreWeek, finding, sore_read};
use super::{Circumstances, Read, RowAsk, RowTold, Said, asked, emergencies, rows_asked};
use crate::ask::forces::{Sex, within};
use crate::ask::swap::{GymAsk, GymRead, SignRead, SoreAsk, cautions, signs};
use crate::ask::{Basis, Engine, Error};
use crate::kb::Kb;
use crate::kb::raw::{Training, words};
use crate::units::bounds;
use crate::week::Week;
use crate::week::audit::{Audit, RULES, audit};
use crate::week::mend::model::{self, Ask};
use crate::week::mend::{self, Change, Mend};

/// Time for one search. It is hit only by weeks that no person trains; the answer then says so.
const LIMIT: Duration = Duration::from_secs(5);

words! {
    /// What became of a row.
    What {
        /// Nothing.
        Kept = "kept",
        /// Fewer sets.
        Cut = "cut",
        /// More sets.
        Raised = "raised",
        /// Another day.
        Moved = "moved",
        /// Another exercise.
        Swapped = "swapped",
        /// Left out.
        Dropped = "dropped",
        /// Put on.
        Added = "added",
    }
}

/// A mend as asked.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Request {
    /// The week as rows.
    pub rows: Vec<RowAsk>,
    /// The week as the text of a CSV file, in place of rows.
    pub csv: Option<String>,
    /// How long the lifter has trained; intermediate when absent.
    pub level: Option<Training>,
    /// Where: a gym of the base by id, or one described in full. Without one every exercise can be
    /// done.
    pub gym: Option<GymAsk>,
    /// Further kit; alone, the whole of it.
    pub have: Vec<String>,
    /// Whether makeshift set-ups count as kit.
    pub improvise: bool,
    /// What is sore.
    pub sore: Vec<SoreAsk>,
    /// Rows that stay as they are: lines of the table, or places in the list from 1.
    pub keep: Vec<usize>,
    /// How far the sets of a muscle may fall, per cent; as the base says when absent.
    pub tolerance_percent: Option<f64>,
    /// Body mass, kg, for first loads; 80 when absent.
    pub body_mass_kg: Option<f64>,
    /// Sex, for first loads; men's figures when absent.
    pub sex: Option<Sex>,
    /// Warning signs, by id (see the terms).
    pub signs: Vec<String>,
}

/// One row, before and after.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ChangeRead<'k> {
    /// What became of it.
    pub what: What,
    /// Line of the table, or place in the list from 1; absent for a row that was put on.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub line: Option<usize>,
    /// The row as it was; absent for one that was put on.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub before: Option<RowTold<'k>>,
    /// The row now; absent for one left out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub after: Option<RowTold<'k>>,
    /// Rules whose findings about it are cleared.
    pub clears: Vec<&'static str>,
    /// Why a new exercise has no load.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub no_load: Option<String>,
}

/// What had to be given up, and why.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct GivenUp {
    /// What was given up, in words.
    pub gave_up: String,
    /// Whether rows that were to be kept break it, all others keep to it.
    pub by_kept_rows: bool,
    /// What it cannot be met together with; empty where that is not plain.
    pub beside: Vec<String>,
}

/// Spine load of a week.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
pub struct SpineRead {
    /// A coach's points.
    pub points: u32,
    /// Hard sets of the highest tier.
    pub a3: u32,
    /// All sets.
    pub sets: u32,
}

/// The mended week.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct MendRead<'k> {
    /// How long the lifter has trained.
    pub level: Training,
    /// The gym.
    pub gym: GymRead,
    /// Sore regions with their level.
    pub sore: Vec<SoreWeek<'k>>,
    /// How many rows are changed or put on.
    pub changed: usize,
    /// What the change costs, in sets cut: another exercise 3, another day 2 and so on, as the base
    /// says.
    pub cost: f64,
    /// What no change can cost less than.
    pub least_cost: f64,
    /// Whether no cheaper change can be.
    pub proven: bool,
    /// Spine load before.
    pub before: SpineRead,
    /// Spine load now.
    pub after: SpineRead,
    /// Every row, in the order of the week as it was; then those put on.
    pub rows: Vec<ChangeRead<'k>>,
    /// Days whose rows are in another order now.
    pub reordered: Vec<&'static str>,
    /// Findings that are cleared.
    pub cleared: Vec<FindingRead<'k>>,
    /// Findings of the mended week; lines are those of `week`, from 1.
    pub left: Vec<FindingRead<'k>>,
    /// What could not be met.
    pub given_up: Vec<GivenUp>,
    /// The mended week, as it can be asked about again.
    pub week: Vec<RowAsk>,
}

/// The answer.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Reply<'k> {
    /// The base asked.
    pub base: Basis<'k>,
    /// What to do about reported signs; with an emergency among them, the answer ends here.
    pub signs: Vec<SignRead<'k>>,
    /// The mend; absent in an emergency, and where none was found in time.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mend: Option<MendRead<'k>>,
    /// Remarks on how the question was read.
    pub notes: Vec<String>,
    /// Cautions that apply.
    pub cautions: Vec<&'k str>,
}

/// Answers.
///
/// # Errors
/// [`Error`] naming the value, its place in the request and the nearest valid choice;
/// [`Error::Cells`] with every cell of the week that is wrong.
pub fn answer<'k>(engine: &'k Engine, request: &Request) -> Result<Reply<'k>, Error> {
    let kb = engine.kb();
    if let Some(emergency) = emergency(kb, request)? {
        return Ok(emergency);
    }
    let read = asked(kb, &request.rows, request.csv.as_deref())?;
    of_week(engine, &read, request).map(|(reply, _)| reply)
}

fn emergency<'k>(kb: &'k Kb, request: &Request) -> Result<Option<Reply<'k>>, Error> {
    let signs = emergencies(kb, &request.signs)?;
    Ok((!signs.is_empty()).then(|| Reply {
        base: Basis::of(kb),
        signs,
        mend: None,
        notes: Vec::new(),
        cautions: Vec::new(),
    }))
}

/// As [`answer`], for a week that was read already; what the request says of rows is left aside.
/// The mended week itself stands beside the reply.
///
/// # Errors
/// As [`answer`].
pub fn of_week<'k>(engine: &'k Engine, read: &Read, request: &Request) -> Result<(Reply<'k>, Option<Week>), Error> {
    let kb = engine.kb();
    if let Some(emergency) = emergency(kb, request)? {
        return Ok((emergency, None));
    }
    let mut notes = read.notes.clone();
    let said = Said {
        level: request.level,
        gym: request.gym.as_ref(),
        have: &request.have,
        improvise: request.improvise,
        sore: &request.sore,
        body_mass_kg: request.body_mass_kg,
        sex: request.sex,
        keep: &request.keep,
    };
    let here = said.resolved(kb, &read.week, &mut notes)?;
    let tolerance =
        request.tolerance_percent.map(|t| within(bounds::TOLERANCE, t, "/tolerance_percent")).transpose()?;
    let before = audit(kb, &read.week, &here.setting());
    let setting = mend::Setting {
        audit: here.setting(),
        keep: &here.keep,
        tolerance_percent: tolerance,
        people: here.people,
        limit: LIMIT,
    };
    if here.inventory.assumed {
        notes.push("no gym was named, so every exercise counts as possible".to_string());
    }
    let found = match mend::mend(kb, &read.week, &before, &setting) {
        Ok(found) => Some(found),
        Err(e) if e.is_out_of_time() => {
            notes.push(format!("{e}; a shorter week, or fewer rows kept, may be mended"));
            None
        }
        Err(e) => return Err(Error::Internal(format!("the week cannot be mended: {e}"))),
    };
    let reply = Reply {
        base: Basis::of(kb),
        signs: signs(kb, &request.signs)?,
        mend: found.as_ref().map(|mend| told(kb, &read.week, &before, mend, &here)),
        notes,
        cautions: cautions(kb, &here.sore),
    };
    Ok((reply, found.map(|mend| mend.week)))
}

fn told<'k>(kb: &'k Kb, week: &Week, before: &Audit<'_>, mend: &Mend, here: &Circumstances) -> MendRead<'k> {
    let after = audit(kb, &mend.week, &here.setting());
    let rule = |at: &usize| before.findings.get(*at).and_then(|f| RULES.get(f.rule)).map(|r| r.id);
    let row = |m: &mend::Mended| {
        let was = m.before.and_then(|at| week.rows().get(at));
        let mut clears: Vec<&'static str> = m.clears.iter().filter_map(rule).collect();
        clears.dedup();
        ChangeRead {
            what: match m.change {
                Change::Kept => What::Kept,
                Change::Cut { .. } => What::Cut,
                Change::Raised { .. } => What::Raised,
                Change::Moved { .. } => What::Moved,
                Change::Swapped { .. } => What::Swapped,
                Change::Dropped => What::Dropped,
                Change::Added => What::Added,
            },
            line: was.map(|r| r.line),
            before: was.map(|r| RowTold::of(kb, r)),
            after: m.after.and_then(|at| mend.week.rows().get(at)).map(|r| RowTold::of(kb, r)),
            clears,
            no_load: m.no_load.clone(),
        }
    };
    let rows: Vec<ChangeRead<'k>> = mend.rows.iter().map(row).collect();
    let spine = |audit: &Audit<'_>| SpineRead {
        points: audit.sums.points,
        a3: audit.sums.by_tier.last().copied().unwrap_or(0),
        sets: audit.sums.sets,
    };
    // Lines of the mended week: its rows from 1.
    let mut left: Vec<FindingRead<'k>> = Vec::new();
    for f in &after.findings {
        if let Some(mut read) = finding(kb, &after.facts, f) {
            read.lines = f.rows.iter().map(|at| at + 1).collect();
            left.push(read);
        }
    }
    left.sort_by_key(|f| f.severity);
    let cleared = mend.cleared.iter().filter_map(|at| finding(kb, &before.facts, before.findings.get(*at)?));
    MendRead {
        level: here.level,
        gym: here.gym(),
        sore: sore_read(kb, &here.sore),
        changed: rows.iter().filter(|r| r.what != What::Kept).count(),
        cost: mend.cost as f64 / 1000.0,
        least_cost: mend.least.max(0) as f64 / 1000.0,
        proven: mend.proven(),
        before: spine(before),
        after: spine(&after),
        rows,
        reordered: mend.reordered.iter().map(|d| d.name()).collect(),
        cleared: cleared.collect(),
        left,
        given_up: mend.given_up.iter().map(|g| given_up(kb, g, here)).collect(),
        week: rows_asked(kb, &mend.week),
    }
}

fn given_up(kb: &Kb, given_up: &model::GivenUp, here: &Circumstances) -> GivenUp {
    let words = |ask: &Ask| in_words(kb, *ask, here);
    GivenUp {
        gave_up: words(&given_up.ask),
        by_kept_rows: given_up.by_fixed_rows,
        beside: given_up.beside.iter().map(words).collect(),
    }
}

/// What is asked of a mended week, in words.
fn in_words(kb: &Kb, ask: Ask, here: &Circumstances) -> String {
    let rule = |id: &str| RULES.iter().find(|r| r.id == id).map_or("", |r| r.asks).to_string();
    let region = |at: usize| kb.regions.get(at).map_or(String::new(), |r| r.name.to_lowercase());
    let sore = |at: usize| here.sore.get(at).map_or(String::new(), |s| region(s.region));
    let muscle = |at: usize| kb.muscles.get(at).map_or(String::new(), |m| m.name.to_lowercase());
    match ask {
        Ask::OnceADay => "no exercise twice in a day".to_string(),
        Ask::Kit => rule("kit"),
        Ask::Beyond(at) => format!("{}: no row beyond what its soreness allows", sore(at)),
        Ask::Tally(at) => format!("{}: no more load in the week than now", sore(at)),
        Ask::Stacked(at) => format!("{}: {}", region(at), rule("joint-stack")),
        Ask::TopDay => rule("a3-sets-day"),
        Ask::HeavyGap => rule("a3-gap"),
        Ask::HingeDaysApart => rule("hinge-next-day"),
        Ask::RowAfterHinge => rule("row-after-hinge"),
        Ask::PullGap => rule("heavy-pulls"),
        Ask::TopInRow => rule("a3-in-a-row"),
        Ask::TopDays => rule("a3-days"),
        Ask::TopWeek => rule("a3-sets-week"),
        Ask::Points => rule("points-week"),
        Ask::Sessions => "no more training days than now".to_string(),
        Ask::DaysInRow => "no more training days in a row than now".to_string(),
        Ask::MuscleMost(at) => format!("not too many sets of {}", muscle(at)),
        Ask::MuscleFloor(at) => format!("half of the sets of {}", muscle(at)),
        Ask::MuscleLeast(at) => format!("nearly all sets of {}", muscle(at)),
        Ask::Balance(at) => kb
            .week
            .balances
            .get(at)
            .map_or(String::new(), |b| format!("{} and {} in proportion", b.left.name, b.right.name)),
        Ask::Pattern(at) | Ask::Missing(at) => {
            let id = kb.week.spacing.wanted.get(at).map_or("", String::as_str);
            let name = kb.patterns.iter().find(|p| p.id == id).map_or(id, |p| p.name.as_str());
            format!("{} in the week", name.to_lowercase())
        }
    }
}
