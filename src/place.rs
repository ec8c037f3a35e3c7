//! Where in the user's files something stands: every finding and every row of a pattern carries a [`Place`].

use std::fmt;
use std::sync::Arc;

/// One cell of a sheet. Row and column count from 0, as in the file; the printed form is the spreadsheet's, `C7`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Address {
    /// Row of the sheet, from 0 at the top.
    pub row: u32,
    /// Column of the sheet, from 0 at the left.
    pub column: u32,
}

impl Address {
    /// The cell in this row and column, both counted from 0.
    pub const fn new(row: u32, column: u32) -> Self {
        Self { row, column }
    }
}

/// The letters a spreadsheet shows above a column counted from 0: `A`, `Z`, `AA`.
pub fn column_letters(column: u32) -> String {
    let mut letters = Vec::new();
    let mut rest = u64::from(column) + 1;
    while rest > 0 {
        rest -= 1;
        letters.push(char::from(b'A' + (rest % 26) as u8));
        rest /= 26;
    }
    letters.iter().rev().collect()
}

impl fmt::Display for Address {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", column_letters(self.column), u64::from(self.row) + 1)
    }
}

/// A rectangle of cells, both corners included; a single cell has equal corners.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Span {
    /// Top left cell.
    pub first: Address,
    /// Bottom right cell.
    pub last: Address,
}

impl Span {
    /// The rectangle between two corners.
    pub const fn new(first: Address, last: Address) -> Self {
        Self { first, last }
    }

    /// The smallest rectangle that holds both.
    pub fn join(self, other: Self) -> Self {
        Self {
            first: Address::new(
                self.first.row.min(other.first.row),
                self.first.column.min(other.first.column),
            ),
            last: Address::new(self.last.row.max(other.last.row), self.last.column.max(other.last.column)),
        }
    }

    /// How many columns the rectangle covers.
    pub const fn width(self) -> u32 {
        self.last.column - self.first.column + 1
    }

    /// How many rows the rectangle covers.
    pub const fn height(self) -> u32 {
        self.last.row - self.first.row + 1
    }

    /// Whether the two have a cell in common.
    pub const fn meets(self, other: Self) -> bool {
        self.first.row <= other.last.row
            && other.first.row <= self.last.row
            && self.first.column <= other.last.column
            && other.first.column <= self.last.column
    }

    /// Whether the cell lies inside.
    pub const fn contains(self, at: Address) -> bool {
        self.first.row <= at.row
            && at.row <= self.last.row
            && self.first.column <= at.column
            && at.column <= self.last.column
    }
}

impl From<Address> for Span {
    fn from(at: Address) -> Self {
        Self { first: at, last: at }
    }
}

impl fmt::Display for Span {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.first == self.last { self.first.fmt(f) } else { write!(f, "{}:{}", self.first, self.last) }
    }
}

/// The spot within a file.
#[derive(Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Spot {
    /// The file as a whole.
    File,
    /// A whole sheet of a workbook.
    Sheet {
        /// Name of the sheet.
        sheet: Arc<str>,
    },
    /// Cells of a sheet.
    Cells {
        /// Name of the sheet.
        sheet: Arc<str>,
        /// The cells.
        cells: Span,
    },
    /// A line of a text or of a csv file. Lines count from 1. In a csv file the column is the number of the
    /// field, from 1; in a text it is the character, from 1.
    Line {
        /// Line of the file, from 1.
        line: u32,
        /// Field (csv) or character (text), from 1.
        column: u32,
    },
}

/// A spot in a named file.
#[derive(Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Place {
    /// The file's path as the user gave it; `-` for standard input.
    pub file: Arc<str>,
    /// The spot within it.
    pub spot: Spot,
}

impl Place {
    /// The file as a whole.
    pub fn file(file: &Arc<str>) -> Self {
        Self { file: Arc::clone(file), spot: Spot::File }
    }

    /// A line and a column of a text, both from 1.
    pub fn line(file: &Arc<str>, line: u32, column: u32) -> Self {
        Self { file: Arc::clone(file), spot: Spot::Line { line, column } }
    }
}

impl Place {
    /// The line and column of a byte of the file's text.
    pub fn in_text(file: &Arc<str>, text: &str, byte: usize) -> Self {
        let before = text.get(..byte).unwrap_or(text);
        let from_one = |count: usize| u32::try_from(count).unwrap_or(u32::MAX).saturating_add(1);
        let column = before.rsplit('\n').next().unwrap_or_default().chars().count();
        Self::line(file, from_one(before.matches('\n').count()), from_one(column))
    }
}

/// The name of a file without its folders and its ending: what a thing is called that has no name of its own. Standard input,
/// "-", has none either.
pub fn stem(file: &str) -> &str {
    if file == "-" {
        return "Untitled";
    }
    let name = file.rsplit(['/', '\\']).next().unwrap_or(file);
    match name.rsplit_once('.') {
        Some((stem, _)) if !stem.is_empty() => stem,
        _ => name,
    }
}

impl fmt::Display for Spot {
    /// "sheet Chart, cell B7"; nothing for the file as a whole.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::File => Ok(()),
            Self::Sheet { sheet } => write!(f, "sheet {sheet}"),
            Self::Cells { sheet, cells } if cells.first == cells.last => {
                write!(f, "sheet {sheet}, cell {cells}")
            }
            Self::Cells { sheet, cells } => write!(f, "sheet {sheet}, cells {cells}"),
            Self::Line { line, column } => write!(f, "line {line}, column {column}"),
        }
    }
}

impl fmt::Display for Place {
    /// "scarf.xlsx, sheet Chart, cell B7".
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.spot {
            Spot::File => f.write_str(&self.file),
            spot => write!(f, "{}, {spot}", self.file),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn addresses_print_as_spreadsheets_name_them() {
        for (column, letters) in [(0, "A"), (25, "Z"), (26, "AA"), (701, "ZZ"), (702, "AAA"), (16_383, "XFD")]
        {
            assert_eq!(column_letters(column), letters);
        }
        assert_eq!(Address::new(6, 2).to_string(), "C7");
        assert_eq!(Span::new(Address::new(6, 1), Address::new(6, 10)).to_string(), "B7:K7");
    }

    #[test]
    fn bytes_of_a_text_have_lines_and_columns() {
        let file = Arc::from("a.toml");
        let text = "név = 1\n\nk = 2";
        for (byte, line, column) in
            [(0, 1, 1), (5, 1, 5), (8, 1, 8), (9, 2, 1), (10, 3, 1), (14, 3, 5), (99, 3, 6)]
        {
            assert_eq!(Place::in_text(&file, text, byte), Place::line(&file, line, column), "byte {byte}");
        }
    }

    #[test]
    fn a_file_lends_its_name() {
        for (file, name) in [
            ("a/scarf.v2.json", "scarf.v2"),
            ("C:\\x\\scarf.csv", "scarf"),
            (".hidden", ".hidden"),
            ("-", "Untitled"),
        ] {
            assert_eq!(stem(file), name);
        }
    }
}
