//! Report files: every finding of a call as csv, as JSON or as a web page, by the ending of the file's name.

use std::path::{Path, PathBuf};

use longhand::json;
use longhand::place::Spot;
use longhand::problem::Finding;

use super::super::failure::Failure;
use super::page;

/// How a report is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    Csv,
    Json,
    Page,
}

/// What a report tells of: a call and what it found. Which command it was makes no difference.
pub struct Reported<'a> {
    /// The paths of the call.
    pub paths: &'a [PathBuf],
    /// The files that were read: as findings name them, and where they are, `None` for standard input.
    pub inputs: Vec<(&'a str, Option<&'a Path>)>,
    /// How many charts they held, of cells or of written rows.
    pub charts: usize,
    /// What was found, in order.
    pub findings: &'a [&'a Finding],
}

/// A report file that was asked for.
#[derive(Clone, Debug)]
pub struct Report {
    /// Where it goes.
    pub path: PathBuf,
    kind: Kind,
}

impl Report {
    /// The report that the name of the file asks for.
    ///
    /// # Errors
    /// When the ending is none that reports have.
    pub fn named(path: &Path) -> Result<Self, Failure> {
        let ending = path.extension().map(|ending| ending.to_string_lossy().to_lowercase());
        let kind = match ending.as_deref() {
            Some("csv") => Kind::Csv,
            Some("json") => Kind::Json,
            Some("html") => Kind::Page,
            _ => {
                return Err(Failure::new(
                    format!("A report can't be named {}.", path.display()),
                    "Its ending says what it is: .html, for a browser, .csv, for a spreadsheet, or .json.",
                ));
            }
        };
        Ok(Self { path: path.to_owned(), kind })
    }

    /// The text of the report.
    pub fn text(&self, told: &Reported) -> String {
        match self.kind {
            Kind::Json => {
                let findings: Vec<Finding> = told.findings.iter().map(|&finding| finding.clone()).collect();
                let mut text = serde_json::to_string_pretty(&json::findings(&findings)).unwrap_or_default();
                text.push('\n');
                text
            }
            Kind::Csv => csv(told.findings),
            Kind::Page => page::page(told, self.path.parent().unwrap_or(Path::new(""))),
        }
    }
}

/// The columns of a csv report; the fields of the JSON under the same names.
const COLUMNS: [&str; 13] = [
    "file", "chart", "sheet", "cells", "line", "column", "row", "severity", "code", "message", "found",
    "expected", "help",
];

/// Whether the first bytes of a file are those of a csv report.
pub fn begins_report(start: &[u8]) -> bool {
    start.starts_with(COLUMNS.join(",").as_bytes())
}

fn csv(findings: &[&Finding]) -> String {
    let mut writer = csv::Writer::from_writer(Vec::new());
    // Writing to memory has no way to fail.
    let _ = writer.write_record(COLUMNS);
    for finding in findings {
        let (mut sheet, mut cells, mut line, mut column) = Default::default();
        match &finding.place.spot {
            Spot::File => {}
            Spot::Sheet { sheet: name } => sheet = name.to_string(),
            Spot::Cells { sheet: name, cells: span } => (sheet, cells) = (name.to_string(), span.to_string()),
            Spot::Line { line: at, column: field } => (line, column) = (at.to_string(), field.to_string()),
        }
        let record: [String; 13] = [
            finding.place.file.to_string(),
            finding.chart.as_deref().unwrap_or_default().to_owned(),
            sheet,
            cells,
            line,
            column,
            finding.row.map(|row| row.to_string()).unwrap_or_default(),
            finding.severity().to_string(),
            finding.code.to_string(),
            finding.message.clone(),
            finding.found.clone().unwrap_or_default(),
            finding.expected.clone().unwrap_or_default(),
            finding.help.clone(),
        ];
        let _ = writer.write_record(record.map(|field| harmless(&field)));
    }
    String::from_utf8(writer.into_inner().unwrap_or_default()).unwrap_or_default()
}

/// A field that a spreadsheet will not take for a formula: text from a chart may well begin with `=` or `@`.
fn harmless(field: &str) -> String {
    let formula = field.starts_with(['=', '+', '-', '@', '\t', '\r']);
    if formula && field != "-" { format!("'{field}") } else { field.to_owned() }
}
