//! One exercise from an id, a name, an alias, the same words in another order, or a near miss.
//!
//! Leans on the base's folded names and strsim. Leaves to others: full-text search
//! ([`super::index`]). The folded table answers first; distances are computed only on a miss.

use crate::kb::Kb;
use crate::kb::fold::{expand, fold, word_key};

/// How a name was read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ReadAs {
    /// Id, name or alias, apart from case, plural and punctuation.
    Name,
    /// The same words in another order, or abbreviated.
    Words,
    /// The only exercise whose names hold all the words.
    OnlyOne,
    /// Nearest spelling.
    Spelling,
}

impl ReadAs {
    /// Word used in replies.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Name => "name",
            Self::Words => "same-words",
            Self::OnlyOne => "only-match",
            Self::Spelling => "near-spelling",
        }
    }
}

/// A name that is no exercise, or several.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NameError {
    /// Nothing near; the three nearest rows, best first.
    Unknown(Vec<usize>),
    /// Several fit; their rows, best first.
    Ambiguous(Vec<usize>),
}

/// Similarity from which a near miss is taken for the name (Damerau-Levenshtein, normalised).
const NEAR_ENOUGH: f64 = 0.78;
/// By how much the nearest must beat the next exercise.
const CLEAR_BY: f64 = 0.03;
/// Most candidates told for an ambiguous name.
const CANDIDATES: usize = 6;

/// The exercise that has `given` as its id, name or alias, apart from case, plural and
/// punctuation.
#[must_use]
pub fn exact(kb: &Kb, given: &str) -> Option<usize> {
    kb.names.find(&fold(given)).or_else(|| kb.names.find(&expand(given))).map(|at| at as usize)
}

/// The exercise that `given` names.
///
/// # Errors
/// [`NameError`] with the nearest three rows, or with the candidates.
pub fn resolve(kb: &Kb, given: &str) -> Result<(usize, ReadAs), NameError> {
    if let Some(row) = exact(kb, given) {
        return Ok((row, ReadAs::Name));
    }
    if let Some(row) = kb.word_keys().find(&word_key(given)) {
        return Ok((row as usize, ReadAs::Words));
    }
    let holding = holding(kb, given);
    match holding.as_slice() {
        [only] => return Ok((*only, ReadAs::OnlyOne)),
        [] => {}
        several => return Err(NameError::Ambiguous(several.iter().take(CANDIDATES).copied().collect())),
    }
    let near = nearest(kb, given);
    match near.as_slice() {
        [(best, row), rest @ ..]
            if *best >= NEAR_ENOUGH && rest.first().is_none_or(|(next, _)| best - next >= CLEAR_BY) =>
        {
            Ok((*row, ReadAs::Spelling))
        }
        [(best, _), (next, _), ..] if *best >= NEAR_ENOUGH && best - next < CLEAR_BY => {
            let close = near.iter().take_while(|(s, _)| best - s < CLEAR_BY).map(|(_, row)| *row).take(CANDIDATES);
            Err(NameError::Ambiguous(close.collect()))
        }
        _ => Err(NameError::Unknown(near.iter().take(3).map(|(_, row)| *row).collect())),
    }
}

/// Rows one of whose names holds every word of `given`, the tersest name first.
fn holding(kb: &Kb, given: &str) -> Vec<usize> {
    let key = word_key(given);
    let words: Vec<&str> = key.split(' ').filter(|w| !w.is_empty()).collect();
    if words.is_empty() {
        return Vec::new();
    }
    let mut best: Vec<(usize, usize)> = Vec::new();
    for (name, row) in kb.word_keys().iter() {
        if words.iter().all(|w| name.split(' ').any(|n| n == *w)) {
            let row = row as usize;
            match best.iter_mut().find(|(_, r)| *r == row) {
                Some(known) => known.0 = known.0.min(name.len()),
                None => best.push((name.len(), row)),
            }
        }
    }
    best.sort_unstable();
    best.into_iter().map(|(_, row)| row).collect()
}

/// Every exercise with the similarity of its nearest name to `given`, best first, ties by row.
#[must_use]
pub fn nearest(kb: &Kb, given: &str) -> Vec<(f64, usize)> {
    // A slip can hide in what folding takes for a plural, so the text as typed is tried too.
    let typed = given.trim().to_lowercase();
    let folded = fold(given);
    let mut best = vec![0.0f64; kb.len()];
    for (name, row) in kb.names.iter() {
        let Some(slot) = best.get_mut(row as usize) else { continue };
        for said in [&folded, &typed] {
            // A name much longer or shorter can never be near; skip the work.
            let (long, short) = (name.len().max(said.len()), name.len().min(said.len()));
            if (short as f64) >= *slot * long as f64 {
                *slot = slot.max(strsim::normalized_damerau_levenshtein(name, said));
            }
        }
    }
    let mut order: Vec<(f64, usize)> = best.into_iter().enumerate().map(|(row, s)| (s, row)).collect();
    order.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    order
}
