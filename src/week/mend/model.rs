//! The mend of a week in plain terms: rows that are kept or changed, and the limits of a week.
//!
//! Leans on [`super::solve`], which knows nothing of training. Leaves to others: which changes
//! there are and what they cost, and where the limits come from ([`super`]).

use std::time::Duration;

use super::solve::{self, Demand, Flag, Part, Task};
use crate::week::Day;

/// What one way of doing a row means for the week. Amounts are for all its sets together.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Way {
    /// What it costs, in thousandths of a change.
    pub cost: u32,
    /// The day it is done on; none where nothing is done.
    pub day: Option<Day>,
    /// The exercise, as any number that tells it from others.
    pub exercise: usize,
    /// Coach's points.
    pub points: u32,
    /// Hard sets of the highest tier of spine load.
    pub top_sets: u32,
    /// Whether those are at or above the heavy share of the best.
    pub heavy: bool,
    /// Hard sets of the highest tier in a hinge.
    pub hinge_sets: u32,
    /// Whether it is a row without support that should not follow a day of hinges.
    pub open_row: bool,
    /// Whether it is a heavy pull from the floor.
    pub heavy_pull: bool,
    /// Muscles with their sets, in hundredths.
    pub muscles: Vec<(usize, u32)>,
    /// Regions with their hard sets at a high grade.
    pub stacked: Vec<(usize, u32)>,
    /// Sore regions, as positions in the list, with what it adds to their tally.
    pub tally: Vec<(usize, u32)>,
    /// Sore regions, as positions in the list, that it loads beyond what their soreness allows.
    pub beyond: Vec<usize>,
    /// Whether the gym cannot do it.
    pub no_kit: bool,
    /// Wanted patterns, as positions in the list, that it answers.
    pub patterns: Vec<usize>,
    /// Sides of balances, as positions in the list, that its sets count for: how many for the left
    /// and the right side.
    pub balances: Vec<(usize, u32, u32)>,
}

/// The limits of a week; none where there is no limit.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Limits {
    /// Coach's points a week.
    pub points_week: Option<u32>,
    /// Hard sets of the highest tier a week.
    pub top_week: Option<u32>,
    /// Hard sets of the highest tier a day.
    pub top_day: Option<u32>,
    /// Days with any.
    pub top_days: Option<u32>,
    /// Days in a row with any.
    pub top_in_row: Option<u32>,
    /// Days from one heavy day to the next, at least.
    pub heavy_gap: Option<HeavyGap>,
    /// A day of hinges must not follow another: hard sets that make one.
    pub hinge_days_apart: Option<u32>,
    /// A row without support must not follow a day of hinges: hard sets that make one.
    pub row_after_hinge: Option<u32>,
    /// Days from one heavy pull from the floor to the next, at least.
    pub pull_gap: Option<u32>,
    /// Days with training.
    pub sessions: Option<u32>,
    /// Days in a row with training.
    pub days_in_row: Option<u32>,
    /// Muscles with the fewest sets, in hundredths.
    pub muscles_least: Vec<(usize, u32)>,
    /// Muscles with what must be left of their sets even where the fewest cannot be kept, in
    /// hundredths.
    pub muscles_floor: Vec<(usize, u32)>,
    /// Muscles with the most sets, in hundredths.
    pub muscles_most: Vec<(usize, u32)>,
    /// Regions with the most hard sets at a high grade.
    pub stacked: Vec<(usize, u32)>,
    /// The most of each sore region's tally; what is beyond its soreness must go.
    pub sore: Vec<u32>,
    /// Whether rows that the gym cannot do must go.
    pub kit: bool,
    /// Whether no exercise may come to stand twice in a day.
    pub once_a_day: bool,
    /// Wanted patterns, as positions in the list, that some row must answer.
    pub patterns: Vec<usize>,
    /// Wanted patterns that none answers yet, and one should.
    pub missing: Vec<usize>,
    /// Balances, as positions in the list, to be kept.
    pub balances: Vec<BalanceLimit>,
}

/// How far apart heavy days must be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct HeavyGap {
    /// More hard sets of the highest tier than these make a day heavy.
    pub sets: u32,
    /// Days from one to the next, at least.
    pub days: u32,
}

/// Two sides that must not lie too far apart: told only where they differ by `least_difference`
/// sets and more and one is above `percent` of the other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BalanceLimit {
    /// Position of the balance.
    pub balance: usize,
    /// Greatest share of one side in the other, percent.
    pub percent: u32,
    /// Sets that may lie between them whatever their share.
    pub least_difference: u32,
}

/// What is asked of a mended week. The order is that in which they are given up where they cannot
/// all be met, last first: a sore region and the kit are never given up for a limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Ask {
    /// No exercise twice in a day that is not there twice already.
    OnceADay,
    /// Nothing that the gym cannot do.
    Kit,
    /// Nothing beyond the soreness of a sore region, by position in the list.
    Beyond(usize),
    /// The tally of a sore region does not rise, by position in the list.
    Tally(usize),
    /// A region's hard sets at a high grade.
    Stacked(usize),
    /// Hard sets of the highest tier a day.
    TopDay,
    /// Days between heavy days.
    HeavyGap,
    /// Hinges on days in a row.
    HingeDaysApart,
    /// Rows after hinges.
    RowAfterHinge,
    /// Days between heavy pulls.
    PullGap,
    /// Days in a row with work of the highest tier.
    TopInRow,
    /// Days with work of the highest tier.
    TopDays,
    /// Hard sets of the highest tier a week.
    TopWeek,
    /// Points a week.
    Points,
    /// Days with training.
    Sessions,
    /// Days in a row with training.
    DaysInRow,
    /// Most sets of a muscle.
    MuscleMost(usize),
    /// What must be left of a muscle's sets.
    MuscleFloor(usize),
    /// Fewest sets of a muscle.
    MuscleLeast(usize),
    /// A balance, by position in the list.
    Balance(usize),
    /// A wanted pattern, by position in the list.
    Pattern(usize),
    /// A wanted pattern that no row answers yet, by position in the list.
    Missing(usize),
}

impl Ask {
    /// What each one that is wanting costs, in thousandths of a change, where a mend may want some
    /// of it: for muscles by the hundredth of a set. A loss of the least that sets come in outweighs
    /// a dozen changes (practice).
    const fn price(self) -> Option<i64> {
        match self {
            Self::MuscleLeast(_) => Some(10_000),
            Self::MuscleFloor(_) => Some(20_000),
            Self::Balance(_) => Some(300_000),
            Self::Pattern(_) => Some(500_000),
            Self::Missing(_) => Some(100_000),
            _ => None,
        }
    }

    const fn has_price(self) -> bool {
        self.price().is_some()
    }
}

/// A week to mend: each row with its ways, and the limits.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Model {
    /// Rows; of each, exactly one way is taken. The first is the row as it stands, or nothing at
    /// all where a row may be added.
    pub rows: Vec<Vec<Way>>,
    /// Limits.
    pub limits: Limits,
}

/// The cheapest ways that there are.
#[derive(Debug, Clone, PartialEq)]
pub struct Mended {
    /// The way taken of each row.
    pub ways: Vec<usize>,
    /// What they cost together, in thousandths of a change.
    pub cost: i64,
    /// What no mend can cost less than; the cost itself where it is proven to be the least.
    pub least: i64,
    /// What could not be met.
    pub given_up: Vec<GivenUp>,
}

/// An ask that could not be met, or not in full.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct GivenUp {
    /// The ask.
    pub ask: Ask,
    /// Whether rows without another way break it by themselves.
    pub by_fixed_rows: bool,
    /// Asks that it cannot be met beside; empty where that is not plain.
    pub beside: Vec<Ask>,
}

impl Mended {
    /// Whether nothing cheaper can be.
    #[must_use]
    pub const fn proven(&self) -> bool {
        self.least >= self.cost
    }
}

/// Why there is no mend.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Error {
    /// Asks that cannot be met together, though they can when any one of them is left out.
    #[error("these cannot all be met: {0:?}")]
    Conflict(Vec<Ask>),
    /// The solver found none.
    #[error(transparent)]
    Solver(#[from] solve::Unsolved),
}

impl Error {
    /// Whether there may be a mend that was not found in time.
    #[must_use]
    pub const fn is_out_of_time(&self) -> bool {
        matches!(self, Self::Solver(solve::Unsolved::OutOfTime(_)))
    }
}

impl Model {
    /// The cheapest mend that meets every ask.
    ///
    /// # Errors
    /// [`Error::Conflict`] with asks that cannot be met together; else [`Error::Solver`].
    pub fn solve(&self, limit: Duration) -> Result<Mended, Error> {
        let (task, asks) = self.task(false);
        self.solve_with(&task, &asks, limit).map(|(mended, _)| mended)
    }

    /// The cheapest mend that meets all that can be met. What a week must keep (sets of a muscle,
    /// patterns, balances) has a price here, far above that of any change, so that as little as
    /// possible of it is lost. What rows without another way break is loosened to what they do.
    ///
    /// # Errors
    /// [`Error::Solver`]; [`Error::Conflict`] where rows without another way break asks together.
    pub fn solve_as_far_as_possible(&self, limit: Duration) -> Result<Mended, Error> {
        let (task, asks) = self.task(true);
        let (task, forced) = task.loosened();
        let (mended, paid) = self.solve_with(&task, &asks, limit)?;
        let fixed = forced.iter().filter_map(|g| asks.get(*g)).map(|ask| GivenUp {
            ask: *ask,
            by_fixed_rows: true,
            beside: Vec::new(),
        });
        let given_up = fixed.chain(Self::reasons(&task, &asks, &paid)).collect();
        Ok(Mended { given_up, ..mended })
    }

    fn solve_with(&self, task: &Task, asks: &[Ask], limit: Duration) -> Result<(Mended, Vec<usize>), Error> {
        match task.solve(|_| true, limit) {
            Ok(solved) => {
                let mended = Mended {
                    ways: solved.chosen.into_iter().take(self.rows.len()).collect(),
                    cost: solved.cost,
                    least: solved.least - solved.fines,
                    given_up: Vec::new(),
                };
                Ok((mended, solved.paid))
            }
            Err(solve::Unsolved::Impossible) => {
                let groups = task.conflict(|_| true, limit)?;
                Err(Error::Conflict(groups.iter().filter_map(|g| asks.get(*g)).copied().collect()))
            }
            Err(e) => Err(e.into()),
        }
    }

    /// Why each ask that was paid for could not be met, as far as that is plain: first beside the
    /// firm asks alone, else beside those that were met too.
    fn reasons(task: &Task, asks: &[Ask], paid: &[usize]) -> Vec<GivenUp> {
        let told = |group: &usize| {
            let firm = |g: usize| asks.get(g).is_some_and(|a| !a.has_price());
            let alone = task.plain_conflict(|g| g == *group || firm(g), *group);
            let found = alone.or_else(|| task.plain_conflict(|g| g == *group || !paid.contains(&g), *group));
            let others = found.unwrap_or_default().into_iter().filter(|g| g != group);
            let beside = others.filter_map(|g| asks.get(g)).copied().collect();
            asks.get(*group).map(|ask| GivenUp { ask: *ask, by_fixed_rows: false, beside })
        };
        paid.iter().filter_map(told).collect()
    }

    /// The same in measures, flags and demands; the ask of each group of demands beside it.
    fn task(&self, priced: bool) -> (Task, Vec<Ask>) {
        let mut asked = self.asked();
        asked.sort_by_key(|(ask, _)| *ask);
        let mut asks: Vec<Ask> = asked.iter().map(|(ask, _)| *ask).collect();
        asks.dedup();
        let mut task = Task::default();
        let mut measures: Vec<Measure> = Vec::new();
        let mut measure = |wanted: Measure| {
            measures.iter().position(|m| *m == wanted).unwrap_or_else(|| {
                measures.push(wanted);
                measures.len() - 1
            })
        };
        for (ask, asked) in &asked {
            let group = asks.iter().position(|a| a == ask).unwrap_or_default();
            let mut parts = Vec::with_capacity(asked.parts.len());
            for (part, times) in &asked.parts {
                parts.push(match *part {
                    Plain::Amount(m) => Part::Measure(measure(m), *times),
                    Plain::Above(m, over) => {
                        let flag = Flag { measure: measure(m), over };
                        let at = task.flags.iter().position(|f| *f == flag).unwrap_or_else(|| {
                            task.flags.push(flag);
                            task.flags.len() - 1
                        });
                        Part::Flag(at, *times)
                    }
                });
            }
            let price = ask.price().filter(|_| priced);
            task.demands.push(Demand { group, parts, most: asked.most, price });
        }
        task.measures = measures.len();
        let adds = |way: &Way| {
            let amounts = measures.iter().enumerate().map(|(at, m)| (at, m.of(way)));
            amounts.filter(|(_, amount)| *amount != 0).collect()
        };
        task.items = self
            .rows
            .iter()
            .map(|ways| ways.iter().map(|way| solve::Choice { cost: i64::from(way.cost), adds: adds(way) }).collect())
            .collect();
        for at in 0..self.limits.balances.len() {
            let lets_go = |what: &[Measure]| {
                let adds = what.iter().filter_map(|w| measures.iter().position(|m| m == w)).map(|m| (m, 1));
                solve::Choice { cost: 0, adds: adds.collect() }
            };
            let (share, difference) = (Measure::LetGo(at, true), Measure::LetGo(at, false));
            task.items.push(vec![
                lets_go(&[share]),
                lets_go(&[difference]),
                lets_go(&[share, difference, Measure::Unbalanced(at)]),
            ]);
        }
        (task, asks)
    }

    fn asked(&self) -> Vec<(Ask, Asked)> {
        let limits = &self.limits;
        let mut out: Vec<(Ask, Asked)> = Vec::new();
        let mut at_most = |ask: Ask, parts: Vec<(Plain, i64)>, most: u32| {
            out.push((ask, Asked { parts, most: i64::from(most) }));
        };
        let one = |m: Measure| vec![(Plain::Amount(m), 1)];
        let any = |m: fn(Day) -> Measure, day: Day| (Plain::Above(m(day), 0), 1);

        if limits.once_a_day {
            for (day, exercise) in self.could_meet() {
                at_most(Ask::OnceADay, one(Measure::Same(day, exercise)), 1);
            }
        }
        if limits.kit {
            at_most(Ask::Kit, one(Measure::NoKit), 0);
        }
        for (at, most) in limits.sore.iter().enumerate() {
            at_most(Ask::Beyond(at), one(Measure::Beyond(at)), 0);
            at_most(Ask::Tally(at), one(Measure::Tally(at)), *most);
        }
        for (region, most) in &limits.stacked {
            at_most(Ask::Stacked(*region), one(Measure::Stacked(*region)), *most);
        }
        if let Some(most) = limits.top_day {
            for day in Day::ALL {
                at_most(Ask::TopDay, one(Measure::Top(day)), most);
            }
        }
        if let Some(gap) = limits.heavy_gap {
            let heavy = |day| (Plain::Above(Measure::Heavy(day, gap.sets), i64::from(gap.sets)), 1);
            for (day, later) in pairs_within(gap.days) {
                at_most(Ask::HeavyGap, vec![heavy(day), heavy(later)], 1);
            }
        }
        if let Some(sets) = limits.hinge_days_apart {
            let hinge = |day| (Plain::Above(Measure::Hinge(day), i64::from(sets.saturating_sub(1))), 1);
            for day in Day::ALL {
                at_most(Ask::HingeDaysApart, vec![hinge(day), hinge(day.next())], 1);
            }
        }
        if let Some(sets) = limits.row_after_hinge {
            let hinge = |day| (Plain::Above(Measure::Hinge(day), i64::from(sets.saturating_sub(1))), 1);
            for day in Day::ALL {
                at_most(Ask::RowAfterHinge, vec![hinge(day), any(Measure::OpenRow, day.next())], 1);
            }
        }
        if let Some(days) = limits.pull_gap {
            for (day, later) in pairs_within(days) {
                at_most(Ask::PullGap, vec![any(Measure::HeavyPull, day), any(Measure::HeavyPull, later)], 1);
            }
        }
        if let Some(most) = limits.top_in_row {
            for days in runs(most + 1) {
                let parts = days.iter().map(|day| any(Measure::Top, *day)).collect();
                at_most(Ask::TopInRow, parts, most);
            }
        }
        if let Some(most) = limits.top_days {
            at_most(Ask::TopDays, Day::ALL.iter().map(|day| any(Measure::Top, *day)).collect(), most);
        }
        if let Some(most) = limits.top_week {
            at_most(Ask::TopWeek, Day::ALL.iter().map(|day| (Plain::Amount(Measure::Top(*day)), 1)).collect(), most);
        }
        if let Some(most) = limits.points_week {
            at_most(Ask::Points, one(Measure::Points), most);
        }
        if let Some(most) = limits.sessions {
            at_most(Ask::Sessions, Day::ALL.iter().map(|day| any(Measure::Used, *day)).collect(), most);
        }
        if let Some(most) = limits.days_in_row {
            for days in runs(most + 1) {
                let parts = days.iter().map(|day| any(Measure::Used, *day)).collect();
                at_most(Ask::DaysInRow, parts, most);
            }
        }
        for (muscle, most) in &limits.muscles_most {
            at_most(Ask::MuscleMost(*muscle), one(Measure::Muscle(*muscle)), *most);
        }
        let fewest = limits.muscles_least.iter().map(|(muscle, least)| (Ask::MuscleLeast(*muscle), muscle, least));
        let floors = limits.muscles_floor.iter().map(|(muscle, least)| (Ask::MuscleFloor(*muscle), muscle, least));
        for (ask, muscle, least) in fewest.chain(floors) {
            out.push((ask, Asked::of_amounts(&[(Measure::Muscle(*muscle), -1)], -i64::from(*least))));
        }
        let there = limits.patterns.iter().map(|at| (Ask::Pattern(*at), *at));
        for (ask, at) in there.chain(limits.missing.iter().map(|at| (Ask::Missing(*at), *at))) {
            out.push((ask, Asked::of_amounts(&[(Measure::Pattern(at), -1)], -1)));
        }
        for (at, limit) in limits.balances.iter().enumerate() {
            for left in [true, false] {
                let (mine, other) = (Measure::Side(limit.balance, left), Measure::Side(limit.balance, !left));
                // Of share and difference one is enough; the item of the balance says which is let go.
                let most = self.most_of_side(limit.balance, left);
                let (share, difference) = (Measure::LetGo(at, true), Measure::LetGo(at, false));
                let parts = [(mine, 100), (other, -i64::from(limit.percent)), (share, -100 * most)];
                out.push((Ask::Balance(limit.balance), Asked::of_amounts(&parts, 0)));
                let parts = [(mine, 1), (other, -1), (difference, -most)];
                let most = i64::from(limit.least_difference) - 1;
                out.push((Ask::Balance(limit.balance), Asked::of_amounts(&parts, most)));
            }
            out.push((Ask::Balance(limit.balance), Asked::of_amounts(&[(Measure::Unbalanced(at), 1)], 0)));
        }
        out
    }

    /// Days with exercises that more than one row could bring there, and that do not stand there
    /// twice already.
    fn could_meet(&self) -> Vec<(Day, usize)> {
        let place = |way: &Way| way.day.map(|day| (day, way.exercise));
        let mut all: Vec<(Day, usize)> = Vec::new();
        for ways in &self.rows {
            let mut mine: Vec<(Day, usize)> = ways.iter().filter_map(place).collect();
            mine.sort_unstable();
            mine.dedup();
            all.extend(mine);
        }
        all.sort_unstable();
        let several = all.chunk_by(|a, b| a == b).filter(|same| same.len() > 1);
        let now: Vec<(Day, usize)> = self.rows.iter().filter_map(|ways| ways.first().and_then(place)).collect();
        let once = |at: &(Day, usize)| now.iter().filter(|n| *n == at).count() < 2;
        several.filter_map(|same| same.first().copied()).filter(once).collect()
    }

    /// A number that one side of a balance cannot exceed.
    fn most_of_side(&self, balance: usize, left: bool) -> i64 {
        let side = Measure::Side(balance, left);
        self.rows.iter().filter_map(|ways| ways.iter().map(|way| side.of(way)).max()).sum()
    }
}

/// What is added up over a week.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Measure {
    NoKit,
    Beyond(usize),
    Tally(usize),
    Stacked(usize),
    Top(Day),
    Heavy(Day, u32),
    Hinge(Day),
    OpenRow(Day),
    HeavyPull(Day),
    Used(Day),
    Same(Day, usize),
    Points,
    Muscle(usize),
    Pattern(usize),
    Side(usize, bool),
    /// For a balance, by position among the limits: its share, or its difference, is let go.
    LetGo(usize, bool),
    /// Both are, so that the balance is lost.
    Unbalanced(usize),
}

impl Measure {
    fn of(self, way: &Way) -> i64 {
        let Some(done) = way.day else { return 0 };
        let on = |day: Day, amount: u32| if done == day { i64::from(amount) } else { 0 };
        let yes = |answer: bool| i64::from(answer);
        let listed = |list: &[(usize, u32)], wanted: usize| {
            list.iter().filter(|(at, _)| *at == wanted).map(|(_, amount)| i64::from(*amount)).sum()
        };
        match self {
            Self::NoKit => yes(way.no_kit),
            Self::Beyond(at) => yes(way.beyond.contains(&at)),
            Self::Tally(at) => listed(&way.tally, at),
            Self::Stacked(region) => listed(&way.stacked, region),
            Self::Top(day) => on(day, way.top_sets),
            // One heavy set makes the day as heavy as too many sets do.
            Self::Heavy(day, sets) => {
                let alone = if way.heavy && way.top_sets > 0 { sets + 1 } else { 0 };
                on(day, way.top_sets.max(alone))
            }
            Self::Hinge(day) => on(day, way.hinge_sets),
            Self::OpenRow(day) => on(day, u32::from(way.open_row)),
            Self::HeavyPull(day) => on(day, u32::from(way.heavy_pull)),
            Self::Used(day) => on(day, 1),
            Self::Same(day, exercise) => on(day, u32::from(way.exercise == exercise)),
            Self::Points => i64::from(way.points),
            Self::Muscle(muscle) => listed(&way.muscles, muscle),
            Self::Pattern(at) => yes(way.patterns.contains(&at)),
            Self::Side(at, left) => way
                .balances
                .iter()
                .filter(|(balance, _, _)| *balance == at)
                .map(|(_, l, r)| i64::from(if left { *l } else { *r }))
                .sum(),
            // No row does; the balance has an item of its own.
            Self::LetGo(..) | Self::Unbalanced(_) => 0,
        }
    }
}

/// A part of what is asked: an amount, or whether one is above a number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Plain {
    Amount(Measure),
    Above(Measure, i64),
}

/// A sum with what it must not exceed.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Asked {
    parts: Vec<(Plain, i64)>,
    most: i64,
}

impl Asked {
    fn of_amounts(parts: &[(Measure, i64)], most: i64) -> Self {
        Self { parts: parts.iter().map(|(m, times)| (Plain::Amount(*m), *times)).collect(), most }
    }
}

/// Pairs of days less than so many days apart, round the week, each once.
fn pairs_within(days: u32) -> Vec<(Day, Day)> {
    let near = |a: Day, b: Day| u32::from(a.days_to(b).min(b.days_to(a))) < days;
    let pairs = Day::ALL.iter().flat_map(|a| Day::ALL.iter().map(move |b| (*a, *b)));
    pairs.filter(|(a, b)| a < b && near(*a, *b)).collect()
}

/// Every run of so many days, round the week.
fn runs(length: u32) -> Vec<Vec<Day>> {
    if length > u32::from(crate::week::data::DAYS) {
        return Vec::new();
    }
    let from =
        |first: &Day| std::iter::successors(Some(*first), |day| Some(day.next())).take(length as usize).collect();
    Day::ALL.iter().map(from).collect()
}
