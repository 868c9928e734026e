//! Whether a gym makes sense: what in its file contradicts itself, with the place and the way out.
//!
//! Leans on the records of kit and of the catalogue. Leaves to others: lists of weights that do not
//! add up ([`super::stock`]), and lifts that the ceiling refuses ([`crate::gym`]), for which
//! exercises are asked.

use super::raw::{Catalogue, Equipment, Gym};
use crate::units::trim;

/// A contradiction of a gym.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// Plain id of what is asked of a gym.
    pub rule: &'static str,
    /// JSON pointer into the gym.
    pub place: String,
    /// What was found.
    pub found: String,
    /// The way out.
    pub way_out: String,
}

/// Kit that a gym has without what it needs: the rule of the base on kit tells the same.
pub const NEEDS: &str = "needs";

/// Room above a standing head that any lift asks for, m (practice).
const OVER_HEAD_M: f64 = 0.1;
/// Mass of the usual straight bar, kg (competition rules, as a reference page gives them).
const BAR_KG: f64 = 20.0;
/// Mass of a lifter on a bench, kg, the reference man of the base.
const LIFTER_KG: f64 = 80.0;

/// Kit that catches a bar over a lifter who cannot finish, or a person who does.
const CATCHES: &[&str] = &["rack", "guided-bar", "partner"];
/// Kit that takes bar and plates, with whether the lifter lies on it too.
const BEARS: &[(&str, bool)] = &[
    ("barbell", false),
    ("trap-bar", false),
    ("safety-squat-bar", false),
    ("cambered-bar", false),
    ("multi-grip-bar", false),
    ("ez-bar", false),
    ("rack", false),
    ("flat-bench", true),
    ("adjustable-bench", true),
];

/// Every contradiction, in order of the file's members.
#[must_use]
pub fn faults(gym: &Gym, equipment: &[Equipment], catalogue: &Catalogue) -> Vec<Fault> {
    let mut out = Vec::new();
    let has = closed(gym, equipment);
    let there = |id: &str| has.contains(&id);
    let place = |id: &str| {
        let gives = |item: &&str| provided(item, equipment).contains(&id);
        let at = gym.items.iter().position(|i| i == id).or_else(|| gym.items.iter().position(|i| gives(&i.as_str())));
        at.map_or_else(|| "/items".to_string(), |at| format!("/items/{at}"))
    };
    let mut fault = |rule: &'static str, place: String, found: String, way_out: String| {
        out.push(Fault { rule, place, found, way_out });
    };
    if ["barbell", "plates", "flat-bench"].iter().all(|id| there(id)) && !CATCHES.iter().any(|id| there(id)) {
        fault(
            "bench-alone",
            place("flat-bench"),
            "a bar, plates and a bench, and nothing to catch the bar".to_string(),
            "add a rack with pins or a partner; until then press from the floor or with dumbbells".to_string(),
        );
    }
    for item in &gym.items {
        let Some(q) = equipment.iter().find(|q| q.id == *item) else { continue };
        for need in q.depends_on.iter().filter(|need| !there(need)) {
            let found = format!("{item:?} without {need:?}");
            fault(NEEDS, place(item), found, format!("add {need:?} or take {item:?} out"));
        }
    }
    let stock = &gym.stock;
    for (member, kg, item) in [
        ("dumbbell_max_kg", stock.dumbbell_kg(), "dumbbells"),
        ("kettlebell_max_kg", stock.kettlebell_kg(), "kettlebells"),
        ("plates_total_kg", stock.plates_kg(), "plates"),
        ("sandbag_max_kg", stock.sandbag_max_kg, "sandbag"),
    ] {
        if let Some(kg) = kg.filter(|kg| *kg > 0.0 && !there(item)) {
            let found = format!("{} kg of {item}, which are not among the items", trim(kg));
            fault("stock-item", format!("/stock/{member}"), found, format!("add {item:?} to the items"));
        }
    }
    if let (Some(ceiling), Some(height)) = (gym.ceiling_m, gym.body_height_m)
        && ceiling < height + OVER_HEAD_M
    {
        let found = format!("a ceiling of {} m over a lifter of {} m", trim(ceiling), trim(height));
        fault("ceiling-body", "/ceiling_m".to_string(), found, "mend one of the two".to_string());
    }
    for item in &gym.items {
        let sold = || catalogue.items.values().filter(|s| s.gives.contains(item));
        // The model that asks for least is the one that may stand there.
        let least = |of: &dyn Fn(&super::raw::Sold) -> f64| sold().map(of).fold(f64::INFINITY, f64::min);
        let needed = least(&|s| s.space.ceiling_m.unwrap_or(0.0));
        if let Some(ceiling) = gym.ceiling_m.filter(|c| needed.is_finite() && *c < needed) {
            let found = format!("{item:?} under {} m, of a kind that takes {} m or more", trim(ceiling), trim(needed));
            fault("ceiling-item", place(item), found, "mend the ceiling or take it out".to_string());
        }
        let area = least(&|s| s.space.use_m2);
        if let Some(floor) = gym.floor_use_m2.filter(|f| area.is_finite() && *f < area) {
            let found =
                format!("{item:?} on {} m2, of a kind that takes {} m2 or more in use", trim(floor), trim(area));
            fault("floor-item", place(item), found, "mend the floor or take it out".to_string());
        }
    }
    for (item, rated) in &gym.rated_kg {
        let step = format!("/rated_kg/{item}");
        if !there(item) {
            let found = format!("a rating of {item:?}, which is not among the items");
            fault("rated-item", step, found, format!("add {item:?} to the items or take its rating out"));
            continue;
        }
        let Some((_, lies)) = BEARS.iter().find(|(id, _)| id == item) else { continue };
        let Some(plates) = stock.plates_kg() else { continue };
        let load = plates + BAR_KG + if *lies { LIFTER_KG } else { 0.0 };
        if load > *rated {
            let with = if *lies { ", bar and lifter" } else { " and bar" };
            let found = format!("{item:?} rated {} kg, plates{with} make {} kg", trim(*rated), trim(load));
            fault("rated-load", step, found, format!("keep all that it bears to {} kg", trim(*rated)));
        }
    }
    out
}

/// Ids of all that an item provides, itself included.
fn provided<'a>(item: &'a str, equipment: &'a [Equipment]) -> Vec<&'a str> {
    let mut all = vec![item];
    let mut at = 0;
    while let Some(id) = all.get(at).copied() {
        if let Some(q) = equipment.iter().find(|q| q.id == id) {
            for given in &q.provides {
                if !all.contains(&given.as_str()) {
                    all.push(given);
                }
            }
        }
        at += 1;
    }
    all
}

/// Ids of all that is there.
fn closed<'a>(gym: &'a Gym, equipment: &'a [Equipment]) -> Vec<&'a str> {
    let everywhere = equipment.iter().filter(|q| q.baseline).map(|q| q.id.as_str());
    gym.items.iter().flat_map(|i| provided(i, equipment)).chain(everywhere).collect()
}
