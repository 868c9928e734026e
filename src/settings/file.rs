//! Settings from a file: TOML, or JSON where its name ends in `.json`.
//!
//! Leans on toml and serde_json. Leaves to others: what a value means ([`super`]).

use std::path::Path;

use serde_json::{Map, Value};

use super::{SETTINGS, Settings, SettingsError};
use crate::kb::draft::nearest;

/// Takes every setting of a file.
///
/// # Errors
/// [`SettingsError`] naming the file and what in it cannot be taken; a name that is no setting is
/// refused with the nearest.
pub fn read(path: &Path, settings: &mut Settings) -> Result<(), SettingsError> {
    let shown = path.display().to_string();
    let text = std::fs::read_to_string(path)
        .map_err(|e| SettingsError::Unreadable { path: shown.clone(), reason: e.to_string() })?;
    let json = path.extension().is_some_and(|e| e.eq_ignore_ascii_case("json"));
    let table = table(&text, json).map_err(|reason| SettingsError::Form { path: shown.clone(), reason })?;
    for (key, value) in &table {
        let Some(setting) = SETTINGS.iter().find(|s| s.key == key) else {
            let near = nearest(key, SETTINGS.iter().map(|s| s.key));
            return Err(SettingsError::Unknown { path: shown, key: key.clone(), nearest: near });
        };
        let origin = format!("{key} in {shown:?}");
        let Some(given) = text_of(value) else {
            let reason = "write a text, a number, true or false, or a list of texts".to_string();
            return Err(SettingsError::Value { origin, given: value.to_string(), reason });
        };
        settings.take(setting, &given, &origin)?;
    }
    Ok(())
}

fn table(text: &str, json: bool) -> Result<Map<String, Value>, String> {
    // The first line says where and what; the rest repeats the text.
    let short = |e: String| e.lines().next().unwrap_or_default().to_string();
    if json {
        serde_json::from_str(text).map_err(|e| short(e.to_string()))
    } else {
        toml::from_str(text).map_err(|e| short(e.to_string()))
    }
}

/// A value as it would be written behind a flag.
fn text_of(value: &Value) -> Option<String> {
    match value {
        Value::String(text) => Some(text.clone()),
        Value::Number(number) => Some(number.to_string()),
        Value::Bool(true) => Some("on".to_string()),
        Value::Bool(false) => Some("off".to_string()),
        Value::Array(list) => {
            let texts: Option<Vec<&str>> = list.iter().map(Value::as_str).collect();
            texts.map(|texts| texts.join(","))
        }
        Value::Null | Value::Object(_) => None,
    }
}
