//! Digits that the key explains, where they count like row numbers: they are symbols where other numbers count their rows, and
//! where such digits go on above or below. Where nothing else proves what they are, that is told.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::RangeInclusive;

use super::super::key::{Key, Matched};
use super::super::sheet::{Sheet, Text};
use super::chains::Chain;
use super::{Area, AreaRow, End, Placed, counted};
use crate::place::{Address, Span, column_letters};
use crate::problem::{Code, Finding};
use crate::settings::FirstRow;
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

/// Whether digits of the key stand right above or below some that count, in their column: the rows there are of the same chart,
/// and no other number is theirs.
pub(super) fn go_on(sheet: &Sheet<'_>, labels: &[Placed], key: &mut Key, stitches: &mut Stitches) -> bool {
    let above = labels.first().and_then(|first| Some((first.at.row.checked_sub(1)?, first.at.column)));
    let below = labels.last().map(|last| (last.at.row + 1, last.at.column));
    let mut beyond = [above, below].into_iter().flatten();
    beyond.any(|(row, column)| {
        sheet.text(Address::new(row, column)).is_some_and(|text| key.knows(text, stitches))
    })
}

/// The fewest rows whose digits hardly count down to the first of them by chance.
const FEWEST: usize = 4;

/// Says of a chart that its row numbers are symbols of the key as well, and nothing proves that they are none of its cells: an
/// error where it has so few rows that these may count by chance. `cast_on` is the one stated for it.
pub(in super::super) fn told(
    sheet: &Sheet<'_>,
    (areas, index): (&[Area], usize),
    cast_on: Option<u32>,
    key: &mut Key,
    stitches: &mut Stitches,
) -> Option<Finding> {
    let area = areas.get(index)?;
    let first = area.rows.iter().find_map(AreaRow::label)?;
    if !are_symbols(sheet, area, key)
        || is_proved(sheet, area, cast_on, key)
        || counts_prove(sheet, area, key, stitches)
    {
        return None;
    }
    let ends = ends(area);
    let numbered_alike = |(other, area): (usize, &Area)| {
        other != index
            && self::ends(area).iter().any(|end| ends.contains(end))
            && !are_symbols(sheet, area, key)
    };
    if areas.iter().enumerate().any(numbered_alike) {
        return None;
    }
    let last = area.rows.iter().filter_map(AreaRow::label).rfind(|last| last.at.column == first.at.column)?;
    let column = column_letters(first.at.column);
    let (from, to) = (first.label.number, last.label.number);
    let place = sheet.grid.place(Span::from(first.at).join(last.at.into()));
    let found = format!("{from} to {to} in column {column}");
    Some(if area.rows.len() < FEWEST {
        Finding::new(
            Code::NumbersUnclear,
            sheet.grid.place(first.at),
            format!("The key explains {from} to {to}, which stand in column {column}: whether they number the rows or are stitches can't be told."),
        )
        .found(found)
        .expected("row numbers that are no symbols, or symbols that don't count like row numbers")
        .help("If they number the rows, head them \"Row\" or leave a blank column before the chart. If they are stitches, number the rows in a column beside them.")
    } else {
        Finding::new(
            Code::NumbersAssumed,
            place,
            format!("The key explains {from} to {to}, but in column {column} they were taken as row numbers."),
        )
        .found(found)
        .help("Nothing, if that is so; head them \"Row\" to say it. If they are stitches, number the rows in a column beside them.")
    })
}

/// Whether all row numbers of a chart are symbols of the key that don't say otherwise.
fn are_symbols(sheet: &Sheet<'_>, area: &Area, key: &Key) -> bool {
    let keyed = |placed: Placed| {
        let text = || sheet.value(placed.at).map(|value| value.text());
        !placed.label.explicit && text().is_some_and(|text| key.entry_of(&text).is_some())
    };
    labels(area).all(keyed)
}

fn labels(area: &Area) -> impl Iterator<Item = Placed> {
    area.rows.iter().flat_map(|row| [row.left, row.right]).flatten()
}

/// The ends of its rows at which a chart is numbered.
fn ends(area: &Area) -> Vec<End> {
    let left = area.rows.iter().any(|row| row.left.is_some()).then_some(End::Left);
    let right = area.rows.iter().any(|row| row.right.is_some()).then_some(End::Right);
    left.into_iter().chain(right).collect()
}

/// Whether what stands around the numbers of a chart, or is said of it, shows that they are none of its cells.
fn is_proved(sheet: &Sheet<'_>, area: &Area, cast_on: Option<u32>, key: &Key) -> bool {
    let (first, last) = area.columns;
    let columns: BTreeSet<u32> = labels(area).map(|placed| placed.at.column).collect();
    let lines = [area.top().checked_sub(1), area.bottom().checked_add(1)];
    let headed = columns.iter().any(|column| {
        let heads = lines.into_iter().flatten().filter_map(|row| sheet.value(Address::new(row, *column)));
        heads.into_iter().any(|value| counted::is_head(&value.text()))
    });
    let column_numbered = !area.column_numbers.is_empty()
        && columns.iter().all(|column| !area.column_numbers.contains_key(column));
    let blank = |column: u32| area.rows.iter().all(|row| sheet.text(Address::new(row.row, column)).is_none());
    let apart = columns
        .iter()
        .all(|column| if *column < first { blank(column + 1) } else { blank(column.saturating_sub(1)) });
    let lacks = |end: fn(&AreaRow) -> Option<Placed>| area.rows.iter().any(|row| end(row).is_none());
    let in_turn = ends(area).len() == 2 && lacks(|row| row.left) && lacks(|row| row.right);
    let width = Some(sheet.shown_width(Span::new(Address::new(0, first), Address::new(0, last))));
    let counted = cast_on == width || area.rows.iter().any(|row| row.stated.map(|(count, _)| count) == width);
    headed || column_numbered || apart || in_turn || counted || are_unused(sheet, area, key)
}

/// Whether the digits of row numbers stand in no cell of their chart, and it is not its own sheet that explains them.
fn are_unused(sheet: &Sheet<'_>, area: &Area, key: &Key) -> bool {
    let texts: BTreeSet<String> = labels(area)
        .filter_map(|placed| sheet.value(placed.at))
        .map(|value| value.text().to_string())
        .collect();
    let is_own = |text: &String| key.entry_of(text).is_some_and(|place| place.file == sheet.grid.file);
    let (first, last) = area.columns;
    let used = |row: &AreaRow| {
        sheet
            .across(row.row, (first, last))
            .any(|(_, text)| text.is_some_and(|text| texts.contains(text.str())))
    };
    !texts.iter().any(is_own) && !area.rows.iter().any(used)
}

/// Whether each row uses what the row before it makes, but would not if its number were a stitch of it.
fn counts_prove(sheet: &Sheet<'_>, area: &Area, key: &mut Key, stitches: &mut Stitches) -> bool {
    let different = sheet.different();
    let mut loops = |text: Text<'_>, at: Address| match key.matches(text, || sheet.value(at), stitches) {
        // The cells of a wide stitch are as many as the loops that it crosses.
        Matched::Works(works) if works.cells > 1 => (1, 1),
        Matched::Works(works) => (works.uses, works.makes),
        _ => (0, 0),
    };
    let add = |(uses, makes): (u32, u32), more: (u32, u32)| (uses + more.0, makes + more.1);
    let mut rows: Vec<((u32, u32), (u32, u32))> = Vec::with_capacity(area.rows.len());
    for row in &area.rows {
        let cells = sheet.across(row.row, area.columns_of(row.row));
        let cells = cells.filter_map(|(column, text)| Some((Address::new(row.row, column), text?)));
        let alone = cells.map(|(at, text)| loops(text, at)).fold((0, 0), add);
        let text = |placed: Placed| {
            let text = sheet.value(placed.at)?.text();
            different.iter().find(|one| one.str() == text).map(|one| loops(*one, placed.at))
        };
        let numbers = [row.left, row.right].into_iter().flatten().filter_map(text);
        rows.push((alone, numbers.fold(alone, add)));
    }
    if area.first_row() != Some(FirstRow::Top) {
        rows.reverse();
    }
    let chain = |of: fn(&((u32, u32), (u32, u32))) -> (u32, u32)| {
        rows.windows(2).all(|pair| of(&pair[0]).1 == of(&pair[1]).0)
    };
    chain(|row| row.0) && !chain(|row| row.1)
}
