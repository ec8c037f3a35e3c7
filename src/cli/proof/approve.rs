//! `--approve`: today's text of each chart that reads back is kept beside it.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use super::super::call::Call;
use super::super::files::{self, Saved, Store};
use super::super::run::{Done, Tasks};
use super::super::status::Status;
use super::Plan;
use super::file::Proved;

/// A text to be written: the index of its input, its name, what it holds.
type Wanted = (usize, PathBuf, Vec<u8>);

/// Writes the texts, and says what can't be written. A text that the user keeps, and that says what the chart says, is
/// approved as it is.
pub(super) fn write(call: &Call, tasks: &Tasks, plans: &[Plan], done: &mut [Done<Proved>]) -> Status {
    let mut folders: BTreeMap<PathBuf, Vec<Wanted>> = BTreeMap::new();
    for (index, (plan, done)) in plans.iter().zip(done.iter()).enumerate() {
        let Some(text) = &done.made.today else { continue };
        let path = &plan.text;
        if is_wanted(call, path, &done.made)
            && let (Some(folder), Some(name)) = (path.parent(), path.file_name())
        {
            folders.entry(folder.to_owned()).or_default().push((index, PathBuf::from(name), text.clone()));
        }
    }
    // The texts beside the charts are read too, but they are what is to be replaced.
    let charts: Vec<PathBuf> = tasks
        .tasks
        .iter()
        .zip(plans)
        .filter(|(_, plan)| !plan.alone)
        .filter_map(|(task, _)| task.input.path().map(Path::to_owned))
        .collect();
    let mut status = Status::Well;
    for (folder, wanted) in folders {
        let store = match Store::open(&folder, call.overwrite, charts.iter().cloned()) {
            Ok(store) => store,
            Err(failure) => {
                status = call.terminal.fail(&failure);
                continue;
            }
        };
        let written: Vec<(PathBuf, Vec<u8>)> =
            wanted.iter().map(|(_, name, text)| (name.clone(), text.clone())).collect();
        for ((index, name, _), saved) in wanted.iter().zip(store.save(&written)) {
            match saved {
                Saved::Written(_) => {
                    if let Some(done) = done.get_mut(*index) {
                        done.made.is_approved(&folder.join(name));
                    }
                }
                Saved::Refused(failure) => status = call.terminal.fail(&failure),
            }
        }
        if let Err(failure) = store.close() {
            status = call.terminal.fail(&failure);
        }
    }
    status
}

/// Whether today's text is to be written: where a chart has none, where the one there differs, and where it is
/// longhand's own in other words.
fn is_wanted(call: &Call, path: &Path, made: &Proved) -> bool {
    let there = made.texts.iter().find(|text| files::same(&text.path, path));
    match there {
        Some(there) => !there.agrees || there.is_reworded() || (call.overwrite && !there.own),
        None => made.lacks(),
    }
}
