//! The questions people ask, one file each: `Request`, `Reply`, `answer(&Engine, Request)`.
//!
//! Leans on every layer below. Leaves to others: reading arguments ([`crate::cli`]) and HTTP
//! ([`crate::http`]). Strings become ids here, cautions are attached here, and both doors show
//! the same replies.

pub mod accepted;
pub mod beside;
pub mod carryover;
pub mod check;
pub mod coverage;
pub mod error;
pub mod export;
pub mod find;
pub mod forces;
pub mod graph;
pub mod json;
pub mod kit;
pub mod ladder;
pub mod light;
pub mod list;
pub mod load;
pub mod makeshift;
pub mod question;
pub mod reference;
pub mod schema;
pub mod score;
pub mod show;
pub mod stats;
pub mod swap;
pub mod terms;
pub mod vary;
pub mod week;

use std::borrow::Cow;

use once_cell::sync::OnceCell;
use schemars::JsonSchema;
use serde::Serialize;

use crate::gym::Inventory;
use crate::kb::files::Files;
use crate::kb::{Kb, KbError};
use crate::search::index::TextIndex;
pub use error::Error;

/// The columns of the compiled base that is built into the program.
static COLUMNS: &[u8] = include_bytes!(concat!(env!("OUT_DIR"), "/columns.bin"));

/// Its rich records.
static RECORDS: &[u8] = include_bytes!(concat!(env!("OUT_DIR"), "/records.bin"));

/// The texts of the shipped base, for overlays.
static EMBEDDED_FILES: &[(&str, &str)] = include!(concat!(env!("OUT_DIR"), "/files.rs"));

/// A base ready to be asked. Cheap to share, never changed.
pub struct Engine {
    kb: Kb,
    index: OnceCell<TextIndex>,
    /// The gyms of the base in order, each found out when first asked for.
    gyms: Vec<OnceCell<Inventory>>,
    /// The same for every kind of kit there is.
    everything: OnceCell<Inventory>,
}

impl Engine {
    /// The shipped base.
    ///
    /// # Errors
    /// [`KbError::Compiled`] only if the program was built wrongly.
    pub fn shipped() -> Result<Self, KbError> {
        Ok(Self::of(Kb::from_bytes(COLUMNS, RECORDS)?))
    }

    /// A base from layers of files: the base, then overlays.
    ///
    /// # Errors
    /// [`KbError::Broken`] with every problem found.
    pub fn from_layers(layers: &[Files]) -> Result<Self, KbError> {
        Ok(Self::of(Kb::build(layers)?))
    }

    /// Wraps a compiled base.
    #[must_use]
    pub fn of(kb: Kb) -> Self {
        let gyms = kb.gyms.iter().map(|_| OnceCell::new()).collect();
        Self { kb, index: OnceCell::new(), gyms, everything: OnceCell::new() }
    }

    /// The texts of the shipped base.
    #[must_use]
    pub fn shipped_files() -> Files {
        Files::from_pairs(EMBEDDED_FILES)
    }

    /// The base.
    #[must_use]
    pub fn kb(&self) -> &Kb {
        &self.kb
    }

    /// What stands on the floor, as [`inventory`]; a gym of the base as it stands is borrowed.
    pub(crate) fn inventory(
        &self,
        gym: Option<&swap::GymAsk>,
        have: &[String],
        improvise: bool,
    ) -> Result<Cow<'_, Inventory>, Error> {
        let kb = &self.kb;
        if have.is_empty() && !improvise {
            match gym {
                None => {
                    let all = self.everything.get_or_init(|| Inventory::everything(kb).prepared(kb));
                    return Ok(Cow::Borrowed(all));
                }
                Some(swap::GymAsk::Named(id)) => {
                    let at = kb.gyms.iter().position(|g| g.id == id.trim());
                    if let Some(kept) = at.and_then(|at| self.gyms.get(at)) {
                        let found = || inventory(kb, gym, have).map(|found| found.prepared(kb));
                        return kept.get_or_try_init(found).map(Cow::Borrowed);
                    }
                }
                Some(swap::GymAsk::Own(_)) => {}
            }
        }
        Ok(Cow::Owned(inventory(kb, gym, have)?.improvising(improvise)))
    }

    /// The text index, built when first asked for.
    pub(crate) fn index(&self) -> Result<&TextIndex, Error> {
        self.index.get_or_try_init(|| TextIndex::build(&self.kb)).map_err(|e| Error::Internal(e.to_string()))
    }
}

/// Makes what a base makes when first asked: the index of its texts. A server does so before it
/// answers.
///
/// # Errors
/// [`Error::Internal`] when the index cannot be made.
pub fn warm(engine: &Engine) -> Result<(), Error> {
    engine.index().map(|_| ())
}

/// An exercise by id and name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Named<'k> {
    /// Plain id.
    pub id: &'k str,
    /// Name shown.
    pub name: &'k str,
}

impl<'k> Named<'k> {
    pub(crate) fn row(kb: &'k Kb, row: usize) -> Self {
        let text = |list: &'k [String]| list.get(row).map_or("", String::as_str);
        Self { id: text(&kb.ids), name: text(&kb.names_shown) }
    }
}

/// The base that a reply stands on.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Basis<'k> {
    /// Name of the base.
    pub name: &'k str,
    /// Version of the base.
    pub version: &'k str,
    /// Fingerprint of its texts.
    pub stamp: &'k str,
}

impl<'k> Basis<'k> {
    pub(crate) fn of(kb: &'k Kb) -> Self {
        Self { name: &kb.base.name, version: &kb.base.version, stamp: &kb.stamp }
    }
}

/// Longest name of an exercise that is looked up, bytes: a near miss is compared with every name
/// there is, so a text of any length would take any time.
const LONGEST_NAME: usize = 100;

/// Most entries of a list in a question; each may be compared with every name there is.
const MOST_ENTRIES: usize = 50;

/// Refuses a list that no person would write.
pub(crate) fn bounded<T>(list: &[T], pointer: &str) -> Result<(), Error> {
    if list.len() <= MOST_ENTRIES {
        return Ok(());
    }
    Err(Error::Shape {
        found: format!("a list of {} entries", list.len()),
        pointer: pointer.to_string(),
        hint: format!("keep it to {MOST_ENTRIES}"),
    })
}

/// Row of an exercise said by id, name, alias or near spelling; how it was read.
pub(crate) fn exercise(kb: &Kb, given: &str, pointer: &str) -> Result<(usize, crate::search::names::ReadAs), Error> {
    use crate::search::names::{NameError, resolve};
    if given.trim().is_empty() {
        return Err(Error::Empty { what: "exercise", pointer: pointer.to_string() });
    }
    if given.len() > LONGEST_NAME {
        return Err(Error::Shape {
            found: format!("an exercise name of {} bytes", given.len()),
            pointer: pointer.to_string(),
            hint: format!("keep it to {LONGEST_NAME}"),
        });
    }
    resolve(kb, given).map_err(|e| {
        let ids = |rows: Vec<usize>| rows.into_iter().filter_map(|r| kb.ids.get(r).cloned()).collect();
        let (given, pointer) = (given.to_string(), pointer.to_string());
        match e {
            NameError::Unknown(rows) => Error::UnknownExercise { given, pointer, nearest: ids(rows) },
            NameError::Ambiguous(rows) => Error::AmbiguousExercise { given, pointer, candidates: ids(rows) },
        }
    })
}

/// What stands on the floor: a gym of the base or one described, everything where none is named,
/// with further kit.
pub(crate) fn inventory(kb: &Kb, gym: Option<&swap::GymAsk>, have: &[String]) -> Result<Inventory, Error> {
    let at = |pointer: &str| {
        let pointer = pointer.to_string();
        move |problem| Error::Gym { problem, pointer }
    };
    let gym = match gym {
        None => Inventory::everything(kb),
        Some(swap::GymAsk::Named(id)) => Inventory::named(kb, id.trim()).map_err(at("/gym"))?,
        Some(swap::GymAsk::Own(gym)) => Inventory::of(kb, gym).map_err(at("/gym"))?,
    };
    gym.with(kb, have).map_err(at("/have"))
}

/// Position of a region said by id, name or alias.
pub(crate) fn region(kb: &Kb, given: &str, pointer: &str) -> Result<usize, Error> {
    kb.words
        .regions
        .find(&crate::kb::fold::fold(given))
        .map(|at| at as usize)
        .ok_or_else(|| unknown("region", given, pointer, kb.regions.iter().map(|r| r.id.as_str())))
}

/// An error naming the three valid words nearest to `given`.
pub(crate) fn unknown<'a>(
    what: &'static str,
    given: &str,
    pointer: &str,
    valid: impl Iterator<Item = &'a str>,
) -> Error {
    // What comes after the first hundred letters brings no word nearer, and takes time.
    let start: String = given.chars().take(LONGEST_NAME).collect();
    let mut near: Vec<(i64, &str)> =
        valid.map(|v| ((-1000.0 * strsim::normalized_damerau_levenshtein(v, &start)) as i64, v)).collect();
    near.sort_unstable();
    let nearest = near.into_iter().take(3).map(|(_, v)| v.to_string()).collect();
    Error::Unknown { what, given: given.to_string(), pointer: pointer.to_string(), nearest }
}
