//! The scored parts of a substitute: each gives 0 to 1 and tells what it found.
//!
//! Leans on the compiled base. Leaves to others: yes or no ([`super::gates`]) and order
//! ([`super`]). Values are whole thousandths, so that the same question gives the same order on
//! every machine.

use crate::gym::Inventory;
use crate::kb::Kb;
use crate::kb::raw::{Aim, MuscleLength, Role};
use crate::kb::table::Row;

use super::explain::Explanation;
use super::gates::{joint_grade, spine_word};
use super::{Question, Sore};

/// A term: its name in the base's weights, what it means, and how it is found.
pub struct Term {
    /// Name, as in the ranking's weights.
    pub id: &'static str,
    /// One-line meaning.
    pub means: &'static str,
    pub(super) value: fn(&Scorer<'_>, usize) -> u16,
    pub(super) found: fn(&Scorer<'_>, usize) -> String,
    pub(super) applies: fn(&Question<'_>) -> bool,
}

/// Every term, in the order of the explanation.
pub const TERMS: &[Term] = &[
    Term { id: "muscles", means: "the original's muscles kept working as hard", value: muscles, found: muscles_found, applies: always },
    Term { id: "pattern", means: "nearness in the tree of movement patterns", value: pattern, found: pattern_found, applies: always },
    Term { id: "relief", means: "how much the sore region is eased", value: relief, found: relief_found, applies: when_sore },
    Term { id: "spine", means: "how much spine load is spared", value: spine, found: spine_found, applies: always },
    Term { id: "loadable", means: "whether it can be made hard enough here", value: loadable, found: loadable_found, applies: always },
    Term { id: "aim", means: "fit to what you train for", value: aim, found: aim_found, applies: always },
    Term { id: "length", means: "hard at the same muscle length", value: length, found: length_found, applies: always },
    Term { id: "familiar", means: "nearness to what you do now, and skill asked", value: familiar, found: familiar_found, applies: always },
    Term { id: "freshness", means: "how little it tires the whole body", value: freshness, found: freshness_found, applies: always },
];

fn always(_: &Question<'_>) -> bool {
    true
}

fn when_sore(question: &Question<'_>) -> bool {
    !question.sore.is_empty()
}

/// What the terms look at for one question; made once, before the scan.
pub struct Scorer<'a> {
    pub(super) kb: &'a Kb,
    pub(super) question: &'a Question<'a>,
    pub(super) coverage: &'a [u16],
    pub(super) original: &'a Row,
    /// Weight of each term in hundredths; 0 where it does not apply.
    pub(super) weights: [u32; 9],
    pub(super) total: u32,
}

impl<'a> Scorer<'a> {
    pub(super) fn new(kb: &'a Kb, question: &'a Question<'a>, coverage: &'a [u16]) -> Option<Self> {
        let original = kb.table.rows.get(question.original)?;
        let named = kb.ranking.weights.get(&question.aim)?;
        let mut weights = [0; 9];
        for (slot, term) in weights.iter_mut().zip(TERMS) {
            if (term.applies)(question) {
                *slot = (named.get(term.id).copied().unwrap_or(0.0) * 100.0).round() as u32;
            }
        }
        let total = weights.iter().sum::<u32>().max(1);
        Some(Self { kb, question, coverage, original, weights, total })
    }

    /// The weighted sum of a row's terms, the whole number that decides the order.
    pub(super) fn points(&self, row: usize) -> u32 {
        TERMS.iter().zip(self.weights).filter(|(_, w)| *w > 0).map(|(t, w)| w * u32::from((t.value)(self, row))).sum()
    }

    /// A whole number of points as a score from 0 to 100.
    pub(super) fn score(&self, points: u32) -> f64 {
        f64::from(points) / (f64::from(self.total) * 10.0)
    }

    /// The tree behind a row's score.
    pub(super) fn explain(&self, row: usize) -> Explanation {
        let mut parts = Vec::with_capacity(TERMS.len());
        for (term, weight) in TERMS.iter().zip(self.weights).filter(|(_, w)| *w > 0) {
            let value = (term.value)(self, row);
            let points = self.score(weight * u32::from(value));
            let found = format!(
                "{}: {} x weight {} of {}",
                (term.found)(self, row),
                f64::from(value) / 1000.0,
                crate::units::trim(f64::from(weight) / 100.0),
                crate::units::trim(f64::from(self.total) / 100.0)
            );
            let mut node = if term.id == "muscles" {
                Explanation::sum(term.id, found, self.muscle_leaves(row, points))
            } else {
                Explanation::leaf(term.id, points, found)
            };
            if node.parts.is_empty() {
                node.points = points;
            }
            parts.push(node);
        }
        Explanation::sum("score", "weighted mean of the terms below, 0 to 100", parts)
    }

    /// Shares the points of the muscle term among the muscles that earn them; what the focus
    /// part and rounding leave over stands as a leaf of its own.
    fn muscle_leaves(&self, row: usize, points: f64) -> Vec<Explanation> {
        let original = self.kb.table.muscles_of(self.question.original);
        let mine = self.kb.table.muscles_of(row);
        let total: u32 = original.iter().map(|w| u32::from(*w)).sum();
        let value = f64::from(muscles(self, row)).max(1.0);
        let mut leaves = Vec::new();
        let mut given = 0.0;
        for ((muscle, wanted), have) in self.kb.muscles.iter().zip(original).zip(mine).filter(|((_, w), _)| **w > 0) {
            let kept = u32::from(*wanted.min(have));
            let share = COVERAGE_PART * 1000.0 * f64::from(kept) / f64::from(total.max(1)) / value;
            given += points * share;
            let found = format!("works at {} of the original's {}", f64::from(*have) / 100.0, f64::from(*wanted) / 100.0);
            leaves.push(Explanation::leaf(muscle.id.as_str(), points * share, found));
        }
        leaves.push(Explanation::leaf("focus", points - given, format!("{} % of its work is the original's", focus(self, row) / 10)));
        leaves
    }
}

/// Share of the muscle term that coverage decides; the rest is focus (practice).
const COVERAGE_PART: f64 = 0.8;

/// Directed muscle coverage of `row` against `original`, in thousandths: how much of the
/// original's muscle work the row keeps.
#[must_use]
pub fn coverage(original: &[u8], total: u32, row: &[u8]) -> u16 {
    let kept: u32 = original.iter().zip(row).map(|(a, b)| u32::from((*a).min(*b))).sum();
    u16::try_from(kept * 1000 / total.max(1)).unwrap_or(1000)
}

fn focus(s: &Scorer<'_>, row: usize) -> u16 {
    let mine = s.kb.table.muscles_of(row);
    let total: u32 = mine.iter().map(|w| u32::from(*w)).sum();
    coverage(mine, total, s.kb.table.muscles_of(s.question.original))
}

fn muscles(s: &Scorer<'_>, row: usize) -> u16 {
    let covered = f64::from(s.coverage.get(row).copied().unwrap_or(0));
    (COVERAGE_PART * covered + (1.0 - COVERAGE_PART) * f64::from(focus(s, row))).round() as u16
}

fn muscles_found(s: &Scorer<'_>, row: usize) -> String {
    format!("keeps {} % of the muscle work", s.coverage.get(row).copied().unwrap_or(0) / 10)
}

/// Nearness of two patterns by the length of the path that they share from the top.
fn pattern(s: &Scorer<'_>, row: usize) -> u16 {
    let Some(r) = s.kb.table.rows.get(row) else { return 0 };
    if r.pattern == s.original.pattern {
        return 1000;
    }
    let path = |p: u8| s.kb.pattern_paths.get(usize::from(p)).map_or(&[][..], Vec::as_slice);
    let shared = path(r.pattern).iter().zip(path(s.original.pattern)).take_while(|(a, b)| a == b).count();
    match shared {
        0 => 0,
        1 => 250,
        _ => 600,
    }
}

fn pattern_found(s: &Scorer<'_>, row: usize) -> String {
    let Some(r) = s.kb.table.rows.get(row) else { return String::new() };
    let name = |p: u8| s.kb.patterns.get(usize::from(p)).map_or("", |p| p.name.as_str()).to_lowercase();
    if r.pattern == s.original.pattern {
        format!("same pattern ({})", name(r.pattern))
    } else {
        format!("{} for {}", name(r.pattern), name(s.original.pattern))
    }
}

fn eased(s: &Scorer<'_>, sore: &Sore, row: usize) -> (u8, u8) {
    (joint_grade(s.kb, sore, s.question.original), joint_grade(s.kb, sore, row))
}

/// Mean over the sore regions of how much lower the grade is; a grade of 0 is full relief, and
/// a region that the original already spares is eased by what stays low.
fn relief(s: &Scorer<'_>, row: usize) -> u16 {
    let n = s.question.sore.len().max(1) as u32;
    let sum: u32 = s
        .question
        .sore
        .iter()
        .map(|sore| {
            let (from, to) = eased(s, sore, row);
            let from = u32::from(from.max(1));
            1000 * from.saturating_sub(u32::from(to)) / from
        })
        .sum();
    u16::try_from(sum / n).unwrap_or(1000)
}

fn relief_found(s: &Scorer<'_>, row: usize) -> String {
    let each: Vec<String> = s
        .question
        .sore
        .iter()
        .map(|sore| {
            let (from, to) = eased(s, sore, row);
            format!("{} {from} to {to} of 4", sore.region_name(s.kb).to_lowercase())
        })
        .collect();
    each.join(", ")
}

fn spine(s: &Scorer<'_>, row: usize) -> u16 {
    let Some(r) = s.kb.table.rows.get(row) else { return 0 };
    let spared = i32::from(s.original.spine) - i32::from(r.spine);
    // Half for no change, an eighth for each step gained or lost.
    u16::try_from((500 + 125 * spared).clamp(0, 1000)).unwrap_or(0)
}

fn spine_found(s: &Scorer<'_>, row: usize) -> String {
    let to = s.kb.table.rows.get(row).map_or(0, |r| r.spine);
    if to == s.original.spine {
        format!("spine load stays {}", spine_word(to))
    } else {
        format!("spine load {} to {}", spine_word(s.original.spine), spine_word(to))
    }
}

/// Repetitions that an aim asks for: fewest and most (practice handbook ranges, practice).
fn window(aim: Aim) -> (u16, u16) {
    match aim {
        Aim::Size => (6, 15),
        Aim::Strength => (2, 6),
        Aim::Power => (2, 6),
        Aim::General => (6, 20),
    }
}

fn loadable(s: &Scorer<'_>, row: usize) -> u16 {
    let Some(r) = s.kb.table.rows.get(row) else { return 0 };
    let reach = best_reach(s.kb, s.question.inventory, r, row);
    let (low, high) = window(s.question.aim);
    let range = if r.holds {
        // A hold builds less than moving work, unless a hold is what it replaces.
        if s.original.holds { 1.0 } else { 0.35 }
    } else {
        let overlap = f64::from(high.min(r.reps_high)) - f64::from(low.max(r.reps_low)) + 1.0;
        let span = f64::from(high - low + 1).min(f64::from(r.reps_high.saturating_sub(r.reps_low) + 1));
        (overlap / span).clamp(0.0, 1.0)
    };
    (1000.0 * reach * (0.25 + 0.75 * range)).round() as u16
}

/// Greatest share of the usual load over the alternatives that the gym can do.
fn best_reach(kb: &Kb, inventory: &Inventory, r: &Row, row: usize) -> f64 {
    if inventory.stock == crate::kb::raw::Stock::default() {
        return 1.0;
    }
    kb.table
        .kits_of(row)
        .iter()
        .filter(|a| **a & !inventory.kit == 0)
        .map(|a| inventory.reach(kb, r, *a).map_or(1.0, |reach| reach.share))
        .fold(0.0, f64::max)
}

fn loadable_found(s: &Scorer<'_>, row: usize) -> String {
    let Some(r) = s.kb.table.rows.get(row) else { return String::new() };
    let unit = if r.holds { "seconds" } else { "repetitions" };
    let reach = best_reach(s.kb, s.question.inventory, r, row);
    let stock = if reach < 1.0 { format!(", stock reaches {} % of the usual load", (reach * 100.0).round()) } else { String::new() };
    format!("hard in {} to {} {unit}{stock}", r.reps_low, r.reps_high)
}

fn aim(s: &Scorer<'_>, row: usize) -> u16 {
    let Some(r) = s.kb.table.rows.get(row) else { return 0 };
    let by_aim: u16 = match (s.question.aim, r.role) {
        (Aim::Power, Role::Power) => 1000,
        (Aim::Power, Role::Main) => 450,
        (Aim::Power, _) => 250,
        (Aim::Strength, Role::Main) => 1000,
        (Aim::Strength, Role::Accessory) => 700,
        (Aim::Strength, _) => 300,
        (Aim::Size, Role::Main | Role::Accessory | Role::Isolation) => 1000,
        (Aim::Size, _) => 350,
        (Aim::General, Role::Power) => 600,
        (Aim::General, _) => 1000,
    };
    // Several joints for several joints, one for one.
    let by_role = match (s.original.role, r.role) {
        (a, b) if a == b => 1000,
        (Role::Main, Role::Accessory) | (Role::Accessory, Role::Main) => 900,
        (Role::Main | Role::Accessory, Role::Isolation) => 400,
        (Role::Isolation, Role::Accessory) => 650,
        (Role::Isolation, Role::Main) => 500,
        (Role::Power, Role::Main | Role::Accessory) => 500,
        _ => 350,
    };
    (by_aim + by_role) / 2
}

fn aim_found(s: &Scorer<'_>, row: usize) -> String {
    let role = s.kb.table.rows.get(row).map_or("", |r| r.role.word());
    format!("{role} work for {}", s.question.aim)
}

fn length(s: &Scorer<'_>, row: usize) -> u16 {
    let Some(r) = s.kb.table.rows.get(row) else { return 0 };
    match r.hard_at.rank().abs_diff(s.original.hard_at.rank()) {
        0 => 1000,
        1 => 500,
        _ => 0,
    }
}

fn length_found(s: &Scorer<'_>, row: usize) -> String {
    let word = |l: MuscleLength| l.word();
    let mine = s.kb.table.rows.get(row).map_or("", |r| word(r.hard_at));
    format!("hard with the muscle {mine}, the original {}", word(s.original.hard_at))
}

fn familiar(s: &Scorer<'_>, row: usize) -> u16 {
    let Some(r) = s.kb.table.rows.get(row) else { return 0 };
    let skill = 1000 - 250 * u16::from(r.skill.saturating_sub(s.original.skill).min(4));
    let kin = if r.root == s.original.root { 1000 } else { 0 };
    let feel = 500 * u16::from(r.load_position == s.original.load_position) + 500 * u16::from(r.laterality == s.original.laterality);
    (2 * skill + kin + feel) / 4
}

fn familiar_found(s: &Scorer<'_>, row: usize) -> String {
    let Some(r) = s.kb.table.rows.get(row) else { return String::new() };
    let kin = if r.root == s.original.root { ", a variation of the same lift" } else { "" };
    format!("skill {} of 5{kin}", r.skill)
}

fn freshness(s: &Scorer<'_>, row: usize) -> u16 {
    let Some(r) = s.kb.table.rows.get(row) else { return 0 };
    let work: u32 = s.kb.table.muscles_of(row).iter().map(|w| u32::from(*w)).sum();
    // Six full muscles count as the whole body; spine load counts as much again (practice).
    let body = (work * 500 / 600).min(500) as u16;
    1000 - body - 125 * u16::from(r.spine.min(4))
}

fn freshness_found(s: &Scorer<'_>, row: usize) -> String {
    let working = s.kb.table.muscles_of(row).iter().filter(|w| **w > 0).count();
    format!("{working} muscle groups at work")
}
