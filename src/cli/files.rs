//! The only file access of longhand: finding and reading what the user names, writing results whole.
#![allow(clippy::disallowed_methods)]

mod beside;
mod find;
mod record;
mod settings;
mod store;

use std::fs::File;
use std::io::{self, Read};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use longhand::place::Place;
use longhand::problem::{Code, Finding};
use longhand::read::limits::FILE_BYTES;

use super::report::reason;

pub use beside::{beside, same, true_path, wrote};
pub use find::{find, speaks_of_a_pattern};
pub use settings::SettingsFiles;
pub use store::{Saved, Store};

/// Something to be read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Input {
    /// The path as given, or standard input.
    pub path: Option<PathBuf>,
    /// The path as findings name it; `-` for standard input.
    pub file: Arc<str>,
    /// What the results are named after: the file's name, with the folders below a folder argument.
    pub below: PathBuf,
}

impl Input {
    /// Reads it whole, but no more than any chart could need: the readers refuse what is larger.
    ///
    /// # Errors
    /// A finding that says why it can't be read.
    pub fn read(&self) -> Result<Vec<u8>, Finding> {
        let bytes = match &self.path {
            Some(path) => open(path).and_then(capped),
            None => capped(io::stdin().lock()),
        };
        bytes.map_err(|error| unreadable(&self.file, &error))
    }
}

fn open(path: &Path) -> io::Result<File> {
    let file = File::open(path)?;
    if file.metadata()?.is_dir() { Err(io::ErrorKind::IsADirectory.into()) } else { Ok(file) }
}

fn capped(from: impl Read) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    from.take(FILE_BYTES as u64 + 1).read_to_end(&mut bytes)?;
    Ok(bytes)
}

/// The finding for a file that the system does not give.
fn unreadable(file: &Arc<str>, error: &io::Error) -> Finding {
    Finding::new(
        Code::UnreadableFile,
        Place::file(file),
        format!("The file can't be read: {}.", reason(error)),
    )
    .help("Check its path and whether this user may open it.")
}

/// The text of a small file that the user wrote: settings, a house style.
///
/// # Errors
/// A finding that says why it can't be read.
pub fn text(path: &Path) -> Result<String, Finding> {
    let file = name(path);
    let bytes = open(path).and_then(capped).map_err(|error| unreadable(&file, &error))?;
    match String::from_utf8(bytes) {
        Ok(text) => Ok(text.trim_start_matches('\u{feff}').to_owned()),
        Err(error) => {
            let good = error.utf8_error().valid_up_to();
            let line = error.as_bytes().iter().take(good).filter(|byte| **byte == b'\n').count() + 1;
            let place = Place::line(&file, u32::try_from(line).unwrap_or(u32::MAX), 1);
            Err(Finding::new(Code::WrongSetting, place, "The file holds letters that are not UTF-8.")
                .help("Save it as UTF-8 (a choice in the editor's Save As)."))
        }
    }
}

/// A path as findings name it.
fn name(path: &Path) -> Arc<str> {
    Arc::from(path.to_string_lossy())
}
