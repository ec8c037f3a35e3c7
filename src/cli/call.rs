//! What the commands that read charts have in common: paths, formats, settings as options, how findings are shown.

use std::path::PathBuf;

use anstream::ColorChoice;
use clap::builder::PossibleValuesParser;
use clap::{Arg, ArgAction, ArgMatches, Command, value_parser};
use longhand::problem::{Finding, Severity};
use longhand::read::{Format, Holds};
use longhand::settings::{self, Entry, Section, Settings, TABLE};

use super::failure::Failure;
use super::report::Report;
use super::terminal::Terminal;

/// What a command takes from a folder, besides patterns of longhand's own.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Reads {
    /// Charts.
    pub cells: bool,
    /// Written rows.
    pub lines: bool,
}

/// What a command is for, which decides what it reads and which settings are its options.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Purpose {
    /// Writes rows from charts.
    Rows,
    /// Draws charts from rows.
    Charts,
    /// Proves charts, and writes nothing.
    Check,
    /// Compares two files or folders, and writes nothing.
    Comparison,
    /// Proves an archive of charts and the texts beside them.
    Proof,
}

impl Purpose {
    const fn reads(self) -> Reads {
        match self {
            Self::Rows => Reads { cells: true, lines: false },
            Self::Charts => Reads { cells: false, lines: true },
            Self::Check | Self::Comparison | Self::Proof => Reads { cells: true, lines: true },
        }
    }

    /// What its inputs are called in the help.
    const fn input(self) -> &'static str {
        match self {
            Self::Rows => "CHART",
            Self::Check | Self::Comparison | Self::Proof => "PATH",
            Self::Charts => "TEXT",
        }
    }

    /// Whether it has an option for this setting.
    fn has(self, entry: &Entry) -> bool {
        // The vocabulary of written rows comes with the commands that read them.
        let wanted = match self {
            Self::Rows => entry.section != Section::Read,
            // A chart has no wording.
            Self::Charts => entry.name != "style",
            // Its texts are those of the styles.
            Self::Proof => entry.section != Section::Write || entry.name == "style",
            Self::Check | Self::Comparison => entry.section != Section::Write,
        };
        wanted && entry.in_file()
    }
}

/// A call, understood.
pub struct Call {
    /// What it takes from folders.
    pub reads: Reads,
    /// The files and folders to read; `-` for standard input.
    pub paths: Vec<PathBuf>,
    /// The format to read them as, where the call says so.
    pub from: Option<Format>,
    /// A settings file named in the call.
    pub settings: Option<PathBuf>,
    /// Settings given as options.
    pub above: Settings,
    /// How many files to work on at once; `None` for as many as the machine has cores.
    pub jobs: Option<usize>,
    /// The report to write.
    pub report: Option<Report>,
    /// Whether notes and warnings count as something wrong.
    pub strict: bool,
    /// Whether files that are not longhand's own may be replaced.
    pub overwrite: bool,
    /// Whether charts are to say how they were understood.
    pub explain: bool,
    /// How to speak.
    pub terminal: Terminal,
}

impl Call {
    /// Whether a finding is shown: one that is quiet shows what is wrong alone.
    pub fn shows(&self, finding: &Finding) -> bool {
        !self.terminal.quiet || self.strict || finding.severity() == Severity::Error
    }
}

/// Adds the arguments to a command: `paths` says what it is given.
pub fn arguments(command: Command, paths: &'static str, purpose: Purpose) -> Command {
    let command = command
        .arg(
            Arg::new("paths")
                .required(true)
                .num_args(1..)
                .value_name(purpose.input())
                .value_parser(value_parser!(PathBuf))
                .help(paths),
        )
        .arg(
            Arg::new("from")
                .long("from")
                .value_name("FORMAT")
                .value_parser(PossibleValuesParser::new(formats(purpose)))
                .help("Reads every file as this format, instead of telling it by its contents"),
        )
        .arg(
            Arg::new("settings")
                .long("settings")
                .value_name("FILE")
                .value_parser(value_parser!(PathBuf))
                .help("A settings file that wins over every longhand.toml"),
        )
        .arg(
            Arg::new("report").long("report").value_name("FILE").value_parser(value_parser!(PathBuf)).help(
                "Writes all findings to a file as well: .html (a web page), .csv or .json by its ending",
            ),
        )
        .arg(
            Arg::new("overwrite")
                .long("overwrite")
                .action(ArgAction::SetTrue)
                .help("Replaces files that longhand did not write, or that were edited since"),
        )
        .arg(
            Arg::new("strict")
                .long("strict")
                .action(ArgAction::SetTrue)
                .help("Ends with exit status 1 for notes and warnings too"),
        )
        .arg(
            Arg::new("quiet")
                .long("quiet")
                .short('q')
                .action(ArgAction::SetTrue)
                .help("Says nothing but what is wrong: errors, with --strict warnings and notes too"),
        )
        .arg(
            Arg::new("color")
                .long("color")
                .value_name("WHEN")
                .default_value("auto")
                .value_parser(PossibleValuesParser::new(["auto", "always", "never"]))
                .help("Colours findings on a terminal, always, or never"),
        )
        .arg(
            Arg::new("jobs")
                .long("jobs")
                .value_name("N")
                .value_parser(value_parser!(u32).range(1..=1024))
                .help("How many files to work on at once [default: all cores]"),
        );
    options(purpose).fold(command, |command, entry| command.arg(option(entry)))
}

fn options(purpose: Purpose) -> impl Iterator<Item = &'static Entry> {
    TABLE.iter().filter(move |entry| purpose.has(entry))
}

/// The option of a setting, named like it.
fn option(entry: &'static Entry) -> Arg {
    let argument = Arg::new(entry.name).long(entry.name).value_name(entry.blank);
    let heading = match entry.section {
        Section::Write => "What is written",
        _ => "How the chart is to be understood (wins over the sheet and longhand.toml)",
    };
    let mut about = entry.about.to_owned();
    if let Some(first) = about.get(..1).map(str::to_uppercase) {
        about.replace_range(..1, &first);
    }
    if entry.many {
        argument.action(ArgAction::Append).help(format!("{about}; may be given again"))
    } else {
        argument.help(about)
    }
    .help_heading(heading)
}

fn formats(purpose: Purpose) -> Vec<&'static str> {
    let lines = purpose.reads().lines;
    Format::all().filter(|format| lines || format.holds() != Holds::Lines).map(Format::name).collect()
}

/// Understands the arguments.
///
/// # Errors
/// When an option has a value that it can't have.
pub fn understood(matches: &ArgMatches, purpose: Purpose) -> Result<Call, Failure> {
    let color = match matches.get_one::<String>("color").map(String::as_str) {
        Some("always") => ColorChoice::Always,
        Some("never") => ColorChoice::Never,
        _ => ColorChoice::Auto,
    };
    let mut above = Settings::default();
    for entry in options(purpose) {
        let Some(values) = matches.get_many::<String>(entry.name) else { continue };
        let values: Vec<&str> = values.map(String::as_str).collect();
        entry.set(&mut above, &values).map_err(|bad| wrong_option(entry, &bad))?;
    }
    let report = matches.get_one::<PathBuf>("report").map(|path| Report::named(path)).transpose()?;
    Ok(Call {
        reads: purpose.reads(),
        paths: matches.get_many::<PathBuf>("paths").into_iter().flatten().cloned().collect(),
        from: matches.get_one::<String>("from").and_then(|name| Format::named(name)),
        settings: matches.get_one::<PathBuf>("settings").cloned(),
        above,
        jobs: matches.get_one::<u32>("jobs").map(|&jobs| jobs as usize),
        report,
        strict: matches.get_flag("strict"),
        overwrite: matches.get_flag("overwrite"),
        explain: false,
        terminal: Terminal { color, quiet: matches.get_flag("quiet") },
    })
}

fn wrong_option(entry: &Entry, bad: &settings::BadValue) -> Failure {
    let message = format!("The option --{} can't be \"{}\".", entry.name, bad.found);
    let help = match &bad.nearest {
        Some(nearest) => format!("Did you mean \"{nearest}\"? It can be {}.", bad.expected),
        None => format!("It can be {}.", bad.expected),
    };
    Failure::new(message, help)
}
