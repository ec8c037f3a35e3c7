//! What the pieces of a folding cost its reader.

use crate::stitch::{StitchId, Stitches, Terms};
use crate::written::{Extent, Item};

/// What a run costs.
pub(super) const RUN: u32 = 2;
/// What a repeat costs besides its items.
pub(in crate::fold) const REPEAT: u32 = 3;
/// What a run costs more where no wording has a number for it: it is printed as a group.
const GROUP: u32 = 1;
/// What a seam costs a row that stands alone. As much as a run, so that an edge and one working less,
/// "k1, [p1, k1] twice, p18", is no dearer than a repeat that takes a stitch of the run beside it.
pub(in crate::fold) const SEAM: u32 = 2;

/// The cost of closed items, as [`super::fold`] weighs them.
pub fn cost(items: &[Item], stitches: &Stitches) -> u32 {
    let piece = |item: &Item| match item {
        Item::Run { stitch, extent } => run_cost(*stitch, *extent != Extent::Times(1), stitches),
        Item::Repeat { items, .. } => REPEAT + cost(items, stitches),
    };
    items.iter().map(piece).sum()
}

/// The cost of closed items, as [`super::alone`] weighs them.
pub fn cost_alone(items: &[Item], stitches: &Stitches) -> u32 {
    cost(items, stitches) + SEAM * seams(items)
}

/// The seams between the items, and within those that are repeated.
fn seams(items: &[Item]) -> u32 {
    let between = items.windows(2).map(|pair| u32::from(meet(&pair[..1], &pair[1..])));
    let within = items.iter().map(|item| match item {
        Item::Run { .. } => 0,
        Item::Repeat { items, .. } => seams(items) + u32::from(meet(items, items)),
    });
    between.chain(within).sum()
}

/// Whether some items end with the stitch that others begin with.
fn meet(before: &[Item], after: &[Item]) -> bool {
    let last = outermost(before, <[Item]>::last);
    last.is_some() && last == outermost(after, <[Item]>::first)
}

/// The stitch at one end of the items.
fn outermost(items: &[Item], end: fn(&[Item]) -> Option<&Item>) -> Option<StitchId> {
    match end(items)? {
        Item::Run { stitch, .. } => Some(*stitch),
        Item::Repeat { items, .. } => outermost(items, end),
    }
}

pub(super) fn run_cost(stitch: StitchId, many: bool, stitches: &Stitches) -> u32 {
    let grouped = many && stitches.get(stitch).words(Terms::Us).run.is_none();
    RUN + if grouped { GROUP } else { 0 }
}
