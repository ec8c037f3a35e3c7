//! Entries of a key that stand free, without a heading: those that are surely ones, and what stands in line with them.

mod drawn;
mod seeds;

use std::collections::BTreeSet;

use foldhash::HashSet;

use super::super::key::loosened;
use super::super::label;
use super::super::sheet::{Sheet, Text};
use super::columns::Columns;
use super::layout::stands_twice;
use super::{
    FILL, Found, MOST_LINES, entry, goes_on, is_background, is_blank, is_shaded, is_short, is_symbol,
    joins_above, labelled, says, says_again, sides, split_line, symbol_at,
};
use crate::grid::Colour;
use crate::place::Address;
use crate::settings::KeyEntry;
use crate::stitch::Stitches;
use crate::words;
use drawn::Drawn;

/// The most letters of a symbol that is taken for one though no cell holds it.
const MOST_LETTERS: usize = 2;

/// An entry where it stands: the symbol or square, and its words.
type Pair = (Address, Address);

/// Takes the entries that stand free.
pub(super) fn take(sheet: &mut Sheet<'_>, stitches: &mut Stitches, found: &mut Found) {
    lines(sheet, stitches, &mut found.entries);
    in_columns(sheet, stitches, found);
    let rows = Rows::of(sheet);
    sides::take_free(sheet, &rows.near, stitches, &mut found.entries);
    let mut drawn = Drawn::default();
    let mut pairs = seeds::find(sheet, &rows, stitches);
    pairs.retain(|pair| !drawn.holds(sheet, *pair));
    let known = pairs.len();
    in_line(sheet, &mut drawn, &mut pairs, stitches);
    // Further ones are told after those that are surely entries, and what goes on from one after it.
    let (sure, more) = pairs.split_at_mut(known);
    more.sort_unstable();
    for &(at, words_at) in sure.iter().chain(&*more) {
        let symbol = symbol_at(sheet, at);
        sheet.take(at);
        if let Some(words) = sheet.take(words_at)
            && !joins_above(sheet, &symbol, (words_at, &words), found, stitches)
        {
            found.entries.push(entry(sheet, symbol, words.to_string(), words_at, stitches));
        }
    }
}

/// The rows in which entries may stand free: most rows of a sheet hold symbols and numbers alone.
struct Rows {
    /// Those with a text that is longer than most symbols, as words are.
    long: Vec<u32>,
    /// Those of all blocks of rows, with no blank row in their midst, that have such a text: the words of entries that stand
    /// below each other may be short, but not all of them.
    near: Vec<u32>,
}

impl Rows {
    fn of(sheet: &Sheet<'_>) -> Self {
        let long = sheet.tested_words(|text| (text.len() > 2).then_some(()));
        let mut long: Vec<u32> = long.into_iter().map(|(at, ())| at.row).collect();
        long.dedup();
        let rows: Vec<u32> = sheet.rows().collect();
        let blocks = rows.chunk_by(|one, next| one + 1 == *next);
        let near =
            blocks.filter(|block| block.iter().any(|row| long.binary_search(row).is_ok())).flatten().copied();
        Self { near: near.collect(), long }
    }
}

/// Blocks of three columns and more, of which one holds the words for the stitches and another what they are called.
fn in_columns(sheet: &mut Sheet<'_>, stitches: &mut Stitches, found: &mut Found) {
    // The words of one line at least are such that no symbol consists of them.
    let wordy = sheet.tested_words(|text| text.contains(' ').then_some(()));
    let mut rows: Vec<u32> = wordy.into_iter().map(|(at, ())| at.row).collect();
    rows.dedup();
    let mut seen: BTreeSet<Address> = BTreeSet::new();
    for row in rows {
        let three = sheet.runs::<3>(row).filter(|run| run.before.is_none()).map(|run| run.cells[0].0);
        let four = sheet.runs::<4>(row).filter(|run| run.before.is_none()).map(|run| run.cells[0].0);
        let lines: Vec<Address> = three.chain(four).collect();
        for line in lines {
            if seen.contains(&line) {
                continue;
            }
            let begins = |row: u32| {
                let before = line.column.checked_sub(1).map(|column| Address::new(row, column));
                sheet.text(Address::new(row, line.column)).is_some()
                    && before.is_none_or(|before| sheet.text(before).is_none())
            };
            let above = (0..=row).rev().take_while(|row| begins(*row)).last().unwrap_or(row);
            let rows: Vec<u32> = (above..=u32::MAX).take_while(|row| begins(*row)).collect();
            seen.extend(rows.iter().map(|row| Address::new(*row, line.column)));
            if let Some(columns) = Columns::unheaded(sheet, &rows, line.column, false, stitches) {
                columns.take_lines(sheet, above, stitches, found);
            }
        }
    }
}

/// Lines such as "o = yarn over" that stand alone.
fn lines(sheet: &mut Sheet<'_>, stitches: &mut Stitches, entries: &mut Vec<KeyEntry>) {
    let mut held: Option<HashSet<String>> = None;
    // "Grey - lt" is a colour.
    let line = |text: &str| split_line(text).filter(|_| !words::is_colour(text)).or_else(|| blanks_are(text));
    for (at, (symbol, words)) in sheet.tested_words(line) {
        let short = is_symbol(&symbol);
        let beside_symbol = at.column.checked_sub(1).is_some_and(|before| {
            sheet.text(Address::new(at.row, before)).is_some_and(|before| stands_twice(sheet, &before))
        });
        // "2/2 RC: sl 2 sts to cn, ..." beside the symbol of the cable is its name and how it is worked; "RS: knit" is
        // what is worked on one side.
        let name = beside_symbol && words::named(&symbol, stitches).is_some();
        if name || sides::side(&symbol).is_some() {
            continue;
        }
        // "Hem: purl" is a note where no cell holds the word.
        let is_word = symbol.chars().filter(|c| c.is_alphabetic()).count() > MOST_LETTERS
            && !is_blank(&symbol)
            && !is_shaded(&symbol)
            && words::named(&symbol, stitches).is_none();
        let mut stands = || {
            let held = held.get_or_insert_with(|| {
                let texts = sheet.tested_words(|text| is_short(text).then(|| loosened(text)));
                texts.into_iter().map(|(_, text)| text).collect()
            });
            held.contains(&loosened(&symbol))
        };
        if short && words::meaning(&words, stitches).is_some() && (!is_word || stands()) {
            sheet.take(at);
            entries.push(entry(sheet, symbol, words, at, stitches));
        }
    }
}

/// "Blank squares are knit on RS, purl on WS."
fn blanks_are(text: &str) -> Option<(String, String)> {
    const SHORTEST: usize = "Blank is k".len();
    if text.len() < SHORTEST {
        return None;
    }
    let first = text.split_whitespace().next()?;
    let begins = ["blank", "empty", "a", "all", "an"].iter().any(|word| word.eq_ignore_ascii_case(first));
    if !begins && !is_shaded(first) {
        return None;
    }
    let (squares, words) =
        [" are ", " is ", " means ", " mean "].iter().find_map(|verb| text.split_once(verb))?;
    let squares = squares.trim_start_matches(first).trim();
    let squares = match first.to_lowercase().as_str() {
        "a" | "all" | "an" => squares.to_owned(),
        _ => format!("{first} {squares}"),
    };
    let squares = squares.trim();
    (is_blank(squares) || is_shaded(squares)).then(|| (squares.to_owned(), words.trim().to_owned()))
}

/// Whether words name a stitch, or a colour for a symbol that a chart holds.
pub(super) fn names(sheet: &Sheet<'_>, symbol: &str, words: &str, stitches: &mut Stitches) -> bool {
    words::meaning(words, stitches).is_some() || says(words, stitches) && stands_twice(sheet, symbol)
}

/// Whether another cell has almost the same fill.
pub(super) fn fills_elsewhere(sheet: &Sheet<'_>, at: Address, fill: Colour) -> bool {
    sheet
        .grid
        .looks
        .cells
        .iter()
        .any(|(other, look)| *other != at && look.fill.is_some_and(|other| other.is_almost(fill)))
}

/// Adds what stands in line with pairs of a key, right above or below, or one blank line away.
fn in_line(sheet: &Sheet<'_>, drawn: &mut Drawn, pairs: &mut Vec<Pair>, stitches: &mut Stitches) {
    let mut next = 0;
    let mut known: HashSet<Pair> = pairs.iter().copied().collect();
    while let Some(&(at, words_at)) = pairs.get(next) {
        next += 1;
        for step in [-1, 1] {
            for steps in [1, 2] {
                let Some(row) = at.row.checked_add_signed(step * steps) else { break };
                let pair = (Address::new(row, at.column), Address::new(row, words_at.column));
                if known.contains(&pair) {
                    break;
                }
                let nothing = sheet.text(pair.0).is_none() && sheet.text(pair.1).is_none();
                if nothing && steps == 1 {
                    continue;
                }
                if belongs(sheet, pair, steps == 1, stitches) && !drawn.holds(sheet, pair) {
                    pairs.push(pair);
                    known.insert(pair);
                }
                break;
            }
        }
    }
}

/// Whether a symbol or square and words in line with an entry of a key are one too.
fn belongs(sheet: &Sheet<'_>, (at, words_at): Pair, touching: bool, stitches: &mut Stitches) -> bool {
    let blank = |at: Address| sheet.text(at).is_none();
    let Some(words) = sheet.text(words_at) else { return false };
    let (first, last) = (at.min(words_at), at.max(words_at));
    let alone = first.column.checked_sub(1).is_none_or(|before| {
        sheet.text(Address::new(at.row, before)).is_none_or(|before| label::parse(&before).is_some())
    });
    let between = (first.column + 1..last.column).all(|column| blank(Address::new(at.row, column)));
    if !alone || !between || !blank(sheet.after(last)) {
        return false;
    }
    let square = labelled(sheet, at).is_some();
    match sheet.text(at).filter(|text| !square && !text.starts_with(FILL)) {
        Some(symbol) => {
            let whole = lines_below(sheet, (at, words_at), &words);
            is_pair(sheet, &symbol, &words, touching, stitches)
                || whole.is_some_and(|whole| {
                    is_short(&symbol) && stands_twice(sheet, &symbol) && says(&whole, stitches)
                })
        }
        None => {
            is_square(sheet, (at, words_at), &words, touching, stitches)
                || touching && is_rest(sheet, (at, words_at), &words, stitches)
        }
    }
}

/// Whether nothing stands in a cell, nor is it a square.
fn is_open(sheet: &Sheet<'_>, at: Address) -> bool {
    sheet.text(at).is_none() && sheet.look(at).is_none() && !sheet.grid.looks.at(at).is_framed()
}

/// The words of an entry with those in the lines below that stand beside nothing; none where there are no such lines.
fn lines_below(sheet: &Sheet<'_>, (at, words_at): Pair, words: &str) -> Option<String> {
    let rows = (1..).map_while(|lines| at.row.checked_add(lines)).take(MOST_LINES);
    let mut whole = None::<String>;
    for row in rows.take_while(|row| is_open(sheet, Address::new(*row, at.column))) {
        let Some(text) = sheet.text(Address::new(row, words_at.column)) else { break };
        let whole = whole.get_or_insert_with(|| words.to_owned());
        whole.push(' ');
        whole.push_str(&text);
    }
    whole
}

/// Whether words beside nothing are the rest of those of an entry above.
fn is_rest(sheet: &Sheet<'_>, (at, words_at): Pair, words: &str, stitches: &mut Stitches) -> bool {
    let mut above = Vec::new();
    for row in (0..at.row).rev().take(MOST_LINES) {
        let Some(text) = sheet.text(Address::new(row, words_at.column)) else { return false };
        above.push(text.str());
        if !is_open(sheet, Address::new(row, at.column)) {
            above.reverse();
            let above = above.join(" ");
            if !is_open(sheet, at) || says_again(&above, words, stitches) {
                return is_open(sheet, at);
            }
            // With further lines, or with this one alone.
            let all = lines_below(sheet, (at, words_at), words);
            let mut means = |rest: &str| says(&format!("{above} {rest}"), stitches);
            let names = means(words) || all.is_some_and(|all| means(&all));
            return names && goes_on(&above, words, stitches);
        }
    }
    false
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
    if !is_symbol(symbol) {
        return false;
    }
    let long = words.chars().count() > 2;
    if long && names(sheet, symbol, words, stitches) {
        return true;
    }
    let short = !long && words::meaning(words, stitches).is_some();
    touching && (short || words.contains(' ')) && stands_twice(sheet, symbol)
}

/// Whether a square without text and words are an entry: a filled one with a stitch, or a colour that the sheet has; a blank
/// one with a stitch, unless the words go on from the line above, or among filled ones with a colour.
fn is_square(
    sheet: &Sheet<'_>,
    (at, words_at): Pair,
    words: &str,
    touching: bool,
    stitches: &mut Stitches,
) -> bool {
    let meaning = words::meaning(words, stitches);
    match sheet.look(at) {
        Some(fill) => meaning.is_some() || (is_name(words) && fills_elsewhere(sheet, at, fill)),
        None => {
            if is_name(words) && is_background(sheet, words_at, stitches) {
                return true;
            }
            let framed = sheet.grid.looks.at(at).is_framed();
            let above = words_at.row.checked_sub(1).map(|row| Address::new(row, words_at.column));
            let above = above.and_then(|at| sheet.text(at)).filter(|_| !framed);
            let goes_on = above.is_some_and(|above| words::meaning(&above, stitches) == meaning);
            meaning.is_some() && words.chars().count() > 2 && !goes_on && (touching || framed)
        }
    }
}

/// Whether words may be the name of a colour: a few, without marks of a sentence, and no row number.
fn is_name(words: &str) -> bool {
    const MOST: usize = 3;
    words.split_whitespace().count() <= MOST
        && label::parse(words).is_none()
        && !words.contains([':', ';', '.', '='])
        && words::may_be_colour(words)
}
