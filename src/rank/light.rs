//! Light work offered beside a swap for what is sore: prehab and decompression that the base says
//! helps the region. It never stands in for training, so it is never among the substitutes.
//!
//! Leans on the gates for kit, spine limit, skill and exclusions. Leaves to others: how it is
//! said ([`crate::ask`]). Whole numbers decide the order and the id breaks ties.

use std::collections::BTreeMap;

use crate::kb::Kb;
use crate::kb::raw::{Cap, Level, Role};
use crate::kb::table::{LightWork, Row};

use super::Sore;
use super::gates::{Context, SoreCap};

/// One exercise offered beside the swap.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Light {
    /// Row.
    pub row: usize,
    /// Position of the sore region that it is offered for.
    pub region: usize,
    /// Grade at that region, 0 to 4, as its soreness is described.
    pub grade: u8,
}

/// How many are offered.
pub const OFFERED: usize = 3;
/// However mild the soreness, light work is no heavier than this there (practice).
const MOST: u8 = 2;
/// What a movement that is known to bring the soreness on may still be graded; nothing when it is
/// severe (practice).
const MOST_PROVOKED: u8 = 1;

/// Up to [`OFFERED`] exercises for the sore regions of a question, none of them `shown`: each
/// region gets its best first, and no two are variations of one another.
pub(super) fn offered(kb: &Kb, context: &Context<'_>, shown: impl Fn(usize) -> bool) -> Vec<Light> {
    let caps = &context.sore_caps;
    if caps.is_empty() {
        return Vec::new();
    }
    let sore = caps.iter().fold(0u32, |set, c| set | 1 << c.sore.region);
    let limits: Vec<Limits<'_>> = caps.iter().map(|cap| Limits::of(kb, cap)).collect();
    let mut left: Vec<Vec<(i32, Light)>> = caps.iter().map(|_| Vec::new()).collect();
    for work in kb.light.iter().filter(|w| w.helps & sore != 0) {
        let row = work.row as usize;
        // What suits one region must not load another sore one.
        let suits = limits.iter().all(|l| l.spares(kb, row)) && !shown(row) && context.is_open(row);
        let Some(r) = kb.table.rows.get(row).filter(|_| suits) else { continue };
        for (list, cap) in left.iter_mut().zip(caps).filter(|(_, cap)| work.helps >> cap.sore.region & 1 == 1) {
            let light = Light { row, region: cap.sore.region, grade: cap.grade(row) };
            list.push((points(work, r, &cap.sore, light.grade), light));
        }
    }
    let mut taken: Vec<Light> = Vec::with_capacity(OFFERED);
    while taken.len() < OFFERED {
        let before = taken.len();
        for list in &mut left {
            if taken.len() == OFFERED {
                break;
            }
            let best = list
                .iter()
                .filter(|(_, l)| taken.iter().all(|t| !alike(kb, t.row, l.row)))
                .max_by(|a, b| {
                    let points = |(points, l): &(i32, Light)| points - repeats(kb, &taken, l.row);
                    points(a).cmp(&points(b)).then_with(|| kb.ids.get(b.1.row).cmp(&kb.ids.get(a.1.row)))
                })
                .map(|(_, l)| *l);
            taken.extend(best);
        }
        if taken.len() == before {
            break;
        }
    }
    taken
}

/// How well a row suits a sore region (practice): made for it, easy on it, usual; when it is
/// severe, rest and stillness before movement.
fn points(work: &LightWork, r: &Row, sore: &Sore, grade: u8) -> i32 {
    let made_for_it = if usize::from(work.most) == sore.region { 4 } else { 0 };
    let lighter = if sore.level == Level::Mild { 3 } else { 5 };
    let easy = lighter * i32::from(MOST.saturating_sub(grade));
    let usual = 2 * i32::from(r.usual);
    let skill = 2 * i32::from(r.skill);
    let still = match (sore.level, r.role, r.holds) {
        (Level::Severe, Role::Decompression, true) => 9,
        (Level::Severe, Role::Decompression, false) => 6,
        (Level::Severe, _, true) => 5,
        _ => 0,
    };
    made_for_it + easy + usual + still - skill
}

/// What a repeated main pattern or role costs, so that the three are three different things.
fn repeats(kb: &Kb, taken: &[Light], row: usize) -> i32 {
    let Some(r) = kb.table.rows.get(row) else { return 0 };
    let like = |t: &&Light| kb.table.rows.get(t.row).is_some_and(|t| (t.role, t.holds) == (r.role, r.holds));
    2 * i32::try_from(taken.iter().filter(like).count()).unwrap_or(0)
}

/// Whether two rows are variations of one lift.
fn alike(kb: &Kb, a: usize, b: usize) -> bool {
    let root = |row: usize| kb.table.rows.get(row).map(|r| r.root);
    root(a) == root(b)
}

/// What light work may load a sore region with: the level's cap, no more than [`MOST`], and next
/// to nothing at the movement that brings the soreness on.
struct Limits<'a> {
    cap: &'a SoreCap<'a>,
    most: u8,
    /// Of the whole region, whatever movement is named.
    most_of_region: u8,
    most_provoked: u8,
    most_spine: u8,
}

impl<'a> Limits<'a> {
    fn of(kb: &Kb, cap: &'a SoreCap<'a>) -> Self {
        let severe = cap.sore.level == Level::Severe;
        let at_most = |caps: &BTreeMap<Level, Cap>| caps.get(&cap.sore.level).map_or(1, |c| c.at_most).min(MOST);
        let most = at_most(&kb.ranking.caps);
        Self {
            cap,
            most,
            most_of_region: if severe { most } else { u8::MAX },
            most_provoked: if severe { 0 } else { MOST_PROVOKED },
            most_spine: if cap.is_low_back() { at_most(&kb.ranking.spine_caps) } else { u8::MAX },
        }
    }

    fn spares(&self, kb: &Kb, row: usize) -> bool {
        let table = &kb.table;
        let region = table.grades_of(row).get(self.cap.sore.region).copied().unwrap_or(4);
        let provoked = |column: usize| table.aggravators_of(row).get(column).copied().unwrap_or(4);
        self.cap.grade(row) <= self.most
            && region <= self.most_of_region
            && self.cap.sore.aggravator.is_none_or(|column| provoked(column) <= self.most_provoked)
            && table.rows.get(row).is_some_and(|r| r.spine <= self.most_spine)
    }
}
