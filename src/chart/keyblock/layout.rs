//! Where the symbols of a key stand and where its words, whether or not it has a heading: seen from the entries that are
//! surely ones.

use std::collections::BTreeMap;

use super::super::sheet::{Sheet, Text};
use super::line::backwards;
use super::{heads, says, split_line};
use crate::place::Address;
use crate::stitch::Stitches;
use crate::words;

/// The columns of a key.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Layout {
    /// The column of the symbols and squares.
    pub(super) symbols: u32,
    /// The column of the words.
    pub(super) words: u32,
    /// Whether the words stand before their symbols.
    pub(super) turned: bool,
    /// Whether a mark stands between a symbol and its words, in a column of its own.
    pub(super) marked: bool,
}

/// Whether a text is a mark between a symbol and its words.
pub(super) fn is_mark(text: &str) -> bool {
    matches!(text, "=" | ":" | "-" | "–" | "—")
}

/// How many columns may lie between a symbol and its words, where a wide symbol below or above takes them.
pub(super) const WIDEST: u32 = 13;

/// The most rows that are looked at.
const MOST: usize = 200;

/// A symbol and words with nothing behind them, as an entry of a key stands.
struct Entry {
    symbols: u32,
    words: u32,
    /// The text of the symbol; none where it is a square.
    symbol: Option<String>,
    marked: bool,
}

impl Layout {
    /// A key whose words stand right behind its symbols.
    pub(super) fn at(symbols: u32) -> Self {
        Self { symbols, words: symbols.saturating_add(1), turned: false, marked: false }
    }

    /// The columns of the key that begins in a row, at a column or right of it; those of a key at the column itself where
    /// nothing tells.
    pub(super) fn of(sheet: &Sheet<'_>, rows: &[u32], from: u32, stitches: &mut Stitches) -> Self {
        let mut symbols: BTreeMap<u32, Vec<Entry>> = BTreeMap::new();
        let mut turned: Vec<u32> = Vec::new();
        for row in rows.iter().take(MOST) {
            turned.extend(turned_at(sheet, *row, from, stitches));
            if let Some(entry) = entry(sheet, *row, from, stitches) {
                symbols.entry(entry.symbols).or_default().push(entry);
            }
        }
        let most = symbols.values().map(Vec::len).max().unwrap_or(0);
        let chosen = symbols.into_iter().find(|(_, entries)| entries.len() == most);
        if turned.len() > most
            && let Some(column) = turned.into_iter().min()
        {
            return Self { turned: true, ..Self::at(column) };
        }
        let plain = Self::at(from);
        let Some((column, entries)) = chosen else { return plain };
        // A single line whose first square is blank may be the blank cell, worked in two ways, or a symbol and its words.
        if let ([Entry { symbol: Some(symbol), .. }], true) = (&entries[..], column > from)
            && !stands_twice(sheet, symbol)
        {
            return plain;
        }
        let mut words: BTreeMap<u32, usize> = BTreeMap::new();
        for entry in &entries {
            *words.entry(entry.words).or_default() += 1;
        }
        let most = words.values().max().copied().unwrap_or(0);
        let words = words.into_iter().find(|(_, times)| *times == most).map(|(column, _)| column);
        let marked = entries.iter().any(|entry| entry.marked);
        match words.filter(|words| *words > column) {
            Some(words) => Self { words, marked, ..Self::at(column) },
            None => Self::at(column),
        }
    }

    /// Whether something of the key stands in a row.
    pub(super) fn stands(self, sheet: &Sheet<'_>, row: u32) -> bool {
        [self.symbols, self.symbols.saturating_add(1), self.words]
            .into_iter()
            .any(|column| sheet.text(Address::new(row, column)).is_some())
    }

    /// Whether an entry stands in these columns of a row that is surely one, with nothing else behind it.
    pub(super) fn is_sure(self, sheet: &Sheet<'_>, row: u32, stitches: &mut Stitches) -> bool {
        let found = entry(sheet, row, self.symbols, stitches);
        if found.is_some_and(|entry| entry.symbols == self.symbols && entry.words == self.words) {
            return true;
        }
        // Nothing but a short word beside a symbol, or nothing but words beside a blank square.
        let mut cells = sheet.row(row).filter(|(at, _)| at.column >= self.symbols);
        let (words_at, words, short) = match (cells.next(), cells.next(), cells.next()) {
            (Some((at, symbol)), Some((words_at, words)), None) if at.column == self.symbols => {
                (words_at, words, super::is_symbol(&symbol))
            }
            (Some((words_at, words)), None, None) => (words_at, words, words.chars().count() > 2),
            _ => return false,
        };
        let before = self.symbols.checked_sub(1).and_then(|column| sheet.text(Address::new(row, column)));
        let alone = before.is_none_or(|before| heads(&before).is_some());
        alone && short && words_at.column == self.words && says(&words, stitches)
    }
}

/// Where words stand before their symbol in a row.
fn turned_at(sheet: &Sheet<'_>, row: u32, from: u32, stitches: &mut Stitches) -> Option<u32> {
    let mut cells = sheet.row(row).filter(|(at, _)| at.column >= from);
    let ((first, words), (second, symbol)) = (cells.next()?, cells.next()?);
    let free = sheet.text(sheet.after(second)).is_none();
    (free && second == sheet.after(first) && backwards(sheet, &words, &symbol, stitches))
        .then_some(first.column)
}

/// Whether more than one cell of the sheet holds a text.
pub(super) fn stands_twice(sheet: &Sheet<'_>, text: &str) -> bool {
    sheet.count(text) > 1
}

/// The rows of a key from a row on: those that hold something at a column or right of it, and those behind a blank one that
/// surely hold an entry.
pub(super) fn rows(sheet: &Sheet<'_>, first: u32, from: u32, stitches: &mut Stitches) -> Vec<u32> {
    const NEAR: u32 = 2;
    let stands = |row: u32| {
        (from..=from.saturating_add(NEAR)).any(|column| sheet.text(Address::new(row, column)).is_some())
    };
    let mut rows = Vec::new();
    let mut row = if stands(first) { first } else { first.saturating_add(1) };
    while rows.len() < MOST {
        if !stands(row) {
            // Where the first square is blank its words may stand further on.
            row = row.saturating_add(1);
            if entry(sheet, row, from, stitches).is_none_or(|entry| entry.symbols > from + NEAR) {
                break;
            }
        }
        rows.push(row);
        row = row.saturating_add(1);
    }
    rows
}

/// The entry that surely stands in a row, at a column or right of it.
fn entry(sheet: &Sheet<'_>, row: u32, from: u32, stitches: &mut Stitches) -> Option<Entry> {
    let mut cells = sheet.row(row).filter(|(at, _)| at.column >= from);
    let (first, text) = cells.next()?;
    let next = cells.next();
    let free = |at: Address| sheet.text(sheet.after(at)).is_none();
    let mut sure = |words: &Text<'_>| words.chars().count() > 2 && says(words, stitches);
    // A filled square without text, and words.
    let square = (1..=2)
        .filter_map(|back| first.column.checked_sub(back))
        .filter(|column| *column >= from)
        .map(|column| Address::new(row, column))
        .find(|at| sheet.look(*at).is_some());
    if let Some(square) = square.filter(|_| (sure(&text) || words::may_be_colour(&text)) && free(first)) {
        return Some(Entry { symbols: square.column, words: first.column, symbol: None, marked: false });
    }
    let marked = next.is_some_and(|(at, mark)| at == sheet.after(first) && is_mark(&mark));
    let next = if marked { cells.next() } else { next };
    if let Some((words_at, words)) = next.filter(|(at, _)| at.column <= first.column.saturating_add(WIDEST))
        && super::is_symbol(&text)
        && sure(&words)
    {
        let joined = free(words_at) || cells.next().is_some_and(|(_, third)| sure(&third));
        let symbol = Some(text.str().to_owned());
        return joined.then_some(Entry { symbols: first.column, words: words_at.column, symbol, marked });
    }
    let (_, words) = split_line(&text)?;
    (free(first) && says(&words, stitches)).then_some(Entry {
        symbols: first.column,
        words: first.column,
        symbol: None,
        marked: false,
    })
}
