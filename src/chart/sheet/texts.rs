//! The texts of a sheet in reading order. Most cells hold one of a few symbols, so each different text is kept once and
//! cells refer to it: what is asked of a text need be asked once for all cells that hold it.

use std::num::NonZeroU32;
use std::ops::{Deref, Range};
use std::sync::Arc;

use std::collections::hash_map::Entry;

use foldhash::{HashMap, HashMapExt};

use crate::grid::{Grid, Value};
use crate::place::Address;

/// A text of a sheet.
#[derive(Clone, Copy, Debug)]
pub(in crate::chart) struct Text<'a> {
    /// Which of the sheet's different texts it is, from 0.
    pub(in crate::chart) index: usize,
    text: &'a Arc<str>,
}

impl<'a> Text<'a> {
    /// The text itself.
    pub(in crate::chart) fn str(self) -> &'a str {
        self.text
    }

    /// The text, to keep.
    pub(in crate::chart) fn shared(self) -> Arc<str> {
        Arc::clone(self.text)
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

/// The number of a different text, from 1.
type Number = NonZeroU32;

/// Texts by their addresses; those that are taken leave a gap.
pub(super) struct Texts {
    different: Different,
    cells: Vec<(Address, Option<Number>)>,
    rows: Vec<Row>,
}

/// A row that has texts.
struct Row {
    /// Its number on the sheet, from 0.
    row: u32,
    /// Where it begins in all cells.
    start: usize,
    /// How many of its texts are not taken.
    left: usize,
}

/// The different texts, each once.
struct Different {
    texts: Vec<Arc<str>>,
    numbers: HashMap<Arc<str>, Number>,
    /// Those that may hold a word. Most are symbols and numbers, which need not be asked whether they are a heading, a
    /// setting or a sentence.
    wordy: Vec<Number>,
}

impl Different {
    fn number(&mut self, text: Arc<str>) -> Option<Number> {
        match self.numbers.entry(text) {
            Entry::Occupied(known) => Some(*known.get()),
            Entry::Vacant(new) => {
                let number = u32::try_from(self.texts.len() + 1).ok().and_then(Number::new)?;
                if is_wordy(new.key()) {
                    self.wordy.push(number);
                }
                self.texts.push(Arc::clone(new.key()));
                Some(*new.insert(number))
            }
        }
    }

    /// The number of a text as it is typed: of what can be seen of it. A text in which nothing can be seen has none.
    fn number_of(&mut self, typed: &Arc<str>) -> Option<Number> {
        if is_plain(typed) {
            return self.number(Arc::clone(typed));
        }
        let seen = Value::Text(Arc::clone(typed)).text();
        if seen.is_empty() { None } else { self.number(seen.into()) }
    }

    #[inline]
    fn get(&self, number: Number) -> Option<Text<'_>> {
        let index = number.get() as usize - 1;
        self.texts.get(index).map(|text| Text { index, text })
    }
}

impl Texts {
    /// The texts of those cells of a grid that are shown.
    pub(super) fn new(grid: &Grid, mut shown: impl FnMut(Address) -> bool) -> Self {
        const FEW: usize = 50;
        let mut different = Different {
            texts: Vec::with_capacity(FEW),
            numbers: HashMap::with_capacity(FEW),
            wordy: Vec::with_capacity(FEW),
        };
        let mut cells = Vec::with_capacity(grid.cells.len());
        let mut rows = Vec::new();
        // Readers share the text of cells that hold the same: the last few are known by where they are kept.
        let mut last: [Option<(&Arc<str>, Option<Number>)>; 32] = [None; 32];
        for cell in grid.cells.iter().filter(|cell| shown(cell.at)) {
            let number = match &cell.value {
                Value::Text(text) => {
                    let slot = &mut last[(text.as_ptr().addr() >> 4) % last.len()];
                    match slot {
                        Some((known, number)) if Arc::ptr_eq(known, text) => *number,
                        _ => slot.insert((text, different.number_of(text))).1,
                    }
                }
                other => different.number(other.text().into()),
            };
            if number.is_none() {
                continue;
            }
            count_in_row(&mut rows, cell.at.row, cells.len());
            cells.push((cell.at, number));
        }
        Self { different, cells, rows }
    }

    fn find_rows(&mut self) {
        self.rows.clear();
        for (index, (at, _)) in self.cells.iter().enumerate() {
            count_in_row(&mut self.rows, at.row, index);
        }
    }

    /// Which of the rows a row of the sheet is.
    fn find_row(&self, row: u32) -> Option<usize> {
        find(&self.rows, row, |row| row.row)
    }

    /// The cells of one of the rows.
    fn cells_of(&self, index: usize) -> &[(Address, Option<Number>)] {
        let end = self.rows.get(index + 1).map_or(self.cells.len(), |next| next.start);
        let start = self.rows.get(index).map_or(end, |row| row.start);
        self.cells.get(start..end).unwrap_or_default()
    }

    /// The cells of a row of the sheet.
    fn of_row(&self, row: u32) -> &[(Address, Option<Number>)] {
        self.find_row(row).map_or(&[], |index| self.cells_of(index))
    }

    /// Where a cell stands among those of its row.
    fn find_cell(cells: &[(Address, Option<Number>)], column: u32) -> Option<usize> {
        find(cells, column, |(at, _)| at.column)
    }

    pub(super) fn get(&self, at: Address) -> Option<Text<'_>> {
        let cells = self.of_row(at.row);
        self.different.get(cells.get(Self::find_cell(cells, at.column)?)?.1?)
    }

    pub(super) fn take(&mut self, at: Address) -> Option<Arc<str>> {
        let index = self.find_row(at.row)?;
        let found = Self::find_cell(self.cells_of(index), at.column)?;
        let row = self.rows.get_mut(index)?;
        let number = self.cells.get_mut(row.start + found)?.1.take()?;
        row.left -= 1;
        self.different.texts.get(number.get() as usize - 1).map(Arc::clone)
    }

    pub(super) fn iter(&self) -> impl Iterator<Item = (Address, Text<'_>)> {
        self.shown(&self.cells)
    }

    pub(super) fn row(&self, row: u32) -> impl Iterator<Item = (Address, Text<'_>)> {
        self.shown(self.of_row(row))
    }

    /// The texts of a row that stand in none of some columns, each the first and the last of some side by side.
    pub(super) fn beside(
        &self,
        row: u32,
        columns: &[(u32, u32)],
    ) -> impl Iterator<Item = (Address, Text<'_>)> {
        let cells = self.of_row(row);
        // The first columns are passed over as one.
        let inside = columns.first().map_or(0..0, |(first, last)| {
            let from = cells.partition_point(|(at, _)| at.column < *first);
            from..cells.partition_point(|(at, _)| at.column <= *last).max(from)
        });
        let left = cells.get(..inside.start).unwrap_or_default();
        let right = cells.get(inside.end..).unwrap_or_default();
        let outside =
            |at: Address| columns.iter().skip(1).all(|(first, last)| !(*first..=*last).contains(&at.column));
        self.shown(left).chain(self.shown(right)).filter(move |(at, _)| outside(*at))
    }

    /// The last of so many texts that stand side by side in a row, wherever a blank cell follows.
    pub(super) fn runs<const CELLS: usize>(
        &self,
        row: u32,
        merged: bool,
        side_by_side: impl Fn(Address, Address) -> bool,
    ) -> impl Iterator<Item = Run<'_, CELLS>> {
        let index = self.find_row(row);
        let cells = index.map_or(&[][..], |index| self.cells_of(index));
        let left = index.and_then(|index| self.rows.get(index)).map_or(0, |row| row.left);
        // Of most rows nothing is taken, and no cell between the first and the last is blank.
        let unbroken = !merged
            && left == cells.len()
            && matches!(cells, [first, .., last] if (last.0.column - first.0.column) as usize + 1 == left);
        let joined = move |one: &(Address, Option<Number>), two: &(Address, Option<Number>)| {
            unbroken || one.1.is_some() && two.1.is_some() && side_by_side(one.0, two.0)
        };
        cells.chunk_by(joined).filter_map(|block| {
            let (before, found) = block.split_last_chunk::<CELLS>()?;
            let text =
                |(at, number): &(Address, Option<Number>)| Some((*at, self.different.get((*number)?)?));
            let mut cells = [text(found.first()?)?; CELLS];
            for (cell, found) in cells.iter_mut().zip(found) {
                *cell = text(found)?;
            }
            let before = before.last().and_then(text);
            let beside = before.filter(|(before, _)| before.column + 1 == found[0].0.column);
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
        let from = cells.partition_point(|(at, _)| at.column < first);
        let mut rest = cells.get(from..).unwrap_or_default();
        (first..=last).map(move |column| match rest {
            [(at, number), behind @ ..] if at.column == column => {
                rest = behind;
                (column, number.and_then(|number| self.different.get(number)))
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
        let from = cells.partition_point(|(at, _)| at.column < columns.start);
        let to = cells.partition_point(|(at, _)| at.column < columns.end);
        let alike = move |(one, text): &(Address, Option<Number>),
                          (other, next): &(Address, Option<Number>)| {
            !single && one.column + 1 == other.column && text == next
        };
        cells.get(from..to).unwrap_or_default().chunk_by(alike).filter_map(|run| {
            let ((first, number), (last, _)) = (run.first()?, run.last()?);
            Some((first.column..last.column + 1, self.different.get((*number)?)?))
        })
    }

    /// The different texts in the order of their indices.
    pub(super) fn different(&self) -> Vec<Text<'_>> {
        self.different.texts.iter().enumerate().map(|(index, text)| Text { index, text }).collect()
    }

    /// The rows that hold a text not taken.
    pub(super) fn rows(&self) -> Vec<u32> {
        self.rows.iter().filter(|row| row.left > 0).map(|row| row.row).collect()
    }

    fn shown<'a>(
        &'a self,
        cells: &'a [(Address, Option<Number>)],
    ) -> impl Iterator<Item = (Address, Text<'a>)> {
        cells.iter().filter_map(|(at, number)| Some((*at, self.different.get((*number)?)?)))
    }

    /// The texts in which a test finds something; it is asked once of each different text.
    pub(super) fn tested<T: Clone>(&self, mut test: impl FnMut(&str) -> Option<T>) -> Vec<(Address, T)> {
        let mut found = Found::default();
        for (index, text) in self.different.texts.iter().enumerate() {
            found.add(index, test(text));
        }
        self.holding(&found)
    }

    /// As [`Texts::tested`], of those texts alone that may hold a word.
    pub(super) fn tested_words<T: Clone>(
        &self,
        mut test: impl FnMut(&str) -> Option<T>,
    ) -> Vec<(Address, T)> {
        let mut found = Found::default();
        for number in &self.different.wordy {
            if let Some(text) = self.different.get(*number) {
                found.add(text.index, test(text.str()));
            }
        }
        self.holding(&found)
    }

    /// The cells whose text something was found in.
    fn holding<T: Clone>(&self, found: &Found<T>) -> Vec<(Address, T)> {
        if found.values.is_empty() {
            return Vec::new();
        }
        let mut cells = Vec::new();
        // Few of many cells hold one.
        for (at, number) in &self.cells {
            if let Some(number) = number
                && let Some(value) = found.get(number.get() as usize - 1)
            {
                cells.push((*at, value.clone()));
            }
        }
        cells
    }

    /// Adds texts where there are none.
    pub(super) fn add(&mut self, texts: Vec<(Address, String)>) {
        if texts.is_empty() {
            return;
        }
        self.cells.retain(|(_, text)| text.is_some());
        for (at, text) in texts {
            self.cells.push((at, self.different.number(text.into())));
        }
        // What was there before comes first, and stays.
        self.cells.sort_by_key(|(at, _)| *at);
        self.cells.dedup_by_key(|(at, _)| *at);
        self.find_rows();
    }
}

/// What a test found in some of the different texts: mostly nothing.
struct Found<T> {
    values: Vec<T>,
    /// Of each text up to the last in which something was found: which value it is, from 1.
    indices: Vec<usize>,
}

impl<T> Default for Found<T> {
    fn default() -> Self {
        Self { values: Vec::new(), indices: Vec::new() }
    }
}

impl<T> Found<T> {
    #[inline]
    fn add(&mut self, index: usize, value: Option<T>) {
        if let Some(value) = value {
            self.values.push(value);
            self.indices.resize(index, 0);
            self.indices.push(self.values.len());
        }
    }

    #[inline]
    fn get(&self, index: usize) -> Option<&T> {
        self.values.get(self.indices.get(index)?.checked_sub(1)?)
    }
}

/// Counts one more cell of a row, the first of which stands at `index` in all cells.
#[inline]
fn count_in_row(rows: &mut Vec<Row>, row: u32, index: usize) {
    match rows.last_mut() {
        Some(last) if last.row == row => last.left += 1,
        _ => rows.push(Row { row, start: index, left: 1 }),
    }
}

/// Whether [`Value::text`] would leave a text as it is; of texts beyond ASCII it is not known.
fn is_plain(text: &str) -> bool {
    let bytes = text.as_bytes();
    bytes.iter().all(|byte| byte.is_ascii_graphic() || *byte == b' ')
        && bytes.first() != Some(&b' ')
        && bytes.last() != Some(&b' ')
}

/// Whether a text may hold a word: it is longer than one character and no number.
fn is_wordy(text: &str) -> bool {
    text.chars().nth(1).is_some() && !text.bytes().all(|byte| byte.is_ascii_digit())
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
    use crate::grid::Cell;

    /// "k k k . o o", a gap of one, "o k": worked out by hand. The columns may go on without an end.
    #[test]
    fn cells_that_hold_the_same_are_taken_together() {
        let mut grid = Grid::lines("a.csv".into());
        let typed = [(0, "k"), (1, "k"), (2, "k"), (4, "o"), (5, "o"), (7, "o"), (8, "k")];
        grid.cells = typed
            .iter()
            .map(|&(column, text)| Cell { at: Address::new(3, column), value: Value::Text(text.into()) })
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
            .map(|&(row, column)| Cell {
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
