//! Finding the files to read: files as named, folders walked in order.

use std::collections::{HashMap, HashSet};
use std::fs::File;
use std::io::Read;
use std::path::{Path, PathBuf};

use longhand::problem::Finding;
use longhand::read::{Format, Holds};
use walkdir::{DirEntry, WalkDir};

use super::super::call::Reads;
use super::super::failure::Failure;
use super::super::report::begins_report;
use super::record;
use super::{Input, Inputs, capped, fingerprint, name, open, true_path, unreadable};

/// What was found.
#[derive(Debug, Default)]
pub struct Found {
    /// What is to be read, in order.
    pub inputs: Inputs,
    /// Whether a folder was among the paths.
    pub folder: bool,
    /// Folders that could not be looked into.
    pub findings: Vec<Finding>,
    /// Where the files found stand, where several paths of the call may lead to one; `None` for standard input.
    seen: Option<HashSet<Option<u128>>>,
}

impl Found {
    /// Takes an input in, the first time; `stands` says where it does.
    fn push(&mut self, input: &Input, stands: impl FnOnce() -> Option<PathBuf>) {
        let stands = || stands().map(|path| fingerprint(&path));
        if self.seen.as_mut().is_none_or(|seen| seen.insert(stands())) {
            self.inputs.push(input);
        }
    }
}

/// Where named files stand: in which folder, links to it followed, and under which name. However its folder is spelled, a
/// file is one; a link to a file is another, with a name of its own.
#[derive(Default)]
struct Stands {
    folders: HashMap<PathBuf, PathBuf>,
}

impl Stands {
    fn of(&mut self, path: &Path) -> PathBuf {
        let (Some(folder), Some(name)) = (path.parent(), path.file_name()) else { return true_path(path) };
        if !self.folders.contains_key(folder) {
            let looked = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
            self.folders.insert(folder.to_owned(), true_path(looked));
        }
        self.folders.get(folder).map_or_else(|| path.to_owned(), |folder| folder.join(name))
    }
}

/// The inputs that the paths name, each once: files as they are, folders walked in the order of their names.
/// Folders and files of `leave` (the results of this call) are not looked at; neither are hidden files, lock files
/// of office programs, and files that hold nothing to read.
///
/// # Errors
/// When a folder to be read is also the one to write to.
pub fn find(
    paths: &[PathBuf],
    leave: &[&Path],
    from: Option<Format>,
    reads: Reads,
) -> Result<Found, Failure> {
    let leave: Vec<PathBuf> = leave.iter().filter_map(|path| path.canonicalize().ok()).collect();
    // A folder gives each file once; only several paths may name one twice.
    let mut found = Found { seen: (paths.len() > 1).then(HashSet::new), ..Found::default() };
    let mut stands = Stands::default();
    for path in paths {
        if path.as_os_str() == "-" {
            found.push(&Input::standard(), || None);
        } else if path.is_dir() {
            if path.canonicalize().is_ok_and(|path| leave.contains(&path)) {
                return Err(Failure::new(
                    format!("{} is both the folder to read and the folder to write to.", path.display()),
                    "Name another folder after --out: the charts and the results are kept apart.",
                ));
            }
            found.folder = true;
            walk(path, &leave, from, reads, &mut found);
        } else {
            found.push(&Input::alone(path), || Some(stands.of(path)));
        }
    }
    found.inputs.complete();
    found.seen = None;
    Ok(found)
}

fn walk(folder: &Path, leave: &[PathBuf], from: Option<Format>, reads: Reads, found: &mut Found) {
    let root = folder.canonicalize().ok();
    let mut linked = HashSet::new();
    let wanted = |entry: &DirEntry| {
        entry.depth() == 0
            || !is_hidden(entry)
                && !is_left(entry, leave)
                && (!entry.path_is_symlink() || is_new(entry, root.as_deref(), &mut linked))
    };
    let entries =
        WalkDir::new(folder).follow_links(true).sort_by_file_name().into_iter().filter_entry(wanted);
    let above = folder.components().count();
    let mut recorded = Recorded::default();
    for entry in entries {
        match entry {
            Ok(entry) if entry.file_type().is_file() => {
                let path = entry.path();
                if !is_wanted(path, from, reads) || recorded.is_report(path) {
                    continue;
                }
                let stands = || Some(root.as_ref()?.join(path.strip_prefix(folder).ok()?));
                found.push(&Input::below(path, above), || stands().or_else(|| Some(path.to_owned())));
            }
            Ok(_) => {}
            // A link back to a folder above: its files have their place already.
            Err(error) if error.loop_ancestor().is_some() => {}
            Err(error) => {
                let file = name(error.path().unwrap_or(folder));
                if let Some(error) = error.io_error() {
                    found.findings.push(unreadable(&file, error));
                }
            }
        }
    }
}

/// Whether a folder or file is one of those to leave. The names tell most of them apart, which costs nothing.
fn is_left(entry: &DirEntry, leave: &[PathBuf]) -> bool {
    let may_be = |left: &&PathBuf| entry.path_is_symlink() || left.file_name() == Some(entry.file_name());
    leave.iter().any(|left| may_be(&left) && entry.path().canonicalize().is_ok_and(|path| path == *left))
}

/// Whether a link leads to something new. The files of a folder in the walk have their place already, and links of
/// folders to one another would lead round and round by ever longer paths.
fn is_new(entry: &DirEntry, root: Option<&Path>, linked: &mut HashSet<PathBuf>) -> bool {
    if !entry.file_type().is_dir() {
        return true;
    }
    let Ok(real) = entry.path().canonicalize() else { return true };
    !root.is_some_and(|root| real.starts_with(root)) && linked.insert(real)
}

/// Hidden files and folders, and the lock files of office programs (`~$scarf.xlsx`, `.~lock.scarf.ods#`).
fn is_hidden(entry: &DirEntry) -> bool {
    let name = entry.file_name().to_string_lossy();
    name.starts_with('.') || name.starts_with("~$")
}

/// Whether a file in a folder is one to read: by its name, else by its first bytes. JSON is one where it speaks of
/// a longhand pattern.
fn is_wanted(path: &Path, from: Option<Format>, reads: Reads) -> bool {
    let by_name = Format::by_ending(&name(path));
    if let (Some(from), Some(by_name)) = (from, by_name) {
        return from == by_name;
    }
    match by_name.map(Format::holds) {
        Some(Holds::Cells) => reads.cells,
        Some(Holds::Lines) if reads.lines => true,
        Some(Holds::Pattern) => speaks_of_a_pattern(path),
        _ => reads.cells && is_workbook(path),
    }
}

/// Whether longhand has written to the folder looked at last, as its record there says.
#[derive(Default)]
struct Recorded {
    folder: PathBuf,
    has_record: bool,
}

impl Recorded {
    /// Whether a file is a csv report of longhand's own, which stands among charts where the call named it there.
    fn is_report(&mut self, path: &Path) -> bool {
        let folder = path.parent().unwrap_or(Path::new(""));
        if folder != self.folder {
            folder.clone_into(&mut self.folder);
            self.has_record = folder.join(record::FILE).exists();
        }
        self.has_record
            && Format::by_ending(&name(path)) == Some(Format::Csv)
            && open(path).is_ok_and(|file| {
                let mut start = Vec::new();
                file.take(256).read_to_end(&mut start).is_ok() && begins_report(&start)
            })
    }
}

/// Whether a JSON file is likely a pattern of longhand's own.
pub fn speaks_of_a_pattern(path: &Path) -> bool {
    // A file that can't be opened is taken in, so that its reading says why.
    open(path).and_then(capped).map_or(true, |bytes| {
        let wanted = b"longhand.pattern";
        bytes.windows(wanted.len()).any(|part| part == wanted)
    })
}

/// Whether a file without a telling name is a workbook: packed as workbooks are, and one.
fn is_workbook(path: &Path) -> bool {
    let mut start = [0; 8];
    let packed = File::open(path).and_then(|mut file| file.read_exact(&mut start)).is_ok_and(|()| {
        start.starts_with(b"PK\x03\x04") || start == [0xd0, 0xcf, 0x11, 0xe0, 0xa1, 0xb1, 0x1a, 0xe1]
    });
    packed
        && open(path).and_then(capped).is_ok_and(|bytes| {
            Format::of(&bytes, &name(path)).is_ok_and(|format| format.holds() == Holds::Cells)
        })
}
