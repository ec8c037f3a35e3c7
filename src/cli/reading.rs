//! How a chart was understood, drawn for a terminal: the grid with its row numbers, and the symbols with their
//! meanings. What was assumed stands in the findings.

use std::fmt::Write as _;

use longhand::chart::{Chart, Reading};
use longhand::pattern::{Hand, Pattern, Side, Worked};
use longhand::place::Spot;
use unicode_width::UnicodeWidthStr;

use super::report::{clean, number_of};

/// How a chart was understood; empty for a pattern that was not read from a sheet.
pub fn reading(chart: &Chart) -> String {
    let Some(reading) = &chart.reading else { return String::new() };
    let mut text = String::new();
    let letter =
        chart.letter.as_deref().map(|letter| format!("Chart {letter}")).unwrap_or("The chart".to_owned());
    let place = match &reading.place.spot {
        Spot::Line { line, column } => format!("line {line}, column {column}"),
        Spot::Cells { sheet, cells } => format!("cells {cells} of sheet {sheet}"),
        _ => "this file".to_owned(),
    };
    let _ = writeln!(text, "  {letter} was found in {}.", clean(&place));
    if let Some(pattern) = &chart.pattern {
        let _ = writeln!(text, "  {}", clean(&summary(pattern)));
    }
    text.push('\n');
    grid(reading, &mut text);
    symbols(reading, &mut text);
    text.push('\n');
    text
}

/// Which way the rows run, and how wide they are.
fn summary(pattern: &Pattern) -> String {
    let drawn = pattern.rows.iter().filter(|row| row.charted).count();
    let (word, way) = match pattern.worked {
        Worked::Flat => ("row", "Worked flat"),
        Worked::Round => ("round", "Worked in the round"),
    };
    let rows = number_of(pattern.rows.len(), word);
    let drawn =
        if drawn == pattern.rows.len() { "all drawn".to_owned() } else { format!("{drawn} of them drawn") };
    let first = pattern.rows.first().map_or("RS", |row| row.side.word());
    let hand = if pattern.hand == Hand::Left { ", for a left-handed knitter" } else { "" };
    let multiple = pattern.multiple.map(|multiple| format!(", {multiple}")).unwrap_or_default();
    let sides =
        if pattern.worked == Worked::Flat { format!(", the first one {first}") } else { String::new() };
    format!(
        "{way}{hand}: {rows}, {drawn}{sides}; cast on {}{multiple}.",
        number_of(pattern.cast_on as usize, "stitch")
    )
}

/// The grid as it stands on the sheet, each row's number where the row begins.
fn grid(reading: &Reading, text: &mut String) {
    let shown = |symbol: &str| clean(symbol.strip_prefix("fill:").unwrap_or(symbol));
    let cell = reading.symbols.iter().map(|symbol| shown(&symbol.symbol).width()).max().unwrap_or(1);
    let number = reading.rows.iter().filter_map(|row| row.number).max().unwrap_or(0).to_string().len();
    for row in &reading.rows {
        let label = row.number.map(|number| number.to_string()).unwrap_or_default();
        let (left, right) =
            if row.side == Some(Side::Ws) { (label.as_str(), "") } else { ("", label.as_str()) };
        let _ = write!(text, "    {left:>number$} |");
        for symbol in reading.cells(row) {
            let symbol = shown(symbol);
            let gap = cell.saturating_sub(symbol.width());
            let _ = write!(text, " {symbol}{}", " ".repeat(gap));
        }
        let _ = writeln!(text, " | {right}");
    }
    let columns = reading.rows.iter().map(|row| reading.cells(row).len()).max().unwrap_or(0);
    // Columns count from the right, as in a chart; every fifth is numbered, its last digit under the column.
    let mut line = vec![b' '; columns * (cell + 1)];
    for column in (1..=columns).filter(|column| *column == 1 || column % 5 == 0) {
        let end = (columns - column) * (cell + 1) + 1;
        for (back, digit) in column.to_string().bytes().rev().enumerate() {
            if let Some(slot) = end.checked_sub(back).and_then(|at| line.get_mut(at)) {
                *slot = digit;
            }
        }
    }
    let line = String::from_utf8_lossy(&line);
    let _ = writeln!(text, "{}", format!("    {:>number$}  {line}", "").trim_end());
}

fn symbols(reading: &Reading, text: &mut String) {
    text.push_str("\n  Symbols\n");
    let called = |symbol: &str| match symbol.strip_prefix("fill:") {
        Some(colour) => format!("fill {colour}"),
        None if symbol.is_empty() => "blank".to_owned(),
        None => clean(symbol),
    };
    let name = reading.symbols.iter().map(|symbol| called(&symbol.symbol).width()).max().unwrap_or(0);
    let words = |meaning: &Option<String>| meaning.clone().unwrap_or("nothing explains it".to_owned());
    let wide = reading.symbols.iter().map(|symbol| words(&symbol.meaning).width()).max().unwrap_or(0).min(40);
    for symbol in &reading.symbols {
        let called = called(&symbol.symbol);
        let gap = " ".repeat(name.saturating_sub(called.width()));
        let from = match (&symbol.entry, &symbol.meaning) {
            (Some(place), _) => format!(", key at {}", clean(&place.to_string())),
            (None, Some(_)) if !symbol.symbol.is_empty() => ", by its own name".to_owned(),
            _ => String::new(),
        };
        let _ = writeln!(
            text,
            "    {called}{gap}  {:<wide$}  {}{from}",
            clean(&words(&symbol.meaning)),
            number_of(symbol.cells, "cell")
        );
    }
}
