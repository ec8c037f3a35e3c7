//! Opening a closed row: "3 times" into "to last 3 sts", so that one text serves every width.

use crate::pattern::Pattern;
use crate::stitch::{StitchId, Stitches, Terms};
use crate::written::{Extent, Item, gives, items_make, items_use};

/// A run at the end of a row is opened from this many stitches on: "k to end" reads better than "k5", not than "k4".
const LONG_RUN: u32 = 5;

/// Rows of more pieces than this are not tried at each of them.
const MOST_PIECES: usize = 60;

/// A repeat that shapes a piece is counted up to so many workings: "[yo, k3, yo, k1] twice", as the parts of a shawl are.
const MOST_PARTS: u32 = 4;

/// What becomes of the width of a piece.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Shape {
    /// Its last row leaves as many stitches as were cast on, or its chart shows what is repeated: it can have any width.
    Fabric,
    /// It grows or shrinks.
    Shaped,
}

impl Shape {
    pub(super) fn of(pattern: &Pattern) -> Self {
        let makes = pattern.rows.last().map(|row| pattern.makes(row));
        let shaped = pattern.multiple.is_none() && makes.is_some_and(|makes| makes != pattern.cast_on);
        if shaped { Self::Shaped } else { Self::Fabric }
    }
}

/// Opens the repeat, or failing that the long run, that makes up most of the row. Rows that have none stay closed.
/// `loops` are those that the row uses.
pub(super) fn open(
    items: &[Item],
    (row, loops): (&[StitchId], u32),
    shape: Shape,
    stitches: &Stitches,
) -> Vec<Item> {
    let is_part = |items: &[Item], times: u32| {
        let uses = items_use(items, stitches);
        shape == Shape::Shaped && times <= MOST_PARTS && uses != items_make(items, stitches)
    };
    let weight = |item: &Item| items_use(std::slice::from_ref(item), stitches).unwrap_or(0);
    let repeats = items.iter().enumerate().filter(|(_, item)| match item {
        Item::Repeat { extent: Extent::Times(times), items } => {
            *times > 1 && items_use(items, stitches) > Some(0) && !is_part(items, *times)
        }
        _ => false,
    });
    // "To last 95 sts" helps nobody: a repeat is opened where it makes up half of the row.
    let widest = repeats
        .max_by_key(|(at, item)| (weight(item), *at))
        .filter(|(_, item)| 2 * weight(item) >= loops)
        .map(|(at, _)| at);
    let long = |at: usize| {
        let Item::Run { stitch, extent: Extent::Times(times) } = &items[at] else { return false };
        (*times >= LONG_RUN || items.len() == 1) && can_open(*stitch, stitches)
    };
    let run = || {
        let last = items.len().checked_sub(1)?;
        if items.len() == 3 && plain_edges(items, stitches) {
            return Some(1).filter(|&at| long(at));
        }
        // The edge of "k1, p to end" stands at the end of the next row: "k to last st, p1".
        let before_edge = || (items.len() == 2 && long(0) && is_edge(&items[1], stitches)).then_some(0);
        Some(last).filter(|&at| long(at)).or_else(before_edge)
    };
    let open = widest.or_else(run).and_then(|at| opened(items, at, stitches));
    open.filter(|open| gives(open, stitches, loops, row)).unwrap_or_else(|| items.to_vec())
}

/// Opens only a row of a single stitch: "Knit." serves every width, whatever the style counts. So does "BO 3, k to end", where
/// a number would leave open whether it counts the stitch that is left of binding off.
pub(super) fn open_whole(items: &[Item], row: &[StitchId], loops: u32, stitches: &Stitches) -> Vec<Item> {
    let run = |item: &Item| match item {
        Item::Run { stitch, extent: Extent::Times(_) } => Some(*stitch),
        _ => None,
    };
    let openable = |item: &Item| run(item).is_some_and(|stitch| can_open(stitch, stitches));
    let binds_off = |item: &Item| {
        run(item)
            .map(|stitch| stitches.get(stitch))
            .is_some_and(|stitch| stitch.uses > 0 && stitch.makes == 0)
    };
    let at = match items {
        [only] if openable(only) => Some(0),
        [first, rest] if binds_off(first) && openable(rest) && !binds_off(rest) => Some(1),
        _ => None,
    };
    let open = at.and_then(|at| opened(items, at, stitches));
    open.filter(|open| gives(open, stitches, loops, row)).unwrap_or_else(|| items.to_vec())
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

/// Whether a piece is a run of single stitches.
fn is_edge(item: &Item, stitches: &Stitches) -> bool {
    matches!(item, Item::Run { stitch, extent: Extent::Times(_) } if stitches.get(*stitch).uses == 1)
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
