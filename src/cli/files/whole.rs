//! Writing a file whole or not at all: beside its place first, then moved there.

use std::fs::{self, File, Metadata};
use std::io::{self, Write};
use std::path::Path;

use tempfile::{Builder, NamedTempFile};
use walkdir::WalkDir;

const BEFORE: &str = ".longhand-";
const AFTER: &str = ".part";
const RANDOM: usize = 6;

/// Writes a file whole or not at all, and gives its state.
pub fn whole(path: &Path, bytes: &[u8]) -> io::Result<Metadata> {
    let mut part = part(folder(path))?;
    part.write_all(bytes)?;
    let metadata = part.as_file().metadata()?;
    part.persist(path)?;
    Ok(metadata)
}

/// The folder a file lies in.
pub fn folder(path: &Path) -> &Path {
    path.parent().filter(|parent| !parent.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

/// A file that becomes another when it is whole. Dropped before, it is gone.
pub fn part(folder: &Path) -> io::Result<NamedTempFile> {
    let mut builder = Builder::new();
    builder.prefix(BEFORE).suffix(AFTER).rand_bytes(RANDOM);
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        // As for any new file: the user's mask takes from it what it takes.
        builder.permissions(fs::Permissions::from_mode(0o666));
    }
    builder.tempfile_in(folder)
}

/// Removes the parts that a killed run left in a folder and those below it.
pub fn sweep(folder: &Path) {
    let entries = WalkDir::new(folder).into_iter().filter_map(Result::ok);
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

/// Brings all that was written below a folder to the disk, once for all files of a run, then `settle`s, and brings
/// that there too.
pub fn synced(folder: &Path, settle: impl FnOnce() -> io::Result<()>) -> io::Result<()> {
    let place = File::open(folder);
    #[cfg(target_os = "linux")]
    if let Ok(place) = &place {
        rustix::fs::syncfs(place)?;
    }
    settle()?;
    // Where a folder is nothing that can be opened, the system keeps its entries safe itself.
    place.map_or(Ok(()), |place| place.sync_all().or(Ok(())))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_whole_or_as_it_was() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("scarf.txt");
        assert_eq!(whole(&path, b"rows").unwrap().len(), 4);
        assert_eq!(fs::read(&path).unwrap(), b"rows");
        assert!(whole(&folder.path().join("deeper/scarf.txt"), b"rows").is_err());
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
    }

    #[test]
    fn only_parts_are_swept_away() {
        let folder = tempfile::tempdir().unwrap();
        fs::create_dir(folder.path().join("lace")).unwrap();
        let kept = [".longhand-run", ".longhand-notes.part", ".longhand-abc12.part", "longhand-abc123.part"];
        for name in kept.iter().chain(&[".longhand-abC123.part", "lace/.longhand-000000.part"]) {
            fs::write(folder.path().join(name), "").unwrap();
        }
        sweep(folder.path());
        for name in kept {
            assert!(folder.path().join(name).exists(), "{name}");
        }
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), kept.len() + 1);
        assert_eq!(fs::read_dir(folder.path().join("lace")).unwrap().count(), 0);
    }
}
