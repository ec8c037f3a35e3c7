//! Collecting cells into grids under limits that hold for the file as a whole.

use std::rc::Rc;
use std::sync::Arc;

use foldhash::{HashSet, HashSetExt};

use super::fault::Fault;
use super::limits;
use crate::document::is_unseen;
use crate::grid::{Bands, Cell, Grid, Look, Value};
use crate::place::{Address, Span};
use crate::problem::{Code, Finding};

/// What the file may still hold.
#[derive(Debug)]
pub(super) struct Budget {
    cells: usize,
    text: usize,
    merges: usize,
    sheets: usize,
    looks: usize,
    looked_at: usize,
    bands: usize,
    comments: usize,
    conditional: usize,
    /// Texts of cells met so far; those of a single ASCII character by that, as most symbols are one.
    texts: HashSet<Rc<str>>,
    signs: [Option<Rc<str>>; 128],
}

impl Default for Budget {
    fn default() -> Self {
        Self {
            cells: limits::CELLS,
            text: limits::TEXT_BYTES,
            merges: limits::MERGES,
            sheets: limits::SHEETS,
            looks: limits::LOOKS,
            looked_at: limits::LOOKED_AT,
            bands: limits::BANDS,
            comments: limits::COMMENTS,
            conditional: limits::CONDITIONAL,
            texts: HashSet::with_capacity(50),
            signs: [const { None }; 128],
        }
    }
}

impl Budget {
    /// Counts one more sheet.
    pub(super) fn sheet(&mut self) -> Result<(), Fault> {
        take(&mut self.sheets, 1, "sheets", limits::SHEETS)
    }

    /// Says something of a run of rows or columns, and counts it unless it only makes another run longer.
    fn band<T: PartialEq>(
        &mut self,
        bands: &mut Bands<T>,
        first: u32,
        last: u32,
        value: T,
    ) -> Result<(), Fault> {
        let before = bands.len();
        bands.add(first, last, value);
        let what = "runs of rows and columns that are hidden or have a look of their own";
        take(&mut self.bands, bands.len() - before, what, limits::BANDS)
    }

    /// A text in UTF-8 as the cells of the file share it: most hold one of a few symbols. Nothing where nothing can be seen
    /// in it.
    #[inline]
    fn shared(&mut self, text: &[u8]) -> Result<Option<Rc<str>>, Fault> {
        match text {
            [] => Ok(None),
            [sign] => match self.signs.get(usize::from(*sign)) {
                Some(Some(known)) => Ok(Some(Rc::clone(known))),
                _ => self.shared_first(text),
            },
            _ => self.shared_first(text),
        }
    }

    /// The same for a sign that is met for the first time, and for words.
    fn shared_first(&mut self, text: &[u8]) -> Result<Option<Rc<str>>, Fault> {
        let letters = std::str::from_utf8(text).map_err(|_| Fault::damaged("its lines can't be read"))?;
        if is_blank(letters) {
            return Ok(None);
        }
        if let [sign] = text
            && let Some(known) = self.signs.get_mut(usize::from(*sign))
        {
            return Ok(Some(Rc::clone(known.insert(letters.into()))));
        }
        if let Some(known) = self.texts.get(letters) {
            return Ok(Some(Rc::clone(known)));
        }
        let new: Rc<str> = letters.into();
        self.texts.insert(Rc::clone(&new));
        Ok(Some(new))
    }

    /// Counts one more cell with this value.
    fn cell(&mut self, value: &Value) -> Result<(), Fault> {
        let bytes = match value {
            Value::Text(text) => text.len(),
            Value::Error(text) => text.len(),
            Value::Number(_) | Value::Date { .. } | Value::Truth(_) => 0,
        };
        self.cells(1, bytes)
    }

    /// Counts so many cells more, and the bytes of their texts.
    fn cells(&mut self, cells: usize, bytes: usize) -> Result<(), Fault> {
        take(&mut self.cells, cells, "cells that hold something", limits::CELLS)?;
        take(&mut self.text, bytes, "bytes of text in its cells", limits::TEXT_BYTES)
    }
}

#[inline]
fn take(left: &mut usize, amount: usize, what: &'static str, limit: usize) -> Result<(), Fault> {
    *left = left.checked_sub(amount).ok_or_else(|| Fault::too_many(what, limit as u64))?;
    Ok(())
}

/// Refuses a cell that no sheet has.
#[inline]
fn on_sheet(at: Address) -> Result<(), Fault> {
    if at.row >= limits::ROWS {
        return Err(Fault::too_many("rows", u64::from(limits::ROWS)));
    }
    if at.column >= limits::COLUMNS {
        return Err(Fault::too_many("columns", u64::from(limits::COLUMNS)));
    }
    Ok(())
}

/// A grid being filled. Cells may come in any order.
#[derive(Debug)]
pub(super) struct Sheet {
    grid: Grid,
    /// How many formulas have no stored result, and the first of them.
    formulas: Option<(usize, Address)>,
}

impl Sheet {
    /// Starts to fill a grid.
    pub(super) const fn new(grid: Grid) -> Self {
        Self { grid, formulas: None }
    }

    /// Makes room for so many cells more; it is no promise of them.
    pub(super) fn make_room(&mut self, cells: usize) {
        self.grid.cells.reserve(cells.min(limits::CELLS));
    }

    /// The sheet's name; empty for a csv file.
    pub(super) fn name(&self) -> Arc<str> {
        self.grid.name().map_or_else(|| Arc::from(""), Arc::clone)
    }

    /// Adds a cell. Text with nothing to see in it is a blank cell and left out.
    pub(super) fn put(&mut self, budget: &mut Budget, at: Address, value: Value) -> Result<(), Fault> {
        if let Value::Text(text) = &value
            && is_blank(text)
        {
            return Ok(());
        }
        on_sheet(at)?;
        budget.cell(&value)?;
        self.grid.cells.push(Cell { at, value });
        Ok(())
    }

    /// Adds the texts of a row, in UTF-8, those with nothing to see in them left out.
    pub(super) fn put_row<'a>(
        &mut self,
        budget: &mut Budget,
        row: u32,
        texts: impl Iterator<Item = &'a [u8]>,
    ) -> Result<(), Fault> {
        let (mut cells, mut bytes) = (0, 0);
        for (column, text) in (0..).zip(texts) {
            let Some(shared) = budget.shared(text)? else { continue };
            if column >= limits::COLUMNS {
                return Err(Fault::too_many("columns", u64::from(limits::COLUMNS)));
            }
            self.grid.cells.push(Cell { at: Address::new(row, column), value: Value::Text(shared) });
            (cells, bytes) = (cells + 1, bytes + text.len());
        }
        if cells > 0 && row >= limits::ROWS {
            return Err(Fault::too_many("rows", u64::from(limits::ROWS)));
        }
        budget.cells(cells, bytes)
    }

    /// Adds a cell with a formula whose result is not stored in the file. It is kept as an error that shows the
    /// formula, so that it can't be taken for a blank cell.
    pub(super) fn put_formula(
        &mut self,
        budget: &mut Budget,
        at: Address,
        formula: &str,
    ) -> Result<(), Fault> {
        let (count, first) = self.formulas.unwrap_or((0, at));
        self.formulas = Some((count + 1, first));
        let sign = if formula.starts_with('=') { "" } else { "=" };
        self.put(budget, at, Value::Error(format!("{sign}{formula}")))
    }

    /// Says which formulas have no stored result.
    pub(super) fn unresolved(&self) -> Option<Finding> {
        let (count, first) = self.formulas?;
        let message = if count == 1 {
            "The formula in this cell has no stored result.".to_owned()
        } else {
            format!("The formulas in this cell and {} more have no stored result.", count - 1)
        };
        Some(
            Finding::new(Code::NotSeen, self.grid.place(first), message)
                .help("Open the file in a spreadsheet program and save it, which stores the results."),
        )
    }

    /// Adds a merged range. A single cell is no merge.
    pub(super) fn merge(&mut self, budget: &mut Budget, span: Span) -> Result<(), Fault> {
        if span.first == span.last {
            return Ok(());
        }
        // Whoever reads a row walks over the columns that its merges take.
        on_sheet(span.last)?;
        take(&mut budget.merges, 1, "merged cells", limits::MERGES)?;
        self.grid.merges.push(span);
        Ok(())
    }

    /// Adds a comment that hangs on a cell, told on one line.
    pub(super) fn comment(
        &mut self,
        budget: &mut Budget,
        at: Address,
        text: impl AsRef<str>,
    ) -> Result<(), Fault> {
        let text = text.as_ref().split_whitespace().collect::<Vec<_>>().join(" ");
        take(&mut budget.comments, 1, "comments", limits::COMMENTS)?;
        take(&mut budget.text, text.len(), "bytes of text in its cells", limits::TEXT_BYTES)?;
        if !text.is_empty() {
            self.grid.comments.push((at, text));
        }
        Ok(())
    }

    /// Says that a condition may fill or hide some cells.
    pub(super) fn conditional(&mut self, budget: &mut Budget, span: Span) -> Result<(), Fault> {
        take(&mut budget.conditional, 1, "ranges with conditional formats", limits::CONDITIONAL)?;
        self.grid.conditional.push(span);
        Ok(())
    }

    /// Says how a cell looks, blank or not, once that is said of its row and column.
    pub(super) fn put_look(&mut self, budget: &mut Budget, at: Address, look: Look) -> Result<(), Fault> {
        take(&mut budget.looked_at, 1, "cells with a style", limits::LOOKED_AT)?;
        if at.row >= limits::ROWS || at.column >= limits::COLUMNS || self.grid.looks.inherited(at) == look {
            return Ok(());
        }
        take(&mut budget.looks, 1, "cells with a look of their own", limits::LOOKS)?;
        self.grid.looks.cells.push((at, look));
        Ok(())
    }

    /// Says how the cells of whole rows look.
    pub(super) fn look_of_rows(
        &mut self,
        budget: &mut Budget,
        first: u32,
        last: u32,
        look: Look,
    ) -> Result<(), Fault> {
        budget.band(&mut self.grid.looks.rows, first, last, look)
    }

    /// Says how the cells of whole columns look.
    pub(super) fn look_of_columns(
        &mut self,
        budget: &mut Budget,
        first: u32,
        last: u32,
        look: Look,
    ) -> Result<(), Fault> {
        budget.band(&mut self.grid.looks.columns, first, last, look)
    }

    /// Says that rows are hidden.
    pub(super) fn hide_rows(&mut self, budget: &mut Budget, first: u32, last: u32) -> Result<(), Fault> {
        budget.band(&mut self.grid.hidden_rows, first, last, ())
    }

    /// Says that columns are hidden.
    pub(super) fn hide_columns(&mut self, budget: &mut Budget, first: u32, last: u32) -> Result<(), Fault> {
        budget.band(&mut self.grid.hidden_columns, first, last, ())
    }

    /// Marks the sheet as hidden.
    pub(super) const fn hide(&mut self, hidden: bool) {
        self.grid.hidden = hidden;
    }

    /// Marks the sheet as shown from right to left.
    pub(super) const fn turn(&mut self, right_to_left: bool) {
        self.grid.right_to_left = right_to_left;
    }

    /// The grid, in order. Of two cells with one address, the later one in the file counts, and so does its look. What merged cells cover
    /// can't be seen and is left out.
    pub(super) fn finish(self) -> Grid {
        let mut grid = self.grid;
        if !grid.cells.is_sorted_by(|a, b| a.at < b.at) {
            grid.cells.sort_by_key(|cell| cell.at);
            // Keeps the first of its kind, so the order is turned round to keep the last.
            grid.cells.reverse();
            grid.cells.dedup_by_key(|cell| cell.at);
            grid.cells.reverse();
        }
        let looks = &mut grid.looks.cells;
        if !looks.is_sorted_by(|a, b| a.0 < b.0) {
            looks.sort_by_key(|(at, _)| *at);
            looks.reverse();
            looks.dedup_by_key(|(at, _)| *at);
            looks.reverse();
        }
        grid.comments.sort_by_key(|(at, _)| *at);
        grid.conditional.sort_unstable();
        grid.conditional.dedup();
        grid.merges.sort_unstable();
        grid.merges.dedup();
        uncover(&mut grid);
        grid
    }
}

/// Leaves out what can't be seen of merged cells: the cells that lie under one, and lines inside it, which some programs
/// write for every cell of it.
fn uncover(grid: &mut Grid) {
    if grid.merges.is_empty() {
        return;
    }
    let mut over = Over::new(&grid.merges);
    grid.cells.retain(|cell| over.at(cell.at).is_none_or(|merge| merge.first == cell.at));
    let mut over = Over::new(&grid.merges);
    for (at, look) in &mut grid.looks.cells {
        let Some(Span { first, last }) = over.at(*at) else { continue };
        look.left = look.left.filter(|_| at.column == first.column);
        look.right = look.right.filter(|_| at.column == last.column);
        look.top = look.top.filter(|_| at.row == first.row);
        look.bottom = look.bottom.filter(|_| at.row == last.row);
    }
}

/// The merged cells over cells that are asked for in order.
struct Over<'a> {
    coming: std::iter::Peekable<std::slice::Iter<'a, Span>>,
    /// Those that reach the present row, by their first column. They do not overlap in a sound file.
    reaching: Vec<Span>,
    row: Option<u32>,
}

impl<'a> Over<'a> {
    fn new(merges: &'a [Span]) -> Self {
        Self { coming: merges.iter().peekable(), reaching: Vec::new(), row: None }
    }

    fn at(&mut self, at: Address) -> Option<Span> {
        if self.row != Some(at.row) {
            self.row = Some(at.row);
            self.reaching.retain(|merge| merge.last.row >= at.row);
            while let Some(merge) = self.coming.next_if(|merge| merge.first.row <= at.row) {
                if merge.last.row >= at.row {
                    self.reaching.push(*merge);
                }
            }
            self.reaching.sort_unstable_by_key(|merge| merge.first.column);
        }
        let before = self.reaching.partition_point(|merge| merge.first.column <= at.column);
        let over = before.checked_sub(1).and_then(|index| self.reaching.get(index));
        over.copied().filter(|merge| merge.contains(at))
    }
}

/// Whether a text has nothing to see in it.
#[inline]
pub(super) fn is_blank(text: &str) -> bool {
    // Most texts are symbols.
    !text.as_bytes().first().is_some_and(u8::is_ascii_graphic) && text.chars().all(unseen)
}

/// Whether a character leaves no trace in a cell: spaces of every kind, marks without width.
fn unseen(c: char) -> bool {
    c.is_whitespace() || c.is_control() || is_unseen(c)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::grid::Colour;
    use crate::place::column_letters;

    #[test]
    fn cells_come_out_in_reading_order_and_the_later_of_two_counts() {
        let mut sheet = Sheet::new(Grid::sheet("a".into(), "S"));
        let mut budget = Budget::default();
        let text = |t: &str| Value::Text(t.into());
        for (row, column, value) in
            [(2, 0, "old"), (0, 1, "b"), (0, 0, "a"), (2, 0, "new"), (1, 0, " \u{a0}")]
        {
            sheet.put(&mut budget, Address::new(row, column), text(value)).unwrap();
        }
        let cells: Vec<_> =
            sheet.finish().cells.into_iter().map(|cell| (cell.at.to_string(), cell.value)).collect();
        assert_eq!(cells, [("A1".into(), text("a")), ("B1".into(), text("b")), ("A3".into(), text("new"))]);
    }

    #[test]
    fn lines_inside_merged_cells_are_not_seen() {
        use crate::grid::{Edge, Look};
        let edge = Some(Edge { heavy: true, colour: Colour::BLACK });
        let framed = Look { left: edge, right: edge, top: edge, bottom: edge, ..Look::default() };
        let mut grid = Grid::sheet("a".into(), "S");
        grid.merges.push(Span::new(Address::new(0, 0), Address::new(1, 2)));
        grid.looks.cells = [(0, 0), (0, 1), (0, 2), (1, 1), (1, 3)]
            .map(|(row, column)| (Address::new(row, column), framed))
            .to_vec();
        let looks = Sheet::new(grid).finish().looks.cells;
        let lines = looks.iter().map(|(_, look)| {
            let edges = [(look.left, 'l'), (look.right, 'r'), (look.top, 't'), (look.bottom, 'b')];
            edges.into_iter().filter_map(|(edge, name)| edge.map(|_| name)).collect::<String>()
        });
        assert_eq!(lines.collect::<Vec<_>>(), ["lt", "t", "rt", "b", "lrtb"]);
    }

    #[test]
    fn the_later_of_two_looks_counts() {
        let mut sheet = Sheet::new(Grid::sheet("a".into(), "S"));
        let mut budget = Budget::default();
        let look = |shade: u8| Look { fill: Some(Colour([shade; 3])), ..Look::default() };
        for (row, shade) in [(2, 1), (0, 2), (2, 3), (1, 4)] {
            sheet.put_look(&mut budget, Address::new(row, 0), look(shade)).unwrap();
        }
        let looks = sheet.finish().looks.cells;
        let shades = looks.iter().map(|(at, look)| (at.row, look.fill.map(|fill| fill.0[0])));
        assert_eq!(shades.collect::<Vec<_>>(), [(0, Some(2)), (1, Some(4)), (2, Some(3))]);
    }

    #[test]
    fn what_merged_cells_cover_is_left_out() {
        let mut sheet = Sheet::new(Grid::sheet("a".into(), "S"));
        let mut budget = Budget::default();
        let span = |top, left, bottom, right| Span::new(Address::new(top, left), Address::new(bottom, right));
        for merge in [span(1, 1, 2, 2), span(1, 4, 1, 5), span(0, 3, 9, 3), span(0, 0, 0, 0)] {
            sheet.merge(&mut budget, merge).unwrap();
        }
        for (row, column) in (0..4).flat_map(|row| (0..7).map(move |column| (row, column))) {
            sheet.put(&mut budget, Address::new(row, column), Value::Number(1.0)).unwrap();
        }
        let grid = sheet.finish();
        let rows = (0..4).map(|row| {
            let cells = grid.cells.iter().filter(|cell| cell.at.row == row);
            cells.map(|cell| column_letters(cell.at.column)).collect::<String>()
        });
        assert_eq!(rows.collect::<Vec<_>>(), ["ABCDEFG", "ABEG", "AEFG", "ABCEFG"]);
        assert_eq!(grid.merges, [span(0, 3, 9, 3), span(1, 1, 2, 2), span(1, 4, 1, 5)]);
    }

    #[test]
    fn a_cell_beyond_every_spreadsheet_is_refused() {
        let mut sheet = Sheet::new(Grid::lines("a".into()));
        let mut budget = Budget::default();
        let mut put = |row, column| sheet.put(&mut budget, Address::new(row, column), Value::Number(1.0));
        assert_eq!(put(limits::ROWS - 1, limits::COLUMNS - 1), Ok(()));
        assert!(matches!(put(limits::ROWS, 0), Err(Fault::TooLarge { what: "rows", .. })));
        assert!(matches!(put(0, limits::COLUMNS), Err(Fault::TooLarge { what: "columns", .. })));
    }
}
