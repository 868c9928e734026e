//! What a server is told before it starts, as data: one table of names, defaults and meanings.
//!
//! Leans on toml and serde_json for the file form. Leaves to others: flags and the environment
//! ([`crate::cli`]), and doing what the settings say ([`crate::http`]). A flag beats the
//! environment, the environment beats the file, and the file beats the default.

mod file;
mod network;

use std::time::Duration;

pub use file::read;
pub use network::{Network, client};

/// What stands before a server.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Settings {
    /// Address to listen on, HOST:PORT.
    pub listen: String,
    /// Threads that answer.
    pub workers: usize,
    /// Most connections at once.
    pub connections: usize,
    /// Longest head of a request, bytes.
    pub head_bytes: usize,
    /// How long a client may take to send it.
    pub head_wait: Duration,
    /// Longest body of a question, bytes.
    pub body_bytes: usize,
    /// How long a client may take to send it.
    pub body_wait: Duration,
    /// How long an idle connection is kept.
    pub idle_wait: Duration,
    /// Questions a second that one client may ask on average; 0 is without a limit.
    pub rate: u32,
    /// Questions that one client may ask at once before the rate counts.
    pub burst: u32,
    /// Proxies whose word on the client's address is taken.
    pub proxies: Vec<Network>,
    /// Origins whose pages may ask; `*` for all.
    pub origins: Vec<String>,
    /// Whether longer replies are compressed for clients that can read it.
    pub compress: bool,
    /// How it is told what happens.
    pub log: LogForm,
    /// How long the server goes on answering, unready, before it stops.
    pub drain: Duration,
    /// How long requests in flight may take on a stop.
    pub stop_wait: Duration,
}

/// How it is told what happens, on standard error.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LogForm {
    /// A line of words for each event.
    Text,
    /// A JSON object for each event.
    Json,
    /// Nothing but the line that says where the server listens.
    Off,
}

/// A setting: its name, and what it takes.
#[derive(Clone, Copy)]
pub struct Setting {
    /// Name in a file; behind two hyphens, the flag.
    pub key: &'static str,
    /// Name in the environment.
    pub variable: &'static str,
    /// What stands for the value in help.
    pub value: &'static str,
    /// Value when nothing is said, as it would be written; empty for none.
    pub default: &'static str,
    /// Meaning, unit and default in one line or two.
    pub means: &'static str,
    set: fn(&mut Settings, &str) -> Result<(), String>,
}

impl std::fmt::Debug for Setting {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Setting").field("key", &self.key).finish_non_exhaustive()
    }
}

macro_rules! settings {
    ($($key:literal $variable:literal $value:literal = $default:literal, $means:literal, $set:expr;)*) => {
        /// Every setting, in the order of the help.
        pub const SETTINGS: &[Setting] = &[$(Setting {
            key: $key, variable: $variable, value: $value, default: $default, means: $means, set: $set,
        }),*];
    };
}

settings! {
    "listen" "STEAD_LISTEN" "HOST:PORT" = "127.0.0.1:8080", "Address to listen on",
        |s, v| { s.listen = v.to_string(); Ok(()) };
    "workers" "STEAD_WORKERS" "N" = "2", "Threads that answer, 1 to 256",
        |s, v| { s.workers = whole(v, 1, 256)? as usize; Ok(()) };
    "connections" "STEAD_CONNECTIONS" "N" = "20000", "Most connections at once, 1 to 1000000",
        |s, v| { s.connections = whole(v, 1, 1_000_000)? as usize; Ok(()) };
    "head-bytes" "STEAD_HEAD_BYTES" "N" = "16384", "Longest head of a request, 1024 to 131072 bytes",
        |s, v| { s.head_bytes = whole(v, 1024, 131_072)? as usize; Ok(()) };
    "head-wait" "STEAD_HEAD_WAIT" "SECONDS" = "5", "How long a client may take to send it, 1 to 300",
        |s, v| { s.head_wait = seconds(v, 1, 300)?; Ok(()) };
    "body-bytes" "STEAD_BODY_BYTES" "N" = "65536",
        "Longest body of a question, 256 to 16777216 bytes; a batch may be 16 times as long",
        |s, v| { s.body_bytes = whole(v, 256, 16_777_216)? as usize; Ok(()) };
    "body-wait" "STEAD_BODY_WAIT" "SECONDS" = "10", "How long a client may take to send it, 1 to 300",
        |s, v| { s.body_wait = seconds(v, 1, 300)?; Ok(()) };
    "idle-wait" "STEAD_IDLE_WAIT" "SECONDS" = "15", "How long an idle connection is kept, 1 to 3600",
        |s, v| { s.idle_wait = seconds(v, 1, 3600)?; Ok(()) };
    "rate" "STEAD_RATE" "N" = "0",
        "Questions a second that one client may ask on average, 0 to 1000000; 0 is without a limit",
        |s, v| { s.rate = number(v, 0, 1_000_000)?; Ok(()) };
    "burst" "STEAD_BURST" "N" = "100", "Questions that one client may ask at once, 1 to 1000000",
        |s, v| { s.burst = number(v, 1, 1_000_000)?; Ok(()) };
    "proxies" "STEAD_PROXIES" "ADDRESS,..." = "",
        "Proxies whose X-Forwarded-For is believed, such as 10.0.0.0/8; none when left out",
        |s, v| { s.proxies = listed(v).map(Network::read).collect::<Result<_, _>>()?; Ok(()) };
    "origins" "STEAD_ORIGINS" "ORIGIN,..." = "",
        "Origins whose pages may ask (CORS), such as https://crew.example, or * for all; none when left out",
        |s, v| { s.origins = listed(v).map(origin).collect::<Result<_, _>>()?; Ok(()) };
    "compress" "STEAD_COMPRESS" "on|off" = "on", "Compress longer replies for clients that read gzip",
        |s, v| { s.compress = chosen(v, &[("on", true), ("off", false)])?; Ok(()) };
    "log" "STEAD_LOG" "text|json|off" = "text",
        "How to log: route, status, time and id, never what was asked",
        |s, v| {
            s.log = chosen(v, &[("text", LogForm::Text), ("json", LogForm::Json), ("off", LogForm::Off)])?;
            Ok(())
        };
    "drain" "STEAD_DRAIN" "SECONDS" = "0",
        "How long to go on answering, unready, after SIGTERM, 0 to 300",
        |s, v| { s.drain = seconds(v, 0, 300)?; Ok(()) };
    "stop-wait" "STEAD_STOP_WAIT" "SECONDS" = "15", "How long requests in flight may take on a stop, 1 to 300",
        |s, v| { s.stop_wait = seconds(v, 1, 300)?; Ok(()) };
}

/// Name in the environment of the file with settings.
pub const FILE_VARIABLE: &str = "STEAD_CONFIG";

/// A setting that cannot be taken.
#[derive(Debug, thiserror::Error, Clone, PartialEq, Eq)]
pub enum SettingsError {
    /// The file cannot be read.
    #[error("cannot read the settings in {path:?}: {reason}")]
    Unreadable {
        /// The file.
        path: String,
        /// Why.
        reason: String,
    },
    /// The file is neither TOML nor JSON, or no table of settings.
    #[error("{path:?} has no settings: {reason}")]
    Form {
        /// The file.
        path: String,
        /// Why.
        reason: String,
    },
    /// A name that is no setting.
    #[error("{path:?} names {key:?}, which is no setting{}", near(.nearest))]
    Unknown {
        /// The file.
        path: String,
        /// As given.
        key: String,
        /// The setting with the nearest name.
        nearest: Option<&'static str>,
    },
    /// A value that a setting does not take.
    #[error("{origin} is {given:?}: {reason}")]
    Value {
        /// The flag, the variable, or the file and key.
        origin: String,
        /// As given.
        given: String,
        /// What it takes.
        reason: String,
    },
}

fn near(nearest: &Option<&'static str>) -> String {
    nearest.map_or(String::new(), |n| format!("; did you mean {n:?}?"))
}

impl SettingsError {
    /// The way out, in one line.
    #[must_use]
    pub const fn hint(&self) -> &'static str {
        match self {
            Self::Unreadable { .. } => "name a file that is there and that you may read",
            Self::Form { .. } => "write TOML, or JSON in a file that ends in .json, one setting a line",
            Self::Unknown { .. } | Self::Value { .. } => "`stead serve --help` lists every setting with its bounds",
        }
    }
}

impl Default for Settings {
    /// The defaults of the table.
    fn default() -> Self {
        let mut settings = Self {
            listen: String::new(),
            workers: 1,
            connections: 1,
            head_bytes: 0,
            head_wait: Duration::ZERO,
            body_bytes: 0,
            body_wait: Duration::ZERO,
            idle_wait: Duration::ZERO,
            rate: 0,
            burst: 1,
            proxies: Vec::new(),
            origins: Vec::new(),
            compress: false,
            log: LogForm::Off,
            drain: Duration::ZERO,
            stop_wait: Duration::ZERO,
        };
        for setting in SETTINGS {
            // A test holds that the table's own defaults can be read.
            let _ = (setting.set)(&mut settings, setting.default);
        }
        settings
    }
}

impl Settings {
    /// Takes one value; `origin` says where it stood.
    ///
    /// # Errors
    /// [`SettingsError::Value`] naming the place, the value and what the setting takes.
    pub fn take(&mut self, setting: &Setting, given: &str, origin: &str) -> Result<(), SettingsError> {
        (setting.set)(self, given.trim()).map_err(|reason| SettingsError::Value {
            origin: origin.to_string(),
            given: given.to_string(),
            reason,
        })
    }
}

fn listed(text: &str) -> impl Iterator<Item = &str> {
    text.split(',').map(str::trim).filter(|part| !part.is_empty())
}

fn whole(text: &str, least: u64, most: u64) -> Result<u64, String> {
    let wrong = || format!("write a whole number from {least} to {most}");
    let number: u64 = text.parse().map_err(|_| wrong())?;
    if (least..=most).contains(&number) { Ok(number) } else { Err(wrong()) }
}

fn number(text: &str, least: u32, most: u32) -> Result<u32, String> {
    let number = whole(text, least.into(), most.into())?;
    u32::try_from(number).map_err(|_| format!("write a whole number up to {most}"))
}

fn seconds(text: &str, least: u64, most: u64) -> Result<Duration, String> {
    Ok(Duration::from_secs(whole(text, least, most)?))
}

fn chosen<T: Copy>(text: &str, all: &[(&str, T)]) -> Result<T, String> {
    let words = || all.iter().map(|(word, _)| *word).collect::<Vec<_>>().join(", ");
    all.iter()
        .find(|(word, _)| *word == text)
        .map(|(_, value)| *value)
        .ok_or_else(|| format!("write one of {}", words()))
}

/// An origin as browsers send it: scheme, host, port where it is not the usual one.
fn origin(text: &str) -> Result<String, String> {
    let whole = text == "*"
        || text.split_once("://").is_some_and(|(scheme, rest)| {
            let plain = |c: char| c.is_ascii_alphanumeric() || "-.:[]".contains(c);
            (scheme == "http" || scheme == "https") && !rest.is_empty() && rest.chars().all(plain)
        });
    if whole { Ok(text.to_string()) } else { Err(format!("{text:?} is no origin such as https://crew.example")) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_defaults_of_the_table_are_taken() {
        for setting in SETTINGS {
            let mut settings = Settings::default();
            settings.take(setting, setting.default, setting.key).unwrap();
            assert_eq!(settings, Settings::default(), "{}", setting.key);
        }
    }

    #[test]
    fn names_follow_from_the_key() {
        for (i, setting) in SETTINGS.iter().enumerate() {
            let variable = format!("STEAD_{}", setting.key.to_uppercase().replace('-', "_"));
            assert_eq!(setting.variable, variable);
            assert!(SETTINGS.iter().skip(i + 1).all(|other| other.key != setting.key), "{}", setting.key);
        }
    }

    #[test]
    fn values_out_of_bounds_name_the_place_and_the_bounds() {
        for (key, wrong, right) in [
            ("workers", "0", "64"),
            ("workers", "many", "1"),
            ("body-bytes", "1", "256"),
            ("body-wait", "0", "300"),
            ("rate", "-1", "0"),
            ("burst", "0", "1"),
            ("compress", "yes", "off"),
            ("log", "xml", "json"),
            ("origins", "crew.example", "https://crew.example, http://localhost:5173"),
            ("origins", "https://crew.example/page", "*"),
            ("proxies", "pier", "10.0.0.0/8,::1"),
            ("proxies", "10.0.0.0/33", "10.0.0.0/32"),
        ] {
            let setting = SETTINGS.iter().find(|s| s.key == key).unwrap();
            let mut settings = Settings::default();
            let error = settings.take(setting, wrong, "STEAD_SOMETHING").unwrap_err().to_string();
            assert!(error.contains("STEAD_SOMETHING") && error.contains(&format!("{wrong:?}")), "{error}");
            settings.take(setting, right, "STEAD_SOMETHING").unwrap();
            assert_eq!(settings == Settings::default(), right == setting.default, "{key}");
        }
    }
}
