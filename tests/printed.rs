//! The published patterns as three presses would print them, each on every width of which there is a chart: the text
//! gives the stitches of the chart. The charts are proved against rows worked out by hand (`tests/cases.rs`).
//!
//! Sources: the patterns are those of standards.md section 6; the forms those of its section 5 (W1, W2, W5, W6, W12,
//! P2b, P8) and of common practice.
#![allow(clippy::disallowed_methods, clippy::unwrap_used, clippy::panic)]

use std::fmt::Write as _;
use std::path::Path;
use std::sync::Arc;

use longhand::convert::{self, Chart};
use longhand::pattern::Pattern;
use longhand::settings::Settings;

/// The charts of the published patterns.
fn published() -> Vec<(String, Pattern)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/worked");
    let mut folders: Vec<_> = std::fs::read_dir(root).unwrap().map(|entry| entry.unwrap().path()).collect();
    folders.sort();
    folders
        .into_iter()
        .map(|folder| {
            let settings = match std::fs::read_to_string(folder.join("longhand.toml")) {
                Ok(text) => Settings::parse(&Arc::from("longhand.toml"), &text).0,
                Err(_) => Settings::default(),
            };
            let bytes = std::fs::read(folder.join("chart.csv")).unwrap();
            let charts =
                convert::charts(&Arc::from("chart.csv"), &bytes, None, &settings, &Settings::default());
            let pattern = charts.charts[0].sound().unwrap().clone();
            (folder.file_name().unwrap().to_string_lossy().into_owned(), pattern)
        })
        .collect()
}

fn rows(pattern: &Pattern) -> Vec<String> {
    pattern
        .rows
        .iter()
        .map(|row| {
            let names: Vec<&str> = row
                .stitches
                .iter()
                .map(|&id| match pattern.stitches.get(id).name.as_str() {
                    // Slipped or worked together, the older presses' decrease to the left is one and the same.
                    "skp" => "ssk",
                    name => name,
                })
                .collect();
            format!("{} {} {}", row.number, row.side.word(), names.join(" "))
        })
        .collect()
}

fn told(chart: &Chart) -> String {
    chart.findings.iter().fold(String::new(), |mut text, finding| {
        let _ = writeln!(text, "    {} {}: {}", finding.code, finding.place, finding.message);
        text
    })
}

/// Every pattern of a text against every chart of the same title; gives the titles and widths that were compared.
fn compare(press: &str) -> Vec<String> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("tests/cases/printed/{press}.txt"));
    let bytes = std::fs::read(path).unwrap();
    let mut compared = Vec::new();
    let mut wrong = String::new();
    let mut titles: Vec<String> = Vec::new();
    for (name, chart) in published() {
        let above = Settings { cast_on: Some(chart.cast_on), ..Settings::default() };
        let below = Settings { terms: (press == "press").then(|| "uk".to_owned()), ..Settings::default() };
        let texts = convert::texts(&Arc::from("a.txt"), &bytes, None, &below, &above, None);
        assert!(texts.findings.is_empty(), "{:?}", texts.findings);
        titles = texts
            .charts
            .iter()
            .map(|text| text.pattern.as_ref().map_or_else(String::new, |pattern| pattern.title.clone()))
            .collect();
        for text in &texts.charts {
            // On another pattern's width a text need not fit; its own title tells which it is meant for.
            let Some(pattern) = &text.pattern else { continue };
            if pattern.title != chart.title || pattern.worked != chart.worked {
                continue;
            }
            compared.push(name.clone());
            if text.sound().is_none() || rows(pattern) != rows(&chart) {
                let _ = writeln!(wrong, "{name}\n{}", told(text));
                for (got, want) in rows(pattern).iter().zip(rows(&chart)).filter(|(got, want)| *got != want) {
                    let _ = writeln!(wrong, "  got  {got}\n  want {want}");
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{press}\n{wrong}");
    assert!(!titles.is_empty());
    compared
}

#[test]
fn asterisks() {
    let expected = [
        "cats-paw-7",
        "gull-7-round",
        "horseshoe-11",
        "horseshoe-31",
        "horseshoe-ws-first-11",
        "horseshoe-ws-first-31",
        "moss-9",
        "old-shale-18",
        "old-shale-54",
        "rib-2x2-18",
        "rib-2x2-6",
        "rope-cable-10",
        "rope-cable-24",
        "seed-9",
        "shetland-eyelet-9",
        "unequal-ends-19",
        "vine-lace-13",
        "vine-lace-22",
        "vine-lace-31",
    ];
    assert_eq!(compare("asterisks"), expected);
}

#[test]
fn brackets() {
    let expected = [
        "eyelet-chevron-27",
        "eyelet-chevron-9",
        "gull-7-flat",
        "horseshoe-11",
        "horseshoe-31",
        "old-shale-18",
        "old-shale-54",
        "razor-shell-33",
        "razor-shell-9",
        "rope-cable-10",
        "rope-cable-24",
        "small-lace-25",
        "vine-lace-13",
        "vine-lace-22",
        "vine-lace-31",
        "ws-first-chart-16",
    ];
    assert_eq!(compare("brackets"), expected);
}

#[test]
fn an_older_press() {
    let expected = [
        "horseshoe-11",
        "horseshoe-31",
        "moss-9",
        "old-shale-18",
        "old-shale-54",
        "rib-2x2-18",
        "rib-2x2-6",
        "rope-cable-10",
        "rope-cable-24",
        "seed-9",
        "unequal-ends-19",
        "vine-lace-13",
        "vine-lace-22",
        "vine-lace-31",
    ];
    assert_eq!(compare("press"), expected);
}
