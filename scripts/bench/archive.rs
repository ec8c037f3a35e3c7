//! Makes an archive of charts to try longhand on: `bench-archive DIR FILES csv|xlsx [SEED]`.
//!
//! No two files are alike: titles, symbols, widths, heights, prose, keys and ways of drawing differ as they do in
//! `corpus`, and two charts in a hundred don't add up. The same arguments give the same bytes.
#![allow(clippy::disallowed_methods, clippy::print_stderr)]

use std::error::Error;
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

use rust_xlsxwriter::{Color, DocProperties, ExcelDateTime, Format, Workbook, Worksheet};

type Outcome<T> = Result<T, Box<dyn Error>>;

/// Numbers that look random and are the same in every run (splitmix64).
struct Noise(u64);

impl Noise {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    /// From `least` to `most`.
    fn between(&mut self, least: usize, most: usize) -> usize {
        least + (self.next() % (most - least + 1) as u64) as usize
    }

    fn pick<'a, T>(&mut self, of: &'a [T]) -> &'a T {
        &of[self.between(0, of.len() - 1)]
    }

    /// True `percent` times in a hundred.
    fn chance(&mut self, percent: usize) -> bool {
        self.between(1, 100) <= percent
    }
}

/// The symbols of a folder, by stitch.
struct Symbols([(&'static str, &'static str, &'static str); 7]);

const SYMBOLS: [Symbols; 3] = [
    Symbols([
        ("k", ".", "knit"),
        ("p", "-", "purl"),
        ("yo", "o", "yarn over"),
        ("k2tog", "/", "k2tog"),
        ("ssk", "\\", "ssk"),
        ("s2kp", "^", "s2kp"),
        ("2/2rc", "x", "2/2 RC"),
    ]),
    Symbols([
        ("k", "|", "K on RS, P on WS"),
        ("p", "=", "P on RS, K on WS"),
        ("yo", "O", "yo"),
        ("k2tog", ">", "knit 2 together"),
        ("ssk", "<", "slip slip knit"),
        ("s2kp", "A", "s2kp"),
        ("2/2rc", "C", "2/2 RC"),
    ]),
    // Stitches by their own names need no key.
    Symbols([
        ("k", "k", "knit"),
        ("p", "p", "purl"),
        ("yo", "yo", "yarn over"),
        ("k2tog", "k2tog", "k2tog"),
        ("ssk", "ssk", "ssk"),
        ("s2kp", "s2kp", "s2kp"),
        ("2/2rc", "2/2rc", "2/2 RC"),
    ]),
];

impl Symbols {
    fn of(&self, stitch: &str) -> &'static str {
        self.0.iter().find(|(name, ..)| *name == stitch).map_or("", |(_, symbol, _)| symbol)
    }

    fn settings(&self) -> String {
        let mut text = "# The symbols of this folder.\n\n[key]\n".to_owned();
        for (stitch, symbol, _) in &self.0 {
            let _ = writeln!(text, "{symbol:?} = {stitch:?}");
        }
        text
    }
}

/// A chart: its lines above the grid, its rows from the bottom, and what stands below.
struct Chart {
    title: String,
    above: Vec<String>,
    /// Row number and stitches in the order of the cells, from the left.
    rows: Vec<(usize, Vec<&'static str>)>,
    /// Whether all rows are worked on the right side, or only those are drawn: numbers stand on the right.
    right: bool,
    key: bool,
}

const FIRST: [&str; 16] = [
    "Harbour",
    "Pebble",
    "Kelp",
    "Lantern",
    "Gannet",
    "Saltmarsh",
    "Cobble",
    "Driftwood",
    "Heather",
    "Quay",
    "Skerry",
    "Tern",
    "Bramble",
    "Anchor",
    "Mizzle",
    "Limpet",
];
const SECOND: [&str; 16] = [
    "Lace", "Rib", "Ripple", "Braid", "Wave", "Shawl", "Edging", "Cowl", "Panel", "Moss", "Net", "Fan",
    "Ladder", "Border", "Mitten", "Eyelets",
];
const YARNS: [&str; 4] = [
    "Yarn: fine wool, one strand",
    "Yarn: what is left, held double",
    "Needles: 4 mm",
    "Tension: 22 sts to 10 cm",
];

fn chart(noise: &mut Noise, number: usize) -> Chart {
    let large = noise.chance(10);
    let height = if large { noise.between(24, 60) } else { noise.between(4, 20) };
    let width = if large { noise.between(24, 60) } else { noise.between(9, 24) };
    let mut chart = Chart {
        title: format!("{} {} {number}", noise.pick(&FIRST), noise.pick(&SECOND)),
        above: Vec::new(),
        rows: Vec::new(),
        right: false,
        key: noise.chance(25),
    };
    if noise.chance(50) {
        chart.above.push((*noise.pick(&YARNS)).to_owned());
    }
    match noise.between(0, 5) {
        0 => texture(noise, &mut chart, width, height),
        1 => cable(noise, &mut chart, height),
        2 => shawl(noise, &mut chart, height.min(30)),
        3 => repeat(noise, &mut chart, height),
        way => lace(noise, &mut chart, width, height, way == 4),
    }
    if noise.chance(2)
        && let Some((_, cells)) = chart.rows.iter_mut().rev().find(|(_, cells)| cells.contains(&"k"))
        && let Some(cell) = cells.iter_mut().find(|cell| **cell == "k")
    {
        *cell = "k2tog";
    }
    chart
}

/// Blocks of knit and purl.
fn texture(noise: &mut Noise, chart: &mut Chart, width: usize, height: usize) {
    let (wide, high) = (noise.between(1, 5), noise.between(1, 4));
    let edge = noise.between(0, 2);
    for row in 1..=height {
        let cell = |column: usize| {
            let inside = column >= edge && column + edge < width;
            if inside && (column / wide + row / high).is_multiple_of(2) { "p" } else { "k" }
        };
        chart.rows.push((row, (0..width).map(cell).collect()));
    }
    if noise.chance(30) {
        chart.above.push("Worked: in the round".to_owned());
        chart.right = true;
    }
}

/// Decreases and yarn overs in pairs, every row drawn or the right-side rows only.
fn lace(noise: &mut Noise, chart: &mut Chart, width: usize, height: usize, every: bool) {
    let unit = noise.between(5, 9);
    let motif = |noise: &mut Noise| {
        let mut motif = vec!["k"; unit];
        match noise.between(0, 3) {
            0 => (motif[0], motif[1]) = ("yo", "ssk"),
            1 => (motif[unit - 2], motif[unit - 1]) = ("k2tog", "yo"),
            2 => (motif[1], motif[2], motif[3]) = ("yo", "s2kp", "yo"),
            _ => {}
        }
        motif
    };
    let step = if every { 1 } else { 2 };
    for at in 0..height.max(2) {
        let row = 1 + at * step;
        let plain = every && row.is_multiple_of(2);
        let motif = if plain { vec!["k"; unit] } else { motif(noise) };
        let mut cells = vec!["k"; 2];
        for _ in 0..width.div_ceil(unit) {
            cells.extend(&motif);
        }
        cells.extend(["k"; 2]);
        chart.rows.push((row, cells));
    }
    chart.right = !every;
    if !every && noise.chance(50) {
        chart.above.push("Return rows: K2, p to last 2 sts, k2".to_owned());
    }
}

/// Cables on purl.
fn cable(noise: &mut Noise, chart: &mut Chart, height: usize) {
    let (ropes, every) = (noise.between(1, 3), 2 * noise.between(2, 4));
    for row in 1..=height {
        let rope = if row % every == 3 { "2/2rc" } else { "k" };
        let mut cells = vec!["p"; 2];
        for _ in 0..ropes {
            cells.extend([rope; 4]);
            cells.extend(["p"; 2]);
        }
        chart.rows.push((row, cells));
    }
}

/// Two stitches more in every right-side row; what lies outside the shape is blank.
fn shawl(noise: &mut Noise, chart: &mut Chart, height: usize) {
    let edge = noise.between(1, 2);
    for at in 0..height {
        let outside = height - 1 - at;
        let mut cells = vec![""; outside];
        cells.extend(vec!["k"; edge]);
        cells.push("yo");
        cells.extend(vec!["k"; 1 + 2 * at]);
        cells.push("yo");
        cells.extend(vec!["k"; edge]);
        cells.extend(vec![""; outside]);
        chart.rows.push((1 + 2 * at, cells));
    }
    chart.right = true;
}

/// A repeat between edges, cast on for several of them.
fn repeat(noise: &mut Noise, chart: &mut Chart, height: usize) {
    let (edge, unit, times) = (noise.between(1, 3), noise.between(4, 8), noise.between(2, 5));
    for row in 1..=height {
        let mut cells = vec!["k"; edge];
        let mut motif = vec!["k"; unit];
        if !row.is_multiple_of(2) {
            let at = noise.between(0, unit - 2);
            (motif[at], motif[at + 1]) = ("yo", "ssk");
        }
        cells.extend(motif);
        cells.extend(vec!["k"; edge]);
        chart.rows.push((row, cells));
    }
    chart.above.push(format!("Cast on: {}", 2 * edge + unit * times));
    chart.above.push(format!("Repeat columns: {}-{}", edge + 1, edge + unit));
}

impl Chart {
    /// The lines of a sheet: row numbers where the row begins, the key below.
    fn lines(&self, symbols: &Symbols) -> Vec<Vec<String>> {
        let mut lines = vec![vec![self.title.clone()]];
        lines.extend(self.above.iter().map(|line| vec![line.clone()]));
        lines.push(Vec::new());
        for (number, cells) in self.rows.iter().rev() {
            let on_the_right = self.right || !number.is_multiple_of(2);
            let mut line = vec![if on_the_right { String::new() } else { number.to_string() }];
            line.extend(cells.iter().map(|stitch| symbols.of(stitch).to_owned()));
            line.push(if on_the_right { number.to_string() } else { String::new() });
            lines.push(line);
        }
        if self.key {
            lines.push(Vec::new());
            lines.push(vec!["Key".to_owned()]);
            let used = |stitch: &str| self.rows.iter().any(|(_, cells)| cells.contains(&stitch));
            let entries = symbols.0.iter().filter(|(stitch, ..)| used(stitch));
            lines.extend(entries.map(|(_, symbol, words)| vec![(*symbol).to_owned(), (*words).to_owned()]));
        }
        lines
    }
}

fn write_csv(path: &Path, lines: &[Vec<String>]) -> Outcome<()> {
    let mut writer = csv::WriterBuilder::new().flexible(true).from_path(path)?;
    let width = lines.iter().map(Vec::len).max().unwrap_or_default();
    for line in lines {
        let mut line = line.clone();
        line.resize(width, String::new());
        writer.write_record(&line)?;
    }
    Ok(writer.flush()?)
}

fn write_xlsx(path: &Path, lines: &[Vec<String>], chart: &Chart, noise: &mut Noise) -> Outcome<()> {
    let mut book = Workbook::new();
    let day = ExcelDateTime::from_ymd(2020, 1, 1)?;
    book.set_properties(&DocProperties::new().set_creation_datetime(&day));
    let sheet: &mut Worksheet = book.add_worksheet();
    let grid = Format::new().set_border(rust_xlsxwriter::FormatBorder::Thin);
    let shade = Format::new().set_background_color(Color::RGB(*noise.pick(&[0x00f2_f2f2, 0x00e0_ebf5])));
    let first = 2 + chart.above.len();
    for column in 0..=chart.rows.iter().map(|(_, cells)| cells.len()).max().unwrap_or_default() + 1 {
        sheet.set_column_width(u16::try_from(column)?, 3.5)?;
    }
    for (row, line) in lines.iter().enumerate() {
        let at = u32::try_from(row)?;
        for (column, text) in line.iter().enumerate().filter(|(_, text)| !text.is_empty()) {
            let column = u16::try_from(column)?;
            let inside = (first..first + chart.rows.len()).contains(&row);
            match text.parse::<f64>() {
                Ok(number) => sheet.write_number(at, column, number)?,
                Err(_) if inside => sheet.write_string_with_format(at, column, text, &grid)?,
                Err(_) if row == 0 => sheet.write_string_with_format(at, column, text, &shade)?,
                Err(_) => sheet.write_string(at, column, text)?,
            };
        }
    }
    Ok(book.save(path)?)
}

fn main() -> Outcome<()> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [folder, files, format, seed @ ..] = &arguments[..] else {
        return Err("usage: bench-archive DIR FILES csv|xlsx [SEED]".into());
    };
    let files: usize = files.parse()?;
    let seed: u64 = seed.first().map_or(Ok(1), |seed| seed.parse())?;
    for number in 0..files {
        // A file is the same in an archive of any size.
        let mut noise = Noise(seed.wrapping_mul(0x1_0000_0001).wrapping_add(number as u64));
        let shelf = PathBuf::from(folder).join(format!("shelf-{:03}", number / 100));
        let symbols = &SYMBOLS[number / 100 % SYMBOLS.len()];
        if number.is_multiple_of(100) {
            fs::create_dir_all(&shelf)?;
            fs::write(shelf.join("longhand.toml"), symbols.settings())?;
        }
        let chart = chart(&mut noise, number);
        let lines = chart.lines(symbols);
        let path = shelf.join(format!("{}.{format}", chart.title.to_lowercase().replace(' ', "-")));
        match format.as_str() {
            "csv" => write_csv(&path, &lines)?,
            _ => write_xlsx(&path, &lines, &chart, &mut noise)?,
        }
    }
    Ok(())
}
