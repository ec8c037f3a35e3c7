//! The rows that differ, one above the other, what differs in square brackets.

use std::fmt::Write as _;

use anstyle::Style;
use longhand::compare::{Beside, Cell, Half, Sameness};
use longhand::convert::Pair;
use unicode_width::UnicodeWidthStr;

use super::super::report::{clean, number_of};

/// Rows that are shown; more tell a reader on a screen no more.
const MOST_ROWS: usize = 20;

/// The width that a line keeps to, in columns.
const WIDTH: usize = 79;

/// Pieces of work shown before and after what differs.
const AROUND: usize = 4;

const MARKED: Style = Style::new().bold();

/// "Row 5 (RS)"; where the two are numbered otherwise, "Row 5 (RS) and Row 7 (RS)".
pub(super) fn label(row: &Beside, pair: &Pair) -> String {
    let one = |half: &Half| format!("Row {} ({})", half.number, half.side.word());
    match (&row.left, &row.right) {
        (Some(left), Some(right)) if (left.number, left.side) == (right.number, right.side) => one(left),
        (Some(left), Some(right)) => format!("{} and {}", one(left), one(right)),
        (Some(half), None) => format!("{}, in {} alone", one(half), pair.left),
        (None, Some(half)) => format!("{}, in {} alone", one(half), pair.right),
        (None, None) => String::new(),
    }
}

/// The rows of a pair that differ; empty where none does.
pub(super) fn differing(pair: &Pair) -> String {
    let different: Vec<&Beside> =
        pair.rows.iter().filter(|row| row.sameness() == Sameness::Different).collect();
    let mut text = String::new();
    for row in different.iter().take(MOST_ROWS) {
        let _ = writeln!(text, "  {}", clean(&label(row, pair)));
        lines(row, pair, &mut text);
    }
    if let Some(more) = different.len().checked_sub(MOST_ROWS).filter(|&more| more > 0) {
        let differ = if more == 1 { "differs" } else { "differ" };
        let _ = writeln!(text, "  {} more {differ}; --to html shows them all.", number_of(more, "row"));
    }
    text
}

/// What stands in one place of both rows.
struct Column {
    left: String,
    right: String,
    differs: bool,
}

impl Column {
    /// Its width with the space before it.
    fn width(&self) -> usize {
        self.left.width().max(self.right.width()) + 1
    }
}

fn lines(row: &Beside, pair: &Pair, text: &mut String) {
    let named = pair.left.width().max(pair.right.width());
    let columns = columns(row);
    let room = WIDTH.saturating_sub(named + 7).max(30);
    let mut rest = &columns[..];
    while !rest.is_empty() {
        let mut used = 0;
        let fits = rest.iter().take_while(|column| {
            used += column.width();
            used <= room
        });
        let (line, after) = rest.split_at(fits.count().max(1));
        rest = after;
        if row.left.is_some() {
            one_line(&pair.left, named, line, |column| &column.left, text);
        }
        if row.right.is_some() {
            one_line(&pair.right, named, line, |column| &column.right, text);
        }
    }
}

/// What one of the two has in some places, under each other in both.
fn one_line(name: &str, named: usize, columns: &[Column], side: fn(&Column) -> &String, text: &mut String) {
    let _ = write!(text, "    {}:{}", clean(name), " ".repeat(named.saturating_sub(name.width())));
    let mut blank = 0;
    for column in columns {
        let shown = side(column);
        if shown.is_empty() {
            blank += 1;
        } else {
            let style = if column.differs { MARKED } else { Style::new() };
            let _ = write!(text, "{} {style}{}{style:#}", " ".repeat(blank), clean(shown));
            blank = 0;
        }
        blank += column.width() - 1 - shown.width();
    }
    text.push('\n');
}

/// The places of both rows: what is the same piece by piece, far from any difference left out.
fn columns(row: &Beside) -> Vec<Column> {
    let mut columns = Vec::new();
    let alone = row.left.is_none() || row.right.is_none();
    let last = row.cells.len().saturating_sub(1);
    for (at, cell) in row.cells.iter().enumerate() {
        if cell.sameness != Sameness::Different || alone {
            let (before, after) = (if at == 0 { 0 } else { AROUND }, if at == last { 0 } else { AROUND });
            same(cell, before, if alone { usize::MAX } else { after }, &mut columns);
            continue;
        }
        columns.push(Column { left: marked(&cell.left), right: marked(&cell.right), differs: true });
    }
    // The last piece of a row has no comma after it.
    let count = columns.len();
    for column in columns.iter_mut().take(count.saturating_sub(1)) {
        for side in [&mut column.left, &mut column.right] {
            if !side.is_empty() && side != "..." {
                side.push(',');
            }
        }
    }
    columns
}

/// What one of the two has where they differ: "[k2tog, yo]".
pub(super) fn marked(pieces: &[String]) -> String {
    if pieces.is_empty() { "[nothing]".to_owned() } else { format!("[{}]", pieces.join(", ")) }
}

/// Pieces that are the same, of many only the first and the last few.
fn same(cell: &Cell, first: usize, last: usize, columns: &mut Vec<Column>) {
    let count = cell.left.len().max(cell.right.len());
    let shown = |at: usize| at < first || at.saturating_add(last) >= count;
    let short = count <= first.saturating_add(last).saturating_add(1);
    let mut left_out = false;
    for at in 0..count {
        let piece = |pieces: &[String]| pieces.get(at).cloned().unwrap_or_default();
        if short || shown(at) {
            left_out = false;
            columns.push(Column { left: piece(&cell.left), right: piece(&cell.right), differs: false });
        } else if !left_out {
            left_out = true;
            columns.push(Column { left: "...".to_owned(), right: "...".to_owned(), differs: false });
        }
    }
}
