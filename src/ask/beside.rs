//! What stands beside an estimate: published measurements, and a substitute beside its original.
//!
//! Leans on [`crate::mechanics::published`] and on the estimate of [`super::forces`]. Leaves to
//! others: which substitutes there are ([`super::swap`]).

use schemars::JsonSchema;
use serde::Serialize;

use super::Error;
use super::forces::{Sex, estimate, record, refused, within};
use crate::kb::Kb;
use crate::kb::model::{self, Estimated};
use crate::mechanics::anthropometry::{self, Body};
use crate::mechanics::lumbar::{UNCERTAINTY, UNCERTAINTY_ACROSS, two_figures};
use crate::mechanics::published::{self, Published, Reported};
use crate::units::{Kg, bounds, trim};

/// A published measurement beside the estimate.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Compared {
    /// Task, with subjects where known.
    pub task: &'static str,
    /// What was reported, with its unit.
    pub reported: String,
    /// The report as compression, newtons, where it can be one: low and high.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub newtons: Option<[f64; 2]>,
    /// What follows from it.
    pub finding: &'static str,
    /// Source.
    pub source: &'static str,
    /// How far the source was read.
    pub basis: &'static str,
}

/// What stands for a report that has an order or a direction only.
pub const NO_FIGURE: &str = "no figure";

/// Published entries that speak of a posture: ids of postures, and ids of entries, between blanks.
const COMPARE: &[(&str, &str)] = &[
    ("squat-high-bar squat-low-bar", "Q1 Q2 Q3"),
    ("squat-front", "Q2 Q3"),
    ("squat-safety", "Q1 Q4"),
    ("squat-goblet squat-hang squat-bodyweight squat-overhead squat-belt", "Q6 P7"),
    ("split-hang split-bar split-front split-bodyweight split-overhead", "Q5"),
    ("step-hang step-bar step-bodyweight", "Q5"),
    ("deadlift-floor block-pull rack-pull deficit-pull straddle-pull", "D1a D1b D3 D10"),
    ("deadlift-sumo", "D1a D2 D6"),
    ("trap-low trap-high", "D4 D5 D1a"),
    ("hinge-rdl hinge-single-leg", "D9 D1a"),
    ("hinge-stiff", "D9 P6"),
    ("hinge-goodmorning hinge-front-held", "D8"),
    ("hinge-supported", "V4"),
    ("hinge-bodyweight hinge-belt hinge-cable arm-bent-over", "P4"),
    ("back-extension-45 back-extension-flat prone-extension", "U8c U8d"),
    ("row-bent row-dead-stop row-t-bar", "U1a U1b U1c"),
    ("row-one-arm", "U1a U1c V4"),
    ("row-inverted", "U1b U1a"),
    ("row-seated-cable row-standing-cable cable-standing", "U1c"),
    ("press-standing press-seated hold-overhead", "U15"),
    ("arm-front-standing shrug-front kneeling-load", "P8"),
    ("seated-free seated-upright", "P5"),
    ("carry-both carry-one carry-front carry-overhead carry-back", "U9 U10 U11"),
    ("thrust bridge", "U16"),
    ("reverse-hyper", "U8c"),
    ("supported", "U19 U17"),
    ("lying", "P1 P2"),
    ("quadruped all-fours-leg crawl", "U8a U8b"),
    ("bird-dog", "U8b U8a"),
    ("push-up push-up-kneeling plank plank-long", "U3a U3b"),
    ("side-plank", "U7e"),
    ("curl-up", "U7a U6"),
    ("sit-up", "U7i U7j U7c"),
    ("leg-raise-lying", "U7b U7d"),
    ("hanging-knee", "U7h"),
    ("hanging-leg", "U7f"),
    ("ab-rollout", "U6"),
    ("twist-standing side-bend throw", "U14"),
    ("pull-up pulldown", "U2"),
    ("hang-passive", "U18"),
    ("swing", "U5"),
    ("olympic-pull olympic-hang olympic-catch-overhead", "D11 D1a"),
    ("jump landing run", "U12"),
    ("sled-push sled-drag walk", "U11"),
];

/// Shown with every exercise: quiet standing.
const YARDSTICK: &str = "P3";
/// Shown when a belt is asked about.
const BELT: [&str; 2] = ["B1", "B2"];

/// What was measured of lifts in this posture, and quiet standing.
pub(super) fn compare(posture: &str, belt: bool) -> Vec<Compared> {
    let speaks = |ids: &str| ids.split(' ').any(|id| id == posture);
    let own = COMPARE.iter().filter(|(postures, _)| speaks(postures)).flat_map(|(_, ids)| ids.split(' '));
    let belt = BELT.into_iter().filter(|_| belt);
    own.chain(belt).chain([YARDSTICK]).filter_map(|id| published::find(id)).map(compared).collect()
}

fn compared(entry: &'static Published) -> Compared {
    let between = |low: f64, high: f64, unit: &str| {
        let ends = if low == high { trim(low) } else { format!("{} to {}", trim(low), trim(high)) };
        format!("{ends}{unit}")
    };
    let reported = match entry.reported {
        Reported::Compression(low, high) => between(two_figures(low), two_figures(high), " N"),
        Reported::BodyWeights(low, high) => between(low, high, " body weights"),
        Reported::Moment(low, high) => between(two_figures(low), two_figures(high), " N·m"),
        Reported::Ratio(low, high) if low <= 0.0 => format!("ratio {} or less", trim(two_figures(high))),
        Reported::Ratio(low, high) => format!("ratio {}", between(two_figures(low), two_figures(high), "")),
        Reported::Pressure(low, high) => between(low, high, " MPa in the disc"),
        Reported::Finding => NO_FIGURE.to_string(),
    };
    Compared {
        task: entry.task,
        reported,
        newtons: entry.compression().map(|(low, high)| [low, high].map(|n| two_figures(n.get()))),
        finding: entry.finding,
        source: entry.source,
        basis: entry.basis.word(),
    }
}

/// Estimated compression of a substitute beside that of the original.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct SpineLoad {
    /// Load of the original, kg in all.
    pub original_kg: f64,
    /// Compression of the original, newtons, two figures.
    pub original_n: f64,
    /// Load of the substitute that counts as equal, kg in all.
    pub substitute_kg: f64,
    /// Compression of the substitute, newtons, two figures.
    pub substitute_n: f64,
    /// Substitute over original.
    pub ratio: f64,
    /// Lower end of the ratio.
    pub low: f64,
    /// Upper end of the ratio.
    pub high: f64,
    /// The ratio in words.
    pub said: String,
    /// How the substitute's load was found, and how wide the range is.
    pub how: String,
}

/// The original's side of a comparison, made once for all substitutes.
pub(super) struct Known<'k> {
    row: usize,
    body: Body,
    load: f64,
    made: Estimated<'k>,
}

impl<'k> Known<'k> {
    /// The original at the load that its lifter knows.
    pub(super) fn new(kb: &'k Kb, row: usize, body: Body, load: f64) -> Result<Self, Error> {
        let load = within(bounds::LOAD, load, "/known_load_kg")?;
        let made = estimate(kb, row, &body, Kg(load), None, "")?;
        Ok(Self { row, body, load, made })
    }

    /// The original's side in a sentence, and how far the ratios can be trusted.
    pub(super) fn said(&self) -> String {
        let sex = match self.body.sex() {
            anthropometry::Sex::Female => Sex::Female,
            anthropometry::Sex::Male => Sex::Male,
        };
        format!(
            "spine loads are estimates for {} kg, {} m, {sex}: the original with {} kg about {} N, each substitute with \
             the load that goes with it; about 30 % either way within a family of lifts and a factor of two between \
             families; a lower one does not mean safe for you",
            trim(self.body.mass().get()),
            trim(self.body.height().get()),
            trim(self.load),
            trim(two_figures(self.made.compression.get()))
        )
    }

    /// Whether the original loads the spine by estimate, so that a share of it can be told.
    pub(super) fn has_load(&self) -> bool {
        self.made.compression.get() > 0.0
    }

    /// The substitute at its own equivalent load: the known load times the substitute's typical
    /// working load over the original's, both for this body and both in all. None where the
    /// original does not load the spine at all, so that there is nothing to be a share of.
    pub(super) fn against(&self, kb: &Kb, row: usize) -> Result<Option<SpineLoad>, Error> {
        let (own, original) = (record(kb, row)?, record(kb, self.row)?);
        let working = |row| model::typical_load(kb, row, &self.body).map(Kg::get).map_err(|e| refused(e, ""));
        let (mine, theirs) = (working(row)?, working(self.row)?);
        let (load, mut how) = if mine == 0.0 {
            (0.0, "it is done with the body alone".to_string())
        } else if theirs == 0.0 {
            (mine, "its load is a typical one for this body, since the original has none to convert from".to_string())
        } else {
            let same = own.typical_load.anchor == original.typical_load.anchor;
            let by = if same { "their usual shares of one lift" } else { "the usual bests of this body in both lifts" };
            (self.load * mine / theirs, format!("its load follows from the known one by {by}"))
        };
        let load = ((load * 2.0).round() / 2.0).min(bounds::LOAD.max);
        let made = estimate(kb, row, &self.body, Kg(load), None, "")?;
        let (from, to) = (self.made.compression.get(), made.compression.get());
        if !self.has_load() {
            return Ok(None);
        }
        let ratio = to / from;
        let family = own.pattern == original.pattern && made.kind() == self.made.kind();
        let (low, high) = if family {
            how.push_str("; one family of lifts, so about 30 % either way");
            (ratio * (1.0 - UNCERTAINTY), ratio * (1.0 + UNCERTAINTY))
        } else {
            how.push_str("; another family of lifts, so a factor of two either way");
            (ratio / UNCERTAINTY_ACROSS, ratio * UNCERTAINTY_ACROSS)
        };
        let said =
            format!("about {} ({} to {}) of the original's spine load", coarse(ratio), coarse(low), coarse(high));
        let [ratio, low, high] = [ratio, low, high].map(two_figures);
        Ok(Some(SpineLoad {
            original_kg: self.load,
            original_n: two_figures(from),
            substitute_kg: load,
            substitute_n: two_figures(to),
            ratio,
            low,
            high,
            said,
            how,
        }))
    }
}

/// One significant figure below 1 and one decimal place above, as much as a ratio deserves.
fn coarse(value: f64) -> String {
    if value <= 0.0 {
        return "0".to_string();
    }
    let place = if value >= 0.95 { 10.0 } else { 10f64.powi(-value.log10().floor() as i32) };
    trim((value * place).round() / place)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ask::Engine;

    #[test]
    fn a_ratio_is_told_coarsely() {
        assert_eq!(
            [0.0, 0.04, 0.42, 0.84, 0.97, 1.0, 1.26, 2.04].map(coarse),
            ["0", "0.04", "0.4", "0.8", "1", "1", "1.3", "2"]
        );
    }

    #[test]
    fn every_posture_of_the_base_has_something_to_compare_with() {
        let engine = Engine::shipped().unwrap();
        // Quiet standing alone is the yardstick of these.
        let plain = ["standing", "kneeling-upright", "arm-side-standing", "dip-hang"];
        for posture in &engine.kb().postures {
            let rows = compare(&posture.id, false);
            assert!(rows.len() >= 2 || plain.contains(&posture.id.as_str()), "{}", posture.id);
        }
        for (postures, ids) in COMPARE {
            assert!(ids.split(' ').all(|id| published::find(id).is_some()), "{ids:?}");
            for posture in postures.split(' ') {
                assert!(engine.kb().postures.iter().any(|p| p.id == posture), "{posture}");
            }
        }
        assert!(BELT.iter().all(|id| published::find(id).is_some()) && published::find(YARDSTICK).is_some());
        assert_eq!(compare("swing", true).len(), compare("swing", false).len() + BELT.len());
    }
}
