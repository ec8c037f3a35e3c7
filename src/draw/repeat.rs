//! The repeat of a pattern as columns of its chart, where it is the same columns in every row.

use super::{DrawnRow, Shown, Square};
use crate::pattern::{Pattern, Side};
use crate::stitch::Stitches;

/// The columns of one working of the repeat: the first, and the one after the last, from 0 at the left. `None` where
/// the pattern has no repeat, or one that no columns show truly: they show the same in every working, and one working uses
/// in each row what it makes in the row before.
///
/// `shown` are the stitches of the rows as worked, `none` the symbol of a place without a stitch.
pub(super) fn find(
    pattern: &Pattern,
    (rows, none): (&[DrawnRow], usize),
    (shown, stitches): (&[Shown], &Stitches),
    width: usize,
) -> Option<(usize, usize)> {
    let multiple = pattern.multiple?;
    let times = usize::try_from(multiple.times(pattern.cast_on)?).ok()?;
    let cells: Vec<Vec<Option<Square>>> = rows.iter().map(cells).collect();
    let loops: Vec<Vec<Loops>> =
        rows.iter().rev().zip(shown).map(|(row, shown)| loops(row, none, shown, stitches)).collect();
    let known = told(pattern, rows, width);
    // Where it is worked once, nothing shows which columns are worked again.
    if times < 2 && known.is_none() {
        return None;
    }
    let unit = known.map(|(_, unit)| unit).or(usize::try_from(multiple.of).ok())?;
    let all = unit.checked_mul(times).filter(|&all| all > 0 && all <= width)?;
    let true_at = |first: usize| {
        first + all <= width
            && cells.iter().all(|row| repeats(row, first, unit, times))
            && chains(&loops, (first, first + unit), multiple.of)
    };
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

/// The loops that the square which begins in a cell uses and makes.
type Loops = (u32, u32);

/// The same of each cell of a row.
fn loops(row: &DrawnRow, none: usize, shown: &Shown, stitches: &Stitches) -> Vec<Loops> {
    let mut worked = shown.stitches.iter().map(|&id| stitches.get(id));
    let mut loops = Vec::new();
    for square in &row.squares {
        let stitch = if square.symbol == none { None } else { worked.next() };
        loops.push(stitch.map_or((0, 0), |stitch| (stitch.uses, stitch.makes)));
        loops.extend(std::iter::repeat_n((0, 0), square.cells - 1));
    }
    loops
}

/// Whether these columns, from the first to the one after the last, use in each row what they make in the one before, and in
/// the first so many.
fn chains(rows: &[Vec<Loops>], (first, end): (usize, usize), of: u32) -> bool {
    let mut left = of;
    rows.iter().all(|row| {
        let unit = row.get(first..end).unwrap_or_default();
        let uses: u32 = unit.iter().map(|(uses, _)| uses).sum();
        let fits = uses == left;
        left = unit.iter().map(|(_, makes)| makes).sum();
        fits
    })
}

/// Whether a row shows the same in every working, and no stitch reaches over an edge of one.
fn repeats(row: &[Option<Square>], first: usize, unit: usize, times: usize) -> bool {
    let Some(all) = row.get(first..first + unit * times) else { return false };
    let begins = |at: usize| row.get(at).is_none_or(Option::is_some);
    let whole = (0..=times).all(|working| begins(first + unit * working));
    whole && all.chunks(unit).all(|working| Some(working) == all.get(..unit))
}
