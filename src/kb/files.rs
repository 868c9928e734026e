//! The text of a base's files: from a folder, or as compiled in; never written to.
//!
//! Leans on the standard library. Leaves to others: what the text says ([`super::draft`]).

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// The files of one base or overlay, by path relative to its folder, in order of path.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Files(pub BTreeMap<String, String>);

/// A folder or file of a base that could not be read.
#[derive(Debug, thiserror::Error)]
pub enum FilesError {
    /// The folder is missing.
    #[error("no folder {path:?}; a base is a folder with base.json, taxonomy/ and exercises/ in it, an overlay one with any of these")]
    NoFolder {
        /// As given.
        path: PathBuf,
    },
    /// A file could not be read.
    #[error("cannot read {path:?}: {reason}")]
    Unreadable {
        /// The file.
        path: PathBuf,
        /// As the system says it.
        reason: String,
    },
    /// No JSON file in the folder.
    #[error("no .json file in {path:?}; expected base.json, taxonomy/*.json, exercises/*.json or the like")]
    Empty {
        /// As given.
        path: PathBuf,
    },
}

impl Files {
    /// Reads every `.json` file below `folder` except those in a folder named `schema`.
    ///
    /// # Errors
    /// [`FilesError`] when the folder is missing, a file is unreadable (also when it is not
    /// UTF-8), or there is no JSON file at all.
    pub fn read(folder: &Path) -> Result<Self, FilesError> {
        if !folder.is_dir() {
            return Err(FilesError::NoFolder { path: folder.to_path_buf() });
        }
        let mut files = BTreeMap::new();
        collect(folder, "", &mut files)?;
        if files.is_empty() {
            return Err(FilesError::Empty { path: folder.to_path_buf() });
        }
        Ok(Self(files))
    }

    /// The files given as pairs of path and text, as compiled in.
    #[must_use]
    pub fn from_pairs(pairs: &[(&str, &str)]) -> Self {
        Self(pairs.iter().map(|(path, text)| ((*path).to_string(), (*text).to_string())).collect())
    }
}

fn collect(folder: &Path, prefix: &str, files: &mut BTreeMap<String, String>) -> Result<(), FilesError> {
    let unreadable =
        |path: &Path, e: &dyn std::fmt::Display| FilesError::Unreadable { path: path.to_path_buf(), reason: e.to_string() };
    for entry in std::fs::read_dir(folder).map_err(|e| unreadable(folder, &e))? {
        let entry = entry.map_err(|e| unreadable(folder, &e))?;
        let path = entry.path();
        let name = entry.file_name().to_string_lossy().into_owned();
        if path.is_dir() {
            if name != "schema" && !name.starts_with('.') {
                collect(&path, &format!("{prefix}{name}/"), files)?;
            }
        } else if name.ends_with(".json") {
            let text = std::fs::read_to_string(&path).map_err(|e| unreadable(&path, &e))?;
            files.insert(format!("{prefix}{name}"), text);
        }
    }
    Ok(())
}
