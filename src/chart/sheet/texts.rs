//! The texts of a sheet in reading order. Most cells hold one of a few symbols, so each different text is kept once and
//! cells refer to it: what is asked of a text need be asked once for all cells that hold it.

use std::num::NonZeroU32;
use std::ops::Deref;
use std::sync::Arc;

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
    /// The rows that have any, and where each begins in `cells`.
    rows: Vec<(u32, usize)>,
}

/// The different texts, each once.
struct Different {
    texts: Vec<Arc<str>>,
    numbers: HashMap<Arc<str>, Number>,
}

impl Different {
    fn number(&mut self, text: Arc<str>) -> Option<Number> {
        if let Some(number) = self.numbers.get(&text) {
            return Some(*number);
        }
        self.texts.push(Arc::clone(&text));
        let number = u32::try_from(self.texts.len()).ok().and_then(Number::new)?;
        self.numbers.insert(text, number);
        Some(number)
    }

    fn get(&self, number: Number) -> Option<Text<'_>> {
        let index = number.get() as usize - 1;
        self.texts.get(index).map(|text| Text { index, text })
    }
}

impl Texts {
    /// The texts of those cells of a grid that are shown.
    pub(super) fn new(grid: &Grid, mut shown: impl FnMut(Address) -> bool) -> Self {
        const FEW: usize = 50;
        let mut different =
            Different { texts: Vec::with_capacity(FEW), numbers: HashMap::with_capacity(FEW) };
        // What is typed, and the text it is when trimmed.
        let mut typed: HashMap<&str, Option<Number>> = HashMap::with_capacity(FEW);
        let mut cells = Vec::with_capacity(grid.cells.len());
        // Readers share the text of cells that hold the same: the last few are known by where they are kept.
        let mut last: [Option<(&Arc<str>, Option<Number>)>; 16] = [None; 16];
        for cell in grid.cells.iter().filter(|cell| shown(cell.at)) {
            let number = match &cell.value {
                Value::Text(text) => {
                    let slot = &mut last[(text.as_ptr().addr() >> 4) % last.len()];
                    match slot {
                        Some((known, number)) if Arc::ptr_eq(known, text) => *number,
                        _ => {
                            let number = *typed.entry(text).or_insert_with(|| {
                                let plain =
                                    if is_plain(text) { Arc::clone(text) } else { cell.value.text().into() };
                                if plain.is_empty() { None } else { different.number(plain) }
                            });
                            *slot = Some((text, number));
                            number
                        }
                    }
                }
                other => different.number(other.text().into()),
            };
            if number.is_some() {
                cells.push((cell.at, number));
            }
        }
        let mut texts = Self { different, cells, rows: Vec::new() };
        texts.find_rows();
        texts
    }

    fn find_rows(&mut self) {
        self.rows.clear();
        for (index, (at, _)) in self.cells.iter().enumerate() {
            if self.rows.last().is_none_or(|(row, _)| *row != at.row) {
                self.rows.push((at.row, index));
            }
        }
    }

    /// The cells of a row, and where in all of them the row begins.
    fn of_row(&self, row: u32) -> (usize, &[(Address, Option<Number>)]) {
        let Some(found) = find(&self.rows, row, |(row, _)| *row) else { return (0, &[]) };
        let end = self.rows.get(found + 1).map_or(self.cells.len(), |(_, end)| *end);
        let start = self.rows.get(found).map_or(end, |(_, start)| *start);
        (start, self.cells.get(start..end).unwrap_or_default())
    }

    fn find(&self, at: Address) -> Option<usize> {
        let (start, cells) = self.of_row(at.row);
        find(cells, at.column, |(at, _)| at.column).map(|found| start + found)
    }

    pub(super) fn get(&self, at: Address) -> Option<Text<'_>> {
        self.different.get(self.cells.get(self.find(at)?)?.1?)
    }

    pub(super) fn take(&mut self, at: Address) -> Option<Arc<str>> {
        let found = self.find(at)?;
        let index = self.cells.get_mut(found)?.1.take()?.get() as usize - 1;
        self.different.texts.get(index).map(Arc::clone)
    }

    pub(super) fn iter(&self) -> impl Iterator<Item = (Address, Text<'_>)> {
        self.shown(&self.cells)
    }

    pub(super) fn row(&self, row: u32) -> impl Iterator<Item = (Address, Text<'_>)> {
        self.shown(self.of_row(row).1)
    }

    /// The last of so many texts that stand side by side in a row, wherever a blank cell follows.
    pub(super) fn runs<const CELLS: usize>(
        &self,
        row: u32,
        side_by_side: impl Fn(Address, Address) -> bool,
    ) -> impl Iterator<Item = Run<'_, CELLS>> {
        let joined = move |one: &(Address, Option<Number>), two: &(Address, Option<Number>)| {
            one.1.is_some() && two.1.is_some() && side_by_side(one.0, two.0)
        };
        self.of_row(row).1.chunk_by(joined).filter_map(|block| {
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
        let cells = self.of_row(row).1;
        let from = cells.partition_point(|(at, _)| at.column < first);
        let mut rest = cells.get(from..).unwrap_or_default().iter().peekable();
        (first..=last).map(move |column| {
            let here = rest.next_if(|(at, _)| at.column == column);
            (column, here.and_then(|(_, number)| self.different.get((*number)?)))
        })
    }

    /// The different texts in the order of their indices.
    pub(super) fn different(&self) -> Vec<Text<'_>> {
        self.different.texts.iter().enumerate().map(|(index, text)| Text { index, text }).collect()
    }

    /// The rows that hold a text not taken.
    pub(super) fn rows(&self) -> Vec<u32> {
        let ends = self.rows.iter().skip(1).map(|(_, start)| *start).chain([self.cells.len()]);
        let left = |start: usize, end: usize| {
            self.cells.get(start..end).unwrap_or_default().iter().any(|(_, number)| number.is_some())
        };
        let rows = self.rows.iter().zip(ends).filter(|((_, start), end)| left(*start, *end));
        rows.map(|((row, _), _)| *row).collect()
    }

    fn shown<'a>(
        &'a self,
        cells: &'a [(Address, Option<Number>)],
    ) -> impl Iterator<Item = (Address, Text<'a>)> {
        cells.iter().filter_map(|(at, number)| Some((*at, self.different.get((*number)?)?)))
    }

    /// The texts in which a test finds something; it is asked once of each different text.
    pub(super) fn tested<T: Clone>(&self, test: impl FnMut(&str) -> Option<T>) -> Vec<(Address, T)> {
        let found: Vec<Option<T>> = self.different.texts.iter().map(|text| &**text).map(test).collect();
        if found.iter().all(Option::is_none) {
            return Vec::new();
        }
        let of = |number: Number| found.get(number.get() as usize - 1)?.clone();
        self.cells.iter().filter_map(|(at, number)| Some((*at, of((*number)?)?))).collect()
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

/// Whether [`Value::text`] would leave a text as it is; of texts beyond ASCII it is not known.
fn is_plain(text: &str) -> bool {
    let bytes = text.as_bytes();
    bytes.iter().all(|byte| byte.is_ascii_graphic() || *byte == b' ')
        && bytes.first() != Some(&b' ')
        && bytes.last() != Some(&b' ')
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
