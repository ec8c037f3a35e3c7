//! From pattern to chart: every row drawn as it looks from the right side, with a key in words.
//!
//! [`draw`] gives a [`Drawing`]: symbols (`symbols.rs`) in squares that line up (`shape.rs`), the repeat where it is
//! the same columns in every row (`repeat.rs`). A drawing is then laid out on a sheet (`layout.rs`) and written as
//! csv or xlsx. Every row is drawn, return rows too, so that nothing has to be derived to read the chart again.

mod csv;
mod layout;
mod repeat;
mod shape;
mod symbols;
mod xlsx;

use crate::pattern::{Hand, Pattern, Side, Worked, with_double_yarn_overs};
use crate::place::Place;
use crate::problem::{Code, Finding};
use crate::stitch::{StitchId, Stitches};

pub use layout::Options;

/// A chart: rows from the top of the sheet, which is the last one worked.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawing {
    /// What it is called.
    pub title: String,
    /// What the chart says of itself, as settings in a sheet: name and value.
    pub said: Vec<(&'static str, String)>,
    /// How many cells a row has.
    pub width: usize,
    /// The rows from the top.
    pub rows: Vec<DrawnRow>,
    /// The key: every symbol that the rows use.
    pub key: Vec<Symbol>,
    /// The colours of colour work, by the numbers that squares give them.
    pub colours: Vec<String>,
    /// The repeat: its first column and the one after its last, from 0 at the left.
    pub repeat: Option<(usize, usize)>,
    /// Sentences that stand below.
    pub notes: Vec<String>,
}

/// A row of a chart.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DrawnRow {
    /// Its number.
    pub number: u32,
    /// The side it is worked on: its number stands where it begins.
    pub side: Side,
    /// Its squares from left to right, which fill the width.
    pub squares: Vec<Square>,
}

/// A stitch of a chart, or a place where there is none.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Square {
    /// How many cells it takes.
    pub cells: usize,
    /// Its symbol, an index of the key.
    pub symbol: usize,
    /// Its colour, an index of the colours.
    pub colour: Option<usize>,
}

/// A symbol and what the key says of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Symbol {
    /// The canonical name of the stitch, or the designer's own.
    pub name: String,
    /// A short sign for it, no other symbol's.
    pub short: String,
    /// What it means, in words that a key is read in.
    pub words: String,
    /// Whether it marks a place without a stitch.
    pub none: bool,
}

/// A kind of file that charts are written to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sheet {
    /// Cells separated by commas: canonical names for symbols.
    Csv,
    /// An Excel workbook: short signs, squares with borders, merged cables, the repeat in a box.
    Xlsx,
}

impl Sheet {
    /// Every kind.
    pub const ALL: [Self; 2] = [Self::Csv, Self::Xlsx];

    /// Its name, which is also the ending of its files.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Csv => "csv",
            Self::Xlsx => "xlsx",
        }
    }

    /// Whether its files are text, which a screen can show.
    pub const fn is_text(self) -> bool {
        matches!(self, Self::Csv)
    }

    /// Writes drawings: csv one below another, xlsx a sheet each.
    ///
    /// # Errors
    /// Why a sheet of this kind can't hold them, a sentence.
    pub fn write(self, drawings: &[(&Drawing, Options)]) -> Result<Vec<u8>, String> {
        match self {
            Self::Csv => csv::write(drawings),
            Self::Xlsx => xlsx::write(drawings),
        }
    }
}

/// Draws a pattern.
///
/// # Errors
/// A finding that says which stitch has no place in a chart.
pub fn draw(pattern: &Pattern) -> Result<Drawing, Finding> {
    let mut stitches = pattern.stitches.clone();
    let rows = seen_from_the_right_side(pattern, &mut stitches)?;
    let marks = symbols::choose(&rows, &mut stitches);
    let colours = symbols::colours(&rows, &stitches);
    let mut drawn = shape::squares(&rows, &marks, &colours, &stitches);
    drawn.reverse();
    let width = drawn.first().map_or(0, |row| row.squares.iter().map(|square| square.cells).sum());
    let repeat = repeat::find(pattern, (&drawn, marks.none()), (&rows, &stitches), width);
    let mut notes = pattern.notes.clone();
    if repeat.is_none() {
        notes.extend(multiple_noted(pattern));
    }
    let said = said(pattern, width, repeat);
    let mut key = marks.key(pattern.worked == Worked::Flat, &mut stitches);
    let shown = |index: usize| drawn.iter().flat_map(|row| &row.squares).any(|square| square.symbol == index);
    if !shown(marks.none()) {
        key.pop();
    }
    Ok(Drawing { title: pattern.title.clone(), said, width, rows: drawn, key, colours, repeat, notes })
}

/// The sentence that says the multiple where no columns show it.
fn multiple_noted(pattern: &Pattern) -> Option<String> {
    Some(format!("{:#}.", pattern.multiple?))
}

impl Drawing {
    /// The same chart, on its one width, without the repeat.
    #[must_use]
    pub fn without_repeat(mut self, pattern: &Pattern) -> Self {
        if self.repeat.take().is_some() {
            self.said.retain(|(name, _)| !matches!(*name, REPEAT_COLUMNS | SIZES));
            self.notes.extend(multiple_noted(pattern));
        }
        self
    }
}

/// What the sheet says of the repeat.
const REPEAT_COLUMNS: &str = "Repeat columns";
const SIZES: &str = "Sizes";

/// A row as charts show it: what the hands work, from left to right.
struct Shown {
    number: u32,
    side: Side,
    stitches: Vec<StitchId>,
}

/// The rows from left to right, right-handed: charts for left-handed knitters are the same charts.
fn seen_from_the_right_side(pattern: &Pattern, stitches: &mut Stitches) -> Result<Vec<Shown>, Finding> {
    let nothing = |place: Place| {
        Finding::new(Code::NotDrawn, place, "The pattern has no rows to draw.")
            .help("Give it rows; a chart begins with Row 1.")
    };
    if pattern.rows.is_empty() {
        return Err(nothing(Place::file(&pattern.source)));
    }
    let mut rows = Vec::with_capacity(pattern.rows.len());
    for row in &pattern.rows {
        let plain: Vec<StitchId> = row
            .stitches
            .iter()
            .map(|&id| {
                let plain = stitches.plain(id);
                stitches.in_colour_of(plain, id).unwrap_or(plain)
            })
            .collect();
        let mut ids: Vec<StitchId> = with_double_yarn_overs(&plain).into_iter().map(|(_, id)| id).collect();
        if pattern.hand == Hand::Left {
            ids.reverse();
            for (at, id) in ids.iter_mut().enumerate() {
                let mirror = stitches.mirror(*id).filter(|&mirror| stitches.mirror(mirror) == Some(*id));
                let Some(mirror) = mirror else {
                    let name = &stitches.get(*id).name;
                    return Err(Finding::new(
                        Code::NotDrawn,
                        row.place_of(row.stitches.len().saturating_sub(at + 1)),
                        format!(
                            "{name} on Row {} has no usual mirror, so that no chart shows it.",
                            row.number
                        ),
                    )
                    .row(row.number)
                    .found(name)
                    .help("Give a stitch of your own with mirror = \"...\" in the settings."));
                };
                *id = mirror;
            }
        }
        if row.side == Side::Rs {
            ids.reverse();
        }
        rows.push(Shown { number: row.number, side: row.side, stitches: ids });
    }
    Ok(rows)
}

/// What the sheet says above the chart.
fn said(pattern: &Pattern, width: usize, repeat: Option<(usize, usize)>) -> Vec<(&'static str, String)> {
    let round = pattern.worked == Worked::Round;
    let mut said = vec![
        ("Title", pattern.title.clone()),
        ("Cast on", pattern.cast_on.to_string()),
        ("Worked", if round { "in the round" } else { "flat" }.to_owned()),
        ("Charted", if round { "every round" } else { "every row" }.to_owned()),
    ];
    if let Some(first) = pattern.rows.first().filter(|_| !round) {
        let odd = if first.number % 2 == 1 { first.side } else { first.side.other() };
        said.push(("First side", odd.word().to_owned()));
    }
    // What most charts need not say is said where a folder may say otherwise for all of its charts.
    if pattern.rows.iter().any(|row| row.side == Side::Ws) {
        said.push(("Symbols", "right-side".to_owned()));
    }
    said.push(("Hand", if pattern.hand == Hand::Left { "left" } else { "right" }.to_owned()));
    if let Some((first, end)) = repeat {
        said.push((REPEAT_COLUMNS, format!("{}-{}", width - end + 1, width - first)));
        if !pattern.sizes.is_empty() {
            let sizes: Vec<String> =
                pattern.sizes.iter().map(|size| format!("{} = {}", size.name, size.times)).collect();
            said.push((SIZES, sizes.join(", ")));
        }
    }
    said
}
