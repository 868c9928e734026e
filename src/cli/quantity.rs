//! Numbers with a unit as people type them: `100kg`, `225lb`, `1.75m`, `175cm`, `40deg`, and sets: `100kgx5`.
//!
//! Leans on [`crate::units`] for the pound. Leaves to others: bounds ([`crate::ask`]).

use crate::ask::Error;
use crate::ask::load::{MassAsk, SetAsk};
use crate::kb::raw::MassUnit;
use crate::units::KG_PER_LB;

/// A unit with the factor and the divisor that turn it into the first unit of its list; two of
/// them, so that 165 cm is 1.65 m to the last bit.
type Units = [(&'static str, f64, f64)];

const MASS: &Units = &[("kg", 1.0, 1.0), ("kgs", 1.0, 1.0), ("lb", KG_PER_LB, 1.0), ("lbs", KG_PER_LB, 1.0)];
const HEIGHT: &Units = &[("m", 1.0, 1.0), ("cm", 1.0, 100.0)];
const ANGLE: &Units = &[("deg", 1.0, 1.0), ("°", 1.0, 1.0)];

/// A mass in kilograms.
pub fn mass(option: &str, typed: &str, pointer: &str) -> Result<f64, Error> {
    read(option, typed, pointer, MASS, "kg or lb, as in 100kg or 225lb; a bare number is kg")
}

/// A load as typed with its unit, for questions that keep the unit.
pub fn load(option: &str, typed: &str, pointer: &str) -> Result<MassAsk, Error> {
    // Read once for its faults; the number itself stays in its own unit, exact.
    mass(option, typed, pointer)?;
    let is_lb = typed.trim().to_lowercase().trim_end_matches('s').ends_with("lb");
    let number = typed.trim().trim_end_matches(|c: char| !(c.is_ascii_digit() || c == '.')).trim();
    let load = number.parse().unwrap_or_default();
    Ok(MassAsk { load, unit: Some(if is_lb { MassUnit::Lb } else { MassUnit::Kg }) })
}

/// `--did` with its `--rir`, where they are typed.
pub fn did(typed: Option<&str>, rir: Option<f64>) -> Result<Option<SetAsk>, Error> {
    if rir.is_some() && typed.is_none() {
        return Err(Error::Conflict {
            found: "--rir without a set".to_string(),
            pointer: "/did".to_string(),
            hint: "say the set with --did, as in 100kgx5".to_string(),
        });
    }
    typed.map(|typed| set("--did", typed, rir)).transpose()
}

/// A set as typed: `100kgx5`, `225 lb x 5`, `bwx8` for the body alone.
fn set(option: &str, typed: &str, rir: Option<f64>) -> Result<SetAsk, Error> {
    let wrong = |what: String| Error::Shape {
        found: format!("{option} {typed:?}: {what}"),
        pointer: "/did".to_string(),
        hint: "the form is LOADxREPS, as in 100kgx5, 225lbx5 or bwx8".to_string(),
    };
    let cut = typed.rfind(['x', 'X', '×']).ok_or_else(|| wrong("no x between load and repetitions".to_string()))?;
    let (load, reps) = typed.split_at(cut);
    let reps = reps.trim_start_matches(['x', 'X', '×']).trim();
    let reps = reps.parse::<u32>().map_err(|_| wrong(format!("{reps:?} is no number of repetitions")))?;
    let load = load.trim().trim_start_matches('+');
    if ["bw", "body"].contains(&load.to_lowercase().as_str()) {
        return Ok(SetAsk { load: 0.0, unit: None, reps, rir });
    }
    let MassAsk { load, unit } = self::load(option, load, "/did/load").map_err(|e| match e {
        Error::Shape { .. } => wrong(format!("{load:?} is no load")),
        other => other,
    })?;
    // A bare number says no unit.
    let unit = unit.filter(|_| typed.get(..cut).is_some_and(|l| l.contains(['k', 'K', 'l', 'L'])));
    Ok(SetAsk { load, unit, reps, rir })
}

/// A height in metres.
pub fn height(option: &str, typed: &str, pointer: &str) -> Result<f64, Error> {
    read(option, typed, pointer, HEIGHT, "m or cm, as in 1.75m or 175cm; a bare number is m")
}

/// A floor area in square metres.
pub fn area(option: &str, typed: &str, pointer: &str) -> Result<f64, Error> {
    let folded = typed.trim().to_lowercase();
    let number = ["m2", "m²", "sqm", "m^2"].iter().find_map(|unit| folded.strip_suffix(unit)).unwrap_or(&folded);
    match number.trim().parse::<f64>() {
        Ok(value) if value.is_finite() => Ok(value),
        _ => Err(Error::Shape {
            found: format!("{option} {typed:?} is no area"),
            pointer: pointer.to_string(),
            hint: "square metres, as in 2.5m2; a bare number is m2".to_string(),
        }),
    }
}

/// An angle in degrees.
pub fn angle(option: &str, typed: &str, pointer: &str) -> Result<f64, Error> {
    read(option, typed, pointer, ANGLE, "degrees, as in 40 or 40deg")
}

fn read(option: &str, typed: &str, pointer: &str, units: &Units, hint: &str) -> Result<f64, Error> {
    let wrong = |what: String| Error::Shape {
        found: format!("{option} {typed:?}: {what}"),
        pointer: pointer.to_string(),
        hint: hint.to_string(),
    };
    let text = typed.trim();
    // The unit is what stands behind the last digit or point.
    let cut = text.rfind(|c: char| c.is_ascii_digit() || c == '.').map_or(0, |at| at + 1);
    let (number, unit) = text.split_at(cut);
    let (number, unit) = (number.trim(), unit.trim().to_lowercase());
    let (factor, divisor) = if unit.is_empty() {
        (1.0, 1.0)
    } else if number.is_empty() {
        return Err(wrong("no number".to_string()));
    } else {
        let known = units.iter().find(|(name, ..)| *name == unit);
        known.map(|(_, factor, divisor)| (*factor, *divisor)).ok_or_else(|| wrong(format!("no unit {unit:?}")))?
    };
    match number.parse::<f64>() {
        Ok(value) if value.is_finite() => Ok(value * factor / divisor),
        _ => Err(wrong(format!("{number:?} is no number"))),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quantities_are_read_with_and_without_unit() {
        let kg = |typed: &str| mass("--load", typed, "/load_kg").unwrap();
        assert_eq!([kg("100kg"), kg("100"), kg(" 100 KG "), kg("62.5kg")], [100.0, 100.0, 100.0, 62.5]);
        // Source: international yard and pound agreement, 1959.
        assert!((kg("225lb") - 102.058_283_25).abs() < 1e-9);
        let metres = |typed: &str| height("--height", typed, "/height_m").unwrap();
        assert_eq!((metres("1.75m"), metres("175cm"), metres("165cm")), (1.75, 1.75, 1.65));
        let square = |typed: &str| area("--floor", typed, "/floor_m2").ok();
        assert_eq!(
            ["2.5m2", "2.5", "2.5 M²", "2,5m2", "m2"].map(square),
            [Some(2.5), Some(2.5), Some(2.5), None, None]
        );
        assert_eq!(angle("--lean", "-10deg", "/lean_deg").unwrap(), -10.0);
        assert_eq!(angle("--lean", "40°", "/lean_deg").unwrap(), 40.0);
    }

    #[test]
    fn sets_are_read_in_their_own_unit() {
        let read = |typed: &str| set("--did", typed, Some(2.0)).map(|s| (s.load, s.unit, s.reps));
        let (kg, lb) = (Some(MassUnit::Kg), Some(MassUnit::Lb));
        for (typed, should) in [
            ("100kgx5", (100.0, kg, 5)),
            ("62.5 kg x 8", (62.5, kg, 8)),
            ("225lbx5", (225.0, lb, 5)),
            ("225lbs×5", (225.0, lb, 5)),
            ("100x5", (100.0, None, 5)),
            ("+20kgx5", (20.0, kg, 5)),
            ("bwx8", (0.0, None, 8)),
        ] {
            assert_eq!(read(typed).unwrap(), should, "{typed}");
        }
        for typed in ["", "x", "100kg", "x5", "100kgx", "100kgx5.5", "100kgx-5", "manyx5", "100stx5", "\u{fc}x5"] {
            let said = set("--did", typed, None).unwrap_err().to_string();
            assert!(said.contains(&format!("--did {typed:?}")) && said.contains("LOADxREPS"), "{said}");
        }
    }

    #[test]
    fn what_cannot_be_read_names_the_value_and_the_units() {
        for typed in ["", "kg", "100st", "1,75kg", "abc", "1.2.3", "--5", "nan", "inf", "1e999", "100kg kg"] {
            let error = mass("--load", typed, "/load_kg").unwrap_err();
            assert_eq!(error.pointer(), "/load_kg");
            let said = error.to_string();
            assert!(said.contains(&format!("--load {typed:?}")) && said.contains("kg or lb"), "{said}");
        }
        assert!(height("--height", "5ft", "/height_m").unwrap_err().to_string().contains("m or cm"));
    }
}
