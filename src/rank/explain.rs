//! The story of a score: a tree whose leaves add up to the number above them.
//!
//! Leans on nothing. Leaves to others: what the numbers mean ([`super::terms`]).

use std::borrow::Cow;

/// One node: points of the score, 0 to 100 in all.
#[derive(Debug, Clone, PartialEq)]
pub struct Explanation<'k> {
    /// Name of the part.
    pub name: &'k str,
    /// Points that it gives to the score.
    pub points: f64,
    /// For a term: how well the row does, 0 to 1, and the term's weight as a share of all.
    pub scale: Option<(f64, f64)>,
    /// What was found, in plain words.
    pub found: Cow<'static, str>,
    /// Parts, adding up to this node's points; none at a leaf.
    pub parts: Vec<Explanation<'k>>,
}

impl<'k> Explanation<'k> {
    /// A node without parts.
    #[must_use]
    pub fn leaf(name: &'k str, points: f64, found: impl Into<Cow<'static, str>>) -> Self {
        Self { name, points, scale: None, found: found.into(), parts: Vec::new() }
    }

    /// A node that is the sum of its parts.
    #[must_use]
    pub fn sum(name: &'k str, found: impl Into<Cow<'static, str>>, parts: Vec<Self>) -> Self {
        let points = parts.iter().map(|p| p.points).sum();
        Self { name, points, scale: None, found: found.into(), parts }
    }

    /// Sum of all leaves below.
    #[must_use]
    pub fn leaves(&self) -> f64 {
        if self.parts.is_empty() { self.points } else { self.parts.iter().map(Self::leaves).sum() }
    }
}
