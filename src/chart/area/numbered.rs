//! The charts beside columns of row numbers: which cells belong to which numbers.

use std::collections::BTreeMap;

use super::super::key::{FILL, Key};
use super::super::sentences::is_times;
use super::super::sheet::{Sheet, Text};
use super::chains::{Chain, belongs, number_returns};
use super::{Area, AreaRow, Placed};
use crate::place::Address;
use crate::stitch::Stitches;
use crate::words;

/// Shares the columns between the row numbers of a group out to charts; gives the cells of numbers that are at no edge of any.
pub(super) fn areas_of_group(
    sheet: &Sheet<'_>,
    group: Vec<Chain>,
    key: &mut Key,
    stitches: &mut Stitches,
    areas: &mut Vec<Area>,
) -> Vec<Address> {
    let mut left = Vec::new();
    let top = group.iter().map(|chain| chain.first().0).min();
    let bottom = group.iter().map(|chain| chain.last().0).max();
    let (Some(top), Some(bottom)) = (top, bottom) else { return left };
    let mut from = 0;
    let mut at = 0;
    while at < group.len() {
        let chain = &group[at];
        let before = block(sheet, (top, bottom), from, chain.column, Some(true), key, stitches);
        let next_column = group.get(at + 1).map_or(u32::MAX, |next| next.column);
        let mut behind =
            || block(sheet, (top, bottom), chain.column + 1, next_column, Some(false), key, stitches);
        if let Some(columns) = before {
            // Numbers on the right of their chart.
            areas.push(area(sheet, None, Some(chain), (from, columns), (false, true), key, stitches));
            from = chain.column + 1;
            at += 1;
        } else if let Some(columns) = behind() {
            let closing = group.get(at + 1).filter(|next| {
                let after = group.get(at + 2).map_or(u32::MAX, |after| after.column);
                (belongs(chain, next) || number_returns(chain, next))
                    && !heads_another(sheet, (top, bottom), next.column, after, key, stitches)
            });
            match closing {
                Some(closing) => {
                    let columns = (chain.column + 1, closing.column - 1);
                    let mut area =
                        area(sheet, Some(chain), Some(closing), (from, columns), (true, true), key, stitches);
                    if number_returns(chain, closing) {
                        area.rows.iter_mut().for_each(|row| row.left = None);
                    }
                    areas.push(area);
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
            left.extend(chain.labels.iter().map(|placed| placed.at));
            at += 1;
        }
    }
    left
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
    if from >= to {
        return None;
    }
    // How many cells that hold something begin at a column, less those that end before it; how many of a symbol, and of a
    // fill that no key explains.
    const FEW: usize = 64;
    let mut changes: Vec<[i64; 3]> = Vec::with_capacity(FEW);
    for row in rows.0..=rows.1 {
        for (found, text) in sheet.alike(row, from..to) {
            let short = || text.chars().count() <= 3 && !is_times(&text);
            let known = key.explains(text, stitches) || short() || typed_in_words(&text, stitches);
            let fill = !known && text.starts_with(FILL);
            let counts = [1, i64::from(known), i64::from(fill)];
            let last = sheet.span(Address::new(row, found.end - 1)).last.column;
            let (at, end) = ((found.start - from) as usize, (last + 1 - from) as usize);
            if changes.len() <= end {
                changes.resize(end + 1, [0; 3]);
            }
            for (column, sign) in [(at, 1), (end, -1)] {
                changes[column].iter_mut().zip(counts).for_each(|(sum, count)| *sum += sign * count);
            }
        }
    }
    // Blocks of neighbouring columns.
    let mut blocks: Vec<(u32, u32, [i64; 3])> = Vec::new();
    let mut counts = [0; 3];
    for (column, more) in (from..).zip(changes) {
        counts.iter_mut().zip(more).for_each(|(sum, more)| *sum += more);
        let [cells, known, fills] = counts;
        // Words in few of the rows are notes beside the chart.
        let few = known + fills == 0 && 2 * cells <= i64::from(rows.1 - rows.0);
        if cells == 0 || few && words_alone(sheet, rows, column, key, stitches) {
            continue;
        }
        match blocks.last_mut() {
            Some(block) if block.1 + 1 == column => {
                block.1 = column;
                block.2.iter_mut().zip(counts).for_each(|(sum, count)| *sum += count);
            }
            _ => blocks.push((column, column, counts)),
        }
    }
    // Fills alone of which the key has none are no chart.
    blocks.retain(|(_, _, [cells, known, fills])| {
        let symbols = if *known > 0 { known + fills } else { 0 };
        2 * symbols >= *cells
    });
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

/// Whether a text says a stitch in words, "knit 1", as a cell may hold it.
fn typed_in_words(text: &str, stitches: &mut Stitches) -> bool {
    const LONGEST: usize = 12;
    text.len() <= LONGEST && words::stitch(text, stitches).is_some()
}

/// Whether a column holds nothing but words, or how often rows are worked, which are no symbols.
fn words_alone(
    sheet: &Sheet<'_>,
    (top, bottom): (u32, u32),
    column: u32,
    key: &mut Key,
    stitches: &mut Stitches,
) -> bool {
    let mut texts = (top..=bottom).filter_map(|row| sheet.text(Address::new(row, column)));
    texts.all(|text| (text.contains(' ') || is_times(&text)) && !key.knows(text, stitches))
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
    let mut holds = |row: u32| {
        sheet.row(row).any(|(at, text)| {
            (columns.0..=columns.1).contains(&at.column)
                && (key.knows(text, stitches) || text.chars().count() <= 2)
        })
    };
    let chains = || [left, right].into_iter().flatten();
    let top = chains().map(|chain| chain.first().0).min().unwrap_or(0);
    let bottom = chains().map(|chain| chain.last().0).max().unwrap_or(0);
    let [mut on_left, mut on_right] =
        [left, right].map(|chain| chain.map_or(&[][..], |chain| &chain.labels).iter().peekable());
    let mut rows = Vec::with_capacity(on_left.len() + on_right.len());
    let plain = |row: u32| AreaRow { row, left: None, right: None, stated: None };
    for row in top..=bottom {
        let here = |placed: &&Placed| placed.at.row == row;
        let (left, right) = (on_left.next_if(here).copied(), on_right.next_if(here).copied());
        if left.is_some() || right.is_some() || holds(row) {
            let counts = |placed: Placed| Some((placed.label.stated?, placed.at));
            let stated = [right, left].into_iter().flatten().find_map(counts);
            rows.push(AreaRow { left, right, stated, row });
        }
    }
    let (above, below) = unnumbered_ends(&rows, &mut holds);
    // A row without a number on this side may reach into the column of those of others.
    let mut reaches = |numbers: &&Chain, inward: i32| {
        rows.iter().any(|row| {
            let at = Address::new(row.row, numbers.column);
            let beside =
                numbers.column.checked_add_signed(inward).map(|column| Address::new(row.row, column));
            // A fill there may be one of the whole sheet.
            let typed = |text: &Text<'_>| !text.starts_with(FILL);
            let mut symbol =
                |at: Address| sheet.text(at).filter(typed).is_some_and(|text| key.knows(text, stitches));
            numbers.in_row(row.row).is_none()
                && row.label().is_some()
                && symbol(at)
                && beside.is_some_and(symbol)
        })
    };
    let columns = (
        left.filter(|numbers| reaches(numbers, 1)).map_or(columns.0, |numbers| numbers.column),
        right.filter(|numbers| reaches(numbers, -1)).map_or(columns.1, |numbers| numbers.column),
    );
    rows.splice(0..0, (top - above..top).map(plain));
    rows.extend((bottom + 1..=bottom + below).map(plain));
    let room = (
        left.map_or(room_from, |chain| columns.0.min(chain.column + 1)),
        right.map_or(u32::MAX, |chain| columns.1.max(chain.column.saturating_sub(1))),
    );
    Area { rows, columns, column_numbers: BTreeMap::new(), room, bounded }
}

/// How many rows without a number belong to a chart above its first number and below its last; `holds` tells rows with
/// symbols. Where only every second or fifth row is numbered, the rows between are drawn too, and so may be fewer at either
/// end. Where but one row is, they belong to it where as many stand below as its number asks for.
fn unnumbered_ends(rows: &[AreaRow], mut holds: impl FnMut(u32) -> bool) -> (u32, u32) {
    let numbered: Vec<Placed> = rows.iter().filter_map(AreaRow::label).collect();
    let most = match numbered[..] {
        [only] => (u32::MAX, only.label.number),
        [first, .., last] if rows.len() > numbered.len() => {
            let (second, before) = (numbered[1], numbered[numbered.len() - 2]);
            let apart = numbered.windows(2).map(|pair| pair[1].at.row - pair[0].at.row).max().unwrap_or(1);
            // Below Row 1 no row can stand; one alone is told where the rows are put in order.
            let room = |end: Placed, next: Placed| match apart {
                ..=2 => apart - 1,
                _ if end.label.number < next.label.number => end.label.number.saturating_sub(1),
                _ => u32::MAX,
            };
            (room(first, second), room(last, before))
        }
        _ => return (0, 0),
    };
    let (Some(first), Some(last)) = (numbered.first(), numbered.last()) else { return (0, 0) };
    let above = (1..=most.0).take_while(|up| first.at.row.checked_sub(*up).is_some_and(&mut holds)).count();
    let below = (1..=most.1).take_while(|down| holds(last.at.row + down)).count();
    match numbered[..] {
        [only] if below == 0 || below + 1 != only.label.number as usize => (0, 0),
        _ => (above as u32, below as u32),
    }
}
