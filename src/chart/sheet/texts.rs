//! The texts of a sheet in reading order. Most cells hold one of a few symbols, so each different text is kept once and
//! cells refer to it: what is asked of a text need be asked once for all cells that hold it.

use std::ops::{Deref, Range};
use std::rc::Rc;

use super::different::{Different, Kind, Number, index_of};
use crate::grid::{Grid, Value};
use crate::place::Address;

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
    cells: Vec<Cell>,
    rows: Vec<Row>,
    /// The cells that hold more than a symbol of one character, with where each stands among all: few of many.
    telling: Vec<(Address, usize)>,
}

/// A cell of a row, and which text it holds; none once that is taken.
#[derive(Clone, Copy)]
struct Cell {
    column: u32,
    number: Option<Number>,
}

/// A row that has texts.
struct Row {
    /// Its number on the sheet, from 0.
    row: u32,
    /// From where to where it stands among all cells, those left out that are taken at its ends.
    start: usize,
    end: usize,
    /// How many of its texts are not taken.
    left: usize,
}

impl Texts {
    /// The texts of those cells of a grid that are shown.
    pub(super) fn new(grid: &Grid, mut shown: impl FnMut(Address) -> bool) -> Self {
        const FEW: usize = 50;
        let mut all = Self {
            different: Different::with_capacity(FEW),
            cells: Vec::with_capacity(grid.cells.len()),
            rows: Vec::with_capacity(FEW),
            telling: Vec::with_capacity(FEW),
        };
        // Readers share the text of cells that hold the same: the last few are known by where they are kept.
        let mut last: [Option<(&Rc<str>, Option<Number>)>; 32] = [None; 32];
        for cell in grid.cells.iter().filter(|cell| shown(cell.at)) {
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
                all.push(cell.at, number);
            }
        }
        all
    }

    /// Adds a cell behind all others.
    #[inline]
    fn push(&mut self, at: Address, number: Number) {
        let cell = self.cells.len();
        match self.rows.last_mut() {
            Some(row) if row.row == at.row => {
                row.end += 1;
                row.left += 1;
            }
            _ => self.rows.push(Row { row: at.row, start: cell, end: cell + 1, left: 1 }),
        }
        if self.different.kind(number) != Kind::Symbol {
            self.telling.push((at, cell));
        }
        self.cells.push(Cell { column: at.column, number: Some(number) });
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

    /// The cells of one of the rows.
    fn cells_of(&self, row: &Row) -> &[Cell] {
        self.cells.get(row.start..row.end).unwrap_or_default()
    }

    /// The cells of a row of the sheet.
    fn of_row(&self, row: u32) -> &[Cell] {
        let row = self.find_row(row).and_then(|index| self.rows.get(index));
        row.map_or(&[], |row| self.cells_of(row))
    }

    /// Where a cell stands among those of its row.
    fn find_cell(cells: &[Cell], column: u32) -> Option<usize> {
        find(cells, column, |cell| cell.column)
    }

    pub(super) fn get(&self, at: Address) -> Option<Text<'_>> {
        let cells = self.of_row(at.row);
        self.text(cells.get(Self::find_cell(cells, at.column)?)?.number?)
    }

    pub(super) fn take(&mut self, at: Address) -> Option<Rc<str>> {
        let index = self.find_row(at.row)?;
        let row = self.rows.get_mut(index)?;
        let cells = self.cells.get_mut(row.start..row.end)?;
        let number = cells.get_mut(Self::find_cell(cells, at.column)?)?.number.take()?;
        row.left -= 1;
        let taken = |cell: &&Cell| cell.number.is_none();
        row.start += cells.iter().take_while(taken).count();
        row.end = (row.end - cells.iter().rev().take_while(taken).count()).max(row.start);
        self.different.get(number).map(Rc::clone)
    }

    pub(super) fn iter(&self) -> impl Iterator<Item = (Address, Text<'_>)> {
        self.rows.iter().flat_map(|row| self.shown(row.row, self.cells_of(row)))
    }

    pub(super) fn row(&self, row: u32) -> impl Iterator<Item = (Address, Text<'_>)> {
        self.shown(row, self.of_row(row))
    }

    /// The texts of a row that stand in none of some columns, each the first and the last of some side by side.
    pub(super) fn beside(
        &self,
        row: u32,
        columns: &[(u32, u32)],
    ) -> impl Iterator<Item = (Address, Text<'_>)> {
        let cells = self.of_row(row);
        // The first columns are passed over as one.
        let inside =
            columns.first().map_or(0..0, |(first, last)| within(cells, *first..last.saturating_add(1)));
        let left = cells.get(..inside.start).unwrap_or_default();
        let right = cells.get(inside.end..).unwrap_or_default();
        let outside =
            |at: Address| columns.iter().skip(1).all(|(first, last)| !(*first..=*last).contains(&at.column));
        self.shown(row, left).chain(self.shown(row, right)).filter(move |(at, _)| outside(*at))
    }

    /// The last of so many texts that stand side by side in a row, wherever a blank cell follows.
    pub(super) fn runs<const CELLS: usize>(
        &self,
        row: u32,
        merged: bool,
        side_by_side: impl Fn(Address, Address) -> bool,
    ) -> impl Iterator<Item = Run<'_, CELLS>> {
        let found = self.find_row(row).and_then(|index| self.rows.get(index));
        let cells = found.map_or(&[][..], |row| self.cells_of(row));
        let left = found.map_or(0, |row| row.left);
        // Of most rows nothing is taken, and no cell between the first and the last is blank.
        let unbroken = !merged
            && left == cells.len()
            && matches!(cells, [first, .., last] if (last.column - first.column) as usize + 1 == left);
        let at = move |cell: &Cell| Address::new(row, cell.column);
        let joined = move |one: &Cell, two: &Cell| {
            unbroken || one.number.is_some() && two.number.is_some() && side_by_side(at(one), at(two))
        };
        cells.chunk_by(joined).filter_map(move |block| {
            let (before, found) = block.split_last_chunk::<CELLS>()?;
            let text = |cell: &Cell| Some((at(cell), self.text(cell.number?)?));
            let mut cells = [text(found.first()?)?; CELLS];
            for (cell, found) in cells.iter_mut().zip(found) {
                *cell = text(found)?;
            }
            let before = before.last().and_then(text);
            let beside = before.filter(|(before, _)| before.column + 1 == found[0].column);
            Some(Run { before: beside.map(|(_, text)| text), cells })
        })
    }

    /// What stands in some columns of a row, from the first to the last.
    pub(super) fn across(
        &self,
        row: u32,
        (first, last): (u32, u32),
    ) -> impl Iterator<Item = (u32, Option<Text<'_>>)> {
        let cells = self.of_row(row);
        let mut rest = cells.get(within(cells, first..u32::MAX)).unwrap_or_default();
        (first..=last).map(move |column| match rest {
            [cell, behind @ ..] if cell.column == column => {
                rest = behind;
                (column, cell.number.and_then(|number| self.text(number)))
            }
            _ => (column, None),
        })
    }

    /// The texts in some columns of a row, each with as many cells side by side as hold it; `single` says that each cell is
    /// to be given on its own.
    pub(super) fn alike(
        &self,
        row: u32,
        columns: Range<u32>,
        single: bool,
    ) -> impl Iterator<Item = (Range<u32>, Text<'_>)> {
        let cells = self.of_row(row);
        let alike = move |one: &Cell, next: &Cell| {
            !single && one.column + 1 == next.column && one.number == next.number
        };
        cells.get(within(cells, columns)).unwrap_or_default().chunk_by(alike).filter_map(|run| {
            let (first, last) = (run.first()?, run.last()?);
            Some((first.column..last.column + 1, self.text(first.number?)?))
        })
    }

    /// The different texts in the order of their indices.
    pub(super) fn different(&self) -> Vec<Text<'_>> {
        self.different.all().enumerate().map(|(index, (text, _))| Text { index, text }).collect()
    }

    /// The rows that hold a text not taken.
    pub(super) fn rows(&self) -> impl Iterator<Item = u32> {
        self.rows.iter().filter(|row| row.left > 0).map(|row| row.row)
    }

    fn shown<'a>(&'a self, row: u32, cells: &'a [Cell]) -> impl Iterator<Item = (Address, Text<'a>)> {
        cells.iter().filter_map(move |cell| Some((Address::new(row, cell.column), self.text(cell.number?)?)))
    }

    /// The texts, longer than a symbol of one character, in which a test finds something. It is asked once of each
    /// different text.
    pub(super) fn tested<T: Clone>(&self, test: impl FnMut(&str) -> Option<T>) -> Vec<(Address, T)> {
        self.found(|kind| kind != Kind::Symbol, test)
    }

    /// As [`Texts::tested`], of those texts alone that may hold a word.
    pub(super) fn tested_words<T: Clone>(&self, test: impl FnMut(&str) -> Option<T>) -> Vec<(Address, T)> {
        self.found(|kind| kind == Kind::Word, test)
    }

    fn found<T: Clone>(
        &self,
        asked: impl Fn(Kind) -> bool,
        mut test: impl FnMut(&str) -> Option<T>,
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
        let value = |(at, cell): &(Address, usize)| {
            let index = index_of(self.cells.get(*cell)?.number?);
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
        let mut all: Vec<(Address, Number)> = Vec::with_capacity(self.cells.len() + texts.len());
        for row in &self.rows {
            let cells = self.cells_of(row).iter();
            all.extend(cells.filter_map(|cell| Some((Address::new(row.row, cell.column), cell.number?))));
        }
        all.extend(
            texts.into_iter().filter_map(|(at, text)| Some((at, self.different.number(text.into())?))),
        );
        // What was there before comes first, and stays.
        all.sort_by_key(|(at, _)| *at);
        all.dedup_by_key(|(at, _)| *at);
        self.cells.clear();
        self.rows.clear();
        self.telling.clear();
        all.into_iter().for_each(|(at, number)| self.push(at, number));
    }
}

/// Which cells of a row stand in some columns: mostly all.
fn within(cells: &[Cell], columns: Range<u32>) -> Range<usize> {
    let before = |column: u32| cells.partition_point(|cell| cell.column < column);
    let start = match cells.first() {
        Some(first) if first.column < columns.start => before(columns.start),
        _ => 0,
    };
    let end = match cells.last() {
        Some(last) if last.column >= columns.end => before(columns.end),
        _ => cells.len(),
    };
    start..end.max(start)
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
    use crate::grid;

    /// "k k k . o o", a gap of one, "o k": worked out by hand. The columns may go on without an end.
    #[test]
    fn cells_that_hold_the_same_are_taken_together() {
        let mut grid = Grid::lines("a.csv".into());
        let typed = [(0, "k"), (1, "k"), (2, "k"), (4, "o"), (5, "o"), (7, "o"), (8, "k")];
        grid.cells = typed
            .iter()
            .map(|&(column, text)| grid::Cell {
                at: Address::new(3, column),
                value: Value::Text(text.into()),
            })
            .collect();
        let mut texts = Texts::new(&grid, |_| true);
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
        texts.take(Address::new(3, 1));
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
            .map(|&(row, column)| grid::Cell {
                at: at(row, column),
                value: Value::Text(format!(" {row},{column}").into()),
            })
            .collect();
        let mut texts = Texts::new(&grid, |at| at != Address::new(1, 21));
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
        let all: Vec<&str> = texts.iter().map(|(_, text)| text.str()).collect();
        assert_eq!(all, ["0,0", "0,1", "1,0", "0,0", "1,7", "1,20", "new", "3,5", "40,1"]);
        assert_eq!(texts.row(1).count(), 4);
        assert_eq!(texts.get(at(1, 2)), texts.get(at(0, 0)));
        let mut asked = 0;
        let tested = texts.tested(|text| {
            asked += 1;
            (text == "0,0").then_some('x')
        });
        assert_eq!(tested, [(at(0, 0), 'x'), (at(1, 2), 'x')]);
        // Eight were shown at first, and two that are new came; one of the eight stands nowhere any more.
        assert_eq!(asked, 10);
        assert!(Texts::new(&Grid::lines("a.csv".into()), |_| true).get(at(0, 0)).is_none());
    }
}
