//! Folding: rows of single stitches into runs and repeats, and a pattern into the lines that are printed.
//!
//! Folding never changes the stitches: [`crate::written::expand`] gives back the row.

mod lines;
mod open;
mod row;
mod widths;

use crate::pattern::{Pattern, Row, RowRepeat};
use crate::stitch::{StitchId, Stitches, Terms};
use crate::written::{Extent, Item};

pub use lines::{Options, written};
pub use row::{cost, fold};

/// How deep repeats stand inside each other where nothing else is said.
pub const NESTING: u8 = 2;

/// Every row folded into runs and repeats with their numbers ("closed"), following the chart's own repeat.
pub fn closed(pattern: &Pattern) -> Vec<Vec<Item>> {
    pattern.rows.iter().map(|row| closed_row(row, &row.stitches, &pattern.stitches, NESTING)).collect()
}

/// One row folded, following the chart's repeat where it has one. `worded` are its stitches as they will be
/// worded: the UK names of yarn overs may differ between workings of the repeat, which then can't be folded there.
fn closed_row(row: &Row, worded: &[StitchId], stitches: &Stitches, nesting: u8) -> Vec<Item> {
    let free = fold(worded, stitches, nesting);
    let Some(repeat) = row.repeat.filter(|repeat| repeat.times > 1 && repeat.length > 0) else { return free };
    let end = repeat.start + repeat.length * repeat.times;
    let Some(body) = worded.get(repeat.start..end) else { return free };
    let unit = &body[..repeat.length];
    if body.chunks(repeat.length).any(|chunk| chunk != unit) {
        return free;
    }
    // A row of one or a few runs needs no repeat: "purl" serves every width as it is. A run of decreases does: it is
    // the repeat that tells how many there are at every width.
    let plain = free.iter().all(|item| match item {
        Item::Run { stitch, extent } => {
            *extent == Extent::Times(1) || stitches.get(*stitch).words(Terms::Us).bare.is_some()
        }
        Item::Repeat { .. } => false,
    });
    let boxed = boxed(worded, repeat, stitches, nesting);
    if plain && cost(&free, stitches) <= cost(&boxed, stitches) { free } else { boxed }
}

/// The row folded with the repeat as it stands, edges and what is repeated each on their own.
fn boxed(worded: &[StitchId], repeat: RowRepeat, stitches: &Stitches, nesting: u8) -> Vec<Item> {
    let end = repeat.start + repeat.length * repeat.times;
    let part = |from: usize, to: usize| worded.get(from..to).unwrap_or_default();
    let mut items = fold(part(0, repeat.start), stitches, nesting);
    items.push(Item::Repeat {
        items: fold(part(repeat.start, repeat.start + repeat.length), stitches, nesting.saturating_sub(1)),
        extent: Extent::Times(u32::try_from(repeat.times).unwrap_or(u32::MAX)),
    });
    items.extend(fold(part(end, worded.len()), stitches, nesting));
    items
}
