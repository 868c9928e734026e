//! Which rows the kit on the floor can do, found for all of them at once: each kit alternative of
//! the base is asked once, however many rows have it.
//!
//! Leans on the inventory, whose answers for one row these are. Leaves to others: the ceiling, and
//! whether a row is any good ([`crate::rank`]).

use super::{Inventory, LEAST_REACH, Makeshift};
use crate::kb::Kb;
use crate::kb::table::{KitSet, RowId};

/// What the kit can do, one byte of flags a row.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Floor {
    flags: Vec<u8>,
    /// What stands in for what, in order of row; where it was found out beforehand.
    known: Option<Vec<Known>>,
}

/// A makeshift set-up that was found out beforehand.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Known {
    row: RowId,
    alternative: KitSet,
    item: usize,
    /// Position among the base's stand-ins.
    stand_in: usize,
    share: f64,
}

/// Some alternative is there, with enough weight for it.
const THERE: u8 = 1;
/// Some alternative is there that no stock limits.
const FULL: u8 = 2;
/// Done with a stand-in, where these count.
const MADE: u8 = 4;
/// Some alternative lacks one item that something here may stand in for.
const SHORT: u8 = 8;

impl Floor {
    pub(super) fn new(kb: &Kb, inventory: &Inventory) -> Self {
        let mut flags = vec![0u8; kb.len()];
        let mut set = |row: RowId, flag: u8| {
            if let Some(slot) = flags.get_mut(row as usize) {
                *slot |= flag;
            }
        };
        let mut short: Vec<&[RowId]> = Vec::new();
        for (alternative, rows) in kb.lanes.kit() {
            let missing = alternative & !inventory.kit;
            if missing == 0 {
                let most = inventory.heaviest.of(kb, alternative);
                if most.is_none() {
                    rows.iter().for_each(|row| set(*row, THERE | FULL));
                    continue;
                }
                for row in rows {
                    let Some(r) = kb.table.rows.get(*row as usize) else { continue };
                    match inventory.reached(kb, r, most) {
                        None => set(*row, THERE | FULL),
                        Some(reach) if reach.share >= LEAST_REACH => set(*row, THERE),
                        Some(_) => {}
                    }
                }
            } else if missing & inventory.stood_in != 0 && missing.count_ones() == 1 {
                rows.iter().for_each(|row| set(*row, SHORT));
                short.push(rows);
            }
        }
        if inventory.improvise {
            for row in short.into_iter().flatten().map(|row| *row as usize) {
                let Some(slot) = flags.get_mut(row).filter(|f| **f & (THERE | MADE) == 0) else { continue };
                if inventory.find_makeshift(kb, row).is_some() {
                    *slot |= MADE;
                }
            }
        }
        Self { flags, known: None }
    }

    /// Finds out beforehand what stands in for what.
    pub(super) fn prepared(self, kb: &Kb, inventory: &Inventory) -> Self {
        let found = |row: usize| {
            let made = inventory.find_makeshift(kb, row)?;
            let stand_in = kb.stand_ins.iter().position(|s| std::ptr::eq(s, made.stand_in))?;
            let (alternative, item, share) = (made.alternative, made.item, made.share);
            Some(Known { row: RowId::try_from(row).ok()?, alternative, item, stand_in, share })
        };
        let known = (0..kb.len()).filter(|row| self.is_short_of_one(*row)).filter_map(found).collect();
        Self { known: Some(known), ..self }
    }

    /// How a row is done with a stand-in, where that was found out beforehand.
    pub(super) fn known_makeshift<'k>(&self, kb: &'k Kb, row: usize) -> Option<Option<Makeshift<'k>>> {
        let known = self.known.as_ref()?;
        let at = known.binary_search_by_key(&row, |k| k.row as usize).ok();
        Some(at.and_then(|at| known.get(at)).and_then(|k| {
            let stand_in = kb.stand_ins.get(k.stand_in)?;
            Some(Makeshift { alternative: k.alternative, item: k.item, stand_in, share: k.share })
        }))
    }

    /// The flags of all rows, in order.
    #[must_use]
    pub(crate) fn lane(&self) -> &[u8] {
        &self.flags
    }

    /// Whether a byte of [`Self::lane`] says that the row can be done, 1 or 0.
    pub(crate) const fn can(flags: u8) -> u8 {
        (flags & THERE) | (flags & MADE) >> 2
    }

    /// Whether the kit can do a row; with a stand-in, where these count.
    #[must_use]
    pub fn does(&self, row: usize) -> bool {
        Self::can(self.flags(row)) == 1
    }

    /// Whether the kit can do a row without a stand-in.
    #[must_use]
    pub fn does_itself(&self, row: usize) -> bool {
        self.flags(row) & THERE != 0
    }

    /// Whether the kit loads a row in full, so that its reach need not be asked.
    #[must_use]
    pub fn loads_in_full(&self, row: usize) -> bool {
        self.flags(row) & FULL != 0
    }

    /// Whether something may stand in for what a row lacks; which it is, the inventory says.
    #[must_use]
    pub fn is_short_of_one(&self, row: usize) -> bool {
        self.flags(row) & SHORT != 0
    }

    fn flags(&self, row: usize) -> u8 {
        self.flags.get(row).copied().unwrap_or(0)
    }
}
