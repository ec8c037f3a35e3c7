//! Rows that a bracket beside them, or a box around them, sets apart from the others of their chart: what stands at it, "x3",
//! is said of them all.

use super::area::Area;
use super::drawn::strong;
use super::ruling::{above, on_the_left};
use super::sheet::Sheet;
use crate::grid::Edge;
use crate::place::{Address, Span};

/// From the first to the last of the rows of the sheet that a bracket or a box sets apart at whose line a cell beside a chart
/// stands; nothing where there is no such line, or it runs along all rows. A heavy or coloured line goes before those of an
/// ordinary grid.
pub(super) fn rows(sheet: &Sheet<'_>, area: &Area, at: Address) -> Option<Span> {
    if sheet.grid.looks.is_empty() {
        return None;
    }
    let cells = sheet.span(at);
    // Upright lines stand on the left of these columns: from the edge of the chart to the far side of the cell.
    let lines = if cells.first.column > area.columns.1 {
        area.columns.1 + 1..=cells.last.column + 1
    } else {
        cells.first.column..=area.columns.0
    };
    let any = |edge: Option<Edge>| edge.is_some();
    let kinds: [fn(Option<Edge>) -> bool; 2] = [strong, any];
    let mut found = kinds.into_iter().flat_map(|drawn| lines.clone().map(move |line| (drawn, line)));
    found.find_map(|(drawn, line)| along(sheet, area, cells, (line, drawn)))
}

/// The rows along which an upright line of a kind runs past some cells, where it ends in level ones.
fn along(
    sheet: &Sheet<'_>,
    area: &Area,
    cells: Span,
    (line, drawn): (u32, fn(Option<Edge>) -> bool),
) -> Option<Span> {
    let looks = &sheet.grid.looks;
    let upright = |row: u32| on_the_left(looks, Address::new(row, line)).into_iter().any(drawn);
    let level = |row: u32| {
        let mut columns = [line.checked_sub(1), Some(line)].into_iter().flatten();
        columns.any(|column| above(looks, Address::new(row, column)).into_iter().any(drawn))
    };
    let here = area.rows.partition_point(|row| row.row < cells.first.row);
    let within = area.rows.get(here).filter(|row| row.row <= cells.last.row)?;
    if !upright(within.row) {
        return None;
    }
    let first = area.rows[..here].iter().rposition(|row| !upright(row.row)).map_or(0, |index| index + 1);
    let behind = area.rows[here..].iter().position(|row| !upright(row.row));
    let last = behind.map_or(area.rows.len(), |index| here + index) - 1;
    let rows = area.rows.get(first..=last)?;
    let (top, bottom) = (rows.first()?.row, rows.last()?.row);
    let some = rows.len() < area.rows.len() && level(top) && level(bottom + 1);
    some.then(|| area.row_span(top).join(area.row_span(bottom)))
}
