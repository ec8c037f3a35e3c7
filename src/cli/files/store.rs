//! Writing results: each file whole or not at all, never over a file of the user's, never outside its folder.

use std::collections::HashSet;
use std::fs;
use std::io::{self, ErrorKind, Write};
use std::path::{Component, Path, PathBuf};

use tempfile::Builder;

use super::super::failure::Failure;
use super::super::report::reason;
use super::record::{self, Record};

/// What became of a file.
#[derive(Clone, Debug)]
pub enum Saved {
    /// It stands there now.
    Written,
    /// It can't be written, or is not ours to replace.
    Refused(Failure),
}

/// What may be done for a file.
enum Allowed {
    /// Write it here.
    Write(PathBuf),
    /// Nothing: it stands there already, to the letter.
    Stands,
}

/// A folder that results are written to.
pub struct Store {
    folder: PathBuf,
    record: Record,
    overwrite: bool,
    /// Files that are being read, which are never replaced.
    inputs: HashSet<PathBuf>,
}

impl Store {
    /// Opens the folder, making it where it is not there yet.
    ///
    /// # Errors
    /// When it can't be made or written to.
    pub fn open<'a>(
        folder: &Path,
        overwrite: bool,
        inputs: impl Iterator<Item = &'a Path>,
    ) -> Result<Self, Failure> {
        let folder = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
        fs::create_dir_all(folder).map_err(|error| not_writable(folder, &error))?;
        let record = match fs::read_to_string(folder.join(record::FILE)) {
            Ok(text) => Record::parse(&text),
            // Without a record every file that stands there counts as the user's.
            Err(_) => Record::default(),
        };
        let inputs = inputs.filter_map(|path| path.canonicalize().ok()).collect();
        Ok(Self { folder: folder.to_owned(), record, overwrite, inputs })
    }

    /// Writes files, given as paths below the folder and what they hold; one answer for each, in order.
    ///
    /// The record names the new files before they are written and settles on them after, so that a call cut short
    /// leaves nothing that the next one would take for the user's.
    pub fn save(&mut self, files: &[(PathBuf, Vec<u8>)]) -> Vec<Saved> {
        let mut settled = self.record.clone();
        let allowed: Vec<Result<Allowed, Failure>> =
            files.iter().map(|(below, bytes)| self.allowed(below, bytes)).collect();
        let is_new = |allowed: &Result<Allowed, Failure>| matches!(allowed, Ok(Allowed::Write(_)));
        for ((below, bytes), allowed) in files.iter().zip(&allowed) {
            if is_new(allowed) {
                self.record.announce(&slashed(below), bytes);
            }
        }
        if allowed.iter().any(is_new)
            && let Err(failure) = self.keep_record()
        {
            return files.iter().map(|_| Saved::Refused(failure.clone())).collect();
        }
        let mut saved = Vec::with_capacity(files.len());
        for ((below, bytes), allowed) in files.iter().zip(allowed) {
            saved.push(match allowed {
                Ok(Allowed::Write(path)) => match whole(&path, bytes) {
                    Ok(()) => {
                        settled.settle(&slashed(below), bytes);
                        Saved::Written
                    }
                    Err(error) => Saved::Refused(not_writable(&path, &error)),
                },
                Ok(Allowed::Stands) => Saved::Written,
                Err(failure) => Saved::Refused(failure),
            });
        }
        if self.record != settled {
            self.record = settled;
            // The files are written; a record that says a little too much does no harm.
            let _ = self.keep_record();
        }
        saved
    }

    fn keep_record(&self) -> Result<(), Failure> {
        let path = self.folder.join(record::FILE);
        whole(&path, self.record.text().as_bytes()).map_err(|error| not_writable(&path, &error))
    }

    /// The path to write to, if it may be written.
    fn allowed(&self, below: &Path, bytes: &[u8]) -> Result<Allowed, Failure> {
        let path = self.folder.join(below);
        let refuse = |message: String, help: &str| Err(Failure::new(message, help));
        if !below.components().all(|part| matches!(part, Component::Normal(_))) || !self.holds(&path) {
            return refuse(
                format!("{} would lie outside {}.", path.display(), self.folder.display()),
                "A link in the folder of results leads out of it: remove the link.",
            );
        }
        let there = match path.symlink_metadata() {
            Ok(there) => there,
            Err(error) if error.kind() == ErrorKind::NotFound => return Ok(Allowed::Write(path)),
            Err(error) => return Err(not_writable(&path, &error)),
        };
        if there.is_dir() {
            return refuse(
                format!("{} is a folder.", path.display()),
                "Move it, or name another folder after --out.",
            );
        }
        let old = if there.is_file() { fs::read(&path).ok() } else { None };
        if old.as_deref() == Some(bytes) {
            return Ok(Allowed::Stands);
        }
        if path.canonicalize().is_ok_and(|path| self.inputs.contains(&path)) {
            return refuse(
                format!("{} is being read, and is not replaced.", path.display()),
                "Name another folder after --out.",
            );
        }
        if self.overwrite || old.is_some_and(|old| self.record.knows(&slashed(below), &old)) {
            return Ok(Allowed::Write(path));
        }
        refuse(
            format!(
                "{} was not written by longhand, or was edited since, and is not replaced.",
                path.display()
            ),
            "Move it away, or give --overwrite to replace it.",
        )
    }

    /// Whether the path lies in the folder, links followed. Folders on the way are made.
    fn holds(&self, path: &Path) -> bool {
        let Some(parent) = path.parent() else { return false };
        // Looked at before anything is made: a link on the way may lead out of the folder.
        let nearest = parent.ancestors().find_map(|folder| folder.canonicalize().ok());
        let root = self.folder.canonicalize();
        match (nearest, root) {
            (Some(nearest), Ok(root)) => nearest.starts_with(root),
            _ => false,
        }
    }
}

/// Writes a file whole or not at all: beside its place first, then moved there.
fn whole(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let folder = path.parent().filter(|parent| !parent.as_os_str().is_empty()).unwrap_or(Path::new("."));
    fs::create_dir_all(folder)?;
    let mut builder = Builder::new();
    builder.prefix(".longhand-");
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        // As for any new file: the user's mask takes from it what it takes.
        builder.permissions(fs::Permissions::from_mode(0o666));
    }
    let mut file = builder.tempfile_in(folder)?;
    file.write_all(bytes)?;
    file.as_file().sync_all()?;
    file.persist(path)?;
    Ok(())
}

/// A path below the folder as the record has it, the same on every system.
fn slashed(below: &Path) -> String {
    let parts: Vec<_> = below.components().map(|part| part.as_os_str().to_string_lossy()).collect();
    parts.join("/")
}

fn not_writable(path: &Path, error: &io::Error) -> Failure {
    Failure::new(
        format!("{} can't be written: {}.", path.display(), reason(error)),
        "Name another folder, or ask whose it is.",
    )
}
