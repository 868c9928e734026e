//! A week varied as a whole: which of its lifts may change, into what, when, and the week that each
//! block then is.
//!
//! Leans on [`super`] for the variations of one lift and for turns, and on the counts of the audit.
//! Leaves to others: first loads, which are handed in, and words ([`crate::ask`]). The rows of one
//! exercise on one day change together. No variation carries more points, hard sets of the highest
//! tier or sets at a sore region than the rows it stands in for, so no block carries more than the
//! week as it is, on any day. No two lifts share a variation, so nothing is done twice in a week
//! that was not before.

use super::{Block, Slot, Variation, Wanted, is_main, rotation, variations};
use crate::gym::carry::is_possible;
use crate::kb::Kb;
use crate::kb::check::is_training;
use crate::kb::raw::Counted;
use crate::load::carryover::Graph;
use crate::mechanics::anthropometry::Body;
use crate::rank::gates::joint_grade;
use crate::units::Kg;
use crate::week::count::{self, Fact, HIGH};
use crate::week::data::{Day, Row, Week, Work, WorkUnit};

/// What a part of a week carries along the spine, by the audit's counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Carries {
    /// A coach's points.
    pub points: u32,
    /// Hard sets of the highest tier.
    pub top_sets: u32,
    /// All sets.
    pub sets: u32,
}

impl Carries {
    /// Counts rows.
    pub fn of<'r>(kb: &Kb, rows: impl IntoIterator<Item = &'r Row>, body: &Body) -> Self {
        let mut out = Self::default();
        for row in rows {
            let fact = Fact::of(kb, row, body);
            out.points += fact.points;
            out.top_sets += if fact.tier == HIGH { fact.hard } else { 0 };
            out.sets += u32::from(row.sets);
        }
        out
    }

    /// Whether it is more than `other` in points or in sets of the highest tier.
    #[must_use]
    pub const fn is_more_than(&self, other: &Self) -> bool {
        self.points > other.points || self.top_sets > other.top_sets
    }
}

/// Why a variation was passed over.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Passed {
    /// It would carry more along the spine than the rows do now.
    Spine {
        /// What the rows carry now.
        now: Carries,
        /// What they would.
        then: Carries,
    },
    /// More hard sets would ask more of a sore region.
    Sore {
        /// Position of the region.
        region: usize,
    },
}

/// Why a lift stays as it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stays {
    /// Light work, which does its part as it is.
    Light,
    /// Nothing here is a variation of it.
    NoVariation,
    /// What varies it is counted otherwise: repetitions, time or distance.
    OtherWork,
    /// Every variation was passed over.
    AllPassed,
    /// Its variations are in the week already, or serve other rows.
    Taken,
    /// Other rows came first, for all weeks of the plan.
    NoTurn,
}

/// Why a lift takes no turn itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Gone {
    /// The gym cannot do it.
    NoKit,
    /// It is not wanted.
    Skipped,
}

/// One exercise on one day, and what may be done in its place.
#[derive(Debug, Clone, PartialEq)]
pub struct Place {
    /// Day.
    pub day: Day,
    /// Row of the exercise in the base.
    pub lift: usize,
    /// Positions of its rows in the week.
    pub rows: Vec<usize>,
    /// Whether it is a main lift, kept four weeks at least.
    pub main: bool,
    /// Its variations, the best first; none of another place.
    pub variations: Vec<Variation>,
    /// Those of the best that were passed over.
    pub passed: Vec<(usize, Passed)>,
    /// Why the lift takes no turn.
    pub gone: Option<Gone>,
    /// Why nothing changes.
    pub stays: Option<Stays>,
}

/// A stretch of weeks with one exercise in one place.
#[derive(Debug, Clone, PartialEq)]
pub struct Stretch {
    /// First week, from 1.
    pub from: u32,
    /// Last week.
    pub to: u32,
    /// Row of the exercise in the base.
    pub exercise: usize,
    /// Whether the place had another one before.
    pub is_new: bool,
    /// The rows, as they begin.
    pub rows: Vec<Row>,
    /// Why rows have no load that had one of the lift, in words.
    pub no_load: Option<String>,
}

/// A plan for a week.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// Places, in order of their first rows.
    pub places: Vec<Place>,
    /// Blocks; their rows and changes go by place.
    pub blocks: Vec<Block>,
    /// What each place does when, in order of the places.
    pub stretches: Vec<Vec<Stretch>>,
    /// Last week of the plan.
    pub weeks: u32,
    /// Weeks since the last lighter week, as the week said.
    since_deload: Option<u16>,
}

/// How a week is to be varied.
pub struct Asked<'a> {
    /// What is asked of variations.
    pub wanted: Wanted<'a>,
    /// Whose spine is counted for.
    pub body: &'a Body,
    /// Weeks of the plan.
    pub weeks: u32,
    /// Weeks of a block.
    pub every: u32,
}

/// The load that a row with a new exercise begins with, or why there is none.
pub type FirstLoad<'a> = dyn FnMut(&Row, &Row) -> Result<Kg, String> + 'a;

/// Plans the week.
pub fn plan(kb: &Kb, graph: &Graph<'_>, week: &Week, asked: &Asked<'_>, first: &mut FirstLoad<'_>) -> Plan {
    let mut places = places(kb, graph, week, asked);
    let slots: Vec<Slot> = places.iter().map(|place| slot(kb, week, place)).collect();
    let blocks = rotation(&slots, asked.weeks, asked.every);
    let mut stretches: Vec<Vec<Stretch>> = Vec::with_capacity(places.len());
    for (at, place) in places.iter_mut().enumerate() {
        let mut mine: Vec<Stretch> = Vec::new();
        for block in &blocks {
            let exercise = block.rows.get(at).copied().unwrap_or(place.lift);
            match mine.last_mut().filter(|last| last.exercise == exercise) {
                Some(last) => last.to = block.to,
                None => {
                    let is_new = !mine.is_empty() || exercise != place.lift;
                    let (rows, no_load) = begun(kb, week, place, exercise, first);
                    mine.push(Stretch { from: block.from, to: block.to, exercise, is_new, rows, no_load });
                }
            }
        }
        if place.stays.is_none() && mine.iter().all(|s| !s.is_new) {
            place.stays = Some(Stays::NoTurn);
        }
        stretches.push(mine);
    }
    Plan { places, blocks, stretches, weeks: asked.weeks, since_deload: week.since_deload }
}

impl Plan {
    /// The week that is trained in week `number`, from 1.
    #[must_use]
    pub fn week(&self, number: u32) -> Week {
        // Rows in the order of the week, whatever place they belong to.
        let mut rows: Vec<(usize, Row)> = Vec::new();
        for (place, stretches) in self.places.iter().zip(&self.stretches) {
            let Some(now) = stretches.iter().find(|s| (s.from..=s.to).contains(&number)) else { continue };
            for (at, row) in place.rows.iter().zip(&now.rows) {
                let done = u16::try_from(number.saturating_sub(now.from)).unwrap_or(u16::MAX);
                rows.push((
                    *at,
                    Row {
                        weeks_on: if now.is_new { Some(done) } else { row.weeks_on.map(|on| on.saturating_add(done)) },
                        // What will make progress is not known beforehand.
                        weeks_flat: row.weeks_flat.filter(|_| number == 1),
                        ..row.clone()
                    },
                ));
            }
        }
        rows.sort_by_key(|(at, _)| *at);
        Week::new(rows.into_iter().map(|(_, row)| row).collect(), self.since_deload.filter(|_| number == 1))
    }

    /// Whether anything changes in it.
    #[must_use]
    pub fn changes_something(&self) -> bool {
        self.stretches.iter().flatten().any(|s| s.is_new)
    }
}

/// The rows of a place with an exercise, as they begin.
fn begun(
    kb: &Kb,
    week: &Week,
    place: &Place,
    exercise: usize,
    first: &mut FirstLoad<'_>,
) -> (Vec<Row>, Option<String>) {
    let mut none = None;
    let mut rows = Vec::with_capacity(place.rows.len());
    for before in place.rows.iter().filter_map(|at| week.rows().get(*at)) {
        if exercise == place.lift {
            rows.push(before.clone());
            continue;
        }
        let mut row = instead(kb, before, exercise);
        let body = |load: &Kg| load.get() == 0.0 && takes_none(kb, exercise);
        match before.load.map(|load| if body(&load) { Ok(load) } else { first(before, &row) }) {
            Some(Ok(load)) => row.load = Some(load),
            Some(Err(why)) => none = none.or(Some(why)),
            None => {}
        }
        rows.push(row);
    }
    (rows, none)
}

/// A row with another exercise and no load yet; repetitions and seconds within its usual range.
fn instead(kb: &Kb, row: &Row, to: usize) -> Row {
    let within = |reps: u16| match kb.table.rows.get(to) {
        Some(r) if row.work.unit != WorkUnit::Metres => reps.max(r.reps_low).min(r.reps_high.max(r.reps_low)),
        _ => reps,
    };
    let work = Work { unit: row.work.unit, low: within(row.work.low), high: within(row.work.high) };
    let name = kb.names_shown.get(row.exercise).map_or("", String::as_str);
    // What was noted is about the lift, and comes back with it.
    let note = format!("in place of {name}");
    Row { exercise: to, work, load: None, weeks_on: None, weeks_flat: None, note, ..row.clone() }
}

/// Whether the sets of a row could be done with another exercise: repetitions, time or distance.
fn is_same_work(kb: &Kb, unit: WorkUnit, exercise: usize) -> bool {
    let Some(r) = kb.table.rows.get(exercise) else { return false };
    let carry = count::is_in(kb, exercise, &kb.week.spacing.anywhere);
    match unit {
        WorkUnit::Repetitions => !r.holds && !carry,
        WorkUnit::Seconds => r.holds,
        WorkUnit::Metres => carry,
    }
}

/// Whether the body is all that an exercise lifts.
fn takes_none(kb: &Kb, exercise: usize) -> bool {
    kb.table.rows.get(exercise).is_some_and(|r| r.counted == Counted::Body)
}

/// Whether it is only the form with weight hung on of a lift with the body, which the row is already.
fn is_loaded_form(kb: &Kb, row: &Row, exercise: usize) -> bool {
    let loaded = row.load.is_some_and(|load| load.get() > 0.0);
    let is = kb.table.rows.get(exercise);
    loaded && is.is_some_and(|r| r.counted == Counted::Added && r.parent as usize == row.exercise)
}

/// How many variations of a lift are looked at.
const LOOKED_AT: usize = 60;

/// The places of a week with their variations.
fn places(kb: &Kb, graph: &Graph<'_>, week: &Week, asked: &Asked<'_>) -> Vec<Place> {
    let wanted = Wanted { top: LOOKED_AT, ..asked.wanted };
    let mut known: Vec<(usize, Vec<Variation>)> = Vec::new();
    let mut places: Vec<Place> = Vec::new();
    let mut fits: Vec<Vec<Variation>> = Vec::new();
    for (at, row) in week.rows().iter().enumerate() {
        if let Some(place) = places.iter_mut().find(|p| p.day == row.day && p.lift == row.exercise) {
            place.rows.push(at);
            continue;
        }
        let gone = if wanted.skip.contains(&row.exercise) {
            Some(Gone::Skipped)
        } else {
            (!is_possible(kb, wanted.inventory, row.exercise)).then_some(Gone::NoKit)
        };
        places.push(Place {
            day: row.day,
            lift: row.exercise,
            rows: vec![at],
            main: is_main(kb, row.exercise),
            variations: Vec::new(),
            passed: Vec::new(),
            gone,
            stays: None,
        });
    }
    for place in &mut places {
        let light = kb.table.rows.get(place.lift).is_some_and(|r| !is_training(r.role));
        if light && place.gone.is_none() {
            place.stays = Some(Stays::Light);
            fits.push(Vec::new());
            continue;
        }
        let found = match known.iter().find(|(lift, _)| *lift == place.lift) {
            Some((_, found)) => found.clone(),
            None => {
                let found = variations(kb, graph, place.lift, &wanted);
                known.push((place.lift, found.clone()));
                found
            }
        };
        fits.push(fitting(kb, week, place, found, asked));
    }
    draft(&mut places, fits, asked.wanted.top);
    places
}

/// Which variations fit the rows of a place; why none does stands in the place then, and which were
/// passed over.
fn fitting(kb: &Kb, week: &Week, place: &mut Place, found: Vec<Variation>, asked: &Asked<'_>) -> Vec<Variation> {
    if found.is_empty() {
        place.stays = Some(Stays::NoVariation);
        return found;
    }
    let rows: Vec<&Row> = place.rows.iter().filter_map(|at| week.rows().get(*at)).collect();
    let same = |v: &Variation| {
        rows.iter().all(|row| is_same_work(kb, row.work.unit, v.row) && !is_loaded_form(kb, row, v.row))
    };
    let mut found: Vec<Variation> = found.into_iter().filter(same).collect();
    if found.is_empty() {
        place.stays = Some(Stays::OtherWork);
        return found;
    }
    found.retain(|v| week.rows().iter().all(|row| row.exercise != v.row));
    if found.is_empty() {
        place.stays = Some(Stays::Taken);
        return found;
    }
    let mut fits = Vec::with_capacity(found.len());
    for (at, variation) in found.into_iter().enumerate() {
        let then: Vec<Row> = rows.iter().map(|row| instead(kb, row, variation.row)).collect();
        match passed(kb, &rows, &then, asked) {
            None => fits.push(variation),
            Some(why) if at < asked.wanted.top => place.passed.push((variation.row, why)),
            Some(_) => {}
        }
    }
    // Where there is a load, what takes none comes last.
    let loaded = rows.iter().any(|row| row.load.is_some_and(|load| load.get() > 0.0));
    fits.sort_by_key(|v| loaded && takes_none(kb, v.row));
    if fits.is_empty() {
        place.stays = Some(Stays::AllPassed);
    }
    fits
}

/// Why rows may not be done so, if they may not.
fn passed(kb: &Kb, now: &[&Row], then: &[Row], asked: &Asked<'_>) -> Option<Passed> {
    let before = Carries::of(kb, now.iter().copied(), asked.body);
    let after = Carries::of(kb, then, asked.body);
    if after.is_more_than(&before) {
        return Some(Passed::Spine { now: before, then: after });
    }
    // A grade that does not rise is not enough where sets become hard that were not; and the region
    // as a whole must not rise either where one movement of it is sore.
    let more = asked.wanted.sore.iter().find(|s| {
        let of = |row: &Row, grade: u8| Fact::of(kb, row, asked.body).hard * u32::from(grade);
        let named = |row: &Row| of(row, joint_grade(kb, s, row.exercise));
        let whole = |row: &Row| of(row, kb.table.grades_of(row.exercise).get(s.region).copied().unwrap_or(0));
        let is_more = |load: &dyn Fn(&Row) -> u32| {
            then.iter().map(load).sum::<u32>() > now.iter().map(|row| load(row)).sum::<u32>()
        };
        is_more(&named) || is_more(&whole)
    });
    more.map(|s| Passed::Sore { region: s.region })
}

/// Deals the variations out: main lifts first, each place in turn takes the best that nobody has,
/// until each has `most` or there are no more.
fn draft(places: &mut [Place], fits: Vec<Vec<Variation>>, most: usize) {
    let mut order: Vec<usize> = (0..places.len()).collect();
    order.sort_by_key(|at| !places.get(*at).is_some_and(|p| p.main));
    let mut left: Vec<std::vec::IntoIter<Variation>> = fits.into_iter().map(Vec::into_iter).collect();
    let mut taken: Vec<usize> = Vec::new();
    for _ in 0..most {
        for at in &order {
            let Some((place, left)) = places.get_mut(*at).zip(left.get_mut(*at)) else { continue };
            match left.find(|v| !taken.contains(&v.row)) {
                Some(variation) => {
                    taken.push(variation.row);
                    place.variations.push(variation);
                }
                None if place.variations.is_empty() && place.stays.is_none() => place.stays = Some(Stays::Taken),
                None => {}
            }
        }
    }
}

fn slot(kb: &Kb, week: &Week, place: &Place) -> Slot {
    let rows = || place.rows.iter().filter_map(|at| week.rows().get(*at));
    Slot {
        lift: place.lift,
        turns: place.variations.iter().map(|v| v.row).collect(),
        main: place.main,
        kind: Some(kind(kb, place.lift)),
        weeks_on: rows().filter_map(|row| row.weeks_on).map(u32::from).min(),
        weeks_flat: rows().filter_map(|row| row.weeks_flat).map(u32::from).max().unwrap_or(0),
        gone: place.gone.is_some(),
    }
}

/// Kind of work: the kind that a week should have of which it is, else its own pattern.
fn kind(kb: &Kb, exercise: usize) -> usize {
    let wanted = &kb.week.spacing.wanted;
    let one = wanted.iter().position(|id| count::is_in(kb, exercise, std::slice::from_ref(id)));
    one.unwrap_or(wanted.len() + kb.table.rows.get(exercise).map_or(0, |r| usize::from(r.pattern)))
}
