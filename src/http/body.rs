//! From the bytes of a request to a question, with the pointer of whatever does not fit.
//!
//! Leans on serde_path_to_error for the pointer. Leaves to others: whether the values make sense
//! ([`crate::ask`]).

use actix_web::http::header;
use actix_web::rt::time::timeout;
use actix_web::web::{Bytes, Payload};
use actix_web::{HttpMessage as _, HttpRequest};
use serde::Deserialize;
use serde::de::DeserializeOwned;
use serde_json::error::Category;

use super::Limits;
use super::error::{Failure, Place};
use crate::ask;
use crate::ask::question::pointer;
use crate::kb::raw::Gym;

/// Reads a JSON body within the limits.
pub(super) async fn read(request: &HttpRequest, payload: Payload, limits: Limits) -> Result<Bytes, Failure> {
    check_media_type(request)?;
    let told: Option<u64> =
        request.headers().get(header::CONTENT_LENGTH).and_then(|v| v.to_str().ok()).and_then(|v| v.parse().ok());
    let too_large = || Failure::TooLarge { limit: limits.body_bytes };
    if told.is_some_and(|n| n > limits.body_bytes as u64) {
        return Err(too_large());
    }
    match timeout(limits.body_wait, payload.to_bytes_limited(limits.body_bytes)).await {
        Ok(Ok(Ok(bytes))) => Ok(bytes),
        Ok(Ok(Err(_))) => Err(Failure::CutOff),
        Ok(Err(_)) => Err(too_large()),
        Err(_) => Err(Failure::TooSlow { seconds: limits.body_wait.as_secs() }),
    }
}

fn check_media_type(request: &HttpRequest) -> Result<(), Failure> {
    let refuse = |given: String| Err(Failure::MediaType { given });
    let coding = request.headers().get(header::CONTENT_ENCODING);
    if let Some(coding) = coding.filter(|c| !c.as_bytes().eq_ignore_ascii_case(b"identity")) {
        return refuse(format!("{:?} by its content-encoding", String::from_utf8_lossy(coding.as_bytes())));
    }
    match request.mime_type() {
        Ok(Some(mime)) => {
            let utf8 = mime.get_param("charset").is_none_or(|c| c.as_str().eq_ignore_ascii_case("utf-8"));
            if mime.essence_str() == "application/json" && utf8 {
                Ok(())
            } else {
                refuse(format!("{:?}", mime.as_ref()))
            }
        }
        Ok(None) => refuse("of no content-type".to_string()),
        Err(_) => refuse("of a content-type that is none".to_string()),
    }
}

/// Turns a JSON body into a question. Some writers of JSON put `3.0` for a whole number, which
/// JSON Schema takes for one (2020-12, validation 6.1.1); serde does not, so that a body with
/// such is read a second time without the zeros.
pub(super) fn parse<T: DeserializeOwned>(bytes: &[u8]) -> Result<T, Failure> {
    let read = as_it_stands(bytes);
    match &read {
        Err(Failure::Malformed { .. }) => without_zeros(bytes).map_or(read, |shorter| as_it_stands(&shorter)),
        _ => read,
    }
}

fn as_it_stands<T: DeserializeOwned>(bytes: &[u8]) -> Result<T, Failure> {
    let opening = bytes.iter().copied().find(|b| !b.is_ascii_whitespace());
    let malformed = |found: String, pointer: String| Failure::Malformed {
        found,
        pointer,
        hint: "the body is a JSON object in the shape of the question".to_string(),
        nearest: Vec::new(),
    };
    if opening.is_none() {
        return Err(malformed("the body is empty".to_string(), String::new()));
    }
    // Nearly every body is sound; where one is not, it is read again for the place of the fault.
    if opening == Some(b'{')
        && let Ok(value) = serde_json::from_slice(bytes)
    {
        return Ok(value);
    }
    let mut reader = serde_json::Deserializer::from_slice(bytes);
    let value = serde_path_to_error::deserialize(&mut reader).map_err(|e| {
        let pointer = pointer(e.path());
        let told = e.inner().to_string();
        if e.inner().classify() == Category::Data {
            describe_gym(bytes, &pointer).unwrap_or_else(|| misfit(told, pointer))
        } else {
            malformed(told, pointer)
        }
    })?;
    reader.end().map_err(|e| malformed(e.to_string(), String::new()))?;
    // A list would be read field by field, which nobody means.
    if opening != Some(b'{') {
        return Err(malformed("the body is no JSON object".to_string(), String::new()));
    }
    Ok(value)
}

/// The body with every number that ends in a point and zeros written without them; none where
/// there is no such number.
fn without_zeros(bytes: &[u8]) -> Option<Vec<u8>> {
    let mut shorter = Vec::new();
    let mut rest = bytes;
    let (mut quoted, mut changed) = (false, false);
    let mut before = b' ';
    while let Some((&byte, behind)) = rest.split_first() {
        rest = behind;
        let escaped = quoted && before == b'\\';
        before = if escaped { b' ' } else { byte };
        if byte == b'"' && !escaped {
            quoted = !quoted;
        }
        if byte == b'.' && !quoted {
            let zeros = rest.iter().take_while(|b| **b == b'0').count();
            let next = rest.get(zeros).copied().unwrap_or(b' ');
            if zeros > 0 && !next.is_ascii_digit() && !matches!(next, b'e' | b'E') {
                rest = rest.get(zeros..).unwrap_or_default();
                changed = true;
                continue;
            }
        }
        shorter.push(byte);
    }
    changed.then_some(shorter)
}

/// A value that does not fit its field: serde says which words would, in backticks.
fn misfit(told: String, pointer: String) -> Failure {
    let mut quoted = told.split('`').skip(1).step_by(2);
    let given = quoted.next().unwrap_or_default();
    if told.starts_with("unknown variant") {
        return Failure::Question { error: ask::unknown("word", given, &pointer, quoted), place: Place::Body };
    }
    let nearest = if told.starts_with("unknown field") {
        ask::unknown("member", given, &pointer, quoted).nearest()
    } else {
        Vec::new()
    };
    let hint = match nearest.first() {
        Some(near) => format!("did you mean {near:?}?"),
        None => "give it in the shape of the question".to_string(),
    };
    Failure::Malformed { found: told, pointer, hint, nearest }
}

/// The part of a question that is read in two ways, so that serde cannot say which one failed.
#[derive(Deserialize)]
struct WithGym {
    gym: serde_json::Value,
}

/// What is wrong with a gym described in full, when that is what did not fit.
fn describe_gym(bytes: &[u8], at: &str) -> Option<Failure> {
    if at != "/gym" && !at.starts_with("/gym/") {
        return None;
    }
    let WithGym { gym } = serde_json::from_slice(bytes).ok()?;
    if !gym.is_object() {
        return Some(Failure::Malformed {
            found: "the gym is neither an id nor described in full".to_string(),
            pointer: "/gym".to_string(),
            hint: "give the id of a gym, or an object with id, name and items".to_string(),
            nearest: Vec::new(),
        });
    }
    let error = serde_path_to_error::deserialize::<_, Gym>(&gym).err()?;
    Some(misfit(error.inner().to_string(), format!("/gym{}", pointer(error.path()))))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn zeros_behind_a_point_are_left_out_of_numbers_alone() {
        for (given, shorter) in [
            (r#"{"top":3.0}"#, Some(r#"{"top":3}"#)),
            (r#"[1.0, 2.50,-4.000 ,0.0]"#, Some(r#"[1, 2.50,-4 ,0]"#)),
            (r#"{"a":"3.0","b":1.0}"#, Some(r#"{"a":"3.0","b":1}"#)),
            (r#"{"a\"3.0":"\\","b":1.0}"#, Some(r#"{"a\"3.0":"\\","b":1}"#)),
            (r#"{"a":"3.0"}"#, None),
            ("[1.05, 1.0e3, 1., 10]", None),
        ] {
            let got = without_zeros(given.as_bytes()).map(|b| String::from_utf8(b).unwrap());
            assert_eq!(got.as_deref(), shorter, "{given}");
        }
    }
}
