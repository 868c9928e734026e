//! The files of a base: the first byte picks the file of a small sound base that the rest takes the
//! place of.
//!
//! Leans on `tests/mini`. Whatever stands in a file, the base is opened or every problem is told.

#![no_main]

use std::path::Path;
use std::sync::LazyLock;

use libfuzzer_sys::fuzz_target;
use stead::ask::{Engine, list, swap};
use stead::kb::KbError;
use stead::kb::files::Files;

static MINI: LazyLock<Files> = LazyLock::new(|| {
    Files::read(&Path::new(env!("CARGO_MANIFEST_DIR")).join("../tests/mini")).expect("the small base is read")
});

fuzz_target!(|data: &[u8]| {
    let Some((first, text)) = data.split_first() else { return };
    let Ok(text) = std::str::from_utf8(text) else { return };
    let mut files = MINI.clone();
    let path = files.0.keys().nth(usize::from(*first) % files.0.len()).expect("a file").clone();
    files.0.insert(path, text.to_string());
    match Engine::from_layers(&[files]) {
        Ok(engine) => {
            let all = list::answer(&engine, &list::Request::default()).expect("a list");
            if let Some(first) = all.exercises.first() {
                let exercise = first.exercise.id.to_string();
                let _ = swap::answer(&engine, &swap::Request { exercise, why: true, ..swap::Request::default() });
            }
        }
        Err(KbError::Broken(problems)) => assert!(!problems.is_empty()),
        Err(error) => panic!("{error}"),
    }
});
