//! Sheets of a size that no designer types, as they lie in archives among the charts: lists, dumps, files made to do harm.
//! They are read in time that grows with them or told to be too large. No test here looks at a clock: with a loop that grows
//! with the square of a sheet each of them would take minutes.
#![allow(clippy::disallowed_methods, clippy::unwrap_used, clippy::panic)]

use std::fmt::Write as _;
use std::sync::Arc;

use longhand::convert::{self, Charts};
use longhand::settings::Settings;

const KEY: &str = "\nKey\n.,knit\n-,purl\no,yo\n/,k2tog\n\\,ssk\n";

fn read(sheet: &str) -> Charts {
    let file: Arc<str> = Arc::from("large.csv");
    convert::charts(&file, sheet.as_bytes(), None, &Settings::default(), &Settings::default())
}

/// What is said of a sheet: kind of finding and place.
fn said(sheet: &str) -> Vec<String> {
    let read = read(sheet);
    let charts = read.charts.iter().flat_map(|chart| chart.findings.iter());
    read.findings.iter().chain(charts).map(|finding| format!("{} {}", finding.code, finding.place)).collect()
}

/// So many lines, each made from its number.
fn lines(count: u32, line: impl Fn(u32) -> String) -> String {
    (0..count).fold(String::new(), |mut sheet, number| {
        let _ = writeln!(sheet, "{}", line(number));
        sheet
    })
}

/// Numbers that follow each other without any order.
const fn scattered(number: u32) -> u32 {
    number.wrapping_mul(2_654_435_761) >> 15
}

/// Few symbols may span many squares, and few squares be worked over many stitches: that is told, not worked out.
#[test]
fn charts_beyond_all_measure_are_told() {
    // 100 rows of 10,002 squares, of which two hold a symbol.
    let far = format!(".{}.", ",".repeat(10_001));
    let wide = lines(100, |row| format!("{},{far}", 100 - row));
    // Twelve rows of 100,000 stitches.
    let rows = lines(12, |row| format!(".,.,{}", 12 - row));
    let long = format!("Cast on: 100000\nRepeat columns: 1-2\n{rows}");
    // 99,998 rows of 20 stitches between two that are drawn.
    let apart = ".,".repeat(20);
    let gap = format!("Skipped rows: knit\n{apart}100000\n{apart}1\n");
    for (sheet, expected) in [
        (format!("{wide}\n\n.,knit\n,knit\n"), "too-large large.csv, line 1, column 2"),
        (format!("{long}{KEY}"), "too-large large.csv, line 3, column 1"),
        (format!("{gap}{KEY}"), "too-large large.csv, line 2, column 1"),
    ] {
        let said = said(&sheet);
        assert!(said.iter().any(|said| said == expected), "{expected}: {said:?}");
        assert!(read(&sheet).charts.iter().all(|chart| chart.pattern.is_none()), "{expected}");
    }
}

/// Columns of numbers that are none of rows: a list of what is in stock, a column of nothing but ones.
#[test]
fn columns_of_numbers_are_no_charts() {
    for sheet in [
        lines(40_000, |line| (1 + scattered(line) % 90_000).to_string()),
        lines(100_000, |_| "1".to_owned()),
        lines(40_000, |line| if line < 20_000 { line + 1 } else { 1 }.to_string()),
    ] {
        assert_eq!(said(&sheet), ["no-chart large.csv"]);
    }
}
