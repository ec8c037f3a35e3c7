//! How long one row takes to fold, and how that grows with its stitches: `cargo bench --bench rows`. DEVELOPERS.md has
//! the table.
#![allow(clippy::print_stdout)]

use std::time::{Duration, Instant};

use longhand::fold::{NESTING, cost, fold};
use longhand::stitch::{StitchId, Stitches};

/// Numbers that look random and are the same in every run.
struct Noise(u64);

impl Noise {
    fn below(&mut self, most: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 % most as u64) as usize
    }
}

/// A row that repeats one unit of so many stitches.
fn periodic(kinds: &[StitchId], length: usize, unit: usize) -> Vec<StitchId> {
    let unit = random(kinds, unit);
    unit.iter().copied().cycle().take(length).collect()
}

fn random(kinds: &[StitchId], length: usize) -> Vec<StitchId> {
    let mut noise = Noise(88_172_645_463_325_252);
    (0..length).filter_map(|_| kinds.get(noise.below(kinds.len())).copied()).collect()
}

/// A repeat of twelve with a stitch changed here and there.
fn nearly_periodic(kinds: &[StitchId], length: usize) -> Vec<StitchId> {
    let mut noise = Noise(1_181_783_497_276_652_981);
    let mut row = periodic(kinds, length, 12);
    for _ in 0..length.div_ceil(40) {
        if let (Some(place), Some(kind)) =
            (row.get_mut(noise.below(length)), kinds.get(noise.below(kinds.len())))
        {
            *place = *kind;
        }
    }
    row
}

/// The word of two stitches with most squares in it: each part is the two before it, joined.
fn fibonacci(kinds: &[StitchId], length: usize) -> Vec<StitchId> {
    let (mut before, mut row) = (kinds[1..2].to_vec(), kinds[..1].to_vec());
    while row.len() < length {
        let next = [row.as_slice(), before.as_slice()].concat();
        before = std::mem::replace(&mut row, next);
    }
    row.truncate(length);
    row
}

fn best(runs: u32, mut work: impl FnMut()) -> Duration {
    let time = |work: &mut dyn FnMut()| {
        let start = Instant::now();
        work();
        start.elapsed()
    };
    (0..runs).map(|_| time(&mut work)).min().unwrap_or_default()
}

fn main() {
    let mut stitches = Stitches::built_in();
    let kinds: Vec<StitchId> =
        ["k", "p", "yo", "k2tog", "ssk"].iter().filter_map(|name| stitches.find(name)).collect();
    type Make = fn(&[StitchId], usize) -> Vec<StitchId>;
    let rows: [(&str, Make); 7] = [
        ("plain", |kinds, length| periodic(kinds, length, 1)),
        ("a repeat of 12", |kinds, length| periodic(kinds, length, 12)),
        ("a repeat of a third", |kinds, length| periodic(kinds, length, length / 3)),
        ("nearly a repeat", nearly_periodic),
        ("random, 2 kinds", |kinds, length| random(&kinds[..2], length)),
        ("random, 5 kinds", random),
        ("Fibonacci", fibonacci),
    ];
    let lengths = [60, 200, 400, 2_000, 10_000];
    print!("{:<24}", "row, ms for stitches");
    lengths.iter().for_each(|length| print!("{length:>10}"));
    println!("{:>8}", "cost");
    for (name, make) in rows {
        print!("{name:<24}");
        let mut last = 0;
        for length in lengths {
            let row = make(&kinds, length);
            let runs = if length > 1_000 { 2 } else { 10 };
            let time = best(runs, || last = cost(&fold(&row, &stitches, NESTING), &stitches));
            print!("{:>10.3}", time.as_secs_f64() * 1000.0);
        }
        println!("{last:>8}");
    }
}
