//! From a resolved question to an ordered, explained list of substitutes.
//!
//! Leans on the compiled base and an inventory. Leaves to others: strings, cautions and the
//! shape of the reply ([`crate::ask`]). One scan over all rows; whole numbers decide the order
//! and the id breaks ties, so the same question gives the same answer.

pub mod basket;
pub mod explain;
pub mod gates;
pub mod light;
mod phrases;
#[cfg(test)]
mod simple;
mod spare;
pub mod terms;

use std::borrow::Cow;
use std::cmp::Reverse;

use crate::gym::{Inventory, one_item_short};
use crate::kb::Kb;
use crate::kb::raw::{Aim, Level};

use explain::Explanation;
use gates::{Context, GATES, KIT};
use light::Light;
use terms::{Choices, Covering, Scorer, wanted};

/// A sore region, resolved.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Sore {
    /// Position of the region.
    pub region: usize,
    /// Column of the aggravator, if one is named.
    pub aggravator: Option<usize>,
    /// How sore.
    pub level: Level,
}

impl Sore {
    /// Name of the region.
    #[must_use]
    pub fn region_name<'k>(&self, kb: &'k Kb) -> &'k str {
        kb.regions.get(self.region).map_or("", |r| r.name.as_str())
    }

    /// Token of the aggravator, if one is named.
    #[must_use]
    pub fn aggravator_name<'k>(&self, kb: &'k Kb) -> Option<&'k str> {
        let start = usize::from(*kb.aggravator_start.get(self.region)?);
        let at = self.aggravator?.checked_sub(start)?;
        Some(kb.regions.get(self.region)?.aggravators.get(at)?.id.as_str())
    }
}

/// A question with every name resolved.
#[derive(Debug, Clone, Copy)]
pub struct Question<'a> {
    /// Row of the exercise to replace.
    pub original: usize,
    /// Sore regions.
    pub sore: &'a [Sore],
    /// What stands on the floor.
    pub inventory: &'a Inventory,
    /// What the lifter trains for.
    pub aim: Aim,
    /// Greatest spine class step, if limited.
    pub max_spine: Option<u8>,
    /// Greatest skill, if limited.
    pub skill: Option<u8>,
    /// Rows that the person does not want.
    pub skip: &'a [usize],
    /// How many substitutes.
    pub top: usize,
    /// Whether the whole tree behind each score is told.
    pub explain: bool,
}

/// One substitute.
#[derive(Debug, Clone, PartialEq)]
pub struct Pick<'k> {
    /// Row.
    pub row: usize,
    /// Whole number that decided the order.
    pub points: u32,
    /// Score, 0 to 100.
    pub score: f64,
    /// Share of the original's muscle work kept, 0 to 1.
    pub coverage: f64,
    /// The gate that was relaxed by one step, for the second tier.
    pub reservation: Option<(usize, String)>,
    /// The terms that give most points, each in a few words.
    pub reasons: Vec<Cow<'static, str>>,
    /// The tree behind the score, when asked for.
    pub explanation: Option<Explanation<'k>>,
}

/// What a gate refused.
#[derive(Debug, Clone, PartialEq)]
pub struct Refused {
    /// Position in [`GATES`].
    pub gate: usize,
    /// How many rows it was the first to refuse.
    pub count: usize,
    /// The refused rows that keep most of the original's muscles, with the reason.
    pub examples: Vec<(usize, String)>,
}

/// An item that would open substitutes.
#[derive(Debug, Clone, PartialEq)]
pub struct OneItem {
    /// Position of the item.
    pub item: usize,
    /// Rows that it would open, best first.
    pub rows: Vec<usize>,
    /// Score of the best of them.
    pub score: f64,
}

/// Two exercises that keep together what no single one does.
#[derive(Debug, Clone, PartialEq)]
pub struct Pair {
    /// Rows, the better first.
    pub rows: [usize; 2],
    /// Share of the original's muscle work kept together.
    pub coverage: f64,
}

/// A row that would be a substitute but for its kit, which something here can stand in for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Improvised {
    /// Row.
    pub row: usize,
    /// Score with the stand-in, 0 to 100.
    pub score: f64,
    /// Share of the original's muscle work kept, 0 to 1.
    pub coverage: f64,
}

/// The whole answer.
#[derive(Debug, Clone, PartialEq)]
pub struct Ranking<'k> {
    /// Substitutes, best first.
    pub picks: Vec<Pick<'k>>,
    /// How many passed every gate.
    pub passed: usize,
    /// Refusals by gate, in order of [`GATES`].
    pub refused: Vec<Refused>,
    /// A pair, when no single pick keeps enough.
    pub pair: Option<Pair>,
    /// Items that would open better substitutes.
    pub one_item: Vec<OneItem>,
    /// What stand-ins would open, best first; empty where they count as kit.
    pub improvised: Vec<Improvised>,
    /// Light work for the sore regions, beside the swap.
    pub light: Vec<Light>,
}

/// How many refused examples are told for each gate.
const EXAMPLES: usize = 3;
/// Muscle coverage, in thousandths, from which a refused row is worth telling about.
const CLOSE: u16 = 500;
/// How many items are suggested, and how many exercises for each.
const ITEMS: usize = 3;
/// How many makeshift set-ups are told, and how many for each item stood in for.
const IMPROVISED: usize = 3;
const IMPROVISED_OF_ONE_ITEM: usize = 2;
/// Below this many full passes the second tier is shown.
const SECOND_TIER_BELOW: usize = 3;
/// The first so many come from at least [`LEAST_PARENTS`] parents where that many pass.
const FIRST: usize = 5;
const LEAST_PARENTS: usize = 3;
/// At most so many of one parent among the first [`FIRST`], while others pass.
const MOST_OF_ONE_PARENT: usize = 2;
/// At most so many of one pattern far from the original's among the first [`FIRST`], while
/// others pass: a lifter wants different ways, not one way five times.
const MOST_OF_OTHER_PATTERN: usize = 3;
/// Per cent of the next best's points that a different one must reach to be shown before it.
const VARIETY_FLOOR: u32 = 92;
/// How many of the best are tried for a pair.
const PAIR_POOL: usize = 60;
/// As many muscle weights as a row may have.
const MOST_MUSCLES: usize = 64;

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Seen {
    /// Fewer for more points, so that the first in order is the best; then the place of the id in
    /// the alphabet, which breaks ties.
    key: u64,
    row: usize,
}

impl Seen {
    fn new(kb: &Kb, row: usize, points: u32) -> Self {
        let order = kb.lanes.order.get(row).copied().unwrap_or(u32::MAX);
        Self { key: u64::from(u32::MAX - points) << 32 | u64::from(order), row }
    }

    const fn points(self) -> u32 {
        u32::MAX - (self.key >> 32) as u32
    }
}

/// So many of the best are put in order at first; the rest only where they are looked at.
const SORTED_FIRST: usize = 16;

/// Answers a question.
#[must_use]
pub fn rank<'k>(kb: &'k Kb, question: &Question<'_>) -> Ranking<'k> {
    let wanted = wanted(kb, question);
    let floor = question.inventory.floor(kb);
    let choices = Choices::new(kb, question, |row| floor.does(row));
    let context = Context::new(kb, question, floor, &choices, &wanted);
    let Some(scorer) = Scorer::new(kb, &context, question, &choices) else {
        return Ranking {
            picks: Vec::new(),
            passed: 0,
            refused: Vec::new(),
            pair: None,
            one_item: Vec::new(),
            improvised: Vec::new(),
            light: Vec::new(),
        };
    };

    let mut passed: Vec<Seen> = Vec::with_capacity(context.nearly.len());
    let mut near: Vec<(usize, usize)> = Vec::new();
    let mut for_want_of_kit: Vec<usize> = Vec::new();
    let least = (kb.ranking.least_coverage * 1000.0) as u16;
    // Where stand-ins count as kit already, the kit gate has let them through.
    let could_improvise = question.inventory.stood_in != 0 && !question.inventory.improvise;
    let mut refused: [Vec<usize>; GATES.len()] = Default::default();
    for seen in &context.nearly {
        let Some(gate) = seen.gate() else {
            passed.push(Seen::new(kb, seen.row, scorer.points(seen.row)));
            continue;
        };
        // What would pass but for this gate may be told, or shown with reservations; what trains
        // something else is no loss.
        if could_improvise && gate == KIT && seen.kept >= least && floor.is_short_of_one(seen.row) {
            for_want_of_kit.push(seen.row);
        }
        if seen.by_one_step {
            near.push((seen.row, gate));
        }
        if let Some(told) = refused.get_mut(gate).filter(|_| seen.kept >= CLOSE) {
            told.push(seen.row);
        }
    }
    let pair_needed = question.top > 0 && {
        let least = (kb.ranking.pair_below_coverage * 1000.0) as u16;
        !passed.iter().any(|s| context.kept(s.row) >= least)
    };
    let sorted = first_sorted(&mut passed, SORTED_FIRST.max(2 * question.top));
    let taken = match thin(kb, passed.get(..sorted).unwrap_or_default(), sorted == passed.len(), question) {
        Some(taken) => taken,
        None => {
            passed.sort_unstable();
            thin(kb, &passed, true, question).unwrap_or_default()
        }
    };
    let mut picks: Vec<Pick<'_>> = taken.into_iter().map(|seen| pick(&scorer, &context, seen, None)).collect();
    if passed.len() < SECOND_TIER_BELOW {
        let mut near: Vec<(Seen, usize)> =
            near.iter().map(|(row, gate)| (Seen::new(kb, *row, scorer.points(*row)), *gate)).collect();
        near.sort_unstable();
        let room = question.top.saturating_sub(picks.len());
        picks.extend(near.iter().take(room).map(|(seen, gate)| {
            let why = context.why(*gate, seen.row);
            pick(&scorer, &context, *seen, Some((*gate, why)))
        }));
    }

    let bar = picks.get(2).map_or(0, |p| p.points);
    let kit_seen = refused.get(KIT).map_or(&[][..], Vec::as_slice);
    let one_item = items(kb, question.inventory, &scorer, kit_seen, bar);
    let improvised = improvised(kb, question, &context, &for_want_of_kit, bar);
    let light = light::offered(kb, &context, |row| picks.iter().any(|p| p.row == row));
    // The refused that a person would miss most: those that keep most, then the most usual.
    let usual = |row: usize| kb.table.rows.get(row).map_or(0, |r| r.usual);
    let order = |row: usize| kb.lanes.order.get(row).copied().unwrap_or(u32::MAX);
    let by_loss = |row: &usize| (Reverse((context.kept(*row), usual(*row))), order(*row));
    let counted = context.first_refusals().into_iter().zip(refused).enumerate();
    let refused = counted
        .filter(|(_, (count, _))| *count > 0)
        .map(|(gate, (count, mut seen))| {
            if seen.len() > EXAMPLES {
                seen.select_nth_unstable_by_key(EXAMPLES, by_loss);
                seen.truncate(EXAMPLES);
            }
            seen.sort_unstable_by_key(by_loss);
            let examples = seen.iter().map(|row| (*row, context.why(gate, *row))).collect();
            Refused { gate, count, examples }
        })
        .collect();
    let pair = if pair_needed {
        first_sorted(&mut passed, PAIR_POOL);
        pair(kb, &passed, &wanted)
    } else {
        None
    };
    Ranking { picks, passed: passed.len(), refused, pair, one_item, improvised, light }
}

/// The rows that pass every gate with the points that decide, the best first, `question.top` at
/// most: the order as such, before near-duplicates are moved back and before anything is told.
#[must_use]
pub fn order(kb: &Kb, question: &Question<'_>) -> Vec<(usize, u32)> {
    let wanted = wanted(kb, question);
    let floor = question.inventory.floor(kb);
    let choices = Choices::new(kb, question, |row| floor.does(row));
    let context = Context::new(kb, question, floor, &choices, &wanted);
    let Some(scorer) = Scorer::new(kb, &context, question, &choices) else { return Vec::new() };
    let passed = context.nearly.iter().filter(|seen| seen.gate().is_none());
    let mut passed: Vec<Seen> = passed.map(|seen| Seen::new(kb, seen.row, scorer.points(seen.row))).collect();
    let head = first_sorted(&mut passed, question.top);
    passed.iter().take(head).map(|seen| (seen.row, seen.points())).collect()
}

/// Puts the best `first` in order at the head of `all`; how many that are.
fn first_sorted(all: &mut [Seen], first: usize) -> usize {
    if all.len() > first {
        all.select_nth_unstable(first);
    }
    let head = all.len().min(first);
    if let Some(best) = all.get_mut(..head) {
        best.sort_unstable();
    }
    head
}

fn pick<'k>(
    scorer: &Scorer<'k, '_>,
    context: &Context<'_>,
    seen: Seen,
    reservation: Option<(usize, String)>,
) -> Pick<'k> {
    Pick {
        row: seen.row,
        points: seen.points(),
        score: scorer.score(seen.points()),
        coverage: f64::from(context.kept(seen.row)) / 1000.0,
        reservation,
        reasons: scorer.reasons(seen.row),
        explanation: context.question.explain.then(|| scorer.explain(seen.row)),
    }
}

/// The first `top`, with near-duplicates moved back: while others pass, the first five hold at
/// most two of one parent and come from at least three parents. `passed` is in order; where it is
/// not `all` that pass and what stands behind it could matter, there is no answer yet.
fn thin(kb: &Kb, passed: &[Seen], all: bool, question: &Question<'_>) -> Option<Vec<Seen>> {
    let top = question.top;
    let parent = |seen: &Seen| kb.table.rows.get(seen.row).map_or(0, |r| r.parent);
    let pattern = |row: usize| kb.table.rows.get(row).map_or(0, |r| r.pattern);
    let original = pattern(question.original);
    let mut taken: Vec<Seen> = Vec::with_capacity(top.min(passed.len()));
    let mut left: Vec<Seen> = passed.to_vec();
    // Once the first five are found the rest keeps its order.
    while taken.len() < FIRST.min(top) && !left.is_empty() {
        let distinct = taken
            .iter()
            .enumerate()
            .filter(|(at, s)| !taken.iter().take(*at).any(|before| parent(before) == parent(s)));
        let slots = FIRST.min(top).saturating_sub(taken.len());
        let must_be_new = LEAST_PARENTS.saturating_sub(distinct.count()) >= slots;
        let fits = |seen: &Seen| {
            let same = taken.iter().filter(|s| parent(s) == parent(seen)).count();
            let here = pattern(seen.row);
            let crowded = taken.iter().filter(|s| pattern(s.row) == here).count() >= MOST_OF_OTHER_PATTERN
                && !neighbours(kb, here, original);
            same < MOST_OF_ONE_PARENT && !crowded && !(must_be_new && same > 0)
        };
        // Variety at a small price only: what is far behind the next best is no better for being new.
        let next = left.iter().position(|seen| !must_be_new || taken.iter().all(|s| parent(s) != parent(seen)));
        if next.is_none() && !all {
            return None;
        }
        let next = next.unwrap_or(0);
        let floor = left.get(next).map_or(0, |s| s.points() / 100 * VARIETY_FLOOR);
        let at = left.iter().take_while(|s| s.points() >= floor).position(fits);
        if at.is_none() && !all && left.last().is_some_and(|s| s.points() >= floor) {
            return None;
        }
        taken.push(left.remove(at.unwrap_or(next)));
    }
    let room = top.saturating_sub(taken.len());
    if room > left.len() && !all {
        return None;
    }
    taken.extend(left.into_iter().take(room));
    Some(taken)
}

/// Whether two patterns are the same, or stand side by side in the tree.
fn neighbours(kb: &Kb, a: u8, b: u8) -> bool {
    let above = |p: u8| kb.patterns.get(usize::from(p)).and_then(|p| p.parent.as_deref());
    a == b || above(a).is_some() && above(a) == above(b)
}

fn pair(kb: &Kb, passed: &[Seen], wanted: &[u8]) -> Option<Pair> {
    let least = (kb.ranking.pair_below_coverage * 1000.0) as u16;
    let covering = Covering::new(wanted);
    let pool = passed.get(..passed.len().min(PAIR_POOL))?;
    let mut best: Option<(u16, u32, [usize; 2])> = None;
    for (i, a) in pool.iter().enumerate() {
        let first = kb.table.muscles_of(a.row);
        for b in pool.iter().skip(i + 1) {
            let mut both = [0u8; MOST_MUSCLES];
            for ((slot, x), y) in both.iter_mut().zip(first).zip(kb.table.muscles_of(b.row)) {
                *slot = *x.max(y);
            }
            let together = covering.of(both.get(..first.len()).unwrap_or_default());
            let points = a.points() + b.points();
            if together >= least && best.is_none_or(|(c, p, _)| (together, points) > (c, p)) {
                best = Some((together, points, [a.row, b.row]));
            }
        }
    }
    best.map(|(together, _, rows)| Pair { rows, coverage: f64::from(together) / 1000.0 })
}

/// Those of `rows`, refused for their kit alone, that something here can stand in for and that
/// score at least `bar` then.
fn improvised(kb: &Kb, question: &Question<'_>, context: &Context<'_>, rows: &[usize], bar: u32) -> Vec<Improvised> {
    let inventory = question.inventory;
    let makes = |row: usize| context.floor.is_short_of_one(row) && inventory.makeshift(kb, row).is_some();
    let mut possible = rows.iter().filter(|row| context.could_improvise(**row) && makes(**row)).peekable();
    if possible.peek().is_none() {
        return Vec::new();
    }
    let choices = Choices::new(kb, question, |row| context.floor.does(row) || makes(row));
    let Some(scorer) = Scorer::new(kb, context, question, &choices) else { return Vec::new() };
    let scorer = scorer.improvising();
    let mut seen: Vec<Seen> = possible.map(|row| Seen::new(kb, *row, scorer.points(*row))).collect();
    seen.retain(|s| s.points() >= bar);
    seen.sort_unstable();
    let mut items: Vec<usize> = Vec::new();
    let mut out = Vec::with_capacity(IMPROVISED);
    for s in seen {
        let Some(item) = inventory.makeshift(kb, s.row).map(|m| m.item) else { continue };
        if items.iter().filter(|i| **i == item).count() < IMPROVISED_OF_ONE_ITEM && out.len() < IMPROVISED {
            items.push(item);
            let coverage = f64::from(context.kept(s.row)) / 1000.0;
            out.push(Improvised { row: s.row, score: scorer.score(s.points()), coverage });
        }
    }
    out
}

fn items(kb: &Kb, inventory: &Inventory, scorer: &Scorer<'_, '_>, seen: &[usize], bar: u32) -> Vec<OneItem> {
    let mut short: Vec<(Seen, usize)> = seen
        .iter()
        .filter_map(|row| {
            let item = one_item_short(kb, inventory.kit, kb.table.kits_of(*row))?;
            let points = scorer.points(*row);
            (points >= bar).then_some((Seen::new(kb, *row, points), item))
        })
        .collect();
    short.sort_unstable();
    let mut found: Vec<OneItem> = Vec::new();
    for (s, item) in short {
        if let Some(known) = found.iter_mut().find(|f| f.item == item) {
            if known.rows.len() < ITEMS {
                known.rows.push(s.row);
            }
        } else if found.len() < ITEMS {
            found.push(OneItem { item, rows: vec![s.row], score: scorer.score(s.points()) });
        }
    }
    found
}
