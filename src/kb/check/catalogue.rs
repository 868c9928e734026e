//! Rules on `catalogue.json`, and on gyms that contradict themselves.
//!
//! Leans on [`Context`] for what a rule may look up, and on [`super::super::sense`] for gyms. Leaves
//! to others: what to buy ([`crate::gym::buy`]).

use super::{Context, is_id, kit_words, must_be, plain, words};
use crate::kb::problem::{Problem, escape};
use crate::kb::raw;
use crate::kb::sense;
use crate::units::{Bound, bounds};

const RULE: &str = "catalogue-whole";

pub(super) fn whole(c: &Context<'_>, out: &mut Vec<Problem>) {
    let Some(p) = &c.draft.catalogue else { return };
    let v = &p.value;
    for (id, sold) in &v.items {
        let at = format!("/items/{}", escape(id));
        for (list, ids) in [("gives", &sold.gives), ("overlaps", &sold.overlaps)] {
            for (i, item) in ids.iter().enumerate() {
                must_be(p, &format!("{at}/{list}/{i}"), RULE, item, kit_words(c), out);
            }
        }
        for (i, alternative) in sold.needs.iter().enumerate() {
            for (j, item) in alternative.iter().enumerate() {
                must_be(p, &format!("{at}/needs/{i}/{j}"), RULE, item, kit_words(c), out);
            }
        }
        if !is_id(id, '-') {
            let hint = "lower-case words and numbers joined by hyphens".to_string();
            out.push(p.problem(&at, RULE, format!("id {id:?}"), hint));
        }
        let mut wrong = |step: &str, found: String, hint: &str| {
            out.push(p.problem(&format!("{at}{step}"), RULE, found, hint.to_string()));
        };
        if sold.price.low > sold.price.high || sold.price.high <= 0.0 {
            wrong("/price", format!("{} to {}", sold.price.low, sold.price.high), "low not above high, high above 0");
        }
        if let Some(rated) = sold.rated.as_ref().filter(|r| r.low_kg > r.high_kg) {
            wrong("/rated", format!("{} to {}", rated.low_kg, rated.high_kg), "low not above high");
        }
        // What the kit depends on is needed by whatever is sold as that kit.
        for kit in sold.gives.iter().filter_map(|id| c.equipment.get(id.as_str())) {
            let met = |need: &String| !sold.needs.is_empty() && sold.needs.iter().all(|alt| alt.contains(need));
            for need in kit.depends_on.iter().filter(|need| !met(need)) {
                wrong(
                    "/needs",
                    format!("{:?} without {need:?}", kit.id),
                    "name in every alternative what it depends on",
                );
            }
        }
    }
    for (i, item) in v.not_sold.iter().enumerate() {
        must_be(p, &format!("/not_sold/{i}"), RULE, item, kit_words(c), out);
    }
    for q in c.draft.equipment.iter().filter(|q| !q.value.baseline) {
        let id = &q.value.id;
        if !v.not_sold.contains(id) && !v.items.values().any(|s| s.gives.contains(id)) {
            let hint = format!("add a thing that gives {id:?}, or name it under not_sold");
            out.push(p.problem("/items", RULE, format!("nothing gives {id:?}"), hint));
        }
    }
    let basket = &v.basket;
    let typical = c.draft.patterns.iter().map(|p| &p.value).filter(|p| p.typical.is_some());
    for (i, pattern) in basket.patterns.iter().enumerate() {
        let step = format!("/basket/patterns/{i}");
        let known = typical.clone().flat_map(|p| words(&p.id, &p.name, &p.aliases));
        must_be(p, &step, RULE, pattern, known, out);
    }
    for (i, region) in basket.regions.iter().enumerate() {
        let ids = plain(c.draft.regions.iter().map(|r| r.value.id.as_str()));
        must_be(p, &format!("/basket/regions/{i}"), RULE, region, ids, out);
    }
    let shares = &basket.answer_shares;
    let falling = shares.iter().zip(shares.iter().skip(1)).all(|(a, b)| a >= b);
    let whole = (shares.iter().sum::<f64>() - 1.0).abs() < 1e-9;
    if shares.len() != ANSWERS || !falling || !whole || shares.iter().any(|s| *s < 0.0) {
        let hint = "three shares, none below 0 and none above the one before, that add up to 1".to_string();
        out.push(p.problem("/basket/answer_shares", RULE, format!("{shares:?}"), hint));
    }
}

/// How many of the best answers of a question count.
pub const ANSWERS: usize = 3;

/// Numbers of the catalogue with their bounds and places.
pub(super) fn numbers(v: &raw::Catalogue) -> Vec<(String, Bound, f64)> {
    let mut all = vec![
        ("/price_factor".to_string(), bounds::PRICE_FACTOR, v.price_factor),
        ("/basket/least_grade".to_string(), bounds::JOINT_GRADE, f64::from(v.basket.least_grade)),
        ("/basket/answer_floor".to_string(), bounds::ANSWER_FLOOR, v.basket.answer_floor),
        ("/basket/least_gain".to_string(), bounds::LEAST_GAIN, v.basket.least_gain),
    ];
    for (id, sold) in &v.items {
        let at = format!("/items/{}", escape(id));
        let mut one = |step: &str, bound: Bound, value: Option<f64>| {
            all.extend(value.map(|value| (format!("{at}{step}"), bound, value)));
        };
        one("/space/use_m2", bounds::FLOOR, Some(sold.space.use_m2));
        one("/space/stored_m2", bounds::FLOOR, Some(sold.space.stored_m2));
        one("/space/ceiling_m", bounds::CEILING, sold.space.ceiling_m);
        one("/price/low", bounds::PRICE, Some(sold.price.low));
        one("/price/high", bounds::PRICE, Some(sold.price.high));
        one("/rated/low_kg", bounds::STOCK, sold.rated.as_ref().map(|r| r.low_kg));
        one("/rated/high_kg", bounds::STOCK, sold.rated.as_ref().map(|r| r.high_kg));
        let stock = sold.stock.as_ref();
        one("/stock/dumbbell_max_kg", bounds::LOAD, stock.and_then(|s| s.dumbbell_max_kg));
        one("/stock/kettlebell_max_kg", bounds::LOAD, stock.and_then(|s| s.kettlebell_max_kg));
        one("/stock/sandbag_max_kg", bounds::LOAD, stock.and_then(|s| s.sandbag_max_kg));
        one("/stock/plates_kg", bounds::STOCK, stock.and_then(|s| s.plates_kg));
    }
    all
}

/// What figures of the catalogue stand on, with their places.
pub(super) fn bases(v: &raw::Catalogue) -> impl Iterator<Item = (String, &String)> {
    let items = v.items.iter().flat_map(|(id, sold)| {
        let at = format!("/items/{}", escape(id));
        [
            Some(("/space/basis", &sold.space.basis)),
            Some(("/price/basis", &sold.price.basis)),
            sold.rated.as_ref().map(|r| ("/rated/basis", &r.basis)),
            sold.stock.as_ref().map(|s| ("/stock/basis", &s.basis)),
        ]
        .into_iter()
        .flatten()
        .map(move |(step, basis)| (format!("{at}{step}"), basis))
    });
    std::iter::once(("/basket/basis".to_string(), &v.basket.basis)).chain(items)
}

pub(super) fn gym_sense(c: &Context<'_>, out: &mut Vec<Problem>) {
    let Some(catalogue) = &c.draft.catalogue else { return };
    let equipment: Vec<raw::Equipment> = c.draft.equipment.iter().map(|q| q.value.clone()).collect();
    for g in &c.draft.gyms {
        // Kit without what it needs is an error of its own (`gym-kit`).
        for fault in sense::faults(&g.value, &equipment, &catalogue.value) {
            if fault.rule != sense::NEEDS {
                out.push(g.problem(&fault.place, "gym-sense", fault.found, fault.way_out));
            }
        }
    }
}
