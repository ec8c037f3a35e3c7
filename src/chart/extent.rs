//! How far a chart reaches, where blank cells are stitches and nothing marks its edge.

use super::area::Area;
use super::cells;
use super::drawn;
use super::key::{Key, Matched};
use super::sheet::Sheet;
use crate::place::Address;
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

/// The columns as far as the grid is ruled: where every row has lines, a blank column belongs to the chart.
fn ruled(sheet: &Sheet<'_>, area: &Area, columns: (u32, u32)) -> (u32, u32) {
    let looks = &sheet.grid.looks;
    if looks.is_empty() {
        return columns;
    }
    let lined = |column: u32| {
        area.rows.iter().all(|row| {
            let look = looks.at(Address::new(row.row, column));
            look.top.is_some() && look.bottom.is_some() && (look.left.is_some() || look.right.is_some())
        })
    };
    let (mut first, mut last) = columns;
    if !lined(first) || !lined(last) {
        return columns;
    }
    while first > area.room.0 && lined(first - 1) {
        first -= 1;
    }
    while last < area.room.1 && last < u32::MAX && lined(last + 1) {
        last += 1;
    }
    (first, last)
}
