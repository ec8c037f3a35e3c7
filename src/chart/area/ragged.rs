//! Row numbers that don't stand in one column: each right behind, or before, the cells of its row, where the rows of a chart
//! are not as wide as each other. So they stand in a shape that grows, and beside the row that lacks a cell.

use std::collections::BTreeMap;
use std::ops::Range;

use super::super::key::Key;
use super::super::label::Label;
use super::super::sheet::Sheet;
use super::chains::Chain;
use super::{End, Placed};
use crate::place::Address;
use crate::stitch::Stitches;

/// The fewest numbers that show by themselves that they count the rows.
const FEWEST: usize = 3;

/// Joins the numbers at one edge of neighbouring rows that count on from row to row, whatever column each stands in;
/// columns of numbers that are a part of such an edge go into it. `numbers` are in reading order.
pub(super) fn join(
    sheet: &Sheet<'_>,
    numbers: &[(Address, Label)],
    chains: Vec<Chain>,
    key: &mut Key,
    stitches: &mut Stitches,
) -> Vec<Chain> {
    let mut edges: Vec<Edge> = Vec::new();
    for end in [End::Right, End::Left] {
        let rows = numbers.chunk_by(|(one, _), (other, _)| one.row == other.row);
        let outermost: Vec<Placed> =
            rows.filter_map(|row| end.outermost(row)).map(|&(at, label)| Placed { label, at }).collect();
        // Most numbers stand in one column, and what stands beyond them need not be looked at.
        for run in runs(&outermost).filter(|run| !in_one_column(run)) {
            let run: Vec<Placed> = run
                .iter()
                .filter(|placed| is_at_edge(sheet, placed.at, end, key, stitches))
                .copied()
                .collect();
            for run in runs(&run).filter(|run| !in_one_column(run)) {
                if count_rows(sheet, run, key, stitches) {
                    let labels = run.iter().map(|placed| (placed.at.row, *placed)).collect();
                    edges.push(Edge { end, labels });
                }
            }
        }
    }
    if edges.is_empty() {
        return chains;
    }
    let labels = edges.iter().map(|edge| edge.labels.values());
    let of: BTreeMap<Address, usize> =
        labels.enumerate().flat_map(|(index, edge)| edge.map(move |placed| (placed.at, index))).collect();
    let mut others = Vec::new();
    for chain in chains {
        let edge = chain.labels.iter().find_map(|placed| of.get(&placed.at));
        match edge.and_then(|index| edges.get_mut(*index)) {
            Some(edge) => edge.labels.extend(chain.labels.iter().map(|placed| (placed.at.row, *placed))),
            None => others.push(chain),
        }
    }
    others.extend(edges.into_iter().filter_map(Edge::chain));
    others
}

impl End {
    /// What stands outermost at this end of a row, from left to right.
    fn outermost<T>(self, row: &[T]) -> Option<&T> {
        match self {
            Self::Left => row.first(),
            Self::Right => row.last(),
        }
    }
}

/// Numbers at one edge of a chart.
struct Edge {
    end: End,
    /// By the row of the sheet.
    labels: BTreeMap<u32, Placed>,
}

impl Edge {
    fn chain(self) -> Option<Chain> {
        let columns = self.labels.values().map(|placed| placed.at.column);
        let column = match self.end {
            End::Left => columns.min(),
            End::Right => columns.max(),
        }?;
        Some(Chain { column, labels: self.labels.into_values().collect() })
    }
}

/// Whether a number stands outermost in its row on a side, but for words, and symbols stand on the other side of it.
fn is_at_edge(sheet: &Sheet<'_>, at: Address, end: End, key: &mut Key, stitches: &mut Stitches) -> bool {
    let (before, behind) = (0..at.column, at.column + 1..u32::MAX);
    let (within, beyond) = match end {
        End::Left => (behind, before),
        End::Right => (before, behind),
    };
    let mut symbols = |columns: Range<u32>| {
        sheet.alike(at.row, columns).any(|(_, text)| text.chars().count() <= 3 || key.knows(text, stitches))
    };
    symbols(within) && !symbols(beyond)
}

/// Cuts numbers where they no longer count on alike.
fn runs(mut rest: &[Placed]) -> impl Iterator<Item = &[Placed]> {
    std::iter::from_fn(move || {
        let (run, behind) = rest.split_at(counting(rest));
        rest = behind;
        Some(run).filter(|run| !run.is_empty())
    })
}

/// How many numbers from the first count on alike, by ones or by twos from row to row of the sheet. Where rows are numbered
/// on both sides in turn, two rows lie between two numbers of one side.
fn counting(edge: &[Placed]) -> usize {
    let step = |one: &Placed, next: &Placed| {
        let rows = i64::from(next.at.row - one.at.row);
        let numbers = i64::from(next.label.number) - i64::from(one.label.number);
        let step = numbers / rows;
        ((1..=2).contains(&rows) && numbers % rows == 0 && (1..=2).contains(&step.abs())).then_some(step)
    };
    let [first, second, ..] = edge else { return edge.len() };
    let Some(usual) = step(first, second) else { return 1 };
    1 + edge.windows(2).take_while(|pair| step(&pair[0], &pair[1]) == Some(usual)).count()
}

fn in_one_column(run: &[Placed]) -> bool {
    run.windows(2).all(|pair| pair[0].at.column == pair[1].at.column)
}

/// Whether numbers that count on are those of rows. Digits may be symbols too.
fn count_rows(sheet: &Sheet<'_>, run: &[Placed], key: &mut Key, stitches: &mut Stitches) -> bool {
    let explicit = run.iter().any(|placed| placed.label.explicit);
    let to_first = run.iter().any(|placed| placed.label.number <= 2);
    let mut keyed =
        run.iter().filter(|placed| sheet.text(placed.at).is_some_and(|text| key.knows(text, stitches)));
    run.len() >= FEWEST && (explicit || to_first || run.len() > FEWEST) && keyed.next().is_none()
}
