//! `longhand proof`: for a whole archive, charts to rows and back, and against the approved texts beside them.

mod approve;
mod file;
mod kept;

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use clap::{Arg, ArgAction, ArgMatches, Command};
use longhand::problem::{Code, Finding, Severity};
use longhand::read::{Format, Holds};
use longhand::style::{self, Style};

use super::call::{self, Call, Purpose};
use super::failure::Failure;
use super::files::{self, Records};
use super::report::{self, number_of};
use super::run::{self, Done, Task, Tasks};
use super::status::Status;
use super::stop::Stop;
use super::styles::Styles;
use super::terminal::Terminal;
use file::Proved;
use kept::{Kept, Shelves};

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

/// The command.
pub fn command() -> Command {
    let command = Command::new("proof")
        .about("Proves an archive: charts to rows and back, and against the approved texts beside them")
        .after_help(EXAMPLES);
    call::arguments(command, "Files or folders of charts and texts; - for standard input", Purpose::Archive)
        .arg(
            Arg::new("approve")
                .long("approve")
                .action(ArgAction::SetTrue)
                .help("Writes today's text beside each chart that reads back, as its approved text"),
        )
}

/// Carries it out.
pub fn run(matches: &ArgMatches) -> Status {
    let call = match call::understood(matches, Purpose::Archive) {
        Ok(call) => call,
        Err(failure) => return Terminal::plain().fail(&failure),
    };
    let terminal = call.terminal;
    proof(call, matches.get_flag("approve")).unwrap_or_else(|failure| terminal.fail(&failure))
}

/// What is to be done with one input.
struct Plan {
    styles: Vec<Arc<Style>>,
    /// Whether it is a text that no chart lies beside.
    alone: bool,
    kept: Vec<Kept>,
    /// Where its approved text is to stand.
    text: PathBuf,
    /// Whether today's text is to be approved.
    approve: bool,
}

fn proof(mut call: Call, approve: bool) -> Result<Status, Failure> {
    let mut shelves = Shelves::new(style_names(&call));
    with_charts_of_texts(&mut call, &mut shelves);
    let mut tasks = run::tasks(&call, None)?;
    let plans = plans(&call, &mut tasks, &mut shelves, approve)?;
    let records = Records::default();
    let mut done = run::convert(&call, &tasks.tasks, &Stop::listen(), |index, charts| {
        match (tasks.tasks.get(index), plans.get(index)) {
            (Some(task), Some(plan)) => file::prove(&call, &task, plan, &records, charts),
            _ => Proved::default(),
        }
    });
    let mut status = Status::Well;
    if approve {
        status = approve::write(&call, &tasks, &plans, &mut done);
    }
    for done in &mut done {
        let found: Vec<Finding> = done.made.findings().cloned().collect();
        done.charts.findings.extend(found);
    }
    let found = run::gather(&call, &tasks, &done);
    let mut text = report::findings(tasks.findings.iter());
    for (task, done) in tasks.tasks.iter().zip(&done) {
        text.push_str(&told(&call, &task, done));
    }
    if !call.terminal.quiet {
        let files = done.len() + done.iter().map(|done| done.made.texts.len()).sum::<usize>();
        text.push_str(&assumed(&call, &done));
        text.push_str(&found.closing(files, &summary(&plans, &done)));
    }
    call.terminal.result(&text)?;
    found.report(&call, &tasks)?;
    if done.len() < tasks.tasks.len() {
        return Ok(run::stopped(&call, done.len()));
    }
    Ok(status.max(found.status))
}

/// The names of styles that may stand in the name of a text.
fn style_names(call: &Call) -> Vec<String> {
    let own = call.above.styles.iter().flatten();
    let own = own.filter_map(|name| Some(Path::new(name).file_stem()?.to_string_lossy().into_owned()));
    style::built_in().iter().map(|style| style.name.clone()).chain(own).collect()
}

/// A text that is named is proved with its chart.
fn with_charts_of_texts(call: &mut Call, shelves: &mut Shelves) {
    let is_text = |path: &Path| {
        Format::by_ending(&path.to_string_lossy()).is_some_and(|format| format.holds() == Holds::Lines)
    };
    let named = call.paths.clone();
    let mut paths = Vec::with_capacity(named.len());
    for path in call.paths.drain(..) {
        let charts = if is_text(&path) { shelves.charts_of(&path) } else { Vec::new() };
        if charts.is_empty() {
            paths.push(path);
            continue;
        }
        // One that is named too has its own place in the order.
        paths.extend(charts.into_iter().filter(|chart| !named.iter().any(|path| files::same(path, chart))));
    }
    call.paths = paths;
}

/// What is to be done with each input; texts that are kept beside a chart are no inputs of their own.
fn plans(call: &Call, tasks: &mut Tasks, shelves: &mut Shelves, approve: bool) -> Result<Vec<Plan>, Failure> {
    let mut styles = Styles::default();
    let is_text = |task: &Task| {
        let format = call.from.or_else(|| Format::by_ending(&task.input.file));
        format.is_some_and(|format| format.holds() == Holds::Lines)
    };
    let mut plans = Vec::with_capacity(tasks.tasks.len());
    for task in tasks.tasks.iter() {
        let names = call.above.over(&task.below).styles;
        let names =
            names.unwrap_or_else(|| style::built_in().iter().map(|style| style.name.clone()).collect());
        let mut plan = Plan {
            styles: Vec::new(),
            alone: is_text(&task),
            kept: Vec::new(),
            text: PathBuf::new(),
            approve,
        };
        for name in &names {
            let style = styles.get(name)?;
            if !plan.styles.contains(&style) {
                shelves.know(&style.name);
                plan.styles.push(style);
            }
        }
        plans.push(plan);
    }
    for (task, plan) in tasks.tasks.iter().zip(&mut plans) {
        if let Some(path) = task.input.path().filter(|_| !plan.alone) {
            plan.kept = shelves.texts_of(path);
            plan.text = shelves.approved(path);
        }
    }
    let kept: BTreeSet<PathBuf> =
        plans.iter().flat_map(|plan| &plan.kept).map(|kept| files::true_path(&kept.path)).collect();
    let of_its_own = |task: &Task, plan: &Plan| {
        let path = task.input.path().filter(|_| plan.alone);
        path.is_none_or(|path| !kept.contains(&files::true_path(path)))
    };
    let mut left = Vec::new();
    let mut plans = plans.into_iter();
    tasks.tasks.retain(|task| {
        let plan = plans.next().filter(|plan| of_its_own(task, plan));
        let wanted = plan.is_some();
        left.extend(plan);
        wanted
    });
    Ok(left)
}

/// Whether a finding is shown below the line of its file. What the line itself says is not said again; notes on how a
/// chart or a text was read are counted at the end.
fn is_shown(call: &Call, done: &Done<Proved>, finding: &Finding) -> bool {
    match finding.severity() {
        Severity::Error => true,
        _ if call.terminal.quiet => false,
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

/// How the charts were read, where something had to be assumed.
fn assumed(call: &Call, done: &[Done<Proved>]) -> String {
    let mut counts: BTreeMap<Code, usize> = BTreeMap::new();
    for done in done {
        let unsaid = |code| matches!(code, Code::NoApprovedText | Code::NoChartBeside | Code::NoRows);
        for finding in
            done.findings().filter(|finding| !is_shown(call, done, finding) && !unsaid(finding.code))
        {
            *counts.entry(finding.code).or_default() += 1;
        }
    }
    report::noted(&counts)
}

/// "27 of 27 charts read back in 6 styles, 12 of 13 approved texts agree".
fn summary(plans: &[Plan], done: &[Done<Proved>]) -> String {
    let mut names: Vec<&str> = Vec::new();
    for style in plans.iter().filter(|plan| !plan.alone).flat_map(|plan| &plan.styles) {
        if !names.contains(&&*style.name) {
            names.push(&style.name);
        }
    }
    let styles = match names[..] {
        [] => String::new(),
        [one] => format!(" in the style {one}"),
        [one, two] => format!(" in the styles {one} and {two}"),
        _ => format!(" in {}", number_of(names.len(), "style")),
    };
    let sum = |count: fn(&Proved) -> usize| done.iter().map(|done| count(&done.made)).sum::<usize>();
    let charts = number_of(sum(|made| made.charts), "chart");
    let mut summary = format!("{} of {charts} read back{styles}", sum(|made| made.read_back));
    let texts = sum(|made| made.texts.len());
    if texts > 0 {
        let agree = sum(|made| made.texts.iter().filter(|text| text.agrees).count());
        summary.push_str(&format!(", {agree} of {} agree", number_of(texts, "approved text")));
    }
    let written = sum(|made| usize::from(made.approved.is_some()));
    if written > 0 {
        summary.push_str(&format!(", {} written", number_of(written, "text")));
    }
    summary
}
