//! What kit is worth: over a basket of questions, the quality of the best answers that it allows.
//!
//! Leans on the gates and terms of a swap, asked once with everything there, and on
//! [`crate::gym::buy`] for what a worth must tell. Leaves to others: which questions are in the basket
//! ([`crate::ask`]).
//!
//! Two terms of a score look at the gym. Places in the coaches' lists are taken as they are where
//! everything is there: an answer is as good as it is, whatever else a gym could do, so that more kit
//! never costs worth. Loading is worked out for the weights of each set of kit, as a swap does. The
//! exercise itself is an answer of 100 wherever it can be done and the soreness lets it. Answers of
//! one parent in the variation graph count once, with their best.

use crate::gym::buy::{Outlook, Set, Worth, bits};
use crate::gym::{Borne, Inventory, LEAST_REACH, Store};
use crate::kb::Kb;
use crate::kb::raw::{self, Aim, Stock, Weights};
use crate::kb::table::{KitSet, RowId};

use super::gates::{Context, Nearly, joint_grade};
use super::terms::{Choices, Scorer, wanted};
use super::{Question, Sore};
pub use crate::kb::check::catalogue::ANSWERS;

/// A question of the basket.
#[derive(Debug, Clone, PartialEq)]
pub struct Case {
    /// Row of the exercise that is asked for.
    pub original: usize,
    /// What is sore.
    pub sore: Vec<Sore>,
    /// How much the question counts.
    pub weight: u32,
}

/// Weights that are there: the heaviest dumbbell, kettlebell and sandbag, and plates in all, kg.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Stores([f64; 4]);

impl Stores {
    /// Of a gym: without end where it names no end, nothing where it has no such kit.
    fn of(kb: &Kb, kit: KitSet, stock: &Stock) -> Self {
        let has = |set: KitSet| kit & set != 0;
        let c = &kb.carriers;
        let kg = |there: bool, kg: Option<f64>| if there { kg.unwrap_or(f64::INFINITY) } else { 0.0 };
        Self([
            kg(has(c.dumbbells), stock.dumbbell_kg()),
            kg(has(c.kettlebells), stock.kettlebell_kg()),
            kg(has(c.sandbag), stock.sandbag_max_kg),
            kg(has(c.plates), stock.plates_kg()),
        ])
    }

    fn with(self, more: &Weights) -> Self {
        let [dumbbell, kettlebell, sandbag, plates] = self.0;
        let greatest = |a: f64, b: Option<f64>| b.map_or(a, |b| a.max(b));
        Self([
            greatest(dumbbell, more.dumbbell_max_kg),
            greatest(kettlebell, more.kettlebell_max_kg),
            greatest(sandbag, more.sandbag_max_kg),
            plates + more.plates_kg.unwrap_or(0.0),
        ])
    }
}

/// What a thing on offer brings.
#[derive(Debug, Clone, PartialEq)]
pub struct Brings {
    /// Kit, with all that it provides.
    pub kit: KitSet,
    /// Weights.
    pub weights: Option<Weights>,
    /// Price, in any unit: of several missing items the dearest tells most.
    pub price: u64,
}

/// A way to do an exercise: what of its kit is not owned, and how its load is borne.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Way {
    missing: KitSet,
    borne: Option<Borne>,
}

/// An answer that may be open: its points without loading, and what loading adds.
#[derive(Debug, Clone, PartialEq)]
struct Answer {
    row: usize,
    /// Parent in the variation graph.
    group: RowId,
    fixed: u32,
    weight: u32,
    hard: f64,
    /// What it is worth when it is loaded in full.
    full: u32,
    ways: Vec<Way>,
}

/// A question ready to be asked of any set of kit.
#[derive(Debug, Clone, PartialEq)]
struct Asked {
    weight: u64,
    total: u32,
    /// Score up to which an answer is worth nothing, in hundredths.
    floor: u32,
    /// The greatest full score first.
    answers: Vec<Answer>,
}

/// An answer among the best.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Top {
    /// Row.
    pub row: usize,
    /// What of 10 000 it is worth: its score above the floor; 0 where there is no answer.
    pub score: u32,
    group: RowId,
}

/// The best answers of a question, each of another parent.
pub type Best = [Top; ANSWERS];

/// Kit and weights that are there.
#[derive(Debug, Clone, Copy, PartialEq)]
struct State {
    kit: KitSet,
    stores: Stores,
}

/// A basket of questions over a gym and what can be bought for it.
#[derive(Debug, Clone, PartialEq)]
pub struct Basket {
    asked: Vec<Asked>,
    start: State,
    brings: Vec<Brings>,
    shares: [u64; ANSWERS],
    /// Things that bring each item of kit, by its position.
    sellers: Vec<Set>,
    /// Things that bring weights for each store.
    raisers: [Set; 4],
}

/// Whole shares are thousandths.
const SHARE: f64 = 1000.0;
/// What the exercise itself is worth, and the most of all.
const WHOLE: u32 = 10_000;
/// Hundredths of a point.
const HUNDREDTHS: u32 = 100;
/// Grade, and step of the spine class, up to which a sore region is hardly loaded at all.
const LIGHT: u8 = 1;

impl Basket {
    /// Asks every question once with everything there.
    #[must_use]
    pub fn new(
        kb: &Kb,
        cases: &[Case],
        inventory: &Inventory,
        brings: Vec<Brings>,
        aim: Aim,
        counts: &raw::Basket,
    ) -> Self {
        let start = State { kit: inventory.kit, stores: Stores::of(kb, inventory.kit, &inventory.stock) };
        let mut shares = [0; ANSWERS];
        for (slot, share) in shares.iter_mut().zip(&counts.answer_shares) {
            *slot = (share * SHARE).round() as u64;
        }
        let everything = Inventory::everything(kb);
        let reachable = brings.iter().fold(inventory.kit, |kit, b| kit | b.kit);
        let those = |holds: &dyn Fn(&Brings) -> bool| {
            brings.iter().enumerate().filter(|(_, b)| holds(b)).fold(0, |set: Set, (i, _)| set | 1 << i)
        };
        let sellers = (0..kb.equipment.len()).map(|item| those(&|b| b.kit >> item & 1 == 1)).collect();
        let weighs = |of: fn(&Weights) -> Option<f64>| those(&|b| b.weights.as_ref().and_then(of).is_some());
        let raisers = [
            weighs(|w| w.dumbbell_max_kg),
            weighs(|w| w.kettlebell_max_kg),
            weighs(|w| w.sandbag_max_kg),
            weighs(|w| w.plates_kg),
        ];
        let mut basket = Self { asked: Vec::with_capacity(cases.len()), start, brings, shares, sellers, raisers };
        let floor = (counts.answer_floor * f64::from(HUNDREDTHS)).round() as u32;
        for case in cases {
            let mut asked = asked(kb, case, &everything, inventory, reachable, aim, floor);
            // What the gym's own best answers beat whatever is bought is never looked at again.
            let least = basket.best(&asked, &start)[ANSWERS - 1].score;
            asked.answers.retain(|a| a.full >= least && a.full > 0);
            basket.asked.push(asked);
        }
        basket
    }

    /// The same questions with other shares for the best answers.
    #[must_use]
    pub fn with_shares(&self, shares: [f64; ANSWERS]) -> Self {
        Self { shares: shares.map(|s| (s * SHARE).round() as u64), ..self.clone() }
    }

    /// Worth that a gym has in which every question is answered in full.
    #[must_use]
    pub fn whole(&self) -> u64 {
        self.asked.iter().map(|q| q.weight).sum::<u64>() * self.shares.iter().sum::<u64>() * u64::from(WHOLE)
    }

    /// How many questions there are.
    #[must_use]
    pub fn len(&self) -> usize {
        self.asked.len()
    }

    /// Whether there is none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.asked.is_empty()
    }

    /// A worth as points of 100.
    #[must_use]
    pub fn points(&self, worth: u64) -> f64 {
        100.0 * worth as f64 / self.whole().max(1) as f64
    }

    /// The best answers of every question with `bought`, in order of the cases.
    #[must_use]
    pub fn answers(&self, bought: Set) -> Vec<Best> {
        let state = self.state(bought);
        self.asked.iter().map(|q| self.best(q, &state)).collect()
    }

    /// What the answers of the question at a place are worth, in points of 100 of that question.
    #[must_use]
    pub fn quality(&self, best: &Best) -> f64 {
        100.0 * self.value(best) as f64 / (self.shares.iter().sum::<u64>().max(1) * u64::from(WHOLE)) as f64
    }

    /// Weight of the question at a place.
    #[must_use]
    pub fn weight(&self, at: usize) -> u64 {
        self.asked.get(at).map_or(0, |q| q.weight)
    }

    fn state(&self, bought: Set) -> State {
        bits(bought).filter_map(|i| self.brings.get(i)).fold(self.start, |state, b| State {
            kit: state.kit | b.kit,
            stores: b.weights.as_ref().map_or(state.stores, |w| state.stores.with(w)),
        })
    }

    fn value(&self, best: &Best) -> u64 {
        best.iter().zip(self.shares).map(|(top, share)| u64::from(top.score) * share).sum()
    }

    fn best(&self, asked: &Asked, state: &State) -> Best {
        let mut best = Best::default();
        for answer in &asked.answers {
            if answer.full <= best[ANSWERS - 1].score {
                break;
            }
            let share = answer.ways.iter().filter_map(|w| share(w, state)).fold(0.0, f64::max);
            if share > 0.0 {
                let score = answer.score(share, asked);
                lay(&mut best, Top { row: answer.row, score, group: answer.group });
            }
        }
        best
    }
}

impl Answer {
    /// What it is worth with a share of its usual load.
    fn score(&self, share: f64, asked: &Asked) -> u32 {
        let loadable = (1000.0 * share * self.hard + 0.5) as u32;
        // 1000 thousandths times the total of the weights are 100 points.
        let points = u64::from(self.fixed + self.weight * loadable);
        let score = (points * 10 / u64::from(asked.total.max(1))) as u32;
        let above = u64::from(score.saturating_sub(asked.floor)) * u64::from(WHOLE);
        (above / u64::from(WHOLE.saturating_sub(asked.floor).max(1))) as u32
    }
}

/// Share of the usual load that a way reaches; none where kit is missing or the weights are too few.
fn share(way: &Way, state: &State) -> Option<f64> {
    if way.missing & !state.kit != 0 {
        return None;
    }
    let share = reached(way, &state.stores);
    (share >= LEAST_REACH).then_some(share)
}

fn reached(way: &Way, stores: &Stores) -> f64 {
    let Some(borne) = way.borne else { return 1.0 };
    let [dumbbell, kettlebell, sandbag, plates] = stores.0;
    let kg = match borne.store {
        Store::Dumbbells => dumbbell,
        Store::Kettlebells => kettlebell,
        Store::Sandbag => sandbag,
        Store::Plates => plates,
        Store::HandPlate => crate::gym::HAND_PLATE_KG,
    };
    borne.most_kg(Some(kg)).map_or(1.0, |most| borne.share(most))
}

/// Puts an answer among the best, one of each parent, the greatest score first. Equal scores keep
/// their order.
fn lay(best: &mut Best, top: Top) {
    if let Some(same) = best.iter_mut().find(|t| t.score > 0 && t.group == top.group) {
        if same.score < top.score {
            *same = top;
        }
    } else if let Some(last) = best.last_mut()
        && last.score < top.score
    {
        *last = top;
    }
    best.sort_by_key(|t| std::cmp::Reverse(t.score));
}

/// One question with everything there.
fn asked(
    kb: &Kb,
    case: &Case,
    everything: &Inventory,
    gym: &Inventory,
    reachable: KitSet,
    aim: Aim,
    floor: u32,
) -> Asked {
    let question = Question {
        original: case.original,
        sore: &case.sore,
        inventory: everything,
        aim,
        max_spine: None,
        skill: None,
        skip: &[],
        top: 0,
        explain: false,
    };
    let wanted = wanted(kb, &question);
    let possible = everything.floor(kb);
    let choices = Choices::new(kb, &question, |row| possible.does(row));
    let context = Context::new(kb, &question, possible, &choices, &wanted);
    let mut asked = Asked { weight: u64::from(case.weight), total: 1, floor, answers: Vec::new() };
    let Some(scorer) = Scorer::new(kb, &context, &question, &choices) else {
        return asked;
    };
    asked.total = scorer.total;
    let total = asked.total;
    let mut one = |row: usize, parts: (u32, u32, f64)| {
        let Some(r) = kb.table.rows.get(row).filter(|r| gym.is_high_enough(r)) else { return };
        let possible = kb.table.kits_of(row).iter().filter(|a| **a & !reachable == 0);
        let ways: Vec<Way> = possible.map(|a| Way { missing: a & !gym.kit, borne: Borne::by(kb, r, *a) }).collect();
        if ways.is_empty() {
            return;
        }
        let (fixed, weight, hard) = parts;
        let mut answer = Answer { row, group: r.parent, fixed, weight, hard, full: 0, ways };
        answer.full = answer.score(1.0, &asked);
        asked.answers.push(answer);
    };
    for row in context.nearly.iter().filter(|seen| seen.gate().is_none()).map(Nearly::row) {
        one(row, scorer.apart(row));
    }
    if is_unhurt(kb, case) {
        // Points that make up 100 however it is loaded: the person does it already.
        one(case.original, (total * 1000, 0, 0.0));
    }
    asked.answers.sort_by(|a, b| b.full.cmp(&a.full).then_with(|| kb.ids.get(a.row).cmp(&kb.ids.get(b.row))));
    asked
}

/// Whether the soreness hardly touches the exercise itself.
fn is_unhurt(kb: &Kb, case: &Case) -> bool {
    let low_back = kb.region_at("low-back");
    let class = kb.table.rows.get(case.original).map_or(4, |r| r.spine);
    case.sore
        .iter()
        .all(|s| joint_grade(kb, s, case.original) <= LIGHT && (Some(s.region) != low_back || class <= LIGHT))
}

impl Worth for Basket {
    fn of(&self, bought: Set) -> u64 {
        let state = self.state(bought);
        self.asked.iter().map(|q| q.weight * self.value(&self.best(q, &state))).sum()
    }

    fn outlook(&self, bought: Set, open: Set) -> Outlook {
        let (here, all) = (self.state(bought), self.state(bought | open));
        let mut outlook = Outlook { most: vec![0; self.brings.len()], ..Outlook::default() };
        let sellers = |item: usize| bits(self.sellers.get(item).copied().unwrap_or(0) & open);
        let raisers = |store: Store| {
            let at = match store {
                Store::Dumbbells => Some(0),
                Store::Kettlebells => Some(1),
                Store::Sandbag => Some(2),
                Store::Plates => Some(3),
                Store::HandPlate => None,
            };
            bits(at.and_then(|at: usize| self.raisers.get(at)).copied().unwrap_or(0) & open)
        };
        // What each item costs at least: whoever buys an answer buys its dearest item.
        let mut least: Vec<u64> = vec![u64::MAX; self.sellers.len()];
        for brings in bits(open).filter_map(|i| self.brings.get(i)) {
            for item in bits(brings.kit) {
                if let Some(price) = least.get_mut(item) {
                    *price = (*price).min(brings.price);
                }
            }
        }
        let mut on: Vec<(usize, Best, Best)> = Vec::new();
        for asked in &self.asked {
            let now = self.best(asked, &here);
            let value = self.value(&now);
            outlook.worth += asked.weight * value;
            on.clear();
            let mut then = now;
            for answer in &asked.answers {
                if answer.full <= now[ANSWERS - 1].score {
                    break;
                }
                let have = answer.ways.iter().filter_map(|w| share(w, &here)).fold(0.0, f64::max);
                for way in &answer.ways {
                    let Some(reach) = share(way, &all).filter(|reach| *reach > have) else { continue };
                    let top = Top { row: answer.row, score: answer.score(reach, asked), group: answer.group };
                    lay(&mut then, top);
                    let missing = way.missing & !here.kit;
                    let mut credit = |thing: usize, all_of_it: bool| {
                        let at = match on.iter().position(|(i, ..)| *i == thing) {
                            Some(at) => at,
                            None => {
                                on.push((thing, now, now));
                                on.len() - 1
                            }
                        };
                        if let Some((_, part, most)) = on.get_mut(at) {
                            if all_of_it {
                                lay(part, top);
                            }
                            lay(most, top);
                        }
                    };
                    if missing == 0 {
                        // All of the kit is there: only more weight can have made the difference.
                        if let Some(borne) = way.borne {
                            raisers(borne.store).for_each(|thing| credit(thing, true));
                        }
                        continue;
                    }
                    // Whoever buys this answer buys each missing item; the dearest answers for it.
                    let dearest = bits(missing).max_by_key(|item| (least.get(*item), std::cmp::Reverse(*item)));
                    for item in bits(missing) {
                        sellers(item).for_each(|thing| credit(thing, Some(item) == dearest));
                    }
                    if let Some(borne) = way.borne {
                        raisers(borne.store).for_each(|thing| credit(thing, false));
                    }
                }
            }
            let rise = asked.weight * self.value(&then).saturating_sub(value);
            if rise == 0 {
                continue;
            }
            let part = outlook.parts.len();
            outlook.parts.push(rise);
            for (thing, with, most) in &on {
                let over = |best: &Best| asked.weight * self.value(best).saturating_sub(value);
                if over(with) > 0 {
                    outlook.rises.push((part, *thing, over(with)));
                }
                if let Some(slot) = outlook.most.get_mut(*thing) {
                    *slot += over(most);
                }
            }
        }
        outlook
    }
}
