//! Cells between the row numbers of a chart, which are no entries of a key: asked of what would else be one, before the charts
//! are found.

use std::ops::RangeInclusive;

use foldhash::{HashMap, HashSet};

use super::super::super::label;
use super::super::super::sheet::Sheet;
use super::super::layout::stands_twice;
use super::Pair;
use crate::grid::Colour;
use crate::place::Address;

/// Row numbers below each other, as far as they were asked for.
#[derive(Default)]
pub(super) struct Drawn {
    numbers: Vec<Numbers>,
    /// Of each column the row numbers in it, by their index.
    columns: HashMap<u32, Vec<usize>>,
}

/// A column of row numbers, each a row or two below the other and as far from it as its row.
struct Numbers {
    rows: RangeInclusive<u32>,
    /// The columns that hold texts in its rows.
    texts: HashSet<u32>,
    /// The fills of columns in its rows.
    fills: HashMap<u32, Vec<Colour>>,
    /// How many texts stand right before the numbers, and right behind them.
    beside: (usize, usize),
}

/// A row number by itself.
fn number(sheet: &Sheet<'_>, row: u32, column: u32) -> Option<i64> {
    Some(label::parse(&sheet.text(Address::new(row, column))?)?.number.into())
}

/// The nearest row number above or below another in its column.
fn next(sheet: &Sheet<'_>, row: u32, column: u32, step: i32) -> Option<u32> {
    let this = number(sheet, row, column)?;
    // Numbers on alternating sides leave every other row out; charts of right-side rows count by twos.
    let mut rows =
        [1, 2].into_iter().filter_map(|rows| Some((i64::from(rows), row.checked_add_signed(step * rows)?)));
    rows.find_map(|(rows, row)| {
        let apart = number(sheet, row, column)?.abs_diff(this);
        (apart == rows.unsigned_abs() || apart == 2 * rows.unsigned_abs()).then_some(row)
    })
}

impl Drawn {
    /// Whether a symbol and words stand among the cells of a chart: between them and a row number, or another, lies no column
    /// that is blank beside all the numbers there.
    pub(super) fn holds(&mut self, sheet: &Sheet<'_>, (at, words_at): Pair) -> bool {
        let (first, last) = (at.min(words_at).column, at.max(words_at).column);
        let Some(words) = sheet.text(words_at) else { return false };
        // No row of a chart says "knit on both sides".
        if words.contains(' ') {
            return false;
        }
        let rows = [Some(at.row), at.row.checked_sub(1), at.row.checked_add(1)];
        let mut numbered: Vec<Address> = rows
            .into_iter()
            .flatten()
            .flat_map(|row| sheet.row(row))
            .filter(|(at, text)| !(first..=last).contains(&at.column) && label::parse(text).is_some())
            .map(|(at, _)| at)
            .collect();
        numbered.sort_unstable_by_key(|number| (number.column, number.row.abs_diff(at.row)));
        numbered.dedup_by_key(|at| at.column);
        // Beyond other numbers lies another chart, or the key of this one.
        let right = numbered.partition_point(|number| number.column < first);
        let nearest = [right.checked_sub(1), Some(right)].into_iter().flatten();
        let numbered: Vec<Address> = nearest.filter_map(|index| numbered.get(index).copied()).collect();
        let fill = sheet.look(words_at);
        numbered.into_iter().any(|numbered| {
            let Some(numbers) = self.numbers(sheet, numbered).filter(|found| found.rows.contains(&at.row))
            else {
                return false;
            };
            let taken = |column: &u32| {
                let other = |fills: &Vec<Colour>| fills.iter().any(|other| Some(*other) != fill);
                numbers.texts.contains(column)
                    || numbers.fills.get(column).is_some_and(other)
                    || sheet.hidden_column(*column)
            };
            let (before, behind) = numbers.beside;
            let right = numbered.column < first;
            let (near, far, gap) = if right {
                (behind, before, numbered.column + 1..first)
            } else {
                (before, behind, last + 1..numbered.column)
            };
            // Right beside the numbers a key may stand itself, on the side where the chart is not, or in a numbered list.
            if near < far || !gap.clone().all(|column| taken(&column)) {
                return false;
            }
            let symbol = || near > far || stands_twice(sheet, &words);
            let goes_on = || !right || taken(&(last + 1));
            symbol() && (!gap.is_empty() || goes_on())
        })
    }

    /// The row numbers to which one belongs.
    fn numbers(&mut self, sheet: &Sheet<'_>, at: Address) -> Option<&Numbers> {
        let known = self.columns.entry(at.column).or_default();
        let known_at = known
            .iter()
            .copied()
            .find(|index| self.numbers.get(*index).is_some_and(|numbers| numbers.rows.contains(&at.row)));
        let index = match known_at {
            Some(index) => index,
            None => {
                let far = |step: i32| {
                    let rows = std::iter::successors(Some(at.row), |row| next(sheet, *row, at.column, step));
                    rows.last().unwrap_or(at.row)
                };
                let rows = far(-1)..=far(1);
                known.push(self.numbers.len());
                self.numbers.push(Numbers::of(sheet, at.column, rows));
                self.numbers.len() - 1
            }
        };
        // One by itself may be anything.
        self.numbers.get(index).filter(|numbers| numbers.rows.start() < numbers.rows.end())
    }
}

impl Numbers {
    fn of(sheet: &Sheet<'_>, column: u32, rows: RangeInclusive<u32>) -> Self {
        let mut texts = HashSet::default();
        let mut beside = (0, 0);
        for row in rows.clone().filter(|_| rows.start() < rows.end()) {
            for (at, _) in sheet.row(row) {
                texts.insert(at.column);
                beside.0 += usize::from(at.column + 1 == column);
                beside.1 += usize::from(at.column == column + 1);
            }
        }
        let looks = &sheet.grid.looks.cells;
        let from = looks.partition_point(|(at, _)| at.row < *rows.start());
        let mut fills: HashMap<u32, Vec<Colour>> = HashMap::default();
        for (at, look) in looks.iter().skip(from).take_while(|(at, _)| rows.contains(&at.row)) {
            let Some(fill) = look.fill.filter(|fill| *fill != Colour::WHITE) else { continue };
            let fills = fills.entry(at.column).or_default();
            // Two tell that one differs from that of the words.
            if fills.len() < 2 && !fills.contains(&fill) {
                fills.push(fill);
            }
        }
        Self { rows, texts, fills, beside }
    }
}
