//! `longhand compare`: do two files, or the files of two folders, say the same?

mod folders;
mod json;
mod page;
mod rows;
mod unified;

use clap::builder::{PossibleValue, PossibleValuesParser};
use clap::{Arg, ArgMatches, Command};
use longhand::compare::Verdict;
use longhand::convert::{self, Charts, Compared, Pair};
use longhand::problem::{Code, Finding, Severity};

use super::call::{self, Call, Purpose};
use super::failure::Failure;
use super::report::{self, number_of};
use super::run::{self, Done, Findings};
use super::status::Status;
use super::tasks::Tasks;
use super::terminal::Terminal;

const EXAMPLES: &str = "\
Examples:
  longhand compare scarf.xlsx scarf.txt
      does the text say what the chart shows?
  longhand compare scarf.xlsx scarf.ods --cast-on 41
      both at a width of 41 stitches
  longhand compare new.xlsx approved.xlsx --strict
      an ssk for an skp counts as a difference too
  longhand compare scarf.xlsx scarf.txt --to html > scarf.html
      a page with both beside each other, row by row
  longhand compare charts printed
      two folders: does every text in the one say what its chart in the other
      shows? And is any missing?
  longhand compare 2025 2026 --to html > changes.html
      an archive and the one of last year, on a page: what differs comes first

Every difference is told by the row, the stitch's place in the row as it is
worked (a cable or a yarn over counts one), the cell or line, and both readings.

Files of two folders go together by their names, without their endings, in the
same folders below: lace/scarf.xlsx with lace/scarf.txt. So do the results of
write and chart: scarf.B.txt is compared with chart B of scarf.xlsx, scarf.uk.txt
and scarf.xlsx.txt with scarf.xlsx. Where several go together each is compared.
A file without a partner is a difference, but for texts without rows. Every pair
has its line; at the end they are counted, and where there are many, those to be
looked at are named again. What had to be assumed in reading the files is counted
too, and stands in --report and in the forms json and html.

Exit status: 0 the same stitches, or the same fabric worked otherwise (which is
noted); 1 different, or wrong in itself; 2 the call itself could not be carried
out; 130 stopped with Ctrl-C.";

/// What the help says of it.
pub const ABOUT: &str =
    "Says whether two charts or texts, or two folders of them, are the same, and where they differ";

/// Adds its arguments.
pub fn arguments(command: Command) -> Command {
    let command = command.after_help(EXAMPLES);
    call::arguments(
        command,
        "The two files, or the two folders, to compare; - for standard input",
        Purpose::Comparison,
    )
    .mut_arg("paths", |paths| paths.num_args(2).value_names(["LEFT", "RIGHT"]))
    .arg(
        Arg::new("to")
            .long("to")
            .value_name("FORMAT")
            .default_value("text")
            .value_parser(PossibleValuesParser::new(
                FORMS.iter().map(|form| PossibleValue::new(form.name).help(form.about)),
            ))
            .help("How the two are put beside each other"),
    )
}

/// A form in which two files are put beside each other.
struct Form {
    name: &'static str,
    about: &'static str,
    /// The whole result; none for findings as every command tells them.
    document: Option<fn(&Beside<'_>) -> String>,
    /// Whether it tells the findings too.
    tells_findings: bool,
    /// The same for folders.
    folders: &'static folders::Form,
}

const TEXT: Form = Form {
    name: "text",
    about: "the findings, then the rows that differ",
    document: None,
    tells_findings: true,
    folders: &folders::TEXT,
};

/// The forms. To add one: one file, one line.
const FORMS: &[Form] = &[
    TEXT,
    Form {
        name: "unified",
        about: "all rows in one list, - and + before those that differ",
        document: Some(unified::document),
        tells_findings: false,
        folders: &unified::FOLDERS,
    },
    Form {
        name: "json",
        about: "the verdict and the findings, for programs",
        document: Some(json::document),
        tells_findings: true,
        folders: &json::FOLDERS,
    },
    Form {
        name: "html",
        about: "a page with all rows side by side",
        document: Some(page::document),
        tells_findings: true,
        folders: &page::FOLDERS,
    },
];

/// Two files beside each other.
struct Beside<'a> {
    left: &'a str,
    right: &'a str,
    /// What it comes to for all charts; none where none could be compared.
    verdict: Option<Verdict>,
    pairs: &'a [Pair],
    findings: &'a [&'a Finding],
}

/// Carries it out.
pub fn run(matches: &ArgMatches) -> Status {
    let call = match call::understood(matches, Purpose::Comparison) {
        Ok(call) => call,
        Err(failure) => return Terminal::plain().fail(&failure),
    };
    let to = matches.get_one::<String>("to").map(String::as_str);
    let form = FORMS.iter().find(|form| Some(form.name) == to).unwrap_or(&TEXT);
    compare(&call, form).unwrap_or_else(|failure| call.terminal.fail(&failure))
}

fn compare(call: &Call, form: &Form) -> Result<Status, Failure> {
    if let Some(status) = folders::compare(call, form.folders)? {
        return Ok(status);
    }
    let tasks = Tasks::find(call, None)?;
    // A file is compared with itself where both names are its own.
    let (Some(left), Some(right)) = (tasks.tasks.first(), tasks.tasks.last()) else {
        return Err(Failure::new("There is nothing to compare.", "Name two files."));
    };
    if tasks.tasks.len() < 2 && left.input.path().is_none() {
        return Err(Failure::new("Standard input can't be both sides.", "Name a file for one of the two."));
    }
    let (one, two) = match (left.input.read(), right.input.read()) {
        (Ok(one), Ok(two)) => (one, two),
        (one, two) => {
            return Err(Failure::from(
                [one.err(), two.err()].into_iter().flatten().collect::<Vec<Finding>>(),
            ));
        }
    };
    let names = [&left, &right].map(|task| report::called(&task.input.file));
    let Compared { left, right, pairs, findings } = run::compared(&left, || {
        convert::compare(&run::source(call, &left, &one), &run::source(call, &right, &two))
    });
    let same = tasks.tasks.len() < 2;
    let done = |charts: Charts| Done { read: run::could_be_read(&charts), charts, made: () };
    let (left, right) = (run::wanted(left), run::wanted(right));
    let (left, right) = (done(left), done(if same { Charts::default() } else { right }));
    let readable = left.read && right.read;
    let told = Done { charts: Charts { charts: Vec::new(), findings }, read: readable, made: () };
    let done = [left, right, told];
    let found = run::gather(call, &tasks, &done);
    let text = match form.document {
        Some(document) => {
            let worst = pairs.iter().map(|pair| pair.verdict).max();
            // A chart that only one of the two has is a difference of the files.
            let alone = found.all.iter().any(|finding| finding.code == Code::ChartUnmatched);
            let verdict = if alone { Some(Verdict::Different) } else { worst };
            let [left, right] = names;
            if !form.tells_findings {
                let wrong = found.all.iter().copied().filter(|finding| !is_in_rows(finding));
                call.terminal.say(&report::findings(wrong));
            }
            document(&Beside { left, right, verdict, pairs: &pairs, findings: &found.all })
        }
        None => text(call, &tasks, &pairs, &found),
    };
    call.terminal.result(&text)?;
    found.report(call, &tasks)?;
    Ok(if readable { found.status } else { Status::Failed })
}

/// Whether rows beside each other show what a finding says, or it need not be said there.
fn is_in_rows(finding: &Finding) -> bool {
    let shown = matches!(finding.code, Code::StitchDiffers | Code::RowUnmatched | Code::PatternDiffers);
    shown || finding.severity() != Severity::Error
}

/// The findings, the rows that differ, and what it comes to.
fn text(call: &Call, tasks: &Tasks, pairs: &[Pair], found: &Findings<'_>) -> String {
    let mut text = report::findings(found.shown(call));
    if call.terminal.quiet {
        return text;
    }
    for pair in pairs {
        text.push_str(&verdict(pair));
        text.push_str(&rows::differing(pair));
    }
    let what = format!("{} compared", number_of(pairs.len(), "chart"));
    text.push_str(&found.closing(tasks.tasks.len(), &what));
    text
}

/// "same stitches: Sand Ripple, 24 rows".
fn verdict(pair: &Pair) -> String {
    let words = folders::Class::from(pair.verdict).words();
    format!("{words}: {}, {}\n", report::clean(&pair.title), number_of(pair.length, "row"))
}
