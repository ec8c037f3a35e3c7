//! Places to and from their JSON form.

use std::sync::Arc;

use super::model;
use crate::place::{Address, Place, Span, Spot};

impl From<&Place> for model::Place {
    fn from(place: &Place) -> Self {
        let mut out =
            Self { file: place.file.to_string(), sheet: None, cells: None, line: None, column: None };
        match &place.spot {
            Spot::File => {}
            Spot::Sheet { sheet } => out.sheet = Some(sheet.to_string()),
            Spot::Cells { sheet, cells } => {
                out.sheet = Some(sheet.to_string());
                out.cells = Some(cells.to_string());
            }
            Spot::Line { line, column } => {
                out.line = Some(*line);
                out.column = Some(*column);
            }
        }
        out
    }
}

impl model::Place {
    /// The place meant; `None` where the fields don't go together.
    pub(super) fn read(&self) -> Option<Place> {
        let spot = match (&self.sheet, &self.cells, self.line, self.column) {
            (None, None, None, None) => Spot::File,
            (Some(sheet), None, None, None) => Spot::Sheet { sheet: Arc::from(sheet.as_str()) },
            (Some(sheet), Some(cells), None, None) => {
                Spot::Cells { sheet: Arc::from(sheet.as_str()), cells: span(cells)? }
            }
            (None, None, Some(line), column) => Spot::Line { line, column: column.unwrap_or(1) },
            _ => return None,
        };
        Some(Place { file: Arc::from(self.file.as_str()), spot })
    }
}

/// `B7:K7` or `B7`.
fn span(text: &str) -> Option<Span> {
    match text.split_once(':') {
        None => address(text).map(Span::from),
        Some((first, last)) => {
            let (first, last) = (address(first)?, address(last)?);
            (first.row <= last.row && first.column <= last.column).then(|| Span::new(first, last))
        }
    }
}

/// `B7`.
fn address(text: &str) -> Option<Address> {
    let digits = text.find(|c: char| c.is_ascii_digit())?;
    let (letters, digits) = text.split_at(digits);
    let column = letters.bytes().try_fold(0u32, |sum, letter| {
        let value = letter.is_ascii_uppercase().then(|| u32::from(letter - b'A') + 1)?;
        sum.checked_mul(26)?.checked_add(value)
    })?;
    if digits.starts_with(['0', '+']) {
        return None;
    }
    Some(Address::new(digits.parse::<u32>().ok()?.checked_sub(1)?, column.checked_sub(1)?))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: the spreadsheet's own names, `XFD` being the last column of a sheet.
    #[test]
    fn cells_are_named_as_in_a_spreadsheet() {
        assert_eq!(address("A1"), Some(Address::new(0, 0)));
        assert_eq!(address("XFD1048576"), Some(Address::new(1_048_575, 16_383)));
        assert_eq!(span("B7:K7"), Some(Span::new(Address::new(6, 1), Address::new(6, 10))));
        for wrong in ["", "7", "B", "B0", "b7", "B-7", "K7:B7", "B7:", "ZZZZZZZZZ1", "B99999999999", "B+7"] {
            assert_eq!(span(wrong), None, "{wrong}");
        }
    }
}
