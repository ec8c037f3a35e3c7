//! `longhand write`: charts to written rows; and the machinery it shares with `chart`.

mod plan;
mod results;
mod to_folder;
mod to_screen;
mod underway;

use std::path::{Path, PathBuf};

use clap::{Arg, ArgAction, ArgMatches, Command, value_parser};
use longhand::convert::Format;

use super::call::{self, Call, Purpose};
use super::failure::Failure;
use super::status::Status;
use super::tasks::Tasks;
use super::terminal::Terminal;
use plan::{Plans, gives};
use to_folder::{Earlier, to_folder};
use to_screen::to_screen;

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
not be carried out; 130 stopped with Ctrl-C.";

/// What the help says of it.
pub const ABOUT: &str = "Writes charts as rows";

/// Adds its arguments.
pub fn arguments(command: Command) -> Command {
    let command = command.after_help(EXAMPLES);
    of_results(command, "Files or folders of charts; - for standard input", Purpose::Rows)
}

/// Carries it out.
pub fn run(matches: &ArgMatches) -> Status {
    carry_out(matches, Purpose::Rows)
}

/// Adds the arguments of a command that gives results.
pub fn of_results(command: Command, paths: &'static str, purpose: Purpose) -> Command {
    let out =
        Arg::new("out").long("out").value_name("DIR").value_parser(value_parser!(PathBuf)).help(
            "Writes to files in this folder, named after what they come from; without it, to the screen",
        );
    let force = Arg::new("force")
        .long("force")
        .action(ArgAction::SetTrue)
        .help("With --out, does inputs again that have not changed since the last run");
    let recheck = Arg::new("recheck")
        .long("recheck")
        .action(ArgAction::SetTrue)
        .help("With --out, tells by their contents which inputs have changed, not by size and time");
    call::arguments(command.arg(out).arg(force).arg(recheck), paths, purpose)
}

/// Carries out a command that gives results.
pub fn carry_out(matches: &ArgMatches, purpose: Purpose) -> Status {
    let call = match call::understood(matches, purpose) {
        Ok(call) => call,
        Err(failure) => return Terminal::plain().fail(&failure),
    };
    let out = matches.get_one::<PathBuf>("out").map(PathBuf::as_path);
    let earlier = match (matches.get_flag("force"), matches.get_flag("recheck")) {
        (true, _) => Earlier::Ignored,
        (false, true) => Earlier::Rechecked,
        (false, false) => Earlier::Trusted,
    };
    write(&call, purpose, out, earlier).unwrap_or_else(|failure| call.terminal.fail(&failure))
}

fn write(call: &Call, purpose: Purpose, out: Option<&Path>, earlier: Earlier) -> Result<Status, Failure> {
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
    let tasks = Tasks::find(call, out)?;
    let plans = Plans::of(call, purpose, &tasks)?;
    match out {
        Some(out) => to_folder(call, &tasks, &plans, out, earlier),
        None => to_screen(call, &tasks, &plans),
    }
}
