//! Charts side by side that are numbered at their outer edges alone, with a blank column between.

use super::super::key::{Key, Matched};
use super::super::sheet::Sheet;
use super::Area;
use super::chains::Chain;
use crate::place::{Address, Span, column_letters};
use crate::problem::{Code, Finding};
use crate::stitch::Stitches;

/// The columns of the two charts between two columns of the same numbers, where a blank column parts them. `blocks` are the
/// columns that hold something there. Where blank cells are stitches it may be a column of those.
pub(super) fn two(
    sheet: &Sheet<'_>,
    (left, right): (&Chain, &Chain),
    blocks: &[(u32, u32)],
    key: &mut Key,
    stitches: &mut Stitches,
) -> Option<((u32, u32), (u32, u32))> {
    let &[one, other] = blocks else { return None };
    let number = |chain: &Chain| {
        chain.labels.iter().map(|placed| (placed.at.row, placed.label.number)).collect::<Vec<_>>()
    };
    let same = left.labels.len() > 1 && number(left) == number(right);
    let blank_is_stitch = matches!(key.blank(), Some(Matched::Works(works)) if works.uses + works.makes > 0);
    if !same || blank_is_stitch {
        return None;
    }
    let blank = one.1 + 1..other.0;
    let is_blank = |row: u32| sheet.alike(row, blank.clone()).next().is_none();
    if !left.labels.iter().all(|placed| is_blank(placed.at.row)) {
        return None;
    }
    // A symbol at the edge may be a wide stitch that goes on into the blank cells.
    let narrow = left.labels.iter().any(|placed| {
        let at = Address::new(placed.at.row, one.1);
        let text = sheet.text(at);
        text.is_some_and(|text| {
            matches!(key.matches(text, || sheet.value(at), stitches), Matched::Works(works) if works.cells == 1)
        })
    });
    narrow.then_some((one, other))
}

/// Says that a chart was taken apart from the one beside it.
pub(in crate::chart) fn told(sheet: &Sheet<'_>, area: &Area) -> Option<Finding> {
    let (first, last) = area.parted?;
    let blank = match last - first {
        0 => format!("Column {} is blank", column_letters(first)),
        _ => format!("Columns {} to {} are blank", column_letters(first), column_letters(last)),
    };
    let cells = Span::new(Address::new(area.top(), first), Address::new(area.bottom(), last));
    let message = format!(
        "{blank} in every row, and the same row numbers stand at both ends: what is on either side was taken as a chart of its own."
    );
    Some(
        Finding::new(Code::ChartsSideBySide, sheet.grid.place(cells), message)
            .help("Nothing, if those are two charts. If they are one, take the blank column out or say what its cells are."),
    )
}
