//! Folding: rows of single stitches into runs and repeats, and a pattern into the lines that are printed.
//!
//! Folding never changes the stitches: [`crate::written::expand`] gives back the row.

mod common;
mod grow;
mod known;
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

pub use lines::{Options, Serves, served, written};
pub use row::{alone, cost, cost_alone, fold};

use known::Folds;

/// How deep repeats stand inside each other where nothing else is said.
pub const NESTING: u8 = 2;

/// Every row folded into runs and repeats with their numbers ("closed"), following the chart's own repeat, or where
/// it draws none, one that most rows share.
pub fn closed(pattern: &Pattern) -> Vec<Vec<Item>> {
    let folds = Folds::of(&pattern.stitches);
    pattern
        .rows
        .iter()
        .zip(common::repeats(pattern, &folds, NESTING))
        .map(|(row, repeat)| closed_row(repeat, &row.stitches, &folds, NESTING))
        .collect()
}

/// One row folded, following the repeat where it has one. `worded` are its stitches as they will be
/// worded: the UK names of yarn overs may differ between workings of the repeat, which then can't be folded there.
fn closed_row(repeat: Option<RowRepeat>, worded: &[StitchId], folds: &Folds<'_>, nesting: u8) -> Vec<Item> {
    let stitches = folds.stitches;
    let Some(repeat) = repeat else { return folds.alone(worded, nesting).to_vec() };
    let free = folds.fold(worded, nesting);
    let repeat = Some(repeat).filter(|repeat| repeat.times > 1 && repeat.length > 0);
    let Some(repeat) = repeat else { return free.to_vec() };
    let end = repeat.start + repeat.length * repeat.times;
    let Some(body) = worded.get(repeat.start..end) else { return free.to_vec() };
    let unit = &body[..repeat.length];
    if body.chunks(repeat.length).any(|chunk| chunk != unit) {
        return free.to_vec();
    }
    let boxed = boxed(worded, repeat, folds, nesting);
    let as_short = plain(&free, stitches) && cost(&free, stitches) <= cost(&boxed, stitches);
    if as_short { free.to_vec() } else { boxed }
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
fn boxed(worded: &[StitchId], repeat: RowRepeat, folds: &Folds<'_>, nesting: u8) -> Vec<Item> {
    let end = repeat.start + repeat.length * repeat.times;
    let part = |from: usize, to: usize| worded.get(from..to).unwrap_or_default();
    let mut items = folds.fold(part(0, repeat.start), nesting).to_vec();
    let unit = folds.fold(part(repeat.start, repeat.start + repeat.length), nesting.saturating_sub(1));
    let times = u32::try_from(repeat.times).unwrap_or(u32::MAX);
    items.push(match &*unit {
        // A working that repeats something itself: "[yo, k1] 4 times", not "[[yo, k1] twice] twice".
        [Item::Repeat { items, extent: Extent::Times(inner) }] => {
            Item::Repeat { items: items.clone(), extent: Extent::Times(times.saturating_mul(*inner)) }
        }
        _ => Item::Repeat { items: unit.to_vec(), extent: Extent::Times(times) },
    });
    items.extend(folds.fold(part(end, worded.len()), nesting).iter().cloned());
    items
}

/// What [`boxed`] costs.
fn boxed_cost(worded: &[StitchId], repeat: RowRepeat, folds: &Folds<'_>, nesting: u8) -> u32 {
    let end = repeat.start + repeat.length * repeat.times;
    let part =
        |from: usize, to: usize, nesting: u8| folds.fold(worded.get(from..to).unwrap_or_default(), nesting);
    let unit = part(repeat.start, repeat.start + repeat.length, nesting.saturating_sub(1));
    let stitches = folds.stitches;
    let working = cost(&unit, stitches);
    // A working that is one repeat of its own is told as one with the other.
    let repeated = if let [Item::Repeat { extent: Extent::Times(_), .. }] = &*unit { 0 } else { row::REPEAT };
    cost(&part(0, repeat.start, nesting), stitches)
        + repeated
        + working
        + cost(&part(end, worded.len(), nesting), stitches)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Written out and counted, the cost is the same.
    #[test]
    fn a_boxed_row_costs_what_it_is_said_to() {
        let mut stitches = Stitches::built_in();
        let names = "k k p k yo k2tog yo k2tog p k p k k k k yo";
        let row: Vec<StitchId> = names.split(' ').filter_map(|name| stitches.find(name)).collect();
        let folds = Folds::of(&stitches);
        for start in 0..row.len() {
            for length in 1..=row.len() - start {
                for times in 1..=(row.len() - start) / length {
                    let repeat = RowRepeat { start, length, times };
                    let boxed = boxed(&row, repeat, &folds, 2);
                    assert_eq!(boxed_cost(&row, repeat, &folds, 2), cost(&boxed, &stitches), "{repeat:?}");
                }
            }
        }
    }
}
