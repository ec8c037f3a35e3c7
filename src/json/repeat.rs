//! The chart's repeat in rows that are read again: as they give it, or told from their folded work.

use crate::pattern::{Multiple, Row, RowRepeat};
use crate::stitch::{StitchId, Stitches};
use crate::written::{Extent, Item, expand, items_use};

/// Whether the stitches of a row have the repeat where it is said to be.
pub(super) fn stands(repeat: RowRepeat, row: &[StitchId]) -> bool {
    let RowRepeat { start, length, times } = repeat;
    let end = length.checked_mul(times).and_then(|span| span.checked_add(start));
    let body = end.filter(|_| length > 0 && times > 0).and_then(|end| row.get(start..end));
    body.is_some_and(|body| body.chunks(length).all(|part| Some(part) == body.get(..length)))
}

/// Marks in each row the repeat that fills the multiple, where its work has exactly one that can be it: worked as
/// often as the cast-on asks, on as many loops as the row before left of it.
pub(super) fn mark(
    rows: &mut [Row],
    work: &[Vec<Item>],
    multiple: Multiple,
    cast_on: u32,
    stitches: &Stitches,
) {
    let Some(times) = multiple.times(cast_on).filter(|times| *times > 1) else { return };
    let mut loops = multiple.of;
    for (row, items) in rows.iter_mut().zip(work) {
        let found: Vec<(usize, &[Item])> = items
            .iter()
            .enumerate()
            .filter_map(|(index, item)| match item {
                Item::Repeat { items, extent: Extent::Times(n) }
                    if *n == times && items_use(items, stitches) == Some(loops) =>
                {
                    Some((index, items.as_slice()))
                }
                _ => None,
            })
            .collect();
        if let [(index, unit)] = found[..] {
            let worked = |items: &[Item]| expand(items, stitches, u32::MAX).unwrap_or_default();
            let unit = worked(unit);
            row.repeat = Some(RowRepeat {
                start: worked(items.get(..index).unwrap_or_default()).len(),
                length: unit.len(),
                times: times as usize,
            });
            loops = stitches.makes(&unit);
        } else if stitches.uses(&row.stitches) != stitches.makes(&row.stitches) {
            // How the row changes the repeat can't be told, nor what the rows after it work it on.
            return;
        }
    }
}
