//! One row an exercise, as RFC 4180 has it.
//!
//! Leans on csv for quoting. Leaves to others: fields that are no single value; here they are
//! joined. The things of a list stand with `|` between them; a `|` or `\` inside one is written
//! with a `\` before it. What belongs to a thing follows `=` (`quadriceps=1`), a region's token
//! follows `:` (`knee:deep_flexion=3`), and kit that is needed together has `+` between its items.

use super::{Record, fault, record};
use crate::ask::Error;
use crate::kb::Kb;
use crate::kb::raw;

pub(super) fn text(kb: &Kb) -> Result<String, Error> {
    let mut out = csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::new());
    for row in 0..kb.len() {
        let cells = cells(&record(kb, row)?);
        if row == 0 {
            out.write_record(cells.iter().map(|(name, _)| name)).map_err(fault)?;
        }
        out.write_record(cells.iter().map(|(_, cell)| cell)).map_err(fault)?;
    }
    String::from_utf8(out.into_inner().map_err(fault)?).map_err(fault)
}

/// Every column with its cell. The record is taken apart by name, so that a new field of an
/// exercise is not forgotten here.
fn cells(record: &Record<'_>) -> Vec<(&'static str, String)> {
    let Record { exercise, spine_class, computed_spine_class, compression_bw } = record;
    let raw::Exercise {
        id,
        name,
        aliases,
        pattern,
        also_patterns,
        laterality,
        equipment,
        optional,
        headroom_m,
        muscles,
        hard_at,
        load_position,
        support,
        posture,
        spine,
        joints,
        skill,
        role,
        helps,
        usual,
        typical_load,
        reps,
        harder_by,
        cues,
        cautions,
        basis,
        parent,
        easier,
        harder,
    } = exercise;
    let spine = spine.as_ref();
    vec![
        ("id", id.clone()),
        ("name", name.clone()),
        ("aliases", joined(aliases)),
        ("pattern", pattern.clone()),
        ("also_patterns", joined(also_patterns)),
        ("laterality", laterality.to_string()),
        ("equipment", joined(equipment.iter().map(|needed| needed.join("+")))),
        ("optional", joined(optional)),
        ("headroom_m", number(*headroom_m)),
        ("muscles", pairs(muscles)),
        ("hard_at", hard_at.to_string()),
        ("load_position", load_position.to_string()),
        ("support", support.to_string()),
        ("posture", posture.like.clone()),
        ("posture_trunk_deg", number(posture.trunk_deg)),
        ("posture_knee_deg", number(posture.knee_deg)),
        ("posture_support_factor", number(posture.support_factor)),
        ("posture_dynamic_factor", number(posture.dynamic_factor)),
        ("spine_class", spine_class.to_string()),
        ("computed_spine_class", computed_spine_class.to_string()),
        ("compression_bw", compression_bw.to_string()),
        ("set_spine_class", spine.map_or_else(String::new, |s| s.class.to_string())),
        ("set_spine_basis", spine.map_or_else(String::new, |s| s.basis.clone())),
        ("set_spine_reason", spine.and_then(|s| s.reason.clone()).unwrap_or_default()),
        (
            "joints",
            joined(joints.iter().flat_map(|(region, by)| by.iter().map(move |(t, g)| format!("{region}:{t}={g}")))),
        ),
        ("skill", skill.to_string()),
        ("role", role.to_string()),
        ("helps", joined(helps)),
        ("usual", usual.to_string()),
        ("load_anchor", typical_load.anchor.clone()),
        ("load_share", typical_load.share.to_string()),
        ("load_counted", typical_load.counted.to_string()),
        ("load_basis", typical_load.basis.clone()),
        ("reps_low", reps.low.to_string()),
        ("reps_high", reps.high.to_string()),
        ("reps_unit", reps.unit.to_string()),
        ("harder_by", joined(harder_by.iter().map(|by| by.word()))),
        ("cues", joined(cues)),
        ("cautions", joined(cautions)),
        ("basis", pairs(basis)),
        ("parent", parent.clone().unwrap_or_default()),
        ("easier", joined(easier)),
        ("harder", joined(harder)),
    ]
}

fn number(value: Option<f64>) -> String {
    value.map_or_else(String::new, |v| v.to_string())
}

/// A list in one cell.
pub(super) fn joined(list: impl IntoIterator<Item = impl AsRef<str>>) -> String {
    let escaped = list.into_iter().map(|thing| thing.as_ref().replace('\\', "\\\\").replace('|', "\\|"));
    escaped.collect::<Vec<_>>().join("|")
}

fn pairs<V: std::fmt::Display>(map: &std::collections::BTreeMap<String, V>) -> String {
    joined(map.iter().map(|(key, value)| format!("{key}={value}")))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_list_can_be_taken_apart_again() {
        assert_eq!(joined(["a|b", "c\\d", ""]), r"a\|b|c\\d|");
        assert_eq!(joined([""; 0]), "");
    }
}
