//! From a query string to the members of a question.
//!
//! Leans on actix-web for the decoding. Leaves to others: whether the values make sense
//! ([`crate::ask`]). What a route does not know is refused with the nearest name that it knows.

use actix_web::web;

use super::error::{Failure, Place};
use crate::ask::{self, Error};

/// Decoded parameters, each of a name that the route knows.
pub(super) struct Query {
    pairs: Vec<(String, String)>,
}

impl Query {
    /// Reads the query string of a route that knows `names`.
    pub(super) fn read(text: &str, names: &[&str]) -> Result<Self, Failure> {
        let pairs = web::Query::<Vec<(String, String)>>::from_query(text)
            .map_err(|e| malformed(e.to_string(), "", "escape the values as in a web form"))?
            .into_inner();
        for (name, value) in &pairs {
            if !names.contains(&name.as_str()) {
                let nearest = ask::unknown("parameter", name, "", names.iter().copied()).nearest();
                let hint = match names {
                    [] => "this path takes none".to_string(),
                    known => format!("this path takes {}", known.join(", ")),
                };
                let found = format!("a parameter called {name:?}");
                return Err(Failure::Malformed { found, pointer: pointer(name), hint, nearest });
            }
            if value.trim().is_empty() {
                return Err(empty(name));
            }
        }
        Ok(Self { pairs })
    }

    /// The value of a parameter that stands once at most.
    pub(super) fn one(&self, name: &str) -> Result<Option<&str>, Failure> {
        let mut values = self.pairs.iter().filter(|(n, _)| n == name).map(|(_, v)| v.as_str());
        let first = values.next();
        if values.next().is_some() {
            return Err(malformed(format!("{name} was given several times"), name, "give it once"));
        }
        Ok(first)
    }

    /// The same, as a text of its own.
    pub(super) fn text(&self, name: &str) -> Result<Option<String>, Failure> {
        Ok(self.one(name)?.map(str::to_string))
    }

    /// The values of a parameter that may stand several times or hold commas.
    pub(super) fn many(&self, name: &str) -> Result<Vec<String>, Failure> {
        let values = self.pairs.iter().filter(|(n, _)| n == name).flat_map(|(_, v)| v.split(','));
        values.map(|v| if v.trim().is_empty() { Err(empty(name)) } else { Ok(v.trim().to_string()) }).collect()
    }

    /// A whole number.
    pub(super) fn number(&self, name: &str) -> Result<Option<usize>, Failure> {
        let Some(value) = self.one(name)? else { return Ok(None) };
        match value.trim().parse() {
            Ok(number) => Ok(Some(number)),
            Err(_) => Err(malformed(format!("{name} {value:?} is no whole number"), name, "write it in digits")),
        }
    }

    /// A word from the closed list `all`, each spelled by `word`.
    pub(super) fn word<T: Copy>(
        &self,
        name: &str,
        what: &'static str,
        all: &[T],
        word: impl Fn(T) -> &'static str,
    ) -> Result<Option<T>, Failure> {
        let Some(value) = self.one(name)? else { return Ok(None) };
        match all.iter().copied().find(|w| word(*w) == value.trim()) {
            Some(found) => Ok(Some(found)),
            None => {
                let error = ask::unknown(what, value, &pointer(name), all.iter().copied().map(word));
                Err(Failure::Question { error, place: Place::Query })
            }
        }
    }
}

fn pointer(name: &str) -> String {
    format!("/{}", crate::kb::problem::escape(name))
}

fn empty(name: &str) -> Failure {
    Failure::Question { error: Error::Empty { what: "parameter", pointer: pointer(name) }, place: Place::Query }
}

fn malformed(found: String, name: &str, hint: &str) -> Failure {
    let pointer = if name.is_empty() { String::new() } else { pointer(name) };
    Failure::Malformed { found, pointer, hint: hint.to_string(), nearest: Vec::new() }
}
