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
    /// What the cost cannot be below; the cost itself where it is proven to be the least.
    pub least: i64,
}

impl Solved {
    /// Whether nothing cheaper can be.
    #[must_use]
    pub const fn proven(&self) -> bool {
        self.least >= self.cost
    }
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

impl Task {
    /// The cheapest choices. Only groups for which `active` is true count. The same task gives the
    /// same answer, as long as `limit` is not hit.
    ///
    /// # Errors
    /// [`Unsolved`].
    pub fn solve(&self, active: impl Fn(usize) -> bool, limit: Duration) -> Result<Solved, Unsolved> {
        let demands: Vec<&Demand> =
            self.demands.iter().filter(|d| active(d.group) && self.greatest(d) > d.most).collect();
        let cheapest: Option<Vec<usize>> = self.items.iter().map(|choices| cheapest(choices)).collect();
        let cheapest = cheapest.ok_or(Unsolved::Impossible)?;
        // What costs least of all needs no solver where it meets the demands.
        if self.meets(&cheapest, demands.iter().copied()) {
            let cost = self.cost(&cheapest);
            return Ok(Solved { chosen: cheapest, cost, least: cost });
        }
        self.search(&demands, limit)
    }

    /// Groups of demands that cannot be met together, though they can when any one of them is left
    /// out. Groups are tried in order, the last ones first to go, so that the first ones stay out
    /// of a conflict where others make one alone.
    ///
    /// # Errors
    /// [`Unsolved`] other than that it is impossible.
    pub fn conflict(&self, active: impl Fn(usize) -> bool, limit: Duration) -> Result<Vec<usize>, Unsolved> {
        let mut groups: Vec<usize> = self.demands.iter().map(|d| d.group).filter(|g| active(*g)).collect();
        groups.sort_unstable();
        groups.dedup();
        let mut kept = groups.clone();
        for group in groups {
            let without: Vec<usize> = kept.iter().copied().filter(|g| *g != group).collect();
            match self.solve(|g| without.contains(&g), limit) {
                Err(Unsolved::Impossible) => kept = without,
                Ok(_) => {}
                Err(e) => return Err(e),
            }
        }
        Ok(kept)
    }

    /// What a measure adds up to.
    #[must_use]
    pub fn measured(&self, chosen: &[usize], measure: usize) -> i64 {
        let amount = |choice: &Choice| choice.adds.iter().filter(|(m, _)| *m == measure).map(|(_, a)| a).sum::<i64>();
        self.chosen(chosen).map(amount).sum()
    }

    fn chosen<'a>(&'a self, chosen: &'a [usize]) -> impl Iterator<Item = &'a Choice> {
        self.items.iter().zip(chosen).filter_map(|(choices, at)| choices.get(*at))
    }

    fn cost(&self, chosen: &[usize]) -> i64 {
        self.chosen(chosen).map(|c| c.cost).sum()
    }

    fn meets<'a>(&self, chosen: &[usize], mut demands: impl Iterator<Item = &'a Demand>) -> bool {
        let mut sums = vec![0; self.measures];
        for (measure, amount) in self.chosen(chosen).flat_map(|c| &c.adds) {
            if let Some(sum) = sums.get_mut(*measure) {
                *sum += amount;
            }
        }
        let sum = |measure: usize| sums.get(measure).copied().unwrap_or(0);
        let part = |part: &Part| match *part {
            Part::Measure(measure, times) => times * sum(measure),
            Part::Flag(flag, times) => {
                self.flags.get(flag).map_or(0, |f| if sum(f.measure) > f.over { times } else { 0 })
            }
        };
        demands.all(|d| d.parts.iter().map(part).sum::<i64>() <= d.most)
    }

    /// The least and the greatest that a measure can be.
    fn reach(&self, measure: usize) -> (i64, i64) {
        let amount = |choice: &Choice| choice.adds.iter().find(|(m, _)| *m == measure).map_or(0, |(_, a)| *a);
        self.items.iter().fold((0, 0), |(least, most), choices| {
            let amounts = choices.iter().map(amount);
            (least + amounts.clone().min().unwrap_or(0), most + amounts.max().unwrap_or(0))
        })
    }

    /// A number that the sum of a demand cannot exceed.
    fn greatest(&self, demand: &Demand) -> i64 {
        let part = |part: &Part| match *part {
            Part::Measure(measure, times) => {
                let (least, most) = self.reach(measure);
                times * if times > 0 { most } else { least }
            }
            Part::Flag(_, times) => times.max(0),
        };
        demand.parts.iter().map(part).sum()
    }

    fn search(&self, demands: &[&Demand], limit: Duration) -> Result<Solved, Unsolved> {
        let mut all = good_lp::variables!();
        let offered: Vec<Vec<usize>> = self.items.iter().map(|choices| self.worth_it(choices, demands)).collect();
        let picks: Vec<Vec<Variable>> = offered
            .iter()
            .map(|choices| choices.iter().map(|_| all.add(good_lp::variable().binary())).collect())
            .collect();
        let used =
            |flag: usize| demands.iter().any(|d| d.parts.iter().any(|p| matches!(p, Part::Flag(f, _) if *f == flag)));
        let flags: Vec<Option<Variable>> = (0..self.flags.len())
            .map(|flag| {
                let over = self.flags.get(flag)?.over;
                // Where any choice at all makes it yes, choices that are whole make it whole.
                let kind = if over == 0 { good_lp::variable().clamp(0, 1) } else { good_lp::variable().binary() };
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

        let objective: Expression = every().map(|(choice, pick)| pick * (choice.cost as f64)).sum();
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
                let most = alone.chain([self.reach(flag.measure).1]).min().unwrap_or(0);
                let sum: Expression = times(flag.measure).map(|(pick, a)| pick * (a as f64)).sum();
                let room = (most - flag.over).max(0) as f64;
                model.add_constraint(sum.leq(flag.over as f64 + variable * room));
            }
        }
        for demand in demands {
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
            model.add_constraint(sum.leq(demand.most as f64));
        }

        // Costs are whole, so that a bound less than one below an answer proves it.
        let most: i64 = self.items.iter().filter_map(|choices| choices.iter().map(|c| c.cost).max()).sum();
        let gap = (0.9 / most.max(1) as f64) as f32;
        let model = model.with_time_limit(limit.as_secs_f64());
        let model = model.with_mip_gap(gap).map_err(|e| Unsolved::Solver(e.to_string()))?;
        let solution = model.solve().map_err(|e| match e {
            ResolutionError::Infeasible => Unsolved::Impossible,
            ResolutionError::Other(_) => Unsolved::OutOfTime(limit),
            e => Unsolved::Solver(e.to_string()),
        })?;
        let chosen: Option<Vec<usize>> = picks
            .iter()
            .zip(&offered)
            .map(|(picks, at)| {
                let picked = picks.iter().position(|pick| solution.value(*pick) > 0.5)?;
                at.get(picked).copied()
            })
            .collect();
        let optimal = matches!(solution.status(), SolutionStatus::Optimal);
        let bound = solution.into_inner().stats().best_bound;
        let chosen = chosen.ok_or_else(|| Unsolved::Solver("an item has no choice".to_string()))?;
        if !self.meets(&chosen, demands.iter().copied()) {
            return Err(Unsolved::Solver("the answer breaks a demand".to_string()));
        }
        let cost = self.cost(&chosen);
        let least = if optimal { cost } else { bound.map_or(0, |b| ((b - 1e-6).ceil() as i64).min(cost)) };
        Ok(Solved { chosen, cost, least })
    }

    /// Choices of one item that can be part of a best answer: of two, the one that costs no less
    /// and is no better for any demand is left out, the later one where they are alike.
    fn worth_it(&self, choices: &[Choice], demands: &[&Demand]) -> Vec<usize> {
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
        let amounts: Vec<Vec<i64>> = choices.iter().map(dense).collect();
        let no_worse = |a: &[i64], b: &[i64]| {
            a.iter().zip(b).zip(&wants).all(|((a, b), (less, more))| (!less || a <= b) && (!more || a >= b))
        };
        let mut out: Vec<usize> = (0..choices.len()).collect();
        out.retain(|at| {
            let (Some(mine), Some(amount)) = (choices.get(*at), amounts.get(*at)) else { return false };
            !choices.iter().zip(&amounts).enumerate().any(|(other, (theirs, theirs_amount))| {
                let better = theirs.cost < mine.cost || (theirs.cost == mine.cost && other < *at);
                // Alike in all but order, only the earlier counts as better; else it is a strict order.
                other != *at && better && no_worse(theirs_amount, amount)
            })
        });
        out
    }
}

fn cheapest(choices: &[Choice]) -> Option<usize> {
    (0..choices.len()).min_by_key(|at| choices.get(*at).map(|c| c.cost))
}
