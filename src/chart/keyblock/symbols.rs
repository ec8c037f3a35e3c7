//! The symbols of a key: the texts, fills and words for squares that stand in the place of one.

use std::collections::BTreeSet;

use super::super::sheet::Sheet;
use super::heads::{is_blank, is_shaded};
use super::{FILL, layout};
use crate::grid::Colour;
use crate::place::Address;
use crate::settings::KeyEntry;

/// The symbol of a square of a key that holds no text: its fill, or a blank cell.
pub(super) fn square(sheet: &Sheet<'_>, at: Address) -> String {
    sheet.look(at).map_or_else(String::new, |fill| format!("{FILL}{fill}"))
}

/// The fill of a square whose text is but a label for it: no other cell holds the text, and one without text has the fill.
pub(super) fn labelled(sheet: &Sheet<'_>, at: Address) -> Option<Colour> {
    let (text, fill) = (sheet.text(at)?, sheet.look(at)?);
    if text.starts_with(FILL) || layout::stands_twice(sheet, &text) {
        return None;
    }
    let mut looks = sheet.grid.looks.cells.iter().filter(|(_, look)| look.fill.is_some());
    let alike = |other: Colour| other.is_almost(fill);
    looks
        .any(|(other, look)| *other != at && look.fill.is_some_and(alike) && sheet.text(*other).is_none())
        .then_some(fill)
}

/// The symbol that stands in a cell of a key: its text, else its fill, else that of a blank cell.
pub(super) fn symbol_at(sheet: &Sheet<'_>, at: Address) -> String {
    match sheet.text(at) {
        Some(text) if labelled(sheet, at).is_none() => text.str().to_owned(),
        _ => square(sheet, at),
    }
}

/// The symbol that a key names: "blank" is the blank cell.
pub(super) fn symbol_of(symbol: String) -> String {
    if is_blank(&symbol) { String::new() } else { symbol }
}

/// Gives the entries of keys the symbols that the sheet of their chart has: the fill for "grey squares", and what stands in
/// quotes or brackets, where no cell holds it with them.
pub(in crate::chart) fn settle(sheet: &Sheet<'_>, entries: &mut [KeyEntry]) {
    let known: Vec<Colour> =
        entries.iter().filter_map(|entry| Colour::from_hex(entry.symbol.strip_prefix(FILL)?)).collect();
    // Fills of cells without text are sought once, however many entries speak of them.
    let mut fills: Option<Vec<Colour>> = None;
    for entry in entries {
        let symbol = entry.symbol.as_str();
        if sheet.count(symbol) > 0 {
            continue;
        }
        let meant = if is_shaded(symbol) {
            let fills = fills.get_or_insert_with(|| unnamed_fills(sheet, &known));
            shade_meant(symbol, fills).map(|fill| format!("{FILL}{fill}"))
        } else {
            within_marks(symbol).filter(|inner| sheet.count(inner) > 0).map(str::to_owned)
        };
        if let Some(meant) = meant {
            entry.symbol = meant;
        }
    }
}

/// The fills that cells without text have, those apart that squares of a key explain.
fn unnamed_fills(sheet: &Sheet<'_>, known: &[Colour]) -> Vec<Colour> {
    let blank = sheet.grid.looks.cells.iter().filter(|(at, _)| sheet.value(*at).is_none());
    let fills: BTreeSet<Colour> = blank.filter_map(|(at, _)| sheet.look(*at)).collect();
    fills.into_iter().filter(|fill| !known.contains(fill)).collect()
}

/// The only fill that words for squares can mean: a grey one, a black one, or any.
fn shade_meant(words: &str, fills: &[Colour]) -> Option<Colour> {
    const NO_MORE_THAN_BLACK: u8 = 60;
    const ALIKE: u8 = 32;
    let is_black = |[red, green, blue]: [u8; 3]| red.max(green).max(blue) <= NO_MORE_THAN_BLACK;
    let is_grey = |[red, green, blue]: [u8; 3]| {
        red.max(green).max(blue) - red.min(green).min(blue) <= ALIKE && !is_black([red, green, blue])
    };
    let words = words.to_lowercase();
    let fits = |fill: &&Colour| match () {
        () if words.contains("black") => is_black(fill.0),
        () if words.contains("gr") => is_grey(fill.0),
        () => true,
    };
    let mut meant = fills.iter().filter(fits);
    meant.next().copied().filter(|_| meant.next().is_none())
}

/// A symbol without the quotation marks or brackets around it.
fn within_marks(symbol: &str) -> Option<&str> {
    const MARKS: [(char, char); 8] = [
        ('"', '"'),
        ('\'', '\''),
        ('\u{2018}', '\u{2019}'),
        ('\u{201c}', '\u{201d}'),
        ('\u{ab}', '\u{bb}'),
        ('[', ']'),
        ('(', ')'),
        ('<', '>'),
    ];
    let inner = |(open, close): &(char, char)| symbol.strip_prefix(*open)?.strip_suffix(*close);
    MARKS.iter().find_map(inner).map(str::trim).filter(|inner| !inner.is_empty())
}
