//! The hard yes or no before any score: kit, soreness, limits, purpose, skill, own exclusions.
//!
//! Leans on the compiled base and an inventory. Leaves to others: how good a substitute is
//! ([`super::terms`]). Each gate tells how many steps a row misses it by, so that the second
//! tier can relax one gate by one step.

use std::borrow::Cow;
use std::collections::BTreeMap;

use crate::gym::floor::Floor;
use crate::gym::one_item_short;
use crate::kb::Kb;
use crate::kb::check::is_training;
use crate::kb::raw::{Cap, Level};
use crate::kb::table::Row;
use crate::units::trim;

use super::spare::Column;
use super::terms::{Choices, Covering};
use super::{Question, Sore};

/// A gate's id, what it asks, and whether it may be relaxed by one step.
pub struct Gate {
    /// Plain id.
    pub id: &'static str,
    /// What it asks, in one line.
    pub asks: &'static str,
    /// Whether the second tier may relax it.
    pub relaxable: bool,
    reason: fn(&Context<'_>, usize) -> String,
}

/// Every gate, in the order they are asked.
pub const GATES: &[Gate] = &[
    Gate { id: "known", asks: "it is another exercise than the one to replace", relaxable: false, reason: known_why },
    Gate {
        id: "kit",
        asks: "the gym has the kit, the ceiling and enough weight for it",
        relaxable: false,
        reason: kit_why,
    },
    Gate { id: "sore", asks: "the sore region is spared as its soreness asks", relaxable: true, reason: sore_why },
    Gate { id: "spine-limit", asks: "the spine class is within the limit you set", relaxable: true, reason: limit_why },
    Gate { id: "purpose", asks: "it trains what the original trains", relaxable: true, reason: purpose_why },
    Gate { id: "skill", asks: "it asks for no more skill than allowed", relaxable: true, reason: skill_why },
    Gate { id: "excluded", asks: "you did not exclude it", relaxable: false, reason: excluded_why },
];

/// Position of a gate in [`GATES`].
pub const KIT: usize = 1;
const PURPOSE: usize = 4;

/// What gates look at for one question, and what each of them says of every row; made once.
pub struct Context<'a> {
    pub(super) kb: &'a Kb,
    pub(super) question: &'a Question<'a>,
    pub(super) choices: &'a Choices,
    pub(super) floor: &'a Floor,
    /// Bits of the prime movers that a substitute must keep one of.
    pub(super) primes: u64,
    /// Bits of those that work nearly as hard, enough within the same pattern.
    pub(super) strong: u64,
    pub(super) wanted: &'a [u8],
    pub(super) wanted_total: u32,
    /// [`terms::coverage`](super::terms::coverage) of every row that keeps one of the original's
    /// stronger muscles and misses one gate at most; 0 for the others, of which nobody is told.
    pub(super) coverage: Column<u16>,
    pub(super) most_skill: u8,
    pub(super) sore_caps: Vec<SoreCap<'a>>,
    /// For each row, a bit for each gate that it misses.
    fails: Column<u8>,
    /// For each row, a bit for each gate that it misses by one step.
    steps: Column<u8>,
    /// Rows that miss no gate, or one and are worth telling of, in order.
    pub(super) nearly: Vec<Nearly>,
}

/// A row that misses one gate at most.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Nearly {
    pub(super) row: usize,
    /// The gate's bit; 0 where none is missed.
    missed: u8,
    /// Whether it is missed by one step.
    pub(super) by_one_step: bool,
    /// Coverage in thousandths.
    pub(super) kept: u16,
}

impl Nearly {
    pub(super) const fn row(&self) -> usize {
        self.row
    }

    /// Position of the gate that is missed, if one is.
    pub(super) fn gate(&self) -> Option<usize> {
        (self.missed != 0).then(|| self.missed.trailing_zeros() as usize)
    }
}

/// One sore region with what it allows, and the grade of every row there.
pub struct SoreCap<'a> {
    pub(super) sore: Sore,
    /// Name of the region in running text.
    pub(super) name: String,
    pub(super) joint: u8,
    /// Where a movement is named, the most of the region as a whole: what eases one movement must
    /// not load another more, and a severely sore region is spared altogether.
    pub(super) whole: Option<u8>,
    pub(super) spine: Option<u8>,
    pub(super) original: u8,
    grades: Cow<'a, [u8]>,
}

impl SoreCap<'_> {
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
        floor: &'a Floor,
        choices: &'a Choices,
        wanted: &'a [u8],
    ) -> Self {
        let rules = &kb.ranking;
        let row = kb.table.rows.get(question.original);
        let most_skill =
            question.skill.unwrap_or_else(|| row.map_or(5, |r| r.skill + rules.skill_above_original).max(3));
        let wanted_total = wanted.iter().filter(|w| **w >= HELPER).map(|w| u32::from(*w)).sum::<u32>().max(1);
        let mut context = Self {
            kb,
            question,
            choices,
            floor,
            primes: movers(kb, question, wanted, 100),
            strong: movers(kb, question, wanted, STRONG),
            wanted,
            wanted_total,
            coverage: Column::zeros(kb.len()),
            most_skill,
            sore_caps: question.sore.iter().map(|s| SoreCap::new(kb, question, s)).collect(),
            fails: Column::zeros(kb.len()),
            steps: Column::zeros(kb.len()),
            nearly: Vec::with_capacity(USUALLY_NEAR),
        };
        context.ask_all();
        context
    }

    /// Asks every gate of every row. A gate that looks at one number of a row asks the whole column
    /// at once, without a branch, so that the compiler takes many rows at a time; only the muscles,
    /// which are many numbers, are asked row by row, where the answer can matter.
    fn ask_all(&mut self) {
        let (kb, lanes) = (self.kb, &self.kb.lanes);
        let Some(original) = kb.table.rows.get(self.question.original) else { return };
        let (fails, steps) = (&mut self.fails, &mut self.steps);
        // Kit, with the ceiling.
        for (f, floor) in fails.iter_mut().zip(self.floor.lane()) {
            *f = (1 - Floor::can(*floor)) << KIT;
        }
        if let Some(have) = self.question.inventory.ceiling_cm {
            for (f, headroom) in fails.iter_mut().zip(&lanes.headroom_cm) {
                *f |= u8::from(*headroom > have) << KIT;
            }
        }
        if let Some(own) = fails.get_mut(self.question.original) {
            *own |= 1;
        }
        // Soreness: by how much the worst region is over what it allows.
        if !self.sore_caps.is_empty() {
            let mut worst = Column::zeros(fails.len());
            for cap in &self.sore_caps {
                cap.over(kb, &mut worst);
            }
            for ((f, s), over) in fails.iter_mut().zip(steps.iter_mut()).zip(worst.iter()) {
                *f |= u8::from(*over > 0) << 2;
                *s |= u8::from(*over == 1) << 2;
            }
        }
        let mut at_most = |gate: u8, most: u8, lane: &[u8]| {
            for ((f, s), have) in fails.iter_mut().zip(steps.iter_mut()).zip(lane) {
                let over = have.saturating_sub(most);
                *f |= u8::from(over > 0) << gate;
                *s |= u8::from(over == 1) << gate;
            }
        };
        if let Some(most) = self.question.max_spine {
            at_most(3, most, &lanes.spine);
        }
        at_most(5, self.most_skill, &lanes.skill);
        for row in self.question.skip {
            if let Some(f) = fails.get_mut(*row) {
                *f |= 1 << 6;
            }
        }
        self.ask_purpose(original);
    }

    /// The purpose gate. Light protective work and stretches never stand in for training, nor
    /// training for them. What coaches name early in its place serves its purpose, whatever the
    /// sums say: a raise keeps the shoulder of a press at work, a hold the trunk of a carry. All
    /// else must keep a mover, and enough of the muscle work.
    fn ask_purpose(&mut self, original: &Row) {
        let (kb, lanes) = (self.kb, &self.kb.lanes);
        let n = kb.len();
        // 1: keeps a strong mover, asked for in the same pattern. 2: keeps a prime mover. 4: keeps
        // one of the original's stronger muscles, so that its coverage is worth knowing.
        let mut keeps = Column::<u8>::zeros(n);
        let all = kb.table.muscles_of(self.question.original);
        for muscle in all.iter().enumerate().filter(|(_, w)| **w >= STRONG).map(|(muscle, _)| muscle) {
            let bit = |set: u64| (set >> muscle & 1) as u8;
            let kind = bit(self.strong) | bit(self.primes) << 1 | 4;
            for (k, works) in keeps.iter_mut().zip(lanes.keeps_at(muscle)) {
                *k |= works * kind;
            }
        }
        let training = u8::from(is_training(original.role));
        let early = self.choices.early();
        let mut look = Column::<u8>::zeros(n);
        let rows = self.fails.iter_mut().zip(keeps.iter_mut()).zip(look.iter_mut());
        for (((((f, keep), look), train), pattern), early) in rows.zip(&lanes.training).zip(&lanes.pattern).zip(early) {
            let same = u8::from(*pattern == original.pattern);
            let moves = ((*keep >> 1) & 1) | (*keep & same & 1);
            let other_work = u8::from(*train != training);
            let open = moves & (1 - *early) & (1 - other_work);
            *f |= (other_work | ((1 - moves) & (1 - *early))) << PURPOSE;
            // Worth a look: what misses one gate at most, or where purpose alone decides which
            // gate is the first to refuse.
            let single = u8::from(*f & f.wrapping_sub(1) == 0);
            let first = open & u8::from(*f & 0b1111 == 0);
            *look = ((*keep >> 2) | *early) & (single | first) | open << 1 | *keep & 4;
        }
        let least = (kb.ranking.least_coverage * 1000.0) as u16;
        let covering = Covering::new(self.wanted);
        for (chunk, looks) in look.chunks(SKIPPED).enumerate() {
            if looks.iter().all(|l| l & 1 == 0) {
                continue;
            }
            for (at, look) in looks.iter().enumerate().filter(|(_, l)| **l & 1 == 1) {
                let row = chunk * SKIPPED + at;
                let (Some(f), Some(s)) = (self.fails.get_mut(row), self.steps.get_mut(row)) else { continue };
                let mut kept = 0;
                if look & 4 != 0 {
                    let mine = kb.table.muscles_of(row);
                    kept = covering.of(mine);
                    if let Some(slot) = self.coverage.get_mut(row) {
                        *slot = kept;
                    }
                    if look & 2 != 0 && kept < least {
                        let have = shared(self.wanted, self.wanted_total, mine, kept);
                        if have < least {
                            *f |= 1 << PURPOSE;
                            *s |= u8::from(have + COVERAGE_STEP >= least) << PURPOSE;
                        }
                    }
                }
                if *f & f.wrapping_sub(1) == 0 && (*f == 0 || kept > 0 || *s != 0) {
                    self.nearly.push(Nearly { row, missed: *f, by_one_step: *s != 0, kept });
                }
            }
        }
    }

    /// For each gate, how many rows it is the first to refuse.
    pub(super) fn first_refusals(&self) -> [usize; 7] {
        let mut before = 0;
        let mut counts = [0; 7];
        for (gate, count) in counts.iter_mut().enumerate() {
            let up_to = (2u8 << gate).wrapping_sub(1);
            let mut missed = 0;
            // Counted in bytes, which a part of this length cannot overflow.
            for part in self.fails.chunks(240) {
                missed += usize::from(part.iter().map(|f| u8::from(f & up_to != 0)).sum::<u8>());
            }
            *count = missed - before;
            before = missed;
        }
        counts
    }

    /// Whether a row passes every gate but those of soreness and purpose: light work beside a
    /// swap has caps of its own ([`super::light`]) and serves another purpose.
    pub(super) fn is_open(&self, row: usize) -> bool {
        self.fails.get(row).is_some_and(|f| f & !(1 << 2 | 1 << PURPOSE) == 0)
    }

    /// Whether the ceiling is high enough for a row and some of its kit may be stood in for.
    pub(super) fn could_improvise(&self, row: usize) -> bool {
        self.floor.is_short_of_one(row)
            && self.kb.table.rows.get(row).is_some_and(|r| self.question.inventory.is_high_enough(r))
    }

    /// Coverage of a row in thousandths, where it is known.
    pub(super) fn kept(&self, row: usize) -> u16 {
        self.coverage.get(row).copied().unwrap_or(0)
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

impl<'a> SoreCap<'a> {
    fn new(kb: &'a Kb, question: &Question<'_>, sore: &Sore) -> Self {
        let rules = &kb.ranking;
        let find = |caps: &BTreeMap<Level, Cap>, grade| caps.get(&sore.level).map_or(1, |c| cap(c, grade));
        let region = kb.lanes.grades_at(sore.region);
        let grades = match sore.aggravator {
            None => Cow::Borrowed(region),
            Some(column) => {
                let named = kb.lanes.aggravators_at(column).iter().zip(region);
                named.map(|(n, r)| (*n).max(r.saturating_sub(rules.unlisted_aggravator_relief))).collect()
            }
        };
        let original = question.original;
        let before = grades.get(original).copied().unwrap_or(0);
        let joint = find(if sore.aggravator.is_some() { &rules.named_caps } else { &rules.caps }, before);
        let of_region = region.get(original).copied().unwrap_or(4);
        let severe = sore.level == Level::Severe;
        let whole = if severe { find(&rules.caps, of_region) } else { of_region };
        let whole = sore.aggravator.map(|_| whole);
        let class = kb.table.rows.get(original).map_or(4, |r| r.spine);
        // Where the person says what brings the back pain on, and it is no load along the
        // spine, that is what must come down; the spine class must only not rise.
        let by_load = sore.aggravator_name(kb).is_none_or(|a| ["compression", "shear", "impact"].contains(&a));
        let low_back = kb.region_at("low-back");
        let spine =
            (Some(sore.region) == low_back).then(|| if by_load { find(&rules.spine_caps, class) } else { class });
        let name = sore.region_name(kb).to_lowercase();
        SoreCap { sore: *sore, name, joint, whole, spine, original: before, grades }
    }

    /// Raises each row's `worst` to by how much it is over what this region allows.
    fn over(&self, kb: &Kb, worst: &mut [u8]) {
        // What is not capped is never over.
        let (whole, spine) = (self.whole.unwrap_or(u8::MAX), self.spine.unwrap_or(u8::MAX));
        let heavy = self.original.max(LIGHT + 1);
        let strict = u8::from(self.sore.level > Level::Mild);
        let lanes = self.grades.iter().zip(kb.lanes.grades_at(self.sore.region)).zip(&kb.lanes.spine);
        for (worst, ((grade, region), class)) in worst.iter_mut().zip(lanes) {
            let over = grade.saturating_sub(self.joint);
            let over = over.max(region.saturating_sub(whole)).max(class.saturating_sub(spine));
            // One step over is still no relief when it lands on the original's own grade, unless
            // that is a light one, where nothing but full rest would be less.
            let no_relief = u8::from(over == 1) & u8::from(*grade >= heavy) & strict;
            *worst = (*worst).max(over + no_relief);
        }
    }
}

fn known_why(_: &Context<'_>, _: usize) -> String {
    "this is the exercise to replace".to_string()
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
    let mut told = String::with_capacity(96);
    for (at, q) in c.kb.kit_names(least).enumerate() {
        told.push_str(if at == 0 { "needs " } else { " and " });
        told.push_str(&q.phrase);
    }
    if told.is_empty() { "needs ".to_string() } else { told }
}

/// Grade of a light load in mid-range, as daily life has it.
pub(super) const LIGHT: u8 = 1;

/// Grade of the sore region whatever movement brings the soreness on.
fn whole_region(c: &Context<'_>, cap: &SoreCap, row: usize) -> u8 {
    c.kb.table.grades_of(row).get(cap.sore.region).copied().unwrap_or(4)
}

fn sore_why(c: &Context<'_>, row: usize) -> String {
    for cap in &c.sore_caps {
        let grade = cap.grade(row);
        if grade > cap.joint {
            let what = cap.sore.aggravator_name(c.kb).map_or(String::new(), |a| format!(" ({a})"));
            return format!("{}{what} {grade} of 4, at most {} now", cap.name, cap.joint);
        }
        let whole = whole_region(c, cap, row);
        if let Some(most) = cap.whole.filter(|most| whole > *most) {
            return format!("{} by another movement {whole} of 4, at most {most} now", cap.name);
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

fn limit_why(c: &Context<'_>, row: usize) -> String {
    let have = c.kb.table.rows.get(row).map_or(0, |r| r.spine);
    format!("spine load {}, your limit is {}", spine_word(have), spine_word(c.question.max_spine.unwrap_or(4)))
}

/// Coverage, in thousandths, that counts as one step.
const COVERAGE_STEP: u16 = 100;

/// Room for the rows that miss one gate at most.
const USUALLY_NEAR: usize = 256;

/// So many rows at a time are passed over where none is worth a look.
const SKIPPED: usize = 16;

/// Weight in hundredths below which a muscle is a helper, not asked for by the purpose gate.
const HELPER: u8 = 50;

/// Muscle coverage for the gate: the greater of the weighted share that is scored and the plain
/// share of all but helpers, so that neither a helper-rich nor a single-joint original shuts everything out.
fn shared(wanted: &[u8], wanted_total: u32, mine: &[u8], coverage: u16) -> u16 {
    let kept: u32 = wanted.iter().zip(mine).filter(|(a, _)| **a >= HELPER).map(|(a, b)| u32::from(*a.min(b))).sum();
    u16::try_from(kept * 1000 / wanted_total).unwrap_or(1000).max(coverage)
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
    let have = shared(c.wanted, c.wanted_total, c.kb.table.muscles_of(row), c.kept(row));
    format!("keeps {} % of the muscle work", have / 10)
}

/// Weight in hundredths from which a muscle of the original works nearly as hard as its prime
/// movers (1.0).
pub(super) const STRONG: u8 = 70;

/// Movers of the original, of at least `weight` hundredths, that a substitute must keep one of:
/// those not spared because their own region is sore, or all of them where none is left.
pub(super) fn movers(kb: &Kb, question: &Question<'_>, wanted: &[u8], weight: u8) -> u64 {
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

fn skill_why(c: &Context<'_>, row: usize) -> String {
    format!("skill {} of 5, at most {} here", c.kb.table.rows.get(row).map_or(5, |r| r.skill), c.most_skill)
}

fn excluded_why(_: &Context<'_>, _: usize) -> String {
    "you excluded it".to_string()
}
