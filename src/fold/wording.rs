//! The words of each row, chosen for all rows together: a row that grows is worded as the others that grow with it,
//! so that they can be told by each other.

use std::collections::HashMap;

use super::lines::{Folded, Options};
use super::{open, widths};
use crate::pattern::{Pattern, Row, Side};
use crate::written::Item;

/// Rows that must share a wording before it is taken for the sake of the others.
const SHARED: usize = 3;

/// Whether rows are worded so that they serve every width. With sizes one text must serve several.
fn opens(pattern: &Pattern, options: Options) -> bool {
    options.open || !pattern.sizes.is_empty()
}

/// The words of every row on its own.
pub(super) fn each(pattern: &Pattern, rows: &[Folded], options: Options) -> Vec<Vec<Item>> {
    let stitches = &pattern.stitches;
    let usual = |(row, folded): (&Row, &Folded)| {
        if opens(pattern, options) {
            widths::open(row, folded, stitches, options.nesting)
        } else {
            open::open_whole(&folded.closed, &folded.worded, stitches)
        }
    };
    pattern.rows.iter().zip(rows).map(usual).collect()
}

/// The words of every row where rows that grow are to be told by each other; `usual` are those of each on its own.
pub(super) fn shared(
    pattern: &Pattern,
    rows: &[Folded],
    usual: &[Vec<Item>],
    options: Options,
) -> Vec<Vec<Item>> {
    let stitches = &pattern.stitches;
    let width = pattern.rows.first().map(|row| pattern.uses(row));
    if pattern.rows.iter().all(|row| Some(pattern.makes(row)) == width) {
        return usual.to_vec();
    }
    let ways: Vec<Vec<Vec<Item>>> = rows
        .iter()
        .zip(usual)
        .map(|(folded, usual)| {
            let mut ways = vec![usual.clone()];
            ways.extend(open::every_opening(&folded.closed, &folded.worded, stitches));
            if opens(pattern, options) {
                widths::keep_serving(&mut ways, folded, stitches);
            }
            ways
        })
        .collect();
    let mut shared: HashMap<(Side, &[Item]), usize> = HashMap::new();
    for (row, ways) in pattern.rows.iter().zip(&ways) {
        for (at, way) in ways.iter().enumerate() {
            if !ways[..at].contains(way) {
                *shared.entry((row.side, way.as_slice())).or_default() += 1;
            }
        }
    }
    let of = |row: &Row, way: &[Item]| shared.get(&(row.side, way)).copied().unwrap_or(0);
    pattern
        .rows
        .iter()
        .zip(&ways)
        .filter_map(|(row, ways)| {
            let mut best = ways.first()?;
            for way in ways {
                if of(row, way) >= SHARED && of(row, way) > of(row, best) {
                    best = way;
                }
            }
            Some(best.clone())
        })
        .collect()
}
