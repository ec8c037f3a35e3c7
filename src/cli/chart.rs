//! `longhand chart`: written rows to charts.

use clap::{ArgMatches, Command};

use super::call::Purpose;
use super::status::Status;
use super::write;

const EXAMPLES: &str = "\
Examples:
  longhand chart scarf.txt
      the chart of some rows, as csv on the screen
  longhand chart scarf.docx --to xlsx --out charts
      an Excel workbook with squares, a key and the repeat in a box
  longhand chart rib.txt --cast-on 42
      a repeat written out to 42 stitches
  longhand chart texts --out charts --to csv --to xlsx
      a folder of texts, in two formats

Every row is drawn as it looks from the right side. A chart is read again before
it is written, and must give the same rows; one that does not is an error.
Exit status: 0 all well; 1 something in a pattern is wrong; 2 the call itself
could not be carried out; 130 stopped with Ctrl-C.";

/// What the help says of it.
pub const ABOUT: &str = "Draws written rows as charts";

/// Adds its arguments.
pub fn arguments(command: Command) -> Command {
    let command = command.after_help(EXAMPLES);
    write::of_results(command, "Files or folders of written rows; - for standard input", Purpose::Charts)
}

/// Carries it out.
pub fn run(matches: &ArgMatches) -> Status {
    write::carry_out(matches, Purpose::Charts)
}
