//! JSON at the edge: a reply as one line of text, and a gym read from a file.
//!
//! Leans on serde_json, and on serde_path_to_error for the place of a value that did not fit.
//! Leaves to others: where the text goes ([`crate::cli`], [`crate::http`]).

use std::path::Path;

use serde::Serialize;

use super::Error;
use crate::gym::{Inventory, item};
use crate::kb::Kb;
use crate::kb::raw::Gym;

/// A reply as JSON on one line, the same bytes through both doors.
///
/// # Errors
/// [`Error::Internal`] when a value has no JSON form.
pub fn text<T: Serialize>(reply: &T) -> Result<String, Error> {
    String::from_utf8(bytes(reply)?).map_err(|e| Error::Internal(format!("the reply has no JSON form: {e}")))
}

/// Room for most replies, bytes, so that they are not moved while they are written.
const USUAL_REPLY: usize = 8 * 1024;

/// As [`text`], for those who send it on.
///
/// # Errors
/// As [`text`].
pub fn bytes<T: Serialize>(reply: &T) -> Result<Vec<u8>, Error> {
    let mut out = Vec::with_capacity(USUAL_REPLY);
    serde_json::to_writer(&mut out, reply).map_err(|e| Error::Internal(format!("the reply has no JSON form: {e}")))?;
    Ok(out)
}

/// A value as JSON that a person reads, as the schemas are kept.
///
/// # Errors
/// As [`text`].
pub fn pretty<T: Serialize>(value: &T) -> Result<String, Error> {
    serde_json::to_string_pretty(value).map_err(|e| Error::Internal(format!("the value has no JSON form: {e}")))
}

/// A gym from a file that holds one record of the form used in `kb/gyms.json`.
///
/// # Errors
/// [`Error::File`] when the file cannot be read, [`Error::Shape`] naming the file and the field
/// when it is no gym, or names kit that the base does not know, or a number is out of bounds.
pub fn gym_file(kb: &Kb, path: &Path) -> Result<Gym, Error> {
    let shown = path.display().to_string();
    let text = std::fs::read_to_string(path).map_err(|e| Error::File { path: shown.clone(), reason: e.to_string() })?;
    gym(kb, &shown, &text)
}

/// A gym from the text of the file called `shown`.
///
/// # Errors
/// As [`gym_file`].
pub fn gym(kb: &Kb, shown: &str, text: &str) -> Result<Gym, Error> {
    let wrong = |field: &str, found: String, hint: &str| Error::Shape {
        found: if field.is_empty() { format!("{shown}: {found}") } else { format!("{shown}, field {field}: {found}") },
        pointer: "/gym".to_string(),
        hint: hint.to_string(),
    };
    let mut reader = serde_json::Deserializer::from_str(text);
    let gym: Gym = serde_path_to_error::deserialize(&mut reader).map_err(|e| {
        let field = e.path().to_string();
        wrong(field.trim_matches('.'), e.inner().to_string(), FORM)
    })?;
    reader.end().map_err(|e| wrong("", e.to_string(), "one record a file"))?;
    for (at, given) in gym.items.iter().enumerate() {
        item(kb, given).map_err(|e| wrong(&format!("items[{at}]"), e.to_string(), ITEMS))?;
    }
    Inventory::of(kb, &gym).map_err(|e| wrong("", e.to_string(), FORM))?;
    Ok(gym)
}

/// What a gym's record looks like.
const FORM: &str = r#"write {"id": "shed", "name": "Shed", "items": ["barbell", "plates"]}"#;
/// Where the words for kit are.
const ITEMS: &str = "`stead terms equipment` lists the kit";

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ask::Engine;

    #[test]
    fn a_gym_that_does_not_fit_names_the_file_and_the_field() {
        let engine = Engine::shipped().unwrap();
        let said = |text: &str| gym(engine.kb(), "shed.json", text).unwrap_err().to_string();
        let wrong =
            said(r#"{"id": "shed", "name": "Shed", "items": ["barbell"], "stock": {"plates_total_kg": "many"}}"#);
        assert!(wrong.starts_with("shed.json, field stock.plates_total_kg: invalid type"), "{wrong}");
        let wrong = said(r#"{"id": "shed", "name": "Shed", "items": ["barbell", "kettlebels"]}"#);
        assert!(wrong.starts_with("shed.json, field items[1]: no kit called \"kettlebels\""), "{wrong}");
        assert!(wrong.contains("kettlebells"), "{wrong}");
        let wrong = said(r#"{"id": "shed", "name": "Shed", "items": [], "ceiling_m": 0.4}"#);
        assert!(wrong.contains("ceiling height 0.4 m is outside"), "{wrong}");
        assert!(said("{}").contains("missing field `id`"));
        assert!(said("[1, 2").starts_with("shed.json"));
        assert!(said(r#"{"id": "shed", "name": "Shed", "items": []} {}"#).contains("trailing"));
        let good = gym(engine.kb(), "shed.json", r#"{"id": "shed", "name": "Shed", "items": ["barbell"]}"#).unwrap();
        assert_eq!(good.items, ["barbell"]);
    }
}
