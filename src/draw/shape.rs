//! The squares of a chart: every row as wide as the widest, so that each stitch stands above those it grows from.

use super::symbols::Marks;
use super::{DrawnRow, Shown, Square};
use crate::stitch::{StitchId, Stitches};

/// The squares of the rows, in the order the rows are worked.
///
/// A row narrower than the widest is filled up with "no stitch" where later or earlier rows have more: what a row
/// gains in its right half moves its right edge out, what it gains in its left half moves its left edge. A triangle
/// that grows at both edges is so drawn as one, and an edge that stays straight is drawn straight.
pub(super) fn squares(
    rows: &[Shown],
    marks: &Marks,
    colours: &[String],
    stitches: &Stitches,
) -> Vec<DrawnRow> {
    let cells = |id: StitchId| stitches.get(id).cells.max(1) as usize;
    let widths: Vec<usize> = rows.iter().map(|row| row.stitches.iter().map(|&id| cells(id)).sum()).collect();
    let width = widths.iter().copied().max().unwrap_or(0);
    let edges = right_edges(rows, stitches);
    let furthest = edges.iter().copied().max().unwrap_or(0);
    rows.iter()
        .zip(widths.iter().zip(&edges))
        .map(|(row, (&own, &edge))| {
            let missing = width - own;
            let right = usize::try_from(furthest - edge).unwrap_or(0).min(missing);
            let none = Square { cells: 1, symbol: marks.none(), colour: None };
            let mut squares = vec![none; missing - right];
            squares.extend(row.stitches.iter().map(|&id| {
                let colour = stitches.get(id).colour.as_deref();
                Square {
                    cells: cells(id),
                    symbol: marks.of(id, row.side, stitches),
                    colour: colour.and_then(|colour| colours.iter().position(|known| known == colour)),
                }
            }));
            squares.extend(std::iter::repeat_n(none, right));
            DrawnRow { number: row.number, side: row.side, squares }
        })
        .collect()
}

/// How far the right edge of each row lies to the right of where the first row began.
fn right_edges(rows: &[Shown], stitches: &Stitches) -> Vec<i64> {
    let mut edge = 0i64;
    rows.iter()
        .map(|row| {
            let uses = stitches.uses(&row.stitches);
            let mut used = 0u32;
            for &id in &row.stitches {
                let stitch = stitches.get(id);
                // Twice the place of the stitch's middle among the loops it works, from the left.
                let middle = 2 * used + stitch.uses;
                used += stitch.uses;
                if middle > uses {
                    edge += i64::from(stitch.makes) - i64::from(stitch.uses);
                }
            }
            edge
        })
        .collect()
}
