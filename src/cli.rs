//! The command line: one file a command, options from the table of settings, files only in [`files`].

mod batch;
mod call;
mod chart;
mod check;
mod compare;
mod explain;
mod failure;
mod files;
mod groups;
mod list;
mod names;
mod progress;
mod proof;
mod reading;
mod report;
mod run;
mod screen;
mod status;
mod stop;
mod styles;
mod tally;
mod tasks;
mod terminal;
mod write;

use std::ffi::OsString;

use clap::{ArgMatches, Command};

use status::Status;
use terminal::Terminal;

/// A command: what the help says of it, and what it does.
struct Entry {
    name: &'static str,
    about: &'static str,
    /// Adds its arguments, which takes time that the other commands need not give.
    arguments: fn(Command) -> Command,
    run: fn(&ArgMatches) -> Status,
}

/// The commands, in the order of the help. To add one: one file, one line.
const COMMANDS: &[Entry] = &[
    Entry { name: "write", about: write::ABOUT, arguments: write::arguments, run: write::run },
    Entry { name: "chart", about: chart::ABOUT, arguments: chart::arguments, run: chart::run },
    Entry { name: "check", about: check::ABOUT, arguments: check::arguments, run: check::run },
    Entry { name: "compare", about: compare::ABOUT, arguments: compare::arguments, run: compare::run },
    Entry { name: "proof", about: proof::ABOUT, arguments: proof::arguments, run: proof::run },
    Entry { name: "list", about: list::ABOUT, arguments: list::arguments, run: list::run },
    Entry { name: "explain", about: explain::ABOUT, arguments: explain::arguments, run: explain::run },
];

const EXAMPLES: &str = "\
Examples:
  longhand write scarf.xlsx                        the rows of a chart, on the screen
  longhand write charts --out rows --style uk      a folder of charts, in UK terms
  longhand chart scarf.txt --to xlsx --out drawn   a chart of written rows
  longhand check charts                            do all the counts add up?
  longhand compare scarf.xlsx scarf.txt            do these two say the same?
  longhand proof archive                           do charts and approved texts agree?
  longhand explain count-mismatch                  what a finding means, and what to do

`longhand COMMAND --help` tells all about a command. Settings that hold for a
folder of charts stand in that folder, in a file called longhand.toml.";

fn command() -> Command {
    Command::new("longhand")
        .version(env!("CARGO_PKG_VERSION"))
        .about("Turns knitting charts in spreadsheets into written rows, and proves every count.")
        .after_help(EXAMPLES)
        .subcommand_required(true)
        .arg_required_else_help(true)
        .disable_help_subcommand(true)
        .max_term_width(100)
        .subcommands(
            COMMANDS.iter().map(|entry| Command::new(entry.name).about(entry.about).defer(entry.arguments)),
        )
}

/// Carries out a call. `arguments` begin with the name of the program.
pub fn run(arguments: impl IntoIterator<Item = OsString>) -> Status {
    let matches = match command().try_get_matches_from(arguments) {
        Ok(matches) => matches,
        // Help that was asked for goes to standard output and is no failure; a wrong call goes to standard error.
        Err(error) => {
            let printed = error.print();
            return if error.use_stderr() || printed.is_err() { Status::Failed } else { Status::Well };
        }
    };
    let Some((name, matches)) = matches.subcommand() else { return Status::Failed };
    match COMMANDS.iter().find(|entry| entry.name == name) {
        Some(entry) => (entry.run)(matches),
        None => Status::Failed,
    }
}

/// Prints a result that is nothing but text.
fn print(text: &str) -> Status {
    match Terminal::plain().result(text) {
        Ok(()) => Status::Well,
        Err(failure) => Terminal::plain().fail(&failure),
    }
}
