//! `--approve`: today's text of each chart that reads back is kept beside it.

use std::iter;
use std::path::{Path, PathBuf};

use super::super::call::Call;
use super::super::failure::Failure;
use super::super::files::{self, Saved, Store};
use super::super::screen::Screen;
use super::super::status::Status;
use super::super::tasks::Tasks;
use super::file::Proved;
use super::plan::{Plan, Plans};

/// Keeps texts, file by file. Charts come folder by folder: the folder of the last text stays open until another has its
/// turn.
pub(super) struct Approval<'a> {
    call: &'a Call,
    tasks: &'a Tasks,
    plans: &'a Plans<'a>,
    /// No store where the folder can't be written to, which is said once.
    open: Option<(PathBuf, Option<Store<'a>>)>,
    /// What it has come to so far.
    pub status: Status,
}

impl<'a> Approval<'a> {
    /// No text kept yet.
    pub fn of(call: &'a Call, tasks: &'a Tasks, plans: &'a Plans<'a>) -> Self {
        Self { call, tasks, plans, open: None, status: Status::Well }
    }

    /// Writes the text of a file where it is to be written, and says what can't be. A text that the user keeps, and that
    /// says what the chart says, is approved as it is.
    pub fn keep(&mut self, plan: &Plan, made: &mut Proved, screen: &mut Screen) {
        let Some(text) = made.today.take() else { return };
        let (Some(folder), Some(name)) = (plan.text.parent(), plan.text.file_name()) else { return };
        if !is_wanted(self.call, &plan.text, made) {
            return;
        }
        let Some(store) = self.folder(folder, screen) else { return };
        match store.save(&[(PathBuf::from(name), text)]).pop() {
            Some(Saved::Refused(failure)) => self.failed(&failure, screen),
            _ => made.is_approved(&plan.text),
        }
    }

    /// The folder that is open now, if it can be.
    fn folder(&mut self, folder: &Path, screen: &mut Screen) -> Option<&Store<'a>> {
        if self.open.as_ref().is_none_or(|(open, _)| open != folder) {
            self.close(screen);
            // The texts beside the charts are read too, but they are what is to be replaced.
            let (tasks, plans, own) = (self.tasks, self.plans, folder.to_owned());
            let charts = iter::once_with(move || {
                let charts = tasks.tasks.inputs_in(&own).filter(|input| !plans.is_alone(input));
                charts.filter_map(|input| input.path().map(Path::to_owned)).collect::<Vec<_>>()
            });
            let store = Store::open(folder, self.call.overwrite, charts.flatten());
            let store = store.map_err(|failure| self.failed(&failure, screen)).ok();
            self.open = Some((folder.to_owned(), store));
        }
        self.open.as_ref().and_then(|(_, store)| store.as_ref())
    }

    /// Brings what was written to the disk.
    pub fn close(&mut self, screen: &mut Screen) {
        let store = self.open.take().and_then(|(_, store)| store);
        if let Some(Err(failure)) = store.map(Store::close) {
            self.failed(&failure, screen);
        }
    }

    fn failed(&mut self, failure: &Failure, screen: &Screen) {
        self.status = screen.progress.beside(|| self.call.terminal.fail(failure));
    }
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
