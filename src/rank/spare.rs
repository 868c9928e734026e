//! Columns of a question, kept for the next one on the same thread instead of given back to the
//! system: every question needs several of the same length.
//!
//! Leans on nothing. Leaves to others: what stands in them. A column is handed out as zeros, so
//! nothing of one question is seen by another.

use std::cell::RefCell;
use std::ops::{Deref, DerefMut};

/// Most columns that a thread keeps.
const MOST_KEPT: usize = 16;

thread_local! {
    static KEPT: RefCell<Vec<Vec<u16>>> = const { RefCell::new(Vec::new()) };
    static KEPT_BYTES: RefCell<Vec<Vec<u8>>> = const { RefCell::new(Vec::new()) };
}

/// A number that columns are made of.
pub(super) trait Cell: Copy + Default + 'static {
    /// The columns that this thread keeps, where it is not on its way out.
    fn kept<R>(with: impl FnOnce(&mut Vec<Vec<Self>>) -> R) -> Option<R>;
}

impl Cell for u8 {
    fn kept<R>(with: impl FnOnce(&mut Vec<Vec<Self>>) -> R) -> Option<R> {
        KEPT_BYTES.try_with(|kept| kept.try_borrow_mut().ok().map(|mut kept| with(&mut kept))).ok().flatten()
    }
}

impl Cell for u16 {
    fn kept<R>(with: impl FnOnce(&mut Vec<Vec<Self>>) -> R) -> Option<R> {
        KEPT.try_with(|kept| kept.try_borrow_mut().ok().map(|mut kept| with(&mut kept))).ok().flatten()
    }
}

/// A column, given back to its thread at the end.
pub(super) struct Column<T: Cell>(Vec<T>);

impl<T: Cell> Column<T> {
    /// So many zeros.
    pub(super) fn zeros(length: usize) -> Self {
        let mut column = T::kept(Vec::pop).flatten().unwrap_or_default();
        column.clear();
        column.resize(length, T::default());
        Self(column)
    }
}

impl<T: Cell> Drop for Column<T> {
    fn drop(&mut self) {
        let column = std::mem::take(&mut self.0);
        T::kept(|kept| {
            if kept.len() < MOST_KEPT {
                kept.push(column);
            }
        });
    }
}

impl<T: Cell> Deref for Column<T> {
    type Target = [T];

    fn deref(&self) -> &[T] {
        &self.0
    }
}

impl<T: Cell> DerefMut for Column<T> {
    fn deref_mut(&mut self) -> &mut [T] {
        &mut self.0
    }
}
