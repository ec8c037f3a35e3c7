//! How large a chart may be. What a file holds is limited where it is read; but symbols far apart have blank squares between
//! them, and a row of a few squares may be worked over any number of stitches.

use super::super::area::Area;
use super::super::sheet::Sheet;
use crate::place::Place;
use crate::problem::{Code, Finding};

/// The most squares of a chart, blank ones too, and the most stitches that all its rows have once they are written out. The
/// largest charts known (picture blankets) have some 120,000.
pub(super) const MOST: usize = 1_000_000;

/// The same in words.
pub(super) const MOST_IN_WORDS: &str = "1,000,000";

/// Whether a chart has more squares than are looked at.
pub(in crate::chart) fn is_too_large(area: &Area) -> bool {
    are_too_many(area, area.rows.len())
}

/// Whether so many rows of a chart would have more squares than are looked at.
pub(in crate::chart) fn are_too_many(area: &Area, rows: usize) -> bool {
    let width = (area.columns.1 - area.columns.0) as usize + 1;
    rows.saturating_mul(width) > MOST
}

/// Says that a chart has more squares than are looked at.
pub(super) fn squares(sheet: &Sheet<'_>, area: &Area) -> Option<Finding> {
    is_too_large(area).then(|| {
        Finding::new(
            Code::TooLarge,
            sheet.grid.place(area.span()),
            format!("The chart is too large: it has more than {MOST_IN_WORDS} squares, blank ones counted."),
        )
        .found(area.span())
        .expected(format!("at most {MOST_IN_WORDS} squares"))
        .help("Row numbers take all that stands beside them into their chart: move what is no part of it below it, or to another sheet.")
    })
}

/// Says that the rows of a chart have more stitches than are written out, where so many have been so far.
pub(super) fn stitches(place: impl FnOnce() -> Place, written: usize) -> Option<Finding> {
    (written > MOST).then(|| {
        Finding::new(
            Code::TooLarge,
            place(),
            format!("The chart is too large: its rows have more than {MOST_IN_WORDS} stitches once they are written out."),
        )
        .expected(format!("at most {MOST_IN_WORDS} stitches"))
        .help("Correct the cast-on, the number of repeats or the row numbers.")
    })
}
