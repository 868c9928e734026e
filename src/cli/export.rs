//! `stead kb export`: the base written down, on standard output or into a file.
//!
//! Leans on [`crate::ask::export`]. Leaves to others: the forms themselves.

use super::text::Page;
use super::{Outcome, args, output};
use crate::ask::export::{Form, Request, answer};
use crate::ask::{Engine, Error};

/// Writes.
pub fn run(engine: &Engine, asked: &args::Export, as_json: bool) -> Result<Outcome, Error> {
    if as_json && asked.form != Form::Json {
        return Err(Error::Conflict {
            found: format!("--json and --as {}", asked.form),
            pointer: "/as".to_string(),
            hint: "ask for one of them".to_string(),
        });
    }
    let reply = answer(engine, &Request { form: asked.form })?;
    let Some(path) = &asked.to else { return Ok(Outcome::new(reply.text, true)) };
    if asked.replace {
        output::replace_file(path, &reply.text)?;
    } else {
        output::new_file(path, &reply.text, "it is there already; --replace writes over it")?;
    }
    let mut page = Page::new();
    page.line(&format!("Written to {} ({} bytes)", path.display(), reply.text.len()));
    Ok(Outcome::new(page.finish(), true))
}
