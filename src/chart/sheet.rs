//! A sheet while it is being understood: the texts of its cells, taken one by one as their meaning is found.

mod different;
mod texts;

use std::cell::OnceCell;
use std::ops::Range;
use std::rc::Rc;

use foldhash::{HashMap, HashMapExt, HashSet, HashSetExt};

use super::key::{FILL, Key};
use crate::grid::{Colour, Grid, Look, Value};
use crate::place::{Address, Span};
use texts::Texts;
pub(super) use texts::{Run, Text};

/// The texts of a sheet that are not yet understood.
pub(super) struct Sheet<'a> {
    pub(super) grid: &'a Grid,
    texts: Texts,
    /// Merged cells as far as they are shown, by the first cell of that.
    merged: HashMap<Address, Span>,
    /// Where what is shown in merged cells stands in the file, where that cell is hidden.
    moved: HashMap<Address, Address>,
    /// Fills of cells, as the key has them.
    fills: HashMap<Address, Colour>,
    /// Cells that hold nothing more to understand.
    understood: HashSet<Address>,
    /// Texts that stand beside words, and both cells: found once for all charts, when all is taken that is to be.
    beside_words: OnceCell<HashMap<Box<str>, (Address, Address)>>,
    /// The first column that holds anything, and the last that looks in some way: found once for all charts.
    reach: OnceCell<(u32, u32)>,
    /// Whether any of its lines stands out: found once for all charts.
    ruled: OnceCell<bool>,
}

impl<'a> Sheet<'a> {
    pub(super) fn new(grid: &'a Grid) -> Self {
        let mut moved = HashMap::new();
        let shown = |whole: &Span| {
            let part = shown_part(grid, *whole);
            if part.first != whole.first {
                moved.insert(part.first, whole.first);
            }
            (part.first, part)
        };
        let merged: HashMap<Address, Span> = grid.merges.iter().map(shown).collect();
        // Values under a merge are not shown by any program.
        let mut covered = Covered::new(&grid.merges);
        let all = grid.merges.is_empty() && grid.hidden_rows.is_empty() && grid.hidden_columns.is_empty();
        let shown = |at| !covered.at(at) && !is_hidden(grid, at);
        let mut texts = Texts::new(grid, (!all).then_some(shown));
        let text = |(to, from): (&Address, &Address)| Some((*to, grid.get(*from)?.value.text()));
        texts.add(moved.iter().filter_map(text).filter(|(_, text)| !text.is_empty()).collect());
        Self {
            grid,
            texts,
            merged,
            moved,
            fills: HashMap::new(),
            understood: HashSet::new(),
            beside_words: OnceCell::new(),
            reach: OnceCell::new(),
            ruled: OnceCell::new(),
        }
    }

    /// Gives blank cells whose fill a key explains a symbol of their own, `fill:1F4E79`, so that a chart may be drawn
    /// in fills alone. A shade that is almost that of the key counts as it; those are given back, with a cell that
    /// has it. Where a key names colours to work in, every other fill is a symbol too, which nothing explains.
    pub(super) fn see_fills(&mut self, key: &Key) -> Vec<(Address, Colour, Colour)> {
        let keyed = key.fills();
        let mut nearly = Vec::new();
        if keyed.is_empty() {
            return nearly;
        }
        let colour_work = keyed.iter().any(|fill| key.colour_of(*fill).is_some());
        let mut covered = Covered::new(&self.grid.merges);
        let mut seen = Vec::new();
        // The fill of the key that each of the sheet is meant for.
        let mut known: HashMap<Colour, Option<Colour>> = HashMap::new();
        for (at, look) in &self.grid.looks.cells {
            let Some(fill) = look.fill else { continue };
            let meant = match known.get(&fill) {
                Some(meant) => *meant,
                None => {
                    let nearest = keyed.iter().copied().min_by_key(|keyed| keyed.distance(fill));
                    let meant = nearest.filter(|keyed| keyed.is_almost(fill));
                    nearly.extend(meant.filter(|meant| *meant != fill).map(|meant| (*at, fill, meant)));
                    *known.entry(fill).or_insert(meant)
                }
            };
            if let Some(meant) = meant {
                self.fills.insert(*at, meant);
            }
            let shown = meant.or((colour_work && fill != Colour::WHITE).then_some(fill));
            let covered = covered.at(*at);
            if let Some(shown) = shown
                && !covered
                && !is_hidden(self.grid, *at)
                && !self.understood.contains(at)
            {
                seen.push((*at, format!("{FILL}{shown}")));
            }
        }
        self.texts.add(seen);
        nearly
    }

    /// The fill of a cell, as the key has it.
    #[inline]
    pub(super) fn fill(&self, at: Address) -> Option<Colour> {
        if self.fills.is_empty() {
            return None;
        }
        self.fills.get(&at).copied()
    }

    /// The colour a cell is filled with, other than white.
    pub(super) fn look(&self, at: Address) -> Option<Colour> {
        self.grid.looks.at(at).fill.filter(|fill| *fill != Colour::WHITE)
    }

    /// Marks a cell as understood although it holds no text: the filled square of a key.
    pub(super) fn pass(&mut self, at: Address) {
        // It is asked for of cells that look in some way.
        if !self.grid.looks.is_empty() {
            self.understood.insert(at);
        }
    }

    /// Whether a cell of the sheet looks in some way, as it is found when this is asked for first.
    pub(super) fn any_looks(&self, stands_out: impl Fn(&Look) -> bool) -> bool {
        *self.ruled.get_or_init(|| self.grid.looks.each().any(stands_out))
    }

    /// The first column in which a cell holds anything, taken or not.
    pub(super) fn first_column(&self) -> u32 {
        self.reach().0
    }

    /// The last column in which a cell looks in a way of its own.
    pub(super) fn last_look(&self) -> u32 {
        self.reach().1
    }

    fn reach(&self) -> (u32, u32) {
        *self.reach.get_or_init(|| {
            let first = self.grid.cells.iter().map(|cell| cell.at.column).min();
            let last = self.grid.looks.cells.iter().map(|(at, _)| at.column).max();
            (first.unwrap_or(0), last.unwrap_or(0))
        })
    }

    /// The text at this address, if it is not taken.
    pub(super) fn text(&self, at: Address) -> Option<Text<'_>> {
        self.texts.get(at)
    }

    /// How many cells hold a text that is not taken.
    pub(super) fn count(&self, text: &str) -> u32 {
        self.texts.count(text)
    }

    /// The value at this address, taken or not.
    pub(super) fn value(&self, at: Address) -> Option<&'a Value> {
        let at = if self.moved.is_empty() { at } else { self.moved.get(&at).copied().unwrap_or(at) };
        self.grid.get(at).map(|cell| &cell.value)
    }

    /// The cells the one at this address covers: more than itself where it is merged.
    #[inline]
    pub(super) fn span(&self, at: Address) -> Span {
        if self.merged.is_empty() {
            return at.into();
        }
        self.merged.get(&at).copied().unwrap_or(at.into())
    }

    /// Takes the text at this address: it is understood.
    pub(super) fn take(&mut self, at: Address) -> Option<Rc<str>> {
        self.pass(at);
        self.beside_words.take();
        self.texts.take(at)
    }

    /// Texts that stand beside words, as they are found when this is asked for first.
    pub(super) fn beside_words(
        &self,
        find: impl FnOnce(&Self) -> HashMap<Box<str>, (Address, Address)>,
    ) -> &HashMap<Box<str>, (Address, Address)> {
        self.beside_words.get_or_init(|| find(self))
    }

    /// Puts texts back that were taken although they are to be understood otherwise.
    pub(super) fn give_back(&mut self, cells: &[Address]) {
        let texts = cells.iter().filter_map(|at| Some((*at, self.value(*at)?.text())));
        self.texts.add(texts.collect());
    }

    /// The texts not taken in a row, from left to right.
    pub(super) fn row(&self, row: u32) -> impl Iterator<Item = (Address, Text<'_>)> {
        self.texts.row(row)
    }

    /// The texts not taken in the cells below one.
    pub(super) fn below(&self, at: Address) -> impl Iterator<Item = (Address, Text<'_>)> {
        self.texts.below(at)
    }

    /// The texts not taken in a row that stand in none of some columns, each the first and the last of some side by side.
    pub(super) fn beside(
        &self,
        row: u32,
        columns: &[(u32, u32)],
    ) -> impl Iterator<Item = (Address, Text<'_>)> {
        self.texts.beside(row, columns)
    }

    /// The texts not taken, longer than a symbol of one character, in which a test finds something, in reading order. It is
    /// asked once of each different text, whether or not it stands anywhere still.
    pub(super) fn tested<T: Clone>(&self, test: impl FnMut(&str) -> Option<T>) -> Vec<(Address, T)> {
        self.texts.tested(test)
    }

    /// As [`Sheet::tested`], of those texts alone that may hold a word: no number.
    pub(super) fn tested_words<T: Clone>(&self, test: impl FnMut(&str) -> Option<T>) -> Vec<(Address, T)> {
        self.texts.tested_words(test)
    }

    /// Wherever so many cells of a row hold texts side by side and a blank cell follows: what stands there, from left to
    /// right.
    pub(super) fn runs<const CELLS: usize>(&self, row: u32) -> impl Iterator<Item = Run<'_, CELLS>> {
        self.texts.runs(row, |one, two| self.after(one) == two).into_iter()
    }

    /// What stands in some columns of a row, the first and the last included; nothing where a cell has no text.
    pub(super) fn across(
        &self,
        row: u32,
        columns: (u32, u32),
    ) -> impl Iterator<Item = (u32, Option<Text<'_>>)> {
        self.texts.across(row, columns)
    }

    /// The texts in some columns of a row, from left to right, each with as many cells side by side as hold it. Where cells
    /// are merged, hidden or have fills that a key names, each is given on its own.
    pub(super) fn alike(
        &self,
        row: u32,
        columns: Range<u32>,
    ) -> impl Iterator<Item = (Range<u32>, Text<'_>)> {
        let plain = self.merged.is_empty() && self.fills.is_empty() && self.grid.hidden_columns.is_empty();
        self.texts.alike(row, columns, !plain)
    }

    /// The different texts of the sheet, taken or not, in the order of their indices.
    pub(super) fn different(&self) -> Vec<Text<'_>> {
        self.texts.different()
    }

    /// The rows that hold a text not taken.
    pub(super) fn rows(&self) -> impl Iterator<Item = u32> {
        self.texts.rows().map(|row| row.first.row)
    }

    /// The same, each from the first such text to the last.
    pub(super) fn row_spans(&self) -> impl Iterator<Item = Span> {
        self.texts.rows()
    }

    /// Whether the column is hidden.
    #[inline]
    pub(super) fn hidden_column(&self, column: u32) -> bool {
        !self.grid.hidden_columns.is_empty() && self.grid.hidden_columns.get(column).is_some()
    }

    /// How many columns of some cells are shown.
    pub(super) fn shown_width(&self, cells: Span) -> u32 {
        let columns = cells.first.column..=cells.last.column;
        columns.filter(|column| !self.hidden_column(*column)).count() as u32
    }

    /// Whether the row is hidden.
    pub(super) fn hidden_row(&self, row: u32) -> bool {
        self.grid.hidden_rows.get(row).is_some()
    }

    /// The column with this number, counted from 1 at the right end, hidden columns left out.
    pub(super) fn nth_column_from_right(&self, right: u32, number: u32) -> Option<u32> {
        let steps = number.checked_sub(1)? as usize;
        (0..=right).rev().filter(|column| !self.hidden_column(*column)).nth(steps)
    }

    /// The address after the cell (or the merged cells) at this one.
    #[inline]
    pub(super) fn after(&self, at: Address) -> Address {
        Address::new(at.row, self.span(at).last.column.saturating_add(1))
    }
}

/// Whether the cells of a row lie in some columns, each the first and the last of some side by side: most rows of a sheet
/// hold nothing beside their chart.
pub(super) fn lies_in(row: Span, columns: &[(u32, u32)]) -> bool {
    columns.iter().any(|(first, last)| *first <= row.first.column && row.last.column <= *last)
}

/// Which cells lie under a merge, asked for in reading order: only the merges that reach the row are looked at.
struct Covered<'a> {
    /// Merges that begin in rows not reached yet, the next one last.
    later: Vec<&'a Span>,
    open: Vec<&'a Span>,
}

impl<'a> Covered<'a> {
    fn new(merges: &'a [Span]) -> Self {
        let mut later: Vec<&Span> = merges.iter().collect();
        later.sort_by_key(|span| std::cmp::Reverse(span.first));
        Self { later, open: Vec::new() }
    }

    fn at(&mut self, at: Address) -> bool {
        if self.later.is_empty() && self.open.is_empty() {
            return false;
        }
        while let Some(next) = self.later.pop_if(|next| next.first <= at) {
            self.open.push(next);
        }
        let passed = |span: &&Span| {
            span.last.row < at.row || (span.last.row == at.row && span.last.column < at.column)
        };
        self.open.retain(|span| !passed(span));
        self.open.iter().any(|span| span.contains(at) && span.first != at)
    }
}

/// The part of merged cells between the first and the last row and column that is shown; the whole where none is.
fn shown_part(grid: &Grid, whole: Span) -> Span {
    let Span { first, last } = whole;
    let rows = || (first.row..=last.row).filter(|row| grid.hidden_rows.get(*row).is_none());
    let columns = || (first.column..=last.column).filter(|column| grid.hidden_columns.get(*column).is_none());
    let part = || {
        let first = Address::new(rows().next()?, columns().next()?);
        Some(Span::new(first, Address::new(rows().next_back()?, columns().next_back()?)))
    };
    if grid.hidden_rows.is_empty() && grid.hidden_columns.is_empty() {
        whole
    } else {
        part().unwrap_or(whole)
    }
}

fn is_hidden(grid: &Grid, at: Address) -> bool {
    if grid.hidden_rows.is_empty() && grid.hidden_columns.is_empty() {
        return false;
    }
    grid.hidden_rows.get(at.row).is_some() || grid.hidden_columns.get(at.column).is_some()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cells_under_a_merge_are_covered() {
        let span = |row, column, last_row, last_column| {
            Span::new(Address::new(row, column), Address::new(last_row, last_column))
        };
        // B1:D1, A2:A3 and C2:D4, as a file may list them.
        let merges = [span(1, 2, 3, 3), span(0, 1, 0, 3), span(1, 0, 2, 0)];
        let mut covered = Covered::new(&merges);
        let rows: Vec<String> = (0..5)
            .map(|row| {
                (0..5).map(|column| if covered.at(Address::new(row, column)) { '#' } else { '.' }).collect()
            })
            .collect();
        assert_eq!(rows, ["..##.", "...#.", "#.##.", "..##.", "....."]);
    }
}
