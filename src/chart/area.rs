//! Finding the charts of a sheet: which cells are a chart, and which row numbers stand beside them.
//!
//! Row numbers are the surest sign: a column of numbers that go up or down steadily, at the edge of a block of
//! cells. Where there are none, a chart is a block of cells that hold symbols. What is left over is prose.

use std::collections::{BTreeMap, BTreeSet};

use super::key::Key;
use super::label::{self, Label};
use super::sheet::Sheet;
use crate::place::{Address, Span};
use crate::stitch::Stitches;

/// A chart found on a sheet: rows from top to bottom.
#[derive(Clone)]
pub(super) struct Area {
    pub(super) rows: Vec<AreaRow>,
    /// First and last column of its cells.
    pub(super) columns: (u32, u32),
    /// The number the chart itself gives each column, where it does.
    pub(super) column_numbers: BTreeMap<u32, u32>,
    /// The furthest columns that blank cells of it may take, left and right: up to its row numbers, or as far as
    /// the sheet goes.
    pub(super) room: (u32, u32),
    /// Whether row numbers bound it on this side, so that blank columns up to them may belong to it.
    pub(super) bounded: (bool, bool),
}

/// One row of a chart.
#[derive(Clone)]
pub(super) struct AreaRow {
    pub(super) row: u32,
    pub(super) left: Option<Placed>,
    pub(super) right: Option<Placed>,
    /// A count typed at the row's end, and where.
    pub(super) stated: Option<(u32, Address)>,
}

/// A row number and where it stands.
#[derive(Clone, Copy)]
pub(super) struct Placed {
    pub(super) label: Label,
    pub(super) at: Address,
}

impl AreaRow {
    /// The row's number: that of the right edge first.
    pub(super) fn label(&self) -> Option<Placed> {
        self.right.or(self.left)
    }
}

impl Area {
    pub(super) fn top(&self) -> u32 {
        self.rows.first().map_or(0, |row| row.row)
    }

    pub(super) fn bottom(&self) -> u32 {
        self.rows.last().map_or(0, |row| row.row)
    }

    /// All of its cells, from the first row and column to the last.
    pub(super) fn span(&self) -> Span {
        Span::new(Address::new(self.top(), self.columns.0), Address::new(self.bottom(), self.columns.1))
    }

    /// Its cells in a row of the sheet.
    pub(super) fn row_span(&self, row: u32) -> Span {
        Span::new(Address::new(row, self.columns.0), Address::new(row, self.columns.1))
    }
}

/// A column of row numbers.
struct Chain {
    column: u32,
    labels: BTreeMap<u32, Label>,
}

impl Chain {
    fn first(&self) -> (u32, Label) {
        self.labels.first_key_value().map_or((0, Label::default()), |(row, label)| (*row, *label))
    }

    fn last(&self) -> (u32, Label) {
        self.labels.last_key_value().map_or((0, Label::default()), |(row, label)| (*row, *label))
    }
}

/// Finds the charts of a sheet in reading order, and takes their row numbers, column numbers and counts from it.
/// The cells of the charts stay.
pub(super) fn find(sheet: &mut Sheet<'_>, key: &mut Key, stitches: &mut Stitches) -> Vec<Area> {
    let numbered_columns = take_column_numbers(sheet, key, stitches);
    let counts = take_counts(sheet);
    let chains = chains(sheet, key, stitches);
    for chain in &chains {
        for row in chain.labels.keys() {
            sheet.take(Address::new(*row, chain.column));
        }
    }
    let mut areas = Vec::new();
    for group in groups(chains) {
        areas_of_group(sheet, group, key, stitches, &mut areas);
    }
    unnumbered(sheet, &mut areas, key, stitches);
    for area in &mut areas {
        // Column numbers stand right above or right below.
        let near = |row: &u32| area.top().abs_diff(*row) <= 2 || area.bottom().abs_diff(*row) <= 2;
        if let Some((_, numbers)) = numbered_columns.iter().find(|(row, _)| near(row)) {
            area.column_numbers = numbers
                .iter()
                .filter(|(column, _)| (area.columns.0..=area.columns.1).contains(column))
                .map(|(column, number)| (*column, *number))
                .collect();
        }
        for row in &mut area.rows {
            row.stated = counts.iter().find(|(at, _)| at.row == row.row).map(|(at, count)| (*count, *at));
        }
    }
    areas.sort_by_key(|area| (area.top(), area.columns.0));
    areas
}

/// Rows that number the columns: whole numbers that change with the columns they stand in.
fn take_column_numbers(
    sheet: &mut Sheet<'_>,
    key: &mut Key,
    stitches: &mut Stitches,
) -> Vec<(u32, BTreeMap<u32, u32>)> {
    let mut found = Vec::new();
    for row in sheet.rows() {
        let cells: Vec<(Address, String)> = sheet.row(row).map(|(at, text)| (at, text.to_owned())).collect();
        let numbers: Vec<(u32, i64)> = cells
            .iter()
            .filter_map(|(at, text)| {
                let text = text.strip_suffix(".0").unwrap_or(text);
                text.parse::<u32>().ok().map(|number| (at.column, i64::from(number)))
            })
            .collect();
        let steady = |sign: i64| {
            numbers.windows(2).all(|pair| pair[1].1 - pair[0].1 == sign * i64::from(pair[1].0 - pair[0].0))
        };
        if numbers.len() < 3 || numbers.len() != cells.len() || !(steady(-1) || steady(1)) {
            continue;
        }
        if cells.iter().all(|(_, text)| key.knows(text, stitches)) {
            continue;
        }
        for (at, _) in &cells {
            sheet.take(*at);
        }
        found.push((row, numbers.into_iter().map(|(column, number)| (column, number as u32)).collect()));
    }
    found
}

/// Counts of stitches typed at the ends of rows: "23 sts", or numbers in a column headed "sts".
fn take_counts(sheet: &mut Sheet<'_>) -> Vec<(Address, u32)> {
    let mut counts = Vec::new();
    let heading = |text: &str| {
        let text = text.trim_end_matches(['.', ':']).to_lowercase();
        matches!(text.as_str(), "sts" | "st" | "stitches" | "stitch count" | "count" | "st count" | "total")
    };
    let count = |text: &str| {
        let text = text.trim_matches(['(', ')', '[', ']', '.', '=', ' ']).to_lowercase();
        let number =
            text.trim_end_matches("stitches").trim_end_matches("sts").trim_end_matches("st").trim_end();
        (number.len() < text.len()).then(|| number.parse::<u32>().ok()).flatten()
    };
    let said: Vec<(Address, u32)> =
        sheet.texts().filter_map(|(at, text)| count(text).map(|count| (at, count))).collect();
    for (at, count) in said {
        sheet.take(at);
        counts.push((at, count));
    }
    let headings: Vec<Address> = sheet.texts().filter(|(_, text)| heading(text)).map(|(at, _)| at).collect();
    for at in headings {
        let below: Vec<(Address, u32)> = sheet
            .texts()
            .filter(|(cell, _)| cell.column == at.column && cell.row > at.row)
            .map_while(|(cell, text)| {
                let text = text.strip_suffix(".0").unwrap_or(text);
                text.parse::<u32>().ok().map(|count| (cell, count))
            })
            .collect();
        if below.is_empty() {
            continue;
        }
        sheet.take(at);
        for (cell, count) in below {
            sheet.take(cell);
            counts.push((cell, count));
        }
    }
    counts
}

/// The columns of row numbers.
fn chains(sheet: &Sheet<'_>, key: &mut Key, stitches: &mut Stitches) -> Vec<Chain> {
    let mut columns: BTreeMap<u32, Vec<(u32, Label)>> = BTreeMap::new();
    for (at, text) in sheet.texts() {
        if let Some(label) = label::parse(text) {
            columns.entry(at.column).or_default().push((at.row, label));
        }
    }
    let mut chains = Vec::new();
    for (column, labels) in columns {
        for labels in split(sheet, column, &labels, key, stitches) {
            if is_chain(sheet, column, &labels, key, stitches) {
                let mut labels: BTreeMap<u32, Label> = labels.into_iter().collect();
                labels.extend(nought(sheet, column, &labels));
                chains.push(Chain { column, labels });
            }
        }
    }
    chains
}

/// A row numbered 0 next to Row 1: it is drawn, though no row has that number.
fn nought(sheet: &Sheet<'_>, column: u32, labels: &BTreeMap<u32, Label>) -> Option<(u32, Label)> {
    let one = |(row, label): (&u32, &Label)| (label.number == 1).then_some(*row);
    let below = labels.last_key_value().and_then(one).map(|row| row + 1);
    let above = labels.first_key_value().and_then(one).and_then(|row| row.checked_sub(1));
    [below, above].into_iter().flatten().find_map(|row| {
        let text = sheet.text(Address::new(row, column))?;
        let marks = |c: char| !c.is_alphanumeric();
        (text.trim_end_matches(".0").trim_matches(marks).trim_start_matches("Row ") == "0")
            .then_some((row, Label { number: 0, explicit: true, ..Label::default() }))
    })
}

/// Cuts the numbers of a column where one chart ends and the next begins.
fn split(
    sheet: &Sheet<'_>,
    column: u32,
    labels: &[(u32, Label)],
    key: &mut Key,
    stitches: &mut Stitches,
) -> Vec<Vec<(u32, Label)>> {
    let mut parts: Vec<Vec<(u32, Label)>> = Vec::new();
    for (index, &(row, label)) in labels.iter().enumerate() {
        let joins = parts.last().and_then(|part| part.last().map(|last| (part, *last))).is_some_and(
            |(part, (above, last))| {
                let step = i64::from(label.number) - i64::from(last.number);
                let before =
                    part.len().checked_sub(2).map(|at| i64::from(last.number) - i64::from(part[at].1.number));
                let onward = before.is_none_or(|before| before.signum() == step.signum());
                if starts_again(part, &labels[index..]) {
                    return false;
                }
                // A line of prose does not end a chart whose numbers count on down to the first row.
                let counts_on = step == before.unwrap_or(step.clamp(-2, -1));
                let prose_inside = counts_on && (above + 1..row).all(|row| sheet.row(row).next().is_some());
                (above + 1..row).all(|between| {
                    let cells: Vec<(Address, &str)> =
                        sheet.row(between).filter(|(at, _)| at.column != column).collect();
                    match cells[..] {
                        _ if prose_inside => true,
                        // A blank line inside a chart, or between two.
                        [] => onward && step.abs() <= 4,
                        // A line of prose between two charts, or a row whose number stands on the other side.
                        _ => cells
                            .iter()
                            .any(|(_, text)| label::parse(text).is_some() || key.knows(text, stitches)),
                    }
                })
            },
        );
        match parts.last_mut().filter(|_| joins) {
            Some(part) => part.push((row, label)),
            None => parts.push(vec![(row, label)]),
        }
    }
    parts
}

/// Whether numbers that came down to 1 begin anew, and come down to 1 again; or the same upwards.
fn starts_again(part: &[(u32, Label)], rest: &[(u32, Label)]) -> bool {
    let (Some((_, last)), Some((_, next))) = (part.last(), rest.first()) else { return false };
    let down = last.number <= 2 && next.number > last.number + 2 && part.len() > 1;
    let comes_down = rest
        .windows(2)
        .take_while(|pair| pair[1].1.number < pair[0].1.number)
        .any(|pair| pair[1].1.number <= 2);
    let up = next.number <= 2
        && last.number > next.number + 1
        && part.first().is_some_and(|first| first.1.number <= 2);
    (down && comes_down) || (up && part.len() > 1 && rest.len() > 1)
}

fn is_chain(
    sheet: &Sheet<'_>,
    column: u32,
    labels: &[(u32, Label)],
    key: &mut Key,
    stitches: &mut Stitches,
) -> bool {
    let explicit = labels.iter().any(|(_, label)| label.explicit);
    let beside = |column: Option<u32>| {
        column.map_or(0, |column| {
            labels.iter().filter(|(row, _)| sheet.text(Address::new(*row, column)).is_some()).count()
        })
    };
    let (left, right) = (beside(column.checked_sub(1)), beside(column.checked_add(1)));
    let steps: Vec<i64> =
        labels.windows(2).map(|pair| i64::from(pair[1].1.number) - i64::from(pair[0].1.number)).collect();
    let usual = steps
        .iter()
        .copied()
        .max_by_key(|step| (steps.iter().filter(|other| *other == step).count(), -step.abs()));
    let keyed = labels
        .iter()
        .all(|(row, _)| sheet.text(Address::new(*row, column)).is_some_and(|text| key.knows(text, stitches)));
    match usual {
        None => {
            let others = labels.first().map_or(0, |(row, _)| {
                sheet.row(*row).filter(|(at, text)| at.column != column && key.knows(text, stitches)).count()
            });
            explicit && others >= 1 || !keyed && others >= 2 && (left == 0 || right == 0)
        }
        Some(0) => false,
        Some(step) => {
            let regular = steps.iter().filter(|other| **other == step).count();
            let steady = regular == steps.len() && (1..=2).contains(&step.abs());
            let interior = 2 * left >= labels.len() && 2 * right >= labels.len();
            // Digits may be symbols too. As row numbers they stand outermost and count down to the first row.
            let outermost = |right: bool| {
                labels.iter().all(|(row, _)| {
                    !sheet
                        .row(*row)
                        .any(|(at, _)| if right { at.column > column } else { at.column < column })
                })
            };
            let to_first = labels.iter().any(|(_, label)| label.number <= 2);
            if keyed && !(steady && to_first && (outermost(true) || outermost(false))) {
                return false;
            }
            explicit || (2 * regular >= steps.len() && (!interior || (steady && labels.len() >= 3)))
        }
    }
}

/// Columns of row numbers whose rows overlap belong to charts side by side, or to the two edges of one chart. So do
/// columns whose rows only meet, where the numbers go on: a chart of two rows numbered on alternating sides.
fn groups(mut chains: Vec<Chain>) -> Vec<Vec<Chain>> {
    chains.sort_by_key(|chain| chain.first().0);
    let mut groups: Vec<Vec<Chain>> = Vec::new();
    for chain in chains {
        let (first, label) = chain.first();
        let joins = groups.last().is_some_and(|group| {
            group.iter().any(|other| {
                let (last, before) = other.last();
                let meets = last + 1 == first && before.number.abs_diff(label.number) == 1;
                first <= last || (meets && other.column != chain.column)
            })
        });
        match groups.last_mut().filter(|_| joins) {
            Some(group) => group.push(chain),
            None => groups.push(vec![chain]),
        }
    }
    for group in &mut groups {
        group.sort_by_key(|chain| chain.column);
    }
    groups
}

/// Shares the columns between the row numbers of a group out to charts.
fn areas_of_group(
    sheet: &Sheet<'_>,
    group: Vec<Chain>,
    key: &mut Key,
    stitches: &mut Stitches,
    areas: &mut Vec<Area>,
) {
    let rows: BTreeSet<u32> = group.iter().flat_map(|chain| chain.labels.keys().copied()).collect();
    let (Some(&top), Some(&bottom)) = (rows.first(), rows.last()) else { return };
    let mut from = 0;
    let mut at = 0;
    while at < group.len() {
        let chain = &group[at];
        let left = block(sheet, (top, bottom), from, chain.column, Some(true), key, stitches);
        let next_column = group.get(at + 1).map_or(u32::MAX, |next| next.column);
        let right = block(sheet, (top, bottom), chain.column + 1, next_column, Some(false), key, stitches);
        if let Some(columns) = left {
            // Numbers on the right of their chart.
            areas.push(area(sheet, None, Some(chain), (from, columns), (false, true), key, stitches));
            from = chain.column + 1;
            at += 1;
        } else if let Some(columns) = right {
            let closing = group.get(at + 1).filter(|next| {
                let after = group.get(at + 2).map_or(u32::MAX, |after| after.column);
                belongs(chain, next)
                    && !heads_another(sheet, (top, bottom), next.column, after, key, stitches)
            });
            match closing {
                Some(closing) => {
                    let columns = (chain.column + 1, closing.column - 1);
                    areas.push(area(
                        sheet,
                        Some(chain),
                        Some(closing),
                        (from, columns),
                        (true, true),
                        key,
                        stitches,
                    ));
                    from = closing.column + 1;
                    at += 2;
                }
                None => {
                    areas.push(area(sheet, Some(chain), None, (from, columns), (true, false), key, stitches));
                    from = columns.1 + 1;
                    at += 1;
                }
            }
        } else {
            at += 1;
        }
    }
}

/// Whether two columns of numbers are the two edges of one chart: the same numbers, or each those the other lacks.
fn belongs(left: &Chain, right: &Chain) -> bool {
    let shared = left.labels.keys().filter(|row| right.labels.contains_key(row)).count();
    let equal = left
        .labels
        .iter()
        .filter(|(row, label)| right.labels.get(row).is_some_and(|other| other.number == label.number))
        .count();
    shared == 0 || 2 * equal >= shared
}

/// Whether a column of row numbers stands at the left of a chart of its own: symbols follow it, and the column
/// before it is blank.
fn heads_another(
    sheet: &Sheet<'_>,
    (top, bottom): (u32, u32),
    column: u32,
    to: u32,
    key: &mut Key,
    stitches: &mut Stitches,
) -> bool {
    let apart = column
        .checked_sub(1)
        .is_some_and(|before| (top..=bottom).all(|row| sheet.text(Address::new(row, before)).is_none()));
    apart && column + 1 < to && {
        let mut next = (top..=bottom).filter_map(|row| sheet.text(Address::new(row, column + 1)));
        next.all(|text| key.knows(text, stitches))
            && (top..=bottom).any(|row| sheet.text(Address::new(row, column + 1)).is_some())
    }
}

/// The columns between two bounds that hold the chart: the block next to the row numbers, and further blocks that
/// hold symbols. `numbers_right` says on which side the row numbers stand.
fn block(
    sheet: &Sheet<'_>,
    rows: (u32, u32),
    from: u32,
    to: u32,
    numbers_right: Option<bool>,
    key: &mut Key,
    stitches: &mut Stitches,
) -> Option<(u32, u32)> {
    let mut columns: BTreeMap<u32, (usize, usize)> = BTreeMap::new();
    for row in rows.0..=rows.1 {
        for (at, text) in sheet.row(row).filter(|(at, _)| (from..to).contains(&at.column)) {
            let known = key.knows(text, stitches) || text.chars().count() <= 3;
            let end = sheet.span(at).last.column;
            for column in at.column..=end {
                let seen = columns.entry(column).or_default();
                seen.0 += 1;
                seen.1 += usize::from(known);
            }
        }
    }
    // Blocks of neighbouring columns.
    let mut blocks: Vec<(u32, u32, usize, usize)> = Vec::new();
    for (&column, &(cells, known)) in &columns {
        match blocks.last_mut() {
            Some(block) if block.1 + 1 == column => {
                block.1 = column;
                block.2 += cells;
                block.3 += known;
            }
            _ => blocks.push((column, column, cells, known)),
        }
    }
    blocks.retain(|(_, _, cells, known)| 2 * known >= *cells);
    let nearest = if numbers_right == Some(true) { blocks.last() } else { blocks.first() }?;
    let (mut first, mut last) = (nearest.0, nearest.1);
    // Further blocks belong to the chart where blanks may be stitches or lie outside a ragged shape; a block of
    // words far away does not.
    for block in &blocks {
        first = first.min(block.0);
        last = last.max(block.1);
    }
    Some((first, last))
}

fn area(
    sheet: &Sheet<'_>,
    left: Option<&Chain>,
    right: Option<&Chain>,
    (room_from, columns): (u32, (u32, u32)),
    bounded: (bool, bool),
    key: &mut Key,
    stitches: &mut Stitches,
) -> Area {
    let placed = |chain: Option<&Chain>, row: u32| {
        let chain = chain?;
        let label = *chain.labels.get(&row)?;
        Some(Placed { label, at: Address::new(row, chain.column) })
    };
    let labelled: BTreeSet<u32> =
        [left, right].into_iter().flatten().flat_map(|chain| chain.labels.keys().copied()).collect();
    let holds = |row: u32, key: &mut Key, stitches: &mut Stitches| {
        sheet.row(row).any(|(at, text)| {
            (columns.0..=columns.1).contains(&at.column)
                && (key.knows(text, stitches) || text.chars().count() <= 2)
        })
    };
    let (mut top, mut bottom) =
        (labelled.first().copied().unwrap_or(0), labelled.last().copied().unwrap_or(0));
    // Where only every second row is numbered, the rows between are drawn too, and so may be one at either end.
    let between = (top..=bottom).any(|row| !labelled.contains(&row) && holds(row, key, stitches));
    if between {
        if top.checked_sub(1).is_some_and(|above| holds(above, key, stitches)) {
            top -= 1;
        }
        if holds(bottom + 1, key, stitches) {
            bottom += 1;
        }
    }
    let room = (
        left.map_or(room_from, |chain| chain.column + 1),
        right.map_or(u32::MAX, |chain| chain.column.saturating_sub(1)),
    );
    let rows = (top..=bottom)
        .filter(|row| labelled.contains(row) || holds(*row, key, stitches))
        .map(|row| AreaRow { row, left: placed(left, row), right: placed(right, row), stated: None })
        .collect();
    Area { rows, columns, column_numbers: BTreeMap::new(), room, bounded }
}

/// Charts without row numbers: neighbouring rows of symbols.
fn unnumbered(sheet: &Sheet<'_>, areas: &mut Vec<Area>, key: &mut Key, stitches: &mut Stitches) {
    let numbered = !areas.is_empty();
    let inside = |at: Address, areas: &[Area]| areas.iter().any(|area| area.span().contains(at));
    let mut bands: Vec<Vec<u32>> = Vec::new();
    for row in sheet.rows() {
        let cells: Vec<(Address, &str)> = sheet.row(row).filter(|(at, _)| !inside(*at, areas)).collect();
        let known = cells.iter().filter(|(_, text)| key.knows(text, stitches)).count();
        let short = cells.iter().filter(|(_, text)| text.chars().count() <= 3).count();
        let symbols = if numbered { known } else { known.max(short) };
        if cells.is_empty() || 2 * symbols < cells.len() {
            continue;
        }
        match bands.last_mut() {
            Some(band) if band.last() == Some(&row.wrapping_sub(1)) => band.push(row),
            _ => bands.push(vec![row]),
        }
    }
    for band in bands {
        let cells: Vec<(Address, bool)> = band
            .iter()
            .flat_map(|row| sheet.row(*row))
            .filter(|(at, _)| !inside(*at, areas))
            .map(|(at, text)| (at, key.knows(text, stitches)))
            .collect();
        let known = cells.iter().filter(|(_, known)| *known).count();
        let columns: BTreeSet<u32> =
            cells.iter().flat_map(|(at, _)| at.column..=sheet.span(*at).last.column).collect();
        let (Some(&first), Some(&last)) = (columns.first(), columns.last()) else { continue };
        let dense = band.len() >= 2 && columns.len() >= 2 && cells.len() >= 6;
        let wanted = if numbered {
            known == cells.len() && dense
        } else {
            (known > 0 && 2 * known >= cells.len() && cells.len() >= 2) || dense
        };
        if wanted {
            let row = |row: &u32| AreaRow { row: *row, left: None, right: None, stated: None };
            areas.push(Area {
                rows: band.iter().map(row).collect(),
                columns: (first, last),
                column_numbers: BTreeMap::new(),
                room: (first, last),
                bounded: (false, false),
            });
        }
    }
}
