//! The grid: what a spreadsheet holds, the same for every file format, each cell with its true address.

mod look;

use std::rc::Rc;
use std::sync::Arc;

pub use look::{Band, Bands, Colour, Edge, Look, Looks};

use crate::document::is_unseen;
use crate::place::{Address, Place, Span, Spot};

/// A spreadsheet file as read: its sheets in order.
#[derive(Clone, Debug, PartialEq)]
pub struct Workbook {
    /// The file's path as the user gave it; `-` for standard input.
    pub file: Arc<str>,
    /// The sheets in the order of the file, hidden ones included.
    pub sheets: Vec<Grid>,
}

/// How the cells of a grid are addressed in messages.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Addressing {
    /// By sheet and cell, `B7`.
    Cells {
        /// Name of the sheet.
        sheet: Arc<str>,
    },
    /// By line and field, as in a csv file. A grid row is the line its record starts on (from 0), so blank
    /// lines leave gaps.
    Lines,
}

/// One sheet: its cells that hold anything, in reading order, and its merged ranges.
#[derive(Clone, Debug, PartialEq)]
pub struct Grid {
    /// The file the sheet is in.
    pub file: Arc<str>,
    /// How places in it are named.
    pub addressing: Addressing,
    /// Whether the sheet is hidden.
    pub hidden: bool,
    /// Whether it is shown from right to left, column A at its right edge.
    pub right_to_left: bool,
    /// The cells that hold a value, sorted by row, then by column. Blank cells are absent.
    pub cells: Vec<Cell>,
    /// Ranges of cells merged into one, sorted; the value stands in the first cell.
    pub merges: Vec<Span>,
    /// How cells look, as far as the file's format lets it be read.
    pub looks: Looks,
    /// Rows that are hidden, from 0.
    pub hidden_rows: Bands<()>,
    /// Columns that are hidden, from 0.
    pub hidden_columns: Bands<()>,
    /// Comments that hang on cells, sorted by cell. They are no part of what the cells hold.
    pub comments: Vec<(Address, String)>,
    /// Cells that a condition may fill or hide. What it would do is not worked out.
    pub conditional: Vec<Span>,
}

/// A cell that holds something.
#[derive(Clone, Debug, PartialEq)]
pub struct Cell {
    /// Where it stands.
    pub at: Address,
    /// What it holds.
    pub value: Value,
}

/// What a cell holds; for a formula, its cached result.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    /// Text as typed, untrimmed. Cells that hold the same text may share it.
    Text(Rc<str>),
    /// A number.
    Number(f64),
    /// A date, as spreadsheets make of a typed `1/2`.
    Date {
        /// Calendar year.
        year: i32,
        /// Month, from 1.
        month: u8,
        /// Day of the month, from 1.
        day: u8,
    },
    /// A truth value.
    Truth(bool),
    /// A spreadsheet error such as `#NAME?`, which a symbol such as `=` or `-x` often becomes.
    Error(String),
}

impl Grid {
    /// An empty grid whose cells are named by sheet and cell.
    pub fn sheet(file: Arc<str>, sheet: impl Into<Arc<str>>) -> Self {
        Self::empty(file, Addressing::Cells { sheet: sheet.into() })
    }

    /// An empty grid whose cells are named by line and field.
    pub fn lines(file: Arc<str>) -> Self {
        Self::empty(file, Addressing::Lines)
    }

    fn empty(file: Arc<str>, addressing: Addressing) -> Self {
        Self {
            file,
            addressing,
            hidden: false,
            right_to_left: false,
            cells: Vec::new(),
            merges: Vec::new(),
            looks: Looks::default(),
            hidden_rows: Bands::default(),
            hidden_columns: Bands::default(),
            comments: Vec::new(),
            conditional: Vec::new(),
        }
    }

    /// The sheet's name; a csv file has none.
    pub fn name(&self) -> Option<&Arc<str>> {
        match &self.addressing {
            Addressing::Cells { sheet } => Some(sheet),
            Addressing::Lines => None,
        }
    }

    /// The cell at this address, if it holds anything.
    pub fn get(&self, at: Address) -> Option<&Cell> {
        self.cells.binary_search_by_key(&at, |cell| cell.at).ok().map(|index| &self.cells[index])
    }

    /// The place of some cells, as messages name it.
    pub fn place(&self, cells: impl Into<Span>) -> Place {
        let cells = cells.into();
        let spot = match &self.addressing {
            Addressing::Cells { sheet } => Spot::Cells { sheet: Arc::clone(sheet), cells },
            Addressing::Lines => Spot::Line {
                line: cells.first.row.saturating_add(1),
                column: cells.first.column.saturating_add(1),
            },
        };
        Place { file: Arc::clone(&self.file), spot }
    }

    /// The place of the sheet as a whole.
    pub fn whole(&self) -> Place {
        let spot = match &self.addressing {
            Addressing::Cells { sheet } => Spot::Sheet { sheet: Arc::clone(sheet) },
            Addressing::Lines => Spot::File,
        };
        Place { file: Arc::clone(&self.file), spot }
    }
}

impl Value {
    /// The value as text with no surrounding blanks: whole numbers without a point, text with non-breaking and
    /// zero-width spaces turned plain.
    pub fn text(&self) -> String {
        match self {
            Self::Text(text) => {
                let plain: String = text
                    .chars()
                    .filter(|c| !is_unseen(*c))
                    .map(|c| if c.is_whitespace() { ' ' } else { c })
                    .collect();
                plain.trim().to_owned()
            }
            Self::Number(number) => number.to_string(),
            Self::Date { year, month, day } => format!("{year:04}-{month:02}-{day:02}"),
            Self::Truth(truth) => if *truth { "TRUE" } else { "FALSE" }.to_owned(),
            Self::Error(error) => error.clone(),
        }
    }
}
