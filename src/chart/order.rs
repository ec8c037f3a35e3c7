//! The order of the rows: their numbers, their sides, and which rows the chart leaves to be derived.

pub(super) mod line;
mod sides;

use std::collections::{BTreeMap, BTreeSet};

use foldhash::{HashSet, HashSetExt};

use super::area::{Area, AreaRow, Placed};
use super::extent::squared;
use crate::grid::Grid;
use crate::pattern::{Side, Worked};
use crate::place::Address;
use crate::problem::{Code, Finding};
use crate::settings::{Charted, FirstRow, Settings, SkippedRows};
use line::Line;

/// A charted row with its number and side.
#[derive(Clone)]
pub(super) struct Numbered {
    pub(super) number: u32,
    pub(super) side: Side,
    pub(super) row: AreaRow,
}

/// Where the rows stand that the chart does not draw.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Undrawn {
    /// Nowhere: every row is drawn.
    None,
    /// A return row after each charted row.
    After,
    /// A return row before each charted row: row 1 is a WS row.
    Before,
}

/// The charted rows in the order they are worked.
pub(super) struct Order {
    pub(super) rows: Vec<Numbered>,
    pub(super) undrawn: Undrawn,
    /// The side of row 1.
    pub(super) first_side: Side,
}

impl Order {
    /// Whether there are rows that the chart does not draw, before its last one or after it.
    pub(super) fn leaves_rows_out(&self) -> bool {
        self.undrawn != Undrawn::None || self.rows.windows(2).any(|pair| pair[1].number != pair[0].number + 1)
    }

    /// The first and the last row of each gap that its numbers have, beside return rows.
    pub(super) fn gaps(&self) -> Vec<(u32, u32)> {
        let (before, behind) = match self.undrawn {
            Undrawn::None => (1, 1),
            Undrawn::After => (2, 1),
            Undrawn::Before => (1, 2),
        };
        let gap = |pair: &[Numbered]| (pair[0].number + before, pair[1].number.saturating_sub(behind));
        self.rows.windows(2).map(gap).filter(|(first, last)| first <= last).collect()
    }
}

/// The side of a row by its number.
pub(super) fn side_of(number: u32, first_side: Side, worked: Worked) -> Side {
    match worked {
        Worked::Round => Side::Rs,
        Worked::Flat if number % 2 == 1 => first_side,
        Worked::Flat => first_side.other(),
    }
}

/// Puts the rows of a chart in order; nothing where the numbers make no sense. Rows that are `told` otherwise may be left
/// out of it.
pub(super) fn order(
    grid: &Grid,
    area: &Area,
    settings: &Settings,
    told: &BTreeSet<u32>,
    findings: &mut Vec<Finding>,
) -> Option<Order> {
    let worked = settings.worked.unwrap_or_default();
    let errors = findings.len();
    let (numbers, rows) = numbers(grid, area, settings, findings)?;
    let undrawn = undrawn(grid, area, numbers, &rows, settings, told, findings);
    if findings[errors..].iter().any(|finding| finding.severity() == crate::problem::Severity::Error) {
        return None;
    }
    let (numbers, undrawn) = undrawn?;
    let first_side = sides::first_side(grid, area, &numbers, &rows, undrawn, settings, findings)?;
    let lacks =
        numbers.first().map_or(0, |first| first.saturating_sub(1 + u32::from(undrawn == Undrawn::Before)));
    if lacks > 0 {
        findings.extend(rows.first().map(|row| begins_later(grid, area, row, lacks)));
    }
    let rows = numbers
        .iter()
        .zip(rows)
        .map(|(&number, row)| Numbered { number, side: side_of(number, first_side, worked), row })
        .collect();
    Some(Order { rows, undrawn, first_side })
}

/// Says that so many rows before the first of a chart are not in it.
fn begins_later(grid: &Grid, area: &Area, row: &AreaRow, lacks: u32) -> Finding {
    let first = row.label().map_or(lacks + 1, |placed| placed.label.number);
    let missing = match lacks {
        1 => "Row 1 is not in it, and was".to_owned(),
        2 => "Rows 1 and 2 are not in it, and were".to_owned(),
        _ => format!("Rows 1 to {lacks} are not in it, and were"),
    };
    let message = format!("The chart begins with Row {first}: {missing} not written.");
    Finding::new(Code::RowsBeginLater, label_place(grid, area, row), message)
        .row(first)
        .help("Nothing, if the pattern tells these rows elsewhere. Otherwise draw them, or correct the row numbers.")
}

fn label_place(grid: &Grid, area: &Area, row: &AreaRow) -> crate::place::Place {
    match row.label() {
        Some(placed) => grid.place(placed.at),
        None => grid.place(area.row_span(row.row)),
    }
}

/// The rows from the first worked to the last, with the numbers they carry or must have.
fn numbers(
    grid: &Grid,
    area: &Area,
    settings: &Settings,
    findings: &mut Vec<Finding>,
) -> Option<(Vec<u32>, Vec<AreaRow>)> {
    let mut rows = area.rows.clone();
    let mut labels = area.rows.iter().filter_map(AreaRow::label);
    let (top, bottom) = (labels.next(), labels.next_back());
    let Some(top) = top else {
        if settings.first_row != Some(FirstRow::Top) {
            rows.reverse();
        }
        let assumed = match (settings.first_row, settings.charted) {
            (None, None) => "row 1 was taken to stand at the bottom, and every row to be drawn",
            (None, Some(_)) => "row 1 was taken to stand at the bottom",
            (Some(_), None) => "every row was taken to be drawn",
            (Some(_), Some(_)) => "they were numbered as the settings say",
        };
        findings.push(
            Finding::new(
                Code::RowsNotNumbered,
                grid.place(area.span()),
                format!("The rows have no numbers: {assumed}.{}", blank_rows(grid, area)),
            )
            .help("Number the rows, or set first-row and charted."),
        );
        let step = if settings.charted == Some(Charted::RightSide) { 2 } else { 1 };
        let first = if step == 2 && settings.first_side == Some(Side::Ws) { 2 } else { 1 };
        let numbers: Vec<u32> = (0..rows.len() as u32).map(|index| first + index * step).collect();
        if let Some(others) = other_numbers_hidden(grid, area, &numbers, &rows) {
            findings.push(others);
            return None;
        }
        return Some((numbers, rows));
    };
    let down = area.first_row() == Some(FirstRow::Top);
    if down && settings.first_row.is_none() {
        findings.push(
            Finding::new(
                Code::RowsRunDown,
                grid.place(top.at),
                format!(
                    "The rows run down the sheet, from Row {} at the top; they were read in that order.",
                    top.label.number
                ),
            )
            .help("Nothing, if that is how the chart is meant; first-row = \"top\" says so."),
        );
    }
    let upward = if bottom.is_none() { settings.first_row != Some(FirstRow::Top) } else { !down };
    if upward {
        rows.reverse();
    }
    let from = findings.len();
    edges_differ(grid, &rows, findings);
    if findings.len() == from {
        mistyped(grid, &rows, findings);
    }
    if findings.len() > from {
        return None;
    }
    let numbers = filled(grid, area, &rows, findings)?;
    let set_up = |row: &AreaRow| row.label().is_some_and(|placed| placed.label.set_up);
    let zero = rows.iter().zip(&numbers).find(|(row, number)| **number == 0 && !set_up(row));
    if let Some((row, _)) = zero {
        findings.push(
            Finding::new(
                Code::RowNumberOrder,
                label_place(grid, area, row),
                "A row is numbered 0, but rows count from 1.",
            )
            .row(0)
            .found(0)
            .expected(1)
            .help("Number the rows from 1, or call it \"Set-up row\"; if Row 0 only shows the cast-on, take it out and set cast-on."),
        );
        return None;
    }
    Some((numbers, rows))
}

/// Says how many rows without lines hold nothing.
fn blank_rows(grid: &Grid, area: &Area) -> String {
    let (first, last) = area.columns;
    let blank = |row: &&AreaRow| {
        let mut cells = (first..=last).map(|column| Address::new(row.row, column));
        cells.all(|at| {
            grid.get(at).is_none() && !squared(&grid.looks.at(at)) && grid.looks.at(at).fill.is_none()
        })
    };
    match area.rows.iter().filter(blank).count() {
        0 => String::new(),
        1 => " One of them holds nothing, and was read as a row of blank stitches.".to_owned(),
        count => format!(" {count} of them hold nothing, and were read as rows of blank stitches."),
    }
}

/// Says of rows that carry different numbers at their two ends which of them is wrong, so far as the others on its edge tell.
fn edges_differ(grid: &Grid, rows: &[AreaRow], findings: &mut Vec<Finding>) {
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
fn mistyped(grid: &Grid, rows: &[AreaRow], findings: &mut Vec<Finding>) {
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

/// The numbers, with those put in that stand on every second row only.
fn filled(grid: &Grid, area: &Area, rows: &[AreaRow], findings: &mut Vec<Finding>) -> Option<Vec<u32>> {
    let given = |row: &AreaRow| row.label().map(|placed| placed.label.number);
    // The next number behind each row, and how many rows further on it stands.
    let mut after: Vec<Option<(u32, u32)>> = Vec::with_capacity(rows.len());
    let mut next = None;
    for row in rows.iter().rev() {
        after.push(next);
        let further = next.map(|(number, ahead)| (number, ahead + 1));
        next = given(row).map(|number| (number, 1)).or(further);
    }
    let mut numbers: Vec<u32> = Vec::with_capacity(rows.len());
    for (row, after) in rows.iter().zip(after.into_iter().rev()) {
        let before = numbers.last().copied();
        let found = match given(row) {
            Some(number) => Some(number),
            None => match (before, after) {
                (Some(before), Some((after, ahead))) => (before + 1 + ahead == after).then_some(before + 1),
                (Some(before), None) => Some(before + 1),
                (None, Some((after, ahead))) => after.checked_sub(ahead).filter(|&number| number >= 1),
                (None, None) => None,
            },
        };
        match found {
            Some(number) => numbers.push(number),
            None => {
                findings.push(
                    Finding::new(
                        Code::RowNumberGap,
                        label_place(grid, area, row),
                        "A row without a number stands where the numbers leave it no place.".to_owned(),
                    )
                    .found("no row number")
                    .help("Number the row, or correct the numbers of the rows beside it."),
                );
                return None;
            }
        }
    }
    Some(numbers)
}

/// Which rows are not drawn, and the numbers of those that are.
fn undrawn(
    grid: &Grid,
    area: &Area,
    mut numbers: Vec<u32>,
    rows: &[AreaRow],
    settings: &Settings,
    told: &BTreeSet<u32>,
    findings: &mut Vec<Finding>,
) -> Option<(Vec<u32>, Undrawn)> {
    let wrong = numbers.windows(2).any(|pair| pair[1] <= pair[0]);
    let mut seen = HashSet::new();
    for (index, pair) in numbers.windows(2).enumerate().filter(|_| wrong) {
        let (before, number) = (pair[0], pair[1]);
        seen.insert(before);
        if number > before {
            continue;
        }
        let place = label_place(grid, area, &rows[index + 1]);
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
    if wrong {
        return None;
    }
    // A set-up row is drawn before the others, and row 0.
    let counted = usize::from(numbers.first() == Some(&0));
    let steps = || numbers.get(counted..).unwrap_or_default().windows(2).map(|pair| pair[1] - pair[0]);
    let labelled = rows.iter().any(|row| row.label().is_some());
    let ones = steps().all(|step| step == 1);
    let mostly_twos = || {
        let twos = steps().filter(|step| *step == 2).count();
        let other = steps().filter(|step| step % 2 != 0).count();
        // One wild number among many is told of.
        2 * twos > steps().len() && (other == 0 || other == 1 && twos + 1 == steps().len() && twos > 2)
    };
    let right_side = match settings.charted {
        Some(Charted::EveryRow) => false,
        Some(Charted::RightSide) => true,
        None => mostly_twos(),
    };
    if !right_side {
        gaps(grid, area, (&numbers, told), rows, 1, settings, findings);
        return Some((numbers, Undrawn::None));
    }
    if settings.charted == Some(Charted::RightSide)
        && labelled
        && ones
        && let [first, .., last] = numbers[counted..]
    {
        // The chart counts the rows it draws.
        let offset = u32::from(settings.first_side == Some(Side::Ws));
        for number in &mut numbers[counted..] {
            *number = *number * 2 - 1 + offset;
        }
        findings.push(
            Finding::new(
                Code::RightSideOnly,
                grid.place(area.span()),
                format!(
                    "Only right-side rows are drawn, numbered {first} to {last}: they were taken as rows {} to {}.",
                    first * 2 - 1 + offset,
                    last * 2 - 1 + offset
                ),
            )
            .help("Number the drawn rows 1, 3, 5 ... if that is wrong."),
        );
    } else if settings.charted.is_none() {
        findings.push(
            Finding::new(
                Code::RightSideOnly,
                grid.place(area.span()),
                format!(
                    "The row numbers go by twos: only right-side rows are drawn, and the rows between were derived.{}",
                    match area.blank_rows[..] {
                        [] => "",
                        _ => " The blank rows between them were taken as none.",
                    }
                ),
            )
            .help("Nothing, if that is so; charted = \"every-row\" says otherwise, return-rows how the others are worked."),
        );
    }
    gaps(grid, area, (&numbers, told), rows, 2, settings, findings);
    let even = numbers.get(counted).is_some_and(|number| number % 2 == 0);
    Some((numbers, if even { Undrawn::Before } else { Undrawn::After }))
}

/// Numbers that leave rows out, beyond those that are derived or told.
fn gaps(
    grid: &Grid,
    area: &Area,
    (numbers, told): (&[u32], &BTreeSet<u32>),
    rows: &[AreaRow],
    step: u32,
    settings: &Settings,
    findings: &mut Vec<Finding>,
) {
    let fill = match settings.skipped_rows {
        Some(SkippedRows::Knit) => Some("knit"),
        Some(SkippedRows::Purl) => Some("purl"),
        Some(SkippedRows::Error) | None => None,
    };
    let mut hidden = None;
    if let Some(&first) = numbers.first().filter(|first| **first > step) {
        // A chart may begin anywhere, but not behind rows that are hidden.
        let hidden = hidden.get_or_insert_with(|| hidden_numbers(grid, rows));
        if let Some(at) = hidden.get(&(first - step)).filter(|at| lies_beside(grid, **at, rows)) {
            findings.push(
                Finding::new(
                    Code::RowNumberGap,
                    grid.place(*at),
                    format!(
                        "Row {} stands in a hidden row of the sheet; without it the chart begins with Row {first}.",
                        first - step
                    ),
                )
                .row(first - step)
                .found(first)
                .expected(first - step)
                .help("Show the hidden rows, or delete them and number the rows anew."),
            );
        }
    }
    for (index, pair) in numbers.windows(2).enumerate() {
        let (before, number) = (pair[0], pair[1]);
        if number <= before + step || (before + step..number).all(|row| told.contains(&row)) {
            continue;
        }
        let (first, last) = (before + step, number - 1);
        let missing =
            if first == last { format!("Row {first} is") } else { format!("Rows {first} to {last} are") };
        let place = label_place(grid, area, &rows[index + 1]);
        let missing_here = hidden.get_or_insert_with(|| hidden_numbers(grid, rows)).range(first..=last);
        if let Some((hidden, at)) = missing_here.min_by_key(|(_, at)| **at) {
            findings.push(
                Finding::new(
                    Code::RowNumberGap,
                    grid.place(*at),
                    format!("Row {hidden} stands in a hidden row of the sheet; without it Row {number} follows Row {before}."),
                )
                .row(*hidden)
                .found(number)
                .expected(before + step)
                .help("Show the hidden rows, or delete them and number the rows anew."),
            );
            continue;
        }
        findings.push(match fill {
            Some(fill) => Finding::new(
                Code::SkippedRows,
                place,
                if first < last {
                    format!("{missing} not in the chart; the setting skipped-rows makes them {fill} rows.")
                } else {
                    format!("{missing} not in the chart; the setting skipped-rows makes it a {fill} row.")
                },
            )
            .row(number),
            None => Finding::new(
                Code::RowNumberGap,
                place,
                format!("{missing} missing: Row {number} follows Row {before}."),
            )
            .row(first)
            .found(number)
            .expected(before + step)
            .help("Correct the number, add the rows, or set skipped-rows = \"knit\" or \"purl\" if plain rows were left out."),
        });
    }
}

/// Says that a hidden column right beside a chart without row numbers numbers its rows otherwise than they would be.
fn other_numbers_hidden(grid: &Grid, area: &Area, numbers: &[u32], rows: &[AreaRow]) -> Option<Finding> {
    let is_hidden = |column: &u32| grid.hidden_columns.get(*column).is_some();
    let label =
        |row: u32, column: u32| super::label::parse(&grid.get(Address::new(row, column))?.value.text());
    let before = (0..area.columns.0).rev().take_while(is_hidden);
    let mut beside = before.chain((area.columns.1 + 1..).take_while(is_hidden));
    let column = beside.find(|column| rows.iter().all(|row| label(row.row, *column).is_some()))?;
    let (row, number, hidden) = rows.iter().zip(numbers).find_map(|(row, number)| {
        let hidden = label(row.row, column)?.number;
        (hidden != *number).then_some((row.row, *number, hidden))
    })?;
    Some(
        Finding::new(
            Code::RowNumberGap,
            grid.place(Address::new(row, column)),
            format!(
                "The row numbers stand in a hidden column of the sheet; without it Row {hidden} would be Row {number}."
            ),
        )
        .row(hidden)
        .found(number)
        .expected(hidden)
        .help("Show the column with the row numbers, or empty it."),
    )
}

/// Whether nothing but hidden rows lies between a hidden cell and the first row of a chart.
fn lies_beside(grid: &Grid, at: Address, rows: &[AreaRow]) -> bool {
    let Some(first) = rows.first().map(|row| row.row) else { return false };
    let (above, below) = (first.min(at.row), first.max(at.row));
    (above + 1..below).all(|row| grid.hidden_rows.get(row).is_some())
}

/// The row numbers that stand in hidden rows of the sheet, beside the numbers of the others, each where it stands first.
fn hidden_numbers(grid: &Grid, rows: &[AreaRow]) -> BTreeMap<u32, Address> {
    let mut hidden = BTreeMap::new();
    if grid.hidden_rows.is_empty() {
        return hidden;
    }
    let columns: BTreeSet<u32> =
        rows.iter().flat_map(|row| [row.left, row.right]).flatten().map(|placed| placed.at.column).collect();
    for cell in &grid.cells {
        if grid.hidden_rows.get(cell.at.row).is_some()
            && columns.contains(&cell.at.column)
            && let Some(label) = super::label::parse(&cell.value.text())
        {
            hidden.entry(label.number).or_insert(cell.at);
        }
    }
    hidden
}
