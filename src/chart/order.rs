//! The order of the rows: their numbers, their sides, and which rows the chart leaves to be derived.

mod gaps;
pub(super) mod line;
mod numbers;
mod sides;
mod undrawn;
mod wrong;

use std::collections::BTreeSet;

use super::area::{Area, AreaRow};
use crate::grid::Grid;
use crate::pattern::{Side, Worked};
use crate::place::Place;
use crate::problem::{Code, Finding, any_error};
use crate::settings::Settings;

/// A charted row with its number and side.
#[derive(Clone)]
pub(super) struct Numbered {
    pub(super) number: u32,
    pub(super) side: Side,
    pub(super) row: AreaRow,
}

/// Where the rows stand that the chart does not draw.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Undrawn {
    /// Nowhere: every row is drawn.
    None,
    /// A return row after each charted row.
    After,
    /// A return row before each charted row: row 1 is a WS row.
    Before,
}

/// The charted rows in the order they are worked.
pub(super) struct Order {
    pub(super) rows: Vec<Numbered>,
    pub(super) undrawn: Undrawn,
    /// The side of row 1.
    pub(super) first_side: Side,
}

impl Order {
    /// Whether there are rows that the chart does not draw, before its last one or after it.
    pub(super) fn leaves_rows_out(&self) -> bool {
        self.undrawn != Undrawn::None || self.rows.windows(2).any(|pair| pair[1].number != pair[0].number + 1)
    }

    /// The first and the last row of each gap that its numbers have, beside return rows.
    pub(super) fn gaps(&self) -> Vec<(u32, u32)> {
        let (before, behind) = match self.undrawn {
            Undrawn::None => (1, 1),
            Undrawn::After => (2, 1),
            Undrawn::Before => (1, 2),
        };
        let gap = |pair: &[Numbered]| (pair[0].number + before, pair[1].number.saturating_sub(behind));
        self.rows.windows(2).map(gap).filter(|(first, last)| first <= last).collect()
    }
}

/// The side of a row by its number.
pub(super) fn side_of(number: u32, first_side: Side, worked: Worked) -> Side {
    match worked {
        Worked::Round => Side::Rs,
        Worked::Flat if number % 2 == 1 => first_side,
        Worked::Flat => first_side.other(),
    }
}

/// Puts the rows of a chart in order; nothing where the numbers make no sense. Rows that are `told` otherwise may be left
/// out of it.
pub(super) fn order(
    grid: &Grid,
    area: &Area,
    settings: &Settings,
    told: &BTreeSet<u32>,
    findings: &mut Vec<Finding>,
) -> Option<Order> {
    let worked = settings.worked.unwrap_or_default();
    let errors = findings.len();
    let layout = Layout { grid, area, settings };
    let (numbers, rows) = numbers::numbers(layout, findings)?;
    let undrawn = undrawn::undrawn(layout, numbers, &rows, told, findings);
    if any_error(&findings[errors..]) {
        return None;
    }
    let (numbers, undrawn) = undrawn?;
    let first_side = sides::first_side(layout, &numbers, &rows, undrawn, findings)?;
    let lacks =
        numbers.first().map_or(0, |first| first.saturating_sub(1 + u32::from(undrawn == Undrawn::Before)));
    if lacks > 0 {
        findings.extend(rows.first().map(|row| begins_later(layout, row, lacks)));
    }
    let rows = numbers
        .iter()
        .zip(rows)
        .map(|(&number, row)| Numbered { number, side: side_of(number, first_side, worked), row })
        .collect();
    Some(Order { rows, undrawn, first_side })
}

/// Says that so many rows before the first of a chart are not in it.
fn begins_later(layout: Layout<'_>, row: &AreaRow, lacks: u32) -> Finding {
    let first = row.label().map_or(lacks + 1, |placed| placed.label.number);
    let missing = match lacks {
        1 => "Row 1 is not in it, and was".to_owned(),
        2 => "Rows 1 and 2 are not in it, and were".to_owned(),
        _ => format!("Rows 1 to {lacks} are not in it, and were"),
    };
    let message = format!("The chart begins with Row {first}: {missing} not written.");
    Finding::new(Code::RowsBeginLater, layout.label_place(row), message)
        .row(first)
        .help("Nothing, if the pattern tells these rows elsewhere. Otherwise draw them, or correct the row numbers.")
}

/// What the order of rows is told by.
#[derive(Clone, Copy)]
struct Layout<'a> {
    grid: &'a Grid,
    area: &'a Area,
    settings: &'a Settings,
}

impl Layout<'_> {
    /// Where the number of a row stands, or the row itself.
    fn label_place(self, row: &AreaRow) -> Place {
        match row.label() {
            Some(placed) => self.grid.place(placed.at),
            None => self.grid.place(self.area.row_span(row.row)),
        }
    }
}
