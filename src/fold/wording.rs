//! The words of each row, chosen for all rows together: a row that grows is worded as the others that grow with it,
//! so that they can be told by each other.

use super::lines::{Folded, Options, Rows};
use super::wordings::Wordings;
use super::{open, widths};
use crate::pattern::{Pattern, Row, Side};
use crate::written::Item;

/// Rows that must share a wording before it is taken for the sake of the others.
const SHARED: usize = 3;

/// Whether a row is worded so that it serves every width. With sizes one text must serve several, and a repeat that is
/// worked once has no number to be seen by.
fn opens(pattern: &Pattern, row: usize, options: Options) -> bool {
    let once = |row: &Row| row.repeat.is_some_and(|repeat| repeat.times == 1);
    options.open || !pattern.sizes.is_empty() || pattern.rows.get(row).is_some_and(once)
}

/// The words of every row on its own, by their numbers.
pub(super) fn each(
    pattern: &Pattern,
    rows: &Rows,
    options: Options,
    wordings: &mut Wordings<'_>,
) -> Vec<usize> {
    let stitches = &pattern.stitches;
    let usual = |folded: &Folded| {
        wordings.number(if opens(pattern, folded.first, options) {
            widths::open(&pattern.rows[folded.first], folded, stitches, options.nesting)
        } else {
            open::open_whole(&folded.closed, &folded.worded, folded.uses, stitches)
        })
    };
    let usual: Vec<usize> = rows.kinds.iter().map(usual).collect();
    rows.of.iter().map(|&kind| usual[kind]).collect()
}

/// The words of every row where rows that grow are to be told by each other; `usual` are those of each on its own.
pub(super) fn shared(
    pattern: &Pattern,
    rows: &Rows,
    usual: &[usize],
    options: Options,
    wordings: &mut Wordings<'_>,
) -> Vec<usize> {
    let stitches = &pattern.stitches;
    let width = rows.get(0).map(|row| row.uses);
    if rows.kinds.iter().all(|row| Some(row.makes) == width) {
        return usual.to_vec();
    }
    // By kind of row, the usual one first.
    let ways = |folded: &Folded| -> Vec<usize> {
        let opened = open::every_opening(&folded.closed, stitches);
        let opened = opened.into_iter().map(|way| wordings.number(way));
        let mut ways: Vec<usize> = [usual[folded.first]].into_iter().chain(opened).collect();
        if !folded.wide.is_empty() && opens(pattern, folded.first, options) {
            let items: Vec<&[Item]> = ways.iter().map(|&way| wordings.items(way)).collect();
            let serving = widths::serving(&items, folded, stitches);
            ways = serving.into_iter().map(|at| ways[at]).collect();
        }
        ways
    };
    let ways: Vec<Vec<usize>> = rows.kinds.iter().map(ways).collect();
    let most = ways.iter().flatten().max().map_or(0, |most| most + 1);
    // How many rows of each side may have each wording.
    let mut shared = vec![[0; 2]; most];
    let place = |side: Side| usize::from(side == Side::Ws);
    for (row, &kind) in pattern.rows.iter().zip(&rows.of) {
        for (at, &way) in ways[kind].iter().enumerate() {
            if !ways[kind][..at].contains(&way) {
                shared[way][place(row.side)] += 1;
            }
        }
    }
    let best = |(at, (row, &kind)): (usize, (&Row, &usize))| {
        let of = |way: usize| shared[way][place(row.side)];
        let mut best = ways[kind].first().copied().unwrap_or(usual[at]);
        for &way in &ways[kind] {
            if of(way) >= SHARED && of(way) > of(best) {
                best = way;
            }
        }
        best
    };
    pattern.rows.iter().zip(&rows.of).enumerate().map(best).collect()
}
