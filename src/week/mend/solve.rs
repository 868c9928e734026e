//! One choice for each item at the least cost within demands, solved exactly.
//!
//! Leans on `good_lp` with its solver in pure Rust. Leaves to others: what items, measures and
//! demands mean ([`super::model`]). All numbers are whole, and an answer is checked against every
//! demand in whole numbers before it is given out, so that no rounding of the solver can pass.

use std::time::Duration;

use good_lp::solvers::microlp::microlp;
use good_lp::{
    Expression, ResolutionError, Solution, SolutionStatus, SolverModel, Variable, WithMipGap, WithTimeLimit,
};

/// What a choice costs and what it adds to which measures.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Choice {
    /// Cost.
    pub cost: i64,
    /// Measures with what is added, each measure once, no amount below 0.
    pub adds: Vec<(usize, i64)>,
}

/// A yes or no that is yes where a measure is above a number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Flag {
    /// The measure.
    pub measure: usize,
    /// The number.
    pub over: i64,
}

/// A part of a demand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part {
    /// So many times a measure.
    Measure(usize, i64),
    /// So many, above 0, where a flag is yes.
    Flag(usize, i64),
}

/// A sum that must not exceed a number.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Demand {
    /// Demands of one group are left out together when a conflict is looked for.
    pub group: usize,
    /// The sum.
    pub parts: Vec<Part>,
    /// The number.
    pub most: i64,
    /// What each one above the number costs; where there is none, there must be none above it.
    pub price: Option<i64>,
}

/// The whole task.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Task {
    /// Items with their choices.
    pub items: Vec<Vec<Choice>>,
    /// How many measures there are.
    pub measures: usize,
    /// Flags.
    pub flags: Vec<Flag>,
    /// Demands.
    pub demands: Vec<Demand>,
}

/// An answer.
#[derive(Debug, Clone, PartialEq)]
pub struct Solved {
    /// The choice of each item.
    pub chosen: Vec<usize>,
    /// Their cost.
    pub cost: i64,
    /// What demands with a price cost besides.
    pub fines: i64,
    /// What both together cannot be below; their sum where it is proven to be the least.
    pub least: i64,
    /// Groups of the demands that are paid for, in order.
    pub paid: Vec<usize>,
}

/// Why there is no answer.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Unsolved {
    /// No choices meet all demands.
    #[error("no choices meet all demands")]
    Impossible,
    /// Time was up before any answer was found.
    #[error("no answer was found within {} s", .0.as_secs_f64())]
    OutOfTime(Duration),
    /// The solver gave up or gave an answer that breaks a demand.
    #[error("the solver failed: {0}")]
    Solver(String),
}

/// Fines up to which an answer is proven to the last unit of its cost.
const FINES: i64 = 10_000_000;

/// What is looked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Aim {
    /// The cheapest choices, prices of demands included.
    Cheapest,
    /// Any choices that meet all demands, those with a price too.
    Any,
    /// Any parts of choices that do: where there are none there are no choices either.
    Parts,
}

impl Task {
    /// The cheapest choices. Only groups for which `active` is true count. The same task gives the
    /// same answer, as long as `limit` is not hit; then it may be any that meets the demands.
    ///
    /// # Errors
    /// [`Unsolved`].
    pub fn solve(&self, active: impl Fn(usize) -> bool, limit: Duration) -> Result<Solved, Unsolved> {
        let left = self.left(active, Aim::Cheapest)?;
        let cheapest: Option<Vec<usize>> = left.open.iter().zip(&self.items).map(|(o, c)| cheapest(o, c)).collect();
        let cheapest = cheapest.ok_or(Unsolved::Impossible)?;
        // What costs least of all needs no solver where it meets the demands.
        if self.excesses(&cheapest, &left.demands).next().is_none() {
            let cost = self.cost(&cheapest);
            return Ok(Solved { chosen: cheapest, cost, fines: 0, least: cost, paid: Vec::new() });
        }
        match self.search(&left, Aim::Cheapest, limit) {
            // Any answer at all is of use where none is worse than another by a price.
            Err(Unsolved::OutOfTime(_)) if left.demands.iter().all(|d| d.price.is_none()) => {
                self.search(&left, Aim::Any, limit)
            }
            found => found,
        }
    }

    /// The task with every demand that is broken whatever is chosen, and has no price, loosened to
    /// what cannot be helped; and the groups of those, in order. A sum of several is loosened only by
    /// what each item adds at least, so that choices may still contradict one another.
    #[must_use]
    pub fn loosened(&self) -> (Self, Vec<usize>) {
        let mut task = self.clone();
        let least_of = |measure: usize| -> i64 {
            let adds = |c: &Choice| c.adds.iter().find(|(m, _)| *m == measure).map_or(0, |(_, amount)| *amount);
            self.items.iter().map(|choices| choices.iter().map(adds).min().unwrap_or(0)).sum()
        };
        let mut groups = Vec::new();
        for demand in task.demands.iter_mut().filter(|d| d.price.is_none()) {
            let part = |part: &Part| match *part {
                Part::Measure(measure, times) => times * least_of(measure),
                Part::Flag(flag, times) => {
                    self.flags.get(flag).map_or(0, |f| if least_of(f.measure) > f.over { times } else { 0 })
                }
            };
            let rising = demand.parts.iter().all(|p| !matches!(p, Part::Measure(_, times) if *times < 0));
            let least: i64 = demand.parts.iter().map(part).sum();
            if rising && least > demand.most {
                demand.most = least;
                groups.push(demand.group);
            }
        }
        groups.sort_unstable();
        groups.dedup();
        (task, groups)
    }

    /// Groups of demands that cannot be met together, though they can when any one of them is left
    /// out. Groups are tried in order, the last ones first to go, so that the first ones stay out
    /// of a conflict where others make one alone. A group of which no answer comes within `limit`
    /// stays.
    ///
    /// # Errors
    /// [`Unsolved`] other than that it is impossible or takes too long.
    pub fn conflict(&self, active: impl Fn(usize) -> bool, limit: Duration) -> Result<Vec<usize>, Unsolved> {
        let mut groups: Vec<usize> = self.demands.iter().map(|d| d.group).filter(|g| active(*g)).collect();
        groups.sort_unstable();
        groups.dedup();
        let mut kept = groups.clone();
        for group in groups {
            let without: Vec<usize> = kept.iter().copied().filter(|g| *g != group).collect();
            let possible =
                self.left(|g| without.contains(&g), Aim::Any).and_then(|left| self.search(&left, Aim::Any, limit));
            match possible {
                Err(Unsolved::Impossible) => kept = without,
                Ok(_) | Err(Unsolved::OutOfTime(_)) => {}
                Err(e) => return Err(e),
            }
        }
        Ok(kept)
    }

    /// As [`Task::conflict`], by parts of choices and hence at once and the same every time; none
    /// where the active groups can be met by parts. `also` is part of it in any case.
    #[must_use]
    pub fn plain_conflict(&self, active: impl Fn(usize) -> bool, also: usize) -> Option<Vec<usize>> {
        let mut kept: Vec<usize> = self.demands.iter().map(|d| d.group).filter(|g| active(*g)).collect();
        kept.sort_unstable();
        kept.dedup();
        if !self.is_plainly_impossible(&kept) {
            return None;
        }
        for group in kept.clone().into_iter().filter(|g| *g != also) {
            let without: Vec<usize> = kept.iter().copied().filter(|g| *g != group).collect();
            if self.is_plainly_impossible(&without) {
                kept = without;
            }
        }
        Some(kept)
    }

    fn is_plainly_impossible(&self, groups: &[usize]) -> bool {
        let left = self.left(|g| groups.contains(&g), Aim::Parts);
        let found = left.and_then(|left| self.search(&left, Aim::Parts, Duration::MAX));
        matches!(found, Err(Unsolved::Impossible))
    }

    /// What is left to decide once the plain consequences are drawn: choices that break a demand
    /// whatever the others are drop out, and with them demands that nothing can break any more.
    fn left(&self, active: impl Fn(usize) -> bool, aim: Aim) -> Result<Left<'_>, Unsolved> {
        let asked: Vec<&Demand> = self.demands.iter().filter(|d| active(d.group)).collect();
        let firm = |demand: &&&Demand| aim != Aim::Cheapest || demand.price.is_none();
        let mut open: Vec<Vec<usize>> = self.items.iter().map(|choices| (0..choices.len()).collect()).collect();
        loop {
            let mut dropped = false;
            for demand in asked.iter().filter(firm) {
                // Flags could only add to it.
                let ends: Vec<(i64, i64)> =
                    open.iter().zip(&self.items).map(|(open, choices)| ends(demand, open, choices)).collect();
                let least: i64 = ends.iter().map(|(least, _)| least).sum();
                if least > demand.most {
                    return Err(Unsolved::Impossible);
                }
                let room = demand.most - least;
                for ((open, choices), (lowest, highest)) in open.iter_mut().zip(&self.items).zip(&ends) {
                    if highest - lowest > room {
                        let before = open.len();
                        open.retain(|at| choices.get(*at).is_some_and(|c| amount(demand, c) - lowest <= room));
                        dropped |= open.len() < before;
                    }
                }
            }
            if !dropped {
                break;
            }
        }
        let greatest = |d: &Demand| -> i64 {
            let flags: i64 = d.parts.iter().map(|p| if let Part::Flag(_, n) = p { *n } else { 0 }).sum();
            open.iter().zip(&self.items).map(|(open, choices)| ends(d, open, choices).1).sum::<i64>() + flags
        };
        let mut demands: Vec<&Demand> = asked.into_iter().filter(|d| greatest(d) > d.most).collect();
        // Of two demands of one sum, the stricter one says all.
        let stricter = |a: &Demand, b: &Demand| {
            a.parts == b.parts && a.most < b.most && (aim != Aim::Cheapest || a.price.is_none())
        };
        let all = demands.clone();
        demands.retain(|d| !all.iter().any(|other| stricter(other, d)));
        demands.dedup_by(|a, b| a.parts == b.parts && a.most == b.most && a.price == b.price);
        let open = open.iter().zip(&self.items).map(|(open, c)| self.worth_it(open, c, &demands)).collect();
        Ok(Left { open, demands })
    }

    fn chosen<'a>(&'a self, chosen: &'a [usize]) -> impl Iterator<Item = &'a Choice> {
        self.items.iter().zip(chosen).filter_map(|(choices, at)| choices.get(*at))
    }

    fn cost(&self, chosen: &[usize]) -> i64 {
        self.chosen(chosen).map(|c| c.cost).sum()
    }

    /// Demands that choices break, each with how far.
    fn excesses<'a>(&self, chosen: &[usize], demands: &'a [&'a Demand]) -> impl Iterator<Item = (&'a Demand, i64)> {
        let mut sums = vec![0; self.measures];
        for (measure, amount) in self.chosen(chosen).flat_map(|c| &c.adds) {
            if let Some(sum) = sums.get_mut(*measure) {
                *sum += amount;
            }
        }
        let flags = &self.flags;
        demands.iter().filter_map(move |demand| {
            let sum = |measure: usize| sums.get(measure).copied().unwrap_or(0);
            let part = |part: &Part| match *part {
                Part::Measure(measure, times) => times * sum(measure),
                Part::Flag(flag, times) => {
                    flags.get(flag).map_or(0, |f| if sum(f.measure) > f.over { times } else { 0 })
                }
            };
            let excess = demand.parts.iter().map(part).sum::<i64>() - demand.most;
            (excess > 0).then_some((*demand, excess))
        })
    }

    fn search(&self, left: &Left<'_>, aim: Aim, limit: Duration) -> Result<Solved, Unsolved> {
        let mut all = good_lp::variables!();
        let (offered, demands) = (&left.open, &left.demands);
        let yes_or_no = || match aim {
            Aim::Parts => good_lp::variable().clamp(0, 1),
            Aim::Cheapest | Aim::Any => good_lp::variable().binary(),
        };
        let picks: Vec<Vec<Variable>> =
            offered.iter().map(|choices| choices.iter().map(|_| all.add(yes_or_no())).collect()).collect();
        let used =
            |flag: usize| demands.iter().any(|d| d.parts.iter().any(|p| matches!(p, Part::Flag(f, _) if *f == flag)));
        let flags: Vec<Option<Variable>> = (0..self.flags.len())
            .map(|flag| {
                let over = self.flags.get(flag)?.over;
                // Where any choice at all makes it yes, choices that are whole make it whole.
                let kind = if over == 0 { good_lp::variable().clamp(0, 1) } else { yes_or_no() };
                used(flag).then(|| all.add(kind))
            })
            .collect();
        let open = |item: usize| {
            let choices = self.items.get(item).map(Vec::as_slice).unwrap_or_default();
            let picks = picks.get(item).map(Vec::as_slice).unwrap_or_default();
            let at = offered.get(item).map(Vec::as_slice).unwrap_or_default();
            at.iter().filter_map(|at| choices.get(*at)).zip(picks.iter().copied())
        };
        let every = || (0..self.items.len()).flat_map(open);
        let times = |measure: usize| {
            every().filter_map(move |(choice, pick)| {
                choice.adds.iter().find(|(m, a)| *m == measure && *a != 0).map(|(_, amount)| (pick, *amount))
            })
        };

        let prices: Vec<Option<(Variable, i64)>> = demands
            .iter()
            .map(|d| d.price.filter(|_| aim == Aim::Cheapest))
            .map(|price| price.map(|price| (all.add(good_lp::variable().min(0)), price)))
            .collect();
        // Whatever is looked for has a cost: without one every step of the solver is a tie.
        let mut objective = every().map(|(choice, pick)| pick * (choice.cost as f64)).sum::<Expression>();
        objective += prices.iter().flatten().map(|(above, price)| *above * (*price as f64)).sum::<Expression>();
        let mut model = all.minimise(objective).using(microlp);
        for picks in &picks {
            let sum: Expression = picks.iter().sum();
            model.add_constraint(sum.eq(1));
        }
        for (flag, variable) in self.flags.iter().zip(&flags) {
            let Some(variable) = *variable else { continue };
            // Item by item, which bounds the flag far better than one sum over all.
            for item in 0..self.items.len() {
                let enough = |choice: &Choice| choice.adds.iter().any(|(m, a)| *m == flag.measure && *a > flag.over);
                let sum: Expression = open(item).filter(|(c, _)| enough(c)).map(|(_, pick)| pick).sum();
                if sum != Expression::from(0) {
                    model.add_constraint(sum.leq(variable));
                }
            }
            if flag.over > 0 {
                let alone = demands.iter().filter_map(|d| match d.parts.as_slice() {
                    [Part::Measure(m, 1)] if *m == flag.measure => Some(d.most),
                    _ => None,
                });
                let amounts = |item: usize| {
                    let adds = |c: &Choice| c.adds.iter().find(|(m, _)| *m == flag.measure).map_or(0, |(_, a)| *a);
                    open(item).map(|(c, _)| adds(c)).max().unwrap_or(0)
                };
                let reach: i64 = (0..self.items.len()).map(amounts).sum();
                let most = alone.chain([reach]).min().unwrap_or(0);
                let sum: Expression = times(flag.measure).map(|(pick, a)| pick * (a as f64)).sum();
                let room = (most - flag.over).max(0) as f64;
                model.add_constraint(sum.leq(flag.over as f64 + variable * room));
            }
        }
        for (demand, price) in demands.iter().zip(&prices) {
            let mut sum = Expression::from(0);
            for part in &demand.parts {
                match *part {
                    Part::Measure(measure, factor) => {
                        sum += times(measure).map(|(pick, a)| pick * ((a * factor) as f64)).sum::<Expression>();
                    }
                    Part::Flag(flag, factor) => {
                        if let Some(variable) = flags.get(flag).copied().flatten() {
                            sum += variable * (factor as f64);
                        }
                    }
                }
            }
            if let Some((above, _)) = price {
                sum -= *above;
            }
            model.add_constraint(sum.leq(demand.most as f64));
        }

        // Costs are whole, so that a bound less than one below an answer proves it.
        let dearest: i64 = self.items.iter().filter_map(|choices| choices.iter().map(|c| c.cost).max()).sum();
        let dearest = dearest + if prices.iter().any(Option::is_some) { FINES } else { 0 };
        let gap = if aim == Aim::Cheapest { (0.9 / dearest.max(1) as f64) as f32 } else { 1.0 };
        let model = if limit == Duration::MAX { model } else { model.with_time_limit(limit.as_secs_f64()) };
        let model = model.with_mip_gap(gap).map_err(|e| Unsolved::Solver(e.to_string()))?;
        let solution = model.solve().map_err(|e| match e {
            ResolutionError::Infeasible => Unsolved::Impossible,
            ResolutionError::Other(_) => Unsolved::OutOfTime(limit),
            e => Unsolved::Solver(e.to_string()),
        })?;
        if aim == Aim::Parts {
            return Ok(Solved { chosen: Vec::new(), cost: 0, fines: 0, least: 0, paid: Vec::new() });
        }
        let chosen: Option<Vec<usize>> = picks
            .iter()
            .zip(offered)
            .map(|(picks, at)| {
                let picked = picks.iter().position(|pick| solution.value(*pick) > 0.5)?;
                at.get(picked).copied()
            })
            .collect();
        let optimal = aim == Aim::Cheapest && matches!(solution.status(), SolutionStatus::Optimal);
        let bound = solution.into_inner().stats().best_bound;
        let chosen = chosen.ok_or_else(|| Unsolved::Solver("an item has no choice".to_string()))?;
        let (mut fines, mut paid) = (0, Vec::new());
        for (demand, excess) in self.excesses(&chosen, demands) {
            let Some(price) = demand.price.filter(|_| aim == Aim::Cheapest) else {
                return Err(Unsolved::Solver("the answer breaks a demand".to_string()));
            };
            fines += price * excess;
            paid.push(demand.group);
        }
        paid.sort_unstable();
        paid.dedup();
        let cost = self.cost(&chosen);
        let bound = bound.filter(|_| aim == Aim::Cheapest).map_or(0, |b| (b - 1e-6).ceil() as i64);
        let least = if optimal { cost + fines } else { bound.min(cost + fines) };
        Ok(Solved { chosen, cost, fines, least, paid })
    }

    /// Choices of one item that can be part of a best answer: of two, the one that costs no less
    /// and is no better for any demand is left out, the later one where they are alike.
    fn worth_it(&self, open: &[usize], choices: &[Choice], demands: &[&Demand]) -> Vec<usize> {
        // Less is better, more is better: of each measure, where it matters.
        let mut wants = vec![(false, false); self.measures];
        for part in demands.iter().flat_map(|d| &d.parts) {
            let (measure, less) = match *part {
                Part::Measure(measure, times) => (measure, times > 0),
                Part::Flag(flag, _) => match self.flags.get(flag) {
                    Some(flag) => (flag.measure, true),
                    None => continue,
                },
            };
            if let Some(want) = wants.get_mut(measure) {
                if less { want.0 = true } else { want.1 = true }
            }
        }
        let dense = |choice: &Choice| {
            let mut amounts = vec![0_i64; self.measures];
            for (measure, amount) in &choice.adds {
                if let Some(sum) = amounts.get_mut(*measure) {
                    *sum += amount;
                }
            }
            amounts
        };
        let all: Vec<(usize, i64, Vec<i64>)> =
            open.iter().filter_map(|at| choices.get(*at).map(|c| (*at, c.cost, dense(c)))).collect();
        let no_worse = |a: &[i64], b: &[i64]| {
            a.iter().zip(b).zip(&wants).all(|((a, b), (less, more))| (!less || a <= b) && (!more || a >= b))
        };
        let beaten = |at: usize, cost: i64, amounts: &[i64]| {
            all.iter().any(|(other, theirs, amount)| (*theirs, *other) < (cost, at) && no_worse(amount, amounts))
        };
        all.iter().filter(|(at, cost, amounts)| !beaten(*at, *cost, amounts)).map(|(at, _, _)| *at).collect()
    }
}

/// What is left of a task once the plain consequences are drawn.
struct Left<'t> {
    /// The open choices of each item.
    open: Vec<Vec<usize>>,
    /// The demands that could still be broken.
    demands: Vec<&'t Demand>,
}

/// What a choice adds to the sum of a demand by its measures.
fn amount(demand: &Demand, choice: &Choice) -> i64 {
    let part = |part: &Part| match *part {
        Part::Measure(measure, times) => {
            choice.adds.iter().find(|(m, _)| *m == measure).map_or(0, |(_, amount)| times * amount)
        }
        Part::Flag(..) => 0,
    };
    demand.parts.iter().map(part).sum()
}

/// The least and the greatest that the open choices of an item add to the sum of a demand.
fn ends(demand: &Demand, open: &[usize], choices: &[Choice]) -> (i64, i64) {
    let amounts = open.iter().filter_map(|at| choices.get(*at)).map(|c| amount(demand, c));
    (amounts.clone().min().unwrap_or(0), amounts.max().unwrap_or(0))
}

/// The cheapest open choice, the first of several.
fn cheapest(open: &[usize], choices: &[Choice]) -> Option<usize> {
    open.iter().copied().min_by_key(|at| choices.get(*at).map(|c| c.cost))
}
