//! From a JSON value to a question, with the place of whatever does not fit and the words that would.
//!
//! Leans on serde_path_to_error for the place. Leaves to others: whether the values make sense (the
//! question itself), and how the value came to be ([`crate::mcp`], [`crate::http`]).

use serde::de::DeserializeOwned;
use serde_json::Value;
use serde_path_to_error::{Path, Segment};

use super::{Error, unknown};
use crate::kb::problem::escape;
use crate::kb::raw::Gym;

/// A value that is no question.
#[derive(Debug)]
pub struct Misread {
    /// What is wrong, and where.
    pub error: Box<Error>,
    /// Nearest valid words, best first; also those of a member that the question does not have.
    pub nearest: Vec<String>,
}

impl From<Error> for Misread {
    fn from(error: Error) -> Self {
        Self { nearest: error.nearest(), error: Box::new(error) }
    }
}

/// Turns a value into a question.
///
/// # Errors
/// [`Misread`] naming the member that does not fit and the words that would.
pub fn read<Q: DeserializeOwned>(value: &Value) -> Result<Q, Misread> {
    // A list would be read field by field, which nobody means.
    if !value.is_object() {
        return Err(shape("the question is no JSON object".to_string(), String::new(), FORM).into());
    }
    serde_path_to_error::deserialize(value).map_err(|e| {
        let place = pointer(e.path());
        own_gym(value, &place).unwrap_or_else(|| misfit(e.inner().to_string(), place))
    })
}

const FORM: &str = "give it in the shape of the question";

fn shape(found: String, pointer: String, hint: &str) -> Error {
    Error::Shape { found, pointer, hint: hint.to_string() }
}

/// The JSON pointer of a path.
#[must_use]
pub fn pointer(path: &Path) -> String {
    let mut pointer = String::new();
    for step in path {
        match step {
            Segment::Seq { index } => pointer.push_str(&format!("/{index}")),
            Segment::Map { key } => pointer.push_str(&format!("/{}", escape(key))),
            Segment::Enum { .. } | Segment::Unknown => {}
        }
    }
    pointer
}

/// A value that does not fit its member: serde says which words would, in backticks.
fn misfit(told: String, pointer: String) -> Misread {
    let mut quoted = told.split('`').skip(1).step_by(2);
    let given = quoted.next().unwrap_or_default();
    if told.starts_with("unknown variant") {
        return unknown("word", given, &pointer, quoted).into();
    }
    if !told.starts_with("unknown field") {
        return shape(told, pointer, FORM).into();
    }
    let nearest = unknown("member", given, &pointer, quoted).nearest();
    let hint = nearest.first().map_or_else(|| FORM.to_string(), |near| format!("did you mean {near:?}?"));
    Misread { error: Box::new(shape(told, pointer, &hint)), nearest }
}

/// What is wrong with a gym described in full. A gym is read in two ways, so that serde cannot say
/// which of them failed.
fn own_gym(question: &Value, at: &str) -> Option<Misread> {
    if at != "/gym" {
        return None;
    }
    let gym = question.get("gym")?;
    if !gym.is_object() {
        let found = "the gym is neither an id nor described in full".to_string();
        let hint = "give the id of a gym, or an object with id, name and items";
        return Some(shape(found, at.to_string(), hint).into());
    }
    let error = serde_path_to_error::deserialize::<_, Gym>(gym).err()?;
    Some(misfit(error.inner().to_string(), format!("{at}{}", pointer(error.path()))))
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;
    use crate::ask::swap;

    fn wrong(value: Value) -> (&'static str, String, Vec<String>) {
        let misread = read::<swap::Request>(&value).unwrap_err();
        (misread.error.code(), misread.error.pointer().to_string(), misread.nearest)
    }

    #[test]
    fn a_question_is_read() {
        let question: swap::Request = read(&json!({"exercise": "back squat", "gym": "loft", "top": 3})).unwrap();
        assert_eq!((question.exercise.as_str(), question.top), ("back squat", Some(3)));
    }

    #[test]
    fn what_does_not_fit_has_its_place_and_the_nearest_words() {
        let (code, pointer, nearest) = wrong(json!({"exercise": "back squat", "aim": "sized"}));
        assert_eq!((code, pointer.as_str(), nearest[0].as_str()), ("unknown-word", "/aim", "size"));
        let (code, pointer, nearest) = wrong(json!({"exercize": "back squat"}));
        assert_eq!((code, pointer.as_str(), nearest[0].as_str()), ("malformed-request", "/exercize", "exercise"));
        let (code, pointer, nearest) = wrong(json!({"sore": [{"region": "knee", "pain": "much"}]}));
        assert_eq!((code, pointer.as_str(), nearest), ("malformed-request", "/sore/0/pain", vec![]));
        assert_eq!(wrong(json!(["back squat"])), ("malformed-request", String::new(), vec![]));
    }

    #[test]
    fn a_gym_of_ones_own_names_its_own_member() {
        let (code, pointer, nearest) = wrong(json!({"gym": {"id": "pier", "name": "Pier", "item": ["bands"]}}));
        assert_eq!((code, pointer.as_str(), nearest[0].as_str()), ("malformed-request", "/gym/item", "items"));
        assert_eq!(wrong(json!({"gym": 4})).1, "/gym");
    }
}
