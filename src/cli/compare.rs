//! `longhand compare`: do two files say the same?

use clap::{ArgMatches, Command};
use longhand::compare::Verdict;
use longhand::convert::{self, Charts, Compared};
use longhand::problem::Finding;

use super::call::{self, Call, Purpose};
use super::failure::Failure;
use super::report::{self, number_of};
use super::run::{self, Done};
use super::status::Status;
use super::terminal::Terminal;

const EXAMPLES: &str = "\
Examples:
  longhand compare scarf.xlsx scarf.txt
      does the text say what the chart shows?
  longhand compare scarf.xlsx scarf.ods --cast-on 41
      both at a width of 41 stitches
  longhand compare new.xlsx approved.xlsx --strict
      an ssk for an skp counts as a difference too

Every difference is told by the row, the stitch's place in the row as it is
worked (a cable or a yarn over counts one), the cell or line, and both readings.
Exit status: 0 the same stitches, or the same fabric worked otherwise (which is
noted); 1 different, or wrong in itself; 2 the call itself could not be carried
out.";

/// The command.
pub fn command() -> Command {
    let command = Command::new("compare")
        .about("Says whether two charts or texts are the same, and where they differ")
        .after_help(EXAMPLES);
    call::arguments(command, "The two files to compare; - for standard input", Purpose::Comparison)
        .mut_arg("paths", |paths| paths.num_args(2).value_names(["LEFT", "RIGHT"]))
}

/// Carries it out.
pub fn run(matches: &ArgMatches) -> Status {
    let call = match call::understood(matches, Purpose::Comparison) {
        Ok(call) => call,
        Err(failure) => return Terminal::plain().fail(&failure),
    };
    compare(&call).unwrap_or_else(|failure| call.terminal.fail(&failure))
}

fn compare(call: &Call) -> Result<Status, Failure> {
    let tasks = run::tasks(call, None)?;
    if tasks.folder {
        return Err(Failure::new(
            "A folder can't be compared.",
            "Name two files, or a file and - for standard input.",
        ));
    }
    // A file is compared with itself where both names are its own.
    let (Some(left), Some(right)) = (tasks.tasks.first(), tasks.tasks.last()) else {
        return Err(Failure::new("There is nothing to compare.", "Name two files."));
    };
    if tasks.tasks.len() < 2 && left.input.path.is_none() {
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
    let Compared { left, right, pairs, findings } =
        convert::compare(&run::source(call, left, &one), &run::source(call, right, &two));
    let same = tasks.tasks.len() < 2;
    let done = |charts: Charts| Done { read: run::could_be_read(&charts), charts, made: () };
    let (left, right) = (done(left), done(if same { Charts::default() } else { right }));
    let readable = left.read && right.read;
    let told = Done { charts: Charts { charts: Vec::new(), findings }, read: readable, made: () };
    let done = [left, right, told];
    let found = run::gather(call, &tasks, &done);
    let mut text = report::findings(found.shown(call));
    if !call.terminal.quiet {
        for pair in &pairs {
            text.push_str(&verdict(pair));
        }
        let what = format!("{} compared", number_of(pairs.len(), "chart"));
        text.push_str(&found.closing(tasks.tasks.len(), &what));
    }
    call.terminal.result(&text)?;
    found.report(call, &tasks)?;
    Ok(if readable { found.status } else { Status::Failed })
}

/// "same stitches: Sand Ripple, 24 rows".
fn verdict((title, rows, verdict): &(String, usize, Verdict)) -> String {
    let word = match verdict {
        Verdict::SameStitches => "same stitches",
        Verdict::SameFabric => "same fabric, worked otherwise",
        Verdict::Different => "different",
    };
    format!("{word}: {}, {}\n", report::clean(title), number_of(*rows, "row"))
}
