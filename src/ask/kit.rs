//! "What should I buy next, and why?": kit weighed by the questions that it answers.
//!
//! Leans on [`crate::rank::basket`] for what kit is worth and on [`crate::gym::buy`] for the best
//! set within money, floor and ceiling. Leaves to others: how it looks ([`crate::cli`],
//! [`crate::http`]). Emergency signs suppress the whole answer here.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::swap::{GymAsk, GymRead, SignRead, SoreAsk, cautions, round, signs, sores};
use super::week::{Read, RowAsk, asked};
use super::{Basis, Engine, Error, Named, bounded, unknown};
use crate::gym::buy::{self, Found, Offer, Room, Set, Thing, Worth, bits};
use crate::gym::{GymError, Inventory, closed};
use crate::kb::Kb;
use crate::kb::raw::{Aim, Gym, Level, LoadPosition, Sold, Urgency};
use crate::kb::sense;
use crate::kb::table::KitSet;
use crate::rank::Sore;
use crate::rank::basket::{Basket, Brings, Case};
use crate::units::{Bound, bounds, trim};

/// A purchase as asked.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Request {
    /// Where: a gym of the base by id, or one described in full.
    pub gym: Option<GymAsk>,
    /// Kit besides; alone, the whole of it.
    pub have: Vec<String>,
    /// Money to spend, in the currency of the catalogue.
    pub budget: Option<f64>,
    /// Floor that is free to put new kit away, m²; the gym's own when absent.
    pub floor_m2: Option<f64>,
    /// Clear floor to work in, m², for whatever is in use at a time; the gym's own when absent, else
    /// what the largest item there may take.
    pub floor_use_m2: Option<f64>,
    /// Ceiling, m; the gym's own when absent.
    pub ceiling_m: Option<f64>,
    /// Height of the tallest lifter, m; the gym's own when absent.
    pub body_height_m: Option<f64>,
    /// The person's week as rows; the questions are then about its exercises.
    pub rows: Vec<RowAsk>,
    /// The week as the text of a CSV file, in place of rows.
    pub csv: Option<String>,
    /// What is sore; the regions of the catalogue's basket, one at a time, when empty.
    pub sore: Vec<SoreAsk>,
    /// What the lifter trains for; size when absent.
    pub aim: Option<Aim>,
    /// Prices that the person was told, by the id of the thing.
    pub prices: BTreeMap<String, f64>,
    /// Things that are not wanted, by id.
    pub skip: Vec<String>,
    /// How many single things are ranked, 1 to 50; 8 when absent.
    pub top: Option<usize>,
    /// Warning signs, by id (see the terms).
    pub signs: Vec<String>,
}

/// A typical value with what it may be.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct Span {
    /// Low end.
    pub low: f64,
    /// Middle.
    pub typical: f64,
    /// High end.
    pub high: f64,
}

/// A sore region of a question.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct SoreHere<'k> {
    /// Region.
    pub region: &'k str,
    /// Aggravator.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub aggravator: Option<&'k str>,
    /// Level.
    pub level: Level,
}

/// A question of the basket.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct CaseTold<'k> {
    /// The exercise that is asked for.
    pub exercise: Named<'k>,
    /// What is sore; none where nothing is.
    pub sore: Vec<SoreHere<'k>>,
}

/// How the question was understood.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Understood<'k> {
    /// The gym.
    pub gym: GymRead,
    /// Money.
    pub budget: f64,
    /// Label of the currency.
    pub currency: &'k str,
    /// Floor to put kit away, m²; absent is as much as wanted.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub floor_m2: Option<f64>,
    /// Floor to work in, m²; absent is as much as wanted.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub floor_use_m2: Option<f64>,
    /// Ceiling, m; absent is high enough for all.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ceiling_m: Option<f64>,
    /// Height of the tallest lifter, m.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub body_height_m: Option<f64>,
    /// The aim.
    pub aim: Aim,
    /// Where the exercises of the basket come from: `week` or `main-patterns`.
    pub basket: &'static str,
    /// Exercises of the basket, each with how much it counts.
    pub exercises: Vec<Counted<'k>>,
    /// What is sore in the basket: each of them one at a time, or all of them where the person named
    /// them.
    pub sore: Vec<SoreHere<'k>>,
    /// How many questions there are.
    pub questions: usize,
    /// What the best three answers of a question count for.
    pub answer_shares: Vec<f64>,
    /// Points that each thing must add.
    pub least_gain: f64,
}

/// An exercise of the basket.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Counted<'k> {
    /// Exercise.
    pub exercise: Named<'k>,
    /// How much it counts: its sets in the week, or 1.
    pub weight: u32,
}

/// A contradiction of the gym.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Contradiction {
    /// Plain id of what is asked of a gym.
    pub rule: &'static str,
    /// JSON pointer into the gym.
    pub pointer: String,
    /// What was found.
    pub found: String,
    /// The way out.
    pub way_out: String,
}

/// A question that a purchase answers better.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Fixed<'k> {
    /// The question.
    pub question: CaseTold<'k>,
    /// How well it is answered without, 0 to 100.
    pub from: f64,
    /// How well it is answered with it.
    pub to: f64,
    /// Exercises that come among its best three, best first.
    pub with: Vec<Named<'k>>,
}

/// A thing to buy.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct ThingTold<'k> {
    /// Id in the catalogue.
    pub id: &'k str,
    /// Name, with the amount.
    pub name: &'k str,
    /// Price.
    pub price: Span,
    /// What the price stands on: a source id, `memory` or `practice`; `yours` where the person gave it.
    pub price_basis: &'k str,
    /// Floor in use, m².
    pub use_m2: f64,
    /// Floor when put away, m².
    pub stored_m2: f64,
    /// Ceiling that it asks for, m.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ceiling_m: Option<f64>,
    /// Load that makers rate it for: the weakest usual one and the strongest, kg.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rated_kg: Option<[f64; 2]>,
    /// What the room figures and the rating stand on.
    pub basis: &'k str,
    /// Kit that it needs, alternatives.
    pub needs: Vec<Vec<&'k str>>,
    /// What it needs of the house.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub besides: Option<&'k str>,
    /// Kit that is there, or bought with it, and does much of the same.
    pub duplicates: Vec<&'k str>,
    /// What does part of its job meanwhile.
    pub stand_ins: Vec<&'k str>,
    /// What to beware of.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub caution: Option<&'k str>,
}

/// What a purchase brings.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Gain<'k> {
    /// Points of 100 that the worth of the gym rises by; low and high are the least and the most
    /// over three readings of it: the best answer alone, the best three by their shares, the best
    /// three alike.
    pub points: Span,
    /// Exercises that come among the best three of a question, the most telling first.
    pub unlocks: Vec<Named<'k>>,
    /// Questions that are answered better, the greatest rise first.
    pub fixes: Vec<Fixed<'k>>,
}

/// A step of the advice.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Step<'k> {
    /// The thing.
    pub thing: ThingTold<'k>,
    /// What it adds to all the others of the advice.
    pub adds: Gain<'k>,
    /// Worth of the gym once it is bought after those before it, points of 100.
    pub worth_after: f64,
}

/// The best set of purchases.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Advice<'k> {
    /// Things, in the order in which to buy them: what adds most first.
    pub steps: Vec<Step<'k>>,
    /// Price of all of them.
    pub price: Span,
    /// Floor that they take when put away, m².
    pub stored_m2: f64,
    /// What they bring together.
    pub gain: Gain<'k>,
    /// A set that costs a tenth less at least and lacks less than one thing must add, if the frontier
    /// has one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub nearly: Option<Point<'k>>,
    /// Whether no better set is left; false where the search had to stop.
    pub proven: bool,
}

/// One thing alone, with what it needs.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Single<'k> {
    /// The thing.
    pub thing: ThingTold<'k>,
    /// Further things that it needs and that are not there; they are counted with it.
    pub with: Vec<Named<'k>>,
    /// Price with them.
    pub price: Span,
    /// Floor with them when put away, m².
    pub stored_m2: f64,
    /// What it brings.
    pub gain: Gain<'k>,
    /// Points for a hundred of the currency; low is the least gain at the high price.
    pub per_100: Span,
    /// Points for a square metre of floor when put away; absent where it takes none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub per_m2: Option<f64>,
}

/// A point of the frontier.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Point<'k> {
    /// Money.
    pub budget: f64,
    /// Price of the best set for it.
    pub price: f64,
    /// Points that it adds.
    pub gain: f64,
    /// Things of the set, by id.
    pub things: Vec<&'k str>,
    /// Whether no better set is left.
    pub proven: bool,
}

/// A thing that is not on offer here.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct LeftOut<'k> {
    /// Id in the catalogue.
    pub id: &'k str,
    /// Why, in one word.
    pub why: Why,
    /// Why, in words.
    pub said: String,
}

crate::kb::raw::words! {
    /// Why a thing is not on offer.
    Why {
        /// No exercise of the base asks for it.
        Unasked = "unasked",
        /// What it gives is there.
        Owned = "owned",
        /// The person does not want it.
        Unwanted = "unwanted",
        /// It costs more than the budget.
        Price = "price",
        /// It takes more ceiling.
        Ceiling = "ceiling",
        /// It takes more floor.
        Floor = "floor",
    }
}

/// The answer.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Reply<'k> {
    /// The base asked.
    pub base: Basis<'k>,
    /// What to do about reported signs; with an emergency among them, the answer ends here.
    pub signs: Vec<SignRead<'k>>,
    /// How the question was understood; absent in an emergency.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub question: Option<Understood<'k>>,
    /// What in the gym's file contradicts itself.
    pub contradictions: Vec<Contradiction>,
    /// Worth of the gym as it is, points of 100: how well the questions are answered.
    pub worth: f64,
    /// The best set of purchases; absent where nothing helps enough.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub advice: Option<Advice<'k>>,
    /// Why nothing is to be bought.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub nothing: Option<String>,
    /// Single things, the most gain for the money first.
    pub singles: Vec<Single<'k>>,
    /// Gain against budget.
    pub frontier: Vec<Point<'k>>,
    /// What is not on offer here, and why.
    pub left_out: Vec<LeftOut<'k>>,
    /// Remarks.
    pub notes: Vec<String>,
    /// Cautions.
    pub cautions: Vec<&'k str>,
}

impl Reply<'_> {
    /// Whether there is an answer; to buy nothing is one.
    #[must_use]
    pub fn has_answer(&self) -> bool {
        self.question.is_some()
    }
}

/// Single things ranked when no number is given.
pub const DEFAULT_TOP: usize = 8;
/// Questions times sets that a search looks at before it stops without a proof, and the same for the
/// other budgets of the frontier. The usual basket is far below them.
const MOST_WORK: u64 = 800_000;
const LESS_WORK: u64 = 160_000;
/// Smallest units of a currency's unit, and square centimetres of a square metre.
const MINOR: f64 = 100.0;
const CM2: f64 = 10_000.0;
/// Budgets of the frontier, in shares of the budget asked.
const FRONTIER: &[f64] = &[0.125, 0.25, 0.375, 0.5, 0.625, 0.75, 0.875, 1.0, 1.5, 2.0];
/// Share of the price up to which a set that brings nearly as much is told.
const NEARLY: f64 = 0.9;
/// How many exercises and questions are told of a purchase.
const UNLOCKS: usize = 5;
const FIXES: usize = 3;
/// Height of the tallest lifter that headrooms are meant for, m (practice section 8).
const USUAL_HEIGHT_M: f64 = 1.85;

/// Answers.
///
/// # Errors
/// [`Error`] naming the value, its place in the request and the nearest valid choice.
pub fn answer<'k>(engine: &'k Engine, request: &Request) -> Result<Reply<'k>, Error> {
    let kb = engine.kb();
    if let Some(emergency) = emergency(kb, &request.signs)? {
        return Ok(emergency);
    }
    let week = match (&request.csv, request.rows.is_empty()) {
        (None, true) => None,
        _ => Some(asked(kb, &request.rows, request.csv.as_deref())?),
    };
    of_week(engine, week.as_ref(), request)
}

/// The answer that ends with what to do, where a sign of an emergency is named.
fn emergency<'k>(kb: &'k Kb, given: &[String]) -> Result<Option<Reply<'k>>, Error> {
    bounded(given, "/signs")?;
    let mut signs = signs(kb, given)?;
    signs.retain(|s| s.urgency == Urgency::Emergency);
    Ok((!signs.is_empty()).then(|| Reply { signs, ..empty(kb) }))
}

fn empty(kb: &Kb) -> Reply<'_> {
    Reply {
        base: Basis::of(kb),
        signs: Vec::new(),
        question: None,
        contradictions: Vec::new(),
        worth: 0.0,
        advice: None,
        nothing: None,
        singles: Vec::new(),
        frontier: Vec::new(),
        left_out: Vec::new(),
        notes: Vec::new(),
        cautions: Vec::new(),
    }
}

/// As [`answer`], for a week that was read already.
///
/// # Errors
/// As [`answer`].
pub fn of_week<'k>(engine: &'k Engine, week: Option<&Read>, request: &Request) -> Result<Reply<'k>, Error> {
    let kb = engine.kb();
    if let Some(emergency) = emergency(kb, &request.signs)? {
        return Ok(emergency);
    }
    let mut notes: Vec<String> = week.map(|read| read.notes.clone()).unwrap_or_default();
    let Prepared { sore, gym, inventory, budget, aim, market, exercises, regions, cases, worth } =
        prepared(kb, week, request, &mut notes)?;
    let basket = &kb.catalogue.basket;
    let top = request.top.unwrap_or(DEFAULT_TOP);
    let pointer = "/top".to_string();
    bounds::ANSWERS.check(top as f64).map_err(|problem| Error::Bounds { problem, pointer })?;
    let weighed = Weighed { kb, market: &market, cases: &cases, worth: &worth, readings: readings(&worth) };

    // Rising budgets, each beginning from the best set for less, so that none finds less.
    let (mut best, mut frontier, mut known) = (None, Vec::new(), 0);
    for share in FRONTIER {
        let is_asked = *share == 1.0;
        let money = if is_asked { budget } else { (budget * share).round() };
        let found = market.best(&worth, money, known, if is_asked { MOST_WORK } else { LESS_WORK });
        known = found.set;
        if is_asked {
            best = Some(found);
        }
        if frontier.last().is_none_or(|p: &Point<'_>| p.budget < money) {
            frontier.push(weighed.point(money, &found));
        }
    }
    let best = best.unwrap_or_else(|| market.best(&worth, budget, known, MOST_WORK));
    let mut reply = Reply {
        signs: signs(kb, &request.signs)?,
        contradictions: contradictions(kb, &gym, &inventory, week),
        worth: round(worth.points(worth.of(0)), 1),
        singles: weighed.singles(top, budget),
        frontier,
        cautions: cautions(kb, &sore),
        ..empty(kb)
    };
    reply.left_out = market.left_out.clone();
    if best.set == 0 {
        reply.nothing = Some(format!(
            "buy nothing: no purchase within {} {} adds {} of 100 points to a gym worth {}",
            trim(budget),
            kb.catalogue.currency,
            trim(basket.least_gain),
            trim(reply.worth)
        ));
    } else {
        reply.advice = Some(weighed.advice(&best, &reply.frontier));
    }
    if let Some(advice) = reply.advice.as_ref().filter(|a| a.price.high > budget) {
        notes.push(format!(
            "prices are typical new ones; at their high end this costs {} {}",
            trim(advice.price.high),
            kb.catalogue.currency
        ));
    }
    notes.push(
        "prices, floor and ceilings are common figures from memory; gains are sums of scores, good for comparing"
            .into(),
    );
    if best.set != 0 && reply.advice.as_ref().is_some_and(|a| !a.proven) {
        notes
            .push("the search stopped before it had looked at every set: this one is good, not proven the best".into());
    }
    reply.notes = notes;
    reply.question = Some(Understood {
        gym: GymRead { id: inventory.id.clone(), name: inventory.name.clone(), assumed: false },
        budget,
        currency: &kb.catalogue.currency,
        floor_m2: market.floor_m2,
        floor_use_m2: market.use_m2,
        ceiling_m: gym.ceiling_m,
        body_height_m: gym.body_height_m,
        aim,
        basket: if week.is_some() { "week" } else { "main-patterns" },
        exercises: exercises
            .iter()
            .map(|(row, weight)| Counted { exercise: Named::row(kb, *row), weight: *weight })
            .collect(),
        sore: if sore.is_empty() {
            regions.iter().map(|s| here(kb, s)).collect()
        } else {
            sore.iter().map(|s| here(kb, s)).collect()
        },
        questions: cases.len(),
        answer_shares: basket.answer_shares.clone(),
        least_gain: basket.least_gain,
    });
    Ok(reply)
}

/// The best set alone, without what is told of it: the catalogue weighed and the search.
///
/// # Errors
/// As [`answer`].
pub fn exactly(engine: &Engine, request: &Request) -> Result<Found, Error> {
    let made = prepared(engine.kb(), None, request, &mut Vec::new())?;
    Ok(made.market.best(&made.worth, made.budget, 0, MOST_WORK))
}

/// Everything that the search stands on.
struct Prepared<'k> {
    sore: Vec<Sore>,
    gym: Gym,
    inventory: Inventory,
    budget: f64,
    aim: Aim,
    market: Market<'k>,
    exercises: Vec<(usize, u32)>,
    regions: Vec<Sore>,
    cases: Vec<Case>,
    worth: Basket,
}

fn prepared<'k>(
    kb: &'k Kb,
    week: Option<&Read>,
    request: &Request,
    notes: &mut Vec<String>,
) -> Result<Prepared<'k>, Error> {
    bounded(&request.sore, "/sore")?;
    bounded(&request.have, "/have")?;
    bounded(&request.skip, "/skip")?;
    let sore = sores(kb, &request.sore, notes)?;
    let gym = gym(kb, request)?;
    let inventory = Inventory::of(kb, &gym).map_err(|problem| Error::Gym { problem, pointer: "/gym".to_string() })?;
    let budget = request.budget.ok_or_else(|| Error::Empty { what: "budget", pointer: "/budget".to_string() })?;
    let pointer = "/budget".to_string();
    let budget = bounds::BUDGET.check(budget).map_err(|problem| Error::Bounds { problem, pointer })?;
    let aim = request.aim.unwrap_or(Aim::Size);
    let market = Market::new(kb, request, &gym, &inventory, budget, notes)?;
    let (exercises, regions) = contents(kb, week, &sore)?;
    let cases = cases(kb, &exercises, &sore, &regions);
    let worth = Basket::new(kb, &cases, &inventory, market.brings(), aim, &kb.catalogue.basket);
    Ok(Prepared { sore, gym, inventory, budget, aim, market, exercises, regions, cases, worth })
}

fn here<'k>(kb: &'k Kb, sore: &Sore) -> SoreHere<'k> {
    SoreHere {
        region: kb.regions.get(sore.region).map_or("", |r| r.id.as_str()),
        aggravator: sore.aggravator_name(kb),
        level: sore.level,
    }
}

/// The gym with what the question says besides.
fn gym(kb: &Kb, request: &Request) -> Result<Gym, Error> {
    let at = |pointer: &str| {
        let pointer = pointer.to_string();
        move |problem| Error::Gym { problem, pointer }
    };
    let mut gym = match &request.gym {
        Some(GymAsk::Named(id)) => {
            let found = kb.gyms.iter().find(|g| g.id == id.trim()).cloned();
            match found {
                Some(gym) => gym,
                None => {
                    return Err(match Inventory::named(kb, id.trim()) {
                        Err(problem) => at("/gym")(problem),
                        Ok(_) => Error::Internal("a gym is there and is not".to_string()),
                    });
                }
            }
        }
        Some(GymAsk::Own(gym)) => (**gym).clone(),
        None if request.have.is_empty() => return Err(Error::Empty { what: "gym", pointer: "/gym".to_string() }),
        None => Gym { id: "your-kit".to_string(), name: "your kit".to_string(), ..Gym::default() },
    };
    let id = |given: &String| -> Result<String, GymError> {
        let item = crate::gym::item(kb, given)?;
        Ok(kb.equipment.get(item).map_or_else(String::new, |q| q.id.clone()))
    };
    // Every item by its id, so that what is asked of a gym finds it.
    gym.items = gym.items.iter().map(id).collect::<Result<_, _>>().map_err(at("/gym"))?;
    for given in &request.have {
        let item = id(given).map_err(at("/have"))?;
        if !gym.items.contains(&item) {
            gym.items.push(item);
        }
    }
    let member = |bound: Bound, value: Option<f64>, pointer: &str| match value.map(|v| bound.check(v)) {
        Some(Err(problem)) => Err(Error::Bounds { problem, pointer: pointer.to_string() }),
        _ => Ok(value),
    };
    gym.ceiling_m = member(bounds::CEILING, request.ceiling_m, "/ceiling_m")?.or(gym.ceiling_m);
    gym.body_height_m = member(bounds::HEIGHT, request.body_height_m, "/body_height_m")?.or(gym.body_height_m);
    gym.floor_stored_m2 = member(bounds::FLOOR, request.floor_m2, "/floor_m2")?.or(gym.floor_stored_m2);
    gym.floor_use_m2 = member(bounds::FLOOR, request.floor_use_m2, "/floor_use_m2")?.or(gym.floor_use_m2);
    Ok(gym)
}

/// Exercises with how much they count, and the soreness of each question where none is named.
type Contents = (Vec<(usize, u32)>, Vec<Sore>);

/// What the basket is made of: the exercises of the week by their sets, or the typical exercises of
/// the main patterns.
fn contents(kb: &Kb, week: Option<&Read>, sore: &[Sore]) -> Result<Contents, Error> {
    let basket = &kb.catalogue.basket;
    let mut exercises: Vec<(usize, u32)> = Vec::new();
    match week {
        Some(read) => {
            for row in read.week.rows() {
                match exercises.iter_mut().find(|(at, _)| *at == row.exercise) {
                    Some((_, sets)) => *sets += u32::from(row.sets),
                    None => exercises.push((row.exercise, u32::from(row.sets))),
                }
            }
        }
        None => {
            let of = |id: &String| kb.patterns.iter().find(|p| p.id == *id).and_then(|p| p.typical.as_deref());
            exercises.extend(basket.patterns.iter().filter_map(of).filter_map(|id| kb.row_of(id)).map(|row| (row, 1)));
        }
    }
    if exercises.is_empty() {
        return Err(Error::Empty { what: "basket of questions", pointer: "/rows".to_string() });
    }
    let one = |id: &String| Some(Sore { region: kb.region_at(id)?, aggravator: None, level: basket.level });
    let regions = if sore.is_empty() { basket.regions.iter().filter_map(one).collect() } else { Vec::new() };
    Ok((exercises, regions))
}

/// The questions: each exercise with nothing sore and with each region that it loads; or with what
/// the person named.
fn cases(kb: &Kb, exercises: &[(usize, u32)], named: &[Sore], regions: &[Sore]) -> Vec<Case> {
    let least = kb.catalogue.basket.least_grade;
    let mut cases = Vec::new();
    for (row, weight) in exercises {
        let mut case = |sore: Vec<Sore>| cases.push(Case { original: *row, sore, weight: (*weight).max(1) });
        if !named.is_empty() {
            case(named.to_vec());
            continue;
        }
        case(Vec::new());
        let loaded = |s: &&Sore| kb.table.grades_of(*row).get(s.region).is_some_and(|g| *g >= least);
        regions.iter().filter(loaded).for_each(|s| case(vec![*s]));
    }
    cases
}

/// The basket read three ways: the best answer alone, by the shares, the best three alike.
fn readings(basket: &Basket) -> [Basket; 2] {
    [basket.with_shares([1.0, 0.0, 0.0]), basket.with_shares([1.0 / 3.0; 3])]
}

/// What is on offer, by position in the catalogue.
struct Market<'k> {
    kb: &'k Kb,
    ids: Vec<&'k str>,
    sold: Vec<&'k Sold>,
    things: Vec<Thing>,
    prices: Vec<(Span, &'k str)>,
    /// What fits here at all.
    open: Set,
    /// What a search need look at: of things alike but for price and floor, the best.
    apart: Set,
    owned: KitSet,
    items: Vec<String>,
    floor_m2: Option<f64>,
    use_m2: Option<f64>,
    least_gain: f64,
    left_out: Vec<LeftOut<'k>>,
}

impl<'k> Market<'k> {
    fn new(
        kb: &'k Kb,
        request: &Request,
        gym: &Gym,
        inventory: &Inventory,
        budget: f64,
        notes: &mut Vec<String>,
    ) -> Result<Self, Error> {
        let catalogue = &kb.catalogue;
        if catalogue.items.len() > buy::MOST {
            return Err(Error::Shape {
                found: format!("a catalogue of {} things", catalogue.items.len()),
                pointer: "/items".to_string(),
                hint: format!("keep it to {}", buy::MOST),
            });
        }
        let known = |id: &String, pointer: String| {
            if catalogue.items.contains_key(id) {
                return Ok(());
            }
            Err(unknown("thing of the catalogue", id, &pointer, catalogue.items.keys().map(String::as_str)))
        };
        for (at, id) in request.skip.iter().enumerate() {
            known(id, format!("/skip/{at}"))?;
        }
        if request.prices.len() > buy::MOST {
            return Err(Error::Shape {
                found: format!("{} prices", request.prices.len()),
                pointer: "/prices".to_string(),
                hint: format!("keep it to {}", buy::MOST),
            });
        }
        for (id, price) in &request.prices {
            known(id, format!("/prices/{id}"))?;
            let pointer = format!("/prices/{id}");
            bounds::PRICE.check(*price).map_err(|problem| Error::Bounds { problem, pointer })?;
        }
        let largest = || {
            let of = |item: &String| {
                let models = catalogue.items.values().filter(|s| s.gives.contains(item));
                models.map(|s| s.space.use_m2).max_by(f64::total_cmp)
            };
            gym.items.iter().filter_map(of).max_by(f64::total_cmp).filter(|m2| *m2 > 0.0)
        };
        let use_m2 = gym.floor_use_m2.or_else(largest);
        if gym.floor_use_m2.is_none() {
            notes.push(match use_m2 {
                Some(m2) => {
                    format!("{} m2 are taken for the clear floor to work in, as your largest item uses", trim(m2))
                }
                None => "no floor to work in was named, so any will do".to_string(),
            });
        }
        let mut market = Self {
            kb,
            ids: catalogue.items.keys().map(String::as_str).collect(),
            sold: catalogue.items.values().collect(),
            things: Vec::with_capacity(catalogue.items.len()),
            prices: Vec::with_capacity(catalogue.items.len()),
            open: 0,
            apart: 0,
            owned: inventory.kit,
            items: gym.items.clone(),
            floor_m2: gym.floor_stored_m2,
            use_m2,
            least_gain: catalogue.basket.least_gain,
            left_out: Vec::new(),
        };
        for (at, (id, sold)) in catalogue.items.iter().enumerate() {
            let price = match request.prices.get(id) {
                Some(price) => (Span { low: *price, typical: *price, high: *price }, "yours"),
                None => {
                    let [low, high] = [sold.price.low, sold.price.high].map(|p| p * catalogue.price_factor);
                    (Span { low, typical: (low + high) / 2.0, high }, sold.price.basis.as_str())
                }
            };
            let set = |ids: &[String]| ids.iter().filter_map(|id| bit(kb, id)).fold(0, |set, b| set | b);
            let thing = Thing {
                price: (price.0.typical * MINOR).round() as u64,
                stored: (sold.space.stored_m2 * CM2).round() as u64,
                gives: closed(kb, set(&sold.gives)) & !kb.baseline,
                needs: sold.needs.iter().map(|alternative| set(alternative)).collect(),
            };
            let why = market.why_not(sold, &thing, request.skip.contains(id), gym, price.0.typical, budget);
            match why {
                Some((why, said)) => market.left_out.push(LeftOut { id, why, said }),
                None => market.open |= 1 << at,
            }
            market.things.push(thing);
            market.prices.push(price);
        }
        market.apart = market.undominated();
        Ok(market)
    }

    /// Why a thing is not on offer. What only costs too much is left in the frontier's reach.
    fn why_not(
        &self,
        sold: &Sold,
        thing: &Thing,
        unwanted: bool,
        gym: &Gym,
        price: f64,
        budget: f64,
    ) -> Option<(Why, String)> {
        let metres = |m: f64| trim(m);
        if sold.gives.is_empty() {
            return Some((Why::Unasked, "no exercise asks for it".to_string()));
        }
        if unwanted {
            return Some((Why::Unwanted, "you do not want it".to_string()));
        }
        if thing.gives & !self.owned == 0 && !self.is_heavier(sold, gym) {
            return Some((Why::Owned, "you have it".to_string()));
        }
        if let (Some(needed), Some(have)) = (sold.space.ceiling_m, gym.ceiling_m)
            && needed > have
        {
            return Some((Why::Ceiling, format!("takes {} m of ceiling, there are {}", metres(needed), metres(have))));
        }
        if let Some(have) = self.use_m2.filter(|have| sold.space.use_m2 > *have) {
            let found = format!("takes {} m2 in use, there are {}", metres(sold.space.use_m2), metres(have));
            return Some((Why::Floor, found));
        }
        if let Some(have) = self.floor_m2.filter(|have| sold.space.stored_m2 > *have) {
            let found = format!("takes {} m2 put away, there are {}", metres(sold.space.stored_m2), metres(have));
            return Some((Why::Floor, found));
        }
        let reach = budget * FRONTIER.last().copied().unwrap_or(1.0);
        (price > reach)
            .then(|| (Why::Price, format!("costs about {} {}", trim(price.round()), self.kb.catalogue.currency)))
    }

    /// Whether the weights of a thing go beyond those that are there.
    fn is_heavier(&self, sold: &Sold, gym: &Gym) -> bool {
        let Some(w) = &sold.stock else { return false };
        // What names no end has none.
        let beyond = |new: Option<f64>, have: Option<f64>| new.zip(have).is_some_and(|(new, have)| new > have);
        beyond(w.dumbbell_max_kg, gym.stock.dumbbell_kg())
            || beyond(w.kettlebell_max_kg, gym.stock.kettlebell_kg())
            || beyond(w.sandbag_max_kg, gym.stock.sandbag_max_kg)
            || w.plates_kg.is_some() && gym.stock.plates_kg().is_some()
    }

    /// Of things that give and need the same, those that are neither dearer nor larger than another.
    fn undominated(&self) -> Set {
        let alike = |a: usize, b: usize| {
            let (Some(x), Some(y), Some(s), Some(t)) =
                (self.things.get(a), self.things.get(b), self.sold.get(a), self.sold.get(b))
            else {
                return false;
            };
            x.gives == y.gives && x.needs == y.needs && s.stock.is_none() && t.stock.is_none()
        };
        let beaten = |b: usize| {
            bits(self.open).filter(|a| *a != b && alike(*a, b)).any(|a| {
                let (Some(x), Some(y)) = (self.things.get(a), self.things.get(b)) else { return false };
                let (x, y) = ((x.price, x.stored), (y.price, y.stored));
                x.0 <= y.0 && x.1 <= y.1 && (x != y || a < b)
            })
        };
        bits(self.open).filter(|b| !beaten(*b)).fold(0, |set, b| set | 1 << b)
    }

    fn brings(&self) -> Vec<Brings> {
        let one = |(thing, sold): (&Thing, &&Sold)| Brings {
            kit: thing.gives,
            weights: sold.stock.clone(),
            price: thing.price,
        };
        self.things.iter().zip(&self.sold).map(one).collect()
    }

    fn offer(&self, money: f64, open: Set, worth: &Basket) -> Offer<'_> {
        Offer {
            things: &self.things,
            open,
            owned: self.owned,
            room: Room {
                money: (money * MINOR).round() as u64,
                stored: self.floor_m2.map_or(u64::MAX, |m2| (m2 * CM2).round() as u64),
            },
            least: (self.least_gain / 100.0 * worth.whole() as f64).ceil() as u64,
            most_nodes: MOST_WORK,
        }
    }

    /// The best set for `money`; `known` is the best for less.
    fn best(&self, worth: &Basket, money: f64, known: Set, work: u64) -> Found {
        let most_nodes = work / worth.len().max(1) as u64;
        buy::best(&Offer { most_nodes, ..self.offer(money, self.apart, worth) }, worth, known)
    }

    fn price(&self, set: Set) -> Span {
        let sum = |of: fn(&Span) -> f64| {
            round(
                bits(set)
                    .filter_map(|i| self.prices.get(i))
                    .map(|(span, _)| of(span))
                    .fold(0.0, |sum, price| sum + price),
                2,
            )
        };
        Span { low: sum(|s| s.low), typical: sum(|s| s.typical), high: sum(|s| s.high) }
    }

    fn stored(&self, set: Set) -> f64 {
        round(bits(set).filter_map(|i| self.sold.get(i)).map(|s| s.space.stored_m2).fold(0.0, |sum, m2| sum + m2), 2)
    }
}

fn bit(kb: &Kb, id: &str) -> Option<KitSet> {
    kb.equipment.iter().position(|q| q.id == id).map(|at| 1 << at)
}

/// What sets of things are worth, told.
struct Weighed<'a, 'k> {
    kb: &'k Kb,
    market: &'a Market<'k>,
    cases: &'a [Case],
    worth: &'a Basket,
    readings: [Basket; 2],
}

impl<'k> Weighed<'_, 'k> {
    /// What `after` brings over `before`.
    fn gain(&self, before: Set, after: Set) -> Gain<'k> {
        let rise = |basket: &Basket| basket.points(basket.of(after)) - basket.points(basket.of(before));
        let typical = rise(self.worth);
        let ends = self.readings.iter().map(rise);
        let (low, high) = ends.fold((typical, typical), |(low, high), x| (low.min(x), high.max(x)));
        let mut rises: Vec<(f64, Fixed<'k>)> = Vec::new();
        let mut unlocks: Vec<(f64, usize)> = Vec::new();
        let pairs = self.worth.answers(before).into_iter().zip(self.worth.answers(after));
        for (at, ((old, new), case)) in pairs.zip(self.cases).enumerate() {
            let (from, to) = (self.worth.quality(&old), self.worth.quality(&new));
            if to <= from {
                continue;
            }
            let by = (to - from) * self.worth.weight(at) as f64;
            let fresh: Vec<usize> = new
                .iter()
                .filter(|t| t.score > 0 && old.iter().all(|o| o.score == 0 || o.row != t.row))
                .map(|t| t.row)
                .collect();
            for row in &fresh {
                match unlocks.iter_mut().find(|(_, known)| known == row) {
                    Some((sum, _)) => *sum += by / fresh.len() as f64,
                    None => unlocks.push((by / fresh.len() as f64, *row)),
                }
            }
            let fixed = Fixed {
                question: self.told(case),
                from: round(from, 1),
                to: round(to, 1),
                with: fresh.iter().map(|row| Named::row(self.kb, *row)).collect(),
            };
            rises.push((by, fixed));
        }
        // Stable sorts: equal rises keep the order of the questions.
        rises.sort_by(|a, b| b.0.total_cmp(&a.0));
        unlocks.sort_by(|a, b| b.0.total_cmp(&a.0));
        Gain {
            points: Span { low: round(low, 2), typical: round(typical, 2), high: round(high, 2) },
            unlocks: unlocks.into_iter().take(UNLOCKS).map(|(_, row)| Named::row(self.kb, row)).collect(),
            fixes: rises.into_iter().take(FIXES).map(|(_, fixed)| fixed).collect(),
        }
    }

    fn told(&self, case: &Case) -> CaseTold<'k> {
        CaseTold {
            exercise: Named::row(self.kb, case.original),
            sore: case.sore.iter().map(|s| here(self.kb, s)).collect(),
        }
    }

    fn thing(&self, at: usize, others: Set) -> Option<ThingTold<'k>> {
        let market = self.market;
        let (id, sold) = (market.ids.get(at)?, market.sold.get(at)?);
        let (price, price_basis) = market.prices.get(at)?;
        let bought: Vec<&str> = bits(others)
            .filter(|i| *i != at)
            .filter_map(|i| market.sold.get(i))
            .flat_map(|s| s.gives.iter().map(String::as_str))
            .collect();
        let there = |kit: &&String| market.items.contains(kit) || bought.contains(&kit.as_str());
        Some(ThingTold {
            id,
            name: &sold.name,
            price: Span { low: round(price.low, 2), typical: round(price.typical, 2), high: round(price.high, 2) },
            price_basis,
            use_m2: sold.space.use_m2,
            stored_m2: sold.space.stored_m2,
            ceiling_m: sold.space.ceiling_m,
            rated_kg: sold.rated.as_ref().map(|r| [r.low_kg, r.high_kg]),
            basis: &sold.space.basis,
            needs: sold.needs.iter().map(|alt| alt.iter().map(String::as_str).collect()).collect(),
            besides: sold.besides.as_deref(),
            duplicates: sold.overlaps.iter().filter(there).map(String::as_str).collect(),
            stand_ins: sold.stand_ins.iter().map(String::as_str).collect(),
            caution: sold.caution.as_deref(),
        })
    }

    /// The best set, in the order in which to buy it.
    fn advice(&self, best: &Found, frontier: &[Point<'k>]) -> Advice<'k> {
        let offer = self.market.offer(f64::from(u32::MAX), best.set, self.worth);
        let (mut bought, mut steps): (Set, Vec<Step<'k>>) = (0, Vec::new());
        while bought != best.set {
            let left = best.set & !bought;
            // What stands on its own first; things that need each other come one after the other.
            let next = bits(left)
                .map(|i| (offer.stands(bought | 1 << i), self.worth.of(bought | 1 << i), i))
                .max_by(|a, b| a.0.cmp(&b.0).then(a.1.cmp(&b.1)).then(b.2.cmp(&a.2)));
            let Some((_, _, i)) = next else { break };
            bought |= 1 << i;
            if let Some(thing) = self.thing(i, best.set) {
                let adds = self.gain(best.set & !(1 << i), best.set);
                steps.push(Step { thing, adds, worth_after: round(self.worth.points(self.worth.of(bought)), 1) });
            }
        }
        let (price, gain) = (self.market.price(best.set), self.gain(0, best.set));
        let cheap = |p: &&Point<'k>| {
            p.price <= price.typical * NEARLY
                && !p.things.is_empty()
                && p.gain + self.market.least_gain > gain.points.typical
        };
        Advice {
            steps,
            nearly: frontier.iter().find(cheap).cloned(),
            price,
            stored_m2: self.market.stored(best.set),
            gain,
            proven: best.proven,
        }
    }

    /// Every thing on offer alone, or with the cheapest things that it needs.
    fn singles(&self, top: usize, budget: f64) -> Vec<Single<'k>> {
        let market = self.market;
        let offer = market.offer(budget, market.open, self.worth);
        let now = self.worth.of(0);
        let mut found: Vec<(f64, usize, Set)> = Vec::new();
        for at in bits(market.open) {
            let Some(set) = completed(&offer, 1 << at) else { continue };
            let Room { money, stored } = offer.takes(set);
            if money > offer.room.money || stored > offer.room.stored {
                continue;
            }
            let gain = self.worth.of(set).saturating_sub(now);
            // A bundle that owes its gain to what goes with it is no advice for the thing itself.
            let own = self.worth.of(set).saturating_sub(self.worth.of(set & !(1 << at)));
            if gain >= offer.least && own >= offer.least {
                found.push((gain as f64 / money.max(1) as f64, at, set));
            }
        }
        found.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        found.into_iter().take(top).filter_map(|(_, at, set)| self.single(at, set)).collect()
    }

    fn single(&self, at: usize, set: Set) -> Option<Single<'k>> {
        let market = self.market;
        let (price, stored_m2, gain) = (market.price(set), market.stored(set), self.gain(0, set));
        let per = |points: f64, money: f64| round(100.0 * points / money.max(0.01), 2);
        let points = gain.points;
        Some(Single {
            thing: self.thing(at, set)?,
            with: bits(set & !(1 << at))
                .filter_map(|i| Some(Named { id: market.ids.get(i)?, name: &market.sold.get(i)?.name }))
                .collect(),
            price,
            stored_m2,
            per_100: Span {
                low: per(points.low, price.high),
                typical: per(points.typical, price.typical),
                high: per(points.high, price.low),
            },
            per_m2: (stored_m2 > 0.0).then(|| round(points.typical / stored_m2, 1)),
            gain,
        })
    }

    fn point(&self, budget: f64, found: &Found) -> Point<'k> {
        Point {
            budget,
            price: self.market.price(found.set).typical,
            gain: round(self.worth.points(found.worth) - self.worth.points(self.worth.of(0)), 2),
            things: bits(found.set).filter_map(|i| self.market.ids.get(i)).copied().collect(),
            proven: found.proven,
        }
    }
}

/// A set with the cheapest things that make it stand, none where nothing on offer does.
fn completed(offer: &Offer<'_>, set: Set) -> Option<Set> {
    let mut set = set;
    // Each round adds what the first unmet thing needs; more rounds than kinds of need lead nowhere.
    for _ in 0..4 {
        let kit = offer.kit(set);
        let met = |thing: &Thing| thing.needs.is_empty() || thing.needs.iter().any(|need| need & !kit == 0);
        let Some(unmet) = bits(set).filter_map(|i| offer.things.get(i)).find(|thing| !met(thing)) else {
            return Some(set);
        };
        let price = |i: &usize| offer.things.get(*i).map_or(u64::MAX, |t| t.price);
        let filled = |need: &Set| {
            let mut more: Set = 0;
            for item in bits(need & !kit) {
                if offer.kit(set | more) >> item & 1 == 1 {
                    continue;
                }
                let sellers =
                    bits(offer.open & !set).filter(|i| offer.things.get(*i).is_some_and(|t| t.gives >> item & 1 == 1));
                more |= 1 << sellers.min_by_key(price)?;
            }
            Some(more)
        };
        let cheapest = unmet.needs.iter().filter_map(filled).min_by_key(|more| offer.takes(*more).money)?;
        set |= cheapest;
    }
    offer.stands(set).then_some(set)
}

/// What in the gym contradicts itself, or the week.
fn contradictions(kb: &Kb, gym: &Gym, inventory: &Inventory, week: Option<&Read>) -> Vec<Contradiction> {
    let mut out: Vec<Contradiction> = sense::faults(gym, &kb.equipment, &kb.catalogue)
        .into_iter()
        .map(|f| Contradiction { rule: f.rule, pointer: f.place, found: f.found, way_out: f.way_out })
        .collect();
    let Some(ceiling) = gym.ceiling_m else { return out };
    let metres = |cm: u16| trim(f64::from(cm) / 100.0);
    let height = trim(gym.body_height_m.unwrap_or(USUAL_HEIGHT_M));
    let too_low =
        |row: usize| kb.table.rows.get(row).filter(|r| !inventory.is_high_enough(r)).map(|r| inventory.headroom_cm(r));
    // Lifts that the kit is there for and the ceiling is not.
    let lifts = (0..kb.len()).filter(|row| {
        let overhead = kb.table.rows.get(*row).is_some_and(|r| r.load_position == LoadPosition::HandsOverhead);
        overhead && inventory.has_kit_for(kb, *row)
    });
    let low: Vec<(usize, u16)> = lifts.filter_map(|row| Some((row, too_low(row)?))).collect();
    let usual = |row: usize| kb.table.rows.get(row).map_or(0, |r| r.usual);
    if let Some((row, cm)) = low.iter().max_by(|a, b| usual(a.0).cmp(&usual(b.0)).then(b.0.cmp(&a.0))) {
        out.push(Contradiction {
            rule: "overhead-ceiling",
            pointer: "/ceiling_m".to_string(),
            found: format!(
                "a ceiling of {} m, and kit for {} overhead lifts that need more: {} takes {} m for a lifter of {height} m",
                trim(ceiling),
                low.len(),
                Named::row(kb, *row).name,
                metres(*cm)
            ),
            way_out: "press seated, kneeling or on an incline, or lift outside".to_string(),
        });
    }
    for row in week.into_iter().flat_map(|read| read.week.rows()) {
        let rule = "week-ceiling";
        let found = too_low(row.exercise).map(|cm| {
            let name = Named::row(kb, row.exercise).name;
            format!(
                "{name} in the week takes {} m for a lifter of {height} m, the ceiling is {} m",
                metres(cm),
                trim(ceiling)
            )
        });
        if let Some(found) = found.filter(|found| !out.iter().any(|c| c.found == *found)) {
            let way_out = "swap it for a seated or kneeling press, or lift outside".to_string();
            out.push(Contradiction { rule, pointer: "/ceiling_m".to_string(), found, way_out });
        }
    }
    out
}
