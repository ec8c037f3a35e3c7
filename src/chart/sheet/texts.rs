//! The texts of a sheet in reading order. Most cells hold one of a few symbols, so each different text is kept once and
//! cells refer to it: what is asked of a text need be asked once for all cells that hold it.

use std::ops::{Deref, Range};
use std::rc::Rc;

use super::different::{Different, Kind, Number, index_of};
use crate::grid::{Cell, Grid, Value};
use crate::place::{Address, Span};

/// A text of a sheet.
#[derive(Clone, Copy, Debug)]
pub(in crate::chart) struct Text<'a> {
    /// Which of the sheet's different texts it is, from 0.
    pub(in crate::chart) index: usize,
    text: &'a str,
}

impl<'a> Text<'a> {
    /// The text itself.
    pub(in crate::chart) fn str(self) -> &'a str {
        self.text
    }
}

impl Deref for Text<'_> {
    type Target = str;

    fn deref(&self) -> &str {
        self.text
    }
}

impl PartialEq for Text<'_> {
    fn eq(&self, other: &Self) -> bool {
        self.index == other.index
    }
}

/// Texts that stand side by side in a row.
pub(in crate::chart) struct Run<'a, const CELLS: usize> {
    /// What stands in the cell right before them.
    pub(in crate::chart) before: Option<Text<'a>>,
    pub(in crate::chart) cells: [(Address, Text<'a>); CELLS],
}

/// Texts by their addresses; those that are taken leave a gap.
pub(super) struct Texts {
    different: Different,
    strips: Vec<Strip>,
    rows: Vec<Row>,
    /// How many cells hold each of the different texts.
    cells: Vec<u32>,
    /// The cells that hold more than a symbol of one character, and the numbers of their texts: few of many.
    telling: Vec<(Address, Option<Number>)>,
}

/// Cells side by side in a row that hold the same text, from the first column to the last; none once it is taken.
#[derive(Clone, Copy)]
struct Strip {
    first: u32,
    last: u32,
    number: Option<Number>,
}

/// A row that has texts.
struct Row {
    /// Its number on the sheet, from 0.
    row: u32,
    /// Where its strips stand among all, those left out that are taken at its ends.
    strips: Range<usize>,
}

impl Texts {
    /// The texts of those cells of a grid that are shown: all where that need not be asked.
    pub(super) fn new(grid: &Grid, mut shown: Option<impl FnMut(Address) -> bool>) -> Self {
        const FEW: usize = 50;
        let mut all = Self {
            different: Different::with_capacity(FEW),
            strips: Vec::with_capacity(grid.cells.len().min(8 * FEW)),
            rows: Vec::with_capacity(FEW),
            cells: Vec::with_capacity(FEW),
            telling: Vec::with_capacity(FEW),
        };
        // Readers share the text of cells that hold the same: the last few are known by where they are kept.
        let mut last: [Option<(&Rc<str>, Option<Number>)>; 32] = [None; 32];
        let all_shown = shown.is_none();
        let alike = |one: &Cell, next: &Cell| {
            let same = match (&one.value, &next.value) {
                (Value::Text(one), Value::Text(next)) => Rc::ptr_eq(one, next),
                _ => false,
            };
            all_shown && same && (one.at.row, one.at.column + 1) == (next.at.row, next.at.column)
        };
        for cells in grid.cells.chunk_by(alike) {
            let [cell, ..] = cells else { continue };
            if shown.as_mut().is_some_and(|shown| !shown(cell.at)) {
                continue;
            }
            let number = match &cell.value {
                Value::Text(text) => {
                    let slot = &mut last[(text.as_ptr().addr() >> 4) % last.len()];
                    match slot {
                        Some((known, number)) if Rc::ptr_eq(known, text) => *number,
                        _ => slot.insert((text, all.different.number_of(text))).1,
                    }
                }
                other => all.different.number(other.text().into()),
            };
            if let Some(number) = number {
                let end = cells.last().unwrap_or(cell).at.column;
                all.push(cell.at.row, Strip { first: cell.at.column, last: end, number: Some(number) });
            }
        }
        all
    }

    /// Adds cells behind all others.
    fn push(&mut self, row: u32, strip: Strip) {
        if let Some(number) = strip.number {
            let index = index_of(number);
            if self.cells.len() <= index {
                self.cells.resize(index + 1, 0);
            }
            self.cells[index] += strip.last - strip.first + 1;
        }
        if strip.number.is_some_and(|number| self.different.kind(number) != Kind::Symbol) {
            let cells = (strip.first..=strip.last).map(|column| (Address::new(row, column), strip.number));
            self.telling.extend(cells);
        }
        match (self.rows.last_mut(), self.strips.last_mut()) {
            (Some(same), Some(before)) if same.row == row => {
                if before.number == strip.number && before.last + 1 == strip.first {
                    before.last = strip.last;
                    return;
                }
                same.strips.end += 1;
            }
            _ => self.rows.push(Row { row, strips: self.strips.len()..self.strips.len() + 1 }),
        }
        self.strips.push(strip);
    }

    #[inline]
    fn text(&self, number: Number) -> Option<Text<'_>> {
        let text = self.different.get(number)?;
        Some(Text { index: index_of(number), text })
    }

    /// Which of the rows a row of the sheet is.
    fn find_row(&self, row: u32) -> Option<usize> {
        find(&self.rows, row, |row| row.row)
    }

    /// The strips of one of the rows.
    fn strips_of(&self, row: &Row) -> &[Strip] {
        self.strips.get(row.strips.clone()).unwrap_or_default()
    }

    /// The strips of a row of the sheet.
    fn of_row(&self, row: u32) -> &[Strip] {
        let row = self.find_row(row).and_then(|index| self.rows.get(index));
        row.map_or(&[], |row| self.strips_of(row))
    }

    /// Which of the strips of a row holds a column.
    fn find_strip(strips: &[Strip], column: u32) -> Option<usize> {
        let index = strips.partition_point(|strip| strip.last < column);
        strips.get(index).filter(|strip| strip.first <= column).map(|_| index)
    }

    pub(super) fn get(&self, at: Address) -> Option<Text<'_>> {
        let strips = self.of_row(at.row);
        self.text(strips.get(Self::find_strip(strips, at.column)?)?.number?)
    }

    pub(super) fn take(&mut self, at: Address) -> Option<Rc<str>> {
        let index = self.find_row(at.row)?;
        let row = self.rows.get(index)?;
        let place = row.strips.start + Self::find_strip(self.strips_of(row), at.column)?;
        let strip = self.strips.get_mut(place)?;
        let (Strip { first, last, .. }, number) = (*strip, strip.number?);
        match (first == at.column, last == at.column) {
            (true, true) => {
                strip.number = None;
                self.cut_ends(index);
            }
            (true, false) => strip.first += 1,
            (false, true) => strip.last -= 1,
            (false, false) => {
                strip.last = at.column - 1;
                let behind = Strip { first: at.column + 1, last, number: Some(number) };
                self.strips.insert(place + 1, behind);
                for (moved, row) in self.rows.iter_mut().enumerate().skip(index) {
                    row.strips.start += usize::from(moved > index);
                    row.strips.end += 1;
                }
            }
        }
        if let Some(cells) = self.cells.get_mut(index_of(number)) {
            *cells -= 1;
        }
        if let Ok(telling) = self.telling.binary_search_by_key(&at, |(at, _)| *at) {
            self.telling[telling].1 = None;
        }
        self.different.get(number).map(Rc::clone)
    }

    /// Leaves out the strips at the ends of a row that are taken.
    fn cut_ends(&mut self, index: usize) {
        let Some(row) = self.rows.get_mut(index) else { return };
        let strips = self.strips.get(row.strips.clone()).unwrap_or_default();
        let taken = |strip: &&Strip| strip.number.is_none();
        let before = strips.iter().take_while(taken).count();
        let behind = strips.iter().skip(before).rev().take_while(taken).count();
        row.strips = row.strips.start + before..row.strips.end - behind;
    }

    /// How many cells hold a text.
    pub(super) fn count(&self, text: &str) -> u32 {
        let number = self.different.known(text);
        number.and_then(|number| self.cells.get(index_of(number))).copied().unwrap_or(0)
    }

    pub(super) fn row(&self, row: u32) -> impl Iterator<Item = (Address, Text<'_>)> {
        self.cells(row, 0..u32::MAX)
    }

    /// The cells below one, from top to bottom.
    pub(super) fn below(&self, at: Address) -> impl Iterator<Item = (Address, Text<'_>)> {
        let from = self.rows.partition_point(|row| row.row <= at.row);
        self.rows.get(from..).unwrap_or_default().iter().filter_map(move |row| {
            let strips = self.strips_of(row);
            let strip = strips.get(Self::find_strip(strips, at.column)?)?;
            Some((Address::new(row.row, at.column), self.text(strip.number?)?))
        })
    }

    /// The cells in some columns of a row of the sheet.
    fn cells(&self, row: u32, columns: Range<u32>) -> impl Iterator<Item = (Address, Text<'_>)> {
        self.alike(row, columns, true).map(move |(cell, text)| (Address::new(row, cell.start), text))
    }

    /// The texts of a row that stand in none of some columns, each the first and the last of some side by side.
    pub(super) fn beside(
        &self,
        row: u32,
        columns: &[(u32, u32)],
    ) -> impl Iterator<Item = (Address, Text<'_>)> {
        // The first columns are passed over as one.
        let (first, last) = columns.first().copied().unwrap_or((u32::MAX, u32::MAX));
        let (left, right) = (self.cells(row, 0..first), self.cells(row, last.saturating_add(1)..u32::MAX));
        let outside =
            |at: Address| columns.iter().skip(1).all(|(first, last)| !(*first..=*last).contains(&at.column));
        left.chain(right).filter(move |(at, _)| outside(*at))
    }

    /// The last of so many texts that stand side by side in a row, wherever a blank cell follows.
    pub(super) fn runs<const CELLS: usize>(
        &self,
        row: u32,
        side_by_side: impl Fn(Address, Address) -> bool,
    ) -> Vec<Run<'_, CELLS>> {
        let cells: Vec<(Address, Text<'_>)> = self.row(row).collect();
        let blocks = cells.chunk_by(|one, two| side_by_side(one.0, two.0));
        let last = blocks.filter_map(|block| {
            let (before, cells) = block.split_last_chunk::<CELLS>()?;
            let beside = before.last().filter(|(before, _)| before.column + 1 == cells[0].0.column);
            Some(Run { before: beside.map(|(_, text)| *text), cells: *cells })
        });
        last.collect()
    }

    /// What stands in some columns of a row, from the first to the last.
    pub(super) fn across(
        &self,
        row: u32,
        (first, last): (u32, u32),
    ) -> impl Iterator<Item = (u32, Option<Text<'_>>)> {
        let mut held = self.cells(row, first..u32::MAX).peekable();
        (first..=last)
            .map(move |column| (column, held.next_if(|(at, _)| at.column == column).map(|(_, text)| text)))
    }

    /// The texts in some columns of a row, each with as many cells side by side as hold it; `single` says that each cell is
    /// to be given on its own.
    pub(super) fn alike(&self, row: u32, columns: Range<u32>, single: bool) -> Alike<'_> {
        let strips = self.of_row(row);
        // Mostly the first strip is the first that is asked for.
        let from = match strips.first() {
            Some(first) if first.last < columns.start => {
                strips.partition_point(|strip| strip.last < columns.start)
            }
            _ => 0,
        };
        let strips = strips.get(from..).unwrap_or_default().iter();
        Alike { texts: self, strips, columns, single, rest: 0..0, text: None }
    }

    /// The different texts in the order of their indices.
    pub(super) fn different(&self) -> Vec<Text<'_>> {
        self.different.all().enumerate().map(|(index, (text, _))| Text { index, text }).collect()
    }

    /// The rows that hold a text not taken, each from the first such text to the last.
    pub(super) fn rows(&self) -> impl Iterator<Item = Span> {
        self.rows.iter().filter_map(|row| {
            let strips = self.strips_of(row);
            let (first, last) = (strips.first()?.first, strips.last()?.last);
            Some(Span::new(Address::new(row.row, first), Address::new(row.row, last)))
        })
    }

    /// The texts, longer than a symbol of one character, in which a test finds something. It is asked once of each
    /// different text.
    pub(super) fn tested<T: Clone>(&self, mut test: impl FnMut(&str) -> Option<T>) -> Vec<(Address, T)> {
        self.found(|kind| kind != Kind::Symbol, &mut test)
    }

    /// As [`Texts::tested`], of those texts alone that may hold a word.
    pub(super) fn tested_words<T: Clone>(
        &self,
        mut test: impl FnMut(&str) -> Option<T>,
    ) -> Vec<(Address, T)> {
        self.found(|kind| kind == Kind::Word, &mut test)
    }

    fn found<T: Clone>(
        &self,
        asked: fn(Kind) -> bool,
        test: &mut dyn FnMut(&str) -> Option<T>,
    ) -> Vec<(Address, T)> {
        // By the places of the texts among the different ones: mostly nothing.
        let mut found: Vec<(usize, T)> = Vec::new();
        for (index, (text, kind)) in self.different.all().enumerate() {
            if asked(kind)
                && let Some(value) = test(text)
            {
                found.push((index, value));
            }
        }
        if found.is_empty() {
            return Vec::new();
        }
        let value = |(at, number): &(Address, Option<Number>)| {
            let index = index_of((*number)?);
            let place = found.binary_search_by_key(&index, |(index, _)| *index).ok()?;
            Some((*at, found.get(place)?.1.clone()))
        };
        self.telling.iter().filter_map(value).collect()
    }

    /// Adds texts where there are none.
    pub(super) fn add(&mut self, texts: Vec<(Address, String)>) {
        if texts.is_empty() {
            return;
        }
        let mut all: Vec<(Address, Number)> = Vec::new();
        for row in &self.rows {
            for strip in self.strips_of(row) {
                let Some(number) = strip.number else { continue };
                all.extend((strip.first..=strip.last).map(|column| (Address::new(row.row, column), number)));
            }
        }
        all.extend(
            texts.into_iter().filter_map(|(at, text)| Some((at, self.different.number(text.into())?))),
        );
        // What was there before comes first, and stays.
        all.sort_by_key(|(at, _)| *at);
        all.dedup_by_key(|(at, _)| *at);
        self.strips.clear();
        self.rows.clear();
        self.cells.clear();
        self.telling.clear();
        for (Address { row, column }, number) in all {
            self.push(row, Strip { first: column, last: column, number: Some(number) });
        }
    }
}

/// The texts in some columns of a row, each with the cells side by side that hold it.
pub(super) struct Alike<'a> {
    texts: &'a Texts,
    strips: std::slice::Iter<'a, Strip>,
    columns: Range<u32>,
    /// Whether each cell is given on its own.
    single: bool,
    /// What is left of a strip, and its text.
    rest: Range<u32>,
    text: Option<Text<'a>>,
}

impl<'a> Iterator for Alike<'a> {
    type Item = (Range<u32>, Text<'a>);

    #[inline]
    fn next(&mut self) -> Option<Self::Item> {
        while self.rest.is_empty() {
            let strip = self.strips.next().filter(|strip| strip.first < self.columns.end)?;
            let Some(number) = strip.number else { continue };
            self.rest = strip.first.max(self.columns.start)..(strip.last + 1).min(self.columns.end);
            self.text = self.texts.text(number);
        }
        let end = if self.single { self.rest.start + 1 } else { self.rest.end };
        let cells = std::mem::replace(&mut self.rest.start, end)..end;
        Some((cells, self.text?))
    }
}

/// Where something stands among others that are in order. It stands no further on than it would without gaps before it,
/// and there are few: it is looked for from there backwards, by halves where it is not near.
fn find<T>(items: &[T], wanted: u32, key: impl Fn(&T) -> u32) -> Option<usize> {
    const NEAR: usize = 4;
    let first = key(items.first()?);
    let furthest = (wanted.checked_sub(first)? as usize).min(items.len() - 1);
    for back in 0..=NEAR.min(furthest) {
        let at = furthest - back;
        match key(items.get(at)?) {
            found if found == wanted => return Some(at),
            found if found < wanted => return None,
            _ => {}
        }
    }
    let before = items.get(..furthest)?;
    before.binary_search_by_key(&wanted, key).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    const ALL: Option<fn(Address) -> bool> = None;

    /// "k k k . o o", a gap of one, "o k": worked out by hand. The columns may go on without an end.
    #[test]
    fn cells_that_hold_the_same_are_taken_together() {
        let mut grid = Grid::lines("a.csv".into());
        let typed = [(0, "k"), (1, "k"), (2, "k"), (4, "o"), (5, "o"), (7, "o"), (8, "k")];
        grid.cells = typed
            .iter()
            .map(|&(column, text)| Cell { at: Address::new(3, column), value: Value::Text(text.into()) })
            .collect();
        let mut texts = Texts::new(&grid, ALL);
        let alike = |texts: &Texts, columns, single| -> Vec<(Range<u32>, String)> {
            let found = texts.alike(3, columns, single);
            found.map(|(columns, text)| (columns, text.str().to_owned())).collect()
        };
        let named = |found: &[(Range<u32>, &str)]| -> Vec<(Range<u32>, String)> {
            found.iter().map(|(columns, text)| (columns.clone(), (*text).to_owned())).collect()
        };
        let together = named(&[(1..3, "k"), (4..6, "o"), (7..8, "o"), (8..9, "k")]);
        assert_eq!(alike(&texts, 1..u32::MAX, false), together);
        assert_eq!(alike(&texts, 1..5, true), named(&[(1..2, "k"), (2..3, "k"), (4..5, "o")]));
        assert_eq!([texts.count("k"), texts.count("o")], [4, 3]);
        texts.take(Address::new(3, 1));
        assert_eq!([texts.count("k"), texts.count("o")], [3, 3]);
        assert_eq!(alike(&texts, 0..4, false), named(&[(0..1, "k"), (2..3, "k")]));
    }

    #[test]
    fn texts_are_found_taken_and_added() {
        let at = Address::new;
        // A row without gaps, some with gaps, an empty one, and one that begins late.
        let places = [(0, 0), (0, 1), (1, 0), (1, 2), (1, 7), (1, 20), (1, 21), (3, 5), (40, 1)];
        let mut grid = Grid::lines("a.csv".into());
        grid.cells = places
            .iter()
            .map(|&(row, column)| Cell {
                at: at(row, column),
                value: Value::Text(format!(" {row},{column}").into()),
            })
            .collect();
        let mut texts = Texts::new(&grid, Some(|at| at != Address::new(1, 21)));
        for row in 0..42 {
            for column in 0..24 {
                let stands = places.contains(&(row, column)) && (row, column) != (1, 21);
                let expected = stands.then(|| format!("{row},{column}"));
                assert_eq!(texts.get(at(row, column)).map(Text::str), expected.as_deref());
            }
        }
        assert_eq!(texts.take(at(1, 2)).as_deref(), Some("1,2"));
        assert_eq!(texts.get(at(1, 2)).map(Text::str), None);
        assert_eq!(texts.take(at(1, 2)), None);
        texts.add(vec![(at(3, 5), "not this".into()), (at(2, 1), "new".into()), (at(1, 2), "0,0".into())]);
        let rows = [0, 1, 2, 3, 40].into_iter();
        let all: Vec<&str> = rows.flat_map(|row| texts.row(row)).map(|(_, text)| text.str()).collect();
        assert_eq!(all, ["0,0", "0,1", "1,0", "0,0", "1,7", "1,20", "new", "3,5", "40,1"]);
        assert_eq!(texts.row(1).count(), 4);
        let below: Vec<&str> = texts.below(at(0, 1)).map(|(_, text)| text.str()).collect();
        assert_eq!(below, ["new", "40,1"]);
        assert_eq!(texts.get(at(1, 2)), texts.get(at(0, 0)));
        assert_eq!(["0,0", "1,0", "1,2", "nowhere"].map(|text| texts.count(text)), [2, 1, 0, 0]);
        let mut asked = 0;
        let tested = texts.tested(|text| {
            asked += 1;
            (text == "0,0").then_some('x')
        });
        assert_eq!(tested, [(at(0, 0), 'x'), (at(1, 2), 'x')]);
        // Eight were shown at first, and two that are new came; one of the eight stands nowhere any more.
        assert_eq!(asked, 10);
        assert!(Texts::new(&Grid::lines("a.csv".into()), ALL).get(at(0, 0)).is_none());
    }
}
