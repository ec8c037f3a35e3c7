//! The entries of a key without a heading that are surely ones, each by itself or with others below or beside it.

use std::collections::{BTreeMap, BTreeSet};

use foldhash::HashSet;

use super::super::super::label;
use super::super::super::sheet::{Run, Sheet};
use super::super::layout::{WIDEST, stands_twice};
use super::super::line::backwards;
use super::super::{coloured, is_short, is_symbol, labelled, says};
use super::{Pair, Rows, fills_elsewhere, names};
use crate::grid::Colour;
use crate::place::Address;
use crate::stitch::Stitches;
use crate::words;

/// Pairs of a symbol and words in two neighbouring cells, with nothing on either side: two or more below each
/// other, or one whose words can't be a symbol. Filled squares with the names of colours beside them.
pub(super) fn find(sheet: &Sheet<'_>, rows: &Rows, stitches: &mut Stitches) -> Vec<Pair> {
    // By column and row: the cell of the words, and whether they are longer than a symbol of a chart.
    let mut pairs: BTreeMap<(u32, u32), (Address, bool)> = BTreeMap::new();
    for &row in &rows.near {
        for Run { before, cells: [(at, symbol), (words_at, words)] } in sheet.runs(row) {
            // A row number may stand right before the key of its chart.
            let open = before.is_none();
            let free = before.is_none_or(|before| label::parse(&before).is_some());
            let long = words.chars().count() > 2;
            if free
                && is_symbol(&symbol)
                && (long && open || words::named(&symbol, stitches).is_none())
                && names(sheet, &symbol, &words, stitches)
            {
                pairs.insert((at.column, at.row), (words_at, long));
            }
        }
    }
    let wordy = |words: Address| sheet.text(words).is_some_and(|text| text.contains(' '));
    let pairs: Vec<(Pair, bool)> = pairs
        .into_iter()
        .map(|((column, row), (words, long))| ((Address::new(row, column), words), long))
        .collect();
    let below = |(one, _): &(Pair, bool), (next, _): &(Pair, bool)| {
        one.0.column == next.0.column && one.0.row + 1 == next.0.row
    };
    let mut chosen: Vec<Pair> = Vec::new();
    for block in pairs.chunk_by(below) {
        // Pairs below each other are a key where the words of one are too long for a symbol.
        let stacked = block.len() > 1 && block.iter().any(|(_, long)| *long);
        let pairs = block.iter().map(|(pair, _)| *pair);
        chosen.extend(pairs.filter(|pair| wordy(pair.1) || stacked || is_alone(sheet, *pair)));
    }
    let mut more = Vec::new();
    for &row in &rows.long {
        more.extend(apart(sheet, row, stitches));
        more.extend(turned(sheet, row, stitches));
        chosen.extend(side_by_side(sheet, row, stitches));
    }
    // Pairs in one row, parted by a blank column, of which one is surely an entry.
    let rows: BTreeSet<u32> = chosen.iter().map(|(at, _)| at.row).collect();
    for row in rows {
        let alone = sheet.runs::<2>(row).filter(|run| run.before.is_none());
        for Run { cells: [(at, symbol), (words_at, words)], .. } in alone {
            let short = is_short(&symbol);
            if short && words::meaning(&words, stitches).is_some() && stands_twice(sheet, &symbol) {
                chosen.push((at, words_at));
            }
        }
    }
    chosen.extend(confirmed(&more, &wordy));
    chosen.extend(colours(sheet, stitches));
    let mut seen = BTreeSet::new();
    chosen.retain(|pair| seen.insert(*pair));
    chosen
}

/// Whether a text can be nothing but words: no symbol of a chart is as long, no name of a stitch without a digit.
fn is_word(text: &str) -> bool {
    const SHORTEST: usize = 4;
    text.len() >= SHORTEST && text.chars().all(char::is_alphabetic)
}

/// Whether a pair that stands alone is an entry: another cell holds its symbol and no other its word, "purl".
fn is_alone(sheet: &Sheet<'_>, (at, words_at): Pair) -> bool {
    let (Some(symbol), Some(words)) = (sheet.text(at), sheet.text(words_at)) else { return false };
    let open =
        at.column.checked_sub(1).is_none_or(|before| sheet.text(Address::new(at.row, before)).is_none());
    open && is_word(&words) && stands_twice(sheet, &symbol) && !stands_twice(sheet, &words)
}

/// The last two texts of a row, with nothing but blank cells between, where the first is a symbol of the sheet and the second
/// can be nothing but the words for it.
fn apart(sheet: &Sheet<'_>, row: u32, stitches: &mut Stitches) -> Option<Pair> {
    let mut last = [None; 3];
    for cell in sheet.row(row) {
        last = [last[1], last[2], Some(cell)];
    }
    let [before, Some((at, symbol)), Some((words_at, words))] = last else { return None };
    let gap = words_at.column.checked_sub(sheet.after(at).column)?;
    let open = before.is_none_or(|(before, text)| {
        before.column + 1 < at.column || label::parse(&text).is_some() && before.column + 1 == at.column
    });
    let short = is_symbol(&symbol);
    let fits = (1..=WIDEST).contains(&gap) && open && short && words.chars().count() > 2;
    (fits
        && stands_twice(sheet, &symbol)
        && !stands_twice(sheet, &words)
        && names(sheet, &symbol, &words, stitches))
    .then_some((at, words_at))
}

/// Two texts with nothing on either side, the words before their symbol.
fn turned(sheet: &Sheet<'_>, row: u32, stitches: &mut Stitches) -> Option<Pair> {
    let mut runs = sheet.runs::<2>(row).filter(|run| run.before.is_none());
    runs.find_map(|Run { cells: [(words_at, words), (at, symbol)], .. }| {
        let turned = backwards(sheet, &words, &symbol, stitches) && stands_twice(sheet, &symbol);
        turned.then_some((at, words_at))
    })
}

/// Of pairs whose columns alone don't tell that they are a key: those with words of which a symbol can't consist, and those
/// with another in the same columns near to it.
fn confirmed(pairs: &[Pair], wordy: &dyn Fn(Address) -> bool) -> Vec<Pair> {
    const NEAR: u32 = 2;
    let all: HashSet<Pair> = pairs.iter().copied().collect();
    let moved = |at: Address, row: u32| Address::new(row, at.column);
    let near = |&(at, words_at): &Pair| {
        let rows = at.row.saturating_sub(NEAR)..=at.row.saturating_add(NEAR);
        let mut others = rows.filter(|row| *row != at.row);
        others.any(|row| all.contains(&(moved(at, row), moved(words_at, row))))
    };
    let sure = |pair: &&Pair| wordy(pair.1) || near(pair);
    pairs.iter().filter(sure).copied().collect()
}

/// Pairs side by side that fill a run of cells: ". | knit | o | yarn over".
fn side_by_side(sheet: &Sheet<'_>, row: u32, stitches: &mut Stitches) -> Vec<Pair> {
    let mut found = Vec::new();
    let runs: Vec<Address> =
        sheet.runs::<2>(row).filter(|run| run.before.is_some()).map(|run| run.cells[0].0).collect();
    for last in runs {
        let mut pairs = Vec::new();
        let mut at = Some(last);
        let whole = loop {
            let Some(first) = at else { break true };
            let words_at = sheet.after(first);
            let (Some(symbol), Some(words)) = (sheet.text(first), sheet.text(words_at)) else {
                break sheet.text(Address::new(row, first.column + 1)).is_none();
            };
            let entry = is_short(&symbol)
                && words::named(&symbol, stitches).is_none()
                && words.chars().count() > 2
                && says(&words, stitches);
            if !entry {
                break false;
            }
            pairs.push((first, words_at));
            at = first.column.checked_sub(2).map(|column| Address::new(row, column));
            if first.column == 1 {
                break sheet.text(Address::new(row, 0)).is_none();
            }
        };
        let wordy =
            |(_, at): &Pair| sheet.text(*at).is_some_and(|words| words.contains(' ') || is_word(&words));
        if whole && pairs.len() > 1 && pairs.iter().any(wordy) {
            pairs.reverse();
            found.extend(pairs);
        }
    }
    found
}

/// Filled squares without text with the name of a colour beside them, "navy" or "knit with navy", where another cell is filled
/// alike.
fn colours(sheet: &Sheet<'_>, stitches: &mut Stitches) -> Vec<Pair> {
    if sheet.grid.looks.is_empty() {
        return Vec::new();
    }
    let named = sheet
        .tested_words(|text| (words::is_colour(text) || coloured(text, stitches).is_some()).then_some(()));
    named.into_iter().filter_map(|(words_at, ())| Some((square_before(sheet, words_at)?, words_at))).collect()
}

/// The filled square that stands before some words, with at most one column between and nothing behind the words.
fn square_before(sheet: &Sheet<'_>, words_at: Address) -> Option<Address> {
    let blank = |at: Address| sheet.text(at).is_none();
    if sheet.text(words_at).is_none() || !blank(sheet.after(words_at)) {
        return None;
    }
    let near = (1..=2).filter_map(|back| words_at.column.checked_sub(back));
    let mut near = near.map(|column| Address::new(words_at.row, column));
    let at = near.find(|at| !blank(*at) || sheet.look(*at).is_some())?;
    let filled = |fill: Colour| fills_elsewhere(sheet, at, fill);
    (labelled(sheet, at).is_some() || blank(at) && sheet.look(at).is_some_and(filled)).then_some(at)
}
