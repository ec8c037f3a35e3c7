//! Folding: rows of single stitches into runs and repeats, and a pattern into the lines that are printed.
//!
//! Folding never changes the stitches: [`crate::written::expand`] gives back the row.

mod common;
mod grow;
mod kinds;
mod lines;
mod open;
mod recur;
mod row;
mod sentence;
mod widths;
mod wording;
mod wordings;

use crate::pattern::Pattern;
use crate::stitch::{Stitches, Terms};
use crate::written::{Extent, Item};

pub use lines::{Options, Serves, served, written};
pub use row::{alone, cost, cost_alone, fold};

use kinds::Kinds;

/// How deep repeats stand inside each other where nothing else is said.
pub const NESTING: u8 = 2;

/// Every row folded into runs and repeats with their numbers ("closed"), following the chart's own repeat, or where
/// it draws none, one that most rows share.
pub fn closed(pattern: &Pattern) -> Vec<Vec<Item>> {
    let kinds = Kinds::of(pattern, NESTING);
    let repeats = common::repeats(pattern, &kinds, NESTING);
    (0..).zip(repeats).map(|(row, repeat)| kinds.row(row).closed(repeat)).collect()
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
