//! `longhand write`: charts to written rows.

use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use clap::{Arg, ArgMatches, Command, value_parser};
use longhand::convert::{self, Chart, Charts, Format};
use longhand::place::column_letters;
use longhand::problem::Finding;
use longhand::settings::Settings;
use longhand::style::{self, Style};

use super::call::{self, Call};
use super::failure::Failure;
use super::files::{self, Saved, Store};
use super::names::{Wanted, names};
use super::report::{self, number_of};
use super::run::{self, Done, Findings, Tasks};
use super::status::Status;
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
    let command = Command::new("write").about("Writes charts as rows").after_help(EXAMPLES).arg(
        Arg::new("out")
            .long("out")
            .value_name("DIR")
            .value_parser(value_parser!(PathBuf))
            .help("Writes to files in this folder, named after the charts; without it, to the screen"),
    );
    call::arguments(command, "Files or folders of charts; - for standard input", true)
}

/// Carries it out.
pub fn run(matches: &ArgMatches) -> Status {
    let call = match call::understood(matches, true) {
        Ok(call) => call,
        Err(failure) => return Terminal::plain().fail(&failure),
    };
    let out = matches.get_one::<PathBuf>("out").map(PathBuf::as_path);
    write(&call, out).unwrap_or_else(|failure| call.terminal.fail(&failure))
}

/// How the rows of one input are to be written.
#[derive(Clone)]
struct Plan {
    styles: Vec<Arc<Style>>,
    formats: Vec<Format>,
}

fn write(call: &Call, out: Option<&Path>) -> Result<Status, Failure> {
    let tasks = run::tasks(call, out)?;
    let plans = plans(call, &tasks)?;
    match out {
        Some(out) => to_files(call, &tasks, &plans, out),
        None => to_screen(call, &tasks, &plans),
    }
}

/// The styles and formats for each input.
fn plans(call: &Call, tasks: &Tasks) -> Result<Vec<Plan>, Failure> {
    let mut styles = Styles::default();
    let plans = tasks.tasks.iter().map(|task| {
        let settings: Settings = call.above.over(&task.below);
        let names = settings.styles.unwrap_or_else(|| vec!["abbreviated".to_owned()]);
        let to = settings.to.unwrap_or_else(|| vec!["text".to_owned()]);
        let mut plan = Plan { styles: Vec::new(), formats: Vec::new() };
        for name in &names {
            let style = styles.get(name)?;
            if !plan.styles.contains(&style) {
                plan.styles.push(style);
            }
        }
        for name in &to {
            // The settings take no names that are no format.
            let Some(format) = Format::named(name) else { continue };
            if !plan.formats.iter().any(|other| other.name() == format.name()) {
                plan.formats.push(format);
            }
        }
        Ok(plan)
    });
    plans.collect()
}

/// The styles asked for, each read once.
#[derive(Default)]
struct Styles {
    known: HashMap<String, Arc<Style>>,
}

impl Styles {
    fn get(&mut self, name: &str) -> Result<Arc<Style>, Failure> {
        if let Some(style) = self.known.get(name) {
            return Ok(Arc::clone(style));
        }
        let style = match style::named(name) {
            Some(style) => style.clone(),
            // The settings take no other names than those of built-in styles and of files.
            None => {
                let text = files::text(Path::new(name)).map_err(|finding| Failure::from(vec![finding]))?;
                Style::parse(&text, &Arc::from(name)).map_err(|finding| Failure::from(vec![finding]))?
            }
        };
        let style = Arc::new(style);
        self.known.insert(name.to_owned(), Arc::clone(&style));
        Ok(style)
    }
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
    let done = run::convert(call, &tasks.tasks, |_, _| ())?;
    let charts: Vec<&Chart> =
        done.iter().flat_map(|done| &done.charts.charts).filter(|chart| chart.sound().is_some()).collect();
    let found = run::gather(call, tasks, &done);
    if !charts.is_empty() {
        call.terminal.result(&convert::output(&charts, format, style))?;
    }
    finish(call, tasks, &found, done.len(), &number_of(charts.len(), "chart"))
}

/// A text and what its file is to be called after.
struct Text {
    chart: Option<Arc<str>>,
    style: Option<Arc<Style>>,
    format: Format,
    text: String,
}

/// Writes to files in a folder.
fn to_files(call: &Call, tasks: &Tasks, plans: &[Plan], out: &Path) -> Result<Status, Failure> {
    let mut store = Store::open(out, call.overwrite, tasks.paths())?;
    let done = run::convert(call, &tasks.tasks, |index, charts| match plans.get(index) {
        Some(plan) => results(charts, plan),
        None => Vec::new(),
    })?;
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

/// The texts of an input: each whole chart in each style and format.
fn results(charts: &Charts, plan: &Plan) -> Vec<Text> {
    let mut results = Vec::new();
    let several = charts.charts.len() > 1;
    for (index, chart) in charts.charts.iter().enumerate().filter(|(_, chart)| chart.sound().is_some()) {
        // A lone chart needs no letter, even where its JSON brings one along; in a list each has its own.
        let letter = chart.letter.clone().unwrap_or_else(|| column_letters(index as u32).into());
        for style in &plan.styles {
            for &format in &plan.formats {
                results.push(Text {
                    chart: several.then(|| Arc::clone(&letter)),
                    style: (plan.styles.len() > 1).then(|| Arc::clone(style)),
                    format,
                    text: convert::output(&[chart], format, style),
                });
            }
        }
    }
    results
}

/// Names the files of the texts.
fn named(tasks: &Tasks, done: &[Done<Vec<Text>>]) -> Vec<(PathBuf, String)> {
    let inputs: Vec<&Path> = tasks.tasks.iter().map(|task| task.input.below.as_path()).collect();
    let results: Vec<(usize, &Text)> = done
        .iter()
        .enumerate()
        .flat_map(|(input, done)| done.made.iter().map(move |made| (input, made)))
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
    names.into_iter().zip(results).map(|(name, (_, result))| (name, result.text.clone())).collect()
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
