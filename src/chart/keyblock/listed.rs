//! Keys that are no columns of symbols and words: symbols in a row with their words below, and numbered lists.

use std::collections::BTreeSet;

use super::super::sheet::Sheet;
use super::layout::stands_twice;
use super::{entry, heads, is_short, is_symbol, says, sides, split_line, square, symbol_at};
use crate::grid::Value;
use crate::place::Address;
use crate::settings::KeyEntry;
use crate::stitch::Stitches;
use crate::words;

/// Takes rows of symbols whose words stand in the row below: each column that holds words is an entry.
pub(super) fn take_rows(sheet: &mut Sheet<'_>, stitches: &mut Stitches, entries: &mut Vec<KeyEntry>) {
    // Words that no symbol consists of, "knit" at the shortest.
    let words = sheet.tested_words(|text| {
        (text.len() > 3 && text.chars().all(|c| c.is_alphabetic() || c == ' ')).then_some(())
    });
    let mut rows: Vec<u32> = words.into_iter().map(|(at, ())| at.row).filter(|row| *row > 0).collect();
    rows.dedup();
    for row in rows {
        let pairs = below_each_other(sheet, row, stitches).unwrap_or_default();
        for (at, words_at) in pairs {
            let symbol = symbol_at(sheet, at);
            sheet.take(at);
            sheet.pass(at);
            if let Some(words) = sheet.take(words_at) {
                entries.push(entry(sheet, symbol, words.to_string(), words_at, stitches));
            }
        }
    }
}

/// The symbols of a row and the words right below them, where nothing else stands in either. One square may be blank.
fn below_each_other(sheet: &Sheet<'_>, row: u32, stitches: &mut Stitches) -> Option<Vec<(Address, Address)>> {
    let above = row.checked_sub(1)?;
    let mut pairs = Vec::new();
    // A row of a chart may hold names of stitches.
    let mut wordy = false;
    for (words_at, words) in sheet.row(row) {
        if words.chars().count() < 2 || !says(&words, stitches) || stands_twice(sheet, &words) {
            return None;
        }
        wordy |= words.chars().count() > 3 && words::named(&words, stitches).is_none();
        pairs.push((Address::new(above, words_at.column), words_at));
    }
    // "\\ | ssk" above "grey | no stitch" are two entries below each other.
    let otherwise = |(at, words_at): &(Address, Address), stitches: &mut Stitches| {
        let [symbol, words] = [*at, *words_at].map(|at| sheet.text(at));
        let [symbol, words] =
            [symbol, words].map(|text| text.and_then(|text| words::meaning(&text, stitches)));
        symbol.is_some() && symbol != words
    };
    if pairs.iter().any(|pair| otherwise(pair, stitches)) {
        return None;
    }
    let symbols = sheet.row(above).filter(|(_, text)| is_short(text));
    let symbols: BTreeSet<Address> = symbols.map(|(at, _)| at).collect();
    let all = sheet.row(above).count() == symbols.len()
        && symbols.iter().all(|at| pairs.iter().any(|(symbol, _)| symbol == at));
    let blank = pairs.iter().filter(|(at, _)| !symbols.contains(at) && sheet.look(*at).is_none()).count();
    let used = |at: &Address| sheet.text(*at).is_some_and(|symbol| stands_twice(sheet, &symbol));
    (wordy && all && pairs.len() > 1 && symbols.len() > 1 && blank < 2 && symbols.iter().any(used))
        .then_some(pairs)
}

/// Takes cells that hold several entries: ". = knit; o = yarn over", or a line for each.
pub(super) fn take_cells(sheet: &mut Sheet<'_>, stitches: &mut Stitches, entries: &mut Vec<KeyEntry>) {
    const SHORTEST: usize = "o k; . p".len();
    for (at, ()) in sheet.tested_words(|text| (text.len() >= SHORTEST && text.contains(' ')).then_some(())) {
        // Of a line break but a blank is left in the texts of a sheet.
        let whole = match sheet.value(at) {
            Some(Value::Text(text)) if text.contains(['\n', ';', ',']) => text.trim(),
            _ => continue,
        };
        if let Some(found) = in_one_cell(sheet, whole, stitches) {
            sheet.take(at);
            let found = found.into_iter().map(|(symbol, words)| entry(sheet, symbol, words, at, stitches));
            entries.extend(found);
        }
    }
}

/// The entries of a cell, each with the mark behind its symbol or in a line of its own: two at least, of which a cell of the
/// sheet holds one's symbol, and nothing else.
fn in_one_cell(sheet: &Sheet<'_>, text: &str, stitches: &mut Stitches) -> Option<Vec<(String, String)>> {
    const MOST: usize = 60;
    let bare = text.split_once(':').filter(|(head, _)| heads(head).is_some()).map_or(text, |(_, rest)| rest);
    ["\n", ";", ","].iter().filter(|mark| bare.trim().contains(**mark)).find_map(|mark| {
        let parts = bare
            .split(mark)
            .map(|part| part.trim().trim_end_matches(['.', ';', ',']))
            .filter(|part| !part.is_empty());
        let mut found: Vec<(String, String)> = Vec::new();
        if parts.clone().nth(MOST).is_some() {
            return None;
        }
        for part in parts {
            let by_blank = || {
                let (symbol, words) = part.split_once(' ').filter(|_| *mark == "\n")?;
                Some((symbol.to_owned(), words.trim().to_owned()))
            };
            match split_line(part).or_else(by_blank) {
                Some((symbol, words))
                    if is_symbol(&symbol)
                        && sides::side(&symbol).is_none()
                        && words::meaning(&words, stitches).is_some() =>
                {
                    found.push((symbol, words));
                }
                // "K on RS, p on WS": what a comma cut.
                _ if *mark == "," => {
                    let (_, words) = found.last_mut()?;
                    words.push_str(", ");
                    words.push_str(part);
                    words::meaning(words, stitches)?;
                }
                _ => return None,
            }
        }
        let held = found.iter().any(|(symbol, _)| sheet.count(symbol) > 0);
        (found.len() > 1 && held).then_some(found)
    })
}

/// Takes the entries of a numbered list from a row on, "1. o yarn over": in one cell or with its number, its symbol or both
/// in cells of their own. Gives how many lines it took.
pub(super) fn take_numbered(
    sheet: &mut Sheet<'_>,
    first: Address,
    stitches: &mut Stitches,
    entries: &mut Vec<KeyEntry>,
) -> u32 {
    let mut found = Vec::new();
    let mut at = first;
    while let Some(read) = numbered(sheet, at, found.len() + 1, stitches) {
        found.push((at, read));
        let Some(next) = at.row.checked_add(1) else { break };
        at = Address::new(next, at.column);
    }
    // One line may be anything.
    if found.len() < 2 {
        return 0;
    }
    let lines = u32::try_from(found.len()).unwrap_or(u32::MAX);
    for (at, Line { symbol, words, cells }) in found {
        cells.iter().for_each(|cell| {
            sheet.take(*cell);
        });
        entries.push(entry(sheet, symbol, words, *cells.last().unwrap_or(&at), stitches));
    }
    lines
}

/// A line of a numbered list.
struct Line {
    symbol: String,
    words: String,
    /// The cells it takes, that of its words last.
    cells: Vec<Address>,
}

/// The line of a numbered list that begins in a cell, if it has this number.
fn numbered(sheet: &Sheet<'_>, at: Address, number: usize, stitches: &mut Stitches) -> Option<Line> {
    let text = sheet.text(at)?;
    let rest = text.strip_prefix(&number.to_string())?;
    let next = sheet.after(at);
    // A number by itself may stand before a symbol that the chart has.
    let plain = rest.is_empty() && sheet.text(next).is_some_and(|symbol| stands_twice(sheet, &symbol));
    let rest = if plain { rest } else { rest.strip_prefix(['.', ')'])?.trim() };
    let behind = sheet.after(next);
    let text_at = |at: Address| sheet.text(at).map(|text| text.str().to_owned());
    let line = match (rest, text_at(next), text_at(behind)) {
        ("", symbol, Some(words)) => {
            let symbol = if symbol.is_some() { symbol_at(sheet, next) } else { square(sheet, next) };
            Line { symbol, words, cells: vec![at, next, behind] }
        }
        (symbol, Some(words), None) if !symbol.is_empty() && !symbol.contains(' ') => {
            Line { symbol: symbol.to_owned(), words, cells: vec![at, next] }
        }
        (rest, None, _) => {
            let split = split_line(rest).filter(|(_, words)| says(words, stitches));
            let apart = || rest.split_once(' ').map(|(symbol, words)| (symbol.to_owned(), words.to_owned()));
            let (symbol, words) = split.or_else(apart)?;
            Line { symbol, words: words.trim().to_owned(), cells: vec![at] }
        }
        _ => return None,
    };
    (is_short(&line.symbol) && says(&line.words, stitches)).then_some(line)
}
