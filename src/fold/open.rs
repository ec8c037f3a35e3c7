//! Opening a closed row: "3 times" into "to last 3 sts", so that one text serves every width.

use crate::stitch::{StitchId, Stitches, Terms};
use crate::written::{Extent, Item, gives, items_use};

/// A run at the end of a row is opened from this many stitches on: "k to end" reads better than "k5", not than "k4".
const LONG_RUN: u32 = 5;

/// Rows of more pieces than this are not tried at each of them.
const MOST_PIECES: usize = 60;

/// Opens the repeat, or failing that the long run, that makes up most of the row. Rows that have none stay closed.
/// `loops` are those that the row uses.
pub(super) fn open(items: &[Item], row: &[StitchId], loops: u32, stitches: &Stitches) -> Vec<Item> {
    let weight = |item: &Item| items_use(std::slice::from_ref(item), stitches).unwrap_or(0);
    let repeats = items.iter().enumerate().filter(|(_, item)| match item {
        Item::Repeat { extent: Extent::Times(times), items } => {
            *times > 1 && items_use(items, stitches) > Some(0)
        }
        _ => false,
    });
    // "To last 95 sts" helps nobody: a repeat is opened where it makes up half of the row.
    let widest = repeats
        .max_by_key(|(at, item)| (weight(item), *at))
        .filter(|(_, item)| 2 * weight(item) >= loops)
        .map(|(at, _)| at);
    let run = || {
        let last = items.len().checked_sub(1)?;
        let at = if items.len() == 3 && plain_edges(items, stitches) { 1 } else { last };
        let Item::Run { stitch, extent: Extent::Times(times) } = &items[at] else { return None };
        let long = *times >= LONG_RUN || items.len() == 1;
        (long && can_open(*stitch, stitches)).then_some(at)
    };
    let Some(at) = widest.or_else(run) else { return items.to_vec() };
    opened(items, at, stitches)
        .filter(|open| gives(open, stitches, loops, row))
        .unwrap_or_else(|| items.to_vec())
}

/// Opens only a row of a single stitch: "Knit." serves every width, whatever the style counts.
pub(super) fn open_whole(items: &[Item], row: &[StitchId], loops: u32, stitches: &Stitches) -> Vec<Item> {
    match items {
        [Item::Run { stitch, extent: Extent::Times(_) }] if can_open(*stitch, stitches) => {
            opened(items, 0, stitches)
                .filter(|open| gives(open, stitches, loops, row))
                .unwrap_or_else(|| items.to_vec())
        }
        _ => items.to_vec(),
    }
}

/// Every way to open closed items at one of the outermost; none for a row of so many pieces that no opening makes it any
/// shorter.
///
/// Each gives the same row: the loops that are left behind a piece are those that the pieces behind it use, so that it is
/// worked as often as before.
pub(super) fn every_opening(items: &[Item], stitches: &Stitches) -> Vec<Vec<Item>> {
    if items.len() > MOST_PIECES {
        return Vec::new();
    }
    let openable = |item: &Item| match item {
        Item::Run { stitch, .. } => can_open(*stitch, stitches),
        Item::Repeat { items, .. } => items_use(items, stitches) > Some(0),
    };
    (0..items.len()).filter(|&at| openable(&items[at])).filter_map(|at| opened(items, at, stitches)).collect()
}

/// The row opened at each of its outermost repeats, for a row at any width: not proved.
pub(super) fn repeats(items: &[Item], stitches: &Stitches) -> Vec<Vec<Item>> {
    let repeats = items.iter().enumerate().filter(
        |(_, item)| matches!(item, Item::Repeat { items, .. } if items_use(items, stitches) > Some(0)),
    );
    repeats.filter_map(|(at, _)| opened(items, at, stitches)).collect()
}

/// "K3, p to last 3 sts, k3": an edge, a wide middle, an edge.
fn plain_edges(items: &[Item], stitches: &Stitches) -> bool {
    let size = |item: &Item| match item {
        Item::Run { stitch, extent: Extent::Times(times) } if stitches.get(*stitch).uses == 1 => Some(*times),
        _ => None,
    };
    match items {
        [first, middle, last] => match (size(first), size(middle), size(last)) {
            (Some(first), Some(middle), Some(last)) => middle > first.max(last),
            _ => false,
        },
        _ => false,
    }
}

fn can_open(stitch: StitchId, stitches: &Stitches) -> bool {
    let stitch = stitches.get(stitch);
    stitch.uses > 0 && stitch.words(Terms::Us).bare.is_some()
}

fn opened(items: &[Item], at: usize, stitches: &Stitches) -> Option<Vec<Item>> {
    let left = items_use(&items[at + 1..], stitches)?;
    let mut items = items.to_vec();
    match &mut items[at] {
        Item::Run { extent, .. } | Item::Repeat { extent, .. } => *extent = Extent::ToLast(left),
    }
    Some(items)
}
