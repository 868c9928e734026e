//! The hard yes or no before any score: kit, soreness, limits, purpose, skill, own exclusions.
//!
//! Leans on the compiled base and an inventory. Leaves to others: how good a substitute is
//! ([`super::terms`]). Each gate tells how many steps a row misses it by, so that the second
//! tier can relax one gate by one step.

use crate::gym::one_item_short;
use crate::kb::Kb;
use crate::kb::check::is_training;
use crate::kb::raw::{Cap, Level};
use crate::units::trim;

use super::terms::Choices;
use super::{Question, Sore};

/// A gate's id, what it asks, and whether it may be relaxed by one step.
pub struct Gate {
    /// Plain id.
    pub id: &'static str,
    /// What it asks, in one line.
    pub asks: &'static str,
    /// Whether the second tier may relax it.
    pub relaxable: bool,
    misses: fn(&Context<'_>, usize) -> Misses,
    reason: fn(&Context<'_>, usize) -> String,
}

/// By how much a row misses a gate.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Misses {
    /// It passes.
    Not,
    /// By one step.
    OneStep,
    /// By more, or by something that has no steps.
    More,
}

/// Every gate, in the order they are asked.
pub const GATES: &[Gate] = &[
    Gate {
        id: "known",
        asks: "it is another exercise than the one to replace",
        relaxable: false,
        misses: known,
        reason: known_why,
    },
    Gate {
        id: "kit",
        asks: "the gym has the kit, the ceiling and enough weight for it",
        relaxable: false,
        misses: kit,
        reason: kit_why,
    },
    Gate {
        id: "sore",
        asks: "the sore region is spared as its soreness asks",
        relaxable: true,
        misses: sore,
        reason: sore_why,
    },
    Gate {
        id: "spine-limit",
        asks: "the spine class is within the limit you set",
        relaxable: true,
        misses: limit,
        reason: limit_why,
    },
    Gate {
        id: "purpose",
        asks: "it trains what the original trains",
        relaxable: true,
        misses: purpose,
        reason: purpose_why,
    },
    Gate {
        id: "skill",
        asks: "it asks for no more skill than allowed",
        relaxable: true,
        misses: skill,
        reason: skill_why,
    },
    Gate { id: "excluded", asks: "you did not exclude it", relaxable: false, misses: excluded, reason: excluded_why },
];

/// Position of a gate in [`GATES`].
pub const KIT: usize = 1;

/// What gates look at for one question; made once, before the scan.
pub struct Context<'a> {
    pub(super) kb: &'a Kb,
    pub(super) question: &'a Question<'a>,
    pub(super) coverage: &'a [u16],
    choices: &'a Choices,
    /// Bits of the prime movers that a substitute must keep one of.
    pub(super) primes: u64,
    /// Bits of those that work nearly as hard, enough within the same pattern.
    pub(super) strong: u64,
    pub(super) wanted: &'a [u8],
    pub(super) wanted_total: u32,
    pub(super) most_skill: u8,
    pub(super) sore_caps: Vec<SoreCap>,
}

/// One sore region with what it allows, and the grade of every row there.
pub struct SoreCap {
    pub(super) sore: Sore,
    joint: u8,
    /// Where a movement is named, the most of the region as a whole: what eases one movement must
    /// not load another more, and a severely sore region is spared altogether.
    whole: Option<u8>,
    spine: Option<u8>,
    pub(super) original: u8,
    grades: Vec<u8>,
}

impl SoreCap {
    pub(super) fn grade(&self, row: usize) -> u8 {
        self.grades.get(row).copied().unwrap_or(4)
    }

    pub(super) fn is_low_back(&self) -> bool {
        self.spine.is_some()
    }
}

/// Highest grade that soreness of a level allows beside an original of grade `original`.
#[must_use]
pub fn cap(cap: &Cap, original: u8) -> u8 {
    // An original that does not load the region at all gives no step to go below.
    if original == 0 { 0 } else { cap.at_most.min(original.saturating_sub(cap.below_original)) }
}

impl<'a> Context<'a> {
    pub(super) fn new(
        kb: &'a Kb,
        question: &'a Question<'a>,
        coverage: &'a [u16],
        choices: &'a Choices,
        wanted: &'a [u8],
    ) -> Self {
        let rules = &kb.ranking;
        let original = question.original;
        let row = kb.table.rows.get(original);
        let most_skill =
            question.skill.unwrap_or_else(|| row.map_or(5, |r| r.skill + rules.skill_above_original).max(3));
        let low_back = kb.region_at("low-back");
        let sore_caps = question
            .sore
            .iter()
            .map(|s| {
                let find = |caps: &std::collections::BTreeMap<Level, Cap>, grade| {
                    caps.get(&s.level).map_or(1, |c| cap(c, grade))
                };
                let grades: Vec<u8> = (0..kb.len()).map(|at| joint_grade(kb, s, at)).collect();
                let before = grades.get(original).copied().unwrap_or(0);
                let joint = find(if s.aggravator.is_some() { &rules.named_caps } else { &rules.caps }, before);
                let of_region = kb.table.grades_of(original).get(s.region).copied().unwrap_or(4);
                let severe = s.level == Level::Severe;
                let whole = if severe { find(&rules.caps, of_region) } else { of_region };
                let whole = s.aggravator.map(|_| whole);
                let class = row.map_or(4, |r| r.spine);
                // Where the person says what brings the back pain on, and it is no load along the
                // spine, that is what must come down; the spine class must only not rise.
                let by_load = s.aggravator_name(kb).is_none_or(|a| ["compression", "shear", "impact"].contains(&a));
                let spine =
                    (Some(s.region) == low_back).then(|| if by_load { find(&rules.spine_caps, class) } else { class });
                SoreCap { sore: *s, joint, whole, spine, original: before, grades }
            })
            .collect();
        let wanted_total = wanted.iter().filter(|w| **w >= HELPER).map(|w| u32::from(*w)).sum::<u32>().max(1);
        Self {
            kb,
            question,
            coverage,
            choices,
            primes: movers(kb, question, wanted, 100),
            strong: movers(kb, question, wanted, STRONG),
            wanted,
            wanted_total,
            most_skill,
            sore_caps,
        }
    }

    /// The first gate that a row misses, with how far.
    pub(super) fn judge(&self, row: usize) -> Option<(usize, Misses)> {
        GATES.iter().enumerate().find_map(|(at, gate)| match (gate.misses)(self, row) {
            Misses::Not => None,
            misses => Some((at, misses)),
        })
    }

    /// Whether a row passes every gate after `gate`.
    pub(super) fn passes_after(&self, gate: usize, row: usize) -> bool {
        GATES.iter().skip(gate + 1).all(|g| (g.misses)(self, row) == Misses::Not)
    }

    /// Whether a row passes every gate but those of soreness and purpose: light work beside a
    /// swap has caps of its own ([`super::light`]) and serves another purpose.
    pub(super) fn is_open(&self, row: usize) -> bool {
        [known, skill, limit, excluded, kit].iter().all(|misses| misses(self, row) == Misses::Not)
    }

    /// Whether a row that the kit gate refuses could be done with a stand-in.
    pub(super) fn could_improvise(&self, row: usize) -> bool {
        let inventory = self.question.inventory;
        self.kb.table.rows.get(row).is_some_and(|r| inventory.is_high_enough(r))
            && inventory.makeshift(self.kb, row).is_some()
    }

    /// Why a row misses a gate, in plain words.
    pub(super) fn why(&self, gate: usize, row: usize) -> String {
        GATES.get(gate).map_or_else(String::new, |g| (g.reason)(self, row))
    }
}

/// Grade of an exercise at a sore region, or at the aggravator named. An aggravator that the
/// exercise does not list still counts the region's grade less the relief set in the base.
#[must_use]
pub fn joint_grade(kb: &Kb, sore: &Sore, row: usize) -> u8 {
    let region = kb.table.grades_of(row).get(sore.region).copied().unwrap_or(0);
    match sore.aggravator {
        None => region,
        Some(column) => {
            let named = kb.table.aggravators_of(row).get(column).copied().unwrap_or(0);
            named.max(region.saturating_sub(kb.ranking.unlisted_aggravator_relief))
        }
    }
}

fn steps(over: u8) -> Misses {
    match over {
        0 => Misses::Not,
        1 => Misses::OneStep,
        _ => Misses::More,
    }
}

fn known(c: &Context<'_>, row: usize) -> Misses {
    if row == c.question.original { Misses::More } else { Misses::Not }
}

fn known_why(_: &Context<'_>, _: usize) -> String {
    "this is the exercise to replace".to_string()
}

fn kit(c: &Context<'_>, row: usize) -> Misses {
    let Some(r) = c.kb.table.rows.get(row) else { return Misses::More };
    let inventory = c.question.inventory;
    if !inventory.is_high_enough(r) {
        return Misses::More;
    }
    let made = || inventory.improvise && inventory.makeshift(c.kb, row).is_some();
    if inventory.has_kit_for(c.kb, row) || made() { Misses::Not } else { Misses::More }
}

fn kit_why(c: &Context<'_>, row: usize) -> String {
    let Some(r) = c.kb.table.rows.get(row) else { return String::new() };
    let inventory = c.question.inventory;
    if let Some(have) = inventory.ceiling_cm.filter(|have| inventory.headroom_cm(r) > *have) {
        let metres = |cm: u16| trim(f64::from(cm) / 100.0);
        return format!("needs {} m of ceiling, there is {} m", metres(inventory.headroom_cm(r)), metres(have));
    }
    let alternatives = c.kb.table.kits_of(row);
    if let Some(reach) =
        alternatives.iter().filter(|a| **a & !inventory.kit == 0).find_map(|a| inventory.reach(c.kb, r, *a))
    {
        return format!(
            "usual load about {} kg, the stock makes {} kg",
            trim(reach.needed_kg.round()),
            trim(reach.most_kg)
        );
    }
    if let Some(item) = one_item_short(c.kb, inventory.kit, alternatives)
        && let Some(q) = c.kb.equipment.get(item)
    {
        return format!("needs {}", q.phrase);
    }
    let least = alternatives.iter().map(|a| a & !inventory.kit).min_by_key(|missing| missing.count_ones()).unwrap_or(0);
    let names: Vec<&str> = c.kb.kit_names(least).map(|q| q.phrase.as_str()).collect();
    format!("needs {}", names.join(" and "))
}

/// Grade of a light load in mid-range, as daily life has it.
const LIGHT: u8 = 1;

fn sore(c: &Context<'_>, row: usize) -> Misses {
    let class = c.kb.table.rows.get(row).map_or(4, |r| r.spine);
    let mut worst = 0u8;
    for cap in &c.sore_caps {
        let grade = cap.grade(row);
        let mut over = grade.saturating_sub(cap.joint);
        if let Some(most) = cap.whole {
            over = over.max(whole_region(c, cap, row).saturating_sub(most));
        }
        if let Some(most) = cap.spine {
            over = over.max(class.saturating_sub(most));
        }
        // One step over is still no relief when it lands on the original's own grade, unless that
        // is a light one, where nothing but full rest would be less.
        if over == 1 && cap.sore.level > Level::Mild && grade >= cap.original && grade > LIGHT {
            over = 2;
        }
        worst = worst.max(over);
    }
    steps(worst)
}

/// Grade of the sore region whatever movement brings the soreness on.
fn whole_region(c: &Context<'_>, cap: &SoreCap, row: usize) -> u8 {
    c.kb.table.grades_of(row).get(cap.sore.region).copied().unwrap_or(4)
}

fn sore_why(c: &Context<'_>, row: usize) -> String {
    for cap in &c.sore_caps {
        let Some(region) = c.kb.regions.get(cap.sore.region) else { continue };
        let grade = cap.grade(row);
        if grade > cap.joint {
            let what = cap.sore.aggravator_name(c.kb).map_or(String::new(), |a| format!(" ({a})"));
            return format!("{}{what} {grade} of 4, at most {} now", region.name.to_lowercase(), cap.joint);
        }
        let whole = whole_region(c, cap, row);
        if let Some(most) = cap.whole.filter(|most| whole > *most) {
            return format!("{} by another movement {whole} of 4, at most {most} now", region.name.to_lowercase());
        }
        if let (Some(most), Some(r)) = (cap.spine, c.kb.table.rows.get(row))
            && r.spine > most
        {
            return format!("spine load {}, at most {} now", spine_word(r.spine), spine_word(most));
        }
    }
    String::new()
}

/// The word for a spine class step.
#[must_use]
pub fn spine_word(step: u8) -> &'static str {
    use crate::kb::raw::SpineClass;
    SpineClass::ALL.get(usize::from(step)).map_or("very-high", |class| class.word())
}

fn limit(c: &Context<'_>, row: usize) -> Misses {
    match (c.question.max_spine, c.kb.table.rows.get(row)) {
        (Some(most), Some(r)) => steps(r.spine.saturating_sub(most)),
        _ => Misses::Not,
    }
}

fn limit_why(c: &Context<'_>, row: usize) -> String {
    let have = c.kb.table.rows.get(row).map_or(0, |r| r.spine);
    format!("spine load {}, your limit is {}", spine_word(have), spine_word(c.question.max_spine.unwrap_or(4)))
}

/// Coverage, in thousandths, that counts as one step.
const COVERAGE_STEP: u16 = 100;

fn purpose(c: &Context<'_>, row: usize) -> Misses {
    let (Some(r), Some(original)) = (c.kb.table.rows.get(row), c.kb.table.rows.get(c.question.original)) else {
        return Misses::More;
    };
    // Light protective work and stretches never stand in for training, nor training for them.
    if is_training(r.role) != is_training(original.role) {
        return Misses::More;
    }
    // What coaches name early in its place serves its purpose, whatever the sums say: a raise
    // keeps the shoulder of a press at work, a hold the trunk of a carry.
    if c.choices.serves(row) {
        return Misses::Not;
    }
    if !prime_kept(c, row) {
        return Misses::More;
    }
    let least = (c.kb.ranking.least_coverage * 1000.0) as u16;
    if c.coverage.get(row).is_some_and(|have| *have >= least) {
        return Misses::Not;
    }
    let have = shared(c, row);
    if have >= least {
        Misses::Not
    } else if have + COVERAGE_STEP >= least {
        Misses::OneStep
    } else {
        Misses::More
    }
}

/// Weight in hundredths below which a muscle is a helper, not asked for by the purpose gate.
const HELPER: u8 = 50;

/// Muscle coverage for the gate: the greater of the weighted share that is scored and the plain
/// share of all but helpers, so that neither a helper-rich nor a single-joint original shuts everything out.
fn shared(c: &Context<'_>, row: usize) -> u16 {
    let mine = c.kb.table.muscles_of(row);
    let kept: u32 = c.wanted.iter().zip(mine).filter(|(a, _)| **a >= HELPER).map(|(a, b)| u32::from(*a.min(b))).sum();
    let plain = u16::try_from(kept * 1000 / c.wanted_total).unwrap_or(1000);
    plain.max(c.coverage.get(row).copied().unwrap_or(0))
}

fn purpose_why(c: &Context<'_>, row: usize) -> String {
    let (Some(r), Some(original)) = (c.kb.table.rows.get(row), c.kb.table.rows.get(c.question.original)) else {
        return String::new();
    };
    if is_training(r.role) != is_training(original.role) {
        return format!("{} work, the original is {}", r.role, original.role);
    }
    if !prime_kept(c, row) {
        let lost = c.kb.muscles.iter().enumerate().find(|(i, _)| c.primes >> i & 1 == 1);
        return format!("leaves out the main muscle ({})", lost.map_or("", |(_, m)| m.name.as_str()).to_lowercase());
    }
    format!("keeps {} % of the muscle work", shared(c, row) / 10)
}

/// Weight in hundredths from which a muscle of the original works nearly as hard as its prime
/// movers (1.0).
pub(super) const STRONG: u8 = 70;

/// Movers of the original, of at least `weight` hundredths, that a substitute must keep one of:
/// those not spared because their own region is sore, or all of them where none is left.
fn movers(kb: &Kb, question: &Question<'_>, wanted: &[u8], weight: u8) -> u64 {
    let original = kb.table.muscles_of(question.original);
    let set =
        |holds: &dyn Fn(usize) -> bool| (0..kb.muscles.len()).filter(|at| holds(*at)).fold(0u64, |s, at| s | 1 << at);
    let all = set(&|at| original.get(at).is_some_and(|w| *w >= weight));
    let kept = set(&|at| wanted.get(at) == original.get(at));
    if all & kept == 0 { all } else { all & kept }
}

/// Whether a mover that must be kept still works hard enough: a prime mover, or within the
/// same pattern one that works nearly as hard.
fn prime_kept(c: &Context<'_>, row: usize) -> bool {
    let rows = &c.kb.table.rows;
    let (Some(r), Some(original)) = (rows.get(row), rows.get(c.question.original)) else { return false };
    let movers = if r.pattern == original.pattern { c.primes | c.strong } else { c.primes };
    r.keeps & movers != 0
}

fn skill(c: &Context<'_>, row: usize) -> Misses {
    c.kb.table.rows.get(row).map_or(Misses::More, |r| steps(r.skill.saturating_sub(c.most_skill)))
}

fn skill_why(c: &Context<'_>, row: usize) -> String {
    format!("skill {} of 5, at most {} here", c.kb.table.rows.get(row).map_or(5, |r| r.skill), c.most_skill)
}

fn excluded(c: &Context<'_>, row: usize) -> Misses {
    if c.question.skip.contains(&row) { Misses::More } else { Misses::Not }
}

fn excluded_why(_: &Context<'_>, _: usize) -> String {
    "you excluded it".to_string()
}
