//! The numbers that the rows of a chart carry, or must have.

use super::super::area::{Area, AreaRow};
use super::super::extent::squared;
use super::{Layout, gaps, wrong};
use crate::grid::Grid;
use crate::pattern::Side;
use crate::place::Address;
use crate::problem::{Code, Finding};
use crate::settings::{Charted, FirstRow};

/// The rows from the first worked to the last, with the numbers they carry or must have.
pub(super) fn numbers(layout: Layout<'_>, findings: &mut Vec<Finding>) -> Option<(Vec<u32>, Vec<AreaRow>)> {
    let Layout { grid, area, settings } = layout;
    let mut rows = area.rows.clone();
    let mut labels = area.rows.iter().filter_map(AreaRow::label);
    let (top, bottom) = (labels.next(), labels.next_back());
    let Some(top) = top else { return unnumbered(layout, rows, findings) };
    let down = area.first_row() == Some(FirstRow::Top);
    if down && settings.first_row.is_none() {
        findings.push(
            Finding::new(
                Code::RowsRunDown,
                grid.place(top.at),
                format!(
                    "The rows run down the sheet, from Row {} at the top; they were read in that order.",
                    top.label.number
                ),
            )
            .help("Nothing, if that is how the chart is meant; first-row = \"top\" says so."),
        );
    }
    let upward = if bottom.is_none() { settings.first_row != Some(FirstRow::Top) } else { !down };
    if upward {
        rows.reverse();
    }
    let from = findings.len();
    wrong::edges_differ(grid, &rows, findings);
    if findings.len() == from {
        wrong::mistyped(grid, &rows, findings);
    }
    if findings.len() > from {
        return None;
    }
    let numbers = filled(layout, &rows, findings)?;
    let set_up = |row: &AreaRow| row.label().is_some_and(|placed| placed.label.set_up);
    let zero = rows.iter().zip(&numbers).find(|(row, number)| **number == 0 && !set_up(row));
    if let Some((row, _)) = zero {
        findings.push(
            Finding::new(
                Code::RowNumberOrder,
                layout.label_place(row),
                "A row is numbered 0, but rows count from 1.",
            )
            .row(0)
            .found(0)
            .expected(1)
            .help("Number the rows from 1, or call it \"Set-up row\"; if Row 0 only shows the cast-on, take it out and set cast-on."),
        );
        return None;
    }
    Some((numbers, rows))
}

/// The rows of a chart without numbers, with those that they must have.
fn unnumbered(
    Layout { grid, area, settings }: Layout<'_>,
    mut rows: Vec<AreaRow>,
    findings: &mut Vec<Finding>,
) -> Option<(Vec<u32>, Vec<AreaRow>)> {
    if settings.first_row != Some(FirstRow::Top) {
        rows.reverse();
    }
    let assumed = match (settings.first_row, settings.charted) {
        (None, None) => "row 1 was taken to stand at the bottom, and every row to be drawn",
        (None, Some(_)) => "row 1 was taken to stand at the bottom",
        (Some(_), None) => "every row was taken to be drawn",
        (Some(_), Some(_)) => "they were numbered as the settings say",
    };
    findings.push(
        Finding::new(
            Code::RowsNotNumbered,
            grid.place(area.span()),
            format!("The rows have no numbers: {assumed}.{}", blank_rows(grid, area)),
        )
        .help("Number the rows, or set first-row and charted."),
    );
    let step = if settings.charted == Some(Charted::RightSide) { 2 } else { 1 };
    let first = if step == 2 && settings.first_side == Some(Side::Ws) { 2 } else { 1 };
    let numbers: Vec<u32> = (0..rows.len() as u32).map(|index| first + index * step).collect();
    if let Some(others) = gaps::other_numbers_hidden(grid, area, &numbers, &rows) {
        findings.push(others);
        return None;
    }
    Some((numbers, rows))
}

/// Says how many rows without lines hold nothing.
fn blank_rows(grid: &Grid, area: &Area) -> String {
    let (first, last) = area.columns;
    let blank = |row: &&AreaRow| {
        let mut cells = (first..=last).map(|column| Address::new(row.row, column));
        cells.all(|at| {
            grid.get(at).is_none() && !squared(&grid.looks.at(at)) && grid.looks.at(at).fill.is_none()
        })
    };
    match area.rows.iter().filter(blank).count() {
        0 => String::new(),
        1 => " One of them holds nothing, and was read as a row of blank stitches.".to_owned(),
        count => format!(" {count} of them hold nothing, and were read as rows of blank stitches."),
    }
}

/// The numbers, with those put in that stand on every second row only.
fn filled(layout: Layout<'_>, rows: &[AreaRow], findings: &mut Vec<Finding>) -> Option<Vec<u32>> {
    let given = |row: &AreaRow| row.label().map(|placed| placed.label.number);
    // The next number behind each row, and how many rows further on it stands.
    let mut after: Vec<Option<(u32, u32)>> = Vec::with_capacity(rows.len());
    let mut next = None;
    for row in rows.iter().rev() {
        after.push(next);
        let further = next.map(|(number, ahead)| (number, ahead + 1));
        next = given(row).map(|number| (number, 1)).or(further);
    }
    let mut numbers: Vec<u32> = Vec::with_capacity(rows.len());
    for (row, after) in rows.iter().zip(after.into_iter().rev()) {
        let before = numbers.last().copied();
        let found = match given(row) {
            Some(number) => Some(number),
            None => match (before, after) {
                (Some(before), Some((after, ahead))) => (before + 1 + ahead == after).then_some(before + 1),
                (Some(before), None) => Some(before + 1),
                (None, Some((after, ahead))) => after.checked_sub(ahead).filter(|&number| number >= 1),
                (None, None) => None,
            },
        };
        match found {
            Some(number) => numbers.push(number),
            None => {
                findings.push(
                    Finding::new(
                        Code::RowNumberGap,
                        layout.label_place(row),
                        "A row without a number stands where the numbers leave it no place.".to_owned(),
                    )
                    .found("no row number")
                    .help("Number the row, or correct the numbers of the rows beside it."),
                );
                return None;
            }
        }
    }
    Some(numbers)
}
