//! Writing results: each file whole or not at all, never over a file of the user's, never outside its folder.

use std::collections::{HashMap, HashSet};
use std::fs;
use std::io::{self, ErrorKind};
use std::path::{Component, Path, PathBuf};
use std::sync::{LazyLock, Mutex, MutexGuard, PoisonError};

use super::super::failure::Failure;
use super::super::report::reason;
use super::entry::{Entry, Result as Kept, Stamp, here};
use super::journal::Journal;
use super::record;
use super::whole::{There, folder, whole};
use super::{Input, fingerprint, open_whole};

/// What became of a file.
#[derive(Clone, Debug)]
pub enum Saved {
    /// It stands there now.
    Written(Kept),
    /// It can't be written, or is not ours to replace.
    Refused(Failure),
}

/// An input of an earlier run that is there no more.
#[derive(Clone, Debug)]
pub struct Gone {
    /// Its path as it was given.
    pub input: PathBuf,
    /// The files that were made of it and stand still, by their paths below the folder as the record writes them.
    pub results: Vec<String>,
}

/// What may be done for a file.
enum Allowed {
    /// Write it here, where nothing stands.
    New(PathBuf),
    /// Write it here, over a file with this hash where it is one of longhand's own.
    Over(PathBuf, Option<String>),
    /// Nothing: it stands there already, to the letter.
    Stands(fs::Metadata),
}

/// A folder that results are written to. Several threads may do so at once.
pub struct Store<'a> {
    folder: PathBuf,
    /// The same, links followed.
    root: PathBuf,
    journal: Mutex<Journal>,
    overwrite: bool,
    /// Files below that are being read, which are never replaced. To find them each input is looked at, so this
    /// waits until a file is to be replaced. By their fingerprints: there may be very many.
    inputs: LazyLock<HashSet<u128>, Box<dyn FnOnce() -> HashSet<u128> + Send + 'a>>,
    /// Folders below.
    inside: Mutex<HashMap<PathBuf, Inside>>,
}

/// What is known of a folder below that of the results.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Inside {
    /// It was made for this run: there is nothing in it that the user put there before.
    Made,
    /// It stood there before.
    Stood,
    /// It leads out of the folder of results.
    Outside,
}

impl<'a> Store<'a> {
    /// Opens the folder, making it where it is not there yet, and locks it against other runs.
    ///
    /// # Errors
    /// When it can't be made or written to, or another run writes to it.
    pub fn open(
        folder: &Path,
        overwrite: bool,
        inputs: impl Iterator<Item = PathBuf> + Send + 'a,
    ) -> Result<Self, Failure> {
        let folder = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
        let stood = made(folder)?;
        let root = folder.canonicalize().map_err(|error| not_writable(folder, &error))?;
        let journal = Journal::open(folder)?;
        let below = root.clone();
        Ok(Self {
            folder: folder.to_owned(),
            inputs: LazyLock::new(Box::new(move || within(&below, inputs))),
            root,
            journal: Mutex::new(journal),
            overwrite,
            inside: Mutex::new(HashMap::from([(folder.to_owned(), stood)])),
        })
    }

    /// Whether the record of the folder was damaged: then nothing in it was believed.
    pub fn was_damaged(&self) -> bool {
        self.journal().damaged
    }

    /// Whether two names that differ in case alone are one to the disk.
    pub fn folds_case(&self) -> bool {
        self.folder.join(record::FILE.to_uppercase()).symlink_metadata().is_ok()
    }

    /// What became of an input in an earlier run, where neither it nor anything that governs it nor any of its
    /// results has changed since; and whether its times have to be noted anew. With `recheck` all of them are read,
    /// whatever their times say.
    pub fn unchanged(&self, input: &Input, rules: &str, recheck: bool) -> Option<(Entry, bool)> {
        let path = input.path()?;
        let mut renewed = false;
        let mut entry = self.journal().entry(&record::written(path)).filter(|entry| entry.rules == rules)?;
        let metadata = fs::metadata(path).ok()?;
        if recheck || !entry.stamp.is_same(&metadata) {
            let (bytes, stamp) = open_whole(path).ok()?;
            if record::hash(&bytes) != entry.content {
                return None;
            }
            renewed |= entry.stamp != stamp;
            entry.stamp = stamp;
        }
        if entry.left.iter().any(|left| !self.folder.join(record::path(&left.path)).is_file()) {
            return None;
        }
        for result in &mut entry.results {
            let path = self.folder.join(record::path(&result.path));
            let there = path.symlink_metadata().ok().filter(fs::Metadata::is_file)?;
            if recheck || !result.stamp.is_same(&there) {
                if record::hash(&fs::read(&path).ok()?) != result.hash {
                    return None;
                }
                let stamp = Stamp::of_own(&there);
                renewed |= result.stamp != stamp;
                result.stamp = stamp;
            }
        }
        Some((entry, renewed))
    }

    /// Fills in the files that earlier runs made of an input and that are not made of it now: those of the state it is in,
    /// and those of other states, which are out of date. Where it is `wrong` now, no file is of its state. Only those that
    /// stand there still.
    pub fn recall(&self, now: &mut Entry, wrong: bool) {
        let Some(earlier) = self.journal().entry(&now.input) else { return };
        let Entry { content, results, mut besides, mut left, .. } = earlier;
        besides.extend(results);
        if wrong || content != now.content {
            left.append(&mut besides);
        }
        let is_left = |made: &Kept| {
            let made_again = now.results.iter().any(|result| result.path == made.path);
            !made_again && self.folder.join(record::path(&made.path)).is_file()
        };
        besides.retain(is_left);
        left.retain(is_left);
        (now.besides, now.left) = (besides, left);
    }

    /// Inputs of earlier runs that lay in some folders and are there no more, each with the files made of it that stand
    /// still; `present` are those of this run.
    pub fn gone(&self, present: impl Iterator<Item = Input>, folders: &[&Path]) -> Vec<Gone> {
        let mut journal = self.journal();
        let others = journal.others(present.filter_map(|input| Some(record::written(input.path()?))));
        let plain = |folder: &&Path| -> PathBuf {
            folder.components().filter(|part| *part != Component::CurDir).collect()
        };
        let folders: Vec<PathBuf> = folders.iter().map(plain).collect();
        let mut gone = Vec::new();
        for entry in others {
            let input = record::path(&entry.input);
            let lay_there = entry.from == here() && folders.iter().any(|folder| input.starts_with(folder));
            let is_gone = || input.symlink_metadata().is_err_and(|error| error.kind() == ErrorKind::NotFound);
            if !lay_there || !is_gone() {
                continue;
            }
            let made = entry.made().map(|made| made.path.clone());
            let stand: Vec<String> =
                made.filter(|made| self.folder.join(record::path(made)).is_file()).collect();
            if stand.is_empty() {
                journal.forget(&entry);
            } else {
                gone.push(Gone { input, results: stand });
            }
        }
        gone
    }

    /// Notes what became of an input.
    pub fn done(&self, entry: &Entry) {
        self.journal().done(entry);
    }

    /// Writes files, given as paths below the folder and what they hold; one answer for each, in order.
    pub fn save(&self, files: &[(PathBuf, Vec<u8>)]) -> Vec<Saved> {
        let prepared: Vec<_> = files
            .iter()
            .map(|(below, bytes)| (record::written(below), record::hash(bytes), self.allowed(below, bytes)))
            .collect();
        let new = prepared
            .iter()
            .filter(|(.., allowed)| matches!(allowed, Ok(Allowed::New(_) | Allowed::Over(..))));
        // Only as announced do they count as longhand's own, should the run end here.
        let announced = self.journal().announce(new.map(|(path, hash, _)| (&**hash, &**path)));
        let mut saved: Vec<Saved> = Vec::with_capacity(files.len());
        for ((below, bytes), (path, hash, allowed)) in files.iter().zip(prepared) {
            let written = match (allowed, &announced) {
                (Err(failure), _) => Err(failure),
                (Ok(Allowed::Stands(there)), _) => Ok(there),
                (Ok(_), Err(failure)) => Err(failure.clone()),
                (Ok(allowed), Ok(())) => self.put(below, &path, bytes, allowed),
            };
            saved.push(match written {
                Ok(there) => Saved::Written(Kept { path, hash, stamp: Stamp::of_own(&there) }),
                Err(failure) => Saved::Refused(failure),
            });
        }
        saved
    }

    /// Puts a file that was announced in its place, if it still may stand there.
    fn put(&self, below: &Path, path: &str, bytes: &[u8], allowed: Allowed) -> Result<fs::Metadata, Failure> {
        let (to, old, there) = match allowed {
            Allowed::Stands(there) => return Ok(there),
            Allowed::New(to) => (to, None, There::Nothing),
            Allowed::Over(to, old) => (to, old, There::Ours),
        };
        match self.written(&to, bytes, there) {
            Ok(there) => {
                self.journal().settle(path);
                Ok(there)
            }
            // Something has come there, and may be the user's.
            Err(error) if there == There::Nothing && error.kind() == ErrorKind::AlreadyExists => {
                match self.over(below, &to, bytes) {
                    Ok(Allowed::New(to)) => Err(not_writable(&to, &error)),
                    Ok(allowed) => self.put(below, path, bytes, allowed),
                    Err(failure) => {
                        self.journal().withdraw(path);
                        Err(failure)
                    }
                }
            }
            Err(error) => {
                // What stands there still is longhand's own, if it was before.
                let _ = self.journal().announce(old.iter().map(|old| (&**old, path)));
                Err(not_writable(&to, &error))
            }
        }
    }

    /// Writes a file whole; should its folder have been taken away since it was made, it is made again.
    fn written(&self, to: &Path, bytes: &[u8], there: There) -> io::Result<fs::Metadata> {
        match whole(to, bytes, there) {
            Err(error) if error.kind() == ErrorKind::NotFound => {
                self.inside().remove(folder(to));
                self.folder_of(to).map_err(|_| error)?;
                whole(to, bytes, there)
            }
            done => done,
        }
    }

    /// Ends the run: the record is put in order, and all that was written brought to the disk.
    ///
    /// # Errors
    /// When that can't be done.
    pub fn close(self) -> Result<(), Failure> {
        self.journal().close()
    }

    fn journal(&self) -> MutexGuard<'_, Journal> {
        self.journal.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn inside(&self) -> MutexGuard<'_, HashMap<PathBuf, Inside>> {
        self.inside.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The path to write to, if it may be written.
    fn allowed(&self, below: &Path, bytes: &[u8]) -> Result<Allowed, Failure> {
        let path = self.folder.join(below);
        if !below.components().all(|part| matches!(part, Component::Normal(_))) {
            return Err(self.outside(&path));
        }
        match self.folder_of(&path)? {
            Inside::Made => Ok(Allowed::New(path)),
            _ => self.over(below, &path, bytes),
        }
    }

    /// Whether a file may be written over what stands at its path.
    fn over(&self, below: &Path, path: &Path, bytes: &[u8]) -> Result<Allowed, Failure> {
        let refuse = |message: String, help: &str| Err(Failure::new(message, help));
        let there = match path.symlink_metadata() {
            Ok(there) => there,
            Err(error) if error.kind() == ErrorKind::NotFound => return Ok(Allowed::New(path.to_owned())),
            Err(error) => return Err(not_writable(path, &error)),
        };
        if there.is_dir() {
            return refuse(
                format!("{} is a folder.", path.display()),
                "Move it, or name another folder after --out.",
            );
        }
        let old = if there.is_file() { fs::read(path).ok() } else { None };
        if old.as_deref() == Some(bytes) {
            return Ok(Allowed::Stands(there));
        }
        if !self.inputs.is_empty()
            && path.canonicalize().is_ok_and(|path| self.inputs.contains(&fingerprint(&path)))
        {
            return refuse(
                format!("{} is being read, and is not replaced.", path.display()),
                "Name another folder after --out.",
            );
        }
        let own = old.filter(|old| self.journal().knows(&record::written(below), old));
        if self.overwrite || own.is_some() {
            return Ok(Allowed::Over(path.to_owned(), own.map(|old| record::hash(&old))));
        }
        refuse(
            format!(
                "{} was not written by longhand, or was edited since, and is not replaced.",
                path.display()
            ),
            "Move it away, or give --overwrite to replace it.",
        )
    }

    /// Makes the folder of a file, below the folder of results, if it truly lies there, links followed.
    fn folder_of(&self, path: &Path) -> Result<Inside, Failure> {
        let folder = folder(path);
        let mut inside = self.inside();
        match inside.get(folder) {
            Some(Inside::Outside) => return Err(self.outside(folder)),
            Some(known) => return Ok(*known),
            None => {}
        }
        // Looked at before anything is made: a link on the way may lead out of the folder.
        let nearest = folder.ancestors().find_map(|folder| folder.canonicalize().ok());
        if !nearest.is_some_and(|nearest| nearest.starts_with(&self.root)) {
            inside.insert(folder.to_owned(), Inside::Outside);
            return Err(self.outside(folder));
        }
        let stood = made(folder)?;
        inside.insert(folder.to_owned(), stood);
        Ok(stood)
    }

    fn outside(&self, path: &Path) -> Failure {
        Failure::new(
            format!("{} would lie outside {}.", path.display(), self.folder.display()),
            "A link in the folder of results leads out of it: remove the link.",
        )
    }
}

/// Those of some files that lie below a folder, links followed, by their fingerprints.
fn within(root: &Path, files: impl Iterator<Item = PathBuf>) -> HashSet<u128> {
    let mut folders: HashMap<PathBuf, Option<PathBuf>> = HashMap::new();
    let mut within = HashSet::new();
    for file in files {
        let real = match file.symlink_metadata() {
            Ok(there) if there.is_symlink() => file.canonicalize().ok(),
            _ => {
                let place = folder(&file);
                if !folders.contains_key(place) {
                    folders.insert(place.to_owned(), place.canonicalize().ok());
                }
                let place = folders.get(place).and_then(Option::as_ref);
                place
                    .filter(|place| place.starts_with(root))
                    .and_then(|place| Some(place.join(file.file_name()?)))
            }
        };
        within.extend(real.filter(|real| real.starts_with(root)).map(|real| fingerprint(&real)));
    }
    within
}

/// Makes a folder where there is none.
fn made(folder: &Path) -> Result<Inside, Failure> {
    let stood = match fs::create_dir(folder) {
        Ok(()) => return Ok(Inside::Made),
        Err(error) if error.kind() == ErrorKind::NotFound => Inside::Made,
        Err(_) => Inside::Stood,
    };
    fs::create_dir_all(folder).map_err(|error| not_writable(folder, &error))?;
    Ok(stood)
}

fn not_writable(path: &Path, error: &io::Error) -> Failure {
    Failure::new(
        format!("{} can't be written: {}.", path.display(), reason(error)),
        "Name another folder, or ask whose it is.",
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What stands in a folder that a run has made came there while it went on.
    #[test]
    fn a_file_that_comes_while_a_run_goes_on_is_not_replaced() {
        let bench = tempfile::tempdir().unwrap();
        let out = bench.path().join("rows");
        let files = ["a.txt", "b.txt", "lace/c.txt", "lace/d.txt"].map(|name| (PathBuf::from(name), b"rows"));
        let files = files.map(|(name, bytes)| (name, bytes.to_vec()));
        let store = Store::open(&out, false, std::iter::empty()).unwrap();
        let [first, others @ ..] = &files;
        assert!(matches!(store.save(std::slice::from_ref(first))[..], [Saved::Written(_)]));
        fs::write(out.join("b.txt"), "the user's").unwrap();
        fs::create_dir(out.join("lace")).unwrap();
        fs::write(out.join("lace/c.txt"), "the user's").unwrap();
        let saved = store.save(others);
        assert!(matches!(saved[..], [Saved::Refused(_), Saved::Refused(_), Saved::Written(_)]), "{saved:?}");
        // As it would have been written: then it is taken over.
        fs::write(out.join("b.txt"), "rows").unwrap();
        assert!(matches!(store.save(&others[..1])[..], [Saved::Written(_)]));
        store.close().unwrap();
        let stands = |name: &str| fs::read_to_string(out.join(name)).unwrap();
        assert_eq!((stands("lace/c.txt").as_str(), stands("lace/d.txt").as_str()), ("the user's", "rows"));
        let record = stands(record::FILE);
        let named = files.map(|(path, _)| record.contains(&format!("  {}\n", record::written(&path))));
        assert_eq!(named, [true, true, false, true]);
    }
}
