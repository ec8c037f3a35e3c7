//! Folding: rows of single stitches into runs and repeats, and a pattern into the lines that are printed.
//!
//! Folding never changes the stitches: [`crate::written::expand`] gives back the row.

mod common;
mod grow;
mod lines;
mod open;
mod recur;
mod row;
mod sentence;
mod widths;
mod wording;

use crate::pattern::{Pattern, RowRepeat};
use crate::stitch::{StitchId, Stitches, Terms};
use crate::written::{Extent, Item};

pub use lines::{Options, written};
pub use row::{cost, fold};

/// How deep repeats stand inside each other where nothing else is said.
pub const NESTING: u8 = 2;

/// Every row folded into runs and repeats with their numbers ("closed"), following the chart's own repeat, or where
/// it draws none, one that most rows share.
pub fn closed(pattern: &Pattern) -> Vec<Vec<Item>> {
    pattern
        .rows
        .iter()
        .zip(common::repeats(pattern, NESTING))
        .map(|(row, repeat)| closed_row(repeat, &row.stitches, &pattern.stitches, NESTING))
        .collect()
}

/// One row folded, following the repeat where it has one. `worded` are its stitches as they will be
/// worded: the UK names of yarn overs may differ between workings of the repeat, which then can't be folded there.
fn closed_row(repeat: Option<RowRepeat>, worded: &[StitchId], stitches: &Stitches, nesting: u8) -> Vec<Item> {
    let free = fold(worded, stitches, nesting);
    let Some(repeat) = repeat.filter(|repeat| repeat.times > 1 && repeat.length > 0) else { return free };
    let end = repeat.start + repeat.length * repeat.times;
    let Some(body) = worded.get(repeat.start..end) else { return free };
    let unit = &body[..repeat.length];
    if body.chunks(repeat.length).any(|chunk| chunk != unit) {
        return free;
    }
    let boxed = boxed(worded, repeat, stitches, nesting);
    if plain(&free, stitches) && cost(&free, stitches) <= cost(&boxed, stitches) { free } else { boxed }
}

/// Whether a row is one or a few runs that need no repeat: "purl" serves every width as it is. A run of decreases does
/// need one: it is the repeat that tells how many there are at every width.
fn plain(items: &[Item], stitches: &Stitches) -> bool {
    items.iter().all(|item| match item {
        Item::Run { stitch, extent } => {
            *extent == Extent::Times(1) || stitches.get(*stitch).words(Terms::Us).bare.is_some()
        }
        Item::Repeat { .. } => false,
    })
}

/// The row folded with the repeat as it stands, edges and what is repeated each on their own.
fn boxed(worded: &[StitchId], repeat: RowRepeat, stitches: &Stitches, nesting: u8) -> Vec<Item> {
    let end = repeat.start + repeat.length * repeat.times;
    let part = |from: usize, to: usize| worded.get(from..to).unwrap_or_default();
    let mut items = fold(part(0, repeat.start), stitches, nesting);
    let unit = fold(part(repeat.start, repeat.start + repeat.length), stitches, nesting.saturating_sub(1));
    let times = u32::try_from(repeat.times).unwrap_or(u32::MAX);
    items.push(match unit.as_slice() {
        // A working that repeats something itself: "[yo, k1] 4 times", not "[[yo, k1] twice] twice".
        [Item::Repeat { items, extent: Extent::Times(inner) }] => {
            Item::Repeat { items: items.clone(), extent: Extent::Times(times.saturating_mul(*inner)) }
        }
        _ => Item::Repeat { items: unit, extent: Extent::Times(times) },
    });
    items.extend(fold(part(end, worded.len()), stitches, nesting));
    items
}
