//! Proves the folding of rows against a search written plainly: `cargo bench --bench foldings`.
//!
//! Over every row of up to twelve stitches of three kinds (797,161 rows), and over longer ones made of repeats within
//! repeats: no folding is cheaper than what `fold` gives, none is dearer than plain runs, and it expands to the row. It
//! ends with an error on the first row for which that is not so.
#![allow(clippy::print_stdout)]

use std::process::ExitCode;

use longhand::fold::{cost, fold};
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

/// The least costs of all parts of a row: for each depth of nesting, each first place and each end.
struct Search {
    costs: Vec<u32>,
}

impl Search {
    fn at(from: usize, to: usize, nesting: usize) -> usize {
        (nesting * (LONGER + 1) + from) * (LONGER + 1) + to
    }

    /// A part costs the least of: one run, if its stitches are alike; any two parts that make it up; a repeat of any
    /// unit that makes it up.
    fn least(&mut self, row: &[usize], nesting: usize) -> u32 {
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
                            + self.costs[Self::at(middle, to, depth)];
                        least = least.min(both);
                    }
                    for unit in 1..=length / 2 {
                        let made_up =
                            length % unit == 0 && part.chunks(unit).all(|other| *other == part[..unit]);
                        if depth > 0 && made_up {
                            least = least.min(REPEAT + self.costs[Self::at(from, from + unit, depth - 1)]);
                        }
                    }
                    self.costs[Self::at(from, to, depth)] = least;
                }
            }
        }
        if row.is_empty() { 0 } else { self.costs[Self::at(0, row.len(), nesting)] }
    }
}

/// What the row costs in runs alone.
fn in_runs(row: &[usize]) -> u32 {
    let run = |run: &[usize]| if run.len() > 1 { RUNS[run[0]].1 } else { RUNS[run[0]].0 };
    row.chunk_by(|one, next| one == next).map(run).sum()
}

/// What a folding costs, worked out from its items here.
fn told(items: &[Item], kinds: &[StitchId]) -> u32 {
    let one = |item: &Item| match item {
        Item::Run { stitch, extent } => {
            let (one, several) =
                kinds.iter().position(|kind| kind == stitch).map_or((0, 0), |kind| RUNS[kind]);
            if *extent == Extent::Times(1) { one } else { several }
        }
        Item::Repeat { items, .. } => REPEAT + told(items, kinds),
    };
    items.iter().map(one).sum()
}

struct Proof {
    stitches: Stitches,
    kinds: Vec<StitchId>,
    search: Search,
    rows: usize,
    /// How many rows a repeat makes cheaper.
    folded: usize,
}

impl Proof {
    fn holds(&mut self, row: &[usize], nesting: u8) -> Result<(), String> {
        let ids: Vec<StitchId> = row.iter().map(|kind| self.kinds[*kind]).collect();
        let items = fold(&ids, &self.stitches, nesting);
        let (found, least) = (told(&items, &self.kinds), self.search.least(row, usize::from(nesting)));
        let runs = in_runs(row);
        self.rows += 1;
        self.folded += usize::from(found < runs);
        if found != least || found > runs || found != cost(&items, &self.stitches) {
            return Err(format!("{row:?}, nesting {nesting}: {found}, least {least}, in runs {runs}"));
        }
        match expand(&items, &self.stitches, self.stitches.uses(&ids)) {
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
    let mut proof = Proof { stitches, kinds, search, rows: 0, folded: 0 };
    if let Err(wrong) = proof.all().and_then(|()| proof.samples()) {
        println!("not the least cost: {wrong}");
        return ExitCode::FAILURE;
    }
    println!("{} rows at the least cost, {} of them cheaper than plain runs", proof.rows, proof.folded);
    ExitCode::SUCCESS
}
