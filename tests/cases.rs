//! Every case under `tests/cases` that must be read: the published patterns (`worked`), odd but readable sheets
//! (`habits`), and the archive (`corpus`), each against rows that were worked out before any chart was drawn.
//!
//! The expected rows are in files ending in `.rows`, with their source; `scripts/corpus` draws the charts from
//! them, so that longhand goes the other way.
#![allow(clippy::disallowed_methods, clippy::unwrap_used, clippy::panic)]

use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use longhand::convert::{self, Chart};
use longhand::pattern::{Side, Worked};
use longhand::settings::Settings;

/// The rows a chart must give.
struct Expected {
    title: Option<String>,
    worked: Worked,
    cast_on: u32,
    multiple: Option<(u32, u32)>,
    rows: Vec<Row>,
}

#[derive(Debug, PartialEq)]
struct Row {
    number: u32,
    side: Side,
    charted: bool,
    makes: u32,
    stitches: Vec<String>,
    /// The colour of each stitch; empty where none is said.
    colours: Vec<String>,
}

fn expected(text: &str) -> Expected {
    let mut expected =
        Expected { title: None, worked: Worked::Flat, cast_on: 0, multiple: None, rows: Vec::new() };
    for line in text.lines().map(str::trim).filter(|line| !line.is_empty() && !line.starts_with('#')) {
        if let Some(colours) = line.strip_prefix("colours : ") {
            let spaced = colours.replace('(', " ( ").replace(')', " ) ");
            expected.rows.last_mut().unwrap().colours = stitches(&mut spaced.split_whitespace().peekable());
            continue;
        }
        if let Some((name, value)) =
            line.split_once(": ").filter(|(name, _)| !name.starts_with(char::is_numeric))
        {
            match name {
                "title" => expected.title = Some(value.to_owned()),
                "worked" => expected.worked = if value == "round" { Worked::Round } else { Worked::Flat },
                "cast-on" => expected.cast_on = value.parse().unwrap(),
                "multiple" => {
                    let (of, plus) = value.split_once('+').unwrap();
                    expected.multiple = Some((of.parse().unwrap(), plus.parse().unwrap()));
                }
                other => panic!("unknown line {other}"),
            }
            continue;
        }
        let (head, body) = line.split_once(" : ").unwrap_or_else(|| panic!("{line}"));
        let head: Vec<&str> = head.split_whitespace().collect();
        let [number, side, charted, "=", makes] = head[..] else { panic!("{line}") };
        expected.rows.push(Row {
            number: number.parse().unwrap(),
            side: if side == "RS" { Side::Rs } else { Side::Ws },
            charted: charted == "charted",
            makes: makes.parse().unwrap(),
            stitches: stitches(
                &mut body.replace('(', " ( ").replace(')', " ) ").split_whitespace().peekable(),
            ),
            colours: Vec::new(),
        });
    }
    expected
}

fn stitches<'a>(words: &mut std::iter::Peekable<impl Iterator<Item = &'a str>>) -> Vec<String> {
    let mut all = Vec::new();
    while let Some(word) = words.next() {
        if word == ")" {
            break;
        }
        let unit = if word == "(" { Some(stitches(words)) } else { None };
        let (unit, times) = match unit {
            Some(unit) => {
                let times = words.peek().and_then(|next| next.strip_prefix('*')).map(|n| n.parse().unwrap());
                if times.is_some() {
                    words.next();
                }
                (unit, times.unwrap_or(1))
            }
            None => match word.split_once('*') {
                Some((name, times)) => (vec![name.to_owned()], times.parse().unwrap()),
                None => (vec![word.to_owned()], 1),
            },
        };
        for _ in 0..times {
            all.extend(unit.iter().cloned());
        }
    }
    all
}

/// The settings files beside a chart and above it, up to the root of the cases.
fn settings(folder: &Path, root: &Path) -> Settings {
    let mut settings = Settings::default();
    let mut folder = folder;
    loop {
        if let Ok(text) = std::fs::read_to_string(folder.join("longhand.toml")) {
            let (read, findings) = Settings::parse(&Arc::from("longhand.toml"), &text);
            assert!(findings.is_empty(), "{}: {findings:?}", folder.display());
            settings = settings.over(&read);
        }
        if folder == root {
            return settings;
        }
        folder = folder.parent().unwrap();
    }
}

fn actual(chart: &Chart) -> Result<Vec<Row>, String> {
    let pattern = chart.sound().ok_or_else(|| {
        chart.findings.iter().fold("not sound".to_owned(), |mut text, finding| {
            let _ = write!(text, "\n    {} {}: {}", finding.code, finding.place, finding.message);
            text
        })
    })?;
    Ok(pattern
        .rows
        .iter()
        .map(|row| Row {
            number: row.number,
            side: row.side,
            charted: row.charted,
            makes: pattern.makes(row),
            stitches: row
                .stitches
                .iter()
                .map(|&id| pattern.stitches.get(pattern.stitches.plain(id)).name.clone())
                .collect(),
            colours: row
                .stitches
                .iter()
                .filter_map(|&id| pattern.stitches.get(id).colour.as_deref().map(str::to_owned))
                .collect(),
        })
        .collect())
}

fn differences(chart: &Chart, expected: &Expected) -> String {
    let mut text = String::new();
    let rows = match actual(chart) {
        Ok(rows) => rows,
        Err(error) => return error,
    };
    let pattern = chart.pattern.as_ref().unwrap();
    if let Some(title) = expected.title.as_ref().filter(|title| **title != pattern.title) {
        let _ = writeln!(text, "    title {:?} for {title:?}", pattern.title);
    }
    if pattern.worked != expected.worked {
        let _ = writeln!(text, "    worked {:?}", pattern.worked);
    }
    if pattern.cast_on != expected.cast_on {
        let _ = writeln!(text, "    cast-on {} for {}", pattern.cast_on, expected.cast_on);
    }
    if pattern.multiple.map(|m| (m.of, m.plus)) != expected.multiple {
        let _ = writeln!(text, "    multiple {:?} for {:?}", pattern.multiple, expected.multiple);
    }
    if rows.len() != expected.rows.len() {
        let _ = writeln!(text, "    {} rows for {}", rows.len(), expected.rows.len());
    }
    for (row, wanted) in rows.iter().zip(&expected.rows) {
        if row != wanted {
            let line = |row: &Row| {
                format!(
                    "{} {} {} = {} : {} {}",
                    row.number,
                    row.side.word(),
                    if row.charted { "charted" } else { "derived" },
                    row.makes,
                    row.stitches.join(" "),
                    row.colours.join(" ")
                )
            };
            let _ = writeln!(text, "    got  {}\n    want {}", line(row), line(wanted));
        }
    }
    text
}

fn read(file: &Path, settings: &Settings) -> convert::Charts {
    let bytes = std::fs::read(file).unwrap();
    let name: Arc<str> = file.file_name().unwrap().to_string_lossy().into();
    convert::charts(&name, &bytes, None, settings, &Settings::default())
}

fn sorted(folder: &Path) -> Vec<PathBuf> {
    let mut paths: Vec<PathBuf> =
        std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    paths.sort();
    paths
}

/// The expected rows of a folder whose files begin so.
fn rows_in(folder: &Path, begins: &str) -> Vec<PathBuf> {
    let mut rows = sorted(folder);
    rows.retain(|path| {
        let name = path.file_name().unwrap().to_string_lossy();
        name.strip_prefix(begins).is_some_and(|rest| rest.starts_with('.') && rest.ends_with(".rows"))
    });
    rows
}

/// Reads a chart file and compares each of its charts with the expected rows, found by the chart's letter: those of
/// `expected` in its folder are `expected.rows`, or `expected.A.rows` and so on. None of these may be left over.
fn compare(file: &Path, settings: &Settings, expected_in: &Path, begins: &str) -> String {
    let mut left = rows_in(expected_in, begins);
    let read = read(file, settings);
    let mut wrong = String::new();
    for finding in &read.findings {
        let _ = writeln!(wrong, "    {} {}: {}", finding.code, finding.place, finding.message);
    }
    if read.findings.iter().all(|finding| finding.severity() != longhand::problem::Severity::Error) {
        wrong.clear();
    }
    for chart in &read.charts {
        let letter = chart.letter.as_deref().map(|letter| format!(".{letter}")).unwrap_or_default();
        let rows = expected_in.join(format!("{begins}{letter}.rows"));
        left.retain(|path| *path != rows);
        match std::fs::read_to_string(&rows) {
            Ok(text) => wrong.push_str(&differences(chart, &expected(&text))),
            Err(_) => {
                let _ = writeln!(wrong, "    a chart that is not expected: no {}", rows.display());
            }
        }
    }
    if read.charts.is_empty() {
        wrong.push_str("    no chart\n");
    }
    for rows in left {
        let _ = writeln!(wrong, "    no chart for {}", rows.display());
    }
    wrong
}

/// The notes that a case says are given and are not: kind, row, place and words of the message, as in the wrong cases.
/// A kind of note that the case names stands nowhere else.
fn unsaid(read: &convert::Charts, notes: &str) -> String {
    let mut said: Vec<_> =
        read.findings.iter().chain(read.charts.iter().flat_map(|chart| &chart.findings)).collect();
    let wanted = told(notes);
    let mut text = String::new();
    for note in &wanted {
        let words = note.line.rsplit("  ").next().unwrap_or_default().to_lowercase();
        let at = said.iter().position(|finding| {
            finding.code.name() == note.severity
                && stands(&note.place, finding)
                && finding.message.to_lowercase().contains(&words)
        });
        match at {
            Some(at) => {
                said.remove(at);
            }
            None => {
                let _ = writeln!(text, "    not said: {}", note.line);
            }
        }
    }
    for finding in said.iter().filter(|left| wanted.iter().any(|note| note.severity == left.code.name())) {
        let _ = writeln!(text, "    said too: {} {}: {}", finding.code, finding.place, finding.message);
    }
    text
}

fn cases(kind: &str) {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases").join(kind);
    let mut wrong = String::new();
    let mut count = 0;
    for folder in sorted(&root) {
        let settings = settings(&folder, &folder);
        for file in sorted(&folder).iter().filter(|file| file.file_stem().is_some_and(|stem| stem == "chart"))
        {
            count += 1;
            let mut differences = compare(file, &settings, &folder, "expected");
            if let Ok(notes) = std::fs::read_to_string(folder.join("notes.txt")) {
                differences.push_str(&unsaid(&read(file, &settings), &notes));
            }
            if !differences.is_empty() {
                let _ = writeln!(wrong, "{}:\n{differences}", folder.file_name().unwrap().to_string_lossy());
            }
        }
    }
    assert!(count > 0, "no case was found");
    assert!(wrong.is_empty(), "\n{wrong}");
}

#[test]
fn published_patterns() {
    cases("worked");
}

#[test]
fn habits_of_sheets() {
    cases("habits");
}

#[test]
fn looks_of_sheets() {
    cases("looks");
}

#[test]
fn the_archive() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let corpus = root.join("corpus");
    let mut wrong = String::new();
    let mut count = 0;
    for collection in sorted(&corpus).iter().filter(|path| path.is_dir()) {
        for file in sorted(collection) {
            let name = file.file_name().unwrap().to_string_lossy().into_owned();
            if name.ends_with(".toml") || name.ends_with(".md") {
                continue;
            }
            count += 1;
            let expected = root.join("tests/cases/corpus").join(collection.file_name().unwrap());
            let differences = compare(&file, &settings(collection, &corpus), &expected, &name);
            if !differences.is_empty() {
                let _ = writeln!(wrong, "{name}:\n{differences}");
            }
        }
    }
    assert!(count > 10, "the archive is not there");
    assert!(wrong.is_empty(), "\n{wrong}");
}

/// What a wrong input must be told.
struct Told {
    severity: String,
    row: Option<u32>,
    place: String,
    line: String,
}

fn told(text: &str) -> Vec<Told> {
    text.lines()
        .filter(|line| !line.trim().is_empty() && !line.starts_with("exit") && !line.starts_with('#'))
        .map(|line| {
            let (severity, rest) = line.split_once("  ").unwrap_or_else(|| panic!("{line}"));
            let (row, rest) = rest.trim_start().split_once("  ").unwrap_or_else(|| panic!("{line}"));
            let (place, _) = rest.trim_start().split_once("  ").unwrap_or_else(|| panic!("{line}"));
            Told {
                severity: severity.to_owned(),
                row: row.strip_prefix("row ").map(|row| row.parse().unwrap()),
                place: place.to_owned(),
                line: line.to_owned(),
            }
        })
        .collect()
}

/// Whether a finding stands where the case says: `-` anywhere, `line 2 column 5`, `line 2`, `cell B7`, `cells B2:D2`,
/// `sheet Key cell B3`.
fn stands(place: &str, finding: &longhand::problem::Finding) -> bool {
    let text = finding.place.to_string().replace(',', "");
    let wanted: Vec<&str> = place.split_whitespace().collect();
    let has =
        |pair: &[&str]| text.split_whitespace().collect::<Vec<_>>().windows(2).any(|words| words == pair);
    // A range is named by its first cell too.
    let begins = |cell: &str| text.split_whitespace().any(|word| word.split(':').next() == Some(cell));
    place == "-"
        || wanted.chunks(2).all(|pair| {
            has(pair)
                || (pair[0] == "cells" && text.contains(pair[1]))
                || (pair[0] == "cell" && begins(pair[1]))
        })
}

#[test]
fn wrong_inputs_are_told() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/broken");
    let mut wrong = String::new();
    for folder in sorted(&root) {
        let expected = std::fs::read_to_string(folder.join("expected.txt")).unwrap();
        let mut said: Vec<longhand::problem::Finding> = Vec::new();
        let mut settings = Settings::default();
        if let Ok(text) = std::fs::read_to_string(folder.join("longhand.toml")) {
            let (read, findings) = Settings::parse(&Arc::from("longhand.toml"), &text);
            settings = read;
            said.extend(findings);
        }
        if said.is_empty() {
            for file in
                sorted(&folder).iter().filter(|file| file.file_stem().is_some_and(|stem| stem == "chart"))
            {
                let read = read(file, &settings);
                said.extend(read.findings);
                said.extend(read.charts.into_iter().flat_map(|chart| chart.findings));
            }
        }
        let mut problems = String::new();
        let mut left: Vec<&longhand::problem::Finding> = said.iter().collect();
        for told in told(&expected) {
            let at = left.iter().position(|finding| {
                finding.severity().word() == told.severity
                    && told.row.is_none_or(|row| finding.row == Some(row))
                    && stands(&told.place, finding)
            });
            match at {
                Some(at) => {
                    left.remove(at);
                }
                None => {
                    let _ = writeln!(problems, "    not said: {}", told.line);
                }
            }
        }
        for finding in left.iter().filter(|finding| finding.severity() != longhand::problem::Severity::Note) {
            let _ = writeln!(
                problems,
                "    said too: {} row {:?} {}: {}",
                finding.code, finding.row, finding.place, finding.message
            );
        }
        if !problems.is_empty() {
            let _ = writeln!(wrong, "{}:\n{problems}", folder.file_name().unwrap().to_string_lossy());
        }
    }
    assert!(wrong.is_empty(), "\n{wrong}");
}
