//! The work that `write` and `check` share: find the files, read their settings, turn each into charts, in
//! parallel, and report what was found, in order.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use indicatif::{ProgressBar, ProgressStyle};
use longhand::convert::{self, Charts, Source};
use longhand::problem::{Code, Finding, Severity};
use longhand::read::Format;
use longhand::settings::Settings;
use longhand::stitch::Stitches;
use longhand::terms::{self, Vocabulary};
use rayon::ThreadPoolBuilder;
use rayon::prelude::*;

use super::call::Call;
use super::failure::Failure;
use super::files::{self, Input, Saved, SettingsFiles, Store};
use super::report::{Counts, Told, number_of};
use super::status::Status;

/// An input and the settings files that hold for it.
pub struct Task {
    /// What is read.
    pub input: Input,
    /// What the settings files say.
    pub below: Settings,
    /// The user's own vocabulary of written rows, where one is named.
    pub vocabulary: Option<Vocabulary>,
}

/// The inputs of a call.
pub struct Tasks {
    /// In order.
    pub tasks: Vec<Task>,
    /// Whether a folder was among the paths.
    pub folder: bool,
    /// Folders that could not be looked into.
    pub findings: Vec<Finding>,
}

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
        self.charts.findings.iter().chain(self.charts.charts.iter().flat_map(|chart| &chart.findings))
    }
}

/// Finds the inputs of a call and the settings that hold for each.
///
/// # Errors
/// When there is nothing to read, and for anything wrong in a settings file.
pub fn tasks(call: &Call, out: Option<&Path>) -> Result<Tasks, Failure> {
    let leave: Vec<&Path> = out.into_iter().chain(call.report.as_ref().map(|report| &*report.path)).collect();
    let found = files::find(&call.paths, &leave, call.from, call.reads)?;
    let mut settings = SettingsFiles::under(call.settings.as_deref());
    let below: Vec<Settings> = found.inputs.iter().map(|input| settings.for_input(input)).collect();
    if !settings.findings.is_empty() {
        return Err(Failure::from(settings.findings));
    }
    let tasks = found
        .inputs
        .into_iter()
        .zip(below)
        .map(|(input, below)| Ok(Task { vocabulary: vocabulary(call, &below)?, below, input }));
    let tasks: Vec<Task> = tasks.collect::<Result<_, Failure>>()?;
    if tasks.is_empty() {
        let mut failure = if call.reads.cells {
            Failure::new(
                "There is no chart to read.",
                "Charts are .xlsx, .xlsm, .xls, .xlsb, .ods, .fods, .csv and .tsv files, and longhand's own .json.",
            )
        } else {
            Failure::new(
                "There are no written rows to read.",
                "Written rows are .txt, .md, .html and .docx files, and longhand's own .json.",
            )
        };
        failure.findings = found.findings;
        return Err(failure);
    }
    Ok(Tasks { tasks, folder: found.folder, findings: found.findings })
}

/// Turns every input into charts, and lets the command make something of each. The results are in the order of the
/// inputs, however many are worked on at once.
///
/// # Errors
/// When the threads can't be started.
pub fn convert<T: Send>(
    call: &Call,
    tasks: &[Task],
    make: impl Fn(usize, &Charts) -> T + Sync,
) -> Result<Vec<Done<T>>, Failure> {
    let threads = ThreadPoolBuilder::new()
        .num_threads(call.jobs.unwrap_or(0))
        .build()
        .map_err(|error| Failure::new(format!("The work can't be started: {error}."), "Try --jobs 1."))?;
    let progress = progress(call, tasks.len());
    let done = threads.install(|| {
        tasks
            .par_iter()
            .enumerate()
            .map(|(index, task)| {
                let charts = charts(call, task);
                let made = make(index, &charts);
                progress.inc(1);
                Done { read: could_be_read(&charts), charts, made }
            })
            .collect()
    });
    progress.finish_and_clear();
    Ok(done)
}

fn charts(call: &Call, task: &Task) -> Charts {
    match task.input.read() {
        Ok(bytes) => {
            let file = &task.input.file;
            if call.reads.lines {
                let read = source(call, task, &bytes).patterns();
                return if named(call, task) { wanted(read) } else { read };
            }
            let from = call.from.or_else(|| as_cells(&bytes, file));
            convert::charts(file, &bytes, from, &task.below, &call.above)
        }
        Err(finding) => Charts { charts: Vec::new(), findings: vec![finding] },
    }
}

/// An input of a call that reads texts, with all that its reading goes by.
pub fn source<'a>(call: &'a Call, task: &'a Task, bytes: &'a [u8]) -> Source<'a> {
    Source {
        file: &task.input.file,
        bytes,
        from: call.from,
        below: &task.below,
        above: &call.above,
        vocabulary: task.vocabulary.as_ref(),
    }
}

/// The user's own vocabulary, where the settings of an input name its file.
fn vocabulary(call: &Call, below: &Settings) -> Result<Option<Vocabulary>, Failure> {
    let settings = call.above.over(below);
    let Some(name) = settings.terms.filter(|name| call.reads.lines && terms::named(name).is_none()) else {
        return Ok(None);
    };
    let stitches = Stitches::with_own(&settings.stitches);
    let read = files::text(Path::new(&name));
    let read = read.and_then(|text| Vocabulary::parse(&text, &Arc::from(name.as_str()), &stitches));
    read.map(Some).map_err(|finding| Failure::from(vec![finding]))
}

/// Whether the input was named in the call, not found in a folder.
fn named(call: &Call, task: &Task) -> bool {
    task.input.path.as_ref().is_none_or(|path| call.paths.contains(path))
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

/// A bar on the terminal where there are many files; it hides itself elsewhere.
fn progress(call: &Call, files: usize) -> ProgressBar {
    if call.terminal.quiet || files < 10 {
        return ProgressBar::hidden();
    }
    let bar = ProgressBar::new(files as u64);
    match ProgressStyle::with_template("{pos} of {len} files {wide_bar}") {
        Ok(style) => bar.with_style(style),
        Err(_) => bar,
    }
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
    /// The findings to show: all, or errors alone where the call is to be quiet.
    pub fn shown(&self, call: &Call) -> impl Iterator<Item = &Finding> {
        let quiet = call.terminal.quiet;
        self.all.iter().copied().filter(move |finding| !quiet || finding.severity() == Severity::Error)
    }

    /// The closing line: what was looked at, and how many findings there are.
    pub fn closing(&self, files: usize, what: &str) -> String {
        let counts = Counts::of(self.all.iter().copied());
        let mut text = format!("{} read, {what}: {}.", number_of(files, "file"), counts.words());
        let worst = self.all.iter().max_by_key(|finding| finding.severity());
        if let Some(worst) = worst.filter(|worst| worst.severity() > Severity::Note) {
            text.push_str(&format!(" `longhand explain {}` says more.", worst.code));
        }
        text.push('\n');
        text
    }

    /// Writes the report that was asked for.
    ///
    /// # Errors
    /// When it can't be written.
    pub fn report(&self, call: &Call, tasks: &Tasks) -> Result<(), Failure> {
        let Some(report) = &call.report else { return Ok(()) };
        let inputs = tasks.tasks.iter().map(|task| (&*task.input.file, task.input.path.as_deref())).collect();
        let told = Told { paths: &call.paths, inputs, charts: self.charts, findings: &self.all };
        let folder = report.path.parent().unwrap_or(Path::new(""));
        let Some(name) = report.path.file_name() else { return Ok(()) };
        let mut store = Store::open(folder, call.overwrite, tasks.paths())?;
        match store.save(&[(PathBuf::from(name), report.text(&told).into_bytes())]).pop() {
            Some(Saved::Refused(failure)) => Err(failure),
            _ => Ok(()),
        }
    }
}

impl Tasks {
    /// The paths that are read.
    pub fn paths(&self) -> impl Iterator<Item = &Path> {
        self.tasks.iter().filter_map(|task| task.input.path.as_deref())
    }
}
