//! What is wrong with a base, each finding with its address and a way out.
//!
//! Leans on nothing. Leaves to others: finding it ([`super::draft`], [`super::check`]).

use std::fmt;

/// Whether a finding keeps the base from being used.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// The base cannot be used.
    Error,
    /// The base can be used; somebody should look.
    Warning,
}

impl Severity {
    /// Word used in reports.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Error => "error",
            Self::Warning => "warning",
        }
    }
}

impl fmt::Display for Severity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}

/// One finding about a base.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Problem {
    /// File, relative to the base's folder.
    pub file: String,
    /// JSON pointer (RFC 6901) into the file.
    pub pointer: String,
    /// Id of the rule, an entry of [`super::check::RULES`].
    pub rule: &'static str,
    /// Error or warning.
    pub severity: Severity,
    /// What was found.
    pub found: String,
    /// What to do about it.
    pub hint: String,
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { file, pointer, rule, severity, found, hint } = self;
        let pointer = if pointer.is_empty() { "/" } else { pointer };
        write!(f, "{severity} {rule}\n  at   {file} {pointer}\n  found {found}\n  hint {hint}")
    }
}

/// Escapes one step of a JSON pointer.
#[must_use]
pub fn escape(step: &str) -> String {
    step.replace('~', "~0").replace('/', "~1")
}
