//! The texts of a sheet in reading order. They are asked for by their addresses again and again, so a row is found by
//! halves and a cell where it would stand if no cell before it in its row were empty.

use crate::place::Address;

/// Texts by their addresses; those that are taken leave a gap.
pub(super) struct Texts {
    cells: Vec<(Address, Option<String>)>,
    /// Where each row begins that has any, in `cells`; the last one is their end.
    rows: Vec<usize>,
}

impl Texts {
    /// `cells` in reading order, no two at one address.
    pub(super) fn new(cells: Vec<(Address, Option<String>)>) -> Self {
        let starts = (0..cells.len()).filter(|&at| at == 0 || cells[at].0.row != cells[at - 1].0.row);
        let rows = starts.chain([cells.len()]).collect();
        Self { cells, rows }
    }

    /// The cells of a row, and where in all of them the row begins.
    fn of_row(&self, row: u32) -> (usize, &[(Address, Option<String>)]) {
        let before = self.rows.partition_point(|&at| self.cells.get(at).is_some_and(|(at, _)| at.row < row));
        let (Some(&start), Some(&end)) = (self.rows.get(before), self.rows.get(before + 1)) else {
            return (0, &[]);
        };
        match self.cells.get(start..end) {
            Some(cells) if cells.first().is_some_and(|(at, _)| at.row == row) => (start, cells),
            _ => (0, &[]),
        }
    }

    fn find(&self, at: Address) -> Option<usize> {
        let (start, cells) = self.of_row(at.row);
        let first = cells.first()?.0.column;
        let near = at.column.checked_sub(first)? as usize;
        // No cell stands further on than it would without gaps before it.
        if cells.get(near).is_some_and(|(there, _)| *there == at) {
            return Some(start + near);
        }
        let cells = cells.get(..near).unwrap_or(cells);
        cells.binary_search_by_key(&at, |(there, _)| *there).ok().map(|found| start + found)
    }

    pub(super) fn get(&self, at: Address) -> Option<&str> {
        self.cells.get(self.find(at)?)?.1.as_deref()
    }

    pub(super) fn take(&mut self, at: Address) -> Option<String> {
        let found = self.find(at)?;
        self.cells.get_mut(found)?.1.take()
    }

    pub(super) fn iter(&self) -> impl Iterator<Item = (Address, &str)> {
        shown(&self.cells)
    }

    pub(super) fn row(&self, row: u32) -> impl Iterator<Item = (Address, &str)> {
        shown(self.of_row(row).1)
    }

    /// Adds texts where there are none.
    pub(super) fn add(&mut self, texts: Vec<(Address, String)>) {
        if texts.is_empty() {
            return;
        }
        let mut cells = std::mem::take(&mut self.cells);
        cells.retain(|(_, text)| text.is_some());
        cells.extend(texts.into_iter().map(|(at, text)| (at, Some(text))));
        // What was there before comes first, and stays.
        cells.sort_by_key(|(at, _)| *at);
        cells.dedup_by_key(|(at, _)| *at);
        *self = Self::new(cells);
    }
}

fn shown(cells: &[(Address, Option<String>)]) -> impl Iterator<Item = (Address, &str)> {
    cells.iter().filter_map(|(at, text)| Some((*at, text.as_deref()?)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn texts_are_found_taken_and_added() {
        let at = Address::new;
        let cell = |row, column| (at(row, column), Some(format!("{row},{column}")));
        // A row without gaps, one with a gap, an empty one, and one that begins late.
        let mut texts =
            Texts::new(vec![cell(0, 0), cell(0, 1), cell(1, 0), cell(1, 2), cell(1, 7), cell(3, 5)]);
        for row in 0..5 {
            for column in 0..9 {
                let stands = [(0, 0), (0, 1), (1, 0), (1, 2), (1, 7), (3, 5)].contains(&(row, column));
                assert_eq!(texts.get(at(row, column)).is_some(), stands, "{row} {column}");
            }
        }
        assert_eq!(texts.get(at(1, 7)), Some("1,7"));
        assert_eq!(texts.take(at(1, 2)).as_deref(), Some("1,2"));
        assert_eq!(texts.get(at(1, 2)), None);
        assert_eq!(texts.take(at(1, 2)), None);
        texts.add(vec![(at(3, 5), "not this".into()), (at(2, 1), "new".into()), (at(1, 2), "again".into())]);
        let all: Vec<&str> = texts.iter().map(|(_, text)| text).collect();
        assert_eq!(all, ["0,0", "0,1", "1,0", "again", "1,7", "new", "3,5"]);
        assert_eq!(texts.row(1).count(), 3);
        assert_eq!(Texts::new(Vec::new()).get(at(0, 0)), None);
    }
}
