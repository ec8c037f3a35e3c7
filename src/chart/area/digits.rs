//! Digits that the key explains, where they count like row numbers: they are symbols where other numbers count their rows.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::RangeInclusive;

use super::super::key::Key;
use super::super::sheet::Sheet;
use super::chains::Chain;
use crate::stitch::Stitches;

/// How surely a column numbers the rows beside it, of columns that number the same: by numbers that are no symbols, by more of
/// them, by counting down the sheet to Row 1.
type Sureness = (bool, usize, bool);

/// Takes out the columns of symbols that other columns number the rows of, with no blank column between.
pub(super) fn take_out(sheet: &Sheet<'_>, chains: &mut Vec<Chain>, key: &mut Key, stitches: &mut Stitches) {
    let sureness: Vec<Sureness> = chains.iter().map(|chain| sure(sheet, chain, key, stitches)).collect();
    // Of most charts no row number is a symbol.
    if sureness.iter().all(|(no_symbols, ..)| *no_symbols) {
        return;
    }
    let mut in_row: BTreeMap<u32, Vec<usize>> = BTreeMap::new();
    for (index, chain) in chains.iter().enumerate() {
        for placed in &chain.labels {
            in_row.entry(placed.at.row).or_default().push(index);
        }
    }
    let mut reach: Vec<Option<RangeInclusive<u32>>> = vec![None; chains.len()];
    let mut are_symbols = |chain: &Chain, own: &Sureness| {
        let numbers = |other: &Chain| chain.labels.iter().all(|placed| other.in_row(placed.at.row).is_some());
        in_row.get(&chain.first().0).into_iter().flatten().any(|&index| {
            let (Some(other), Some(sure), Some(reach)) =
                (chains.get(index), sureness.get(index), reach.get_mut(index))
            else {
                return false;
            };
            sure > own
                && numbers(other)
                && reach.get_or_insert_with(|| held_beside(sheet, other)).contains(&chain.column)
        })
    };
    let symbols: Vec<bool> =
        (chains.iter().zip(&sureness)).map(|(chain, own)| !own.0 && are_symbols(chain, own)).collect();
    let mut symbols = symbols.into_iter();
    chains.retain(|_| !symbols.next().unwrap_or(false));
}

fn sure(sheet: &Sheet<'_>, chain: &Chain, key: &mut Key, stitches: &mut Stitches) -> Sureness {
    let no_symbol = chain.labels.iter().any(|placed| {
        placed.label.explicit || sheet.text(placed.at).is_none_or(|text| !key.knows(text, stitches))
    });
    let down = chain.first().1.number > chain.last().1.number;
    (no_symbol, chain.labels.len(), down)
}

/// The columns beside a column of numbers, and its own, as far as each holds something in one of its rows.
fn held_beside(sheet: &Sheet<'_>, chain: &Chain) -> RangeInclusive<u32> {
    let cells = chain.labels.iter().flat_map(|placed| sheet.row(placed.at.row));
    let held: BTreeSet<u32> = cells.flat_map(|(at, _)| at.column..=sheet.span(at).last.column).collect();
    let first = (0..chain.column).rev().take_while(|column| held.contains(column)).last();
    let last = (chain.column + 1..).take_while(|column| held.contains(column)).last();
    first.unwrap_or(chain.column)..=last.unwrap_or(chain.column)
}
