//! What lies beside a file: the charts and texts of its folder.

use std::collections::HashMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

use super::open;
use super::record::{self, Record};

/// The files of a folder in the order of their names, each as its path from where the call was made; hidden files and
/// lock files of office programs are left out. Of a folder that can't be looked into there are none.
pub fn beside(folder: &Path) -> Vec<PathBuf> {
    let looked = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
    let entries = fs::read_dir(looked).into_iter().flatten().flatten();
    let mut files: Vec<PathBuf> = entries
        .filter(|entry| entry.path().is_file())
        .map(|entry| entry.file_name())
        .filter(|name| !name.to_string_lossy().starts_with('.') && !name.to_string_lossy().starts_with("~$"))
        .map(|name| folder.join(name))
        .collect();
    files.sort();
    files
}

/// The path of a file without links, the same however the file was named; as given where there is no such file.
pub fn true_path(path: &Path) -> PathBuf {
    path.canonicalize().unwrap_or_else(|_| path.to_owned())
}

/// Whether a path leads to a folder.
pub fn is_folder(path: &Path) -> bool {
    path.is_dir()
}

/// Whether two paths lead to one file.
pub fn same(one: &Path, two: &Path) -> bool {
    one == two || true_path(one) == true_path(two)
}

/// The run records of the folders that files lie in, each read once.
#[derive(Default)]
pub struct Records {
    folders: Mutex<HashMap<PathBuf, Arc<Record>>>,
}

impl Records {
    /// Whether longhand wrote these bytes to this file, as the run record of its folder says.
    pub fn wrote(&self, path: &Path, bytes: &[u8]) -> bool {
        let record = self.of(path.parent().unwrap_or(Path::new("")));
        path.file_name().is_some_and(|name| record.knows(&record::written(Path::new(name)), bytes))
    }

    fn of(&self, folder: &Path) -> Arc<Record> {
        let mut folders = self.folders.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(known) = folders.get(folder) {
            return Arc::clone(known);
        }
        let record = open(&folder.join(record::FILE)).map(|file| Record::of(&file)).unwrap_or_default();
        let record = Arc::new(record);
        folders.insert(folder.to_owned(), Arc::clone(&record));
        record
    }
}
