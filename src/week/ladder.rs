//! Rungs from what spares a sore region back to the lift itself.
//!
//! Leans on the ranking for what may stand in ([`crate::rank`]) and on carry-over for how much of the
//! lift it is. Leaves to others: loads, cautions and words ([`crate::ask::ladder`]).
//!
//! The first rung is a substitute that passes every gate with the soreness as it is and loads the
//! region least; then come closer ones, none of which lowers a sore region's grade again, or the
//! spine class where the low back is sore; then the lift itself by shares of its old best (practice
//! table 3.4).

use crate::gym::Inventory;
use crate::kb::Kb;
use crate::kb::raw::Aim;
use crate::load::carryover::{Graph, Ratio};
use crate::rank::gates::joint_grade;
use crate::rank::light::Light;
use crate::rank::{self, Question, Sore};

/// What a rung is for; practice table 3.4, rungs 2 to 7.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Stage {
    /// The substitute that loads the region least.
    Least,
    /// A closer substitute.
    Closer,
    /// The lift itself, slow or over a short range.
    Slow,
    /// The lift itself over its whole range.
    Whole,
    /// The lift itself at its own pace.
    Heavier,
    /// The programme as it was.
    Programme,
}

/// What is done on a rung and what it takes to leave it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Terms {
    /// Sets, least and most.
    pub sets: (u8, u8),
    /// Repetitions, least and most.
    pub reps: (u8, u8),
    /// Repetitions in reserve.
    pub reserve: f64,
    /// Share of the lift's old best, least and most, where the lift itself is done.
    pub share: Option<(f64, f64)>,
    /// Fewest sessions before going up.
    pub sessions: u8,
    /// Most pain of 10 in a session for going up.
    pub most_pain: u8,
    /// What else there must be.
    pub up: &'static str,
}

impl Stage {
    /// The terms of a rung, practice table 3.4 with the bands of table 3.2.
    #[must_use]
    pub const fn terms(self) -> Terms {
        match self {
            Self::Least => Terms {
                sets: (2, 3),
                reps: (12, 15),
                reserve: 4.0,
                share: None,
                sessions: 2,
                most_pain: 3,
                up: "back to where it was by next morning",
            },
            Self::Closer => Terms {
                sets: (3, 3),
                reps: (8, 12),
                reserve: 3.0,
                share: None,
                sessions: 2,
                most_pain: 3,
                up: "back to where it was by next morning",
            },
            Self::Slow => Terms {
                sets: (3, 3),
                reps: (8, 10),
                reserve: 4.0,
                share: Some((0.50, 0.60)),
                sessions: 2,
                most_pain: 2,
                up: "the whole range reached in both",
            },
            Self::Whole => Terms {
                sets: (3, 3),
                reps: (6, 8),
                reserve: 3.0,
                share: Some((0.60, 0.70)),
                sessions: 3,
                most_pain: 2,
                up: "no worse next morning",
            },
            Self::Heavier => Terms {
                sets: (3, 4),
                reps: (5, 8),
                reserve: 2.0,
                share: Some((0.70, 0.80)),
                sessions: 4,
                most_pain: 2,
                up: "two weeks without a flare",
            },
            Self::Programme => Terms {
                sets: (3, 5),
                reps: (3, 8),
                reserve: 2.0,
                share: Some((0.80, 1.0)),
                sessions: 0,
                most_pain: 2,
                up: "add 2.5 to 5 % a week",
            },
        }
    }
}

/// The lift's own rungs.
const OWN: [Stage; 4] = [Stage::Slow, Stage::Whole, Stage::Heavier, Stage::Programme];

/// One rung.
#[derive(Debug, Clone, PartialEq)]
pub struct Rung {
    /// Row of the exercise.
    pub row: usize,
    /// What the rung is for.
    pub stage: Stage,
    /// Grade at each sore region, in their order.
    pub grades: Vec<u8>,
    /// Spine class step.
    pub spine: u8,
    /// How much of the lift it is, where that is known.
    pub ratio: Option<Ratio>,
}

/// The rungs and the light work that stands before them.
#[derive(Debug, Clone, PartialEq)]
pub struct Ladder {
    /// Rungs, the lift itself last.
    pub rungs: Vec<Rung>,
    /// Light work for the sore regions.
    pub light: Vec<Light>,
    /// Whether a substitute stands on the first rung; where none passes the gates, rest does.
    pub starts_with_substitute: bool,
}

/// Substitutes looked at for the first rung, and for those above it.
const FIRST_POOL: usize = 15;
const POOL: usize = 60;
/// Most substitutes on a ladder (practice: two or three stages of two sessions each).
const MOST: usize = 4;
/// Points of score that one step of a grade or class costs at once, and what a rung that raises
/// nothing costs.
const STEP_COST: i64 = 18;
const LEVEL_COST: i64 = 30;

struct Candidate {
    row: usize,
    grades: Vec<u8>,
    spine: u8,
    /// Thousandths on the scale of spine classes.
    position: i64,
    /// How close it is to the lift, of 100.
    close: i64,
}

/// Builds the ladder; the lift must be possible here.
#[must_use]
pub fn ladder(kb: &Kb, graph: &Graph<'_>, original: usize, sore: &[Sore], inventory: &Inventory) -> Ladder {
    let low_back = kb.region_at("low-back");
    let by_spine = sore.iter().any(|s| Some(s.region) == low_back);
    let question = Question {
        original,
        sore,
        inventory,
        aim: Aim::Size,
        max_spine: None,
        skill: None,
        skip: &[],
        top: FIRST_POOL,
        explain: false,
    };
    let now = rank::rank(kb, &question);
    let whole = rank::rank(kb, &Question { sore: &[], top: POOL, ..question });
    let candidate = |row: usize, close: f64| {
        let r = kb.table.rows.get(row);
        Candidate {
            row,
            grades: sore.iter().map(|s| joint_grade(kb, s, row)).collect(),
            spine: r.map_or(0, |r| r.spine),
            position: r.map_or(0, |r| (f64::from(r.spine_position) * 1000.0).round() as i64),
            close: close.round() as i64,
        }
    };
    let goal = candidate(original, 100.0);
    let fits = |c: &Candidate| no_less(&goal, c, by_spine) && c.spine <= goal.spine;
    let closeness = |row: usize| whole.picks.iter().find(|p| p.row == row).map(|p| p.score);
    let first: Vec<usize> = now
        .picks
        .iter()
        .filter(|p| p.reservation.is_none())
        .map(|p| candidate(p.row, p.score))
        .filter(fits)
        .map(|c| (load(&c, by_spine), c.row))
        .collect::<Vec<_>>()
        .lowest();
    let mut pool: Vec<Candidate> = whole
        .picks
        .iter()
        .filter(|p| p.reservation.is_none())
        .map(|p| candidate(p.row, p.score))
        .filter(fits)
        .collect();
    for row in &first {
        if !pool.iter().any(|c| c.row == *row) {
            // Not among the nearest ones while nothing is sore: it stands at their end.
            pool.push(candidate(*row, closeness(*row).unwrap_or(0.0)));
        }
    }
    let key = |c: &Candidate| (load(c, by_spine), c.position, c.close);
    pool.sort_by(|a, b| key(a).cmp(&key(b)).then_with(|| kb.ids.get(a.row).cmp(&kb.ids.get(b.row))));
    let chain = chain(&pool, &first, &goal, by_spine);
    let rung = |c: &Candidate, stage| Rung {
        row: c.row,
        stage,
        grades: c.grades.clone(),
        spine: c.spine,
        ratio: graph.between(original, c.row).ok(),
    };
    let mut rungs: Vec<Rung> = chain
        .iter()
        .enumerate()
        .filter_map(|(at, i)| Some(rung(pool.get(*i)?, if at == 0 { Stage::Least } else { Stage::Closer })))
        .collect();
    let starts_with_substitute = !rungs.is_empty();
    rungs.extend(OWN.into_iter().map(|stage| rung(&goal, stage)));
    Ladder { rungs, light: now.light, starts_with_substitute }
}

/// The rows of the lowest load, in their order.
trait Lowest {
    fn lowest(self) -> Vec<usize>;
}

impl Lowest for Vec<(i64, usize)> {
    fn lowest(self) -> Vec<usize> {
        let least = self.iter().map(|(load, _)| *load).min();
        self.into_iter().filter(|(load, _)| Some(*load) == least).map(|(_, row)| row).collect()
    }
}

/// Steps of load on what is sore.
fn load(c: &Candidate, by_spine: bool) -> i64 {
    let grades: i64 = c.grades.iter().map(|g| i64::from(*g)).sum();
    grades + if by_spine { i64::from(c.spine) } else { 0 }
}

/// Whether `upper` loads nothing that is sore less than `lower` does.
fn no_less(upper: &Candidate, lower: &Candidate, by_spine: bool) -> bool {
    upper.grades.iter().zip(&lower.grades).all(|(a, b)| a >= b) && (!by_spine || upper.spine >= lower.spine)
}

/// What going from one rung to the next costs: large steps more than small ones.
fn step(lower: &Candidate, upper: &Candidate, by_spine: bool) -> i64 {
    let rise = load(upper, by_spine) - load(lower, by_spine);
    if rise == 0 { LEVEL_COST } else { STEP_COST * rise * rise }
}

/// Places in `pool` from a first rung to the one below the goal: the cheapest chain of at most
/// [`MOST`], each closer to the lift than the one before. Shorter ones win ties.
fn chain(pool: &[Candidate], first: &[usize], goal: &Candidate, by_spine: bool) -> Vec<usize> {
    let worth = |c: &Candidate| 100 - c.close;
    // For each length and place the least cost of a chain that ends there, and where it came from.
    let start: Vec<Option<(i64, usize)>> =
        pool.iter().map(|c| first.contains(&c.row).then(|| (worth(c), usize::MAX))).collect();
    let mut tables = vec![start];
    for _ in 1..MOST {
        let Some(last) = tables.last() else { break };
        let mut next: Vec<Option<(i64, usize)>> = vec![None; pool.len()];
        for (at, upper) in pool.iter().enumerate() {
            for (from, lower) in pool.iter().enumerate().take(at) {
                let Some((spent, _)) = last.get(from).copied().flatten() else { continue };
                if !no_less(upper, lower, by_spine) || upper.close <= lower.close || first.contains(&upper.row) {
                    continue;
                }
                let cost = spent + worth(upper) + step(lower, upper, by_spine);
                if let Some(slot) = next.get_mut(at)
                    && slot.is_none_or(|(least, _)| cost < least)
                {
                    *slot = Some((cost, from));
                }
            }
        }
        tables.push(next);
    }
    let ends = tables.iter().enumerate().flat_map(|(length, table)| {
        table.iter().enumerate().filter_map(move |(at, slot)| {
            let (spent, _) = (*slot)?;
            Some((spent + step(pool.get(at)?, goal, by_spine), length, at))
        })
    });
    let Some((_, mut length, mut at)) = ends.min() else { return Vec::new() };
    let mut places = vec![at];
    while length > 0 {
        let Some((_, from)) = tables.get(length).and_then(|t| t.get(at)).copied().flatten() else { break };
        at = from;
        places.push(at);
        length -= 1;
    }
    places.reverse();
    places
}
