//! The charts beside columns of row numbers: which cells belong to which numbers.

use std::collections::{BTreeMap, BTreeSet};

use super::super::key::Key;
use super::super::sheet::Sheet;
use super::chains::{Chain, belongs};
use super::{Area, AreaRow, Placed};
use crate::place::Address;
use crate::stitch::Stitches;

/// Shares the columns between the row numbers of a group out to charts.
pub(super) fn areas_of_group(
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
        let mut right =
            || block(sheet, (top, bottom), chain.column + 1, next_column, Some(false), key, stitches);
        if let Some(columns) = left {
            // Numbers on the right of their chart.
            areas.push(area(sheet, None, Some(chain), (from, columns), (false, true), key, stitches));
            from = chain.column + 1;
            at += 1;
        } else if let Some(columns) = right() {
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
    // By column: how many cells hold something, and how many of them a symbol.
    let mut columns: Vec<(usize, usize)> = Vec::new();
    for row in rows.0..=rows.1 {
        for (found, text) in sheet.alike(row, from..to) {
            let known = key.knows(text, stitches) || text.chars().count() <= 3;
            let last = sheet.span(Address::new(row, found.end - 1)).last.column;
            let (at, end) = ((found.start - from) as usize, (last + 1 - from) as usize);
            if columns.len() < end {
                columns.resize(end, (0, 0));
            }
            for seen in columns.get_mut(at..end).unwrap_or_default() {
                seen.0 += 1;
                seen.1 += usize::from(known);
            }
        }
    }
    // Blocks of neighbouring columns.
    let mut blocks: Vec<(u32, u32, usize, usize)> = Vec::new();
    for (column, &(cells, known)) in (from..).zip(&columns).filter(|(_, (cells, _))| *cells > 0) {
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
