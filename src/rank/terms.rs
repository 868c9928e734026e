//! The scored parts of a substitute: each gives 0 to 1 and tells what it found.
//!
//! Leans on the compiled base. Leaves to others: yes or no ([`super::gates`]) and order
//! ([`super`]). Values are whole thousandths, so that the same question gives the same order on
//! every machine.

use std::borrow::Cow;

use crate::kb::Kb;
use crate::kb::raw::{Aim, MuscleLength, Role};
use crate::kb::table::Row;

use super::Question;
use super::explain::Explanation;
use super::gates::{Context, SoreCap};
use super::phrases;
use super::spare::Column;

/// How many terms there are.
const COUNT: usize = 11;

/// A term: its name in the base's weights, what it means, and what it says of a row; its value is
/// at the same place in `Scorer::values`.
pub struct Term {
    /// Name, as in the ranking's weights.
    pub id: &'static str,
    /// One-line meaning.
    pub means: &'static str,
    pub(super) found: fn(&Scorer<'_, '_>, usize) -> Cow<'static, str>,
    pub(super) applies: fn(&Question<'_>) -> bool,
}

/// The term that looks at how heavy the stock goes.
const LOADABLE: &str = "loadable";

/// Every term, in the order of the explanation.
pub const TERMS: &[Term] = &[
    Term { id: "muscles", means: "the original's muscles kept working as hard", found: muscles_found, applies: always },
    Term {
        id: "instead",
        means: "how far up coaches name it in this lift's place",
        found: instead_found,
        applies: always,
    },
    Term { id: "pattern", means: "nearness in the tree of movement patterns", found: pattern_found, applies: always },
    Term { id: "relief", means: "how much the sore region is eased", found: relief_found, applies: when_sore },
    Term { id: "spine", means: "how much spine load is spared", found: spine_found, applies: always },
    Term { id: LOADABLE, means: "whether it can be made hard enough here", found: loadable_found, applies: always },
    Term { id: "aim", means: "fit to what you train for", found: aim_found, applies: always },
    Term { id: "length", means: "hard at the same muscle length", found: length_found, applies: always },
    Term {
        id: "familiar",
        means: "nearness to what you do now, and skill asked",
        found: familiar_found,
        applies: always,
    },
    Term { id: "usual", means: "how usual it is in ordinary training", found: usual_found, applies: always },
    Term { id: "freshness", means: "how little it tires the whole body", found: freshness_found, applies: always },
];

/// Places of two terms in [`TERMS`] that are told first.
const MUSCLES: usize = 0;
const RELIEF: usize = 3;

/// How many reasons are told in short.
const REASONS: usize = 4;

fn always(_: &Question<'_>) -> bool {
    true
}

fn when_sore(question: &Question<'_>) -> bool {
    !question.sore.is_empty()
}

/// What the terms look at for one question; made once, before the scan.
pub struct Scorer<'k, 'a> {
    pub(super) kb: &'k Kb,
    context: &'a Context<'a>,
    question: &'a Question<'a>,
    choices: &'a Choices,
    /// Whether stand-ins count as kit.
    improvise: bool,
    original: &'k Row,
    /// Muscle weights of the original.
    trained: &'k [u8],
    /// How much each sore region is eased, by grade and by the sum of all that provokes it.
    eased: Vec<Eased>,
    /// Nearness of each pattern to the original's.
    near: Vec<u16>,
    /// Fit of each role to the aim and to the original's.
    fit: [u16; Role::ALL.len()],
    /// Fewest repetitions at which an exercise counts in full for the aim, and for nothing.
    window: (f64, f64),
    /// Weight of each term in hundredths; 0 where it does not apply.
    pub(super) weights: [u32; COUNT],
    pub(super) total: u32,
}

impl<'k, 'a> Scorer<'k, 'a> {
    pub(super) fn new(
        kb: &'k Kb,
        context: &'a Context<'a>,
        question: &'a Question<'a>,
        choices: &'a Choices,
    ) -> Option<Self> {
        let original = kb.table.rows.get(question.original)?;
        let named = kb.ranking.weights.get(&question.aim)?;
        let mut weights = [0; COUNT];
        for (slot, term) in weights.iter_mut().zip(TERMS) {
            if (term.applies)(question) {
                *slot = (named.get(term.id).copied().unwrap_or(0.0) * 100.0).round() as u32;
            }
        }
        let total = weights.iter().sum::<u32>().max(1);
        let eased = context.sore_caps.iter().map(|cap| Eased::new(kb, cap, question.original)).collect();
        let near = (0..kb.patterns.len()).map(|p| nearness(kb, p, usize::from(original.pattern))).collect();
        let mut fit = [0; Role::ALL.len()];
        for (slot, role) in fit.iter_mut().zip(Role::ALL) {
            *slot = fit_to_aim(question.aim, original.role, *role);
        }
        let trained = kb.table.muscles_of(question.original);
        let window = window(question.aim);
        let improvise = question.inventory.improvise;
        Some(Self {
            kb,
            context,
            question,
            choices,
            improvise,
            original,
            trained,
            eased,
            near,
            fit,
            window,
            weights,
            total,
        })
    }

    /// The same with stand-ins counted as kit.
    pub(super) fn improvising(self) -> Self {
        Self { improvise: true, ..self }
    }

    /// What each term gives, in thousandths, in the order of [`TERMS`].
    #[inline]
    pub(super) fn values(&self, row: usize) -> [u16; COUNT] {
        let Some(r) = self.kb.table.rows.get(row) else { return [0; COUNT] };
        [
            muscles(self, row, r),
            instead(self, row),
            pattern(self, r),
            relief(self, row),
            spine(self, r),
            loadable(self, row, r),
            aim(self, r),
            length(self, r),
            familiar(self, r),
            usual(r),
            freshness(self, row, r),
        ]
    }

    /// The weighted sum of a row's terms, the whole number that decides the order.
    pub(super) fn points(&self, row: usize) -> u32 {
        self.weighed(&self.values(row))
    }

    fn weighed(&self, values: &[u16; COUNT]) -> u32 {
        values.iter().zip(self.weights).map(|(value, w)| w * u32::from(*value)).sum()
    }

    /// The sum without loading; the weight of loading; and how hard the row can be made when its
    /// usual load is reached, so that loading is worth its weight times the thousandths of hard
    /// times the share reached.
    pub(super) fn apart(&self, row: usize) -> (u32, u32, f64) {
        let (mut fixed, mut by_load) = (0, 0);
        let values = self.values(row);
        for ((term, weight), value) in TERMS.iter().zip(self.weights).zip(values).filter(|((_, w), _)| *w > 0) {
            if term.id == LOADABLE {
                by_load = weight;
            } else {
                fixed += weight * u32::from(value);
            }
        }
        (fixed, by_load, self.kb.table.rows.get(row).map_or(0.0, |r| hard(self, r)))
    }

    /// A whole number of points as a score from 0 to 100.
    pub(super) fn score(&self, points: u32) -> f64 {
        f64::from(points) / (f64::from(self.total) * 10.0)
    }

    /// The terms that give most points, each in a few words. What the eye looks for first stands
    /// first: muscles, then the sore region.
    pub(super) fn reasons(&self, row: usize) -> Vec<Cow<'static, str>> {
        // In order of the points, of equals the earlier term first; small enough to sort in place.
        let mut order = [(0u32, 0usize); COUNT];
        let values = self.values(row);
        for (at, ((slot, value), weight)) in order.iter_mut().zip(values).zip(self.weights).enumerate() {
            let before = u32::MAX - weight * u32::from(value);
            *slot = (if at == MUSCLES || at == RELIEF { 0 } else { before }, at);
        }
        order.sort_unstable();
        let applies = |at: usize| self.weights.get(at).is_some_and(|w| *w > 0);
        let best = order.iter().map(|(_, at)| *at).filter(|at| applies(*at)).take(REASONS);
        best.filter_map(|at| TERMS.get(at)).map(|term| (term.found)(self, row)).collect()
    }

    /// The tree behind a row's score.
    pub(super) fn explain(&self, row: usize) -> Explanation<'k> {
        let mut parts = Vec::with_capacity(TERMS.len());
        let values = self.values(row);
        for ((term, weight), value) in TERMS.iter().zip(self.weights).zip(values).filter(|((_, w), _)| *w > 0) {
            let points = self.score(weight * u32::from(value));
            let found = (term.found)(self, row);
            let mut node = if term.id == "muscles" {
                Explanation::sum(term.id, found, self.muscle_leaves(row, points, value))
            } else {
                Explanation::leaf(term.id, points, found)
            };
            node.scale = Some((f64::from(value) / 1000.0, f64::from(weight) / f64::from(self.total)));
            parts.push(node);
        }
        Explanation::sum("score", "weighted mean of the terms below, 0 to 100", parts)
    }

    /// Shares the points of the muscle term among the muscles that earn them; what the focus
    /// part and rounding leave over stands as a leaf of its own.
    fn muscle_leaves(&self, row: usize, points: f64, value: u16) -> Vec<Explanation<'k>> {
        let wanted = self.context.wanted;
        let mine = self.kb.table.muscles_of(row);
        let total: f64 = wanted.iter().map(|w| f64::from(*w).powi(2)).sum::<f64>().max(1.0);
        let value = f64::from(value).max(1.0);
        let mut leaves = Vec::new();
        let mut given = 0.0;
        for ((muscle, wanted), have) in self.kb.muscles.iter().zip(wanted).zip(mine).filter(|((_, w), _)| **w > 0) {
            let kept = f64::from(*wanted) * f64::from(*wanted.min(have));
            let share = COVERAGE_PART * 1000.0 * kept / total / value;
            given += points * share;
            let found = format!("works at {have} %, {wanted} % asked for");
            leaves.push(Explanation::leaf(muscle.id.as_str(), points * share, found));
        }
        leaves.push(Explanation::leaf(
            "focus",
            points - given,
            format!(
                "{} % of its work is the original's",
                self.kb.table.rows.get(row).map_or(1000, |r| focus(self, row, r)) / 10
            ),
        ));
        leaves
    }
}

/// Share of the muscle term that coverage decides; the rest is focus (practice).
const COVERAGE_PART: f64 = 0.8;

/// What a substitute is asked to keep of the original's muscles, in hundredths: each muscle
/// by its weight; those that only hold, and a sore region's own, by less.
#[must_use]
pub fn wanted(kb: &Kb, question: &Question<'_>) -> Vec<u8> {
    let weights = kb.table.muscles_of(question.original);
    let holding = |at: usize, weight: u8| {
        let only_holds = weight < 100 && kb.muscles.get(at).is_some_and(|m| m.holds);
        if only_holds { kb.ranking.holding_share } else { 1.0 }
    };
    let own = |at: usize| {
        question
            .sore
            .iter()
            .filter(|s| kb.own_muscles.get(s.region).is_some_and(|set| set >> at & 1 == 1))
            .filter_map(|s| kb.ranking.own_muscle_share.get(&s.level))
            .fold(1.0, |least: f64, share| least.min(*share))
    };
    weights.iter().enumerate().map(|(at, w)| (f64::from(*w) * own(at).min(holding(at, *w))).round() as u8).collect()
}

/// Directed muscle coverage in thousandths: how much of `wanted` the row keeps, each muscle
/// counted by how much it is wanted, so that helpers weigh less than prime movers.
#[must_use]
pub fn coverage(wanted: &[u8], row: &[u8]) -> u16 {
    Covering::new(wanted).of(row)
}

/// [`coverage`] of many rows, with what is wanted summed up once.
pub(super) struct Covering<'a> {
    wanted: &'a [u8],
    total: u32,
}

impl<'a> Covering<'a> {
    pub(super) fn new(wanted: &'a [u8]) -> Self {
        Self { wanted, total: product(wanted, wanted).max(1) }
    }

    pub(super) fn of(&self, row: &[u8]) -> u16 {
        u16::try_from(product(self.wanted, row) * 1000 / self.total).unwrap_or(1000)
    }
}

/// How many weights are taken at a time; the columns are padded to a multiple of it.
const LANES: usize = crate::kb::table::MUSCLE_STEP;

/// Sum of `a` times the lesser of `a` and `b`. In chunks of a fixed size and 16-bit steps (a
/// weight is at most 100, so a product fits), which the compiler turns into wide instructions.
fn product(a: &[u8], b: &[u8]) -> u32 {
    let (a_chunks, a_rest) = a.as_chunks::<LANES>();
    let (b_chunks, b_rest) = b.as_chunks::<LANES>();
    let mut lanes = [0u32; LANES];
    for (a, b) in a_chunks.iter().zip(b_chunks) {
        for ((lane, a), b) in lanes.iter_mut().zip(a).zip(b) {
            *lane += u32::from(u16::from(*a) * u16::from(*a.min(b)));
        }
    }
    let rest: u32 = a_rest.iter().zip(b_rest).map(|(a, b)| u32::from(*a) * u32::from(*a.min(b))).sum();
    lanes.iter().sum::<u32>() + rest
}

fn focus(s: &Scorer<'_, '_>, row: usize, r: &Row) -> u16 {
    let shared = product(s.kb.table.muscles_of(row), s.trained);
    u16::try_from(shared * 1000 / r.own_product.max(1)).unwrap_or(1000)
}

fn muscles(s: &Scorer<'_, '_>, row: usize, r: &Row) -> u16 {
    let covered = f64::from(s.context.kept(row));
    (COVERAGE_PART * covered + (1.0 - COVERAGE_PART) * f64::from(focus(s, row, r)) + 0.5) as u16
}

fn muscles_found(s: &Scorer<'_, '_>, row: usize) -> Cow<'static, str> {
    phrases::keeps((s.context.kept(row) + 5) / 10)
}

/// Share of the load on the limbs that a variation keeps to count as one for one (practice).
const AS_HARD: f32 = 0.8;

/// What coaches name in the original's place, looked up once.
pub struct Choices {
    /// In thousandths, how far up: 0 for what is not named.
    value: Column<u16>,
    /// The best place among what the gym can do, from 1; 0 for what is not named itself.
    place: Column<u16>,
    /// 1 where it is named early, whatever the gym can do: more kit must not cost a substitute.
    early: Column<u8>,
}

impl Choices {
    pub(super) fn new(kb: &Kb, question: &Question<'_>, can: impl Fn(usize) -> bool) -> Self {
        let shares = kb.ranking.instead;
        let n = kb.len();
        let mut this = Self { value: Column::zeros(n), place: Column::zeros(n), early: Column::zeros(n) };
        let n = question.sore.len().max(1) as f64;
        let mut named: Vec<usize> = Vec::new();
        let mut lay = |region: Option<usize>| {
            let own = kb.table.instead_of(question.original, region);
            let general = own.is_empty() && region.is_some();
            let list = if general { kb.table.instead_of(question.original, None) } else { own };
            let factor = if general { shares.not_for_region } else { 1.0 };
            // What shares its ancestor's lists can be replaced by that ancestor first of all.
            let ancestor = kb.table.rows.get(question.original).map(|r| r.instead_of);
            let ancestor = ancestor.filter(|of| *of as usize != question.original && !list.is_empty());
            let mut before = 0u16;
            for (at, row) in ancestor.iter().chain(list).map(|r| *r as usize).enumerate() {
                // Only what the gym can do takes a place.
                if row == question.original || !can(row) {
                    continue;
                }
                if at < usize::from(shares.purpose_places)
                    && let Some(early) = this.early.get_mut(row)
                {
                    *early = 1;
                }
                let share = (1.0 - shares.per_place * f64::from(before)).max(shares.least);
                before += 1;
                if let (Some(value), Some(place)) = (this.value.get_mut(row), this.place.get_mut(row)) {
                    if *place == 0 {
                        named.push(row);
                    }
                    *value += (1000.0 * share * factor / n + 0.5) as u16;
                    *place = if *place == 0 { before } else { (*place).min(before) };
                }
            }
        };
        if question.sore.is_empty() {
            lay(None);
        }
        for s in question.sore {
            lay(Some(s.region));
        }
        // A variation of what is named comes to mind next, unless it is much the easier one.
        for parent in named {
            let value = this.value.get(parent).copied().unwrap_or(0);
            let Some(p) = kb.table.rows.get(parent).filter(|_| value > 0 && parent != question.original) else {
                continue;
            };
            let near = (f64::from(value) * shares.variation + 0.5) as u16;
            for child in kb.lanes.children_of(parent).iter().map(|row| *row as usize) {
                let as_hard = kb.table.rows.get(child).is_some_and(|r| r.demand_bm >= AS_HARD * p.demand_bm);
                if as_hard
                    && this.place.get(child) == Some(&0)
                    && let Some(slot) = this.value.get_mut(child)
                {
                    *slot = near;
                }
            }
        }
        this
    }

    /// 1 for each row that is named far enough up to serve the original's purpose.
    pub(super) fn early(&self) -> &[u8] {
        &self.early
    }
}

fn instead(s: &Scorer<'_, '_>, row: usize) -> u16 {
    s.choices.value.get(row).copied().unwrap_or(0)
}

fn instead_found(s: &Scorer<'_, '_>, row: usize) -> Cow<'static, str> {
    match s.choices.place.get(row).copied().unwrap_or(0) {
        0 if instead(s, row) > 0 => "a variation of a coaches' choice".into(),
        0 => "seldom chosen in its place".into(),
        place => phrases::choice(place),
    }
}

fn pattern(s: &Scorer<'_, '_>, r: &Row) -> u16 {
    s.near.get(usize::from(r.pattern)).copied().unwrap_or(0)
}

/// Nearness of two patterns by the length of the path that they share from the top.
fn nearness(kb: &Kb, a: usize, b: usize) -> u16 {
    if a == b {
        return 1000;
    }
    let path = |p: usize| kb.pattern_paths.get(p).map_or(&[][..], Vec::as_slice);
    let shared = path(a).iter().zip(path(b)).take_while(|(a, b)| a == b).count();
    match shared {
        0 => 0,
        1 => 250,
        _ => 600,
    }
}

fn pattern_found(s: &Scorer<'_, '_>, row: usize) -> Cow<'static, str> {
    let Some(r) = s.kb.table.rows.get(row) else { return Cow::Borrowed("") };
    let name = |p: u8| s.kb.patterns.get(usize::from(p)).map_or("", |p| p.name.as_str()).to_lowercase();
    Cow::Owned(if r.pattern == s.original.pattern {
        format!("same pattern ({})", name(r.pattern))
    } else {
        format!("{} for {}", name(r.pattern), name(s.original.pattern))
    })
}

/// Share of the relief that the greatest grade decides; the rest is the sum of all that
/// provokes the region, so that of two equal grades the one with fewer provocations eases more.
const GREATEST_PART: f64 = 0.6;

/// Mean over the sore regions of how much lower the load on them is.
fn relief(s: &Scorer<'_, '_>, row: usize) -> u16 {
    let caps = &s.context.sore_caps;
    if caps.is_empty() {
        return 0;
    }
    let n = caps.len() as f64;
    let sum: f64 = caps.iter().zip(&s.eased).map(|(cap, eased)| eased.by(s.kb, cap, row)).sum();
    (1000.0 * sum / n + 0.5) as u16
}

/// How much lower the load on a sore region is, for every grade and every sum of provocations that
/// there can be: worked out once, for divisions are slow and these are few.
struct Eased {
    greatest: [f64; 5],
    /// By the sum of all that provokes it; none where one movement is named.
    all: Vec<f64>,
}

impl Eased {
    fn new(kb: &Kb, cap: &SoreCap<'_>, original: usize) -> Self {
        let before = f64::from(provocations(kb, cap.sore.region, original));
        let most = kb.regions.get(cap.sore.region).map_or(0, |r| 4 * r.aggravators.len());
        let by_sum = |now: usize| lower(before, now as f64);
        Self {
            greatest: std::array::from_fn(|grade| lower(f64::from(cap.original), grade as f64)),
            all: if cap.sore.aggravator.is_some() { Vec::new() } else { (0..=most).map(by_sum).collect() },
        }
    }

    fn by(&self, kb: &Kb, cap: &SoreCap<'_>, row: usize) -> f64 {
        let greatest = self.greatest.get(usize::from(cap.grade(row))).copied().unwrap_or(0.0);
        if self.all.is_empty() {
            return greatest;
        }
        let now = usize::from(provocations(kb, cap.sore.region, row));
        GREATEST_PART * greatest + (1.0 - GREATEST_PART) * self.all.get(now).copied().unwrap_or(0.0)
    }
}

/// How much lower `to` is than `from`, 0 to 1; from nothing, only nothing is no worse.
fn lower(from: f64, to: f64) -> f64 {
    if from <= 0.0 { f64::from(u8::from(to <= 0.0)) } else { ((from - to) / from).clamp(0.0, 1.0) }
}

/// Sum of the grades of all that provokes a region.
fn provocations(kb: &Kb, region: usize, row: usize) -> u16 {
    let start = kb.aggravator_start.get(region).map_or(0, |s| usize::from(*s));
    let count = kb.regions.get(region).map_or(0, |r| r.aggravators.len());
    kb.table.aggravators_of(row).get(start..start + count).map_or(0, |all| all.iter().map(|g| u16::from(*g)).sum())
}

fn relief_found(s: &Scorer<'_, '_>, row: usize) -> Cow<'static, str> {
    let mut told = String::with_capacity(32);
    for (at, cap) in s.context.sore_caps.iter().enumerate() {
        if at > 0 {
            told.push_str(", ");
        }
        // Grades have one digit.
        told.push_str(&cap.name);
        told.push(' ');
        told.push(char::from(b'0' + cap.original));
        told.push_str(" to ");
        told.push(char::from(b'0' + cap.grade(row)));
        told.push_str(" of 4");
    }
    told.into()
}

fn spine(s: &Scorer<'_, '_>, r: &Row) -> u16 {
    let spared = s.original.spine_position - r.spine_position;
    // Half for no change, an eighth for each class gained or lost, and parts of it in between.
    ((500.0 + 125.0 * spared).clamp(0.0, 1000.0) + 0.5) as u16
}

fn spine_found(s: &Scorer<'_, '_>, row: usize) -> Cow<'static, str> {
    phrases::spine(s.original.spine, s.kb.table.rows.get(row).map_or(0, |r| r.spine))
}

/// Fewest repetitions at which an exercise still counts in full for an aim, and from which it
/// counts for nothing: what can only be done for many is not hard enough (practice).
fn window(aim: Aim) -> (f64, f64) {
    match aim {
        Aim::Size => (6.0, 20.0),
        Aim::Strength => (3.0, 11.0),
        Aim::Power => (4.0, 15.0),
        Aim::General => (10.0, 30.0),
    }
}

/// What a load on the limbs far under the original's still counts for (practice).
const LEAST_DEMAND: f64 = 0.3;

fn loadable(s: &Scorer<'_, '_>, row: usize, r: &Row) -> u16 {
    (1000.0 * best_reach(s, r, row) * hard(s, r) + 0.5) as u16
}

/// How hard a row can be made with its usual load: its range of repetitions for the aim, and the
/// load on the limbs beside the original's.
fn hard(s: &Scorer<'_, '_>, r: &Row) -> f64 {
    let (full, nothing) = s.window;
    let range = if r.holds {
        // A hold builds less than moving work, unless a hold is what it replaces.
        if s.original.holds { 1.0 } else { 0.35 }
    } else {
        ((nothing - f64::from(r.reps_low)) / (nothing - full)).clamp(0.0, 1.0)
    };
    range * demand(s, r)
}

/// How the load on the working limbs compares with the original's, where both use several
/// joints; a single joint is loaded hard by less.
fn demand(s: &Scorer<'_, '_>, r: &Row) -> f64 {
    let compound = |role: Role| matches!(role, Role::Main | Role::Accessory | Role::Power);
    if !compound(r.role) || !compound(s.original.role) || s.original.demand_bm <= 0.0 {
        return 1.0;
    }
    f64::from(r.demand_bm / s.original.demand_bm).clamp(LEAST_DEMAND, 1.0)
}

/// Greatest share of the usual load over the alternatives that the gym can do, or with a stand-in
/// where those count; an exercise that waits for an item yet to be bought is taken to be loaded in
/// full.
fn best_reach(s: &Scorer<'_, '_>, r: &Row, row: usize) -> f64 {
    if s.context.floor.loads_in_full(row) {
        return 1.0;
    }
    let (kb, inventory) = (s.kb, s.question.inventory);
    if s.improvise
        && !s.context.floor.does_itself(row)
        && let Some(makeshift) = inventory.makeshift(kb, row)
    {
        return makeshift.share;
    }
    let mut possible = kb.table.kits_of(row).iter().filter(|a| **a & !inventory.kit == 0).peekable();
    if possible.peek().is_none() {
        return 1.0;
    }
    possible.map(|a| inventory.reach(kb, r, *a).map_or(1.0, |reach| reach.share)).fold(0.0, f64::max)
}

fn loadable_found(s: &Scorer<'_, '_>, row: usize) -> Cow<'static, str> {
    let Some(r) = s.kb.table.rows.get(row) else { return Cow::Borrowed("") };
    let unit = if r.holds { "seconds" } else { "repetitions" };
    let reach = best_reach(s, r, row);
    let stock = if reach < 1.0 {
        format!(", stock reaches {} % of the usual load", (reach * 100.0).round())
    } else {
        String::new()
    };
    let light = match demand(s, r) {
        d if d < 0.995 => format!(", limbs carry {} % of the original's load", (d * 100.0).round()),
        _ => String::new(),
    };
    format!("hard in {} to {} {unit}{light}{stock}", r.reps_low, r.reps_high).into()
}

fn aim(s: &Scorer<'_, '_>, r: &Row) -> u16 {
    s.fit.get(r.role as usize).copied().unwrap_or(0)
}

fn fit_to_aim(aim: Aim, original: Role, role: Role) -> u16 {
    let by_aim: u16 = match (aim, role) {
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
    let by_role = match (original, role) {
        (a, b) if a == b => 1000,
        (Role::Main, Role::Accessory) | (Role::Accessory, Role::Main) => 900,
        (Role::Main | Role::Accessory, Role::Isolation) => 650,
        (Role::Isolation, Role::Accessory) => 650,
        (Role::Isolation, Role::Main) => 500,
        (Role::Power, Role::Main | Role::Accessory) => 500,
        _ => 350,
    };
    (by_aim + by_role) / 2
}

fn aim_found(s: &Scorer<'_, '_>, row: usize) -> Cow<'static, str> {
    s.kb.table.rows.get(row).map_or(Cow::Borrowed(""), |r| phrases::aim(r.role, s.question.aim))
}

fn length(s: &Scorer<'_, '_>, r: &Row) -> u16 {
    match r.hard_at.rank().abs_diff(s.original.hard_at.rank()) {
        0 => 1000,
        1 => 500,
        _ => 0,
    }
}

fn length_found(s: &Scorer<'_, '_>, row: usize) -> Cow<'static, str> {
    let word = |l: MuscleLength| l.word();
    let mine = s.kb.table.rows.get(row).map_or("", |r| word(r.hard_at));
    format!("hard with the muscle {mine}, the original {}", word(s.original.hard_at)).into()
}

fn familiar(s: &Scorer<'_, '_>, r: &Row) -> u16 {
    let skill = 1000 - 250 * u16::from(r.skill.saturating_sub(s.original.skill).min(4));
    let kin = if r.root == s.original.root { 1000 } else { 0 };
    let feel = 500 * u16::from(r.load_position == s.original.load_position)
        + 500 * u16::from(r.laterality == s.original.laterality);
    (2 * skill + kin + feel) / 4
}

fn familiar_found(s: &Scorer<'_, '_>, row: usize) -> Cow<'static, str> {
    let Some(r) = s.kb.table.rows.get(row) else { return Cow::Borrowed("") };
    phrases::skill(r.skill, r.root == s.original.root)
}

fn usual(r: &Row) -> u16 {
    250 * u16::from(r.usual.saturating_sub(1).min(4))
}

fn usual_found(s: &Scorer<'_, '_>, row: usize) -> Cow<'static, str> {
    match s.kb.table.rows.get(row).map_or(1, |r| r.usual) {
        5.. => "a staple",
        4 => "common",
        3 => "known to most lifters",
        2 => "seldom seen",
        _ => "rare",
    }
    .into()
}

fn freshness(s: &Scorer<'_, '_>, row: usize, r: &Row) -> u16 {
    let work = s.kb.lanes.work.get(row).copied().map_or(0, u32::from);
    // Six full muscles count as the whole body; spine load counts as much again (practice).
    let body = (work * 500 / 600).min(500) as u16;
    1000 - body - 125 * u16::from(r.spine.min(4))
}

fn freshness_found(s: &Scorer<'_, '_>, row: usize) -> Cow<'static, str> {
    let working = s.kb.table.muscles_of(row).iter().filter(|w| **w > 0).count();
    format!("{working} muscle groups at work").into()
}
