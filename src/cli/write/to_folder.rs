//! Results in a folder: file by file, in parallel, and only where something has changed since the last run.

use std::path::Path;

use longhand::convert::Charts;
use longhand::problem::{Finding, Severity};

use super::super::batch::in_order;
use super::super::call::Call;
use super::super::failure::Failure;
use super::super::files::{self, Entry, Saved, Store, Told};
use super::super::groups::Groups;
use super::super::names::Disk;
use super::super::report::{self, number_of};
use super::super::run;
use super::super::screen::{Screen, Stream};
use super::super::status::Status;
use super::super::stop::Stop;
use super::super::tally::Tally;
use super::super::tasks::{Task, Tasks};
use super::plan::Plans;
use super::results::{Made, named, results};

/// What an earlier run over the same folder is good for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Earlier {
    /// Inputs that have not changed by size and time are not done again.
    Trusted,
    /// Inputs that have not changed by their contents are not done again.
    Rechecked,
    /// Everything is done again.
    Ignored,
}

/// An input, done.
#[derive(Default)]
struct Outcome {
    findings: Vec<Finding>,
    charts: usize,
    read: bool,
    /// Files that stand there now.
    written: usize,
    /// Why others don't.
    refused: Vec<Failure>,
    /// Whether it was as an earlier run left it.
    unchanged: bool,
    /// What is to be noted of it.
    entry: Option<Entry>,
}

/// Writes to files in a folder.
pub fn to_folder(
    call: &Call,
    tasks: &Tasks,
    plans: &Plans,
    out: &Path,
    earlier: Earlier,
) -> Result<Status, Failure> {
    let store = Store::open(out, call.overwrite, tasks.paths())?;
    let groups = Groups::of(tasks.tasks.inputs().map(|input| input.named_after().to_owned()));
    let folder = Folder { call, tasks, plans, store, earlier };
    let disk = Disk { folds_case: folder.store.folds_case() };
    let mut tally = Tally::of(call);
    let mut screen = Screen::new(call, Stream::Err, tasks.tasks.len());
    if folder.store.was_damaged() {
        screen.print(&format!("{}\n", damaged(out)))?;
    }
    tally.findings(&tasks.findings);
    screen.print(&shown(call, &tasks.findings))?;
    let stop = Stop::listen();
    let (mut written, mut unchanged, mut refused) = (0, 0, false);
    let work = |group| folder.group(groups.get(group), disk);
    let delivered = in_order(run::jobs(call), groups.len(), &stop, work, |_, outcomes| {
        for outcome in outcomes {
            tally.file(outcome.read, outcome.charts);
            tally.findings(&outcome.findings);
            screen.progress.done(outcome.charts, outcome.findings.len());
            // Standard error never fails: there would be nobody to tell.
            let _ = screen.print(&shown(call, &outcome.findings));
            for failure in &outcome.refused {
                let _ = screen.print(&report::failure(failure));
            }
            written += outcome.written;
            refused |= !outcome.refused.is_empty();
            unchanged += usize::from(outcome.unchanged);
            if let Some(entry) = outcome.entry {
                folder.store.done(&entry);
            }
        }
    });
    let closed = folder.store.close();
    if !call.terminal.quiet {
        let mut what = format!("{} in {} written", number_of(written, "file"), out.display());
        if unchanged > 0 {
            what.push_str(&format!(" (those of {unchanged} unchanged before)"));
        }
        screen.print(&tally.closing(tally.files(), &what))?;
    }
    screen.end()?;
    closed?;
    run::report(call, tasks, tally.charts(), &tally.kept())?;
    let status = run::ended(call, &tally, delivered, groups.len());
    Ok(if refused { status.max(Status::Failed) } else { status })
}

fn damaged(out: &Path) -> String {
    let record = out.join(files::RECORD);
    format!(
        "The run record {} is damaged and was not believed: everything is done again, and files that differ from \
         what would be written are left alone.",
        record.display()
    )
}

/// The findings that the call shows: all, or errors alone where it is to be quiet.
fn shown(call: &Call, findings: &[Finding]) -> String {
    let quiet = call.terminal.quiet;
    report::findings(findings.iter().filter(|finding| !quiet || finding.severity() == Severity::Error))
}

struct Folder<'a> {
    call: &'a Call,
    tasks: &'a Tasks,
    plans: &'a Plans,
    store: Store<'a>,
    earlier: Earlier,
}

impl Folder<'_> {
    /// Does the inputs of a group.
    fn group(&self, members: impl Iterator<Item = usize>, disk: Disk) -> Vec<Outcome> {
        let tasks: Vec<Task> = members.filter_map(|member| self.tasks.tasks.get(member)).collect();
        let rules = self.rules(&tasks, disk);
        if self.earlier != Earlier::Ignored
            && let Some(outcomes) = self.unchanged(&tasks, &rules)
        {
            return outcomes;
        }
        let (mut outcomes, made): (Vec<Outcome>, Vec<Vec<Made>>) =
            tasks.iter().zip(&rules).map(|(task, rules)| self.made(task, rules)).unzip();
        let inputs: Vec<&Path> = tasks.iter().map(|task| task.input.named_after()).collect();
        let mut owners = made.iter().enumerate().flat_map(|(input, made)| made.iter().map(move |_| input));
        let owners: Vec<usize> = owners.by_ref().collect();
        let files = named(&inputs, made, disk);
        for (owner, saved) in owners.into_iter().zip(self.store.save(&files)) {
            let Some(outcome) = outcomes.get_mut(owner) else { continue };
            match saved {
                Saved::Written(result) => {
                    outcome.written += 1;
                    if let Some(entry) = &mut outcome.entry {
                        entry.results.push(result);
                    }
                }
                // What was refused once is tried again the next time.
                Saved::Refused(failure) => {
                    outcome.entry = None;
                    outcome.refused.push(failure);
                }
            }
        }
        outcomes
    }

    /// What governs each input of a group: its plan, and the others of the group, for its results are named beside
    /// theirs.
    fn rules(&self, tasks: &[Task], disk: Disk) -> Vec<String> {
        let mut group = format!("{disk:?}").into_bytes();
        // No path holds the byte that parts them.
        let add = |to: &mut Vec<u8>, text: &[u8]| to.extend_from_slice(&[b"\0", text].concat());
        for task in tasks {
            add(&mut group, task.input.named_after().as_os_str().as_encoded_bytes());
        }
        let rules = |task: &Task| {
            let mut all = group.clone();
            add(&mut all, task.input.named_after().as_os_str().as_encoded_bytes());
            add(&mut all, self.plans.get(task).map_or("", |plan| &plan.rules).as_bytes());
            files::hash(&all)
        };
        tasks.iter().map(rules).collect()
    }

    /// What became of the inputs of a group the last time, where it would be the same now.
    fn unchanged(&self, tasks: &[Task], rules: &[String]) -> Option<Vec<Outcome>> {
        let recheck = self.earlier == Earlier::Rechecked;
        let one = |(task, rules): (&Task, &String)| {
            let (entry, renewed) = self.store.unchanged(&task.input, rules, recheck)?;
            Some(Outcome {
                findings: entry.findings()?,
                charts: entry.charts,
                read: true,
                written: entry.results.len(),
                unchanged: true,
                entry: renewed.then_some(entry),
                ..Outcome::default()
            })
        };
        tasks.iter().zip(rules).map(one).collect()
    }

    /// An input, read and turned into results.
    fn made(&self, task: &Task, rules: &str) -> (Outcome, Vec<Made>) {
        let (bytes, stamp) = match task.input.read_stamped() {
            Ok(read) => read,
            Err(finding) => {
                return (Outcome { findings: vec![finding], ..Outcome::default() }, Vec::new());
            }
        };
        let (charts, made) = run::guarded(task, || {
            let mut charts = run::charts(self.call, task, &bytes);
            let made = self.plans.get(task).map(|plan| results(&mut charts, plan)).unwrap_or_default();
            (charts, made)
        })
        .unwrap_or_else(|finding| (Charts { charts: Vec::new(), findings: vec![finding] }, Vec::new()));
        let read = run::could_be_read(&charts);
        let count = charts.charts.len();
        let findings: Vec<Finding> = charts
            .findings
            .into_iter()
            .chain(charts.charts.into_iter().flat_map(|chart| chart.findings))
            .collect();
        let entry = stamp.filter(|_| read).and_then(|stamp| task.input.entry(&bytes, stamp, rules));
        let entry = entry.map(|entry| Entry {
            charts: count,
            findings: findings.iter().map(Told::from).collect(),
            ..entry
        });
        (Outcome { findings, charts: count, read, entry, ..Outcome::default() }, made)
    }
}
