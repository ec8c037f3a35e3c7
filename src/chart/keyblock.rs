//! Finding the key: a block of symbols and words beside or below a chart, or a sheet of its own.

mod sides;

use std::collections::BTreeMap;

use super::key::FILL;
use super::sheet::{Run, Sheet, Text};
use crate::place::Address;
use crate::settings::{KeyEntry, Meaning};
use crate::stitch::Stitches;
use crate::words;
use sides::Sides;

/// Headings of a key, in lower case.
const HEADINGS: [&str; 10] = [
    "key",
    "legend",
    "symbols",
    "symbol",
    "chart key",
    "stitch key",
    "key to chart",
    "key to symbols",
    "key to charts",
    "symbol key",
];

/// What a key calls a blank cell, in lower case.
const BLANKS: [&str; 7] =
    ["blank", "empty", "blank cell", "empty cell", "blank square", "empty square", "(blank)"];

/// Words at the head of a column of a key, in lower case, besides those for the sides.
const COLUMN_HEADS: [&str; 9] =
    ["symbol", "symbols", "meaning", "stitch", "means", "words", "explanation", "abbreviation", "name"];

/// Whether a text heads a column of a key.
fn heads_column(text: &str) -> bool {
    is_one_of(&COLUMN_HEADS, text) || sides::side(text).is_some()
}

fn plain(text: &str) -> String {
    bare(text).to_lowercase()
}

fn bare(text: &str) -> &str {
    text.trim().trim_end_matches(':').trim()
}

/// Whether a text is one of some words, whatever its case.
fn is_one_of(words: &[&str], text: &str) -> bool {
    let bare = bare(text);
    words.iter().any(|word| word.eq_ignore_ascii_case(bare))
}

/// Whether a sheet of this name holds a key and nothing else.
pub(super) fn is_key_sheet(name: &str) -> bool {
    is_one_of(&HEADINGS, name)
}

/// Takes the whole sheet as a key: pairs of a symbol and its words.
pub(super) fn take_sheet(sheet: &mut Sheet<'_>, stitches: &mut Stitches) -> Vec<KeyEntry> {
    let mut entries = Vec::new();
    let mut heads = Sides::default();
    for row in sheet.rows() {
        take_row(sheet, row, 0, &mut heads, stitches, &mut entries);
    }
    entries
}

/// Takes the keys that stand on a sheet among other things: under a heading, or pairs of a symbol and words that
/// stand free.
pub(super) fn take(sheet: &mut Sheet<'_>, stitches: &mut Stitches) -> Vec<KeyEntry> {
    let mut entries = Vec::new();
    let heads = |text: &str| is_one_of(&HEADINGS, text).then_some(());
    for (heading, ()) in sheet.tested(heads) {
        under_heading(sheet, heading, stitches, &mut entries);
    }
    free_lines(sheet, stitches, &mut entries);
    free_pairs(sheet, stitches, &mut entries);
    entries
}

/// The entries below a heading, down to the first row where nothing stands under it or beside.
fn under_heading(
    sheet: &mut Sheet<'_>,
    heading: Address,
    stitches: &mut Stitches,
    entries: &mut Vec<KeyEntry>,
) {
    sheet.take(heading);
    let mut heads = Sides::default();
    // "Symbol | Meaning" heads two columns, "Symbol | RS | WS" three.
    let mut beside = Address::new(heading.row, heading.column + 1);
    while let Some(text) = sheet.text(beside).filter(|text| heads_column(text)) {
        heads.see(beside.column, &text);
        sheet.take(beside);
        beside = sheet.after(beside);
    }
    let mut row = heading.row + 1;
    // One blank line under the heading is usual.
    if !stands(sheet, row, heading.column) {
        row += 1;
    }
    while stands(sheet, row, heading.column) {
        if take_row(sheet, row, heading.column, &mut heads, stitches, entries) == 0 {
            break;
        }
        row += 1;
    }
}

/// The symbol of a square of a key that holds no text: its fill, or a blank cell.
fn square(sheet: &Sheet<'_>, at: Address) -> String {
    sheet.look(at).map_or_else(String::new, |fill| format!("{FILL}{fill}"))
}

fn stands(sheet: &Sheet<'_>, row: u32, column: u32) -> bool {
    sheet.text(Address::new(row, column)).is_some() || sheet.text(Address::new(row, column + 1)).is_some()
}

/// Takes the pairs of one row of a key from a column on, up to the first gap; gives how many cells it took.
fn take_row(
    sheet: &mut Sheet<'_>,
    row: u32,
    column: u32,
    heads: &mut Sides,
    stitches: &mut Stitches,
    entries: &mut Vec<KeyEntry>,
) -> usize {
    let cells: Vec<(Address, String)> = sheet
        .row(row)
        .filter(|(at, _)| at.column >= column)
        .map(|(at, text)| (at, text.str().to_owned()))
        .collect();
    let mut taken = 0;
    let mut at = Address::new(row, column);
    let mut rest = cells.iter().peekable();
    while let Some((first, text)) = rest.next() {
        if first.column > at.column + u32::from(taken == 0) {
            break;
        }
        let alone = first.column == at.column || taken > 0;
        if heads_column(text) && taken == 0 {
            for (cell, text) in &cells {
                heads.see(cell.column, text);
                sheet.take(*cell);
                taken += 1;
            }
            return taken;
        }
        let joined = |text: &str| matches!(text, "=" | ":" | "-" | "–" | "—");
        let (symbol, words, words_at) = if !alone {
            // A square without text, with words beside it.
            let empty = Address::new(row, first.column.saturating_sub(1));
            let symbol = square(sheet, empty);
            sheet.pass(empty);
            (symbol, text.clone(), *first)
        } else {
            let mut next = rest.peek().copied().filter(|(next, _)| next.column == sheet.after(*first).column);
            // "o | = | yarn over", but "- | purl" and "= | k2tog" are entries of their own.
            if let Some((equals, _)) = next.filter(|(_, text)| joined(text)) {
                let after = sheet.after(*equals).column;
                let mut ahead = rest.clone();
                ahead.next();
                if ahead.peek().is_some_and(|(at, _)| at.column == after) {
                    rest.next();
                    sheet.take(*equals);
                    taken += 1;
                    next = rest.peek().copied();
                }
            }
            match next {
                Some((words_at, words)) => {
                    let pair = (text.clone(), words.clone(), *words_at);
                    rest.next();
                    pair
                }
                None => match split_line(text) {
                    Some((symbol, words)) => (symbol, words, *first),
                    None => break,
                },
            }
        };
        sheet.take(*first);
        sheet.take(words_at);
        taken += 1;
        at = Address::new(row, sheet.after(words_at).column);
        // A third column, and nothing behind it: what is worked on the other side.
        let third = rest.peek().copied().filter(|(third, _)| third.column == at.column && words_at != *first);
        let third = third.filter(|(third, _)| {
            let behind = sheet.after(*third);
            cells.iter().all(|(cell, _)| *cell != behind)
        });
        let meaning = third
            .and_then(|(third_at, third)| heads.meaning((words_at, &words), (*third_at, third), stitches));
        if let (Some(meaning), Some((third_at, _))) = (meaning, third) {
            sheet.take(*third_at);
            rest.next();
            at = Address::new(row, sheet.after(*third_at).column);
            let symbol = symbol_of(symbol);
            entries.push(KeyEntry { symbol, meaning, place: sheet.grid.place(words_at) });
            continue;
        }
        entries.push(entry(sheet, symbol, words, words_at, stitches));
    }
    taken
}

/// The symbol that a key names: "blank" is the blank cell.
fn symbol_of(symbol: String) -> String {
    if is_one_of(&BLANKS, &symbol) { String::new() } else { symbol }
}

fn entry(sheet: &Sheet<'_>, symbol: String, words: String, at: Address, stitches: &mut Stitches) -> KeyEntry {
    let symbol = symbol_of(symbol);
    let words = words.trim_start_matches(['=', ':']).trim().to_owned();
    // Beside a filled square, words that name no stitch name a colour, worked in knit stitches as colour work is.
    let colour = symbol.starts_with(FILL) && words::meaning(&words, stitches).is_none();
    let meaning = if colour {
        Meaning { stitch: Some("k".to_owned()), colour: Some(words), ..Meaning::default() }
    } else {
        Meaning { stitch: Some(words), ..Meaning::default() }
    };
    KeyEntry { symbol, meaning, place: sheet.grid.place(at) }
}

/// "o = yarn over", "o: yarn over", "o - yarn over" in one cell.
fn split_line(text: &str) -> Option<(String, String)> {
    const MARKS: [&str; 7] = [" = ", " – ", " — ", " - ", ": ", "=", ":"];
    // A symbol, a mark and a word.
    if text.len() < 3 {
        return None;
    }
    // The sign alone is sought first, for most texts hold none of them.
    let holds = |mark: &&&str| mark.trim().chars().next().is_some_and(|sign| text.contains(sign));
    let (symbol, words) = MARKS.iter().filter(holds).find_map(|mark| text.split_once(mark))?;
    let (symbol, words) = (symbol.trim(), words.trim());
    let short = symbol.chars().count() <= 12;
    (short && !symbol.is_empty() && !words.is_empty()).then(|| (symbol.to_owned(), words.to_owned()))
}

/// Lines such as "o = yarn over" that stand alone, with no heading.
fn free_lines(sheet: &mut Sheet<'_>, stitches: &mut Stitches, entries: &mut Vec<KeyEntry>) {
    for (at, (symbol, words)) in sheet.tested(split_line) {
        let short = symbol.chars().count() <= 6 || is_one_of(&BLANKS, &symbol);
        if short && words::meaning(&words, stitches).is_some() {
            sheet.take(at);
            entries.push(entry(sheet, symbol, words, at, stitches));
        }
    }
}

/// Filled squares without text right above or below the pairs of a key, with the words of a stitch beside them.
fn filled_squares(
    sheet: &mut Sheet<'_>,
    pairs: &[(Address, Address)],
    stitches: &mut Stitches,
    entries: &mut Vec<KeyEntry>,
) {
    for (at, words_at) in pairs {
        for step in [-1, 1] {
            let mut next = at.row.checked_add_signed(step);
            while let Some(row) = next {
                let (square_at, words_at) =
                    (Address::new(row, at.column), Address::new(row, words_at.column));
                let filled = sheet.text(square_at).is_none_or(|text| text.starts_with(FILL));
                let named = |text: &Text<'_>| words::meaning(text, stitches).is_some();
                if !filled || sheet.look(square_at).is_none() || sheet.text(words_at).filter(named).is_none()
                {
                    break;
                }
                let symbol = square(sheet, square_at);
                sheet.pass(square_at);
                if let Some(words) = sheet.take(words_at) {
                    entries.push(entry(sheet, symbol, words.to_string(), words_at, stitches));
                }
                next = row.checked_add_signed(step);
            }
        }
    }
}

/// Pairs right above or below those of a key whose words name no stitch, though another cell holds the symbol: they are
/// entries too, and what is wrong with them is said.
fn unread_pairs(sheet: &Sheet<'_>, chosen: &[(Address, Address)]) -> Vec<(Address, Address)> {
    let blank = |at: Address| sheet.text(at).is_none();
    let unread = |at: Address| {
        let words_at = sheet.after(at);
        let (symbol, words) = (sheet.text(at)?, sheet.text(words_at)?);
        let alone = at.column.checked_sub(1).is_none_or(|before| blank(Address::new(at.row, before)));
        let free = alone && blank(sheet.after(words_at)) && words.contains(' ');
        let used = || sheet.texts().any(|(other, text)| other != at && text == symbol);
        (free && symbol.chars().count() <= 6 && used()).then_some((at, words_at))
    };
    let mut found: Vec<(Address, Address)> = Vec::new();
    for (at, _) in chosen {
        for step in [-1, 1] {
            let mut next = at.row.checked_add_signed(step);
            while let Some(pair) = next.map(|row| Address::new(row, at.column)).and_then(unread) {
                if chosen.contains(&pair) || found.contains(&pair) {
                    break;
                }
                found.push(pair);
                next = pair.0.row.checked_add_signed(step);
            }
        }
    }
    found
}

/// Pairs of a symbol and words in two neighbouring cells, with nothing on either side: two or more below each
/// other, or one whose words can't be a symbol.
fn free_pairs(sheet: &mut Sheet<'_>, stitches: &mut Stitches, entries: &mut Vec<KeyEntry>) {
    sides::take_free(sheet, stitches, entries);
    // By column and row: the cell of the words, and whether they are longer than a symbol of a chart.
    let mut pairs: BTreeMap<(u32, u32), (Address, bool)> = BTreeMap::new();
    for row in sheet.rows() {
        for Run { before, cells: [(at, symbol), (words_at, words)] } in sheet.runs(row) {
            // A row number may stand right before the key of its chart.
            let open = before.is_none();
            let free = before.is_none_or(|before| super::label::parse(&before).is_some());
            let long = words.chars().count() > 2;
            if free
                && symbol.chars().count() <= 6
                && (long && open || words::named(&symbol, stitches).is_none())
                && words::meaning(&words, stitches).is_some()
            {
                pairs.insert((at.column, at.row), (words_at, long));
            }
        }
    }
    let long =
        |column: u32, row: Option<u32>| row.and_then(|row| pairs.get(&(column, row))).map(|(_, long)| *long);
    // Pairs below each other are a key where the words of one are too long for a symbol.
    let stacked = |column: u32, row: u32, own: bool| {
        let mut reached = vec![];
        for step in [-1i64, 1] {
            let mut at = i64::from(row) + step;
            while let Some(long) = long(column, u32::try_from(at).ok()) {
                reached.push(long);
                at += step;
            }
        }
        !reached.is_empty() && (own || reached.contains(&true))
    };
    let wordy = |words: Address| sheet.text(words).is_some_and(|text| text.contains(' '));
    let mut chosen: Vec<(Address, Address)> = pairs
        .iter()
        .filter(|((column, row), (words, long))| wordy(*words) || stacked(*column, *row, *long))
        .map(|((column, row), (words, _))| (Address::new(*row, *column), *words))
        .collect();
    let unread = unread_pairs(sheet, &chosen);
    chosen.extend(unread);
    for &(at, words_at) in &chosen {
        if let (Some(symbol), Some(words)) = (sheet.take(at), sheet.take(words_at)) {
            entries.push(entry(sheet, symbol.to_string(), words.to_string(), words_at, stitches));
        }
    }
    filled_squares(sheet, &chosen, stitches, entries);
}
