//! The page for a person with a browser: plain files, compiled in, that ask this server alone.
//!
//! Leans on the files of `src/http/page`. Leaves to others: every answer ([`super::routes`]). The
//! headers forbid the page to load or to ask anything outside its own origin.

use std::sync::LazyLock;

use actix_web::http::header;
use actix_web::{HttpResponse, web};

use super::error::Failure;
use crate::kb::compile::stamp;
use crate::kb::files::Files;

/// A file of the page.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct File {
    /// Its name, the last step of its path.
    pub name: &'static str,
    /// Its text.
    pub text: &'static str,
}

macro_rules! files {
    ($($name:literal)*) => {
        /// Every file of the page; the first is the page itself. Behind them stands the example of
        /// a week.
        pub const FILES: &[File] = &[
            $(File { name: $name, text: include_str!(concat!("page/", $name)) },)*
            File { name: EXAMPLE, text: include_str!("../../examples/weeks/bowhand.csv") },
        ];
    };
}

/// Name of the example of a week.
const EXAMPLE: &str = "example-week.csv";

files! {
    "index.html"
    "api.js"
    "app.js"
    "around.js"
    "buy.js"
    "chart.js"
    "combobox.js"
    "dom.js"
    "figure.js"
    "find.js"
    "kit.js"
    "mark.svg"
    "mend.js"
    "page.css"
    "scales.js"
    "share.js"
    "signs.js"
    "sore.js"
    "state.js"
    "swap.js"
    "trouble.js"
    "week.js"
    "words.js"
}

/// What the page may load and ask: its own origin and nothing else, no script or style in the
/// markup, and no frame around it.
pub const POLICY: &str =
    "default-src 'self'; object-src 'none'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'";

/// A strong validator for each file, in their order.
static TAGS: LazyLock<Vec<String>> = LazyLock::new(|| {
    FILES.iter().map(|f| format!("\"{}\"", stamp(&[Files::from_pairs(&[(f.name, f.text)])]))).collect()
});

fn media_type(name: &str) -> &'static str {
    match name.rsplit_once('.').map(|(_, ending)| ending) {
        Some("html") => "text/html; charset=utf-8",
        Some("css") => "text/css; charset=utf-8",
        Some("js") => "text/javascript; charset=utf-8",
        Some("svg") => "image/svg+xml",
        Some("csv") => "text/csv; charset=utf-8",
        _ => "text/plain; charset=utf-8",
    }
}

/// The page itself.
pub(super) async fn page() -> Result<HttpResponse, Failure> {
    served("index.html")
}

/// One of its files.
pub(super) async fn file(name: web::Path<String>) -> Result<HttpResponse, Failure> {
    served(&name)
}

/// A file; whether the client has it already is asked around the answer ([`super::around`]).
fn served(name: &str) -> Result<HttpResponse, Failure> {
    let Some((file, tag)) = FILES.iter().zip(TAGS.iter()).find(|(f, _)| f.name == name) else {
        let near = crate::kb::draft::nearest(name, FILES.iter().map(|f| f.name));
        let nearest = near.map(|n| format!("/page/{n}")).into_iter().collect();
        return Err(Failure::UnknownPath { path: format!("/page/{name}"), nearest });
    };
    Ok(HttpResponse::Ok()
        .insert_header((header::ETAG, tag.as_str()))
        // Kept, and asked about each time, so that a new program never meets an old page.
        .insert_header((header::CACHE_CONTROL, "no-cache"))
        .insert_header((header::CONTENT_SECURITY_POLICY, POLICY))
        .insert_header((header::X_CONTENT_TYPE_OPTIONS, "nosniff"))
        .insert_header((header::REFERRER_POLICY, "no-referrer"))
        .content_type(media_type(file.name))
        .body(file.text))
}
