//! `longhand check`: reads charts and proves every count; writes nothing.

use clap::{Arg, ArgAction, ArgMatches, Command};
use longhand::pattern::{Pattern, Worked};
use longhand::problem::{Finding, Severity};

use super::call::{self, Call, Purpose};
use super::failure::Failure;
use super::reading::reading;
use super::report::{self, number_of};
use super::run::{self, Done};
use super::status::Status;
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

Every chart has its line: it adds up, or what is wrong with it and where.
Exit status: 0 all well; 1 something in a chart is wrong; 2 the call itself could
not be carried out.";

/// The command.
pub fn command() -> Command {
    let command =
        Command::new("check").about("Proves every count of charts, and writes nothing").after_help(EXAMPLES);
    call::arguments(command, "Files or folders of charts; - for standard input", Purpose::Proof).arg(
        Arg::new("explain-reading").long("explain-reading").action(ArgAction::SetTrue).help(
            "Shows how each chart was understood: where it is, which way it runs, what its symbols mean",
        ),
    )
}

/// Carries it out.
pub fn run(matches: &ArgMatches) -> Status {
    let call = match call::understood(matches, Purpose::Proof) {
        Ok(call) => call,
        Err(failure) => return Terminal::plain().fail(&failure),
    };
    check(&call, matches.get_flag("explain-reading")).unwrap_or_else(|failure| call.terminal.fail(&failure))
}

fn check(call: &Call, explain: bool) -> Result<Status, Failure> {
    let tasks = run::tasks(call, None)?;
    let done = run::convert(call, &tasks.tasks, |_, _| ())?;
    let found = run::gather(call, &tasks, &done);
    let mut text = report::findings(tasks.findings.iter());
    for (task, done) in tasks.tasks.iter().zip(&done) {
        let quiet = call.terminal.quiet;
        let shown: Vec<&Finding> =
            done.findings().filter(|finding| !quiet || finding.severity() == Severity::Error).collect();
        text.push_str(&report::findings(shown.iter().copied()));
        if explain {
            if shown.is_empty() {
                text.push_str(&report::heading(report::called(&task.input.file)));
            }
            for chart in &done.charts.charts {
                text.push_str(&reading(chart));
            }
        }
        if !quiet {
            text.push_str(&sound(done, &task.input.file, shown.is_empty() && !explain));
        }
    }
    if !call.terminal.quiet {
        let sound =
            done.iter().flat_map(|done| &done.charts.charts).filter(|chart| chart.sound().is_some()).count();
        let all: usize = done.iter().map(|done| done.charts.charts.len()).sum();
        text.push_str(&found.closing(done.len(), &format!("{sound} of {} add up", number_of(all, "chart"))));
    }
    call.terminal.result(&text)?;
    found.report(call, &tasks)?;
    Ok(found.status)
}

/// A line for each chart of a file that adds up.
fn sound(done: &Done<()>, file: &str, heading: bool) -> String {
    let mut text = String::new();
    for chart in done.charts.charts.iter().filter(|chart| chart.sound().is_some()) {
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
