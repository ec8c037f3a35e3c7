//! `longhand check`: reads charts and proves every count; writes nothing.

use clap::{Arg, ArgAction, ArgMatches, Command};
use longhand::convert::Charts;
use longhand::pattern::{Pattern, Worked};
use longhand::problem::Finding;

use super::batch::in_order;
use super::call::{self, Call, Purpose};
use super::failure::Failure;
use super::reading::reading;
use super::report::{self, number_of};
use super::run::{self};
use super::screen::{Screen, Stream};
use super::status::Status;
use super::stop::Stop;
use super::tally::Tally;
use super::tasks::Tasks;
use super::terminal::Terminal;

const EXAMPLES: &str = "\
Examples:
  longhand check scarf.xlsx
      does every row use what the row before it made?
  longhand check archive --report findings.csv
      a whole folder, the findings as a table as well
  longhand check odd.xlsx --explain-reading
      how was this sheet understood? The grid, the symbols, what was assumed
  longhand check scarf.xlsx --cast-on 41
      does the repeat fit 41 stitches?

Every chart and text has its line: it adds up, or what is wrong with it and where.
Exit status: 0 all well; 1 something in a chart or text is wrong; 2 the call
itself could not be carried out; 130 stopped with Ctrl-C.";

/// What the help says of it.
pub const ABOUT: &str = "Proves every count of charts and written rows, and writes nothing";

/// Adds its arguments.
pub fn arguments(command: Command) -> Command {
    let command = command.after_help(EXAMPLES);
    call::arguments(command, "Files or folders of charts and texts; - for standard input", Purpose::Check)
        .arg(Arg::new("explain-reading").long("explain-reading").action(ArgAction::SetTrue).help(
            "Shows how each chart was understood: where it is, which way it runs, what its symbols mean",
        ))
}

/// Carries it out.
pub fn run(matches: &ArgMatches) -> Status {
    let call = match call::understood(matches, Purpose::Check) {
        Ok(call) => Call { explain: matches.get_flag("explain-reading"), ..call },
        Err(failure) => return Terminal::plain().fail(&failure),
    };
    check(&call).unwrap_or_else(|failure| call.terminal.fail(&failure))
}

fn check(call: &Call) -> Result<Status, Failure> {
    let tasks = Tasks::find(call, None)?;
    let mut tally = Tally::of(call);
    tally.findings(&tasks.findings);
    let mut screen = Screen::new(call, Stream::Out, tasks.tasks.len());
    screen.print(&report::findings(tasks.findings.iter()))?;
    let stop = Stop::listen();
    let (mut sound, mut printed) = (0, Ok(()));
    let tell = |index: usize, charts: &Charts| {
        let task = tasks.tasks.get(index)?;
        Some(run::guarded(&task, || told(call, charts, &task.input.file)))
    };
    let work = |index| run::done(call, &tasks.tasks, index, tell);
    let delivered = in_order(run::jobs(call), tasks.tasks.len(), &stop, work, |_, done| {
        let Some(done) = done else { return };
        tally.file(done.read, done.charts.charts.len());
        tally.findings(done.findings());
        sound += done.charts.charts.iter().filter(|chart| chart.sound().is_some()).count();
        screen.progress.done(done.charts.charts.len(), done.findings().count());
        let text = match done.made {
            Some(Ok(text)) => text,
            Some(Err(fault)) => {
                tally.findings([&fault]);
                report::findings([&fault].into_iter())
            }
            None => return,
        };
        if printed.is_ok() {
            printed = screen.print(&text);
        }
    });
    printed?;
    if !call.terminal.quiet {
        let what = format!("{sound} of {} add up", number_of(tally.charts(), "chart"));
        screen.print(&tally.closing(tally.files(), &what))?;
    }
    screen.end()?;
    run::report(call, &tasks, tally.charts(), &tally.kept())?;
    Ok(run::ended(call, &tally, delivered, tasks.tasks.len()))
}

/// What is told of a file.
fn told(call: &Call, charts: &Charts, file: &str) -> String {
    let shown: Vec<&Finding> = charts.findings().filter(|finding| call.shows(finding)).collect();
    let mut text = report::findings(shown.iter().copied());
    if call.explain {
        if shown.is_empty() {
            text.push_str(&report::heading(report::called(file)));
        }
        for chart in &charts.charts {
            text.push_str(&reading(chart));
        }
    }
    if !call.terminal.quiet {
        text.push_str(&sound(charts, file, shown.is_empty() && !call.explain));
    }
    text
}

/// A line for each chart of a file that adds up.
fn sound(charts: &Charts, file: &str, heading: bool) -> String {
    let mut text = String::new();
    for chart in charts.charts.iter().filter(|chart| chart.sound().is_some()) {
        let Some(pattern) = &chart.pattern else { continue };
        if heading && text.is_empty() {
            text.push_str(&report::heading(report::called(file)));
        }
        text.push_str(&format!("  adds up: {}\n", report::clean(&summary(pattern))));
    }
    text
}

/// "Sand Ripple, chart A: 24 rows, 23 stitches".
fn summary(pattern: &Pattern) -> String {
    let letter = pattern.chart.as_deref().map(|letter| format!(", chart {letter}")).unwrap_or_default();
    let word = if pattern.worked == Worked::Round { "round" } else { "row" };
    let rows = number_of(pattern.rows.len(), word);
    let counts = || pattern.rows.iter().map(|row| pattern.makes(row)).chain([pattern.cast_on]);
    let least = counts().min().unwrap_or_default();
    let most = counts().max().unwrap_or_default();
    let stitches = if least == most {
        number_of(most as usize, "stitch")
    } else {
        format!("{least} to {}", number_of(most as usize, "stitch"))
    };
    format!("{}{letter}: {rows}, {stitches}", pattern.title)
}
