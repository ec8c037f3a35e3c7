//! Row numbers that stand alone on their edge: rows numbered on both sides in turn, where one side has a single number.

use std::collections::{BTreeMap, BTreeSet};

use super::super::key::{Key, Matched};
use super::super::label::Label;
use super::super::sheet::Sheet;
use super::Placed;
use super::chains::Chain;
use crate::place::Address;
use crate::stitch::Stitches;

/// Adds the numbers that stand alone on one edge of a chart, in the row beside that of the number before or behind them on
/// the other edge. However few symbols such a row holds, it is numbered.
pub(super) fn add(
    sheet: &Sheet<'_>,
    labels: &[(Address, Label)],
    chains: &mut Vec<Chain>,
    key: &mut Key,
    stitches: &mut Stitches,
) {
    let held: BTreeSet<Address> =
        chains.iter().flat_map(|chain| &chain.labels).map(|placed| placed.at).collect();
    let in_chains = |at: Address| held.contains(&at);
    let mut added: BTreeMap<Address, Label> = BTreeMap::new();
    // What stands at an edge is the first or the last number of its row.
    let edges: Vec<(Address, Label)> = labels
        .chunk_by(|(one, _), (other, _)| one.row == other.row)
        .flat_map(|row| row.first().into_iter().chain(row.get(1..).and_then(<[_]>::last)))
        .copied()
        .collect();
    for &(at, label) in edges.iter().filter(|(at, _)| !in_chains(*at)) {
        let beside = |(other, next): &&(Address, Label)| {
            other.row.abs_diff(at.row) == 1
                && other.column != at.column
                && next.number.abs_diff(label.number) == 1
                && at_either_edge(sheet, at, *other)
        };
        let near = edges.partition_point(|(other, _)| other.row + 1 < at.row);
        let mut near =
            edges.get(near..).unwrap_or_default().iter().take_while(|(other, _)| other.row <= at.row + 1);
        let Some(&(other, next)) = near.find(beside) else { continue };
        // Two numbers that nothing else shows to be row numbers are those of the first two rows.
        let first_two = || label.number + next.number == 3;
        let known = in_chains(other) || added.contains_key(&other) || first_two();
        if known && is_row(sheet, at, other, key, stitches) {
            added.insert(at, label);
        }
    }
    let chain =
        |(at, label): (Address, Label)| Chain { column: at.column, labels: vec![Placed { label, at }] };
    chains.extend(added.into_iter().map(chain));
}

/// Whether two cells in neighbouring rows are the first of the one row and the last of the other, and stand outside both.
fn at_either_edge(sheet: &Sheet<'_>, one: Address, other: Address) -> bool {
    let (left, right) = if one.column < other.column { (one, other) } else { (other, one) };
    let inside = |at: Address| {
        at == one || at == other || (left.column < at.column && sheet.span(at).last.column < right.column)
    };
    [one, other].iter().all(|at| sheet.row(at.row).all(|(cell, _)| inside(cell)))
}

/// Whether what two numbers stand beside are rows of a chart: symbols, and blank cells where these are stitches.
fn is_row(sheet: &Sheet<'_>, at: Address, other: Address, key: &mut Key, stitches: &mut Stitches) -> bool {
    let mut held = [at, other].map(|number| {
        let mut symbols = 0;
        let all = sheet.row(number.row).filter(|(cell, _)| *cell != number).all(|(_, text)| {
            symbols += 1;
            key.knows(text, stitches)
        });
        all.then_some(symbols)
    });
    held.sort_unstable();
    let numbers_are_symbols =
        [at, other].iter().all(|at| sheet.text(*at).is_none_or(|text| key.knows(text, stitches)));
    match held {
        [Some(fewer), Some(more)] if !numbers_are_symbols && more > 0 => {
            fewer > 0 || matches!(key.blank(), Some(Matched::Works(_)))
        }
        _ => false,
    }
}
