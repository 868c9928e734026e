//! Which rows the kit on the floor can do, found for all of them at once: each kit alternative of
//! the base is asked once, however many rows have it.
//!
//! Leans on [`crate::gym`], whose answers for one row these are. Leaves to others: the ceiling and
//! everything else ([`super::gates`]).

use crate::gym::{Inventory, LEAST_REACH};
use crate::kb::Kb;
use crate::kb::table::RowId;

/// What the kit can do, one byte of flags a row.
pub(super) struct Floor {
    flags: Vec<u8>,
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
        let heaviest = inventory.heaviest();
        let mut short: Vec<&[RowId]> = Vec::new();
        for (alternative, rows) in kb.lanes.kit() {
            let missing = alternative & !inventory.kit;
            if missing == 0 {
                let most = heaviest.of(kb, alternative);
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
                if inventory.makeshift(kb, row).is_some() {
                    *slot |= MADE;
                }
            }
        }
        Self { flags }
    }

    /// The flags of all rows, in order.
    pub(super) fn lane(&self) -> &[u8] {
        &self.flags
    }

    /// Whether a byte of [`Self::lane`] says that the row can be done, 1 or 0.
    pub(super) const fn can(flags: u8) -> u8 {
        (flags & THERE) | (flags & MADE) >> 2
    }

    /// Whether the kit can do a row.
    pub(super) fn does(&self, row: usize) -> bool {
        Self::can(self.flags.get(row).copied().unwrap_or(0)) == 1
    }

    /// Whether the kit loads a row in full, so that its reach need not be asked.
    pub(super) fn loads_in_full(&self, row: usize) -> bool {
        self.flags.get(row).is_some_and(|f| f & FULL != 0)
    }

    /// Whether something may stand in for what a row lacks; which it is, the inventory says.
    pub(super) fn is_short_of_one(&self, row: usize) -> bool {
        self.flags.get(row).is_some_and(|f| f & SHORT != 0)
    }
}
