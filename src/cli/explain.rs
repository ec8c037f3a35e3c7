//! `longhand explain`: the page of a problem.

use clap::{Arg, ArgMatches, Command};
use longhand::nearest::nearest;
use longhand::problem::Code;

use super::failure::Failure;
use super::status::Status;
use super::terminal::Terminal;

/// What the help says of it.
pub const ABOUT: &str = "Explains a problem: what it means, an example, what to do";

/// Adds its arguments.
pub fn arguments(command: Command) -> Command {
    command.arg(Arg::new("code").required(true).value_name("CODE").help("A problem, such as count-mismatch"))
}

/// Carries it out.
pub fn run(matches: &ArgMatches) -> Status {
    let given = matches.get_one::<String>("code").map(String::as_str).unwrap_or_default();
    match Code::named(&given.trim().to_lowercase()) {
        Some(code) => super::print(&format!("{}\n", code.page().trim_end())),
        None => {
            let near = nearest(given, Code::ALL.iter().map(|code| code.name()));
            let help = match near {
                Some(near) => format!("Did you mean {near}? `longhand list problems` names them all."),
                None => "`longhand list problems` names them all.".to_owned(),
            };
            Terminal::plain().fail(&Failure::new(format!("There is no problem called {given}."), help))
        }
    }
}
