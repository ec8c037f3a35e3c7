//! Heavy lines that are drawn to count squares by: after every fifth or tenth column and row, over the whole chart.

use super::area::Area;
use super::drawn::{strong, vivid};
use super::sheet::Sheet;
use crate::grid::{Edge, Looks};
use crate::place::Address;
use crate::problem::{Code, Finding};

/// Lines to count by.
pub(super) struct Ruling {
    /// How many squares lie between two.
    every: u32,
    /// The columns that have such a line on their left.
    columns: Vec<u32>,
    /// Whether they are drawn in a colour.
    in_colour: bool,
}

/// Squares that knitters count by.
const STEPS: [u32; 2] = [5, 10];

impl Ruling {
    /// Finds the lines to count by: in both directions, each through the whole chart, a fixed number of squares apart.
    /// Lines in one direction alone may be the edges of a repeat.
    pub(super) fn find(sheet: &Sheet<'_>, area: &Area) -> Option<Self> {
        let looks = &sheet.grid.looks;
        let rows: Vec<u32> = area.rows.iter().map(|row| row.row).collect();
        let (first, last) = area.columns;
        let columns: Vec<u32> = (first..=last).filter(|column| !sheet.hidden_column(*column)).collect();
        // Lines to count by are all black or all in a colour; those of the other kind are drawn on top of them.
        [false, true].into_iter().find_map(|in_colour| {
            let drawn = |edges: [Option<Edge>; 2]| {
                edges.into_iter().flatten().any(|edge| strong(Some(edge)) && vivid(edge.colour) == in_colour)
            };
            let upright: Vec<usize> = (1..columns.len())
                .filter(|&at| {
                    rows.iter().all(|&row| drawn(on_the_left(looks, Address::new(row, columns[at]))))
                })
                .collect();
            let level: Vec<usize> = (1..rows.len())
                .filter(|&at| {
                    columns.iter().all(|&column| drawn(above(looks, Address::new(rows[at], column))))
                })
                .collect();
            STEPS.into_iter().find_map(|step| {
                let counted = |lines: &[usize], length| regular(lines, length, step as usize);
                counted(&level, rows.len()).filter(|found| *found == level)?;
                let upright = counted(&upright, columns.len())?;
                let columns = upright.into_iter().filter_map(|at| columns.get(at).copied()).collect();
                Some(Self { every: step, columns, in_colour })
            })
        })
    }

    /// Whether a line on the left of a column is one to count by. One in a colour on top of them is none.
    pub(super) fn holds(&self, column: u32, edge: Edge) -> bool {
        self.columns.contains(&column) && vivid(edge.colour) == self.in_colour
    }

    /// Says how they were taken.
    pub(super) fn told(&self, sheet: &Sheet<'_>, area: &Area) -> Finding {
        Finding::new(
            Code::CountingLines,
            sheet.grid.place(area.span()),
            format!(
                "The heavy lines every {} squares were taken as lines to count by, not as a repeat.",
                self.every
            ),
        )
        .help("Nothing, if that is so; repeat-columns says otherwise.")
    }
}

/// The lines on the left of a cell: its own, and that of the cell before.
pub(super) fn on_the_left(looks: &Looks, at: Address) -> [Option<Edge>; 2] {
    let before = at.column.checked_sub(1).and_then(|before| looks.at(Address::new(at.row, before)).right);
    [looks.at(at).left, before]
}

/// The lines above a cell: its own, and that of the cell above.
pub(super) fn above(looks: &Looks, at: Address) -> [Option<Edge>; 2] {
    let before = at.row.checked_sub(1).and_then(|before| looks.at(Address::new(before, at.column)).bottom);
    [looks.at(at).top, before]
}

/// The lines in all places that are a step apart, counted from either end, if they are all there. Others may stand
/// between them.
fn regular(lines: &[usize], length: usize, step: usize) -> Option<Vec<usize>> {
    let from_start: Vec<usize> = (1..length).filter(|at| at.is_multiple_of(step)).collect();
    let from_end: Vec<usize> = (1..length).filter(|at| (length - at).is_multiple_of(step)).collect();
    let all = |places: &Vec<usize>| !places.is_empty() && places.iter().all(|at| lines.contains(at));
    [from_start, from_end].into_iter().find(all)
}

#[cfg(test)]
mod tests {
    use super::regular;

    #[test]
    fn lines_to_count_by_are_regular_from_an_end() {
        for (lines, length, found) in [
            (&[5, 10, 15][..], 17, Some(vec![5, 10, 15])),
            (&[2, 7, 12][..], 17, Some(vec![2, 7, 12])),
            (&[5, 9, 10, 15][..], 17, Some(vec![5, 10, 15])),
            (&[5, 10][..], 17, None),
            (&[][..], 4, None),
        ] {
            assert_eq!(regular(lines, length, 5), found, "{lines:?}");
        }
    }
}
