//! `longhand list`: what there is, one entry a line, its name first.

use clap::builder::{PossibleValue, PossibleValuesParser};
use clap::{Arg, ArgMatches, Command};
use longhand::problem::Code;
use longhand::stitch::{Stitches, Terms};
use longhand::{style, terms};

use super::status::Status;

/// Names, and what each is.
type Entries = Vec<(String, String)>;

/// Something that can be listed.
struct List {
    name: &'static str,
    about: &'static str,
    entries: fn() -> Entries,
}

const LISTS: &[List] = &[
    List { name: "styles", about: "house styles of written rows", entries: styles },
    List { name: "stitches", about: "the stitches longhand knows", entries: stitches },
    List { name: "terms", about: "vocabularies of written rows", entries: vocabularies },
    List { name: "problems", about: "what longhand may find in a chart", entries: problems },
];

/// What the help says of it.
pub const ABOUT: &str = "Lists styles, stitches, terms or problems, one a line";

/// Adds its arguments.
pub fn arguments(command: Command) -> Command {
    let names = LISTS.iter().map(|list| PossibleValue::new(list.name).help(list.about));
    command.arg(
        Arg::new("what")
            .required(true)
            .value_name("WHAT")
            .value_parser(PossibleValuesParser::new(names.collect::<Vec<_>>()))
            .help("What to list"),
    )
}

/// Carries it out.
pub fn run(matches: &ArgMatches) -> Status {
    let what = matches.get_one::<String>("what").map(String::as_str);
    let entries = LISTS.iter().find(|list| Some(list.name) == what).map(|list| (list.entries)());
    super::print(&aligned(&entries.unwrap_or_default()))
}

/// Names, then what they are, in a column of its own.
fn aligned(entries: &[(String, String)]) -> String {
    let width = entries.iter().map(|(name, _)| name.chars().count()).max().unwrap_or_default();
    entries.iter().map(|(name, about)| format!("{name:width$}  {about}\n")).collect()
}

fn styles() -> Entries {
    style::built_in().iter().map(|style| (style.name.clone(), style.about.clone())).collect()
}

fn vocabularies() -> Entries {
    terms::built_in().iter().map(|terms| (terms.name.clone(), terms.about.clone())).collect()
}

fn stitches() -> Entries {
    Stitches::every()
        .filter(|(_, stitch)| stitch.form_of.is_none())
        .map(|(_, stitch)| {
            let long = &stitch.words(Terms::Us).long;
            let makes = stitch.makes;
            let about = format!("{long}: uses {}, makes {makes}", stitch.uses);
            (stitch.name.clone(), about)
        })
        .collect()
}

fn problems() -> Entries {
    Code::ALL
        .iter()
        .map(|code| (code.name().to_owned(), format!("{}: {}", code.severity(), code.title())))
        .collect()
}
