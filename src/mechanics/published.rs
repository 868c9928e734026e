//! Published values that stand beside the model, or in its place where it does not apply.
//!
//! Leans on `lumbar` for classes. Leaves to others: which exercise points at which entry (the base).
//! Ids are those of the table of published values kept with the tests; parts of one entry carry a letter.

use super::lumbar::{REFERENCE_WEIGHT, SpineClass, two_figures};
use crate::units::Newton;

/// The entry with this id.
#[must_use]
pub fn find(id: &str) -> Option<&'static Published> {
    PUBLISHED.iter().find(|entry| entry.id == id)
}

/// All entries, in order of id.
#[must_use]
pub fn all() -> &'static [Published] {
    PUBLISHED
}

/// Where a figure comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Basis {
    /// The paper's own abstract, text or table was read.
    Seen,
    /// A copy, a review or another's code was read.
    SecondHand,
    /// Recalled; the source could not be opened. No regression test may lean on it.
    Memory,
    /// Worked out from other figures.
    Derived,
    /// Common practice, no source.
    Practice,
}

impl Basis {
    /// The word for it.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Seen => "seen",
            Self::SecondHand => "second hand",
            Self::Memory => "memory",
            Self::Derived => "derived",
            Self::Practice => "practice",
        }
    }
}

/// What a paper reports, as a range; a single value has equal ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Reported {
    /// Compression in newtons.
    Compression(f64, f64),
    /// Compression in body weights.
    BodyWeights(f64, f64),
    /// Moment at the low back in newton metres.
    Moment(f64, f64),
    /// Ratio of the first to the second thing compared.
    Ratio(f64, f64),
    /// Pressure inside the disc in megapascals.
    Pressure(f64, f64),
    /// An order or a direction without a figure.
    Finding,
}

/// One published entry.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Published {
    /// Id, with a letter for a part of an entry.
    pub id: &'static str,
    /// Task, with subjects where known.
    pub task: &'static str,
    /// What is reported.
    pub reported: Reported,
    /// What follows for ranking lifts.
    pub finding: &'static str,
    /// Source.
    pub source: &'static str,
    /// Basis of the figure.
    pub basis: Basis,
    /// Spine class where the entry sets one in place of the model.
    pub class: Option<SpineClass>,
}

impl Published {
    /// Compression in newtons, for an adult of the reference mass where it was reported in body
    /// weights.
    #[must_use]
    pub fn compression(&self) -> Option<(Newton, Newton)> {
        let weight = REFERENCE_WEIGHT.get();
        match self.reported {
            Reported::Compression(low, high) => Some((Newton(low), Newton(high))),
            Reported::BodyWeights(low, high) => Some((Newton(low * weight), Newton(high * weight))),
            Reported::Pressure(low, high) => Some((pressure_to_force(low), pressure_to_force(high))),
            _ => None,
        }
    }

    /// Middle of the reported compression, to two significant figures.
    #[must_use]
    pub fn shown(&self) -> Option<Newton> {
        self.compression().map(|(low, high)| Newton(two_figures(0.5 * (low.get() + high.get()))))
    }

    /// Spine class that the entry sets: its own, or that of the middle of its compression.
    #[must_use]
    pub fn spine_class(&self) -> Option<SpineClass> {
        self.class.or_else(|| {
            self.compression().map(|(low, high)| SpineClass::by_newtons(Newton(0.5 * (low.get() + high.get())), 1.0))
        })
    }
}

/// Disc pressure in megapascals as a force: `0.66 * 18 cm2 * p` (derived from a recalled rule).
#[must_use]
pub fn pressure_to_force(megapascals: f64) -> Newton {
    Newton(0.66 * 18.0e-4 * megapascals * 1.0e6)
}

/// Peak Achilles force of four tasks in rising order (Baxter 2021 for the ends, seen; the middle
/// from memory).
pub const ACHILLES: [(&str, f64, Basis); 4] = [
    ("seated heel raise", 0.5, Basis::Seen),
    ("standing heel raise, two legs", 1.6, Basis::Memory),
    ("standing heel raise, one leg", 3.0, Basis::Memory),
    ("forward hop on one leg", 7.3, Basis::Seen),
];

use Basis::{Derived, Memory, Practice, Seen};
use Reported::{BodyWeights, Compression, Finding, Moment, Pressure, Ratio};

const fn entry(
    id: &'static str,
    task: &'static str,
    reported: Reported,
    finding: &'static str,
    source: &'static str,
    basis: Basis,
) -> Published {
    Published { id, task, reported, finding, source, basis, class: None }
}

const fn classed(entry: Published, class: SpineClass) -> Published {
    Published { class: Some(class), ..entry }
}

static PUBLISHED: &[Published] = &[
    entry("P1", "lying prone, one man 70 kg, L4/5", Pressure(0.10, 0.10), "0.2 of standing", "Wilke 1999", Seen),
    entry("P2", "lying on the side", Pressure(0.12, 0.12), "0.24 of standing", "Wilke 1999", Seen),
    entry("P3", "relaxed standing", Pressure(0.50, 0.50), "the unit of the others", "Wilke 1999", Seen),
    entry(
        "P4",
        "standing, bent forwards (about 36 degrees)",
        Pressure(1.10, 1.10),
        "2.2 of standing",
        "Wilke 1999",
        Seen,
    ),
    entry(
        "P5",
        "sitting, slouched back to bent forwards",
        Pressure(0.30, 0.83),
        "0.6 to 1.7 of standing",
        "Wilke 1999",
        Seen,
    ),
    entry("P6", "lifting 20 kg, round back", Pressure(2.30, 2.30), "4.6 of standing", "Wilke 1999", Seen),
    entry("P7", "lifting 20 kg, knees bent", Pressure(1.70, 1.70), "3.4 of standing", "Wilke 1999", Seen),
    entry("P8", "holding 20 kg close to the body", Pressure(1.10, 1.10), "2.2 of standing", "Wilke 1999", Seen),
    entry(
        "Q1",
        "half squat, bar 0.8-1.6 body weights, 2 men 2 women, L3/4",
        BodyWeights(6.0, 10.0),
        "trunk lean is the strongest factor",
        "Cappozzo 1985",
        Seen,
    ),
    entry(
        "Q2",
        "back against front squat at equal share of own best, 15 trained",
        Finding,
        "back squat loads the knee more",
        "Gullett 2009",
        Seen,
    ),
    entry(
        "Q3",
        "back against front squat at equal load, 11 athletes",
        Finding,
        "hip moment higher in the back squat, knee higher in the front squat at 80 %",
        "J Sports Sci 2020 38:2005",
        Seen,
    ),
    entry(
        "Q4",
        "safety bar against straight bar, 12 powerlifters",
        Ratio(0.887, 0.887),
        "best triple 11.3 % lower, trunk 7.3 degrees less bent",
        "Hecker 2019",
        Seen,
    ),
    entry(
        "Q5",
        "split squat at 35 % against back squat at 70 % of best, 20 men",
        Finding,
        "split squat: hip far above ankle above knee",
        "Mackey & Riemann 2021",
        Seen,
    ),
    entry(
        "Q6",
        "holding 0-20 kg, trunk 0-30 degrees, knees straight or bent",
        Finding,
        "moment and compression rise with load and lean",
        "Kahrizi 2007",
        Seen,
    ),
    entry(
        "D1a",
        "deadlift, national powerlifters, highest group average, L4/5",
        Compression(17_192.0, 17_192.0),
        "17.4 N for each N·m",
        "Cholewicki 1991",
        Seen,
    ),
    entry("D1b", "the same lifts, moment", Moment(988.0, 988.0), "hip moment 1 047 N·m", "Cholewicki 1991", Seen),
    entry(
        "D2",
        "sumo over conventional deadlift, L4/5 moment",
        Ratio(0.90, 0.90),
        "load shear 8 % lower",
        "Cholewicki 1991",
        Seen,
    ),
    entry(
        "D3",
        "world-class deadlifts, L3",
        Compression(18_800.0, 36_400.0),
        "order of magnitude at 250-330 kg only",
        "Granhed 1987",
        Memory,
    ),
    entry(
        "D4",
        "hexagonal over straight bar, 19 powerlifters, best lift",
        Ratio(1.08, 1.08),
        "low back, hip and ankle lower, knee higher",
        "Swinton 2011",
        Seen,
    ),
    entry("D5", "hexagonal over straight bar, 11 men, best lift", Ratio(1.06, 1.06), "15 % faster", "Lake 2017", Seen),
    entry(
        "D6",
        "sumo against conventional, 24 lifters",
        Finding,
        "sumo trunk 5-10 degrees more upright, bar travels 25-40 % less",
        "Escamilla 2000",
        Seen,
    ),
    entry(
        "D8",
        "good morning over deadlift, both 25 % of body weight, L4/5 moment",
        Ratio(1.0, 1.0),
        "no difference in trunk angle; hip moment higher in the good morning",
        "Schellenberg 2013",
        Seen,
    ),
    entry(
        "D9",
        "conventional against Romanian deadlift at equal load, 21 men",
        Finding,
        "knee and ankle moment higher in the conventional lift",
        "conventional vs Romanian 2018",
        Seen,
    ),
    entry(
        "D10",
        "68 kg deadlift, one man of 98.8 kg, finite elements, L5/S1",
        Compression(17_200.0, 17_200.0),
        "684 N·m; shows how far models differ",
        "heavy-deadlift finite-element 2023 (e3680)",
        Seen,
    ),
    entry(
        "D11",
        "deadlift, hang clean, hang snatch, 5 men",
        Finding,
        "technique tells; no figures retrieved",
        "Eltoukhy 2016",
        Seen,
    ),
    entry(
        "K1",
        "10.5 kg box from 5 cm, squat over stoop lift, feet behind the box",
        Ratio(1.17, 1.17),
        "bending the knees is not always lighter; distance of the load decides",
        "Kingma 2004",
        Seen,
    ),
    entry(
        "K2",
        "the same lifts, shear",
        Finding,
        "small at L4/5, 1 100-1 400 N at L5/S1: a single-muscle model misses it",
        "Kingma 2004",
        Seen,
    ),
    entry(
        "K3",
        "wide stance over a wide box with high handles",
        Ratio(0.0, 0.8),
        "more than 20 % lower compression",
        "Kingma 2010",
        Seen,
    ),
    entry(
        "U1a",
        "bent-over row, 7 men",
        Compression(3600.0, 3600.0),
        "highest of the three rows (order seen)",
        "Fenwick 2009",
        Memory,
    ),
    entry(
        "U1b",
        "inverted row, 7 men",
        Compression(2300.0, 2300.0),
        "lowest of the three rows (order seen)",
        "Fenwick 2009",
        Memory,
    ),
    entry(
        "U1c",
        "one-arm cable row, 7 men",
        Compression(2500.0, 2500.0),
        "asks the trunk not to turn",
        "Fenwick 2009",
        Memory,
    ),
    classed(
        entry(
            "U2",
            "chin-up and pull-up, 14 men",
            Finding,
            "highest of the pulling set despite hanging; never unloading",
            "McGill 2014 pulling",
            Seen,
        ),
        SpineClass::Low,
    ),
    entry(
        "U3a",
        "push-up on the floor",
        Compression(1234.0, 1530.0),
        "shear greater than on straps",
        "McGill 2014 pushing",
        Seen,
    ),
    entry(
        "U3b",
        "push-up on straps",
        Compression(1653.0, 2128.0),
        "difference in compression not significant",
        "McGill 2014 pushing",
        Seen,
    ),
    entry(
        "U5",
        "kettlebell swing 16 kg, 7 men",
        Compression(3200.0, 3200.0),
        "shear backwards, opposite to a lift",
        "McGill & Marshall 2012",
        Seen,
    ),
    entry(
        "U6",
        "abdominal exercises, 9 subjects",
        Finding,
        "partial curl-ups challenge most for their compression",
        "Axler & McGill 1997",
        Seen,
    ),
    entry(
        "U7a",
        "curl-up",
        Compression(1991.0, 2009.0),
        "lowest of the abdominal set but one",
        "McGill textbook table",
        Memory,
    ),
    entry(
        "U7b",
        "bent-leg raise, lying",
        Compression(1767.0, 1767.0),
        "lowest of the abdominal set",
        "McGill textbook table",
        Memory,
    ),
    entry(
        "U7c",
        "quarter sit-up",
        Compression(2392.0, 2392.0),
        "table value in place of the model",
        "McGill textbook table",
        Memory,
    ),
    entry(
        "U7d",
        "straight-leg raise, lying",
        Compression(2525.0, 2525.0),
        "table value in place of the model",
        "McGill textbook table",
        Memory,
    ),
    entry(
        "U7e",
        "side bridge",
        Compression(2585.0, 2585.0),
        "table value in place of the model",
        "McGill textbook table",
        Memory,
    ),
    entry(
        "U7f",
        "hanging straight-leg raise",
        Compression(2805.0, 2805.0),
        "table value in place of the model",
        "McGill textbook table",
        Memory,
    ),
    entry(
        "U7g",
        "cross-knee curl-up",
        Compression(2964.0, 2964.0),
        "table value in place of the model",
        "McGill textbook table",
        Memory,
    ),
    entry(
        "U7h",
        "hanging bent-leg raise",
        Compression(3313.0, 3313.0),
        "table value in place of the model",
        "McGill textbook table",
        Memory,
    ),
    entry(
        "U7i",
        "bent-knee sit-up",
        Compression(3350.0, 3350.0),
        "table value in place of the model",
        "McGill textbook table",
        Memory,
    ),
    entry(
        "U7j",
        "straight-leg sit-up",
        Compression(3506.0, 3506.0),
        "highest of the abdominal set",
        "McGill textbook table",
        Memory,
    ),
    entry(
        "U8a",
        "all fours, one leg reaching, 13 men",
        Compression(2500.0, 2500.0),
        "lowest of the extensor set (order seen)",
        "Callaghan 1998",
        Memory,
    ),
    entry(
        "U8b",
        "all fours, leg and opposite arm reaching",
        Compression(3000.0, 3000.0),
        "the arm raises it (order seen)",
        "Callaghan 1998",
        Memory,
    ),
    entry(
        "U8c",
        "prone trunk extension",
        Compression(4000.0, 4000.0),
        "highest of the extensor set (order seen)",
        "Callaghan 1998",
        Memory,
    ),
    entry(
        "U8d",
        "prone, arms and legs raised",
        Compression(4300.0, 6000.0),
        "beyond the plain trunk extension",
        "Callaghan 1998",
        Memory,
    ),
    entry(
        "U9",
        "loaded carries: farmer, yoke, suitcase, keg, stone, tyre, log",
        Finding,
        "no figures retrieved; the trunk makes up for the hip under a yoke",
        "McGill 2009",
        Seen,
    ),
    entry(
        "U10",
        "30 kg in one hand against 30 kg in each hand",
        Finding,
        "one hand loads the spine more",
        "McGill, Marshall & Andersen 2013",
        Memory,
    ),
    entry("U11", "walking, 5 men, L3/4, peaks", BodyWeights(1.0, 2.5), "anchors the low class", "Cappozzo 1984", Seen),
    classed(
        entry("U12", "running", BodyWeights(2.5, 6.0), "adds impact", "running loads", Memory),
        SpineClass::Moderate,
    ),
    entry(
        "U14",
        "side bend and twist at equal effort",
        Finding,
        "load the spine less than bending or holding in front",
        "Schultz 1982",
        Seen,
    ),
    classed(
        entry(
            "U15",
            "overhead press 50 kg",
            Compression(1284.0, 1284.0),
            "low to moderate by load, plus arching",
            "worked example X14",
            Derived,
        ),
        SpineClass::Low,
    ),
    classed(
        entry(
            "U16",
            "hip thrust 1.5 body weights",
            Compression(2732.0, 2732.0),
            "no bar weight through the trunk",
            "worked example X18",
            Derived,
        ),
        SpineClass::Moderate,
    ),
    classed(
        entry(
            "U17",
            "leg press, hack squat",
            Finding,
            "the risk is the pelvis curling at depth, not weight along the spine",
            "common practice",
            Practice,
        ),
        SpineClass::Low,
    ),
    classed(
        entry(
            "U18",
            "passive hang, inversion, traction",
            Compression(-100.0, -100.0),
            "none for the passive hang only",
            "Nachemson 1976; Ramos & Martin 1994",
            Memory,
        ),
        SpineClass::None,
    ),
    classed(
        entry(
            "U19",
            "chest-supported row, machine press",
            Finding,
            "the pad takes the trunk moment",
            "worked out from support",
            Derived,
        ),
        SpineClass::Low,
    ),
    entry(
        "V4",
        "one hand propping the trunk over a basin, over no prop",
        Ratio(0.70, 0.70),
        "a propping hand takes about a third off",
        "Rohlmann 2014 (methods for reducing load)",
        Seen,
    ),
    entry("B1", "belt and full breath, compression", Ratio(0.90, 1.0), "about a tenth at most", "Kingma 2006", Memory),
    entry(
        "B2",
        "belt, pressure in the abdomen, squats",
        Ratio(1.25, 1.40),
        "raises pressure; the effect is stiffness, not unloading",
        "Lander 1992",
        Seen,
    ),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ids_are_distinct_and_every_row_speaks() {
        let mut ids: Vec<_> = all().iter().map(|entry| entry.id).collect();
        ids.sort_unstable();
        let before = ids.len();
        ids.dedup();
        assert_eq!(before, ids.len());
        for entry in all() {
            assert!(!entry.task.is_empty() && !entry.finding.is_empty() && !entry.source.is_empty());
            if let Some((low, high)) = entry.compression() {
                assert!(low.get() <= high.get(), "{}", entry.id);
            }
        }
    }

    // Source: table of published values, conversion beside the pressure table (derived).
    #[test]
    fn pressures_convert_as_printed() {
        for (pressure, newtons) in [(0.5, 594.0), (1.1, 1307.0), (1.7, 2020.0), (2.3, 2732.0)] {
            assert!((pressure_to_force(pressure).get() - newtons).abs() < 1.0);
        }
    }

    // Source: table of published values, grades stated beside the entries.
    #[test]
    fn stated_classes() {
        let class = |id| find(id).and_then(Published::spine_class);
        assert_eq!(class("U18"), Some(SpineClass::None));
        assert_eq!(class("U2"), Some(SpineClass::Low));
        assert_eq!(class("U3a"), Some(SpineClass::Low));
        assert_eq!(class("U5"), Some(SpineClass::Moderate));
        assert_eq!(class("U16"), Some(SpineClass::Moderate));
        assert_eq!(class("U11"), Some(SpineClass::Low));
        assert_eq!(class("U14"), None);
        assert!(find("Z9").is_none());
        assert_eq!(find("U3a").and_then(Published::shown), Some(Newton(1400.0)));
    }
}
