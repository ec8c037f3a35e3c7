//! Findings as the run record keeps them, so that those of an input that is not read again are told all the same.

use std::sync::Arc;

use longhand::place::{Address, Place, Span, Spot};
use longhand::problem::{Code, Finding};
use serde::{Deserialize, Serialize};

/// A finding, field by field; what it has not is left out.
#[derive(Clone, Debug, Default, PartialEq, Eq, Deserialize, Serialize)]
#[serde(default)]
pub struct KeptFinding {
    code: String,
    file: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    sheet: Option<String>,
    /// First row and column, last row and column, from 0.
    #[serde(skip_serializing_if = "Option::is_none")]
    cells: Option<[u32; 4]>,
    /// Line and column, from 1.
    #[serde(skip_serializing_if = "Option::is_none")]
    line: Option<[u32; 2]>,
    #[serde(skip_serializing_if = "Option::is_none")]
    chart: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    row: Option<u32>,
    #[serde(skip_serializing_if = "Option::is_none")]
    found: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    expected: Option<String>,
    message: String,
    #[serde(skip_serializing_if = "String::is_empty")]
    help: String,
}

impl From<&Finding> for KeptFinding {
    fn from(finding: &Finding) -> Self {
        let mut told = Self {
            code: finding.code.name().to_owned(),
            file: finding.place.file.to_string(),
            chart: finding.chart.as_deref().map(str::to_owned),
            row: finding.row,
            found: finding.found.clone(),
            expected: finding.expected.clone(),
            message: finding.message.clone(),
            help: finding.help.clone(),
            ..Self::default()
        };
        match &finding.place.spot {
            Spot::File => {}
            Spot::Sheet { sheet } => told.sheet = Some(sheet.to_string()),
            Spot::Cells { sheet, cells: Span { first, last } } => {
                told.sheet = Some(sheet.to_string());
                told.cells = Some([first.row, first.column, last.row, last.column]);
            }
            Spot::Line { line, column } => told.line = Some([*line, *column]),
        }
        told
    }
}

impl KeptFinding {
    /// The finding; `None` where it is of a kind that there no longer is.
    pub fn finding(&self) -> Option<Finding> {
        let sheet = || Arc::from(self.sheet.as_deref().unwrap_or_default());
        let spot = match (self.cells, self.line) {
            (Some([first_row, first_column, last_row, last_column]), _) => Spot::Cells {
                sheet: sheet(),
                cells: Span::new(Address::new(first_row, first_column), Address::new(last_row, last_column)),
            },
            (None, Some([line, column])) => Spot::Line { line, column },
            (None, None) if self.sheet.is_some() => Spot::Sheet { sheet: sheet() },
            (None, None) => Spot::File,
        };
        Some(Finding {
            code: Code::named(&self.code)?,
            place: Place { file: Arc::from(self.file.as_str()), spot },
            chart: self.chart.as_deref().map(Arc::from),
            row: self.row,
            found: self.found.clone(),
            expected: self.expected.clone(),
            message: self.message.clone(),
            help: self.help.clone(),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_finding_is_told_again_to_the_letter() {
        let file: Arc<str> = Arc::from("in/scarf.xlsx");
        let sheet: Arc<str> = Arc::from("Sheet \"1\"");
        let spots = [
            Spot::File,
            Spot::Sheet { sheet: Arc::clone(&sheet) },
            Spot::Cells { sheet, cells: Span::new(Address::new(6, 1), Address::new(6, 10)) },
            Spot::Line { line: 3, column: 9 },
        ];
        for spot in spots {
            let place = Place { file: Arc::clone(&file), spot };
            let mut finding =
                Finding::new(Code::CountMismatch, place, "Row 3 uses\n7 sts.").row(3).found("7");
            for _ in 0..2 {
                let told = serde_json::to_string(&KeptFinding::from(&finding)).unwrap();
                let again: KeptFinding = serde_json::from_str(&told).unwrap();
                assert_eq!(again.finding().as_ref(), Some(&finding));
                finding.chart = Some(Arc::from("A"));
                finding = finding.expected("5").help("Look.");
            }
        }
    }

    #[test]
    fn a_kind_that_there_no_longer_is_makes_the_input_new() {
        assert!(KeptFinding { code: "no-such".to_owned(), ..KeptFinding::default() }.finding().is_none());
    }
}
