//! From what a person typed to exercises: name resolution and full-text search.
//!
//! Leans on the compiled base, strsim and tantivy. Leaves to others: what is done with the
//! exercise found.

pub mod index;
pub mod names;
