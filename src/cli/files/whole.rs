//! Writing a file whole or not at all: where it can't be seen first, or beside its place, then put there.

use std::fs::{self, File, Metadata};
use std::hash::{BuildHasher, RandomState};
use std::io::{self, ErrorKind, Write};
use std::path::{Path, PathBuf};
use std::sync::LazyLock;
use std::sync::atomic::{AtomicU64, Ordering};

use walkdir::{DirEntry, WalkDir};

use super::record;

const BEFORE: &str = ".longhand-";
const AFTER: &str = ".part";
const RANDOM: usize = 6;

/// How often another name is tried where a file has it.
const TRIES: usize = 100;

/// What may stand where a file is to be put.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum There {
    /// Nothing: a file that has come there is not replaced, and that is an error.
    Nothing,
    /// A file that may be replaced.
    Ours,
}

/// Writes a file whole or not at all, and gives its state.
pub fn whole(path: &Path, bytes: &[u8], there: There) -> io::Result<Metadata> {
    #[cfg(target_os = "linux")]
    if there == There::Nothing
        && let Some(done) = nameless(path, bytes)
    {
        return done;
    }
    named(path, bytes, there)
}

/// Writes a file beside its place, then moves it there.
fn named(path: &Path, bytes: &[u8], there: There) -> io::Result<Metadata> {
    let mut part = Part::in_folder(folder(path))?;
    part.write_all(bytes)?;
    let metadata = part.file.metadata()?;
    part.place(path, there)?;
    Ok(metadata)
}

/// Writes a file that has no name until it is whole, so that nothing is left of it should the run end before; `None`
/// where the disk can't. It costs less than a name that is changed, and never replaces a file.
#[cfg(target_os = "linux")]
fn nameless(path: &Path, bytes: &[u8]) -> Option<io::Result<Metadata>> {
    use std::os::fd::AsRawFd;

    use rustix::fs::{AtFlags, CWD, Mode, OFlags, linkat, open};
    use rustix::io::Errno;

    let rights = Mode::from_raw_mode(0o666);
    let mut file =
        File::from(open(folder(path), OFlags::TMPFILE | OFlags::WRONLY | OFlags::CLOEXEC, rights).ok()?);
    let metadata = match file.write_all(bytes).and_then(|()| file.metadata()) {
        Ok(metadata) => metadata,
        Err(error) => return Some(Err(error)),
    };
    // As open(2) has it: the way for all users.
    let open_file = format!("/proc/self/fd/{}", file.as_raw_fd());
    match linkat(CWD, open_file, CWD, path, AtFlags::SYMLINK_FOLLOW) {
        Ok(()) => Some(Ok(metadata)),
        Err(Errno::EXIST) => Some(Err(ErrorKind::AlreadyExists.into())),
        Err(_) => None,
    }
}

/// The folder a file lies in.
pub fn folder(path: &Path) -> &Path {
    path.parent().filter(|parent| !parent.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

/// A file that becomes another when it is whole. Dropped before, it is gone.
pub struct Part {
    /// The file, open for writing.
    pub file: File,
    path: PathBuf,
    placed: bool,
}

impl Part {
    /// A new one in a folder, with the rights that any new file has.
    pub fn in_folder(folder: &Path) -> io::Result<Self> {
        for _ in 0..TRIES {
            let path = folder.join(format!("{BEFORE}{}{AFTER}", random()));
            match File::options().write(true).create_new(true).open(&path) {
                Ok(file) => return Ok(Self { file, path, placed: false }),
                Err(error) if matches!(error.kind(), ErrorKind::AlreadyExists | ErrorKind::Interrupted) => {}
                Err(error) => return Err(error),
            }
        }
        Err(ErrorKind::AlreadyExists.into())
    }

    /// Moves it to its place.
    pub fn place(&mut self, path: &Path, there: There) -> io::Result<()> {
        match there {
            There::Nothing => moved_beside(&self.path, path)?,
            There::Ours => fs::rename(&self.path, path)?,
        }
        self.placed = true;
        Ok(())
    }
}

impl Write for Part {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.file.write(bytes)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.file.flush()
    }
}

impl Drop for Part {
    fn drop(&mut self) {
        if !self.placed {
            // One that can't be removed does no harm.
            let _ = fs::remove_file(&self.path);
        }
    }
}

/// Letters and digits that no other part has, or hardly.
fn random() -> String {
    static SEED: LazyLock<RandomState> = LazyLock::new(RandomState::new);
    static COUNT: AtomicU64 = AtomicU64::new(0);
    let number = SEED.hash_one(COUNT.fetch_add(1, Ordering::Relaxed));
    (0..RANDOM as u32).filter_map(|at| char::from_digit((number >> (8 * at)) as u32 % 36, 36)).collect()
}

/// Moves a file where nothing stands. Linux sees to that in one step; elsewhere, and on disks that can't, a file that
/// comes there at the same moment is lost.
fn moved_beside(from: &Path, to: &Path) -> io::Result<()> {
    #[cfg(target_os = "linux")]
    {
        use rustix::fs::{CWD, RenameFlags, renameat_with};
        use rustix::io::Errno;
        match renameat_with(CWD, from, CWD, to, RenameFlags::NOREPLACE) {
            Err(Errno::INVAL | Errno::NOSYS | Errno::OPNOTSUPP) => {}
            done => return Ok(done?),
        }
    }
    match to.symlink_metadata() {
        Ok(_) => Err(ErrorKind::AlreadyExists.into()),
        Err(error) if error.kind() == ErrorKind::NotFound => fs::rename(from, to),
        Err(error) => Err(error),
    }
}

/// Removes the parts that a killed run left in a folder and those below it.
pub fn sweep(folder: &Path) {
    // Another run may write to a folder below that has a record of its own.
    let is_own = |entry: &DirEntry| {
        entry.depth() == 0 || !entry.file_type().is_dir() || !entry.path().join(record::FILE).exists()
    };
    let entries = WalkDir::new(folder).into_iter().filter_entry(is_own).filter_map(Result::ok);
    for entry in entries.filter(|entry| entry.file_type().is_file()) {
        let name = entry.file_name().to_string_lossy();
        let random = name.strip_prefix(BEFORE).and_then(|name| name.strip_suffix(AFTER));
        let is_part =
            |random: &str| random.len() == RANDOM && random.chars().all(|c| c.is_ascii_alphanumeric());
        if random.is_some_and(is_part) {
            // One that can't be removed does no harm.
            let _ = fs::remove_file(entry.path());
        }
    }
}

/// Brings all that was written below a folder to the disk, once for all files of a run.
pub fn synced(folder: &Path) -> io::Result<()> {
    let Ok(place) = File::open(folder) else {
        // Where a folder is nothing that can be opened, the system keeps its entries safe itself.
        return Ok(());
    };
    #[cfg(target_os = "linux")]
    rustix::fs::syncfs(&place)?;
    #[cfg(not(target_os = "linux"))]
    let _ = place.sync_all();
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_whole_or_as_it_was() {
        // `named` is what disks are left with that know no files without a name.
        for write in [whole, named] {
            let folder = tempfile::tempdir().unwrap();
            let path = folder.path().join("scarf.txt");
            assert_eq!(write(&path, b"rows", There::Nothing).unwrap().len(), 4);
            assert!(write(&folder.path().join("deeper/scarf.txt"), b"rows", There::Nothing).is_err());
            let refused = write(&path, b"other rows", There::Nothing).unwrap_err();
            assert_eq!(
                (refused.kind(), fs::read(&path).unwrap()),
                (ErrorKind::AlreadyExists, b"rows".to_vec())
            );
            write(&path, b"other rows", There::Ours).unwrap();
            assert_eq!(fs::read(&path).unwrap(), b"other rows");
            assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
        }
    }

    #[test]
    fn a_part_that_is_dropped_is_gone_and_one_that_is_left_is_swept() {
        let folder = tempfile::tempdir().unwrap();
        let [one, _two] = [(); 2].map(|()| Part::in_folder(folder.path()).unwrap());
        let left = || fs::read_dir(folder.path()).unwrap().count();
        assert_eq!(left(), 2);
        drop(one);
        assert_eq!(left(), 1);
        sweep(folder.path());
        assert_eq!(left(), 0);
    }

    #[test]
    fn only_parts_are_swept_away() {
        let folder = tempfile::tempdir().unwrap();
        fs::create_dir(folder.path().join("lace")).unwrap();
        fs::create_dir(folder.path().join("other-run")).unwrap();
        let other = ["other-run/.longhand-run", "other-run/.longhand-abc123.part"];
        let kept = [".longhand-run", ".longhand-notes.part", ".longhand-abc12.part", "longhand-abc123.part"];
        for name in other {
            fs::write(folder.path().join(name), "").unwrap();
        }
        for name in kept.iter().chain(&[".longhand-abC123.part", "lace/.longhand-000000.part"]) {
            fs::write(folder.path().join(name), "").unwrap();
        }
        sweep(folder.path());
        for name in kept.into_iter().chain(other) {
            assert!(folder.path().join(name).exists(), "{name}");
        }
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), kept.len() + 2);
        assert_eq!(fs::read_dir(folder.path().join("lace")).unwrap().count(), 0);
    }
}
