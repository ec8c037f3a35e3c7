//! The run record while a run goes on: locked against a second run, added to line by line, put in order at the end.
//!
//! The name and hash of a file are added before it takes its place, in one piece. So a run that is killed leaves no
//! file that the next one would take for the user's.

use std::collections::{HashMap, HashSet};
use std::fs::{self, File, TryLockError};
use std::hash::BuildHasher;
use std::io::{self, ErrorKind, Write};
use std::path::{Path, PathBuf};
use std::thread;
use std::time::Duration;

use foldhash::quality::FixedState;
use same_file::Handle;

use super::super::failure::Failure;
use super::super::report::reason;
use super::entry::{Entry, Result as Made};
use super::lines::{Index, Lines};
use super::record::{self, HEADING, Line, State};
use super::whole::{Part, There, sweep, synced};

/// Lines of inputs wait until they are this many bytes together: to lose them costs time only.
const TOGETHER: usize = 1 << 16;

/// The record of a folder in which a run goes on.
pub struct Journal {
    folder: PathBuf,
    file: File,
    /// Where the lines of this run begin.
    own: u64,
    lines: Lines,
    /// Where the lines of earlier runs begin, by the files and inputs they tell of; empty where they are not believed.
    earlier: Index,
    /// The inputs that those lines tell of, by the hashes of their names.
    inputs: Vec<u64>,
    /// Where the lines of a run begin that was cut short, and of those after it.
    unfinished: u64,
    /// Inputs that this run has done, and the files they gave, by the hashes of their paths: what earlier runs noted
    /// of them no longer holds. Empty where there was no earlier run.
    settled: Vec<u64>,
    /// Files that were announced and of which the line of no input tells yet, and whether they have taken their place.
    untold: HashMap<u64, bool>,
    /// Lines of inputs that are still to be added.
    waiting: Vec<u8>,
    /// Whether the record has its heading, or stood there before.
    headed: bool,
    /// Whether anything was added.
    begun: bool,
    closed: bool,
    /// Whether the record was not there, or could not be trusted.
    pub damaged: bool,
}

/// How often, and how long each time, a locked record is waited for.
const PAUSES: u32 = 10;
const PAUSE: Duration = Duration::from_millis(50);

/// What a line of the record tells of.
#[derive(Clone, Copy, Hash)]
enum Of {
    File,
    Input,
}

/// What is known of a path or an input, as one number. It lives as long as the run does, and is never written.
fn key(of: Of, name: &str) -> u64 {
    FixedState::default().hash_one((of, name))
}

/// The part of a line that its key is made of.
#[derive(serde::Deserialize)]
struct Named {
    input: String,
}

fn input_key(line: &str) -> Option<u64> {
    let named: Named = serde_json::from_str(line).ok()?;
    Some(key(Of::Input, &named.input))
}

impl Journal {
    /// Locks the record of a folder and reads it.
    ///
    /// # Errors
    /// When another run goes on there, or the record can't be written to.
    pub fn open(folder: &Path) -> Result<Self, Failure> {
        let path = folder.join(record::FILE);
        let file = locked(&path)?;
        let mut journal = Self {
            folder: folder.to_owned(),
            own: 0,
            lines: Lines::of(&file).map_err(|error| unusable(&path, &error))?,
            file,
            earlier: Index::default(),
            inputs: Vec::new(),
            unfinished: 0,
            settled: Vec::new(),
            untold: HashMap::new(),
            waiting: Vec::new(),
            headed: false,
            begun: false,
            closed: false,
            damaged: false,
        };
        journal.read().map_err(|error| unusable(&path, &error))?;
        Ok(journal)
    }

    fn read(&mut self) -> io::Result<()> {
        let Self { lines, earlier, inputs, .. } = self;
        let state = record::read(lines, |at, line| match line {
            Line::File { path, .. } => earlier.note(key(Of::File, path), at),
            Line::Input(line) => {
                if let Some(key) = input_key(line) {
                    earlier.note(key, at);
                    inputs.push(key);
                }
            }
            _ => {}
        })?;
        let (whole, all) = (self.lines.at(), self.file.metadata()?.len());
        self.damaged = state == State::Damaged;
        self.unfinished = if let State::CutShort { from } = state { from } else { whole };
        if state != State::Finished || whole < all {
            sweep(&self.folder);
        }
        if self.damaged {
            self.earlier = Index::default();
            self.inputs = Vec::new();
            if whole < all {
                // The lines of this run begin on a line of their own.
                self.file.write_all(b"\n")?;
            }
        } else {
            self.earlier.complete();
            self.inputs.sort_unstable();
            self.inputs.dedup();
            self.inputs.shrink_to_fit();
            // The beginning of a line whose end was never written.
            self.file.set_len(whole)?;
        }
        self.own = self.file.metadata()?.len();
        self.headed = self.own > 0;
        Ok(())
    }

    /// What an earlier run noted of an input.
    pub fn entry(&mut self, input: &str) -> Option<Entry> {
        let Self { earlier, lines, .. } = self;
        let mut entries = earlier.places(key(Of::Input, input)).filter_map(|at| Entry::parse(lines.get(at)?));
        entries.find(|entry| entry.input == input)
    }

    /// What earlier runs noted of inputs other than these, without the files that were made of others since.
    pub fn others(&mut self, present: impl Iterator<Item = String>) -> Vec<Entry> {
        if self.inputs.is_empty() {
            return Vec::new();
        }
        let present: HashSet<u64> = present.map(|input| key(Of::Input, &input)).collect();
        let (known, others): (Vec<u64>, Vec<u64>) =
            self.inputs.iter().partition(|input| present.contains(input));
        if known.is_empty() || others.is_empty() {
            return Vec::new();
        }
        let settled: HashSet<u64> = self.settled.iter().copied().collect();
        let Self { earlier, lines, .. } = self;
        let mut noted = Vec::with_capacity(others.len());
        for input in others {
            let Some(mut entry) = earlier.places(input).find_map(|at| Entry::parse(lines.get(at)?)) else {
                continue;
            };
            let mut is_own = |made: &Made| {
                let key = key(Of::File, &made.path);
                let last = earlier.places(key).next().and_then(|at| lines.get(at));
                let is_last = |line| matches!(Line::of(line), Line::File { hash, .. } if hash == made.hash);
                !settled.contains(&key) && last.is_some_and(is_last)
            };
            for made in [&mut entry.results, &mut entry.besides, &mut entry.left] {
                made.retain(&mut is_own);
            }
            noted.push(entry);
        }
        noted.sort_by(|one, other| one.input.cmp(&other.input));
        noted
    }

    /// What earlier runs noted of an input no longer holds, nor what they noted of the files made of it.
    pub fn forget(&mut self, entry: &Entry) {
        for made in entry.made() {
            self.outdate(key(Of::File, &made.path));
        }
        self.outdate(key(Of::Input, &entry.input));
    }

    /// Whether a file with these bytes at this path, as the record writes it, is one that an earlier run wrote.
    pub fn knows(&mut self, path: &str, bytes: &[u8]) -> bool {
        let hash = record::hash(bytes);
        let Self { earlier, lines, unfinished, .. } = self;
        let mut places = earlier.places(key(Of::File, path));
        places.any(|at| match lines.get(at).map(Line::of) {
            Some(Line::File { hash: noted, path: of }) if of == path => {
                // A power cut may have left files empty that were to be written.
                noted == hash || bytes.is_empty() && at >= *unfinished
            }
            _ => false,
        })
    }

    /// Notes that these files, each given by hash and path, may stand there from now on.
    pub fn announce<'a>(&mut self, files: impl Iterator<Item = (&'a str, &'a str)>) -> Result<(), Failure> {
        let mut lines = String::new();
        for (hash, path) in files {
            lines.push_str(&record::file_line(hash, path));
            self.untold.insert(key(Of::File, path), false);
        }
        if lines.is_empty() { Ok(()) } else { self.add(lines.as_bytes()) }
    }

    /// Notes that a file that was announced has taken its place.
    pub fn settle(&mut self, path: &str) {
        self.untold.insert(key(Of::File, path), true);
    }

    /// Notes that a file that was announced is not to be written after all.
    pub fn withdraw(&mut self, path: &str) {
        self.untold.remove(&key(Of::File, path));
    }

    /// Notes what became of an input.
    pub fn done(&mut self, entry: &Entry) {
        for result in &entry.results {
            let key = key(Of::File, &result.path);
            self.untold.remove(&key);
            self.outdate(key);
        }
        self.outdate(key(Of::Input, &entry.input));
        self.waiting.extend_from_slice(entry.line().as_bytes());
        if self.waiting.len() >= TOGETHER {
            let waiting = std::mem::take(&mut self.waiting);
            // The files they tell of must not be forgotten: where the lines can't be added at the end either, the record
            // stays as the run left it.
            if self.add(&waiting).is_err() {
                self.waiting = waiting;
            }
        }
    }

    /// What earlier runs noted under a key no longer holds.
    fn outdate(&mut self, key: u64) {
        if self.own > 0 {
            self.settled.push(key);
        }
    }

    fn add(&mut self, lines: &[u8]) -> Result<(), Failure> {
        self.begun = true;
        let text = [if self.headed { "" } else { HEADING }.as_bytes(), lines].concat();
        let mut written = 0;
        while let Some(rest) = text.get(written..).filter(|rest| !rest.is_empty()) {
            match self.file.write(rest) {
                Ok(more) if more > 0 => written += more,
                Err(error) if error.kind() == ErrorKind::Interrupted => {}
                failed => {
                    // Half a line would spoil the next.
                    if let (true, Ok(metadata)) = (written > 0, self.file.metadata()) {
                        let _ = self.file.set_len(metadata.len().saturating_sub(written as u64));
                    }
                    let error = failed.err().unwrap_or_else(|| ErrorKind::WriteZero.into());
                    return Err(self.unusable(&error));
                }
            }
        }
        self.headed = true;
        Ok(())
    }

    /// Puts the record in order, and brings all that was written to the disk.
    ///
    /// # Errors
    /// When that can't be done; the record then stands as the run left it, and will be understood.
    pub fn close(&mut self) -> Result<(), Failure> {
        if std::mem::replace(&mut self.closed, true) {
            return Ok(());
        }
        let waiting = std::mem::take(&mut self.waiting);
        if !waiting.is_empty() {
            self.add(&waiting)?;
        }
        let path = self.folder.join(record::FILE);
        if !self.begun {
            if self.file.metadata().is_ok_and(|metadata| metadata.len() == 0) {
                let _ = fs::remove_file(path);
            }
            return Ok(());
        }
        // The record takes its place when all it tells of is on the disk. That it has taken it is not seen to: after a
        // power cut the record may be the one that the run wrote as it went, which tells the same.
        let ordered = self.ordered().and_then(|part| synced(&self.folder).map(|()| part));
        ordered.and_then(|part| self.place(part, &path)).map_err(|error| self.unusable(&error))
    }

    /// Puts the ordered record in the place of the one that the run wrote.
    fn place(&mut self, mut part: Part, path: &Path) -> io::Result<()> {
        match part.place(path, There::Ours) {
            // Windows puts no file in the place of an open one on disks that it shares with others: the one that the run
            // wrote is closed for this. Should another run open it before it is replaced, that stays as it is.
            Err(error) if cfg!(windows) && error.kind() == ErrorKind::PermissionDenied => {
                self.lines = Lines::of(&part.file)?;
                self.file = part.file.try_clone()?;
                part.place(path, There::Ours)
            }
            done => done,
        }
    }

    /// The record as it is to stay: what still holds of earlier runs, then the lines of this one.
    fn ordered(&mut self) -> io::Result<Part> {
        let part = Part::in_folder(&self.folder)?;
        let mut to = Hashed { to: io::BufWriter::new(part), hasher: blake3::Hasher::new() };
        to.add(HEADING)?;
        self.earlier = Index::default();
        self.settled.sort_unstable();
        let Self { lines, settled, untold, own, damaged, .. } = self;
        let outdated = |key: u64| settled.binary_search(&key).is_ok();
        let mut last = String::new();
        lines.rewind()?;
        while let Some((at, line)) = lines.next()? {
            let earlier = at < *own;
            let Some(line) = line.filter(|_| !(earlier && *damaged)) else { continue };
            match Line::of(line) {
                Line::File { path, .. } => {
                    let key = key(Of::File, path);
                    let placed = untold.get(&key);
                    let holds =
                        if earlier { placed != Some(&true) && !outdated(key) } else { placed.is_some() };
                    // A file may have been announced twice, one after the other.
                    if !holds || line == last {
                        continue;
                    }
                    line.clone_into(&mut last);
                    to.add(line)?;
                    to.add("\n")?;
                }
                Line::Input(line) if earlier => {
                    let holds = Entry::proved(line) && !input_key(line).is_none_or(outdated);
                    if holds {
                        to.add(line)?;
                        to.add("\n")?;
                    }
                }
                Line::Input(line) => {
                    let Some(results) = Entry::results(line) else { continue };
                    to.add(line)?;
                    to.add("\n")?;
                    for result in results {
                        to.add(&record::file_line(&result.hash, &result.path))?;
                    }
                }
                _ => {}
            }
        }
        let end = record::end_line(&to.hasher.finalize());
        to.add(&end)?;
        to.to.into_inner().map_err(io::IntoInnerError::into_error)
    }

    fn unusable(&self, error: &io::Error) -> Failure {
        let path = self.folder.join(record::FILE);
        unusable(&path, error)
    }
}

/// A call that fails on its way leaves its record in order too.
impl Drop for Journal {
    fn drop(&mut self) {
        let _ = self.close();
    }
}

/// A file that is hashed as it is written.
struct Hashed<W: Write> {
    to: W,
    hasher: blake3::Hasher,
}

impl<W: Write> Hashed<W> {
    fn add(&mut self, text: &str) -> io::Result<()> {
        self.hasher.update(text.as_bytes());
        self.to.write_all(text.as_bytes())
    }
}

/// Locks a file; where another has it, after a short wait: where only a report is written it is soon free again.
fn patient_lock(file: &File) -> Result<(), TryLockError> {
    for _ in 0..PAUSES {
        match file.try_lock() {
            Err(TryLockError::WouldBlock) => thread::sleep(PAUSE),
            locked => return locked,
        }
    }
    file.try_lock()
}

/// Opens the record and locks it.
fn locked(path: &Path) -> Result<File, Failure> {
    loop {
        match path.symlink_metadata() {
            Ok(there) if !there.is_file() => {
                return Err(Failure::new(
                    format!("{} is the name of the run record, and no file.", path.display()),
                    "Move it away, or name another folder after --out.",
                ));
            }
            _ => {}
        }
        let opened = File::options().read(true).append(true).create(true).open(path);
        let file = opened.map_err(|error| unusable(path, &error))?;
        match patient_lock(&file) {
            // Where the disk knows no locks, runs can't be kept apart.
            Err(TryLockError::Error(error)) if error.kind() == io::ErrorKind::Unsupported => return Ok(file),
            Err(TryLockError::Error(error)) => return Err(unusable(path, &error)),
            Err(TryLockError::WouldBlock) => {
                let folder = path.parent().unwrap_or(Path::new("."));
                return Err(Failure::new(
                    format!("Another longhand is writing to {}.", folder.display()),
                    "Wait until it has ended, or name another folder after --out.",
                ));
            }
            // The run before may have put another file in its place between the two.
            Ok(()) if is_there(&file, path) => return Ok(file),
            Ok(()) => {}
        }
    }
}

/// Whether an open file is the one at a path.
fn is_there(file: &File, path: &Path) -> bool {
    let open = file.try_clone().and_then(Handle::from_file);
    matches!((open, Handle::from_path(path)), (Ok(one), Ok(two)) if one == two)
}

fn unusable(path: &Path, error: &io::Error) -> Failure {
    Failure::new(
        format!("{} can't be written: {}.", path.display(), reason(error)),
        "It keeps longhand's own files apart from yours. Name another folder, or ask whose it is.",
    )
}

#[cfg(test)]
mod tests {
    use super::super::entry::{Result, Stamp};
    use super::*;

    /// A disk that is full for a moment: what the run wrote is still known as longhand's own.
    #[test]
    fn lines_that_could_not_be_added_are_not_forgotten() {
        let bench = tempfile::tempdir().unwrap();
        let record = bench.path().join(record::FILE);
        let stamp = Stamp { size: 4, modified: None };
        let entry = |name: &str| Entry {
            // Long enough to be added at once.
            input: name.repeat(TOGETHER),
            from: String::new(),
            stamp: stamp.clone(),
            content: String::new(),
            rules: String::new(),
            charts: 1,
            results: vec![Result {
                path: name.to_owned(),
                hash: record::hash(b"rows"),
                stamp: stamp.clone(),
            }],
            besides: Vec::new(),
            left: Vec::new(),
            findings: Vec::new(),
        };
        let mut journal = Journal::open(bench.path()).unwrap();
        let write = |journal: &mut Journal, name: &str| {
            journal.announce([(&*record::hash(b"rows"), name)].into_iter()).unwrap();
            journal.settle(name);
        };
        write(&mut journal, "a");
        // A handle that can't be written to stands for the full disk.
        let full = std::mem::replace(&mut journal.file, File::open(&record).unwrap());
        journal.done(&entry("a"));
        let room = std::mem::replace(&mut journal.file, full);
        write(&mut journal, "b");
        journal.done(&entry("b"));
        write(&mut journal, "c");
        journal.file = room;
        journal.done(&entry("c"));
        assert!(journal.close().is_err());
        drop(journal);
        let mut next = Journal::open(bench.path()).unwrap();
        let known = ["a", "b", "c", "d"].map(|name| next.knows(name, b"rows"));
        let noted = ["a", "b", "c"].map(|name| next.entry(&name.repeat(TOGETHER)).is_some());
        assert_eq!((known, noted), ([true, true, true, false], [true, true, false]));
    }
}
