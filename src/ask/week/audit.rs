//! "What does my week carry?": spine load by day, sets by muscle, and what stands out.
//!
//! Leans on [`crate::week::audit`] for every count and finding. Leaves to others: reading the week
//! ([`super`]) and how it looks ([`crate::cli`], [`crate::http`]). Emergency signs suppress the whole
//! answer here.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::cells::counted_as;
use super::{Read, RowAsk, asked};
use crate::ask::forces::{Sex, body, within};
use crate::ask::swap::{GymAsk, GymRead, SignRead, SoreAsk, cautions, round, signs, sores};
use crate::ask::{Basis, Engine, Error, Named, bounded, inventory, unknown};
use crate::kb::Kb;
use crate::kb::raw::{Level, Training, Urgency, words};
use crate::mechanics::anthropometry;
use crate::mechanics::lumbar::two_figures;
use crate::rank::Sore;
use crate::units::bounds;
use crate::week::audit::{self, Audit, Setting, Sums};
use crate::week::count::{Fact, MuscleSets};
use crate::week::{Row, Week, WorkUnit, dose};

words! {
    /// How much a finding matters.
    Severity {
        /// To be changed.
        Change = "change",
        /// Worth a look.
        Look = "look",
        /// Good to know.
        Note = "note",
    }
}

words! {
    /// What a rule is about.
    Group {
        /// Load along the spine.
        Spine = "spine",
        /// Days and lighter weeks.
        Rest = "rest",
        /// Sore regions and joints.
        Joints = "joints",
        /// What the gym can do.
        Kit = "kit",
        /// Muscles and kinds of work.
        Balance = "balance",
        /// Rows that have stood for long.
        Stale = "stale",
        /// Figures that may be slips.
        Input = "input",
    }
}

words! {
    /// Whether the spine is loaded as the level allows.
    Verdict {
        /// No rule on spine load asks for a change.
        Fine = "fine",
        /// One does at least.
        Overloaded = "overloaded",
    }
}

/// An audit as asked.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Request {
    /// The week as rows.
    pub rows: Vec<RowAsk>,
    /// The week as the text of a CSV file, in place of rows.
    pub csv: Option<String>,
    /// How long the lifter has trained; intermediate when absent.
    pub level: Option<Training>,
    /// Where: a gym of the base by id, or one described in full. Without one nothing is said of kit.
    pub gym: Option<GymAsk>,
    /// Further kit; alone, the whole of it.
    pub have: Vec<String>,
    /// Whether makeshift set-ups count as kit.
    pub improvise: bool,
    /// What is sore.
    pub sore: Vec<SoreAsk>,
    /// Body mass, kg; 80 when absent.
    pub body_mass_kg: Option<f64>,
    /// Body height, m; 1.75 when absent.
    pub height_m: Option<f64>,
    /// Sex, for body tables; male when absent.
    pub sex: Option<Sex>,
    /// Weeks since the last lighter week; as the table says when absent.
    pub weeks_since_deload: Option<u16>,
    /// Signs that a lighter week is due early, by id: see `deload_signals` in the base.
    pub deload_signals: Vec<String>,
    /// Mean points of spine load over the last four weeks, for a leap above it.
    pub mean_points: Option<f64>,
    /// Age, years; above 50 a lighter week is due earlier.
    pub age: Option<u16>,
    /// Sets of the last seven days; after less than half of the week's no lighter week is needed.
    pub sets_last_week: Option<u32>,
    /// Warning signs, by id (see the terms).
    pub signs: Vec<String>,
}

/// The person computed for.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct PersonRead {
    /// How long they have trained.
    pub level: Training,
    /// Body mass, kg.
    pub body_mass_kg: f64,
    /// Body height, m.
    pub height_m: f64,
    /// Sex.
    pub sex: Sex,
    /// Which of these were assumed.
    pub assumed: Vec<&'static str>,
}

/// Relative spinal loading with its range.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct DoseRead {
    /// Lower end.
    pub low: f64,
    /// Middle.
    pub mid: f64,
    /// Upper end.
    pub high: f64,
}

impl From<dose::Dose> for DoseRead {
    fn from(dose: dose::Dose) -> Self {
        let [low, mid, high] = [dose.low, dose.mid, dose.high].map(two_figures);
        Self { low, mid, high }
    }
}

/// Hard sets by a coach's tier of load along the spine.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
pub struct TierSets {
    /// High: 3.
    pub a3: u32,
    /// Moderate: 2.
    pub a2: u32,
    /// Low: 1.
    pub a1: u32,
    /// None or supported: 0.
    pub a0: u32,
}

/// Sums of a day or of the week.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct SumsRead {
    /// Sets.
    pub sets: u32,
    /// Hard sets: near enough to the last repetition, and long or heavy enough.
    pub hard_sets: u32,
    /// Hard sets by tier.
    pub tiers: TierSets,
    /// A coach's points of spine load.
    pub points: u32,
    /// Relative spinal loading by the body model.
    pub dose: DoseRead,
    /// Load in all times repetitions of the tiers a3 and a2, kg.
    pub kg_reps: f64,
}

impl From<&Sums> for SumsRead {
    fn from(sums: &Sums) -> Self {
        let [a0, a1, a2, a3] = sums.by_tier;
        Self {
            sets: sums.sets,
            hard_sets: sums.hard,
            tiers: TierSets { a3, a2, a1, a0 },
            points: sums.points,
            dose: sums.dose.into(),
            kg_reps: round(sums.kg_repetitions, 2),
        }
    }
}

/// One row with its counts.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct RowRead<'k> {
    /// Line of the table, or place in the list from 1.
    pub line: usize,
    /// Exercise.
    pub exercise: Named<'k>,
    /// Sets.
    pub sets: u16,
    /// Work of a set: "8 to 10", "30 s".
    pub work: String,
    /// Load as the exercise counts it, kg; absent where the row says none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub load_kg: Option<f64>,
    /// What the load counts.
    pub counted: &'static str,
    /// Whether its sets are hard ones.
    pub hard: bool,
    /// A coach's tier of load along the spine, 0 to 3.
    pub tier: u8,
    /// Points of spine load.
    pub points: u32,
    /// Estimated share of the best for one repetition, per cent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub percent_of_best: Option<f64>,
    /// Relative spinal loading; absent where the model takes no such load.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub dose: Option<DoseRead>,
    /// Its middle before rounding, for a chart.
    #[serde(skip)]
    pub dose_mid: f64,
}

/// One day.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct DayRead<'k> {
    /// Day, 1 Monday to 7 Sunday.
    pub day: u8,
    /// Its name.
    pub name: &'static str,
    /// Its sums.
    pub sums: SumsRead,
    /// Its rows, in their order.
    pub rows: Vec<RowRead<'k>>,
}

/// An exercise over the week.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ExerciseRead<'k> {
    /// Exercise.
    pub exercise: Named<'k>,
    /// Days on which it is done.
    pub days: usize,
    /// Sums.
    pub sums: SumsRead,
}

/// Sets of a muscle.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct MuscleRead<'k> {
    /// Muscle by id.
    pub muscle: &'k str,
    /// Name shown.
    pub name: &'k str,
    /// Sets in fractions: a main mover's whole, a helper's in part.
    pub sets: f64,
    /// Those as a main mover.
    pub direct: f64,
    /// What so many sets are called.
    pub label: &'k str,
}

/// Load on a region.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct RegionRead<'k> {
    /// Region by id.
    pub region: &'k str,
    /// Name shown.
    pub name: &'k str,
    /// Hard sets times their grade, added up.
    pub graded_sets: u32,
    /// Hard sets graded 3 or 4 there.
    pub demanding_sets: u32,
    /// Highest grade of the week, 0 to 4.
    pub highest_grade: u8,
}

/// Two kinds of work side by side.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct BalanceRead<'k> {
    /// Id.
    pub id: &'k str,
    /// One side.
    pub left: SideRead<'k>,
    /// The other.
    pub right: SideRead<'k>,
}

/// One side of a balance.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct SideRead<'k> {
    /// What it is called.
    pub name: &'k str,
    /// Hard sets.
    pub sets: u32,
}

/// One finding.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct FindingRead<'k> {
    /// Id of the rule.
    pub rule: &'static str,
    /// How much it matters.
    pub severity: Severity,
    /// What the rule is about.
    pub group: Group,
    /// What the rule asks.
    pub asks: &'static str,
    /// What the rule stands on: a source id, `memory` or `practice`.
    pub basis: &'k str,
    /// What was found.
    pub words: String,
    /// Lines of the rows that it is about.
    pub lines: Vec<usize>,
    /// Days that it is about, 1 Monday to 7 Sunday.
    pub days: Vec<u8>,
    /// What would help.
    pub helps: String,
}

/// The audited week.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct AuditRead<'k> {
    /// Person.
    pub person: PersonRead,
    /// The gym.
    pub gym: GymRead,
    /// Sore regions with their level.
    pub sore: Vec<SoreWeek<'k>>,
    /// Whether the spine is loaded as the level allows.
    pub verdict: Verdict,
    /// How many findings of each severity.
    pub counts: Counts,
    /// The whole week.
    pub sums: SumsRead,
    /// Training days.
    pub days: Vec<DayRead<'k>>,
    /// Exercises, most relative spinal loading first.
    pub exercises: Vec<ExerciseRead<'k>>,
    /// Muscles that work, and those that a week should train.
    pub muscles: Vec<MuscleRead<'k>>,
    /// Regions that are loaded, most first.
    pub regions: Vec<RegionRead<'k>>,
    /// Kinds of work held in balance.
    pub balances: Vec<BalanceRead<'k>>,
    /// Weeks since the last lighter week, if known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub weeks_since_deload: Option<u16>,
    /// Findings, the weightiest first.
    pub findings: Vec<FindingRead<'k>>,
    /// What the relative spinal loading is.
    pub dose_means: &'static str,
}

/// A sore region of the week.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct SoreWeek<'k> {
    /// Region.
    pub region: &'k str,
    /// Aggravator.
    pub aggravator: Option<&'k str>,
    /// Level.
    pub level: Level,
}

/// Findings by severity.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Counts {
    /// To be changed.
    pub change: usize,
    /// Worth a look.
    pub look: usize,
    /// Good to know.
    pub note: usize,
}

/// The answer.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Reply<'k> {
    /// The base asked.
    pub base: Basis<'k>,
    /// What to do about reported signs; with an emergency among them, the answer ends here.
    pub signs: Vec<SignRead<'k>>,
    /// The audited week; absent in an emergency.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub week: Option<AuditRead<'k>>,
    /// Remarks on how the question was read.
    pub notes: Vec<String>,
    /// Cautions that apply.
    pub cautions: Vec<&'k str>,
}

impl Reply<'_> {
    /// Whether there is an audit to show.
    #[must_use]
    pub fn has_answer(&self) -> bool {
        self.week.is_some()
    }
}

/// What the relative spinal loading is.
const DOSE_MEANS: &str = "repetitions weighted by the square of compression over 3400 N, from a model good to about 30 % within a family of lifts; for comparing your own days and weeks, and no measure of harm";

/// Answers.
///
/// # Errors
/// [`Error`] naming the value, its place in the request and the nearest valid choice;
/// [`Error::Cells`] with every cell of the week that is wrong.
pub fn answer<'k>(engine: &'k Engine, request: &Request) -> Result<Reply<'k>, Error> {
    let kb = engine.kb();
    if let Some(emergency) = emergency(kb, &request.signs)? {
        return Ok(emergency);
    }
    let read = asked(kb, &request.rows, request.csv.as_deref())?;
    of_week(engine, &read, request)
}

/// The answer that ends with what to do, where a sign of an emergency is named.
fn emergency<'k>(kb: &'k Kb, given: &[String]) -> Result<Option<Reply<'k>>, Error> {
    bounded(given, "/signs")?;
    let mut signs = signs(kb, given)?;
    signs.retain(|s| s.urgency == Urgency::Emergency);
    Ok((!signs.is_empty()).then(|| Reply {
        base: Basis::of(kb),
        signs,
        week: None,
        notes: Vec::new(),
        cautions: Vec::new(),
    }))
}

/// As [`answer`], for a week that was read already; what the request says of rows is left aside.
///
/// # Errors
/// As [`answer`].
pub fn of_week<'k>(engine: &'k Engine, read: &Read, request: &Request) -> Result<Reply<'k>, Error> {
    let kb = engine.kb();
    if let Some(emergency) = emergency(kb, &request.signs)? {
        return Ok(emergency);
    }
    bounded(&request.sore, "/sore")?;
    bounded(&request.deload_signals, "/deload_signals")?;
    let mut notes = read.notes.clone();
    let sore = sores(kb, &request.sore, &mut notes)?;
    let inventory = inventory(kb, request.gym.as_ref(), &request.have)?.improvising(request.improvise);
    let body = body(request.body_mass_kg, request.height_m, request.sex)?;
    if let Some(weeks) = request.weeks_since_deload {
        within(bounds::WEEKS, f64::from(weeks), "/weeks_since_deload")?;
    }
    let mean_points = request.mean_points.map(|m| within(bounds::POINTS, m, "/mean_points")).transpose()?;
    if let Some(age) = request.age {
        within(bounds::AGE, f64::from(age), "/age")?;
    }
    if let Some(sets) = request.sets_last_week {
        within(bounds::SETS_OF_WEEK, f64::from(sets), "/sets_last_week")?;
    }
    let signals = signals(kb, &request.deload_signals)?;
    let level = request.level.unwrap_or(Training::Intermediate);
    let setting = Setting {
        level,
        inventory: &inventory,
        sore: &sore,
        body: &body,
        since_deload: request.weeks_since_deload,
        signals: &signals,
        mean_points,
        age: request.age,
        sets_last_week: request.sets_last_week,
    };
    let audit = audit::audit(kb, &read.week, &setting);
    assumptions(kb, &audit, inventory.assumed, &mut notes);
    let gym = GymRead { id: inventory.id.clone(), name: inventory.name.clone(), assumed: inventory.assumed };
    Ok(Reply {
        base: Basis::of(kb),
        signs: signs(kb, &request.signs)?,
        week: Some(told(kb, &read.week, &audit, person(request, level, &body), gym, &sore, request)),
        notes,
        cautions: cautions(kb, &sore),
    })
}

/// Positions of signs that a lighter week is due early.
fn signals(kb: &Kb, given: &[String]) -> Result<Vec<usize>, Error> {
    let known = &kb.week.deload_signals;
    let at = |(i, id): (usize, &String)| {
        known.iter().position(|s| s.id == id.trim()).ok_or_else(|| {
            unknown("sign of a lighter week", id, &format!("/deload_signals/{i}"), known.iter().map(|s| s.id.as_str()))
        })
    };
    given.iter().enumerate().map(at).collect()
}

fn person(request: &Request, level: Training, body: &anthropometry::Body) -> PersonRead {
    let absent = [
        ("level", request.level.is_none()),
        ("body mass", request.body_mass_kg.is_none()),
        ("height", request.height_m.is_none()),
        ("sex", request.sex.is_none()),
    ];
    PersonRead {
        level,
        body_mass_kg: body.mass().get(),
        height_m: body.height().get(),
        sex: request.sex.unwrap_or(Sex::Male),
        assumed: absent.into_iter().filter(|(_, absent)| *absent).map(|(name, _)| name).collect(),
    }
}

/// Remarks on what the rows leave open.
fn assumptions(kb: &Kb, audit: &Audit<'_>, no_kit: bool, notes: &mut Vec<String>) {
    if no_kit {
        notes.push("no gym was named, so nothing is said of kit".to_string());
    }
    let hard = &kb.week.hard;
    if audit.facts.iter().any(|f| f.row.reserve.is_none() && f.row.work.unit == WorkUnit::Repetitions) {
        notes.push(format!(
            "rows without rir are taken for hard ones with {} repetitions left",
            crate::units::trim(hard.assumed_reserve)
        ));
    }
    let unsaid = audit.facts.iter().filter(|f| f.row.load.is_none()).count();
    if unsaid > 0 {
        let rows = if unsaid == 1 { "1 row says" } else { &format!("{unsaid} rows say") };
        notes.push(format!("{rows} no load; a typical one stands for it in the relative spinal loading"));
    }
    let beyond = audit.facts.iter().filter(|f| f.dose.is_none()).count();
    if beyond > 0 {
        notes.push(format!("the model takes no such load as that of {beyond} rows, which are left out of the loading"));
    }
}

fn told<'k>(
    kb: &'k Kb,
    week: &Week,
    audit: &Audit<'_>,
    person: PersonRead,
    gym: GymRead,
    sore: &[Sore],
    request: &Request,
) -> AuditRead<'k> {
    let mut findings: Vec<FindingRead<'k>> =
        audit.findings.iter().filter_map(|f| finding(kb, &audit.facts, f)).collect();
    findings.sort_by_key(|f| f.severity);
    let count = |severity| findings.iter().filter(|f| f.severity == severity).count();
    AuditRead {
        person,
        gym,
        sore: sore_read(kb, sore),
        verdict: match audit.verdict {
            audit::Verdict::Fine => Verdict::Fine,
            audit::Verdict::Overloaded => Verdict::Overloaded,
        },
        counts: Counts { change: count(Severity::Change), look: count(Severity::Look), note: count(Severity::Note) },
        sums: (&audit.sums).into(),
        days: audit
            .days
            .iter()
            .map(|day| DayRead {
                day: day.day.number(),
                name: day.day.name(),
                sums: (&day.sums).into(),
                rows: audit.facts.get(day.rows.0..day.rows.1).unwrap_or_default().iter().map(|f| row(kb, f)).collect(),
            })
            .collect(),
        exercises: audit
            .exercises
            .iter()
            .map(|e| ExerciseRead { exercise: Named::row(kb, e.exercise), days: e.days, sums: (&e.sums).into() })
            .collect(),
        muscles: audit.muscles.iter().filter_map(|m| muscle(kb, m)).collect(),
        regions: regions(kb, audit),
        balances: audit
            .balances
            .iter()
            .filter_map(|b| {
                let balance = kb.week.balances.get(b.balance)?;
                Some(BalanceRead {
                    id: &balance.id,
                    left: SideRead { name: &balance.left.name, sets: b.left },
                    right: SideRead { name: &balance.right.name, sets: b.right },
                })
            })
            .collect(),
        weeks_since_deload: request.weeks_since_deload.or(week.since_deload),
        findings,
        dose_means: DOSE_MEANS,
    }
}

pub(super) fn sore_read<'k>(kb: &'k Kb, sore: &[Sore]) -> Vec<SoreWeek<'k>> {
    let read = |s: &Sore| SoreWeek {
        region: kb.regions.get(s.region).map_or("", |r| r.id.as_str()),
        aggravator: s.aggravator_name(kb),
        level: s.level,
    };
    sore.iter().map(read).collect()
}

pub(super) fn finding<'k>(kb: &'k Kb, facts: &[Fact<'_>], found: &audit::Finding) -> Option<FindingRead<'k>> {
    let rule = found.rule()?;
    let mut lines: Vec<usize> = found.rows.iter().filter_map(|at| facts.get(*at)).map(|f| f.row.line).collect();
    lines.sort_unstable();
    Some(FindingRead {
        rule: rule.id,
        severity: match rule.severity {
            audit::Severity::Change => Severity::Change,
            audit::Severity::Look => Severity::Look,
            audit::Severity::Note => Severity::Note,
        },
        group: match rule.group {
            audit::Group::Spine => Group::Spine,
            audit::Group::Rest => Group::Rest,
            audit::Group::Joints => Group::Joints,
            audit::Group::Kit => Group::Kit,
            audit::Group::Balance => Group::Balance,
            audit::Group::Stale => Group::Stale,
            audit::Group::Input => Group::Input,
        },
        asks: rule.asks,
        basis: kb.week.rule(rule.id).map_or(&kb.week.basis, |r| &r.basis),
        words: found.words.clone(),
        lines,
        days: found.days.iter().map(|d| d.number()).collect(),
        helps: found.helps.clone(),
    })
}

/// The work of a set in words.
pub(super) fn work_said(row: &Row) -> String {
    let unit = match row.work.unit {
        WorkUnit::Repetitions => "",
        WorkUnit::Seconds => " s",
        WorkUnit::Metres => " m",
    };
    let (low, high) = (row.work.low, row.work.high);
    if low == high { format!("{low}{unit}") } else { format!("{low} to {high}{unit}") }
}

fn row<'k>(kb: &'k Kb, fact: &Fact<'_>) -> RowRead<'k> {
    let row = fact.row;
    RowRead {
        line: row.line,
        exercise: Named::row(kb, row.exercise),
        sets: row.sets,
        work: work_said(row),
        load_kg: row.load.map(|kg| round(kg.get(), 2)),
        counted: kb.table.rows.get(row.exercise).map_or("", |r| counted_as(r.counted)),
        hard: fact.hard > 0,
        tier: fact.tier,
        points: fact.points,
        percent_of_best: fact.percent.map(|p| round(p, 1)),
        dose: fact.dose.map(DoseRead::from),
        dose_mid: fact.dose.map_or(0.0, |d| d.mid),
    }
}

/// A muscle that works, or that a week should train.
fn muscle<'k>(kb: &'k Kb, sets: &MuscleSets) -> Option<MuscleRead<'k>> {
    let muscle = kb.muscles.get(sets.muscle)?;
    if sets.sets == 0.0 && !kb.week.counting.watched.contains(&muscle.id) {
        return None;
    }
    Some(MuscleRead {
        muscle: &muscle.id,
        name: &muscle.name,
        sets: sets.sets,
        direct: sets.direct,
        label: kb.week.label(sets.sets).map_or("", |l| l.label.as_str()),
    })
}

/// Regions that are loaded, most first.
fn regions<'k>(kb: &'k Kb, audit: &Audit<'_>) -> Vec<RegionRead<'k>> {
    let read = |r: &crate::week::count::RegionSets| {
        let region = kb.regions.get(r.region).filter(|_| r.graded > 0)?;
        Some(RegionRead {
            region: &region.id,
            name: &region.name,
            graded_sets: r.graded,
            demanding_sets: r.demanding,
            highest_grade: r.highest,
        })
    };
    let mut out: Vec<RegionRead<'k>> = audit.regions.iter().filter_map(read).collect();
    out.sort_by_key(|r| (std::cmp::Reverse(r.graded_sets), r.region));
    out
}
