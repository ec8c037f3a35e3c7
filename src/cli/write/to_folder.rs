//! Results in a folder: in parallel, and only where something has changed since the last run.

use std::iter::repeat_n;
use std::ops::Range;
use std::path::{Path, PathBuf};

use longhand::place::Place;
use longhand::problem::{Code, Finding, any_error};

use super::super::batch::in_order;
use super::super::call::Call;
use super::super::failure::Failure;
use super::super::files::{self, Gone, KeptFinding, Saved, Store};
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
use super::results::{Made, named};
use super::underway::{Group, Outcome, Underway};

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

/// How many groups of inputs go through their steps together: more of them gain nothing, and wait longer for Ctrl-C.
const TOGETHER: usize = 16;

/// Each worker has its part of the groups in at least so many pieces, so that none waits long for another at the end.
const PIECES: usize = 8;

/// The bytes of inputs that are held together, where they are not those of one group.
const HELD: usize = 1 << 18;

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
    let jobs = run::jobs(call);
    let together = (groups.len() / (jobs * PIECES)).clamp(1, TOGETHER);
    let stretches = groups.len().div_ceil(together);
    let work = |stretch: usize| {
        let first = stretch * together;
        folder.stretch(&groups, first..groups.len().min(first + together), disk)
    };
    let delivered = in_order(jobs, stretches, &stop, work, |_, outcomes| {
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
    let gone = folder.gone();
    tally.findings(&gone);
    screen.print(&shown(call, &gone))?;
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
    let status = run::ended(call, &tally, delivered, stretches);
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

/// The findings that the call shows.
fn shown(call: &Call, findings: &[Finding]) -> String {
    report::findings(findings.iter().filter(|finding| call.shows(finding)))
}

struct Folder<'a> {
    call: &'a Call,
    tasks: &'a Tasks,
    plans: &'a Plans,
    store: Store<'a>,
    earlier: Earlier,
}

impl Folder<'_> {
    /// Does the inputs of some groups, whose order is kept.
    fn stretch(&self, groups: &Groups, mut numbers: Range<usize>, disk: Disk) -> Vec<Outcome> {
        let mut outcomes = Vec::with_capacity(numbers.len());
        while !numbers.is_empty() {
            let mut held = 0;
            let mut begun = Vec::with_capacity(numbers.len());
            while held < HELD
                && let Some(number) = numbers.next()
            {
                let mut group = self.begun(groups.get(number), disk);
                held += group.inputs().iter().map(|input| input.size()).sum::<usize>();
                begun.push(group);
            }
            self.done(begun, disk, &mut outcomes);
        }
        outcomes
    }

    /// A group of inputs: what became of them where they are unchanged, else what they hold.
    fn begun(&self, members: impl Iterator<Item = usize>, disk: Disk) -> Group {
        let tasks: Vec<Task> = members.filter_map(|member| self.tasks.tasks.get(member)).collect();
        let rules = self.rules(&tasks, disk);
        if self.earlier != Earlier::Ignored
            && let Some(outcomes) = self.unchanged(&tasks, &rules)
        {
            return Group::Unchanged(outcomes);
        }
        Group::Underway(
            tasks.into_iter().zip(rules).map(|(task, rules)| Underway::read(task, rules)).collect(),
        )
    }

    /// Takes some groups through the steps that are left, and their results to their places.
    fn done(&self, mut groups: Vec<Group>, disk: Disk, outcomes: &mut Vec<Outcome>) {
        for input in groups.iter_mut().flat_map(Group::inputs) {
            input.understand(self.call);
        }
        for input in groups.iter_mut().flat_map(Group::inputs) {
            input.write(self.plans);
        }
        let before = outcomes.len();
        let mut files = Vec::new();
        // The outcome that each file belongs to.
        let mut owners = Vec::new();
        for group in groups {
            match group {
                Group::Unchanged(known) => outcomes.extend(known),
                Group::Underway(mut inputs) => {
                    let made: Vec<Vec<Made>> = inputs.iter_mut().map(Underway::take_made).collect();
                    let numbered = made.iter().zip(outcomes.len()..);
                    owners.extend(numbered.flat_map(|(made, owner)| repeat_n(owner, made.len())));
                    let names: Vec<&Path> = inputs.iter().map(Underway::named_after).collect();
                    files.append(&mut named(&names, made, disk));
                    outcomes.extend(inputs.into_iter().map(Underway::outcome));
                }
            }
        }
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
        for outcome in outcomes.iter_mut().skip(before) {
            self.tell_out_of_date(outcome);
        }
    }

    /// Says which results of earlier runs are of another state of an input.
    fn tell_out_of_date(&self, outcome: &mut Outcome) {
        let Outcome { unchanged: false, entry: Some(entry), .. } = outcome else { return };
        self.store.recall(entry, any_error(&outcome.findings));
        let names: Vec<&str> = entry.left.iter().map(|left| left.path.as_str()).collect();
        if names.is_empty() {
            return;
        }
        let (are, were) = if names.len() == 1 { ("is", "was") } else { ("are", "were") };
        let message = format!(
            "{} {are} of an earlier state of the file, and {were} not written again.",
            names.join(", ")
        );
        let finding = Finding::new(Code::ResultOutOfDate, Place::file(&outcome.file), message)
            .help("Correct the chart and run again, or remove the result.");
        entry.findings.push(KeptFinding::from(&finding));
        outcome.findings.push(finding);
    }

    /// Says which results of earlier runs are of files that are gone from the folders of the call.
    fn gone(&self) -> Vec<Finding> {
        let folders: Vec<&Path> = self.call.paths.iter().map(PathBuf::as_path).collect();
        let told = |Gone { input, results }: Gone| {
            let (stands, they) =
                if results.len() == 1 { ("still stands", "it") } else { ("still stand", "them") };
            let message = format!("The file is gone; {}, made of it, {stands}.", results.join(", "));
            Finding::new(Code::InputGone, Place::file(&files::name(&input)), message)
                .help(format!("Put the file back, or remove {they} from the folder of results."))
        };
        self.store.gone(self.tasks.tasks.inputs(), &folders).into_iter().map(told).collect()
    }

    /// What governs each input of a group: its plan, and the others of the group, for its results are named beside
    /// theirs.
    fn rules(&self, tasks: &[Task], disk: Disk) -> Vec<String> {
        let mut group = vec![u8::from(disk.folds_case)];
        // No path holds the byte that parts them.
        let add = |to: &mut Vec<u8>, text: &[u8]| {
            to.push(b'\0');
            to.extend_from_slice(text);
        };
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
}
