//! `longhand write`: charts to written rows; and the machinery it shares with `chart`.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use clap::{Arg, ArgMatches, Command, value_parser};
use longhand::convert::{self, Chart, Charts, Format};
use longhand::place::column_letters;
use longhand::problem::Finding;
use longhand::settings::Settings;
use longhand::style::Style;

use super::call::{self, Call, Purpose};
use super::failure::Failure;
use super::files::{Saved, Store};
use super::names::{Wanted, names};
use super::report::{self, number_of};
use super::run::{self, Done, Findings, Tasks};
use super::status::Status;
use super::styles::Styles;
use super::terminal::Terminal;

const EXAMPLES: &str = "\
Examples:
  longhand write scarf.xlsx
      the rows of a chart, on the screen
  longhand write scarf.xlsx --style spelled-out --cast-on 41
      for a screen reader, worked on 41 stitches
  longhand write charts --out rows --style abbreviated --style uk
      a folder of charts, in two styles, into the folder `rows`
  longhand write scarf.xlsx --to json
      the stitches of every row, for other programs
  longhand write shawl.csv --return-rows \"K3, p to last 3 sts, k3\"
      a chart of right-side rows, with the row that follows each of them

A chart with an error is not written; all others are. What was found is said on
standard error.
Exit status: 0 all well; 1 something in a chart is wrong; 2 the call itself could
not be carried out.";

/// The command.
pub fn command() -> Command {
    let command = Command::new("write").about("Writes charts as rows").after_help(EXAMPLES);
    arguments(command, "Files or folders of charts; - for standard input", Purpose::Rows)
}

/// Carries it out.
pub fn run(matches: &ArgMatches) -> Status {
    carry_out(matches, Purpose::Rows)
}

/// Adds the arguments of a command that gives results.
pub fn arguments(command: Command, paths: &'static str, purpose: Purpose) -> Command {
    let out =
        Arg::new("out").long("out").value_name("DIR").value_parser(value_parser!(PathBuf)).help(
            "Writes to files in this folder, named after what they come from; without it, to the screen",
        );
    call::arguments(command.arg(out), paths, purpose)
}

/// Carries out a command that gives results.
pub fn carry_out(matches: &ArgMatches, purpose: Purpose) -> Status {
    let call = match call::understood(matches, purpose) {
        Ok(call) => call,
        Err(failure) => return Terminal::plain().fail(&failure),
    };
    let out = matches.get_one::<PathBuf>("out").map(PathBuf::as_path);
    write(&call, purpose, out).unwrap_or_else(|failure| call.terminal.fail(&failure))
}

/// Whether a command gives this format.
fn gives(purpose: Purpose, format: Format) -> bool {
    match format {
        Format::Rows(_) => purpose == Purpose::Rows,
        Format::Chart(_) => purpose == Purpose::Charts,
        Format::Json => true,
    }
}

/// How one input is to be written.
#[derive(Clone)]
struct Plan {
    styles: Vec<Arc<Style>>,
    formats: Vec<Format>,
}

fn write(call: &Call, purpose: Purpose, out: Option<&Path>) -> Result<Status, Failure> {
    let given = call
        .above
        .to
        .iter()
        .flatten()
        .find(|name| Format::named(name).is_some_and(|format| !gives(purpose, format)));
    if let Some(given) = given {
        let formats: Vec<&str> =
            Format::all().filter(|format| gives(purpose, *format)).map(Format::name).collect();
        let (what, other) = if purpose == Purpose::Rows { ("rows", "chart") } else { ("charts", "write") };
        return Err(Failure::new(
            format!("The option --to can't be \"{given}\" here."),
            format!("Formats of {what} are {}; `longhand {other}` gives the others.", formats.join(", ")),
        ));
    }
    let tasks = run::tasks(call, out)?;
    let plans = plans(call, purpose, &tasks)?;
    match out {
        Some(out) => to_files(call, &tasks, &plans, out),
        None => to_screen(call, &tasks, &plans),
    }
}

/// The styles and formats for each input.
fn plans(call: &Call, purpose: Purpose, tasks: &Tasks) -> Result<Vec<Plan>, Failure> {
    let mut styles = Styles::default();
    let plans = tasks.tasks.iter().map(|task| {
        let settings: Settings = call.above.over(&task.below);
        // A chart has no wording: there the style only has to be some one.
        let names = settings.styles.filter(|_| purpose == Purpose::Rows);
        let names = names.unwrap_or_else(|| vec!["abbreviated".to_owned()]);
        let mut plan = Plan { styles: Vec::new(), formats: Vec::new() };
        for name in &names {
            let style = styles.get(name)?;
            if !plan.styles.contains(&style) {
                plan.styles.push(style);
            }
        }
        // A settings file may name formats of rows and of charts; each command gives its own.
        let usual = if purpose == Purpose::Rows { "text" } else { "csv" };
        let to = settings.to.iter().flatten().filter_map(|name| Format::named(name));
        for format in to.filter(|format| gives(purpose, *format)) {
            if !plan.formats.iter().any(|other| other.name() == format.name()) {
                plan.formats.push(format);
            }
        }
        if plan.formats.is_empty() {
            plan.formats.extend(Format::named(usual));
        }
        Ok(plan)
    });
    plans.collect()
}

/// Writes to standard output: one style, one format, no folder.
fn to_screen(call: &Call, tasks: &Tasks, plans: &[Plan]) -> Result<Status, Failure> {
    let needs_out = |what: &str| {
        Failure::new(
            format!("{what} can't be written to the screen."),
            "Name a folder for the results: --out rows.",
        )
    };
    if tasks.folder {
        return Err(needs_out("The charts of a folder"));
    }
    let mut pairs: Vec<(&Arc<Style>, Format)> = Vec::new();
    for plan in plans {
        for (style, &format) in
            plan.styles.iter().flat_map(|style| plan.formats.iter().map(move |to| (style, to)))
        {
            if !pairs.iter().any(|(known, to)| *known == style && to.name() == format.name()) {
                pairs.push((style, format));
            }
        }
    }
    let [(style, format)] = pairs[..] else { return Err(needs_out("Several styles or formats")) };
    let mut done = run::convert(call, &tasks.tasks, |_, _| ())?;
    let charts: Vec<&Chart> =
        done.iter().flat_map(|done| &done.charts.charts).filter(|chart| chart.sound().is_some()).collect();
    let mut written = charts.len();
    if let Format::Chart(sheet) = format {
        let (bytes, findings) = convert::drawn(&charts, sheet);
        written -= findings.len();
        if let Some(bytes) = bytes {
            call.terminal.bytes(&bytes, sheet.is_text())?;
        }
        let sound = done.iter_mut().flat_map(|done| &mut done.charts.charts);
        let mut sound: Vec<&mut Chart> = sound.filter(|chart| chart.sound().is_some()).collect();
        for (index, finding) in findings {
            if let Some(chart) = sound.get_mut(index) {
                chart.findings.push(finding);
            }
        }
    } else if !charts.is_empty() {
        call.terminal.result(&convert::output(&charts, format, style))?;
    }
    let found = run::gather(call, tasks, &done);
    finish(call, tasks, &found, done.len(), &number_of(written, "chart"))
}

/// What a file is to hold, and what it is to be called after.
struct Made {
    /// The number of its chart.
    index: usize,
    chart: Option<Arc<str>>,
    style: Option<Arc<Style>>,
    format: Format,
    bytes: Result<Vec<u8>, Finding>,
}

/// Writes to files in a folder.
fn to_files(call: &Call, tasks: &Tasks, plans: &[Plan], out: &Path) -> Result<Status, Failure> {
    let mut store = Store::open(out, call.overwrite, tasks.paths())?;
    let mut done = run::convert(call, &tasks.tasks, |index, charts| match plans.get(index) {
        Some(plan) => results(charts, plan),
        None => Vec::new(),
    })?;
    for done in &mut done {
        for made in &done.made {
            if let (Some(chart), Err(finding)) = (done.charts.charts.get_mut(made.index), &made.bytes) {
                chart.findings.push(finding.clone());
            }
        }
    }
    let found = run::gather(call, tasks, &done);
    let files = named(tasks, &done);
    let saved = store.save(&files);
    let mut status = found.status;
    let mut written = 0;
    for saved in &saved {
        match saved {
            Saved::Written => written += 1,
            Saved::Refused(failure) => status = call.terminal.fail(failure),
        }
    }
    let what = format!("{} in {}", number_of(written, "file"), out.display());
    Ok(status.max(finish(call, tasks, &found, done.len(), &what)?))
}

/// The results of an input: each whole chart in each style and format.
fn results(charts: &Charts, plan: &Plan) -> Vec<Made> {
    let mut results = Vec::new();
    let several = charts.charts.len() > 1;
    for (index, chart) in charts.charts.iter().enumerate().filter(|(_, chart)| chart.sound().is_some()) {
        // A lone chart needs no letter, even where its JSON brings one along; in a list each has its own.
        let letter = chart.letter.clone().unwrap_or_else(|| column_letters(index as u32).into());
        for style in &plan.styles {
            for &format in &plan.formats {
                results.extend(bytes(chart, format, style).map(|bytes| Made {
                    index,
                    chart: several.then(|| Arc::clone(&letter)),
                    style: (plan.styles.len() > 1).then(|| Arc::clone(style)),
                    format,
                    bytes,
                }));
            }
        }
    }
    results
}

/// One chart in one style and format; nothing where it has been said before why not.
fn bytes(chart: &Chart, format: Format, style: &Style) -> Option<Result<Vec<u8>, Finding>> {
    let Format::Chart(sheet) = format else {
        return Some(Ok(convert::output(&[chart], format, style).into_bytes()));
    };
    match convert::drawn(&[chart], sheet) {
        (Some(bytes), _) => Some(Ok(bytes)),
        (None, mut findings) => findings.pop().map(|(_, finding)| Err(finding)),
    }
}

/// Names the files of the results.
fn named(tasks: &Tasks, done: &[Done<Vec<Made>>]) -> Vec<(PathBuf, Vec<u8>)> {
    let inputs: Vec<&Path> = tasks.tasks.iter().map(|task| task.input.below.as_path()).collect();
    let results: Vec<(usize, &Made)> = done
        .iter()
        .enumerate()
        .flat_map(|(input, done)| done.made.iter().map(move |made| (input, made)))
        .filter(|(_, made)| made.bytes.is_ok())
        .collect();
    let wanted: Vec<Wanted> = results
        .iter()
        .map(|(input, result)| Wanted {
            below: inputs.get(*input).copied().unwrap_or(Path::new("chart")),
            input: *input,
            chart: result.chart.as_deref(),
            style: result.style.as_ref().map(|style| style.name.as_str()),
            ending: result.format.ending(),
        })
        .collect();
    let names = names(&inputs, &wanted);
    let bytes = results.into_iter().map(|(_, result)| result.bytes.clone().unwrap_or_default());
    names.into_iter().zip(bytes).collect()
}

/// Says what was found, on standard error, and writes the report.
fn finish(
    call: &Call,
    tasks: &Tasks,
    found: &Findings,
    files: usize,
    written: &str,
) -> Result<Status, Failure> {
    let shown: Vec<&Finding> = found.shown(call).collect();
    call.terminal.say(&report::findings(shown.into_iter()));
    if !call.terminal.quiet {
        call.terminal.say(&found.closing(files, &format!("{written} written")));
    }
    found.report(call, tasks)?;
    Ok(found.status)
}
