//! "What does my lighter week look like?": fewer sets, less load, more in reserve, the same lifts.
//!
//! Leans on [`crate::week::deload`]. Leaves to others: whether one is due ([`super::audit`]), reading
//! the week ([`super`]) and how it looks ([`crate::cli`], [`crate::http`]). Emergency signs suppress
//! the whole answer here.

use std::time::Duration;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::audit::{SoreWeek, sore_read};
use super::{Circumstances, Read, RowAsk, RowTold, Said, asked, emergencies, rows_asked};
use crate::ask::forces::{Sex, within};
use crate::ask::swap::{GymAsk, GymRead, SignRead, SoreAsk, cautions, round, signs};
use crate::ask::{Basis, Engine, Error};
use crate::kb::Kb;
use crate::units::bounds;
use crate::week::Week;
use crate::week::audit::was_light;
use crate::week::deload::{Deload, deload};
use crate::week::mend;

/// A lighter week as asked.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Request {
    /// The week as rows.
    pub rows: Vec<RowAsk>,
    /// The week as the text of a CSV file, in place of rows.
    pub csv: Option<String>,
    /// Where: a gym of the base by id, or one described in full; loads are rounded down to what it
    /// makes up.
    pub gym: Option<GymAsk>,
    /// Further kit; alone, the whole of it.
    pub have: Vec<String>,
    /// Whether makeshift set-ups count as kit.
    pub improvise: bool,
    /// What is sore; with a sore low back sets are kept and lifts swapped for supported ones.
    pub sore: Vec<SoreAsk>,
    /// Body mass, kg, for first loads; 80 when absent.
    pub body_mass_kg: Option<f64>,
    /// Sex, for first loads; men's figures when absent.
    pub sex: Option<Sex>,
    /// Sets of the last seven days; after less than half of the week's no lighter week is needed.
    pub sets_last_week: Option<u32>,
    /// Warning signs, by id (see the terms).
    pub signs: Vec<String>,
}

/// One row, before and now.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct LighterRead<'k> {
    /// Line of the table, or place in the list from 1.
    pub line: usize,
    /// The row as it was.
    pub before: RowTold<'k>,
    /// The row now.
    pub after: RowTold<'k>,
    /// Whether the exercise is another.
    pub swapped: bool,
    /// What to know about it.
    pub notes: Vec<String>,
}

/// The lighter week.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct DeloadRead<'k> {
    /// The gym.
    pub gym: GymRead,
    /// Sore regions with their level.
    pub sore: Vec<SoreWeek<'k>>,
    /// Whether sets are kept and lifts swapped, for a sore low back.
    pub for_the_back: bool,
    /// How long it lasts, days.
    pub days: [u8; 2],
    /// Sets before.
    pub sets_before: u32,
    /// Sets now.
    pub sets_after: u32,
    /// Share of the sets taken off, per cent.
    pub sets_off_percent: f64,
    /// Every row.
    pub rows: Vec<LighterRead<'k>>,
    /// The lighter week, as it can be asked about.
    pub week: Vec<RowAsk>,
    /// What the figures stand on: a source id, `memory` or `practice`.
    pub basis: &'k str,
}

/// The answer.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Reply<'k> {
    /// The base asked.
    pub base: Basis<'k>,
    /// What to do about reported signs; with an emergency among them, the answer ends here.
    pub signs: Vec<SignRead<'k>>,
    /// The lighter week; absent in an emergency.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub deload: Option<DeloadRead<'k>>,
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
        deload: None,
        notes: Vec::new(),
        cautions: Vec::new(),
    }))
}

/// As [`answer`], for a week that was read already; what the request says of rows is left aside.
/// The lighter week itself stands beside the reply.
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
        level: None,
        gym: request.gym.as_ref(),
        have: &request.have,
        improvise: request.improvise,
        sore: &request.sore,
        body_mass_kg: request.body_mass_kg,
        sex: request.sex,
        keep: &[],
    };
    let here = said.resolved(kb, &read.week, &mut notes)?;
    let setting = mend::Setting {
        audit: here.setting(),
        keep: &[],
        tolerance_percent: None,
        people: here.people,
        limit: Duration::ZERO,
    };
    if here.inventory.assumed {
        notes.push("no gym was named, so loads go down to usual steps".to_string());
    }
    if let Some(last) = request.sets_last_week {
        within(bounds::SETS_OF_WEEK, f64::from(last), "/sets_last_week")?;
        let usual = read.week.rows().iter().map(|row| u32::from(row.sets)).sum();
        if was_light(kb, usual, Some(last)) {
            notes.push(format!("no lighter week is needed: the last seven days had {last} sets, {usual} are usual"));
        }
    }
    let found = deload(kb, &read.week, &setting);
    let reply = Reply {
        base: Basis::of(kb),
        signs: signs(kb, &request.signs)?,
        deload: Some(told(kb, &read.week, &found, &here)),
        notes,
        cautions: cautions(kb, &here.sore),
    };
    Ok((reply, Some(found.week)))
}

fn told<'k>(kb: &'k Kb, week: &Week, found: &Deload, here: &Circumstances) -> DeloadRead<'k> {
    let sets = |week: &Week| week.rows().iter().map(|r| u32::from(r.sets)).sum::<u32>();
    let (before, after) = (sets(week), sets(&found.week));
    let rows = week.rows().iter().zip(&found.rows).map(|(was, now)| LighterRead {
        line: was.line,
        before: RowTold::of(kb, was),
        after: RowTold::of(kb, &now.row),
        swapped: now.swapped,
        notes: now.notes.clone(),
    });
    let figures = &kb.week.deload;
    DeloadRead {
        gym: here.gym(),
        sore: sore_read(kb, &here.sore),
        for_the_back: found.back,
        days: [figures.days_low, figures.days_high],
        sets_before: before,
        sets_after: after,
        sets_off_percent: round((1.0 - f64::from(after) / f64::from(before.max(1))) * 100.0, 1),
        rows: rows.collect(),
        week: rows_asked(kb, &found.week),
        basis: &figures.basis,
    }
}
