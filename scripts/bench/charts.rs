//! How long charts take from grid to text, in milliseconds: the best of some runs. `cargo bench` runs it.
//!
//! What a chart costs must not grow faster than its cells by much: a chart of 120 rows and 200 stitches is read,
//! proved and written in well under a second in any style.
#![allow(clippy::print_stdout)]

use std::sync::Arc;
use std::time::{Duration, Instant};

use longhand::convert::{self, Chart, Charts, Format};
use longhand::read;
use longhand::settings::Settings;
use longhand::style;

const KEY: &str = "\nKey\n.,knit\n-,purl\no,yo\n/,k2tog\n\\,ssk\n";

/// A chart as csv: `cell` gives the symbol of a row and a column.
fn sheet(rows: usize, columns: usize, cell: impl Fn(usize, usize) -> char) -> String {
    let mut text = String::new();
    for row in (1..=rows).rev() {
        for column in 0..columns {
            text.push(cell(row, column));
            text.push(',');
        }
        text.push_str(&row.to_string());
        text.push('\n');
    }
    text + KEY
}

/// Numbers that look random and are the same in every run.
fn noise(row: usize, column: usize) -> usize {
    (row * 7919 + column * 104_729) ^ (row * column * 31)
}

/// A lace motif of ten stitches that moves by one stitch a row.
fn lace(row: usize, column: usize) -> char {
    ['.', 'o', '/', '-', '.', '-', '\\', 'o', '.', '.'][(row + column) % 10]
}

/// Texture without a repeat.
fn texture(row: usize, column: usize) -> char {
    if noise(row, column).is_multiple_of(3) { '-' } else { '.' }
}

fn charts(text: &str) -> Charts {
    let file: Arc<str> = Arc::from("bench.csv");
    let format = Some(read::Format::Csv);
    convert::charts(&file, text.as_bytes(), format, &Settings::default(), &Settings::default())
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
    let text = Format::named("text");
    println!("{:<32}{:>10}{:>12}", "chart", "read, ms", "write, ms");
    for (name, sheet) in [
        ("30 x 40, lace", sheet(30, 40, lace)),
        ("120 x 200, lace", sheet(120, 200, lace)),
        ("120 x 200, texture", sheet(120, 200, texture)),
        ("5000 x 20, lace", sheet(5000, 20, lace)),
        ("4 x 16000, texture", sheet(4, 16_000, texture)),
        ("4 x 16000, plain", sheet(4, 16_000, |_, _| '.')),
    ] {
        let reading = best(5, || drop(charts(&sheet)));
        let read = charts(&sheet);
        let all: Vec<&Chart> = read.charts.iter().collect();
        let mut writing = Duration::ZERO;
        for style in style::built_in() {
            if let Some(text) = text {
                writing = writing.max(best(3, || drop(convert::output(&all, text, style))));
            }
        }
        let ms = |time: Duration| time.as_secs_f64() * 1000.0;
        println!("{name:<32}{:>10.1}{:>12.1}", ms(reading), ms(writing));
    }
}
