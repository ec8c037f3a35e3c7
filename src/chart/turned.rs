//! Charts that stand on their side, the rows of the knitting as columns of the sheet: they are told, not read.

use super::area::Area;
use super::key::Key;
use super::label;
use super::sheet::Sheet;
use crate::place::{Address, Span};
use crate::problem::{Code, Finding};
use crate::stitch::Stitches;

/// Whether words of a sheet call something rows or stitches, as they do beside a chart on its side. Hardly a sheet has such
/// words left once its charts are found.
pub(super) fn may_be_told(sheet: &Sheet<'_>) -> bool {
    let called = |text: &str| row_number(text).or_else(|| stitch_number(text)).map(|_| ());
    sheet.tested_words(called).len() > 1
}

/// Says that words beside a chart call its columns rows, or its rows stitches.
pub(super) fn told(
    sheet: &Sheet<'_>,
    area: &Area,
    key: &mut Key,
    stitches: &mut Stitches,
) -> Option<Finding> {
    let near = |distance: u32| [area.top().checked_sub(distance), area.bottom().checked_add(distance)];
    let lines = [1, 2].into_iter().flat_map(near).flatten();
    let columns = area.columns.0.saturating_sub(1)..=area.columns.1.saturating_add(1);
    let along = lines.map(|row| columns.clone().map(|column| Address::new(row, column)).collect::<Vec<_>>());
    let beside = [
        Some(area.columns.0),
        Some(area.columns.1),
        area.columns.0.checked_sub(1),
        area.columns.1.checked_add(1),
    ];
    let down = beside
        .into_iter()
        .flatten()
        .map(|column| (area.top()..=area.bottom()).map(|row| Address::new(row, column)).collect::<Vec<_>>());
    let rows = along.map(|line| (line, row_number as fn(&str) -> Option<u32>, "rows"));
    let all = rows.chain(down.map(|line| (line, stitch_number as fn(&str) -> Option<u32>, "stitches")));
    for (line, number, what) in all {
        let labels: Vec<(Address, u32)> = line
            .into_iter()
            .filter_map(|at| {
                let text = sheet.text(at)?;
                Some((at, number(&text).filter(|_| !key.knows(text, stitches))?))
            })
            .collect();
        if counts(&labels) {
            return Some(finding(sheet, &labels, what));
        }
    }
    None
}

/// Whether numbers count on, by ones or by twos, along cells that touch.
fn counts(labels: &[(Address, u32)]) -> bool {
    let touch = |one: Address, two: Address| one.row.abs_diff(two.row) + one.column.abs_diff(two.column) == 1;
    let step = |pair: &[(Address, u32)]| i64::from(pair[1].1) - i64::from(pair[0].1);
    let first = labels.get(..2).map_or(0, step);
    (1..=2).contains(&first.abs())
        && labels.windows(2).all(|pair| touch(pair[0].0, pair[1].0) && step(pair) == first)
}

fn finding(sheet: &Sheet<'_>, labels: &[(Address, u32)], what: &str) -> Finding {
    let texts: Vec<String> = labels.iter().filter_map(|(at, _)| Some(sheet.text(*at)?.to_string())).collect();
    let (one, two) = (texts.first().cloned().unwrap_or_default(), texts.get(1).cloned().unwrap_or_default());
    let first = labels.first().map_or_else(|| Address::new(0, 0), |(at, _)| *at);
    let last = labels.last().map_or(first, |(at, _)| *at);
    let (are, run) = match what {
        "rows" => ("rows", "columns"),
        _ => ("stitches", "rows"),
    };
    Finding::new(
        Code::ChartTurned,
        sheet.grid.place(Span::new(first, last)),
        format!("\"{one}\", \"{two}\" ... call the {run} of the chart {are}: it stands on its side, and was not read."),
    )
    .found(texts.join(", "))
    .expected("each row of the knitting in a row of the sheet")
    .help("Turn it: copy its cells and paste them transposed, with Row 1 at the bottom and its first stitch on the right; or take those words out.")
}

/// "Row 3", "Rnd 3", "R3": a number that is called a row's.
fn row_number(text: &str) -> Option<u32> {
    let called = text.trim_start().get(..1).is_some_and(|first| first.eq_ignore_ascii_case("r"));
    let label = called.then(|| label::parse(text)).flatten();
    label.filter(|label| label.explicit).map(|label| label.number)
}

/// "St 3", "Stitch 3": a number that is called a stitch's.
fn stitch_number(text: &str) -> Option<u32> {
    let (word, number) = text.trim().trim_end_matches(['.', ':']).rsplit_once(' ')?;
    let word = word.trim_end_matches('.');
    let called = ["st", "sts", "stitch"].iter().any(|stitch| stitch.eq_ignore_ascii_case(word));
    number.parse().ok().filter(|_| called)
}
