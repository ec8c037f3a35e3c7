//! Two folders compared, file by file: in parallel, told in the order of their names.

mod bundle;
mod name;
mod outcome;
mod pairing;
mod told;

use std::path::Path;

use longhand::problem::Finding;

use super::super::batch::in_order;
use super::super::call::Call;
use super::super::failure::Failure;
use super::super::files::{self, Found, Input};
use super::super::names::StyleNames;
use super::super::run;
use super::super::screen::{Screen, Stream};
use super::super::status::Status;
use super::super::stop::Stop;
use super::super::styles::Styles;
use super::super::tally::Tally;
use super::super::tasks::Tasks;
use bundle::Folders;
use pairing::Bundle;

pub(super) use outcome::{Class, Counts, Outcome, Side};
pub(super) use told::{TEXT, closing, counted};

/// A form in which two folders are put beside each other.
pub(super) struct Form {
    /// What stands before all pairings.
    pub begin: fn(&Whole<'_>) -> String,
    /// What is told of one.
    pub one: fn(&Call, &Outcome) -> String,
    /// What stands between two.
    pub between: &'static str,
    /// What is said of one on standard error, where its findings are no part of the form.
    pub aside: Option<fn(&Call, &Outcome) -> String>,
    /// What stands after all.
    pub end: fn(&Whole<'_>) -> String,
    /// Whether the pairings are kept and stand in what `end` gives, which needs all of them.
    pub is_kept: bool,
}

/// What all pairings come to, or those that are done.
pub(super) struct Whole<'a> {
    /// The call.
    pub call: &'a Call,
    /// The folders, as given.
    pub folders: [String; 2],
    /// Folders that could not be looked into.
    pub findings: &'a [Finding],
    /// What was found in all.
    pub tally: Tally,
    /// How many pairings come to what.
    pub counts: Counts,
    /// The first of each kind that are to be looked at.
    pub look: told::Look,
    /// Notes that were not shown.
    pub noted: told::Noted,
    /// The pairings, where the form keeps them.
    pub kept: Vec<Kept>,
    /// Whether all pairings were done.
    pub complete: bool,
}

/// A pairing that is kept: what an overview says of it, and what is told of it.
pub(super) struct Kept {
    /// What it comes to.
    pub class: Class,
    /// Whether somebody has to look at it.
    pub is_to_be_looked_at: bool,
    /// The words for what it comes to.
    pub words: String,
    /// What the left one is called, and the right one.
    pub sides: [Option<String>; 2],
    /// What is told of it.
    pub text: String,
}

impl Kept {
    fn of(outcome: &Outcome, text: String) -> Self {
        Self {
            class: outcome.class,
            is_to_be_looked_at: outcome.is_to_be_looked_at(),
            words: outcome.words(),
            sides: [&outcome.left, &outcome.right].map(|side| side.as_ref().map(Side::called)),
            text,
        }
    }
}

/// Compares two folders; `None` where the call names none.
///
/// # Errors
/// When the call can't be carried out.
pub(super) fn compare(call: &Call, form: &Form) -> Result<Option<Status>, Failure> {
    let [left, right] = &call.paths[..] else { return Ok(None) };
    match (files::is_folder(left), files::is_folder(right)) {
        (false, false) => return Ok(None),
        (true, true) if files::same(left, right) => {
            return Err(Failure::new(
                format!("{} and {} are the same folder.", left.display(), right.display()),
                "Name two folders; `longhand check` proves the charts and texts of one.",
            ));
        }
        (true, true) => {}
        (true, false) => return Err(no_folder(right, left)),
        (false, true) => return Err(no_folder(left, right)),
    }
    let (tasks, split) = found(call, [left, right])?;
    told(call, form, [left, right], &tasks, split).map(Some)
}

/// Why a folder can't be compared with what is none.
fn no_folder(other: &Path, folder: &Path) -> Failure {
    if other.as_os_str() != "-"
        && let Err(finding) = Input::alone(other).read()
    {
        return Failure::from(vec![finding]);
    }
    let other = if other.as_os_str() == "-" { "standard input".into() } else { other.to_string_lossy() };
    Failure::new(
        format!("{} is a folder, but {other} is not: they can't be compared.", folder.display()),
        "Name two folders, or two files.",
    )
}

/// The files of both folders, and how many of them are the left one's. A folder that lies in the other is no part of
/// it.
fn found(call: &Call, folders: [&Path; 2]) -> Result<(Tasks, usize), Failure> {
    let report = call.report.as_ref().map(|report| &*report.path);
    let find = |folder: &Path, other: &Path| -> Result<Found, Failure> {
        let leave: Vec<&Path> = [other].into_iter().chain(report).collect();
        let found = files::find(&[folder.to_owned()], &leave, call.from, call.reads)?;
        if found.inputs.len() == 0 {
            let mut failure = Failure::new(
                format!("There is no chart and no text in {}.", folder.display()),
                "Name a folder that holds some.",
            );
            failure.findings = found.findings;
            return Err(failure);
        }
        Ok(found)
    };
    let [left, right] = folders;
    let mut all = find(left, right)?;
    let split = all.inputs.len();
    let more = find(right, left)?;
    for input in more.inputs.iter() {
        all.inputs.push(&input);
    }
    all.inputs.complete();
    all.findings.extend(more.findings);
    Ok((Tasks::of(call, all)?, split))
}

/// Compares what was found, and tells it.
fn told(
    call: &Call,
    form: &Form,
    folders: [&Path; 2],
    tasks: &Tasks,
    split: usize,
) -> Result<Status, Failure> {
    let styles = styles(tasks);
    let bundles = bundles(tasks, split, &styles);
    let work = Folders { call, tasks, styles: &styles, named: folders };
    let mut whole = Whole {
        call,
        folders: folders.map(|folder| folder.to_string_lossy().into_owned()),
        findings: &tasks.findings,
        tally: Tally::of(call),
        counts: Counts::default(),
        look: told::Look::default(),
        noted: told::Noted::default(),
        kept: Vec::new(),
        complete: false,
    };
    whole.tally.findings(&tasks.findings);
    let mut screen = Screen::new(call, Stream::Out, tasks.tasks.len());
    screen.print(&(form.begin)(&whole))?;
    let stop = Stop::listen();
    let (mut printed, mut between) = (Ok(()), "");
    let work = |at: usize| {
        let bundle: &[_] = bundles.get(at).map_or(&[], |bundle| bundle);
        let done = work.done(bundle);
        let told = |outcome: &Outcome| {
            ((form.one)(call, outcome), form.aside.map_or_else(String::new, |aside| aside(call, outcome)))
        };
        let told: Vec<(String, String)> = done.outcomes.iter().map(told).collect();
        (done, told)
    };
    let delivered = in_order(run::jobs(call), bundles.len(), &stop, work, |_, (done, told)| {
        let mut found = done.outcomes.iter().map(|outcome| outcome.findings.len()).sum();
        for (read, charts) in done.files {
            whole.tally.file(read, charts);
            screen.progress.done(charts, std::mem::take(&mut found));
        }
        for (outcome, (text, aside)) in done.outcomes.iter().zip(told) {
            whole.add(outcome);
            if !aside.is_empty() {
                screen.progress.beside(|| call.terminal.say(&aside));
            }
            if form.is_kept {
                whole.kept.push(Kept::of(outcome, text));
            } else if printed.is_ok() && !text.is_empty() {
                printed = screen.print(between).and_then(|()| screen.print(&text));
                between = form.between;
            }
        }
    });
    printed?;
    whole.complete = delivered == bundles.len();
    screen.print(&(form.end)(&whole))?;
    screen.end()?;
    run::report(call, tasks, whole.tally.charts(), &whole.tally.kept())?;
    // Nothing compared is nothing proved.
    if whole.complete && whole.counts.of_all(&Class::ALL) == whole.counts.of(Class::NoRows) {
        return Err(Failure::new(
            "Nothing was compared: neither folder holds a chart or a written row.",
            "Name folders that hold some.",
        ));
    }
    Ok(run::ended(call, &whole.tally, delivered, bundles.len()))
}

/// The names of styles that may stand in the names of files: those that there are, and those of the settings.
fn styles(tasks: &Tasks) -> StyleNames {
    let (mut names, mut known) = (StyleNames::built_in(), Styles::default());
    for task in tasks.tasks.of_settings() {
        names.know_all(&task.below, &mut known);
    }
    names
}

fn bundles(tasks: &Tasks, split: usize, styles: &StyleNames) -> Vec<Bundle> {
    let below = |number: u32| {
        let task = tasks.tasks.get(number as usize);
        task.map(|task| task.input.named_after().to_owned()).unwrap_or_default()
    };
    pairing::bundles(split, tasks.tasks.len(), below, styles)
}

impl Whole<'_> {
    /// What the folders come to: the worst that is known of them, or that something is not known.
    pub(super) fn verdict(&self) -> Class {
        let any = |classes: &[Class]| self.counts.of_all(classes) > 0;
        if any(&[Class::Different, Class::Alone]) {
            Class::Different
        } else if any(&[Class::Unreadable, Class::NotCompared, Class::InPart]) || !self.findings.is_empty() {
            Class::NotCompared
        } else if any(&[Class::SameFabric]) {
            Class::SameFabric
        } else if any(&[Class::SameStitches]) {
            Class::SameStitches
        } else {
            Class::NotCompared
        }
    }

    fn add(&mut self, outcome: &Outcome) {
        self.tally.findings(&outcome.findings);
        self.counts.add(outcome.class);
        self.look.add(outcome);
        self.noted.add(outcome);
    }
}
