//! Finding the charts of a sheet: which cells are a chart, and which row numbers stand beside them.
//!
//! Row numbers are the surest sign: a column of numbers that go up or down steadily, at the edge of a block of
//! cells. Where there are none, a chart is a block of cells that hold symbols. What is left over is prose.

mod between;
mod chains;
mod counted;
mod digits;
mod lone;
mod numbered;
pub(super) mod parted;
mod ragged;
pub(super) mod several;
mod unnumbered;

use std::collections::BTreeMap;

use super::key::Key;
use super::label::Label;
use super::order::line::Line;
use super::sheet::Sheet;
use super::whose::{Lines, Shares};
use crate::place::{Address, Span};
use crate::settings::FirstRow;
use crate::stitch::Stitches;

/// A chart found on a sheet: rows from top to bottom.
#[derive(Clone)]
pub(super) struct Area {
    pub(super) rows: Vec<AreaRow>,
    /// First and last column of its cells.
    pub(super) columns: (u32, u32),
    /// The number the chart itself gives each column, where it does.
    pub(super) column_numbers: BTreeMap<u32, u32>,
    /// The furthest columns that blank cells of it may take, left and right: up to its row numbers, or as far as
    /// the sheet goes.
    pub(super) room: (u32, u32),
    /// Whether row numbers bound it on this side, so that blank columns up to them may belong to it.
    pub(super) bounded: (bool, bool),
    /// The blank columns that part it from the chart beside it, where the row numbers stand at the outer edges of both.
    pub(super) parted: Option<(u32, u32)>,
    /// Rows of the sheet between numbered ones that hold nothing, where the numbers leave out as many and blank cells are
    /// stitches: they may be rows of such.
    pub(super) blank_rows: Vec<u32>,
}

/// An end of the rows of a chart, as the sheet shows it.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum End {
    Left,
    Right,
}

/// One row of a chart.
#[derive(Clone)]
pub(super) struct AreaRow {
    pub(super) row: u32,
    pub(super) left: Option<Placed>,
    pub(super) right: Option<Placed>,
    /// A count typed at the row's end, and where.
    pub(super) stated: Option<(u32, Address)>,
}

/// A row number and where it stands.
#[derive(Clone, Copy)]
pub(super) struct Placed {
    pub(super) label: Label,
    pub(super) at: Address,
}

impl AreaRow {
    /// The row's number: that of the right edge first.
    pub(super) fn label(&self) -> Option<Placed> {
        self.right.or(self.left)
    }
}

impl Area {
    pub(super) fn top(&self) -> u32 {
        self.rows.first().map_or(0, |row| row.row)
    }

    pub(super) fn bottom(&self) -> u32 {
        self.rows.last().map_or(0, |row| row.row)
    }

    /// Where row 1 stands by the numbers of its rows; nothing where they have none, or one alone. One that was mistyped does
    /// not turn the others round.
    pub(super) fn first_row(&self) -> Option<FirstRow> {
        let mut numbers = self.rows.iter().filter_map(AreaRow::label).map(|placed| placed.label.number);
        let (top, bottom) = (numbers.next()?, numbers.next_back()?);
        let all =
            self.rows.iter().zip(0..).filter_map(|(row, place)| Some((place, row.label()?.label.number)));
        let down = Line::of(all).map_or(top < bottom, |line| line.step > 0);
        Some(if down { FirstRow::Top } else { FirstRow::Bottom })
    }

    /// All of its cells, from the first row and column to the last.
    pub(super) fn span(&self) -> Span {
        Span::new(Address::new(self.top(), self.columns.0), Address::new(self.bottom(), self.columns.1))
    }

    /// First and last column of its cells in a row of the sheet: what stands beyond the row's own number is no part of it.
    pub(super) fn columns_of(&self, row: u32) -> (u32, u32) {
        let (mut first, mut last) = self.columns;
        let index = self.rows.binary_search_by_key(&row, |row| row.row);
        if let Some(row) = index.ok().and_then(|index| self.rows.get(index)) {
            first = row.left.map_or(first, |placed| first.max(placed.at.column + 1));
            last = row.right.map_or(last, |placed| last.min(placed.at.column.saturating_sub(1)));
        }
        (first, last)
    }

    /// Its cells in a row of the sheet.
    pub(super) fn row_span(&self, row: u32) -> Span {
        Span::new(Address::new(row, self.columns.0), Address::new(row, self.columns.1))
    }
}

/// Finds the charts of a sheet in reading order, and takes their row numbers, column numbers and counts from it; gives them
/// with the shares that they have of it. The cells of the charts stay.
pub(super) fn find(
    sheet: &mut Sheet<'_>,
    lines: &Lines,
    key: &mut Key,
    stitches: &mut Stitches,
) -> (Vec<Area>, Shares) {
    let numbered_columns = counted::column_numbers(sheet, key, stitches);
    let counts = counted::counts(sheet, key, stitches);
    let sides = chains::sides(sheet, key, stitches);
    let chains = chains::chains(sheet, &sides, key, stitches);
    for chain in &chains {
        for placed in &chain.labels {
            sheet.take(placed.at);
        }
    }
    let mut areas = Vec::new();
    let mut left = Vec::new();
    for group in chains::groups(chains) {
        left.extend(numbered::areas_of_group(sheet, group, key, stitches, &mut areas));
    }
    sheet.give_back(&left);
    unnumbered::find(sheet, &mut areas, key, stitches);
    between::find(sheet, &mut areas, key);
    areas.sort_by_key(|area| (area.top(), area.columns.0));
    let shares = Shares::new(sheet, &areas, lines);
    for (index, area) in areas.iter_mut().enumerate() {
        area.column_numbers = counted::columns_of(area, index, &numbered_columns, &shares);
    }
    counted::give(sheet, &mut areas, counts, &shares);
    for area in &mut areas {
        counted::take_heads(sheet, area);
    }
    (areas, shares)
}
