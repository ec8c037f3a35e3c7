//! Entries of a key that stand free, without a heading: those that are surely ones, and what stands in line with them.

use std::collections::BTreeMap;

use super::super::label;
use super::super::sheet::{Run, Sheet, Text};
use super::layout::stands_twice;
use super::{FILL, LONGEST_SYMBOL, entry, is_blank, says, sides, split_line, square};
use crate::grid::Colour;
use crate::place::Address;
use crate::settings::KeyEntry;
use crate::stitch::Stitches;
use crate::words;

/// An entry where it stands: the symbol or square, and its words.
type Pair = (Address, Address);

/// Takes the entries that stand free.
pub(super) fn take(sheet: &mut Sheet<'_>, stitches: &mut Stitches, entries: &mut Vec<KeyEntry>) {
    lines(sheet, stitches, entries);
    sides::take_free(sheet, stitches, entries);
    let mut pairs = seeds(sheet, stitches);
    let known = pairs.len();
    in_line(sheet, &mut pairs, stitches);
    // Further ones are told after those that are surely entries.
    let (sure, more) = pairs.split_at(known);
    for &(at, words_at) in sure.iter().chain(more) {
        let symbol = match sheet.take(at) {
            Some(symbol) => symbol.to_string(),
            None => square(sheet, at),
        };
        if let Some(words) = sheet.take(words_at) {
            entries.push(entry(sheet, symbol, words.to_string(), words_at, stitches));
        }
    }
}

/// Lines such as "o = yarn over" that stand alone.
fn lines(sheet: &mut Sheet<'_>, stitches: &mut Stitches, entries: &mut Vec<KeyEntry>) {
    for (at, (symbol, words)) in sheet.tested(|text| split_line(text).or_else(|| blanks_are(text))) {
        let short = symbol.chars().count() <= LONGEST_SYMBOL || is_blank(&symbol);
        if short && words::meaning(&words, stitches).is_some() {
            sheet.take(at);
            entries.push(entry(sheet, symbol, words, at, stitches));
        }
    }
}

/// "Blank squares are knit on RS, purl on WS."
fn blanks_are(text: &str) -> Option<(String, String)> {
    if text.len() < 8 {
        return None;
    }
    let first = text.split_whitespace().next()?;
    if !["blank", "empty", "a", "all", "an"].iter().any(|word| word.eq_ignore_ascii_case(first)) {
        return None;
    }
    let (squares, words) =
        [" are ", " is ", " means ", " mean "].iter().find_map(|verb| text.split_once(verb))?;
    let squares = squares.trim_start_matches(first).trim();
    let squares = match first.to_lowercase().as_str() {
        "blank" | "empty" => format!("{first} {squares}"),
        _ => squares.to_owned(),
    };
    is_blank(squares.trim()).then(|| (squares.trim().to_owned(), words.trim().to_owned()))
}

/// Pairs of a symbol and words in two neighbouring cells, with nothing on either side: two or more below each
/// other, or one whose words can't be a symbol. Filled squares with the names of colours beside them.
fn seeds(sheet: &Sheet<'_>, stitches: &mut Stitches) -> Vec<Pair> {
    // By column and row: the cell of the words, and whether they are longer than a symbol of a chart.
    let mut pairs: BTreeMap<(u32, u32), (Address, bool)> = BTreeMap::new();
    for row in sheet.rows() {
        for Run { before, cells: [(at, symbol), (words_at, words)] } in sheet.runs(row) {
            // A row number may stand right before the key of its chart.
            let open = before.is_none();
            let free = before.is_none_or(|before| label::parse(&before).is_some());
            let long = words.chars().count() > 2;
            if free
                && (symbol.chars().count() <= LONGEST_SYMBOL || is_blank(&symbol))
                && (long && open || words::named(&symbol, stitches).is_none())
                && names(sheet, &symbol, &words, stitches)
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
    let mut chosen: Vec<Pair> = pairs
        .iter()
        .filter(|((column, row), (words, long))| wordy(*words) || stacked(*column, *row, *long))
        .map(|((column, row), (words, _))| (Address::new(*row, *column), *words))
        .collect();
    chosen.extend(colours(sheet));
    chosen
}

/// Whether words name a stitch, or a colour for a symbol that a chart holds.
fn names(sheet: &Sheet<'_>, symbol: &str, words: &str, stitches: &mut Stitches) -> bool {
    words::meaning(words, stitches).is_some() || says(words, stitches) && stands_twice(sheet, symbol)
}

/// Filled squares without text with the name of a colour beside them, where another cell is filled alike.
fn colours(sheet: &Sheet<'_>) -> Vec<Pair> {
    if sheet.grid.looks.is_empty() {
        return Vec::new();
    }
    let named = sheet.tested(|text| words::is_colour(text).then_some(()));
    named.into_iter().filter_map(|(words_at, ())| Some((square_before(sheet, words_at)?, words_at))).collect()
}

/// The filled square that stands before some words, with at most one column between and nothing behind the words.
fn square_before(sheet: &Sheet<'_>, words_at: Address) -> Option<Address> {
    let blank = |at: Address| sheet.text(at).is_none();
    if sheet.text(words_at).is_none() || !blank(sheet.after(words_at)) {
        return None;
    }
    let near = (1..=2).filter_map(|back| words_at.column.checked_sub(back));
    let mut near = near.map(|column| Address::new(words_at.row, column)).take_while(|at| blank(*at));
    near.find(|at| sheet.look(*at).is_some_and(|fill| fills_elsewhere(sheet, *at, fill)))
}

/// Whether another cell has almost the same fill.
fn fills_elsewhere(sheet: &Sheet<'_>, at: Address, fill: Colour) -> bool {
    sheet
        .grid
        .looks
        .cells
        .iter()
        .any(|(other, look)| *other != at && look.fill.is_some_and(|other| other.is_almost(fill)))
}

/// Adds what stands in line with pairs of a key, right above or below, or one blank line away.
fn in_line(sheet: &Sheet<'_>, pairs: &mut Vec<Pair>, stitches: &mut Stitches) {
    let mut next = 0;
    while let Some(&(at, words_at)) = pairs.get(next) {
        next += 1;
        for step in [-1, 1] {
            for steps in [1, 2] {
                let Some(row) = at.row.checked_add_signed(step * steps) else { break };
                let pair = (Address::new(row, at.column), Address::new(row, words_at.column));
                if pairs.contains(&pair) {
                    break;
                }
                let nothing = sheet.text(pair.0).is_none() && sheet.text(pair.1).is_none();
                if nothing && steps == 1 {
                    continue;
                }
                if belongs(sheet, pair, words_at, steps == 1, stitches) {
                    pairs.push(pair);
                }
                break;
            }
        }
    }
}

/// Whether a symbol or square and words in line with an entry of a key are one too.
fn belongs(
    sheet: &Sheet<'_>,
    (at, words_at): Pair,
    beside: Address,
    touching: bool,
    stitches: &mut Stitches,
) -> bool {
    let blank = |at: Address| sheet.text(at).is_none();
    let Some(words) = sheet.text(words_at) else { return false };
    let alone = at.column.checked_sub(1).is_none_or(|before| {
        sheet.text(Address::new(at.row, before)).is_none_or(|before| label::parse(&before).is_some())
    });
    let between = (at.column + 1..words_at.column).all(|column| blank(Address::new(at.row, column)));
    if !alone || !between || !blank(sheet.after(words_at)) {
        return false;
    }
    match sheet.text(at).filter(|text| !text.starts_with(FILL)) {
        Some(symbol) => is_pair(sheet, &symbol, &words, touching, stitches),
        None => is_square(sheet, at, &words, beside, touching, stitches),
    }
}

/// Whether a symbol and words are an entry. Words that name no stitch are ones where another cell holds the symbol: what is
/// wrong with them is said.
fn is_pair(
    sheet: &Sheet<'_>,
    symbol: &str,
    words: &Text<'_>,
    touching: bool,
    stitches: &mut Stitches,
) -> bool {
    if symbol.chars().count() > LONGEST_SYMBOL && !is_blank(symbol) {
        return false;
    }
    if words.chars().count() > 2 && names(sheet, symbol, words, stitches) {
        return true;
    }
    touching && words.contains(' ') && stands_twice(sheet, symbol)
}

/// Whether a square without text and words are an entry: a filled one with a stitch, or a colour that the sheet has; a blank
/// one with a stitch, unless the words go on from the line above.
fn is_square(
    sheet: &Sheet<'_>,
    at: Address,
    words: &str,
    beside: Address,
    touching: bool,
    stitches: &mut Stitches,
) -> bool {
    let meaning = words::meaning(words, stitches);
    match sheet.look(at) {
        Some(fill) => meaning.is_some() || (is_name(words) && fills_elsewhere(sheet, at, fill)),
        None => {
            let framed = sheet.grid.looks.at(at).is_framed();
            let above = sheet.text(beside).filter(|_| beside.row < at.row && !framed);
            let goes_on = above.is_some_and(|above| words::meaning(&above, stitches) == meaning);
            meaning.is_some() && words.chars().count() > 2 && !goes_on && (touching || framed)
        }
    }
}

/// Whether words may be the name of a colour: a few, without marks of a sentence.
fn is_name(words: &str) -> bool {
    const MOST: usize = 3;
    words.split_whitespace().count() <= MOST
        && !words.contains([':', ';', '.', '='])
        && words::may_be_colour(words)
}
