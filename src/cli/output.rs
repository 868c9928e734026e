//! Files that a command writes: new ones, and old ones only where that was asked for.
//!
//! Leans on the standard library. Leaves to others: what stands in them. A reader never sees half
//! a file under the name that was asked for.

use std::fs::{OpenOptions, remove_file, rename};
use std::io::{self, Write as _};
use std::path::Path;

use crate::ask::Error;

/// Writes a file that was not there; half a file is taken away again. `taken` is what is said of
/// one that was there.
pub fn new_file(path: &Path, text: &str, taken: &str) -> Result<(), Error> {
    write_new(path, text, taken).map_err(|reason| wrong(path, reason))
}

/// Writes a file, also over one that is there: the text goes into a new file beside it, which
/// takes its place once it is whole.
pub fn replace_file(path: &Path, text: &str) -> Result<(), Error> {
    let Some(name) = path.file_name() else { return Err(wrong(path, "it names no file".to_string())) };
    let beside = path.with_file_name(format!(".{}.new", name.to_string_lossy()));
    write_new(&beside, text, &format!("{} is in the way; take it away", beside.display()))
        .and_then(|()| {
            rename(&beside, path).map_err(|e| {
                // The file beside is ours; that it cannot be removed changes nothing of the error.
                let _ = remove_file(&beside);
                e.to_string()
            })
        })
        .map_err(|reason| wrong(path, reason))
}

fn write_new(path: &Path, text: &str, taken: &str) -> Result<(), String> {
    let mut file = OpenOptions::new().write(true).create_new(true).open(path).map_err(|e| match e.kind() {
        io::ErrorKind::AlreadyExists => taken.to_string(),
        _ => e.to_string(),
    })?;
    file.write_all(text.as_bytes()).and_then(|()| file.flush()).map_err(|e| {
        // The file is ours and not whole; that it cannot be removed changes nothing of the error.
        let _ = remove_file(path);
        e.to_string()
    })
}

fn wrong(path: &Path, reason: String) -> Error {
    Error::Output { path: path.display().to_string(), reason }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_replaced_only_when_asked_and_leaves_nothing_beside_it() {
        let folder = std::env::temp_dir().join(format!("stead-output-{}", std::process::id()));
        std::fs::create_dir_all(&folder).unwrap();
        let path = folder.join("base.csv");
        new_file(&path, "one", "taken").unwrap();
        assert!(new_file(&path, "two", "taken").unwrap_err().to_string().ends_with("taken"));
        assert_eq!(std::fs::read_to_string(&path).unwrap(), "one");
        replace_file(&path, "two").unwrap();
        assert_eq!(std::fs::read_to_string(&path).unwrap(), "two");
        assert_eq!(std::fs::read_dir(&folder).unwrap().count(), 1);
        assert!(replace_file(Path::new("/"), "three").is_err());
        std::fs::remove_dir_all(&folder).unwrap();
    }
}
