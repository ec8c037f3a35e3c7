//! Texts with one error each, planted by hand, and what finds it: `tests/cases/planted/planted.toml` lists them. Put
//! right again, each says what its chart says, so that the planted error is the only one.
#![allow(clippy::disallowed_methods, clippy::unwrap_used, clippy::panic)]

use std::path::Path;
use std::sync::Arc;

use longhand::compare::Verdict;
use longhand::convert::{self, Source};
use longhand::problem::{Finding, Severity};
use longhand::settings::Settings;
use serde::Deserialize;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Table {
    planted: Vec<Planted>,
}

/// A line of the table; the head of the file says what each field is.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Planted {
    text: String,
    about: String,
    chart: String,
    reads: String,
    should: String,
    by: By,
    row: Option<u32>,
    code: String,
}

#[derive(Clone, Copy, Deserialize, PartialEq)]
#[serde(rename_all = "kebab-case")]
enum By {
    Check,
    Compare,
}

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn table() -> Vec<Planted> {
    let text = std::fs::read_to_string(root().join("tests/cases/planted/planted.toml")).unwrap();
    toml::from_str::<Table>(&text).unwrap().planted
}

/// What check finds in a text alone, what compare finds beside the chart, and what the comparison comes to.
struct Found {
    check: Vec<Finding>,
    compare: Vec<Finding>,
    verdict: Option<Verdict>,
}

fn found(planted: &Planted, text: &str) -> Found {
    let nothing = Settings::default();
    let (file, chart) = (Arc::from(&*planted.text), Arc::from(&*planted.chart));
    let path = root().join(&planted.chart);
    let settings = std::fs::read_to_string(path.with_file_name("longhand.toml")).unwrap_or_default();
    let (below, wrong) = Settings::parse(&Arc::from("longhand.toml"), &settings);
    assert_eq!(wrong, []);
    let bytes = std::fs::read(&path).unwrap();
    let chart =
        Source { file: &chart, bytes: &bytes, from: None, below: &below, above: &nothing, vocabulary: None };
    // A text stands alone: its reader has no settings.
    let rows = Source { file: &file, bytes: text.as_bytes(), below: &nothing, ..chart };
    let errors = |findings: &mut dyn Iterator<Item = &Finding>| -> Vec<Finding> {
        findings.filter(|finding| finding.severity() == Severity::Error).cloned().collect()
    };
    let read = rows.patterns();
    let check = errors(&mut read.charts.iter().flat_map(|chart| &chart.findings).chain(&read.findings));
    let compared = convert::compare(&chart, &rows);
    let of_charts =
        compared.left.charts.iter().chain(&compared.right.charts).flat_map(|chart| &chart.findings);
    let mut compare = errors(&mut of_charts.chain(&compared.findings));
    // The first row that is wrong is the one to look at.
    compare.sort_by_key(|finding| finding.row.unwrap_or(0));
    Found { check, compare, verdict: compared.pairs.first().map(|pair| pair.verdict) }
}

#[test]
fn each_error_is_told_at_its_row() {
    let mut wrong = String::new();
    let table = table();
    for planted in &table {
        let path = root().join("tests/cases/planted").join(&planted.text);
        let text = std::fs::read_to_string(path).unwrap_or_else(|error| panic!("{}: {error}", planted.text));
        let found = found(planted, &text);
        let first = match planted.by {
            By::Check => found.check.first(),
            By::Compare => found.compare.first(),
        };
        let told = first.map(|finding| (finding.row, finding.code.name()));
        if told != Some((planted.row, &planted.code)) {
            wrong.push_str(&format!(
                "{}: {}\n  wanted {:?} {}, got {told:?}\n  check {:?}\n  compare {:?}\n",
                planted.text,
                planted.about,
                planted.row,
                planted.code,
                found.check.iter().map(|finding| &finding.message).collect::<Vec<_>>(),
                found.compare.iter().map(|finding| &finding.message).collect::<Vec<_>>()
            ));
        }
        // What the text alone can tell is listed under check.
        let by_check = found.check.first().is_some_and(|finding| finding.row <= planted.row);
        if planted.by == By::Compare && by_check {
            wrong.push_str(&format!("{}: check tells it too\n", planted.text));
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
    assert!(table.len() >= 25, "only {} texts", table.len());
}

#[test]
fn put_right_each_says_what_its_chart_says() {
    for planted in table() {
        let path = root().join("tests/cases/planted").join(&planted.text);
        let text = std::fs::read_to_string(path).unwrap();
        assert_eq!(text.matches(&planted.reads).count(), 1, "{}: {}", planted.text, planted.reads);
        let found = found(&planted, &text.replace(&planted.reads, &planted.should));
        let told: Vec<&String> = found.compare.iter().map(|finding| &finding.message).collect();
        assert!(told.is_empty() && found.check.is_empty(), "{}: {told:?}", planted.text);
        assert_eq!(found.verdict, Some(Verdict::SameStitches), "{}", planted.text);
    }
}

#[test]
fn every_text_is_in_the_table_once() {
    let mut listed: Vec<String> = table().into_iter().map(|planted| planted.text).collect();
    let folder = std::fs::read_dir(root().join("tests/cases/planted")).unwrap();
    let mut there: Vec<String> = folder
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .filter(|name| name.ends_with(".txt"))
        .collect();
    listed.sort();
    there.sort();
    assert_eq!(listed, there);
}
