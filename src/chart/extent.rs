//! How far a chart reaches, where blank cells are stitches and nothing marks its edge.

use super::area::Area;
use super::cells;
use super::drawn;
use super::key::{Key, Matched};
use super::sheet::Sheet;
use crate::grid::Look;
use crate::place::{Address, column_letters};
use crate::problem::{Code, Finding};
use crate::settings::Settings;
use crate::stitch::Stitches;

/// The chart with its outermost columns settled, where blank cells are stitches: blank columns up to the row numbers
/// belong to it, and the cast-on decides how many stand at an edge that nothing marks.
pub(super) fn settled(
    sheet: &Sheet<'_>,
    area: &Area,
    first_row: Option<u32>,
    settings: &Settings,
    key: &mut Key,
    stitches: &mut Stitches,
) -> Area {
    let mut settled = area.clone();
    if !matches!(key.blank(), Some(Matched::Works(_))) {
        return settled;
    }
    let (first, last) = area.columns;
    let up_to_numbers =
        (if area.bounded.0 { area.room.0 } else { first }, if area.bounded.1 { area.room.1 } else { last });
    let up_to_numbers = ruled(sheet, area, up_to_numbers);
    settled.columns = up_to_numbers;
    let (Some(row), Some(cast_on), None) = (first_row, settings.cast_on, settings.repeat_columns) else {
        return settled;
    };
    if drawn::find(sheet, &settled, false, &mut Vec::new()).is_some() {
        return settled;
    }
    let mut uses = |columns: (u32, u32)| {
        let mut trial = area.clone();
        trial.columns = columns;
        let readings = cells::readings(sheet, &trial, row, 1, key, stitches, &mut Vec::new());
        readings.first().map(|reading| {
            reading.units.iter().filter_map(|unit| unit.works.as_ref()).map(|works| works.uses).sum::<u32>()
        })
    };
    let Some(plain) = uses(up_to_numbers).filter(|plain| *plain != cast_on) else { return settled };
    let more = cast_on.saturating_sub(plain);
    let candidates = [
        (up_to_numbers.0.saturating_sub(more).max(area.room.0), up_to_numbers.1),
        (up_to_numbers.0, up_to_numbers.1.saturating_add(more).min(area.room.1)),
        (up_to_numbers.0, last),
        (first, up_to_numbers.1),
        (first, last),
    ];
    if let Some(fits) = candidates.into_iter().find(|columns| uses(*columns) == Some(cast_on)) {
        settled.columns = fits;
    }
    settled
}

/// The columns as far as the grid is ruled: where every row has lines, a blank column belongs to the chart, and one beside
/// the lines does not. Without lines they are those `else_to`.
fn ruled(sheet: &Sheet<'_>, area: &Area, else_to: (u32, u32)) -> (u32, u32) {
    lines(sheet, area).unwrap_or(else_to)
}

/// Whether a cell is a square of a grid by its lines.
pub(super) fn squared(look: &Look) -> bool {
    look.top.is_some() && look.bottom.is_some() && (look.left.is_some() || look.right.is_some())
}

/// How far the lines of a grid reach to the left and right of the symbols, where these stand in one.
fn lines(sheet: &Sheet<'_>, area: &Area) -> Option<(u32, u32)> {
    let looks = &sheet.grid.looks;
    // Lines of whole rows reach to the end of the sheet and tell nothing.
    let reach = looks.cells.iter().map(|(at, _)| at.column).max()?;
    let lined = |column: u32| area.rows.iter().all(|row| squared(&looks.at(Address::new(row.row, column))));
    let (mut first, mut last) = symbols(sheet, area)?;
    if !lined(first) || !lined(last) {
        return None;
    }
    // Without row numbers a chart has no other bounds than its lines.
    let room = if area.bounded == (false, false) { (0, reach) } else { area.room };
    while first > room.0 && lined(first - 1) {
        first -= 1;
    }
    while last < room.1.min(reach) && lined(last + 1) {
        last += 1;
    }
    Some((first, last))
}

/// The first and the last column in which a row of the chart holds anything.
fn symbols(sheet: &Sheet<'_>, area: &Area) -> Option<(u32, u32)> {
    let rows = area.rows.iter().flat_map(|row| sheet.row(row.row));
    let columns = rows.map(|(at, _)| sheet.span(at));
    columns
        .map(|span| (span.first.column, span.last.column))
        .filter(|(first, last)| (area.columns.0..=area.columns.1).contains(first) && *last <= area.columns.1)
        .reduce(|(first, last), (one, end)| (first.min(one), last.max(end)))
}

/// Says which blank columns at the edges were read as stitches, where nothing else tells that they are.
pub(super) fn told(sheet: &Sheet<'_>, settled: &Area, settings: &Settings) -> Option<Finding> {
    let (first, last) = symbols(sheet, settled)?;
    let blank: Vec<String> = (settled.columns.0..first)
        .chain(last + 1..settled.columns.1.saturating_add(1))
        .filter(|column| !sheet.hidden_column(*column) && !settled.column_numbers.contains_key(column))
        .map(column_letters)
        .collect();
    if blank.is_empty() || settings.cast_on.is_some() || lines(sheet, settled).is_some() {
        return None;
    }
    let (columns, hold) = if blank.len() == 1 { ("Column", "holds") } else { ("Columns", "hold") };
    let message = format!(
        "{columns} {} {hold} nothing in any row, and {} read as stitches of the chart: blank cells up to the row numbers are.",
        blank.join(", "),
        if blank.len() == 1 { "was" } else { "were" }
    );
    Some(
        Finding::new(Code::BlankAssumed, sheet.grid.place(settled.span()), message)
            .help("If they only part the chart from its numbers, take them out, set cast-on, or draw lines around the squares of the chart."),
    )
}
