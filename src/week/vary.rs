//! Fresh variations of a lift that still carry over to it, and a plan that takes turns among them.
//!
//! Leans on the ranking for what trains the same ([`crate::rank`]), on carry-over for how much of
//! the lift it is, and on the base's ties. Leaves to others: a week as a whole ([`whole`]), loads,
//! cautions and words ([`crate::ask::vary`]).
//!
//! A lift that is kept carries over best to itself, and change that is too frequent hinders
//! (practice section 4.3): main lifts stay four weeks at least, and where several lifts are
//! varied one main lift and one other change at a time.

pub mod whole;

use std::cmp::Reverse;
use std::collections::VecDeque;

use crate::gym::Inventory;
use crate::kb::Kb;
use crate::kb::raw::{Aim, Counted, Laterality, Role};
use crate::kb::table::Row;
use crate::load::carryover::{Confidence, Graph, Ratio};
use crate::rank::gates::joint_grade;
use crate::rank::{self, Question, Sore};

/// Fewest weeks that a main lift is kept (practice section 4.3).
pub const LEAST_WEEKS_MAIN: u32 = 4;

/// How a variation differs from the lift.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Emphasis {
    /// Hardest at another muscle length.
    Length,
    /// The load sits elsewhere.
    Position,
    /// One side at a time, or both.
    Sides,
    /// Another bar or implement.
    Implement,
    /// A narrower, wider or turned grip.
    Grip,
    /// A wider, narrower or split stance.
    Stance,
    /// A pause or a slow pace.
    Tempo,
    /// A longer or shorter range.
    Range,
    /// Another angle of the body.
    Angle,
}

/// Words in ids and what they say of a variation; how lifters name them.
const NAMED: &[(&str, Emphasis)] = &[
    ("pause", Emphasis::Tempo),
    ("tempo", Emphasis::Tempo),
    ("dead-stop", Emphasis::Tempo),
    ("slow", Emphasis::Tempo),
    ("wide", Emphasis::Grip),
    ("close-grip", Emphasis::Grip),
    ("narrow", Emphasis::Grip),
    ("neutral", Emphasis::Grip),
    ("underhand", Emphasis::Grip),
    ("reverse-grip", Emphasis::Grip),
    ("snatch-grip", Emphasis::Grip),
    ("thick", Emphasis::Grip),
    ("sumo", Emphasis::Stance),
    ("split", Emphasis::Stance),
    ("staggered", Emphasis::Stance),
    ("kickstand", Emphasis::Stance),
    ("straddle", Emphasis::Stance),
    ("deficit", Emphasis::Range),
    ("block", Emphasis::Range),
    ("box", Emphasis::Range),
    ("pin", Emphasis::Range),
    ("rack-pull", Emphasis::Range),
    ("partial", Emphasis::Range),
    ("floor-press", Emphasis::Range),
    ("incline", Emphasis::Angle),
    ("decline", Emphasis::Angle),
    ("seated", Emphasis::Angle),
    ("elevated", Emphasis::Angle),
];

/// A variation of a lift.
#[derive(Debug, Clone, PartialEq)]
pub struct Variation {
    /// Row.
    pub row: usize,
    /// How much of the lift it is, where that is known.
    pub ratio: Option<Ratio>,
    /// Steps between the two over parents, easier and harder ones; none where no such way is short.
    pub distance: Option<u8>,
    /// How it differs.
    pub emphasis: Vec<Emphasis>,
    /// Share of the lift's muscle work kept, 0 to 1.
    pub kept: f64,
    /// Points that decided the order.
    pub points: i64,
}

/// What is asked of the variations.
#[derive(Debug, Clone, Copy)]
pub struct Wanted<'a> {
    /// Sore regions: no variation loads one more than the lift does.
    pub sore: &'a [Sore],
    /// What stands on the floor.
    pub inventory: &'a Inventory,
    /// Rows that are not wanted.
    pub skip: &'a [usize],
    /// How many variations.
    pub top: usize,
}

/// Rows of the ranking that are looked at.
const POOL: usize = 120;
/// Least share of the muscle work that a variation keeps (practice).
const LEAST_KEPT: f64 = 0.6;
/// Ratios at which two lifts are loaded much alike (practice).
const ALIKE: std::ops::RangeInclusive<f64> = 0.6..=1.5;
/// Farthest distance that is looked for.
const FARTHEST: u8 = 4;

/// The variations of the lift in `row`, best first.
#[must_use]
pub fn variations(kb: &Kb, graph: &Graph<'_>, row: usize, wanted: &Wanted<'_>) -> Vec<Variation> {
    let Some(lift) = kb.table.rows.get(row) else { return Vec::new() };
    let question = Question {
        original: row,
        sore: &[],
        inventory: wanted.inventory,
        aim: Aim::Size,
        max_spine: None,
        skill: None,
        skip: wanted.skip,
        top: POOL,
        explain: false,
    };
    let distances = distances(kb, row);
    let low_back = kb.region_at("low-back");
    let spared = |other: usize| {
        wanted.sore.iter().all(|s| {
            let spine = |at: usize| kb.table.rows.get(at).map_or(4, |r| r.spine);
            joint_grade(kb, s, other) <= joint_grade(kb, s, row)
                && (Some(s.region) != low_back || spine(other) <= spine(row))
        })
    };
    let found = rank::rank(kb, &question).picks.into_iter().filter(|p| p.reservation.is_none()).filter_map(|pick| {
        let other = kb.table.rows.get(pick.row)?;
        let near = other.pattern == lift.pattern;
        let distance = distances.get(pick.row).copied().flatten();
        let ratio = graph.between(row, pick.row).ok();
        // What is neither of the pattern nor known to carry over is a substitute, no variation.
        let carries = ratio.as_ref().is_some_and(|r| r.confidence > Confidence::Guess);
        if !(near || carries) || pick.coverage < LEAST_KEPT || !spared(pick.row) {
            return None;
        }
        let emphasis = emphasis(kb, row, pick.row);
        if emphasis.is_empty() {
            return None;
        }
        let sure = match ratio.as_ref().map(|r| r.confidence) {
            Some(Confidence::Given) => 30,
            Some(Confidence::Derived) => 22,
            Some(Confidence::Guess) => 8,
            None => 0,
        };
        let close = distance.map_or(0, |d| 24 - 5 * i64::from(d));
        let fresh = 8 * i64::try_from(emphasis.len().min(2)).unwrap_or(0);
        let same = if near { 12 } else { 0 };
        let usual = 2 * i64::from(other.usual);
        let kept = (pick.coverage * 30.0).round() as i64;
        // A lift of the same rank that is loaded much alike carries over as training, not only as a ratio.
        let rank = if other.role == lift.role { 10 } else { 0 };
        let alike = other.counted == lift.counted && ratio.as_ref().is_some_and(|r| ALIKE.contains(&r.range.typical));
        let points = sure + close + fresh + same + usual + kept + rank + if alike { 12 } else { 0 };
        Some(Variation { row: pick.row, ratio, distance, emphasis, kept: pick.coverage, points })
    });
    let mut all: Vec<Variation> = found.collect();
    all.sort_by(|a, b| b.points.cmp(&a.points).then_with(|| kb.ids.get(a.row).cmp(&kb.ids.get(b.row))));
    spread(all, wanted.top)
}

/// The best first, and of the rest those with an emphasis that was taken least before.
fn spread(mut left: Vec<Variation>, top: usize) -> Vec<Variation> {
    let mut taken: Vec<Variation> = Vec::with_capacity(top.min(left.len()));
    while taken.len() < top && !left.is_empty() {
        let seen = |v: &Variation| {
            let first = v.emphasis.first();
            i64::try_from(taken.iter().filter(|t| t.emphasis.first() == first).count()).unwrap_or(0)
        };
        // A repeated emphasis is worth some places, and no more.
        let best = left.iter().enumerate().max_by_key(|(at, v)| (v.points - 6 * seen(v), Reverse(*at)));
        let Some(at) = best.map(|(at, _)| at) else { break };
        taken.push(left.remove(at));
    }
    taken
}

/// How the exercise in `other` differs from the one in `row`.
#[must_use]
pub fn emphasis(kb: &Kb, row: usize, other: usize) -> Vec<Emphasis> {
    let (Some(a), Some(b)) = (kb.table.rows.get(row), kb.table.rows.get(other)) else { return Vec::new() };
    let ids = (kb.ids.get(row).map_or("", String::as_str), kb.ids.get(other).map_or("", String::as_str));
    let mut out: Vec<Emphasis> =
        NAMED.iter().filter(|(word, _)| ids.0.contains(word) != ids.1.contains(word)).map(|(_, e)| *e).collect();
    if (a.laterality == Laterality::Bilateral) != (b.laterality == Laterality::Bilateral) {
        out.push(Emphasis::Sides);
    }
    if a.hard_at != b.hard_at {
        out.push(Emphasis::Length);
    }
    if a.load_position != b.load_position {
        out.push(Emphasis::Position);
    }
    if implement(kb, row, a) != implement(kb, other, b) {
        out.push(Emphasis::Implement);
    }
    let mut seen = Vec::with_capacity(out.len());
    out.retain(|e| {
        let new = !seen.contains(e);
        seen.push(*e);
        new
    });
    out
}

/// What carries the load: the count, and the first item of the first alternative that is no
/// furniture.
fn implement<'k>(kb: &'k Kb, row: usize, columns: &Row) -> (Counted, Option<&'k str>) {
    let furniture = ["plates", "rack", "flat-bench", "adjustable-bench", "chair", "box", "floor", "wall", "blocks"];
    let first = kb.table.kits_of(row).first();
    let item = first.and_then(|kit| kb.kit_names(*kit).map(|q| q.id.as_str()).find(|id| !furniture.contains(id)));
    (columns.counted, item)
}

/// Steps from a row over parents, easier and harder ones, up to [`FARTHEST`].
fn distances(kb: &Kb, row: usize) -> Vec<Option<u8>> {
    let mut ties: Vec<Vec<usize>> = vec![Vec::new(); kb.len()];
    let mut tie = |a: usize, b: usize| {
        for (from, to) in [(a, b), (b, a)] {
            if let Some(list) = ties.get_mut(from) {
                list.push(to);
            }
        }
    };
    for (at, r) in kb.table.rows.iter().enumerate() {
        tie(at, r.parent as usize);
    }
    for (from, to) in &kb.carryover_rows {
        tie(*from as usize, *to as usize);
    }
    let mut out: Vec<Option<u8>> = vec![None; kb.len()];
    let mut open = VecDeque::from([(row, 0u8)]);
    while let Some((here, steps)) = open.pop_front() {
        match out.get_mut(here) {
            Some(slot) if slot.is_none() => *slot = Some(steps),
            _ => continue,
        }
        if steps < FARTHEST {
            open.extend(ties.get(here).into_iter().flatten().map(|next| (*next, steps + 1)));
        }
    }
    out
}

/// Whether a lift is kept at least [`LEAST_WEEKS_MAIN`] weeks.
#[must_use]
pub fn is_main(kb: &Kb, row: usize) -> bool {
    kb.table.rows.get(row).is_some_and(|r| matches!(r.role, Role::Main | Role::Power))
}

/// A lift to be varied, with its variations, best first.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Slot {
    /// Row of the lift.
    pub lift: usize,
    /// Rows of its variations.
    pub turns: Vec<usize>,
    /// Whether it is a main lift, kept [`LEAST_WEEKS_MAIN`] weeks at least.
    pub main: bool,
    /// Kind of work; of slots of one kind no two change at a time.
    pub kind: Option<usize>,
    /// Weeks that the lift has been in the programme, where that is known.
    pub weeks_on: Option<u32>,
    /// Weeks without progress in it.
    pub weeks_flat: u32,
    /// Whether the lift itself takes no turn: it is changed at once, and never comes back.
    pub gone: bool,
}

impl Slot {
    /// How many there are to take turns.
    fn cycle(&self) -> usize {
        self.turns.len() + usize::from(!self.gone)
    }
}

/// A stretch of weeks in which nothing changes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Block {
    /// First week, from 1.
    pub from: u32,
    /// Last week.
    pub to: u32,
    /// What is done, a row for each slot.
    pub rows: Vec<usize>,
    /// Slots that changed at its beginning.
    pub changed: Vec<usize>,
}

/// Where a slot stands in its turns.
struct Turning<'s> {
    slot: &'s Slot,
    turn: usize,
    now: usize,
    /// Week of its last change.
    since: Option<u32>,
}

impl Turning<'_> {
    fn next(&mut self, week: u32) {
        // The lift itself comes round after its variations.
        let place = self.turn % self.slot.cycle().max(1);
        self.now = self.slot.turns.get(place).copied().unwrap_or(self.slot.lift);
        self.turn += 1;
        self.since = Some(week);
    }

    /// Weeks that what is done now has been done before `week`; for as long as asked, where nobody
    /// says how long.
    fn kept(&self, week: u32, asked: u32) -> u32 {
        match self.since {
            Some(since) => week.saturating_sub(since),
            None => self.slot.weeks_on.unwrap_or(asked).saturating_add(week.saturating_sub(1)),
        }
    }

    fn may_change(&self, week: u32, every: u32) -> bool {
        let asked = if self.slot.main { every.max(LEAST_WEEKS_MAIN) } else { every };
        !self.slot.turns.is_empty() && self.slot.cycle() > 1 && self.kept(week, asked) >= asked
    }

    /// The smaller, the sooner it changes: what makes no progress first, then what was kept longest.
    fn patience(&self, week: u32, every: u32) -> (Reverse<u32>, Reverse<u32>) {
        let flat = if self.since.is_none() { self.slot.weeks_flat } else { 0 };
        (Reverse(flat), Reverse(self.kept(week, every.max(LEAST_WEEKS_MAIN))))
    }
}

/// Takes turns over `weeks` weeks in blocks of `every`, the rest added to the last block. At the
/// beginning of each block at most one main lift changes, after [`LEAST_WEEKS_MAIN`] weeks at least,
/// and one other, of another kind of work; each time one without progress, then the one unchanged
/// longest. A slot goes through all its variations, then its own lift, before any comes again.
#[must_use]
pub fn rotation(slots: &[Slot], weeks: u32, every: u32) -> Vec<Block> {
    let every = every.max(1);
    let count = (weeks / every).max(1);
    let mut all: Vec<Turning<'_>> =
        slots.iter().map(|slot| Turning { slot, turn: 0, now: slot.lift, since: None }).collect();
    let mut blocks = Vec::new();
    for block in 0..count {
        let from = block * every + 1;
        let mut changed: Vec<usize> = Vec::new();
        if block == 0 {
            // What cannot be kept is no choice of what to vary.
            for (at, turning) in all.iter_mut().enumerate().filter(|(_, t)| t.slot.gone && !t.slot.turns.is_empty()) {
                turning.next(from);
                changed.push(at);
            }
        }
        let mut kinds: Vec<usize> = Vec::new();
        for main in [true, false] {
            let movable = all.iter().enumerate().filter(|(at, t)| {
                t.slot.main == main
                    && !changed.contains(at)
                    && !t.slot.kind.is_some_and(|kind| kinds.contains(&kind))
                    && t.may_change(from, every)
            });
            let next = movable.min_by_key(|(at, t)| (t.patience(from, every), *at)).map(|(at, _)| at);
            if let Some((at, turning)) = next.and_then(|at| Some((at, all.get_mut(at)?))) {
                turning.next(from);
                kinds.extend(turning.slot.kind);
                changed.push(at);
            }
        }
        changed.sort_unstable();
        let to = if block + 1 == count { weeks.max(from) } else { from + every - 1 };
        blocks.push(Block { from, to, rows: all.iter().map(|t| t.now).collect(), changed });
    }
    blocks
}
