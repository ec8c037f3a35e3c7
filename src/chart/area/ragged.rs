//! Row numbers that don't stand in one column: each right behind, or before, the cells of its row, where the rows of a chart
//! are not as wide as each other. So they stand in a shape that grows, and beside the row that lacks a cell.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

use super::super::key::{Key, is_date};
use super::super::label::{self, Label};
use super::super::sheet::Sheet;
use super::chains::{self, Chain};
use super::{Area, End, Placed};
use crate::place::{Address, column_letters};
use crate::problem::{Code, Finding};
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
        edges.extend(at_end(sheet, numbers, end, key, stitches));
    }
    if edges.is_empty() {
        return chains;
    }
    let in_chains: BTreeMap<Address, usize> = (0..)
        .zip(&chains)
        .flat_map(|(index, chain)| chain.labels.iter().map(move |placed| (placed.at, index)))
        .collect();
    edges.retain(|edge| !edge.mixes(&chains, &in_chains));
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

/// The edges at one end of the rows.
fn at_end(
    sheet: &Sheet<'_>,
    numbers: &[(Address, Label)],
    end: End,
    key: &mut Key,
    stitches: &mut Stitches,
) -> Vec<Edge> {
    let rows = numbers.chunk_by(|(one, _), (other, _)| one.row == other.row);
    let outermost: Vec<Placed> =
        rows.filter_map(|row| end.outermost(row)).map(|&(at, label)| Placed { label, at }).collect();
    let mut edges = Edges { end, edges: Vec::new(), of: BTreeMap::new() };
    // Most numbers stand in one column, and what stands beyond them need not be looked at.
    for run in neighbours(&outermost).filter(|run| !in_one_column(run)) {
        let closing = run.iter().filter(|placed| closes_row(sheet, placed.at, end, key, stitches));
        let closing: Vec<Placed> = closing.copied().collect();
        for run in neighbours(&closing) {
            let parts = chains::split(sheet, run, key, stitches);
            parts.into_iter().filter(|part| !in_one_column(part)).for_each(|part| edges.add(part));
        }
    }
    for run in runs(&outermost).filter(|run| !in_one_column(run)) {
        let at_edge = run.iter().filter(|placed| is_at_edge(sheet, placed.at, end, key, stitches));
        let at_edge: Vec<Placed> = at_edge.copied().collect();
        for run in runs(&at_edge).filter(|run| !in_one_column(run)) {
            if count_rows(sheet, run, key, stitches) {
                edges.add(run);
            }
        }
    }
    edges.edges.retain(|edge| !edge.labels.is_empty());
    edges.edges
}

/// The edges found at one end of the rows.
struct Edges {
    end: End,
    edges: Vec<Edge>,
    of: BTreeMap<Address, usize>,
}

impl Edges {
    /// Adds an edge, to those that have numbers of it.
    fn add(&mut self, labels: &[Placed]) {
        let own: BTreeSet<usize> =
            labels.iter().filter_map(|placed| self.of.get(&placed.at)).copied().collect();
        let mut all: BTreeMap<u32, Placed> = labels.iter().map(|placed| (placed.at.row, *placed)).collect();
        for index in own {
            if let Some(edge) = self.edges.get_mut(index) {
                all.append(&mut edge.labels);
            }
        }
        self.of.extend(all.values().map(|placed| (placed.at, self.edges.len())));
        self.edges.push(Edge { end: self.end, labels: all });
    }
}

/// Numbers at one edge of a chart.
struct Edge {
    end: End,
    /// By the row of the sheet.
    labels: BTreeMap<u32, Placed>,
}

impl Edge {
    /// Whether its numbers are from columns of which each numbers rows that another one does: those of charts side by side.
    fn mixes(&self, chains: &[Chain], in_chains: &BTreeMap<Address, usize>) -> bool {
        let of = self.labels.values().filter_map(|placed| in_chains.get(&placed.at));
        let own: BTreeSet<usize> = of.copied().collect();
        let mut own: Vec<&Chain> = own.into_iter().filter_map(|index| chains.get(index)).collect();
        own.sort_by_key(|chain| chain.first().0);
        own.windows(2).any(|pair| {
            let (from, to) = (pair[1].first().0, pair[0].last().0.min(pair[1].last().0));
            let shared = |row: &u32| pair.iter().all(|chain| chain.in_row(*row).is_some());
            from <= to && self.labels.range(from..=to).any(|(row, _)| shared(row))
        })
    }

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

/// Whether a number stands right at the last symbol of a row that is one of a chart, and nothing else in it but a number at
/// its other end: such a number is that of the row, whatever those of the rows beside it are.
fn closes_row(sheet: &Sheet<'_>, at: Address, end: End, key: &mut Key, stitches: &mut Stitches) -> bool {
    if sheet.text(at).is_none_or(|text| key.knows(text, stitches)) {
        return false;
    }
    let (mut symbols, mut numbers) = (0, 0);
    let mut outermost: Option<(Address, Address)> = None;
    for (other, text) in sheet.row(at.row).filter(|(other, _)| *other != at) {
        let known = key.knows(text, stitches);
        let is_number = !known && label::parse(&text).is_some();
        if !known && !is_number && text.chars().count() > 2 && !is_date(&text) {
            return false;
        }
        let first = outermost.map_or(other, |(first, _)| first);
        outermost = Some((first, other));
        symbols += u32::from(!is_number);
        numbers += u32::from(is_number);
    }
    let Some((first, last)) = outermost else { return false };
    let (beside, other_end) = match end {
        End::Left => (first.column == at.column + 1, last),
        End::Right => (sheet.span(last).last.column + 1 == at.column, first),
    };
    let mut is_number = |at: Address| {
        sheet.text(at).is_some_and(|text| !key.knows(text, stitches) && label::parse(&text).is_some())
    };
    beside && symbols > 0 && numbers == u32::from(is_number(other_end))
}

/// Cuts numbers where they don't stand in the next row of the sheet.
fn neighbours(labels: &[Placed]) -> impl Iterator<Item = &[Placed]> {
    labels.chunk_by(|one, next| next.at.row == one.at.row + 1)
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

/// Says of a chart of one numbered row that another one stands right above or below it: they may be rows of one chart whose
/// numbers could not be joined.
pub(in super::super) fn torn(sheet: &Sheet<'_>, areas: &[Area], index: usize) -> Option<Finding> {
    fn only(area: &Area) -> Option<Placed> {
        area.rows.first().filter(|_| area.rows.len() == 1)?.label()
    }
    let area = areas.get(index)?;
    let own = only(area)?;
    let (first, last) = area.columns;
    let in_row = |row: u32| {
        let from = areas.partition_point(|other| other.top() < row);
        areas.iter().skip(from).take_while(move |other| other.top() == row)
    };
    let near = [area.top().checked_sub(1), area.top().checked_add(1)];
    let mut others = near.into_iter().flatten().flat_map(in_row);
    let other = others
        .find_map(|other| only(other).filter(|_| other.columns.0 <= last && first <= other.columns.1))?;
    let message = format!(
        "Rows {} and {} stand right below each other, but their numbers do not: whether they are of one chart can't be told.",
        own.label.number, other.label.number
    );
    Some(
        Finding::new(Code::NumbersUnclear, sheet.grid.place(own.at), message)
            .row(own.label.number)
            .found(own.label.number)
            .expected(format!(
                "the row number in column {}, as that at {}",
                column_letters(other.at.column),
                sheet.grid.place(other.at)
            ))
            .help("Put the row numbers of a chart into one column. Leave a blank line between two charts."),
    )
}
