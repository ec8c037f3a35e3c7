//! The least that a program can do with an archive: `bench-floor DIR OUT BYTES [JOBS] [sync]` reads every .csv and .xlsx
//! below DIR with the bare libraries, looking at every cell, and writes for each a file of BYTES bytes below OUT,
//! whole: beside its place first, then moved there. What longhand takes is measured against it. With `sync` it ends as
//! a run of longhand does, when all has reached the disk (on Linux).
#![allow(clippy::disallowed_methods, clippy::print_stdout)]

use std::error::Error;
use std::fs;
use std::hint::black_box;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;

use calamine::{Reader, Xlsx, open_workbook};
use walkdir::WalkDir;

type Outcome<T> = Result<T, Box<dyn Error + Send + Sync>>;

/// Reads a file whole; gives the number of its cells that hold something.
fn cells(path: &Path) -> Outcome<usize> {
    let mut cells = 0;
    if path.extension().is_some_and(|ending| ending == "csv") {
        let mut reader = csv::ReaderBuilder::new().has_headers(false).flexible(true).from_path(path)?;
        let mut record = csv::StringRecord::new();
        while reader.read_record(&mut record)? {
            cells += record.iter().filter(|field| !field.is_empty()).count();
        }
    } else {
        let mut book: Xlsx<_> = open_workbook(path)?;
        for name in book.sheet_names() {
            cells += book.worksheet_range(&name)?.used_cells().count();
        }
    }
    Ok(cells)
}

fn one(path: &Path, folder: &Path, out: &Path, bytes: &[u8]) -> Outcome<usize> {
    let cells = black_box(cells(path)?);
    let to = out.join(path.strip_prefix(folder)?).with_extension("txt");
    let place = to.parent().unwrap_or(out);
    fs::create_dir_all(place)?;
    let beside = tempfile::NamedTempFile::new_in(place)?;
    fs::write(beside.path(), bytes)?;
    beside.persist(&to)?;
    Ok(cells)
}

fn main() -> Outcome<()> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [folder, out, bytes, more @ ..] = &arguments[..] else {
        return Err("usage: bench-floor DIR OUT BYTES [JOBS] [sync]".into());
    };
    let (folder, out, bytes) = (Path::new(folder), Path::new(out), vec![b'k'; bytes.parse()?]);
    let jobs: usize = more.first().map_or(Ok(1), |jobs| jobs.parse())?;
    let files: Vec<PathBuf> = WalkDir::new(folder)
        .sort_by_file_name()
        .into_iter()
        .filter_map(Result::ok)
        .map(walkdir::DirEntry::into_path)
        .filter(|path| path.extension().is_some_and(|ending| ending == "csv" || ending == "xlsx"))
        .collect();
    let (next, cells) = (AtomicUsize::new(0), AtomicUsize::new(0));
    thread::scope(|scope| {
        let work = || -> Outcome<()> {
            while let Some(path) = files.get(next.fetch_add(1, Ordering::Relaxed)) {
                cells.fetch_add(one(path, folder, out, &bytes)?, Ordering::Relaxed);
            }
            Ok(())
        };
        let workers: Vec<_> = (0..jobs).map(|_| scope.spawn(work)).collect();
        workers.into_iter().try_for_each(|worker| worker.join().unwrap_or(Err("a worker failed".into())))
    })?;
    #[cfg(target_os = "linux")]
    if more.get(1).is_some_and(|word| word == "sync") {
        rustix::fs::syncfs(fs::File::open(out)?)?;
    }
    println!("{} files, {} cells", files.len(), cells.into_inner());
    Ok(())
}
