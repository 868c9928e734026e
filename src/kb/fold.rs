//! Folding of names, so that spelling habits do not part what means the same.
//!
//! Leans on unicode-normalization. Leaves to others: near misses ([`crate::search`]).

use unicode_normalization::{UnicodeNormalization, char::is_combining_mark};

/// Trade abbreviations that stand for whole words (common practice, no source).
const EXPANSIONS: &[(&str, &str)] = &[
    ("db", "dumbbell"),
    ("dbs", "dumbbell"),
    ("bb", "barbell"),
    ("kb", "kettlebell"),
    ("kbs", "kettlebell"),
    ("bw", "bodyweight"),
    ("rdl", "romanian deadlift"),
    ("rdls", "romanian deadlift"),
    ("sldl", "stiff leg deadlift"),
    ("dl", "deadlift"),
    ("ohp", "overhead press"),
    ("bss", "bulgarian split squat"),
    ("rfess", "rear foot elevated split squat"),
    ("ssb", "safety bar"),
    ("ghr", "glute ham raise"),
    ("cgbp", "close grip bench press"),
    ("bor", "bent over row"),
    ("sl", "single leg"),
    ("sa", "single arm"),
    ("alt", "alternating"),
    ("ext", "extension"),
    ("exts", "extension"),
];

/// Words that carry no meaning in a name.
const FILLERS: &[&str] = &["the", "a", "an", "with", "on", "of", "and", "in", "to", "from", "using", "style"];

/// Words that mean the same to a lifter (common practice, no source).
const SAME: &[(&str, &str)] = &[
    ("legged", "leg"),
    ("armed", "arm"),
    ("one", "single"),
    ("staggered", "kickstand"),
    ("b", "kickstand"),
    ("supported", "support"),
    ("elevated", "raise"),
    ("raised", "raise"),
    ("military", "overhead"),
    ("pressup", "pushup"),
    ("inclined", "incline"),
    ("two", "double"),
];

/// Lower case, accents dropped, punctuation to spaces, plurals to singular.
#[must_use]
pub fn fold(name: &str) -> String {
    let mut plain = String::with_capacity(name.len());
    let mut take = |c: char| match c {
        '\'' | '\u{2019}' | '.' => {}
        '&' | '+' => plain.push_str(" and "),
        c if c.is_alphanumeric() => plain.push(c),
        _ => plain.push(' '),
    };
    if name.is_ascii() {
        // Nothing to decompose, which is nearly every name.
        name.chars().for_each(|c| take(c.to_ascii_lowercase()));
    } else {
        name.nfkd().filter(|c| !is_combining_mark(*c)).flat_map(char::to_lowercase).for_each(take);
    }
    let mut out = String::with_capacity(plain.len());
    for word in plain.split_whitespace() {
        if !out.is_empty() {
            out.push(' ');
        }
        out.push_str(singular(word));
    }
    out
}

/// The folded name with trade abbreviations written out.
#[must_use]
pub fn expand(name: &str) -> String {
    expand_folded(&fold(name))
}

/// No abbreviation is longer; most words are, and need no look-up.
const LONGEST_SHORT: usize = 5;

fn expand_folded(folded: &str) -> String {
    let mut out = String::with_capacity(folded.len() + 16);
    for word in folded.split(' ') {
        if !out.is_empty() {
            out.push(' ');
        }
        let long = if word.len() > LONGEST_SHORT { None } else { EXPANSIONS.iter().find(|(short, _)| *short == word) };
        out.push_str(long.map_or(word, |(_, long)| long));
    }
    out
}

/// The folded name with abbreviations written out, fillers dropped and words in order of the
/// alphabet: two names with the same key hold the same words.
#[must_use]
pub fn word_key(name: &str) -> String {
    word_key_folded(&fold(name))
}

/// As [`word_key`], of a name that is folded already.
#[must_use]
pub fn word_key_folded(folded: &str) -> String {
    let mut folded = expand_folded(folded);
    if folded.contains(" up") {
        folded = folded.replace("push up", "pushup").replace("press up", "pressup");
    }
    let mut words: Vec<&str> = folded
        .split(' ')
        .filter(|w| !FILLERS.contains(w))
        .map(|w| SAME.iter().find(|(from, _)| *from == w).map_or(w, |(_, to)| to))
        .collect();
    words.sort_unstable();
    words.dedup();
    words.join(" ")
}

/// The singular of an English word, by ending; odd plurals are left alone.
fn singular(word: &str) -> &str {
    let n = word.len();
    if n > 4 && ["sses", "ches", "shes", "xes"].iter().any(|end| word.ends_with(end)) {
        &word[..n - 2]
    } else if n > 2 && word.ends_with('s') && !word.ends_with("ss") && !word.ends_with("us") {
        &word[..n - 1]
    } else {
        word
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_abbreviation_is_longer_than_what_is_looked_up() {
        assert!(EXPANSIONS.iter().all(|(short, _)| short.len() <= LONGEST_SHORT));
    }

    #[test]
    fn spelling_habits_meet() {
        assert_eq!(fold("Back Squats"), "back squat");
        assert_eq!(fold("Farmer\u{2019}s  Carry"), fold("farmers carry"));
        assert_eq!(fold("Bench-presses"), "bench press");
        assert_eq!(fold("B\u{fc}rpee"), "burpee");
    }

    #[test]
    fn word_order_and_abbreviations_do_not_matter() {
        assert_eq!(word_key("RDL with DBs"), word_key("dumbbell Romanian deadlift"));
        assert_eq!(word_key("one-arm row"), word_key("single arm row"));
        assert_eq!(word_key("Press-ups"), word_key("push ups"));
    }
}
