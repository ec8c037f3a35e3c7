//! Rows that hold nothing between rows with numbers: "6, blank, 4, blank, 2". Where blank cells are stitches they may be rows
//! of such that have no number, or no rows at all.

use super::super::extent::squared;
use super::super::key::{Key, Matched};
use super::super::rows::limits;
use super::super::sheet::Sheet;
use super::{Area, AreaRow, Placed};
use crate::place::Address;

impl AreaRow {
    /// A row that has no number.
    pub(super) const fn plain(row: u32) -> Self {
        Self { row, left: None, right: None, stated: None }
    }
}

impl Area {
    /// Takes the blank rows between numbered ones as rows of the chart.
    pub(in crate::chart) fn take_blank_rows(&mut self) {
        self.rows.extend(self.blank_rows.drain(..).map(AreaRow::plain));
        self.rows.sort_by_key(|row| row.row);
    }
}

/// Finds the blank rows between the numbered ones of charts, where blank cells are stitches, and takes those around which the
/// squares of the chart are drawn.
pub(super) fn find(sheet: &Sheet<'_>, areas: &mut [Area], key: &mut Key) {
    if !areas.iter().any(leaves_out) || !is_stitch(key) {
        return;
    }
    for area in areas.iter_mut().filter(|area| leaves_out(area)) {
        if limits::are_too_many(area, (area.bottom() - area.top()) as usize + 1) {
            continue;
        }
        area.blank_rows = between(sheet, area);
        if !area.blank_rows.is_empty() && is_squared(sheet, area) {
            let ends = [area.top().checked_sub(1), area.bottom().checked_add(1)];
            let ends = ends.into_iter().flatten().filter(|row| is_blank_square(sheet, area, *row));
            let below = lowest(area).is_none_or(|number| number > 1);
            let ends: Vec<u32> = ends.filter(|row| below || is_beyond_last(area, *row)).collect();
            area.blank_rows.extend(ends);
            area.take_blank_rows();
        }
    }
}

fn is_stitch(key: &mut Key) -> bool {
    matches!(key.blank(), Some(Matched::Works(works)) if works.uses + works.makes > 0)
}

/// Whether rows of the sheet lie between those of a chart.
fn leaves_out(area: &Area) -> bool {
    area.rows.windows(2).any(|pair| pair[1].row > pair[0].row + 1)
}

/// The rows that hold nothing between two numbers, as many as these leave out.
fn between(sheet: &Sheet<'_>, area: &Area) -> Vec<u32> {
    let pairs = area.rows.windows(2).filter_map(|pair| Some((pair[0].label()?, pair[1].label()?)));
    let fits = |(one, next): &(Placed, Placed)| {
        next.at.row > one.at.row + 1
            && next.label.number.abs_diff(one.label.number) == next.at.row - one.at.row
    };
    let rows = pairs.filter(fits).flat_map(|(one, next)| one.at.row + 1..next.at.row);
    rows.filter(|row| is_blank(sheet, area, *row)).collect()
}

fn is_blank(sheet: &Sheet<'_>, area: &Area, row: u32) -> bool {
    let (first, last) = area.columns;
    !sheet.hidden_row(row)
        && sheet.row(row).all(|(at, _)| sheet.span(at).last.column < first || last < at.column)
}

fn is_blank_square(sheet: &Sheet<'_>, area: &Area, row: u32) -> bool {
    is_blank(sheet, area, row) && is_lined(sheet, area, row)
}

fn is_lined(sheet: &Sheet<'_>, area: &Area, row: u32) -> bool {
    let (first, last) = area.columns;
    (first..=last).all(|column| squared(&sheet.grid.looks.at(Address::new(row, column))))
}

/// Whether lines stand around the cells of all its blank rows, and are not those of a whole sheet.
fn is_squared(sheet: &Sheet<'_>, area: &Area) -> bool {
    let beyond = [area.top().checked_sub(2), area.bottom().checked_add(2)];
    !sheet.grid.looks.is_empty()
        && area.blank_rows.iter().all(|row| is_lined(sheet, area, *row))
        && !beyond.into_iter().flatten().all(|row| is_lined(sheet, area, row))
}

/// The lowest number of its rows.
fn lowest(area: &Area) -> Option<u32> {
    area.rows.iter().filter_map(AreaRow::label).map(|placed| placed.label.number).min()
}

/// Whether a row of the sheet is at the end of a chart where its highest number stands.
fn is_beyond_last(area: &Area, row: u32) -> bool {
    let ends = [area.rows.first(), area.rows.last()].map(|row| row.and_then(AreaRow::label));
    let [Some(top), Some(bottom)] = ends else { return false };
    (row < top.at.row) == (bottom.label.number < top.label.number)
}
