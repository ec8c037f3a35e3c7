//! One row into runs and repeats at the least cost.
//!
//! The cost of a folding is what a reader must take in: [`cost::RUN`] for each run, [`REPEAT`] for each repeat besides
//! what stands in it. In a row that lines up with no other, a seam costs [`SEAM`] too: a place where a piece ends with
//! the stitch that the next one, or the next working, begins with ("[k1, p1] 3 times, p16" leaves it to the reader to
//! add up the purls). Since both stitches stand side by side in the row, the place alone tells what it costs. A folding
//! is a sequence of runs and repeats, and what is repeated is itself folded at the least cost, one level of repeats
//! less. So the cheapest folding is a shortest path from the front of the row to its end, found by dynamic programming
//! from the end: at each place every run and every repeat that begins there is tried.
//!
//! A repeat can only begin where its unit stands twice in succession: the maximal repetitions of the row
//! ([`mod@repetitions`], Main and Lorentz) hold all of these places, O(n log n) of them, for a row of any length. Three
//! things keep each of them cheap, and none gives up the least cost:
//!
//! * The best number of workings from a place follows from the best number one working further on.
//! * The units of a repetition are the turns of its first one; each is folded once, however many repetitions it is in,
//!   and a unit without repeats in it (the innermost level) is priced from sums of runs.
//! * A unit is not folded where a price it can't fall below, a run for every kind of stitch in it, is too much already.
//!
//! Only primitive units are tried: a unit that is itself a repeat of something shorter costs no less than that shorter
//! unit repeated more often. `scripts/bench/foldings.rs` proves the costs, this too, against a plain search that tries
//! every folding, over all rows of up to twelve stitches of three kinds.

mod cost;
mod folder;
mod repetitions;

pub(super) use cost::{REPEAT, SEAM};
pub use cost::{cost, cost_alone};
pub(super) use folder::Folder;

use crate::stitch::{StitchId, Stitches};
use crate::written::Item;

/// Folds a row into runs and repeats, at most `nesting` repeats inside each other, at the least cost. Among
/// foldings of equal cost, edge stitches come before the repeat, as editors have them.
pub fn fold(row: &[StitchId], stitches: &Stitches, nesting: u8) -> Vec<Item> {
    folded(row, stitches, nesting, 0)
}

/// Folds a row as [`fold`] does, but with seams weighed: a row whose repeats line up with no others. Where they do, an
/// edge that goes on as the repeat begins is as it should be: "k2, *k2, yo, ssk, k2; rep from * to last 3 sts, k3".
pub fn alone(row: &[StitchId], stitches: &Stitches, nesting: u8) -> Vec<Item> {
    folded(row, stitches, nesting, SEAM)
}

fn folded(row: &[StitchId], stitches: &Stitches, nesting: u8, seam: u32) -> Vec<Item> {
    let mut folder = Folder::new(row, stitches, nesting, seam);
    folder.items(0, row.len(), usize::from(nesting))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::cost::run_cost;
    use super::*;
    use crate::written::{Extent, expand};

    fn row(names: &str) -> Vec<StitchId> {
        let mut stitches = Stitches::built_in();
        names.split_whitespace().map(|name| stitches.find(name).unwrap()).collect()
    }

    fn told(items: &[Item], stitches: &Stitches) -> String {
        let piece = |item: &Item| match item {
            Item::Run { stitch, extent: Extent::Times(n) } => format!("{}*{n}", stitches.get(*stitch).name),
            Item::Repeat { items, extent: Extent::Times(n) } => format!("({})*{n}", told(items, stitches)),
            other => format!("{other:?}"),
        };
        items.iter().map(piece).collect::<Vec<_>>().join(" ")
    }

    fn folded(names: &str) -> String {
        told(&fold(&row(names), &Stitches::built_in(), 2), &Stitches::built_in())
    }

    fn folded_alone(names: &str) -> String {
        told(&alone(&row(names), &Stitches::built_in(), 2), &Stitches::built_in())
    }

    /// Repeats as printed; sources by row, standards.md section 6.
    #[test]
    fn rows_fold_as_they_are_printed() {
        // P9b, seed: k1, *p1, k1.
        assert_eq!(folded("k p k p k p k"), "k*1 (p*1 k*1)*3");
        // P4a, razor shell: k1, *yo, k2, s2kp, k2, yo, k1.
        assert_eq!(
            folded("k yo k k s2kp k k yo k yo k k s2kp k k yo k"),
            "k*1 (yo*1 k*2 s2kp*1 k*2 yo*1 k*1)*2"
        );
        // P1a, old shale: *(k2tog)x3, (yo, k1)x6, (k2tog)x3; that the decreases are one run of six in the middle
        // of two repeats is worked out by hand: cost 3+3+(3+4)+3 = 16 against 3+3+7+3+7+3.
        let one = "k2tog k2tog k2tog yo k yo k yo k yo k yo k yo k k2tog k2tog k2tog";
        assert_eq!(folded(&format!("{one} {one}")), "(k2tog*3 (yo*1 k*1)*6 k2tog*3)*2");
        assert_eq!(folded("k k k"), "k*3");
        assert_eq!(folded("k p p"), "k*1 p*2");
        assert_eq!(folded(""), "");
    }

    /// Common practice, the costs worked out by hand.
    #[test]
    fn a_row_that_stands_alone_has_its_edges_in_one_piece() {
        // 2 + 7 + 2 + 2 + 7 = 20; a purl of the middle in either repeat costs as much, 7 + 2 + 2 + 2 + 7.
        let seed = "k p k p k";
        assert_eq!(folded_alone(&format!("{seed} p p p p {seed}")), "k*1 (p*1 k*1)*2 p*4 k*1 (p*1 k*1)*2");
        // 10 against 3 + 6 + 2.
        assert_eq!(folded_alone("p p k k p p p p k k p p"), "p*2 k*2 p*4 k*2 p*2");
        // Not at any price: 2 + 3 + 6 + 2 + 2 = 15 against 18, and one working less is no help.
        let eyelets = "k k yo ssk k k k k yo ssk k k k k yo ssk k k k k k k k";
        assert_eq!(folded_alone(eyelets), "k*2 (yo*1 ssk*1 k*4)*3 k*3");
    }

    /// Every folding of a short row, by brute force.
    fn cheapest(row: &[StitchId], stitches: &Stitches, nesting: u8, seam: u32) -> u32 {
        let n = row.len();
        let mut best = vec![u32::MAX; n + 1];
        best[n] = 0;
        for at in (0..n).rev() {
            for end in at + 1..=n {
                let part = &row[at..end];
                let joined = if end < n && row[end] == part[part.len() - 1] { seam } else { 0 };
                if part.iter().all(|id| *id == part[0]) {
                    let run = run_cost(part[0], part.len() > 1, stitches);
                    best[at] = best[at].min(run + joined + best[end]);
                }
                if nesting == 0 {
                    continue;
                }
                for unit in 1..part.len() {
                    if part.len().is_multiple_of(unit)
                        && part.chunks(unit).all(|chunk| chunk == &part[..unit])
                    {
                        let inside = cheapest(&part[..unit], stitches, nesting - 1, seam);
                        let again = if part[unit - 1] == part[0] { seam } else { 0 };
                        best[at] = best[at].min(REPEAT + inside + again + joined + best[end]);
                    }
                }
            }
        }
        best[0]
    }

    fn any_row(longest: usize) -> impl Strategy<Value = Vec<StitchId>> {
        let kinds = row("k p yo k2tog ssk 2/2rc");
        proptest::collection::vec(proptest::sample::select(kinds), 0..longest)
    }

    fn periodic_row() -> impl Strategy<Value = Vec<StitchId>> {
        (any_row(5), any_row(9), 1..9usize, any_row(5)).prop_map(|(before, unit, times, after)| {
            let body = unit.iter().copied().cycle().take(unit.len() * times);
            before.iter().copied().chain(body).chain(after.iter().copied()).collect()
        })
    }

    fn all() -> Stitches {
        // A cable's id belongs to the dictionary that made it; the built-in stitches are the same in all.
        let mut stitches = Stitches::built_in();
        stitches.find("2/2rc");
        stitches
    }

    proptest! {
        #[test]
        fn expanding_gives_the_row_back(row in any_row(60), nesting in 0..4u8) {
            let stitches = all();
            let items = fold(&row, &stitches, nesting);
            prop_assert_eq!(expand(&items, &stitches, stitches.uses(&row)), Ok(row));
        }

        #[test]
        fn periodic_rows_expand_too(row in periodic_row()) {
            let stitches = all();
            let items = fold(&row, &stitches, 2);
            prop_assert_eq!(expand(&items, &stitches, stitches.uses(&row)), Ok(row));
        }

        #[test]
        fn no_folding_is_cheaper(row in any_row(11), nesting in 0..3u8) {
            let stitches = all();
            let items = fold(&row, &stitches, nesting);
            prop_assert_eq!(cost(&items, &stitches), cheapest(&row, &stitches, nesting, 0));
            let items = alone(&row, &stitches, nesting);
            prop_assert_eq!(cost_alone(&items, &stitches), cheapest(&row, &stitches, nesting, SEAM));
            prop_assert_eq!(expand(&items, &stitches, stitches.uses(&row)), Ok(row));
        }
    }
}
