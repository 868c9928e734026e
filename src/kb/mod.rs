//! The base: exercises, taxonomies, gyms, cautions and the weights of the ranking.
//!
//! Leans on [`crate::units`] for bounds. Leaves to others: everything a person asks of it.
//! [`Kb`] exists only after [`check::check`] and [`compile::compile`].

pub mod check;
pub mod compile;
pub mod deep;
pub mod draft;
pub mod files;
pub mod fold;
pub mod lanes;
pub mod model;
pub mod problem;
pub mod raw;
pub mod sense;
pub mod stock;
pub mod table;

use std::borrow::Cow;
use std::ops::Deref;
use std::sync::OnceLock;

use files::Files;
use problem::{Problem, Severity};
use table::Compiled;

/// Format of the files that this program reads.
pub const FORMAT: u32 = 1;

/// A compiled base. It never changes.
#[derive(Debug)]
pub struct Kb {
    compiled: Compiled,
    /// Rich records, one after the other; borrowed where they are built into the program.
    bytes: Cow<'static, [u8]>,
    /// Decoded when first asked for; boxed, so that a start touches little memory.
    records: Vec<OnceLock<Option<Box<Decoded>>>>,
    /// Made when a name is not found as it stands.
    word_keys: OnceLock<table::Names>,
}

/// A rich record, with what every answer says of it.
#[derive(Debug)]
struct Decoded {
    exercise: raw::Exercise,
    /// The usable range of a set.
    sets_of: String,
    /// Texts of its cautions.
    cautions: Vec<String>,
}

/// A base that cannot be used.
#[derive(Debug, thiserror::Error)]
pub enum KbError {
    /// Files could not be read.
    #[error(transparent)]
    Files(#[from] files::FilesError),
    /// Rules are broken.
    #[error("{}", summary(.0))]
    Broken(Vec<Problem>),
    /// The compiled form does not fit this program.
    #[error("the compiled base does not fit this program: {0}")]
    Compiled(String),
}

fn summary(problems: &[Problem]) -> String {
    let errors = problems.iter().filter(|p| p.severity == Severity::Error).count();
    let first = problems.iter().find(|p| p.severity == Severity::Error);
    let first = first.map_or(String::new(), |p| {
        format!("; the first: {} {} ({}): {}; {}", p.file, p.pointer, p.rule, p.found, p.hint)
    });
    let all = if errors == 1 { "1 error".to_string() } else { format!("{errors} errors") };
    format!("the base has {all}{first}; `stead kb check` lists them all")
}

impl From<(Compiled, Vec<u8>)> for Kb {
    /// From what [`compile::compile`] made: columns, and rich records.
    fn from((compiled, records): (Compiled, Vec<u8>)) -> Self {
        Self::of(compiled, Cow::Owned(records))
    }
}

impl Deref for Kb {
    type Target = Compiled;

    fn deref(&self) -> &Compiled {
        &self.compiled
    }
}

/// Reads and checks layers: the draft with everything found, in order of file and pointer.
#[must_use]
pub fn examine(layers: &[Files]) -> (draft::Draft, Vec<Problem>) {
    let (draft, mut problems) = draft::read(layers);
    problems.extend(check::check(&draft));
    problems.sort();
    problems.dedup();
    (draft, problems)
}

impl Kb {
    /// Checks and compiles layers: a base, then overlays.
    ///
    /// # Errors
    /// [`KbError::Broken`] with every problem when a rule of severity error is broken.
    pub fn build(layers: &[Files]) -> Result<Self, KbError> {
        let (draft, problems) = examine(layers);
        if problems.iter().any(|p| p.severity == Severity::Error) {
            return Err(KbError::Broken(problems));
        }
        compile::compile(&draft, layers).map(Self::from).map_err(|p| KbError::Broken(vec![p]))
    }

    /// Opens the compact form that [`Self::to_bytes`] made: columns, and rich records.
    ///
    /// # Errors
    /// [`KbError::Compiled`] when the bytes are no compiled base of this program.
    pub fn from_bytes(columns: &[u8], records: &'static [u8]) -> Result<Self, KbError> {
        let compiled = postcard::from_bytes(columns).map_err(|e| KbError::Compiled(e.to_string()))?;
        Ok(Self::of(compiled, Cow::Borrowed(records)))
    }

    /// The compact form, as built into the binary: columns, and rich records.
    ///
    /// # Errors
    /// [`KbError::Compiled`] when encoding fails.
    pub fn to_bytes(&self) -> Result<(Vec<u8>, Vec<u8>), KbError> {
        let columns = postcard::to_stdvec(&self.compiled).map_err(|e| KbError::Compiled(e.to_string()))?;
        Ok((columns, self.bytes.to_vec()))
    }

    /// The same base with another ranking, for searching over weights.
    #[must_use]
    pub fn with_ranking(&self, ranking: raw::Ranking) -> Self {
        Self::of(Compiled { ranking, ..self.compiled.clone() }, self.bytes.clone())
    }

    fn of(compiled: Compiled, bytes: Cow<'static, [u8]>) -> Self {
        let records = (0..compiled.ids.len()).map(|_| OnceLock::new()).collect();
        Self { compiled, bytes, records, word_keys: OnceLock::new() }
    }

    /// How many exercises there are.
    #[must_use]
    pub fn len(&self) -> usize {
        self.ids.len()
    }

    /// Whether there is none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.ids.is_empty()
    }

    /// The whole record of the exercise in row `at`; decoded when first asked for.
    #[must_use]
    pub fn exercise(&self, at: usize) -> Option<&raw::Exercise> {
        self.decoded(at).map(|d| &d.exercise)
    }

    /// The usable range of a set of the exercise in row `at`: "8 to 12 reps".
    #[must_use]
    pub fn sets_of(&self, at: usize) -> &str {
        self.decoded(at).map_or("", |d| d.sets_of.as_str())
    }

    /// The texts of the cautions of the exercise in row `at`.
    #[must_use]
    pub fn cautions_of(&self, at: usize) -> &[String] {
        self.decoded(at).map_or(&[], |d| d.cautions.as_slice())
    }

    fn decoded(&self, at: usize) -> Option<&Decoded> {
        self.records.get(at)?.get_or_init(|| self.decode(at).map(|e| Box::new(self.told(e)))).as_deref()
    }

    fn told(&self, exercise: raw::Exercise) -> Decoded {
        let sets_of = format!("{} to {} {}", exercise.reps.low, exercise.reps.high, exercise.reps.unit);
        let known = &self.cautions.with_exercise;
        let text = |id: &String| known.iter().find(|c| c.id == *id).map(|c| c.text.clone());
        let cautions = exercise.cautions.iter().filter_map(text).collect();
        Decoded { exercise, sets_of, cautions }
    }

    fn decode(&self, at: usize) -> Option<raw::Exercise> {
        let start = at.checked_sub(1).and_then(|before| self.record_ends.get(before)).copied().unwrap_or(0) as usize;
        let end = *self.record_ends.get(at)? as usize;
        postcard::from_bytes(self.bytes.get(start..end)?).ok()
    }

    /// Spine class of the exercise in row `at` that counts; the highest for a row that is not there.
    #[must_use]
    pub fn spine_class(&self, at: usize) -> raw::SpineClass {
        let step = self.table.rows.get(at).map(|r| usize::from(r.spine));
        step.and_then(|s| raw::SpineClass::ALL.get(s)).copied().unwrap_or(raw::SpineClass::VeryHigh)
    }

    /// Names as keys of sorted words, for names said in another order; those that name one
    /// exercise only.
    #[must_use]
    pub fn word_keys(&self) -> &table::Names {
        self.word_keys.get_or_init(|| {
            let keys = self.names.iter().map(|(name, row)| (fold::word_key_folded(name), row)).collect();
            table::Names::build(table::unique_keys(keys))
        })
    }

    /// Row of the exercise with this id.
    #[must_use]
    pub fn row_of(&self, id: &str) -> Option<usize> {
        // Ids fold to themselves, so the table of names knows them.
        let at = self.names.find(&fold::fold(id))? as usize;
        (self.ids.get(at).map(String::as_str) == Some(id)).then_some(at)
    }

    /// Position of the region with this id.
    #[must_use]
    pub fn region_at(&self, id: &str) -> Option<usize> {
        self.regions.iter().position(|r| r.id == id)
    }

    /// The ids of a set of kit, in order of the taxonomy.
    pub fn kit_names(&self, set: table::KitSet) -> impl Iterator<Item = &raw::Equipment> {
        let mut left = set;
        std::iter::from_fn(move || {
            let first = (left != 0).then(|| left.trailing_zeros() as usize)?;
            left &= left - 1;
            self.equipment.get(first)
        })
    }
}
