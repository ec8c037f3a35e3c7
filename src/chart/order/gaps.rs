//! Numbers that rows of a chart leave out, and those that stand in hidden rows and columns beside it.

use std::collections::{BTreeMap, BTreeSet};

use super::super::area::{Area, AreaRow};
use super::super::label;
use super::Layout;
use crate::grid::Grid;
use crate::place::{Address, Place};
use crate::problem::{Code, Finding};
use crate::settings::SkippedRows;

/// The numbers of the rows that a chart draws.
#[derive(Clone, Copy)]
pub(super) struct Numbers<'a> {
    pub(super) numbers: &'a [u32],
    /// From one row to the next: two where return rows lie between.
    pub(super) step: u32,
    /// Rows that are told otherwise.
    pub(super) told: &'a BTreeSet<u32>,
}

/// Says which numbers leave rows out, beyond those that are derived or told.
pub(super) fn gaps(
    layout: Layout<'_>,
    Numbers { numbers, step, told }: Numbers<'_>,
    rows: &[AreaRow],
    findings: &mut Vec<Finding>,
) {
    let grid = layout.grid;
    let mut hidden = None;
    if let Some(&first) = numbers.first().filter(|first| **first > step) {
        // A chart may begin anywhere, but not behind rows that are hidden.
        let hidden = hidden.get_or_insert_with(|| hidden_numbers(grid, rows));
        if let Some(at) = hidden.get(&(first - step)).filter(|at| lies_beside(grid, **at, rows)) {
            findings.push(begins_hidden(grid.place(*at), first, step));
        }
    }
    for (index, pair) in numbers.windows(2).enumerate() {
        let (before, number) = (pair[0], pair[1]);
        if number <= before + step || (before + step..number).all(|row| told.contains(&row)) {
            continue;
        }
        let gap = Gap { before, first: before + step, number };
        let missing = hidden.get_or_insert_with(|| hidden_numbers(grid, rows)).range(gap.first..number);
        findings.push(match missing.min_by_key(|(_, at)| **at) {
            Some((hidden, at)) => gap.hidden(grid.place(*at), *hidden),
            None => gap.told(layout.label_place(&rows[index + 1]), layout.settings.skipped_rows),
        });
    }
}

/// Says that the row before the first of a chart is hidden.
fn begins_hidden(place: Place, first: u32, step: u32) -> Finding {
    let hidden = first - step;
    let message = format!(
        "Row {hidden} stands in a hidden row of the sheet; without it the chart begins with Row {first}."
    );
    Finding::new(Code::RowNumberGap, place, message)
        .row(hidden)
        .found(first)
        .expected(hidden)
        .help("Show the hidden rows, or delete them and number the rows anew.")
}

/// Numbers that are left out.
struct Gap {
    /// The number before them.
    before: u32,
    /// The first of them.
    first: u32,
    /// The number behind them.
    number: u32,
}

impl Gap {
    /// Says that one of them stands in a hidden row.
    fn hidden(&self, place: Place, hidden: u32) -> Finding {
        let Self { before, first, number } = self;
        let message = format!(
            "Row {hidden} stands in a hidden row of the sheet; without it Row {number} follows Row {before}."
        );
        Finding::new(Code::RowNumberGap, place, message)
            .row(hidden)
            .found(number)
            .expected(first)
            .help("Show the hidden rows, or delete them and number the rows anew.")
    }

    /// Says that they are missing, or what the setting makes of them.
    fn told(&self, place: Place, skipped: Option<SkippedRows>) -> Finding {
        let Self { before, first, number } = self;
        let last = number - 1;
        let missing =
            if *first == last { format!("Row {first} is") } else { format!("Rows {first} to {last} are") };
        let fill = match skipped {
            Some(SkippedRows::Knit) => "knit",
            Some(SkippedRows::Purl) => "purl",
            Some(SkippedRows::Error) | None => {
                let message = format!("{missing} missing: Row {number} follows Row {before}.");
                return Finding::new(Code::RowNumberGap, place, message).row(*first).found(number).expected(first).help(
                    "Correct the number, add the rows, or set skipped-rows = \"knit\" or \"purl\" if plain rows were left out.",
                );
            }
        };
        let rows = if *first == last { format!("it a {fill} row") } else { format!("them {fill} rows") };
        let message = format!("{missing} not in the chart; the setting skipped-rows makes {rows}.");
        Finding::new(Code::SkippedRows, place, message).row(*number)
    }
}

/// Says that a hidden column right beside a chart without row numbers numbers its rows otherwise than they would be.
pub(super) fn other_numbers_hidden(
    grid: &Grid,
    area: &Area,
    numbers: &[u32],
    rows: &[AreaRow],
) -> Option<Finding> {
    let is_hidden = |column: &u32| grid.hidden_columns.get(*column).is_some();
    let label = |row: u32, column: u32| label::parse(&grid.get(Address::new(row, column))?.value.text());
    let before = (0..area.columns.0).rev().take_while(is_hidden);
    let mut beside = before.chain((area.columns.1 + 1..).take_while(is_hidden));
    let column = beside.find(|column| rows.iter().all(|row| label(row.row, *column).is_some()))?;
    let (row, number, hidden) = rows.iter().zip(numbers).find_map(|(row, number)| {
        let hidden = label(row.row, column)?.number;
        (hidden != *number).then_some((row.row, *number, hidden))
    })?;
    Some(
        Finding::new(
            Code::RowNumberGap,
            grid.place(Address::new(row, column)),
            format!(
                "The row numbers stand in a hidden column of the sheet; without it Row {hidden} would be Row {number}."
            ),
        )
        .row(hidden)
        .found(number)
        .expected(hidden)
        .help("Show the column with the row numbers, or empty it."),
    )
}

/// Whether nothing but hidden rows lies between a hidden cell and the first row of a chart.
fn lies_beside(grid: &Grid, at: Address, rows: &[AreaRow]) -> bool {
    let Some(first) = rows.first().map(|row| row.row) else { return false };
    let (above, below) = (first.min(at.row), first.max(at.row));
    (above + 1..below).all(|row| grid.hidden_rows.get(row).is_some())
}

/// The row numbers that stand in hidden rows of the sheet, beside the numbers of the others, each where it stands first.
fn hidden_numbers(grid: &Grid, rows: &[AreaRow]) -> BTreeMap<u32, Address> {
    let mut hidden = BTreeMap::new();
    if grid.hidden_rows.is_empty() {
        return hidden;
    }
    let columns: BTreeSet<u32> =
        rows.iter().flat_map(|row| [row.left, row.right]).flatten().map(|placed| placed.at.column).collect();
    for cell in &grid.cells {
        if grid.hidden_rows.get(cell.at.row).is_some()
            && columns.contains(&cell.at.column)
            && let Some(label) = label::parse(&cell.value.text())
        {
            hidden.entry(label.number).or_insert(cell.at);
        }
    }
    hidden
}
