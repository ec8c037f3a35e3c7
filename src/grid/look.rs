//! How cells look: fills and edges, and which rows and columns are hidden.

use std::fmt;

use crate::place::Address;

/// A colour: red, green and blue.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Colour(pub [u8; 3]);

impl Colour {
    /// White.
    pub const WHITE: Self = Self([255; 3]);
    /// Black.
    pub const BLACK: Self = Self([0; 3]);

    /// The colour written as six hexadecimal digits, `D9D9D9`; those before the last six, as spreadsheets write them
    /// for how solid it is, are passed over.
    pub fn from_hex(digits: &str) -> Option<Self> {
        let digits = digits.get(digits.len().checked_sub(6)?..)?;
        // A sign would pass for a digit.
        if !digits.bytes().all(|byte| byte.is_ascii_hexdigit()) {
            return None;
        }
        let [_, red, green, blue] = u32::from_str_radix(digits, 16).ok()?.to_be_bytes();
        Some(Self([red, green, blue]))
    }

    /// How far apart two colours are, at most, in any of red, green and blue.
    pub fn distance(self, other: Self) -> u8 {
        self.0.iter().zip(other.0).map(|(one, two)| one.abs_diff(two)).max().unwrap_or(0)
    }

    /// Whether two colours are so near to each other that one is meant.
    pub fn is_almost(self, other: Self) -> bool {
        self.distance(other) <= 16
    }
}

impl fmt::Display for Colour {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let [red, green, blue] = self.0;
        write!(f, "{red:02X}{green:02X}{blue:02X}")
    }
}

/// A line along one edge of a cell.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Edge {
    /// Whether it is heavier than the lines of an ordinary grid.
    pub heavy: bool,
    /// Its colour.
    pub colour: Colour,
}

/// How a cell looks, apart from what it holds. A line between two cells may be an edge of either.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct Look {
    /// The fill; white where the cell is filled white, `None` where it is not filled. A pattern is the colour it
    /// has from afar.
    pub fill: Option<Colour>,
    /// The line along the upper edge.
    pub top: Option<Edge>,
    /// The line along the right edge.
    pub right: Option<Edge>,
    /// The line along the lower edge.
    pub bottom: Option<Edge>,
    /// The line along the left edge.
    pub left: Option<Edge>,
    /// Whether what the cell holds is struck out, all of it.
    pub struck: bool,
}

impl Look {
    /// Whether it has lines of its own that make it a square; those that it shares may be its neighbours'.
    pub fn is_framed(&self) -> bool {
        [self.top, self.right, self.bottom, self.left].into_iter().flatten().count() > 1
    }
}

/// Something said of runs of rows or columns, which count from 0. No run overlaps another.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Bands<T>(Vec<Band<T>>);

/// A run of rows or columns, the first and the last included, and what is said of them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Band<T> {
    /// The first.
    pub first: u32,
    /// The last.
    pub last: u32,
    /// What is said of them.
    pub value: T,
}

impl<T> Default for Bands<T> {
    fn default() -> Self {
        Self(Vec::new())
    }
}

impl<T: PartialEq> Bands<T> {
    /// Says something of the rows or columns from `first` to `last`, as far as nothing is said of them yet.
    pub fn add(&mut self, first: u32, last: u32, value: T) {
        // They come in order in nearly every file.
        let at = self.0.partition_point(|band| band.last < first);
        let last = self.0.get(at).map_or(last, |next| last.min(next.first.saturating_sub(1)));
        if last < first || self.0.get(at).is_some_and(|next| next.first <= first) {
            return;
        }
        if let Some(before) = at.checked_sub(1).and_then(|index| self.0.get_mut(index))
            && before.last + 1 == first
            && before.value == value
        {
            before.last = last;
            return;
        }
        self.0.insert(at, Band { first, last, value });
    }

    /// What is said of a row or column.
    pub fn get(&self, index: u32) -> Option<&T> {
        let at = self.0.partition_point(|band| band.last < index);
        self.0.get(at).filter(|band| band.first <= index).map(|band| &band.value)
    }

    /// The runs in order.
    pub fn iter(&self) -> impl Iterator<Item = &Band<T>> {
        self.0.iter()
    }

    /// How many runs there are.
    pub fn len(&self) -> usize {
        self.0.len()
    }

    /// Whether nothing is said of any.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
}

/// The looks of a sheet's cells: each cell's own, else its row's, else its column's.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Looks {
    /// Cells with a look other than their row's or column's, sorted; blank cells too.
    pub cells: Vec<(Address, Look)>,
    /// Looks of whole rows.
    pub rows: Bands<Look>,
    /// Looks of whole columns.
    pub columns: Bands<Look>,
}

impl Looks {
    /// The look of a cell.
    pub fn at(&self, at: Address) -> Look {
        match self.cells.binary_search_by_key(&at, |(at, _)| *at) {
            Ok(index) => self.cells[index].1,
            Err(_) => self.inherited(at),
        }
    }

    /// The look a cell has from its row or column.
    pub fn inherited(&self, at: Address) -> Look {
        self.rows.get(at.row).or_else(|| self.columns.get(at.column)).copied().unwrap_or_default()
    }

    /// Every look there is, of cells, rows and columns; the same ones several times.
    pub fn each(&self) -> impl Iterator<Item = &Look> {
        let bands = self.rows.iter().chain(self.columns.iter());
        self.cells.iter().map(|(_, look)| look).chain(bands.map(|band| &band.value))
    }

    /// Whether every cell is plain.
    pub fn is_empty(&self) -> bool {
        self.cells.is_empty() && self.rows.is_empty() && self.columns.is_empty()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn colours_are_read_and_printed_as_digits() {
        for (digits, printed) in [("D9D9D9", "D9D9D9"), ("ff1f4e79", "1F4E79"), ("000000", "000000")] {
            assert_eq!(Colour::from_hex(digits).map(|colour| colour.to_string()).as_deref(), Some(printed));
        }
        for digits in ["", "fff", "red", "zzzzzz", "é12345", "+12345"] {
            assert_eq!(Colour::from_hex(digits), None, "{digits}");
        }
    }

    #[test]
    fn bands_join_and_do_not_overlap() {
        let mut bands = Bands::default();
        for (first, last, value) in
            [(5, 6, 'a'), (7, 9, 'a'), (10, 10, 'b'), (0, 7, 'c'), (8, 20, 'd'), (3, 1, 'e')]
        {
            bands.add(first, last, value);
        }
        let all: Vec<_> = bands.iter().map(|band| (band.first, band.last, band.value)).collect();
        assert_eq!(all, [(0, 4, 'c'), (5, 9, 'a'), (10, 10, 'b')]);
        let said: String = (0..12).map(|index| bands.get(index).copied().unwrap_or('-')).collect();
        assert_eq!(said, "cccccaaaaab-");
    }

    #[test]
    fn a_cell_goes_before_its_row_and_that_before_its_column() {
        let fill = |red| Look { fill: Some(Colour([red, 0, 0])), ..Look::default() };
        let mut looks = Looks { cells: vec![(Address::new(2, 1), fill(1))], ..Looks::default() };
        looks.rows.add(2, 3, fill(2));
        looks.columns.add(1, 1, fill(3));
        for (row, column, look) in
            [(2, 1, fill(1)), (3, 1, fill(2)), (4, 1, fill(3)), (4, 0, Look::default())]
        {
            assert_eq!(looks.at(Address::new(row, column)), look);
        }
    }
}
