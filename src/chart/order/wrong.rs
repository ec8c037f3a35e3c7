//! Row numbers that can't be right: other ones at the two ends of a row, mistyped ones, those that stand twice or run the wrong way.

use foldhash::{HashSet, HashSetExt};

use super::super::area::{AreaRow, Placed};
use super::Layout;
use super::line::{self, Line};
use crate::grid::Grid;
use crate::problem::{Code, Finding};

/// Says of rows that carry different numbers at their two ends which of them is wrong, so far as the others on its edge tell.
pub(super) fn edges_differ(grid: &Grid, rows: &[AreaRow], findings: &mut Vec<Finding>) {
    let mut differ = rows
        .iter()
        .zip(0i64..)
        .filter_map(|(row, place)| {
            let (left, right) = (row.left?, row.right?);
            (left.label.number != right.label.number).then_some((left, right, place))
        })
        .peekable();
    if differ.peek().is_none() {
        return;
    }
    let line = |edge: fn(&AreaRow) -> Option<Placed>| {
        Line::of(rows.iter().zip(0..).filter_map(move |(row, place)| Some((place, edge(row)?.label.number))))
    };
    let (on_left, on_right) = (line(|row| row.left), line(|row| row.right));
    for (left, right, place) in differ {
        let holds = |line: Option<Line>, placed: Placed| {
            line.is_some_and(|line| line.holds((place, placed.label.number)))
        };
        // The one that is on the line of its edge is right, if the other is not.
        let right_is_wrong = holds(on_left, left) && !holds(on_right, right);
        let (wrong, other) = if right_is_wrong { (right, left) } else { (left, right) };
        let (found, expected) = (wrong.label.number, other.label.number);
        let message = format!(
            "The two ends of one row carry different numbers: {} and {}.",
            left.label.number, right.label.number
        );
        findings.push(
            Finding::new(Code::RowNumberOrder, grid.place(wrong.at), message)
                .row(expected)
                .found(found)
                .expected(expected)
                .help(format!(
                    "Correct one of the two row numbers; the other is at {}.",
                    grid.place(other.at)
                )),
        );
    }
}

/// Says which single numbers are not those that the others leave their rows.
pub(super) fn mistyped(grid: &Grid, rows: &[AreaRow], findings: &mut Vec<Finding>) {
    let labels = || rows.iter().zip(0..).filter_map(|(row, place)| Some((place, row.label()?)));
    let numbers: Vec<(i64, u32)> = labels().map(|(place, placed)| (place, placed.label.number)).collect();
    let wrong = line::mistyped(&numbers);
    if wrong.is_empty() {
        return;
    }
    let labels: Vec<Placed> = labels().map(|(_, placed)| placed).collect();
    let number = |at: usize| numbers.get(at).map(|(_, number)| *number);
    for (at, expected) in wrong {
        let (Some(found), Some(placed)) = (number(at), labels.get(at)) else { continue };
        let twice = numbers.iter().enumerate().any(|(other, (_, number))| other != at && *number == found);
        let between = match (at.checked_sub(1).and_then(number), number(at + 1)) {
            (Some(before), Some(after)) => format!("between Row {before} and Row {after}"),
            (Some(before), None) => format!("after Row {before}"),
            (None, Some(after)) => format!("before Row {after}"),
            (None, None) => continue,
        };
        let (code, message) = match twice {
            true => (
                Code::RowNumberRepeated,
                format!("The row number {found} stands twice, here {between}, where Row {expected} belongs."),
            ),
            false => (
                Code::RowNumberOrder,
                format!("The row number {found} stands {between}, where Row {expected} belongs."),
            ),
        };
        findings.push(
            Finding::new(code, grid.place(placed.at), message)
                .row(expected)
                .found(found)
                .expected(expected)
                .help("Correct the row number."),
        );
    }
}

/// Says which numbers don't follow the ones before them; whether there are any.
pub(super) fn out_of_order(
    layout: Layout<'_>,
    numbers: &[u32],
    rows: &[AreaRow],
    findings: &mut Vec<Finding>,
) -> bool {
    let wrong = numbers.windows(2).any(|pair| pair[1] <= pair[0]);
    let mut seen = HashSet::new();
    for (index, pair) in numbers.windows(2).enumerate().filter(|_| wrong) {
        let (before, number) = (pair[0], pair[1]);
        seen.insert(before);
        if number > before {
            continue;
        }
        let place = layout.label_place(&rows[index + 1]);
        findings.push(if seen.contains(&number) {
            Finding::new(Code::RowNumberRepeated, place, format!("The row number {number} stands twice."))
                .row(number)
                .found(number)
                .expected(before + 1)
                .help("Number every row once.")
        } else {
            Finding::new(
                Code::RowNumberOrder,
                place,
                format!("Row {number} stands after Row {before}: the row numbers run the wrong way here."),
            )
            .row(number)
            .found(number)
            .expected(before + 1)
            .help("Correct the row number, or move the row to its place.")
        });
    }
    wrong
}
