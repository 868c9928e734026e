//! What to buy: the set of things that is worth most within money and floor, found exactly.
//!
//! Leans on nothing of the base: things are bits, kit is bits, and the worth of a set is a function
//! that is handed in. Leaves to others: what a set is worth ([`crate::rank::basket`]), and what fits
//! the ceiling, which is asked of each thing alone before it is offered.
//!
//! Branch and bound. A set counts as advice when all that it needs is there and each thing in it
//! adds at least so much to the worth of the others: neither depends on the budget, so that more
//! money never finds less. The bound treats worth as parts, each of which can rise by so much in all
//! and by so much on account of each thing; the linear relaxation of that under the money, or under
//! the floor, is bounded from above by any choice of multipliers, and a few rounds improve them.

/// Bits of things, or of kit.
pub type Set = u128;

/// Most things that a catalogue offers.
pub const MOST: usize = Set::BITS as usize;

/// A thing on offer.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Thing {
    /// Price, in the smallest unit of money.
    pub price: u64,
    /// Floor that it takes when put away, cm².
    pub stored: u64,
    /// Kit that it is, with all that this provides.
    pub gives: Set,
    /// Kit that it needs: alternatives, each of which must be there whole; none for nothing.
    pub needs: Vec<Set>,
}

/// What may be spent.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Room {
    /// Money, in the unit of the prices.
    pub money: u64,
    /// Floor, cm².
    pub stored: u64,
}

/// The question.
#[derive(Debug, Clone, Copy)]
pub struct Offer<'a> {
    /// Things by position.
    pub things: &'a [Thing],
    /// Which of them are on offer.
    pub open: Set,
    /// Kit that is there already.
    pub owned: Set,
    /// What may be spent.
    pub room: Room,
    /// What each thing must add to the worth of the others.
    pub least: u64,
    /// Sets looked at before the search stops without a proof.
    pub most_nodes: u64,
}

/// How far the worth of a set can still rise.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Outlook {
    /// Worth of the set itself.
    pub worth: u64,
    /// Parts: how much each can rise in all, whatever is bought.
    pub parts: Vec<u64>,
    /// How much a part can rise on account of a thing: part, thing, rise. Whatever is bought, a part
    /// rises by no more than the sum over what is bought.
    pub rises: Vec<(usize, usize, u64)>,
    /// What a thing adds at most to any larger set, by position of the thing.
    pub most: Vec<u64>,
}

/// What a set of things is worth. It never falls when a thing is added.
pub trait Worth {
    /// Worth of what is there with `bought`.
    fn of(&self, bought: Set) -> u64;

    /// How far it can rise with things of `open`. Without further knowledge: each thing may be what
    /// all of the rise hangs on.
    fn outlook(&self, bought: Set, open: Set) -> Outlook {
        let worth = self.of(bought);
        let rise = self.of(bought | open).saturating_sub(worth);
        let things = bits(open);
        Outlook {
            worth,
            parts: vec![rise],
            rises: things.map(|thing| (0, thing, rise)).collect(),
            most: vec![rise; MOST],
        }
    }
}

/// The best set found.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Found {
    /// Things.
    pub set: Set,
    /// Worth of what is there with them.
    pub worth: u64,
    /// Price in all.
    pub price: u64,
    /// Floor in all, cm².
    pub stored: u64,
    /// Sets looked at.
    pub nodes: u64,
    /// Whether no better set is left.
    pub proven: bool,
}

/// Positions of the bits of a set, rising.
pub fn bits(set: Set) -> impl Iterator<Item = usize> {
    let mut left = set;
    std::iter::from_fn(move || {
        (left != 0).then(|| {
            let at = left.trailing_zeros() as usize;
            left &= left - 1;
            at
        })
    })
}

impl Offer<'_> {
    /// Kit that is there with `bought`.
    #[must_use]
    pub fn kit(&self, bought: Set) -> Set {
        bits(bought).filter_map(|i| self.things.get(i)).fold(self.owned, |kit, thing| kit | thing.gives)
    }

    /// Whether everything in `bought` has what it needs.
    #[must_use]
    pub fn stands(&self, bought: Set) -> bool {
        let kit = self.kit(bought);
        bits(bought)
            .filter_map(|i| self.things.get(i))
            .all(|thing| thing.needs.is_empty() || thing.needs.iter().any(|need| need & !kit == 0))
    }

    /// Price and floor of `bought`.
    #[must_use]
    pub fn takes(&self, bought: Set) -> Room {
        let things = || bits(bought).filter_map(|i| self.things.get(i));
        Room { money: things().map(|t| t.price).sum(), stored: things().map(|t| t.stored).sum() }
    }

    /// Whether `bought`, worth `worth`, is advice: it stands, and each thing adds enough to the rest.
    #[must_use]
    pub fn is_advice(&self, bought: Set, worth: u64, of: &impl Worth) -> bool {
        self.stands(bought) && bits(bought).all(|i| of.of(bought & !(1 << i)).saturating_add(self.least) <= worth)
    }
}

/// The set that is worth most; of those that are worth the same, the one that costs least, then the
/// one that takes least floor, then the one with the earliest things.
///
/// `known` is a set that may be good, such as the best for less money.
#[must_use]
pub fn best(offer: &Offer<'_>, worth: &impl Worth, known: Set) -> Found {
    let nothing = Found { set: 0, worth: worth.of(0), price: 0, stored: 0, nodes: 0, proven: true };
    let mut search = Search { offer, worth, best: nothing, nodes: 0 };
    let takes = offer.takes(known);
    if takes.money <= offer.room.money && takes.stored <= offer.room.stored && known & !offer.open == 0 {
        search.consider(known, worth.of(known));
    }
    search.greedy();
    let proven = search.visit(0, offer.open, true);
    Found { nodes: search.nodes, proven, ..search.best }
}

/// Order of answers: more worth, then less money, less floor, earlier things.
#[must_use]
pub fn is_better(a: &Found, b: &Found) -> bool {
    let order = b.worth.cmp(&a.worth).then(a.price.cmp(&b.price)).then(a.stored.cmp(&b.stored)).then(a.set.cmp(&b.set));
    order.is_lt()
}

struct Search<'a, W> {
    offer: &'a Offer<'a>,
    worth: &'a W,
    best: Found,
    nodes: u64,
}

/// Rounds in which the multipliers of a bound are improved.
const ROUNDS: usize = 12;

impl<W: Worth> Search<'_, W> {
    /// Takes a set as the best so far where it is better and is advice.
    fn consider(&mut self, set: Set, worth: u64) {
        let Room { money, stored } = self.offer.takes(set);
        let found = Found { set, worth, price: money, stored, nodes: 0, proven: false };
        if is_better(&found, &self.best) && self.offer.is_advice(set, worth, self.worth) {
            self.best = found;
        }
    }

    /// Things that still fit one by one.
    fn fitting(&self, bought: Set, open: Set) -> Set {
        let Room { money, stored } = self.offer.takes(bought);
        let left = Room {
            money: self.offer.room.money.saturating_sub(money),
            stored: self.offer.room.stored.saturating_sub(stored),
        };
        let fits = |i: &usize| {
            let thing = self.offer.things.get(*i);
            thing.is_some_and(|t| t.price <= left.money && t.stored <= left.stored)
        };
        bits(open & !bought).filter(fits).fold(0, |set, i| set | 1 << i)
    }

    /// A good set to begin with: the thing that adds most for its money, again and again, and what
    /// no longer adds enough taken out again.
    fn greedy(&mut self) {
        let mut bought = 0;
        loop {
            let open = self.fitting(bought, self.offer.open);
            let outlook = self.worth.outlook(bought, open);
            let rate = |i: &usize| {
                let gain = self.worth.of(bought | 1 << i).saturating_sub(outlook.worth);
                let price = self.offer.things.get(*i).map_or(1, |t| t.price.max(1));
                (gain >= self.offer.least.max(1)).then(|| gain as f64 / price as f64)
            };
            let next = bits(open)
                .filter_map(|i| Some((i, rate(&i)?)))
                .filter(|(i, _)| self.offer.stands(bought | 1 << i))
                .max_by(|a, b| a.1.total_cmp(&b.1).then(b.0.cmp(&a.0)));
            let Some((i, _)) = next else { break };
            bought |= 1 << i;
            // What a later thing has made idle goes.
            let worth = self.worth.of(bought);
            let idle = bits(bought).find(|i| {
                self.worth.of(bought & !(1 << i)).saturating_add(self.offer.least) > worth
                    && self.offer.stands(bought & !(1 << i))
            });
            if let Some(idle) = idle {
                bought &= !(1 << idle);
            }
            let worth = self.worth.of(bought);
            self.consider(bought, worth);
            if idle == Some(i) {
                break;
            }
            self.nodes += 1;
            if self.nodes > MOST as u64 {
                break;
            }
        }
    }

    /// Looks at `bought` and all that `open` can add to it; false where the search had to stop.
    fn visit(&mut self, bought: Set, open: Set, fresh: bool) -> bool {
        let (mut open, mut fresh) = (open, fresh);
        loop {
            self.nodes += 1;
            if self.nodes > self.offer.most_nodes {
                return false;
            }
            open = self.fitting(bought, open);
            let mut outlook = self.worth.outlook(bought, open);
            if fresh {
                self.consider(bought, outlook.worth);
                fresh = false;
            }
            // A thing that can never add enough to a larger set is in no advice.
            loop {
                let idle = |i: &usize| outlook.most.get(*i).is_none_or(|most| *most < self.offer.least);
                let without = bits(open).filter(|i| !idle(i)).fold(0, |set, i| set | 1 << i);
                if without == open {
                    break;
                }
                open = without;
                outlook = self.worth.outlook(bought, open);
            }
            if open == 0 {
                return true;
            }
            let Some(next) = self.branch(bought, open, &outlook) else { return true };
            if !self.visit(bought | 1 << next, open & !(1 << next), true) {
                return false;
            }
            open &= !(1 << next);
        }
    }

    /// The thing to decide on next; none where nothing better can be below this set.
    fn branch(&self, bought: Set, open: Set, outlook: &Outlook) -> Option<usize> {
        let taken = self.offer.takes(bought);
        let room = self.offer.room;
        let (money, stored) = (room.money.saturating_sub(taken.money), room.stored.saturating_sub(taken.stored));
        let things: Vec<usize> = bits(open).collect();
        let place = |thing: usize| things.binary_search(&thing).ok();
        let cost = |of: fn(&Thing) -> u64| -> Vec<f64> {
            things.iter().map(|i| self.offer.things.get(*i).map_or(0.0, |t| of(t) as f64)).collect()
        };
        let (prices, floors) = (cost(|t| t.price), cost(|t| t.stored));
        let rises: Vec<(usize, usize, f64)> =
            outlook.rises.iter().filter_map(|(p, i, rise)| Some((*p, place(*i)?, *rise as f64))).collect();
        // A set that is worth as much must cost less to be better.
        let target =
            self.best.worth.saturating_sub(outlook.worth) as f64 + f64::from(u8::from(taken.money >= self.best.price));
        let mut weight = vec![1.0; outlook.parts.len()];
        let mut load = vec![0.0; outlook.parts.len()];
        let mut first: Option<Vec<f64>> = None;
        for _ in 0..ROUNDS {
            let mut gains = vec![0.0; things.len()];
            for (part, thing, rise) in &rises {
                if let (Some(gain), Some(weight)) = (gains.get_mut(*thing), weight.get(*part)) {
                    *gain += rise * weight;
                }
            }
            let base: f64 = outlook.parts.iter().zip(&weight).map(|(part, w)| (1.0 - w) * *part as f64).sum();
            let (by_money, chosen) = filled(&gains, &prices, money as f64);
            let (by_floor, _) = filled(&gains, &floors, stored as f64);
            // A hair for the rounding of the sums.
            let bound = (base + by_money.min(by_floor)) * (1.0 + 1e-9) + 1e-6;
            if bound < target {
                return None;
            }
            load.fill(0.0);
            for (part, thing, rise) in &rises {
                if let (Some(load), Some(share)) = (load.get_mut(*part), chosen.get(*thing)) {
                    *load += rise * share;
                }
            }
            first = Some(chosen);
            for ((weight, load), part) in weight.iter_mut().zip(&load).zip(&outlook.parts) {
                let by = if *load > 0.0 { (*part as f64 / load).sqrt() } else { 2.0 };
                *weight = (*weight * by).clamp(0.0, 1.0);
            }
        }
        // The thing that the relaxation wants most of all.
        let chosen = first.unwrap_or_default();
        let mut gains = vec![0.0; things.len()];
        for (part, thing, rise) in &rises {
            if let (Some(gain), Some(weight)) = (gains.get_mut(*thing), weight.get(*part)) {
                *gain += rise * weight;
            }
        }
        let wanted = |at: usize| chosen.get(at).copied().unwrap_or(0.0) * gains.get(at).copied().unwrap_or(0.0);
        (0..things.len())
            .max_by(|a, b| wanted(*a).total_cmp(&wanted(*b)).then(b.cmp(a)))
            .and_then(|at| things.get(at).copied())
    }
}

/// The most that gains add up to within `room` when things may be taken in parts, and how much of
/// each is taken then.
fn filled(gains: &[f64], costs: &[f64], room: f64) -> (f64, Vec<f64>) {
    let mut order: Vec<usize> = (0..gains.len()).collect();
    let rate = |i: usize| {
        let (gain, cost) = (gains.get(i).copied().unwrap_or(0.0), costs.get(i).copied().unwrap_or(0.0));
        if cost > 0.0 { gain / cost } else { f64::INFINITY }
    };
    order.sort_by(|a, b| rate(*b).total_cmp(&rate(*a)).then(a.cmp(b)));
    let (mut left, mut sum) = (room, 0.0);
    let mut taken = vec![0.0; gains.len()];
    for i in order {
        let (gain, cost) = (gains.get(i).copied().unwrap_or(0.0), costs.get(i).copied().unwrap_or(0.0));
        let share = if cost <= left { 1.0 } else { left / cost };
        sum += gain * share;
        left -= cost * share;
        if let Some(slot) = taken.get_mut(i) {
            *slot = share;
        }
        if left <= 0.0 && cost > 0.0 {
            break;
        }
    }
    (sum, taken)
}
