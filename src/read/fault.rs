//! Why a file could not be read, before it is worded as a finding.

use std::sync::Arc;

use crate::place::{Address, Place, Span, Spot};
use crate::problem::{Code, Finding};

/// Why a file could not be read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Fault {
    /// Damaged, cut short, or something else than it claims. Holds what is wrong as a clause: "the part with the
    /// sheet's cells is missing".
    Damaged(String),
    /// The same, at a cell.
    DamagedCell {
        /// Name of the sheet.
        sheet: Arc<str>,
        /// The cell.
        at: Address,
        /// What is wrong, a clause.
        what: String,
    },
    /// The same, at a line of a text.
    DamagedLine {
        /// The line, from 1.
        line: u32,
        /// What is wrong, a clause.
        what: String,
    },
    /// Readable, but no kind of file that charts are kept in: "a PNG picture".
    Other(String),
    /// Readable, and of a kind that written rows are kept in, where a chart was wanted: "a text".
    Rows(&'static str),
    /// Protected by a password.
    Encrypted,
    /// Past a limit: what there is too much of, and how much may be.
    TooLarge {
        /// What there is too much of: "cells".
        what: &'static str,
        /// How much of it may be.
        limit: u64,
    },
}

/// What a file without a byte is.
pub(crate) const EMPTY: &str = "an empty file";

impl Fault {
    /// A damage, told by a clause.
    pub(crate) fn damaged(what: impl Into<String>) -> Self {
        Self::Damaged(what.into())
    }

    /// Too many of something.
    pub(crate) const fn too_many(what: &'static str, limit: u64) -> Self {
        Self::TooLarge { what, limit }
    }

    /// The finding that tells a user of it, where a text was to be read.
    pub(crate) fn text_finding(self, file: &Arc<str>) -> Finding {
        match self {
            Self::Other(what) if what != EMPTY => Finding::new(
                Code::UnreadableFile,
                Place::file(file),
                format!("The file can't be read as written rows: it is {what}."),
            )
            .found(what)
            .expected("a text")
            .help("Save the rows as .txt, .md, .html or .docx from the program they were made in."),
            other => other.finding(file),
        }
    }

    /// The finding that tells a user of it.
    pub(crate) fn finding(self, file: &Arc<str>) -> Finding {
        const DAMAGED: &str = "Open the file in a spreadsheet program and save it again as .xlsx, .ods or .csv; \
                               if that fails too, take an older copy.";
        let unreadable = |place, what: String| {
            Finding::new(Code::UnreadableFile, place, format!("The file can't be read: {what}."))
                .help(DAMAGED)
        };
        match self {
            // Nothing tells whether a chart or a text was meant.
            Self::Other(what) if what == EMPTY => {
                Finding::new(Code::UnreadableFile, Place::file(file), "The file is empty.")
                    .found(what)
                    .help("Save it again from the program it was made in, or take an older copy.")
            }
            Self::Damaged(what) => unreadable(Place::file(file), what),
            Self::DamagedCell { sheet, at, what } => {
                let spot = Spot::Cells { sheet, cells: Span::from(at) };
                unreadable(Place { file: Arc::clone(file), spot }, what)
            }
            Self::DamagedLine { line, what } => unreadable(Place::line(file, line, 1), what),
            // Who wrote it with a word processor may have written rows in it.
            Self::Other(what) => Finding::new(
                Code::UnreadableFile,
                Place::file(file),
                format!("The file can't be read: it is {what}."),
            )
            .found(what)
            .expected("a spreadsheet or a text")
            .help(
                "Save a chart as .xlsx, .ods or .csv, and written rows as .docx or .txt, from the program it was made in.",
            ),
            Self::Rows(what) => Finding::new(
                Code::UnreadableFile,
                Place::file(file),
                format!("The file can't be read as a chart: it is {what}, not a spreadsheet."),
            )
            .found(what)
            .expected("a spreadsheet")
            .help(
                "`longhand chart`, `check`, `compare` and `proof` read written rows. To have them in another \
                 style: `longhand chart FILE --to json | longhand write - --style NAME`.",
            ),
            Self::Encrypted => {
                Finding::new(Code::EncryptedFile, Place::file(file), "The file is protected by a password.")
                    .help("Open it with the password, save a copy without one, and use the copy.")
            }
            Self::TooLarge { what, limit } => Finding::new(
                Code::TooLarge,
                Place::file(file),
                format!("The file is too large for a chart: it has more than {} {what}.", grouped(limit)),
            )
            .expected(format!("at most {} {what}", grouped(limit)))
            .help(
                "Keep the sheets with charts in a file of their own, without filled-down rows or pictures.",
            ),
        }
    }
}

/// Says that cells have a look that can't be seen, since the workbook is too old.
pub(super) fn looks_not_seen(file: &Arc<str>) -> Finding {
    Finding::new(
        Code::NotSeen,
        Place::file(file),
        "Cells of this file have coloured fills, which can't be read from a workbook of Excel 95 or older.",
    )
    .help("If the fills mean something, such as no stitch or a colour, save the file as .xlsx.")
}

/// A number with commas between the thousands.
fn grouped(number: u64) -> String {
    let digits = number.to_string();
    let mut out = String::with_capacity(digits.len() + digits.len() / 3);
    for (index, digit) in digits.chars().enumerate() {
        if index > 0 && (digits.len() - index).is_multiple_of(3) {
            out.push(',');
        }
        out.push(digit);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn limits_are_printed_with_their_thousands_apart() {
        for (number, printed) in [(7, "7"), (999, "999"), (1_000, "1,000"), (1_048_576, "1,048,576")] {
            assert_eq!(grouped(number), printed);
        }
    }
}
