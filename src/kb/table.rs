//! The compiled base: dense columns that a scan reads, and rich records read on demand.
//!
//! Leans on postcard for the compact form that is built into the binary. Leaves to others:
//! scoring ([`crate::rank`]). Made by [`super::compile`] alone, from a draft without errors.

use serde::{Deserialize, Serialize};

use super::lanes::Lanes;
use super::raw;

/// Sets of kit are bits of one word.
pub type KitSet = u128;

/// Position of an exercise in the columns.
pub type RowId = u32;

/// Most kinds of kit, muscles and aggravators that the columns hold.
pub const MOST_KIT: usize = KitSet::BITS as usize;

/// Muscle weights of an exercise are padded with zeros to a multiple of this.
pub const MUSCLE_STEP: usize = 16;

/// One exercise in the scan: small, fixed numbers only. Ids are positions in the base's lists.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Row {
    /// Leaf of the pattern tree.
    pub pattern: u8,
    /// Spine class step, 0 to 4: the record's own where it sets one, else the computed one.
    pub spine: u8,
    /// Computed compression in body weights, for the reference man at his typical working load.
    pub compression_bw: f32,
    /// Where that stands on the scale of classes, continuous: the whole part is the class step,
    /// the rest how far through the class. Held to the class where a person set another.
    pub spine_position: f32,
    /// Role.
    pub role: raw::Role,
    /// Skill, 1 to 5.
    pub skill: u8,
    /// How usual, 1 to 5.
    pub usual: u8,
    /// Where it is hard.
    pub hard_at: raw::MuscleLength,
    /// Where the load sits.
    pub load_position: raw::LoadPosition,
    /// Sides at work.
    pub laterality: raw::Laterality,
    /// Sum of the squares of its muscle weights.
    pub own_product: u32,
    /// Bits of the muscles that work hard enough to keep a prime mover (the ranking's
    /// `prime_kept_weight`).
    pub keeps: u64,
    /// Fewest repetitions or seconds.
    pub reps_low: u16,
    /// Most repetitions or seconds.
    pub reps_high: u16,
    /// Whether the range is in seconds.
    pub holds: bool,
    /// What the load is counted in.
    pub counted: raw::Counted,
    /// Typical one-repetition equivalent in shares of body mass (anchor's share times own share).
    pub one_rm_bm: f32,
    /// Load on the working limbs at one repetition's best, in body masses: external load and
    /// the body's own share, twice where one limb works at a time.
    pub demand_bm: f32,
    /// Ceiling needed, centimetres; 0 where it does not matter.
    pub headroom_cm: u16,
    /// Topmost ancestor in the variation graph.
    pub root: RowId,
    /// Direct parent, or itself.
    pub parent: RowId,
    /// First and one-past-last of its kit alternatives in [`Table::kits`].
    pub kits: (u32, u32),
    /// First and one-past-last of its lists in [`Table::instead_lists`]; shared with the nearest
    /// ancestor where it has none of its own.
    pub instead: (u32, u32),
    /// Whose lists those are: itself, that ancestor, or itself where there are none.
    pub instead_of: RowId,
}

/// One list of what coaches name in an exercise's place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct InsteadList {
    /// Sore region that it is for, or none.
    pub region: Option<u16>,
    /// First and one-past-last of its rows in [`Table::instead`].
    pub rows: (u32, u32),
}

/// All columns. Wide ones are flat, one stride for each exercise.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Table {
    /// One row for each exercise, ordered by pattern, then main muscle, then id.
    pub rows: Vec<Row>,
    /// Kit alternatives of all exercises.
    pub kits: Vec<KitSet>,
    /// Lists of what coaches name in the exercises' place.
    pub instead_lists: Vec<InsteadList>,
    /// Rows of these lists, best first.
    pub instead: Vec<RowId>,
    /// Muscle weights in hundredths, `muscle_count` for each exercise.
    #[serde(with = "serde_bytes")]
    pub muscles: Vec<u8>,
    /// Region grades, `region_count` for each exercise.
    #[serde(with = "serde_bytes")]
    pub grades: Vec<u8>,
    /// Aggravator grades, `aggravator_count` for each exercise, regions in order.
    #[serde(with = "serde_bytes")]
    pub aggravators: Vec<u8>,
    /// Stride of [`Self::muscles`]: the number of muscles, padded to a multiple of [`MUSCLE_STEP`].
    pub muscle_count: usize,
    /// Stride of [`Self::grades`].
    pub region_count: usize,
    /// Stride of [`Self::aggravators`].
    pub aggravator_count: usize,
}

impl Table {
    /// The rows that coaches name in an exercise's place, best first: for a sore region, or for
    /// none; empty where there is no such list.
    #[must_use]
    pub fn instead_of(&self, row: usize, region: Option<usize>) -> &[RowId] {
        let Some(r) = self.rows.get(row) else { return &[] };
        let lists = self.instead_lists.get(r.instead.0 as usize..r.instead.1 as usize).unwrap_or_default();
        let list = lists.iter().find(|l| l.region.map(usize::from) == region);
        list.and_then(|l| self.instead.get(l.rows.0 as usize..l.rows.1 as usize)).unwrap_or_default()
    }

    /// Muscle weights of an exercise, in hundredths.
    #[must_use]
    pub fn muscles_of(&self, exercise: usize) -> &[u8] {
        stride(&self.muscles, self.muscle_count, exercise)
    }

    /// Region grades of an exercise.
    #[must_use]
    pub fn grades_of(&self, exercise: usize) -> &[u8] {
        stride(&self.grades, self.region_count, exercise)
    }

    /// Aggravator grades of an exercise.
    #[must_use]
    pub fn aggravators_of(&self, exercise: usize) -> &[u8] {
        stride(&self.aggravators, self.aggravator_count, exercise)
    }

    /// Kit alternatives of an exercise.
    #[must_use]
    pub fn kits_of(&self, exercise: usize) -> &[KitSet] {
        let range = self.rows.get(exercise).map_or(0..0, |r| r.kits.0 as usize..r.kits.1 as usize);
        self.kits.get(range).unwrap_or_default()
    }
}

fn stride(column: &[u8], width: usize, at: usize) -> &[u8] {
    column.get(at * width..(at + 1) * width).unwrap_or_default()
}

/// Folded names in order of the alphabet, each with the exercise it names.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Names {
    /// All folded names, one after the other.
    pub text: String,
    /// End of each name in the text.
    pub ends: Vec<u32>,
    /// Exercise that each names.
    pub exercises: Vec<RowId>,
}

impl Names {
    /// Builds from pairs; a name that stands twice keeps its first exercise.
    #[must_use]
    pub fn build(mut pairs: Vec<(String, RowId)>) -> Self {
        pairs.sort();
        pairs.dedup_by(|a, b| a.0 == b.0);
        let mut names = Self::default();
        for (name, exercise) in pairs {
            names.text.push_str(&name);
            names.ends.push(u32::try_from(names.text.len()).unwrap_or(u32::MAX));
            names.exercises.push(exercise);
        }
        names
    }

    /// How many names there are.
    #[must_use]
    pub fn len(&self) -> usize {
        self.ends.len()
    }

    /// Whether there is none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.ends.is_empty()
    }

    /// The name at a position, with its exercise.
    #[must_use]
    pub fn get(&self, at: usize) -> Option<(&str, RowId)> {
        let start = at.checked_sub(1).and_then(|before| self.ends.get(before)).copied().unwrap_or(0) as usize;
        let end = *self.ends.get(at)? as usize;
        Some((self.text.get(start..end)?, *self.exercises.get(at)?))
    }

    /// The exercise of a folded name.
    #[must_use]
    pub fn find(&self, folded: &str) -> Option<RowId> {
        let (mut low, mut high) = (0, self.len());
        while low < high {
            let middle = low.midpoint(high);
            let (name, exercise) = self.get(middle)?;
            match name.cmp(folded) {
                std::cmp::Ordering::Equal => return Some(exercise),
                std::cmp::Ordering::Less => low = middle + 1,
                std::cmp::Ordering::Greater => high = middle,
            }
        }
        None
    }

    /// Every name with its exercise, in order of the alphabet.
    pub fn iter(&self) -> impl Iterator<Item = (&str, RowId)> {
        (0..self.len()).filter_map(|i| self.get(i))
    }
}

/// Folded names of the taxonomies, each with its position in the list.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Words {
    /// Regions.
    pub regions: Names,
    /// Kit.
    pub equipment: Names,
    /// Muscles.
    pub muscles: Names,
    /// Patterns.
    pub patterns: Names,
}

/// Which bits of a kit set bear the load, for the reach of a stock.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Carriers {
    /// Dumbbells.
    pub dumbbells: KitSet,
    /// Kettlebells.
    pub kettlebells: KitSet,
    /// Sandbag or pack.
    pub sandbag: KitSet,
    /// Plates.
    pub plates: KitSet,
    /// The straight bar.
    pub barbell: KitSet,
    /// Whatever else carries plates; without any of it plates are held in the hands.
    pub plate_carriers: KitSet,
}

/// Light work that is offered when a region is sore; few rows are, so they stand apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct LightWork {
    /// Row.
    pub row: RowId,
    /// Bits of the regions that it is offered for.
    pub helps: u32,
    /// Position of the region that it is most for.
    pub most: u8,
}

/// A makeshift set-up, in the form that a scan asks.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct StandIn {
    /// Position of the item that it stands in for.
    pub item: u8,
    /// Its place among the stand-ins of that item.
    pub place: u8,
    /// Kit that it is made of.
    pub needs: KitSet,
    /// Most load that it bears, kg; none where it does not limit.
    pub most_load_kg: Option<f64>,
    /// Rows that ask for the item and that it serves, in order.
    pub rows: Vec<RowId>,
}

/// Everything a compiled base holds, in the form that is built into the binary.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Compiled {
    /// Name and version.
    pub base: raw::Base,
    /// Fingerprint of the texts that the base was made from.
    pub stamp: String,
    /// Pattern tree.
    pub patterns: Vec<raw::Pattern>,
    /// Depth-first path of each pattern from the top, as positions.
    pub pattern_paths: Vec<Vec<u8>>,
    /// Muscles.
    pub muscles: Vec<raw::Muscle>,
    /// Regions.
    pub regions: Vec<raw::Region>,
    /// Bits of each region's own muscles.
    pub own_muscles: Vec<u64>,
    /// First aggravator column of each region.
    pub aggravator_start: Vec<u16>,
    /// Kit.
    pub equipment: Vec<raw::Equipment>,
    /// What each item provides, itself included, closed.
    pub provides: Vec<KitSet>,
    /// What each item depends on, directly.
    pub depends_on: Vec<KitSet>,
    /// Present everywhere.
    pub baseline: KitSet,
    /// Makeshift set-ups, in order of the item that they stand in for.
    pub stand_ins: Vec<StandIn>,
    /// What is offered for a sore region, in order of row.
    pub light: Vec<LightWork>,
    /// Anchor lifts.
    pub anchors: Vec<raw::Anchor>,
    /// Shared postures.
    pub postures: Vec<raw::Posture>,
    /// Gyms.
    pub gyms: Vec<raw::Gym>,
    /// Sources.
    pub sources: Vec<raw::Source>,
    /// Cautions.
    pub cautions: raw::Cautions,
    /// Carry-over pairs.
    pub carryover: Vec<raw::CarryOver>,
    /// Rows of the two lifts of each pair.
    pub carryover_rows: Vec<(RowId, RowId)>,
    /// Bests and first sessions.
    pub loads: raw::Loads,
    /// What a week is held against.
    pub week: raw::WeekFigures,
    /// What can be bought.
    pub catalogue: raw::Catalogue,
    /// A coach's tier of load along the spine of each exercise by row, 0 to 3.
    #[serde(with = "serde_bytes")]
    pub tiers: Vec<u8>,
    /// Shares of body mass.
    pub body_shares: Vec<raw::BodyShare>,
    /// Anchor lift of each exercise by row, as a position.
    #[serde(with = "serde_bytes")]
    pub anchor_of: Vec<u8>,
    /// Share of the anchor lift of each exercise by row.
    pub anchor_share: Vec<f64>,
    /// Ranking.
    pub ranking: raw::Ranking,
    /// Columns.
    pub table: Table,
    /// The columns turned on their side.
    pub lanes: Lanes,
    /// Ids in order of row.
    pub ids: Vec<String>,
    /// Names shown in order of row.
    pub names_shown: Vec<String>,
    /// Folded names of regions, kit, muscles and patterns; an id or name wins over an alias.
    pub words: Words,
    /// Items by what they carry.
    pub carriers: Carriers,
    /// Folded names.
    pub names: Names,
    /// End of each rich record; the records themselves stand apart, so that a start reads none.
    pub record_ends: Vec<u32>,
}

/// Word keys that name one exercise only: one said of two would be no answer.
pub(super) fn unique_keys(mut pairs: Vec<(String, RowId)>) -> Vec<(String, RowId)> {
    pairs.sort();
    pairs.dedup();
    let mut out: Vec<(String, RowId)> = Vec::with_capacity(pairs.len());
    let mut doubled = None;
    for pair in pairs {
        if doubled.as_deref() == Some(pair.0.as_str()) {
            continue;
        }
        if out.last().is_some_and(|last| last.0 == pair.0) {
            out.pop();
            doubled = Some(pair.0);
        } else {
            out.push(pair);
        }
    }
    out
}
