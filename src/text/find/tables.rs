//! Tables of rows: a head that says "Row" over one column and "Instructions" over another. Each of their lines is read as
//! the row it prints: "Row 3 (RS): K2, yo. (10 sts)".

use std::borrow::Cow;

use crate::document::{Kind, Line};
use crate::pattern::Worked;
use crate::words::rows::label::{is_row_word, label, rows_named};
use crate::words::texts;

/// What a column holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Column {
    /// The numbers of rows, and what they are called.
    Numbers(&'static str),
    Side,
    Work,
    /// The stitches there are after each row.
    Counts,
    Other,
}

/// The lines of a document with those of its tables of rows as rows.
pub(super) fn read(lines: &[Line]) -> Cow<'_, [Line]> {
    if !lines.iter().any(|line| line.kind == Kind::Cells) {
        return Cow::Borrowed(lines);
    }
    let mut read = Vec::with_capacity(lines.len());
    let mut columns: Option<Vec<Column>> = None;
    let mut before = Kind::Text;
    for line in lines {
        let heads = line.kind == Kind::Cells && before != Kind::Cells;
        before = line.kind;
        if line.kind != Kind::Cells {
            columns = None;
        } else if heads {
            columns = roles(line);
            if columns.is_some() {
                continue;
            }
        } else if let Some(columns) = &columns {
            row(line, columns, &mut read);
            continue;
        }
        read.push(line.clone());
    }
    Cow::Owned(read)
}

/// The cells of a line of a table.
fn cells(line: &Line) -> impl Iterator<Item = Line> {
    line.cells().iter().map(|&(start, end)| line.part(start, end))
}

/// What the columns under a head hold; none where they are no rows.
fn roles(head: &Line) -> Option<Vec<Column>> {
    let mut columns: Vec<Column> = cells(head).map(|cell| role(&cell.text)).collect();
    let count =
        |columns: &[Column], of: &dyn Fn(&Column) -> bool| columns.iter().filter(|column| of(column)).count();
    let numbers = count(&columns, &|column| matches!(column, Column::Numbers(_)));
    if numbers != 1 || columns.len() < 2 {
        return None;
    }
    // Where nothing is headed as the work, it is the only column that may be it.
    for may_be in [Column::Work, Column::Other, Column::Counts] {
        match count(&columns, &|column| *column == may_be) {
            0 => {}
            1 => {
                columns
                    .iter_mut()
                    .filter(|column| **column == may_be)
                    .for_each(|column| *column = Column::Work);
                return Some(columns);
            }
            _ => return None,
        }
    }
    None
}

fn role(head: &str) -> Column {
    let head = head.to_lowercase();
    let words: Vec<&str> =
        head.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).collect();
    let said = texts();
    let is = |known: &[String], word: &str| known.iter().any(|known| known == word);
    match words[..] {
        ["r"] => Column::Numbers("Row "),
        [rows] if is_row_word(rows) => numbers(rows),
        [rows, number] if is_row_word(rows) && is(&said.table_numbers, number) => numbers(rows),
        [work] if is(&said.table_work, work) => Column::Work,
        _ if is(&said.table_sides, &words.join(" ")) => Column::Side,
        [_] | [_, _] if words.iter().all(|word| is(&said.table_counts, word)) => Column::Counts,
        _ => Column::Other,
    }
}

/// A column of numbers, by the word for rows that heads it.
fn numbers(rows: &str) -> Column {
    match rows_named(rows) {
        Some(Worked::Round) => Column::Numbers("Rnd "),
        _ => Column::Numbers("Row "),
    }
}

/// The row that a line of a table prints, and what stands there besides; the line as it is where it prints none.
fn row(line: &Line, columns: &[Column], read: &mut Vec<Line>) {
    let mut beside = Vec::new();
    let (mut number, mut side, mut work, mut counted) = (None, None, None, None);
    let filled = cells(line).zip(columns.iter().copied().chain(std::iter::repeat(Column::Other)));
    for (cell, column) in filled.filter(|(cell, _)| !cell.is_blank()) {
        match column {
            Column::Numbers(called) => number = Some((cell, called)),
            Column::Side => side = Some(cell),
            Column::Work => work = Some(cell),
            Column::Counts => counted = Some(cell),
            Column::Other => beside.push(cell),
        }
    }
    let (Some((number, called)), Some(work)) = (number, work) else { return read.push(line.clone()) };
    let bare = number.text.trim().trim_end_matches([':', '.']);
    let whole = label(&format!("{bare}:"));
    let Some(found) = whole.clone().or_else(|| label(&format!("{called}{bare}:"))) else {
        return read.push(line.clone());
    };
    let mut row = Line::default();
    (row.kind, row.whole) = (Kind::Cells, true);
    if whole.is_none() {
        row.mark(called);
    }
    row.append(&number.part(0, number.text.trim_end().trim_end_matches([':', '.']).len()));
    if let Some(side) = side.filter(|_| found.side.is_none()) {
        row.mark(" (");
        row.append(&side);
        row.mark(")");
    }
    row.mark(": ");
    row.append(&work);
    if let Some(counted) = counted {
        row.mark(" (");
        row.append(&counted);
        row.mark(if counted.text.bytes().all(|byte| byte.is_ascii_digit()) { " sts)" } else { ")" });
    }
    read.push(row);
    read.extend(beside);
}

#[cfg(test)]
mod tests {
    use super::*;

    fn table(rows: &[&[&str]]) -> Vec<String> {
        let line = |(number, cells): (u32, &&[&str])| {
            let mut line = Line::default();
            line.kind = Kind::Cells;
            for (column, cell) in (1..).zip(*cells) {
                line.begin_cell();
                line.push(number, column, cell);
            }
            line.end_cell();
            line
        };
        let lines: Vec<Line> = (1..).zip(rows).map(line).collect();
        read(&lines).iter().map(|line| line.text.clone()).collect()
    }

    /// Source: common practice, no published source.
    #[test]
    fn lines_of_a_table_are_the_rows_they_print() {
        assert_eq!(
            table(&[
                &["Row", "Side", "Instructions", "Sts", "Note"],
                &["1", "RS", "K2, yo.", "3", ""],
                &["2.", "", "P3.", "3 sts", "loosely"],
                &["3 (RS)", "RS", "K3.", "", ""],
                &["Row 4", "", "P3.", "", ""],
                &["5-6", "", "Knit.", "", ""],
            ]),
            [
                "Row 1 (RS): K2, yo. (3 sts)",
                "Row 2: P3. (3 sts)",
                "loosely",
                "Row 3 (RS): K3.",
                "Row 4: P3.",
                "Row 5-6: Knit."
            ]
        );
        assert_eq!(table(&[&["Rnd", "Stitches"], &["1", "K2."]]), ["Rnd 1: K2."]);
    }

    #[test]
    fn other_tables_stay_as_they_are() {
        let key: [&[&str]; 2] = [&["k", "Knit."], &["p", "Purl."]];
        let sizes: [&[&str]; 2] = [&["Row", "Size S", "Size M"], &["1", "K2.", "K3."]];
        let twice: [&[&str]; 2] = [&["Row", "Row"], &["1", "2"]];
        for rows in [key, sizes, twice] {
            let joined: Vec<String> = rows.iter().map(|cells| cells.join(": ")).collect();
            assert_eq!(table(&rows), joined);
        }
    }
}
