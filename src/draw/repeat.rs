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
    let loops: Vec<Vec<Loops>> =
        rows.iter().rev().zip(shown).map(|(row, shown)| loops(row, none, shown, stitches)).collect();
    let known = told(pattern, rows, width);
    // Where it is worked once, nothing shows which columns are worked again.
    if times < 2 && known.is_none() {
        return None;
    }
    let unit = known.map(|(_, unit)| unit).or(usize::try_from(multiple.of).ok())?;
    let all = unit.checked_mul(times).filter(|&all| all > 0 && all <= width)?;
    let columns = Columns::of(rows, unit, width);
    let true_at = |first: usize| {
        first + all <= width
            && columns.repeat(first, unit, times)
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

/// What the columns of a chart show, of which so many are one working.
struct Columns {
    /// Up to each column, how many show in some row another square than the column one working further on.
    differ: Vec<usize>,
    /// Where a square of some row reaches over from the column before.
    reached: Vec<bool>,
}

impl Columns {
    fn of(rows: &[DrawnRow], unit: usize, width: usize) -> Self {
        let (mut differs, mut reached) = (vec![false; width], vec![false; width + 1]);
        for row in rows {
            let cells = cells(row);
            for (reached, cell) in reached.iter_mut().zip(&cells) {
                *reached |= cell.is_none();
            }
            for (at, differs) in differs.iter_mut().enumerate() {
                *differs |= cells.get(at) != cells.get(at + unit);
            }
        }
        let counted = differs.iter().scan(0, |before, differs| {
            *before += usize::from(*differs);
            Some(*before)
        });
        Self { differ: std::iter::once(0).chain(counted).collect(), reached }
    }

    /// Whether each row shows the same in every working from a column on, and no stitch reaches over an edge of one.
    fn repeat(&self, first: usize, unit: usize, times: usize) -> bool {
        let last = first + unit * times.saturating_sub(1);
        let same = self.differ.get(first) == self.differ.get(last);
        same && (0..=times).all(|working| self.reached.get(first + unit * working) == Some(&false))
    }
}

/// The square that begins in each cell of a row.
fn cells(row: &DrawnRow) -> Vec<Option<Square>> {
    row.squares
        .iter()
        .flat_map(|square| std::iter::once(Some(*square)).chain(std::iter::repeat_n(None, square.cells - 1)))
        .collect()
}

/// The loops that the squares up to a cell use and make.
type Loops = (u32, u32);

/// The same up to each cell of a row, and of all.
fn loops(row: &DrawnRow, none: usize, shown: &Shown, stitches: &Stitches) -> Vec<Loops> {
    let mut worked = shown.stitches.iter().map(|&id| stitches.get(id));
    let (mut uses, mut makes) = (0, 0);
    let mut loops = vec![(uses, makes)];
    for square in &row.squares {
        if let Some(stitch) = if square.symbol == none { None } else { worked.next() } {
            (uses, makes) = (uses + stitch.uses, makes + stitch.makes);
        }
        loops.extend(std::iter::repeat_n((uses, makes), square.cells));
    }
    loops
}

/// Whether these columns, from the first to the one after the last, use in each row what they make in the one before, and in
/// the first so many.
fn chains(rows: &[Vec<Loops>], (first, end): (usize, usize), of: u32) -> bool {
    let mut left = of;
    rows.iter().all(|row| {
        let (Some((used, made)), Some((uses, makes))) = (row.get(first), row.get(end)) else { return false };
        let fits = uses - used == left;
        left = makes - made;
        fits
    })
}
