//! Where the parts of a chart stand on a sheet, the same in every kind of file.

use super::{Drawing, DrawnRow};
use crate::pattern::Side;

/// How a chart is laid out, where the plain way could be misread.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Options {
    /// Row numbers say that they are: "Row 1" for 1.
    pub numbers_in_words: bool,
    /// The notes are left out.
    pub without_notes: bool,
}

/// The rows of a sheet, from 0.
pub(super) struct Layout {
    /// The first row of the chart.
    pub(super) chart: usize,
    /// The heading of the key.
    pub(super) key: usize,
    /// The first note.
    pub(super) notes: usize,
}

impl Layout {
    pub(super) fn of(drawing: &Drawing) -> Self {
        let chart = drawing.said.len() + 1;
        let key = chart + drawing.rows.len() + 1;
        let notes = key + 1 + drawing.key.len() + drawing.colours.len() + 1;
        Self { chart, key, notes }
    }
}

/// The settings, a line each.
pub(super) fn said(drawing: &Drawing) -> Vec<String> {
    drawing.said.iter().map(|(name, value)| format!("{name}: {value}")).collect()
}

/// What stands at the left and at the right of a row: its number, where the row begins.
pub(super) fn numbers(row: &DrawnRow, options: Options) -> (String, String) {
    let number = match row.number {
        // A plain 0 may show no more than the cast-on.
        0 => "Set-up row".to_owned(),
        number if options.numbers_in_words => format!("Row {number}"),
        number => number.to_string(),
    };
    match row.side {
        Side::Rs => (String::new(), number),
        Side::Ws => (number, String::new()),
    }
}

/// The notes, unless they are left out.
pub(super) fn notes(drawing: &Drawing, options: Options) -> &[String] {
    if options.without_notes { &[] } else { &drawing.notes }
}
