//! One line of a key: the symbols and words that stand side by side in a row, from the column of the symbols on.

use super::super::sheet::Sheet;
use super::layout::{Layout, is_mark, stands_twice};
use super::sides::Sides;
use super::{
    Found, entry, heads_column, is_short, joins_above, says, split_line, square, symbol_at, symbol_of,
};
use crate::place::Address;
use crate::settings::KeyEntry;
use crate::stitch::Stitches;
use crate::words;

/// The cells of a row that are not read yet, and what was read before them.
struct Line {
    cells: Vec<(Address, String)>,
    /// Which of the cells is the next.
    next: usize,
    /// How many cells were taken.
    taken: usize,
    /// Where the next symbol is expected.
    at: Address,
}

/// A symbol and its words as they stand.
struct Pair {
    symbol: String,
    words: String,
    words_at: Address,
    /// Whether the two stand in one cell.
    within: bool,
}

/// Takes the entries of one row of a key, up to the first gap that parts no entry from its symbol or the next; gives how
/// many cells it took.
pub(super) fn take(
    sheet: &mut Sheet<'_>,
    row: u32,
    layout: Layout,
    heads: &mut Sides,
    stitches: &mut Stitches,
    found: &mut Found,
) -> usize {
    let mut cells: Vec<(Address, String)> = sheet
        .row(row)
        .filter(|(at, _)| at.column >= layout.symbols)
        .map(|(at, text)| (at, text.str().to_owned()))
        .collect();
    if sheet.grid.name().is_none() {
        join_cut(sheet, &mut cells, layout, stitches);
    }
    let mut line = Line { cells, next: 0, taken: 0, at: Address::new(row, layout.symbols) };
    if line.cells.first().is_some_and(|(at, text)| layout.begins(*at) && heads_column(text)) {
        for (cell, text) in &line.cells {
            heads.see(cell.column, text);
            sheet.take(*cell);
        }
        return line.cells.len();
    }
    while let Some(pair) = line.pair(sheet, layout, stitches) {
        if joins_above(sheet, &pair.symbol, (pair.words_at, &pair.words), found, stitches) {
            line.at = sheet.after(pair.words_at);
            continue;
        }
        let behind = line.third(sheet, &pair).and_then(|(at, text)| {
            let meaning = heads.meaning((pair.words_at, &pair.words), (at, &text), stitches)?;
            Some((at, meaning))
        });
        let Pair { symbol, words, words_at, .. } = pair;
        match behind {
            Some((third_at, meaning)) => {
                line.take_next(sheet);
                line.at = sheet.after(third_at);
                let symbol = symbol_of(symbol);
                found.entries.push(KeyEntry { symbol, meaning, place: sheet.grid.place(words_at) });
            }
            None => {
                line.at = sheet.after(words_at);
                found.entries.push(entry(sheet, symbol, words, words_at, stitches));
            }
        }
    }
    line.taken
}

/// The most cells that commas cut the words of an entry into.
const MOST_CUT: usize = 40;

/// Joins the words of the first entry of a line, where the commas of a csv file cut them: they open a bracket, or name no stitch
/// without what stands behind, which names none itself.
fn join_cut(
    sheet: &mut Sheet<'_>,
    cells: &mut Vec<(Address, String)>,
    layout: Layout,
    stitches: &mut Stitches,
) {
    let Some(first) = cells.iter().position(|(at, _)| at.column == layout.words) else { return };
    let beside = cells.windows(2).skip(first).take_while(|two| two[1].0 == sheet.after(two[0].0)).count();
    let Some([(_, words), rest @ ..]) = cells.get(first..=first + beside) else { return };
    let Some((_, next)) = rest.first() else { return };
    let (alone, follows) = (says(words, stitches), says(next, stitches));
    let other_side = words::one_side(words).is_some() && words::one_side(next).is_some();
    // Entries side by side: a symbol stands behind the words.
    let symbol = next.chars().count() <= 2 || stands_twice(sheet, next);
    if alone && (follows || symbol) && !is_open(words) {
        return;
    }
    let (mut whole, mut best, mut closed) = (words.clone(), None, None);
    for (count, (_, text)) in (1..=MOST_CUT).zip(rest) {
        whole = format!("{whole}, {text}");
        if says(&whole, stitches) {
            best = Some((count, whole.clone()));
        }
        if closed.is_none() && !is_open(&whole) {
            closed = Some((count, whole.clone()));
        }
    }
    let must = is_open(words) || alone && other_side;
    let Some((count, whole)) = best.or(closed.filter(|_| must)) else { return };
    for (at, _) in cells.drain(first + 1..=first + count) {
        sheet.take(at);
    }
    if let Some((_, words)) = cells.get_mut(first) {
        *words = whole;
    }
}

/// Whether words open a bracket that they don't close.
pub(super) fn is_open(words: &str) -> bool {
    words.matches(['(', '[']).count() > words.matches([')', ']']).count()
}

impl Layout {
    /// Whether the first text of a line may stand here: at the symbols, or at the words with a square before it.
    fn begins(self, at: Address) -> bool {
        (self.symbols..=self.symbols.saturating_add(1)).contains(&at.column) || at.column == self.words
    }
}

impl Line {
    fn peek(&self, ahead: usize) -> Option<&(Address, String)> {
        self.cells.get(self.next + ahead)
    }

    fn take_next(&mut self, sheet: &mut Sheet<'_>) {
        if let Some((at, _)) = self.cells.get(self.next) {
            sheet.take(*at);
            self.next += 1;
            self.taken += 1;
        }
    }

    /// Takes the next symbol with its words.
    fn pair(&mut self, sheet: &mut Sheet<'_>, layout: Layout, stitches: &mut Stitches) -> Option<Pair> {
        let (first, text) = self.peek(0)?.clone();
        if self.taken == 0 && !layout.begins(first) {
            return None;
        }
        // "= purl" beside a blank square.
        let marked = self.taken == 0 && layout.marked && first != self.at && is_mark(&text);
        if let Some((words_at, words)) =
            self.peek(1).cloned().filter(|(at, _)| marked && at.column == layout.words)
        {
            let symbol = square(sheet, self.at);
            sheet.pass(self.at);
            (0..2).for_each(|_| self.take_next(sheet));
            return Some(Pair { symbol, words, words_at, within: false });
        }
        // A symbol that is set in, where the words of all lines stand further on.
        let set_in = self.taken == 0
            && first.column < layout.words
            && self.peek(1).is_some_and(|(at, _)| at.column == layout.words);
        if first != self.at && !set_in {
            if self.taken == 0 || sheet.look(self.at).is_some() {
                return self.beside_square(sheet, first, text);
            }
            if !self.parted(sheet, first, &text, stitches) {
                return None;
            }
        }
        let follows = |at: Address, next: Option<&(Address, String)>| {
            next.is_some_and(|(next, _)| next.column == sheet.after(at).column)
        };
        // "o | = | yarn over", but "- | purl" and "= | k2tog" are entries of their own.
        let equals = self.peek(1).filter(|(_, text)| is_mark(text)).map(|(at, _)| *at);
        let equals = equals.filter(|at| follows(first, self.peek(1)) && follows(*at, self.peek(2)));
        let ahead = if equals.is_some() { 2 } else { 1 };
        let line = split_line(&text);
        let whole = || line.clone().map(|(symbol, words)| (symbol, words, true));
        let next = self.peek(ahead).cloned();
        let beside = equals.is_some() || follows(first, next.as_ref());
        let says_all = line.as_ref().is_some_and(|(_, words)| says(words, stitches));
        let apart = next.as_ref().filter(|(at, words)| {
            !says_all
                && self.taken == 0
                && (at.column == layout.words
                    || (at.column == sheet.after(first).column.saturating_add(1) && says(words, stitches)))
        });
        let (symbol, words, within) = match next.as_ref().filter(|_| beside).or(apart) {
            Some((at, words))
                if layout.turned
                    || sheet.text(sheet.after(*at)).is_none() && backwards(sheet, &text, words, stitches) =>
            {
                (words.clone(), text, false)
            }
            Some((_, words)) => (symbol_at(sheet, first), words.clone(), false),
            None if layout.turned && !says_all => {
                let square_at = sheet.after(first);
                sheet.pass(square_at);
                (square(sheet, square_at), text, true)
            }
            None => whole()?,
        };
        let words_at = if within { first } else { next.map_or(first, |(at, _)| at) };
        self.take_next(sheet);
        if !within {
            (0..ahead).for_each(|_| self.take_next(sheet));
        }
        Some(Pair { symbol, words, words_at, within })
    }

    /// A square without text, and words beside it.
    fn beside_square(&mut self, sheet: &mut Sheet<'_>, words_at: Address, words: String) -> Option<Pair> {
        if words_at.column <= self.at.column || (self.taken > 0 && words_at.column > self.at.column + 1) {
            return None;
        }
        let symbol = square(sheet, self.at);
        sheet.pass(self.at);
        self.take_next(sheet);
        Some(Pair { symbol, words, words_at, within: false })
    }

    /// Whether a spare column alone parts this entry, which is surely one, from the one before.
    fn parted(&self, sheet: &Sheet<'_>, first: Address, text: &str, stitches: &mut Stitches) -> bool {
        if first.column != self.at.column.saturating_add(1) || !is_short(text) {
            return false;
        }
        let Some((words_at, words)) = self.peek(1) else { return false };
        let beside = *words_at == sheet.after(first) && sheet.text(sheet.after(*words_at)).is_none();
        beside && says(words, stitches)
    }

    /// A third column, and nothing behind it: what is worked on the other side.
    fn third(&self, sheet: &Sheet<'_>, pair: &Pair) -> Option<(Address, String)> {
        let (at, text) = self.peek(0).filter(|_| !pair.within)?;
        let last = self.peek(1).is_none_or(|(behind, _)| *behind != sheet.after(*at));
        (*at == sheet.after(pair.words_at) && last).then(|| (*at, text.clone()))
    }
}

/// Whether the words stand before their symbol: the first means something, and only the second is what a chart holds.
pub(super) fn backwards(sheet: &Sheet<'_>, first: &str, second: &str, stitches: &mut Stitches) -> bool {
    if first.chars().count() <= 2 || !is_short(second) || !says(first, stitches) {
        return false;
    }
    let mark = !second.chars().any(char::is_alphanumeric);
    (mark || stands_twice(sheet, second)) && !stands_twice(sheet, first)
}
