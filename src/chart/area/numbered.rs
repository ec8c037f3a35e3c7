//! The charts beside columns of row numbers: which cells belong to which numbers.

use std::collections::BTreeMap;
use std::ops::Range;

use super::super::key::{FILL, Key};
use super::super::sentences::is_times;
use super::super::sheet::{Sheet, Text};
use super::chains::{Chain, belongs, number_returns};
use super::{Area, AreaRow, Placed, parted};
use crate::place::Address;
use crate::stitch::Stitches;
use crate::words;

/// The rows of the sheet that a group of columns of row numbers stands in.
#[derive(Clone, Copy)]
struct Rows {
    top: u32,
    bottom: u32,
}

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
    let rows = Rows { top, bottom };
    let mut from = 0;
    let mut at = 0;
    while let Some(chain) = group.get(at) {
        at += 1;
        if let Some(columns) = whole(&blocks(sheet, rows, from..chain.column, key, stitches)) {
            // Numbers on the right of their chart.
            areas.push(area(sheet, Ends { left: None, right: Some(chain) }, (from, columns), key, stitches));
            from = chain.column + 1;
            continue;
        }
        let next = group.get(at);
        let to = next.map_or(u32::MAX, |next| next.column);
        let behind = blocks(sheet, rows, chain.column + 1..to, key, stitches);
        let Some(columns) = whole(&behind) else {
            left.extend(chain.labels.iter().map(|placed| placed.at));
            continue;
        };
        let closing = next.filter(|next| {
            let after = group.get(at + 1).map_or(u32::MAX, |after| after.column);
            (belongs(chain, next) || number_returns(chain, next))
                && !heads_another(sheet, rows, next.column, after, key, stitches)
        });
        let Some(closing) = closing else {
            areas.push(area(sheet, Ends { left: Some(chain), right: None }, (from, columns), key, stitches));
            from = columns.1 + 1;
            continue;
        };
        areas.extend(between(sheet, (chain, closing), (from, &behind), key, stitches));
        from = closing.column + 1;
        at += 1;
    }
    left
}

/// The chart between two columns of row numbers, or the two of which each has one of them at its outer edge. `blocks` are the
/// columns between that hold something.
fn between(
    sheet: &Sheet<'_>,
    (left, right): (&Chain, &Chain),
    (from, blocks): (u32, &[(u32, u32)]),
    key: &mut Key,
    stitches: &mut Stitches,
) -> Vec<Area> {
    if let Some((one, other)) = parted::two(sheet, (left, right), blocks, key, stitches) {
        let blank = Some((one.1 + 1, other.0 - 1));
        let one = area(sheet, Ends { left: Some(left), right: None }, (from, one), key, stitches);
        let other = area(sheet, Ends { left: None, right: Some(right) }, (other.0, other), key, stitches);
        return [one, other].map(|area| Area { parted: blank, ..area }).into();
    }
    let columns = (left.column + 1, right.column - 1);
    let ends = Ends { left: Some(left), right: Some(right) };
    let mut area = area(sheet, ends, (from, columns), key, stitches);
    if number_returns(left, right) {
        area.rows.iter_mut().for_each(|row| row.left = None);
    }
    vec![area]
}

/// From the first of some blocks of columns to the last: further blocks belong to a chart where blanks may be stitches or lie
/// outside a ragged shape.
fn whole(blocks: &[(u32, u32)]) -> Option<(u32, u32)> {
    Some((blocks.first()?.0, blocks.last()?.1))
}

/// Whether a column of row numbers stands at the left of a chart of its own: symbols follow it, and the column
/// before it is blank.
fn heads_another(
    sheet: &Sheet<'_>,
    Rows { top, bottom }: Rows,
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

/// The blocks of neighbouring columns, of some, that hold symbols; a block of words does not.
fn blocks(
    sheet: &Sheet<'_>,
    rows: Rows,
    columns: Range<u32>,
    key: &mut Key,
    stitches: &mut Stitches,
) -> Vec<(u32, u32)> {
    let (from, to) = (columns.start, columns.end);
    if from >= to {
        return Vec::new();
    }
    // How many cells that hold something begin at a column, less those that end before it; how many of a symbol, and of a
    // fill that no key explains.
    const FEW: usize = 64;
    let mut changes: Vec<[i64; 3]> = Vec::with_capacity(FEW);
    for row in rows.top..=rows.bottom {
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
    let mut blocks: Vec<(u32, u32, [i64; 3])> = Vec::new();
    let mut counts = [0; 3];
    for (column, more) in (from..).zip(changes) {
        counts.iter_mut().zip(more).for_each(|(sum, more)| *sum += more);
        let [cells, known, fills] = counts;
        // Words in few of the rows are notes beside the chart.
        let few = known + fills == 0 && 2 * cells <= i64::from(rows.bottom - rows.top);
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
    let of_symbols = |(_, _, [cells, known, fills]): &(u32, u32, [i64; 3])| {
        let symbols = if *known > 0 { known + fills } else { 0 };
        2 * symbols >= *cells
    };
    blocks.into_iter().filter(of_symbols).map(|(first, last, _)| (first, last)).collect()
}

/// Whether a text says a stitch in words, "knit 1", as a cell may hold it.
fn typed_in_words(text: &str, stitches: &mut Stitches) -> bool {
    const LONGEST: usize = 12;
    text.len() <= LONGEST && words::stitch(text, stitches).is_some()
}

/// Whether a column holds nothing but words, or how often rows are worked, which are no symbols.
fn words_alone(
    sheet: &Sheet<'_>,
    Rows { top, bottom }: Rows,
    column: u32,
    key: &mut Key,
    stitches: &mut Stitches,
) -> bool {
    let mut texts = (top..=bottom).filter_map(|row| sheet.text(Address::new(row, column)));
    texts.all(|text| (text.contains(' ') || is_times(&text)) && !key.knows(text, stitches))
}

/// The columns of row numbers at the ends of a chart's rows.
#[derive(Clone, Copy)]
struct Ends<'a> {
    left: Option<&'a Chain>,
    right: Option<&'a Chain>,
}

fn area(
    sheet: &Sheet<'_>,
    Ends { left, right }: Ends<'_>,
    (room_from, columns): (u32, (u32, u32)),
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
    rows.splice(0..0, (top - above..top).map(AreaRow::plain));
    rows.extend((bottom + 1..=bottom + below).map(AreaRow::plain));
    let room = (
        left.map_or(room_from, |chain| columns.0.min(chain.column + 1)),
        right.map_or(u32::MAX, |chain| columns.1.max(chain.column.saturating_sub(1))),
    );
    Area {
        rows,
        columns,
        column_numbers: BTreeMap::new(),
        room,
        bounded: (left.is_some(), right.is_some()),
        parted: None,
        blank_rows: Vec::new(),
    }
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
