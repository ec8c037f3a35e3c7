//! Findings as people read them on a screen, grouped by file; and as report files for spreadsheets and programs.

mod file;
mod page;

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::io::{self, ErrorKind};
use std::sync::Arc;

use anstyle::{AnsiColor, Style};
use longhand::problem::{Code, Finding, Severity};

use super::failure::Failure;

pub use file::{Report, Reported, begins_report};
pub use page::text as page_text;

/// What a line stands out by.
pub const BOLD: Style = Style::new().bold();

/// How the word for how much something matters is shown.
pub fn colour(severity: Severity) -> Style {
    let colour = match severity {
        Severity::Error => AnsiColor::Red,
        Severity::Warning => AnsiColor::Yellow,
        Severity::Note => AnsiColor::Cyan,
    };
    colour.on_default().bold()
}

/// Why the system refused, in plain words.
pub fn reason(error: &io::Error) -> String {
    let known = match error.kind() {
        ErrorKind::NotFound => "there is no such file",
        ErrorKind::PermissionDenied => "this user may not open it",
        ErrorKind::IsADirectory => "it is a folder",
        ErrorKind::NotADirectory => "a part of its path is a file, not a folder",
        ErrorKind::StorageFull => "the disk is full",
        ErrorKind::ReadOnlyFilesystem => "the disk can't be written to",
        _ => return clean(&error.to_string()),
    };
    known.to_owned()
}

/// Text from a file made safe for a terminal: control characters, which could move its cursor or hide other text,
/// are shown as spaces.
pub fn clean(text: &str) -> String {
    text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect()
}

/// A failure of the call.
pub fn failure(failure: &Failure) -> String {
    let mut text = findings(failure.findings.iter());
    if !failure.message.is_empty() {
        let style = colour(Severity::Error);
        let _ = writeln!(text, "{style}longhand:{style:#} {}", clean(&failure.message));
    }
    if !failure.help.is_empty() {
        let _ = writeln!(text, "  {}", clean(&failure.help));
    }
    text
}

/// Findings in their order, each file named once above its own.
pub fn findings<'a>(findings: impl Iterator<Item = &'a Finding>) -> String {
    grouped(None, findings)
}

/// The same below a line that names this file.
pub fn findings_under<'a>(file: &'a Arc<str>, findings: impl Iterator<Item = &'a Finding>) -> String {
    grouped(Some(file), findings)
}

fn grouped<'a>(mut file: Option<&'a Arc<str>>, findings: impl Iterator<Item = &'a Finding>) -> String {
    let mut text = String::new();
    for finding in findings {
        if file != Some(&finding.place.file) {
            text.push_str(&heading(called(&finding.place.file)));
            file = Some(&finding.place.file);
        }
        one(finding, &mut text);
    }
    text
}

/// The line above what is said of a file.
pub fn heading(file: &str) -> String {
    format!("{BOLD}{}{BOLD:#}\n", clean(file))
}

/// A file as people call it.
pub fn called(file: &str) -> &str {
    if file == "-" { "standard input" } else { file }
}

/// One finding: what it is and where, what is the matter, what stands there and should, what to do.
fn one(finding: &Finding, text: &mut String) {
    let style = colour(finding.severity());
    let _ = write!(text, "  {style}{}{style:#} {}", finding.severity(), finding.code);
    let _ = match &finding.chart {
        Some(chart) => write!(text, ", chart {}", clean(chart)),
        None => Ok(()),
    };
    let spot = finding.place.spot.to_string();
    if !spot.is_empty() {
        let _ = write!(text, ", {}", clean(&spot));
    }
    if let Some(row) = finding.row {
        let _ = write!(text, ", row {row}");
    }
    let _ = writeln!(text, "\n    {}", clean(&finding.message));
    for (word, value) in [("found", &finding.found), ("expected", &finding.expected)] {
        if let Some(value) = value {
            let _ = writeln!(text, "    {word}: {}", clean(value));
        }
    }
    if !finding.help.is_empty() {
        let _ = writeln!(text, "    help: {}", clean(&finding.help));
    }
}

/// How charts and texts were read, where something had to be assumed and is not shown one by one: "Noted of the reading:
/// right-side-only (9). ...".
pub fn noted(counts: &BTreeMap<Code, usize>) -> String {
    if counts.is_empty() {
        return String::new();
    }
    let counts: Vec<String> = counts.iter().map(|(code, count)| format!("{code} ({count})")).collect();
    format!("Noted of the reading: {}. `longhand check` shows each.\n", counts.join(", "))
}

/// How many findings of each severity.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Counts {
    /// Errors.
    pub errors: usize,
    /// Warnings.
    pub warnings: usize,
    /// Notes.
    pub notes: usize,
}

impl Counts {
    /// Counts findings.
    pub fn of<'a>(findings: impl Iterator<Item = &'a Finding>) -> Self {
        findings.fold(Self::default(), |mut counts, finding| {
            counts.add(finding.severity());
            counts
        })
    }

    /// Counts one more.
    pub fn add(&mut self, severity: Severity) {
        match severity {
            Severity::Error => self.errors += 1,
            Severity::Warning => self.warnings += 1,
            Severity::Note => self.notes += 1,
        }
    }

    /// "2 errors, 1 note"; "nothing to note" where there is nothing.
    pub fn words(self) -> String {
        let parts: Vec<String> = [(self.errors, "error"), (self.warnings, "warning"), (self.notes, "note")]
            .into_iter()
            .filter(|(count, _)| *count > 0)
            .map(|(count, word)| number_of(count, word))
            .collect();
        if parts.is_empty() { "nothing to note".to_owned() } else { parts.join(", ") }
    }
}

/// "1 file", "2 files", "2 stitches".
pub fn number_of(count: usize, word: &str) -> String {
    format!("{count} {}", plural(count, word))
}

/// The word for so many: "file", "files", "stitches".
fn plural(count: usize, word: &str) -> String {
    match count {
        1 => word.to_owned(),
        _ if word.ends_with("ch") => format!("{word}es"),
        _ => format!("{word}s"),
    }
}

#[cfg(test)]
mod tests {
    use longhand::place::Place;

    use super::*;

    fn plain(text: &str) -> String {
        anstream::adapter::strip_str(text).to_string()
    }

    #[test]
    fn a_finding_says_where_what_and_what_to_do() {
        let file: Arc<str> = Arc::from("scarf.csv");
        let finding = Finding::new(
            Code::CountMismatch,
            Place::line(&file, 4, 1),
            "Row 5 uses 24 stitches, but row 4 makes 23.",
        )
        .row(5)
        .found(24)
        .expected(23)
        .help("Look for a yarn over too many.");
        let shown = plain(&findings([&finding, &finding].into_iter()));
        let once = "  error count-mismatch, line 4, column 1, row 5
    Row 5 uses 24 stitches, but row 4 makes 23.
    found: 24
    expected: 23
    help: Look for a yarn over too many.
";
        assert_eq!(shown, format!("scarf.csv\n{once}{once}"));
    }

    /// A sheet could otherwise hide its findings or rename the window.
    #[test]
    fn control_characters_of_a_file_never_reach_the_terminal() {
        let file: Arc<str> = Arc::from("a\x1b]0;x\x07.csv");
        let finding = Finding::new(Code::UnknownSymbol, Place::file(&file), "No key explains \"\x1b[2J\".");
        assert!(!plain(&findings([&finding].into_iter())).contains(['\x1b', '\x07']));
    }

    #[test]
    fn counts_are_worded() {
        assert_eq!(Counts { errors: 2, warnings: 0, notes: 1 }.words(), "2 errors, 1 note");
        assert_eq!(Counts::default().words(), "nothing to note");
        assert_eq!(number_of(2, "stitch"), "2 stitches");
    }
}
