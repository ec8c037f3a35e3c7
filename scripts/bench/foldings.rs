//! Proves the folding of rows against a search written plainly: `cargo bench --bench foldings`.
//!
//! Over every row of up to twelve stitches of three kinds (797,161 rows), and over longer ones made of repeats within
//! repeats: no folding is cheaper than what `fold` gives, or with seams weighed, `alone`; none is dearer than plain
//! runs, and it expands to the row. It ends with an error on the first row for which that is not so.
#![allow(clippy::print_stdout)]

use std::process::ExitCode;

use longhand::fold::{alone, cost, cost_alone, fold};
use longhand::stitch::{StitchId, Stitches};
use longhand::written::{Extent, Item, expand};

const LONGEST: usize = 12;
const LONGER: usize = 40;
const SAMPLES: usize = 30_000;

/// What a run costs, by the kind of stitch: one of them, several. "K3" is as easily read as "k1"; three decreases are
/// printed as a group, "(ssk) 3 times", which costs one more.
const RUNS: [(u32, u32); 3] = [(2, 2), (2, 2), (2, 3)];
const KINDS: [&str; 3] = ["k", "p", "ssk"];
/// What a repeat costs besides what stands in it.
const REPEAT: u32 = 3;
/// What it costs a row that stands alone that a piece ends with the stitch that the next one, or the next working of a
/// repeat, begins with. It costs other rows nothing.
const SEAM: u32 = 2;

/// The least costs of all parts of a row: for each depth of nesting, each first place and each end.
struct Search {
    costs: Vec<u32>,
}

impl Search {
    fn at(from: usize, to: usize, nesting: usize) -> usize {
        (nesting * (LONGER + 1) + from) * (LONGER + 1) + to
    }

    /// A part costs the least of: one run, if its stitches are alike; any two parts that make it up, and their seam;
    /// a repeat of any unit that makes it up, and the seam from one working to the next.
    fn least(&mut self, row: &[usize], nesting: usize, seam: Seam) -> u32 {
        for depth in 0..=nesting {
            for length in 1..=row.len() {
                for from in 0..=row.len() - length {
                    let to = from + length;
                    let part = &row[from..to];
                    let mut least = u32::MAX;
                    if part.iter().all(|kind| *kind == part[0]) {
                        let (one, several) = RUNS[part[0]];
                        least = if length > 1 { several } else { one };
                    }
                    for middle in from + 1..to {
                        let both = self.costs[Self::at(from, middle, depth)]
                            + seam(row[middle - 1], row[middle])
                            + self.costs[Self::at(middle, to, depth)];
                        least = least.min(both);
                    }
                    for unit in 1..=length / 2 {
                        let made_up =
                            length % unit == 0 && part.chunks(unit).all(|other| *other == part[..unit]);
                        if depth > 0 && made_up {
                            let working = self.costs[Self::at(from, from + unit, depth - 1)];
                            least = least.min(REPEAT + working + seam(part[unit - 1], part[0]));
                        }
                    }
                    self.costs[Self::at(from, to, depth)] = least;
                }
            }
        }
        if row.is_empty() { 0 } else { self.costs[Self::at(0, row.len(), nesting)] }
    }
}

/// What it costs that one kind of stitch is followed by another, at a seam.
type Seam = fn(usize, usize) -> u32;

fn free(_: usize, _: usize) -> u32 {
    0
}

fn weighed(last: usize, first: usize) -> u32 {
    if last == first { SEAM } else { 0 }
}

/// What the row costs in runs alone.
fn in_runs(row: &[usize]) -> u32 {
    let run = |run: &[usize]| if run.len() > 1 { RUNS[run[0]].1 } else { RUNS[run[0]].0 };
    row.chunk_by(|one, next| one == next).map(run).sum()
}

/// What a folding costs, worked out from its items here, and the first and the last kind of stitch in it.
fn told(items: &[Item], kinds: &[StitchId], seam: Seam) -> Option<(u32, usize, usize)> {
    let one = |item: &Item| match item {
        Item::Run { stitch, extent } => {
            let kind = kinds.iter().position(|kind| kind == stitch)?;
            let (one, several) = RUNS[kind];
            Some((if *extent == Extent::Times(1) { one } else { several }, kind, kind))
        }
        Item::Repeat { items, .. } => {
            let (cost, first, last) = told(items, kinds, seam)?;
            Some((REPEAT + cost + seam(last, first), first, last))
        }
    };
    let mut pieces = items.iter().map(one);
    let first = pieces.next()??;
    pieces.try_fold(first, |(cost, first, last), piece| {
        let (more, next, end) = piece?;
        Some((cost + seam(last, next) + more, first, end))
    })
}

struct Proof {
    stitches: Stitches,
    kinds: Vec<StitchId>,
    search: Search,
    rows: usize,
    /// How many rows a repeat makes cheaper.
    folded: usize,
    /// And how many with seams weighed.
    folded_alone: usize,
}

impl Proof {
    fn holds(&mut self, row: &[usize], nesting: u8) -> Result<(), String> {
        let ids: Vec<StitchId> = row.iter().map(|kind| self.kinds[*kind]).collect();
        let runs = in_runs(row);
        let items = fold(&ids, &self.stitches, nesting);
        let found = cost(&items, &self.stitches);
        self.rows += 1;
        self.folded += usize::from(found < runs);
        self.cheapest(row, &ids, nesting, &items, found, free)?;
        let items = alone(&ids, &self.stitches, nesting);
        let found = cost_alone(&items, &self.stitches);
        self.folded_alone += usize::from(found < runs);
        self.cheapest(row, &ids, nesting, &items, found, weighed)
    }

    /// Whether a folding costs what it is said to, no other costs less, and it is the row.
    fn cheapest(
        &mut self,
        row: &[usize],
        ids: &[StitchId],
        nesting: u8,
        items: &[Item],
        found: u32,
        seam: Seam,
    ) -> Result<(), String> {
        let told = told(items, &self.kinds, seam).map_or(0, |(cost, ..)| cost);
        let (least, runs) = (self.search.least(row, usize::from(nesting), seam), in_runs(row));
        if told != least || told > runs || told != found {
            return Err(format!("{row:?}, nesting {nesting}: {found}, least {least}, in runs {runs}"));
        }
        match expand(items, &self.stitches, self.stitches.uses(ids)) {
            Ok(expanded) if expanded == ids => Ok(()),
            other => Err(format!("{row:?}, nesting {nesting}: expands to {other:?}")),
        }
    }

    /// Every row of up to so many stitches.
    fn all(&mut self) -> Result<(), String> {
        for length in 0..=LONGEST {
            for mut number in 0..KINDS.len().pow(length as u32) {
                let mut row = Vec::with_capacity(length);
                for _ in 0..length {
                    row.push(number % KINDS.len());
                    number /= KINDS.len();
                }
                self.holds(&row, longhand::fold::NESTING)?;
            }
        }
        Ok(())
    }

    /// Longer rows, made of parts that stand several times, some of them changed at a stitch.
    fn samples(&mut self) -> Result<(), String> {
        let mut state = 0x2545_f491_4f6c_dd1d_u64;
        let mut below = |most: usize| {
            state ^= state << 13;
            state ^= state >> 7;
            state ^= state << 17;
            (state % most as u64) as usize
        };
        for _ in 0..SAMPLES {
            let mut row: Vec<usize> = Vec::new();
            while row.len() < LONGEST {
                let mut part: Vec<usize> = (0..1 + below(4)).map(|_| below(KINDS.len())).collect();
                for _ in 0..1 + below(2) {
                    part = part.repeat(1 + below(3));
                    part.extend((0..below(3)).map(|_| below(KINDS.len())));
                }
                row.extend(part);
            }
            if below(3) == 0 {
                row = row.repeat(2);
            }
            row.truncate(LONGER);
            if below(3) == 0 {
                let at = below(row.len());
                row[at] = below(KINDS.len());
            }
            self.holds(&row, below(4) as u8)?;
        }
        Ok(())
    }
}

fn main() -> ExitCode {
    let mut stitches = Stitches::built_in();
    let kinds: Vec<StitchId> = KINDS.iter().filter_map(|name| stitches.find(name)).collect();
    let search = Search { costs: vec![0; 4 * (LONGER + 1) * (LONGER + 1)] };
    let mut proof = Proof { stitches, kinds, search, rows: 0, folded: 0, folded_alone: 0 };
    if let Err(wrong) = proof.all().and_then(|()| proof.samples()) {
        println!("not the least cost: {wrong}");
        return ExitCode::FAILURE;
    }
    let Proof { rows, folded, folded_alone, .. } = proof;
    println!(
        "{rows} rows at the least cost, {folded} of them cheaper than plain runs, {folded_alone} with seams weighed"
    );
    ExitCode::SUCCESS
}
