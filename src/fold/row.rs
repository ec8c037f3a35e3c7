//! One row into runs and repeats at the least cost.
//!
//! The cost of a folding is what a reader must take in: [`RUN`] for each run, [`REPEAT`] for each repeat besides
//! what stands in it. A folding is a sequence of runs and repeats, and what is repeated is itself folded at the least
//! cost, so the cheapest folding is found by working from the end of the row to its front, trying at each
//! place every run and every repeat that begins there. Only primitive units need trying: a unit that is itself a
//! repeat of something shorter costs no less than that shorter unit repeated more often. Rows longer than
//! [`FULL_SEARCH`] are searched for units of up to [`LONGEST_UNIT`] stitches only.

use std::collections::HashMap;

use crate::stitch::{StitchId, Stitches, Terms};
use crate::written::{Extent, Item};

/// What a run costs.
const RUN: u32 = 2;
/// What a repeat costs besides its items.
const REPEAT: u32 = 3;
/// What a run costs more where no wording has a number for it: it is printed as a group.
const GROUP: u32 = 1;
/// Rows of up to so many stitches are searched for units of any length.
const FULL_SEARCH: usize = 2_000;
/// The longest unit tried in longer rows, in stitches.
const LONGEST_UNIT: usize = 64;

/// The cost of closed items, as [`fold`] weighs them.
pub fn cost(items: &[Item], stitches: &Stitches) -> u32 {
    items
        .iter()
        .map(|item| match item {
            Item::Run { stitch, extent } => run_cost(*stitch, *extent != Extent::Times(1), stitches),
            Item::Repeat { items, .. } => REPEAT + cost(items, stitches),
        })
        .sum()
}

fn run_cost(stitch: StitchId, many: bool, stitches: &Stitches) -> u32 {
    let grouped = many && stitches.get(stitch).words(Terms::Us).run.is_none();
    RUN + if grouped { GROUP } else { 0 }
}

/// Folds a row into runs and repeats, at most `nesting` repeats inside each other, at the least cost. Among
/// foldings of equal cost, edge stitches come before the repeat, as editors have them.
pub fn fold(row: &[StitchId], stitches: &Stitches, nesting: u8) -> Vec<Item> {
    let mut folder = Folder { stitches, known: HashMap::new() };
    folder.fold(row, nesting).1
}

struct Folder<'a> {
    stitches: &'a Stitches,
    /// Units already folded: what repeats stands in the row several times.
    known: HashMap<(Vec<StitchId>, u8), (u32, Vec<Item>)>,
}

#[derive(Clone, Copy)]
enum Step {
    Run(usize),
    Repeat { unit: usize, times: usize },
}

impl Folder<'_> {
    fn fold(&mut self, row: &[StitchId], nesting: u8) -> (u32, Vec<Item>) {
        if let Some(known) = self.known.get(&(row.to_vec(), nesting)) {
            return known.clone();
        }
        let n = row.len();
        let same = if nesting > 0 { Same::new(row) } else { Same::none() };
        let runs = run_lengths(row);
        // From the back: what the rest of the row costs, and the first step of it.
        let mut best: Vec<(u32, Step)> = vec![(0, Step::Run(0)); n + 1];
        for at in (0..n).rev() {
            let mut choice = (u32::MAX, Step::Run(1));
            // Longer runs first: on equal cost they win, and so does an edge before its repeat.
            let (one, many) =
                (run_cost(row[at], false, self.stitches), run_cost(row[at], true, self.stitches));
            for length in (1..=runs[at]).rev() {
                let cost = if length > 1 { many } else { one } + best[at + length].0;
                if cost < choice.0 {
                    choice = (cost, Step::Run(length));
                }
            }
            for unit in 2..=same.longest_unit(n - at) {
                let most = 1 + same.length(at, unit) / unit;
                if most < 2 || !is_primitive(&row[at..at + unit], &same, at) {
                    continue;
                }
                let unit_cost = REPEAT + self.fold(&row[at..at + unit], nesting - 1).0;
                for times in (2..=most).rev() {
                    let cost = unit_cost + best[at + unit * times].0;
                    if cost < choice.0 {
                        choice = (cost, Step::Repeat { unit, times });
                    }
                }
            }
            best[at] = choice;
        }
        let mut items = Vec::new();
        let mut at = 0;
        while at < n {
            match best[at].1 {
                Step::Run(length) => {
                    items.push(Item::Run { stitch: row[at], extent: times(length) });
                    at += length.max(1);
                }
                Step::Repeat { unit, times: count } => {
                    let inside = self.fold(&row[at..at + unit], nesting - 1).1;
                    items.push(Item::Repeat { items: inside, extent: times(count) });
                    at += unit * count;
                }
            }
        }
        let folded = (best[0].0, items);
        self.known.insert((row.to_vec(), nesting), folded.clone());
        folded
    }
}

fn times(count: usize) -> Extent {
    Extent::Times(u32::try_from(count).unwrap_or(u32::MAX))
}

fn run_lengths(row: &[StitchId]) -> Vec<usize> {
    let mut lengths = vec![1; row.len()];
    for at in (0..row.len().saturating_sub(1)).rev() {
        if row[at] == row[at + 1] {
            lengths[at] = lengths[at + 1] + 1;
        }
    }
    lengths
}

/// How far the row agrees with itself, moved by each possible length of a unit.
struct Same {
    /// For each unit length from 1: how many stitches from a place on equal those one unit later.
    by_unit: Vec<Vec<u32>>,
}

impl Same {
    fn none() -> Self {
        Self { by_unit: Vec::new() }
    }

    fn new(row: &[StitchId]) -> Self {
        let longest = if row.len() <= FULL_SEARCH { row.len() / 2 } else { LONGEST_UNIT };
        let by_unit = (1..=longest)
            .map(|unit| {
                let mut lengths = vec![0u32; row.len()];
                for at in (0..row.len() - unit).rev() {
                    if row[at] == row[at + unit] {
                        lengths[at] = 1 + lengths.get(at + 1).copied().unwrap_or(0);
                    }
                }
                lengths
            })
            .collect();
        Self { by_unit }
    }

    fn longest_unit(&self, left: usize) -> usize {
        self.by_unit.len().min(left / 2)
    }

    fn length(&self, at: usize, unit: usize) -> usize {
        self.by_unit.get(unit - 1).and_then(|lengths| lengths.get(at)).map_or(0, |length| *length as usize)
    }
}

/// Whether the unit at a place is no repeat of something shorter.
fn is_primitive(unit: &[StitchId], same: &Same, at: usize) -> bool {
    let length = unit.len();
    (1..=length / 2)
        .filter(|shorter| length.is_multiple_of(*shorter))
        .all(|shorter| same.length(at, shorter) < length - shorter)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::written::expand;

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

    /// Every folding of a short row, by brute force.
    fn cheapest(row: &[StitchId], stitches: &Stitches, nesting: u8) -> u32 {
        let n = row.len();
        let mut best = vec![u32::MAX; n + 1];
        best[n] = 0;
        for at in (0..n).rev() {
            for end in at + 1..=n {
                let part = &row[at..end];
                if part.iter().all(|id| *id == part[0]) {
                    best[at] = best[at].min(run_cost(part[0], part.len() > 1, stitches) + best[end]);
                }
                if nesting == 0 {
                    continue;
                }
                for unit in 1..part.len() {
                    if part.len().is_multiple_of(unit)
                        && part.chunks(unit).all(|chunk| chunk == &part[..unit])
                    {
                        let inside = cheapest(&part[..unit], stitches, nesting - 1);
                        best[at] = best[at].min(REPEAT + inside + best[end]);
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
            prop_assert_eq!(cost(&items, &stitches), cheapest(&row, &stitches, nesting));
        }
    }
}
