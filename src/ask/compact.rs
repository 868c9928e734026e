//! Replies as compact JSON, the same bytes that serde_json writes, in less time.
//!
//! Leans on serde_json for numbers, for texts that need escapes, and for whatever shape no reply
//! has. Leaves to others: what is written. Nearly every text of a reply needs no escape; one look
//! at all its bytes at once says so, and it is copied as it stands.

use std::fmt;

use serde::Serialize;
use serde::ser::{self, Impossible};

/// Appends a value to `out`.
///
/// # Errors
/// As serde_json, when a value has no JSON form.
pub fn write<T: Serialize>(out: &mut Vec<u8>, value: &T) -> Result<(), serde_json::Error> {
    let before = out.len();
    if value.serialize(&mut Compact { out: &mut *out }).is_ok() {
        return Ok(());
    }
    // Of another shape, or with no JSON form at all: serde_json knows both.
    out.truncate(before);
    serde_json::to_writer(out, value)
}

/// A value that this writer leaves to serde_json.
#[derive(Debug)]
struct Unusual;

impl fmt::Display for Unusual {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a shape that is written by serde_json")
    }
}

impl std::error::Error for Unusual {}

impl ser::Error for Unusual {
    fn custom<T: fmt::Display>(_: T) -> Self {
        Self
    }
}

struct Compact<'o> {
    out: &'o mut Vec<u8>,
}

impl Compact<'_> {
    fn push(&mut self, text: &[u8]) {
        self.out.extend_from_slice(text);
    }

    fn as_serde_json<T: Serialize>(&mut self, value: T) -> Result<(), Unusual> {
        serde_json::to_writer(&mut *self.out, &value).map_err(|_| Unusual)
    }

    fn quoted(&mut self, text: &str) -> Result<(), Unusual> {
        if !is_plain(text.as_bytes()) {
            return self.as_serde_json(text);
        }
        self.as_it_stands(text);
        Ok(())
    }

    fn as_it_stands(&mut self, text: &str) {
        self.out.reserve(text.len() + 2);
        self.out.push(b'"');
        self.push(text.as_bytes());
        self.out.push(b'"');
    }
}

/// Whether a text needs no escape: eight bytes at a time, the last eight with what was seen before.
fn is_plain(text: &[u8]) -> bool {
    let Some(last) = text.last_chunk::<8>() else { return !text.iter().any(|b| needs_escape(*b)) };
    let any = text.as_chunks::<8>().0.iter().fold(0, |any, eight| any | escapes(*eight));
    (any | escapes(*last)) & HIGH == 0
}

const fn needs_escape(byte: u8) -> bool {
    byte < 0x20 || byte == b'"' || byte == b'\\'
}

/// The highest bit of each of eight bytes.
const HIGH: u64 = 0x8080_8080_8080_8080;

/// Sets the highest bit somewhere in [`HIGH`] where one of eight bytes needs an escape, and nowhere
/// where none does. Taking n from a byte borrows into its highest bit where it is less than n; that
/// a borrow runs on into the next byte does no harm, as the first one stands already.
fn escapes(eight: [u8; 8]) -> u64 {
    const fn each(byte: u8) -> u64 {
        u64::from_ne_bytes([byte; 8])
    }
    let bytes = u64::from_le_bytes(eight);
    let equals = |byte: u8| {
        let other = bytes ^ each(byte);
        other.wrapping_sub(each(1)) & !other
    };
    (bytes.wrapping_sub(each(0x20)) & !bytes) | equals(b'"') | equals(b'\\')
}

/// A list, an object or a map that is being written.
struct Open<'s, 'o> {
    to: &'s mut Compact<'o>,
    first: bool,
    close: u8,
}

impl<'s, 'o> Open<'s, 'o> {
    fn new(to: &'s mut Compact<'o>, open: u8, close: u8) -> Self {
        to.out.push(open);
        Self { to, first: true, close }
    }

    fn next(&mut self) {
        if !self.first {
            self.to.out.push(b',');
        }
        self.first = false;
    }

    fn end(self) {
        self.to.out.push(self.close);
    }
}

macro_rules! as_serde_json {
    ($($name:ident: $type:ty),*) => {
        $(fn $name(self, v: $type) -> Result<(), Unusual> { self.as_serde_json(v) })*
    };
}

impl<'s, 'o> ser::Serializer for &'s mut Compact<'o> {
    type Ok = ();
    type Error = Unusual;
    type SerializeSeq = Open<'s, 'o>;
    type SerializeTuple = Open<'s, 'o>;
    type SerializeTupleStruct = Impossible<(), Unusual>;
    type SerializeTupleVariant = Impossible<(), Unusual>;
    type SerializeMap = Open<'s, 'o>;
    type SerializeStruct = Open<'s, 'o>;
    type SerializeStructVariant = Impossible<(), Unusual>;

    as_serde_json!(serialize_i8: i8, serialize_i16: i16, serialize_i32: i32, serialize_i64: i64);
    as_serde_json!(serialize_u8: u8, serialize_u16: u16, serialize_u32: u32, serialize_u64: u64);
    as_serde_json!(serialize_f32: f32, serialize_f64: f64, serialize_char: char, serialize_bytes: &[u8]);

    fn serialize_bool(self, v: bool) -> Result<(), Unusual> {
        self.push(if v { b"true" } else { b"false" });
        Ok(())
    }

    fn serialize_str(self, v: &str) -> Result<(), Unusual> {
        self.quoted(v)
    }

    fn serialize_none(self) -> Result<(), Unusual> {
        self.serialize_unit()
    }

    fn serialize_some<T: Serialize + ?Sized>(self, value: &T) -> Result<(), Unusual> {
        value.serialize(self)
    }

    fn serialize_unit(self) -> Result<(), Unusual> {
        self.push(b"null");
        Ok(())
    }

    fn serialize_unit_struct(self, _: &'static str) -> Result<(), Unusual> {
        self.serialize_unit()
    }

    fn serialize_unit_variant(self, _: &'static str, _: u32, variant: &'static str) -> Result<(), Unusual> {
        self.quoted(variant)
    }

    fn serialize_newtype_struct<T: Serialize + ?Sized>(self, _: &'static str, value: &T) -> Result<(), Unusual> {
        value.serialize(self)
    }

    fn serialize_newtype_variant<T: Serialize + ?Sized>(
        self,
        _: &'static str,
        _: u32,
        _: &'static str,
        _: &T,
    ) -> Result<(), Unusual> {
        Err(Unusual)
    }

    fn serialize_seq(self, _: Option<usize>) -> Result<Open<'s, 'o>, Unusual> {
        Ok(Open::new(self, b'[', b']'))
    }

    fn serialize_tuple(self, _: usize) -> Result<Open<'s, 'o>, Unusual> {
        Ok(Open::new(self, b'[', b']'))
    }

    fn serialize_tuple_struct(self, _: &'static str, _: usize) -> Result<Self::SerializeTupleStruct, Unusual> {
        Err(Unusual)
    }

    fn serialize_tuple_variant(
        self,
        _: &'static str,
        _: u32,
        _: &'static str,
        _: usize,
    ) -> Result<Self::SerializeTupleVariant, Unusual> {
        Err(Unusual)
    }

    fn serialize_map(self, _: Option<usize>) -> Result<Open<'s, 'o>, Unusual> {
        Ok(Open::new(self, b'{', b'}'))
    }

    fn serialize_struct(self, _: &'static str, _: usize) -> Result<Open<'s, 'o>, Unusual> {
        Ok(Open::new(self, b'{', b'}'))
    }

    fn serialize_struct_variant(
        self,
        _: &'static str,
        _: u32,
        _: &'static str,
        _: usize,
    ) -> Result<Self::SerializeStructVariant, Unusual> {
        Err(Unusual)
    }
}

impl ser::SerializeSeq for Open<'_, '_> {
    type Ok = ();
    type Error = Unusual;

    fn serialize_element<T: Serialize + ?Sized>(&mut self, value: &T) -> Result<(), Unusual> {
        self.next();
        value.serialize(&mut *self.to)
    }

    fn end(self) -> Result<(), Unusual> {
        Open::end(self);
        Ok(())
    }
}

impl ser::SerializeTuple for Open<'_, '_> {
    type Ok = ();
    type Error = Unusual;

    fn serialize_element<T: Serialize + ?Sized>(&mut self, value: &T) -> Result<(), Unusual> {
        ser::SerializeSeq::serialize_element(self, value)
    }

    fn end(self) -> Result<(), Unusual> {
        ser::SerializeSeq::end(self)
    }
}

impl ser::SerializeMap for Open<'_, '_> {
    type Ok = ();
    type Error = Unusual;

    fn serialize_key<T: Serialize + ?Sized>(&mut self, key: &T) -> Result<(), Unusual> {
        self.next();
        let at = self.to.out.len();
        key.serialize(&mut *self.to)?;
        // A key that is no text is written with quotes of its own.
        if self.to.out.get(at) == Some(&b'"') { Ok(()) } else { Err(Unusual) }
    }

    fn serialize_value<T: Serialize + ?Sized>(&mut self, value: &T) -> Result<(), Unusual> {
        self.to.out.push(b':');
        value.serialize(&mut *self.to)
    }

    fn end(self) -> Result<(), Unusual> {
        Open::end(self);
        Ok(())
    }
}

impl ser::SerializeStruct for Open<'_, '_> {
    type Ok = ();
    type Error = Unusual;

    fn serialize_field<T: Serialize + ?Sized>(&mut self, key: &'static str, value: &T) -> Result<(), Unusual> {
        self.next();
        // Members are named as in the code, where no name needs an escape.
        debug_assert!(is_plain(key.as_bytes()), "{key:?} needs an escape");
        self.to.as_it_stands(key);
        self.to.out.push(b':');
        value.serialize(&mut *self.to)
    }

    fn end(self) -> Result<(), Unusual> {
        Open::end(self);
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use proptest::prelude::*;
    use serde_json::{Value, json};

    use super::*;
    use crate::ask::{Engine, score, swap};

    fn same<T: Serialize>(value: &T) {
        let mut out = b"before ".to_vec();
        write(&mut out, value).unwrap();
        assert_eq!(String::from_utf8(out).unwrap(), format!("before {}", serde_json::to_string(value).unwrap()));
    }

    #[derive(Serialize)]
    #[allow(dead_code)]
    enum Shape {
        Bare,
        #[serde(rename = "re \"named\"")]
        Renamed,
        Of(u8),
        Pair(u8, i64),
        Fields {
            metres: f32,
        },
    }

    #[derive(Serialize)]
    struct Wrapped(f64);

    #[derive(Serialize)]
    struct Unit;

    #[test]
    fn every_shape_comes_out_as_serde_json_writes_it() {
        same(&json!({"a": [1, -2, 0.1, 1e300, null, true, false, {}, []], "b\n": "c\u{1}\"\\ \u{e9}\u{1f6a3}"}));
        same(&[Shape::Bare, Shape::Renamed]);
        same(&Shape::Of(7));
        same(&(Shape::Pair(1, i64::MIN), 'x', u64::MAX));
        same(&vec![Shape::Fields { metres: 0.3 }]);
        same(&BTreeMap::from([(3u8, "three"), (4, "four")]));
        same(&BTreeMap::from([("x", Some(Wrapped(f64::NAN))), ("y", None)]));
        same(&(Unit, Wrapped(-0.0), f32::MIN_POSITIVE, (), b"bytes"));
    }

    #[test]
    fn a_value_without_a_json_form_is_an_error() {
        assert!(write(&mut Vec::new(), &BTreeMap::from([(vec![1u8], 1)])).is_err());
    }

    #[test]
    fn every_judged_question_is_answered_in_the_same_bytes() {
        let engine = Engine::shipped().unwrap();
        for set in [score::shipped().unwrap(), score::own().unwrap()] {
            for question in &set.questions {
                for why in [false, true] {
                    let request = swap::Request { why, ..score::request(&set, question) };
                    same(&swap::answer(&engine, &request).unwrap());
                }
            }
        }
    }

    #[test]
    fn a_text_is_plain_as_its_bytes_are() {
        // Every byte at every place of a text of every length around eight.
        for byte in 0..=u8::MAX {
            for length in 1..=20 {
                for at in 0..length {
                    let mut text = vec![b'a'; length];
                    text[at] = byte;
                    assert_eq!(is_plain(&text), !needs_escape(byte), "{byte} at {at} of {length}");
                }
            }
        }
    }

    proptest! {
        #[test]
        fn any_text_and_number_comes_out_the_same(text in any::<String>(), n in any::<f64>(), i in any::<i64>()) {
            same(&(&text, n, i, Value::from(text.clone())));
        }
    }
}
