//! The only file access of longhand: finding and reading what the user names, writing results whole.
#![allow(clippy::disallowed_methods)]

mod beside;
mod entry;
mod find;
mod finding;
mod inputs;
mod journal;
mod lines;
mod record;
mod settings;
mod store;
mod whole;

use std::fs::{File, Metadata};
use std::io::{self, Read};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use longhand::place::Place;
use longhand::problem::{Code, Finding};
use longhand::read::limits::FILE_BYTES;

use super::report::reason;

pub use beside::{Records, beside, is_folder, same, true_path};
pub use entry::{Entry, Stamp};
pub use find::{Found, find, speaks_of_a_pattern};
pub use finding::KeptFinding;
pub use inputs::Inputs;
pub use record::{FILE as RECORD, hash};
pub use settings::{Nearest, SettingsFiles};
pub use store::{Gone, Saved, Store};

/// Something to be read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Input {
    /// The path as findings name it; `-` for standard input.
    pub file: Arc<str>,
    from: From,
    /// How many of the first parts of the path its results leave out.
    above: usize,
}

/// Where an input is.
#[derive(Clone, Debug, PartialEq, Eq)]
enum From {
    StandardInput,
    /// At the path that findings name.
    Named,
    /// At a path that is no text.
    Odd(Box<PathBuf>),
}

impl Input {
    /// Standard input.
    pub fn standard() -> Self {
        Self { file: Arc::from("-"), from: From::StandardInput, above: 0 }
    }

    /// A file; its results are named after its path without the first `above` parts.
    pub fn below(path: &Path, above: usize) -> Self {
        let file = name(path);
        let named = Path::new(&*file).as_os_str() == path.as_os_str();
        let from = if named { From::Named } else { From::Odd(Box::new(path.to_owned())) };
        Self { file, from, above }
    }

    /// A file whose results are named after its name alone.
    pub fn alone(path: &Path) -> Self {
        Self::below(path, path.components().count().saturating_sub(1))
    }

    /// The path as given; `None` for standard input.
    pub fn path(&self) -> Option<&Path> {
        match &self.from {
            From::StandardInput => None,
            From::Named => Some(Path::new(&*self.file)),
            From::Odd(path) => Some(path),
        }
    }

    /// What the results are named after: the file's name, with the folders below a folder argument.
    pub fn named_after(&self) -> &Path {
        let Some(path) = self.path() else { return Path::new("standard-input") };
        let mut parts = path.components();
        for _ in 0..self.above {
            parts.next();
        }
        parts.as_path()
    }

    /// Reads it whole, but no more than any chart could need: the readers refuse what is larger.
    ///
    /// # Errors
    /// A finding that says why it can't be read.
    pub fn read(&self) -> Result<Vec<u8>, Finding> {
        let bytes = match self.path() {
            Some(path) => opened(path).and_then(|(file, metadata)| whole_of(file, &metadata)),
            None => capped(io::stdin().lock()),
        };
        bytes.map_err(|error| unreadable(&self.file, &error))
    }

    /// The same, and the state of the file as it was read; standard input has none.
    ///
    /// # Errors
    /// A finding that says why it can't be read.
    pub fn read_stamped(&self) -> Result<(Vec<u8>, Option<Stamp>), Finding> {
        let Some(path) = self.path() else { return Ok((self.read()?, None)) };
        match open_whole(path) {
            Ok((bytes, stamp)) => Ok((bytes, Some(stamp))),
            Err(error) => Err(unreadable(&self.file, &error)),
        }
    }

    /// What the run record is to remember of it.
    pub fn entry(&self, bytes: &[u8], stamp: Stamp, rules: &str) -> Option<Entry> {
        Some(Entry {
            input: record::written(self.path()?),
            from: entry::here().to_owned(),
            stamp,
            content: record::hash(bytes),
            rules: rules.to_owned(),
            charts: 0,
            results: Vec::new(),
            besides: Vec::new(),
            left: Vec::new(),
            findings: Vec::new(),
        })
    }
}

/// The bytes of a file, and its state before they were read: a change in between shows at the next run.
fn open_whole(path: &Path) -> io::Result<(Vec<u8>, Stamp)> {
    let (file, metadata) = opened(path)?;
    // How old its state is counts from before the reading, which may take long.
    let stamp = Stamp::of(&metadata);
    Ok((whole_of(file, &metadata)?, stamp))
}

/// The bytes of an open file.
fn whole_of(mut file: File, metadata: &Metadata) -> io::Result<Vec<u8>> {
    let length = usize::try_from(metadata.len()).unwrap_or(usize::MAX).min(FILE_BYTES);
    // Where there is room for a byte more than the file holds, one call of the system shows that there is none.
    let mut bytes = vec![0; length + 1];
    let mut read = 0;
    while let Some(room) = bytes.get_mut(read..).filter(|room| !room.is_empty()) {
        match file.read(room) {
            Ok(0) => break,
            Ok(more) => read += more,
            Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
            Err(error) => return Err(error),
        }
        // What has no length, as what another program sends, goes on until it ends.
        if read > 0 && read as u64 == metadata.len() {
            break;
        }
    }
    bytes.truncate(read);
    if read > length {
        file.take((FILE_BYTES - length) as u64).read_to_end(&mut bytes)?;
    }
    Ok(bytes)
}

fn open(path: &Path) -> io::Result<File> {
    opened(path).map(|(file, _)| file)
}

fn opened(path: &Path) -> io::Result<(File, Metadata)> {
    let file = File::open(path)?;
    let metadata = file.metadata()?;
    if metadata.is_dir() { Err(io::ErrorKind::IsADirectory.into()) } else { Ok((file, metadata)) }
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

/// The program itself, as what it writes depends on it: its version, and the size and time of its file, which another
/// build of the same version does not share.
pub fn program() -> String {
    let own = std::env::current_exe().and_then(|path| path.metadata());
    let own = own.map(|own| (own.len(), own.modified().ok()));
    format!("{} {:?}", env!("CARGO_PKG_VERSION"), own.ok())
}

/// A path as one number: 128 bits of BLAKE3, which no two paths share.
pub fn fingerprint(path: &Path) -> u128 {
    let mut bytes = [0; 16];
    blake3::Hasher::new().update(path.as_os_str().as_encoded_bytes()).finalize_xof().fill(&mut bytes);
    u128::from_le_bytes(bytes)
}

/// A path as findings name it.
pub fn name(path: &Path) -> Arc<str> {
    Arc::from(path.to_string_lossy())
}
