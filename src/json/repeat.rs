//! The chart's repeat, told from the folded work of rows that are read again.

use crate::pattern::{Multiple, Row, RowRepeat};
use crate::stitch::Stitches;
use crate::written::{Extent, Item, expand, items_use};

/// Marks in each row the repeat that fills the multiple, where its work has exactly one that can be it: worked as
/// often as the cast-on asks, on as many loops as the row before left of it.
pub(super) fn mark(
    rows: &mut [Row],
    work: &[Vec<Item>],
    multiple: Multiple,
    cast_on: u32,
    stitches: &Stitches,
) {
    let Some(times) = cast_on.checked_sub(multiple.plus).and_then(|span| span.checked_div(multiple.of))
    else {
        return;
    };
    if times < 2 || times * multiple.of + multiple.plus != cast_on {
        return;
    }
    let mut loops = multiple.of;
    for (row, items) in rows.iter_mut().zip(work) {
        // A row that is worded one stitch along works its group once less than the others.
        let found = [Some(times), times.checked_sub(1), times.checked_add(1)]
            .into_iter()
            .flatten()
            .find_map(|times| only(items, times, loops, stitches))
            .or_else(|| only_run(items, times, loops, stitches));
        if let Some((repeat, makes)) = found {
            row.repeat = Some(repeat);
            loops = makes;
        } else if stitches.uses(&row.stitches) != stitches.makes(&row.stitches) {
            // How the row changes the repeat can't be told, nor what the rows after it work it on.
            return;
        }
    }
}

/// The one group of a row that is worked so often on so many loops, and the loops it makes.
fn only(items: &[Item], times: u32, loops: u32, stitches: &Stitches) -> Option<(RowRepeat, u32)> {
    let mut found = items.iter().enumerate().filter_map(|(index, item)| match item {
        Item::Repeat { items, extent: Extent::Times(n) }
            if *n == times && items_use(items, stitches) == Some(loops) =>
        {
            Some((index, items))
        }
        _ => None,
    });
    let (index, unit) = found.next().filter(|_| times > 0)?;
    if found.next().is_some() {
        return None;
    }
    let worked = |items: &[Item]| expand(items, stitches, u32::MAX).unwrap_or_default();
    let unit = worked(unit);
    let start = worked(items.get(..index)?).len();
    Some((RowRepeat { start, length: unit.len(), times: times as usize }, stitches.makes(&unit)))
}

/// The one run of a row that holds so many workings on so many loops: wherever in it they begin, they are the same.
fn only_run(items: &[Item], times: u32, loops: u32, stitches: &Stitches) -> Option<(RowRepeat, u32)> {
    let wide = loops.checked_mul(times).filter(|&wide| wide > 0)?;
    let mut found = items.iter().enumerate().filter_map(|(index, item)| match item {
        Item::Run { stitch, extent: Extent::Times(n) } if *n >= wide && stitches.get(*stitch).uses == 1 => {
            Some((index, *stitch))
        }
        _ => None,
    });
    let (index, stitch) = found.next()?;
    if found.next().is_some() {
        return None;
    }
    let start = expand(items.get(..index)?, stitches, u32::MAX).ok()?.len();
    let length = loops as usize;
    Some((RowRepeat { start, length, times: times as usize }, stitches.makes(&vec![stitch; length])))
}
