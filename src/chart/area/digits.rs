//! Digits that the key explains, where they count like row numbers: they are symbols where other numbers count their rows, and
//! where such digits go on above or below. Where nothing else proves what they are, that is told.

use std::cell::OnceCell;
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
    (numbered, cast_on): (&OnceCell<Vec<End>>, Option<u32>),
    key: &mut Key,
    stitches: &mut Stitches,
) -> Option<Finding> {
    let area = areas.get(index)?;
    let first = area.rows.iter().find_map(AreaRow::label)?;
    if !are_symbols(sheet, area, key) || is_proved(sheet, area, cast_on, key) {
        return None;
    }
    // The charts of a sheet have their numbers at the same ends.
    let numbered = numbered.get_or_init(|| surely_numbered(sheet, areas, key));
    if ends(area).iter().any(|end| numbered.contains(end)) || counts_prove(sheet, area, key, stitches) {
        return None;
    }
    let last = area.rows.iter().filter_map(AreaRow::label).rfind(|last| last.at.column == first.at.column)?;
    Some(unproved(sheet, (first, last), area.rows.len()))
}

fn unproved(sheet: &Sheet<'_>, (first, last): (Placed, Placed), rows: usize) -> Finding {
    let column = column_letters(first.at.column);
    let (from, to) = (first.label.number, last.label.number);
    let found = format!("{from} to {to} in column {column}");
    if rows < FEWEST {
        let message = format!(
            "The key explains {from} to {to}, which stand in column {column}: whether they number the rows or are stitches can't be told."
        );
        return Finding::new(Code::NumbersUnclear, sheet.grid.place(first.at), message)
            .found(found)
            .expected("a heading over row numbers, or row numbers beside the stitches")
            .help("If they number the rows, write \"Row\" above them, or leave a blank column between them and the chart. If they are stitches, number the rows in a column beside them.");
    }
    let place = sheet.grid.place(Span::from(first.at).join(last.at.into()));
    let message =
        format!("The key explains {from} to {to}, but in column {column} they were taken as row numbers.");
    Finding::new(Code::NumbersAssumed, place, message)
        .found(found)
        .help("Nothing, if that is so; \"Row\" above them says it. If they are stitches, number the rows in a column beside them.")
}

/// The ends at which any chart of a sheet has numbers that are no symbols.
fn surely_numbered(sheet: &Sheet<'_>, areas: &[Area], key: &Key) -> Vec<End> {
    let sure: Vec<End> = areas.iter().filter(|area| !are_symbols(sheet, area, key)).flat_map(ends).collect();
    [End::Left, End::Right].into_iter().filter(|end| sure.contains(end)).collect()
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

/// The loops that the cells of a row use and make.
#[derive(Clone, Copy, Default)]
struct Loops {
    uses: u32,
    makes: u32,
}

impl Loops {
    fn of(
        sheet: &Sheet<'_>,
        (at, text): (Address, Text<'_>),
        key: &mut Key,
        stitches: &mut Stitches,
    ) -> Self {
        match key.matches(text, || sheet.value(at), stitches) {
            // The cells of a wide stitch are as many as the loops that it crosses.
            Matched::Works(works) if works.cells > 1 => Self { uses: 1, makes: 1 },
            Matched::Works(works) => Self { uses: works.uses, makes: works.makes },
            _ => Self::default(),
        }
    }

    const fn and(self, other: Self) -> Self {
        Self { uses: self.uses + other.uses, makes: self.makes + other.makes }
    }

    /// Whether each row uses what the row before it makes.
    fn chain(rows: impl Iterator<Item = Self> + Clone) -> bool {
        rows.clone().zip(rows.skip(1)).all(|(before, row)| before.makes == row.uses)
    }
}

/// Whether each row uses what the row before it makes, but would not if its numbers were stitches of it.
fn counts_prove(sheet: &Sheet<'_>, area: &Area, key: &mut Key, stitches: &mut Stitches) -> bool {
    let different = sheet.different();
    let number = |placed: Placed| {
        let text = sheet.value(placed.at)?.text();
        Some((placed.at, different.iter().find(|one| one.str() == text).copied()?))
    };
    // Each without its numbers, and with them.
    let mut rows: Vec<(Loops, Loops)> = Vec::with_capacity(area.rows.len());
    for row in &area.rows {
        let cells = sheet.across(row.row, area.columns_of(row.row));
        let cells = cells.filter_map(|(column, text)| Some((Address::new(row.row, column), text?)));
        let numbers = [row.left, row.right].into_iter().flatten().filter_map(number);
        let mut add = |loops: Loops, cell| loops.and(Loops::of(sheet, cell, key, stitches));
        let alone = cells.fold(Loops::default(), &mut add);
        rows.push((alone, numbers.fold(alone, &mut add)));
    }
    if area.first_row() != Some(FirstRow::Top) {
        rows.reverse();
    }
    Loops::chain(rows.iter().map(|row| row.0)) && !Loops::chain(rows.iter().map(|row| row.1))
}
