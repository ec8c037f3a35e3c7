//! The work that the commands share: turn each file into charts, in parallel, and report what was found, in order.

use std::any::Any;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};

use longhand::convert::{self, Charts, Compared, Source};
use longhand::place::Place;
use longhand::problem::{Code, Finding, Severity};
use longhand::read::Format;

use super::batch::{cores, in_order};
use super::call::Call;
use super::failure::Failure;
use super::files::{Input, Saved, Store};
use super::progress::Progress;
use super::report::{Reported, number_of};
use super::status::Status;
use super::stop::Stop;
use super::tally::Tally;
use super::tasks::{Task, TaskList, Tasks};

/// An input, done.
pub struct Done<T> {
    /// Its charts and findings.
    pub charts: Charts,
    /// Whether it could be read at all.
    pub read: bool,
    /// What a command made of it.
    pub made: T,
}

impl<T> Done<T> {
    /// Every finding: those of the file, then those of each chart.
    pub fn findings(&self) -> impl Iterator<Item = &Finding> {
        self.charts.findings()
    }
}

/// How many files a call works on at once.
pub fn jobs(call: &Call) -> usize {
    call.jobs.unwrap_or_else(cores)
}

/// Turns every input into charts, and lets the command make something of each. The results are in the order of the
/// inputs, however many are worked on at once; all are held, so this is for calls that need them together. Once `stop`
/// is wanted there are no more: those of the first inputs, without a gap.
pub fn convert<T: Send>(
    call: &Call,
    tasks: &TaskList,
    stop: &Stop,
    make: impl Fn(usize, &Charts) -> T + Sync,
) -> Vec<Done<T>> {
    let mut all = Vec::with_capacity(tasks.len());
    let mut progress = Progress::of(call, tasks.len());
    let work = |index| done(call, tasks, index, &make);
    in_order(jobs(call), tasks.len(), stop, work, |_, done: Option<Done<T>>| {
        if let Some(done) = &done {
            progress.done(done.charts.charts.len(), done.findings().count());
        }
        all.extend(done);
    });
    all
}

/// One input turned into charts, and what the command makes of it.
pub fn done<T>(
    call: &Call,
    tasks: &TaskList,
    index: usize,
    make: impl Fn(usize, &Charts) -> T,
) -> Option<Done<T>> {
    let task = tasks.get(index)?;
    let charts = match task.input.read() {
        Ok(bytes) => charts(call, &task, &bytes),
        Err(finding) => Charts { charts: Vec::new(), findings: vec![finding] },
    };
    let made = make(index, &charts);
    Some(Done { read: could_be_read(&charts), charts, made })
}

/// The charts of an input. Should longhand itself fail on it, that is a finding, and all others go on.
pub fn charts(call: &Call, task: &Task, bytes: &[u8]) -> Charts {
    guarded(task, || read(call, task, bytes))
        .unwrap_or_else(|finding| Charts { charts: Vec::new(), findings: vec![finding] })
}

/// Two inputs compared. Should longhand itself fail on them, that is a finding about the first.
pub fn compared(task: &Task, work: impl FnOnce() -> Compared) -> Compared {
    guarded(task, work).unwrap_or_else(|finding| Compared {
        left: Charts { charts: Vec::new(), findings: vec![finding] },
        ..Compared::default()
    })
}

/// Does something with an input. Should longhand itself fail on it, that is a finding, and all others go on.
///
/// # Errors
/// When it did.
pub fn guarded<R>(task: &Task, work: impl FnOnce() -> R) -> Result<R, Finding> {
    caught(work).map_err(|words| {
        Finding::new(
            Code::UnreadableFile,
            Place::file(&task.input.file),
            format!("longhand failed on this file, by a fault of its own: {words}."),
        )
        .help("Please report it, with the file. All other files are done.")
    })
}

/// Does something with all inputs at once. Should longhand itself fail on them, the call could not be carried out.
///
/// # Errors
/// When it did.
pub fn guarded_whole<R>(work: impl FnOnce() -> R) -> Result<R, Failure> {
    caught(work).map_err(|words| {
        Failure::new(
            format!("longhand failed on what it was given, by a fault of its own: {words}."),
            "Please report it, with the files.",
        )
    })
}

/// Does something that may fall over; what its fault says of itself where it does.
fn caught<R>(work: impl FnOnce() -> R) -> Result<R, String> {
    catch_unwind(AssertUnwindSafe(work)).map_err(|fault| words(&*fault).to_owned())
}

/// What a fault says of itself.
fn words(fault: &(dyn Any + Send)) -> &str {
    let text = fault.downcast_ref::<&str>().copied();
    text.or_else(|| fault.downcast_ref::<String>().map(String::as_str)).unwrap_or("it says nothing")
}

fn read(call: &Call, task: &Task, bytes: &[u8]) -> Charts {
    let file = &task.input.file;
    if call.reads.lines {
        let source = source(call, task, bytes);
        let read = if call.explain { source.explained() } else { source.patterns() };
        return if task.named { wanted(read) } else { read };
    }
    let from = call.from.or_else(|| as_cells(bytes, file));
    convert::charts(file, bytes, from, &task.below, &call.above)
}

/// An input of a call that reads texts, with all that its reading goes by.
pub fn source<'a>(call: &'a Call, task: &'a Task, bytes: &'a [u8]) -> Source<'a> {
    Source {
        file: &task.input.file,
        bytes,
        from: call.from,
        below: &task.below,
        above: &call.above,
        vocabulary: task.vocabulary.as_deref(),
    }
}

/// In a folder a text without rows is only noted; one that was named should have had some.
pub fn wanted(mut read: Charts) -> Charts {
    for finding in &mut read.findings {
        if finding.code == Code::NoRows {
            finding.code = Code::NoChart;
            "No chart was found in this file, and no line of it is a row or a round."
                .clone_into(&mut finding.message);
        }
    }
    read
}

/// Bytes can't always tell cells from lines of text. Where no name does either, as on standard input, they are
/// taken as cells by the commands that read charts.
fn as_cells(bytes: &[u8], file: &str) -> Option<Format> {
    let unnamed = Format::by_ending(file).is_none();
    (unnamed && Format::of(bytes, file) == Ok(Format::Text)).then_some(Format::Csv)
}

/// Whether anything could be made out of a file: it need not hold a chart.
pub fn could_be_read(charts: &Charts) -> bool {
    let unread = |finding: &Finding| {
        matches!(finding.code, Code::UnreadableFile | Code::EncryptedFile | Code::TooLarge)
    };
    !charts.charts.is_empty() || !charts.findings.iter().any(unread)
}

/// What a call has found in all.
pub struct Findings<'a> {
    /// Every finding, in order.
    pub all: Vec<&'a Finding>,
    /// How many charts were read.
    pub charts: usize,
    /// The status they amount to.
    pub status: Status,
}

/// Gathers the findings of a call, and what they amount to.
pub fn gather<'a, T>(call: &Call, tasks: &'a Tasks, done: &'a [Done<T>]) -> Findings<'a> {
    let all: Vec<&Finding> = tasks.findings.iter().chain(done.iter().flat_map(Done::findings)).collect();
    let wrong = all.iter().any(|finding| finding.severity() == Severity::Error || call.strict);
    // Where nothing at all could be read the call failed; among others, an unreadable file is a finding.
    let status = if !done.iter().any(|done| done.read) {
        Status::Failed
    } else if wrong {
        Status::Wrong
    } else {
        Status::Well
    };
    Findings { all, charts: done.iter().map(|done| done.charts.charts.len()).sum(), status }
}

impl Findings<'_> {
    /// The findings that the call shows.
    pub fn shown(&self, call: &Call) -> impl Iterator<Item = &Finding> {
        self.all.iter().copied().filter(|finding| call.shows(finding))
    }

    /// The closing line: what was looked at, and how many findings there are.
    pub fn closing(&self, files: usize, what: &str) -> String {
        let mut tally = Tally::default();
        tally.findings(self.all.iter().copied());
        tally.closing(files, what)
    }

    /// Writes the report that was asked for.
    ///
    /// # Errors
    /// When it can't be written.
    pub fn report(&self, call: &Call, tasks: &Tasks) -> Result<(), Failure> {
        report(call, tasks, self.charts, &self.all)
    }
}

/// Writes the report that was asked for, of so many charts.
///
/// # Errors
/// When it can't be written.
pub fn report(call: &Call, tasks: &Tasks, charts: usize, findings: &[&Finding]) -> Result<(), Failure> {
    let Some(report) = &call.report else { return Ok(()) };
    let inputs: Vec<Input> = tasks.tasks.inputs().collect();
    let inputs = inputs.iter().map(|input| (&*input.file, input.path())).collect();
    let told = Reported { paths: &call.paths, inputs, charts, findings };
    let folder = report.path.parent().unwrap_or(Path::new(""));
    let Some(name) = report.path.file_name() else { return Ok(()) };
    let store = Store::open(folder, call.overwrite, tasks.paths())?;
    match store.save(&[(PathBuf::from(name), report.text(&told).into_bytes())]).pop() {
        Some(Saved::Refused(failure)) => Err(failure),
        _ => store.close(),
    }
}

/// How a call ended that did `delivered` of its pieces of work; that it was stopped is said.
pub fn ended(call: &Call, tally: &Tally, delivered: usize, all: usize) -> Status {
    if delivered == all { tally.status() } else { stopped(call, tally.files()) }
}

/// Says that a call was stopped after so many files.
pub fn stopped(call: &Call, files: usize) -> Status {
    let files = number_of(files, "file");
    call.terminal.say(&format!("Stopped: {files} done, the others not begun. What is done is kept.\n"));
    Status::Stopped
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_fault_of_its_own_is_told() {
        assert_eq!(guarded_whole(|| 3).ok(), Some(3));
        let told = guarded_whole(|| panic!("row {} is none", 4)).map(|()| String::new());
        let message = told.unwrap_or_else(|failure| failure.message);
        assert!(message.contains("by a fault of its own: row 4 is none."), "{message}");
    }
}
