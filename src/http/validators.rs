//! Strong validators of replies, and their gzip form.
//!
//! Leans on xxhash and flate2. Leaves to others: which replies have one ([`super::around`]).
//!
//! A tag (RFC 9110, 8.8.3) is the stamp of the base and a fingerprint of the very bytes, so the
//! same question gets the same tag from every replica that serves the same base, and a tag is never
//! the same for other bytes. The gzip form has a tag of its own, as a strong one must.

use std::io::Write as _;

use actix_web::http::header::{self, HeaderMap, HeaderValue};
use actix_web::web::Bytes;
use flate2::Compression;
use flate2::write::GzEncoder;
use xxhash_rust::xxh3::xxh3_128;

/// What stands at the end of the tag of the gzip form.
const GZIP: &str = "-gz";

/// Shorter replies are sent as they are: the packet is no shorter for it.
const LEAST: usize = 1024;

/// The tag of a reply.
pub(super) fn tag(stamp: &str, body: &[u8]) -> String {
    format!("\"{stamp}-{:032x}\"", xxh3_128(body))
}

/// The tag of the gzip form of the same reply.
pub(super) fn tag_of_gzip(tag: &str) -> String {
    format!("{}{GZIP}\"", tag.strip_suffix('"').unwrap_or(tag))
}

/// Whether the client has this reply already, in one form or the other (RFC 9110, 13.1.2): the
/// tag that it has it under.
pub(super) fn held(headers: &HeaderMap, tag: &str) -> Option<String> {
    let gzip = tag_of_gzip(tag);
    for line in headers.get_all(header::IF_NONE_MATCH) {
        for given in line.to_str().ok()?.split(',').map(str::trim) {
            // Weak comparison: whether a tag calls itself weak makes no difference here.
            let given = given.strip_prefix("W/").unwrap_or(given);
            if given == "*" || given == tag {
                return Some(tag.to_string());
            }
            if given == gzip {
                return Some(gzip);
            }
        }
    }
    None
}

/// Whether the client reads gzip, by its `Accept-Encoding` (RFC 9110, 12.5.3).
pub(super) fn reads_gzip(headers: &HeaderMap) -> bool {
    let mut any = None;
    for line in headers.get_all(header::ACCEPT_ENCODING).filter_map(|v| v.to_str().ok()) {
        for part in line.split(',') {
            let mut pieces = part.split(';').map(str::trim);
            let coding = pieces.next().unwrap_or_default();
            let refused = pieces.any(|p| {
                p.strip_prefix("q=").or(p.strip_prefix("Q=")).is_some_and(|q| q.parse().is_ok_and(|q: f32| q <= 0.0))
            });
            if coding.eq_ignore_ascii_case("gzip") || coding.eq_ignore_ascii_case("x-gzip") {
                return !refused;
            }
            if coding == "*" {
                any = Some(!refused);
            }
        }
    }
    any.unwrap_or(false)
}

/// The gzip form of a reply that gains by it.
pub(super) fn gzip(media: Option<&HeaderValue>, body: &[u8]) -> Option<Bytes> {
    let media = media.and_then(|v| v.to_str().ok()).unwrap_or_default();
    let words = ["text/", "json", "xml", "javascript", "openmetrics"];
    if body.len() < LEAST || !words.iter().any(|w| media.contains(w)) {
        return None;
    }
    let mut encoder = GzEncoder::new(Vec::with_capacity(body.len() / 4), Compression::fast());
    encoder.write_all(body).ok()?;
    encoder.finish().ok().filter(|short| short.len() < body.len()).map(Bytes::from)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn headers(name: header::HeaderName, value: &str) -> HeaderMap {
        let mut map = HeaderMap::new();
        map.insert(name, HeaderValue::from_str(value).unwrap());
        map
    }

    #[test]
    fn gzip_is_sent_to_those_who_ask_for_it() {
        for (said, reads) in [
            ("gzip", true),
            ("deflate, gzip;q=0.5", true),
            ("GZip", true),
            ("gzip;q=0", false),
            ("gzip; q=0.000", false),
            ("identity", false),
            ("br", false),
            ("*", true),
            ("*;q=0", false),
            ("*;q=0, gzip", true),
            ("", false),
        ] {
            assert_eq!(reads_gzip(&headers(header::ACCEPT_ENCODING, said)), reads, "{said:?}");
        }
        assert!(!reads_gzip(&HeaderMap::new()));
    }

    #[test]
    fn a_tag_is_known_again_in_both_forms() {
        let tag = tag("stamp", b"oars");
        assert_ne!(tag, super::tag("stamp", b"oar"));
        assert_ne!(tag, super::tag("other", b"oars"));
        let gz = tag_of_gzip(&tag);
        for (said, found) in [
            (tag.clone(), Some(&tag)),
            (format!("\"a\", W/{tag}"), Some(&tag)),
            (format!("\"a\" ,{gz}"), Some(&gz)),
            ("*".to_string(), Some(&tag)),
            ("\"a\"".to_string(), None),
            (tag.trim_matches('"').to_string(), None),
        ] {
            assert_eq!(held(&headers(header::IF_NONE_MATCH, &said), &tag).as_ref(), found, "{said}");
        }
    }
}
