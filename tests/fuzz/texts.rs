//! Texts and charts that nobody would write, by the million: no input may make the reader stumble or take long, and
//! what it reads as sound must be read again as the same once it is written.
//!
//!     cargo run --release --example fuzz -- SECONDS [SEED [patterns]]
//!
//! Inputs are made from the cases and the archive by cutting, mixing and putting in words of the trade; the same seed
//! makes the same inputs. Each input that fails is cut down and kept in `target/fuzz`.
#![allow(clippy::print_stdout, clippy::disallowed_methods, clippy::unwrap_used, clippy::panic)]

#[path = "patterns.rs"]
mod patterns;

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Duration, Instant};

use longhand::convert::{self, Chart, Format};
use longhand::draw::Sheet;
use longhand::pattern::Pattern;
use longhand::read;
use longhand::settings::{self, Settings};
use longhand::style;

/// No input may take longer.
const SLOW: Duration = Duration::from_millis(1500);

/// Numbers that look random and are the same for the same seed (splitmix64).
struct Chance(u64);

impl Chance {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    fn below(&mut self, most: usize) -> usize {
        if most == 0 { 0 } else { (self.next() % most as u64) as usize }
    }

    fn one_of<'a, T>(&mut self, all: &'a [T]) -> &'a T {
        &all[self.below(all.len())]
    }
}

const WORDS: &[&str] = &[
    "Row 1:",
    "Row 2 and all WS rows:",
    "Rnd 3:",
    "Rows 5-9:",
    "1st row (RS):",
    "Next row:",
    "Every row:",
    "Set-up row:",
    "Dec row:",
    "All other rows:",
    "Rows 2, 4 and 6:",
    "Sizes: S (M, L)",
    "Cast on 8 (12, 16) sts.",
    "Cast on 23 sts.",
    "Multiple of 6 sts + 5.",
    "Worked in the round.",
    "k2",
    "yo",
    "yfwd",
    "sl 1",
    "k2tog, psso",
    "p to last 3 sts",
    "to end",
    "*",
    "**",
    "rep from *",
    "rep from * 3 times",
    "rep from * to ** twice more",
    "end last rep at **",
    "end last rep k2 instead of k3",
    "(",
    ")",
    "[",
    "]",
    "{",
    "}",
    "twice",
    "3 (4, 5) times",
    "0 times",
    "in next st",
    "into double yo",
    "over next 6 sts",
    ",",
    ";",
    ".",
    ":",
    "-",
    "\n",
    "\n\n",
    "As Row 3",
    "Rep Rows 1-4 twice more",
    "Rep last 2 rows 5 times",
    "Rep Rows 3 and 4 9 times more, working 2 more sts in each k3 of Row 3 each time",
    "work as set",
    "knit the knits and purl the purls",
    "St st, beg with a k row",
    "Work 4 rows in St st",
    "Abbreviations",
    "Notes",
    "MB: (k1, yo, k1) in one st, turn, p3, turn, k3tog",
    "dec 1 = k2tog",
    "(23 sts)",
    "[10 (15, 20) sts]",
    "(2 sts inc'd; 25 sts)",
    "99999999999",
    "4294967295",
    "1000000",
    "pm",
    "sm",
    "k to 3 sts before m",
    "turn",
    "w&t",
    "plain 3",
    "narrow",
    "twenty-three",
    "a total of",
    "é",
    "–",
    "\u{a0}",
    "\u{200b}",
    "2/2 RC",
    "C4F",
    "c4",
    "bo 3",
    "Row 0:",
    "co 2",
    "repeat the following 3 times:",
    "end of repeat",
    "K1B",
    "y.o.",
    "all sts",
];

const CELLS: &[&str] = &[
    "k",
    "p",
    "o",
    "/",
    "\\",
    ".",
    "-",
    "x",
    "ns",
    "yo",
    "k2tog",
    "2/2rc",
    "1",
    "2",
    "3",
    "10",
    "99999999999",
    "",
    "\"",
    "\"\"",
    "1/1",
    "Cast on: 9",
    "Repeat columns: 2-3",
    "Worked: in the round",
    "Title: a",
    "Return rows: purl",
    "key",
    "knit",
    "K on RS, P on WS",
    "yarn over",
    "Row 3",
    "R3",
    "3 (RS)",
    "3.0",
    "\n",
    ",",
    ";",
    "\t",
    "é",
    "S = 3",
    "Sizes: S = 2, M = 3",
    "First row: top",
    "Hand: left",
    "\u{feff}",
    "  ",
];

fn seeds(root: &Path, folders: &[&str], endings: &[&str]) -> Vec<String> {
    let mut files: Vec<PathBuf> = folders
        .iter()
        .flat_map(|folder| walkdir::WalkDir::new(root.join(folder)).sort_by_file_name())
        .filter_map(Result::ok)
        .map(walkdir::DirEntry::into_path)
        .filter(|path| path.extension().is_some_and(|found| endings.iter().any(|ending| found == *ending)))
        .collect();
    files.sort();
    let texts = files.iter().filter_map(|file| std::fs::read_to_string(file).ok());
    // A table of cases holds many texts.
    texts.flat_map(|text| text.split("\n=== ").map(str::to_owned).collect::<Vec<_>>()).collect()
}

/// A place in the text between two letters.
fn place(text: &str, chance: &mut Chance) -> usize {
    let mut at = chance.below(text.len() + 1);
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

fn changed(seeds: &[String], words: &[&str], chance: &mut Chance) -> String {
    let mut text = match chance.below(12) {
        0 => (0..chance.below(60)).map(|_| *chance.one_of(words)).collect::<Vec<_>>().join(" "),
        _ => chance.one_of(seeds).clone(),
    };
    for _ in 0..=chance.below(6) {
        let (a, b) = (place(&text, chance), place(&text, chance));
        let (a, b) = (a.min(b), a.max(b));
        match chance.below(10) {
            0 => drop(text.drain(a..b)),
            1 => {
                let end =
                    text[a..].char_indices().nth(1 + chance.below(4)).map_or(text.len(), |(at, _)| a + at);
                drop(text.drain(a..end));
            }
            2 => {
                let part = text[a..b].chars().take(300).collect::<String>();
                text.insert_str(b, &part);
            }
            3 | 4 => text.insert_str(a, chance.one_of::<&str>(words)),
            5 => text.insert_str(a, &format!(" {} ", chance.one_of(words))),
            6 => {
                // A number becomes another one.
                let numbers: Vec<(usize, &str)> = text.match_indices(|c: char| c.is_ascii_digit()).collect();
                if let Some(&(at, digit)) = numbers.get(chance.below(numbers.len())) {
                    let range = at..at + digit.len();
                    let number = chance.one_of(&[
                        "0",
                        "1",
                        "2",
                        "3",
                        "5",
                        "7",
                        "12",
                        "60",
                        "999",
                        "65536",
                        "4294967296",
                    ]);
                    text.replace_range(range, number);
                }
            }
            7 => {
                let other = chance.one_of(seeds);
                let (c, d) = (place(other, chance), place(other, chance));
                text.insert_str(a, &other[c.min(d)..c.max(d)]);
            }
            8 => {
                let mut lines: Vec<&str> = text.lines().collect();
                if lines.len() > 1 {
                    let (one, two) = (chance.below(lines.len()), chance.below(lines.len()));
                    lines.swap(one, two);
                }
                text = lines.join("\n");
            }
            _ => text.truncate(b),
        }
        if text.len() > 20_000 {
            text.truncate(place(&text[..], chance).min(20_000));
        }
    }
    text
}

fn rows(pattern: &Pattern) -> Vec<String> {
    let mut lines = vec![format!("{:?} {}", pattern.worked, pattern.cast_on)];
    lines.extend(pattern.rows.iter().map(|row| {
        let names: Vec<&str> =
            row.stitches.iter().map(|&id| pattern.stitches.get(id).name.as_str()).collect();
        // A name of one's own may stand at the head of a sentence.
        format!("{} {} {}", row.number, row.side.word(), names.join(" ").to_lowercase())
    }));
    lines.extend(pattern.sizes.iter().map(|size| format!("{} {} {}", size.name, size.times, size.cast_on)));
    lines
}

/// What is wrong with what was written of a chart and read again.
fn again(chart: &Chart, pattern: &Pattern, style: &style::Style) -> Option<String> {
    let long = pattern.rows.iter().map(|row| row.stitches.len()).sum::<usize>() > 4_000;
    // No text has such numbers.
    if long || pattern.rows.iter().any(|row| row.number > 9_999) {
        return None;
    }
    let none = Settings::default();
    let format = Format::named("text").unwrap();
    let written = convert::output(&[chart], format, style);
    let read =
        convert::texts(&Arc::from("again.txt"), written.as_bytes(), None, &chart.settings, &none, None);
    let told: Vec<String> =
        read.charts.iter().flat_map(|chart| &chart.findings).map(|f| f.message.clone()).collect();
    match &read.charts[..] {
        [read] if read.sound().is_some_and(|read| rows(read) == rows(pattern)) => None,
        [read] => Some(format!(
            "{}: written\n{written}\nmeant {:#?}\nread {:#?}\n{told:#?}",
            style.name,
            rows(pattern),
            read.pattern.as_ref().map(rows)
        )),
        _ => Some(format!("{}: written\n{written}\nno pattern", style.name)),
    }
}

/// What is wrong with the reading of an input; nothing, for nearly all.
fn wrong(input: &str, chart: bool, seed: u64, sound: &mut u64) -> Option<String> {
    let chance = &mut Chance(seed);
    let started = Instant::now();
    let result = catch_unwind(AssertUnwindSafe(|| {
        let none = Settings::default();
        let mut above = Settings::default();
        match chance.below(8) {
            0 => drop(settings::set(&mut above, "terms", "uk")),
            1 => drop(settings::set(&mut above, "terms", "older")),
            _ => {}
        }
        let read = if chart {
            convert::charts(&Arc::from("a.csv"), input.as_bytes(), Some(read::Format::Csv), &none, &above)
        } else {
            convert::texts(&Arc::from("a.txt"), input.as_bytes(), None, &none, &above, None)
        };
        let took = started.elapsed();
        let mut told = (took > SLOW).then(|| format!("slow: {took:?}"));
        for chart in &read.charts {
            if let Some(pattern) = chart.sound() {
                *sound += 1;
                if chance.below(16) == 0 {
                    let style = chance.one_of(style::built_in());
                    told = told.or_else(|| again(chart, pattern, style));
                }
                if chance.below(20) == 0 {
                    drop(convert::drawn(&[chart], Sheet::Csv));
                }
            }
        }
        told
    }));
    match result {
        Ok(told) => told,
        Err(panic) => {
            let text = panic.downcast_ref::<String>().cloned();
            let text = text.or_else(|| panic.downcast_ref::<&str>().map(|text| (*text).to_owned()));
            Some(format!("panic: {}", text.unwrap_or_default()))
        }
    }
}

/// The input cut down as long as it fails in the same way.
fn shrunken(input: &str, chart: bool, seed: u64, kind: &str) -> String {
    let fails = |text: &str| wrong(text, chart, seed, &mut 0).is_some_and(|told| told.starts_with(kind));
    let mut best = input.to_owned();
    let started = Instant::now();
    let mut length = best.chars().count() / 2;
    while length > 0 && started.elapsed() < Duration::from_secs(4) {
        let letters: Vec<char> = best.chars().collect();
        let mut from = 0;
        let mut cut = false;
        while from < letters.len() {
            let text: String = letters.iter().take(from).chain(letters.iter().skip(from + length)).collect();
            if fails(&text) {
                best = text;
                cut = true;
                break;
            }
            from += length;
        }
        if !cut {
            length /= 2;
        } else {
            length = length.min(best.chars().count() / 2).max(1);
        }
    }
    best
}

/// Random patterns in every style, written and read again.
fn round_trips(seconds: u64, first: u64) {
    let started = Instant::now();
    let (mut count, mut kept) = (0u64, 0u64);
    let mut kinds = std::collections::HashSet::new();
    let mut seed = first.wrapping_mul(1_000_003);
    while started.elapsed() < Duration::from_secs(seconds) && kept < 12 {
        seed = seed.wrapping_add(1);
        count += 1;
        let pattern = patterns::any(&mut Chance(seed));
        let chart = Chart {
            letter: None,
            pattern: Some(pattern.clone()),
            sizes: Vec::new(),
            settings: Settings::default(),
            reading: None,
            findings: Vec::new(),
        };
        for style in style::built_in() {
            if let Some(told) = again(&chart, &pattern, style) {
                let what: String = told.chars().rev().filter(|c| !c.is_ascii_digit()).take(50).collect();
                if kinds.insert(what) {
                    kept += 1;
                    println!("--- {seed} {:?} {:?}\n=> {told}\n", pattern.multiple, pattern.sizes);
                }
                break;
            }
        }
    }
    println!("{count} patterns, {kept} wrong, in {:?}", started.elapsed());
}

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let number = |at: usize, usual: u64| arguments.get(at).map_or(usual, |text| text.parse().unwrap());
    let (seconds, first) = (number(0, 60), number(1, 1));
    if arguments.get(2).is_some_and(|text| text == "patterns") {
        return round_trips(seconds, first);
    }
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let texts =
        seeds(root, &["tests/cases/texts", "tests/cases/printed", "tests/snapshots"], &["txt", "snap"]);
    let charts = seeds(root, &["corpus", "tests/cases"], &["csv"]);
    println!("{} texts, {} charts", texts.len(), charts.len());
    let folder = root.join("target/fuzz");
    std::fs::create_dir_all(&folder).unwrap();
    std::panic::set_hook(Box::new(|_| {}));
    let started = Instant::now();
    let (mut count, mut sound, mut kept, mut alike) = (0u64, 0u64, 0u64, 0u64);
    let mut kinds = std::collections::HashSet::new();
    let mut seed = first.wrapping_mul(1_000_003);
    while started.elapsed() < Duration::from_secs(seconds) && kept < 40 {
        seed = seed.wrapping_add(1);
        let mut chance = Chance(seed);
        let chart = chance.below(4) == 0;
        let input =
            if chart { changed(&charts, CELLS, &mut chance) } else { changed(&texts, WORDS, &mut chance) };
        count += 1;
        if let Some(told) = wrong(&input, chart, seed, &mut sound) {
            kept += 1;
            let kind = told.split(':').next().unwrap_or_default().to_owned();
            // One of a kind is enough: the last lines say what was found.
            let what: String = told.chars().rev().filter(|c| !c.is_ascii_digit()).take(60).collect();
            if !kinds.insert(what) {
                kept -= 1;
                alike += 1;
                continue;
            }
            let small = shrunken(&input, chart, seed, &kind);
            let told = wrong(&small, chart, seed, &mut 0).unwrap_or(told);
            let name = folder.join(format!("{seed}.{}", if chart { "csv" } else { "txt" }));
            std::fs::write(&name, &small).unwrap();
            println!("--- {}\n{small}\n=> {told}\n", name.display());
        }
    }
    println!(
        "{count} inputs, {sound} sound patterns, {kept} wrong and {alike} like them, in {:?}",
        started.elapsed()
    );
}
