//! The repeat of a pattern as columns of its chart, where it is the same columns in every row.

use super::{DrawnRow, Square};
use crate::pattern::{Pattern, Side};

/// The columns of one working of the repeat: the first, and the one after the last, from 0 at the left. `None` where
/// the pattern has no repeat, or one that no columns show truly.
pub(super) fn find(pattern: &Pattern, rows: &[DrawnRow], width: usize) -> Option<(usize, usize)> {
    let multiple = pattern.multiple?;
    let times = usize::try_from(multiple.times(pattern.cast_on)?).ok()?;
    let cells: Vec<Vec<Option<Square>>> = rows.iter().map(cells).collect();
    let known = told(pattern, rows, width);
    let unit = known.map(|(_, unit)| unit).or(usize::try_from(multiple.of).ok())?;
    let all = unit.checked_mul(times).filter(|&all| all > 0 && all <= width)?;
    let true_at =
        |first: usize| first + all <= width && cells.iter().all(|row| repeats(row, first, unit, times));
    let first = match known {
        Some((first, _)) => Some(first).filter(|&first| true_at(first)),
        // The edges as even as can be, the right one the narrower, where RS rows begin.
        None => {
            let edges = |first: usize| (first.abs_diff(width - all - first), width - all - first);
            (0..=width - all).filter(|&first| true_at(first)).min_by_key(|&first| edges(first))
        }
    }?;
    // The rightmost working is the first that is worked.
    Some((first + all - unit, first + all))
}

/// Where the pattern itself says that its repeat stands: the first column of all workings, and the cells of one.
/// Only what all rows that say so agree on counts.
fn told(pattern: &Pattern, rows: &[DrawnRow], width: usize) -> Option<(usize, usize)> {
    let mut told = pattern.rows.iter().zip(rows.iter().rev()).filter_map(|(row, drawn)| {
        let repeat = row.repeat?;
        let mut squares: Vec<&Square> = drawn.squares.iter().collect();
        let none = drawn.squares.len().checked_sub(row.stitches.len())?;
        if drawn.side == Side::Rs {
            squares.reverse();
        }
        // With squares of no stitch at an edge the columns are not those of the other rows.
        if none > 0 {
            return Some(None);
        }
        let sum = |from: usize, count: usize| -> Option<usize> {
            Some(squares.get(from..from + count)?.iter().map(|square| square.cells).sum())
        };
        let before = sum(0, repeat.start)?;
        let unit = sum(repeat.start, repeat.length)?;
        let all = sum(repeat.start, repeat.length * repeat.times)?;
        let first = if drawn.side == Side::Rs { width.checked_sub(before + all)? } else { before };
        Some(Some((first, unit)))
    });
    let first = told.next()??;
    told.all(|other| other == Some(first)).then_some(first)
}

/// The square that begins in each cell of a row.
fn cells(row: &DrawnRow) -> Vec<Option<Square>> {
    row.squares
        .iter()
        .flat_map(|square| std::iter::once(Some(*square)).chain(std::iter::repeat_n(None, square.cells - 1)))
        .collect()
}

/// Whether a row shows the same in every working, and no stitch reaches over an edge of one.
fn repeats(row: &[Option<Square>], first: usize, unit: usize, times: usize) -> bool {
    let Some(all) = row.get(first..first + unit * times) else { return false };
    let begins = |at: usize| row.get(at).is_none_or(Option::is_some);
    let whole = (0..=times).all(|working| begins(first + unit * working));
    whole && all.chunks(unit).all(|working| Some(working) == all.get(..unit))
}
