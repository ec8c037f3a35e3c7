//! The symbols of a key: the texts, fills and words for squares that stand in the place of one.

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
    for entry in entries {
        let symbol = entry.symbol.as_str();
        if sheet.count(symbol) > 0 {
            continue;
        }
        let fill = || shaded_cells(sheet, &known).map(|fill| format!("{FILL}{fill}"));
        let meant = match is_shaded(symbol) {
            true => fill(),
            false => within_marks(symbol).filter(|inner| sheet.count(inner) > 0).map(str::to_owned),
        };
        if let Some(meant) = meant {
            entry.symbol = meant;
        }
    }
}

/// The only fill that cells without text have, those apart that are known; none where there are several.
fn shaded_cells(sheet: &Sheet<'_>, known: &[Colour]) -> Option<Colour> {
    let mut found = None::<Colour>;
    for (at, _) in &sheet.grid.looks.cells {
        let Some(fill) = sheet.look(*at).filter(|fill| !known.contains(fill)) else { continue };
        if sheet.value(*at).is_some() {
            continue;
        }
        if found.is_some_and(|found| found != fill) {
            return None;
        }
        found = Some(fill);
    }
    found
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
