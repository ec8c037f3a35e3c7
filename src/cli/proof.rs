//! `longhand proof`: for a whole archive, charts to rows and back, and against the approved texts beside them.

mod approve;
mod file;
mod kept;
mod plan;
mod sum;

use std::collections::HashSet;
use std::path::Path;

use clap::{Arg, ArgAction, ArgMatches, Command};
use longhand::convert::Charts;
use longhand::problem::{Code, Finding, Severity};
use longhand::read::{Format, Holds};

use super::batch::in_order;
use super::call::{self, Call, Purpose};
use super::failure::Failure;
use super::files::{self, Input, Nearest, Records, SettingsFiles};
use super::names::StyleNames;
use super::report;
use super::run::{self, Done};
use super::screen::{Screen, Stream};
use super::status::Status;
use super::stop::Stop;
use super::styles::Styles;
use super::tally::Tally;
use super::tasks::{Task, Tasks};
use super::terminal::Terminal;
use approve::Approval;
use file::Proved;
use kept::Shelves;
use plan::Plans;
use sum::Sum;

const EXAMPLES: &str = "\
Examples:
  longhand proof archive
      every chart written as rows, read again and compared; and compared with
      the text kept beside it: scarf.txt is the approved text of scarf.xlsx
  longhand proof archive --style uk --strict
      in one style; a chart without an approved text counts as wrong
  longhand proof scarf.xlsx --approve
      keeps today's rows as the approved text, where the chart reads back

Rows are proved in the styles of the settings or of --style; where neither names
one, in every built-in style. Nothing is written without --approve, which writes
in the first of the styles, and over no text of yours.
Approved texts are .txt, .md, .html and .docx. Where a file holds several charts
they stand in one text, or in scarf.A.txt, scarf.B.txt; a style may follow, as in
scarf.uk.txt.
Every file has its line: ok, differs, no approved text, ..., and below it what was
found. Exit status: 0 all well; 1 something is wrong or differs; 2 the call itself
could not be carried out; 130 stopped with Ctrl-C.";

/// What the help says of it.
pub const ABOUT: &str =
    "Proves an archive: charts to rows and back, and against the approved texts beside them";

/// Adds its arguments.
pub fn arguments(command: Command) -> Command {
    let command = command.after_help(EXAMPLES);
    call::arguments(command, "Files or folders of charts and texts; - for standard input", Purpose::Proof)
        .arg(
            Arg::new("approve")
                .long("approve")
                .action(ArgAction::SetTrue)
                .help("Writes today's text beside each chart that reads back, as its approved text"),
        )
}

/// Carries it out.
pub fn run(matches: &ArgMatches) -> Status {
    let call = match call::understood(matches, Purpose::Proof) {
        Ok(call) => call,
        Err(failure) => return Terminal::plain().fail(&failure),
    };
    let terminal = call.terminal;
    proof(call, matches.get_flag("approve")).unwrap_or_else(|failure| terminal.fail(&failure))
}

fn proof(mut call: Call, approve: bool) -> Result<Status, Failure> {
    let mut shelves = Shelves::new(style_names(&call)?);
    with_charts_of_texts(&mut call, &mut shelves);
    let mut tasks = Tasks::find(&call, None)?;
    let plans = Plans::of(&call, &mut tasks, shelves, approve)?;
    let (call, tasks, records) = (&call, &tasks, Records::default());
    let mut tally = Tally::of(call);
    tally.findings(&tasks.findings);
    let mut screen = Screen::new(call, Stream::Out, tasks.tasks.len());
    screen.print(&report::findings(tasks.findings.iter()))?;
    let stop = Stop::listen();
    let (mut sum, mut approval) = (Sum::default(), Approval::of(call, tasks, &plans));
    let mut printed = Ok(());
    let work = |index| {
        let task = tasks.tasks.get(index)?;
        let plan = plans.get(&task);
        let prove = |_, charts: &Charts| {
            run::guarded(&task, || file::prove(call, &task, &plan, &records, charts))
                .unwrap_or_else(Proved::failed)
        };
        Some((run::done(call, &tasks.tasks, index, prove)?, task, plan))
    };
    let delivered = in_order(run::jobs(call), tasks.tasks.len(), &stop, work, |_, done| {
        let Some((mut done, task, plan)) = done else { return };
        approval.keep(&plan, &mut done.made, &mut screen);
        let found: Vec<Finding> = done.made.findings().cloned().collect();
        done.charts.findings.extend(found);
        tally.file(done.read, done.charts.charts.len());
        tally.findings(done.findings());
        sum.add(call, &plan, &done);
        screen.progress.done(done.charts.charts.len(), done.findings().count());
        if printed.is_ok() {
            printed = screen.print(&told(call, &task, &done));
        }
    });
    approval.close(&mut screen);
    let kept = approval.status;
    printed?;
    if !call.terminal.quiet {
        screen.print(&sum.assumed())?;
        screen.print(&tally.closing(tally.files() + sum.texts(), &sum.words()))?;
    }
    screen.end()?;
    run::report(call, tasks, tally.charts(), &tally.kept())?;
    Ok(run::ended(call, &tally, delivered, tasks.tasks.len()).max(kept))
}

/// The names of styles that may stand in the name of a text that the call names: those of the call, and of the settings
/// that hold for it.
fn style_names(call: &Call) -> Result<StyleNames, Failure> {
    let (mut names, mut known) = (StyleNames::built_in(), Styles::default());
    for name in call.above.styles.iter().flatten() {
        names.know(&*known.get(name)?);
    }
    let mut settings = SettingsFiles::under(call.settings.as_deref());
    let nearest: HashSet<Nearest> =
        call.paths.iter().map(|path| settings.nearest(&Input::alone(path))).collect();
    for nearest in nearest {
        names.know_all(&settings.settings(nearest), &mut known);
    }
    Ok(names)
}

/// A text that is named is proved with its chart.
fn with_charts_of_texts(call: &mut Call, shelves: &mut Shelves) {
    let is_text = |path: &Path| {
        Format::by_ending(&path.to_string_lossy()).is_some_and(|format| format.holds() == Holds::Lines)
    };
    let true_print = |path: &Path| files::fingerprint(&files::true_path(path));
    let named: HashSet<u128> = call.paths.iter().map(|path| true_print(path)).collect();
    let mut paths = Vec::with_capacity(call.paths.len());
    for path in call.paths.drain(..) {
        let charts = if is_text(&path) { shelves.charts_of(&path) } else { Vec::new() };
        if charts.is_empty() {
            paths.push(path);
            continue;
        }
        // One that is named too has its own place in the order.
        paths.extend(charts.into_iter().filter(|chart| !named.contains(&true_print(chart))));
    }
    call.paths = paths;
}

/// Whether a finding is shown below the line of its file. What the line itself says is not said again; notes on how a
/// chart or a text was read are counted at the end.
fn is_shown(call: &Call, done: &Done<Proved>, finding: &Finding) -> bool {
    match finding.severity() {
        Severity::Error => true,
        _ if !call.shows(finding) => false,
        Severity::Warning => true,
        Severity::Note => match finding.code {
            Code::NoApprovedText => finding.chart.is_some(),
            Code::NoChartBeside => false,
            // Of a text beside the chart; a text by itself has it in its line.
            Code::NoRows => done.made.findings().any(|own| own == finding),
            Code::WordingChanged | Code::WorkedOtherwise => true,
            _ => false,
        },
    }
}

/// The line of a file, and what was found in it.
fn told(call: &Call, task: &Task, done: &Done<Proved>) -> String {
    let shown: Vec<&Finding> = done.findings().filter(|finding| is_shown(call, done, finding)).collect();
    if call.terminal.quiet && shown.is_empty() {
        return String::new();
    }
    let (word, names) = done.made.word(&done.charts);
    let mut line = format!("{word}: {}", report::called(&task.input.file));
    for (at, name) in names.iter().enumerate() {
        line.push_str(if at == 0 { " and " } else { ", " });
        line.push_str(name);
    }
    report::heading(&line) + &report::findings_under(&task.input.file, shown.into_iter())
}
